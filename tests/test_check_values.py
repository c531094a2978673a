"""The check values say where they come from, and check_values.md says the same."""

import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HERE = ROOT / "lessons" / "checked"
RECORDS = json.loads((HERE / "check_values.json").read_text(encoding="utf-8"))
TEXT = (HERE / "check_values.md").read_text(encoding="utf-8")
ID = re.compile(r"\b[A-Z]{2}-\d\d\b")
each_record = pytest.mark.parametrize("record", RECORDS, ids=lambda record: record["id"])


@each_record
def test_what_is_from_memory_is_not_called_published(record):
    known, origin = record["how_known"], record["origin"]
    assert known.startswith(("read in public text", "from memory"))
    assert origin.startswith(("published", "remembered", "derived here", "exact identity"))
    if known.startswith("from memory"):
        assert "published" not in origin


@each_record
def test_a_record_is_whole(record):
    fields = set(re.findall(r"`(\w+)`", TEXT.partition("| --- |")[2].partition("\n\n")[0]))
    assert set(record) <= fields
    assert record["source"]
    assert record["expected"]
    for expected in record["expected"].values():
        assert expected["tolerance"] > 0


def test_each_id_is_there_once():
    ids = [record["id"] for record in RECORDS]
    assert len(set(ids)) == len(ids)
    assert set(ID.findall(TEXT)) <= set(ids)


def test_the_text_lists_what_is_from_memory():
    listed, in_part = re.search(r"From memory are:\n\n(.*); and in part (.*)\.", TEXT).groups()
    memory = {r["id"] for r in RECORDS if r["how_known"].startswith("from memory")}
    assert set(ID.findall(listed)) == memory
    partly = {r["id"] for r in RECORDS if "from memory" in r["how_known"]} - memory
    assert set(ID.findall(in_part)) == partly


def test_what_is_cited_is_there():
    ids = {record["id"] for record in RECORDS}
    topics = {one[:2] for one in ids}
    for folder in ("tests", "lessons", "exercises", "geokit"):
        for path in (ROOT / folder).rglob("*"):
            if path.suffix in (".py", ".ipynb") and path != Path(__file__):
                cited = {
                    one for one in ID.findall(path.read_text(encoding="utf-8")) if one[:2] in topics
                }
                assert cited <= ids, f"{path.name} cites {sorted(cited - ids)}"
