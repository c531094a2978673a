"""Exercises of lesson 06, gravity and the geoid."""

import math
from functools import lru_cache

from exercises.bank.common import EARTH_RADIUS, cos, sin
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import number
from geokit.geoid import PrintedGrid
from geokit.gravity import GRS80_FIELD, eotvos, normal_to_second_order

MGAL = 1e5  # in one m/s²
ROCK, WATER = 2670.0, 1030.0  # kg/m³, named in the prompt
FREE_AIR = 0.3086  # mGal a metre, named in the prompts
HELMERT = 0.0424  # mGal a metre of height, from surface gravity to the mean below: in the prompt
HALF_FREE_AIR = FREE_AIR / 2

MORITZ = "H. Moritz, Geodetic Reference System 1980, Journal of Geodesy 74, 2000"
PHYSICAL = "W. A. Heiskanen and H. Moritz, Physical Geodesy, 1967"
TELFORD = (
    "W. M. Telford, L. P. Geldart and R. E. Sheriff, Applied Geophysics, 2nd ed. 1990, chapter 2 "
    "(from memory)"
)
GRAVITY, REDUCED, SYSTEMS_OF_HEIGHT, MODELS = (f"S-5A F1.1{part}" for part in "abcd")

LATITUDE = Printed("lat", "φ, geodetic latitude", DMS, 0, kind="latitude")


def _seconds(dice: Dice, low: int, high: int) -> float:
    """Return a latitude of either hemisphere between two whole degrees, to the second."""
    sign = dice.choose((1, -1))
    return sign * printed(dice.whole(low * 3600, high * 3600) / 3600, 10)


@lru_cache(maxsize=64)
def _gamma(lat: float, height: float = 0.0) -> float:
    """Return normal gravity of GRS 80 in mGal, computed once for an answer and all its slips."""
    return normal_to_second_order(lat, height, GRS80_FIELD) * MGAL


GAMMA_45 = printed(_gamma(45.0), 2)  # named in a prompt; GR-01 in tests


def _mgal(value: float, decimals: int = 1) -> str:
    return f"{number(value, decimals)} mGal"


# geoid-normal --------------------------------------------------------------------------
# With s = sin²φ the slips stand off from γ, in mGal, by 5 172 s (the equator's), by
# 17.3 sin²2φ (geocentric), by 3 280 s (numerator alone) and by 5 172 (0.509 − s) (9.80665, met
# at 45.5°). s is 0.067 or more, sin²2φ 0.25 or more, and 40° to 50° is left out.

GAMMA_E = GRS80_FIELD.equatorial_gravity * MGAL
SOMIGLIANA = GRS80_FIELD.somigliana_constant
ECCENTRICITY_2 = GRS80_FIELD.ellipsoid.eccentricity_squared
STANDARD = 9.80665 * MGAL
OF_SOMIGLIANA = f"γₑ = {number(GAMMA_E, 2)} mGal, k = {SOMIGLIANA:.9f}, e² = {ECCENTRICITY_2:.9f}"


def _draw_normal(dice: Dice) -> Answer:
    low, high = dice.choose(((15, 40), (50, 75)))
    return {"lat": _seconds(dice, low, high)}


def _normal(g: Given) -> float:
    return _gamma(g["lat"])


def _geocentric(lat: float) -> float:
    return math.degrees(math.atan((1 - ECCENTRICITY_2) * math.tan(math.radians(lat))))


def _steps_normal(g: Given) -> list[str]:
    s, right = sin(g["lat"]) ** 2, _normal(g)
    return [
        f"sin²φ = {s:.8f}, the same north and south of the equator.",
        f"Above: 1 + k sin²φ = {1 + SOMIGLIANA * s:.9f}. Below: √(1 − e² sin²φ) = "
        f"{math.sqrt(1 - ECCENTRICITY_2 * s):.9f}.",
        f"γ = {number(GAMMA_E, 2)} × {1 + SOMIGLIANA * s:.9f} / "
        f"{math.sqrt(1 - ECCENTRICITY_2 * s):.9f} = **{_mgal(right)}**, that is "
        f"{right / MGAL:.6f} m/s².",
        f"From the equator to here gravity grows by {_mgal(right - GAMMA_E, 0)}: less spin, and "
        "nearer the centre.",
    ]


NORMAL = Exercise(
    key="geoid-normal",
    topic="geoid",
    title="What a plain Earth would pull",
    edition=1,
    elements=(GRAVITY,),
    aids="calculator",
    prompt="What is normal gravity γ **on the ellipsoid** GRS 80 (height zero) at geodetic latitude "
    f"φ, after Somigliana: γ = γₑ (1 + k sin²φ) / √(1 − e² sin²φ), with {OF_SOMIGLIANA}? One mGal "
    "is 0.00001 m/s². Give γ in mGal to 0.1 mGal; right within ±0.2 mGal.",
    draw=_draw_normal,
    printed=(LATITUDE,),
    asked=(Asked("gamma", "γ", "gravity", "mGal", 1, 0.2),),
    solve=lambda g: {"gamma": _normal(g)},
    slips=(
        Slip(
            "equator",
            "The equator's value everywhere",
            lambda g: {"gamma": GAMMA_E},
            "{value} is gravity at the equator. It grows by half a per cent towards the poles, "
            "5\u202f186 mGal.",
        ),
        Slip(
            "geocentric",
            "Geocentric latitude",
            lambda g: {"gamma": _gamma(_geocentric(g["lat"]))},
            "{value} belongs to the geocentric latitude, the angle at the Earth's centre. The "
            "formula takes the geodetic one, as on charts and from GNSS.",
        ),
        Slip(
            "standard",
            "9.80665, whatever the place",
            lambda g: {"gamma": STANDARD},
            "{value} is the standard gravity of physics, a fixed number agreed upon for weights. "
            "It is right near 45° and nowhere else.",
        ),
        Slip(
            "numerator",
            "Not divided by the root",
            lambda g: {"gamma": GAMMA_E * (1 + SOMIGLIANA * sin(g["lat"]) ** 2)},
            "{value} is γₑ (1 + k sin²φ) alone. Divide by √(1 − e² sin²φ): it carries two thirds "
            "of the change.",
        ),
        Slip(
            "metres",
            "Given in m/s²",
            lambda g: {"gamma": _normal(g) / MGAL},
            "{value} fits if it is read in m/s². Asked is mGal: 100\u202f000 of them make 1 m/s².",
        ),
    ),
    nudges=(
        "Is the formula's latitude the one on the chart, or the angle at the Earth's centre?",
        "Work sin²φ first, then the numerator and the root, each to nine decimals.",
    ),
    steps=_steps_normal,
    source=f"Somigliana's formula. {MORITZ}; GR-01 and GR-02 in tests.",
)


