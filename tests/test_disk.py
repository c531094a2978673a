"""A file written whole or not at all: settings, pages, erasure and the paper's own copy."""

import os
import stat

import pytest

from exercises.pages import pages
from exercises.sheets import changed_marks, disk, session
from tests.test_changed_marks import change
from tests.test_report import Desk


@pytest.fixture
def log(monkeypatch):
    """What was flushed and what was put in its place, in order."""
    seen = []
    fsync, replace = os.fsync, os.replace

    def flushed(handle):
        folder = stat.S_ISDIR(os.fstat(handle).st_mode)
        seen.append("folder flushed" if folder else "flushed")
        fsync(handle)

    def placed(before, after):
        seen.append(f"placed {os.path.basename(after)}")
        replace(before, after)

    monkeypatch.setattr(os, "fsync", flushed)
    monkeypatch.setattr(os, "replace", placed)
    return seen


def writings(tmp_path, monkeypatch):
    """Return what writes each kind of file, by its name."""
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    Desk(tmp_path, "T07").answer()
    change(tmp_path)
    return {
        "settings.json": lambda: session.choose_decimal(","),
        "page.html": lambda: pages.write(tmp_path / "page.html", iter(["a", "b"])),
        changed_marks.NAME: lambda: changed_marks.erase(tmp_path / changed_marks.NAME, "T07"),
    }


@pytest.mark.parametrize("name", ["settings.json", "page.html", changed_marks.NAME])
def test_what_is_written_is_on_the_disk_before_it_takes_its_place(tmp_path, monkeypatch, log, name):
    write = writings(tmp_path, monkeypatch)[name]
    log.clear()
    write()
    expected = ["flushed", f"placed {name}"]
    assert log[:2] == expected
    if os.name != "nt":
        assert log[2:] == ["folder flushed"]


@pytest.mark.parametrize("at", ["writing", "placing"])
def test_a_writing_that_fails_leaves_the_old_file_and_nothing_beside_it(tmp_path, monkeypatch, at):
    path = tmp_path / "page.html"
    disk.write(path, ["old"])

    def fails(*_):
        raise OSError(28, "No space left on device")

    def pieces():
        yield "new"
        if at == "writing":
            fails()

    if at == "placing":
        monkeypatch.setattr(os, "replace", fails)
    with pytest.raises(OSError, match="No space"):
        disk.write(path, pieces())
    assert path.read_text(encoding="utf-8") == "old"
    assert [each.name for each in tmp_path.iterdir()] == ["page.html"]


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_who_may_read_it(tmp_path):
    assert stat.S_IMODE(disk.write(tmp_path / "a", [b"x"]).stat().st_mode) == 0o600
    assert stat.S_IMODE(disk.write(tmp_path / "a", ["x"], mode=0o644).stat().st_mode) == 0o644
