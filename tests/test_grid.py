"""Transverse Mercator, scale, convergence, arc to chord and UTM against print and other routes."""

import math
import re

import numpy as np
import pyproj
import pytest
from geographiclib.geodesic import Geodesic
from numpy.testing import assert_allclose
from published import given, tolerance, value

from geokit import AIRY1830, BESSEL1841, CLARKE1866, GRS80, WGS84, Ellipsoid, grid, lines
from geokit.angles import RHO
from lessons.figures.grid.projections import Projection

MGA55 = grid.utm(55, "south", GRS80)  # the Map Grid of Australia is UTM on GRS 80
UTM31 = grid.utm(31, "north", WGS84)


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


# Check values ---------------------------------------------------------------------------------


def test_british_national_grid():
    parameters = [given("MP-05", name) for name in ("lat0", "lon0", "k0", "FE", "FN")]
    british = grid.TransverseMercator(AIRY1830, *parameters)
    east, north = british.forward(given("MP-05", "latitude"), given("MP-05", "longitude"))
    near("MP-05", "E", east)
    near("MP-05", "N", north)


def test_snyders_example():
    flattening = 1 - math.sqrt(1 - 0.00676866)  # his rounded Clarke 1866
    clarke = Ellipsoid("Clarke 1866 of Snyder", 6_378_206.4, 1 / flattening, "MP-07")
    plain = grid.TransverseMercator(clarke, 0, given("MP-07", "lon0"), given("MP-07", "k0"), 0, 0)
    point = given("MP-07", "latitude"), given("MP-07", "longitude")
    east, north = plain.forward(*point)
    near("MP-07", "x", east)
    near("MP-07", "y", north)
    near("MP-07", "k", plain.point_scale(*point))


@pytest.mark.parametrize("record", ["MP-08", "MP-09"])
def test_map_grid_of_australia_and_both_signs_of_convergence(record):
    point = given(record, "latitude"), given(record, "longitude")
    east, north = MGA55.forward(*point)
    near(record, "E", east)
    near(record, "N", north)
    near(record, "k", MGA55.point_scale(*point))
    # ours is the azimuth of grid north; the manual prints what is added to an azimuth
    convergence = MGA55.convergence(*point)
    near(record, "convergence_added_to_azimuth_gives_grid_bearing", -convergence)
    assert convergence > 0  # west of the central meridian, in the south
    library = pyproj.Proj("EPSG:28355").get_factors(point[1], point[0]).meridian_convergence
    assert convergence == pytest.approx(library, abs=1e-9)


def test_a_point_of_zone_32():
    utm32 = grid.utm(32, "north", GRS80)
    east, north = utm32.forward(given("MP-15", "latitude"), given("MP-15", "longitude"))
    near("MP-15", "E", east)
    near("MP-15", "N", north)


def test_across_a_zone_on_the_equator():
    east, _ = UTM31.forward(0, 3 + given("MP-16", "half_width"))
    near("MP-16", "E_at_edge", east)
    near("MP-16", "k_at_edge", UTM31.point_scale(0, 6))
    near("MP-16", "k_central", UTM31.point_scale(0, 3))
    true_scale = value("MP-16", "distance_of_true_scale_from_central_meridian") * 1000
    limit = tolerance("MP-16", "distance_of_true_scale_from_central_meridian") * 1000
    for distance, sign in ((true_scale - limit, -1), (true_scale + limit, 1)):
        point = UTM31.inverse(500_000 + distance, 0)
        assert sign * (UTM31.point_scale(*point) - 1) > 0


def test_convergence_at_a_zone_edge():
    latitude, turn = given("MP-17", "latitude"), given("MP-17", "dlon")
    got = UTM31.convergence(latitude, 3 + turn)
    near("MP-17", "rigorous", got)
    assert got == pytest.approx(value("MP-17", "simple_formula"), abs=0.002)
    # east of the central meridian in the north grid north lies east of true north
    assert got > 0
    assert UTM31.convergence(latitude, 3 - turn) == pytest.approx(-got)
    assert UTM31.convergence(-latitude, 3 + turn) == pytest.approx(-got)


