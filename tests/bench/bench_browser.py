"""
Keypress to new picture in the browser, for each figure of a lesson.

    python tests/bench/bench_browser.py 08_deflection --keys 60

Beside each time stands its ratio to the bare round trip of the same run: a slider that swaps two
pictures made beforehand. Times belong to the machine they were measured on; ratios travel better.
"""

import argparse
import json
import shutil
import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

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

WATCH = """([figure, name]) => {
    const box = document.querySelectorAll(".gk-figure")[figure];
    const image = box.querySelector("img.gk-picture");
    window.times = [];
    let pressed = null;
    box.querySelector(`.gk-c-${name}`).addEventListener(
        "keydown", () => { pressed = performance.now(); }, true);
    image.addEventListener("load", () => requestAnimationFrame(() => {
        if (pressed !== null) { window.times.push(performance.now() - pressed); pressed = null; }
    }));
}"""


def measure(lesson, figure, name, keys):
    """Return milliseconds from keydown to the frame after the new picture has loaded."""
    lesson.page.evaluate(WATCH, [figure, name])
    for number in range(keys):
        lesson.slide(name, "ArrowLeft" if number % 10 < 5 else "ArrowRight", figure=figure)
        lesson.page.wait_for_function("n => window.times.length > n", arg=number, timeout=5000)
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


def report(words, times, base):
    """Print one line and return the median."""
    middle = statistics.median(times)
    late = statistics.quantiles(times, n=20)[-1]
    ratio = f"{middle / base:4.1f} x" if base else "     1"
    print(f"{words:34}{middle:7.0f}{late:7.0f}{ratio:>9}{len(times):6}")
    return middle


def main():
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[1])
    parser.add_argument("lesson", nargs="?", default="08_deflection")
    parser.add_argument("--keys", type=int, default=60)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as home, open_browser() as browser:
        copy = Path(home) / "course"
        shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv"))
        bare = json.loads((copy / "lessons" / "00_start.ipynb").read_text(encoding="utf-8"))
        cell = {"cell_type": "code", "id": "bare", "metadata": {}, "outputs": [],
                "execution_count": None, "source": BARE}  # fmt: skip
        (copy / "lessons" / "bare.ipynb").write_text(
            json.dumps({**bare, "cells": [cell]}), encoding="utf-8"
        )
        course = Course(Path(home), copy)
        try:
            print(
                f"{'milliseconds from keypress':34}{'median':>7}{'p95':>7}{'ratio':>9}{'keys':>6}"
            )
            lesson = Lesson(browser, course, "bare", live=False)
            lesson.run()
            base = report("bare round trip", measure(lesson, 0, "bare", options.keys), None)
            lesson.leave()
            lesson = Lesson(browser, course, options.lesson)
            for figure, name in sliders(lesson):
                times = measure(lesson, figure, name, options.keys)
                report(f"{options.lesson} figure {figure + 1}, {name}", times, base)
        finally:
            course.stop()


if __name__ == "__main__":
    main()
