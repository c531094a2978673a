"""
Whatever one person hands in, the others' results are byte for byte the same, and nothing raises.

A hundred thousand of these inputs: python -m tests.endurance.endure_hostile
"""

import csv
import itertools
import json
import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from exercises.audit import received
from exercises.instructor import statements
from exercises.instructor.class_folder import ClassFolder
from exercises.paper import paper, paper_marking, paper_pages
from exercises.records import record
from exercises.register import register
from exercises.sheets import changed_marks, intake, report, roster, session, sheet
from exercises.trainee import progress, review
from exercises.trainee.practice import Practice
from tests import hostile
from tests.test_report import PLUMB, TOTAL, Desk

FEW = settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
LESSON = "08"
SAYS = {"T01": {"slip": "opposite"}, "T02": {}}


# A class -------------------------------------------------------------------------------


def honest(folder):
    """Write the sheets of two trainees who did nothing strange."""
    for who, how in SAYS.items():
        desk = Desk(folder, who)
        desk.answer(**how)
        desk.answer(TOTAL)
        desk.put("shown", TOTAL)


def outcome(folder, out):
    """Return all that an instructor gets of the two honest trainees, as bytes."""
    register.write(folder, out)
    record.write(folder, out / "records.html", None, terms=record.Terms(record.rule("70")))
    for who in SAYS:
        record.write(folder, out / f"record-{who}.html", who, terms=record.Terms(record.rule("70")))
    statements.write(folder, out / "statements.json")
    with open(out / "register.csv", encoding="utf-8-sig", newline="") as rows:
        # Of a lesson that another opened everybody has rows, with nothing in them.
        table = [row for row in csv.reader(rows) if row[0] in SAYS and row[1] == LESSON]
    stated = json.loads((out / "statements.json").read_text(encoding="utf-8"))
    return {
        "rows": table,
        "records": [(out / f"record-{who}.html").read_bytes() for who in SAYS],
        "stated": [s for s in stated if s["actor"]["account"]["name"] in SAYS],
    }


class Class:
    """Two honest trainees in a folder, and what comes of them when others hand in beside them."""

    def __init__(self, home):
        self.home, self.clean = Path(home), Path(home) / "clean"
        honest(self.clean)
        self.alone = outcome(self.clean, self.home / "alone")
        assert len(self.alone["rows"]) > 2
        assert len(self.alone["stated"]) == 6

    def holds(self, files, other=()):
        """Assert that files handed in, {name: bytes}, change nothing for the two."""
        with tempfile.TemporaryDirectory(dir=self.home) as name:
            folder = Path(name) / "class"
            shutil.copytree(self.clean, folder)
            for file, contents in files.items():
                (folder / file).write_bytes(contents)
            for make in other:
                make(folder)
            assert outcome(folder, Path(name) / "out") == self.alone


@pytest.fixture(scope="module")
def course(tmp_path_factory):
    return Class(tmp_path_factory.mktemp("hostile"))


def sheet_files(handed_in):
    """Return sheets as files of T99, T98 and so on, some of one code, as (bytes, lines) come."""
    names = itertools.cycle(
        ["answers-T99.jsonl", "answers-T98.jsonl", "answers-T98 (1).jsonl", *(
            f"answers-T{n}.jsonl" for n in range(80, 97))]
    )  # fmt: skip
    return {name: contents for name, (contents, _) in zip(names, handed_in, strict=False)}


@given(st.lists(hostile.sheets, min_size=1, max_size=5), hostile.changes)
@FEW
def test_no_sheet_and_no_changed_mark_touches_the_others(course, handed_in, changes):
    course.holds(sheet_files(handed_in) | {changed_marks.NAME: changes[0]})


# Each case as it was found ---------------------------------------------------------------


def one_line(**more):
    """Return a sheet with one answer to the plumb-line exercise, its digest worked out anew."""
    event = hostile.answered(PLUMB.key) | more
    return json.dumps(event | {"digest": sheet.digest(event)}).encode() + b"\n"


def link_to_itself(folder):
    (folder / "answers-T99.jsonl").symlink_to(folder / "answers-T99.jsonl")


def pipe(name):
    return lambda folder: os.mkfifo(folder / name)


def folder_named(name):
    return lambda folder: (folder / name).mkdir()


def answer_of(key, **numbers):
    event = hostile.answered(key)
    event["given"] |= numbers
    return json.dumps(event | {"digest": sheet.digest(event)}).encode() + b"\n"


