"""The trainer's notes: read from the lessons' own files, and timetables whose minutes add up."""

import itertools
import json
import re

import pytest

from exercises import __main__
from exercises.pages import markdown
from exercises.trainer import notes

KIT = notes.read()
DAYS = [(plan, n, day) for plan in notes.PLANS for n, day in enumerate(plan.days, 1)]
EVERY_DAY = pytest.mark.parametrize(
    ("plan", "number", "day"), DAYS, ids=[f"{plan.title}-{n}" for plan, n, _ in DAYS]
)
NUMBERS = {path.stem[3:]: path.name[:2] for path in notes.LESSONS.glob("[0-9][0-9]_*.ipynb")}
NEEDS = {
    "ecef": {"ellipsoid"},  # ν and e² of the ellipsoid
    "heights": {"geoid"},  # N
    "deflection": {"geoid"},  # its slope
    "attraction": {"geoid", "deflection"},  # the slope that it explains
    "datums": {"ellipsoid", "ecef"},  # the shift is one of X, Y, Z
    "motion": {"datums"},  # the fourteen parameters are the seven and their rates
    "grid": {"surface", "ellipsoid"},  # a length brought to the ellipsoid; √(Mν)
    "sailing": {"heights", "deflection", "datums", "motion", "grid"},  # the lines of the sheet
}
"""What a lesson works with and another one teaches."""


def test_every_lesson_with_a_number_has_notes_that_add_up():
    assert not KIT.troubles
    lessons = {path.name[:2] for path in notes.LESSONS.glob("[0-9][0-9]_*.ipynb")} - {"00"}
    assert lessons <= set(KIT.notes)
    for one in KIT.notes.values():
        assert sum(minutes for _, minutes in one.parts) == one.minutes
        assert "<li>" in one.text, "the wrong answers to expect are a list"


@EVERY_DAY
def test_a_day_has_no_gap_and_no_overlap_and_ends_in_time(plan, number, day):
    short = plan.shortened(KIT.notes)
    rows = notes.timetable(day, short)
    assert rows[0].begins == day.begins
    for one, following in itertools.pairwise(rows):
        assert one.begins + one.minutes == following.begins
        assert not (one.pause and following.pause)
    assert rows[-1].begins + rows[-1].minutes == day.ends
    taught = {name for name in day.taught if name in KIT.notes}
    for name in taught:
        mine = [row for row in rows if row.title.startswith(f"{name} ")]
        assert sum(row.minutes for row in mine) == short[name].minutes
    assert sum(row.title == "Lunch" for row in rows) == 1


@EVERY_DAY
def test_nobody_sits_longer_than_a_sitting(plan, number, day):
    sat = 0
    for row in notes.timetable(day, plan.shortened(KIT.notes)):
        sat = 0 if row.pause else sat + row.minutes
        assert sat <= notes.LONGEST_SITTING + 5, row


@pytest.mark.parametrize("plan", notes.PLANS, ids=lambda plan: plan.title)
def test_what_a_lesson_needs_is_taught_before_it(plan):
    taught = [name for day in plan.days for name in day.taught if name.isdigit()]
    for topic, needed in NEEDS.items():
        if NUMBERS[topic] in taught:
            before = set(taught[: taught.index(NUMBERS[topic])])
            assert {NUMBERS[name] for name in needed} <= before, topic


def test_the_last_lesson_needs_the_lessons_that_it_sends_back_to():
    lesson = (notes.LESSONS / f"{NUMBERS['sailing']}_sailing.ipynb").read_text(encoding="utf-8")
    assert {NUMBERS[name] for name in NEEDS["sailing"]} == set(
        re.findall(r"\]\((\d\d)_\w+\.ipynb\)", lesson)
    ) - {"00"}


@pytest.mark.parametrize("plan", notes.PLANS, ids=lambda plan: plan.title)
def test_what_is_left_out_is_a_part_and_no_lesson_loses_a_third(plan):
    short = plan.shortened(KIT.notes)
    for number, parts in plan.left_out.items():
        assert set(parts) <= {part for part, _ in KIT.notes[number].parts}
        assert short[number].minutes > KIT.notes[number].minutes * 2 / 3
        assert all(f"{number} {part}" in notes.page(KIT) for part in parts)


def test_the_five_days_teach_every_lesson_once():
    taught = [name for day in notes.PLANS[1].days for name in day.taught if name.isdigit()]
    assert taught == [f"{number:02d}" for number in range(1, 14)]


def test_a_day_that_is_too_full_says_by_how_much(tmp_path):
    full = {
        n: notes.Notes(n, "Long", 300, [("", 100)] * 3, markdown.to_html("")) for n in ("01", "02")
    }
    day = notes.Day(540, 960, ("01", "02"))
    rows = notes.timetable(day, full)
    assert rows[-1].begins + rows[-1].minutes > day.ends


def test_what_is_html_in_the_notes_is_shown_and_not_obeyed(tmp_path):
    text = (
        "<details><summary>Trainer's notes (10 minutes)</summary>\n\n**Minutes.** all 20.\n\n"
        "<script>x</script>\n\n<b onclick=x>[out](https://example.org) ![p](a.png)\n</details>"
    )
    cells = [{"cell_type": "markdown", "source": s} for s in ("# 01 A *title*", text)]
    (tmp_path / "01_a.ipynb").write_text(json.dumps({"cells": cells}), encoding="utf-8")
    (tmp_path / "02_b.ipynb").write_text("torn {", encoding="utf-8")
    (tmp_path / "03_c.ipynb").write_text(json.dumps({"cells": cells[:1]}), encoding="utf-8")
    kit = notes.read(tmp_path)
    page = notes.page(kit)
    assert "<script" not in page
    assert "<b " not in page
    assert "example.org" not in page
    assert "<img" not in page
    assert [
        "10 minutes" in t or "not a notebook" in t or "no trainer" in t for t in kit.troubles
    ] == [True] * 3


def test_the_command_writes_one_page(tmp_path, capsys):
    out = tmp_path / "notes.html"
    assert __main__.main(["notes", "--out", str(out)]) == 0
    page = out.read_text(encoding="utf-8")
    assert "Two days" in page
    assert "Five days" in page
    for one in KIT.notes.values():
        assert f"{one.number} {one.title}" in page
    assert str(out) in capsys.readouterr().out
