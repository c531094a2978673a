"""Exercises of lesson 09, why the plumb line leans."""

import math
from collections.abc import Callable

from exercises.bank.common import EARTH_RADIUS, cos, sin
from exercises.question.dice import Dice, apart, printed
from exercises.question.model import Answer, Asked, Given, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import (
    Numbers,
    also,
    counted,
    exchanged,
    times,
    turned,
    using,
    variation,
)
from geokit.angles import RHO
from geokit.attraction import normal_wire
from geokit.deflection import along, seabed_offset
from geokit.gravity import GRS80_FIELD

ELEMENTS = ("S-5A F1.1c", "S-5A F1.1a")


# Say first -----------------------------------------------------------------------------

FIRST_MASS = choice("attraction-first-mass", elements=ELEMENTS, marks=0)


# What the prompts name -----------------------------------------------------------------

NEWTON = 6.674e-11  # m³/(kg s²)
GRAVITY, WATER, FRESH = 9.81, 1030.0, 1000.0  # m/s², kg/m³
MILLIGAL = 1e-5  # m/s²


def _contrast(g: Numbers) -> float:
    """Return by how much rock exceeds the water in whose place it stands."""
    return g.rho - WATER


# attraction-plate ----------------------------------------------------------------------
# Rock for contrast is 1.57 to 1.72 times too large, a common logarithm 0.43 of it, a full plate
# twice its half. ln(1 + L²/d²) is 6.0 to 8.8, of 2π 0.95 to 1.4: where it would meet the slab's
# 2π, near 6.28, the draw is repeated.


def _draw_plate(dice: Dice) -> Answer:
    while True:
        plate = {
            "h": float(dice.number(150, 500, 0, step=10)),
            "rho": float(dice.number(2450, 2830, 0, step=10)),
            "width": float(dice.whole(60, 120)),
            "d": dice.number(1.5, 3, 1),
        }
        if abs(_logarithm(Numbers(plate)) / (2 * math.pi) - 1) > 0.08:
            return plate


def _logarithm(g: Numbers) -> float:
    return math.log(1 + (g.width / g.d) ** 2)


def _plate(
    g: Numbers,
    contrast: Callable[[Numbers], float] = _contrast,
    logarithm: Callable[[Numbers], float] = _logarithm,
) -> Answer:
    """Return the pulls of a plate in mGal: over its middle, at its edge, and sideways there."""
    once = NEWTON * contrast(g) * g.h / MILLIGAL
    middle = 2 * math.pi * once
    return {"middle": middle, "edge": middle / 2, "sideways": once * logarithm(g)}


def _strip(g: Numbers) -> Answer:
    """Return the edge's pull as that of a strip that ends at the width."""
    return {"edge": _plate(g)["middle"] / math.pi * math.atan(g.width / g.d)}


PLATE = exercise(
    "attraction-plate",
    elements=ELEMENTS,
    draw=_draw_plate,
    printed=(
        Printed("h", "h, thickness of the plate", "m", 0),
        Printed("rho", "density of its rock", "kg/m³", 0),
        Printed("d", "d, from the surface down to the middle of the plate", "km", 1),
        Printed("width", "L, width of the plate, away from the edge", "km", 0),
    ),
    asked=(
        Asked("middle", "Over the middle", "number", "mGal", 1, 0.2),
        Asked("edge", "Over the edge, downwards", "number", "mGal", 1, 0.2),
        Asked("sideways", "Over the edge, sideways", "number", "mGal", 1, 0.2),
    ),
    solve=_plate,
    carry=lambda g, own: {"edge": own.middle / 2},
    slips={
        "rock": using(contrast=lambda g: g.rho),
        "slab-sideways": lambda g: {"sideways": _plate(g)["middle"]},
        "full-edge": lambda g: {"edge": _plate(g)["middle"]},
        "common-log": using("sideways", logarithm=lambda g: _logarithm(g) / math.log(10)),
        "square-out": using("sideways", logarithm=lambda g: math.log(1 + g.width / g.d)),
    },
    methods={"strip": counted(_strip)},
    work=lambda g: {
        "contrast": _contrast(g),
        "once": NEWTON * _contrast(g) * g.h / MILLIGAL,
        "ratio": g.width / g.d,
        "logarithm": _logarithm(g),
        "lean": RHO * _plate(g)["sideways"] * MILLIGAL / GRAVITY,
    },
)


