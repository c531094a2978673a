"""Marks that an instructor changed: appended with a reason, never edited in.

The sheets stay as they were handed in. A changed mark stands in a file of its own beside
them, one JSON line each, and so does its withdrawal. Marking anew from sheets and this file
gives the same register. Earlier editions wrote another file; it is still read, both in order of
time, and nothing is appended to it.
"""

import heapq
import json
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import filelock

from exercises.question import wording
from exercises.question.model import Exercise
from exercises.sheets import disk, intake, session, sheet
from exercises.sheets import person as people

NAME = "changed-marks.jsonl"
FORMER = "overrides.jsonl"  # of earlier editions: read beside it
NAMES = (NAME, FORMER)
LARGEST = 4 * 1024 * 1024
LONGEST_REASON = 400
ERASED = "forgotten"  # in the place of a line whose person asked to be deleted
CHANGED = ("changed", "overridden")  # the second as earlier editions wrote it
EVENTS = (*CHANGED, "withdrawn", ERASED)


@dataclass(frozen=True)
class ChangedMark:
    """
    A mark as an instructor changed it.

    `mark` is a share from 0 to 1. `was` is what the marking gave when it was changed,
    None where it gave no mark.
    """

    trainee: str
    key: str
    mark: float
    reason: str
    by: str
    when: datetime
    edition: int = 0
    was: float | None = None


@dataclass(frozen=True)
class Ended:
    """A changed mark that stands no more: withdrawn, or another took its place; by whom, when."""

    changed: ChangedMark
    by: str
    when: datetime


@dataclass(frozen=True)
class Edited:
    """A line whose digest does not agree: where it stands, whose mark it names, its digest."""

    file: str
    number: int
    trainee: str
    key: str
    digest: str


@dataclass
class ChangedMarks:
    """
    The changed marks that stand, by trainee and exercise, and what could not be read.

    `troubles` are those of the file itself, `former_troubles` those of the file that an earlier
    edition wrote beside it. `edited` are lines that somebody changed by hand, or wrote: they do
    not count.
    """

    path: Path
    standing: dict[tuple[str, str], ChangedMark] = field(default_factory=dict)
    ended: list[Ended] = field(default_factory=list)
    lines: int = 0
    troubles: list[str] = field(default_factory=list)
    former_troubles: list[str] = field(default_factory=list)
    left: int = 0
    edited: list["Edited"] = field(default_factory=list)

    def of(self, trainee: str) -> dict[str, ChangedMark]:
        """Return the changed marks of one trainee by exercise."""
        return {key: one for (who, key), one in self.standing.items() if who == trainee}


def share(text: str) -> float:
    """
    Return a mark as typed: a share from 0 to 1, or per cent with its sign.

    >>> share("1"), share("0,5"), share("75 %")
    (1.0, 0.5, 0.75)

    Raises
    ------
    ValueError
        If it is neither.
    """
    bare = text.strip().replace(",", ".")
    number, per_cent = bare.removesuffix("%").strip(), bare.endswith("%")
    try:
        value = float(number) / (100 if per_cent else 1)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 1:
        raise ValueError(
            f"{wording.quoted(text)} is not a mark: write a share from 0 to 1, such as 0.5, or per "
            "cent, such as 50%."
        )
    return value


def change(
    path: Path, trainee: str, exercise: Exercise, mark: float, *, reason: str, by: str,
    was: float | None = None,
) -> dict[str, Any]:  # fmt: skip
    """
    Append a changed mark and return its line.

    Raises
    ------
    ValueError
        If the reason is missing, a code is none, or the exercise carries no mark.
    OSError
        If it could not be kept.
    """
    if not exercise.marks:
        raise ValueError(f"{exercise.key} is said first and carries no mark.")
    if not 0 <= mark <= 1:
        raise ValueError(f"A mark is a share from 0 to 1, not {mark:g}.")
    return _append(path, "changed", trainee, exercise, reason, by, mark=mark, was=was)


def withdraw(
    path: Path, trainee: str, exercise: Exercise, *, reason: str, by: str
) -> dict[str, Any]:
    """
    Append the withdrawal of a changed mark: the marking's own stands again.

    Raises
    ------
    ValueError
        If no changed mark stands there, the reason is missing, or a code is none.
    OSError
        If it could not be kept.
    """
    if (session.person(trainee), exercise.key) not in read(path).standing:
        raise ValueError(f"No changed mark of {trainee} at {exercise.key} stands in {path.name}.")
    return _append(path, "withdrawn", trainee, exercise, reason, by)


def _append(
    path: Path, event: str, trainee: str, exercise: Exercise, reason: str, by: str, **more: Any
) -> dict[str, Any]:
    reason = " ".join(reason.split())
    if not reason:
        raise ValueError("Say why in a few words: a mark is never changed without a reason.")
    if len(reason) > LONGEST_REASON:
        raise ValueError(f"The reason has {len(reason)} characters; {LONGEST_REASON} at most.")
    line: dict[str, Any] = {"event": event, "trainee": session.person(trainee)}
    line |= {"key": exercise.key, "edition": exercise.edition, **more}
    line |= {"reason": reason, "by": session.code(by)}
    return sheet.append(path, line)


def read(path: Path) -> ChangedMarks:
    """
    Read the changed marks; what cannot be read is skipped and reported.

    A file that is not there is none. Never raises for what it contains.
    """
    found = ChangedMarks(path)
    files = [_lines_of(path, found, found.troubles)]
    if path.name == NAME:
        files.append(_lines_of(path.with_name(FORMER), found, found.former_troubles))
    for line in heapq.merge(*files, key=_when):  # each file keeps its order, whatever the clock did
        _take(found, line)
    return found


