"""Exercises of lesson 08, the two verticals."""

import math
from collections.abc import Mapping
from math import copysign, hypot
from typing import Any

from exercises.bank.common import EARTH_RADIUS, cos, sin
from exercises.question.dice import Dice, apart, printed
from exercises.question.model import DMS, Answer, Asked, Given, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import (
    Numbers,
    Solve,
    also,
    counted,
    exchanged,
    misread,
    reworked,
    then,
    times,
    turned,
    using,
    variation,
)
from geokit import WGS84
from geokit.angles import RHO
from geokit.deflection import (
    along,
    from_astronomic,
    geodetic_azimuth,
    geodetic_zenith_angle,
    geoid_step,
    seabed_offset,
    total,
)

ELEMENTS = ("S-5A F1.1c", "S-5A F1.2d")
HEIGHTS = (*ELEMENTS, "S-5A F1.1d")

XI = Printed("xi", "ξ, deflection in the meridian, north +", "″", 1, signed=True)
ETA = Printed("eta", "η, deflection in the prime vertical, east +", "″", 1, signed=True)
LATITUDE = Printed("lat", "φ, geodetic latitude, north +", "°", 0, signed=True)


def _components(decimals: int, tolerance: float) -> tuple[Asked, Asked]:
    return (
        Asked("xi", "ξ", "angle", "″", decimals, tolerance, positive="north"),
        Asked("eta", "η", "angle", "″", decimals, tolerance, positive="east"),
    )


def _offset(decimals: int, tolerance: float) -> tuple[Asked, Asked]:
    return (
        Asked("east", "East", "length", "m", decimals, tolerance, positive="east"),
        Asked("north", "North", "length", "m", decimals, tolerance, positive="north"),
    )


def _pair(dice: Dice, low: float, high: float, gap: float, *, south: bool = False) -> Answer:
    """Draw ξ and η whose sizes differ enough that one taken for the other shows."""
    while True:
        xi = -dice.number(low, high, 1) if south else dice.signed(low, high, 1)
        eta = dice.signed(low, high, 1)
        if abs(abs(xi) - abs(eta)) > gap:
            return {"xi": xi, "eta": eta}


def _first_part(solve: Solve, slips: Mapping[str, Any], given: Given) -> list[float]:
    """Return the first part of the answer, right and as each slip has it."""
    ways = [variation(way) for way in (solve, *slips.values())]
    return [next(iter(way.bound(solve, ["part"])(given).values())) for way in ways]


# Say first -----------------------------------------------------------------------------

FIRST_WEIGHT = choice("deflection-first-weight", elements=ELEMENTS, marks=0)
FIRST_MATTERS = choice("deflection-first-matters", elements=ELEMENTS, marks=0)


# deflection-components -----------------------------------------------------------------
# ξ and η·secφ in hundredths; the astronomic position follows from the geodetic one. Near 45° of
# latitude sine and cosine are too alike to part.


def _draw_components(dice: Dice) -> Answer:
    while True:
        lat = dice.signed(30, 70, 0) + dice.whole(0, 359_999) / 360_000
        lon = dice.signed(5, 170, 0) + dice.whole(0, 359_999) / 360_000
        xi, longitudes = dice.signed(8, 45, 2), dice.signed(12, 60, 2)
        if abs(abs(xi) - abs(longitudes * cos(lat))) > 3 and not 41 < abs(lat) < 49:
            break
    numbers = {"astro_lat": lat + xi / 3600, "astro_lon": lon + longitudes / 3600}
    return {n: printed(v, 10) for n, v in {**numbers, "lat": lat, "lon": lon}.items()}


