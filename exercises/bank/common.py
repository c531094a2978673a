"""What the exercises of several lessons share: their sphere, their angles."""

import math

from exercises.question.dice import Dice, printed

EARTH_RADIUS = 6_371_000.0
"""Metres: the sphere that the prompts name, and that a slip takes for the ellipsoid."""


def sin(degrees: float) -> float:
    """Return the sine of an angle in degrees."""
    return math.sin(math.radians(degrees))


def cos(degrees: float) -> float:
    """Return the cosine of an angle in degrees."""
    return math.cos(math.radians(degrees))


def to_print(degrees: float, decimals: int) -> float:
    """Return an angle as it is printed, with that many decimals of its seconds."""
    return printed(printed(degrees * 3600, decimals) / 3600, 12)


def draw_angle(dice: Dice, low: float, high: float, decimals: int) -> float:
    """Draw an angle of that size, with either sign, to that many decimals of its seconds."""
    return to_print(dice.signed(low * 3600, high * 3600, decimals) / 3600, decimals)
