"""Ways at excess."""

from math import acos, asin, atan, atan2, cos, degrees, pi, radians, sin, sqrt, tan

import pyproj

from tests.ways import Way

R, RHO = 6371.0, 206_265.0
SECOND = 197.0  # km², the lesson's bold rule
SPHERE = pyproj.Geod(a=R * 1000, b=R * 1000)
ROUGH_PI = 3.1416


def area(g):
    return g["a"] * g["b"] * sin(radians(g["C"])) / 2e6


def heron(a, b, c):
    s = (a + b + c) / 2
    return sqrt(s * (s - a) * (s - b) * (s - c))


def third_side(g):
    a, b = g["a"] / 1000, g["b"] / 1000
    return sqrt(a * a + b * b - 2 * a * b * cos(radians(g["C"])))


def registry_area(g):
    """Return the area of the triangle with its corners laid out, by a registry library, km²."""
    corners = [(5.0, 56.0)]
    for azimuth, length in ((10.0, g["a"]), (10.0 + g["C"], g["b"])):
        lon, lat, _ = SPHERE.fwd(5.0, 56.0, azimuth, length)
        corners.append((lon, lat))
    found, _ = SPHERE.polygon_area_perimeter(*zip(*corners, strict=True))
    return abs(found) / 1e6


def napier(g):
    half = tan(g["a"] / 2000 / R) * tan(g["b"] / 2000 / R)
    C = radians(g["C"])
    return 2 * atan2(half * sin(C), 1 + half * cos(C))


def excess(route):
    return lambda g: {"excess": route(g)}


def over(g):
    return (g["A"] + g["B"] + g["C"] - 180) * 3600


def closure(route):
    return lambda g: {"misclosure": over(g) - route(g["area"])}


def side(route):
    return lambda g: {"b": route(g)}


def by_plane_angles(off, digits):
    """Return Legendre's side with the third of an excess, angles rounded to so many decimals."""

    def walk(g):
        third = round(off(g), digits)
        a, b = (radians(g[name] - third / 3600) for name in "AB")
        return g["a"] * sin(b) / sin(a)

    return walk


def additaments(g):
    """Return the side by the sphere's angles, each side made shorter by s³/6R² and back."""
    plane = g["a"] - g["a"] ** 3 / 6 / (R * 1000) ** 2
    b = plane * sin(radians(g["B"])) / sin(radians(g["A"]))
    return b + b**3 / 6 / (R * 1000) ** 2


def own_excess(g):
    """Return a third of the excess by the rule, from the area of the unreduced triangle."""
    a, b, c = (radians(g[name]) for name in "ABC")
    return g["a"] ** 2 * sin(b) * sin(c) / (2 * sin(a)) / 1e6 / SECOND / 3


def arcs(g):
    return [g[name] / R for name in "abc"]


def by_angles(g):
    a, b, c = arcs(g)

    def angle(a, b, c):
        return acos((cos(a) - cos(b) * cos(c)) / (sin(b) * sin(c)))

    return angle(a, b, c) + angle(b, c, a) + angle(c, a, b) - pi


def lhuilier(g, radius=R, digits=None):
    """Return L'Huilier's excess in arcseconds, the tangents rounded to so many decimals."""
    product = 1.0
    a, b, c = (g[name] for name in "abc")
    for twice in (a + b + c, b + c - a, c + a - b, a + b - c):
        tangent = tan(twice / 4 / radius)
        product *= tangent if digits is None else round(tangent, digits)
    return 4 * degrees(atan(sqrt(product))) * 3600


def two_sides_exact(g):
    a, b, c = arcs(g)
    C = acos((cos(c) - cos(a) * cos(b)) / (sin(a) * sin(b)))
    half = tan(a / 2) * tan(b / 2)
    return 2 * RHO * atan2(half * sin(C), 1 + half * cos(C))


def legendre_area(g):
    """Return the flat area enlarged by its first correction, (a² + b² + c²)/24R² of itself."""
    a, b, c = (g[name] for name in "abc")
    return RHO * heron(a, b, c) * (1 + (a * a + b * b + c * c) / 24 / R**2) / R**2


def girard(area):
    return RHO * area / R**2


def polygon(route):
    return lambda g: {"sum": (g["n"] - 2) * 180 + route(g["area"]) / 3600}


def turns(route):
    return lambda g: {"sum": 360 - route(g["area"]) / 3600}


AREA_RULES = [
    ("ρ″ = 206 265", girard, "right"),
    ("197 km² for each second", lambda area: area / SECOND, "right"),
    ("196.8 km² for each second", lambda area: area / 196.8, "right"),
    ("E to 0.1″", lambda area: round(girard(area), 1), "right"),
    ("π = 3.1416", lambda area: area / R**2 * 648_000 / ROUGH_PI, "right"),
    ("R = 6 378", lambda area: RHO * area / 6378**2, "right"),
]


def enclosed(route):
    return lambda g: {"area": route(over(g))}


def lune(per_degree):
    """Return lune and triangle with so many km² in a degree of excess."""
    return lambda g: {
        "lune": 2 * g["A"] * per_degree,
        "triangle": (g["A"] + g["B"] + g["C"] - 180) * per_degree,
    }


