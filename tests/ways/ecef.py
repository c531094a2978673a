"""Ways at ecef. PROJ stands for the registry software aboard."""

import math
from math import atan, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np
import pyproj

from tests.test_solutions import RHO, WGS84, R, axes, ecef, named, turned
from tests.ways import Way

XYZ = "xyz"
ENU = ("east", "north", "up")
PLACE = ("lat", "height")
E2 = WGS84.f * (2 - WGS84.f)
AND_BACK = pyproj.Transformer.from_crs(4978, 4979)
TO_XYZ = pyproj.Transformer.from_crs(4979, 4978)


def proj(text, *values, inverse=False):
    transformer = pyproj.Transformer.from_pipeline(text)
    return transformer.transform(*values, direction="INVERSE" if inverse else "FORWARD")


# ecef-forward


def by_hand(g, decimals=15, e2=E2, nu=15):
    """The three lines of the rule, sines and cosines to so many decimals."""
    sines = [round(sin(radians(g[name])), decimals) for name in ("lat", "lon")]
    cosines = [round(cos(radians(g[name])), decimals) for name in ("lat", "lon")]
    length = round(WGS84.a / sqrt(1 - e2 * sines[0] ** 2), nu)
    out = (length + g["height"]) * cosines[0]
    z = ((1 - e2) * length + g["height"]) * sines[0]
    return named(XYZ, (out * cosines[1], out * sines[1], z))


def by_parametric(g):
    """The foot by the parametric latitude, then h along the normal."""
    b = WGS84.a * (1 - WGS84.f)
    beta, lam = atan((1 - WGS84.f) * tan(radians(g["lat"]))), radians(g["lon"])
    foot = [WGS84.a * cos(beta) * cos(lam), WGS84.a * cos(beta) * sin(lam), b * sin(beta)]
    return named(XYZ, foot + g["height"] * axes(g["lat"], g["lon"])[2])


FORWARD = [
    Way("PROJ", lambda g: named(XYZ, TO_XYZ.transform(g["lat"], g["lon"], g["height"])), "right"),
    Way("the worked answer's ten decimals", lambda g: by_hand(g, 10, nu=3), "right"),
    Way("e² = 0.006 694 38, as in lesson 03", lambda g: by_hand(g, e2=0.00669438), "right"),
    Way("by the parametric latitude", by_parametric, "right"),
    Way("GRS 80", lambda g: named(XYZ, grs80(g)), "right"),
    Way("sines and cosines to eight decimals", lambda g: by_hand(g, 8), "right or near"),
]


def grs80(g):
    return ecef(g["lat"], g["lon"], g["height"], 6_378_137.0, 1 / 298.257222101)


# ecef-inverse and ecef-other-ellipsoid


def by_repeating(p, z, a, f, passes=30, decimals=15):
    """The lesson's repeating from tan φ = Z/(p(1 − e²)); φ kept with so many decimals of ″."""
    e2 = f * (2 - f)
    phi = atan(z / p / (1 - e2))
    for _ in range(passes):
        nu = a / sqrt(1 - e2 * sin(phi) ** 2)
        phi = atan((z + e2 * nu * sin(phi)) / p)
    phi = round(phi * RHO, decimals) / RHO
    return degrees(phi), p / cos(phi) - a / sqrt(1 - e2 * sin(phi) ** 2)


def bowring(p, z, a, f):
    e2, b = f * (2 - f), a * (1 - f)
    beta = atan2(z * a, p * b)
    phi = atan2(z + e2 / (1 - e2) * b * sin(beta) ** 3, p - e2 * a * cos(beta) ** 3)
    return degrees(phi), p / cos(phi) - a / sqrt(1 - e2 * sin(phi) ** 2)


def to_foot(p, z, a, f):
    """The foot of the normal by Newton's steps in the parametric latitude, h from there to it."""
    b = a * (1 - f)
    beta = atan2(z * a, p * b)
    for _ in range(5):
        square = a * a - b * b
        off = a * p * sin(beta) - b * z * cos(beta) - square * sin(beta) * cos(beta)
        slope = a * p * cos(beta) + b * z * sin(beta) - square * cos(2 * beta)
        beta -= off / slope
    phi = atan(tan(beta) * a / b)
    out = hypot(p - a * cos(beta), z - b * sin(beta))
    return degrees(phi), math.copysign(out, p - a * cos(beta))


def by_equator(p, z, a, f):
    """h from the plane of the equator, Z/sin φ − (1 − e²)ν."""
    phi = radians(by_repeating(p, z, a, f)[0])
    nu = a / sqrt(1 - f * (2 - f) * sin(phi) ** 2)
    return degrees(phi), z / sin(phi) - (1 - f) ** 2 * nu


