"""The option --full, and fixtures that more than one test file uses."""

import datetime
import sys

import numpy as np
import pytest

import tests.answers_apart  # noqa: F401 - keeps the trainee's own answers out of the tests
from tests.forgetting import page_forgotten  # noqa: F401 - a fixture of every file


def _check(call, *arguments):
    """
    Run one call as float, 0-d array, and arrays of one and two elements.

    Floats and 0-d arrays must come back as Python floats, arrays as arrays of the
    same shape with the same numbers; the scalar result is returned for further tests.
    """
    scalar = call(*arguments)
    several = isinstance(scalar, tuple)
    for shape in [(), (1,), (2,)]:
        results = call(*(np.full(shape, argument) for argument in arguments))
        for one, result in zip(
            scalar if several else (scalar,), results if several else (results,), strict=True
        ):
            assert type(one) is float
            if shape == ():
                assert type(result) is float
            assert np.shape(result) == shape
            np.testing.assert_allclose(result, one, rtol=1e-14, atol=1e-15)
    return scalar


@pytest.fixture
def scalar_and_array():
    return _check


class _AlwaysTheSameTime(datetime.datetime):
    @classmethod
    def now(cls, tz=None):
        return cls(2026, 3, 17, 7, 32, 15, tzinfo=datetime.UTC).astimezone(tz)


@pytest.fixture
def at_0732(monkeypatch):
    """Stop the clock of the course at 07:32 UTC, which a line writes as T07:32, like a code."""
    for name, module in list(sys.modules.items()):
        if name.startswith("exercises.") and vars(module).get("datetime") is datetime.datetime:
            monkeypatch.setattr(module, "datetime", _AlwaysTheSameTime)


def pytest_addoption(parser):
    parser.addoption(
        "--full",
        action="store_true",
        help="every draw, place and walk, as .ci/run does; without it a part that is large enough "
        "to find what usually breaks",
    )


@pytest.fixture(scope="session")
def full(request):
    """Whether the tests run with --full."""
    return request.config.getoption("full")


LEFT = pytest.StashKey[list]()


def pytest_collection_modifyitems(config, items):
    """
    Leave what is marked so to --full, and run the browser's tests last.

    The browser is driven through an event loop that runs from then on to the end: a widget that
    asks whether one is running would be tested otherwise than a kernel's loop or none.
    """
    items.sort(key=lambda item: item.get_closest_marker("browser") is not None)
    if config.getoption("full"):
        return
    left = [item for item in items if item.get_closest_marker("full")]
    config.stash[LEFT] = left
    if left:
        items[:] = [item for item in items if not item.get_closest_marker("full")]
        config.hook.pytest_deselected(items=left)


def pytest_terminal_summary(terminalreporter, config):
    if left := config.stash.get(LEFT, []):
        browser = sum(item.get_closest_marker("browser") is not None for item in left)
        others = len(left) - browser
        terminalreporter.write_line(
            f"left to --full: {browser} walks in the browser, {others} other tests"
        )
