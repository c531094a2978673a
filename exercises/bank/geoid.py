"""Exercises of lesson 06, gravity and the geoid."""

import math
from functools import lru_cache

from exercises.bank.common import EARTH_RADIUS, cos, sin
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import (
    Numbers,
    also,
    counted,
    exchanged,
    misread,
    plus,
    reworked,
    times,
    turned,
    using,
)
from geokit.geoid import PrintedGrid
from geokit.gravity import GRS80_FIELD, eotvos, normal, normal_to_second_order

GRAVITY, REDUCED, SYSTEMS_OF_HEIGHT, MODELS = (f"S-5A F1.1{part}" for part in "abcd")
FROM_MODEL = "S-5A H5.4b"

# These stand in the prompts, in the words' file; where one changes, so must the other.
FREE_AIR = 0.3086  # mGal a metre
HALF_FREE_AIR = FREE_AIR / 2
HELMERT = 0.0424  # mGal a metre of height, from surface gravity to the mean below
ROCK, WATER = 2670.0, 1030.0  # kg/m³
PER_METRE = 0.04194  # mGal: 2πG for each 1 000 kg/m³
MGAL = 1e5  # in one m/s²
KNOT = 1852 / 3600  # m/s

LATITUDE = Printed("lat", "φ, geodetic latitude", DMS, 0, kind="latitude")


def _seconds(dice: Dice, low: int, high: int) -> float:
    """Draw a latitude of either hemisphere between two whole degrees, to the second."""
    sign = dice.choose((1, -1))
    return sign * printed(dice.whole(low * 3600, high * 3600) / 3600, 10)


@lru_cache(maxsize=64)
def _gamma(lat: float, height: float = 0.0) -> float:
    """Return normal gravity of GRS 80 in mGal, computed once for an answer and all its slips."""
    return normal_to_second_order(lat, height, GRS80_FIELD) * MGAL


GAMMA_45 = printed(_gamma(45.0), 2)  # GR-01 in tests


# geoid-normal --------------------------------------------------------------------------
# With s = sin²φ the slips stand off from γ, in mGal, by 5 172 s (the equator's), by
# 17.3 sin²2φ (geocentric), by 3 280 s (numerator alone) and by 5 172 (0.509 − s) (9.80665, met
# at 45.5°). s is 0.067 or more, sin²2φ 0.25 or more, and 40° to 50° is left out.

GAMMA_E = GRS80_FIELD.equatorial_gravity * MGAL
STANDARD = 9.80665 * MGAL
SHAPE = GRS80_FIELD.ellipsoid


def _draw_normal(dice: Dice) -> Answer:
    low, high = dice.choose(((15, 40), (50, 75)))
    return {"lat": _seconds(dice, low, high)}


def _above(g: Numbers) -> float:
    return 1 + GRS80_FIELD.somigliana_constant * sin(g.lat) ** 2


# Other conventional fields, in mGal; the one of 1930 stands in older handbooks and programs.


def _grs67(g: Numbers) -> float:
    s = sin(g.lat) ** 2
    return 978_031.846 * (1 + 0.005278895 * s + 0.000023462 * s**2)


def _international_1930(g: Numbers) -> float:
    return 978_049.0 * (1 + 0.0052884 * sin(g.lat) ** 2 - 0.0000059 * sin(2 * g.lat) ** 2)


def _work_normal(g: Numbers) -> Answer:
    s = sin(g.lat) ** 2
    return {
        "s": s,
        "above": _above(g),
        "below": math.sqrt(1 - SHAPE.eccentricity_squared * s),
        "si": _gamma(g.lat) / MGAL,
        "growth": _gamma(g.lat) - GAMMA_E,
    }


