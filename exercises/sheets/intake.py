"""
Where a file that somebody else wrote enters: found, opened, bounded, decoded, its fields checked.

What passes here has the type and the size that every later reader counts on, so that none of them
need doubt it. One bad input costs one line or one file, never the run. Bounds, with their reasons:

- a line: 64 kB, an answer with a page of text in every part;
- a sheet: 4 MB and 10 000 lines, thirty times what a trainee writes who answers every exercise,
  with slips and nudges (some 300 lines, 100 kB); marking costs one to twenty milliseconds a line,
  so that a sheet is marked within minutes at the very worst;
- one exercise: 500 answers of one trainee, so that the slowest exercise costs seconds;
- one trainee: twenty files, as a browser and two laptops make them, and 10 000 lines in all;
- messages: twenty a file, then a count;
- folders: eight deep, as nobody sorts a class deeper.

A line is held in memory alone while it is read; of a sheet its events, at most 4 MB of text.
"""

import codecs
import functools
import io
import json
import math
import os
import re
import stat
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO

LONGEST_LINE = 64 * 1024
LARGEST_SHEET = 4 * 1024 * 1024
MOST_LINES = 10_000
LONGEST_TIME = 40  # characters: longer ones are read, and not kept for the next look
MOST_ANSWERS = 500
MOST_FILES = 20
MOST_MESSAGES = 20
MOST_DEEP = 8
DEEPEST = 3  # an event, what was given in it, and the list of a choice's options
EARLIEST, LATEST = datetime(1970, 1, 2, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)

Leave = Callable[[str, str], None]  # the name of what is left unread, and why
_HOLDING = (dict, list)
_HALF = re.compile("[\ud800-\udfff]")  # of a character: no page, table or file can hold it


# Finding -------------------------------------------------------------------------------


def walk(folder: Path, leave: Leave) -> Iterator[tuple[Path, int]]:
    """
    Give path and mode of everything in a folder and below it: files, folders, links, pipes.

    No link is followed, no hidden folder entered. A folder that cannot be read is reported.

    Raises
    ------
    OSError
        If the folder itself cannot be read.
    """
    os.listdir(folder)  # os.walk would say nothing of a folder that is not there

    def unreadable(error: OSError) -> None:
        leave(name(Path(error.filename), folder), f"the folder cannot be read: {why(error)}; left.")

    for here, folders, names in os.walk(folder, onerror=unreadable):
        folders[:] = sorted(each for each in folders if not each.startswith("."))
        for each in sorted(names + folders):
            path = Path(here, each)
            try:
                yield path, path.lstat().st_mode
            except OSError as error:
                leave(name(path, folder), f"cannot be read: {why(error)}.")
        if len(Path(here).relative_to(folder).parts) >= MOST_DEEP and folders:
            leave(name(Path(here), folder), f"more than {MOST_DEEP} folders deep; left.")
            folders.clear()


def name(path: Path, folder: Path) -> str:
    r"""
    Return a file's name in its folder as it may be shown: in one line, nothing in it unseen.

    >>> name(Path("class/answers-T07\nanswers-T08.jsonl"), Path("class"))
    'answers-T07[U+000A]answers-T08.jsonl'
    """
    return seen(os.path.relpath(path, folder))


def seen(text: str) -> str:
    """Return a name with every sign in it made visible."""
    return "".join(f"[U+{ord(c):04X}]" if unicodedata.category(c)[0] == "C" else c for c in text)


def why(error: OSError) -> str:
    """Return the reason of an error in the system's words."""
    return error.strerror or str(error)


# Reading -------------------------------------------------------------------------------


def opened(path: Path) -> BinaryIO:
    """
    Open a file to be read; a pipe or a device in its place is refused, not waited for.

    Raises
    ------
    OSError
        If it cannot be opened or is no file.
    """
    file = open(path, "rb", opener=_at_once)  # noqa: SIM115 - the caller closes it
    if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
        file.close()
        raise OSError(None, "not a file", str(path))
    return file


def _at_once(path: str, flags: int) -> int:
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def text(path: Path, largest: int) -> str:
    """
    Return the text of a file, UTF-8 with or without a byte order mark.

    Raises
    ------
    UnicodeDecodeError
        If it is not UTF-8.
    OverflowError
        If it is larger.
    OSError
        If it cannot be read.
    """
    with opened(path) as file:
        contents = file.read(largest + 1)
    if len(contents) > largest:
        raise OverflowError(f"more than {largest} bytes")
    return contents.decode("utf-8-sig")


