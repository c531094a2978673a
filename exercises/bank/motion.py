"""Exercises of lesson 10, a moving Earth."""

import itertools
import math
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from exercises.bank.common import EARTH_RADIUS, IOGP, cos, sin
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import dms, number
from geokit.angles import RHO
from geokit.datums import Helmert, TimeDependent
from geokit.ecef import to_ecef
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import GRS80
from geokit.motion import move, velocity
from geokit.plates import ITRF2020, NAMES, Rotation

SPHERE = Ellipsoid("sphere", EARTH_RADIUS, 0, source="named in the prompt")
MAS_A_DEGREE = 3.6  # one degree in a million years is 3.6 milliarcseconds a year
ITRF2020_REFERENCE = 2015.0  # the frame's own reference epoch
MODEL = (
    "Altamimi et al., ITRF2020 plate motion model, Geophysical Research Letters 50, 2023; PM-07 in "
    "tests"
)
FRAMES = ("S-5A F1.2a", "S-5B E4.1b")
TRANSFORMING = ("S-5A F1.2b", "S-5B E4.1c")
XYZ = ("x", "y", "z")

EAST = Printed("east", "velocity east", "mm/yr", 1, signed=True)
NORTH = Printed("north", "velocity north", "mm/yr", 1, signed=True)
DISTANCE_AND_AZIMUTH = ("distance", "azimuth")


def _clear(outcomes: Iterable[tuple[float, ...]], gap: float) -> bool:
    """Whether any two outcomes differ by more than the gap in some number."""
    return all(
        max(abs(p - q) for p, q in zip(one, other, strict=True)) > gap
        for one, other in itertools.combinations(list(outcomes), 2)
    )


def _ways(east: float, north: float) -> Answer:
    return {"east": east, "north": north}


def _polar(east: float, north: float) -> tuple[float, float]:
    """Return the size, and the azimuth in degrees."""
    return math.hypot(east, north), math.degrees(math.atan2(east, north)) % 360


def _mm(dice: Dice, plate: str, lats: tuple[int, int], lons: tuple[int, int]) -> Answer:
    """Draw a place on a plate, and its velocity as it is printed, in millimetres a year."""
    lat, lon = dice.number(*lats, 1), dice.number(*lons, 1)
    east, north = (printed(1000 * v, 1) for v in velocity(lat, lon, ITRF2020[plate], GRS80))
    return {"plate": NAMES[plate], "lat": lat, "lon": lon, "east": east, "north": north}


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


def _pole(rotation: Rotation) -> tuple[float, float, float]:
    """Return latitude and longitude of the pole as printed, and the rate in °/Myr."""
    size = math.hypot(*rotation)
    lat = math.degrees(math.asin(rotation.z / size))
    lon = math.degrees(math.atan2(rotation.y, rotation.x))
    return printed(lat, 1), printed(lon, 1), printed(size / MAS_A_DEGREE, 3)


def _draw_velocity(dice: Dice) -> Answer:
    while True:
        plate, other, lats, lons = dice.choose(PLACES)
        lat, lon = dice.number(*lats, 1), dice.number(*lons, 1)
        given = {"lat": lat, "lon": lon, "plate": NAMES[plate], "other": NAMES[other]}
        for which, name in (("", plate), ("2", other)):
            pole = zip(("pole_lat", "pole_lon", "rate"), _pole(ITRF2020[name]), strict=True)
            given |= {part + which: value for part, value in pole}
        east, north = _turned_about(given)
        if _clear([(east, north), (-east, north), (east, -north), *_wrong_turns(given)], 1.0):
            return given


def _turned_about(g: Given, which: str = "") -> tuple[float, float]:
    """Return east and north in mm a year, as with a calculator."""
    pole, away = g["pole_lat" + which], g["lon"] - g["pole_lon" + which]
    speed = math.radians(g["rate" + which]) * EARTH_RADIUS / 1000  # °/Myr to mm a year
    east = sin(pole) * cos(g["lat"]) - cos(pole) * sin(g["lat"]) * cos(away)
    return speed * east, speed * cos(pole) * sin(away)


def _sine_of_distance(g: Given) -> float:
    return math.hypot(*_turned_about(g)) / (math.radians(g["rate"]) * EARTH_RADIUS / 1000)


def _no_sine(g: Given) -> tuple[float, float]:
    east, north = _turned_about(g)
    return east / _sine_of_distance(g), north / _sine_of_distance(g)


