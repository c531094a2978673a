"""Curvature, chord, plane, reduction and horizon against handbooks and exact arithmetic."""

import math
import re
from decimal import Decimal, getcontext

import numpy as np
import pytest
from numpy.testing import assert_allclose
from published import tolerance, value

from geokit import WGS84, Ellipsoid, ecef, lines, surface

R = 6_371_000.0
SPHERE = Ellipsoid("sphere", R, 0, "test")
BOWDITCH = 1 - 0.8321  # κ of CV-04 and CV-07, from the tables' own factor


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


# Handbooks ---------------------------------------------------------------------------------


def test_curvature():
    near("CV-01", "c_per_km2", surface.level_drop(1000, R, 0))
    near("CV-01", "at_900_m", surface.level_drop(900, R, 0))
    near("CV-01", "at_2.5_km", surface.level_drop(2500, R, 0))


def test_curvature_with_refraction():
    near("CV-02", "k_one_seventh", surface.level_drop(1000, R, 1 / 7))
    near("CV-02", "k_0.14", surface.level_drop(1000, R, 0.14))


def test_horizon_in_nautical_miles():
    near("CV-04", "coefficient_feet", surface.horizon(0.3048, R, BOWDITCH) / 1852)
    near("CV-04", "coefficient_metres", surface.horizon(1, R, BOWDITCH) / 1852)


@pytest.mark.parametrize(
    ("name", "eye"), [("arcmin_per_sqrt_ft", 0.3048), ("arcmin_per_sqrt_m", 1)]
)
def test_dip_of_the_horizon(name, eye):
    # the ray leaves the eye at twice the slope of its chord to the horizon
    distance = surface.horizon(eye, R, BOWDITCH)
    slope = 2 * surface.level_drop(distance, R, BOWDITCH) / distance
    near("CV-07", name, math.degrees(slope) * 60)


def test_a_horizon_is_where_the_drop_is_the_height_of_eye():
    distance = surface.horizon([2, 15, 40], R, 0.13)
    assert_allclose(surface.level_drop(distance, R, 0.13), [2, 15, 40], rtol=1e-14)


# Exact arithmetic ---------------------------------------------------------------------------


def decimal_sine(x):
    term = total = x
    n = 1
    while abs(term) > Decimal(10) ** -60:
        n += 2
        term *= -x * x / (n * (n - 1))
        total += term
    return total


ARCS = [1e-3, 1.0, 137.0, 2e3, 5e4, 1e6, 6.3e6, 6.371e6, 6.4e6, 1.2741e7, 1.2743e7, 2e7]


@pytest.mark.parametrize("arc", ARCS)
def test_chord_and_plane_to_the_last_digits(arc):
    getcontext().prec = 60
    s, r = Decimal(arc), Decimal(R)
    chord = s - 2 * r * decimal_sine(s / (2 * r))
    plane = s - r * decimal_sine(s / r)
    assert_allclose(surface.arc_minus_chord(arc, R), float(chord), rtol=2e-15)
    assert_allclose(surface.plane_error(arc, R), float(plane), rtol=2e-15)


def test_first_terms():
    # s³/24R² and s³/6R²: 1 cm is reached at 21.4 and 13.5 km
    s = np.array([21_350.0, 13_450.0])
    assert_allclose(surface.arc_minus_chord(s, R), s**3 / (24 * R**2), rtol=1e-6)
    assert_allclose(surface.plane_error(s, R), s**3 / (6 * R**2), rtol=1e-6)
    assert surface.arc_minus_chord(21_300, R) < 0.01 < surface.arc_minus_chord(21_400, R)
    assert surface.plane_error(13_400, R) < 0.01 < surface.plane_error(13_500, R)


# The same geometry by another way ----------------------------------------------------------


@pytest.mark.parametrize("arc", [2e4, 3e5, 4e6])
def test_against_points_in_space(arc):
    lon = math.degrees(arc / R)
    far_end = ecef.to_ecef(0, lon, 0, SPHERE)
    start = ecef.to_ecef(0, 0, 0, SPHERE)
    chord = math.dist(start, far_end)
    assert surface.arc_minus_chord(arc, R) == pytest.approx(arc - chord, abs=1e-8)
    east, _, up = ecef.to_enu(*far_end, 0, 0, 0, SPHERE)
    assert surface.plane_error(arc, R) == pytest.approx(arc - east, abs=1e-8)
    assert up < 0


