"""Normal gravity against print, and against the series in spherical harmonics."""

import dataclasses
import math

import numpy as np
import pytest
from numpy.testing import assert_allclose
from published import given, tolerance, value

from geokit import GRS80, gravity
from geokit.gravity import GRS80_FIELD, WGS84_FIELD, NormalField

FIELDS = pytest.mark.parametrize("field", [GRS80_FIELD, WGS84_FIELD], ids=lambda f: f.name)
MGAL = 1e-5
KNOT = 1852 / 3600


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


# Check values -------------------------------------------------------------------------------


def test_grs80_gravity():
    near("GR-01", "gamma_e", GRS80_FIELD.equatorial_gravity)
    near("GR-01", "gamma_p", GRS80_FIELD.polar_gravity)
    for name, latitude in (("gamma_e", 0), ("gamma_45", 45), ("gamma_p", -90)):
        near("GR-01", name, gravity.normal(latitude, 0, GRS80_FIELD))
        near("GR-01", name, gravity.normal_to_second_order(latitude, 0, GRS80_FIELD))


def test_grs80_derived_constants():
    near("GR-02", "k", GRS80_FIELD.somigliana_constant)
    near("GR-02", "f_star", GRS80_FIELD.gravity_flattening)
    near("GR-02", "m", GRS80_FIELD.m)
    near("EL-05", "1/f", GRS80_FIELD.ellipsoid.inverse_flattening)
    near("EL-05", "e2", GRS80_FIELD.ellipsoid.eccentricity_squared)
    near("EL-06", "b", GRS80_FIELD.ellipsoid.semi_minor)
    near("EL-06", "E", GRS80_FIELD.linear_eccentricity)


def test_grs80_potential():
    # Moritz, Geodetic Reference System 1980, section 4, from memory: U0 = 62636860.850 m2/s2
    assert abs(GRS80_FIELD.potential - 62636860.850) <= 5e-4


def test_mean_gravity_over_the_grs80_ellipsoid():
    # Moritz, Geodetic Reference System 1980, section 4, from memory: mean 9.797644656 m/s2
    x, weights = np.polynomial.legendre.leggauss(60)
    latitude = 90 * x
    weights = weights * GRS80.meridian_radius(latitude) * GRS80.prime_vertical_radius(latitude)
    weights = weights * np.cos(np.radians(latitude))  # a share of the surface
    gamma = gravity.normal(latitude, 0, GRS80_FIELD)
    assert abs((gamma * weights).sum() / weights.sum() - 9.797644656) <= 5e-10


def test_wgs84_gravity():
    near("GR-04", "gamma_e", WGS84_FIELD.equatorial_gravity)
    near("GR-04", "gamma_p", WGS84_FIELD.polar_gravity)
    # NIMA TR8350.2, table 3.4, from memory: m = 0.00344978650684, J2 to its normalized C20
    assert abs(WGS84_FIELD.m - 0.00344978650684) <= 5e-15
    assert abs(-WGS84_FIELD.j2 / math.sqrt(5) - -0.484166774985e-3) <= 1e-12


def test_flattening_and_j2_lead_to_each_other():
    again = NormalField(
        name="GRS 80 again",
        semi_major=GRS80_FIELD.semi_major,
        gm=GRS80_FIELD.gm,
        angular_velocity=GRS80_FIELD.angular_velocity,
        defining_inverse_flattening=GRS80_FIELD.ellipsoid.inverse_flattening,
        source="the 1/f that its J2 gives",
    )
    assert abs(again.j2 - GRS80_FIELD.j2) <= 1e-17


def test_gravity_formula_of_1980():
    latitudes = np.array(given("GR-06", "latitude"))
    phi = np.radians(latitudes)
    series = 9.780327 * (1 + 0.0053024 * np.sin(phi) ** 2 - 0.0000058 * np.sin(2 * phi) ** 2)
    got = gravity.normal(latitudes, 0, GRS80_FIELD) - series
    for latitude, difference in zip(latitudes, got, strict=True):
        near("GR-06", f"difference_{latitude}", difference)


def test_free_air_gradient():
    for normal in (gravity.normal, gravity.normal_to_second_order):
        fall = normal(45, -0.5, GRS80_FIELD) - normal(45, 0.5, GRS80_FIELD)
        near("GR-07", "gradient", fall / MGAL)


