"""Exercises of lesson 05, lines on the ellipsoid."""

import math
from functools import lru_cache

from exercises.bank.common import EARTH_RADIUS, GEODESY, cos, draw_angle, sin, to_print
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import dms, number
from geokit.angles import RHO
from geokit.ellipsoids import WGS84
from geokit.lines import direct, inverse, normal_section, rhumb

MILE = 1852.0  # metres in a nautical mile
MINUTE_OF_SPHERE = EARTH_RADIUS / RHO * 60  # metres in a minute of arc
KARNEY = "C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87, 2013, through pyproj"
GEODESIC = ("S-5A F1.2c", "S-5B E4.1d")
SAILING = ("S-5A F1.6a",)
ENDS = ("lat1", "lon1", "lat2", "lon2")


@lru_cache(maxsize=64)
def _geodesic(*ends: float) -> tuple[float, float, float]:
    """Return length, azimuth at 1 and azimuth at 2 back to 1, on WGS 84."""
    return inverse(*ends, WGS84)


@lru_cache(maxsize=64)
def _from(lat: float, lon: float, azimuth: float, distance: float) -> tuple[float, float, float]:
    return direct(lat, lon, azimuth, distance, WGS84)


@lru_cache(maxsize=64)
def _rhumb(*ends: float) -> tuple[float, float]:
    return rhumb(*ends, WGS84)


def _ends(g: Given) -> tuple[float, ...]:
    return tuple(g[name] for name in ENDS)


def _tan(degrees: float) -> float:
    return math.tan(math.radians(degrees))


def _azimuth(dice: Dice, low: int, high: int, decimals: int = 1) -> float:
    """Draw an azimuth that far from the meridian, in any of the four quadrants."""
    off = dice.number(low, high, decimals)
    return printed(dice.choose((off, 180 - off, 180 + off, 360 - off)), decimals)


def _position(end: int, decimals: int) -> tuple[Printed, Printed]:
    return (
        Printed(f"lat{end}", f"φ of {end}", DMS, decimals, kind="latitude"),
        Printed(f"lon{end}", f"λ of {end}", DMS, decimals, kind="longitude"),
    )


def _line(dice: Dice, lat: float, azimuth: float, distance: float, decimals: int) -> Answer:
    """Return both ends of a geodesic from a drawn longitude, as they are printed."""
    lon = draw_angle(dice, 5, 160, decimals)
    lat2, lon2, _ = direct(lat, lon, azimuth, distance, WGS84)
    ends = (lat, lon, to_print(lat2, decimals), to_print(lon2, decimals))
    return dict(zip(ENDS, ends, strict=True))


def _great_circle(lat1: float, lon1: float, lat2: float, lon2: float) -> tuple[float, float]:
    """Return arc in radians and azimuth on a sphere, as with a calculator."""
    across = cos(lat2) * sin(lon2 - lon1)
    along = cos(lat1) * sin(lat2) - sin(lat1) * cos(lat2) * cos(lon2 - lon1)
    down = sin(lat1) * sin(lat2) + cos(lat1) * cos(lat2) * cos(lon2 - lon1)
    arc = math.atan2(math.hypot(across, along), down)
    return arc, math.degrees(math.atan2(across, along)) % 360


# lines-inverse -------------------------------------------------------------------------
# 25° to 65° off the meridian between 31° and 63° of latitude, the sphere is 0.04° off in azimuth
# (20 tolerances) even where its length is right. The rhumb line is 0.37° off or more. With φ near
# 45° and λ below 25°, latitude and longitude swapped change the length by a twentieth or more.


def _draw_inverse(dice: Dice) -> Answer:
    lat, lon = draw_angle(dice, 38, 56, 2), draw_angle(dice, 3, 18, 2)
    azimuth, distance = _azimuth(dice, 25, 65), float(dice.whole(300_000, 800_000))
    lat2, lon2, _ = direct(lat, lon, azimuth, distance, WGS84)
    ends = (lat, lon, to_print(lat2, 2), to_print(lon2, 2))
    return dict(zip(ENDS, ends, strict=True))


def _length_and_azimuth(length: float, azimuth: float) -> Answer:
    return {"distance": length, "azimuth": azimuth}


def _sphere_inverse(g: Given) -> Answer:
    arc, azimuth = _great_circle(*_ends(g))
    return _length_and_azimuth(arc * EARTH_RADIUS, azimuth)


