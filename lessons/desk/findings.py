"""What has to be asked about before records are signed, at the desk: read it, ask, close it.

Its widgets only. Closing appends a line with a reason and a code to closed-findings.jsonl, as
`close-finding` does.
"""

from typing import Protocol

import ipywidgets as widgets

from exercises.audit import closing
from exercises.audit.findings import Finding
from exercises.instructor.watching import Watch
from lessons.desk.panel import Panel
from lessons.widgets.pieces import HtmlPiece, PieceAboutOthers, piece
from lessons.widgets.small import alarmed, place, put, reporting_button, row, text

MOST = 60  # findings with a panel each; a class with more is read in the register
PEOPLE = (("choose", ""), ("one person", "one"), ("two people", "two"))


class OfDesk(Protocol):
    """What this view needs of the desk."""

    watch: Watch | None
    by: str
    status: HtmlPiece

    def refresh(self) -> None:
        """Look at the folder now."""

    def signed(self, by: str) -> None:
        """Keep the code of whoever closed something."""


class FindingsView(widgets.VBox):
    """
    The findings of the class that is open, the open ones first.

    Drive it without a browser: ``view.panels["F2K7QX"].reason.value = …``, ``….close_finding()``.
    """

    def __init__(self, desk: OfDesk) -> None:
        self.desk = desk
        self.panels: dict[str, FindingPanel] = {}
        self.head, self.message = text("note"), text("said")
        super().__init__([text("style", piece("desk_findings.html", "style")), self.message])
        self.add_class("gk-findings")

    def begin(self) -> None:
        """Forget the class before."""
        self.panels, self.message.value = {}, ""

    @property
    def still_open(self) -> int:
        """Return how many findings are open."""
        watch = self.desk.watch
        return sum(one.open for one in watch.findings) if watch else 0

    def fill(self) -> None:
        """Bring the list up to date; what is open stays open."""
        watch = self.desk.watch
        if watch is None:
            return
        found = watch.findings
        put(self.head, piece("desk_findings.html", "head", self.still_open, len(found), MOST))
        for one in found[:MOST]:
            panel = self.panels.get(one.id)
            if panel is None:
                panel = self.panels[one.id] = FindingPanel(self, one)
            panel.fill(one)
        self.panels = {one.id: self.panels[one.id] for one in found[:MOST]}
        style = self.children[0]
        place(self, [style, self.head, self.message, *self.panels.values()])


class FindingPanel(Panel):
    """One finding: whose and what; opened, its lines, and the form that closes it."""

    def __init__(self, view: FindingsView, finding: Finding) -> None:
        whose = finding.trainee or "the folder"
        super().__init__(view.desk.status, whose, f"{finding.title}, {whose}")
        self.view, self.finding = view, finding
        self.text, self.message = text("text", kind=PieceAboutOthers), text("said")
        self.people = widgets.Dropdown(options=PEOPLE, tooltip="how many people use the code")
        self.reason = widgets.Text(placeholder="what you asked and heard", tooltip="reason")
        self.by = widgets.Text(placeholder="MK", tooltip="your code")
        for name in ("reason", "by"):
            getattr(self, name).add_class(f"gk-in-{name}")
        close = reporting_button("close", "Close the finding", self.message, self.close_finding)
        asked = [text("label", "it is"), self.people] if finding.kind == "identity" else []
        self.form = widgets.VBox([
            row("line", *asked, text("label", "reason"), self.reason,
                text("label", "your code"), self.by, close),
            self.message,
        ])  # fmt: skip
        self.form.add_class("gk-mark-form")
        place(self.details, [self.text, self.form])

    def fill(self, finding: Finding) -> None:
        """Fill the line, and the whole where it is open."""
        self.finding = finding
        put(self.line, piece("desk_findings.html", "line", finding))
        self.form.layout.display = None if finding.open else "none"
        if self.is_open:
            self.show()

    def show(self) -> None:
        """Show what stands in the files, and where."""
        put(self.text, piece("desk_findings.html", "whole", self.finding))
        self.by.value = self.by.value or self.view.desk.by

    def close_finding(self) -> None:
        """Close it with the reason and the code typed, and say so above the list."""
        watch, desk = self.view.desk.watch, self.view.desk
        if watch is None:
            return
        try:
            watch.close(self.finding, self.reason.value, self.by.value, self.people.value)
        except ValueError as error:
            self.message.value = alarmed(str(error))
            if self.finding.id not in {one.id for one in watch.findings}:
                self.view.message.value = alarmed(str(error))  # its panel goes with it
            self.view.fill()
            return
        self.message.value = self.reason.value = ""
        self.view.message.value = f"{self.finding.id} is closed. Kept in {closing.NAME}."
        desk.signed(self.by.value)
        desk.refresh()
