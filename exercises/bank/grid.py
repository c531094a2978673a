"""Exercises of lesson 12, onto the map."""

import math
from functools import cache, lru_cache

from exercises.bank.common import EARTH_RADIUS, cos, sin, to_print
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Given, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import (
    Numbers,
    also,
    exchanged,
    misread,
    plus,
    reworked,
    then,
    times,
    turned,
    using,
)
from exercises.question.wording import number
from geokit.angles import RHO
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import (
    AIRY1830,
    BESSEL1841,
    CLARKE1866,
    CLARKE1880RGS,
    INTERNATIONAL1924,
    KRASSOWSKY1940,
    WGS84,
)
from geokit.grid import TransverseMercator, utm, utm_zone
from geokit.surface import to_ellipsoid

K0 = 0.9996
FALSE_EASTING = 500_000.0
ELEMENTS = ("S-5A F1.5a", "S-5B E4.2")
ON_THE_GRID = ("S-5A F1.2c", *ELEMENTS)

LAT = Printed("lat", "φ", DMS, 0, kind="latitude")
LON = Printed("lon", "λ", DMS, 0, kind="longitude")
CONVERGENCE = Printed("gamma", "γ, grid convergence", "°", 3, signed=True)
SCALE = Printed("k", "k, mean scale factor of the line", "", 6)
ON_CENTRE = Printed("k0", "k₀", "", 4)
FALSE = Printed("false_easting", "false easting", "m", 0)

_grid = cache(utm)


@cache
def _plane(shape: Ellipsoid) -> TransverseMercator:
    """Return the projection alone, on a central meridian of 0°: no k₀, no false coordinates."""
    return TransverseMercator(shape, 0.0, 0.0, 1.0, 0.0, 0.0)


def _hemisphere(lat: float) -> str:
    return "south" if lat < 0 else "north"


def _scale(dice: Dice) -> float:
    """Draw a scale factor of a UTM zone that differs from 1 by 250 to 400 parts in a million."""
    return printed(1 + dice.signed(250, 400, 0) / 1e6, 6)


FIRST_KILOMETRE = choice("grid-first-kilometre", elements=ON_THE_GRID, marks=0)


# grid-zone -----------------------------------------------------------------------------
# From 13° east or west the zone counted the wrong way is 5 or more off, and below 72° of latitude no
# exception of the map sheets has a part in it. Each slip moves a number by one zone with its
# meridian, 3° of meridian, half the circle of zones, or 10 000 km.


def _draw_zone(dice: Dice) -> Answer:
    lat = dice.choose((1, -1)) * to_print(dice.whole(5 * 3600, 71 * 3600) / 3600, 0)
    lon = dice.choose((1, -1)) * to_print(dice.whole(13 * 3600, 168 * 3600) / 3600, 0)
    return {"lat": lat, "lon": lon}


def _zone(g: Numbers) -> tuple[int, float, float]:
    zone = utm_zone(g.lat, g.lon, exceptions=False)
    grid = _grid(zone, _hemisphere(g.lat), WGS84)
    return zone, grid.lon0, grid.false_northing


def _work_zone(g: Numbers) -> Answer:
    from_west = g.lon + 180
    return {"from_west": from_west, "sixes": from_west / 6, "whole": math.floor(from_west / 6)}


ZONE = exercise(
    "grid-zone",
    elements=ELEMENTS,
    edition=2,
    draw=_draw_zone,
    printed=(LAT, LON),
    asked=(
        Asked("zone", "Zone", "count", "", 0, 0.5),
        Asked("meridian", "Central meridian", "longitude", "°", 0, 0.5),
        Asked("false_northing", "False northing", "length", "m", 0, 0.5),
    ),
    solve=_zone,
    slips={
        "one-west": misread("zone", "meridian", lon=lambda g: g.lon - 6),
        "one-east": misread("zone", "meridian", lon=lambda g: g.lon + 6),
        "edge": plus(-3, "meridian"),
        "from-greenwich": then(lambda zone: (zone + 29) % 60 + 1, "zone"),
        "west-as-east": also(
            "hemisphere", reworked(lambda a: {"zone": 61 - a.zone, "meridian": -a.meridian})
        ),
        "other-hemisphere": misread("false_northing", lat=lambda g: -g.lat),
    },
    work=_work_zone,
)


