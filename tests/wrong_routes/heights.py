"""
Wrong routes of lesson 07, heights and depths at sea.

The tide of nineteen years is worked here once more: mean longitudes from Delaunay's arguments
(IERS Conventions 2010, equation 5.43), the Moon's orbit against the equator by spherical
trigonometry, nodal factors by Schureman's formulas; at full hours first, then at every minute
where an hour came near the lowest.
"""

from functools import cache
from math import asin, atan2, cos, degrees, gcd, pi, radians, sin, sqrt

import numpy as np

NO_WAVES = ("port", "Z", "columns")

# heights-orthometric, -altitude, -gnss-tide, -charted-depth

ORTHOMETRIC = {
    "added": lambda g: {"H": g["h"] + g["N"] - g["arm"]},
    "no-geoid": lambda g: {"H": g["h"] - g["arm"]},
    "no-arm": lambda g: {"H": g["h"] - g["N"]},
    "arm-added": lambda g: {"H": g["h"] - g["N"] + g["arm"]},
}


def over(g, ellipsoidal):
    return {"h": ellipsoidal, "H": ellipsoidal - g["N"]}


ALTITUDE = {
    "altitude-as-h": lambda g: over(g, g["altitude"]),
    "minus": lambda g: over(g, g["altitude"] - g["own"]),
    "better-too-early": lambda g: over(g, g["altitude"] + g["N"]),
    "twice": lambda g: {"H": g["altitude"] - g["N"]},
    "receivers": lambda g: {"H": g["altitude"]},
}

GNSS_TIDE = {
    "no-arm": lambda g: {"level": g["h"] + g["S"]},
    "arm-added": lambda g: {"level": g["h"] + g["arm"] + g["S"]},
    "geoid": lambda g: {"level": g["h"] - g["arm"] - g["N"]},
    "separation-sign": lambda g: {"level": g["h"] - g["arm"] - g["S"]},
    "ellipsoid": lambda g: {"level": g["h"] - g["arm"]},
    "both": lambda g: {"level": g["h"] - g["arm"] - g["N"] + g["S"]},
}


def surface(g):
    """Water under the surface of that moment."""
    return g["sounding"] + g["draught"]


CHARTED = {
    "tide-added": lambda g: {"depth": surface(g) + (g["tide"] + g["Z"])},
    "no-draught": lambda g: {"depth": g["sounding"] - g["tide"] - g["Z"]},
    "draught-off": lambda g: {"depth": g["sounding"] - g["draught"] - g["tide"] - g["Z"]},
    "mean-level": lambda g: {"depth": surface(g) - g["tide"]},
    "not-reduced": lambda g: {"depth": surface(g)},
    "no-tide": lambda g: {"depth": surface(g) - g["Z"]},
    "Z-added": lambda g: {"depth": surface(g) - g["tide"] + g["Z"]},
    "tide-twice": lambda g: {"depth": surface(g) - 2 * (g["tide"] + g["Z"])},
}


# heights-lat: the tide

# Doodson's multiples: hour angle of the mean Sun (15° an hour from midnight), s, h, p, p₁, and what
# is added; with the power of M2's nodal factor, or the wave whose factor it takes.
WAVES = {
    "M2": (2, -2, 2, 0, 0, "M2", 1),
    "S2": (2, 0, 0, 0, 0, "", 0),
    "N2": (2, -3, 2, 1, 0, "M2", 1),
    "K2": (2, 0, 2, 0, 0, "K2", 1),
    "NU2": (2, -3, 4, -1, 0, "M2", 1),
    "MU2": (2, -4, 4, 0, 0, "M2", 1),
    "2N2": (2, -4, 2, 2, 0, "M2", 1),
    "K1": (1, 0, 1, 0, 90, "K1", 1),
    "O1": (1, -2, 1, 0, -90, "O1", 1),
    "P1": (1, 0, -1, 0, -90, "", 0),
    "Q1": (1, -3, 1, 1, -90, "O1", 1),
    "M4": (4, -4, 4, 0, 0, "M2", 2),
    "MS4": (4, -2, 2, 0, 0, "M2", 1),
    "Sa": (0, 0, 1, 0, 0, "", 0),
    "Ssa": (0, 0, 2, 0, 0, "", 0),
}


