"""Exercises of lesson 04, Earth-centred coordinates and local east, north, up."""

import math
from functools import lru_cache
from typing import Any

from exercises.bank.common import EARTH_RADIUS, cos, draw_angle, sin, to_print
from exercises.question.dice import Dice, apart, printed
from exercises.question.model import DMS, Answer, Asked, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import Numbers, Variation, also, misread, turned, using
from geokit.ecef import from_ecef, from_enu, to_ecef, to_enu
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import AIRY1830, BESSEL1841, INTERNATIONAL1924, WGS84
from geokit.lines import direct, inverse

ELEMENTS = ("S-5A F1.2d", "S-5B E4.1b")
LEVER = "S-5B E3.3a"

LATITUDE = Printed("lat", "φ, geodetic latitude", DMS, 4, kind="latitude")
LONGITUDE = Printed("lon", "λ, longitude", DMS, 4, kind="longitude")
HEIGHT = Printed("height", "h, above the ellipsoid", "m", 2, signed=True)
XYZ = ("x", "y", "z")
ENU = ("east", "north", "up")
SPHERE = Ellipsoid("sphere", EARTH_RADIUS, 0, "the common radius of a sphere")
E2 = WGS84.eccentricity_squared

# An answer, its slips and its worked answer ask for the same points again and again.
_forward = lru_cache(maxsize=64)(to_ecef)
_back = lru_cache(maxsize=64)(from_ecef)
_local = lru_cache(maxsize=64)(to_enu)


def _geocentric(g: Numbers) -> float:
    return WGS84.geocentric_latitude(g.lat)


def _height_by_axis(p: float, latitude: float, ellipsoid: Ellipsoid = WGS84) -> float:
    """Return h = p/cos φ − ν: how far the normal reaches beyond ν from the Earth's axis."""
    return p / cos(latitude) - ellipsoid.prime_vertical_radius(latitude)


def _rotated(vector: tuple[float, ...], lat: float, lon: float) -> tuple[float, ...]:
    """Return east, north and up of a difference of X, Y, Z, by any two angles."""
    dx, dy, dz = vector
    out = cos(lon) * dx + sin(lon) * dy
    east = cos(lon) * dy - sin(lon) * dx
    return east, cos(lat) * dz - sin(lat) * out, cos(lat) * out + sin(lat) * dz


# ecef-forward --------------------------------------------------------------------------
# |λ| keeps 5° from 45° and 135°, where X and Y swapped are the same, and from 16.95° and 73.05°,
# where one is a foot in a metre of the other: 20° to 40° or 50° to 70°, or as far from 180°. The
# smallest slip is h left out: h/√3 in one of X, Y, Z, 115 tolerances at 10 m.


def _draw_forward(dice: Dice) -> Answer:
    side = dice.choose((20, 50, 110, 140))
    return {
        "lat": draw_angle(dice, 15, 70, 4),
        "lon": draw_angle(dice, side, side + 20, 4),
        "height": dice.number(10, 120, 2),
    }


def _work_forward(g: Numbers) -> Answer:
    nu = WGS84.prime_vertical_radius(g.lat)
    return {
        **{"e2": E2, "nu": nu, "out": nu + g.height, "up": (1 - E2) * nu + g.height},
        **{"sin_lat": sin(g.lat), "cos_lat": cos(g.lat)},
        **{"sin_lon": sin(g.lon), "cos_lon": cos(g.lon)},
    }


FORWARD = exercise(
    "ecef-forward",
    elements=ELEMENTS,
    draw=_draw_forward,
    printed=(LATITUDE, LONGITUDE, HEIGHT),
    asked=tuple(Asked(name, name.upper(), "length", "m", 2, 0.05) for name in XYZ),
    pairs=(("x", "y"),),
    solve=lambda g, ellipsoid=WGS84: _forward(g.lat, g.lon, g.height, ellipsoid),
    slips={
        "no-flattening": lambda g: {
            "z": (WGS84.prime_vertical_radius(g.lat) + g.height) * sin(g.lat)
        },
        "geocentric": misread(lat=_geocentric),
        "sphere": using(ellipsoid=SPHERE),
        "east-for-west": also("sign", turned("y")),
        "south-for-north": also("sign", turned("z")),
        "far-half": also("sign", turned("x")),
        "no-height": misread(height=0.0),
    },
    work=_work_forward,
)


