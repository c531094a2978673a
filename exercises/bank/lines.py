"""Exercises of lesson 05, lines on the ellipsoid."""

import math
from collections.abc import Callable

from exercises.bank.common import EARTH_RADIUS, cos, draw_angle, sin, to_print
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Given, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import Numbers, Solve, also, misread, then, times, turned, using
from geokit.angles import RHO
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import WGS84
from geokit.lines import (
    direct,
    great_circle,
    highest_latitude,
    inverse,
    normal_section,
    rhumb,
)

MILE = 1852.0  # metres in a nautical mile
SPHERE = Ellipsoid("Sphere", EARTH_RADIUS, inverse_flattening=0, source="named in the prompts")
GEODESIC = ("S-5A F1.2c", "S-5B E4.1d")
SAILING = ("S-5A F1.6a",)


def _ends(g: Given) -> tuple[float, ...]:
    return g["lat1"], g["lon1"], g["lat2"], g["lon2"]


def _geodesic(g: Given) -> tuple[float, float, float]:
    """Return length, azimuth at 1 and azimuth at 2 back to 1, on WGS 84."""
    return inverse(*_ends(g), WGS84)


def _rhumb(g: Given) -> tuple[float, float]:
    return rhumb(*_ends(g), WGS84)


def _great_circle(g: Given, radius: float = EARTH_RADIUS) -> tuple[float, float, float]:
    return great_circle(*_ends(g), radius)


def _mean_latitude(g: Numbers) -> float:
    return (g.lat1 + g.lat2) / 2


def _azimuth(dice: Dice, low: int, high: int, decimals: int = 1) -> float:
    """Draw an azimuth that far from the meridian, in any of the four quadrants."""
    off = dice.number(low, high, decimals)
    return printed(dice.choose((off, 180 - off, 180 + off, 360 - off)), decimals)


def _line(lat: float, azimuth: float, distance: float, lon: float, decimals: int) -> Answer:
    """Return both ends of a geodesic, the second one as it is printed."""
    lat2, lon2, _ = direct(lat, lon, azimuth, distance, WGS84)
    ends = {"lat2": to_print(lat2, decimals), "lon2": to_print(lon2, decimals)}
    return {"lat1": lat, "lon1": lon, **ends}


def _position(end: int, decimals: int) -> tuple[Printed, Printed]:
    return (
        Printed(f"lat{end}", f"φ of {end}", DMS, decimals, kind="latitude"),
        Printed(f"lon{end}", f"λ of {end}", DMS, decimals, kind="longitude"),
    )


# Say first -----------------------------------------------------------------------------

FIRST_SHORTEST = choice("lines-first-shortest", elements=(*GEODESIC, *SAILING), marks=0)
FIRST_SECTION = choice("lines-first-section", elements=GEODESIC, marks=0)


# lines-inverse -------------------------------------------------------------------------
# 25° to 65° off the meridian between 31° and 63° of latitude, the sphere is 0.04° off in azimuth
# (20 tolerances) even where its length is right. The rhumb line is 0.37° off or more. With φ near
# 45° and λ below 25°, latitude and longitude swapped change the length by a twentieth or more.


def _draw_inverse(dice: Dice) -> Answer:
    lat, lon = draw_angle(dice, 38, 56, 2), draw_angle(dice, 3, 18, 2)
    return _line(lat, _azimuth(dice, 25, 65), float(dice.whole(300_000, 800_000)), lon, 2)


def _length_and_azimuth(g: Numbers, line: Solve = _geodesic) -> tuple[float, ...]:
    return line(g)[:2]


def _two_terms(g: Numbers, one: float, two: float, sines: int) -> float:
    """
    Return the length by the formula of the first order in f, from latitudes on a sphere.

    Andoyer's takes the geodetic latitudes and three sines of the arc, Lambert's the parametric
    latitudes and one.
    """
    arc = great_circle(one, g.lon1, two, g.lon2, 1.0)[0]
    mean, half = (one + two) / 2, (two - one) / 2
    along = (sin(mean) * cos(half) / math.cos(arc / 2)) ** 2
    across = (cos(mean) * sin(half) / math.sin(arc / 2)) ** 2
    sine = sines * math.sin(arc)
    flat = WGS84.flattening / 2 * ((sine - arc) * along - (sine + arc) * across)
    return WGS84.semi_major * (arc + flat)


