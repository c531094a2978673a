"""
Ways at grid.

PROJ is the registry software here; hand work is done with four figures or with the constants that
lesson 12 prints.
"""

import math
from math import atan, atan2, cos, cosh, degrees, hypot, radians, sin, tan

import pyproj
from pyproj.aoi import AreaOfInterest
from pyproj.database import query_utm_crs_info

from tests.ways import Way
from tests.wrong_routes.grid import SHAPES

R = 6_371_000.0
GLOBE = "right or method:mean-radius or method:equator"  # the two are a tolerance or so apart
UTM = pyproj.Proj("+proj=utm +zone=31 +ellps=WGS84")  # every zone has the same figures
NAMES = {
    "International 1924": "intl",
    "Clarke 1866": "clrk66",
    "Bessel 1841": "bessel",
    "Airy 1830": "airy",
    "Krassowsky 1940": "krass",
}


# grid-zone


def zone(number, lat):
    return {
        "zone": number,
        "meridian": 6 * number - 183,
        "false_northing": 1e7 if lat < 0 else 0.0,
    }


def registry_zone(g):
    lon, lat = g["lon"], g["lat"]
    found = query_utm_crs_info("WGS 84", AreaOfInterest(lon, lat, lon, lat))
    crs = pyproj.CRS.from_epsg(found[0].code)
    read = {p.name: p.value for p in crs.coordinate_operation.params}
    return {
        "zone": int(found[0].code) % 100,
        "meridian": read["Longitude of natural origin"],
        "false_northing": read["False northing"],
    }


def map_sheet_zone(g):
    """The zone of the map sheets, with the exceptions off Norway and round Svalbard."""
    lat, lon = g["lat"], g["lon"]
    number = math.floor(lon / 6) + 31
    if 56 <= lat < 64 and 3 <= lon < 12:
        number = 32
    if 72 <= lat < 84 and 0 <= lon < 42:
        number = next(n for n, end in ((31, 9), (33, 21), (35, 33), (37, 42)) if lon < end)
    return zone(number, lat)


# grid-forward


def projected(g, shape, more=""):
    grid = pyproj.Proj(
        f"+proj=tmerc {shape} +lon_0={g['meridian']} +k={g['k0']} +x_0={g['false_easting']} "
        f"+y_0={g['false_northing']} {more}"
    )
    east, north = grid(g["lon"], g["lat"])
    return {"east": east, "north": north}


def by_numbers(g, more="", figures=9):
    a, inverse = SHAPES[g["ellipsoid"]]
    return projected(g, f"+a={a} +rf={inverse:.{figures}f}", more)


def by_name(g):
    name = NAMES.get(g["ellipsoid"])
    return projected(g, f"+ellps={name}") if name else by_numbers(g)


def redfearn(g):
    """The survey offices' series in Δλ, to Δλ⁶ in northing and Δλ⁵ in easting."""
    a, inverse = SHAPES[g["ellipsoid"]]
    f = 1 / inverse
    e2 = f * (2 - f)
    phi, lam = radians(g["lat"]), radians(g["lon"] - g["meridian"])
    nu = a / math.sqrt(1 - e2 * sin(phi) ** 2)
    rho = nu * (1 - e2) / (1 - e2 * sin(phi) ** 2)
    psi, t, w = nu / rho, tan(phi), lam * cos(phi)
    n = f / (2 - f)
    arc = (
        (1 + n**2 / 4 + n**4 / 64) * phi
        - (3 * n / 2 - 3 * n**3 / 16) * sin(2 * phi)
        + (15 * n**2 / 16 - 15 * n**4 / 64) * sin(4 * phi)
        - 35 * n**3 / 48 * sin(6 * phi)
        + 315 * n**4 / 512 * sin(8 * phi)
    ) * (a / (1 + n))
    east = (
        nu
        * w
        * (
            1
            + w**2 / 6 * (psi - t**2)
            + w**4
            / 120
            * (4 * psi**3 * (1 - 6 * t**2) + psi**2 * (1 + 8 * t**2) - 2 * psi * t**2 + t**4)
        )
    )
    north = arc + nu * t * w**2 / 2 * (
        1
        + w**2 / 12 * (4 * psi**2 + psi - t**2)
        + w**4
        / 360
        * (
            8 * psi**4 * (11 - 24 * t**2)
            - 28 * psi**3 * (1 - 6 * t**2)
            + psi**2 * (1 - 32 * t**2)
            - 2 * psi * t**2
            + t**4
        )
    )
    return {
        "east": g["false_easting"] + g["k0"] * east,
        "north": g["false_northing"] + g["k0"] * north,
    }


