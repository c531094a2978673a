"""Wrong routes of lines, each walked as its reply describes it."""

from math import asin, atan2, cos, degrees, hypot, pi, radians, remainder, sin

import numpy as np

from tests.test_solutions import WGS84, R, axes, azimuth_of, named

MILE = 1852.0
E2 = WGS84.f * (2 - WGS84.f)
ANGLES, WEIGHTS = np.polynomial.legendre.leggauss(24)


def geodesic(g):
    return WGS84.Inverse(g["lat1"], g["lon1"], g["lat2"], g["lon2"])


def circle(g):
    """Return the great circle's angle at the centre and its azimuth at 1."""
    one, two = (axes(g[f"lat{n}"], g[f"lon{n}"]) for n in (1, 2))
    east, north, up = one @ two[2]
    return atan2(hypot(east, north), up), azimuth_of(east, north)


def rhumb(g):
    """Return length and course by integrating along the meridian: M and M/(ν cos φ)."""
    first, last = radians(g["lat1"]), radians(g["lat2"])
    phi = (first + last) / 2 + (last - first) / 2 * ANGLES
    w = 1 - E2 * np.sin(phi) ** 2
    north = WGS84.a * (1 - E2) / w**1.5
    climb = (1 - E2) / w / np.cos(phi)
    metres, stretched = ((last - first) / 2 * float(WEIGHTS @ part) for part in (north, climb))
    course = atan2(radians(remainder(g["lon2"] - g["lon1"], 360)), stretched)
    return metres / cos(course), degrees(course) % 360


# lines-inverse

DISTANCE = ("distance", "azimuth")


def swapped(g):
    line = WGS84.Inverse(g["lon1"], g["lat1"], g["lon2"], g["lat2"])
    return {"distance": line["s12"], "azimuth": line["azi1"] % 360}


def on_sphere(g):
    angle, azimuth = circle(g)
    return {"distance": R * angle, "azimuth": azimuth}


INVERSE = {
    "sphere": on_sphere,
    "swapped-angles": swapped,
    "rhumb": lambda g: named(DISTANCE, rhumb(g)),
    "far-end": lambda g: {"azimuth": (geodesic(g)["azi2"] + 180) % 360},
    "onward": lambda g: {"azimuth": geodesic(g)["azi2"] % 360},
}


# lines-direct


def run(g, azimuth):
    end = WGS84.Direct(g["lat"], g["lon"], azimuth, g["distance"])
    return {"lat": end["lat2"], "lon": end["lon2"]}


def plane(g):
    """1 852 m to the minute of latitude, that times cos φ of 1 to the minute of longitude."""
    minutes = g["distance"] / MILE
    north = minutes * cos(radians(g["azimuth"]))
    east = minutes * sin(radians(g["azimuth"])) / cos(radians(g["lat"]))
    return {"lat": g["lat"] + north / 60, "lon": remainder(g["lon"] + east / 60, 360)}


def along_sphere(g):
    phi, alpha, angle = radians(g["lat"]), radians(g["azimuth"]), g["distance"] / R
    sine = sin(phi) * cos(angle) + cos(phi) * sin(angle) * cos(alpha)
    turn = atan2(sin(alpha) * sin(angle) * cos(phi), cos(angle) - sin(phi) * sine)
    return {"lat": degrees(asin(sine)), "lon": remainder(g["lon"] + degrees(turn), 360)}


DIRECT = {
    "plane": plane,
    "far-end": lambda g: run(g, g["back_azimuth"] + 180),
    "opposite": lambda g: run(g, g["azimuth"] + 180),
    "sphere": along_sphere,
}


# lines-back-azimuth


def back(g, added):
    return {"back": (g["azimuth"] + added + 180) % 360}


def apart(g):
    """Return Δλ and the mean latitude in radians."""
    return radians(remainder(g["lon2"] - g["lon1"], 360)), radians(g["lat1"] + g["lat2"]) / 2


def convergence(g):
    turn, middle = apart(g)
    return degrees(turn * sin(middle))


BACK = {
    "half-turn-only": lambda g: back(g, 0),
    "convergence-turned": lambda g: back(g, -convergence(g)),
    "convergence-doubled": lambda g: back(g, 2 * convergence(g)),
    "cosine": lambda g: back(g, degrees(apart(g)[0] * cos(apart(g)[1]))),
    "not-turned-round": lambda g: back(g, geodesic(g)["azi2"] - geodesic(g)["azi1"] - 180),
}


# lines-sphere-cost


def cost(g):
    return g["geodesic"] - R * circle(g)[0]


