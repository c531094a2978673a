"""A class word and a code are a person: numbers, the sheet's name, each of its lines."""

import json

import pytest

from exercises import BANK, find, given
from exercises.__main__ import main
from exercises.audit import received
from exercises.sheets import class_file, person, report, scenario, session, sheet
from exercises.trainee.practice import Practice

KEY = "deflection-plumb-offset"
ELSEWHERE = list(scenario.PLACES)[-1]
ROOM = class_file.Class("Autumn", ELSEWHERE, "7KQ2", "0123456789abcdef" * 2)
WHOLE = "7KQ2-T07"


@pytest.fixture
def alone(tmp_path, monkeypatch):
    """A laptop of one's own."""
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "own"))
    monkeypatch.delenv(session.PERSON_VARIABLE, raising=False)
    return tmp_path / "own"


@pytest.fixture
def hosted(tmp_path, monkeypatch):
    """The Python of a page in a class."""
    folder = tmp_path / "class"
    folder.mkdir()
    (folder / "settings").mkdir()
    class_file.write(folder, ROOM)
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(folder))
    monkeypatch.setenv(session.PERSON_VARIABLE, WHOLE)
    return folder


def lines(folder):
    (path,) = folder.glob("answers-*.jsonl")
    return path, [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def answer(typed="0.1"):
    practice = Practice(find(KEY))
    practice.answer({asked.name: typed for asked in practice.exercise.asked})
    return practice


NOBODY = ("7KQ2-", "-T07", "7KQ-T07", "7KQT-T07", "TKQ2-T07", "7kq2-?", "7KQ2-T07-T08")
NOBODY += ("1KQ2-T07", "7KQ2_T07", "../7KQ2-T07")


@pytest.mark.parametrize("text", NOBODY)
def test_what_is_no_person_is_reported(text):
    with pytest.raises(ValueError, match=r"class word|is not a trainee code"):
        person.person(text)


def test_no_two_classes_share_their_numbers():
    shared = [
        key
        for key, exercise in BANK.items()
        if exercise.printed and given(exercise, "7KQ2-T07", 1) == given(exercise, "8KQ2-T07", 1)
    ]
    assert not shared


def test_without_a_class_name_and_lines_are_as_before(alone):
    session.sign_in("T07")
    answer()
    path, written = lines(alone)
    assert path.name == "answers-T07.jsonl"
    assert not any({"class", "code", "hosted"} & line.keys() for line in written)


def test_on_an_own_laptop_the_person_is_typed(alone):
    session.sign_in(" 7kq2-t07 ")
    practice = answer()
    path, written = lines(alone)
    assert path.name == "answers-7KQ2-T07.jsonl"
    assert all((line["class"], line["code"]) == ("7KQ2", "T07") for line in written)
    assert not any("hosted" in line for line in written)
    assert practice.given == given(find(KEY), WHOLE, 1)
    assert not sheet.read(path).troubles


def test_in_a_hosted_class_nobody_sees_the_numbers_beforehand(hosted):
    practice = answer()
    assert practice.trainee == WHOLE
    assert practice.given != given(find(KEY), WHOLE, 1)
    assert practice.given == given(find(KEY), WHOLE, 1, ROOM.secret)
    _, written = lines(hosted)
    assert written[-1]["hosted"] is True
    assert (written[-1]["class"], written[-1]["code"]) == ("7KQ2", "T07")
    assert ROOM.secret not in json.dumps(written)


def test_in_a_class_nobody_signs_in_as_somebody_else(hosted):
    with pytest.raises(ValueError, match="You are 7KQ2-T07"):
        session.sign_in("T08")
    session.undo_sign_in()
    assert session.open().trainee == WHOLE
    assert session.open().site.name == ELSEWHERE


def test_settings_are_kept_for_each_person_and_never_the_secret(hosted):
    session.choose_decimal(",")
    assert session.open().decimal == ","
    kept = hosted / "settings" / "settings-T07.json"
    assert ROOM.secret not in kept.read_text(encoding="utf-8")
    assert not received.find(hosted).troubles


def test_a_class_file_that_was_damaged_lets_nobody_answer(hosted):
    (hosted / "class.toml").write_text("x", encoding="utf-8")
    settings = session.open()
    assert settings.trainee is None
    assert "is not the file of a class" in settings.trouble


def test_marking_knows_the_numbers_of_the_room(hosted):
    answer()
    found = received.find(hosted)
    assert list(found.sheets) == [WHOLE]
    one = report.mark(WHOLE, found.sheets[WHOLE], folder=hosted)
    assert not one.troubles
    assert not one.standings[KEY].flags


def test_marking_elsewhere_says_that_the_numbers_could_not_be_checked(hosted, tmp_path):
    answer()
    path, _ = lines(hosted)
    (copy := tmp_path / "elsewhere").mkdir()
    (copy / path.name).write_bytes(path.read_bytes())
    one = report.mark(WHOLE, [copy / path.name], folder=copy)
    assert list(one.standings[KEY].flags) == [report.UNSEEN]


def test_numbers_of_ones_own_laptop_differ_from_those_of_the_room(hosted, alone):
    session.sign_in(WHOLE)
    practice = answer()
    path, written = lines(alone)
    forged = {**written[-1], "hosted": True, "before": ""}
    forged["digest"] = sheet.digest(forged)
    (hosted / path.name).write_text(json.dumps(forged) + "\n", encoding="utf-8")
    one = report.mark(WHOLE, [hosted / path.name], folder=hosted)
    assert list(one.standings[KEY].flags) == [report.NOT_DRAWN]
    assert practice.given == written[-1]["given"]


@pytest.mark.parametrize("name", ["answers-7KQ2-T08.jsonl", "answers-8KQ2-T07.jsonl",
                                  "answers-T07.jsonl"])  # fmt: skip
def test_a_sheet_under_another_name_counts_for_nobody(hosted, tmp_path, name):
    answer()
    path, _ = lines(hosted)
    (renamed := tmp_path / name).write_bytes(path.read_bytes())
    read = sheet.read(renamed)
    assert not read.events
    assert "another person or class" in read.troubles[0]


def test_a_sheet_of_the_class_may_be_named_by_a_browser(hosted):
    answer()
    path, _ = lines(hosted)
    (copy := path.with_name("answers-7KQ2-T07 (1).jsonl")).write_bytes(path.read_bytes())
    assert len(sheet.read(copy).events) == 1
    assert list(received.find(hosted).sheets) == [WHOLE]


def test_who_goes_on_at_home_gets_the_next_turn(hosted, monkeypatch):
    answer()
    monkeypatch.delenv(session.PERSON_VARIABLE)
    session.sign_in(WHOLE)
    practice = Practice(find(KEY))
    assert practice.turn == 2
    assert not practice.answers


def test_the_instructor_prints_the_answer_that_the_room_asks_for(hosted, capsys):
    exercise = find(KEY)
    right = exercise.solve(given(exercise, WHOLE, 1, ROOM.secret))
    assert main(["answers", KEY, "--trainee", "T07", "--class", str(hosted)]) == 0
    printed = capsys.readouterr().out
    assert WHOLE in printed
    assert all(asked.say(right[asked.name]) in printed for asked in exercise.asked)
    main(["answers", KEY, "--trainee", WHOLE])
    assert printed != capsys.readouterr().out


# Somebody who studies alone ----------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    ["Anna Ødegård", "Bo", "Ø", "Юрий", "李", "con", "Room", "007", "!!!", "Æ-ß", "T07", "x" * 400],
)
def test_any_name_becomes_a_code_and_the_same_one_again(alone, name):
    code = session.sign_in_alone(name).trainee
    assert person.person(code) == code
    assert code not in ("ROOM", "TEST")
    answer()
    session.sign_in("T99")
    again = session.sign_in_alone(f"  {name.swapcase() if name != 'Æ-ß' else name} ")
    assert again.trainee == code
    assert Practice(find(KEY)).answers
    assert again.name


