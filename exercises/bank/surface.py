"""Exercises of lesson 01, a surface and an origin."""

import math
from functools import lru_cache

from exercises.bank.common import EARTH_RADIUS, GEODESY
from exercises.question.dice import Dice
from exercises.question.model import Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import number
from geokit.surface import arc_minus_chord, horizon, level_drop, to_ellipsoid

MILE = 1852.0  # metres in a nautical mile
HANDBOOK = "C. D. Ghilani and P. R. Wolf, Elementary Surveying (from memory)"
BOWDITCH = "Bowditch, The American Practical Navigator, NGA Pub. 9, chapter 22"
ELEMENTS = ("S-5B E4.1a",)
CURVATURE = ("S-5B E4.4b",)

DISTANCE = Printed("distance", "s, distance along the surface", "m", 0)
REFRACTION = Printed("refraction", "κ, refraction coefficient", "", 2)


@lru_cache(maxsize=32)
def _drop(distance: float, refraction: float = 0.0) -> float:
    """Return the drop in metres, computed once for an answer and all its slips."""
    return level_drop(distance, EARTH_RADIUS, refraction)


def _kilometres(metres: float, decimals: int = 3) -> str:
    return number(metres / 1000, decimals) + "\u00a0km"


# surface-drop --------------------------------------------------------------------------
# Every slip is the right answer times a factor: 2, 1/2, 0.87, and 1/s in kilometres (0.20 to
# 0.04); a foot in it makes 0.305 or 3.28. The nearest two factors stand 0.1 apart, and the drop
# is 1.96 m, 196 tolerances, or more.

USUAL_REFRACTION = 0.13


def _steps_drop(g: Given) -> list[str]:
    return [
        "The surface falls away from a straight, level line by s²/2R: with the square of the "
        "distance.",
        f"s² / 2R = ({_kilometres(g['distance'])})² / (2 × 6\u202f371.0 km) = "
        f"{g['distance'] ** 2 / (2 * EARTH_RADIUS) / 1000:.5f} km.",
        f"The drop is **{_drop(g['distance']):.2f} m**. As a rule of thumb: 7.85 cm at one "
        "kilometre, times the kilometres squared.",
    ]


DROP = Exercise(
    key="surface-drop",
    topic="surface",
    title="How far the sea falls away",
    edition=1,
    elements=(*ELEMENTS, *CURVATURE),
    aids="calculator",
    prompt="A straight line of sight starts level at an instrument on a jacket. How far below the "
    "line lies the **level surface through the instrument** at the distance s, on a sphere of "
    "radius 6\u202f371.0 km and **without refraction**? Give it as a positive number in metres, to "
    "0.01 m; right within ±0.01 m.",
    draw=lambda dice: {"distance": float(dice.whole(5_000, 25_000))},
    printed=(DISTANCE,),
    asked=(Asked("drop", "Drop", "length", "m", 2, 0.01),),
    solve=lambda g: {"drop": _drop(g["distance"])},
    slips=(
        Slip(
            "no-half",
            "The half forgotten",
            lambda g: {"drop": 2 * _drop(g["distance"])},
            "{value} is s²/R, twice the drop. The surface leaves the line slowly and then faster, "
            "so on the way it has fallen s²/2R.",
        ),
        Slip(
            "diameter",
            "The diameter doubled again",
            lambda g: {"drop": _drop(g["distance"]) / 2},
            "{value} is half the drop: the diameter was put in where R belongs. 2R is the diameter "
            "already.",
        ),
        Slip(
            "refraction",
            "Refraction put in",
            lambda g: {"drop": _drop(g["distance"], USUAL_REFRACTION)},
            "{value} has a refraction of 0.13 in it. Asked is the straight line, without the air; "
            "the shape of the Earth comes first.",
        ),
        Slip(
            "no-square",
            "Distance not squared",
            lambda g: {"drop": _drop(g["distance"]) * 1000 / g["distance"]},
            "{value} is 7.85 cm for each kilometre. That is the drop at one kilometre; at twice the "
            "distance it is four times as much.",
        ),
    ),
    nudges=(
        "Draw the circle and its tangent: how does the gap grow when the distance doubles?",
        "The drop is s²/2R. Keep s and R in one unit.",
    ),
    steps=_steps_drop,
    source=f"s²/2R. {HANDBOOK}; checked against CV-01 in tests.",
)


