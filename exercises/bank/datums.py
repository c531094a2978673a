"""Exercises of lesson 09, datums and transformations."""

import itertools
import math
from functools import lru_cache
from typing import Any

import numpy as np

from exercises.bank.common import EARTH_RADIUS, IOGP, cos, draw_angle, sin, to_print
from exercises.question.dice import Dice, apart, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import dms, number
from geokit.angles import RHO
from geokit.datums import Helmert, MolodenskyBadekas, abridged_molodensky, estimate
from geokit.ecef import from_ecef, to_ecef
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import (
    AIRY1830,
    BESSEL1841,
    CLARKE1866,
    CLARKE1880RGS,
    GRS80,
    INTERNATIONAL1924,
    KRASSOWSKY1940,
    WGS84,
)
from geokit.lines import great_circle
from geokit.motion import velocity
from geokit.plates import ITRF2020, NAMES

REGISTRY = "EPSG dataset, as PROJ carries it"
FRAMES = ("S-5A F1.2a", "S-5B E4.1b")
TRANSFORMING = ("S-5A F1.2b", "S-5B E4.1c")
WGS84_NUMBERS = "WGS 84 (a = 6\u202f378\u202f137 m, 1/f = 298.257\u202f223\u202f563)"
XYZ = ("x", "y", "z")
TRANSLATIONS = ("tx", "ty", "tz")
ROTATIONS = ("rx", "ry", "rz")
SEVEN = (*TRANSLATIONS, *ROTATIONS, "scale")

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
OLD_ELLIPSOID = (
    Printed("ellipsoid", "ellipsoid of the old datum"),
    Printed("a", "its a, semi-major axis", "m", 3),
    Printed("inverse_flattening", "its 1/f, inverse flattening", "", 9),
)
SHIFTS = tuple(
    Printed(name, f"Δ{name[1].upper()}, WGS 84 minus old datum", "m", 1, signed=True)
    for name in ("dx", "dy", "dz")
)

_forward = lru_cache(maxsize=64)(to_ecef)
_back = lru_cache(maxsize=64)(from_ecef)
_great_circle = lru_cache(maxsize=8)(great_circle)


def _vector(g: Given, names: tuple[str, ...] = XYZ) -> tuple[float, ...]:
    return tuple(g[name] for name in names)


def _named(values: Any, names: tuple[str, ...] = XYZ) -> Answer:
    return {name: float(value) for name, value in zip(names, values, strict=True)}


def _distance(a: Any, b: Any) -> float:
    return math.dist(tuple(a), tuple(b))


def _largest(a: Any, b: Any) -> float:
    """Return the largest difference of two points in one coordinate."""
    return max(abs(p - q) for p, q in zip(a, b, strict=True))


def _point_rows(names: tuple[str, ...], which: str) -> tuple[Printed, ...]:
    return tuple(
        Printed(name, f"{name[0].upper()}, {which}", "m", 2, signed=True) for name in names
    )


def _parameter_rows(rotation_decimals: int = 3) -> tuple[Printed, ...]:
    return (
        *(Printed(t, f"t{t[1].upper()}", "m", 2, signed=True) for t in TRANSLATIONS),
        *(Printed(r, f"r{r[1].upper()}", "″", rotation_decimals, signed=True) for r in ROTATIONS),
        Printed("scale", "scale difference", "ppm", 3, signed=True),
    )


def _asked_xyz(tolerance: float) -> tuple[Asked, ...]:
    return tuple(Asked(name, name.upper(), "length", "m", 2, tolerance) for name in XYZ)


def _in_numbers(values: Any) -> str:
    return ", ".join(
        f"{axis} = **{number(value, 2)} m**" for axis, value in zip("XYZ", values, strict=True)
    )


# datums-ignored ------------------------------------------------------------------------
# North and east part are 100 m to 260 m and differ by a quarter or more: the azimuth keeps 7°
# from the diagonals and 21° from the axes, and a foot in a metre meets no part of the way. cos φ
# left out turns it by 3° or more (6 tolerances) even where it is lengthened least.


def _draw_ignored(dice: Dice) -> Answer:
    while True:
        lat, lon = draw_angle(dice, 35, 62, 2), draw_angle(dice, 5, 170, 2)
        north, east = dice.signed(100, 260, 0), dice.signed(100, 260, 0)
        if not 0.78 < abs(north / east) < 1 / 0.78:
            break
    return {
        "lat": lat,
        "lon": lon,
        "gnss_lat": to_print(lat - math.degrees(north / EARTH_RADIUS), 2),
        "gnss_lon": to_print(lon - math.degrees(east / EARTH_RADIUS / cos(lat)), 2),
    }


def _ignored(g: Given) -> Answer:
    mark, vessel = (g["gnss_lat"], g["gnss_lon"]), (g["lat"], g["lon"])
    distance, azimuth, _ = _great_circle(*mark, *vessel, EARTH_RADIUS)
    return {"distance": distance, "azimuth": azimuth}


def _parts(g: Given) -> tuple[float, float]:
    """Return how far north and east the vessel stands, in metres."""
    metre = math.radians(1) * EARTH_RADIUS
    north = (g["lat"] - g["gnss_lat"]) * metre
    return north, (g["lon"] - g["gnss_lon"]) * metre * cos(g["lat"])


def _polar(north: float, east: float) -> Answer:
    azimuth = math.degrees(math.atan2(east, north)) % 360
    return {"distance": math.hypot(north, east), "azimuth": azimuth}


def _steps_ignored(g: Given) -> list[str]:
    (north, east), right = _parts(g), _ignored(g)
    north_seconds, east_seconds = ((g[name] - g[f"gnss_{name}"]) * 3600 for name in ("lat", "lon"))
    return [
        "The vessel goes to the list's numbers, read as WGS 84. The wellhead is at the GNSS numbers. "
        "Vessel minus wellhead is list minus GNSS.",
        f"North: {north_seconds:+.2f}″ × 30.887 m = {north:+.1f} m.",
        f"East: {east_seconds:+.2f}″ × 30.887 m × cos φ = {east:+.1f} m; cos φ = {cos(g['lat']):.4f}.",
        f"Distance √(north² + east²) = **{right['distance']:.0f} m**, towards azimuth "
        f"**{right['azimuth']:.1f}°**. No instrument was wrong: the numbers lacked their datum.",
    ]


IGNORED = Exercise(
    key="datums-ignored",
    topic="datums",
    title="The datum that nobody wrote down",
    edition=1,
    elements=(*FRAMES, *TRANSFORMING),
    aids="calculator",
    prompt="A client's list gives a wellhead by latitude and longitude on an **old local datum**, and "
    "does not say so. GNSS later finds the same wellhead in WGS 84. Somebody types the list's "
    "numbers into a receiver that works in WGS 84 and brings the vessel there. How far from the "
    "wellhead does the vessel stand, and in which direction **as seen from the wellhead**? Take a "
    "sphere of 6\u202f371.0 km. Give the distance to 1 m, right within ±1 m, and the azimuth, "
    "clockwise from true north, 0° to 360°, to 0.1°, right within ±0.5°.",
    draw=_draw_ignored,
    printed=(
        Printed("lat", "φ, in the list", DMS, 2, kind="latitude"),
        Printed("lon", "λ, in the list", DMS, 2, kind="longitude"),
        Printed("gnss_lat", "φ, GNSS, WGS 84", DMS, 2, kind="latitude"),
        Printed("gnss_lon", "λ, GNSS, WGS 84", DMS, 2, kind="longitude"),
    ),
    asked=(
        Asked("distance", "Distance", "length", "m", 0, 1.0),
        Asked("azimuth", "Azimuth", "azimuth", "°", 1, 0.5),
    ),
    solve=_ignored,
    slips=(
        Slip(
            "latitude-only",
            "Only the latitudes compared",
            lambda g: {"distance": abs(_parts(g)[0])},
            "{value} is the north-south part alone. The longitudes differ too: √(north² + east²).",
        ),
        Slip(
            "longitude-only",
            "Only the longitudes compared",
            lambda g: {"distance": abs(_parts(g)[1])},
            "{value} is the east-west part alone. The latitudes differ too: √(north² + east²).",
        ),
        Slip(
            "no-cosine",
            "cos φ left out",
            lambda g: _polar(_parts(g)[0], _parts(g)[1] / cos(g["lat"])),
            "This takes a second of longitude as long as a second of latitude. Meridians close in "
            "towards the pole: times cos φ.",
        ),
        Slip(
            "turned",
            "The wellhead as seen from the vessel",
            lambda g: {"azimuth": (_ignored(g)["azimuth"] + 180) % 360},
            "{value} is the way back, from the vessel to the wellhead. The vessel stands at the list's "
            "numbers: take list minus GNSS.",
        ),
        Slip(
            "from-east",
            "Angle counted from east",
            lambda g: {"azimuth": (90 - _ignored(g)["azimuth"]) % 360},
            "{value} counts from east and anticlockwise. An azimuth counts clockwise from north: "
            "atan2(east, north).",
        ),
        Slip(
            "sum",
            "Added, not squared",
            lambda g: {"distance": sum(map(abs, _parts(g)))},
            "{value} is the two parts added up. They stand at right angles: √(north² + east²).",
        ),
    ),
    nudges=(
        "Two sets of numbers for one wellhead. At which of them does the vessel stand, in WGS 84?",
        "A second of latitude is 30.9 m everywhere on this sphere. And a second of longitude?",
    ),
    steps=_steps_ignored,
    source="Differences on a sphere; HT-02 in tests: 126 m between WGS 84 and ED50 in the North Sea.",
)


