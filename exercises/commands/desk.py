"""Open the marking desk in the browser."""

import argparse
import subprocess
import sys
from pathlib import Path
from typing import Any

from exercises.commands.speaking import NOTHING_DONE, say
from exercises.instructor import watching

ROOT = Path(__file__).resolve().parents[2]
HELP = """\
  python -m exercises desk FOLDER
      opens the marking desk in the browser on a folder of answer sheets, or without a
      folder on the one it showed last; --no-browser only prints the address
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("desk")
    one.add_argument("folder", type=Path, nargs="?", metavar="FOLDER")
    one.add_argument("--no-browser", action="store_true")
    one.set_defaults(run=_desk)


def _desk(wanted: argparse.Namespace) -> int:
    if wanted.folder:
        if not wanted.folder.is_dir():
            say(f"{wanted.folder}: no such folder.")
            return NOTHING_DONE
        watching.remember(wanted.folder.resolve(), watching.remembered()[1])
    command = [sys.executable, "-m", "lessons", "--page", "lessons/desk/marking_desk.ipynb"]
    command += ["--no-browser"] if wanted.no_browser else []
    with subprocess.Popen(command, cwd=ROOT) as course:
        while True:
            try:
                return course.wait()
            except KeyboardInterrupt:  # the course receives it too, and stops in its own way
                continue
