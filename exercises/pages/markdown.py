"""Markdown as the pages print it: HTML in it is shown, not obeyed; nothing to follow or to load."""

import mistune
from markupsafe import Markup


class _Printed(mistune.HTMLRenderer):
    """Nothing to follow and nothing to load: a link and a picture are their words."""

    def link(self, text: str, url: str, title: str | None = None) -> str:
        return text

    def image(self, text: str, url: str, title: str | None = None) -> str:
        return text


def to_html(text: str) -> Markup:
    """
    Return the HTML of notes; whatever is HTML in them already is shown, not obeyed.

    >>> to_html('**Ask** <b>[here](x)</b>').strip()
    Markup('<p><strong>Ask</strong> &lt;b&gt;here&lt;/b&gt;</p>')
    """
    renderer = mistune.create_markdown(renderer=_Printed(escape=True), plugins=["table"])
    return Markup(renderer(text))
