"""Give people of a class a phrase: who came to the roster later, or lost the slip."""

import argparse
from pathlib import Path
from typing import Any

from exercises.classroom import making, members, phrases
from exercises.commands.speaking import ALL_READ, NOTHING_DONE, say
from exercises.sheets import class_file, roster

HELP = """\
  python -m exercises phrase-new FOLDER [T11 …]
      gives people of a class that works from one computer a new phrase and prints it, this
      once; without a code everybody on the roster who has none yet; the class may run
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("phrase-new")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("codes", nargs="*", metavar="T11")
    one.set_defaults(run=_phrase_new)


def _phrase_new(wanted: argparse.Namespace) -> int:
    folder = wanted.folder
    try:
        class_file.read(folder)
        people = tuple(roster.read(folder / making.ROSTER))
        codes = _chosen(folder, people, " ".join(wanted.codes))
        for code in codes:
            print(f"{code}\t{phrases.renew(folder, code, listed=codes)}")
    except OSError as error:
        say(f"{error.filename or folder}: {error.strerror or error}.")
        return NOTHING_DONE
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    say(
        "Write each on a slip: the phrases stand above, and nowhere else. A phrase from before "
        "opens no more."
        if codes
        else f"Everybody on the roster has a phrase. To renew one: phrase-new {folder} T07"
    )
    return ALL_READ


def _chosen(folder: Path, people: tuple[roster.Person, ...], typed: str) -> list[str]:
    """Return the codes as typed, or of all who have no phrase yet."""
    if not typed:
        return members.without_phrase(folder, people)
    codes, listed = roster.codes(typed), {one.code for one in people}
    strange = [code for code in codes if code not in listed]
    if strange:
        raise ValueError(
            f"Not on the roster of {folder}: {', '.join(strange)}. Write the line there first."
        )
    return codes
