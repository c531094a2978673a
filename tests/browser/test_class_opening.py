"""
A page of a class that is opened on a busy computer: every figure and question is there in the end.

The widgets' own program gives Python four seconds to answer, and hears nothing of what Python says
about a widget that is being built; .jupyter/labextensions/geodesy-opening waits and keeps it.
"""

import re
import threading
import time

import pytest
from class_pages import box, live, sign_in

from tests.class_room import Page, Room

pytestmark = [pytest.mark.browser, pytest.mark.full]
BUSY = 6  # seconds; the widgets' program asks otherwise after four
EMPTY = (
    "[...document.querySelectorAll('img.gk-picture')].filter(one => one.naturalWidth < 50).length"
)


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    served = Room(tmp_path_factory.mktemp("opening") / "class")
    yield served
    assert served.stop() == 0


@pytest.fixture
def page(browser):
    context = browser.new_context(viewport={"width": 1180, "height": 820})
    opened = context.new_page()
    opened.set_default_timeout(90_000)
    yield opened
    context.close()


def wholly_there(page):
    live(page, 5)
    assert page.evaluate(EMPTY) == 0
    assert page.locator(".gk-box").count() == 11, "the questions of lesson 08"
    assert not page.get_by_text("Error displaying widget").count()
    assert box(page).get_by_role("button", name="I write 12.5").is_visible()


def test_a_python_that_is_busy_for_seconds_leaves_no_page_empty(room, page):
    held = []

    def hold_up(line):
        process = room.python_of(kernel_of(line))
        process.suspend()
        held.append(time.monotonic())
        threading.Timer(BUSY, process.resume).start()

    sign_in(page, room, "T07", "00_start")
    page.wait_for_url("**/00_start.ipynb")
    page.on("websocket", hold_up)
    page.goto(f"{room.address}/08_deflection.ipynb")
    wholly_there(page)
    assert time.monotonic() - held[-1] > BUSY, "it was not held up"


def test_what_is_drawn_while_the_page_is_being_built_is_shown(room, page):
    """The program of the controls comes late; Python draws another picture in that moment."""
    kernels, readouts = [], []

    def later(route):
        if kernels and not readouts:
            readouts.append(moved(room, cookie, kernels[0]))
        route.continue_()

    sign_in(page, room, "T08", "00_start")
    page.wait_for_url("**/00_start.ipynb")
    (one,) = page.context.cookies()
    cookie = f"{one['name']}={one['value']}"
    page.goto("about:blank")
    page.on("websocket", lambda line: kernels.append(kernel_of(line)))
    page.route(re.compile(r"/jupyterlab-manager/static/.*\.js"), later)
    page.goto(f"{room.address}/08_deflection.ipynb")
    wholly_there(page)
    assert readouts, "nothing came late"
    page.wait_for_function(
        "words => document.querySelector('.gk-figure .gk-readout').innerText.includes(words)",
        arg=readouts[0], timeout=5000,
    )  # fmt: skip


def kernel_of(line):
    return re.search("kernels/([0-9a-f-]+)/", line.url)[1]


def moved(room, cookie, kernel):
    """Move a slider of the first figure from elsewhere; return words that its readout has now."""
    with Page(room, cookie, kernel=kernel) as other:
        widgets = other.widgets()
        slider, state = next(
            (m, s) for m, s in widgets.items() if "orientation" in s and "min" in s
        )
        other.set(slider, value=state["min"])
        other.answers()
        after = other.widgets()
        both = widgets.keys() & after.keys()  # the image below a picture may come in between
        changed = [m for m in both if after[m].get("value") != widgets[m].get("value")]
        words = [after[m]["value"] for m in changed if "gk-readout" in after[m]["_dom_classes"]]
    time.sleep(0.5)
    return re.sub(r"<[^>]+>", "", words[0])[:30].strip()
