"""
The figure of lesson 13: the whole chain from the client's number to the waypoint.

It follows the fields of the parameter sheet, not the site: a chain needs an old datum. Published
parameters, EGM96 and the plates are real; the fields and their wells are invented.
"""

from lessons.figures.sailing.links import chain

__all__ = ["chain"]
