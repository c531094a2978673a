"""
`python tests/tidy.py` brings every notebook into the state in which it is committed
(lessons/author/locking.py), and brings up to date the digests by which a page knows a notebook of
the course, and the README's table of the competence standard.

The one output that is committed, what a lesson is checked against, is printed anew; where a number
does not agree, nothing is written.
"""

import contextlib
import hashlib
import io
import json
import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from lessons.author.locking import is_compared, locked  # noqa: E402 - run as a file, found so

DIGESTS = ROOT / ".jupyter" / "labextensions" / "geodesy-live" / "digests.json"
AGAINST = re.compile(r'checked\.against\("(\w+)"\)')


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
    notebook = printed_anew(locked(read(path)))
    return json.dumps(notebook, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def printed_anew(notebook):
    """Return a notebook with what it is checked against as it is computed here and now."""
    cells = [
        {**cell, "outputs": printed(cell)} if is_compared(cell) else cell
        for cell in notebook["cells"]
    ]
    return {**notebook, "cells": cells}


def printed(cell):
    """Return the output of the compared cell."""
    from lessons.checked import against

    with contextlib.redirect_stdout(io.StringIO()) as out:
        against(AGAINST.search("".join(cell["source"]))[1])
    lines = out.getvalue().splitlines(keepends=True)
    return [{"name": "stdout", "output_type": "stream", "text": lines}]


def digest(notebook):
    """Return the digest of a notebook's cells, as live.js makes it of those it opens."""
    cells = [[cell["cell_type"], "".join(cell["source"])] for cell in notebook["cells"]]
    text = json.dumps(cells, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def digests():
    """Return the text of the digests: of every notebook under its path, on lines of its own."""
    found = {
        path.relative_to(ROOT).as_posix(): {"sha256": digest(read(path))} for path in notebooks()
    }
    return json.dumps(found, indent=1, sort_keys=True) + "\n"


if __name__ == "__main__":
    from exercises.instructor import competence

    for path in notebooks():
        if text(path) != path.read_text(encoding="utf-8"):
            path.write_text(text(path), encoding="utf-8", newline="\n")
            print(f"tidied {path.relative_to(ROOT)}")
    if not DIGESTS.exists() or DIGESTS.read_text(encoding="utf-8") != digests():
        DIGESTS.write_text(digests(), encoding="utf-8", newline="\n")
        print(f"tidied {DIGESTS.relative_to(ROOT)}")
    if competence.keep_table(ROOT / "README.md"):
        print("tidied README.md")
