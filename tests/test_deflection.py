"""The deflection of the vertical: check values, and the rotation between the two verticals."""

import math
import re

import numpy as np
import pyproj
import pytest
from lesson_words import words_of_lesson
from numpy.testing import assert_allclose
from published import given, tolerance, value

from exercises import find
from exercises.sheets.scenario import PLACES
from geokit import CLARKE1866, WGS84, deflection
from geokit.geoid import EGM96

RHO = math.degrees(1) * 3600


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


# Check values


def test_greenwich():
    # DV-01: why the zero meridian lies 102 m east of the brass strip
    latitude = given("DV-01", "latitude")
    _, eta = deflection.from_astronomic(
        latitude,
        given("DV-01", "astronomical_longitude_Airy") / 3600,
        latitude,
        given("DV-01", "geodetic_longitude_ITRF") / 3600,
    )
    near("DV-01", "eta", eta)
    near("DV-01", "offset", eta / RHO * WGS84.prime_vertical_radius(latitude))


def test_great_arc_of_india():
    # DV-02: the amplitude from the stars is smaller than that from the triangles
    xi, _ = deflection.from_astronomic(
        given("DV-02", "astronomical_amplitude"), 0, given("DV-02", "geodetic_amplitude"), 0
    )
    near("DV-02", "difference", -xi)


def test_initial_point():
    # DV-04: the astronomic position that follows from the data sheet gives ξ and η back
    latitude = given("DV-04", "geodetic_latitude")
    xi, eta = deflection.from_astronomic(
        43.5 + value("DV-04", "astronomical_latitude_seconds") / 3600,
        -96.0 + value("DV-04", "eta_over_cos_latitude") / 3600,
        latitude,
        -96.0,
    )
    assert abs(xi - given("DV-04", "xi")) <= tolerance("DV-04", "astronomical_latitude_seconds")
    assert abs(eta - given("DV-04", "eta")) <= tolerance("DV-04", "eta_over_cos_latitude")


def test_laplace_correction():
    eta, latitude = given("DV-05", "eta"), given("DV-05", "geodetic_latitude")
    azimuth = deflection.geodetic_azimuth(60.0, 0, eta, latitude, 90.0)
    near("DV-05", "laplace_correction", (azimuth - 60.0) * 3600)


def test_hawaii():
    # DV-07: two star positions on either side of a mountain, and what the geoid model makes of them
    geod = pyproj.Geod(ellps="WGS84")
    stars = [(19.7323, -155.0412), (19.7244, -156.0787)]
    *_, apart = geod.inv(*stars[0][::-1], *stars[1][::-1])
    near("DV-07", "distance_from_stars", apart / 1000)
    latitude, longitude = fixed = np.transpose(stars)
    for _ in range(3):  # the deflection is that of the geodetic position, which it leads to
        xi, eta = deflection.from_geoid(latitude, longitude, EGM96, WGS84)
        latitude = fixed[0] - xi / 3600
        longitude = fixed[1] - eta / 3600 / np.cos(np.radians(latitude))
    *_, true = geod.inv(longitude[0], latitude[0], longitude[1], latitude[1])
    assert abs(true / 1000 - given("DV-07", "true_distance")) < tolerance("DV-07", "error")
    # the record's note: a synthesis of the same model, which never saw the grid, gives 107″
    assert abs(eta[0] - eta[1] - 107) < 0.5


def test_inclined_sight():
    xi, eta, azimuth = (given("DV-08", name) for name in ("xi", "eta", "azimuth"))
    z = given("DV-08", "zenith_distance")
    alpha = deflection.geodetic_azimuth(azimuth, xi, eta, given("DV-08", "latitude"), z)
    near("DV-08", "A_minus_alpha", (azimuth - alpha) * 3600)
    geodetic = deflection.geodetic_zenith_angle(z, xi, eta, azimuth)
    near("DV-08", "z_astronomical_minus_z_geodetic", (z - geodetic) * 3600)


# The rotation between the two local frames, without a small angle taken for granted


def frame(latitude, longitude):
    """East, north and up as rows, in Earth-centred axes."""
    phi, lam = np.radians([latitude, longitude])
    return np.array(
        [
            [-np.sin(lam), np.cos(lam), 0],
            [-np.sin(phi) * np.cos(lam), -np.sin(phi) * np.sin(lam), np.cos(phi)],
            [np.cos(phi) * np.cos(lam), np.cos(phi) * np.sin(lam), np.sin(phi)],
        ]
    )


