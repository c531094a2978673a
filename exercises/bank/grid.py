"""Exercises of lesson 11, onto the map."""

import math
from functools import cache, lru_cache

from exercises.bank.common import EARTH_RADIUS, IOGP, cos, sin, to_print
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
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
SNYDER = "J. P. Snyder, Map Projections: A Working Manual, USGS PP 1395, 1987, section 8"
ELEMENTS = ("S-5A F1.5a", "S-5B E4.2")
ON_THE_GRID = ("S-5A F1.2c", *ELEMENTS)
UTM = "k₀ = 0.9996 on the central meridian, false easting 500\u202f000 m"
EASTING, NORTHING = ("east", "north")

CONVERGENCE = Printed("gamma", "γ, grid convergence", "°", 3, signed=True)
SCALE = Printed("k", "k, mean scale factor of the line", "", 6)

_grid = cache(utm)


def _scale(dice: Dice) -> float:
    """Draw a scale factor of a UTM zone that differs from 1 by 250 to 400 parts in a million."""
    return printed(1 + dice.signed(250, 400, 0) / 1e6, 6)


# grid-zone -----------------------------------------------------------------------------
# From 13° east or west the zone counted the wrong way is 5 or more off. Each slip moves a number by
# one zone with its meridian, 3° of meridian, half the circle of zones, or 10 000 km.


def _draw_zone(dice: Dice) -> Answer:
    lat = dice.choose((1, -1)) * to_print(dice.whole(5 * 3600, 75 * 3600) / 3600, 0)
    lon = dice.choose((1, -1)) * to_print(dice.whole(13 * 3600, 168 * 3600) / 3600, 0)
    return {"lat": lat, "lon": lon}


def _zone_of(g: Given) -> int:
    return utm_zone(g["lat"], g["lon"], exceptions=False)


def _zone_answer(zone: int, south: bool) -> Answer:
    grid = _grid(zone, "south" if south else "north", WGS84)
    return {"zone": zone, "meridian": grid.lon0, "false_northing": grid.false_northing}


def _zone(g: Given) -> Answer:
    return _zone_answer(_zone_of(g), g["lat"] < 0)


def _steps_zone(g: Given) -> list[str]:
    right = _zone(g)
    cut = (g["lon"] + 180) / 6
    return [
        f"Longitude counted from 180° W: {g['lon']:+.4f}° + 180° = {g['lon'] + 180:.4f}°; by 6° that is "
        f"{cut:.3f}. The first zone is 1, so the zone is {math.floor(cut)} + 1 = "
        f"**{right['zone']}**.",
        f"Central meridian: 6 × {right['zone']} − 183 = **{right['meridian']:+.0f}°**, "
        f"{abs(right['meridian']):.0f}° {'W' if right['meridian'] < 0 else 'E'}: the middle of the zone.",
        f"False northing: **{number(right['false_northing'], 0)} m** in the "
        f"{'south, so that no northing is negative' if g['lat'] < 0 else 'north'}.",
    ]


ZONE = Exercise(
    key="grid-zone",
    topic="grid",
    title="Which zone?",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A position in WGS 84 is wanted on the UTM grid, in **regular zones of 6°**: the client's "
    "grid does not follow the exceptions off Norway and round Svalbard. Which zone is it, what is its "
    "central meridian (east positive), and which false northing belongs to the hemisphere? Give the "
    "zone as a number from 1 to 60, the meridian in whole degrees, the false northing in metres; all "
    "three exactly.",
    draw=_draw_zone,
    printed=(
        Printed("lat", "φ", DMS, 0, kind="latitude"),
        Printed("lon", "λ", DMS, 0, kind="longitude"),
    ),
    asked=(
        Asked("zone", "Zone", "count", "", 0, 0.5),
        Asked("meridian", "Central meridian", "longitude", "°", 0, 0.5),
        Asked("false_northing", "False northing", "length", "m", 0, 0.5),
    ),
    solve=_zone,
    slips=(
        Slip(
            "one-west",
            "One zone too far west",
            lambda g: {
                "zone": _zone_of(g) - 1,
                "meridian": _zone(g)["meridian"] - 6,
            },
            "This is the zone to the west. Whole sixes from 180° W, **plus one**: the first zone has the "
            "number 1.",
        ),
        Slip(
            "one-east",
            "One zone too far east",
            lambda g: {
                "zone": _zone_of(g) + 1,
                "meridian": _zone(g)["meridian"] + 6,
            },
            "This is the zone to the east. Count the whole sixes from 180° W, cut off and not rounded, "
            "plus one.",
        ),
        Slip(
            "edge",
            "The western edge for the middle",
            lambda g: {"meridian": _zone(g)["meridian"] - 3},
            "{value} is where the zone begins. The central meridian lies 3° further east.",
        ),
        Slip(
            "from-greenwich",
            "Zones counted from Greenwich",
            lambda g: {"zone": (_zone_of(g) + 29) % 60 + 1},
            "{value} counts from Greenwich. UTM zones count from 180° W, eastwards.",
        ),
        Slip(
            "west-as-east",
            "West taken for east",
            lambda g: {"zone": 61 - _zone_of(g), "meridian": -_zone(g)["meridian"]},
            "This zone lies as far on the other side of Greenwich. Look at the letter of the longitude.",
            also=("hemisphere",),
        ),
        Slip(
            "other-hemisphere",
            "False northing of the other hemisphere",
            lambda g: {"false_northing": 10_000_000.0 - _zone(g)["false_northing"]},
            "{value} belongs to the other hemisphere: nothing in the north, 10\u202f000\u202f000 m in the "
            "south.",
        ),
    ),
    nudges=(
        "Count the zones from 180° W towards the east, 6° each, beginning with 1.",
        "The central meridian is the middle of its zone: zone 1 runs from 180° W to 174° W.",
    ),
    steps=_steps_zone,
    source=f"{SNYDER}; MP-08 and MP-15 in tests.",
)


# grid-forward --------------------------------------------------------------------------
# 20 km to 190 km from the central meridian: k₀ is 8 m or more in easting, another ellipsoid 0.2 m to
# 22 m and at most a third of what k₀ is. The easting without 500 km meets that in feet only at 719 km.

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