# attraction-mountain -------------------------------------------------------------------
# The ball's top stays under water. Its centre lies 5 km to 6.5 km down and 7 km to 10 km away: the
# slant pull is 1.12 to 1.36 times the level one. The azimuth keeps 20° off the axes, and 8° off
# the diagonals.


def _draw_mountain(dice: Dice) -> Answer:
    off = dice.choose((dice.whole(20, 37), dice.whole(53, 70)))
    return {
        "diameter": dice.number(8.5, 9.8, 1),
        "rho": float(dice.number(2500, 2800, 0, step=10)),
        "away": dice.number(7, 10, 1),
        "down": dice.number(5, 6.5, 1),
        "azimuth": float(off + dice.choose((0, 90, 180, 270))),
    }


def _sphere(g: Numbers, contrast: Callable[[Numbers], float] = _contrast) -> float:
    """Return the mass of the seamount, taken as a sphere, less that of its water, in kg."""
    return math.pi / 6 * (1000 * g.diameter) ** 3 * contrast(g)


def _slant(g: Numbers) -> float:
    return 1000 * math.hypot(g.away, g.down)


def _lean(g: Numbers, contrast: Callable[[Numbers], float] = _contrast) -> float:
    """Return how far the line leans, in arcseconds: the level part of the pull over gravity."""
    level = 1000 * g.away / _slant(g)
    return RHO * NEWTON * _sphere(g, contrast) / _slant(g) ** 2 * level / GRAVITY


def _mountain(g: Numbers, contrast: Callable[[Numbers], float] = _contrast) -> tuple[float, float]:
    """Return ξ and η: the zenith leans away from the mass."""
    lean = _lean(g, contrast)
    return -lean * cos(g.azimuth), -lean * sin(g.azimuth)


XI_ETA = (
    Asked("xi", "ξ", "angle", "″", 1, 0.1, positive="north"),
    Asked("eta", "η", "angle", "″", 1, 0.1, positive="east"),
)

MOUNTAIN = exercise(
    "attraction-mountain",
    elements=ELEMENTS,
    draw=_draw_mountain,
    printed=(
        Printed("diameter", "diameter of the sphere", "km", 1),
        Printed("rho", "density of its rock", "kg/m³", 0),
        Printed("away", "horizontal distance to its centre", "km", 1),
        Printed("down", "depth of its centre", "km", 1),
        Printed("azimuth", "azimuth of the seamount", "°", 0),
    ),
    asked=XI_ETA,
    pairs=(("xi", "eta"),),
    solve=_mountain,
    slips={
        "slant": times(lambda g: _slant(g) / (1000 * g.away)),
        "rock": using(contrast=lambda g: g.rho),
        "radius": times(8),
        "weight": also("sign", turned()),
        "swapped": also("swapped", exchanged()),
    },
    work=lambda g: {
        "contrast": _contrast(g),
        "mass": _sphere(g) / 1e14,
        "slant": _slant(g) / 1000,
        "pull": NEWTON * _sphere(g) / _slant(g) ** 2 / MILLIGAL,
        "level": NEWTON * _sphere(g) / _slant(g) ** 2 * 1000 * g.away / _slant(g) / MILLIGAL,
        "lean": _lean(g),
        "onwards": (g.azimuth + 180) % 360,
    },
)


# attraction-root -----------------------------------------------------------------------
# The root takes back 8 % to 53 % of 25″ or more: 2″, 20 tolerances, between with and without.


def _draw_root(dice: Dice) -> Answer:
    return {
        "lean": dice.number(25, 55, 1),
        "away": float(dice.whole(15, 35)),
        "down": dice.number(2, 4, 1),
        "root": float(dice.whole(26, 34)),
    }