@pytest.mark.parametrize("latitude", [-70, -19, 0, 45, 60])
@pytest.mark.parametrize(("xi", "eta"), [(60, -20), (-33, -41), (5, 4)])
def test_against_the_rotation(latitude, xi, eta):
    longitude = 150.0
    astronomic = frame(
        latitude + xi / 3600, longitude + eta / 3600 / math.cos(math.radians(latitude))
    )
    geodetic = frame(latitude, longitude)
    # terms of second order: the deflection squared, in arcseconds, times tan φ at most
    second = (xi**2 + eta**2) / RHO * (1 + abs(math.tan(math.radians(latitude))))
    for azimuth, z in ((0, 90), (57, 90), (130, 80), (250, 95), (359.9999, 88)):
        a, zenith = np.radians([azimuth, z])
        sight = np.array([np.sin(a) * np.sin(zenith), np.cos(a) * np.sin(zenith), np.cos(zenith)])
        east, north, up = geodetic @ astronomic.T @ sight
        got = deflection.geodetic_azimuth(azimuth, xi, eta, latitude, z)
        assert 0 <= got < 360
        off = (got - np.degrees(np.arctan2(east, north)) + 180) % 360 - 180
        assert abs(off) * 3600 <= second
        got = deflection.geodetic_zenith_angle(z, xi, eta, azimuth)
        assert abs(got - np.degrees(np.arccos(up))) * 3600 <= second
    # the astronomic zenith, seen from the geodetic one, and the foot of a plumb line
    east, north, _ = geodetic @ astronomic[2]
    size, direction = deflection.total(xi, eta)
    assert abs(math.hypot(east, north) * RHO - size) <= second
    assert direction == pytest.approx(math.degrees(math.atan2(east, north)) % 360, abs=0.05)
    foot = np.array(deflection.seabed_offset(xi, eta, 3000.0))
    assert_allclose(foot, [-east * 3000, -north * 3000], rtol=0, atol=3000 * second / RHO)


# From the geoid


def test_greenwich_against_spherical_harmonics():
    # the note of DV-01: a synthesis of EGM96 to degree 360, which never saw the grid, gives +3.02″
    _, eta = deflection.from_geoid(given("DV-01", "latitude"), -5.3 / 3600, EGM96, WGS84)
    assert abs(eta - 3.02) < 0.03


def test_sign_against_heights():
    # the geoid rises towards the south here, so that the zenith leans north: ξ positive
    assert EGM96.height(18.9, -66.125) > EGM96.height(19.1, -66.125)
    xi, _ = deflection.from_geoid(19, -66.125, EGM96, WGS84)
    assert xi > 60


def test_step_of_the_geoid_along_a_line():
    # −mean ε · s against the heights themselves, on a line of 2 km across a trench wall
    geod = pyproj.Geod(ellps="WGS84")
    lon2, lat2, back = geod.fwd(-66.125, 19, 30, 2000)
    ends = np.array([[19, lat2], [-66.125, lon2]])
    epsilon = deflection.along(*deflection.from_geoid(*ends, EGM96, WGS84), [30, back + 180])
    step = deflection.geoid_step(*epsilon, 2000)
    heights = EGM96.height(*ends)
    assert abs(step) > 0.4
    assert step == pytest.approx(heights[1] - heights[0], abs=1e-4)


def test_nearly_the_same_on_any_ellipsoid():
    one = deflection.from_geoid(19, -66.125, EGM96, WGS84)
    other = deflection.from_geoid(19, -66.125, EGM96, CLARKE1866)
    assert_allclose(one, other, rtol=1e-4)
    assert one != other


# What lesson 08 says: a plumb line carried out by vectors, an array by its ranges

WALL, SIZE = (19.0, -66.125), 60.8  # Brindle Wall; arcseconds


def test_the_first_question_of_lesson_08_is_true_of_the_place_it_names():
    prompt = re.sub(r"\s", " ", find("deflection-first-weight").prompt)
    (place,) = [place for place in PLACES.values() if place.name in prompt]
    lat, lon = place.latitude, place.longitude
    north = EGM96.height(lat + 0.05, lon) - EGM96.height(lat - 0.05, lon)
    east = EGM96.height(lat, lon + 0.05) - EGM96.height(lat, lon - 0.05)
    assert north < 0  # the geoid falls to the north, so that the zenith leans there
    assert abs(east) < abs(north) / 10
    # hence the foot of the wire: at right angles to the surface, downwards
    slope = north / (0.1 * 111_195)
    foot = -np.array([-slope, 1.0]) * place.water_depth  # north and up
    assert foot[0] < -0.5
    assert {p.key for p in find("deflection-first-weight").asked[0].options} > {"south"}
    assert find("deflection-first-weight").solve({}) == {"choice": "south"}


