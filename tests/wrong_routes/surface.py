"""Wrong routes of surface: kilometres throughout, the ray as a circle of its own."""

from math import sqrt

R, MILE = 6371.0, 1.852  # kilometres


def fall(g, radius):
    """Return how many metres a circle of that radius falls below its tangent: s²/2r."""
    return 1000 * (g["distance"] / 1000) ** 2 / (2 * radius)


def drop(g, kappa):
    """Return the fall of the level surface less the fall of the ray, whose radius is R/κ."""
    return {"drop": fall(g, R) - fall(g, R / kappa)}


def on_the_sphere(g, height):
    """Return a length carried to the sphere by its angle at the centre."""
    return {"reduced": g["distance"] / (R * 1000 + height) * R * 1000}


def over_24(g, by):
    """Return s³/24R² in metres with another divisor."""
    return {"difference": 1000 * (g["distance"] / 1000) ** 3 / by}


def miles(diameter):
    """Return the miles to the horizon from metres of height, on a circle of that diameter."""
    return lambda height: sqrt(diameter * height / 1000) / MILE


def both(horizon):
    return lambda g: {"horizon": horizon(g)(g["eye"]), "range": sum_of(horizon(g), g)}


def sum_of(horizon, g):
    return horizon(g["eye"]) + horizon(g["light"])


def bent(g):
    return miles(2 * R / (1 - g["refraction"]))


ROUTES = {
    "surface-drop": {
        "no-half": lambda g: {"drop": 2 * fall(g, R)},
        "diameter": lambda g: {"drop": fall(g, 2 * R)},
        "refraction": lambda g: drop(g, 0.13),
        "no-square": lambda g: {"drop": fall({"distance": 1000}, R) * g["distance"] / 1000},
    },
    "surface-refraction": {
        "added": lambda g: {"drop": fall(g, R) + fall(g, R / g["refraction"])},
        "left-out": lambda g: {"drop": fall(g, R)},
        "twice": lambda g: {"drop": fall(g, R) - 2 * fall(g, R / g["refraction"])},
        "refraction-alone": lambda g: {"drop": fall(g, R / g["refraction"])},
        "no-half": lambda g: {"drop": 2 * fall(g, R) - 2 * fall(g, R / g["refraction"])},
    },
    "surface-reduce": {
        "geoid-height-left-out": lambda g: on_the_sphere(g, g["height"]),
        "geoid-height-subtracted": lambda g: on_the_sphere(g, g["height"] - g["geoid"]),
        "wrong-way": lambda g: on_the_sphere(g, -g["height"] - g["geoid"]),
        "not-reduced": lambda g: {"reduced": g["distance"]},
        "geoid-only": lambda g: on_the_sphere(g, g["geoid"]),
    },
    "surface-chord": {
        "plane": lambda g: over_24(g, 6 * R**2),
        "twelve": lambda g: over_24(g, 12 * R**2),
        # metres over metres: the number a calculator shows where R stands once
        "radius-not-squared": lambda g: {"difference": g["distance"] ** 3 / 24 / (R * 1000)},
        # the chord's middle, by Pythagoras from its two ends
        "sagitta": lambda g: {"difference": fall({"distance": g["distance"] / 2}, R)},
    },
    "surface-horizon": {
        "no-refraction": both(lambda g: miles(2 * R)),
        "kilometres": both(lambda g: lambda height: bent(g)(height) * MILE),
        "feet-rule": both(lambda g: lambda metres: 1.17 * sqrt(metres)),
        "radius-for-diameter": both(lambda g: miles(R / (1 - g["refraction"]))),
        "wrong-way": both(lambda g: miles(2 * R * (1 - g["refraction"]))),
        "light-left-out": lambda g: {"range": bent(g)(g["eye"])},
        "eye-left-out": lambda g: {"range": bent(g)(g["light"])},
        "heights-added": lambda g: {"range": bent(g)(g["eye"] + g["light"])},
    },
}