# geoid-height-term ---------------------------------------------------------------------
# The second-order term x = 3γh²/a² is 1.16 mGal at 4 km and 5.9 mGal at 9 km; its two slips
# stand off by x and by 2x, below the answer. Up to 45° the shape and the spin are worth
# 4.2 mGal or more, above it. The others are hundreds of mGal off; the one that leaves γ
# nearly as it is is the only one there.

FLATTENING, SPIN = GRS80_FIELD.ellipsoid.flattening, GRS80_FIELD.m
AXIS = GRS80_FIELD.semi_major


def _draw_height_term(dice: Dice) -> Answer:
    lat = _seconds(dice, 0, 45)
    height = float(dice.number(4000, 9000, 0, step=10))
    return {"lat": lat, "gamma": printed(_gamma(lat), 2), "height": height}


def _at_height(g: Given) -> float:
    return g["gamma"] * _gamma(g["lat"], g["height"]) / _gamma(g["lat"])


def _first_term(g: Given) -> float:
    """Return 2h/a (1 + f + m − 2f sin²φ)."""
    bracket = 1 + FLATTENING + SPIN - 2 * FLATTENING * sin(g["lat"]) ** 2
    return 2 * g["height"] / AXIS * bracket


def _with_terms(g: Given, first: float, second: float) -> Answer:
    return {"gamma": g["gamma"] * (1 - first + second * (g["height"] / AXIS) ** 2)}


def _steps_height_term(g: Given) -> list[str]:
    first, second = _first_term(g), 3 * (g["height"] / AXIS) ** 2
    return [
        f"h/a = {g['height'] / AXIS:.8f}; 1 + f + m − 2f sin²φ = "
        f"{first / 2 * AXIS / g['height']:.7f}.",
        f"First term: {first:.9f} of γ, which is −{g['gamma'] * first:.1f} mGal.",
        f"Second term: 3h²/a² = {second:.9f} of γ, which is +{g['gamma'] * second:.1f} mGal.",
        f"γ at h = **{_mgal(_at_height(g))}**. This is for free air: down in the sea the water "
        "above pulls upwards, and gravity grows by 0.222 mGal a metre only.",
    ]


HEIGHT_TERM = Exercise(
    key="geoid-height-term",
    topic="geoid",
    title="Normal gravity up there",
    edition=1,
    elements=(GRAVITY,),
    aids="calculator",
    prompt="An aircraft with a gravimeter flies over the field at ellipsoidal height h. Normal "
    "gravity γ on the ellipsoid GRS 80 below it is printed. What is normal gravity **at the height "
    "h**, to the second order: γ [1 − 2h/a (1 + f + m − 2f sin²φ) + 3h²/a²], with a = "
    f"{number(AXIS, 0)} m, f = {FLATTENING:.9f}, m = {SPIN:.9f}? Give it in mGal to 0.1 mGal; "
    "right within ±0.1 mGal.",
    draw=_draw_height_term,
    printed=(
        LATITUDE,
        Printed("gamma", "γ on the ellipsoid there", "mGal", 2),
        Printed("height", "h, ellipsoidal height", "m", 0),
    ),
    asked=(Asked("gamma", "γ at h", "gravity", "mGal", 1, 0.1),),
    solve=lambda g: {"gamma": _at_height(g)},
    slips=(
        Slip(
            "sign",
            "Gravity made to grow upwards",
            lambda g: _with_terms(g, -_first_term(g), 3),
            "{value} is more than on the ellipsoid. Further from the Earth it pulls less: the "
            "first term is taken off.",
        ),
        Slip(
            "first-order",
            "First order only",
            lambda g: _with_terms(g, _first_term(g), 0),
            "{value} stops at the first order. From about 1 km up the term 3h²/a² counts too.",
        ),
        Slip(
            "second-minus",
            "The second-order term taken off",
            lambda g: _with_terms(g, _first_term(g), -3),
            "{value} has 3h²/a² with a minus. Gravity falls more slowly the higher you are, so "
            "this term gives some of it back.",
        ),
        Slip(
            "sphere",
            "Shape and spin left out",
            lambda g: _with_terms(g, 2 * g["height"] / AXIS, 3),
            "{value} has 2h/a alone, as for a sphere at rest. The bracket brings in the flattening "
            "and the spin.",
        ),
        Slip(
            "half",
            "h/a for 2h/a",
            lambda g: _with_terms(g, _first_term(g) / 2, 3),
            "{value} has h/a where 2h/a belongs. The pull goes with one over the distance squared: "
            "one per mille further off, two per mille less.",
        ),
        Slip(
            "kilometre",
            "0.3086 mGal a kilometre",
            lambda g: {"gamma": g["gamma"] - FREE_AIR * g["height"] / 1000},
            "{value} has hardly changed: 0.3086 mGal was taken off for each kilometre. It is for "
            "each metre.",
        ),
    ),
    nudges=(
        "Does gravity grow or fall as you climb? By roughly 0.3 mGal for each metre.",
        "Work the two terms one by one, in mGal. Their signs are opposite.",
    ),
    steps=_steps_height_term,
    source=f"{PHYSICAL}, equation 2-123 (from memory); {MORITZ}.",
)


# geoid-anomaly -------------------------------------------------------------------------
# The free-air anomaly is 5 to 40 mGal of either sign, the layer 67 mGal or more (1 000 m of
# water, 600 m of rock), and the height of the meter worth 7.7 mGal or more. So the two
# anomalies keep clear of zero, and the layer's slips clear of the anomaly turned round.

SEA, LAND = "at sea, on a platform's deck", "ashore, on rock"
PER_METRE = 0.04194  # mGal: 2πG for each 1 000 kg/m³, as the prompt prints it