# The projections of figure 11C, which hold parameters of their own


def projected(record, ellipsoid, parameters, **more):
    """Map coordinates and largest and smallest scale, as figure C computes them, at a record."""
    names = {
        "lon_0": "lon0",
        "lat_0": "lat0",
        "lat_1": "lat1",
        "lat_2": "lat2",
        "k_0": "k0",
        "x_0": "FE",
        "y_0": "FN",
    }
    taken = {part: given(record, names[part]) for part in parameters.split()[1:]}
    projection = Projection({"proj": parameters.split()[0], **taken, **more}, ellipsoid)
    point = given(record, "latitude"), given(record, "longitude")
    return *projection.forward(*point), *projection.tissot(*point)


def snyders_clarke():
    flattening = 1 - math.sqrt(1 - 0.00676866)  # his rounded Clarke 1866
    return Ellipsoid("Clarke 1866 of Snyder", 6_378_206.4, 1 / flattening, "MP-04")


def test_mercator_of_makassar():
    east, north, most, least = projected("MP-01", BESSEL1841, "merc lon_0 k_0 x_0 y_0")
    near("MP-01", "E", east)
    near("MP-01", "N", north)
    assert most == pytest.approx(least, rel=1e-9)


def test_web_mercator():
    projection = Projection({"proj": "merc", "lon_0": 0}, WGS84, spherical=True)
    assert WGS84.semi_major == given("MP-03", "sphere_radius")
    point = given("MP-03", "latitude"), given("MP-03", "longitude")
    east, north = projection.forward(*point)
    near("MP-03", "E", east)
    near("MP-03", "N", north)
    # its circles are ellipses: a/(ν cosφ) east and a/(M cosφ) north
    scales = [
        WGS84.semi_major / radius / math.cos(math.radians(point[0]))
        for radius in (WGS84.meridian_radius(point[0]), WGS84.prime_vertical_radius(point[0]))
    ]
    assert_allclose(projection.tissot(*point), scales, rtol=1e-9)


def test_mercator_of_snyder():
    x, y, most, least = projected("MP-04", snyders_clarke(), "merc lon_0")
    near("MP-04", "x", x)
    near("MP-04", "y", y)
    near("MP-04", "k", most)
    near("MP-04", "k", least)


def test_lambert_of_snyder():
    x, y, most, least = projected("MP-11", snyders_clarke(), "lcc lon_0 lat_0 lat_1 lat_2")
    near("MP-11", "x", x)
    near("MP-11", "y", y)
    near("MP-11", "k", most)
    near("MP-11", "k", least)


def test_lambert_in_feet_of_two_kinds():
    survey = 1200 / 3937  # metres, the US survey foot
    false_east = given("MP-12", "FE")
    east, north, *_ = projected(
        "MP-12", CLARKE1866, "lcc lon_0 lat_0 lat_1 lat_2", x_0=false_east * survey
    )
    near("MP-12", "E", east / survey)
    near("MP-12", "N", north / survey)
    near("MP-12", "error_if_international_foot", east - east / survey * 0.3048)


# ICSM, Geocentric Datum of Australia Technical Manual v2.4, 2014, grid calculations, Flinders Peak
# to Buninyong; read in the unit tests of an open-source implementation of the manual.
FLINDERS, BUNINYONG = (273_741.297, 5_796_489.777), (228_854.052, 5_828_259.038)
MANUAL = {
    "grid bearing at Flinders Peak": 305 + 17 / 60 + 1.72 / 3600,  # of the geodesic: T
    "plane bearing": 305 + 17 / 60 + 21.18 / 3600,  # of the straight line on the map: t
    "arc to chord at Flinders Peak": 19.47,
    "arc to chord at Buninyong": -20.67,
    "line scale factor": 1.00036397,
}


