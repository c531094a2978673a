"""A class folder made new: class.toml, roster, phrases as they are kept; the slips beside it."""

import os
import secrets
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

from exercises.classroom import phrases
from exercises.pages import pages
from exercises.sheets import class_file, person, roster
from exercises.sheets.class_file import Class
from exercises.sheets.roster import Person

ROSTER = "roster.csv"
MOST = 200  # people; one computer serves some dozens


@dataclass(frozen=True)
class Made:
    """A class just made. The phrases are in nobody's hands but these."""

    folder: Path
    slips: Path
    room: Class
    people: tuple[tuple[Person, str], ...]  # each with the phrase


def slips_of(folder: Path) -> Path:
    """Return where the slips are written: beside the folder, not in it."""
    folder = Path(os.path.abspath(folder))
    return folder.with_name(folder.name + "-slips.html")


def make(folder: Path, roster_file: Path, title: str, site: str, address: str = "") -> Made:
    """
    Make a class folder, whole or not at all.

    Raises
    ------
    ValueError
        If the roster, the title or the site is not valid, or the folder is in use.
    OSError
        If a file cannot be read or written.
    """
    folder, slips = Path(os.path.abspath(folder)), slips_of(folder)
    room = Class(
        class_file.title(title), class_file.site(site), person.drawn_word(), secrets.token_hex(16)
    )
    people = tuple((one, phrases.drawn()) for one in _people(roster_file))
    _free(folder, slips)
    folder.parent.mkdir(parents=True, exist_ok=True)
    half = Path(tempfile.mkdtemp(dir=folder.parent, prefix=f".{folder.name}-"))  # made 0700
    try:
        _fill(half, room, roster_file, people)
        class_file.write_private(slips, slips_page(room, people, address))
        try:
            if folder.exists():
                folder.rmdir()  # an empty one
            half.rename(folder)
        except OSError:
            slips.unlink()
            raise
    finally:
        shutil.rmtree(half, ignore_errors=True)
    return Made(folder, slips, room, people)


def _people(path: Path) -> list[Person]:
    if not path.is_file():
        raise ValueError(f"{path} is not a file: a roster is a CSV file with one line a person.")
    people = roster.read(path)
    if len(people) > MOST:
        raise ValueError(f"{path.name} names {len(people)} people; a class has {MOST} at most.")
    return people


def _free(folder: Path, slips: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise ValueError(f"{folder} is a file: name a folder that is not there yet.")
    if folder.is_dir() and any(folder.iterdir()):
        raise ValueError(f"{folder} holds something already: name a folder that is not there yet.")
    if slips.exists():
        raise ValueError(f"{slips} is there already: it belongs to another class. Move it first.")


def _fill(
    folder: Path, room: Class, roster_file: Path, people: tuple[tuple[Person, str], ...]
) -> None:
    class_file.write(folder, room)
    class_file.write_private(folder / ROSTER, roster_file.read_text(encoding="utf-8-sig"))
    phrases.write(folder, {one.code: phrases.kept(phrase) for one, phrase in people})
    (folder / "settings").mkdir(mode=0o700)


def slips_page(room: Class, people: tuple[tuple[Person, str], ...], address: str = "") -> str:
    """Return the slips as an A4 page to cut up."""
    return pages.render("slips.html", room=room, people=people, address=address)
