"""The folder of a class: what is made, for whose eyes, and what is said of a bad roster."""

import json
import os
import re
import stat

import pytest

from exercises.audit import received
from exercises.classroom import making, phrases
from exercises.sheets import class_file, person, scenario, session
from tests.class_room import command, made

NO_MODES = pytest.mark.skipif(os.name == "nt", reason="a file's mode says nothing there")
HOME = scenario.HOME.name
HOSTILE = '"><script>alert(1)</script>'


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    folder = tmp_path_factory.mktemp("made") / "class ø"
    return folder, made(folder)


def test_each_code_and_phrase_is_printed_once(room):
    assert list(room[1]) == ["T07", "T08", "T09", "T10"]
    assert all(re.fullmatch(r"[a-z]+ [a-z]+ [a-z]+", phrase) for phrase in room[1].values())
    assert len(set(room[1].values())) == 4


def test_what_is_kept_of_a_phrase_does_not_show_it(room):
    folder, printed = room
    kept = phrases.read(folder)
    for path in folder.rglob("*"):
        if path.is_file():
            text = path.read_text(encoding="utf-8")
            assert not any(phrase in text for phrase in printed.values()), path.name
    assert phrases.right(printed["T07"].upper().replace(" ", "-"), kept["T07"])
    assert not phrases.right(printed["T08"], kept["T07"])
    assert not phrases.right(printed["T07"], None)
    assert not phrases.right("", kept["T07"])


def test_a_phrase_is_hard_to_guess():
    assert len(set(phrases.words())) ** 3 > 1e8
    assert all(re.fullmatch(r"[a-z]{2,9}", word) for word in phrases.words())


@NO_MODES
def test_its_owner_alone_can_read_it(room):
    folder, _ = room
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    for name in ("class.toml", "roster.csv", "phrases.json"):
        assert stat.S_IMODE((folder / name).stat().st_mode) == 0o600, name
    assert stat.S_IMODE(making.slips_of(folder).stat().st_mode) == 0o600


def test_the_slips_stand_beside_the_folder_and_hold_everybody_s_phrase(room):
    folder, printed = room
    slips = making.slips_of(folder)
    assert slips.parent == folder.parent
    text = slips.read_text(encoding="utf-8")
    assert all(code in text and phrase in text for code, phrase in printed.items())
    assert "Anna Ødegård" in text


def test_class_word_and_code_can_always_be_distinguished():
    for _ in range(500):
        word = person.drawn_word()
        assert re.fullmatch(r"[2-9][23456789ABCDEFGHJKLMNPQRSUVWXYZ]{3}", word)
        with pytest.raises(ValueError, match="is not a trainee code"):
            session.code(word)


def test_what_lies_in_the_folder_is_no_stranger_to_marking(room):
    found = received.find(room[0])
    assert not found.troubles


def test_a_title_that_would_run_is_only_shown(tmp_path):
    folder = tmp_path / "c"
    made(folder, f'code,name\nT07,"{HOSTILE.replace(chr(34), chr(34) * 2)}"\n', title=HOSTILE)
    assert class_file.read(folder).title == HOSTILE
    text = making.slips_of(folder).read_text(encoding="utf-8")
    assert "<script" not in text
    assert "&lt;script&gt;" in text


ROSTERS = {
    "twice": ("code\nT07\nT07\n", "T07 stands 2 times"),
    "strange": ("code\nT07\n?x\n", "“?x” is not a trainee code"),
    "empty": ("", "is empty"),
    "nobody": ("code\n", "nobody under it"),
    "no code": ("name\nAnna\n", 'names no column "code"'),
}


@pytest.mark.parametrize("name", ROSTERS)
def test_a_bad_roster_is_reported_in_one_sentence(tmp_path, name):
    text, reported = ROSTERS[name]
    (tmp_path / "r.csv").write_text(text, encoding="utf-8")
    done = new(tmp_path, tmp_path / "r.csv")
    assert reported in done.stderr
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "c").exists()
    assert not (tmp_path / "c-slips.html").exists()


def new(folder, roster, *more):
    done = command(
        *("exercises", "class-new", str(folder / "c"), "--roster", str(roster)),
        *("--title", "T", *more),
    )
    assert done.returncode == (0 if done.stdout else 2), done.stderr
    return done


def test_a_roster_that_is_no_file_is_reported(tmp_path):
    assert "is not a file" in new(tmp_path, tmp_path).stderr
    assert "is not a file" in new(tmp_path, tmp_path / "none.csv").stderr


def test_a_spreadsheets_byte_order_mark_and_semicolons_are_read(tmp_path):
    (tmp_path / "r.csv").write_bytes("\ufeffcode;name\r\nt07;Åse\r\n".encode())
    assert new(tmp_path, tmp_path / "r.csv").stdout.startswith("T07\t")


def test_a_folder_in_use_is_left_as_it_is(room, tmp_path):
    folder, _ = room
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    (tmp_path / "r.csv").write_text("code\nT07\n", encoding="utf-8")
    with pytest.raises(ValueError, match="holds something already"):
        making.make(folder, tmp_path / "r.csv", "T", HOME)
    assert before == {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_slips_of_another_class_are_not_written_over(tmp_path):
    (tmp_path / "r.csv").write_text("code\nT07\n", encoding="utf-8")
    (tmp_path / "c-slips.html").write_text("theirs", encoding="utf-8")
    assert "belongs to another class" in new(tmp_path, tmp_path / "r.csv").stderr
    assert (tmp_path / "c-slips.html").read_text(encoding="utf-8") == "theirs"
    assert not (tmp_path / "c").exists()


@pytest.mark.parametrize("title", ["", "  ", "a\x07b", "x" * 121])
def test_a_title_that_cannot_be_printed_is_refused(tmp_path, title):
    (tmp_path / "r.csv").write_text("code\nT07\n", encoding="utf-8")
    with pytest.raises(ValueError, match="needs a title"):
        making.make(tmp_path / "c", tmp_path / "r.csv", title, HOME)


def test_an_unknown_site_names_those_there_are(tmp_path):
    (tmp_path / "r.csv").write_text("code\nT07\n", encoding="utf-8")
    assert HOME in new(tmp_path, tmp_path / "r.csv", "--site", "Nowhere").stderr


def test_a_new_phrase_ends_the_one_before(tmp_path):
    folder = tmp_path / "c"
    printed = made(folder)
    phrase = phrases.renew(folder, "T07")
    kept = phrases.read(folder)
    assert phrases.right(phrase, kept["T07"])
    assert not phrases.right(printed["T07"], kept["T07"])
    assert phrases.right(printed["T08"], kept["T08"])
    with pytest.raises(KeyError):
        phrases.renew(folder, "T99")


@pytest.mark.parametrize("text", ["", "x = 1", 'word = "7KQ2"', "\x00", "[[[[", "title = 3"])
def test_a_damaged_class_file_is_said_in_one_sentence(tmp_path, text):
    (tmp_path / "class.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match="is not the file of a class"):
        class_file.read(tmp_path)


def test_damaged_phrases_are_said(tmp_path):
    (tmp_path / "phrases.json").write_text(json.dumps({"T07": {"salt": "zz"}}), encoding="utf-8")
    with pytest.raises(ValueError, match="cannot be understood"):
        phrases.read(tmp_path)
