"""
`python tests/tidy.py` brings every notebook into the state in which it is committed
(lessons/server/locking.py), and the README's table of the competence standard up to date.
"""

import json
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from lessons.server.locking import locked  # noqa: E402 - run as a file, it finds the course so


def notebooks():
    """Return every notebook of the course."""
    folders = (ROOT / "lessons", ROOT / "lessons" / "desk")
    return sorted(path for folder in folders for path in folder.glob("*.ipynb"))


def read(path):
    """Return a notebook as plain data."""
    return json.loads(path.read_text(encoding="utf-8"))


def text(path):
    """
    Return the text that a notebook is committed with.

    Its keys are sorted as JupyterLab saves them: an edit changes its own lines alone.
    """
    return json.dumps(locked(read(path)), indent=1, ensure_ascii=False, sort_keys=True) + "\n"


if __name__ == "__main__":
    from exercises.instructor import competence

    for path in notebooks():
        if text(path) != path.read_text(encoding="utf-8"):
            path.write_text(text(path), encoding="utf-8", newline="\n")
            print(f"tidied {path.relative_to(ROOT)}")
    if competence.keep_table(ROOT / "README.md"):
        print("tidied README.md")
