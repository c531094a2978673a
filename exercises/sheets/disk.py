"""A file written whole or not at all, and on the disk when that is said."""

import contextlib
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

from exercises.sheets import private


def write(path: Path, pieces: Iterable[str | bytes], *, mode: int = 0o600) -> Path:
    """
    Write a file beside its place, flush it to the disk, and put it there in one step.

    Whoever reads meanwhile finds the old file or the new one. When this returns, the new one
    outlasts a loss of power. `mode` is who may read it, where the system has such.

    Raises
    ------
    OSError
        If the folder cannot be made or the file cannot be written; the old one stays.
    """
    private.make_folder(path.parent)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=path.stem + "-", suffix=".tmp")
    try:
        with os.fdopen(handle, "wb") as out:
            for piece in pieces:
                out.write(piece if isinstance(piece, bytes) else piece.encode("utf-8"))
            out.flush()
            os.fsync(out.fileno())
        os.chmod(temporary, mode)
        os.replace(temporary, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise
    _flush_folder(path.parent)
    return path


def _flush_folder(folder: Path) -> None:
    """Flush the folder's own list of names; Windows writes it with the file."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
