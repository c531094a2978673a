"""
The figures of lesson 03: the latitudes and radii of one point, and two ellipsoids compared.

Each function takes the trainee's site and returns a live figure for the notebook to show. What is
drawn is exaggerated and says so; every number is that of the true ellipsoid.
"""

from lessons.figures.ellipsoid.latitudes import latitudes
from lessons.figures.ellipsoid.pair import two_ellipsoids

__all__ = ["latitudes", "two_ellipsoids"]