def _draw_anomaly(dice: Dice) -> Answer:
    at_sea = dice.choose((True, False))
    lat = _seconds(dice, 5, 70)
    height = dice.number(25, 60, 1) if at_sea else dice.number(600, 1600, 1)
    depth = float(dice.whole(1000, 4500)) if at_sea else 0.0
    gamma, anomaly = printed(_gamma(lat), 2), dice.signed(5, 40, 2)
    return {
        "where": SEA if at_sea else LAND,
        "g": printed(gamma - FREE_AIR * height + anomaly, 2),
        "gamma": gamma,
        "height": height,
        "depth": depth,
    }


def _layer(g: Given, *, turned: bool = False, other: bool = False) -> float:
    """Return what the layer adds to the free-air anomaly, in mGal; the slips turn or mistake it."""
    at_sea = g["where"] == SEA
    density = ROCK - WATER if at_sea != other else ROCK
    size = PER_METRE * (g["depth"] if at_sea else g["height"]) * density / 1000
    return size if at_sea != turned else -size


def _anomalies(g: Given, reduction: float = 1.0) -> Answer:
    """Return both anomalies, the free-air reduction taken so many times."""
    free_air = g["g"] + reduction * FREE_AIR * g["height"] - g["gamma"]
    return {"free": free_air, "bouguer": free_air + _layer(g)}


def _with_layer(g: Given, layer: float) -> Answer:
    return {"bouguer": _anomalies(g)["free"] + layer}


def _steps_anomaly(g: Given) -> list[str]:
    answer, layer = _anomalies(g), _layer(g)
    metres = g["depth"] if g["where"] == SEA else g["height"]
    what = (
        f"At sea {metres:.0f} m of water stand where rock would: {ROCK - WATER:.0f} kg/m³ are "
        "missing, and are put in"
        if g["where"] == SEA
        else f"Ashore {metres:.1f} m of rock stand above the geoid, and are taken off"
    )
    return [
        f"Down to the geoid gravity grows: {FREE_AIR} × {g['height']:.1f} m = "
        f"{FREE_AIR * g['height']:+.2f} mGal.",
        f"Free-air anomaly: {number(g['g'], 2)} {FREE_AIR * g['height']:+.2f} − "
        f"{number(g['gamma'], 2)} = "
        f"**{answer['free']:+.1f} mGal**.",
        f"{what}: {layer:+.1f} mGal.",
        f"Bouguer anomaly: {answer['free']:+.1f} mGal {layer:+.1f} mGal = "
        f"**{answer['bouguer']:+.1f} mGal**.",
    ]


ANOMALY = Exercise(
    key="geoid-anomaly",
    topic="geoid",
    title="Two anomalies of one reading",
    edition=1,
    elements=(GRAVITY, REDUCED),
    aids="calculator",
    prompt="A gravimeter that stands still reads g, at height H above the geoid; normal gravity γ on "
    "the ellipsoid below is printed. Ashore H is all rock; at sea it is air, down to a sea surface "
    "that lies in the geoid, with water of depth d under it. First the **free-air anomaly**, g "
    f"brought down to the geoid with {FREE_AIR} mGal a metre, minus γ. Then the **Bouguer anomaly**, "
    f"as if there were rock of {number(ROCK, 0)} kg/m³ below the geoid and nothing above it: sea "
    f"water has {number(WATER, 0)} kg/m³, and a flat layer pulls with {PER_METRE} mGal for each "
    f"metre and each {number(1000, 0)} kg/m³. Give both in mGal to 0.1 mGal, positive where gravity "
    "is above normal; right within ±0.2 mGal.",
    draw=_draw_anomaly,
    printed=(
        Printed("where", "the meter stands"),
        Printed("g", "g, read", "mGal", 2),
        Printed("gamma", "γ on the ellipsoid", "mGal", 2),
        Printed("height", "H, meter above the geoid", "m", 1),
        Printed("depth", "d, depth of water under it", "m", 0),
    ),
    asked=(
        Asked("free", "Free-air", "gravity", "mGal", 1, 0.2, positive="above normal"),
        Asked("bouguer", "Bouguer", "gravity", "mGal", 1, 0.2, positive="above normal"),
    ),
    solve=_anomalies,
    carry=lambda g, own: {"bouguer": own["free"] + _layer(g)},
    slips=(
        Slip(
            "free-air-sign",
            "The free-air reduction taken off",
            lambda g: _anomalies(g, -1),
            "The reading was brought *up* by H. The geoid lies below the meter, and further down "
            "gravity is stronger: add 0.3086 mGal for each metre.",
        ),
        Slip(
            "not-reduced",
            "Not brought down to the geoid",
            lambda g: _anomalies(g, 0),
            "g at height H was held against γ at height zero. Bring g down first: 0.3086 mGal for "
            "each metre.",
        ),
        Slip(
            "layer-sign",
            "The layer with the other case's sign",
            lambda g: _with_layer(g, _layer(g, turned=True)),
            "{value} has the layer with the wrong sign. Ashore there is rock too much above the "
            "geoid: taken off. At sea there is water where rock should be: put in.",
        ),
        Slip(
            "other-density",
            "The density of the other case",
            lambda g: _with_layer(g, _layer(g, other=True)),
            "{value} has the wrong density in the layer. Ashore it is rock against air, "
            "2\u202f670 kg/m³; at sea rock against water, 2\u202f670 − 1\u202f030.",
        ),
    ),
    nudges=(
        "Where is gravity stronger, at the meter or down on the geoid?",
        "For the Bouguer anomaly ask: is there mass too much above the geoid, or too little below?",
    ),
    steps=_steps_anomaly,
    source=f"Free-air and Bouguer reduction. {PHYSICAL}, chapter 3 (from memory); {TELFORD}.",
)


# geoid-eotvos --------------------------------------------------------------------------
# With u = 7.50 mGal × knots (82 or more) the routes are u times: cosφ sinα for the answer,
# cosφ cosα, sinα, sinα sinφ, twice and minus it. Courses keep 35° to 43° from east and west
# and latitudes 15° to 30°: so sinα ≥ 0.731 > cosα + 0.049, cosφ ≤ 0.966, and tanφ, 0.58 at
# most, stays below |cotα|, 0.70 at least. v²/R is 0.50 mGal or more from 11 knots on.

KNOT = 1852 / 3600  # m/s


