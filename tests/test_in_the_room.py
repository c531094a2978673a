"""The room at the desk and on the projector: who is in, what is said to all, hands counted."""

import asyncio
import json
import re
import time

import pytest

from exercises import BANK
from exercises.audit import received
from exercises.classroom import forgetting, making, members, notices, phrases, presence
from exercises.classroom.sessions import Sessions
from exercises.question import dice
from exercises.sheets import class_file, session, sheet
from exercises.trainer import devices
from lessons.desk import desk, hands
from lessons.widgets.answer_box import ask

KEY = "deflection-first-weight"
QUESTION = BANK[KEY]
CHOICES = [option.key for option in QUESTION.asked[0].options]
HOSTILE = "</script><img src=x onerror=alert(1)>\u202e\u0007"


def text_of(widget):
    return " ".join(re.sub(r"<[^>]+>", " ", widget.value).split())


def _no_loop():
    raise RuntimeError("no page: driven by a test")


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path / "trainer's own"))
    # A browser driven earlier in this process leaves a loop that runs: what is put off would wait.
    monkeypatch.setattr(asyncio, "get_running_loop", _no_loop)
    file = tmp_path / "class.csv"
    file.write_text("code,name\nT07,Anna <b>Ø</b>\nT08,Bo\n", encoding="utf-8")
    making.make(tmp_path / "class", file, "Autumn", "Brindle Wall")
    return tmp_path / "class"


@pytest.fixture
def shown(folder):
    one = desk.Desk(by="MK")
    one.folder.value = str(folder)
    one.open_class()
    return one.room


def keeps(monkeypatch, folder, code, choice, key=KEY):
    """Have somebody choose, as the page's own Python keeps it."""
    word = class_file.read(folder).word
    with monkeypatch.context() as own:
        own.setenv(session.FOLDER_VARIABLE, str(folder))
        own.setenv(session.PERSON_VARIABLE, f"{word}-{code}")
        box = ask(key)
        box.entries["choice"].value = choice
        return box


def inside(folder, *codes, when=None):
    people = tuple(
        presence.Inside(code, 0.0, (presence.Open("08_deflection", KEY, True),)) for code in codes
    )
    tried = (presence.Tried("T08", "10.0.0.7", 4, 0.0),)
    presence.write(folder, presence.Presence(when or time.time(), people, tried))


# Who is in -------------------------------------------------------------------------------


def test_the_desk_shows_who_is_in_where_and_which_phrases_were_wrong(shown, folder):
    assert "not being served" in text_of(shown.people)
    inside(folder, "T07")
    shown.update()
    said = text_of(shown.people)
    assert "in (1)" in said
    assert "T07 Anna <b>Ø</b>".replace("<", "&lt;").replace(">", "&gt;") in said
    assert "08 deflection" in said
    assert KEY in said
    assert "T08 from 10.0.0.7, 4×" in text_of(shown.wrong)
    inside(folder, "T07", when=time.time() - 60)
    shown.update()
    assert "not being served" in text_of(shown.people)


def test_what_was_answered_last_stands_beside_with_its_slip(shown, folder, monkeypatch):
    people = tuple(presence.Inside(code, 0.0) for code in ("T07", "T08"))
    presence.write(folder, presence.Presence(time.time(), people))
    exercise = BANK["deflection-components"]
    word = class_file.read(folder).word
    given = dice.given(exercise, f"{word}-T07", 1, class_file.read(folder).secret)
    slip, wrong = next(iter(exercise.wrong(given).items()))
    typed = {**exercise.solve(given), **wrong}
    with monkeypatch.context() as own:
        own.setenv(session.FOLDER_VARIABLE, str(folder))
        own.setenv(session.PERSON_VARIABLE, f"{word}-T07")
        session.choose_decimal(".")
        box = ask(exercise.key)
        for asked in exercise.asked:
            box.entries[asked.name].value = asked.show(typed[asked.name])
        box.check()
    shown._watch().look()
    shown.update()
    first, second = text_of(shown.people).split("T07")[1].split("T08")
    assert re.search(rf"\d\d:\d\d {exercise.key}", first)
    assert exercise.slip(slip).name in first
    assert exercise.key not in second


def test_a_folder_of_sheets_alone_is_no_room(tmp_path, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path / "own"))
    (tmp_path / "sheets").mkdir()
    one = desk.Desk()
    one.folder.value = str(tmp_path / "sheets")
    one.open_class()
    assert "answer sheets alone" in text_of(one.room.people)


