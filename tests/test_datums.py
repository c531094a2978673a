"""Datum transformations against IOGP's and others' worked examples, and against pyproj."""

import dataclasses
import math
import re

import numpy as np
import pyproj
import pytest
from numpy.testing import assert_allclose
from published import given, tolerance, value

from geokit import CLARKE1866, GRS80, INTERNATIONAL1924, WGS84, datums, ecef
from geokit.datums import Helmert, MolodenskyBadekas, TimeDependent

POSITION, FRAME = "position vector", "coordinate frame"
BOTH = pytest.mark.parametrize("convention", [POSITION, FRAME])
SEVEN = ("tX", "tY", "tZ", "rX", "rY", "rZ", "dS")
POINT = (3657660.66, 255768.55, 5201382.11)
WORLD = np.array(
    ecef.to_ecef(*np.meshgrid([-90, -47, -3, 0, 28, 61, 90], [-180, -71, 0, 3, 120], 50.0), WGS84)
).reshape(3, -1)


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


def published_point(record):
    return tuple(given(record, axis) for axis in "XYZ")


def check_xyz(record, got):
    for axis, coordinate in zip("XYZ", got, strict=True):
        near(record, axis, coordinate)


def some_helmert(convention, exact=False, seed=0):
    rng = np.random.default_rng(seed)
    shifts, turns = rng.uniform(-900, 900, 3), rng.uniform(-30, 30, 3)
    seven = (float(number) for number in (*shifts, *turns, rng.uniform(-100, 100)))
    return Helmert(*seven, convention=convention, exact=exact)


def by_pyproj(method, names, convention, *flags):
    words = [f"+{name}={number!r}" for name, number in names.items()]
    words += [f"+convention={convention.replace(' ', '_')}", *flags]
    return pyproj.Transformer.from_pipeline(f"+proj={method} {' '.join(words)}")


def seven_for_pyproj(t):
    keys = ("x", "y", "z", "rx", "ry", "rz", "s")
    return dict(zip(keys, dataclasses.astuple(t)[:7], strict=True))


# Published examples ---------------------------------------------------------------------------


@BOTH
def test_three_translations(convention):
    shifts = [given("HT-01", f"d{axis}") for axis in "XYZ"]
    helmert = Helmert(*shifts, 0, 0, 0, 0, convention=convention)
    check_xyz("HT-01", helmert.apply(*published_point("HT-01")))


def test_three_translations_from_latitude_to_latitude():
    start = [given("HT-02", name) for name in ("latitude", "longitude", "h")]
    shifts = [given("HT-02", f"d{axis}") for axis in "XYZ"]
    there = Helmert(*shifts, 0, 0, 0, 0, convention=POSITION).apply(*ecef.to_ecef(*start, WGS84))
    latitude, longitude, height = ecef.from_ecef(*there, INTERNATIONAL1924)
    near("HT-02", "latitude_seconds", (latitude - 53 - 48 / 60) * 3600)
    near("HT-02", "longitude_seconds", (longitude - 2 - 7 / 60) * 3600)
    near("HT-02", "h", height)


def test_seven_parameters_position_vector():
    helmert = Helmert(*(given("HT-04", name) for name in SEVEN), convention=POSITION)
    check_xyz("HT-04", helmert.apply(*published_point("HT-04")))


def test_seven_parameters_coordinate_frame_and_the_price_of_a_sign():
    seven = [given("HT-04", name) for name in SEVEN]
    turned = [*seven[:3], *(-r for r in seven[3:6]), seven[6]]
    right = Helmert(*turned, convention=FRAME).apply(*published_point("HT-04"))
    check_xyz("HT-05", right)
    wrong = Helmert(*seven, convention=FRAME).apply(*published_point("HT-04"))
    near("HT-05", "error_if_rZ_not_reversed", math.dist(wrong, right))


