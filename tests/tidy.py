"""
How a notebook is committed: `python tests/tidy.py` brings all of them into that state, and the
README's table of the competence standard up to date.

No outputs, so that nothing stale or huge is kept; code folded away and no cell changed or deleted
by a slip of the hand; the plain kernel, so that no machine asks which one.
"""

import json
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
KERNEL = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}


def notebooks():
    """Return every notebook of the course."""
    folders = (ROOT / "lessons", ROOT / "lessons" / "desk")
    return sorted(path for folder in folders for path in folder.glob("*.ipynb"))


def read(path):
    """Return a notebook as plain data."""
    return json.loads(path.read_text(encoding="utf-8"))


def tidied(notebook):
    """Return a notebook as it is committed."""
    return {**notebook, "metadata": KERNEL, "cells": [_cell(cell) for cell in notebook["cells"]]}


def _cell(cell):
    metadata = {"deletable": False, "editable": False}
    if cell["cell_type"] != "code":
        return {**cell, "metadata": metadata}
    metadata["jupyter"] = {"source_hidden": True}
    return {**cell, "metadata": metadata, "outputs": [], "execution_count": None}


if __name__ == "__main__":
    for path in notebooks():
        tidy = json.dumps(tidied(read(path)), indent=1, ensure_ascii=False) + "\n"
        if tidy != path.read_text(encoding="utf-8"):
            path.write_text(tidy, encoding="utf-8", newline="\n")
            print(f"tidied {path.relative_to(ROOT)}")
    sys.path.insert(0, str(ROOT))
    from exercises.instructor import competence

    if competence.keep_table(ROOT / "README.md"):
        print("tidied README.md")
