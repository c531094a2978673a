"""How marks stand in the tables: of one exercise, of a lesson, changed; what to know with them."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from exercises.bank.syllabus import LESSONS
from exercises.instructor import statistics
from exercises.question.model import Exercise
from exercises.sheets import report
from exercises.sheets.report import Bank, Report, Standing
from exercises.trainee import concept

FULL, HALF = 80, 50  # per cent: ● from 80, ◐ from 50, ○ below


class Cell(NamedTuple):
    """
    One mark: a shape, the best large, the first small, of how many where not of all.

    Of a changed mark the instructor's is large, with †, and the marking's own is small.
    """

    shape: str  # full, half, empty, none
    best: str
    small: str
    of: str = ""
    changed: bool = False


@dataclass
class Member:
    """What the register keeps of one trainee."""

    trainee: str
    files: list[str]
    standings: dict[str, Standing]
    remarks: list[str]
    left: int
    troubles: int
    check: concept.Result
    closed: bool = False


def member_of(one: Report, check: concept.Result) -> Member:
    """Return what the register keeps of a trainee."""
    return Member(
        one.trainee, one.files, one.standings, one.remarks, one.left, len(one.troubles), check,
        one.closed,
    )  # fmt: skip


def items(members: Iterable[Member], catalogue: Bank) -> list[statistics.ExerciseFigures]:
    """Return the statistics of each exercise over the trainees."""
    return statistics.items([(m.trainee, m.standings) for m in members], catalogue)


def topics_of(members: Iterable[Member], catalogue: Bank) -> list[str]:
    """Return the lessons that anybody has touched, in their order; all where nobody has any."""
    marks = {exercise.topic for exercise in catalogue.values() if exercise.marks}
    touched = {catalogue[key].topic for m in members for key in m.standings}
    topics = touched & marks or marks
    return sorted(topics, key=lambda t: (LESSONS.index(t) if t in LESSONS else 99, t))


def of_topic(catalogue: Bank, topic: str) -> list[Exercise]:
    """Return the marked exercises of a lesson."""
    return [e for e in catalogue.values() if e.topic == topic and e.marks]


def short(exercise: Exercise) -> str:
    """Return an exercise's key without its topic, in words."""
    return exercise.key.removeprefix(exercise.topic + "-").replace("-", " ")


def per_cent(share: float) -> int:
    """Return a share in whole per cent."""
    return round(100 * share)


def _shape(per_cent: int) -> str:
    return "full" if per_cent >= FULL else "half" if per_cent >= HALF else "empty"


def mark_cell(standing: Standing | None) -> Cell:
    """Return what a table shows of a trainee at one exercise."""
    if standing is None:
        return Cell("none", "–", "not begun")
    if standing.changed:
        mark = per_cent(standing.changed.mark)
        marked = "not marked" if standing.best is None else f"marked {per_cent(standing.best)}"
        return Cell(_shape(mark), str(mark), marked, changed=True)
    if standing.best is None:
        return Cell("none", "–", why_no_mark(standing))
    best = per_cent(standing.best)
    first = "none" if standing.first is None else str(per_cent(standing.first))
    return Cell(_shape(best), str(best), f"{first} at first")


def why_no_mark(standing: Standing) -> str:
    """Return why there is no mark at an exercise that was begun."""
    if standing.shown:
        return "shown"
    return "not understood" if standing.not_understood else "no answer"


def lesson_cell(member: Member | Report, exercises: list[Exercise]) -> Cell:
    """
    Return the mean over a lesson, and how much of it is answered.

    An exercise that is not answered counts 0, as in the record.
    """
    done = [s for e in exercises if (s := member.standings.get(e.key)) and s.mark is not None]
    if not done:
        begun = any(exercise.key in member.standings for exercise in exercises)
        return Cell("none", "–", "no mark yet" if begun else "not begun")
    best = per_cent(sum(s.mark or 0.0 for s in done) / len(exercises))
    first = per_cent(sum(s.first or 0.0 for s in done) / len(exercises))
    of = "" if len(done) == len(exercises) else f"{len(done)}/{len(exercises)}"
    changed = any(s.changed for s in done)
    return Cell(_shape(best), str(best), f"{first} at first", of, changed)


def notes_on(member: Member) -> list[str]:
    """Return what stands in the remark column: what to know before believing the marks."""
    notes = []
    if member.left:
        notes.append(f"{member.left} line{'s' * (member.left > 1)} skipped")
    if len(member.files) > 1:
        notes.append(f"{len(member.files)} sheets merged")
    flags = Counter[str]()
    for standing in member.standings.values():
        flags.update(standing.flags)
    other = sum(count for flag, count in flags.items() if "edition" in flag)
    if flags[report.CHANGED]:
        notes.append(f"{flags[report.CHANGED]} changed after writing")
    if flags[report.NOT_DRAWN]:
        notes.append(f"{flags[report.NOT_DRAWN]} not on the numbers drawn")
    if flags[report.NO_NUMBERS]:
        notes.append(f"{flags[report.NO_NUMBERS]} without given numbers")
    if flags[report.TURN_SKIPPED]:
        notes.append(f"{flags[report.TURN_SKIPPED]} at a turn that skips")
    if other:
        notes.append(f"{other} of another edition")
    if any(s.remarks for s in member.standings.values()) or member.remarks:
        notes.append("left a remark")
    if not any(s.answers for s in member.standings.values()):
        notes.append("no answer that counts" if member.standings else "nothing answered")
    return notes


def changed_marks(members: Iterable[Member | Report], catalogue: Bank) -> list[dict[str, Any]]:
    """Return each changed mark with both marks, reason, by whom, when."""
    return [
        {
            "trainee": member.trainee,
            "exercise": catalogue[key],
            "marked": _mark_text(standing.best),
            "was": _mark_text(one.was) if one.was != standing.best else "",
            "to": _mark_text(one.mark),
            "edition": one.edition if one.edition != catalogue[key].edition else 0,
            "reason": one.reason,
            "by": one.by,
            "when": f"{one.when.day} {one.when:%b %Y %H:%M}",
        }
        for member in members
        for key, standing in member.standings.items()
        if (one := standing.changed)
    ]


def _mark_text(share: float | None) -> str:
    return "no mark" if share is None else str(per_cent(share))


def dates(begun: datetime | None, last: datetime | None) -> str:
    """Return the days from the first answer to the last, in words."""
    if begun is None or last is None:
        return ""
    first, end = (f"{d.day} {d:%B %Y}" for d in (begun, last))
    if first == end:
        return first
    if (begun.year, begun.month) == (last.year, last.month):
        return f"{begun.day} to {end}"
    return f"{first} to {end}"
