"""Who somebody is: a code, and in a class its word before it: T07, 7KQ2-T07.

The class word begins with a digit, so that it is never a code; the letters that are read for
another or for a digit are left out of it. Word and code together are a person: two classes both
have a T07, and their practice numbers and sheets are different ones.
"""

import re
import secrets

from exercises.question import wording

DIGITS = "23456789"
SIGNS = DIGITS + "ABCDEFGHJKLMNPQRSUVWXYZ"
CODE = re.compile(r"[A-Z][A-Z0-9]{1,7}")
WORD = re.compile(rf"[{DIGITS}][{SIGNS}]{{3}}")
PERSON = re.compile(rf"(?:({WORD.pattern})-)?({CODE.pattern})")
RESERVED = re.compile(r"CON|PRN|AUX|NUL|COM\d|LPT\d")  # file names that Windows refuses


def drawn_word() -> str:
    """Return a new class word."""
    return secrets.choice(DIGITS) + "".join(secrets.choice(SIGNS) for _ in range(3))


def code(text: str) -> str:
    """
    Return a trainee code, upper-cased.

    Raises
    ------
    ValueError
        If it is not a letter followed by one to seven letters or digits.
    """
    tidy = text.strip().upper()
    if not CODE.fullmatch(tidy) or not tidy.isascii():
        raise ValueError(
            f"{wording.quoted(text)} is not a trainee code: use a letter and then one to seven "
            "letters or digits, such as T07."
        )
    if RESERVED.fullmatch(tidy):
        raise ValueError(f"{tidy} is a name that some computers keep for themselves; take another.")
    return tidy


def person(text: str) -> str:
    """
    Return a code alone, or a class word and a code, upper-cased.

    >>> person(" 7kq2-t07"), person("t07")
    ('7KQ2-T07', 'T07')

    Raises
    ------
    ValueError
        If it is neither.
    """
    word, hyphen, own = text.strip().upper().rpartition("-")
    if not hyphen:
        return code(text)
    if not WORD.fullmatch(word.strip()):
        raise ValueError(
            f"{wording.quoted(text)} names no class: a class word is a digit and three letters or "
            "digits, and stands before the code, such as 7KQ2-T07."
        )
    return f"{word.strip()}-{code(own)}"


def parts(whole: str) -> tuple[str, str]:
    """
    Return class word and code of a person; without a class the word is empty.

    >>> parts("7KQ2-T07"), parts("T07")
    (('7KQ2', 'T07'), ('', 'T07'))
    """
    word, _, own = whole.rpartition("-")
    return word, own