NORMAL = exercise(
    "geoid-normal",
    elements=(GRAVITY,),
    draw=_draw_normal,
    printed=(LATITUDE,),
    asked=(Asked("gamma", "γ", "gravity", "mGal", 1, 0.2),),
    solve=lambda g: _gamma(g.lat),
    slips={
        "equator": misread(lat=0.0),
        "geocentric": misread(lat=lambda g: SHAPE.geocentric_latitude(g.lat)),
        "standard": lambda g: STANDARD,
        "numerator": lambda g: GAMMA_E * _above(g),
        "metres": times(1 / MGAL),
    },
    methods={"grs67": _grs67, "international-1930": _international_1930},
    work=_work_normal,
)


# geoid-height-term ---------------------------------------------------------------------
# The second-order term x = 3γh²/a² is 1.16 mGal at 4 km and 5.9 mGal at 9 km; its two slips
# stand off by x and by 2x, below the answer. Up to 28° the shape and the spin are worth
# 7.9 mGal or more, above it. The others are hundreds of mGal off; the one that leaves γ
# nearly as it is is the only one there. At 38° the lesson's rule 0.3086 is the first order itself;
# up to 28° the two part by 0.3 mGal or more, so that each gets its own name.


def _draw_height_term(dice: Dice) -> Answer:
    lat = _seconds(dice, 0, 28)
    height = float(dice.number(4000, 9000, 0, step=10))
    return {"lat": lat, "gamma": printed(_gamma(lat), 2), "height": height}


def _ratio(g: Numbers) -> float:
    return g.height / GRS80_FIELD.semi_major


def _bracket(g: Numbers) -> float:
    f = SHAPE.flattening
    return 1 + f + GRS80_FIELD.m - 2 * f * sin(g.lat) ** 2


def _first(g: Numbers) -> float:
    """Return the first-order term in mGal, as a size."""
    return g.gamma * 2 * _ratio(g) * _bracket(g)


def _second(g: Numbers) -> float:
    return g.gamma * 3 * _ratio(g) ** 2


def _by_the_metre(g: Numbers) -> float:
    return g.gamma - FREE_AIR * g.height


def _with_square(g: Numbers) -> float:
    return _by_the_metre(g) + 0.072 * (g.height / 1000) ** 2


def _inverse_square(g: Numbers) -> float:
    return g.gamma / (1 + g.height / EARTH_RADIUS) ** 2


HEIGHT_TERM = exercise(
    "geoid-height-term",
    edition=2,
    elements=(GRAVITY,),
    draw=_draw_height_term,
    printed=(
        LATITUDE,
        Printed("gamma", "γ on the ellipsoid there", "mGal", 2),
        Printed("height", "h, ellipsoidal height", "m", 0),
    ),
    asked=(Asked("gamma", "γ at h", "gravity", "mGal", 1, 0.1),),
    solve=lambda g: g.gamma * _gamma(g.lat, g.height) / _gamma(g.lat),
    slips={
        "sign": plus(lambda g: 2 * _first(g)),
        "first-order": plus(lambda g: -_second(g)),
        "second-minus": plus(lambda g: -2 * _second(g)),
        "sphere": plus(lambda g: _first(g) - g.gamma * 2 * _ratio(g)),
        "half": plus(lambda g: _first(g) / 2),
        "kilometre": lambda g: g.gamma - FREE_AIR * g.height / 1000,
    },
    methods={
        "closed": counted(lambda g: normal(g.lat, g.height, GRS80_FIELD) * MGAL),
        "by-the-metre": _by_the_metre,
        "with-square": _with_square,
        "inverse-square": _inverse_square,
    },
    work=lambda g: {
        "ratio": _ratio(g),
        "bracket": _bracket(g),
        "first_share": _first(g) / g.gamma,
        "first": _first(g),
        "second_share": _second(g) / g.gamma,
        "second": _second(g),
    },
)


