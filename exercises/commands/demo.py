"""Write the sheets of a made-up class."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands.speaking import ALL_READ, NOTHING_DONE, ProgressLine, count, say
from exercises.instructor import demo

HELP = """\
  python -m exercises demo FOLDER
      writes the answer sheets of a made-up class, to try the marking on;
      --trainees 12 for a different size
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("demo")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--trainees", type=int, default=24, metavar="24")
    one.set_defaults(run=_demo)


def _demo(wanted: argparse.Namespace) -> int:
    if not 1 <= wanted.trainees <= demo.MOST_TRAINEES:
        say(f"A class has from 1 to {demo.MOST_TRAINEES} trainees, not {wanted.trainees}.")
        return NOTHING_DONE
    progress = ProgressLine()
    try:
        paths = demo.write(
            wanted.folder,
            wanted.trainees,
            lambda number, code: progress(f"writing {number} of {wanted.trainees}: {code}"),
        )
    except demo.FolderInUseError as error:
        say(str(error))
        return NOTHING_DONE
    finally:
        progress.clear()
    print(f"{count(len(paths), 'sheet')} of a made-up class in {wanted.folder}. Mark them with")
    print(f'    python -m exercises mark "{wanted.folder}" --out "{wanted.folder}"')
    return ALL_READ