def test_drop_against_the_plane_at_300_km():
    exact = R / math.cos(3e5 / R) - R  # along the vertical of the far end
    short = 1 - surface.level_drop(3e5, R, 0) / exact
    assert short == pytest.approx(5 * 3e5**2 / (12 * R**2), rel=0.01)
    assert 0.0008 < short < 0.001


@pytest.mark.parametrize("height", [-3000, 8000])
def test_reduction_of_a_line_on_wgs_84(height):
    # two points 1 km apart, lifted along their normals; R is the radius along the line
    lat, lon, azimuth = 28, -88, 40
    lat2, lon2, _ = lines.direct(lat, lon, azimuth, 1000, WGS84)
    measured = math.dist(
        ecef.to_ecef(lat, lon, height, WGS84), ecef.to_ecef(lat2, lon2, height, WGS84)
    )
    radius = WGS84.azimuth_radius(lat, azimuth)
    # the chord is 1 µm shorter than the arc, and the radius changes along the line
    assert surface.to_ellipsoid(measured, height, radius) == pytest.approx(1000, abs=1e-4)
    assert abs(measured - 1000) > 0.4  # what leaving it out costs


# Contract -----------------------------------------------------------------------------------


def test_scalars_and_arrays(scalar_and_array):
    scalar_and_array(surface.level_drop, 12_000, R, 0.13)
    scalar_and_array(surface.arc_minus_chord, 12_000, R)
    scalar_and_array(surface.plane_error, 12_000, R)
    scalar_and_array(surface.to_ellipsoid, 12_000, -2_500, R)
    scalar_and_array(surface.horizon, 12, R, 0.13)
    assert surface.plane_error([[1e4], [2e4]], [R, 2 * R, 3 * R]).shape == (2, 3)


def test_nothing_and_not_a_number():
    assert surface.level_drop(0, R, 0) == surface.plane_error(0, R) == 0
    assert surface.horizon(0, R, 0.13) == surface.arc_minus_chord(0, R) == 0
    for got in (
        surface.level_drop([1e3, np.nan], R, 0.13),
        surface.arc_minus_chord([1e3, np.nan], R),
        surface.plane_error([1e3, np.nan], R),
        surface.to_ellipsoid(1e3, [0, np.nan], R),
        surface.horizon([10, 10], R, [0.13, np.nan]),
    ):
        assert list(np.isnan(got)) == [False, True]


def test_far_heights_are_accepted():
    assert surface.to_ellipsoid(1000, 200_000, R) == pytest.approx(1000 * 6371 / 6571)
    assert surface.to_ellipsoid(1000, -200_000, R) == pytest.approx(1000 * 6371 / 6171)


@pytest.mark.parametrize(
    ("call", "parts"),
    [
        (lambda: surface.horizon(-2, R, 0.13), ["height of eye -2 is negative", "zero or more"]),
        (lambda: surface.horizon(2, R, 1), ["refraction coefficient 1 ", "below 1", "percent"]),
        (lambda: surface.level_drop(10, R, 13), ["refraction coefficient 13", "percent"]),
        (lambda: surface.level_drop(-10, R, 0), ["distance -10 is negative"]),
        (lambda: surface.arc_minus_chord(-10, R), ["arc -10 is negative"]),
        (lambda: surface.plane_error(50_000, 6371), ["50000 m", "6371 m", "another unit"]),
        (lambda: surface.plane_error(50_000, 0), ["radius 0 is not above zero"]),
        (lambda: surface.to_ellipsoid(1000, -6.4e6, R), ["height -6400000 m", "centre", "unit"]),
        (lambda: surface.to_ellipsoid(1000, math.inf, R), ["height inf"]),
    ],
)
def test_bad_input(call, parts):
    with pytest.raises(ValueError, match=".*".join(map(re.escape, parts))):
        call()
