"""The trainer's notes: read from the lessons' own files, and timetables whose minutes add up."""

import itertools
import json

import pytest

from exercises import __main__
from exercises.pages import markdown
from exercises.trainer import notes

KIT = notes.read()
DAYS = [(plan.title, n, day) for plan in notes.PLANS for n, day in enumerate(plan.days, 1)]


def test_every_lesson_with_a_number_has_notes_that_add_up():
    assert not KIT.troubles
    lessons = {path.name[:2] for path in notes.LESSONS.glob("[0-9][0-9]_*.ipynb")} - {"00"}
    assert lessons <= set(KIT.notes)
    for one in KIT.notes.values():
        assert sum(minutes for _, minutes in one.parts) == one.minutes
        assert "<li>" in one.told, "the wrong answers to expect are a list"


@pytest.mark.parametrize(("plan", "number", "day"), DAYS)
def test_a_day_has_no_gap_and_no_overlap_and_ends_in_time(plan, number, day):
    rows = notes.timetable(day, KIT.notes)
    assert rows[0].begins == day.begins
    for one, following in itertools.pairwise(rows):
        assert one.begins + one.minutes == following.begins
        assert not (one.pause and following.pause)
    assert rows[-1].begins + rows[-1].minutes == day.ends
    taught = {name for name in day.taught if name in KIT.notes}
    for name in taught:
        mine = [row for row in rows if row.title.startswith(f"{name} ")]
        assert sum(row.minutes for row in mine) == KIT.notes[name].minutes
    assert sum(row.title == "Lunch" for row in rows) == 1


@pytest.mark.parametrize(("plan", "number", "day"), DAYS)
def test_nobody_sits_longer_than_a_sitting(plan, number, day):
    sat = 0
    for row in notes.timetable(day, KIT.notes):
        sat = 0 if row.pause else sat + row.minutes
        assert sat <= notes.LONGEST_SITTING + 5, row


def test_the_five_days_teach_every_lesson_once():
    taught = [name for day in notes.PLANS[1].days for name in day.taught if name.isdigit()]
    assert taught == [f"{number:02d}" for number in range(1, 13)]


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
    assert ["10 minutes" in t or "no notebook" in t or "no trainer" in t for t in kit.troubles] == [
        True
    ] * 3


def test_the_command_writes_one_page(tmp_path, capsys):
    out = tmp_path / "notes.html"
    assert __main__.main(["notes", "--out", str(out)]) == 0
    page = out.read_text(encoding="utf-8")
    assert "Two days" in page
    assert "Five days" in page
    for one in KIT.notes.values():
        assert f"{one.number} {one.title}" in page
    assert str(out) in capsys.readouterr().out
