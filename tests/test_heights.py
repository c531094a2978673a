"""
Tides against published extremes and a general tide library; S-44 and the permanent tide.

The stations' constants, LAT and HAT are the United States' (tide_stations.json, with licence and
source). Of 1 137 such stations tried once, half were met within 5 mm and 95 in 100 within 3 cm;
what remains is that the office holds nodal factors for a whole year, rounds, and at some stations
(Pensacola, 5 cm) publishes extremes that its published constants do not give.
"""

import datetime
import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
import utide
from numpy.testing import assert_allclose
from published import given, tolerance, value

from exercises import find
from exercises.question.marking import mark
from geokit import GRS80, heights
from geokit.constituents import CONSTITUENTS

LESSONS = Path(__file__).resolve().parent.parent / "lessons"
STATIONS = json.loads(Path(__file__).with_name("tide_stations.json").read_text(encoding="utf-8"))[
    "stations"
]
PORT = {
    "M2": (1.32, 41.0),
    "S2": (0.44, 83.5),
    "N2": (0.26, 19.1),
    "K2": (0.12, 81.0),
    "K1": (0.11, 312.2),
    "O1": (0.09, 158.4),
    "M1": (0.01, 20.0),
    "L2": (0.04, 55.0),
    "M4": (0.08, 210.7),
    "MS4": (0.05, 264.0),
    "Sa": (0.09, 205.0),
}


def near(record, name, got):
    assert abs(got - value(record, name)) <= tolerance(record, name)


# The tide against print -----------------------------------------------------------------------


def extremes(station, left_out=()):
    constants = {
        name: tuple(pair) for name, pair in station["constituents"].items() if name not in left_out
    }
    lowest, highest, _ = heights.tidal_extremes(constants, 1983, 19)
    above_zero = station["datums"]["MSL"]
    return lowest + above_zero, highest + above_zero


@pytest.mark.parametrize("station", STATIONS, ids=lambda station: station["name"])
def test_published_lat_and_hat(station):
    lowest, highest = extremes(station)
    assert abs(lowest - station["datums"]["LAT"]) <= 0.03
    assert abs(highest - station["datums"]["HAT"]) <= 0.03


def test_extremes_without_the_yearly_tide_are_decimetres_off():
    galveston = next(station for station in STATIONS if station["name"] == "Galveston")
    lowest, highest = extremes(galveston, left_out=("SA", "SSA"))
    assert lowest - galveston["datums"]["LAT"] > 0.1
    assert highest - galveston["datums"]["HAT"] < -0.08


def running(name, times):
    """A wave of amplitude 1 and phase 0 as it turns: its factor and its argument in one number."""
    return heights.tide({name: (1.0, 0.0)}, times) + 1j * heights.tide({name: (1.0, 90.0)}, times)


# Schureman's table 2, in degrees an hour, from memory
SPEEDS = {
    "Sa": 0.0410686,
    "Ssa": 0.0821373,
    "Mm": 0.5443747,
    "MSf": 1.0158958,
    "Mf": 1.0980331,
    "2Q1": 12.8542862,
    "Q1": 13.3986609,
    "RHO1": 13.4715145,
    "O1": 13.9430356,
    "M1": 14.4966939,
    "P1": 14.9589314,
    "S1": 15.0,
    "K1": 15.0410686,
    "J1": 15.5854433,
    "OO1": 16.1391017,
    "2N2": 27.8953548,
    "MU2": 27.9682084,
    "N2": 28.4397295,
    "NU2": 28.5125831,
    "M2": 28.9841042,
    "LAM2": 29.4556253,
    "L2": 29.5284789,
    "T2": 29.9589333,
    "S2": 30.0,
    "R2": 30.0410667,
    "K2": 30.0821373,
    "2SM2": 31.0158958,
    "2MK3": 42.9271398,
    "M3": 43.4761563,
    "MK3": 44.0251729,
    "MN4": 57.4238337,
    "M4": 57.9682084,
    "MS4": 58.9841042,
    "S4": 60.0,
    "M6": 86.9523127,
    "S6": 90.0,
    "M8": 115.9364166,
}