def _steps_inverse(g: Given) -> list[str]:
    length, azimuth, back = _geodesic(*_ends(g))
    sphere = _sphere_inverse(g)
    return [
        "Enter both ends with their letters, latitude before longitude unless the program says "
        "otherwise, and choose WGS 84.",
        f"The geodesic is **{number(length, 1)} m** long and leaves 1 at **{azimuth:.3f}°**.",
        f"At 2 it looks back along {back:.3f}°, not {(azimuth + 180) % 360:.3f}°: the meridians "
        "converge.",
        f"A check on a sphere of 6\u202f371 km: {number(sphere['distance'], 0)} m and "
        f"{sphere['azimuth']:.2f}°. Near, and no more than a check.",
    ]


INVERSE = Exercise(
    key="lines-inverse",
    topic="lines",
    title="How far, and which way",
    edition=1,
    elements=GEODESIC,
    aids="course tools",
    prompt="A cable is to run from 1 to 2 by the shortest way on the WGS 84 ellipsoid. How long is "
    "this **geodesic**, and at which **azimuth does it leave 1**, clockwise from true north? Give "
    "the length to 0.1 m, right within ±0.5 m, and the azimuth in degrees, 0° to 360°, to 0.001°, "
    "right within ±0.002°.",
    draw=_draw_inverse,
    printed=(*_position(1, 2), *_position(2, 2)),
    asked=(
        Asked("distance", "Length", "length", "m", 1, 0.5),
        Asked("azimuth", "Azimuth at 1", "azimuth", "°", 3, 0.002),
    ),
    solve=lambda g: _length_and_azimuth(*_geodesic(*_ends(g))[:2]),
    slips=(
        Slip(
            "sphere",
            "A sphere of 6 371 km",
            _sphere_inverse,
            "This is the great circle on a sphere of 6\u202f371 km. Against the ellipsoid it can "
            "miss by half a percent in length and a fifth of a degree in azimuth.",
        ),
        Slip(
            "swapped-angles",
            "Latitude and longitude swapped",
            lambda g: _length_and_azimuth(
                *_geodesic(g["lon1"], g["lat1"], g["lon2"], g["lat2"])[:2]
            ),
            "This comes from longitudes entered as latitudes. Some programs want longitude "
            "first: look at the order.",
        ),
        Slip(
            "rhumb",
            "The rhumb line",
            lambda g: _length_and_azimuth(*_rhumb(*_ends(g))),
            "This belongs to the rhumb line, straight on a Mercator chart. The shortest way "
            "bends towards the pole and changes its azimuth as it goes.",
        ),
        Slip(
            "far-end",
            "The azimuth at the far end",
            lambda g: {"azimuth": _geodesic(*_ends(g))[2]},
            "{value} is the azimuth at 2, back towards 1. Asked is the one at 1.",
        ),
        Slip(
            "onward",
            "The azimuth at 2, going on",
            lambda g: {"azimuth": (_geodesic(*_ends(g))[2] + 180) % 360},
            "{value} is how the line goes on at 2. On its way it turns against the meridians: asked is "
            "its azimuth at 1.",
        ),
    ),
    nudges=(
        "Which line, on which surface, in which order of coordinates?",
        "Sketch the two ends: which quadrant must the azimuth lie in?",
    ),
    steps=_steps_inverse,
    source=f"{KARNEY}; checked against GD-01 to GD-15 in tests.",
)


# lines-direct --------------------------------------------------------------------------
# 35° to 60° off the meridian, 300 km to 500 km: a plane misses by 700 m or more in latitude,
# because the line turns; the azimuth of the far end swings the line by 4.6 km or more; the sphere
# misses the longitude by 250 m or more, since ν exceeds 6 371 km everywhere. And the misses differ
# from one another by as much. The tolerance is 0.02″, 0.6 m.


def _draw_direct(dice: Dice) -> Answer:
    lat, lon = draw_angle(dice, 33, 57, 2), draw_angle(dice, 10, 160, 2)
    azimuth, distance = _azimuth(dice, 35, 60, 4), float(dice.whole(300_000, 500_000))
    back = direct(lat, lon, azimuth, distance, WGS84)[2]
    return {
        "lat": lat,
        "lon": lon,
        "azimuth": azimuth,
        "back_azimuth": printed(back, 4),
        "distance": distance,
    }


def _end(lat: float, lon: float) -> Answer:
    return {"lat": lat, "lon": math.remainder(lon, 360)}


