"""
Ways at sailing.

The sheet's lines are judged as in test_solutions; each way works the size of one line otherwise,
where that line is wrong on the sheet.
"""

import math
from math import cos, hypot, radians, sin

import numpy as np
import pyproj

from exercises import find
from tests.test_solutions import (
    OLD,
    RHO,
    SOLUTIONS,
    Sheet,
    east_and_north,
    ecef,
    figures,
    geodetic,
    place,
    seven,
    with_letter,
)
from tests.ways import Way

GEOD = pyproj.Geod(ellps="WGS84")
BALL = pyproj.Geod(a=6_371_000, b=6_371_000)
FOOT, US_FOOT = 0.3048, 1200 / 3937


# sailing-foot


def northing(g, metres, off=None):
    return {"metres": metres, "off": metres - g["feet"] * FOOT if off is None else off}


def by_foot(foot):
    return lambda g: northing(g, g["feet"] * foot)


# sailing-packed


def taken_apart(g, decimals=12):
    whole, digits = f"{g['packed']:.4f}".split(".")
    minutes, seconds = int(digits[:2]), int(digits[2:])
    return {
        "latitude": int(whole) + round(minutes / 60, decimals) + round(seconds / 3600, decimals)
    }


def seconds_first(g):
    whole, digits = f"{g['packed']:.4f}".split(".")
    return {"latitude": int(whole) + (int(digits[:2]) + int(digits[2:]) / 60) / 60}


# sailing-sheet


def judged(line, size):
    """Return a way of judging the sheet with the size of one line worked otherwise."""

    def route(g):
        costs = SOLUTIONS["sailing-sheet"](g)
        if costs[line]:
            costs[line] = size(Sheet(find("sailing-sheet"), g))
        return costs

    return route


def start(sheet):
    return ecef(*sheet.mark, sheet.mark_height, *OLD)


def parameters(sheet, sign=1.0):
    return {name: sign * value for name, value in sheet.parameters.items()}


def stray_axis(sheet):
    return abs(figures(sheet["1 "].split("a =")[1])[0] - OLD[0])


def twice_the_rotation(sheet):
    turn = np.array([sheet.parameters[name] for name in ("rx", "ry", "rz")]) / RHO
    return 2 * np.linalg.norm(np.cross(turn, start(sheet)))


def twice_the_shift(sheet):
    return 2 * math.dist(sheet.through(), start(sheet))


def signs_turned(sheet):
    """Backwards as software does it, with all seven signs turned."""
    return math.dist(seven(parameters(sheet, -1.0), start(sheet)), sheet.through())


def grid_by_rule(sheet):
    """A false northing is ten thousand kilometres, a zone six degrees of longitude."""
    if grid_fault(sheet) == "northing":
        return 10_000.0
    return 6 * 111.2 * cos(radians(sheet.new[0]))


def grid_fault(sheet):
    south = "10 000 000" in sheet["4 "]
    return "northing" if south != (sheet.new[0] < 0) else "zone"


def grid_on_the_ellipsoid(sheet):
    """The test mark's numbers read back by the line as printed, and PROJ's geodesic."""
    meridian = with_letter(sheet["4 "].split("meridian")[1].split(",")[0])
    south = 1e7 if "10 000 000" in sheet["4 "] else 0
    grid = pyproj.Proj(
        f"+proj=tmerc +ellps=WGS84 +lon_0={meridian} +k=0.9996 +x_0=500000 +y_0={south}"
    )
    lon, lat = grid(*figures(sheet["Test mark, grid"].split(":")[1]), inverse=True)
    return GEOD.inv(sheet.new[1], sheet.new[0], lon, lat)[2] / 1000


def plate_along_and_across(sheet):
    east, north = (v * sheet.years for v in sheet.plate)
    return hypot(round(east, 2), round(north, 2))


def weight_by_rule(sheet):
    """4.85 mm for each second and kilometre, lesson 08."""
    xi, eta = figures(sheet["Model"].split("(")[0])
    depth = figures(sheet["Model"].split("water")[1])[0]
    return 4.85e-3 * hypot(xi, eta) * depth / 1000


def weight_by_parts(sheet):
    xi, eta = figures(sheet["Model"].split("(")[0])
    depth = figures(sheet["Model"].split("water")[1])[0]
    return hypot(round(xi * depth / 206_265, 2), round(eta * depth / 206_265, 2))


def corner(foot):
    return lambda sheet: figures(sheet["9 "])[0] * foot - figures(sheet["9 "])[1]


