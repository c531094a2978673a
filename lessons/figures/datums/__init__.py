"""
The figures of lesson 10: what a datum is worth in metres.

Each function takes the trainee's site and returns a live figure for the notebook to show;
operations come from the EPSG dataset that PROJ carries. `shifts.fingerprints_at` gives the numbers
of `fingerprints` without a figure.
"""

from lessons.figures.datums.arrows import fingerprints
from lessons.figures.datums.many import many_datums
from lessons.figures.datums.offers import candidates
from lessons.figures.datums.seven import seven_parameters

__all__ = ["candidates", "fingerprints", "many_datums", "seven_parameters"]