# ecef-inverse --------------------------------------------------------------------------
# φ of the slips is 5.8′ sin 2φ or more away, 3′ at least, against a tolerance of 0.01″. Heights:
# r − a is −1.6 to −16.7 km and the lost 1 − e² −42.7 km, so h in millimetres must be neither: h is
# 10 m to 120 m or −36 m to −25 m. That is 200 tolerances or more, clear of its sign and of feet.


def _draw_inverse(dice: Dice) -> Answer:
    lat, lon = draw_angle(dice, 16, 62, 4), draw_angle(dice, 5, 170, 4)
    low, high = dice.choose(((10, 120), (-36, -25)))
    x, y, z = to_ecef(lat, lon, dice.number(low, high, 2), WGS84)
    return {"x": printed(x, 3), "y": printed(y, 3), "z": printed(z, 3)}


def _inverse(g: Numbers) -> tuple[float, float]:
    lat, _, height = _back(g.x, g.y, g.z, WGS84)
    return lat, height


def _from_axis(g: Numbers) -> float:
    return math.hypot(g.x, g.y)


def _steepened(g: Numbers, factor: float) -> tuple[float, float]:
    """Return φ = atan(factor · Z/p), and h from it."""
    lat = math.degrees(math.atan(factor * g.z / _from_axis(g)))
    return lat, _height_by_axis(_from_axis(g), lat)


def _height_by_plane(g: Numbers) -> float:
    """Return Z/sin φ − ν, without the 1 − e² that belongs to ν there."""
    lat, _ = _inverse(g)
    return g.z / sin(lat) - WGS84.prime_vertical_radius(lat)


def _work_inverse(g: Numbers) -> Answer:
    lat, _ = _inverse(g)
    first, _ = _steepened(g, 1 / (1 - E2))
    p = _from_axis(g)
    return {"p": p, "first": first, "slant": p / cos(lat), "nu": WGS84.prime_vertical_radius(lat)}


INVERSE = exercise(
    "ecef-inverse",
    elements=ELEMENTS,
    draw=_draw_inverse,
    printed=tuple(Printed(name, name.upper(), "m", 3) for name in XYZ),
    asked=(
        Asked("lat", "φ", "latitude", DMS, 3, 0.01 / 3600),
        Asked("height", "h", "length", "m", 2, 0.05, positive="up"),
    ),
    solve=_inverse,
    carry=lambda g, own: {"height": _height_by_axis(_from_axis(g), own.lat)},
    slips={
        "geocentric": lambda g: _steepened(g, 1),
        "parametric": lambda g: _steepened(g, 1 / (1 - WGS84.flattening)),
        "multiplied": lambda g: _steepened(g, 1 - E2),
        "radius": lambda g: {"height": math.hypot(g.x, g.y, g.z) - WGS84.semi_major},
        "no-flattening": lambda g: {"height": _height_by_plane(g)},
    },
    work=_work_inverse,
)


# ecef-baseline -------------------------------------------------------------------------
# The routes differ by metres. Their first terms show the difference beforehand, within 0.2 m; a draw
# in which two would stand closer than 0.4 m is drawn again. So they stand 0.2 m, 10 tolerances,
# apart or more. X and Y alone miss the part along Z: the line runs within 45° of the meridian.


def _beforehand(s: float, height1: float, height2: float) -> list[float]:
    """Return each route's length less the arc s on the ellipsoid, within 0.2 m."""

    def chord(h1: float, h2: float) -> float:
        bent = -(s**3) / (24 * EARTH_RADIUS**2) + s * (h1 + h2) / (2 * EARTH_RADIUS)
        return bent + (h2 - h1) ** 2 / (2 * s)

    right = chord(height1, height2)
    climb = height2 - height1 - s**2 / (2 * EARTH_RADIUS)
    flat = right - climb**2 / (2 * s)
    return [right, 0.0, chord(0, height2), chord(height1, 0), chord(0, 0), flat]


