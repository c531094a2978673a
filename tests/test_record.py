"""The printed record: marks against the elements, the rule, both marks, nothing that runs."""

import json
import re

import pytest

from exercises import BANK
from exercises.__main__ import main
from exercises.bank.concept import IDEAS
from exercises.instructor import competence, record
from exercises.question import dice
from exercises.sheets import changed_marks
from exercises.trainee import concept
from tests.codes import named
from tests.test_register import HOSTILE, Page
from tests.test_report import PLUMB, TOTAL, Desk

# Exercises of one element: the last stays without an answer.
ELEMENT = PLUMB.elements[0]
OF_IT = [e for e in competence.exercises_of(ELEMENT) if e.topic == "deflection"]


@pytest.fixture
def folder(tmp_path):
    """T07 has three of an element's exercises right but one, T08 one; T09 only signed in."""
    place = tmp_path / "class"
    desk = Desk(place, "T07")
    desk.answer(PLUMB, slip="opposite")
    desk.answer(PLUMB)
    desk.answer(TOTAL, slip="sum")
    Desk(place, "T08").answer(TOTAL)
    Desk(place, "T09").put("signed in")
    return place


def printed(folder, trainee="T07", *more):
    out = folder.parent / "record.html"
    code = main(["record", str(folder), "--trainee", trainee, "--out", str(out), *more])
    return code, out.read_text(encoding="utf-8") if out.exists() else ""


def element_row(html, key=ELEMENT):
    return Page(html).row(key)


def test_marks_rule_and_editions_stand_on_it(folder):
    code, html = printed(folder, "T07", "--pass", "70")
    page = Page(html)
    assert code == 0
    assert "mean mark over all its exercises is 70% or more" in page.text
    assert "not answered counts 0" in page.text
    of = len(competence.exercises_of(ELEMENT))
    row = element_row(html)
    at = row.index(f"2 of {of}")
    # first 0 and 50, best 100 and 50; over all an exercise without an answer counts 0
    assert row[at + 1 : at + 4] == ["25", "75", str(round(150 / of))]
    assert row[-1] == "not passed"
    exercise = page.row(PLUMB.key)
    assert exercise[2:7] == [str(PLUMB.edition), "0", "100", "100", "2"]
    assert "name, by hand" in page.text
    assert page.text.count("instructor") >= 2


def test_an_element_whose_exercises_are_all_right_is_passed(tmp_path):
    desk = Desk(tmp_path / "class")
    for exercise in competence.exercises_of(ELEMENT):
        desk.answer(exercise)
    _, html = printed(tmp_path / "class", "T07", "--pass", "100")
    row = element_row(html)
    assert row[-4:] == ["100", "100", "100", "passed"]


def test_each_typing_of_one_trainee_on_pages_of_their_own(folder, capsys):
    Desk(folder, "T07").answer(TOTAL, size="ask the mate")
    code, html = printed(folder, "T07", "--typing")
    page = Page(html)
    assert code == 0
    assert "ask the mate" in page.text
    right = [PLUMB.part(n).say(v) for n, v in PLUMB.solve(dice.given(PLUMB, "T07", 1)).items()]
    assert all(" ".join(text.split()) in page.text for text in right)
    assert "details" not in page.tags, "a printer leaves out what is folded"
    assert not named("T08", page.text)
    assert "pass mark" not in capsys.readouterr().out
    _, everybody = printed(folder, "all", "--typing")
    assert re.findall(r'class="trainee" id="(\w+)"', everybody) == ["T07", "T08", "T09"]


def test_without_a_pass_mark_no_element_is_judged(folder):
    _, html = printed(folder)
    assert "No pass mark was set" in html
    assert "passed" not in {cell for row in Page(html).rows for cell in row}
    assert "not passed" not in html


