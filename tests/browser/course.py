"""
The course as a trainee meets it: started by `python -m lessons`, driven in a real browser.

Used by the tests beside this file and by tests/bench/bench_browser.py.
"""

import base64
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import psutil

ROOT = Path(__file__).resolve().parents[2]
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome",
         "microsoft-edge", "msedge")  # fmt: skip
PLACES = ("Google/Chrome/Application/chrome.exe", "Microsoft/Edge/Application/msedge.exe",
          "Chromium/Application/chrome.exe",
          "Google Chrome.app/Contents/MacOS/Google Chrome",
          "Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
          "Chromium.app/Contents/MacOS/Chromium")  # fmt: skip
QUIET = ("--disable-gpu", "--disable-background-networking", "--disable-component-update",
         "--disable-sync")  # fmt: skip


def _words(process):
    """Return the command of a process, or nothing if it has just ended."""
    try:
        return " ".join(process.cmdline())
    except psutil.Error:
        return ""


def find_browser():
    """Return the path of a Chromium, Chrome or Edge on this machine, or None."""
    for name in NAMES:
        if path := shutil.which(name):
            return path
    folders = [
        os.environ.get(name) for name in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA")
    ]
    for folder in [*filter(None, folders), "/Applications"]:
        for place in PLACES:
            if (path := Path(folder, place)).is_file():
                return str(path)
    return None


@contextmanager
def open_browser():
    """Yield a browser that shows nothing on the screen and asks nothing of the network."""
    from playwright.sync_api import sync_playwright

    root = getattr(os, "geteuid", lambda: 1)() == 0  # Chromium's sandbox refuses that user
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=find_browser(), args=[*QUIET, *(["--no-sandbox"] if root else [])]
        )
        yield browser
        browser.close()


class Course:
    """
    A running course with its settings and answers in a folder of its own.

    Attributes
    ----------
    address : str
        What the terminal asks the trainee to open.
    answers : Path
        The answers folder.
    """

    def __init__(self, home, root=ROOT, *options):
        self.answers = home / "answers ø"
        self.terminal = home / "terminal.txt"
        self._environment = {
            **os.environ,
            "JUPYTER_DATA_DIR": str(home / "jupyter"),
            "GEODESY_ANSWERS": str(self.answers),
            **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), str(home)),
        }
        self._root = root
        self.process = self.start(self.terminal, *options)
        self.address = self._announced()

    def start(self, terminal, *options):
        """Start the command once more, its words going to a file; return the process."""
        new_group = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)
        with open(terminal, "w", encoding="utf-8") as words:
            return subprocess.Popen(
                [sys.executable, "-m", "lessons", "--no-browser", *options],
                cwd=self._root, env=self._environment, creationflags=new_group,
                stdin=subprocess.DEVNULL, stdout=words, stderr=subprocess.STDOUT,
            )  # fmt: skip

    def stop(self):
        """Press Ctrl+C and return the exit status."""
        self.process.send_signal(getattr(signal, "CTRL_BREAK_EVENT", signal.SIGINT))
        try:
            return self.process.wait(timeout=60)
        finally:
            self.process.kill()

    def words(self):
        """Return what the terminal shows."""
        return self.terminal.read_text(encoding="utf-8")

    def crash(self):
        """
        Stop the Python of every lesson at once, and wait until each has another in its place.

        As where memory ran out: the server sees it gone, starts it anew and informs the pages. One
        that is restarted on request informs its page itself, too soon for a slow one.
        """
        before = self._pythons()
        assert before
        for process in before:
            process.kill()
        psutil.wait_procs(before, timeout=60)
        kernels = {kernel["id"] for kernel in self._ask("api/kernels")}
        deadline = time.monotonic() + 60
        while not all(any(one in _words(p) for p in self._pythons()) for one in kernels):
            assert time.monotonic() < deadline, "the server started no other Python"
            time.sleep(0.1)

    def _pythons(self):
        """Return the processes of the lessons that run; their command names the kernel."""
        below = psutil.Process(self.process.pid).children(recursive=True)
        return [process for process in below if "kernel-" in _words(process)]

    def _ask(self, path):
        parts = urlsplit(self.address)
        request = urllib.request.Request(
            f"{parts.scheme}://{parts.netloc}/{path}",
            headers={"Authorization": f"token {parse_qs(parts.query)['token'][0]}"},
        )
        direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        with direct.open(request, timeout=30) as answer:
            return json.load(answer)

    def _announced(self):
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            if found := re.search(r"http://\S+", self.words()):
                return found[0]
            if self.process.poll() is not None:
                break
            time.sleep(0.1)
        self.process.kill()
        raise AssertionError(f"the course did not start; the terminal says:\n{self.words()}")


