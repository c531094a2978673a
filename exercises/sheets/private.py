"""
Who may read what the course writes: the person whose computer it is, and nobody else on it.

A folder that the course makes is open to its owner alone, and so is each file. Where a trainer
made the folder a shared one, so that others may write in it too, a file is as any other there, for
the trainer must read the sheets. Where a system has no such rights, as Windows, nothing changes:
there the user's own folders are closed to others anyway.
"""

import os
from pathlib import Path

FOLDER, FILE, SHARED_FILE = 0o700, 0o600, 0o644
WRITTEN_BY_OTHERS = 0o022


def make_folder(path: Path) -> None:
    """Make a folder that its owner alone may enter; one that is there stays as it is."""
    path.mkdir(mode=FOLDER, parents=True, exist_ok=True)


def shared(folder: Path) -> bool:
    """Return whether others than its owner may write in a folder."""
    return bool(folder.stat().st_mode & WRITTEN_BY_OTHERS)


def mode(path: Path) -> int:
    """Return the rights of a file that is written whole."""
    return SHARED_FILE if shared(path.parent) else FILE


def opener(path: str, flags: int) -> int:
    """Open a file for `open(…, opener=…)`; a new one is private from its first moment on."""
    return os.open(path, flags, 0o666 if shared(Path(path).parent) else FILE)
