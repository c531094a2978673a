"""Ways at deflection."""

from math import acos, atan, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np
import pyproj

from tests.ways import Way

R, RHO = 6_371_000.0, 206_265.0
WGS84 = pyproj.Geod(ellps="WGS84")
MM = 4.85e-3  # metres for each second and kilometre


def axes(lat, lon):
    """Return east, north and up."""
    phi, lam = radians(lat), radians(lon)
    up = np.array([cos(phi) * cos(lam), cos(phi) * sin(lam), sin(phi)])
    east = np.array([-sin(lam), cos(lam), 0.0])
    return np.array([east, np.cross(up, east), up])


def radii(lat):
    w = 1 - WGS84.es * sin(radians(lat)) ** 2
    return WGS84.a * (1 - WGS84.es) / w**1.5, WGS84.a / sqrt(w)


def zeniths(g):
    """Return ξ and η by the angle between the two directions, as vectors."""
    lean = axes(g["lat"], g["lon"]) @ axes(g["astro_lat"], g["astro_lon"])[2]
    return {"xi": lean[1] * RHO, "eta": lean[0] * RHO}


def components(cosine):
    """Return a way with that cosine of the latitude."""
    return lambda g: {
        "xi": (g["astro_lat"] - g["lat"]) * 3600,
        "eta": (g["astro_lon"] - g["lon"]) * 3600 * cosine(g),
    }


def cosine(g):
    return cos(radians(g["lat"]))


def by_quadrant(g):
    """Return size and azimuth with sizes only, the quadrant from a sketch."""
    acute = degrees(atan(abs(g["eta"] / g["xi"])))
    return {
        "size": hypot(g["xi"], g["eta"]),
        "azimuth": 180 - acute if g["eta"] > 0 else 180 + acute,
    }


def azimuth_of(g):
    return degrees(atan2(g["eta"], g["xi"])) % 360


def by_cosine(g):
    """Return size from the rounded azimuth and the larger component."""
    azimuth = round(azimuth_of(g), 2)
    turn = radians(azimuth)
    larger = abs(g["xi"]) > abs(g["eta"])
    return {
        "size": abs(g["xi"] / cos(turn)) if larger else abs(g["eta"] / sin(turn)),
        "azimuth": azimuth,
    }


def tilt(g, size, azimuth):
    return {"epsilon": size * cos(radians(azimuth - g["azimuth"]))}


def four_figures(g):
    """Return ε with four-figure sine and cosine, each product rounded as it is written down."""
    turn = radians(g["azimuth"])
    first = round(g["xi"] * round(cos(turn), 4), 2)
    return {"epsilon": first + round(g["eta"] * round(sin(turn), 4), 2)}


def along(g):
    turn = radians(g["azimuth"])
    return g["xi"] * cos(turn) + g["eta"] * sin(turn)


def foot(second):
    """Return a way with so many radians for a second, or the tangent."""
    return lambda g: {
        "east": -second(g["eta"]) * g["depth"],
        "north": -second(g["xi"]) * g["depth"],
    }


def from_total(g):
    size = round(hypot(g["xi"], g["eta"]) / RHO * g["depth"], 3)
    azimuth = radians(round(azimuth_of(g) + 180, 2))
    return {"east": size * sin(azimuth), "north": size * cos(azimuth)}


def stars(metres):
    return lambda g: {"east": g["eta"] * metres, "north": g["xi"] * metres}


def stars_on_wgs84(g):
    """Return the position from a registry library, between the two positions."""
    lat, lon = g["lat"] + g["xi"] / 3600, 10 + g["eta"] / 3600 / cosine(g)
    azimuth, _, distance = WGS84.inv(10, g["lat"], lon, lat)
    return {
        "east": distance * sin(radians(azimuth)),
        "north": distance * cos(radians(azimuth)),
    }


def stars_by_radii(g):
    meridian, across = radii(g["lat"])
    return {"east": g["eta"] / RHO * across, "north": g["xi"] / RHO * meridian}


def slopes(north_south, east_west):
    """Return a way with these metres between the nodes."""
    return lambda g: {
        "xi": -(g["north"] - g["south"]) / north_south(g) * RHO,
        "eta": -(g["east"] - g["west"]) / east_west(g) * RHO,
    }


