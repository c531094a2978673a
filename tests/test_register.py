"""The register: what the page and the table say, that neither can be made to do anything."""

import csv
import dataclasses
import os
import re
import subprocess
import sys
from collections import Counter
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest

from exercises import BANK
from exercises.__main__ import help_text, main
from exercises.bank.syllabus import LESSONS, lesson_number
from exercises.instructor import competence, demo, mark_cells, tables
from exercises.instructor.mark_cells import Cell
from exercises.pages import pages
from exercises.question import dice
from exercises.records import record
from exercises.register import crews, register
from exercises.sheets import report, sheet
from exercises.sheets.report import Standing
from tests.test_report import FIRST, PLUMB, TOTAL, Desk

ROOT = Path(__file__).resolve().parents[1]
DEFLECTION = {key: exercise for key, exercise in BANK.items() if exercise.topic == "deflection"}
VOID = {"meta", "link", "br", "img", "hr", "input", "col", "use", "path", "circle"}
# As typed by somebody who tries: script, formula, control, direction, a page of text.
HOSTILE = (
    "<script>alert(1)</script>",
    "</bdi></td></table><img src=x onerror=alert(1)>",
    "=HYPERLINK(\"http://example.com\";\"click\")",
    "1;=1+1",
    "a,\"\n=1+1",
    "\tcmd",
    "@SUM(1)",
    "＝1+1",
    "\u202e0.1\u202c",
    "\x1b[31m\x07\x00",
    "{{ 7 * 7 }} {% raw %}",
    "9" * 4000,
    "\ud83d",
)  # fmt: skip


class Page(HTMLParser):
    """The page taken apart: tags that must close, text, what it refers to."""

    def __init__(self, text):
        super().__init__()
        self.open, self.texts, self.tags, self.refers, self.rows = [], [], [], [], []
        self.feed(text)
        assert not self.open, f"left open: {self.open}"

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.refers += [
            (name, value) for name, value in attrs if name in ("src", "href", "action", "style")
            or name.startswith("on")
        ]  # fmt: skip
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data):
        self.texts.append(data)
        if self.rows and "tr" in self.open:
            self.rows[-1].append(data.strip())

    @property
    def text(self):
        return " ".join(" ".join(self.texts).split())

    def row(self, first, holds=""):
        """Return the first row with this text that also holds another somewhere."""
        return next(
            [t for t in row if t]
            for row in self.rows
            if first in row and any(holds in text for text in row)
        )

    def marks(self, code):
        """Return the row of marks of somebody."""
        return next(
            [t for t in row if t]
            for row in self.rows
            if [t for t in row if t][:1] == [code]
            and any("at first" in t or "not begun" in t for t in row)
        )


def beside(folder, name):
    """Return a page that lies beside a register."""
    return (folder / "out" / "register" / f"register-{name}.html").read_text(encoding="utf-8")


def marked(folder, out=None, **more):
    result = register.write(folder, out or folder / "out", **more)
    html = result.html.read_text(encoding="utf-8") if result.html else ""
    return result, html


def table(path, separator=","):
    with open(path, encoding="utf-8-sig", newline="") as lines:
        return list(csv.DictReader(lines, delimiter=separator))


@pytest.fixture
def folder(tmp_path):
    """Four trainees whose marks are known."""
    place = tmp_path / "class"
    t01, t02, t03, t05 = (Desk(place, code) for code in ("T01", "T02", "T03", "T05"))
    t01.answer(FIRST, choice="south")
    t01.answer()
    t02.answer(FIRST, choice="north")
    t02.answer(slip="opposite")
    t02.answer(TOTAL, slip="sum")
    t03.answer(slip="opposite")
    t03.answer(slip="opposite")
    t03.put("shown")
    t03.put("new numbers", turn=2)
    t03.answer(turn=2, slip="swapped")
    t05.answer(slip="swapped")
    t05.answer()
    t05.put("shown", TOTAL)  # looked at, not answered: not among those who could slip
    return place


# The page --------------------------------------------------------------------------------


