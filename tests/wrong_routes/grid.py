"""
Wrong routes of grid.

The projection is worked here by Krüger's series with Karney's coefficients to n⁴, so that PROJ,
which geokit calls, has no part in it.
"""

import math
from math import asinh, atan, atan2, atanh, cos, cosh, degrees, hypot, radians, sin, sinh, sqrt, tan

R = 6_371_000.0
RHO = 206_264.806_247
WGS84 = 6_378_137.0, 298.257_223_563
SHAPES = {  # a in metres and 1/f, from the registry's ellipsoids; Airy and Clarke 1866 from a and b
    "International 1924": (6_378_388.0, 297.0),
    "Clarke 1866": (6_378_206.4, 6_378_206.4 / (6_378_206.4 - 6_356_583.8)),
    "Clarke 1880 (RGS)": (6_378_249.145, 293.465),
    "Bessel 1841": (6_377_397.155, 299.152_812_8),
    "Airy 1830": (6_377_563.396, 299.324_964_6),
    "Krassowsky 1940": (6_378_245.0, 298.3),
}


def _series(inverse_flattening):
    """Return n, the rectifying radius over a, and Krüger's coefficients there and back."""
    f = 1 / inverse_flattening
    n = f / (2 - f)
    rectifying = (1 + n**2 / 4 + n**4 / 64) / (1 + n)
    there = (
        n / 2 - 2 * n**2 / 3 + 5 * n**3 / 16 + 41 * n**4 / 180,
        13 * n**2 / 48 - 3 * n**3 / 5 + 557 * n**4 / 1440,
        61 * n**3 / 240 - 103 * n**4 / 140,
        49561 * n**4 / 161280,
    )
    back = (
        n / 2 - 2 * n**2 / 3 + 37 * n**3 / 96 - n**4 / 360,
        n**2 / 48 + n**3 / 15 - 437 * n**4 / 1440,
        17 * n**3 / 480 - 37 * n**4 / 840,
        4397 * n**4 / 161280,
    )
    return sqrt(f * (2 - f)), rectifying, there, back


def transverse_mercator(lat, away, a, inverse_flattening):
    """Return easting from the central meridian and northing, in metres, with no k₀."""
    e, rectifying, there, _ = _series(inverse_flattening)
    t, lam = tan(radians(lat)), radians(away)
    sigma = sinh(e * atanh(e * t / hypot(1, t)))
    conformal = t * hypot(1, sigma) - sigma * hypot(1, t)
    north, east = atan2(conformal, cos(lam)), asinh(sin(lam) / hypot(conformal, cos(lam)))
    x, y = east, north
    for j, alpha in enumerate(there, 1):
        y += alpha * sin(2 * j * north) * cosh(2 * j * east)
        x += alpha * cos(2 * j * north) * sinh(2 * j * east)
    return a * rectifying * x, a * rectifying * y


def back_from_map(x, y, a, inverse_flattening):
    """Return latitude and longitude from the central meridian, in degrees."""
    e, rectifying, _, back = _series(inverse_flattening)
    east, north = x / (a * rectifying), y / (a * rectifying)
    eta, xi = east, north
    for j, beta in enumerate(back, 1):
        xi -= beta * sin(2 * j * north) * cosh(2 * j * east)
        eta -= beta * cos(2 * j * north) * sinh(2 * j * east)
    conformal = sin(xi) / hypot(sinh(eta), cos(xi))
    t = conformal
    for _ in range(8):
        sigma = sinh(e * atanh(e * t / hypot(1, t)))
        found = t * hypot(1, sigma) - sigma * hypot(1, t)
        t += (
            (conformal - found)
            / hypot(1, found)
            * (1 + (1 - e**2) * t * t)
            / ((1 - e**2) * hypot(1, t))
        )
    return degrees(atan(t)), degrees(atan2(sinh(eta), cos(xi)))


