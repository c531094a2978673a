"""Every exercise as it is printed: nothing over anything else, and no longer than its place."""

import re

import pytest
from contact import crowded, page_of_all

from exercises.bank import BANK
from exercises.paper import handout, layout, questions
from exercises.question import dice
from exercises.sheets.roster import Person

pytestmark = [pytest.mark.browser, pytest.mark.full]
PIXELS = 96 / 25.4  # of a millimetre
HEIGHTS = "() => [...document.querySelectorAll('.question')].map(q => q.offsetHeight)"


@pytest.mark.parametrize("trainee", ["T07", "Z9999999"])
def test_nothing_is_printed_over_anything_else_or_beyond_the_paper(browser, trainee):
    page = page_of_all(browser, list(BANK.values()), trainee)
    assert not crowded(page)
    page.close()


def test_no_question_is_longer_than_the_place_it_is_given(browser):
    page = page_of_all(browser, list(BANK.values()))
    asked = [questions.of(e, dice.given(e, "T07", 1), n, 0) for n, e in enumerate(BANK.values(), 1)]
    pieces = [piece for sheet in layout.sheets(asked, handout.WORK) for piece in sheet]
    high = page.evaluate(HEIGHTS)
    assert len(pieces) == len(high) >= len(BANK)
    over = {
        piece.question.title: (round(layout.height(piece, handout.WORK)), round(pixels / PIXELS))
        for piece, pixels in zip(pieces, high, strict=True)
        if pixels / PIXELS > layout.height(piece, handout.WORK)
    }
    assert not over, f"(place, height) in millimetres: {over}"
    page.close()


def test_a_class_of_three_prints_the_pages_that_its_sheets_say(browser):
    people = [Person(code, "") for code in ("T01", "T02", "T03")]
    html = handout.sheets([e for e in BANK.values() if e.marks], people, 1, "All of them")
    page = browser.new_page()
    page.set_content(html)
    printed = len(re.findall(rb"/Type\s*/Page\b(?!s)", page.pdf(prefer_css_page_size=True)))
    said = re.findall(r"page (\d+) of (\d+)", html)
    assert printed == len(said) == 3 * int(said[0][1])
    assert [int(n) for n, _ in said] == 3 * list(range(1, int(said[0][1]) + 1))
    page.close()
