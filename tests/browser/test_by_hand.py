"""What is drawn is taken in the picture, by mouse and by finger; the sliders follow."""

import json

import pytest
from course import Lesson

pytestmark = [pytest.mark.browser, pytest.mark.full]


@pytest.fixture(scope="module")
def lesson(browser, course):
    opened = Lesson(browser, course, "02_excess")
    yield opened
    assert opened.trouble() == []
    assert opened.strangers == []
    opened.leave()


def grips(lesson, figure):
    """Return where each thing that can be taken stands on the screen."""
    image = lesson.figure(figure).locator("img.gk-picture")
    image.scroll_into_view_if_needed()
    box = image.bounding_box()
    offered = lesson.figure(figure).locator(".gk-grips input").get_attribute("placeholder")
    return {
        grip["name"]: (
            box["x"] + box["width"] * (grip["x"] + grip.get("right", grip["x"])) / 2,
            box["y"] + box["height"] * (grip["y"] + grip.get("bottom", grip["y"])) / 2,
        )
        for grip in json.loads(offered)
    }


def number(lesson, name, figure):
    field = lesson.figure(figure).locator(f".gk-c-{name} input[type=text]")
    return float(field.input_value().replace("\u202f", "").replace("−", "-"))


def test_a_corner_goes_with_the_mouse_and_the_sliders_with_it(lesson):
    picture, before = lesson.picture(), (number(lesson, "size", 0), number(lesson, "turn", 0))
    x, y = grips(lesson, 0)["cornera"]
    mouse = lesson.page.mouse
    mouse.move(x, y)
    assert lesson.figure().locator("img.gk-picture").evaluate("one => one.style.cursor") == "grab"
    mouse.down()
    mouse.move(x + 30, y - 20, steps=5)
    mouse.move(x + 60, y - 20, steps=5)
    mouse.up()
    lesson.page.wait_for_function(
        """([x, y]) => {
            const grip = JSON.parse(document.querySelector(".gk-grips input").placeholder)[0];
            const box = document.querySelector("img.gk-picture").getBoundingClientRect();
            return Math.hypot(box.left + box.width * grip.x - x,
                              box.top + box.height * grip.y - y) < 6;
        }""",
        arg=[x + 60, y - 20],
    )
    assert lesson.picture() != picture
    assert number(lesson, "size", 0) > before[0]
    assert 10 < number(lesson, "turn", 0) < 80


def test_beside_what_can_be_taken_nothing_moves(lesson):
    x, y = grips(lesson, 0)["cornera"]
    picture, mouse = lesson.picture(), lesson.page.mouse
    mouse.move(x + 500, y)
    mouse.down()
    mouse.move(x + 600, y + 50, steps=4)
    mouse.up()
    lesson.page.wait_for_timeout(300)
    assert lesson.picture() == picture


def test_the_sphere_turns_under_a_finger(lesson):
    lesson.figure(1).scroll_into_view_if_needed()
    lesson.page.wait_for_function(
        "() => document.querySelectorAll('.gk-grips input')[1]?.placeholder"
    )
    x, y = grips(lesson, 1)["sphere"]
    before = number(lesson, "turn", 1)
    session = lesson.page.context.new_cdp_session(lesson.page)
    session.send("Emulation.setTouchEmulationEnabled", {"enabled": True})

    def touch(kind, *points):
        session.send(
            "Input.dispatchTouchEvent",
            {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in points]},
        )

    top = lesson.page.evaluate("document.querySelector('.jp-Notebook').scrollTop")
    touch("touchStart", (x, y))
    for step in range(1, 9):
        touch("touchMove", (x - 10 * step, y + 5 * step))
    touch("touchEnd")
    lesson.page.wait_for_function(
        "before => Math.abs(parseFloat(document.querySelectorAll('.gk-c-turn input[type=text]')"
        "[1].value.replace('−', '-')) - before) > 10",
        arg=before,
    )
    assert number(lesson, "turn", 1) > before
    assert lesson.page.evaluate("document.querySelector('.jp-Notebook').scrollTop") == top