# surface-refraction --------------------------------------------------------------------
# Relative to s²/2R the answers are 1 − κ (0.90 to 0.80), 1 + κ, 1, 1 − 2κ, κ (0.10 to 0.20) and
# 2(1 − κ); a foot makes 0.27 to 0.24 or 2.6 to 3.0. The nearest two stand 0.04 apart (κ = 0.20:
# 0.20 and 0.244), and s²/2R is 1.96 m, 196 tolerances, or more.


def _bent(g: Given, straightness: float) -> Answer:
    """Return the drop below a line of which this share of the curvature is left."""
    return {"drop": straightness * _drop(g["distance"])}


def _steps_refraction(g: Given) -> list[str]:
    return [
        f"Without air the drop is s²/2R = ({_kilometres(g['distance'])})² / (2 × 6\u202f371.0 km) "
        f"= {_drop(g['distance']):.3f} m.",
        "The ray bends the same way as the Earth, but less: it follows the surface down by κ of "
        "that.",
        f"(1 − κ) s²/2R = (1 − {g['refraction']:.2f}) × {_drop(g['distance']):.3f} m = "
        f"**{_drop(g['distance'], g['refraction']):.2f} m**.",
    ]


REFRACTED = Exercise(
    key="surface-refraction",
    topic="surface",
    title="The air bends the sight",
    edition=1,
    elements=CURVATURE,
    aids="calculator",
    prompt="A levelled telescope on a quay sights a mark on a jacket, over water. The refraction "
    "coefficient κ is the Earth's radius divided by the radius of the bent ray. How far does the "
    "**level surface through the telescope** lie below the line of sight at the jacket, with this "
    "κ and on a sphere of radius 6\u202f371.0 km? Give it as a positive number in metres, to "
    "0.01 m; right within ±0.01 m.",
    draw=lambda dice: {
        "distance": float(dice.whole(5_000, 18_000)),
        "refraction": dice.number(0.10, 0.20, 2),
    },
    printed=(DISTANCE, REFRACTION),
    asked=(Asked("drop", "Drop", "length", "m", 2, 0.01),),
    solve=lambda g: {"drop": _drop(g["distance"], g["refraction"])},
    slips=(
        Slip(
            "added",
            "1 + κ for 1 − κ",
            lambda g: _bent(g, 1 + g["refraction"]),
            "{value} makes the drop larger. The ray bends down with the Earth, so the surface falls "
            "away from it more slowly: 1 − κ.",
        ),
        Slip(
            "left-out",
            "Refraction left out",
            lambda g: _bent(g, 1),
            "{value} is the drop below a straight line. The ray is bent: take κ of it off.",
        ),
        Slip(
            "twice",
            "Refraction taken off twice",
            lambda g: _bent(g, 1 - 2 * g["refraction"]),
            "{value} has 1 − 2κ in it. With κ as ratio of the two radii it comes off once; some "
            "books call half of it the coefficient, and double it in the formula.",
        ),
        Slip(
            "refraction-alone",
            "The refraction alone",
            lambda g: _bent(g, g["refraction"]),
            "{value} is what refraction does. Asked is what is left of the drop after it: 1 − κ, "
            "not κ.",
        ),
        Slip(
            "no-half",
            "The half forgotten",
            lambda g: _bent(g, 2 * (1 - g["refraction"])),
            "{value} is twice the drop: the formula has 2R below the line, the diameter.",
        ),
    ),
    nudges=(
        "First the drop below a straight line. Does the bent ray run above or below that line?",
        "A ray as curved as the Earth (κ = 1) would follow the water for ever. What must the drop "
        "be then?",
    ),
    steps=_steps_refraction,
    source=f"(1 − κ)s²/2R. {HANDBOOK}; checked against CV-02 in tests.",
)


