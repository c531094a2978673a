"""Exercises of lesson 11, a moving Earth."""

import itertools
import math

from exercises.bank.common import EARTH_RADIUS
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Given, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import Numbers, misread, only, reworked, then, times, using
from exercises.question.wording import number
from geokit.angles import RHO
from geokit.datums import Helmert
from geokit.ecef import to_ecef
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import GRS80
from geokit.motion import move, velocity
from geokit.plates import ITRF2020, NAMES, Rotation

SPHERE = Ellipsoid("sphere", EARTH_RADIUS, 0, source="named in the prompt")
MAS_A_DEGREE = 3.6  # one degree in a million years is 3.6 milliarcseconds a year
ITRF2020_REFERENCE = 2015.0  # the frame's own reference epoch
FRAMES = ("S-5A F1.2a", "S-5B E4.1b")
BOTH = (*FRAMES, "S-5A F1.2b", "S-5B E4.1c")
XYZ = ("x", "y", "z")

EAST = Printed("east", "velocity east", "mm/yr", 1, signed=True)
NORTH = Printed("north", "velocity north", "mm/yr", 1, signed=True)


def _polar(east: float, north: float) -> tuple[float, float]:
    """Return the size, and the azimuth in degrees."""
    return math.hypot(east, north), math.degrees(math.atan2(east, north)) % 360


def _mm(lat: float, lon: float, plate: str) -> list[float]:
    """Return east and north of a plate as they are printed, in millimetres a year."""
    return [printed(1000 * v, 1) for v in velocity(lat, lon, ITRF2020[plate], GRS80)]


def _draw_place(dice: Dice, plate: str, lats: tuple[int, int], lons: tuple[int, int]) -> Answer:
    """Draw a place on a plate, and its velocity."""
    lat, lon = dice.number(*lats, 1), dice.number(*lons, 1)
    east, north = _mm(lat, lon, plate)
    return {"plate": NAMES[plate], "lat": lat, "lon": lon, "east": east, "north": north}


# Say first -----------------------------------------------------------------------------

FIRST_PIPE = choice("motion-first-pipe", elements=FRAMES, marks=0)


# motion-velocity -----------------------------------------------------------------------
# The places lie 46° to 122° from their pole, where the sine is 0.96 or less and the plate fast
# enough. All routes, and the right answer with one sign turned, are drawn 1 mm a year (5
# tolerances) apart in east or north.

PLACES = (
    ("EURA", "NUBI", (54, 66), (-6, 8)),
    ("AUST", "PCFC", (-40, -37), (143, 148)),
    ("NUBI", "SOAM", (-29, -21), (8, 14)),
    ("INDI", "EURA", (16, 21), (67, 72)),
    ("PCFC", "NOAM", (18, 24), (-162, -154)),
    ("ARAB", "EURA", (25, 27), (51, 54)),
)


def _pole(rotation: Rotation, which: str) -> Answer:
    """Return latitude and longitude of the pole as printed, and the rate in °/Myr."""
    size = math.hypot(*rotation)
    lat = math.degrees(math.asin(rotation.z / size))
    lon = math.degrees(math.atan2(rotation.y, rotation.x))
    pole = printed(lat, 1), printed(lon, 1), printed(size / MAS_A_DEGREE, 3)
    return dict(zip((f"pole_lat{which}", f"pole_lon{which}", f"rate{which}"), pole, strict=True))


def _draw_velocity(dice: Dice) -> Answer:
    while True:
        plate, other, lats, lons = dice.choose(PLACES)
        lat, lon = dice.number(*lats, 1), dice.number(*lons, 1)
        given = {"lat": lat, "lon": lon, "plate": NAMES[plate], "other": NAMES[other]}
        given |= _pole(ITRF2020[plate], "") | _pole(ITRF2020[other], "2")
        east, north = _velocity(Numbers(given))
        routes = [turn.bound(_velocity, ("east", "north")) for turn in WRONG_TURNS.values()]
        wrong = [tuple(route(given).values()) for route in routes]
        outcomes = [(east, north), (-east, north), (east, -north), *wrong]
        if all(
            max(abs(e - f), abs(n - m)) > 1
            for (e, n), (f, m) in itertools.combinations(outcomes, 2)
        ):
            return given


