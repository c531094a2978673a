"""Print a lesson's exercises for a class, and the key beside it."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands import choosing
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, count, say
from exercises.paper import handout

HELP = """\
  python -m exercises handout --lesson 08 --trainees T01-T12 --out FOLDER
      writes handout.html, each trainee's exercises on A4 with room to write, and
      handout-key.html for the trainer; keys of exercises instead of --lesson;
      --roster CLASS.csv instead of --trainees, where its column decimal says who writes a
      decimal comma; --class FOLDER for the numbers of a hosted class; answers typed into
      a table as for a paper, with the code as its number, are marked by paper-mark FOLDER;
      --again to write over another handout
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("handout")
    choosing.add_exercises(one)
    choosing.add_class(one)
    one.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    one.add_argument("--again", action="store_true")
    one.set_defaults(run=_handout)


def _handout(wanted: argparse.Namespace) -> int:
    try:
        chosen, exercises = choosing.class_of(wanted), choosing.exercises_of(wanted)
    except (KeyError, ValueError) as error:
        say(str(error.args[0]))
        return NOTHING_DONE
    if wanted.lesson:  # of a lesson what is answered on paper; what the room says first is not
        exercises = [one for one in exercises if one.marks or one.key in wanted.keys]
    lessons = ", ".join(number.strip().zfill(2) for number in wanted.lesson)
    title = f"Exercises of lesson {lessons}" if lessons and not wanted.keys else "Exercises"
    people, turn = chosen.people, wanted.turn
    try:
        sheets, key = handout.write(
            exercises, people, turn, title, wanted.out, chosen.secret, again=wanted.again
        )
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    print(
        f"{count(len(exercises), 'exercise')} for {count(len(people), 'trainee')}.\n"
        f"To hand out: {sheets}\nThe key:     {key}"
    )
    return ALL_READ