# datums-three --------------------------------------------------------------------------
# The translation is 20 m or more to the east, where a wrong ellipsoid moves nothing; a wrong
# ellipsoid moves φ by 1.7 m, 28 tolerances, or more. What touches h alone is drawn 0.5 m, 10
# tolerances, apart: h itself, h as it was, the shift, its sign, feet and thousandths.


def _old(dice: Dice) -> Answer:
    name = dice.choose(tuple(OLD))
    return {
        "ellipsoid": name,
        "a": printed(OLD[name].semi_major, 3),
        "inverse_flattening": printed(OLD[name].inverse_flattening, 9),
    }


def _east_of(shift: tuple[float, ...], lon: float) -> float:
    return shift[1] * cos(lon) - shift[0] * sin(lon)


def _north_of(shift: tuple[float, ...], lat: float, lon: float) -> float:
    outward = shift[0] * cos(lon) + shift[1] * sin(lon)
    return shift[2] * cos(lat) - outward * sin(lat)


def _draw_three(dice: Dice) -> Answer:
    while True:
        given = {
            **_old(dice),
            "lat": draw_angle(dice, 20, 65, 3),
            "lon": draw_angle(dice, 5, 170, 3),
            "height": dice.signed(25, 90, 2),
            **{name: dice.signed(40, 220, 1) for name in ("dx", "dy", "dz")},
        }
        if abs(_east_of(_shift(given), given["lon"])) < 20:
            continue
        old, new = given["height"], _three(given)["height"]
        heights = [old, new, -new, new - old, new * 0.3048, new / 0.3048, new / 1000]
        if abs(new) > 5 and apart(heights, 0.5):
            return given


def _shift(g: Given) -> tuple[float, ...]:
    return _vector(g, ("dx", "dy", "dz"))


def _three(
    g: Given, sign: float = 1.0, height: float | None = None, target: Ellipsoid = WGS84
) -> Answer:
    """Return the position through X, Y, Z; the wrong routes change one thing on the way."""
    h = g["height"] if height is None else height
    start = _forward(g["lat"], g["lon"], h, OLD[g["ellipsoid"]])
    moved = (number + sign * d for number, d in zip(start, _shift(g), strict=True))
    return _named(_back(*moved, target), ("lat", "lon", "height"))


def _steps_three(g: Given) -> list[str]:
    start = _forward(g["lat"], g["lon"], g["height"], OLD[g["ellipsoid"]])
    right = _three(g)
    return [
        f"On {g['ellipsoid']}, with h = {g['height']:+.2f} m: {_in_numbers(start)}.",
        "Add the translations, WGS 84 minus old: "
        f"{_in_numbers([p + d for p, d in zip(start, _shift(g), strict=True)])}.",
        f"Back to angles on WGS 84: **{dms(right['lat'], 3, 'latitude')}**, "
        f"**{dms(right['lon'], 3, 'longitude')}**, **h = {right['height']:+.2f} m**.",
        f"The height changed by {right['height'] - g['height']:+.2f} m: two ellipsoids of other size, "
        "their centres apart.",
    ]


THREE = Exercise(
    key="datums-three",
    topic="datums",
    title="Three translations, the whole way",
    edition=1,
    elements=TRANSFORMING,
    aids="course tools",
    prompt="A position is given on an old datum, h above its own ellipsoid. Carry it to "
    f"{WGS84_NUMBERS} with three geocentric translations, **WGS 84 minus old datum**, added to the "
    "old X, Y, Z. What are latitude, longitude and ellipsoidal height in **WGS 84**? Give the angles "
    "to 0.001″, right within ±0.002″, and h to 0.01 m, right within ±0.05 m.",
    draw=_draw_three,
    printed=(
        *OLD_ELLIPSOID,
        Printed("lat", "φ, old datum", DMS, 3, kind="latitude"),
        Printed("lon", "λ, old datum", DMS, 3, kind="longitude"),
        Printed("height", "h, old datum", "m", 2, signed=True),
        *SHIFTS,
    ),
    asked=(
        Asked("lat", "φ", "latitude", DMS, 3, 0.002 / 3600),
        Asked("lon", "λ", "longitude", DMS, 3, 0.002 / 3600),
        Asked("height", "h", "length", "m", 2, 0.05, positive="up"),
    ),
    solve=_three,
    slips=(
        Slip(
            "turned",
            "The translations taken off",
            lambda g: _three(g, sign=-1),
            "The translations were taken off. They are WGS 84 minus old datum, and you go from old to "
            "WGS 84: add them.",
        ),
        Slip(
            "source-ellipsoid",
            "One ellipsoid for both steps",
            lambda g: _three(g, target=OLD[g["ellipsoid"]]),
            "One ellipsoid served both ways, to X, Y, Z and back. The old datum's belongs to the first "
            "step, and WGS 84 to the last.",
        ),
        Slip(
            "no-height",
            "Height left out on the way",
            lambda g: _three(g, height=0.0),
            "{value} comes from a point on the old ellipsoid itself, with h = 0. X, Y, Z need the "
            "height too.",
        ),
        Slip(
            "height-kept",
            "The height kept as it was",
            lambda g: {"height": g["height"]},
            "{value} is still the height above the old ellipsoid. The new one lies elsewhere: h "
            "changes as φ and λ do.",
        ),
    ),
    nudges=(
        "Three steps: old φ, λ, h to X, Y, Z; the shift; X, Y, Z to φ, λ, h. Which ellipsoid belongs "
        "to the first step, and which to the last?",
        "The translations are new minus old. Are they added or taken off on your way?",
    ),
    steps=_steps_three,
    source=f"Geocentric translations, EPSG method 9603. {IOGP}; checked against HT-01, HT-02 in tests.",
)


# datums-seven and datums-reverse -------------------------------------------------------
# The translation T is 139 m or more in all, rotation and scale together at most 75 m, the scale
# 3 m or more and at right angles to the rotation ω × X, which is drawn 1 m or more in some
# coordinate. Outcomes differ by whole numbers of these three, so by 1 m in some coordinate.


def _turning(g: Given, point: tuple[float, ...]) -> tuple[float, ...]:
    """Return ω × X: where the position vector convention moves a point, in metres."""
    rx, ry, rz = (g[name] / RHO for name in ROTATIONS)
    x, y, z = point
    return ry * z - rz * y, rz * x - rx * z, rx * y - ry * x


def _moved(
    g: Given, translate: float, rotate: float, scale: float, point: tuple[float, ...] | None = None
) -> tuple[float, ...]:
    """Return a point moved by so many times each of the three effects."""
    x = point or _vector(g)
    m = 1 + scale * g["scale"] / 1e6
    terms = zip(x, _turning(g, x), _vector(g, TRANSLATIONS), strict=True)
    return tuple(m * (p + rotate * turn) + translate * t for p, turn, t in terms)


def _at_sea(dice: Dice) -> tuple[float, ...]:
    lat, lon = dice.signed(5, 65, 4), dice.signed(5, 175, 4)
    return tuple(printed(p, 2) for p in to_ecef(lat, lon, dice.number(0, 60, 0), WGS84))


def _draw_seven(dice: Dice) -> Answer:
    while True:
        given = {
            **_named(_at_sea(dice)),
            **{name: dice.signed(80, 200, 2) for name in TRANSLATIONS},
            **{name: dice.signed(0.2, 1.2, 3) for name in ROTATIONS},
            "scale": dice.signed(0.5, 6, 3),
        }
        if max(map(abs, _turning(given, _vector(given)))) > 1:
            return given


def _helmert(g: Given, convention: str = "position vector") -> Helmert:
    return Helmert(*_vector(g, SEVEN), convention=convention)


def _seven(g: Given) -> Answer:
    return _named(_helmert(g).apply(*_vector(g)))


def _steps_seven(g: Given) -> list[str]:
    point, turn = _vector(g), _turning(g, _vector(g))
    effects = (_vector(g, TRANSLATIONS), turn, [p * g["scale"] / 1e6 for p in point])
    names = ("Translation", "Rotation", "Scale")
    rows = [
        f"{name}: {', '.join(f'{part:+.2f}' for part in effect)} m along X, Y, Z."
        for name, effect in zip(names, effects, strict=True)
    ]
    return [
        "Position vector: ΔX = −rZ·Y + rY·Z, ΔY = rZ·X − rX·Z, ΔZ = −rY·X + rX·Y, with the rotations "
        "in radians (″ / 206\u202f265).",
        *rows,
        f"All added to the old coordinates: {_in_numbers(_seven(g).values())}.",
    ]


