"""
What holds for every computation of geokit, tried on each of them.

Single numbers of any kind come back as Python floats; arrays, lists and empty ones in the shape
they broadcast to; inputs stay as they are; NaN passes and infinity is refused by name.
"""

import inspect
import math
import types

import numpy as np
import pytest
from numpy.testing import assert_allclose

import geokit
from geokit import (
    CLARKE1866,
    GRS80,
    WGS84,
    attraction,
    datums,
    deflection,
    ecef,
    excess,
    geoid,
    gravity,
    grid,
    heights,
    lines,
    motion,
    plates,
    surface,
)
from geokit.gravity import GRS80_FIELD

pytestmark = pytest.mark.filterwarnings("error")  # a course shows no warnings

XYZ = (3771794, 140253, 5124304)
ENDS = (53, 2, 54, 3)
UTM31 = grid.utm(31, "north", WGS84)
LINE = (500_000, 6_000_000, 510_000, 6_010_000)
PRINTED = geoid.PrintedGrid([50, 51, 52], [0, 1, 2, 3], np.arange(12).reshape(3, 4))
HELMERT = datums.Helmert(1, 2, 3, 0.1, 0.2, 0.3, 2.5, convention="position vector")
PIVOTED = datums.MolodenskyBadekas(
    1, 2, 3, 0.1, 0.2, 0.3, 2.5, (3.7e6, 1.4e5, 5.1e6), convention="coordinate frame"
)
MOVING = datums.TimeDependent(HELMERT, (0.001,) * 7, 2010.0)
PRISM = (0, 100, 0, 200, -300, 0)
EURASIA = plates.ITRF2020["EURA"]

