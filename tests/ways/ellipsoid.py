"""Ways at ellipsoid. PROJ and GeographicLib stand for the programs aboard."""

from math import atan, atan2, cos, degrees, pi, radians, sin, sqrt, tan

import numpy as np
import pyproj
from geographiclib.geodesic import Geodesic

from tests.test_solutions import RHO, ecef, named, radii
from tests.ways import Way

MILE = 1852.0


def flattening(g):
    return 1 / g["inverse_flattening"]


def e2(g, decimals=15):
    f = flattening(g)
    return round(2 * f - f * f, decimals)


def both_radii(g, square=None, sine=15):
    """Return M and ν with e² and sin φ rounded."""
    square = e2(g) if square is None else square
    w = 1 - square * round(sin(radians(g["lat"])), sine) ** 2
    return g["a"] * (1 - square) / w**1.5, g["a"] / sqrt(w)


def by_polar_radius(g):
    """M = c/V³ and ν = c/V, with c = a²/b and V² = 1 + e′² cos²φ."""
    b = g["a"] * (1 - flattening(g))
    v = sqrt(1 + (g["a"] ** 2 / b**2 - 1) * cos(radians(g["lat"])) ** 2)
    return g["a"] ** 2 / b / v**3, g["a"] ** 2 / b / v


def by_geodesics(g, arc=1 / 3600):
    """Return M and ν from geodesics of one second along the meridian and along the parallel."""
    shape, half = Geodesic(g["a"], flattening(g)), arc / 2
    north = shape.Inverse(g["lat"] - half, 0, g["lat"] + half, 0)["s12"]
    east = shape.Inverse(g["lat"], -half, g["lat"], half)["s12"]
    return north / radians(arc), east / radians(arc) / cos(radians(g["lat"]))


# ellipsoid-polar


def polar(g, part):
    return {"b": g["a"] * (1 - part), "shorter": g["globe"] * part}


def by_proj(g):
    b = pyproj.Geod(a=g["a"], rf=g["inverse_flattening"]).b
    return {"b": b, "shorter": g["globe"] * (1 - b / g["a"])}


def globe_to_tenth(g):
    right = polar(g, flattening(g))
    return {**right, "shorter": round(right["shorter"], 1)}


def by_the_globe(g):
    """The globe's axis first, written to 0.01 mm, and its equator minus that."""
    axis = g["globe"] - g["globe"] / g["inverse_flattening"]
    return {"b": g["a"] * (1 - flattening(g)), "shorter": g["globe"] - round(axis, 2)}


POLAR = [
    Way("PROJ's b", by_proj, "right"),
    Way("b from e²", lambda g: polar(g, 1 - sqrt(1 - e2(g))), "right"),
    Way("f to ten decimals", lambda g: polar(g, round(flattening(g), 10)), "right"),
    Way("f to eight decimals", lambda g: polar(g, round(flattening(g), 8)), "right or near"),
    Way("the globe to 0.1 mm", globe_to_tenth, "right"),
    Way("the globe's axis first, to 0.01 mm", by_the_globe, "right"),
]


# ellipsoid-radii


def of_radii(radii_of):
    return lambda g: named(("M", "nu"), radii_of(g))


def five_figure_w(g):
    """1 − e² sin²φ written with seven decimals, and its roots from that."""
    w = round(1 - e2(g) * sin(radians(g["lat"])) ** 2, 7)
    return g["a"] * (1 - e2(g)) / w**1.5, g["a"] / sqrt(w)


RADII = [
    Way("c/V³ and c/V", of_radii(by_polar_radius), "right"),
    Way("GeographicLib, a second each way", of_radii(by_geodesics), "right"),
    Way("e² to eight decimals", of_radii(lambda g: both_radii(g, e2(g, 8))), "right"),
    Way("1 − e² sin²φ to seven decimals", of_radii(five_figure_w), "right"),
    Way("sin φ to six decimals", of_radii(lambda g: both_radii(g, sine=6)), "right"),
    Way("e² with four figures", of_radii(lambda g: both_radii(g, e2(g, 6))), "right or near"),
]