def _lambert(g: Numbers) -> Answer:
    one, two = (WGS84.parametric_latitude(lat) for lat in (g.lat1, g.lat2))
    return {"distance": _two_terms(g, one, two, sines=1)}


def _andoyer(g: Numbers) -> Answer:
    return {"distance": _two_terms(g, g.lat1, g.lat2, sines=3)}


def _work_inverse(g: Numbers) -> Answer:
    _, azimuth, back = _geodesic(g)
    sphere, sphere_azimuth, _ = _great_circle(g)
    turned_round = (azimuth + 180) % 360
    return {"back": back, "round": turned_round, "sphere": sphere, "on_sphere": sphere_azimuth}


INVERSE = exercise(
    "lines-inverse",
    elements=GEODESIC,
    aids="course tools",
    draw=_draw_inverse,
    printed=(*_position(1, 2), *_position(2, 2)),
    asked=(
        Asked("distance", "Length", "length", "m", 1, 0.5),
        Asked("azimuth", "Azimuth at 1", "azimuth", "°", 3, 0.002),
    ),
    solve=_length_and_azimuth,
    slips={
        "sphere": using(line=_great_circle),
        "swapped-angles": lambda g: inverse(g.lon1, g.lat1, g.lon2, g.lat2, WGS84)[:2],
        "rhumb": using(line=_rhumb),
        "far-end": lambda g: {"azimuth": _geodesic(g)[2]},
        "onward": lambda g: {"azimuth": (_geodesic(g)[2] + 180) % 360},
    },
    methods={"lambert": _lambert, "andoyer": _andoyer},  # too near one another for two names
    work=_work_inverse,
)


# lines-direct --------------------------------------------------------------------------
# 35° to 60° off the meridian, 300 km to 500 km: a plane misses by 700 m or more in latitude,
# because the line turns; the azimuth of the far end swings the line by 4.6 km or more; the sphere
# misses the longitude by 250 m or more, since ν exceeds 6 371 km everywhere. And the misses differ
# from one another by as much. The tolerance is 0.02″, 0.6 m.


def _draw_direct(dice: Dice) -> Answer:
    lat, lon = draw_angle(dice, 33, 57, 2), draw_angle(dice, 10, 160, 2)
    azimuth, distance = _azimuth(dice, 35, 60, 4), float(dice.whole(300_000, 500_000))
    back = printed(direct(lat, lon, azimuth, distance, WGS84)[2], 4)
    start = {"lat": lat, "lon": lon, "azimuth": azimuth}
    return {**start, "back_azimuth": back, "distance": distance}


def _far_end(g: Numbers, ellipsoid: Ellipsoid = WGS84) -> tuple[float, ...]:
    return direct(g.lat, g.lon, g.azimuth, g.distance, ellipsoid)[:2]


def _on_plane(g: Numbers) -> tuple[float, float]:
    """Return the end with 60 nautical miles in a degree, on a plane."""
    degrees = g.distance / (60 * MILE)
    east = degrees * sin(g.azimuth) / cos(g.lat)
    return g.lat + degrees * cos(g.azimuth), math.remainder(g.lon + east, 360)


