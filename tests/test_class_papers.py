"""What is printed for a hosted class has the numbers that its pages draw."""

import re

import pytest

from exercises import find
from exercises.__main__ import main
from exercises.classroom import making
from exercises.sheets import class_file, session
from exercises.trainee.practice import Practice
from exercises.trainer import sailing

KEY = "deflection-plumb-offset"


@pytest.fixture
def room(tmp_path):
    roster = tmp_path / "class.csv"
    roster.write_text("code,name,decimal\nT07,Anna,\nT08,Bo,comma\n", encoding="utf-8")
    return making.make(tmp_path / "class ø", roster, "Autumn", "Brindle Wall").folder


def on_the_page(room, code, monkeypatch, key=KEY):
    """Return the person and the given numbers as a page of the class shows them."""
    whole = f"{class_file.read(room).word}-{code}"
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(room))
    monkeypatch.setenv(session.PERSON_VARIABLE, whole)
    practice = Practice(find(key))
    return whole, [text for _, text in practice.exercise.table(practice.given)]


def shown(path):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("named", [[], ["--trainees", "T07"]], ids=["all", "one"])
@pytest.mark.parametrize("command", ["today", "handout"])
def test_paper_and_page_agree(room, tmp_path, monkeypatch, command, named):
    out = tmp_path / ("out.html" if command == "today" else "out")
    assert main([command, KEY, "--class", str(room), *named, "--out", str(out)]) == 0
    files = [out] if command == "today" else sorted(out.glob("*.html"))
    whole, given = on_the_page(room, "T07", monkeypatch)
    for file in files:
        words = shown(file)
        assert whole in words
        for text in given:
            assert re.sub(r"\s+", " ", text) in words, (file, text)
        assert ("-T08" in words) is not bool(named)


def test_a_sheet_of_lesson_12_is_that_of_its_page(room, tmp_path, monkeypatch):
    out = tmp_path / "sheets.html"
    assert main(["sailing", "--class", str(room), "--out", str(out)]) == 0
    whole, given = on_the_page(room, "T07", monkeypatch, sailing.SHEET)
    words = shown(out)
    assert whole in words
    assert all(re.sub(r"\s+", " ", text) in words for text in given[:6])


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--class", "nowhere"], "nowhere"),
        ([], "--class FOLDER"),
        (["--trainees", "T99"], "has no T99"),
    ],
)
def test_who_is_not_there_is_reported(room, tmp_path, capsys, options, said):
    asked = [*options, "--class", str(room)] if "--trainees" in options else options
    assert main(["today", KEY, *asked, "--out", str(tmp_path / "out.html")]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "out.html").exists()