def degree(metres):
    """Return a way with so many metres to a degree."""
    return slopes(lambda g: metres / 2, lambda g: metres / 2 * cosine(g))


def registry_nodes(g, which):
    """Return the metres between two nodes by a registry library."""
    lat = g["lat"]
    if which == "north":
        return WGS84.inv(0, lat - 0.25, 0, lat + 0.25)[2]
    return WGS84.inv(-0.25, lat, 0.25, lat)[2]


def step(route):
    return lambda g: {"step": -route(g) * (g["epsilon1"] + g["epsilon2"]) / 2}


def trapezoids(g):
    """Return the step summed over ten pieces of the line."""
    pieces = np.linspace(g["epsilon1"], g["epsilon2"], 11)
    return {"step": float(-np.sum((pieces[:-1] + pieces[1:]) / 2) / RHO * g["distance"] / 10)}


def rounded_mean(g):
    mean = round((g["epsilon1"] + g["epsilon2"]) / 2, 1)
    return {"step": -mean / RHO * g["distance"]}


def corrected(g, correction):
    return {"correction": correction, "alpha": (g["azimuth"] + correction / 3600) % 360}


def laplace(g, azimuth, round_to=9):
    turn, cotangent = radians(azimuth), 1 / tan(radians(g["zenith"]))
    first = g["eta"] * round(tan(radians(g["lat"])), round_to)
    across = g["xi"] * round(sin(turn), round_to) - g["eta"] * round(cos(turn), round_to)
    return corrected(g, -first - across * round(cotangent, round_to))


def turned(g):
    """Return azimuth and zenith angle of a sight from one vertical's axes to the other's."""
    lat = g.get("lat", 40.0)
    azimuth, zenith = radians(g["azimuth"]), radians(g["zenith"])
    sight = np.array([sin(zenith) * sin(azimuth), sin(zenith) * cos(azimuth), cos(zenith)])
    leaning = axes(lat + g["xi"] / 3600, g["eta"] / 3600 / cos(radians(lat)))
    east, north, up = axes(lat, 0) @ (leaning.T @ sight)
    return degrees(atan2(east, north)) % 360, degrees(acos(up))


def laplace_turned(g):
    alpha = turned(g)[0]
    return {"correction": ((alpha - g["azimuth"] + 180) % 360 - 180) * 3600, "alpha": alpha}


def laplace_by_longitudes(g):
    """Return the first term as (Λ − λ) sin φ."""
    longitudes = g["eta"] / cosine(g)
    first = longitudes * sin(radians(g["lat"]))
    turn = radians(g["azimuth"])
    across = g["xi"] * sin(turn) - g["eta"] * cos(turn)
    return corrected(g, -first - across / tan(radians(g["zenith"])))


def heights(g, zenith, dh=None):
    observed = g["distance"] * cos(radians(g["zenith"]))
    return {
        "zenith": zenith,
        "dh": g["distance"] * cos(radians(zenith)) if dh is None else observed + dh,
        "dH": observed,
    }


def lean_added(g):
    return g["zenith"] + along(g) / 3600


def tenth(g):
    """Return the heights with ε to 0.1″."""
    return heights(g, g["zenith"] + round(along(g), 1) / 3600)


