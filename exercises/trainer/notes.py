"""The trainer's notes of every lesson and two timetables, on one page to print.

The notes stand in the lessons, folded away, so that they are kept where they are used; here
they are read from the notebooks' own files. The timetables' minutes are the notes' minutes.
"""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from markupsafe import Markup

from exercises.pages import markdown, pages

LESSONS = Path(__file__).resolve().parents[2] / "lessons"
TITLE = re.compile(r"\A# (\d\d) (.+)")
FOLDED = re.compile(
    r"<details><summary>Trainer.s notes \((\d+) minutes\)</summary>\s*(.+?)\s*</details>", re.DOTALL
)
MINUTES = re.compile(r"\A\*\*Minutes\.\*\*\s*(.+?)\.?\s*$", re.MULTILINE)
PART = re.compile(r"(.+?)\s+(\d+)")

LUNCH_FROM = 11 * 60 + 45
LUNCH_BY = 12 * 60 + 45  # nothing begins before lunch that ends later
LONGEST_SITTING = 95  # minutes without a pause: common practice, no source
BREAK, LUNCH, CHECK, PRACTICE = 15, 60, 30, 45
OWN_WORK = "Own exercises and questions"
BEFORE, AFTER = "Concept check, before", "Concept check, after"


@dataclass(frozen=True)
class Notes:
    """The notes of one lesson: minutes by part, and the rest as HTML."""

    number: str
    title: str
    minutes: int
    parts: list[tuple[str, int]]
    text: Markup


@dataclass(frozen=True)
class TimetableRow:
    """One row of a timetable. Times are minutes after midnight."""

    begins: int
    minutes: int
    title: str
    parts: list[str]
    pause: bool = False

    @property
    def clock(self) -> str:
        """Return when it begins, as a clock shows it."""
        return f"{self.begins // 60:02d}:{self.begins % 60:02d}"


@dataclass(frozen=True)
class Day:
    """One day as planned: from when to when, and what is taught, in order."""

    begins: int
    ends: int
    taught: Sequence[str]


@dataclass(frozen=True)
class Timetable:
    """A timetable: its days, the lessons left to study alone, the parts left out of the others."""

    title: str
    days: Sequence[Day]
    advice: str
    left_out: Mapping[str, Sequence[str]] = field(default_factory=dict)

    def shortened(self, notes: Mapping[str, Notes]) -> dict[str, Notes]:
        """Return the notes without the parts that this plan leaves out."""
        short = {}
        for number, one in notes.items():
            out = self.left_out.get(number, ())
            kept = [(part, minutes) for part, minutes in one.parts if part not in out]
            spared = sum(minutes for part, minutes in one.parts if part in out)
            short[number] = replace(one, parts=kept, minutes=one.minutes - spared)
        return short


def _day(begins: str, ends: str, *taught: str) -> Day:
    return Day(_minutes(begins), _minutes(ends), taught)


def _minutes(clock: str) -> int:
    hours, minutes = clock.split(":")
    return 60 * int(hours) + int(minutes)


PLANS = (
    Timetable(
        "Two days",
        (
            _day("08:00", "17:30", BEFORE, "01", "03", "04", "06", "07"),
            _day("08:00", "17:30", "08", "10", "11", "12", "13", AFTER),
        ),
        "Long days with no time to spare. Lessons 02, 05 and 09 are for self-study, before or "
        "after, and so are the parts left out of the others. Set the exercises for the evening.",
        left_out={
            "01": ("two exercises of your choice",),
            "03": ("Euler as time allows",),
            "04": ("roll, figure B",),
            "06": ("anomaly and Eötvös",),
            "07": ("transfer", "S-44 and uncertainty"),
            "08": ("the rest as time allows",),
            "10": ("estimate or pivot",),
            "11": ("fourteen parameters", "which of them"),
            "12": ("which projection",),
            "13": ("small exercises",),
        },
    ),
    Timetable(
        "Five days",
        (
            _day("09:00", "16:30", BEFORE, "01", "02", "03"),
            _day("09:00", "16:30", "04", "05", "06"),
            _day("09:00", "16:30", "07", "08", "09"),
            _day("09:00", "16:30", "10", "11"),
            _day("09:00", "16:30", "12", "13", AFTER),
        ),
        "Every lesson. The rest of each day is for the trainees' own exercises: that is where the "
        "course is learnt.",
    ),
)


@dataclass
class Kit:
    """All notes by lesson, and one sentence for each thing that does not agree."""

    notes: dict[str, Notes] = field(default_factory=dict)
    troubles: list[str] = field(default_factory=list)


def read(folder: Path = LESSONS) -> Kit:
    """
    Return the notes of all lessons in a folder; nothing of them is run.

    Raises
    ------
    OSError
        If a notebook cannot be read.
    """
    kit = Kit()
    for path in sorted(Path(folder).glob("[0-9][0-9]_*.ipynb")):
        try:
            cells = _texts(path)
        except (ValueError, KeyError, TypeError) as error:
            kit.troubles.append(f"{path.name} is not a notebook ({error}); skipped.")
            continue
        title = next(filter(None, map(TITLE.match, cells)), None)
        folded = next(filter(None, map(FOLDED.search, cells)), None)
        if title and folded:
            notes = _notes(title, folded)
            kit.notes[notes.number] = notes
            kit.troubles += _disagreement(path, notes)
        elif title:
            kit.troubles.append(f"{path.name} has no trainer's notes.")
    return kit


