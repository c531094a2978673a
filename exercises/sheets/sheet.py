"""The answer sheet of one trainee: appended to, never edited, read without running anything.

One event a line, UTF-8 JSON. Each line carries a digest of itself and the digest of the
line before: an accident is seen. An intent is seen where somebody cuts the end off and leaves the
head beside the sheet as it is: the head says how the last line read. Whoever edits line and head
can work both out again.
"""

import contextlib
import errno
import hashlib
import json
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO

import filelock

from exercises.sheets import intake, person, private
from exercises.sheets.intake import LARGEST_SHEET, LONGEST_LINE, MOST_LINES, Source

# A browser names its second download "answers-T07 (1).jsonl", a colleague "answers-T07 old.jsonl".
NAME = re.compile(
    rf"answers-((?:{person.WORD.pattern}-)?{person.CODE.pattern})(?:[ ._(-].*)?\.jsonl"
)
ROOM = "ROOM"  # the code under which hands are counted in a room; no trainee bears it
LONGEST_TYPED = 4000  # a page of text is kept; a book is not
HANDED_IN = "handed in"  # the line that closes a copy handed in: how the sheet stood then
EVENTS = frozenset(
    {"signed in", "signed out", "said first", "answered", HANDED_IN}
    | {"nudged", "shown", "new numbers", "remark", "finished", "hands"}
)
NAMELESS = frozenset({"signed in", "signed out", HANDED_IN})  # lines that may be anybody's
ANOTHER = "a line of another person or class; skipped."
EDITED = "was changed after it was written (its digest does not agree)."
MISSING = "a line before it is missing or was changed."
WRONG_TYPE = "a field has the wrong type; skipped."
NO_COUNT = "edition or turn is not a number; skipped."
FIELDS = {  # what each field holds, and what is said where it does not
    "time": (intake.is_time, "the time cannot be read; skipped."),
    "key": (intake.is_word, WRONG_TYPE),
    "before": (intake.is_word, WRONG_TYPE),
    "digest": (intake.is_word, WRONG_TYPE),
    "text": (intake.is_text, WRONG_TYPE),
    "reason": (intake.is_word, WRONG_TYPE),
    "frame": (intake.is_word, WRONG_TYPE),
    "class": (intake.is_word, WRONG_TYPE),
    "code": (intake.is_word, WRONG_TYPE),
    "edition": (intake.is_count, NO_COUNT),
    "turn": (intake.is_count, NO_COUNT),
    "nudge": (intake.is_count, "the number of the nudge is not valid; skipped."),
    "lines": (intake.is_count, "the count of lines is not valid; skipped."),
    "typed": (intake.is_typed, "what was typed has the wrong type; skipped."),
    "given": (intake.is_given, "the given numbers have the wrong type; skipped."),
}

_BODY = json.JSONEncoder(
    sort_keys=True, ensure_ascii=True, check_circular=False, separators=(",", ":")
)


def file_name(trainee: str) -> str:
    """Return the name of a trainee's sheet."""
    return f"answers-{trainee}.jsonl"


def digest(event: Mapping[str, Any]) -> str:
    """Return the digest of an event, without the digest it carries."""
    body = dict(event)
    body.pop("digest", None)
    return hashlib.sha256(_BODY.encode(body).encode("ascii")).hexdigest()[:16]


# Keeping -------------------------------------------------------------------------------


def append(path: Path, event: Mapping[str, Any]) -> dict[str, Any]:
    """
    Write one event at the end of the sheet and flush it to the disk.

    Returns the event as written. When this returns, the line has been handed to the disk.

    Raises
    ------
    OSError
        If the sheet cannot be written, or the event is longer or the sheet larger than any
        reader takes; the caller says "not kept".
    """
    with (
        filelock.FileLock(path.with_suffix(".lock"), timeout=10),
        open(path, "a+b", opener=private.opener) as sheet,
    ):
        head: Head | None = _head(path, sheet) if _has_head(path) else None
        tail = _tail(sheet)
        last = _digest_of(tail.rstrip(b"\n").rpartition(b"\n")[2])
        written = _closed(
            {**event, **_whose(path.name), "before": head.last if head and head.cut else last}
        )
        line = _encoded(written)
        if tail and not tail.endswith(b"\n"):
            line = b"\n" + line  # the sheet ends torn: keep what is there, begin a new line
        size = sheet.seek(0, os.SEEK_END) + len(line)
        _refuse_past_size(size, head.lines + 1 if head else 0)
        sheet.write(line)
        sheet.flush()
        os.fsync(sheet.fileno())
        if head:
            _keep_head(path, head.lines + 1, size, written)
    return written


def _whose(name: str) -> dict[str, str]:
    """Return what each line of a class's sheet says of its person: a file is easily renamed."""
    match = NAME.fullmatch(name)
    word, code = person.parts(match[1]) if match else ("", "")
    return {"class": word, "code": code} if word else {}


def _closed(event: Mapping[str, Any]) -> dict[str, Any]:
    """Return an event with its time and its digest."""
    written = {"time": datetime.now(UTC).isoformat(timespec="milliseconds"), **event}
    return {**written, "digest": digest(written)}