@pytest.mark.parametrize("name", SPEEDS)
def test_published_speeds(name):
    # at another hour each time: a whole turn a day more or less would not show at the same one
    times = np.arange("1900-01-01T12", "2101-01-01T00", 241, dtype="datetime64[h]")
    wave = running(name, times)
    hours = 241.0 * np.arange(times.size)
    late = np.unwrap(np.angle(wave * np.exp(-1j * np.radians(SPEEDS[name]) * hours)))
    # over 201 years the last printed digit is a tenth of a degree, and the nodes swing a wave of
    # the Moon to and fro, M8 by four times what they swing M2; M1 and L2 by the perigee too
    swing = 60 if CONSTITUENTS[name].nodes else 0.3
    assert abs(np.degrees(late[-1] - late[0])) <= swing


# Nodal factors and equilibrium arguments against another theory --------------------------------

ALL_HOURS = np.arange("1905-01-15", "2095", 140_271, dtype="datetime64[m]")  # each at another hour


def _series(*terms):
    """Sum of amplitudes times sine or cosine of multiples of the node's longitude N."""
    return lambda node, wave: sum(
        size * wave(np.radians(k * node)) for k, size in enumerate(terms, 1)
    )


# Doodson, The analysis of tidal observations, Philosophical Transactions A 227, 1928, as handbooks
# since have it, from memory: mean longitudes from 1900 January 1, 0 h; multiples of mean lunar
# time τ, s, h, p; f in cos N, cos 2N, cos 3N; u, in degrees, in sin N, sin 2N, sin 3N.
DOODSON_LONGITUDES = {
    "s": (277.02, 481267.89, 0.0011),
    "h": (280.19, 36000.77, 0.0003),
    "p": (334.39, 4069.04, -0.0103),
    "N": (259.16, -1934.14, 0.0021),
}
_O1 = (1.0089, _series(0.1871, -0.0147, 0.0014), _series(10.80, -1.34, 0.19))
_M2 = (1.0004, _series(-0.0373, 0.0002), _series(-2.14))
_NONE = (1.0, _series(), _series())
DOODSON = {
    "Sa": ((0, 0, 1, 0), 0, *_NONE),
    "Ssa": ((0, 0, 2, 0), 0, *_NONE),
    "Mm": ((0, 1, 0, -1), 0, 1.0, _series(-0.1300, 0.0013), _series()),
    "Mf": ((0, 2, 0, 0), 0, 1.0429, _series(0.4135, -0.0040), _series(-23.74, 2.68, -0.38)),
    "2Q1": ((1, -3, 0, 2), -90, *_O1),
    "Q1": ((1, -2, 0, 1), -90, *_O1),
    "RHO1": ((1, -2, 2, -1), -90, *_O1),
    "O1": ((1, -1, 0, 0), -90, *_O1),
    "P1": ((1, 1, -2, 0), -90, *_NONE),
    "K1": (
        *((1, 1, 0, 0), 90, 1.0060),
        *(_series(0.1150, -0.0088, 0.0006), _series(-8.86, 0.68, -0.07)),
    ),
    "J1": (
        *((1, 2, 0, -1), 90, 1.0129),
        *(_series(0.1676, -0.0170, 0.0016), _series(-12.94, 1.34, -0.19)),
    ),
    "OO1": (
        *((1, 3, 0, 0), 90, 1.1027),
        *(_series(0.6504, 0.0317, -0.0014), _series(-36.68, 4.02, -0.57)),
    ),
    "2N2": ((2, -2, 0, 2), 0, *_M2),
    "MU2": ((2, -2, 2, 0), 0, *_M2),
    "N2": ((2, -1, 0, 1), 0, *_M2),
    "NU2": ((2, -1, 2, -1), 0, *_M2),
    "M2": ((2, 0, 0, 0), 0, *_M2),
    "LAM2": ((2, 1, -2, 1), 180, *_M2),
    "S2": ((2, 2, -2, 0), 0, *_NONE),
    "K2": (
        *((2, 2, 0, 0), 0, 1.0241),
        *(_series(0.2863, 0.0083, -0.0015), _series(-17.74, 0.68, -0.04)),
    ),
}


@pytest.mark.parametrize("name", DOODSON)
def test_factors_and_arguments_of_doodson(name):
    days = (ALL_HOURS - np.datetime64("1900-01-01")) / np.timedelta64(1, "D")
    s, h, p, node = (
        np.polynomial.polynomial.polyval(days / 36525, mean) for mean in DOODSON_LONGITUDES.values()
    )
    multiples, fixed, mean_factor, factor, turn = DOODSON[name]
    wave = running(name, ALL_HOURS)
    argument = multiples @ np.stack([360 * days - s + h, s, h, p]) + fixed
    late = np.angle(wave * np.exp(-1j * np.radians(argument + turn(node, np.sin))))
    # the two theories part most at OO1: its factor runs from 0.5 to 1.8, its angle swings by 37°
    assert np.abs(np.degrees(late)).max() <= 0.2
    assert np.abs(np.abs(wave) - mean_factor - factor(node, np.cos)).max() <= 0.004


