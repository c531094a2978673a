"""Deleting a person's data: all of theirs, nothing of anybody else's, and nothing unsaid."""

import json
import os

import pytest

from exercises import find
from exercises.__main__ import main
from exercises.audit import received
from exercises.classroom import making, phrases
from exercises.instructor import erasure, statements
from exercises.records import record
from exercises.register import register
from exercises.sheets import changed_marks, roster, scenario, session
from exercises.trainee.practice import Practice
from exercises.trainer import sailing
from lessons.server import signing_in
from tests.codes import named
from tests.test_changed_marks import change
from tests.test_report import TOTAL, Desk


@pytest.fixture
def folder(tmp_path):
    """T07 on two laptops and T08, marks of both changed, T70 whose code begins alike."""
    place = tmp_path / "class"
    Desk(place, "T07").answer(slip="opposite")
    Desk(place / "old", "T07", "answers-T07 (1).jsonl").answer()
    Desk(place, "T08").answer()
    Desk(place, "T70").answer()
    change(place, "T07", reason="aloud")
    change(place, "T08", reason="by hand")
    change(place, "T07", exercise=TOTAL)
    return place


def forget(folder, *options, trainee="T07"):
    return main(["forget", str(folder), "--trainee", trainee, *options])


def everything(folder):
    return {p.relative_to(folder): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_all_of_theirs_goes_and_the_others_stay(at_0732, folder, capsys):
    (folder / ".copies").mkdir()
    (folder / ".copies" / "answers-T07 copy.jsonl").write_bytes(b"{}\n")
    before = everything(folder)
    assert forget(folder, "--yes") == 0
    after = everything(folder)
    assert not any(named("T07", str(path)) for path in after)
    same = {path: text for path, text in before.items() if not named("T07", str(path))}
    same.pop(next(path for path in same if path.name == changed_marks.NAME))
    assert same.items() <= after.items()
    assert any(b"T07:32" in text for text in after.values()), "the time, and that is no code"
    assert not any(named("T07", text) or b"aloud" in text for text in after.values())
    reported = capsys.readouterr().out
    assert "answers-T07 (1).jsonl" in reported
    assert "2 changed marks emptied" in reported
    assert "copies elsewhere" in reported
    assert "printed pages" in reported


def test_the_changed_marks_of_others_stand_and_are_read_without_trouble(folder):
    forget(folder, "--yes")
    found = changed_marks.read(folder / changed_marks.NAME)
    assert {who for who, _ in found.standing} == {"T08"}
    assert (found.left, found.troubles) == (0, [])


def test_registers_records_and_statements_that_name_them_go(folder):
    register.write(folder, folder / "out")
    register.write(folder, folder / "out;", separator=";")
    record.write(folder, folder / "all together.html")
    record.write(folder, folder / "T08.html", "T08")
    record.write(folder, folder / "typing-T07.html", "T07", typing=True)
    statements.write(folder, folder / "for the store.json")
    planned = erasure.plan(folder, "T07")
    assert {str(path.relative_to(folder)) for path in planned.written} == {
        *("out/register.html", "out/register.csv", "out/statistics.csv", "out;/register.html"),
        *("out;/register.csv", "out;/statistics.csv", "all together.html", "for the store.json"),
        *("typing-T07.html", "all together/record-T07-1.html", "all together/record-T07-2.html"),
        *(f"{out}/register/register-T07-{n}.html" for out in ("out", "out;") for n in (1, 2)),
    }
    erasure.carry_out(planned)
    assert (folder / "T08.html").exists()
    assert erasure.plan(folder, "T07").empty


def test_files_that_are_not_ours_are_reported_and_left(folder, capsys):
    for name in ("register.html", "notes.txt", "statements.json", "register.csv"):
        (folder / name).write_text("T07 came late", encoding="utf-8")
    forget(folder, "--yes")
    reported = capsys.readouterr().out
    for name in ("register.html", "notes.txt", "statements.json", "register.csv"):
        assert (folder / name).read_text(encoding="utf-8") == "T07 came late"
        assert name in reported.partition("left for you to look at")[2]


@pytest.mark.parametrize("typed", ["T08", "", "yes", "t07", None])
def test_nothing_is_deleted_unless_the_code_is_typed_again(folder, monkeypatch, capsys, typed):
    def asked(prompt):
        if typed is None:
            raise EOFError
        return typed

    monkeypatch.setattr("builtins.input", asked)
    before = everything(folder)
    assert forget(folder) == 2
    assert everything(folder) == before
    assert "Nothing was deleted" in capsys.readouterr().err


def test_with_the_code_typed_it_is_done(folder, monkeypatch):
    monkeypatch.setattr("builtins.input", lambda prompt: " T07 ")
    assert forget(folder, trainee="t07") == 0
    assert "T07" not in received.find(folder).sheets


def test_the_settings_of_a_shared_laptop_forget_them_too(folder):
    held = {"trainee": "T07", "decimal": ",", "prepared": {"T07": "x", "T08": "y"}}
    (folder / "settings.json").write_text(json.dumps(held), encoding="utf-8")
    forget(folder, "--yes")
    left = json.loads((folder / "settings.json").read_text(encoding="utf-8"))
    assert left == {"trainee": None, "decimal": ",", "prepared": {"T08": "y"}}


def test_settings_that_cannot_be_read_are_left(tmp_path):
    path = tmp_path / "settings.json"
    for text in ("{", "[]", '{"prepared": 7}', "null"):
        path.write_text(text, encoding="utf-8")
        assert not session.erase(path, "T07")
        assert path.read_text(encoding="utf-8") == text


@pytest.mark.skipif(os.name == "nt", reason="Windows makes no links without a right")
def test_a_link_goes_and_what_it_points_to_stays(folder, tmp_path, capsys):
    outside = tmp_path / "elsewhere.jsonl"
    outside.write_bytes(b"theirs\n")
    (folder / "answers-T07 link.jsonl").symlink_to(outside)
    (folder / "more").symlink_to(tmp_path, target_is_directory=True)
    forget(folder, "--yes")
    assert outside.read_bytes() == b"theirs\n"
    assert not (folder / "answers-T07 link.jsonl").is_symlink()
    assert "what it points to stays" in capsys.readouterr().out


def test_another_line_that_names_them_is_reported(folder, capsys):
    change(folder, "T08", exercise=TOTAL, reason="worked together with T07")
    assert forget(folder, "--yes") == 1
    assert "another line still names T07" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("trainee", "said"), [("T55", "nothing of T55"), ("Mr X", "not a trainee")]
)
def test_nobody_of_that_code(folder, capsys, trainee, said):
    before = everything(folder)
    assert forget(folder, "--yes", trainee=trainee) == 2
    assert said in capsys.readouterr().err
    assert everything(folder) == before