# ellipsoid-latitudes


def less(latitude):
    return lambda g: {"difference": (g["lat"] - latitude(g)) * 60}


def geocentric(g, square=None):
    square = e2(g) if square is None else square
    return degrees(atan((1 - square) * tan(radians(g["lat"]))))


def through_xyz(g):
    x, _, z = ecef(g["lat"], 0.0, 0.0, g["a"], flattening(g))
    return degrees(atan2(z, x))


def by_parametric(g):
    f = flattening(g)
    beta = atan((1 - f) * tan(radians(g["lat"])))
    return degrees(atan((1 - f) * tan(beta)))


def series(g):
    """φ − ψ = m sin 2φ − m²/2 sin 4φ, m = e²/(2 − e²)."""
    m, phi = e2(g) / (2 - e2(g)), radians(g["lat"])
    return {"difference": degrees(m * sin(2 * phi) - m * m / 2 * sin(4 * phi)) * 60}


def rule(g, minutes):
    return {"difference": minutes * sin(2 * radians(g["lat"]))}


LATITUDES = [
    Way("through X, Y, Z", less(through_xyz), "right"),
    Way("twice the parametric step", less(by_parametric), "right"),
    Way("the series in sin 2φ and sin 4φ", series, "right"),
    Way("e² with four figures", less(lambda g: geocentric(g, e2(g, 6))), "right"),
    Way("ψ to 0.1″", less(lambda g: round(geocentric(g) * 36_000) / 36_000), "right"),
    Way("ψ to 0.001°", less(lambda g: round(geocentric(g), 3)), "right"),
    Way("the lesson's 3 438′ f sin 2φ", lambda g: rule(g, 3438 * flattening(g)), "right"),
    Way("ρ′ e²/2 sin 2φ", lambda g: rule(g, RHO / 60 * e2(g) / 2), "right"),
    Way("ρ′ e²/(2 − e²) sin 2φ", lambda g: rule(g, RHO / 60 * e2(g) / (2 - e2(g))), "right"),
    Way("WGS 84's 11.5′ sin 2φ", lambda g: rule(g, 11.5), "right or method:wgs84"),
]


# ellipsoid-second


def second(radii_of, rho=RHO, cosine=15):
    def route(g):
        meridian, across = radii_of(g)
        return {
            "lat": meridian / rho,
            "lon": across * round(cos(radians(g["lat"])), cosine) / rho,
        }

    return route


def whole_metres(g):
    return tuple(round(radius) for radius in radii(g))


def tens_of_metres(g):
    return tuple(round(radius, -1) for radius in radii(g))


SECOND = [
    Way("GeographicLib over a second", second(by_geodesics), "right"),
    Way("M and ν to the metre, 206 265", second(whole_metres, 206_265), "right"),
    Way("M and ν to 10 m, 206 264.8", second(tens_of_metres, 206_264.8), "right"),
    Way("π = 3.1416", second(radii, 648_000 / 3.1416), "right"),
    Way("c/V³ and c/V", second(by_polar_radius), "right"),
    Way("e² with four figures", second(lambda g: both_radii(g, e2(g, 6))), "right"),
    Way("cos φ to five decimals", second(whole_metres, 206_265, 5), "right"),
    Way("cos φ to four decimals", second(radii, cosine=4), "right or near"),
    Way(
        "the lesson's about 30.9 m",
        lambda g: {"lat": 30.9, "lon": 30.9 * cos(radians(g["lat"]))},
        "method:round",
    ),
]


# ellipsoid-mile


def run(g, minute):
    return {"minute": minute, "difference": g["run"] * (minute - MILE)}


def meridian_run(g):
    """The minute by GeographicLib, and the whole run as one arc of the meridian."""
    shape, half = Geodesic(g["a"], flattening(g)), g["run"] / 120
    length = shape.Inverse(g["lat"] - half, 0, g["lat"] + half, 0)["s12"]
    minute = by_geodesics(g, 1 / 60)[0] * pi / 10_800
    return {"minute": minute, "difference": length - g["run"] * MILE}


