"""Geodesic, great circle, rhumb line and normal section against print and other routes."""

import math
import re

import numpy as np
import pyproj
import pytest
from geographiclib.geodesic import Geodesic
from numpy.testing import assert_allclose
from published import given, tolerance, value

from geokit import BESSEL1841, CLARKE1866, GRS80, INTERNATIONAL1924, WGS84, Ellipsoid, angles, lines

R = 6_371_000.0
SPHERE = Ellipsoid("sphere", R, 0, "test")


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


def turned(angle):
    """As 0 to 360, where it was reversed."""
    return (angle + 180) % 360


# Geodesic: print ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("record", "ellipsoid"),
    [("GD-01", BESSEL1841), ("GD-03", INTERNATIONAL1924), ("GD-05", INTERNATIONAL1924)],
)
def test_vincentys_lines(record, ellipsoid):
    lat1, lon1, azimuth, length = (
        given(record, name) for name in ("lat1", "lon1", "azimuth1", "s12")
    )
    lat2, lon2, back = lines.direct(lat1, lon1, azimuth, length, ellipsoid)
    near(record, "lat2", lat2)
    near(record, "lon2", lon2)
    near(record, "azimuth2", turned(back))
    got = lines.inverse(lat1, lon1, value(record, "lat2"), value(record, "lon2"), ellipsoid)
    near(record, "inverse_s12", got[0])


@pytest.mark.parametrize("record", ["GD-07", "GD-15"])
def test_karneys_lines(record):
    lat1, lat2, turn = (given(record, name) for name in ("lat1", "lat2", "longitude_difference"))
    distance, azimuth, _ = lines.inverse(lat1, 20, lat2, 20 + turn, WGS84)
    near(record, "s12", distance)
    near(record, "azimuth1", azimuth)


@pytest.mark.parametrize(("latitude", "azimuth"), [(30, 40), (-12.5, 265), (0, 89.9), (60, 5)])
def test_a_line_is_highest_where_geographiclib_runs_it_east_or_west(latitude, azimuth):
    line = Geodesic.WGS84.Line(latitude, 0, azimuth)
    heights = [abs(line.ArcPosition(arc)["lat2"]) for arc in np.linspace(0, 360, 3601)]
    highest = lines.highest_latitude(latitude, azimuth, WGS84)
    assert max(heights) <= highest + 1e-9
    assert max(heights) == pytest.approx(highest, abs=2e-3)
    assert lines.highest_latitude(latitude, 0, WGS84) == pytest.approx(90)
    assert lines.highest_latitude(latitude, 90, WGS84) == pytest.approx(abs(latitude), abs=1e-9)


def test_wellington_to_salamanca():
    ends = [
        angles.read(text, kind, ".")
        for name in ("P1", "P2")
        for text, kind in zip(
            given("GD-09", name).split(", "), ("latitude", "longitude"), strict=True
        )
    ]
    near("GD-09", "s12", lines.inverse(*ends, WGS84)[0])


def test_flinders_peak_to_buninyong():
    distance, azimuth, back = lines.inverse(*given("GD-11", "P1"), *given("GD-11", "P2"), GRS80)
    near("GD-11", "s12", distance)
    near("GD-11", "azimuth12", azimuth)
    near("GD-11", "azimuth21", back)  # towards the first point: the course's convention


def test_equator_and_meridian():
    for name in ("quarter_equator", "equator_to_pole", "antipodal_points_on_equator"):
        (lat1, lon1), (lat2, lon2) = given("GD-13", name)
        near("GD-13", name, lines.inverse(lat1, lon1, lat2, lon2, WGS84)[0])


def test_hawaii_before_satellites():
    near("GD-14", "s12", lines.inverse(*given("GD-14", "P1"), *given("GD-14", "P2"), CLARKE1866)[0])


