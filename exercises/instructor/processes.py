"""
A large class marked by several processes, in order; a small one, or where none can be, here.

While a class is marked nothing is looked through for what no name holds any more: what a trainee
leaves behind is let go without that, and to look takes a twelfth of the time.
"""

import gc
import multiprocessing
import os
import threading
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import Any

MOST = 4  # processes: beyond, the disk and the page that is put together are slower
WORTH = 24  # rows; below, a process is not up before the work is done
WORTH_ELSEWHERE = 60  # where a process has to load the course anew, some two seconds


@dataclass(frozen=True)
class Work:
    """A function and what it is to do to each: both can be handed to another process."""

    how: Callable[[Any, Any], Any]
    what: Any

    def __call__(self, job: Any) -> Any:
        """Do one."""
        return self.how(job, self.what)


def each(work: Work, jobs: Sequence[Any], *, apart: bool) -> Iterator[Any]:
    """Give what comes of each job, in order; a process that dies leaves its jobs to this one."""
    looked = gc.isenabled()
    gc.disable()
    try:
        yield from _each(work, jobs, apart=apart)
    finally:
        if looked:
            gc.enable()


def side_by_side(tasks: Sequence[Callable[[], object]], *, apart: bool) -> None:
    """
    Do tasks that write and give nothing back: with `apart` several processes do them.

    Each process has all that this one holds, so it is done where a process can divide itself,
    elsewhere here. A task that fails in another process is done here again, and says here why.
    """
    count = min(MOST, os.cpu_count() or 1, len(tasks)) if apart and _may_divide() else 1
    context = multiprocessing.get_context("fork" if count > 1 else None)
    parts = [tasks[place::count] for place in range(count)]
    others = [context.Process(target=_do_or_leave, args=(part,)) for part in parts[1:]]
    for other in others:
        other.start()
    try:
        _do(parts[0])
    finally:
        for other in others:
            other.join()
    for other, part in zip(others, parts[1:], strict=True):
        if other.exitcode:
            _do(part)


def _do_or_leave(tasks: Sequence[Callable[[], object]]) -> None:
    """Do tasks in another process; why one fails is said where it is done again."""
    try:
        _do(tasks)
    except BaseException:
        raise SystemExit(1) from None


def _do(tasks: Sequence[Callable[[], object]]) -> None:
    for task in tasks:
        task()


def _each(work: Work, jobs: Sequence[Any], *, apart: bool) -> Iterator[Any]:
    done = 0
    count = min(MOST, os.cpu_count() or 1)
    forks = _may_divide()
    if apart and count > 1 and len(jobs) >= (WORTH if forks else WORTH_ELSEWHERE):
        context = multiprocessing.get_context("fork" if forks else "spawn")
        try:
            with ProcessPoolExecutor(count, mp_context=context, initializer=gc.disable) as pool:
                for one in _in_order(pool, work, jobs, ahead=4 * count):
                    yield one
                    done += 1
        except (BrokenProcessPool, OSError):
            pass  # memory was short, or the system allows no processes: go on alone
    for job in jobs[done:]:
        yield work(job)


def _in_order(
    pool: ProcessPoolExecutor, work: Work, jobs: Sequence[Any], ahead: int
) -> Iterator[Any]:
    """Give the results in order, no more than some ahead of whoever takes them."""
    waiting: deque[Future[Any]] = deque()
    for job in jobs:
        waiting.append(pool.submit(work, job))
        if len(waiting) >= ahead:
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()


def _may_divide() -> bool:
    """Return whether this process can divide itself: under Linux, where no second thread runs."""
    methods = multiprocessing.get_all_start_methods()
    return "fork" in methods and os.uname().sysname == "Linux" and threading.active_count() == 1
