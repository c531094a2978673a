"""A clean slate: everything is put aside, nothing is lost, and twice is as good as once."""

from datetime import datetime

import filelock
import pytest

from exercises import __main__
from exercises import find as exercise
from exercises.sheets import session, sheet
from exercises.trainee import practice
from exercises.trainer import slate

NOON = datetime(2026, 11, 25, 12, 0)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    place = tmp_path / "Jørgen’s answers"
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(place))
    return place


def _class(*codes):
    for code in codes:
        session.sign_in(code)
        practice.Practice(exercise("deflection-total")).answer({"size": "60", "azimuth": "1"})


def test_the_next_class_starts_afresh_and_the_last_one_is_whole(folder):
    _class("T01", "T02")
    (folder / "minutes.txt").write_text("the trainer's own", encoding="utf-8")
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.suffix != ".lock"}
    made = slate.clean(now=NOON)
    assert made.aside == folder / "class of 2026-11-25 1200"
    after = {path.name: path.read_bytes() for path in made.aside.iterdir()}
    assert after == {name: text for name, text in before.items() if name != "minutes.txt"}
    names = {path.name for path in folder.iterdir() if path.suffix != ".lock"}
    assert names == {"minutes.txt", made.aside.name}
    assert session.open().trainee is None
    _class("T01")
    assert len(sheet.read(folder / "answers-T01.jsonl").events) == 2, "a sheet of its own"


def test_twice_is_harmless(folder, capsys):
    _class("T01")
    assert __main__.main(["slate"]) == 0
    assert "1 answer sheet put aside" in capsys.readouterr().out
    held = sorted(folder.rglob("*"))
    assert __main__.main(["slate"]) == 0
    assert "Already clean" in capsys.readouterr().out
    assert sorted(folder.rglob("*")) == held


def test_two_classes_of_one_minute_stay_apart(folder):
    _class("T01")
    slate.clean(now=NOON)
    _class("T01")
    assert slate.clean(now=NOON).aside.name == "class of 2026-11-25 1200 (2)"
    assert len(list(folder.rglob("answers-T01.jsonl"))) == 2


def test_a_folder_that_is_not_there_is_clean_or_reported(folder, capsys):
    assert slate.clean().aside is None
    assert not folder.exists()
    assert __main__.main(["slate", str(folder)]) == 2
    assert "no such folder" in capsys.readouterr().err


def test_a_lesson_that_writes_is_left_alone(folder, capsys):
    _class("T01", "T02")
    before = {path: path.read_bytes() for path in folder.iterdir() if path.suffix != ".lock"}
    with filelock.FileLock(folder / "answers-T02.lock"):
        assert __main__.main(["slate"]) == 2
    assert "answers-T02.jsonl" in capsys.readouterr().err
    assert {p: p.read_bytes() for p in folder.iterdir() if p.suffix != ".lock"} == before


def test_where_one_file_cannot_move_none_does(folder, monkeypatch):
    _class("T01", "T02")
    rename = slate.os.rename

    def refuse(path, to):
        if path.name == "answers-T02.jsonl":
            raise PermissionError(13, "in use by another program")
        rename(path, to)

    monkeypatch.setattr(slate.os, "rename", refuse)
    with pytest.raises(slate.InUseError, match="answers-T02"):
        slate.clean(now=NOON)
    names = {path.name for path in folder.iterdir() if path.suffix not in (".lock", ".head")}
    assert names == {"answers-T01.jsonl", "answers-T02.jsonl", "settings.json"}


def test_what_is_no_sheet_and_what_is_a_link_stays(folder, tmp_path):
    folder.mkdir()
    (tmp_path / "elsewhere").write_text("{}", encoding="utf-8")
    (folder / "answers-T01.jsonl").symlink_to(tmp_path / "elsewhere")
    (folder / "notes of mine.html").write_text("", encoding="utf-8")
    assert slate.clean().aside is None
    assert (tmp_path / "elsewhere").exists()


def test_changed_marks_and_the_register_go_with_their_class(folder):
    """A changed mark left behind would fall on the next class's trainee of that code."""
    _class("T01")
    names = ("changed-marks.jsonl", "overrides.jsonl", "desk.json")
    names += ("register.html", "register.csv", "record-T01.html")
    for name in names:
        (folder / name).write_text("", encoding="utf-8")
    made = slate.clean(now=NOON)
    assert set(names) <= {path.name for path in made.aside.iterdir()}
    assert not slate.left(folder)
