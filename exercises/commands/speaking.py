"""How the instructor's commands speak: plainly, on the right stream, with a status."""

import sys
import textwrap
import unicodedata
from collections.abc import Iterable

from exercises.audit.file_lines import FileLine
from exercises.question import wording

ALL_READ, SOMETHING_LEFT, NOTHING_DONE = 0, 1, 2


def plain(text: str) -> str:
    r"""
    Return a text that a terminal only shows: a file's name may hold what would steer it.

    >>> plain("answers-T07 \x1b[2J.jsonl")
    'answers-T07 [U+001B][2J.jsonl'
    """
    return "".join(
        c if c == "\n" or unicodedata.category(c)[0] != "C" else f"[U+{ord(c):04X}]" for c in text
    )


def say(text: str) -> None:
    """Say one thing on the error stream."""
    print(plain(text), file=sys.stderr)


def tell(files: Iterable[FileLine], *, every: bool = False) -> None:
    """Say in a line each what of the files was not read or not believed; `every`: and the rest."""
    for one in files:
        if one.wrong:
            say(str(one))
        elif every:
            print(plain(str(one)))


class ProgressLine:
    """One line that is rewritten on a terminal; nothing elsewhere."""

    def __init__(self) -> None:
        self._shown = 0
        self._terminal = sys.stderr.isatty()

    def __call__(self, text: str) -> None:
        """Show the text in the place of the one before."""
        if self._terminal:
            sys.stderr.write("\r" + text.ljust(self._shown))
            sys.stderr.flush()
            self._shown = len(text)

    def marking(self, done: int, of: int, who: str) -> None:
        """Show whose sheets are being marked."""
        self(f"marking {done + 1} of {of}: {who}")

    def clear(self) -> None:
        """Take the line away, before anything else is said."""
        if self._shown:
            self("")
            sys.stderr.write("\r")
            self._shown = 0


def count(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun: 1 sheet, 2 sheets."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def wrapped(text: str, indent: str = "") -> list[str]:
    """Return a text without its marks, in lines of a terminal."""
    plain = wording.to_text(text)
    return textwrap.wrap(
        plain, 88, initial_indent=indent, subsequent_indent=indent, break_long_words=False
    )


def columns(head: str, rows: list[tuple[str, str]]) -> list[str]:
    """Return a headed table of two columns, nothing where there are no rows."""
    if not rows:
        return []
    width = max(len(label) for label, _ in rows)
    return [head, *(f"  {label:<{width}}  {text}" for label, text in rows), ""]
