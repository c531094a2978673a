"""What closed papers say of a trainee at each element, marked anew from the papers themselves."""

from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

from exercises.audit.findings import bare
from exercises.paper import paper, paper_marking
from exercises.paper.paper_marking import Outcome, PaperResult
from exercises.sheets import person
from exercises.sheets.report import Trouble


@dataclass(frozen=True)
class Sat:
    """
    One paper as one trainee sat it.

    `doubts` are why it does not count without the instructor's word; `shares` is what was earned
    of the marks of the questions that serve an element, {element: (earned, of)}.
    """

    title: str
    name: str
    number: str
    when: str
    marks: float
    of: float
    doubts: tuple[str, ...]
    shares: dict[str, tuple[float, float]]

    @property
    def counts(self) -> bool:
        """Return whether its marks stand in the place of practice."""
        return not self.doubts


@dataclass
class Papers:
    """The papers named for a class; `troubles` are what could not be read of them."""

    outcomes: list[Outcome] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)

    def of(self, row: str) -> list[Sat]:
        """Return the papers that the person of a row sat: a paper knows the code alone."""
        code = person.parts(bare(row))[1]
        return [
            _sat(outcome, result)
            for outcome in self.outcomes
            for result in outcome.results
            if result.sitting.person.code == code and result.answers
        ]


def read(pairs: list[tuple[Path, Path]]) -> Papers:
    """
    Mark papers anew, each from the folder where it was set and the folder of what came back.

    Raises
    ------
    ValueError
        If a folder holds no paper, or a paper is named twice, in one sentence.
    OSError
        If it cannot be read.
    """
    found = Papers()
    _refuse_twice(pairs)
    for folder, answers in pairs:
        own = folder / paper.INSTRUCTOR / paper.COPY
        try:
            one = paper.read_copy(own if own.exists() else folder / paper.COPY)
        except FileNotFoundError:
            raise ValueError(
                f"{folder}: no paper was set here ({paper.INSTRUCTOR}/{paper.COPY})."
            ) from None
        outcome = paper_marking.mark_class(one, answers)
        found.outcomes.append(outcome)
        found.troubles += outcome.troubles
    return found


def _refuse_twice(pairs: list[tuple[Path, Path]]) -> None:
    """Raise where a paper and what came back of it are named twice: its marks would count twice."""
    named = [(folder.resolve(), answers.resolve()) for folder, answers in pairs]
    for place, pair in enumerate(named):
        if pair in named[:place]:
            raise ValueError(f"{pairs[place][0]}: this paper is named twice.")


def _sat(outcome: Outcome, result: PaperResult) -> Sat:
    setting = outcome.paper.setting
    shares: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for asked, one in zip(setting.asked, result.marked, strict=True):
        for element in one.exercise.elements:
            shares[element][0] += one.marks
            shares[element][1] += asked.marks
    when = f"{setting.begins:%Y-%m-%d %H:%M}" if setting.begins else ""
    return Sat(
        setting.title, outcome.paper.name, result.sitting.paper, when, result.total,
        setting.marks, _doubts(result), {key: (a, b) for key, (a, b) in shares.items()},
    )  # fmt: skip


def _doubts(result: PaperResult) -> tuple[str, ...]:
    """Return what the marking notes that makes a paper doubtful: its time, or who wrote it."""
    return tuple(note for note in result.notes if not note.startswith("handed in "))