def _ratio(g: Numbers) -> float:
    """Return the square of the ways to the mountain's centre and to the root's, divided."""
    return (g.away**2 + g.down**2) / (g.away**2 + g.root**2)


def _left(g: Numbers, sign: float = -1, power: float = 1.5) -> float:
    return g.lean * (1 + sign * _ratio(g) ** power)


ROOT = exercise(
    "attraction-root",
    elements=ELEMENTS,
    draw=_draw_root,
    printed=(
        Printed("lean", "lean by the mountain alone", "″", 1),
        Printed("away", "horizontal distance to both", "km", 0),
        Printed("down", "depth of the mountain's centre", "km", 1),
        Printed("root", "depth of the root's centre", "km", 0),
    ),
    asked=(Asked("left", "What is left", "angle", "″", 1, 0.1),),
    solve=_left,
    slips={
        "none": using(sign=0),
        "added": using(sign=1),
        "cancelled": also(
            "thousand", "unit-radians", "unit-degrees", "unit-arcminutes", times(0.0)
        ),
        "square": using(power=1.0),
    },
    work=lambda g: {
        "near": math.hypot(g.away, g.down),
        "far": math.hypot(g.away, g.root),
        "ratio": _ratio(g) ** 1.5,
        "back": g.lean * _ratio(g) ** 1.5,
        "share": 100 * _left(g) / g.lean,
    },
)


# attraction-curved-wire ----------------------------------------------------------------
# ξ falls by 15″ to 25″ down a wire of 2 000 m or more: half of that is 7 cm, seven tolerances, and
# at the seabed more than half of the mean is left, clear of a foot for a metre.
# The normal field's share is 0.9 mm to 15 mm, and its double or its opposite as far off again.

CURVE = 0.17  # arcseconds in a kilometre, times sin 2φ


def _draw_wire(dice: Dice) -> Answer:
    side = dice.choose((1, -1))
    top = dice.number(40, 70, 1)
    return {
        "top": side * top,
        "bottom": side * printed(top - dice.number(15, 25, 1), 1),
        "depth": float(dice.number(2000, 6000, 0, step=50)),
        "lat": dice.signed(20, 70, 0),
    }


def _foot(g: Numbers, lean: Callable[[Numbers], float]) -> float:
    """Return where the foot stands, north positive: the other way from the zenith."""
    return -lean(g) * g.depth / RHO


def _mean_lean(g: Numbers) -> float:
    return (g.top + g.bottom) / 2


def _normal_share(g: Numbers, share: float = 0.5) -> float:
    """Return what the normal field alone does to the foot, in millimetres, north positive."""
    kilometres = g.depth / 1000
    return share * CURVE * sin(2 * g.lat) * kilometres / RHO * g.depth * 1000


def _wire(g: Numbers, lean: Callable[[Numbers], float] = _mean_lean, share: float = 0.5) -> Answer:
    return {"foot": _foot(g, lean), "normal": _normal_share(g, share)}


def _exact_normal(g: Numbers) -> Answer:
    return {"normal": 1000 * normal_wire(g.lat, g.depth, GRS80_FIELD)[1]}


WIRE = exercise(
    "attraction-curved-wire",
    elements=ELEMENTS,
    draw=_draw_wire,
    printed=(
        Printed("top", "ξ at the surface, north +", "″", 1, signed=True),
        Printed("bottom", "ξ at the seabed, north +", "″", 1, signed=True),
        Printed("depth", "length of the wire", "m", 0),
        Printed("lat", "φ, geodetic latitude, north +", "°", 0, signed=True),
    ),
    asked=(
        Asked("foot", "Foot, from the normal", "length", "m", 2, 0.01, positive="north"),
        Asked("normal", "Of it, the normal field", "length", "mm", 1, 0.2, positive="north"),
    ),
    solve=_wire,
    slips={
        "only-top": using("foot", lean=lambda g: g.top),
        "only-bottom": using("foot", lean=lambda g: g.bottom),
        "zenith": also("sign foot", turned("foot")),
        "not-averaged": using("normal", share=1.0),
        "normal-sign": also("sign normal", using("normal", share=-0.5)),
    },
    methods={"somigliana": counted(_exact_normal)},
    work=lambda g: {
        "mean": _mean_lean(g),
        "fall": CURVE * sin(2 * g.lat) * g.depth / 1000,
        "only_top": _foot(g, lambda g: g.top),
    },
)


