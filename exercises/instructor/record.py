"""A trainee's record against the competence elements, to print on A4 and to sign.

It says where the trainee stands, by which rule, at which edition of each exercise. A changed
mark stands beside the one that the marking gave. A code stands for the person: the name is
written by hand.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from exercises.audit.telling import FileLine
from exercises.bank import BANK
from exercises.bank.syllabus import LESSONS, lesson_number
from exercises.instructor import competence, mark_cells
from exercises.instructor.class_folder import ClassFolder, OnProgress
from exercises.instructor.competence import Stand
from exercises.instructor.trainee_page import trainee_view
from exercises.pages import pages
from exercises.question import wording
from exercises.question.model import Exercise
from exercises.sheets.report import Bank, Report, Standing
from exercises.trainee import concept


@dataclass(frozen=True)
class Rule:
    """The pass rule: `limit` is a share from 0 to 1, None where none was set."""

    limit: float | None = None

    @property
    def words(self) -> str:
        """Return the rule as the record prints it."""
        if self.limit is None:
            return (
                "No pass mark was set for this record: it states marks and says of no element "
                "that it is passed."
            )
        return (
            f"An element is passed where the mean mark over all its exercises is {self.limit:.0%} "
            "or more. An exercise that is not answered counts 0. A mark that an instructor "
            "changed counts as changed."
        )

    def says(self, stand: Stand) -> str:
        """Return what the rule says of an element: passed, not passed, not begun, or nothing."""
        if stand.best is None:
            return "not begun"
        if self.limit is None:
            return ""
        return "passed" if over_all(stand) >= self.limit - 1e-9 else "not passed"


def rule(text: str | None) -> Rule:
    """
    Return the pass rule for a mark in per cent, as typed; without one there is no rule.

    >>> rule("70").limit, rule(None).limit
    (0.7, None)

    Raises
    ------
    ValueError
        If it is no number above 0 and at most 100.
    """
    if text is None:
        return Rule()
    try:
        value = float(text.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        value = 0.0
    if not 0 < value <= 100:
        raise ValueError(
            f"A pass mark is a number of per cent above 0 and at most 100, such as 70, "
            f"not {wording.quoted(text)}."
        )
    return Rule(value / 100)


def over_all(stand: Stand) -> float:
    """Return the mean mark over all exercises of an element; one not answered counts 0."""
    return (stand.best or 0.0) * stand.done / stand.of if stand.of else 0.0


def write(
    folder: Path,
    path: Path,
    trainee: str | None = None,
    *,
    passing: Rule | None = None,
    typing: bool = False,
    catalogue: Bank = BANK,
    changes: Path | None = None,
    progress: OnProgress = lambda done, of, trainee: None,
) -> tuple[list[str], int, list[FileLine]]:
    """
    Write the record of one trainee, or of all in a folder each on pages of its own.

    With `typing` it is the record of each typing beside its worked answer, in the place of the
    marks against the elements.

    Returns whose record was written, how many lines were left unread, and what each file was;
    nothing is written where there is no sheet.

    Raises
    ------
    OSError
        If the folder cannot be read or the page cannot be written.
    """
    every = ClassFolder(folder, only=trainee, catalogue=catalogue, changes=changes)
    if every.rows:
        made = _typings if typing else _records
        pages.write(path, made(every, trainee, passing or Rule(), progress))
    return list(every.rows), every.left, every.files or every.files_beside()


def _records(
    every: ClassFolder, trainee: str | None, passing: Rule, progress: OnProgress
) -> Iterator[str]:
    records = (
        view(one, concept.take_out(one), passing, every.catalogue)
        for one in every.reports(progress=progress)
    )
    return pages.pieces(
        "record.html", trainee=trainee, records=records, rule=passing.words, passing=passing
    )


def _typings(
    every: ClassFolder, trainee: str | None, passing: Rule, progress: OnProgress
) -> Iterator[str]:
    trainees = (
        pages.render("trainee.html", **trainee_view(one, concept.take_out(one), every.catalogue))
        for one in every.reports(progress=progress)
    )
    return pages.pieces("typing.html", trainee=trainee, trainees=trainees)


def view(one: Report, check: concept.Result, passing: Rule, catalogue: Bank) -> dict[str, Any]:
    """Return all that the record of a trainee shows."""
    standings = one.standings
    stands = competence.standing(standings, catalogue)
    says = [passing.says(stand) for stand in stands]
    marked = [e for e in catalogue.values() if e.marks and e.topic in LESSONS]
    done = [e for e in marked if (s := standings.get(e.key)) and s.mark is not None]
    return {
        "trainee": one.trainee,
        "dates": _dates(one),
        "files": one.files,
        "stands": list(zip(stands, says, strict=True)),
        "over_all": over_all,
        "passed": says.count("passed"),
        "done": len(done),
        "of": len(marked),
        "mean": _mean(done, standings),
        "concept": check,
        "lessons": [
            (lesson_number(topic), topic, rows)
            for topic in LESSONS
            if (rows := [_row(e, standings[e.key]) for e in done if e.topic == topic])
        ],
        "open": [e.key for e in marked if e not in done],
        "changed": mark_cells.changed_marks([one], catalogue),
        "notes": mark_cells.notes_on(mark_cells.member_of(one, check)),
    }


def _mean(done: list[Exercise], standings: dict[str, Standing]) -> int | None:
    marks = [standings[exercise.key].mark or 0.0 for exercise in done]
    return mark_cells.per_cent(sum(marks) / len(marks)) if marks else None


def _row(exercise: Exercise, standing: Standing) -> dict[str, Any]:
    """Return one exercise: edition, marks, tries, when."""
    last = standing.last or (standing.changed.when if standing.changed else None)
    return {
        "exercise": exercise,
        "first": _share(standing.first),
        "best": _share(standing.best),
        "mark": _share(standing.mark),
        "changed": bool(standing.changed),
        "tries": standing.answers,
        "notes": ["the worked answer was shown"] * bool(standing.shown) + list(standing.flags),
        "last": f"{last:%Y-%m-%d}" if last else "",
    }


def _share(share: float | None) -> str:
    return "–" if share is None else str(mark_cells.per_cent(share))


def _dates(one: Report) -> str:
    if not (one.begun and one.last):
        return ""
    first, last = (f"{d.day} {d:%b %Y}" for d in (one.begun, one.last))
    return first if first == last else f"{first} to {last}"