def _refuse_past_size(size: int, lines: int) -> None:
    if size > LARGEST_SHEET or lines > MOST_LINES:
        raise OSError(
            errno.EFBIG,
            f"the answer sheet is full ({LARGEST_SHEET / 1e6:.0f} MB or {MOST_LINES} lines). Hand "
            "it in, and ask your instructor to begin a new one",
        )


def _encoded(event: Mapping[str, Any]) -> bytes:
    try:
        line = json.dumps(event, ensure_ascii=False, allow_nan=False).encode("utf-8") + b"\n"
    except UnicodeEncodeError:  # half of a character, as a bad paste gives it
        line = json.dumps(event, allow_nan=False).encode("ascii") + b"\n"
    if len(line) > LONGEST_LINE:
        raise OSError(errno.EFBIG, "what was typed is too long to be kept")
    return line


def _tail(sheet: BinaryIO, end: int | None = None) -> bytes:
    """Return the end of a sheet, or what stands before a place in it."""
    end = sheet.seek(0, os.SEEK_END) if end is None else end
    start = sheet.seek(max(0, end - LONGEST_LINE))
    return sheet.read(end - start)


def _digest_of(line: bytes) -> str:
    try:
        return str(json.loads(line)["digest"])
    except (ValueError, KeyError, TypeError, RecursionError):
        return ""


# The head ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Head:
    """
    How a sheet stood when its last line was kept: lines, bytes, that line's digest and time.

    `cut` says that the sheet no longer holds that line at that place.
    """

    lines: int
    bytes: int = 0
    last: str = ""
    time: str = ""
    cut: bool = False


def head_path(path: Path) -> Path:
    """Return where the head of a sheet is kept: beside it, and not handed in with it."""
    return path.with_suffix(".head")


def cut(path: Path) -> str:
    """Return one sentence where lines that were kept are no longer on a sheet, else nothing."""
    try:
        with intake.opened(path) as sheet:
            head = _head(path, sheet)
    except FileNotFoundError:
        head = replace(_held(path) or Head(0), cut=_held(path) is not None)
    except OSError:
        return ""  # said where it is read
    if not head.cut:
        return ""
    lines = "line" if head.lines == 1 else "lines"
    return (
        f"{path.name} no longer holds its {head.lines} {lines} as kept on {head.time[:10]}: some "
        "were taken away or changed. It goes on from here. If you did not do that, say so to your "
        "instructor: marking reports it too."
    )


def handed_in(path: Path) -> bytes:
    """
    Return a sheet as it is handed in: its lines, and a closing line that says how many there were.

    The closing line follows the last line that was kept. Where the sheet was cut since, it does
    not agree with what stands before it.

    Raises
    ------
    OSError
        If the sheet cannot be read.
    """
    with intake.opened(path) as sheet:
        contents = sheet.read()
        head = _head(path, sheet)
    last = head.last or _digest_of(contents.rstrip(b"\n").rpartition(b"\n")[2])
    if contents and not contents.endswith(b"\n"):
        contents += b"\n"
    return contents + _encoded(
        _closed(
            {
                "event": HANDED_IN,
                "lines": max(head.lines, 1),
                **_whose(path.name),
                "before": last,
            }
        )
    )


def _has_head(path: Path) -> bool:
    match = NAME.fullmatch(path.name)
    return match is not None and person.parts(match[1])[1] != ROOM


def _head(path: Path, sheet: BinaryIO) -> Head:
    """Return the head as it was kept and whether the sheet still agrees; else count the sheet."""
    held = _held(path)
    size = os.fstat(sheet.fileno()).st_size
    if held is None:
        sheet.seek(0)
        return Head(sum(1 for line in sheet if line.strip()))
    if size < held.bytes or _last_before(sheet, held.bytes) != held.last:
        return Head(held.lines, held.bytes, held.last, held.time, cut=True)
    sheet.seek(held.bytes)  # what another edition of the course has added since
    since = [line for line in sheet if line.strip()]
    if not since:
        return held
    return Head(held.lines + len(since), size, _digest_of(since[-1]), held.time)


def _last_before(sheet: BinaryIO, end: int) -> str:
    return _digest_of(_tail(sheet, end).rstrip(b"\n").rpartition(b"\n")[2])


def _held(path: Path) -> Head | None:
    try:
        held = json.loads(intake.text(head_path(path), LONGEST_LINE))
        head = Head(held["lines"], held["bytes"], held["last"], held["time"])
    except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError):
        return None
    words = intake.is_word(head.last) and intake.is_time(head.time)
    numbers = all(type(n) is int and 0 < n < 10**12 for n in (head.lines, head.bytes))
    return head if words and numbers else None


def _keep_head(path: Path, lines: int, size: int, event: Mapping[str, Any]) -> None:
    """Keep the head. The line itself lies on the disk by now: a head that cannot be is left."""
    held = {"lines": lines, "bytes": size, "last": event["digest"], "time": event["time"]}
    temporary = path.with_suffix(".head.tmp")
    with contextlib.suppress(OSError):
        with open(temporary, "w", encoding="utf-8", opener=private.opener) as head:
            json.dump(held, head)
        os.replace(temporary, head_path(path))