def test_who_stands_where(folder):
    _, html = marked(folder)
    page = Page(html)
    column = [e.key for e in DEFLECTION.values() if e.marks].index(PLUMB.key)
    cells = {code: page.marks(code)[1:] for code in ("T01", "T02", "T03", "T05")}
    assert cells["T01"][2 * column :][:2] == ["100", "100 at first"]
    assert cells["T02"][2 * column :][:2] == ["0", "0 at first"]
    assert cells["T03"][2 * column :][:2] == ["0", "0 at first"]
    assert cells["T05"][2 * column :][:2] == ["100", "0 at first"]
    assert cells["T01"][:2] == ["–", "not begun"]
    of = sum(bool(e.marks) for e in DEFLECTION.values())
    mean = round((0 + 50) / of)  # what is not answered counts 0
    assert cells["T02"][-3:] == [str(mean), f"2/{of}", f"{mean} at first"]
    assert "No sheet of T04" in page.text


def test_what_is_still_open_comes_first_and_who_is_right_since_counts_apart(folder):
    _, html = marked(folder)
    page = Page(html)
    lands = page.row("It lands on the other side")
    assert lands[:3] == ["2", "of 4", "It lands on the other side"]
    assert lands[3:] == [PLUMB.title, "T02", "T03", "08 deflection", "“Where the weight lands”"]
    swapped = page.row("East and north swapped")  # T05 made it, too, and is right since
    assert swapped[:4] == ["1", "of 4", "1 right since", "East and north swapped"]
    assert "T05" not in swapped
    assert page.row("Added, not squared")[:2] == ["1", "of 1"]
    bars = re.findall(
        r'<i style="width: ([0-9.]+)%"></i><i class="since" style="width: ([0-9.]+)%', html
    )
    assert [tuple(map(float, widths)) for widths in bars] == [(50, 0), (25, 25), (100, 0)]
    first, *rest = (html.index(text) for text in (
        "Teach again", "No open finding", "The class at a glance", 'class="class"',
        "How to read it",
    ))  # fmt: skip
    assert [first, *rest] == sorted([first, *rest])


def test_the_class_at_a_glance_is_a_cell_for_each_lesson_and_person(folder):
    catalogue = of_every_lesson()
    desk = Desk(folder, "T07")
    desk.answer(catalogue["grid-total"])
    desk.answer(catalogue["lines-total"], slip="sum")
    _, html = marked(folder, catalogue=catalogue)
    strip = html[html.index('class="strip"') :].partition("</table>")[0]
    (row,) = re.findall(r"<tr><th[^>]*>(?:<a[^>]*>)?T07.*?</tr>", strip)
    shapes = dict(
        zip(["lines", "deflection", "grid"], re.findall(r'<td class="(\w+)"', row), strict=True)
    )
    assert shapes == {"lines": "empty", "deflection": "none", "grid": "empty"}, (
        "one of nine answered"
    )
    assert len(re.findall('<use href="#empty"', row)) == 2


def test_what_is_not_answered_counts_the_same_in_register_and_record(tmp_path):
    place = tmp_path / "class"
    Desk(place).answer(TOTAL)
    _, html = marked(place)
    record.write(place, tmp_path / "record.html", "T07")
    stands = competence.standing(register_of(place).members[0].standings)
    one = next(stand for stand in stands if stand.done)
    assert 1 == one.done < one.of
    mark = str(round(100 / one.of))
    row = Page((tmp_path / "record.html").read_text(encoding="utf-8")).row(one.element.key)
    assert row[-1] == mark, "over all exercises"
    elements = html[html.index("By the elements of the standard") :]
    assert f"<b>{mark}</b><small>1/{one.of}</small>" in elements
    assert "one that is not answered counts 0" in " ".join(html.split())


def register_of(place):
    return register.write(place, place / "out")


def test_what_was_said_first_is_counted_by_choice(folder):
    _, html = marked(folder)
    page = Page(html)  # of one lesson alone all stands on the register itself
    options = {option.key: option.text for option in FIRST.asked[0].options}
    assert page.row(options["south"])[1:] == ["1 of 2", "T01"]
    assert page.row(options["north"])[1:] == ["1 of 2", "T02"]
    assert page.row(options["same"])[1:] == ["0 of 2"]
    assert "shown first" not in page.text