# surface-reduce ------------------------------------------------------------------------
# Each route is a height that is reduced from: right H + N; slips H, H − N, −(H + N), 0, N. With
# |N| ≥ 25 m and |H| ≥ 300 m no two of them stand closer than 25 m, which is s·25 m/R = 0.0196 m
# or 9.8 tolerances at 5 km. The rule s(1 − h/R) stays within half a tolerance: h²s/R² < 1.1 mm.


def _draw_reduce(dice: Dice) -> Answer:
    return {
        "distance": dice.number(5_000, 10_000, 3),
        "height": dice.signed(300, 2_000, 1),
        "geoid": dice.signed(25, 60, 1),
    }


def _reduced(g: Given, height: float) -> Answer:
    return {"reduced": g["distance"] * EARTH_RADIUS / (EARTH_RADIUS + height)}


def _steps_reduce(g: Given) -> list[str]:
    height = g["height"] + g["geoid"]
    reduced = REDUCE.solve(g)["reduced"]
    where = "above" if height > 0 else "below"
    return [
        f"The ellipsoid needs the height above the ellipsoid: h = H + N = {g['height']:+.1f} m "
        f"{g['geoid']:+.1f} m = {height:+.1f} m.",
        f"The line lies {where} the ellipsoid, on a {'larger' if height > 0 else 'smaller'} "
        f"circle, so on the ellipsoid it is {'shorter' if height > 0 else 'longer'}.",
        f"s·R/(R + h) = {number(g['distance'], 3)} m × 6\u202f371\u202f000 / "
        f"({number(EARTH_RADIUS + height, 1)}) = **{number(reduced, 3)} m**, "
        f"{reduced - g['distance']:+.3f} m.",
    ]


REDUCE = Exercise(
    key="surface-reduce",
    topic="surface",
    title="Down, or up, to the ellipsoid",
    edition=1,
    elements=(*ELEMENTS, "S-5B E4.4a"),
    aids="calculator",
    prompt="A distance was measured and made horizontal at the height H above the geoid: on hills "
    "ashore, or between two beacons near the seabed, where H is negative. N is the height of the "
    "geoid above the ellipsoid there. How long is the line **on the ellipsoid**, with a radius of "
    "6\u202f371.0 km along it? Give it to 0.001 m; right within ±0.002 m.",
    draw=_draw_reduce,
    printed=(
        Printed("distance", "s, horizontal at H", "m", 3),
        Printed("height", "H, above the geoid, up +", "m", 1, signed=True),
        Printed("geoid", "N, geoid above the ellipsoid, up +", "m", 1, signed=True),
    ),
    asked=(Asked("reduced", "On the ellipsoid", "length", "m", 3, 0.002),),
    solve=lambda g: {
        "reduced": to_ellipsoid(g["distance"], g["height"] + g["geoid"], EARTH_RADIUS)
    },
    slips=(
        Slip(
            "geoid-height-left-out",
            "H for h",
            lambda g: _reduced(g, g["height"]),
            "{value} is the length on the geoid. The ellipsoid lies N lower: reduce from h = H + N.",
        ),
        Slip(
            "geoid-height-subtracted",
            "H − N for H + N",
            lambda g: _reduced(g, g["height"] - g["geoid"]),
            "{value} was reduced from H − N. N counts from the ellipsoid up to the geoid, and H "
            "from there on: h = H + N.",
        ),
        Slip(
            "wrong-way",
            "Reduced the wrong way",
            lambda g: _reduced(g, -(g["height"] + g["geoid"])),
            "{value} went the wrong way. Above the ellipsoid the circle is larger, so the line "
            "shrinks on its way down; below the ellipsoid it grows on its way up.",
        ),
        Slip(
            "not-reduced",
            "Not reduced",
            lambda g: _reduced(g, 0),
            "{value} is the length where it was measured. Every thousand metres of height are 157 "
            "millionths of it.",
        ),
        Slip(
            "geoid-only",
            "N for h",
            lambda g: _reduced(g, g["geoid"]),
            "{value} was reduced from N alone. N is where the geoid lies; the line lies H above it.",
        ),
    ),
    nudges=(
        "Sketch ellipsoid, geoid and line. How far is it from the ellipsoid to the line?",
        "Two circles with one centre: is the line on the larger or on the smaller one?",
    ),
    steps=_steps_reduce,
    source=f"s·R/(R + h), h = H + N. {GEODESY}.",
)