def test_two_conventional_potentials_as_a_height():
    difference = given("GE-07", "W0_IERS") - given("GE-07", "W0_IHRS")
    latitudes = np.degrees(np.arcsin(np.linspace(-1, 1, 2001)))  # equal areas
    mean = gravity.normal(latitudes, 0, GRS80_FIELD).mean()
    near("GE-07", "offset", difference / mean)


# Closed form ----------------------------------------------------------------------------------


def harmonic_gravity(latitude, height, field):
    """Attraction by zonal harmonics to degree 20, differentiated by a five-point rule."""
    e2, a = field.ellipsoid.eccentricity_squared, np.longdouble(field.semi_major)
    phi = np.radians(np.longdouble(latitude))
    nu = a / np.sqrt(1 - e2 * np.sin(phi) ** 2)
    p0, z0 = (nu + height) * np.cos(phi), ((1 - e2) * nu + height) * np.sin(phi)

    def potential(p, z):
        r = np.hypot(p, z)
        coefficients = np.zeros(21, np.longdouble)
        coefficients[0] = 1
        for n in range(1, 11):  # Heiskanen and Moritz (2-92)
            zonal = 3 * e2**n / ((2 * n + 1) * (2 * n + 3)) * (1 - n + 5 * n * field.j2 / e2)
            coefficients[2 * n] = (-1) ** n * zonal * (a / r) ** (2 * n)
        spin = np.longdouble(field.angular_velocity) ** 2 * p**2 / 2
        return field.gm / r * np.polynomial.legendre.legval(z / r, coefficients) + spin

    step = np.longdouble(1000)

    def slope(along):
        near = along(step) - along(-step)
        return (8 * near - (along(2 * step) - along(-2 * step))) / (12 * step)

    out = slope(lambda d: potential(p0 + d, z0))
    up = slope(lambda d: potential(p0, z0 + d))
    return float(np.hypot(out, up))


@FIELDS
@pytest.mark.parametrize("height", [-10_000.0, 0.0, 3_000.0, 400_000.0])
@pytest.mark.parametrize("latitude", [-90.0, -61.0, -0.5, 0.0, 33.0, 45.0, 89.9])
def test_closed_form_is_the_slope_of_the_potential(latitude, height, field):
    got = gravity.normal(latitude, height, field)
    assert abs(got - harmonic_gravity(latitude, height, field)) <= 1e-10


@FIELDS
def test_surface_is_level(field):
    # where the surface is level, the closed form is Somigliana's, from γe and γp alone
    latitudes = np.linspace(-90, 90, 181)
    sine2 = np.sin(np.radians(latitudes)) ** 2
    a, b = field.semi_major, field.ellipsoid.semi_minor
    top = a * field.equatorial_gravity * (1 - sine2) + b * field.polar_gravity * sine2
    somigliana = top / np.sqrt(a**2 * (1 - sine2) + b**2 * sine2)
    assert_allclose(gravity.normal(latitudes, 0, field), somigliana, rtol=0, atol=1e-14)


@pytest.mark.parametrize(
    ("height", "most"), [(1_000, 0.011), (10_000, 0.07), (-10_000, 0.18), (20_000, 0.15)]
)
def test_second_order_is_as_good_as_its_docstring_says(height, most):
    latitudes = np.linspace(-90, 90, 181)
    exact = gravity.normal(latitudes, height, GRS80_FIELD)
    off = gravity.normal_to_second_order(latitudes, height, GRS80_FIELD) - exact
    assert most / 2 < np.abs(off).max() / MGAL <= most


# Plate and moving vessel ----------------------------------------------------------------------


def test_bouguer_plates_of_the_handbooks():
    # common handbook values: 0.1119 mGal/m ashore for 2670 kg/m3, 0.0687 at sea (1640 kg/m3)
    assert abs(gravity.plate(1, 2670) / MGAL - 0.1119) <= 1e-4
    assert abs(gravity.plate(1, 2670 - 1030) / MGAL - 0.0687) <= 1e-4