# grid-forward --------------------------------------------------------------------------
# 20 km to 190 km from the central meridian: k₀ is 8 m or more in easting, another ellipsoid 0.2 m
# to 22 m and at most a third of what k₀ is. The easting without 500 km meets that in feet only at
# 719 km.

OLD = {
    ellipsoid.name: ellipsoid
    for ellipsoid in (
        INTERNATIONAL1924,
        CLARKE1866,
        CLARKE1880RGS,
        BESSEL1841,
        AIRY1830,
        KRASSOWSKY1940,
    )
}


def _draw_forward(dice: Dice) -> Answer:
    zone = dice.whole(3, 58)
    lat = dice.choose((1, -1)) * dice.number(12, 62, 2)
    away = dice.signed(25, 180, 2)  # kilometres
    lon = 6 * zone - 183 + math.degrees(away * 1000 / EARTH_RADIUS / cos(lat))
    lat, lon = (to_print(angle + dice.whole(0, 9999) / 3.6e7, 4) for angle in (lat, lon))
    return {
        "lat": lat,
        "lon": lon,
        "ellipsoid": dice.choose(tuple(OLD)),
        "meridian": 6.0 * zone - 183,
        "k0": K0,
        "false_easting": FALSE_EASTING,
        "false_northing": 10_000_000.0 if lat < 0 else 0.0,
    }


def _shape(given: Given) -> str:
    """Write the two numbers of the ellipsoid: some names stand for several."""
    old = OLD[given["ellipsoid"]]
    return f"{number(old.semi_major, 3)} m, {old.inverse_flattening:.9f}"


@lru_cache(maxsize=16)
def _projected(ellipsoid: str, lat: float, away: float) -> tuple[float, float]:
    return _plane(OLD.get(ellipsoid, WGS84)).forward(lat, away)


def _forward(g: Numbers) -> tuple[float, float]:
    east, north = _projected(g.ellipsoid, g.lat, g.lon - g.meridian)
    return g.false_easting + g.k0 * east, g.false_northing + g.k0 * north


def _work_forward(g: Numbers) -> Answer:
    """Return how far off the centre it is, and how far off it comes by k₀ or the ellipsoid."""
    east, north = _forward(g)
    answer: Answer = {"away": (east - FALSE_EASTING) / 1000}
    wrongs: dict[str, Answer] = {"bare": {"k0": 1.0}, "other": {"ellipsoid": WGS84.name}}
    for name, wrong in wrongs.items():
        wrong_east, wrong_north = _forward(Numbers({**g, **wrong}))
        answer |= {f"{name}_east": wrong_east - east, f"{name}_north": wrong_north - north}
    return answer


FORWARD = exercise(
    "grid-forward",
    elements=ELEMENTS,
    aids="course tools",
    draw=_draw_forward,
    printed=(
        Printed("lat", "φ, old datum", DMS, 4, kind="latitude"),
        Printed("lon", "λ, old datum", DMS, 4, kind="longitude"),
        Printed("ellipsoid", "ellipsoid of the old datum"),
        Printed("shape", "its a and 1/f", text=_shape),
        Printed("meridian", "central meridian, east +", "°", 0, signed=True),
        Printed("k0", "k₀, scale on it", "", 4),
        FALSE,
        Printed("false_northing", "false northing", "m", 0),
    ),
    asked=(
        Asked("east", "E", "length", "m", 2, 0.02),
        Asked("north", "N", "length", "m", 2, 0.02),
    ),
    solve=_forward,
    slips={
        "no-k0": misread(k0=1.0),
        "no-false-easting": misread("east", false_easting=0.0),
        "other-hemisphere": misread("north", false_northing=lambda g: 1e7 - g.false_northing),
        "wrong-ellipsoid": misread(ellipsoid=WGS84.name),
        "swapped": also("swapped", exchanged()),
    },
    work=_work_forward,
)


# grid-scale ----------------------------------------------------------------------------
# With q = E′²/2k₀²R², 44 ppm or more, the slips are off by 400 ppm, by q, by q − 400 ppm (met at
# 180 km, left out) and by half a million and more over E²: 20 tolerances of 2 ppm.


def _draw_scale(dice: Dice) -> Answer:
    away = dice.choose((1, -1)) * 1000 * dice.whole(60, 165)
    if dice.choose((False, True)):
        away = 1000 * dice.whole(195, 280)
    lat = dice.number(10, 70, 0)
    return {
        "east": FALSE_EASTING + away + dice.whole(0, 999),
        "k0": K0,
        "false_easting": FALSE_EASTING,
        "radius": printed(WGS84.gaussian_radius(lat), 0),
    }