@pytest.mark.parametrize("line", [lines.inverse, lines.rhumb], ids=["geodesic", "rhumb"])
def test_lengths_of_arcs_of_the_meridian(line):
    # short arcs about the latitude: the table gives the radius there, in degrees and seconds
    def metres(latitude, degrees):
        south, north = latitude - 0.005, latitude + 0.005
        if north > 90:
            south, north = 89.99, 90
        return line(south, 7, north, 7, WGS84)[0] * degrees / (north - south)

    for latitude in given("AR-01", "latitude"):
        near("AR-01", f"lat_{latitude}", metres(latitude, 1) / 1000)
    for name, latitude in (("equator", 0), ("lat_45", 45), ("pole", 90), ("rule_of_thumb", 45)):
        near("AR-03", name, metres(latitude, 1 / 3600))
    near("AR-04", "minute_at_equator", metres(0, 1 / 60))
    near("AR-04", "minute_at_pole", metres(90, 1 / 60))
    near("AR-04", "mean_minute_quadrant_over_5400", line(0, 0, 90, 0, WGS84)[0] / 5400)
    where = value("AR-04", "latitude_where_minute_is_1852")
    limit = tolerance("AR-04", "latitude_where_minute_is_1852")
    mile = given("AR-04", "nautical_mile")
    assert metres(where - limit, 1 / 60) < mile < metres(where + limit, 1 / 60)


# Geodesic: another library, order and signs ---------------------------------------------------


def random_ends(count, seed):
    rng = np.random.default_rng(seed)
    lat = np.degrees(np.arcsin(rng.uniform(-1, 1, (2, count))))
    lon = rng.uniform(-180, 180, (2, count))
    return lat[0], lon[0], lat[1], lon[1]


def test_inverse_and_direct_against_geographiclib():
    ends = random_ends(100, 8)
    reference = Geodesic(CLARKE1866.semi_major, CLARKE1866.flattening)
    distance, azimuth, back = lines.inverse(*ends, CLARKE1866)
    lat2, lon2, back2 = lines.direct(*ends[:2], azimuth, distance, CLARKE1866)
    for i, line in enumerate(reference.Inverse(*end) for end in zip(*ends, strict=True)):
        assert distance[i] == pytest.approx(line["s12"], abs=2e-8)
        assert azimuth[i] == pytest.approx(line["azi1"] % 360, abs=1e-9)
        assert back[i] == pytest.approx(turned(line["azi2"]), abs=1e-9)
    assert_allclose(lat2, ends[2], atol=1e-12)
    assert_allclose((lon2 - ends[3] + 180) % 360, 180, atol=1e-11)
    assert_allclose(back2, back, atol=1e-9)


def test_which_way_is_which():
    _, azimuth, back = lines.inverse(50, 0, 50, 10, WGS84)  # due east, so first to the north
    assert 80 < azimuth < 90
    assert azimuth + back == pytest.approx(360)
    assert turned(azimuth) != pytest.approx(back, abs=7)  # meridians have converged by 7.7 degrees
    lat, lon, back = lines.direct(-20, 179.9, 90, 50_000, WGS84)
    assert lat == pytest.approx(-20, abs=0.01)
    assert -180 < lon < -179.5
    assert 269 < back < 270.2


def test_at_a_pole_azimuths_count_from_the_longitude_given():
    for line in (
        lambda *ends: lines.inverse(*ends, WGS84),
        lambda *ends: lines.great_circle(*ends, R),
    ):
        _, azimuth, back = line(90, 10, 80, 30)
        assert azimuth == pytest.approx(160)  # towards 30 E, with the meridian of 10 E at 180
        assert back == 0
    assert lines.normal_section(90, 10, 80, 30, WGS84) == pytest.approx(160)
    lat, lon, _ = lines.direct(90, 10, 160, 1_116_825.857, WGS84)
    assert (lat, lon) == (pytest.approx(80), pytest.approx(30))


def test_a_line_round_the_earth():
    around = 4 * lines.inverse(0, 0, 90, 0, WGS84)[0]
    got = lines.direct(12, 34, 0, around, WGS84)
    assert got == (pytest.approx(12), pytest.approx(34), 180)