SEVEN_PARAMETERS = Exercise(
    key="datums-seven",
    topic="datums",
    title="Seven parameters",
    edition=1,
    elements=TRANSFORMING,
    aids="calculator",
    prompt="A client's sheet takes Earth-centred coordinates from an old datum to WGS 84 with seven "
    "parameters, **old to WGS 84**, in the **position vector** convention, for small angles. The "
    "scale difference makes lengths longer where it is positive. What are X, Y, Z in WGS 84? Give "
    "each to 0.01 m; right within ±0.02 m.",
    draw=_draw_seven,
    printed=(*_point_rows(XYZ, "old datum"), *_parameter_rows()),
    asked=_asked_xyz(0.02),
    solve=_seven,
    slips=(
        Slip(
            "coordinate-frame",
            "Rotations of the other convention",
            lambda g: _named(_moved(g, 1, -1, 1)),
            "The three rotations have the wrong sign, as in the coordinate frame convention. The sheet "
            "says position vector: the point turns, not the axes.",
        ),
        Slip(
            "no-scale",
            "The scale left out",
            lambda g: _named(_moved(g, 1, 1, 0)),
            "The scale difference is missing. One part in a million is 6.4 m from the Earth's centre.",
        ),
        Slip(
            "scale-turned",
            "The scale with the wrong sign",
            lambda g: _named(_moved(g, 1, 1, -1)),
            "The scale difference went in with its sign turned. Where it is positive the point moves "
            "away from the Earth's centre, where negative towards it.",
        ),
        Slip(
            "no-rotations",
            "The rotations left out",
            lambda g: _named(_moved(g, 1, 0, 1)),
            "The rotations are missing. One arcsecond about an axis is up to 31 m at the surface.",
        ),
        Slip(
            "translations-only",
            "Only the translations",
            lambda g: _named(_moved(g, 1, 0, 0)),
            "Only the translations were added. The same sheet gives rotations and a scale, and its "
            "translations fit only together with them.",
        ),
        Slip(
            "backwards",
            "The way from WGS 84 to old",
            lambda g: _named(_moved(g, -1, -1, -1)),
            "All seven were used with their signs turned: that goes from WGS 84 to the old datum.",
        ),
    ),
    nudges=(
        "Do the three effects one by one: translation, scale, rotation. Each has a line for X, Y, Z.",
        "Position vector: a positive rZ turns the point from X towards Y. Which sign has rZ·Y in ΔX?",
    ),
    steps=_steps_seven,
    source=f"Position vector transformation, EPSG method 1033. {IOGP}; checked against HT-04, HT-05, "
    "HT-06 in tests.",
)


def _reverse(g: Given) -> Answer:
    return _named(_helmert(g).reverse().apply(*_vector(g)))


def _steps_reverse(g: Given) -> list[str]:
    right, turned = _reverse(g), _helmert(g).sign_reversed().apply(*_vector(g))
    return [
        "The parameters go from old to WGS 84. You go back, so all seven signs turn: tX, tY, tZ, rX, "
        "rY, rZ and the scale. The convention stays.",
        f"Signs turned: {_in_numbers(turned)}.",
        f"Exact inverse, with the matrix turned round: {_in_numbers(right.values())}.",
        f"The two differ by {_distance(turned, right.values()) * 1000:.1f} mm here; with rotations of "
        "20″ it would be a tenth of a metre.",
    ]


REVERSE = Exercise(
    key="datums-reverse",
    topic="datums",
    title="The same sheet, the other way",
    edition=1,
    elements=TRANSFORMING,
    aids="calculator",
    prompt="A client's sheet takes Earth-centred coordinates **from an old datum to WGS 84** with "
    "seven parameters, position vector convention, small angles. A seabed mark was fixed by GNSS in "
    "WGS 84. What are its X, Y, Z **in the old datum**? The exact inverse and the usual one, with "
    "all signs turned, both count. Give each to 0.01 m; right within ±0.02 m.",
    draw=_draw_seven,
    printed=(*_point_rows(XYZ, "WGS 84"), *_parameter_rows()),
    asked=_asked_xyz(0.02),
    solve=_reverse,
    slips=(
        Slip(
            "forward",
            "Forward once more",
            lambda g: _named(_moved(g, 1, 1, 1)),
            "The parameters were used as they stand. They go from old to WGS 84, and you are in WGS 84 "
            "already: that doubles the shift.",
        ),
        Slip(
            "translations-only",
            "Only the translations turned round",
            lambda g: _named(_moved(g, -1, 0, 0)),
            "Only the translations were taken off. Rotations and scale must be undone too.",
        ),
        Slip(
            "rotations-kept",
            "The rotations kept their sign",
            lambda g: _named(_moved(g, -1, 1, -1)),
            "Translations and scale were turned round and the rotations were not. To go back, all "
            "seven change sign; the convention stays.",
        ),
        Slip(
            "rest-kept",
            "Only the translations kept",
            lambda g: _named(_moved(g, 1, -1, -1)),
            "Rotations and scale were turned round and the translations were not. To go back, all "
            "seven change sign.",
        ),
    ),
    nudges=(
        "Which datum are the given coordinates in, and which way do the parameters go?",
        "What was added on the way there comes off on the way back, all seven.",
    ),
    steps=_steps_reverse,
    source=f"Reversal of the position vector transformation, EPSG method 1033. {IOGP}.",
)


# datums-convention ---------------------------------------------------------------------
# Half the miss, ω × X, is 8 m or more in all and no more than 0.96 of it along one axis; the
# scale is 3 m or more; backwards misses by 100 m or more. Of the two outcomes one is next to zero.


def _draw_convention(dice: Dice) -> Answer:
    while True:
        given = _draw_seven(dice)
        turn = _turning(given, _vector(given))
        size = math.hypot(*turn)
        if size > 8 and max(map(abs, turn)) < 0.96 * size:
            break
    which = dice.choose(("position vector", "coordinate frame"))
    target = _helmert(given, which).apply(*_vector(given))
    return {**given, **_named([printed(p, 2) for p in target], ("x2", "y2", "z2"))}


def _misses(g: Given, translate: float, rotate: float, scale: float) -> Answer:
    """Return by how much each convention misses the test point, so many times each effect in."""
    target = _vector(g, ("x2", "y2", "z2"))
    return {
        "position_vector": _distance(_moved(g, translate, rotate, scale), target),
        "coordinate_frame": _distance(_moved(g, translate, -rotate, scale), target),
    }


def _convention(g: Given) -> Answer:
    target = _vector(g, ("x2", "y2", "z2"))
    names = ("position vector", "coordinate frame")
    return {
        name.replace(" ", "_"): _distance(_helmert(g, name).apply(*_vector(g)), target)
        for name in names
    }


def _fits(g: Given) -> str:
    misses = _misses(g, 1, 1, 1)
    return min(misses, key=lambda name: misses[name])


def _one_axis(g: Given) -> Answer:
    wrong = "coordinate_frame" if _fits(g) == "position_vector" else "position_vector"
    rotate = 1 if wrong == "position_vector" else -1
    return {wrong: _largest(_moved(g, 1, rotate, 1), _vector(g, ("x2", "y2", "z2")))}


def _steps_convention(g: Given) -> list[str]:
    turn, right = _turning(g, _vector(g)), _convention(g)
    return [
        "Rotations in the position vector convention move the point by "
        f"{', '.join(f'{t:+.2f}' for t in turn)} m along X, Y, Z; in the coordinate frame convention "
        "by as much the other way.",
        f"Position vector misses the test point by **{right['position_vector']:.2f} m**, coordinate "
        f"frame by **{right['coordinate_frame']:.2f} m**.",
        f"So the sheet means **{_fits(g).replace('_', ' ')}**. The other reading is off by twice the "
        f"rotation, 2 × {math.hypot(*turn):.2f} m: and no alarm sounds.",
    ]