def _along(g: Given, azimuth: float) -> Answer:
    return _end(*_from(g["lat"], g["lon"], azimuth, g["distance"])[:2])


def _plane_direct(g: Given) -> Answer:
    """60 nautical miles in a degree, on a plane."""
    degrees = g["distance"] / (60 * MILE)
    north, east = degrees * cos(g["azimuth"]), degrees * sin(g["azimuth"])
    return _end(g["lat"] + north, g["lon"] + east / cos(g["lat"]))


def _sphere_direct(g: Given) -> Answer:
    arc = math.degrees(g["distance"] / EARTH_RADIUS)
    north = cos(g["lat"]) * cos(arc) - sin(g["lat"]) * sin(arc) * cos(g["azimuth"])
    up = sin(g["lat"]) * cos(arc) + cos(g["lat"]) * sin(arc) * cos(g["azimuth"])
    turn = math.atan2(sin(arc) * sin(g["azimuth"]), north)
    return _end(math.degrees(math.asin(up)), g["lon"] + math.degrees(turn))


def _steps_direct(g: Given) -> list[str]:
    right, plane = DIRECT.solve(g), _plane_direct(g)
    miles = abs(plane["lat"] - right["lat"]) * 60
    return [
        "The azimuth at 1 starts the line; the one at 2 belongs to the other end and is only a "
        "check.",
        f"The geodesic from 1 at {g['azimuth']:.4f}° over {number(g['distance'], 0)} m ends at "
        f"**{dms(right['lat'], 2, 'latitude')}**, **{dms(right['lon'], 2, 'longitude')}**.",
        f"Back from there to 1 the azimuth must come out as {g['back_azimuth']:.4f}°.",
        f"Sixty miles to the degree on a plane would miss the latitude alone by {miles:.1f} "
        "nautical miles.",
    ]


DIRECT = Exercise(
    key="lines-direct",
    topic="lines",
    title="Where the line ends",
    edition=1,
    elements=GEODESIC,
    aids="course tools",
    prompt="The route list of a cable gives a **geodesic** on the WGS 84 ellipsoid from 1 to 2: its "
    "length, its azimuth at 1 towards 2, and its azimuth at 2 back towards 1, all clockwise from "
    "true north. Where is **end 2**? Give latitude and longitude to 0.01″; both right within "
    "±0.02″.",
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
    solve=lambda g: _along(g, g["azimuth"]),
    slips=(
        Slip(
            "plane",
            "Sixty miles to the degree, on a plane",
            _plane_direct,
            "This is on a plane with 1\u202f852 m to the minute. Over hundreds of kilometres the "
            "line turns against the meridians, and the plane knows nothing of it.",
        ),
        Slip(
            "far-end",
            "The azimuth of the far end",
            lambda g: _along(g, g["back_azimuth"] - 180),
            "The azimuth at 2, turned round, was used at 1. Meridians converge, so the two are not "
            "180° apart.",
        ),
        Slip(
            "opposite",
            "The line the other way",
            lambda g: _along(g, g["azimuth"] + 180),
            "This lies on the other side of 1: the line was run backwards.",
        ),
        Slip(
            "sphere",
            "A sphere of 6 371 km",
            _sphere_direct,
            "This is on a sphere of 6\u202f371 km. Over this length it misses by a kilometre or so.",
        ),
    ),
    nudges=(
        "Which of the two azimuths starts the line at 1?",
        "Sketch it: does end 2 lie north or south of 1, east or west?",
    ),
    steps=_steps_direct,
    source=f"{KARNEY}; checked against GD-01 to GD-05 in tests.",
)


# lines-back-azimuth --------------------------------------------------------------------
# Outcomes by their share of the convergence γ: 1, 0, −1, 2, cot φ (1.70 to 1.30 or 0.77 to 0.43),
# and half a turn away. γ is 0.18°, 90 tolerances, or more; the nearest two stand 0.23 γ apart.


def _draw_back(dice: Dice) -> Answer:
    low, high = dice.choose(((31, 37), (53, 66)))
    lat = draw_angle(dice, low, high, 1)
    ends = _line(dice, lat, _azimuth(dice, 35, 90), float(dice.whole(60_000, 150_000)), 1)
    return {**ends, "azimuth": printed(_geodesic(*_ends(ends))[1], 4)}


