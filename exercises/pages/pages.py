"""The pages of the course: from a template, what was typed made harmless, written whole or not."""

import functools
import json
import re
import unicodedata
from collections.abc import Callable, Hashable, Iterable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

import jinja2
from markupsafe import Markup, escape

from exercises.pages import formulas
from exercises.question import wording
from exercises.sheets import disk, private

TRAINING = (
    "This is training. On a job the client’s parameters, the national authority, company "
    "procedure and the surveyor in charge decide."
)
TEMPLATES = Path(__file__).with_name("templates")
SEPARATORS = {",": ",", ";": ";", "tab": "\t", "\t": "\t"}  # of the cells of a table
DECIMALS = {";": ","}  # where cells are parted by semicolons, numbers have commas
LONGEST_SENTENCE = 700  # characters of what is said of an answer
LONGEST_SHOWN = 240  # characters of what was typed; the sheet keeps all of it
VISIBLE = {"\n": "⏎", "\r": "", "\t": "⇥"}
# A cell that begins like this is run by a spreadsheet; a cell may also begin where a
# spreadsheet of another country splits the line.
RUNS = re.compile(r"(^|[,;\t|\"])(\s*)([=+\-@\uff0b\uff0d\uff1d\uff20])")


def render(template: str, **view: Any) -> Markup:
    """Return a page of the templates folder, everything in it escaped."""
    return Markup("".join(pieces(template, **view)))  # escaped in the templates


def pieces(template: str, **view: Any) -> Iterator[str]:
    """Give such a page piece by piece, so that a long one never lies in memory whole."""
    whole = {"made": today(), "training": TRAINING, **view}
    return environment().get_template(template).generate(whole)


def again(file: IO[str]) -> Iterator[Markup]:
    """Give pages that were written into a file, to stand within another page."""
    while part := file.read(1 << 16):
        yield Markup(part)  # escaped when it was written


def piece(template: str, name: str, *view: Any, beside: tuple[Path, ...] = ()) -> Markup:
    """Return a piece of a page: what the macro of that name makes of `view`, all of it escaped."""
    return Markup(_macro(template, name, beside)(*view))  # escaped: it comes from a template


@functools.cache  # a class's register asks for some of them many thousand times
def _macro(template: str, name: str, beside: tuple[Path, ...]) -> Callable[..., str]:
    macro: Callable[..., str] = getattr(environment(*beside).get_template(template).module, name)
    return macro


@functools.lru_cache(maxsize=4096)  # a large class has many thousand marks, but few different ones
def mark(cell: Hashable, kind: str = "") -> Markup:
    """Return a mark of a table: shape, best, first."""
    return piece("marks.html", "mark", cell, kind)


def stressed(text: str) -> Markup:
    r"""
    Return a text as HTML in which **this** is bold and *this* is stressed.

    >>> stressed("2 km **<west>**")
    Markup('2\xa0km <b>&lt;west&gt;</b>')
    """
    if not {"*", "$"} & set(text):
        return escape(wording.joined(wording.minus(text)))
    pieces = [
        (kind, words if kind == "m" else wording.joined(wording.minus(words)))
        for kind, words in wording.runs(text)
    ]
    return piece("words.html", "runs", pieces)


def formula(tex: str) -> Markup:
    """Return a formula as MathML; what is none of ours, a dollar somebody typed, stays a text."""
    return formulas.mathml(tex) if formulas.known(tex) else escape(f"${tex}$")


def in_sign(html: str, decimal: str | None) -> Markup:
    """
    Return a piece of a page with its numbers in a decimal sign; a text is escaped first.

    >>> in_sign(stressed("**12.5** & more"), ",")
    Markup('<b>12,5</b> &amp; more')
    """
    return Markup(wording.in_sign(escape(html), decimal))  # escaped


@functools.cache  # templates are compiled once: a class has two pages for each trainee
def environment(*beside: Path) -> jinja2.Environment:
    """Return the pages' templates and those of other folders: everything in them is escaped."""
    page = jinja2.Environment(
        loader=jinja2.FileSystemLoader([*beside, TEMPLATES], encoding="utf-8"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    page.filters["shown"] = shown
    page.filters["mark"] = mark
    page.filters["shortened"] = shortened
    page.filters["lower_first"] = lambda text: text[:1].lower() + text[1:]
    page.filters["signed"] = lambda value: wording.number(value, 2, signed=True)
    page.filters["stressed"] = stressed
    page.filters["formula"] = formula
    page.filters["tojson_text"] = _json_text
    page.filters["in_sign"] = in_sign
    return page


def _json_text(held: Any) -> str:
    """Return facts as a text of JSON; the template escapes it as any other."""
    return json.dumps(held, sort_keys=True, ensure_ascii=True)


def read_back(attribute: str) -> str:
    """Return the text that a template escaped in an attribute of a page of ours."""
    return Markup(attribute).unescape()


def shown(text: str, limit: int = LONGEST_SHOWN) -> str:
    r"""
    Return what somebody typed with every control and direction sign made visible.

    >>> shown("a\u202eb\x07\nc")
    'a[U+202E]b[U+0007]⏎c'
    """
    if len(text) <= limit and text.isascii() and text.isprintable():
        return text  # as most are: a large class has many thousand
    seen = "".join(
        VISIBLE.get(c)
        or ("" if c == "\r" else f"[U+{ord(c):04X}]" if unicodedata.category(c)[0] == "C" else c)
        for c in text[: limit + 1]
    )
    return seen if len(text) <= limit else f"{seen[:limit]}… ({len(text)} characters)"


def shortened(text: str, limit: int = LONGEST_SENTENCE) -> str:
    r"""
    Return a sentence as `shown`, cut before a formula or a stress that would not be whole.

    >>> shortened("The sum: $a + b$ and $c + d$ follow.", 27)
    'The sum: $a + b$ and …'
    >>> shortened("Near: **carry more** figures.", 12), shortened("Near.")
    ('Near: …', 'Near.')
    """
    if len(text) <= limit:
        return shown(text, limit)
    kept = text[:limit]
    for sign in ("$", "**"):
        if kept.count(sign) % 2:
            kept = kept[: kept.rindex(sign)]
    return shown(kept, limit) + "…"


def harmless(text: str) -> str:
    """
    Return a cell that no spreadsheet runs.

    >>> harmless("=1+1"), harmless("a;=1"), harmless("3 - 1")
    ("'=1+1", "a;'=1", '3 - 1')
    """
    return RUNS.sub(r"\1\2'\3", shown(text)) if text else ""  # most cells are empty


def cell(number: str, separator: str) -> str:
    """
    Return a number as a cell of a table, in the decimal sign that goes with its separator.

    >>> cell("0.25", ";"), cell("0.25", ",")
    ('0,25', '0.25')
    """
    return number.replace(".", DECIMALS.get(separator, "."))


def today() -> str:
    """Return the date as the pages print it, in UTC."""
    now = datetime.now(UTC)
    return f"{now.day} {now:%b %Y}"


def write(path: Path, text: str | Iterable[str]) -> Path:
    """
    Write a page whole or not at all; a long one may come in pieces.

    Raises
    ------
    OSError
        If the folder cannot be made or the file cannot be written.
    """
    path = Path(path)
    if path.is_dir():
        raise IsADirectoryError(21, "this is a folder; name a file, such as page.html", str(path))
    private.make_folder(path.parent)
    pieces = [text] if isinstance(text, str) else text
    return disk.write(path, pieces, mode=private.mode(path))