def integral(g):
    """The run as an integral of M, by Simpson's rule; the minute as its share."""
    ends = [g["lat"] + step * g["run"] / 120 for step in (-1, 0, 1)]
    mean = np.dot([both_radii({**g, "lat": lat})[0] for lat in ends], [1, 4, 1]) / 6
    return run(g, float(mean) * pi / 10_800)


MILES = [
    Way("the minute as typed, to 0.1 m", lambda g: run(g, round(meridian(g), 1)), "right"),
    Way("one arc of the meridian", meridian_run, "right"),
    Way("M integrated along the run", integral, "right"),
    Way("M to 10 m", lambda g: run(g, tens_of_metres(g)[0] * pi / 10_800), "right"),
    Way("π = 3.1416", lambda g: run(g, radii(g)[0] * 3.1416 / 10_800), "right"),
    Way("60 of the seconds to 0.001 m", lambda g: run(g, 60 * round(second_of(g), 3)), "right"),
    Way(
        "the short formula 1 852.2 − 9.3 cos 2φ",
        lambda g: run(g, 1852.2 - 9.3 * cos(2 * radians(g["lat"]))),
        "right or near",
    ),
]


def meridian(g):
    return radii(g)[0] * pi / 10_800


def second_of(g):
    return radii(g)[0] / RHO


# ellipsoid-euler


def euler(radii_of=radii, squares=15):
    def route(g):
        (meridian, across), alpha = radii_of(g), radians(g["azimuth"])
        north, east = round(cos(alpha) ** 2, squares), round(sin(alpha) ** 2, squares)
        return {"radius": 1 / (north / meridian + east / across)}

    return route


def by_second_eccentricity(g):
    """R = ν/(1 + e′² cos²φ cos²α)."""
    second = e2(g) / (1 - e2(g))
    both = cos(radians(g["lat"])) ** 2 * cos(radians(g["azimuth"])) ** 2
    return {"radius": radii(g)[1] / (1 + second * both)}


def by_section(g):
    """The normal section itself: how far the ellipsoid falls below the plane, 10 km each way."""
    phi, alpha, f = radians(g["lat"]), radians(g["azimuth"]), flattening(g)
    foot = ecef(g["lat"], 0.0, 0.0, g["a"], f)
    up = np.array([cos(phi), 0.0, sin(phi)])
    ahead = np.array([-sin(phi) * cos(alpha), sin(alpha), cos(phi) * cos(alpha)])
    shape = np.array([1.0, 1.0, 1 / (1 - f) ** 2])
    found = []
    for step in (-10_000.0, 10_000.0):
        start = foot + step * ahead
        # |start − drop · up| on the ellipsoid: a quadratic for the drop
        c2, c1 = (shape * up * up).sum(), (shape * start * up).sum()
        c0 = (shape * start * start).sum() - g["a"] ** 2
        drop = c0 / (c1 + sqrt(c1 * c1 - c2 * c0))
        found.append((step * step + drop * drop) / (2 * drop))
    return {"radius": sum(found) / 2}


EULER = [
    Way("M and ν to the metre", euler(whole_metres), "right"),
    Way("squares to five decimals", euler(whole_metres, 5), "right"),
    Way("ν/(1 + e′² cos²φ cos²α)", by_second_eccentricity, "right"),
    Way("the section itself, 10 km each way", by_section, "right"),
    Way("e² to eight decimals", euler(lambda g: both_radii(g, e2(g, 8))), "right"),
    Way("e² with four figures", euler(lambda g: both_radii(g, e2(g, 6))), "right or near"),
]

WAYS = {
    "ellipsoid-polar": POLAR,
    "ellipsoid-radii": RADII,
    "ellipsoid-latitudes": LATITUDES,
    "ellipsoid-second": SECOND,
    "ellipsoid-mile": MILES,
    "ellipsoid-euler": EULER,
}
