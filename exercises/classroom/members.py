"""
Who belongs to a class while it runs: the roster as it was last understood.

A trainer edits the roster during the course. Somebody added belongs to the class at once; somebody
removed only when the file has stood unchanged for a moment, because a file that is being saved may
be half there. While the file cannot be understood, the list from before stays in force.
"""

import textwrap
import time
from collections.abc import Callable
from pathlib import Path

from exercises.classroom import making, phrases
from exercises.sheets import roster
from exercises.sheets.roster import Person

LONGEST = 400  # characters of what is wrong; a bad file may have much
SETTLED = 2.0  # seconds without a change until somebody removed is out
STAYS = "Until it is corrected, the list from before stays in force."


class Members:
    """
    The people of a class.

    Attributes
    ----------
    people : tuple of Person
        The list in force, in the order of the file.
    trouble : str
        What is wrong with the file now, in one or two sentences; "" where nothing is.
    """

    def __init__(self, folder: Path, clock: Callable[[], float] = time.monotonic) -> None:
        self._path = Path(folder) / making.ROSTER
        self._clock = clock
        self.people: tuple[Person, ...] = ()
        self.trouble = ""
        self._stamp = _stamp(self._path)
        self._changed = 0.0
        self._next: tuple[Person, ...] = ()
        self._read()
        self.people = self._next or _with_phrases(folder)
        self._next = self.people

    @property
    def codes(self) -> set[str]:
        """Return the codes of the list in force."""
        return {one.code for one in self.people}

    def look(self) -> None:
        """Take on what was changed in the file."""
        stamp = _stamp(self._path)
        if stamp != self._stamp:
            self._stamp, self._changed = stamp, self._clock()
            self._read()
        elif self.trouble:  # a spreadsheet may have held it: readable again, and not changed
            self._read()
        if self._clock() - self._changed >= SETTLED:
            self.people = self._next

    def _read(self) -> None:
        try:
            found = tuple(roster.read(self._path))
        except (OSError, ValueError) as error:
            self.trouble = f"{textwrap.shorten(_why(error), LONGEST, placeholder='…')} {STAYS}"
            self._next = self.people
            return
        self.trouble, self._next = "", found
        known = {one.code: one for one in found}
        kept = [known.get(one.code, one) for one in self.people]
        self.people = (*kept, *(one for one in found if one.code not in self.codes))


def _stamp(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_ino, found.st_size


def _why(error: OSError | ValueError) -> str:
    if isinstance(error, ValueError):
        return str(error)
    return f"{making.ROSTER} cannot be read: {error.strerror or error}."


def _with_phrases(folder: Path) -> tuple[Person, ...]:
    """Return those who have a phrase: the class, where its list has not been readable yet."""
    try:
        return tuple(Person(code) for code in sorted(phrases.read(folder)))
    except (OSError, ValueError):
        return ()


def without_phrase(folder: Path, people: tuple[Person, ...]) -> list[str]:
    """
    Return the codes of those who have no phrase yet.

    Raises
    ------
    ValueError
        If the file of the phrases cannot be understood.
    OSError
        If it cannot be read.
    """
    having = phrases.read(folder)
    return [one.code for one in people if one.code not in having]
