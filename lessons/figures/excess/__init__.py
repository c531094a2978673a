"""
The figures of lesson 02: a big triangle's angles, why they are over, where the plane fails.

Each function takes the trainee's site and returns a live figure for the notebook to show. The
triangle's sides are geodesics of WGS 84; its excess E is in arcseconds.
"""

from lessons.figures.excess.arrow import carried_arrow
from lessons.figures.excess.limits import plane_limits
from lessons.figures.excess.lunes import lune_pairs
from lessons.figures.excess.triangle import globe_triangle

__all__ = ["carried_arrow", "globe_triangle", "lune_pairs", "plane_limits"]
