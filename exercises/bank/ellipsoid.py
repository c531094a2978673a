"""Exercises of lesson 03, the ellipsoid: its shape, its latitudes, its radii."""

import math
from collections.abc import Callable

from exercises.bank.common import EARTH_RADIUS, cos, sin
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import (
    Numbers,
    also,
    exchanged,
    misread,
    times,
    turned,
    using,
)
from geokit import ellipsoids
from geokit.angles import RHO
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

MILE = 1852.0  # metres, the international nautical mile
ELEMENTS = ("S-5B E4.1a",)

NAMED = (
    *(WGS84, GRS80, CLARKE1866, CLARKE1880RGS),
    *(INTERNATIONAL1924, BESSEL1841, AIRY1830, KRASSOWSKY1940),
)
SHAPE = (
    Printed("ellipsoid", "ellipsoid"),
    Printed("a", "a, semi-major axis", "m", 3),
    Printed("inverse_flattening", "1/f, inverse flattening", "", 9),
)
LATITUDE = Printed("lat", "φ, geodetic latitude", DMS, 0, kind="latitude")

Radius = Callable[[Numbers], float]


def _drawn(ellipsoid: Ellipsoid) -> Answer:
    return {
        "ellipsoid": ellipsoid.name,
        "a": printed(ellipsoid.semi_major, 3),
        "inverse_flattening": printed(ellipsoid.inverse_flattening, 9),
    }


def _latitude(dice: Dice, *bands: tuple[int, int]) -> float:
    """Return a latitude of either hemisphere, to the second, from one of the bands of degrees."""
    low, high = dice.choose(bands)
    return dice.choose((1, -1)) * printed(dice.whole(low * 3600, high * 3600) / 3600, 10)


def _shape(g: Numbers) -> Ellipsoid:
    return Ellipsoid(g.ellipsoid, g.a, g.inverse_flattening, "as given")


def _e2(g: Numbers) -> float:
    return _shape(g).eccentricity_squared


def _m(g: Numbers) -> float:
    return _shape(g).meridian_radius(g.lat)


def _nu(g: Numbers) -> float:
    return _shape(g).prime_vertical_radius(g.lat)


def _sphere(g: Numbers) -> float:
    return EARTH_RADIUS


FIRST_LATITUDE = choice("ellipsoid-first-latitude", elements=ELEMENTS, marks=0)
FIRST_SHEET = choice("ellipsoid-first-sheet", elements=ELEMENTS, marks=0)


# ellipsoid-polar -----------------------------------------------------------------------
# Each ellipsoid beside one that is taken for it, whose 1/f moves b by 0.2 m at least. (GRS 80
# and WGS 84 would be no pair: their b differ by 0.1 mm.) The globe is right as it is measured,
# to a tenth of a millimetre; b shows which 1/f was taken.

WGS72, GRS67, AUSTRALIAN, HELMERT1906 = (
    ellipsoids.named(code) for code in (7043, 7036, 7003, 7020)
)
TWINS = {
    WGS84: WGS72,
    WGS72: WGS84,
    GRS80: GRS67,
    GRS67: AUSTRALIAN,
    AUSTRALIAN: GRS67,
    INTERNATIONAL1924: WGS84,
    KRASSOWSKY1940: WGS84,
    HELMERT1906: WGS84,
    BESSEL1841: AIRY1830,
    AIRY1830: BESSEL1841,
    CLARKE1880RGS: CLARKE1866,
}
TWIN_OF = {ellipsoid.name: twin for ellipsoid, twin in TWINS.items()}


def _draw_polar(dice: Dice) -> Answer:
    return {**_drawn(dice.choose(tuple(TWINS))), "globe": float(dice.whole(400, 1500))}


def _flattened(g: Numbers, flattening: float) -> tuple[float, float]:
    return g.a * (1 - flattening), g.globe * flattening


def _polar(g: Numbers) -> tuple[float, float]:
    return _flattened(g, _shape(g).flattening)


def _work_polar(g: Numbers) -> Answer:
    b, _ = _polar(g)
    twin = TWIN_OF[g.ellipsoid]
    return {
        "f": _shape(g).flattening,
        "nearer": g.a - b,
        "twin": twin.name,
        "twin_inverse": twin.inverse_flattening,
        "twin_off": _flattened(g, twin.flattening)[0] - b,
        "round_off": _flattened(g, 1 / 300)[0] - b,
    }


POLAR = exercise(
    "ellipsoid-polar",
    elements=ELEMENTS,
    draw=_draw_polar,
    printed=(*SHAPE, Printed("globe", "globe, diameter of its equator", "mm", 0)),
    asked=(
        Asked("b", "b", "length", "m", 2, 0.02),
        Asked("shorter", "Globe, shorter by", "length", "mm", 2, 0.05),
    ),
    solve=_polar,
    slips={
        "eccentricity": lambda g: _flattened(g, _e2(g)),
        "twin": misread(inverse_flattening=lambda g: TWIN_OF[g.ellipsoid].inverse_flattening),
        "three-hundred": misread(inverse_flattening=300),
        "rounded": misread(inverse_flattening=298),
        "radius": times(0.5, "shorter"),
    },
    work=_work_polar,
)


