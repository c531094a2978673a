"""Exercises of lesson 02, the angles of a big triangle."""

import math
from collections.abc import Callable

from exercises.bank.common import EARTH_RADIUS, cos, sin
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Given, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import Numbers, also, misread, times, turned, using
from geokit.angles import RHO
from geokit.excess import from_area, from_sides

KM2_A_SECOND = (EARTH_RADIUS / 1000) ** 2 / RHO
ELEMENTS = ("S-5A F1.6a",)
AREA = Printed("area", "area enclosed", "km²", 0)


def _angles(names: str, what: str, decimals: int) -> tuple[Printed, ...]:
    return tuple(Printed(name, f"{name}, {what}", DMS, decimals) for name in names)


def _degrees(seconds: int, per_second: int) -> float:
    """Return an angle drawn in whole parts of a second, in degrees as it is printed."""
    return printed(seconds / (3600 * per_second), 10)


def _third_angle(first: int, second: int, excess: int, per_second: int) -> Answer:
    """Return the angles A, B and the C that closes them on 180° plus the excess."""
    third = 180 * 3600 * per_second + excess - first - second
    names_and_sizes = zip("ABC", (first, second, third), strict=True)
    return {name: _degrees(size, per_second) for name, size in names_and_sizes}


def _over(g: Numbers, less: float = 180) -> float:
    """Return by how much the angles' sum is over 180°, in arcseconds."""
    return (g.A + g.B + g.C - less) * 3600


def _excess(area: float) -> float:
    """Return the excess of an area in km²."""
    return from_area(area * 1e6, EARTH_RADIUS)


FIRST_SUM = choice("excess-first-sum", elements=ELEMENTS, marks=0)


# excess-two-sides ----------------------------------------------------------------------
# Every slip is the right answer times a factor: 2, cot C, 1/4, 1/sin C. C keeps to where
# these stay apart (cot C 0.45 to 0.84, 1/sin C 1.09 to 1.31), and E is 2.3″ or more.


def _draw_two_sides(dice: Dice) -> Answer:
    return {
        "a": float(dice.whole(35_000, 70_000)),
        "b": float(dice.whole(35_000, 70_000)),
        "C": _degrees(dice.whole(50 * 3600, 66 * 3600), 1),
    }


def _triangle(g: Numbers) -> float:
    return g.a * g.b * sin(g.C) / 2e6


TWO_SIDES = exercise(
    "excess-two-sides",
    elements=ELEMENTS,
    draw=_draw_two_sides,
    printed=(
        Printed("a", "a, first distance", "m", 0),
        Printed("b", "b, second distance", "m", 0),
        *_angles("C", "angle between them", 0),
    ),
    asked=(Asked("excess", "E", "angle", "″", 2, 0.02),),
    solve=lambda g: _excess(_triangle(g)),
    slips={
        "no-half": times(2),
        "cosine": times(lambda g: cos(g.C) / sin(g.C)),
        "diameter": times(1 / 4),
        "no-sine": times(lambda g: 1 / sin(g.C)),
    },
    work=lambda g: {
        "a_km": g.a / 1000,
        "b_km": g.b / 1000,
        "sine": sin(g.C),
        "plane": _triangle(g),
    },
)


# excess-closure ------------------------------------------------------------------------
# |W| is 1.2″ or more and at most a quarter of E, which is 6″ or more. So W stands clear of
# zero, and of −E/3, −E/2, −E, where it would meet the outcome of a slip.

TENTHS = 10  # to a second


def _draw_closure(dice: Dice) -> Answer:
    area = float(dice.number(1200, 3150, 0, step=10))
    excess = printed(_excess(area), 1)
    misclosure = dice.signed(1.2, math.floor(excess / 4 * TENTHS) / TENTHS, 1)
    over = round((excess + misclosure) * TENTHS)
    first, second = (dice.whole(45 * 3600 * TENTHS, 75 * 3600 * TENTHS) for _ in "AB")
    return {**_third_angle(first, second, over, TENTHS), "area": area}


def _misclosure(g: Numbers, excesses: float = 1) -> float:
    return _over(g) - excesses * _excess(g.area)


CLOSURE = exercise(
    "excess-closure",
    elements=ELEMENTS,
    draw=_draw_closure,
    printed=(*_angles("ABC", "measured", 1), AREA),
    asked=(Asked("misclosure", "W", "angle", "″", 1, 0.1, positive="too large"),),
    solve=_misclosure,
    slips={
        "no-excess": using(excesses=0),
        "added": using(excesses=-1),
        "from-each": using(excesses=3),
        "third": using(excesses=1 / 3),
        "turned": also("sign", turned()),
    },
    work=lambda g: {"over": _over(g), "excess": _excess(g.area)},
)