def _lines_of(path: Path, found: ChangedMarks, troubles: list[str]) -> list[dict[str, Any]]:
    """Return the lines of a file that can be read; say in `troubles` what could not."""
    try:
        if path.is_symlink():
            trouble = "a symbolic link; not followed."
        elif not path.exists():
            return []
        elif path.stat().st_size > LARGEST:
            trouble = f"{path.stat().st_size / 1e6:.0f} MB is too large; not read."
        else:
            return _read(path, found, troubles)
    except OSError as error:
        trouble = f"{error.strerror or error}; not read."
    troubles.append(trouble)
    found.left += 1
    return []


def _read(path: Path, found: ChangedMarks, troubles: list[str]) -> list[dict[str, Any]]:
    before: str | None = ""
    kept, messages = [], intake.Messages()
    for number, raw, torn in intake.lines(path, LARGEST):
        line, trouble = intake.decoded(raw, torn)
        trouble = trouble or _trouble(line)
        if trouble:
            messages.add(trouble, number)
            found.left += 1
            before = None
            continue
        erased = line["event"] == ERASED
        if trouble := sheet.chain_trouble(line, None if erased else before):
            messages.add(trouble, number)
        before = None if erased else line["digest"]
        found.lines += 1
        if trouble != sheet.EDITED:
            kept.append(line)
        elif not erased:
            place = (path.name, number, line["trainee"], line["key"])
            found.edited.append(Edited(*place, line["digest"]))
    troubles += messages.sentences()
    return kept


def _when(line: Mapping[str, Any]) -> datetime:
    return intake.moment(line["time"])


def _take(found: ChangedMarks, line: Mapping[str, Any]) -> None:
    if line["event"] == ERASED:
        return
    place = (line["trainee"], line["key"])
    when = _when(line)
    if before := found.standing.pop(place, None):
        found.ended.append(Ended(before, line["by"], when))
    if line["event"] == "withdrawn":
        return
    found.standing[place] = ChangedMark(
        *place,
        mark=float(line["mark"]),
        reason=line["reason"],
        by=line["by"],
        when=when,
        edition=line["edition"],
        was=None if line.get("was") is None else float(line["was"]),
    )


def _trouble(line: Any) -> str:
    """Check types and sizes once, so that no later reader need doubt them."""
    if not isinstance(line, dict) or line.get("event") not in EVENTS:
        return "not a changed mark; skipped."
    if not intake.is_word(line.get("digest")) or not intake.is_time(line.get("time")):
        return "its time or digest cannot be read; skipped."
    if line["event"] == ERASED:
        return ""
    return _text_trouble(line) or _number_trouble(line)


def _text_trouble(line: Mapping[str, Any]) -> str:
    texts = [line.get(name) for name in ("trainee", "key", "reason", "by")]
    if not all(isinstance(text, str) and 0 < len(text) <= LONGEST_REASON for text in texts):
        return "trainee, key, reason or by is missing or too long; skipped."
    if not intake.is_word(line["key"]):
        return "the key is not a text that can be written; skipped."
    if not (people.PERSON.fullmatch(line["trainee"]) and session.CODE.fullmatch(line["by"])):
        return "trainee or by is not a code; skipped."
    return ""


def _number_trouble(line: Mapping[str, Any]) -> str:
    if not _is(line.get("edition"), int, 1, 10**6):
        return "the edition is not a number; skipped."
    marks = [line.get("mark")] if line["event"] in CHANGED else []
    marks += [line["was"]] if line.get("was") is not None else []
    if not all(_is(mark, (int, float), 0, 1) for mark in marks):
        return "a mark is not a share from 0 to 1; skipped."
    return ""


def _is(value: Any, kind: Any, low: float, high: float) -> bool:
    return isinstance(value, kind) and not isinstance(value, bool) and low <= value <= high


def erase(path: Path, trainee: str) -> int:
    """
    Put a line without content in the place of each line of one trainee; return how many.

    The only change that is ever made to a line here: a person has asked to be deleted.

    Raises
    ------
    OSError
        If the file cannot be read or written.
    """
    if not path.exists():
        return 0
    gone = 0
    with filelock.FileLock(path.with_suffix(".lock"), timeout=10):
        kept = []
        with intake.opened(path) as held:
            lines = [raw for raw in held if raw.strip()]
        for raw in lines:
            theirs = _is_of(raw, trainee)
            gone += theirs
            kept.append(_empty_line() if theirs else raw.rstrip(b"\n") + b"\n")
        if gone:
            disk.write(path, kept, mode=stat.S_IMODE(path.stat().st_mode))
    return gone


def _is_of(raw: bytes, trainee: str) -> bool:
    """Return whether a line is of that trainee; of a damaged one, whether it names the code."""
    line, _ = intake.decoded(raw, False)
    if isinstance(line, dict):  # T07/1 is one of two people who bear the code T07
        return str(line.get("trainee")).partition("/")[0] == trainee
    return f'"{trainee}"'.encode() in raw


def _empty_line() -> bytes:
    line = {"time": datetime.now(UTC).isoformat(timespec="seconds"), "event": ERASED}
    return json.dumps({**line, "digest": sheet.digest(line)}).encode("ascii") + b"\n"
