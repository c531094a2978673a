"""Deleting what a folder holds of one trainee, because the person asks for it.

Planned and reported first, then done. Sheets and locks go; in the file of changed marks a line
without content takes the place of each line of theirs; registers, records and statements that
name them are deleted whole, for they can be written anew. Of a class goes also what its folder
holds to let them in: the line of the roster, the phrase, the sessions, the settings. Any other
file that names them is reported and left.
"""

import mmap
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from exercises.audit import closing, received
from exercises.classroom import forgetting, making
from exercises.instructor import tables
from exercises.sheets import changed_marks, class_file, intake, session

HEADS = [
    separator.join(columns[:4])
    for columns in (tables.COLUMNS, tables.ITEM_COLUMNS)
    for separator in (",", ";", "\t")
]
OURS_BEGIN = (  # how our own registers, records and statements begin
    re.compile(r"<!DOCTYPE html>.{0,120}<meta http-equiv=.{0,160}<title>(Register, |Record)", re.S),
    re.compile("|".join(map(re.escape, HEADS))),
    re.compile(r'\[\s*\{"id": "[0-9a-f-]{36}", "actor": \{"objectType": "Agent", "account"'),
)
READ_FOR_THE_CODE = {".html", ".htm", ".csv", ".json", ".jsonl", ".txt", ".toml", ".tmp", ".md"}
BY_LINE = (*changed_marks.NAMES, closing.NAME)  # a line without content in the place of theirs
BEYOND = (
    "This cannot reach: copies elsewhere (other laptops, sticks, e-mails, back-ups, a folder that "
    "is kept in the cloud), printed pages, and statements already sent to a learning-record "
    "store. Delete those by hand, and empty the waste basket."
)


@dataclass
class ErasurePlan:
    """
    What a folder holds of a trainee.

    Attributes
    ----------
    remove : list of Path
        Sheets, locks, heads and links under their code, sheets printed for them, settings.
    written : list of Path
        Our own registers, records and statements that name them.
    rewritten : list of Path
        Files of changed marks, settings and a class's own files, with lines of theirs.
    others : list of Path
        Other files that name them: reported, left.
    unread : list of Path
        Files and folders that could not be looked into.
    """

    folder: Path
    trainee: str
    remove: list[Path] = field(default_factory=list)
    written: list[Path] = field(default_factory=list)
    rewritten: list[Path] = field(default_factory=list)
    others: list[Path] = field(default_factory=list)
    unread: list[Path] = field(default_factory=list)

    @property
    def empty(self) -> bool:
        """Return whether there is nothing to delete."""
        return not (self.remove or self.written or self.rewritten)


def plan(folder: Path, trainee: str) -> ErasurePlan:
    """
    Look through a folder and all below it, hidden ones too; no link is followed.

    Raises
    ------
    OSError
        If the folder itself cannot be read.
    """
    folder = Path(folder)
    os.listdir(folder)
    found = ErasurePlan(folder, trainee)
    named = re.compile(
        rf"answers-{trainee}(?:[ ._(-].*)?\.(jsonl|lock|head)(\.tmp)?|answers-{trainee}\.tmp"
        rf"|parameter-sheet-{trainee}-turn-\d+\.html"
    )
    plain, inside = _sheets_of(folder, trainee)
    for path in _files(folder, found):
        if path.name == class_file.NAME:
            _look_at_class(path.parent, found)
        elif path in found.remove:
            continue
        elif named.fullmatch(path.name) or path in plain:
            found.remove.append(path)
        elif path in inside:
            found.others.append(path)
        elif path.is_symlink() or not path.is_file():
            continue
        else:
            _look(path, found)
    return found


def _sheets_of(folder: Path, trainee: str) -> tuple[set[Path], set[Path]]:
    """Return the sheets of a person under any name, and the archives and e-mails that hold one."""
    every = received.find(folder)
    sources = [source for row in every.rows_of(trainee) for source in every.rows[row].sources]
    plain = {source.path for source in sources if not source.inside}
    return plain, {source.path for source in sources if source.inside}


def _files(folder: Path, found: ErasurePlan) -> Iterator[Path]:
    def unreadable(error: OSError) -> None:
        found.unread.append(Path(error.filename))

    for here, folders, names in os.walk(folder, onerror=unreadable):
        folders.sort()
        links = [name for name in folders if Path(here, name).is_symlink()]
        yield from (Path(here, name) for name in sorted(names + links))


def _look_at_class(folder: Path, found: ErasurePlan) -> None:
    """Put into the plan what the folder of their class holds to let them in."""
    code = forgetting.code_in(folder, found.trainee)
    if not code:
        return
    try:
        found.rewritten += forgetting.naming(folder, code)
    except OSError as error:
        found.unread.append(Path(error.filename) if error.filename else folder)
    settings = forgetting.settings_of(folder, code)
    found.remove += [settings] if settings.exists() else []
    slips = making.slips_of(folder)
    found.others += [slips] if slips.exists() and names(slips, code) else []


def _look(path: Path, found: ErasurePlan) -> None:
    """Put a file where it belongs in the plan, by what it holds and not by its name alone."""
    if path.suffix.lower() not in READ_FOR_THE_CODE:
        return
    try:
        if not names(path, found.trainee):
            return
        if path.name in (*BY_LINE, "settings.json"):
            found.rewritten.append(path)
        elif ours(path):
            found.written.append(path)
        else:
            found.others.append(path)
    except OSError:
        found.unread.append(path)


def names(path: Path, trainee: str) -> bool:
    """Return whether a file names a code as a word of its own; no file is read into memory."""
    code = trainee.encode("ascii")  # first in the pattern: looked for as plain bytes, so fast
    apart = rb"(?<![A-Za-z0-9]" + code + rb")(?![A-Za-z0-9])"
    if b"-" not in code:  # 7KQ2-T07 is another person than T07
        apart += rb"(?<![2-9][0-9A-Z]{3}-" + code + rb")"
    word = re.compile(code + apart)
    with intake.opened(path) as file:
        if not os.fstat(file.fileno()).st_size:
            return False
        with mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as text:
            return word.search(text) is not None


def ours(path: Path) -> bool:
    """Return whether a file begins as a register, a record or statements of this program do."""
    with open(path, encoding="utf-8-sig", errors="replace") as file:
        begin = file.read(600)
    return any(pattern.match(begin) for pattern in OURS_BEGIN)


@dataclass
class Done:
    """What was deleted or rewritten, and what resisted: (path, why)."""

    gone: list[Path] = field(default_factory=list)
    lines: int = 0
    failed: list[tuple[Path, str]] = field(default_factory=list)


def carry_out(planned: ErasurePlan) -> Done:
    """Delete what was planned. One file that resists keeps no other from being deleted."""
    done = Done()
    for path in planned.rewritten:
        try:
            if path.name in BY_LINE:
                done.lines += changed_marks.erase(path, planned.trainee)
            elif path.name in forgetting.WITHOUT:
                forgetting.erase(path, forgetting.code_in(path.parent, planned.trainee))
            else:
                session.erase(path, planned.trainee)
            if names(path, planned.trainee):
                done.failed.append((path, f"another line still names {planned.trainee}"))
        except OSError as error:
            done.failed.append((path, error.strerror or str(error)))
    for path in planned.remove + planned.written:
        try:
            path.unlink(missing_ok=True)
            done.gone.append(path)
        except OSError as error:
            done.failed.append((path, error.strerror or str(error)))
    return done
