"""
Wrong routes of lesson 06, gravity and the geoid.

Normal gravity is Moritz's printed series here (Geodetic Reference System 1980, Journal of Geodesy
74, 2000), and not Somigliana's formula, which the bank has from geokit.
"""

from math import atan, cos, degrees, radians, sin, tan

R, OMEGA, KNOT = 6_371_000.0, 7.292115e-5, 1852 / 3600
A, F, M, E2 = 6_378_137.0, 0.00335281068, 0.00344978601, 0.00669438002
EQUATOR, POLE, AT_45 = 978_032.67715, 983_218.63685, 980_619.92  # mGal
FREE_AIR, LAYER = 0.3086, 0.04194  # mGal a metre; of each 1 000 kg/m³


def sine2(lat):
    return sin(radians(lat)) ** 2


def gamma(lat):
    s = sine2(lat)
    series = 1 + 0.0052790414 * s + 0.0000232718 * s**2 + 0.0000001262 * s**3 + 7e-10 * s**4
    return EQUATOR * series


# geoid-normal


def geocentric(g):
    return {"gamma": gamma(degrees(atan((1 - E2) * tan(radians(g["lat"])))))}


NORMAL = {
    "equator": lambda g: {"gamma": 978_032.677},
    "geocentric": geocentric,
    "standard": lambda g: {"gamma": 980_665.0},
    "numerator": lambda g: {"gamma": EQUATOR * (1 + 0.001931851353 * sine2(g["lat"]))},
    "metres": lambda g: {"gamma": gamma(g["lat"]) / 100_000},
}


# geoid-height-term


def first(g):
    """The first-order term in mGal, as a size: twice h/a, for shape and spin."""
    return g["gamma"] * 2 * g["height"] / A * (1 + F + M - 2 * F * sine2(g["lat"]))


def second(g):
    return 3 * g["gamma"] * (g["height"] / A) ** 2


HEIGHT_TERM = {
    "sign": lambda g: {"gamma": g["gamma"] + first(g) + second(g)},
    "first-order": lambda g: {"gamma": g["gamma"] - first(g)},
    "second-minus": lambda g: {"gamma": g["gamma"] - first(g) - second(g)},
    "sphere": lambda g: {"gamma": g["gamma"] * (1 - 2 * g["height"] / A) + second(g)},
    "half": lambda g: {"gamma": g["gamma"] - first(g) / 2 + second(g)},
    "kilometre": lambda g: {"gamma": g["gamma"] - FREE_AIR * g["height"] / 1000},
}


# geoid-anomaly


def anomalies(g, free, layer):
    return {"free": free, "bouguer": free + layer}


def down(g):
    """What gravity grows by from the meter down to the geoid."""
    return FREE_AIR * g["height"]


def layer(g, at_sea=2.670 - 1.030, ashore=2.670):
    if "at sea" in g["where"]:
        return LAYER * at_sea * g["depth"]
    return -LAYER * ashore * g["height"]


ANOMALY = {
    "free-air-sign": lambda g: anomalies(g, g["g"] - down(g) - g["gamma"], layer(g)),
    "not-reduced": lambda g: anomalies(g, g["g"] - g["gamma"], layer(g)),
    "layer-sign": lambda g: {"bouguer": g["g"] + down(g) - g["gamma"] - layer(g)},
    "other-density": lambda g: {
        "bouguer": g["g"] + down(g) - g["gamma"] + layer(g, at_sea=2.670, ashore=1.640)
    },
}


# geoid-eotvos


def eotvos(g, eastward, knot=KNOT, square=1):
    """Correction and corrected gravity, for that part of the speed which goes round the axis."""
    v = g["speed"] * knot
    correction = (2 * OMEGA * v * eastward + square * v * v / R) * 1e5
    return {"correction": correction, "g": g["g"] + correction}


def axes(g):
    lat, course = radians(g["lat"]), radians(g["course"])
    return sin(lat), cos(lat), sin(course), cos(course)


def eastward(g):
    _, cosine, east, _ = axes(g)
    return cosine * east


def subtracted(g):
    return {"g": g["g"] - eotvos(g, eastward(g))["correction"]}


EOTVOS = {
    "left-out": lambda g: {"g": g["g"]},
    "subtracted": subtracted,
    "westward": lambda g: eotvos(g, -eastward(g)),
    "sine-cosine": lambda g: eotvos(g, axes(g)[1] * axes(g)[3]),
    "no-latitude": lambda g: eotvos(g, axes(g)[2]),
    "sine-latitude": lambda g: eotvos(g, abs(axes(g)[0]) * axes(g)[2]),
    "no-square": lambda g: eotvos(g, eastward(g), square=0),
    "knots": lambda g: eotvos(g, eastward(g), knot=1),
}


# geoid-interpolate