@pytest.mark.parametrize("apart", [1e-9, 1e-4, 0.4, 0.6, 1.0])
def test_near_the_antipode_the_line_arrives(apart):
    ends = (12, 20, -12 + apart, -160 + apart / 2)
    distance, azimuth, back = lines.inverse(*ends, WGS84)
    assert 1.9e7 < distance < 20_003_932
    lat, lon, back2 = lines.direct(*ends[:2], azimuth, distance, WGS84)
    assert lat == pytest.approx(ends[2], abs=1e-11)
    assert (lon - ends[3] + 180) % 360 == pytest.approx(180, abs=1e-11)
    assert back2 == pytest.approx(back, abs=1e-6)


# Great circle ---------------------------------------------------------------------------------


def test_great_circle_by_vectors():
    ends = random_ends(200, 9)
    (lat1, lon1, lat2, lon2) = np.radians(ends)

    def unit(lat, lon):
        return np.array([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)])

    a, b = unit(lat1, lon1), unit(lat2, lon2)
    arc = np.arctan2(np.linalg.norm(np.cross(a, b, axis=0), axis=0), (a * b).sum(axis=0))

    def towards(lat1, lon1, lat2, lon2):
        east = np.cos(lat2) * np.sin(lon2 - lon1)
        north = np.cos(lat1) * np.sin(lat2) - np.sin(lat1) * np.cos(lat2) * np.cos(lon2 - lon1)
        return np.degrees(np.arctan2(east, north)) % 360

    distance, azimuth, back = lines.great_circle(*ends, R)
    assert_allclose(distance, R * arc, atol=1e-7)
    assert_allclose(azimuth, towards(lat1, lon1, lat2, lon2), atol=1e-9)
    assert_allclose(back, towards(lat2, lon2, lat1, lon1), atol=1e-9)
    assert_allclose(lines.inverse(*ends, SPHERE)[0], distance, atol=1e-7)


def test_great_circle_at_the_antipode():
    distance, azimuth, back = lines.great_circle(30, 10, -30, -170, R)
    assert distance == pytest.approx(math.pi * R, rel=1e-15)
    assert not np.isnan([azimuth, back]).any()


def test_what_the_sphere_costs():
    # 6 371 km: up to 0.6 %, along the meridian at the equator
    sphere, ellipsoid = (
        lines.great_circle(-1, 0, 1, 0, R)[0],
        lines.inverse(-1, 0, 1, 0, WGS84)[0],
    )
    assert 0.0055 < sphere / ellipsoid - 1 < 0.006


# Rhumb line ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ends", "distance", "azimuth"),
    [
        # GeographicLib (Karney), RhumbSolve: New York to Singapore, and a line of its tests; read
        # in the tests of a port of the library
        (
            (40 + 38 / 60 + 23 / 3600, -73 - 46 / 60 - 44 / 3600)
            + (1 + 21 / 60 + 33 / 3600, 103 + 59 / 60 + 22 / 3600),
            18523563.0423774272,
            103.582833003410954,
        ),
        ((33.3, 44.4, 12.34, 56.78), 2641839.7239669343, 151.483174375421527),
        # its tests of paths from the equator to a pole: the longitude there does not matter
        ((0, 0, 90, 0), 10001965.729, 0),
        ((0, 0, 90, 30), 10001965.729, 0),
    ],
)
def test_karneys_rhumb_lines(ends, distance, azimuth):
    got = lines.rhumb(*ends, WGS84)
    digits = 5e-4 if azimuth == 0 else 2e-8
    assert got == (pytest.approx(distance, abs=digits), pytest.approx(azimuth, abs=1e-13))


def mercator_and_short_geodesics(lat1, lon1, lat2, lon2, ellipsoid, pieces=400):
    """A straight line on pyproj's Mercator chart, its length as pyproj's geodesics end to end."""
    shape = {"a": ellipsoid.semi_major, "f": ellipsoid.flattening}
    chart, geod = pyproj.Proj(proj="merc", **shape), pyproj.Geod(**shape)
    turn = (lon2 - lon1 + 180) % 360 - 180
    x, y = chart([0, turn / 2], [lat1, lat2])
    x = [0, 2 * x[1]]  # so that half the Earth round does not jump

    def length(n):
        share = np.linspace(0, 1, n + 1)
        along = chart(x[1] * share / 2, y[0] + (y[1] - y[0]) * share, inverse=True)
        return geod.line_length(2 * along[0], along[1])

    azimuth = math.degrees(math.atan2(x[1], y[1] - y[0])) % 360
    return (4 * length(2 * pieces) - length(pieces)) / 3, azimuth  # the error falls with n⁻²