@pytest.mark.parametrize("text", ["", "{", "[]", '{"time": 1}', '{"time": "x", "people": 3}', "7"])
def test_a_file_that_makes_no_sense_shows_nobody(folder, shown, text):
    for name in (presence.NAME, notices.NAME, devices.NAME):
        (folder / name).write_text(text, encoding="utf-8")
    assert presence.read(folder) is None
    assert notices.read(folder) == {}
    assert devices.read(folder) is None
    shown.update()
    assert "not being served" in text_of(shown.people)


def test_a_new_phrase_is_shown_once_and_opens(shown, folder):
    before = phrases.read(folder)["T08"]
    shown.who.value = "T08"
    shown.new_phrase()
    said = re.search(r'gk-phrase">([a-z ]+)<', shown.message.value)[1]
    assert phrases.right(said, phrases.read(folder)["T08"])
    assert phrases.read(folder)["T08"] != before
    shown.sign_out()
    assert said not in shown.message.value
    for file in folder.rglob("*"):
        assert not file.is_file() or said not in file.read_text(encoding="utf-8")


def test_who_came_to_the_roster_later_is_offered_and_given_a_phrase(shown, folder):
    path = folder / making.ROSTER
    path.write_text(path.read_text(encoding="utf-8") + "T09,Cem\n", encoding="utf-8")
    shown.update()
    assert ("T09 Cem (no phrase yet)", "T09") in shown.who.options
    assert "without a phrase: T09" in text_of(shown.listed)
    shown.who.value = "T09"
    shown.new_phrase()
    said = re.search(r'gk-phrase">([a-z ]+)<', shown.message.value)[1]
    assert phrases.right(said, phrases.read(folder)["T09"])
    assert "The one before" not in shown.message.value, "there was none"
    assert ("T09 Cem", "T09") in shown.who.options
    assert not text_of(shown.listed)


def test_a_roster_that_cannot_be_used_is_said_and_the_list_from_before_stays(shown, folder):
    path = folder / making.ROSTER
    good = path.read_text(encoding="utf-8")
    path.write_text("code,name\nT07,<img src=x>\nT07,Bo\n", encoding="utf-8")
    shown.update()
    assert "T07 stands 2 times" in text_of(shown.listed)
    assert members.STAYS in text_of(shown.listed)
    assert [code for _, code in shown.who.options] == ["T07", "T08"]
    path.write_text(good, encoding="utf-8")
    shown.update()
    assert not text_of(shown.listed)


def test_somebody_is_signed_out(shown, folder):
    words = [Sessions(folder).begin(code) for code in ("T07", "T08")]
    shown.who.value = "T07"
    shown.sign_out()
    assert [Sessions(folder).code(word) for word in words] == [None, "T08"]


def test_who_is_to_be_forgotten_is_taken_out_of_the_list(folder):
    inside(folder, "T07", "T08")
    assert forgetting.naming(folder, "T08").count(folder / presence.NAME) == 1
    forgetting.erase(folder / presence.NAME, "T08")
    left = presence.read(folder)
    assert [one.code for one in left.people] == ["T07"]
    assert left.wrong == ()
    assert folder / presence.NAME not in forgetting.naming(folder, "T08")


def test_the_files_of_a_room_are_expected_beside_the_sheets(folder):
    inside(folder, "T07")
    notices.say(folder, "Break", "MK")
    devices.put_up(folder, KEY)
    assert received.find(folder).troubles == []


# What is said to everybody ---------------------------------------------------------------


def test_a_line_is_shown_and_taken_away(shown, folder):
    shown.line.value = "Break until 10:30"
    shown.say_line()
    said = notices.read(folder)[notices.MESSAGE]
    assert (said.text, said.by) == ("Break until 10:30", "MK")
    assert re.fullmatch(r"\d\d:\d\d", said.time)
    assert "Break until 10:30" in text_of(shown.stands)
    assert shown.line.value == ""
    shown.take_away(notices.MESSAGE)
    assert notices.read(folder) == {}
    with pytest.raises(ValueError, match="Type one line"):
        shown.say_line()


