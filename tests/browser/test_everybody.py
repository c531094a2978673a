"""
Every page for who hears it and for who has only keys: names, values with units, axe, the keyboard.
"""

import re

import pytest
from course import Lesson
from hearing import findings, heard, nameless

from exercises.bank import syllabus
from tests.class_room import Room

pytestmark = [pytest.mark.browser, pytest.mark.full]
LESSONS = [f"{number:02}_{topic}" for number, topic in enumerate(syllabus.LESSONS, 1)]
OTHERS = ["00_start", "concept_check", "review", "workbench"]
DRAWN = """() => {
    const pictures = [...document.querySelectorAll(".gk-figure img.gk-picture")];
    return pictures.every(one => one.naturalWidth > 50 && one.alt);
}"""


@pytest.fixture(scope="module")
def opened(browser, course):
    """Open pages one after the other, each run by itself; nothing on them went wrong."""
    pages = {}

    def open_one(name):
        if name not in pages:
            for lesson in pages.values():
                lesson.leave()
            pages.clear()
            pages[name] = Lesson(browser, course, name)
            pages[name].page.wait_for_function(DRAWN)
        return pages[name]

    yield open_one
    for lesson in pages.values():
        lesson.leave()


@pytest.mark.parametrize("name", [*OTHERS, *LESSONS])
def test_everything_on_a_page_has_a_name_and_axe_finds_nothing(opened, name):
    page = opened(name).page
    every = heard(page)
    assert len(every) > 3
    assert nameless(page) == []
    assert findings(page) == []


def test_a_slider_says_its_number_with_its_unit(opened):
    lesson = opened("02_excess")
    handle = lesson.figure().locator(".noUi-handle").first
    lesson.page.evaluate("""() => {
        window.said = [];
        new MutationObserver(() => {
            const now = document.activeElement.getAttribute("aria-valuetext");
            if (now !== window.said.at(-1)) window.said.push(now);
        }).observe(document.body, {
            subtree: true, attributes: true, attributeFilter: ["aria-valuetext"]
        });
    }""")
    before = lesson.readout()
    handle.focus()
    handle.press("ArrowRight")
    lesson.page.wait_for_function(
        "was => document.querySelector('.gk-readout').innerText !== was", arg=before
    )
    lesson.page.wait_for_timeout(500)
    control = lesson.figure().locator(".gk-control", has=lesson.page.locator(".noUi-handle")).first
    number = control.locator(".gk-number input").input_value().replace("\u202f", "")
    unit = control.locator(".gk-label span").inner_text().partition(",")[0]
    assert lesson.page.evaluate("window.said") == [f"{number} {unit}"]


def test_a_picture_has_its_title_for_a_name_and_its_readout_for_a_description(opened):
    lesson = opened("02_excess")
    pictures = [one for one in heard(lesson.page) if one.role in ("image", "img")]
    assert len(pictures) == lesson.page.locator("img.gk-picture").count()
    for number, picture in enumerate(pictures):
        assert re.fullmatch(r"Picture: \S.{5,}", picture.name)
        shown = " ".join(lesson.readout(number).split())
        assert " ".join(picture.description.split()) == shown


def test_what_is_looked_for_would_be_found(browser):
    page = browser.new_page()
    page.set_content(
        "<html lang='en'><title>Planted</title><main><h1>Planted</h1><input><img src='data:,'>"
        "<p style='color: #999; background: #fff'>pale</p></main></html>"
    )
    assert [one.role for one in nameless(page)] == ["textbox", "image"]
    rules = {line.partition(":")[0] for line in findings(page)}
    assert rules == {"color-contrast", "image-alt", "label"}
    page.close()


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    served = Room(tmp_path_factory.mktemp("class ø") / "class")
    yield served
    assert served.stop() == 0


def test_a_class_from_its_door_to_its_lessons(browser, room):
    page = browser.new_page()
    page.set_default_timeout(60_000)
    for name in ("board", "nowhere.ipynb", "sign-in"):
        page.goto(f"{room.address}/{name}")
        assert nameless(page) == []
        assert findings(page) == []
    page.get_by_label("Your code").fill("T07")
    page.get_by_label("Your phrase").fill("not this one")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("alert").wait_for()
    assert findings(page) == []
    page.get_by_label("Your phrase").fill(room.phrases["T07"])
    page.get_by_role("button", name="Sign in").click()
    for name in ("00_start", "concept_check", "02_excess"):
        page.goto(f"{room.address}/{name}.ipynb")
        page.locator(".gk-box").first.wait_for()
        page.wait_for_function(DRAWN)
        page.wait_for_timeout(1000)
        assert len(heard(page)) > 8
        assert nameless(page) == []
        assert findings(page) == []
    page.close()
