"""
Numbers as they stand in pictures and readouts; numbers of any kind are rounded only here.

Builds on exercises/wording.py, so that a figure and an exercise write one number one way.
"""

from exercises.question.wording import MINUS, THIN, directed, number, size, way

__all__ = [
    "MINUS", "THIN", "above", "arcseconds", "azimuth", "bold", "compass", "directed",
    "kilometres", "least_size", "metres", "number", "place", "position", "signed_size", "size",
    "spread", "two_figures", "way",
]  # fmt: skip

_COMPASS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip
_LEAST = 0.00005  # metres: half of what the last digit of a size can show


def arcseconds(value, *, signed=True, decimals=1):
    """
    Return a small angle, to a tenth of an arcsecond unless said.

    >>> arcseconds(60.74), arcseconds(-0.04)
    ('+60.7″', '0.0″')
    """
    return number(value, decimals, signed=signed) + "″"


def signed_size(metres):
    r"""
    Return a length with its sign.

    >>> signed_size(-0.294)
    '−0.29\xa0m'
    """
    sign = "" if abs(metres) < _LEAST else MINUS if metres < 0 else "+"
    return sign + size(abs(metres))


def least_size(metres):
    r"""
    Return a length without its sign, in words where it would be written as zero.

    >>> least_size(-0.058), least_size(2e-5)
    ('58\xa0mm', 'under 0.1\xa0mm')
    """
    return size(abs(metres)) if abs(metres) >= _LEAST else "under 0.1\xa0mm"


def metres(value, decimals, *, signed=True):
    r"""
    Return a length in metres, where numbers that stand in one sum must keep one unit.

    >>> metres(0.2, 3)
    '+0.200\xa0m'
    """
    return number(value, decimals, signed=signed) + "\xa0m"


def kilometres(distance):
    """
    Return a distance given in kilometres, with a decimal only where it has one.

    >>> kilometres(400.0), kilometres(0.1)
    ('400 km', '0.1 km')
    """
    return f"{number(distance, 0 if distance == round(distance) else 1)} km"


def two_figures(value):
    """Return a value rounded to two figures, as exaggerations are printed."""
    return float(f"{value:.1e}")


def above(metres, surface):
    r"""
    Return a height in words.

    >>> above(-61.1, "the ellipsoid")
    '61.1\xa0m below the ellipsoid'
    """
    if abs(metres) < _LEAST:
        return f"level with {surface}"
    return f"{size(abs(metres))} {'above' if metres > 0 else 'below'} {surface}"


def spread(low, high):
    r"""
    Return a range of lengths, with one unit where both have the same.

    >>> spread(3.09, 18.5)
    '3.09 to 18.5\xa0m'
    >>> spread(9_412_000, 15_781_000)
    '9\u202f412 to 15\u202f781\xa0km'
    """
    low, high = size(low), size(high)
    (amount, unit), (_, other) = low.split("\xa0"), high.split("\xa0")
    if unit == other:
        low = amount
    return f"{low} to {high}"


def azimuth(degrees, decimals=0):
    """
    Return an azimuth of 0 … 360 degrees.

    >>> azimuth(359.7), azimuth(-2, 1)
    ('0°', '358.0°')
    """
    return number(round(degrees % 360, decimals) % 360, decimals) + "°"


def compass(degrees):
    """
    Return the nearest of eight compass words.

    >>> compass(358), compass(140)
    ('north', 'south-east')
    """
    return _COMPASS[round(degrees % 360 / 45) % 8]


def position(latitude, longitude, decimals=3):
    """
    Return a position with compass letters.

    >>> position(19, -66.125)
    '19.000° N 66.125° W'
    """
    return (
        f"{number(abs(latitude), decimals)}° {'S' if latitude < 0 else 'N'} "
        f"{number(abs(longitude), decimals)}° {'W' if longitude < 0 else 'E'}"
    )


def place(site):
    """Return a site's name for a readout; a star in it, which a trainee may have typed, is none."""
    return site.name.replace("*", "∗")


def bold(text):
    """Return a number or word with the marks that stress it in a readout."""
    return f"**{text}**" if text else ""
