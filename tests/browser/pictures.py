"""
The README's pictures, taken from the running course: `python -m tests.browser.pictures`.

Written to lessons/pictures; look at each before it is committed.
"""

import os
import tempfile
from pathlib import Path

from exercises import find
from exercises.instructor import demo
from exercises.question import dice
from exercises.register import register
from exercises.sheets import session
from tests.browser.course import ROOT, Course, Lesson, open_browser

PICTURES = ROOT / "lessons" / "pictures"
KEY = "deflection-plumb-offset"


def take():
    """Take every picture and return the paths."""
    with tempfile.TemporaryDirectory(prefix="pictures ") as home, open_browser() as browser:
        yield _register(browser, Path(home))
        course = Course(Path(home))
        os.environ[session.FOLDER_VARIABLE] = str(course.answers)
        session.sign_in("T07")
        session.choose_decimal(".")
        try:
            yield from _lesson(browser, course)
            yield _start(browser, course)
        finally:
            course.stop()


def _register(browser, home):
    demo.write(home / "class", 13)
    marked = register.write(home / "class", home / "marked")
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(marked.html.as_uri())
    return _kept(page, "register.png")


def _lesson(browser, course):
    """Take the first figure of lesson 08, and an answer that shows its slip."""
    lesson = Lesson(browser, course, "08_deflection")
    yield _kept(lesson.page, "lesson_08.png", clip=_whole(lesson.figure()))
    exercise = find(KEY)
    box = lesson.box(KEY)
    wrong = exercise.wrong(dice.given(exercise, "T07", 1))["opposite"]
    box.type(**{name: exercise.part(name).show(value) for name, value in wrong.items()})
    box.check()
    yield _kept(box.place, "answer.png")
    lesson.leave()


def _start(browser, course):
    lesson = Lesson(browser, course, "00_start")
    lesson.page.wait_for_timeout(1000)
    # A reader's folder is another one than this temporary one.
    lesson.page.evaluate(
        "document.querySelectorAll('.gk-welcome code').forEach("
        "one => { one.textContent = one.textContent.split(/[\\/\\\\]/).pop(); })"
    )
    return _kept(lesson.page, "start.png")


def _whole(figure):
    """Return where a figure stands on the screen; its picture reaches out of it on both sides."""
    figure.scroll_into_view_if_needed()
    box, picture = figure.bounding_box(), figure.locator("img.gk-picture").bounding_box()
    return {**box, "x": picture["x"], "width": picture["width"]}


def _kept(what, name, **only):
    what.screenshot(path=PICTURES / name, **only)
    return PICTURES / name


if __name__ == "__main__":
    for taken in take():
        print(taken)