# surface-chord -------------------------------------------------------------------------
# Slips relative to s³/24R²: 4, 2, 3R/s (637 down to 191) and R (6 million); a foot makes 0.305 or
# 3.28, millimetres 1000. From 30 km on the right answer is 28 tolerances or more; the nearest two
# are 4 and 3.28, 20 tolerances, and 637 and 1000, which is known within 1000 tolerances: 10 times.


def _chord(g: Given) -> float:
    """s³/24R², what the wrong routes start from."""
    return g["distance"] ** 3 / (24 * EARTH_RADIUS**2)


def _steps_chord(g: Given) -> list[str]:
    right = CHORD.solve(g)["difference"]
    return [
        "The chord is 2R sin(s/2R). A calculator loses that difference among its last digits, so "
        "take the first term of its series: s³/24R².",
        f"s³/24R² = ({_kilometres(g['distance'])})³ / (24 × (6\u202f371.0 km)²) = "
        f"{right / 1000:.9f} km.",
        f"The way along the surface is **{right:.3f} m** longer: "
        f"{right / g['distance'] * 1e6:.2f} millionths of it.",
    ]


CHORD = Exercise(
    key="surface-chord",
    topic="surface",
    title="Along the surface, or straight through",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="Two points at the height of the sphere's surface are the distance s apart **along the "
    "surface**; its radius is 6\u202f371.0 km. By how much is that longer than the **straight line** "
    "between them, which GNSS vectors follow? Give arc minus chord to 0.001 m; right within "
    "±0.001 m.",
    draw=lambda dice: {"distance": float(dice.number(30_000, 100_000, 0, step=10))},
    printed=(DISTANCE,),
    asked=(Asked("difference", "Arc − chord", "length", "m", 3, 0.001),),
    solve=lambda g: {"difference": arc_minus_chord(g["distance"], EARTH_RADIUS)},
    slips=(
        Slip(
            "plane",
            "The plane's error for the chord's",
            lambda g: {"difference": 4 * _chord(g)},
            "{value} is s³/6R²: what east and north on a plane lose. The chord cuts the corner at "
            "both ends and loses a quarter of that, s³/24R².",
        ),
        Slip(
            "twelve",
            "12 for 24",
            lambda g: {"difference": 2 * _chord(g)},
            "{value} has 12 where 24 belongs: 2R sin(s/2R) = s − s³/24R² and so on.",
        ),
        Slip(
            "radius-not-squared",
            "R not squared",
            lambda g: {"difference": EARTH_RADIUS * _chord(g)},
            "{value} has R where R² belongs. Metres cubed over metres would be square metres.",
        ),
        Slip(
            "sagitta",
            "How deep, not how much shorter",
            lambda g: {"difference": g["distance"] ** 2 / (8 * EARTH_RADIUS)},
            "{value} is s²/8R: how deep the chord passes below the surface half way. Asked is how "
            "much shorter it is.",
        ),
    ),
    nudges=(
        "A chord is 2R sin(s/2R). What does the sine of a small angle lack?",
        "The difference grows with the third power of s. Twice as far is how many times as much?",
    ),
    steps=_steps_chord,
    source=f"s − 2R sin(s/2R) ≈ s³/24R². {GEODESY}.",
)


