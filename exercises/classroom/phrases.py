"""Phrases of three plain words: how a class's people show who they are.

A phrase is printed once, on the slip. What is kept is its scrypt hash, with a salt of its own.
"""

import hashlib
import json
import os
import re
import secrets
import tempfile
from collections.abc import Collection, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import filelock

NAME = "phrases.json"
WORDS = Path(__file__).with_name("words.txt")
LONGEST = 200  # characters of a phrase as typed
COST = {"n": 2**14, "r": 8, "p": 1}  # 16 MB and some hundredths of a second for each try
Kept = Mapping[str, str]  # salt and hash, in hexadecimal digits


@cache
def words() -> tuple[str, ...]:
    """Return the words that phrases are made of: short, plain, each spelled in one way."""
    return tuple(WORDS.read_text(encoding="utf-8").split())


def drawn() -> str:
    """Return a new phrase: one of a hundred and fifty million."""
    return " ".join(secrets.choice(words()) for _ in range(3))


def kept(phrase: str) -> dict[str, str]:
    """Return what is kept of a phrase."""
    salt = secrets.token_bytes(16)
    return {"salt": salt.hex(), "hash": _hash(phrase, salt).hex()}


def right(phrase: str, of: Kept | None) -> bool:
    """Return whether this is the phrase; it takes as long where there is none to compare."""
    salt = bytes.fromhex(of["salt"]) if of else b"nobody has it"
    tried = _hash(phrase, salt)
    return bool(of) and secrets.compare_digest(tried.hex(), of["hash"] if of else "")


def _hash(phrase: str, salt: bytes) -> bytes:
    plain = " ".join(re.split(r"[\s,;.\-]+", phrase[:LONGEST].strip().lower())).strip()
    return hashlib.scrypt(plain.encode("utf-8", "replace"), salt=salt, dklen=32, **COST)


def read(folder: Path) -> dict[str, Kept]:
    """
    Return what is kept of each code's phrase.

    Raises
    ------
    ValueError
        If the file cannot be understood.
    OSError
        If it cannot be read.
    """
    path = Path(folder) / NAME
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        return {str(code): _checked(one) for code, one in held.items()}
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise ValueError(
            f"{path} cannot be understood: the phrases of the class are lost."
        ) from None


def _checked(one: dict[str, Any]) -> Kept:
    return {name: bytes.fromhex(one[name]).hex() for name in ("salt", "hash")}


def write(folder: Path, every: Mapping[str, Kept]) -> None:
    """Write what is kept, whole or not at all, for its owner alone."""
    handle, temporary = tempfile.mkstemp(dir=folder, prefix=".phrases-")  # made 0600
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            json.dump(every, out, indent=1)
            out.flush()
            os.fsync(out.fileno())
        os.replace(temporary, Path(folder) / NAME)
    finally:
        Path(temporary).unlink(missing_ok=True)


def renew(folder: Path, code: str, listed: Collection[str] = ()) -> str:
    """
    Give somebody a new phrase and return it; the one before is right no more.

    Who is new in the class has none before: `listed` are the codes of its list.

    Raises
    ------
    KeyError
        If the class has no such code.
    OSError
        If it cannot be kept; then the one before stays right.
    """
    with filelock.FileLock(Path(folder) / "phrases.lock", timeout=10):
        every = read(folder)
        if code not in every and code not in listed:
            raise KeyError(f"The class has no {code}.")
        phrase = drawn()
        write(folder, {**every, code: kept(phrase)})
    return phrase