def test_waves_that_swing_with_the_perigee():
    # Doodson 1928, as above: f and u of L2 and M1 in one number, with the perigee's longitude p
    days = (ALL_HOURS - np.datetime64("1900-01-01")) / np.timedelta64(1, "D")
    s, h, p, node = (
        np.polynomial.polynomial.polyval(days / 36525, mean) for mean in DOODSON_LONGITUDES.values()
    )

    def turned(degrees):
        return np.exp(1j * np.radians(degrees))

    l2 = running("L2", ALL_HOURS) / turned(2 * (360 * days - s + h) + s - p + 180)
    theirs = 1 - 0.2505 * turned(2 * p) - 0.1102 * turned(2 * p - node)
    theirs -= 0.0156 * turned(2 * p - 2 * node) + 0.0370 * turned(node)
    assert np.abs(l2 - theirs).max() <= 0.02  # of a factor that runs from 0.6 to 1.3
    m1 = running("M1", ALL_HOURS) / turned(360 * days - s + h + 90)
    out, across = np.radians(p), np.radians(p - node)
    theirs = 2 * np.cos(out) + 0.4 * np.cos(across) + 1j * (np.sin(out) + 0.2 * np.sin(across))
    assert np.abs(np.degrees(np.angle(m1 / theirs))).max() <= 3
    share = np.abs(m1 / theirs)  # the two start from different mean amplitudes
    assert share.max() / share.min() <= 1.07


# What their names say: which waves, how often; those with a minus are subtracted
COMPOUND = {
    "MSf": ("S2", "-M2"),
    "2SM2": ("S2", "S2", "-M2"),
    "MO3": ("M2", "O1"),
    "2MK3": ("M2", "M2", "-K1"),
    "MK3": ("M2", "K1"),
    "MN4": ("M2", "N2"),
    "M4": ("M2", "M2"),
    "MS4": ("M2", "S2"),
    "MK4": ("M2", "K2"),
    "S4": ("S2", "S2"),
    "2MN6": ("M2", "M2", "N2"),
    "M6": ("M2", "M2", "M2"),
    "2MS6": ("M2", "M2", "S2"),
    "S6": ("S2", "S2", "S2"),
    "M8": ("M2", "M2", "M2", "M2"),
}


@pytest.mark.parametrize("name", COMPOUND)
def test_waves_of_shallow_water_are_products_of_their_makers(name):
    product = np.ones(ALL_HOURS.size, complex)
    for maker in COMPOUND[name]:
        wave = running(maker.removeprefix("-"), ALL_HOURS)
        product *= wave.conj() if maker[0] == "-" else wave
    assert_allclose(running(name, ALL_HOURS), product, rtol=0, atol=1e-9)


def test_waves_that_go_with_others():
    wave = {name: running(name, ALL_HOURS) for name in ("M2", "M3", "S2", "T2", "R2", "Sa")}
    assert_allclose(wave["M3"] ** 2, wave["M2"] ** 3, rtol=0, atol=1e-9)
    # T2 and R2 are S2 modulated by the Sun's distance: they stand a year's turn to either side,
    # measured from the perihelion, at longitude 282.94° in 2000, 1.72° farther each century
    assert_allclose(wave["T2"] * wave["R2"], -(wave["S2"] ** 2), rtol=0, atol=1e-9)
    perihelion = np.degrees(np.angle(wave["T2"] * wave["Sa"] / wave["S2"])) % 360
    centuries = (ALL_HOURS - np.datetime64("2000-01-01")) / np.timedelta64(36525, "D")
    assert_allclose(perihelion, 282.94 + 1.72 * centuries, rtol=0, atol=0.01)


# The tide against a general tide library ------------------------------------------------------

