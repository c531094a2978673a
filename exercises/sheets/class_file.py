"""What a class is, as its folder says: title, site, class word, secret."""

import json
import os
import tomllib
from dataclasses import dataclass
from pathlib import Path

from exercises.sheets import person, scenario

NAME = "class.toml"
LARGEST = 64 * 1024
LONGEST_TITLE = 120


@dataclass(frozen=True)
class Class:
    """
    A class.

    `secret` goes into the practice numbers drawn in the room, so that nobody can see them, or
    their worked answers, on a laptop of their own first.
    """

    title: str
    site: str
    word: str
    secret: str


def read(folder: Path) -> Class:
    """
    Return the class of a folder.

    Raises
    ------
    ValueError
        If class.toml cannot be understood, in one sentence.
    OSError
        If it cannot be read; FileNotFoundError where the folder is no class's.
    """
    path = Path(folder) / NAME
    with open(path, "rb") as file:
        contents = file.read(LARGEST + 1)
    try:
        held = tomllib.loads(contents.decode("utf-8-sig"))
        found = Class(*(_text(held, name) for name in ("title", "site", "word", "secret")))
    except (ValueError, KeyError, TypeError, RecursionError):
        raise ValueError(_not_understood(path)) from None
    if not (person.WORD.fullmatch(found.word) and len(found.secret) >= 16):
        raise ValueError(_not_understood(path))
    return found


def _not_understood(path: Path) -> str:
    return (
        f"{path} is not the file of a class, or it was changed: title, site, word and secret stand "
        "in it as “class-new” wrote them."
    )


def _text(held: dict[str, object], name: str) -> str:
    value = held[name]
    if not isinstance(value, str):
        raise TypeError
    return value


def title(text: str) -> str:
    """
    Return a title in one line.

    Raises
    ------
    ValueError
        If it is empty, too long, or holds what cannot be printed.
    """
    tidy = " ".join(text.split())
    if not tidy or len(tidy) > LONGEST_TITLE or not tidy.isprintable():
        raise ValueError(
            f"A class needs a title of at most {LONGEST_TITLE} letters that can be printed."
        )
    return tidy


def site(name: str) -> str:
    """
    Return the name of one of the job's places.

    Raises
    ------
    ValueError
        If there is no such place, naming those there are.
    """
    if name not in scenario.PLACES:
        raise ValueError(
            f"There is no site of that name; take one of {', '.join(scenario.PLACES)}."
        )
    return name


def write(folder: Path, one: Class) -> Path:
    """Write class.toml, for its owner alone, where none is yet."""
    lines = ["# A class: written once. Word and secret go into everybody's numbers.\n"]
    for name in ("title", "site", "word", "secret"):
        # A JSON string without control characters is a TOML string too.
        lines.append(f"{name} = {json.dumps(getattr(one, name), ensure_ascii=False)}\n")
    return write_private(Path(folder) / NAME, "".join(lines))


def write_private(path: Path, text: str) -> Path:
    """
    Write a new file that its owner alone can read.

    Raises
    ------
    FileExistsError
        If there is one already.
    """
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with open(handle, "w", encoding="utf-8", newline="\n") as out:
        out.write(text)
    return path


def secret_of(folder: Path, whole: str) -> str:
    """Return the secret from which this person's numbers were drawn, "" where it is not here."""
    word, _ = person.parts(whole)
    try:
        found = read(folder) if word else None
    except (OSError, ValueError):
        return ""
    return found.secret if found and found.word == word else ""
