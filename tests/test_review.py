"""The review: when an exercise comes back, in which order, with which numbers; and its page."""

import itertools
from collections import Counter
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises import BANK
from exercises.question import dice
from exercises.sheets import report, session, sheet
from exercises.trainee import progress, review
from exercises.trainee.practice import Practice
from lessons.course import reviewing

PLUMB, TOTAL, FIRST = (
    BANK[f"deflection-{name}"] for name in ("plumb-offset", "total", "first-weight")
)
MORNING = datetime(2026, 3, 16, 9, 0, tzinfo=UTC)
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
MIXED = [  # one marked exercise of each of several lessons, the rest of deflection's after it
    next(e for e in BANK.values() if e.topic == topic and e.marks)
    for topic in ("surface", "excess", "ellipsoid", "ecef", "lines", "geoid", "heights")
]


class Trainee:
    """A trainee who answers at given times."""

    def __init__(self, code="T07"):
        self.code = code
        session.sign_in(code)

    def put(self, when, event, exercise, turn=1, **more):
        place = {"key": exercise.key, "edition": exercise.edition, "turn": turn}
        stamped = {"time": when.isoformat(timespec="milliseconds"), "event": event}
        sheet.append(session.open().sheet, {**stamped, **place, **more})

    def answer(self, when, exercise=PLUMB, turn=1, *, slip=None, **typed):
        numbers = dice.given(exercise, self.code, turn)
        values = exercise.solve(numbers) | (exercise.slip(slip).route(numbers) if slip else {})
        texts = {a.name: a.show(values[a.name]) for a in exercise.asked} | typed
        event = "said first" if exercise.marks == 0 else "answered"
        self.put(when, event, exercise, turn, given=numbers, typed=texts, decimal=".")


@pytest.fixture
def trainee(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "answers ø"))
    return Trainee()


def held(now=MORNING, **more):
    return review.session(progress.marked(session.open()), now, **more)


def back(exercise=PLUMB):
    held = review.returns(progress.marked(session.open()))
    return next((r for r in held if r.exercise.key == exercise.key), None)


# When -------------------------------------------------------------------------------------


def test_right_answers_when_ready_walk_through_the_intervals_and_stay_at_the_last(trainee):
    when = MORNING
    for turn, days in enumerate((1, 3, 9, 27, 81, 81, 81), 1):
        trainee.answer(when, turn=turn)
        assert back().ready - when == days * DAY
        when = back().ready


def test_a_wrong_answer_goes_back_to_the_start(trainee):
    trainee.answer(MORNING)
    trainee.answer(MORNING + DAY, turn=2)
    assert back().step == 2
    trainee.answer(MORNING + 4 * DAY, turn=3, slip="opposite")
    assert (back().step, back().slips, back().ready) == (0, 1, MORNING + 5 * DAY)
    trainee.answer(MORNING + 5 * DAY, turn=4)
    assert (back().step, back().slips, back().ready) == (1, 0, MORNING + 6 * DAY)


def test_a_slip_corrected_at_once_comes_back_the_next_day_all_the_same(trainee):
    trainee.answer(MORNING, slip="opposite")
    trainee.answer(MORNING + MINUTE)
    assert (back().step, back().slips, back().ready) == (0, 1, MORNING + DAY)


def test_ten_turns_in_one_evening_count_as_one(trainee):
    for turn in range(1, 11):
        trainee.answer(MORNING + turn * MINUTE, turn=turn)
    assert (back().step, back().ready) == (1, MORNING + MINUTE + DAY)


def test_a_worked_answer_looked_up_counts_as_wrong_unless_it_was_right_before(trainee):
    trainee.put(MORNING, "shown", TOTAL)
    assert (back(TOTAL).step, back(TOTAL).slips) == (0, 1)
    trainee.answer(MORNING)
    trainee.put(MORNING + MINUTE, "shown", PLUMB)
    assert (back().step, back().slips) == (1, 0)
    trainee.put(MORNING + DAY, "new numbers", PLUMB, 2)
    trainee.put(MORNING + DAY, "shown", PLUMB, 2)
    assert (back().step, back().slips) == (0, 1)


def test_near_leaves_the_interval_and_what_is_not_understood_is_nothing(trainee):
    trainee.answer(MORNING)
    before = back()
    value = PLUMB.solve(dice.given(PLUMB, "T07", 2))["east"]
    part = PLUMB.part("east")
    trainee.answer(MORNING + DAY, turn=2, east=part.show(value + 2 * part.tolerance))
    trainee.answer(MORNING + DAY, turn=2, east="no idea")
    entries = progress.marked(session.open()).entries[PLUMB.key]
    assert [e.attempt.verdict.state for e in entries] == ["right", "near", "unread"]
    assert back() == before


