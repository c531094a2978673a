"""The register as a printer gets it: the first page, a handful of others, what somebody opened."""

import re

import pytest

from exercises.bank.syllabus import LESSONS
from exercises.instructor import demo
from exercises.register import register

pytestmark = [pytest.mark.browser, pytest.mark.full]
MOST_PAGES = len(LESSONS)  # for a class of 24; every typing of it is some 600 pages


def pages_of(page):
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", page.pdf(prefer_css_page_size=True)))


def test_a_class_of_24_prints_in_a_handful_of_pages_and_what_is_opened_besides(browser, tmp_path):
    demo.write(tmp_path / "class", 24)
    marked = register.write(tmp_path / "class", tmp_path)
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(marked.html.as_uri())
    assert 4 <= pages_of(page) <= MOST_PAGES
    for words in ("Teach again: slips", "Findings: ask before you sign", "The class at a glance"):
        box = page.get_by_role("heading", name=words).bounding_box()
        assert box["y"] + box["height"] < 800, f"{words}: on the first screen"
    page.locator(".strip a", has_text="T08").click()
    closed = pages_of(page)
    assert closed == 1, "nothing typed is printed unless somebody opens it"
    assert not page.locator(".answers").first.is_visible()
    page.locator("summary", has_text="08 deflection").click()
    page.locator(".typed", has_text=re.compile(r"\d")).locator("visible=true").first.wait_for()
    assert closed < pages_of(page) <= closed + 6
    page.get_by_role("link", name="Register").click()
    page.get_by_role("heading", name="Teach again: slips").wait_for()
    page.close()


def test_the_first_page_of_twelve_holds_all_of_it(browser, tmp_path):
    """One sheet of A4: what to teach again, findings, the strip, the whole table, the signature."""
    demo.write(tmp_path / "class", 13)  # one of them never hands in
    marked = register.write(tmp_path / "class", tmp_path)
    assert len(marked.members) == 12
    page = browser.new_page()
    page.goto(marked.html.as_uri())
    page.evaluate("document.querySelectorAll('.marks ~ *').forEach(one => one.remove())")
    assert pages_of(page) == 1
    page.close()