def test_each_typing_stands_beside_verdict_and_worked_answer(folder):
    desk = Desk(folder, "T06")
    desk.answer(east="ask the mate")
    desk.answer(slip="total", decimal=None)
    desk.put("remark", text="is this the wire angle?")
    _, html = marked(folder)
    assert 'href="register/register-T06.html"' in html
    assert "ask the mate" not in html, "typings stand on the page of whoever typed"
    page = Page(beside(folder, "T06"))
    numbers = dice.given(PLUMB, "T06", 1)
    right = [PLUMB.part(name).say(value) for name, value in PLUMB.solve(numbers).items()]
    for text in (
        *(shown for _, shown in PLUMB.table(numbers)),
        *right,
        *("ask the mate", "not understood", "The total in both parts", "1\xa0min 0\xa0s"),
        "is this the wire angle?",
    ):
        assert " ".join(text.split()) in page.text


def test_a_printer_is_spared_the_typing_until_somebody_opens_it(folder):
    Desk(folder, "T05").answer(east="ask the mate")
    marked(folder)
    html = {code: beside(folder, code) for code in ("T01", "T02", "T03", "T05")}
    assert '<details class="fold">' in html["T05"]
    assert not re.search(r"<details[^>]* open", "".join(html.values()))
    bare = {c: re.sub(r"<details.*?</details>", "", h, flags=re.DOTALL) for c, h in html.items()}
    lines = {code: Page(text).text for code, text in bare.items()}
    assert "ask the mate" not in lines["T05"]
    assert f"1 of {sum(bool(e.marks) for e in BANK.values())} exercises answered" in lines["T01"]
    assert "It lands on the other side" in lines["T02"].partition("Not right since:")[2]
    assert "Not right since" not in lines["T05"], "right since"
    assert ".fold:not([open])" in html["T05"], "left out by a printer"


def test_a_large_class_gets_the_pages_of_trainees_when_asked(folder, monkeypatch):
    monkeypatch.setattr(register, "MOST_PAGES", 3)
    _, html = marked(folder, catalogue=of_every_lesson())
    pages_there = folder / "out" / "register"
    Desk(folder, "T07").answer(of_every_lesson()["grid-total"])
    _, html = marked(folder, catalogue=of_every_lesson())
    assert sorted(path.stem for path in pages_there.iterdir()) == [
        f"register-lesson-{lesson_number(topic)}" for topic in ("deflection", "grid")
    ]  # fmt: skip
    assert "register-T0" not in html
    assert "--each" in html
    _, html = marked(folder, catalogue=of_every_lesson(), each=True)
    assert "register/register-T05.html" in html
    assert "East and north swapped" in beside(folder, "T05")


def test_pages_of_an_earlier_marking_go_and_other_files_stay(folder):
    marked(folder)
    place = folder / "out" / "register"
    (place / "register-notes.html").write_text("<!DOCTYPE html>my own notes", encoding="utf-8")
    (folder / "answers-T05.jsonl").unlink()
    result, _ = marked(folder)
    assert sorted(path.stem for path in place.iterdir()) == [
        "register-T01", "register-T02", "register-T03", "register-notes",
    ]  # fmt: skip
    assert result.left == 0, "its own pages are no strangers"


def test_a_class_by_vessel_and_year(folder):
    Desk(folder / "vessel B", "T11").answer(slip="opposite")
    Desk(folder / "vessel B", "T12").answer(slip="opposite")
    Desk(folder / "vessel B" / "second half", "T13").put("signed in", key="")
    result, html = marked(folder)
    by = {crew.vessel: crew for crew in crews.of_class(result)}
    assert {name: [m.trainee for m in crew.members] for name, crew in by.items()} == {
        "": ["T01", "T02", "T03", "T05"], "vessel B": ["T11", "T12", "T13"],
    }  # fmt: skip
    assert {crew.year for crew in by.values()} == {"2026"}
    assert [shapes.counts for shapes in by["vessel B"].lessons] == [(0, 0, 2, 1)]
    page = Page(html)
    row = page.row("vessel B", holds="It lands")
    assert row[:4] == ["vessel B", "2026", "3", "It lands on the other side, 2 of 2"]


