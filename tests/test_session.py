"""Who is signed in, how a decimal is written, which site: kept in one folder, hurt by nothing."""

import json
from dataclasses import replace

import pytest

from exercises.sheets import scenario, session, sheet


@pytest.fixture
def folder(tmp_path, monkeypatch):
    place = tmp_path / "Jørgen’s answers"
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(place))
    return place


@pytest.mark.parametrize(
    ("typed", "code"),
    [("T07", "T07"), (" t07 \n", "T07"), ("ab1", "AB1"), ("Q2345678", "Q2345678")],
)
def test_codes(typed, code):
    assert session.code(typed) == code


@pytest.mark.parametrize(
    "typed",
    ["", " ", "T", "7T", "T-07", "T 07", "T23456789", "../T07", "T07/..", "C:\\T07", "T07.", "Té7",
     "Ⅷ7", "T07\0", "CON", "nul", "COM1", "lpt9"],
)  # fmt: skip
def test_what_is_no_code_is_refused_in_one_sentence(folder, typed):
    with pytest.raises(ValueError, match=r"code|keep for themselves") as refused:
        session.sign_in(typed)
    assert "\n" not in str(refused.value)
    assert not folder.exists(), "a refused code leaves no file"


def test_nothing_chosen_yet(folder):
    settings = session.open()
    assert (settings.trainee, settings.decimal, settings.sheet) == (None, None, None)
    assert settings.site == scenario.HOME
    assert not folder.exists(), "looking makes no folder"


def test_what_is_chosen_is_there_again(folder):
    session.choose_decimal(",")
    session.sign_in("t07")
    place = session.site(
        "Our ø site", 62.5, 355.0, height=-42.5, frame="ETRF2000", epoch=2026.5, water_depth=1200
    )
    session.choose_site(place)
    settings = session.open()
    assert (settings.trainee, settings.decimal) == ("T07", ",")
    assert settings.site == place
    assert settings.site.longitude == -5.0
    assert settings.sheet == folder / "answers-T07.jsonl"
    assert sheet.read(settings.sheet).events[0]["event"] == "signed in"
    assert not list(folder.glob("*.tmp"))


def test_a_decimal_sign_is_a_point_or_a_comma(folder):
    for typed in ("", ";", ".,", "point"):
        with pytest.raises(ValueError, match="point or a comma"):
            session.choose_decimal(typed)


def test_a_wrong_code_is_taken_back_and_the_sheet_says_so(folder):
    session.sign_in("T07")
    session.sign_in("T08")
    assert session.undo_sign_in().trainee is None, "nobody becomes somebody else unasked"
    assert session.open().trainee is None
    events = [e["event"] for e in sheet.read(folder / "answers-T08.jsonl").events]
    assert events == ["signed in", "signed out"]
    assert session.undo_sign_in().trainee is None


def test_decimal_sign_and_site_belong_to_the_code(folder):
    session.choose_decimal(",")
    session.sign_in("T07")
    assert session.open().decimal == ",", "chosen a moment before signing in"
    session.choose_site(session.site("Ours", 1, 2, frame="ITRF2020", epoch=2026.0, water_depth=9))
    session.sign_in("T08")
    assert (session.open().decimal, session.open().site) == (None, scenario.HOME)
    session.choose_decimal(".")
    session.sign_in("T07")
    assert (session.open().decimal, session.open().site.name) == (",", "Ours")


def test_a_wrong_code_keeps_nothing_of_what_was_chosen_before_it(folder):
    session.choose_decimal(",")
    session.sign_in("T70")
    session.undo_sign_in()
    session.sign_in("T07")
    assert session.open().decimal == ","
    session.sign_in("T70")
    assert session.open().decimal is None


def test_settings_of_an_earlier_edition_are_read(folder):
    folder.mkdir(exist_ok=True)
    held = {"trainee": "T07", "decimal": ",", "site": None, "prepared": {}, "screen": "wall"}
    (folder / "settings.json").write_text(json.dumps(held), encoding="utf-8")
    settings = session.open()
    assert (settings.trainee, settings.decimal, settings.screen) == ("T07", ",", "wall")
    session.sign_in("T08")
    assert session.open().decimal is None


