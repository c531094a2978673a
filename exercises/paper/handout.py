"""A lesson's exercises on paper: each trainee's sheet, and a key that stays with the trainer."""

from collections.abc import Sequence
from pathlib import Path

from exercises.pages import pages
from exercises.paper import paper_pages, questions
from exercises.question import dice
from exercises.question.model import Exercise

SHEETS, KEY = "handout.html", "handout-key.html"


def sheets(exercises: Sequence[Exercise], codes: Sequence[str], turn: int, title: str) -> str:
    """Return the sheets of all trainees, each beginning on a page of its own."""
    people = [
        (
            code,
            [
                questions.of(exercise, dice.given(exercise, code, turn), number, 0)
                for number, exercise in enumerate(exercises, start=1)
            ],
        )
        for code in codes
    ]
    return pages.render("handout.html", people=people, title=title, turn=turn)


def key(exercises: Sequence[Exercise], codes: Sequence[str], turn: int, title: str) -> str:
    """Return the key of all trainees, exercise by exercise."""
    tables = [
        paper_pages.table(
            number,
            exercise,
            [(code, "", dice.given(exercise, code, turn)) for code in codes],
        )
        for number, exercise in enumerate(exercises, start=1)
    ]
    return paper_pages.render_key(tables, title, f"key, turn {turn}", "code")


def write(
    exercises: Sequence[Exercise], codes: Sequence[str], turn: int, title: str, folder: Path
) -> tuple[Path, Path]:
    """Write both and return their paths."""
    return (
        pages.write(folder / SHEETS, sheets(exercises, codes, turn, title)),
        pages.write(folder / KEY, key(exercises, codes, turn, title)),
    )
