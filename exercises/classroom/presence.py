"""Who is in a class now, on which pages, and which phrases were wrong: from server to desk.

The server writes it while it runs and takes it away when it stops; whoever reads an older file
sees how old it is.
"""

import json
import time
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from exercises.sheets import disk, intake

NAME = "in-the-room.json"
LARGEST = 1024 * 1024  # bytes
EVERY = 5.0  # seconds until the server writes anew where nothing changed
STALE = 15.0  # seconds after which it has stopped, or hangs


@dataclass(frozen=True)
class Open:
    """A page that runs: its name, the exercise in sight, whether a browser is connected to it."""

    page: str
    at: str
    connected: bool


@dataclass(frozen=True)
class Inside:
    """Somebody who is signed in, since when, and the pages that run, the newest last."""

    code: str
    since: float
    pages: tuple[Open, ...] = ()


@dataclass(frozen=True)
class Tried:
    """A wrong phrase: by which code, from which address, how often, when last."""

    code: str
    address: str
    times: int
    last: float


@dataclass(frozen=True)
class Presence:
    """All of it, and when it was so."""

    time: float
    people: tuple[Inside, ...] = ()
    wrong: tuple[Tried, ...] = field(default=())

    def same(self, other: "Presence") -> bool:
        """Return whether another moment shows the same."""
        return (self.people, self.wrong) == (other.people, other.wrong)

    def stale(self, now: float | None = None) -> bool:
        """Return whether the server has not written for a while."""
        return abs((time.time() if now is None else now) - self.time) > STALE


def write(folder: Path, one: Presence) -> None:
    """
    Write it, whole or not at all.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    disk.write(Path(folder) / NAME, [json.dumps(asdict(one), ensure_ascii=False)])


def take_away(folder: Path) -> None:
    """
    Say that nobody is in any more.

    Raises
    ------
    OSError
        If the file is there and stays.
    """
    (Path(folder) / NAME).unlink(missing_ok=True)


def read(folder: Path) -> Presence | None:
    """Return who is in; None where no server has said so, or what it said makes no sense."""
    try:
        held = json.loads(intake.text(Path(folder) / NAME, LARGEST))
        return Presence(
            float(held["time"]),
            tuple(_inside(one) for one in held["people"]),
            tuple(_tried(one) for one in held["wrong"]),
        )
    except (
        OSError,
        ValueError,
        TypeError,
        KeyError,
        AttributeError,
        OverflowError,
        RecursionError,
    ):
        return None


def _inside(held: dict[str, Any]) -> Inside:
    pages = tuple(
        Open(str(one["page"]), str(one["at"]), bool(one["connected"])) for one in held["pages"]
    )
    return Inside(str(held["code"]), float(held["since"]), pages)


def _tried(held: dict[str, Any]) -> Tried:
    return Tried(str(held["code"]), str(held["address"]), int(held["times"]), float(held["last"]))
