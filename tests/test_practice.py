"""Practice, the answer box and the start page, driven as their buttons do, without a browser."""

import json
import os
import stat
import sys

import pytest

from exercises.sheets import session, sheet
from exercises.trainee import practice
from exercises.trainee.practice import Practice
from lessons.course.concept import Check
from lessons.course.welcome import OWN, panel
from lessons.widgets.answer_box import ask

KEY = "deflection-plumb-offset"


@pytest.fixture
def answers(tmp_path, monkeypatch):
    """An answers folder of its own, with T07 signed in and the point chosen."""
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "answers ø"))
    session.sign_in("T07")
    session.choose_decimal(".")
    return session.folder()


def typed(box, **texts):
    for name, text in texts.items():
        box.entries[name].value = text


def right(box):
    answer = box.exercise.solve(box.practice.given)
    return {name: box.exercise.part(name).show(value) for name, value in answer.items()}


def events(name="T07"):
    return sheet.read(session.folder() / sheet.file_name(name)).events


def test_a_slip_then_the_right_answer_then_a_new_kernel(answers):
    box = ask(KEY)
    assert "T07 · turn 1" in box.head.value
    good = right(box)
    typed(box, **good | {"east": str(-float(good["east"]))})
    assert "not kept yet" in box.kept.value
    box.check()
    assert "It lands on the other side" in box.messages.value
    assert "slip" in box.marks["east"].value
    assert "right" in box.marks["north"].value
    assert "kept" in box.kept.value
    assert "answers-T07.jsonl" in box.kept.value
    assert "answer 1" in box.head.value
    typed(box, **good)
    assert not box.marks["east"].value, "a mark must not stand beside another number"
    box.check()
    assert box.verdict.right
    again = ask(KEY)  # as after a restart
    assert again.entries["east"].value == good["east"]
    assert again.verdict.right
    assert "answer 2" in again.head.value
    assert [e["event"] for e in events()] == ["signed in", "answered", "answered"]


def test_pressing_twice_is_one_answer(answers):
    box = ask(KEY)
    typed(box, **right(box))
    box.check()
    box.check()
    assert sum(e["event"] == "answered" for e in events()) == 1


def test_silly_answers_are_kept_verbatim_and_never_run(answers):
    box = ask(KEY)
    silly = "__import__('os').remove('x') <script>alert(1)</script> \u202e"
    typed(box, east=silly, north="12,3,4")
    box.check()
    assert box.verdict.state == "unread"
    assert "<script>" not in box.messages.value
    assert events()[-1]["typed"] == {"east": silly, "north": "12,3,4"}


def test_nudges_worked_answer_and_new_numbers(answers):
    box = ask(KEY)
    box.nudge()
    assert "Nudge 1 of 2" in box.messages.value
    box.nudge()
    box.nudge()
    assert "Nudge 2 of 2" in box.messages.value
    box.show()
    assert "The worked answer" in box.messages.value
    assert box.buttons["check"].disabled, "showing closes the turn"
    assert box.entries["east"].disabled, "what is typed now could not be kept"
    assert "The worked answer" in ask(KEY).messages.value, "still there after a restart"
    first = dict(box.practice.given)
    box.new_numbers()
    assert "turn 2" in box.head.value
    assert box.practice.given != first
    assert not box.buttons["check"].disabled
    assert not box.entries["east"].disabled
    names = [e["event"] for e in events()]
    assert names == ["signed in", "nudged", "nudged", "shown", "new numbers"]


def test_nothing_typed_is_no_answer(answers):
    box = ask(KEY)
    box.check()
    assert "Nothing is typed" in box.messages.value
    assert [e["event"] for e in events()] == ["signed in"]


def test_say_first_is_kept_before_anything_is_reported(answers):
    box = ask("deflection-first-weight")
    box.show()
    assert "Choose an answer" in box.messages.value
    typed(box, choice="north")
    box.check()
    assert "Kept" in box.messages.value
    assert "zenith" not in box.messages.value
    box.show()
    assert "Not this one" in box.messages.value
    assert "foot lies the other way" in box.messages.value.replace("\n", " ")
    assert [e["event"] for e in events()] == ["signed in", "said first", "shown"]


def test_signing_in_from_within_the_box(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "new"))
    box = ask(KEY)
    assert box.buttons["check"].disabled
    assert "not signed in" in box.head.value
    box.code.value = "../etc"
    box.sign_in()
    assert "is not a trainee code" in box.messages.value
    box.code.value = " t07 "
    box.sign_in()
    assert "T07" in box.head.value
    assert not box.buttons["check"].disabled
    assert box.decimal_part.layout.display != "none"
    box.choose_decimal(",")
    assert box.decimal_part.layout.display == "none"


def test_somebody_else_signed_in_elsewhere(answers):
    box = ask(KEY)
    typed(box, east="0.35", north="0.53")
    session.sign_in("T09")
    box.check()
    assert "You are now T09" in box.messages.value
    assert "T09" in box.head.value
    assert [e["event"] for e in events("T09")] == ["signed in"], "T07's text is not T09's answer"


