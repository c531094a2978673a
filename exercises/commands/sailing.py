"""Print the parameter sheets of lesson 13 for a list of trainees."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands import choosing
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, count, say
from exercises.pages import pages
from exercises.trainer import sailing

HELP = """\
  python -m exercises sailing --trainees T01-T12 --out FILE.html
      prints the parameter sheets of lesson 13, one A4 leaf, both sides, for each trainee;
      --turn 2 for the next; --roster CLASS.csv instead of --trainees, where its column
      decimal says who writes a decimal comma; --class FOLDER for a hosted class
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("sailing")
    choosing.add_class(one)
    one.add_argument("--out", type=Path, required=True, metavar="FILE.html")
    one.set_defaults(run=_sailing)


def _sailing(wanted: argparse.Namespace) -> int:
    try:
        chosen = choosing.class_of(wanted)
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    path = pages.write(wanted.out, sailing.page(chosen.people, wanted.turn, chosen.secret))
    print(f"{count(len(chosen.people), 'parameter sheet')}, turn {wanted.turn}: {path}")
    return ALL_READ
