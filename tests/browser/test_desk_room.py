"""The room at the desk, in a real browser: a line for everybody, a question up, hands that come."""

import time

import pytest
from course import Lesson

from exercises.classroom import making, notices, presence
from exercises.sheets import class_file, sheet
from exercises.trainer import devices

pytestmark = [pytest.mark.browser, pytest.mark.full]
KEY = "deflection-first-weight"


@pytest.fixture
def class_folder(tmp_path):
    roster = tmp_path / "class.csv"
    roster.write_text("code,name\nT07,Anna\nT08,Bo\n", encoding="utf-8")
    making.make(tmp_path / "class ø", roster, "Autumn", "Brindle Wall")
    return tmp_path / "class ø"


def inside(folder):
    """Say that both are in, as the server does."""
    pages = (presence.Open("08_deflection", KEY, True),)
    people = tuple(presence.Inside(code, time.time(), pages) for code in ("T07", "T08"))
    presence.write(folder, presence.Presence(time.time(), people))


def test_a_line_is_shown_a_question_put_up_and_hands_fill_the_projectors_page(
    browser, course, class_folder
):
    folder = class_folder
    lesson = Lesson(browser, course, "desk/marking_desk")
    page = lesson.page
    page.locator(".gk-in-folder input").fill(str(folder))
    page.get_by_role("button", name="Open the class").click()
    page.get_by_role("button", name="In the room").click()
    inside(folder)
    page.get_by_role("rowheader", name="T07 Anna").wait_for()
    page.locator(".gk-in-line input").fill("Break until 10:30")
    page.get_by_role("button", name="Show the line").click()
    page.get_by_text("On every page: Break until 10:30").wait_for()
    assert notices.read(folder)[notices.MESSAGE].text == "Break until 10:30"

    devices.put_up(folder, KEY)
    page.get_by_role("button", name="Refresh").click()
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Open the page for the projector").click()
    hands = opened.value
    hands.set_default_timeout(60_000)
    hands.get_by_text("0 of").first.wait_for()
    choices = [option.key for option in devices.read(folder).exercise.asked[0].options]
    typed = {"typed": {"choice": choices[0]}}
    event = {"event": "said first", "key": KEY, "edition": 1, "turn": 1, **typed}
    sheet.append(folder / sheet.file_name(f"{class_file.read(folder).word}-T07"), event)
    hands.locator(".gk-raised b", has_text="1").wait_for()
    assert "T07" not in hands.locator(".gk-hands-page").inner_text()
    assert hands.locator(".gk-bars .gk-right").count() == 0
    hands.get_by_role("button", name="Tell the room").click()
    hands.locator(".gk-bars .gk-right").wait_for()
    lesson.leave()