def test_line_of_the_manual():
    # bearings to 0.01″ from coordinates to a millimetre, 0.004″ on this line
    limit = 0.015
    there = MGA55.arc_to_chord(*FLINDERS, *BUNINYONG)
    back = MGA55.arc_to_chord(*BUNINYONG, *FLINDERS)
    assert there == pytest.approx(MANUAL["arc to chord at Flinders Peak"], abs=limit)
    assert back == pytest.approx(MANUAL["arc to chord at Buninyong"], abs=limit)
    bearings = MANUAL["plane bearing"] - MANUAL["grid bearing at Flinders Peak"]
    assert there == pytest.approx(bearings * 3600, abs=limit)
    scale = MGA55.line_scale(*FLINDERS, *BUNINYONG)
    assert scale == pytest.approx(MANUAL["line scale factor"], abs=2e-8)  # 1 mm in 55 km


def test_azimuth_is_grid_bearing_plus_convergence():
    lat1, lon1 = MGA55.inverse(*FLINDERS)
    azimuth = MANUAL["grid bearing at Flinders Peak"] + MGA55.convergence(lat1, lon1)
    assert abs(azimuth - value("GD-11", "azimuth12")) < 0.015 / 3600


# Other routes -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "projection"),
    [
        (32631, UTM31),
        (32733, grid.utm(33, "south", WGS84)),
        (28355, MGA55),
        (27700, grid.TransverseMercator(AIRY1830, 49, -2, 0.9996012717, 400_000, -100_000)),
    ],
)
def test_against_the_epsg_definition(code, projection):
    crs = pyproj.CRS.from_epsg(code)
    reference = pyproj.Transformer.from_crs(crs.geodetic_crs, crs, always_xy=True)
    area = crs.area_of_use
    rng = np.random.default_rng(code)
    lon, lat = rng.uniform(area.west, area.east, 100), rng.uniform(area.south, area.north, 100)
    got = projection.forward(lat, lon)
    assert_allclose(got, reference.transform(lon, lat), rtol=0, atol=1e-6)
    assert_allclose(projection.inverse(*got), (lat, lon), rtol=0, atol=1e-12)


def scale_and_convergence(projection, lat, lon):
    """From the map itself: how far, and which way, a small step east goes on it."""

    def step(turn):
        apart = np.subtract(
            projection.forward(lat, lon + turn), projection.forward(lat, lon - turn)
        )
        return apart / np.radians(2 * turn)

    east, north = (4 * step(0.05) - step(0.1)) / 3
    parallel = projection.ellipsoid.prime_vertical_radius(lat) * np.cos(np.radians(lat))
    return np.hypot(east, north) / parallel, np.degrees(np.arctan2(north, east))


def test_scale_and_convergence_against_the_map():
    rng = np.random.default_rng(3)
    lat, lon = rng.uniform(-84, 84, 500), rng.uniform(-6, 12, 500)
    scale, convergence = scale_and_convergence(UTM31, lat, lon)
    assert_allclose(UTM31.point_scale(lat, lon), scale, rtol=0, atol=1e-11)
    assert_allclose(UTM31.convergence(lat, lon), convergence, rtol=0, atol=1e-9)
    factors = pyproj.Proj("EPSG:32631").get_factors(lon, lat)  # by finite differences
    assert_allclose(UTM31.point_scale(lat, lon), factors.meridional_scale, rtol=0, atol=2e-10)
    assert_allclose(UTM31.convergence(lat, lon), factors.meridian_convergence, rtol=0, atol=2e-9)


