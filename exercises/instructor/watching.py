"""A class marked while it works: only what changed on the disk is marked again.

What is kept of each trainee is as small as in the register; the history of one trainee is
marked anew when it is asked for.
"""

import json
import threading
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from exercises.audit import auditing, changes, closing, received
from exercises.audit.changes import Gathered
from exercises.audit.closing import Closings
from exercises.audit.findings import Finding
from exercises.audit.received import Received
from exercises.audit.traces import Trace
from exercises.bank import BANK
from exercises.instructor import mark_cells, statistics
from exercises.instructor.mark_cells import Member
from exercises.question.model import Exercise
from exercises.sheets import changed_marks, disk, intake, private, report, session
from exercises.sheets.changed_marks import ChangedMarks
from exercises.sheets.intake import Source
from exercises.sheets.report import Bank, Report, Trouble
from exercises.trainee import concept

MEMORY = "desk.json"  # in the answers folder: which class the desk showed last
Stamp = tuple[tuple[str, int, int], ...]  # of each file: path, size, time


@dataclass
class News:
    """What changed at one look: who was marked again, who is gone, whether anything else."""

    again: list[str] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)
    beside: bool = False  # another file or changed mark that could not be read, another finding

    def __bool__(self) -> bool:
        return bool(self.again or self.gone or self.beside)


