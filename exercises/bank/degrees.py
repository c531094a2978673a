"""Angles in degrees, as the exercises draw, print and compute with them."""

import math

from exercises.drawing import Dice, printed


def sin(degrees: float) -> float:
    """Return the sine."""
    return math.sin(math.radians(degrees))


def cos(degrees: float) -> float:
    """Return the cosine."""
    return math.cos(math.radians(degrees))


def to_print(degrees: float, decimals: int) -> float:
    """Return an angle as it is printed, with that many decimals of its seconds."""
    return printed(printed(degrees * 3600, decimals) / 3600, 12)


def draw_angle(dice: Dice, low: float, high: float, decimals: int) -> float:
    """Draw an angle of that size, with either sign, to that many decimals of its seconds."""
    return to_print(dice.signed(low * 3600, high * 3600, decimals) / 3600, decimals)