# Reading -------------------------------------------------------------------------------


@dataclass
class Sheet:
    """
    What was read of one sheet: its events in order, and one sentence for each kind of trouble.

    `left` counts what could not be read: lines skipped, or 1 for the rest of the file.
    `closed` says that it ends with the line of a copy handed in. `numbers` holds the line number
    of each event, `breaks` the line numbers at which something is wrong that the course never
    writes, and what, `edited` the places in `events` of lines changed later; `digest` is the
    SHA-256 of the file as it came.
    """

    path: Path
    trainee: str
    events: list[dict[str, Any]] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    breaks: list[tuple[int, str]] = field(default_factory=list)
    edited: set[int] = field(default_factory=set)
    digest: str = ""
    troubles: list[str] = field(default_factory=list)
    left: int = 0
    closed: bool = False

    def of(self, key: str) -> list[dict[str, Any]]:
        """Return the events of one exercise."""
        return [event for event in self.events if event.get("key") == key]


def read(path: Path | Source) -> Sheet:
    """
    Read a sheet without locking it and without running anything from it.

    Torn, foreign and damaged lines are skipped and reported; of a sheet past its size what lies
    within it is read. Never raises for what a file contains; OSError if it cannot be opened.
    """
    source = path if isinstance(path, Source) else Source(Path(path))
    match = NAME.fullmatch(source.path.name)
    result = Sheet(source.path, source.person or (match[1] if match else ""))
    messages = intake.Messages()
    if result.trainee:
        _read(source, result, messages)
    else:
        messages.add(
            "the name is not that of an answer sheet (answers-CODE.jsonl, CODE as signed in)."
        )
        result.left = 1
    result.troubles = messages.sentences()
    return result


def _read(source: Source, result: Sheet, messages: intake.Messages) -> None:
    contents, whole = source.read()
    result.digest = hashlib.sha256(contents).hexdigest()
    too_large = _read_lines(source.tidy(contents) if source.tidy else contents, result, messages)
    if too_large or whole > LARGEST_SHEET + LONGEST_LINE:
        messages.add(
            f"{whole / 1e6:.3g} MB is too large for a sheet "
            f"({LARGEST_SHEET / 1e6:.0f} MB and {MOST_LINES} lines at most); only its beginning "
            "was read."
        )
        result.left += 1


def _read_lines(contents: bytes, result: Sheet, messages: intake.Messages) -> bool:
    """Read the lines of a sheet; return whether it goes on past its size."""
    before: str | None = ""
    count, size = 0, 0
    for number, line, torn in intake.lines(contents, LARGEST_SHEET):
        event, trouble = _event(line, torn)
        if event is not None and (trouble := _another(event, result.trainee)):
            result.breaks.append((number, trouble))
            event = None
        count, size = count + 1, size + len(line)
        closing = event is not None and event["event"] == HANDED_IN
        if (count > MOST_LINES or size > LARGEST_SHEET) and not closing:
            return True
        result.closed = closing
        if event is None:
            messages.add(trouble, number)
            result.left += 1
            before = None
            continue
        if trouble := chain_trouble(event, before) or _count_trouble(event, count - 1):
            messages.add(trouble, number)
            result.breaks.append((number, trouble))
            if trouble == EDITED:
                result.edited.add(len(result.events))
        before = event.get("digest")
        result.events.append(event)
        result.numbers.append(number)
    return False


def _another(event: dict[str, Any], trainee: str) -> str:
    """Return what is to be said of a line that names another person than its file does."""
    if "class" not in event:  # written without a class, or by an edition that knew none
        return ""
    named = f"{event['class']}-{event.get('code', '')}"
    return "" if named == trainee else ANOTHER


def _event(line: bytes, torn: bool) -> tuple[dict[str, Any] | None, str]:
    event, trouble = intake.decoded(line, torn)
    if trouble := trouble or _kind_trouble(event) or intake.wrong_field(event, FIELDS):
        return None, trouble
    return event, ""


def _kind_trouble(event: Any) -> str:
    name = event.get("event") if isinstance(event, dict) else None
    if not isinstance(name, str) or name not in EVENTS:
        return "not an event of an answer sheet; skipped."
    return "" if "time" in event else FIELDS["time"][1]


def chain_trouble(event: dict[str, Any], before: str | None) -> str:
    """Return what the digests say of an event that follows the line of digest `before`."""
    if event.get("digest") != digest(event):
        return EDITED
    if before is not None and event.get("before") != before:
        return MISSING
    return ""


def _count_trouble(event: Mapping[str, Any], lines: int) -> str:
    """Return what the closing line of a copy handed in says of the lines before it."""
    if event["event"] != HANDED_IN or event.get("lines") == lines:
        return ""
    return f"the closing line counts {event.get('lines')} lines before it; {lines} are here."
