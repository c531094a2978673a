"""
The first import of a notebook in this folder: it puts the course's own packages within reach.

The folder itself leaves the path: its modules are those of the package, under one name only.
"""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent

sys.path[:] = [str(HERE.parents[1]), *(p for p in sys.path if p and Path(p).resolve() != HERE)]
