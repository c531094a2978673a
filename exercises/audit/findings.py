"""A finding: what an instructor has to ask about before a record is signed, in words.

A finding says what stands in the files, never what somebody did. It rests on lines, and the
digest of those lines is its evidence: once it is closed it stays closed until the evidence is
another.
"""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from exercises.sheets import person

KINDS = {  # kind: its heading, the gravest first
    "copied": "Lines of a colleague",
    "numbers": "Numbers not drawn for this person",
    "another": "Lines of another person",
    "identity": "One code, perhaps two people",
    "mark": "A changed mark edited by hand",
    "closure": "A closing edited by hand",
    "edited": "Lines changed after they were written",
    "chain": "Lines missing",
    "closing": "Closing line missing or wrong",
    "elsewhere": "Worked answer seen on another device",
    "pace": "Faster than anybody can work",
    "clock": "A clock that jumps",
    "skipped": "Turns left out",
    "ungiven": "Answers without given numbers",
    "unchecked": "Numbers that could not be checked",
}
MOST_SPANS = 12  # runs of lines that a finding names; all of them are counted


@dataclass(frozen=True)
class Closing:
    """
    How a finding was closed: the reason, by whom, when.

    `answer` is "one" or "two" where the question was how many people bear a code; `when` is None
    where rosters answered it.
    """

    finding: str
    evidence: str
    reason: str
    by: str
    when: datetime | None
    answer: str = ""


@dataclass(frozen=True)
class Finding:
    """
    What has to be asked about.

    Attributes
    ----------
    kind : str
        A key of `KINDS`.
    trainee : str
        The row of the register that it concerns; of two people with one code the code.
    text : str
        What stands in the files, in one or two sentences.
    where : tuple of str
        The files and lines that it rests on, in words.
    evidence : str
        The digest of those lines.
    closing : Closing, optional
        Where it is closed; one whose evidence has changed since stands in `before`.
    """

    kind: str
    trainee: str
    text: str
    where: tuple[str, ...] = ()
    evidence: str = ""
    closing: Closing | None = None
    before: Closing | None = None

    @property
    def id(self) -> str:
        """Return the short name by which it is closed: the same for the same kind and person."""
        return "F" + letters(f"{self.kind} {self.trainee}", 5)

    @property
    def open(self) -> bool:
        """Return whether it keeps a record from being signed."""
        return self.closing is None

    @property
    def title(self) -> str:
        """Return the heading of its kind."""
        return KINDS[self.kind]

    @property
    def said(self) -> str:
        """Return how it was closed, or that it was and is open again; nothing where neither."""
        if self.closing:
            return f"closed {_by(self.closing)}: {self.closing.reason}"
        if self.before:
            return (
                f"closed {_by(self.before)}, and open again: what it rests on has changed since. "
                f"The reason then: {self.before.reason}"
            )
        return ""

    def concerns(self, row: str) -> bool:
        """Return whether it is about that row of the register."""
        return self.trainee == row or (self.kind == "identity" and self.trainee == bare(row))

    def with_closing(self, closing: Closing | None) -> "Finding":
        """Return it closed, or open again where the evidence is another."""
        if closing is None:
            return self
        if closing.evidence == self.evidence:
            return replace(self, closing=closing, before=None)
        return replace(self, before=closing)


def _by(closing: Closing) -> str:
    if closing.when is None:
        return f"by {closing.by}"
    return f"by {closing.by} on {closing.when.day} {closing.when:%b %Y}"


def bare(row: str) -> str:
    """
    Return the person of a row; two people with one code stand in rows T07/1 and T07/2.

    >>> bare("T07/2"), bare("7KQ2-T07")
    ('T07', '7KQ2-T07')
    """
    return row.partition("/")[0]


def letters(text: str, count: int) -> str:
    """Return so many letters and digits of a text's SHA-256, none that is read for another."""
    number = int.from_bytes(hashlib.sha256(text.encode("utf-8")).digest(), "big")
    found = ""
    for _ in range(count):
        number, place = divmod(number, len(person.SIGNS))
        found += person.SIGNS[place]
    return found


def evidence(marks: Iterable[str]) -> str:
    """Return the digest of what a finding rests on, whatever its order."""
    return hashlib.sha256("\n".join(sorted(marks)).encode("utf-8")).hexdigest()[:16]


def in_order(found: Iterable[Finding]) -> list[Finding]:
    """Return findings as they are shown: the open ones first, then by kind and trainee."""
    kinds = list(KINDS)
    return sorted(found, key=lambda f: (not f.open, kinds.index(f.kind), f.trainee))


def spans(numbers: Iterable[int]) -> str:
    """
    Return line numbers in words.

    >>> spans([3, 4, 5, 9]), spans([7])
    ('lines 3 to 5, 9', 'line 7')
    """
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    texts = [str(a) if a == b else f"{a} to {b}" for a, b in runs[:MOST_SPANS]]
    more = " and more" if len(runs) > MOST_SPANS else ""
    word = "line" if len(runs) == 1 and runs[0][0] == runs[0][1] else "lines"
    return f"{word} {', '.join(texts)}{more}"


def places(files: Sequence[str], lines: Iterable[tuple[int, int]]) -> tuple[str, ...]:
    """
    Return (sheet, line) pairs in words, a sheet each.

    >>> places(["answers-T07.jsonl"], [(0, 3), (0, 4)])
    ('answers-T07.jsonl, lines 3 to 4',)
    """
    by_file: dict[int, list[int]] = {}
    for file, number in lines:
        by_file.setdefault(file, []).append(number)
    return tuple(f"{files[file]}, {spans(numbers)}" for file, numbers in sorted(by_file.items()))
