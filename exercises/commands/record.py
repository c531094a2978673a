"""Print a trainee's record, or all of a class."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands.speaking import (
    ALL_READ,
    NOTHING_DONE,
    SOMETHING_LEFT,
    ProgressLine,
    count,
    say,
    tell,
)
from exercises.instructor import record
from exercises.sheets import session

HELP = """\
  python -m exercises record FOLDER --trainee T07 --out FILE.html
      a trainee's record against the elements of the standard, to print and to sign;
      --trainee all for everybody; --pass 70 says for each element whether it is passed
      and prints the rule, without it no element is judged; --changes FILE;
      --typing prints each answer as typed beside its worked answer instead of the marks
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("record")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--trainee", required=True, metavar="T07")
    one.add_argument("--out", type=Path, required=True, metavar="FILE.html")
    one.add_argument("--pass", dest="passing", metavar="70")
    one.add_argument("--typing", action="store_true")
    one.add_argument("--changes", "--overrides", type=Path, metavar="FILE")
    one.set_defaults(run=_record)


def _record(wanted: argparse.Namespace) -> int:
    progress = ProgressLine()
    try:
        passing = record.rule(wanted.passing)
        everybody = wanted.trainee.strip().lower() == "all"
        written, left, files = record.write(
            wanted.folder,
            wanted.out,
            None if everybody else session.person(wanted.trainee),
            passing=passing,
            typing=wanted.typing,
            changes=wanted.changes,
            progress=progress.marking,
        )
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    finally:
        progress.clear()
    tell(files)
    if not written:
        whose = "answer sheet" if everybody else f"sheet of {wanted.trainee.strip().upper()}"
        say(f"{wanted.folder}: no {whose} in it. Nothing was written.")
        return NOTHING_DONE
    print(f"{count(len(written), 'record')}: {wanted.out}")
    if not wanted.typing:
        print(passing.words)
    return SOMETHING_LEFT if left else ALL_READ