COMPONENTS = exercise(
    "deflection-components",
    elements=ELEMENTS,
    draw=_draw_components,
    printed=(
        Printed("astro_lat", "Φ, astronomic latitude", DMS, 2, kind="latitude"),
        Printed("astro_lon", "Λ, astronomic longitude", DMS, 2, kind="longitude"),
        Printed("lat", "φ, geodetic latitude", DMS, 2, kind="latitude"),
        Printed("lon", "λ, geodetic longitude", DMS, 2, kind="longitude"),
    ),
    asked=_components(decimals=2, tolerance=0.05),
    pairs=(("xi", "eta"),),
    solve=lambda g: from_astronomic(g.astro_lat, g.astro_lon, g.lat, g.lon),
    slips={
        "no-cosine": misread("eta", lat=0.0),
        "cosine-divided": times(lambda g: 1 / cos(g.lat) ** 2, "eta"),
        "sine": misread("eta", lat=lambda g: 90 - abs(g.lat)),
        "turned": also("sign", turned()),
        "swapped": also("swapped", exchanged()),
    },
    work=lambda g: {"longitudes": (g.astro_lon - g.lon) * 3600, "cosine": cos(g.lat)},
)


# deflection-total ----------------------------------------------------------------------
# ξ < 0 always: it is there that an arctangent without its quadrant goes wrong.

TOTAL = exercise(
    "deflection-total",
    elements=ELEMENTS,
    draw=lambda dice: _pair(dice, 8, 55, gap=4, south=True),
    printed=(XI, ETA),
    asked=(
        Asked("size", "Size", "angle", "″", 1, 0.1),
        Asked("azimuth", "Azimuth", "azimuth", "°", 1, 0.2),
    ),
    solve=lambda g: total(g.xi, g.eta),
    slips={
        "sum": lambda g: {"size": abs(g.xi) + abs(g.eta)},
        "difference": lambda g: {"size": abs(abs(g.xi) - abs(g.eta))},
        "quadrant": then(lambda azimuth: (azimuth + 180) % 360, "azimuth"),
        "from-east": misread("azimuth", xi=lambda g: g.eta, eta=lambda g: g.xi),
        "anticlockwise": then(lambda azimuth: -azimuth % 360, "azimuth"),
    },
    work=lambda g: {"plain": math.degrees(math.atan(g.eta / g.xi))},
)


# deflection-along-line -----------------------------------------------------------------


def _draw_along(dice: Dice) -> Answer:
    while True:
        given = {"xi": dice.signed(8, 50, 1), "eta": dice.signed(8, 50, 1)}
        given["azimuth"] = float(dice.whole(0, 359))
        ways = _first_part(_along, ALONG_SLIPS, given)
        from_axes = abs(math.remainder(given["azimuth"], 45))
        if from_axes > 7 and min(map(abs, ways)) > 1.5 and apart([*ways, -ways[0]], 0.5):
            return given


def _along(g: Numbers) -> float:
    return along(g.xi, g.eta, g.azimuth)


ALONG_SLIPS = {
    "sine-cosine": misread(azimuth=lambda g: 90 - g.azimuth),
    "total": lambda g: total(g.xi, g.eta)[0],
    "difference": misread(azimuth=lambda g: -g.azimuth),
    "across": misread(azimuth=lambda g: g.azimuth + 90),
}

ALONG = exercise(
    "deflection-along-line",
    elements=ELEMENTS,
    draw=_draw_along,
    printed=(XI, ETA, Printed("azimuth", "α, azimuth of the line, true", "°", 0)),
    asked=(Asked("epsilon", "ε", "angle", "″", 1, 0.1, positive="forward"),),
    solve=_along,
    slips=ALONG_SLIPS,
    work=lambda g: {"cosine": cos(g.azimuth), "sine": sin(g.azimuth)},
)


# deflection-plumb-offset ---------------------------------------------------------------

