"""Which lesson teaches what: their order, and the page on which an exercise stands."""

import functools
import json
import re
from dataclasses import dataclass
from pathlib import Path

LESSONS = (  # in the order they are taught, from 01
    *("surface", "excess", "ellipsoid", "ecef", "lines", "geoid"),
    *("heights", "deflection", "attraction", "datums", "motion", "grid", "sailing"),
)
FOLDER = Path(__file__).resolve().parents[2] / "lessons"
_ASKED = re.compile(r"""ask\(\s*["']([a-z0-9-]+)["']""")


@dataclass(frozen=True)
class TaughtAt:
    """Where a lesson teaches an exercise: its notebook and the heading above the exercise."""

    notebook: str
    section: str

    @property
    def lesson(self) -> str:
        """Return the lesson as its page is called: 08 deflection."""
        return Path(self.notebook).stem.replace("_", " ")

    def __str__(self) -> str:
        return f"{self.notebook}, “{self.section}”" if self.section else self.notebook


def lesson_number(topic: str) -> str:
    """Return the two digits of a topic's lesson, nothing for a topic of no lesson."""
    return f"{LESSONS.index(topic) + 1:02d}" if topic in LESSONS else ""


def page_of(key: str) -> TaughtAt | None:
    """Return where an exercise is taught, None where no lesson asks it."""
    return _pages().get(key)


@functools.cache
def _pages() -> dict[str, TaughtAt]:
    """Read the lessons as text: which exercise stands under which heading."""
    pages: dict[str, TaughtAt] = {}
    for path in sorted(FOLDER.glob("[0-9][0-9]_*.ipynb")):
        try:
            cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        except (OSError, ValueError, KeyError, TypeError):
            continue
        section = ""
        for cell in cells:
            text = "".join(cell["source"])
            if cell["cell_type"] == "markdown":
                headings = re.findall(r"^#{2,3} (.+)$", text, re.MULTILINE)
                section = headings[-1].strip() if headings else section
                continue
            for key in _ASKED.findall(text):
                pages.setdefault(key, TaughtAt(path.name, section))
    return pages


@functools.cache
def headings(page: str) -> tuple[str, ...]:
    """Return the title of a page of the course and the headings below it; nothing without page."""
    try:
        cells = json.loads((FOLDER / f"{page}.ipynb").read_text(encoding="utf-8"))["cells"]
    except (OSError, ValueError, KeyError, TypeError):
        return ()
    prose = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown"]
    return tuple(one.strip() for text in prose for one in re.findall(r"^##? (.+)$", text, re.M))
