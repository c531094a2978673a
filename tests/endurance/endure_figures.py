"""
Does a day of dragging fill the memory? python -m tests.endurance.endure_figures [pictures]

Each figure, in a process of its own, is dragged at random places and settings again and again, as
a room does all day. What the process holds is read as it goes. What is kept on purpose (words
laid out once, the last maps) fills up and stays; a figure that never let go of its pictures would
grow by two megabytes with each. So the growth over the second half is what is judged.
"""

import random
import subprocess
import sys

import psutil

from exercises.sheets.scenario import PLACES
from tests.bench.bench_figures import BUILD, DRAGGED

ALLOWED = 10.0  # MB in the second half: five pictures, where hundreds or thousands were drawn


def held(name, pictures):
    """Drag one figure; return the process's MB at the start, half way and at the end."""
    chance, figure = random.Random(name), BUILD[name](PLACES["Brindle Wall"], scale=1.0)
    process = psutil.Process()
    stages = [process.memory_info().rss / 1e6]
    for half in (pictures // 2, pictures - pictures // 2):
        for _ in range(half):
            _drag(figure.controls[DRAGGED[name]], DRAGGED[name], chance)
            if figure.error:
                raise RuntimeError(f"{name}: {figure.error}")
        stages.append(process.memory_info().rss / 1e6)
    return stages


def _drag(control, name, chance):
    if name == "site":
        control.move(chance.uniform(-80, 80), chance.uniform(-180, 180))
    else:
        control.set(chance.uniform(control.low, control.high))


def main(pictures=4000):
    """Print what each figure holds; the exit status is 1 if one goes on growing."""
    growing = []
    print(f"{'MB held, ' + str(pictures) + ' pictures':24}  start  half   end")
    for name in DRAGGED:
        words = [sys.executable, "-m", "tests.endurance.endure_figures", str(pictures), name]
        said = subprocess.run(words, check=True, capture_output=True, text=True).stdout
        start, half, end = map(float, said.split())
        print(f"{name:24} {start:6.0f}{half:6.0f}{end:6.0f}", flush=True)
        if end - half > ALLOWED:
            growing.append(name)
    print("still growing: " + (", ".join(growing) or "none"))
    return 1 if growing else 0


if __name__ == "__main__":
    if sys.argv[2:]:
        print(*held(sys.argv[2], int(sys.argv[1])))
    else:
        sys.stdout.reconfigure(encoding="utf-8")
        sys.exit(main(*map(int, sys.argv[1:])))
