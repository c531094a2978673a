"""
Who is signed in to a class.

A session is a random word in a browser's cookie; whose it is stands on the server alone, so that a
session ends when the server says so, or the trainer at the desk.
"""

import contextlib
import hashlib
import json
import os
import secrets
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import filelock

from exercises.classroom import forgetting

KEPT = forgetting.SIGNED_IN
MOST_SESSIONS = 12  # of one person: each browser has one
Held = dict[str, tuple[str, float]]  # the digest of a session's word: whose, since when


class Sessions:
    """
    Who is in. Kept in the class's folder, so that a restart of the server ends no session, and so
    that the desk, which runs beside the server, can end one.
    """

    def __init__(self, folder: Path) -> None:
        self._path = Path(folder) / KEPT
        self._lock = filelock.FileLock(self._path.with_suffix(".lock"), timeout=10)
        self._of: Held = {}
        self._seen: tuple[int, int, int] | None = None

    def begin(self, code: str) -> str:
        """Begin a session and return its word."""
        word = secrets.token_urlsafe(24)

        def with_it(held: Held) -> Held:
            own = [word for word, one in held.items() if one[0] == code]  # the oldest first
            for oldest in own[: max(0, len(own) + 1 - MOST_SESSIONS)]:
                del held[oldest]
            return {**held, _digest(word): (code, time.time())}

        self._change(with_it)
        return word

    def code(self, word: str) -> str | None:
        """Return whose session it is, None where it is none or has ended."""
        self._look()
        held = self._of.get(_digest(word))
        return held[0] if held else None

    def end(self, word: str) -> None:
        """End one session."""
        self._change(lambda held: {w: one for w, one in held.items() if w != _digest(word)})

    def end_all_of(self, code: str) -> None:
        """End every session of a code: of whoever has a new phrase, or is signed out."""
        self._change(lambda held: {w: one for w, one in held.items() if one[0] != code})

    def end_older(self, days: float) -> None:
        """End what was begun before; asked at a start only, lest a clock that is set ends all."""
        first = time.time() - days * 86400
        self._change(lambda held: {w: one for w, one in held.items() if one[1] >= first})

    def people(self) -> list[str]:
        """Return the codes that are in."""
        self._look()
        return sorted({code for code, _ in self._of.values()})

    def since(self) -> dict[str, float]:
        """Return {code: when its latest session began} of all who are in."""
        self._look()
        return {code: began for code, began in sorted(self._of.values(), key=lambda one: one[1])}

    def _look(self) -> None:
        """Take on what another process changed."""
        with contextlib.suppress(OSError):
            stamp = self._path.stat()
            if self._seen != (stamp.st_mtime_ns, stamp.st_ino, stamp.st_size):
                self._seen = (stamp.st_mtime_ns, stamp.st_ino, stamp.st_size)
                self._of = self._read()

    def _read(self) -> Held:
        try:
            held = json.loads(self._path.read_text(encoding="utf-8"))
            return {str(w): (str(one["code"]), float(one["began"])) for w, one in held.items()}
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            return {}  # nobody is in then; everybody can sign in

    def _change(self, how: Callable[[Held], Held]) -> None:
        """Change who is in, and keep it; a full disk keeps nobody out and nobody in."""
        try:
            with self._lock:
                self._look()
                self._of = how(self._of)
                self._keep()
        except (OSError, filelock.Timeout):
            self._of = how(self._of)

    def _keep(self) -> None:
        held = {word: {"code": code, "began": began} for word, (code, began) in self._of.items()}
        handle, temporary = tempfile.mkstemp(dir=self._path.parent, prefix=".signed-in-")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as out:
                json.dump(held, out)
            os.replace(temporary, self._path)
        finally:
            Path(temporary).unlink(missing_ok=True)
        stamp = self._path.stat()
        self._seen = (stamp.st_mtime_ns, stamp.st_ino, stamp.st_size)


def _digest(word: str) -> str:
    """Return what is kept of a cookie's word: whoever reads the file cannot come in with it."""
    return hashlib.sha256(word.encode("utf-8", "replace")).hexdigest()
