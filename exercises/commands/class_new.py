"""Make the folder of a class that works from one computer."""

import argparse
from pathlib import Path
from typing import Any

from exercises.classroom import making
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, count, say
from exercises.sheets import scenario

HELP = """\
  python -m exercises class-new FOLDER --roster class.csv --title "…"
      makes the folder of a class that works from one computer; prints each code with its
      phrase, this once, and writes FOLDER-slips.html beside it, to print and cut up;
      --site "Corrie Deep" for another site, --address http://… to have it on the slips
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("class-new")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--roster", type=Path, required=True, metavar="class.csv")
    one.add_argument("--title", required=True, metavar="TEXT")
    one.add_argument("--site", default=scenario.HOME.name, metavar="NAME")
    one.add_argument("--address", default="", metavar="http://…")
    one.set_defaults(run=_class_new)


def _class_new(wanted: argparse.Namespace) -> int:
    try:
        made = making.make(
            wanted.folder, wanted.roster, wanted.title, wanted.site, wanted.address.strip()
        )
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    for one, phrase in made.people:
        print(f"{one.code}\t{phrase}")
    say(
        f"Class {made.room.word} with {count(len(made.people), 'person', 'people')} in "
        f"{made.folder}\nSlips to print and cut up: {made.slips}\n"
        "The phrases stand there and above, and nowhere else: print the slips, then delete the "
        f'file.\nTo begin: python -m lessons --class "{wanted.folder}"'
    )
    return ALL_READ
