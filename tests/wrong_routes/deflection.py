"""Wrong routes of deflection: arrows in the plane of east and north, by complex numbers."""

import cmath
from math import atan, cos, degrees, hypot, pi, radians, sin, tan

R = 6_371_000.0  # metres
SECOND = pi / 648_000  # radians


def arrow(g):
    """Return the zenith's lean as a complex number: north + i·east, arcseconds."""
    return complex(g["xi"], g["eta"])


def components(lean):
    return {"xi": lean.real, "eta": lean.imag}


def ground(lean):
    """Return an arrow in metres by its parts."""
    return {"east": lean.imag, "north": lean.real}


def stars(g, across):
    """Return ξ and η from the two positions, longitudes times a factor."""
    return complex(g["astro_lat"] - g["lat"], (g["astro_lon"] - g["lon"]) * across) * 3600


def cosine(g):
    return cos(radians(g["lat"]))


def ahead(g, azimuth):
    """Return the part of the lean in the direction of an azimuth: its arrow turned back by it."""
    return (arrow(g) * cmath.exp(-1j * radians(azimuth))).real


def whole(g):
    """Return the foot of the wire with the whole distance in each part."""
    foot = -arrow(g) * SECOND * g["depth"]
    size = abs(foot)
    return {
        "east": size if foot.imag > 0 else -size,
        "north": size if foot.real > 0 else -size,
    }


def slopes(g, cells=2, across=cosine):
    """Return ξ and η from the nodes, so many cells apart."""
    cell = radians(0.25) * R
    north, east = (g["north"] - g["south"]) / cell, (g["east"] - g["west"]) / cell
    return complex(-north, -east / across(g)) / cells / SECOND


def fall(g, slope):
    """Return the geoid's step for one slope of the whole line."""
    return {"step": -slope * SECOND * g["distance"]}


def azimuth(g, first, second):
    """Return the correction from what is subtracted for each term, and the azimuth it leads to."""
    correction = -first - second
    return {"correction": correction, "alpha": (g["azimuth"] + correction / 3600) % 360}


def first_term(g):
    return g["eta"] * tan(radians(g["lat"]))


def second_term(g):
    """Return the lean to the left of the sight, times the tangent of its height."""
    return -ahead(g, g["azimuth"] + 90) * tan(radians(90 - g["zenith"]))


def sight(g, lean):
    """Return zenith angle and height with that lean towards the mark."""
    zenith = g["zenith"] + lean / 3600
    return {"zenith": zenith, "dh": g["distance"] * sin(radians(90 - zenith))}


ROUTES = {
    "deflection-components": {
        "no-cosine": lambda g: {"eta": stars(g, 1).imag},
        "cosine-divided": lambda g: {"eta": stars(g, 1 / cosine(g)).imag},
        "sine": lambda g: {"eta": stars(g, abs(sin(radians(g["lat"])))).imag},
        "turned": lambda g: components(-stars(g, cosine(g))),
        "swapped": lambda g: {
            "xi": stars(g, cosine(g)).imag,
            "eta": stars(g, cosine(g)).real,
        },
    },
    "deflection-total": {
        "sum": lambda g: {"size": abs(g["xi"]) + abs(g["eta"])},
        "difference": lambda g: {"size": abs(abs(g["xi"]) - abs(g["eta"]))},
        # what arctan(η/ξ) gives, both signs lost
        "quadrant": lambda g: {"azimuth": degrees(atan(g["eta"] / g["xi"])) % 360},
        "from-east": lambda g: {"azimuth": degrees(cmath.phase(complex(g["eta"], g["xi"]))) % 360},
        "anticlockwise": lambda g: {"azimuth": -degrees(cmath.phase(arrow(g))) % 360},
    },
    "deflection-along-line": {
        "sine-cosine": lambda g: {
            "epsilon": g["xi"] * sin(radians(g["azimuth"])) + g["eta"] * cos(radians(g["azimuth"]))
        },
        "total": lambda g: {"epsilon": abs(arrow(g))},
        "difference": lambda g: {
            "epsilon": g["xi"] * cos(radians(g["azimuth"])) - g["eta"] * sin(radians(g["azimuth"]))
        },
        "across": lambda g: {"epsilon": ahead(g, g["azimuth"] + 90)},
    },
    "deflection-plumb-offset": {
        "opposite": lambda g: ground(arrow(g) * SECOND * g["depth"]),
        "swapped": lambda g: {
            "east": -g["xi"] * SECOND * g["depth"],
            "north": -g["eta"] * SECOND * g["depth"],
        },
        "total": whole,
        "at-centre": lambda g: ground(-arrow(g) * 30.9),
        "no-radians": lambda g: ground(-arrow(g) / 100_000 * g["depth"]),
    },
    "deflection-star-fix": {
        "opposite": lambda g: ground(-arrow(g) * SECOND * R),
        "cosine-twice": lambda g: {"east": g["eta"] * SECOND * R * cosine(g)},
        "cosine-divided": lambda g: {"east": g["eta"] / cosine(g) * SECOND * R},
        "thirty": lambda g: ground(arrow(g) * 30),
        "swapped": lambda g: {"east": g["xi"] * SECOND * R, "north": g["eta"] * SECOND * R},
    },
    "deflection-from-geoid": {
        "sign": lambda g: components(-slopes(g)),
        "no-cosine": lambda g: {"eta": slopes(g, across=lambda g: 1).imag},
        "one-cell": lambda g: components(slopes(g, cells=1)),
        "swapped": lambda g: {"xi": slopes(g).imag, "eta": slopes(g).real},
        "sine": lambda g: {"eta": slopes(g, across=lambda g: abs(sin(radians(g["lat"])))).imag},
    },
    "deflection-geoid-step": {
        "sign": lambda g: fall(g, -(g["epsilon1"] + g["epsilon2"]) / 2),
        "first-end": lambda g: fall(g, g["epsilon1"]),
        "second-end": lambda g: fall(g, g["epsilon2"]),
        "sum": lambda g: fall(g, g["epsilon1"] + g["epsilon2"]),
        "difference": lambda g: fall(g, (g["epsilon1"] - g["epsilon2"]) / 2),
    },
    "deflection-laplace": {
        "sign": lambda g: azimuth(g, -first_term(g), -second_term(g)),
        "xi-for-eta": lambda g: azimuth(g, g["xi"] * tan(radians(g["lat"])), second_term(g)),
        "cotangent": lambda g: azimuth(g, g["eta"] / tan(radians(g["lat"])), second_term(g)),
        "no-line-term": lambda g: azimuth(g, first_term(g), 0),
        "line-term-added": lambda g: azimuth(g, first_term(g), -second_term(g)),
    },
    "deflection-zenith": {
        "minus": lambda g: sight(g, -ahead(g, g["azimuth"])),
        "total": lambda g: sight(g, hypot(g["xi"], g["eta"])),
        "none": lambda g: sight(g, 0),
        "corrected-height": lambda g: {"dH": sight(g, ahead(g, g["azimuth"]))["dh"]},
    },
}
