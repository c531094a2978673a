"""A page of the course runs when it is opened; one that is not as it was shipped waits."""

import json
import shutil

import pytest
from course import ROOT, Course, Lesson

from exercises.sheets import scenario, session

pytestmark = pytest.mark.browser
RUN = "localStorage['geodesy-run:lessons/08_deflection.ipynb']"


@pytest.fixture
def lesson(browser, course):
    opened = Lesson(browser, course, "08_deflection")
    yield opened
    assert opened.trouble() == []
    assert opened.strangers == []
    opened.leave()


@pytest.mark.full
def test_a_page_reloaded_or_opened_twice_goes_on_and_runs_anew_for_another_site(
    lesson, course, monkeypatch
):
    page, total = lesson.page, "deflection-total"
    lesson.page.wait_for_function(f"() => {RUN}")
    shown = page.evaluate(RUN)
    lesson.slide("wire", "ArrowLeft", "ArrowLeft", "PageDown")
    page.wait_for_timeout(500)
    words = lesson.readout()
    typing = lesson.box(total).place.locator("input[type=text]:visible").first
    typing.fill("1.25")
    page.wait_for_timeout(500)

    lesson.reload()
    assert page.evaluate(RUN) == shown, "it was run a second time"
    assert lesson.readout() == words
    assert typing.input_value() == "1.25"

    with page.expect_popup() as opened:
        page.evaluate("() => { window.open(location.href) }")
    again = opened.value
    again.locator("img.gk-picture").first.wait_for()
    assert again.evaluate(RUN) == shown, "the second tab ran what runs in the first"
    lesson.slide("wire", "PageUp")
    moved = "words => document.querySelector('.gk-readout').innerText !== words"
    for tab in (page, again):
        tab.wait_for_function(moved, arg=words)
    again.close()
    course.crash()  # a page that was not run anew hears of it all the same
    page.locator(".gk-stopped", has_text="Press Run this lesson").wait_for()
    lesson.reload()  # what a Python that is gone has shown is not put back
    page.wait_for_function(f"shown => {RUN} && {RUN} !== shown", arg=shown)
    shown = page.evaluate(RUN)

    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    before = session.open().site
    session.choose_site(next(one for one in scenario.PLACES.values() if one.name != before.name))
    lesson.reload()
    page.wait_for_function(f"shown => {RUN} !== shown", arg=shown)
    session.choose_site(before)


@pytest.mark.full
def test_what_is_not_as_it_was_shipped_waits_for_its_button(browser, tmp_path):
    copy = tmp_path / "the course"
    shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__"))
    changed, review = copy / "lessons" / "05_lines.ipynb", copy / "lessons" / "review.ipynb"
    notebook = json.loads(changed.read_text(encoding="utf-8"))
    notebook["cells"][0]["source"].append(" Ours.")
    changed.write_text(json.dumps(notebook), encoding="utf-8")
    shutil.copyfile(review, copy / "lessons" / "added.ipynb")
    course = Course(tmp_path, copy)
    try:
        for name in ("05_lines", "added"):
            waiting = Lesson(browser, course, name, live=False)
            waiting.page.wait_for_timeout(4000)
            assert waiting.page.locator(".widget-box").count() == 0
            waiting.run()
            assert waiting.page.locator(".widget-box").count() > 0
            waiting.leave()
        Lesson(browser, course, "review").leave()
    finally:
        course.stop()


# What Python answers, just before the page puts back what it had shown, comes late; meanwhile the
# button is pressed.
PRESSED = """
const line = Object.getOwnPropertyDescriptor(WebSocket.prototype, "onmessage");
const button = "[data-jp-item-name='run-lesson'] > jp-button";
let order = Promise.resolve();
const pressed = () => {
  window.pressed = true;
  document.querySelector(button).dispatchEvent(new MouseEvent("mousedown", { bubbles: true }));
  return new Promise(go => setTimeout(go, 500));
};
Object.defineProperty(WebSocket.prototype, "onmessage", {
  ...line,
  set(act) {
    line.set.call(this, event => {
      const raw = event.data, said = typeof raw === "string" ? raw : new TextDecoder().decode(raw);
      if (said.includes("comm_info_reply")) order = order.then(pressed);
      order = order.then(() => act.call(this, event));
    });
  },
});
"""


@pytest.mark.full
def test_its_button_pressed_while_a_page_is_put_back_shows_everything_once(browser, course):
    lesson = Lesson(browser, course, "00_start")
    lesson.page.wait_for_function("() => localStorage['geodesy-run:lessons/00_start.ipynb']")
    lesson.page.add_init_script(PRESSED)
    lesson.reload()
    lesson.page.wait_for_timeout(2000)
    assert lesson.page.evaluate("window.pressed")
    assert lesson.page.locator(".gk-welcome").count() == 1
    assert lesson.page.locator(".gk-map").get_by_role("link", name="Workbench").count() == 1
    lesson.leave()