MAIN = ("M2", "S2", "N2", "K1", "O1")
ALIKE = (
    *(*MAIN, "Ssa", "P1", "NU2", "MU2", "LAM2", "L2", "T2", "K2", "2SM2", "MO3", "M3", "MK3"),
    *("MN4", "M4", "MS4", "MK4", "S4", "2MN6", "M6", "2MS6", "S6", "M8"),
)
OTHER_NODES = ("Q1", "2Q1", "RHO1", "M1", "J1", "OO1", "2N2", "R2", "Mm", "MSf", "Mf")
"""
What the library takes other nodal terms for, or none: only the quadrants can be checked against it.
Left out are Sa and S1, which there are measured from the perigee, and 2MK3, which it has not got.
"""
THEIR_NAMES = {"LAM2": "LDA2", "M1": "NO1"}


def analysed(names, year):
    """Constants that the library finds in a year of our tide; less those that were put in."""
    constants = {name: (1.0, (70.0 * k) % 360) for k, name in enumerate(names)}
    hours = np.arange(f"{year}-01-01T00", f"{year + 1}-01-02T00", dtype="datetime64[h]")
    found = utide.solve(
        hours.astype("datetime64[ns]"),
        heights.tide(constants, hours),
        lat=50.0,
        constit=[THEIR_NAMES.get(name, name.upper()) for name in names],
        method="ols",
        conf_int="none",
        trend=False,
        verbose=False,
    )
    ours = {THEIR_NAMES.get(name, name.upper()): name for name in names}
    assert len(found.name) == len(names)
    for name, size, phase in zip(found.name, found.A, found.g, strict=True):
        mine = ours[name]
        yield mine, size - 1, (phase - constants[mine][1] + 180) % 360 - 180


@pytest.mark.parametrize("year", [2006, 2015])  # the nodes at their one extreme and the other
def test_a_tide_library_finds_the_constants_again(year):
    for name, size, phase in analysed(ALIKE, year):
        # two theories of the nodes; without any, M2 would be 4 % off and O1 18 %
        most, turn = (0.01, 0.6) if name in MAIN else (0.025, 1.5)
        assert abs(size) <= most, name
        assert abs(phase) <= turn, name


@pytest.mark.parametrize("year", [2006, 2015])
def test_a_tide_library_finds_the_other_phases_near(year):
    for name, _, phase in analysed(OTHER_NODES, year):
        assert abs(phase) <= 30, name


# The tide's own workings ----------------------------------------------------------------------


def test_fourteen_constituents_and_more():
    assert {"Sa", "Ssa", "M4", "MS4", "M6"} < set(CONSTITUENTS)
    assert len(CONSTITUENTS) >= 14


def test_every_constituent_moves_at_its_own_pace_about_zero():
    month = np.arange("2024-01-01", "2043-01-01", 36000, dtype="datetime64[s]")
    for name in CONSTITUENTS:
        level = heights.tide({name: (1.0, 0.0)}, month)
        assert abs(level.mean()) < 0.01, name
        assert 0.5 < level.std() * math.sqrt(2) < 1.6, name


def test_same_tide_however_the_times_are_laid_out():
    regular = np.arange("2027-03-01", "2027-04-01", 600, dtype="datetime64[s]")
    level = heights.tide(PORT, regular)
    some = np.random.default_rng(5).permutation(regular.size)[:97]
    assert_allclose(heights.tide(PORT, regular[some]), level[some], rtol=0, atol=1e-12)
    shaped = heights.tide(PORT, regular[some[:96]].reshape(8, 12))
    assert_allclose(shaped.ravel(), level[some[:96]], rtol=0, atol=1e-12)
    assert heights.tide(PORT, regular[3]) == pytest.approx(level[3], abs=1e-12)


def test_no_step_at_midnight():
    edges = np.arange("2010-01-01", "2029-01-01", dtype="datetime64[D]").astype("datetime64[us]")
    before = heights.tide(PORT, edges - np.timedelta64(1, "us"))
    amplitudes = sum(amplitude for amplitude, _ in PORT.values())
    # the tide itself moves by less than a nanometre in a microsecond
    assert np.abs(heights.tide(PORT, edges) - before).max() < 1e-4 * amplitudes


def test_extremes_lie_between_samples():
    lowest, highest, yearly = heights.tidal_extremes(PORT, 2024, 2)
    minutes = np.arange("2024-01-01", "2026-01-01", 60, dtype="datetime64[s]")
    level = heights.tide(PORT, minutes)
    assert yearly.shape == (2,)
    assert lowest == yearly.min()
    assert abs(lowest - level.min()) <= 2e-4
    assert abs(highest - level.max()) <= 2e-4
    split = minutes < np.datetime64("2025-01-01")
    assert_allclose(yearly, [level[split].min(), level[~split].min()], rtol=0, atol=2e-4)