DIRECT = exercise(
    "lines-direct",
    elements=GEODESIC,
    aids="course tools",
    draw=_draw_direct,
    printed=(
        Printed("lat", "φ of 1", DMS, 2, kind="latitude"),
        Printed("lon", "λ of 1", DMS, 2, kind="longitude"),
        Printed("distance", "length", "m", 0),
        Printed("azimuth", "azimuth at 1 towards 2", "°", 4),
        Printed("back_azimuth", "azimuth at 2 towards 1", "°", 4),
    ),
    asked=(
        Asked("lat", "φ of 2", "latitude", DMS, 2, 0.02 / 3600),
        Asked("lon", "λ of 2", "longitude", DMS, 2, 0.02 / 3600),
    ),
    solve=_far_end,
    slips={
        "plane": _on_plane,
        "far-end": misread(azimuth=lambda g: g.back_azimuth - 180),
        "opposite": misread(azimuth=lambda g: g.azimuth + 180),
        "sphere": using(ellipsoid=SPHERE),
    },
    work=lambda g: {"miles": abs(_on_plane(g)[0] - _far_end(g)[0]) * 60},
)


# lines-back-azimuth --------------------------------------------------------------------
# Outcomes by their share of the convergence γ: 1, 0, −1, 2, cot φ (1.70 to 1.30 or 0.77 to 0.43),
# and half a turn away. γ is 0.18°, 90 tolerances, or more; the nearest two stand 0.23 γ apart.
# The answer has the geodesic's own convergence; the slips are made with the rule's, Δλ sin φ.


def _draw_back(dice: Dice) -> Answer:
    low, high = dice.choose(((31, 37), (53, 66)))
    lat = draw_angle(dice, low, high, 1)
    azimuth, distance = _azimuth(dice, 35, 90), float(dice.whole(60_000, 150_000))
    ends = _line(lat, azimuth, distance, draw_angle(dice, 5, 160, 1), 1)
    return {**ends, "azimuth": printed(_geodesic(ends)[1], 4)}


def _back(g: Numbers) -> float:
    """Return the back azimuth: the printed azimuth, the geodesic's convergence, half a turn."""
    _, azimuth, back = _geodesic(g)
    return (g.azimuth + back - azimuth) % 360


def _by_rule(g: Numbers, share: float) -> float:
    """Return the back azimuth with that share of Δλ sin φ."""
    return (g.azimuth + 180 + share * _convergence(g)) % 360


def _convergence(g: Numbers) -> float:
    return math.remainder(g.lon2 - g.lon1, 360) * sin(_mean_latitude(g))


def _work_back(g: Numbers) -> Answer:
    turn, middle = math.remainder(g.lon2 - g.lon1, 360), _mean_latitude(g)
    return {"turn": turn, "middle": middle, "sine": sin(middle), "convergence": _convergence(g)}


BACK = exercise(
    "lines-back-azimuth",
    elements=GEODESIC,
    draw=_draw_back,
    printed=(
        *_position(1, 1),
        *_position(2, 1),
        Printed("azimuth", "azimuth at 1 towards 2", "°", 4),
    ),
    asked=(Asked("back", "Azimuth at 2 towards 1", "azimuth", "°", 3, 0.002),),
    solve=_back,
    slips={
        "half-turn-only": lambda g: _by_rule(g, share=0),
        "convergence-turned": lambda g: _by_rule(g, share=-1),
        "convergence-doubled": lambda g: _by_rule(g, share=2),
        "cosine": lambda g: _by_rule(g, share=1 / math.tan(math.radians(_mean_latitude(g)))),
        "not-turned-round": then(lambda back: (back + 180) % 360),
    },
    work=_work_back,
)


# lines-sphere-cost ---------------------------------------------------------------------
# d/s lies in −0.56 % to −0.23 % (near the meridian, low latitude) or 0.18 % to 0.35 % (east-west,
# middle latitude), so |d| is 630 m, 315 tolerances, or more. Routes over d: −1, 1/2, 1000 km/s
# (2.9 to 1.67), and 1 + 0.067 %·s/d (0.71 to 0.88, or 1.2 to 1.38); a foot makes 0.305 or 3.28.