def _as_mas(g: Given) -> tuple[float, float]:
    east, north = _turned_about(g)
    return east / MAS_A_DEGREE, north / MAS_A_DEGREE


def _towards_pole(g: Given) -> tuple[float, float]:
    east, north = _turned_about(g)
    return -north, east


def _wrong_turns(g: Given) -> list[tuple[float, float]]:
    return [_no_sine(g), _as_mas(g), _towards_pole(g), _turned_about(g, "2")]


def _velocity(g: Given) -> Answer:
    size, lat, lon = g["rate"] * MAS_A_DEGREE, g["pole_lat"], g["pole_lon"]
    rotation = (size * cos(lat) * cos(lon), size * cos(lat) * sin(lon), size * sin(lat))
    east, north = velocity(g["lat"], g["lon"], rotation, SPHERE)
    return _ways(1000 * east, 1000 * north)


def _steps_velocity(g: Given) -> list[str]:
    right, size = _velocity(g), math.radians(g["rate"]) * EARTH_RADIUS / 1000
    speed, azimuth = _polar(right["east"], right["north"])
    return [
        f"{g['rate']:.3f}° in a million years is {math.radians(g['rate']):.6f} × 10⁻⁶ rad a year; times "
        f"6\u202f371 km that is ωR = {size:.2f} mm a year, and so fast goes a point 90° from the pole.",
        "East = ωR (sin φₚ cos φ − cos φₚ sin φ cos(λ − λₚ)) = "
        f"**{right['east']:+.1f} mm a year**.",
        f"North = ωR cos φₚ sin(λ − λₚ) = **{right['north']:+.1f} mm a year**.",
        f"Speed {speed:.1f} mm a year towards {azimuth:.0f}°: ωR times the sine of the distance from "
        f"the pole, {_sine_of_distance(g):.3f}. At the pole itself nothing moves.",
    ]


def _pole_rows(which: str, label: str) -> tuple[Printed, ...]:
    return (
        Printed(f"pole_lat{which}", f"{label}: pole φₚ, north +", "°", 1, signed=True),
        Printed(f"pole_lon{which}", f"{label}: pole λₚ, east +", "°", 1, signed=True),
        Printed(f"rate{which}", f"{label}: rate ω", "°/Myr", 3),
    )


