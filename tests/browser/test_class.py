"""A class in the browser: sign in, a lesson live, a slider dragged, an answer kept, a reload."""

import json
import re

import pytest
from class_pages import box, live, sign_in

from exercises.classroom import notices
from tests.class_room import Room

pytestmark = [pytest.mark.browser, pytest.mark.full]
TABLET = {"width": 820, "height": 1180}
PHONE = {"width": 844, "height": 390}  # held sideways


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    served = Room(tmp_path_factory.mktemp("class ø") / "class")
    yield served
    assert served.stop() == 0


@pytest.fixture
def page(browser, room):
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    opened = context.new_page()
    opened.set_default_timeout(60_000)
    opened.wrong = []
    opened.on("request", lambda one: _note(opened, room, one.url))
    opened.on("pageerror", lambda error: opened.wrong.append(str(error)))
    opened.on("response", lambda one: one.status >= 400 and opened.wrong.append(one.url))
    yield opened
    context.close()


def _note(page, room, url):
    if not url.startswith((room.address, "data:", "blob:")):
        page.wrong.append(url)


def test_a_lesson_from_sign_in_to_reload(page, room):
    sign_in(page, room, "T07")
    live(page)
    assert page.locator("h1").first.inner_text().startswith("08 ")
    assert "import start" not in page.content()
    live(page, figures=page.locator(".gk-figure").count())

    figure = page.locator(".gk-figure").first
    before = figure.locator(".gk-readout").inner_text()
    handle = figure.locator(".noUi-handle").first
    handle.scroll_into_view_if_needed()
    place = handle.bounding_box()
    x, y = place["x"] + place["width"] / 2, place["y"] + place["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 40, y, steps=8)
    page.mouse.up()
    page.wait_for_function(
        "was => document.querySelector('.gk-figure .gk-readout').innerText !== was", arg=before
    )

    point = box(page).get_by_role("button", name=re.compile(r"12\.5"))
    if point.is_visible():
        point.click()
    for field in box(page).locator(".gk-entries input").all():
        field.fill("1.25")
    box(page).get_by_role("button", name="Check", exact=True).click()
    box(page).get_by_text(re.compile("kept [0-9:]+ in answers-.*-T07.jsonl")).wait_for()
    (sheet,) = room.folder.glob("answers-*-T07.jsonl")
    assert '"1.25"' in sheet.read_text(encoding="utf-8")

    page.reload()
    live(page)
    box(page).get_by_text(re.compile("kept [0-9:]+")).wait_for()
    assert [one.input_value() for one in box(page).locator(".gk-entries input").all()] == [
        "1.25",
        "1.25",
    ]
    assert page.wrong == []


def test_f8_goes_to_the_next_section(page, room):
    sign_in(page, room, "T08")
    live(page)
    page.keyboard.press("F8")
    page.wait_for_function("document.getElementById('rendered_cells').scrollTop > 50")


@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
def test_no_scroll_to_the_side(page, room, size):
    page.set_viewport_size(size)
    sign_in(page, room, "T09")
    live(page)
    wide = page.evaluate(
        "[document.documentElement, document.getElementById('rendered_cells')]"
        ".map(one => one.scrollWidth - one.clientWidth)"
    )
    assert wide == [0, 0]


def test_the_start_page_knows_who_it_is_and_leads_to_a_lesson(page, room):
    sign_in(page, room, "T10", "00_start")
    page.get_by_text(re.compile("You are .*-T10")).wait_for()
    assert not page.locator(".gk-in-code").count()
    with page.context.expect_page() as opened:
        page.get_by_role("link", name=re.compile("^08 ")).first.click()
    live(opened.value)
    page.get_by_role("button", name="Sign out").click()
    page.get_by_label("Your phrase").wait_for()
    assert page.wrong == []


def test_the_oldest_of_four_pages_sleeps_says_so_and_wakes(page, room):
    sign_in(page, room, "T10", "review")
    page.locator(".jp-RenderedMarkdown h1").first.wait_for()
    page.wait_for_function("() => window.gkLine?.state === 'open'")
    for _ in range(3):
        other = page.context.new_page()
        other.goto(f"{room.address}/review.ipynb")
        other.wait_for_function("() => window.gkLine?.state === 'open'")
    page.bring_to_front()
    page.get_by_text("This page sleeps: you have opened others since.").wait_for()
    page.get_by_role("button", name="Wake this page").click()
    page.wait_for_function("() => window.gkLine?.state === 'open'")
    assert page.locator(".gk-line").count() == 0
    page.context.pages[1].get_by_role("button", name="Wake this page").wait_for()


def test_a_python_that_dies_is_said_on_its_page_with_a_button(page, room):
    sign_in(page, room, "T08")
    live(page)
    about = page.locator("#jupyter-config-data").text_content()
    kernel = json.loads(about)["kernelId"]
    room.kill(kernel)
    page.get_by_text("This page's Python has stopped.").wait_for()
    page.get_by_role("button", name="Reload").click()
    live(page)


HOSTILE = '<img src=x onerror="document.title=1"> \u202e </aside><script>document.title=1</script>'


def test_what_the_trainer_says_stands_on_every_page_as_text_and_leads_to_a_heading(page, room):
    sign_in(page, room, "T07", "00_start")
    page.wait_for_function("() => window.gkLine?.state === 'open'")
    title = page.title()
    notices.say(room.folder, HOSTILE, "<b>MK</b>")
    notices.look_at(room.folder, "08_deflection", "Along a line: the geoid's slope", "MK")
    strip = page.locator(".gk-notices")
    strip.get_by_text("<script>document.title=1</script>").wait_for()
    assert "<b>MK</b>, " in strip.inner_text()
    assert strip.locator("img, script, b").count() == 0
    assert page.title() == title
    with page.context.expect_page() as opened:
        strip.get_by_role("link", name=re.compile("^Look at this page: 08 The two")).click()
    live(opened.value)
    opened.value.get_by_role("heading", name=re.compile("Along a line")).wait_for()
    opened.value.wait_for_function(
        "() => { const y = [...document.querySelectorAll('h2')].find(h => "
        "h.textContent.startsWith('Along a line')).getBoundingClientRect().top;"
        " return y >= 0 && y < 300; }"
    )
    notices.take_away(room.folder, notices.MESSAGE)
    notices.take_away(room.folder, notices.LOOK)
    page.wait_for_function("() => !document.querySelector('.gk-notice')")
    assert page.wrong == []
