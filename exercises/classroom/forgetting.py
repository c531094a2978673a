"""
Taking somebody out of a class: the line of the roster, the phrase, the sessions, the settings.

Sheets and registers are not looked for here: a class's are as any other folder's.
"""

import contextlib
import csv
import io
import json
from pathlib import Path

import filelock

from exercises.classroom import making, phrases, presence
from exercises.sheets import class_file, disk, intake, person, roster

SIGNED_IN = "signed-in.json"  # who is in: {digest of a cookie's word: {"code", "began"}}
LOCKED = (phrases.NAME, SIGNED_IN)


def settings_of(folder: Path, code: str) -> Path:
    """Return where a class keeps what somebody has chosen."""
    return Path(folder) / "settings" / f"settings-{code}.json"


def code_in(folder: Path, whole: str) -> str:
    """Return somebody's code in the class of a folder, "" where they are not of that class."""
    word, code = person.parts(whole)
    try:
        return code if word and class_file.read(folder).word == word else ""
    except (OSError, ValueError):
        return ""


def naming(folder: Path, code: str) -> list[Path]:
    """
    Return the class's own files that would have to be written anew without somebody.

    Raises
    ------
    OSError
        If one of them cannot be read, or understood: it may name them.
    """
    found = []
    for name, without in WITHOUT.items():
        path = Path(folder) / name
        if path.exists() and without(_text(path), code) is not None:
            found.append(path)
    return found


def erase(path: Path, code: str) -> None:
    """
    Write one of the class's files anew without somebody.

    Raises
    ------
    OSError
        If it cannot be read, understood or written; it stays as it was.
    """
    lock = filelock.FileLock(path.with_suffix(".lock"), timeout=10)  # as server and desk do
    try:
        with lock if path.name in LOCKED else contextlib.nullcontext():
            left = WITHOUT[path.name](_text(path), code)
            if left is not None:
                disk.write(path, [left])
    except filelock.Timeout:
        raise OSError(f"{path.name} is being written elsewhere") from None


def _text(path: Path) -> str:
    try:
        return intake.text(path, roster.LARGEST)
    except (UnicodeDecodeError, OverflowError):
        raise OSError(f"{path.name} could not be understood") from None


def _roster_without(text: str, code: str) -> str | None:
    """Return a roster without somebody's line, every other as it stands; None if it has none."""
    lines = list(io.StringIO(text, newline=""))
    head = next((line for line in lines if line.strip()), "")
    reader = csv.reader(lines, delimiter=max(";\t,", key=head.count))
    kept, begun, place = [], 0, None
    try:
        for row in reader:
            cells = [cell.strip().casefold() for cell in row]
            if place is None and any(cells):
                place = next(n for n, cell in enumerate(cells) if cell in roster.HEADS["code"])
            theirs = place is not None and cells[place : place + 1] == [code.casefold()]
            kept += [] if theirs else lines[begun : reader.line_num]
            begun = reader.line_num
    except (csv.Error, StopIteration):
        raise OSError(f"{making.ROSTER} could not be understood") from None
    return "".join(kept) if kept != lines else None


def _phrases_without(text: str, code: str) -> str | None:
    held = _held(text, phrases.NAME)
    left = {one: kept for one, kept in held.items() if one != code}
    return json.dumps(left, indent=1) if left != held else None


def _sessions_without(text: str, code: str) -> str | None:
    held = _held(text, SIGNED_IN)
    left = {word: one for word, one in held.items() if not _is_of(one, code)}
    return json.dumps(left) if left != held else None


def _presence_without(text: str, code: str) -> str | None:
    held = _held(text, presence.NAME)
    lists = {name: one for name, one in held.items() if isinstance(one, list)}
    left = {n: [one for one in every if not _is_of(one, code)] for n, every in lists.items()}
    return json.dumps({**held, **left}) if left != lists else None


def _is_of(one: object, code: str) -> bool:
    return isinstance(one, dict) and one.get("code") == code


def _held(text: str, name: str) -> dict[str, object]:
    try:
        held = json.loads(text)
    except (ValueError, RecursionError):
        held = None
    if not isinstance(held, dict):
        raise OSError(f"{name} could not be understood")
    return held


WITHOUT = {
    making.ROSTER: _roster_without,
    phrases.NAME: _phrases_without,
    SIGNED_IN: _sessions_without,
    presence.NAME: _presence_without,
}
