"""A trainee's way through the course, in a real browser, started by `python -m lessons`."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from course import Lesson

from exercises import find
from exercises.sheets import session, sheet
from exercises.trainee.practice import Practice

pytestmark = pytest.mark.browser

OFFSET = "deflection-plumb-offset"


@pytest.fixture(scope="module")
def open_lesson(browser, course):
    """Open lessons; at the end none of them asked a question, raised an error or left loopback."""
    opened = []

    def open_one(name):
        opened.append(Lesson(browser, course, name))
        return opened[-1]

    yield open_one
    for lesson in opened:
        assert lesson.trouble() == []
        assert lesson.dialogs() == []
        lesson.leave()
        assert lesson.questions == []
        assert lesson.strangers == []


@pytest.fixture(scope="module")
def start(open_lesson):
    return open_lesson("00_start")


@pytest.fixture(scope="module")
def deflection(open_lesson):
    return open_lesson("08_deflection")


def test_only_the_button_is_in_sight(start):
    shown = [
        button.inner_text()
        for button in start.page.locator("jp-button, .lm-MenuBar-item, .lm-TabBar-tab").all()
        if button.is_visible()
    ]
    assert shown == ["Run this lesson"]
    assert not start.page.locator(".jp-Notebook-ExecutionIndicator svg").is_visible()


def test_while_python_works_the_page_says_so_in_words(start):
    python = ".jp-Notebook-ExecutionIndicator"
    words = f"""() => {{
        const look = getComputedStyle(document.querySelector("{python}"), "::after");
        return look.visibility === "visible" && look.content.includes("Python is busy");
    }}"""
    set_status = f"document.querySelector('{python}').dataset.status"
    assert not start.page.evaluate(words)
    start.page.evaluate(f"() => {{ {set_status} = 'busy' }}")
    assert not start.page.evaluate(words), "not for a moment's work"
    # The page may draw its own status over it meanwhile: busy is what it says all the time.
    start.page.evaluate(f"() => {{ window.busy = setInterval(() => {set_status} = 'busy', 50) }}")
    start.page.wait_for_function(words)
    start.page.evaluate(f"() => {{ clearInterval(window.busy); {set_status} = 'idle' }}")
    start.page.wait_for_function(f"() => !({words})()")


# The moment may be too short to be found by looking again and again: the page notes it itself.
NOTED = """
window.noted = [];
const button = ".gk-getting-ready [data-jp-item-name='run-lesson'] > jp-button";
new MutationObserver(() => {
  const found = document.querySelector(button);
  if (found) window.noted.push(getComputedStyle(found).pointerEvents);
}).observe(document, { subtree: true, childList: true, attributes: true });
"""


def test_the_button_says_so_until_the_lesson_can_run(start):
    start.page.add_init_script(NOTED)
    start.page.reload(wait_until="commit")
    start.loaded()
    start.page.locator(".gk-getting-ready").wait_for(state="detached")
    assert "none" in start.page.evaluate("window.noted")


def test_a_used_lesson_stays_clean_on_disk(start):
    before = _stored(start)
    start.run("F9")
    start.page.keyboard.press("Control+s")
    start.page.wait_for_timeout(1000)
    assert _stored(start) == before


def _stored(lesson):
    return lesson.page.evaluate(
        "async () => (await (await fetch('/api/contents/lessons/00_start.ipynb')).json()).content"
    )


def test_large_type_is_of_the_whole_notebook(start):
    words = start.page.locator(".jp-RenderedMarkdown p").first
    height = "one => parseFloat(getComputedStyle(one).fontSize)"
    before = words.evaluate(height)
    start.page.get_by_role("button", name="Large type for the wall").click()
    start.page.locator(".gk-large-type").wait_for()
    assert words.evaluate(height) == pytest.approx(1.2 * before, rel=1e-3)
    start.page.get_by_role("button", name="Type for the laptop").click()
    start.page.locator(".gk-large-type").wait_for(state="detached")
    assert words.evaluate(height) == before


def test_keys_change_nothing_in_the_lesson(start):
    heading = start.page.locator(".jp-RenderedMarkdown h1").first
    before = _cells(start)
    for key in ("a", "b", "d", "d", "x", "m", "y", "r", "v", "z", "1", "Enter", "Escape", "0", "0",
                "Shift+Enter", "Alt+Enter", "Shift+M", "Control+s", "Control+Shift+d"):  # fmt: skip
        heading.click()
        start.page.keyboard.press(key)
    heading.dblclick()
    start.page.wait_for_timeout(500)
    assert _cells(start) == before


def _cells(lesson):
    return lesson.page.locator(".jp-Cell").evaluate_all(
        "cells => cells.map(one => [one.innerText, one.classList.contains('jp-mod-rendered')])"
    )


def test_start_page_signs_in(start, course):
    panel = start.page.locator(".gk-welcome")
    start.page.wait_for_timeout(1000)  # nobody types in the moment in which a page has come
    panel.locator(".gk-in-code input").focus()
    start.page.keyboard.type("t08")  # Enter comes before the page has passed on the last letters
    start.page.keyboard.press("Enter")
    panel.get_by_text("You are T08.").wait_for()
    panel.get_by_role("button", name="12.5").click()
    panel.get_by_text("You write 12.5.").wait_for()
    settings = json.loads((course.answers / "settings.json").read_text(encoding="utf-8"))
    assert (settings["trainee"], settings["people"]["T08"]["decimal"]) == ("T08", ".")


@pytest.mark.parametrize(("width", "height"), [(1920, 1080), (1280, 800)])
def test_the_course_is_one_screen_for_a_newcomer(start, width, height):
    start.page.set_viewport_size({"width": width, "height": height})
    start.page.wait_for_timeout(500)
    assert start.page.locator(".gk-map li").count() >= 10
    for place in (".jp-RenderedMarkdown h1", ".gk-welcome", ".gk-map li:last-child"):
        size = start.page.locator(place).first.bounding_box()
        assert 0 <= size["y"] < size["y"] + size["height"] <= height
        assert size["x"] + size["width"] <= width


@pytest.mark.full
def test_each_page_has_one_tab_and_links_lead_to_it(start):
    page = start.page
    link = page.locator(".gk-map").get_by_role("link", name="Workbench")
    with page.expect_popup() as opened:
        link.click()
    tab = opened.value
    for _ in range(2):
        tab.locator(".jp-RenderedMarkdown h1", has_text="Workbench").wait_for()
        assert tab.url.split("?")[0].endswith("/tree/lessons/workbench.ipynb")
        tab.reload()
    back = tab.locator(".jp-RenderedMarkdown").get_by_role("link", name="start page").first
    back.wait_for()
    tab.evaluate("window.stays = true")
    for one in (back, link, back):  # each tab stays as it is
        one.click()
    assert page.context.pages == [page, tab]
    assert tab.evaluate("window.stays")
    assert page.url.endswith("/tree/lessons/00_start.ipynb")
    assert page.locator(".gk-map li").count() >= 10
    tab.close()


def test_the_map_follows_what_is_answered_in_another_tab(start, course, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    assert session.open().trainee == "T08"
    practice = Practice(find(OFFSET))
    practice.answer(_answers()[1])
    row = start.page.locator(".gk-map li", has_text="08 The two verticals")
    row.get_by_text("begun: 0 of").wait_for()
    assert f"weak in 1: {practice.exercise.slip('opposite').name}" in row.inner_text()
    practice.answer(_answers()[0])
    row.get_by_text("begun: 1 of").wait_for()
    assert "weak" not in row.inner_text()


@pytest.mark.full
def test_the_review_asks_what_is_ready_with_fresh_numbers(open_lesson, course, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    session.sign_in("T12")
    session.choose_decimal(".")
    practice = Practice(find(OFFSET))
    long_ago = (datetime.now(UTC) - timedelta(days=4)).isoformat(timespec="milliseconds")
    place = {"key": OFFSET, "edition": practice.exercise.edition, "turn": 1}
    event = {"time": long_ago, "event": "answered", **place, "given": practice.given}
    sheet.append(session.open().sheet, {**event, "typed": _answers()[1], "decimal": "."})
    review = open_lesson("review")
    review.page.get_by_role("button", name="Begin").click()
    review.page.get_by_text("T12 · turn 2").wait_for()
    box = review.box(OFFSET)
    box.type(**_answers()[0])
    assert box.check().startswith("Right")
    review.page.get_by_role("button", name="Finish").click()
    review.page.get_by_text("1 right at the first answer").wait_for()


def test_a_run_leaves_the_page_where_it_is(deflection):
    heading = deflection.page.locator(".jp-RenderedMarkdown h1").first
    deflection.page.locator(".gk-print-button").wait_for()  # it comes beside the heading, last
    before = heading.bounding_box()
    deflection.run()
    deflection.page.wait_for_timeout(1000)
    assert heading.bounding_box() == before


@pytest.mark.parametrize(("width", "height"), [(1920, 1080), (1366, 650), (1280, 800)])
def test_a_figure_fits_one_window(deflection, width, height):
    deflection.page.set_viewport_size({"width": width, "height": height})
    deflection.page.wait_for_timeout(500)
    toolbar = deflection.page.locator(".jp-NotebookPanel-toolbar").bounding_box()["height"]
    figures = deflection.page.locator(".gk-figure").count()
    assert figures > 0
    for figure in range(figures):
        size = deflection.figure(figure).bounding_box()
        assert toolbar + size["height"] <= height
        assert size["x"] + size["width"] <= width


def test_figures_follow_the_slider(deflection):
    picture, words = deflection.picture(), deflection.readout()
    deflection.slide("wire", "ArrowLeft", "ArrowLeft", "PageDown")
    deflection.page.wait_for_function(
        "words => document.querySelector('.gk-readout').innerText !== words", arg=words
    )
    assert deflection.picture() != picture


def test_answer_survives_a_crash_and_a_reload(deflection, course, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    session.sign_in("T07")
    session.choose_decimal(".")
    right, wrong = _answers()
    deflection.run()
    box = deflection.box(OFFSET)

    box.type(**wrong)
    assert "east" in box.check().lower()
    assert "slip" in " ".join(box.parts())
    box.verdict("slip")

    box.type(**right)
    assert box.check().startswith("Right")
    assert "answers-T07.jsonl" in box.kept()

    course.crash()
    deflection.reload()
    again = deflection.box(OFFSET)
    assert again.verdict("right").startswith("Right")
    assert again.typed(*right) == list(right.values())
    assert "answers-T07.jsonl" in again.kept()


def _answers():
    """Return the right texts for who is signed in, and the same with east turned the other way."""
    exercise = find(OFFSET)
    given = Practice(exercise).given
    solved = exercise.solve(given)
    right = {asked.name: asked.show(solved[asked.name]) for asked in exercise.asked}
    east = exercise.asked[0]
    assert east.name == "east"
    return right, {**right, "east": east.show(-solved["east"])}
