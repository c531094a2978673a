"""Exercises of lesson 04, Earth-centred coordinates and local east, north, up."""

import math
from functools import lru_cache

from exercises.bank.common import EARTH_RADIUS, cos, draw_angle, sin, to_print
from exercises.question.dice import Dice, apart, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import dms, number
from geokit.ecef import from_ecef, from_enu, to_ecef, to_enu
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import AIRY1830, BESSEL1841, INTERNATIONAL1924, WGS84
from geokit.lines import direct, inverse

IOGP = "IOGP Publication 373-7-2, geographic/geocentric conversions (EPSG method 9602)"
IOGP_LOCAL = "IOGP Publication 373-7-2, geocentric/topocentric conversions (EPSG method 9836)"
ELEMENTS = ("S-5A F1.2d", "S-5B E4.1b")
WGS84_NUMBERS = (
    "WGS 84 (a\u00a0=\u00a06\u202f378\u202f137\u00a0m, 1/f\u00a0=\u00a0298.257\u202f223\u202f563)"
)

LATITUDE = Printed("lat", "φ, geodetic latitude", DMS, 4, kind="latitude")
LONGITUDE = Printed("lon", "λ, longitude", DMS, 4, kind="longitude")
HEIGHT = Printed("height", "h, above the ellipsoid", "m", 2, signed=True)
XYZ = ("x", "y", "z")
ENU = ("east", "north", "up")

_forward = lru_cache(maxsize=64)(to_ecef)
_back = lru_cache(maxsize=64)(from_ecef)


def _named(names: tuple[str, ...], values: tuple[float, ...]) -> Answer:
    return dict(zip(names, values, strict=True))


def _numbers(g: Given, *names: str) -> tuple[float, ...]:
    return tuple(g[name] for name in names)


def _prime_vertical_radius(latitude: float, ellipsoid: Ellipsoid) -> float:
    """Return ν as a calculator does: the wrong routes need it a hundred thousand times."""
    e2 = ellipsoid.eccentricity_squared
    return ellipsoid.semi_major / math.sqrt(1 - e2 * sin(latitude) ** 2)


def _height_by_axis(p: float, latitude: float, ellipsoid: Ellipsoid) -> float:
    """Return h = p/cos φ − ν: how far the normal reaches beyond ν from the Earth's axis."""
    return p / cos(latitude) - _prime_vertical_radius(latitude, ellipsoid)


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


def _turned_to_map(out: float, up: float, lon: float) -> Answer:
    """Return X, Y, Z from the distance to the axis, the height above the equator's plane and λ."""
    return {"x": out * cos(lon), "y": out * sin(lon), "z": up}


def _sphere(g: Given) -> Answer:
    radius = EARTH_RADIUS + g["height"]
    return _turned_to_map(radius * cos(g["lat"]), radius * sin(g["lat"]), g["lon"])


def _geocentric(g: Given) -> Answer:
    lat = math.degrees(
        math.atan((1 - WGS84.eccentricity_squared) * math.tan(math.radians(g["lat"])))
    )
    nu = _prime_vertical_radius(lat, WGS84)
    up = ((1 - WGS84.eccentricity_squared) * nu + g["height"]) * sin(lat)
    return _turned_to_map((nu + g["height"]) * cos(lat), up, g["lon"])


def _steps_forward(g: Given) -> list[str]:
    nu, e2 = _prime_vertical_radius(g["lat"], WGS84), WGS84.eccentricity_squared
    right = FORWARD.solve(g)
    return [
        f"e² = f(2 − f) = {e2:.12f}; ν = a/√(1 − e² sin²φ) = {number(nu, 3)} m.",
        f"X = (ν + h) cos φ cos λ = {number(nu + g['height'], 3)} × {cos(g['lat']):.10f} × "
        f"{cos(g['lon']):+.10f} = **{number(right['x'], 2)} m**.",
        f"Y = (ν + h) cos φ sin λ, with sin λ = {sin(g['lon']):+.10f}: "
        f"**{number(right['y'], 2)} m**. "
        f"{'West' if g['lon'] < 0 else 'East'} longitude, so Y is "
        f"{'negative' if g['lon'] < 0 else 'positive'}.",
        f"Z = ((1 − e²)ν + h) sin φ = {number((1 - e2) * nu + g['height'], 3)} × "
        f"{sin(g['lat']):+.10f} = **{number(right['z'], 2)} m**. The factor 1 − e² is the "
        "flattening: the normal meets the axis beyond the centre.",
    ]