def test_only_marked_exercises_of_lessons_come_back(trainee):
    trainee.answer(MORNING, FIRST, choice="north")
    trainee.put(MORNING, "nudged", TOTAL, nudge=1)
    assert review.returns(progress.marked(session.open())) == []
    assert not [t for t in review.LEFT_OUT if t not in progress.LESSONS]


# Clocks -----------------------------------------------------------------------------------


def test_a_clock_set_back_makes_it_ready_and_goes_on_from_there(trainee):
    trainee.answer(MORNING)
    trainee.answer(MORNING + 3650 * DAY, turn=2)
    assert back().step == 2
    assert back().is_ready(MORNING + 10 * DAY), "what lies in the future gives no interval"
    assert held(MORNING + 10 * DAY).ready == 1
    trainee.answer(MORNING + 10 * DAY, turn=3)
    assert (back().step, back().ready) == (3, MORNING + 19 * DAY)


def test_a_clock_that_a_server_put_right_by_an_hour_changes_nothing(trainee):
    trainee.answer(MORNING)
    trainee.answer(MORNING - timedelta(hours=1), turn=2)
    assert (back().step, back().ready) == (1, MORNING + DAY)
    assert not back().is_ready(MORNING - timedelta(hours=2))


@pytest.mark.parametrize("time", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00"])
def test_times_at_the_ends_of_the_calendar_do_not_stop_it(trainee, time):
    numbers = dice.given(PLUMB, "T07", 1)
    texts = {a.name: a.show(PLUMB.solve(numbers)[a.name]) for a in PLUMB.asked}
    place = {"key": PLUMB.key, "edition": PLUMB.edition, "turn": 1, "given": numbers}
    event = {"time": time, "event": "answered", **place, "typed": texts, "decimal": "."}
    sheet.append(session.open().sheet, event)
    assert held().ready == 1
    assert reviewing.panel().left == [PLUMB.key]


def test_times_without_a_zone_are_taken_as_utc(trainee):
    numbers = dice.given(PLUMB, "T07", 1)
    texts = {a.name: a.show(PLUMB.solve(numbers)[a.name]) for a in PLUMB.asked}
    place = {"key": PLUMB.key, "edition": PLUMB.edition, "turn": 1, "given": numbers}
    naive = MORNING.replace(tzinfo=None).isoformat()
    event = {"time": naive, "event": "answered", **place, "typed": texts, "decimal": "."}
    sheet.append(session.open().sheet, event)
    assert back().ready == MORNING + DAY


# Order ------------------------------------------------------------------------------------


def test_slips_come_first_then_the_longest_waiting(trainee):
    trainee.answer(MORNING, MIXED[0])
    trainee.answer(MORNING + MINUTE, MIXED[1])
    trainee.answer(MORNING + 2 * MINUTE, PLUMB, slip="opposite")
    trainee.answer(MORNING + 3 * MINUTE, MIXED[2])
    trainee.answer(MORNING + 3 * MINUTE, MIXED[2], slip=MIXED[2].slips[0].key)
    trainee.answer(MORNING + 4 * MINUTE, MIXED[2], slip=MIXED[2].slips[0].key)
    keys = [r.exercise.key for r in held(MORNING + 2 * DAY).sitting]
    assert keys == [e.key for e in (MIXED[2], PLUMB, MIXED[0], MIXED[1])]


def test_a_sitting_is_bounded_and_says_how_many_are_ready(trainee):
    for exercise in (e for e in BANK.values() if e.topic == "deflection" and e.marks):
        trainee.answer(MORNING, exercise)
    for exercise in MIXED:
        trainee.answer(MORNING, exercise)
    now = held(MORNING + 2 * DAY)
    assert (len(now.sitting), now.ready, now.next) == (review.SESSION, 16, None)


def test_nothing_ready_says_when_the_next_is(trainee):
    assert review.ready_words(held()) == (
        "Nothing to repeat yet: the review begins with what you answer."
    )
    trainee.answer(MORNING)
    now = held(MORNING + MINUTE)
    assert (now.ready, now.sitting, now.next) == (0, (), MORNING + DAY)
    assert "The next comes back" in review.ready_words(now)
    assert f"{(MORNING + DAY).astimezone():%A %d %B, %H:%M}" in review.ready_words(now)


def _made(topics):
    of_topic = {e.topic: e for e in [PLUMB, *MIXED]}
    names = list(of_topic)
    return [review.Return(of_topic[names[t]], i, MORNING) for i, t in enumerate(topics)]


def _meetings(made):
    return sum(a.exercise.topic == b.exercise.topic for a, b in itertools.pairwise(made))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 3), max_size=6))
