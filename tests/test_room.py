"""Say first in a room: hands are counted and kept under ROOM; the answer comes after the figure."""

import json

import pytest

from exercises import BANK, __main__
from exercises.audit import received
from exercises.question import dice
from exercises.sheets import session, sheet
from exercises.trainer import room
from lessons.widgets.answer_box import ask

KEY = "deflection-first-weight"
EXERCISE = BANK[KEY]
CHOICES = [option.key for option in EXERCISE.asked[0].options]
RIGHT = EXERCISE.solve({})["choice"]


@pytest.fixture
def answers(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "answers"))
    session.sign_in("ROOM")
    session.choose_decimal(".")
    return session.folder()


def _count(box, people, *hands):
    box.people.value = people
    for key, text in zip(CHOICES, hands, strict=False):
        box.hands[key].value = text
    box.check()


def _kept(answers):
    events = sheet.read(answers / "answers-ROOM.jsonl").events
    return [event for event in events if event["event"] == "hands"]


def test_the_room_counts_then_the_figure_then_the_answer_is_shown(answers):
    box = ask(KEY)
    assert box.room_rows.layout.display != "none"
    assert box.choices.layout.display == "none"
    box.show()
    assert "Count the hands first" in box.messages.value
    _count(box, "12", "7", "3", "1")
    assert "7 of 12" in box.messages.value
    assert "no hand" in box.messages.value
    assert ">right<" not in box.messages.value, "not shown before the figure has moved"
    assert _kept(answers)[0]["hands"] == dict(zip(CHOICES, (7, 3, 1), strict=False)) | {
        key: 0 for key in CHOICES[3:]
    }
    again = ask(KEY)  # as after a restart
    assert again.people.value == "12"
    assert "7 of 12" in again.messages.value
    again.show()
    assert again.messages.value.count(">right<") == 1
    assert "The worked answer" in again.messages.value


def test_counted_again_is_corrected_and_after_the_answer_a_new_round_begins(answers):
    box = ask(KEY)
    _count(box, "12", "7")
    _count(box, "12", "8")
    assert "8 of 12" in box.messages.value
    box.show()
    _count(box, "10", "1", "2")
    assert ">right<" not in box.messages.value
    assert [event["turn"] for event in _kept(answers)] == [1, 1, 2]


@pytest.mark.parametrize(
    ("people", "hands", "says"),
    [
        ("12", ("10", "3"), "13 hands for 12 people"),
        ("", ("3",), "How many people"),
        ("12", (), "No hand"),
        ("12", ("3.5",), "not a whole number"),
        ("12", ("-3",), "not a whole number"),
        ("12", ("²",), "not a whole number"),
        ("0", ("1",), "from 1 to"),
        ("99999999999999", ("1",), "not a whole number"),
        ("501", ("1",), "from 1 to"),
    ],
)
def test_what_cannot_be_is_reported_and_not_kept(answers, people, hands, says):
    box = ask(KEY)
    _count(box, people, *hands)
    assert says in box.messages.value
    assert not _kept(answers)
    assert box.people.value == people, "what was typed stays"


def test_a_trainee_sees_choices_and_no_hands(answers):
    session.sign_in("T07")
    box = ask(KEY)
    assert box.room_rows.layout.display == "none"
    assert box.choices.layout.display is None
    assert box.buttons["check"].description == "Keep my answer"
    box.entries["choice"].value = RIGHT
    box.check()
    assert "Kept" in box.messages.value
    box.code.value = "ROOM"
    box.sign_in()
    assert box.buttons["check"].description == "Count the hands"


def test_an_exercise_that_is_marked_has_no_hands(answers):
    box = ask("deflection-total")
    assert box.room_rows.layout.display == "none"
    assert box.buttons["check"].description == "Check"


def test_the_room_is_no_trainee(answers, tmp_path, capsys):
    _count(ask(KEY), "12", "7")
    assert not received.find(answers).sheets
    session.sign_in("T07")
    assert list(received.find(answers).sheets) == ["T07"]
    assert __main__.main(["mark", str(answers), "--out", str(tmp_path)]) == 0
    assert "ROOM" not in (tmp_path / "register.csv").read_text(encoding="utf-8-sig")


@pytest.mark.parametrize(
    "event",
    [
        {"people": "many", "hands": dict.fromkeys(CHOICES, 1)},
        {"people": 2, "hands": dict.fromkeys(CHOICES, 1)},
        {"people": 12, "hands": {CHOICES[0]: True}},
        {"people": 12, "hands": [1, 2]},
        {"people": 12, "hands": dict.fromkeys(CHOICES, -1)},
        {"people": 12, "hands": dict.fromkeys(CHOICES, 1), "edition": 99},
    ],
)
def test_what_a_file_says_is_not_believed(answers, event):
    path = answers / "answers-ROOM.jsonl"
    sheet.append(path, {"event": "hands", "key": KEY, "edition": 1, "turn": 1} | event)
    assert room.last(EXERCISE) is None
    ask(KEY)


def test_bars_hold_words_and_numbers_and_escape():
    hands = room.Hands({key: n for n, key in enumerate(CHOICES, 1)}, 20)
    revealed = room.bars(EXERCISE, hands, dice.given(EXERCISE, "ROOM", 1), revealed=True)
    assert revealed.count("<tr") == len(CHOICES) + 1
    assert json.dumps(revealed).count("<script") == 0
    row = next(row for row in revealed.split("<tr") if "gk-right" in row)
    assert EXERCISE.asked[0].say(RIGHT).split()[0] in row