# surface-horizon -----------------------------------------------------------------------
# All distances are c√h with c = 2.07 to 2.12 NM at one metre. Routes to the horizon: c times
# √(1 − κ) (0.93 to 0.91), 1.852, 0.55 to 0.57, 0.71; c√h is 5.8 NM, 117 tolerances, or more, and
# the range 17.9 NM. Routes to the range alone: c√h, c√H, c√(h + H), where H ≥ 35 m > 30 m ≥ h:
# the nearest two, c√(h + H) and c√H, stand 0.87 NM apart or more.


@lru_cache(maxsize=32)
def _horizon(height: float, refraction: float) -> float:
    """Return the distance to the horizon in nautical miles."""
    return horizon(height, EARTH_RADIUS, refraction) / MILE


def _range(g: Given, factor: float = 1.0) -> Answer:
    """Return horizon and range, both times a factor: every horizon grows as the root of height."""
    eye = _horizon(g["eye"], g["refraction"]) * factor
    return {"horizon": eye, "range": _light_from_eye(g, eye)}


def _light_from_eye(g: Given, eye: float) -> float:
    return eye * (1 + math.sqrt(g["light"] / g["eye"]))


def _feet_rule(g: Given) -> float:
    """1.17 √h NM, the navigator's rule for h in feet, over what it should be in metres."""
    return 1.17 / _horizon(1.0, g["refraction"])


def _steps_horizon(g: Given) -> list[str]:
    eye, light = (_horizon(g[name], g["refraction"]) for name in ("eye", "light"))
    return [
        "The sight touches the water where (1 − κ)s²/2R equals the height of eye, so "
        "s = √(2Rh/(1 − κ)).",
        f"Horizon: √(2 × 6\u202f371\u202f000 m × {g['eye']:.1f} m / {1 - g['refraction']:.2f}) = "
        f"{number(eye * MILE, 0)} m = **{eye:.2f} NM**.",
        f"The light has a horizon of its own: {number(light * MILE, 0)} m = {light:.2f} NM.",
        f"It first shows where the two touch: {eye:.2f} + {light:.2f} = **{eye + light:.2f} NM**, "
        "if it is bright enough and the water is smooth.",
    ]