def _shape(g: Given) -> str:
    """Write the two numbers of the ellipsoid: some names stand for several."""
    old = OLD[g["ellipsoid"]]
    return f"{number(old.semi_major, 3)} m, {old.inverse_flattening:.9f}"


@lru_cache(maxsize=16)
def _projected(ellipsoid: str, *numbers: float) -> tuple[float, float]:
    """Project with the parameters printed; a transverse Mercator of latitude of origin 0."""
    lat, lon, meridian, false_northing = numbers
    shape = OLD.get(ellipsoid, WGS84)
    return _mercator(shape, meridian, false_northing).forward(lat, lon)


@cache
def _mercator(shape: Ellipsoid, meridian: float, false_northing: float) -> TransverseMercator:
    return TransverseMercator(shape, 0.0, meridian, K0, FALSE_EASTING, false_northing)


def _forward(g: Given, ellipsoid: str = "") -> tuple[float, float]:
    numbers = (g[name] for name in ("lat", "lon", "meridian", "false_northing"))
    return _projected(ellipsoid or g["ellipsoid"], *numbers)


def _named(east: float, north: float) -> Answer:
    return {EASTING: east, NORTHING: north}


def _without_k0(g: Given) -> Answer:
    east, north = _forward(g)
    return _named(
        FALSE_EASTING + (east - FALSE_EASTING) / K0,
        g["false_northing"] + (north - g["false_northing"]) / K0,
    )


def _steps_forward(g: Given) -> list[str]:
    (east, north), bare = _forward(g), _without_k0(g)
    other = _forward(g, WGS84.name)
    return [
        "Enter the ellipsoid of the **datum**, the latitude of origin 0°, the central meridian, k₀ and "
        "both false coordinates, exactly as on the sheet.",
        f"**E = {number(east, 2)} m**, **N = {number(north, 2)} m**.",
        f"{abs(east - FALSE_EASTING) / 1000:.1f} km {'east' if east > FALSE_EASTING else 'west'} of the "
        "central meridian, as E − 500\u202f000 says.",
        f"Without k₀ it would be {bare[EASTING] - east:+.1f} m and {bare[NORTHING] - north:+.0f} m off; "
        f"on the WGS 84 ellipsoid {other[0] - east:+.2f} m and {other[1] - north:+.1f} m.",
    ]


FORWARD = Exercise(
    key="grid-forward",
    topic="grid",
    title="Latitude and longitude onto the grid",
    edition=1,
    elements=ELEMENTS,
    aids="course tools",
    prompt="A position on an old datum is wanted on the **transverse Mercator** grid of the same datum, "
    "with the parameters printed below; the latitude of origin is 0°. No change of datum is asked. What "
    "are easting and northing? Give both to 0.01 m; right within ±0.02 m.",
    draw=_draw_forward,
    printed=(
        Printed("lat", "φ, old datum", DMS, 4, kind="latitude"),
        Printed("lon", "λ, old datum", DMS, 4, kind="longitude"),
        Printed("ellipsoid", "ellipsoid of the old datum"),
        Printed("shape", "its a and 1/f", text=_shape),
        Printed("meridian", "central meridian, east +", "°", 0, signed=True),
        Printed("k0", "k₀, scale on it", "", 4),
        Printed("false_easting", "false easting", "m", 0),
        Printed("false_northing", "false northing", "m", 0),
    ),
    asked=(
        Asked(EASTING, "E", "length", "m", 2, 0.02),
        Asked(NORTHING, "N", "length", "m", 2, 0.02),
    ),
    solve=lambda g: _named(*_forward(g)),
    slips=(
        Slip(
            "no-k0",
            "k₀ left out",
            _without_k0,
            "The scale on the central meridian was taken as 1. The sheet says 0.9996: 4 m in every "
            "10 km.",
        ),
        Slip(
            "no-false-easting",
            "The false easting left out",
            lambda g: {EASTING: _forward(g)[0] - FALSE_EASTING},
            "{value} counts from the central meridian. The grid adds its false easting, so that no "
            "easting is negative.",
        ),
        Slip(
            "other-hemisphere",
            "False northing of the other hemisphere",
            lambda g: {NORTHING: _forward(g)[1] + (1e7 if g["lat"] > 0 else -1e7)},
            "{value} has the false northing of the other hemisphere. It is 10\u202f000\u202f000 m in "
            "the south and nothing in the north, as printed.",
        ),
        Slip(
            "wrong-ellipsoid",
            "WGS 84 for the old ellipsoid",
            lambda g: _named(*_forward(g, WGS84.name)),
            "This is on the WGS 84 ellipsoid. The position and the grid belong to the old datum, and so "
            "does the ellipsoid.",
        ),
        Slip(
            "swapped",
            "Easting and northing swapped",
            lambda g: dict(zip((NORTHING, EASTING), _forward(g), strict=True)),
            "Easting and northing have changed places. Within a zone the easting lies between 166 km and "
            "834 km.",
            also=("swapped",),
        ),
    ),
    nudges=(
        "Which ellipsoid goes with the datum? Which k₀ stands on the sheet?",
        "E − 500\u202f000 must have the sign of λ − λ₀, and about the size Δλ · ν cos φ.",
    ),
    steps=_steps_forward,
    source=f"Transverse Mercator, EPSG method 9807. {IOGP}; MP-05 to MP-09 in tests.",
)


# grid-scale ----------------------------------------------------------------------------
# With q = E′²/2k₀²R², 44 ppm or more, the slips are off by 400 ppm, by q, by q − 400 ppm (met at 180 km,
# left out) and by half a million and more over E²: 20 tolerances of 2 ppm.


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


def _swell(g: Given, away: float) -> float:
    """Return how much the grid swells at that distance from its middle: E′²/2k₀²R²."""
    return away**2 / (2 * (g["k0"] * g["radius"]) ** 2)


def _away(g: Given) -> float:
    return g["east"] - g["false_easting"]


def _point_scale(g: Given, share: float = 1.0) -> Answer:
    return {"k": g["k0"] * (1 + share * _swell(g, _away(g)))}


def _steps_scale(g: Given) -> list[str]:
    k, q = _point_scale(g)["k"], _swell(g, _away(g))
    return [
        f"E′ = E − 500\u202f000 = {number(_away(g), 0)} m from the central meridian.",
        f"E′²/(2k₀²R²) = {q:.8f}: that much the map is wider here than in the middle.",
        f"k = 0.9996 × {1 + q:.8f} = **{k:.6f}**.",
        f"A kilometre on the ellipsoid is {1000 * k:.2f} m on this grid, in every direction. True scale "
        "lies 180 km from the central meridian.",
    ]


