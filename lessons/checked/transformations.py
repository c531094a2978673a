"""Transformations between datums, with time and without, and the motion of plates."""

import math

from geokit import GRS80, INTERNATIONAL1924, WGS84, Ellipsoid, ecef, motion
from geokit.datums import Helmert, TimeDependent
from geokit.plates import ITRF2020
from lessons.checked.computed import computes
from lessons.checked.published import given

POSITION, FRAME = "position vector", "coordinate frame"
SEVEN = ("tX", "tY", "tZ", "rX", "rY", "rZ", "dS")


def _point(record):
    return tuple(given(record, axis) for axis in "XYZ")


def _xyz(numbers):
    return dict(zip("XYZ", numbers, strict=True))


def _translations(record):
    shifts = (given(record, f"d{axis}") for axis in "XYZ")
    return Helmert(*shifts, 0, 0, 0, 0, convention=POSITION)


@computes("HT-01")
def _three_translations():
    return _xyz(_translations("HT-01").apply(*_point("HT-01")))


@computes("HT-02")
def _from_latitude_to_latitude():
    start = (given("HT-02", name) for name in ("latitude", "longitude", "h"))
    there = _translations("HT-02").apply(*ecef.to_ecef(*start, WGS84))
    latitude, longitude, height = ecef.from_ecef(*there, INTERNATIONAL1924)
    return {
        "latitude_seconds": (latitude - 53 - 48 / 60) * 3600,
        "longitude_seconds": (longitude - 2 - 7 / 60) * 3600,
        "h": height,
    }


def _seven(record, convention):
    helmert = Helmert(*(given(record, name) for name in SEVEN), convention=convention)
    return helmert.apply(*_point(record))


@computes("HT-04")
def _position_vector():
    return _xyz(_seven("HT-04", POSITION))


@computes("HT-05")
def _coordinate_frame():
    """Return the point with the rotations turned round, and how far off it is without."""
    seven = [given("HT-04", name) for name in SEVEN]
    turned = (*seven[:3], *(-rotation for rotation in seven[3:6]), seven[6])
    right = Helmert(*turned, convention=FRAME).apply(*_point("HT-04"))
    wrong = Helmert(*seven, convention=FRAME).apply(*_point("HT-04"))
    return {**_xyz(right), "error_if_rZ_not_reversed": math.dist(wrong, right)}


@computes("HT-06")
def _australia():
    return _xyz(_seven("HT-06", FRAME))


@computes("HT-08")
def _baltic():
    return _xyz(_seven("HT-08", FRAME))


def _fourteen(record):
    first = (*given(record, "translations"), *given(record, "rotations"), given(record, "scale"))
    rates = (
        *given(record, "translation_rates"),
        *given(record, "rotation_rates"),
        given(record, "scale_rate"),
    )
    moving = TimeDependent(Helmert(*first, convention=POSITION), rates, given(record, "t0"))
    return _xyz(moving.at(given(record, "epoch")).apply(*_point(record)))


@computes("TD-01")
def _australia_with_time():
    return _fourteen("TD-01")


@computes("TD-03")
def _onsala():
    return _fourteen("TD-03")


@computes("TD-05")
def _alice_springs():
    rates = (0, 0, 0, *given("TD-05", "rotation_rates"), 0)
    moving = TimeDependent(Helmert(*[0] * 7, convention=FRAME), rates, given("TD-05", "t0"))
    return _xyz(moving.at(given("TD-05", "epoch")).apply(*_point("TD-05")))


@computes("TD-08")
def _north_sea_in_2025():
    rates = (0, 0, 0, *(rate / 1000 for rate in given("TD-08", "rotation_rates")), 0)
    moving = TimeDependent(Helmert(*[0] * 7, convention=POSITION), rates, given("TD-08", "t0"))
    place = [given("TD-08", name) for name in ("latitude", "longitude", "h")]
    there = moving.at(given("TD-08", "epoch")).apply(*ecef.to_ecef(*place, GRS80))
    east, north, _ = ecef.to_enu(*there, *place, GRS80)
    return {"east": east, "north": north}


@computes("PM-01", "a quarter turn from the pole")
def _rates_of_itrf2014():
    """Return how fast each plate turns: a quarter turn from its pole a place goes with it."""
    sphere = Ellipsoid("sphere", 6_371_000.0, 0, "PM-01")
    found = {}
    for plate in ("AUST", "EURA", "NOAM", "NUBI", "PCFC", "ARAB"):
        rotation = given("PM-01", plate)
        beside = math.degrees(math.atan2(rotation[1], rotation[0])) + 90
        speed = math.hypot(*motion.velocity(0, beside, rotation, sphere))
        found[plate] = math.degrees(speed / sphere.semi_major) * 1e6
    return found


def _velocity(record):
    place = given(record, "latitude"), given(record, "longitude")
    east, north = motion.velocity(*place, given(record, "rotation"), GRS80)
    return {
        "v_north": north * 1000,
        "v_east": east * 1000,
        "speed": math.hypot(east, north) * 1000,
        "azimuth": math.degrees(math.atan2(east, north)) % 360,
    }


@computes("PM-03")
def _australia_moves():
    return _velocity("PM-03")


@computes("PM-04")
def _eurasia_moves():
    return _velocity("PM-04")


@computes("PM-07")
def _rates_of_itrf2020():
    return {
        plate: math.hypot(*ITRF2020[plate]) / 3.6  # mas a year to degrees in a million years
        for plate in ("AUST", "EURA", "PCFC", "NOAM")
    }
