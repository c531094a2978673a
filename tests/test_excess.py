"""Spherical excess: known triangles, and curvature summed over the area as second reference."""

import math

import numpy as np
import pyproj
import pytest
from geographiclib.geodesic import Geodesic
from lesson_words import words_of_lesson
from numpy.testing import assert_allclose
from published import given, tolerance, value

from geokit import AIRY1830, WGS84, Ellipsoid, excess

RHO = math.degrees(1) * 3600
R = 6371000.0
SPHERE = Ellipsoid("sphere", R, 0, "here")
GEODESIC = Geodesic.WGS84
OCTANT = 324000.0  # 90 degrees


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


def equilateral(latitude, longitude, side, turn=17.0):
    """Corners of a nearly equilateral triangle round a point, by geographiclib."""
    corners = [
        GEODESIC.Direct(latitude, longitude, turn + k * 120, side / math.sqrt(3)) for k in range(3)
    ]
    return [c["lat2"] for c in corners], [c["lon2"] for c in corners]


def summed_angles(lats, lons):
    """Excess from the angles between geodesics of geographiclib; good to some 4e-10″."""
    n = len(lats)
    total = 0.0
    for i in range(n):
        here = (lats[i], lons[i])
        to = [GEODESIC.Inverse(*here, lats[j % n], lons[j % n])["azi1"] for j in (i + 1, i + n - 1)]
        angle = abs(to[0] - to[1]) % 360
        total += min(angle, 360 - angle)
    return (total - 180 * (n - 2)) * 3600


def summed_curvature(lats, lons, nodes=16):
    """
    Excess as the curvature 1/(Mν) summed over the area, by Gauss and Bonnet.

    The sum turns by Green's theorem into one of sin φ dλ along the sides, here less its value at
    the middle so that small triangles keep their digits; geographiclib supplies the points. Not
    for figures that contain a pole.
    """
    x, weights = np.polynomial.legendre.leggauss(nodes)
    middle = math.radians(np.mean(lats))
    total = 0.0
    for i in range(len(lats)):
        j = (i + 1) % len(lats)
        line = GEODESIC.InverseLine(lats[i], lons[i], lats[j], lons[j])
        for node, weight in zip(x, weights, strict=True):
            point = line.Position(line.s13 * (node + 1) / 2)
            phi = math.radians(point["lat2"])
            parallel = WGS84.prime_vertical_radius(point["lat2"]) * math.cos(phi)
            rise = 2 * math.cos((phi + middle) / 2) * math.sin((phi - middle) / 2)
            turn = math.sin(math.radians(point["azi2"])) / parallel
            total += weight / 2 * line.s13 * rise * turn
    return abs(total) * RHO


# Check values


def test_octant_is_exactly_90_degrees():
    close = tolerance("SX-01", "excess") * 3600
    octant = value("SX-01", "excess") * 3600
    quarter = math.pi / 2
    assert (
        abs(excess.from_sides(quarter, quarter, quarter, given("SX-01", "radius")) - octant)
        <= close
    )
    assert abs(excess.from_area(value("SX-01", "area"), 1) - octant) <= close
    for pole in (90, -90):
        assert abs(excess.from_corners([0, 0, pole], [10, 100, 33]) - octant) <= close
        assert abs(excess.on_ellipsoid([0, 0, pole], [10, 100, 33], WGS84) - octant) <= close
        assert_allclose(excess.angles([0, 0, pole], [10, 100, 10], WGS84), 90, rtol=0, atol=1e-12)
    octant = value("SX-02", "excess") * 3600
    assert octant == OCTANT
    near("SX-02", "area", WGS84.area() / 8)
    assert abs(excess.from_area(value("SX-02", "area"), WGS84.authalic_radius) - octant) < 1e-6