def _swell(g: Numbers, share: float = 0.5) -> float:
    """Return how much the grid swells away from its middle: half of (E′/k₀R)²."""
    return share * ((g.east - g.false_easting) / (g.k0 * g.radius)) ** 2


def _point_scale(g: Numbers, share: float = 0.5) -> float:
    return g.k0 * (1 + _swell(g, share))


def _work_scale(g: Numbers) -> Answer:
    swell = _swell(g)
    kilometre = 1000 * _point_scale(g)
    away = g.east - g.false_easting
    return {"away": away, "swell": swell, "factor": 1 + swell, "kilometre": kilometre}


POINT_SCALE = exercise(
    "grid-scale",
    elements=ON_THE_GRID,
    draw=_draw_scale,
    printed=(
        Printed("east", "E, false easting included", "m", 0),
        ON_CENTRE,
        FALSE,
        Printed("radius", "R", "m", 0),
    ),
    asked=(Asked("k", "k", "number", "", 6, 2e-6),),
    solve=_point_scale,
    slips={
        "everywhere": using(share=0.0),
        "no-k0": times(lambda g: 1 / g.k0),
        "false-easting-kept": misread(false_easting=0.0),
        "no-half": using(share=1.0),
    },
    methods={
        "mean-radius": misread(radius=EARTH_RADIUS),
        "equator": misread(radius=WGS84.semi_major),
    },
    work=_work_scale,
)


# grid-distance and grid-lbl ------------------------------------------------------------
# The scale is 250 ppm or more from 1 and moves 3 km by 0.75 m; 400 m of height move them by 0.19 m,
# 9 tolerances. In the baseline 1 500 m at 1 000 m are the least: 0.24 m by depth, 0.37 m by scale.


def _draw_distance(dice: Dice) -> Answer:
    return {
        "grid": dice.number(3000, 9000, 2),
        "k": _scale(dice),
        "height": dice.signed(400, 2500, 0),
    }


def _at_height(g: Numbers, flat: float) -> float:
    return flat * (EARTH_RADIUS + g.height) / EARTH_RADIUS


def _distance(g: Numbers) -> tuple[float, float]:
    flat = g.grid / g.k
    return flat, _at_height(g, flat)


def _work_distance(g: Numbers) -> Answer:
    ppm = (_distance(g)[1] / g.grid - 1) * 1e6
    return {"factor": 1 + g.height / EARTH_RADIUS, "ppm": ppm}


DISTANCE = exercise(
    "grid-distance",
    elements=ON_THE_GRID,
    draw=_draw_distance,
    printed=(
        Printed("grid", "distance on the grid", "m", 2),
        SCALE,
        Printed("height", "h, above the ellipsoid", "m", 0, signed=True),
    ),
    asked=(
        Asked("ellipsoid", "On the ellipsoid", "length", "m", 2, 0.02),
        Asked("working", "At the marks", "length", "m", 2, 0.02),
    ),
    solve=_distance,
    carry=lambda g, own: {"working": _at_height(g, own.ellipsoid)},
    slips={
        "multiplied": misread(k=lambda g: 1 / g.k),
        "no-scale": misread(k=1.0),
        "no-height": misread("working", height=0.0),
        "height-turned": misread("working", height=lambda g: -g.height),
    },
    work=_work_distance,
)


def _draw_lbl(dice: Dice) -> Answer:
    return {
        "baseline": dice.number(1500, 3500, 2),
        "depth": float(dice.number(1000, 4500, 0, step=10)),
        "k": _scale(dice),
    }


def _lbl(g: Numbers) -> tuple[float, float]:
    flat = to_ellipsoid(g.baseline, -g.depth, EARTH_RADIUS)
    return flat, flat * g.k


def _work_lbl(g: Numbers) -> Answer:
    flat, on_grid = _lbl(g)
    factor = EARTH_RADIUS / (EARTH_RADIUS - g.depth)
    return {"factor": factor, "longer": flat - g.baseline, "off": on_grid - g.baseline}