def test_a_changed_mark_counts_and_both_are_shown(folder):
    path = folder / changed_marks.NAME
    changed_marks.change(path, "T07", TOTAL, 1.0, reason="shown on the board", by="MK", was=0.5)
    _, html = printed(folder)
    page = Page(html)
    (told,) = (row for row in page.rows if "shown on the board" in row)
    assert [text for text in told if re.fullmatch(r"\d+†?", text)] == ["50", "100†"]
    assert "MK" in told
    of = len(competence.exercises_of(ELEMENT))
    row = element_row(html)
    at = row.index(f"2 of {of}")
    assert row[at + 1 : at + 4] == ["25", "100", str(round(200 / of))]
    (exercise,) = (row for row in page.rows if TOTAL.key in row and "MK" not in row)
    assert [text for text in exercise if text][2:6] == ["1", "50", "50", "100†"]


def test_the_gain_of_the_concept_check_where_it_was_sat(folder):
    assert "Concept check" not in printed(folder)[1]
    desk = Desk(folder, "T10")
    every = len(IDEAS)
    for when, wrong in ((concept.BEFORE, every - 5), (concept.AFTER, 5)):
        questions = concept.questions(concept.form_of("T10", when))
        for number, question in enumerate(questions):
            desk.answer(question, choice="unsure" if number < wrong else "right")
    page = Page(printed(folder, "T10")[1])
    before, after = (concept.form_of("T10", when) for when in (concept.BEFORE, concept.AFTER))
    assert f"before the course, form {before}: 5 of {every} right" in page.text
    assert f"after it, form {after}: {every - 5} of {every} right" in page.text
    gain = every - 10
    assert f"gain +{gain} , {gain / (every - 5):.2f} of the possible gain" in page.text


def test_all_of_a_class_each_on_pages_of_its_own(folder):
    _, html = printed(folder, "all")
    page = Page(html)
    assert page.tags.count("main") == 3
    assert all(f"Record of {code}" in page.text for code in ("T07", "T08", "T09"))
    assert "break-before: page" in html
    assert "nothing answered" in page.text or "no answer that counts" in page.text


def test_no_other_trainee_stands_on_a_record(folder):
    assert not named("T08", printed(folder, "T07")[1])


@pytest.mark.parametrize(
    ("trainee", "more", "said"),
    [
        ("T55", (), "no sheet of T55"),
        ("a name", (), "not a trainee code"),
        ("T07", ("--pass", "seventy"), "such as 70"),
        ("T07", ("--pass", "nan"), "such as 70"),
        ("T07", ("--pass", "0"), "such as 70"),
        ("T07", ("--pass", "101"), "such as 70"),
    ],
)
def test_what_makes_no_sense_is_told_and_nothing_is_written(folder, capsys, trainee, more, said):
    code, html = printed(folder, trainee, *more)
    told = capsys.readouterr().err.strip()
    assert (code, html) == (2, "")
    assert said in told
    assert "\n" not in told


def test_nothing_on_it_does_anything(folder):
    path = folder / changed_marks.NAME
    for number, text in enumerate(HOSTILE):
        line = {"event": "changed", "trainee": "T07", "key": list(BANK)[number], "edition": 1}
        line |= {"mark": 1, "was": None, "reason": text[:400], "by": "MK"}
        line |= {"time": "2026-03-16T14:00:00+00:00", "digest": "0"}
        with open(path, "a", encoding="utf-8") as out:
            out.write(json.dumps(line) + "\n")
    _, html = printed(folder, "T07", "--pass", "70")
    page = Page(html)
    assert "<script" not in html
    assert not {"script", "img", "iframe", "link", "object", "form"} & set(page.tags)
    assert "default-src 'none'" in html[:600]
    assert not re.search(r"https?://|url\(|@import", html.replace("http://example.com", ""))
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u202a-\u202e\u2066-\u2069]", html
                         .replace("\u202f", "").replace("\n", ""))  # fmt: skip


def test_a_rule_of_seventy_takes_seventy():
    stand = competence.Stand(competence.ELEMENTS[0], 1, 1, 0, 0.7, 0.0, ())
    assert record.rule("70").says(stand) == "passed"
    assert record.rule("70.1").says(stand) == "not passed"
    assert record.rule("70,5 %").limit == pytest.approx(0.705)