def test_years_begin_and_end_at_midnight():
    # lowest at New Year, with lows that differ by half a metre from one to the next; a low between
    # two samples of five minutes is missed by 0.3 mm at most
    port = {"Sa": (3.0, 100.0), "M2": (1.0, 0.0), "K1": (0.5, 0.0)}
    _, _, yearly = heights.tidal_extremes(port, 2000, 19)
    for year, lowest in zip(range(2000, 2019), yearly, strict=True):
        samples = np.arange(f"{year}-01-01", f"{year + 1}-01-01", 300, dtype="datetime64[s]")
        assert abs(lowest - heights.tide(port, samples).min()) <= 2e-3


def test_a_year_whose_lowest_tide_is_its_first_or_last():
    # the Sun's mean longitude is 280° at New Year, so that the yearly wave is lowest there
    lowest, _, yearly = heights.tidal_extremes({"Sa": (3.0, 100.0)}, 2000, 8)
    assert lowest == yearly.min()
    assert_allclose(yearly, -3, rtol=0, atol=3 * (1 - math.cos(math.radians(1.2))))
    assert lowest >= -3


def test_one_year_is_not_nineteen():
    _, _, yearly = heights.tidal_extremes(PORT, 2000, 19)
    assert yearly.shape == (19,)
    assert yearly.max() - yearly.min() > 0.05


def test_names_in_any_case_and_the_usual_other_ones():
    noon = np.datetime64("2024-06-01T12")
    for name, other in (("M2", " m2"), ("LAM2", "λ2"), ("RHO1", "Rho"), ("Sa", "SA")):
        assert heights.tide({name: (1.0, 5.0)}, noon) == heights.tide({other: (1.0, 5.0)}, noon)


def test_times_as_text_dates_and_datetimes():
    wanted = heights.tide(PORT, np.datetime64("2024-06-01T00:00"))
    assert type(wanted) is float
    assert heights.tide(PORT, "2024-06-01T00:00") == wanted
    assert heights.tide(PORT, datetime.datetime(2024, 6, 1)) == wanted
    assert heights.tide(PORT, ["2024-06-01T00:00", "2024-06-01T06:00"]).shape == (2,)
    for nothing in ([], np.array([], "datetime64[s]"), np.zeros((2, 0))):
        assert heights.tide(PORT, nothing).shape == np.shape(nothing)


@pytest.mark.filterwarnings("error")
def test_times_that_name_their_zone_are_turned_into_utc():
    wanted = heights.tide(PORT, "2024-06-01T06:00")
    east = datetime.timezone(datetime.timedelta(hours=5))
    for same in (
        "2024-06-01T06:00Z",
        "2024-06-01T11:00+05:00",
        datetime.datetime(2024, 6, 1, 6, tzinfo=datetime.UTC),
        datetime.datetime(2024, 6, 1, 11, tzinfo=east),
    ):
        assert heights.tide(PORT, same) == wanted


def test_missing_times_and_constants_pass_through():
    times = np.array(["2024-06-01T00:00", "NaT"], "datetime64[m]")
    assert np.isnan(heights.tide(PORT, times)).tolist() == [False, True]
    assert math.isnan(heights.tide(PORT, np.datetime64("NaT")))
    assert math.isnan(heights.tide({"M2": (math.nan, 0.0)}, np.datetime64("2024-06-01")))
    assert math.isnan(heights.tidal_extremes({"M2": (1.0, math.nan)}, 2024, 1)[0])


def test_first_and_last_moment():
    first, last = np.datetime64("1900-01-01T00:00"), np.datetime64("2100-12-31T23:59")
    assert np.isfinite(heights.tide(PORT, np.array([first, last]))).all()
    assert np.isfinite(heights.tidal_extremes(PORT, 1900, 1)[:2]).all()
    assert np.isfinite(heights.tidal_extremes(PORT, 2100, 1)[:2]).all()


NOON = np.datetime64("2024-06-01T12")