def test_australia_and_the_baltic():
    for record in ("HT-06", "HT-08"):
        helmert = Helmert(*(given(record, name) for name in SEVEN), convention=FRAME)
        check_xyz(record, helmert.apply(*published_point(record)))
    moved = Helmert(*(given("HT-06", name) for name in SEVEN), convention=FRAME).apply(
        *published_point("HT-06")
    )
    near("HT-07", "shift", math.dist(moved, published_point("HT-06")))


def test_molodensky_badekas_la_canoa_to_regven():
    # IOGP 373-7-2, EPSG method 1034, worked example, as other libraries' tests quote it
    la_canoa = MolodenskyBadekas(
        -270.933, 115.599, -360.226, -5.266, -1.238, 2.381, -5.109,
        (2464351.59, -5783466.61, 974809.81), convention=FRAME,
    )  # fmt: skip
    got = la_canoa.apply(2550408.96, -5749912.26, 1054891.11)
    # start and end are both rounded to a centimetre
    assert_allclose(got, (2550138.45, -5749799.87, 1054530.82), rtol=0, atol=0.01)


def test_abridged_molodensky_of_the_guidance_note():
    # IOGP 373-7-2, EPSG method 9605: 53°48'36.563"N, 2°07'51.477"E, 28.091 m (from memory)
    start = [given("HT-02", name) for name in ("latitude", "longitude", "h")]
    shifts = [given("HT-02", f"d{axis}") for axis in "XYZ"]
    got = datums.abridged_molodensky(*start, *shifts, WGS84, INTERNATIONAL1924)
    printed = (53 + 48 / 60 + 36.563 / 3600, 2 + 7 / 60 + 51.477 / 3600)
    assert_allclose(got[:2], printed, rtol=0, atol=0.0006 / 3600)
    assert abs(got[2] - 28.091) <= 0.0006


# Time-dependent -------------------------------------------------------------------------------


def fourteen(record, convention):
    start = [*given(record, "translations"), *given(record, "rotations"), given(record, "scale")]
    rates = [given(record, f"{n}_rates") for n in ("translation", "rotation")]
    helmert = Helmert(*start, convention=convention)
    rates = (*rates[0], *rates[1], given(record, "scale_rate"))
    return TimeDependent(helmert, rates, given(record, "t0"))


@pytest.mark.parametrize("record", ["TD-01", "TD-03"])
def test_fourteen_parameters(record):
    helmert = fourteen(record, POSITION).at(given(record, "epoch"))
    check_xyz(record, helmert.apply(*published_point(record)))


def test_plate_motion_as_a_transformation():
    rates = (0, 0, 0, *given("TD-05", "rotation_rates"), 0)
    moving = TimeDependent(Helmert(*[0] * 7, convention=FRAME), rates, given("TD-05", "t0"))
    check_xyz("TD-05", moving.at(given("TD-05", "epoch")).apply(*published_point("TD-05")))


def test_itrf2020_to_itrf2014():
    first = [number / 1000 for number in given("TD-07", "translations_2015")]
    rates = [number / 1000 for number in given("TD-07", "translation_rates")]
    helmert = Helmert(*first, 0, 0, 0, given("TD-07", "scale") / 1000, convention=POSITION)
    moving = TimeDependent(helmert, (*rates, 0, 0, 0, 0), 2015.0)
    point = published_point("TD-07")
    for year in (2015, 2025):
        moved = np.subtract(moving.at(year).apply(*point), point) * 1000
        for axis, millimetres in zip("XYZ", moved, strict=True):
            near("TD-07", f"d{axis}_{year}", millimetres)


def test_itrf2014_to_etrf2014_in_the_north_sea():
    rates = (0, 0, 0, *(rate / 1000 for rate in given("TD-08", "rotation_rates")), 0)
    moving = TimeDependent(Helmert(*[0] * 7, convention=POSITION), rates, given("TD-08", "t0"))
    point = [given("TD-08", name) for name in ("latitude", "longitude", "h")]
    there = moving.at(given("TD-08", "epoch")).apply(*ecef.to_ecef(*point, GRS80))
    east, north, _ = ecef.to_enu(*there, *point, GRS80)
    near("TD-08", "east", east)
    near("TD-08", "north", north)