# name → the call with what does not broadcast filled in, and whole numbers that it takes
CALLS = {
    **{
        name: (getattr(WGS84, name), (55,))
        for name in (
            *("meridian_radius", "prime_vertical_radius", "gaussian_radius", "meridian_distance"),
            *("geocentric_latitude", "parametric_latitude", "authalic_latitude"),
            *("geodetic_from_geocentric", "geodetic_from_parametric"),
        )
    },
    "azimuth_radius": (WGS84.azimuth_radius, (55, 30)),
    "from_sides": (excess.from_sides, (100_000, 110_000, 120_000, 6_371_000)),
    "from_area": (excess.from_area, (100_000, 6_371_000)),
    "level_drop": (surface.level_drop, (1000, 6_371_000, 0)),
    "arc_minus_chord": (surface.arc_minus_chord, (1000, 6_371_000)),
    "plane_error": (surface.plane_error, (1000, 6_371_000)),
    "to_ellipsoid": (surface.to_ellipsoid, (1000, 100, 6_371_000)),
    "horizon": (surface.horizon, (10, 6_371_000, 0)),
    "to_ecef": (lambda *p: ecef.to_ecef(*p, WGS84), (55, 2, 10)),
    "from_ecef": (lambda *p: ecef.from_ecef(*p, WGS84), XYZ),
    "to_enu": (lambda *p: ecef.to_enu(*p, WGS84), (*XYZ, 53, 2, 0)),
    "from_enu": (lambda *p: ecef.from_enu(*p, WGS84), (10, 20, 30, 53, 2, 0)),
    "inverse": (lambda *p: lines.inverse(*p, WGS84), ENDS),
    "direct": (lambda *p: lines.direct(*p, WGS84), (53, 2, 54, 30_000)),
    "great_circle": (lines.great_circle, (*ENDS, 6_371_000)),
    "rhumb": (lambda *p: lines.rhumb(*p, WGS84), ENDS),
    "highest_latitude": (lambda *p: lines.highest_latitude(*p, WGS84), (53, 30)),
    "normal_section": (lambda *p: lines.normal_section(*p, WGS84), ENDS),
    "normal": (lambda *p: gravity.normal(*p, GRS80_FIELD), (53, 2)),
    "normal_to_second_order": (
        *(lambda *p: gravity.normal_to_second_order(*p, GRS80_FIELD), (53, 2)),
    ),
    "plate": (gravity.plate, (10, 2670)),
    "eotvos": (lambda *p: gravity.eotvos(*p, GRS80_FIELD, 6_371_000), (53, 2, 90)),
    "EGM96.height": (geoid.EGM96.height, (53, 2)),
    "EGM96.slopes": (lambda *p: geoid.EGM96.slopes(*p, WGS84), (53, 2)),
    "EGM96.anomaly": (geoid.EGM96.anomaly, (53, 2)),
    "PrintedGrid.height": (PRINTED.height, (51, 2)),
    "from_geoid": (lambda *p: deflection.from_geoid(*p, geoid.EGM96, WGS84), (53, 2)),
    "from_astronomic": (deflection.from_astronomic, (53, 2, 53, 2)),
    "total": (deflection.total, (3, 4)),
    "along": (deflection.along, (3, 4, 30)),
    "geodetic_azimuth": (deflection.geodetic_azimuth, (30, 3, 4, 53, 85)),
    "geodetic_zenith_angle": (deflection.geodetic_zenith_angle, (85, 3, 4, 53)),
    "geoid_step": (deflection.geoid_step, (3, 4, 1000)),
    "seabed_offset": (deflection.seabed_offset, (3, 4, 1000)),
    "prism": (lambda e, n, u, rho: attraction.prism(e, n, u, PRISM, rho), (10, 20, 30, 2670)),
    "potential": (
        *(lambda e, n, u, rho: attraction.potential(e, n, u, PRISM, rho), (10, 20, 30, 2670)),
    ),
    "body": (lambda *p: attraction.body(*p, [PRISM, PRISM], 2670), (10, 20, 30)),
    "body_potential": (
        *(lambda *p: attraction.body_potential(*p, [PRISM, PRISM], 2670), (9000, 20, 30)),
    ),
    "deflection": (attraction.deflection, (1, 2, 10)),
    "normal_curvature": (lambda *p: attraction.normal_curvature(*p, GRS80_FIELD), (53,)),
    "normal_wire": (lambda *p: attraction.normal_wire(*p, GRS80_FIELD), (53, 3000)),
    "innermost": (attraction.innermost, (1, 2, 1000, 10)),
    "Helmert.apply": (HELMERT.apply, XYZ),
    "Reversed.apply": (HELMERT.reverse().apply, XYZ),
    "MolodenskyBadekas.apply": (PIVOTED.apply, XYZ),
    "TimeDependent.at": (MOVING.at(2020).apply, XYZ),
    "abridged_molodensky": (
        *(lambda *p: datums.abridged_molodensky(*p, 1, 2, 3, WGS84, CLARKE1866), (53, 2, 10)),
    ),
    "velocity": (lambda *p: motion.velocity(*p, EURASIA, GRS80), (53, 2)),
    "move": (lambda *p: motion.move(*p, GRS80), (53, 2, 10, 0, 0, 0, 10)),
    "forward": (UTM31.forward, (53, 2)),
    "inverse of the grid": (UTM31.inverse, (500_000, 6_000_000)),
    "point_scale": (UTM31.point_scale, (53, 2)),
    "convergence": (UTM31.convergence, (53, 2)),
    "arc_to_chord": (UTM31.arc_to_chord, LINE),
    "line_scale": (UTM31.line_scale, LINE),
    "allowed_vertical_uncertainty": (
        *(lambda d: heights.allowed_vertical_uncertainty(d, "special"), (20,)),
    ),
    "allowed_horizontal_uncertainty": (
        *(lambda d: heights.allowed_horizontal_uncertainty(d, "1a"), (20,)),
    ),
    "geoid_in_tide_system": (
        lambda *p: heights.geoid_in_tide_system(*p, source="tide-free", target="mean"),
        (20, 50),
    ),
}
EACH = pytest.mark.parametrize(("call", "numbers"), CALLS.values(), ids=CALLS)


def several(result):
    return result if isinstance(result, tuple) else (result,)


def with_argument(numbers, k, value):
    return [value if j == k else n for j, n in enumerate(numbers)]


@EACH
def test_single_numbers_come_back_as_floats(call, numbers):
    exact = several(call(*map(float, numbers)))
    for kind in (int, np.int64, np.float32, np.float64, np.array):
        for got, one in zip(several(call(*map(kind, numbers))), exact, strict=True):
            assert type(got) is float
            assert got == one


@EACH
@pytest.mark.parametrize("shape", [(1,), (2, 3), (0,), (2, 0)], ids=str)
def test_arrays_keep_their_shape_and_stay_as_they_are(call, numbers, shape):
    exact = several(call(*numbers))
    for kind in (float, np.uint32, np.float32, ">f8"):
        given = [np.full(shape, number, kind) for number in numbers]
        before = [array.copy() for array in given]
        for got, one in zip(several(call(*given)), exact, strict=True):
            assert isinstance(got, np.ndarray)
            assert got.shape == shape
            assert got.dtype == float
            assert got.flags.writeable
            assert_allclose(got, one, rtol=1e-13, atol=1e-12)
        assert all(map(np.array_equal, given, before))


