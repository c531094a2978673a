"""
What the tests of one file have put on a page is forgotten before those of the next.

Every piece of a page follows the trainee's decimal sign, so a sign-in writes all of them anew. A
page has some hundred; a run of all tests would come to tens of thousands. And where a browser is
being driven by the same process, its own loop is no page: figures are drawn at once.
"""

import asyncio
import contextlib

import pytest

from lessons.widgets import live, pieces


class _Apart:
    """asyncio, for which one loop does not run: the one that drives a browser."""

    def __init__(self, loop):
        self._loop = loop

    def __getattr__(self, name):
        return getattr(asyncio, name)

    def get_running_loop(self):
        loop = asyncio.get_running_loop()
        if loop is self._loop:
            raise RuntimeError("no page: the loop drives a browser")
        return loop


@pytest.fixture(scope="module", autouse=True)
def page_forgotten():
    """Forget what was shown, when a file's tests are through."""
    with pytest.MonkeyPatch.context() as patch:
        with contextlib.suppress(RuntimeError):  # none runs: no browser is being driven
            patch.setattr(live, "asyncio", _Apart(asyncio.get_running_loop()))
        yield
    pieces.FOLLOWERS.clear()
    live.FIGURES.clear()