PLUMB = exercise(
    "deflection-plumb-offset",
    elements=HEIGHTS,
    draw=lambda dice: _pair(dice, 20, 52, gap=9) | {"depth": dice.number(1500, 5500, 0, step=10)},
    printed=(XI, ETA, Printed("depth", "depth below the winch", "m", 0)),
    asked=_offset(decimals=2, tolerance=0.02),
    pairs=(("east", "north"),),
    solve=lambda g: seabed_offset(g.xi, g.eta, g.depth),
    slips={
        "opposite": also("sign", turned()),
        "swapped": also("swapped", exchanged()),
        "total": reworked(lambda a: [copysign(hypot(*a.values()), v) for v in a.values()]),
        "at-centre": misread(depth=30.9 * RHO),
        "no-radians": times(1e-5 * RHO),
    },
    work=lambda g: {"xi_radians": g.xi / RHO, "eta_radians": g.eta / RHO},
)


# deflection-star-fix -------------------------------------------------------------------

SECOND = EARTH_RADIUS / RHO  # metres in a second of arc


def _draw_star(dice: Dice) -> Answer:
    while True:
        xi, eta = dice.signed(15, 60, 1), dice.signed(15, 60, 1)
        lat = dice.signed(38, 68, 0)
        if abs(abs(xi) - abs(eta)) > 6 and abs(abs(xi) - 2 * abs(eta)) > 3:
            return {"xi": xi, "eta": eta, "lat": lat}


def _star_fix(g: Numbers, second: float = SECOND) -> list[float]:
    return [g.eta * second, g.xi * second]


def _star_fix_on_wgs84(g: Numbers) -> list[float]:
    across, along_meridian = WGS84.prime_vertical_radius(g.lat), WGS84.meridian_radius(g.lat)
    return [g.eta * across / RHO, g.xi * along_meridian / RHO]


STAR_FIX = exercise(
    "deflection-star-fix",
    elements=ELEMENTS,
    draw=_draw_star,
    printed=(XI, ETA, LATITUDE),
    asked=_offset(decimals=0, tolerance=2.0),
    pairs=(("east", "north"),),
    solve=_star_fix,
    slips={
        "opposite": also("sign", turned()),
        "cosine-twice": times(lambda g: cos(g.lat), "east"),
        "cosine-divided": times(lambda g: 1 / cos(g.lat), "east"),
        "thirty": using(second=30.0),
        "swapped": also("swapped", exchanged()),
    },
    methods={"ellipsoid": counted(_star_fix_on_wgs84)},
    work=lambda g: {"second": SECOND, "altogether": hypot(*_star_fix(g))},
)


# deflection-from-geoid -----------------------------------------------------------------
# Near 45° of latitude sine and cosine are too alike to part. A real geoid bends: each pair of
# neighbours has a mean of its own.

CELL = math.radians(0.25) * EARTH_RADIUS  # metres between two nodes of one meridian


def _draw_grid(dice: Dice) -> Answer:
    while True:
        lat = dice.signed(36, 60, 0)
        xi, eta = dice.signed(8, 45, 1), dice.signed(8, 45, 1)
        if abs(abs(xi) - abs(eta)) > 3 and not 41 < abs(lat) < 49:
            break
    middle = dice.signed(5, 60, 2)
    bend_north, bend_east = dice.signed(0.2, 2.5, 2), dice.signed(0.2, 2.5, 2)
    north, east = -xi / RHO * CELL, -eta / RHO * CELL * cos(lat)
    return {
        "lat": lat,
        "north": printed(middle + bend_north + north, 2),
        "south": printed(middle + bend_north - north, 2),
        "east": printed(middle + bend_east + east, 2),
        "west": printed(middle + bend_east - east, 2),
    }


def _slopes(g: Numbers, cells: int = 2, shrink: Solve = cos) -> list[float]:
    """Return ξ and η in arcseconds from the four nodes."""
    north, east = (g.north - g.south) / (cells * CELL), (g.east - g.west) / (cells * CELL)
    return [-north * RHO, -east / shrink(g.lat) * RHO]


def _slopes_on_wgs84(g: Numbers) -> list[float]:
    xi, eta = _slopes(g)
    across, along_meridian = WGS84.prime_vertical_radius(g.lat), WGS84.meridian_radius(g.lat)
    return [xi * EARTH_RADIUS / along_meridian, eta * EARTH_RADIUS / across]