@pytest.mark.parametrize("ellipsoid", [BESSEL1841, WGS84, SPHERE], ids=lambda e: e.name)
@pytest.mark.parametrize(
    "ends",
    [
        (54, 3, 61, 2),
        (-23.5, 151, 12, -118),  # over the date line
        (10, 0, -40, 170),
        (50, 0, 50, 60),  # due east
        (-65, 20, -65, -30),  # due west
        (50, 0, 50.0001, 60),  # almost due east
        (0, 0, 0, 100),
        (-85, 5, 85, 100),
        (3, 5, 3.00002, 5.00003),
    ],
)
def test_rhumb_against_pyproj(ends, ellipsoid):
    distance, azimuth = lines.rhumb(*ends, ellipsoid)
    length, course = mercator_and_short_geodesics(*ends, ellipsoid)
    assert distance == pytest.approx(length, rel=1e-9, abs=1e-6)
    assert azimuth == pytest.approx(course, abs=2e-9 if distance > 1000 else 1e-6)
    assert distance > lines.inverse(*ends, ellipsoid)[0] - 1e-6


def test_due_east_is_the_parallel_and_nothing_jumps_there():
    parallel = WGS84.prime_vertical_radius(50) * math.cos(math.radians(50)) * math.radians(10)
    distance, azimuth = lines.rhumb(50, 0, 50, 10, WGS84)
    assert distance == pytest.approx(parallel, rel=1e-15)
    assert azimuth == 90
    north = 50 + 10.0 ** -np.arange(5, 14)
    step = north - 50
    distances, azimuths = lines.rhumb(50, 0, north, 10, WGS84)
    # a parallel shortens by M sin φ a radian of latitude, so the line by half of that
    rise = WGS84.meridian_radius(50) * np.radians(step)
    shorter = rise / 2 * math.sin(math.radians(50)) * math.radians(10)
    assert_allclose(distances, np.hypot(parallel - shorter, rise), rtol=1e-14)
    assert_allclose(90 - azimuths, np.degrees(np.arctan2(rise, parallel)), rtol=1e-6, atol=2e-14)
    assert (np.diff(azimuths) >= 0).all()


def test_rhumb_to_and_from_a_pole_is_the_meridian():
    quadrant = WGS84.meridian_distance(90)
    for longitude in (0, 77, 180, -100):
        assert lines.rhumb(0, 0, 90, longitude, WGS84) == (pytest.approx(quadrant, abs=2e-9), 0)
        assert lines.rhumb(0, 0, -90, longitude, WGS84)[1] == 180
        assert lines.rhumb(90, longitude, 0, 0, WGS84)[1] == 180
        assert lines.rhumb(-90, longitude, 90, 0, WGS84)[0] == pytest.approx(2 * quadrant, abs=4e-9)
        distance, azimuth = lines.rhumb(90, 5, 90, longitude, WGS84)
        assert distance == 0
        assert math.isnan(azimuth)


def test_rhumb_nears_the_pole_without_a_jump():
    # ψ goes to infinity as ln(2/gap), so the azimuth dies away but slowly
    e = math.sqrt(WGS84.eccentricity_squared)
    psi = math.asinh(math.tan(math.radians(60))) - e * math.atanh(e * math.sin(math.radians(60)))
    last = lines.rhumb(60, 0, 90, 120, WGS84)[0]
    for gap in (1e-3, 1e-6, 1e-9):
        distance, azimuth = lines.rhumb(60, 0, 90 - gap, 120, WGS84)
        rise = math.log(2 / math.radians(gap)) - e * math.atanh(e) - psi
        assert azimuth == pytest.approx(math.degrees(math.atan2(math.radians(120), rise)), abs=1e-5)
        north = last - gap * 111_694
        assert distance == pytest.approx(north * math.hypot(1, math.radians(120) / rise), abs=1)