# geoid-anomaly -------------------------------------------------------------------------
# The free-air anomaly is 5 to 40 mGal of either sign, the layer 67 mGal or more (1 000 m of
# water, 600 m of rock), and the height of the meter worth 7.7 mGal or more. So the two
# anomalies keep clear of zero, and the layer's slips clear of the anomaly turned round. Up to
# 1 400 m the second order of the free-air reduction, 0.14 mGal, stays within the tolerance.

SEA, LAND = "at sea, on a platform's deck", "ashore, on rock"


def _draw_anomaly(dice: Dice) -> Answer:
    at_sea = dice.choose((True, False))
    lat = _seconds(dice, 5, 70)
    height = dice.number(25, 60, 1) if at_sea else dice.number(600, 1400, 1)
    depth = float(dice.whole(1000, 4500)) if at_sea else 0.0
    gamma, anomaly = printed(_gamma(lat), 2), dice.signed(5, 40, 2)
    return {
        "where": SEA if at_sea else LAND,
        "g": printed(gamma - FREE_AIR * height + anomaly, 2),
        "gamma": gamma,
        "height": height,
        "depth": depth,
    }


def _layer(g: Numbers, other_density: bool = False) -> float:
    """Return what the layer adds to the free-air anomaly, in mGal."""
    at_sea = g.where == SEA
    density = ROCK - WATER if at_sea != other_density else ROCK
    return PER_METRE * (g.depth if at_sea else -g.height) * density / 1000


def _anomalies(
    g: Numbers, reduction: float = 1.0, layer: float = 1.0, other_density: bool = False
) -> Answer:
    """Return both anomalies, with the free-air reduction and the layer taken so many times."""
    free_air = g.g + reduction * FREE_AIR * g.height - g.gamma
    return {"free": free_air, "bouguer": free_air + layer * _layer(g, other_density)}


ANOMALY = exercise(
    "geoid-anomaly",
    edition=2,
    elements=(GRAVITY, REDUCED),
    draw=_draw_anomaly,
    printed=(
        Printed("where", "the meter stands"),
        Printed("g", "g, read", "mGal", 2),
        Printed("gamma", "γ on the ellipsoid", "mGal", 2),
        Printed("height", "H, meter above the geoid", "m", 1),
        Printed("depth", "d, depth of water under it", "m", 0),
    ),
    asked=(
        Asked("free", "Free-air", "gravity", "mGal", 1, 0.2, positive="above normal"),
        Asked("bouguer", "Bouguer", "gravity", "mGal", 1, 0.2, positive="above normal"),
    ),
    solve=_anomalies,
    carry=lambda g, own: {"bouguer": own.free + _layer(g)},
    slips={
        "free-air-sign": using(reduction=-1.0),
        "not-reduced": using(reduction=0.0),
        "layer-sign": using("bouguer", layer=-1.0),
        "other-density": using("bouguer", other_density=True),
    },
    work=lambda g: {
        "at_sea": g.where == SEA,
        "reduction": FREE_AIR * g.height,
        "missing": ROCK - WATER,
        "layer": _layer(g),
    },
)


# geoid-eotvos --------------------------------------------------------------------------
# With u = 7.50 mGal × knots (82 or more) the routes are u times: cosφ sinα for the answer,
# cosφ cosα, sinα, sinα sinφ, twice and minus it. Courses keep 35° to 43° from east and west
# and latitudes 15° to 30°: so sinα ≥ 0.731 > cosα + 0.049, cosφ ≤ 0.966, and tanφ, 0.58 at
# most, stays below |cotα|, 0.70 at least. v²/R is 0.50 mGal or more from 11 knots on.


def _draw_eotvos(dice: Dice) -> Answer:
    off = dice.choose((1, -1)) * dice.number(35, 43, 1)
    course = printed((dice.choose((90, 270)) + off) % 360, 1)
    lat, speed = _seconds(dice, 15, 30), dice.number(11, 15, 1)
    read = printed(_gamma(lat) + dice.signed(5, 40, 1), 1)
    return {"g": read, "lat": lat, "speed": speed, "course": course}