def _node(side: str) -> Printed:
    return Printed(side, f"N at the node 0.25° {side}", "m", 2, signed=True)


FROM_GEOID = exercise(
    "deflection-from-geoid",
    elements=HEIGHTS,
    draw=_draw_grid,
    printed=(
        Printed("lat", "φ of the middle node, north +", "°", 0, signed=True),
        *map(_node, ("north", "south", "east", "west")),
    ),
    asked=_components(decimals=1, tolerance=0.1),
    pairs=(("xi", "eta"),),
    solve=_slopes,
    slips={
        "sign": also("sign", turned()),
        "no-cosine": using("eta", shrink=lambda lat: 1.0),
        "one-cell": using(cells=1),
        "swapped": also("swapped", exchanged()),
        "sine": using("eta", shrink=lambda lat: sin(abs(lat))),
    },
    methods={"ellipsoid": counted(_slopes_on_wgs84)},
    work=lambda g: {
        "high": 2 * CELL,
        "wide": 2 * CELL * cos(g.lat),
        "rise_north": g.north - g.south,
        "rise_east": g.east - g.west,
    },
)


# deflection-geoid-step -----------------------------------------------------------------


def _draw_step(dice: Dice) -> Answer:
    while True:
        sign = dice.choose((1, -1))
        ends = {f"epsilon{end}": sign * dice.number(12, 60, 1) for end in (1, 2)}
        given = {**ends, "distance": dice.number(4000, 12_000, 0, step=10)}
        right, *wrong = _first_part(_step, STEP_SLIPS, given)
        in_feet = [right * 0.3048, right / 0.3048]
        if apart([right, *wrong, *in_feet], 0.06):
            return given


def _step(g: Numbers) -> float:
    return geoid_step(g.epsilon1, g.epsilon2, g.distance)


STEP_SLIPS = {
    "sign": also("sign", turned()),
    "first-end": misread(epsilon2=lambda g: g.epsilon1),
    "second-end": misread(epsilon1=lambda g: g.epsilon2),
    "sum": times(2),
    "difference": misread(epsilon2=lambda g: -g.epsilon2),
}

STEP = exercise(
    "deflection-geoid-step",
    elements=ELEMENTS,
    draw=_draw_step,
    printed=(
        Printed("epsilon1", "ε at end 1", "″", 1, signed=True),
        Printed("epsilon2", "ε at end 2", "″", 1, signed=True),
        Printed("distance", "distance on the ellipsoid", "m", 0),
    ),
    asked=(Asked("step", "ΔN", "length", "m", 2, 0.01, positive="up"),),
    solve=_step,
    slips=STEP_SLIPS,
    work=lambda g: {"mean": (g.epsilon1 + g.epsilon2) / 2},
)


# deflection-laplace --------------------------------------------------------------------


def _draw_laplace(dice: Dice) -> Answer:
    while True:
        given = {
            "azimuth": printed(dice.whole(0, 3_599_999) / 10_000, 4),
            "xi": dice.signed(8, 40, 1),
            "eta": dice.signed(8, 40, 1),
            "lat": dice.signed(22, 64, 0),
            "zenith": dice.number(58, 74, 0),
        }
        ways = _first_part(_laplace, LAPLACE_SLIPS, given)
        if not 40 < abs(given["lat"]) < 50 and apart(ways, 0.8) and abs(ways[0]) > 2:
            return given


def _tan(degrees: float) -> float:
    return math.tan(math.radians(degrees))


def _terms(g: Numbers) -> tuple[float, float]:
    """Return η tan φ and (ξ sin α − η cos α) cot z, in arcseconds."""
    across = g.xi * sin(g.azimuth) - g.eta * cos(g.azimuth)
    return g.eta * _tan(g.lat), across / _tan(g.zenith)