def test_of_many_groups_to_teach_again_the_first_two_dozen_are_shown(tmp_path):
    catalogue, place = of_every_lesson(), tmp_path / "class"
    for desk in (Desk(place, "T21"), Desk(place, "T22")):
        for topic in LESSONS:
            desk.answer(catalogue[f"{topic}-plumb-offset"], slip="opposite")
            desk.answer(catalogue[f"{topic}-total"], slip="sum")
    _, html = marked(place, catalogue=catalogue)
    shown = html[html.index('<table class="groups">') :].partition("</table>")[0]
    assert shown.count('<td class="who">T21 T22</td>') == 24
    of = 2 * len(LESSONS)
    assert f"{of - 24} smaller groups more" in html
    assert '<table class="crews">' not in html, "all of one crew"
    assert 'id="crew-' not in html


def test_troubles_stand_on_the_page(folder):
    (folder / "notes.txt").write_bytes(b"")
    with open(folder / "answers-T01.jsonl", "ab") as out:
        out.write(b"torn")
    result, html = marked(folder)
    page = Page(html)
    assert result.left == 2
    assert "2 lines or files left unread" in page.text
    assert page.row("notes.txt") == ["notes.txt", "not an answer sheet (answers-CODE.jsonl); left."]
    assert "1 line skipped" in page.marks("T01")
    assert "2 lines or files left unread" in page.text[: page.text.index("The class at a glance")]


def cell(**marks):
    return mark_cells.mark_cell(Standing("k", **marks))


def test_shapes_change_at_their_limits():
    assert cell(best=0.8, first=0.0) == Cell("full", "80", "0 at first")
    assert cell(best=0.79, first=0.79).shape == "half"
    assert cell(best=2 / 3, first=1 / 3) == Cell("half", "67", "33 at first")
    assert cell(best=0.5).small == "none at first"
    assert cell(best=0.5).shape == "half"
    assert cell(best=0.49).shape == "empty"
    assert cell(best=0.0).shape == "empty"
    assert cell().shape == "none"
    assert cell(shown=[1], after_shown=2).small == "shown"
    assert cell(not_understood=2).small == "not understood"
    assert mark_cells.mark_cell(None).small == "not begun"


def test_a_lesson_says_whether_it_was_begun(tmp_path):
    """Looked at and not answered has no mark yet; what is not answered counts 0 in the mean."""
    desk = Desk(tmp_path / "class")
    desk.put("shown")
    (member,) = register_of(tmp_path / "class").members
    lesson = [one for one in DEFLECTION.values() if one.marks]
    assert mark_cells.lesson_cell(member, lesson) == Cell("none", "–", "no mark yet")
    others = mark_cells.of_topic(BANK, "grid")
    assert mark_cells.lesson_cell(member, others) == Cell("none", "–", "not begun")
    desk.answer(TOTAL)
    (member,) = register_of(tmp_path / "class").members
    mean = str(round(100 / len(lesson)))
    assert mark_cells.lesson_cell(member, lesson) == Cell(
        "empty", mean, f"{mean} at first", f"1/{len(lesson)}"
    )
    assert mark_cells.lesson_cell(member, [TOTAL]) == Cell("full", "100", "100 at first")


@pytest.mark.parametrize(
    ("begun", "last", "words"),
    [
        ((2026, 3, 16), (2026, 3, 16), "16 March 2026"),
        ((2026, 3, 16), (2026, 3, 18), "16 to 18 March 2026"),
        ((2026, 3, 30), (2026, 4, 2), "30 March 2026 to 2 April 2026"),
        ((2025, 3, 16), (2026, 3, 16), "16 March 2025 to 16 March 2026"),
        (None, (2026, 3, 16), ""),
        ((2026, 3, 16), None, ""),
    ],
)
def test_from_the_first_answer_to_the_last_in_words(begun, last, words):
    assert mark_cells.dates(*(at and datetime(*at, tzinfo=UTC) for at in (begun, last))) == words


