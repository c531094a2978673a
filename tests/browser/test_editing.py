"""``python -m lessons --edit``: a lesson is changed as any notebook is, and its file stays tidy."""

import json
import shutil
from urllib.parse import urlsplit

import pytest
from course import ROOT, Course

from tests import tidy

pytestmark = [pytest.mark.browser, pytest.mark.full]
LESSON = "lessons/02_excess.ipynb"


@pytest.fixture
def copy(tmp_path):
    folder = tmp_path / "the course"
    shutil.copytree(ROOT, folder, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__"))
    return folder


@pytest.fixture
def page(tmp_path, copy, browser):
    course = Course(tmp_path, copy, "--edit")
    parts = urlsplit(course.address)
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.set_default_timeout(60_000)
    page.goto(f"{parts.scheme}://{parts.netloc}/lab/tree/{LESSON}?{parts.query}")
    page.wait_for_selector(".jp-Notebook-ExecutionIndicator[data-status='idle']")
    assert not page.evaluate("Object.keys(window._JUPYTERLAB).filter(one => /^geodesy/.test(one))")
    yield page
    page.close()
    course.stop()


def saving(page):
    """Wait until the server has answered that the lesson is saved."""
    return page.expect_response(
        lambda answer: answer.request.method == "PUT" and LESSON in answer.url and answer.ok
    )


def test_text_is_changed_a_call_added_and_run_and_a_cell_deleted(page, copy):
    before = tidy.read(copy / LESSON)["cells"]
    cells = page.locator(".jp-Notebook .jp-Cell")
    cells.nth(len(before) - 1).wait_for(state="attached")
    assert cells.nth(1).locator(".cm-content").is_visible()  # code is shown

    cells.nth(0).locator("p").first.dblclick()
    cells.nth(0).locator(".cm-content").click()
    page.keyboard.press("Control+End")
    page.keyboard.type(" Øre 40″.")
    page.keyboard.press("Shift+Enter")
    page.keyboard.press("Escape")
    page.keyboard.press("b")
    page.keyboard.press("Enter")
    page.keyboard.type("20 + 22")
    page.keyboard.press("Control+Enter")
    page.wait_for_selector(".jp-OutputArea-output >> text=42")
    cells.nth(cells.count() - 1).click()
    page.keyboard.press("Escape")
    page.keyboard.press("d")
    page.keyboard.press("d")
    with saving(page):
        page.keyboard.press("Control+s")

    path = copy / LESSON
    saved = tidy.read(path)["cells"]
    assert path.read_text(encoding="utf-8") == tidy.text(path)
    assert "".join(saved[0]["source"]) == "".join(before[0]["source"]) + " Øre 40″."
    assert saved[1] == before[1]
    assert "".join(saved[2]["source"]) == "20 + 22"
    assert saved[3:] == before[2:-1]
    assert "42" not in json.dumps(saved[2]["outputs"])


def test_the_file_opened_and_saved_unchanged_is_the_same_file(page, copy):
    before, written = (copy / LESSON).read_bytes(), (copy / LESSON).stat().st_mtime_ns
    with saving(page):
        page.locator(".jp-Toolbar [data-jp-item-name='save'] jp-button").click()
    assert (copy / LESSON).read_bytes() == before
    assert (copy / LESSON).stat().st_mtime_ns > written
