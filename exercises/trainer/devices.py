"""A question put to a room in which everybody has a device: a choice that was kept is a hand.

Which question is up, since when, and whether the right choice is shown, stands in the class folder.
Hands are counted in the answer sheets there: numbers alone, nobody is named.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from exercises.bank import BANK
from exercises.bank.concept import IDEAS
from exercises.question.model import Exercise
from exercises.sheets import disk, intake, sheet
from exercises.trainee.practice import ANSWERS
from exercises.trainer.room import Hands

NAME = "asked.json"
LARGEST = 16 * 1024  # bytes


@dataclass(frozen=True)
class Up:
    """
    The question that is up.

    `since` is when counting began anew, "" where every choice kept so far is a hand; `shown`
    says that the right choice stands on the projector.
    """

    key: str
    since: str = ""
    shown: bool = False

    @property
    def exercise(self) -> Exercise:
        """Return the question."""
        return BANK[self.key]


def questions() -> dict[str, list[Exercise]]:
    """Return the questions of one choice, by topic: say first, those marked, the concept check."""
    found: dict[str, list[Exercise]] = {}
    for exercise in BANK.values():
        if is_choice(exercise):
            found.setdefault(exercise.topic, []).append(exercise)
    return found


def is_choice(exercise: Exercise) -> bool:
    """Return whether a question asks for one choice and nothing else."""
    return len(exercise.asked) == 1 and exercise.asked[0].kind == "choice"


def same(key: str) -> tuple[str, ...]:
    """Return the questions that are one: an idea of the concept check has one in each form."""
    forms = [ids for idea in IDEAS if key in (ids := (idea.question("A"), idea.question("B")))]
    return forms[0] if forms else (key,)


def put_up(folder: Path, key: str) -> Up:
    """
    Put a question up; the right choice is not shown yet.

    Raises
    ------
    ValueError
        If it is no question of one choice.
    OSError
        If it cannot be kept.
    """
    if key not in BANK or not is_choice(BANK[key]):
        raise ValueError("Choose a question that asks for one choice.")
    return _keep(folder, Up(key))


def count_anew(folder: Path) -> Up:
    """
    Count from now on, for another round; the right choice is not shown.

    Raises
    ------
    ValueError
        If no question is up.
    OSError
        If it cannot be kept.
    """
    now = datetime.now(UTC).isoformat(timespec="milliseconds")
    return _keep(folder, replace(_up(folder), since=now, shown=False))


def tell(folder: Path, *, shown: bool = True) -> Up:
    """
    Tell the room which choice is right, or take that back.

    Raises
    ------
    ValueError
        If no question is up.
    OSError
        If it cannot be kept.
    """
    return _keep(folder, replace(_up(folder), shown=shown))


def read(folder: Path) -> Up | None:
    """Return the question that is up, None where there is none or it makes no sense."""
    try:
        held = json.loads(intake.text(Path(folder) / NAME, LARGEST))
        one = Up(str(held["key"]), str(held["since"]), held["shown"] is True)
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None
    return one if one.key in BANK and is_choice(one.exercise) else None


def _up(folder: Path) -> Up:
    if (one := read(folder)) is None:
        raise ValueError("No question is up. Choose one first.")
    return one


def _keep(folder: Path, one: Up) -> Up:
    disk.write(Path(folder) / NAME, [json.dumps(asdict(one))])
    return one


class Counter:
    """
    Counts hands again and again; a sheet is read anew only where it changed.

    Each person has one hand: the choice kept last.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)
        self._read: dict[Path, tuple[object, dict[str, tuple[str, str]]]] = {}

    def hands(self, one: Up, inside: int = 0) -> Hands:
        """Return the hands at a question; `inside` is how many people are in the room."""
        counts = dict.fromkeys((option.key for option in one.exercise.asked[0].options), 0)
        for chosen in self._chosen(one):
            if chosen in counts:
                counts[chosen] += 1
        return Hands(counts, max(inside, sum(counts.values()), 1))

    def _chosen(self, one: Up) -> list[str]:
        hands, keys = [], same(one.key)
        for path in sorted(self.folder.glob(sheet.file_name("*"))):
            last = self._last(path)
            found = [last[key] for key in keys if key in last]
            if path.name != sheet.file_name(sheet.ROOM) and found:
                when, choice = max(found)
                if not one.since or when >= one.since:
                    hands.append(choice)
        return hands

    def _last(self, path: Path) -> dict[str, tuple[str, str]]:
        """Return of each question when it was answered last, and by which choice."""
        try:
            state = path.stat()
            stamp: object = (state.st_mtime_ns, state.st_size)
            if path not in self._read or self._read[path][0] != stamp:
                self._read[path] = stamp, _choices(sheet.read(path).events)
        except OSError:
            return {}
        return self._read[path][1]


def _choices(events: list[dict[str, Any]]) -> dict[str, tuple[str, str]]:
    last: dict[str, tuple[str, str]] = {}
    for event in events:
        key = event.get("key")
        if event["event"] in ANSWERS and isinstance(key, str) and key in BANK:
            typed = event.get("typed")
            choice = typed.get("choice") if isinstance(typed, Mapping) else None
            if choice in {option.key for option in BANK[key].asked[0].options}:
                last[key] = str(event.get("time", "")), str(choice)
    return last