def antenna(work, **how):
    return lambda g: named(PLACE, work(hypot(g["x"], g["y"]), g["z"], WGS84.a, WGS84.f, **how))


def proj_back(g):
    lat, _, height = AND_BACK.transform(g["x"], g["y"], g["z"])
    return {"lat": lat, "height": height}


INVERSE = [
    Way("PROJ", proj_back, "right"),
    Way("Bowring's closed formula", antenna(bowring), "right"),
    Way("the lesson's repeating, three times", antenna(by_repeating, passes=3), "right"),
    Way("φ to five decimals of a second", antenna(by_repeating, decimals=5), "right"),
    Way("φ as typed, then h", antenna(by_repeating, decimals=3), "right"),
    Way("Newton's steps to the foot", antenna(to_foot), "right"),
    Way("h from the plane of the equator", antenna(by_equator), "right"),
    Way("one pass only", antenna(by_repeating, passes=1), "right"),
    Way("as if h were 0", antenna(by_repeating, passes=0), "right or near"),
]


def other(work, **how):
    def route(g):
        shape = g["semi_major"], 1 / g["inverse_flattening"]
        return named(PLACE, work(g["p"], g["z"], *shape, **how))

    return route


def other_proj(g):
    text = f"+proj=cart +a={g['semi_major']!r} +rf={g['inverse_flattening']!r}"
    _, lat, height = proj(text, g["p"], 0.0, g["z"], inverse=True)
    return {"lat": lat, "height": height}


def other_again(g):
    """From φ and h on WGS 84 to X, Y, Z and back, at any longitude."""
    x, y, z = TO_XYZ.transform(g["lat"], 30.0, g["height"])
    shape = g["semi_major"], 1 / g["inverse_flattening"]
    return named(PLACE, bowring(hypot(x, y), z, *shape))


def molodensky(g, abridged=False):
    """Molodensky's formula with no shift of the centre, from WGS 84 to the other ellipsoid."""
    phi, f = radians(g["lat"]), WGS84.f
    da, df = g["semi_major"] - WGS84.a, 1 / g["inverse_flattening"] - f
    w = sqrt(1 - E2 * sin(phi) ** 2)
    nu, meridian = WGS84.a / w, WGS84.a * (1 - E2) / w**3
    if abridged:
        swell = WGS84.a * df + f * da
        north, up = swell * sin(2 * phi) / meridian, swell * sin(phi) ** 2 - da
    else:
        both = sin(phi) * cos(phi)
        north = da * nu * E2 * both / WGS84.a
        north += df * (meridian / (1 - f) + nu * (1 - f)) * both
        north /= meridian + g["height"]
        up = -da * WGS84.a / nu + df * (1 - f) * nu * sin(phi) ** 2
    return {"lat": g["lat"] + degrees(north), "height": g["height"] + up}


OTHER = [
    Way("PROJ", other_proj, "right"),
    Way("from φ and h on WGS 84", other_again, "right"),
    Way("Bowring's closed formula", other(bowring), "right"),
    Way("the lesson's repeating, three times", other(by_repeating, passes=3), "right"),
    Way("φ as typed, then h", other(by_repeating, decimals=3), "right"),
    Way("h from the plane of the equator", other(by_equator), "right"),
    Way("Molodensky's standard formula", molodensky, "right"),
    Way(
        "Molodensky's abridged formula",
        lambda g: molodensky(g, abridged=True),
        "right or near",
    ),
]


# ecef-baseline


def ends(g, decimals=15):
    return [
        np.round(ecef(g[f"lat{n}"], g[f"lon{n}"], g[f"height{n}"], WGS84.a, WGS84.f), decimals)
        for n in (1, 2)
    ]


def straight(decimals):
    return lambda g: {"length": math.dist(*ends(g, decimals))}


def local(g):
    """East, north and up of 2 as seen from 1, by PROJ, and the root of their squares."""
    text = f"+proj=topocentric +lat_0={g['lat1']} +lon_0={g['lon1']} +h_0={g['height1']}"
    return {"length": math.hypot(*proj(text, *ends(g)[1]))}


def along(g, radius=None):
    """The geodesic, its chord on a sphere of that radius (Euler's half way), then the heights."""
    line = WGS84.InverseLine(g["lat1"], g["lon1"], g["lat2"], g["lon2"])
    length = line.s13
    middle = line.Position(length / 2)
    w = 1 - E2 * sin(radians(middle["lat2"])) ** 2
    nu, meridian = WGS84.a / sqrt(w), WGS84.a * (1 - E2) / w**1.5
    alpha = radians(middle["azi2"])
    euler = 1 / (cos(alpha) ** 2 / meridian + sin(alpha) ** 2 / nu)
    return length, radius or euler


