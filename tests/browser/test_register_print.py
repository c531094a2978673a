"""The register as a printer gets it: a handful of pages, and a lesson that somebody opened."""

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
    page = browser.new_page()
    page.goto(marked.html.as_uri())
    closed = pages_of(page)
    assert 4 <= closed <= MOST_PAGES
    typing = page.locator("#T08 .answers").first
    assert not typing.is_visible()
    page.locator("#T08 summary", has_text="08 deflection").click()
    page.locator("#T08 .typed", has_text=re.compile(r"\d")).locator("visible=true").first.wait_for()
    assert closed < pages_of(page) <= closed + 6
    page.close()
