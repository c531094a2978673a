"""Mark a folder of answer sheets and write the register."""

import argparse
from pathlib import Path
from typing import Any

from exercises.audit.findings import Finding
from exercises.commands.speaking import (
    ALL_READ,
    NOTHING_DONE,
    SOMETHING_LEFT,
    ProgressLine,
    count,
    say,
    tell,
)
from exercises.pages import pages
from exercises.register import register

MOST_SAID = 24  # findings on the console
HELP = """\
  python -m exercises mark FOLDER --out FOLDER
      marks every answer sheet in a folder and the folders below it, and writes
      register.html (to read and to print) with the folder register beside it (a page
      for each lesson and each trainee), register.csv (for a spreadsheet) and
      statistics.csv (each exercise over the class);
      --separator ";" if your spreadsheet expects semicolons and decimal commas;
      --each for the pages of trainees where they are more than 40; --changes FILE if
      the changed marks are not in the folder
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("mark")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    one.add_argument("--separator", choices=tuple(pages.SEPARATORS), default=",")
    one.add_argument("--each", action="store_true")
    one.add_argument("--changes", "--overrides", type=Path, metavar="FILE")
    one.set_defaults(run=_mark)


def _mark(wanted: argparse.Namespace) -> int:
    progress = ProgressLine()
    try:
        marked = register.write(
            wanted.folder,
            wanted.out,
            separator=wanted.separator,
            changes=wanted.changes,
            each=wanted.each,
            progress=progress.marking,
            several=True,
        )
    except PermissionError as error:
        progress.clear()
        say(
            f"{error.filename2 or error.filename}: no permission to use it. If it is open "
            "in another program, close it there and mark again."
        )
        return NOTHING_DONE
    finally:
        progress.clear()
    tell(marked.files, every=True)
    if marked.html is None:
        say(f"{wanted.folder}: no answer sheets in it (answers-CODE.jsonl). Nothing was written.")
        return NOTHING_DONE
    print(f"{count(len(marked.members), 'trainee')}, {count(marked.answers, 'answer')} marked.")
    print(f"Register: {marked.html}\nTables:   {marked.csv}\n          {marked.items_csv}")
    _say_findings(marked.findings)
    if marked.left:
        print(f"Left unread: {count(marked.left, 'line or file', 'lines or files')}, listed above.")
    return SOMETHING_LEFT if marked.left else ALL_READ


def _say_findings(found: list[Finding]) -> None:
    """Name what is open, a line each; the register's first page says it in full."""
    still = [one for one in found if one.open]
    for one in still[:MOST_SAID]:
        print(f"{one.id} {one.trainee or 'the folder'}: {one.title}.")
    if len(still) > MOST_SAID:
        print(f"… {len(still) - MOST_SAID} more.")
    if still:
        print(
            f"To ask about before records are signed: {count(len(still), 'finding')}, in the "
            "register. Close one with: python -m exercises close-finding FOLDER --finding … "
            "--reason … --by …"
        )
