"""A browser and a running course for the tests of this folder; without a browser none is run."""

import importlib.util
import os
import shutil
import stat

import pytest
from course import ROOT, Course, find_browser, open_browser
from firefox import find_firefox, open_firefox

CACHES = ("__pycache__", ".pytest_cache", ".ruff_cache", ".mypy_cache", ".hypothesis")
REQUIRED = os.environ.get("GEODESY_BROWSER") == "required"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    """Turn a skipped browser test into a failure where the browser is required."""
    report = yield
    if REQUIRED and report.skipped and item.get_closest_marker("browser"):
        report.outcome = "failed"
        report.longrepr = f"GEODESY_BROWSER=required, but this was not run: {call.excinfo.value}"
    return report


@pytest.fixture(scope="package")
def browser():
    if importlib.util.find_spec("playwright") is None:
        pytest.skip("playwright is not installed: pip install -r tests/requirements.txt")
    if find_browser() is None:
        pytest.skip("there is no Chromium, Chrome or Edge on this machine")
    with open_browser() as opened:
        yield opened


@pytest.fixture(scope="package")
def firefox():
    if find_firefox() is None:
        pytest.skip("there is no Firefox on this machine")
    with open_firefox() as opened:
        yield opened


@pytest.fixture(scope="package")
def folder(tmp_path_factory):
    """Return a copy of the course that cannot be written; afterwards nothing in it has changed."""
    copy = tmp_path_factory.mktemp("vessel ø") / "the course"
    shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv", *CACHES))
    _allow(copy, writing=False)
    before = _contents(copy)
    yield copy
    after = _contents(copy)
    _allow(copy, writing=True)
    assert after == before


@pytest.fixture(scope="module")
def course(tmp_path_factory, folder):
    """Start the course anew for each file: nobody is signed in, whatever file came before."""
    running = Course(tmp_path_factory.mktemp("home ø"), folder)
    yield running
    running.stop()


def _allow(folder, *, writing):
    """Set or take the right to write; the administrator keeps it, so `folder` compares as well."""
    for path in [folder, *folder.rglob("*")]:
        mode = path.stat().st_mode
        path.chmod(mode | stat.S_IWUSR if writing else mode & ~0o222)


def _contents(folder):
    return {
        path.relative_to(folder): path.stat().st_mtime_ns
        for path in folder.rglob("*")
        if path.is_file() and not set(CACHES) & set(path.parts)
    }