class Lesson:
    """
    One lesson on the screen.

    Attributes
    ----------
    strangers : list of str
        Addresses outside this machine that the page asked for.
    questions : list of str
        Dialogs of the browser that came up.
    live : bool
        Whether it runs when it is opened, as every notebook of the course does and no other.
    """

    def __init__(self, browser, course, name, width=1280, height=800, *, live=True):
        self.course, self.live = course, live
        self.strangers, self.questions = [], []
        self.page = browser.new_page(viewport={"width": width, "height": height})
        self.page.set_default_timeout(60_000)
        self.page.on("request", self._note_stranger)
        self.page.on("dialog", self._note_question)
        parts = urlsplit(course.address)
        self.page.goto(
            f"{parts.scheme}://{parts.netloc}/doc/tree/lessons/{name}.ipynb?{parts.query}"
        )
        self._opened()

    def run(self, key=None):
        """Press the one button, or a key for it, and wait until the lesson has run."""
        self.page.evaluate("document.querySelectorAll('.jp-OutputArea-child').forEach("
                           "one => one.classList.add('from-last-run'))")  # fmt: skip
        if key:
            self.page.keyboard.press(key)
        else:
            self.page.get_by_role("button", name="Run this lesson").click()
        self._ready()

    def loaded(self):
        """Wait until the lesson can run; until then its button says that it gets ready."""
        self.page.wait_for_function(
            """() => document.querySelector(".jp-Notebook-ExecutionIndicator[data-status='idle']")
                && !document.querySelector(".jp-KernelName [aria-label='No Kernel']")"""
        )

    def reload(self):
        """Reload the page, as the browser's own button does."""
        self.page.reload()
        self._opened()

    def _opened(self):
        """Wait until it can run, and, as a page of the course does by itself, has run."""
        self.loaded()
        if self.live:
            self._ready()

    def leave(self):
        """Go elsewhere, as a trainee does: a question about leaving would come up."""
        self.page.goto("about:blank")
        self.page.close()

    def dialogs(self):
        """Return the text of every dialog JupyterLab shows."""
        return self.page.locator(".jp-Dialog").all_inner_texts()

    def trouble(self):
        """Return the text of every error below a cell or in a figure."""
        return self.page.locator(
            "[data-mime-type='application/vnd.jupyter.error'], .gk-error"
        ).all_inner_texts()

    def slide(self, name, *keys, figure=0):
        """Press keys on the slider of a control; `gk-c-<name>` is its class."""
        handle = self.figure(figure).locator(f".gk-c-{name} .noUi-handle")
        handle.focus()
        for key in keys:
            handle.press(key)

    def figure(self, figure=0):
        """Return a figure by its number from the top of the lesson."""
        return self.page.locator(".gk-figure").nth(figure)

    def picture(self, figure=0):
        """Return the bytes of a figure's picture as the browser has it."""
        image = self.figure(figure).locator("img.gk-picture")
        return base64.b64decode(image.evaluate(
            """async image => {
                const bytes = new Uint8Array(await (await fetch(image.src)).arrayBuffer());
                return btoa(Array.from(bytes, one => String.fromCharCode(one)).join(""));
            }"""
        ))  # fmt: skip

    def readout(self, figure=0):
        """Return the words below a figure."""
        return self.figure(figure).locator(".gk-readout").inner_text()

    def box(self, key):
        """Return the answer box of an exercise."""
        return Box(self.page.locator(f".gk-box-{key}"))

    def _note_stranger(self, request):
        host = urlsplit(request.url).hostname
        if host not in (None, "", "127.0.0.1", "localhost"):
            self.strangers.append(request.url)

    def _note_question(self, dialog):
        self.questions.append(f"{dialog.type}: {dialog.message}")
        dialog.accept()

    def _ready(self):
        """Wait until what the last run left is gone and the last code cell shows something."""
        self.page.wait_for_function(
            """() => {
                if (document.querySelector(".jp-OutputArea-child:not(.from-last-run) "
                        + "[data-mime-type='application/vnd.jupyter.error']")) return true;
                const cells = document.querySelectorAll(".jp-CodeCell");
                const indicator = document.querySelector(".jp-Notebook-ExecutionIndicator");
                return cells[cells.length - 1].querySelector(".jp-OutputArea-child")
                    && !document.querySelector(".from-last-run")
                    && indicator.dataset.status === "idle";
            }"""
        )


class Box:
    """One answer box, by what a trainee sees and touches in it."""

    def __init__(self, place):
        self.place = place

    def sign_in(self, code):
        """Sign in under a code."""
        self.place.locator(".gk-in-code input").fill(code)
        self.press("Sign in")
        self.place.locator(".gk-state", has_text=code).wait_for()

    def type(self, **texts):
        """Type a text into each entry named."""
        for name, text in texts.items():
            self.place.locator(f".gk-in-{name} input").fill(text)

    def typed(self, *names):
        """Return what stands in the entries named."""
        return [self.place.locator(f".gk-in-{name} input").input_value() for name in names]

    def press(self, button):
        """Press a button by its words."""
        self.place.get_by_role("button", name=button, exact=True).click()

    def check(self):
        """Press Check, wait until another answer is kept, and return the verdict's text."""
        before = self.place.locator(".gk-state").inner_text()
        self.press("Check")
        self.place.locator(".gk-state").filter(
            has_not_text=re.compile(re.escape(before) + "$")
        ).wait_for()
        self.place.locator("span.gk-kept").wait_for()
        return self.verdict()

    def verdict(self, state=None):
        """Wait for a verdict (in a state: right, slip, nudge …) and return its text."""
        place = self.place.locator(f".gk-verdict.gk-{state}" if state else ".gk-verdict").first
        place.wait_for()
        return place.inner_text()

    def parts(self):
        """Return the word beside each part: right, slip …"""
        return [word.strip() for word in self.place.locator(".gk-part").all_inner_texts()]

    def kept(self):
        """Return the line that says whether the answer is on disk."""
        return self.place.locator(".gk-foot .widget-html.gk-kept").inner_text()
