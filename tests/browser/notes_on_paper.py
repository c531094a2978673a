"""A lesson on paper: what is on it and what is not; used by the tests beside this file."""

import re

FEWEST, MOST = 3, 6  # pages
DRAWN = """() => {
    const pictures = [...document.querySelectorAll(".gk-figure img.gk-picture")];
    return pictures.length && pictures.every(one => one.naturalWidth > 50);
}"""
SEEN = """what => [...document.querySelectorAll(what)]
    .filter(one => one.checkVisibility({ visibilityProperty: true }))"""
PRESSED = "button, jp-button, input[type=button], input[type=checkbox], .noUi-handle, .gk-print"


def ready(page):
    page.locator(".gk-print-button").wait_for()
    page.wait_for_function(DRAWN)


def printed(page):
    """Return how many pages there are on paper, and how many pictures of a figure's size."""
    paper = page.pdf(prefer_css_page_size=True)
    pictures = set(re.findall(rb"\n(\d+) 0 obj\s*<<[^>]*?/Subtype\s*/Image[^>]*>>", paper))
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", paper)), len(pictures)


def on_paper(page, what):
    """Return the words of what a selector finds, where it is on paper."""
    page.emulate_media(media="print")
    found = page.evaluate(f"what => ({SEEN})(what).map(one => one.innerText)", what)
    page.emulate_media(media="null")
    return found


def holds(page, fewest=FEWEST):
    """Look at a lesson as it is printed: its figures, its length, nothing that is pressed."""
    figures = page.locator(".gk-figure").count()
    pages, pictures = printed(page)
    assert fewest <= pages <= MOST
    assert pictures >= figures
    assert len(on_paper(page, "img.gk-picture")) == figures
    assert len(on_paper(page, ".gk-readout")) == figures
    assert on_paper(page, PRESSED) == []
    assert on_paper(page, ".gk-prompt, .gk-entries, details") == []
    words = " ".join(on_paper(page, "h2"))
    for part in ("At sea", "Take aboard", "Sources"):
        assert part in words
    assert "Checked against" not in words
