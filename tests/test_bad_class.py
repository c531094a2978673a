"""One folder with everything wrong in it: each reported in a line, the others marked."""

import csv
import json
import os
import re

import pytest

from exercises.__main__ import main
from exercises.instructor import statements
from exercises.pages import pages
from exercises.register import register
from exercises.sheets import changed_marks, sheet
from tests.test_register import HOSTILE, Page
from tests.test_report import PLUMB, TOTAL, Desk

TIME = "2026-03-16T09:00:00+00:00"
# What a file may be called under Linux; the code before it is read all the same.
NAME = "answers-T05 \u202e<img src=x>\x1b[2J=1+1.jsonl"
pytestmark = pytest.mark.skipif(os.name == "nt", reason="Windows allows no such names and links")


def line(**more):
    event = {"event": "answered", "time": TIME, "key": PLUMB.key, "edition": 1, "turn": 1, **more}
    return json.dumps(event).encode() + b"\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    home = tmp_path_factory.mktemp("bad")
    place = home / "class"
    Desk(place, "T01").answer()
    huge = place / "answers-T02.jsonl"
    Desk(place, "T02").answer()
    os.truncate(huge, 50_000_000)  # 50 MB
    (place / "answers-T03.jsonl").write_bytes(
        b"[" * 30_000 + b"]" * 30_000 + b"\n"
        + line(given={"x": float("nan")}) + line(given={"x": float("inf")})
    )  # fmt: skip
    Desk(home / "outside", "T04").answer()
    (place / "answers-T04.jsonl").symlink_to(home / "outside" / "answers-T04.jsonl")
    desk = Desk(place, "T05", NAME)
    for text in HOSTILE:
        desk.answer(TOTAL, size=text)
        desk.put("remark", TOTAL, text=text)
    Desk(place, "T06").answer(slip="opposite")
    second = Desk(place, "T06", "answers-T06 (1).jsonl")
    second.clock = second.clock.replace(hour=15)
    second.answer()
    for text in HOSTILE:
        change = {"time": TIME, "event": "changed", "trainee": "T01", "key": TOTAL.key}
        change |= {"edition": 1, "mark": 1, "reason": text[:400], "by": "MK"}
        sheet.append(place / changed_marks.NAME, change)
    return place


def run(capsys, *words):
    code = main([str(word) for word in words])
    return code, capsys.readouterr().err.splitlines()


def test_each_trouble_is_one_line_and_the_rest_is_marked(folder, tmp_path, capsys):
    code, reported = run(capsys, "mark", folder, "--out", tmp_path)
    assert code == 1
    assert [t for t in reported if "answers-T02" in t and "50 MB is too large" in t]
    assert [t for t in reported if "answers-T02" in t and "1 more in the register" in t]
    assert len([t for t in reported if "answers-T03" in t]) == 1
    assert [t for t in reported if t == "answers-T04.jsonl: a symbolic link; not followed."]
    assert [t for t in reported if "2 sheets of T06, merged by time" in t]
    assert len(reported) == 4
    page = Page((tmp_path / "register.html").read_text(encoding="utf-8"))
    assert "100" in page.marks("T01")
    assert "100" in page.marks("T06")
    with open(tmp_path / "register.csv", encoding="utf-8-sig", newline="") as lines:
        rows = {(r["code"], r["exercise"]): r for r in csv.DictReader(lines)}
    assert (rows["T06", PLUMB.key]["first %"], rows["T06", PLUMB.key]["best %"]) == ("0", "100")
    assert "T04" not in {code for code, _ in rows}


@pytest.mark.parametrize("what", ["mark", "record", "record --typing"])
def test_nothing_typed_steers_a_page_a_table_or_a_terminal(folder, tmp_path, capsys, what):
    out, more = (tmp_path, ()) if what == "mark" else (tmp_path / "page.html", ("--trainee", "all"))
    _, reported = run(capsys, *what.split(), folder, "--out", out, *more)
    unseen = re.compile("[\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u202a-\u202e\u2066-\u2069]")
    assert not any(unseen.search(text) for text in reported)
    for path in [path for path in tmp_path.rglob("*.*") if path.is_file()]:
        text = path.read_text(encoding="utf-8-sig")
        assert not unseen.search(re.sub("[\r\n\u202f]", "", text))
        if path.suffix == ".html":
            assert not {"script", "img"} & set(Page(text).tags)
            continue
        for row in csv.reader(text.splitlines()):
            for cell in row:
                assert not re.search(r"(^|[,;\t|\"])\s*[=+@\-＝＋－＠]", cell), cell


def test_the_records_of_all_report_the_same_troubles(folder, tmp_path, capsys):
    _, marked = run(capsys, "mark", folder, "--out", tmp_path)
    out = tmp_path / "record.html"
    code, reported = run(capsys, "record", folder, "--trainee", "all", "--out", out)
    assert (code, reported) == (1, marked)
    assert run(capsys, "record", folder, "--trainee", "T01", "--out", out) == (0, [])


def test_reasons_are_shown_as_text(folder, tmp_path):
    register.write(folder, tmp_path)
    page = Page((tmp_path / "register.html").read_text(encoding="utf-8"))
    last = pages.shown(HOSTILE[-1], 400)
    assert last in page.text
    assert "100" in page.marks("T01")


def test_statements_hold_no_number_that_is_none(folder, tmp_path):
    def never(name):
        raise AssertionError(name)

    written = statements.write(folder, tmp_path / "s.json")
    found = json.loads((tmp_path / "s.json").read_bytes().decode("utf-8"), parse_constant=never)
    assert len(found) == written.statements >= 2 * len(HOSTILE) + 4
    assert written.left >= 5


def test_what_a_terminal_would_obey_is_made_visible(folder, capsys):
    main(["forget", str(folder), "--trainee", "T05"])  # no terminal: nobody types the code
    reported = capsys.readouterr().out
    assert "[U+001B]" in reported
    assert "\x1b" not in reported
    assert (folder / NAME).exists()