VELOCITY = Exercise(
    key="motion-velocity",
    topic="motion",
    title="How fast the ground goes",
    edition=1,
    elements=FRAMES,
    aids="calculator",
    prompt="A rigid plate turns about a pole through the Earth's centre, **anticlockwise seen from "
    "above the pole**; its rate is printed in degrees in a million years. A mark stands on the "
    "**first** plate; its neighbour's pole stands on the same sheet. How fast does the mark move on a "
    "sphere of 6\u202f371.0 km, east and north positive? Give both in **millimetres a year** to "
    "0.1 mm; right within ±0.2 mm.",
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
    slips=(
        Slip(
            "no-sine",
            "The distance from the pole left out",
            lambda g: _ways(*_no_sine(g)),
            "The direction is right and the speed is ωR, that of a point 90° from the pole. Nearer to "
            "the pole, or beyond 90°, it is slower: times the sine of the distance.",
        ),
        Slip(
            "as-mas",
            "Degrees per million years as mas a year",
            lambda g: _ways(*_as_mas(g)),
            "The rate was read as milliarcseconds a year. One degree in a million years is 3.6 of them.",
        ),
        Slip(
            "other-plate",
            "The other plate",
            lambda g: _ways(*_turned_about(g, "2")),
            "This is what the second plate does. The mark stands on the first.",
        ),
        Slip(
            "towards-pole",
            "Towards the pole, not round it",
            lambda g: _ways(*_towards_pole(g)),
            "The speed is right and the mark goes towards the pole. It turns **about** the pole, at "
            "right angles to the way there.",
        ),
    ),
    nudges=(
        "How fast would a point 90° from the pole go? Turn degrees in a million years into millimetres.",
        "At the pole itself nothing moves; so where does the distance from it come in?",
    ),
    steps=_steps_velocity,
    source=f"v = ω × X on a sphere. Poles from {MODEL}.",
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
    given = _mm(dice, *dice.choose(FAST))
    lat, lon = (
        printed(printed(given[name] * 3600 + dice.whole(-9999, 9999) / 1e4, 4) / 3600, 12)
        for name in ("lat", "lon")
    )
    north, east = GRS80.meridian_radius(lat), GRS80.prime_vertical_radius(lat) * cos(lat)
    return {
        **given,
        "lat": lat,
        "lon": lon,
        "lat_metres": printed(north / RHO, 3),
        "lon_metres": printed(east / RHO, 3),
        "from_epoch": float(dice.whole(1998, 2009)),
        "to_epoch": printed(dice.whole(2021, 2025) + dice.choose((0.10, 0.11, 0.12)), 2),
        "reference": ITRF2020_REFERENCE,
    }


def _years(g: Given) -> float:
    return g["to_epoch"] - g["from_epoch"]


@lru_cache(maxsize=8)
def _moved_by(lat: float, lon: float, east: float, north: float, years: float) -> tuple[float, ...]:
    return move(lat, lon, 0.0, east / 1000, north / 1000, 0.0, years, GRS80)


def _at_years(g: Given, years: float) -> Answer:
    """Return the position after so many years; the drift is even, so the way is in proportion."""
    lat, lon, _ = _moved_by(*(g[k] for k in ("lat", "lon", "east", "north")), _years(g))
    part = years / _years(g)
    return {
        "lat": g["lat"] + part * (lat - g["lat"]),
        "lon": g["lon"] + part * math.remainder(lon - g["lon"], 360),
    }


def _as_month(g: Given) -> Answer:
    """Read 2024.10 as October 2024, its middle."""
    year = math.floor(g["to_epoch"])
    month = round(100 * (g["to_epoch"] - year))
    return _at_years(g, year + (month - 0.5) / 12 - g["from_epoch"])


def _steps_epoch(g: Given) -> list[str]:
    years, right = _years(g), _at_years(g, _years(g))
    east, north = (g[way] * years / 1000 for way in ("east", "north"))
    month = round(100 * (g["to_epoch"] % 1))
    return [
        f"Δt = {g['to_epoch']:.2f} − {g['from_epoch']:.1f} = {years:.2f} years, from the coordinate's "
        "epoch to the wanted one. The frame's reference epoch has no part in it.",
        f"North {north:+.3f} m, which is {north / g['lat_metres']:+.4f}″; east {east:+.3f} m, which is "
        f"{east / g['lon_metres']:+.4f}″.",
        f"**{dms(right['lat'], 4, 'latitude')}**, **{dms(right['lon'], 4, 'longitude')}** at "
        f"{g['to_epoch']:.2f}.",
        f"{g['to_epoch']:.2f} is a decimal year, in the first half of February: "
        f"reading .{month} as a month puts the mark "
        f"{math.hypot(g['east'], g['north']) * ((month - 0.5) / 12 - month / 100):.0f} mm off.",
    ]


EPOCH = Exercise(
    key="motion-epoch",
    topic="motion",
    title="To another epoch",
    edition=1,
    elements=(*FRAMES, *TRANSFORMING),
    aids="calculator",
    prompt="A reference mark ashore has latitude and longitude in **ITRF2020 at the first epoch** "
    "printed below, and moves evenly with its plate. What are its latitude and longitude in the same "
    "frame **at the second epoch**? Epochs are decimal years. The lengths of one second are on the "
    "GRS 80 ellipsoid, at the mark. Give both to 0.0001″; right within ±0.0002″ (6 mm).",
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
    solve=lambda g: _at_years(g, _years(g)),
    slips=(
        Slip(
            "backwards",
            "Backwards in time",
            lambda g: _at_years(g, -_years(g)),
            "The mark was moved back, not on. Δt is the epoch wanted minus the epoch of the "
            "coordinate.",
        ),
        Slip(
            "reference",
            "Years from the frame's reference epoch",
            lambda g: _at_years(g, g["to_epoch"] - g["reference"]),
            "The years were counted from the frame's reference epoch. They count from the epoch that "
            "the **coordinate** is given for.",
        ),
        Slip(
            "one-year",
            "One year's motion for all of it",
            lambda g: _at_years(g, 1),
            "This is the motion of one year. The velocity is per year: times Δt.",
        ),
        Slip(
            "month",
            "The decimals of the year read as a month",
            _as_month,
            "The decimals were read as a month. In a decimal year .10 is a tenth of a year, five weeks, "
            "and not October.",
        ),
    ),
    nudges=(
        "Which two epochs lie at the ends of the journey? One of those printed is neither.",
        "Velocity times years, in metres; then divide by the length of one second.",
    ),
    steps=_steps_epoch,
    source=f"Steady motion. Velocities from {MODEL}.",
)


# motion-as-laid ------------------------------------------------------------------------
# East and north differ by a fifth to a half: the azimuth keeps 6° from the diagonals, the way is 32 mm
# (6 tolerances) or more longer than its larger part, and a foot in a metre meets none of them. A
# year's motion is 27 mm or more, 5 tolerances from a thousandth of the way.

SKEW = (
    ("AUST", (-21, -11), (113, 130)),
    ("AUST", (-35, -32), (126, 134)),
    ("PCFC", (17, 24), (-163, -153)),
    ("SOMA", (-11, -4), (40, 44)),
)


def _draw_as_laid(dice: Dice) -> Answer:
    while True:
        given = _mm(dice, *dice.choose(SKEW))
        ratio = abs(given["north"] / given["east"])
        if 0.5 < min(ratio, 1 / ratio) < 0.8:
            break
    laid = dice.number(1997, 2005, 1)
    return {**given, "laid": laid, "now": printed(laid + dice.number(15, 21, 1), 1)}


def _way(g: Given) -> tuple[float, float]:
    years = g["now"] - g["laid"]
    return g["east"] * years / 1000, g["north"] * years / 1000


def _as_laid(g: Given) -> Answer:
    return dict(zip(DISTANCE_AND_AZIMUTH, _polar(*_way(g)), strict=True))


def _steps_as_laid(g: Given) -> list[str]:
    (east, north), right = _way(g), _as_laid(g)
    return [
        f"Δt = {g['now']:.1f} − {g['laid']:.1f} = {g['now'] - g['laid']:.1f} years.",
        f"East {g['east']:+.1f} mm × Δt = {east:+.3f} m, north {g['north']:+.1f} mm × Δt = "
        f"{north:+.3f} m: the pipe went with its plate, the list did not.",
        f"Distance √(east² + north²) = **{right['distance']:.3f} m**, towards azimuth "
        f"**{right['azimuth']:.1f}°**.",
        "Bring the list to the epoch of survey, or keep the job in a frame that goes with the plate.",
    ]


AS_LAID = Exercise(
    key="motion-as-laid",
    topic="motion",
    title="An as-laid list, years later",
    edition=1,
    elements=FRAMES,
    aids="calculator",
    prompt="A pipeline's as-laid list was brought to **ITRF2020, at the epoch of laying**. Nothing has moved on "
    "the seabed since, and the seabed moves evenly with its plate. At the epoch of survey you bring a "
    "vehicle, in ITRF2020 at that epoch, to a number of the list as it stands. How far and in which "
    "direction does **the pipe stand from that number**, pipe as seen from the listed position? Give "
    "the distance to 0.001 m, right within ±0.005 m, and the azimuth, clockwise from true north, 0° "
    "to 360°, to 0.1°, right within ±0.5°.",
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
    solve=_as_laid,
    slips=(
        Slip(
            "east-only",
            "Only the motion east",
            lambda g: {"distance": abs(_way(g)[0])},
            "{value} is the part to the east or west alone. The plate moves north or south as well.",
        ),
        Slip(
            "north-only",
            "Only the motion north",
            lambda g: {"distance": abs(_way(g)[1])},
            "{value} is the part to the north or south alone. The plate moves east or west as well.",
        ),
        Slip(
            "turned",
            "The list as seen from the pipe",
            lambda g: {"azimuth": (_as_laid(g)["azimuth"] + 180) % 360},
            "{value} is the way from the pipe back to the number. The pipe went the way the plate goes.",
        ),
        Slip(
            "one-year",
            "One year's motion for all of it",
            lambda g: {"distance": math.hypot(g["east"], g["north"]) / 1000},
            "{value} is what the plate goes in one year. Times the years between laying and survey.",
        ),
        Slip(
            "sum",
            "Added, not squared",
            lambda g: {"distance": sum(map(abs, _way(g)))},
            "{value} is the two parts added up. They stand at right angles: √(east² + north²).",
        ),
        Slip(
            "from-east",
            "Angle counted from east",
            lambda g: {"azimuth": (90 - _as_laid(g)["azimuth"]) % 360},
            "{value} counts from east and anticlockwise. An azimuth counts clockwise from north: "
            "atan2(east, north).",
        ),
    ),
    nudges=(
        "The list stays where it was in ITRF. What did the pipe do in the years between?",
        "East and north first, each velocity times years; then distance and direction.",
    ),
    steps=_steps_as_laid,
    source=f"Steady motion. Velocities from {MODEL}.",
)


# motion-frame --------------------------------------------------------------------------
# The rates move a point 20 mm a year or more, 12 mm in some coordinate. Years since the parameters'
# epoch (3 or more), none, years since the frame's own reference epoch (10 more or less, or 3 and 8
# from none), since the year zero: 3 years apart or more. The coordinate frame's rotations go the
# other way. That is 36 mm, 12 tolerances.

FOURTEEN = ("tx", "ty", "tz", "rx", "ry", "rz", "scale")
# Rows of the sheet: label, which of the fourteen, unit, decimals of the value and of its rate.
ROWS = (
    ("tX, tY, tZ", ("tx", "ty", "tz"), "mm", 2, 2),
    ("rX, rY, rZ", ("rx", "ry", "rz"), "mas", 4, 5),
    ("scale difference", ("scale",), "ppb", 2, 3),
)


class Published(NamedTuple):
    """A published set of fourteen parameters, and where and when it is used here."""

    at: tuple[float, ...]
    rates: tuple[float, ...]
    epoch: float
    frame: str
    reference: float  # epoch of that frame
    epochs: tuple[float, float]
    where: tuple[tuple[int, int], tuple[int, int]]


SETS = {
    "ITRF2008 to GDA94": Published(
        at=(-84.68, -19.42, 32.01, 0.4254, -2.2578, -2.4015, 9.71),
        rates=(1.42, 1.34, 0.90, -1.5461, -1.1820, -1.1551, 0.109),
        epoch=1994.0,
        frame="ITRF2008",
        reference=2005.0,
        epochs=(2013.5, 2020.0),
        where=((-38, -12), (113, 153)),
    ),
    "ITRF2014 to ETRF2014": Published(
        at=(0.0,) * 7,
        rates=(0.0, 0.0, 0.0, 0.085, 0.531, -0.770, 0.0),
        epoch=1989.0,
        frame="ITRF2014",
        reference=2010.0,
        epochs=(2018.0, 2026.0),
        where=((54, 66), (-4, 8)),
    ),
    "ITRF2014 to GDA2020": Published(
        at=(0.0,) * 7,
        rates=(0.0, 0.0, 0.0, -1.50379, -1.18346, -1.20716, 0.0),
        epoch=2020.0,
        frame="ITRF2014",
        reference=2010.0,
        epochs=(2023.0, 2026.0),
        where=((-38, -12), (113, 153)),
    ),
}


def _draw_frame(dice: Dice) -> Answer:
    name = dice.choose(tuple(SETS))
    chosen = SETS[name]
    lats, lons = chosen.where
    point = to_ecef(dice.number(*lats, 4), dice.number(*lons, 4), dice.number(0, 60, 0), GRS80)
    parameters = dict(zip(FOURTEEN, chosen.at, strict=True))
    parameters |= {f"rate_{part}": r for part, r in zip(FOURTEEN, chosen.rates, strict=True)}
    return {
        "operation": name,
        **{axis: printed(p, 3) for axis, p in zip(XYZ, point, strict=True)},
        **parameters,
        **_as_rows(parameters),
        "parameter_epoch": chosen.epoch,
        "epoch": dice.number(*chosen.epochs, 1),
        "frame": chosen.frame,
        "reference": chosen.reference,
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


def _frame(g: Given) -> Answer:
    values, rates = ([g[lead + part] for part in FOURTEEN] for lead in ("", "rate_"))
    milli = [v / 1000 for v in values]  # mm to m, mas to arcseconds, ppb to ppm
    helmert = Helmert(*milli, convention="position vector")
    yearly = tuple(r / 1000 for r in rates)
    operation = TimeDependent(helmert, yearly, g["parameter_epoch"]).at(g["epoch"])
    return dict(zip(XYZ, operation.apply(*(g[axis] for axis in XYZ)), strict=True))


def _by_hand(g: Given, years: float, rotate: float = 1.0) -> Answer:
    """Return X, Y, Z with the parameters after so many years, and so many times the rotation."""
    tx, ty, tz, rx, ry, rz, scale = _parameters(g, years)
    x, y, z = (g[axis] for axis in XYZ)
    turns = (ry * z - rz * y, rz * x - rx * z, rx * y - ry * x)
    moved = zip((x, y, z), turns, (tx, ty, tz), strict=True)
    mas = 1000 * RHO
    return {
        axis: (1 + scale / 1e9) * (p + rotate * turn / mas) + t / 1000
        for axis, (p, turn, t) in zip(XYZ, moved, strict=True)
    }


def _parameters(g: Given, years: float) -> list[float]:
    return [g[part] + years * g[f"rate_{part}"] for part in FOURTEEN]


def _since(g: Given) -> float:
    return g["epoch"] - g["parameter_epoch"]


def _steps_frame(g: Given) -> list[str]:
    tx, ty, tz, rx, ry, rz, scale = _parameters(g, _since(g))
    right = _frame(g)
    shift = ", ".join(f"{(right[axis] - g[axis]) * 1000:+.0f}" for axis in XYZ)
    return [
        f"Years since the parameters' epoch: {g['epoch']:.1f} − {g['parameter_epoch']:.1f} = "
        f"{_since(g):.1f}.",
        f"Parameters at {g['epoch']:.1f}: tX, tY, tZ = {tx:+.2f}, {ty:+.2f}, {tz:+.2f} mm; rX, rY, rZ = "
        f"{rx:+.3f}, {ry:+.3f}, {rz:+.3f} mas; scale {scale:+.2f} ppb.",
        f"They move the point by {shift} mm along X, Y, Z.",
        ", ".join(f"{axis.upper()} = **{number(right[axis], 3)} m**" for axis in XYZ)
        + f", in the plate's frame; {g['epoch']:.1f} is the epoch of the position that went in.",
    ]


FRAME = Exercise(
    key="motion-frame",
    topic="motion",
    title="Into the plate's own frame",
    edition=1,
    elements=(*FRAMES, *TRANSFORMING),
    aids="calculator",
    prompt="A GNSS position in an international frame, X, Y, Z **at the epoch of observation**, goes to "
    "the plate-fixed frame of its region by a published set of fourteen parameters: seven at their "
    "own epoch, and seven yearly rates. Rotations are in the **position vector** convention, for small "
    "angles; mas is a thousandth of an arcsecond, ppb a thousandth of a part in a million. What are X, "
    "Y, Z in the plate-fixed frame? Give each to 0.001 m; right within ±0.003 m.",
    draw=_draw_frame,
    printed=(
        Printed("operation", "operation"),
        *(Printed(axis, axis.upper(), "m", 3, signed=True) for axis in XYZ),
        Printed("epoch", "epoch of observation", decimals=1, kind="year"),
        Printed("parameter_epoch", "epoch of the parameters", decimals=1, kind="year"),
        *(
            Printed(f"{row[0]}{rate}", f"{row[0]}{rate}")
            for rate in ("", ", a year")
            for row in ROWS
        ),
        Printed("frame", "frame of the observation"),
        Printed("reference", "reference epoch of that frame", decimals=1, kind="year"),
    ),
    asked=tuple(Asked(axis, axis.upper(), "length", "m", 3, 0.003) for axis in XYZ),
    solve=_frame,
    slips=(
        Slip(
            "no-rates",
            "The rates left out",
            lambda g: _by_hand(g, 0),
            "The seven parameters were used as they stood at their own epoch. The plate has gone on "
            "since: add the yearly rates times the years.",
        ),
        Slip(
            "year-zero",
            "Years counted from the year zero",
            lambda g: _by_hand(g, g["epoch"]),
            "The rates were taken times the whole calendar year. Software does that when the epoch of "
            "the parameters is left out: tens of metres and more.",
        ),
        Slip(
            "frame-reference",
            "Years from the frame's reference epoch",
            lambda g: _by_hand(g, g["epoch"] - g["reference"]),
            "The years were counted from the reference epoch of the frame. The parameters have an epoch "
            "of their own.",
        ),
        Slip(
            "coordinate-frame",
            "Rotations with the wrong sign",
            lambda g: _by_hand(g, _since(g), -1),
            "The rotations came in with the wrong sign: those of the coordinate frame convention, or "
            "rates for years counted backwards. The plate would run backwards.",
        ),
    ),
    nudges=(
        "First bring the seven parameters to the epoch of observation.",
        "Years since which epoch? Two are printed beside that of the observation.",
    ),
    steps=_steps_frame,
    source="ITRF2008 to GDA94 (TD-01), ITRF2014 to ETRF2014 (TD-08) and ITRF2014 to GDA2020 (TD-05, "
    f"printed there as coordinate frame). EPSG method 1053, {IOGP}.",
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
SPEED = ("speed", "azimuth")


def _draw_between(dice: Dice) -> Answer:
    while True:
        first, second, lats, lons = dice.choose(BORDERS)
        if dice.choose((False, True)):
            first, second = second, first
        lat, lon = dice.number(*lats, 1), dice.number(*lons, 1)
        given = {"lat": lat, "lon": lon}
        for which, plate in (("1", first), ("2", second)):
            east, north = velocity(lat, lon, ITRF2020[plate], GRS80)
            given[f"plate{which}"] = NAMES[plate]
            given[f"east{which}"] = printed(1000 * east, 1)
            given[f"north{which}"] = printed(1000 * north, 1)
        if _well_apart(given):
            return given


def _well_apart(g: Given) -> bool:
    right = _between(g)
    radians = {**right, "azimuth": math.radians(right["azimuth"])}
    outcomes = [right, radians, *({**right, **slip.route(g)} for slip in BETWEEN_SLIPS)]
    return all(
        abs(a["speed"] - b["speed"]) > 1
        or abs(math.remainder(a["azimuth"] - b["azimuth"], 360)) > 6
        for a, b in itertools.combinations(outcomes, 2)
    )


def _relative(g: Given, first: float = 1.0, second: float = -1.0) -> Answer:
    """Return speed and azimuth of so many times the first velocity and the second."""
    east, north = (first * g[f"{way}1"] + second * g[f"{way}2"] for way in ("east", "north"))
    return dict(zip(SPEED, _polar(east, north), strict=True))


def _between(g: Given) -> Answer:
    return _relative(g)


BETWEEN_SLIPS = (
    Slip(
        "sum",
        "The two velocities added",
        lambda g: _relative(g, 1, 1),
        "The velocities were added. What one plate sees of the other is the difference.",
    ),
    Slip(
        "wrong-minus",
        "Second minus first",
        lambda g: {"azimuth": _relative(g, -1, 1)["azimuth"]},
        "{value} is how the second plate moves as seen from the first. Asked is the first as seen from "
        "the second: first minus second.",
    ),
    Slip(
        "absolute",
        "The first plate's own motion in ITRF",
        lambda g: _relative(g, 1, 0),
        "This is what the first plate does in ITRF. The second one, from which you look, moves too.",
    ),
    Slip(
        "speeds",
        "The difference of the two speeds",
        lambda g: {"speed": abs(_relative(g, 1, 0)["speed"] - _relative(g, 0, 1)["speed"])},
        "{value} is the difference of two speeds. The plates go different ways: subtract east from "
        "east and north from north first.",
    ),
)


def _steps_between(g: Given) -> list[str]:
    right = _between(g)
    east, north = (g[f"{way}1"] - g[f"{way}2"] for way in ("east", "north"))
    return [
        f"East: {g['east1']:+.1f} − ({g['east2']:+.1f}) = {east:+.1f} mm a year.",
        f"North: {g['north1']:+.1f} − ({g['north2']:+.1f}) = {north:+.1f} mm a year.",
        f"Speed **{right['speed']:.1f} mm a year**, towards azimuth **{right['azimuth']:.0f}°**: "
        f"{g['plate1']} as seen from {g['plate2']}.",
        "A cable across the border is pulled or pushed by that, spread over a zone and mostly in jumps. "
        "The frame you work in does not change it.",
    ]


BETWEEN = Exercise(
    key="motion-between",
    topic="motion",
    title="Across a plate's edge",
    edition=1,
    elements=FRAMES,
    aids="calculator",
    prompt="A cable crosses the border of two plates. The model gives what each plate does there **in "
    "ITRF2020**, if it reached the border unbent, in millimetres a year, east and north positive. How "
    "fast, and which way, does the **first plate move as seen from the second**? Give the speed to "
    "0.1 mm a year, right within ±0.2 mm, and the azimuth, clockwise from true north, 0° to 360°, to "
    "1°, right within ±1°.",
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
    solve=_between,
    slips=BETWEEN_SLIPS,
    nudges=(
        "You stand on the second plate. What do you take off from the first one's motion?",
        "East minus east, north minus north, each with its sign; then speed and direction.",
    ),
    steps=_steps_between,
    source=f"Relative velocity. {MODEL}.",
)


# motion-which --------------------------------------------------------------------------

WHICH_EPOCH = choice(
    "motion-which-epoch",
    "Which of them needs an epoch?",
    "Four coordinates of one mark on the sheet, none with an epoch. Which of them is **not complete "
    "without** one, for work to a decimetre?",
    ("itrf", "Latitude and longitude in ITRF2014"),
    {
        "gda94": (
            "Latitude and longitude in GDA94",
            "That frame is fixed to its plate: its coordinates hold for all years, within what the "
            "plate itself bends.",
        ),
        "etrs89": (
            "Latitude and longitude in ETRS89",
            "That system goes with stable Eurasia. Its numbers change by centimetres in decades, not "
            "every year.",
        ),
        "old": (
            "Latitude and longitude in ED50",
            "An old datum goes with the ground on which its marks stand, and is known to a metre at "
            "best.",
        ),
    },
    elements=FRAMES,
    because="ITRF does not go with any plate, so every mark on the ground moves in it, one to seven "
    "centimetres a year in most places. A frame that is fixed to the plate keeps its numbers.",
    source=f"{MODEL}. Meaning of dynamic and static frames: {IOGP} (from memory).",
    nudges=("Which of these frames goes with a plate, and which goes with none?",),
)

WHICH_WGS84 = choice(
    "motion-which-wgs84",
    "Which WGS 84?",
    "A list of 1988 and one of this year both say **WGS 84**. How far may the frames behind the two "
    "words stand apart?",
    ("metre", "A metre or two, and the motion of the plate besides"),
    {
        "nothing": (
            "Not at all: WGS 84 is WGS 84",
            "It was realised anew several times since 1994. The first one, by Transit satellites, "
            "agreed with ITRF to a metre or two.",
        ),
        "millimetre": (
            "0.1 mm: only its flattening was changed",
            "That is how far the **ellipsoids** GRS 80 and WGS 84 differ at the pole. The frames are "
            "another matter.",
        ),
        "hundreds": (
            "A hundred metres: it is another datum",
            "Between an old regional datum and WGS 84 it is so. Two realisations of WGS 84 are far "
            "closer.",
        ),
    },
    elements=FRAMES,
    because="The name stayed and the frame was improved: WGS 84 (Transit) to a metre or two, WGS 84 "
    "(G730) of 1994 to a decimetre, those of this century to centimetres of the ITRF of their day. Ask "
    "which realisation, and which epoch.",
    source="Realisations as the EPSG dataset lists them: Transit, G730, G873, G1150, G1674, G1762, "
    "G2139, G2296; their agreement with ITRF from memory.",
    nudges=("A frame is as good as the stations that realise it. Which were there in 1988?",),
)

WHICH_CHANGE = choice(
    "motion-which-change",
    "Frame or epoch?",
    "A pipeline's list is in **ITRF2014 at epoch 2012.0**. The new one is wanted in **ITRF2020 at "
    "epoch 2026.0**, in the North Sea. Which of the two changes moves the numbers more?",
    ("epoch", "The epoch: three decimetres"),
    {
        "frame": (
            "The frame: two different realisations",
            "Between these two frames it is millimetres. Confusing the two changes is the usual slip.",
        ),
        "same": (
            "Both about the same",
            "The frames differ by millimetres. The plate goes 22 mm a year, for fourteen years.",
        ),
        "none": (
            "Neither, on a seabed that does not move",
            "The seabed moves with its plate, in every ITRF.",
        ),
    },
    elements=(*FRAMES, *TRANSFORMING),
    because="ITRF2014 and ITRF2020 differ by a few millimetres (TD-07). Fourteen years at 22 mm a year "
    "are 0.31 m. A frame and an epoch: write both.",
    source=f"TD-07 in tests: ITRF centre, transformation parameters from ITRF2020, 2022. {MODEL}.",
    nudges=("How far does the plate go in these fourteen years?",),
)


# Say first -----------------------------------------------------------------------------

FIRST_PIPE = choice(
    "motion-first-pipe",
    "Say first: twenty-five years later",
    "A pipeline was laid twenty-five years ago, and its list is in ITRF of that day. It has not moved on "
    "the seabed. You come back with GNSS in **today's** ITRF and steer to a listed number. Where is the "
    "pipe?",
    ("decimetres", "Decimetres away, on a fast plate two metres"),
    {
        "there": (
            "There: it has not moved",
            "Not on the seabed. But the seabed went with its plate, and the number did not.",
        ),
        "millimetres": (
            "Millimetres away: plates are slow",
            "Millimetres a month, yes. Most plates go one to seven centimetres a year: times 25.",
        ),
        "tens": (
            "Tens of metres away",
            "That would take a thousand years. Look for a wrong datum instead.",
        ),
    },
    elements=FRAMES,
    because="One to seven centimetres a year, times 25: three decimetres to nearly two metres.",
    source=f"{MODEL}.",
    marks=0,
)

EXERCISES = (
    FIRST_PIPE,
    VELOCITY,
    EPOCH,
    AS_LAID,
    FRAME,
    BETWEEN,
    WHICH_EPOCH,
    WHICH_WGS84,
    WHICH_CHANGE,
)
