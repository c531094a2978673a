"""Which class, which exercises, which turn: the same words in every command that prints them."""

import argparse
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from exercises.bank import find
from exercises.classroom import making
from exercises.question.model import Exercise
from exercises.sheets import class_file, person, roster
from exercises.trainer import today

MOST_TRAINEES = 60


def add_exercises(parser: Any) -> None:
    """Add the exercises by key or by lesson."""
    parser.add_argument("keys", nargs="*", metavar="KEY")
    parser.add_argument("--lesson", action="append", default=[], metavar="08")


@dataclass(frozen=True)
class Chosen:
    """
    Whom something is printed for.

    `secret` is that of a hosted class: what is printed then has the numbers of its pages.
    """

    people: list[roster.Person]
    secret: str = ""

    @property
    def codes(self) -> list[str]:
        """Return the codes alone; in a hosted class with the class word."""
        return [one.code for one in self.people]


def add_class(parser: Any) -> None:
    """Add the trainees, as a list or as a roster's file, the hosted class, and the turn."""
    who = parser.add_mutually_exclusive_group()
    who.add_argument("--trainees", metavar="T01-T12,T20")
    who.add_argument("--roster", type=Path, metavar="CLASS.csv")
    parser.add_argument("--class", dest="hosted", type=Path, metavar="FOLDER")
    parser.add_argument("--turn", type=int, default=1, metavar="2")


def class_of(wanted: argparse.Namespace) -> Chosen:
    """
    Return the class; a roster's column "decimal" says who writes 12,5.

    Raises
    ------
    ValueError
        If the list, the roster, the class or the turn is not valid; the reason is one sentence.
    """
    people = _people(wanted)
    if len(people) > MOST_TRAINEES:
        raise ValueError(
            f"{len(people)} trainees are more than one class: at most {MOST_TRAINEES} in one file."
        )
    if not 1 <= wanted.turn < 10**6:
        raise ValueError(f"Turns are numbered from 1; there is no turn {wanted.turn}.")
    return _in_their_room(people, wanted.hosted) if wanted.hosted else Chosen(people)


def _people(wanted: argparse.Namespace) -> list[roster.Person]:
    if wanted.trainees is not None:
        named = [roster.Person(code) for code in roster.codes(wanted.trainees)]
        return _of_the_class(named, wanted.hosted) if wanted.hosted else named
    if not (wanted.roster or wanted.hosted):
        raise ValueError("Name the trainees: --trainees T01-T12, --roster FILE or --class FOLDER.")
    return _read(wanted.roster or wanted.hosted / making.ROSTER)


def _read(path: Path) -> list[roster.Person]:
    try:
        return roster.read(path)
    except OSError as error:
        raise ValueError(f"{path}: {error.strerror or error}.") from None


def _of_the_class(named: list[roster.Person], folder: Path) -> list[roster.Person]:
    """Return those of a class who are named, as its roster has them."""
    every = {one.code: one for one in _read(folder / making.ROSTER)}
    strange = [one.code for one in named if one.code not in every]
    if strange:
        raise ValueError(f"The class in {folder} has no {', '.join(strange)}.")
    return [every[one.code] for one in named]


def _in_their_room(people: list[roster.Person], folder: Path) -> Chosen:
    """Return people as their class's server knows them, so that paper and page agree."""
    try:
        room = class_file.read(folder)
    except OSError as error:
        raise ValueError(f"{folder}: {error.strerror or error}.") from None
    known = [replace(one, code=f"{room.word}-{person.parts(one.code)[1]}") for one in people]
    return Chosen(known, room.secret)


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