POINT_SCALE = Exercise(
    key="grid-scale",
    topic="grid",
    title="What the map does to a metre",
    edition=1,
    elements=ON_THE_GRID,
    aids="calculator",
    prompt=f"A point has the easting printed below on a UTM grid ({UTM}). R is the mean radius of the "
    "ellipsoid there, √(Mν). What is the **point scale factor** k, grid distance over ellipsoidal "
    "distance, by k = k₀(1 + E′²/2k₀²R²)? Give it to 6 decimals; right within ±0.000\u202f002.",
    draw=_draw_scale,
    printed=(
        Printed("east", "E, false easting included", "m", 0),
        Printed("k0", "k₀", "", 4),
        Printed("false_easting", "false easting", "m", 0),
        Printed("radius", "R", "m", 0),
    ),
    asked=(Asked("k", "k", "number", "", 6, 2e-6),),
    solve=_point_scale,
    slips=(
        Slip(
            "everywhere",
            "0.9996 everywhere",
            lambda g: _point_scale(g, 0),
            "{value} holds on the central meridian. Away from it the map grows wider.",
        ),
        Slip(
            "no-k0",
            "k₀ left out",
            lambda g: {"k": 1 + _swell(g, _away(g))},
            "{value} begins with 1 on the central meridian. On this grid it begins with 0.9996.",
        ),
        Slip(
            "false-easting-kept",
            "The false easting kept",
            lambda g: {"k": g["k0"] * (1 + _swell(g, g["east"]))},
            "{value} comes from the whole easting. E′ counts from the central meridian: take the false "
            "easting off first.",
        ),
        Slip(
            "no-half",
            "The half forgotten",
            lambda g: _point_scale(g, 2),
            "{value} has E′²/R² in it. The scale grows with half of that.",
        ),
    ),
    nudges=(
        "How far is the point from the central meridian, in metres?",
        "On the central meridian k is k₀. What comes to it at that distance?",
    ),
    steps=_steps_scale,
    source=f"First term of the series. {SNYDER}; MP-08 and MP-16 in tests.",
)


# grid-distance and grid-lbl ------------------------------------------------------------
# The scale is 250 ppm or more from 1 and moves 3 km by 0.75 m; 400 m of height move them by 0.19 m, 9
# tolerances. In the baseline 1 500 m at 1 000 m are the least: 0.24 m by depth, 0.37 m by scale.


def _draw_distance(dice: Dice) -> Answer:
    return {
        "grid": dice.number(3000, 9000, 2),
        "k": _scale(dice),
        "height": dice.signed(400, 2500, 0),
    }


def _distance(g: Given, factor: float, height: float) -> Answer:
    """Return the distance on the ellipsoid, and at a height above it."""
    flat = g["grid"] * factor
    return {"ellipsoid": flat, "working": flat * (EARTH_RADIUS + height) / EARTH_RADIUS}


def _right_distance(g: Given) -> Answer:
    return _distance(g, 1 / g["k"], g["height"])


def _carry_distance(g: Given, own: Given) -> Answer:
    return {"working": own["ellipsoid"] * (EARTH_RADIUS + g["height"]) / EARTH_RADIUS}


def _steps_distance(g: Given) -> list[str]:
    right = _right_distance(g)
    where = "above" if g["height"] > 0 else "below"
    return [
        f"Grid to ellipsoid: **divide** by k. {number(g['grid'], 2)} / {g['k']:.6f} = "
        f"**{number(right['ellipsoid'], 2)} m**.",
        f"The line lies {abs(g['height']):.0f} m {where} the ellipsoid, where the way between the same two "
        f"normals is {'longer' if g['height'] > 0 else 'shorter'}: times 1 + h/R = "
        f"{1 + g['height'] / EARTH_RADIUS:.7f}.",
        f"**{number(right['working'], 2)} m** for a tape or an acoustic range. From the grid that is "
        f"{(right['working'] / g['grid'] - 1) * 1e6:+.0f} ppm.",
    ]


DISTANCE = Exercise(
    key="grid-distance",
    topic="grid",
    title="From the grid to the job",
    edition=1,
    elements=ON_THE_GRID,
    aids="calculator",
    prompt="Two marks lie at one height, and their distance **on the grid** is computed from eastings "
    "and northings. How long is the line **on the ellipsoid**, and how long **at the marks**, where it "
    "will be measured horizontally? k is the mean scale factor, grid over ellipsoid; h is the height of "
    "the marks above the ellipsoid, negative below it; R = 6\u202f371.0 km. Give both to 0.01 m; right "
    "within ±0.02 m.",
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
    solve=_right_distance,
    carry=_carry_distance,
    slips=(
        Slip(
            "multiplied",
            "Multiplied for divided",
            lambda g: _distance(g, g["k"], g["height"]),
            "The grid distance was multiplied by k. k is grid over ellipsoid, and you come from the grid: "
            "divide.",
        ),
        Slip(
            "no-scale",
            "The scale left out",
            lambda g: _distance(g, 1, g["height"]),
            "The grid distance was taken for the one on the ellipsoid. The grid stretches or shrinks it "
            "by k.",
        ),
        Slip(
            "no-height",
            "The height left out",
            lambda g: {"working": _right_distance(g)["ellipsoid"]},
            "{value} is still the length on the ellipsoid. The marks lie above or below it.",
        ),
        Slip(
            "height-turned",
            "The height's sign turned",
            lambda g: {"working": _distance(g, 1 / g["k"], -g["height"])["working"]},
            "{value} has the height with the other sign. Higher up the two normals stand further apart, "
            "deeper down nearer.",
        ),
    ),
    nudges=(
        "Two steps: from the grid to the ellipsoid, and from the ellipsoid to the height of the marks.",
        "Above the ellipsoid lines are longer than on it. By which factor?",
    ),
    steps=_steps_distance,
    source=f"s = S/k, then s(R + h)/R. {SNYDER}; ellipsoidal reduction as in lesson 01.",
)


