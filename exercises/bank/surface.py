"""Exercises of lesson 01, a surface and an origin."""

import math

from exercises.bank.common import EARTH_RADIUS
from exercises.question.dice import Dice
from exercises.question.model import Answer, Asked, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import Numbers, Variation, misread, times, using
from geokit.surface import arc_minus_chord, horizon, level_drop, to_ellipsoid

MILE = 1852.0  # metres in a nautical mile
ELEMENTS = ("S-5B E4.1a",)
CURVATURE = ("S-5B E4.4b",)

DISTANCE = Printed("distance", "s, distance along the surface", "m", 0)
REFRACTION = Printed("refraction", "κ, refraction coefficient", "", 2)


FIRST_FLAT = choice("surface-first-flat", elements=(*ELEMENTS, *CURVATURE), marks=0)
FIRST_ANSWERS = choice("surface-first-answers", elements=ELEMENTS, marks=0)


# surface-drop --------------------------------------------------------------------------
# Every slip is the right answer times a factor: 2, 1/2, 0.87, and 1/s in kilometres (0.20 to
# 0.06); a foot in it makes 0.305 or 3.28, the levelling rule 0.860. The nearest two slips stand
# 0.1 apart, and the drop is 1.96 m, 196 tolerances, or more. To 16 km the rule of thumb, 7.85 cm
# for each kilometre squared, is right: 0.02 per cent of 20 m is 5 mm.

USUAL_REFRACTION = 0.13


LEVELLING_RULE = 0.0675  # metres for each kilometre squared, curvature and refraction together


def _drop(g: Numbers, refraction: float = 0.0) -> float:
    return level_drop(g.distance, EARTH_RADIUS, refraction)


DROP = exercise(
    "surface-drop",
    elements=(*ELEMENTS, *CURVATURE),
    edition=2,
    draw=lambda dice: {"distance": float(dice.whole(5_000, 16_000))},
    printed=(DISTANCE,),
    asked=(Asked("drop", "Drop", "length", "m", 2, 0.01),),
    solve=_drop,
    slips={
        "no-half": times(2),
        "diameter": times(0.5),
        "refraction": using(refraction=USUAL_REFRACTION),
        "no-square": times(lambda g: 1000 / g.distance),
    },
    methods={"levelling": lambda g: LEVELLING_RULE * (g.distance / 1000) ** 2},
    work=lambda g: {"s_km": g.distance / 1000, "drop_km": _drop(g) / 1000},
)


# surface-refraction --------------------------------------------------------------------
# Relative to s²/2R the answers are 1 − κ (0.90 to 0.80), 1 + κ, 1, 1 − 2κ, κ (0.10 to 0.20) and
# 2(1 − κ); a foot makes 0.27 to 0.24 or 2.6 to 3.0. The nearest two stand 0.04 apart (κ = 0.20:
# 0.20 and 0.244), and s²/2R is 1.96 m, 196 tolerances, or more.


def _draw_refracted(dice: Dice) -> Answer:
    return {
        "distance": float(dice.whole(5_000, 16_000)),
        "refraction": dice.number(0.10, 0.20, 2),
    }


REFRACTED = exercise(
    "surface-refraction",
    elements=CURVATURE,
    edition=2,
    draw=_draw_refracted,
    printed=(DISTANCE, REFRACTION),
    asked=(Asked("drop", "Drop", "length", "m", 2, 0.01),),
    solve=lambda g: _drop(g, g.refraction),
    slips={
        "added": misread(refraction=lambda g: -g.refraction),
        "left-out": misread(refraction=0),
        "twice": misread(refraction=lambda g: 2 * g.refraction),
        "refraction-alone": misread(refraction=lambda g: 1 - g.refraction),
        "no-half": times(2),
    },
    work=lambda g: {"s_km": g.distance / 1000, "straight": _drop(g)},
)


# surface-reduce ------------------------------------------------------------------------
# Each route is a height that is reduced from: right H + N; slips H, H − N, −(H + N), 0, N. With
# |N| ≥ 25 m and |H| ≥ 300 m no two of them stand closer than 25 m, which is s·25 m/R = 0.0196 m
# or 9.8 tolerances at 5 km. To |h| = 1 660 m the rule s(1 − h/R) is right, h²s/R² < 0.7 mm, and
# so is 157 millionths for each thousand metres, 0.7 mm more.


def _draw_reduce(dice: Dice) -> Answer:
    return {
        "distance": dice.number(5_000, 10_000, 3),
        "height": dice.signed(300, 1_600, 1),
        "geoid": dice.signed(25, 60, 1),
    }


def _reduced(g: Numbers) -> float:
    return to_ellipsoid(g.distance, g.height + g.geoid, EARTH_RADIUS)


def _work_reduce(g: Numbers) -> Answer:
    h = g.height + g.geoid
    return {"h": h, "radius": EARTH_RADIUS + h, "change": _reduced(g) - g.distance}


REDUCE = exercise(
    "surface-reduce",
    elements=(*ELEMENTS, "S-5B E4.4a"),
    edition=2,
    draw=_draw_reduce,
    printed=(
        Printed("distance", "s, horizontal at H", "m", 3),
        Printed("height", "H, above the geoid, up +", "m", 1, signed=True),
        Printed("geoid", "N, geoid above the ellipsoid, up +", "m", 1, signed=True),
    ),
    asked=(Asked("reduced", "On the ellipsoid", "length", "m", 3, 0.002),),
    solve=_reduced,
    slips={
        "geoid-height-left-out": misread(geoid=0),
        "geoid-height-subtracted": misread(geoid=lambda g: -g.geoid),
        "wrong-way": misread(height=lambda g: -g.height, geoid=lambda g: -g.geoid),
        "not-reduced": misread(height=0, geoid=0),
        "geoid-only": misread(height=0),
    },
    work=_work_reduce,
)