# grid-scale


def scale(g, radius=None, k0_below=True, kilometres=False):
    away = g["east"] - g["false_easting"]
    if kilometres:
        away = round(away / 1000, 1) * 1000
    below = (radius or g["radius"]) * (g["k0"] if k0_below else 1)
    return {"k": g["k0"] * (1 + (away / below) ** 2 / 2)}


def scale_by_ppm(g):
    """As a table of swells is used: whole and tenths of parts in a million, then k₀ + q."""
    away = (g["east"] - g["false_easting"]) / 1000
    ppm = round(away**2 / 2 / (g["radius"] / 1000) ** 2 * 1e6, 1)
    return {"k": g["k0"] + ppm / 1e6}


# grid-distance and grid-lbl


def down_to_the_marks(g, radius=R):
    flat = g["grid"] / g["k"]
    return {"ellipsoid": flat, "working": flat * (radius + g["height"]) / radius}


def by_parts_per_million(g):
    """Corrections in ppm, added: off by their product, a part in a million of a part."""
    flat = g["grid"] - g["grid"] * (g["k"] - 1)
    return {"ellipsoid": flat, "working": flat + flat * g["height"] / R}


def one_factor(g):
    together = g["k"] / (1 + g["height"] / R)
    return {"ellipsoid": g["grid"] / g["k"], "working": g["grid"] / together}


def rounded_on_the_way(g):
    flat = round(g["grid"] / g["k"], 2)
    return {"ellipsoid": flat, "working": flat * round(1 + g["height"] / R, 7)}


def lifted(g, flat):
    return {"ellipsoid": flat, "grid": flat * g["k"]}


# grid-convergence


def with_gamma(g, gamma):
    return {"gamma": gamma, "azimuth": (g["bearing"] + gamma) % 360}


def away(g):
    return g["lon"] - g["meridian"]


def lesson_gamma(g):
    return away(g) * sin(radians(g["lat"]))


def registry_gamma(g):
    grid = pyproj.Proj(f"+proj=tmerc +ellps=WGS84 +lon_0={g['meridian']} +k=0.9996")
    return grid.get_factors(g["lon"], g["lat"]).meridian_convergence


def spherical_gamma(g):
    return degrees(atan(tan(radians(away(g))) * sin(radians(g["lat"]))))


def gamma_from_easting(g):
    """γ = E′ tan φ/R, from the easting on the grid."""
    east = radians(away(g)) * 6_378_000 * cos(radians(g["lat"]))
    return degrees(east * tan(radians(g["lat"])) / 6_378_000)


# grid-heading


def by_azimuth_and_distance(g):
    side = degrees(atan2(g["starboard"], g["forward"]))
    azimuth = radians(g["heading"] + g["gamma"] + side)
    arm = hypot(g["forward"], g["starboard"])
    return {"east": arm * sin(azimuth), "north": arm * cos(azimuth)}


def on_the_grid_then_turned(g, digits=9):
    """Offset on the grid first, then turned by γ."""
    heading, gamma = radians(g["heading"]), radians(g["gamma"])
    east = round(g["forward"] * sin(heading) + g["starboard"] * cos(heading), digits)
    north = round(g["forward"] * cos(heading) - g["starboard"] * sin(heading), digits)
    return {
        "east": east * cos(gamma) + north * sin(gamma),
        "north": north * cos(gamma) - east * sin(gamma),
    }


def heading_rounded(g, digits):
    true = radians(round(g["heading"] + g["gamma"], digits))
    return {
        "east": g["forward"] * sin(true) + g["starboard"] * cos(true),
        "north": g["forward"] * cos(true) - g["starboard"] * sin(true),
    }


# grid-arc-to-chord


def bend(g, rho=206_265.0, radius=None, k0=None, more=0.0, kilometres=False):
    one, two = g["e1"] - g["false_easting"], g["e2"] - g["false_easting"]
    along = g["n1"] - g["n2"]
    if kilometres:
        one, two, along = (round(v / 1000, 2) * 1000 for v in (one, two, along))
    below = ((k0 or g["k0"]) * (radius or g["radius"])) ** 2
    weighed = 2 * one + two
    return {"correction": rho * weighed * along / (6 * below) * (1 - more * weighed**2 / below)}