CONVENTION = Exercise(
    key="datums-convention",
    topic="datums",
    title="Which convention do they mean?",
    edition=1,
    elements=TRANSFORMING,
    aids="calculator",
    prompt="A client's sheet gives seven parameters from an old datum to WGS 84, for small angles, and "
    "does **not** say whether the rotations are position vector (the point turns) or coordinate "
    "frame (the axes turn). It gives one test point in both datums. Transform the test point in "
    "each convention: **by how much does each miss** the printed WGS 84 point, as a distance in "
    "space? The one that fits is the one they mean; the other miss is what the wrong choice costs. "
    "Give both to 0.01 m; right within ±0.05 m.",
    draw=_draw_convention,
    printed=(
        *_point_rows(XYZ, "test point, old datum"),
        *_parameter_rows(),
        *_point_rows(("x2", "y2", "z2"), "test point, WGS 84"),
    ),
    asked=(
        Asked("position_vector", "Position vector misses by", "length", "m", 2, 0.05),
        Asked("coordinate_frame", "Coordinate frame misses by", "length", "m", 2, 0.05),
    ),
    pairs=(("position_vector", "coordinate_frame"),),
    solve=_convention,
    slips=(
        Slip(
            "conventions-mixed",
            "The two conventions mixed up",
            lambda g: _named(
                reversed(_misses(g, 1, 1, 1).values()), ("position_vector", "coordinate_frame")
            ),
            "The two have changed places. Position vector: a positive rZ turns the point from X towards "
            "Y, so Y grows by rZ·X.",
            also=("swapped",),
        ),
        Slip(
            "no-rotations",
            "The rotations left out",
            lambda g: _misses(g, 1, 0, 1),
            "This is what is left without any rotation. Put them in once with each sign.",
        ),
        Slip(
            "no-scale",
            "The scale left out",
            lambda g: _misses(g, 1, 1, 0),
            "This is what is left without the scale. No convention of rotations can make up for it.",
        ),
        Slip(
            "backwards",
            "The parameters used backwards",
            lambda g: _misses(g, -1, -1, -1),
            "All seven were used with their signs turned, and neither convention fits. The "
            "parameters go from old to WGS 84.",
        ),
        Slip(
            "one-axis",
            "One axis for the distance in space",
            _one_axis,
            "{value} is the miss along one axis. The distance in space takes all three: √(X² + Y² + Z²).",
        ),
    ),
    nudges=(
        "Translations and scale are the same in both conventions: add them first.",
        "What is left to the printed point is the rotation. Does it have your sign or the other?",
    ),
    steps=_steps_convention,
    source=f"EPSG methods 1033 and 1032. {IOGP}; HT-05 in tests: 19.7 m from one sign.",
)


# datums-pivot --------------------------------------------------------------------------
# With D for rotation and scale together and P for the pivot, the outcomes of the pivot's slips
# differ by whole multiples of D·P: 19 m in all, or more. Rotation and scale over the survey itself,
# 120 km or more from the pivot, are drawn 0.2 m, 10 tolerances, or more in some coordinate.

HELMERT_T = ("hx", "hy", "hz")
PIVOT = ("px", "py", "pz")


def _draw_pivot(dice: Dice) -> Answer:
    while True:
        lat, lon = dice.signed(5, 60, 3), dice.signed(5, 170, 3)
        pivot = tuple(printed(p, 2) for p in to_ecef(lat, lon, 0.0, WGS84))
        north, east = dice.signed(0.8, 2.2, 3), dice.signed(0.8, 2.2, 3)
        point = to_ecef(lat + north, lon + east / cos(lat), dice.number(0, 60, 0), WGS84)
        given = {
            **_named([printed(p, 2) for p in point]),
            **_named(pivot, PIVOT),
            **{name: dice.signed(90, 380, 2) for name in TRANSLATIONS},
            **{name: dice.signed(1.5, 6, 3) for name in ROTATIONS},
            "scale": dice.signed(3, 8, 3),
        }
        turn = _turning(given, _arm(given))
        if max(map(abs, turn)) > 0.2:
            break
    about_centre = _moved(given, 1, 1, 1, pivot)
    whole = zip(_vector(given, TRANSLATIONS), pivot, about_centre, strict=True)
    helmert = (printed(2 * t + p - moved, 2) for t, p, moved in whole)
    return {**given, **_named(helmert, HELMERT_T)}


def _arm(g: Given) -> tuple[float, ...]:
    return tuple(p - q for p, q in zip(_vector(g), _vector(g, PIVOT), strict=True))


def _about(g: Given, pivot: float, rotate: float = 1.0, scale: float = 1.0) -> tuple[float, ...]:
    """Return the point turned and scaled about so many times the pivot, and moved."""
    pivots = tuple(pivot * p for p in _vector(g, PIVOT))
    arm = tuple(x - p for x, p in zip(_vector(g), pivots, strict=True))
    moved = _moved(g, 1, rotate, scale, arm)
    return tuple(m + p for m, p in zip(moved, pivots, strict=True))


def _badekas(g: Given) -> Answer:
    operation = MolodenskyBadekas(
        *_vector(g, SEVEN), _vector(g, PIVOT), convention="position vector"
    )
    return _named(operation.apply(*_vector(g)))


def _with_helmert_translations(g: Given) -> Answer:
    return _named(
        moved + other - own
        for moved, other, own in zip(
            _about(g, 1), _vector(g, HELMERT_T), _vector(g, TRANSLATIONS), strict=True
        )
    )


def _steps_pivot(g: Given) -> list[str]:
    arm = _arm(g)
    turned = [m - a for m, a in zip(_moved(g, 0, 1, 1, arm), arm, strict=True)]
    without = _distance(_about(g, 0), _badekas(g).values())
    return [
        f"Arm from the pivot: {', '.join(f'{number(a, 2, signed=True)}' for a in arm)} m. It is "
        f"{math.hypot(*arm) / 1000:.0f} km long, not 6\u202f371 km.",
        f"Rotation and scale of this arm: {', '.join(f'{t:+.2f}' for t in turned)} m.",
        f"Add that and the translations at the pivot: {_in_numbers(_badekas(g).values())}.",
        f"Without the pivot you would be {number(without, 0)} m off. The Helmert translations without "
        "a pivot give the same point as these with it: rotations and scale are the same, only the "
        "translations are not.",
    ]


PIVOTED = Exercise(
    key="datums-pivot",
    topic="datums",
    title="Turned about a pivot",
    edition=1,
    elements=TRANSFORMING,
    aids="calculator",
    prompt="A client's sheet gives an operation from an old datum to WGS 84 in the "
    "**Molodensky-Badekas** form, position vector convention, small angles: the point is turned and "
    "scaled **about a pivot**, given in the old datum, and then moved. Below it the sheet also prints "
    "the translations of the plain seven-parameter (Helmert) form with the same rotations and scale. "
    "What are X, Y, Z in WGS 84 by the Molodensky-Badekas form? Give each to 0.01 m; right within "
    "±0.02 m.",
    draw=_draw_pivot,
    printed=(
        *_point_rows(XYZ, "old datum"),
        *_parameter_rows(),
        *(Printed(p, f"pivot {p[1].upper()}", "m", 2, signed=True) for p in PIVOT),
        *(Printed(h, f"t{h[1].upper()}, Helmert form", "m", 2, signed=True) for h in HELMERT_T),
    ),
    asked=_asked_xyz(0.02),
    solve=_badekas,
    slips=(
        Slip(
            "no-pivot",
            "The pivot left out",
            lambda g: _named(_about(g, 0)),
            "The point was turned about the Earth's centre. These translations hold at the pivot: take "
            "the pivot off first, and put it back after.",
        ),
        Slip(
            "pivot-added",
            "The pivot added for subtracted",
            lambda g: _named(_about(g, -1)),
            "The pivot was added before turning. The arm is point minus pivot, some hundred "
            "kilometres long.",
        ),
        Slip(
            "other-translations",
            "Translations of the other form",
            _with_helmert_translations,
            "These are the Helmert translations, used with the pivot. They go with a rotation about "
            "the Earth's centre; the ones at the pivot are the others.",
        ),
        Slip(
            "coordinate-frame",
            "Rotations of the other convention",
            lambda g: _named(_about(g, 1, rotate=-1)),
            "The rotations have the wrong sign, as in the coordinate frame convention. Near the pivot "
            "that costs metres and not hundreds of them, and it is wrong all the same.",
        ),
        Slip(
            "translations-only",
            "Only the translations",
            lambda g: _named(_about(g, 1, rotate=0, scale=0)),
            "Only the translations at the pivot were added. Close to it that is nearly enough; the "
            "rotations and the scale of the arm are still missing.",
        ),
    ),
    nudges=(
        "What is turned is the arm from the pivot to the point, not the way from the Earth's centre.",
        "X = tX + pivot + (1 + scale) × turned arm. Which translations hold at the pivot?",
    ),
    steps=_steps_pivot,
    source=f"Molodensky-Badekas transformation, position vector, EPSG method 1061. {IOGP}.",
)


# datums-molodensky ---------------------------------------------------------------------
# The translation is 40 m or more east and 40 m or more north; Δφ and Δλ are 0.5″, 100 tolerances, or
# more, Δh 2 m or more. Δa turned moves Δh by 138 m or more; Δf left out moves Δφ by 1.9 m, which is
# 12 tolerances, or more. Each slip moves what another leaves alone; Δa turned moves φ least, so its
# Δh is drawn 1 m from the right one turned, in feet or in another unit.