def fixed_by_ranges(true, lean, arm):
    """
    Return the position of a transponder that ranges to a ship all round it give.

    The transducer hangs `arm` metres below the antenna on a mast plumb by gravity, that leans
    `lean` arcseconds north at its top; the surveyor takes it straight down the normal. Ranges
    have no error. By least squares, from a position 50 m off.
    """
    turns = np.radians(np.arange(0, 360, 15))
    antennas = np.stack([2500 * np.cos(turns), 2500 * np.sin(turns), np.zeros(24)], axis=-1)
    mast = np.array([0.0, math.sin(lean / RHO), math.cos(lean / RHO)])
    ranges = np.linalg.norm(antennas - arm * mast - true, axis=-1)
    taken = antennas - arm * np.array([0.0, 0.0, 1.0])
    found = np.array(true) + [30.0, -40.0, 10.0]
    for _ in range(10):
        away = found - taken
        reached = np.linalg.norm(away, axis=-1)
        found = found - np.linalg.lstsq(away / reached[:, None], reached - ranges, rcond=None)[0]
    return found


def test_an_array_fixed_by_ranges_feels_the_lever_arm_alone():
    first, second = np.array([0.0, 0.0, -3000.0]), np.array([2000.0, 300.0, -3050.0])
    found = [fixed_by_ranges(true, SIZE, arm=30.0) for true in (first, second)]
    shift = found[0] - first
    assert abs(shift[1]) == pytest.approx(30 * SIZE / RHO, rel=1e-3)
    assert np.linalg.norm(shift) < 0.01  # 9 mm, where a weight would hang 0.88 m off
    assert math.dist(*found) == pytest.approx(math.dist(first, second), abs=1e-4)
    assert np.linalg.norm(fixed_by_ranges(first, SIZE, arm=0.0) - first) < 1e-6


def hanging(lean, depth=3000.0):
    """Return how far north a weight lands on a plumb line that leans north at its top."""
    down = -np.array([math.tan(lean / RHO), 1.0])
    return down[0] * depth


def test_the_numbers_of_lesson_09_on_what_feels_it():
    geoid = EGM96.height(WALL[0] + 1000 / 110_670 * np.array([-1, 1]), WALL[1])
    pressure = geoid[0] - geoid[1]  # over 2 km of the meridian, from the heights alone
    assert hanging(SIZE) == pytest.approx(-0.884, abs=5e-4)
    assert pressure == pytest.approx(2000 * math.tan(60.7 / RHO), abs=0.02)
    said = words_of_lesson("09_attraction")
    for number in (
        f"60.8″ is {-hanging(SIZE):.2f} m at 3 000 m.",
        f"over 2 km, 60.8″ makes them {2000 * math.tan(SIZE / RHO):.2f} m different",
        f"30 m at 60.8″ gives {30_000 * math.tan(SIZE / RHO):.0f} mm",
        f"| {30_000 / RHO:.2f} mm | 10 cm | about {round(0.1 / 30 * RHO, -2):.0f}″",
        f"| {2e6 / RHO:.1f} mm | 30 cm | about {0.3 / 2000 * RHO:.0f}″ |",
        f"0.02° = {3000 * math.tan(math.radians(0.02)):.1f} m | about {0.02 * 3600:.0f}″ |",
    ):
        assert number in said


def test_what_lesson_08_says_of_the_detail_that_egm96_leaves_out():
    """Kaula's rule: a normalised coefficient of degree n is about 1e-5 / n²."""
    n = np.arange(361.0, 2191.0)  # 361 to 2190
    left_out = RHO * math.sqrt(np.sum(n * (n + 1) * (2 * n + 1) * (1e-5 / n**2) ** 2))
    assert f"typically {left_out:.0f}″ (*computed* from Kaula's rule" in words_of_lesson(
        "08_deflection"
    )


# Shapes, wraps and refusals


def test_directions():
    _, azimuth = deflection.total([1, 0, -1, 0, 0, 1], [0, 1, 0, -1, 0, -1e-300])
    assert azimuth.tolist() == [0, 90, 180, 270, 0, 0]
    assert deflection.along(10, 4, [0, 90, 180, 270]) == pytest.approx([10, 4, -10, -4])


