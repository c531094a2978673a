"""Change a mark with a reason, or withdraw the change."""

import argparse
from pathlib import Path
from typing import Any

from exercises.audit import changes, closing, received
from exercises.bank import BANK, find
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, SOMETHING_LEFT, say
from exercises.question.model import Exercise
from exercises.sheets import changed_marks, report, session

HELP = """\
  python -m exercises change FOLDER --trainee T07 --key KEY --mark 1 --reason "…" --by MK
      changes a mark (0 to 1, or 50%): the change is added to changed-marks.jsonl in the
      folder with the reason and your code, and nothing there is overwritten; the register
      shows both marks; --withdraw instead of --mark takes the change back; --changes FILE
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("change", aliases=["override"])
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--trainee", required=True, metavar="T07")
    one.add_argument("--key", required=True, metavar="KEY")
    what = one.add_mutually_exclusive_group(required=True)
    what.add_argument("--mark", metavar="1")
    what.add_argument("--withdraw", action="store_true")
    one.add_argument("--reason", required=True)
    one.add_argument("--by", required=True, metavar="MK")
    one.add_argument("--changes", "--overrides", type=Path, metavar="FILE")
    one.set_defaults(run=_change)


def _change(wanted: argparse.Namespace) -> int:
    path = wanted.changes or wanted.folder / changed_marks.NAME
    try:
        trainee, exercise = session.person(wanted.trainee), find(wanted.key)
        found = received.find(wanted.folder, closing.read(wanted.folder))
        rows = found.rows_of(trainee)
        if len(rows) != 1:
            say(f"{wanted.folder}: {_whose(trainee, rows)} Nothing was changed.")
            return NOTHING_DONE
        sources = found.rows[rows[0]].sources
        one = report.mark(trainee, sources, folder=wanted.folder, catalogue=BANK)
        standing = one.standings.get(exercise.key)
        was = standing.best if standing else None
        how = {"reason": wanted.reason, "by": wanted.by}
        if wanted.withdraw:
            changed_marks.withdraw(path, trainee, exercise, **how)
        else:
            changed_marks.change(
                path, trainee, exercise, changed_marks.share(wanted.mark), was=was, **how
            )
    except (KeyError, ValueError) as error:
        say(str(error.args[0]))
        return NOTHING_DONE
    return _report(path, trainee, exercise, was, found)


def _whose(trainee: str, rows: list[str]) -> str:
    if not rows:
        return f"no sheet of {trainee} in it."
    return (
        f"{trainee} stands in {len(rows)} rows, {' and '.join(rows)}. Say first with "
        "“close-finding” how many people they are, or name the folder of the one."
    )


def _report(
    path: Path, trainee: str, exercise: Exercise, was: float | None, found: received.Received
) -> int:
    """Say what stands now, read anew from the file."""
    now = changed_marks.read(path)
    for trouble in changes.gather(found, path).troubles:
        say(str(trouble))
    one = now.standing.get((trainee, exercise.key))
    marked = "no mark" if was is None else f"{was:.0%}"
    stands = f"{one.mark:.0%} (marked: {marked})" if one else f"{marked}, as marked"
    print(f"{trainee} at {exercise.key}: {stands}. Kept in {path}.")
    return SOMETHING_LEFT if now.left else ALL_READ
