"""The bank: every exercise of the course by its key."""

import difflib
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

from exercises.question.model import Exercise
from exercises.question.words import load

TOPICS = (
    *("surface", "excess", "ellipsoid", "ecef", "lines", "geoid", "heights"),
    *("deflection", "attraction", "datums", "motion", "grid", "sailing", "concept"),
)
HERE = Path(__file__).resolve().parent


def _exercises(topic: str) -> Iterator[Exercise]:
    """
    Give the exercises that stand in a topic's file, in the order of its words.

    Several that share one section, the wordings of one idea, follow one another. A section that is
    headed by the topic itself holds words that its exercises share.
    """
    sections = [name for name in load(HERE / f"{topic}.ini") if name != topic]
    held: dict[str, list[Exercise]] = {name: [] for name in sections}
    for key, one in _found(topic).items():
        held[key if key in held else key.rpartition("-")[0]].append(one)
    for spare in [name for name, those in held.items() if not those]:
        raise ValueError(f"{topic}.ini has words for [{spare}], and {topic}.py no such exercise.")
    for those in held.values():
        yield from those


def _found(topic: str) -> dict[str, Exercise]:
    """Return the exercises that a topic's file names, alone or in a tuple, by their keys."""
    things = vars(import_module(f"exercises.bank.{topic}")).values()
    each = (one for thing in things for one in (thing if isinstance(thing, tuple) else (thing,)))
    return {one.key: one for one in each if isinstance(one, Exercise)}


BANK: dict[str, Exercise] = {one.key: one for topic in TOPICS for one in _exercises(topic)}


def find(key: str) -> Exercise:
    """
    Return the exercise of that key.

    Raises
    ------
    KeyError
        Naming the nearest keys.
    """
    if key in BANK:
        return BANK[key]
    near = difflib.get_close_matches(key, BANK, n=3, cutoff=0.4) or sorted(BANK)[:3]
    raise KeyError(f"no exercise is called {key!r}; near it are {', '.join(near)}.")