def _velocity(g: Numbers, which: str = "") -> tuple[float, float]:
    """Return east and north in millimetres a year, of the plate that turns about this pole."""
    size = g["rate" + which] * MAS_A_DEGREE
    lat, lon = math.radians(g["pole_lat" + which]), math.radians(g["pole_lon" + which])
    level, z = size * math.cos(lat), size * math.sin(lat)
    rotation = (level * math.cos(lon), level * math.sin(lon), z)
    east, north = velocity(g.lat, g.lon, rotation, SPHERE)
    return 1000 * east, 1000 * north


def _fastest(g: Numbers) -> float:
    """Return ωR, the speed 90° from the pole: °/Myr to millimetres a year."""
    return math.radians(g.rate) * EARTH_RADIUS / 1000


def _work_velocity(g: Numbers) -> Answer:
    speed, azimuth = _polar(*_velocity(g))
    turn = {"radians": math.radians(g.rate), "fastest": _fastest(g)}
    return {**turn, "speed": speed, "azimuth": azimuth, "sine": speed / _fastest(g)}


WRONG_TURNS = {
    "no-sine": times(lambda g: _fastest(g) / math.hypot(*_velocity(g))),
    "as-mas": times(1 / MAS_A_DEGREE),
    "other-plate": using(which="2"),
    "towards-pole": reworked(lambda a: (-a.north, a.east)),
}


def _pole_rows(which: str, label: str) -> tuple[Printed, ...]:
    return (
        Printed(f"pole_lat{which}", f"{label}: pole φₚ, north +", "°", 1, signed=True),
        Printed(f"pole_lon{which}", f"{label}: pole λₚ, east +", "°", 1, signed=True),
        Printed(f"rate{which}", f"{label}: rate ω", "°/Myr", 3),
    )


VELOCITY = exercise(
    "motion-velocity",
    elements=FRAMES,
    draw=_draw_velocity,
    printed=(
        Printed("lat", "φ of the mark, north +", "°", 1, signed=True),
        Printed("lon", "λ of the mark, east +", "°", 1, signed=True),
        Printed("plate", "first plate, the mark's"),
        *_pole_rows("", "first"),
        Printed("other", "second plate"),
        *_pole_rows("2", "second"),
    ),
    asked=(
        Asked("east", "East", "number", "mm/yr", 1, 0.2, positive="east"),
        Asked("north", "North", "number", "mm/yr", 1, 0.2, positive="north"),
    ),
    solve=_velocity,
    slips=WRONG_TURNS,
    work=_work_velocity,
)


# motion-epoch --------------------------------------------------------------------------
# In years of motion the outcomes are Δt (12 to 28), −Δt, 1, the years since 2015 (6 to 12, and 6
# below Δt at least), and Δt with .10 to .12 read as a month, which is 0.69 or more too much. The
# plates go 55 mm a year or more in north or east: 0.69 years are 0.0012″, 6 tolerances.

FAST = (
    ("AUST", (-22, -11), (112, 130)),
    ("AUST", (-36, -32), (126, 134)),
    ("PCFC", (17, 24), (-163, -153)),
)


def _draw_epoch(dice: Dice) -> Answer:
    given = _draw_place(dice, *dice.choose(FAST))
    lat, lon = (
        printed(printed(given[name] * 3600 + dice.whole(-9999, 9999) / 1e4, 4) / 3600, 12)
        for name in ("lat", "lon")
    )
    parallel = GRS80.prime_vertical_radius(lat) * math.cos(math.radians(lat))
    return {
        **given,
        "lat": lat,
        "lon": lon,
        "lat_metres": printed(GRS80.meridian_radius(lat) / RHO, 3),
        "lon_metres": printed(parallel / RHO, 3),
        "from_epoch": float(dice.whole(1998, 2009)),
        "to_epoch": printed(dice.whole(2021, 2025) + dice.choose((0.10, 0.11, 0.12)), 2),
        "reference": ITRF2020_REFERENCE,
    }


def _years(g: Numbers) -> float:
    return g.to_epoch - g.from_epoch


def _moved(g: Numbers, years=_years) -> tuple[float, float]:
    """Return the position after so many years; the drift is even, so the way is in proportion."""
    lat, lon, _ = move(g.lat, g.lon, 0.0, g.east / 1000, g.north / 1000, 0.0, _years(g), GRS80)
    part = years(g) / _years(g)
    return g.lat + part * (lat - g.lat), g.lon + part * math.remainder(lon - g.lon, 360)


def _month(g: Numbers) -> int:
    return round(100 * (g.to_epoch % 1))


def _as_month(g: Numbers) -> float:
    """Return the years to the middle of October 2024, where 2024.10 is given."""
    return math.floor(g.to_epoch) + (_month(g) - 0.5) / 12 - g.from_epoch