@pytest.mark.parametrize("turn", [179.9, 180.1, 180.4, 359.9, 539.9, 540.1, -179.9, -180.1])
def test_rhumb_goes_the_short_way_round(turn):
    # along the equator the way is a times the smaller of the two turns
    distance, azimuth = lines.rhumb(0, 0, 0, turn, WGS84)
    short = math.remainder(turn, 360)
    assert distance == pytest.approx(WGS84.semi_major * math.radians(abs(short)), abs=1e-5)
    assert azimuth == (90 if short > 0 else 270)


def test_rhumb_half_way_round_goes_as_the_longitudes_say():
    assert lines.rhumb(10, 0, 10, 180, WGS84)[1] == 90
    assert lines.rhumb(10, 0, 10, -180, WGS84)[1] == 270
    assert lines.rhumb(10, 179, 10, -179, WGS84)[1] == 90


# Normal section ---------------------------------------------------------------------------------


def test_normal_section_against_pyproj():
    lat1, lon1, lat2, lon2 = random_ends(100, 10)
    cart = pyproj.Transformer.from_pipeline("+proj=cart +ellps=bessel")
    got = lines.normal_section(lat1, lon1, lat2, lon2, BESSEL1841)
    for i in range(100):
        x0, y0, z0 = cart.transform(lon1[i], lat1[i], 0)
        local = pyproj.Transformer.from_pipeline(
            f"+proj=topocentric +ellps=bessel +X_0={x0!r} +Y_0={y0!r} +Z_0={z0!r}"
        )
        east, north, _ = local.transform(*cart.transform(lon2[i], lat2[i], 0))
        assert got[i] == pytest.approx(math.degrees(math.atan2(east, north)) % 360, abs=1e-8)


@pytest.mark.parametrize("distance", [50_000, 100_000, 200_000])
@pytest.mark.parametrize("latitude", [0, 5, -12])
def test_normal_section_and_geodesic(latitude, distance):
    # first term of the classical series, e′²/12 · (s/ν)² · cos²φ · sin 2α (Bomford, Geodesy;
    # from memory): 0.028″ at 100 km on the equator, growing with the square
    azimuths = np.array([20.0, 45.0, 110.0, 250.0])
    lat2, lon2, _ = lines.direct(latitude, 0, azimuths, distance, WGS84)
    got = (lines.normal_section(latitude, 0, lat2, lon2, WGS84) - azimuths) * 3600
    mean = latitude + np.degrees(distance / WGS84.semi_major) * np.cos(np.radians(azimuths)) / 3
    series = WGS84.second_eccentricity_squared / 12 * math.degrees(3600)
    series *= (distance / WGS84.semi_major) ** 2
    series = series * np.cos(np.radians(mean)) ** 2 * np.sin(2 * np.radians(azimuths))
    assert_allclose(got, series, atol=0.03 * np.abs(series).max())
    assert np.abs(got).max() < 0.03 * (distance / 1e5) ** 2


def test_normal_section_on_a_sphere_is_the_great_circle():
    ends = random_ends(50, 11)
    assert_allclose(lines.normal_section(*ends, SPHERE), lines.great_circle(*ends, R)[1], atol=1e-9)


def test_normal_section_along_meridian_and_equator():
    assert lines.normal_section(10, 20, 11, 20, WGS84) == 0
    assert lines.normal_section(10, 20, -11, 20, WGS84) == 180
    assert lines.normal_section(0, 20, 0, 21, WGS84) == 90
    assert lines.normal_section(0, 20, 0, 18, WGS84) == 270


# Contract ---------------------------------------------------------------------------------------


def test_scalars_and_arrays(scalar_and_array):
    ends = (54.2, 3.1, 56.7, 1.2)
    scalar_and_array(lambda *e: lines.inverse(*e, WGS84), *ends)
    scalar_and_array(lambda *e: lines.direct(*e, WGS84), 54.2, 3.1, 60, 5e4)
    scalar_and_array(lines.great_circle, *ends, R)
    scalar_and_array(lambda *e: lines.rhumb(*e, WGS84), *ends)
    scalar_and_array(lambda *e: lines.normal_section(*e, WGS84), *ends)