@pytest.mark.parametrize(("former", "today"), scenario.FORMER.items())
def test_a_place_kept_under_a_former_name_is_shown_under_its_own(folder, former, today):
    place = scenario.PLACES[today]
    session.choose_site(replace(place, name=former))
    assert session.open().site == place
    moved = replace(place, name=former, water_depth=place.water_depth + 1)
    session.choose_site(moved)
    assert session.open().site == moved, "somebody's own place of that name stays theirs"


def test_two_people_on_one_laptop_have_two_sheets(folder):
    for code in ("T07", "T08", "T07"):
        session.sign_in(code)
    assert len(sheet.read(folder / "answers-T07.jsonl").events) == 2
    assert len(sheet.read(folder / "answers-T08.jsonl").events) == 1


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"latitude": 91}, "swapped"),
        ({"latitude": float("nan")}, "latitude"),
        ({"longitude": 361}, "longitude"),
        ({"longitude": float("inf")}, "longitude"),
        ({"height": 1e6}, "height"),
        ({"epoch": 26.5}, "epoch"),
        ({"water_depth": -1}, "water depth"),
    ],
)
def test_a_site_out_of_range_says_value_and_range(changed, said):
    place = {"latitude": 57.0, "longitude": 2.0, "height": 0.0, "epoch": 2026.5, "water_depth": 80}
    place |= changed
    with pytest.raises(ValueError, match=said) as refused:
        session.site("x", place.pop("latitude"), place.pop("longitude"), frame="ITRF2020", **place)
    assert f"{next(iter(changed.values())):g}" in str(refused.value)
    assert "…" in str(refused.value)


DAMAGED = ["", "{", "[]", "7", "null", '"T07"', "[" * 5000, '{"trainee": 7}', '{"trainee": "../x"}',
           '{"site": 7}', '{"site": {"name": 7}}', "\0\0\0", "ÿþ",
           '{"site": {"name": "a", "latitude": 91, "longitude": 0, "frame": "", "epoch": 2026, '
           '"water_depth": 0}}']  # fmt: skip


@pytest.mark.parametrize("damaged", DAMAGED)
def test_damaged_settings_are_reported_and_hurt_no_answer(folder, damaged):
    session.sign_in("T07")
    kept = (folder / "answers-T07.jsonl").read_bytes()
    (folder / "settings.json").write_bytes(damaged.encode("latin-1"))
    settings = session.open()
    assert settings.trainee is None
    assert "could not be understood" in settings.trouble
    session.sign_in("T07")
    assert session.open().trainee == "T07"
    assert (folder / "answers-T07.jsonl").read_bytes().startswith(kept)


def test_a_decimal_sign_that_is_none_counts_as_not_chosen(folder):
    session.sign_in("T07")
    held = json.loads((folder / "settings.json").read_text(encoding="utf-8"))
    held["people"]["T07"]["decimal"] = "x"
    (folder / "settings.json").write_text(json.dumps(held), encoding="utf-8")
    assert session.open().decimal is None
    assert session.open().trainee == "T07"


def test_a_folder_that_can_and_one_that_cannot_be_written(tmp_path, monkeypatch, folder):
    assert session.writable() == ""
    assert not list(folder.iterdir()), "trying leaves nothing behind"
    (tmp_path / "taken").write_bytes(b"")
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "taken"))
    said = session.writable()
    assert "cannot be kept" in said
    assert session.FOLDER_VARIABLE in said
    with pytest.raises(OSError):  # noqa: PT011 - each system words it its own way
        session.sign_in("T07")


def test_a_choice_interrupted_leaves_the_settings_before(folder, monkeypatch):
    session.sign_in("T07")
    session.choose_decimal(".")

    def fails(*names):
        raise PermissionError(13, "in use")

    monkeypatch.setattr(session.os, "replace", fails)
    with pytest.raises(PermissionError):
        session.choose_decimal(",")
    assert session.open().decimal == "."
    assert session.open().trainee == "T07"


def test_handing_in_gives_the_sheet_and_notes_when(folder):
    with pytest.raises(OSError, match="nobody"):
        session.hand_in()
    session.sign_in("T07")
    name, contents = session.hand_in()
    assert name == "answers-T07.jsonl"
    kept = (folder / name).read_bytes()
    assert contents.startswith(kept)
    closing = json.loads(contents.removeprefix(kept))
    assert (closing["event"], closing["lines"]) == ("handed in", 1)
    assert closing["before"] == json.loads(kept)["digest"]
    assert "T07" in session.open().prepared
