"""The bank: every exercise of the course by its key."""

import difflib

from exercises.bank import (
    concept,
    datums,
    deflection,
    ecef,
    ellipsoid,
    excess,
    geoid,
    grid,
    heights,
    lines,
    motion,
    sailing,
    surface,
)
from exercises.question.model import Exercise

BANK: dict[str, Exercise] = {
    exercise.key: exercise
    for topic in (
        surface,
        excess,
        ellipsoid,
        ecef,
        lines,
        geoid,
        heights,
        deflection,
        datums,
        motion,
        grid,
        sailing,
        concept,
    )
    for exercise in topic.EXERCISES
}


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