def _draw_eotvos(dice: Dice) -> Answer:
    off = dice.choose((1, -1)) * dice.number(35, 43, 1)
    course = printed((dice.choose((90, 270)) + off) % 360, 1)
    lat, speed = _seconds(dice, 15, 30), dice.number(11, 15, 1)
    read = printed(_gamma(lat) + dice.signed(5, 40, 1), 1)
    return {"g": read, "lat": lat, "speed": speed, "course": course}


@lru_cache(maxsize=64)
def _correction(lat: float, speed: float, course: float) -> float:
    return eotvos(lat, speed, course, GRS80_FIELD, EARTH_RADIUS) * MGAL


def _eotvos(g: Given) -> float:
    return _correction(g["lat"], g["speed"] * KNOT, g["course"])


def _square(g: Given) -> float:
    return (g["speed"] * KNOT) ** 2 / EARTH_RADIUS * MGAL


def _spin_part(g: Given, across: float, along: float) -> float:
    """Return 2ωv times the two factors, in mGal."""
    return 2 * GRS80_FIELD.angular_velocity * g["speed"] * KNOT * across * along * MGAL


def _corrected(g: Given, correction: float) -> Answer:
    return {"correction": correction, "g": g["g"] + correction}


def _steps_eotvos(g: Given) -> list[str]:
    right, square = _eotvos(g), _square(g)
    east = cos(g["lat"]) * sin(g["course"])
    return [
        f"v = {g['speed']:.1f} kn × 1\u202f852/3\u202f600 = {g['speed'] * KNOT:.4f} m/s.",
        f"2ωv cosφ sinα = 2 × 7.292115 × 10⁻⁵ × {g['speed'] * KNOT:.4f} × {east:+.5f} = "
        f"{right - square:+.2f} mGal. {'East' if east > 0 else 'West'}going: the vessel turns "
        f"{'faster' if east > 0 else 'more slowly'} than the Earth and weighs "
        f"{'less' if east > 0 else 'more'}.",
        f"v²/R = {square:+.2f} mGal, on any course.",
        f"Correction = **{right:+.1f} mGal**; corrected g = {number(g['g'], 1)} {right:+.1f} = "
        f"**{_mgal(g['g'] + right)}**.",
    ]


EOTVOS = Exercise(
    key="geoid-eotvos",
    topic="geoid",
    title="Gravity under way",
    edition=1,
    elements=(REDUCED,),
    aids="calculator",
    prompt="A gravimeter on a vessel under way reads g; speed and course are over the ground, the "
    "course from true north. What is the Eötvös correction 2ωv cosφ sinα + v²/R, **to be added to "
    "the reading**, with ω = 7.292115 × 10⁻⁵ rad/s, R = 6\u202f371.0 km, 1 kn = 1\u202f852 m an "
    "hour? And what is g as the meter would read it standing still? Give both in mGal to 0.1 mGal; "
    "right within ±0.1 mGal.",
    draw=_draw_eotvos,
    printed=(
        Printed("g", "g, read under way", "mGal", 1),
        LATITUDE,
        Printed("speed", "speed over the ground", "kn", 1),
        Printed("course", "α, course over the ground, true", "°", 1),
    ),
    asked=(
        Asked("correction", "Correction", "gravity", "mGal", 1, 0.1, positive="added"),
        Asked("g", "g, corrected", "gravity", "mGal", 1, 0.1),
    ),
    solve=lambda g: _corrected(g, _eotvos(g)),
    carry=lambda g, own: {"g": g["g"] + own["correction"]},
    slips=(
        Slip(
            "left-out",
            "The reading left as it is",
            lambda g: {"g": g["g"]},
            "{value} is still the reading. The vessel's own way round the Earth is in it: add the "
            "correction.",
        ),
        Slip(
            "subtracted",
            "The correction taken off",
            lambda g: {"g": g["g"] - _eotvos(g)},
            "{value} has the correction taken off. Eastgoing the vessel weighs too little, and the "
            "positive correction gives it back: add.",
        ),
        Slip(
            "westward",
            "East and west turned about",
            lambda g: _corrected(g, 2 * _square(g) - _eotvos(g)),
            "East and west are turned about. Going east you add to the Earth's spin and weigh "
            "less, so the correction is positive.",
        ),
        Slip(
            "sine-cosine",
            "cos α for sin α",
            lambda g: _corrected(g, _spin_part(g, cos(g["lat"]), cos(g["course"])) + _square(g)),
            "cos α stands where sin α belongs. A vessel going due north (α = 0°) adds nothing to "
            "the Earth's spin: sin 0° = 0.",
        ),
        Slip(
            "no-latitude",
            "cos φ left out",
            lambda g: _corrected(g, _spin_part(g, 1.0, sin(g["course"])) + _square(g)),
            "cos φ is missing. Away from the equator the spin's lift is smaller, and points partly "
            "sideways.",
        ),
        Slip(
            "sine-latitude",
            "sin φ for cos φ",
            lambda g: _corrected(
                g, _spin_part(g, sin(abs(g["lat"])), sin(g["course"])) + _square(g)
            ),
            "sin φ stands where cos φ belongs. The effect is largest at the equator: cos 0° = 1.",
        ),
        Slip(
            "no-square",
            "v²/R left out",
            lambda g: _corrected(g, _eotvos(g) - _square(g)),
            "v²/R is missing. At this speed it is half a mGal and more, on any course.",
        ),
        Slip(
            "knots",
            "Knots taken as m/s",
            lambda g: _corrected(g, _correction(g["lat"], g["speed"], g["course"])),
            "Knots went in as metres a second. 1 kn = 1\u202f852/3\u202f600 m/s, about a half.",
        ),
    ),
    nudges=(
        "Speed first, in metres a second. Then ask which part of it goes east.",
        "Who goes east turns faster than the Earth. Does such a vessel weigh more, or less?",
    ),
    steps=_steps_eotvos,
    source=f"Eötvös correction. {TELFORD}; GR-09 in tests.",
)


# geoid-interpolate ---------------------------------------------------------------------
# Counted from its nearest corner the point lies 0.16 to 0.36 of a cell inwards both ways, the
# two fractions 0.1 apart. From there N runs by 1.0 to 1.6 m across one way and 2.4 to 3.0 m
# the other, both up or both down, and is bent by 0.1 to 0.3 m. Then the nearest node is off by
# 0.4 m or more, the mean by 0.5 m, the far corner's weights by twice that, and the fractions
# exchanged by 0.08 m. |N| is 20 m or more, so that feet and the sign stay beyond all of these.