HORIZON = Exercise(
    key="surface-horizon",
    topic="surface",
    title="The horizon, and a light beyond it",
    edition=1,
    elements=CURVATURE,
    aids="calculator",
    prompt="From the wing of the bridge, with the eye h above the water, how far is the **sea "
    "horizon**; and at what range does a light H above the water **first show**? Take a sphere of "
    "radius 6\u202f371.0 km and the refraction coefficient κ given (Earth's radius over that of the "
    "ray). Distances along the water in nautical miles of 1\u202f852 m, to 0.01 NM; both right "
    "within ±0.05 NM.",
    draw=lambda dice: {
        "eye": dice.number(8, 30, 1, step=5),
        "light": float(dice.whole(35, 90)),
        "refraction": dice.number(0.13, 0.17, 2),
    },
    printed=(
        Printed("eye", "h, height of eye", "m", 1),
        Printed("light", "H, height of the light", "m", 0),
        REFRACTION,
    ),
    asked=(
        Asked("horizon", "Sea horizon", "length", "NM", 2, 0.05),
        Asked("range", "Light first shows", "length", "NM", 2, 0.05),
    ),
    solve=lambda g: {
        "horizon": _horizon(g["eye"], g["refraction"]),
        "range": _horizon(g["eye"], g["refraction"]) + _horizon(g["light"], g["refraction"]),
    },
    carry=lambda g, own: {"range": _light_from_eye(g, own["horizon"])},
    slips=(
        Slip(
            "no-refraction",
            "Refraction left out",
            lambda g: _range(g, math.sqrt(1 - g["refraction"])),
            "This is for a straight ray. The air bends it round the Earth a little, so you see "
            "further: divide 2Rh by 1 − κ.",
        ),
        Slip(
            "kilometres",
            "Kilometres for nautical miles",
            lambda g: _range(g, MILE / 1000),
            "This is the number of kilometres. One nautical mile is 1.852 km.",
        ),
        Slip(
            "feet-rule",
            "The rule for feet used on metres",
            lambda g: _range(g, _feet_rule(g)),
            "This comes from 1.17 √h, which wants the height in feet. In metres the factor is "
            "about 2.1.",
        ),
        Slip(
            "radius-for-diameter",
            "R for 2R",
            lambda g: _range(g, math.sqrt(0.5)),
            "This comes from √(Rh/(1 − κ)). The drop is s²/2R, so the root holds 2R.",
        ),
        Slip(
            "wrong-way",
            "Refraction the wrong way",
            lambda g: _range(g, 1 - g["refraction"]),
            "Here the air shortens your view: 1 − κ stands above the line, or 1 + κ below it. The "
            "bent ray reaches further: divide 2Rh by 1 − κ.",
        ),
        Slip(
            "light-left-out",
            "The light's height left out",
            lambda g: {"range": _horizon(g["eye"], g["refraction"])},
            "{value} is your own horizon. The light stands high and shows from beyond it: add the "
            "light's horizon.",
        ),
        Slip(
            "eye-left-out",
            "The height of eye left out",
            lambda g: {"range": _horizon(g["light"], g["refraction"])},
            "{value} is the light's horizon, for an eye at the water. Yours is higher: add your own "
            "horizon.",
        ),
        Slip(
            "heights-added",
            "Heights added, not distances",
            lambda g: {"range": _horizon(g["eye"] + g["light"], g["refraction"])},
            "{value} is the horizon from h + H. The sight touches the water between you and the "
            "light: two distances, each from its own height, are added.",
        ),
    ),
    nudges=(
        "At the horizon the drop below the line of sight equals the height of eye.",
        "The ray from the light touches the water once. How far is that point from the light, and "
        "how far from you?",
    ),
    steps=_steps_horizon,
    source=f"√(2Rh/(1 − κ)); {BOWDITCH}; checked against CV-04 in tests.",
)


# surface-which -------------------------------------------------------------------------

WHICH_GAUGE = choice(
    "surface-which-gauge",
    "Which surface? A tide gauge",
    "The display of a tide gauge on the quay of Port Hessel shows **3.42 m**. From which surface "
    "does that number count?",
    ("gauge-zero", "Its own zero, which levelling has tied to a benchmark"),
    {
        "ellipsoid": (
            "The ellipsoid of the frame that GNSS uses there",
            "No satellite told the gauge where it stands. Its zero was carried there by levelling, "
            "which follows gravity.",
        ),
        "mean-level": (
            "Mean sea level, taken over many years",
            "Mean sea level comes out of years of such readings. It is a number on this scale, "
            "seldom its zero.",
        ),
        "seabed": (
            "The seabed below the gauge",
            "The seabed silts up and is dredged away. A gauge's zero is held by a benchmark ashore.",
        ),
    },
    elements=("S-5B E3.2c",),
    because="A gauge counts from its own zero. Levelling from a benchmark holds it, so it is a "
    "level surface of gravity; often, not always, it is set at chart datum.",
    source="Common practice, no source.",
    nudges=("Who put the zero there, and with which instrument?",),
)

