"""Wrong routes of ecef, each walked as its reply describes it."""

from math import atan, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np

from tests.test_solutions import WGS84, R, axes, geodetic, named, turned, wgs84

XYZ = "xyz"
ENU = ("east", "north", "up")
E2 = WGS84.f * (2 - WGS84.f)


def normal(lat):
    """Return ν of WGS 84."""
    return WGS84.a / sqrt(1 - E2 * sin(radians(lat)) ** 2)


def from_the_centre(lat):
    """Return the geocentric latitude of a point on the surface."""
    return degrees(atan((1 - WGS84.f) ** 2 * tan(radians(lat))))


# ecef-forward


def out_by_normal(g):
    return {"z": (normal(g["lat"]) + g["height"]) * sin(radians(g["lat"]))}


FORWARD = {
    "no-flattening": out_by_normal,
    "geocentric": lambda g: named(XYZ, wgs84(from_the_centre(g["lat"]), g["lon"], g["height"])),
    "sphere": lambda g: named(XYZ, (R + g["height"]) * axes(g["lat"], g["lon"])[2]),
    "east-for-west": lambda g: {"y": wgs84(g["lat"], -g["lon"], g["height"])[1]},
    "south-for-north": lambda g: {"z": wgs84(-g["lat"], g["lon"], g["height"])[2]},
    "far-half": lambda g: {"x": wgs84(g["lat"], 180 - g["lon"], g["height"])[0]},
    "no-height": lambda g: named(XYZ, wgs84(g["lat"], g["lon"])),
}


# ecef-inverse


def steep(g, above=1.0, below=1.0):
    """Return φ of the tangent Z/p times above/below, and h = p/cos φ − ν there."""
    p = hypot(g["x"], g["y"])
    lat = degrees(atan2(above * g["z"], below * p))
    return {"lat": lat, "height": p / cos(radians(lat)) - normal(lat)}


def by_plane(g):
    lat, _, _ = geodetic(g["x"], g["y"], g["z"], WGS84.a, WGS84.f)
    return {"height": g["z"] / sin(radians(lat)) - normal(lat)}


INVERSE = {
    "geocentric": steep,
    "parametric": lambda g: steep(g, below=1 - WGS84.f),
    "multiplied": lambda g: steep(g, above=1 - E2),
    "radius": lambda g: {"height": sqrt(sum(g[axis] ** 2 for axis in XYZ)) - WGS84.a},
    "no-flattening": by_plane,
}


# ecef-baseline


def between(g, heights=(True, True)):
    one, two = (
        wgs84(g[f"lat{n}"], g[f"lon{n}"], g[f"height{n}"] if with_height else 0.0)
        for n, with_height in zip((1, 2), heights, strict=True)
    )
    return two - one


def size(vector):
    return {"length": float(np.linalg.norm(vector))}


BASELINE = {
    "geodesic": lambda g: {
        "length": WGS84.Inverse(g["lat1"], g["lon1"], g["lat2"], g["lon2"])["s12"]
    },
    "no-height-1": lambda g: size(between(g, (False, True))),
    "no-height-2": lambda g: size(between(g, (True, False))),
    "no-heights": lambda g: size(between(g, (False, False))),
    "horizontal": lambda g: size((axes(g["lat1"], g["lon1"]) @ between(g))[:2]),
    "no-z": lambda g: size(between(g)[:2]),
}


# ecef-local


def away(g):
    return np.array([g[f"beacon_{axis}"] - g[f"vessel_{axis}"] for axis in XYZ])


def seen(g, lat=None, lon=None, sign=1):
    lat, lon = (g["lat"] if lat is None else lat), (g["lon"] if lon is None else lon)
    return named(ENU, axes(lat, lon) @ (sign * away(g)))


LOCAL = {
    "no-rotation": lambda g: named(ENU, away(g)),
    "geocentric": lambda g: seen(g, lat=from_the_centre(g["lat"])),
    "longitude-sign": lambda g: seen(g, lon=-g["lon"]),
    "angles-exchanged": lambda g: seen(g, lat=g["lon"], lon=g["lat"]),
    "turned": lambda g: seen(g, sign=-1),
}


# ecef-lever-arm


def on_the_map(g, forward=None, starboard=None, heading=None):
    forward = g["forward"] if forward is None else forward
    starboard = g["starboard"] if starboard is None else starboard
    return turned(forward, starboard, g["heading"] if heading is None else heading)


def from_transducer(g):
    back = on_the_map(g, -g["forward"], -g["starboard"])
    return {**back, "height": g["height"] + g["down"]}


LEVER_ARM = {
    "no-heading": lambda g: {"east": g["starboard"], "north": g["forward"]},
    "heading-turned": lambda g: on_the_map(g, heading=360 - g["heading"]),
    "from-east": lambda g: on_the_map(g, heading=90 - g["heading"]),
    "subtracted": from_transducer,
    "port": lambda g: on_the_map(g, starboard=-g["starboard"]),
    "axes-exchanged": lambda g: on_the_map(g, g["starboard"], g["forward"]),
    "z-up": lambda g: {"height": g["height"] + g["down"]},
}


# ecef-other-ellipsoid


def other_way(g):
    """Turn the change: from the other ellipsoid's numbers to those of WGS 84, on top of these."""
    lat, _, height = geodetic(g["p"], 0.0, g["z"], g["semi_major"], 1 / g["inverse_flattening"])
    return {"lat": g["lat"] - (lat - g["lat"]), "height": g["height"] - (height - g["height"])}


OTHER = {
    "latitude-kept": lambda g: {"lat": g["lat"]},
    "height-kept": lambda g: {"height": g["height"]},
    "turned": other_way,
    "axis-only": lambda g: {"height": g["height"] - (g["semi_major"] - 6_378_137.0)},
}

ROUTES = {
    "ecef-forward": FORWARD,
    "ecef-inverse": INVERSE,
    "ecef-baseline": BASELINE,
    "ecef-local": LOCAL,
    "ecef-lever-arm": LEVER_ARM,
    "ecef-other-ellipsoid": OTHER,
}