CELL = 250  # thousandths of a degree
CORNERS = ("sw", "se", "nw", "ne")


def _draw_interpolate(dice: Dice) -> Answer:
    south, west = (250 * dice.whole(low, high) for low, high in ((-220, 220), (-679, 679)))
    while True:
        right, up = dice.whole(40, 90), dice.whole(40, 90)
        if abs(right - up) >= 25:
            break
    small, large = dice.number(1.0, 1.6, 2), dice.number(2.4, 3.0, 2)
    rise = dice.choose((1, -1))
    across, along = (rise * s for s in dice.choose(((small, large), (large, small))))
    bend, corner = dice.signed(0.1, 0.3, 2), dice.signed(20, 60, 2)
    flip_east, flip_north = dice.choose((False, True)), dice.choose((False, True))
    nodes = {}
    for name in CORNERS:  # counted from the corner nearest to the point
        x, y = ("e" in name) != flip_east, ("n" in name) != flip_north
        nodes[name] = printed(corner + x * across + y * along + x * y * bend, 2)
    return {
        "lat": printed((south + (CELL - up if flip_north else up)) / 1000, 3),
        "lon": printed((west + (CELL - right if flip_east else right)) / 1000, 3),
        "north": printed((south + CELL) / 1000, 3),
        "south": printed(south / 1000, 3),
        "west": printed(west / 1000, 3),
        "east": printed((west + CELL) / 1000, 3),
        **nodes,
    }


@lru_cache(maxsize=32)
def _bilinear(south, north, west, east, nodes, lat, lon) -> float:
    sw, se, nw, ne = nodes
    return PrintedGrid([south, north], [west, east], [[sw, se], [nw, ne]]).height(lat, lon)


def _interpolated(g: Given) -> float:
    nodes = tuple(g[name] for name in CORNERS)
    return _bilinear(*(g[k] for k in ("south", "north", "west", "east")), nodes, g["lat"], g["lon"])


def _fractions(g: Given) -> tuple[float, float]:
    """Return how far across the cell the point lies, towards east and towards north."""
    return (
        (g["lon"] - g["west"]) / (g["east"] - g["west"]),
        (g["lat"] - g["south"]) / (g["north"] - g["south"]),
    )


def _weighted(g: Given, right: float, up: float) -> Answer:
    south = g["sw"] * (1 - right) + g["se"] * right
    north = g["nw"] * (1 - right) + g["ne"] * right
    return {"N": south * (1 - up) + north * up}


def _steps_interpolate(g: Given) -> list[str]:
    right, up = _fractions(g)
    west, east = (_weighted(g, side, up)["N"] for side in (0, 1))
    return [
        f"Towards east the point lies {right:.3f} of the way across the cell, towards north "
        f"{up:.3f}.",
        f"On the west side at this latitude: {g['sw']:+.2f} {up:+.3f} × ({g['nw'] - g['sw']:+.2f}) "
        f"= {west:+.3f} m; on the east side {east:+.3f} m.",
        f"Between them: {west:+.3f} {right:+.3f} × ({east - west:+.3f}) = "
        f"**{_interpolated(g):+.2f} m**: the geoid lies "
        f"{'above' if _interpolated(g) > 0 else 'below'} the ellipsoid here.",
    ]


INTERPOLATE = Exercise(
    key="geoid-interpolate",
    topic="geoid",
    title="N between four nodes",
    edition=1,
    elements=(MODELS, "S-5A H5.4b"),
    aids="calculator",
    prompt="A printed grid of geoid heights N, geoid above the ellipsoid positive, has nodes every "
    "0.25°. Your point lies between the four printed here; latitudes are positive north and "
    "longitudes positive east. What is N at the point by **bilinear** interpolation? Give it to "
    "0.01 m; right within ±0.01 m.",
    draw=_draw_interpolate,
    printed=(
        Printed("lat", "φ of the point, north +", "°", 3, signed=True),
        Printed("lon", "λ of the point, east +", "°", 3, signed=True),
        Printed("north", "φ of the northern nodes", "°", 3, signed=True),
        Printed("south", "φ of the southern nodes", "°", 3, signed=True),
        Printed("west", "λ of the western nodes", "°", 3, signed=True),
        Printed("east", "λ of the eastern nodes", "°", 3, signed=True),
        Printed("nw", "N, north-west node", "m", 2, signed=True),
        Printed("ne", "N, north-east node", "m", 2, signed=True),
        Printed("sw", "N, south-west node", "m", 2, signed=True),
        Printed("se", "N, south-east node", "m", 2, signed=True),
    ),
    asked=(Asked("N", "N", "length", "m", 2, 0.01, positive="up"),),
    solve=lambda g: {"N": _interpolated(g)},
    slips=(
        Slip(
            "nearest",
            "The nearest node",
            lambda g: _weighted(g, *(round(f) for f in _fractions(g))),
            "{value} is N at the nearest node. Here the geoid changes by half a metre and more over that way: "
            "interpolate.",
        ),
        Slip(
            "mean",
            "The mean of the four",
            lambda g: _weighted(g, 0.5, 0.5),
            "{value} is the mean of the four nodes, N at the middle of the cell. Your point is not "
            "in the middle.",
        ),
        Slip(
            "far-corner",
            "The weights of the opposite corner",
            lambda g: _weighted(g, *(1 - f for f in _fractions(g))),
            "{value} gives the far node the weight of the near one. The nearer a node, the more it "
            "counts.",
        ),
        Slip(
            "exchanged",
            "The two fractions exchanged",
            lambda g: _weighted(g, *_fractions(g)[::-1]),
            "{value} has the fraction in latitude used in longitude and the other way round. "
            "Latitude runs up the columns, longitude along the rows.",
        ),
    ),
    nudges=(
        "What part of the cell's width lies west of your point, and what part of its height south?",
        "First along the two sides of the cell, then between the two results.",
    ),
    steps=_steps_interpolate,
    source="Bilinear interpolation; that geoid grids are read so or by a smoother surface is common "
    "practice, no source.",
)


# geoid-model-change --------------------------------------------------------------------
# The change is 0.15 m or more and its half, zero and turned stand off by half of it or more.
# H is 3 to 8 m and |N| 25 to 60 m, so that N taken off or added lies beyond H in feet.