LBL = exercise(
    "grid-lbl",
    elements=ON_THE_GRID,
    draw=_draw_lbl,
    printed=(
        Printed("baseline", "baseline, at depth", "m", 2),
        Printed("depth", "d, below the ellipsoid", "m", 0),
        SCALE,
    ),
    asked=(
        Asked("ellipsoid", "On the ellipsoid", "length", "m", 2, 0.02),
        Asked("grid", "On the grid", "length", "m", 2, 0.02),
    ),
    solve=_lbl,
    carry=lambda g, own: {"grid": own.ellipsoid * g.k},
    slips={
        "no-depth": misread(depth=0.0),
        "depth-turned": misread(depth=lambda g: -g.depth),
        "no-scale": misread("grid", k=1.0),
        "divided": misread("grid", k=lambda g: 1 / g.k),
    },
    work=_work_lbl,
)


# grid-convergence and grid-heading -----------------------------------------------------
# 1.3° to 2.9° from the central meridian, between 25° and 38° or 52° and 60°: sine and cosine of φ
# are 0.17 apart, and both 0.09 from 1: the nearest outcomes of γ differ by 0.12°, 6 tolerances.


def _draw_convergence(dice: Dice) -> Answer:
    low, high = dice.choose(((25, 38), (52, 60)))
    lat = dice.choose((1, -1)) * to_print(dice.whole(low * 3600, high * 3600) / 3600, 0)
    meridian = 6.0 * dice.whole(3, 58) - 183
    away = dice.choose((1, -1)) * dice.whole(round(1.3 * 3600), round(2.9 * 3600))
    return {
        "lat": lat,
        "lon": to_print(meridian + away / 3600, 0),
        "meridian": meridian,
        "bearing": dice.number(10, 350, 2),
    }


@lru_cache(maxsize=8)
def _gamma(lat: float, away: float) -> float:
    """Return the convergence that far from a central meridian: the same in every zone."""
    return _plane(WGS84).convergence(lat, away)


def _convergence(g: Numbers, factor: float | None = None, side: int = 1) -> tuple[float, float]:
    """Return γ and the azimuth; with a factor, it stands in the place of sin φ and its sign."""
    away = g.lon - g.meridian
    gamma = _gamma(g.lat, away) if factor is None else away * factor
    return side * gamma, (g.bearing + side * gamma) % 360


def _work_convergence(g: Numbers) -> Answer:
    miss = abs(math.radians(_convergence(g)[0])) * 1000
    return {"away": g.lon - g.meridian, "sine": sin(g.lat), "miss": miss}


CONVERGENCE_EXERCISE = exercise(
    "grid-convergence",
    elements=ON_THE_GRID,
    draw=_draw_convergence,
    printed=(
        LAT,
        LON,
        Printed("meridian", "central meridian, east +", "°", 0, signed=True),
        Printed("bearing", "grid bearing", "°", 2),
    ),
    asked=(
        Asked("gamma", "γ", "angle", "°", 2, 0.02, positive="clockwise"),
        Asked("azimuth", "Azimuth", "azimuth", "°", 2, 0.02),
    ),
    solve=_convergence,
    carry=lambda g, own: {"azimuth": (g.bearing + own.gamma) % 360},
    slips={
        "turned": also("sign", using(side=-1)),
        "cosine": lambda g: _convergence(g, factor=cos(g.lat)),
        "no-sine": using(factor=1.0),
        "subtracted": using("azimuth", side=-1),
        "left-out": using("azimuth", factor=0.0),
    },
    work=_work_convergence,
)


# All outcomes lie on a circle of the lever arm, 1.3° or more apart, or mirrored in the keel:
# 0.48 m, and 0.34 m in east or north, 11 tolerances. East and north are a quarter of the arm or
# more each, so that none of these meets a sign turned or a foot.


def _draw_heading(dice: Dice) -> Answer:
    while True:
        g = Numbers(
            forward=dice.signed(20, 60, 1),
            starboard=dice.signed(8, 25, 1),
            heading=dice.number(0, 359.9, 1),
            gamma=dice.signed(1.3, 2.9, 2),
        )
        arm = math.hypot(g.forward, g.starboard)
        off_axis = abs(math.remainder(g.heading, 90)) > 8
        if off_axis and min(map(abs, _offset(g))) > arm / 4:
            return dict(g)


def _offset(g: Numbers) -> tuple[float, float]:
    true = g.heading + g.gamma
    return (
        g.forward * sin(true) + g.starboard * cos(true),
        g.forward * cos(true) - g.starboard * sin(true),
    )


