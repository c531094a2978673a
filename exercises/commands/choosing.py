"""Which class, which exercises, which turn: the same words in every command that prints them."""

import argparse
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
    """Add the trainees and the turn."""
    parser.add_argument("--trainees", required=True, metavar="T01-T12,T20")
    parser.add_argument("--turn", type=int, default=1, metavar="2")


def class_of(wanted: argparse.Namespace) -> list[str]:
    """
    Return the codes of the class.

    Raises
    ------
    ValueError
        If the list or the turn is invalid, in one sentence.
    """
    codes = roster.codes(wanted.trainees)
    if len(codes) > MOST_TRAINEES:
        raise ValueError(
            f"{len(codes)} trainees are more than a class; {MOST_TRAINEES} at most in one file."
        )
    if not 1 <= wanted.turn < 10**6:
        raise ValueError(f"A turn counts from 1; {wanted.turn} is none.")
    return codes


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
