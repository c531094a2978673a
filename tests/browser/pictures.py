"""
The README's pictures, taken from the running course: `python -m tests.browser.pictures`.

Written to lessons/pictures; look at each before it is committed.
"""

import tempfile
from pathlib import Path

from tests.browser.course import ROOT, Course, Lesson, open_browser

PICTURES = ROOT / "lessons" / "pictures"


def take():
    """Take every picture and return the paths."""
    with tempfile.TemporaryDirectory(prefix="pictures ") as home, open_browser() as browser:
        course = Course(Path(home))
        try:
            lesson = Lesson(browser, course, "08_deflection")
            lesson.run()
            path = PICTURES / "lesson_08.png"
            lesson.figure().screenshot(path=path)
        finally:
            course.stop()
    return [path]


if __name__ == "__main__":
    for taken in take():
        print(taken)
