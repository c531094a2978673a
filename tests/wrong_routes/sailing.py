"""
Wrong routes of sailing.

The sheet is read as a trainee reads it, by the words on it (the helpers of test_solutions); the
grid is Krüger's series of the grid's own module here.
"""

import math
from math import hypot, radians

from exercises import find
from tests.test_solutions import (
    OLD,
    SOLUTIONS,
    WGS84,
    Sheet,
    azimuth_of,
    east_and_north,
    ecef,
    figures,
    geodetic,
    kilometres,
    place,
    seven,
)
from tests.wrong_routes.grid import back_from_map, transverse_mercator

SHAPE = WGS84.a, 1 / WGS84.f
NEIGHBOURS = 6_378_206.4, 6_378_249.145, 6_378_137.0, 6_377_397.155
"""Axes of Clarke 1866, Clarke 1880 (RGS), GRS 80, Bessel 1841, in the order of their numbers."""

PARIS = 2.596_921_3 * 0.9
US_FOOT = 1200 / 3937


# sailing-packed


def taken_apart(g):
    degrees_, digits = f"{g['packed']:.4f}".split(".")
    return int(degrees_), int(digits[:2]), int(digits[2:])


def packed(g, minutes, seconds):
    """Return the latitude with each of the two pairs of digits worth so many degrees."""
    whole, first, second = taken_apart(g)
    return {"latitude": whole + first * minutes + second * seconds}


# sailing-sheet


def right_sheet(g):
    return SOLUTIONS["sailing-sheet"](g)


def missed(g):
    return {name: 0.0 for name, cost in right_sheet(g).items() if cost}


def once(g):
    """Half of what is reversed, where it is on the sheet."""
    costs = right_sheet(g)
    about = ("convention", "direction", "geoid", "shift")
    return {name: costs[name] / 2 for name in about if costs[name]}


def backwards(sheet, point):
    """Solve the seven parameters for the point that they would carry here."""
    found = point
    for _ in range(20):
        found = found + point - seven(sheet.parameters, found)
    return found


def on_sphere(lat, east, other):
    return kilometres(lat, east, lat, other)


def well_in_wgs84(sheet):
    lat, lon, _ = geodetic(*seven(sheet.parameters, well(sheet)), *WGS)
    return lat, lon


WGS = WGS84.a, WGS84.f


def well(sheet):
    return ecef(*place(sheet["Well"]), 0.0, *OLD)


def zone_of(sheet):
    """Return the central meridian of the zone in which the test mark's coordinates stand."""
    return 6 * (math.floor((sheet.new[1] + 180) / 6)) - 177


def wrong_grid(g):
    """The well on its grid, and that pair of numbers read back by the faulty line."""
    sheet = Sheet(find("sailing-waypoint"), g)
    lat, lon = well_in_wgs84(sheet)
    if g["grid_fault"] == "zone":
        return on_sphere(lat, lon, lon + 6)
    x, y = transverse_mercator(lat, lon - zone_of(sheet), *SHAPE)
    turned = y + (1 if lat < 0 else -1) * 1e7 / 0.9996
    wrong_lat, away = back_from_map(x, turned, *SHAPE)
    return kilometres(lat, lon, wrong_lat, zone_of(sheet) + away)


def false_alarms(g):
    """What each line that is right would cost with its fault, from the evidence and the line."""
    sheet = Sheet(find("sailing-sheet"), g)
    mark = sheet.through()
    xi, eta = figures(sheet["Model"].split("(")[0])
    depth = figures(sheet["Model"].split("water")[1])[0]
    _, separation = figures(sheet["Receiver"])
    feet = figures(sheet["9 "])[0]
    pilot_lat, pilot_lon = figures(sheet["10 "].split(":")[1])
    wreck = figures(sheet["11 "].split("φ")[1])[0]
    gauge = abs(figures(sheet["12 "].split("MMSS:")[1])[0])
    minutes, seconds = divmod(round(gauge % 1 * 10_000), 100)
    true_gauge = int(gauge) + minutes / 60 + seconds / 3600
    shift, metres = figures(sheet["13 "].split("gives")[1].split(" m)")[0].replace("(1″", ""))
    costs = {
        "ellipsoid": math.dist(sheet.through(NEIGHBOURS[g["neighbour"]]), mark),
        "convention": math.dist(sheet.through(turn=-1), mark),
        "direction": math.dist(backwards(sheet, ecef(*sheet.mark, sheet.mark_height, *OLD)), mark),
        "grid": wrong_grid(g),
        "geoid": 2 * abs(figures(sheet["5 "].split("N =")[1])[0]),
        "antenna": abs(separation),
        "epoch": hypot(*sheet.plate) * sheet.years,
        "plumb": depth * math.tan(radians(hypot(xi, eta) / 3600)),
        "corner": feet * (US_FOOT - 0.3048),
        "pilot": on_sphere(pilot_lat, pilot_lon, -pilot_lon),
        "wreck": on_sphere(wreck, 0.0, PARIS),
        "gauge": radians(true_gauge - gauge) * 6371,
        "shift": abs(shift * metres) + abs(shift * metres),
    }
    return {name: abs(cost) for name, cost in costs.items() if not right_sheet(g)[name]}


