"""The small widgets that every page of the course is made of, and when a page may act."""

import asyncio
from collections.abc import Callable

import ipywidgets as widgets

SETTLE = 0.2  # seconds in which the last keystrokes, sent behind Enter or the click, arrive


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


def text(name: str, words: str = "") -> widgets.HTML:
    """Return a piece of the page, known to the style sheet by its name."""
    widget = widgets.HTML(words)
    widget.add_class(f"gk-{name}")
    return widget


def row(name: str, *children: widgets.Widget) -> widgets.HBox:
    """Return widgets beside each other."""
    beside = widgets.HBox(children)
    beside.add_class(f"gk-{name}")
    return beside
