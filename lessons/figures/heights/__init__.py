"""
The figures of lesson 07: the stack of levels at the site, and nineteen years of tide at a port.

Each function takes the trainee's site and returns a live figure for the notebook to show. N is a
model value (EGM96, tide-free) above WGS 84; the tide is the astronomical one, above the port's
mean sea level.
"""

from lessons.figures.heights.stack import stack
from lessons.figures.heights.tide import tide_years

__all__ = ["stack", "tide_years"]