FILES = {
    "half a character in a nudge": json.dumps(
        hostile.beside("nudged", PLUMB.key, nudge="\ud800")
    ).encode(),
    "half a character in a given text": one_line(given={"xi": 1.0, "eta": 1.0, "depth": "\ud800"}),
    "half a character as a given name": one_line(given={"\ud800": 1.0}),
    "an ellipsoid that is none": answer_of("ellipsoid-radii", ellipsoid="x"),
    "a depth below nothing": answer_of(PLUMB.key, depth=-1),
    "a year before there is time": one_line(time="0001-01-01T00:00:00+14:00"),
    "a year after the last": one_line(time="9999-12-31T23:59:59-14:00"),
}
PLACES = {
    "a link to itself": link_to_itself,
    "a pipe as the changed marks": pipe(changed_marks.NAME),
    "a folder as the changed marks": folder_named(changed_marks.NAME),
    "a pipe as the changed marks of earlier editions": pipe(changed_marks.FORMER),
    "a pipe as a sheet": pipe("answers-T99.jsonl"),
    "a folder named as a sheet": folder_named("answers-T99.jsonl"),
}


@pytest.mark.parametrize("contents", FILES.values(), ids=FILES.keys())
def test_a_line_once_fatal_costs_nobody_else_anything(course, contents):
    course.holds({"answers-T99.jsonl": contents})


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such files")
@pytest.mark.parametrize("make", PLACES.values(), ids=PLACES.keys())
def test_what_is_no_file_is_reported_and_costs_nobody_else_anything(course, tmp_path, make):
    course.holds({}, [make])
    make(tmp_path)
    result = register.write(tmp_path, tmp_path / "out")
    found = received.find(tmp_path)
    marks = changed_marks.read(tmp_path / changed_marks.NAME)
    reported = [*map(str, found.troubles), *marks.troubles, *marks.former_troubles]
    assert result.html is None
    assert reported


@pytest.mark.skipif(os.name == "nt", reason="Windows allows no such names")
def test_a_line_break_in_a_name_makes_no_second_message(tmp_path):
    (tmp_path / "answers-T99\nanswers-T01.jsonl: 20 lines are missing.jsonl").write_bytes(b"x")
    (tmp_path / "notes\nanswers-T02.jsonl: torn.").write_bytes(b"x")
    (tmp_path / os.fsdecode(b"caf\xe9")).write_bytes(b"x")
    every = ClassFolder(tmp_path)
    assert [one.trainee for one in every.reports()] == ["T99"]
    reported = [str(line) for line in every.files]
    assert len(reported) == 3
    assert not any("\n" in text for text in reported)
    "".join(reported).encode("utf-8")


def test_folders_too_deep_are_reported(tmp_path):
    deep = tmp_path.joinpath(*"abcdefghijkl")
    deep.mkdir(parents=True)
    (deep / "answers-T01.jsonl").write_bytes(b"")
    found = received.find(tmp_path)
    assert not found.sheets
    assert "more than 8 folders deep" in str(found.troubles[0])


# Cost ------------------------------------------------------------------------------------


def test_half_a_megabyte_of_junk_makes_few_messages_and_a_small_register(course, tmp_path):
    folder = tmp_path / "class"
    shutil.copytree(course.clean, folder)
    junk = b"\n".join(
        (b"x", b"[]", b"\xff", b'{"event": "answered"}', one_line(key=f"k{n}").strip())[n % 5]
        for n in range(9000)
    )
    (folder / "answers-T99.jsonl").write_bytes(junk)
    result = register.write(folder, tmp_path / "out")
    assert len(result.troubles) <= intake.MOST_MESSAGES + report.MOST_STRANGERS + 3
    assert result.left > 8000
    alone = (course.home / "alone" / "register.html").stat().st_size
    assert result.html.stat().st_size < alone + 30_000


def test_one_exercise_is_marked_so_often_and_not_more(tmp_path, monkeypatch):
    monkeypatch.setattr(report, "MOST_ANSWERS", 5)
    desk = Desk(tmp_path)
    for number in range(9):
        desk.answer(east=str(number))
    one = desk.marked()
    assert (one.standings[PLUMB.key].answers, one.left) == (5, 4)
    assert [t.text for t in one.troubles] == [
        f"{PLUMB.key}: more than 500 answers; not marked. (4 times)".replace("500", "5")
    ]


