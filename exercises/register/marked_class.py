"""A class as it was marked: who, how much, what could not be read, who seems to be missing."""

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from pathlib import Path

from exercises.audit.file_lines import FileLine
from exercises.audit.findings import Finding, bare
from exercises.bank import BANK
from exercises.instructor import mark_cells, statistics
from exercises.instructor.mark_cells import Cell, Member
from exercises.sheets import person
from exercises.sheets.report import Bank, Report, Trouble
from exercises.trainee import concept


@dataclass(frozen=True)
class Taken:
    """What of one trainee's report the register keeps."""

    member: Member
    answers: int
    begun: datetime | None
    last: datetime | None


def taken(one: Report, check: concept.Result) -> Taken:
    """Return what of a report the register keeps."""
    answers = sum(s.answers + s.after_shown for s in one.standings.values())
    return Taken(mark_cells.member_of(one, check), answers, one.begun, one.last)


@dataclass
class MarkedClass:
    """What came of marking a class."""

    folder: Path = Path()
    catalogue: Bank = field(default_factory=lambda: BANK)
    members: list[Member] = field(default_factory=list)
    answers: int = 0
    left: int = 0
    troubles: list[Trouble] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)  # the open ones first
    files: list[FileLine] = field(default_factory=list)  # what each file was
    begun: datetime | None = None
    last: datetime | None = None
    html: Path | None = None
    csv: Path | None = None
    items_csv: Path | None = None

    def take(self, one: "Taken") -> None:
        """Keep of one trainee what the register shows of the class."""
        self.members.append(one.member)
        self.answers += one.answers
        if one.begun and one.last:
            self.begun = min(self.begun or one.begun, one.begun)
            self.last = max(self.last or one.last, one.last)

    # What follows is asked for when every trainee is in.

    @cached_property
    def topics(self) -> list[str]:
        """Return the lessons that anybody has touched, in their order."""
        return mark_cells.topics_of(self.members, self.catalogue)

    @cached_property
    def items(self) -> list[statistics.ExerciseFigures]:
        """Return the statistics of each exercise."""
        return mark_cells.items(self.members, self.catalogue)

    @cached_property
    def cells(self) -> dict[str, list[Cell]]:
        """Return each trainee's mark in each lesson."""
        lessons = [mark_cells.of_topic(self.catalogue, topic) for topic in self.topics]
        return {
            member.trainee: [mark_cells.lesson_cell(member, exercises) for exercises in lessons]
            for member in self.members
        }

    @cached_property
    def notes(self) -> dict[str, list[str]]:
        """Return what to know of each trainee before believing the marks."""
        return {member.trainee: mark_cells.notes_on(member) for member in self.members}

    def ready(self) -> None:
        """Work out what several pages show, before they are written side by side."""
        _ = self.items, self.cells, self.notes

    @property
    def missing(self) -> list[str]:
        """Return the codes between those that handed in."""
        return missing(member.trainee for member in self.members)


def missing(codes: Iterable[str]) -> list[str]:
    """
    Return the codes that a numbered class seems to lack; none where codes are not numbered.

    >>> missing(["T01", "T02", "T04"]), missing(["AB1", "AB90"])
    (['T03'], [])
    >>> missing(["7KQ2-T01", "7KQ2-T03"])
    ['7KQ2-T02']

    Two people with one code are there, and whoever bears it with a class word may be the one.

    >>> missing(["T01", "T02/1", "T02/2", "7KQ2-T03", "T04"])
    []
    """
    here = [bare(code) for code in codes]
    own = {person.parts(code)[1] for code in here}
    by_stem: dict[tuple[str, int], list[int]] = defaultdict(list)
    for code in here:
        if match := re.fullmatch(r"((?:.*-)?[A-Z]+)([0-9]+)", code):
            by_stem[match[1], len(match[2])].append(int(match[2]))
    gaps: list[str] = []
    for (stem, width), numbers in by_stem.items():
        absent = sorted(set(range(min(numbers), max(numbers))) - set(numbers))
        if len(absent) <= len(numbers):
            gaps += [f"{stem}{number:0{width}d}" for number in absent]
    return [gap for gap in gaps if gap not in own]