COST = {
    "turned": lambda g: {"cost": R * circle(g)[0] - g["geodesic"]},
    "ppm": lambda g: {"cost": cost(g) / (g["geodesic"] / 1e6)},
    "half": lambda g: {"cost": cost(g) / 2},
    "mile": lambda g: {"cost": g["geodesic"] - MILE * degrees(circle(g)[0]) * 60},
}


# lines-rhumb


def longer(g, length, than=None):
    return {"difference": length - (g["geodesic"] if than is None else than)}


def printed_rhumb(g):
    """The rhumb line's length from the printed Δm and Δψ."""
    across = remainder(g["lon2"] - g["lon1"], 360) * 60
    return g["meridian"] * hypot(1, across / g["isometric"])


def flat(g):
    """A plane: Δm up, and the parallel of the mean latitude across."""
    turn, middle = apart(g)
    nu = WGS84.a / (1 - E2 * sin(middle) ** 2) ** 0.5
    return hypot(g["meridian"], nu * cos(middle) * turn)


RHUMB = {
    "turned": lambda g: {"difference": g["geodesic"] - printed_rhumb(g)},
    "nothing": lambda g: {"difference": 0.0},
    "mean-latitude": lambda g: longer(g, flat(g)),
    "sphere": lambda g: longer(g, printed_rhumb(g), than=R * circle(g)[0]),
    "geodesic-azimuth": lambda g: longer(g, abs(g["meridian"] / cos(radians(g["azimuth"])))),
}


# lines-normal-section


def first_term(g, below, doubled=True):
    """ρ″ e² (s/ν)² cos²φ sin 2α / 12, with another number below or the angle not doubled."""
    nu = WGS84.a / (1 - E2 * sin(radians(g["lat"])) ** 2) ** 0.5
    flat = g["distance"] / nu * cos(radians(g["lat"]))
    angle = radians(g["azimuth"]) * (2 if doubled else 1)
    return {"difference": 648_000 / pi * E2 * flat * flat * sin(angle) / below}


SECTION = {
    # The angle between the two sections is three times the first term; half way, half of that.
    "both-sections": lambda g: first_term(g, 4),
    "half-way": lambda g: first_term(g, 8),
    "single-angle": lambda g: first_term(g, 12, doubled=False),
}


# lines-clairaut


def rounded(g, law_at):
    """Return β or φ of both latitudes without their signs, and the azimuth off the nearer pole."""
    off = g["azimuth"] if g["lat1"] > 0 else 180 - g["azimuth"]
    return law_at(abs(g["lat1"])), law_at(abs(g["lat2"])), radians(off)


def reduced_degrees(lat):
    return atan2((1 - WGS84.f) * sin(radians(lat)), cos(radians(lat)))


def onwards(g, after, law_at=reduced_degrees):
    """Return the azimuth at φ₂: the right-angled triangle of pole, highest point and φ₂."""
    one, two, off = rounded(g, law_at)
    east = cos(one) * sin(off) / cos(two)
    north = (1 - east**2) ** 0.5 * (-1 if after else 1)
    if g["lat1"] < 0:
        north = -north
    return {"azimuth2": azimuth_of(east, north)}


def top(g, law_at=reduced_degrees):
    """Return the latitude of the highest point by the law's own angle, in degrees, signed."""
    one, _, off = rounded(g, law_at)
    up = hypot(sin(one), cos(one) * cos(off))
    return degrees(asin(up)) * (1 if g["lat1"] > 0 else -1)


def from_sine(g):
    one, _, off = rounded(g, reduced_degrees)
    beta = asin(abs(cos(one) * sin(off)))
    phi = atan2(sin(beta), (1 - WGS84.f) * cos(beta))
    return {"highest": degrees(phi) * (1 if g["lat1"] > 0 else -1)}


def is_after(g):
    return g["when"].startswith("after")


CLAIRAUT = {
    "sphere": lambda g: {**onwards(g, is_after(g), radians), "highest": top(g, radians)},
    "not-turned-back": lambda g: {"highest": top(g)},
    "wrong-end": lambda g: {"azimuth2": (onwards(g, is_after(g))["azimuth2"] - 180) % 360},
    "supplement": lambda g: onwards(g, not is_after(g)),
    "sine": from_sine,
}

ROUTES = {
    "lines-clairaut": CLAIRAUT,
    "lines-inverse": INVERSE,
    "lines-direct": DIRECT,
    "lines-back-azimuth": BACK,
    "lines-sphere-cost": COST,
    "lines-rhumb": RHUMB,
    "lines-normal-section": SECTION,
}