# attraction-pressure -------------------------------------------------------------------
# All outcomes of a draw stand 7 cm apart, 3.5 tolerances.


def _draw_pressure(dice: Dice) -> Answer:
    while True:
        g = {
            "change": dice.signed(100, 600, 2),
            "distance": float(dice.number(2000, 5000, 0, step=10)),
            "azimuth": float(dice.whole(0, 359)),
            **{f"{name}{end}": dice.signed(8, 60, 1) for end in (1, 2) for name in ("xi", "eta")},
        }
        ways = [variation(way) for way in (_rise, *PRESSURE_SLIPS.values())]
        if apart([way.bound(_rise, ["rise"])(g)["rise"] for way in ways], 0.07):
            return g


def _ends(g: Numbers) -> tuple[float, float]:
    """Return the deflection along the line at both of its ends, in arcseconds."""
    one, two = (along(g[f"xi{end}"], g[f"eta{end}"], g.azimuth) for end in (1, 2))
    return one, two


def _mean_along(g: Numbers) -> float:
    return sum(_ends(g)) / 2


def _mean_across(g: Numbers) -> float:
    """Return the mean with sine and cosine in each other's place."""
    xi, eta = (g.xi1 + g.xi2) / 2, (g.eta1 + g.eta2) / 2
    return xi * sin(g.azimuth) + eta * cos(g.azimuth)


def _deeper(g: Numbers, density: float = WATER) -> float:
    return 1000 * g.change / (density * GRAVITY)


def _rise(
    g: Numbers, lean: Callable[[Numbers], float] = _mean_along, density: float = WATER
) -> float:
    """Return how much higher above the ellipsoid the second place lies, in metres."""
    return -_deeper(g, density) - lean(g) * g.distance / RHO


PRESSURE_SLIPS = {
    "level": using(lean=lambda g: 0.0),
    "level-sign": using(lean=lambda g: -_mean_along(g)),
    "across": using(lean=_mean_across),
    "one-end": using(lean=lambda g: _ends(g)[0]),
    "fresh": using(density=FRESH),
    "turned": also("sign", turned()),
}


def _work_pressure(g: Numbers) -> Answer:
    one, two = _ends(g)
    step = -_mean_along(g) * g.distance / RHO
    return {"deeper": _deeper(g), "one": one, "two": two, "mean": _mean_along(g), "step": step}


PRESSURE = exercise(
    "attraction-pressure",
    elements=ELEMENTS,
    draw=_draw_pressure,
    printed=(
        Printed("change", "pressure at 2 − pressure at 1", "kPa", 2, signed=True),
        Printed("distance", "distance from 1 to 2", "m", 0),
        Printed("azimuth", "azimuth from 1 to 2", "°", 0),
        Printed("xi1", "ξ at 1, north +", "″", 1, signed=True),
        Printed("eta1", "η at 1, east +", "″", 1, signed=True),
        Printed("xi2", "ξ at 2, north +", "″", 1, signed=True),
        Printed("eta2", "η at 2, east +", "″", 1, signed=True),
    ),
    asked=(Asked("rise", "h of 2 − h of 1", "length", "m", 2, 0.02, positive="up"),),
    solve=_rise,
    slips=PRESSURE_SLIPS,
    work=_work_pressure,
)


# attraction-feels ----------------------------------------------------------------------
# Each part is zero or 11 cm and more, of which a foot for a metre leaves 3 cm, three tolerances;
# the frame's is 1.5 mm and more.


