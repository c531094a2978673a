"""Ways at surface."""

from math import acos, cos, degrees, hypot, radians, sin, sqrt

import pyproj

from tests.ways import Way

R = 6_371_000.0
SPHERE = pyproj.Geod(a=R, b=R)


def kilometres(g):
    return g["distance"] / 1000


def drop(route):
    return lambda g: {"drop": route(g)}


def less(route):
    """Return a way that takes the refraction off a drop without it."""
    return lambda g: {"drop": (1 - g["refraction"]) * route(g)}


def reduced(route):
    return lambda g: {"reduced": route(g, g["height"] + g["geoid"])}


def difference(route):
    return lambda g: {"difference": route(g["distance"])}


def both(miles):
    """Return a way from the miles that a height sees."""
    return lambda g: {
        "horizon": miles(g, g["eye"]),
        "range": miles(g, g["eye"]) + miles(g, g["light"]),
    }


def in_space(distance):
    """Return arc minus chord between two positions of a registry library, on the sphere."""
    lon, lat, _ = SPHERE.fwd(20, 50, 30, distance)
    space = pyproj.Transformer.from_crs(
        f"+proj=longlat +R={R} +no_defs", f"+proj=geocent +R={R} +no_defs"
    )
    here, there = space.transform(20, 50, 0), space.transform(lon, lat, 0)
    return distance - hypot(*(a - b for a, b in zip(here, there, strict=True)))


def by_calculator(distance):
    """Return s − 2R sin(s/2R) with ten figures kept at each step."""
    half = float(f"{distance / (2 * R):.10g}")
    sine = float(f"{sin(half):.10g}")
    return distance - float(f"{2 * R * sine:.10g}")


def arc_of_ray(g, height):
    bent = R / (1 - g["refraction"])
    return bent * acos(bent / (bent + height)) / 1852


WAYS = {
    "surface-drop": [
        Way("7.85 cm × km²", drop(lambda g: 0.0785 * kilometres(g) ** 2), "right"),
        Way("0.0785 m × km², km to 0.1", drop(lambda g: 0.07848 * kilometres(g) ** 2), "right"),
        Way("from 1 cm at 357 m", drop(lambda g: 0.01 * (g["distance"] / 357) ** 2), "right"),
        Way("straight up from s", drop(lambda g: R / cos(g["distance"] / R) - R), "right"),
        Way("Pythagoras, s level", drop(lambda g: hypot(R, g["distance"]) - R), "right"),
        Way("versed sine", drop(lambda g: R * (1 - cos(g["distance"] / R))), "right"),
        Way("2R = 12 742 km", drop(lambda g: 1000 * kilometres(g) ** 2 / 12_742), "right"),
        Way("R = 6 378", drop(lambda g: 1000 * kilometres(g) ** 2 / 12_756), "right or near"),
        Way(
            "curvature and refraction by the levelling rule",
            drop(lambda g: 0.0675 * kilometres(g) ** 2),
            "method:levelling",
        ),
    ],
    "surface-refraction": [
        Way("(1 − κ) 7.85 cm × km²", less(lambda g: 0.0785 * kilometres(g) ** 2), "right"),
        Way("from 1 cm at 357 m", less(lambda g: 0.01 * (g["distance"] / 357) ** 2), "right"),
        Way(
            "straight drop to 3 decimals",
            less(lambda g: round(g["distance"] ** 2 / 2 / R, 3)),
            "right",
        ),
        Way(
            "a larger Earth, R/(1 − κ)",
            drop(
                lambda g: (
                    hypot(R / (1 - g["refraction"]), g["distance"]) - R / (1 - g["refraction"])
                )
            ),
            "right",
        ),
        Way(
            "larger Earth to 1 km",
            drop(lambda g: 500 * kilometres(g) ** 2 / round(6371 / (1 - g["refraction"]))),
            "right",
        ),
        Way("R = 6 378", less(lambda g: 1000 * kilometres(g) ** 2 / 12_756), "right or near"),
    ],
    "surface-reduce": [
        Way("s(1 − h/R)", reduced(lambda g, h: g["distance"] * (1 - h / R)), "right"),
        Way(
            "157 millionths for each 1 000 m",
            reduced(lambda g, h: g["distance"] * (1 - 157e-6 * h / 1000)),
            "right",
        ),
        Way("two terms", reduced(lambda g, h: g["distance"] * (1 - h / R + (h / R) ** 2)), "right"),
        Way(
            "scale factor to 7 decimals",
            reduced(lambda g, h: g["distance"] * round(R / (R + h), 7)),
            "right",
        ),
        Way(
            "in two steps, geoid and then N",
            lambda g: {"reduced": g["distance"] * R / (R + g["height"]) * (1 - g["geoid"] / R)},
            "right",
        ),
        Way(
            "R = 6 378.137",
            reduced(lambda g, h: g["distance"] * 6_378_137 / (6_378_137 + h)),
            "right or near",
        ),
    ],
    "surface-chord": [
        Way("s³/24R²", difference(lambda s: s**3 / 24 / R**2), "right"),
        Way("2R sin(s/2R), all digits", difference(lambda s: s - 2 * R * sin(s / 2 / R)), "right"),
        Way("ten figures", difference(by_calculator), "right"),
        Way(
            "in degrees",
            difference(lambda s: s - 2 * R * sin(radians(degrees(s / R) / 2))),
            "right",
        ),
        Way("from 1 cm at 21.36 km", difference(lambda s: 0.01 * (s / 21_360) ** 3), "right"),
        Way("positions in space", difference(in_space), "right"),
        Way("R = 6 378", difference(lambda s: s**3 / 24 / 6_378_000**2), "right or near"),
    ],
    "surface-horizon": [
        Way("touching arc", both(arc_of_ray), "right"),
        Way(
            "√(2R′h + h²)",
            both(lambda g, h: sqrt(2 * R / (1 - g["refraction"]) * h + h * h) / 1852),
            "right",
        ),
        Way(
            "R = 6 378",
            both(lambda g, h: sqrt(2 * 6_378_000 * h / (1 - g["refraction"])) / 1852),
            "right",
        ),
        Way(
            "horizons to 2 decimals",
            both(lambda g, h: round(sqrt(2 * R * h / (1 - g["refraction"])) / 1852, 2)),
            "right",
        ),
        Way(
            "√(13 h) km to 0.1 km with the factor of this κ",
            both(lambda g, h: round(sqrt(12.742 * h / (1 - g["refraction"])), 1) / 1.852),
            "right or near",
        ),
        Way("2.03 √h", both(lambda g, h: 2.03 * sqrt(h)), "method:two-03"),
        Way("2.07 √h", both(lambda g, h: 2.07 * sqrt(h)), "right or method:two-07"),
        Way("2.08 √h", both(lambda g, h: 2.08 * sqrt(h)), "right or method:two-07"),
        Way("1.17 √feet", both(lambda g, h: 1.17 * sqrt(h / 0.3048)), "right or method:feet"),
    ],
}