def _work_epoch(g: Numbers) -> Answer:
    east, north = (way * _years(g) / 1000 for way in (g.east, g.north))
    return {
        **{"years": _years(g), "month": _month(g), "east_way": east, "north_way": north},
        **{"east_seconds": east / g.lon_metres, "north_seconds": north / g.lat_metres},
        "off": math.hypot(g.east, g.north) * (_as_month(g) - _years(g)),
    }


EPOCH = exercise(
    "motion-epoch",
    elements=BOTH,
    draw=_draw_epoch,
    printed=(
        Printed("lat", "φ, at the first epoch", DMS, 4, kind="latitude"),
        Printed("lon", "λ, at the first epoch", DMS, 4, kind="longitude"),
        Printed("from_epoch", "first epoch", decimals=1, kind="year"),
        Printed("to_epoch", "second epoch", decimals=2, kind="year"),
        EAST,
        NORTH,
        Printed("lat_metres", "1″ of latitude", "m", 3),
        Printed("lon_metres", "1″ of longitude", "m", 3),
        Printed("plate", "plate"),
        Printed("reference", "reference epoch of ITRF2020", decimals=1, kind="year"),
    ),
    asked=(
        Asked("lat", "φ, second epoch", "latitude", DMS, 4, 0.0002 / 3600),
        Asked("lon", "λ, second epoch", "longitude", DMS, 4, 0.0002 / 3600),
    ),
    solve=_moved,
    slips={
        "backwards": using(years=lambda g: -_years(g)),
        "reference": using(years=lambda g: g.to_epoch - g.reference),
        "one-year": using(years=lambda g: 1),
        "month": using(years=_as_month),
    },
    work=_work_epoch,
)


# motion-as-laid ------------------------------------------------------------------------
# East and north differ by a fifth to a half: the azimuth keeps 6° from the diagonals, the way is
# 32 mm (6 tolerances) or more longer than its larger part, and a foot in a metre meets none of
# them. A year's motion is 27 mm or more, 5 tolerances from a thousandth of the way.

SKEW = (
    ("AUST", (-21, -11), (113, 130)),
    ("AUST", (-35, -32), (126, 134)),
    ("PCFC", (17, 24), (-163, -153)),
    ("SOMA", (-11, -4), (40, 44)),
)


def _draw_as_laid(dice: Dice) -> Answer:
    while True:
        given = _draw_place(dice, *dice.choose(SKEW))
        ratio = abs(given["north"] / given["east"])
        if 0.5 < min(ratio, 1 / ratio) < 0.8:
            break
    laid = dice.number(1997, 2005, 1)
    return {**given, "laid": laid, "now": printed(laid + dice.number(15, 21, 1), 1)}


def _way(g: Numbers) -> tuple[float, float]:
    years = g.now - g.laid
    return g.east * years / 1000, g.north * years / 1000


AS_LAID = exercise(
    "motion-as-laid",
    elements=FRAMES,
    draw=_draw_as_laid,
    printed=(
        Printed("plate", "plate"),
        EAST,
        NORTH,
        Printed("laid", "epoch of laying", decimals=1, kind="year"),
        Printed("now", "epoch of survey", decimals=1, kind="year"),
    ),
    asked=(
        Asked("distance", "Distance", "length", "m", 3, 0.005),
        Asked("azimuth", "Azimuth", "azimuth", "°", 1, 0.5),
    ),
    solve=lambda g: _polar(*_way(g)),
    slips={
        "east-only": misread("distance", north=0.0),
        "north-only": misread("distance", east=0.0),
        "turned": then(lambda azimuth: (azimuth + 180) % 360, "azimuth"),
        "one-year": misread("distance", now=lambda g: g.laid + 1),
        "sum": lambda g: {"distance": sum(map(abs, _way(g)))},
        "from-east": then(lambda azimuth: (90 - azimuth) % 360, "azimuth"),
    },
    work=lambda g: {"years": g.now - g.laid, "east_way": _way(g)[0], "north_way": _way(g)[1]},
)


# motion-frame --------------------------------------------------------------------------
# The rates move a point 20 mm a year or more, 12 mm in some coordinate. Years since the
# parameters' epoch (3 or more), none, years since the frame's own reference epoch (10 more or
# less, or 3 and 8 from none), since the year zero: 3 years apart or more. The coordinate frame's
# rotations go the other way. That is 36 mm, 12 tolerances.

