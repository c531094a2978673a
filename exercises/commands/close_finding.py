"""Close a finding with a reason, so that a record can be signed."""

import argparse
from pathlib import Path
from typing import Any

from exercises.audit import closing
from exercises.audit.findings import Finding
from exercises.commands.speaking import (
    ALL_READ,
    NOTHING_DONE,
    SOMETHING_LEFT,
    ProgressLine,
    say,
    wrapped,
)
from exercises.instructor.class_folder import ClassFolder

HELP = """\
  python -m exercises close-finding FOLDER
      lists what has to be asked about before a record is signed;
      --finding F2K7QX --reason "…" --by MK closes one: a line with your reason and code
      is added to closed-findings.jsonl, nothing there is overwritten, and new evidence
      opens the finding again; where one code is perhaps borne by two people,
      --people one or --people two answers
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("close-finding")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--finding", metavar="F2K7QX")
    one.add_argument("--reason", default="")
    one.add_argument("--by", default="", metavar="MK")
    one.add_argument("--people", choices=closing.ANSWERS[1:], default="")
    one.add_argument("--changes", "--overrides", type=Path, metavar="FILE")
    one.set_defaults(run=_close)


def _close(wanted: argparse.Namespace) -> int:
    found = _findings(wanted)
    if not wanted.finding:
        return _list(wanted.folder, found)
    one = next((one for one in found if one.id == wanted.finding.strip().upper()), None)
    if one is None:
        say(f"{wanted.folder}: no finding {wanted.finding} in it. Nothing was closed.")
        return NOTHING_DONE
    try:
        closing.close(wanted.folder, one, reason=wanted.reason, by=wanted.by, answer=wanted.people)
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    name = wanted.folder / closing.NAME
    print(f"{one.id}, {one.title}, {one.trainee or 'the folder'}: closed. Kept in {name}.")
    return ALL_READ


def _findings(wanted: argparse.Namespace) -> list[Finding]:
    every, progress = ClassFolder(wanted.folder, changes=wanted.changes), ProgressLine()
    try:
        for _ in every.each(_nothing, most=0, progress=progress.marking, several=True):
            pass
    finally:
        progress.clear()
    return every.findings


def _nothing(one: object) -> None:
    """Make nothing of a report: the findings alone are wanted."""


def _list(folder: Path, found: list[Finding]) -> int:
    for one in found:
        print(f"{one.id}  {one.trainee or 'the folder'}: {one.title}")
        for text in (one.text, *one.where, one.said):
            print("\n".join(wrapped(text, "    ")))
    if not found:
        print(f"{folder}: nothing has to be asked about.")
    return SOMETHING_LEFT if any(one.open for one in found) else ALL_READ
