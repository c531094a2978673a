"""Print today's exercises with the answers of a list of trainees."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands import choosing
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, columns, count, say
from exercises.pages import pages
from exercises.trainer import today

HELP = """\
  python -m exercises today KEY --trainees T01-T12,T20 --out FILE.html
      prints exercises for a list of trainees: given numbers, right answers, and what
      the commonest slips give; --lesson 08 instead of keys; --turn 2; --class FOLDER for
      the numbers of a hosted class
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("today")
    choosing.add_exercises(one)
    choosing.add_class(one)
    one.add_argument("--out", type=Path, required=True, metavar="FILE.html")
    one.set_defaults(run=_today)


def _today(wanted: argparse.Namespace) -> int:
    try:
        chosen, exercises = choosing.class_of(wanted), choosing.exercises_of(wanted)
    except (KeyError, ValueError) as error:
        say(str(error.args[0]))
        return NOTHING_DONE
    codes, turn = chosen.codes, wanted.turn
    tables = [today.table(exercise, codes, turn, chosen.secret) for exercise in exercises]
    path = pages.write(wanted.out, today.page(tables, codes, turn))
    print("\n".join(_answer_lines(tables)))
    print(
        f"{count(len(tables), 'exercise')} for {count(len(codes), 'trainee')}, turn {turn}: {path}"
    )
    return ALL_READ


def _answer_lines(tables: list[today.TodayTable]) -> list[str]:
    """Return the right answers: a row for each trainee, one line where all have the same."""
    lines: list[str] = []
    for table in tables:
        head = f"{table.exercise.title} ({table.exercise.key})"
        if table.choices:
            lines += [head, f"  {table.choices[0][1]}", ""]
        else:
            rows = [(row.trainee, ",  ".join(row.right)) for row in table.rows]
            lines += columns(head, rows)
    return lines
