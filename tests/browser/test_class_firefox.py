"""A class in Firefox, beside Chromium: sign in, a figure, an answer, a cut, a reload, sign out."""

import time

import pytest

from tests.class_room import Room
from tests.network import Network

pytestmark = [pytest.mark.browser, pytest.mark.full]
BOX = ".gk-box-deflection-components"
OPEN = "() => window.gkLine && window.gkLine.state === 'open'"
DRAWN = """wanted => [...document.querySelectorAll(".gk-figure img.gk-picture")]
    .filter(one => one.naturalWidth > 50).length >= wanted"""
KEPT = """box => /kept [0-9:]+ in answers-/.test(document.querySelector(box)?.innerText ?? "")"""
VALUES = "box => [...document.querySelectorAll(box + ' .gk-entries input')].map(one => one.value)"


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    served = Room(tmp_path_factory.mktemp("class ø") / "class")
    yield served
    assert served.stop() == 0


@pytest.fixture(scope="module")
def network(room):
    between = Network(room.host)
    yield between
    between.stop()


@pytest.fixture(scope="module")
def page(firefox, room, network):
    opened = firefox.new_page()
    opened.goto(f"http://{network.host}/08_deflection.ipynb")
    opened.type("#code", "T07")
    opened.type("#phrase", room.phrases["T07"])
    opened.click("button", "Sign in")
    opened.wait_for(DRAWN, 1, seconds=120)
    yield opened
    assert opened.strangers == []
    assert opened.questions == []
    opened.close()


def check(page, typed):
    for name in ("xi", "eta"):
        page.type(f"{BOX} .gk-in-{name} input", typed)
    page.click(f"{BOX} button", "Check")


def test_a_figure_follows_the_keys(page):
    words = ".gk-figure .gk-readout"
    before = page.words(words)
    page.focus(".gk-figure .noUi-handle")
    page.press("ArrowRight", "ArrowRight")
    page.wait_for("([where, was]) => document.querySelector(where).innerText !== was",
                  [words, before])  # fmt: skip


def test_an_answer_is_kept(page, room):
    page.click(f"{BOX} button", "I write 12.5")
    check(page, "1.25")
    page.wait_for(KEPT, BOX)
    (sheet,) = room.folder.glob("answers-*-T07.jsonl")
    assert '"1.25"' in sheet.read_text(encoding="utf-8")


def test_what_is_pressed_while_cut_off_is_sent_when_it_is_back(page, room, network):
    network.cut()
    page.wait_for("() => window.gkLine.state === 'cut'")
    check(page, "2.75")
    page.wait_for("box => document.querySelector(box + ' .gk-not-sent')", BOX)
    (sheet,) = room.folder.glob("answers-*-T07.jsonl")
    assert '"2.75"' not in sheet.read_text(encoding="utf-8")
    network.back()
    page.wait_for("box => !document.querySelector(box + ' .gk-not-sent')", BOX)
    until = time.monotonic() + 60
    while '"2.75"' not in sheet.read_text(encoding="utf-8") and time.monotonic() < until:
        time.sleep(0.2)
    assert sheet.read_text(encoding="utf-8").count('"2.75"') == 2, "xi and eta of one answer"
    page.wait_for(KEPT, BOX)


def test_after_a_reload_the_answer_is_back(page):
    page.reload()
    page.wait_for(DRAWN, 1, seconds=120)
    page.wait_for(KEPT, BOX)
    assert page.ask(VALUES, BOX) == ["2.75", "2.75"]
    page.wait_for(OPEN)


def test_signing_out_leads_to_the_sign_in_page(page, network):
    page.goto(f"http://{network.host}/00_start.ipynb")
    page.click("button", "Sign out")
    page.wait_for("() => document.querySelector('#phrase')")