def test_no_two_of_a_topic_in_a_row_where_any_order_can_avoid_it(topics):
    made = _made(topics)
    order = review.mixed(made)
    assert Counter(c.step for c in order) == Counter(c.step for c in made)
    fewest = min(map(_meetings, itertools.permutations(made)))
    assert _meetings(order) == fewest


def test_mixing_keeps_the_order_where_topics_do_not_meet():
    made = _made([0, 1, 2, 0, 3])
    assert review.mixed(made) == made


# Fresh numbers ----------------------------------------------------------------------------


def test_a_turn_is_the_last_plus_one_and_an_unanswered_one_stays(trainee):
    trainee.answer(MORNING)
    opened = review.open_turn(PLUMB.key)
    assert (opened.turn, opened.answers) == (2, [])
    assert opened.given != dice.given(PLUMB, "T07", 1)
    assert review.open_turn(PLUMB.key).turn == 2, "nobody has answered it: it is still fresh"
    Practice(PLUMB).show()
    assert review.open_turn(PLUMB.key).turn == 3


def test_the_first_attempt_stays_the_first_answer_on_turn_one(trainee):
    trainee.answer(MORNING, slip="opposite")
    panel = reviewing.panel()
    panel.next()
    answer(panel.box)
    standing = progress.marked(session.open()).standings[PLUMB.key]
    assert standing.best == 1
    assert standing.first < 1
    assert standing.turns == 2


def test_without_a_trainee_no_turn_is_opened(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "new"))
    with pytest.raises(OSError, match="nobody is signed in"):
        review.open_turn(PLUMB.key)


# The page ---------------------------------------------------------------------------------


def answer(box, slip=None):
    given_ = box.practice.given
    values = box.exercise.solve(given_)
    values |= box.exercise.slip(slip).route(given_) if slip else {}
    for asked in box.exercise.asked:
        box.entries[asked.name].value = asked.show(values[asked.name])
    box.check()


@pytest.fixture
def three(trainee):
    """A trainee with three exercises ready: one with a slip, and a whole lesson apart."""
    session.choose_decimal(".")
    trainee.answer(MORNING, PLUMB, slip="opposite")
    trainee.answer(MORNING, MIXED[0])
    trainee.answer(MORNING, MIXED[1])
    return reviewing.panel()


def test_a_sitting_from_begin_to_finish(three):
    assert "3 ready to repeat" in three.head.value
    assert three.button.description == "Begin"
    three.next()
    assert three.box.exercise is PLUMB
    assert three.box.practice.turn == 2
    assert "1 of 3" in three.head.value
    assert three.button.description == "Next exercise, 2 left"
    answer(three.box, slip="swapped")
    answer(three.box)
    three.next()
    answer(three.box)
    three.next()
    assert three.button.description == "Finish"
    three.next()
    assert three.place.children == ()
    reported = three.head.value
    assert "1 right at the first answer" in reported
    assert "1 to come back tomorrow" in reported
    assert "1 not answered, still to repeat" in reported
    three.next()
    assert "1 ready to repeat" in three.head.value, "what was left out is ready now"


def test_a_kernel_that_stops_goes_on_with_what_is_left(three):
    three.next()
    answer(three.box)
    three.next()  # the second exercise is opened and not answered
    again = reviewing.panel()
    assert len(again.left) == 2
    again.next()
    assert again.box.practice.turn == 2, "its fresh numbers stay"


def test_somebody_else_signing_in_begins_their_review(three):
    three.next()
    session.sign_in("T09")
    three.next()
    assert three.box is None
    assert "Nothing to repeat yet" in three.head.value


def test_nobody_signed_in_can_sign_in_there(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "new"))
    panel = reviewing.panel()
    assert "Nobody is signed in" in panel.head.value
    panel.code.value = "../T07"
    panel.next()
    assert "is not a trainee code" in panel.head.value
    panel.code.value = "t07"
    panel.next()
    assert "Nothing to repeat yet: the review begins with what you answer." in panel.head.value
    assert panel.code.layout.display == "none"


def test_an_exercise_no_longer_in_the_bank_is_skipped(trainee):
    old = {"key": "deflection-of-old", "edition": 1, "turn": 1, "given": {}, "typed": {}}
    sheet.append(session.open().sheet, {"event": "answered", **old})
    trainee.answer(MORNING)
    assert reviewing.panel().left == [PLUMB.key]


def test_a_turn_that_cannot_be_kept_is_said(three, monkeypatch):
    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(sheet, "append", refuse)
    three.next()
    assert "No space left" in three.head.value
    assert len(three.left) == 3, "nothing is lost from the sitting"


def test_a_history_longer_than_a_report_shows_is_followed_to_its_end(trainee):
    when = MORNING
    for turn in range(1, report.MOST_ENTRIES + 5):
        trainee.answer(when, turn=turn)
        when += 82 * DAY
    assert back().last == when - 82 * DAY