def convergence(lat, away):
    """Return γ on WGS 84 by the textbook series to Δλ³, in degrees."""
    phi, lam = radians(lat), radians(away)
    e2 = (2 - 1 / WGS84[1]) / WGS84[1]
    eta2 = e2 / (1 - e2) * cos(phi) ** 2
    cubic = lam**2 * cos(phi) ** 2 / 3 * (1 + 3 * eta2 + 2 * eta2**2)
    return degrees(lam * sin(phi) * (1 + cubic))


# grid-zone


def zone_at(lon):
    zone = 1 + math.floor((lon - -180) / 6)
    return {"zone": zone, "meridian": -177 + 6 * (zone - 1)}


def from_greenwich(g):
    east_of_greenwich = g["lon"] if g["lon"] >= 0 else 360 + g["lon"]
    return {"zone": 1 + east_of_greenwich // 6}


# grid-forward


def onto_the_grid(g, shape=None, **other):
    g = g | other
    x, y = transverse_mercator(
        g["lat"], g["lon"] - g["meridian"], *(shape or SHAPES[g["ellipsoid"]])
    )
    east, north = g["false_easting"] + g["k0"] * x, g["false_northing"] + g["k0"] * y
    return {"east": east, "north": north}


def part(name, answer):
    return {name: answer[name]}


# grid-scale


def bulge(g, false_easting=None):
    away = g["east"] - (g["false_easting"] if false_easting is None else false_easting)
    return away * away / (2 * g["k0"] * g["k0"] * g["radius"] * g["radius"])


# grid-distance and grid-lbl


def to_the_marks(flat, height):
    return flat + flat * height / R


def from_grid(g, flat, height):
    return {"ellipsoid": flat, "working": to_the_marks(flat, height)}


def lifted(g, turn=1):
    """Return the baseline on the ellipsoid: as the two normals stand apart with the radius."""
    return g["baseline"] / (R - turn * g["depth"]) * R


# grid-convergence


def away(g):
    return g["lon"] - g["meridian"]


def with_gamma(g, gamma):
    return {"gamma": gamma, "azimuth": (g["bearing"] + gamma) % 360}


# grid-heading: along the keel and across it, each by its own azimuth


def moon_pool(g, gamma, starboard=None):
    side = g["starboard"] if starboard is None else starboard
    keel = radians(g["heading"] + gamma)
    beam = keel + math.pi / 2
    return {
        "east": g["forward"] * sin(keel) + side * sin(beam),
        "north": g["forward"] * cos(keel) + side * cos(beam),
    }


# grid-arc-to-chord


def bend(g, weighed, along):
    return {"correction": RHO * weighed * along / (6 * g["k0"] ** 2 * g["radius"] ** 2)}


def eastings(g):
    return g["e1"] - g["false_easting"], g["e2"] - g["false_easting"]


def along(g):
    return g["n1"] - g["n2"]


# grid-quay


def quay(g, gamma, reverse=False):
    east, north = g["e2"] - g["e1"], g["n2"] - g["n1"]
    bearing = degrees(atan2(-east, -north) if reverse else atan2(east, north))
    azimuth = (bearing + gamma) % 360
    correction = (azimuth - g["gyro"] + 180) % 360 - 180
    return {"azimuth": azimuth, "correction": correction}


ROUTES = {
    "grid-zone": {
        "one-west": lambda g: zone_at(g["lon"] - 6),
        "one-east": lambda g: zone_at(g["lon"] + 6),
        "edge": lambda g: {"meridian": 6 * math.floor(g["lon"] / 6)},
        "from-greenwich": from_greenwich,
        "west-as-east": lambda g: zone_at(-g["lon"]),
        "other-hemisphere": lambda g: {"false_northing": 0.0 if g["lat"] < 0 else 10_000_000.0},
    },
    "grid-forward": {
        "no-k0": lambda g: onto_the_grid(g, k0=1.0),
        "no-false-easting": lambda g: part("east", onto_the_grid(g, false_easting=0.0)),
        "other-hemisphere": lambda g: part(
            "north", onto_the_grid(g, false_northing=0.0 if g["lat"] < 0 else 10_000_000.0)
        ),
        "wrong-ellipsoid": lambda g: onto_the_grid(g, shape=WGS84),
        "swapped": lambda g: {
            "east": onto_the_grid(g)["north"],
            "north": onto_the_grid(g)["east"],
        },
    },
    "grid-scale": {
        "everywhere": lambda g: {"k": 0.9996},
        "no-k0": lambda g: {"k": 1 + bulge(g)},
        "false-easting-kept": lambda g: {"k": g["k0"] + g["k0"] * bulge(g, false_easting=0)},
        "no-half": lambda g: {"k": g["k0"] + g["k0"] * 2 * bulge(g)},
    },
    "grid-distance": {
        "multiplied": lambda g: from_grid(g, g["grid"] * g["k"], g["height"]),
        "no-scale": lambda g: from_grid(g, g["grid"], g["height"]),
        "no-height": lambda g: {"working": g["grid"] / g["k"]},
        "height-turned": lambda g: {"working": to_the_marks(g["grid"] / g["k"], -g["height"])},
    },
    "grid-lbl": {
        "no-depth": lambda g: {"ellipsoid": g["baseline"], "grid": g["baseline"] * g["k"]},
        "depth-turned": lambda g: {"ellipsoid": lifted(g, -1), "grid": lifted(g, -1) * g["k"]},
        "no-scale": lambda g: {"grid": lifted(g)},
        "divided": lambda g: {"grid": lifted(g) / g["k"]},
    },
    "grid-convergence": {
        "turned": lambda g: with_gamma(g, -convergence(g["lat"], away(g))),
        "cosine": lambda g: with_gamma(g, away(g) * cos(radians(g["lat"]))),
        "no-sine": lambda g: with_gamma(g, away(g)),
        "subtracted": lambda g: {"azimuth": (g["bearing"] - convergence(g["lat"], away(g))) % 360},
        "left-out": lambda g: {"azimuth": g["bearing"]},
    },
    "grid-heading": {
        "grid-as-true": lambda g: moon_pool(g, 0.0),
        "gamma-turned": lambda g: moon_pool(g, -g["gamma"]),
        "gamma-twice": lambda g: moon_pool(g, g["gamma"] + g["gamma"]),
        "port": lambda g: moon_pool(g, g["gamma"], starboard=-g["starboard"]),
    },
    "grid-arc-to-chord": {
        "other-end": lambda g: bend(g, eastings(g)[0] + 2 * eastings(g)[1], along(g)),
        "half-way": lambda g: bend(g, 3 * sum(eastings(g)) / 2, along(g)),
        "turned": lambda g: bend(g, 2 * eastings(g)[0] + eastings(g)[1], g["n2"] - g["n1"]),
        "false-easting-kept": lambda g: bend(g, 2 * g["e1"] + g["e2"], along(g)),
        "third": lambda g: {
            "correction": RHO
            * (2 * eastings(g)[0] + eastings(g)[1])
            * along(g)
            / (3 * (g["k0"] * g["radius"]) ** 2)
        },
        "east-difference": lambda g: bend(
            g, 2 * eastings(g)[0] + eastings(g)[1], g["e1"] - g["e2"]
        ),
    },
    "grid-quay": {
        "no-convergence": lambda g: quay(g, 0.0),
        "gamma-turned": lambda g: quay(g, -g["gamma"]),
        "reversed": lambda g: quay(g, g["gamma"], reverse=True),
        "observed-first": lambda g: {"correction": -quay(g, g["gamma"])["correction"]},
        "no-scale": lambda g: {"distance": g["edm"]},
        "divided": lambda g: {"distance": g["edm"] / g["k"]},
    },
}
