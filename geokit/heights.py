"""
Heights and depths at sea: the tide and its extremes, permitted uncertainty, the tide in a geoid.

Heights in metres, positive upwards; depths in metres, positive downwards; times in UTC; phases in
degrees, behind the wave's equilibrium at Greenwich.

The tide: Schureman, Manual of Harmonic Analysis and Prediction of Tides, US Coast and Geodetic
Survey Special Publication 98, 1940 (1958); equation numbers are his, from memory.
"""

import difflib
import warnings
from collections.abc import Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from geokit.checks import depths_at_sea, finite, latitudes, plain
from geokit.constituents import CONSTITUENTS, OTHER_NAMES

FIRST_YEAR, LAST_YEAR = 1900, 2100

S44_ORDERS = {
    # order: a and b of the vertical limit; fixed part and share of depth of the horizontal one
    "exclusive": (0.15, 0.0075, 1.0, 0.0),
    "special": (0.25, 0.0075, 2.0, 0.0),
    "1a": (0.5, 0.013, 5.0, 0.05),
    "1b": (0.5, 0.013, 5.0, 0.05),
    "2": (1.0, 0.023, 20.0, 0.1),
}
"""IHO S-44, Standards for Hydrographic Surveys, edition 6, 2020, table 1; metres, 95 %."""

TIDE_SYSTEMS = ("tide-free", "zero", "mean")

_NAMES = {name.casefold(): name for name in CONSTITUENTS} | OTHER_NAMES
_STEP = 600  # seconds between levels when looking for an extreme
_DAY = 86_400_000_000  # microseconds
_J2000 = 10957  # days from 1970 to 2000
_CENTURY = 36525  # days
_DAYS_AT_ONCE = 128

# Mean longitudes in degrees from J2000 noon: at the start, and for T, T², T³ in centuries. Meeus,
# Astronomical Algorithms, 1998, chapters 25 and 47, from memory, tested against two libraries.
_MOON = (218.3164477, 481267.88123421, -0.0015786, 1 / 538841)
_SUN = (280.46646, 36000.76983, 0.0003032, 0.0)
_LUNAR_PERIGEE = (83.3532465, 4069.0137287, -0.01032, -1 / 80053)
_LUNAR_NODE = (125.0445479, -1934.1362891, 0.0020754, 1 / 467441)
_SOLAR_PERIGEE = (282.93735, 1.71946, 0.00046, 0.0)


def tide(constituents: Mapping[str, tuple[float, float]], times: ArrayLike):
    """
    Height of the astronomical tide, from the harmonic constants of a port.

    Weather is not in it, nor is any constituent that is not given.

    Parameters
    ----------
    constituents : mapping
        Name → (amplitude in metres, Greenwich phase in degrees); names as in
        `geokit.constituents`, in any case. Phases that count in the port's own time (κ, or g of
        a time zone) are other numbers.
    times : datetime64 or array of them
        UTC, from 1900 to 2100; text such as "2027-03-01T06:00" is read too. A time that names its
        zone (…Z, …+05:00) is turned into UTC.

    Returns
    -------
    float or array
        Metres above the port's mean sea level. NaT gives NaN.

    Raises
    ------
    ValueError
        If a constituent is unknown (names the nearest), an amplitude is negative or above
        10 m, a phase beyond 720 degrees, or a time out of range or not a time.

    Notes
    -----
    Nodal factors are those of noon of each day. The step this makes at midnight is below 0.1 mm for
    each metre of the amplitudes' sum.
    """
    waves, amplitudes, phases = _port(constituents)
    instants = _instants(times)
    missing = np.isnat(instants)
    number = np.where(missing, np.datetime64("2000-01-01", "us"), instants).astype(np.int64)
    hours, days, row, swings, column = _calendar(number.tobytes())
    noon = _at_noon(waves, amplitudes, phases, days)
    if days.size * swings.size <= 2 * hours.size:  # the same hours every day
        level = _through_days(waves, noon, swings)[row, column]
    else:
        level = np.zeros(hours.size)
        for k, speed in enumerate(_speeds(waves)):
            level += (noon[row, k] * np.exp(1j * speed * hours)).real
    return plain(np.where(missing, np.nan, level.reshape(instants.shape)))


