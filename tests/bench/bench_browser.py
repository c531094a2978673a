"""
Keypress and pointer to new picture in the browser, for each figure of every lesson.

    python -m tests.bench.bench_browser [08_deflection …] [--keys 40]

Beside each time stands its ratio to the bare round trip, measured anew before each lesson in the
same run: a slider that swaps two pictures made beforehand. Times belong to the machine they were
measured on; ratios travel better.
"""

import argparse
import contextlib
import json
import shutil
import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from playwright.sync_api import TimeoutError

from tests.browser.course import ROOT, Course, Lesson, open_browser

BARE = """import base64, zlib, struct
import ipywidgets as widgets
def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
def picture(grey):
    head = struct.pack(">2I5B", 1120, 560, 8, 0, 0, 0, 0)
    rows = zlib.compress((b"\\0" + bytes([grey]) * 1120) * 560)
    chunks = chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    return b"\\x89PNG\\r\\n\\x1a\\n" + chunks
slider = widgets.FloatSlider(min=0, max=1000, step=1, value=500)
image, pair = widgets.Image(value=picture(200)), [picture(200), picture(220)]
slider.observe(lambda change: setattr(image, "value", pair[int(change["new"]) % 2]), "value")
image.add_class("gk-picture")
cell = widgets.VBox([slider]).add_class("gk-control").add_class("gk-c-bare")
widgets.VBox([cell, image]).add_class("gk-figure")"""

WATCH = """([figure, place, event]) => {
    const box = document.querySelectorAll(".gk-figure")[figure];
    const image = box.querySelector("img.gk-picture");
    window.times = [];
    let pressed = null;
    box.querySelector(place).addEventListener(
        event, () => { pressed ??= performance.now(); }, true);
    image.addEventListener("load", () => requestAnimationFrame(() => {
        if (pressed !== null) { window.times.push(performance.now() - pressed); pressed = null; }
    }));
}"""


def measure(lesson, figure, name, keys):
    """Return milliseconds from keydown to the frame after the new picture has loaded."""
    lesson.page.evaluate(WATCH, [figure, f".gk-c-{name}", "keydown"])
    for number in range(keys):
        seen = lesson.page.evaluate("window.times.length")
        lesson.slide(name, "ArrowRight" if number % 2 else "ArrowLeft", figure=figure)
        with contextlib.suppress(TimeoutError):  # at its end a slider stays
            lesson.page.wait_for_function("n => window.times.length > n", arg=seen, timeout=2000)
    return lesson.page.evaluate("window.times")


def dragged(lesson, figure, moves):
    """
    Return milliseconds from a move of the pointer to the picture after it.

    None where nothing in the picture can be taken. A move that changes nothing has no picture.
    """
    image = lesson.figure(figure).locator("img.gk-picture")
    said = lesson.figure(figure).locator(".gk-grips input").get_attribute("placeholder")
    if not said:
        return None
    grip = json.loads(said)[0]
    image.scroll_into_view_if_needed()
    box, mouse = image.bounding_box(), lesson.page.mouse
    x, y = ((grip[a] + grip.get(b, grip[a])) / 2 for a, b in (("x", "right"), ("y", "bottom")))
    x, y = box["x"] + x * box["width"], box["y"] + y * box["height"]
    mouse.move(x, y)
    mouse.down()
    lesson.page.evaluate(WATCH, [figure, "img.gk-picture", "pointermove"])
    for number in range(moves):
        seen = lesson.page.evaluate("window.times.length")
        step = number % 20 if number % 40 < 20 else 20 - number % 20
        mouse.move(x + 4 * step, y + 2 * step)
        with contextlib.suppress(TimeoutError):
            lesson.page.wait_for_function("n => window.times.length > n", arg=seen, timeout=400)
    mouse.up()
    return lesson.page.evaluate("window.times")


def sliders(lesson):
    """Return the number of each figure and the name of its first slider."""
    return lesson.page.evaluate(
        """() => [...document.querySelectorAll(".gk-figure")].map((box, number) => {
            const cell = [...box.querySelectorAll(".gk-control")]
                .find(one => one.querySelector(".noUi-handle"));
            const name = cell && [...cell.classList].find(one => one.startsWith("gk-c-"));
            return cell && [number, name.slice(5)];
        }).filter(Boolean)"""
    )


def report(words, times, base=None):
    """Print one line; return the median and what one in twenty exceeds."""
    found = statistics.median(times), statistics.quantiles(times, n=20)[-1]
    ratios = [f"{one / of:8.2f}" for one, of in zip(found, base, strict=True)] if base else []
    print(f"{words:42}{found[0]:7.0f}{found[1]:7.0f}{''.join(ratios):16}{len(times):6}", flush=True)
    return found


def of_lesson(browser, course, name, count):
    """Print the lines of one lesson, the bare round trip first."""
    lesson = Lesson(browser, course, "bare", live=False)
    lesson.run()
    base = report("bare round trip", measure(lesson, 0, "bare", count))
    lesson.leave()
    lesson = Lesson(browser, course, name)
    lesson.page.wait_for_function(
        "() => [...document.querySelectorAll('img.gk-picture')].every(one => one.naturalWidth)"
    )
    for figure, control in sliders(lesson):
        report(f"{name} {figure + 1}, {control}", measure(lesson, figure, control, count), base)
        lesson.page.wait_for_timeout(200)
        if (times := dragged(lesson, figure, count)) and len(times) > 1:
            report(f"{name} {figure + 1}, by hand", times, base)
    lesson.leave()


def with_bare(home):
    """Return a copy of the course with a page more, that of the bare round trip."""
    copy = home / "course"
    shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv"))
    bare = json.loads((copy / "lessons" / "00_start.ipynb").read_text(encoding="utf-8"))
    cell = {"cell_type": "code", "id": "bare", "metadata": {}, "outputs": [],
            "execution_count": None, "source": BARE}  # fmt: skip
    (copy / "lessons" / "bare.ipynb").write_text(
        json.dumps({**bare, "cells": [cell]}), encoding="utf-8"
    )
    return copy


def main():
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[1])
    parser.add_argument("lessons", nargs="*")
    parser.add_argument("--keys", type=int, default=40)
    options = parser.parse_args()
    numbered = sorted(path.stem for path in (ROOT / "lessons").glob("[01][0-9]_*.ipynb"))
    with tempfile.TemporaryDirectory() as home, open_browser() as browser:
        course = Course(Path(home), with_bare(Path(home)))
        try:
            print(f"{'milliseconds to the new picture':42}{'median':>7}{'p95':>7}"
                  f"{'to bare':>16}{'times':>6}")  # fmt: skip
            for name in options.lessons or numbered[1:]:
                of_lesson(browser, course, name, options.keys)
        finally:
            course.stop()


if __name__ == "__main__":
    main()