@EACH
def test_lists_are_arrays(call, numbers):
    for got in several(call(*([[number] * 3, [number] * 3] for number in numbers))):
        assert got.shape == (2, 3)


@EACH
def test_each_argument_broadcasts(call, numbers):
    single = several(call(*numbers))
    for k in range(len(numbers)):
        given = with_argument(numbers, k, np.full((2, 1), numbers[k]))
        for got, one in zip(several(call(*given)), single, strict=True):
            assert got.shape == (2, 1)
            assert_allclose(got, one, rtol=1e-13, atol=1e-12)


@EACH
def test_nan_passes_in_each_argument(call, numbers):
    for k in range(len(numbers)):
        got = several(call(*with_argument(numbers, k, math.nan)))
        assert any(math.isnan(part) for part in got)
        array = several(call(*with_argument(numbers, k, [numbers[k], math.nan])))
        assert not any(np.isnan(part[0]) for part in array)


@EACH
def test_infinity_is_refused_in_each_argument(call, numbers):
    for k in range(len(numbers)):
        for endless in (math.inf, -math.inf, [numbers[k], math.inf]):
            with pytest.raises(ValueError, match="inf"):
                call(*with_argument(numbers, k, endless))


# Where each call takes a latitude, a longitude, a radius.
LATITUDES = {
    **dict.fromkeys(
        (
            *("meridian_radius", "prime_vertical_radius", "gaussian_radius", "meridian_distance"),
            *("geocentric_latitude", "parametric_latitude", "authalic_latitude", "azimuth_radius"),
            *("geodetic_from_geocentric", "geodetic_from_parametric", "highest_latitude"),
            *("to_ecef", "direct", "normal", "normal_to_second_order"),
            *(
                "eotvos",
                "EGM96.height",
                "EGM96.anomaly",
                "EGM96.slopes",
                "from_geoid",
                "abridged_molodensky",
            ),
            *("velocity", "move", "forward", "point_scale", "convergence"),
        ),
        (0,),
    ),
    **dict.fromkeys(("to_enu", "from_enu", "geodetic_azimuth"), (3,)),
    **dict.fromkeys(
        ("inverse", "great_circle", "rhumb", "normal_section", "from_astronomic"), (0, 2)
    ),
    "geoid_in_tide_system": (1,),
    **dict.fromkeys(("normal_curvature", "normal_wire"), (0,)),
}
LONGITUDES = {
    **dict.fromkeys(
        (
            *(
                "to_ecef",
                "direct",
                "EGM96.height",
                "EGM96.anomaly",
                "EGM96.slopes",
                "PrintedGrid.height",
            ),
            *("from_geoid", "abridged_molodensky", "velocity", "move"),
            *("forward", "point_scale", "convergence"),
        ),
        (1,),
    ),
    **dict.fromkeys(("to_enu", "from_enu"), (4,)),
    **dict.fromkeys(
        ("inverse", "great_circle", "rhumb", "normal_section", "from_astronomic"), (1, 3)
    ),
}
RADII = {
    "from_sides": 3,
    "from_area": 1,
    "level_drop": 1,
    "arc_minus_chord": 1,
    "plane_error": 1,
    "to_ellipsoid": 2,
    "horizon": 1,
    "great_circle": 4,
}


@pytest.mark.parametrize("name", LATITUDES)
def test_latitudes_beyond_a_pole_are_refused(name):
    call, numbers = CALLS[name]
    for k in LATITUDES[name]:
        for latitude in (90.0001, -90.0001, [12, 139]):
            with pytest.raises(ValueError, match=r"latitude.*is beyond 90 degrees.*swapped\?"):
                call(*with_argument(numbers, k, latitude))


