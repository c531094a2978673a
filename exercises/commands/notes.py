"""Print the trainer's notes and the timetables."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands.speaking import ALL_READ, NOTHING_DONE, SOMETHING_LEFT, count, say
from exercises.pages import pages
from exercises.trainer import notes

HELP = """\
  python -m exercises notes --out FILE.html
      all trainer's notes and a timetable for two days and for five, to print
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("notes")
    one.add_argument("--out", type=Path, required=True, metavar="FILE.html")
    one.set_defaults(run=_notes)


def _notes(wanted: argparse.Namespace) -> int:
    kit = notes.read()
    for trouble in kit.troubles:
        say(trouble)
    if not kit.notes:
        say(f"No lesson with trainer's notes in {notes.LESSONS}. Nothing was written.")
        return NOTHING_DONE
    path = pages.write(wanted.out, notes.page(kit))
    minutes = sum(one.minutes for one in kit.notes.values())
    print(
        f"Notes of {count(len(kit.notes), 'lesson')}, {minutes // 60} h {minutes % 60} min: {path}"
    )
    return SOMETHING_LEFT if kit.troubles else ALL_READ
