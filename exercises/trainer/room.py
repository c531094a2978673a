"""Say first in a room: hands counted for each choice, kept, and shown as bars.

Kept under a code of its own, ROOM, which is no trainee: nobody is marked by it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from exercises.pages import pages
from exercises.question import wording
from exercises.question.model import Exercise, Given
from exercises.sheets import private, session, sheet

EVENT = "hands"
MOST_PEOPLE = 500


@dataclass(frozen=True)
class Hands:
    """Hands for each choice by its key, among how many people."""

    counts: dict[str, int]
    people: int
    time: str = ""

    @property
    def raised(self) -> int:
        """Return how many hands were raised in all."""
        return sum(self.counts.values())


def read(exercise: Exercise, typed: Mapping[str, str], people: str) -> Hands:
    """
    Return the hands as typed: a whole number for each choice, nothing for none.

    Raises
    ------
    ValueError
        If an entry is no whole number, nobody raised a hand, or there are more hands than
        people; one sentence that says which.
    """
    if not people.strip():
        raise ValueError("How many people are in the room? Type that number first.")
    many = _whole(people, "people in the room")
    if not 1 <= many <= MOST_PEOPLE:
        raise ValueError(f"There can be from 1 to {MOST_PEOPLE} people in the room, not {many}.")
    counts = {
        option.key: _whole(typed.get(option.key, ""), wording.quoted(option.text))
        for option in exercise.asked[0].options
    }
    hands = Hands(counts, many)
    if not hands.raised:
        raise ValueError("No hands have been counted yet. Type the number beside each choice.")
    if hands.raised > many:
        raise ValueError(
            f"{hands.raised} hands for {many} people: somebody raised two, or one was counted "
            "twice. Count again."
        )
    return hands


def _whole(text: str, what: str) -> int:
    digits = text.strip()
    if not digits:
        return 0
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 6):
        raise ValueError(f"{what}: {wording.quoted(text)} is not a whole number of people.")
    return int(digits)


def keep(exercise: Exercise, hands: Hands, turn: int = 1) -> dict[str, Any]:
    """
    Keep the hands on the room's sheet and return the event.

    Raises
    ------
    OSError
        If they could not be kept.
    """
    private.make_folder(session.folder())
    place = {"key": exercise.key, "edition": exercise.edition, "turn": turn}
    event = {"event": EVENT, **place, "people": hands.people, "hands": hands.counts}
    return sheet.append(session.folder() / sheet.file_name(sheet.ROOM), event)


def last(exercise: Exercise, turn: int = 1) -> Hands | None:
    """Return the hands last counted at a question, None where there are none to be read."""
    path = session.folder() / sheet.file_name(sheet.ROOM)
    try:
        read = sheet.read(path)
    except OSError:
        return None
    found = [_hands(exercise, e) for e in read.of(exercise.key) if _is(e, turn)]
    return next(filter(None, reversed(found)), None)


def _is(event: Mapping[str, Any], turn: int) -> bool:
    return event["event"] == EVENT and event.get("turn", 1) == turn


def _hands(exercise: Exercise, event: Mapping[str, Any]) -> Hands | None:
    """Return what an event counted; None where it is of another edition or makes no sense."""
    people, counts = event.get("people"), event.get("hands")
    if event.get("edition") != exercise.edition or not isinstance(counts, dict):
        return None
    keys = {option.key for option in exercise.asked[0].options}
    numbers = [people, *counts.values()]
    if set(counts) != keys or any(type(number) is not int or number < 0 for number in numbers):
        return None
    hands = Hands(dict(counts), int(str(people)), str(event["time"]))
    return hands if hands.raised <= hands.people <= MOST_PEOPLE else None


def bars(exercise: Exercise, hands: Hands, given: Given, *, revealed: bool) -> Markup:
    """
    Return the hands as HTML: a bar, its number and its words for each choice.

    `given` is what the page has drawn, so that the choices stand in its order. `revealed` marks
    the right one; before the figure has shown it none is marked.
    """
    asked = exercise.asked[0]
    order = given.get("order", [option.key for option in asked.options])
    right = exercise.solve(given)[asked.name] if revealed else None
    rows = [(asked.say(key), hands.counts[key], key == right) for key in order]
    if still := hands.people - hands.raised:
        rows.append(("no hand", still, False))
    return pages.piece("hands.html", "bars", rows, hands.people)