def tidal_extremes(constituents: Mapping[str, tuple[float, float]], first_year: int, years: int):
    """
    The lowest and highest astronomical tide over whole years.

    Over 19 years or more they are LAT and HAT, as far as the constituents given make them;
    leaving out Sa and Ssa, or the small ones, costs centimetres to decimetres.

    Parameters
    ----------
    constituents : mapping
        As for `tide`.
    first_year, years : int
        From 1 January of the first year, for so many years, within 1900 to 2100.

    Returns
    -------
    lowest, highest : float
        Metres above mean sea level; the lowest is negative.
    yearly_lowest : array
        The lowest tide of each year.

    Raises
    ------
    ValueError
        As `tide`, or if the years are out of range or not whole.
    """
    waves, amplitudes, phases = _port(constituents)
    first_year, years = _whole(first_year, "first year"), _whole(years, "number of years")
    if years < 1 or first_year < FIRST_YEAR or first_year + years - 1 > LAST_YEAR:
        raise ValueError(
            f"{years} years from {first_year} are not within {FIRST_YEAR} to {LAST_YEAR}: "
            "was the last year given for the number of years?"
        )
    turns = np.arange(first_year - 1970, first_year - 1970 + years + 1)
    starts = turns.astype("datetime64[Y]").astype("datetime64[D]").astype(int)
    days = np.arange(starts[0], starts[-1])
    swings = np.arange(0, 86400, _STEP) / 3600 - 12
    levels = _through_days(waves, _at_noon(waves, amplitudes, phases, days), swings)
    each_year = [year.ravel() for year in np.split(levels, (starts - starts[0])[1:-1])]
    lowest = np.array([_vertex(year, np.argmin(year)) for year in each_year])
    highest = np.array([_vertex(year, np.argmax(year)) for year in each_year])
    return float(lowest.min()), float(highest.max()), lowest


def allowed_vertical_uncertainty(depth: ArrayLike, order: str):
    """
    Total vertical uncertainty (TVU) that S-44 allows a depth.

    Parameters
    ----------
    depth : float or array
        In metres, positive.
    order : str
        Of the survey: "exclusive", "special", "1a", "1b" or "2".

    Returns
    -------
    float or array
        √(a² + (b·d)²) in metres, at 95 %: 1.96 standard deviations of a depth.

    Raises
    ------
    ValueError
        If a depth is negative or deeper than any sea, or the order unknown.

    References
    ----------
    IHO S-44, Standards for Hydrographic Surveys, edition 6, 2020, table 1. A client may ask for
    less.
    """
    a, b, _, _ = _order(order)
    return plain(np.hypot(a, b * depths_at_sea(depth)))


def allowed_horizontal_uncertainty(depth: ArrayLike, order: str):
    """
    Total horizontal uncertainty (THU) that S-44 allows a sounding.

    Parameters
    ----------
    depth : float or array
        In metres, positive.
    order : str
        Of the survey: "exclusive", "special", "1a", "1b" or "2".

    Returns
    -------
    float or array
        A fixed part and a share of the depth, in metres, at 95 %: 2.45 standard deviations of
        each axis, where both are alike.

    Raises
    ------
    ValueError
        If a depth is negative or deeper than any sea, or the order unknown.

    References
    ----------
    IHO S-44, Standards for Hydrographic Surveys, edition 6, 2020, table 1.
    """
    _, _, fixed, share = _order(order)
    return plain(fixed + share * depths_at_sea(depth))


def geoid_in_tide_system(geoid_height: ArrayLike, latitude: ArrayLike, *, source: str, target: str):
    """
    Geoid height with the permanent tide of Sun and Moon treated another way.

    EGM96 and EGM2008 are tide-free; the sea's surface lies in the mean tide.

    Parameters
    ----------
    geoid_height : float or array
        N, in metres, in the tide system `source`.
    latitude : float or array
        In degrees.
    source, target : str
        "tide-free", "zero" or "mean".

    Returns
    -------
    float or array
        N in the tide system `target`, in metres; mean less tide-free is +0.13 m at the equator
        and −0.26 m at the poles.

    Raises
    ------
    ValueError
        If a tide system is unknown, or a latitude lies beyond 90 degrees.

    References
    ----------
    Ekman, Impacts of geodynamic phenomena on systems for height and gravity, Bulletin Géodésique
    63, 1989, with the Love number k = 0.3.
    """
    direct = 0.099 - 0.296 * np.sin(np.radians(latitudes(latitude))) ** 2
    above_zero = {"tide-free": -0.3, "zero": 0.0, "mean": 1.0}
    for system in (source, target):
        if system not in above_zero:
            raise ValueError(
                f"tide system {str(system)[:40]!r} is not one of {', '.join(TIDE_SYSTEMS)}; "
                "the geoid model's description names it: is it the model's name?"
            )
    share = above_zero[target] - above_zero[source]
    return plain(finite(geoid_height, "geoid height") + share * direct)