def test_polygon_round_antarctica():
    # SX-03 prints the area; the curvature over it is that of the geodetic latitudes' sphere
    lats, lons = np.transpose(given("SX-03", "vertices"))
    area, perimeter = pyproj.Geod(ellps="WGS84").polygon_area_perimeter(lons, lats)
    near("SX-03", "perimeter", perimeter)
    near("SX-03", "area", abs(area))
    got = excess.on_ellipsoid(lats, lons, WGS84)
    # by the mean radius of curvature of the region, from 75° to 90°: good to a few in ten thousand
    radius = WGS84.gaussian_radius(-80.0)
    assert got == pytest.approx(value("SX-03", "area") / radius**2 * RHO, rel=5e-4)
    assert got == pytest.approx(summed_round_a_pole(lats, lons), abs=1e-6)


def summed_round_a_pole(lats, lons):
    """As `summed_curvature`, for a figure that contains a pole: (1 − |sin φ|) dλ, unreduced."""
    total = 0.0
    for i in range(len(lats)):
        j = (i + 1) % len(lats)
        line = GEODESIC.Inverse(lats[i], lons[i], lats[j], lons[j])
        turn = (lons[j] - lons[i] + 180) % 360 - 180
        total += turn + (line["azi2"] - line["azi1"] + 180) % 360 - 180
    return abs(total) * 3600


def test_gauss_great_triangle():
    # SX-05: the closure of the measured angles of 1821 to 1823
    angles = [given("SX-05", f"angle_{hill}") for hill in ("Hohehagen", "Brocken", "Inselsberg")]
    above = (sum(angles) - 180) * 3600
    near("SX-05", "sum_minus_180", above)
    near("SX-05", "misclosure", above - given("SX-05", "spherical_excess"))
    # SX-06: the excess itself, from one side and two angles on the ellipsoid of the time
    walbeck = Ellipsoid("Walbeck", 6376896, 302.78, "as SX-06 gives it")
    a, b = (
        math.radians(given("SX-06", f"plane_angle_{hill}")) for hill in ("Hohehagen", "Brocken")
    )
    side = given("SX-06", "side_Hohehagen_Brocken")
    area = side**2 * math.sin(a) * math.sin(b) / math.sin(a + b) / 2
    radius = walbeck.gaussian_radius(given("SX-06", "mean_latitude"))
    near("SX-06", "excess", excess.from_area(area, radius))
    # and by three sides: the sphere's triangle is that of Legendre's theorem
    sides = [side, side * math.sin(a) / math.sin(a + b), side * math.sin(b) / math.sin(a + b)]
    near("SX-06", "excess", excess.from_sides(*sides, radius))


def test_largest_british_triangle():
    # SX-08: Snowdon, Slieve Donard, Scafell; the excess is printed to the arcsecond
    corners = [given("SX-08", hill) for hill in ("Snowdon", "Slieve_Donard")] + [(54.4483, -3.2250)]
    lats, lons = np.transpose(corners)
    near("SX-08", "excess", excess.on_ellipsoid(lats, lons, AIRY1830))
    near("SX-08", "excess", excess.from_corners(lats, lons))
    near("SX-08", "excess", (excess.angles(lats, lons, AIRY1830).sum() - 180) * 3600)


def test_rule_of_thumb():
    # SX-09: one arcsecond for each 197 km²; SX-10 prints 75.5 and 75.6 square miles, 1 per cent off
    area = value("SX-09", "area_sphere") * 1e6
    assert excess.from_area(area, given("SX-09", "radius") * 1e3) == pytest.approx(1, abs=3e-4)
    miles = 1 / excess.from_area(1609.344**2, WGS84.gaussian_radius(35))
    assert abs(miles - value("SX-10", "definitions_of_surveying_terms")) < tolerance(
        "SX-10", "definitions_of_surveying_terms"
    )
    assert miles == pytest.approx(value("SX-09", "area_in_square_miles"), rel=1e-2)


def test_angles_of_a_large_triangle_sum_to_more_than_180():
    # common practice, no source: the angles of a large triangle on the Earth sum to more than 180°
    rng = np.random.default_rng(5)
    lats, lons = rng.uniform(-60, 60, (200, 3)), rng.uniform(-50, 50, (200, 3))
    total = excess.angles(lats, lons, WGS84).sum(axis=-1)
    assert (total > 180).all()
    assert_allclose((total - 180) * 3600, excess.on_ellipsoid(lats, lons, WGS84), rtol=0, atol=1e-8)


