"""
The figures of lesson 12: what a plane does to distances, directions and areas.

Each function takes the trainee's site and returns a live figure for the notebook to show. Grid
convergence is positive where grid north lies east of true north.
"""

from lessons.figures.grid.projections import projections
from lessons.figures.grid.quay import quay
from lessons.figures.grid.zone import zone

__all__ = ["projections", "quay", "zone"]