def _draw_feels(dice: Dice) -> Answer:
    return {
        "lean": dice.number(25, 65, 1),
        "depth": float(dice.number(1500, 3500, 0, step=50)),
        "apart": float(dice.number(950, 1600, 0, step=50)),
        "height": float(dice.whole(15, 40)),
    }


def _over(g: Numbers, length: float) -> float:
    return g.lean * length / RHO


def _feels(g: Numbers) -> Answer:
    deep = _over(g, g.depth)
    return {
        "weight": deep,
        "usbl": deep,
        "gnss": 0.0,
        "ranges": 0.0,
        "pressure": _over(g, g.apart),
        "frame": 1000 * _over(g, g.height),
        "stars": _over(g, EARTH_RADIUS),
    }


def _length(name: str, label: str) -> Asked:
    return Asked(name, label, "length", "m", 2, 0.01)


FEELS = exercise(
    "attraction-feels",
    elements=ELEMENTS,
    draw=_draw_feels,
    printed=(
        Printed("lean", "deflection, all of it in one direction", "″", 1),
        Printed("depth", "depth of the water", "m", 0),
        Printed("apart", "from one pressure gauge to the other, in that direction", "m", 0),
        Printed("height", "height of the frame", "m", 0),
    ),
    asked=(
        _length("weight", "Weight on the wire"),
        _length("usbl", "USBL, level by motion sensor"),
        _length("gnss", "GNSS antenna"),
        _length("ranges", "Acoustic ranges, array"),
        _length("pressure", "Height by two pressures"),
        Asked("frame", "Top of the levelled frame", "length", "mm", 1, 0.2),
        Asked("stars", "Position by star camera", "length", "m", 0, 3.0),
    ),
    solve=_feels,
    slips={
        "usbl-exempt": also("thousand usbl", lambda g: {"usbl": 0.0}),
        "gnss-leans": lambda g: {"gnss": _over(g, g.depth)},
        "ranges-lean": lambda g: {"ranges": _over(g, g.depth)},
        "pressure-exempt": also("thousand pressure", lambda g: {"pressure": 0.0}),
        "frame-by-depth": lambda g: {"frame": 1000 * _over(g, g.depth)},
        "frame-exempt": also("thousand frame", lambda g: {"frame": 0.0}),
        "stars-exempt": also("thousand stars", lambda g: {"stars": 0.0}),
    },
    work=lambda g: {"a_second": EARTH_RADIUS / RHO},
)


# attraction-wall -----------------------------------------------------------------------
# ξ and η are 15″ or more and 4″ apart; along the line 12″ or more. Over 1 200 m and more of depth
# the foot is 9 cm or more off the normal in each direction, four tolerances and more.

LOG = ("sling", "beacon", "frame", "gauges")


def _draw_wall(dice: Dice) -> Answer:
    while True:
        g = {
            "xi": dice.signed(15, 55, 1),
            "eta": dice.signed(15, 55, 1),
            "depth": float(dice.number(1200, 3000, 0, step=10)),
            "usbl_east": dice.signed(2, 60, 2),
            "usbl_north": dice.signed(2, 60, 2),
            "height": float(dice.whole(20, 40)),
            "deeper": dice.signed(5, 40, 2),
            "distance": float(dice.number(1200, 3000, 0, step=10)),
            "azimuth": float(dice.whole(0, 359)),
            "wrong": dice.whole(1, 4),
        }
        numbers = Numbers(g)
        if abs(abs(g["xi"]) - abs(g["eta"])) > 4 and abs(_line_lean(numbers)) > 12:
            return g


def _line_lean(g: Numbers) -> float:
    return along(g.xi, g.eta, g.azimuth)


def _wall(g: Numbers, level: float = 1, shift: float = 1) -> Answer:
    """Return every part of the day, right where `level` and `shift` are 1."""
    east, north = seabed_offset(g.xi, g.eta, g.depth)
    return {
        "foot_east": east,
        "foot_north": north,
        "beacon_east": g.usbl_east + shift * east,
        "beacon_north": g.usbl_north + shift * north,
        "top_east": 1000 * g.eta * g.height / RHO,
        "top_north": 1000 * g.xi * g.height / RHO,
        "rise": -g.deeper - level * _line_lean(g) * g.distance / RHO,
        "wrong": g.wrong,
    }


