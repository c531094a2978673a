"""How far a trainee has come: done, begun, weak and why, what is next; and the start page's map."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from exercises import BANK
from exercises.bank.syllabus import LESSONS
from exercises.question import dice
from exercises.sheets import report, session, sheet
from exercises.trainee import progress
from exercises.trainee.progress import (
    BEGUN,
    CONCEPT,
    DONE,
    HAND_IN,
    REVIEW,
    SIGN_IN,
    UNTOUCHED,
    HandIn,
)
from lessons.course import coursemap, welcome
from lessons.widgets.pieces import piece

PLUMB, TOTAL = BANK["deflection-plumb-offset"], BANK["deflection-total"]
START = datetime(2026, 3, 16, 9, 0, tzinfo=UTC)
ALL = {*LESSONS, CONCEPT, REVIEW}
QUESTION = replace(BANK["deflection-first-weight"], topic=CONCEPT)
CHECK = {
    key: replace(QUESTION, key=key)
    for key in (f"concept-{idea}-{form}" for form in "ab" for idea in ("one", "two"))
}


class Trainee:
    """A trainee whose sheet is written as the answer box writes it, a minute an event."""

    def __init__(self, code="T07"):
        self.code, self.clock = code, START
        session.sign_in(code)

    def put(self, event, exercise, turn=1, **more):
        self.clock += timedelta(minutes=1)
        place = {"key": exercise.key, "edition": exercise.edition, "turn": turn}
        stamped = {"time": self.clock.isoformat(timespec="milliseconds"), "event": event}
        return sheet.append(session.open().sheet, {**stamped, **place, **more})

    def answer(self, exercise, turn=1, *, slip=None, **typed):
        numbers = dice.given(exercise, self.code, turn)
        values = exercise.solve(numbers) | (exercise.slip(slip).route(numbers) if slip else {})
        texts = {a.name: a.show(values[a.name]) for a in exercise.asked} | typed
        event = "said first" if exercise.marks == 0 else "answered"
        return self.put(event, exercise, turn, given=numbers, typed=texts, decimal=".")

    def all_right(self, topic, but=()):
        for exercise in BANK.values():
            if exercise.topic == topic and exercise.marks and exercise.key not in but:
                self.answer(exercise)


@pytest.fixture
def trainee(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "answers ø"))
    return Trainee()


def now(catalogue=BANK):
    return progress.of(progress.marked(session.open(), catalogue), catalogue)


def marked_ones(topic):
    return [e for e in BANK.values() if e.topic == topic and e.marks]


# Done, begun, weak -----------------------------------------------------------------------


def test_an_empty_sheet_is_nothing_begun(trainee):
    standing = now()
    assert {lesson.state for lesson in standing.lessons} == {UNTOUCHED}
    assert [lesson.topic for lesson in standing.lessons] == list(LESSONS)
    assert (standing.answers, standing.habits, standing.troubles) == (0, (), ())


def test_a_lesson_is_done_when_each_marked_exercise_was_right_once(trainee):
    trainee.all_right("deflection", but=[TOTAL.key])
    lesson = now().of("deflection")
    assert (lesson.state, lesson.left, lesson.tried) == (BEGUN, 1, 0)
    trainee.answer(TOTAL, slip=TOTAL.slips[0].key)
    assert now().of("deflection").tried == 1
    trainee.answer(TOTAL)
    lesson = now().of("deflection")
    marked = len(marked_ones("deflection"))
    assert (lesson.state, lesson.right, lesson.marked) == (DONE, marked, marked)


def test_right_after_the_worked_answer_is_not_right_until_another_turn(trainee):
    trainee.put("shown", TOTAL)
    trainee.answer(TOTAL)
    lesson = now().of("deflection")
    assert (lesson.right, lesson.tried) == (0, 1)
    assert lesson.why == [progress.SHOWN]
    trainee.put("new numbers", TOTAL, 2)
    trainee.answer(TOTAL, 2)
    lesson = now().of("deflection")
    assert (lesson.right, lesson.tried, lesson.weak) == (1, 0, ())


def test_a_say_first_question_begins_a_lesson_and_does_not_finish_it(trainee):
    trainee.answer(BANK["deflection-first-weight"], choice="north")
    lesson = now().of("deflection")
    assert (lesson.state, lesson.kept, lesson.questions, lesson.right) == (BEGUN, 1, 2, 0)
    assert lesson.weak == ()


def test_weak_is_named_by_the_slip_and_ends_with_a_right_answer(trainee):
    trainee.answer(PLUMB)
    trainee.answer(PLUMB, 2, slip="opposite")
    trainee.answer(PLUMB, 2, slip="opposite")
    trainee.answer(PLUMB, 2, slip="swapped")
    lesson = now().of("deflection")
    assert lesson.right == 1, "once right stays right"
    assert lesson.why == [PLUMB.slip("opposite").name, PLUMB.slip("swapped").name]
    trainee.answer(PLUMB, 2)
    assert now().of("deflection").weak == ()
    assert now().habits == ((PLUMB.slip("opposite").name, 2),)


def test_looking_up_what_was_right_is_no_weakness(trainee):
    trainee.answer(PLUMB)
    trainee.put("shown", PLUMB)
    assert now().of("deflection").weak == ()


def test_wrong_without_a_known_slip_and_near_are_said_in_words(trainee):
    trainee.answer(PLUMB, east="0", north="0")
    assert now().of("deflection").why == [progress.NO_SLIP]
    value = TOTAL.solve(dice.given(TOTAL, "T07", 1))
    first = TOTAL.asked[0]
    trainee.answer(TOTAL, **{first.name: first.show(value[first.name] + 2 * first.tolerance)})
    assert progress.NEAR in now().of("deflection").why


def test_an_answer_not_understood_is_no_attempt(trainee):
    trainee.answer(PLUMB, east="no idea")
    lesson = now().of("deflection")
    assert (lesson.tried, lesson.weak) == (0, ())


# What next -------------------------------------------------------------------------------


def step(standing=None, pages=frozenset(ALL), **more):
    return progress.next_step(standing or now(), pages, **more)


def of_states(*, done=(), begun=(), forms=()):
    """A progress with these lessons done and begun; two marked exercises a lesson."""
    lessons = tuple(
        progress.Lesson(
            topic,
            marked=2,
            right=2 if topic in done else topic in begun,
            last=START + timedelta(hours=begun.index(topic)) if topic in begun else None,
        )
        for topic in LESSONS
    )
    return progress.Progress("T07", lessons, forms)


NEITHER = (progress.Form("a", 20, 0, False), progress.Form("b", 20, 0, False))
FIRST = (progress.Form("a", 20, 20, False), progress.Form("b", 20, 0, False))
BOTH = (progress.Form("a", 20, 17, True), progress.Form("b", 20, 20, False))


@pytest.mark.parametrize(
    ("standing", "more", "where"),
    [
        (progress.Progress("", ()), {}, SIGN_IN),
        (of_states(forms=NEITHER), {}, CONCEPT),
        (of_states(forms=FIRST), {}, "surface"),
        (of_states(begun=["surface"], forms=NEITHER), {}, "surface"),
        (of_states(done=["surface"]), {}, "excess"),
        (of_states(done=["surface"], begun=["lines", "ecef"]), {}, "ecef"),
        (of_states(done=["surface"], begun=["ecef"]), {"ready": 3}, REVIEW),
        (of_states(done=LESSONS, forms=FIRST), {}, CONCEPT),
        (of_states(done=LESSONS, forms=BOTH), {}, HAND_IN),
        (of_states(done=LESSONS), {"file": HandIn(9, True, 1)}, HAND_IN),
        (of_states(done=LESSONS), {"file": HandIn(9, True, 0)}, REVIEW),
    ],
)
def test_the_one_thing_to_do_next(standing, more, where):
    assert step(standing, **more).where == where


def test_no_step_leads_to_a_page_that_is_not_there():
    pages = {"surface", "excess"}
    assert step(of_states(forms=NEITHER), pages, ready=2).where == "surface"
    done = of_states(done=["surface", "excess"], forms=NEITHER)
    assert step(done, pages).where == HAND_IN
    assert step(done, pages, file=HandIn(2, True, 0)).where == ""


def test_am_i_done_says_what_is_left():
    pages, complete = set(LESSONS), HandIn(24, True, 0)
    part = progress.am_i_done(of_states(done=["surface"], begun=["lines"]), pages)
    assert f"1 of {len(LESSONS)} lessons, 3 of {2 * len(LESSONS)} exercises" in part
    assert "handing in" in progress.am_i_done(of_states(done=LESSONS), pages)
    whole = of_states(done=LESSONS, forms=FIRST)
    assert "you are done" in progress.am_i_done(whole, pages, complete)
    assert "concept check" in progress.am_i_done(whole, ALL, complete)
    assert progress.am_i_done(progress.Progress("", ()), pages) == ""


def test_a_form_is_taken_when_answered_or_closed(trainee):
    for key in ("concept-one-a", "concept-two-a"):
        trainee.answer(CHECK[key], choice="north")
    first, second = now(CHECK).forms
    assert (first.taken, second.taken, first.kept) == (True, False, 2)
    found = report.Report("T07", [])
    found.entries["concept-one-b"] = [report.Entry(START, None, 1, progress.FINISHED)]
    assert progress.of(found, CHECK).forms[1].taken


# The hand-in -----------------------------------------------------------------------------


def test_answers_after_the_hand_in_are_counted(trainee):
    trainee.clock = datetime.now(UTC) - timedelta(hours=1)
    trainee.answer(PLUMB)
    settings = session.open()
    assert progress.hand_in(settings, progress.marked(settings)) == HandIn(1)
    session.hand_in()
    settings = session.open()
    assert progress.hand_in(settings, progress.marked(settings)).complete
    trainee.clock += timedelta(hours=2)
    trainee.answer(TOTAL)
    assert progress.hand_in(settings, progress.marked(settings)) == HandIn(2, True, 1)
    odd = replace(settings, prepared={"T07": "yesterday"})
    assert not progress.hand_in(odd, progress.marked(settings)).prepared


# Bad input -------------------------------------------------------------------------------


def test_damage_and_keys_no_longer_in_the_bank_are_reported_and_the_rest_counts(trainee):
    trainee.answer(PLUMB)
    trainee.put("answered", replace(PLUMB, key="deflection-of-old"), given={}, typed={})
    with open(session.open().sheet, "a", encoding="utf-8") as file:
        file.write('{"event": "answe\n')
    standing = now()
    assert standing.of("deflection").right == 1
    assert "torn or damaged" in progress.troubles(standing)
    assert "deflection-of-old" in progress.troubles(standing)
    start = welcome.panel()
    assert "Not all of your answer file could be read" in start.message.value
    assert f"begun: 1 of {len(marked_ones('deflection'))} right" in start.map.value


def test_nobody_signed_in_shows_the_map_all_the_same(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "new"))
    start = welcome.panel()
    assert "sign in" in start.next.value
    assert "08_deflection.ipynb" in start.map.value
    assert "is made when you sign in" in start.file.value


def test_whoever_studies_alone_signs_in_by_a_name_and_hands_nothing_in(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "new"))
    start = welcome.panel()
    assert "Your code?" in start.who.value
    start.other.click()
    assert "Your name?" in start.who.value
    start._safely(start.sign_in)()
    assert "Type any name" in start.message.value
    start.code.value = "Anna <b>Ødegård"
    start.enter.click()
    assert "You are <b>Anna &lt;b&gt;Ødegård</b>" in start.who.value
    assert session.open().trainee == "ANNABODE"
    assert "ANNABODE" in start.who.value
    assert start.way.layout.display == "none"
    start.other.click()
    assert start.way.layout.display is None
    assert start.prepare.description == "Save a copy of my answers"
    whole, file = of_states(done=LESSONS), HandIn(9, alone=True)
    assert step(whole, set(LESSONS), file=file).where == ""
    assert progress.am_i_done(whole, set(LESSONS), file).endswith("lessons are done: you are done.")
    start.take_back()
    assert "Your name?" in start.who.value
    assert session.open().trainee is None


def test_the_trainers_switch_is_kept_and_dresses_the_page(trainee):
    start = welcome.panel()
    assert "gk-trainer" not in start._dom_classes
    start.notes.click()
    assert session.open().trainer
    assert "gk-trainer" in start._dom_classes
    assert "gk-trainer" in welcome.panel()._dom_classes
    start.notes.click()
    assert "gk-trainer" not in start._dom_classes


def test_a_sheet_that_cannot_be_opened_is_said(trainee):
    path = session.open().sheet
    path.unlink()
    path.mkdir()
    assert "not read" in progress.troubles(now())
    assert "not read" in welcome.panel().message.value


# The map ---------------------------------------------------------------------------------


def test_every_page_of_the_map_is_there_and_says_what_it_is_for():
    pages = coursemap.pages()
    assert list(pages)[:8] == list(LESSONS)[:8]
    assert {REVIEW, "workbench"} <= set(pages)
    for where, page in pages.items():
        assert (coursemap.LESSONS / page.file).is_file()
        assert coursemap.CAN[where]
        assert f'href="{page.file}"' in piece("start.html", "link", page)


def test_a_page_without_a_heading_goes_by_its_name(tmp_path):
    (tmp_path / "01_surface.ipynb").write_text("not a notebook", encoding="utf-8")
    heading = {"cells": [{"source": ["# 02 Angles & all\n", "more"]}]}
    (tmp_path / "02_excess.ipynb").write_text(json.dumps(heading), encoding="utf-8")
    titles = {where: page.title for where, page in coursemap.pages(tmp_path).items()}
    assert titles == {"surface": "01 surface", "excess": "02 Angles & all"}


def test_the_map_follows_the_sheet_and_a_sign_in_elsewhere(trainee):
    start, trainee.clock = welcome.panel(), datetime.now(UTC)
    trainee.all_right("excess")
    trainee.answer(PLUMB, slip="opposite")
    start.look()
    assert start.map.value.count("●") == 1
    assert start.map.value.count("◐") == 1
    assert f"weak in 1: {PLUMB.slip('opposite').name}" in start.map.value
    assert "08 The two verticals" in start.next.value
    session.sign_in("T09")
    start.look()
    assert "T09" in start.who.value
    assert "●" not in start.map.value


def test_looking_again_leaves_a_site_that_is_being_typed_alone(trainee):
    start = welcome.panel()
    start.places.value = welcome.OWN
    start.own["latitude"].value = "54 1"
    trainee.answer(PLUMB)
    start.look()
    assert "1 answer kept" in start.file.value
    assert start.own_row.layout.display is None
    assert start.own["latitude"].value == "54 1"