def _draw_change(dice: Dice) -> Answer:
    old = dice.signed(25, 60, 3)
    return {
        "H": dice.number(3, 8, 3),
        "old": old,
        "new": printed(old + dice.signed(0.15, 0.9, 3), 3),
    }


def _change(g: Given, times: float = -1.0) -> Answer:
    step = times * (g["new"] - g["old"])
    return {"change": step, "H": g["H"] + step}


def _steps_change(g: Given) -> list[str]:
    answer = _change(g)
    return [
        "The pillar has not moved: its ellipsoidal height h = H + N stays.",
        f"h = {g['H']:.3f} {g['old']:+.3f} = {g['H'] + g['old']:+.3f} m.",
        f"With the new model H = h − N = {g['H'] + g['old']:+.3f} {-g['new']:+.3f} = "
        f"**{answer['H']:.3f} m**.",
        f"New minus old: −({g['new']:+.3f} {-g['old']:+.3f}) = **{answer['change']:+.3f} m**. The "
        f"geoid went {'up' if g['new'] > g['old'] else 'down'}, so heights above it went "
        f"{'down' if g['new'] > g['old'] else 'up'}.",
    ]


MODEL_CHANGE = Exercise(
    key="geoid-model-change",
    topic="geoid",
    title="A new geoid model",
    edition=1,
    elements=(MODELS, "S-5A H5.4b"),
    aids="calculator",
    prompt="A pillar on the quay of Port Hessel was fixed by GNSS, and its height H above the geoid "
    "came from an old geoid model. A new model gives another geoid height N there. Both are above "
    "the same ellipsoid in the same frame and tide system, and h is kept. By how much does H change, "
    "**new minus old**, and what is the new H? Give both to 0.001 m; right within ±0.002 m.",
    draw=_draw_change,
    printed=(
        Printed("H", "H with the old model", "m", 3),
        Printed("old", "N, old model, geoid above ellipsoid +", "m", 3, signed=True),
        Printed("new", "N, new model", "m", 3, signed=True),
    ),
    asked=(
        Asked("change", "New H − old H", "length", "m", 3, 0.002, positive="up"),
        Asked("H", "New H", "length", "m", 3, 0.002),
    ),
    solve=_change,
    carry=lambda g, own: {"H": g["H"] + own["change"]},
    slips=(
        Slip(
            "turned",
            "The step of N itself",
            lambda g: _change(g, 1.0),
            "This moves H with the geoid. The pillar stays where it is: when the geoid under it "
            "rises, its height above the geoid falls.",
            also=("sign",),
        ),
        Slip(
            "none",
            "Nothing changed",
            lambda g: _change(g, 0.0),
            "The pillar has not moved, but the surface that its height counts from has. H is "
            "h − N, and N is new.",
        ),
        Slip(
            "half",
            "Half of the step",
            lambda g: _change(g, -0.5),
            "This is half the step, as if the two models were averaged. The new one replaces the "
            "old: all of it.",
        ),
        Slip(
            "twice",
            "N taken off a height that had it off",
            lambda g: {"H": g["H"] - g["new"]},
            "{value} is the old H less the new N. N has been taken off H already, the old one. Go "
            "back to h first.",
        ),
        Slip(
            "ellipsoidal",
            "The ellipsoidal height",
            lambda g: {"H": g["H"] + g["old"]},
            "{value} is the ellipsoidal height h = H + N. That is half of the way: now take the "
            "new N off.",
        ),
    ),
    nudges=(
        "What has changed: the pillar, the ellipsoid or the geoid?",
        "h = H + N before and after. Which of the three stays?",
    ),
    steps=_steps_change,
    source=f"h = H + N. {PHYSICAL}, section 2-20 (from memory); HS-02 in tests.",
)


# geoid-systems -------------------------------------------------------------------------
# At 1 500 m the mean below the surface is worth 0.10 m in H and 0.35 m in Hₙ. Below 38° of
# latitude gravity up there is 870 mGal or more under γ45, and gravity's mean inside the rock
# (Bouguer anomaly −108 mGal or less) is so far under that of free air that H and Hₙ part by
# 0.16 m or more.


def _draw_systems(dice: Dice) -> Answer:
    lat = _seconds(dice, 10, 38)
    height = dice.number(1500, 3000, 2)
    gamma = printed(_gamma(lat), 2)
    g = printed(gamma - FREE_AIR * height + dice.number(-20, 60, 2), 2)
    potential = printed((g + HELMERT * height) / MGAL * height, 2)
    return {"C": potential, "g": g, "gamma": gamma}


def _from_mean(potential: float, surface: float, slope: float) -> float:
    """Return the height H for which C = (surface + slope·H)·H, gravity and slope in mGal."""
    half = surface / 2
    return (math.sqrt(half**2 + slope * potential * MGAL) - half) / slope


def _systems(g: Given) -> Answer:
    return {
        "dynamic": g["C"] * MGAL / GAMMA_45,
        "orthometric": _from_mean(g["C"], g["g"], HELMERT),
        "normal": _from_mean(g["C"], g["gamma"], -HALF_FREE_AIR),
    }


def _by(g: Given, gravity: float) -> float:
    return g["C"] * MGAL / gravity


def _steps_systems(g: Given) -> list[str]:
    answer = _systems(g)
    inside = g["g"] + HELMERT * answer["orthometric"]
    outside = g["gamma"] - HALF_FREE_AIR * answer["normal"]
    return [
        f"Dynamic: C/γ₄₅ = {number(g['C'], 2)} / {GAMMA_45 / MGAL:.7f} = "
        f"**{number(answer['dynamic'], 2)} m**.",
        f"Orthometric: mean gravity between geoid and station ḡ = g + {HELMERT} H = "
        f"{_mgal(inside)}. Start with H = C/g and go round twice: "
        f"**{number(answer['orthometric'], 2)} m**.",
        f"Normal: mean normal gravity γ̄ = γ₀ − {HALF_FREE_AIR} Hₙ = {_mgal(outside)}: "
        f"**{number(answer['normal'], 2)} m**.",
        "One point, one geopotential number, three heights: H − Hₙ = "
        f"{answer['orthometric'] - answer['normal']:+.2f} m, H(dynamic) − H = "
        f"{answer['dynamic'] - answer['orthometric']:+.2f} m. At sea level all three are zero.",
    ]


