"""A folder of sheets gone through trainee by trainee, as each output of a class needs it.

Troubles are reported as they are met and what was left unread is counted, the same for the
register, the records and the learning records.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

from exercises.audit import auditing, closing
from exercises.audit.findings import Finding
from exercises.audit.traces import Trace
from exercises.bank import BANK
from exercises.sheets import changed_marks, report
from exercises.sheets.report import MOST_ENTRIES, Attempt, Bank, Event, Report, Trouble

OnTrouble = Callable[[Trouble], None]
OnProgress = Callable[[int, int, str], None]  # done, of how many, trainee: before each trainee
OnEvent = Callable[[str, Event, Attempt | None], None]  # trainee, event, its attempt


class ClassFolder:
    """
    The sheets and the changed marks in a folder.

    Parameters
    ----------
    only : str, optional
        One trainee's code: the others, and what else lies in the folder, are passed over.
    changes : Path, optional
        The file of changed marks; without it changed-marks.jsonl in the folder, where there is one.
    on_trouble : callable
        Called with each trouble as it is met.

    Attributes
    ----------
    troubles, left : list of Trouble, int
        What was reported so far, how many lines and files were left unread.
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
        on_trouble: OnTrouble = lambda trouble: None,
    ) -> None:
        self.folder, self.catalogue, self._on_trouble = Path(folder), catalogue, on_trouble
        self.troubles: list[Trouble] = []
        self.left = 0
        self.findings: list[Finding] = []
        found = report.find(folder)
        self.sheets = {c: paths for c, paths in found.sheets.items() if only in (None, c)}
        self.changed = changed_marks.read(changes or self.folder / changed_marks.NAME)
        if only is None:
            self._heard(found.troubles, found.left)
        if self.sheets:
            self._heard(report.troubles_of(self.changed, found.sheets), self.changed.left)

    def reports(
        self,
        *,
        most: int = MOST_ENTRIES,
        on_event: OnEvent | None = None,
        progress: OnProgress = lambda done, of, trainee: None,
    ) -> Iterator[Report]:
        """Mark one trainee after the other; `most` and `on_event` as for `report.mark`."""
        closed: dict[str, bool] = {}
        traces: list[Trace] = []
        for done, (trainee, paths) in enumerate(self.sheets.items()):
            progress(done, len(self.sheets), trainee)
            trace = Trace(trainee)

            def hear(
                event: Event, attempt: Attempt | None, trace: Trace = trace, who: str = trainee
            ) -> None:
                trace.hear(self.catalogue, event, attempt)
                if on_event:
                    on_event(who, event, attempt)

            one = report.mark(
                trainee,
                paths,
                folder=self.folder,
                catalogue=self.catalogue,
                most=most,
                changed=self.changed.of(trainee),
                on_event=hear,
            )
            traces.append(trace.end(one))
            closed[trainee] = one.closed
            self._heard(one.troubles, one.left)
            yield one
        self._heard(report.without_end(closed), 0)
        closings = closing.read(self.folder)
        self._heard([Trouble(closing.NAME, text) for text in closings.troubles], closings.left)
        self.findings = auditing.of_class(traces, self.changed, closings)

    def _heard(self, troubles: list[Trouble], left: int) -> None:
        self.troubles += troubles
        self.left += left
        for trouble in troubles:
            self._on_trouble(trouble)