FOURTEEN = ("tx", "ty", "tz", "rx", "ry", "rz", "scale")
# Rows of the sheet: label, which of the fourteen, unit, decimals of the value and of its rate.
ROWS = (
    ("tX, tY, tZ", ("tx", "ty", "tz"), "mm", 2, 2),
    ("rX, rY, rZ", ("rx", "ry", "rz"), "mas", 4, 5),
    ("scale difference", ("scale",), "ppb", 2, 3),
)
LABELS = [f"{row[0]}{rate}" for rate in ("", ", a year") for row in ROWS]


REFERENCE_EPOCHS = {"ITRF2008": 2005.0, "ITRF2014": 2010.0}  # of the frames themselves
NONE = (0.0,) * 7
GDA94 = (-84.68, -19.42, 32.01, 0.4254, -2.2578, -2.4015, 9.71)
GDA94_RATES = (1.42, 1.34, 0.90, -1.5461, -1.1820, -1.1551, 0.109)
TURNS_OF_EUROPE = (0.0, 0.0, 0.0, 0.085, 0.531, -0.770, 0.0)
TURNS_OF_AUSTRALIA = (0.0, 0.0, 0.0, -1.50379, -1.18346, -1.20716, 0.0)
AUSTRALIA = ((-38, -12), (113, 153))
NORTH_SEA = ((54, 66), (-4, 8))
# As published, the fourteen and their epoch; then the epochs of observation and places drawn here.
SETS = {
    "ITRF2008 to GDA94": (GDA94, GDA94_RATES, 1994.0, (2013.5, 2020.0), AUSTRALIA),
    "ITRF2014 to ETRF2014": (NONE, TURNS_OF_EUROPE, 1989.0, (2018.0, 2026.0), NORTH_SEA),
    "ITRF2014 to GDA2020": (NONE, TURNS_OF_AUSTRALIA, 2020.0, (2023.0, 2026.0), AUSTRALIA),
}


def _draw_frame(dice: Dice) -> Answer:
    name = dice.choose(tuple(SETS))
    frame = name.partition(" ")[0]
    values, rates, parameter_epoch, epochs, (lats, lons) = SETS[name]
    point = to_ecef(dice.number(*lats, 4), dice.number(*lons, 4), dice.number(0, 60, 0), GRS80)
    parameters = dict(zip(FOURTEEN, values, strict=True))
    parameters |= {f"rate_{part}": r for part, r in zip(FOURTEEN, rates, strict=True)}
    return {
        "operation": name,
        **{axis: printed(p, 3) for axis, p in zip(XYZ, point, strict=True)},
        **parameters,
        **_as_rows(parameters),
        "parameter_epoch": parameter_epoch,
        "epoch": dice.number(*epochs, 1),
        "frame": frame,
        "reference": REFERENCE_EPOCHS[frame],
    }


def _as_rows(parameters: Given) -> Answer:
    """Return the fourteen as the sheet prints them, three to a row: {label: text}."""
    rows = {}
    for label, parts, unit, decimals, finer in ROWS:
        values = (number(parameters[part], decimals, signed=True) for part in parts)
        rates = (number(parameters[f"rate_{part}"], finer, signed=True) for part in parts)
        rows[label] = f"{', '.join(values)} {unit}"
        rows[f"{label}, a year"] = f"{', '.join(rates)} {unit}"
    return rows


def _since(g: Numbers) -> float:
    return g.epoch - g.parameter_epoch


def _parameters(g: Numbers, years: float) -> Answer:
    return {part: g[part] + years * g[f"rate_{part}"] for part in FOURTEEN}


def _frame(g: Numbers, years=_since, convention: str = "position vector") -> tuple[float, ...]:
    """Return X, Y, Z; a slip's years may be more than geokit's own operation lets pass."""
    seven = (v / 1000 for v in _parameters(g, years(g)).values())  # to metres, ″ and ppm
    return Helmert(*seven, convention=convention).apply(g.x, g.y, g.z)


def _work_frame(g: Numbers) -> Answer:
    moves = {f"d{axis}": 1000 * (p - g[axis]) for axis, p in zip(XYZ, _frame(g), strict=True)}
    return {"years": _since(g), **_parameters(g, _since(g)), **moves}