def test_scale_and_convergence_of_a_flat_earth():
    # eight times as flat as ours: here the last coefficients of the series can be seen
    flat = grid.TransverseMercator(Ellipsoid("flat", 6_378_137, 40, "test"), 0, 3, 0.9996, 5e5, 0)
    rng = np.random.default_rng(4)
    lat, lon = rng.uniform(-80, 80, 500), rng.uniform(-17, 23, 500)
    scale, convergence = scale_and_convergence(flat, lat, lon)
    assert_allclose(flat.point_scale(lat, lon), scale, rtol=0, atol=2e-12)
    assert_allclose(flat.convergence(lat, lon), convergence, rtol=0, atol=5e-10)


def kruegers_coefficients():
    """
    Return row j and column k of α_j = Σ c_jk n^k, from what the coefficients are.

    The rectifying latitude is the conformal one χ and Σ α_j sin 2jχ, so that α_j is the mean of
    cos 2jχ over the meridian, by its length, divided by j. Its powers of n come by Cauchy's
    integral round a circle of third flattenings: means of smooth periods, good to 1e-11.
    """
    n = 0.25 * np.exp(2j * np.pi * np.arange(64) / 64)[:, None]
    phi = np.pi * ((np.arange(128) + 0.5) / 128 - 0.5)
    e = 2 * np.sqrt(n) / (1 + n)
    tau = np.sinh(np.arcsinh(np.tan(phi)) - e * np.arctanh(e * np.sin(phi)))  # tan χ
    twice = (1 + 1j * tau) / (1 - 1j * tau)  # exp 2iχ
    z = np.exp(2j * phi)
    length = (1 + n * z) ** -1.5 * (1 + n / z) ** -1.5  # of a degree, (1 − e² sin²φ)^(−3/2)
    rows = []
    for j in range(1, 7):
        alpha = ((twice**j + twice**-j) / 2 * length).mean(1) / length.mean(1) / j
        rows.append([(alpha / n[:, 0] ** k).mean().real for k in range(7)])
    return np.array(rows)


@pytest.mark.parametrize("n", [1.0, 0.5, -0.7])  # far from any Earth: each digit can be seen
def test_kruegers_coefficients_are_those_of_their_definition(n):
    assert_allclose(grid._krueger(n), kruegers_coefficients() @ n ** np.arange(7), rtol=1e-9)


def test_convergence_at_the_poles_is_the_longitude():
    assert UTM31.convergence(90, 20) == pytest.approx(17, abs=1e-12)
    assert UTM31.convergence(-90, 20) == pytest.approx(-17, abs=1e-12)
    assert UTM31.point_scale(90, 20) == pytest.approx(0.9996, abs=1e-14)


def lines_in_a_zone(length, count=200):
    rng = np.random.default_rng(int(length))
    e1, n1 = UTM31.forward(rng.uniform(-80, 84, count), 3 + rng.uniform(-3, 3, count))
    bearing = rng.uniform(0, 2 * math.pi, count)
    return e1, n1, e1 + length * np.sin(bearing), n1 + length * np.cos(bearing)


@pytest.mark.parametrize(("length", "limit"), [(2_000, 0.002), (50_000, 0.04)])
def test_arc_to_chord_by_hand(length, limit):
    e1, n1, e2, n2 = lines_in_a_zone(length)
    lat, _ = UTM31.inverse((e1 + e2) / 2, (n1 + n2) / 2)
    radius2 = WGS84.gaussian_radius(lat) ** 2
    hand = RHO * (2 * e1 + e2 - 1_500_000) * (n1 - n2) / (6 * 0.9996**2 * radius2)
    assert_allclose(UTM31.arc_to_chord(e1, n1, e2, n2), hand, rtol=0, atol=limit)
    assert np.abs(hand).max() > 15 * limit


def test_arc_to_chord_is_how_the_geodesic_bends():
    # the geodesic's middle lies off the straight line, on the side away from the central meridian
    e1, n1, e2, n2 = 700_000, 6_000_000, 700_000, 6_050_000
    lat1, lon1 = UTM31.inverse(e1, n1)
    distance, azimuth, _ = lines.inverse(lat1, lon1, *UTM31.inverse(e2, n2), WGS84)
    middle = lines.direct(lat1, lon1, azimuth, distance / 2, WGS84)[:2]
    bulge = UTM31.forward(*middle)[0] - e1
    correction = UTM31.arc_to_chord(e1, n1, e2, n2)
    assert bulge > 1
    assert correction < 0  # t is 0 here, T a little east of north
    assert math.degrees(4 * bulge / 50_000) * 3600 == pytest.approx(-correction, rel=0.01)