def by_definition(g):
    """t by the grid, T by the geodesic on WGS 84 and PROJ's convergence, t − T in seconds."""
    (lon1, lat1), (lon2, lat2) = (UTM(g[f"e{n}"], g[f"n{n}"], inverse=True) for n in (1, 2))
    azimuth = pyproj.Geod(ellps="WGS84").inv(lon1, lat1, lon2, lat2)[0]
    gamma = UTM.get_factors(lon1, lat1).meridian_convergence
    bearing = degrees(atan2(g["e2"] - g["e1"], g["n2"] - g["n1"]))
    return {"correction": math.remainder(bearing - (azimuth - gamma), 360) * 3600}


# grid-quay


def quay(g, azimuth, distance=None):
    correction = math.remainder(azimuth - g["gyro"], 360)
    return {
        "azimuth": azimuth % 360,
        "correction": correction,
        "distance": g["edm"] * g["k"] if distance is None else distance,
    }


def bearing(g):
    return degrees(atan2(g["e2"] - g["e1"], g["n2"] - g["n1"]))


def by_quadrants(g):
    """With the arctangent of a pocket calculator and the quadrant from a sketch."""
    east, north = g["e2"] - g["e1"], g["n2"] - g["n1"]
    angle = degrees(atan(abs(east / north)))
    if east >= 0:
        angle = angle if north > 0 else 180 - angle
    else:
        angle = 360 - angle if north > 0 else 180 + angle
    return quay(g, round(angle, 3) + g["gamma"])


def by_geodesic(g):
    """Both marks to latitude and longitude, then the geodesic's azimuth."""
    # γ has the sign of E′ in the north and the other one in the south
    south = (g["gamma"] > 0) != (g["e1"] > 500_000)
    grid = pyproj.Proj(f"+proj=utm +zone=31 +ellps=WGS84 {'+south' if south else ''}")
    one, two = (grid(g[f"e{n}"], g[f"n{n}"], inverse=True) for n in (1, 2))
    return quay(g, pyproj.Geod(ellps="WGS84").inv(*one, *two)[0])


def by_own_scale(g):
    """k by the lesson's formula with 6 371 km, for the printed one."""
    middle = (g["e1"] + g["e2"]) / 2 - 500_000
    k = 0.9996 * (1 + (middle / (0.9996 * R)) ** 2 / 2)
    return quay(g, bearing(g) + g["gamma"], g["edm"] * k)


