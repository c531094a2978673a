"""
A morning of a class: python -m tests.endurance.endure_class [people] [of them in Firefox]

Twelve browsers of two kinds are driven at once: sign in, a lesson, a wrong answer and a right one,
a network that is cut while everybody presses Check, a reload, the sign-out. Printed are the seconds
of each step, the memory of the pages' Pythons, and what stands on the sheets in the end: each
answer once. The exit status is 1 where one is missing or stands twice.
"""

import contextlib
import json
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from exercises import find
from exercises.question import dice
from exercises.sheets import class_file
from tests.class_people import high, median, memory, roster
from tests.class_room import Room, made
from tests.network import Network

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
from course import open_browser
from firefox import open_firefox

LESSON, EXERCISE, CUT = "08_deflection", find("deflection-components"), 10  # seconds cut off
# Browsers share the processors with the class here, so they wait long, and open a page one after
# the other as people do; `bench_class` measures what a moment in common takes.
PATIENCE, APART = 900, 5  # seconds
BOX = f".gk-box-{EXERCISE.key}"
DRAWN = (
    "() => [...document.querySelectorAll('img.gk-picture')].some(one => one.naturalWidth > 50)"
    f" && [...document.querySelectorAll('{BOX} button')].some(one => one.offsetParent)"
)
STATE = "state => !!document.querySelector(`" + BOX + " .gk-verdict.gk-${state}`)"
NOT_SENT = f"() => !!document.querySelector('{BOX} .gk-not-sent')"
SENT = f"() => !document.querySelector('{BOX} .gk-not-sent')"
KEPT = f"() => /kept [0-9:]+ in/.test(document.querySelector('{BOX}')?.innerText ?? '')"
OUT = "() => !!document.querySelector('#phrase')"
STEPS = ("sign in, lesson live", "wrong answer named", "right answer", "cut, Check pressed",
         "kept after it is back", "reload, answer back", "signed out")  # fmt: skip


class InChromium:
    """One page of Chromium, by what a person does."""

    def __init__(self, browser):
        self.page = browser.new_context(viewport={"width": 1180, "height": 820}).new_page()
        self.page.set_default_timeout(1000 * PATIENCE)
        self.go = lambda address: self.page.goto(address, wait_until="commit")
        self.fill = self.page.fill
        self.reload = lambda: self.page.reload(wait_until="commit")

    def click(self, place, words):
        """Press a button by its words."""
        self.page.locator(f"{place} button", has_text=words).first.click()

    def wait(self, function, *arguments):
        """Wait until a function of the page returns something."""
        self.page.wait_for_function(function, arg=arguments[0] if arguments else None)


class InFirefox:
    """One page of Firefox, by what a person does."""

    def __init__(self, browser):
        browser.patience = PATIENCE
        self.page = browser.new_page(1180, 820, window=True)
        self.go, self.fill, self.reload = self.page.goto, self.page.type, self.page.reload

    def click(self, place, words):
        """Press a button by its words."""
        self.page.click(f"{place} button", words)

    def wait(self, function, *arguments):
        """Wait until a function of the page returns something."""
        self.page.wait_for(function, *arguments, seconds=PATIENCE)