def test_of_many_files_and_lines_of_one_code_so_many_are_read(tmp_path, monkeypatch):
    monkeypatch.setattr(report, "MOST_LINES", 30)
    for number in range(25):
        Desk(tmp_path, name=f"answers-T07 ({number:02d}).jsonl").answer(east=str(number))
        Desk(tmp_path, "T08", name=f"answers-T08 ({number % 2}).jsonl").answer(east=str(number))
    found = received.find(tmp_path)
    one = report.mark("T07", found.sheets["T07"], folder=tmp_path)
    assert (one.standings[PLUMB.key].answers, one.left) == (20, 5)
    for number in range(25):
        Desk(tmp_path, "T08", name=f"answers-T08 ({number % 2}).jsonl").answer(east=f"2{number}")
    one = report.mark("T08", found.sheets["T08/1"] + found.sheets["T08/2"], folder=tmp_path)
    assert (one.standings[PLUMB.key].answers, one.left) == (32, 18)
    assert any("more than 30 lines of T08" in t.text for t in one.troubles)


# First is first ----------------------------------------------------------------------------


def handed_in(desk, to):
    """Put the copy that is handed in into the class's folder and mark it."""
    to.mkdir(exist_ok=True)
    (to / desk.path.name).write_bytes(sheet.handed_in(desk.path))
    return report.mark(desk.trainee, [to / desk.path.name], folder=to)


def cut(path, lines=1):
    held = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(held[:-lines]))


@pytest.mark.parametrize("before", ["shown", "answered"])
def test_the_end_cut_off_and_answered_anew_is_reported(tmp_path, before):
    desk = Desk(tmp_path / "own")
    desk.put("signed in")
    desk.put("shown") if before == "shown" else desk.answer(slip="opposite")
    cut(desk.path)
    desk.answer()
    one = handed_in(desk, tmp_path / "class")
    assert one.standings[PLUMB.key].first == 1.0, "the lines are gone"
    reported = " ".join(map(str, one.troubles))
    assert "a line before it is missing" in reported
    assert "counts 3 lines before it; 2 are here" in reported


def test_a_copy_without_its_end_is_reported_beside_the_others(tmp_path):
    for who in ("T01", "T02", "T03"):
        handed_in_by = Desk(tmp_path / "own", who)
        handed_in_by.answer()
        handed_in(handed_in_by, tmp_path / "class")
    assert not register.write(tmp_path / "class", tmp_path / "out").findings
    cut(tmp_path / "class" / "answers-T02.jsonl")
    marked = register.write(tmp_path / "class", tmp_path / "out")
    assert [(one.kind, one.trainee) for one in marked.findings] == [("closing", "T02")]
    assert [line.file for line in marked.files if "no closing line" in line.text] == [
        "answers-T02.jsonl"
    ]


def test_a_chosen_turn_and_an_answer_without_numbers_are_reported(tmp_path):
    desk = Desk(tmp_path)
    desk.answer()
    desk.put("new numbers", turn=2)
    desk.answer(turn=2)
    assert not desk.marked().troubles
    desk.answer(turn=54321)
    desk.answer(TOTAL)
    place = {"typed": {"size": "1"}, "decimal": "."}
    desk.put("answered", TOTAL, **place)
    one = desk.marked()
    assert one.standings[PLUMB.key].flags == {report.TURN_SKIPPED: 1}
    assert one.standings[TOTAL.key].flags == {report.NO_NUMBERS: 1}
    reported = " ".join(map(str, one.troubles))
    assert f"1 answer, {PLUMB.key}: the turns before it are not on the sheet" in reported
    assert f"1 answer, {TOTAL.key}: the line has no given numbers" in reported


# One's own sheet ---------------------------------------------------------------------------


def own_sheet(folder, contents):
    """Sign in, put bytes on one's own sheet, and go on with the lessons that it names."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(session.FOLDER_VARIABLE, str(folder))
        session.sign_in("T99")
        path = session.open().sheet
        with open(path, "ab") as out:
            out.write(contents)
        for key in {e.get("key") for e in sheet.read(path).events} & set(hostile.BANK):
            practice = Practice(hostile.BANK[key])
            if practice.exercise.nudges:
                practice.nudge()
            practice.show()
            practice.new_numbers()
        found = progress.marked(session.open())
        progress.of(found)
        review.session(found)
        assert session.hand_in()[1].startswith(path.read_bytes().rstrip(b"\n"))


@given(hostile.sheets)
@FEW
def test_no_sheet_of_ones_own_stops_a_lesson(tmp_path_factory, handed_in):
    own_sheet(tmp_path_factory.mktemp("own"), handed_in[0])


# Papers, rosters, settings, files that were sent ---------------------------------------------


class Exam:
    """A closed paper of three people, two of whom hand in nothing strange."""

    def __init__(self, home):
        self.home = Path(home)
        setting = self.home / "setting.toml"
        setting.write_text("\n".join(hostile.SETTING), encoding="utf-8")
        people = [roster.Person("T01"), roster.Person("T02"), roster.Person("T03")]
        self.paper = paper.prepare(paper.read_setting(setting), people, "a phrase for the tests")
        self.alone = self.marked(self.home / "alone")

    def marked(self, folder, files=()):
        """Return what comes of T01 and T03 when T02 hands in files, [(name, bytes)]."""
        folder.mkdir()
        for place in (0, 2):
            number = self.paper.sittings[place].paper
            held = hostile.FORM | {"paper": self.paper.name, "number": number, "code": ""}
            (folder / f"{number}.json").write_text(json.dumps(held), encoding="utf-8")
        number = self.paper.sittings[1].paper.encode()
        for name, contents in files:
            known = contents.replace(b"PAPER", self.paper.name.encode())
            (folder / name).write_bytes(known.replace(b"NUMBER", number))
        outcome = paper_marking.mark_class(self.paper, folder)
        paper_pages.result_page(outcome).encode("utf-8")
        "".join(paper_pages.result_csv(outcome, ",")).encode("utf-8")
        assert all(len(str(t).splitlines()) == 1 for t in outcome.troubles)
        return [
            (r.total, r.notes, r.marked) for r in outcome.results if r.sitting.person.code != "T02"
        ]

    def holds(self, files):
        """Assert that T02's files change nothing for the other two."""
        with tempfile.TemporaryDirectory(dir=self.home) as name:
            assert self.marked(Path(name) / "in", files) == self.alone