def _draw_baseline(dice: Dice) -> Answer:
    while True:
        distance = float(dice.whole(60_000, 120_000))
        height1, height2 = dice.number(40, 900, 2), dice.number(40, 900, 2)
        if apart(_beforehand(distance, height1, height2), 0.4):
            break
    lat, lon = draw_angle(dice, 10, 60, 4), draw_angle(dice, 5, 170, 4)
    azimuth = dice.choose((0, 180)) + dice.number(-45, 45, 1)
    lat2, lon2, _ = direct(lat, lon, azimuth, distance, WGS84)
    first = {"lat1": lat, "lon1": lon, "height1": height1}
    return first | {"lat2": to_print(lat2, 4), "lon2": to_print(lon2, 4), "height2": height2}


def _ends(g: Numbers) -> tuple[tuple[float, ...], tuple[float, ...]]:
    first = _forward(g.lat1, g.lon1, g.height1, WGS84)
    return first, _forward(g.lat2, g.lon2, g.height2, WGS84)


def _vector(g: Numbers) -> tuple[float, ...]:
    """Return ΔX, ΔY, ΔZ from 1 to 2."""
    return tuple(b - a for a, b in zip(*_ends(g), strict=True))


def _geodesic(g: Numbers) -> float:
    return inverse(g.lat1, g.lon1, g.lat2, g.lon2, WGS84)[0]


def _reduced(g: Numbers) -> float:
    """Return the geodesic's chord on the common sphere, raised to the two heights."""
    chord = 2 * EARTH_RADIUS * math.sin(_geodesic(g) / (2 * EARTH_RADIUS))
    raised = (1 + g.height1 / EARTH_RADIUS) * (1 + g.height2 / EARTH_RADIUS)
    return math.hypot(chord * math.sqrt(raised), g.height2 - g.height1)


def _work_baseline(g: Numbers) -> Answer:
    (x1, y1, z1), (x2, y2, z2) = _ends(g)
    return {
        **{"x1": x1, "y1": y1, "z1": z1, "x2": x2, "y2": y2, "z2": z2},
        **{"dx": x2 - x1, "dy": y2 - y1, "dz": z2 - z1},
        "geodesic": _geodesic(g),
        "longer": _geodesic(g) - math.hypot(*_vector(g)),
    }


BASELINE = exercise(
    "ecef-baseline",
    elements=ELEMENTS,
    draw=_draw_baseline,
    printed=(
        Printed("lat1", "1: φ", DMS, 4, kind="latitude"),
        Printed("lon1", "1: λ", DMS, 4, kind="longitude"),
        Printed("height1", "1: h", "m", 2, signed=True),
        Printed("lat2", "2: φ", DMS, 4, kind="latitude"),
        Printed("lon2", "2: λ", DMS, 4, kind="longitude"),
        Printed("height2", "2: h", "m", 2, signed=True),
    ),
    asked=(Asked("length", "Straight line", "length", "m", 2, 0.02),),
    solve=lambda g: math.hypot(*_vector(g)),
    slips={
        "geodesic": _geodesic,
        "no-height-1": misread(height1=0.0),
        "no-height-2": misread(height2=0.0),
        "no-heights": misread(height1=0.0, height2=0.0),
        "horizontal": lambda g: math.hypot(*_rotated(_vector(g), g.lat1, g.lon1)[:2]),
        "no-z": lambda g: math.hypot(*_vector(g)[:2]),
    },
    methods={"reduced": _reduced},
    work=_work_baseline,
)


# ecef-local ----------------------------------------------------------------------------
# A rotation turns about some line, and a vector along it does not notice. The transponder lies so
# that none of the wrong rotations has its line there: steeply below (E and N 0.10 to 0.22 of the
# depth), |φ| 15° to 48°, |λ| 52° to 65° or as far from 180°. A search over that box finds no two
# outcomes nearer than a seventh of the depth, and E and N 0.03 of the depth apart; only the
# geocentric latitude is near: 0.0017 of the depth, 1.7 m or 55 tolerances.


def _draw_local(dice: Dice) -> Answer:
    thousandths = (0.0, 0.0)
    while abs(abs(thousandths[0]) - abs(thousandths[1])) < 30:
        thousandths = dice.signed(100, 220, 0), dice.signed(100, 220, 0)
    depth = dice.number(1000, 3500, 1)
    east, north = (depth * share / 1000 for share in thousandths)
    side = dice.choose((52, 115))
    lat, lon = (
        printed(dice.signed(low * 3600, high * 3600, 1) / 3600, 10)
        for low, high in ((15, 48), (side, side + 13))
    )
    height = dice.number(-40, 60, 1)
    vessel = to_ecef(lat, lon, height, WGS84)
    beacon = from_enu(east, north, -depth, lat, lon, height, WGS84)
    return {"lat": lat, "lon": lon} | _named("vessel", vessel) | _named("beacon", beacon)


