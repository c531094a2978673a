"""What lies in a class's folder, as people really send it: whose each sheet is; what the rest is.

Read are sheets as the course writes them, as editors and mail programs write them anew
(`unfolding`), in archives and e-mails (`envelopes`), in folders by vessel. Nothing is run, nothing
is written, no link is followed. What comes out passes every bound and check of
`exercises.sheets.intake`, as a file of the course does.
"""

import functools
import re
import stat
import zlib
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath

from exercises.audit import envelopes, identity, unfolding
from exercises.audit.closing import Closings
from exercises.audit.findings import Finding, bare
from exercises.audit.identity import Row
from exercises.sheets import changed_marks, intake, person, report, sheet
from exercises.sheets.intake import Source
from exercises.sheets.report import NO_FILE, Found, Trouble

ENVELOPES = {".zip", ".eml"}
PACKED = {".7z", ".rar", ".gz", ".tgz", ".tar", ".bz2", ".xz", ".msg"}  # not read: said in words
MAY_BE = {".jsonl", ".json", ".txt", ".log", ""}
WHOLE = rf"((?:{person.WORD.pattern}-)?{person.CODE.pattern})(?![A-Z0-9])"
NAMED = re.compile(rf"ANSWERS?[-_ ]{WHOLE}")  # in a name in capitals
BARE = re.compile(rf"(?!ANSWER)(?=[^ ._(]*[0-9]){WHOLE}")
OTHER = "not an answer sheet (answers-CODE.jsonl); left."


@dataclass
class Received(Found):
    """
    What lies in a folder.

    Attributes
    ----------
    folder : Path
    rows : dict
        The people by the name of their row of the register, in the order of their codes.
    changes : list of Path
        The folders in which changed marks lie.
    asked : list of Finding
        Codes that perhaps two people bear.
    """

    folder: Path = Path()
    rows: dict[str, Row] = field(default_factory=dict)
    changes: list[Path] = field(default_factory=list)
    asked: list[Finding] = field(default_factory=list)

    def rows_of(self, code: str) -> list[str]:
        """Return the rows of a person: one, none, or several where two bear one code."""
        return [name for name in self.rows if code in (name, bare(name))]


def find(folder: Path, closings: Closings | None = None) -> Received:
    """
    Return the sheets in a folder and the folders below it, by person.

    `closings` hold the instructor's answers on codes that perhaps two people bear.

    Raises
    ------
    OSError
        If the folder itself cannot be read.
    """
    found = Received(folder=Path(folder))
    sheets: dict[str, list[Source]] = defaultdict(list)
    for path, mode in intake.walk(found.folder, found.leave):
        for source in _sources(path, mode, found):
            sheets[source.person].append(source)
    for code in sorted(sheets, key=report.by_code):
        rows, asked = identity.rows(code, sheets[code], found.folder, closings)
        found.rows |= {row.name: row for row in rows}
        found.asked += asked
    found.sheets = {name: list(row.sources) for name, row in found.rows.items()}
    found.count_the_others()
    return found


def _sources(path: Path, mode: int, found: Received) -> Iterator[Source]:
    """Give the sheets that a file is or holds; note what else it is."""
    name = intake.name(path, found.folder)
    ours = path.name in changed_marks.NAMES
    suffix = path.suffix.lower()
    match = sheet.NAME.fullmatch(path.name)
    if stat.S_ISLNK(mode):
        if not ours:  # reported where the changed marks are read
            found.leave(name, "a symbolic link; not followed.")
    elif stat.S_ISDIR(mode):
        if match or ours:
            found.leave(name, "a folder, not a file.")
    elif ours:
        found.changes += [path.parent] if path.parent not in found.changes else []
    elif match and person.parts(match[1])[1] == sheet.ROOM:
        return  # hands counted in the room: nobody's answers
    elif not stat.S_ISREG(mode):
        found.leave(name, NO_FILE if match else OTHER)
    elif suffix in ENVELOPES:
        yield from _enveloped(path, name, found)
    elif match or (suffix in MAY_BE and not report.EXPECTED.fullmatch(path.name)):
        yield from _sheet(path, name, found)
    elif not report.EXPECTED.fullmatch(path.name):
        packed = "packed or saved in a way that is not read: take the sheets out of it; left."
        found.leave(name, packed if suffix in PACKED else OTHER)


