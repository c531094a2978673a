"""
Every exercise's printed form on contact sheets, to be looked at: `python -m tests.browser.contact`.

Writes contact-01.png and so on into a folder, as many questions on each as have room, as a paper
prints them on A4. What can be seen without looking (words over words, beyond the paper) is said
besides; `tests/browser/test_printed_questions.py` asks for the same.
"""

import sys
from pathlib import Path

from PIL import Image

from exercises.bank import BANK
from exercises.paper import handout
from exercises.sheets.roster import Person
from tests.browser.course import open_browser

PAPER = {"width": 688, "height": 1000}  # 182 mm at 96 dpi: A4 without its margins
COLUMNS, WIDE, HIGH = 4, 480, 1600  # of a contact sheet, in pixels
# Boxes of words that may not overlap, nor reach beyond the question they stand in.
CROWDED = """() => [...document.querySelectorAll('.question')].map(question => {
  const outer = question.getBoundingClientRect(), found = [];
  const boxes = [];
  for (const one of question.querySelectorAll('th, td, li, .ask, h2, .marks')) {
    const range = document.createRange(); range.selectNodeContents(one);
    for (const box of range.getClientRects())
      if (box.width > 1 && box.height > 1) boxes.push([one, box]);
  }
  for (const [one, box] of boxes)
    if (box.right > outer.right + 1 || box.left < outer.left - 1)
      found.push('beyond the paper: ' + one.textContent.trim().slice(0, 60));
  for (const [a, p] of boxes) for (const [b, q] of boxes)
    if (a !== b && !a.contains(b) && !b.contains(a) && p.left + 1 < q.right && q.left + 1 < p.right
        && p.top + 3 < q.bottom && q.top + 3 < p.bottom) {
      found.push('over each other: ' + a.textContent.trim().slice(0, 40) + ' / '
                 + b.textContent.trim().slice(0, 40));
    }
  return [...new Set(found)];
})"""


def page_of_all(browser, exercises, trainee="T07"):
    """Return a page with the printed form of each exercise, as wide as paper."""
    page = browser.new_page(viewport=PAPER)
    page.emulate_media(media="print")
    page.set_content(handout.sheets(exercises, [Person(trainee, "")], 1, "Contact sheet"))
    return page


def crowded(page):
    """Return {title: what stands over what, or beyond the paper}."""
    titles = page.locator(".question h2").all_text_contents()
    found = zip(titles, page.evaluate(CROWDED), strict=True)
    return {title: troubles for title, troubles in found if troubles}


def main(folder):
    """Write the contact sheets and say what is crowded."""
    folder.mkdir(parents=True, exist_ok=True)
    exercises = list(BANK.values())
    with open_browser() as browser:
        page = page_of_all(browser, exercises)
        for title, troubles in crowded(page).items():
            print(title, *troubles, sep="\n    ")
        tiles = [_tile(question, folder) for question in page.locator(".question").all()]
    for number, sheet in enumerate(_sheets(tiles), 1):
        sheet.save(folder / f"contact-{number:02d}.png")


def _sheets(tiles):
    """Give sheets with the questions in columns, from the left, each below the one before."""
    sheet, column, down = None, 0, 0
    for tile in tiles:
        if down + tile.height > HIGH:
            column, down = column + 1, 0
        if sheet is None or column >= COLUMNS:
            if sheet:
                yield sheet
            sheet, column, down = Image.new("RGB", (COLUMNS * WIDE, HIGH), "#9AA6B0"), 0, 0
        sheet.paste(tile, (column * WIDE, down))
        down += tile.height + 6
    yield sheet


def _tile(question, folder):
    path = folder / "one.png"
    question.screenshot(path=path)
    with Image.open(path) as picture:
        tile = picture.convert("RGB")
    path.unlink()
    tile.thumbnail((WIDE - 6, HIGH))
    return tile


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "contact sheets"))