def test_sum_round_a_triangle_is_its_spherical_excess():
    corners = np.array(
        [(640_000.0, 6_000_000.0), (700_000.0, 6_010_000.0), (662_000.0, 6_042_000.0)]
    )
    total = 0.0
    for i in range(3):  # anticlockwise: less the bearing ahead, plus the bearing back
        here, ahead, behind = corners[i], corners[(i + 1) % 3], corners[i - 1]
        total += UTM31.arc_to_chord(*here, *behind) - UTM31.arc_to_chord(*here, *ahead)
    polygon = Geodesic.WGS84.Polygon()
    for east, north in corners:
        polygon.AddPoint(*UTM31.inverse(east, north))
    area = polygon.Compute()[2]
    lat, _ = UTM31.inverse(*corners.mean(axis=0))
    excess = RHO * area / WGS84.gaussian_radius(lat) ** 2
    assert 4 < excess < 6
    assert abs(total) == pytest.approx(excess, abs=2e-4)


@pytest.mark.parametrize("length", [100, 2_000, 20_000])
def test_line_scale_against_simpsons_rule(length):
    e1, n1, e2, n2 = lines_in_a_zone(length)

    def scale(east, north):
        return UTM31.point_scale(*UTM31.inverse(east, north))

    simpson = (scale(e1, n1) + 4 * scale((e1 + e2) / 2, (n1 + n2) / 2) + scale(e2, n2)) / 6
    assert_allclose(UTM31.line_scale(e1, n1, e2, n2), simpson, rtol=0, atol=5e-9)


def test_a_seabed_baseline():
    # 2 km on the grid at the zone's centre is 0.8 m longer on the ellipsoid
    line = (500_000, 6_000_000, 500_000, 6_002_000)
    assert 2000 / UTM31.line_scale(*line) - 2000 == pytest.approx(2000 * 0.0004, rel=1e-3)


# UTM --------------------------------------------------------------------------------------------


def test_every_zone_is_that_of_the_epsg_dataset():
    for zone in range(1, 61):
        for hemisphere, first in (("north", 32600), ("south", 32700)):
            ours = grid.utm(zone, hemisphere, WGS84)
            crs = pyproj.CRS.from_epsg(first + zone)
            theirs = {p.name: p.value for p in crs.coordinate_operation.params}
            assert theirs == {
                "Latitude of natural origin": ours.lat0,
                "Longitude of natural origin": ours.lon0,
                "Scale factor at natural origin": ours.scale,
                "False easting": ours.false_easting,
                "False northing": ours.false_northing,
            }
        west, east = crs.area_of_use.west, crs.area_of_use.east
        for lat in (-60, 10, 55.9, 64, 71.9):
            numbers = grid.utm_zone(lat, [west, west + 3, east - 1e-9], exceptions=True)
            assert list(numbers) == [zone] * 3


