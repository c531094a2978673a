"""A lesson on paper: what is on it, what is not, and that printing waits for the figures."""

import re

import pytest
from course import Lesson

from exercises.bank import syllabus
from tests.class_room import Room

pytestmark = [pytest.mark.browser, pytest.mark.full]
LESSONS = [f"{number:02}_{topic}" for number, topic in enumerate(syllabus.LESSONS, 1)]
FEWEST, MOST = 3, 6  # pages
DRAWN = """() => {
    const pictures = [...document.querySelectorAll(".gk-figure img.gk-picture")];
    return pictures.length && pictures.every(one => one.naturalWidth > 50);
}"""
SEEN = """what => [...document.querySelectorAll(what)]
    .filter(one => one.checkVisibility({ visibilityProperty: true }))"""
PRESSED = "button, jp-button, input[type=button], input[type=checkbox], .noUi-handle, .gk-print"


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    served = Room(tmp_path_factory.mktemp("class ø") / "class")
    yield served
    assert served.stop() == 0


@pytest.fixture
def verticals(browser, course):
    lesson = Lesson(browser, course, "08_deflection")
    ready(lesson.page)
    lesson.page.evaluate("() => { window.times = 0; window.print = () => { window.times += 1; } }")
    yield lesson.page
    lesson.leave()


def ready(page):
    page.locator(".gk-print-button").wait_for()
    page.wait_for_function(DRAWN)


def printed(page):
    """Return how many pages there are on paper, and how many pictures of a figure's size."""
    paper = page.pdf(prefer_css_page_size=True)
    pictures = set(re.findall(rb"\n(\d+) 0 obj\s*<<[^>]*?/Subtype\s*/Image[^>]*>>", paper))
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", paper)), len(pictures)


def on_paper(page, what):
    """Return the words of what a selector finds, where it is on paper."""
    page.emulate_media(media="print")
    found = page.evaluate(f"what => ({SEEN})(what).map(one => one.innerText)", what)
    page.emulate_media(media="null")
    return found


def holds(page, fewest=FEWEST):
    """Look at a lesson as it is printed: its figures, its length, nothing that is pressed."""
    figures = page.locator(".gk-figure").count()
    pages, pictures = printed(page)
    assert fewest <= pages <= MOST
    assert pictures >= figures
    assert len(on_paper(page, "img.gk-picture")) == figures
    assert len(on_paper(page, ".gk-readout")) == figures
    assert on_paper(page, PRESSED) == []
    assert on_paper(page, ".gk-prompt, .gk-entries, details") == []
    words = " ".join(on_paper(page, "h2"))
    for part in ("At sea", "Take aboard", "Sources"):
        assert part in words
    assert "Checked against" not in words


@pytest.mark.parametrize("name", LESSONS)
def test_a_lesson_has_three_to_six_pages_with_every_figure_and_no_button(browser, course, name):
    lesson = Lesson(browser, course, name)
    ready(lesson.page)
    holds(lesson.page, FEWEST)
    lesson.leave()


def test_in_a_class_too(browser, room):
    page = browser.new_page()
    page.set_default_timeout(60_000)
    page.goto(f"{room.address}/08_deflection.ipynb")
    page.get_by_label("Your code").fill("T07")
    page.get_by_label("Your phrase").fill(room.phrases["T07"])
    page.get_by_role("button", name="Sign in").click()
    ready(page)
    holds(page)
    page.evaluate("() => { window.times = 0; window.print = () => { window.times += 1; } }")
    page.keyboard.press("Control+p")
    page.wait_for_function("window.times === 1")
    page.close()


def test_the_button_and_the_keys_print_once(verticals):
    verticals.get_by_role("button", name="Print this lesson").click()
    verticals.wait_for_function("window.times === 1")
    verticals.keyboard.press("Control+p")
    verticals.wait_for_function("window.times === 2")
    assert verticals.locator(".gk-paper-said").inner_text() == ""


def test_printing_waits_until_every_figure_is_drawn_and_says_so(verticals):
    last = verticals.locator("img.gk-picture").last
    figures = verticals.locator("img.gk-picture").count()
    picture = last.get_attribute("src")
    last.evaluate("one => one.removeAttribute('src')")
    verticals.keyboard.press("Control+p")
    words = f"Printing waits: {figures - 1} of {figures} figures are drawn."
    verticals.get_by_text(words).wait_for()
    verticals.wait_for_timeout(1000)
    assert verticals.evaluate("window.times") == 0
    verticals.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert verticals.locator(".gk-figure.gk-undrawn").count() == 1
    last.evaluate("(one, picture) => { one.src = picture; }", picture)
    verticals.wait_for_function("window.times === 1")


def test_exercises_and_notes_are_printed_when_asked_for(verticals):
    verticals.locator(".gk-print summary").click()
    assert not verticals.get_by_label("the trainer's notes").is_visible(), "they are the trainer's"
    verticals.locator(".gk-print summary").click()
    verticals.evaluate("new BroadcastChannel('geodesy-notes').postMessage(true)")  # the switch
    verticals.wait_for_selector("body.gk-with-notes", state="attached")
    verticals.locator(".gk-print summary").click()
    verticals.get_by_label("the exercises").check()
    verticals.get_by_label("the trainer's notes").check()
    verticals.keyboard.press("Control+p")
    verticals.wait_for_function("window.times === 1")
    boxes = verticals.locator(".gk-box").count()
    assert len(on_paper(verticals, ".gk-prompt")) == boxes
    assert "Wrong answers to expect" in " ".join(on_paper(verticals, "details"))
    assert on_paper(verticals, PRESSED) == []
    assert printed(verticals)[0] > FEWEST
