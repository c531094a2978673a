"""Plate motion against published velocities, pyproj's own table, and an exact rotation."""

import difflib
import math
import re
from pathlib import Path

import numpy as np
import pyproj
import pytest
from lesson_words import words_of_lesson
from numpy.testing import assert_allclose
from published import given, tolerance, value

from geokit import GRS80, Ellipsoid, ecef, motion, plates
from geokit.plates import ITRF2020

PLATES = pytest.mark.parametrize("plate", sorted(ITRF2020))
PLACES = np.meshgrid([-89.0, -45, -0.5, 0, 28, 57, 90], [-180.0, -71, 0, 3, 120])


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


def polar(east, north):
    return math.hypot(east, north) * 1000, math.degrees(math.atan2(east, north)) % 360


# The table ------------------------------------------------------------------------------------


def table_of_proj():
    """Rotations of plates in milliarcseconds and drifts in millimetres, as PROJ carries them."""
    text = (Path(pyproj.datadir.get_data_dir()) / "ITRF2020").read_text(encoding="utf-8")
    found = {}
    for name, line in re.findall(r"^<([A-Z]{4}(?:_T)?)> (.*)$", text, re.MULTILINE):
        assert "+convention=position_vector" in line
        words = dict(re.findall(r"\+(\w+)=(\S+)", line))
        found[name] = [
            round(float(words.get(f"{kind}{axis}", 0)) * 1000, 6)
            for kind in ("dr", "d")
            for axis in "xyz"
        ]
    return found


def test_thirteen_plates_as_proj_carries_them():
    theirs = table_of_proj()
    assert len(ITRF2020) == 13
    assert {code for code in theirs if not code.endswith("_T")} == set(ITRF2020)
    assert set(plates.NAMES) == set(ITRF2020)
    for code, rotation in ITRF2020.items():
        assert tuple(theirs[code][:3]) == tuple(rotation), code
        assert tuple(theirs[f"{code}_T"][3:]) == plates.ITRF2020_ORIGIN_RATE


@pytest.mark.parametrize("plate", ["AUST", "EURA", "PCFC", "NOAM"])
def test_rates_of_itrf2020(plate):
    assert list(ITRF2020[plate]) == given("PM-07", plate)
    rate = math.hypot(*ITRF2020[plate]) / 3.6  # 1 mas a year is 1/3.6 degrees in a million years
    near("PM-07", plate, rate)


SMALL = ["Manus", "Juan Fernandez", "Easter", "Tonga", "South Bismarck", "Rivera"]


def small_plate(name):
    """The published rotation of a small plate, in milliarcseconds a year along X, Y, Z."""
    latitude, longitude = map(math.radians, given("PM-08", name))
    level, rate = math.cos(latitude), 3.6 * value("PM-08", name)
    axis = level * math.cos(longitude), level * math.sin(longitude), math.sin(latitude)
    return tuple(rate * part for part in axis)


@pytest.mark.parametrize("plate", SMALL)
def test_small_plates_turn_faster_than_the_thirteen(plate):
    assert value("PM-08", plate) * 3.6 > 6 * max(math.hypot(*r) for r in ITRF2020.values())
    motion.velocity(0, 0, small_plate(plate), GRS80)  # none is too fast to be computed


def test_what_lesson_11_says_of_fast_plates():
    lesson = words_of_lesson("11_motion")
    fastest = max(math.hypot(*rotation) for rotation in ITRF2020.values())
    assert f"thirteen plates, which turn by {fastest:.1f} mas a year at most" in lesson
    manus, bismarck = (3.6 * value("PM-08", name) for name in ("Manus", "South Bismarck"))
    assert f"South Bismarck by {bismarck:.0f} mas a year, Manus by {manus:.0f}." in lesson
    assert f"the fastest small one by {manus / 1000:.2f}″" in lesson
    # Niuatoputapu, an island at the northern end of the Tonga plate
    tonga = motion.velocity(-15.95, -173.75, small_plate("Tonga"), GRS80)
    assert 0.17 < math.hypot(*tonga) < 0.18
    assert "small Tonga plate goes up to 17 cm a year" in lesson
    # the Lau basin opens there by some 160 mm a year, Tonga against Australia (Bevis 1995)
    australia = motion.velocity(-15.95, -173.75, ITRF2020["AUST"], GRS80)
    assert math.dist(tonga, australia) == pytest.approx(0.160, abs=0.012)


@pytest.mark.parametrize("asked", ["EUROPE", "eura", "Eurasia"])
def test_an_unknown_plate_is_answered_with_the_nearest(asked):
    with pytest.raises(ValueError, match=rf"'{asked}'; did you mean .*EURA \(Eurasia\)"):
        ITRF2020[asked]


def test_a_plate_like_no_other_is_answered_with_all():
    assert not difflib.get_close_matches("zzzz", [n.casefold() for n in plates.NAMES])
    with pytest.raises(ValueError, match=r"'ZZZZ'.*AMUR.*SOMA"):
        ITRF2020["ZZZZ"]


# Velocities -----------------------------------------------------------------------------------


