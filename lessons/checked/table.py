"""The table at the end of a lesson: published numbers beside geokit's, as plain text."""

import re
import textwrap

from exercises.question.wording import THIN, number
from lessons.checked import (  # noqa: F401 - each registers its computations
    computed,
    ellipsoids,
    levels,
    masses,
    positions,
    projections,
    published,
    transformations,
)

LESSONS = {  # first what a lesson teaches, then what else its figures and exercises compute with
    "surface": (
        *("CV-01", "CV-02", "CV-04"),
        *("RC-03", "RC-05", "AR-01", "EC-01", "EC-02", "GE-01", "DV-07", "MP-15"),
        *("CV-08", "RC-06", "DV-09"),
    ),
    "excess": ("SX-08", "SX-02", "SX-10", "SX-03", "EL-02", "EL-04", "RC-03", "GD-03", "RC-06"),
    "ellipsoid": (
        *("EL-01", "EL-02", "EL-04", "EL-05", "EL-06", "EL-07", "EL-08", "EL-10", "EL-11"),
        *("RC-01", "RC-02", "RC-03", "RC-05", "EC-01", "DV-07", "LA-04", "RC-06", "DV-09"),
    ),
    "ecef": (
        *("EC-01", "EC-02", "EC-03", "EC-04", "EC-06", "EC-07", "EN-01", "EN-02"),
        *("EL-02", "RC-03", "RC-05", "GD-03", "GD-11", "LA-04"),
    ),
    "lines": (
        *("GD-01", "GD-03", "GD-05", "GD-07", "GD-09", "GD-11", "GD-14", "SX-03", "AR-01"),
        *("EL-02", "EL-04", "RC-03", "RC-05", "EC-01", "EC-02", "EN-01", "GD-16"),
    ),
    "geoid": (
        *("GE-01", "GE-02", "GE-04", "GE-06", "GR-01", "GR-02", "GR-04"),
        *("EL-02", "EL-04", "EL-06", "DV-07", "GD-03", "LA-04", "GR-10", "DV-09"),
    ),
    "heights": ("HS-01", "HS-03", "HS-04", "GE-01", "GE-02", "GE-04", "GE-06"),
    "deflection": (
        *("DV-01", "DV-02", "DV-04", "DV-05", "DV-07"),
        *("GE-01", "GE-02", "GE-04", "GE-06", "EL-02", "EL-04", "RC-03", "GD-03"),
        *("DV-09", "DV-10"),
    ),
    "attraction": (
        *("AT-06", "AT-01", "AT-02", "AT-03", "AT-04", "AT-05", "DV-02", "GR-01", "GR-10"),
        *("GE-01", "GE-02", "GE-04", "GE-06", "EL-02", "RC-03", "GD-03", "DV-09", "DV-10"),
    ),
    "datums": (
        *("HT-01", "HT-02", "HT-04", "HT-05", "HT-06", "HT-08"),
        *("EL-02", "EL-10", "EL-11", "RC-03", "EC-01", "EC-02", "EN-01", "GD-11", "GE-01", "PM-03"),
        "GD-16",
    ),
    "motion": (
        *("PM-01", "PM-03", "PM-04", "PM-07", "TD-01", "TD-03", "TD-05", "TD-08"),
        *("EL-01", "EL-02", "RC-03", "EC-06", "GD-03", "GD-16"),
    ),
    "grid": (
        *("MP-05", "MP-07", "MP-08", "MP-18", "MP-09", "MP-15", "MP-01", "MP-04", "MP-11", "MP-12"),
        *("EL-02", "RC-03", "RC-05", "GD-03", "GD-11", "DV-05", "DV-07"),
        *("CV-08", "RC-06", "DV-09"),
    ),
    "sailing": (
        *("HT-04", "HT-06", "TD-05", "PM-03", "MP-08", "MP-18", "MP-15", "GE-01", "DV-07"),
        *("EL-02", "RC-03", "RC-05", "EC-01", "EC-02", "EN-01", "GD-03", "GD-11"),
        *("GD-16", "DV-09", "DV-10"),
    ),
}
WIDE = 92  # letters, for which a lesson has room on a small laptop
NAME = 28  # of them, the name of a number
HEADINGS = {  # whose numbers they are, and what stands above them
    "published": ("Published, and read in public text", "published"),
    "exact": ("By definition", "by definition"),
    "derived": ("Worked a second way, without geokit, from published parameters", "worked so"),
}