def _work_heading(g: Numbers) -> Answer:
    miss = math.dist(_offset(g), _offset(Numbers({**g, "gamma": 0.0})))
    return {"true": (g.heading + g.gamma) % 360, "miss": miss}


HEADING = exercise(
    "grid-heading",
    elements=ON_THE_GRID,
    draw=_draw_heading,
    printed=(
        Printed("forward", "x, forward", "m", 1, signed=True),
        Printed("starboard", "y, to starboard", "m", 1, signed=True),
        Printed("heading", "grid heading", "°", 1),
        Printed("gamma", "γ, grid convergence", "°", 2, signed=True),
    ),
    asked=(
        Asked("east", "East", "length", "m", 2, 0.03, positive="east"),
        Asked("north", "North", "length", "m", 2, 0.03, positive="north"),
    ),
    solve=_offset,
    slips={
        "grid-as-true": misread(gamma=0.0),
        "gamma-turned": misread(gamma=lambda g: -g.gamma),
        "gamma-twice": misread(gamma=lambda g: 2 * g.gamma),
        "port": misread(starboard=lambda g: -g.starboard),
    },
    work=_work_heading,
)


# grid-arc-to-chord ---------------------------------------------------------------------
# 60 km to 150 km from the central meridian, lines of 16 km to 28 km in east and in north, which
# differ by a quarter: in shares of the right answer the slips are −1, 2, ΔE/ΔN (0.57 to 0.8 or 1.25
# to 1.75, either sign), the other end's (0.86 to 1.16, 0.21″ from 1) and the false easting's (4.3,
# −2.3 or more). The answer is 2.4″ or more.


def _draw_arc(dice: Dice) -> Answer:
    while True:
        side = dice.choose((1, -1))
        first, second = (side * dice.whole(60_000, 150_000) for _ in "12")
        across, along = abs(first - second), dice.whole(16_000, 28_000)
        if 16_000 <= across <= 28_000 and not 0.8 < across / along < 1.25:
            break
    north = dice.whole(1_600_000, 7_000_000)
    return {
        "e1": FALSE_EASTING + first,
        "n1": float(north),
        "e2": FALSE_EASTING + second,
        "n2": float(north + dice.choose((1, -1)) * along),
        "k0": K0,
        "false_easting": FALSE_EASTING,
        "radius": printed(WGS84.gaussian_radius(north / 111_200), 0),
    }


def _arc(g: Numbers, at_1: float = 2, at_2: float = 1) -> float:
    """Return ρ″ times a weighted easting and the way in north, over 6k₀²R²."""
    weighed = at_1 * (g.e1 - g.false_easting) + at_2 * (g.e2 - g.false_easting)
    return RHO * weighed * (g.n1 - g.n2) / (6 * (g.k0 * g.radius) ** 2)


def _work_arc(g: Numbers) -> Answer:
    away_1, away_2, along = g.e1 - FALSE_EASTING, g.e2 - FALSE_EASTING, g.n1 - g.n2
    off = abs(_arc(g)) / RHO * math.hypot(g.e2 - g.e1, along)
    weighed = 2 * away_1 + away_2
    return {"away_1": away_1, "away_2": away_2, "weighed": weighed, "along": along, "off": off}


ARC_TO_CHORD = exercise(
    "grid-arc-to-chord",
    elements=ON_THE_GRID,
    draw=_draw_arc,
    printed=(
        Printed("e1", "E of 1", "m", 0),
        Printed("n1", "N of 1", "m", 0),
        Printed("e2", "E of 2", "m", 0),
        Printed("n2", "N of 2", "m", 0),
        ON_CENTRE,
        FALSE,
        Printed("radius", "R, mean radius √(Mν)", "m", 0),
    ),
    asked=(Asked("correction", "t − T at 1", "angle", "″", 2, 0.03, positive="clockwise"),),
    solve=_arc,
    slips={
        "other-end": using(at_1=1, at_2=2),
        "half-way": using(at_1=1.5, at_2=1.5),
        "turned": also("sign", turned()),
        "false-easting-kept": misread(false_easting=0.0),
        "third": times(2),
        "east-difference": misread(n1=lambda g: g.e1, n2=lambda g: g.e2),
    },
    methods={
        "mean-radius": misread(radius=EARTH_RADIUS),
        "equator": misread(radius=WGS84.semi_major),
    },
    work=_work_arc,
)