def two_in_a_million(sheet):
    return 2e-6 * figures(sheet["9 "])[1]


def pilot(sheet):
    lat, lon = figures(sheet["10 "].split(":")[1])
    return lat, lon, math.copysign(lon, sheet.mark[1])


def pilot_on(geod):
    def size(sheet):
        lat, lon, right = pilot(sheet)
        return geod.inv(lon, lat, right, lat)[2] / 1000

    return size


def pilot_by_parallel(sheet):
    lat, lon, _ = pilot(sheet)
    return radians(abs(math.remainder(2 * lon, 360))) * 6371 * cos(radians(lat))


def wreck_by_parallel(sheet):
    """2.337° of longitude, 111.2 km to the degree."""
    return 2.337 * 111.2 * cos(radians(figures(sheet["11 "].split("φ")[1])[0]))


def gauge_in_miles(sheet):
    """Minutes of arc as nautical miles."""
    packed = abs(figures(sheet["12 "].split("MMSS:")[1])[0])
    minutes, seconds = divmod(round(packed % 1 * 10_000), 100)
    return abs(minutes + seconds / 60 - packed % 1 * 60) * 1.852


def shift_by_degrees(sheet):
    """The seconds over 3 600, times the length of a degree of longitude, twice."""
    shift, metres = figures(sheet["13 "].split("gives")[1].split(" m)")[0].replace("(1″", ""))
    return 2 * abs(shift) / 3600 * (metres * 3600)


# sailing-waypoint


def waypoint(g, decimals=12, plate="geodesic", rotation="small", ellps="WGS84"):
    """Return the waypoint; latitude and longitude written down with so many decimals."""
    sheet = Sheet(find("sailing-waypoint"), g)
    lat, lon = in_wgs84(sheet, rotation)
    lat, lon = round(lat, decimals), round(lon, decimals)
    east, north = (v * sheet.years for v in sheet.plate)
    if plate == "geodesic":
        azimuth = math.degrees(math.atan2(east, north))
        lon, lat, _ = GEOD.fwd(lon, lat, azimuth, hypot(east, north))
    elif plate == "sphere":
        lat, lon = (
            lat + math.degrees(north / 6_371_000),
            lon + math.degrees(east / 6_371_000 / cos(radians(lat))),
        )
    zone = math.floor((sheet.new[1] + 180) / 6) + 1
    utm = pyproj.Proj(f"+proj=utm +zone={zone} +ellps={ellps} {'+south' if lat < 0 else ''}")
    pair, offset = utm(lon, lat), east_and_north(sheet["Waypoint"])
    moved = (east, north) if plate == "grid" else (0.0, 0.0)
    easting, northing_ = (sum(three) for three in zip(pair, offset, moved, strict=True))
    geoid = sheet.geoid_above * abs(figures(sheet["5 "].split("N =")[1])[0])
    down = figures(sheet["Chart datum"])[0] + figures(sheet["Charted depth"])[0]
    return {"easting": easting, "northing": northing_, "height": geoid - down}


def in_wgs84(sheet, rotation):
    point = ecef(*place(sheet["Well"]), 0.0, *OLD)
    if rotation == "PROJ":
        carried = by_proj(sheet, point)
    elif rotation == "full":
        carried = by_full_matrix(sheet, point)
    else:
        carried = seven(sheet.parameters, point)
    return geodetic(*carried, GEOD.a, GEOD.f)[:2]


def by_proj(sheet, point):
    p = {
        ("s" if name == "scale" else name[:1].replace("t", "") + name[-1:]): value
        for name, value in sheet.parameters.items()
    }
    words = " ".join(f"+{name}={value}" for name, value in p.items())
    operation = pyproj.Transformer.from_pipeline(
        f"+proj=helmert {words} +convention=position_vector"
    )
    return operation.transform(*point)


def by_full_matrix(sheet, point):
    """The rotations as three turns one after the other, with sines and cosines."""
    matrix = np.eye(3)
    for axis, name in enumerate(("rx", "ry", "rz")):
        angle = sheet.parameters[name] / RHO
        one, two = (axis + 1) % 3, (axis + 2) % 3
        turn = np.eye(3)
        turn[one, one] = turn[two, two] = cos(angle)
        turn[one, two], turn[two, one] = -sin(angle), sin(angle)
        matrix = turn @ matrix
    shift = [sheet.parameters[name] for name in ("tx", "ty", "tz")]
    return (1 + sheet.parameters["scale"] * 1e-6) * (matrix @ point) + shift