# sailing-waypoint


def waypoint(g, start=None, years=None, offset=True):
    """Return easting and northing: a point in WGS 84, moved with the plate, on the grid."""
    sheet = Sheet(find("sailing-waypoint"), g)
    lat, lon = start(sheet) if start else well_in_wgs84(sheet)
    east, north = (v * (sheet.years if years is None else years * sheet.years) for v in sheet.plate)
    if east or north:
        moved = WGS84.Direct(lat, lon, azimuth_of(east, north), hypot(east, north))
        lat, lon = moved["lat2"], moved["lon2"]
    x, y = transverse_mercator(lat, lon - zone_of(sheet), *SHAPE)
    right, up = east_and_north(sheet["Waypoint"]) if offset else (0.0, 0.0)
    false_northing = 1e7 if lat < 0 else 0.0
    return {
        "easting": 500_000 + 0.9996 * x + right,
        "northing": false_northing + 0.9996 * y + up,
    }


def through(route):
    """Return a start that carries the well's X, Y, Z by a route."""
    return lambda sheet: geodetic(*route(sheet), *WGS)[:2]


def turned_rotation(sheet):
    return seven(sheet.parameters, well(sheet), -1.0)


def on_the_new_ellipsoid(sheet):
    return seven(sheet.parameters, ecef(*place(sheet["Well"]), 0.0, *WGS))


def seabed(g, geoid=1, datum=1):
    sheet = Sheet(find("sailing-waypoint"), g)
    height = sheet.geoid_above * abs(figures(sheet["5 "].split("N =")[1])[0])
    chart = figures(sheet["Chart datum"])[0]
    return {"height": geoid * height - datum * chart - figures(sheet["Charted depth"])[0]}


ROUTES = {
    "sailing-foot": {
        "international": lambda g: {"metres": g["feet"] * 0.3048, "off": 0.0},
        "other-way": lambda g: {"metres": g["feet"] * 0.3048 * (0.3048 * 3937 / 1200)},
        "turned": lambda g: {"off": g["feet"] * 0.3048 - g["feet"] * 1200 / 3937},
        "rounded": lambda g: {
            "metres": g["feet"] / 3.28,
            "off": g["feet"] / 3.28 - g["feet"] * 0.3048,
        },
    },
    "sailing-paris": {
        "no-paris": lambda g: {"longitude": g["gon"] * 360 / 400},
        "subtracted": lambda g: {"longitude": g["gon"] * 360 / 400 - PARIS},
        "as-degrees": lambda g: {"longitude": g["gon"] + PARIS},
        "upside-down": lambda g: {"longitude": g["gon"] * 400 / 360 + PARIS},
    },
    "sailing-packed": {
        "as-decimal": lambda g: {"latitude": g["packed"]},
        "hundredths": lambda g: packed(g, 1 / 60, 1 / 6000),
        "no-seconds": lambda g: packed(g, 1 / 60, 0.0),
        "swapped-digits": lambda g: packed(g, 1 / 3600, 1 / 60),
    },
    "sailing-sheet": {"missed": missed, "false-alarm": false_alarms, "once": once},
    "sailing-waypoint": {
        "convention": lambda g: waypoint(g, through(turned_rotation)),
        "backwards": lambda g: waypoint(g, through(lambda s: backwards(s, well(s)))),
        "untouched": lambda g: waypoint(g, lambda s: place(s["Well"])),
        "new-ellipsoid": lambda g: waypoint(g, through(on_the_new_ellipsoid)),
        "no-epoch": lambda g: waypoint(g, years=0),
        "years-turned": lambda g: waypoint(g, years=-1),
        "no-offset": lambda g: waypoint(g, offset=False),
        "geoid-sign": lambda g: seabed(g, geoid=-1),
        "no-datum": lambda g: seabed(g, datum=0),
        "datum-above": lambda g: seabed(g, datum=-1),
        "no-geoid": lambda g: seabed(g, geoid=0),
    },
}
