"""
The evening before with a geokit that is off by a ten-thousandth: which lessons notice.

`python -m tests.endurance.endure_spoiled` copies the course into a temporary folder, spoils one
function there, runs `python -m pytest lessons` in the copy, and puts it right again; five times.
Each run takes as long as an evening before. Name other functions behind the command, as
`ecef.to_enu`, to spoil those. It ends with status 1 if a lesson that computes with a
spoiled function did not notice.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from exercises.bank.syllabus import LESSONS, lesson_number
from tests import uses

SPOILED = (
    "ellipsoid.Ellipsoid.prime_vertical_radius",
    "ecef.to_ecef",
    "lines.inverse",
    "geoid.EarthGravitationalModel1996.height",
    "deflection.seabed_offset",
)
TAKEN = ("lessons", "geokit", "exercises", "tests", ".pytest.ini", ".jupyter", "README.md")
AT_THE_END = """

def _spoiled(true):
    def off(result):
        return tuple(map(off, result)) if isinstance(result, tuple) else result * {factor}

    return lambda *arguments, **more: off(true(*arguments, **more))


{path} = _spoiled({path})
"""


def main(names):
    """Spoil each function in turn and print the table."""
    sys.path.insert(0, str(uses.ROOT / "lessons"))  # as a notebook's kernel has it
    used = {topic: uses.used_by(topic) for topic in LESSONS}
    missed = False
    with tempfile.TemporaryDirectory(prefix="spoiled course ") as folder:
        course = Path(folder)
        for name in TAKEN:
            copy(uses.ROOT / name, course / name)
        for name in names:
            using = {topic for topic in LESSONS if name in used[topic]}
            noticing, seconds = notice(course, name)
            missed |= bool(using - noticing)
            print(
                f"{name} × {uses.SPOILED}: used in {numbers(using)}; noticed in "
                f"{numbers(noticing)}; missed in {numbers(using - noticing)} ({seconds:.0f} s)",
                flush=True,
            )
    return int(missed)


def copy(source, target):
    """Copy a file or a folder without what Python keeps."""
    if source.is_dir():
        shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
    else:
        shutil.copy(source, target)


def notice(course, name):
    """Return the topics whose lessons do not hold with a spoiled function, and how long it took."""
    module, _, path = name.partition(".")
    file = course / "geokit" / f"{module}.py"
    right = file.read_text(encoding="utf-8")
    spoil = AT_THE_END.format(path=path, factor=uses.SPOILED)
    file.write_text(right + spoil, encoding="utf-8", newline="\n")
    before = os.times()
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "lessons"],
        cwd=course, env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True, encoding="utf-8", errors="replace", check=False,
    )  # fmt: skip
    file.write_text(right, encoding="utf-8", newline="\n")
    found = re.findall(r"^(\d\d) .*: DOES NOT HOLD", run.stdout, re.MULTILINE)
    if run.returncode not in (0, 1) or "the evening before" not in run.stdout:
        raise SystemExit(run.stdout[-2000:] + run.stderr[-2000:])
    return {topic for topic in LESSONS if lesson_number(topic) in found}, os.times()[4] - before[4]


def numbers(topics):
    """Return the lessons' numbers."""
    return " ".join(sorted(map(lesson_number, topics))) or "none"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:] or SPOILED))