# excess-legendre-side ------------------------------------------------------------------
# In metres a slip stands off by multiples of x = b·E/3: nothing off by −(cot A − cot B), all
# off by 2(cot A − cot B), added by −2(cot A − cot B), one angle only by −cot A. With A 38° to
# 46° and B 70° to 80° the smallest gap is 0.17 x, and x is 1.3 m or more.

HUNDREDTHS = 100  # to a second


def _draw_legendre(dice: Dice) -> Answer:
    side = dice.number(60_000, 90_000, 2)
    first = dice.whole(38 * 3600 * HUNDREDTHS, 46 * 3600 * HUNDREDTHS)
    second = dice.whole(70 * 3600 * HUNDREDTHS, 80 * 3600 * HUNDREDTHS)
    alpha, beta = (_degrees(angle, HUNDREDTHS) for angle in (first, second))
    area = side**2 * sin(beta) * sin(alpha + beta) / (2 * sin(alpha))
    excess = printed(_excess(area / 1e6), 2)
    return {"a": side, **_third_angle(first, second, round(excess * HUNDREDTHS), HUNDREDTHS)}


def _side(g: Numbers, off_a: float = 1 / 3, off_b: float = 1 / 3) -> float:
    """Return b of the plane triangle after so many excesses are subtracted from its angles."""
    excess = _over(g) / 3600
    return g.a * sin(g.B - off_b * excess) / sin(g.A - off_a * excess)


LEGENDRE = exercise(
    "excess-legendre-side",
    elements=ELEMENTS,
    draw=_draw_legendre,
    printed=(Printed("a", "a, side opposite A", "m", 2), *_angles("ABC", "adjusted", 2)),
    asked=(Asked("b", "b", "length", "m", 2, 0.02),),
    solve=_side,
    slips={
        "nothing-off": using(off_a=0, off_b=0),
        "all-off": using(off_a=1, off_b=1),
        "added": using(off_a=-1 / 3, off_b=-1 / 3),
        "one-angle": using(off_a=0),
        "upside-down": misread(A=lambda g: g.B, B=lambda g: g.A),
    },
    work=lambda g: {
        "excess": _over(g),
        "third": _over(g) / 3,
        "plane_a": g.A - _over(g) / 3 / 3600,
        "plane_b": g.B - _over(g) / 3 / 3600,
        "without": _side(g, 0, 0) - _side(g),
        "with_all": _side(g, 1, 1) - _side(g),
    },
)


# excess-three-sides --------------------------------------------------------------------
# Sides of 1 500 km to 2 200 km make E 4 600″ to 10 900″, and none so long that the triangle
# falls flat. The plane's area is short by (a² + b² + c²)/24R² of it, 30″ or more, and with that
# put on it still by 2.6″ at most, which is right: half a kilometre in the sides makes 3″. The slip
# without the root lies between 1/180 and 1/76 of E, clear of 1/60, which is E in minutes.


def _draw_three_sides(dice: Dice) -> Answer:
    return {name: float(dice.whole(1500, 2200)) for name in "abc"}


def _sums(g: Numbers) -> tuple[float, ...]:
    """Return s, half the sum of the sides, and s − a, s − b, s − c, in km."""
    s = (g.a + g.b + g.c) / 2
    return s, s - g.a, s - g.b, s - g.c


def _product(g: Numbers, parts: float = 2) -> float:
    """Return L'Huilier's product of the four tangents; `parts` is 2 where half sides are taken."""
    return math.prod(math.tan(arc * 1000 / (parts * EARTH_RADIUS)) for arc in _sums(g))


def _three_sides(g: Numbers, radius: float = EARTH_RADIUS) -> float:
    return from_sides(g.a * 1000, g.b * 1000, g.c * 1000, radius)


def _flat(g: Numbers) -> float:
    return _excess(math.sqrt(math.prod(_sums(g))))


def _work_three_sides(g: Numbers) -> Given:
    exact, flat = _three_sides(g), _flat(g)
    return {
        **dict(zip(("s", "less_a", "less_b", "less_c"), _sums(g), strict=True)),
        "product": _product(g),
        "root": math.sqrt(_product(g)),
        "quarter": exact / 4,
        "degrees": exact / 3600,
        "flat": flat,
        "short": exact - flat,
        "left_out": (exact - flat) * KM2_A_SECOND,
    }