@lru_cache(maxsize=64)
def _eotvos(lat: float, knots: float, course: float) -> float:
    return eotvos(lat, knots * KNOT, course, GRS80_FIELD, EARTH_RADIUS) * MGAL


def _corrected(g: Numbers) -> Answer:
    correction = _eotvos(g.lat, g.speed, g.course)
    return {"correction": correction, "g": g.g + correction}


def _square(g: Numbers) -> float:
    return (g.speed * KNOT) ** 2 / EARTH_RADIUS * MGAL


EOTVOS = exercise(
    "geoid-eotvos",
    elements=(REDUCED,),
    draw=_draw_eotvos,
    printed=(
        Printed("g", "g, read under way", "mGal", 1),
        LATITUDE,
        Printed("speed", "speed over the ground", "kn", 1),
        Printed("course", "α, course over the ground, true", "°", 1),
    ),
    asked=(
        Asked("correction", "Correction", "gravity", "mGal", 1, 0.1, positive="added"),
        Asked("g", "g, corrected", "gravity", "mGal", 1, 0.1),
    ),
    solve=_corrected,
    carry=lambda g, own: {"g": g.g + own.correction},
    slips={
        "left-out": lambda g: {"g": g.g},
        "subtracted": reworked(lambda a: {"g": a.g - 2 * a.correction}),
        "westward": misread(course=lambda g: -g.course),
        "sine-cosine": misread(course=lambda g: 90 - g.course),
        "no-latitude": misread(lat=0.0),
        "sine-latitude": misread(lat=lambda g: 90 - abs(g.lat)),
        "no-square": plus(lambda g: -_square(g)),
        "knots": misread(speed=lambda g: g.speed / KNOT),
    },
    work=lambda g: {
        "v": g.speed * KNOT,
        "eastward": cos(g.lat) * sin(g.course),
        "spin": _corrected(g)["correction"] - _square(g),
        "square": _square(g),
        "read": g.g,
    },
)


# geoid-interpolate ---------------------------------------------------------------------
# Measured from its nearest corner the point lies 0.16 to 0.36 of a cell inwards both ways, the
# two fractions 0.1 apart. From there N runs by 1.0 to 1.6 m across one way and 2.4 to 3.0 m
# the other, both up or both down, and is bent by 0.1 to 0.3 m. Then the nearest node is off by
# 0.4 m or more, the mean by 0.5 m, the far corner's weights by twice that, and the fractions
# exchanged by 0.08 m. |N| is 20 m or more, so that feet and the sign stay beyond all of these.

CELL = 250  # thousandths of a degree
EDGES, CORNERS = ("south", "north", "west", "east"), ("sw", "se", "nw", "ne")


def _draw_interpolate(dice: Dice) -> Answer:
    south, west = (CELL * dice.whole(low, high) for low, high in ((-220, 220), (-679, 679)))
    right = up = 0
    while abs(right - up) < 25:
        right, up = dice.whole(40, 90), dice.whole(40, 90)
    heights = _draw_heights(dice)
    flip_east, flip_north = dice.choose((False, True)), dice.choose((False, True))
    return {
        "lat": printed((south + (CELL - up if flip_north else up)) / 1000, 3),
        "lon": printed((west + (CELL - right if flip_east else right)) / 1000, 3),
        "north": printed((south + CELL) / 1000, 3),
        "south": printed(south / 1000, 3),
        "west": printed(west / 1000, 3),
        "east": printed((west + CELL) / 1000, 3),
        **{c: heights[("e" in c) != flip_east, ("n" in c) != flip_north] for c in CORNERS},
    }


