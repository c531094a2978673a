"""The answer sheet of one trainee: appended to, never edited, read without running anything.

One event a line, UTF-8 JSON. Each line carries a digest of itself and the digest of the
line before: an accident is seen. An intent is not: whoever can edit a line can work its
digest out again.
"""

import errno
import hashlib
import json
import math
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO

import filelock

from exercises.sheets import person

# A browser names its second download "answers-T07 (1).jsonl", a colleague "answers-T07 old.jsonl".
NAME = re.compile(
    rf"answers-((?:{person.WORD.pattern}-)?{person.CODE.pattern})(?:[ ._(-].*)?\.jsonl"
)
ROOM = "ROOM"  # the code under which hands are counted in a room; no trainee bears it
LONGEST_LINE = 64 * 1024
LARGEST_SHEET = 20 * 1024 * 1024
LONGEST_TYPED = 4000  # a page of text is kept; a book is not
DEEPEST = 3  # an event, what was given in it, and the list of a choice's options
EVENTS = frozenset(
    {"signed in", "signed out", "said first", "answered"}
    | {"nudged", "shown", "new numbers", "remark", "finished", "hands"}
)


def file_name(trainee: str) -> str:
    """Return the name of a trainee's sheet."""
    return f"answers-{trainee}.jsonl"


def digest(event: Mapping[str, Any]) -> str:
    """Return the digest of an event, without the digest it carries."""
    body = {k: v for k, v in event.items() if k != "digest"}
    text = json.dumps(body, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:16]


def append(path: Path, event: Mapping[str, Any]) -> dict[str, Any]:
    """
    Write one event at the end of the sheet and flush it to the disk.

    Returns the event as written. When this returns, the line has been handed to the disk.

    Raises
    ------
    OSError
        If the sheet cannot be written, or the event is longer than any reader takes; the
        caller says "not kept".
    """
    with filelock.FileLock(path.with_suffix(".lock"), timeout=10), open(path, "a+b") as sheet:
        tail = _tail(sheet)
        written = {
            "time": datetime.now(UTC).isoformat(timespec="milliseconds"),
            **event,
            **_whose(path.name),
            "before": _digest_of(tail.rstrip(b"\n").rpartition(b"\n")[2]),
        }
        written["digest"] = digest(written)
        line = _encoded(written)
        if tail and not tail.endswith(b"\n"):
            line = b"\n" + line  # the sheet ends torn: keep what is there, begin a new line
        sheet.write(line)
        sheet.flush()
        os.fsync(sheet.fileno())
    return written


def _whose(name: str) -> dict[str, str]:
    """Return what each line of a class's sheet says of its person: a file is easily renamed."""
    match = NAME.fullmatch(name)
    word, code = person.parts(match[1]) if match else ("", "")
    return {"class": word, "code": code} if word else {}


def _encoded(event: Mapping[str, Any]) -> bytes:
    try:
        line = json.dumps(event, ensure_ascii=False, allow_nan=False).encode("utf-8") + b"\n"
    except UnicodeEncodeError:  # half of a character, as a bad paste gives it
        line = json.dumps(event, allow_nan=False).encode("ascii") + b"\n"
    if len(line) > LONGEST_LINE:
        raise OSError(errno.EFBIG, "what was typed is too long to be kept")
    return line


def _tail(sheet: BinaryIO) -> bytes:
    end = sheet.seek(0, os.SEEK_END)
    sheet.seek(max(0, end - LONGEST_LINE))
    return sheet.read()


def _digest_of(line: bytes) -> str:
    try:
        return str(json.loads(line)["digest"])
    except (ValueError, KeyError, TypeError, RecursionError):
        return ""


@dataclass
class Sheet:
    """
    What was read of one sheet: its events in order, and one sentence for each trouble.

    `left` counts what could not be read: lines stepped over, or 1 for the whole file.
    """

    path: Path
    trainee: str
    events: list[dict[str, Any]] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)
    left: int = 0

    def of(self, key: str) -> list[dict[str, Any]]:
        """Return the events of one exercise."""
        return [event for event in self.events if event.get("key") == key]


