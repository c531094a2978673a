"""
The figure of lesson 11: the plates, how fast they go, and what an old number means today.

It takes the trainee's site and returns a live figure for the notebook to show.
"""

from lessons.figures.motion.plates import plates

__all__ = ["plates"]
