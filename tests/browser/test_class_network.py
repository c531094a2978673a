"""The network of a room, in the browser: cut, silent and back; nothing that was pressed is lost."""

import re
import time

import pytest
from class_pages import KEPT, box, live, sign_in

from tests.class_room import Room
from tests.network import Network

pytestmark = [pytest.mark.browser, pytest.mark.full]
CHECKED = '"answered"'


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    served = Room(tmp_path_factory.mktemp("class ø") / "class")
    yield served
    assert served.stop() == 0


@pytest.fixture
def network(room):
    between = Network(room.host)
    yield between
    between.stop()


@pytest.fixture
def page(browser, network):
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    opened = context.new_page()
    opened.set_default_timeout(90_000)
    yield opened
    context.close()


def opened(page, room, network, code):
    """Sign in through the network; return the box of the test and where its answers lie."""
    sign_in(page, room, code, address=f"http://{network.host}")
    live(page)
    if (point := box(page).get_by_role("button", name=re.compile(r"12\.5"))).is_visible():
        point.click()
    return box(page)


def check(place, typed):
    for field in place.locator(".gk-entries input").all():
        field.fill(typed)
    place.get_by_role("button", name="Check", exact=True).click()


def answers(room, code, typed):
    """How often an answer stands on the sheet."""
    (sheet,) = room.folder.glob(f"answers-*-{code}.jsonl")
    lines = sheet.read_text(encoding="utf-8").splitlines()
    return sum(CHECKED in line and f'"{typed}"' in line for line in lines)


def test_what_is_pressed_while_cut_off_says_so_and_is_sent_once_when_it_is_back(
    page, room, network
):
    place = opened(page, room, network, "T07")
    network.cut()
    page.get_by_text("The connection is interrupted. What you press").wait_for()
    check(place, "1.25")
    place.get_by_text("Not sent yet").wait_for()
    assert not list(room.folder.glob("answers-*-T07.jsonl"))
    network.back()
    place.get_by_text(KEPT).wait_for()
    place.get_by_text("Not sent yet").wait_for(state="detached")
    assert page.locator(".gk-line").inner_text() == ""
    assert answers(room, "T07", "1.25") == 1


def test_a_silent_drop_of_twenty_seconds_keeps_what_was_checked(page, room, network):
    place = opened(page, room, network, "T08")
    network.silence()
    check(place, "2.5")
    place.get_by_text("Not sent yet").wait_for()
    time.sleep(20)
    network.back()
    place.get_by_text(KEPT).wait_for()
    place.get_by_text("Not sent yet").wait_for(state="detached")
    check(place, "3.5")  # and everything goes on
    until = time.monotonic() + 60
    while not answers(room, "T08", "3.5") and time.monotonic() < until:
        page.wait_for_timeout(200)
    assert [answers(room, "T08", typed) for typed in ("2.5", "3.5")] == [1, 1]


def test_after_a_reload_kept_answers_and_drafts_are_back(page, room, network):
    place = opened(page, room, network, "T09")
    check(place, "4.5")
    place.get_by_text(KEPT).wait_for()
    draft = page.locator(".gk-box-deflection-total .gk-entries input").first
    draft.fill("17")
    network.cut()
    page.get_by_text("The connection is interrupted. What you press").wait_for()
    network.back()
    page.wait_for_function("() => window.gkLine.state === 'open'")
    page.reload()
    place.get_by_text(KEPT).wait_for()
    assert [one.input_value() for one in place.locator(".gk-entries input").all()] == ["4.5"] * 2
    page.wait_for_function(
        "() => document.querySelector('.gk-box-deflection-total .gk-entries input').value === '17'"
    )
