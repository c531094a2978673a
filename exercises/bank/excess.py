"""Exercises of lesson 02, the angles of a big triangle."""

import math
from functools import lru_cache

from exercises.bank.common import EARTH_RADIUS, GEODESY, sin
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import number
from geokit.angles import RHO, dms
from geokit.excess import from_area, from_sides

KM2_A_SECOND = (EARTH_RADIUS / 1000) ** 2 / RHO
GIRARD = "I. Todhunter and J. G. Leathem, Spherical Trigonometry, 1901 (from memory)"
ELEMENTS = ("S-5A F1.6a",)

AREA = Printed("area", "area enclosed", "km²", 0)


def _angle(key: str, label: str, decimals: int) -> Printed:
    return Printed(key, label, DMS, decimals)


def _cot(degrees: float) -> float:
    return 1 / math.tan(math.radians(degrees))


def _degrees(seconds: int, per_second: int) -> float:
    """Return an angle drawn in whole parts of a second, in degrees as it is printed."""
    return printed(seconds / (3600 * per_second), 10)


def _third_angle(first: int, second: int, excess: int, per_second: int) -> Answer:
    """Return the angles A, B and the C that closes them on 180° plus the excess."""
    third = 180 * 3600 * per_second + excess - first - second
    names_and_sizes = zip("ABC", (first, second, third), strict=True)
    return {name: _degrees(size, per_second) for name, size in names_and_sizes}


def _over_180(g: Given) -> float:
    return (g["A"] + g["B"] + g["C"] - 180) * 3600


@lru_cache(maxsize=32)
def _excess(area: float) -> float:
    """Return the excess of an area in m², computed once for an answer and all its slips."""
    return from_area(area, EARTH_RADIUS)


def _of_area(g: Given) -> float:
    return _excess(g["area"] * 1e6)


def _steps_of_area(g: Given) -> str:
    return (
        f"E = ρ″·area/R² = 206\u202f265″ × {number(g['area'], 0)} km² / (6\u202f371.0 km)² = "
        f"{_of_area(g):.2f}″."
    )


# excess-two-sides ----------------------------------------------------------------------
# Every slip is the right answer times a factor: 2, cot C, 1/4, 1/sin C. C keeps to where
# these stay apart (cot C 0.45 to 0.84, 1/sin C 1.09 to 1.31), and E is 2.3″ or more.


def _draw_two_sides(dice: Dice) -> Answer:
    return {
        "a": float(dice.whole(35_000, 70_000)),
        "b": float(dice.whole(35_000, 70_000)),
        "C": _degrees(dice.whole(50 * 3600, 66 * 3600), 1),
    }


def _triangle_area(g: Given) -> float:
    return g["a"] * g["b"] * sin(g["C"]) / 2


def _two_sides(g: Given, factor: float = 1.0) -> Answer:
    return {"excess": _excess(_triangle_area(g)) * factor}


def _steps_two_sides(g: Given) -> list[str]:
    return [
        f"Area as in the plane: ½ab sin C = ½ × {g['a'] / 1000:.3f} km × {g['b'] / 1000:.3f} km × "
        f"{sin(g['C']):.5f} = {number(_triangle_area(g) / 1e6, 2)} km².",
        "On a sphere the excess is area over radius squared, in radians; 206\u202f265″ make one.",
        f"E = 206\u202f265″ × {number(_triangle_area(g) / 1e6, 2)} / 6\u202f371.0² = "
        f"**{_two_sides(g)['excess']:.2f}″**: about 1″ for each 197 km².",
    ]


