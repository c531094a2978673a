"""
Which elements of the published standard the course serves, and where a trainee stands by them.

IHO/FIG/ICA, Standards of Competence for Hydrographic Surveyors: S-5A edition 1.0.2 (2018,
Category A) and S-5B edition 1.0.1 (2017, Category B). Numbers and levels are the standard's, the
words are ours. Which lessons and exercises serve an element is read from the bank alone.
"""

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from exercises.bank import BANK
from exercises.bank.concept import IDEAS
from exercises.bank.syllabus import LESSONS, lesson_number
from exercises.pages import pages
from exercises.question.model import Exercise
from exercises.sheets.report import Standing

LEVELS = {"B": "basic", "I": "intermediate", "A": "advanced"}
ENOUGH = 0.8  # a mean of best marks from which an element counts as firm
BEGIN, END = "<!-- what it covers: begin -->", "<!-- what it covers: end -->"


@dataclass(frozen=True)
class Element:
    """
    One element of the standard.

    Attributes
    ----------
    key : str
        As exercises cite it: ``S-5A F1.1a``.
    level : str
        B basic, I intermediate, A advanced, as the standard asks.
    asks : str
        What a surveyor must be able to do, in our words.
    lacks : str
        What of it the course does not do, or nothing.
    """

    key: str
    level: str
    asks: str
    lacks: str = ""

    @property
    def standard(self) -> str:
        """Return the publication: S-5A or S-5B."""
        return self.key.split()[0]

    @property
    def number(self) -> str:
        """Return the element's number without the standard's name."""
        return self.key.split()[1]

    @property
    def first_of_standard(self) -> bool:
        """Return whether the elements of another publication begin here."""
        return self.key == next(e.key for e in ELEMENTS if e.key[:4] == self.key[:4])


ELEMENTS = (
    Element(
        "S-5A F1.1a",
        "B",
        "Gravity, potential and level surfaces, the geoid, the normal gravity of a level "
        "ellipsoid, anomalies",
    ),
    Element(
        "S-5A F1.1b",
        "B",
        "How gravity is observed and reduced: free-air and Bouguer anomalies",
        "gravimeters and their drift are described only; the Eötvös correction is computed",
    ),
    Element(
        "S-5A F1.1c",
        "B",
        "Dynamic, orthometric and normal heights; the misclosure of a levelled loop; the "
        "deflection of the vertical",
    ),
    Element(
        "S-5A F1.1d",
        "I",
        "Models of the geopotential: use, limits, verification",
        "a model's coefficients are not summed: the course reads a grid of EGM96 made of them",
    ),
    Element(
        "S-5A F1.2a",
        "I",
        "Astronomic and geocentric datums; reference systems, their frames and realisations",
    ),
    Element(
        "S-5A F1.2b",
        "A",
        "Transform between datums and frames, estimate the parameters from common points, shift "
        "by a grid",
    ),
    Element(
        "S-5A F1.2c",
        "I",
        "Forward and inverse on geodesic and normal section; grid and sphere against the ellipsoid",
    ),
    Element(
        "S-5A F1.2d",
        "A",
        "Geodesy in three dimensions: local and global axes, plumb line against normal, Laplace, "
        "satellite with terrestrial observations",
        "no network of both kinds of observations is adjusted",
    ),
    Element(
        "S-5A F1.5a",
        "A",
        "Properties and choice of projections, UTM, Gauss-Krüger, UPS; convergence, scale, "
        "arc-to-chord",
        "the transverse Mercator grids are computed; the other projections are drawn, compared "
        "and chosen between",
    ),
    Element("S-5A F1.6a", "B", "Great circle, rhumb line, spherical triangle, spherical excess"),
    Element(
        "S-5A H5.4a",
        "I",
        "Separation of ellipsoid, geoid and chart datum; LAT, HAT and mean sea level",
    ),
    Element("S-5A H5.4b", "A", "Choose, interpolate and transfer a vertical datum"),
    Element(
        "S-5A H5.4c",
        "A",
        "Reduce ellipsoidally referenced soundings to chart datum, with their uncertainty",
    ),
    Element("S-5B E4.1a", "B", "The shape of the Earth: level surface, ellipsoid, latitudes"),
    Element("S-5B E4.1b", "B", "Systems, frames and datums"),
    Element("S-5B E4.1c", "B", "Transformations between datums"),
    Element("S-5B E4.1d", "B", "Lines on the ellipsoid"),
    Element("S-5B E4.2", "B", "Projections and their distortion"),
    Element("S-5B E4.4a", "B", "Heights by gravity against ellipsoidal heights"),
    Element(
        "S-5B E4.4b",
        "I",
        "Curvature and refraction in heighting",
        "no levelling is run or adjusted",
    ),
    Element(
        "S-5B E3.2c",
        "B",
        "Tidal reference levels",
        "no tide gauge is set up or levelled",
    ),
    Element(
        "S-5B E3.3a", "I", "The reduction of soundings, with lever arms, draught and water level"
    ),
)


def exercises_of(
    element: str, catalogue: Mapping[str, Exercise] = BANK, *, marked: bool = True
) -> list[Exercise]:
    """Return the exercises that serve an element, in the order of the bank."""
    if catalogue is BANK and marked:
        return _of_the_bank()[element]
    return _serving(element, catalogue, marked=marked)


@functools.cache  # a class asks for each element of each trainee
def _of_the_bank() -> dict[str, list[Exercise]]:
    elements = [element.key for element in ELEMENTS]
    return {element: _serving(element, BANK, marked=True) for element in elements}