def test_broadcasting():
    for part in lines.inverse([[1], [2]], [3, 4, 5], 0, 0, WGS84):
        assert part.shape == (2, 3)
    for part in lines.direct(0, 0, [[1], [2]], [3, 4, 5], WGS84):
        assert part.shape == (2, 3)
    for part in lines.great_circle(0, 0, 1, [1, 2], [[R], [2 * R]]):
        assert part.shape == (2, 2)
    for part in lines.rhumb([[1], [2]], [3, 4, 5], 0, 0, WGS84):
        assert part.shape == (2, 3)
    assert lines.normal_section([[1], [2]], [3, 4, 5], 0, 0, WGS84).shape == (2, 3)


def test_nan_passes():
    ends = ([1.0, np.nan], 2, 3, 4)
    for got in (
        lines.inverse(*ends, WGS84),
        lines.direct(*ends, WGS84),
        lines.great_circle(*ends, R),
        lines.rhumb(*ends, WGS84),
        (lines.normal_section(*ends, WGS84),),
    ):
        assert all(list(np.isnan(part)) == [False, True] for part in got)


def test_coincident_points_have_a_distance_but_no_direction():
    for point in ((10, 20), (0, 0), (90, 0), (-90, 50), (0, 180)):
        for got in (
            lines.inverse(*point, *point, WGS84),
            lines.great_circle(*point, *point, R),
            lines.rhumb(*point, *point, WGS84),
        ):
            assert got[0] == 0
            assert np.isnan(got[1:]).all()
        assert math.isnan(lines.normal_section(*point, *point, WGS84))
    assert lines.inverse(10, 20, 10, 380, WGS84)[0] == 0
    assert_allclose(lines.direct(10, 20, 77, 0, WGS84), (10, 20, 257), rtol=1e-14)


def test_antipodal_points_of_the_equator():
    distance, azimuth, back = lines.inverse(0, 0, 0, 180, WGS84)
    assert distance == pytest.approx(2 * WGS84.meridian_distance(90), abs=1e-8)  # over a pole
    assert (azimuth, back) in ((0, 0), (180, 180))
    assert math.isnan(lines.normal_section(0, 0, 0, 180, WGS84))


def test_longitudes_in_any_range():
    for call in (
        lambda lon: lines.inverse(10, lon, 20, 30, WGS84),
        lambda lon: lines.great_circle(10, lon, 20, 30, R),
        lambda lon: lines.rhumb(10, lon, 20, 30, WGS84),
        lambda lon: lines.normal_section(10, lon, 20, 30, WGS84),
        lambda lon: lines.direct(10, lon, 20, 30, WGS84),
    ):
        assert_allclose(call(340), call(-20), rtol=1e-13)
        assert_allclose(call(700), call(-20), rtol=1e-13)


@pytest.mark.parametrize(
    ("call", "parts"),
    [
        (lambda: lines.inverse(100, 0, 0, 0, WGS84), ["latitude 1 100 is beyond", "swapped"]),
        (lambda: lines.rhumb(0, 0, -91, 0, WGS84), ["latitude 2 -91 is beyond", "swapped"]),
        (lambda: lines.normal_section(0, 0, 91, 0, WGS84), ["latitude 2 91 is beyond"]),
        (lambda: lines.great_circle(0, 0, 1, 1, 0), ["radius 0 is not above zero"]),
        (lambda: lines.great_circle(0, 0, 1, 1, -R), ["radius -6371000 is not above zero"]),
        (lambda: lines.inverse(0, math.inf, 0, 0, WGS84), ["longitude 1 inf"]),
        (lambda: lines.direct(0, 0, 0, -5, WGS84), ["distance -5 is negative", "zero or more"]),
        (lambda: lines.direct(0, 0, math.inf, 5, WGS84), ["azimuth inf"]),
        (lambda: lines.direct(95, 0, 0, 5, WGS84), ["latitude 95 is beyond"]),
    ],
)
def test_bad_input(call, parts):
    with pytest.raises(ValueError, match=".*".join(map(re.escape, parts))):
        call()