def _corrected(g: Numbers, correction: float) -> Answer:
    return {"correction": correction, "alpha": (g.azimuth + correction / 3600) % 360}


def _laplace(g: Numbers, sense: int = 1) -> Answer:
    alpha = geodetic_azimuth(g.azimuth, g.xi, g.eta, g.lat, g.zenith)
    return _corrected(g, sense * math.remainder(alpha - g.azimuth, 360) * 3600)


LAPLACE_SLIPS = {
    "sign": also("sign", using(sense=-1)),
    "xi-for-eta": lambda g: _corrected(g, -g.xi * _tan(g.lat) - _terms(g)[1]),
    "cotangent": misread(lat=lambda g: copysign(90, g.lat) - g.lat),
    "no-line-term": misread(zenith=90.0),
    "line-term-added": misread(zenith=lambda g: 180 - g.zenith),  # turns the cotangent
}

LAPLACE = exercise(
    "deflection-laplace",
    elements=ELEMENTS,
    draw=_draw_laplace,
    printed=(
        Printed("azimuth", "A, astronomic azimuth", DMS, 2),
        XI,
        ETA,
        LATITUDE,
        Printed("zenith", "z, zenith angle of the mark", "°", 0),
    ),
    asked=(
        Asked("correction", "α − A", "angle", "″", 1, 0.1, positive="clockwise"),
        Asked("alpha", "α", "azimuth", DMS, 1, 0.1 / 3600),
    ),
    solve=_laplace,
    carry=lambda g, own: {"alpha": _corrected(g, own.correction)["alpha"]},
    slips=LAPLACE_SLIPS,
    work=lambda g: dict(zip(("first", "second"), _terms(g), strict=True)),
)


# deflection-zenith ---------------------------------------------------------------------
# From 86° on, the slope distance in Δh − ΔH = −ε·s for the level one is 3.4 mm at most.


def _draw_zenith(dice: Dice) -> Answer:
    while True:
        given = Numbers(
            zenith=printed(86 + dice.whole(0, 36_000 * 3) / 36_000, 6),
            xi=dice.signed(10, 45, 1),
            eta=dice.signed(10, 45, 1),
            azimuth=float(dice.whole(0, 359)),
            distance=dice.number(2200, 4500, 0, step=10),
        )
        epsilon, size = abs(_along(given)), total(given.xi, given.eta)[0]
        if epsilon > 5 and size - epsilon > 4:
            return given


def _heights(g: Numbers) -> list[float]:
    zenith = geodetic_zenith_angle(g.zenith, g.xi, g.eta, g.azimuth)
    return [zenith, g.distance * cos(zenith), g.distance * cos(g.zenith)]


ZENITH = exercise(
    "deflection-zenith",
    elements=ELEMENTS,
    edition=2,
    draw=_draw_zenith,
    printed=(
        Printed("zenith", "z, observed zenith angle", DMS, 1),
        Printed("distance", "s, slope distance", "m", 0),
        XI,
        ETA,
        Printed("azimuth", "α, azimuth of the sight, true", "°", 0),
    ),
    asked=(
        Asked("zenith", "ζ", "angle", DMS, 1, 0.2 / 3600),
        Asked("dh", "Δh", "length", "m", 3, 0.005, positive="up"),
        Asked("dH", "ΔH", "length", "m", 3, 0.005, positive="up"),
    ),
    solve=_heights,
    carry=lambda g, own: {"dh": g.distance * cos(own.zenith)},
    slips={
        "minus": misread("zenith", "dh", azimuth=lambda g: g.azimuth + 180),
        "total": misread("zenith", "dh", azimuth=lambda g: total(g.xi, g.eta)[1]),
        "none": misread("zenith", "dh", xi=0.0, eta=0.0),
        "corrected-height": reworked(lambda a: {"dH": a.dh}),
    },
    work=lambda g: {"epsilon": _along(g)},
)
