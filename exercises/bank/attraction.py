"""Exercises of lesson 09, why the plumb line leans."""

from exercises.question.notation import choice

ELEMENTS = ("S-5A F1.1c", "S-5A F1.1a")


# Say first -----------------------------------------------------------------------------

FIRST_MASS = choice("attraction-first-mass", elements=ELEMENTS, marks=0)
