"""
Every page for who hears it and for who has only keys: names, values with units, axe, the keyboard.
"""

import io
import re

import pytest
from course import Lesson
from hearing import findings, heard, nameless
from PIL import Image
from playwright.sync_api import expect

from exercises import find
from exercises.question import dice
from tests.class_room import Room, command, made

pytestmark = [pytest.mark.browser, pytest.mark.full]
OTHERS = ["00_start", "concept_check", "review", "workbench"]
DRAWN = """() => {
    const pictures = [...document.querySelectorAll(".gk-figure img.gk-picture")];
    return pictures.every(one => one.naturalWidth > 50 && one.alt);
}"""


@pytest.fixture(scope="module")
def opened(browser, course):
    """Open pages one after the other, each run by itself; nothing on them went wrong."""
    pages = {}

    def open_one(name):
        if name not in pages:
            for lesson in pages.values():
                lesson.leave()
            pages.clear()
            pages[name] = Lesson(browser, course, name)
            pages[name].page.wait_for_function(DRAWN)
        return pages[name]

    yield open_one
    for lesson in pages.values():
        lesson.leave()


@pytest.mark.parametrize("name", OTHERS)
def test_everything_on_a_page_has_a_name_and_axe_finds_nothing(opened, name):
    """The lessons are in test_every_lesson.py."""
    page = opened(name).page
    every = heard(page)
    assert len(every) > 3
    assert nameless(page) == []
    assert findings(page) == []


def test_a_slider_says_its_number_with_its_unit(opened):
    lesson = opened("02_excess")
    handle = lesson.figure().locator(".noUi-handle").first
    lesson.page.evaluate("""() => {
        window.said = [];
        new MutationObserver(() => {
            const now = document.activeElement.getAttribute("aria-valuetext");
            if (now !== window.said.at(-1)) window.said.push(now);
        }).observe(document.body, {
            subtree: true, attributes: true, attributeFilter: ["aria-valuetext"]
        });
    }""")
    before = lesson.readout()
    handle.focus()
    handle.press("ArrowRight")
    lesson.page.wait_for_function(
        "was => document.querySelector('.gk-readout').innerText !== was", arg=before
    )
    lesson.page.wait_for_timeout(500)
    control = lesson.figure().locator(".gk-control", has=lesson.page.locator(".noUi-handle")).first
    number = control.locator(".gk-number input").input_value().replace("\u202f", "")
    unit = control.locator(".gk-label span").inner_text().partition(",")[0]
    assert lesson.page.evaluate("window.said") == [f"{number} {unit}"]


def test_a_picture_has_its_title_for_a_name_and_its_readout_for_a_description(opened):
    lesson = opened("02_excess")
    pictures = [one for one in heard(lesson.page) if one.role in ("image", "img")]
    assert len(pictures) == lesson.page.locator("img.gk-picture").count()
    for number, picture in enumerate(pictures):
        assert re.fullmatch(r"Picture: \S.{5,}", picture.name)
        shown = " ".join(lesson.readout(number).split())
        assert " ".join(picture.description.split()) == shown


def test_axe_finds_nothing_at_an_open_verdict(opened):
    """A slip named, a nudge, a number near, one that cannot be read, and the worked answer."""
    lesson = opened("09_attraction")
    first, plate, root = (
        lesson.box(f"attraction-{name}") for name in ("first-mass", "plate", "root")
    )
    if first.place.locator(".gk-in-code input").is_visible():
        first.sign_in("T32")
    exercise = find("attraction-plate")
    given = dice.given(exercise, "T32", 1)
    right = exercise.solve(given)
    slab = {**right, "sideways": right["middle"], "edge": right["edge"] + 0.6}
    plate.type(**{asked.name: asked.show(slab[asked.name]) for asked in exercise.asked})
    assert "sideways" in plate.check()
    plate.press("Nudge")
    plate.verdict("nudge")
    root.type(left="forty")
    root.press("Check")
    root.verdict("unread")
    assert [*nameless(lesson.page), *findings(lesson.page)] == []
    plate.press("Show the worked answer")
    plate.verdict("shown")
    first.place.locator("input[type=radio]").nth(1).check()
    first.press("Keep my answer")
    first.verdict()
    first.press("Tell me")
    expect(first.place.locator(".gk-verdict").first).not_to_contain_text("Tell me")
    assert [*nameless(lesson.page), *findings(lesson.page)] == []