def longitudes(days):
    """Return s, h, p and N of the Moon's node in degrees, days after noon of 1 January 2000."""
    t = days / 36525
    l_moon = 134.96340251 + 477198.8675605 * t + (31.8792 * t**2) / 3600
    f = 93.27209062 + 483202.0174577 * t - (12.7512 * t**2) / 3600
    d = 297.85019547 + 445267.1114469 * t - (6.3706 * t**2) / 3600
    node = 125.04455501 - 1934.1362619 * t + (7.4722 * t**2) / 3600
    s = f + node
    return s, s - d, s - l_moon, node


def nodal(node):
    """Return factor and angle (degrees) of each wave of the Moon, for the node's longitude."""
    n, tilt, orbit = radians(node % 360), radians(23.452), radians(5.145)
    # the triangle of equinox, node and the point where the orbit cuts the equator
    x = cos(tilt) * sin(orbit) * cos(n) + sin(tilt) * cos(orbit)
    sine = sqrt(x * x + (sin(orbit) * sin(n)) ** 2)
    i = asin(sine)
    nu = atan2(sin(orbit) * sin(n), x)
    along = atan2(sin(tilt) * sin(n), cos(tilt) * sin(orbit) + sin(tilt) * cos(orbit) * cos(n))
    xi = (n - along + pi) % (2 * pi) - pi
    double = sin(2 * i)
    # Schureman's (224), (227), (232), (235): their printed constants are rounded, each by itself
    k1 = sqrt(0.8965 * double**2 + 0.6001 * double * cos(nu) + 0.1006)
    k2 = sqrt(19.0444 * sine**4 + 2.7702 * sine**2 * cos(2 * nu) + 0.0981)
    k1_angle = atan2(double * sin(nu), double * cos(nu) + 0.3347)
    k2_angle = atan2(sine**2 * sin(2 * nu), sine**2 * cos(2 * nu) + 0.0727)
    return {
        "": (1.0, 0.0),
        "M2": (cos(i / 2) ** 4 / 0.9154, degrees(2 * xi - 2 * nu)),
        "O1": (sine * cos(i / 2) ** 2 / 0.3800, degrees(2 * xi - nu)),
        "K1": (k1, -degrees(k1_angle)),
        "K2": (k2, -degrees(k2_angle)),
    }


@cache
def every_day(first_day, days):
    """Return, for noon of each day, factor and argument of every wave."""
    noons = first_day + np.arange(days)
    s, h, p, node = longitudes(noons)
    moon = [nodal(one) for one in node]
    rows = {}
    for wave, (turns, ms, mh, mp, fixed, by, power) in WAVES.items():
        f = np.array([one[by][0] for one in moon]) ** power
        u = np.array([one[by][1] for one in moon]) * power
        rows[wave] = (f, turns * 180 + ms * s + mh * h + mp * p + fixed + u)
    return rows


def speed(wave):
    """Return degrees an hour."""
    turns, ms, mh, mp, *_ = WAVES[wave]
    a_day = (np.array(longitudes(1.0)) - np.array(longitudes(0.0)))[:3]
    return 15 * turns + (np.array([ms, mh, mp]) @ a_day) / 24


def level(port, rows, day, hours):
    """Return the tide so many hours after noon of those days."""
    total = np.zeros(np.broadcast(day, hours).shape)
    for wave, size, phase in port:
        f, argument = rows[wave]
        angle = argument[day] + speed(wave) * hours - phase
        total += size * f[day] * np.cos(np.radians(angle))
    return total


@cache
def lowest(port, years):
    """Return the lowest tide of so many years from 2008 on."""
    first = np.datetime64("2000-01-01")
    begin = int((np.datetime64("2008-01-01") - first).astype(int))
    days = int((np.datetime64(f"{2008 + years}-01-01") - first).astype(int)) - begin
    rows = every_day(begin, days)
    day, hours = np.arange(days)[:, None], np.arange(-12.0, 12.0)
    hourly = level(port, rows, day, hours)
    # half an hour beside low water M2 stands 3 in 100 of its size higher, M4 and MS4 13 in 100
    near = hourly < hourly.min() + 0.08 * sum(size for _, size, _ in port)
    at_day, at_hour = np.nonzero(near)
    minutes = np.arange(-30, 31) / 60
    fine = level(port, rows, at_day[:, None], hours[at_hour][:, None] + minutes)
    return float(fine.min())


def printed_port(g, left_out=()):
    rows = [(wave, *g[wave].split()) for wave in g if wave not in NO_WAVES]
    return [(w, round(1000 * float(a)), float(ph)) for w, a, ph in rows if w not in left_out]