def _way(north: float, east: float) -> str:
    return f"{'north' if north > 0 else 'south'}-{'east' if east > 0 else 'west'}"


def _log(line: str) -> Callable[[Given], str]:
    """Return what a line of the log says: which way, turned round where it is the wrong one."""
    place = LOG.index(line) + 1

    def text(given: Given) -> str:
        g = Numbers(given)
        side = -1 if g.wrong == place else 1
        if line == "gauges":
            rises = -_line_lean(g) * side > 0
            return f"the level surface {'rises' if rises else 'falls'} from A to B"
        if line == "frame":
            return f"top {_way(side * g.xi, side * g.eta)} of its foot"
        foot = _way(-side * g.xi, -side * g.eta)
        return f"foot {foot} of the normal" if line == "sling" else f"moved to the {foot}"

    return text


def _asked_pair(name: str, label: str, unit: str, decimals: int, tolerance: float) -> tuple:
    return tuple(
        Asked(f"{name}_{way}", f"{label}, {way}", "length", unit, decimals, tolerance, positive=way)
        for way in ("east", "north")
    )


def _parts(name: str, answer: Answer) -> Answer:
    return {key: value for key, value in answer.items() if key.startswith(name)}


WALL = exercise(
    "attraction-wall",
    elements=ELEMENTS,
    draw=_draw_wall,
    printed=(
        Printed("xi", "ξ, north +", "″", 1, signed=True),
        Printed("eta", "η, east +", "″", 1, signed=True),
        Printed("depth", "depth, hook and transducer to seabed", "m", 0),
        Printed("usbl_east", "beacon by USBL, east +", "m", 2, signed=True),
        Printed("usbl_north", "beacon by USBL, north +", "m", 2, signed=True),
        Printed("height", "height of the frame", "m", 0),
        Printed("deeper", "depth by pressure, B − A", "m", 2, signed=True),
        Printed("distance", "distance from A to B", "m", 0),
        Printed("azimuth", "azimuth from A to B", "°", 0),
        Printed("log1", "log, line 1: sling", text=_log("sling")),
        Printed("log2", "log, line 2: USBL position", text=_log("beacon")),
        Printed("log3", "log, line 3: frame", text=_log("frame")),
        Printed("log4", "log, line 4: gauges", text=_log("gauges")),
    ),
    asked=(
        *_asked_pair("foot", "Foot of the sling", "m", 2, 0.02),
        *_asked_pair("beacon", "Beacon", "m", 2, 0.02),
        *_asked_pair("top", "Top of the frame", "mm", 1, 0.2),
        Asked("rise", "h of B − h of A", "length", "m", 2, 0.02, positive="up"),
        Asked("wrong", "Line of the log that is wrong", "count", "", 0, 0.5),
    ),
    solve=_wall,
    carry=lambda g, own: {
        "beacon_east": g.usbl_east + own.foot_east,
        "beacon_north": g.usbl_north + own.foot_north,
    },
    slips={
        "foot-to-zenith": also(
            "sign foot_east", "sign foot_north", turned("foot_east", "foot_north")
        ),
        "beacon-left": lambda g: _parts("beacon", _wall(g, shift=0)),
        "beacon-away": lambda g: _parts("beacon", _wall(g, shift=-1)),
        "top-like-foot": also("sign top_east", "sign top_north", turned("top_east", "top_north")),
        "level": using("rise", level=0),
        "level-sign": using("rise", level=-1),
    },
    work=lambda g: {
        "lean": _line_lean(g),
        "step": -_line_lean(g) * g.distance / RHO,
        "zenith": _way(g.xi, g.eta),
        "weight": _way(-g.xi, -g.eta),
        "slope": "rises" if _line_lean(g) < 0 else "falls",
    },
)