def _draw_heights(dice: Dice) -> dict[tuple[bool, bool], float]:
    """Draw N at the four nodes, as seen from the corner nearest to the point."""
    small, large = dice.number(1.0, 1.6, 2), dice.number(2.4, 3.0, 2)
    rise = dice.choose((1, -1))
    across, along = (rise * s for s in dice.choose(((small, large), (large, small))))
    bend, corner = dice.signed(0.1, 0.3, 2), dice.signed(20, 60, 2)
    return {
        (x, y): printed(corner + x * across + y * along + x * y * bend, 2)
        for x in (False, True)
        for y in (False, True)
    }


@lru_cache(maxsize=32)
def _grid(*numbers: float) -> PrintedGrid:
    south, north, west, east, sw, se, nw, ne = numbers
    return PrintedGrid([south, north], [west, east], [[sw, se], [nw, ne]])


def _interpolated(g: Numbers) -> float:
    return _grid(*(g[name] for name in EDGES + CORNERS)).height(g.lat, g.lon)


def _fractions(g: Numbers) -> tuple[float, float]:
    """Return how much of the cell's width lies west of the point, and of its height south."""
    return (g.lon - g.west) / (g.east - g.west), (g.lat - g.south) / (g.north - g.south)


def _untwisted(g: Numbers, right: float, up: float) -> float:
    """Return N on the plane that has the bilinear surface's slopes at that place of the cell."""
    here_right, here_up = _fractions(g)
    twist = g.sw - g.se - g.nw + g.ne
    return _interpolated(g) - twist * (here_right - right) * (here_up - up)


def _three_nodes(g: Numbers) -> float:
    right, up = _fractions(g)
    return _untwisted(g, round(right), round(up))


def _fitted_plane(g: Numbers) -> float:
    return _untwisted(g, 0.5, 0.5)


def _work_interpolate(g: Numbers) -> Answer:
    at_west, at_east = (_interpolated(Numbers({**g, "lon": side})) for side in (g.west, g.east))
    right, up = _fractions(g)
    return {
        "right": right,
        "up": up,
        "west_rise": g.nw - g.sw,
        "at_west": at_west,
        "at_east": at_east,
        "rise": at_east - at_west,
    }


def _nearer(value: float, low: float, high: float) -> float:
    return low if value - low < high - value else high


INTERPOLATE = exercise(
    "geoid-interpolate",
    elements=(MODELS, FROM_MODEL),
    draw=_draw_interpolate,
    printed=(
        Printed("lat", "φ of the point, north +", "°", 3, signed=True),
        Printed("lon", "λ of the point, east +", "°", 3, signed=True),
        Printed("north", "φ of the northern nodes", "°", 3, signed=True),
        Printed("south", "φ of the southern nodes", "°", 3, signed=True),
        Printed("west", "λ of the western nodes", "°", 3, signed=True),
        Printed("east", "λ of the eastern nodes", "°", 3, signed=True),
        Printed("nw", "N, north-west node", "m", 2, signed=True),
        Printed("ne", "N, north-east node", "m", 2, signed=True),
        Printed("sw", "N, south-west node", "m", 2, signed=True),
        Printed("se", "N, south-east node", "m", 2, signed=True),
    ),
    asked=(Asked("N", "N", "length", "m", 2, 0.01, positive="up"),),
    solve=_interpolated,
    slips={
        "nearest": misread(
            lat=lambda g: _nearer(g.lat, g.south, g.north),
            lon=lambda g: _nearer(g.lon, g.west, g.east),
        ),
        "mean": misread(lat=lambda g: (g.south + g.north) / 2, lon=lambda g: (g.west + g.east) / 2),
        "far-corner": misread(
            lat=lambda g: g.south + g.north - g.lat, lon=lambda g: g.west + g.east - g.lon
        ),
        "exchanged": misread(
            lat=lambda g: g.south + (g.lon - g.west), lon=lambda g: g.west + (g.lat - g.south)
        ),
    },
    methods={"three-nodes": _three_nodes, "fitted-plane": _fitted_plane},
    work=_work_interpolate,
)