# ellipsoid-radii -----------------------------------------------------------------------
# Between 10° and 80° from the equator every slip moves M or ν by 300 m or more.


def _draw_radii(dice: Dice) -> Answer:
    return {**_drawn(dice.choose(NAMED)), "lat": _latitude(dice, (10, 34), (36, 47), (49, 80))}


def _w2(g: Numbers, e2: float) -> float:
    return 1 - e2 * sin(g.lat) ** 2


def _with_f(g: Numbers) -> tuple[float, float]:
    f = _shape(g).flattening
    return g.a * (1 - f) / _w2(g, f) ** 1.5, g.a / math.sqrt(_w2(g, f))


RADII = exercise(
    "ellipsoid-radii",
    elements=ELEMENTS,
    draw=_draw_radii,
    printed=(*SHAPE, LATITUDE),
    asked=(
        Asked("M", "M", "length", "m", 0, 2.0),
        Asked("nu", "ν", "length", "m", 0, 2.0),
    ),
    pairs=(("M", "nu"),),
    solve=lambda g: (_m(g), _nu(g)),
    slips={
        "swapped": also("swapped", exchanged()),
        "sphere": lambda g: (EARTH_RADIUS, EARTH_RADIUS),
        "exponent": times(lambda g: _w2(g, _e2(g)), "M"),
        "no-shape": times(lambda g: 1 / (1 - _e2(g)), "M"),
        "flattening": _with_f,
    },
    work=lambda g: {
        "e2": _e2(g),
        "w2": _w2(g, _e2(g)),
        "sphere_off": 10_000 * (EARTH_RADIUS / _m(g) - 1),
    },
)


# ellipsoid-latitudes -------------------------------------------------------------------
# φ − ψ is some 11.5′ sin 2φ, 4.6′ or more here. The slips are it times 1/2, some 12, and 1/cos²φ,
# which runs from 1.04 (0.21′, 3.5 tolerances) to 5.6 between 12° and 65°. The tolerance is what the
# first terms need, with f or with e²/2: what they leave out is 0.036′ or 0.051′ at most.


def _draw_latitudes(dice: Dice) -> Answer:
    return {**_drawn(dice.choose(NAMED)), "lat": _latitude(dice, (12, 65))}


def _geocentric(g: Numbers) -> float:
    return _shape(g).geocentric_latitude(g.lat)


def _parametric(g: Numbers) -> float:
    return _shape(g).parametric_latitude(g.lat)


def _shrunk_by_e(g: Numbers) -> float:
    tangent = (1 - math.sqrt(_e2(g))) * math.tan(math.radians(g.lat))
    return math.degrees(math.atan(tangent))


def _sine_shrunk(g: Numbers) -> float:
    return math.degrees(math.asin((1 - _e2(g)) * sin(g.lat)))


def _less(g: Numbers, other: Callable[[Numbers], float] = _geocentric) -> float:
    """Return geodetic minus another latitude, in arcminutes."""
    return (g.lat - other(g)) * 60


def _work_latitudes(g: Numbers) -> Answer:
    northing = math.radians(abs(_less(g)) / 60) * _m(g)
    return {"e2": _e2(g), "psi": _geocentric(g), "northing_km": northing / 1000}


LATITUDES = exercise(
    "ellipsoid-latitudes",
    elements=ELEMENTS,
    draw=_draw_latitudes,
    printed=(*SHAPE, LATITUDE),
    asked=(Asked("difference", "φ − ψ", "angle", "′", 2, 0.06, positive="north"),),
    solve=_less,
    slips={
        "parametric": using(other=_parametric),
        "eccentricity": using(other=_shrunk_by_e),
        "sine": using(other=_sine_shrunk),
        "turned": also("sign", turned()),
    },
    methods={"wgs84": lambda g: 11.5 * sin(2 * g.lat)},
    work=_work_latitudes,
)


# ellipsoid-second ----------------------------------------------------------------------
# Up to 70°, where M and ν still differ by 5 km, 0.024 m in a second; 1 − cos φ matters from
# 15° on, and cos φ stays above the 0.3048 of a foot.


def _draw_second(dice: Dice) -> Answer:
    return {**_drawn(dice.choose(NAMED)), "lat": _latitude(dice, (15, 70))}


def _second(
    g: Numbers, along: Radius = _m, across: Radius = _nu, cosines: tuple[int, int] = (0, 1)
) -> list[float]:
    """Return 1″ of latitude and of longitude in metres, each with so many cosines in it."""
    radii = along(g), across(g)
    return [r * cos(g.lat) ** n / RHO for r, n in zip(radii, cosines, strict=True)]


