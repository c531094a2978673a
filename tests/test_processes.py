"""A class marked by several processes: what comes of it is what one process makes."""

import os
import re

import pytest

from exercises.instructor import processes
from exercises.register import register
from tests.test_report import PLUMB, TOTAL, Desk

HERE = os.getpid()


@pytest.fixture(params=["fork", pytest.param("spawn", marks=pytest.mark.full)])
def two(request, monkeypatch):
    """Two processes for any class, each begun as this system or another begins one."""
    if request.param == "fork" and not processes._may_divide():
        pytest.skip("this system or this run does not divide a process")
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