def test_limits_themselves_are_allowed():
    for constants in ((0, 0), (10, 720), (10, -720)):
        assert math.isfinite(heights.tide({"M2": constants}, NOON))
    assert np.isfinite(heights.allowed_vertical_uncertainty([0, 12_000], "2")).all()


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: heights.tide({"M22": (1.0, 0.0)}, NOON), "'M22'; did you mean M2"),
        (lambda: heights.tide({"zzz": (1.0, 0.0)}, NOON), "'zzz'; did you mean Sa, Ssa, Mm"),
        (lambda: heights.tide({"M2": (1.0, 0.0), "m2": (1.0, 0.0)}, NOON), "M2 is given twice"),
        (lambda: heights.tide({}, NOON), "no constituents are given"),
        (lambda: heights.tide({"M2": (132.0, 41.0)}, NOON), "amplitude 132 m of M2.*centimetres"),
        (lambda: heights.tide({"M2": (-0.1, 41.0)}, NOON), "amplitude -0.1 m of M2"),
        (lambda: heights.tide({"M2": (1.0, 1234.0)}, NOON), "phase 1234 of M2.*720 degrees"),
        (lambda: heights.tide({"M2": 1.0}, NOON), "M2 has '1.0'; it takes an amplitude"),
        (lambda: heights.tide({"M2": (1.0, "x")}, NOON), "it takes an amplitude"),
        (lambda: heights.tide(PORT, np.datetime64("1899-12-31T23:59")), "1899.*1900 to 2100"),
        (lambda: heights.tide(PORT, np.datetime64("2101-01-01")), "2101.*1900 to 2100"),
        (lambda: heights.tide(PORT, 2024.5), "2024.5.*decimal year"),
        (lambda: heights.tide(PORT, "1 June"), "'1 June'.*not dates"),
        (lambda: heights.tidal_extremes(PORT, 1899, 19), "19 years from 1899"),
        (lambda: heights.tidal_extremes(PORT, 2000, 2018), "last year given"),
        (lambda: heights.tidal_extremes(PORT, 2000, 0), "0 years from 2000"),
        (lambda: heights.tidal_extremes(PORT, 2000.5, 1), "2000.5 is not a whole number"),
        (lambda: heights.tidal_extremes(PORT, math.nan, 1), "first year nan is not a whole number"),
        (lambda: heights.tidal_extremes(PORT, 2000, math.inf), "number of years inf is not a"),
        (lambda: heights.tidal_extremes(PORT, "2000", 1), "first year 2000 is not a whole"),
    ],
)
def test_bad_tides_are_refused_with_the_cause(call, words):
    with pytest.raises(ValueError, match=words):
        call()


# S-44 -----------------------------------------------------------------------------------------


def test_s44_special_order():
    near("HS-03", "TVU_95", heights.allowed_vertical_uncertainty(20.0, "special"))
    near("HS-03", "THU_95", heights.allowed_horizontal_uncertainty(20.0, "special"))


@pytest.mark.parametrize("order", ["1a", "1b"])
def test_s44_order_1(order):
    vertical = heights.allowed_vertical_uncertainty([20.0, 100.0], order)
    horizontal = heights.allowed_horizontal_uncertainty([20.0, 100.0], order)
    for name, got in zip(("20", "100"), zip(vertical, horizontal, strict=True), strict=True):
        near("HS-04", f"TVU_{name}", got[0])
        near("HS-04", f"THU_{name}", got[1])


@pytest.mark.parametrize(
    ("order", "a", "b", "fixed", "share"),
    [  # S-44 edition 6 (2020), table 1, read in a transcription (check_values.md)
        ("2", 1.0, 0.023, 20, 0.10),
        ("1b", 0.5, 0.013, 5, 0.05),
        ("1a", 0.5, 0.013, 5, 0.05),
        ("special", 0.25, 0.0075, 2, 0.0),
        ("exclusive", 0.15, 0.0075, 1, 0.0),
    ],
)
def test_s44_table(order, a, b, fixed, share):
    assert heights.allowed_vertical_uncertainty(0.0, order) == a
    assert heights.allowed_vertical_uncertainty(200.0, order) == math.sqrt(a**2 + (200 * b) ** 2)
    assert heights.allowed_horizontal_uncertainty(200.0, order) == fixed + 200 * share


@pytest.mark.parametrize(
    "limit", [heights.allowed_vertical_uncertainty, heights.allowed_horizontal_uncertainty]
)
def test_s44_shapes_and_bad_input(limit):
    assert type(limit(20, "1A")) is float
    assert np.isnan(limit(np.array([[np.nan], [3.0]]), "2")).tolist() == [[True], [False]]
    with pytest.raises(ValueError, match=r"depth -20 m.*positive downwards"):
        limit([10, -20], "1a")
    with pytest.raises(ValueError, match=r"depth 12500 m.*another unit"):
        limit(12_500, "1a")
    with pytest.raises(ValueError, match="order '3' is not one of exclusive, special, 1a, 1b, 2"):
        limit(20, "3")


