"""The list of a lesson's contents, the way back, the tab's name, the trainer's notes."""

import pytest
from course import Lesson

from exercises import BANK
from exercises.sheets import session

pytestmark = [pytest.mark.browser, pytest.mark.full]
NAME = "02_excess"
TOP = "one => one.getBoundingClientRect().top"
PAGE = "document.querySelector('.jp-Notebook')"


@pytest.fixture(scope="module")
def lesson(browser, course):
    opened = Lesson(browser, course, NAME)
    yield opened
    assert (opened.trouble(), opened.strangers, opened.questions) == ([], [], [])
    opened.leave()


def test_the_tab_bears_the_name_of_the_lesson(lesson):
    lesson.page.wait_for_function("document.title.startsWith('02 ')")
    heading = lesson.page.locator(".jp-RenderedMarkdown h1").first
    assert lesson.page.title() == heading.inner_text().rstrip("¶").strip()


def test_the_list_covers_nothing_leads_there_by_keys_and_back(lesson, course, monkeypatch):
    page = lesson.page
    button = page.get_by_role("button", name="Contents")
    asked = sum(exercise.topic == "excess" for exercise in BANK.values())
    button.filter(has_text=f"0 of {asked} answered").wait_for()  # once all questions stand
    button.focus()
    page.keyboard.press("Enter")
    listed = page.get_by_role("navigation", name="Contents of this page")
    listed.wait_for()
    rows = listed.get_by_role("button")
    headings = page.locator(".jp-RenderedMarkdown h2").all()
    assert rows.count() == len(headings)
    below = page.locator(".jp-Notebook").bounding_box()["y"]
    box = listed.bounding_box()
    page.wait_for_function(f"y => {PAGE}.getBoundingClientRect().top >= y", arg=box["y"] + 40)
    below = page.locator(".jp-Notebook").bounding_box()
    assert box["y"] + box["height"] <= below["y"] + 1
    assert below["y"] + below["height"] <= 801

    rows.nth(5).focus()
    page.keyboard.press("Enter")
    page.wait_for_function(f"() => {PAGE}.scrollTop > 300")
    assert not listed.is_visible()
    assert headings[5].evaluate("one => one === document.activeElement")
    assert 40 <= headings[5].evaluate(TOP) <= 100
    page.get_by_role("button", name="Back to the top").click()
    page.wait_for_function(f"() => {PAGE}.scrollTop === 0")
    button.click()
    page.keyboard.press("Escape")
    assert not listed.is_visible()

    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    first = lesson.page.locator(".gk-box[class*='gk-box-']").first
    first.locator(".gk-in-code input").fill("T31")
    first.get_by_role("button", name="Sign in").click()
    first.locator("input[type=radio]").nth(1).check()
    first.get_by_role("button", name="Keep my answer").click()
    page.get_by_role("button", name=f"1 of {asked} answered").wait_for()


def test_who_comes_back_is_led_to_where_they_were(lesson):
    page = lesson.page
    heading = page.locator(".jp-RenderedMarkdown h2").nth(4)
    words = heading.inner_text().rstrip("¶").strip()
    page.evaluate(f"one => {PAGE}.scrollBy(0, one.getBoundingClientRect().top)",
                  heading.element_handle())  # fmt: skip
    page.wait_for_function("JSON.stringify(localStorage).includes('geodesy-place')")
    page.wait_for_timeout(800)
    lesson.reload()
    page.get_by_role("button", name=f"Back to “{words}”").click()
    page.wait_for_function(f"() => {PAGE}.scrollTop > 300")
    page.wait_for_timeout(500)
    assert abs(page.locator(".jp-RenderedMarkdown h2").nth(4).evaluate(TOP)) < 120


def test_the_notes_are_the_trainers(lesson, course, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    notes = lesson.page.locator(".jp-RenderedMarkdown details", has_text="Trainer's notes")
    assert notes.count() == 1
    notes.wait_for(state="hidden")
    session.choose_notes(True)
    lesson.reload()
    notes.wait_for()
    assert notes.get_attribute("open") is None
    session.choose_notes(False)


def test_on_a_tablet_it_covers_nothing_and_on_paper_it_is_not(browser, course):
    lesson = Lesson(browser, course, NAME, 820, 1180)
    page = lesson.page
    page.get_by_role("button", name="Contents").click()
    page.wait_for_timeout(600)
    box = page.locator(".gk-contents").bounding_box()
    assert box["y"] + box["height"] <= page.locator(".jp-Notebook").bounding_box()["y"] + 1
    assert box["width"] <= 820
    page.emulate_media(media="print")
    assert not page.locator(".gk-contents").is_visible()
    assert not page.locator(".gk-contents-bar").is_visible()
    lesson.leave()
