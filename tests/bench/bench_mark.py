"""
Marking 300 sheets: how long, how much memory, against reading the same lines as JSON.

Run from the repository's root: python -m tests.bench.bench_mark

What is claimed: 300 sheets in 8 s where two cores are free. On a machine that others use, the
processor time says more than the clock.

The sheets are those of a made-up class of 300, written once. Each marking runs in a process of
its own, for the memory that a process has held cannot be measured down again. What is claimed is
that memory does not grow with the number of sheets: 300 sheets of a year need hardly more than the
30 of a month, for one trainee is read at a time.
"""

import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from exercises.instructor import demo
from exercises.register import register

SIZES = (30, 300)
READ, MARK, SHARED = "json.loads", "register.write", "on several cores"
IMPORTED = "imports alone"


def measured(what, folder):
    """Do one thing and return {seconds, peak MB, lines}."""
    begun, lines = time.perf_counter(), 0
    if what == READ:
        for path in folder.glob("answers-*.jsonl"):
            with open(path, encoding="utf-8") as sheet:
                for line in sheet:
                    lines += 1
                    if line.endswith("}\n"):  # one is torn, as the class has it on purpose
                        json.loads(line)
    elif what in (MARK, SHARED):
        with tempfile.TemporaryDirectory() as out:
            register.write(folder, Path(out), several=what == SHARED)
    seconds = time.perf_counter() - begun
    return {"seconds": seconds, "worked": worked(), "peak": peak(), "lines": lines}


def worked():
    """Return the processor time of this process and those that it started, in seconds."""
    return sum(sum(resource.getrusage(whose)[:2])
               for whose in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))  # fmt: skip


def peak():
    """
    Return the most memory that this process has held, in MB.

    Under Linux from its own status: the figure of getrusage begins at that of the parent.
    """
    status = Path("/proc/self/status")
    if status.exists():
        (line,) = (t for t in status.read_text("ascii").splitlines() if t.startswith("VmHWM:"))
        return int(line.split()[1]) / 1024
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1 << 20 if sys.platform == "darwin" else 1 << 10)


def apart(what, folder):
    """Measure in a process of its own."""
    words = [sys.executable, "-m", "tests.bench.bench_mark", what, str(folder)]
    return json.loads(subprocess.run(words, check=True, capture_output=True, text=True).stdout)


def main():
    with tempfile.TemporaryDirectory(prefix="bench mark ") as home:
        large, small = Path(home, "300"), Path(home, "30")
        demo.write(large, SIZES[1])
        small.mkdir()
        for path in sorted(large.glob("answers-*.jsonl"))[: SIZES[0]]:
            shutil.copy(path, small)
        idle = apart(IMPORTED, large)
        print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
        print(f"{IMPORTED:<16} processor {idle['worked']:6.2f} s  peak {idle['peak']:6.0f} MB")
        found = {}
        for size, folder in zip(SIZES, (small, large), strict=True):
            for what in (READ, MARK, SHARED):
                one = found[size, what] = apart(what, folder)
                print(f"{size:>4} sheets, {what:<16} {one['seconds']:7.2f} s  "
                      f"processor {one['worked']:6.2f} s  peak {one['peak']:6.0f} MB")  # fmt: skip
        lines = found[SIZES[1], READ]["lines"]
        ratio = found[SIZES[1], MARK]["seconds"] / found[SIZES[1], READ]["seconds"]
        per_line = found[SIZES[1], MARK]["seconds"] / lines * 1000
        print(
            f"{lines} lines; marking takes {ratio:.0f} times the reading, {per_line:.2f} ms a line"
        )
        more = found[SIZES[1], MARK]["peak"] - found[SIZES[0], MARK]["peak"]
        each = more / (SIZES[1] - SIZES[0])
        print(f"memory: {more:+.0f} MB from 30 to 300 sheets, {each * 1000:.0f} kB a sheet")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        print(json.dumps(measured(sys.argv[1], Path(sys.argv[2]))))
    else:
        main()