FRAME = exercise(
    "motion-frame",
    elements=BOTH,
    draw=_draw_frame,
    printed=(
        Printed("operation", "operation"),
        *(Printed(axis, axis.upper(), "m", 3, signed=True) for axis in XYZ),
        Printed("epoch", "epoch of observation", decimals=1, kind="year"),
        Printed("parameter_epoch", "epoch of the parameters", decimals=1, kind="year"),
        *(Printed(label, label) for label in LABELS),
        Printed("frame", "frame of the observation"),
        Printed("reference", "reference epoch of that frame", decimals=1, kind="year"),
    ),
    asked=tuple(Asked(axis, axis.upper(), "length", "m", 3, 0.003) for axis in XYZ),
    solve=_frame,
    slips={
        "no-rates": using(years=lambda g: 0),
        "year-zero": using(years=lambda g: g.epoch),
        "frame-reference": using(years=lambda g: g.epoch - g.reference),
        "coordinate-frame": using(convention="coordinate frame"),
    },
    work=_work_frame,
)


# motion-between ------------------------------------------------------------------------
# Drawn so that any two outcomes, the azimuth in radians among them, differ by 1 mm a year (5
# tolerances) or by 6°.

BORDERS = (
    ("INDI", "EURA", (27, 29), (80, 88)),
    ("PCFC", "NOAM", (33, 36), (-122, -118)),
    ("NAZC", "SOAM", (-32, -18), (-73, -70)),
    ("ARAB", "EURA", (27, 30), (50, 57)),
    ("CARB", "NOAM", (18, 20), (-72, -63)),
    ("AUST", "PCFC", (-44, -39), (171, 177)),
    ("NUBI", "EURA", (35, 37), (-8, 3)),
)


def _draw_between(dice: Dice) -> Answer:
    while True:
        first, second, lats, lons = dice.choose(BORDERS)
        if dice.choose((False, True)):
            first, second = second, first
        lat, lon = dice.number(*lats, 1), dice.number(*lons, 1)
        given = {"lat": lat, "lon": lon}
        for which, plate in (("1", first), ("2", second)):
            given[f"plate{which}"] = NAMES[plate]
            given[f"east{which}"], given[f"north{which}"] = _mm(lat, lon, plate)
        if _well_apart(given):
            return given


def _well_apart(given: Given) -> bool:
    parts = ("speed", "azimuth")
    right = dict(zip(parts, _relative(Numbers(given)), strict=True))
    wrong = [slip.bound(_relative, parts)(given) for slip in BETWEEN_SLIPS.values()]
    radians = {"azimuth": math.radians(right["azimuth"])}
    outcomes = [right, *({**right, **other} for other in (radians, *wrong))]
    return all(
        abs(a["speed"] - b["speed"]) > 1
        or abs(math.remainder(a["azimuth"] - b["azimuth"], 360)) > 6
        for a, b in itertools.combinations(outcomes, 2)
    )


def _relative(g: Numbers, first: float = 1.0, second: float = -1.0) -> tuple[float, float]:
    """Return speed and azimuth of so many times the first velocity and the second."""
    return _polar(first * g.east1 + second * g.east2, first * g.north1 + second * g.north2)


def _difference_of_speeds(g: Numbers) -> float:
    return abs(math.hypot(g.east1, g.north1) - math.hypot(g.east2, g.north2))


BETWEEN_SLIPS = {
    "sum": using(second=1),
    "wrong-minus": using("azimuth", first=-1, second=1),
    "absolute": using(second=0),
    "speeds": only("speed", _difference_of_speeds),
}

BETWEEN = exercise(
    "motion-between",
    elements=FRAMES,
    draw=_draw_between,
    printed=(
        Printed("lat", "φ, north +", "°", 1, signed=True),
        Printed("lon", "λ, east +", "°", 1, signed=True),
        Printed("plate1", "first plate"),
        Printed("east1", "first, east", "mm/yr", 1, signed=True),
        Printed("north1", "first, north", "mm/yr", 1, signed=True),
        Printed("plate2", "second plate"),
        Printed("east2", "second, east", "mm/yr", 1, signed=True),
        Printed("north2", "second, north", "mm/yr", 1, signed=True),
    ),
    asked=(
        Asked("speed", "Speed", "number", "mm/yr", 1, 0.2),
        Asked("azimuth", "Azimuth", "azimuth", "°", 0, 1.0),
    ),
    solve=_relative,
    slips=BETWEEN_SLIPS,
    work=lambda g: {"east": g.east1 - g.east2, "north": g.north1 - g.north2},
)


# motion-which --------------------------------------------------------------------------

WHICH_EPOCH = choice("motion-which-epoch", elements=FRAMES)
WHICH_WGS84 = choice("motion-which-wgs84", elements=FRAMES)
WHICH_CHANGE = choice("motion-which-change", elements=BOTH)