@BOTH
def test_time_dependent_against_pyproj(convention):
    helmert = some_helmert(convention)
    rates = (0.01, -0.02, 0.003, 0.0015, -0.0012, 0.0011, 0.0002)
    keys = ("dx", "dy", "dz", "drx", "dry", "drz", "ds")
    names = seven_for_pyproj(helmert) | dict(zip(keys, rates, strict=True))
    names["t_epoch"] = 2010.0
    reference = by_pyproj("helmert", names, convention)
    got = TimeDependent(helmert, rates, 2010.0).at(2024.75).apply(*WORLD)
    wanted = reference.transform(*WORLD, np.full(WORLD.shape[1], 2024.75))[:3]
    assert_allclose(got, wanted, rtol=0, atol=1e-8)


def test_at_its_own_epoch_it_is_itself():
    helmert = some_helmert(FRAME, exact=True)
    assert TimeDependent(helmert, (0.01,) * 3 + (0.001,) * 4, 2010.0).at(2010) == helmert


# Against pyproj -------------------------------------------------------------------------------


@BOTH
@pytest.mark.parametrize("exact", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_helmert_against_pyproj(convention, exact, seed):
    helmert = some_helmert(convention, exact, seed)
    flags = ["+exact"] if exact else []
    reference = by_pyproj("helmert", seven_for_pyproj(helmert), convention, *flags)
    assert_allclose(helmert.apply(*WORLD), reference.transform(*WORLD), rtol=0, atol=1e-8)


@BOTH
def test_molodensky_badekas_against_pyproj(convention):
    pivot = (2464351.59, -5783466.61, 974809.81)
    seven = some_helmert(convention)
    moved = MolodenskyBadekas(*dataclasses.astuple(seven)[:7], pivot, convention=convention)
    names = seven_for_pyproj(seven) | dict(zip(("px", "py", "pz"), pivot, strict=True))
    reference = by_pyproj("molobadekas", names, convention)
    assert_allclose(moved.apply(*WORLD), reference.transform(*WORLD), rtol=0, atol=1e-8)


def test_abridged_molodensky_against_pyproj():
    latitude, longitude = (grid.ravel() for grid in np.meshgrid([-80.0, -1, 45, 89], [-170.0, 3]))
    height = np.full(latitude.shape, 1234.5)
    shifts = (-8.0, 160.0, 176.0)
    steps = (
        f"+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=molodensky "
        f"+abridged +a={CLARKE1866.semi_major} +rf={CLARKE1866.inverse_flattening!r} "
        f"+da={WGS84.semi_major - CLARKE1866.semi_major!r} "
        f"+df={WGS84.flattening - CLARKE1866.flattening!r} +dx=-8 +dy=160 +dz=176 "
        "+step +proj=unitconvert +xy_in=rad +xy_out=deg"
    )
    lon, lat, h = pyproj.Transformer.from_pipeline(steps).transform(longitude, latitude, height)
    got = datums.abridged_molodensky(latitude, longitude, height, *shifts, CLARKE1866, WGS84)
    assert_allclose(got[:2], (lat, lon), rtol=0, atol=1e-12)
    assert_allclose(got[2], h, rtol=0, atol=1e-8)


def test_abridged_molodensky_stays_near_the_way_through_xyz():
    shifts = (84.87, 96.49, 116.95)
    through = Helmert(*shifts, 0, 0, 0, 0, convention=POSITION)
    for height, most in ((0.0, 0.2), (10_000.0, 0.55)):
        latitude, longitude = np.meshgrid(np.linspace(-85, 85, 18), np.linspace(-180, 150, 12))
        start = (latitude.ravel(), longitude.ravel(), height)
        short = datums.abridged_molodensky(*start, *shifts, WGS84, INTERNATIONAL1924)
        long = through.apply(*ecef.to_ecef(*start, WGS84))
        got = ecef.to_ecef(*short, INTERNATIONAL1924)
        assert most / 4 < np.linalg.norm(np.subtract(got, long), axis=0).max() < most


# Reversal -------------------------------------------------------------------------------------


@BOTH
@pytest.mark.parametrize("exact", [False, True])
def test_reverse_is_exact(convention, exact):
    helmert = some_helmert(convention, exact)
    there = helmert.apply(*WORLD)
    assert_allclose(helmert.reverse().apply(*there), WORLD, rtol=0, atol=1e-8)
    assert helmert.reverse().reverse() is helmert


def test_reverse_of_molodensky_badekas_is_exact():
    seven = dataclasses.astuple(some_helmert(FRAME))[:7]
    moved = MolodenskyBadekas(*seven, (3.4e6, 0.2e6, 5.4e6), convention=FRAME)
    assert_allclose(moved.reverse().apply(*moved.apply(*WORLD)), WORLD, rtol=0, atol=1e-8)


@BOTH
@pytest.mark.parametrize(("arcseconds", "millimetres"), [(1.0, 0.25), (20.0, 101.0)])
def test_turning_the_signs_is_not_the_inverse(convention, arcseconds, millimetres):
    helmert = Helmert(0, 0, 0, *[arcseconds] * 3, 0, convention=convention)
    back = helmert.sign_reversed().apply(*helmert.apply(*POINT))
    assert math.dist(back, POINT) * 1000 == pytest.approx(millimetres, rel=0.05)


def test_all_seven_signs_turn_and_the_rest_stays():
    helmert = some_helmert(FRAME, exact=True)
    turned = helmert.sign_reversed()
    assert dataclasses.astuple(turned)[:7] == tuple(-n for n in dataclasses.astuple(helmert)[:7])
    assert (turned.convention, turned.exact) == (FRAME, True)


def test_conventions_are_each_other_with_rotations_turned():
    one = some_helmert(POSITION)
    other = dataclasses.replace(one, rx=-one.rx, ry=-one.ry, rz=-one.rz, convention=FRAME)
    assert_allclose(one.apply(*WORLD), other.apply(*WORLD), rtol=0, atol=1e-9)


def test_exact_matrix_keeps_lengths():
    helmert = Helmert(0, 0, 0, 90, -60, 110, 0, convention=POSITION, exact=True)
    lengths = np.linalg.norm(WORLD, axis=0)
    assert_allclose(np.linalg.norm(helmert.apply(*WORLD), axis=0), lengths, rtol=0, atol=1e-8)


def test_pivot_left_out_is_wrong_by_tens_to_hundreds_of_metres():
    pivot = (2464351.59, -5783466.61, 974809.81)
    seven = (-270.933, 115.599, -360.226, -5.266, -1.238, 2.381, -5.109)
    point = (2550408.96, -5749912.26, 1054891.11)
    right = MolodenskyBadekas(*seven, pivot, convention=FRAME).apply(*point)
    wrong = Helmert(*seven, convention=FRAME).apply(*point)
    assert 50 < math.dist(right, wrong) < 500


# Estimation -----------------------------------------------------------------------------------

PATCH = np.array(
    ecef.to_ecef(
        np.array([53.0, 53.4, 53.2, 54.1, 53.9, 53.6]),
        np.array([1.5, 2.6, 3.8, 1.9, 3.1, 2.2]),
        np.array([12.0, 48.0, 31.0, 75.0, 20.0, 40.0]),
        WGS84,
    )
).T


@BOTH
def test_estimate_finds_what_was_applied(convention):
    helmert = some_helmert(convention)
    target = np.stack(helmert.apply(*PATCH.T), axis=1)
    found, residuals = datums.estimate(PATCH, target, convention=convention)
    assert found.convention == convention
    assert np.abs(residuals).max() < 5e-9
    # rounding of coordinates (a nanometre) over a patch of 100 km, 60 times as far from the centre
    assert_allclose(
        dataclasses.astuple(found)[:3], dataclasses.astuple(helmert)[:3], rtol=0, atol=1e-5
    )
    assert_allclose(
        dataclasses.astuple(found)[3:7], dataclasses.astuple(helmert)[3:7], rtol=0, atol=1e-6
    )
    assert_allclose(found.apply(*PATCH.T), target.T, rtol=0, atol=1e-8)


def test_estimate_is_the_least_squares_solution():
    # the normal equations of all seven, about the geocentre, in a solver of its own
    rng = np.random.default_rng(3)
    target = np.stack(some_helmert(POSITION).apply(*PATCH.T), axis=1) + rng.normal(
        0, 0.05, PATCH.shape
    )
    found, residuals = datums.estimate(PATCH, target, convention=POSITION)
    smallest = (residuals**2).sum()
    assert_allclose(residuals, target - np.stack(found.apply(*PATCH.T), axis=1), rtol=0, atol=1e-8)
    assert_allclose(residuals.sum(axis=0), 0, rtol=0, atol=1e-7)
    pivot = PATCH.mean(axis=0)
    for change in np.vstack([np.eye(7), -np.eye(7)]) * ([0.01] * 3 + [0.05] * 3 + [0.3]):
        nudge = MolodenskyBadekas(*change, tuple(pivot), convention=POSITION)
        other = target - np.stack(nudge.apply(*np.array(found.apply(*PATCH.T))), axis=1)
        assert (other**2).sum() > smallest


def test_a_bad_point_stands_out():
    target = np.stack(some_helmert(FRAME).apply(*PATCH.T), axis=1)
    target[3] += (0.0, 3.0, 0.0)
    _, residuals = datums.estimate(PATCH, target, convention=FRAME)
    assert np.linalg.norm(residuals, axis=1).argmax() == 3


def test_three_points_fit_seven_parameters():
    target = np.stack(some_helmert(POSITION).apply(*PATCH[:3].T), axis=1)
    _, residuals = datums.estimate(PATCH[:3].tolist(), target.tolist(), convention=POSITION)
    assert np.abs(residuals).max() < 5e-9


def test_computed_parameters_are_not_taken_for_slips():
    # a scale of 1.0002 ppm is refused when typed, and right when it comes out of a computation
    applied = Helmert(1, 2, 3, 0.1, 0.2, 0.3, 1.0, convention=POSITION)
    moving = TimeDependent(applied, (0,) * 6 + (0.0001,), 2020.0)
    assert moving.at(2022).scale_ppm == pytest.approx(1.0002)
    target = np.stack(moving.at(2022).apply(*PATCH.T), axis=1)
    found, _ = datums.estimate(PATCH, target, convention=POSITION)
    assert found.scale_ppm == pytest.approx(1.0002, abs=1e-6)


# Shapes ---------------------------------------------------------------------------------------


def test_scalars_arrays_and_nan():
    helmert = some_helmert(POSITION)
    for transformation in (helmert, helmert.reverse()):
        one = transformation.apply(*POINT)
        assert [type(number) for number in one] == [float] * 3
        x, y, z = transformation.apply(np.array([[POINT[0]], [np.nan]]), [1.0, POINT[1]], POINT[2])
        assert x.shape == y.shape == z.shape == (2, 2)
        assert (x[0, 1], y[0, 1], z[0, 1]) == one
        assert np.isnan(x[1]).all()
    nothing = Helmert(math.nan, 0, 0, 0, 0, 0, 0, convention=POSITION).apply(*POINT)
    assert math.isnan(nothing[0])


def test_abridged_molodensky_shapes():
    got = datums.abridged_molodensky(10, 20, 30, 1, 2, 3, WGS84, INTERNATIONAL1924)
    assert [type(number) for number in got] == [float] * 3
    got = datums.abridged_molodensky([[10], [np.nan]], [20, 21], 3, 1, 2, 3, WGS84, CLARKE1866)
    assert [number.shape for number in got] == [(2, 2)] * 3
    over = datums.abridged_molodensky(10, 180.0, 0, 0, -300, 0, WGS84, WGS84)
    assert -180 <= over[1] < -179.9


def test_a_transformation_does_not_change():
    with pytest.raises(dataclasses.FrozenInstanceError):
        some_helmert(POSITION).tx = 1.0


# Bad input ------------------------------------------------------------------------------------


def helmert_with(**changes):
    zero = dict.fromkeys(("tx", "ty", "tz", "rx", "ry", "rz", "scale_ppm"), 0.0)
    return Helmert(**zero | {"convention": POSITION} | changes)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"convention": "Position Vector"}, "did you mean 'position vector'"),
        ({"convention": "coordinate_frame"}, "did you mean 'coordinate frame'"),
        ({"convention": "postion vektor"}, "did you mean 'position vector'"),
        ({"convention": "Bursa-Wolf"}, "'Bursa-Wolf' is not one of 'position vector' or"),
        ({"convention": None}, "'None' is not one of"),
        ({"rx": 179.9}, "rx 179.9 ″ is above 120 ″.*in degrees"),
        ({"rz": -554.0}, "rz -554.0 ″.*milliarcseconds"),
        ({"ry": math.inf}, "ry inf"),
        ({"scale_ppm": 0.9999997}, r"scale_ppm 0.9999997 looks like a scale factor.*here -0\.3"),
        ({"scale_ppm": 1.000002}, "looks like a scale factor.*here 2:"),
        ({"scale_ppm": 2190.0}, "scale_ppm 2190.0 ppm is above 500.*parts per billion"),
        ({"tz": 5201382.11}, "tz 5201382.11 m is above 10000 m.*a coordinate"),
    ],
)
def test_slips_in_seven_parameters_are_refused(changes, words):
    with pytest.raises(ValueError, match=words):
        helmert_with(**changes)