def _draw_cost(dice: Dice) -> Answer:
    if dice.choose((True, False)):
        lat, azimuth = draw_angle(dice, 5, 22, 0), _azimuth(dice, 0, 25)
    else:
        lat, azimuth = draw_angle(dice, 30, 57, 0), _azimuth(dice, 80, 90)
    distance = float(dice.whole(350_000, 600_000))
    ends = _line(lat, azimuth, distance, draw_angle(dice, 5, 160, 0), 0)
    return {**ends, "geodesic": printed(_geodesic(ends)[0], 1)}


def _cost(g: Numbers, radius: float = EARTH_RADIUS) -> float:
    return g.geodesic - _great_circle(g, radius)[0]


def _work_cost(g: Numbers) -> Answer:
    circle = _great_circle(g)[0]
    arc = circle / EARTH_RADIUS
    ppm = _cost(g) / g.geodesic * 1e6
    return {"circle": circle, "arc": arc, "degrees": math.degrees(arc), "ppm": ppm}


COST = exercise(
    "lines-sphere-cost",
    elements=(*GEODESIC, *SAILING),
    draw=_draw_cost,
    printed=(*_position(1, 0), *_position(2, 0), Printed("geodesic", "geodesic, WGS 84", "m", 1)),
    asked=(Asked("cost", "Ellipsoid − sphere", "length", "m", 0, 2.0),),
    solve=_cost,
    slips={
        "turned": also("sign", turned()),
        "ppm": times(lambda g: 1e6 / g.geodesic),
        "half": times(0.5),
        "mile": using(radius=MILE * RHO / 60),
    },
    work=_work_cost,
)


# lines-rhumb ---------------------------------------------------------------------------
# The mean latitude is 40° to 52°, the course 45° to 75° off the meridian, the length 450 km to
# 700 km. Routes over the right answer: −1, 0, 1.15 to 2.8 (mean latitude), 3.8 or more (sphere),
# ±75 to ±800 (the geodesic's azimuth); a foot makes 0.305 or 3.28. The right answer is 33 m or
# more, and 60 m where the mean latitude's 1.2 is near: nothing stands closer than 5 tolerances.
# The lesson's s³ sin²α tan²φ / 24R² is within 0.5 % of it, which the tolerance allows.


def _draw_rhumb(dice: Dice) -> Answer:
    middle, course = dice.signed(40, 52, 2), _azimuth(dice, 45, 75)
    degrees = dice.whole(450_000, 700_000) / (60 * MILE)
    north, east = degrees * cos(course), degrees * sin(course) / cos(middle)
    lon = draw_angle(dice, 10, 160, 0)
    numbers = (middle - north / 2, lon, middle + north / 2, lon + east)
    ends = dict(
        zip(("lat1", "lon1", "lat2", "lon2"), [to_print(n, 0) for n in numbers], strict=True)
    )
    return {**ends, **_from_tools(Numbers(ends))}


def _from_tools(g: Numbers) -> Answer:
    """Return what the prompt says the course tools gave, as printed."""
    length, azimuth, _ = _geodesic(g)
    arcs = WGS84.meridian_distance([g.lat2, g.lat1])
    climb = 60 * abs(_isometric(g.lat2) - _isometric(g.lat1))
    return {
        "geodesic": printed(length, 1),
        "azimuth": printed(azimuth, 3),
        "meridian": printed(abs(arcs[0] - arcs[1]), 2),
        "isometric": printed(climb, 5),
    }


def _isometric(latitude: float) -> float:
    """Return the isometric latitude ψ in degrees: how far up a Mercator chart puts φ."""
    e = math.sqrt(WGS84.eccentricity_squared)
    rise = math.asinh(math.tan(math.radians(latitude)))
    return math.degrees(rise - e * math.atanh(e * sin(latitude)))


def _east(g: Numbers) -> float:
    return abs(g.lon2 - g.lon1) * 60


def _along_rhumb(g: Numbers) -> float:
    """Return Δm / cos C, from the printed numbers."""
    return g.meridian * math.hypot(1, _east(g) / g.isometric)


def _longer(g: Numbers) -> float:
    return _along_rhumb(g) - g.geodesic


