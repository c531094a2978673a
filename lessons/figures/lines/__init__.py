"""
The figures of lesson 05: three lines between two ends, and the law that a geodesic keeps.

Each function takes the trainee's site and returns a live figure for the notebook to show.
"""

from lessons.figures.lines.law import geodesic_law
from lessons.figures.lines.three import three_lines

__all__ = ["geodesic_law", "three_lines"]
