"""The list of a class while it runs: who is added is in at once, who is removed a moment later."""

import os

import pytest

from exercises.classroom import making, members, phrases
from tests.class_room import ROSTER, command, made

HOME = "Brindle Wall"


@pytest.fixture
def folder(tmp_path):
    file = tmp_path / "class.csv"
    file.write_text(ROSTER, encoding="utf-8")
    making.make(tmp_path / "class", file, "Autumn", HOME)
    return tmp_path / "class"


@pytest.fixture
def now():
    return [100.0]


@pytest.fixture
def listed(folder, now):
    return members.Members(folder, lambda: now[0])


def save(folder, text):
    (folder / making.ROSTER).write_text(text, encoding="utf-8")


def test_somebody_added_is_in_at_once(folder, listed):
    save(folder, ROSTER + "T11,Eve\n")
    listed.look()
    assert [one.code for one in listed.people] == ["T07", "T08", "T09", "T10", "T11"]


def test_somebody_removed_is_out_once_the_file_stands_still(folder, listed, now):
    save(folder, ROSTER.replace("T08,Bo\n", ""))
    for _ in range(3):
        listed.look()
        assert "T08" in listed.codes
        now[0] += 0.9 * members.SETTLED
        save(folder, ROSTER.replace("T08,Bo\n", f"T2{now[0]:.0f},X\n"))
    listed.look()
    now[0] += members.SETTLED
    listed.look()
    assert "T08" not in listed.codes


def test_a_file_half_saved_puts_nobody_out(folder, listed, now):
    save(folder, ROSTER[:20])
    listed.look()
    now[0] += 0.5 * members.SETTLED
    save(folder, ROSTER)
    for _ in range(3):
        listed.look()
        assert len(listed.codes) == 4
        now[0] += members.SETTLED


@pytest.mark.parametrize("contents", ["", "\x00", "who\nT07\n", ROSTER + "t07,Again\n", None])
def test_a_file_that_cannot_be_understood_leaves_the_list(folder, listed, now, contents):
    before = listed.people
    if contents is None:
        (folder / making.ROSTER).unlink()
    else:
        save(folder, contents)
    for _ in range(3):
        listed.look()
        assert listed.people == before
        assert listed.trouble.endswith(members.STAYS)
        now[0] += 10
    save(folder, ROSTER + "T11,Eve\n")
    listed.look()
    assert listed.trouble == ""
    assert len(listed.people) == 5


def test_a_name_that_is_corrected_is_taken_on(folder, listed):
    save(folder, ROSTER.replace("Bo", "Bo Ek"))
    listed.look()
    assert next(one.name for one in listed.people if one.code == "T08") == "Bo Ek"


def test_with_a_bad_file_from_the_start_the_phrases_say_who_belongs(folder, now):
    save(folder, "")
    listed = members.Members(folder, lambda: now[0])
    assert listed.codes == {"T07", "T08", "T09", "T10"}
    for name in (making.ROSTER, phrases.NAME):
        os.truncate(folder / name, 0)
    assert members.Members(folder).people == ()


# The command ---------------------------------------------------------------------------------


def test_without_a_code_whoever_has_no_phrase_gets_one(folder):
    before = phrases.read(folder)
    save(folder, ROSTER + "T11,Eve\nT12,Fay\n")
    done = command("exercises", "phrase-new", str(folder))
    assert done.returncode == 0
    given = dict(line.split("\t") for line in done.stdout.splitlines())
    kept = phrases.read(folder)
    assert list(given) == ["T11", "T12"]
    assert all(phrases.right(phrase, kept[code]) for code, phrase in given.items())
    assert {code: kept[code] for code in before} == before
    assert "Everybody" in command("exercises", "phrase-new", str(folder)).stderr


def test_a_code_gets_another_phrase(tmp_path):
    printed = made(folder := tmp_path / "class")
    done = command("exercises", "phrase-new", str(folder), "t07,", "T09")
    given = dict(line.split("\t") for line in done.stdout.splitlines())
    kept = phrases.read(folder)
    assert sorted(given) == ["T07", "T09"]
    assert phrases.right(given["T07"], kept["T07"])
    assert not phrases.right(printed["T07"], kept["T07"])
    assert phrases.right(printed["T08"], kept["T08"])


@pytest.mark.parametrize(
    ("codes", "reported"),
    [(["T99"], "Not on the roster"), (["../x"], "T"), (["T07", "T07"], "twice")],
)
def test_who_is_not_on_the_roster_gets_none(folder, codes, reported):
    before = phrases.read(folder)
    done = command("exercises", "phrase-new", str(folder), *codes)
    assert done.returncode == 2
    assert reported in done.stderr
    assert not done.stdout
    assert phrases.read(folder) == before


def test_a_folder_of_no_class_is_said(tmp_path):
    done = command("exercises", "phrase-new", str(tmp_path))
    assert done.returncode == 2
    assert "class.toml" in done.stderr
    assert "Traceback" not in done.stderr