class Morning:
    """What everybody does, step by step; each waits for all others between two steps."""

    def __init__(self, room, network, kinds):
        self.room, self.network = room, network
        self.codes = list(room.phrases)
        self.times = {step: [] for step in STEPS}
        self.gate = threading.Barrier(len(kinds))
        self.wrong = []

    def walk(self, opened, kind, codes):
        """Drive some pages of one browser through the morning."""
        try:
            with opened() as browser:
                self._walk({code: kind(browser) for code in codes})
        except Exception as error:  # reported in the end
            self.wrong.append(f"{kind.__name__}: {type(error).__name__} {error}")
            print(self.wrong[-1])
            self.gate.abort()

    def _walk(self, pages):
        address = f"http://{self.network.host}"
        self._step(0, pages, lambda code, page: self._sign_in(address, code, page), DRAWN,
                   apart=APART)  # fmt: skip
        for page in pages.values():
            page.click(BOX, "I write 12.5")
        self._step(1, pages, lambda code, page: self._answer(code, page, wrong=True),
                   STATE, "slip")  # fmt: skip
        self._step(2, pages, self._answer, STATE, "right")
        self._alone(self._remember)
        self._alone(self.network.cut)
        self._step(3, pages, lambda code, page: self._type(page, ["7.77", "7.77"]), NOT_SENT)
        self._alone(lambda: time.sleep(CUT))
        self._alone(self.network.back)
        self._step(4, pages, lambda code, page: None, SENT)
        self._alone(self._settle)
        self._step(5, pages, lambda code, page: page.reload(), KEPT, apart=APART)
        for page in pages.values():
            page.go(f"{address}/00_start.ipynb")
        self._step(6, pages, lambda code, page: page.click("form", "Sign out"), OUT)

    def _step(self, number, pages, act, until, *arguments, apart=0):
        """Have each act, some seconds apart, then wait for each; count from when it acted."""
        self.gate.wait()
        begun = {}
        for code, page in pages.items():
            begun[code] = time.monotonic()
            act(code, page)
            time.sleep(apart)
        for code, page in pages.items():
            page.wait(until, *arguments)
            self.times[STEPS[number]].append(time.monotonic() - begun[code])
        print(f"{STEPS[number]}: {len(pages)} pages", flush=True)

    def _alone(self, act):
        """Do once what concerns the whole room."""
        if self.gate.wait() == 0:
            act()
        self.gate.wait()

    def _sign_in(self, address, code, page):
        page.go(f"{address}/{LESSON}.ipynb")
        page.wait(OUT)
        page.fill("#code", code)
        page.fill("#phrase", self.room.phrases[code])
        page.click("form", "Sign in")

    def _answer(self, code, page, *, wrong=False):
        held = class_file.read(self.room.folder)
        given = dice.given(EXERCISE, f"{held.word}-{code}", 1, held.secret)
        values = EXERCISE.solve(given)
        if wrong:
            values |= next(iter(EXERCISE.wrong(given).values()))
        self._type(page, [asked.show(values[asked.name]) for asked in EXERCISE.asked])

    def _type(self, page, texts):
        for asked, text in zip(EXERCISE.asked, texts, strict=True):
            page.fill(f"{BOX} .gk-in-{asked.name} input", text)
        page.click(BOX, "Check")

    def _remember(self):
        pages, server = memory(self.room)
        print(f"{len(pages)} pages: median {median(pages):.0f} MB PSS, most {max(pages):.0f}; "
              f"server and warm Python {server:.0f} MB")  # fmt: skip

    def _settle(self):
        """Wait until what was pressed stands on every sheet."""
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and set(self.sheets().values()) != {(3, 1)}:
            time.sleep(0.5)

    def sheets(self):
        """Return of each person how many answers there are, and how many of the cut."""
        found = {}
        for code in self.codes:
            answers = []
            for path in self.room.folder.glob(f"answers-*-{code}.jsonl"):
                lines = map(json.loads, path.read_text(encoding="utf-8").splitlines())
                answers += [one for one in lines if one["event"] == "answered"]
            cut = [one for one in answers if "7.77" in one["typed"].values()]
            found[code] = len(answers), len(cut)
        return found


def main(people="12", in_firefox="4"):
    """Drive and print; the exit status is 1 where an answer is missing or stands twice."""
    many, foxes = int(people), int(in_firefox)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "class"
        room = Room(folder, phrases=made(folder, roster(many)))
        network = Network(room.host)
        kinds = [(open_browser, InChromium, list(room.phrases)[foxes:]),
                 (open_firefox, InFirefox, list(room.phrases)[:foxes])]  # fmt: skip
        morning = Morning(room, network, kinds)
        threads = [threading.Thread(target=morning.walk, args=one) for one in kinds]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        for step, times in morning.times.items():
            if times:
                print(f"{step:<28} median {median(times):6.1f} s, last {high(times, 1):6.1f} s")
        sheets = morning.sheets()
        network.stop()
        with contextlib.suppress(subprocess.TimeoutExpired):  # a computer that is very busy
            room.stop()
    bad = {code: one for code, one in sheets.items() if one != (3, 1)}
    print(f"{many - len(bad)} of {many} sheets hold each answer once", *morning.wrong, bad or "")
    return 1 if bad or morning.wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
