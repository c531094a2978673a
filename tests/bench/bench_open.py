"""
From an address to the first figure: a page that runs by itself, and one that waits for its button.

``python -m tests.bench.bench_open``. Each opening is cold: another browser, and no Python of the
lesson yet. The two take turns, so that a loaded computer is as hard on the one as on the other.
"""

import argparse
import shutil
import statistics
import tempfile
import time
from pathlib import Path
from urllib.parse import urlsplit

from tests.browser.course import ROOT, Course, open_browser

DRAWN = "() => document.querySelector('img.gk-picture')?.naturalWidth > 0"
READY = """() => document.querySelector(".jp-Notebook-ExecutionIndicator[data-status='idle']")
    && !document.querySelector(".jp-KernelName [aria-label='No Kernel']")"""
END = """async () => {
    const headers = { "X-XSRFToken": document.cookie.match(/_xsrf=([^;]*)/)[1] };
    for (const one of await (await fetch("/api/sessions")).json()) {
        await fetch(`/api/sessions/${one.id}`, { method: "DELETE", headers });
    }
}"""


def opened(course, name, *, press):
    """Return the seconds from the address to the first figure, and end the lesson's Python."""
    parts = urlsplit(course.address)
    with open_browser() as browser:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.set_default_timeout(120_000)
        begun = time.monotonic()
        page.goto(f"{parts.scheme}://{parts.netloc}/doc/tree/lessons/{name}.ipynb?{parts.query}")
        if press:
            page.wait_for_function(READY)
            page.get_by_role("button", name="Run this lesson").click()
        page.wait_for_function(DRAWN)
        taken = time.monotonic() - begun
        page.evaluate(END)
        return taken


def main():
    """Measure and print; the status is 1 where the figure comes later than allowed."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[1])
    parser.add_argument("lesson", nargs="?", default="08_deflection")
    parser.add_argument("--times", type=int, default=5)
    parser.add_argument("--allowed", type=float, default=6.0, help="seconds, on two quiet cores")
    options = parser.parse_args()
    live, pressed = [], []
    with tempfile.TemporaryDirectory() as home:
        copy = Path(home) / "course"
        shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv"))
        lessons = copy / "lessons"
        shutil.copyfile(lessons / f"{options.lesson}.ipynb", lessons / "pressed.ipynb")
        course = Course(Path(home), copy)
        try:
            for _ in range(options.times):
                live.append(opened(course, options.lesson, press=False))
                pressed.append(opened(course, "pressed", press=True))
                print(f"{live[-1]:6.1f} s {pressed[-1]:6.1f} s", flush=True)
        finally:
            course.stop()
    middle, other = statistics.median(live), statistics.median(pressed)
    print(f"by itself {middle:.1f} s, pressed as soon as it can be {other:.1f} s: ", end="")
    print(f"{middle / other:.2f} of it")
    return 1 if middle > options.allowed else 0


if __name__ == "__main__":
    raise SystemExit(main())