SYSTEMS = Exercise(
    key="geoid-systems",
    topic="geoid",
    title="Three heights of one mountain station",
    edition=1,
    elements=(SYSTEMS_OF_HEIGHT,),
    aids="calculator",
    prompt="Levelling and gravity gave the geopotential number C of a radio station ashore, in the "
    "mountains behind the port. Gravity g was measured at the station; γ₀ is GRS 80 normal gravity on "
    "the ellipsoid there. Find three heights: the **dynamic** one, C/γ₄₅ with γ₄₅ = "
    f"{number(GAMMA_45, 2)} mGal; the **orthometric** one H (Helmert), C/ḡ with ḡ = g + {HELMERT} "
    f"mGal/m × H; and the **normal** one Hₙ, C/γ̄ with γ̄ = γ₀ − {HALF_FREE_AIR} mGal/m × Hₙ. "
    "One mGal is 0.00001 m/s². Give each to 0.01 m; right within ±0.01 m.",
    draw=_draw_systems,
    printed=(
        Printed("C", "C, geopotential number", "m²/s²", 2),
        Printed("g", "g at the station", "mGal", 2),
        Printed("gamma", "γ₀ on the ellipsoid", "mGal", 2),
    ),
    asked=(
        Asked("dynamic", "Dynamic", "length", "m", 2, 0.01),
        Asked("orthometric", "Orthometric", "length", "m", 2, 0.01),
        Asked("normal", "Normal", "length", "m", 2, 0.01),
    ),
    solve=_systems,
    slips=(
        Slip(
            "surface",
            "Surface gravity for the mean",
            lambda g: {"orthometric": _by(g, g["g"])},
            "{value} is C divided by g at the station. What counts is the mean along the plumb "
            "line from the geoid up, and it is larger.",
        ),
        Slip(
            "mean-below",
            "The mean with the wrong sign",
            lambda g: {"orthometric": _from_mean(g["C"], g["g"], -HELMERT)},
            "{value} has the mean smaller than g at the top. Down inside the rock gravity grows, "
            "by 0.0848 mGal a metre: the mean is larger by half of that.",
        ),
        Slip(
            "free-air-mean",
            "The mean as if there were no rock",
            lambda g: {"orthometric": _from_mean(g["C"], g["g"], HALF_FREE_AIR)},
            "{value} takes gravity to grow downwards as in free air. Inside rock the rock above "
            "pulls upwards: 0.0424 and not 0.1543 mGal for each metre of height.",
        ),
        Slip(
            "on-ellipsoid",
            "γ₀ for the mean",
            lambda g: {"normal": _by(g, g["gamma"])},
            "{value} is C divided by γ on the ellipsoid. The mean between ellipsoid and Hₙ is "
            "smaller, by 0.1543 mGal for each metre.",
        ),
        Slip(
            "one-gravity",
            "γ₄₅ for all three",
            lambda g: {"orthometric": _by(g, GAMMA_45), "normal": _by(g, GAMMA_45)},
            "This is the dynamic height again. The other two take gravity of the place: ḡ and "
            "γ̄, not γ₄₅.",
        ),
        Slip(
            "local-dynamic",
            "g of the place for γ₄₅",
            lambda g: {"dynamic": _by(g, g["g"])},
            "{value} is C divided by g here. A dynamic height uses one and the same gravity for "
            "all stations, so that water does not flow between equal heights.",
        ),
        Slip(
            "exchanged",
            "Orthometric and normal exchanged",
            lambda g: {"orthometric": _systems(g)["normal"], "normal": _systems(g)["orthometric"]},
            "The two have changed places. The orthometric height goes with measured gravity inside "
            "the Earth, the normal height with normal gravity.",
            also=("swapped",),
        ),
        Slip(
            "gpu",
            "Geopotential units mistaken",
            lambda g: {name: 10 * value for name, value in _systems(g).items()},
            "This is ten times too much. C is printed in m²/s²; a geopotential unit (g.p.u.) is "
            "10 m²/s².",
        ),
    ),
    nudges=(
        "All three are C divided by a gravity. Which gravity, in each?",
        "Start with H = C/g, put it into the mean, divide again: two rounds are enough.",
    ),
    steps=_steps_systems,
    source=f"Dynamic, Helmert orthometric and normal heights. {PHYSICAL}, chapter 4 (from memory).",
)


# geoid-loop ----------------------------------------------------------------------------
# Between 30° and 60° gravity changes by 78 to 90 mGal a degree, so W is 200 mm or more over
# 2 500 m and a degree. Evenly spread it would be 64 % to 74 % of that, clear of the half. The
# height on one side only adds n² × 0.1543/γ, 0.98 m or more and at least 2.8 W: never near
# zero, W, or W turned.


def _draw_loop(dice: Dice) -> Answer:
    first = dice.whole(31 * 60, 59 * 60)
    second = first + dice.choose((1, -1)) * dice.whole(60, 90)
    sign = dice.choose((1, -1))
    return {
        "lat1": sign * printed(first / 60, 10),
        "lat2": sign * printed(second / 60, 10),
        "rise": float(dice.number(2500, 3500, 0, step=10)),
    }


def _loop(g: Given, gamma2: float | None = None) -> float:
    """Return the misclosure in millimetres; a slip brings its own gravity on the second slope."""
    first, second = (_gamma(g[name], g["rise"] / 2) for name in ("lat1", "lat2"))
    return 1000 * g["rise"] * (1 - first / (gamma2 or second))


def _evenly(g: Given) -> float:
    poleward = abs(g["lat2"]) - abs(g["lat1"])
    return 1000 * g["rise"] * (_gamma(90.0) - _gamma(0.0)) / 90 * poleward / _gamma(45.0)


def _steps_loop(g: Given) -> list[str]:
    first, second = (_gamma(g[name], g["rise"] / 2) for name in ("lat1", "lat2"))
    fall = g["rise"] * first / second
    return [
        f"Normal gravity half way up: {_mgal(first)} on slope 1 and {_mgal(second)} on slope 2.",
        f"Up slope 1 you gain the potential γ₁·n. Down slope 2 the same potential is lost over "
        f"n·γ₁/γ₂ = {number(fall, 3)} m.",
        f"W = {number(g['rise'], 3)} − {number(fall, 3)} = **{_loop(g):+.0f} mm**.",
        "Nobody made a mistake. Level surfaces lie closer together where gravity is stronger, "
        "nearer the pole; levelling measures their distance.",
    ]


