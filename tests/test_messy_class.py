"""A messy class of 24: each is read, each finding open, and an audit's questions are answered."""

import contextlib
import hashlib
import io
import re

import pytest

from exercises.__main__ import main
from exercises.audit import findings
from exercises.records import course
from tests import messy_class
from tests.test_register import Page

pytestmark = pytest.mark.full  # half a minute


@pytest.fixture(scope="module")
def class_of_24(tmp_path_factory):
    home = tmp_path_factory.mktemp("messy")
    return home / "class", messy_class.write(home / "class"), home


@pytest.fixture(scope="module")
def marked(class_of_24):
    folder, _, home = class_of_24
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(["mark", str(folder), "--out", str(home / "out")])
    return status, out.getvalue(), err.getvalue()


@pytest.fixture(scope="module")
def records(class_of_24):
    folder, _, home = class_of_24
    words = ["record", str(folder), "--trainee", "all", "--pass", "70"]
    assert main([*words, "--out", str(home / "records.html")]) in (0, 1)
    return {
        path.stem.removeprefix("record-"): path for path in (home / "records").glob("record-*.html")
    }


def open_kinds(path):
    text = path.read_text(encoding="utf-8")
    held = text.partition('<section class="held">')[2].partition("</section>")[0]
    kinds = {title: kind for kind, title in findings.KINDS.items()}
    return {kinds[title] for title in re.findall(r"<b>([^<]*?)\.</b>", held) if title in kinds}


def test_every_row_has_its_finding_and_the_honest_have_none(class_of_24, records):
    _, expected, _ = class_of_24
    assert set(records) == {row.replace("/", "-") for row in expected} | {"T25"}
    wrong = {
        row: open_kinds(records[row.replace("/", "-")])
        for row, kind in expected.items()
        if (kind not in open_kinds(records[row.replace("/", "-")]))
        if kind
    }
    wrong |= {
        row: open_kinds(records[row])
        for row, kind in expected.items()
        if not kind and open_kinds(records[row])
    }
    assert not wrong


def test_the_console_has_a_line_a_file(class_of_24, marked):
    folder, _, _ = class_of_24
    status, out, err = marked
    reported = [line.split(": ")[0] for line in (out + err).splitlines() if ": " in line]
    files = [path for path in folder.rglob("*") if path.is_file() and path.suffix != ".lock"]
    for path in files:
        if path.name in ("class.toml", "overrides.jsonl"):
            continue  # ours, and nothing is wrong with them
        name = path.relative_to(folder).as_posix()
        lines = [file for file in reported if file == name or file.startswith(f"{name} › ")]
        assert len(lines) == 1, name
    assert status == 1
    assert "vessel A/answers-T03.txt: sheet of T03; UTF-16, 15 answers." in out
    assert "vessel A/from T06.zip › answers-T06.jsonl: sheet of T06; in a zip archive, " in out
    assert "within another is not opened" in err


def test_the_first_page_names_each_open_finding(class_of_24, marked):
    _, expected, home = class_of_24
    page = Page((home / "out" / "register.html").read_text(encoding="utf-8"))
    for kind in set(expected.values()) - {""}:
        assert findings.KINDS[kind] in page.text


def test_a_record_with_an_open_finding_has_no_tick(class_of_24, records):
    _, expected, _ = class_of_24
    for row, kind in expected.items():
        page = Page(records[row.replace("/", "-")].read_text(encoding="utf-8"))
        assert ("Not to be signed until" in page.text) == bool(kind)
        cells = {cell for cells in page.rows for cell in cells}
        assert not (kind and "passed" in cells)


# What an auditor asks, answered from the files alone ----------------------------------------


def test_who_is_this(records):
    page = Page(records["7KQ2-T10"].read_text(encoding="utf-8"))
    assert "Spring, two vessels , class word 7KQ2" in page.text
    assert "Record of 7KQ2-T10" in page.text
    assert "name, by hand" in page.text


def test_on_what_course_version(records):
    for path in records.values():
        text = Page(path.read_text(encoding="utf-8")).text
        assert f"version {course.VERSION}, digest {course.digest()}" in text


def test_under_what_supervision(records):
    hosted = Page(records["7KQ2-T10"].read_text(encoding="utf-8")).text
    assert re.search(r"20 of 20 answers were given in the class’s room", hosted)
    alone = Page(records["T01"].read_text(encoding="utf-8")).text
    assert "The files say nothing about supervision" in alone


def test_how_do_you_know(class_of_24, records, capsys):
    folder, _, _ = class_of_24
    contents = (folder / "vessel A" / "answers-T01.jsonl").read_bytes()
    text = records["T01"].read_text(encoding="utf-8")
    assert hashlib.sha256(contents).hexdigest() in text
    assert main(["check-record", str(records["T01"]), str(folder)]) == 0
    code = re.search(r'class="code">([^<]+)<', text)[1]
    assert main(["check-record", code, str(folder)]) == 0
    assert capsys.readouterr().out.count("the record of T01") == 2


def test_what_was_changed_by_hand_and_why(records):
    page = Page(records["T11"].read_text(encoding="utf-8"))
    assert "rounded aloud" in page.text, "overrides.jsonl of the vessel is applied"
    assert "rounded aloud" not in Page(records["T01"].read_text(encoding="utf-8")).text
    assert "It does not count" in Page(records["T15"].read_text(encoding="utf-8")).text


def test_is_everything_that_was_sent_accounted_for(class_of_24, marked):
    """Each file with its line, each open finding by name, on the first page; nobody is missed."""
    _, _, home = class_of_24
    page = Page((home / "out" / "register.html").read_text(encoding="utf-8"))
    first = page.text.partition("What was read")[0]
    named = re.findall(r"^(F[0-9A-Z]{5}) (\S+):", marked[1], re.MULTILINE)
    assert len(named) == 16
    assert all(f"{name}" in first for name, _ in named)
    assert "No sheet of" not in first, "T12 is there twice, T10 with the class word"


def test_whose_lines_are_these(records):
    """T14 sent T13's file: both files are named with their lines, and T13 is asked nothing."""
    copied = Page(records["T14"].read_text(encoding="utf-8")).text
    assert "15 lines are those of T13" in copied
    assert "vessel B/answers-T13.jsonl, lines 2 to 16" in copied
    assert "vessel B/answers-T14.jsonl, lines 2 to 16" in copied
    assert not open_kinds(records["T13"])


def test_what_could_not_be_read(records):
    assert "no answer that could be read" in Page(records["T25"].read_text(encoding="utf-8")).text
    assert "14 answers, 1 left unread" in Page(records["T08"].read_text(encoding="utf-8")).text


def test_why_could_it_be_signed_after_all(class_of_24, capsys):
    """Last, because it closes a finding: the reason and the code stand on the record."""
    folder, _, home = class_of_24
    main(["close-finding", str(folder)])
    (name,) = re.findall(r"^(F[0-9A-Z]{5})  T16: ", capsys.readouterr().out, re.MULTILINE)
    words = ["close-finding", str(folder), "--finding", name, "--by", "MK"]
    assert main([*words, "--reason", ""]) != 0
    assert main([*words, "--reason", "typed from a notebook that I have seen"]) == 0
    again = home / "again.html"
    main(["record", str(folder), "--trainee", "T16", "--pass", "70", "--out", str(again)])
    assert "not to be signed" not in capsys.readouterr().out
    text = Page(again.read_text(encoding="utf-8")).text
    assert "typed from a notebook that I have seen" in text
    assert re.search(r"closed by MK on \d+ \w+ \d{4}", text)
    assert main(["check-record", str(again), str(folder)]) == 0