def read(path: Path) -> Sheet:
    """
    Read a sheet without locking it and without running anything from it.

    Torn, foreign and damaged lines are skipped and reported. Never raises for what a
    file contains; OSError if it cannot be opened.
    """
    path = Path(path)
    match = NAME.fullmatch(path.name)
    result = Sheet(path, match[1] if match else "")
    if not match:
        result.troubles.append(
            "the name is not that of an answer sheet (answers-CODE.jsonl, CODE as signed in)."
        )
        result.left = 1
        return result
    if path.stat().st_size > LARGEST_SHEET:
        result.troubles.append(
            f"{path.stat().st_size / 1e6:.0f} MB is too large for a sheet "
            f"({LARGEST_SHEET / 1e6:.0f} MB at most); not read."
        )
        result.left = 1
        return result
    before: str | None = ""
    for number, line, torn in lines(path):
        event, trouble = _event(line, torn)
        if event is not None and (trouble := _another(event, result.trainee)):
            event = None
        if event is None:
            result.troubles.append(f"line {number}: {trouble}")
            result.left += 1
            before = None
            continue
        if trouble := chain_trouble(event, before):
            result.troubles.append(f"line {number}: {trouble}")
        before = event.get("digest")
        result.events.append(event)
    return result


def _another(event: dict[str, Any], trainee: str) -> str:
    """Return what is to be said of a line that names another person than its file does."""
    if "class" not in event:  # written without a class, or by an edition that knew none
        return ""
    named = f"{event['class']}-{event.get('code', '')}"
    return "" if named == trainee else "a line of another person or class; stepped over."


def lines(path: Path) -> Iterator[tuple[int, bytes, bool]]:
    """Give each line that is not blank: its number, its bytes, whether it ends torn."""
    with open(path, "rb") as sheet:
        for number, line in enumerate(sheet, 1):
            if line.strip():
                yield number, line, not line.endswith(b"\n")


def _event(line: bytes, torn: bool) -> tuple[dict[str, Any] | None, str]:
    event, trouble = decoded(line, torn)
    if trouble := trouble or _kind_trouble(event) or _shape_trouble(event):
        return None, trouble
    return event, ""


def decoded(line: bytes, torn: bool) -> tuple[Any, str]:
    """Return what a line of JSON holds, and what is wrong with it or nothing."""
    if len(line) > LONGEST_LINE:
        return None, "too long for an answer; stepped over."
    try:
        text = line.decode("utf-8-sig")
        return json.loads(text, parse_constant=_no_constant, parse_float=_finite), ""
    except UnicodeDecodeError:
        return None, "not UTF-8: the file was saved by another program; stepped over."
    except (ValueError, RecursionError):
        return None, (
            "torn off before its end; stepped over." if torn else "torn or damaged; stepped over."
        )


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number of an answer sheet")


def _finite(text: str) -> float:
    value = float(text)
    if math.isinf(value):
        raise ValueError(f"{text} is not a number of an answer sheet")
    return value


def _shallow(value: Any, levels: int) -> bool:
    """Return whether no dict or list lies deeper than that, so that nothing later recurses."""
    if not isinstance(value, dict | list):
        return True
    items = value.values() if isinstance(value, dict) else value
    return levels > 0 and all(_shallow(item, levels - 1) for item in items)


def _kind_trouble(event: Any) -> str:
    if not _shallow(event, DEEPEST):
        return "nested deeper than any answer; stepped over."
    name = event.get("event") if isinstance(event, dict) else None
    if not isinstance(name, str) or name not in EVENTS:
        return "not an event of an answer sheet; stepped over."
    return ""


def _shape_trouble(event: dict[str, Any]) -> str:
    """Check types and sizes once, so that no later reader need doubt them."""
    texts = ("time", "key", "before", "digest", "text", "reason", "frame", "class", "code")
    if any(not isinstance(event.get(name, ""), str) for name in texts):
        return "a field has the wrong type; stepped over."
    if any(
        not isinstance(event.get(n, 1), int) or not 0 < event.get(n, 1) < 10**6
        for n in ("edition", "turn")
    ):
        return "edition or turn is no number; stepped over."
    typed, given = event.get("typed", {}), event.get("given", {})
    if not (isinstance(typed, dict) and all(isinstance(v, str) for v in typed.values())):
        return "what was typed has the wrong type; stepped over."
    if not isinstance(given, dict):
        return "the given numbers have the wrong type; stepped over."
    try:
        datetime.fromisoformat(event["time"])
    except (KeyError, ValueError):
        return "the time cannot be read; stepped over."
    return ""


def chain_trouble(event: dict[str, Any], before: str | None) -> str:
    """Return what the digests say of an event that follows the line of digest `before`."""
    if event.get("digest") != digest(event):
        return "was changed after it was written (its digest does not agree)."
    if before is not None and event.get("before") != before:
        return "a line before it is missing or was changed."
    return ""
