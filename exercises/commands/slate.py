"""Put aside what one class left, so that the next starts fresh."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands.speaking import ALL_READ, NOTHING_DONE, count, say
from exercises.sheets import session
from exercises.trainer import slate

HELP = """\
  python -m exercises slate
      clears the answers folder (or FOLDER) between classes: moves answer sheets and
      settings into a dated folder below it; deletes nothing
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("slate")
    one.add_argument("folder", nargs="?", type=Path, metavar="FOLDER")
    one.set_defaults(run=_slate)


def _slate(wanted: argparse.Namespace) -> int:
    folder = session.folder() if wanted.folder is None else wanted.folder
    if wanted.folder is not None and not folder.is_dir():
        say(f"{folder}: no such folder. Nothing was moved.")
        return NOTHING_DONE
    try:
        made = slate.clean(folder)
    except slate.InUseError as error:
        say(str(error))
        return NOTHING_DONE
    if made.aside is None:
        print(f"Already clean: no answer sheet and no settings in {made.folder}.")
        return ALL_READ
    sheets = sum(name.endswith(".jsonl") for name in made.names)
    print(f"{count(sheets, 'answer sheet')} put aside in {made.aside}")
    print("Nothing was deleted. The next class signs in anew; lessons that are open show that")
    print("when a button is pressed, or when they are run again.")
    print(f'To mark that class: python -m exercises mark "{made.aside}" --out "{made.aside}"')
    print("To undo this: move the files in that folder up again before anybody signs in.")
    return ALL_READ