def test_convention_has_no_default():
    for make in (
        lambda: Helmert(0, 0, 0, 0, 0, 0, 0),
        lambda: Helmert(0, 0, 0, 0, 0, 0, 0, POSITION),
        lambda: MolodenskyBadekas(0, 0, 0, 0, 0, 0, 0, POINT),
        lambda: datums.estimate(PATCH, PATCH),
    ):
        with pytest.raises(TypeError):
            make()


def test_limits_themselves_are_allowed():
    assert math.isfinite(helmert_with(tx=-1e4, ry=-120, rz=120, scale_ppm=-500).apply(*POINT)[0])
    rates = (1, -1, 1, 0.1, -0.1, 0.1, -0.1)
    for epoch in (1900, 2100):
        moving = TimeDependent(helmert_with(), rates, epoch)
        assert moving.at(1900).apply(*POINT) != moving.at(2100).apply(*POINT)


def test_parameters_of_the_registry_are_accepted():
    # the largest rotation and scale of the EPSG dataset (codes 1926 and 8849), and ppm of 1
    assert helmert_with(rx=76.8, scale_ppm=268.361).rx == 76.8
    assert helmert_with(scale_ppm=1.0).scale_ppm == 1.0
    assert helmert_with(scale_ppm=1.0065).scale_ppm == 1.0065