@pytest.mark.parametrize("record", ["PM-03", "PM-04"])
def test_published_velocities(record):
    place = given(record, "latitude"), given(record, "longitude")
    east, north = motion.velocity(*place, given(record, "rotation"), GRS80)
    speed, azimuth = polar(east, north)
    near(record, "v_east", east * 1000)
    near(record, "v_north", north * 1000)
    near(record, "speed", speed)
    near(record, "azimuth", azimuth)


@pytest.mark.parametrize("plate", ["AUST", "EURA", "NOAM", "NUBI", "PCFC", "ARAB"])
def test_published_rates_of_itrf2014(plate):
    # a quarter turn from its pole, on a sphere, a plate goes as fast as it turns
    rotation = given("PM-01", plate)
    sphere = Ellipsoid("sphere", semi_major=6371000.0, inverse_flattening=0, source="test")
    beside = math.degrees(math.atan2(rotation[1], rotation[0])) + 90
    east, north = motion.velocity(0, beside, rotation, sphere)
    near("PM-01", plate, math.degrees(math.hypot(east, north) / sphere.semi_major) * 1e6)


@PLATES
def test_velocity_against_pyproj(plate):
    # a year by PROJ's own plate, started at its epoch 0 and read at epoch 1
    latitude, longitude = (grid.ravel() for grid in PLACES)
    start = np.array(ecef.to_ecef(latitude, longitude, 0, GRS80))
    for suffix, drift in (("", (0.0, 0.0, 0.0)), ("_T", plates.ITRF2020_ORIGIN_RATE)):
        pipeline = f"+proj=pipeline +step +init=ITRF2020:{plate}{suffix}"
        one = np.ones(start.shape[1])
        end = pyproj.Transformer.from_pipeline(pipeline).transform(*start, one)
        moved = np.array(end[:3]) - start
        east, north = motion.velocity(
            latitude, longitude, ITRF2020[plate], GRS80, origin_rate=drift
        )
        lam, phi = np.radians(longitude), np.radians(latitude)
        outward = moved[0] * np.cos(lam) + moved[1] * np.sin(lam)
        assert_allclose(east, moved[1] * np.cos(lam) - moved[0] * np.sin(lam), rtol=0, atol=5e-9)
        assert_allclose(north, moved[2] * np.cos(phi) - outward * np.sin(phi), rtol=0, atol=5e-9)


def test_velocity_on_earth_has_the_expected_size():
    # common practice, no source: north-west Europe goes north-east at 2 to 3 cm a year, north-west
    # Australia north-north-east at 7 cm, Hawaii north-west at 7 cm
    speed, azimuth = polar(*motion.velocity(57, 2, ITRF2020["EURA"], GRS80))
    assert 20 < speed < 30
    assert 30 < azimuth < 60
    speed, azimuth = polar(*motion.velocity(-20, 116.8, ITRF2020["AUST"], GRS80))
    assert 65 < speed < 75
    assert 20 < azimuth < 45
    speed, azimuth = polar(*motion.velocity(21.3, -157.9, ITRF2020["PCFC"], GRS80))
    assert 65 < speed < 75
    assert 290 < azimuth < 315


def test_india_moves_about_4_cm_a_year_towards_asia():
    # common practice, no source: about 4 cm a year, northwards; here along the mountain front,
    # where the plate model gives less in the west (34 mm) than in the east
    india, asia = ITRF2020["INDI"], ITRF2020["EURA"]
    relative = np.subtract(india, asia)
    for latitude, longitude, least in ((30.0, 78.5, 30), (27.5, 84.5, 35), (27.0, 92.0, 35)):
        speed, azimuth = polar(*motion.velocity(latitude, longitude, relative, GRS80))
        assert least <= speed < 45
        assert azimuth < 25
        apart = np.subtract(
            motion.velocity(latitude, longitude, india, GRS80),
            motion.velocity(latitude, longitude, asia, GRS80),
        )
        assert polar(*apart) == pytest.approx((speed, azimuth), abs=1e-9)


@PLATES
def test_the_upward_part_left_out_is_small(plate):
    latitude, longitude = (grid.ravel() for grid in PLACES)
    start = np.array(ecef.to_ecef(latitude, longitude, 0, GRS80))
    moved = np.cross(np.radians(np.array(ITRF2020[plate]) / 3.6e6), start.T)
    east, north = motion.velocity(latitude, longitude, ITRF2020[plate], GRS80)
    up = np.sqrt(np.maximum((moved**2).sum(axis=1) - east**2 - north**2, 0))
    assert up.max() <= 2.6e-4


# Moving ---------------------------------------------------------------------------------------


def rotated(latitude, longitude, rotation, years):
    """Rodrigues' rotation of the point, as a way of its own."""
    turn = np.radians(np.array(rotation) / 3.6e6) * years
    angle = np.linalg.norm(turn)
    axis, start = turn / angle, np.array(ecef.to_ecef(latitude, longitude, 0, GRS80))
    end = start * np.cos(angle) + np.cross(axis, start) * np.sin(angle)
    return ecef.from_ecef(*(end + axis * (axis @ start) * (1 - np.cos(angle))), GRS80)


