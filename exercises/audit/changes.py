"""The changed marks of a class whose folder has folders: each file is about the people beside it.

A file at the top is about everybody, one in a folder about those with a sheet in that folder.
What cannot be applied is reported.
"""

from dataclasses import dataclass, field, replace
from pathlib import Path

from exercises.audit.received import Received
from exercises.sheets import changed_marks, intake, report
from exercises.sheets.changed_marks import ChangedMark, ChangedMarks, Ended
from exercises.sheets.report import Trouble


@dataclass
class Gathered:
    """The changed marks of all files, by row; what could not be read or applied."""

    marks: ChangedMarks
    troubles: list[Trouble] = field(default_factory=list)


def gather(found: Received, changes: Path | None = None) -> Gathered:
    """
    Return the changed marks that apply to the rows of a folder, the latest of each.

    `changes` is a file named by the instructor: then no other at the top is read.
    """
    top = changes or found.folder / changed_marks.NAME
    all_of_them = Gathered(ChangedMarks(top))
    paths = [top]
    paths += [folder / changed_marks.NAME for folder in found.changes if folder != found.folder]
    for path in paths:
        one = changed_marks.read(path)
        everybody = path == top
        where = top.name if everybody else intake.name(path, found.folder)
        _take(all_of_them, one, found, None if everybody else path.parent, where)
    return all_of_them


def _take(
    into: Gathered, one: ChangedMarks, found: Received, folder: Path | None, where: str
) -> None:
    into.troubles += [Trouble(where, text) for text in one.troubles]
    former = str(Path(where).with_name(changed_marks.FORMER).as_posix())
    into.troubles += [Trouble(former, text) for text in one.former_troubles]
    into.marks.left += one.left
    into.marks.lines += one.lines
    beside = Path(where).parent
    into.marks.edited += [replace(e, file=(beside / e.file).as_posix()) for e in one.edited]
    apart: set[str] = set()
    absent: set[str] = set()
    for ended in one.ended:
        for row in _rows(found, ended.changed.trainee, folder):
            into.marks.ended.append(replace(ended, changed=replace(ended.changed, trainee=row)))
    for mark in one.standing.values():
        rows = _rows(found, mark.trainee, folder)
        if len(rows) == 1:
            _stand(into.marks, replace(mark, trainee=rows[0]))
        else:
            (apart if rows else absent).add(mark.trainee)
    into.troubles += _reported(where, apart, absent)


def _rows(found: Received, trainee: str, folder: Path | None) -> list[str]:
    """Return the rows that a changed mark of a person can be about."""
    rows = found.rows_of(trainee)
    return [row for row in rows if folder is None or found.rows[row].lies_in(folder)]


def _reported(where: str, apart: set[str], absent: set[str]) -> list[Trouble]:
    troubles = []
    if absent:
        names = ", ".join(sorted(absent, key=report.by_code))
        text = f"changed marks of {names}, whose sheet is not here; left."
        troubles.append(Trouble(where, text))
    for code in sorted(apart, key=report.by_code):
        text = (
            f"a changed mark of {code}, a code that two people may use; not applied. Say how "
            "many they are, or change the mark in the folder of the one."
        )
        troubles.append(Trouble(where, text))
    return troubles


def _stand(marks: ChangedMarks, one: ChangedMark) -> None:
    """Let a changed mark stand, unless one of another file is later."""
    place = (one.trainee, one.key)
    other = marks.standing.get(place)
    if other is None:
        marks.standing[place] = one
        return
    before, after = sorted((other, one), key=lambda mark: mark.when)
    marks.standing[place] = after
    marks.ended.append(Ended(before, after.by, after.when))
