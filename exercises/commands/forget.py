"""Delete what a folder holds of one trainee."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands.speaking import ALL_READ, NOTHING_DONE, SOMETHING_LEFT, count, plain, say
from exercises.instructor import erasure
from exercises.sheets import class_file, person, session

HELP = """\
  python -m exercises forget FOLDER --trainee T07
      deletes a trainee's sheets, changed marks, and the registers, records and statements
      that name the person, for somebody who asks to be erased; it lists everything first
      and asks for the code once more; --yes does not ask; in a class's folder with the
      class word, --trainee 7KQ2-T07, also the line of the roster, phrase and settings
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("forget")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--trainee", required=True, metavar="T07")
    one.add_argument("--yes", action="store_true")
    one.set_defaults(run=_forget)


def _forget(wanted: argparse.Namespace) -> int:
    try:
        trainee = session.person(wanted.trainee)
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    planned = erasure.plan(wanted.folder, trainee)
    _report(planned)
    if planned.empty:
        say(f"{wanted.folder}: it holds nothing of {trainee} to delete.{_hint(wanted, trainee)}")
        return NOTHING_DONE
    if not wanted.yes and not _meant(trainee):
        say("Nothing was deleted.")
        return NOTHING_DONE
    done = erasure.carry_out(planned)
    for path, why in done.failed:
        say(f"{path}: {why}; left unchanged.")
    lines = f", {count(done.lines, 'changed mark')} emptied" if done.lines else ""
    print(f"{count(len(done.gone), 'file')} deleted{lines}. {erasure.BEYOND}")
    if planned.written:
        print("The register was deleted with them: mark the folder again for the others.")
    return SOMETHING_LEFT if done.failed or planned.unread else ALL_READ


def _hint(wanted: argparse.Namespace, trainee: str) -> str:
    """Return what to type where somebody of a class is named without the class word."""
    try:
        whole = f"{class_file.read(wanted.folder).word}-{person.parts(trainee)[1]}"
    except (OSError, ValueError):
        return ""
    return f" People of this class are named with its word, as {whole}." if whole != trainee else ""


def _report(planned: erasure.ErasurePlan) -> None:
    """Say what is going to happen, file by file, before anything does."""
    trainee = planned.trainee
    for head, paths in (
        (f"Sheets of {trainee} to delete:", planned.remove),
        (f"Lines of {trainee} to take out; the others stay:", planned.rewritten),
        (f"Written by this program and naming {trainee}, to delete whole:", planned.written),
        (f"Other files that name {trainee}, left for you to look at:", planned.others),
        ("Not searched:", planned.unread),
    ):
        if paths:
            print(head)
            for path in paths:
                link = " (a link; what it points to stays)" if path.is_symlink() else ""
                print(f"  {plain(str(path))}{link}")


def _meant(trainee: str) -> bool:
    """Ask for the code once more."""
    try:
        return input(f"This cannot be undone. Type {trainee} to delete: ").strip() == trainee
    except (EOFError, KeyboardInterrupt):
        print()
        return False