def _draw_lbl(dice: Dice) -> Answer:
    return {
        "baseline": dice.number(1500, 3500, 2),
        "depth": float(dice.number(1000, 4500, 0, step=10)),
        "k": _scale(dice),
    }


def _lbl(g: Given, height: float | None = None, power: int = 1) -> Answer:
    """Return the baseline on the ellipsoid and on the grid; the wrong routes change one factor."""
    flat = to_ellipsoid(g["baseline"], -g["depth"] if height is None else height, EARTH_RADIUS)
    return {"ellipsoid": flat, "grid": flat * g["k"] ** power}


def _steps_lbl(g: Given) -> list[str]:
    right = _lbl(g)
    return [
        f"At the seabed: {number(g['baseline'], 2)} m. The normals of both ends draw apart upwards: times "
        f"R/(R − d) = {EARTH_RADIUS / (EARTH_RADIUS - g['depth']):.7f}.",
        f"On the ellipsoid **{number(right['ellipsoid'], 2)} m**, "
        f"{right['ellipsoid'] - g['baseline']:+.2f} m.",
        f"Times k = {g['k']:.6f}: on the grid **{number(right['grid'], 2)} m**.",
        f"Compared without either factor, the array would seem {right['grid'] - g['baseline']:+.2f} m "
        "wrong, and somebody would blame the speed of sound.",
    ]


LBL = Exercise(
    key="grid-lbl",
    topic="grid",
    title="An acoustic baseline on the grid",
    edition=1,
    elements=ON_THE_GRID,
    aids="calculator",
    prompt="Two seabed transponders at one depth d **below the ellipsoid** range each other: the "
    "horizontal baseline at their depth is printed, corrected for the speed of sound. How long must it be "
    "**on the ellipsoid**, and **on the grid**, to be compared with the grid distance of their "
    "coordinates? R = 6\u202f371.0 km; k is grid over ellipsoid. Give both to 0.01 m; right within "
    "±0.02 m.",
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
    carry=lambda g, own: {"grid": own["ellipsoid"] * g["k"]},
    slips=(
        Slip(
            "no-depth",
            "The depth ignored",
            lambda g: _lbl(g, height=0.0),
            "The baseline was taken as if it lay on the ellipsoid. Down there the same two normals stand "
            "closer together.",
        ),
        Slip(
            "depth-turned",
            "The depth taken for a height",
            lambda g: _lbl(g, height=g["depth"]),
            "The baseline was shortened on its way up, as from a mountain. From below it grows: "
            "R/(R − d).",
        ),
        Slip(
            "no-scale",
            "The scale ignored",
            lambda g: {"grid": _lbl(g)["ellipsoid"]},
            "{value} is still on the ellipsoid. Times k brings it onto the grid.",
        ),
        Slip(
            "divided",
            "Divided for multiplied",
            lambda g: {"grid": _lbl(g, power=-1)["grid"]},
            "{value} was divided by k. k is grid over ellipsoid, and you go onto the grid: multiply.",
        ),
    ),
    nudges=(
        "First up to the ellipsoid, then onto the grid. Which way does each step change the length?",
        "Sketch the two normals through the transponders. Where are they closer together?",
    ),
    steps=_steps_lbl,
    source=f"s = s_d·R/(R − d), S = k·s. Ellipsoidal reduction as in lesson 01; {SNYDER}.",
)


# grid-convergence and grid-heading -----------------------------------------------------
# 1.3° to 2.9° from the central meridian, between 25° and 38° or 52° and 60°: sine and cosine of φ are
# 0.17 apart, and both 0.09 from 1: the nearest outcomes of γ differ by 0.12°, 6 tolerances.


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
    return _mercator(WGS84, 0.0, 0.0).convergence(lat, away)


def _convergence(g: Given) -> float:
    return _gamma(g["lat"], _from_meridian(g))


def _from_meridian(g: Given) -> float:
    return g["lon"] - g["meridian"]


def _turned(g: Given, gamma: float) -> Answer:
    return {"gamma": gamma, "azimuth": (g["bearing"] + gamma) % 360}


def _steps_convergence(g: Given) -> list[str]:
    away, gamma = _from_meridian(g), _convergence(g)
    right = _turned(g, gamma)
    return [
        f"Δλ = λ − λ₀ = {away:+.4f}°: {'east' if away > 0 else 'west'} of the central meridian, in the "
        f"{'north' if g['lat'] > 0 else 'south'}.",
        f"γ = Δλ sin φ = ({away:+.4f}°)({sin(g['lat']):+.5f}) = **{gamma:+.2f}°**: grid north lies "
        f"{'east' if gamma > 0 else 'west'} of true north here.",
        f"Azimuth = grid bearing + γ = {g['bearing']:.2f}° {gamma:+.2f}° = **{right['azimuth']:.2f}°**.",
        f"Left out, it is {abs(math.radians(gamma)) * 1000:.0f} m on every kilometre. Some manuals print γ "
        "with the other sign, to be added to the azimuth: read which.",
    ]


