"""
Firefox, driven by the remote protocol that it speaks itself: WebDriver BiDi, JSON on a socket.

No driver stands between: Firefox listens when it is started with --remote-debugging-port. Used
where the tests walk in a second browser beside Chromium.

    with open_firefox() as firefox:
        page = firefox.new_page()
        page.goto(address)
        page.click("button", "Sign in")
        page.wait_for("words => document.body.innerText.includes(words)", "You are T07")

Each page has cookies and storage of its own, as if another person sat there.
"""

import base64
import itertools
import json
import os
import shutil
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

from websockets.sync.client import connect

NAMES = ("firefox-esr", "firefox")
PLACES = ("Mozilla Firefox/firefox.exe", "Firefox.app/Contents/MacOS/firefox")
PATIENCE = 60.0  # seconds
QUIET = {  # nothing asked of the network, nothing offered to whoever sits there
    "app.normandy.enabled": False,
    "app.update.disabledForTesting": True,
    "browser.aboutwelcome.enabled": False,
    "browser.newtabpage.enabled": False,
    "browser.safebrowsing.update.enabled": False,
    "browser.shell.checkDefaultBrowser": False,
    "browser.startup.page": 0,
    "datareporting.policy.dataSubmissionEnabled": False,
    "extensions.systemAddon.update.enabled": False,
    "extensions.update.enabled": False,
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
    "services.settings.server": "data:,",
    "toolkit.telemetry.enabled": False,
}
EVENTS = (
    "browsingContext.userPromptOpened",
    "log.entryAdded",
    "network.beforeRequestSent",
    "network.responseCompleted",
)
KEYS = {  # as the protocol names keys that write nothing
    "Backspace": "\ue003", "Tab": "\ue004", "Enter": "\ue007", "Shift": "\ue008",
    "Control": "\ue009", "Escape": "\ue00c", "PageUp": "\ue00e", "PageDown": "\ue00f",
    "End": "\ue010", "Home": "\ue011", "ArrowLeft": "\ue012", "ArrowUp": "\ue013",
    "ArrowRight": "\ue014", "ArrowDown": "\ue015", "F8": "\ue038", "F9": "\ue039",
}  # fmt: skip
INCH = 2.54  # cm
A4 = {"width": 21.0, "height": 29.7}  # cm


def find_firefox():
    """Return the path of a Firefox on this machine, or None."""
    for name in NAMES:
        if path := shutil.which(name):
            return path
    folders = [os.environ.get(name) for name in ("PROGRAMFILES", "PROGRAMFILES(X86)")]
    for folder in [*filter(None, folders), "/Applications"]:
        for place in PLACES:
            if (path := Path(folder, place)).is_file():
                return str(path)
    return None


