"""What the class says about an exercise: counted by hand, correlated by numpy."""

import csv
import random

import numpy as np
import pytest

from exercises import BANK
from exercises.bank import syllabus
from exercises.instructor import statistics
from exercises.instructor.statistics import point_biserial
from exercises.sheets.report import Standing
from tests.test_register import Page, marked
from tests.test_report import PLUMB, TOTAL, Desk

KEYS = [key for key, exercise in BANK.items() if exercise.marks]
CATALOGUE = {key: BANK[key] for key in KEYS[:4]}


def class_of(firsts):
    """Return trainees by their first marks at the first exercises of the bank."""
    return [
        (
            f"T{number:02d}",
            {
                key: Standing(key, first=first, best=first, answers=1)
                for key, first in zip(CATALOGUE, row, strict=False)
                if first is not None
            },
        )
        for number, row in enumerate(firsts, 1)
    ]


def test_point_biserial_by_hand():
    # M₁ = 4, M₀ = 2, s = √(10/4), √(p q) = 1/2: (2/1.5811) · 0.5
    assert point_biserial([1, 0, 1, 0], [5, 1, 3, 3]) == pytest.approx(2 / np.sqrt(2) * 0.5)
    assert point_biserial([1, 1, 0, 0], [2, 2, 1, 1]) == pytest.approx(1)
    assert point_biserial([0, 0, 1, 1], [2, 2, 1, 1]) == pytest.approx(-1)


def test_point_biserial_of_the_published_example():
    # J. D. Brown, hosted.jalt.org/test/bro_12.htm, table 2: eight students' totals, mean 37.50,
    # standard deviation 8.29; two items; .91 as printed, which is 0.905 rounded: 15 / 8.29 · 0.5.
    totals = [50, 45, 45, 40, 35, 30, 30, 25]
    assert np.std(totals) == pytest.approx(8.29, abs=0.005)
    assert point_biserial([1, 1, 1, 1, 0, 0, 0, 0], totals) == pytest.approx(0.905, abs=0.001)
    assert point_biserial([0, 0, 0, 0, 1, 1, 1, 1], totals) == pytest.approx(-0.905, abs=0.001)


def test_point_biserial_is_pearsons_correlation_of_right_and_score():
    dice = random.Random(8)
    for _ in range(50):
        right = [dice.random() < 0.6 for _ in range(25)]
        rest = [round(dice.random() + 0.3 * r, 2) for r in right]
        if 0 < sum(right) < 25:
            assert point_biserial(right, rest) == pytest.approx(np.corrcoef(right, rest)[0, 1])


@pytest.mark.parametrize(
    ("right", "rest"), [([1, 1, 1], [1, 2, 3]), ([0, 0], [1, 2]), ([1, 0], [2, 2]), ([], [])]
)
def test_no_correlation_where_nothing_differs(right, rest):
    assert point_biserial(right, rest) is None


def test_agreement_leaves_the_exercise_itself_out_and_needs_twenty():
    dice = random.Random(3)
    rows = [[float(dice.random() < 0.5) for _ in range(4)] for _ in range(24)]
    rows[5][2] = None  # not answered by everybody
    found = statistics.items(class_of(rows), CATALOGUE)
    for place, item in enumerate(found):
        here = [row for row in rows if row[place] is not None]
        rest = [
            np.mean([v for other, v in enumerate(row) if other != place and v is not None])
            for row in here
        ]
        right = [row[place] for row in here]
        assert item.agreement == pytest.approx(np.corrcoef(right, rest)[0, 1])
        assert item.weak == (item.agreement < 0.2)
    few = statistics.items(class_of(rows[:19]), CATALOGUE)
    assert [item.agreement for item in few] == [None] * 4
    assert not any(item.weak for item in few)
    assert {item.share for item in few} == {None}
    twenty = statistics.items(class_of(rows[:20]), CATALOGUE)
    assert twenty[0].share == pytest.approx(np.mean([row[0] for row in rows[:20]]))
    assert twenty[0].agreement is not None
    assert twenty[2].agreement is None  # answered by nineteen of them


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "class"
    t01, t02, t03, t04 = (Desk(place, code) for code in ("T01", "T02", "T03", "T04"))
    for desk in (t01, t02):
        desk.answer(slip="opposite")
    t01.answer(slip="opposite")
    t02.put("nudged", nudge=1)
    t02.answer()  # T02 got it right since
    t03.answer(slip="opposite")
    t03.put("shown")
    t04.answer()
    t04.answer(TOTAL, slip="sum")
    return place


def test_counts_of_one_exercise(folder):
    result, _ = marked(folder)
    item = next(i for i in statistics.items(
        [(m.trainee, m.standings) for m in result.members], BANK
    ) if i.exercise.key == PLUMB.key)  # fmt: skip
    assert (item.answered, item.first, item.right) == (4, 4, 1)
    assert item.share is None, "one of four: no percentage"
    assert (item.attempts, item.nudged, item.shown) == (1.5, 1, 1)
    (slip,) = item.slips
    assert (slip.who, slip.times, slip.of, slip.open) == (
        ["T01", "T02", "T03"], 4, 4, ["T01", "T03"],
    )  # fmt: skip
    assert (slip.share, slip.open_share, slip.since) == (75, 50, ["T02"])  # lengths of bars
    assert item.agreement is None


def test_a_group_to_teach_again_shares_an_open_slip_and_names_the_page(folder):
    _, html = marked(folder)
    page = Page(html)
    head, *rows = [[t for t in row if t] for row in page.rows if row[:1] == ["T01 T03"]]
    assert head == [
        "T01 T03", "It lands on the other side", PLUMB.key,
        "08_deflection.ipynb, “Where the weight lands”",
    ]  # fmt: skip
    assert rows == []
    assert "Left out under 20 trainees" in page.text


def test_the_table_for_a_spreadsheet(folder):
    result, _ = marked(folder, separator=";")
    with open(result.items_csv, encoding="utf-8-sig", newline="") as lines:
        rows = {row["exercise"]: row for row in csv.DictReader(lines, delimiter=";")}
    assert list(rows) == [TOTAL.key, PLUMB.key]
    row = rows[PLUMB.key]
    assert (row["lesson"], row["answered"], row["right at first"], row["share %"]) == (
        "08", "4", "1", "",
    )  # fmt: skip
    assert row["attempts"] == "1,5", "a decimal comma where cells are parted by semicolons"
    assert row["agreement with the rest"] == ""
    assert row["slips"] == "It lands on the other side: 3 (T01 T02 T03), 4×"
    assert row["page"].startswith("08_deflection.ipynb")


def test_every_exercise_of_a_finished_lesson_has_its_page_and_heading():
    written = {path.name[3:-6] for path in syllabus.FOLDER.glob("[0-9][0-9]_*.ipynb")}
    for key, exercise in BANK.items():
        if exercise.topic in written:
            page = syllabus.page_of(key)
            assert page, f"no lesson asks {key}"
            assert page.section
            assert page.notebook.startswith(syllabus.lesson_number(exercise.topic))
    assert syllabus.page_of("no-such") is None
