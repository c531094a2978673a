"""Print a lesson's exercises for a class, and the key beside it."""

import argparse
from pathlib import Path
from typing import Any

from exercises import find, handout, roster, today
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, count, say

MOST_TRAINEES = 60
HELP = """\
  python -m exercises handout --lesson 08 --trainees T01-T12 --out FOLDER
      writes handout.html, each trainee's exercises on A4 with room to write, and
      handout-key.html for the trainer; keys of exercises in the place of --lesson
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("handout")
    one.add_argument("keys", nargs="*", metavar="KEY")
    one.add_argument("--lesson", action="append", default=[], metavar="08")
    one.add_argument("--trainees", required=True, metavar="T01-T12,T20")
    one.add_argument("--turn", type=int, default=1, metavar="2")
    one.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    one.set_defaults(run=_handout)


def _handout(wanted: argparse.Namespace) -> int:
    try:
        codes = roster.codes(wanted.trainees)
        named = {key: find(key) for key in wanted.keys}
        for number in wanted.lesson:
            named |= {one.key: one for one in today.of_lesson(number) if one.marks}
    except (KeyError, ValueError) as error:
        say(str(error.args[0]))
        return NOTHING_DONE
    if not named:
        say("Name at least one exercise by its key, or a lesson: --lesson 08.")
        return NOTHING_DONE
    if len(codes) > MOST_TRAINEES:
        say(f"{len(codes)} trainees are more than a class; {MOST_TRAINEES} at most.")
        return NOTHING_DONE
    if not 1 <= wanted.turn < 10**6:
        say(f"A turn counts from 1; {wanted.turn} is none.")
        return NOTHING_DONE
    lessons = ", ".join(number.strip().zfill(2) for number in wanted.lesson)
    title = f"Exercises of lesson {lessons}" if lessons and not wanted.keys else "Exercises"
    exercises = list(named.values())
    sheets, key = handout.write(exercises, codes, wanted.turn, title, wanted.out)
    print(
        f"{count(len(exercises), 'exercise')} for {count(len(codes), 'trainee')}.\n"
        f"To hand out: {sheets}\nThe key:     {key}"
    )
    return ALL_READ
