"""Whether a record is what the sheets say today, and what has changed if not.

A record's file holds its facts; a code alone is looked for among all that the folder can state,
under every whole pass mark and every usual length of time.
"""

import json
import re
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from exercises.instructor.class_folder import ClassFolder, OnProgress
from exercises.pages import pages
from exercises.records import course, facts, record
from exercises.records.record import Rule, Terms
from exercises.sheets import intake

LARGEST = 4 * 1024 * 1024
CODE = re.compile(r"[2-9A-HJ-NP-Z]{4}-?[2-9A-HJ-NP-Z]{4}-?[2-9A-HJ-NP-Z]{4}")
FACTS = re.compile(r'<meta name="record" content="([^"]*)">')
PRINTED = re.compile(r'<b class="code">([2-9A-HJ-NP-Z-]{14})</b>')
LIMITS = (None, *(limit / 100 for limit in range(1, 101)))
MONTHS = (0, 6, 12, 18, 24, 36, 48, 60)


@dataclass(frozen=True)
class Checked:
    """What a check found: whether the record is what the sheets say, of whom, what differs."""

    agrees: bool
    row: str = ""
    differs: list[str] = field(default_factory=list)


def of_file(path: Path, folder: Path, terms: Terms, changes: Path | None = None) -> Checked:
    """
    Check a record's file against the sheets.

    Raises
    ------
    ValueError
        If it is no record's file, or its own code and facts do not belong together.
    OSError
        If the file or the folder cannot be read.
    """
    held, code = _held(path)
    row, limit, months = held.get("trainee"), held.get("limit"), held.get("months")
    rule = Rule(limit if isinstance(limit, float | int) else None)
    now = replace(terms, rule=rule, months=months if isinstance(months, int) else 0)
    today = _today(folder, str(row), now, changes)
    if not today:
        return Checked(False, str(row), [f"the sheets: none of {row} in {folder}"])
    differs = facts.differences(held, today[0])
    if facts.code(held) != code:
        differs.insert(0, f"the code: printed {code}, of the facts in the file {facts.code(held)}")
    return Checked(not differs, str(row), differs)


def _held(path: Path) -> tuple[dict[str, Any], str]:
    try:
        text = intake.text(path, LARGEST)
        inside, printed = FACTS.search(text), PRINTED.search(text)
        held = json.loads(pages.read_back(inside[1])) if inside else None
    except (ValueError, OverflowError, RecursionError):
        held, printed = None, None
    if not isinstance(held, dict) or not printed:
        raise ValueError(f"{path.name} is not the file of a record as this course writes it.")
    return held, printed[1]


def of_code(
    code: str,
    folder: Path,
    terms: Terms,
    changes: Path | None = None,
    progress: OnProgress = lambda done, of, trainee: None,
) -> Checked:
    """
    Look for a code among all that the folder states today, on the papers that are named.

    Raises
    ------
    OSError
        If the folder cannot be read.
    """
    bare = code.replace("-", "").upper()
    for held in _today(folder, None, terms, changes, progress):
        for limit in LIMITS:
            for months in MONTHS:
                held |= {"limit": limit, "months": months}
                if facts.code(held).replace("-", "") == bare:
                    return Checked(True, held["trainee"])
    return Checked(False, "", [
        f"no record that the sheets give today with version {course.VERSION}, digest "
        f"{course.digest()}, has this code. Its file says what has changed; a record that names "
        "a closed paper needs --paper."
    ])  # fmt: skip


def _today(
    folder: Path,
    row: str | None,
    terms: Terms,
    changes: Path | None,
    progress: OnProgress = lambda done, of, trainee: None,
) -> list[dict[str, Any]]:
    every = ClassFolder(folder, only=row, changes=changes)
    views = record.views_of(every, terms, several=row is None, progress=progress)
    return [view["facts"] for view in views if row in (None, view["trainee"])]