def reduced(g, radius=None):
    length, radius = along(g, radius)
    chord = 2 * radius * sin(length / 2 / radius)
    scale = (1 + g["height1"] / radius) * (1 + g["height2"] / radius)
    return {"length": hypot(chord * sqrt(scale), g["height2"] - g["height1"])}


def by_terms(g, radius=None):
    """The lesson's terms: s − s³/24R² + s·h/R + Δh²/2s."""
    s, radius = along(g, radius)
    mean, climb = (g["height1"] + g["height2"]) / 2, g["height2"] - g["height1"]
    return {"length": s - s**3 / 24 / radius**2 + s * mean / radius + climb**2 / 2 / s}


BASELINE = [
    Way("X, Y, Z to the millimetre", straight(3), "right"),
    Way("X, Y, Z to the centimetre", straight(2), "right"),
    Way("east, north, up by PROJ", local, "right"),
    Way("the geodesic reduced, Euler's radius", reduced, "right"),
    Way("the lesson's terms, Euler's radius", by_terms, "right"),
    Way("the geodesic reduced, R = 6 371 km", lambda g: reduced(g, R), "right or method:reduced"),
    Way("the lesson's terms, R = 6 371 km", lambda g: by_terms(g, R), "right or method:reduced"),
]


# ecef-local


def away(g):
    return np.array([g[f"beacon_{axis}"] - g[f"vessel_{axis}"] for axis in XYZ])


def topocentric(g):
    text = "+proj=topocentric " + " ".join(f"+{n.upper()}_0={g[f'vessel_{n}']}" for n in XYZ)
    return named(ENU, proj(text, *(g[f"beacon_{axis}"] for axis in XYZ)))


def two_turns(g, decimals=15):
    """About the Earth's axis by λ, then in the meridian by φ."""
    sl, sp = (round(sin(radians(g[name])), decimals) for name in ("lon", "lat"))
    cl, cp = (round(cos(radians(g[name])), decimals) for name in ("lon", "lat"))
    dx, dy, dz = away(g)
    out = round(cl * dx + sl * dy, 2)
    return named(ENU, (cl * dy - sl * dx, cp * dz - sp * out, cp * out + sp * dz))


def to_the_second(g):
    return named(ENU, axes(*(round(g[name] * 3600) / 3600 for name in ("lat", "lon"))) @ away(g))


LOCAL = [
    Way("PROJ's topocentric, from the antenna's X, Y, Z", topocentric, "right"),
    Way("two turns, as in the worked answer", two_turns, "right"),
    Way("sines and cosines to six decimals", lambda g: two_turns(g, 6), "right"),
    Way("sines and cosines to five decimals", lambda g: two_turns(g, 5), "right or near"),
    Way("φ and λ to the second", to_the_second, "right"),
]


# ecef-lever-arm


def arm(g, decimals=15):
    sine = round(sin(radians(g["heading"])), decimals)
    cosine = round(cos(radians(g["heading"])), decimals)
    east = g["forward"] * sine + g["starboard"] * cosine
    north = g["forward"] * cosine - g["starboard"] * sine
    return {"east": east, "north": north, "height": g["height"] - g["down"]}


def by_bearing(g, decimals=15):
    """The arm as bearing and distance, turned by the heading."""
    off = degrees(atan2(g["starboard"], g["forward"]))
    bearing = radians(round(g["heading"] + off, decimals))
    size = hypot(g["forward"], g["starboard"])
    height = g["height"] - g["down"]
    return {"east": size * sin(bearing), "north": size * cos(bearing), "height": height}


LEVER_ARM = [
    Way("sines to four decimals, as in the worked answer", lambda g: arm(g, 4), "right"),
    Way("sines to three decimals", lambda g: arm(g, 3), "right or near"),
    Way("as bearing and distance", by_bearing, "right"),
    Way("the bearing to 0.01°", lambda g: by_bearing(g, 2), "right"),
    Way(
        "a rotation of complex numbers",
        lambda g: {
            **turned(g["forward"], g["starboard"], g["heading"]),
            "height": g["height"] - g["down"],
        },
        "right",
    ),
]

WAYS = {
    "ecef-forward": FORWARD,
    "ecef-inverse": INVERSE,
    "ecef-baseline": BASELINE,
    "ecef-local": LOCAL,
    "ecef-lever-arm": LEVER_ARM,
    "ecef-other-ellipsoid": OTHER,
}
