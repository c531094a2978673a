"""Print a trainee's record, or all of a class."""

import argparse
from pathlib import Path
from typing import Any

from exercises.audit.file_lines import of_others
from exercises.commands.check_record import add_paper
from exercises.commands.speaking import (
    ALL_READ,
    NOTHING_DONE,
    SOMETHING_LEFT,
    ProgressLine,
    count,
    say,
    tell,
)
from exercises.question import wording
from exercises.records import checking, papers, record
from exercises.records.record import Terms
from exercises.sheets import session

HELP = """\
  python -m exercises record FOLDER --trainee T07 --out FILE.html
      a trainee's record against the elements of the standard, to print and to sign;
      --trainee all for everybody: a list, and beside it a file for each; --pass 70 says
      for each element whether it is passed and prints the rule, without it no element
      is judged; --paper SET ANSWERS puts a closed paper beside the practice (the folder
      where it was set, the folder of what came back); --valid 24 says how many months
      the record holds; --changes FILE;
      --typing prints each answer as typed beside its worked answer instead of the marks
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("record")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--trainee", required=True, metavar="T07")
    one.add_argument("--out", type=Path, required=True, metavar="FILE.html")
    one.add_argument("--pass", dest="passing", metavar="70")
    one.add_argument("--valid", type=int, choices=checking.MONTHS[1:], default=0, metavar="24")
    one.add_argument("--typing", action="store_true")
    add_paper(one)
    one.add_argument("--changes", "--overrides", type=Path, metavar="FILE")
    one.set_defaults(run=_record)


def _record(wanted: argparse.Namespace) -> int:
    progress = ProgressLine()
    try:
        everybody = wanted.trainee.strip().lower() == "all"
        read = papers.read([(a, b) for a, b in wanted.paper])
        terms = Terms(record.rule(wanted.passing), read, wanted.valid)
        written = record.write(
            wanted.folder,
            wanted.out,
            None if everybody else row(wanted.trainee),
            terms=terms,
            typing=wanted.typing,
            changes=wanted.changes,
            several=True,
            progress=progress.marking,
        )
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    finally:
        progress.clear()
    tell([*written.files, *of_others(read.troubles)])
    if not written.codes:
        whose = "answer sheet" if everybody else f"sheet of {wanted.trainee.strip().upper()}"
        say(f"{wanted.folder}: no {whose} in it. Nothing was written.")
        return NOTHING_DONE
    print(f"{count(len(written.codes), 'record')}: {wanted.out}")
    if not wanted.typing:
        print(terms.rule.words)
        for who, held in written.held.items():
            named = " and ".join(filter(None, (", ".join(held[:-1]), held[-1])))
            verb = "is" if len(held) == 1 else "are"
            print(f"{who}: not to be signed until {named} {verb} closed.")
    return SOMETHING_LEFT if written.left else ALL_READ


def row(text: str) -> str:
    """
    Return a person, or one of two people with one code: T07/2.

    Raises
    ------
    ValueError
        If it is neither.
    """
    who, stroke, number = text.strip().partition("/")
    if stroke and not (number.isdecimal() and len(number) < 3):
        raise ValueError(
            f"{wording.quoted(text)} is not a row: two people with one code are T07/1 and T07/2."
        )
    return f"{session.person(who)}{stroke}{number}"
