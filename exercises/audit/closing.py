"""Findings that an instructor has closed: appended with a reason and a code, never edited in.

A closing names the evidence that it was given for. A line whose digest does not agree does not
count and is a finding itself.
"""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from exercises.audit.findings import Closing, Finding, evidence
from exercises.sheets import changed_marks, intake, person, sheet
from exercises.sheets.changed_marks import LONGEST_REASON

NAME = "closed-findings.jsonl"
LARGEST = 4 * 1024 * 1024
ANSWERS = ("", "one", "two")
EVENTS = ("closed", changed_marks.ERASED)
FIELDS = ("finding", "evidence", "trainee", "reason", "by", "time", "digest")


@dataclass
class Closings:
    """The last closing of each finding of a folder; `edited` are lines that do not count."""

    path: Path
    last: dict[str, Closing] = field(default_factory=dict)
    edited: list[tuple[int, str]] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)
    left: int = 0

    def of(self, finding: Finding) -> Finding:
        """Return a finding as it stands: closed, open, or open again."""
        return finding.with_closing(self.last.get(finding.id))

    def findings(self) -> list[Finding]:
        """Return what is to be asked of the file itself."""
        if not self.edited:
            return []
        numbers = [number for number, _ in self.edited]
        text = (
            "A closing was changed after it was written, or stands where it was not written. It "
            "does not count."
        )
        where = f"{self.path.name}, line{'s' * (len(numbers) > 1)} {', '.join(map(str, numbers))}"
        rests_on = evidence(digest for _, digest in self.edited)
        return [Finding("closure", "", text, (where,), rests_on)]


def read(folder: Path) -> Closings:
    """Read the closings of a folder; never raises for what the file contains."""
    found = Closings(Path(folder) / NAME)
    messages = intake.Messages()
    try:
        if found.path.is_symlink():
            raise OSError(None, "a symbolic link; not followed")
        if found.path.exists():
            _read(found, messages)
    except OSError as error:
        messages.add(f"{intake.why(error)}; not read.")
        found.left += 1
    found.troubles = messages.sentences()
    return found


def _read(found: Closings, messages: intake.Messages) -> None:
    before: str | None = ""
    for number, raw, torn in intake.lines(found.path, LARGEST):
        line, trouble = intake.decoded(raw, torn)
        if trouble := trouble or _trouble(line):
            messages.add(trouble, number)
            found.left += 1
            before = None
            continue
        erased = line["event"] == changed_marks.ERASED
        if trouble := sheet.chain_trouble(line, None if erased else before):
            messages.add(trouble, number)
            if trouble == sheet.EDITED:
                found.edited.append((number, line["digest"]))
        before = None if erased else line["digest"]
        if not erased and trouble != sheet.EDITED:
            found.last[line["finding"]] = _closing(line)


def _closing(line: dict[str, Any]) -> Closing:
    return Closing(
        line["finding"], line["evidence"], line["reason"], line["by"],
        intake.moment(line["time"]), line.get("answer", ""),
    )  # fmt: skip


def _trouble(line: Any) -> str:
    """Check every field once, so that no later reader need doubt it."""
    if not isinstance(line, dict) or line.get("event") not in EVENTS:
        return "no closing of a finding; skipped."
    if not intake.is_word(line.get("digest")) or not intake.is_time(line.get("time")):
        return "its time or digest cannot be read; skipped."
    if line["event"] == changed_marks.ERASED:
        return ""
    texts = [line.get(name) for name in FIELDS]
    if not all(intake.is_word(text) and len(str(text)) <= LONGEST_REASON for text in texts):
        return "a field is missing or too long; skipped."
    if not person.CODE.fullmatch(line["by"]) or line.get("answer", "") not in ANSWERS:
        return "by is not a code, or the answer is not valid; skipped."
    return ""


def close(
    folder: Path, finding: Finding, *, reason: str, by: str, answer: str = ""
) -> dict[str, Any]:
    """
    Append the closing of a finding and return its line.

    Raises
    ------
    ValueError
        If the reason is missing, the code is none, or the question has another answer.
    OSError
        If it could not be kept.
    """
    reason = " ".join(reason.split())
    if not reason:
        raise ValueError("Say why in a few words: a finding is never closed without a reason.")
    if len(reason) > LONGEST_REASON:
        raise ValueError(f"The reason has {len(reason)} characters; {LONGEST_REASON} at most.")
    code = person.code(by)
    if (finding.kind == "identity") != bool(answer):
        raise ValueError(
            "Say how many people use the code, one or two."
            if finding.kind == "identity"
            else "Only a finding on a code that two people may use is answered by one or two."
        )
    line = {"event": "closed", "finding": finding.id, "kind": finding.kind}
    line |= {"trainee": finding.trainee, "evidence": finding.evidence}
    line |= {"answer": answer} if answer else {}
    return sheet.append(Path(folder) / NAME, {**line, "reason": reason, "by": code})