def test_what_is_looked_for_would_be_found(browser):
    page = browser.new_page()
    page.set_content(
        "<html lang='en'><title>Planted</title><main><h1>Planted</h1><input><img src='data:,'>"
        "<p style='color: #999; background: #fff'>pale</p></main></html>"
    )
    assert [one.role for one in nameless(page)] == ["textbox", "image"]
    rules = {line.partition(":")[0] for line in findings(page)}
    assert rules == {"color-contrast", "image-alt", "label"}
    page.close()


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    served = Room(tmp_path_factory.mktemp("class ø") / "class")
    yield served
    assert served.stop() == 0


def test_a_class_from_its_door_to_its_lessons(browser, room):
    page = browser.new_page()
    page.set_default_timeout(60_000)
    for name in ("board", "nowhere.ipynb", "sign-in"):
        page.goto(f"{room.address}/{name}")
        assert nameless(page) == []
        assert findings(page) == []
    page.get_by_label("Your code").fill("T07")
    page.get_by_label("Your phrase").fill("not this one")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("alert").wait_for()
    assert findings(page) == []
    page.get_by_label("Your phrase").fill(room.phrases["T07"])
    page.get_by_role("button", name="Sign in").click()
    for name in ("00_start", "concept_check", "02_excess"):
        page.goto(f"{room.address}/{name}.ipynb")
        page.locator(".gk-box").first.wait_for()
        page.wait_for_function(DRAWN)
        page.wait_for_timeout(1000)
        assert len(heard(page)) > 8
        assert nameless(page) == []
        assert findings(page) == []
    page.close()


def test_what_is_chosen_in_the_concept_check_can_be_read_with_the_keyboard_on_it(opened):
    page = opened("concept_check").page
    if page.locator(".gk-concept .gk-in-code input").is_visible():
        page.locator(".gk-concept .gk-in-code input").fill("T31")
        page.get_by_role("button", name="Sign in").click()
    card = page.locator(".gk-card-1 select")
    card.focus()
    card.press("ArrowDown")
    card.press("ArrowDown")
    page.locator(".gk-check-head").get_by_text(re.compile(r"1 of \d+ answered")).wait_for()
    chosen = card.locator("option:checked")
    card.scroll_into_view_if_needed()
    assert page.evaluate("document.activeElement.tagName") == "SELECT"
    place = chosen.bounding_box()
    picture = Image.open(io.BytesIO(page.screenshot(clip=place))).convert("RGB")
    shades = sorted(luminance(colour) for _, colour in picture.getcolors(100_000))
    assert (shades[-1] + 0.05) / (shades[0] + 0.05) >= 4.5
    assert nameless(page) == []
    assert findings(page) == []


