"""A folder of sheets gone through trainee by trainee, as each output of a class needs it.

What was read is reported, a line a file, and what was left unread is counted, the same for the
register, the records and the learning records. Large classes are marked by several processes.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from exercises.audit import auditing, closing, file_lines, received
from exercises.audit.changes import gather
from exercises.audit.file_lines import FileLine
from exercises.audit.findings import Finding
from exercises.audit.identity import Row
from exercises.audit.traces import Trace
from exercises.bank import BANK
from exercises.instructor import processes
from exercises.sheets import report
from exercises.sheets.changed_marks import ChangedMark
from exercises.sheets.report import MOST_ENTRIES, Attempt, Bank, Event, Report, Trouble

OnProgress = Callable[[int, int, str], None]  # done, of how many, trainee: before each trainee
OnEvent = Callable[[str, Event, Attempt | None], None]  # trainee, event, its attempt
T = TypeVar("T")


@dataclass
class Marked(Generic[T]):
    """One row marked: what was made of its report, and what stays of it for the class."""

    made: T
    trace: Trace
    troubles: list[Trouble]
    left: int


class ClassFolder:
    """
    The sheets and the changed marks in a folder.

    Parameters
    ----------
    only : str, optional
        One trainee: the others are read for what they share, and not marked.
    changes : Path, optional
        The file of changed marks; without it changed-marks.jsonl in the folder, where there is one.

    Attributes
    ----------
    rows : dict
        The trainees by their row of the register.
    troubles, left : list of Trouble, int
        What could not be read, and how many lines and files were left unread.
    files : list of FileLine
        What each file was, in a line; complete after the last report.
    findings : list of Finding
        What has to be asked about before a record is signed; complete after the last report.

    Raises
    ------
    OSError
        If the folder cannot be read.
    """

    def __init__(
        self,
        folder: Path,
        *,
        only: str | None = None,
        catalogue: Bank = BANK,
        changes: Path | None = None,
    ) -> None:
        self.folder, self.catalogue, self.only = Path(folder), catalogue, only
        self.troubles: list[Trouble] = []
        self.left = 0
        self.findings: list[Finding] = []
        self.files: list[FileLine] = []
        self._closings = closing.read(self.folder)
        self._found = received.find(self.folder, self._closings)
        wanted = self._found.rows if only is None else self._found.rows_of(only)
        self.rows = {name: self._found.rows[name] for name in wanted}
        self._beside: list[Trouble] = []  # of files that are no sheets
        gathered = gather(self._found, changes)
        self.changed = gathered.marks
        if only is None:
            self._heard(self._found.troubles, self._found.left, beside=True)
        if self.rows:
            self._heard(gathered.troubles, self.changed.left, beside=True)
            reported = [Trouble(closing.NAME, text) for text in self._closings.troubles]
            self._heard(reported, self._closings.left, beside=True)

    def reports(
        self,
        *,
        most: int = MOST_ENTRIES,
        on_event: OnEvent | None = None,
        progress: OnProgress = lambda done, of, trainee: None,
    ) -> Iterator[Report]:
        """Mark one trainee after the other; `most` and `on_event` as for `report.mark`."""
        jobs = (self._job(row, most, words=True) for row in self.rows.values())
        marked = (_mark(job, _itself, on_event) for job in jobs)
        yield from self._gone_through(marked, progress)

    def each(
        self,
        work: Callable[[Report], T],
        *,
        most: int = MOST_ENTRIES,
        words: bool = True,
        progress: OnProgress = lambda done, of, trainee: None,
        several: bool = False,
    ) -> Iterator[T]:
        """
        Give what `work` makes of each report, in the order of the rows; `words` as for
        `report.mark`.

        With `several` a large class is marked by several processes: `work` is then a function of
        a module, what it makes can be handed over, and the catalogue is the course's own.
        """
        jobs = [self._job(row, most, words=words) for row in self.rows.values()]
        one = processes.Work(_mark_with, work)
        apart = several and self.catalogue is BANK
        yield from self._gone_through(processes.each(one, jobs, apart=apart), progress)

    def files_beside(self) -> list[FileLine]:
        """Return what each file was that is no sheet."""
        return file_lines.of_others(self._beside)

    def _job(self, row: Row, most: int, *, words: bool) -> "_Job":
        own = None if self.catalogue is BANK else self.catalogue
        return _Job(row, self.folder, own, most, words, self.changed.of(row.name))

    def _gone_through(self, marked: Iterator[Marked[T]], progress: OnProgress) -> Iterator[T]:
        traces: list[Trace] = []
        reported: list[list[Trouble]] = []
        for done, row in enumerate(self.rows):
            progress(done, len(self.rows), row)
            one = next(marked)
            traces.append(one.trace)
            reported.append(one.troubles)
            self._heard(one.troubles, one.left)
            yield one.made
        every = traces if self.only is None else self._with_the_others(traces)
        self.findings = auditing.of_class(every, self.changed, self._closings, self._found.asked)
        closing_lines = auditing.hands_in(every)
        for row, trace, troubles in zip(self.rows, traces, reported, strict=True):
            self.files += file_lines.of_sheets(row, trace.sheets, troubles, closing=closing_lines)
        self.files += self.files_beside()

    def _with_the_others(self, own: list[Trace]) -> list[Trace]:
        """Return the traces of a class of which one is marked: of the others what they share."""
        traces = []
        marks = set().union(*(trace.prints for trace in own))
        by_row = {trace.row: trace for trace in own}
        for name, row in self._found.rows.items():
            trace = by_row.get(name) or Trace(name).glance(row.sources, self.folder, self.catalogue)
            if name not in by_row and len(marks & trace.prints.keys()) > 1:
                trace = _mark(self._job(row, 0, words=False), _itself).trace
            traces.append(trace)
        return traces

    def _heard(self, troubles: list[Trouble], left: int, *, beside: bool = False) -> None:
        self.troubles += troubles
        self.left += left
        self._beside += troubles if beside else []


@dataclass(frozen=True)
class _Job:
    """A row to be marked, as it is handed to another process; no catalogue means the course's."""

    row: Row
    folder: Path
    catalogue: Bank | None
    most: int
    words: bool
    changed: dict[str, ChangedMark]


def _mark_with(job: _Job, work: Callable[[Report], T]) -> Marked[T]:
    return _mark(job, work)


def _mark(job: _Job, work: Callable[[Report], T], on_event: OnEvent | None = None) -> Marked[T]:
    """Mark one row and make of its report what is wanted."""
    catalogue, trace = job.catalogue or BANK, Trace(job.row.name)

    def hear(event: Event, attempt: Attempt | None) -> None:
        trace.hear(catalogue, event, attempt)
        if on_event:
            on_event(job.row.name, event, attempt)

    one = report.mark(
        job.row.person,
        job.row.sources,
        row=job.row.name,
        folder=job.folder,
        catalogue=catalogue,
        most=job.most,
        words=job.words,
        changed=job.changed,
        on_event=hear,
    )
    trace.end(one)
    auditing.of_person(trace)
    return Marked(work(one), trace, one.troubles, one.left)


def _itself(one: Report) -> Report:
    return one
