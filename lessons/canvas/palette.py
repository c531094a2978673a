"""
The colours of all figures and what each means; the fixed palette of their PNG files.

What gravity makes is blue and solid, what geometry makes is orange and dashed, from the first
lesson to the last. Nothing else may be added lightly: a picture is sent with 8 bits a pixel, and
a colour that stands neither here nor in `_blends` comes out as its nearest neighbour.
"""

from functools import cache

import numpy as np

INK = "#17242F"  # text, outlines, angles, lines to the centre
QUIET = "#55626E"  # second text, axes; never the number that matters
HAIR = "#C8D0D6"  # rules
PALE = "#EEF2F4"  # grids
SEA = "#DCE9F1"
DEEP = "#9FC0D6"
LAND = "#E8DFCA"  # land and seabed
COAST = "#94876D"  # their edge
LAND_WORDS = "#6B5F48"
GEOID = "#0B64AD"  # geoid and mean sea level
PLUMB = "#083A66"  # the plumb line and levels above the geoid
ELLIPSOID = "#C25500"  # lines only; words on white at most
NORMAL = "#8C3B00"  # the normal and all words and numbers about the ellipsoid
SITE = "#FFC72E"  # "you are here"; never text
NOISE = "#E3E8EB"  # what an instrument cannot see
HATCH = "#9AA6B0"
WHITE = "#FFFFFF"
TINT = "#FBF2EA"  # the inside of the ellipsoid

NOTHING = 255  # the place in the palette of what shows the picture below

ORANGE_DASH = (7, 3)  # what geometry makes
CHOSEN_DASH = (9, 2, 2, 2)  # what people chose
PRIME_VERTICAL_DASH = (10, 2, 2, 2)
DOTS = (1.2, 2.4)  # helper lines

# Total deflection on a map: equal arcseconds are equally dark at sea and on land.
DEFLECTION_STOPS = (0, 3, 8, 18, 36, 70)  # arcseconds
DEFLECTION_AT_SEA = ("#F6FAFC", "#D6E6EF", "#9DC1D8", "#5689B5", "#25558A", "#0C2447")
DEFLECTION_ON_LAND = ("#FBF8F0", "#EFE6D2", "#D6C6A3", "#AF9868", "#7A633D", "#3F301C")
_SHADES = 60  # of each of the two ramps

# Geoid height on a map, a colour for each 10 m from the lowest up: brown below the ellipsoid, blue
# above it, and the higher the lighter, so that they differ in grey as well.
GEOID_STEP, GEOID_LOWEST = 10, -110  # metres
GEOID_BELOW = ("#3A1600", "#8F4D14", "#DE9A55")  # first, middle and last of eleven
GEOID_ABOVE = ("#8FC0E2", "#CCE3F1", "#F9FCFE")  # of nine


def rgb(colour):
    """Return the three numbers 0 … 255 of a colour such as "#17242F"."""
    return np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)], float)


def shade(arcseconds, land):
    """
    Return the map colour of total deflections.

    Parameters
    ----------
    arcseconds : array
        Total deflection; below 0 and beyond the last stop the end colours are used.
    land : array of bool
        Where the colours of land are wanted.

    Returns
    -------
    array of uint8
        With a last axis of red, green, blue.
    """
    # The steps of the palette are even in the square root, which the eye sees as even.
    top = DEFLECTION_STOPS[-1]
    steps = np.linspace(0, 1, _SHADES) ** 2 * top
    sea, ashore = (_ramp(colours, steps) for colours in (DEFLECTION_AT_SEA, DEFLECTION_ON_LAND))
    level = np.sqrt(np.clip(arcseconds, 0, top) / top) * (_SHADES - 1)
    level = np.rint(level).astype(int)
    return np.where(np.asarray(land)[..., None], ashore[level], sea[level]).astype(np.uint8)


