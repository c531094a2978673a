"""
Every lesson, opened once: names for who hears it, what axe finds, paper, and each figure with its
controls and its readout in one window of a laptop.
"""

from pathlib import Path

import pytest
from course import ROOT, Lesson
from hearing import findings, heard, nameless
from notes_on_paper import holds, ready

from lessons.canvas import pen

pytestmark = [pytest.mark.browser, pytest.mark.full]

LESSONS = sorted(path.stem for path in Path(ROOT, "lessons").glob("[0-9][0-9]_*.ipynb"))[1:]
LAPTOP, SMALL = {"width": 1366, "height": 650}, {"width": 1024, "height": 768}
TABLET = {"width": 820, "height": 1180}
DRAWN = """() => [...document.querySelectorAll(".gk-figure img.gk-picture")]
    .every(one => one.naturalWidth > 100 && one.alt)"""
MEASURED = """() => [...document.querySelectorAll(".gk-figure")].map(figure => {
    const box = name => figure.querySelector(name).getBoundingClientRect();
    const wide = one => one.scrollWidth > one.clientWidth + 1;
    return {
        room: document.querySelector(".jp-Notebook").clientHeight,
        sideways: document.querySelector(".jp-Notebook").scrollWidth
            - document.querySelector(".jp-Notebook").clientWidth,
        tall: box(".gk-readout").bottom - figure.getBoundingClientRect().top,
        across: box("img.gk-picture").width,
        cut: [...figure.querySelectorAll(".gk-label .widget-html-content, .gk-controls")]
            .filter(wide).map(one => one.innerText),
    };
})"""


@pytest.fixture(scope="module", params=LESSONS)
def lesson(browser, course, request):
    opened = Lesson(browser, course, request.param)  # which has run when it is open
    opened.page.wait_for_function(DRAWN)
    yield opened
    assert opened.trouble() == []
    opened.leave()


def test_everything_has_a_name_and_axe_finds_nothing(lesson):
    assert len(heard(lesson.page)) > 3
    assert nameless(lesson.page) == []
    assert findings(lesson.page) == []


def test_it_has_three_to_six_pages_with_every_figure_and_no_button(lesson):
    ready(lesson.page)
    holds(lesson.page)


def test_every_figure_stands_in_one_window(lesson):
    lesson.page.set_viewport_size(LAPTOP)
    lesson.page.wait_for_timeout(300)
    for figure in lesson.page.evaluate(MEASURED):
        assert figure["tall"] <= figure["room"]
        assert figure["across"] / pen.WIDTH * pen.NOTE >= 12, "the smallest letters"
        assert figure["cut"] == []
    if lesson.page.locator(".gk-figure").count():
        _enlarge(lesson)


def _enlarge(lesson):
    """Large type draws another picture, no smaller on the page, with letters of their own."""
    lesson.page.set_viewport_size(SMALL)
    lesson.page.wait_for_timeout(300)
    before, across = lesson.picture(), lesson.page.evaluate(MEASURED)[0]["across"]
    lesson.figure().get_by_role("button", name="Large type").click()
    lesson.figure().get_by_role("button", name="Type for the laptop").wait_for()
    lesson.page.wait_for_function("""before => {
        const image = document.querySelector(".gk-figure img.gk-picture");
        return image.naturalWidth > 1.4 * before;
    }""", arg=pen.WIDTH)  # fmt: skip
    assert lesson.picture() != before
    assert lesson.page.evaluate(MEASURED)[0]["across"] > 0.97 * across
    for size in (TABLET, SMALL):
        lesson.page.set_viewport_size(size)
        lesson.page.wait_for_timeout(300)
        for figure in lesson.page.evaluate(MEASURED):
            assert figure["tall"] <= figure["room"]
            assert figure["sideways"] <= 0
            assert figure["cut"] == []
    lesson.figure().get_by_role("button", name="Type for the laptop").click()
    lesson.figure().get_by_role("button", name="Large type").wait_for()
