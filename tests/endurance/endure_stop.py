"""
Does one Ctrl+C stop the course, whenever it comes? python -m tests.endurance.endure_stop [starts]

The course is started again and again, two at a time so that the machine is busy. Ctrl+C is pressed
once at the moment the address is shown, ten times at that moment, once while a lesson's Python
starts, or once at a random moment before the address is shown. Each must end by itself, quietly,
and leave no process behind.
"""

import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import psutil

ROOT = Path(__file__).resolve().parents[2]
WAYS = ("once", "ten times", "with a lesson", "early")
LONGEST = 60  # seconds from Ctrl+C to the end
BREAK = getattr(signal, "CTRL_BREAK_EVENT", signal.SIGINT)


def start(home):
    """Start the course with all it writes in a folder, and its words to be read."""
    own = dict.fromkeys(("JUPYTER_DATA_DIR", "TMPDIR", "TEMP", "TMP"), str(home))
    return subprocess.Popen(
        [sys.executable, "-m", "lessons", "--no-browser"],
        cwd=ROOT, env={**os.environ, **own}, stdin=subprocess.DEVNULL, encoding="utf-8",
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
    )  # fmt: skip


def address(course):
    """Read the terminal until it shows the address, and no further."""
    words = []
    for line in course.stdout:
        if "http://" in line:
            return line.strip()
        words.append(line)
    raise AssertionError(f"the course did not start: {''.join(words)}")


def open_lesson(page):
    """Have the server start a Python, as a lesson that is opened does."""
    parts = urlsplit(page)
    request = urllib.request.Request(
        f"{parts.scheme}://{parts.netloc}/api/kernels",
        data=json.dumps({"name": "python3"}).encode("ascii"),
        headers={"Authorization": f"token {parse_qs(parts.query)['token'][0]}"},
    )
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    with direct.open(request, timeout=60) as answer:
        assert answer.status == 201


def press(course, way, chance):
    """Press Ctrl+C in one of the ways."""
    if way == "early":
        assert "Starting" in course.stdout.readline()
        time.sleep(chance.uniform(0, 1))
    else:
        page = address(course)
        if way == "with a lesson":
            open_lesson(page)
    for _ in range(10 if way == "ten times" else 1):
        course.send_signal(BREAK)


def processes(home):
    """Return what still runs with this folder in its command or its environment."""
    found = []
    for process in psutil.process_iter():
        try:
            words = [*process.cmdline(), *process.environ().values()]
        except psutil.Error:
            continue
        if any(str(home) in word for word in words):
            found.append(process)
    return found


def once(way, seed):
    """Start and stop the course once; return what was wrong, or nothing."""
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home:
        course = start(home)
        try:
            press(course, way, chance)
            words = course.communicate(timeout=LONGEST)[0]
            _, left = psutil.wait_procs(processes(home), timeout=10)
        except subprocess.TimeoutExpired:
            return f"{way}: still running {LONGEST} s later"
        finally:
            for process in processes(home):
                process.kill()
    if course.returncode or "Traceback" in words or not words.endswith("has stopped.\n"):
        return f"{way}: ended with {course.returncode}: {words}"
    return f"{way}: left over: {left}" if left else ""


def endure(starts):
    """Return what was wrong in so many starts and stops, two at a time."""
    with ThreadPoolExecutor(2) as two:
        ways = [WAYS[number % len(WAYS)] for number in range(starts)]
        return [wrong for wrong in two.map(once, ways, range(starts)) if wrong]


def main(starts=200):
    """Print what was wrong; the exit status is 1 if anything was."""
    wrong = endure(starts)
    print(*wrong, f"{starts} starts and stops, {len(wrong)} of them wrong", sep="\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")
    sys.exit(main(*map(int, sys.argv[1:])))
