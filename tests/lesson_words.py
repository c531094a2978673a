"""What a lesson says, for tests that hold its numbers against computed ones."""

import json
import re
from pathlib import Path

LESSONS = Path(__file__).parents[1] / "lessons"


def words_of_lesson(name):
    """Return the text of a lesson with plain spaces."""
    cells = json.loads((LESSONS / f"{name}.ipynb").read_text(encoding="utf-8"))["cells"]
    return re.sub(r"\s", " ", "\n".join("".join(cell["source"]) for cell in cells))
