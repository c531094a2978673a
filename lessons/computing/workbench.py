"""
The workbench: the course's computations with a form, for exercises that allow course tools.

Results stand as text to read and copy. Nothing here writes to an answer sheet.
"""

import re

import ipywidgets as widgets

from exercises.question import reading, wording
from exercises.sheets import session
from lessons.computing.computations import CHOOSE, COMPUTATIONS, TOPICS, InputField
from lessons.widgets import small
from lessons.widgets.pieces import HtmlPiece, piece, sign
from lessons.widgets.small import row, soon, text


class Workbench(widgets.VBox):
    """
    A list of computations, a form for the chosen one, its results as a table.

    Drive it without a browser: ``bench.choose("Geodesic between two points")``, then
    ``bench.fields["lat1"].value = "54 N"``, ``bench.compute()``.
    """

    def __init__(self):
        self.fields = {}
        first = next(iter(TOPICS))
        self.topic = widgets.Dropdown(options=list(TOPICS), value=first, tooltip="topic")
        self.computation = widgets.Dropdown(options=TOPICS[first], tooltip="computation")
        self.form = widgets.VBox()
        self.results = HtmlPiece()
        self.button = widgets.Button(description="Compute", layout={"width": "auto"})
        for widget, name in (
            (self.topic, "topic"),
            (self.computation, "computation"),
            (self.form, "form"),
            (self.results, "results"),
            (self.button, "compute"),
        ):
            widget.add_class(f"gk-bench-{name}")
        self.button.add_class("gk-button")
        self.button.add_class("gk-check")
        chooser = widgets.HBox([self.topic, self.computation])
        chooser.add_class("gk-bench-row")
        self.screen = small.Screen(self)
        super().__init__([self.screen, chooser, self.form, self.button, self.results])
        self.add_class("gk-box")
        self.add_class("gk-bench")
        self.topic.observe(lambda _: self._open_topic(), "value")
        self.computation.observe(lambda _: self._open_form(), "value")
        self.button.on_click(lambda _: soon(self.compute))
        self._open_form()

    def choose(self, title):
        """Open the form of the computation of that title."""
        self.topic.value = COMPUTATIONS[title].topic
        self.computation.value = title

    def _open_topic(self):
        self.computation.options = TOPICS[self.topic.value]
        self._open_form()

    def _open_form(self):
        """Lay out the fields; what was typed under the same name before is carried over."""
        before = {name: widget.value for name, widget in self.fields.items()}
        self.results.value = ""
        if self.computation.value is None:
            return
        self.fields = {}
        rows = []
        for field in COMPUTATIONS[self.computation.value].fields:
            widget = _entry(field, before.get(field.name))
            if isinstance(widget, widgets.Text):
                widget.on_msg(self._submitted)
            self.fields[field.name] = widget
            rows.append(row("entry", text("label", field.label), widget, text("unit", field.unit)))
        self.form.children = rows

    def _submitted(self, _, content, __):
        if content.get("event") == "submit":
            soon(self.compute)

    def compute(self):
        """Compute, or say in one sentence what is missing or out of range."""
        computation = COMPUTATIONS[self.computation.value]
        try:
            decimal = session.open().decimal
            values = {
                field.name: _read(field, self.fields[field.name].value, decimal)
                for field in computation.fields
            }
            rows = computation.compute(**values)
        except ValueError as error:
            self.results.value = piece("box.html", "notice", "unread", str(error), "alert")
            return
        self.results.value = piece("bench.html", "results", rows, computation.note)


def _entry(field, before):
    if field.choices:
        value = before if before in field.choices else field.choices[0]
        return widgets.Dropdown(options=field.choices, value=value, tooltip=field.label)
    kind = widgets.Textarea if field.kind == "lines" else widgets.Text
    given = wording.in_sign(field.value, sign())
    return kind(value=given if before is None else before, tooltip=field.label)


def _read(field: InputField, text, decimal):
    """Return the value of one field, naming the field where it cannot be read."""
    try:
        if text == CHOOSE:
            raise ValueError("choose one; the source of the parameters names it.")
        if field.kind == "lines":
            return _lines(text, decimal)
        if field.choices or field.kind == "text":
            return text
        if field.kind == "three":
            return _three(field, text, decimal)
        return reading.read(reading.plain_field(field.label, field.unit, field.kind), text, decimal)
    except ValueError as error:
        raise ValueError(f"{field.label}: {error}") from None


def _three(field, text, decimal):
    """Return the three numbers of an entry, with spaces or semicolons between them."""
    numbers = text.split(";") if text.count(";") == 2 else text.replace(";", " ").split()
    if len(numbers) != 3:
        raise ValueError(
            f"{wording.quoted(text)} has {len(numbers)} numbers; three are needed, with spaces "
            "between and none inside a number."
        )
    each = reading.plain_field(field.label, field.unit)
    return tuple(reading.read(each, number, decimal) for number in numbers)


def _lines(text, decimal):
    """Return lines of numbers as the computations read them: with the point, whoever types."""
    lines = (line.replace(";", " ").split() for line in text.splitlines())
    return "\n".join(" ".join(_with_point(part, decimal) for part in line) for line in lines)


def _with_point(part, decimal):
    if not re.fullmatch(r"[+\-−–]?[0-9.,]*[.,][0-9.,]*", part):  # a word, or a whole number
        return part
    return repr(reading.read(reading.plain_field(""), part, decimal))
