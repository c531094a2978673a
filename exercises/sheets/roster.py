"""Who is in the class: a list of codes as typed, or a roster file as a spreadsheet saves it."""

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from exercises.question import wording
from exercises.sheets import intake, session

LARGEST = 1024 * 1024
MOST_TRAINEES = 1000
HEADS = {
    "code": ("code", "trainee", "trainee code"),
    "name": ("name", "full name"),
    "paper": ("paper", "paper number"),
    "decimal": ("decimal", "decimal sign"),
}
SIGNS = {"": None, ".": ".", "point": ".", ",": ",", "comma": ","}
_RANGE = re.compile(r"([A-Z][A-Z]*)(\d+)\s*[-–…]\s*(?:([A-Z][A-Z]*))?(\d+)")


@dataclass(frozen=True)
class Person:
    """One line of a roster; name, paper number and decimal sign may be empty."""

    code: str
    name: str = ""
    paper: str = ""
    decimal: str | None = None


def codes(text: str) -> list[str]:
    """
    Return the trainee codes of a list as typed: ``T01-T12, T20``.

    Raises
    ------
    ValueError
        If a part is no code and no range of codes, or a code comes twice.
    """
    found: list[str] = []
    for part in re.split(r"[,;\s]+", re.sub(r"\s*([-–…])\s*", r"\1", text.strip())):
        if part:
            found += _codes(part.upper())
    twice = sorted({code for code in found if found.count(code) > 1})
    if twice:
        raise ValueError(f"{', '.join(twice)} stands twice in the list: each code once.")
    if not found:
        raise ValueError("The list names nobody: write codes such as T01-T12, T20.")
    return found


def _codes(part: str) -> list[str]:
    span = _RANGE.fullmatch(part)
    if not span:
        return [session.code(part)]
    letters, first, again, last = span.groups()
    low, high = int(first), int(last)
    if again not in (None, letters) or high < low or high - low >= MOST_TRAINEES:
        raise ValueError(
            f"{wording.quoted(part)} is not a range of codes: write the lower one first, with the "
            f"same letters, such as T01-T12; at most {MOST_TRAINEES} codes."
        )
    return [session.code(f"{letters}{number:0{len(first)}d}") for number in range(low, high + 1)]


def read(path: Path) -> list[Person]:
    """
    Return the people of a roster: CSV with a head line that names a column "code".

    Comma, semicolon or tab; with or without a byte order mark; blank lines are skipped.

    Raises
    ------
    ValueError
        Naming the line and what is wrong with it: all such lines at once.
    OSError
        If the file cannot be read.
    """
    try:
        text = intake.text(path, LARGEST)
    except OverflowError:
        size = path.stat().st_size / LARGEST
        raise ValueError(f"{path.name} is {size:.0f} MB: a roster has one line a person.") from None
    except UnicodeDecodeError:
        raise ValueError(
            f"{path.name} is not UTF-8 text: save it in the spreadsheet as CSV UTF-8."
        ) from None
    rows = _rows(path.name, text)
    if not rows:
        raise ValueError(f"{path.name} is empty: a roster has a head line and one line a person.")
    places = _places(path.name, rows[0][1])
    if len(rows) > MOST_TRAINEES + 1:
        raise ValueError(
            f"{path.name} has {len(rows) - 1} lines: a class has {MOST_TRAINEES} people at most."
        )
    people, messages = [], intake.Messages()
    for number, row in rows[1:]:
        try:
            people.append(_person(row, places))
        except ValueError as error:
            messages.add(str(error), number)
    wrong = messages.sentences() + _twice(people)[: intake.MOST_MESSAGES]
    if wrong:
        raise ValueError(f"{path.name}: " + " ".join(wrong))
    if not people:
        raise ValueError(f"{path.name} has a head line and nobody under it.")
    return people


def _rows(name: str, text: str) -> list[tuple[int, list[str]]]:
    head = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(";\t,", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        found = [(reader.line_num, [cell.strip() for cell in row]) for row in reader]
    except csv.Error as error:
        raise ValueError(f"{name}, line {reader.line_num}: {error}.") from None
    return [(number, row) for number, row in found if any(row)]


def _places(name: str, head: list[str]) -> dict[str, int]:
    heads = [cell.casefold() for cell in head]
    places = {
        field: next((heads.index(word) for word in words if word in heads), -1)
        for field, words in HEADS.items()
    }
    if places["code"] < 0:
        raise ValueError(
            f"{name}: its head line is {wording.quoted(' '.join(head), 40)} and names no column "
            '"code". Write code, name in the first line.'
        )
    return places


def _person(row: list[str], places: dict[str, int]) -> Person:
    cells = {field: row[place] if 0 <= place < len(row) else "" for field, place in places.items()}
    if cells["decimal"].casefold() not in SIGNS:
        raise ValueError(
            f"{wording.quoted(cells['decimal'])} is not a decimal sign: write point or comma."
        )
    return Person(
        session.code(cells["code"]),
        cells["name"][:80],
        cells["paper"][:20],
        SIGNS[cells["decimal"].casefold()],
    )


def _twice(people: list[Person]) -> list[str]:
    every = [person.code for person in people]
    twice = sorted({code for code in every if every.count(code) > 1})
    return [f"{code} stands {every.count(code)} times: each code once." for code in twice]