CONVERGENCE_EXERCISE = Exercise(
    key="grid-convergence",
    topic="grid",
    title="Grid north and true north",
    edition=1,
    elements=ON_THE_GRID,
    aids="calculator",
    prompt="A short line has the grid bearing printed below, on a transverse Mercator grid. What is the "
    "grid convergence γ at its first point, **positive where grid north lies east (clockwise) of true "
    "north**, and the line's **azimuth from true north**, 0° to 360°? γ = Δλ sin φ is near enough; the "
    "arc-to-chord correction is not. Give both to 0.01°; right within ±0.02°.".replace(
        "; the arc-to-chord correction is not.",
        ", and the arc-to-chord correction may be left out.",
    ),
    draw=_draw_convergence,
    printed=(
        Printed("lat", "φ", DMS, 0, kind="latitude"),
        Printed("lon", "λ", DMS, 0, kind="longitude"),
        Printed("meridian", "central meridian, east +", "°", 0, signed=True),
        Printed("bearing", "grid bearing", "°", 2),
    ),
    asked=(
        Asked("gamma", "γ", "angle", "°", 2, 0.02, positive="clockwise"),
        Asked("azimuth", "Azimuth", "azimuth", "°", 2, 0.02),
    ),
    solve=lambda g: _turned(g, _convergence(g)),
    carry=lambda g, own: {"azimuth": _turned(g, own["gamma"])["azimuth"]},
    slips=(
        Slip(
            "turned",
            "γ with the other sign",
            lambda g: _turned(g, -_convergence(g)),
            "γ has the other sign. East of the central meridian, in the north, grid north lies east of "
            "true north; in the south, and west of the meridian, the other way.",
            also=("sign",),
        ),
        Slip(
            "cosine",
            "cos φ for sin φ",
            lambda g: _turned(g, math.copysign(_from_meridian(g) * cos(g["lat"]), _convergence(g))),
            "γ has cos φ in it. On the equator the meridians run side by side: γ = 0 there, and "
            "sin 0° = 0.",
        ),
        Slip(
            "no-sine",
            "Δλ itself",
            lambda g: _turned(g, math.copysign(_from_meridian(g), _convergence(g))),
            "γ is the whole difference of longitude. Meridians lean together by all of it at the pole "
            "only: times sin φ.",
        ),
        Slip(
            "subtracted",
            "Subtracted from the bearing",
            lambda g: {"azimuth": (g["bearing"] - _convergence(g)) % 360},
            "{value}: γ was taken off. With this sign of γ, azimuth = grid bearing + γ; off it comes on "
            "the way back.",
        ),
        Slip(
            "left-out",
            "The bearing taken for the azimuth",
            lambda g: {"azimuth": g["bearing"]},
            "{value} is still the grid bearing. Grid north and true north are not one here.",
        ),
    ),
    nudges=(
        "Sketch the zone: meridians lean towards its middle as they go to the nearer pole.",
        "On which side of the central meridian are you, and in which hemisphere?",
    ),
    steps=_steps_convergence,
    source=f"{SNYDER}; MP-08, MP-09 and MP-17 in tests, where a manual prints the other sign.",
)


# All outcomes lie on a circle of the lever arm, 1.3° or more apart, or mirrored in the keel: 0.48 m, and
# 0.34 m in east or north, 11 tolerances. East and north are a quarter of the arm or more each, so that
# none of these meets a sign turned or a foot.


def _draw_heading(dice: Dice) -> Answer:
    while True:
        given = {
            "forward": dice.signed(20, 60, 1),
            "starboard": dice.signed(8, 25, 1),
            "heading": dice.number(0, 359.9, 1),
            "gamma": dice.signed(1.3, 2.9, 2),
        }
        arm = math.hypot(given["forward"], given["starboard"])
        off_axis = abs(math.remainder(given["heading"], 90)) > 8
        if off_axis and min(map(abs, _offset(given).values())) > arm / 4:
            return given


def _offset(g: Given, convergences: float = 1.0, side: float = 1.0) -> Answer:
    heading = g["heading"] + convergences * g["gamma"]
    x, y = g["forward"], side * g["starboard"]
    return _named(
        x * sin(heading) + y * cos(heading),
        x * cos(heading) - y * sin(heading),
    )


def _steps_heading(g: Given) -> list[str]:
    right, heading = _offset(g), (g["heading"] + g["gamma"]) % 360
    miss = math.dist(right.values(), _offset(g, 0).values())
    return [
        f"True heading = grid heading + γ = {g['heading']:.1f}° {g['gamma']:+.2f}° = {heading:.2f}°.",
        f"East = x sin H + y cos H = **{right[EASTING]:+.2f} m**.",
        f"North = x cos H − y sin H = **{right[NORTHING]:+.2f} m**.",
        f"With the grid heading taken for true, the point stands {miss:.2f} m off: γ in radians times the "
        "length of the arm. On a USBL range it is the same angle on a longer arm.",
    ]


HEADING = Exercise(
    key="grid-heading",
    topic="grid",
    title="A grid heading on a lever arm",
    edition=1,
    elements=ON_THE_GRID,
    aids="calculator",
    prompt="A vessel's heading was computed from the **grid** coordinates of two antennas, so it is a grid "
    "heading. The offset from one antenna to the moon pool is known on board: x forward, y to starboard. "
    "Where is the moon pool **east and north of the antenna, by true north**, as an offset in latitude "
    "and longitude needs it? Convergence γ is positive where grid north lies east of true north. Give "
    "both to 0.01 m; right within ±0.03 m.",
    draw=_draw_heading,
    printed=(
        Printed("forward", "x, forward", "m", 1, signed=True),
        Printed("starboard", "y, to starboard", "m", 1, signed=True),
        Printed("heading", "grid heading", "°", 1),
        Printed("gamma", "γ, grid convergence", "°", 2, signed=True),
    ),
    asked=(
        Asked(EASTING, "East", "length", "m", 2, 0.03, positive="east"),
        Asked(NORTHING, "North", "length", "m", 2, 0.03, positive="north"),
    ),
    solve=_offset,
    slips=(
        Slip(
            "grid-as-true",
            "The grid heading taken for true",
            lambda g: _offset(g, 0),
            "The grid heading was used as if it were true. Over this arm the convergence is a metre or so: "
            "add γ first.",
        ),
        Slip(
            "gamma-turned",
            "γ taken off",
            lambda g: _offset(g, -1),
            "γ was taken off. Where grid north lies east of true north, a true heading is larger than the "
            "grid heading: add it.",
        ),
        Slip(
            "gamma-twice",
            "γ added twice",
            lambda g: _offset(g, 2),
            "γ is in twice. Somebody may have put it in already: ask what the heading is counted from.",
        ),
        Slip(
            "port",
            "Starboard taken for port",
            lambda g: _offset(g, side=-1),
            "The offset to the side went the other way. y counts to starboard: on a northerly heading that "
            "is east.",
        ),
    ),
    nudges=(
        "What is the heading from true north?",
        "On heading 0° forward is north and starboard is east. Turn that by the true heading.",
    ),
    steps=_steps_heading,
    source=f"Rotation of a lever arm by its true heading; signs of the convergence as in {SNYDER}.",
)


# grid-arc-to-chord ---------------------------------------------------------------------
# 60 km to 150 km from the central meridian, lines of 16 km to 28 km in east and in north, which differ
# by a quarter: in shares of the right answer the slips are −1, 2, ΔE/ΔN (0.57 to 0.8 or 1.25 to 1.75,
# either sign), the other end's (0.86 to 1.16, 0.21″ from 1) and the false easting's (4.3, −2.3 or
# more). The answer is 2.4″ or more.


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