def test_two_people_of_nearly_one_name_have_two_sheets(alone):
    names = ["Anna Berger", "Anna Bergersen", "Anna Bergers"]
    codes = [session.sign_in_alone(name).trainee for name in names]
    assert len(set(codes)) == 3
    assert [session.sign_in_alone(name).trainee for name in names] == codes


@pytest.mark.parametrize("name", ["", "  ", "\u202e\n"])
def test_no_name_is_reported(alone, name):
    with pytest.raises(ValueError, match="Type any name first"):
        session.sign_in_alone(name)
    assert session.open().trainee is None


def test_the_name_goes_when_the_person_is_forgotten(alone):
    session.sign_in_alone("Anna Ødegård")
    assert "Ødegård" in (alone / "settings.json").read_text(encoding="utf-8")
    assert main(["forget", str(alone), "--trainee", "ANNAODEG", "--yes"]) == 0
    assert "Ødegård" not in (alone / "settings.json").read_text(encoding="utf-8")


def test_in_a_class_no_name_and_no_notes(hosted):
    with pytest.raises(ValueError, match="You are 7KQ2-T07"):
        session.sign_in_alone("Anna")
    with pytest.raises(ValueError, match="trainer's own computer"):
        session.choose_notes(True)
    kept = {"people": {WHOLE: {"name": "Bo", "trainer": True}}}
    (hosted / "settings" / "settings-T07.json").write_text(json.dumps(kept), encoding="utf-8")
    assert (session.open().name, session.open().trainer) == ("", False)


def test_the_notes_are_shown_to_whom_they_were_switched_on_for(alone):
    session.sign_in("MK")
    assert session.choose_notes(True).trainer
    assert not session.sign_in("T07").trainer
    assert session.sign_in("MK").trainer
    assert not session.choose_notes(False).trainer