def _named(prefix: str, xyz: tuple[float, ...]) -> Answer:
    return {f"{prefix}_{axis}": printed(v, 2) for axis, v in zip(XYZ, xyz, strict=True)}


def _differences(g: Numbers) -> tuple[float, ...]:
    return tuple(g[f"beacon_{axis}"] - g[f"vessel_{axis}"] for axis in XYZ)


def _solve_local(g: Numbers) -> tuple[float, ...]:
    foot = _forward(g.lat, g.lon, 0.0, WGS84)
    point = (a + d for a, d in zip(foot, _differences(g), strict=True))
    return _local(*point, g.lat, g.lon, 0.0, WGS84)


def _work_local(g: Numbers) -> Answer:
    dx, dy, dz = _differences(g)
    out = cos(g.lon) * dx + sin(g.lon) * dy
    return {"dx": dx, "dy": dy, "dz": dz, "out": out, "size": math.hypot(dx, dy, dz)}


def _axes(prefix: str, name: str) -> tuple[Printed, ...]:
    return tuple(
        Printed(f"{prefix}_{axis}", f"{name} {axis.upper()}", "m", 2, signed=True) for axis in XYZ
    )


LOCAL = exercise(
    "ecef-local",
    elements=ELEMENTS,
    draw=_draw_local,
    printed=(
        Printed("lat", "φ, antenna", DMS, 1, kind="latitude"),
        Printed("lon", "λ, antenna", DMS, 1, kind="longitude"),
        *_axes("vessel", "Antenna"),
        *_axes("beacon", "Transponder"),
    ),
    asked=tuple(
        Asked(name, name.capitalize(), "length", "m", 2, 0.03, positive=name) for name in ENU
    ),
    pairs=(("east", "north"),),
    solve=_solve_local,
    slips={
        "no-rotation": _differences,
        "geocentric": misread(lat=_geocentric),
        "longitude-sign": misread(lon=lambda g: -g.lon),
        "angles-exchanged": lambda g: _rotated(_differences(g), lat=g.lon, lon=g.lat),
        "turned": turned(),
    },
    work=_work_local,
)


# ecef-lever-arm ------------------------------------------------------------------------
# Bearings: the arm lies 4.0° to 7.4° off the keel line; the heading 26° to 36° or 54° to 64° past
# one of the four quarters. Then heading ± arm and all that the slips make of them keep 2.6° or
# more from one another, from their mirror images and from 45°, and 1.6° from where one part is a
# foot in a metre of the other. On 20 m that is 0.4 m, 20 tolerances, or more.


def _draw_lever(dice: Dice) -> Answer:
    heading = dice.choose((0, 90, 180, 270)) + dice.choose((26, 54)) + dice.number(0, 10, 1)
    forward = dice.signed(20, 50, 2)
    starboard = abs(forward) * dice.number(0.072, 0.128, 3) * dice.choose((1, -1))
    return {
        "heading": printed(heading, 1),
        "forward": forward,
        "starboard": printed(starboard, 2),
        "down": dice.number(15, 27, 2),
        "height": dice.number(60, 90, 2),
    }


def _arm(g: Numbers) -> Answer:
    sine, cosine = sin(g.heading), cos(g.heading)
    return {
        "east": g.forward * sine + g.starboard * cosine,
        "north": g.forward * cosine - g.starboard * sine,
        "height": g.height - g.down,
    }


def _on_map(**numbers: Any) -> Variation:
    return misread("east", "north", **numbers)