THREE_SIDES = exercise(
    "excess-three-sides",
    elements=ELEMENTS,
    draw=_draw_three_sides,
    printed=tuple(Printed(name, f"{name}, side along the sphere", "km", 0) for name in "abc"),
    asked=(Asked("excess", "E", "angle", "″", 0, 3.0),),
    solve=_three_sides,
    slips={
        "flat": _flat,
        "not-four": times(1 / 4),
        "not-halved": lambda g: 4 * RHO * math.atan(math.sqrt(_product(g, parts=1))),
        "no-root": lambda g: 4 * RHO * math.atan(_product(g)),
    },
    methods={"equator": using(radius=6_378_000)},
    work=_work_three_sides,
)


# excess-polygon and its twin, excess-exterior ------------------------------------------
# Areas of 600 to 1 600 km² make E 3.1″ to 8.4″: with the diameter a quarter of it, so that
# the nearest slip stands off by the other three quarters. Five stations or more keep the
# interior sum clear of 360°.

ROUND = (Printed("n", "n, stations"), AREA)
SUM = Asked("sum", "Sum", "angle", DMS, 1, 0.1 / 3600)


def _draw_polygon(dice: Dice) -> Answer:
    return {"n": dice.whole(5, 9), "area": float(dice.whole(600, 1600))}


def _interior(g: Numbers, more: int = -2, excesses: float = 1) -> float:
    """Return 180° for each station and `more`, and so many excesses."""
    return (g.n + more) * 180 + excesses * _excess(g.area) / 3600


def _exterior(g: Numbers, excesses: float = -1) -> float:
    return 360 + excesses * _excess(g.area) / 3600


POLYGON = exercise(
    "excess-polygon",
    elements=ELEMENTS,
    draw=_draw_polygon,
    printed=ROUND,
    asked=(SUM,),
    solve=_interior,
    slips={
        "no-excess": using(excesses=0),
        "minus": using(excesses=-1),
        "all-corners": using(more=0),
        "each-station": lambda g: _interior(g, excesses=g.n),
        "diameter": using(excesses=1 / 4),
    },
    work=lambda g: {"plane": (g.n - 2) * 180, "excess": _excess(g.area)},
)

EXTERIOR = exercise(
    "excess-exterior",
    elements=ELEMENTS,
    draw=_draw_polygon,
    printed=ROUND,
    asked=(SUM,),
    solve=_exterior,
    slips={
        "no-excess": using(excesses=0),
        "plus": using(excesses=1),
        "interior": _interior,
        "outside": lambda g: _interior(g, more=2, excesses=-1),
        "diameter": using(excesses=-1 / 4),
    },
    work=lambda g: {"excess": _excess(g.area)},
)


# excess-area ---------------------------------------------------------------------------
# Every slip is the right answer times a factor: 57.3, 4, 1/2, or all of 180° in it. E is 25″
# or more, an area of 4 900 km², so that each factor is far beyond 20 km², which is a tenth of a
# second, the last digit of the angles. To 85″ the rule of 197 km² for each second is right.


def _draw_area(dice: Dice) -> Answer:
    first, second = (dice.whole(45 * 3600 * TENTHS, 75 * 3600 * TENTHS) for _ in "AB")
    return _third_angle(first, second, dice.whole(25 * TENTHS, 85 * TENTHS), TENTHS)


ENCLOSED = exercise(
    "excess-area",
    elements=ELEMENTS,
    edition=2,
    draw=_draw_area,
    printed=_angles("ABC", "angle", 1),
    asked=(Asked("area", "Area", "area", "km²", 0, 20.0),),
    solve=lambda g, less=180: _over(g, less) * KM2_A_SECOND,
    slips={
        "degrees": times(math.degrees(1)),
        "diameter": times(4),
        "whole-sum": using(less=0),
        "half": times(1 / 2),
    },
    work=lambda g: {"excess": _over(g), "radians": _over(g) / RHO},
)


# excess-lune ---------------------------------------------------------------------------
# Angles of 95° to 118° sum to 285° to 354°, so that E is 105° or more. The sum itself is 2.0 to
# 2.7 times E and stays 6° clear of its double; the two pairs alone leave 10° to 56°. A degree is
# 708 000 km², 35 tolerances.

DEGREE = math.radians((EARTH_RADIUS / 1000) ** 2)  # km² in a degree of excess


