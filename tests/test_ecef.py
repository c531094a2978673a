"""Earth-centred and local coordinates against print, pyproj and exact arithmetic."""

import itertools
import math
import re
from decimal import Decimal, localcontext

import numpy as np
import pyproj
import pytest
from numpy.testing import assert_allclose
from published import given, tolerance, value

from geokit import AIRY1830, GRS80, INTERNATIONAL1924, WGS84, Ellipsoid, ecef

SURVEY_HEIGHTS = [-11_000.0, -3_000.0, 0.0, 73.0, 9_000.0]
HEIGHTS = [*SURVEY_HEIGHTS, 1e5, 1e6, 2e7]
LATITUDES = [
    0.0,
    1e-9,
    -0.001,
    12.3,
    44.9,
    -45.1,
    60.0,
    -77.7,
    89.0,
    -89.999,
    89.9999999,
    90.0,
    -90.0,
]
LONGITUDES = [0.0, 1e-7, 44.0, -46.0, 90.0, 133.3, -171.7, 179.9999999, 180.0]
WORLD = np.array(list(itertools.product(LATITUDES, LONGITUDES, HEIGHTS))).T


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


# Published points -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("record", "ellipsoid"),
    [("EC-01", WGS84), ("EC-03", WGS84), ("EC-04", AIRY1830), ("EC-06", GRS80)],
)
def test_published_points(record, ellipsoid):
    point = [given(record, name) for name in ("latitude", "longitude", "h")]
    xyz = ecef.to_ecef(*point, ellipsoid)
    for name, got in zip("XYZ", xyz, strict=True):
        near(record, name, got)


@pytest.mark.parametrize(("number", "point"), [(1, (30, 60, 189.569)), (2, (80, 150, 1214.137))])
def test_points_of_the_gigs_data(number, point):
    for name, got in zip("XYZ", ecef.to_ecef(*point, WGS84), strict=True):
        near("EC-07", f"{name}{number}", got)


def test_published_point_back():
    latitude, longitude, height = ecef.from_ecef(*(given("EC-02", name) for name in "XYZ"), WGS84)
    near("EC-02", "latitude", latitude)
    near("EC-02", "longitude", longitude)
    near("EC-02", "h", height)


def test_published_local_point():
    xyz = [given("EN-01", name) for name in "XYZ"]
    enu = ecef.to_enu(*xyz, 55, 5, 200, WGS84)
    for name, got in zip(("U_east", "V_north", "W_up"), enu, strict=True):
        near("EN-01", name, got)


def test_published_local_point_back():
    enu = [given("EN-02", name) for name in ("U_east", "V_north", "W_up")]
    for name, got in zip("XYZ", ecef.from_enu(*enu, 55, 5, 200, WGS84), strict=True):
        near("EN-02", name, got)


# pyproj ---------------------------------------------------------------------------------------


def test_forward_against_pyproj():
    reference = pyproj.Transformer.from_crs("EPSG:4979", "EPSG:4978").transform(*WORLD)
    near_earth = np.abs(WORLD[2]) < 2e6
    got = np.array(ecef.to_ecef(*WORLD, WGS84))
    assert_allclose(got[:, near_earth], np.array(reference)[:, near_earth], rtol=0, atol=4e-9)
    assert_allclose(got, reference, rtol=0, atol=1.5e-8)  # 4 units of the last digit at 20 000 km


def test_back_against_pyproj_near_the_earth():
    # pyproj's own inverse is good to some micrometres here, and to 0.25 m at 20 000 km
    xyz = ecef.to_ecef(*WORLD, INTERNATIONAL1924)
    keep = np.abs(WORLD[2]) <= 9000
    geocentric = pyproj.CRS("+proj=geocent +ellps=intl +type=crs")
    geodetic = pyproj.CRS("+proj=longlat +ellps=intl +type=crs")
    transformer = pyproj.Transformer.from_crs(geocentric, geodetic, always_xy=True)
    lon, lat, height = transformer.transform(*(part[keep] for part in xyz))
    got = ecef.from_ecef(*(part[keep] for part in xyz), INTERNATIONAL1924)
    assert_allclose(got[0], lat, rtol=0, atol=1e-10)
    assert_allclose(got[2], height, rtol=0, atol=1e-5)
    apart = (got[1] - lon + 180) % 360 - 180
    assert_allclose(apart * np.cos(np.radians(lat)), 0, atol=1e-10)