def _serving(element: str, catalogue: Mapping[str, Exercise], *, marked: bool) -> list[Exercise]:
    return [e for e in catalogue.values() if element in e.elements and (e.marks > 0) == marked]


def lessons_of(element: str, catalogue: Mapping[str, Exercise] = BANK) -> list[str]:
    """Return the lessons whose marked exercises serve an element: ["06", "08"]."""
    topics = {exercise.topic for exercise in exercises_of(element, catalogue)}
    return [lesson_number(topic) for topic in LESSONS if topic in topics]


def ideas_of(element: str) -> list[str]:
    """Return the ideas of the concept check that serve an element."""
    return [idea.key for idea in IDEAS if element in idea.elements]


# Where a trainee stands ----------------------------------------------------------------


@dataclass(frozen=True)
class Stand:
    """
    Where a trainee stands at one element.

    Attributes
    ----------
    done, of : int
        Exercises answered with a mark, of how many there are.
    right : int
        Exercises whose mark is full.
    best, first : float or None
        Means over the exercises done, 0 … 1; an exercise without a first answer counts 0.
    slips : tuple of str
        Exercises done and not right, for going over again.
    """

    element: Element
    done: int
    of: int
    right: int
    best: float | None
    first: float | None
    slips: tuple[str, ...]

    @property
    def lessons(self) -> list[str]:
        """Return the lessons that serve the element."""
        return lessons_of(self.element.key)

    @property
    def over_all(self) -> float:
        """Return the mean mark over all exercises; one that is not answered counts 0."""
        return (self.best or 0.0) * self.done / self.of if self.of else 0.0

    @property
    def state(self) -> str:
        """Return "not begun", "weak", "firm" or, where only a part is done, "begun"."""
        if self.best is None:
            return "not begun"
        if self.best < ENOUGH:
            return "weak"
        return "firm" if self.done == self.of else "begun"


def standing(
    standings: Mapping[str, Standing], catalogue: Mapping[str, Exercise] = BANK
) -> list[Stand]:
    """
    Return where a trainee stands at each element, in the order of the standard.

    Parameters
    ----------
    standings : {exercise: report.Standing}
        As `report.mark` gives them. A mark that an instructor changed counts as changed.
    """
    return [_stand(element, standings, catalogue) for element in ELEMENTS]


def _stand(
    element: Element, standings: Mapping[str, Standing], catalogue: Mapping[str, Exercise]
) -> Stand:
    exercises = exercises_of(element.key, catalogue)
    marks: dict[str, float] = {}
    firsts: list[float] = []
    for exercise in exercises:
        one = standings.get(exercise.key)
        mark = None if one is None else getattr(one, "mark", one.best)
        if one is not None and mark is not None:
            marks[exercise.key] = mark
            firsts.append(one.first or 0.0)
    done = len(marks)
    return Stand(
        element,
        done,
        len(exercises),
        sum(mark == 1 for mark in marks.values()),
        sum(marks.values()) / done if done else None,
        sum(firsts) / done if done else None,
        tuple(key for key, mark in marks.items() if mark < 1),
    )


def weak(stands: Iterable[Stand]) -> list[Stand]:
    """Return the elements that are weak, the weakest first."""
    found = [stand for stand in stands if stand.state == "weak"]
    return sorted(found, key=lambda stand: stand.best or 0.0)


@dataclass(frozen=True)
class StandingRow:
    """One trainee's line of the class table."""

    trainee: str
    stands: list[Stand]


def of_class(members: Mapping[str, Mapping[str, Standing]]) -> list[StandingRow]:
    """Return a line for each trainee who has a mark anywhere; `members` is {code: standings}."""
    rows = [StandingRow(trainee, standing(standings)) for trainee, standings in members.items()]
    return [row for row in rows if any(stand.done for stand in row.stands)]


# The README's table --------------------------------------------------------------------


def table(catalogue: Mapping[str, Exercise] = BANK) -> str:
    """Return the README's table: element, level, what it asks, lessons, exercises, what lacks."""
    rows = [(element, _where(element.key, catalogue)) for element in ELEMENTS]
    return str(pages.piece("standard.md", "table", rows)).strip()


def _where(element: str, catalogue: Mapping[str, Exercise]) -> list[str]:
    """Return one line for each lesson: its number, its topic, its exercises' own words."""
    exercises = exercises_of(element, catalogue)
    return [
        f"{lesson_number(topic)}\u00a0{topic}: "
        + ", ".join(e.key.removeprefix(f"{topic}-") for e in exercises if e.topic == topic)
        for topic in LESSONS
        if any(e.topic == topic for e in exercises)
    ]


def with_table(text: str, catalogue: Mapping[str, Exercise] = BANK) -> str:
    """
    Return a text with the table between its two marks as it should stand now.

    Raises
    ------
    ValueError
        If the two marks are not there, once each and in order.
    """
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end or BEGIN in after or END in after:
        raise ValueError(f"the text lacks the marks {BEGIN} and {END}, once each and in order.")
    return f"{before}{BEGIN}\n\n{table(catalogue)}\n\n{END}{after}"


def keep_table(path: Path) -> bool:
    """Bring the table of a README up to date; return whether it was stale."""
    text = path.read_text(encoding="utf-8")
    now = with_table(text)
    if now != text:
        path.write_text(now, encoding="utf-8", newline="\n")
    return now != text