def luminance(colour):
    """Return the relative luminance of a colour as WCAG 2.2 defines it."""
    parts = [part / 255 for part in colour]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return sum(w * p for w, p in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("name", ["02_excess", "05_lines", "09_attraction"])
def test_tab_reaches_everything_and_is_always_seen(opened, name):
    page = opened(name).page
    page.locator(".gk-print-button").wait_for()  # it comes last, and is counted too
    page.locator("[data-jp-item-name='run-lesson'] jp-button").focus()
    wanted = page.evaluate(f"() => ({REACHED})().length")
    assert wanted > 40
    met, unseen = set(), []
    for _ in range(3 * wanted):
        page.keyboard.press("Tab")
        number, seen, html = page.evaluate(f"() => ({AT})(({REACHED})())")
        if number in met and number >= 0:
            break
        if number >= 0:
            met.add(number)
        if not seen:
            unseen.append(html)
    assert unseen == []
    assert sorted(met) == list(range(wanted))


def _moves(page, handle):
    """Move a slider by a key, and wait until it says another number."""
    before = handle.get_attribute("aria-valuetext")
    at, most = (handle.get_attribute(f"aria-value{what}") for what in ("now", "max"))
    handle.focus()
    page.keyboard.press("ArrowLeft" if at == most else "ArrowRight")
    expect(handle).not_to_have_attribute("aria-valuetext", before)


@pytest.mark.parametrize("name", ["05_lines", "09_attraction"])
def test_keys_alone_move_each_control_and_run_the_lesson(opened, name):
    lesson = opened(name)
    page = lesson.page
    for number in range(page.locator(".gk-figure").count()):
        figure = lesson.figure(number)
        figure.scroll_into_view_if_needed()
        handles = figure.locator(".noUi-handle:visible").all()
        idle = [one for one in handles if one.get_attribute("aria-disabled")]
        for handle in handles:
            if handle not in idle:
                _moves(page, handle)
            else:
                assert handle.get_attribute("tabindex") == "-1", "keys go past it"
        for choice in figure.locator("select:visible").all():
            before = choice.input_value()
            choice.focus()
            page.keyboard.press("ArrowDown")
            assert choice.input_value() != before
        for handle in idle:
            expect(handle).not_to_have_attribute("aria-disabled", "true")
            _moves(page, handle)
    lesson.run("F9")
    assert lesson.trouble() == []


REACHED = """() => [...document.querySelectorAll(
    ".jp-Notebook :is(a[href], button, input, select, textarea, summary, .noUi-handle)")]
    .filter(one => one.checkVisibility({ visibilityProperty: true }) && !one.disabled
        && one.tabIndex >= 0 && one.getClientRects().length
        && !(one.type === "radio" && one !== one.closest(".widget-radio-box")
            ?.querySelector("input:checked, input")))"""
"""What Tab must reach: of radio buttons the one that is chosen, or the first."""
AT = """all => {
    const now = document.activeElement, look = getComputedStyle(now);
    const line = look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 1;
    const seen = line || now.matches("jp-button, body, html");
    return [all.indexOf(now), seen, now.outerHTML.slice(0, 160)];
}"""
"""Where the keyboard is, and whether it is seen there; the button's frame is inside of it."""


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """Return every kind of page that a command writes, for a made-up class."""
    place = tmp_path_factory.mktemp("written")
    made(place / "class new")
    exercises("demo", place / "class")
    exercises("mark", place / "class", "--out", place)
    exercises("record", place / "class", "--trainee", "all", "--out", place / "record.html")
    exercises("record", place / "class", "--trainee", "T01", "--typing", "--out",
              place / "typing.html")  # fmt: skip
    exercises("handout", "--lesson", "08", "--trainees", "T01-T02", "--out", place)
    exercises("today", "--lesson", "08", "--trainees", "T01-T02", "--out", place / "today.html")
    exercises("notes", "--out", place / "notes.html")
    exercises("sailing", "--trainees", "T01-T02", "--out", place / "sailing.html")
    exercises("site", "--plate", "EURA", "--out", place / "site.html")
    return sorted(place.glob("*.html"))


def exercises(name, *words):
    """Run one of the course's commands; 1 says that a file on purpose could not be read."""
    done = command("exercises", name, *map(str, words))
    assert done.returncode in (0, 1), done.stderr


def test_pages_that_are_written(browser, written):
    assert len(written) >= 10
    page = browser.new_page()
    wrong = {}
    for path in written:
        page.goto(path.as_uri())
        if found := [*nameless(page), *findings(page)]:
            wrong[path.name] = found
    assert wrong == {}
    page.close()
