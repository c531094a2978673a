"""
The figures of lesson 08: the two verticals, the angle between them and what it does.

Each function takes the trainee's site and returns a live figure for the notebook to show. ξ and η
are model values (EGM96) on the geoid, in arcseconds, north and east positive; the zenith of
gravity stands that far from the ellipsoid's, and a weight on a wire goes the opposite way.
"""

from lessons.figures.deflection.heights import three_heights
from lessons.figures.deflection.islands import island
from lessons.figures.deflection.ladder import consequences
from lessons.figures.deflection.profile import trench_profile
from lessons.figures.deflection.verticals import two_verticals

__all__ = ["consequences", "island", "three_heights", "trench_profile", "two_verticals"]
