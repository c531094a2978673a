"""The register of a class: who stands where, which slips to teach again, every typing.

One trainee's sheets are read at a time. What stays is a standing for each exercise; the
history of each trainee goes to a temporary file until the page is put together.
"""

import re
import tempfile
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from exercises.audit.findings import Finding
from exercises.bank import BANK
from exercises.bank.syllabus import lesson_number, page_of
from exercises.instructor import competence, mark_cells, statistics, tables, trainee_page
from exercises.instructor.class_folder import ClassFolder, OnProgress, OnTrouble
from exercises.instructor.mark_cells import Member
from exercises.pages import pages
from exercises.question.model import Exercise
from exercises.sheets import private
from exercises.sheets.report import Bank, Report, Trouble
from exercises.trainee import concept

SLIPS_ON_THE_SHEET = 5
MOST_GROUPS = 24  # ready groups that are shown, the largest first


@dataclass
class MarkedClass:
    """What came of marking a class."""

    members: list[Member] = field(default_factory=list)
    answers: int = 0
    left: int = 0
    troubles: list[Trouble] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    begun: datetime | None = None
    last: datetime | None = None
    html: Path | None = None
    csv: Path | None = None
    items_csv: Path | None = None


def write(
    folder: Path,
    out: Path,
    *,
    separator: str = ",",
    catalogue: Bank = BANK,
    changes: Path | None = None,
    on_trouble: OnTrouble = lambda trouble: None,
    progress: OnProgress = lambda done, of, trainee: None,
) -> MarkedClass:
    """
    Mark every sheet in a folder; write register.html, register.csv and statistics.csv.

    Parameters
    ----------
    changes : Path, optional
        The file of changed marks; without it changed-marks.jsonl in the folder, where there is one.
    on_trouble : callable
        Called with each trouble as it is met.
    progress : callable
        Called with (done, of how many, trainee) before each trainee.

    Returns
    -------
    MarkedClass
        Without `html` and `csv` where the folder holds no sheet: then nothing is written.

    Raises
    ------
    OSError
        If the folder cannot be read or the register cannot be written.
    """
    every = ClassFolder(folder, catalogue=catalogue, changes=changes, on_trouble=on_trouble)
    marked = MarkedClass(left=every.left)
    if not every.sheets:
        return marked
    private.make_folder(out)
    with tempfile.TemporaryFile("w+", encoding="utf-8", newline="") as trainees:
        for one in every.reports(progress=progress):
            check = concept.take_out(one)
            _take(marked, one, check)
            view = trainee_page.trainee_view(one, check, catalogue, folded=True)
            trainees.write(pages.render("trainee.html", **view))
        trainees.seek(0)
        marked.left, marked.troubles = every.left, every.troubles
        marked.findings = every.findings
        view = _class(marked, folder, catalogue)
        page = pages.pieces("register.html", **view, told=pages.again(trainees))
        marked.html = pages.write(out / "register.html", page)
    text = tables.of_marks(marked.members, catalogue, pages.SEPARATORS[separator])
    marked.csv = pages.write(out / "register.csv", ["\ufeff", text])
    text = tables.of_items(mark_cells.items(marked.members, catalogue), pages.SEPARATORS[separator])
    marked.items_csv = pages.write(out / "statistics.csv", ["\ufeff", text])
    return marked


def _take(marked: MarkedClass, one: Report, check: concept.Result) -> None:
    marked.members.append(mark_cells.member_of(one, check))
    marked.answers += sum(s.answers + s.after_shown for s in one.standings.values())
    if one.begun and one.last:
        marked.begun = min(marked.begun or one.begun, one.begun)
        marked.last = max(marked.last or one.last, one.last)