class Watch:
    """
    A folder of sheets, looked at again and again.

    Attributes
    ----------
    members : dict
        What the register keeps of each trainee, in the order of their codes.
    findings : list of Finding
        What has to be asked about before a record is signed, the open ones first.
    """

    def __init__(self, folder: Path, catalogue: Bank = BANK, changes: Path | None = None) -> None:
        self.folder = Path(folder)
        self.catalogue = catalogue
        self.changes = changes or self.folder / changed_marks.NAME
        self.members: dict[str, Member] = {}
        self.findings: list[Finding] = []
        self._traces: dict[str, Trace] = {}
        self._closings = Closings(self.folder / closing.NAME)
        self._found = Received()
        self._gathered = Gathered(ChangedMarks(self.changes))
        self._stamps: dict[str, Stamp] = {}
        self._troubles: dict[str, list[Trouble]] = {}
        self._looking = threading.Lock()
        self.busy_with = ""  # read by whoever waits for a look in another thread

    def find(self) -> Received:
        """
        Return what lies in the folder, without marking.

        Raises
        ------
        OSError
            If the folder cannot be read.
        """
        self._closings = closing.read(self.folder)
        return received.find(self.folder, self._closings)

    def look(self) -> News:
        """
        Mark again whatever changed since the last look.

        Raises
        ------
        OSError
            If the folder cannot be read.
        """
        with self._looking:
            found = self.find()
            gathered = changes.gather(found, self.changes)
            changed, before = gathered.marks, self._gathered.marks
            stamps = {who: _stamp(row.sources) for who, row in found.rows.items()}
            news = News(
                again=[
                    who
                    for who, stamp in stamps.items()
                    if stamp != self._stamps.get(who) or changed.of(who) != before.of(who)
                ],
                gone=[who for who in self._stamps if who not in stamps],
                beside=_beside(found, gathered) != _beside(self._found, self._gathered),
            )
            again = {}
            for number, who in enumerate(news.again, 1):
                self.busy_with = f"{who}, {number} of {len(news.again)}"
                trace = Trace(who)
                one = self._mark(who, found, changed, trace)
                self._traces[who] = trace
                again[who] = one.troubles, mark_cells.member_of(one, concept.take_out(one))
            # Whoever reads meanwhile, in another thread, has the class of the look before.
            self._troubles = {w: again[w][0] if w in again else self._troubles[w] for w in stamps}
            self.members = {w: again[w][1] if w in again else self.members[w] for w in stamps}
            self._found, self._gathered, self._stamps = found, gathered, stamps
            before_findings, self.findings = self.findings, self._audited()
            news.beside = news.beside or self.findings != before_findings
            return news

    def _audited(self) -> list[Finding]:
        self._traces = {who: self._traces[who] for who in self.members}
        every = list(self._traces.values())
        return auditing.of_class(every, self._gathered.marks, self._closings, self._found.asked)

    def _mark(
        self, trainee: str, found: Received, changed: ChangedMarks, trace: Trace | None = None
    ) -> Report:
        row = found.rows[trainee]
        kept = trace or Trace(trainee)
        one = report.mark(
            row.person,
            row.sources,
            row=trainee,
            folder=self.folder,
            catalogue=self.catalogue,
            changed=changed.of(trainee),
            on_event=lambda event, attempt: kept.hear(self.catalogue, event, attempt),
        )
        kept.end(one)
        auditing.of_person(kept)
        return one

    def report(self, trainee: str) -> Report:
        """Return all that a trainee typed, marked anew."""
        return self._mark(trainee, self._found, self._gathered.marks)

    @property
    def troubles(self) -> list[Trouble]:
        """Return what could not be read, or not all of it."""
        reported = [trouble for who in self.members for trouble in self._troubles[who]]
        return [
            *self._found.troubles,
            *self._gathered.troubles,
            *reported,
        ]

    @property
    def left(self) -> int:
        """Return how many lines and files were left unread."""
        unread = sum(member.left for member in self.members.values())
        return self._found.left + self._gathered.marks.left + unread

    @property
    def answers(self) -> int:
        """Return how many answers were marked."""
        stands = [s for m in self.members.values() for s in m.standings.values()]
        return sum(s.answers + s.after_shown for s in stands)

    def topics(self) -> list[str]:
        """Return the lessons that anybody has touched."""
        return mark_cells.topics_of(self.members.values(), self.catalogue)

    def items(self) -> list[statistics.ExerciseFigures]:
        """Return the statistics of each exercise over the class."""
        return mark_cells.items(self.members.values(), self.catalogue)

    def change(self, trainee: str, exercise: Exercise, mark: str, reason: str, by: str) -> None:
        """Change a mark; see `changed_marks.change`."""
        standing = self.members[trainee].standings.get(exercise.key)
        changed_marks.change(
            self.changes,
            trainee,
            exercise,
            changed_marks.share(mark),
            reason=reason,
            by=by,
            was=standing.best if standing else None,
        )

    def withdraw(self, trainee: str, exercise: Exercise, reason: str, by: str) -> None:
        """Withdraw a changed mark; see `changed_marks.withdraw`."""
        changed_marks.withdraw(self.changes, trainee, exercise, reason=reason, by=by)

    def close(self, shown: Finding, reason: str, by: str, answer: str = "") -> None:
        """
        Close a finding as it was shown; see `closing.close`.

        Raises
        ------
        ValueError
            If it is there no longer, or rests on other lines by now.
        """
        self.look()
        now = next((one for one in self.findings if one.id == shown.id), None)
        if now is None:
            raise ValueError(
                f"{shown.id} is no longer among the findings: the files have changed since. "
                "There is nothing to close."
            )
        if now.evidence != shown.evidence:
            raise ValueError(
                f"The lines behind {shown.id} have changed since they were shown. Read the finding "
                "again, then close it."
            )
        closing.close(self.folder, now, reason=reason, by=by, answer=answer)


def _beside(found: Received, gathered: Gathered) -> tuple[list[Trouble], list[Trouble]]:
    """Return what could not be read in the folder and of the changed marks."""
    return found.troubles, gathered.troubles


def _stamp(sources: Iterable[Source]) -> Stamp:
    stamps = []
    for path in (source.path for source in sources):
        try:
            state = path.stat()
            stamps.append((str(path), state.st_size, state.st_mtime_ns))
        except OSError:  # gone or unreadable between finding and looking: marked again later
            stamps.append((str(path), -1, 0))
    return tuple(stamps)


def remember(folder: Path, by: str = "") -> None:
    """
    Keep which class the desk shows, and who corrects, for the next time it opens.

    Raises
    ------
    OSError
        If it could not be kept.
    """
    private.make_folder(session.folder())
    held = {"folder": str(folder), "by": by}
    text = json.dumps(held, ensure_ascii=False)
    disk.write(session.folder() / MEMORY, [text])


def remembered() -> tuple[str, str]:
    """Return the folder of the class shown last and who corrected; nothing where there is none."""
    try:
        held: Any = json.loads(intake.text(session.folder() / MEMORY, session.LARGEST_SETTINGS))
        return str(held["folder"]), str(held["by"])
    except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError):
        return "", ""
