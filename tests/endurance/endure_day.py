"""
A day on the projector: python -m tests.endurance.endure_day [lesson] [pictures]

One lesson stands open in a real browser and its first figure is dragged for thousands of pictures
without a reload. Printed are what the page holds (JavaScript heap after its rubbish is collected,
nodes of the document) and what the lesson's kernel holds, at the start, half way and at the end,
and whether the figure still answers.
"""

import sys
import tempfile
from pathlib import Path

import psutil

from tests.bench.bench_browser import measure, sliders
from tests.browser.course import Course, Lesson, open_browser

ALLOWED = 20.0  # MB in the second half, page or kernel


def held(lesson, course):
    """Return what page and kernels hold: heap in MB, nodes, kernels in MB."""
    tools = lesson.page.context.new_cdp_session(lesson.page)
    tools.send("HeapProfiler.collectGarbage")
    tools.send("Performance.enable")
    found = {one["name"]: one["value"] for one in tools.send("Performance.getMetrics")["metrics"]}
    tools.detach()
    kernels = psutil.Process(course.process.pid).children(recursive=True)
    memory = sum(kernel.memory_info().rss for kernel in kernels)
    return found["JSHeapUsedSize"] / 1e6, found["Nodes"], memory / 1e6


def main(name="08_deflection", pictures="4000"):
    """Drag and print; the exit status is 1 if page or kernel goes on growing."""
    with tempfile.TemporaryDirectory() as home, open_browser() as browser:
        course = Course(Path(home))
        try:
            lesson = Lesson(browser, course, name)
            figure, slider = sliders(lesson)[0]
            stages = []
            for half in (100, int(pictures) // 2, int(pictures) // 2):
                measure(lesson, figure, slider, half)
                stages.append(held(lesson, course))
                print("page {:6.1f} MB, {:6.0f} nodes, kernel {:6.1f} MB".format(*stages[-1]))
            assert not lesson.trouble(), lesson.trouble()
            lesson.leave()
        finally:
            course.stop()
    (_, half, end) = stages
    return 1 if max(end[0] - half[0], end[2] - half[2]) > ALLOWED else 0


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")
    sys.exit(main(*sys.argv[1:]))