def lowest_of(g, years=19, left_out=()):
    """Return the lowest tide; ports that differ in the size of all amplitudes alike share one."""
    port = printed_port(g)
    unit = gcd(*(size for _, size, _ in port))
    key = tuple((w, size // unit, ph) for w, size, ph in printed_port(g, left_out))
    return unit / 1000 * lowest(key, years)


def above_zero(g, low):
    return {"lowest": low, "zero": g["Z"] + low}


def sum_of(g, *waves):
    return sum(float(g[wave].split()[0]) for wave in waves or WAVES)


LAT = {
    "all-amplitudes": lambda g: above_zero(g, -sum_of(g)),
    "one-year": lambda g: above_zero(g, lowest_of(g, years=1)),
    "springs": lambda g: above_zero(g, -sum_of(g, "M2", "S2")),
    "no-season": lambda g: above_zero(g, lowest_of(g, left_out=("Sa", "Ssa"))),
    "zero-sign": lambda g: {"zero": g["Z"] + abs(lowest_of(g))},
}


# heights-s44, -ers

ORDERS = {  # IHO S-44, edition 6, table 1: a, b; fixed part and share of the horizontal limit
    "exclusive": (0.15, 0.0075, 1, 0),
    "special": (0.25, 0.0075, 2, 0),
    "1a": (0.5, 0.013, 5, 0.05),
    "1b": (0.5, 0.013, 5, 0.05),
    "2": (1.0, 0.023, 20, 0.10),
}


def margin(g, allowed):
    return {"allowed": allowed, "margin": allowed - 1.96 * g["sigma"]}


def vertical(g):
    a, b, *_ = ORDERS[g["order"]]
    return sqrt(a * a + (b * g["depth"]) ** 2)


def horizontal(g):
    _, _, fixed, share = ORDERS[g["order"]]
    return margin(g, fixed + share * g["depth"])


S44 = {
    "linear": lambda g: margin(g, ORDERS[g["order"]][0] + ORDERS[g["order"]][1] * g["depth"]),
    "no-fixed-part": lambda g: margin(g, ORDERS[g["order"]][1] * g["depth"]),
    "horizontal": horizontal,
    "one-sigma": lambda g: {"margin": vertical(g) - g["sigma"]},
    "two-dimensional": lambda g: {"margin": vertical(g) - 2.45 * g["sigma"]},
}


def root(*parts):
    return {"total": sqrt(sum(part * part for part in parts))}


def parts(g, factor=1.96):
    """The four parts that stand in the formula, those of 1σ with a factor."""
    return factor * g["gnss"], factor * g["sounding"], g["separation"], g["arms"]


ERS = {
    "linear": lambda g: {"total": sum(parts(g))},
    "mixed": lambda g: root(g["gnss"], g["sounding"], g["separation"], g["arms"]),
    "no-separation": lambda g: root(1.96 * g["gnss"], 1.96 * g["sounding"], g["arms"]),
    "tide": lambda g: root(*parts(g), g["tide"]),
    "one-sigma": lambda g: root(g["gnss"], g["sounding"], g["separation"] / 1.96, g["arms"] / 1.96),
    "all-one-sigma": lambda g: root(*(1.96 * part for part in parts(g, 1))),
    "two-dimensional": lambda g: root(*parts(g, 2.45)),
}


# heights-transfer


def carried(g, level, ratio):
    datum = level - g["Z"] * ratio
    return {"datum": datum, "difference": datum - (-g["S"])}


def by_ranges(g):
    return g["site_range"] / g["port_range"]


TRANSFER = {
    "upside-down": lambda g: carried(g, g["site_level"], g["port_range"] / g["site_range"]),
    "no-ratio": lambda g: carried(g, g["site_level"], 1),
    "port-level": lambda g: carried(g, g["port_level"], by_ranges(g)),
    "separation-sign": lambda g: {"difference": g["site_level"] - g["Z"] * by_ranges(g) - g["S"]},
}

ROUTES = {
    "heights-orthometric": ORTHOMETRIC,
    "heights-altitude": ALTITUDE,
    "heights-gnss-tide": GNSS_TIDE,
    "heights-charted-depth": CHARTED,
    "heights-lat": LAT,
    "heights-s44": S44,
    "heights-ers": ERS,
    "heights-transfer": TRANSFER,
}