def test_longitudes_the_short_way_round():
    _, eta = deflection.from_astronomic(0, -179.999, 0, 179.999)
    assert eta == pytest.approx(7.2, abs=1e-8)


def test_sights_all_but_straight_up_and_down():
    assert deflection.geodetic_zenith_angle([0, 180], 1, 0, 0) == pytest.approx(
        [1 / 3600, 180 + 1 / 3600]
    )
    # cot 0.5° is 114.59: across the sight 1″ turns the azimuth so much, one way up, one way down
    for z, turn in ((0.5, -114.59), (179.5, 114.59)):
        got = deflection.geodetic_azimuth(90, 1, 0, 0, z)
        assert got == pytest.approx(90 + turn / 3600, abs=1e-5)
    for z in (180.0001, -0.0001):
        with pytest.raises(ValueError, match="elevation angle"):
            deflection.geodetic_zenith_angle(z, 1, 0, 0)


def test_azimuth_wraps_at_north():
    assert deflection.geodetic_azimuth(0, 0, 10, 45, 90) == pytest.approx(360 - 10 / 3600)
    assert deflection.geodetic_azimuth(0, 0, -10, 45, 90) == pytest.approx(10 / 3600)


CALLS = {
    "from_geoid": (lambda lat, lon: deflection.from_geoid(lat, lon, EGM96, WGS84), (19.0, -66.1)),
    "from_astronomic": (deflection.from_astronomic, (19.01, -66.09, 19.0, -66.1)),
    "total": (deflection.total, (60.7, -2.3)),
    "along": (deflection.along, (60.7, -2.3, 33.0)),
    "geodetic_azimuth": (deflection.geodetic_azimuth, (33.0, 60.7, -2.3, 19.0, 88.0)),
    "geodetic_zenith_angle": (deflection.geodetic_zenith_angle, (88.0, 60.7, -2.3, 33.0)),
    "geoid_step": (deflection.geoid_step, (60.7, 58.0, 2000.0)),
    "seabed_offset": (deflection.seabed_offset, (60.7, -2.3, 3000.0)),
}


@pytest.mark.parametrize("name", CALLS)
def test_scalars_arrays_and_missing_values(name, scalar_and_array):
    call, arguments = CALLS[name]
    scalar_and_array(call, *arguments)
    result = call(np.full((3, 1), arguments[0]), *arguments[1:-1], np.full(4, arguments[-1]))
    assert {np.shape(part) for part in (result if isinstance(result, tuple) else [result])} == {
        (3, 4)
    }
    missing = call(math.nan, *arguments[1:])
    assert np.isnan(missing).any()
    with pytest.raises(ValueError, match=r"inf"):
        call(*arguments[:-1], math.inf)


@pytest.mark.parametrize("latitude", [90, -90])
def test_no_eta_at_a_pole(latitude):
    for call in (
        lambda: deflection.from_geoid([0, latitude], 0, EGM96, WGS84),
        lambda: deflection.from_astronomic(89.999, 0, latitude, 0),
        lambda: deflection.geodetic_azimuth(10, 1, 1, latitude, 90),
    ):
        with pytest.raises(ValueError, match="η is undefined at a pole"):
            call()


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: deflection.from_geoid(150, 44, EGM96, WGS84), r"latitude 150.*swapped\?"),
        (lambda: deflection.from_astronomic(91, 0, 45, 0), "astronomic latitude 91"),
        (lambda: deflection.from_astronomic(45, 0, 91, 0), "^latitude 91"),
        (lambda: deflection.geodetic_azimuth(10, 1, 1, 45, 0), "zenith angle 0 is not between"),
        (lambda: deflection.geodetic_azimuth(10, 1, 1, 45, -2), "elevation angle"),
        (lambda: deflection.geodetic_azimuth(10, 1, 1, 45, math.inf), "zenith angle inf"),
        (lambda: deflection.geodetic_zenith_angle([88, 271], 1, 1, 45), "zenith angle 271.*face"),
        (lambda: deflection.geodetic_zenith_angle(-2, 1, 1, 45), "zenith angle -2.*elevation"),
        (lambda: deflection.seabed_offset(1, 1, [10, -3000]), "depth -3000 m is negative"),
        (lambda: deflection.total(math.inf, 0), "ξ inf is not a finite number"),
    ],
)
def test_refusals(call, says):
    with pytest.raises(ValueError, match=says):
        call()