def _by_formula(g: Given, first: float, second: float, along: float) -> Answer:
    """Return ρ″ times a weighted easting and a way along, over 6k₀²R²."""
    away1, away2 = g["e1"] - g["false_easting"], g["e2"] - g["false_easting"]
    area = (first * away1 + second * away2) * along
    return {"correction": RHO * area / (6 * (g["k0"] * g["radius"]) ** 2)}


def _arc(g: Given) -> Answer:
    return _by_formula(g, 2, 1, g["n1"] - g["n2"])


def _false_easting_kept(g: Given) -> Answer:
    return _by_formula({**g, "false_easting": 0.0}, 2, 1, g["n1"] - g["n2"])


def _steps_arc(g: Given) -> list[str]:
    away1, away2, right = g["e1"] - FALSE_EASTING, g["e2"] - FALSE_EASTING, _arc(g)["correction"]
    off = abs(right) / RHO * math.hypot(g["e2"] - g["e1"], g["n2"] - g["n1"])
    return [
        f"E₁′ = {number(away1, 0)} m, E₂′ = {number(away2, 0)} m from the central meridian; "
        f"2E₁′ + E₂′ = {number(2 * away1 + away2, 0)} m.",
        f"N₁ − N₂ = {number(g['n1'] - g['n2'], 0)} m.",
        f"(t − T)₁ = 206\u202f265″ × {number(2 * away1 + away2, 0)} × {number(g['n1'] - g['n2'], 0)} / "
        f"(6k₀²R²) = **{right:+.2f}″**.",
        f"Over this line that is {off:.1f} m at the far end. A geodesic bows away from the central "
        "meridian on this map; over a few hundred metres nobody sees it.",
    ]


ARC_TO_CHORD = Exercise(
    key="grid-arc-to-chord",
    topic="grid",
    title="The arc and its chord",
    edition=1,
    elements=ON_THE_GRID,
    aids="calculator",
    prompt=f"A long line from 1 to 2 on a UTM grid in the northern hemisphere ({UTM}). t is the grid "
    "bearing of the straight line on the map, T that of the geodesic as it leaves 1. What is the "
    "arc-to-chord correction **t − T at point 1**, positive where t is larger? Use (t − T)″ = "
    "ρ″(2E₁′ + E₂′)(N₁ − N₂)/(6k₀²R²), with E′ counted from the central meridian and R printed below. "
    "Give it to 0.01″; right within ±0.03″.",
    draw=_draw_arc,
    printed=(
        Printed("e1", "E of 1", "m", 0),
        Printed("n1", "N of 1", "m", 0),
        Printed("e2", "E of 2", "m", 0),
        Printed("n2", "N of 2", "m", 0),
        Printed("k0", "k₀", "", 4),
        Printed("false_easting", "false easting", "m", 0),
        Printed("radius", "R, mean radius √(Mν)", "m", 0),
    ),
    asked=(Asked("correction", "t − T at 1", "angle", "″", 2, 0.03, positive="clockwise"),),
    solve=_arc,
    slips=(
        Slip(
            "other-end",
            "The correction at the other end",
            lambda g: _by_formula(g, 1, 2, g["n1"] - g["n2"]),
            "{value} gives the far end twice the weight. At point 1 it is 2E₁′ + E₂′.",
        ),
        Slip(
            "half-way",
            "Both ends weighed alike",
            lambda g: _by_formula(g, 1.5, 1.5, g["n1"] - g["n2"]),
            "{value} weighs both ends alike: so the line turns half way along. The correction is "
            "asked at point 1, whose own E′ counts twice.",
        ),
        Slip(
            "turned",
            "N₂ − N₁ for N₁ − N₂",
            lambda g: _by_formula(g, 2, 1, g["n2"] - g["n1"]),
            "The size is right and the sign is turned: N₁ − N₂, for t − T at point 1.",
            also=("sign",),
        ),
        Slip(
            "false-easting-kept",
            "The false easting kept",
            _false_easting_kept,
            "{value} has the whole eastings in it. E′ counts from the central meridian: take 500\u202f000 m "
            "off.",
        ),
        Slip(
            "third",
            "3 for 6 below the line",
            lambda g: _by_formula(g, 4, 2, g["n1"] - g["n2"]),
            "{value} is twice the correction: there is a 6 below the line.",
        ),
        Slip(
            "east-difference",
            "E₁ − E₂ for N₁ − N₂",
            lambda g: _by_formula(g, 2, 1, g["e1"] - g["e2"]),
            "{value} takes the difference of eastings. Along a parallel the correction is next to nothing; "
            "it is the way north or south that counts.",
        ),
    ),
    nudges=(
        "First E′ of both ends, from the central meridian, with their signs.",
        "Point 1 counts twice, for the correction is asked there.",
    ),
    steps=_steps_arc,
    source=f"First term. {SNYDER} and the manuals of the Geocentric Datum of Australia (from memory); "
    "held against t − T by its definition in tests.",
)


# grid-quay -----------------------------------------------------------------------------
# 30 km to 80 km from the central meridian, φ 45° to 62°: |γ| is 0.26°, 13 tolerances, or more, and k 0.9997
# or less, which is 36 mm, 12 tolerances, on 120 m. The gyro is 0.4° or more off. No azimuth is below 8°, where those in
# radians are.

QUAY_ZONE = 31


def _draw_quay(dice: Dice) -> Answer:
    lat = dice.choose((1, -1)) * dice.number(45, 62, 3)
    grid = _grid(QUAY_ZONE, "south" if lat < 0 else "north", WGS84)
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


def _bearing(g: Given) -> float:
    return math.degrees(math.atan2(g["e2"] - g["e1"], g["n2"] - g["n1"])) % 360


def _quay(g: Given, convergences: float = 1.0, turn: float = 0.0) -> Answer:
    azimuth = (_bearing(g) + convergences * g["gamma"] + turn) % 360
    return {"azimuth": azimuth, "correction": math.remainder(azimuth - g["gyro"], 360)}


def _solve_quay(g: Given) -> Answer:
    return {**_quay(g), "distance": g["edm"] * g["k"]}