def test_the_decimal_sign_chosen_elsewhere_is_followed(answers):
    box = ask(KEY)
    comma = {name: text.replace(".", ",") for name, text in right(box).items()}
    typed(box, **comma)
    box.check()
    assert box.verdict.state == "unread"
    session.choose_decimal(",")
    box.check()
    assert box.verdict.right


def test_an_edition_that_rose_in_between_starts_a_new_turn(answers):
    box = ask(KEY)
    path = session.open().sheet
    old = {"key": KEY, "edition": box.exercise.edition + 1, "turn": 1, "given": {}, "typed": {}}
    sheet.append(path, {"event": "answered", **old})
    assert Practice(box.exercise).turn == 2


@pytest.mark.skipif(sys.platform == "win32", reason="folder permissions work differently there")
def test_a_folder_that_cannot_be_written_is_said_and_the_text_stays(answers, monkeypatch):
    box = ask(KEY)
    typed(box, **right(box))

    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(sheet, "append", refuse)
    box.check()
    assert "Not kept" in box.kept.value
    assert "No space left" in box.kept.value
    assert box.entries["east"].value == right(box)["east"]
    if os.geteuid():
        answers.chmod(stat.S_IRUSR | stat.S_IXUSR)
        assert "cannot be kept" in session.writable()


def test_a_remark_reaches_the_sheet(answers):
    box = ask(KEY)
    box.remark()
    box.remark_text.value = "  I think the marking is wrong  "
    box.remark()
    assert "your remark is kept" in box.kept.value
    assert events()[-1]["text"] == "I think the marking is wrong"
    assert events()[-1]["key"] == KEY


def test_start_page_from_sign_in_to_hand_in(answers):
    start = panel()
    assert "T07" in start.who.value
    start.code.value = "T70"
    start.sign_in()
    assert "T70" in start.who.value
    assert start.undo.layout.display is None
    start.take_back()
    assert session.open().trainee is None
    start.code.value = "T07"
    start.sign_in()
    assert [e["event"] for e in events("T70")] == ["signed in", "signed out"]
    start.places.value = "Mellow Plain"
    assert session.open().site.name == "Mellow Plain"
    start.places.value = OWN
    start.own["name"].value = "Our job <b>"
    start.own["latitude"].value = "54-12-30.5S"
    start.own["longitude"].value = "2 07 46 W"
    start.own["water_depth"].value = "85"
    start.choose_own()
    site = session.open().site
    assert site.latitude == pytest.approx(-54.2084722, abs=1e-6)
    assert site.longitude == pytest.approx(-2.1294444, abs=1e-6)
    assert "<b>Our job &lt;b&gt;" in start.site.value
    start.hand_in()
    assert 'download="answers-T07.jsonl"' in start.link.value
    assert "prepared with everything in it" in start.file.value
    box = ask(KEY)
    typed(box, **right(box))
    box.check()
    assert "1 answer since" in panel().file.value


@pytest.mark.parametrize(
    ("latitude", "longitude", "depth", "said"),
    [
        ("95", "2", "85", "between −90 and 90"),
        ("54 61 00", "2", "85", "minutes"),
        ("2 07 46 E", "54 N", "85", "swapped"),
        ("54", "2", "-5", "water depth"),
        ("nan", "2", "5", "could not read"),
        ("", "2", "5", "typed"),
    ],
)
def test_a_site_out_of_range_is_refused_in_one_sentence(answers, latitude, longitude, depth, said):
    start = panel()
    before = session.open().site
    for name, text in (("latitude", latitude), ("longitude", longitude), ("water_depth", depth)):
        start.own[name].value = text
    start._safely(start.choose_own)()
    assert said in start.message.value
    assert session.open().site == before


def test_settings_that_somebody_damaged_are_said_and_do_not_stop_the_course(answers):
    (answers / "settings.json").write_text('{"trainee": ["T07"]}', encoding="utf-8")
    assert "could not be understood" in session.open().trouble
    assert "could not be understood" in panel().message.value
    (answers / "settings.json").write_text(json.dumps({"trainee": "../T07"}), encoding="utf-8")
    assert session.open().trainee is None


def test_a_sheet_that_cannot_be_opened_is_reported_and_stops_no_lesson(answers):
    path = answers / sheet.file_name("T07")
    path.unlink()
    path.mkdir()
    box = ask(KEY)
    typed(box, **right(box))
    assert "cannot be read" in box.practice.trouble
    box.check()
    assert "Not kept" in box.kept.value
    assert "What you typed stays here" in box.kept.value
    assert "cannot be read" in Check().message.value


# What stands in the way ----------------------------------------------------------------------


def test_no_verdict_on_what_could_not_be_kept(answers):
    box = ask(KEY)
    lock = answers / "answers-T07.lock"
    lock.unlink(missing_ok=True)
    lock.mkdir()
    good = right(box)
    typed(box, **good)
    held = (answers / "answers-T07.jsonl").read_bytes()
    for act in (box.check, box.nudge, box.show, box.new_numbers):
        box._safely(act)
        assert "Not kept" in box.kept.value
        assert box.verdict is None
        assert not any(mark.value for mark in box.marks.values())
        assert "Right" not in box.messages.value
        assert "Nudge 1" not in box.messages.value
        assert "The worked answer" not in box.messages.value
    assert (box.practice.nudges, box.practice.turn, box.practice.closed) == (0, 1, False)
    assert (answers / "answers-T07.jsonl").read_bytes() == held
    lock.rmdir()
    box.check()
    assert box.verdict.right, "what was typed stayed, and is kept once it can be"


