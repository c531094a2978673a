"""Print the parameter sheets of lesson 12 for a list of trainees."""

import argparse
from pathlib import Path
from typing import Any

from exercises import pages, roster, sailing
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, count, say

MOST_TRAINEES = 60
HELP = """\
  python -m exercises sailing --trainees T01-T12 --out FILE.html
      prints the parameter sheets of lesson 12, a leaf of A4, both sides, for each trainee;
      --turn 2 for the next
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("sailing")
    one.add_argument("--trainees", required=True, metavar="T01-T12,T20")
    one.add_argument("--turn", type=int, default=1, metavar="2")
    one.add_argument("--out", type=Path, required=True, metavar="FILE.html")
    one.set_defaults(run=_sailing)


def _sailing(wanted: argparse.Namespace) -> int:
    try:
        codes = roster.codes(wanted.trainees)
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    if len(codes) > MOST_TRAINEES:
        say(f"{len(codes)} trainees are more than a class; {MOST_TRAINEES} at most in one file.")
        return NOTHING_DONE
    if not 1 <= wanted.turn < 10**6:
        say(f"A turn counts from 1; {wanted.turn} is none.")
        return NOTHING_DONE
    path = pages.write(wanted.out, sailing.page(codes, wanted.turn))
    print(f"{count(len(codes), 'parameter sheet')}, turn {wanted.turn}: {path}")
    return ALL_READ
