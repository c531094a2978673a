"""
What a page shows in words: pieces of HTML, each made by a template in which everything is escaped.

A widget's HTML is run by the browser as it stands. So the course's pages hold no widget for HTML
but `HtmlPiece`, which takes a plain text for a text, whatever somebody typed into it.
"""

import weakref
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

import ipywidgets as widgets
from markupsafe import Markup, escape
from traitlets import validate

from exercises.pages import pages
from exercises.sheets import session

TEMPLATES = tuple(sorted(Path(__file__).parents[1].glob("*/templates")))  # of every room


def piece(template: str, name: str, *view: Any) -> Markup:
    """Return what the macro of that name, in a room's template, makes of `view`."""
    return pages.piece(template, name, *view, beside=TEMPLATES)


class Follower(Protocol):
    """What shows numbers, and writes them anew when the decimal sign is another."""

    def follow_sign(self) -> None:
        """Write the numbers in the decimal sign as it is chosen now."""


FOLLOWERS: "weakref.WeakSet[Follower]" = weakref.WeakSet()  # all that this page shows


def sign() -> str:
    """Return the decimal sign in which the page is written: a point until one is chosen."""
    return _held[-1] if _held else session.open().decimal or "."


_held: list[str] = []


@contextmanager
def sign_held() -> Iterator[None]:
    """
    Read the decimal sign once for all that is written within.

    It stands in a file, and a figure asks for it with each number it shows.
    """
    _held.append(sign())
    try:
        yield
    finally:
        _held.pop()


def follow_sign() -> None:
    """Write what this page shows in the decimal sign that is chosen now."""
    for one in list(FOLLOWERS):
        one.follow_sign()


class HtmlPiece(widgets.HTML):
    """
    A piece of the page, in the decimal sign of whoever is signed in.

    >>> HtmlPiece("<b>").value, HtmlPiece(pages.stressed("**at sea**")).value
    (Markup('&lt;b&gt;'), Markup('<b>at sea</b>'))
    """

    source = Markup()

    def __init__(self, value: str = "", **more: Any) -> None:
        super().__init__(value, **more)
        FOLLOWERS.add(self)

    @validate("value")
    def _as_text(self, proposal: Any) -> Markup:
        """Escape whatever did not come from a template; write its numbers in the reader's sign."""
        self.source = escape(proposal.value)
        return pages.in_sign(self.source, self.decimal())

    def decimal(self) -> str:
        """Return the decimal sign in which it is written."""
        return sign()

    def follow_sign(self) -> None:
        """Write it anew."""
        self.value = self.source


class PieceAboutOthers(HtmlPiece):
    """A piece that reports on others: each one's numbers stand in that one's decimal sign."""

    def decimal(self) -> str:
        """Return the sign that leaves everything as it stands."""
        return "."
