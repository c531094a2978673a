"""
The client's parameter sheet of lesson 12: its places, its thirteen lines, its planted faults.

One sheet belongs to one trainee and turn. What is true is worked by geokit from published
parameters; a planted fault changes one line of the sheet and nothing else. Fields, marks and wells
are invented; ellipsoids, parameters, geoid and plates are real.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from exercises.question.dice import Dice, printed
from exercises.question.model import Answer, Given
from exercises.question.wording import dms, number
from geokit import deflection
from geokit.datums import Helmert
from geokit.ecef import from_ecef, to_ecef
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import (
    BESSEL1841,
    CLARKE1866,
    CLARKE1880RGS,
    GRS80,
    INTERNATIONAL1924,
    WGS84,
)
from geokit.geoid import EGM96
from geokit.grid import TransverseMercator, utm
from geokit.lines import great_circle
from geokit.motion import move, velocity
from geokit.plates import ITRF2020

PARIS = 2.337229167
"""Degrees east of Greenwich, 2.596 921 3 gon: EPSG prime meridian 8903."""

US_FOOT, FOOT = 1200 / 3937, 0.3048
"""Metres in the US survey foot (EPSG unit 9003) and in the international foot (9002)."""

SPHERE = 6371.0  # kilometres, for the sizes that are asked in kilometres
CONVENTION = "position vector"  # of all three operations: EPSG method 9606
ARRAY_NOISE = 0.10  # metres, of the seabed array on the sheet
STEEP, DEEP = 30.0, 1500.0  # an ignored deflection is planted only beyond both
NEIGHBOURS = (CLARKE1866, CLARKE1880RGS, GRS80, BESSEL1841)  # whose axis strays onto the sheet

LINES = {
    "ellipsoid": "Ellipsoid",
    "convention": "Rotation convention",
    "direction": "Direction",
    "grid": "Grid",
    "geoid": "Geoid height",
    "antenna": "Antenna height",
    "epoch": "Epoch",
    "plumb": "Plumb line",
    "corner": "Lease corner",
    "pilot": "Pilot position",
    "wreck": "Wreck",
    "gauge": "Tide gauge",
    "shift": "Shift grid",
}
UNITS = {name: "km" if name in ("grid", "pilot", "wreck", "gauge") else "m" for name in LINES}
TWICE = ("convention", "direction", "geoid", "shift")  # turned about: off by twice itself


@dataclass(frozen=True)
class Field:
    """A field with its old datum (on International 1924), its plate, its UTM zone, its wells."""

    name: str
    datum: str
    operation: str
    parameters: tuple[float, ...]  # tx, ty, tz in m; rx, ry, rz in arcseconds; scale in ppm
    plate: str
    zone: int
    hemisphere: str
    mark: tuple[float, float]  # a test mark ashore, old datum
    wells: tuple[tuple[float, float], ...]  # old datum, degrees
    depths: tuple[int, int]

    @property
    def helmert(self) -> Helmert:
        """The published transformation from the old datum to WGS 84."""
        return Helmert(*self.parameters, convention=CONVENTION)

    @property
    def grid(self) -> TransverseMercator:
        """The grid of the job."""
        return utm(self.zone, self.hemisphere, WGS84)


def _wells(lat: float, lon: float) -> tuple[tuple[float, float], ...]:
    """Spread eight wells about a place, at seconds that nobody guesses."""
    seconds = ((3.117, 41.902), (27.448, 8.236), (51.603, 33.571), (14.926, 57.084))
    steps = ((-0.06, -0.05), (0.05, -0.02), (-0.02, 0.06), (0.04, 0.05))
    places = [
        (lat + north * way, lon + east * way, *second)
        for way in (1, -0.6)
        for (north, east), second in zip(steps, seconds, strict=True)
    ]
    return tuple(
        (round(a * 60) / 60 + s / 3600, round(b * 60) / 60 + t / 3600) for a, b, s, t in places
    )


FIELDS = (
    Field(
        "Sorrel Wall",
        "Guadeloupe 1948",
        "Guadeloupe 1948 to WGS 84 (2), EPSG 1905",
        (-472.29, -5.63, -304.12, 0.4362, -0.8374, 0.2563, 1.8984),
        "CARB",
        20,
        "north",
        (16 + 11 / 60 + 24.318 / 3600, -(61 + 29 / 60 + 47.205 / 3600)),
        _wells(16.34, -60.76),
        (1600, 3400),
    ),
    Field(
        "Lapwing Reef",
        "IGN56 Lifou",
        "IGN56 Lifou to WGS 84 (2), EPSG 1927",
        (137.092, 131.66, 91.475, -1.9436, -11.5993, -4.3321, -7.4824),
        "AUST",
        58,
        "south",
        (-(20 + 52 / 60 + 8.441 / 3600), 167 + 8 / 60 + 19.632 / 3600),
        _wells(-20.10, 167.66),
        (1200, 2400),
    ),
    Field(
        "Dunnock Field",
        "ED50",
        "ED50 to WGS 84 (24), EPSG 1613",
        (-90.365, -101.13, -123.384, 0.333, 0.077, 0.894, 1.994),
        "EURA",
        31,
        "north",
        (58 + 20 / 60 + 15.774 / 3600, 5 + 42 / 60 + 33.186 / 3600),
        _wells(57.62, 2.36),
        (70, 140),
    ),
)
MARK_HEIGHT = 41.37  # of the test mark, above the old ellipsoid


# What is true --------------------------------------------------------------------------


@dataclass(frozen=True)
class Carried:
    """A point carried to WGS 84 by one route: X, Y, Z, position and grid coordinates."""

    xyz: tuple[float, float, float]
    position: tuple[float, float, float]
    grid: tuple[float, float]


@lru_cache(maxsize=2048)
def carried(
    field: int,
    place: tuple[float, float],
    height: float,
    route: str = "right",
    ellipsoid: Ellipsoid = INTERNATIONAL1924,
) -> Carried:
    """
    Carry a point of the old datum to WGS 84.

    Parameters
    ----------
    route : str
        "right"; "turned" for the other rotation convention; "backwards" for the sheet used from
        WGS 84 to the old datum; "untouched" for the old numbers read as WGS 84.
    """
    here = FIELDS[field]
    xyz = to_ecef(*place, height, ellipsoid)
    if route in ("right", "turned"):
        convention = CONVENTION if route == "right" else "coordinate frame"
        xyz = Helmert(*here.parameters, convention=convention).apply(*xyz)
    elif route == "backwards":
        xyz = here.helmert.reverse().apply(*xyz)
    position = (
        (*place, height) if route == "untouched" else from_ecef(xyz[0], xyz[1], xyz[2], WGS84)
    )
    return Carried(xyz, position, here.grid.forward(*position[:2]))


@lru_cache(maxsize=64)
def drift(field: int, place: tuple[float, float]) -> tuple[float, float, float, float]:
    """Return east and north of the plate in mm a year as printed, and of the grid in m a year."""
    here, start = FIELDS[field], carried(field, place, 0.0)
    lat, lon, _ = start.position
    east, north = (printed(1000 * v, 1) for v in velocity(lat, lon, ITRF2020[here.plate], WGS84))
    later = move(lat, lon, 0.0, east / 1000, north / 1000, 0.0, 100.0, WGS84)
    on_grid = here.grid.forward(*later[:2])
    return east, north, *((b - a) / 100 for a, b in zip(start.grid, on_grid, strict=True))


@lru_cache(maxsize=64)
def model(field: int, place: tuple[float, float]) -> tuple[float, float, float]:
    """Return ξ, η in arcseconds and N in metres, model values as printed."""
    lat, lon, _ = carried(field, place, 0.0).position
    xi, eta = deflection.from_geoid(lat, lon, EGM96, WGS84)
    return printed(xi, 1), printed(eta, 1), printed(EGM96.height(lat, lon), 2)


@lru_cache(maxsize=64)
def _lean(field: int, place: tuple[float, float]) -> tuple[float, float]:
    """Return the size of the deflection in arcseconds, and how far it sets a weight off a metre."""
    xi, eta, _ = model(field, place)
    return deflection.total(xi, eta)[0], math.hypot(*deflection.seabed_offset(xi, eta, 1.0))


@lru_cache(maxsize=8)
def _second_of_longitude(field: int) -> float:
    lat = FIELDS[field].mark[0]
    across = WGS84.prime_vertical_radius(lat) * math.cos(math.radians(lat))
    return printed(math.radians(across / 3600), 2)


@lru_cache(maxsize=4096)
def _on_sphere(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    return great_circle(lat1, lon1, lat2, lon2, SPHERE)[0]


@lru_cache(maxsize=64)
def _wrong_grid(field: int, place: tuple[float, float], northing: bool) -> float:
    """Return how far the wells land with the wrong false northing or zone, in km."""
    here = FIELDS[field]
    lat, lon, _ = carried(field, place, 0.0).position
    if not northing:
        return _on_sphere(lat, lon, lat, lon + 6)
    east, north = here.grid.forward(lat, lon)
    turned = utm(here.zone, "south" if here.hemisphere == "north" else "north", WGS84)
    return _on_sphere(lat, lon, *turned.inverse(east, north))


def well(given: Given) -> tuple[float, float]:
    """Return the well of a sheet, latitude and longitude on the old datum."""
    return FIELDS[given["field"]].wells[given["well"]]


def neighbour(given: Given) -> Ellipsoid:
    """Return the ellipsoid whose axis strays onto the sheet where that fault is planted."""
    return Ellipsoid(
        "stray axis",
        NEIGHBOURS[given["neighbour"]].semi_major,
        INTERNATIONAL1924.inverse_flattening,
        source="planted",
    )


@lru_cache(maxsize=64)
def _at_mark(field: int, stray: int) -> tuple[float, float, float]:
    """Return how far the test mark moves by wrong axis, turned convention, wrong direction."""
    mark = FIELDS[field].mark
    right = carried(field, mark, MARK_HEIGHT).xyz
    axis = neighbour({"neighbour": stray})
    moved = (
        carried(field, mark, MARK_HEIGHT, ellipsoid=axis),
        carried(field, mark, MARK_HEIGHT, "turned"),
        carried(field, mark, MARK_HEIGHT, "backwards"),
    )
    first, second, third = (math.dist(right, other.xyz) for other in moved)
    return first, second, third


def unpacked(value: float) -> float:
    """Return DD.MMSS as decimal degrees."""
    whole = round(abs(value) * 10_000)
    degrees, minutes, seconds = whole // 10_000, whole // 100 % 100, whole % 100
    return math.copysign(degrees + minutes / 60 + seconds / 3600, value)


def sizes(given: Given) -> Answer:
    """Return what each fault costs where it is planted, in the unit of its line."""
    field, place = given["field"], well(given)
    height = model(field, place)[2]
    east, north = drift(field, place)[:2]
    years = given["job_epoch"] - given["list_epoch"]
    axis, turned, backwards = _at_mark(field, given["neighbour"])
    wreck = given["wreck_lat"]
    return {
        "ellipsoid": axis,
        "convention": turned,
        "direction": backwards,
        "grid": _wrong_grid(field, place, given["grid_fault"] == "northing"),
        "geoid": 2 * abs(height),
        "antenna": abs(given["separation"]),
        "epoch": math.hypot(east, north) * years / 1000,
        "plumb": given["depth"] * _lean(field, place)[1],
        "corner": given["corner_feet"] * (US_FOOT - FOOT),
        "pilot": _on_sphere(
            given["pilot_lat"], given["pilot_lon"], given["pilot_lat"], -given["pilot_lon"]
        ),
        "wreck": _on_sphere(wreck, 0.0, wreck, PARIS),
        "gauge": abs(unpacked(given["gauge"]) - given["gauge"]) * math.radians(SPHERE),
        "shift": 2 * abs(given["shift"]) * given["shift_metres"],
    }


# The draw ------------------------------------------------------------------------------


def draw(dice: Dice) -> Answer:
    """Draw a sheet: its field, its numbers, its planted faults."""
    field = dice.choose((0, 0, 1, 2))  # the steep wall comes twice as often
    here = FIELDS[field]
    lat, lon = here.mark
    index = dice.whole(0, len(here.wells) - 1)
    height = model(field, here.wells[index])[2]
    northing = carried(field, here.wells[index], 0.0).grid[1]
    side = 1 if lon > 0 else -1
    minutes = math.floor(abs(lat)) + dice.whole(20, 45) / 100 + dice.whole(20, 55) / 10_000
    given: Answer = {
        "field": field,
        "well": index,
        "neighbour": dice.whole(0, len(NEIGHBOURS) - 1),
        "grid_fault": dice.choose(("zone", "northing")),
        "list_epoch": dice.whole(1998, 2008) + 0.5,
        "job_epoch": 2026.5,
        "depth": float(dice.whole(here.depths[0] // 10, here.depths[1] // 10) * 10),
        "separation": printed(height + dice.signed(1.1, 3.9, 1), 1),
        "altitude": dice.number(9, 19, 2),
        "corner_feet": printed((northing + dice.signed(3000, 9000, 0)) / US_FOOT, 2),
        "pilot_lat": printed(lat + dice.number(0.02, 0.12, 2), 2),
        "pilot_lon": printed(lon + dice.number(0.02, 0.12, 2), 2),
        "wreck_lat": printed(lat + dice.number(0.10, 0.30, 2), 2),
        "wreck_gon": printed((lon - PARIS) / 0.9 + dice.number(0.05, 0.4, 4), 4),
        "gauge": printed(math.copysign(minutes, lat), 4),
        "shift": dice.signed(2.5, 8.5, 3),
        "shift_metres": _second_of_longitude(field),
        "chart_datum": dice.number(0.4, 1.9, 2),
        "offset_east": side * dice.number(60, 240, 1),
        "offset_north": -dice.number(60, 240, 1),
    }
    return given | {"planted": _plant(dice, given)}


def _plant(dice: Dice, given: Given) -> list[str]:
    """Draw three to five faults, one at least that turns something about."""
    count = dice.whole(3, 5)
    steep = _lean(given["field"], well(given))[0] > STEEP and given["depth"] > DEEP
    possible = [name for name in LINES if name != "plumb" or steep]
    while True:
        planted = dice.shuffled(possible)[:count]
        if set(planted) & set(TWICE):
            return [name for name in LINES if name in planted]


# The sheet in words --------------------------------------------------------------------


def _position(lat: float, lon: float, height: float | None = None) -> str:
    text = f"{dms(lat, 3, 'latitude')}, {dms(lon, 3, 'longitude')}"
    return text if height is None else f"{text}, h {number(height, 2, signed=True)} m"


def _mark(given: Given) -> Carried:
    return carried(given["field"], FIELDS[given["field"]].mark, MARK_HEIGHT)


def _mark_old(given: Given) -> str:
    here = FIELDS[given["field"]]
    return f"{here.datum}: {_position(*here.mark, MARK_HEIGHT)}"


def _mark_new(given: Given) -> str:
    return f"WGS 84: {_position(*_mark(given).position)}"


def _mark_grid(given: Given) -> str:
    east, north = _mark(given).grid
    return f"WGS 84 / UTM: E {number(east, 2)} m, N {number(north, 2)} m"


def _mark_level(given: Given) -> str:
    levelled = _mark(given).position[2] - _geoid_at_mark(given["field"])
    return f"H {_signed(levelled, 2)} m above the geoid, levelled"


def _receiver(given: Given) -> str:
    return (
        f"altitude {number(given['altitude'], 2)} m, geoid separation "
        f"{_signed(given['separation'], 1)} m"
    )


def _tilt(given: Given) -> str:
    xi, eta, _ = model(given["field"], well(given))
    return (
        f"ξ {_signed(xi, 1)}″, η {_signed(eta, 1)}″ (EGM96); water {number(given['depth'], 0)} m; "
        f"array good to {ARRAY_NOISE:.2f} m"
    )


def _plate(given: Given) -> str:
    east, north, *_ = drift(given["field"], well(given))
    return f"{_signed(east, 1)} mm/yr east, {_signed(north, 1)} mm/yr north (ITRF2020)"


@lru_cache(maxsize=8)
def _geoid_at_mark(field: int) -> float:
    """Return N at the test mark, in metres."""
    position = carried(field, FIELDS[field].mark, MARK_HEIGHT).position
    return float(EGM96.height(*position[:2]))


def says(given: Given, name: str, faulty: bool) -> str:
    """Return what a line of the sheet says, right or with its fault."""
    return _SAYS[name](given, faulty)


def _ellipsoid(g: Given, faulty: bool) -> str:
    axis = NEIGHBOURS[g["neighbour"]] if faulty else INTERNATIONAL1924
    return f"International 1924: a = {number(axis.semi_major, 3)} m, 1/f = 297"


def _convention(g: Given, faulty: bool) -> str:
    tx, ty, tz, rx, ry, rz, scale = FIELDS[g["field"]].parameters
    return (
        f"tX {_signed(tx)}, tY {_signed(ty)}, tZ {_signed(tz)} m; rX {_signed(rx, 4)}″, "
        f"rY {_signed(ry, 4)}″, rZ {_signed(rz, 4)}″; scale {_signed(scale, 4)} ppm; "
        + ("coordinate frame" if faulty else CONVENTION)
    )


def _signed(value: float, decimals: int = 3) -> str:
    return number(value, decimals, signed=True)


def _direction(g: Given, faulty: bool) -> str:
    here = FIELDS[g["field"]]
    ends = ("WGS 84", here.datum) if faulty else (here.datum, "WGS 84")
    return "These parameters are applied from {} to {}".format(*ends)


def _grid(g: Given, faulty: bool) -> str:
    here = FIELDS[g["field"]]
    zone = here.zone + (1 if faulty and g["grid_fault"] == "zone" else 0)
    middle = 6 * zone - 183
    south = (here.hemisphere == "south") != (faulty and g["grid_fault"] == "northing")
    return (
        f"WGS 84 / UTM, central meridian {abs(middle)}° {'E' if middle > 0 else 'W'}, false "
        f"easting 500 000 m, false northing {'10 000 000' if south else '0'} m, k₀ 0.9996"
    )


def _geoid(g: Given, faulty: bool) -> str:
    height = model(g["field"], well(g))[2] * (-1 if faulty else 1)
    side = "above" if height > 0 else "below"
    return f"At the field N = {number(height, 2, signed=True)} m, geoid {side} the ellipsoid"


def _antenna(g: Given, faulty: bool) -> str:
    height = g["altitude"] + (0 if faulty else g["separation"])
    return f"Ellipsoidal height of the antenna {number(height, 2, signed=True)} m"


def _epoch(g: Given, faulty: bool) -> str:
    years = g["job_epoch"] - g["list_epoch"]
    what = "are used as they stand" if faulty else f"are moved {years:.1f} years with the plate"
    return (
        f"Transformed positions are ITRF2020 at {g['list_epoch']:.1f}; for the job at "
        f"{g['job_epoch']:.1f} they {what}"
    )


def _plumb(g: Given, faulty: bool) -> str:
    xi, eta, _ = model(g["field"], well(g))
    east, north = deflection.seabed_offset(xi, eta, g["depth"])
    if faulty or math.hypot(east, north) < ARRAY_NOISE:
        return "Seabed array: plumb line and ellipsoid normal taken as one"
    return (
        "Seabed array: foot of the plumb line set off from that of the normal by "
        f"{number(east, 2, signed=True)} m east, {number(north, 2, signed=True)} m north"
    )


def _corner(g: Given, faulty: bool) -> str:
    metres = g["corner_feet"] * (FOOT if faulty else US_FOOT)
    return (
        f"Northing {number(g['corner_feet'], 2)} US survey feet, entered as {number(metres, 2)} m"
    )


def _pilot(g: Given, faulty: bool) -> str:
    lon = g["pilot_lon"] * (-1 if faulty else 1)
    return (
        f"Off the test mark's harbour, north + and east +: "
        f"{number(g['pilot_lat'], 2, signed=True)}°, {number(lon, 2, signed=True)}°"
    )


def _wreck(g: Given, faulty: bool) -> str:
    degrees = g["wreck_gon"] * 0.9 + (0 if faulty else PARIS)
    return (
        f"French chart, φ {number(g['wreck_lat'], 2, signed=True)}°, λ "
        f"{number(abs(g['wreck_gon']), 4)} gon {'E' if g['wreck_gon'] > 0 else 'W'} of Paris, "
        f"entered as {number(abs(degrees), 5)}° {'E' if degrees > 0 else 'W'} of Greenwich"
    )


def _gauge(g: Given, faulty: bool) -> str:
    degrees = g["gauge"] if faulty else unpacked(g["gauge"])
    return (
        f"φ in a list headed DD.MMSS: {number(g['gauge'], 4, signed=True)}, entered as "
        f"{number(degrees, 5, signed=True)}°"
    )


def _shift(g: Given, faulty: bool) -> str:
    west = (g["shift"] > 0) != faulty
    return (
        f"Grid headed “longitude positive west” gives {number(g['shift'], 3, signed=True)}″ "
        f"(1″ is {g['shift_metres']:.2f} m); the point was moved {abs(g['shift']):.3f}″ "
        + ("west" if west else "east")
    )


_SAYS: dict[str, Any] = {
    "ellipsoid": _ellipsoid,
    "convention": _convention,
    "direction": _direction,
    "grid": _grid,
    "geoid": _geoid,
    "antenna": _antenna,
    "epoch": _epoch,
    "plumb": _plumb,
    "corner": _corner,
    "pilot": _pilot,
    "wreck": _wreck,
    "gauge": _gauge,
    "shift": _shift,
}


def _well_old(given: Given) -> str:
    return f"{FIELDS[given['field']].datum}: {_position(*well(given))}, h 0 m"


def _well_offset(given: Given) -> str:
    return (
        f"{_signed(given['offset_east'], 1)} m east, {_signed(given['offset_north'], 1)} m north "
        "of the well, on the grid"
    )


def _well_datum(given: Given) -> str:
    return f"{given['chart_datum']:.2f} m below the geoid at the field"


def _well_depth(given: Given) -> str:
    return f"{number(given['depth'], 0)} m below chart datum"


def received(name: str) -> Callable[[Given], str]:
    """Return what writes a line of the sheet as the client sent it."""
    return lambda given: says(given, name, name in given["planted"])


EVIDENCE = {
    "mark_old": ("Test mark ashore, old datum", _mark_old),
    "mark_new": ("Test mark, new datum", _mark_new),
    "mark_grid": ("Test mark, grid", _mark_grid),
    "mark_level": ("Test mark, levelled", _mark_level),
    "receiver": ("Receiver on the bridge", _receiver),
    "tilt": ("Model, field and array", _tilt),
    "plate": ("Plate at the field", _plate),
}
TARGET = {
    "well_old": ("Well, old datum", _well_old),
    "well_offset": ("Waypoint", _well_offset),
    "well_depth": ("Charted depth at the waypoint", _well_depth),
    "well_datum": ("Chart datum", _well_datum),
}


# The waypoint --------------------------------------------------------------------------


def waypoint(given: Given, route: str = "right", years: float | None = None) -> Answer:
    """
    Return easting, northing and ellipsoidal height of the waypoint on the seabed.

    `route` as in `carried`, or "other ellipsoid" for the old numbers read on WGS 84's.
    """
    field, place = given["field"], well(given)
    other = route == "other ellipsoid"
    start = carried(
        field, place, 0.0, "right" if other else route, WGS84 if other else INTERNATIONAL1924
    )
    span = given["job_epoch"] - given["list_epoch"] if years is None else years
    _, _, east, north = drift(field, place)
    return {
        "easting": start.grid[0] + span * east + given["offset_east"],
        "northing": start.grid[1] + span * north + given["offset_north"],
        "height": seabed(given),
    }


def seabed(given: Given) -> float:
    """Return the ellipsoidal height of the seabed: N, less chart datum's depth, less the depth."""
    return model(given["field"], well(given))[2] - given["chart_datum"] - given["depth"]
