"""The form of a closed paper in a real browser: it keeps, it saves, and what it saves is marked."""

import json
from datetime import datetime

import pytest
from hearing import findings, heard, nameless

from exercises.paper import paper
from tests.test_paper import one, outcome, people, right, setting  # noqa: F401 - fixtures

pytestmark = [pytest.mark.browser, pytest.mark.full]


def test_the_form_keeps_saves_and_is_marked(browser, one, tmp_path):  # noqa: F811
    sitting, answers = one.sittings[0], right(one, 0)
    form = tmp_path / "set" / paper.HANDED_OUT / f"form-{sitting.paper}.html"
    said = []
    page = browser.new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(form.as_uri())
    page.click("#save")
    assert "Type your code first" in page.inner_text("#state")
    page.fill("[data-who=code]", "t01")
    page.check('[data-who=decimal][value="."]')
    for question, parts in answers.items():
        for letter, text in parts.items():
            if page.query_selector(f"#q{question}{letter}"):
                page.fill(f"#q{question}{letter}", text)
            else:
                page.check(f'[data-question="{question}"][value="{text}"]')
    page.wait_for_timeout(500)  # the browser itself writes a moment later
    page.reload()
    assert page.input_value("#q1a") == answers["1"]["a"]
    assert "Every question is answered" in page.inner_text("#state")
    with page.expect_download() as download:
        page.click("#save")
    saved = tmp_path / "answers" / download.value.suggested_filename
    download.value.save_as(saved)
    page.close()
    assert not said
    held = json.loads(saved.read_text(encoding="utf-8"))
    assert held["answers"] == answers
    assert datetime.fromisoformat(held["saved"]).tzinfo
    assert outcome(one, tmp_path).results[0].total == 11


def test_a_screen_reader_gets_all_of_the_form(browser, one, tmp_path):  # noqa: F811
    page = browser.new_page()
    form = tmp_path / "set" / paper.HANDED_OUT / f"form-{one.sittings[0].paper}.html"
    page.goto(form.as_uri())
    assert len(heard(page)) > 5
    assert nameless(page) == []
    assert findings(page) == []
    page.close()
