"""
The first import of a notebook in this folder: it puts the course's own packages within reach.

The folder itself leaves the path: some of its modules carry names that Python uses as well.
"""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent

sys.path[:] = [str(HERE.parent), *(p for p in sys.path if p and Path(p).resolve() != HERE)]
