"""
What the tests of one file have put on a page is forgotten before those of the next.

Every piece of a page follows the trainee's decimal sign, so a sign-in writes all of them anew. A
page has some hundred; a run of all tests would come to tens of thousands.
"""

import pytest

from lessons.widgets import live, pieces


@pytest.fixture(scope="module", autouse=True)
def page_forgotten():
    """Forget what was shown, when a file's tests are through."""
    yield
    pieces.FOLLOWERS.clear()
    live.FIGURES.clear()
