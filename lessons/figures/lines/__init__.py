"""
The figures of lesson 05: three lines between two ends, and when a normal section matters.

Each function takes the trainee's site and returns a live figure for the notebook to show.
"""

from lessons.figures.lines.section import normal_section
from lessons.figures.lines.three import three_lines

__all__ = ["normal_section", "three_lines"]