def test_triangles_of_any_size_anywhere():
    # corners strewn over the whole Earth: some hold a pole, some all but half of the Earth
    rng = np.random.default_rng(6)
    lats = np.degrees(np.arcsin(rng.uniform(-1, 1, (300, 3))))
    lons = rng.uniform(-360, 540, (300, 3))
    lats[::50, 0], lats[1::50, 1] = 90, -90
    lons[2::50, 1] = lons[2::50, 0]  # a side along a meridian
    wanted = [summed_angles(*corners) for corners in zip(lats, lons, strict=True)]
    assert max(wanted) > 3.5 * OCTANT
    assert_allclose(excess.on_ellipsoid(lats, lons, WGS84), wanted, rtol=0, atol=1e-8)
    # on a sphere the solid angle of three directions, in the form of its cosine
    corners = np.stack(
        [
            np.cos(np.radians(lats)) * np.cos(np.radians(lons)),
            np.cos(np.radians(lats)) * np.sin(np.radians(lons)),
            np.sin(np.radians(lats)),
        ],
        axis=-1,
    )
    ab, bc, ca = (np.sum(corners[:, i] * corners[:, i - 1], axis=-1) for i in range(3))
    half = (1 + ab + bc + ca) / np.sqrt(2 * (1 + ab) * (1 + bc) * (1 + ca))  # cos E/2
    on_sphere = 2 * np.degrees(np.arccos(half)) * 3600
    assert_allclose(excess.from_corners(lats, lons), on_sphere, rtol=0, atol=1e-3)
    assert_allclose(excess.on_ellipsoid(lats, lons, SPHERE), on_sphere, rtol=0, atol=1e-3)


# Ten right digits

PLACES = [(0.001, 2.0), (30, -179.9999), (57, 2), (57, 179.9999), (75, 100), (-57, 0), (89, -180)]


@pytest.mark.parametrize(("latitude", "longitude"), PLACES)
def test_one_kilometre_on_the_ellipsoid(latitude, longitude):
    lats, lons = equilateral(latitude, longitude, 1000)
    got = excess.on_ellipsoid(lats, lons, WGS84)
    assert got == pytest.approx(summed_curvature(lats, lons), rel=5e-11)
    assert got == pytest.approx(
        math.sqrt(3) / 4 * 1e6 / WGS84.gaussian_radius(latitude) ** 2 * RHO, rel=1e-6
    )


@pytest.mark.parametrize("side", [10e3, 100e3, 1000e3])
@pytest.mark.parametrize(("latitude", "longitude"), PLACES[:-1])
def test_larger_triangles_on_the_ellipsoid(latitude, longitude, side):
    lats, lons = equilateral(latitude, longitude, side)
    got = excess.on_ellipsoid(lats, lons, WGS84)
    assert got == pytest.approx(summed_curvature(lats, lons, nodes=40), rel=1e-11)
    assert got == pytest.approx(summed_angles(lats, lons), abs=1e-9)


@pytest.mark.parametrize("pole", [90, -90])
@pytest.mark.parametrize("side", [100, 1e3, 1e4, 1e5, 1e6])
def test_over_a_pole(pole, side):
    # about a pole the ellipsoid is a sphere of radius c but for terms of fourth order in size
    lats, lons = equilateral(pole, 0, side)
    got = excess.on_ellipsoid(lats, lons, WGS84)
    c = WGS84.polar_radius_of_curvature
    on_sphere = excess.from_sides(
        *[GEODESIC.Inverse(lats[0], lons[0], lats[1], lons[1])["s12"]] * 3, c
    )
    assert got == pytest.approx(on_sphere, rel=5e-11 + 2e-2 * (side / c) ** 2)
    assert got == pytest.approx(summed_angles(lats, lons), abs=2e-9)
    assert excess.from_corners(lats, lons) == pytest.approx(got, rel=1e-10 + 2e-2 * (side / c) ** 2)