def test_a_hostile_line_is_one_line_of_text(shown, folder):
    shown.line.value = HOSTILE + "\n" * 5 + "x" * 500
    shown.say_line()
    line = notices.read(folder)[notices.MESSAGE].text
    assert line.startswith("</script><img")
    assert len(line) == notices.LONGEST
    assert not set(line) & {"\u202e", "\u0007", "\n"}
    assert "<img" not in shown.stands.value


def test_a_link_leads_to_a_heading_that_is_there(shown, folder):
    shown.page.value = "08_deflection"
    assert "Where the weight lands" in dict(shown.section.options)
    shown.section.value = "Where the weight lands"
    shown.send_link()
    look = notices.read(folder)[notices.LOOK]
    assert (look.page, look.section) == ("08_deflection", "Where the weight lands")
    assert look.text.startswith("08 ")
    for page, section in (("../x", ""), ("desk/marking_desk", ""), ("08_deflection", "<b>")):
        with pytest.raises(ValueError, match=r"no (page|heading)"):
            notices.look_at(folder, page, section, "MK")


def test_a_link_elsewhere_in_the_file_is_not_believed(folder):
    notices.look_at(folder, "08_deflection", "", "MK")
    held = json.loads((folder / notices.NAME).read_text(encoding="utf-8"))
    held["look"]["page"] = "//evil.example"
    (folder / notices.NAME).write_text(json.dumps(held), encoding="utf-8")
    assert notices.read(folder) == {}


# Hands -----------------------------------------------------------------------------------


def test_a_choice_that_is_pressed_is_a_hand_and_the_last_one_counts(folder, monkeypatch):
    up, counter = devices.put_up(folder, KEY), devices.Counter(folder)
    assert counter.hands(up).raised == 0
    keeps(monkeypatch, folder, "T07", CHOICES[0])
    keeps(monkeypatch, folder, "T08", CHOICES[1])
    assert counter.hands(up).counts == dict.fromkeys(CHOICES, 0) | {CHOICES[0]: 1, CHOICES[1]: 1}
    keeps(monkeypatch, folder, "T07", CHOICES[1])
    assert counter.hands(up).counts[CHOICES[1]] == 2
    assert counter.hands(up, inside=5).people == 5


def test_counting_anew_forgets_what_was_chosen_before(folder, monkeypatch):
    devices.put_up(folder, KEY)
    keeps(monkeypatch, folder, "T07", CHOICES[0])
    devices.tell(folder)
    time.sleep(0.01)
    again, counter = devices.count_anew(folder), devices.Counter(folder)
    assert not again.shown
    assert counter.hands(again).raised == 0
    keeps(monkeypatch, folder, "T07", CHOICES[1])
    assert counter.hands(again).raised == 1


def test_an_idea_of_the_concept_check_is_one_question_in_both_forms(folder):
    first, second = devices.same("concept-flat-b")
    assert (first, second) == ("concept-flat-a", "concept-flat-b")
    word = class_file.read(folder).word
    for code, key in (("T07", first), ("T08", second)):
        event = {"event": "said first", "key": key, "edition": 1, "turn": 1}
        path = folder / sheet.file_name(f"{word}-{code}")
        sheet.append(path, event | {"typed": {"choice": "right"}})
    assert devices.Counter(folder).hands(devices.put_up(folder, first)).counts["right"] == 2


@pytest.mark.parametrize("key", ["deflection-total", "no-such", ""])
def test_a_question_of_numbers_cannot_be_put_up(folder, key):
    with pytest.raises(ValueError, match="one choice"):
        devices.put_up(folder, key)


def test_outside_a_class_a_choice_is_kept_by_the_button_alone(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    session.sign_in("T07")
    box = ask(KEY)
    box.entries["choice"].value = CHOICES[0]
    assert not box.practice.answers


def test_the_projector_fills_shows_the_answer_afterwards_and_names_nobody(folder, monkeypatch):
    page = hands.HandsPage(folder)
    assert "No question is up" in text_of(page.question)
    devices.put_up(folder, KEY)
    inside(folder, "T07", "T08")
    keeps(monkeypatch, folder, "T07", CHOICES[0])
    page.look()
    assert "1 of 2 hands up" in text_of(page.bars)
    assert ">right<" not in page.bars.value
    page.tell()
    assert page.bars.value.count(">right<") == 1
    shown = page.question.value + page.bars.value
    assert not re.search("T07|T08|Anna|Bo<", shown)
    page.count_anew()
    assert ">right<" not in page.bars.value
