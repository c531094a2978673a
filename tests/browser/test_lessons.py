"""A trainee's way through the course, in a real browser, started by `python -m lessons`."""

import json

import pytest
from course import Lesson

from exercises import find, session
from exercises.practice import Practice

pytestmark = pytest.mark.browser

OFFSET = "deflection-plumb-offset"


@pytest.fixture
def open_lesson(browser, course):
    """Open lessons; at the end none of them asked a question, raised an error or left loopback."""
    opened = []

    def open_one(name, **size):
        opened.append(Lesson(browser, course, name, **size))
        return opened[-1]

    yield open_one
    for lesson in opened:
        assert lesson.trouble() == []
        assert lesson.dialogs() == []
        lesson.leave()
        assert lesson.questions == []
        assert lesson.strangers == []


def test_start_page_signs_in(open_lesson, course):
    start = open_lesson("00_start")
    start.run()
    panel = start.page.locator(".gk-welcome")
    panel.locator(".gk-in-code input").fill("t08")
    panel.get_by_role("button", name="Sign in").click()
    panel.get_by_text("You are T08.").wait_for()
    panel.get_by_role("button", name="12.5").click()
    panel.get_by_text("You write 12.5.").wait_for()
    settings = json.loads((course.answers / "settings.json").read_text(encoding="utf-8"))
    assert (settings["trainee"], settings["decimal"]) == ("T08", ".")


def test_answer_survives_a_crash_and_a_reload(open_lesson, course, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    session.sign_in("T07")
    session.choose_decimal(".")
    right, wrong = _answers()
    lesson = open_lesson("08_deflection")
    lesson.run()
    box = lesson.box(OFFSET)

    box.type(**wrong)
    assert "east" in box.check().lower()
    assert "slip" in " ".join(box.parts())
    box.verdict("slip")

    box.type(**right)
    assert box.check().startswith("Right")
    assert "answers-T07.jsonl" in box.kept()

    course.restart_kernels()
    lesson.reload()
    lesson.run()
    again = lesson.box(OFFSET)
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


def test_figures_follow_the_slider(open_lesson):
    lesson = open_lesson("08_deflection")
    lesson.run()
    picture, words = lesson.picture(), lesson.readout()
    lesson.slide("wire", "ArrowLeft", "ArrowLeft", "PageDown")
    lesson.page.wait_for_function(
        "words => document.querySelector('.gk-readout').innerText !== words", arg=words
    )
    assert lesson.picture() != picture


def test_a_run_leaves_the_page_where_it_is(open_lesson):
    lesson = open_lesson("08_deflection")
    heading = lesson.page.locator(".jp-RenderedMarkdown h1").first
    before = heading.bounding_box()
    lesson.run()
    lesson.page.wait_for_timeout(1000)
    assert heading.bounding_box() == before


def test_keys_change_nothing_in_the_lesson(open_lesson):
    lesson = open_lesson("00_start")
    heading = lesson.page.locator(".jp-RenderedMarkdown h1").first
    before = _cells(lesson)
    for key in ("a", "b", "d", "d", "x", "m", "y", "r", "v", "z", "1", "Enter", "Escape", "0", "0",
                "Shift+Enter", "Alt+Enter", "Shift+M", "Control+s", "Control+Shift+d"):  # fmt: skip
        heading.click()
        lesson.page.keyboard.press(key)
    heading.dblclick()
    lesson.page.wait_for_timeout(500)
    assert _cells(lesson) == before


def _cells(lesson):
    return lesson.page.locator(".jp-Cell").evaluate_all(
        "cells => cells.map(one => [one.innerText, one.classList.contains('jp-mod-rendered')])"
    )


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (1920, 1080)])
def test_a_figure_fits_one_window(open_lesson, width, height):
    lesson = open_lesson("08_deflection", width=width, height=height)
    lesson.run()
    toolbar = lesson.page.locator(".jp-NotebookPanel-toolbar").bounding_box()["height"]
    for figure in range(lesson.page.locator(".gk-figure").count()):
        size = lesson.figure(figure).bounding_box()
        assert toolbar + size["height"] <= height
        assert size["x"] + size["width"] <= width


def test_a_used_lesson_stays_clean_on_disk(open_lesson):
    lesson = open_lesson("00_start")
    before = _stored(lesson)
    lesson.run("F9")
    lesson.page.keyboard.press("Control+s")
    lesson.page.wait_for_timeout(1000)
    assert _stored(lesson) == before


def _stored(lesson):
    return lesson.page.evaluate(
        "async () => (await (await fetch('/api/contents/lessons/00_start.ipynb')).json()).content"
    )


def test_only_the_button_is_in_sight(open_lesson):
    lesson = open_lesson("00_start")
    shown = [
        button.inner_text()
        for button in lesson.page.locator("jp-button, .lm-MenuBar-item, .lm-TabBar-tab").all()
        if button.is_visible()
    ]
    assert shown == ["Run this lesson"]