FORWARD = Exercise(
    key="ecef-forward",
    topic="ecef",
    title="Latitude, longitude, height to X, Y, Z",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt=f"An antenna's geodetic position is given on {WGS84_NUMBERS}; h is above the ellipsoid. "
    "What are its **Earth-centred coordinates**? X points to latitude 0, longitude 0, Y to 0, "
    "90° E, Z to the north pole. Give all three to 0.01 m, each with its sign; right within "
    "±0.05 m.",
    draw=_draw_forward,
    printed=(LATITUDE, LONGITUDE, HEIGHT),
    asked=tuple(Asked(name, name.upper(), "length", "m", 2, 0.05) for name in XYZ),
    pairs=(("x", "y"),),
    solve=lambda g: _named(XYZ, _forward(*_numbers(g, "lat", "lon", "height"), WGS84)),
    slips=(
        Slip(
            "no-flattening",
            "(1 − e²) left out of Z",
            lambda g: {
                "z": (_prime_vertical_radius(g["lat"], WGS84) + g["height"]) * sin(g["lat"])
            },
            "{value} has ν + h in it. That reaches down to the axis, beyond the centre; from the "
            "plane of the equator it is (1 − e²)ν + h.",
        ),
        Slip(
            "geocentric",
            "Geocentric latitude put in",
            _geocentric,
            "The latitude was turned into the geocentric one first. The formulas want the geodetic "
            "latitude, that of the normal, as it is given.",
        ),
        Slip(
            "sphere",
            "A sphere of 6 371 km",
            _sphere,
            "This is on a sphere of 6\u202f371 km, kilometres from the antenna. Use ν, and 1 − e² "
            "in Z.",
        ),
        Slip(
            "east-for-west",
            "East and west changed about",
            lambda g: {"y": -FORWARD.solve(g)["y"]},
            "{value} lies on the other side of the zero meridian. East longitude is positive, west "
            "negative, and Y goes with it.",
        ),
        Slip(
            "no-height",
            "h left out",
            lambda g: _named(XYZ, _forward(g["lat"], g["lon"], 0.0, WGS84)),
            "This is the foot of the antenna on the ellipsoid: the height h is missing.",
        ),
    ),
    nudges=(
        "Begin with ν, the length of the normal from the ellipsoid to the Earth's axis.",
        "The distance from the axis is (ν + h) cos φ. λ shares it out between X and Y.",
    ),
    steps=_steps_forward,
    source=f"{IOGP}; checked against EC-01, EC-03 and EC-07 in tests.",
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


def _from_axis(g: Given) -> float:
    return math.hypot(g["x"], g["y"])


def _with_height(g: Given, latitude: float) -> Answer:
    return {"lat": latitude, "height": _height_by_axis(_from_axis(g), latitude, WGS84)}


def _steepened(g: Given, factor: float) -> Answer:
    """Return φ = atan(factor · Z/p), and h from it."""
    return _with_height(g, math.degrees(math.atan(factor * g["z"] / _from_axis(g))))


def _inverse_solved(g: Given) -> Answer:
    lat, _, height = _back(*_numbers(g, *XYZ), WGS84)
    return {"lat": lat, "height": height}


def _steps_inverse(g: Given) -> list[str]:
    right, p, e2 = _inverse_solved(g), _from_axis(g), WGS84.eccentricity_squared
    first = _steepened(g, 1 / (1 - e2))["lat"]
    return [
        f"Distance from the Earth's axis: p = √(X² + Y²) = {number(p, 3)} m.",
        f"A first latitude as if h were 0: tan φ = Z / (p(1 − e²)), φ = "
        f"{dms(first, 4, 'latitude')}.",
        "Then again and again ν = a/√(1 − e² sin²φ), tan φ = (Z + e²ν sin φ)/p, until it stands "
        f"still: **φ = {dms(right['lat'], 3, 'latitude')}**.",
        f"h = p/cos φ − ν = {number(p / cos(right['lat']), 3)} − "
        f"{number(_prime_vertical_radius(right['lat'], WGS84), 3)} = **{right['height']:+.2f} m**. "
        "Carry φ with five decimals of a second for this.",
    ]


INVERSE = Exercise(
    key="ecef-inverse",
    topic="ecef",
    title="X, Y, Z back to latitude and height",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A GNSS engine gives an antenna's Earth-centred coordinates. What are its **geodetic "
    f"latitude** φ and its **height h above the ellipsoid**, on {WGS84_NUMBERS}? Give φ to 0.001″, "
    "right within ±0.01″, and h, up positive, to 0.01 m, right within ±0.05 m.",
    draw=_draw_inverse,
    printed=tuple(Printed(name, name.upper(), "m", 3) for name in XYZ),
    asked=(
        Asked("lat", "φ", "latitude", DMS, 3, 0.01 / 3600),
        Asked("height", "h", "length", "m", 2, 0.05, positive="up"),
    ),
    solve=_inverse_solved,
    carry=lambda g, own: {"height": _with_height(g, own["lat"])["height"]},
    slips=(
        Slip(
            "geocentric",
            "Geocentric latitude",
            lambda g: _steepened(g, 1),
            "This comes from tan φ = Z/p: the angle at the Earth's centre. The normal does not "
            "point there; a geodetic latitude is steeper.",
        ),
        Slip(
            "parametric",
            "Stopped at the parametric latitude",
            lambda g: _steepened(g, 1 / (1 - WGS84.flattening)),
            "This is the parametric latitude, a help on the way: tan φ has 1 − e² below the line, "
            "not 1 − f.",
        ),
        Slip(
            "multiplied",
            "1 − e² the wrong way round",
            lambda g: _steepened(g, 1 - WGS84.eccentricity_squared),
            "1 − e² went above the line. A geodetic latitude is larger than the geocentric one, so "
            "Z/p is divided by it.",
        ),
        Slip(
            "radius",
            "h taken as r − a",
            lambda g: {"height": math.hypot(_from_axis(g), g["z"]) - WGS84.semi_major},
            "{value} is the distance from the Earth's centre, less a. The ellipsoid is that far out "
            "at the equator only.",
        ),
        Slip(
            "no-flattening",
            "(1 − e²) left out of the height",
            lambda g: {
                "height": g["z"] / sin(_inverse_solved(g)["lat"])
                - _prime_vertical_radius(_inverse_solved(g)["lat"], WGS84)
            },
            "{value} is Z/sin φ − ν. From the plane of the equator the normal is only (1 − e²)ν "
            "long; or take h = p/cos φ − ν.",
        ),
    ),
    nudges=(
        "Put the point in its meridian: how far from the axis is it, how far above the equator?",
        "Latitude first, by repeating; then h = p/cos φ − ν.",
    ),
    steps=_steps_inverse,
    source=f"{IOGP}; checked against EC-02 in tests.",
)


# ecef-baseline -------------------------------------------------------------------------
# The routes differ by metres. Their first terms tell them apart beforehand, within 0.2 m; a draw
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
    return {
        "lat1": lat,
        "lon1": lon,
        "height1": height1,
        "lat2": to_print(lat2, 4),
        "lon2": to_print(lon2, 4),
        "height2": height2,
    }


def _vector(g: Given, share1: float = 1.0, share2: float = 1.0) -> tuple[float, ...]:
    """Return ΔX, ΔY, ΔZ from 1 to 2, with a share of each height: 0 leaves it out."""
    first = _forward(g["lat1"], g["lon1"], g["height1"] * share1, WGS84)
    second = _forward(g["lat2"], g["lon2"], g["height2"] * share2, WGS84)
    return tuple(b - a for a, b in zip(first, second, strict=True))


def _length(g: Given, share1: float = 1.0, share2: float = 1.0) -> Answer:
    return {"length": math.hypot(*_vector(g, share1, share2))}


def _horizontal(g: Given) -> float:
    dx, dy, dz = _vector(g)
    out = cos(g["lon1"]) * dx + sin(g["lon1"]) * dy
    up = cos(g["lat1"]) * out + sin(g["lat1"]) * dz
    return math.sqrt(dx * dx + dy * dy + dz * dz - up * up)


def _steps_baseline(g: Given) -> list[str]:
    ends = [_forward(g[f"lat{end}"], g[f"lon{end}"], g[f"height{end}"], WGS84) for end in (1, 2)]
    dx, dy, dz = _vector(g)
    geodesic = BASELINE.slip("geodesic").route(g)["length"]
    right = _length(g)["length"]
    rows = (
        f"Station {end}: X, Y, Z = {', '.join(number(value, 3) for value in xyz)} m."
        for end, xyz in enumerate(ends, 1)
    )
    return [
        *rows,
        f"Differences: ΔX = {number(dx, 3)}, ΔY = {number(dy, 3)}, ΔZ = {number(dz, 3)} m.",
        f"√(ΔX² + ΔY² + ΔZ²) = **{number(right, 2)} m**. The geodesic on the ellipsoid below is "
        f"{number(geodesic, 2)} m, {geodesic - right:+.2f} m: neither is wrong, they are two "
        "lines.",
    ]


def _end(end: int, name: str) -> tuple[Printed, ...]:
    return (
        Printed(f"lat{end}", f"{name} φ", DMS, 4, kind="latitude"),
        Printed(f"lon{end}", f"{name} λ", DMS, 4, kind="longitude"),
        Printed(f"height{end}", f"{name} h", "m", 2, signed=True),
    )


BASELINE = Exercise(
    key="ecef-baseline",
    topic="ecef",
    title="Straight from antenna to antenna",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="Two GNSS reference antennas stand high above the sea. Their positions are on "
    f"{WGS84_NUMBERS}; h is above the ellipsoid. How long is the **straight line in space** between "
    "the two antennas, the length of the GNSS vector? Keep ten figures and more. Give it to "
    "0.01 m; right within ±0.02 m.",
    draw=_draw_baseline,
    printed=(*_end(1, "1:"), *_end(2, "2:")),
    asked=(Asked("length", "Straight line", "length", "m", 2, 0.02),),
    solve=_length,
    slips=(
        Slip(
            "geodesic",
            "The geodesic on the ellipsoid",
            lambda g: {"length": inverse(*_numbers(g, "lat1", "lon1", "lat2", "lon2"), WGS84)[0]},
            "{value} runs along the ellipsoid, below both antennas. GNSS measures straight through: "
            "from X, Y, Z.",
        ),
        Slip(
            "no-height-1",
            "The height of station 1 left out",
            lambda g: _length(g, share1=0),
            "{value} starts at the ellipsoid below station 1. Put its height into X, Y and Z.",
        ),
        Slip(
            "no-height-2",
            "The height of station 2 left out",
            lambda g: _length(g, share2=0),
            "{value} ends at the ellipsoid below station 2. Put its height into X, Y and Z.",
        ),
        Slip(
            "no-heights",
            "Both heights left out",
            lambda g: _length(g, 0, 0),
            "{value} joins the two feet on the ellipsoid. The antennas stand above them: put h into "
            "X, Y and Z.",
        ),
        Slip(
            "horizontal",
            "East and north only",
            lambda g: {"length": _horizontal(g)},
            "{value} is the part in station 1's horizontal plane. The Earth falls "
            "away below that plane, and the heights differ: take up along.",
        ),
        Slip(
            "no-z",
            "ΔZ left out",
            lambda g: {"length": math.hypot(*_vector(g)[:2])},
            "{value} is from ΔX and ΔY alone, as if they were a map. X and Y are not east and "
            "north: all three count.",
        ),
    ),
    nudges=(
        "Turn both positions into X, Y, Z first, each with its height.",
        "Three differences, squared, added, and the root.",
    ),
    steps=_steps_baseline,
    source=f"{IOGP}; Pythagoras in space.",
)


# ecef-local ----------------------------------------------------------------------------
# A rotation turns about some line, and a vector along it does not notice. The transponder lies so
# that none of the wrong rotations has its line there: steeply below (E and N 0.10 to 0.22 of the
# depth), |φ| 15° to 48°, |λ| 52° to 65° or as far from 180°. A search over that box finds no two
# outcomes nearer than a seventh of the depth, and E and N 0.03 of the depth apart; only the
# geocentric latitude is near: 0.0017 of the depth, 1.7 m or 55 tolerances.


def _draw_local(dice: Dice) -> Answer:
    while True:
        thousandths = dice.signed(100, 220, 0), dice.signed(100, 220, 0)
        if abs(abs(thousandths[0]) - abs(thousandths[1])) >= 30:
            break
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
    return {
        "lat": lat,
        "lon": lon,
        **{f"vessel_{name}": printed(v, 2) for name, v in zip(XYZ, vessel, strict=True)},
        **{f"beacon_{name}": printed(v, 2) for name, v in zip(XYZ, beacon, strict=True)},
    }


def _differences(g: Given) -> tuple[float, ...]:
    return tuple(g[f"beacon_{name}"] - g[f"vessel_{name}"] for name in XYZ)


def _turned(g: Given, lat: float, lon: float) -> Answer:
    """Turn the differences of X, Y, Z with this latitude and longitude."""
    dx, dy, dz = _differences(g)
    out = cos(lon) * dx + sin(lon) * dy
    return {
        "east": cos(lon) * dy - sin(lon) * dx,
        "north": cos(lat) * dz - sin(lat) * out,
        "up": cos(lat) * out + sin(lat) * dz,
    }


@lru_cache(maxsize=32)
def _local(lat: float, lon: float, *differences: float) -> tuple[float, ...]:
    foot = _forward(lat, lon, 0.0, WGS84)
    point = (a + d for a, d in zip(foot, differences, strict=True))
    return to_enu(*point, lat, lon, 0.0, WGS84)


def _solve_local(g: Given) -> Answer:
    return _named(ENU, _local(g["lat"], g["lon"], *_differences(g)))


def _steps_local(g: Given) -> list[str]:
    dx, dy, dz = _differences(g)
    right = _solve_local(g)
    out = cos(g["lon"]) * dx + sin(g["lon"]) * dy
    return [
        f"Transponder minus vessel: ΔX = {number(dx, 2)}, ΔY = {number(dy, 2)}, "
        f"ΔZ = {number(dz, 2)} m.",
        f"East = −sin λ ΔX + cos λ ΔY = **{right['east']:+.2f} m**.",
        f"Away from the Earth's axis: cos λ ΔX + sin λ ΔY = {out:+.2f} m.",
        f"North = cos φ ΔZ − sin φ × ({out:+.2f}) = **{right['north']:+.2f} m**.",
        f"Up = sin φ ΔZ + cos φ × ({out:+.2f}) = **{right['up']:+.2f} m**: the transponder lies "
        "below the vessel, so up is negative.",
        f"A check: √(E² + N² + U²) = √(ΔX² + ΔY² + ΔZ²) = {math.hypot(dx, dy, dz):.2f} m.",
    ]


def _xyz(prefix: str, name: str) -> tuple[Printed, ...]:
    return tuple(
        Printed(f"{prefix}_{axis}", f"{name} {axis.upper()}", "m", 2, signed=True) for axis in XYZ
    )


LOCAL = Exercise(
    key="ecef-local",
    topic="ecef",
    title="A transponder, east, north and up",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="The antenna of the *Maren Quill* and a transponder near the seabed have Earth-centred "
    "coordinates in one frame. φ and λ are the antenna's geodetic latitude and longitude, WGS 84. "
    "Where does the **transponder** lie **as seen from the antenna**, in local east, north and up "
    "(up along the ellipsoid normal at the antenna)? Give all three to 0.01 m, each with its sign; "
    "right within ±0.03 m.",
    draw=_draw_local,
    printed=(
        Printed("lat", "φ, antenna", DMS, 1, kind="latitude"),
        Printed("lon", "λ, antenna", DMS, 1, kind="longitude"),
        *_xyz("vessel", "Antenna"),
        *_xyz("beacon", "Transponder"),
    ),
    asked=tuple(
        Asked(name, name.capitalize(), "length", "m", 2, 0.03, positive=name) for name in ENU
    ),
    pairs=(("east", "north"),),
    solve=_solve_local,
    slips=(
        Slip(
            "no-rotation",
            "ΔX, ΔY, ΔZ taken as east, north, up",
            lambda g: _named(ENU, _differences(g)),
            "These are the differences of X, Y, Z themselves. X is up only at latitude 0, longitude "
            "0: turn them by λ and φ first.",
        ),
        Slip(
            "geocentric",
            "Geocentric latitude in the rotation",
            lambda g: _turned(
                g,
                math.degrees(
                    math.atan((1 - WGS84.eccentricity_squared) * math.tan(math.radians(g["lat"])))
                ),
                g["lon"],
            ),
            "The latitude was turned into the geocentric one. Up is along the normal, so the "
            "geodetic latitude belongs in the rotation.",
        ),
        Slip(
            "longitude-sign",
            "East and west longitude changed about",
            lambda g: _turned(g, g["lat"], -g["lon"]),
            "The rotation was made with the longitude of the other hemisphere. West is negative, "
            "and its sine with it.",
        ),
        Slip(
            "angles-exchanged",
            "Latitude and longitude exchanged",
            lambda g: _turned(g, g["lon"], g["lat"]),
            "φ and λ have changed places in the rotation: λ turns about the Earth's axis, φ in the "
            "meridian after it.",
        ),
        Slip(
            "turned",
            "The vessel as seen from the transponder",
            lambda g: {name: -value for name, value in _solve_local(g).items()},
            "All three signs are turned: this leads from the transponder to the antenna. Take "
            "transponder minus antenna.",
        ),
    ),
    nudges=(
        "First ΔX, ΔY, ΔZ, transponder minus antenna. Their length must not change after that.",
        "Two turns: about the Earth's axis by λ, then in the meridian by φ.",
    ),
    steps=_steps_local,
    source=f"{IOGP_LOCAL}; checked against EN-01 and EN-02 in tests.",
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


def _arm(g: Given, heading: float, starboard: float = 1.0, sense: float = 1.0) -> Answer:
    """Return the hull point for a heading; −1 turns the starboard side or the whole arm."""
    forward, side = g["forward"] * sense, g["starboard"] * starboard * sense
    return {
        "east": forward * sin(heading) + side * cos(heading),
        "north": forward * cos(heading) - side * sin(heading),
    }


def _height(g: Given, sense: float = 1.0) -> Answer:
    return {"height": g["height"] - sense * g["down"]}


def _steps_lever(g: Given) -> list[str]:
    right, heading = _arm(g, g["heading"]), g["heading"]
    return [
        f"The heading is {heading:.1f}°, so the bow points to sin = {sin(heading):+.4f} east and "
        f"cos = {cos(heading):+.4f} north; starboard is 90° clockwise of it.",
        f"East = x sin θ + y cos θ = ({g['forward']:+.2f})({sin(heading):+.4f}) + "
        f"({g['starboard']:+.2f})({cos(heading):+.4f}) = **{right['east']:+.2f} m**.",
        f"North = x cos θ − y sin θ = ({g['forward']:+.2f})({cos(heading):+.4f}) − "
        f"({g['starboard']:+.2f})({sin(heading):+.4f}) = **{right['north']:+.2f} m**.",
        f"z counts down and h up: {g['height']:.2f} − {g['down']:.2f} = "
        f"**{_height(g)['height']:.2f} m**.",
    ]


LEVER_ARM = Exercise(
    key="ecef-lever-arm",
    topic="ecef",
    title="From the antenna to the hull",
    edition=1,
    elements=(*ELEMENTS, "S-5B E3.3a"),
    aids="calculator",
    prompt="The lever arm leads **from the GNSS antenna to the USBL transducer** in the vessel's "
    "axes: x forward, y to starboard, z down. The vessel lies level (no roll, no pitch) on a **true** "
    "heading θ, clockwise from north. Where is the transducer as seen from the antenna, east and "
    "north, and what is its height above the ellipsoid? Give all three to 0.01 m; right within "
    "±0.02 m.",
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
    solve=lambda g: _arm(g, g["heading"]) | _height(g),
    slips=(
        Slip(
            "no-heading",
            "The heading left out",
            lambda g: {"east": g["starboard"], "north": g["forward"]},
            "This is the arm as it stands in the drawing, for a heading of north. Turn it by "
            "the heading.",
        ),
        Slip(
            "heading-turned",
            "The heading turned the other way",
            lambda g: _arm(g, -g["heading"]),
            "This belongs to the heading 360° − θ. Headings count clockwise from north: "
            "east = x sin θ + y cos θ.",
        ),
        Slip(
            "from-east",
            "The heading counted from east",
            lambda g: _arm(g, 90 - g["heading"]),
            "Sine and cosine are changed about. A heading counts from north: on 0° all of x "
            "is north.",
        ),
        Slip(
            "subtracted",
            "The arm the other way round",
            lambda g: _arm(g, g["heading"], sense=-1) | _height(g, -1),
            "This leads from the transducer to the antenna. The arm as printed starts at the "
            "antenna: add it.",
        ),
        Slip(
            "port",
            "Port for starboard",
            lambda g: _arm(g, g["heading"], starboard=-1),
            "This has y to port. Starboard is positive, 90° clockwise of the bow.",
        ),
        Slip(
            "axes-exchanged",
            "x to starboard, y forward",
            lambda g: _arm(
                {**g, "forward": g["starboard"], "starboard": g["forward"]}, g["heading"]
            ),
            "x went to starboard and y forward, as some makers draw them. Here x is forward and y "
            "to starboard: read the drawing's axes first.",
        ),
        Slip(
            "z-up",
            "z taken as up",
            lambda g: _height(g, -1),
            "{value} puts the transducer above the antenna. z is down here, h is up.",
        ),
    ),
    nudges=(
        "Sketch the vessel on its heading and draw the arm from the antenna.",
        "Which way is starboard on this heading? Share x and y out between east and north.",
    ),
    steps=_steps_lever,
    source="A rotation in the plane. Axes: common practice, no source; every maker has his own, so "
    "read the drawing.",
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
        "lat": lat,
        "height": height,
        "p": printed(p, 3),
        "z": printed(z, 3),
        "name": name,
        "semi_major": OTHERS[name].semi_major,
        "inverse_flattening": OTHERS[name].inverse_flattening,
    }


def _solve_other(g: Given) -> Answer:
    lat, _, height = _back(g["p"], 0.0, g["z"], OTHERS[g["name"]])
    return {"lat": lat, "height": height}


def _steps_other(g: Given) -> list[str]:
    right, other = _solve_other(g), OTHERS[g["name"]]
    return [
        "The point stays where it is: p and Z are the same numbers on any ellipsoid with that "
        "centre. λ stays too.",
        f"With e² = f(2 − f) = {other.eccentricity_squared:.10f}, repeat tan φ = (Z + e²ν sin φ)/p "
        f"until it stands still: **φ = {dms(right['lat'], 3, 'latitude')}**, "
        f"{(right['lat'] - g['lat']) * 3600:+.3f}″.",
        f"h = p/cos φ − ν = **{right['height']:+.2f} m**, {right['height'] - g['height']:+.2f} m: "
        f"this ellipsoid's surface lies {'above' if right['height'] < g['height'] else 'below'} "
        "that of WGS 84 here.",
        "A datum shift would move p and Z as well, by a hundred metres or more. This is only the "
        "ellipsoid.",
    ]


OTHER_ELLIPSOID = Exercise(
    key="ecef-other-ellipsoid",
    topic="ecef",
    title="The same point on another ellipsoid",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="An antenna has the latitude φ and height h given, on WGS 84; p = √(X² + Y²) is its "
    "distance from the Earth's axis, and Z its height above the plane of the equator. Somebody reads "
    "**the same X, Y, Z** with the other ellipsoid set in his program, with the same centre and axes "
    "and no datum shift. Which **latitude** and which **height above that ellipsoid** does he get? "
    "Give φ to 0.001″, right within ±0.01″, and h, up positive, to 0.01 m, right within ±0.05 m.",
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
    solve=_solve_other,
    carry=lambda g, own: {"height": _height_by_axis(g["p"], own["lat"], OTHERS[g["name"]])},
    slips=(
        Slip(
            "latitude-kept",
            "Latitude kept",
            lambda g: {"lat": g["lat"]},
            "The latitude did not change. The other ellipsoid is flatter or rounder, so its normal "
            "through this point has another slope.",
        ),
        Slip(
            "height-kept",
            "Height kept",
            lambda g: {"height": g["height"]},
            "{value} is the height above WGS 84. The other ellipsoid's surface runs elsewhere, "
            "hundreds of metres from it.",
        ),
        Slip(
            "turned",
            "The changes the other way round",
            lambda g: {name: 2 * g[name] - value for name, value in _solve_other(g).items()},
            "The changes have the right size and the wrong way. On a larger ellipsoid the same "
            "point stands lower.",
        ),
        Slip(
            "axis-only",
            "The difference of a alone",
            lambda g: {"height": g["height"] + WGS84.semi_major - OTHERS[g["name"]].semi_major},
            "{value} took the difference of the two equatorial radii off the height. Away from the "
            "equator the flattening counts too.",
        ),
    ),
    nudges=(
        "What stays the same, and what is only read differently?",
        "Go back from p and Z to φ and h, with a and 1/f of the other ellipsoid.",
    ),
    steps=_steps_other,
    source=f"{IOGP}.",
)


# Say first -----------------------------------------------------------------------------

FIRST_ELLIPSOID = choice(
    "ecef-first-ellipsoid",
    "Say first: the wrong ellipsoid",
    "You hand over the right X, Y, Z of an antenna. The other side's program is set to **another "
    "ellipsoid** with the same centre and axes, and shows latitude, longitude and height. Which of "
    "them come out different?",
    ("latitude-height", "Latitude and height"),
    {
        "all": (
            "All three",
            "Both ellipsoids are round about the same axis. The meridian through the point stays "
            "where it is, and the longitude with it.",
        ),
        "height": (
            "Only the height",
            "The height changes most, by up to hundreds of metres. But the normal through the point "
            "has another slope too, so the latitude moves by seconds.",
        ),
        "none": (
            "None: X, Y, Z have no ellipsoid",
            "X, Y, Z have none, and stay. Latitude and height are read off an ellipsoid, and "
            "change with it.",
        ),
    },
    elements=ELEMENTS,
    because="X, Y, Z stay, and so does longitude. Latitude moves by seconds, up to some 350 m on "
    "the ground from WGS 84 to another in use, and height by up to hundreds of metres.",
    source=f"{IOGP}.",
    marks=0,
)

FIRST_ROLL = choice(
    "ecef-first-roll",
    "Say first: three degrees of roll",
    "The GNSS antenna stands **30 m above** the USBL transducer. The vessel lists by 3° and nobody "
    "puts roll into the lever arm. How far from its computed place is the transducer?",
    ("metre-and-half", "About 1.6 m, across the vessel"),
    {
        "nothing": (
            "Nowhere: the arm has no part across the vessel",
            "On the drawing it has none. Lean the mast over by 3° and its foot goes sideways under "
            "it: 30 m × sin 3°.",
        ),
        "centimetres": (
            "A few centimetres, and downwards",
            "The height does change by 4 cm, 30 m × (1 − cos 3°). The sideways part is forty times "
            "that.",
        ),
        "depends-heading": (
            "It depends on the heading",
            "The heading says which way it lies, not how far. The distance is the same on every "
            "heading.",
        ),
    },
    elements=(*ELEMENTS, "S-5B E3.3a"),
    because="30 m × sin 3° = 1.57 m across the vessel: more than most GNSS errors on the same mast.",
    source="A right-angled triangle.",
    marks=0,
)

EXERCISES = (
    FIRST_ELLIPSOID,
    FIRST_ROLL,
    FORWARD,
    INVERSE,
    BASELINE,
    LOCAL,
    LEVER_ARM,
    OTHER_ELLIPSOID,
)
