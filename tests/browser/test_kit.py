"""The trainer's kit in a real browser: steps by keyboard, a saved picture, large type."""

from pathlib import Path

import pytest
from course import Lesson

pytestmark = [pytest.mark.browser, pytest.mark.full]

AT_TOP = """() => {
    const page = document.querySelector(".jp-Notebook");
    const top = page.getBoundingClientRect().top;
    return [...page.querySelectorAll("h1, h2")]
        .filter(one => Math.abs(one.getBoundingClientRect().top - top - 8) < 2)
        .map(one => one.innerText.split(":")[0]);
}"""


@pytest.fixture(scope="module")
def lesson(browser, course):
    opened = Lesson(browser, course, "02_excess")
    yield opened
    assert opened.trouble() == []
    assert opened.strangers == []
    opened.leave()


def test_a_key_goes_from_section_to_section(lesson):
    seen = []
    for key in ("F8", "F8", "F8", "F8", "Shift+F8"):
        lesson.page.keyboard.press(key)
        seen += lesson.page.evaluate(AT_TOP)
    title, at_sea, say_first, see_it, back = seen
    assert title.startswith("02 ")
    assert (at_sea, say_first) == ("At sea", "Say first")
    assert see_it.startswith("See it")
    assert back == say_first


def test_a_picture_is_saved_and_type_grows_within_the_window(lesson):
    figure = lesson.figure()
    figure.get_by_role("button", name="Save picture").click()
    with lesson.page.expect_download() as saved:
        figure.get_by_role("link", name="SVG").click()
    assert Path(saved.value.path()).read_text(encoding="utf-8").rstrip().endswith("</svg>")
    prose = lesson.page.locator(".jp-RenderedMarkdown p").first
    size = "one => parseFloat(getComputedStyle(one).fontSize)"
    before, width = prose.evaluate(size), figure.locator("img").bounding_box()["width"]
    figure.get_by_role("button", name="Large type").click()
    figure.get_by_role("button", name="Type for the laptop").wait_for()
    assert prose.evaluate(size) == pytest.approx(1.2 * before, abs=0.1)
    assert figure.locator("img").bounding_box()["width"] == pytest.approx(width, abs=2)
    assert figure.bounding_box()["height"] <= 800
    figure.get_by_role("button", name="Type for the laptop").click()
    figure.get_by_role("button", name="Large type").wait_for()


def test_a_page_zoomed_to_twice_its_size_loses_nothing(lesson):
    page = lesson.page
    page.set_viewport_size({"width": 640, "height": 400})
    page.wait_for_function("""() => [...document.querySelectorAll(
        ".jp-Notebook :is(img, input, button, select, td, p, .gk-label)"
    )].every(one => one.getBoundingClientRect().right <= window.innerWidth)""")
    page.set_viewport_size({"width": 1280, "height": 800})
