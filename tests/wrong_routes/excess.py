"""Wrong routes of excess: areas over 6 371² km², angles by the cosine rule."""

from math import acos, atan, cos, degrees, pi, radians, sin, sqrt, tan

R = 6371.0  # kilometres


def seconds(area, radius=R):
    """Return the excess of an area in km² in arcseconds."""
    return degrees(area / radius**2) * 3600


def parallelogram(g):
    """Return the area on the two sides in km², from the height over side a."""
    return g["a"] / 1000 * (g["b"] / 1000 * sin(radians(g["C"])))


def over(g):
    return (g["A"] - 60 + g["B"] - 60 + g["C"] - 60) * 3600


def less(g, times):
    """Return W less so many excesses."""
    return {"misclosure": over(g) - times * seconds(g["area"])}


def side(g, off_a, off_b):
    """Return b by the plane sine rule, arcseconds off A and B, through the circle round."""
    angle_a, angle_b = g["A"] - off_a / 3600, g["B"] - off_b / 3600
    diameter = g["a"] / sin(radians(angle_a))
    return {"b": diameter * sin(radians(angle_b))}


def flat(g):
    """Return the excess of the plane triangle's area: ½ab sin C, C by the plane cosine rule."""
    angle = acos((g["a"] ** 2 + g["b"] ** 2 - g["c"] ** 2) / (2 * g["a"] * g["b"]))
    return {"excess": seconds(g["a"] * g["b"] * sin(angle) / 2)}


def true_excess(g):
    """Return the excess in radians: three angles by the spherical cosine rule, less π."""
    a, b, c = (g[name] / R for name in "abc")

    def angle(a, b, c):
        return acos((cos(a) - cos(b) * cos(c)) / (sin(b) * sin(c)))

    return angle(a, b, c) + angle(b, c, a) + angle(c, a, b) - pi


def tangents(g, parts):
    """Return the product of the four tangents of L'Huilier's formula."""
    a, b, c = (g[name] / R for name in "abc")
    product = 1.0
    for twice in (a + b + c, b + c - a, c + a - b, a + b - c):
        product *= tan(twice / 2 / parts)
    return product


def four(quarter):
    return {"excess": 4 * degrees(quarter) * 3600}


def total(plane, excess):
    """Return a sum of angles in degrees."""
    return {"sum": plane + excess / 3600}


def corners(g):
    """Return the plane's sum, triangle by triangle from one station."""
    return sum(180 for _ in range(1, g["n"] - 1))


def by_corners(a, b, c):
    """Return the area of the triangle with these angles in km²: sides, then L'Huilier."""

    def cosine(a, b, c):
        return (cos(a) + cos(b) * cos(c)) / (sin(b) * sin(c))

    sides = dict(
        zip(
            "abc",
            (R * acos(cosine(*abc)) for abc in ((a, b, c), (b, c, a), (c, a, b))),
            strict=True,
        )
    )
    return 4 * atan(sqrt(tangents(sides, 2))) * R**2


def triangle(g):
    return by_corners(*(radians(g[name]) for name in "ABC"))


SPHERE = 4 * pi * R**2


def returned(g, turn):
    """Return the azimuth after a run that turns the arrow clockwise by so many degrees."""
    if g["run"].split(", ")[0] == "east":  # along the southern parallel first
        turn = -turn
    return {"azimuth": (g["start"] + turn) % 360}


def parallel(g, name):
    """Return what one parallel turns an arrow carried to the east: its cone laid flat."""
    phi = radians(g[name])
    return (g["east"] - g["west"]) * cos(phi) / (1 / tan(phi))


def cap(g):
    """Return the larger of the two parallels' turns."""
    return max(abs(parallel(g, name)) for name in ("south", "north"))


def by_cosines(g):
    low, high = sorted(abs(radians(g[name])) for name in ("south", "north"))
    return (g["east"] - g["west"]) * 2 * sin((low + high) / 2) * sin((high - low) / 2)