WAYS = {
    "grid-zone": [
        Way(
            "floor((λ + 180)/6) + 1",
            lambda g: zone(math.floor((g["lon"] + 180) / 6) + 1, g["lat"]),
            "right",
        ),
        Way(
            "30 and the sixes from Greenwich",
            lambda g: zone(30 + math.ceil(g["lon"] / 6), g["lat"]),
            "right",
        ),
        Way("the registry's zones", registry_zone, "right"),
        Way("the zones of the map sheets", map_sheet_zone, "right"),
    ],
    "grid-forward": [
        Way("the printed parameters in registry software", by_numbers, "right"),
        Way("the ellipsoid by its name", by_name, "right"),
        Way("1/f to seven decimals", lambda g: by_numbers(g, figures=7), "right"),
        Way("PROJ's short series", lambda g: by_numbers(g, "+approx"), "right"),
        Way("Redfearn's series", redfearn, "right"),
    ],
    "grid-scale": [
        Way("the prompt's formula", scale, "right"),
        Way(
            "the hyperbolic cosine of the sphere",
            lambda g: {
                "k": g["k0"] * cosh((g["east"] - g["false_easting"]) / g["k0"] / g["radius"])
            },
            "right",
        ),
        Way("E′²/2R² without k₀ below", lambda g: scale(g, k0_below=False), "right"),
        Way("k₀ + E′²/2R² in tenths of a ppm", scale_by_ppm, "right"),
        Way("E′ in tenths of a kilometre", lambda g: scale(g, kilometres=True), "right"),
        Way("R in whole kilometres", lambda g: scale(g, radius=round(g["radius"], -3)), "right"),
        Way("R = 6 371 km", lambda g: scale(g, radius=R), GLOBE),
        Way("R = 6 378 km", lambda g: scale(g, radius=6_378_000), GLOBE),
        Way("R = 6 378 137 m", lambda g: scale(g, radius=6_378_137), GLOBE),
    ],
    "grid-distance": [
        Way("divide, then (R + h)/R", down_to_the_marks, "right"),
        Way("corrections in ppm", by_parts_per_million, "right"),
        Way("one combined factor", one_factor, "right"),
        Way("rounded to a centimetre on the way", rounded_on_the_way, "right"),
        Way("R = 6 378 km", lambda g: down_to_the_marks(g, 6_378_000), "right"),
    ],
    "grid-lbl": [
        Way("R/(R − d)", lambda g: lifted(g, g["baseline"] * R / (R - g["depth"])), "right"),
        Way("1 + d/R", lambda g: lifted(g, g["baseline"] * (1 + g["depth"] / R)), "right"),
        Way(
            "R = 6 378 km",
            lambda g: lifted(g, g["baseline"] * 6378 / (6378 - g["depth"] / 1000)),
            "right",
        ),
        Way(
            "the lesson's 0.94 m in 2 km at 3 000 m",
            lambda g: lifted(g, g["baseline"] + 0.94 * g["baseline"] / 2000 * g["depth"] / 3000),
            "right",
        ),
        Way(
            "rounded to a centimetre on the way",
            lambda g: lifted(g, round(g["baseline"] * R / (R - g["depth"]), 2)),
            "right",
        ),
    ],
    "grid-convergence": [
        Way("the lesson's Δλ sin φ", lambda g: with_gamma(g, lesson_gamma(g)), "right"),
        Way("registry software", lambda g: with_gamma(g, registry_gamma(g)), "right"),
        Way("tan γ = tan Δλ sin φ", lambda g: with_gamma(g, spherical_gamma(g)), "right"),
        Way("E′ tan φ/R", lambda g: with_gamma(g, gamma_from_easting(g)), "right"),
        Way(
            "γ rounded before it is added",
            lambda g: with_gamma(g, round(lesson_gamma(g), 2)),
            "right",
        ),
        Way(
            "sin φ with four figures",
            lambda g: with_gamma(g, round(away(g), 3) * round(sin(radians(g["lat"])), 4)),
            "right",
        ),
        Way(
            "γ with the sign of the manuals that print it the other way",
            lambda g: with_gamma(g, lesson_gamma(g)) | {"gamma": -lesson_gamma(g)},
            "slip:turned",
        ),
    ],
    "grid-heading": [
        Way("azimuth and length of the arm", by_azimuth_and_distance, "right"),
        Way("on the grid first, then turned", on_the_grid_then_turned, "right"),
        Way(
            "on the grid to a centimetre, then turned",
            lambda g: on_the_grid_then_turned(g, 2),
            "right",
        ),
        Way("true heading to a tenth", lambda g: heading_rounded(g, 1), "right or near"),
    ],
    "grid-arc-to-chord": [
        Way("the prompt's formula with 206 265", bend, "right"),
        Way(
            "with the second term, 1 − (2E₁′ + E₂′)²/27R²", lambda g: bend(g, more=1 / 27), "right"
        ),
        Way("without k₀ below", lambda g: bend(g, k0=1.0), "right"),
        Way(
            "coordinates in hundredths of a kilometre", lambda g: bend(g, kilometres=True), "right"
        ),
        Way("R = 6 371 km", lambda g: bend(g, radius=R), GLOBE),
        Way("R = 6 378 km", lambda g: bend(g, radius=6_378_000), GLOBE),
        Way("by definition: geodesic and convergence", by_definition, "right"),
    ],
    "grid-quay": [
        Way("atan2, γ, k", lambda g: quay(g, bearing(g) + g["gamma"]), "right"),
        Way("arctangent and quadrant, bearing to 0.001°", by_quadrants, "right"),
        Way(
            "rounded to 0.01° on the way",
            lambda g: quay(g, round(bearing(g), 2) + round(g["gamma"], 2)),
            "right",
        ),
        Way("the geodesic between the marks", by_geodesic, "right"),
        Way("k by the lesson's formula", by_own_scale, "right"),
        Way(
            "ppm added to the tape",
            lambda g: quay(
                g, bearing(g) + g["gamma"], g["edm"] + g["edm"] * round((g["k"] - 1) * 1e6) / 1e6
            ),
            "right",
        ),
    ],
}
