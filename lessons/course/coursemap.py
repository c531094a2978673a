"""The map of the course on the start page: which pages there are, and how far each has come.

A page is a notebook that lies beside this file, so that no link is dead. Each opens in a tab of its
own: the browser's reload and Back then do what they always do, and the start page stays as it is.
"""

import json
import re
from dataclasses import dataclass
from pathlib import Path

from exercises.trainee import progress, review

LESSONS = Path(__file__).resolve().parents[1]
NUMBERED = re.compile(r"(\d\d)_([a-z]+)")
OTHERS = {"concept_check": progress.CONCEPT, "review": progress.REVIEW, "workbench": "workbench"}
SHAPES = {progress.DONE: "●", progress.BEGUN: "◐", progress.UNTOUCHED: "○"}
MOST_NAMES = 2  # slips named in a row of the map

CAN = {  # after "You can"
    "surface": "say what a length, a height and a position refer to",
    "excess": "test the closure of a big triangle",
    "ellipsoid": "turn arc into metres and distinguish three latitudes",
    "ecef": "go from φ, λ, h to X, Y, Z and carry a lever arm",
    "lines": "choose geodesic, great circle or rhumb line, with its cost",
    "geoid": "say what the geoid is, and which height is meant",
    "heights": "carry a height from the antenna to chart datum",
    "deflection": "say which vertical an instrument follows, and whether it matters",
    "attraction": "say why a plumb line leans, and which instruments feel it",
    "datums": "change datum without reversing a sign or a rotation",
    "motion": "bring a position from one epoch to another",
    "grid": "pass from grid to ground, from bearing to azimuth",
    "sailing": "find the faults in a client's parameters before sailing",
    progress.CONCEPT: "see what you knew before and know after",
    progress.REVIEW: "keep it: exercises come back with fresh numbers",
    "workbench": "compute anything of the course with a form",
}


@dataclass(frozen=True)
class Page:
    """A notebook of the course: what it is about, its file, the title it gives itself."""

    where: str
    file: str
    title: str


START = Page("start", "00_start.ipynb", "Start page:")


def pages(folder=LESSONS):
    """Return the pages there are, {where: Page}: lessons by number, then the others."""
    names = {path.stem: path for path in sorted(Path(folder).glob("*.ipynb"))}
    found = {m[2]: path for name, path in names.items() if (m := NUMBERED.fullmatch(name))}
    found.pop("start", None)
    found |= {where: names[name] for name, where in OTHERS.items() if name in names}
    return {where: Page(where, path.name, _title(path)) for where, path in found.items()}


def _title(path):
    """Return the heading of a notebook's first cell, or its file's name where there is none."""
    try:
        first = json.loads(path.read_text(encoding="utf-8"))["cells"][0]["source"]
        return re.match(r"# (.+)", "".join(first))[1].strip()
    except (OSError, ValueError, LookupError, TypeError):
        return path.stem.replace("_", " ")


def rows(found, standing, held):
    """
    Return the rows of the map: page, shape, state, what one can then, what is weak.

    `held` is what the review holds now.
    """
    return [_row(page, *_state(page, standing, held)) for page in found.values()]


def _row(page, shape, words, weak):
    return page, shape, words, CAN.get(page.where, ""), weak


def _state(page, standing, held):
    """Return shape, words and what is weak for one row."""
    if page.where == progress.CONCEPT:
        return *_of_concept(standing.forms), ""
    if page.where == progress.REVIEW:
        return "", review.ready_words(held, short=True), ""
    lesson = next((one for one in standing.lessons if one.topic == page.where), None)
    if lesson is None:
        return "", "", ""
    return SHAPES[lesson.state], _words(lesson), _weak(lesson)


def _of_concept(forms):
    taken = sum(form.taken for form in forms)
    begun = taken or any(form.kept for form in forms)
    state = progress.BEGUN if begun else progress.UNTOUCHED
    state = progress.DONE if forms and taken == len(forms) else state
    return SHAPES[state], f"{taken} of {len(forms)} taken" if begun else progress.UNTOUCHED


def _words(lesson):
    if lesson.state == progress.BEGUN:
        return f"begun: {lesson.right} of {lesson.marked} right"
    return lesson.state


def _weak(lesson):
    if not lesson.weak:
        return ""
    names = lesson.why
    more = f" and {len(names) - MOST_NAMES} more" if len(names) > MOST_NAMES else ""
    return f"weak in {len(lesson.weak)}: {'; '.join(names[:MOST_NAMES])}{more}"