TWO_SIDES = Exercise(
    key="excess-two-sides",
    topic="excess",
    title="How much over 180°",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="From one light tower the distances a and b to two others are known, and the angle C "
    "between them, all on a sphere of radius 6\u202f371.0 km. By how much do the three angles of "
    "this triangle sum to **more than 180°**? At this size its area may be taken as in the plane. "
    "Give the excess E in arcseconds to 0.01″; right within ±0.02″.",
    draw=_draw_two_sides,
    printed=(
        Printed("a", "a, first distance", "m", 0),
        Printed("b", "b, second distance", "m", 0),
        _angle("C", "C, angle between them", 0),
    ),
    asked=(Asked("excess", "E", "angle", "″", 2, 0.02),),
    solve=_two_sides,
    slips=(
        Slip(
            "no-half",
            "The half forgotten",
            lambda g: _two_sides(g, 2),
            "{value} comes from ab sin C, the parallelogram on the two sides. The triangle is half "
            "of it: ½ab sin C. Taking 180° − C for C changes nothing, both have one sine.",
        ),
        Slip(
            "cosine",
            "cos C for sin C",
            lambda g: _two_sides(g, _cot(g["C"])),
            "{value} has cos C where sin C belongs. With C = 90° the triangle is largest, and "
            "sin 90° = 1.",
        ),
        Slip(
            "diameter",
            "The diameter for the radius",
            lambda g: _two_sides(g, 1 / 4),
            "{value} is a quarter of the excess: the diameter was squared, not the radius.",
        ),
        Slip(
            "no-sine",
            "sin C left out",
            lambda g: _two_sides(g, 1 / sin(g["C"])),
            "{value} comes from ½ab, as if the two sides stood at right angles.",
        ),
    ),
    nudges=(
        "First the area of the triangle, as in the plane.",
        "On a sphere, excess in radians = area / R². How many arcseconds are a radian?",
    ),
    steps=_steps_two_sides,
    source=f"Girard's theorem, E = area/R². {GIRARD}.",
)


# excess-closure ------------------------------------------------------------------------
# |W| is 1.2″ or more and at most a quarter of E, which is 6″ or more. So W stands clear of
# zero, and of −E/3, −E/2, −E, where it would meet the outcome of a slip.

TENTHS = 10  # to a second


def _draw_closure(dice: Dice) -> Answer:
    area = float(dice.number(1200, 3150, 0, step=10))
    excess = printed(_of_area({"area": area}), 1)
    misclosure = dice.signed(1.2, math.floor(excess / 4 * TENTHS) / TENTHS, 1)
    over = round((excess + misclosure) * TENTHS)
    first, second = (dice.whole(45 * 3600 * TENTHS, 75 * 3600 * TENTHS) for _ in "AB")
    return {**_third_angle(first, second, over, TENTHS), "area": area}


def _closure(g: Given, excesses: float = 1.0) -> Answer:
    """Return what is left of the angles' sum after 180° and so many excesses."""
    return {"misclosure": _over_180(g) - excesses * _of_area(g)}


def _steps_closure(g: Given) -> list[str]:
    return [
        f"Measured sum − 180° = {_over_180(g):+.1f}″.",
        _steps_of_area(g),
        f"W = {_over_180(g):+.1f}″ − {_of_area(g):.1f}″ = **{_closure(g)['misclosure']:+.1f}″**, "
        "spread over three angles. That is what the measuring did; the rest is the Earth's shape.",
    ]