def _with_convergence(g: Given, share: float) -> Answer:
    """Return the back azimuth with that share of the convergence."""
    _, azimuth, back = _geodesic(*_ends(g))
    return {"back": (azimuth + 180 + share * math.remainder(back - azimuth - 180, 360)) % 360}


def _mean_latitude(g: Given) -> float:
    return (g["lat1"] + g["lat2"]) / 2


def _steps_back(g: Given) -> list[str]:
    turn, middle = math.remainder(g["lon2"] - g["lon1"], 360), _mean_latitude(g)
    right = BACK.solve(g)["back"]
    return [
        f"Δλ = λ₂ − λ₁ = {turn:+.5f}°; the mean latitude is {middle:+.4f}°.",
        f"Convergence: Δλ sin φ = ({turn:+.5f}°)({sin(middle):+.5f}) = {turn * sin(middle):+.4f}°.",
        f"Going {'east' if turn > 0 else 'west'}, the azimuth of the line "
        f"{'grows' if turn * middle > 0 else 'shrinks'} by that on its way; then turn round by "
        "180°.",
        f"α₂₁ = {g['azimuth']:.4f}° {turn * sin(middle):+.4f}° ± 180° = **{right:.3f}°**.",
    ]


BACK = Exercise(
    key="lines-back-azimuth",
    topic="lines",
    title="Looking back along the line",
    edition=1,
    elements=GEODESIC,
    aids="calculator",
    prompt="A geodesic on the WGS 84 ellipsoid leaves 1 towards 2 at the azimuth given, clockwise "
    "from true north. What is the **azimuth at 2 back towards 1**? At this length the convergence "
    "of the meridians may be taken at the mean latitude of the two ends. Give it in degrees, 0° to "
    "360°, to 0.001°; right within ±0.002°.",
    draw=_draw_back,
    printed=(
        *_position(1, 1),
        *_position(2, 1),
        Printed("azimuth", "azimuth at 1 towards 2", "°", 4),
    ),
    asked=(Asked("back", "Azimuth at 2 towards 1", "azimuth", "°", 3, 0.002),),
    solve=lambda g: {"back": _geodesic(*_ends(g))[2]},
    slips=(
        Slip(
            "half-turn-only",
            "180° and nothing else",
            lambda g: _with_convergence(g, 0),
            "{value} is just turned round. North at 2 is not parallel to north at 1: add the "
            "convergence Δλ sin φ.",
        ),
        Slip(
            "convergence-turned",
            "Convergence with the wrong sign",
            lambda g: _with_convergence(g, -1),
            "{value} has the convergence the wrong way round. In the north a line that runs east "
            "turns clockwise against the meridians; in the south anticlockwise.",
        ),
        Slip(
            "convergence-doubled",
            "Convergence doubled",
            lambda g: _with_convergence(g, 2),
            "{value} has twice the convergence. At the mean latitude Δλ sin φ is all of it: end to "
            "end, not from the middle.",
        ),
        Slip(
            "cosine",
            "cos φ for sin φ",
            lambda g: _with_convergence(g, 1 / _tan(abs(_mean_latitude(g)))),
            "{value} has Δλ cos φ in it. At the equator the meridians run side by side, with no "
            "convergence: sin 0° = 0.",
        ),
        Slip(
            "not-turned-round",
            "Not turned round",
            lambda g: {"back": (_geodesic(*_ends(g))[2] + 180) % 360},
            "{value} is the azimuth at 2 *onwards*. Asked is the one back: 180° more or less.",
        ),
    ),
    nudges=(
        "Are the two norths parallel? By how much do they lean towards each other?",
        "α₂₁ = α₁₂ + Δλ sin φ ± 180°. Mind the signs of Δλ and of φ.",
    ),
    steps=_steps_back,
    source=f"Convergence Δλ sin φ. {GEODESY}; answer from {KARNEY}.",
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
    ends = _line(dice, lat, azimuth, float(dice.whole(350_000, 600_000)), 0)
    return {**ends, "geodesic": printed(_geodesic(*_ends(ends))[0], 1)}


def _cost(g: Given, radius: float = EARTH_RADIUS) -> float:
    return g["geodesic"] - _great_circle(*_ends(g))[0] * radius


def _steps_cost(g: Given) -> list[str]:
    arc = _great_circle(*_ends(g))[0]
    return [
        "With a calculator, and safe at short range: sin²(σ/2) = sin²(Δφ/2) + cos φ₁ cos φ₂ "
        "sin²(Δλ/2).",
        f"σ = {math.degrees(arc):.6f}° = {arc:.9f} rad; times 6\u202f371 km that is "
        f"{number(arc * EARTH_RADIUS, 1)} m.",
        f"Ellipsoid − sphere = {number(g['geodesic'], 1)} − {number(arc * EARTH_RADIUS, 1)} = "
        f"**{_cost(g):+.0f} m**, or {_cost(g) / g['geodesic'] * 1e6:+.0f} ppm.",
        "The Earth is curved more strongly along low meridians than a sphere of 6\u202f371 km, and "
        "less across them and near the poles.",
    ]


COST = Exercise(
    key="lines-sphere-cost",
    topic="lines",
    title="What the sphere costs",
    edition=1,
    elements=(*GEODESIC, *SAILING),
    aids="calculator",
    prompt="The geodesic from 1 to 2 on the WGS 84 ellipsoid has the length given. Compute the "
    "great circle between the same latitudes and longitudes on a sphere of radius 6\u202f371.0 km. "
    "By how many metres do the two differ, **ellipsoid minus sphere**? Give it with its sign, to "
    "1 m; right within ±2 m.",
    draw=_draw_cost,
    printed=(*_position(1, 0), *_position(2, 0), Printed("geodesic", "geodesic, WGS 84", "m", 1)),
    asked=(Asked("cost", "Ellipsoid − sphere", "length", "m", 0, 2.0),),
    solve=lambda g: {"cost": _cost(g)},
    slips=(
        Slip(
            "turned",
            "Sphere minus ellipsoid",
            lambda g: {"cost": -_cost(g)},
            "The size is right and the sign is turned: asked is ellipsoid minus sphere.",
            also=("sign",),
        ),
        Slip(
            "ppm",
            "Parts per million for metres",
            lambda g: {"cost": _cost(g) / g["geodesic"] * 1e6},
            "{value} is the difference in millionths of the length. Asked are metres.",
        ),
        Slip(
            "half",
            "Half of it",
            lambda g: {"cost": _cost(g) / 2},
            "{value} is half the difference: from one of the two lengths to their mean. Asked is "
            "from one to the other.",
        ),
        Slip(
            "mile",
            "A minute of arc taken as 1 852 m",
            lambda g: {"cost": _cost(g, MILE * EARTH_RADIUS / MINUTE_OF_SPHERE)},
            "{value} comes from 1\u202f852 m to the minute of arc. On a sphere of 6\u202f371 km a "
            "minute is 1\u202f853.25 m.",
        ),
    ),
    nudges=(
        "First the angle at the sphere's centre, then times 6\u202f371 km.",
        "Keep eight figures: you subtract two lengths that are nearly the same.",
    ),
    steps=_steps_cost,
    source=f"Great circle by the haversine; geodesic from {KARNEY}.",
)


# lines-rhumb ---------------------------------------------------------------------------
# The mean latitude is 40° to 52°, the course 45° to 75° off the meridian, the length 450 km to
# 700 km. Routes over the right answer: −1, 0, 1.15 to 2.8 (mean latitude), 3.8 or more (sphere),
# ±75 to ±800 (the geodesic's azimuth); a foot makes 0.305 or 3.28. The right answer is 33 m or
# more, and 60 m where the mean latitude's 1.2 is near: nothing stands closer than 10 tolerances.


def _draw_rhumb(dice: Dice) -> Answer:
    middle, course = dice.signed(40, 52, 2), _azimuth(dice, 45, 75)
    distance = float(dice.whole(450_000, 700_000))
    degrees = distance / (60 * MILE)
    north, east = degrees * cos(course), degrees * sin(course) / cos(middle)
    lon = draw_angle(dice, 10, 160, 0)
    ends = {
        "lat1": to_print(middle - north / 2, 0),
        "lon1": lon,
        "lat2": to_print(middle + north / 2, 0),
        "lon2": to_print(lon + east, 0),
    }
    length, azimuth, _ = _geodesic(*_ends(ends))
    arcs = WGS84.meridian_distance([ends["lat2"], ends["lat1"]])
    return {
        **ends,
        "geodesic": printed(length, 1),
        "azimuth": printed(azimuth, 3),
        "meridian": printed(abs(arcs[0] - arcs[1]), 2),
        "isometric": printed(60 * abs(_isometric(ends["lat2"]) - _isometric(ends["lat1"])), 5),
    }


def _isometric(latitude: float) -> float:
    """Return the isometric latitude ψ in degrees: how far up a Mercator chart puts φ."""
    e = math.sqrt(WGS84.eccentricity_squared)
    return math.degrees(math.asinh(_tan(latitude)) - e * math.atanh(e * sin(latitude)))


def _rhumb_by(g: Given, course: float) -> Answer:
    """Return Δm/cos of the course, minus the geodesic."""
    return {"difference": g["meridian"] / abs(cos(course)) - g["geodesic"]}


def _mean_latitude_rhumb(g: Given) -> Answer:
    middle = _mean_latitude(g)
    east = math.radians(g["lon2"] - g["lon1"]) * cos(middle)
    e2_sine = 1 - WGS84.eccentricity_squared * sin(middle) ** 2
    east *= WGS84.semi_major / math.sqrt(e2_sine)
    return {"difference": math.hypot(g["meridian"], east) - g["geodesic"]}


def _sphere_rhumb(g: Given) -> Answer:
    return {"difference": _rhumb(*_ends(g))[0] - _great_circle(*_ends(g))[0] * EARTH_RADIUS}


def _solve_rhumb(g: Given) -> Answer:
    return {"difference": _rhumb(*_ends(g))[0] - _geodesic(*_ends(g))[0]}


def _steps_rhumb(g: Given) -> list[str]:
    east = abs(g["lon2"] - g["lon1"]) * 60
    off = math.degrees(math.atan(east / g["isometric"]))
    length = _rhumb(*_ends(g))[0]
    return [
        f"Δλ = {east:.3f}′. On a Mercator chart the line climbs Δψ = {g['isometric']:.5f}′ over "
        f"that, so tan C = Δλ/Δψ and the course is C = {off:.4f}° off the meridian.",
        f"All along it, metres north are metres of line times cos C: the rhumb line is Δm / cos C "
        f"= {number(g['meridian'], 2)} / {cos(off):.8f} = {number(length, 1)} m.",
        f"Rhumb − geodesic = {number(length, 1)} − {number(g['geodesic'], 1)} = "
        f"**{_solve_rhumb(g)['difference']:.0f} m**.",
        f"The geodesic sets out at {g['azimuth']:.3f}°, on the side of the pole: another course, "
        "and one that changes.",
    ]


RHUMB = Exercise(
    key="lines-rhumb",
    topic="lines",
    title="The straight line on the chart",
    edition=1,
    elements=(*GEODESIC, *SAILING),
    aids="calculator",
    prompt="Between 1 and 2 the vessel may sail the geodesic or hold one course, the rhumb line, "
    "both on the WGS 84 ellipsoid. How much longer is the rhumb line, **rhumb minus geodesic**? "
    "From the course tools you have the geodesic's length and its azimuth at 1, the length of "
    "meridian Δm between the two latitudes, and the difference of their isometric latitudes Δψ "
    "(the heights on a Mercator chart, in minutes of longitude). Give it in metres to 1 m; right "
    "within ±1 m.",
    draw=_draw_rhumb,
    printed=(
        *_position(1, 0),
        *_position(2, 0),
        Printed("geodesic", "geodesic", "m", 1),
        Printed("azimuth", "its azimuth at 1", "°", 3),
        Printed("meridian", "Δm, along the meridian", "m", 2),
        Printed("isometric", "Δψ, isometric", "′", 5),
    ),
    asked=(Asked("difference", "Rhumb − geodesic", "length", "m", 0, 1.0),),
    solve=_solve_rhumb,
    slips=(
        Slip(
            "turned",
            "Geodesic minus rhumb",
            lambda g: {"difference": -_solve_rhumb(g)["difference"]},
            "The size is right and the sign is turned. No line is shorter than the geodesic, so "
            "rhumb minus geodesic is positive.",
            also=("sign",),
        ),
        Slip(
            "nothing",
            "No difference, or kilometres",
            lambda g: {"difference": 0.0},
            "{value} is next to nothing. Straight on a Mercator chart is not shortest on the Earth; "
            "and if you worked in kilometres, the answer is asked in metres.",
            also=("thousand",),
        ),
        Slip(
            "mean-latitude",
            "A plane at the mean latitude",
            _mean_latitude_rhumb,
            "{value} takes the parallel of the mean latitude for the way east. Parallels shorten "
            "faster and faster towards the pole; take tan C = Δλ/Δψ.",
        ),
        Slip(
            "sphere",
            "The sphere's great circle",
            _sphere_rhumb,
            "{value} takes the rhumb line on the ellipsoid and the great circle on a sphere of "
            "6\u202f371 km. Most of that difference is the sphere.",
        ),
        Slip(
            "geodesic-azimuth",
            "The geodesic's azimuth as course",
            lambda g: _rhumb_by(g, g["azimuth"]),
            "{value} has the geodesic's azimuth at 1 for the course. Whoever holds that one does "
            "not come to 2; the rhumb line has a course of its own.",
        ),
    ),
    nudges=(
        "On a Mercator chart the rhumb line is straight: Δλ across, Δψ up. Which course is that?",
        "Length = Δm / cos C. Carry eight figures of cos C.",
    ),
    steps=_steps_rhumb,
    source="Bowring, The geometry of the loxodrome on the ellipsoid, The Canadian Surveyor 39, 1985 "
    f"(from memory); geodesic from {KARNEY}.",
)


# lines-normal-section ------------------------------------------------------------------
# Slips relative to the right answer: 3, 3/2, and 1/(2 cos α), which is ±0.55 to ±0.71 at 25° to
# 45° off the meridian. That answer is 0.041″ or more, so the nearest two stand 6 tolerances
# apart. The first term alone, with e² or e′², is within half a tolerance of it at these lengths.


def _draw_section(dice: Dice) -> Answer:
    return {
        "lat": float(dice.whole(-12, 12)),
        "azimuth": _azimuth(dice, 25, 45, 0),
        "distance": dice.number(150_000, 180_000, 0, step=1000),
    }


@lru_cache(maxsize=64)
def _section_minus_geodesic(lat: float, azimuth: float, distance: float) -> float:
    lat2, lon2, _ = direct(lat, 0.0, azimuth, distance, WGS84)
    section = normal_section(lat, 0.0, lat2, lon2, WGS84)
    return math.remainder(section - azimuth, 360) * 3600


def _section(g: Given, factor: float = 1.0) -> Answer:
    value = _section_minus_geodesic(g["lat"], g["azimuth"], g["distance"])
    return {"difference": factor * value}


def _steps_section(g: Given) -> list[str]:
    nu = WGS84.prime_vertical_radius(g["lat"])
    e2 = WGS84.eccentricity_squared
    ratio = (g["distance"] / nu) ** 2 * cos(g["lat"]) ** 2
    first = RHO * e2 / 12 * ratio * sin(2 * g["azimuth"])
    return [
        "First term: ρ″ e² (s/ν)² cos²φ sin 2α / 12.",
        f"ν = {number(nu / 1000, 1)} km, (s/ν)² cos²φ = {ratio:.6e}, sin 2α = "
        f"{sin(2 * g['azimuth']):+.4f}: {first:+.4f}″.",
        f"Computed without leaving terms out: **{_section(g)['difference']:+.3f}″**.",
        "A theodolite reads to half a second at best. Forget it, on shorter lines above all: it "
        "shrinks with the square of the length.",
    ]


SECTION = Exercise(
    key="lines-normal-section",
    topic="lines",
    title="The line that a theodolite sees",
    edition=1,
    elements=GEODESIC,
    aids="calculator",
    prompt="At a station of latitude φ on the WGS 84 ellipsoid a geodesic of length s sets out at "
    "the azimuth α, clockwise from true north. A theodolite levelled along the ellipsoid normal "
    "turns its telescope in the **normal section** to the far end of that line. By how much do the "
    "two azimuths at the station differ, **normal section minus geodesic**? Give it in arcseconds, "
    "with its sign, to 0.001″; right within ±0.002″.",
    draw=_draw_section,
    printed=(
        Printed("lat", "φ, north +", "°", 0, signed=True),
        Printed("azimuth", "α, azimuth of the geodesic", "°", 0),
        Printed("distance", "s", "m", 0),
    ),
    asked=(
        Asked("difference", "Section − geodesic", "angle", "″", 3, 0.002, positive="clockwise"),
    ),
    solve=_section,
    slips=(
        Slip(
            "both-sections",
            "Between the two normal sections",
            lambda g: _section(g, 3),
            "{value} is the angle between the section from here and the one from the far end. The "
            "geodesic parts that angle, and lies nearer to yours: a third of it.",
        ),
        Slip(
            "half-way",
            "The geodesic taken half way between",
            lambda g: _section(g, 1.5),
            "{value} puts the geodesic half way between the two normal sections. It lies nearer to "
            "the section of the station: a third of the way.",
        ),
        Slip(
            "single-angle",
            "sin α for sin 2α",
            lambda g: _section(g, 0.5 / cos(g["azimuth"])),
            "{value} has sin α in it. A line due east or due north lies with its section, so the "
            "difference goes with sin 2α.",
        ),
    ),
    nudges=(
        "It grows with s², with e², and vanishes along the meridian, along the parallel and at the "
        "poles.",
        "First term: ρ″ e² (s/ν)² cos²φ sin 2α / 12.",
    ),
    steps=_steps_section,
    source=f"Third part of the angle between the two normal sections. {GEODESY}.",
)

SECTION_WHEN = choice(
    "lines-normal-section-when",
    "When does the normal section matter?",
    "A theodolite looks along normal sections, and your program computes geodesics. From about "
    "which length of line can the two azimuths differ by **1″**?",
    ("six-hundred", "600 km: no theodolite sees that far"),
    {
        "six": (
            "6 km: on every sight across a harbour",
            "At 6 km the difference is at most 0.0001″. It grows with the square of the length.",
        ),
        "sixty": (
            "60 km: on every long sight between mountains",
            "At 60 km it is 0.01″ at the most. The square of the length brings it to 1″ only ten times "
            "further out.",
        ),
        "poles": (
            "Any length, near the poles",
            "Near a pole the ellipsoid is round, and the two lines fall together: cos²φ makes the "
            "difference nothing.",
        ),
    },
    elements=GEODESIC,
    because="At most 0.029″ at 100 km, on the equator at azimuth 45°, growing with s²: 1″ at 600 km. "
    "Below 100 km forget it.",
    source=f"ρ″ e² (s/ν)² cos²φ sin 2α / 12. {GEODESY}.",
    nudges=("At 100 km it is at most 0.029″, and it grows with the square of the length.",),
)


# Say first -----------------------------------------------------------------------------

FIRST_SHORTEST = choice(
    "lines-first-shortest",
    "Say first: the shortest way",
    "Two places lie on the **same parallel**, some thousand kilometres apart, away from the "
    "equator. Compared with the parallel, where does the **shortest line** on the ellipsoid run?",
    ("poleward", "On the side of the nearer pole"),
    {
        "parallel": (
            "Along the parallel: both have one latitude",
            "The parallel is the rhumb line between them, straight on a Mercator chart. Stretch a "
            "string on a globe: it leaves the parallel.",
        ),
        "equator": (
            "On the side of the equator, where it is wider",
            "There the meridians stand further apart, and the way across them is longer.",
        ),
        "chart": (
            "It depends on the chart in use",
            "A chart shows the line bent or straight. The line itself lies on the ellipsoid and "
            "knows no chart.",
        ),
    },
    elements=(*GEODESIC, *SAILING),
    because="Meridians close in towards the pole, so it pays to go there a little. That is why the "
    "azimuth changes along the way.",
    source=f"{GEODESY}.",
    marks=0,
)

FIRST_SECTION = choice(
    "lines-first-section",
    "Say first: theodolite or geodesic?",
    "A levelled theodolite and a geodesic program give the azimuth from one mark to another "
    "**50 km** away on the ellipsoid. The theodolite reads to 0.5″. Does it notice that it looks "
    "along a normal section and not along the geodesic?",
    ("never", "No, nowhere on Earth"),
    {
        "always": (
            "Yes: they are two different lines",
            "They are, and the angle between them is below a hundredth of a second at 50 km. A "
            "reading of 0.5″ is seventy times that.",
        ),
        "equator": (
            "Only near the equator",
            "There the difference is largest, and even there below a hundredth of a second at 50 km.",
        ),
        "east-west": (
            "Only on lines that run east or west",
            "On those, and on lines along the meridian, the two fall together. The largest "
            "difference is at 45°.",
        ),
    },
    elements=GEODESIC,
    because="At 50 km the difference is at most 0.007″. Forget it below 100 km; mind the deflection "
    "of the vertical instead.",
    source=f"ρ″ e² (s/ν)² cos²φ sin 2α / 12. {GEODESY}.",
    marks=0,
)

EXERCISES = (
    FIRST_SHORTEST,
    FIRST_SECTION,
    INVERSE,
    DIRECT,
    BACK,
    COST,
    RHUMB,
    SECTION,
    SECTION_WHEN,
)
