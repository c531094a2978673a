"""Ways at heights and depths at sea."""

from functools import cache
from math import gcd, hypot, sqrt

import numpy as np
import pyproj

from tests.ways import Way
from tests.wrong_routes import heights as again

# heights-orthometric, -altitude, -gnss-tide, -charted-depth


@cache
def shifted(up, height):
    """Return a height moved up by registry software, as it moves one through a geoid grid."""
    shift = pyproj.Transformer.from_pipeline(f"+proj=affine +zoff={up}")
    return shift.transform(0.0, 0.0, height)[2]


ORTHOMETRIC = [
    Way("the mark's h first", lambda g: {"H": (g["h"] - g["arm"]) - g["N"]}, "right"),
    Way("the antenna's H first", lambda g: {"H": (g["h"] - g["N"]) - g["arm"]}, "right"),
    Way("registry software", lambda g: {"H": shifted(-g["N"], g["h"] - g["arm"])}, "right"),
]

ALTITUDE = [
    Way(
        "h, then H",
        lambda g: {
            "h": g["altitude"] + g["own"],
            "H": g["altitude"] + g["own"] - g["N"],
        },
        "right",
    ),
    Way(
        "the altitude moved by the two models' difference",
        lambda g: {
            "h": (g["altitude"] + (g["own"] - g["N"])) + g["N"],
            "H": g["altitude"] + (g["own"] - g["N"]),
        },
        "right",
    ),
]

GNSS_TIDE = [
    Way("T = h − arm + S", lambda g: {"level": g["h"] - g["arm"] + g["S"]}, "right"),
    Way(
        "through the geoid: water above it, and datum below it",
        lambda g: {"level": (g["h"] - g["arm"] - g["N"]) + (g["N"] + g["S"])},
        "right",
    ),
]

CHARTED = [
    Way(
        "sounding + draught − T",
        lambda g: {"depth": g["sounding"] + g["draught"] - (g["tide"] + g["Z"])},
        "right",
    ),
    Way(
        "below mean sea level first, then Z",
        lambda g: {"depth": (g["sounding"] + g["draught"] - g["tide"]) - g["Z"]},
        "right",
    ),
]


# heights-lat


@cache
def lowest_at_steps(port, minutes):
    """Return the lowest of the heights every so many minutes of the 19 years."""
    begin, days = 2922, 6940  # 1 January 2008, from that of 2000; to the end of 2026
    rows = again.every_day(begin, days)
    hours = np.arange(-12, 12, minutes / 60)
    years = [slice(k, k + 347) for k in range(0, days, 347)]  # a year at a time, for the memory
    return min(
        again.level(port, rows, np.arange(days)[part][:, None], hours).min() for part in years
    )


@cache
def lowest_with_yearly_factors(port):
    """Return the lowest tide with the nodal factors of the middle of each year, as offices do."""
    begin, days = 2922, 6940
    noons = begin + np.arange(days)
    middles = begin + 182.5 + 365.25 * np.floor(np.arange(days) / 365.25)
    s, h, p, _ = again.longitudes(noons)
    node = again.longitudes(middles)[3]
    moon = [again.nodal(one) for one in node]
    rows = {}
    for wave, (turns, ms, mh, mp, fixed, by, power) in again.WAVES.items():
        f = np.array([one[by][0] for one in moon]) ** power
        u = np.array([one[by][1] for one in moon]) * power
        rows[wave] = (f, turns * 180 + ms * s + mh * h + mp * p + fixed + u)
    day, hours = np.arange(days)[:, None], np.arange(-12.0, 12.0)
    hourly = again.level(port, rows, day, hours)
    at_day, at_hour = np.nonzero(hourly < hourly.min() + 0.08 * sum(size for _, size, _ in port))
    fine = hours[at_hour][:, None] + np.arange(-30, 31, 2) / 60
    return again.level(port, rows, at_day[:, None], fine).min()


def of_port(lowest, *more):
    """Return a way by that function of a port, which ports of other sizes of the unit share."""

    def way(g):
        port = again.printed_port(g)
        unit = gcd(*(size for _, size, _ in port))
        key = tuple((wave, size // unit, phase) for wave, size, phase in port)
        return again.above_zero(g, unit / 1000 * float(lowest(key, *more)))

    return way


LAT = [
    Way(
        "to the minute, another program", lambda g: again.above_zero(g, again.lowest_of(g)), "right"
    ),
    Way("steps of ten minutes", of_port(lowest_at_steps, 10), "right"),
    Way("hourly steps", of_port(lowest_at_steps, 60), "method:hourly or right"),
    Way("nodal factors once a year", of_port(lowest_with_yearly_factors), "right"),
]


# heights-s44, -ers


def passes(g, factor=1.96, places=15):
    a, b, *_ = again.ORDERS[g["order"]]
    allowed = round(hypot(a, b * g["depth"]), places)
    return {"allowed": allowed, "margin": allowed - round(factor * g["sigma"], places)}


S44 = [
    Way("√(a² + (b·d)²) and 1.96σ", passes, "right"),
    Way("to the millimetre all the way", lambda g: passes(g, places=3), "right"),
    Way("1.959 964", lambda g: passes(g, 1.959964), "right"),
    Way("95 % as 2σ", lambda g: passes(g, 2.0), "method:two-sigma or right"),
    Way("2.45σ, a position's", lambda g: passes(g, 2.45), "slip:two-dimensional"),
]


def total(g, factor=1.96, places=15):
    large = [round(factor * g[name], places) for name in ("gnss", "sounding")]
    return {"total": sqrt(sum(part**2 for part in (*large, g["separation"], g["arms"])))}


def from_one_sigma(g, places=15):
    """All parts to 1σ first, then 95 % of the whole."""
    small = [round(g[name] / 1.96, places) for name in ("separation", "arms")]
    return {"total": 1.96 * sqrt(sum(part**2 for part in (*small, g["gnss"], g["sounding"])))}


ERS = [
    Way("all to 95 %", total, "right"),
    Way("all to 95 %, to the millimetre", lambda g: total(g, places=3), "right"),
    Way("all to 1σ first", from_one_sigma, "right"),
    Way("all to 1σ first, to the millimetre", lambda g: from_one_sigma(g, 3), "right"),
    Way("95 % as 2σ", lambda g: total(g, 2.0), "right or method:two-sigma"),
    Way("2.45σ, a position's", lambda g: total(g, 2.45), "slip:two-dimensional"),
]


# heights-transfer


def by_ranges(g, places=15):
    datum = g["site_level"] - g["Z"] * round(g["site_range"] / g["port_range"], places)
    return {"datum": datum, "difference": datum + g["S"]}


def by_share(g):
    """Z as a share of the port's range, then that share of the site's."""
    datum = g["site_level"] - g["Z"] / g["port_range"] * g["site_range"]
    return {"datum": datum, "difference": datum - (-g["S"])}


TRANSFER = [
    Way("the ratio, all digits", by_ranges, "right"),
    Way("the ratio to four decimals, as printed", lambda g: by_ranges(g, 4), "right"),
    Way("the ratio to three decimals", lambda g: by_ranges(g, 3), "right"),
    Way("the ratio to two decimals", lambda g: by_ranges(g, 2), "right or near"),
    Way("Z as a share of the range", by_share, "right"),
]

WAYS = {
    "heights-orthometric": ORTHOMETRIC,
    "heights-altitude": ALTITUDE,
    "heights-gnss-tide": GNSS_TIDE,
    "heights-charted-depth": CHARTED,
    "heights-lat": LAT,
    "heights-s44": S44,
    "heights-ers": ERS,
    "heights-transfer": TRANSFER,
}