@pytest.mark.parametrize(
    ("more", "note"),
    [
        ({"left": 1}, "1 line skipped"),
        ({"left": 3}, "3 lines skipped"),
        ({"files": ["a", "b"]}, "2 sheets merged"),
        ({"remarks": ["a word"]}, "left a remark"),
        ({"standings": {}}, "nothing answered"),
        ({"standings": {"k": Standing("k")}}, "no answer that counts"),
        ({"standings": {"k": Standing("k", answers=1, remarks=["a word"])}}, "left a remark"),
    ]
    + [
        ({"standings": {"k": Standing("k", answers=1, flags=Counter({flag: 2}))}}, note)
        for flag, note in {
            report.CHANGED: "2 changed after writing",
            report.NOT_DRAWN: "2 not on the numbers drawn",
            report.NO_NUMBERS: "2 without given numbers",
            report.TURN_SKIPPED: "2 at a turn that skips",
            "of edition 7, marked from its own numbers": "2 of another edition",
        }.items()
    ],
)
def test_each_thing_to_know_with_the_marks_is_one_remark(more, note):
    plain = {
        "trainee": "T07", "files": ["answers-T07.jsonl"], "remarks": [], "left": 0, "troubles": 0,
        "standings": {"k": Standing("k", answers=1)}, "check": None,
    }  # fmt: skip
    assert mark_cells.notes_on(mark_cells.Member(**plain)) == []
    assert mark_cells.notes_on(mark_cells.Member(**(plain | more))) == [note]


def of_every_lesson():
    """Return the exercises of the deflection under the name of each lesson."""
    catalogue = {}
    for topic in LESSONS:
        for exercise in DEFLECTION.values():
            key = exercise.key.replace("deflection", topic)
            catalogue[key] = dataclasses.replace(exercise, key=key, topic=topic)
    return catalogue


def test_one_column_for_each_lesson_once_there_are_several(folder):
    topics, catalogue = LESSONS, of_every_lesson()
    desk = Desk(folder, "T07")
    for topic in topics:
        for exercise in [e for e in catalogue.values() if e.topic == topic and e.marks]:
            desk.answer(exercise, slip="sum" if exercise.key == "grid-total" else None)
    _, html = marked(folder, catalogue=catalogue)
    page = Page(html)
    head = page.row("name, by hand")
    assert head[2:-1] == [text for n, topic in enumerate(topics, 1) for text in (f"{n:02d}", topic)]
    front = page.marks("T07")[1:]
    assert front.count("100") == len(topics) - 1
    of = sum(bool(e.marks) for e in DEFLECTION.values())
    assert str(round(100 - 50 / of)) in front
    for number in range(1, len(topics) + 1):
        lesson = Page(beside(folder, f"lesson-{number:02d}"))
        assert sum(row[:1] == ["right at first"] for row in lesson.rows) == 1


# Nothing on it does anything -------------------------------------------------------------


def test_the_pages_are_closed_and_refer_to_each_other_alone(tmp_path):
    demo.write(tmp_path / "class", 5)
    result, _ = marked(tmp_path / "class")
    out = tmp_path / "class" / "out"
    found = sorted(out.rglob("*.html"))
    assert len(found) == 1 + len(result.topics) + 4, "one of five never handed in"
    for path in found:
        html = path.read_text(encoding="utf-8")
        page = Page(html)
        assert "<script" not in html
        assert not {"script", "img", "iframe", "link", "object", "form"} & set(page.tags)
        policy = "content=\"default-src 'none'; style-src 'unsafe-inline'\""
        assert policy in html[:600]
        for name, value in page.refers:
            if name == "href" and not value.startswith("#"):
                assert (path.parent / value).resolve() in found, value
            elif name != "href":
                assert name == "style"
                assert value.startswith("width: ")
        assert not re.search(r"https?://|url\(|@import", html)
        assert "@page { size: A4 landscape" in html