def test_local_against_pyproj():
    origin = (-23.4, 151.7, -12.5)
    x0, y0, z0 = ecef.to_ecef(*origin, GRS80)
    pipeline = pyproj.Transformer.from_pipeline(
        f"+proj=topocentric +ellps=GRS80 +X_0={x0!r} +Y_0={y0!r} +Z_0={z0!r}"
    )
    offsets = np.random.default_rng(4).uniform(-2e5, 2e5, (3, 200))
    xyz = np.array([[x0], [y0], [z0]]) + offsets
    reference = pipeline.transform(*xyz)
    # pyproj takes the origin's latitude from X, Y, Z: good to a nanoradian
    assert_allclose(ecef.to_enu(*xyz, *origin, GRS80), reference, rtol=0, atol=1e-6)
    assert_allclose(ecef.from_enu(*reference, *origin, GRS80), xyz, rtol=0, atol=1e-6)


# Exact arithmetic: 40 digits, the same on any machine -----------------------------------------

PI = Decimal("3.14159265358979323846264338327950288419716939937510582097494")


def sine_cosine(degrees):
    x = Decimal(float(degrees)) * PI / 180
    sine, cosine, term, n = Decimal(0), Decimal(0), Decimal(1), 0
    while abs(term) > Decimal("1e-40") or n < 8:
        if n % 2:
            sine += term if n % 4 == 1 else -term
        else:
            cosine += term if n % 4 == 0 else -term
        n += 1
        term *= x / n
    return sine, cosine


def exact_forward(latitude, longitude, height, ellipsoid):
    sin_phi, cos_phi = sine_cosine(latitude)
    sin_lam, cos_lam = sine_cosine(longitude)
    f = 1 / Decimal(ellipsoid.inverse_flattening)
    e2 = f * (2 - f)
    nu = Decimal(ellipsoid.semi_major) / (1 - e2 * sin_phi**2).sqrt()
    out = (nu + Decimal(float(height))) * cos_phi
    up = ((1 - e2) * nu + Decimal(float(height))) * sin_phi
    return out * cos_lam, out * sin_lam, up


def misses(points, ellipsoid=WGS84):
    """How far, in metres, each point lies from where from_ecef's answer really is."""
    results = ecef.from_ecef(*points, ellipsoid)
    with localcontext() as context:
        context.prec = 45
        for point, result in zip(np.transpose(points), np.transpose(results), strict=True):
            exact = exact_forward(*result, ellipsoid)
            yield float(
                sum((Decimal(float(a)) - b) ** 2 for a, b in zip(point, exact, strict=True)).sqrt()
            )


def test_back_within_ten_nanometres():
    assert max(misses(ecef.to_ecef(*WORLD, WGS84))) < 10e-9


def test_back_within_ten_nanometres_at_random():
    rng = np.random.default_rng(20)
    points = rng.normal(size=(3, 1000))
    size = rng.uniform(WGS84.semi_minor - 11_000, WGS84.semi_major + 2e7, 1000)
    assert max(misses(points * size / np.linalg.norm(points, axis=0))) < 10e-9


def test_a_satellites_longitude_is_rounded_only_once():
    # near 180 a longitude's own last digit is 13 nanometres at 20 000 km
    rng = np.random.default_rng(21)
    points = ecef.to_ecef(rng.uniform(-20, 20, 1500), rng.uniform(130, 180, 1500), 2e7, WGS84)
    points += rng.uniform(-1e-6, 1e-6, (3, 1500))  # else the longitude has a short exact answer
    assert max(misses(points)) < 10e-9


def test_back_within_three_nanometres_where_surveyors_work():
    point = WORLD[:, np.isin(WORLD[2], SURVEY_HEIGHTS)]
    assert max(misses(ecef.to_ecef(*point, AIRY1830), AIRY1830)) < 3e-9


def test_forward_within_three_nanometres():
    point = WORLD[:, np.isin(WORLD[2], SURVEY_HEIGHTS)]
    got = np.transpose(ecef.to_ecef(*point, WGS84))
    with localcontext() as context:
        context.prec = 45
        exact = [[float(v) for v in exact_forward(*one, WGS84)] for one in point.T]
    assert_allclose(got, exact, rtol=0, atol=3e-9)