# surface-chord -------------------------------------------------------------------------
# Slips relative to s³/24R²: 4, 2, 3R/s (637 down to 191) and R (6 million); a foot makes 0.305 or
# 3.28, millimetres 1000. From 30 km on the right answer is 28 tolerances or more; the nearest two
# are 4 and 3.28, 20 tolerances, and 637 and 1000, which is known within 1000 tolerances: 10 times.


def _chord(g: Numbers) -> float:
    return arc_minus_chord(g.distance, EARTH_RADIUS)


def _first_term(g: Numbers) -> float:
    """s³/24R², what the wrong routes start from."""
    return g.distance**3 / (24 * EARTH_RADIUS**2)


def _work_chord(g: Numbers) -> Answer:
    metres = _chord(g)
    millionths = metres / g.distance * 1e6
    return {"s_km": g.distance / 1000, "km": metres / 1000, "millionths": millionths}


CHORD = exercise(
    "surface-chord",
    elements=ELEMENTS,
    draw=lambda dice: {"distance": float(dice.number(30_000, 100_000, 0, step=10))},
    printed=(DISTANCE,),
    asked=(Asked("difference", "Arc − chord", "length", "m", 3, 0.001),),
    solve=_chord,
    slips={
        "plane": lambda g: 4 * _first_term(g),
        "twelve": lambda g: 2 * _first_term(g),
        "radius-not-squared": lambda g: EARTH_RADIUS * _first_term(g),
        "sagitta": lambda g: g.distance**2 / (8 * EARTH_RADIUS),
    },
    work=_work_chord,
)


# surface-horizon -----------------------------------------------------------------------
# All distances are c√h with c = 2.07 to 2.12 NM at one metre. Routes to the horizon: c times
# √(1 − κ) (0.93 to 0.91), 1.852, 0.55 to 0.57, 0.71; c√h is 5.8 NM, 117 tolerances, or more, and
# the range 17.9 NM. Routes to the range alone: c√h, c√H, c√(h + H), where H ≥ 35 m > 30 m ≥ h:
# the nearest two, c√(h + H) and c√H, stand 0.87 NM apart or more.


def _draw_horizon(dice: Dice) -> Answer:
    return {
        "eye": dice.number(8, 30, 1, step=5),
        "light": float(dice.whole(35, 90)),
        "refraction": dice.number(0.13, 0.17, 2),
    }


def _miles(g: Numbers, height: float) -> float:
    """Return the distance to the horizon from that height, in nautical miles."""
    return horizon(height, EARTH_RADIUS, g.refraction) / MILE


def _horizon_and_range(g: Numbers) -> tuple[float, float]:
    return _miles(g, g.eye), _miles(g, g.eye) + _miles(g, g.light)


def _feet_rule(g: Numbers) -> float:
    """1.17 √h NM, the navigator's rule for h in feet, over what it should be in metres."""
    return 1.17 / _miles(g, 1.0)


def _rule(factor: float) -> Variation:
    """Return a navigator's rule, so many miles times √h, which has a refraction of its own."""
    return times(lambda g: factor / _miles(g, 1.0))


def _work_horizon(g: Numbers) -> Answer:
    eye, light = _miles(g, g.eye), _miles(g, g.light)
    return {
        "straightness": 1 - g.refraction,
        "eye_metres": eye * MILE,
        "light_metres": light * MILE,
        "light_miles": light,
    }


HORIZON = exercise(
    "surface-horizon",
    elements=CURVATURE,
    draw=_draw_horizon,
    printed=(
        Printed("eye", "h, height of eye", "m", 1),
        Printed("light", "H, height of the light", "m", 0),
        REFRACTION,
    ),
    asked=(
        Asked("horizon", "Sea horizon", "length", "NM", 2, 0.05),
        Asked("range", "Light first shows", "length", "NM", 2, 0.05),
    ),
    solve=_horizon_and_range,
    # every horizon grows as the root of the height, so the range follows from one's own horizon
    carry=lambda g, own: {"range": own.horizon * (1 + math.sqrt(g.light / g.eye))},
    slips={
        "no-refraction": misread(refraction=0),
        "kilometres": times(MILE / 1000),
        "feet-rule": times(_feet_rule),
        "radius-for-diameter": times(math.sqrt(0.5)),
        "wrong-way": times(lambda g: 1 - g.refraction),
        "light-left-out": misread("range", light=0),
        "eye-left-out": misread("range", eye=0),
        "heights-added": misread("range", eye=lambda g: g.eye + g.light, light=0),
    },
    # 2.07 and 2.08 are too close to be distinguished, and share their words
    methods={
        "two-03": _rule(2.03),
        "two-07": _rule(2.07),
        "two-08": _rule(2.08),
        "feet": _rule(1.17 / math.sqrt(0.3048)),
    },
    work=_work_horizon,
)


# surface-which -------------------------------------------------------------------------

WHICH_GAUGE = choice("surface-which-gauge", elements=("S-5B E3.2c",))
WHICH_GNSS = choice("surface-which-gnss", elements=("S-5B E4.1b", "S-5B E4.4a"))
WHICH_CHART = choice("surface-which-chart", elements=("S-5B E3.2c", "S-5A H5.4a"))
WHICH_KP = choice("surface-which-kp", elements=ELEMENTS)
WHICH_GRID = choice("surface-which-grid", elements=("S-5B E4.2",))
WHICH_SOUNDER = choice("surface-which-sounder", elements=("S-5B E3.3a",))
