"""The register of a class, written: its first page and tables, a page a lesson, a page a trainee.

One trainee's sheets are read at a time, and what stays is a standing for each exercise. Of a
large class the trainees' pages are written only when somebody asks for them: they hold all that
was typed, and would take longer than the marking.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

from exercises.bank import BANK
from exercises.bank.syllabus import lesson_number
from exercises.instructor import (
    competence,
    erasure,
    mark_cells,
    processes,
    statistics,
    tables,
    trainee_page,
)
from exercises.instructor.class_folder import ClassFolder, OnProgress
from exercises.pages import pages
from exercises.register import crews, first_page, lesson_page
from exercises.register.marked_class import MarkedClass, Taken, taken
from exercises.sheets import private
from exercises.sheets.report import Bank, Report
from exercises.trainee import concept

MOST_GROUPS = 24  # ready groups that are shown, the largest first
MOST_CREWS = 12  # on the first page
MOST_PAGES = 40  # trainees who get a page each without being asked for
FOLDER = "register"  # beside register.html: the pages of lessons and trainees


def write(
    folder: Path,
    out: Path,
    *,
    separator: str = ",",
    catalogue: Bank = BANK,
    changes: Path | None = None,
    each: bool = False,
    several: bool = False,
    progress: OnProgress = lambda done, of, trainee: None,
) -> MarkedClass:
    """
    Mark every sheet in a folder; write register.html with its pages, and the tables.

    The tables are register.csv and statistics.csv.

    Parameters
    ----------
    changes : Path, optional
        The file of changed marks; without it changed-marks.jsonl in the folder, where there is one.
    each : bool
        Whether a class of more than MOST_PAGES gets a page for each trainee, too.
    several : bool
        Whether several processes may mark a large class.
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
    every = ClassFolder(folder, catalogue=catalogue, changes=changes)
    marked = MarkedClass(Path(folder), catalogue, left=every.left, files=every.files_beside())
    if not every.rows:
        return marked
    private.make_folder(out)
    linked = each or len(every.rows) <= MOST_PAGES
    written = {_place(row, out) for row in every.rows} if linked else set()
    work = _Work(_heading(marked), out if linked else None, _own(catalogue))
    for one in every.each(work, words=linked, progress=progress, several=several):
        marked.take(one)
    marked.left, marked.troubles = every.left, every.troubles
    marked.findings, marked.files = every.findings, every.files
    topics = marked.topics if len(marked.topics) > 1 else []
    marked.ready()
    tasks = [
        partial(_tables, marked, out, separator),
        partial(_first_page, marked, out, linked=linked),
        *(partial(_lesson, marked, topic, out, linked=linked) for topic in topics),
    ]
    processes.side_by_side(tasks, apart=several and len(marked.members) >= processes.WORTH)
    marked.html, marked.csv = out / "register.html", out / "register.csv"
    marked.items_csv = out / "statistics.csv"
    _remove_former(out / FOLDER, written | {_lesson_place(topic, out) for topic in topics})
    return marked


def _tables(marked: MarkedClass, out: Path, separator: str) -> None:
    text = tables.of_marks(marked.members, marked.catalogue, separator)
    pages.write(out / "register.csv", ["\ufeff", text])
    text = tables.of_items(marked.items, separator)
    pages.write(out / "statistics.csv", ["\ufeff", text])


def _first_page(marked: MarkedClass, out: Path, *, linked: bool) -> None:
    view = _class(marked) | {"linked": f"{FOLDER}/" if linked else None}
    pages.write(out / "register.html", pages.pieces("register.html", **view))


@dataclass(frozen=True)
class _Work:
    """
    What is made of a report where it was marked, in this process or another: its page, if `out`.

    No catalogue means the course's own, which no process hands to another.
    """

    heading: dict[str, str]
    out: Path | None
    catalogue: Bank | None

    def __call__(self, one: Report) -> Taken:
        check = concept.take_out(one)
        if self.out:
            catalogue = self.catalogue or BANK
            view = trainee_page.trainee_view(one, check, catalogue, folded=True)
            page = pages.pieces("register_trainee.html", **(self.heading | view))
            pages.write(_place(one.trainee, self.out), page)
        return taken(one, check)


def _own(catalogue: Bank) -> Bank | None:
    return None if catalogue is BANK else catalogue


def _place(row: str, out: Path) -> Path:
    """Return where the page of a trainee stands: everything typed, folded by lesson."""
    return out / FOLDER / f"register-{row.replace('/', '-')}.html"


def _lesson(marked: MarkedClass, topic: str, out: Path, *, linked: bool) -> None:
    seen = lesson_page.view(marked, topic)
    view = _heading(marked) | {"lesson_seen": seen, "linked": "" if linked else None}
    page = pages.pieces("register_lesson.html", **view)
    pages.write(_lesson_place(topic, out), page)


def _lesson_place(topic: str, out: Path) -> Path:
    return out / FOLDER / f"register-lesson-{lesson_number(topic) or topic}.html"


def _remove_former(folder: Path, written: set[Path]) -> None:
    """Remove the pages that an earlier marking wrote here and this one did not."""
    for path in folder.glob("register-*.html"):
        if path not in written and path.is_file() and erasure.ours(path):
            path.unlink()


def _heading(marked: MarkedClass) -> dict[str, str]:
    now = datetime.now(UTC)
    return {
        "name": marked.folder.resolve().name,
        "dates": mark_cells.dates(marked.begun, marked.last),
        "made": f"{now.day} {now:%b %Y %H:%M} UTC",
    }


def _class(marked: MarkedClass) -> dict[str, Any]:
    """Return all that the register itself shows."""
    several, by_crew = len(marked.topics) > 1, crews.of_class(marked)
    return {
        **_heading(marked),
        **first_page.view(marked),
        "members": marked.members,
        "crews": by_crew if len(by_crew) > 1 else [],
        "shown_crews": by_crew[:MOST_CREWS],
        "lesson_pages": several,
        "most_pages": MOST_PAGES,
        "checked": several and any(m.check.sat for m in marked.members),
        "front": list(_front(marked, by_crew)) if several else None,
        "only": None if several else lesson_page.view(marked, marked.topics[0]),
        "groups": statistics.groups(marked.items),
        "most_groups": MOST_GROUPS,
        "changed": mark_cells.changed_marks(marked.members, marked.catalogue),
        "concept": concept.of_class(member.check for member in marked.members),
        "elements": competence.of_class({m.trainee: m.standings for m in marked.members}),
        "all_found": marked.findings,
        "all_files": marked.files,
        "troubles": marked.troubles,
        "left": marked.left,
        "answers": marked.answers,
        "full": mark_cells.FULL,
        "half": mark_cells.HALF,
    }


def _front(marked: MarkedClass, by_crew: list[crews.Crew]) -> Iterator[tuple[str, list[Any]]]:
    """Give the table with one column for each lesson, crew by crew: its name and its rows."""
    for crew in by_crew:
        rows = [(m, marked.cells[m.trainee], marked.notes[m.trainee]) for m in crew.members]
        yield crew.name if len(by_crew) > 1 else "", rows
