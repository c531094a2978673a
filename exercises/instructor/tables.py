"""The register and the statistics as tables for a spreadsheet."""

import csv
import io
from collections.abc import Iterable

from exercises.bank.syllabus import lesson_number, page_of
from exercises.instructor import mark_cells, statistics
from exercises.instructor.mark_cells import Member
from exercises.pages import pages
from exercises.question import marking
from exercises.question.model import Exercise
from exercises.sheets.changed_marks import ChangedMark
from exercises.sheets.report import Bank, Standing

COLUMNS = (
    *("code", "lesson", "exercise", "title", "edition", "best %", "first %", "state"),
    *("answers", "not understood", "turns", "nudges", "worked answer shown", "slips"),
    *("said first", "first answer (UTC)", "last answer (UTC)", "remarks", "flags"),
    *("changed to %", "reason", "changed by", "changed (UTC)"),
)
ITEM_COLUMNS = (
    *("lesson", "exercise", "title", "answered", "first attempts", "right at first", "share %"),
    *("agreement with the rest", "attempts", "nudged", "worked answer shown", "slips", "page"),
)


def of_marks(members: list[Member], catalogue: Bank, separator: str) -> str:
    """Return register.csv: one line for each trainee at each exercise of a lesson touched."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=pages.SEPARATORS[separator], lineterminator="\r\n")
    writer.writerow(COLUMNS)
    topics = mark_cells.topics_of(members, catalogue)
    heads = {
        exercise.key: [lesson_number(exercise.topic), exercise.key, exercise.title]
        for exercise in catalogue.values()
        if exercise.topic in topics
    }
    for member in members:
        for key, head in heads.items():
            row = _csv_row(catalogue[key], member.standings.get(key))
            writer.writerow([member.trainee, *head, *row])
    return text.getvalue()


def _csv_row(exercise: Exercise, standing: Standing | None) -> list[str | int]:
    if standing is None:
        return [exercise.edition, "", "", "not begun", *[""] * (len(COLUMNS) - 8)]
    slips = ""
    if exercise.marks and standing.slips:
        slips = _counted((marking.slip_name(exercise, k), n) for k, n in standing.slips.items())
    return [
        exercise.edition,
        "" if standing.best is None else mark_cells.per_cent(standing.best),
        "" if standing.first is None else mark_cells.per_cent(standing.first),
        _state(standing, exercise),
        standing.answers + standing.after_shown,
        standing.not_understood,
        standing.turns,
        standing.nudges,
        len(standing.shown),
        slips,
        standing.choice,
        str(standing.begun)[:19] if standing.begun else "",  # to the second
        str(standing.last)[:19] if standing.last else "",
        pages.harmless(" / ".join(standing.remarks)),
        _counted(standing.flags.items()) if standing.flags else "",
        *(_changed_cells(standing.changed) if standing.changed else _UNCHANGED),
    ]


def _counted(times: Iterable[tuple[str, int]]) -> str:
    return pages.harmless("; ".join(f"{name} ({count})" for name, count in times))


_UNCHANGED = ("",) * 4


def _changed_cells(one: ChangedMark) -> list[str | int]:
    return [
        mark_cells.per_cent(one.mark),
        pages.harmless(one.reason),
        one.by,
        f"{one.when:%Y-%m-%d %H:%M:%S}",
    ]


def of_items(found: list[statistics.ExerciseFigures], separator: str) -> str:
    """Return statistics.csv: one line for each exercise."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=pages.SEPARATORS[separator], lineterminator="\r\n")
    writer.writerow(ITEM_COLUMNS)
    writer.writerows(_item_row(item, separator) for item in found)
    return text.getvalue()


def _item_row(item: statistics.ExerciseFigures, separator: str) -> list[str | int]:
    exercise = item.exercise
    slips = [f"{s.name}: {len(s.who)} ({' '.join(s.who)}), {s.times}×" for s in item.slips]
    return [
        *(lesson_number(exercise.topic), exercise.key, exercise.title),
        *(item.answered, item.first, item.right),
        "" if item.share is None else mark_cells.per_cent(item.share),
        "" if item.agreement is None else pages.cell(f"{item.agreement:.2f}", separator),
        pages.cell(f"{item.attempts:.1f}", separator),
        *(item.nudged, item.shown, pages.harmless("; ".join(slips))),
        str(page_of(exercise.key) or ""),
    ]


def _state(standing: Standing, exercise: Exercise) -> str:
    if not exercise.marks:
        return "said" if standing.choice else "no answer"
    if standing.best is None:
        return mark_cells.why_no_mark(standing)
    return "right" if standing.best == 1 else "partly right" if standing.best else "not right"
