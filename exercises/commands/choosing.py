"""Which class, which exercises, which turn: the same words in every command that prints them."""

import argparse
from pathlib import Path
from typing import Any

from exercises.bank import find
from exercises.question.model import Exercise
from exercises.sheets import roster
from exercises.trainer import today

MOST_TRAINEES = 60


def add_exercises(parser: Any) -> None:
    """Add the exercises by key or by lesson."""
    parser.add_argument("keys", nargs="*", metavar="KEY")
    parser.add_argument("--lesson", action="append", default=[], metavar="08")


def add_class(parser: Any) -> None:
    """Add the trainees, as a list or as a roster's file, and the turn."""
    who = parser.add_mutually_exclusive_group(required=True)
    who.add_argument("--trainees", metavar="T01-T12,T20")
    who.add_argument("--roster", type=Path, metavar="CLASS.csv")
    parser.add_argument("--turn", type=int, default=1, metavar="2")


def class_of(wanted: argparse.Namespace) -> list[str]:
    """Return the codes of the class; raises as `people_of` does."""
    return [one.code for one in people_of(wanted)]


def people_of(wanted: argparse.Namespace) -> list[roster.Person]:
    """
    Return the class; a roster's column "decimal" says who writes 12,5.

    Raises
    ------
    ValueError
        If the list, the roster or the turn cannot be meant, in one sentence.
    """
    people = _people(wanted)
    if len(people) > MOST_TRAINEES:
        raise ValueError(
            f"{len(people)} trainees are more than one class: at most {MOST_TRAINEES} in one file."
        )
    if not 1 <= wanted.turn < 10**6:
        raise ValueError(f"Turns are numbered from 1; there is no turn {wanted.turn}.")
    return people


def _people(wanted: argparse.Namespace) -> list[roster.Person]:
    if wanted.trainees is not None:
        return [roster.Person(code) for code in roster.codes(wanted.trainees)]
    try:
        return roster.read(wanted.roster)
    except OSError as error:
        raise ValueError(f"{wanted.roster}: {error.strerror or error}.") from None


def exercises_of(wanted: argparse.Namespace) -> list[Exercise]:
    """
    Return the exercises named by key and by lesson, each once.

    Raises
    ------
    KeyError
        If a key is unknown, naming near ones.
    ValueError
        If a lesson is unknown, or nothing is named.
    """
    named = {key: find(key) for key in wanted.keys}
    for number in wanted.lesson:
        named |= {exercise.key: exercise for exercise in today.of_lesson(number)}
    if not named:
        raise ValueError("Name at least one exercise by its key, or a lesson: --lesson 08.")
    return list(named.values())