def _round_mile(g: Numbers) -> float:
    """Return the radius on which a minute is a mile."""
    return MILE / 60 * RHO


def _work_second(g: Numbers) -> Answer:
    right, sphere = _second(g), _second(g, _sphere, _sphere)
    off_north, off_east = (600 * (b - a) for a, b in zip(right, sphere, strict=True))
    second = {"nu_second": _nu(g) / RHO, "cosine": cos(g.lat)}
    return {"M": _m(g), "nu": _nu(g), **second, "off_north": off_north, "off_east": off_east}


SECOND = exercise(
    "ellipsoid-second",
    elements=ELEMENTS,
    draw=_draw_second,
    printed=(*SHAPE, LATITUDE),
    asked=(
        Asked("lat", "1″ of latitude", "length", "m", 3, 0.002),
        Asked("lon", "1″ of longitude", "length", "m", 3, 0.002),
    ),
    pairs=(("lat", "lon"),),
    solve=_second,
    slips={
        "no-cosine": using(cosines=(0, 0)),
        "cosine-on-latitude": using(cosines=(1, 0)),
        "radii-swapped": using(along=_nu, across=_m),
        "sphere": using(along=_sphere, across=_sphere),
        "mile": using(along=_round_mile, across=_round_mile),
    },
    methods={"round": lambda g: (30.9, 30.9 * cos(g.lat))},
    work=_work_second,
)


# ellipsoid-mile ------------------------------------------------------------------------
# A minute of latitude is 1 852 m near 44° and a minute of a sphere's 6 371 km near 48°: both
# keep 1 m away outside 38° to 52°. Below 15° it would be too near the equator's.


def _draw_mile(dice: Dice) -> Answer:
    ellipsoid, lat = _drawn(dice.choose(NAMED)), _latitude(dice, (15, 38), (52, 70))
    return {**ellipsoid, "lat": lat, "run": dice.whole(20, 60)}


def _against_mile(g: Numbers, radius: Radius = _m) -> tuple[float, float]:
    minute = math.radians(radius(g) / 60)
    return minute, g.run * (minute - MILE)


MILE_AND_MINUTE = exercise(
    "ellipsoid-mile",
    elements=ELEMENTS,
    draw=_draw_mile,
    printed=(*SHAPE, LATITUDE, Printed("run", "n, minutes of latitude run")),
    asked=(
        Asked("minute", "1′ of latitude", "length", "m", 1, 0.1),
        Asked("difference", "Run minus n miles", "length", "m", 0, 2.0, positive="longer"),
    ),
    solve=_against_mile,
    carry=lambda g, own: {"difference": g.run * (own.minute - MILE)},
    slips={
        "everywhere": lambda g: (MILE, 0.0),
        "prime-vertical": using(radius=_nu),
        "equator": misread(lat=0.0),
        "sphere": using(radius=_sphere),
    },
    work=lambda g: {"M": _m(g)},
)


# ellipsoid-euler -----------------------------------------------------------------------
# Up to 45° of latitude ν − M is 21 km or more. The line keeps 18° from north, south, east and
# west, and 12° from half way between, so that every slip moves the radius by 6 m or more.


def _draw_euler(dice: Dice) -> Answer:
    off_axis = dice.choose((dice.number(18, 33, 1), dice.number(57, 72, 1)))
    azimuth = printed(90 * dice.whole(0, 3) + off_axis, 1)
    return {**_drawn(dice.choose(NAMED)), "lat": _latitude(dice, (0, 45)), "azimuth": azimuth}


def _euler(g: Numbers) -> float:
    return _shape(g).azimuth_radius(g.lat, g.azimuth)


def _mean(g: Numbers) -> float:
    return (_m(g) + _nu(g)) / 2


def _work_euler(g: Numbers) -> Answer:
    squares = {"along": cos(g.azimuth) ** 2, "across": sin(g.azimuth) ** 2}
    return {"M": _m(g), "nu": _nu(g), **squares, "mean_off": 10_000 * (_mean(g) / _euler(g) - 1)}


EULER = exercise(
    "ellipsoid-euler",
    elements=ELEMENTS,
    draw=_draw_euler,
    printed=(*SHAPE, LATITUDE, Printed("azimuth", "α, azimuth of the line, true", "°", 1)),
    asked=(Asked("radius", "R", "length", "m", 0, 1.0),),
    solve=_euler,
    slips={
        "swapped-squares": misread(azimuth=lambda g: 90 - g.azimuth),
        "mean": _mean,
        "gaussian": lambda g: _shape(g).gaussian_radius(g.lat),
        "meridian": misread(azimuth=0),
        "prime-vertical": misread(azimuth=90),
        "radii-mixed": lambda g: cos(g.azimuth) ** 2 * _m(g) + sin(g.azimuth) ** 2 * _nu(g),
    },
    work=_work_euler,
)
