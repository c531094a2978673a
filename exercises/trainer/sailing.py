"""The parameter sheet of lesson 13 on paper: a leaf of A4, both sides, for each trainee."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from exercises.bank import find
from exercises.pages import pages
from exercises.question import dice, wording
from exercises.question.model import Exercise
from exercises.sheets import session
from exercises.sheets.roster import Person
from exercises.trainee.practice import Practice

SHEET, WAYPOINT = "sailing-sheet", "sailing-waypoint"


@dataclass(frozen=True)
class ReceivedSheet:
    """One trainee's sheet: the evidence, the lines as received, the waypoint's own rows."""

    trainee: str
    turn: int
    evidence: list[tuple[str, str]]
    lines: list[tuple[str, str, str]]  # label, what it says, unit and tolerance
    target: list[tuple[str, str]]
    decimal: str | None = None  # in which all of it is printed


def paper(
    trainee: str, turn: int = 1, decimal: str | None = None, secret: str = ""
) -> ReceivedSheet:
    """Return the sheet of a trainee and turn; the same again whenever it is asked for."""
    sheet, waypoint = find(SHEET), find(WAYPOINT)
    given = dice.given(sheet, trainee, turn, secret)
    printed = (*sheet.printed, *waypoint.printed)
    rows = {row.name: (row.label, wording.joined(row.row(given)[1])) for row in printed}
    lines = [(*rows[f"line_{a.name}"], a.within.replace("±", "± ")) for a in sheet.asked]
    return ReceivedSheet(
        trainee,
        turn,
        [row for name, row in rows.items() if not name.startswith(("line_", "well_"))],
        lines,
        [row for name, row in rows.items() if name.startswith("well_")],
        decimal,
    )


def page(people: Sequence[Person], turn: int = 1, secret: str = "") -> str:
    """Return the sheets as HTML, two sides of A4 each, in each one's decimal sign."""
    papers = [paper(one.code, turn, one.decimal, secret) for one in people]
    prompts: dict[str, Exercise] = {"sheet": find(SHEET), "waypoint": find(WAYPOINT)}
    return pages.render("sailing.html", papers=papers, **prompts)


def own() -> str:
    """
    Write the sheet of who is signed in beside the answers, and say where; in words if it cannot.

    Nobody signed in: nothing is written.
    """
    here = Practice(find(SHEET))
    if here.trainee is None:
        return "Sign in on the start page, and your sheet will be ready to print here."
    me = Person(here.trainee, decimal=here.settings.decimal)
    path: Path = session.folder() / f"parameter-sheet-{here.trainee}-turn-{here.turn}.html"
    try:
        pages.write(path, page([me], here.turn, here.settings.secret))
    except OSError as error:
        return f"The sheet could not be written for printing: {error.strerror or error}."
    if session.hosted():
        return f"**On paper:** your trainer prints `{path.name}` from the class's folder."
    return f"**To print:** open `{path.name}` in your answers folder, `{path.parent}`."
