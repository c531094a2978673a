"""
The figures of lesson 04: a point by its X, Y, Z, and a lever arm on a vessel that turns.

Each function takes the trainee's site and returns a live figure for the notebook to show.
"""

from lessons.figures.ecef.axes import axes
from lessons.figures.ecef.vessel import lever_arm

__all__ = ["axes", "lever_arm"]
