"""Print today's exercises with the answers of a list of trainees."""

import argparse
from pathlib import Path
from typing import Any

from exercises import find, pages, roster, today
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, columns, count, say
from exercises.model import Exercise

MOST_TRAINEES = 60
HELP = """\
  python -m exercises today KEY --trainees T01-T12,T20 --out FILE.html
      prints exercises for a list of trainees: given numbers, right answers, and what
      the commonest slips give; --lesson 08 in the place of keys, --turn 2
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("today")
    one.add_argument("keys", nargs="*", metavar="KEY")
    one.add_argument("--lesson", action="append", default=[], metavar="08")
    one.add_argument("--trainees", required=True, metavar="T01-T12,T20")
    one.add_argument("--turn", type=int, default=1, metavar="2")
    one.add_argument("--out", type=Path, required=True, metavar="FILE.html")
    one.set_defaults(run=_today)


def _today(wanted: argparse.Namespace) -> int:
    try:
        codes = roster.codes(wanted.trainees)
        exercises = _wanted(wanted)
    except (KeyError, ValueError) as error:
        say(str(error.args[0]))
        return NOTHING_DONE
    if len(codes) > MOST_TRAINEES:
        say(f"{len(codes)} trainees are more than a class; {MOST_TRAINEES} at most on one page.")
        return NOTHING_DONE
    if not exercises:
        say("Name at least one exercise by its key, or a lesson: --lesson 08.")
        return NOTHING_DONE
    if not 1 <= wanted.turn < 10**6:
        say(f"A turn counts from 1; {wanted.turn} is none.")
        return NOTHING_DONE
    tables = [today.table(exercise, codes, wanted.turn) for exercise in exercises]
    path = pages.write(wanted.out, today.page(tables, codes, wanted.turn))
    print("\n".join(_told(tables)))
    print(
        f"{count(len(tables), 'exercise')} for {count(len(codes), 'trainee')}, "
        f"turn {wanted.turn}: {path}"
    )
    return ALL_READ


def _wanted(wanted: argparse.Namespace) -> list[Exercise]:
    """Return the exercises named by key and by lesson, each once."""
    named = {key: find(key) for key in wanted.keys}
    for number in wanted.lesson:
        named |= {exercise.key: exercise for exercise in today.of_lesson(number)}
    return list(named.values())


def _told(tables: list[today.Table]) -> list[str]:
    """Tell the right answers: a row for each trainee, one line where all have the same."""
    lines: list[str] = []
    for table in tables:
        head = f"{table.exercise.title} ({table.exercise.key})"
        if table.choices:
            lines += [head, f"  {table.choices[0][1]}", ""]
        else:
            rows = [(row.trainee, ",  ".join(row.right)) for row in table.rows]
            lines += columns(head, rows)
    return lines