def _sheet(path: Path, name: str, found: Received) -> Iterator[Source]:
    """Give a file where it is a sheet, of whatever name and form."""
    match = sheet.NAME.fullmatch(path.name)
    try:
        contents, _ = Source(path).read()
    except OSError as error:
        if match:
            yield Source(path, match[1])  # reported where it is marked, in the system's words
        else:
            found.leave(name, f"{intake.why(error)}; not read.")
        return
    one = _understood(Source(path), path.name, contents, match[1] if match else "")
    if one:
        yield from _whose(one, name, found)
    else:
        found.leave(name, OTHER)


def _understood(source: Source, name: str, contents: bytes, code: str = "") -> Source | None:
    """
    Return a sheet with its person and how it was written; None where it is no sheet.

    A file that bears the name of a sheet is one, whatever it holds: its damage is to be reported.
    """
    lines, how = unfolding.unfold(contents)
    is_sheet, named = unfolding.person_of(lines)
    if not is_sheet and not code and not NAMED.match(PurePosixPath(name).name.upper()):
        return None
    whose = code or _code_in(PurePosixPath(name).name)
    if named and person.PERSON.fullmatch(named) and person.parts(named)[1] == whose:
        whose = named  # a class's sheet whose file lost the class word
    whose = whose or (named if person.PERSON.fullmatch(named) else "")
    words = ", ".join([source.how] * bool(source.how) + list(how))
    tidy = unfolding.lines if how else None
    return replace(source, person=whose, how=words, tidy=tidy)


def _code_in(name: str) -> str:
    """
    Return the person whom a file's name names, in whatever letters; nothing where none.

    >>> _code_in("answers-t07 (1).txt"), _code_in("7kq2-T07.jsonl"), _code_in("answers.txt")
    ('T07', '7KQ2-T07', '')
    """
    upper = name.upper()
    match = NAMED.match(upper) or BARE.match(upper)
    return match[1] if match and not person.RESERVED.fullmatch(match[1]) else ""


def _whose(source: Source, name: str, found: Received) -> Iterator[Source]:
    if source.person and person.parts(source.person)[1] != sheet.ROOM:
        yield source
    elif not source.person:
        found.leave(name, "an answer sheet without a code: name it answers-CODE.jsonl; left.")


def _enveloped(path: Path, name: str, found: Received) -> Iterator[Source]:
    """Give the sheets in an archive or message; note what else lies in it, and what is wrong."""
    try:
        opened = envelopes.opened(path)
    except OSError as error:
        found.leave(name, f"{intake.why(error)}; not read.")
        return
    sheets, others, damaged = 0, 0, []
    for inner in opened.inner:
        try:
            one = _inner(path, inner)
        except OSError as error:
            damaged.append(f"{intake.seen(inner.name)}: {intake.why(error)}.")
            continue
        if one is None:
            others += inner.attached
            continue
        sheets += 1
        yield from _whose(one, one.name(found.folder), found)
    what = "an archive" if path.suffix.lower() == ".zip" else "an e-mail"
    if opened.trouble or damaged:
        found.leave(name, " ".join([opened.trouble] * bool(opened.trouble) + damaged[:2]))
    elif not sheets:
        found.leave(name, f"{what} without an answer sheet; left.")
    elif others:
        text = f"{what} with {others} other file{'s' * (others > 1)} beside the sheets; left."
        found.troubles.append(Trouble(name, text))


def _inner(path: Path, inner: envelopes.Inner) -> Source | None:
    """Return a file in an envelope where it is a sheet; its contents stay in memory, packed."""
    suffix = PurePosixPath(inner.name).suffix.lower()
    if suffix in ENVELOPES | PACKED:
        raise OSError(None, "an archive or e-mail within another is not opened: send it by itself")
    own = PurePosixPath(inner.name).name
    if suffix not in MAY_BE or (own and report.EXPECTED.fullmatch(own)):
        return None
    contents = inner.take()
    source = Source(path, inside=inner.name or "text", how=inner.how, place=inner.sender)
    one = _understood(source, own, contents)
    return one and replace(one, take=held(contents[: envelopes.ENOUGH]))


def held(contents: bytes) -> Callable[[], bytes]:
    """Return how contents come back that are kept packed until they are marked."""
    return functools.partial(zlib.decompress, zlib.compress(contents, 1))
