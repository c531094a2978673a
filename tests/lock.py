"""
Write down the exact set of packages, each with the digests of its files. python tests/lock.py

requirements.txt names what the course itself uses; what comes along with it is not named there.
requirements.lock names all of it, for every system and Python from 3.11 on, and pip refuses a
file whose digest does not stand in it. requirements_tests.lock adds the tools of the tests.

What is locked already keeps its version, where requirements.txt allows it; with --upgrade nothing
does. The resolver, uv, is needed for this alone (`python -m pip install uv`), and asks the index.
"""

import importlib.util
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent
COURSE = HERE / "requirements.lock"
TESTS = HERE / "requirements_tests.lock"
HEAD = "# Written by `python tests/lock.py`; change requirements.txt instead, and run it again.\n"
RESOLVE = (
    "--universal",
    "--python-version=3.11",
    "--generate-hashes",
    "--no-header",
    "--no-annotate",
)


def lock(path, *sources):
    """Write the lock of some files of requirements."""
    command = [sys.executable, "-m", "uv", "pip", "compile", "--quiet", *RESOLVE]
    subprocess.run([*command, *sys.argv[1:], "--output-file", path, *sources], cwd=ROOT, check=True)
    path.write_text(HEAD + path.read_text(encoding="utf-8"), encoding="utf-8", newline="\n")


def main():
    """Write both locks, the second on the versions of the first."""
    if importlib.util.find_spec("uv") is None:
        sys.exit(f'The resolver is missing: "{sys.executable}" -m pip install uv')
    lock(COURSE, "requirements.txt")
    lock(TESTS, "requirements.txt", "tests/requirements.txt", "--constraints", COURSE)


if __name__ == "__main__":
    main()