def weighted(g, right, up):
    """The four nodes, each with its weight, for a point so much of the cell east and north."""
    return {
        "N": (1 - right) * (1 - up) * g["sw"]
        + right * (1 - up) * g["se"]
        + (1 - right) * up * g["nw"]
        + right * up * g["ne"]
    }


def fractions(g):
    return (g["lon"] - g["west"]) / 0.25, (g["lat"] - g["south"]) / 0.25


def nearest(g):
    right, up = fractions(g)
    return {"N": g[("n" if up > 0.5 else "s") + ("e" if right > 0.5 else "w")]}


def far_corner(g):
    right, up = fractions(g)
    return weighted(g, 1 - right, 1 - up)


def fractions_exchanged(g):
    right, up = fractions(g)
    return weighted(g, up, right)


INTERPOLATE = {
    "nearest": nearest,
    "mean": lambda g: {"N": (g["sw"] + g["se"] + g["nw"] + g["ne"]) / 4},
    "far-corner": far_corner,
    "exchanged": fractions_exchanged,
}


# geoid-model-change

MODEL_CHANGE = {
    "turned": lambda g: {"change": g["new"] - g["old"], "H": g["H"] + g["new"] - g["old"]},
    "none": lambda g: {"change": 0.0, "H": g["H"]},
    "half": lambda g: {
        "change": (g["old"] - g["new"]) / 2,
        "H": g["H"] + g["old"] - (g["old"] + g["new"]) / 2,  # off h, the mean of both models
    },
    "twice": lambda g: {"H": g["H"] - g["new"]},
    "ellipsoidal": lambda g: {"H": g["H"] + g["old"]},
}


# geoid-systems


def settled(potential, start, slope):
    """C over its mean gravity, gone round until it stands still; all in mGal and metres."""
    height = 0.0
    for _ in range(40):
        height = potential * 1e5 / (start + slope * height)
    return height


def right_heights(g):
    return {
        "dynamic": g["C"] * 1e5 / AT_45,
        "orthometric": settled(g["C"], g["g"], 0.0424),
        "normal": settled(g["C"], g["gamma"], -0.1543),
    }


def one_gravity(g):
    dynamic = g["C"] / 9.8061992
    return {"orthometric": dynamic, "normal": dynamic}


def heights_exchanged(g):
    right = right_heights(g)
    return {"orthometric": right["normal"], "normal": right["orthometric"]}


SYSTEMS = {
    "surface": lambda g: {"orthometric": g["C"] * 1e5 / g["g"]},
    "mean-below": lambda g: {"orthometric": settled(g["C"], g["g"], -0.0424)},
    "free-air-mean": lambda g: {"orthometric": settled(g["C"], g["g"], 0.1543)},
    "on-ellipsoid": lambda g: {"normal": g["C"] * 1e5 / g["gamma"]},
    "one-gravity": one_gravity,
    "local-dynamic": lambda g: {"dynamic": g["C"] * 1e5 / g["g"]},
    "exchanged": heights_exchanged,
    "gpu": lambda g: {name: 10 * height for name, height in right_heights(g).items()},
}


# geoid-loop


def up_there(lat, height):
    bracket = 1 + F + M - 2 * F * sine2(lat)
    return gamma(lat) * (1 - 2 * height / A * bracket + 3 * (height / A) ** 2)


def loop(g, levelled, second_at):
    """Fall on slope 2 and what is left of the climb, for so much levelled on slope 1."""
    half_way = g["rise"] / 2
    fall = levelled * up_there(g["lat1"], half_way) / up_there(g["lat2"], second_at)
    return {"fall": fall, "misclosure": (levelled - fall) * 1000}


def turned(g):
    return {"misclosure": -loop(g, g["rise"], g["rise"] / 2)["misclosure"]}


def evenly(g):
    a_degree = (POLE - EQUATOR) / 90  # 57.6 mGal
    more = a_degree * (abs(g["lat2"]) - abs(g["lat1"]))
    left = g["rise"] * more / AT_45
    return {"fall": g["rise"] - left, "misclosure": 1000 * left}


LOOP = {
    "zero": lambda g: {"fall": g["rise"], "misclosure": 0.0},
    "turned": turned,
    "half": lambda g: loop(g, g["rise"] / 2, g["rise"] / 2),
    "one-side": lambda g: loop(g, g["rise"], 0.0),
    "evenly": evenly,
}

ROUTES = {
    "geoid-normal": NORMAL,
    "geoid-height-term": HEIGHT_TERM,
    "geoid-anomaly": ANOMALY,
    "geoid-eotvos": EOTVOS,
    "geoid-interpolate": INTERPOLATE,
    "geoid-model-change": MODEL_CHANGE,
    "geoid-systems": SYSTEMS,
    "geoid-loop": LOOP,
}