def _draw_molodensky(dice: Dice) -> Answer:
    while True:
        given = {
            **_old(dice),
            "lat": float(dice.signed(20, 65, 2)),
            "lon": float(dice.signed(5, 170, 2)),
            **{name: dice.signed(40, 220, 1) for name in ("dx", "dy", "dz")},
        }
        lat, lon, shift = given["lat"], given["lon"], _shift(given)
        if min(abs(_east_of(shift, lon)), abs(_north_of(shift, lat, lon))) < 40:
            continue
        right, up = _molodensky(given), _by_terms(given, da=-1)["dh"]
        dh = right["dh"]
        heights = [0.0, dh, -dh, dh * 0.3048, dh / 0.3048]
        large = min(abs(right["dlat"]), abs(right["dlon"])) > 0.5 and abs(dh) > 2.5
        if large and min(abs(up - height) for height in heights) > 1:
            return given


@lru_cache(maxsize=8)
def _old_radii(name: str, lat: float) -> tuple[float, float]:
    return OLD[name].meridian_radius(lat), OLD[name].prime_vertical_radius(lat)


def _molodensky(g: Given) -> Answer:
    lat, lon, h = abridged_molodensky(
        g["lat"], g["lon"], 0.0, *_shift(g), OLD[g["ellipsoid"]], WGS84
    )
    return {"dlat": (lat - g["lat"]) * 3600, "dlon": (lon - g["lon"]) * 3600, "dh": h}


def _by_terms(g: Given, sign: float = 1.0, da: float = 1.0, df: float = 1.0) -> Answer:
    """Return the abridged formula by hand, with so many times the shift, Δa and Δf."""
    old, shift = OLD[g["ellipsoid"]], _shift(g)
    m, nu = _old_radii(g["ellipsoid"], g["lat"])
    big, flat = _differences(g)
    swell = old.semi_major * df * flat + old.flattening * da * big
    sine, cosine = sin(g["lat"]), cos(g["lat"])
    outward = shift[0] * cos(g["lon"]) + shift[1] * sin(g["lon"])
    north = sign * _north_of(shift, g["lat"], g["lon"]) + swell * 2 * sine * cosine
    up = sign * (outward * cosine + shift[2] * sine) + swell * sine**2 - da * big
    east = sign * _east_of(shift, g["lon"])
    return {"dlat": north / m * RHO, "dlon": east / (nu * cosine) * RHO, "dh": up}


def _differences(g: Given) -> tuple[float, float]:
    old = OLD[g["ellipsoid"]]
    return WGS84.semi_major - old.semi_major, WGS84.flattening - old.flattening


def _no_cosine(g: Given) -> Answer:
    return {"dlon": _molodensky(g)["dlon"] * cos(g["lat"])}


def _steps_molodensky(g: Given) -> list[str]:
    old, right = OLD[g["ellipsoid"]], _molodensky(g)
    big, flat = _differences(g)
    m, nu = _old_radii(g["ellipsoid"], g["lat"])
    swell = old.semi_major * flat + old.flattening * big
    return [
        f"WGS 84 minus old: Δa = {big:+.3f} m, Δf = {flat * 1e6:+.4f} × 10⁻⁶; aΔf + fΔa = "
        f"{swell:+.3f} m.",
        f"M = {number(m, 0)} m and ν = {number(nu, 0)} m on {g['ellipsoid']}.",
        "Δφ″ = (−ΔX sin φ cos λ − ΔY sin φ sin λ + ΔZ cos φ + (aΔf + fΔa) sin 2φ) · 206\u202f265 / M = "
        f"**{right['dlat']:+.3f}″**.",
        f"Δλ″ = (−ΔX sin λ + ΔY cos λ) · 206\u202f265 / (ν cos φ) = **{right['dlon']:+.3f}″**.",
        "Δh = ΔX cos φ cos λ + ΔY cos φ sin λ + ΔZ sin φ + (aΔf + fΔa) sin²φ − Δa = "
        f"**{right['dh']:+.2f} m**.",
    ]


MOLODENSKY = Exercise(
    key="datums-molodensky",
    topic="datums",
    title="Without X, Y, Z",
    edition=1,
    elements=TRANSFORMING,
    aids="calculator",
    prompt="A mark lies on the ellipsoid of an old datum, h = 0. Use the **abridged Molodensky** "
    f"formula to take it to {WGS84_NUMBERS}. The translations are WGS 84 minus old datum, and so are "
    "Δa and Δf. By how much do latitude, longitude and ellipsoidal height change, **WGS 84 minus "
    "old**? Give Δφ and Δλ in arcseconds, north and east positive, to 0.001″, right within ±0.005″, "
    "and Δh to 0.01 m, right within ±0.02 m.",
    draw=_draw_molodensky,
    printed=(
        *OLD_ELLIPSOID,
        Printed("lat", "φ, old datum, north +", "°", 2, signed=True),
        Printed("lon", "λ, old datum, east +", "°", 2, signed=True),
        *SHIFTS,
    ),
    asked=(
        Asked("dlat", "Δφ", "angle", "″", 3, 0.005, positive="north"),
        Asked("dlon", "Δλ", "angle", "″", 3, 0.005, positive="east"),
        Asked("dh", "Δh", "length", "m", 2, 0.02, positive="up"),
    ),
    solve=_molodensky,
    slips=(
        Slip(
            "turned",
            "The translations taken off",
            lambda g: _by_terms(g, sign=-1),
            "The three translations have the wrong sign. They are WGS 84 minus old, the way you go.",
        ),
        Slip(
            "da-sign",
            "Δa with the wrong sign",
            lambda g: _by_terms(g, da=-1),
            "Δa was taken as old minus WGS 84. It is WGS 84 minus old, as everything here.",
        ),
        Slip(
            "no-df",
            "Δf left out",
            lambda g: _by_terms(g, df=0),
            "Δf is missing. It looks like nothing, and times a it is metres, or hundreds of them.",
        ),
        Slip(
            "ellipsoids-swapped",
            "The two ellipsoids swapped",
            lambda g: _by_terms(g, da=-1, df=-1),
            "Δa and Δf were taken as old minus WGS 84. Both are target minus source.",
        ),
        Slip(
            "no-cosine",
            "cos φ left out of Δλ",
            _no_cosine,
            "{value} is the way east divided by ν. A parallel's radius is ν cos φ, so Δλ is larger.",
        ),
    ),
    nudges=(
        "First Δa, Δf and aΔf + fΔa. All of them target minus source.",
        "Split the translation into east, north and up at the mark. Which radius turns each into an "
        "angle?",
    ),
    steps=_steps_molodensky,
    source=f"Abridged Molodensky, EPSG method 9605. {IOGP}.",
)


# datums-estimate -----------------------------------------------------------------------
# Four points round a fifth, one of them 2 m to 4 m off along the ground: its own residual is the
# largest by far, for the other four hold it. The point asked for lies inside; there the bad point
# pulls it, and the mean of the differences leaves it, 0.14 m (7 tolerances) or more off: drawn so.