def test_deep_down_and_far_out():
    directions = np.random.default_rng(7).normal(size=(3, 200))
    directions /= np.linalg.norm(directions, axis=0)
    assert max(misses(directions * 1e6)) < 10e-9  # 5 400 km down
    assert max(misses(directions * 1.3e5)) < 5e-3  # next to where it is refused
    assert max(misses(directions * 4e8)) < 2e-7  # as far as the Moon


# Places where formulas break -------------------------------------------------------------------


def test_poles_equator_and_meridians_come_back_exactly():
    for latitude, longitude in itertools.product((-90, 0, 90), (0, 90, -90)):
        xyz = ecef.to_ecef(latitude, longitude, 25, WGS84)
        lat, lon, height = ecef.from_ecef(*xyz, WGS84)
        assert lat == latitude
        assert lon == pytest.approx(longitude, abs=1e-13)
        assert height == pytest.approx(25, abs=1e-9)


def test_on_the_axis():
    b = WGS84.semi_minor
    assert ecef.from_ecef(0, 0, b + 12, WGS84) == (90, 0, pytest.approx(12, abs=1e-9))
    assert ecef.from_ecef(-0.0, -0.0, -b - 12, WGS84) == (-90, 0, pytest.approx(12, abs=1e-9))
    for below in (b - 12, 12 - b):  # beneath the ellipsoid heights are negative there too
        assert ecef.from_ecef(0, 0, below, WGS84)[2] == pytest.approx(-12, abs=1e-9)
    assert math.copysign(1, ecef.from_ecef(-0.0, -0.0, b, WGS84)[1]) == 1


def test_on_a_sphere():
    sphere = Ellipsoid("sphere", 6_371_000, 0, "test")
    assert_allclose(
        ecef.from_ecef(*ecef.to_ecef(12, -34, 56, sphere), sphere), (12, -34, 56), atol=2e-9
    )
    assert_allclose(ecef.from_ecef(3, 4, 0, sphere)[2], 5 - 6_371_000)


def test_longitudes_in_any_range():
    assert_allclose(ecef.to_ecef(12, 400, 0, WGS84), ecef.to_ecef(12, 40, 0, WGS84), atol=1e-8)
    assert ecef.from_ecef(*ecef.to_ecef(12, 350, 0, WGS84), WGS84)[1] == pytest.approx(-10)


def test_the_same_point_on_another_ellipsoid():
    # EPSG 1133's worked case in IOGP 373-7-2 goes on from EC-01; here only what must hold
    xyz = ecef.to_ecef(53.8, 2.1, 73, WGS84)
    lat, lon, height = ecef.from_ecef(*xyz, INTERNATIONAL1924)
    assert lon == pytest.approx(2.1, abs=1e-13)
    assert lat != pytest.approx(53.8, abs=1e-5)
    # normals of both ellipsoids are all but parallel: h changes by the radial difference
    radial = [
        math.hypot(*ecef.to_ecef(53.8, 2.1, 0, ellipsoid))
        for ellipsoid in (WGS84, INTERNATIONAL1924)
    ]
    assert height - 73 == pytest.approx(radial[0] - radial[1], abs=1)


# Local axes -------------------------------------------------------------------------------------


@pytest.mark.parametrize("latitude", [-90, -61, 0, 33, 90])
def test_east_north_and_up_are_what_they_say(latitude):
    origin = (latitude, 25, 10)
    here = np.array(ecef.to_ecef(*origin, WGS84))
    up = np.array(ecef.to_ecef(latitude, 25, 11, WGS84)) - here
    assert_allclose(ecef.to_enu(*(here + up), *origin, WGS84), (0, 0, 1), atol=2e-9)
    moves = np.array(ecef.from_enu([1, 0, 0], [0, 1, 0], [0, 0, 1], *origin, WGS84)) - here[:, None]
    assert_allclose(moves.T @ moves, np.eye(3), atol=3e-9)
    assert np.linalg.det(moves) == pytest.approx(1, abs=1e-8)  # right-handed
    assert_allclose(moves[:, 2], up, atol=3e-9)
    if abs(latitude) < 90:
        assert ecef.from_ecef(*(here + moves[:, 0]), WGS84)[1] > 25
        assert ecef.from_ecef(*(here + moves[:, 1]), WGS84)[0] > latitude