LOOP = Exercise(
    key="geoid-loop",
    topic="geoid",
    title="A loop that cannot close",
    edition=1,
    elements=(SYSTEMS_OF_HEIGHT,),
    aids="calculator",
    prompt="A levelled loop, free of error, climbs a slope at latitude φ₁ by n metres as levelled, "
    "follows a level surface at the top to latitude φ₂, comes down to the level surface of the "
    "start, and follows that back to it. On each slope take gravity as GRS 80 normal gravity at its "
    "latitude, at the ellipsoidal height n/2 (0.3086 mGal a metre less than on the ellipsoid). What "
    "is the sum of **all levelled differences round the loop, in this direction, up positive**? "
    "Give it in millimetres to 1 mm; right within ±2 mm.",
    draw=_draw_loop,
    printed=(
        Printed("lat1", "φ₁, where it climbs", DMS, 0, kind="latitude"),
        Printed("lat2", "φ₂, where it comes down", DMS, 0, kind="latitude"),
        Printed("rise", "n, climbed as levelled", "m", 0),
    ),
    asked=(Asked("misclosure", "Sum round the loop", "length", "mm", 0, 2.0, positive="up"),),
    solve=lambda g: {"misclosure": _loop(g)},
    slips=(
        Slip(
            "zero",
            "It closes, or metres for millimetres",
            lambda g: {"misclosure": 0.0},
            "{value} is next to nothing. Level surfaces are not parallel, they close in towards the "
            "poles, so a loop over two latitudes does not sum to zero even without any error; and if "
            "you worked in metres, the answer is asked in millimetres.",
            also=("thousand",),
        ),
        Slip(
            "turned",
            "The loop run the other way",
            lambda g: {"misclosure": -_loop(g)},
            "The size is right and the sign is turned: where gravity is stronger the level surfaces "
            "lie closer together, and the same climb counts fewer metres.",
            also=("sign",),
        ),
        Slip(
            "half",
            "Half the rise",
            lambda g: {"misclosure": _loop(g) / 2},
            "{value} is half of it. Gravity is taken half way up, but the whole rise n is levelled.",
        ),
        Slip(
            "one-side",
            "The height on one side only",
            lambda g: {"misclosure": _loop(g, _gamma(g["lat2"]))},
            "{value} has gravity at n/2 on the first slope and on the ellipsoid on the second. "
            "Compare like with like: both half way up.",
        ),
        Slip(
            "evenly",
            "Gravity spread evenly over the degrees",
            lambda g: {"misclosure": _evenly(g)},
            "{value} takes 57.6 mGal for each degree, the change from equator to pole over 90. It "
            "goes with sin²φ: fastest at 45°, and hardly at all near equator and poles.",
        ),
    ),
    nudges=(
        "Going up gains as much potential as coming down loses. Where do the same units of "
        "potential take more metres?",
        "γ₁·n = γ₂·n₂. The loop's sum is n − n₂.",
    ),
    steps=_steps_loop,
    source=f"∮ dn = −∮ (g − γ)/γ dn. {PHYSICAL}, section 4-1 (from memory).",
)


# Choices -------------------------------------------------------------------------------

WHICH = choice(
    "geoid-which",
    "What the geoid is",
    "A sheet says: *“Heights are above the geoid.”* Which surface is that?",
    ("equipotential", "A surface of equal gravity potential, chosen near mean sea level"),
    {
        "sea": (
            "Mean sea level itself",
            "Mean sea level is near it and not in it. Currents, warmth and salt hold the mean sea "
            "up to one or two metres off a level surface.",
        ),
        "national": (
            "The zero of the national height datum",
            "National zeros were set by one tide gauge or several, each its own way. They stand "
            "decimetres, some more than a metre, off one another and off any world geoid.",
        ),
        "equal-gravity": (
            "The surface on which gravity is equally strong",
            "On the geoid the *potential* is the same everywhere; gravity is not. From equator to "
            "pole it grows by half a per cent on one and the same level surface.",
        ),
        "ellipsoid": (
            "The ellipsoid that fits the Earth best",
            "That is a smooth figure of two numbers. The geoid departs from it by up to 107 m one "
            "way and 85 m the other (EGM96).",
        ),
    },
    elements=(GRAVITY, MODELS),
    because="The geoid is an equipotential surface near mean sea level, and *which one* is a "
    "convention: two conventional potentials in use lie 0.27 m apart. So a height names its model, "
    "and its permanent-tide system too.",
    source="IAG resolution 1, 2015, and IERS Conventions 2010 (GE-07 in tests); "
    f"{PHYSICAL}, section 2-2 (from memory).",
    nudges=("Which of them would still water follow, if nothing but gravity acted on it?",),
)

FIRST_CALM = choice(
    "geoid-first-calm",
    "Say first: was that downhill?",
    "In a flat calm, tide taken out, the *Maren Quill* sails south over a deep trench, from 22° N to "
    "19.5° N at 66° W. The height of her waterline **above the ellipsoid** falls by 19 m on the "
    "way. What happened?",
    ("level", "She stayed on one level surface: the geoid dips there"),
    {
        "downhill": (
            "She sailed downhill, and saved some fuel",
            "Nothing pulled her along. Gravity stands at right angles to the sea surface all the "
            "way; no spirit level would have seen a slope.",
        ),
        "gnss": (
            "The GNSS height is wrong: the sea cannot slope",
            "The GNSS height is right. Against the *ellipsoid* the sea slopes by metres in many "
            "places; against gravity it does not.",
        ),
        "weather": (
            "Wind, currents and air pressure",
            "Those hold the mean sea off the geoid by one or two metres at most. Nineteen are the "
            "geoid itself.",
        ),
    },
    elements=(GRAVITY,),
    because="Water at rest follows gravity. Over the trench mass is missing, the level surface dips, "
    "and the ellipsoid knows nothing of it: N goes from −51.5 m to −70.4 m (EGM96).",
    source="EGM96, NASA/TP-1998-206861, heights from the grid shipped with the course.",
    marks=0,
)

EXERCISES = (
    FIRST_CALM,
    NORMAL,
    HEIGHT_TERM,
    ANOMALY,
    EOTVOS,
    INTERPOLATE,
    MODEL_CHANGE,
    SYSTEMS,
    LOOP,
    WHICH,
)