LEVER_ARM = exercise(
    "ecef-lever-arm",
    elements=(*ELEMENTS, LEVER),
    draw=_draw_lever,
    printed=(
        Printed("heading", "θ, true heading", "°", 1),
        Printed("forward", "x, forward +", "m", 2, signed=True),
        Printed("starboard", "y, starboard +", "m", 2, signed=True),
        Printed("down", "z, down +", "m", 2, signed=True),
        Printed("height", "h of the antenna, above the ellipsoid", "m", 2, signed=True),
    ),
    asked=(
        Asked("east", "East", "length", "m", 2, 0.02, positive="east"),
        Asked("north", "North", "length", "m", 2, 0.02, positive="north"),
        Asked("height", "h of the transducer", "length", "m", 2, 0.02, positive="up"),
    ),
    pairs=(("east", "north"),),
    solve=_arm,
    slips={
        "no-heading": _on_map(heading=0.0),
        "heading-turned": _on_map(heading=lambda g: -g.heading),
        "from-east": _on_map(heading=lambda g: 90 - g.heading),
        "subtracted": misread(
            forward=lambda g: -g.forward, starboard=lambda g: -g.starboard, down=lambda g: -g.down
        ),
        "port": _on_map(starboard=lambda g: -g.starboard),
        "axes-exchanged": _on_map(forward=lambda g: g.starboard, starboard=lambda g: g.forward),
        "z-up": misread("height", down=lambda g: -g.down),
    },
    work=lambda g: {"sine": sin(g.heading), "cosine": cos(g.heading), "antenna": g.height},
)


# ecef-other-ellipsoid ------------------------------------------------------------------
# h goes down by 170 to 251 m (International) or up by 490 to 740 m (Bessel, Airy). With h 10 to
# 60 m before, what was kept, turned, of the other sign or of the axis alone stands 7 m, 140
# tolerances, apart or more. φ moves by 1.3″ or more, 130 tolerances.

OTHERS = {ellipsoid.name: ellipsoid for ellipsoid in (INTERNATIONAL1924, BESSEL1841, AIRY1830)}


def _draw_other(dice: Dice) -> Answer:
    name = dice.choose(tuple(OTHERS))
    lat, height = draw_angle(dice, 20, 65, 4), dice.number(10, 60, 2)
    p, _, z = to_ecef(lat, 0.0, height, WGS84)
    return {
        **{"lat": lat, "height": height, "p": printed(p, 3), "z": printed(z, 3), "name": name},
        "semi_major": OTHERS[name].semi_major,
        "inverse_flattening": OTHERS[name].inverse_flattening,
    }


def _other(g: Numbers) -> tuple[float, float]:
    lat, _, height = _back(g.p, 0.0, g.z, OTHERS[g.name])
    return lat, height


def _work_other(g: Numbers) -> Answer:
    lat, height = _other(g)
    e2 = OTHERS[g.name].eccentricity_squared
    return {"e2": e2, "moved": (lat - g.lat) * 3600, "rise": height - g.height}


def _changes_turned(g: Numbers) -> tuple[float, float]:
    lat, height = _other(g)
    return 2 * g.lat - lat, 2 * g.height - height


OTHER_ELLIPSOID = exercise(
    "ecef-other-ellipsoid",
    elements=ELEMENTS,
    draw=_draw_other,
    printed=(
        Printed("lat", "φ, WGS 84", DMS, 4, kind="latitude"),
        Printed("height", "h, WGS 84", "m", 2, signed=True),
        Printed("p", "p", "m", 3),
        Printed("z", "Z", "m", 3),
        Printed("name", "Other ellipsoid"),
        Printed("semi_major", "a", "m", 3),
        Printed("inverse_flattening", "1/f", "", 7),
    ),
    asked=(
        Asked("lat", "φ on the other", "latitude", DMS, 3, 0.01 / 3600),
        Asked("height", "h on the other", "length", "m", 2, 0.05, positive="up"),
    ),
    solve=_other,
    carry=lambda g, own: {"height": _height_by_axis(g.p, own.lat, OTHERS[g.name])},
    slips={
        "latitude-kept": lambda g: {"lat": g.lat},
        "height-kept": lambda g: {"height": g.height},
        "turned": _changes_turned,
        "axis-only": lambda g: {"height": g.height + WGS84.semi_major - g.semi_major},
    },
    work=_work_other,
)


# Say first -----------------------------------------------------------------------------

FIRST_ELLIPSOID = choice("ecef-first-ellipsoid", elements=ELEMENTS, marks=0)
FIRST_ROLL = choice("ecef-first-roll", elements=(*ELEMENTS, LEVER), marks=0)
