"""A trainee's code looked for in a text: as a word, because the time T07:32 is nobody's code."""

import re


def named(code, text):
    """Return whether a text, or bytes, names a code as a word of its own."""
    text = text.decode("utf-8", errors="replace") if isinstance(text, bytes) else text
    return re.search(rf"(?<![^\W_]){code}(?![^\W_])", text) is not None