@pytest.mark.parametrize("years", [-40.0, 0.5, 30.0])
@pytest.mark.parametrize(
    ("plate", "place"),
    [("EURA", (57.0, 2.0)), ("AUST", (-20.0, 116.8)), ("PCFC", (21.3, -179.99999))],
)
def test_move_follows_the_rotation(plate, place, years):
    east, north = motion.velocity(*place, ITRF2020[plate], GRS80)
    latitude, longitude, height = motion.move(*place, 12.5, east, north, 0.002, years, GRS80)
    wanted = rotated(*place, ITRF2020[plate], years)
    # the ground rises and falls by up to 0.2 mm a year against the ellipsoid, and 3 m is short
    assert abs(latitude - wanted[0]) * 111_000 <= 1e-4
    assert abs((longitude - wanted[1] + 180) % 360 - 180) * 111_000 <= 1e-4
    assert height == pytest.approx(12.5 + 0.002 * years, abs=1e-12)


def test_alice_springs_from_2018_to_2020():
    # the manual's transformation runs from 2020 back to the coordinates, in the coordinate frame
    # convention: two turns of sign, so that its rates are the plate's own
    mas = [1000 * rate for rate in given("TD-05", "rotation_rates")]
    start = ecef.from_ecef(*(given("TD-05", axis) for axis in "XYZ"), GRS80)
    east, north = motion.velocity(*start[:2], mas, GRS80)
    years = given("TD-05", "t0") - given("TD-05", "epoch")
    end = ecef.to_ecef(*motion.move(*start, east, north, 0, years, GRS80), GRS80)
    # 0.1 mm of the record, and 0.1 mm for the way up that a move along the ellipsoid leaves out
    for axis, got in zip("XYZ", end, strict=True):
        assert abs(got - value("TD-05", axis)) <= tolerance("TD-05", axis) + 5e-4


def test_move_across_the_date_line_and_back():
    there = motion.move(10.0, 179.9999999, 0, 0.07, 0, 0, 1, GRS80)
    assert there[1] < -179.999
    back = motion.move(*there, 0.07, 0, 0, -1, GRS80)
    assert_allclose(back, (10.0, 179.9999999, 0), rtol=0, atol=1e-12)


# Shapes and bad input -------------------------------------------------------------------------


def test_scalars_arrays_and_nan():
    east, north = motion.velocity(57, 2, ITRF2020["EURA"], GRS80)
    assert type(east) is type(north) is float
    east, north = motion.velocity([[57], [np.nan]], [2, 3, 4], ITRF2020["EURA"], GRS80)
    assert east.shape == north.shape == (2, 3)
    assert np.isnan(east[1]).all()
    assert np.isfinite(east[0]).all()
    moved = motion.move(57, 2, 0, 0.02, 0.01, 0, 10, GRS80)
    assert [type(number) for number in moved] == [float] * 3
    moved = motion.move(57, [2, np.nan], 0, 0.02, 0.01, 0, [[10], [20]], GRS80)
    assert [number.shape for number in moved] == [(2, 2)] * 3
    assert np.isnan(moved[1]).tolist() == [[False, True]] * 2
    assert math.isnan(motion.move(57, 2, 0, 0.02, 0.01, math.nan, 10, GRS80)[2])


def test_standing_still():
    assert motion.move(57, 2, 3, 0, 0, 0, 10, GRS80) == (57, 2, 3)
    assert motion.move(57, 2, 3, 0.1, 0.1, 0.1, 0, GRS80) == (57, 2, 3)


EURA = ITRF2020["EURA"]


def test_limits_themselves_are_allowed():
    assert np.isfinite(motion.velocity(1, 2, (200, -200, 200), GRS80)).all()
    for years in (200, -200):
        assert np.isfinite(motion.move(1, 2, 3, 1, -1, 1, years, GRS80)).all()


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: motion.velocity(91, 0, EURA, GRS80), "latitude 91"),
        (lambda: motion.velocity(0, 0, (-85, -519, 753), GRS80), "-519 mas.*microarcseconds"),
        (lambda: motion.velocity(0, 0, (1.0, 2.0), GRS80), "rotation has 2 numbers"),
        (lambda: motion.velocity(0, 0, EURA, GRS80, origin_rate=(1,)), "origin rate has 1"),
        (lambda: motion.move(0, 0, 0, 22.0, 0, 0, 10, GRS80), "east velocity 22 m.*millimetres"),
        (lambda: motion.move(0, 0, 0, 0, 0, -3, 10, GRS80), "up velocity -3 m"),
        (lambda: motion.move(0, 0, 0, 0, 0.02, 0, 2027.5, GRS80), "2027.5 years.*an epoch"),
        (lambda: motion.move(95, 0, 0, 0, 0.02, 0, 2, GRS80), "latitude 95"),
    ],
)
def test_bad_input_is_refused_with_the_cause(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_ellipsoid_has_no_default():
    with pytest.raises(TypeError):
        motion.velocity(0, 0, EURA)
    with pytest.raises(TypeError):
        motion.move(0, 0, 0, 0, 0, 0, 1)
