"""What was typed before a press is in Python before the press, however slow the room is."""

import re

import pytest
from class_pages import box, live, sign_in
from course import Lesson

from tests.class_room import Room

pytestmark = pytest.mark.browser
# Whatever Python says comes late, so that letters are held back for longer than a press takes.
LATE = """
const line = Object.getOwnPropertyDescriptor(WebSocket.prototype, "onmessage");
Object.defineProperty(WebSocket.prototype, "onmessage", {
  ...line,
  set(act) {
    line.set.call(this, event => setTimeout(() => act.call(this, event), window.late ?? 0));
  },
});
"""


def answer_late(page, place, folder):
    """Type and press Enter while Python is late; return the answer on the only sheet."""
    if (point := place.get_by_role("button", name="I write 12.5")).is_visible():
        point.click()
    fields = place.locator(".gk-entries input[type=text]")
    for field in fields.all():
        field.fill("1")
    place.locator(".gk-check:enabled").wait_for()
    page.evaluate("window.late = 1500")
    for field in fields.all():
        field.press("End")
        field.press_sequentially("2.75", delay=30)
    fields.first.press("Enter")
    place.locator(".gk-verdict").first.wait_for()
    page.evaluate("window.late = 0")
    place.locator("span.gk-kept").wait_for()
    (sheet,) = folder.glob("answers-*.jsonl")
    lines = sheet.read_text(encoding="utf-8").splitlines()
    (answer,) = [line for line in lines if '"answered"' in line]
    return answer


TYPED = re.compile(r'"typed": {"\w+": "12\.75", "\w+": "12\.75"}')


def test_check_takes_the_last_letters_along(browser, course):
    lesson = Lesson(browser, course, "08_deflection")
    lesson.page.add_init_script(LATE)
    lesson.reload()
    answered = lesson.box("deflection-total")
    answered.sign_in("T07")
    assert TYPED.search(answer_late(lesson.page, answered.place, course.answers))
    assert lesson.trouble() == []
    lesson.leave()


@pytest.mark.full
def test_check_takes_the_last_letters_along_in_a_class(browser, tmp_path):
    room = Room(tmp_path / "class")
    page = browser.new_context().new_page()
    page.set_default_timeout(60_000)
    page.add_init_script(LATE)
    sign_in(page, room, "T07")
    live(page)
    assert TYPED.search(answer_late(page, box(page), room.folder))
    page.context.close()
    assert room.stop() == 0