@pytest.mark.parametrize(
    ("pivot", "words"),
    [
        ((53.0, 2.0, 0.0), "is it in degrees"),
        ((0.0, 0.0, 0.0), "or a Helmert transformation"),
        ((2464351.59, -5783466.61), "is not an X, Y, Z"),
    ],
)
def test_pivots_elsewhere_are_refused(pivot, words):
    with pytest.raises(ValueError, match=words):
        MolodenskyBadekas(0, 0, 0, 0, 0, 0, 0, pivot, convention=FRAME)


ZERO = Helmert(0, 0, 0, 0, 0, 0, 0, convention=POSITION)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: TimeDependent(ZERO, (0,) * 6, 2010.0), "6 rates are given; seven"),
        (lambda: TimeDependent(ZERO, (0, 0, 0, 1.5, 0, 0, 0), 2010.0), "of rx.*milliarcseconds"),
        (lambda: TimeDependent(ZERO, (2.9, 0, 0, 0, 0, 0, 0), 2010.0), "of tx.*millimetres"),
        (lambda: TimeDependent(ZERO, (0,) * 6 + (0.5,), 2010.0), "of scale_ppm.*per billion"),
        (lambda: TimeDependent(ZERO, (0,) * 7, 10.0), "epoch 10.0 is not a decimal year"),
        (lambda: TimeDependent(ZERO, (0,) * 7, 2010.0).at(1899.9), "epoch 1899.9"),
        (lambda: TimeDependent(ZERO, (0,) * 7, 2010.0).at(20240601), "a date or a day count"),
    ],
)
def test_slips_with_time_are_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_time_dependent_nan():
    moving = TimeDependent(ZERO, (0.01, 0, 0, 0, 0, 0, 0), 2010.0)
    assert math.isnan(moving.at(math.nan).apply(*POINT)[0])


