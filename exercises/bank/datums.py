"""Exercises of lesson 10, datums and transformations."""

import itertools
import math
from collections.abc import Callable, Iterable
from dataclasses import asdict, replace
from functools import lru_cache
from typing import Any

import numpy as np

from exercises.bank.common import EARTH_RADIUS, cos, draw_angle, sin, to_print
from exercises.question.dice import Dice, apart, printed
from exercises.question.model import DMS, Answer, Asked, Given, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import (
    Numbers,
    also,
    counted,
    exchanged,
    misread,
    then,
    times,
    turned,
    using,
)
from geokit import ellipsoids
from geokit.angles import RHO
from geokit.datums import Helmert, MolodenskyBadekas, abridged_molodensky, estimate
from geokit.ecef import from_ecef, to_ecef
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import GRS80, WGS84
from geokit.lines import great_circle, inverse
from geokit.motion import velocity
from geokit.plates import ITRF2020, NAMES

FRAMES = ("S-5A F1.2a", "S-5B E4.1b")
TRANSFORMING = ("S-5A F1.2b", "S-5B E4.1c")
XYZ = ("x", "y", "z")
TRANSLATIONS = ("tx", "ty", "tz")
ROTATIONS = ("rx", "ry", "rz")
SHIFTS = ("dx", "dy", "dz")

OLD = {
    ellipsoid.name: ellipsoid
    for ellipsoid in (
        ellipsoids.INTERNATIONAL1924,
        ellipsoids.CLARKE1866,
        ellipsoids.CLARKE1880RGS,
        ellipsoids.BESSEL1841,
        ellipsoids.AIRY1830,
        ellipsoids.KRASSOWSKY1940,
    )
}
OLD_ELLIPSOID = (
    Printed("ellipsoid", "ellipsoid of the old datum"),
    Printed("a", "its a, semi-major axis", "m", 3),
    Printed("inverse_flattening", "its 1/f, inverse flattening", "", 9),
)


def _rows(names: Iterable[str], label: str, unit: str, decimals: int) -> tuple[Printed, ...]:
    """Return signed rows; the label's @ stands for the name's X, Y or Z."""
    return tuple(
        Printed(name, label.replace("@", name[-1].upper()), unit, decimals, signed=True)
        for name in names
    )


SHIFT_ROWS = _rows(SHIFTS, "Δ@, WGS 84 minus old datum", "m", 1)
PARAMETERS = (
    *_rows(TRANSLATIONS, "t@", "m", 2),
    *_rows(ROTATIONS, "r@", "″", 3),
    Printed("scale", "scale difference", "ppm", 3, signed=True),
)
ASKED_XYZ = tuple(Asked(name, name.upper(), "length", "m", 2, 0.02) for name in XYZ)


def _vector(g: Given, names: Iterable[str] = XYZ) -> tuple[float, ...]:
    return tuple(g[name] for name in names)


def _sum(*vectors: Iterable[float]) -> tuple[float, ...]:
    return tuple(map(sum, zip(*vectors, strict=True)))


def _to_print(values: Iterable[float], names: Iterable[str] = XYZ) -> Answer:
    return {name: printed(value, 2) for name, value in zip(names, values, strict=True)}


def _along_axes(name: str, values: Iterable[float]) -> Answer:
    """Return numbers for the worked answer: name_x, name_y, name_z."""
    return {f"{name}_{axis}": value for axis, value in zip(XYZ, values, strict=True)}


def _largest(a: Iterable[float], b: Iterable[float]) -> float:
    """Return the largest difference of two points in one coordinate."""
    return max(abs(p - q) for p, q in zip(a, b, strict=True))


# Choices -------------------------------------------------------------------------------

FIRST_NUMBERS = choice("datums-first-numbers", elements=FRAMES, marks=0)
FIRST_SWITCH = choice("datums-first-switch", elements=TRANSFORMING, marks=0)
OPERATION_AREA = choice("datums-operation-area", elements=TRANSFORMING)
OPERATION_DIRECTION = choice("datums-operation-direction", elements=TRANSFORMING)
OPERATION_ACCURACY = choice("datums-operation-accuracy", elements=TRANSFORMING)
OPERATION_GRID = choice("datums-operation-grid", elements=TRANSFORMING)


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