def _port(constituents):
    """Waves, amplitudes in metres and phases in radians, each checked."""
    if not constituents:
        raise ValueError("no constituents are given; a tide needs at least one, such as M2")
    found, rows = [], []
    for given, constants in constituents.items():
        name = _named(given)
        if name in found:
            raise ValueError(f"constituent {name} is given twice; which one counts?")
        try:
            amplitude, phase = (float(number) for number in constants)
        except (TypeError, ValueError):
            raise ValueError(
                f"constituent {name} has {str(constants)[:40]!r}; it takes an amplitude in metres "
                "and a phase in degrees"
            ) from None
        if amplitude < 0 or amplitude > 10:
            raise ValueError(
                f"amplitude {amplitude:.10g} m of {name} is not between 0 and 10 m: is it in "
                "centimetres, or has it a sign that belongs to the phase (180°)?"
            )
        if abs(phase) > 720:
            raise ValueError(
                f"phase {phase:.10g} of {name} is beyond two turns, 720 degrees: is it in other "
                "units, or are the columns swapped?"
            )
        found.append(name)
        rows.append((amplitude, np.radians(phase)))
    amplitudes, phases = np.array(rows).T
    return [CONSTITUENTS[name] for name in found], amplitudes, phases


def _named(given):
    bare = "".join(str(given)[:40].split()).casefold()
    if bare in _NAMES:
        return _NAMES[bare]
    near = difflib.get_close_matches(bare, _NAMES, n=3, cutoff=0.4)
    nearest = ", ".join(dict.fromkeys(_NAMES[match] for match in near)) or ", ".join(CONSTITUENTS)
    raise ValueError(f"no constituent is called {str(given)[:40]!r}; did you mean {nearest}?")


def _instants(times):
    """Times as an array of microseconds, within the years for which the theory is good."""
    array = np.asarray(times)
    try:
        if array.size and array.dtype.kind not in "MUO":
            raise TypeError
        with warnings.catch_warnings():  # numpy turns time zones into UTC, and says so each time
            warnings.simplefilter("ignore", UserWarning)
            array = array.astype("datetime64[us]")
    except (TypeError, ValueError):
        raise ValueError(
            f"times {str(times)[:40]!r} are not dates with times such as 2027-03-01T06:00 (UTC); "
            "was a decimal year given?"
        ) from None
    end = LAST_YEAR + 1
    outside = (array < np.datetime64(str(FIRST_YEAR))) | (array >= np.datetime64(str(end)))
    if outside.any():
        raise ValueError(
            f"time {array[outside][0]} is not within {FIRST_YEAR} to {LAST_YEAR}: is a digit of "
            "the year mistyped?"
        )
    return array


def _whole(number, name):
    if isinstance(number, (bool, str)) or not float(number).is_integer():
        raise ValueError(f"{name} {number} is not a whole number: was a decimal year given?")
    return int(number)


def _order(order):
    known = str(order).casefold()
    if known not in S44_ORDERS:
        raise ValueError(
            f"order {str(order)[:40]!r} is not one of {', '.join(S44_ORDERS)} of S-44 edition 6: "
            "is it of another edition, or a client's own?"
        )
    return S44_ORDERS[known]


def _speeds(waves):
    """Speed of each wave, in radians an hour."""
    rates = np.array([mean[1] for mean in (_MOON, _SUN, _LUNAR_PERIGEE, _SOLAR_PERIGEE)])
    steps = np.array([wave[1:5] for wave in waves])
    return np.radians(15 * np.array([wave.days for wave in waves])) + np.radians(steps @ rates) / (
        _CENTURY * 24
    )


def _at_noon(waves, amplitudes, phases, days):
    """Each wave at noon of each day, as amplitude and phase in one complex number."""
    running, nodal = _sky(days.astype(np.int64).tobytes())
    noon = np.empty((days.size, len(waves)), complex)
    for k, wave in enumerate(waves):
        angle = running @ np.array(wave[1:5]) + np.radians(wave.days * 180 + wave.fixed)
        size = amplitudes[k]
        for name, power in wave.nodes.items():
            f, u = nodal[name]
            size = size * f ** abs(power)
            angle = angle + u * power
        noon[:, k] = size * np.exp(1j * (angle - phases[k]))
    return noon