def test_there_and_back():
    rng = np.random.default_rng(5)
    origin = rng.uniform(-90, 90, 50), rng.uniform(-180, 180, 50), rng.uniform(-5000, 5000, 50)
    enu = rng.uniform(-1e4, 1e4, (3, 50))
    xyz = ecef.from_enu(*enu, *origin, AIRY1830)
    assert_allclose(ecef.to_enu(*xyz, *origin, AIRY1830), enu, rtol=0, atol=5e-9)


def test_the_sea_falls_away_below_the_local_plane():
    xyz = ecef.to_ecef(0, 10_000 / WGS84.semi_major * 180 / math.pi, 0, WGS84)
    up = ecef.to_enu(*xyz, 0, 0, 0, WGS84)[2]
    assert up == pytest.approx(-1e8 / (2 * WGS84.semi_major), rel=1e-5)


# Contract ---------------------------------------------------------------------------------------


def test_scalars_and_arrays(scalar_and_array):
    scalar_and_array(lambda *p: ecef.to_ecef(*p, WGS84), 54.2, 3.1, 40)
    xyz = ecef.to_ecef(54.2, 3.1, 40, WGS84)
    for call, point in (
        (lambda *p: ecef.from_ecef(*p, WGS84), xyz),
        (lambda *p: ecef.to_enu(*p, 54, 3, 0, WGS84), xyz),
        (lambda *p: ecef.from_enu(*p, 54, 3, 0, WGS84), (1e4, -2e4, 30)),
    ):
        scalar = call(*point)
        assert all(type(one) is float for one in scalar)
        for shape in ((), (1,), (2, 3)):
            results = call(*(np.full(shape, one) for one in point))
            assert all(np.shape(one) == shape for one in results)
            assert_allclose(np.array(results).reshape(3, -1).T - scalar, 0, atol=5e-9)


def test_broadcasting():
    for part in ecef.to_ecef([[1], [2]], [3, 4, 5], 0, WGS84):
        assert part.shape == (2, 3)
    for part in ecef.from_ecef(6.4e6, [0, 1, 2], 0, WGS84):
        assert part.shape == (3,)
    for part in ecef.to_enu(6.4e6, 0, 0, 0, 0, [0, 1], WGS84):
        assert part.shape == (2,)


def test_nan_passes():
    for got in (
        ecef.to_ecef([1, np.nan], 2, 3, WGS84),
        ecef.from_ecef([6.4e6, np.nan], 2, 3, WGS84),
        ecef.to_enu([6.4e6, np.nan], 2, 3, 0, 0, 0, WGS84),
        ecef.from_enu(1, 2, 3, 0, [0, np.nan], 0, WGS84),
    ):
        assert not any(np.isnan(part[0]) for part in got)
    assert all(math.isnan(one) for one in ecef.from_ecef(np.nan, np.nan, np.nan, WGS84))


def test_far_heights_are_accepted():
    for height in (-150_000, 150_000, 20_200_000):
        got = ecef.from_ecef(*ecef.to_ecef(20, 30, height, WGS84), WGS84)
        assert_allclose(got, (20, 30, height), rtol=0, atol=1e-8)


@pytest.mark.parametrize(
    ("call", "parts"),
    [
        (lambda: ecef.from_ecef(0, 0, 0, WGS84), ["0 m from the Earth's centre", "128", "missing"]),
        (lambda: ecef.from_ecef(3771.8, 140.3, 5124.3, WGS84), ["Earth's centre", "kilometres"]),
        (lambda: ecef.from_ecef([6.4e6, 0], 0, 0, WGS84), ["0 m from the Earth's centre"]),
        (lambda: ecef.from_ecef(math.inf, 0, 0, WGS84), ["X inf"]),
        (lambda: ecef.to_ecef(139, 35, 0, WGS84), ["latitude 139", "−90 to 90", "swapped"]),
        (lambda: ecef.to_ecef(35, math.inf, 0, WGS84), ["longitude inf"]),
        (lambda: ecef.to_ecef(35, 139, -7e6, WGS84), ["height -7000000", "-6356752", "unit"]),
        (lambda: ecef.to_enu(6.4e6, 0, 0, 91, 0, 0, WGS84), ["latitude 91"]),
        (lambda: ecef.from_enu(0, 0, -math.inf, 9, 0, 0, WGS84), ["up -inf"]),
    ],
)
def test_bad_input(call, parts):
    with pytest.raises(ValueError, match=".*".join(map(re.escape, parts))):
        call()
