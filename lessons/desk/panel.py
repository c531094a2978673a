"""A line of the desk that opens: a button, what it says at a glance, and below it the whole."""

import ipywidgets as widgets

from lessons.widgets.pieces import HtmlPiece
from lessons.widgets.small import row, safely, text


class Panel(widgets.VBox):
    """A line that opens: a button, what it says at a glance, and below it the whole."""

    def __init__(self, status: HtmlPiece, words: str, tooltip: str = "") -> None:
        self.button = widgets.ToggleButton(value=False, description=words, tooltip=tooltip)
        self.button.add_class("gk-open")
        self.button.observe(lambda _: safely(status, self._opened), "value")
        self.line = text("glance")
        self.details = widgets.VBox()
        self.details.add_class("gk-details")
        self.details.layout.display = "none"
        super().__init__([row("member-line", self.button, self.line), self.details])
        self.add_class("gk-member")

    @property
    def is_open(self) -> bool:
        """Whether the whole is shown."""
        return bool(self.button.value)

    def _opened(self) -> None:
        self.details.layout.display = None if self.is_open else "none"
        if self.is_open:
            self.show()

    def show(self) -> None:
        """Fill the whole."""
