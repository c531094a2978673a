"""
The evening before: every exercise of the lessons answered as in class, without a browser.

Three trainees answer in the answer box: right, by each slip, and sillily. What is typed is worked
a second time from the printed numbers, without geokit (tests/test_solutions.py and
tests/wrong_routes), wherever an exercise has numbers; so it proves the numbers too.
"""

import importlib
from dataclasses import dataclass, field
from typing import Any

import pytest
from markupsafe import escape
from traitlets import TraitError

from exercises import BANK, mark
from exercises.bank.syllabus import LESSONS, page_of
from exercises.question.marking import difference
from exercises.sheets import session, sheet
from lessons.widgets import answer_box, pieces
from tests.test_solutions import SOLUTIONS

TRAINEES = {"T07": ".", "T08": ",", "T09": "."}  # and the decimal sign that each writes
UNREADABLE = ("quickly", "=2+2", "nan", "1e999")
FAR = 7919  # tolerances: further off than near, and where no slip leads
# Half of a ten-thousandth of the number: by so little may the bank and the second solution differ.
CLOSE = 5e-5
# Where the second solution is exact and the lesson takes a shorter way: a part of the tolerance.
SHORTER = {
    "sailing-sheet": 0.2,
    "lines-clairaut": 0.02,
    "lines-rhumb": 0.02,
    "geoid-loop": 0.02,
    "deflection-laplace": 0.02,
}

KEYS = sorted(
    (key for key, exercise in BANK.items() if exercise.topic in LESSONS and page_of(key)),
    key=lambda key: LESSONS.index(BANK[key].topic),
)
WALKS: dict[str, Any] = {}  # the wrong routes walked a second time
for _topic in LESSONS:
    WALKS |= importlib.import_module(f"tests.wrong_routes.{_topic}").ROUTES


@dataclass
class Seat:
    """A trainee before an answer box, and what was checked there so far."""

    box: answer_box.AnswerBox
    trainee: str
    decimal: str
    checked: list = field(default_factory=list)

    def __post_init__(self):
        self.box.code.value = self.trainee
        self.box.sign_in()
        self.box.choose_decimal(self.decimal)
        self.exercise, self.given = self.box.exercise, self.box.practice.given

    def type(self, texts):
        """Type into the entries, press Check, and return the verdict on the screen."""
        for name, entry in self.box.entries.items():
            entry.value = texts.get(name) if self.exercise.part(name).options else texts[name]
        self.box.check()
        self.checked.append((texts, self.box.verdict))
        return self.box.verdict

    def shown(self, answer):
        """Return the texts of an answer, as a careful trainee types them."""
        return {
            name: self.exercise.part(name).show(plain(value), self.decimal)
            for name, value in answer.items()
        }


def plain(value):
    """Return a number of numpy's as Python's own; the key of a choice as it is."""
    return value if isinstance(value, str) else float(value)


@pytest.fixture(params=KEYS)
def box(request, tmp_path, monkeypatch):
    """Return the answer box of an exercise, with an empty answers folder."""
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    before = set(pieces.FOLLOWERS)
    asked = answer_box.ask(request.param)
    yield asked
    answer_box.BOXES.discard(asked)  # or each later box would sign in this one too,
    pieces.FOLLOWERS.difference_update(set(pieces.FOLLOWERS) - before)  # and write it anew
    asked.close()


def test_exercise(box, record_property):
    """Right is right, each slip is named, nothing silly is marked, and all of it is kept."""
    record_property("exercise", box.exercise.key)  # for the words at the end: conftest.py
    record_property("topic", box.exercise.topic)
    record_property("slips", len(box.exercise.slips))
    for trainee, decimal in TRAINEES.items():
        seat = Seat(box, trainee, decimal)
        right = right_answer(seat)
        answer_sillily(seat, right)
        for slip in seat.exercise.slips:
            answer_by(seat, slip, right)
        answer_right(seat, right)
        compare_with_the_sheet(seat)