# geoid-model-change --------------------------------------------------------------------
# The change is 0.15 m or more and its half, zero and turned stand off by half of it or more.
# H is 3 to 8 m and |N| 25 to 60 m, so that N subtracted or added lies beyond H in feet.


def _draw_change(dice: Dice) -> Answer:
    old = dice.signed(25, 60, 3)
    height = dice.number(3, 8, 3)
    return {"H": height, "old": old, "new": printed(old + dice.signed(0.15, 0.9, 3), 3)}


def _change(g: Numbers, share: float = -1.0) -> Answer:
    step = share * (g.new - g.old)
    return {"change": step, "H": g.H + step}


MODEL_CHANGE = exercise(
    "geoid-model-change",
    elements=(MODELS, FROM_MODEL),
    draw=_draw_change,
    printed=(
        Printed("H", "H with the old model", "m", 3),
        Printed("old", "N, old model, geoid above ellipsoid +", "m", 3, signed=True),
        Printed("new", "N, new model", "m", 3, signed=True),
    ),
    asked=(
        Asked("change", "New H − old H", "length", "m", 3, 0.002, positive="up"),
        Asked("H", "New H", "length", "m", 3, 0.002),
    ),
    solve=_change,
    carry=lambda g, own: {"H": g.H + own.change},
    slips={
        "turned": also("sign", using(share=1.0)),
        "none": using(share=0.0),
        "half": using(share=-0.5),
        "twice": lambda g: {"H": g.H - g.new},
        "ellipsoidal": lambda g: {"H": g.H + g.old},
    },
    work=lambda g: {"old_H": g.H, "h": g.H + g.old},
)


# geoid-systems -------------------------------------------------------------------------
# At 1 500 m the mean below the surface is worth 0.10 m in H and 0.35 m in Hₙ. Below 38° of
# latitude gravity up there is 870 mGal or more under γ45, and gravity's mean inside the rock
# (Bouguer anomaly −108 mGal or less) is so far under that of free air that H and Hₙ part by
# 0.16 m or more.


def _draw_systems(dice: Dice) -> Answer:
    lat = _seconds(dice, 10, 38)
    height = dice.number(1500, 3000, 2)
    gamma = printed(_gamma(lat), 2)
    g = printed(gamma - FREE_AIR * height + dice.number(-20, 60, 2), 2)
    potential = printed((g + HELMERT * height) / MGAL * height, 2)
    return {"C": potential, "g": g, "gamma": gamma}


def _from_mean(potential: float, surface: float, slope: float) -> float:
    """Return the height H for which C = (surface + slope·H)·H, gravity and slope in mGal."""
    half, c = surface / 2, potential * MGAL
    return c / (half + math.sqrt(half**2 + slope * c))


def _systems(g: Numbers, inside: float = HELMERT, outside: float = -HALF_FREE_AIR) -> Answer:
    """Return the three heights; inside and outside say how fast gravity goes to its mean."""
    return {
        "dynamic": g.C * MGAL / GAMMA_45,
        "orthometric": _from_mean(g.C, g.g, inside),
        "normal": _from_mean(g.C, g.gamma, outside),
    }


def _work_systems(g: Numbers) -> Answer:
    right = Numbers(_systems(g))
    return {
        "inside": g.g + HELMERT * right.orthometric,
        "outside": g.gamma - HALF_FREE_AIR * right.normal,
        "over_normal": right.orthometric - right.normal,
        "over_orthometric": right.dynamic - right.orthometric,
    }


