"""The printed record: marks against the elements, the rule, both marks, nothing that runs."""

import hashlib
import json
import re
import shutil
from datetime import UTC, datetime

import pytest

from exercises import BANK
from exercises.__main__ import main
from exercises.bank.concept import IDEAS
from exercises.instructor import competence
from exercises.paper import paper
from exercises.question import dice
from exercises.records import course, record
from exercises.sheets import changed_marks, class_file, scenario, sheet
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


# Who, on what, under whom ------------------------------------------------------------------


def check(folder, what, *more):
    return main(["check-record", str(what), str(folder), *more])


def record_file(folder):
    return folder.parent / "record.html"


def code_of(html):
    return re.search(r'class="code">([^<]+)<', html)[1]


def test_the_record_says_class_course_and_the_digest_of_each_sheet(folder):
    page = Page(printed(folder)[1])
    contents = (folder / "answers-T07.jsonl").read_bytes()
    assert f"SHA-256 {hashlib.sha256(contents).hexdigest()}" in page.text
    assert f"version {course.VERSION}, digest {course.digest()}" in page.text
    assert "known by the code T07 alone" in page.text
    assert "The files say nothing about supervision" in page.text
    assert "no end was set" in page.text
    assert "24 months from the date" in Page(printed(folder, "T07", "--valid", "24")[1]).text


def test_a_record_agrees_with_its_sheets_by_file_and_by_code(folder, capsys):
    html = printed(folder, "T07", "--pass", "70", "--valid", "24")[1]
    assert check(folder, record_file(folder)) == 0
    assert check(folder, code_of(html)) == 0
    assert check(folder, code_of(html).replace("-", "").lower()) == 0
    assert capsys.readouterr().out.count("Agrees with the sheets: the record of T07") == 3


def test_another_answer_changes_the_record_and_it_is_said_where(folder, capsys):
    html = printed(folder)[1]
    Desk(folder, "T07", start=datetime(2026, 3, 17, tzinfo=UTC)).answer(TOTAL)
    capsys.readouterr()
    assert check(folder, record_file(folder)) == 1
    reported = capsys.readouterr().out
    assert f"the marks of the exercises, {TOTAL.key}: printed [500, 1], today [1000, 2]" in reported
    assert "the sheets" in reported
    assert check(folder, code_of(html)) == 1
    assert "no record that the sheets give today" in capsys.readouterr().out


def test_a_mark_written_into_the_file_of_a_record_is_seen(folder, capsys):
    html = printed(folder)[1]
    forged = html.replace("[500, 1]", "[1000, 1]")
    assert forged != html
    record_file(folder).write_text(forged, encoding="utf-8")
    assert check(folder, record_file(folder)) == 1
    reported = capsys.readouterr().out
    assert "the code: printed" in reported
    assert "printed [1000, 1], today [500, 1]" in reported


@pytest.mark.parametrize("what", ["no such file.html", "class/answers-T07.jsonl"])
def test_what_is_no_record_is_reported(folder, capsys, what):
    assert check(folder, folder.parent / what) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_the_same_sheets_give_the_same_code_whatever_their_names(folder):
    before = code_of(printed(folder)[1])
    (folder / "answers-T07.jsonl").rename(folder / "answers-t07 (1).txt")
    assert code_of(printed(folder)[1]) == before
    assert code_of(printed(folder, "T07", "--pass", "70")[1]) != before


def test_with_an_open_finding_a_record_is_not_to_be_signed(tmp_path, capsys):
    desk = Desk(tmp_path / "class", "T05")
    for exercise in competence.exercises_of(ELEMENT):
        desk.answer(exercise)
    shutil.copy(desk.path, desk.path.with_name("answers-T07.jsonl"))
    _, html = printed(tmp_path / "class", "T07", "--pass", "70")
    page = Page(html)
    assert "Not to be signed until" in page.text
    assert "Lines of a colleague" in page.text
    assert "T05" in page.text, "whose lines they are has to be said"
    assert "passed" not in element_row(html)
    assert "not to be signed" in element_row(html)
    assert "name, by hand" in page.text
    assert "supervised by" not in page.text, "nothing to sign on"
    assert "T07: not to be signed until F" in capsys.readouterr().out
    _, html = printed(tmp_path / "class", "T05", "--pass", "70")
    assert "Not to be signed" not in html
    assert element_row(html)[-1] == "passed"


def test_a_closed_finding_stands_on_the_record_with_its_reason(tmp_path, capsys):
    place = tmp_path / "class"
    desk = Desk(place, "T07")
    desk.trainee = "T99"
    desk.answer()
    assert main(["close-finding", str(place)]) == 1
    (finding,) = re.findall(r"^(F\w{5})  T07", capsys.readouterr().out, re.M)
    words = ["close-finding", str(place), "--finding", finding, "--by", "MK"]
    assert main([*words, "--reason", ""]) == 2
    assert main([*words, "--reason", "signed in as T99 by mistake, I was there"]) == 0
    assert main(["close-finding", str(place)]) == 0
    page = Page(printed(place)[1])
    assert "Not to be signed" not in page.text
    assert "Findings that were closed" in page.text
    assert "signed in as T99 by mistake, I was there" in page.text
    assert check(place, record_file(place)) == 0