class DisagreementError(ArithmeticError):
    """Something that geokit computes on this machine is not what it should be."""


def rows(topic):
    """Compute all numbers that a lesson is checked against, in the order of HEADINGS."""
    found = [row for record in LESSONS[topic] for row in computed.rows(record)]
    kinds = list(HEADINGS)
    return sorted(found, key=lambda row: kinds.index(published.kind(row.record, row.name)))


def against(topic):
    """
    Print what a lesson is checked against, beside what geokit computes here.

    Raises
    ------
    DisagreementError
        If a number is further off than its tolerance: one sentence for each.
    """
    found = rows(topic)
    print(text(found))
    if off := [row for row in found if not row.holds]:
        raise DisagreementError(" ".join(map(_disagreement, off)))


def text(found):
    """Return the table of some rows."""
    lines, kind, heading = [], "", ()
    for row in found:
        if published.kind(row.record, row.name) != kind:
            kind = published.kind(row.record, row.name)
            title, column = HEADINGS[kind]
            lines += ["", title.upper(), *_line("", column, "geokit here", "within")]
        if (row.record, row.way, kind) != heading:
            heading = (row.record, row.way, kind)
            lines += _heading(row.record, row.way)
        lines += _row(row)
    return "\n".join([*lines, "", _count(found)]).lstrip("\n")


def _count(found):
    """Return how many of the published numbers agree, and of the others."""
    is_published = [published.kind(row.record, row.name) == "published" for row in found]
    ours = [row.holds for row, is_it in zip(found, is_published, strict=True) if is_it]
    others = [row.holds for row, is_it in zip(found, is_published, strict=True) if not is_it]
    words = f"{sum(ours)} of {len(ours)} published numbers agree"
    return words + (f", and {sum(others)} of {len(others)} others." if others else ".")


def _heading(record, way):
    """Return id, quantity and source of a record; a source without a year says so."""
    held = published.RECORDS[record]
    quantity = held["quantity"] + (f" ({way})" if way else "")
    dated = re.search(r"\b(1[789]|20)\d\d\b", held["source"])
    source = held["source"] + ("" if dated else "; no year read")
    return ["", *_indented(f"{record}  {quantity}"), *_indented(f"       {source}")]


def _indented(words):
    return textwrap.wrap(words, WIDE, subsequent_indent=" " * 7, break_on_hyphens=False)


def _row(row):
    places = published.decimals(row.record, row.name)
    printed, here = (
        number(value, places).replace(THIN, " ")
        for value in (published.value(row.record, row.name), row.here)
    )
    within = f"{published.tolerance(row.record, row.name):g}"
    unit = published.unit(row.record, row.name)
    behind = ("" if unit == "1" else unit) + ("" if row.holds else "  DISAGREES")
    return _line(row.name.replace("_", " "), printed, here, within, behind)


def _line(name, printed, here, within, behind=""):
    """Return the line of a number; a long name has a line of its own."""
    above = [f"       {name}"] if len(name) > NAME else []
    name = "" if above else name
    line = f"       {name:<{NAME}} {printed:>18} {here:>18} {within:>8} {behind}"
    return [*above, line.rstrip()]


def _disagreement(row):
    places = published.decimals(row.record, row.name)
    expected = number(published.value(row.record, row.name), places)
    here = number(row.here, places + 2)
    allowed = published.tolerance(row.record, row.name)
    name = row.name.replace("_", " ")
    return (
        f"{row.record}, {name}: {expected} is printed, geokit computes {here} on this computer; "
        f"they may differ by {allowed:g}."
    )