LINE = PATCH[0] + np.outer([0, 1, 2, 5], [30e3, -20e3, 10e3])
GAP = np.where(np.arange(18).reshape(6, 3) == 7, np.nan, PATCH)


@pytest.mark.parametrize(
    ("source", "target", "words"),
    [
        (PATCH[:2], PATCH[:2], "2 common points are too few"),
        (LINE, LINE, "lie in one line"),
        (PATCH[[0, 1, 1, 0]], PATCH[[0, 1, 1, 0]], "lie in one line"),
        (PATCH[[0, 0, 0]], PATCH[[0, 0, 0]], "lie in one line"),
        (PATCH, PATCH[:5], r"(6, 3).*(5, 3).*a point missing"),
        (PATCH.T, PATCH.T, "must both have the shape"),
        (GAP, PATCH, "point 3 has no source coordinate"),
        (PATCH, GAP, "point 3 has no target coordinate"),
        (PATCH, PATCH / 1e5, "target point 1 at .* is not an X, Y, Z"),
        (PATCH, PATCH[[1, 0, 2, 3, 4, 5]], "the best fit turns.*same order"),
    ],
)
def test_points_that_cannot_be_fitted_are_refused(source, target, words):
    with pytest.raises(ValueError, match=re.compile(words, re.DOTALL)):
        datums.estimate(source, target, convention=POSITION)


def test_estimate_refuses_a_misspelt_convention_first():
    with pytest.raises(ValueError, match="did you mean 'coordinate frame'"):
        datums.estimate(PATCH[:1], PATCH, convention="coord frame")


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: datums.abridged_molodensky(90, 0, 0, 1, 2, 3, WGS84, CLARKE1866),
            "at a pole",
        ),
        (
            lambda: datums.abridged_molodensky([0, -90], 0, 0, 1, 2, 3, WGS84, CLARKE1866),
            "at a pole",
        ),
        (
            lambda: datums.abridged_molodensky(91, 0, 0, 1, 2, 3, WGS84, CLARKE1866),
            "latitude 91",
        ),
        (
            lambda: datums.abridged_molodensky(53, 2, 0, 3771793.97, 0, 0, WGS84, CLARKE1866),
            "tx 3771793.97 m",
        ),
    ],
)
def test_abridged_molodensky_refuses(call, words):
    with pytest.raises(ValueError, match=words):
        call()