def _steps_quay(g: Given) -> list[str]:
    right = _solve_quay(g)
    east, north = g["e2"] - g["e1"], g["n2"] - g["n1"]
    length = math.hypot(east, north)
    return [
        f"Grid bearing from ΔE = {east:+.3f} m, ΔN = {north:+.3f} m: {_bearing(g):.3f}°, quadrant by the "
        "signs.",
        f"Azimuth = grid bearing + γ = {_bearing(g):.3f}° {g['gamma']:+.3f}° = "
        f"**{right['azimuth']:.2f}°**. t − T is nothing on a quay.",
        f"C − O = {right['azimuth']:.2f}° − {g['gyro']:.1f}° = **{right['correction']:+.2f}°**, to be "
        "added to the gyro's readings.",
        f"EDM on the grid: {g['edm']:.3f} × {g['k']:.6f} = **{right['distance']:.3f} m**, against "
        f"{length:.3f} m from the coordinates: {(right['distance'] - length) * 1000:+.0f} mm.",
    ]


QUAY = Exercise(
    key="grid-quay",
    topic="grid",
    title="Two marks on a quay, a gyro and a tape",
    edition=1,
    elements=ON_THE_GRID,
    aids="calculator",
    prompt="A vessel lies alongside, her keel exactly parallel to the line from quay mark 1 to mark 2, bow "
    "towards 2. Both marks have UTM coordinates. Find the **azimuth** of the line from true north, 0° to "
    "360° (γ is positive where grid north lies east of true north), and the gyro's **C − O**, computed "
    "minus observed, both to 0.01°, right within ±0.02°. An EDM measured the line, already reduced to the "
    "ellipsoid: what is that **on the grid** (k is grid over ellipsoid), to compare with the coordinates? "
    "Give it to 0.001 m; right within ±0.003 m.",
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
    solve=_solve_quay,
    carry=lambda g, own: {"correction": math.remainder(own["azimuth"] - g["gyro"], 360)},
    slips=(
        Slip(
            "no-convergence",
            "The convergence left out",
            lambda g: _quay(g, 0),
            "The grid bearing was taken for the azimuth. The gyro seeks true north: add γ.",
        ),
        Slip(
            "gamma-turned",
            "The convergence taken off",
            lambda g: _quay(g, -1),
            "γ was taken off. With this sign azimuth = grid bearing + γ.",
        ),
        Slip(
            "reversed",
            "From mark 2 to mark 1",
            lambda g: _quay(g, turn=180),
            "The line is seen from its other end, or its quadrant was lost. Her bow points from 1 to 2: "
            "ΔE and ΔN are mark 2 minus mark 1, and their signs choose the quadrant.",
        ),
        Slip(
            "observed-first",
            "O − C",
            lambda g: {"correction": -_quay(g)["correction"]},
            "{value} is observed minus computed, the gyro's error. C − O is what is added to its readings.",
            also=("sign",),
        ),
        Slip(
            "no-scale",
            "The scale left out",
            lambda g: {"distance": g["edm"]},
            "{value} is still on the ellipsoid. 400 parts in a million are 4 cm on 100 m, and look like a "
            "bad tape.",
        ),
        Slip(
            "divided",
            "Divided for multiplied",
            lambda g: {"distance": g["edm"] / g["k"]},
            "{value} was divided by k. k is grid over ellipsoid, and you go onto the grid: multiply.",
        ),
    ),
    nudges=(
        "Bearing from ΔE and ΔN first, with its quadrant. Which north does it count from?",
        "And which north does the gyro seek?",
    ),
    steps=_steps_quay,
    source=f"Quay calibration, common practice, no source. Scale and convergence: {SNYDER}; MP-08 in tests.",
)


# grid-choose ---------------------------------------------------------------------------

CHOOSE_PIPELINE = choice(
    "grid-choose-pipeline",
    "Which projection? A pipeline running east",
    "A pipeline runs **900 km due east along 58° N**, 60 km wide as a corridor. The client wants one grid "
    "for all of it, conformal and with its scale within 100 parts in a million of 1. Which?",
    ("lambert", "Lambert conformal conic, its parallels either side of 58° N"),
    {
        "utm": (
            "UTM, with one zone extended over all of it",
            "The far ends would lie 450 km from the central meridian: 2\u202f100 ppm. A transverse Mercator "
            "serves what runs north and south.",
        ),
        "mercator": (
            "Mercator, for a line that runs east",
            "Its scale at 58° N is nearly 1.9, and changes by 1.5 % over the corridor's width. "
            "Scaled down it would still do so.",
        ),
        "equal-area": (
            "An equal-area conic, for it is a cone too",
            "Areas are kept and shapes are not: bearings would be turned, differently in each direction.",
        ),
    },
    elements=ELEMENTS,
    because="A conic with its standard parallels near 58° is nearly true all along the parallel, and "
    "conformal: over 60 km of width the scale stays within some ten parts in a million.",
    source=f"J. P. Snyder, USGS PP 1395, 1987, chapters on both conics; scale computed. {IOGP}.",
    nudges=("Along which line is each of these projections true to scale?",),
)

CHOOSE_POLAR = choice(
    "grid-choose-polar",
    "Which projection? Near the pole",
    "A seabed survey round the pole, over all longitudes **north of 86° N**. Which grid?",
    ("ups", "Polar stereographic, such as UPS"),
    {
        "utm": (
            "UTM",
            "UTM ends at 84° N. At 86° a zone is 47 km wide, and the survey would be cut into sixty.",
        ),
        "mercator": (
            "Mercator",
            "The pole lies at infinity there, and at 86° the scale is 14.",
        ),
        "lambert": (
            "Lambert conformal conic",
            "As its parallels go to the pole the cone opens into a plane: it becomes the polar "
            "stereographic. Take that at once.",
        ),
    },
    elements=ELEMENTS,
    because="It is conformal, knows no zones, and its scale is even round the pole: UPS has k₀ = 0.994 at "
    "the pole and true scale near 81° N. Mind that its grid north is along one meridian only.",
    source=f"UPS: k₀ 0.994 at the pole. {IOGP}, polar stereographic variant A; Snyder, section 21.",
    nudges=("Which of them has no zones and no infinity at a pole?",),
)

