"""
A class from one computer, measured: how soon pages are live, how figures follow, what they cost.

    python -m tests.bench.bench_class             12 and 24 people, a browser, a short day
    python -m tests.bench.bench_class --minutes 20

Beside each time stands its ratio to a piece of work that this computer does alone in the same
moment, because others may use it too; the load is printed with it. People drag and open over the
socket, as a page's program does, so that the class's computer is measured and not a room of
browsers on it; one browser measures what a trainee sees. Memory is PSS: what is shared is divided.
Linux only, for the memory.
"""

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

import psutil

from tests.class_people import Person, at_once, high, median, memory, roster, worked
from tests.class_room import Room, made

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
from course import find_browser, open_browser

PACE = 0.2  # seconds from step to step: a hand on a slider that looks at what it does
DRAGGED = 6.0  # seconds
LESSON = "08_deflection"


def unit():
    """Return the seconds of a fixed piece of work on one core, the best of some."""
    times = []
    for _ in range(5):
        begun = time.perf_counter()
        sum(n * n for n in range(1_000_000))
        times.append(time.perf_counter() - begun)
    return min(times)


def show(what, seconds, reach=None):
    """Print a time, its ratio to the piece of work now, and the reach."""
    ratio = seconds / unit()
    goal = "" if reach is None else f"   reach {reach:g} s: {'yes' if seconds <= reach else 'no'}"
    print(f"{what:<58}{seconds:8.2f} s {ratio:8.0f} ×{goal}   load {os.getloadavg()[0]:.1f}")


def weigh(what, megabytes, reach):
    """Print an amount of memory, and the reach."""
    print(f"{what:<58}{megabytes:8.0f} MB PSS   reach {reach} MB: "
          f"{'yes' if megabytes <= reach else 'no'}")  # fmt: skip


def opening(room, codes):
    """Everybody opens the same lesson in the same moment."""
    people = [Person(room, code) for code in codes]
    reach = {12: 20, 24: 40}.get(len(codes))
    seconds = at_once(people, Person.open)
    show(f"{len(codes)} open lesson 08 at once: first live", min(seconds))
    show(f"{len(codes)} open lesson 08 at once: all live", max(seconds), reach)
    return people


def settled(room, most=120):
    """Wait until the pages have drawn what they draw when idle: the figures below the first."""
    pages = psutil.Process(room.process.pid).children(recursive=True)
    until = time.monotonic() + most
    before = None
    while time.monotonic() < until:
        now = sum(sum(one.cpu_times()[:2]) for one in pages)
        if before is not None and now - before < 0.3:  # seconds of work within three
            return
        before = now
        time.sleep(3)


def dragging(room, people):
    """Everybody drags at a human pace, on pages that have settled."""
    before = worked(room)
    waits = [wait for one in at_once(people, lambda one: one.drag(DRAGGED, PACE)) for wait in one]
    spent = {name: now - before[name] for name, now in worked(room).items()}
    show(f"{len(people)} dragging, {len(waits)} pictures: median", median(waits), 0.08)
    show(f"{len(people)} dragging: 95 of 100 within", high(waits), 0.2)
    each = ", ".join(f"{name} {1000 * spent[name] / len(waits):.1f}" for name in spent)
    print(f"a picture, ms of processor time: {each}")


def remembering(room, people):
    """Print the memory of the pages that are open."""
    pages, server = memory(room)
    print(f"{len(pages)} pages: together {sum(pages) / 1024:.2f} GB; server and warm Python "
          f"{server:.0f} MB")  # fmt: skip
    weigh("a page: median", median(pages), 100)
    weigh("a page: most", max(pages), 100)
    weigh("24 people with two such pages each, and the server", 48 * median(pages) + server, 5120)


def dying(room, people):
    """One Python ends: its page notices, nobody else."""
    victim, others = people[0], people[1:4]
    begun = time.monotonic()
    room.kill(victim.kernel)
    try:
        while True:
            victim.line.recv(timeout=60)
    except Exception as end:  # closed, with the reason for the page
        show(f"a Python killed: its page said so ({end})"[:57], time.monotonic() - begun)
    assert all(one.answers() for one in others), "another page noticed"


def day(room, codes, minutes):
    """A day pressed into minutes: pages come, are dragged, and go; nothing may be left."""
    people = [Person(room, code) for code in codes]
    begun, rounds, first = time.monotonic(), 0, None
    while time.monotonic() - begun < 60 * minutes or rounds < 3:
        at_once(people, Person.open)
        at_once(people, lambda one: one.drag(2.0, PACE))
        at_once(people, Person.close)
        rounds += 1
        time.sleep(3)
        pages, server = memory(room)
        first = first or (rounds > 1 and (len(pages), server))
        print(f"  round {rounds}: {len(pages)} pages left, server and warm Python {server:.0f} MB")
    print(f"{len(codes)} people, {rounds} rounds: {first[1]:.0f} MB after two, {server:.0f} MB now")


def in_browser(room, code):
    """What a trainee sees: from the address to the first figure in a browser."""
    with open_browser() as browser:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.set_default_timeout(120_000)
        page.goto(f"{room.address}/sign-in")
        page.get_by_label("Your code").fill(code)
        page.get_by_label("Your phrase").fill(room.phrases[code])
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/00_start.ipynb")
        times = []
        for _ in range(3):
            begun = time.monotonic()
            page.goto(f"{room.address}/{LESSON}.ipynb", wait_until="commit")
            page.wait_for_function(
                "() => [...document.querySelectorAll('.gk-figure img.gk-picture')]"
                ".some(one => one.naturalWidth > 50)"
            )
            times.append(time.monotonic() - begun)
        show("a browser, address to first live figure, median of 3", median(times), 4)


def main():
    """Measure it all, one after the other."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[1])
    options.add_argument("--minutes", type=float, default=2, help="of the pressed day")
    options = options.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "class"
        room = Room(folder, phrases=made(folder, roster(40)))
        try:
            codes = list(room.phrases)
            if find_browser():
                in_browser(room, codes[39])
            for many in (12, 24):
                people = opening(room, codes[:many])
                settled(room)
                dragging(room, people)
                if many == 24:
                    remembering(room, people)
                    dying(room, people)
                at_once(people[1:] if many == 24 else people, Person.close)
            day(room, codes[24:36], options.minutes)
        finally:
            room.stop()


if __name__ == "__main__":
    main()
