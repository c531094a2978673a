"""
The client's parameter sheet of lesson 13: its places, its thirteen lines, its planted faults.

One sheet belongs to one trainee and turn. What is true is worked by geokit from published
parameters; a planted fault changes one line of the sheet and nothing else. What the rows say
stands in sailing.ini: ``right NAME`` as it should be, ``wrong NAME`` with its fault. Fields, marks
and wells are invented; ellipsoids, parameters, geoid and plates are real.
"""

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from exercises.question import worked
from exercises.question.dice import Dice, printed
from exercises.question.model import Answer, Given
from exercises.question.notation import words_of
from exercises.question.variation import Numbers
from exercises.question.words import Step
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
ARRAY_NOISE = 0.10  # metres, of the seabed array that sees where the weight lands
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
EVIDENCE = {
    "mark_old": "Test mark ashore, old datum",
    "mark_new": "Test mark, new datum",
    "mark_grid": "Test mark, grid",
    "mark_level": "Test mark, levelled",
    "receiver": "Receiver on the bridge",
    "tilt": "Model, field and array",
    "plate": "Plate at the field",
}
TARGET = {
    "well_old": "Well, old datum",
    "well_offset": "Waypoint",
    "well_depth": "Charted depth at the waypoint",
    "well_datum": "Chart datum",
}
UNITS = {name: "km" if name in ("grid", "pilot", "wreck", "gauge") else "m" for name in LINES}
TWICE = ("convention", "direction", "geoid", "shift")  # reversed: off by twice itself


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

    @cached_property
    def helmert(self) -> Helmert:
        """The published transformation from the old datum to WGS 84."""
        return Helmert(*self.parameters, convention=CONVENTION)

    @cached_property
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
        "Madder Reef",
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


def digits(value: float) -> tuple[int, int, int]:
    """Return the degrees, minutes and seconds of DD.MMSS, without its sign."""
    whole = round(abs(value) * 10_000)
    return whole // 10_000, whole // 100 % 100, whole % 100


def unpacked(value: float) -> float:
    """Return DD.MMSS as decimal degrees."""
    degrees, minutes, seconds = digits(value)
    return math.copysign(degrees + minutes / 60 + seconds / 3600, value)


def sizes(given: Given) -> Answer:
    """Return what each fault costs where it is planted, in the unit of its line."""
    g, place = Numbers(given), well(given)
    east, north = drift(g.field, place)[:2]
    axis, turned, backwards = _at_mark(g.field, g.neighbour)
    return {
        "ellipsoid": axis,
        "convention": turned,
        "direction": backwards,
        "grid": _wrong_grid(g.field, place, g.grid_fault == "northing"),
        "geoid": 2 * abs(model(g.field, place)[2]),
        "antenna": abs(g.separation),
        "epoch": math.hypot(east, north) * (g.job_epoch - g.list_epoch) / 1000,
        "plumb": g.depth * _lean(g.field, place)[1],
        "corner": g.corner_feet * (US_FOOT - FOOT),
        "pilot": _on_sphere(g.pilot_lat, g.pilot_lon, g.pilot_lat, -g.pilot_lon),
        "wreck": _on_sphere(g.wreck_lat, 0.0, g.wreck_lat, PARIS),
        "gauge": abs(unpacked(g.gauge) - g.gauge) * math.radians(SPHERE),
        "shift": 2 * abs(g.shift) * g.shift_metres,
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


def _texts(found: Mapping[str, str], rows: Collection[str]) -> Mapping[str, str]:
    """Return what the rows say, and raise ValueError where sailing.ini lacks one or has a spare."""
    if odd := sorted(set(found) ^ set(rows)):
        raise ValueError(f"sailing.ini lacks these rows of the sheet, or has them spare: {odd}.")
    return found


_SHEET, _WAYPOINT = words_of("sailing-sheet"), words_of("sailing-waypoint")
_RIGHT = _texts({**_SHEET.right, **_WAYPOINT.right}, {**EVIDENCE, **LINES, **TARGET})
_WRONG = _texts({name: " ".join(text).strip() for name, text in _SHEET.wrong.items()}, LINES)


def says(given: Given, name: str, faulty: bool) -> str:
    """Return what a line of the sheet says, right or with its fault."""
    figures = _figures(Numbers(given))
    if name == "plumb":  # within the array's noise the weight's lean is rightly left out
        faulty = faulty or math.hypot(figures["foot_east"], figures["foot_north"]) < ARRAY_NOISE
    text = _WRONG[name] if faulty else _RIGHT[name]
    return worked.lines([Step(text)], figures, ())[0]


def received(name: str) -> Callable[[Given], str]:
    """Return what writes a line of the sheet as the client sent it."""
    return lambda given: says(given, name, name in given["planted"])


def held(name: str) -> Callable[[Given], str]:
    """Return what writes a row of the sheet as it is right."""
    return lambda given: says(given, name, False)


def _figures(g: Numbers) -> Answer:
    """Return the numbers that stand on a sheet, by the names that its rows use."""
    at_well = _well_figures(g.field, well(g), g.depth)
    return {**g, **_mark_figures(g.field), **at_well, **_line_figures(g), **_grids(g)}


@lru_cache(maxsize=8)
def _mark_figures(field: int) -> Answer:
    here, mark = FIELDS[field], carried(field, FIELDS[field].mark, MARK_HEIGHT)
    new_lat, new_lon, new_height = mark.position
    axes = ("tX", "tY", "tZ", "rX", "rY", "rZ", "scale")
    return {
        **dict(zip(axes, here.parameters, strict=True)),
        "datum": here.datum,
        "axis": INTERNATIONAL1924.semi_major,
        "mark_lat": here.mark[0],
        "mark_lon": here.mark[1],
        "mark_height": MARK_HEIGHT,
        "new_lat": new_lat,
        "new_lon": new_lon,
        "new_height": new_height,
        "mark_east": mark.grid[0],
        "mark_north": mark.grid[1],
        "mark_level": new_height - float(EGM96.height(new_lat, new_lon)),
    }


@lru_cache(maxsize=64)
def _well_figures(field: int, place: tuple[float, float], depth: float) -> Answer:
    xi, eta, height = model(field, place)
    plate_east, plate_north, *_ = drift(field, place)
    foot_east, foot_north = deflection.seabed_offset(xi, eta, depth)
    return {
        "well_lat": place[0],
        "well_lon": place[1],
        "xi": xi,
        "eta": eta,
        "N": height,
        "plate_east": plate_east,
        "plate_north": plate_north,
        "foot_east": foot_east,
        "foot_north": foot_north,
        "noise": ARRAY_NOISE,
    }


def _line_figures(g: Numbers) -> Answer:
    return {
        "stray_axis": NEIGHBOURS[g.neighbour].semi_major,
        "antenna": g.altitude + g.separation,
        "years": g.job_epoch - g.list_epoch,
        "corner": g.corner_feet * US_FOOT,
        "wrong_corner": g.corner_feet * FOOT,
        "wreck": g.wreck_gon * 0.9 + PARIS,
        "wrong_wreck": g.wreck_gon * 0.9,
        "gauge_degrees": unpacked(g.gauge),
    }


def _grids(g: Numbers) -> Answer:
    """Return central meridian and hemisphere of the job's grid, and those of the faulty line."""
    here, northing = FIELDS[g.field], g.grid_fault == "northing"
    meridian, south = 6 * here.zone - 183, here.hemisphere == "south"
    return {
        "meridian": meridian,
        "south": south,
        "wrong_meridian": meridian if northing else meridian + 6,
        "wrong_south": south != northing,
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