@pytest.mark.parametrize("bound", ["sheet", "exercise"])
def test_a_sheet_that_is_full_is_said_before_anything_is_called_kept(answers, monkeypatch, bound):
    box = ask(KEY)
    typed(box, **right(box) | {"east": "1.11"})
    box.check()
    if bound == "sheet":
        monkeypatch.setattr(sheet, "MOST_LINES", 2)
    else:
        monkeypatch.setattr(practice, "MOST_ANSWERS", 1)
    typed(box, **right(box))
    box.check()
    assert "Not kept" in box.kept.value
    assert ("sheet is full" if bound == "sheet" else "no more are marked") in box.kept.value
    assert box.verdict is None
    assert box.entries["east"].value == right(box)["east"]
    assert len([e for e in events() if e["event"] == "answered"]) == 1


@pytest.mark.parametrize("how", ["torn", "gone", "folder gone", "a folder"])
def test_settings_that_vanish_clear_nothing_and_blame_nobody(answers, how):
    box, check = ask(KEY), Check()
    typed(box, **right(box))
    kept = (answers / "answers-T07.jsonl").read_bytes()
    path = answers / "settings.json"
    if how == "torn":
        path.write_text('{"trainee": "T0', encoding="utf-8")
    elif how == "folder gone":
        answers.rename(answers.with_name("elsewhere"))
    else:
        path.unlink()
        if how == "a folder":
            path.mkdir()
    box.check()
    assert "Somebody" not in box.messages.value
    assert "settings" in box.messages.value
    assert "What you typed stays here" in box.messages.value
    assert box.entries["east"].value == right(box)["east"]
    assert not box.buttons["check"].disabled
    assert box.code_part.layout.display is None, "one can sign in again here"
    check.cards[0].options.value = "right"
    assert "somebody" not in check.message.value
    assert "Not kept" in check.message.value
    assert check.cards[0].options.value == "right"
    if how == "folder gone":
        assert not answers.exists(), "no second folder in its place"
        answers.with_name("elsewhere").rename(answers)
        assert (answers / "answers-T07.jsonl").read_bytes() == kept
    elif how == "a folder":
        return
    box.code.value = "T07"
    box.sign_in()
    session.choose_decimal(".")
    assert box.entries["east"].value == right(box)["east"], "signing in clears nothing"
    assert "not kept yet" in box.kept.value
    box.check()
    assert box.verdict.right


def test_what_was_typed_is_reported_when_somebody_else_signs_in(answers):
    box = ask(KEY)
    typed(box, east="1.23", north="")
    session.sign_in("T08")
    box.check()
    assert "You are now T08" in box.messages.value
    assert "1.23" in box.messages.value
    typed(box, east="4.56")
    box.code.value = "T09"
    box.sign_in()
    assert "Typed by T08" in box.messages.value
    assert "4.56" in box.messages.value
    assert box.entries["east"].value == ""


HOSTILE_LINES = {
    "a nudge beyond the last": {"event": "nudged", "nudge": 99},
    "an answer without typing": {"event": "answered"},
    "an answer of the year 1": {"event": "answered", "time": "0001-01-01T00:00:00+14:00"},
    "an answer of the year 9999": {"event": "answered", "time": "9999-12-31T23:59:59-14:00"},
    "half a character": {"event": "answered", "typed": {"east": "\ud800", "north": "1"}},
    "a turn far on": {"event": "answered", "turn": 999_999, "typed": {"east": "1"}},
    "nothing but the event": {"event": "shown"},
}


@pytest.mark.parametrize("more", HOSTILE_LINES.values(), ids=HOSTILE_LINES.keys())
def test_a_hostile_sheet_of_ones_own_stops_no_box(answers, more):
    place = {"key": KEY, "edition": 1, "turn": 1, "time": "2026-03-16T09:00:00+00:00"}
    event = place | more
    with open(session.open().sheet, "ab") as out:
        out.write(json.dumps(event | {"digest": sheet.digest(event)}).encode() + b"\n")
    box = ask(KEY)
    assert "did not work" not in box.messages.value
    "".join(entry.value for entry in box.entries.values()).encode("utf-8")
    box._safely(box.nudge)
    box._safely(box.new_numbers)
    assert "did not work" not in box.messages.value
    typed(box, **right(box))
    box._safely(box.check)
    assert box.verdict is not None or box.practice.turn > 999_998
    panel()


def test_a_sheet_cut_at_home_is_said_at_the_next_start(answers):
    box = ask(KEY)
    box.show()
    path = answers / "answers-T07.jsonl"
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
    assert "no longer holds its 2 lines" in ask(KEY).kept.value
    assert "no longer holds its 2 lines" in panel().message.value