CLOSURE = Exercise(
    key="excess-closure",
    topic="excess",
    title="Does it close?",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="The three angles between three shore stations were measured, and the area of their "
    "triangle is known from the chart, well enough for the excess. On a sphere of radius "
    "6\u202f371.0 km, what is the misclosure W: **measured sum of the angles minus the sum that "
    "they should have**? Give it in arcseconds to 0.1″; right within ±0.1″.",
    draw=_draw_closure,
    printed=(
        _angle("A", "A, measured", 1),
        _angle("B", "B, measured", 1),
        _angle("C", "C, measured", 1),
        AREA,
    ),
    asked=(Asked("misclosure", "W", "angle", "″", 1, 0.1, positive="too large"),),
    solve=_closure,
    slips=(
        Slip(
            "no-excess",
            "The excess left out",
            lambda g: _closure(g, 0),
            "{value} is measured against 180°. On a sphere this triangle should have more: 180° "
            "plus its excess.",
        ),
        Slip(
            "added",
            "The excess added",
            lambda g: _closure(g, -1),
            "{value} has the excess added to the sum. It belongs to the sum that the angles "
            "*should* have, so it comes off.",
        ),
        Slip(
            "from-each",
            "The excess taken off each angle",
            lambda g: _closure(g, 3),
            "{value} has the whole excess taken off three times. It is the excess of the sum: once.",
        ),
        Slip(
            "third",
            "Only a third of the excess taken off",
            lambda g: _closure(g, 1 / 3),
            "{value} has a third of the excess taken off. A third goes off *each* angle, so all of "
            "it goes off the sum.",
        ),
        Slip(
            "turned",
            "Should minus measured",
            lambda g: {"misclosure": -_closure(g)["misclosure"]},
            "The size is right and the sign is turned: asked is measured minus what it should be.",
            also=("sign",),
        ),
    ),
    nudges=(
        "What should the three angles sum to on this sphere? More than 180°, or less?",
        "Excess in arcseconds = 206\u202f265 × area / R², both in kilometres.",
    ),
    steps=_steps_closure,
    source=f"W = ΣA − 180° − E. {GEODESY}; Gauss's own triangle closes so (SX-05 in tests).",
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
    excess = printed(_excess(area), 2)
    return {"a": side, **_third_angle(first, second, round(excess * HUNDREDTHS), HUNDREDTHS)}


def _sine_rule(g: Given, off_a: float, off_b: float) -> Answer:
    """Return b of the plane triangle after so many excesses are taken off its angles."""
    excess = _over_180(g) / 3600
    return {"b": g["a"] * sin(g["B"] - off_b * excess) / sin(g["A"] - off_a * excess)}


def _legendre(g: Given) -> Answer:
    return _sine_rule(g, 1 / 3, 1 / 3)


def _steps_legendre(g: Given) -> list[str]:
    excess, right = _over_180(g), _legendre(g)["b"]
    alpha, beta = (dms(g[name] - excess / 3 / 3600, 2) for name in "AB")
    return [
        f"The sum is over 180° by E = {excess:.2f}″; a third of it is {excess / 3:.3f}″.",
        f"Plane angles: A′ = {alpha}, B′ = {beta}.",
        f"b = a sin B′ / sin A′ = **{number(right, 2)} m**.",
        f"With nothing taken off it would be {_sine_rule(g, 0, 0)['b'] - right:+.2f} m from that, "
        "with all of E taken off each angle "
        f"{_sine_rule(g, 1, 1)['b'] - right:+.2f} m.",
    ]


LEGENDRE = Exercise(
    key="excess-legendre-side",
    topic="excess",
    title="A side by Legendre's theorem",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="Three stations A, B, C on a sphere. Their angles are adjusted: they sum to 180° plus "
    "the spherical excess, with no misclosure left. Side a, opposite A, is a length along the "
    "sphere. Find side b, **opposite B**, along the sphere too, by the plane sine rule as "
    "Legendre's theorem allows it. Give it to 0.01 m; right within ±0.02 m.",
    draw=_draw_legendre,
    printed=(
        Printed("a", "a, side opposite A", "m", 2),
        _angle("A", "A, adjusted", 2),
        _angle("B", "B, adjusted", 2),
        _angle("C", "C, adjusted", 2),
    ),
    asked=(Asked("b", "b", "length", "m", 2, 0.02),),
    solve=_legendre,
    slips=(
        Slip(
            "nothing-off",
            "Nothing taken off the angles",
            lambda g: _sine_rule(g, 0, 0),
            "{value} is the plane sine rule with the angles as they stand. They sum to more than "
            "180°, and no plane triangle does: take a third of the excess off each.",
        ),
        Slip(
            "all-off",
            "The whole excess taken off each angle",
            lambda g: _sine_rule(g, 1, 1),
            "{value} has the whole excess taken off each angle, three times in all. A third each "
            "brings the sum back to 180°.",
        ),
        Slip(
            "added",
            "A third added to each angle",
            lambda g: _sine_rule(g, -1 / 3, -1 / 3),
            "{value} has a third of the excess added. The sphere's angles are larger than the "
            "plane ones: take it off.",
        ),
        Slip(
            "one-angle",
            "Taken off the wrong angle",
            lambda g: _sine_rule(g, 0, 1 / 3),
            "{value} has the third taken off B and not off A. It comes off every angle of the "
            "triangle.",
        ),
        Slip(
            "upside-down",
            "The sine rule upside down",
            lambda g: {"b": g["a"] ** 2 / _legendre(g)["b"]},
            "{value} has the two sines changed about. The longer side lies opposite the larger "
            "angle.",
        ),
    ),
    nudges=(
        "Add the three angles up. By how much do they exceed 180°?",
        "Each plane angle is the sphere's angle less a third of the excess. Then the sine rule.",
    ),
    steps=_steps_legendre,
    source=f"Legendre's theorem, 1787. {GIRARD}.",
)


# excess-three-sides --------------------------------------------------------------------
# Sides of 1 500 km to 2 200 km make E 4 600″ to 10 900″, and none so long that the triangle
# falls flat. The plane's area is short by (a² + b² + c²)/24R² of it, 30″ or more; the slip
# without the root lies between 1/180 and 1/76 of E, clear of 1/60, which is E in minutes.


def _draw_three_sides(dice: Dice) -> Answer:
    return {name: float(dice.whole(1500, 2200)) for name in "abc"}


def _product(g: Given, parts: float) -> float:
    """Return L'Huilier's product of the four tangents; `parts` is 2 where half sides are taken."""
    s = (g["a"] + g["b"] + g["c"]) / 2
    arcs = (s, s - g["a"], s - g["b"], s - g["c"])
    return math.prod(math.tan(arc * 1000 / (parts * EARTH_RADIUS)) for arc in arcs)


def _three_sides(g: Given) -> float:
    return _lhuilier(g["a"] * 1000, g["b"] * 1000, g["c"] * 1000)


@lru_cache(maxsize=32)
def _lhuilier(a: float, b: float, c: float) -> float:
    return from_sides(a, b, c, EARTH_RADIUS)


def _heron(g: Given) -> float:
    s = (g["a"] + g["b"] + g["c"]) / 2
    return math.sqrt(s * (s - g["a"]) * (s - g["b"]) * (s - g["c"]))


def _flat(g: Given) -> float:
    return _excess(_heron(g) * 1e6)


def _steps_three_sides(g: Given) -> list[str]:
    s, right = (g["a"] + g["b"] + g["c"]) / 2, _three_sides(g)
    return [
        f"s = (a + b + c)/2 = {number(s, 1)} km; s − a = {s - g['a']:.1f}, s − b = {s - g['b']:.1f}, "
        f"s − c = {s - g['c']:.1f} km.",
        "Each as an angle at the centre, divided by R = 6\u202f371.0 km, and halved: "
        f"the product of the four tangents is {_product(g, 2):.6e}.",
        f"tan(E/4) = its root = {math.sqrt(_product(g, 2)):.7f}, so E = 4 × {right / 4:.1f}″ = "
        f"**{number(right, 0)}″**, that is {dms(right / 3600, 0)}.",
        f"The flat triangle with these sides gives {number(_flat(g), 0)}″, short by "
        f"{right - _flat(g):.0f}″: {number((right - _flat(g)) * KM2_A_SECOND, 0)} km² left out.",
    ]


THREE_SIDES = Exercise(
    key="excess-three-sides",
    topic="excess",
    title="A triangle of an ocean's size",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="Three islands stand so far apart that no plane triangle will do. The sides between "
    "them are great-circle arcs on a sphere of radius 6\u202f371.0 km. What is the spherical "
    "excess E of the triangle, exact on this sphere? Give it in arcseconds to 1″; right within "
    "±2″.",
    draw=_draw_three_sides,
    printed=tuple(Printed(name, f"{name}, side along the sphere", "km", 0) for name in "abc"),
    asked=(Asked("excess", "E", "angle", "″", 0, 2.0),),
    solve=lambda g: {"excess": _three_sides(g)},
    slips=(
        Slip(
            "flat",
            "The plane triangle's area",
            lambda g: {"excess": _flat(g)},
            "{value} comes from the area of a flat triangle (Heron) over R². The curved one holds "
            "more: at this size use L'Huilier's formula, tangents and all.",
        ),
        Slip(
            "not-four",
            "Not multiplied by four",
            lambda g: {"excess": _three_sides(g) / 4},
            "{value} is E/4. The formula gives tan(E/4), so multiply by four at the end.",
        ),
        Slip(
            "not-halved",
            "Half sides not halved",
            lambda g: {"excess": 4 * RHO * math.atan(math.sqrt(_product(g, 1)))},
            "{value} has tan s, tan(s − a) and so on. L'Huilier takes the tangents of half of "
            "each: tan(s/2), tan((s − a)/2).",
        ),
        Slip(
            "no-root",
            "The square root forgotten",
            lambda g: {"excess": 4 * RHO * math.atan(_product(g, 2))},
            "{value} comes from the product of the four tangents as it stands. tan(E/4) is its "
            "square root.",
        ),
    ),
    nudges=(
        "Turn the sides into angles at the centre first: divide by R, in radians.",
        "tan(E/4) = √(tan(s/2) tan((s−a)/2) tan((s−b)/2) tan((s−c)/2)), with s half their sum.",
    ),
    steps=_steps_three_sides,
    source=f"L'Huilier's formula. {GIRARD}, article 102.",
)


# excess-polygon and its twin, excess-exterior ------------------------------------------
# Areas of 600 to 1 600 km² make E 3.1″ to 8.4″: with the diameter a quarter of it, so that
# the nearest slip stands off by the other three quarters. Five stations or more keep the
# interior sum clear of 360°.


def _draw_polygon(dice: Dice) -> Answer:
    return {"n": dice.whole(5, 9), "area": float(dice.whole(600, 1600))}


def _sum(turns: int, excesses: float, g: Given) -> Answer:
    """Return so many times 180° and so many excesses, in degrees."""
    return {"sum": turns * 180 + excesses * _of_area(g) / 3600}


def _steps_polygon(g: Given) -> list[str]:
    n = g["n"]
    return [
        f"In the plane {n} interior angles sum to (n − 2) × 180° = {(n - 2) * 180}°.",
        _steps_of_area(g),
        f"They should sum to **{POLYGON.part('sum').say(POLYGON.solve(g)['sum'])}**. Only what "
        "the measured sum lacks of that, or has over it, is misclosure.",
    ]


def _steps_exterior(g: Given) -> list[str]:
    return [
        "Walk once round: in the plane you turn through 360° altogether, however many stations.",
        _steps_of_area(g),
        "Each exterior angle is 180° less the interior one. The interior angles are larger on the "
        f"sphere, so these are smaller: 360° − E = "
        f"**{EXTERIOR.part('sum').say(EXTERIOR.solve(g)['sum'])}**.",
    ]


STATIONS = Printed("n", "n, stations")

POLYGON = Exercise(
    key="excess-polygon",
    topic="excess",
    title="A traverse round the approach",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A closed traverse of n stations runs once round a harbour approach. On a sphere of "
    "radius 6\u202f371.0 km, what should its **interior angles** sum to, free of error? Give it in "
    "degrees, minutes and seconds to 0.1″; right within ±0.1″.",
    draw=_draw_polygon,
    printed=(STATIONS, AREA),
    asked=(Asked("sum", "Sum", "angle", DMS, 1, 0.1 / 3600),),
    solve=lambda g: _sum(g["n"] - 2, 1, g),
    slips=(
        Slip(
            "no-excess",
            "No excess",
            lambda g: _sum(g["n"] - 2, 0, g),
            "{value} is the plane's sum. This traverse encloses enough of the sphere to have "
            "seconds more: its area over R².",
        ),
        Slip(
            "minus",
            "The excess taken off",
            lambda g: _sum(g["n"] - 2, -1, g),
            "{value} has the excess taken off. That is so for exterior angles; interior angles "
            "grow on the sphere.",
        ),
        Slip(
            "all-corners",
            "n times 180°",
            lambda g: _sum(g["n"], 1, g),
            "{value} starts from n × 180°. A triangle has 180°, and each further station adds 180°: "
            "(n − 2) × 180°.",
        ),
        Slip(
            "each-station",
            "The excess added at each station",
            lambda g: _sum(g["n"] - 2, g["n"], g),
            "{value} has the excess in it n times. It belongs to the whole figure, once.",
        ),
        Slip(
            "diameter",
            "The diameter for the radius",
            lambda g: _sum(g["n"] - 2, 1 / 4, g),
            "{value} has only a quarter of the excess: the diameter was squared, not the radius.",
        ),
    ),
    nudges=(
        "Cut the polygon into triangles from one station. How many are there?",
        "The excess of the whole is its area / R², whatever its shape.",
    ),
    steps=_steps_polygon,
    source=f"Sum of interior angles = (n − 2)·180° + E (Girard). {GIRARD}.",
)

EXTERIOR = Exercise(
    key="excess-exterior",
    topic="excess",
    title="The same traverse, turn by turn",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A closed traverse of n stations runs once round a harbour approach. At each station its "
    "**exterior angle** is how far the line turns there: 180° minus the interior angle. On a "
    "sphere of radius 6\u202f371.0 km, what should the exterior angles sum to, free of error? Give "
    "it in degrees, minutes and seconds to 0.1″; right within ±0.1″.",
    draw=_draw_polygon,
    printed=(STATIONS, AREA),
    asked=(Asked("sum", "Sum", "angle", DMS, 1, 0.1 / 3600),),
    solve=lambda g: _sum(2, -1, g),
    slips=(
        Slip(
            "no-excess",
            "No excess",
            lambda g: _sum(2, 0, g),
            "{value} is a full turn, as in the plane. On a sphere you come back to your first "
            "direction after turning by less.",
        ),
        Slip(
            "plus",
            "The excess with the interior's sign",
            lambda g: _sum(2, 1, g),
            "{value} has the excess added. Interior angles grow by it, so exterior angles, 180° "
            "less each, shrink by it.",
        ),
        Slip(
            "interior",
            "The sum of the interior angles",
            lambda g: _sum(g["n"] - 2, 1, g),
            "{value} is what the *interior* angles sum to. Asked are the turns, 180° minus each.",
        ),
        Slip(
            "outside",
            "The angles measured on the outside",
            lambda g: _sum(g["n"] + 2, -1, g),
            "{value} is the sum of the angles on the outside, 360° minus the interior ones. Asked "
            "are the turns, 180° minus the interior ones.",
        ),
        Slip(
            "diameter",
            "The diameter for the radius",
            lambda g: _sum(2, -1 / 4, g),
            "{value} has only a quarter of the excess: the diameter was squared, not the radius.",
        ),
    ),
    nudges=(
        "Walk round a square in the plane: through how much do you turn altogether?",
        "If every interior angle grows a little, what happens to 180° minus it?",
    ),
    steps=_steps_exterior,
    source=f"Sum of exterior angles = 360° − E. {GIRARD}.",
)


# excess-area ---------------------------------------------------------------------------
# Every slip is the right answer times a factor: 57.3, 4, 1/2, or all of 180° in it. E is 25″
# or more, an area of 4 900 km², so that each factor is far beyond 5 km².


def _draw_area(dice: Dice) -> Answer:
    first, second = (dice.whole(45 * 3600 * TENTHS, 75 * 3600 * TENTHS) for _ in "AB")
    return _third_angle(first, second, dice.whole(25 * TENTHS, 110 * TENTHS), TENTHS)


def _area(g: Given, factor: float = 1.0) -> Answer:
    return {"area": _over_180(g) * KM2_A_SECOND * factor}


def _steps_area(g: Given) -> list[str]:
    return [
        f"E = A + B + C − 180° = {_over_180(g):.1f}″ = {_over_180(g) / RHO:.8f} radians.",
        f"Area = E·R² = {_over_180(g) / RHO:.8f} × (6\u202f371.0 km)² = "
        f"**{number(_area(g)['area'], 0)} km²**: 196.8 km² for each second of excess.",
    ]


ENCLOSED = Exercise(
    key="excess-area",
    topic="excess",
    title="An area from three angles",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="The three angles between three far platforms are known, free of error, on a sphere of "
    "radius 6\u202f371.0 km. **What area does their triangle enclose**, along great circles? No "
    "length is needed. Give it in square kilometres to 1 km²; right within ±5 km².",
    draw=_draw_area,
    printed=(
        _angle("A", "A, angle", 1),
        _angle("B", "B, angle", 1),
        _angle("C", "C, angle", 1),
    ),
    asked=(Asked("area", "Area", "area", "km²", 0, 5.0),),
    solve=_area,
    slips=(
        Slip(
            "degrees",
            "The excess in degrees",
            lambda g: _area(g, math.degrees(1)),
            "{value} comes from the excess in degrees. Area = E·R² wants radians: 206\u202f265″ "
            "make one.",
        ),
        Slip(
            "diameter",
            "The diameter for the radius",
            lambda g: _area(g, 4),
            "{value} is four times the area: the diameter was squared, not the radius.",
        ),
        Slip(
            "whole-sum",
            "180° left in",
            lambda g: _area(g, (_over_180(g) + 180 * 3600) / _over_180(g)),
            "{value} comes from the whole sum of the angles, 180° and all. Only what is over 180° "
            "is excess; this would be a quarter of the Earth.",
        ),
        Slip(
            "half",
            "A half put in",
            lambda g: _area(g, 1 / 2),
            "{value} has a half in it. The half belongs to ½ab sin C; from the excess the area is "
            "E·R² without one.",
        ),
    ),
    nudges=(
        "By how much do the three angles sum to more than 180°?",
        "How many km² go with each second of excess? R²/206\u202f265.",
    ),
    steps=_steps_area,
    source=f"Girard's theorem, area = E·R². {GIRARD}.",
)


# Say first ------------------------------------------------------------------------------

FIRST_SUM = choice(
    "excess-first-sum",
    "Say first: what do the angles sum to?",
    "Three light towers stand 50 km from one another. Somebody measures the three angles between "
    "them on the sphere of the Earth, **without any error**. What do they sum to?",
    ("more", "About 5.5″ more than 180°"),
    {
        "plane": (
            "180° exactly, as in every triangle",
            "As in every *plane* triangle. This one lies on a curved surface, and its angles show "
            "it.",
        ),
        "less": (
            "About 5.5″ less than 180°",
            "On a surface curved like a ball the angles open out. They would close up on a saddle.",
        ),
        "degrees": (
            "About 5.5° more than 180°",
            "Degrees of excess need a triangle of an ocean's size. At 50 km it is seconds.",
        ),
    },
    elements=ELEMENTS,
    because="On a sphere the sum is over 180° by area/R²: 1″ for each 197 km², and this triangle "
    "has 1\u202f083 km².",
    source=f"Girard's theorem. {GIRARD}. That the angles of a large triangle on the Earth sum to "
    "more than 180° is common practice, no source needed.",
    marks=0,
)

EXERCISES = (
    FIRST_SUM,
    TWO_SIDES,
    CLOSURE,
    LEGENDRE,
    THREE_SIDES,
    POLYGON,
    EXTERIOR,
    ENCLOSED,
)