def test_answers_given_in_the_room_are_distinguished_from_those_at_home(tmp_path):
    place = tmp_path / "class"
    made = class_file.Class("Autumn <i>", scenario.HOME.name, "7KQ2", "s" * 24)
    place.mkdir()
    class_file.write(place, made)
    desk = Desk(place, "7KQ2-T07")
    numbers = dice.given(PLUMB, "7KQ2-T07", 1, made.secret)
    right = PLUMB.solve(numbers)
    typed = {asked.name: asked.show(right[asked.name]) for asked in PLUMB.asked}
    desk.put("answered", PLUMB, given=numbers, typed=typed, hosted=True)
    desk.answer(TOTAL)
    page = Page(printed(place, "7KQ2-T07")[1])
    assert "1 of 2 answers were given in the class’s room" in page.text
    assert "(2026-03-16)" in page.text
    assert "About the other 1 the files say nothing of supervision" in page.text
    assert "Autumn <i> , class word 7KQ2" in page.text


def test_a_closed_paper_stands_beside_practice_and_counts(tmp_path):
    place = tmp_path / "class"
    Desk(place, "T07").answer(PLUMB, slip="opposite")
    setting = tmp_path / "setting.toml"
    setting.write_text(
        'title = "Final"\nminutes = 60\npass = 60\naids = "calculator"\n'
        f'[[question]]\nexercise = "{PLUMB.key}"\nmarks = 4\n', encoding="utf-8",
    )  # fmt: skip
    roster = tmp_path / "roster.csv"
    roster.write_text("code,name,paper\nT07,Anna,31\n", encoding="utf-8")
    out, came = tmp_path / "paper", tmp_path / "came"
    came.mkdir()
    words = ["paper-set", str(setting), "--roster", str(roster), "--out", str(out)]
    assert main(words) == 0
    one = paper.read_copy(out / paper.INSTRUCTOR / paper.COPY)
    (sitting,) = one.sittings
    right = PLUMB.solve(sitting.given[0])
    rows = [f"31,1,{letter},{asked.show(right[asked.name])}"
            for letter, asked in zip("ab", PLUMB.asked, strict=False)]  # fmt: skip
    (came / "typed.csv").write_text("\n".join(["paper,question,part,typed", *rows]), "utf-8")
    more = ("--paper", str(out), str(came))
    _, html = printed(place, "T07", "--pass", "70", *more)
    row = element_row(html)
    assert row[-3:] == ["100", "paper", "passed"]
    assert row[-4] == "0", "practice stands beside it"
    assert "paper 31" in Page(html).text
    assert check(place, record_file(place), *more) == 0
    assert check(place, record_file(place)) == 1, "without the paper the record states more"


def test_the_digest_of_the_course_is_that_of_its_files():
    files = course._files()
    assert len(files) > 100
    assert any(path.name == "deflection.ini" for path in files)
    whole = hashlib.sha256()
    for path in files:
        name = path.relative_to(course.ROOT).as_posix().encode()
        whole.update(name + b"\n" + path.read_bytes().replace(b"\r\n", b"\n") + b"\n")
    assert whole.hexdigest()[:16] == course.digest()


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
    (reported,) = (row for row in page.rows if "shown on the board" in row)
    assert [text for text in reported if re.fullmatch(r"\d+†?", text)] == ["50", "100†"]
    assert "MK" in reported
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
    assert f"gain +{gain} , where {every - 5} were left to gain" in page.text


def test_all_of_a_class_each_in_a_file_with_pages_of_its_own(folder):
    _, html = printed(folder, "all")
    page = Page(html)
    assert [row[0] for row in page.rows[1:]] == ["T07", "T08", "T09"]
    for code in ("T07", "T08", "T09"):
        own = (folder.parent / "record" / f"record-{code}.html").read_text(encoding="utf-8")
        assert f"Record of {code}" in Page(own).text
        assert f'counter(page) " of " counter(pages) ", {code}"' in own
        assert not {c for c in ("T07", "T08", "T09") if c != code and named(c, Page(own).text)}
    assert "nothing answered" in own or "no answer that counts" in own


def test_a_sheet_that_cannot_be_read_is_named_in_the_list_of_records(folder):
    (folder / "answers-T05.jsonl").write_bytes(b"\xff\x00 no sheet at all \n" * 3)
    (folder / "more").mkdir()
    (folder / "more" / "answers-T07.jsonl").write_bytes(b"")
    _, html = printed(folder, "all", "--pass", "70")
    page = Page(html)
    assert "".join(page.row("T05")).endswith("answers-T05.jsonl: no line of it could be read")
    assert "".join(page.row("T07")).endswith("answers-T07.jsonl: no line of it could be read")
    for whose in ("T08", "T09"):
        assert "could be read" not in " ".join(page.row(whose))


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
def test_what_makes_no_sense_is_reported_and_not_written(folder, capsys, trainee, more, said):
    code, html = printed(folder, trainee, *more)
    reported = capsys.readouterr().err.strip()
    assert (code, html) == (2, "")
    assert said in reported
    assert "\n" not in reported


def test_nothing_on_it_does_anything(folder):
    path = folder / changed_marks.NAME
    for number, text in enumerate(HOSTILE):
        line = {"event": "changed", "trainee": "T07", "key": list(BANK)[number], "edition": 1}
        line |= {"mark": 1, "was": None, "reason": text[:400], "by": "MK"}
        line |= {"time": "2026-03-16T14:00:00+00:00"}
        line["digest"] = sheet.digest(line)
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
    assert record.rule("70").says(0.7) == "passed"
    assert record.rule("70.1").says(0.7) == "not passed"
    assert record.rule("70,5 %").limit == pytest.approx(0.705)
