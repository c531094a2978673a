"""The trainer's printed pages: one file each, no script, written whole or not at all."""

import functools
import os
import tempfile
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup

from exercises import wording
from exercises.register import shown

TRAINING = (
    "This is training. On a job the client’s parameters, the national authority, company "
    "procedure and the surveyor in charge decide."
)


def render(template: str, **view: Any) -> str:
    """Return a page of the templates folder, everything in it escaped."""
    page = _environment().get_template(template)
    return page.render(made=today(), training=TRAINING, **view)


@functools.cache  # templates are compiled once: a class has two pages for each trainee
def _environment() -> jinja2.Environment:
    page = jinja2.Environment(
        loader=jinja2.FileSystemLoader(Path(__file__).with_name("templates"), encoding="utf-8"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    page.filters["shown"] = shown
    page.filters["stressed"] = lambda text: Markup(wording.to_html(text))
    return page


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
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=path.stem + "-", suffix=".tmp")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as out:
            out.writelines([text] if isinstance(text, str) else text)
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        os.unlink(temporary)
        raise
    return path
