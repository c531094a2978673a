"""
The figures of lesson 06: the geoid of the world, normal gravity, and a loop that cannot close.

Each function takes the trainee's site and returns a live figure for the notebook to show. N is a
model value (EGM96, tide-free) above WGS 84; gravity is the normal gravity of GRS 80.
"""

from lessons.figures.geoid.gravity import normal_gravity
from lessons.figures.geoid.loop import levelled_loop
from lessons.figures.geoid.world import world_geoid

__all__ = ["levelled_loop", "normal_gravity", "world_geoid"]