def right_answer(seat):
    """Return the answer worked a second time; it agrees with the bank's to half of 1/10 000."""
    first = seat.exercise.solve(seat.given)
    if seat.exercise.key not in SOLUTIONS:
        return first
    second = {**first, **SOLUTIONS[seat.exercise.key](seat.given)}
    for asked in seat.exercise.asked:
        here, again = first[asked.name], second[asked.name]
        if asked.kind != "choice":
            share = SHORTER.get(seat.exercise.key)
            allowed = share * asked.tolerance if share else CLOSE * abs(again)
            assert difference(asked, here, again) <= allowed + 1e-9, (
                f"{asked.label} for {seat.trainee}: geokit and the bank say {asked.say(here)}, "
                f"worked without them it is {asked.say(again)}"
            )
    return second


def answer_right(seat, right):
    """Answer right; a say-first question says so only when it is asked."""
    verdict = seat.type(seat.shown(right))
    expect(seat, verdict, "right", ())
    if seat.box.practice.says_first:
        seat.box.show()
        assert ">Right<" in seat.box.messages.value, "marked right, and it is not"


def answer_by(seat, slip, right):
    """Answer as one who makes this slip does."""
    route = slip.route(seat.given)
    walk = WALKS.get(seat.exercise.key, {}).get(slip.key)
    again = walk(dict(seat.given)) if walk else {}
    wrong = {name: again.get(name, value) for name, value in route.items()}
    verdict = seat.type(seat.shown({**right, **wrong}))
    expect(seat, verdict, "slip", (slip.key,))


def answer_sillily(seat, right):
    """Answer with nothing, with what is no number, and with a number far off."""
    before = len(seat.checked)
    numbers = [asked for asked in seat.exercise.asked if asked.kind != "choice"]
    nothing = {asked.name: None if asked.options else "" for asked in seat.exercise.asked}
    assert seat.type(nothing) is None, "nothing is typed, and it is marked"
    del seat.checked[before:]  # nor is it kept
    if not numbers:
        with pytest.raises(TraitError):
            seat.type(dict.fromkeys(nothing, "no such choice"))
        return
    fair = seat.shown(right)
    for text in UNREADABLE:
        expect(seat, seat.type(fair | {asked.name: text for asked in numbers}), "unread", ())
    far = {
        a.name: a.show(right[a.name] + FAR * max(a.tolerance, 1e-9), seat.decimal) for a in numbers
    }
    verdict = seat.type(fair | far)
    assert not verdict.right, f"{far} is called right"
    if not seat.exercise.reason:  # which may call any number on a right line a false alarm
        assert verdict.state in ("wrong", "unread"), f"{far} is called {verdict.heading}"


def expect(seat, verdict, state, slips):
    """Compare a verdict, and that the screen says it."""
    who = f"{seat.trainee} typed {seat.checked[-1][0]}"
    assert verdict is not None, f"{who}: not marked: {seat.box.messages.value}"
    assert (verdict.state, verdict.slips) == (state, slips), (
        f"{who}: expected {state} {' '.join(slips)}, and it is called {verdict.heading}"
    )
    if not seat.box.practice.says_first:
        assert str(escape(verdict.heading)) in seat.box.messages.value


def compare_with_the_sheet(seat):
    """Compare what was typed with what is kept, and mark it again from there."""
    held = sheet.read(session.folder() / sheet.file_name(seat.trainee))
    assert not held.troubles
    kept = [event for event in held.events if event["event"] in ("answered", "said first")]
    typed = [{name: text or "" for name, text in texts.items()} for texts, _ in seat.checked]
    assert [event["typed"] for event in kept] == typed, "what was typed is not what is kept"
    for event, (_, seen) in zip(kept, seat.checked, strict=True):
        again = mark(seat.exercise, event["given"], event["typed"], decimal=event["decimal"])
        assert (again.state, again.slips) == (seen.state, seen.slips)