@dataclass(frozen=True)
class Source:
    """
    A sheet as it came: a file of its own, or one that lies in another.

    Attributes
    ----------
    path : Path
        The file in the folder.
    person : str
        Whose it is, where the name of the file does not say it.
    inside : str
        Its name in the archive or message that it lies in.
    how : str
        What the file was, in words, where it is no plain sheet.
    place : str
        Who sent it, where an e-mail says so.
    take, tidy : callable, optional
        How its bytes come out of the file, and how they become lines in UTF-8. Both can be
        handed to another process.
    """

    path: Path
    person: str = ""
    inside: str = ""
    how: str = ""
    place: str = ""
    take: Callable[[], bytes] | None = None
    tidy: Callable[[bytes], bytes] | None = None

    def name(self, folder: Path) -> str:
        """Return its name as it may be shown; within another file after that one's name."""
        own = name(self.path, folder)
        return f"{own} › {seen(self.inside)}" if self.inside else own

    def read(self) -> tuple[bytes, int]:
        """
        Return its bytes as they came, no more than a reader takes, and how many there are.

        Raises
        ------
        OSError
            If the file cannot be read, or nothing comes out of it any more.
        """
        if self.take:
            contents = self.take()
            return contents, len(contents)
        with opened(self.path) as file:
            size = os.fstat(file.fileno()).st_size
            return file.read(LARGEST_SHEET + 2 * LONGEST_LINE), size


def lines(held: Path | bytes, largest: int = LARGEST_SHEET) -> Iterator[tuple[int, bytes, bool]]:
    """
    Give each line that is not blank: its number, its bytes, whether it ends torn.

    Of a line too long for any reader only so much that it is seen to be too long. A file past
    `largest` is read up to there; the closing line of a sheet handed in stands beyond.
    """
    with io.BytesIO(held) if isinstance(held, bytes) else opened(held) as file:
        number = 0
        while file.tell() <= largest and (line := file.readline(LONGEST_LINE + 1)):
            number += 1
            while len(line) > LONGEST_LINE and not line.endswith(b"\n"):
                if not (rest := file.readline(LONGEST_LINE)) or file.tell() > largest:
                    break
                line = line[:LONGEST_LINE] + rest[-1:]
            if line.strip():
                yield number, line, not line.endswith(b"\n")


def decoded(line: bytes, torn: bool) -> tuple[Any, str]:
    """Return what a line of JSON holds, and what is wrong with it or nothing."""
    if len(line) > LONGEST_LINE:
        return None, "too long for an answer; skipped."
    try:
        held = _DECODER.decode(line.removeprefix(codecs.BOM_UTF8).decode())
    except UnicodeDecodeError:
        return None, "not UTF-8: the file was saved by another program; skipped."
    except (ValueError, RecursionError):
        return None, ("torn off before its end; skipped." if torn else "torn or damaged; skipped.")
    if line.count(b"{") + line.count(b"[") <= DEEPEST or shallow(held):
        return held, ""
    return None, "nested deeper than any answer; skipped."


def _no_constant(constant: str) -> None:
    raise ValueError(f"{constant} is not a number of an answer sheet")


def _finite(digits: str) -> float:
    value = float(digits)
    if math.isinf(value):
        raise ValueError(f"{digits} is not a number of an answer sheet")
    return value


_DECODER = json.JSONDecoder(parse_constant=_no_constant, parse_float=_finite)


def shallow(value: Any, levels: int = DEEPEST) -> bool:
    """Return whether no dict or list lies deeper than that, so that nothing later recurses."""
    inside = [value] if isinstance(value, _HOLDING) else []
    for _ in range(levels):
        inside = [
            item
            for held in inside
            for item in (held.values() if isinstance(held, dict) else held)
            if isinstance(item, _HOLDING)
        ]
    return not inside


# Fields --------------------------------------------------------------------------------


