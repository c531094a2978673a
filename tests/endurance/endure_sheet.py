"""
Is anything ever lost that a trainee saw as kept? python -m tests.endurance.endure_sheet [kills]

A writer appends answers and says each one is kept once `append` has returned, as an answer box
does. It is killed without warning at a moment of chance, and started again, many times; then two
writers share each of four sheets for ten thousand lines. A sheet takes 4 MB and no more, so a new
one begins after ten kills. Every line that was called kept must be there, in
order and whole. What is proved is the crash of a process, not the loss of power: the system keeps
what it was handed when a process dies.
"""

import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from exercises.sheets import sheet

KILLS = 10  # of the writer of one sheet
ROOT = Path(__file__).resolve().parents[2]
WRITER = """
import pathlib, sys
from exercises.sheets import sheet
path, name, first, last = pathlib.Path(sys.argv[1]), sys.argv[2], *map(int, sys.argv[3:])
for number in range(first, last):
    sheet.append(path, {"event": "remark", "text": f"{name} {number} " + "ξ″" * (number % 400)})
    print(number, flush=True)
"""


def writer(path, name, first, last, kept):
    """Start a process that appends numbered remarks and prints each number once it is kept."""
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), name, str(first), str(last)],
        cwd=ROOT, stdout=kept,
    )  # fmt: skip


def numbers(path, name):
    """Return the numbers of a writer's remarks, in the order of the sheet."""
    words = (event["text"].split(" ") for event in sheet.read(path).events)
    return [int(number) for who, number, _ in words if who == name]


def kill_again_and_again(folder, kills):
    """Return how many lines were called kept, which the sheets lack, what they complain of."""
    chance, count, lost, torn = random.Random(1), 0, [], []
    for number, first in enumerate(range(0, kills, KILLS), 1):
        path = folder / sheet.file_name(f"K{number}")
        kept, missing, troubles = kill(path, min(KILLS, kills - first), chance)
        count, lost, torn = count + kept, lost + missing, torn + troubles
    return count, lost, torn


def kill(path, kills, chance):
    """Kill the writer of one sheet again and again."""
    said = path.with_name("said.txt")
    kept, following = set(), 0
    for _ in range(kills):
        with open(said, "w", encoding="utf-8") as words:
            process = writer(path, "killed", following, following + 100_000, words)
            while not said.stat().st_size:
                time.sleep(0.01)
            time.sleep(chance.uniform(0, 0.3))
            process.kill()
            process.wait()
        kept |= {int(line) for line in said.read_text(encoding="utf-8").splitlines()}
        following = max(kept) + 1000
    there = numbers(path, "killed")
    assert there == sorted(there), "lines changed places"
    return len(kept), sorted(kept - set(there)), sheet.read(path).troubles


def share(folder, name, lines):
    """Return which lines of two writers at once the sheet lacks, and what it complains of."""
    path = folder / sheet.file_name(name)
    both = [writer(path, name, 0, lines, subprocess.DEVNULL) for name in ("left", "right")]
    assert [process.wait() for process in both] == [0, 0]
    lost = [n for name in ("left", "right") for n in set(range(lines)) - set(numbers(path, name))]
    return lost, sheet.read(path).troubles


def main(kills=200):
    """Print what was lost; the exit status is 1 if it was anything."""
    with tempfile.TemporaryDirectory() as name:
        kept, lost, torn = kill_again_and_again(Path(name), kills)
        print(f"{kills} kills, {kept} lines called kept, {len(lost)} lost, {len(torn)} torn")
        shared = [share(Path(name), code, 1250) for code in ("S1", "S2", "S3", "S4")]
        missing = [line for lines, _ in shared for line in lines]
        troubles = [text for _, texts in shared for text in texts]
        print(f"two writers, 10 000 lines, {len(missing)} lost, {len(troubles)} troubles")
    return 1 if lost or missing or troubles else 0


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")
    sys.exit(main(*map(int, sys.argv[1:])))