WHICH_GNSS = choice(
    "surface-which-gnss",
    "Which surface? A GNSS height",
    "A processed GNSS position reads latitude, longitude and **h = 52.18 m**, ITRF2020. From which "
    "surface, and in which direction, does h count?",
    ("ellipsoid", "From the ellipsoid, along its normal"),
    {
        "geoid": (
            "From the geoid, along the plumb line",
            "That would be H. Satellites and receiver are tied by geometry alone; to come to the "
            "geoid you need N from a model.",
        ),
        "sea": (
            "From the sea surface at that moment",
            "The receiver knows its satellites and nothing of the water. At Sable Wall the sea "
            "itself stands some 60 m below the ellipsoid.",
        ),
        "centre": (
            "From the Earth's centre",
            "The frame has its origin there, and X, Y, Z count from it. A height h counts from the "
            "ellipsoid that is laid round it.",
        ),
    },
    elements=("S-5B E4.1b", "S-5B E4.4a"),
    because="h is the ellipsoidal height: from the ellipsoid, along the normal. The ellipsoid sits "
    "in the frame, here ITRF2020, whose origin is the Earth's centre of mass.",
    source=f"{GEODESY}.",
    nudges=("What do the satellites know of gravity at your receiver?",),
)

WHICH_CHART = choice(
    "surface-which-chart",
    "Which surface? A charted depth",
    "The chart shows **12.4** beside the berth. From which surface does that depth count?",
    ("chart-datum", "From a low level of the tide, named on the chart"),
    {
        "mean-level": (
            "From mean sea level",
            "Then there would be less water than charted half of the time. Charts count from a low "
            "level of the tide, so that the sea is rarely lower.",
        ),
        "water": (
            "From the water surface when it was sounded",
            "The soundings were reduced: the tide at the moment was taken off before they were "
            "charted.",
        ),
        "geoid": (
            "From the geoid",
            "The geoid lies near mean sea level. Chart datum lies below it by an amount that "
            "changes from port to port.",
        ),
    },
    elements=("S-5B E3.2c", "S-5A H5.4a"),
    because="A charted depth counts down from chart datum: a low level of the tide, such as lowest "
    "astronomical tide, chosen by the authority and different from place to place.",
    source="International Hydrographic Organization, Resolution 3/1919 as amended (from memory).",
    nudges=("Would a mariner rather have more water than charted, or less?",),
)

WHICH_KP = choice(
    "surface-which-kp",
    "Which surface? A pipeline's KP",
    "The as-laid list of a pipeline puts a valve at **KP 12.400**. What is that a length along?",
    ("route", "Along the pipeline's own route, from KP 0"),
    {
        "straight": (
            "Along the straight line from KP 0 to the valve",
            "A route bends and dips. KP counts along it, so the straight line is shorter.",
        ),
        "northing": (
            "Along grid north: it is a northing in kilometres",
            "KP goes with the pipe, whichever way it runs. A northing goes with the grid.",
        ),
        "track": (
            "Along the track of the vessel that laid the pipe",
            "The vessel runs ahead of where the pipe touches down, and off to its side in bends. "
            "KP belongs to the pipe.",
        ),
    },
    elements=ELEMENTS,
    because="KP is a length along the route from its KP 0. On the grid, the ellipsoid or the "
    "seabed it comes out differently, by metres over a long line: ask the client which.",
    source="Common practice, no source.",
    nudges=("If the pipe makes a detour, does its KP grow?",),
)

WHICH_GRID = choice(
    "surface-which-grid",
    "Which surface? A grid northing",
    "A waypoint has **N 2\u202f101\u202f543.2 m** on a transverse Mercator grid. On which surface, and "
    "from which origin, does that number count?",
    ("plane", "On the plane of the projection, from its false origin"),
    {
        "meridian": (
            "On the ellipsoid, along the meridian from the equator",
            "It began as that. Then the scale factor and the false northing went in, and away from "
            "the central meridian the plane bends it further.",
        ),
        "sea": (
            "On the sea surface, from the equator",
            "No tape lies on the sea. The grid is computed from latitude and longitude, whatever "
            "the water does.",
        ),
        "centre": (
            "In space, from the Earth's centre",
            "That would be Z. A northing is flat: it has no third number with it.",
        ),
    },
    elements=("S-5B E4.2",),
    because="Easting and northing live on the plane of the projection and count from its false "
    "origin. They mean nothing without the name of the grid and of the datum below it.",
    source=f"{GEODESY}.",
    nudges=("How many numbers does a grid position have?",),
)