def test_gradient_within_the_sea():
    # common practice, no source: about 0.222 mGal/m in sea water
    free_air = gravity.normal(45, -0.5, GRS80_FIELD) - gravity.normal(45, 0.5, GRS80_FIELD)
    assert abs((free_air - gravity.plate(2, 1030)) / MGAL - 0.222) <= 5e-4


def test_eotvos_coefficients():
    radius = given("GR-09", "R")

    def correction(knots, course, latitude=0.0):
        return gravity.eotvos(latitude, knots * KNOT, course, WGS84_FIELD, radius) / MGAL

    near("GR-09", "coefficient_V_squared", correction(1, 0))
    linear = (correction(1, 90) - correction(1, 270)) / 2
    near("GR-09", "coefficient_V_cos_lat_sin_course", linear)
    assert abs(correction(10, 90) - 75.4) <= 0.05  # the record's note
    assert correction(10, 90, 60) == pytest.approx(75.03 / 2 + 0.4154, abs=0.01)


# Shapes and bad input -------------------------------------------------------------------------


@pytest.mark.parametrize("function", [gravity.normal, gravity.normal_to_second_order])
def test_scalars_arrays_and_nan(function):
    one = function(12.0, 100.0, WGS84_FIELD)
    assert type(one) is float
    grid = function(np.array([[12.0], [np.nan]]), np.array([100.0, 5.0, np.nan]), WGS84_FIELD)
    assert grid.shape == (2, 3)
    assert grid[0, 0] == one
    assert np.isnan(grid).tolist() == [[False, False, True], [True, True, True]]


def test_plate_and_eotvos_keep_scalars():
    assert type(gravity.plate(10, 2670)) is float
    assert gravity.plate([1.0, 2.0], 1030.0).shape == (2,)
    assert type(gravity.eotvos(10, 5, 90, WGS84_FIELD, 6371000)) is float
    assert np.isnan(gravity.eotvos([np.nan, 0], 5, 90, WGS84_FIELD, 6371000)).tolist() == [
        True,
        False,
    ]


def test_limits_themselves_are_allowed():
    assert np.isfinite(gravity.normal(0, [-12_000, 1_000_000], GRS80_FIELD)).all()
    assert np.isfinite(gravity.normal_to_second_order(0, [-12_000, 20_000], GRS80_FIELD)).all()
    assert np.isfinite(gravity.eotvos([-90, 90], [0, 300], 0, GRS80_FIELD, 6.4e6)).all()
    assert np.isfinite(gravity.plate(1, [25, -25, 0])).all()


def test_a_field_does_not_change():
    with pytest.raises(dataclasses.FrozenInstanceError):
        GRS80_FIELD.gm = 1


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: gravity.normal(90.1, 0, GRS80_FIELD), "latitude 90.1 is beyond 90"),
        (lambda: gravity.normal(0, 6_371_000, GRS80_FIELD), "6371000 m is outside.*a radius"),
        (lambda: gravity.normal(0, -12_001, GRS80_FIELD), "-12001 m is outside −12 000"),
        (lambda: gravity.normal_to_second_order(0, 20_001, GRS80_FIELD), "to 20 000 m"),
        (lambda: gravity.plate(10, 2.67), "2.67 kg/m³.*grams a cubic centimetre"),
        (lambda: gravity.eotvos(0, -1, 90, GRS80_FIELD, 6371000), "speed -1 m/s"),
        (lambda: gravity.eotvos(0, 5, 90, GRS80_FIELD, 6371), "radius 6371 m.*kilometres"),
    ],
)
def test_bad_input_is_refused_with_the_cause(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"defining_j2": None}, "J₂ or by 1/f"),
        ({"defining_inverse_flattening": 298.25}, "J₂ or by 1/f"),
        ({"defining_j2": 298.25}, "J₂ 298.25"),
        ({"defining_j2": None, "defining_inverse_flattening": 0.00335}, "flattening f given"),
        ({"semi_major": -1.0}, "semi-major axis -1"),
        ({"gm": 398600.5}, "ω²a³/GM"),
        ({"angular_velocity": 0.0}, "ω 0"),
    ],
)
def test_a_field_out_of_all_reason_is_refused(change, words):
    with pytest.raises(ValueError, match=words):
        dataclasses.replace(GRS80_FIELD, **change)