def _class(marked: MarkedClass, folder: Path, catalogue: Bank) -> dict[str, Any]:
    """Return all that the first sheets of the page show."""
    topics = mark_cells.topics_of(marked.members, catalogue)
    now = datetime.now(UTC)
    found = mark_cells.items(marked.members, catalogue)
    slips = statistics.commonest(found)
    return {
        "name": Path(folder).resolve().name,
        "dates": mark_cells.dates(marked.begun, marked.last),
        "made": f"{now.day} {now:%b %Y %H:%M} UTC",
        "members": marked.members,
        "several": len(topics) > 1,
        "front": _front(marked, topics, catalogue) if len(topics) > 1 else None,
        "tables": [_table(marked, topic, catalogue) for topic in topics],
        "slips": slips,
        "page_of": page_of,
        "items": [
            (lesson_number(topic), topic, [i for i in found if i.exercise.topic == topic])
            for topic in topics
        ],
        "groups": statistics.groups(found),
        "most_groups": MOST_GROUPS,
        "agreement_from": statistics.FEWEST_TRAINEES,
        "weak": statistics.WEAK,
        "changed": mark_cells.changed_marks(marked.members, catalogue),
        "on_the_sheet": SLIPS_ON_THE_SHEET,
        "said": _said(marked, catalogue),
        "concept": concept.of_class(member.check for member in marked.members),
        "elements": competence.of_class({m.trainee: m.standings for m in marked.members}),
        "missing": missing([m.trainee for m in marked.members]),
        "troubles": marked.troubles,
        "left": marked.left,
        "answers": marked.answers,
        "full": mark_cells.FULL,
        "half": mark_cells.HALF,
    }


def _front(marked: MarkedClass, topics: list[str], catalogue: Bank) -> dict[str, Any]:
    """Return the table with one column for each lesson."""
    return {
        "heads": [(lesson_number(topic), topic) for topic in topics],
        "checked": any(m.check.sat for m in marked.members),
        "rows": [
            (
                m,
                [
                    mark_cells.lesson_cell(m, mark_cells.of_topic(catalogue, topic))
                    for topic in topics
                ],
                mark_cells.notes_on(m),
            )
            for m in marked.members
        ],
    }


def _table(marked: MarkedClass, topic: str, catalogue: Bank) -> dict[str, Any]:
    """Return the table of one lesson with a column for each exercise."""
    exercises = mark_cells.of_topic(catalogue, topic)
    return {
        "number": lesson_number(topic),
        "topic": topic,
        "heads": [(mark_cells.short(e), e.title) for e in exercises],
        "rows": [
            (
                m,
                [mark_cells.mark_cell(m.standings.get(e.key)) for e in exercises],
                mark_cells.lesson_cell(m, exercises),
                mark_cells.notes_on(m),
            )
            for m in marked.members
        ],
        "first": [_right_at_first(marked, e) for e in exercises],
    }


def _right_at_first(marked: MarkedClass, exercise: Exercise) -> str:
    firsts = [
        s.first
        for m in marked.members
        if (s := m.standings.get(exercise.key)) and s.first is not None
    ]
    return f"{sum(f == 1 for f in firsts)} of {len(firsts)}" if firsts else "–"


def _said(marked: MarkedClass, catalogue: Bank) -> list[dict[str, Any]]:
    """Return what the class said first: for each question who chose what."""
    said = []
    for key, exercise in catalogue.items():
        choices = {
            m.trainee: s.choice
            for m in marked.members
            if (s := m.standings.get(key)) and s.choice and not exercise.marks
        }
        if not choices:
            continue
        right = next(iter(exercise.solve({}).values()))
        options = [
            {
                "text": option.text,
                "right": option.key == right,
                "who": [t for t, choice in choices.items() if choice == option.key],
            }
            for option in exercise.asked[0].options
        ]
        said.append({"exercise": exercise, "options": options, "of": len(choices)})
    return said


def missing(codes: list[str]) -> list[str]:
    """
    Return the codes that a numbered class seems to lack; none where codes are not numbered.

    >>> missing(["T01", "T02", "T04"]), missing(["AB1", "AB90"])
    (['T03'], [])
    """
    by_stem: dict[tuple[str, int], list[int]] = defaultdict(list)
    for code in codes:
        if match := re.fullmatch(r"([A-Z]+)([0-9]+)", code):
            by_stem[match[1], len(match[2])].append(int(match[2]))
    gaps: list[str] = []
    for (stem, width), numbers in by_stem.items():
        absent = sorted(set(range(min(numbers), max(numbers))) - set(numbers))
        if len(absent) <= len(numbers):
            gaps += [f"{stem}{number:0{width}d}" for number in absent]
    return gaps