@pytest.mark.parametrize("name", LONGITUDES)
def test_whole_turns_of_longitude_change_nothing(name):
    call, numbers = CALLS[name]
    exact = several(call(*numbers))
    for k in LONGITUDES[name]:
        for turn in (-1080, -360, 360, 720):
            given = with_argument(numbers, k, numbers[k] + turn)
            for got, one in zip(several(call(*given)), exact, strict=True):
                assert got == pytest.approx(one, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("name", RADII)
def test_radii_that_are_none_are_refused(name):
    call, numbers = CALLS[name]
    for radius in (0, -6_371_000, [6_371_000, 0]):
        with pytest.raises(ValueError, match=r"radius .* is not above zero"):
            call(*with_argument(numbers, RADII[name], radius))


# Lengths, areas, speeds and depths that cannot be below zero.
SIZES = {
    **dict.fromkeys(("level_drop", "arc_minus_chord", "plane_error", "to_ellipsoid", "horizon"), 0),
    **dict.fromkeys(("from_sides", "from_area"), 0),
    **dict.fromkeys(("allowed_vertical_uncertainty", "allowed_horizontal_uncertainty"), 0),
    **{"direct": 3, "eotvos": 1, "seabed_offset": 2, "normal_wire": 1},
}


@pytest.mark.parametrize("name", SIZES)
def test_sizes_below_zero_are_refused(name):
    call, numbers = CALLS[name]
    for size in (-1, [numbers[SIZES[name]], -1]):
        with pytest.raises(ValueError, match=r"-1\D.*\?$"):
            call(*with_argument(numbers, SIZES[name], size))


# name, argument, a value just out of range
OUT_OF_RANGE = [
    ("from_sides", 0, 230_001),
    ("from_area", 0, 2.6e14),
    ("level_drop", 0, 2.002e7),
    ("level_drop", 2, 1),
    ("arc_minus_chord", 0, 2.002e7),
    ("plane_error", 0, 2.002e7),
    ("to_ellipsoid", 1, -6_371_000),
    ("horizon", 2, 1),
    ("to_ecef", 2, -6_356_753),
    ("normal", 1, 1_000_001),
    ("normal", 1, -12_001),
    ("normal_to_second_order", 1, 20_001),
    ("plate", 1, 24.9),
    ("eotvos", 1, 301),
    ("EGM96.slopes", 0, 90),
    ("PrintedGrid.height", 0, 52.001),
    ("PrintedGrid.height", 1, -0.001),
    ("from_geoid", 0, -90),
    ("from_astronomic", 2, 90),
    ("geodetic_azimuth", 3, -90),
    ("geodetic_azimuth", 4, 180),
    ("geodetic_zenith_angle", 0, 180.001),
    ("prism", 3, 2.67),
    ("potential", 3, -1.64),
    ("deflection", 2, 980_000),
    ("normal_wire", 1, 12_001),
    ("innermost", 2, 0),
    ("abridged_molodensky", 0, -90),
    ("move", 3, 1.001),
    ("move", 4, -1.001),
    ("move", 5, 1.001),
    ("move", 6, 201),
    ("forward", 1, 70),
    ("point_scale", 1, 70),
    ("convergence", 1, -70),
    ("inverse of the grid", 0, 4_000_001),
    ("inverse of the grid", 1, -13_600_000),
    ("arc_to_chord", 2, -3_000_001),
    ("line_scale", 3, 13_600_000),
    ("allowed_vertical_uncertainty", 0, 12_001),
    ("allowed_horizontal_uncertainty", 0, 12_001),
]


@pytest.mark.parametrize(("name", "k", "value"), OUT_OF_RANGE)
def test_one_value_out_of_range_among_good_ones_is_refused(name, k, value):
    call, numbers = CALLS[name]
    for given in (value, [numbers[k], value, math.nan]):
        with pytest.raises(ValueError, match=r"\?$|geocentric coordinates there$"):
            call(*with_argument(numbers, k, given))


# Called otherwise: corners stand along the last axis, zones are whole numbers, times are dates,
# points are fitted as a set, land is true or false, depths and azimuths stand along the last axis,
# a shape is one.
OTHERWISE = {
    *("from_corners", "on_ellipsoid", "angles", "utm", "utm_zone", "tide", "tidal_extremes"),
    *("estimate", "is_land", "named", "rings", "flat_rings", "read", "read_number", "dms"),
    *("several_parts", "parts_are_marked"),
    *("wire", "ring", "trench", "seamount", "shelf_edge", "rooted"),
}


def test_no_computation_is_left_out():
    topics = [topic for topic in vars(geokit).values() if isinstance(topic, types.ModuleType)]
    functions = {
        name
        for topic in topics
        for name, function in vars(topic).items()
        if callable(function)
        and not inspect.isclass(function)
        and getattr(function, "__module__", "") == topic.__name__
        and not name.startswith("_")
    }
    functions -= set(vars(geokit.checks))
    assert functions == OTHERWISE | (functions & set(CALLS))