def _lunes(g: Numbers, less: float = 180) -> tuple[float, float]:
    """Return the areas of the lune with angle A and of the triangle, in km²."""
    return 2 * g.A * DEGREE, (g.A + g.B + g.C - less) * DEGREE


LUNE = exercise(
    "excess-lune",
    elements=ELEMENTS,
    draw=lambda dice: {name: float(dice.whole(95, 118)) for name in "ABC"},
    printed=tuple(Printed(name, f"{name}, angle", "°", 0) for name in "ABC"),
    asked=(
        Asked("lune", "Lune with angle A", "area", "km²", 0, 20_000.0),
        Asked("triangle", "Triangle", "area", "km²", 0, 20_000.0),
    ),
    solve=_lunes,
    slips={
        "single-angle": times(1 / 2, "lune"),
        "both-lunes": times(2, "lune"),
        "opposite": times(2, "triangle"),
        "pair-out": misread("triangle", C=0),
        "whole-sum": using("triangle", less=0),
        "diameter": times(4),
    },
    methods={"equator": times((6378 / 6371) ** 2), "rule": times(197 * 3600 / DEGREE)},
    work=lambda g: {
        "excess": g.A + g.B + g.C - 180,
        "whole": 720 * DEGREE,
        "pairs": 4 * (g.A + g.B + g.C),
        "degree": DEGREE,
    },
)


# excess-transport ----------------------------------------------------------------------
# In Δλ: the turn is sin φ₂ − sin φ₁ (0.22 to 0.73). Cosines meet it where the mean latitude is
# 45°; at 42.5° and less they stay 0.4° off, 20 tolerances, and one sine alone 1.6° or more.

CLOCKWISE, ANTICLOCKWISE = "north, east, south, west", "east, north, west, south"


def _draw_transport(dice: Dice) -> Answer:
    low, high = float(dice.whole(8, 25)), float(dice.whole(40, 60))
    south, north = dice.choose(((low, high), (-high, -low)))
    west, wide = dice.whole(-60, 60), dice.whole(12, 30)
    cell = {"south": south, "north": north, "west": float(west), "east": float(west + wide)}
    run = dice.choose((CLOCKWISE, ANTICLOCKWISE))
    return {**cell, "start": float(dice.whole(60, 300)), "run": run}


def _clockwise(g: Numbers) -> int:
    """Return 1 where the run is clockwise, seen from above, −1 where it is not."""
    return 1 if g.run == CLOCKWISE else -1


def _cell(g: Numbers) -> float:
    """Return the curvature of a cell in degrees, on every ellipsoid: Δλ (sin φ₂ − sin φ₁)."""
    return (g.east - g.west) * (sin(g.north) - sin(g.south))


def _one_sine(g: Numbers) -> float:
    return (g.east - g.west) * max(abs(sin(g.north)), abs(sin(g.south)))


def _cosines(g: Numbers) -> float:
    return (g.east - g.west) * abs(cos(g.north) - cos(g.south))


def _carried(g: Numbers, turn: Callable[[Numbers], float] = _cell) -> float:
    """Return the arrow's azimuth after the run: turned in the same sense as the run."""
    return (g.start + _clockwise(g) * turn(g)) % 360


TRANSPORT = exercise(
    "excess-transport",
    elements=ELEMENTS,
    draw=_draw_transport,
    printed=(
        Printed("south", "southern parallel, φ₁", DMS, 0, kind="latitude"),
        Printed("north", "northern parallel, φ₂", DMS, 0, kind="latitude"),
        Printed("west", "western meridian", DMS, 0, kind="longitude"),
        Printed("east", "eastern meridian", DMS, 0, kind="longitude"),
        Printed("run", "run from the south-western corner"),
        Printed("start", "azimuth of the arrow at the start", "°", 0),
    ),
    asked=(Asked("azimuth", "Azimuth on return", "azimuth", "°", 2, 0.02),),
    solve=_carried,
    slips={
        "one-sine": using(turn=_one_sine),
        "cosine": using(turn=_cosines),
        "against": using(turn=lambda g: -_cell(g)),
        "unchanged": using(turn=lambda g: 0.0),
    },
    work=lambda g: {
        "wide": g.east - g.west,
        "north_sine": sin(g.north),
        "south_sine": sin(g.south),
        "turn": _cell(g),
        "sense": _clockwise(g),
        "carried": _clockwise(g) * _cell(g),
    },
)
