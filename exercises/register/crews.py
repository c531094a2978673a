"""A large class by vessel and year: a vessel is a folder of sheets within the folder of a class."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import PurePath

from exercises.instructor import mark_cells, statistics
from exercises.instructor.mark_cells import Member
from exercises.instructor.statistics import Group
from exercises.register.marked_class import MarkedClass
from exercises.sheets import person, report

SHAPES = ("full", "half", "empty", "none")


@dataclass(frozen=True)
class Shapes:
    """How many of a crew have which shape in a lesson."""

    counts: tuple[int, ...]  # as SHAPES

    @property
    def bars(self) -> list[tuple[str, int, float]]:
        """Return (shape, how many, width in per cent) of those that anybody has."""
        of = sum(self.counts)
        return [
            (shape, count, 100 * count / of)
            for shape, count in zip(SHAPES, self.counts, strict=True)
            if count
        ]


@dataclass(frozen=True)
class Crew:
    """Those who worked on one vessel in one year."""

    vessel: str
    year: str
    members: list[Member]
    lessons: list[Shapes]
    again: Group | None  # the slip that is open with most of them

    @property
    def name(self) -> str:
        """Return vessel and year as a heading."""
        return ", ".join(filter(None, (self.vessel, self.year)))


def of_class(marked: MarkedClass) -> list[Crew]:
    """Return the crews of a class by vessel and year, each in the order of its codes."""
    found: dict[tuple[str, str], list[Member]] = defaultdict(list)
    for member in marked.members:
        found[vessel(member), year(member)].append(member)
    for at in [at for at, when in found if not when]:  # nothing answered: with those of the vessel
        if years := [when for other, when in found if other == at and when]:
            found[at, max(years)] += found.pop((at, ""))
    alone = len(found) == 1
    return [
        _crew(marked, *at, sorted(members, key=lambda m: report.by_code(m.trainee)), alone=alone)
        for at, members in sorted(found.items(), key=lambda item: item[0])
    ]


def vessel(member: Member) -> str:
    """
    Return the folders that a trainee's sheets came from; without one the class word, or nothing.

    Only the first folder counts: what is below it is how a vessel keeps its files.
    """
    parts = [PurePath(file).parts for file in member.files]
    folders = dict.fromkeys(names[0] for names in parts if len(names) > 1)
    return " and ".join(folders) or person.parts(member.trainee)[0]


def year(member: Member) -> str:
    """Return the year of a trainee's first answer, nothing where there is none."""
    begun = [standing.begun.year for standing in member.standings.values() if standing.begun]
    return str(min(begun)) if begun else ""


def _crew(marked: MarkedClass, at: str, when: str, members: list[Member], *, alone: bool) -> Crew:
    cells = [marked.cells[member.trainee] for member in members]
    counts = [Counter(cell.shape for cell in column) for column in zip(*cells, strict=True)]
    items = marked.items if alone else mark_cells.items(members, marked.catalogue)
    again = statistics.still_open(items)
    return Crew(
        at,
        when,
        members,
        [Shapes(tuple(count[shape] for shape in SHAPES)) for count in counts],
        again[0] if again else None,
    )