WAYS = {
    "deflection-components": [
        Way("between two directions in space", zeniths, "right"),
        Way("cos Φ", components(lambda g: cos(radians(g["astro_lat"]))), "right"),
        Way("four-figure cosine", components(lambda g: round(cosine(g), 4)), "right"),
        Way("three-figure cosine", components(lambda g: round(cosine(g), 3)), "right"),
        Way(
            "latitude to the minute",
            components(lambda g: cos(radians(round(g["lat"] * 60) / 60))),
            "right",
        ),
    ],
    "deflection-total": [
        Way("quadrant from a sketch", by_quadrant, "right"),
        Way("size from the azimuth", by_cosine, "right"),
        Way(
            "arctan first, then 180°",
            lambda g: {
                "size": round(hypot(g["xi"], g["eta"]), 1),
                "azimuth": (180 + round(degrees(atan(g["eta"] / g["xi"])), 1)) % 360,
            },
            "right",
        ),
    ],
    "deflection-along-line": [
        Way(
            "total and angle between",
            lambda g: tilt(g, hypot(g["xi"], g["eta"]), azimuth_of(g)),
            "right",
        ),
        Way("four figures", four_figures, "right"),
        Way(
            "total to 0.1″, its azimuth to 0.1°",
            lambda g: tilt(g, round(hypot(g["xi"], g["eta"]), 1), round(azimuth_of(g), 1)),
            "right or near",
        ),
    ],
    "deflection-plumb-offset": [
        Way("4.85 mm for each second and km", foot(lambda e: e * MM / 1000), "right"),
        Way("1 : 206 265", foot(lambda e: e / RHO), "right"),
        Way("π = 3.1416", foot(lambda e: e * 3.1416 / 648_000), "right"),
        Way("tangent", foot(lambda e: tan(radians(e / 3600))), "right"),
        Way("radians to 7 decimals", foot(lambda e: round(e / RHO, 7)), "right"),
        Way("total and its azimuth turned", from_total, "right"),
    ],
    "deflection-star-fix": [
        Way("30.9 m for each second", stars(30.9), "right"),
        Way("a mile for each minute", stars(1852 / 60), "right"),
        Way("1 : 206 265", stars(R / RHO), "right"),
        Way("111.2 km for each degree", stars(111_200 / 3600), "right"),
        Way("R = 6 378", stars(6_378_000 / RHO), "right or near"),
        Way("M and ν", stars_by_radii, "right"),
        Way("geodesic of a registry library", stars_on_wgs84, "right"),
    ],
    "deflection-from-geoid": [
        Way("30.9 m for each second", degree(30.9 * 3600), "right"),
        Way("a mile for each minute", degree(60 * 1852), "right"),
        Way("111.2 km for each degree", degree(111_200), "right"),
        Way("111 km for each degree", degree(111_000), "right or near"),
        Way("R = 6 378", degree(radians(1) * 6_378_000), "right"),
        Way(
            "M and ν",
            slopes(
                lambda g: radians(0.5) * radii(g["lat"])[0],
                lambda g: radians(0.5) * radii(g["lat"])[1] * cosine(g),
            ),
            "right",
        ),
        Way(
            "geodesics of a registry library",
            slopes(lambda g: registry_nodes(g, "north"), lambda g: registry_nodes(g, "east")),
            "right",
        ),
    ],
    "deflection-geoid-step": [
        Way("4.85 mm for each second and km", step(lambda g: MM / 1000 * g["distance"]), "right"),
        Way("1 : 206 265", step(lambda g: g["distance"] / RHO), "right"),
        Way("piece by piece", trapezoids, "right"),
        Way("mean to 0.1″", rounded_mean, "right"),
    ],
    "deflection-laplace": [
        Way("turned as vectors", laplace_turned, "right"),
        Way("(Λ − λ) sin φ", laplace_by_longitudes, "right"),
        Way("four figures", lambda g: laplace(g, g["azimuth"], 4), "right"),
        Way(
            "A to 0.1° in the second term",
            lambda g: laplace(g, round(g["azimuth"], 1)),
            "right or near",
        ),
        Way("A to the minute", lambda g: laplace(g, round(g["azimuth"] * 60) / 60), "right"),
    ],
    "deflection-zenith": [
        Way("turned as vectors", lambda g: heights(g, turned(g)[1]), "right"),
        Way("ε to 0.1″", tenth, "right"),
        Way(
            "Δh from ΔH − ε·s",
            lambda g: heights(g, lean_added(g), -along(g) / RHO * g["distance"]),
            "right",
        ),
        Way(
            "Δh from ΔH and 4.85 mm",
            lambda g: heights(g, lean_added(g), -along(g) * MM * g["distance"] / 1000),
            "right",
        ),
        Way(
            "Δh from ΔH − ε·s sin z",
            lambda g: heights(
                g,
                lean_added(g),
                -along(g) / RHO * g["distance"] * sin(radians(g["zenith"])),
            ),
            "right",
        ),
        Way(
            "ζ to 0.1″ and then Δh",
            lambda g: heights(g, round(lean_added(g) * 36_000) / 36_000),
            "right",
        ),
    ],
}