def _at_mean_latitude(g: Numbers) -> float:
    middle = _mean_latitude(g)
    parallel = WGS84.prime_vertical_radius(middle) * cos(middle)
    return math.hypot(g.meridian, math.radians(g.lon2 - g.lon1) * parallel) - g.geodesic


def _work_rhumb(g: Numbers) -> Answer:
    off = math.degrees(math.atan(_east(g) / g.isometric))
    return {"east": _east(g), "off": off, "cosine": cos(off), "length": _along_rhumb(g)}


RHUMB = exercise(
    "lines-rhumb",
    elements=(*GEODESIC, *SAILING),
    draw=_draw_rhumb,
    printed=(
        *_position(1, 0),
        *_position(2, 0),
        Printed("geodesic", "geodesic", "m", 1),
        Printed("azimuth", "its azimuth at 1", "°", 3),
        Printed("meridian", "Δm, along the meridian", "m", 2),
        Printed("isometric", "Δψ, isometric", "′", 5),
    ),
    asked=(Asked("difference", "Rhumb − geodesic", "length", "m", 0, 2.0),),
    solve=_longer,
    slips={
        "turned": also("sign", turned()),
        "nothing": also("thousand", times(0.0)),
        "mean-latitude": _at_mean_latitude,
        "sphere": lambda g: _along_rhumb(g) - _great_circle(g)[0],
        "geodesic-azimuth": lambda g: g.meridian / abs(cos(g.azimuth)) - g.geodesic,
    },
    work=_work_rhumb,
)


# lines-normal-section ------------------------------------------------------------------
# Slips relative to the right answer: 3, 3/2, and 1/(2 cos α), which is ±0.55 to ±0.71 at 25° to
# 45° off the meridian. That answer is 0.041″ or more, so the nearest two stand 6 tolerances
# apart. The first term alone, with e² or e′², is within 0.53 tolerances of it at these lengths;
# the slips are made with the first term, as the nudge has it.


def _draw_section(dice: Dice) -> Answer:
    return {
        "lat": float(dice.whole(-12, 12)),
        "azimuth": _azimuth(dice, 25, 45, 0),
        "distance": dice.number(150_000, 180_000, 0, step=1000),
    }


def _section_minus_geodesic(g: Numbers) -> float:
    lat2, lon2, _ = direct(g.lat, 0.0, g.azimuth, g.distance, WGS84)
    section = normal_section(g.lat, 0.0, lat2, lon2, WGS84)
    return math.remainder(section - g.azimuth, 360) * 3600


def _ratio(g: Numbers) -> float:
    return (g.distance / WGS84.prime_vertical_radius(g.lat) * cos(g.lat)) ** 2


def _first_term(g: Numbers, below: int = 12, angles: int = 2) -> float:
    sine = sin(angles * g.azimuth)
    return RHO * WGS84.eccentricity_squared / below * _ratio(g) * sine


def _work_section(g: Numbers) -> Answer:
    nu, sine = WGS84.prime_vertical_radius(g.lat), sin(2 * g.azimuth)
    return {"nu": nu / 1000, "ratio": _ratio(g), "sine": sine, "first": _first_term(g)}


SECTION = exercise(
    "lines-normal-section",
    elements=GEODESIC,
    draw=_draw_section,
    printed=(
        Printed("lat", "φ, north +", "°", 0, signed=True),
        Printed("azimuth", "α, azimuth of the geodesic", "°", 0),
        Printed("distance", "s", "m", 0),
    ),
    asked=(
        Asked("difference", "Section − geodesic", "angle", "″", 3, 0.002, positive="clockwise"),
    ),
    solve=_section_minus_geodesic,
    slips={
        "both-sections": lambda g: _first_term(g, below=4),
        "half-way": lambda g: _first_term(g, below=8),
        "single-angle": lambda g: _first_term(g, angles=1),
    },
    work=_work_section,
)

SECTION_WHEN = choice("lines-normal-section-when", elements=GEODESIC)


