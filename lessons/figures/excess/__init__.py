"""
The figures of lesson 02: the angles of a big triangle, and where the plane fails.

Each function takes the trainee's site and returns a live figure for the notebook to show. The
triangle's sides are geodesics of WGS 84; its excess E is in arcseconds.
"""

from lessons.figures.excess.limits import plane_limits
from lessons.figures.excess.triangle import globe_triangle

__all__ = ["globe_triangle", "plane_limits"]
