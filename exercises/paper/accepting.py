"""The instructor's word on a paper that is not plainly in time or in its owner's hand.

It is appended beside the instructor's copy, with a reason and a code, and holds for what was in
doubt then: another file that comes in later is asked about again.
"""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from exercises.sheets import intake, sheet

NAME = "accepted.jsonl"
LARGEST, LONGEST = 1024 * 1024, 400


@dataclass(frozen=True)
class Accepted:
    """One paper accepted in spite of its doubts."""

    paper: str
    doubts: tuple[str, ...]
    reason: str
    by: str

    @property
    def words(self) -> str:
        """Return it as a note on the result."""
        return f"accepted by {self.by}: {self.reason}"


def accept(folder: Path, number: str, doubts: list[str], reason: str, by: str) -> Accepted:
    """
    Append the instructor's word.

    Raises
    ------
    ValueError
        Without a reason or a code.
    OSError
        If it cannot be written.
    """
    reason, by = " ".join(reason.split())[:LONGEST], " ".join(by.split())[:20]
    if not reason or not by:
        raise ValueError('--accept asks for your word: --reason "…" and --by with your code.')
    line = {"time": datetime.now(UTC).isoformat(timespec="seconds"), "event": "accepted"}
    sheet.append(folder / NAME, {**line, "paper": number, "doubts": doubts, "reason": reason,
                                 "by": by})  # fmt: skip
    return Accepted(number, tuple(doubts), reason, by)


def read(folder: Path) -> dict[str, Accepted]:
    """Return the last word on each paper; a line that was edited or is none does not count."""
    found: dict[str, Accepted] = {}
    if not (folder / NAME).is_file():
        return found
    for _, raw, torn in intake.lines(folder / NAME, LARGEST):
        line, trouble = intake.decoded(raw, torn)
        if not trouble and _is_ours(line):
            one = Accepted(line["paper"], tuple(line["doubts"]), line["reason"], line["by"])
            found[one.paper] = one
    return found


def _is_ours(line: dict[str, Any]) -> bool:
    texts = (line.get("paper"), line.get("reason"), line.get("by"))
    doubts = line.get("doubts")
    return (
        all(isinstance(text, str) for text in texts)
        and isinstance(doubts, list)
        and line.get("digest") == sheet.digest(line)
    )
