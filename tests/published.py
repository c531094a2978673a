"""Figures from outside by id, read from check_values.json, which check_values.md explains."""

import json
from pathlib import Path

_RECORDS = {
    record["id"]: record
    for record in json.loads(
        Path(__file__).with_name("check_values.json").read_text(encoding="utf-8")
    )
}


def value(record, name):
    """The expected number, in the unit the record gives; its `origin` says whose it is."""
    return _RECORDS[record]["expected"][name]["value"]


def tolerance(record, name):
    """Half of the last digit the source prints, in the number's unit; wider where the note says."""
    return _RECORDS[record]["expected"][name]["tolerance"]


def given(record, name):
    """What the source starts from; angles printed as degrees, minutes, seconds come in degrees."""
    entry = _RECORDS[record]["inputs"][name]
    return entry.get("decimal_degrees", entry["value"])