SYSTEMS = exercise(
    "geoid-systems",
    elements=(SYSTEMS_OF_HEIGHT,),
    draw=_draw_systems,
    printed=(
        Printed("C", "C, geopotential number", "m²/s²", 2),
        Printed("g", "g at the station", "mGal", 2),
        Printed("gamma", "γ₀ on the ellipsoid", "mGal", 2),
    ),
    asked=(
        Asked("dynamic", "Dynamic", "length", "m", 2, 0.01),
        Asked("orthometric", "Orthometric", "length", "m", 2, 0.01),
        Asked("normal", "Normal", "length", "m", 2, 0.01),
    ),
    solve=_systems,
    slips={
        "surface": using("orthometric", inside=0.0),
        "mean-below": using("orthometric", inside=-HELMERT),
        "free-air-mean": using("orthometric", inside=HALF_FREE_AIR),
        "on-ellipsoid": using("normal", outside=0.0),
        "one-gravity": reworked(lambda a: {"orthometric": a.dynamic, "normal": a.dynamic}),
        "local-dynamic": lambda g: {"dynamic": g.C * MGAL / g.g},
        "exchanged": also("swapped", exchanged("orthometric", "normal")),
        "gpu": times(10),
    },
    work=_work_systems,
)


# geoid-loop ----------------------------------------------------------------------------
# Between 30° and 60° gravity changes by 78 to 90 mGal a degree, so W is 200 mm or more over
# 2 500 m and a degree. Evenly spread it would be 64 % to 74 % of that, clear of the half. The
# height on one side only adds n² × 0.1543/γ, 0.98 m or more and at least 2.8 W: never near
# zero, W, or W turned.


def _draw_loop(dice: Dice) -> Answer:
    first = dice.whole(31 * 60, 59 * 60)
    second = first + dice.choose((1, -1)) * dice.whole(60, 90)
    sign = dice.choose((1, -1))
    return {
        "lat1": sign * printed(first / 60, 10),
        "lat2": sign * printed(second / 60, 10),
        "rise": float(dice.number(2500, 3500, 0, step=10)),
    }


def _slopes(g: Numbers, second_at: float = 0.5) -> tuple[float, float]:
    """Return gravity on both slopes; on the second at that part of its height."""
    return _gamma(g.lat1, g.rise / 2), _gamma(g.lat2, g.rise * second_at)


def _loop(g: Numbers, second_at: float = 0.5, levelled: float = 1.0) -> Answer:
    """Return the fall on slope 2 and the loop's sum, for so much of the rise levelled."""
    first, second = _slopes(g, second_at)
    rise = g.rise * levelled
    fall = rise * first / second
    return {"fall": fall, "misclosure": 1000 * (rise - fall)}


def _evenly(g: Numbers) -> Answer:
    poleward = abs(g.lat2) - abs(g.lat1)
    left = g.rise * (_gamma(90.0) - _gamma(0.0)) / 90 * poleward / _gamma(45.0)
    return {"fall": g.rise - left, "misclosure": 1000 * left}


def _work_loop(g: Numbers) -> Answer:
    first, second = _slopes(g)
    return {"first": first, "second": second}


LOOP = exercise(
    "geoid-loop",
    edition=2,
    elements=(SYSTEMS_OF_HEIGHT,),
    draw=_draw_loop,
    printed=(
        Printed("lat1", "φ₁, where it climbs", DMS, 0, kind="latitude"),
        Printed("lat2", "φ₂, where it comes down", DMS, 0, kind="latitude"),
        Printed("rise", "n, climbed as levelled", "m", 0),
    ),
    asked=(
        Asked("fall", "Fall on slope 2", "length", "m", 3, 0.002),
        Asked("misclosure", "Sum round the loop", "length", "mm", 0, 2.0, positive="up"),
    ),
    solve=_loop,
    slips={
        "zero": lambda g: {"fall": g.rise, "misclosure": 0.0},
        "turned": also("sign", turned("misclosure")),
        "half": using(levelled=0.5),
        "one-side": using(second_at=0.0),
        "evenly": _evenly,
    },
    work=_work_loop,
)


# Choices -------------------------------------------------------------------------------

WHICH = choice("geoid-which", elements=(GRAVITY, MODELS))
FIRST_CALM = choice("geoid-first-calm", elements=(GRAVITY,), marks=0)