def band(metres):
    """
    Return the map colour of geoid heights.

    Parameters
    ----------
    metres : array
        Geoid heights N; below the first band and above the last the end colours are used.

    Returns
    -------
    array of uint8
        With a last axis of red, green, blue.
    """
    bands = _bands()
    place = np.floor((np.asarray(metres) - GEOID_LOWEST) / GEOID_STEP).astype(int)
    return bands[place.clip(0, len(bands) - 1)].astype(np.uint8)


@cache
def _bands():
    halves = ((GEOID_BELOW, 11), (GEOID_ABOVE, 9))
    return np.vstack([_even(colours, count) for colours, count in halves])


def _even(colours, count):
    """Return colours that run evenly through those given."""
    places, given = np.linspace(0, 1, count), np.linspace(0, 1, len(colours))
    channels = np.array([rgb(colour) for colour in colours]).T
    return np.rint(np.column_stack([np.interp(places, given, channel) for channel in channels]))


def _ramp(colours, arcseconds):
    ends = np.array([rgb(colour) for colour in colours])
    return np.rint(
        np.column_stack([np.interp(arcseconds, DEFLECTION_STOPS, channel) for channel in ends.T])
    )


def _blends():
    """All colours a picture may hold: the roles, their soft edges on each background, the maps'."""
    roles = (INK, QUIET, GEOID, PLUMB, ELLIPSOID, NORMAL)
    backgrounds = {WHITE: 7, SEA: 4, LAND: 4}  # how many steps a soft edge takes
    for background, steps in backgrounds.items():
        for role in roles:
            for part in np.arange(1, steps) / steps:
                yield (1 - part) * rgb(background) + part * rgb(role)
    for inner, outer in (
        (SITE, INK), (SITE, WHITE), (COAST, WHITE), (COAST, SEA), (COAST, LAND), (HAIR, WHITE),
        (LAND_WORDS, LAND), (HATCH, NOISE), (TINT, ELLIPSOID), (DEEP, SEA), (DEEP, WHITE),
    ):  # fmt: skip
        yield from (rgb(inner) * (1 - part) + rgb(outer) * part for part in (0.33, 0.67))
    for colour in (
        WHITE, INK, QUIET, HAIR, PALE, SEA, DEEP, LAND, COAST, LAND_WORDS, GEOID, PLUMB,
        ELLIPSOID, NORMAL, SITE, NOISE, HATCH, TINT,
    ):  # fmt: skip
        yield rgb(colour)
    steps = np.linspace(0, 1, _SHADES) ** 2 * DEFLECTION_STOPS[-1]
    yield from _ramp(DEFLECTION_AT_SEA, steps)
    yield from _ramp(DEFLECTION_ON_LAND, steps)
    yield from _bands()


@cache
def png_palette():
    """Return the colours of every PNG file: an array of uint8, at most 255 rows."""
    colours = np.unique(np.rint(np.array(list(_blends()))).astype(np.uint8), axis=0)
    assert len(colours) <= NOTHING
    return colours


@cache
def nearest():
    """
    Return a table from a colour of 15 bits to its place in `png_palette`.

    The index is 1024·(red // 8) + 32·(green // 8) + blue // 8.
    """
    palette = png_palette().astype(float)
    weights = np.array([0.55, 0.8, 0.45])  # how strongly the eye takes a step of each channel
    centres = np.stack(np.meshgrid(*[np.arange(32) * 8 + 3.5] * 3, indexing="ij"), -1)
    centres, candidates = centres.reshape(-1, 3) * weights, palette * weights
    # the squared distance without its constant term
    distance = (candidates**2).sum(1) - 2 * centres @ candidates.T
    table = distance.argmin(1).astype(np.uint8)
    for place, colour in enumerate(png_palette()):  # a colour of its own wins its cell
        cell = int(colour[0] // 8) * 1024 + int(colour[1] // 8) * 32 + int(colour[2] // 8)
        if _is_role(colour):
            table[cell] = place
    return table


@cache
def _roles():
    return {tuple(rgb(value)) for name, value in globals().items()
            if name.isupper() and isinstance(value, str)}  # fmt: skip


def _is_role(colour):
    return tuple(colour.astype(float)) in _roles()
