"""
What each lesson is checked against: published values, computed with geokit on this machine.

The last but one cell of a lesson says ``checked.against("deflection")``. What it prints is kept in
the notebook, and `python -m pytest lessons` compares it.
"""

from lessons.checked.table import against

__all__ = ["against"]