@pytest.mark.parametrize("text", HOSTILE)
def test_what_somebody_typed_stays_text(tmp_path, text):
    desk = Desk(tmp_path / "class")
    desk.answer(east=text, north=text)
    desk.put("remark", text=text)
    desk.put("remark", text=text, key="")
    desk.put("answered", key=text, given={}, typed={text: text}, decimal=text)
    result, html = marked(tmp_path / "class")
    Page(html)
    html = html + beside(tmp_path / "class", "T07")
    page = Page(html)
    assert not {"script", "img"} & set(page.tags)
    assert " ".join(pages.shown(text).split()) in page.text
    visible = re.sub(r"[\n\u202f]", "", html)
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u202a-\u202e\u2066-\u2069]", visible)
    assert len(html) < 120_000
    for row in table(result.csv):
        for value in row.values():
            assert not re.search(r"(^|[,;\t|\"])\s*[=+@\-＝＋－＠]", value), value
    raw = result.csv.read_text(encoding="utf-8-sig")
    assert not re.search("[\x00-\x09\x0b\x0c\x0e-\x1f\u202e]", raw)


@pytest.mark.skipif(os.name == "nt", reason="Windows allows no such name")
def test_a_folder_with_a_hostile_name(tmp_path):
    place = tmp_path / "<b>class & co"
    Desk(place).answer()
    _, html = marked(place)
    Page(html)
    assert "<b>class" not in html


# The table -------------------------------------------------------------------------------


def test_one_row_for_each_trainee_and_exercise(folder):
    result, _ = marked(folder)
    assert result.csv.read_bytes().startswith(b"\xef\xbb\xbf")
    rows = table(result.csv)
    assert [(r["code"], r["exercise"]) for r in rows] == [
        (code, key) for code in ("T01", "T02", "T03", "T05") for key in DEFLECTION
    ]
    row = {(r["code"], r["exercise"]): r for r in rows}["T03", PLUMB.key]
    assert row["lesson"] == "08"
    assert (row["best %"], row["first %"], row["state"]) == ("0", "0", "not right")
    assert (row["answers"], row["turns"], row["worked answer shown"]) == ("3", "2", "1")
    assert row["slips"] == "It lands on the other side (2); East and north swapped (1)"
    assert row["first answer (UTC)"] == "2026-03-16 09:01:00"
    assert {r["state"] for r in rows if r["code"] == "T01"} == {"said", "right", "not begun"}


@pytest.mark.parametrize(("wanted", "separator"), [(";", ";"), ("tab", "\t"), (",", ",")])
def test_separators(folder, wanted, separator):
    result, _ = marked(folder, separator=wanted)
    rows = table(result.csv, separator)
    assert set(rows[0]) == set(tables.COLUMNS)
    assert None not in rows[0]


# Writing ---------------------------------------------------------------------------------


def test_marking_again_gives_the_same_and_leaves_the_sheets_alone(folder):
    sheets = {path: path.read_bytes() for path in folder.rglob("*.jsonl")}
    first, html = marked(folder, folder)
    text = first.csv.read_bytes()
    again, same = marked(folder, folder)
    assert again.csv.read_bytes() == text
    now = re.compile(r"marked [^<]*UTC")
    assert now.sub("", same) == now.sub("", html)
    assert again.left == 0, "its own register is no stranger"
    assert {path: path.read_bytes() for path in folder.rglob("*.jsonl")} == sheets


def test_a_register_that_is_open_elsewhere_is_kept_whole(folder, monkeypatch, capsys):
    out = folder / "out"
    _, before = marked(folder, out)

    def in_use(*names):
        raise PermissionError(13, "Permission denied", *names)

    monkeypatch.setattr(os, "replace", in_use)
    assert main(["mark", str(folder), "--out", str(out)]) == 2
    assert "open in another program" in capsys.readouterr().err
    assert (out / "register.html").read_text(encoding="utf-8") == before
    assert sorted(path.name for path in out.iterdir()) == [
        "register",
        "register.csv",
        "register.html",
        "statistics.csv",
    ]


# The commands ----------------------------------------------------------------------------