# lines-clairaut ------------------------------------------------------------------------
# From 25° to 40° of latitude, 40° to 55° off the meridian, the line climbs 9° or more; the second
# latitude stands 3° or more inside. A reduced latitude for a geodetic one then misses by 280″ or
# more in the highest latitude. Nothing stands closer than 8 tolerances: a highest latitude near
# 45° has a sine near its cosine.

BEFORE, AFTER = "before its highest latitude", "after its highest latitude"


def _draw_clairaut(dice: Dice) -> Answer:
    lat, off = dice.number(25, 40, 1), dice.number(40, 55, 1)
    highest = highest_latitude(lat, off, WGS84)
    second = dice.number(lat + 3, math.floor(highest) - 3, 1)
    pole, way, when = (dice.choose(pair) for pair in ((1, -1), (1, -1), (BEFORE, AFTER)))
    azimuth = _off_pole(off, pole, way)
    return {"lat1": pole * lat, "azimuth": azimuth, "lat2": pole * second, "when": when}


def _off_pole(off: float, pole: int, way: int) -> float:
    """Return the azimuth that far off the nearer pole's, to the east or to the west."""
    return (way * off if pole > 0 else 180 - way * off) % 360


def _parametric(latitude: float) -> float:
    return WGS84.parametric_latitude(latitude)


def _kept(g: Numbers, reduced: Callable[[float], float] = _parametric) -> float:
    """Return cos β sin α without its sign: what a geodesic keeps."""
    return cos(reduced(g.lat1)) * abs(sin(g.azimuth))


def _second_azimuth(g: Numbers, reduced: Callable[[float], float] = _parametric) -> float:
    off = math.degrees(math.asin(_kept(g, reduced) / cos(reduced(g.lat2))))
    onward = off if g.when == BEFORE else 180 - off
    return _off_pole(onward, 1 if g.lat1 > 0 else -1, 1 if sin(g.azimuth) > 0 else -1)


def _on_the_circle(g: Numbers) -> float:
    """Return the parametric latitude of the highest point, on the starting side."""
    return math.copysign(math.degrees(math.acos(_kept(g))), g.lat1)


def _clairaut(g: Numbers) -> tuple[float, float]:
    highest = highest_latitude(g.lat1, g.azimuth, WGS84)
    return _second_azimuth(g), math.copysign(highest, g.lat1)


def _spherical_law(g: Numbers) -> tuple[float, float]:
    """Return both with φ for β, as on a sphere."""
    highest = math.degrees(math.acos(_kept(g, float)))
    return _second_azimuth(g, float), math.copysign(highest, g.lat1)


CLAIRAUT = exercise(
    "lines-clairaut",
    elements=GEODESIC,
    draw=_draw_clairaut,
    printed=(
        Printed("lat1", "φ₁", "°", 1, signed=True),
        Printed("azimuth", "azimuth at φ₁", "°", 1),
        Printed("lat2", "φ₂", "°", 1, signed=True),
        Printed("when", "φ₂ is reached"),
    ),
    asked=(
        Asked("azimuth2", "Azimuth at φ₂, onwards", "azimuth", "°", 3, 0.002),
        Asked("highest", "Highest latitude", "latitude", DMS, 0, 2 / 3600),
    ),
    solve=_clairaut,
    slips={
        "sphere": _spherical_law,
        "not-turned-back": lambda g: {"highest": _on_the_circle(g)},
        "wrong-end": then(lambda azimuth: (azimuth + 180) % 360, "azimuth2"),
        "supplement": misread("azimuth2", when=lambda g: BEFORE if g.when == AFTER else AFTER),
        "sine": lambda g: {
            "highest": WGS84.geodetic_from_parametric(
                math.copysign(math.degrees(math.asin(_kept(g))), g.lat1)
            )
        },
    },
    work=lambda g: {
        "beta1": _parametric(g.lat1),
        "beta2": _parametric(g.lat2),
        "kept": _kept(g),
        "sine2": _kept(g) / cos(_parametric(g.lat2)),
        "beta_highest": _on_the_circle(g),
    },
)
