"""A lesson in Firefox, beside Chromium: live when opened, a slider by keys, answered, printed."""

import contextlib
import re
import zlib
from urllib.parse import urlsplit

import pytest

from exercises import find
from exercises.sheets import session
from exercises.trainee.practice import Practice

pytestmark = [pytest.mark.browser, pytest.mark.full]
KEY = "excess-two-sides"
BOX = f".gk-box-{KEY}"
READOUT = ".gk-figure .gk-readout"
READY = """() => document.querySelector(".jp-Notebook-ExecutionIndicator[data-status='idle']")
    && !document.querySelector(".jp-KernelName [aria-label='No Kernel']")"""
DRAWN = """wanted => [...document.querySelectorAll(".gk-figure img.gk-picture")]
    .filter(one => one.naturalWidth > 50).length >= wanted"""
TROUBLE = """() => [...document.querySelectorAll(
    "[data-mime-type='application/vnd.jupyter.error'], .gk-error")].map(one => one.innerText)"""


@pytest.fixture(scope="module")
def lesson(firefox, course):
    page = firefox.new_page()
    parts = urlsplit(course.address)
    place = f"{parts.scheme}://{parts.netloc}/doc/tree/lessons"
    page.goto(f"{place}/02_excess.ipynb?{parts.query}")
    page.wait_for(READY)
    yield page
    assert page.ask(TROUBLE) == []
    assert page.wrong == []
    assert page.strangers == []
    assert page.questions == []
    page.close()


def test_the_lesson_runs_and_its_figures_are_drawn(lesson):
    figures = lesson.wait_for("() => document.querySelectorAll('.gk-figure').length")
    lesson.wait_for(DRAWN, max(figures, 2))
    assert lesson.words("h1").startswith("02 The angles of a big triangle")


def test_a_slider_is_moved_by_keys(lesson):
    before = lesson.words(READOUT)
    lesson.focus(".gk-figure .noUi-handle")
    lesson.press("ArrowRight", "ArrowRight", "PageUp")
    lesson.wait_for(
        "([where, before]) => document.querySelector(where).innerText !== before", [READOUT, before]
    )


def test_a_wrong_answer_names_its_slip_and_a_right_one_is_right(lesson, course, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(course.answers))
    lesson.type(f"{BOX} .gk-in-code input", "T21")
    lesson.press("Enter")
    lesson.click(f"{BOX} button", "I write 12.5")
    lesson.wait_for("where => !document.querySelector(where).offsetParent", f"{BOX} .gk-settings")
    assert session.open().trainee == "T21"
    exercise = find(KEY)
    given = Practice(exercise).given
    slip, wrong = next(iter(exercise.wrong(given).items()))
    answer(lesson, exercise, {**exercise.solve(given), **wrong}, "slip")
    assert exercise.slip(slip).name in lesson.words(f"{BOX} .gk-messages")
    answer(lesson, exercise, exercise.solve(given), "right")
    assert "kept" in lesson.words(f"{BOX} span.gk-kept")
    assert "T21" in lesson.words(f"{BOX} .gk-state")


def answer(lesson, exercise, values, state):
    """Type an answer, press Check with the mouse and wait for its verdict."""
    for asked in exercise.asked:
        lesson.type(f"{BOX} .gk-in-{asked.name} input", asked.show(values[asked.name]))
    lesson.click(f"{BOX} button", "Check")
    lesson.wait_for("where => document.querySelector(where)", f"{BOX} .gk-verdict.gk-{state}")


def test_on_paper_it_has_a_few_pages(lesson):
    lesson.wait_for("() => document.querySelector('.gk-print-button')")
    assert 3 <= pages_of(lesson.paper()) <= 6


def pages_of(paper):
    """Return how many pages a PDF has; Firefox packs what describes them."""
    packed = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", paper, re.S)
    parts = [paper]
    for one in packed:
        with contextlib.suppress(zlib.error):
            parts.append(zlib.decompress(one))
    return sum(len(re.findall(rb"/Type\s*/Page\b(?!s)", part)) for part in parts)


def test_what_goes_wrong_is_noted(firefox):
    page = firefox.new_page()
    page.goto("data:text/html,<script>alert('here'); nobody.knows()</script>")
    page.wait_for("() => document.readyState === 'complete'")
    assert page.questions == ["alert: here"]
    assert "nobody is not defined" in " ".join(page.wrong)
    page.close()