def on_return(turn):
    sense = {"north": 1, "east": -1}
    return lambda g: {"azimuth": (g["start"] + sense[g["run"].split(",")[0]] * turn(g)) % 360}


def leg_by_leg(digits):
    """Return the turn of the two parallels, sines with so many decimals."""

    def turn(g):
        wide = g["east"] - g["west"]
        one, two = (round(sin(radians(g[name])), digits) for name in ("south", "north"))
        return wide * two - wide * one

    return turn


def zone(g):
    """Return the turn from the area of the sphere's cell, to 1 000 km²."""
    height = R * (sin(radians(g["north"])) - sin(radians(g["south"])))
    area = round(radians(g["east"] - g["west"]) * R * height, -3)
    return degrees(area / R**2)


WAYS = {
    "excess-lune": [
        Way("708 422 km² in a degree", lune(708_422), "right"),
        Way("708 400 km² in a degree", lune(708_400), "right"),
        Way("π = 3.1416", lune(R**2 * ROUGH_PI / 180), "right"),
        Way("197 km² in a second", lune(197 * 3600), "method:rule"),
        Way("R = 6 378", lune(radians(6378**2)), "method:equator"),
        Way("R = 6 370", lune(radians(6370**2)), "right or near"),
    ],
    "excess-transport": [
        Way("leg by leg, four-figure sines", on_return(leg_by_leg(4)), "right"),
        Way("leg by leg, three-figure sines", on_return(leg_by_leg(3)), "right or near"),
        Way("by the zone's area over R²", on_return(zone), "right"),
    ],
    "excess-two-sides": [
        Way("197 km² for each second", excess(lambda g: area(g) / SECOND), "right"),
        Way("196.8 km² for each second", excess(lambda g: area(g) / 196.8), "right"),
        Way("area to 1 km², ρ″ = 206 265", excess(lambda g: girard(round(area(g)))), "right"),
        Way("Napier, exact", excess(lambda g: degrees(napier(g)) * 3600), "right"),
        Way("corners laid out", excess(lambda g: girard(registry_area(g))), "right"),
        Way(
            "third side, Heron",
            excess(lambda g: girard(heron(g["a"] / 1000, g["b"] / 1000, third_side(g)))),
            "right",
        ),
        Way(
            "four-figure sine",
            excess(lambda g: girard(g["a"] * g["b"] * round(sin(radians(g["C"])), 4) / 2e6)),
            "right",
        ),
        Way("R = 6 378", excess(lambda g: RHO * area(g) / 6378**2), "right or near"),
        Way("R = 6 370", excess(lambda g: RHO * area(g) / 6370**2), "right"),
    ],
    "excess-closure": [Way(name, closure(rule), gets) for name, rule, gets in AREA_RULES],
    "excess-legendre-side": [
        Way("third with all digits", side(by_plane_angles(lambda g: over(g) / 3, 9)), "right"),
        Way("third to 0.01″", side(by_plane_angles(lambda g: over(g) / 3, 2)), "right"),
        Way("third to 0.1″", side(by_plane_angles(lambda g: over(g) / 3, 1)), "right or near"),
        Way("excess by 197 km² from the area", side(by_plane_angles(own_excess, 2)), "right"),
        Way("additaments", side(additaments), "right"),
        Way(
            "spherical sine rule",
            side(
                lambda g: (
                    R
                    * 1000
                    * asin(sin(g["a"] / R / 1000) * sin(radians(g["B"])) / sin(radians(g["A"])))
                )
            ),
            "right",
        ),
    ],
    "excess-three-sides": [
        Way("three angles", excess(lambda g: degrees(by_angles(g)) * 3600), "right"),
        Way("L'Huilier, six decimals", excess(lambda g: lhuilier(g, digits=6)), "right"),
        Way("L'Huilier, five decimals", excess(lambda g: lhuilier(g, digits=5)), "right or near"),
        Way("angle and Napier", excess(two_sides_exact), "right"),
        Way("flat area and its correction", excess(legendre_area), "right"),
        Way("R = 6 378", excess(lambda g: lhuilier(g, radius=6378)), "method:equator"),
        Way("R = 6 378.137", excess(lambda g: lhuilier(g, radius=6378.137)), "method:equator"),
    ],
    "excess-polygon": [Way(name, polygon(rule), gets) for name, rule, gets in AREA_RULES],
    "excess-exterior": [Way(name, turns(rule), gets) for name, rule, gets in AREA_RULES],
    "excess-area": [
        Way("197 km² for each second", enclosed(lambda e: e * SECOND), "right"),
        Way("196.8 km² for each second", enclosed(lambda e: e * 196.8), "right"),
        Way("ρ″ = 206 265", enclosed(lambda e: e / RHO * R**2), "right"),
        Way("radians to 7 decimals", enclosed(lambda e: round(e / RHO, 7) * R**2), "right"),
        Way("radians to 6 decimals", enclosed(lambda e: round(e / RHO, 6) * R**2), "right or near"),
        Way("π = 3.1416", enclosed(lambda e: e / 648_000 * ROUGH_PI * R**2), "right"),
        Way("R = 6 378", enclosed(lambda e: e / RHO * 6378**2), "right or near"),
        Way("R = 6 370", enclosed(lambda e: e / RHO * 6370**2), "right"),
    ],
}
