"""
The figures of lesson 01: where flat fails, and one point described from ten origins.

Each function takes the trainee's site and returns a live figure for the notebook to show.
"""

from lessons.figures.surface.answers import five_answers
from lessons.figures.surface.flat import flat_earth

__all__ = ["five_answers", "flat_earth"]
