"""
The small widgets that every page is made of, when a page may act, and how what goes wrong is seen.
"""

import asyncio
import contextlib
from collections.abc import Callable
from typing import TypeVar

import ipywidgets as widgets
from markupsafe import Markup, escape

from exercises.pages.pages import stressed
from exercises.sheets import session
from lessons.widgets.pieces import HtmlPiece, piece

SETTLE = 0.2  # seconds in which the last keystrokes, sent behind Enter or the click, arrive
SCREENS = {"laptop": "Large type for the wall", "wall": "Type for the laptop"}
"""What the button for the type says, by the screen that is chosen."""
Made = TypeVar("Made")
_acting: set[asyncio.Task[None]] = set()

# Pieces of a page -----------------------------------------------------------------------


def text(name: str, words: str = "", kind: type[HtmlPiece] = HtmlPiece) -> HtmlPiece:
    """Return a piece of the page, known to the style sheet by its name."""
    widget = kind(words)
    widget.add_class(f"gk-{name}")
    return widget


def worked(words: str) -> HtmlPiece:
    """Return what a lesson works once at the trainee's site, **what counts** between two stars."""
    return text("worked", stressed(words))


def row(name: str, *children: widgets.Widget) -> widgets.HBox:
    """Return widgets beside each other."""
    beside = widgets.HBox(children)
    beside.add_class(f"gk-{name}")
    return beside


def button(
    name: str, label: str, act: Callable[[widgets.Button], None], kind: str = "button"
) -> widgets.Button:
    """Return a button; `act` is called with it when it is pressed."""
    pressed = widgets.Button(description=label, layout={"width": "auto", "height": "auto"})
    pressed.add_class(f"gk-{kind}")
    pressed.add_class(f"gk-{name}")
    pressed.on_click(act)
    return pressed


def reporting_button(
    name: str, label: str, message: HtmlPiece, act: Callable[[], None]
) -> widgets.Button:
    """Return a button that acts once the last keystrokes are in; `message` says what went wrong."""
    return button(name, label, lambda _: soon(lambda: safely(message, act)))


def dressed(widget: widgets.DOMWidget, name: str, on: bool) -> None:
    """Give a widget a class, or take it away."""
    (widget.add_class if on else widget.remove_class)(name)


class Screen(widgets.HBox):
    """
    The one button for large type, on a page without figures.

    Drive it without a browser: ``panel.screen.turn()``.
    """

    def __init__(self, page):
        self._page = page
        self.button = button("screen", "", lambda _: self.turn(), kind="small-button")
        super().__init__([self.button])
        self.add_class("gk-screen-row")
        self.fit()

    def turn(self):
        """Change between laptop and wall, for this page and those opened next."""
        screen = "laptop" if self.screen == "wall" else "wall"
        with contextlib.suppress(OSError):  # not kept, as the page says; it is followed here
            session.choose_screen(screen)
        self.fit(screen)

    def fit(self, screen=None):
        """Show the page for the screen that is chosen."""
        settings = session.open()
        self.screen = screen or settings.screen
        self.button.description = SCREENS[self.screen]
        dressed(self._page, "gk-wall", self.screen == "wall")
        dressed(self._page, "gk-trainer", settings.trainer)


# A page is changed only where it has to be ----------------------------------------------


def put(widget: HtmlPiece, words: str) -> None:
    """Give a widget its text; where it has it already the page is left alone."""
    if widget.value != escape(words):
        widget.value = words


def place(box: widgets.VBox, children: list[widgets.Widget]) -> None:
    """Give a box its children; where it has them already the page is left alone."""
    if tuple(box.children) != tuple(children):
        box.children = tuple(children)


def offer(list_of: widgets.Dropdown, options: list[tuple[str, str]]) -> None:
    """Give a list its options; what is chosen stays chosen where it can."""
    if tuple(list_of.options) != tuple(options):
        chosen, values = list_of.value, [value for _, value in options]
        list_of.options = options
        if values:
            list_of.value = chosen if chosen in values else values[0]


# When a page acts, and what goes wrong ---------------------------------------------------


def soon(act: Callable[[], None]) -> None:
    """
    Act once the last keystrokes are in.

    The page sends Enter or a click at once, and may still hold back the text typed just before
    it; acting at once would mark half a number, or sign in under half a code.
    """
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:  # no page: driven by a test
        act()
    else:
        loop.call_later(SETTLE, act)


class Settling:
    """Acts once nothing has begun anew for some seconds; at once where no page is there."""

    def __init__(self, seconds: float, act: Callable[[], None]) -> None:
        self._seconds, self._act = seconds, act
        self._timer: asyncio.TimerHandle | None = None

    def begin(self) -> None:
        """Begin, or begin anew."""
        if self._timer:
            self._timer.cancel()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:  # no page: driven by a test
            self._act()
        else:
            self._timer = loop.call_later(self._seconds, self._act)


def why(error: Exception) -> str:
    """Return what went wrong in one sentence."""
    if isinstance(error, ValueError):  # said by whoever raised it, in one sentence
        return str(error)
    if isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        return f"{where}{error.strerror or error}."
    return f"This did not work ({type(error).__name__}: {error}). Refresh, or run the page again."


def alarmed(words: str) -> Markup:
    """Return words as the page shows what must not be overlooked."""
    return piece("box.html", "alarm", words)


def safely(message: HtmlPiece, act: Callable[[], None]) -> None:
    """Act; what goes wrong is said in the page, where it is seen."""
    try:
        act()
    except Exception as error:
        message.value = alarmed(why(error))


def aside(message: HtmlPiece, act: Callable[[], Made], then: Callable[[Made], None]) -> None:
    """Act in a thread, so that the page stays alive, then report; at once where none is there."""
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        then(act())
        return

    async def acting() -> None:
        try:
            then(await asyncio.to_thread(act))
        except Exception as error:
            message.value = alarmed(why(error))

    _acting.add(task := loop.create_task(acting()))  # a task that nobody holds may vanish
    task.add_done_callback(_acting.discard)