ROUTES = {
    "excess-lune": {
        "single-angle": lambda g: {"lune": SPHERE * g["A"] / 720},
        "both-lunes": lambda g: {"lune": SPHERE * g["A"] / 180},
        # 4A + 4B + 4C cover the sphere once and the one triangle twice more
        "opposite": lambda g: {
            "triangle": (SPHERE * (g["A"] + g["B"] + g["C"]) / 180 - SPHERE) / 2
        },
        "pair-out": lambda g: {"triangle": (SPHERE * (g["A"] + g["B"]) / 180 - SPHERE) / 4},
        "whole-sum": lambda g: {"triangle": triangle(g) + SPHERE / 4},
        "diameter": lambda g: {"lune": 4 * SPHERE * g["A"] / 360, "triangle": 4 * triangle(g)},
    },
    "excess-transport": {
        "one-sine": lambda g: returned(g, cap(g)),
        "cosine": lambda g: returned(g, by_cosines(g)),
        "against": lambda g: returned(g, parallel(g, "south") - parallel(g, "north")),
        "unchanged": lambda g: {"azimuth": g["start"]},
    },
    "excess-two-sides": {
        "no-half": lambda g: {"excess": seconds(parallelogram(g))},
        "cosine": lambda g: {"excess": seconds(g["a"] * g["b"] * cos(radians(g["C"])) / 2e6)},
        "diameter": lambda g: {"excess": seconds(parallelogram(g) / 2, 2 * R)},
        "no-sine": lambda g: {"excess": seconds(g["a"] * g["b"] / 2e6)},
    },
    "excess-closure": {
        "no-excess": lambda g: less(g, 0),
        "added": lambda g: less(g, -1),
        "from-each": lambda g: less(g, 3),
        "third": lambda g: less(g, 1 / 3),
        "turned": lambda g: {"misclosure": seconds(g["area"]) - over(g)},
    },
    "excess-legendre-side": {
        "nothing-off": lambda g: side(g, 0, 0),
        "all-off": lambda g: side(g, over(g), over(g)),
        "added": lambda g: side(g, -over(g) / 3, -over(g) / 3),
        "one-angle": lambda g: side(g, 0, over(g) / 3),
        "upside-down": lambda g: {
            "b": g["a"]
            * sin(radians(g["A"] - over(g) / 10800))
            / sin(radians(g["B"] - over(g) / 10800))
        },
    },
    "excess-three-sides": {
        "flat": flat,
        "not-four": lambda g: {"excess": degrees(true_excess(g)) * 3600 / 4},
        "not-halved": lambda g: four(atan(sqrt(tangents(g, 1)))),
        # tan(E/4) of the true excess, squared
        "no-root": lambda g: four(atan(tan(true_excess(g) / 4) ** 2)),
    },
    "excess-polygon": {
        "no-excess": lambda g: total(corners(g), 0),
        "minus": lambda g: total(corners(g), -seconds(g["area"])),
        "all-corners": lambda g: total(180 * g["n"], seconds(g["area"])),
        "each-station": lambda g: total(corners(g), g["n"] * seconds(g["area"])),
        "diameter": lambda g: total(corners(g), seconds(g["area"], 2 * R)),
    },
    "excess-exterior": {
        "no-excess": lambda g: total(360, 0),
        "plus": lambda g: total(360, seconds(g["area"])),
        "interior": lambda g: total(corners(g), seconds(g["area"])),
        "outside": lambda g: total(360 * g["n"] - corners(g), -seconds(g["area"])),
        "diameter": lambda g: total(360, -seconds(g["area"], 2 * R)),
    },
    "excess-area": {
        "degrees": lambda g: {"area": over(g) / 3600 * R**2},
        "diameter": lambda g: {"area": radians(over(g) / 3600) * (2 * R) ** 2},
        "whole-sum": lambda g: {"area": radians(g["A"] + g["B"] + g["C"]) * R**2},
        "half": lambda g: {"area": radians(over(g) / 3600) * R**2 / 2},
    },
}