# Height systems -------------------------------------------------------------------------------


def test_permanent_tide():
    for name, latitude in (("equator", 0), ("lat_45", 45), ("pole", 90)):
        moved = heights.geoid_in_tide_system(0.0, latitude, source="zero", target="mean")
        near("HS-07", name, moved * 100)


def test_mean_tide_less_tide_free():
    # lesson 06: +0.13 m at the equator, −0.21 m at 70°; with k = 0.3 (Ekman 1989, from memory)
    moved = heights.geoid_in_tide_system(40.0, [0, -70], source="tide-free", target="mean")
    assert_allclose(moved - 40, [0.13, -0.21], rtol=0, atol=0.005)
    back = heights.geoid_in_tide_system(moved, [0, -70], source="mean", target="tide-free")
    assert_allclose(back, 40, rtol=0, atol=1e-14)


# Mean less tide-free, at the equator and at a pole, as lesson 06 states them; metres
MEAN_LESS_TIDE_FREE = {"N": (0.129, -0.256), "h": (0.060, -0.120), "H": (-0.068, 0.136)}


def sine_part(latitude):
    """The second Legendre polynomial of the sine of a latitude."""
    return 1.5 * math.sin(math.radians(latitude)) ** 2 - 0.5


def of_the_ground(latitude):
    """Mean less tide-free h: IERS Conventions 2010, equation 7.14a, from memory; metres."""
    p2 = sine_part(latitude)
    return (-0.1206 + 0.0001 * p2) * p2


def of_the_level_surface(latitude):
    """The pull of Sun and Moon, as a height: Ekman 1989, from memory; metres."""
    return 0.099 - 0.296 * math.sin(math.radians(latitude)) ** 2


def test_what_a_tide_system_does_to_n_h_and_big_h():
    for place, latitude in enumerate((0.0, 90.0)):
        n, h = 1.3 * of_the_level_surface(latitude), of_the_ground(latitude)
        for name, value_ in (("N", n), ("h", h), ("H", h - n)):
            # 0.5 mm for the rounding, and h at the pole is -0.1205
            assert abs(MEAN_LESS_TIDE_FREE[name][place] - value_) <= 0.00051


def test_two_sources_agree_on_the_permanent_tide():
    # IERS: -0.31460 m of a normalised wave, k = 0.30190 and h = 0.608, so that 1 + k - h = 0.69
    for latitude in (0.0, 30.0, 45.0, 60.0, 90.0):
        pull = -0.31460 * math.sqrt(5 / (4 * math.pi)) * sine_part(latitude)
        assert abs(1.3019 * pull - 1.3 * of_the_level_surface(latitude)) < 0.003
        big_h = of_the_ground(latitude) - 1.3 * of_the_level_surface(latitude)
        assert abs(big_h + 0.69 * of_the_level_surface(latitude)) < 0.003


def cells_of(lesson):
    text = (LESSONS / f"{lesson}.ipynb").read_text(encoding="utf-8")
    return "\n".join("".join(cell["source"]) for cell in json.loads(text)["cells"])


def read_row(lesson, name):
    row = re.search(rf"^\| {re.escape(name)} \|(.*)\|$", cells_of(lesson), re.MULTILINE)[1]
    return [float(number.replace("−", "-")) for number in re.findall(r"[+−]\d\.\d{3}", row)]


def test_lesson_06_prints_what_a_tide_system_does():
    level = [of_the_level_surface(latitude) for latitude in (0, 30, 45, 60, 90)]
    ground = [of_the_ground(latitude) for latitude in (0, 30, 45, 60, 90)]
    wanted = {
        "N, zero": [0.3 * n for n in level],
        "N, mean": [1.3 * n for n in level],
        "h, zero and mean": ground,
        "H, zero": [h - 0.3 * n for h, n in zip(ground, level, strict=True)],
        "H, mean": [h - 1.3 * n for h, n in zip(ground, level, strict=True)],
    }
    for name, row in wanted.items():
        assert_allclose(read_row("06_geoid", name), row, rtol=0, atol=0.00051)
    text = cells_of("06_geoid")
    assert "0.068\xa0m lower at the equator and 0.136\xa0m higher at the pole" in text