def moment(words: Any) -> datetime:
    """
    Return a time as written, in UTC, without a zone taken as UTC.

    A clock that stands before 1970 or after 2200 is taken to stand there: beyond, no system says
    the time of day.

    >>> moment("0001-01-01T00:00:00+14:00").year, moment("2026-03-16T09:00:00+01:00").hour
    (1970, 8)

    Raises
    ------
    ValueError
        If it is no time.
    """
    if not isinstance(words, str):
        raise ValueError("a time is a text")
    return _moment(words) if len(words) <= LONGEST_TIME else _moment.__wrapped__(words)


@functools.lru_cache(maxsize=MOST_LINES)  # asked for again at each look at a line of a sheet
def _moment(words: str) -> datetime:
    read = datetime.fromisoformat(words)
    try:
        found = read.astimezone(UTC) if read.tzinfo else read.replace(tzinfo=UTC)
    except OverflowError:  # the year 1 east of Greenwich, the year 9999 west of it
        found = read.replace(tzinfo=UTC)
    return found if EARLIEST <= found <= LATEST else min(max(found, EARLIEST), LATEST)


def is_time(value: Any) -> bool:
    """Return whether it is a time."""
    try:
        moment(value)
    except ValueError:
        return False
    return True


def is_text(value: Any) -> bool:
    """Return whether it is a text, half a character in it or not: as somebody typed it."""
    return isinstance(value, str)


def is_word(value: Any) -> bool:
    """Return whether it is a text that can be written into any page, table and file."""
    return isinstance(value, str) and (value.isascii() or not _HALF.search(value))


def whole(words: str) -> str:
    """Return a text that can be written: half a character, as a bad paste gives it, as �."""
    return words.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def is_count(value: Any) -> bool:
    """Return whether it is a whole number from 1 to below a million."""
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value < 10**6


def is_typed(value: Any) -> bool:
    """Return whether it is what was typed: a text for each part asked."""
    return isinstance(value, dict) and all(
        is_word(part) and isinstance(typed, str) for part, typed in value.items()
    )


def is_given(value: Any) -> bool:
    """Return whether it is what an exercise gives: numbers, words, lists of words."""
    if not isinstance(value, dict):
        return False
    for part, one in value.items():
        if not (is_word(part) and (isinstance(one, float) or _is_plain(one))):
            return False
    return True


def _is_plain(value: Any) -> bool:
    if isinstance(value, list):
        return all(not isinstance(one, dict | list) and _is_plain(one) for one in value)
    return is_word(value) if isinstance(value, str) else not isinstance(value, dict)


def wrong_field(
    held: Mapping[str, Any], fields: Mapping[str, tuple[Callable[[Any], bool], str]]
) -> str:
    """Return what is wrong with the first field that fails its check, or nothing."""
    for key, value in held.items():
        if key in fields and not fields[key][0](value):
            return next(w for k, (fits, w) in fields.items() if k in held and not fits(held[k]))
    return ""


# Telling -------------------------------------------------------------------------------


class Messages:
    """
    What is wrong with one file: said once for all its lines, twenty messages, then a count.

    >>> messages = Messages()
    >>> for number, text in [(3, "torn."), (4, "not UTF-8."), (6, "torn."), (0, "too large.")]:
    ...     messages.add(text, number)
    >>> messages.sentences()
    ['lines 3 to 6 (2 of them): torn.', 'line 4: not UTF-8.', 'too large.']
    """

    def __init__(self) -> None:
        self._lines: dict[str, list[int]] = {}  # {text: [first line, last line, how many]}
        self._more = 0

    def add(self, words: str, line: int = 0) -> None:
        """Note a trouble; `line` 0 where it is of the whole file."""
        if words in self._lines:
            place = self._lines[words]
            self._lines[words] = [min(place[0], line), max(place[1], line), place[2] + 1]
        elif len(self._lines) < MOST_MESSAGES:
            self._lines[words] = [line, line, 1]
        else:
            self._more += 1

    def sentences(self) -> list[str]:
        """Return the messages in the order in which they were first met."""
        known = [_sentence(words, *place) for words, place in self._lines.items()]
        more = f"and {self._more} other troubles, not named one by one."
        return known + ([more] if self._more else [])


def _sentence(words: str, first: int, last: int, count: int) -> str:
    if not first:
        return words if count == 1 else f"{words} ({count} times)"
    if count == 1:
        return f"line {first}: {words}"
    return f"lines {first} to {last} ({count} of them): {words}"
