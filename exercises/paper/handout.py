"""A lesson's exercises on paper: each trainee's sheet, and a key that stays with the trainer."""

import json
from collections.abc import Sequence
from pathlib import Path

from exercises.pages import pages
from exercises.paper import layout, paper, paper_pages, questions
from exercises.paper.paper import Paper, PaperQuestion, Setting, Sitting
from exercises.question import dice
from exercises.question.model import Exercise
from exercises.sheets import private
from exercises.sheets.roster import Person

WORK = 36.0  # millimetres of room to work under a question
NAME = "HANDOUT"  # of the paper that a handout is marked as
SHEETS, KEY = "handout.html", "handout-key.html"


def sheets(
    exercises: Sequence[Exercise],
    people: Sequence[Person],
    turn: int,
    title: str,
    secret: str = "",
) -> str:
    """Return the sheets of all trainees, each on pages of its own and in its decimal sign."""

    def of(one: Person) -> list[list[layout.Piece]]:
        given = [dice.given(exercise, one.code, turn, secret) for exercise in exercises]
        numbered = enumerate(zip(exercises, given, strict=True), start=1)
        asked = (questions.of(e, numbers, n, 0, one.decimal) for n, (e, numbers) in numbered)
        return layout.sheets(asked, WORK)

    sheets_of = [(one.code, of(one)) for one in people]
    return pages.render("handout.html", people=sheets_of, title=title, turn=turn)


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
    *,
    again: bool = False,
) -> tuple[Path, Path]:
    """
    Write both, and the copy that answers are marked against; return the paths of both.

    `secret` is that of a hosted class.

    Raises
    ------
    ValueError
        If another handout lies in the folder and `again` is not given.
    """
    one = copy(exercises, people, turn, title, secret)
    if not again and (before := set_before(folder, one)):
        raise ValueError(
            f"{folder} holds {before}: take another folder, or --again writes over it."
        )
    private.make_folder(folder)
    paper.save(one, folder / paper.COPY)
    return (
        pages.write(folder / SHEETS, sheets(exercises, people, turn, title, secret)),
        pages.write(folder / KEY, key(exercises, people, turn, title, secret)),
    )


def copy(
    exercises: Sequence[Exercise],
    people: Sequence[Person],
    turn: int,
    title: str,
    secret: str = "",
) -> Paper:
    """
    Return a handout as a paper: each exercise for one mark, no time, no limit to pass.

    A person's code is the number of the paper: so its answers are typed into the same table.
    """
    setting = Setting(title, 0, "", 0, tuple(PaperQuestion(one, 1) for one in exercises))
    sittings = tuple(
        Sitting(
            person,
            person.code,
            tuple(dict(dice.given(one, person.code, turn, secret)) for one in exercises),
        )
        for person in people
    )
    return Paper(NAME, setting, "", sittings, tuple(one.edition for one in exercises))


def set_before(folder: Path, one: Paper) -> str:
    """Return in words which other handout lies in a folder; nothing where none does."""
    if not (folder / paper.COPY).exists():
        return ""
    try:
        before = paper.read_copy(folder / paper.COPY)
    except ValueError:
        return "a paper that can no longer be read"
    if _same(before, one):
        return ""
    codes = [sitting.paper for sitting in before.sittings]
    who = codes[0] if len(codes) == 1 else f"{codes[0]} to {codes[-1]}"
    return f"“{before.setting.title}” for {who}"


def _same(*both: Paper) -> bool:
    """Return whether two handouts give the same people the same numbers."""
    before, one = (json.dumps([[s.paper, s.given] for s in each.sittings]) for each in both)
    return before == one
