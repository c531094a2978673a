"""
What a page shows in words: pieces of HTML, each made by a template in which everything is escaped.

A widget's HTML is run by the browser as it stands. So the course's pages hold no widget for HTML
but `HtmlPiece`, which takes a plain text for a text, whatever somebody typed into it.
"""

from pathlib import Path
from typing import Any

import ipywidgets as widgets
from markupsafe import Markup, escape
from traitlets import validate

from exercises.pages import pages

TEMPLATES = tuple(sorted(Path(__file__).parents[1].glob("*/templates")))  # of every room


def piece(template: str, name: str, *view: Any) -> Markup:
    """Return what the macro of that name, in a room's template, makes of `view`."""
    return pages.piece(template, name, *view, beside=TEMPLATES)


class HtmlPiece(widgets.HTML):
    """
    A piece of the page.

    >>> HtmlPiece("<b>").value, HtmlPiece(pages.stressed("**at sea**")).value
    (Markup('&lt;b&gt;'), Markup('<b>at sea</b>'))
    """

    @validate("value")
    def _as_text(self, proposal: Any) -> Markup:
        """Escape whatever did not come from a template."""
        return escape(proposal.value)
