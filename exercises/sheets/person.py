"""Who somebody is: a code, and in a class its word before it: T07, 7KQ2-T07.

The class word begins with a digit, so that it is never a code; the letters that are read for
another or for a digit are left out of it. Word and code together are a person: two classes both
have a T07, and their practice numbers and sheets are different ones.
"""

import hashlib
import re
import secrets
import unicodedata

from exercises.question import wording

DIGITS = "23456789"
SIGNS = DIGITS + "ABCDEFGHJKLMNPQRSUVWXYZ"
TAKEN = ("ROOM", "TEST")  # whose hands are counted; whoever tries an exercise
CODE = re.compile(r"[A-Z][A-Z0-9]{1,7}")
WORD = re.compile(rf"[{DIGITS}][{SIGNS}]{{3}}")
PERSON = re.compile(rf"(?:({WORD.pattern})-)?({CODE.pattern})")
LONGEST_CODE = 8
APART = str.maketrans(  # Latin letters that do not fall into a plain one and a mark
    {"ø": "o", "æ": "ae", "œ": "oe", "ß": "ss", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"}
)
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


def of_name(name: str, number: int = 1) -> str:
    """
    Return the code that a name becomes, for somebody who studies alone and was given none.

    The same name gives the same code on every computer. `number` is 2 and so on where somebody
    else of nearly the same name has the code already.

    >>> of_name("Anna Ødegård"), of_name("anna ødegård", 2), of_name("Bo")
    ('ANNAODEG', 'ANNAODE2', 'BO')
    """
    plain = unicodedata.normalize("NFKD", name.casefold().translate(APART)).upper()
    letters = re.sub(r"[^A-Z0-9]", "", plain).lstrip("0123456789")
    end = "" if number == 1 else str(number)
    found = letters[: LONGEST_CODE - len(end)] + end
    if CODE.fullmatch(found) and not RESERVED.fullmatch(found) and found not in TAKEN:
        return found
    folded = unicodedata.normalize("NFC", name).casefold()
    digest = hashlib.sha256(f"{folded}{end}".encode("utf-8", "replace")).hexdigest().upper()
    return (letters[:3] or "N") + digest[:5]  # of a name in another script: a code all the same


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