@lru_cache(maxsize=1)  # one port after the other is asked for at the same times
def _calendar(number):
    """Hours from noon, and the days and the hours that occur, each once, with their places."""
    day, rest = np.divmod(np.frombuffer(number, np.int64), _DAY)
    hours = rest / 3.6e9 - 12
    return hours, *np.unique(day, return_inverse=True), *np.unique(hours, return_inverse=True)


@lru_cache(maxsize=2)  # one port after the other is worked for the same days
def _sky(days):
    """Where Moon and Sun run at noon of these days (of int64), and the factors of her nodes."""
    t = (np.frombuffer(days, np.int64) - _J2000) / _CENTURY
    moon, sun, perigee, node, solar_perigee = (
        np.radians(np.polynomial.polynomial.polyval(t, mean) % 360)
        for mean in (_MOON, _SUN, _LUNAR_PERIGEE, _LUNAR_NODE, _SOLAR_PERIGEE)
    )
    return np.column_stack([moon, sun, perigee, solar_perigee]), _nodal_factors(perigee, node)


def _through_days(waves, noon, hours):
    """
    Level at these hours from noon of every day: a product of two matrices.

    Some days at a time: of larger matrices the library shares the product between threads, and
    one that waits for another costs more than the product.
    """
    turn = np.outer(_speeds(waves), hours)
    cosine, sine = np.cos(turn), np.sin(turn)
    level = np.empty((len(noon), len(hours)))
    for start in range(0, len(noon), _DAYS_AT_ONCE):
        days = slice(start, start + _DAYS_AT_ONCE)
        level[days] = noon.real[days] @ cosine - noon.imag[days] @ sine
    return level


def _nodal_factors(perigee, node):
    """Factor f and angle u of the Moon's waves, as her orbit's nodes and perigee go round."""
    cos_i = 0.913694997 - 0.035692561 * np.cos(node)  # I, her orbit against the equator
    i = np.arccos(cos_i)
    sin_i, half, double = np.sin(i), i / 2, np.sin(2 * i)
    # ξ and ν, where her orbit cuts the equator, along the orbit and along the equator
    plus = np.arctan2(1.01883 * np.sin(node / 2), np.cos(node / 2))
    minus = np.arctan2(0.64412 * np.sin(node / 2), np.cos(node / 2))
    nu, xi = plus - minus, node - plus - minus
    nu_1 = np.arctan2(double * np.sin(nu), double * np.cos(nu) + 0.3347)  # ν′ (224)
    two_nu_2 = np.arctan2(sin_i**2 * np.sin(2 * nu), sin_i**2 * np.cos(2 * nu) + 0.0727)  # (232)
    p = perigee - xi
    q = np.arctan2((5 * cos_i - 1) * np.sin(p), (7 * cos_i + 1) * np.cos(p))  # (203)
    tan2 = np.tan(half) ** 2
    r = np.arctan2(np.sin(2 * p), 1 / (6 * tan2) - np.cos(2 * p))  # (214)
    by_perigee = np.sqrt(1 - 12 * tan2 * np.cos(2 * p) + 36 * tan2**2)  # (213)
    o1, m2 = sin_i * np.cos(half) ** 2 / 0.3800, np.cos(half) ** 4 / 0.9154  # (75), (78)
    k1 = np.sqrt(0.8965 * double**2 + 0.6001 * double * np.cos(nu) + 0.1006)  # (227)
    k2 = np.sqrt(19.0444 * sin_i**4 + 2.7702 * sin_i**2 * np.cos(2 * nu) + 0.0981)  # (235)
    return {
        "Mm": ((2 / 3 - sin_i**2) / 0.5021, 0 * nu),  # (73)
        "Mf": (sin_i**2 / 0.1578, -2 * xi),  # (74)
        "O1": (o1, 2 * xi - nu),
        "M1": (o1 * np.sqrt(2.310 + 1.435 * np.cos(2 * p)), xi - nu + q),  # (206), (197)
        "K1": (k1, -nu_1),
        "J1": (double / 0.7214, -nu),  # (76)
        "OO1": (sin_i * np.sin(half) ** 2 / 0.01640, -2 * xi - nu),  # (77)
        "M2": (m2, 2 * xi - 2 * nu),
        "L2": (m2 * by_perigee, 2 * xi - 2 * nu - r),  # (215)
        "K2": (k2, -two_nu_2),
    }


def _vertex(levels, i):
    """The extreme of the parabola through a level and its two neighbours."""
    if not 0 < i < levels.size - 1:
        return levels[i]
    before, there, after = levels[i - 1 : i + 2]
    bend = before - 2 * there + after
    return there - (after - before) ** 2 / (8 * bend) if bend else there