# Of a class ---------------------------------------------------------------------------------


@pytest.fixture
def room(tmp_path, monkeypatch):
    """A class as its server leaves it: two people who signed in, chose and answered."""
    roster = tmp_path / "class.csv"
    roster.write_text('code,name\r\nT07,"Anna,\r\nof Oslo"\r\n\r\nT08,T07\r\n', encoding="utf-8")
    made = making.make(tmp_path / "autumn", roster, "Autumn", scenario.HOME.name)
    sessions = signing_in.Sessions(made.folder)
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(made.folder))
    for code in ("T07", "T08"):
        sessions.begin(code)
        monkeypatch.setenv(session.PERSON_VARIABLE, f"{made.room.word}-{code}")
        session.choose_decimal(",")
        practice = Practice(find("deflection-plumb-offset"))
        practice.answer({asked.name: "1" for asked in practice.exercise.asked})
        sailing.own()
    monkeypatch.delenv(session.PERSON_VARIABLE)
    return made


def test_somebody_of_a_class_is_let_in_no_more_and_the_others_are(room, capsys):
    folder, word = room.folder, room.room.word
    assert forget(folder, "--yes", trainee=f"{word}-T07") == 0
    reported = capsys.readouterr().out
    assert "autumn-slips.html" in reported.partition("left for you to look at")[2]
    left = everything(folder)
    assert not [path for path in left if "T07" in path.name]
    assert (folder / making.ROSTER).read_bytes() == b"code,name\n\nT08,T07\n"
    assert [one.code for one in roster.read(folder / making.ROSTER)] == ["T08"]
    assert list(phrases.read(folder)) == ["T08"]
    assert signing_in.Sessions(folder).people() == ["T08"]
    assert (folder / "settings" / "settings-T08.json").exists()
    assert list(received.find(folder).sheets) == [f"{word}-T08"]
    assert (folder / f"parameter-sheet-{word}-T08-turn-1.html").exists()
    assert erasure.plan(folder, f"{word}-T07").empty


def test_the_code_alone_or_of_another_class_touches_nothing(room, capsys):
    before = everything(room.folder)
    for trainee in ("T07", "8ABC-T07"):
        if room.room.word == "8ABC":
            continue
        assert forget(room.folder, "--yes", trainee=trainee) == 2
        assert f"{room.room.word}-T07" in capsys.readouterr().err
    assert everything(room.folder) == before


@pytest.mark.parametrize("name", ["phrases.json", "signed-in.json", "roster.csv"])
def test_a_file_of_the_class_that_cannot_be_understood_is_reported(room, capsys, name):
    (room.folder / name).write_text("[1", encoding="utf-8")
    assert forget(room.folder, "--yes", trainee=f"{room.room.word}-T07") == 1
    assert "Not searched" in capsys.readouterr().out
    assert (room.folder / name).read_text(encoding="utf-8") == "[1"