POINTS = range(1, 6)
CORNERS = ((0.0, 0.0), (1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (-1.0, 1.0))


def _text(point: Any) -> str:
    """Return a point as one row, plain enough to be copied into a form."""
    return "  ".join(f"{p:.3f}" for p in point)


@lru_cache(maxsize=64)
def _read(text: str) -> tuple[float, ...]:
    return tuple(map(float, text.split()))


@lru_cache(maxsize=16)
def _fit(source: tuple[str, ...], target: tuple[str, ...]) -> tuple[Helmert, np.ndarray]:
    before, after = ([_read(text) for text in texts] for texts in (source, target))
    return estimate(before, after, convention="position vector")


def _fitted(g: Given, leave_out: int = 0) -> tuple[Helmert, np.ndarray]:
    kept = [i for i in POINTS if i != leave_out]
    return _fit(tuple(g[f"s{i}"] for i in kept), tuple(g[f"t{i}"] for i in kept))


def _draw_estimate(dice: Dice) -> Answer:
    while True:
        given = _points(dice)
        if not _bad(given):
            continue
        routes = [[route(given)[axis] for axis in XYZ] for route in (_estimate, _kept, _mean)]
        if min(_largest(*pair) for pair in itertools.combinations(routes, 2)) > 0.14:
            return given


def _points(dice: Dice) -> Answer:
    """Draw a patch of five common points, one of them bad, and one point more."""
    lat, lon, bad = dice.signed(15, 60, 2), dice.signed(5, 170, 2), dice.whole(1, 5)
    places = [(n * dice.number(0.6, 0.9, 3), e * dice.number(0.6, 0.9, 3)) for n, e in CORNERS]
    places[0] = (dice.signed(0.05, 0.2, 3), dice.signed(0.05, 0.2, 3))
    places.append((dice.signed(0.25, 0.4, 3), dice.signed(0.25, 0.4, 3)))
    norths, easts = np.array(places).T
    heights = [float(dice.whole(0, 150)) for _ in places]
    source = np.stack(to_ecef(lat + norths, lon + easts / cos(lat), heights, WGS84), axis=1)
    seven = [dice.signed(60, 250, 2) for _ in TRANSLATIONS]
    seven += [dice.signed(1, 4, 3) for _ in ROTATIONS]
    operation = Helmert(*seven, dice.signed(3, 9, 3), convention="position vector")
    target = np.stack(operation.apply(*source.T), axis=1)
    noise = [[dice.number(-0.008, 0.008, 3) for _ in XYZ] for _ in POINTS]
    way, size = math.radians(dice.whole(0, 359)), dice.number(2, 4, 3)
    east, north = size * math.sin(way), size * math.cos(way)
    slip = (
        -east * sin(lon) - north * sin(lat) * cos(lon),
        east * cos(lon) - north * sin(lat) * sin(lon),
        north * cos(lat),
    )
    target[:5] += noise
    target[bad - 1] += slip
    given = {f"s{i}": _text(printed(p, 3) for p in source[i - 1]) for i in POINTS}
    given |= {f"t{i}": _text(printed(p, 3) for p in target[i - 1]) for i in POINTS}
    return {**given, "new": _text(printed(p, 3) for p in source[5])}


def _bad(g: Given) -> int:
    """Return the number of the point whose residual is the largest, 0 if none stands out."""
    return _standing_out(tuple(g[f"s{i}"] for i in POINTS), tuple(g[f"t{i}"] for i in POINTS))


@lru_cache(maxsize=16)
def _standing_out(source: tuple[str, ...], target: tuple[str, ...]) -> int:
    sizes = [math.hypot(*row) for row in _fit(source, target)[1].tolist()]
    *_, second, largest = sorted(sizes)
    return sizes.index(largest) + 1 if largest > 1.3 * second else 0


def _at_new(g: Given, helmert: Helmert) -> Answer:
    return _named(helmert.apply(*_read(g["new"])))


def _estimate(g: Given) -> Answer:
    bad = _bad(g)
    return {"bad": bad, **_at_new(g, _fitted(g, bad)[0])}


def _kept(g: Given) -> Answer:
    return _at_new(g, _fitted(g)[0])


def _mean(g: Given) -> Answer:
    bad = _bad(g)
    pairs = [(_read(g[f"s{i}"]), _read(g[f"t{i}"])) for i in POINTS if i != bad]
    shifts = (sum(t[k] - s[k] for s, t in pairs) / len(pairs) for k in range(3))
    return _named(p + d for p, d in zip(_read(g["new"]), shifts, strict=True))


def _other_convention(g: Given) -> Answer:
    found = _fitted(g, _bad(g))[0]
    turned = Helmert(
        *(found.tx, found.ty, found.tz, found.rx, found.ry, found.rz, found.scale_ppm),
        convention="coordinate frame",
    )
    return _at_new(g, turned)


def _steps_estimate(g: Given) -> list[str]:
    bad = _bad(g)
    with_all, without = _fitted(g)[0], _fitted(g, bad)[0]
    sizes = [math.hypot(*row) for row in _fitted(g)[1]]
    left = max(math.hypot(*row) for row in _fitted(g, bad)[1])
    apart = _distance(*((one.tx, one.ty, one.tz) for one in (with_all, without)))
    return [
        "All five points, residuals in space: "
        f"{', '.join(f'{i}: {size:.2f} m' for i, size in zip(POINTS, sizes, strict=True))}.",
        f"Point **{bad}** stands out. A bad point pulls the fit and so spoils the others' residuals "
        "too: leave it out and look again.",
        f"Without it the largest residual is {left * 1000:.0f} mm. The parameters: tX, tY, tZ = "
        f"{without.tx:.1f}, {without.ty:.1f}, {without.tz:.1f} m, rX, rY, rZ = {without.rx:.3f}″, "
        f"{without.ry:.3f}″, {without.rz:.3f}″ (position vector), {without.scale_ppm:+.3f} ppm.",
        f"The new point: {_in_numbers(list(_estimate(g).values())[1:])}.",
        f"The translations of the two fits are {apart:.0f} m apart, and on the patch they differ by "
        "decimetres: from a small patch the seven hang together, and none of them means much alone. "
        "Do not use them outside it.",
    ]


ESTIMATE = Exercise(
    key="datums-estimate",
    topic="datums",
    title="Parameters from common points",
    edition=1,
    elements=TRANSFORMING,
    aids="course tools",
    prompt="Five marks are known in an old datum and in WGS 84, each row **X  Y  Z in metres**. One of "
    "them is bad by metres. Estimate the seven parameters from old to WGS 84 by **least squares**, "
    "all coordinates with the same weight. **Which point is bad**, by its residual? Leave it out, "
    "estimate again from the other four, and carry the **new point** to WGS 84. Give the number of "
    "the bad point, and X, Y, Z of the new one to 0.01 m; right within ±0.02 m.",
    draw=_draw_estimate,
    printed=(
        *(Printed(f"s{i}", f"{i}, old datum") for i in POINTS),
        *(Printed(f"t{i}", f"{i}, WGS 84") for i in POINTS),
        Printed("new", "new point, old datum"),
    ),
    asked=(Asked("bad", "Bad point, its number", "count", "", 0, 0.5), *_asked_xyz(0.02)),
    solve=_estimate,
    slips=(
        Slip(
            "bad-kept",
            "The bad point kept",
            _kept,
            "The bad point is still in the fit, and pulls the new point with it. Leave it out and "
            "estimate again.",
        ),
        Slip(
            "backwards",
            "Source and target swapped",
            lambda g: _named(_fitted(g, _bad(g))[0].reverse().apply(*_read(g["new"]))),
            "These are the parameters from WGS 84 to old, used on an old coordinate. Source is what "
            "you have, target what you want.",
        ),
        Slip(
            "mean",
            "The mean of the differences",
            _mean,
            "This is the old point plus the mean of the differences: translations alone. Rotation and "
            "scale change the difference over the patch by decimetres and more.",
        ),
        Slip(
            "other-convention",
            "Estimated in one convention, used in another",
            _other_convention,
            "The rotations were estimated in one convention and used in the other. Write the "
            "convention beside the parameters, always.",
        ),
    ),
    nudges=(
        "Fit all five first. A point that does not belong shows the largest residual.",
        "Then four points and no bad one: the residuals fall to millimetres. Does yours?",
    ),
    steps=_steps_estimate,
    source="Least squares about the centroid. A. Leick, L. Rapoport and D. Tatarnikov, GPS Satellite "
    "Surveying, 4th ed. 2015 (from memory); estimated parameters checked against their own inputs "
    "and PROJ in tests.",
)


# datums-grid-shift ---------------------------------------------------------------------
# The shift of latitude grows up the cell and across it, both towards the near corner or both away
# from it, so that mean, nearest node and the right one stand 0.016″ (8 tolerances) apart; the one
# with east and west nodes changed about is drawn 0.012″ from the mean. Backwards is 0.6″ off or
# more. Only the longitude shift read as positive east leaves the latitude alone: 1.6″ off or more.

CELL = 0.25  # degrees
NODES = ("se", "sw", "ne", "nw")


def _draw_grid(dice: Dice) -> Answer:
    while True:
        south, east = dice.whole(60, 250) * CELL, dice.whole(20, 680) * CELL
        up, west = (dice.choose((1, -1)) * dice.number(0.1, 0.38, 4) for _ in "ab")
        given = {
            "lat": to_print(south + CELL * (0.5 + up), 3),
            "west": to_print(east + CELL * (0.5 + west), 3),
            "south": south,
            "east": east,
        }
        for name, low, high in (("lat", 0.9, 2.5), ("lon", 1.4, 4.0)):
            sign, base = dice.choose((1, -1)), dice.number(low, high, 3)
            climb = math.copysign(dice.number(0.1, 0.28, 3), up)
            across = math.copysign(dice.number(0.1, 0.28, 3), west)
            for node in NODES:
                corner = climb * (node[0] == "n") + across * (node[1] == "w")
                shift = base + corner + dice.number(-0.01, 0.01, 3)
                given[f"{name}_{node}"] = printed(sign * shift, 3)
        routes = [_grid_shift(given, weights)[0] for weights in _ALL_WEIGHTS]
        if apart(routes, 0.012):
            return given


def _fractions(g: Given) -> tuple[float, float]:
    """Return how far up from the southern and how far west from the eastern nodes."""
    return (g["lat"] - g["south"]) / CELL, (g["west"] - g["east"]) / CELL


def _weights(up: float, west: float) -> tuple[float, ...]:
    return (1 - up) * (1 - west), (1 - up) * west, up * (1 - west), up * west


def _bilinear(g: Given) -> tuple[float, ...]:
    return _weights(*_fractions(g))


def _mirrored(g: Given) -> tuple[float, ...]:
    up, west = _fractions(g)
    return _weights(up, 1 - west)


def _nearest(g: Given) -> tuple[float, ...]:
    return _weights(*(float(part > 0.5) for part in _fractions(g)))


def _equal(g: Given) -> tuple[float, ...]:
    return _weights(0.5, 0.5)


_ALL_WEIGHTS = (_bilinear, _mirrored, _nearest, _equal)


def _grid_shift(g: Given, weights: Any = _bilinear) -> tuple[float, float]:
    """Return the shift of latitude (north) and of longitude (west), in arcseconds."""
    lat, lon = (
        sum(w * g[f"{name}_{node}"] for w, node in zip(weights(g), NODES, strict=True))
        for name in ("lat", "lon")
    )
    return lat, lon


def _shifted(g: Given, north: float, west: float) -> Answer:
    return {"lat": g["lat"] + north / 3600, "lon": -(g["west"] + west / 3600)}


def _steps_grid(g: Given) -> list[str]:
    (up, west), (north, shift) = _fractions(g), _grid_shift(g)
    right = _shifted(g, north, shift)
    return [
        f"In the cell you are {up:.4f} of the way up, and {west:.4f} of the way **west**, from the "
        "eastern nodes.",
        "Weights: "
        + ", ".join(f"{node.upper()} {w:.4f}" for node, w in zip(NODES, _bilinear(g), strict=True))
        + ".",
        f"Shift of latitude {north:+.3f}″: **{dms(right['lat'], 3, 'latitude')}**.",
        f"Shift of longitude {shift:+.3f}″, positive west, so the number of degrees **west** "
        f"{'grows' if shift > 0 else 'shrinks'}: **{dms(right['lon'], 3, 'longitude')}**.",
        f"With the sign taken for east you would stand {2 * abs(shift) * 30.887 * cos(g['lat']):.0f} m "
        "from there.",
    ]


def _node_rows(name: str, label: str) -> tuple[Printed, ...]:
    return tuple(
        Printed(f"{name}_{node}", f"{label}, {node.upper()} node", "″", 3, signed=True)
        for node in NODES
    )


GRID_SHIFT = Exercise(
    key="datums-grid-shift",
    topic="datums",
    title="A grid that counts west",
    edition=1,
    elements=TRANSFORMING,
    aids="calculator",
    prompt="A grid of shifts takes positions from an old datum to a new one, **new minus old**, added "
    "to the old position. In this grid **longitude and its shift count positive west**, latitude "
    "positive north. The nodes stand every 0.25°; the four round your point are printed. Interpolate "
    "bilinearly: what are latitude and longitude in the **new** datum? Give both with their letters "
    "to 0.001″; right within ±0.002″.",
    draw=_draw_grid,
    printed=(
        Printed("lat", "φ, old datum", DMS, 3, kind="latitude"),
        Printed("west", "λ west, old datum", DMS, 3),
        Printed("south", "φ of the southern nodes, north", "°", 2),
        Printed("east", "λ west of the eastern nodes", "°", 2),
        *_node_rows("lat", "φ shift"),
        *_node_rows("lon", "λ shift"),
    ),
    asked=(
        Asked("lat", "φ, new datum", "latitude", DMS, 3, 0.002 / 3600),
        Asked("lon", "λ, new datum", "longitude", DMS, 3, 0.002 / 3600),
    ),
    solve=lambda g: _shifted(g, *_grid_shift(g)),
    slips=(
        Slip(
            "east",
            "The shift of longitude taken for east",
            lambda g: {"lon": _shifted(g, 0, -_grid_shift(g)[1])["lon"]},
            "{value}: the shift went the wrong way. In this grid longitude counts positive **west**, "
            "and a positive shift makes a west longitude larger.",
        ),
        Slip(
            "nearest",
            "The nearest node",
            lambda g: _shifted(g, *_grid_shift(g, _nearest)),
            "These are the shifts of the nearest node. Between nodes weigh all four by their nearness.",
        ),
        Slip(
            "mean",
            "The mean of the four nodes",
            lambda g: _shifted(g, *_grid_shift(g, _equal)),
            "This is the plain mean of the four nodes: right in the middle of the cell only.",
        ),
        Slip(
            "mirrored",
            "East and west nodes changed about",
            lambda g: _shifted(g, *_grid_shift(g, _mirrored)),
            "The weights of the eastern and western nodes have changed places. In a grid that counts "
            "west, the smaller longitude lies in the east.",
        ),
        Slip(
            "backwards",
            "Applied backwards",
            lambda g: _shifted(g, *(-shift for shift in _grid_shift(g))),
            "Both shifts were taken off. They are new minus old, and you have the old position: add "
            "them.",
        ),
    ),
    nudges=(
        "Sketch the cell with north up and **west to the left**. Where does your point lie in it?",
        "Count how far west of the eastern nodes you are. Their longitude is the smaller one.",
    ),
    steps=_steps_grid,
    source=f"Bilinear interpolation in a grid of shifts, as EPSG methods 9613 and 9615 use it; the "
    f"second counts longitude west. {IOGP}.",
)


# datums-null ---------------------------------------------------------------------------
# Along the plate's motion all outcomes are a number of years of it: right T, the sheet's alone a
# (10 to 14), 0, −T, the years since alone b (a + 3 to a + 9), a − b. They stand 3 years apart, and
# both components of the motion are 13 mm a year or more: 39 mm, 7 tolerances.

PLATE_FIXED = {
    "EURA": (1989.0, (54, 66), (-6, 8)),
    "AUST": (1994.0, (-22, -12), (112, 128)),
    "INDI": (2000.0, (8, 20), (68, 84)),
}


def _draw_null(dice: Dice) -> Answer:
    plate = dice.choose(tuple(PLATE_FIXED))
    start, lats, lons = PLATE_FIXED[plate]
    lat, lon = dice.number(*lats, 1), dice.number(*lons, 1)
    rates = [printed(1000 * v, 1) for v in velocity(lat, lon, ITRF2020[plate], GRS80)]
    first = dice.number(10, 14, 1)
    later = first + dice.number(3, 9, 1)
    return {
        "plate": NAMES[plate],
        "sheet_epoch": printed(start + first, 1),
        "sheet_east": printed(rates[0] * first / 1000, 3),
        "sheet_north": printed(rates[1] * first / 1000, 3),
        "rate_east": rates[0],
        "rate_north": rates[1],
        "epoch": printed(start + first + later, 1),
    }


def _null(g: Given, sheet: float = 1.0, years: float | None = None) -> Answer:
    since = g["epoch"] - g["sheet_epoch"] if years is None else years
    return {
        way: sheet * g[f"sheet_{way}"] + g[f"rate_{way}"] / 1000 * since
        for way in ("east", "north")
    }


def _steps_null(g: Given) -> list[str]:
    right, since = _null(g), g["epoch"] - g["sheet_epoch"]
    return [
        f"From {g['sheet_epoch']:.1f} to {g['epoch']:.1f} it is {since:.1f} years.",
        f"East: {g['sheet_east']:+.3f} m + {since:.1f} × {g['rate_east']:+.1f} mm = "
        f"**{right['east']:+.3f} m**.",
        f"North: {g['sheet_north']:+.3f} m + {since:.1f} × {g['rate_north']:+.1f} mm = "
        f"**{right['north']:+.3f} m**.",
        f"Together {math.hypot(*right.values()):.2f} m that a null transformation leaves out, without "
        "a warning, and more every year.",
    ]


NULL = Exercise(
    key="datums-null",
    topic="datums",
    title="“WGS 84” as nothing at all",
    edition=1,
    elements=(*FRAMES, *TRANSFORMING),
    aids="calculator",
    prompt="The job's grid stands on a regional frame **fixed to the plate**. The receiver works in "
    "ITRF2020 at the epoch of survey, which is what “WGS 84” means today within centimetres. The "
    "software joins the two by a **null transformation**: it moves nothing. The sheet printed how far "
    "they stood apart at another epoch, **ITRF minus regional** for one and the same mark, and how "
    "that grows. How far apart do they stand **at the epoch of survey**, ITRF minus regional? Give "
    "east and north to 0.001 m; right within ±0.005 m.",
    draw=_draw_null,
    printed=(
        Printed("plate", "plate"),
        Printed("sheet_epoch", "epoch of the sheet", decimals=1, kind="year"),
        Printed("sheet_east", "ITRF − regional, east, then", "m", 3, signed=True),
        Printed("sheet_north", "ITRF − regional, north, then", "m", 3, signed=True),
        Printed("rate_east", "growth east", "mm/yr", 1, signed=True),
        Printed("rate_north", "growth north", "mm/yr", 1, signed=True),
        Printed("epoch", "epoch of survey", decimals=1, kind="year"),
    ),
    asked=(
        Asked("east", "East", "length", "m", 3, 0.005, positive="east"),
        Asked("north", "North", "length", "m", 3, 0.005, positive="north"),
    ),
    solve=_null,
    slips=(
        Slip(
            "null",
            "The null believed",
            lambda g: {"east": 0.0, "north": 0.0},
            "That is what the software believes. The plate carries the regional frame along; ITRF does "
            "not go with it.",
        ),
        Slip(
            "epoch-left-out",
            "The sheet's epoch kept",
            lambda g: _null(g, years=0),
            "This is what the sheet says for its own epoch. Since then the plate went on: add the "
            "growth of the years between.",
        ),
        Slip(
            "turned",
            "Regional minus ITRF",
            lambda g: {name: -value for name, value in _null(g).items()},
            "The size is right and the sign is turned: asked is ITRF minus regional. The plate moves, "
            "and in ITRF the mark goes with it.",
            also=("sign",),
        ),
        Slip(
            "growth-only",
            "Only the growth since the sheet",
            lambda g: _null(g, sheet=0),
            "This is the growth since the sheet's epoch. At that epoch the two were apart already: "
            "add what the sheet gives.",
        ),
        Slip(
            "years-turned",
            "The years counted backwards",
            lambda g: _null(g, years=g["sheet_epoch"] - g["epoch"]),
            "This took the growth off. The survey is later than the sheet, so the gap has grown.",
        ),
    ),
    nudges=(
        "How many years lie between the sheet and the survey?",
        "What was apart already, and what has come to it since?",
    ),
    steps=_steps_null,
    source="Altamimi et al., ITRF2020 plate motion model, Geophysical Research Letters 50, 2023; TD-08 "
    "in tests for the North Sea. EPSG 1149 is such a null operation, with a stated accuracy of 1 m.",
)


# datums-operation ----------------------------------------------------------------------

OPERATION_AREA = choice(
    "datums-operation-area",
    "Which operation? By its area",
    "A mark in the **British sector of the North Sea**, 57° N 1° E, is given in ED50 and wanted in "
    "WGS 84. The client's sheet names no operation. The registry offers four, from **ED50 to WGS 84**; "
    "which do you put to the client for approval?",
    ("common-offshore", "EPSG 1311: offshore, UK and others, 1 m"),
    {
        "mean": (
            "EPSG 1133: Europe, west, 10 m",
            "A mean for a continent, and so stated to 10 m. It is for those who have nothing better.",
        ),
        "norway": (
            "EPSG 1613: Norway south of 62° N, 1 m",
            "As accurate, and for the other side of the median line. Its area of use is Norwegian "
            "waters.",
        ),
        "north": (
            "EPSG 1612: Norway north of 62° N, 1 m",
            "As accurate, and five degrees too far south for it.",
        ),
    },
    elements=TRANSFORMING,
    because="Area of use first, accuracy second: an operation is as good as it says only where it is "
    "made for. And the client decides, in writing.",
    source=f"{REGISTRY}: 1133, 1311, 1612, 1613, their areas of use and accuracies.",
    nudges=("Strike out first what is not made for British waters.",),
)

OPERATION_DIRECTION = choice(
    "datums-operation-direction",
    "Which operation? The other way",
    "The client approved **ED50 to WGS 84 (18), EPSG 1311**. You have GNSS positions in WGS 84 and "
    "need them in **ED50**. What do you use?",
    ("inverse", "EPSG 1311, reversed"),
    {
        "as-it-stands": (
            "EPSG 1311 as it stands",
            "Its parameters go from ED50 to WGS 84. Used as they stand on a WGS 84 position they double "
            "the shift.",
        ),
        "another": (
            "Another one, called “WGS 84 to ED50”",
            "Somebody else's parameters would be another operation: there and back would not meet. Go "
            "back by the way you came.",
        ),
        "rotations": (
            "EPSG 1311 with its rotations in the other convention",
            "That turns three of the seven signs. To go back all seven turn, and the convention stays.",
        ),
    },
    elements=TRANSFORMING,
    because="An operation is one set of parameters with a stated direction. Going back, the same set is "
    "reversed, so that there and back meet.",
    source=f"Reversibility of operations. {IOGP}; {REGISTRY}: 1311.",
    nudges=("Which operation takes a position there and back to where it was?",),
)

OPERATION_ACCURACY = choice(
    "datums-operation-accuracy",
    "Which operation? What 1 m means",
    "An RTK position in WGS 84 is good to **2 cm**. It goes to a local datum by an operation with a "
    "registered accuracy of **1 m**. How good is it against marks of that local datum?",
    ("about-a-metre", "About a metre"),
    {
        "two-centimetres": (
            "2 cm: computing adds no error",
            "The arithmetic adds none, and the parameters do. They fit the old marks to about a metre, "
            "because the old marks are no better.",
        ),
        "adds": (
            "1.02 m: the two add up",
            "Independent uncertainties add in squares: √(1² + 0.02²) = 1.0002 m. Two centimetres are "
            "lost beside a metre.",
        ),
        "half": (
            "51 cm: the mean of the two",
            "Nothing is gained from the better one. The worse of the two decides.",
        ),
    },
    elements=TRANSFORMING,
    because="The accuracy of an operation says how well its parameters fit the old datum. A new position "
    "in it cannot be better than that, however good the receiver. Two positions carried by the same "
    "operation still agree with each other to centimetres.",
    source=f"Meaning of a registered accuracy. {IOGP} and Guidance Note 7 part 1 (from memory).",
    nudges=("Which of the two uncertainties is the larger, and how do they combine?",),
)

OPERATION_GRID = choice(
    "datums-operation-grid",
    "Which operation? The grid file is missing",
    "Software turns ellipsoidal heights into heights above the EGM96 geoid (EPSG:4979 to EPSG:9707). "
    "On a new laptop the results come out **equal to the input**, and no message appears. What "
    "happened?",
    ("ballpark", "The geoid grid was not found, and a rough stand-in moved nothing"),
    {
        "sea": (
            "Nothing: at sea the two heights are the same",
            "At sea N runs from about −107 m to +85 m. Equal heights would be a rare accident.",
        ),
        "axes": (
            "Latitude and longitude were swapped",
            "Then the geoid height would be another place's, and not nothing at all.",
        ),
        "tide": (
            "The permanent tide was taken out twice",
            "That is decimetres. Here tens of metres are missing.",
        ),
    },
    elements=TRANSFORMING,
    because="Without its grid the engine falls back on a “ballpark” operation, which leaves the height "
    "as it is and says so nowhere unless it is asked. Forbid it, or prove every set-up on a test "
    "point.",
    source="PROJ 9.5 through pyproj 3.7, tried: EPSG:4979 to EPSG:9707 without its grid; it raises only "
    "with allow_ballpark=False.",
    nudges=("What does a laptop have, or not have, beside its software?",),
)


# Say first -----------------------------------------------------------------------------

FIRST_NUMBERS = choice(
    "datums-first-numbers",
    "Say first: the same numbers",
    "An old list gives a wreck by latitude and longitude, on the local datum of its day. Your receiver, "
    "in WGS 84, shows **exactly the same numbers**. Where is the wreck?",
    ("away", "Tens to hundreds of metres away, perhaps more"),
    {
        "below": (
            "Below the keel: a position is a position",
            "The same numbers on another ellipsoid, laid another way, are another place. North Sea: "
            "126 m between ED50 and WGS 84.",
        ),
        "noise": (
            "Within the noise of GNSS, some metres",
            "Modern frames agree to a metre or so. Old ones were fixed by stars at one place each, and "
            "their centres stand hundreds of metres apart.",
        ),
        "height": (
            "Below the keel, only its height is different",
            "The height is different too. Latitude and longitude are as well.",
        ),
    },
    elements=FRAMES,
    because="Latitude and longitude name a place only together with a datum. Between an old datum and "
    "WGS 84 the same numbers lie tens to hundreds of metres apart.",
    source="HT-02: WGS 84 and ED50 in the North Sea. " + IOGP + ".",
    marks=0,
)

FIRST_SWITCH = choice(
    "datums-first-switch",
    "Say first: the convention switch",
    "A sheet gives rZ = **+1″** and no convention. You take it for the wrong one. How far off is a "
    "point on the equator?",
    ("sixty", "About 62 m: twice the rotation"),
    {
        "thirty": (
            "About 31 m: the rotation",
            "Without the rotation it would be 31 m. The wrong convention turns it the other way: twice "
            "as much.",
        ),
        "millimetres": (
            "Millimetres: 1″ is a tiny angle",
            "At the Earth's centre one second opens to 31 m at the surface.",
        ),
        "nothing": (
            "Nothing: the convention is only a name",
            "The names stand for opposite signs of all three rotations.",
        ),
    },
    elements=TRANSFORMING,
    because="1″ × 6\u202f378 km is 30.9 m. The two conventions turn opposite ways, so the wrong one is "
    "out by twice that.",
    source=f"EPSG methods 1033 and 1032. {IOGP}; HT-05 in tests.",
    marks=0,
)

EXERCISES = (
    FIRST_NUMBERS,
    FIRST_SWITCH,
    IGNORED,
    THREE,
    SEVEN_PARAMETERS,
    CONVENTION,
    REVERSE,
    PIVOTED,
    MOLODENSKY,
    ESTIMATE,
    GRID_SHIFT,
    NULL,
    OPERATION_AREA,
    OPERATION_DIRECTION,
    OPERATION_ACCURACY,
    OPERATION_GRID,
)