def _texts(path: Path) -> list[str]:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    return ["".join(c["source"]) for c in notebook["cells"] if c["cell_type"] == "markdown"]


def _notes(title: re.Match[str], folded: re.Match[str]) -> Notes:
    text = folded[2]
    line = MINUTES.search(text)
    parts = [PART.fullmatch(part.strip()) for part in line[1].split("·")] if line else []
    return Notes(
        title[1],
        title[2].strip(),
        int(folded[1]),
        [(part[1], int(part[2])) for part in parts if part],
        markdown.to_html(MINUTES.sub("", text, count=1)),
    )


def _disagreement(path: Path, notes: Notes) -> list[str]:
    together = sum(minutes for _, minutes in notes.parts)
    if together == notes.minutes:
        return []
    return [
        f"{path.name}: its notes say {notes.minutes} minutes, but the parts add up to {together}."
    ]


def timetable(day: Day, notes: Mapping[str, Notes]) -> list[TimetableRow]:
    """
    Return the rows of one day: lessons in their parts, pauses between them, own work to the end.

    A lesson without notes takes no time. The rows follow each other without a gap; where the
    lessons need longer than the day, the last row ends after `day.ends`.
    """
    plan = _Layout(day)
    for name in day.taught:
        if name in notes:
            one = notes[name]
            for part, minutes in one.parts or [("", one.minutes)]:
                plan.add(f"{one.number} {one.title}", part, minutes)
        elif name in (BEFORE, AFTER):
            if name == AFTER:  # at the end of the day, rested
                plan.fill(day.ends - CHECK - BREAK)
                plan.pause("Break", BREAK)
            plan.add(name, "", CHECK)
    plan.fill(day.ends)
    return plan.rows


class _Layout:
    """Lays parts one after the other and puts the pauses between them."""

    def __init__(self, day: Day) -> None:
        self.now, self.sat, self.lunch = day.begins, 0, False
        self.rows: list[TimetableRow] = []

    def add(self, title: str, part: str, minutes: int) -> None:
        """Add one part, after a pause where one is due."""
        self._rest_before(minutes)
        last = self.rows[-1] if self.rows else None
        parts = [f"{part} {minutes}"] if part else []
        if last and last.title == title:
            self.rows[-1] = TimetableRow(
                last.begins, last.minutes + minutes, title, last.parts + parts
            )
        else:
            self.rows.append(TimetableRow(self.now, minutes, title, parts))
        self.now += minutes
        self.sat += minutes

    def _rest_before(self, minutes: int) -> None:
        """Lunch once noon is near, else a break; what takes five minutes is finished first."""
        tired = self.sat + minutes > LONGEST_SITTING and minutes > 5
        if not self.lunch and (self.now + minutes > LUNCH_BY or (tired and self.now >= LUNCH_FROM)):
            self.lunch = True
            self.pause("Lunch", LUNCH)
        elif tired:
            self.pause("Break", BREAK)

    def fill(self, until: int) -> None:
        """Give what is left until then to own work, with the pauses that fall due in it."""
        while (left := until - self.now) > 0:
            piece = min(left, PRACTICE)
            self._rest_before(piece)
            left = until - self.now
            if left > 0:
                self.add(OWN_WORK, "", left if left <= piece + 5 else piece)

    def pause(self, title: str, minutes: int) -> None:
        """Add a pause; one that follows another makes it longer."""
        last = self.rows[-1] if self.rows else None
        if last and last.pause:
            self.rows[-1] = TimetableRow(
                last.begins, last.minutes + minutes, last.title, [], pause=True
            )
        else:
            self.rows.append(TimetableRow(self.now, minutes, title, [], pause=True))
        self.now, self.sat = self.now + minutes, 0


def page(kit: Kit) -> str:
    """Return notes and timetables as HTML."""
    return pages.render("notes.html", kit=kit, plans=[_shown(plan, kit) for plan in PLANS])


def _shown(plan: Timetable, kit: Kit) -> dict[str, Any]:
    notes = plan.shortened(kit.notes)
    days = [(day, timetable(day, notes)) for day in plan.days]
    wanted = [name for day in plan.days for name in day.taught if name.isdigit()]
    return {
        "title": plan.title,
        "advice": plan.advice,
        "left_out": [
            f"{number} {part}" for number in plan.left_out for part in plan.left_out[number]
        ],
        "missing": [name for name in wanted if name not in kit.notes],
        "days": [
            {
                "rows": rows,
                "ends": TimetableRow(rows[-1].begins + rows[-1].minutes, 0, "", []).clock,
                "late": rows[-1].begins + rows[-1].minutes - day.ends,
                "minutes": sum(row.minutes for row in rows if not row.pause),
            }
            for day, rows in days
        ],
    }