@contextmanager
def open_firefox():
    """Yield a Firefox that shows nothing on the screen and asks nothing of the network."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        lines = [f"user_pref({json.dumps(k)}, {json.dumps(v)});" for k, v in QUIET.items()]
        Path(profile, "user.js").write_text("\n".join(lines), encoding="utf-8")
        process = subprocess.Popen(
            [find_firefox(), "--headless", "--no-remote", "--profile", profile,
             "--remote-debugging-port", "0"],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            with connect(_address(process, profile), max_size=None, proxy=None) as socket:
                yield Firefox(socket)
        finally:
            process.terminate()
            try:
                process.wait(timeout=20)
            except subprocess.TimeoutExpired:
                process.kill()


def _address(process, profile):
    """Return where Firefox listens: it writes that into its profile."""
    file, until = Path(profile, "WebDriverBiDiServer.json"), time.monotonic() + PATIENCE
    while time.monotonic() < until and process.poll() is None:
        try:
            answer = json.loads(file.read_text(encoding="utf-8"))
            return f"ws://{answer['ws_host']}:{answer['ws_port']}/session"
        except (OSError, ValueError):  # not written yet, or not to its end
            time.sleep(0.1)
    raise AssertionError("Firefox did not start")


class Firefox:
    """A running Firefox: what is asked of it, and what it reports unasked."""

    patience = PATIENCE  # seconds for one command, on a computer that may be busy

    def __init__(self, socket):
        self._socket, self._numbers = socket, itertools.count(1)
        self._pages = {}
        answer = self.do("session.new", capabilities={"alwaysMatch": {
            "unhandledPromptBehavior": {"default": "accept"},
        }})  # fmt: skip
        self.version = answer["capabilities"]["browserVersion"]
        self.do("session.subscribe", events=list(EVENTS))

    def new_page(self, width=1280, height=800, *, window=False):
        """Open a page with cookies and storage of its own, in a window that no other hides."""
        person = self.do("browser.createUserContext")["userContext"]
        kind = "window" if window else "tab"
        answer = self.do("browsingContext.create", type=kind, userContext=person)
        page = self._pages[answer["context"]] = FirefoxPage(self, answer["context"])
        page.resize(width, height)
        return page

    def do(self, method, patience=None, **parameters):
        """Have a command of the protocol done and return its result."""
        number = next(self._numbers)
        self._socket.send(json.dumps({"id": number, "method": method, "params": parameters}))
        until = time.monotonic() + (patience or self.patience)
        while True:
            answer = json.loads(self._socket.recv(timeout=max(0.0, until - time.monotonic())))
            if answer.get("type") == "event":
                self._note(answer["method"], answer["params"])
            elif answer.get("id") == number:
                assert answer["type"] == "success", (
                    f"{method}: {answer['error']}: {answer['message']}"
                )
                return answer["result"]

    def _note(self, event, about):
        """Hand what happened to the page in which it happened."""
        where = about.get("context") or (about.get("source") or {}).get("context")
        if page := self._pages.get(where):
            page.note(event, about)


class FirefoxPage:
    """
    One page.

    Attributes
    ----------
    wrong : list of str
        Errors of the page's programs, and addresses that gave no answer.
    strangers : list of str
        Addresses outside this machine that the page asked for.
    questions : list of str
        Dialogs of the browser that came up.
    """

    def __init__(self, firefox, context):
        self.firefox, self._context = firefox, context
        self.wrong, self.strangers, self.questions = [], [], []

    # The page ----------------------------------------------------------------------------

    def goto(self, address):
        """Open an address and wait until it has loaded."""
        self._do("browsingContext.navigate", url=address, wait="complete")

    def reload(self):
        """Load the page again, as the browser's own button does."""
        self._do("browsingContext.reload", wait="complete")

    def resize(self, width, height):
        """Give the page's window a size."""
        self._do("browsingContext.setViewport", viewport={"width": width, "height": height})

    def close(self):
        """Close the page."""
        self._do("browsingContext.close")

    def picture(self):
        """Return the window as it is seen, as the bytes of a PNG file."""
        return base64.b64decode(self._do("browsingContext.captureScreenshot")["data"])

    def paper(self):
        """Return the page as it is printed on A4, as the bytes of a PDF file."""
        edge = dict.fromkeys(("top", "bottom", "left", "right"), 0.4 * INCH)
        answer = self._do("browsingContext.print", page=A4, margin=edge, background=False)
        return base64.b64decode(answer["data"])

    # What it holds -----------------------------------------------------------------------

    def ask(self, function, *arguments):
        """Return what a function of the page makes of plain values; an element counts as true."""
        answer = self.firefox.do(
            "script.callFunction",
            functionDeclaration=f"""async text => {{
                const made = await ({function})(...JSON.parse(text));
                return JSON.stringify(made instanceof Element ? true : made ?? null);
            }}""",
            arguments=[{"type": "string", "value": json.dumps(arguments)}],
            target={"context": self._context}, awaitPromise=True, userActivation=True,
        )  # fmt: skip
        if answer["type"] == "exception":
            raise AssertionError(answer["exceptionDetails"]["text"])
        return json.loads(answer["result"]["value"])

    def wait_for(self, function, *arguments, seconds=PATIENCE):
        """Wait until a function of the page returns something, and return that."""
        until = time.monotonic() + seconds
        while not (made := self.ask(function, *arguments)):
            assert time.monotonic() < until, f"waited in vain for {function} {arguments}"
            time.sleep(0.1)
        return made

    def words(self, selector):
        """Return the words of the first element that a selector finds."""
        return self.ask("one => document.querySelector(one).innerText", selector)

    # What a person does ------------------------------------------------------------------

    def click(self, selector, words=""):
        """Click with the mouse on the first element in sight that has exactly these words."""
        x, y = self._still(selector, words)
        self._act("pointer", [
            {"type": "pointerMove", "x": round(x), "y": round(y)},
            {"type": "pointerDown", "button": 0},
            {"type": "pointerUp", "button": 0},
        ])  # fmt: skip

    def _still(self, selector, words):
        """Return where an element stands once it stands there: a picture above moves it."""
        before = None
        while before != (now := self.wait_for(PLACE, selector, words)):
            before = now
            time.sleep(0.3)
        return now

    def focus(self, selector):
        """Give an element the keyboard."""
        self.wait_for(
            """selector => {
                const one = document.querySelector(selector);
                one?.focus();
                return one && document.activeElement === one;
            }""", selector,
        )  # fmt: skip

    def press(self, *keys):
        """Press keys one after the other; "Control+P" holds the first down."""
        for key in keys:
            held = [KEYS.get(one, one) for one in (key.split("+") if len(key) > 1 else [key])]
            down = [{"type": "keyDown", "value": one} for one in held]
            up = [{"type": "keyUp", "value": one} for one in reversed(held)]
            self._act("key", [*down, *up])

    def type(self, selector, text):
        """Type a text into a field in the place of what stands there."""
        self.focus(selector)
        self.ask("one => document.querySelector(one).select()", selector)
        self.press("Backspace", *text)

    # What the browser says --------------------------------------------------------------

    def note(self, event, about):
        """Note what went wrong, who was asked, and what came up."""
        if event == "log.entryAdded":
            if about["type"] == "javascript" and about["level"] == "error":
                self.wrong.append(about["text"])
        elif event == "browsingContext.userPromptOpened":
            self.questions.append(f"{about['type']}: {about.get('message', '')}")
        elif event == "network.responseCompleted":
            if about["response"]["status"] >= 400:
                self.wrong.append(about["request"]["url"])
        elif urlsplit(about["request"]["url"]).hostname not in (None, "127.0.0.1", "localhost"):
            self.strangers.append(about["request"]["url"])

    def _do(self, method, **parameters):
        return self.firefox.do(method, context=self._context, **parameters)

    def _act(self, kind, actions):
        more = {"parameters": {"pointerType": "mouse"}} if kind == "pointer" else {}
        source = {"type": kind, "id": kind, "actions": actions, **more}
        self._do("input.performActions", actions=[source])


PLACE = """(selector, words) => {
    const has = one => !words || one.innerText.trim() === words || one.value === words;
    const one = [...document.querySelectorAll(selector)]
        .find(one => has(one) && one.getClientRects().length && !one.disabled);
    if (!one) return null;
    one.scrollIntoView({ block: "center", behavior: "instant" });
    const place = one.getBoundingClientRect();
    return [place.x + place.width / 2, place.y + place.height / 2];
}"""
"""Where an element stands in the window once it is scrolled into it."""
