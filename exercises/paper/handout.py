"""A lesson's exercises on paper: each trainee's sheet, and a key that stays with the trainer."""

from collections.abc import Sequence
from pathlib import Path

from exercises.pages import pages
from exercises.paper import paper_pages, questions
from exercises.question import dice
from exercises.question.model import Exercise
from exercises.sheets.roster import Person

SHEETS, KEY = "handout.html", "handout-key.html"


def sheets(
    exercises: Sequence[Exercise],
    people: Sequence[Person],
    turn: int,
    title: str,
    secret: str = "",
) -> str:
    """Return the sheets of all trainees, each on pages of its own and in its decimal sign."""

    def of(one: Person) -> list[questions.Question]:
        given = [dice.given(exercise, one.code, turn, secret) for exercise in exercises]
        numbered = enumerate(zip(exercises, given, strict=True), start=1)
        return [questions.of(e, numbers, n, 0, one.decimal) for n, (e, numbers) in numbered]

    asked = [(one.code, of(one)) for one in people]
    return pages.render("handout.html", people=asked, title=title, turn=turn)


def key(
    exercises: Sequence[Exercise],
    people: Sequence[Person],
    turn: int,
    title: str,
    secret: str = "",
) -> str:
    """Return the key of all trainees, exercise by exercise."""
    tables = [
        paper_pages.table(
            number,
            exercise,
            [
                (one.code, "", dice.given(exercise, one.code, turn, secret), one.decimal)
                for one in people
            ],
        )
        for number, exercise in enumerate(exercises, start=1)
    ]
    return paper_pages.render_key(tables, title, f"key, turn {turn}", "code")


def write(
    exercises: Sequence[Exercise],
    people: Sequence[Person],
    turn: int,
    title: str,
    folder: Path,
    secret: str = "",
) -> tuple[Path, Path]:
    """Write both and return their paths; `secret` is that of a hosted class."""
    return (
        pages.write(folder / SHEETS, sheets(exercises, people, turn, title, secret)),
        pages.write(folder / KEY, key(exercises, people, turn, title, secret)),
    )
