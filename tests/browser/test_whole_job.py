"""Lesson 13 and the concept check in a real browser: all kept, whatever happens to Python."""

import pytest
from course import Lesson

from exercises import find
from exercises.bank.concept import IDEAS
from exercises.bank.parameter_sheet import LINES
from exercises.sheets import session
from exercises.trainee.practice import Practice
from exercises.trainer import sailing

pytestmark = [pytest.mark.browser, pytest.mark.full]


@pytest.fixture
def open_page(browser, course, monkeypatch):
    """Open pages as somebody who is signed in; none asks, fails or leaves this machine."""
    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    opened = []

    def open_one(name, trainee):
        session.sign_in(trainee)
        session.choose_decimal(".")
        opened.append(Lesson(browser, course, name))
        return opened[-1]

    yield open_one
    for page in opened:
        assert (page.trouble(), page.dialogs(), page.strangers) == ([], [], [])
        page.leave()
        assert page.questions == []


def test_the_sheet_is_marked_line_by_line_and_outlives_python(open_page, course):
    lesson = open_page("13_sailing", "T09")
    lesson.page.keyboard.press("F8")
    lesson.page.wait_for_function("() => document.querySelector('.jp-Notebook').scrollTop > 0")
    assert lesson.figure(1).locator("img.gk-picture").count() == 1  # fingerprints and chain
    _radio_buttons_are_one_stop_for_the_keyboard(lesson)
    box = lesson.box(sailing.SHEET)
    typed, wrong = _typed()
    box.type(**typed)
    assert "answers-T09.jsonl" in (box.check() and box.kept())
    assert box.parts() == ["slip" if name in wrong else "right" for name in LINES]

    course.crash()
    lesson.page.locator(".gk-stopped", has_text="Press Run this lesson").wait_for()
    assert lesson.page.locator(".gk-python-stopped").count() == 1
    box.type(**{wrong[0]: "12.5"})  # Python does not hear this
    lesson.loaded()
    lesson.run()
    assert lesson.page.locator(".gk-stopped").inner_text() == ""
    assert lesson.page.locator(".gk-python-stopped").count() == 0
    assert box.typed(*LINES) == list({**typed, wrong[0]: "12.5"}.values())
    box.place.get_by_text("not kept yet").wait_for()
    box.check()
    assert box.parts()[list(LINES).index(wrong[0])] != "right"
    assert box.parts().count("right") == len(LINES) - len(wrong)


def _radio_buttons_are_one_stop_for_the_keyboard(lesson):
    radios = lesson.page.locator(".gk-box-sailing-first-proof input[type=radio]")
    radios.first.focus()
    lesson.page.keyboard.press("ArrowDown")
    assert [radio.is_checked() for radio in radios.all()] == [False, True, False, False]
    lesson.page.keyboard.press("Tab")
    assert lesson.page.evaluate("document.activeElement.innerText") == "Keep my answer"


def _typed():
    """Return what is typed into the sheet, and its wrong lines: one missed, one false alarm."""
    exercise = find(sailing.SHEET)
    given = Practice(exercise).given
    solved = exercise.solve(given)
    missed = given["planted"][0]
    alarm = next(name for name in LINES if name not in given["planted"])
    texts = {asked.name: asked.show(solved[asked.name]) for asked in exercise.asked}
    return {**texts, missed: "0", alarm: "77.7"}, [missed, alarm]


def test_choices_of_the_concept_check_outlive_a_reload(open_page):
    check = open_page("concept_check", "T11")
    chosen = {}
    for number in (1, 2, len(IDEAS)):
        question = check.page.locator(f".gk-card-{number}")
        question.locator("select").select_option(index=number % 4)
        question.locator(".gk-tick svg").wait_for()
        chosen[number] = question.locator("select").input_value()
    check.reload()
    check.page.get_by_text(f"3 of {len(IDEAS)} answered").wait_for()
    for number, value in chosen.items():
        assert check.page.locator(f".gk-card-{number} select").input_value() == value
    assert check.page.locator(".gk-tick svg").count() == len(chosen)
    assert check.page.locator(".gk-card-3 select").input_value() == ""