WAYS = {
    "sailing-foot": [
        Way("1200/3937", by_foot(US_FOOT), "right"),
        Way("ten figures of the nudge", by_foot(0.304_800_609_6), "right"),
        Way("the lesson's 0.304 800 61", by_foot(0.304_800_61), "right"),
        Way("39.37 inches in a metre", lambda g: northing(g, g["feet"] * 12 / 39.37), "right"),
        Way(
            "two parts in a million of the northing",
            lambda g: northing(g, g["feet"] * US_FOOT, g["feet"] * FOOT * 2e-6),
            "right",
        ),
        Way("3.280 833 33 feet in a metre", by_foot(1 / 3.280_833_33), "right"),
        Way(
            "3.280 833 3 feet in a metre",
            by_foot(1 / 3.280_833_3),
            "right or method:eight-figures",
        ),
        Way("0.304 800 6", by_foot(0.304_800_6), "method:seven-figures"),
    ],
    "sailing-paris": [
        Way("the prompt's 2.337 229°", lambda g: {"longitude": g["gon"] * 0.9 + 2.337229}, "right"),
        Way(
            "2.596 921 3 gon, then degrees",
            lambda g: {"longitude": (g["gon"] + 2.5969213) * 0.9},
            "right",
        ),
        Way(
            "2° 20′ 14.025″",
            lambda g: {"longitude": g["gon"] * 360 / 400 + 2 + 20 / 60 + 14.025 / 3600},
            "right",
        ),
        Way(
            "four decimals on the way",
            lambda g: {"longitude": round(g["gon"] * 0.9, 4) + 2.3372},
            "right",
        ),
    ],
    "sailing-packed": [
        Way("degrees, minutes and seconds", taken_apart, "right"),
        Way("seconds to minutes, minutes to degrees", seconds_first, "right"),
        Way("five decimals a term", lambda g: taken_apart(g, 5), "right"),
    ],
    "sailing-sheet": [
        Way("each line by its words", SOLUTIONS["sailing-sheet"], "right"),
        Way("1: the difference of the axes", judged("ellipsoid", stray_axis), "right"),
        Way("2: twice the rotation's part", judged("convention", twice_the_rotation), "right"),
        Way("3: twice the whole shift", judged("direction", twice_the_shift), "right"),
        Way("3: all seven signs turned", judged("direction", signs_turned), "right"),
        Way("4: ten thousand kilometres, six degrees", judged("grid", grid_by_rule), "right"),
        Way("4: on the ellipsoid", judged("grid", grid_on_the_ellipsoid), "right"),
        Way("7: parts to a centimetre", judged("epoch", plate_along_and_across), "right"),
        Way("8: 4.85 mm a second and kilometre", judged("plumb", weight_by_rule), "right"),
        Way("8: parts to a centimetre", judged("plumb", weight_by_parts), "right"),
        Way("9: two parts in a million", judged("corner", two_in_a_million), "right"),
        Way("9: 0.304 800 61", judged("corner", corner(0.304_800_61)), "right"),
        Way(
            "9: 0.304 800 6",
            judged("corner", corner(0.304_800_6)),
            "right or method:seven-figures",
        ),
        Way("10: great circle", judged("pilot", pilot_on(BALL)), "right"),
        Way("10: on the ellipsoid", judged("pilot", pilot_on(GEOD)), "right"),
        Way(
            "10: along the parallel", judged("pilot", pilot_by_parallel), "right or method:parallel"
        ),
        Way("11: along the parallel", judged("wreck", wreck_by_parallel), "right"),
        Way("12: in nautical miles", judged("gauge", gauge_in_miles), "right"),
        Way("13: by the degree", judged("shift", shift_by_degrees), "right"),
    ],
    "sailing-waypoint": [
        Way("textbook formulas, the plate along a geodesic", waypoint, "right"),
        Way("PROJ's seven parameters", lambda g: waypoint(g, rotation="PROJ"), "right"),
        Way("the full rotation matrix", lambda g: waypoint(g, rotation="full"), "right"),
        Way("the plate on a sphere", lambda g: waypoint(g, plate="sphere"), "right"),
        Way("the plate added on the grid", lambda g: waypoint(g, plate="grid"), "right"),
        Way("GRS 80 for WGS 84 on the grid", lambda g: waypoint(g, ellps="GRS80"), "right"),
        Way("φ, λ to seven decimals", lambda g: waypoint(g, decimals=7), "right"),
        Way("φ, λ to six decimals", lambda g: waypoint(g, decimals=6), "right or near"),
    ],
}
