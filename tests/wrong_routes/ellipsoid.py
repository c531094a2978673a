"""Wrong routes of ellipsoid, each walked as its reply describes it."""

from math import atan, cos, degrees, pi, radians, sin, sqrt, tan

from tests.test_solutions import RHO, R, named, radii

# What is taken for which, and the 1/f printed for that one in the sources of geokit.
TWINS = {
    "WGS 84": 298.26,  # WGS 72
    "WGS 72": 298.257223563,  # WGS 84
    "GRS 80": 298.247167427,  # GRS 1967
    "GRS 1967": 298.25,  # Australian National Spheroid
    "Australian National Spheroid": 298.247167427,  # GRS 1967
    "International 1924": 298.257223563,  # WGS 84
    "Krassowsky 1940": 298.257223563,  # WGS 84
    "Helmert 1906": 298.257223563,  # WGS 84
    "Bessel 1841": 299.3249646,  # Airy 1830
    "Airy 1830": 299.1528128,  # Bessel 1841
    "Clarke 1880 (RGS)": 294.978698214,  # Clarke 1866
}
MILE = 1852.0


def axis_ratio(g):
    """Return b/a."""
    return 1 - 1 / g["inverse_flattening"]


def e2(g):
    return 1 - axis_ratio(g) ** 2


# ellipsoid-polar


def shortened(g, part):
    """Return b and the globe's difference less that part of the equator."""
    return {"b": g["a"] - g["a"] * part, "shorter": g["globe"] * part}


POLAR = {
    "eccentricity": lambda g: shortened(g, e2(g)),
    "twin": lambda g: shortened(g, 1 / TWINS[g["ellipsoid"]]),
    "three-hundred": lambda g: shortened(g, 1 / 300),
    "rounded": lambda g: shortened(g, 1 / 298),
    "radius": lambda g: {"shorter": g["globe"] / 2 / g["inverse_flattening"]},
}


# ellipsoid-radii


def bowed(g, square=None, above=None, power=1.5):
    """Return a(1 − e²)/(1 − e² sin²φ)^(3/2), with another e², numerator or power."""
    square = e2(g) if square is None else square
    above = 1 - square if above is None else above
    return g["a"] * above / (1 - square * sin(radians(g["lat"])) ** 2) ** power


def with_flattening(g):
    f = 1 / g["inverse_flattening"]
    return {"M": bowed(g, square=f), "nu": bowed(g, square=f, above=1, power=0.5)}


RADII = {
    "swapped": lambda g: named(("nu", "M"), radii(g)),
    "sphere": lambda g: {"M": R, "nu": R},
    "exponent": lambda g: {"M": bowed(g, power=0.5)},
    "no-shape": lambda g: {"M": bowed(g, above=1)},
    "flattening": with_flattening,
}


# ellipsoid-latitudes


def less(g, tangent):
    """Return φ minus the latitude of this tangent, in arcminutes."""
    return {"difference": (g["lat"] - degrees(atan(tangent))) * 60}


def slope(g):
    return tan(radians(g["lat"]))


def sines_shrunk(g):
    sine = axis_ratio(g) ** 2 * sin(radians(g["lat"]))
    return less(g, sine / sqrt(1 - sine**2))


LATITUDES = {
    "parametric": lambda g: less(g, axis_ratio(g) * slope(g)),
    "eccentricity": lambda g: less(g, (1 - sqrt(e2(g))) * slope(g)),
    "sine": sines_shrunk,
    "turned": lambda g: {"difference": -less(g, axis_ratio(g) ** 2 * slope(g))["difference"]},
}


# ellipsoid-second


def second(along, across, narrowing):
    return {"lat": along / RHO, "lon": across / RHO * narrowing}


def narrowing(g):
    return sin(pi / 2 - radians(g["lat"]))


def cosine_on_latitude(g):
    meridian, across = radii(g)
    return second(meridian * narrowing(g), across, 1)


SECOND = {
    "no-cosine": lambda g: second(*radii(g), 1),
    "cosine-on-latitude": cosine_on_latitude,
    "radii-swapped": lambda g: second(*reversed(radii(g)), narrowing(g)),
    "sphere": lambda g: second(R, R, narrowing(g)),
    "mile": lambda g: {"lat": MILE / 60, "lon": MILE / 60 * narrowing(g)},
}


# ellipsoid-mile


def run(g, minute):
    return {"minute": minute, "difference": g["run"] * minute - g["run"] * MILE}


MILES = {
    "everywhere": lambda g: run(g, MILE),
    "prime-vertical": lambda g: run(g, radii(g)[1] * pi / 10_800),
    "equator": lambda g: run(g, g["a"] * axis_ratio(g) ** 2 * pi / 10_800),  # M there is b²/a
    "sphere": lambda g: run(g, R * pi / 10_800),
}


# ellipsoid-euler


def along(g, north, east):
    """Return R from the shares of the meridian's and of the prime vertical's curvature."""
    meridian, across = radii(g)
    return {"radius": meridian * across / (north * across + east * meridian)}


def shares(g):
    return cos(radians(g["azimuth"])) ** 2, sin(radians(g["azimuth"])) ** 2


def mixed(g):
    return {"radius": sum(share * r for share, r in zip(shares(g), radii(g), strict=True))}


EULER = {
    "swapped-squares": lambda g: along(g, *reversed(shares(g))),
    "mean": lambda g: {"radius": sum(radii(g)) / 2},
    "gaussian": lambda g: {"radius": sqrt(radii(g)[0] * radii(g)[1])},
    "meridian": lambda g: {"radius": radii(g)[0]},
    "prime-vertical": lambda g: {"radius": radii(g)[1]},
    "radii-mixed": mixed,
}

ROUTES = {
    "ellipsoid-polar": POLAR,
    "ellipsoid-radii": RADII,
    "ellipsoid-latitudes": LATITUDES,
    "ellipsoid-second": SECOND,
    "ellipsoid-mile": MILES,
    "ellipsoid-euler": EULER,
}