def test_turning_the_corners_changes_nothing():
    lats, lons = equilateral(57, 179.999, 1000)
    first = excess.on_ellipsoid(lats, lons, WGS84)
    for turned in ([1, 2, 0], [2, 1, 0]):
        again = excess.on_ellipsoid(np.take(lats, turned), np.take(lons, turned) + 720, WGS84)
        assert again == pytest.approx(first, rel=2e-10)  # 720 costs two digits of the longitudes


@pytest.mark.parametrize("side", [1.0, 1e3, 1e5, 5e6])
def test_three_ways_on_the_sphere(side):
    # an equilateral triangle has sin(A/2) = 1/(2 cos(a/2)) (Napier's rules on one half of it), and
    # E/6 = A/2 − 30°, whose sine is written here without a difference
    a = side / R
    x = 1 / (2 * math.cos(a / 2))
    sine = math.tan(a / 2) ** 2 / 4 / (x * math.sqrt(3) / 2 + math.sqrt(1 - x * x) / 2)
    assert excess.from_sides(side, side, side, R) == pytest.approx(
        6 * math.asin(sine) * RHO, rel=1e-12
    )
    sphere = Geodesic(R, 0)
    corners = [sphere.Direct(50, 179.9, k * 120, side / math.sqrt(3)) for k in range(3)]
    lats, lons = [c["lat2"] for c in corners], [c["lon2"] for c in corners]
    sides = [sphere.Inverse(lats[i], lons[i], lats[i - 1], lons[i - 1])["s12"] for i in range(3)]
    by_sides = excess.from_sides(*sides, R)
    relative = 1e-10 * max(1, 100 / side)
    assert excess.from_corners(lats, lons) == pytest.approx(by_sides, rel=100 * relative)
    assert excess.on_ellipsoid(lats, lons, SPHERE) == pytest.approx(by_sides, rel=100 * relative)
    area, _ = pyproj.Geod(a=R, f=0).polygon_area_perimeter(lons, lats)
    if side >= 1e5:
        assert excess.from_area(abs(area), R) == pytest.approx(by_sides, rel=1e-10)


# What lesson 02 says of the flat area: the sphere's own area by geographiclib against it


def spherical_triangle(a, b, angle):
    """Return area and third side of a triangle on the sphere from two sides and their angle."""
    sphere = Geodesic(R, 0)
    ends = [sphere.Direct(0, 0, 45 + turn, side) for turn, side in ((0, a), (angle, b))]
    figure = sphere.Polygon()
    for lat, lon in [(0, 0)] + [(end["lat2"], end["lon2"]) for end in ends]:
        figure.AddPoint(lat, lon)
    across = sphere.Inverse(*[end[name] for end in ends for name in ("lat2", "lon2")])["s12"]
    return abs(figure.Compute()[2]), across


def heron(a, b, c):
    s = (a + b + c) / 2
    return math.sqrt(s * (s - a) * (s - b) * (s - c))


@pytest.mark.parametrize("angle", [25, 60, 90, 140])
@pytest.mark.parametrize(("a", "b"), [(1e5, 1e5), (3e5, 1e5), (2e5, 5e5)])
def test_what_the_flat_area_lacks(a, b, angle):
    area, across = spherical_triangle(a, b, angle)
    turn = math.radians(angle)
    lacks = area / (a * b * math.sin(turn) / 2) - 1
    said = ((a**2 + b**2) / 12 - a * b / 4 * math.cos(turn)) / R**2
    assert lacks == pytest.approx(said, rel=0.02)
    lacks = area / heron(a, b, across) - 1
    assert lacks == pytest.approx((a**2 + b**2 + across**2) / (24 * R**2), rel=0.02)