# grid-quay -----------------------------------------------------------------------------
# 30 km to 80 km from the central meridian, φ 45° to 62°: |γ| is 0.26°, 13 tolerances, or more, and
# k 0.9997 or less, which is 36 mm, 12 tolerances, on 120 m. The gyro is 0.4° or more off. No
# azimuth is below 8°, where those in radians are.

QUAY_ZONE = 31


def _draw_quay(dice: Dice) -> Answer:
    lat = dice.choose((1, -1)) * dice.number(45, 62, 3)
    grid = _grid(QUAY_ZONE, _hemisphere(lat), WGS84)
    away = dice.signed(30, 80, 3) * 1000
    lon = grid.lon0 + math.degrees(away / EARTH_RADIUS / cos(lat))
    east, north = (printed(p, 3) for p in grid.forward(lat, lon))
    bearing, length = math.radians(dice.whole(100, 3500) / 10), dice.number(120, 240, 3)
    k, gamma = printed(grid.point_scale(lat, lon), 6), printed(grid.convergence(lat, lon), 3)
    true = math.degrees(bearing) + gamma
    return {
        "e1": east,
        "n1": north,
        "e2": printed(east + length * math.sin(bearing), 3),
        "n2": printed(north + length * math.cos(bearing), 3),
        "gamma": gamma,
        "gyro": printed((true + dice.signed(0.4, 2.5, 1)) % 360, 1) % 360,
        "edm": printed(length / k + dice.number(-0.004, 0.004, 3), 3),
        "k": k,
    }


def _bearing(g: Numbers) -> float:
    return math.degrees(math.atan2(g.e2 - g.e1, g.n2 - g.n1)) % 360


def _quay(g: Numbers) -> tuple[float, float, float]:
    azimuth = (_bearing(g) + g.gamma) % 360
    return azimuth, math.remainder(azimuth - g.gyro, 360), g.edm * g.k


def _work_quay(g: Numbers) -> Answer:
    east, north = g.e2 - g.e1, g.n2 - g.n1
    length, bearing = math.hypot(east, north), _bearing(g)
    off = (g.edm * g.k - length) * 1000
    return {"east": east, "north": north, "bearing": bearing, "length": length, "off": off}


DIRECTIONS = ("azimuth", "correction")
OTHER_END = {
    "e1": lambda g: g.e2,
    "n1": lambda g: g.n2,
    "e2": lambda g: g.e1,
    "n2": lambda g: g.n1,
}

QUAY = exercise(
    "grid-quay",
    elements=ON_THE_GRID,
    draw=_draw_quay,
    printed=(
        Printed("e1", "E of mark 1", "m", 3),
        Printed("n1", "N of mark 1", "m", 3),
        Printed("e2", "E of mark 2", "m", 3),
        Printed("n2", "N of mark 2", "m", 3),
        CONVERGENCE,
        Printed("gyro", "gyro reading", "°", 1),
        Printed("edm", "EDM, on the ellipsoid", "m", 3),
        SCALE,
    ),
    asked=(
        Asked("azimuth", "Azimuth", "azimuth", "°", 2, 0.02),
        Asked("correction", "C − O", "angle", "°", 2, 0.02, positive="clockwise"),
        Asked("distance", "EDM on the grid", "length", "m", 3, 0.003),
    ),
    solve=_quay,
    carry=lambda g, own: {"correction": math.remainder(own.azimuth - g.gyro, 360)},
    slips={
        "no-convergence": misread(*DIRECTIONS, gamma=0.0),
        "gamma-turned": misread(*DIRECTIONS, gamma=lambda g: -g.gamma),
        "reversed": misread(*DIRECTIONS, **OTHER_END),
        "observed-first": also("sign", turned("correction")),
        "no-scale": misread("distance", k=1.0),
        "divided": misread("distance", k=lambda g: 1 / g.k),
    },
    work=_work_quay,
)


# grid-choose ---------------------------------------------------------------------------

CHOOSE = tuple(
    choice(f"grid-choose-{name}", elements=ELEMENTS)
    for name in ("pipeline", "polar", "areas", "gauss-krueger", "hotine")
)
CHOOSE_CHART = choice("grid-choose-chart", elements=(*ELEMENTS, "S-5A F1.6a"))
