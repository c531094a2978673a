"""A clean slate between classes: what one class left is put aside, never deleted.

Answer sheets and settings move into a dated folder below the answers folder, so that the next
class starts with nobody signed in. Moving them back is the way back.
"""

import contextlib
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import filelock

from exercises.sheets import private, session, sheet

# Beside the sheets: the settings, and what the marking of that class keeps and writes. A changed
# mark left behind would fall on the next class's trainee of the same code.
OF_A_CLASS = re.compile(
    r"(settings|desk)\.json|answers-[A-Z][A-Z0-9]{1,7}\.head|(changed-marks|overrides)\.jsonl"
    r"|statements\.jsonl?|(register|statistics)\.(csv|html)"
    r"|records?(-[A-Z][A-Z0-9]{1,7})?\.html"
)
LONGEST_WAIT = 0.5  # seconds for a lesson that is just writing


class InUseError(Exception):
    """A lesson holds a sheet's lock, or a file could not be moved; nothing was moved."""


@dataclass(frozen=True)
class Slate:
    """What was put aside, and where; nothing where the folder was clean already."""

    folder: Path
    aside: Path | None
    names: list[str]


def left(folder: Path) -> list[Path]:
    """
    Return what a class left in the folder itself: sheets, settings, its marking; in order.

    A folder that is not there is clean. Folders below it and other files are no concern of the
    slate.

    Raises
    ------
    OSError
        If the folder cannot be read.
    """
    try:
        found = sorted(Path(folder).iterdir())
    except FileNotFoundError:
        return []
    return [
        path
        for path in found
        if path.is_file()
        and not path.is_symlink()
        and (OF_A_CLASS.fullmatch(path.name) or sheet.NAME.fullmatch(path.name))
    ]


def clean(folder: Path | None = None, now: datetime | None = None) -> Slate:
    """
    Put everything that a class left into a folder of its own, named by day and time.

    Raises
    ------
    InUseError
        If a lesson is writing in the folder, or a file cannot be moved.
    OSError
        If the folder cannot be read or written.
    """
    folder = session.folder() if folder is None else Path(folder)
    paths = left(folder)
    if not paths:
        return Slate(folder, None, [])
    with _locked(paths):
        aside = _new_folder(folder, now or datetime.now())
        _move(paths, aside)
    return Slate(folder, aside, [path.name for path in paths])


@contextlib.contextmanager
def _locked(paths: list[Path]) -> Iterator[None]:
    """Hold the lock of every sheet, so that no lesson writes while it moves."""
    with contextlib.ExitStack() as held:
        for path in paths:
            if path.suffix != ".jsonl":
                continue
            try:
                held.enter_context(filelock.FileLock(path.with_suffix(".lock"), LONGEST_WAIT))
            except filelock.Timeout:
                raise InUseError(
                    f"A lesson is writing to {path.name}. Nothing was moved. Close the course "
                    "on this computer (Ctrl+C in its terminal window) and try again."
                ) from None
        yield


def _new_folder(folder: Path, now: datetime) -> Path:
    """Make and return the dated folder; a second one in the same minute gets a number."""
    name = f"class of {now:%Y-%m-%d %H%M}"
    for number in range(1, 1000):
        aside = folder / (name if number == 1 else f"{name} ({number})")
        with contextlib.suppress(FileExistsError):
            aside.mkdir(0o777 if private.shared(folder) else private.FOLDER)
            return aside
    raise FileExistsError(17, "too many folders of this minute", str(folder / name))


def _move(paths: list[Path], aside: Path) -> None:
    """Move all or none: what has moved goes back where one cannot."""
    moved: list[Path] = []
    try:
        for path in paths:
            os.rename(path, aside / path.name)  # the folder is new: nothing is overwritten
            moved.append(path)
    except OSError as error:
        for back in moved:
            os.rename(aside / back.name, back)
        with contextlib.suppress(OSError):
            aside.rmdir()
        raise InUseError(
            f"{path.name} cannot be moved: {error.strerror or error}. Nothing was moved. If it is "
            "open in another program, close it there and try again."
        ) from None
