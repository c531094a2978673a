"""
The figures of lesson 09: the masses that lean the plumb line.

Shapes of the seabed are made of prisms (geokit/terrain.py) and stand for no real place; beside
them stands what EGM96 has at the site. ξ and η in arcseconds, north and east positive.
"""

from lessons.figures.attraction.circles import rings_of_gravity
from lessons.figures.attraction.raised import dig_and_raise
from lessons.figures.attraction.wires import down_the_wire

__all__ = ["dig_and_raise", "down_the_wire", "rings_of_gravity"]