def test_lesson_02_says_what_equal_sides_lack():
    the_rule = words_of_lesson("02_excess")
    for d, of, two_sides in ((1e5, "22″", "0.0002″"), (1e6, "2 207″", "2.3″")):
        angle = 2 * math.degrees(math.asin(1 / (2 * math.cos(d / R / 2))))  # Napier, one half
        area, across = spherical_triangle(d, d, angle)
        assert across == pytest.approx(d, rel=1e-9)
        lacks = area - d * d * math.sin(math.radians(angle)) / 2
        assert lacks / area == pytest.approx(d**2 / (24 * R**2), rel=0.02)
        seconds = lacks / R**2 * RHO
        assert f"{seconds:.{1 if d > 5e5 else 4}f}″" == two_sides
        assert f"{area / R**2 * RHO:,.0f}″".replace(",", " ") == of
        assert f"{two_sides} of {of}" in the_rule
    by_heron = (area - heron(d, d, d)) / R**2 * RHO
    with_heron = rf"$\frac{{d^2}}{{8R^2}}$, three times as much, {by_heron:.1f}″ of 2 207″"
    assert with_heron in the_rule


# Polygons


def test_polygon_with_a_reflex_angle():
    lats, lons = [0, 0, 1, 0.1], [0, 1, 0.5, 0.5]
    angles = excess.angles(lats, lons, WGS84)
    assert angles[3] > 180
    assert_allclose(excess.angles(lats[::-1], lons[::-1], WGS84), angles[::-1], atol=1e-10)
    got = excess.on_ellipsoid(lats, lons, WGS84)
    assert got == pytest.approx((angles.sum() - 360) * 3600, abs=1e-8)
    assert got == pytest.approx(summed_curvature(lats, lons), rel=1e-10)


def test_polygon_is_the_sum_of_its_triangles():
    lats, lons = np.array([60, 61, 61.5, 60.5, 59.8]), np.array([1, 1.5, 3, 4, 2.5])
    parts = [
        excess.on_ellipsoid(lats[[0, i, i + 1]], lons[[0, i, i + 1]], WGS84) for i in (1, 2, 3)
    ]
    assert excess.on_ellipsoid(lats, lons, WGS84) == pytest.approx(sum(parts), rel=1e-12)


def test_a_corner_on_a_side_and_a_repeated_corner_change_nothing():
    whole = excess.on_ellipsoid([0, 0, 10], [0, 10, 5], WGS84)
    assert excess.on_ellipsoid([0, 0, 0, 10], [0, 3, 10, 5], WGS84) == pytest.approx(
        whole, rel=1e-13
    )
    assert excess.on_ellipsoid([0, 0, 10, 0], [0, 10, 5, 0], WGS84) == pytest.approx(
        whole, rel=1e-13
    )


def test_the_smaller_part_is_inside():
    # half the Earth is the most: three corners spread along the equator
    assert excess.on_ellipsoid([0, 0, 0], [0, 120, 240], WGS84) == pytest.approx(4 * OCTANT)
    assert excess.from_corners([0, 0, 0], [0, 120, 240]) == pytest.approx(4 * OCTANT)
    north = excess.on_ellipsoid([30, 30, 30], [0, 120, 240], WGS84)
    assert north == pytest.approx(excess.on_ellipsoid([-30, -30, -30], [0, 120, 240], WGS84))
    assert north < 4 * OCTANT


# Bad figures


def test_figures_without_area():
    assert excess.from_sides(1000, 2000, 3000, R) == 0
    assert excess.from_sides(0.1, 0.2, 0.3, R) == pytest.approx(0, abs=1e-12)
    assert excess.from_sides(0, 5, 5, R) == 0
    for lats, lons in (([10, 20, 40], [5, 5, 5]), ([0, 0, 0], [1, 2, 30]), ([5, 5, 8], [1, 1, 9])):
        assert excess.from_corners(lats, lons) == pytest.approx(0, abs=1e-10)
        assert excess.on_ellipsoid(lats, lons, WGS84) == pytest.approx(0, abs=1e-9)
    assert_allclose(excess.angles([10, 20, 40], [5, 5, 5], WGS84), [0, 180, 0], atol=1e-9)