@pytest.fixture(scope="module")
def exam(tmp_path_factory):
    return Exam(tmp_path_factory.mktemp("exam"))


@given(st.lists(hostile.forms, max_size=5), hostile.tables)
@FEW
def test_no_form_and_no_table_touches_the_others(exam, forms, table):
    exam.holds([(f"x{n}.json", form) for n, form in enumerate(forms)] + [("x.csv", table)])


@pytest.mark.parametrize("saved", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00"])
def test_a_form_saved_at_the_end_of_the_calendar(exam, saved):
    exam.holds([("x.json", json.dumps(hostile.FORM | {"saved": saved}).encode())])


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such files")
def test_what_is_no_form_is_reported(exam, tmp_path):
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "self.json").symlink_to(folder / "self.json")
    (folder / "folder.json").mkdir()
    os.mkfifo(folder / "pipe.json")
    reported = " ".join(map(str, paper_marking.mark_class(exam.paper, folder).troubles))
    assert "self.json: a symbolic link; not followed." in reported
    assert "folder.json: is a folder or no file; not read." in reported
    assert "pipe.json: is a folder or no file; not read." in reported


def says(read, contents, path):
    """Return what a file holds, or the sentence that refuses it: writable, and short enough."""
    path.write_bytes(contents)
    try:
        return read(path), ""
    except ValueError as error:
        refused = str(error)
    assert 0 < len(refused.encode("utf-8")) < 5000
    return None, refused


@given(hostile.rosters)
@FEW
def test_a_roster_is_understood_or_refused(tmp_path_factory, contents):
    found, refused = says(roster.read, contents, tmp_path_factory.mktemp("r") / "class.csv")
    assert refused or len({person.code for person in found}) == len(found) > 0


def test_a_roster_of_a_hundred_thousand_is_refused_at_once(tmp_path):
    path = tmp_path / "class.csv"
    path.write_text("code\n" + "T1\n" * 100_000, encoding="utf-8")
    with pytest.raises(ValueError, match="1000 people at most"):
        roster.read(path)


@given(hostile.settings_files())
@FEW
def test_a_setting_is_understood_or_refused(tmp_path_factory, contents):
    path = tmp_path_factory.mktemp("s") / "setting.toml"
    found, refused = says(paper.read_setting, contents, path)
    assert refused or (found.marks > 0 and (found.begins is None or found.ends > found.begins))


def sent_files(stated):
    """Return files of statements, some places changed."""
    return st.lists(hostile.changed(st.sampled_from(stated)), max_size=3).map(
        lambda held: ("[\n" + ",\n".join(map(json.dumps, held)) + "\n]\n").encode()
    )


@given(st.data())
@FEW
def test_a_file_that_was_sent_is_understood_or_refused(course, data):
    contents = data.draw(sent_files(course.alone["stated"]))
    with tempfile.TemporaryDirectory(dir=course.home) as name:
        path = Path(name) / "sent.json"
        _, refused = says(statements.read_sent, contents, path)
        if not refused:
            statements.write(course.clean, Path(name) / "s.json", sent=path)
            stated = json.loads((Path(name) / "s.json").read_text(encoding="utf-8"))
            whose = [s for s in stated if s["actor"]["account"]["name"] in SAYS]
            assert len(whose) == len(course.alone["stated"])
