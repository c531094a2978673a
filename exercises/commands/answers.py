"""Print one exercise with a trainee's numbers, its worked answer and its slips."""

import argparse
import math
from collections import defaultdict
from pathlib import Path
from typing import Any

from exercises.bank import find
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, columns, say, wrapped
from exercises.question import dice, marking, wording
from exercises.question.model import DMS, Answer, Asked, Exercise
from exercises.sheets import class_file, person, session

HELP = """\
  python -m exercises answers KEY --trainee T07 --turn 2
      prints one exercise with that trainee's numbers, the worked answer, and the
      number that each slip would give; --class FOLDER for the numbers of a hosted class
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("answers")
    one.add_argument("key", metavar="KEY")
    one.add_argument("--trainee", required=True, metavar="T07")
    one.add_argument("--turn", type=int, default=1, metavar="2")
    one.add_argument("--class", dest="folder", type=Path, metavar="FOLDER")
    one.set_defaults(run=_answers)


def _answers(wanted: argparse.Namespace) -> int:
    try:
        exercise, trainee = find(wanted.key), session.person(wanted.trainee)
        secret = ""
        if wanted.folder:
            room = class_file.read(wanted.folder)
            trainee, secret = f"{room.word}-{person.parts(trainee)[1]}", room.secret
    except (KeyError, ValueError) as error:
        say(str(error.args[0]))
        return NOTHING_DONE
    if not 1 <= wanted.turn < 10**6:
        say(f"Turns are numbered from 1; there is no turn {wanted.turn}.")
        return NOTHING_DONE
    print("\n".join(_answer_lines(exercise, trainee, wanted.turn, secret)))
    return ALL_READ


def _answer_lines(exercise: Exercise, trainee: str, turn: int, secret: str) -> list[str]:
    given = dice.given(exercise, trainee, turn, secret)
    right = exercise.solve(given)
    lines = [exercise.title, f"{exercise.key}, edition {exercise.edition}: {trainee}, turn {turn}"]
    lines += ["", *wrapped(exercise.prompt), ""]
    lines += columns("Given", exercise.table(given))
    lines += columns("Answer", [(a.label, _answer(a, right[a.name])) for a in exercise.asked])
    lines += ["Worked"]
    lines += [line for step in exercise.steps(given) for line in wrapped(step, "  ")]
    chosen = exercise.asked[0].kind == "choice"
    lines += ["", "Other choices" if chosen else "Slips, with the numbers each of them gives"]
    for key, route in exercise.wrong(given).items():
        slip = exercise.slip(key)
        what = _option(exercise, route) if chosen else _values(exercise, route)
        lines += [f"  {slip.name}" + ("" if what == slip.name else f": {what}")]
        lines += wrapped(slip.reply.replace("{value}", "This"), "      ")
    return lines + _general(exercise, right)


def _answer(asked: Asked, value: Any) -> str:
    if asked.kind == "choice":
        return asked.say(value)
    return f"{asked.say(value)}   (right within {asked.within})"


def _values(exercise: Exercise, answer: Answer) -> str:
    parts = [(exercise.part(name), value) for name, value in answer.items()]
    return ", ".join(f"{asked.label} {asked.say(value)}" for asked, value in parts)


def _option(exercise: Exercise, answer: Answer) -> str:
    return exercise.asked[0].say(answer[exercise.asked[0].name])


def _general(exercise: Exercise, right: Answer) -> list[str]:
    """Return the slips of unit, sign and order that are recognised besides."""
    numbers: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for name, generals in marking.general_slips(exercise, right).items():
        asked = exercise.part(name)
        for general in generals:
            numbers[general.key][asked.label].append(_typed(asked, general.value))
    lines = [
        f"  {marking.GENERAL[key][0]}: "
        + ", ".join(f"{label} {' or '.join(values)}" for label, values in parts.items())
        for key, parts in numbers.items()
    ]
    return ["", "Also recognised, where these are typed", *lines] if lines else []


def _typed(asked: Asked, value: float) -> str:
    """Return a number as it would be typed; one that rounds to nothing with three figures."""
    if asked.unit == DMS:
        return asked.say(value)
    figures = 2 - math.floor(math.log10(abs(value))) if value else 0
    return wording.number(value, max(asked.decimals, figures))