def test_angles_of_three_points_on_one_geodesic():
    # the angles at the tips are zero, and rounding never makes whole turns of them
    rng = np.random.default_rng(8)
    for _ in range(20):
        line = GEODESIC.Line(rng.uniform(-80, 80), rng.uniform(-180, 180), rng.uniform(0, 360))
        points = [line.Position(s) for s in (0, *np.sort(rng.uniform(1e5, 3e6, 2)))]
        corners = [p["lat2"] for p in points], [p["lon2"] for p in points]
        assert_allclose(excess.angles(*corners, WGS84), [0, 180, 0], rtol=0, atol=1e-9)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: excess.from_sides(1, 2, 4, R), "sides of 1, 2, 4 m cannot close"),
        (lambda: excess.from_sides(-1, 2, 2, R), "cannot close"),
        (lambda: excess.from_sides(2e7, 2e7, 2e7, R), "longer than the sphere's circumference"),
        (lambda: excess.from_sides(1, 1, 1, 0), "radius 0 is not above zero"),
        (lambda: excess.from_sides(1, 1, math.inf, R), "side inf"),
        (lambda: excess.from_area(-1, R), "area -1 m² is not between 0 and half of the sphere"),
        (lambda: excess.from_area(3e14, R), "are area and radius both in metres"),
        (lambda: excess.from_corners([10, -10, 0], [20, -160, 3]), "opposite each other"),
        (lambda: excess.from_corners([1, 2, 3, 4], [1, 2, 3, 4]), "3 corners, not 4"),
        (lambda: excess.from_corners([133, 2, 3], [-23, 1, 2]), r"latitude 133.*swapped\?"),
        (lambda: excess.on_ellipsoid([10, -10, 0], [20, -160, 3], WGS84), "nearly opposite"),
        (lambda: excess.on_ellipsoid([0, 0, 50], [0, 179.5, 3], WGS84), "put a corner in between"),
        (lambda: excess.on_ellipsoid([0, 1, 0, 1], [0, 1, 1, 0], WGS84), "corners 1 and 3 cross"),
        (lambda: excess.angles([0, 1, 0, 1], [0, 1, 1, 0], WGS84), "cross"),
        (lambda: excess.on_ellipsoid([0, 2, 2, 0, 3], [0, 0, 2, 2, 1], WGS84), "cross"),
        (lambda: excess.on_ellipsoid([1, 2], [1, 2], WGS84), "at least 3 corners"),
        (lambda: excess.on_ellipsoid(1, 2, WGS84), "at least 3 corners"),
        (lambda: excess.on_ellipsoid([95, 0, 1], [1, 2, 3], WGS84), "latitude 95"),
        (lambda: excess.angles([0, 0, 2], [0, 0, 2], WGS84), "the same point"),
        (lambda: excess.angles([0, 0, 2, 0], [0, 1, 2, 0], WGS84), "the first repeated at the end"),
    ],
)
def test_refusals(call, says):
    with pytest.raises(ValueError, match=says):
        call()


# Shapes


def test_shapes_and_missing_values(scalar_and_array):
    scalar_and_array(excess.from_sides, 1e5, 1.2e5, 1.1e5, R)
    scalar_and_array(excess.from_area, 1e9, R)
    lats, lons = np.array([[57, 58, 57.5], [0, 1, 1]]), np.array([[1, 2, 3], [0, 0, 1]])
    for call in (excess.from_corners, lambda la, lo: excess.on_ellipsoid(la, lo, WGS84)):
        single = call(lats[0].tolist(), lons[0].tolist())
        assert type(single) is float
        several = call(lats, lons)
        assert several.shape == (2,)
        assert several[0] == pytest.approx(single, rel=1e-13)
        assert call(lats[:, None], lons).shape == (2, 2)
        missing = call(np.where(lats == 58, math.nan, lats), lons)
        assert np.isnan(missing).tolist() == [True, False]
    assert excess.angles(lats, lons, WGS84).shape == (2, 3)
    assert np.isnan(excess.angles([57, math.nan, 58], [1, 2, 3], WGS84)).any()
    assert math.isnan(excess.from_sides(math.nan, 1, 1, R))
    assert math.isnan(excess.from_area(math.nan, R))