def run(*arguments, **environment):
    return subprocess.run(
        [sys.executable, "-m", "exercises", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        check=False,
        timeout=120,
    )


def test_exit_status_and_what_is_said(folder, tmp_path, capsys):
    out = tmp_path / "out"
    assert main(["mark", str(folder), "--out", str(out)]) == 0
    said = capsys.readouterr()
    assert "4 trainees, 10 answers marked." in said.out
    assert said.err == "", "quiet where there is no terminal"
    (folder / "answers-T08.jsonl").write_bytes(b"torn")
    (folder / "holiday.jpg").write_bytes(b"")
    assert main(["mark", str(folder), "--out", str(out), "--separator", ";"]) == 1
    said = capsys.readouterr()
    assert said.err.splitlines() == [
        "answers-T08.jsonl: sheet of T08; 0 answers; line 1: torn off before its end; skipped.",
        "holiday.jpg: not an answer sheet (answers-CODE.jsonl); left.",
    ]
    assert "Left unread: 2" in said.out
    assert b"code;lesson" in (out / "register.csv").read_bytes()


@pytest.mark.parametrize("which", ["folder", "out"])
def test_a_file_in_the_place_of_a_folder_is_said(folder, tmp_path, capsys, which):
    file = tmp_path / "answers-T01.jsonl"
    file.write_bytes(b"")
    places = {"folder": folder, "out": tmp_path / "out", which: file}
    assert main(["mark", str(places["folder"]), "--out", str(places["out"])]) == 2
    assert capsys.readouterr().err == f"{file}: this is a file, not a folder.\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["mark", "nowhere", "--out", "out"], "nowhere"),
        (["mark", ".", "--out", "out"], "no answer sheet"),
        (["mark", "."], "--out"),
        (["mark", ".", "--out", "o", "--separator", "x"], "separator"),
        (["frob"], "frob"),
        (["answers", "deflection-totl", "--trainee", "T07"], "deflection-total"),
        (["answers", "deflection-total", "--trainee", "../T07"], "trainee code"),
        (["answers", "deflection-total", "--trainee", "T07", "--turn", "0"], "turn"),
        (["answers", "deflection-total", "--trainee", "T07", "--turn", "two"], "two"),
        (["demo", "class", "--trainees", "0"], "from 1"),
        (["demo", "class", "--trainees", "1000"], "999"),
    ],
)
def test_nothing_done_is_2_and_one_sentence_says_why(
    tmp_path, monkeypatch, capsys, arguments, said
):
    monkeypatch.chdir(tmp_path)
    try:
        status = main(arguments)
    except SystemExit as stopped:
        status = stopped.code
    assert status == 2
    error = capsys.readouterr().err
    assert said in error
    assert "Traceback" not in error
    assert not list(tmp_path.iterdir())


def test_without_arguments_it_helps(capsys):
    assert main([]) == 2
    assert capsys.readouterr().out == help_text()
    with pytest.raises(SystemExit) as stopped:
        main(["--help"])
    assert stopped.value.code == 0
    assert capsys.readouterr().out == help_text()


@pytest.mark.parametrize("key", BANK)
def test_answers_gives_numbers_worked_answer_and_every_slip(capsys, key):
    exercise = BANK[key]
    assert main(["answers", key, "--trainee", "t07", "--turn", "2"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    numbers = dice.given(exercise, "T07", 2)
    for _, shown in exercise.table(numbers):
        assert " ".join(shown.split()) in text
    for asked in exercise.asked:
        assert " ".join(asked.say(exercise.solve(numbers)[asked.name]).split()) in text
    for slip, route in exercise.wrong(numbers).items():
        assert " ".join(exercise.slip(slip).name.split()) in text
        for name, value in route.items():
            assert " ".join(exercise.part(name).say(value).split()) in text
    assert "**" not in text


def test_demo_then_mark_on_a_stream_that_knows_no_greek(tmp_path):
    place = tmp_path / "Jørgen’s class"
    made = run("demo", place, "--trainees", 2, PYTHONIOENCODING="cp1252")
    assert made.returncode == 0
    assert str(place) in made.stdout.decode("utf-8")
    refused = run("demo", place)
    assert refused.returncode == 2
    assert "already" in refused.stderr.decode("utf-8")
    result = run("mark", place, "--out", place, PYTHONIOENCODING="ascii")
    assert result.returncode == 1, "one line of the made-up class is torn"
    assert b"Traceback" not in result.stderr
    assert len(result.stderr.splitlines()) == 1
    reported = run("answers", PLUMB.key, "--trainee", "T07", PYTHONIOENCODING="ascii")
    assert "ξ" in reported.stdout.decode("utf-8")
    assert sheet.read(place / "answers-T01.jsonl").events