@pytest.mark.parametrize(
    ("lat", "lon", "plain", "excepted"),
    [
        # US Defense Mapping Agency, TM 8358.1, Datums, Ellipsoids, Grids, and Grid Reference
        # Systems, 1990 (from memory): the two regions where zones are wider or left out
        (60.4, 5.3, 31, 32),  # Bergen
        (56, 3, 31, 32),
        (63.999, 5.999, 31, 32),
        (60, 2.999, 31, 31),
        (55.999, 4, 31, 31),
        (64, 4, 31, 31),
        (60, 12, 33, 33),
        (78.2, 15.6, 33, 33),  # Longyearbyen
        (72, 0, 31, 31),
        (75, 8.999, 32, 31),
        (75, 9, 32, 33),
        (84, 20.999, 34, 33),
        (80, 21, 34, 35),
        (80, 32.999, 36, 35),
        (80, 33, 36, 37),
        (80, 41.999, 37, 37),
        (80, 42, 38, 38),
        (80, -0.001, 30, 30),
        (71.999, 8, 32, 32),
    ],
)
def test_exceptions_off_norway_and_svalbard(lat, lon, plain, excepted):
    assert grid.utm_zone(lat, lon, exceptions=False) == plain
    assert grid.utm_zone(lat, lon, exceptions=True) == excepted
    assert grid.utm_zone(lat, lon + 360, exceptions=True) == excepted


def test_zones_at_the_date_line():
    assert grid.utm_zone(
        0, [-180, 180, 179.9999999, -179.9999999, 540], exceptions=False
    ).tolist() == [*(1, 1, 60, 1, 1)]
    for nearly in (math.nextafter(180, 0), math.nextafter(-180, -200)):
        # some nanometres off, but never 0 or 61
        assert grid.utm_zone(0, nearly, exceptions=False) in (1, 60)
    assert grid.utm_zone(-80, 0, exceptions=True) == 31


# Contract ---------------------------------------------------------------------------------------


def test_scalars_and_arrays(scalar_and_array):
    scalar_and_array(UTM31.forward, 57.2, 2.1)
    scalar_and_array(UTM31.inverse, 612_345.6, 6_123_456.7)
    scalar_and_array(UTM31.point_scale, 57.2, 2.1)
    scalar_and_array(UTM31.convergence, 57.2, 2.1)
    scalar_and_array(UTM31.arc_to_chord, 6e5, 6e6, 6.2e5, 6.01e6)
    scalar_and_array(UTM31.line_scale, 6e5, 6e6, 6.2e5, 6.01e6)
    assert type(grid.utm_zone(57.2, 2.1, exceptions=True)) is int
    assert grid.utm_zone([[57.2]], [1, 2, 9], exceptions=True).tolist() == [[31, 31, 32]]
    for part in UTM31.forward([[57], [58]], [1, 2, 3]):
        assert part.shape == (2, 3)
    assert UTM31.arc_to_chord([[6e5], [5e5]], 6e6, [6e5, 7e5, 8e5], 6.1e6).shape == (2, 3)


def test_nan_passes():
    for got in (
        *UTM31.forward([57, np.nan], 3),
        *UTM31.inverse([5e5, np.nan], 6e6),
        UTM31.point_scale(57, [3, np.nan]),
        UTM31.convergence([57, np.nan], 3),
        UTM31.arc_to_chord(5e5, 6e6, [5e5, np.nan], 6.1e6),
        UTM31.line_scale(5e5, [6e6, np.nan], 5e5, 6.1e6),
        grid.utm_zone([57, np.nan], 3, exceptions=True),
    ):
        assert list(np.isnan(got)) == [False, True]
    assert math.isnan(grid.utm_zone(57, math.nan, exceptions=False))


@pytest.mark.filterwarnings("error")
def test_coincident_points_have_no_line():
    assert math.isnan(UTM31.arc_to_chord(5e5, 6e6, 5e5, 6e6))
    assert math.isnan(UTM31.line_scale(5e5, 6e6, 5e5, 6e6))


def test_longitudes_in_any_range():
    assert UTM31.forward(57, 362) == UTM31.forward(57, 2)
    assert UTM31.forward(57, 2 - 1080) == UTM31.forward(57, 2)
    first = grid.utm(1, "south", WGS84)
    assert first.forward(-17, 179) == pytest.approx(first.forward(-17, -181))
    assert first.inverse(*first.forward(-17, 179))[1] == pytest.approx(179)