def _north_east(g: Numbers) -> tuple[float, float]:
    """Return how far north and east the vessel stands, in metres."""
    metre = math.radians(1) * EARTH_RADIUS
    return (g.lat - g.gnss_lat) * metre, (g.lon - g.gnss_lon) * metre * cos(g.lat)


def _without_cosine(g: Numbers) -> tuple[float, float]:
    north, east = _north_east(g)
    east /= cos(g.lat)
    return math.hypot(north, east), math.degrees(math.atan2(east, north)) % 360


IGNORED = exercise(
    "datums-ignored",
    elements=(*FRAMES, *TRANSFORMING),
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
    solve=lambda g: great_circle(g.gnss_lat, g.gnss_lon, g.lat, g.lon, EARTH_RADIUS)[:2],
    slips={
        "latitude-only": misread("distance", gnss_lon=lambda g: g.lon),
        "longitude-only": misread("distance", gnss_lat=lambda g: g.lat),
        "no-cosine": _without_cosine,
        "turned": then(lambda azimuth: (azimuth + 180) % 360, "azimuth"),
        "from-east": then(lambda azimuth: (90 - azimuth) % 360, "azimuth"),
        "sum": lambda g: {"distance": sum(map(abs, _north_east(g)))},
    },
    methods={
        "ellipsoid": counted(lambda g: inverse(g.gnss_lat, g.gnss_lon, g.lat, g.lon, WGS84)[:2])
    },
    work=lambda g: {
        "lat_seconds": (g.lat - g.gnss_lat) * 3600,
        "lon_seconds": (g.lon - g.gnss_lon) * 3600,
        "north": _north_east(g)[0],
        "east": _north_east(g)[1],
        "cosine": cos(g.lat),
    },
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


def _east_of(g: Numbers) -> float:
    return g.dy * cos(g.lon) - g.dx * sin(g.lon)


def _north_of(g: Numbers) -> float:
    return g.dz * cos(g.lat) - (g.dx * cos(g.lon) + g.dy * sin(g.lon)) * sin(g.lat)


def _draw_three(dice: Dice) -> Answer:
    while True:
        given = Numbers(
            **_old(dice),
            lat=draw_angle(dice, 20, 65, 3),
            lon=draw_angle(dice, 5, 170, 3),
            height=dice.signed(25, 90, 2),
            **{name: dice.signed(40, 220, 1) for name in SHIFTS},
        )
        old, new = given.height, _three(given)[2]
        heights = [old, new, -new, new - old, new * 0.3048, new / 0.3048, new / 1000]
        if abs(_east_of(given)) >= 20 and abs(new) > 5 and apart(heights, 0.5):
            return given


def _start(g: Numbers) -> tuple[float, ...]:
    return to_ecef(g.lat, g.lon, g.height, OLD[g.ellipsoid])


def _abridged(g: Numbers) -> tuple[float, ...]:
    ends = (OLD[g.ellipsoid], WGS84)
    return abridged_molodensky(g.lat, g.lon, g.height, *_vector(g, SHIFTS), *ends)


def _three(g: Numbers, sign: int = 1, one_ellipsoid: bool = False) -> tuple[float, ...]:
    """Return the position through X, Y, Z."""
    moved = _sum(_start(g), (sign * shift for shift in _vector(g, SHIFTS)))
    return from_ecef(*moved, OLD[g.ellipsoid] if one_ellipsoid else WGS84)


THREE = exercise(
    "datums-three",
    elements=TRANSFORMING,
    aids="course tools",
    draw=_draw_three,
    printed=(
        *OLD_ELLIPSOID,
        Printed("lat", "φ, old datum", DMS, 3, kind="latitude"),
        Printed("lon", "λ, old datum", DMS, 3, kind="longitude"),
        Printed("height", "h, old datum", "m", 2, signed=True),
        *SHIFT_ROWS,
    ),
    asked=(
        Asked("lat", "φ", "latitude", DMS, 3, 0.002 / 3600),
        Asked("lon", "λ", "longitude", DMS, 3, 0.002 / 3600),
        Asked("height", "h", "length", "m", 2, 0.05, positive="up"),
    ),
    solve=_three,
    slips={
        "turned": using(sign=-1),
        "source-ellipsoid": using(one_ellipsoid=True),
        "no-height": misread(height=0.0),
        "height-kept": lambda g: {"height": g.height},
    },
    methods={"abridged": _abridged},
    work=lambda g: {
        "old": g.height,
        **_along_axes("start", _start(g)),
        **_along_axes("moved", _sum(_start(g), _vector(g, SHIFTS))),
        "change": _three(g)[2] - g.height,
    },
)


# datums-seven and datums-reverse -------------------------------------------------------
# The translation T is 139 m or more in all, rotation and scale together at most 75 m, the scale
# 3 m or more and at right angles to the rotation ω × X, which is drawn 1 m or more in some
# coordinate. Outcomes differ by whole numbers of these three, so by 1 m in some coordinate.


def _draw_seven(dice: Dice) -> Answer:
    while True:
        lat, lon = dice.signed(5, 65, 4), dice.signed(5, 175, 4)
        given = {
            **_to_print(to_ecef(lat, lon, dice.number(0, 60, 0), WGS84)),
            **{name: dice.signed(80, 200, 2) for name in TRANSLATIONS},
            **{name: dice.signed(0.2, 1.2, 3) for name in ROTATIONS},
            "scale": dice.signed(0.5, 6, 3),
        }
        if max(map(abs, _turning(given, _vector(given)))) > 1:
            return given


def _turning(g: Given, point: tuple[float, ...]) -> tuple[float, ...]:
    """Return ω × X: where the position vector convention moves a point, in metres."""
    rx, ry, rz = (g[name] / RHO for name in ROTATIONS)
    x, y, z = point
    return ry * z - rz * y, rz * x - rx * z, rx * y - ry * x


def _parameters(g: Given, translate: int = 1, rotate: int = 1, scale: int = 1) -> list[float]:
    """Return the sheet's seven, with so many times each of the three effects."""
    moves = [translate * t for t in _vector(g, TRANSLATIONS)]
    return [*moves, *(rotate * r for r in _vector(g, ROTATIONS)), scale * g["scale"]]


def _helmert(g: Given, convention: str = "position vector", **effects: int) -> Helmert:
    return Helmert(*_parameters(g, **effects), convention=convention)


def _seven(g: Given, **otherwise: Any) -> tuple[float, ...]:
    return _helmert(g, **otherwise).apply(*_vector(g))


SEVEN_PARAMETERS = exercise(
    "datums-seven",
    elements=TRANSFORMING,
    draw=_draw_seven,
    printed=(*_rows(XYZ, "@, old datum", "m", 2), *PARAMETERS),
    asked=ASKED_XYZ,
    solve=_seven,
    slips={
        "coordinate-frame": using(convention="coordinate frame"),
        "no-scale": using(scale=0),
        "scale-turned": using(scale=-1),
        "no-rotations": using(rotate=0),
        "translations-only": using(rotate=0, scale=0),
        "backwards": using(translate=-1, rotate=-1, scale=-1),
    },
    work=lambda g: {
        **_along_axes("turn", _turning(g, _vector(g))),
        **_along_axes("longer", (p * g.scale / 1e6 for p in _vector(g))),
    },
)


def _reverse(g: Numbers, **kept: int) -> tuple[float, ...]:
    """Return the exact inverse; with effects named, the usual one with these as they say."""
    if not kept:
        return _helmert(g).reverse().apply(*_vector(g))
    return _seven(g, **{"translate": -1, "rotate": -1, "scale": -1, **kept})


def _work_reverse(g: Numbers) -> Given:
    usual = _helmert(g).sign_reversed().apply(*_vector(g))
    return {**_along_axes("usual", usual), "millimetres": math.dist(usual, _reverse(g)) * 1000}


REVERSE = exercise(
    "datums-reverse",
    elements=TRANSFORMING,
    draw=_draw_seven,
    printed=(*_rows(XYZ, "@, WGS 84", "m", 2), *PARAMETERS),
    asked=ASKED_XYZ,
    solve=_reverse,
    slips={
        "forward": _seven,
        "translations-only": using(rotate=0, scale=0),
        "rotations-kept": using(rotate=1),
        "rest-kept": using(translate=1),
    },
    work=_work_reverse,
)


# datums-convention ---------------------------------------------------------------------
# Half the miss, ω × X, is 8 m or more in all and no more than 0.96 of it along one axis; the
# scale is 3 m or more; backwards misses by 100 m or more. Of the two outcomes one is next to zero.

SECOND = ("x2", "y2", "z2")
CONVENTIONS = ("position vector", "coordinate frame")


def _draw_convention(dice: Dice) -> Answer:
    while True:
        given = _draw_seven(dice)
        turn = _turning(given, _vector(given))
        size = math.hypot(*turn)
        if size > 8 and max(map(abs, turn)) < 0.96 * size:
            break
    which = dice.choose(CONVENTIONS)
    return {**given, **_to_print(_seven(given, convention=which), SECOND)}


def _misses(g: Numbers, **effects: int) -> list[float]:
    """Return by how much each convention misses the test point."""
    points = (_seven(g, convention=name, **effects) for name in CONVENTIONS)
    return [math.dist(point, _vector(g, SECOND)) for point in points]


def _one_axis(g: Numbers) -> Answer:
    misses = dict(zip(CONVENTIONS, _misses(g), strict=True))
    wrong = max(misses, key=lambda name: misses[name])
    return {wrong.replace(" ", "_"): _largest(_seven(g, convention=wrong), _vector(g, SECOND))}


def _work_convention(g: Numbers) -> Given:
    turn, (position, frame) = _turning(g, _vector(g)), _misses(g)
    meant = CONVENTIONS[frame < position]
    return {**_along_axes("turn", turn), "rotation": math.hypot(*turn), "meant": meant}


CONVENTION = exercise(
    "datums-convention",
    elements=TRANSFORMING,
    draw=_draw_convention,
    printed=(
        *_rows(XYZ, "@, test point, old datum", "m", 2),
        *PARAMETERS,
        *(Printed(n, f"{n[0].upper()}, test point, WGS 84", "m", 2, signed=True) for n in SECOND),
    ),
    asked=(
        Asked("position_vector", "Position vector misses by", "length", "m", 2, 0.05),
        Asked("coordinate_frame", "Coordinate frame misses by", "length", "m", 2, 0.05),
    ),
    pairs=(("position_vector", "coordinate_frame"),),
    solve=_misses,
    slips={
        "conventions-mixed": also("swapped", exchanged()),
        "no-rotations": using(rotate=0),
        "no-scale": using(scale=0),
        "backwards": using(translate=-1, rotate=-1, scale=-1),
        "one-axis": _one_axis,
    },
    work=_work_convention,
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
        north, east = dice.signed(0.8, 2.2, 3), dice.signed(0.8, 2.2, 3)
        point = to_ecef(lat + north, lon + east / cos(lat), dice.number(0, 60, 0), WGS84)
        given = {
            **_to_print(point),
            **_to_print(to_ecef(lat, lon, 0.0, WGS84), PIVOT),
            **{name: dice.signed(90, 380, 2) for name in TRANSLATIONS},
            **{name: dice.signed(1.5, 6, 3) for name in ROTATIONS},
            "scale": dice.signed(3, 8, 3),
        }
        if max(map(abs, _turning(given, _arm(given)))) > 0.2:
            return {**given, **_to_print(_about_centre(given), HELMERT_T)}


def _about_centre(g: Given) -> tuple[float, ...]:
    """Return the translations that go with a turn about the Earth's centre."""
    pivot = _vector(g, PIVOT)
    turned_pivot = _helmert(g, translate=0).apply(*pivot)
    return _sum(_vector(g, TRANSLATIONS), pivot, (-p for p in turned_pivot))


def _arm(g: Given) -> tuple[float, ...]:
    return _sum(_vector(g), (-p for p in _vector(g, PIVOT)))


def _badekas(g: Numbers, convention: str = "position vector", **effects: int) -> Any:
    parameters, pivot = _parameters(g, **effects), _vector(g, PIVOT)
    return MolodenskyBadekas(*parameters, pivot, convention=convention).apply(*_vector(g))


def _work_pivot(g: Numbers) -> Given:
    arm = _arm(g)
    turned_arm = _helmert(g, translate=0).apply(*arm)
    return {
        **_along_axes("arm", arm),
        **_along_axes("turn", _sum(turned_arm, (-a for a in arm))),
        "kilometres": math.hypot(*arm) / 1000,
        "without": math.dist(_seven(g), _badekas(g)),
    }


PIVOTED = exercise(
    "datums-pivot",
    elements=TRANSFORMING,
    draw=_draw_pivot,
    printed=(
        *_rows(XYZ, "@, old datum", "m", 2),
        *PARAMETERS,
        *_rows(PIVOT, "pivot @", "m", 2),
        *_rows(HELMERT_T, "t@, Helmert form", "m", 2),
    ),
    asked=ASKED_XYZ,
    solve=_badekas,
    slips={
        "no-pivot": _seven,
        "pivot-added": misread(px=lambda g: -g.px, py=lambda g: -g.py, pz=lambda g: -g.pz),
        "other-translations": misread(tx=lambda g: g.hx, ty=lambda g: g.hy, tz=lambda g: g.hz),
        "coordinate-frame": using(convention="coordinate frame"),
        "translations-only": using(rotate=0, scale=0),
    },
    work=_work_pivot,
)


# datums-molodensky ---------------------------------------------------------------------
# The translation is 40 m or more east and 40 m or more north; Δφ and Δλ are 0.5″, 100 tolerances,
# or more, Δh 2 m or more. Δa turned moves Δh by 138 m or more; Δf left out moves Δφ by 1.9 m, which
# is 12 tolerances, or more. Each slip moves what another leaves alone; Δa turned moves φ least, so
# its Δh is drawn 1 m from the right one turned, in feet or in another unit.


def _draw_molodensky(dice: Dice) -> Answer:
    while True:
        given = Numbers(
            **_old(dice),
            lat=float(dice.signed(20, 65, 2)),
            lon=float(dice.signed(5, 170, 2)),
            **{name: dice.signed(40, 220, 1) for name in SHIFTS},
        )
        (dlat, dlon, dh), (_, _, up) = _molodensky(given), _molodensky(given, da=-1)
        heights = [0.0, dh, -dh, dh * 0.3048, dh / 0.3048]
        shifted = min(abs(_east_of(given)), abs(_north_of(given))) >= 40
        large = min(abs(dlat), abs(dlon)) > 0.5 and abs(dh) > 2.5
        if shifted and large and min(abs(up - height) for height in heights) > 1:
            return given


def _target(old: Ellipsoid, da: int, df: int) -> Ellipsoid:
    """Return WGS 84, or what it is taken for: so many times Δa and Δf from the old ellipsoid."""
    a = old.semi_major + da * (WGS84.semi_major - old.semi_major)
    f = old.flattening + df * (WGS84.flattening - old.flattening)
    return replace(WGS84, semi_major=a, inverse_flattening=1 / f)


def _molodensky(g: Numbers, da: int = 1, df: int = 1) -> tuple[float, ...]:
    old = OLD[g.ellipsoid]
    ends = (old, _target(old, da, df))
    lat, lon, dh = abridged_molodensky(g.lat, g.lon, 0.0, *_vector(g, SHIFTS), *ends)
    return (lat - g.lat) * 3600, (lon - g.lon) * 3600, dh


def _standard(g: Numbers) -> tuple[float, ...]:
    """Return what the standard formula gives: IOGP 373-7-2, EPSG method 9604, at h = 0."""
    old, north, east = OLD[g.ellipsoid], _north_of(g), _east_of(g)
    up = (g.dx * cos(g.lon) + g.dy * sin(g.lon)) * cos(g.lat) + g.dz * sin(g.lat)
    da, df = WGS84.semi_major - old.semi_major, WGS84.flattening - old.flattening
    m, nu = old.meridian_radius(g.lat), old.prime_vertical_radius(g.lat)
    narrower = 1 - old.flattening  # b / a
    stretch = da * nu * (1 - narrower**2) / old.semi_major + df * (m / narrower + nu * narrower)
    return (
        (north + stretch * sin(g.lat) * cos(g.lat)) / m * RHO,
        east / (nu * cos(g.lat)) * RHO,
        up - da * old.semi_major / nu + df * narrower * nu * sin(g.lat) ** 2,
    )


def _geocentric(g: Numbers) -> tuple[float, ...]:
    """Return what the way through X, Y, Z gives."""
    start = to_ecef(g.lat, g.lon, 0.0, OLD[g.ellipsoid])
    lat, lon, height = from_ecef(*_sum(start, _vector(g, SHIFTS)), WGS84)
    return (lat - g.lat) * 3600, math.remainder(lon - g.lon, 360) * 3600, height


def _work_molodensky(g: Numbers) -> Given:
    old = OLD[g.ellipsoid]
    da, df = WGS84.semi_major - old.semi_major, WGS84.flattening - old.flattening
    return {
        "da": da,
        "df_millionths": df * 1e6,
        "swell": old.semi_major * df + old.flattening * da,
        "m": old.meridian_radius(g.lat),
        "nu": old.prime_vertical_radius(g.lat),
    }


MOLODENSKY = exercise(
    "datums-molodensky",
    elements=TRANSFORMING,
    draw=_draw_molodensky,
    printed=(
        *OLD_ELLIPSOID,
        Printed("lat", "φ, old datum, north +", "°", 2, signed=True),
        Printed("lon", "λ, old datum, east +", "°", 2, signed=True),
        *SHIFT_ROWS,
    ),
    asked=(
        Asked("dlat", "Δφ", "angle", "″", 3, 0.005, positive="north"),
        Asked("dlon", "Δλ", "angle", "″", 3, 0.005, positive="east"),
        Asked("dh", "Δh", "length", "m", 2, 0.02, positive="up"),
    ),
    solve=_molodensky,
    slips={
        "turned": misread(dx=lambda g: -g.dx, dy=lambda g: -g.dy, dz=lambda g: -g.dz),
        "da-sign": using(da=-1),
        "no-df": using(df=0),
        "ellipsoids-swapped": using(da=-1, df=-1),
        "no-cosine": times(lambda g: cos(g.lat), "dlon"),
    },
    methods={"standard": _standard, "geocentric": _geocentric},
    work=_work_molodensky,
)


# datums-estimate -----------------------------------------------------------------------
# Four points round a fifth, one of them 2 m to 4 m off along the ground: its own residual is the
# largest by far, for the other four hold it. The point asked for lies inside; there the bad point
# pulls it, and the mean of the differences leaves it, 0.14 m (7 tolerances) or more off: drawn so.

POINTS = range(1, 6)
CORNERS = ((0.0, 0.0), (1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (-1.0, 1.0))


def _draw_estimate(dice: Dice) -> Answer:
    while True:
        given = _points(dice)
        if not _bad(given):
            continue
        routes = [_estimate(given)[1:], _estimate(given, left_out=0)[1:], _mean(given)]
        if min(_largest(*pair) for pair in itertools.combinations(routes, 2)) > 0.14:
            return given


def _points(dice: Dice) -> Numbers:
    """Draw a patch of five common points, one of them bad, and one point more."""
    lat, lon, bad = dice.signed(15, 60, 2), dice.signed(5, 170, 2), dice.whole(1, 5)
    source = _patch(dice, lat, lon)
    seven = [dice.signed(60, 250, 2) for _ in TRANSLATIONS]
    seven += [dice.signed(1, 4, 3) for _ in ROTATIONS]
    operation = Helmert(*seven, dice.signed(3, 9, 3), convention="position vector")
    target = np.stack(operation.apply(*source.T), axis=1)
    target[:5] += [[dice.number(-0.008, 0.008, 3) for _ in XYZ] for _ in POINTS]
    target[bad - 1] += _blunder(dice, lat, lon)
    given = {f"s{i}": _text(source[i - 1]) for i in POINTS}
    given |= {f"t{i}": _text(target[i - 1]) for i in POINTS}
    return Numbers(given, new=_text(source[5]))


def _patch(dice: Dice, lat: float, lon: float) -> np.ndarray:
    """Return X, Y, Z of the middle, the four corners and a point between."""
    places = [(n * dice.number(0.6, 0.9, 3), e * dice.number(0.6, 0.9, 3)) for n, e in CORNERS]
    places[0] = (dice.signed(0.05, 0.2, 3), dice.signed(0.05, 0.2, 3))
    places.append((dice.signed(0.25, 0.4, 3), dice.signed(0.25, 0.4, 3)))
    norths, easts = np.array(places).T
    heights = [float(dice.whole(0, 150)) for _ in places]
    return np.stack(to_ecef(lat + norths, lon + easts / cos(lat), heights, WGS84), axis=1)


def _blunder(dice: Dice, lat: float, lon: float) -> tuple[float, ...]:
    """Return 2 m to 4 m along the ground, in X, Y, Z."""
    way, size = math.radians(dice.whole(0, 359)), dice.number(2, 4, 3)
    east, north = size * math.sin(way), size * math.cos(way)
    return (
        -east * sin(lon) - north * sin(lat) * cos(lon),
        east * cos(lon) - north * sin(lat) * sin(lon),
        north * cos(lat),
    )


def _text(point: Iterable[float]) -> str:
    """Return a point as one row, plain enough to be copied into a form."""
    return "  ".join(f"{printed(p, 3):.3f}" for p in point)


@lru_cache(maxsize=64)
def _read(text: str) -> tuple[float, ...]:
    return tuple(map(float, text.split()))


def _rows_of(g: Given, datum: str, left_out: int = 0) -> tuple[str, ...]:
    """Return the points of one datum, s (old) or t (WGS 84), without the one left out."""
    return tuple(g[f"{datum}{i}"] for i in POINTS if i != left_out)


@lru_cache(maxsize=16)  # one fit serves the draw, the answer and the slips
def _fit(source: tuple[str, ...], target: tuple[str, ...]) -> tuple[Helmert, list[float]]:
    """Return the parameters and the residuals in space."""
    before, after = ([_read(text) for text in texts] for texts in (source, target))
    found, residuals = estimate(before, after, convention="position vector")
    return found, [math.hypot(*row) for row in residuals.tolist()]


def _fitted(g: Given, left_out: int = 0) -> tuple[Helmert, list[float]]:
    return _fit(_rows_of(g, "s", left_out), _rows_of(g, "t", left_out))


def _bad(g: Given) -> int:
    """Return the number of the point whose residual is the largest, 0 if none stands out."""
    sizes = _fitted(g)[1]
    *_, second, largest = sorted(sizes)
    return sizes.index(largest) + 1 if largest > 1.3 * second else 0


def _estimate(
    g: Numbers, left_out: int | None = None, change: Callable[[Helmert], Any] | None = None
) -> tuple[float, ...]:
    bad = _bad(g)
    found = _fitted(g, bad if left_out is None else left_out)[0]
    operation = change(found) if change else found
    return bad, *operation.apply(*_read(g.new))


def _mean(g: Numbers) -> tuple[float, ...]:
    bad = _bad(g)
    before, after = (np.array([*map(_read, _rows_of(g, datum, bad))]) for datum in "st")
    return _sum(_read(g.new), (after - before).mean(axis=0).tolist())


def _work_estimate(g: Numbers) -> Given:
    (with_all, sizes), (without, left) = _fitted(g), _fitted(g, _bad(g))
    translations = (_vector(asdict(one), TRANSLATIONS) for one in (with_all, without))
    return {
        **asdict(without),
        **{f"residual_{i}": size for i, size in zip(POINTS, sizes, strict=True)},
        "left": max(left) * 1000,
        "metres": math.dist(*translations),
    }


ESTIMATE = exercise(
    "datums-estimate",
    elements=TRANSFORMING,
    aids="course tools",
    draw=_draw_estimate,
    printed=(
        *(Printed(f"s{i}", f"{i}, old datum") for i in POINTS),
        *(Printed(f"t{i}", f"{i}, WGS 84") for i in POINTS),
        Printed("new", "new point, old datum"),
    ),
    asked=(Asked("bad", "Bad point, its number", "count", "", 0, 0.5), *ASKED_XYZ),
    solve=_estimate,
    slips={
        "bad-kept": using(*XYZ, left_out=0),
        "backwards": using(*XYZ, change=Helmert.reverse),
        "mean": lambda g: dict(zip(XYZ, _mean(g), strict=True)),
        "other-convention": using(
            *XYZ, change=lambda found: replace(found, convention="coordinate frame")
        ),
    },
    work=_work_estimate,
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
        given = Numbers(
            lat=to_print(south + CELL * (0.5 + up), 3),
            west=to_print(east + CELL * (0.5 + west), 3),
            south=south,
            east=east,
            **_draw_nodes(dice, "lat", dice.choose((1, -1)), dice.number(0.9, 2.5, 3), up, west),
            **_draw_nodes(dice, "lon", dice.choose((1, -1)), dice.number(1.4, 4.0, 3), up, west),
        )
        ways = (_bilinear, *WRONG_WEIGHTS.values())
        if apart([_shifts(given, weigh)[0] for weigh in ways], 0.012):
            return given


def _draw_nodes(
    dice: Dice, name: str, sign: int, base: float, up: float, west: float
) -> dict[str, float]:
    """Return the shifts at the four nodes, growing up and across the cell."""
    climb = math.copysign(dice.number(0.1, 0.28, 3), up)
    across = math.copysign(dice.number(0.1, 0.28, 3), west)
    nodes = {}
    for node in NODES:
        corner = climb * (node[0] == "n") + across * (node[1] == "w")
        shift = base + corner + dice.number(-0.01, 0.01, 3)
        nodes[f"{name}_{node}"] = printed(sign * shift, 3)
    return nodes


def _bilinear(up: float, west: float) -> tuple[float, ...]:
    return (1 - up) * (1 - west), (1 - up) * west, up * (1 - west), up * west


WRONG_WEIGHTS: dict[str, Callable[[float, float], tuple[float, ...]]] = {
    "nearest": lambda up, west: _bilinear(up > 0.5, west > 0.5),
    "mean": lambda up, west: _bilinear(0.5, 0.5),
    "mirrored": lambda up, west: _bilinear(up, 1 - west),
}


def _fractions(g: Numbers) -> tuple[float, float]:
    """Return how far up from the southern and how far west from the eastern nodes."""
    return (g.lat - g.south) / CELL, (g.west - g.east) / CELL


def _shifts(g: Numbers, weigh: Callable[..., tuple[float, ...]] = _bilinear) -> list[float]:
    """Return the shift of latitude (north) and of longitude (west), in arcseconds."""
    weights = weigh(*_fractions(g))
    rows = ([g[f"{name}_{node}"] for node in NODES] for name in ("lat", "lon"))
    return [sum(w * shift for w, shift in zip(weights, row, strict=True)) for row in rows]


def _shifted(
    g: Numbers, weigh: Callable[..., tuple[float, ...]] = _bilinear, north: int = 1, west: int = 1
) -> tuple[float, float]:
    lat_shift, lon_shift = _shifts(g, weigh)
    return g.lat + north * lat_shift / 3600, -(g.west + west * lon_shift / 3600)


def _work_grid(g: Numbers) -> Given:
    (up, across), (north, west) = _fractions(g), _shifts(g)
    return {
        "up": up,
        "across": across,
        **dict(zip(NODES, _bilinear(up, across), strict=True)),
        "north_shift": north,
        "west_shift": west,
        "off": 2 * abs(west) * 30.887 * cos(g.lat),
    }


def _node_rows(name: str, label: str) -> tuple[Printed, ...]:
    return tuple(
        Printed(f"{name}_{node}", f"{label}, {node.upper()} node", "″", 3, signed=True)
        for node in NODES
    )


GRID_SHIFT = exercise(
    "datums-grid-shift",
    elements=TRANSFORMING,
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
    solve=_shifted,
    slips={
        "east": using("lon", west=-1),
        **{name: using(weigh=weigh) for name, weigh in WRONG_WEIGHTS.items()},
        "backwards": using(north=-1, west=-1),
    },
    work=_work_grid,
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
    east, north = (printed(1000 * v, 1) for v in velocity(lat, lon, ITRF2020[plate], GRS80))
    first = dice.number(10, 14, 1)
    later = first + dice.number(3, 9, 1)
    return {
        "plate": NAMES[plate],
        "sheet_epoch": printed(start + first, 1),
        "sheet_east": printed(east * first / 1000, 3),
        "sheet_north": printed(north * first / 1000, 3),
        "rate_east": east,
        "rate_north": north,
        "epoch": printed(start + first + later, 1),
    }


def _apart(g: Numbers, sheet: int = 1, growth: int = 1) -> tuple[float, float]:
    """Return how far the frames stand apart: the sheet's part and the growth since."""
    years = growth * (g.epoch - g.sheet_epoch)
    east, north = (rate / 1000 * years for rate in (g.rate_east, g.rate_north))
    return sheet * g.sheet_east + east, sheet * g.sheet_north + north


NULL = exercise(
    "datums-null",
    elements=(*FRAMES, *TRANSFORMING),
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
    asked=tuple(
        Asked(way, way.title(), "length", "m", 3, 0.005, positive=way) for way in ("east", "north")
    ),
    solve=_apart,
    slips={
        "null": using(sheet=0, growth=0),
        "epoch-left-out": using(growth=0),
        "turned": also("sign", turned()),
        "growth-only": using(sheet=0),
        "years-turned": using(growth=-1),
    },
    work=lambda g: {"years": g.epoch - g.sheet_epoch, "together": math.hypot(*_apart(g))},
)