WHICH_SOUNDER = choice(
    "surface-which-sounder",
    "Which surface? A raw echo",
    "With no draught and no tide entered, an echo sounder shows **87.6 m**. From where does that "
    "number count?",
    ("transducer", "From the face of the transducer"),
    {
        "waterline": (
            "From the water surface",
            "The sound starts at the transducer. Only when the draught is entered does the display "
            "count from the waterline.",
        ),
        "chart-datum": (
            "From chart datum",
            "The sounder knows neither draught nor tide here. A charted depth needs both.",
        ),
        "antenna": (
            "From the GNSS antenna above it",
            "Antenna and transducer are tied by the lever arm, and somebody has to put that in.",
        ),
    },
    elements=("S-5B E3.3a",),
    because="Half the travel time, times the speed of sound, from the face of the transducer. "
    "Draught takes it to the water surface, tide to chart datum.",
    source="Common practice, no source.",
    nudges=("Where does the sound set out?",),
)


# Say first -----------------------------------------------------------------------------

FIRST_FLAT = choice(
    "surface-first-flat",
    "Say first: where does flat fail first?",
    "You treat the sea as a flat plane that touches it where you are, and go away from there. Which "
    "error is the **first to pass one centimetre**?",
    ("drop", "The height: the water falls away below the plane"),
    {
        "east-north": (
            "East and north on it, against metres along the water",
            "That one comes later: it grows with the third power of the distance and passes a "
            "centimetre only beyond 13 km.",
        ),
        "chord": (
            "The straight line, against metres along the water",
            "That is the last of the three. The chord loses a centimetre only beyond 21 km.",
        ),
        "together": (
            "All three at about the same distance",
            "They grow differently: the height with the square of the distance, the lengths with "
            "its third power and from a smaller start.",
        ),
    },
    elements=(*ELEMENTS, *CURVATURE),
    because="The drop passes a centimetre after some 360 m, the plane's lengths beyond 13 km, the "
    "chord's beyond 21 km. Flat is good for plans and bad for heights.",
    source="s²/2R, s³/6R² and s³/24R² with R = 6\u202f371 km.",
    marks=0,
)

FIRST_ANSWERS = choice(
    "surface-first-answers",
    "Say first: which height is wrong?",
    "For one antenna five people on board write down five different heights, tens of metres apart. "
    "All instruments work and nobody made a slip. **How can that be?**",
    ("surfaces", "Each counts from another surface, and none of them said which"),
    {
        "noise": (
            "Heights from satellites scatter that much",
            "A few metres without corrections, not tens. Between ellipsoid and sea, tens of metres "
            "are ordinary.",
        ),
        "tide": (
            "The tide moved between the readings",
            "Tide moves the vessel by metres, the same for all who read together. It does not make "
            "them disagree by tens.",
        ),
        "one-right": (
            "One of them is right and the others are wrong",
            "All five are right, each on its own surface. What is missing is a word beside each "
            "number.",
        ),
    },
    elements=ELEMENTS,
    because="Every number is a surface, a frame and an epoch, a unit and a sign. Without them a "
    "height is only a number.",
    source="Geoid heights in the EGM96 grid of this course run from −107 m to +85 m.",
    marks=0,
)

EXERCISES = (
    FIRST_FLAT,
    FIRST_ANSWERS,
    DROP,
    REFRACTED,
    REDUCE,
    CHORD,
    HORIZON,
    WHICH_GAUGE,
    WHICH_GNSS,
    WHICH_CHART,
    WHICH_KP,
    WHICH_GRID,
    WHICH_SOUNDER,
)
