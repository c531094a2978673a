"""A class marked by several processes: what comes of it is what one process makes."""

import os
import re
import subprocess
import sys
from functools import partial

import pytest

from exercises.instructor import processes
from exercises.register import register
from tests.test_report import PLUMB, TOTAL, Desk

HERE = os.getpid()
WHY_NOT = "this system does not divide a process, or a second thread runs in this one: see `alone`"
ALONE = "GEODESY_ALONE"  # set in the process that does nothing but this file


@pytest.fixture(params=["fork", pytest.param("spawn", marks=pytest.mark.full)])
def two(request, monkeypatch):
    """Two processes for any class, each begun as this system or another begins one."""
    if request.param == "fork" and not processes._may_divide():
        pytest.skip(WHY_NOT)
    monkeypatch.setattr(processes, "_may_divide", lambda: request.param == "fork")
    monkeypatch.setattr(processes, "WORTH", 2)
    monkeypatch.setattr(processes, "WORTH_ELSEWHERE", 2)
    monkeypatch.setattr(processes.os, "cpu_count", lambda: 2)


def test_two_processes_write_what_one_writes(two, tmp_path):
    folder = tmp_path / "class"
    for number in range(1, 6):
        desk = Desk(folder, f"T0{number}")
        desk.answer(PLUMB, slip="opposite")
        desk.answer(TOTAL)
    (folder / "answers-T05.jsonl").write_bytes(b"\xff torn { \n" * 40)
    made = {}
    for several in (False, True):
        out, seen = tmp_path / str(several), []
        marked = register.write(
            folder, out, several=several, progress=lambda *step, seen=seen: seen.append(step)
        )
        pages = {
            path.relative_to(out): re.sub(r"marked [^<]* UTC", "", path.read_text("utf-8"))
            for path in out.rglob("*.*")
        }
        made[several] = pages, marked.findings, marked.files, marked.troubles, marked.left, seen
    assert made[True] == made[False]
    assert len(made[True][0]) == 8, "the register, five trainees, two tables"
    assert made[True][4] == 40, "the lines of the damaged sheet alone"
    assert made[True][5][-1] == (4, 5, "T05")


def _where(job, what):
    if what == "dies" and job == 3 and os.getpid() != HERE:
        os._exit(1)
    return job, os.getpid() == HERE


def test_a_process_that_dies_leaves_its_work_to_this_one(two):
    if processes._may_divide():  # elsewhere HERE would be another process's own number
        given = list(processes.each(processes.Work(_where, "dies"), range(6), apart=True))
        assert [job for job, _ in given] == list(range(6))
        assert (3, True) in given


def test_a_few_are_done_here():
    given = list(processes.each(processes.Work(_where, ""), range(3), apart=True))
    assert given == [(0, True), (1, True), (2, True)]


def _noted(folder, number, broken):
    (folder / f"{number}.txt").write_text(str(os.getpid()), "ascii")
    if number == broken:
        raise PermissionError(13, "no permission", str(folder / f"{number}.txt"))


def test_tasks_side_by_side_are_all_done_and_a_failure_is_said_here(tmp_path, monkeypatch, capfd):
    if not processes._may_divide():
        pytest.skip(WHY_NOT)
    monkeypatch.setattr(processes.os, "cpu_count", lambda: 2)
    processes.side_by_side([partial(_noted, tmp_path, n, -1) for n in range(5)], apart=True)
    done = {path.name: int(path.read_text("ascii")) for path in tmp_path.iterdir()}
    assert len(done) == 5
    assert len(set(done.values())) == 2, "two processes shared them"
    with pytest.raises(PermissionError):
        processes.side_by_side([partial(_noted, tmp_path, n, 3) for n in range(5)], apart=True)
    assert int((tmp_path / "3.txt").read_text("ascii")) == HERE, "done again, and said here"
    assert capfd.readouterr().err == "", "nothing of another process's trouble"


def test_tasks_are_done_here_where_none_can_be_apart(tmp_path):
    processes.side_by_side([partial(_noted, tmp_path, n, -1) for n in range(3)], apart=False)
    assert {int(path.read_text("ascii")) for path in tmp_path.iterdir()} == {HERE}


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux divides a process here")
@pytest.mark.skipif(ALONE in os.environ, reason="it is alone")
def test_alone_in_a_process_this_file_divides_it():
    """Where a browser was driven before, a second thread runs, and the tests above are skipped."""
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-rs", "-p", "no:xdist", "-p", "no:cacheprovider",
         "-k", "not alone", __file__],
        env=os.environ | {ALONE: "1"}, capture_output=True, text=True, encoding="utf-8",
        timeout=300, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stdout
    assert WHY_NOT not in run.stdout
