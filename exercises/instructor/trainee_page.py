"""Everything that one trainee did, as the pages show it: marks, slips, each typing in its turn."""

import functools
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from exercises.bank.syllabus import lesson_number
from exercises.instructor import competence, mark_cells
from exercises.question import dice, marking, wording
from exercises.question.model import Exercise, Given
from exercises.sheets.report import Attempt, Bank, Entry, Report
from exercises.trainee import concept

MOST_AGAIN = 6  # slips to go over again on a trainee's own lines
STATES = {  # the heading under which a verdict is shown, where it is no slip
    "right": "right",
    "follows": "follows from the part before",
    "method": "another method",
    "near": "near: more figures",
    "wrong": "not this number",
    "unread": "not understood",
    "unmarked": "",
}


def trainee_view(
    one: Report, check: concept.Result, catalogue: Bank, *, folded: bool = False
) -> dict[str, Any]:
    """Return what the pages of one trainee show; folded, a printer leaves out the typing."""
    marked = [e for e in catalogue.values() if e.marks]
    marks = [s.mark for e in marked if (s := one.standings.get(e.key)) and s.mark is not None]
    return {
        "trainee": one.trainee,
        "folded": folded,
        "files": one.files,
        "dates": mark_cells.dates(one.begun, one.last),
        "done": len(marks),
        "right": sum(mark == 1 for mark in marks),
        "of": len(marked),
        "again": _again(one, marked),
        "most_again": MOST_AGAIN,
        "remarks": one.remarks,
        "changed": mark_cells.changed_marks([one], catalogue),
        "concept": check,
        "elements": competence.standing(one.standings),
        "troubles": one.troubles,
        "said": [said for e in catalogue.values() if not e.marks for said in _said_by(one, e)],
        "lessons": [
            (lesson_number(topic), topic, histories)
            for topic in dict.fromkeys(e.topic for e in marked)
            if (
                histories := [
                    _history(one, e) for e in marked if e.topic == topic and e.key in one.entries
                ]
            )
        ],
    }


def _again(one: Report, exercises: list[Exercise]) -> list[tuple[str, str]]:
    """Return (slip, exercise's key) where the exercise is not right since, often made first."""
    made = [
        (exercise, slip, times)
        for exercise in exercises
        if (standing := one.standings.get(exercise.key)) and standing.open
        for slip, times in standing.slips.items()
    ]
    made.sort(key=lambda slip_made: -slip_made[2])
    return [(marking.slip_name(exercise, slip), exercise.key) for exercise, slip, _ in made]


def _history(one: Report, exercise: Exercise) -> dict[str, Any]:
    """Return all that happened at one exercise."""
    return {
        "exercise": exercise,
        "cell": mark_cells.mark_cell(one.standings[exercise.key]),
        "turns": _turns(one, exercise),
        "more": one.more(exercise.key),
    }


def _said_by(one: Report, exercise: Exercise) -> Iterator[dict[str, str]]:
    """Give each choice of this trainee at a say-first question, and everything beside it."""
    for entry in one.entries.get(exercise.key, ()):
        if entry.attempt:
            (part,) = _parts(exercise, entry.attempt)
            state, chosen = part["state"], part["typed"]
        else:
            state, chosen = "", f"{entry.what} {entry.text}"
        yield {
            "title": exercise.title,
            "chosen": chosen,
            "state": state,
            "when": f"{entry.when:%H:%M:%S}",
        }


@dataclass
class Turn:
    """The entries of one turn, and the numbers they were worked from."""

    number: int
    given: Given | None = None
    entries: list[Entry] = field(default_factory=list)

    def sign(self, one: Report) -> str | None:
        """Return the decimal sign of its last answer, or else the trainee's."""
        answered = [entry.attempt.decimal for entry in self.entries if entry.attempt]
        return next(filter(None, reversed(answered)), one.decimal)


def _turns(one: Report, exercise: Exercise) -> list[dict[str, Any]]:
    turns: list[Turn] = []
    for entry in one.entries[exercise.key]:
        turn = _turn_of(entry, turns)
        turn.entries.append(entry)
        if entry.attempt:
            turn.given = entry.attempt.given
    return [_turn(one, exercise, turn) for turn in turns]


def _turn_of(entry: Entry, turns: list[Turn]) -> Turn:
    """Return the turn an entry belongs to; other numbers are kept apart even within a turn."""
    for turn in reversed(turns):
        same_numbers = (
            entry.attempt is None or turn.given is None or turn.given == entry.attempt.given
        )
        if turn.number == entry.turn and same_numbers:
            return turn
    turns.append(Turn(entry.turn))
    return turns[-1]


def _turn(one: Report, exercise: Exercise, turn: Turn) -> dict[str, Any]:
    """Return a turn's numbers and worked answer in the sign that the trainee wrote there."""
    given = turn.given or dice.given(exercise, one.drawn_for, turn.number)
    right, said = exercise.solve(given), functools.partial(wording.in_sign, decimal=turn.sign(one))
    return {
        "number": turn.number,
        "given": [(said(label), said(text)) for label, text in exercise.table(given)],
        "right": [(said(a.label), said(a.say(right[a.name]))) for a in exercise.asked],
        "steps": [said(step) for step in exercise.steps(given)],
        "lines": [_line(exercise, entry) for entry in turn.entries],
    }


def _line(exercise: Exercise, entry: Entry) -> dict[str, Any]:
    line: dict[str, Any] = {
        "when": f"{entry.when:%H:%M:%S}",
        "day": f"{entry.when.day} {entry.when:%b}",
        "gap": "" if entry.gap is None else duration(entry.gap),
        "what": entry.what,
        "text": entry.text,
        "attempt": entry.attempt,
    }
    if entry.attempt:
        line["parts"] = _parts(exercise, entry.attempt)
    return line


def _parts(exercise: Exercise, attempt: Attempt) -> list[dict[str, str]]:
    """Return for each asked part what was typed and what came of it."""
    parts = []
    for asked in exercise.asked:
        part = attempt.verdict.parts[asked.name]
        typed = attempt.typed.get(asked.name, "")
        if asked.kind == "choice":
            typed = asked.say(typed)
        word = marking.slip_name(exercise, part.slip) if part.slip else STATES[part.state]
        label = wording.in_sign(asked.label, attempt.decimal)
        parts.append({"label": label, "typed": typed, "state": part.state, "word": word})
    return parts


def duration(seconds: float) -> str:
    r"""
    Return a stretch of time in words.

    >>> duration(75), duration(4 * 3600 + 120), duration(-5)
    ('1\xa0min 15\xa0s', '4\xa0h 2\xa0min', 'clock set back')
    """
    if seconds < 0:
        return "clock set back"
    whole = round(seconds)
    days, hours = divmod(whole // 3600, 24)
    minutes, rest = divmod(whole % 3600 // 60, 60)[1], whole % 60
    if days:
        return f"{days}\xa0d {hours}\xa0h"
    if hours:
        return f"{hours}\xa0h {minutes}\xa0min"
    return f"{minutes}\xa0min {rest}\xa0s" if minutes else f"{rest}\xa0s"
