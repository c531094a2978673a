"""
Which functions of geokit a lesson computes with, and geokit spoiled by a ten-thousandth.

For test_checked.py and endurance/endure_spoiled.py.
"""

import contextlib
import functools
import importlib
import json
import sys
from pathlib import Path

import numpy as np

from exercises import BANK, given
from exercises.bank.syllabus import LESSONS

ROOT = Path(__file__).parents[1]
SPOILED = 1.0001
NO_NUMBERS = ("angles", "checks", "coastline", "constituents", "plates", "ellipsoids")


@contextlib.contextmanager
def called():
    """Collect the functions of geokit that are called: {"ellipsoid.Ellipsoid.meridian_radius"}."""
    found = set()

    def note(frame, event, _):
        if event == "call" and (name := public(frame.f_code)):
            found.add(name)

    sys.setprofile(note)
    try:
        yield found
    finally:
        sys.setprofile(None)


def public(code):
    """Return the name of a public function of geokit, nothing for other code."""
    file, name = Path(code.co_filename), code.co_qualname
    if file.parent.name != "geokit" or file.stem in NO_NUMBERS or "<" in name:
        return ""
    return "" if code.co_name.startswith("_") else f"{file.stem}.{name}"


def used_by(topic):
    """Return what a lesson's cells and its exercises call; the table at the end is left out."""
    number = LESSONS.index(topic) + 1
    path = ROOT / "lessons" / f"{number:02d}_{topic}.ipynb"
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    names = {}
    with called() as found:
        for cell in cells:
            text = "".join(cell["source"])
            if cell["cell_type"] == "code" and "checked.against" not in text:
                exec(compile(text, path.name, "exec"), names)
        for exercise in BANK.values():
            if exercise.topic == topic:
                numbers = given(exercise, "T07", 1)
                exercise.solve(numbers)
                exercise.wrong(numbers)
                exercise.steps(numbers)
    return found


@contextlib.contextmanager
def spoiled(name):
    """Let one function of geokit be off by a ten-thousandth."""
    module, *path = name.split(".")
    holder = importlib.import_module(f"geokit.{module}")
    for part in path[:-1]:
        holder = getattr(holder, part)
    true = vars(holder)[path[-1]]
    if isinstance(true, property | functools.cached_property):
        inner = getattr(true, "func", None) or true.fget
        false = property(lambda self: off(inner(self)))
    else:

        @functools.wraps(true)
        def false(*arguments, **more):
            return off(true(*arguments, **more))

    with contextlib.ExitStack() as stack:
        for place, known_as in [(holder, path[-1]), *imported(true)]:
            setattr(place, known_as, false)
            stack.callback(setattr, place, known_as, true)
        yield


def imported(function):
    """Return (module, name) wherever the course has imported a function by name."""
    ours = [
        m for n, m in sys.modules.items() if n.startswith(("geokit.", "exercises.", "lessons."))
    ]
    return [(m, name) for m in ours for name, held in list(vars(m).items()) if held is function]


def off(result):
    """Return a number, or each of several, off by a ten-thousandth; what is no number as it is."""
    if isinstance(result, tuple) and not hasattr(result, "_fields"):
        return tuple(map(off, result))
    return result * SPOILED if isinstance(result, float | np.ndarray) else result
