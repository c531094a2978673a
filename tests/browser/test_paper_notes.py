"""A lesson on paper: what is on it, what is not, and that printing waits for the figures."""

import pytest
from course import Lesson
from notes_on_paper import FEWEST, PRESSED, holds, on_paper, printed, ready

from tests.class_room import Room

pytestmark = [pytest.mark.browser, pytest.mark.full]


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
