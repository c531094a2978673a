"""Check a record, or its code alone, against the sheets that it was made from."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands.speaking import (
    ALL_READ,
    NOTHING_DONE,
    SOMETHING_LEFT,
    ProgressLine,
    plain,
    say,
)
from exercises.records import checking, papers
from exercises.records.record import Terms

HELP = """\
  python -m exercises check-record FILE-OR-CODE FOLDER
      works a record out again from the sheets in FOLDER: says that it agrees, or what
      has changed; FILE is the record's file, CODE the twelve signs printed on it;
      --paper SET ANSWERS as when it was made; --changes FILE
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("check-record")
    one.add_argument("what", metavar="FILE-OR-CODE")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    add_paper(one)
    one.add_argument("--changes", "--overrides", type=Path, metavar="FILE")
    one.set_defaults(run=_check)


def add_paper(parser: Any) -> None:
    """Add the closed papers: where one was set, and what came back."""
    parser.add_argument(
        "--paper", nargs=2, type=Path, action="append", default=[], metavar=("SET", "ANSWERS")
    )


def _check(wanted: argparse.Namespace) -> int:
    progress = ProgressLine()
    try:
        terms = Terms(papers=papers.read([(a, b) for a, b in wanted.paper]))
        path = Path(wanted.what)
        if checking.CODE.fullmatch(wanted.what.strip().upper()) and not path.exists():
            found = checking.of_code(
                wanted.what.strip(), wanted.folder, terms, wanted.changes, progress.marking
            )
        else:
            found = checking.of_file(path, wanted.folder, terms, wanted.changes)
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    finally:
        progress.clear()
    if found.agrees:
        print(plain(f"Agrees with the sheets: the record of {found.row}."))
        return ALL_READ
    whose = f"of {found.row} " if found.row else ""
    print(plain(f"Does not agree with the sheets: the record {whose}states what they do not."))
    for text in found.differs:
        print(plain(f"  {text}"))
    return SOMETHING_LEFT
