"""Write a class's answers as statements of the open learning-record standard."""

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
from exercises.instructor import statements

HELP = """\
  python -m exercises statements FOLDER --out statements.json
      writes the answers as xAPI statements (IEEE 9274.1.1) for a learning-record store;
      a code stands for the person, without e-mail; --home IRI, the page at which your
      codes are known; --sent FILE.json, the file you sent before: what no longer holds
      is voided; --changes FILE
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("statements")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--out", type=Path, required=True, metavar="FILE.json")
    one.add_argument("--home", default=statements.HOME, metavar="IRI")
    one.add_argument("--sent", type=Path, metavar="FILE.json")
    one.add_argument("--changes", "--overrides", type=Path, metavar="FILE")
    one.set_defaults(run=_statements)


def _statements(wanted: argparse.Namespace) -> int:
    progress = ProgressLine()
    try:
        written = statements.write(
            wanted.folder,
            wanted.out,
            at=wanted.home,
            sent=wanted.sent,
            changes=wanted.changes,
            progress=progress.marking,
        )
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    finally:
        progress.clear()
    tell(written.files)
    if not written.trainees:
        say(f"{wanted.folder}: no answer sheet in it. Nothing was written.")
        return NOTHING_DONE
    if statements.home(wanted.home) == statements.HOME:
        say(
            f"Codes are stated at {statements.HOME}, a page that nobody can own. Before you send "
            "the file, name the page at which yours are known: --home https://your.own.page."
        )
    whose = count(written.trainees, "trainee")
    voiding = f", {written.voided} of them voiding another" if written.voided else ""
    print(f"{count(written.statements, 'statement')} of {whose}{voiding}: {wanted.out}")
    return SOMETHING_LEFT if written.left else ALL_READ
