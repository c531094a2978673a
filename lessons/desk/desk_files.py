"""What an instructor takes away from the desk: register, records, typings, learning records.

Its widgets only: each button writes files into the folder of the class, as the commands of
the same names do.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from exercises.instructor import statements
from exercises.instructor.watching import Watch
from exercises.records import papers, record
from exercises.register import register
from lessons.desk.desk_papers import PapersNamed
from lessons.widgets.pieces import piece
from lessons.widgets.small import aside, offer, place, reporting_button, row, text

EVERYBODY = ("everybody", "")
SEPARATORS = (("comma", ","), ("semicolon", ";"), ("tab", "tab"))


class HandingOn(widgets.VBox):
    """The buttons that write the files of a class."""

    def __init__(self, watch: Callable[[], Watch | None]) -> None:
        self._watch = watch
        self.message = text("said")
        self._writing = False
        self.begin()
        self.separator = widgets.Dropdown(options=SEPARATORS, tooltip="between two cells")
        self.who = widgets.Dropdown(options=[EVERYBODY], tooltip="whose record")
        self.passing = widgets.Text(placeholder="70", tooltip="pass mark in per cent")
        self.home = widgets.Text(placeholder=statements.HOME, tooltip="home page of the codes")
        self.sent = widgets.Text(placeholder="file, if any", tooltip="file sent before")
        self.papers = PapersNamed()
        for name in ("passing", "home", "sent"):
            getattr(self, name).add_class(f"gk-in-{name}")
        super().__init__()
        self.add_class("gk-handing-on")
        place(self, [*self._register(), *self._records(), *self._statements(), self.message])

    def _register(self) -> list[widgets.Widget]:
        write = reporting_button("write", "Write the register", self.message, self.write_register)
        return [
            row("line", write, text("label", "cells parted by"), self.separator),
            text("note", "register.html to read and to print; register.csv and statistics.csv for "
                 "a spreadsheet."),
        ]  # fmt: skip

    def _records(self) -> list[widgets.Widget]:
        records = reporting_button("write", "Write the record", self.message, self.write_record)
        typing = reporting_button("write", "Write each typing", self.message, self.write_typing)
        return [
            row("line", records, typing, text("label", "of"), self.who,
                text("label", "pass mark, %"), self.passing),
            text("note", "A record against the elements of the standard, to print and to sign; "
                 "without a pass mark no element is judged. Or all that was typed, beside the "
                 "worked answers."),
            self.papers,
            text("note", "With both folders of a closed paper named, its marks stand on the "
                 "record beside the practice, and count; those of several papers count together. "
                 "A name without a path is looked for in the class's folder."),
        ]  # fmt: skip

    def _statements(self) -> list[widgets.Widget]:
        write = reporting_button(
            "write", "Write the statements", self.message, self.write_statements
        )
        return [
            row("line", write, text("label", "home page"), self.home,
                text("label", "sent before"), self.sent),
            text("note", "statements.json, learning records (xAPI) for another system. Name the "
                 "file that you sent before, and what is no longer true is voided."),
        ]  # fmt: skip

    def begin(self) -> None:
        """Say where files are written; what was said of another class is put away."""
        self.message.value = "The files are written into the folder of the class."

    def fill(self, trainees: list[str]) -> None:
        """Offer the trainees of the class."""
        offer(self.who, [EVERYBODY, *((who, who) for who in trainees)])

    def write_register(self) -> None:
        """Write the register and its tables."""
        separator = self.separator.value

        def make(watch: Watch) -> tuple[list[Path | None], int]:
            made = register.write(
                watch.folder, watch.folder, separator=separator, changes=watch.changes
            )
            return [made.html, made.csv, made.items_csv], made.left

        self._write(make)

    def write_record(self) -> None:
        """Write the record of the trainee chosen, or of everybody."""
        terms = record.Terms(record.rule(self.passing.value.strip() or None))
        self._write_of("record", terms, self._papers(), typing=False)

    def write_typing(self) -> None:
        """Write all that the trainee chosen typed, or everybody."""
        self._write_of("typing", record.Terms(), [], typing=True)

    def _papers(self) -> list[tuple[Path, Path]]:
        """Return where each closed paper was set and what came back; none where none is named."""
        watch = self._watch()
        return self.papers.places(watch.folder) if watch else []

    def _write_of(
        self, kind: str, terms: record.Terms, named: list[tuple[Path, Path]], *, typing: bool
    ) -> None:
        who = self.who.value

        def make(watch: Watch) -> tuple[list[Path | None], int]:
            path = watch.folder / (
                f"{kind}-{who.replace('/', '-')}.html" if who else f"{kind}s.html"
            )
            read = papers.read(named)
            made = record.write(
                watch.folder, path, who or None,
                terms=replace(terms, papers=read), typing=typing, changes=watch.changes,
            )  # fmt: skip
            return [path] if made.codes else [], made.left + len(read.troubles)

        self._write(make)

    def write_statements(self) -> None:
        """Write the statements; relative to the class's folder where another file was sent."""
        at, sent = self.home.value.strip() or statements.HOME, self.sent.value.strip()

        def make(watch: Watch) -> tuple[list[Path | None], int]:
            path = watch.folder / "statements.json"
            before = watch.folder / sent if sent else None
            made = statements.write(watch.folder, path, at=at, sent=before, changes=watch.changes)
            return [path] if made.trainees else [], made.left

        self._write(make)

    def _write(self, make: Callable[[Watch], tuple[list[Path | None], int]]) -> None:
        watch = self._watch()
        if watch is None:
            raise ValueError("Open a class first.")
        if self._writing:
            raise ValueError("The files before are still being written: press again in a moment.")

        def act() -> tuple[list[Path | None], int]:
            try:
                return make(watch)
            finally:
                self._writing = False

        self._writing = True
        self.message.value = "Writing …"
        aside(self.message, act, self._report)

    def _report(self, made: tuple[list[Path | None], int]) -> None:
        paths, left = made
        names = ", ".join(path.name for path in paths if path)
        self.message.value = (
            piece("said.html", "written", names, left)
            if names
            else "There is no answer sheet in the folder: nothing was written."
        )
