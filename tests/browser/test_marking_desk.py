"""The marking desk in a real browser, while a trainee of the class works."""

import pytest
from course import Lesson

from exercises.audit import closing
from exercises.sheets import changed_marks
from tests.test_desk import paper_of
from tests.test_report import PLUMB, Desk

pytestmark = [pytest.mark.browser, pytest.mark.full]


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    """Return a class of six, who got it wrong and then right."""
    place = tmp_path_factory.mktemp("class ø")
    for number in range(1, 7):
        desk = Desk(place, f"T{number:02}")
        desk.answer(slip="opposite")
        desk.answer()
    return place


def opened(browser, course, folder, says):
    """Open a class at the desk, and wait for what the desk says of it."""
    lesson = Lesson(browser, course, "desk/marking_desk")
    lesson.page.locator(".gk-in-folder input").fill(str(folder))
    lesson.page.get_by_role("button", name="Open the class").click()
    lesson.page.locator(".gk-said", has_text=says).wait_for()
    return lesson


def test_an_answer_arrives_while_details_stay_open_and_a_mark_is_changed(browser, course, room):
    lesson = opened(browser, course, room, "6 trainees")
    page = lesson.page
    page.locator("button.gk-open", has_text="T05").click()
    panel = page.locator(".gk-member", has=page.locator("button.gk-open", has_text="T05"))
    panel.locator("select").first.select_option(label="08\u00a0deflection")
    typed = panel.locator(".typed bdi")
    typed.nth(3).wait_for()
    scroll = ".jp-Notebook.jp-WindowedPanel"
    assert page.eval_on_selector(scroll, "one => one.scrollTop = 240") == 240
    Desk(room, "T05").answer(east="12.34")
    panel.locator(".typed", has_text="12.34").wait_for(timeout=20_000)
    assert typed.count() == 6
    assert page.eval_on_selector(scroll, "one => one.scrollTop") == 240

    form = panel.locator(".gk-mark-form")
    form.locator("select").select_option(label=PLUMB.title)
    form.locator(".gk-in-mark input").fill("50%")
    form.locator(".gk-in-reason input").fill("read the sheet aloud")
    form.locator(".gk-in-by input").fill("MK")
    form.get_by_role("button", name="Change the mark").click()
    panel.locator(".stand", has_text="†").wait_for()
    (changed,) = changed_marks.read(room / changed_marks.NAME).standing.values()
    assert (changed.trainee, changed.key, changed.mark) == ("T05", PLUMB.key, 0.5)
    assert (changed.reason, changed.by) == ("read the sheet aloud", "MK")
    assert panel.locator(".stand", has_text="†").count() == 1
    assert (lesson.trouble(), lesson.strangers, lesson.dialogs()) == ([], [], [])
    lesson.leave()


def test_a_finding_is_read_and_closed_with_a_reason(browser, course, room):
    sheet = room / "answers-T03.jsonl"
    whole = sheet.read_text("utf-8")
    sheet.write_text(whole.replace('"turn": 1', '"turn": 1, "frame": "x"', 1), "utf-8")
    lesson = opened(browser, course, room, "1 finding to ask about")
    page = lesson.page
    page.get_by_role("button", name="Findings").click()
    panel = page.locator(".gk-findings .gk-member")
    panel.locator("button.gk-open").click()
    panel.locator(".places", has_text="answers-T03.jsonl, line").wait_for()
    close = panel.get_by_role("button", name="Close the finding")
    close.click()
    panel.locator(".gk-alarm", has_text="never closed without a reason").wait_for()
    panel.locator(".gk-in-reason input").fill("<b>asked</b> T03")
    panel.locator(".gk-in-by input").fill("MK")
    close.click()
    panel.locator(".gk-finding.closed", has_text="<b>asked</b> T03").wait_for()
    (kept,) = closing.read(room).last.values()
    assert (kept.reason, kept.by) == ("<b>asked</b> T03", "MK")
    assert (lesson.trouble(), lesson.strangers, lesson.dialogs()) == ([], [], [])
    lesson.leave()


def test_two_papers_are_named_and_stand_on_a_record(browser, course, tmp_path):
    folder = tmp_path / "class"
    Desk(folder, "T07").answer()
    (folder / "answers-T05.jsonl").write_bytes(b"\xff\x00 no sheet at all \n" * 3)
    named = [paper_of(tmp_path, "Final", 31), paper_of(tmp_path, "Resit", 44)]
    lesson = opened(browser, course, folder, "2 trainees")
    page = lesson.page
    page.get_by_role("button", name="To hand on").click()
    page.locator(".gk-in-paper_set input").fill(str(named[0][0]))
    page.locator(".gk-in-paper_back input").fill(str(named[0][1]))
    page.get_by_role("button", name="Name another paper").click()
    page.locator(".gk-in-paper_set input").nth(1).fill("../Resit")
    page.get_by_role("button", name="Write the record").click()
    page.locator(".gk-said", has_text="A closed paper needs both folders").wait_for()
    page.locator(".gk-in-paper_back input").nth(1).fill("../Resit-came")
    page.get_by_role("button", name="Write the record").click()
    page.locator(".gk-said", has_text="records.html").wait_for()
    assert page.locator(".gk-in-paper_set input").first.input_value() == str(named[0][0])
    record = (folder / "records" / "record-T07.html").read_text("utf-8")
    assert "paper 31" in record
    assert "paper 44" in record
    page.goto((folder / "records.html").as_uri())
    page.get_by_text("answers-T05.jsonl: no line of it could be read").wait_for()
    assert (lesson.strangers, lesson.dialogs()) == ([], [])
