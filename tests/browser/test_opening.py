"""Starting and stopping the course: what the terminal says, and that one start is enough."""

import os
import re
import socket
import stat
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from course import ROOT, Course

from lessons.server import serving
from tests.endurance import endure_stop


@contextmanager
def opened(home, *options):
    course = Course(home, ROOT, *options)
    try:
        yield course
    finally:
        course.stop()


def test_terminal_says_what_to_do_and_stops_quietly(tmp_path):
    with opened(tmp_path) as course:
        words = course.words()
        assert "Leave this window open" in words
        assert "press Ctrl+C" in words
        log = re.search(r"kept in (.+log\.txt)", words)[1]
        assert course.stop() == 0
    assert course.words().endswith("The course has stopped.\n")
    assert "Traceback" not in course.words()
    assert "ServerApp" not in course.words()
    with open(log, encoding="utf-8") as file:
        assert "ServerApp" in file.read()


def test_second_start_finds_the_first(tmp_path):
    with opened(tmp_path) as course:
        again = tmp_path / "again.txt"
        assert course.start(again).wait(timeout=60) == 0
        words = again.read_text(encoding="utf-8")
        assert "already running" in words
        assert course.address in words


def test_the_token_is_the_users_own(tmp_path):
    before = os.umask(0o022)
    try:
        with opened(tmp_path) as course:
            log = Path(re.search(r"kept in (.+log\.txt)", course.words())[1])
            token = parse_qs(urlsplit(course.address).query)["token"][0]
            endure_stop.open_lesson(course.address)
            held = log.read_text(encoding="utf-8")
            assert "Kernel started" in held
            assert token not in held
            if sys.platform != "win32":
                rights = [stat.S_IMODE(path.stat().st_mode) for path in (log.parent, log)]
                assert rights == [0o700, 0o600]
    finally:
        os.umask(before)


@pytest.mark.parametrize("way", endure_stop.WAYS)
def test_one_press_stops_it_and_ten_do_no_more(way):
    assert endure_stop.once(way, seed=1) == ""


@pytest.mark.full
def test_two_starts_at_once_are_one_course(tmp_path):
    with opened(tmp_path) as course:
        course.stop()
        files = [tmp_path / "first.txt", tmp_path / "second.txt"]
        starts = [course.start(file) for file in files]
        try:
            _wait(lambda: any(start.poll() is not None for start in starts))
            words = "".join(file.read_text(encoding="utf-8") for file in files)
            assert [start.poll() for start in starts].count(0) == 1
            assert words.count("already running") == 1
            assert len(set(re.findall(r"http://\S+", words))) == 1
        finally:
            for start in starts:
                start.terminate()
                start.wait(timeout=60)


def _wait(condition):
    deadline = time.monotonic() + 120
    while not condition():
        assert time.monotonic() < deadline
        time.sleep(0.1)


@pytest.mark.full
def test_a_taken_port_is_passed_over(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with opened(tmp_path, "--port", str(port)) as course:
            assert urlsplit(course.address).port != port


def test_only_this_machine_and_only_with_the_token(tmp_path):
    with opened(tmp_path) as course:
        port = urlsplit(course.address).port
        assert urlsplit(course.address).hostname == "127.0.0.1"
        direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        with pytest.raises(urllib.error.HTTPError, match="403"):
            direct.open(f"http://127.0.0.1:{port}/api/contents", timeout=30)
        if sys.platform == "linux":  # where the whole of 127.x is this machine
            with pytest.raises(ConnectionRefusedError):
                socket.create_connection(("127.0.0.2", port), timeout=30)


@pytest.mark.full
def test_it_runs_where_the_user_may_write_nothing(tmp_path):
    (tmp_path / "jupyter").write_text("a file where a folder should be", encoding="utf-8")
    with opened(tmp_path) as course:
        assert "Leave this window open" in course.words()


def test_a_copy_without_hidden_files_is_reported(tmp_path, monkeypatch):
    monkeypatch.setattr(serving, "SETTINGS", tmp_path / ".jupyter")
    with pytest.raises(FileNotFoundError, match="copy the course again, hidden files included"):
        serving._settle(tmp_path / "config", edit=False)


def test_without_its_requirements_it_says_what_to_do(tmp_path):
    bare = subprocess.run(
        [sys.executable, "-S", "-m", "lessons"],
        cwd=ROOT, capture_output=True, text=True, encoding="utf-8", timeout=60, check=False,
    )  # fmt: skip
    assert bare.returncode == 1
    assert "-m pip install -r" in bare.stderr
    assert "Traceback" not in bare.stderr
