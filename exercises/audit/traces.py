"""What of a trainee's lines is looked at for findings: small, gathered while they are marked."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from hashlib import blake2b
from pathlib import Path
from typing import NamedTuple

from exercises.audit.findings import Finding
from exercises.sheets import report, sheet
from exercises.sheets.intake import Source
from exercises.sheets.report import Attempt, Bank, Event, Report, SheetRead

TYPED = ("answered", "said first", "remark")
_quoted = json.JSONEncoder().encode  # of a text


class Line(NamedTuple):
    """One line at an exercise. `number` is its line in the file, `seconds` its time."""

    sheet: int
    number: int
    seconds: float
    digest: str
    key: str
    turn: int
    what: str
    right: bool
    computed: bool  # an answer with a number in it
    flags: tuple[str, ...]


@dataclass
class Trace:
    """The lines of one row of the register, in the order in which they were marked."""

    row: str
    files: list[str] = field(default_factory=list)
    sheets: list[SheetRead] = field(default_factory=list)
    kin: set[tuple[int, int]] = field(default_factory=set)
    lines: list[Line] = field(default_factory=list)
    prints: dict[int, tuple[int, int]] = field(default_factory=dict)  # {print: (sheet, line)}
    holds: bool = False  # lines, whether they are kept here or not
    found: list[Finding] | None = None  # what its lines alone give, once they were looked at
    undrawn: set[int] = field(default_factory=set)  # prints whose numbers are not this person's

    def hear(self, catalogue: Bank, event: Event, attempt: Attempt | None) -> None:
        """Take one event, as `report.mark` gives it with its attempt."""
        file, number = event["at"]
        self.holds = True
        exercise, flags = catalogue[event["key"]], attempt.flags if attempt else ()
        when, turn = report.when(event).timestamp(), event.get("turn", 1)
        place = (file, number, when, event.get("digest", ""), exercise.key, turn)
        right = attempt is not None and attempt.verdict.right
        number_asked = attempt is not None and exercise.computed
        self.lines.append(Line(*place, event["event"], right, number_asked, flags))
        if (mark := self._note(event)) and report.NOT_DRAWN in flags:
            self.undrawn.add(mark)

    def _note(self, event: Event) -> int:
        """Keep the print of what somebody typed; 0 where nothing was."""
        if event["event"] not in TYPED:
            return 0
        mark = _print(event)
        self.prints.setdefault(mark, event["at"])
        return mark

    def glance(self, sources: Iterable[Source], folder: Path, catalogue: Bank) -> "Trace":
        """Read sheets without marking them, for what they share with others."""
        for at, source in enumerate(sources):
            name = source.name(folder)
            self.files.append(name)
            try:
                read = sheet.read(source)
            except OSError:
                self.sheets.append(SheetRead(name, source.how))
                continue
            self.sheets.append(SheetRead(name, source.how, read.digest, closed=read.closed))
            for event, number in zip(read.events, read.numbers, strict=True):
                self.holds = True
                if event.get("key") in catalogue:
                    self._note({**event, "at": (at, number)})
        return self

    def end(self, one: Report) -> "Trace":
        """Take what the report says of the sheets themselves, after the last event."""
        self.row, self.files, self.sheets, self.kin = one.trainee, one.files, one.sheets, one.kin
        return self


def _print(event: Event) -> int:
    """Return a number that two lines share where moment, place and what was typed are the same."""
    typed = event.get("typed")
    held = "null" if typed is None else _in_braces(typed)
    text = event.get("text")
    words = "null" if text is None else _quoted(text)
    said = [_quoted(event["time"]), _quoted(event["key"]), str(event.get("turn", 1)), held, words]
    whole = f"[{', '.join(said)}]"  # as json.dumps writes the list, with sorted keys
    return int.from_bytes(blake2b(whole.encode("ascii"), digest_size=8).digest(), "big")


def _in_braces(typed: Mapping[str, str]) -> str:
    """Return what was typed as JSON."""
    return f"{{{', '.join(f'{_quoted(part)}: {_quoted(typed[part])}' for part in sorted(typed))}}}"