def test_on_a_sphere():
    sphere = Ellipsoid("sphere", 6_371_000, 0, "test")
    lat, lon = math.radians(20), math.radians(8)
    ball = grid.TransverseMercator(sphere, 0, 0, 1, 0, 0)
    east, north = ball.forward(20, 8)
    assert east == pytest.approx(6_371_000 * math.atanh(math.cos(lat) * math.sin(lon)), abs=1e-8)
    assert north == pytest.approx(6_371_000 * math.atan2(math.tan(lat), math.cos(lon)), abs=1e-8)
    east_angle = math.asin(math.cos(lat) * math.sin(lon))
    assert ball.point_scale(20, 8) == pytest.approx(1 / math.cos(east_angle), abs=1e-14)


def test_same_parameters_are_the_same_grid():
    assert grid.utm(31, "north", WGS84) == grid.utm(31, "North", WGS84) == UTM31
    assert grid.utm(55, "SOUTH", GRS80) == MGA55
    assert len({grid.utm(31, "north", WGS84), UTM31, grid.utm(31, "north", GRS80)}) == 2
    with pytest.raises(AttributeError):
        UTM31.scale = 1


@pytest.mark.parametrize(
    ("call", "parts"),
    [
        (lambda: UTM31.forward(5, 95), ["longitude 95 is", "3500 km", "meridian 3", "right zone"]),
        (lambda: UTM31.forward(0, 183), ["longitude 183 is", "3500 km"]),
        (lambda: UTM31.forward([5, 5], [3, -60]), ["longitude -60 is"]),
        (lambda: UTM31.convergence(5, 95), ["longitude 95 is"]),
        (lambda: UTM31.point_scale(5, 95), ["longitude 95 is"]),
        (lambda: UTM31.forward(95, 5), ["latitude 95 is beyond", "swapped"]),
        (lambda: UTM31.inverse(6_123_456, 512_345), ["easting 6123456", "500000", "swapped"]),
        (lambda: UTM31.inverse(500_000, 2e7), ["northing 20000000", "off the grid"]),
        (lambda: UTM31.inverse(500_000, -2e7), ["northing -20000000", "off the grid"]),
        (lambda: UTM31.inverse(-6e6, 0), ["easting -6000000", "off the grid"]),
        (lambda: UTM31.line_scale(5e5, 6e6, 5e6, 6e6), ["easting 5000000"]),
        (lambda: UTM31.arc_to_chord(math.inf, 6e6, 5e5, 6e6), ["easting 1 inf"]),
        (lambda: grid.utm(61, "north", WGS84), ["zone 61", "1 to 60"]),
        (lambda: grid.utm(0, "north", WGS84), ["zone 0"]),
        (lambda: grid.utm(31.5, "north", WGS84), ["zone 31.5", "whole number"]),
        (lambda: grid.utm("31", "north", WGS84), ["zone '31'"]),
        (lambda: grid.utm(31, "S", WGS84), ["hemisphere 'S'", "'north' or 'south'", "band S"]),
        (lambda: grid.utm_zone(84.1, 0, exceptions=True), ["latitude 84.1", "−80 to 84", "polar"]),
        (lambda: grid.utm_zone(-80.1, 0, exceptions=False), ["latitude -80.1"]),
        (
            lambda: grid.TransverseMercator(WGS84, 0, 3, -400, 0, 0),
            ["scale -400", "0.9996", "parts per million"],
        ),
        (lambda: grid.TransverseMercator(WGS84, 0, 3, math.nan, 0, 0), ["scale nan"]),
        (lambda: grid.TransverseMercator(WGS84, 0, math.nan, 1, 0, 0), ["lon0 nan", "missing"]),
        (lambda: grid.TransverseMercator(WGS84, 91, 3, 1, 0, 0), ["origin 91 is beyond"]),
    ],
)
def test_bad_input(call, parts):
    with pytest.raises(ValueError, match=".*".join(map(re.escape, parts))):
        call()


def test_exceptions_must_be_said():
    with pytest.raises(TypeError):
        grid.utm_zone(60, 4)
