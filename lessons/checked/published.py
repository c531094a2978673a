"""
Figures from outside by id, read from check_values.json, which check_values.md explains.

Lessons print them beside what geokit computes; the tests read the same records.
"""

import json
import math
from decimal import Decimal
from pathlib import Path

RECORDS = {
    record["id"]: record
    for record in json.loads(
        Path(__file__).with_name("check_values.json").read_text(encoding="utf-8")
    )
}
KINDS = ("published", "exact", "derived", "remembered")


def value(record, name):
    """Return the expected number, in the unit the record gives."""
    return RECORDS[record]["expected"][name]["value"]


def tolerance(record, name):
    """
    Return how far from it a computed number may stand, in the number's unit.

    Half of the last digit that the source prints; wider where the record's note says why.
    """
    return RECORDS[record]["expected"][name]["tolerance"]


def unit(record, name):
    """Return the unit of the expected number."""
    return RECORDS[record]["expected"][name]["unit"]


def given(record, name):
    """
    Return what the source starts from.

    Angles printed as degrees, minutes, seconds come in degrees.
    """
    entry = RECORDS[record]["inputs"][name]
    return entry.get("decimal_degrees", entry["value"])


def kind(record, name):
    """Return whose number it is, one of KINDS: a part's own `origin` goes before the record's."""
    held = RECORDS[record]
    origin = held["expected"][name].get("origin", held["origin"])
    return next(kind for kind in KINDS if origin.startswith(kind))


def decimals(record, name):
    """
    Return how many decimals the source prints; a number of ours is rounded so beside it.

    JSON drops closing zeros. The tolerance is about half of the last digit and brings them back.
    """
    written = max(0, -Decimal(repr(value(record, name))).normalize().as_tuple().exponent)
    if kind(record, name) != "published":
        return written
    half_a_digit = round(-math.log10(2 * tolerance(record, name)))
    return max(0, half_a_digit, min(written, half_a_digit + 1))