# 95 per cent ----------------------------------------------------------------------------------


def test_95_per_cent_in_one_dimension_and_in_two():
    """One: the error function. Two: χ² of two degrees of freedom has a closed form."""
    assert abs(math.erf(1.96 / math.sqrt(2)) - 0.95) < 0.0001
    assert abs(math.sqrt(-2 * math.log(1 - 0.95)) - 2.45) < 0.005
    assert abs(1 - math.exp(-(2.45**2) / 2) - 0.95) < 0.0005
    # the closed form itself, against the square of a normal density summed over the plane
    side = np.arange(-6, 6, 0.02) + 0.01
    east, north = np.meshgrid(side, side)
    density = np.exp(-(east**2 + north**2) / 2) / (2 * math.pi) * 0.02**2
    assert abs(density[np.hypot(east, north) <= 2.45].sum() - 0.95) < 0.001


def test_lesson_07_says_which_95_per_cent_is_meant():
    text = cells_of("07_heights").replace("\xa0", " ")
    assert "TVU | up or down, one dimension | **1.96σ** | within ±1.96σ lie 95 % |" in text
    assert re.search(r"THU \| any way in the plane, two dimensions \| \*\*2\.45σ\*\*", text)
    share = 100 * (1 - math.exp(-(1.96**2) / 2))
    assert f"95 % at 2.45, and only {share:.0f} % at 1.96" in text
    assert f"2σ for the first: that is {100 * math.erf(math.sqrt(2)):.1f} %" in text


def test_tide_system_shapes_and_bad_input():
    assert type(heights.geoid_in_tide_system(1, 2, source="zero", target="zero")) is float
    assert np.isnan(heights.geoid_in_tide_system(np.nan, 2, source="zero", target="mean"))
    with pytest.raises(ValueError, match="tide system 'EGM96' is not one of tide-free, zero, mean"):
        heights.geoid_in_tide_system(1, 2, source="EGM96", target="mean")
    with pytest.raises(ValueError, match="tide system 'free'"):
        heights.geoid_in_tide_system(1, 2, source="zero", target="free")
    with pytest.raises(ValueError, match="latitude 91"):
        heights.geoid_in_tide_system(1, 91, source="zero", target="mean")


@pytest.mark.parametrize("place", [0, 1])
def test_levelled_height_and_geoid_height_make_the_ellipsoidal_height(place):
    """HS-02 as a trainee meets it: H is marked right, and N with the wrong sign is named."""
    levelled, separation = given("HS-02", "H")[place], given("HS-02", "N")[place]
    above = value("HS-02", ("h_Buninyong", "h_Flinders_Peak")[place])
    exercise = find("heights-orthometric")
    numbers = {"h": above, "arm": 0.0, "N": separation}
    assert mark(exercise, numbers, {"H": f"{levelled:.2f} m"}).right
    (part,) = exercise.asked
    assert exercise.solve(numbers)["H"] == pytest.approx(levelled, abs=0.0005)
    wrong = mark(exercise, numbers, {part.name: f"{above + separation:.2f}"})
    assert wrong.slips == ("added",)


def test_vertical_offset_and_slope():
    # HS-01: slopes act along the meridian and the parallel, so it tests both radii in metres
    latitude, longitude = given("HS-01", "latitude"), given("HS-01", "longitude")
    latitude0, longitude0 = given("HS-01", "evaluation_point")
    north = math.radians(latitude - latitude0) * GRS80.meridian_radius(latitude0)
    east = math.radians(longitude - longitude0) * GRS80.prime_vertical_radius(latitude0)
    east *= math.cos(math.radians(latitude))
    slopes = [math.radians(given("HS-01", f"slope_{k}") / 3600) for k in ("latitude", "longitude")]
    change = given("HS-01", "offset") + north * slopes[0] + east * slopes[1]
    near("HS-01", "height_out", given("HS-01", "height_in") + change)


@pytest.mark.parametrize(
    ("name", "other"),
    [("ρ1", "RHO1"), ("rho", "RHO1"), ("λ2", "LAM2"), ("lambda2", "LAM2"), ("lda2", "LAM2")]
    + [("ν2", "NU2"), ("μ2", "MU2")],
)
def test_a_constituent_has_its_greek_name_too(name, other):
    noon = "2027-03-01T12:00"
    level = heights.tide({name: (1.0, 40.0)}, noon)
    assert level == heights.tide({other: (1.0, 40.0)}, noon) != 0
