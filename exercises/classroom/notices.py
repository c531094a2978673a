"""What the trainer says to everybody in a class: one line, and a page to look at.

Both are kept in the class folder, so that the desk writes them and the server, which is another
process, shows them; a page that is opened later has them too.
"""

import contextlib
import json
import unicodedata
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from exercises.bank import syllabus
from exercises.sheets import disk, intake

NAME = "notices.json"
LONGEST = 200  # characters of a line
LONGEST_BY = 20
LARGEST = 16 * 1024  # bytes of the file
MESSAGE, LOOK = "message", "look"


@dataclass(frozen=True)
class Notice:
    """One line, who says it and when; of a page to look at also which, and the heading there."""

    text: str
    by: str
    time: str
    page: str = ""
    section: str = ""


def one_line(text: str, longest: int = LONGEST) -> str:
    r"""
    Return a text as one line: no control sign, no sign that turns the direction of reading.

    >>> one_line("Break\u202e until\n10:30 ")
    'Break until 10:30'
    """
    plain = "".join(" " if unicodedata.category(c) in ("Cc", "Zl", "Zp") else c for c in text)
    kept = "".join(c for c in plain if unicodedata.category(c)[0] != "C")
    return " ".join(kept.split())[:longest]


def say(folder: Path, text: str, by: str) -> Notice:
    """
    Say one line to everybody; it takes the place of the one before.

    Raises
    ------
    ValueError
        If there is nothing to say.
    OSError
        If it cannot be kept.
    """
    line = one_line(text)
    if not line:
        raise ValueError("Type one line first: what everybody is to read.")
    return _keep(folder, MESSAGE, Notice(line, one_line(by, LONGEST_BY), _now()))


def look_at(folder: Path, page: str, section: str, by: str) -> Notice:
    """
    Send everybody a link to a page of the course, or to a heading on it.

    Raises
    ------
    ValueError
        If the course has no such page, or the page no such heading.
    OSError
        If it cannot be kept.
    """
    title = titles().get(page)
    if title is None:
        raise ValueError(f"The course has no page {page}.")
    if section and section not in headings(page):
        raise ValueError(f"{title} has no heading “{section}”.")
    return _keep(folder, LOOK, Notice(title, one_line(by, LONGEST_BY), _now(), page, section))


def take_away(folder: Path, which: str) -> None:
    """
    Take the line or the link away from every page.

    Raises
    ------
    OSError
        If the file cannot be written.
    """
    _write(folder, {name: one for name, one in read(folder).items() if name != which})


def read(folder: Path) -> dict[str, Notice]:
    """Return what stands now, by `MESSAGE` and `LOOK`; nothing of what makes no sense."""
    try:
        held = json.loads(intake.text(Path(folder) / NAME, LARGEST))
        found = {name: _understood(held[name]) for name in (MESSAGE, LOOK) if name in held}
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return {}
    return {name: one for name, one in found.items() if one.text and _is_there(name, one)}


def _is_there(name: str, one: Notice) -> bool:
    return name == MESSAGE or one.page in titles()


def _understood(held: dict[str, Any]) -> Notice:
    text, by, time, page, section = (
        str(held[n]) for n in ("text", "by", "time", "page", "section")
    )
    return Notice(one_line(text), one_line(by, LONGEST_BY), time[:5], page, one_line(section))


def _keep(folder: Path, which: str, one: Notice) -> Notice:
    _write(folder, {**read(folder), which: one})
    return one


def _write(folder: Path, every: dict[str, Notice]) -> None:
    held = {name: asdict(one) for name, one in every.items()}
    disk.write(Path(folder) / NAME, [json.dumps(held, ensure_ascii=False, indent=1)])


def _now() -> str:
    return f"{datetime.now():%H:%M}"


# The pages of the course -----------------------------------------------------------------


def titles() -> dict[str, str]:
    """Return the title of each page of the course by its name, in the order of the map."""
    names = sorted(path.stem for path in syllabus.FOLDER.glob("*.ipynb"))
    found = {name: (syllabus.headings(name) or ("", ""))[0] for name in names}
    return {name: title for name, title in found.items() if title}


def headings(page: str) -> tuple[str, ...]:
    """Return the headings on a page, without its title."""
    with contextlib.suppress(OSError):
        return syllabus.headings(page)[1:]
    return ()
