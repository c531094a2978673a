"""Who may read what the course writes: its owner, and in a shared folder those who share it."""

import os
import stat
import sys
from datetime import datetime

import pytest

from exercises import __main__
from exercises import find as exercise
from exercises.instructor import watching
from exercises.sheets import changed_marks, session
from exercises.trainee import practice
from exercises.trainer import slate

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no such rights on Windows")
PAPER = """title = "Paper"
minutes = 60
pass = 60
aids = "calculator"

[[question]]
exercise = "deflection-plumb-offset"
marks = 4
"""


@pytest.fixture(autouse=True)
def as_most_systems_are_set_up():
    before = os.umask(0o022)
    yield
    os.umask(before)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    place = tmp_path / "answers"
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(place))
    return place


def _open_to_others(folder):
    """Return what in a folder, itself included, anybody but its owner has any right to."""
    return {
        str(path.relative_to(folder)): oct(stat.S_IMODE(path.stat().st_mode))
        for path in [folder, *folder.rglob("*")]
        if path.stat().st_mode & 0o077 and path.suffix != ".lock"  # which never holds a word
    }


def _answered(code="T07"):
    session.sign_in(code)
    practice.Practice(exercise("deflection-total")).answer({"size": "60", "azimuth": "1"})


def test_answers_settings_and_what_the_desk_remembers(folder):
    _answered()
    watching.remember(folder, "MK")
    marks, key = folder / changed_marks.NAME, exercise("deflection-total")
    changed_marks.change(marks, "T07", key, 1, reason="spoken", by="MK")
    assert {"answers-T07.jsonl", "settings.json"} <= {path.name for path in folder.iterdir()}
    assert _open_to_others(folder) == {}
    assert changed_marks.erase(marks, "T07") == 1
    assert _open_to_others(folder) == {}, "written anew"


def test_a_folder_that_is_read_by_others_and_not_shared(folder):
    folder.mkdir(0o755)
    _answered()
    assert set(_open_to_others(folder)) == {"."}


def test_in_a_folder_that_the_trainer_shares_the_sheets_can_be_read(folder):
    folder.mkdir()
    folder.chmod(0o1777)
    _answered()
    assert (folder / "answers-T07.jsonl").stat().st_mode & 0o044 == 0o044
    aside = slate.clean(now=datetime(2026, 11, 25, 12, 0)).aside
    assert aside.stat().st_mode & 0o055 == 0o055
    assert __main__.main(["mark", str(aside), "--out", str(folder)]) == 0
    assert (folder / "register.html").stat().st_mode & 0o044 == 0o044


def test_what_one_class_left_behind(folder):
    _answered()
    slate.clean(now=datetime(2026, 11, 25, 12, 0))
    assert _open_to_others(folder) == {}


def test_register_record_and_statements(folder, tmp_path):
    _answered()
    out = tmp_path / "out"
    assert __main__.main(["mark", str(folder), "--out", str(out)]) == 0
    record = ["record", str(folder), "--trainee", "all", "--out", str(out / "records.html")]
    assert __main__.main(record) == 0
    statements = ["statements", str(folder), "--out", str(out / "statements.json")]
    assert __main__.main(statements) == 0
    written = {path.name for path in out.rglob("*.*")}
    assert {"register.html", "register.csv", "statistics.csv", "records.html",
            "register-T07.html", "record-T07.html", "statements.json"} == written  # fmt: skip
    assert (out / "register").is_dir()
    assert _open_to_others(out) == {}


@pytest.mark.parametrize("mode", [None, 0o755, 0o777])
def test_a_paper_and_its_key_are_the_instructors_wherever_it_is_set(tmp_path, mode):
    toml, roster, out = tmp_path / "paper.toml", tmp_path / "class.csv", tmp_path / "paper"
    toml.write_text(PAPER, encoding="utf-8")
    roster.write_text("code,name\nT07,Ann\n", encoding="utf-8")
    if mode:
        out.mkdir()
        out.chmod(mode)
    command = ["paper-set", str(toml), "--roster", str(roster), "--out", str(out)]
    assert __main__.main(command) == 0
    written = {path.name for path in out.rglob("*.*")}
    assert {"key.html", "all papers to print.html"} < written
    assert len(written) >= 5
    assert set(_open_to_others(out)) == ({"."} if mode else set())
