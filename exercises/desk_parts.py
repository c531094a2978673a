"""The small widgets of the marking desk, and how it acts so that what goes wrong is seen."""

import asyncio
import html
from collections.abc import Callable
from typing import Any, TypeVar

import ipywidgets as widgets

from exercises import pages
from exercises.widget_parts import soon

Made = TypeVar("Made")
_acting: set[asyncio.Task[None]] = set()


def piece(name: str, *view: Any) -> str:
    """Return one piece of the desk's template."""
    return str(getattr(pages.environment().get_template("desk.html").module, name)(*view))


def put(widget: widgets.HTML, words: str) -> None:
    """Give a widget its text; where it has it already the page is left alone."""
    if widget.value != words:
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


def why(error: Exception) -> str:
    """Return what went wrong in one sentence."""
    if isinstance(error, ValueError):  # said by whoever raised it, in one sentence
        return str(error)
    if isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        return f"{where}{error.strerror or error}."
    return f"This did not work ({type(error).__name__}: {error}). Refresh, or run the page again."


def alarmed(words: str) -> str:
    """Return words as the page shows what must not be overlooked."""
    return f'<div class="gk-alarm">{html.escape(pages.shown(words, 400))}</div>'


def safely(told: widgets.HTML, act: Callable[[], None]) -> None:
    """Act; what goes wrong is said in the page, where it is seen."""
    try:
        act()
    except Exception as error:
        told.value = alarmed(why(error))


def aside(told: widgets.HTML, act: Callable[[], Made], then: Callable[[Made], None]) -> None:
    """Act in a thread, so that the page stays alive, then tell; at once where no page is there."""
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        then(act())
        return

    async def acting() -> None:
        try:
            then(await asyncio.to_thread(act))
        except Exception as error:
            told.value = alarmed(why(error))

    _acting.add(task := loop.create_task(acting()))  # a task that nobody holds may vanish
    task.add_done_callback(_acting.discard)


def button(name: str, label: str, told: widgets.HTML, act: Callable[[], None]) -> widgets.Button:
    """Return a button; what goes wrong is said in `told`."""
    made = widgets.Button(description=label, layout={"width": "auto", "height": "auto"})
    made.add_class("gk-button")
    made.add_class(f"gk-{name}")
    made.on_click(lambda _: soon(lambda: safely(told, act)))
    return made
