"""Markdown as the pages print it: HTML in it is shown, not obeyed; nothing to follow or to load."""

import mistune
from markupsafe import Markup, escape

from exercises.pages import formulas


class _Printed(mistune.HTMLRenderer):
    """Nothing to follow and nothing to load: a link and a picture are their words."""

    def link(self, text: str, url: str, title: str | None = None) -> str:
        return text

    def inline_math(self, text: str) -> str:
        return _formula(text, "inline")

    def block_math(self, text: str) -> str:
        return self.paragraph(_formula(text.strip(), "block"))

    def image(self, text: str, url: str, title: str | None = None) -> str:
        return text


def _formula(tex: str, display: str) -> str:
    return formulas.mathml(tex, display) if formulas.known(tex) else escape(tex)


def to_html(text: str) -> Markup:
    """
    Return the HTML of notes; whatever is HTML in them already is shown, not obeyed.

    >>> to_html('**Ask** <b>[here](x)</b>').strip()
    Markup('<p><strong>Ask</strong> &lt;b&gt;here&lt;/b&gt;</p>')
    """
    renderer = mistune.create_markdown(renderer=_Printed(escape=True), plugins=["table", "math"])
    return Markup(renderer(text))
