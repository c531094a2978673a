"""One line a file: what it was, whose, how many answers, what is missing. The rest is in a list."""

from collections.abc import Iterable
from dataclasses import dataclass

from exercises.sheets import report, sheet
from exercises.sheets.report import SheetRead, Trouble


@dataclass(frozen=True)
class FileLine:
    """What is said of one file on the console; `wrong` where not all of it was read or believed."""

    file: str
    text: str
    wrong: bool

    def __str__(self) -> str:
        return f"{self.file}: {self.text}"


def of_sheets(
    row: str, sheets: Iterable[SheetRead], troubles: list[Trouble], *, closing: bool
) -> list[FileLine]:
    """
    Return a line for each sheet of a row; `closing` where the class hands in by the course.

    Troubles are those of the row; what is no sheet of it keeps its own line.
    """
    lines = []
    for one in sheets:
        reported = [trouble.text for trouble in troubles if trouble.file == one.file]
        what = f"{one.how + ', ' if one.how else ''}{_answers(one.answers)}"
        text = "; ".join([f"sheet of {row}", what, *_missing(one, closing), *_few(reported)])
        lines.append(FileLine(one.file, text if reported else f"{text}.", bool(reported)))
    own = {one.file for one in sheets}
    return lines + of_others(trouble for trouble in troubles if trouble.file not in own)


def _answers(count: int) -> str:
    return "1 answer" if count == 1 else f"{count} answers"


def _missing(one: SheetRead, closing: bool) -> list[str]:
    missing = []
    if any(words == sheet.MISSING for _, words in one.breaks):
        missing.append("lines missing in it")
    if closing and not one.closed:
        missing.append("no closing line, so lines may be missing at its end")
    return missing


def of_others(troubles: Iterable[Trouble]) -> list[FileLine]:
    """Return a line for each file that is no sheet: its first trouble, the others counted."""
    by_file: dict[str, list[str]] = {}
    for trouble in troubles:
        by_file.setdefault(trouble.file, []).append(trouble.text)
    return [
        line
        for file, texts in by_file.items()
        for line in (
            [FileLine(file, text, True) for text in texts]
            if file == report.ELLIPSIS
            else [FileLine(file, " ".join(_few(texts)), True)]
        )
    ]


def _few(texts: list[str]) -> list[str]:
    """Return the first of several sentences, one of the whole file first, and how many more."""
    if len(texts) < 2:
        return texts
    first = next((text for text in texts if not text.startswith("line")), texts[0])
    return [f"{first} {len(texts) - 1} more in the register."]