CHOOSE_CHART = choice(
    "grid-choose-chart",
    "Which projection? A chart to sail by",
    "On which projection is **a line of one course straight**, so that the navigator rules it and reads its "
    "course anywhere along it?",
    ("mercator", "Mercator, on the ellipsoid"),
    {
        "web": (
            "Web Mercator: it looks the same",
            "It puts geodetic latitudes of the ellipsoid on a sphere, so it is not quite conformal, and a "
            "course read from it is up to 0.2° off. No chart to sail by.",
        ),
        "gnomonic": (
            "Gnomonic",
            "There the great circle is straight, the short way, with a course that changes.",
        ),
        "stereographic": (
            "Stereographic",
            "It is conformal, and a line of one course is a spiral on it.",
        ),
    },
    elements=(*ELEMENTS, "S-5A F1.6a"),
    because="Mercator's chart stretches north-south as much as east-west at each latitude and keeps all "
    "meridians parallel: one course is one straight line. It pays with scale, 1/cos φ on a sphere.",
    source=f"Snyder, section 7; pseudo-Mercator: {IOGP}; angle computed, MP-01 and MP-03 in tests.",
    nudges=("Which of them has all its meridians parallel, and every small angle right?",),
)

CHOOSE_AREAS = choice(
    "grid-choose-areas",
    "Which projection? Areas",
    "A licence fee is due by **area**: blocks between 56° and 62° N. On which map may areas be taken off "
    "with one factor for all blocks?",
    ("equal-area", "An equal-area projection, such as Albers' conic"),
    {
        "utm": (
            "UTM: within a zone the scale is nearly 1",
            "Nearly: areas go with k², 800 ppm too small in the middle of a zone and right near its edge. "
            "One factor does not do for all blocks.",
        ),
        "mercator": (
            "Mercator, divided by cos² of the middle latitude",
            "Between 56° and 62° the area scale runs from 3.2 to 4.5.",
        ),
        "lambert-conformal": (
            "Lambert conformal conic: conformal means nothing is distorted",
            "Conformal means that small shapes keep their angles. Their size changes from place to place.",
        ),
    },
    elements=ELEMENTS,
    because="Equal-area keeps one area scale everywhere and pays with angles. No map keeps both. Or leave "
    "the map and compute the area on the ellipsoid.",
    source="Snyder, section 14; scales computed on GRS 80.",
    nudges=("Which property is asked to be the same everywhere: angle, length or area?",),
)

CHOOSE_GAUSS_KRUEGER = choice(
    "grid-choose-gauss-krueger",
    "Which projection? Gauss-Krüger",
    "A harbour's old plans are in **Gauss-Krüger, zones of 3°**; the new survey is in UTM on the same "
    "datum. Both are transverse Mercator. What differs?",
    ("parameters", "k₀ = 1, other central meridians, and a zone number before the easting"),
    {
        "nothing": (
            "Nothing: two names of one grid",
            "Of one projection. Its parameters are others, and with them every easting and northing: k₀ "
            "alone is 400 mm on a kilometre.",
        ),
        "sphere": (
            "Gauss-Krüger is on a sphere",
            "It is on an ellipsoid, like UTM: Gauss and Krüger worked the series out for it.",
        ),
        "shape": (
            "Gauss-Krüger is equal-area",
            "It is conformal. Transverse Mercator keeps angles, under every name.",
        ),
    },
    elements=ELEMENTS,
    because="Same mathematics, other numbers: k₀ = 1 on the central meridian, zones of 3° (or 6°), and "
    "commonly the zone's number written before a false easting of 500 km.",
    source="EPSG projected systems such as DHDN / 3-degree Gauss-Kruger zone 3 (31467): k₀ 1, central "
    "meridian 9° E, false easting 3\u202f500\u202f000 m.",
    nudges=("What makes two grids of one projection different?",),
)

CHOOSE_HOTINE = choice(
    "grid-choose-hotine",
    "Which projection? Hotine's false origin",
    "A sheet gives an **oblique Mercator (Hotine)** grid with its false easting and northing, and your "
    "software offers **variant A** and **variant B**. What is the difference, and what does the wrong one "
    "do?",
    ("origin", "Where the false coordinates count from; positions shift by hundreds of kilometres"),
    {
        "scale": (
            "The scale; lengths are off by 400 ppm",
            "k on the centre line is one parameter in both variants.",
        ),
        "sphere": (
            "Sphere or ellipsoid; positions are off by kilometres",
            "Both are on the ellipsoid.",
        ),
        "turned": (
            "The turn to grid north; bearings are off",
            "Both are rectified by the same angle, if the sheet gives one.",
        ),
    },
    elements=ELEMENTS,
    because="Variant A counts its false coordinates from the natural origin, near the equator; variant B "
    "from the centre of the projection. The mistake is so large that a test point shows it at once.",
    source=f"EPSG methods 9812 and 9815. {IOGP}.",
    nudges=(
        "Two points could be called the origin: where the line crosses the equator, and the centre.",
    ),
)


# Say first -----------------------------------------------------------------------------

FIRST_KILOMETRE = choice(
    "grid-first-kilometre",
    "Say first: a kilometre on the grid",
    "Two marks on the **central meridian** of a UTM zone are 1\u202f000.00 m apart by their grid "
    "coordinates. How far apart are they on the ellipsoid?",
    ("longer", "1\u202f000.40 m"),
    {
        "same": (
            "1\u202f000.00 m: there the map is true",
            "In Gauss-Krüger it is. UTM shrinks its central meridian by k₀ = 0.9996.",
        ),
        "shorter": (
            "999.60 m",
            "That is what 1\u202f000 m of ellipsoid become on the grid. From the grid you divide by k.",
        ),
        "direction": (
            "It depends on their direction",
            "The grid is conformal: at a point the scale is the same in all directions.",
        ),
    },
    elements=ON_THE_GRID,
    because="1\u202f000.00 / 0.9996 = 1\u202f000.40. Forty centimetres on a kilometre, and no instrument is "
    "to blame.",
    source=f"{SNYDER}.",
    marks=0,
)

EXERCISES = (
    FIRST_KILOMETRE,
    ZONE,
    FORWARD,
    POINT_SCALE,
    DISTANCE,
    LBL,
    CONVERGENCE_EXERCISE,
    HEADING,
    ARC_TO_CHORD,
    QUAY,
    CHOOSE_PIPELINE,
    CHOOSE_POLAR,
    CHOOSE_CHART,
    CHOOSE_AREAS,
    CHOOSE_GAUSS_KRUEGER,
    CHOOSE_HOTINE,
)
