"""Exercises of lesson 08, the two verticals."""

import math

from exercises.bank.common import EARTH_RADIUS, cos, sin
from exercises.question.dice import Dice, apart, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
from geokit.angles import RHO
from geokit.deflection import (
    along,
    from_astronomic,
    geodetic_azimuth,
    geodetic_zenith_angle,
    geoid_step,
    seabed_offset,
    total,
)

THEORY = "W. Torge and J. Müller, Geodesy, 4th ed. 2012, sections 5.5 and 6.1 (from memory)"
ELEMENTS = ("S-5A F1.1c", "S-5A F1.2d")

XI = Printed("xi", "ξ, deflection in the meridian, north +", "″", 1, signed=True)
ETA = Printed("eta", "η, deflection in the prime vertical, east +", "″", 1, signed=True)


# deflection-components -----------------------------------------------------------------


def _draw_components(dice: Dice) -> Answer:
    """Draw ξ and η·secφ in hundredths; the astronomic position follows from the geodetic one."""
    while True:
        lat = dice.signed(30, 70, 0) + dice.whole(0, 359_999) / 360_000
        lon = dice.signed(5, 170, 0) + dice.whole(0, 359_999) / 360_000
        xi = dice.signed(8, 45, 2)
        longitude_difference = dice.signed(12, 60, 2)
        eta = longitude_difference * cos(lat)
        sine_and_cosine_part = not 41 < abs(lat) < 49
        if abs(abs(xi) - abs(eta)) > 3 and sine_and_cosine_part:
            break
    return {
        "astro_lat": printed(lat + xi / 3600, 10),
        "astro_lon": printed(lon + longitude_difference / 3600, 10),
        "lat": printed(lat, 10),
        "lon": printed(lon, 10),
    }


def _components(g: Given) -> tuple[float, float]:
    return from_astronomic(g["astro_lat"], g["astro_lon"], g["lat"], g["lon"])


def _longitude_difference(g: Given) -> float:
    return (g["astro_lon"] - g["lon"]) * 3600


def _steps_components(g: Given) -> list[str]:
    xi, eta = _components(g)
    return [
        f"Φ − φ = {xi:+.2f}″, so **ξ = {xi:+.2f}″**: the astronomic latitude stands "
        f"{'north' if xi > 0 else 'south'} of the geodetic one.",
        f"Λ − λ = {_longitude_difference(g):+.2f}″ of longitude. Meridians close in towards the "
        f"pole, so an arc across them is shorter by cos φ = {cos(g['lat']):.5f}.",
        f"**η = {eta:+.2f}″**: gravity's zenith leans {'east' if eta > 0 else 'west'}.",
    ]


COMPONENTS = Exercise(
    key="deflection-components",
    topic="deflection",
    title="Two positions of one pillar",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A star camera on a pillar gives its astronomic latitude Φ and longitude Λ, from the "
    "direction of gravity. GNSS gives the geodetic latitude φ and longitude λ of the same pillar, "
    "WGS 84. Which deflection of the vertical follows, in the sense **astronomic minus geodetic**? "
    "Give ξ and η to 0.01″; right within ±0.05″.",
    draw=_draw_components,
    printed=(
        Printed("astro_lat", "Φ, astronomic latitude", DMS, 2, kind="latitude"),
        Printed("astro_lon", "Λ, astronomic longitude", DMS, 2, kind="longitude"),
        Printed("lat", "φ, geodetic latitude", DMS, 2, kind="latitude"),
        Printed("lon", "λ, geodetic longitude", DMS, 2, kind="longitude"),
    ),
    asked=(
        Asked("xi", "ξ", "angle", "″", 2, 0.05, positive="north"),
        Asked("eta", "η", "angle", "″", 2, 0.05, positive="east"),
    ),
    pairs=(("xi", "eta"),),
    solve=lambda g: dict(zip(("xi", "eta"), _components(g), strict=True)),
    slips=(
        Slip(
            "no-cosine",
            "cos φ left out",
            lambda g: {"eta": _longitude_difference(g)},
            "{value} is the difference of the two longitudes. It is an angle at the axis; "
            "the lean of the vertical is the arc across the meridians, shorter by cos φ.",
        ),
        Slip(
            "cosine-divided",
            "Divided by cos φ",
            lambda g: {"eta": _longitude_difference(g) / cos(g["lat"])},
            "{value} comes from dividing by cos φ. Meridians close in towards the pole, so the arc "
            "between them is shorter than the difference of longitude, never longer.",
        ),
        Slip(
            "sine",
            "sin φ for cos φ",
            lambda g: {"eta": _longitude_difference(g) * sin(abs(g["lat"]))},
            "{value} has sin φ where cos φ belongs. At the equator a second of longitude is a full "
            "second of arc: cos 0° = 1.",
        ),
        Slip(
            "turned",
            "Geodetic minus astronomic",
            lambda g: dict(zip(("xi", "eta"), (-v for v in _components(g)), strict=True)),
            "The size is right and the sign is turned: asked is astronomic minus geodetic, where "
            "gravity's zenith stands as seen from the ellipsoid's.",
            also=("sign",),
        ),
        Slip(
            "swapped",
            "ξ and η swapped",
            lambda g: dict(zip(("eta", "xi"), _components(g), strict=True)),
            "ξ goes with latitude, north-south; η goes with longitude, east-west.",
            also=("swapped",),
        ),
    ),
    nudges=(
        "Take the latitudes first: which of the two zeniths lies further north?",
        "For η: how long is one second of longitude at this latitude, measured along the parallel?",
    ),
    steps=_steps_components,
    source=f"ξ = Φ − φ, η = (Λ − λ) cos φ. {THEORY}.",
)


# deflection-total ----------------------------------------------------------------------


def _draw_total(dice: Dice) -> Answer:
    """ξ < 0 always: it is there that an arctangent without its quadrant goes wrong."""
    while True:
        xi, eta = -dice.number(8, 55, 1), dice.signed(8, 55, 1)
        if abs(abs(xi) - abs(eta)) > 4:
            return {"xi": xi, "eta": eta}


def _steps_total(g: Given) -> list[str]:
    size, azimuth = total(g["xi"], g["eta"])
    side = "east" if g["eta"] > 0 else "west"
    return [
        f"Size: √(ξ² + η²) = √({abs(g['xi']):.1f}² + {abs(g['eta']):.1f}²) = **{size:.1f}″**.",
        f"ξ is negative, so the zenith leans south; η says {side}. The azimuth lies in the "
        f"south-{side} quadrant.",
        f"Azimuth = atan2(η, ξ) = **{azimuth:.1f}°**, clockwise from north. A plain arctan(η/ξ) "
        f"gives {math.degrees(math.atan(g['eta'] / g['xi'])):.1f}° and forgets which quadrant.",
    ]


TOTAL = Exercise(
    key="deflection-total",
    topic="deflection",
    title="How much it leans, and which way",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="From the two components, how large is the total deflection of the vertical, and which "
    "way does **gravity's (astronomic) zenith** stand as seen from the ellipsoid's? Give the size "
    "to 0.1″, right within ±0.1″, and the azimuth, clockwise from true north, 0° to 360°, to 0.1°, "
    "right within ±0.2°.",
    draw=_draw_total,
    printed=(XI, ETA),
    asked=(
        Asked("size", "Size", "angle", "″", 1, 0.1),
        Asked("azimuth", "Azimuth", "azimuth", "°", 1, 0.2),
    ),
    solve=lambda g: dict(zip(("size", "azimuth"), total(g["xi"], g["eta"]), strict=True)),
    slips=(
        Slip(
            "sum",
            "Added, not squared",
            lambda g: {"size": abs(g["xi"]) + abs(g["eta"])},
            "{value} is ξ and η added up. They stand at right angles: √(ξ² + η²).",
        ),
        Slip(
            "difference",
            "Subtracted, not squared",
            lambda g: {"size": abs(abs(g["xi"]) - abs(g["eta"]))},
            "{value} is the difference of the two sizes. They stand at right angles: √(ξ² + η²).",
        ),
        Slip(
            "quadrant",
            "Opposite way: the quadrant lost",
            lambda g: {"azimuth": (total(g["xi"], g["eta"])[1] + 180) % 360},
            "{value} is exactly the other way. arctan(η/ξ) cannot tell two minus signs from none; "
            "or you gave the way a weight lands. Let the signs of ξ and η choose the quadrant.",
        ),
        Slip(
            "from-east",
            "Angle counted from east",
            lambda g: {"azimuth": math.degrees(math.atan2(g["xi"], g["eta"])) % 360},
            "{value} is a mathematician's angle, from east and anticlockwise. An azimuth counts "
            "clockwise from north: atan2(η, ξ), not atan2(ξ, η).",
        ),
        Slip(
            "anticlockwise",
            "Counted anticlockwise",
            lambda g: {"azimuth": -total(g["xi"], g["eta"])[1] % 360},
            "{value} counts from north the wrong way round: east of north is clockwise.",
        ),
    ),
    nudges=(
        "Sketch ξ up the page and η to the right, with their signs. In which quadrant is the arrow?",
        "The two components are the sides of a right-angled triangle.",
    ),
    steps=_steps_total,
    source=f"θ² = ξ² + η², azimuth = atan2(η, ξ). {THEORY}.",
)


# deflection-along-line -----------------------------------------------------------------


def _draw_along(dice: Dice) -> Answer:
    while True:
        given = {
            "xi": dice.signed(8, 50, 1),
            "eta": dice.signed(8, 50, 1),
            "azimuth": float(dice.whole(0, 359)),
        }
        routes = [along(given["xi"], given["eta"], given["azimuth"])]
        routes += [v for slip in ALONG_SLIPS for v in slip.route(given).values()]
        from_axes = abs(math.remainder(given["azimuth"], 45))
        large = min(abs(value) for value in routes) > 1.5
        if from_axes > 7 and large and apart([*routes, -routes[0]], 0.5):
            return given


ALONG_SLIPS = (
    Slip(
        "sine-cosine",
        "sin α and cos α swapped",
        lambda g: {"epsilon": g["xi"] * sin(g["azimuth"]) + g["eta"] * cos(g["azimuth"])},
        "{value} has sin and cos changed about. On a line due north (α = 0°) all of ξ counts and "
        "none of η.",
    ),
    Slip(
        "total",
        "The total for the part along the line",
        lambda g: {"epsilon": total(g["xi"], g["eta"])[0]},
        "{value} is the whole deflection. Only its part along the line tilts this line.",
    ),
    Slip(
        "difference",
        "Subtracted, not added",
        lambda g: {"epsilon": g["xi"] * cos(g["azimuth"]) - g["eta"] * sin(g["azimuth"])},
        "{value} has a minus between the two terms. Both are projections on the line: add them, "
        "each with its own sign.",
    ),
    Slip(
        "across",
        "The part across the line",
        lambda g: {"epsilon": g["eta"] * cos(g["azimuth"]) - g["xi"] * sin(g["azimuth"])},
        "{value} is the part across the line: it tilts an instrument sideways. Asked is the part "
        "along it.",
    ),
)


def _steps_along(g: Given) -> list[str]:
    alpha, value = g["azimuth"], along(g["xi"], g["eta"], g["azimuth"])
    return [
        f"ε = ξ cos α + η sin α with α = {alpha:.0f}°: cos α = {cos(alpha):+.4f}, "
        f"sin α = {sin(alpha):+.4f}.",
        f"ε = ({g['xi']:+.1f}″)({cos(alpha):+.4f}) + ({g['eta']:+.1f}″)({sin(alpha):+.4f}) = "
        f"**{value:+.1f}″**.",
        f"Gravity's zenith leans {'forward along' if value > 0 else 'back against'} the line, so "
        f"the geoid {'falls' if value > 0 else 'rises'} along it, against the ellipsoid.",
    ]


ALONG = Exercise(
    key="deflection-along-line",
    topic="deflection",
    title="The part along your line",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A line runs at azimuth α, clockwise from true north. What is the deflection ε **along "
    "the line**, positive where gravity's zenith leans forward, towards the line's far end? Give it "
    "to 0.1″; right within ±0.1″.",
    draw=_draw_along,
    printed=(XI, ETA, Printed("azimuth", "α, azimuth of the line, true", "°", 0)),
    asked=(Asked("epsilon", "ε", "angle", "″", 1, 0.1, positive="forward"),),
    solve=lambda g: {"epsilon": along(g["xi"], g["eta"], g["azimuth"])},
    slips=ALONG_SLIPS,
    nudges=(
        "Try the easy lines first: what is ε for a line due north? And due east?",
        "Project ξ on the line with cos α and η with sin α, each with its sign, and add.",
    ),
    steps=_steps_along,
    source=f"ε = ξ cos α + η sin α. {THEORY}.",
)


# deflection-plumb-offset ---------------------------------------------------------------


def _draw_plumb(dice: Dice) -> Answer:
    while True:
        xi, eta = dice.signed(20, 52, 1), dice.signed(20, 52, 1)
        if abs(abs(xi) - abs(eta)) > 9:
            return {"xi": xi, "eta": eta, "depth": float(dice.number(1500, 5500, 0, step=10))}


def _offset(g: Given) -> tuple[float, float]:
    return seabed_offset(g["xi"], g["eta"], g["depth"])


def _total_in_both(g: Given) -> Answer:
    east, north = _offset(g)
    length = math.hypot(east, north)
    return {"east": math.copysign(length, east), "north": math.copysign(length, north)}


def _steps_plumb(g: Given) -> list[str]:
    east, north = _offset(g)
    return [
        f"In radians: ξ = {g['xi']:+.1f}″ / 206 264.8 = {g['xi'] / RHO:+.7f}, "
        f"η = {g['eta']:+.1f}″ / 206 264.8 = {g['eta'] / RHO:+.7f}.".replace(
            "206 264", "206\u202f264"
        ),
        "Gravity's zenith leans the way of ξ and η. The weight hangs at the other end of the same "
        "line, so both signs turn.",
        f"East = −η·d = **{east:+.2f} m**, north = −ξ·d = **{north:+.2f} m**.",
    ]


PLUMB = Exercise(
    key="deflection-plumb-offset",
    topic="deflection",
    title="Where the weight lands",
    edition=1,
    elements=(*ELEMENTS, "S-5A F1.1d"),
    aids="calculator",
    prompt="A current meter hangs freely on its wire from a vessel at rest in still water. How far, "
    "and which way, does it stand from the point where the **ellipsoid normal** through the winch "
    "meets the same depth? Take the plumb line as straight. Give both parts to 0.01 m; right within "
    "±0.02 m.",
    draw=_draw_plumb,
    printed=(XI, ETA, Printed("depth", "depth below the winch", "m", 0)),
    asked=(
        Asked("east", "East", "length", "m", 2, 0.02, positive="east"),
        Asked("north", "North", "length", "m", 2, 0.02, positive="north"),
    ),
    pairs=(("east", "north"),),
    solve=lambda g: dict(zip(("east", "north"), _offset(g), strict=True)),
    slips=(
        Slip(
            "opposite",
            "It lands on the other side",
            lambda g: dict(zip(("east", "north"), (-v for v in _offset(g)), strict=True)),
            "{value}: that is where gravity's *zenith* leans. A weight hangs on the other end of the same "
            "line, so it lands the other way. The size is right.",
            also=("sign",),
        ),
        Slip(
            "swapped",
            "East and north swapped",
            lambda g: dict(zip(("north", "east"), _offset(g), strict=True)),
            "ξ lies in the meridian and moves the weight north or south; η moves it east or west.",
            also=("swapped",),
        ),
        Slip(
            "total",
            "The total in both parts",
            _total_in_both,
            "{value}: that is the whole distance. Each component moves the weight in its own direction "
            "only.",
        ),
        Slip(
            "at-centre",
            "30.9 m for each second",
            lambda g: {
                "east": -g["eta"] * EARTH_RADIUS / RHO,
                "north": -g["xi"] * EARTH_RADIUS / RHO,
            },
            "{value}: that comes from 30.9 m for each second of arc. That is for an angle at the Earth's "
            "centre, a star position. Here the angle stands at the winch: use the depth.",
        ),
        Slip(
            "no-radians",
            "A second taken as 1 : 100\u202f000",
            lambda g: {
                "east": -g["eta"] * 1e-5 * g["depth"],
                "north": -g["xi"] * 1e-5 * g["depth"],
            },
            "{value}: that takes one second as 1 : 100 000. It is 1 : 206 265, about 5 mm in each "
            "kilometre.".replace("100 000", "100\u202f000"),
        ),
    ),
    nudges=(
        "Sketch the plumb line through the winch. Its top leans towards the zenith. Which way does "
        "its foot go?",
        "One second of arc is 1 in 206\u202f265: how much is that over the depth?",
    ),
    steps=_steps_plumb,
    source=f"East = −η·d, north = −ξ·d (small angles). {THEORY}.",
)


# deflection-star-fix -------------------------------------------------------------------


def _draw_star(dice: Dice) -> Answer:
    while True:
        xi, eta = dice.signed(15, 60, 1), dice.signed(15, 60, 1)
        lat = dice.signed(38, 68, 0)
        if abs(abs(xi) - abs(eta)) > 6 and abs(abs(xi) - 2 * abs(eta)) > 3:
            return {"xi": xi, "eta": eta, "lat": lat}


def _metres(arcseconds: float) -> float:
    return arcseconds * EARTH_RADIUS / RHO


def _star(g: Given, xi: float = 1.0, eta: float = 1.0) -> Answer:
    return {"east": _metres(g["eta"]) * eta, "north": _metres(g["xi"]) * xi}


def _steps_star(g: Given) -> list[str]:
    answer = _star(g)
    return [
        f"On a sphere of 6\u202f371 km one second of arc is {_metres(1):.3f} m.",
        f"North = ξ × {_metres(1):.3f} = **{answer['north']:+.0f} m**.",
        f"East = η × {_metres(1):.3f} = **{answer['east']:+.0f} m**. η is already an arc on the "
        "ground: cos φ went into it when it was made from longitudes.",
        f"Altogether {math.hypot(*answer.values()):.0f} m, and nobody made a mistake: the stars "
        "were observed from gravity's vertical.",
    ]


STAR_FIX = Exercise(
    key="deflection-star-fix",
    topic="deflection",
    title="A position from the stars",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="An old survey fixed a rock by the stars, with a plumbed instrument. GNSS now gives its "
    "geodetic position. Where does the **star position** stand as seen from the geodetic one, star "
    "minus GNSS, on a sphere of 6\u202f371.0 km? Take both on one frame. Give both parts to 1 m; "
    "right within ±2 m.",
    draw=_draw_star,
    printed=(XI, ETA, Printed("lat", "φ, geodetic latitude, north +", "°", 0, signed=True)),
    asked=(
        Asked("east", "East", "length", "m", 0, 2.0, positive="east"),
        Asked("north", "North", "length", "m", 0, 2.0, positive="north"),
    ),
    pairs=(("east", "north"),),
    solve=_star,
    slips=(
        Slip(
            "opposite",
            "GNSS minus star",
            lambda g: _star(g, -1, -1),
            "{value}: that goes from the star position to GNSS. Gravity's zenith leans the way of ξ and "
            "η, and the position that the stars give goes with it.",
            also=("sign",),
        ),
        Slip(
            "cosine-twice",
            "cos φ used twice",
            lambda g: {"east": _metres(g["eta"]) * cos(g["lat"])},
            "{value} has cos φ in it once more. η = (Λ − λ) cos φ is already an arc on the ground.",
        ),
        Slip(
            "cosine-divided",
            "η turned back into longitude",
            lambda g: {"east": _metres(g["eta"]) / cos(g["lat"])},
            "{value} is η turned back into a difference of longitude and then taken as an arc. "
            "η is an arc on the ground as it stands.",
        ),
        Slip(
            "thirty",
            "30 m for each second",
            lambda g: {"east": 30.0 * g["eta"], "north": 30.0 * g["xi"]},
            "{value}: that comes from 30 m for each second. It is 30.9 m: 1\u202f852 m for each minute, "
            "divided by sixty. Three in a hundred is much over a minute of arc.",
        ),
        Slip(
            "swapped",
            "East and north swapped",
            lambda g: {"east": _metres(g["xi"]), "north": _metres(g["eta"])},
            "ξ lies in the meridian, north-south; η across it, east-west.",
            also=("swapped",),
        ),
    ),
    nudges=(
        "How many metres on the ground are one second of arc at the Earth's centre?",
        "η = (Λ − λ) cos φ. Is the cosine still missing, or is it already in?",
    ),
    steps=_steps_star,
    source=f"Small arcs on a sphere; ξ, η as in {THEORY}.",
)


# deflection-from-geoid -----------------------------------------------------------------

CELL = 0.25  # degrees between two nodes of the printed grid


def _cell_metres() -> float:
    return math.radians(CELL) * EARTH_RADIUS


def _draw_grid(dice: Dice) -> Answer:
    while True:
        lat = dice.signed(36, 60, 0)
        xi, eta = dice.signed(8, 45, 1), dice.signed(8, 45, 1)
        sine_and_cosine_part = not 41 < abs(lat) < 49
        if abs(abs(xi) - abs(eta)) > 3 and sine_and_cosine_part:
            break
    middle = dice.signed(5, 60, 2)
    bend_north, bend_east = dice.signed(0.2, 2.5, 2), dice.signed(0.2, 2.5, 2)
    north = -xi / RHO * _cell_metres()
    east = -eta / RHO * _cell_metres() * cos(lat)
    return {
        "lat": lat,
        "north": printed(middle + bend_north + north, 2),
        "south": printed(middle + bend_north - north, 2),
        "east": printed(middle + bend_east + east, 2),
        "west": printed(middle + bend_east - east, 2),
    }


def _slopes(g: Given, cells: float = 2.0, cosine: float | None = None) -> Answer:
    """Return ξ and η in arcseconds from the four nodes; the wrong routes change the divisor."""
    shrink = cos(g["lat"]) if cosine is None else cosine
    return {
        "xi": -(g["north"] - g["south"]) / (cells * _cell_metres()) * RHO,
        "eta": -(g["east"] - g["west"]) / (cells * _cell_metres() * shrink) * RHO,
    }


def _steps_grid(g: Given) -> list[str]:
    answer = _slopes(g)
    across = 2 * _cell_metres() * cos(g["lat"])
    return [
        f"North to south the nodes are 0.5° apart: {2 * _cell_metres():,.0f} m. "
        f"N changes by {g['north'] - g['south']:+.2f} m.".replace(",", "\u202f"),
        f"ξ = −slope × 206\u202f265″ = **{answer['xi']:+.1f}″**.",
        f"East to west they are 0.5° of longitude apart: {across:,.0f} m at this latitude. N changes "
        f"by {g['east'] - g['west']:+.2f} m.".replace(",", "\u202f"),
        f"η = −slope × 206\u202f265″ = **{answer['eta']:+.1f}″**. Gravity's zenith leans down the "
        "slope of the geoid: hence the minus.",
    ]


FROM_GEOID = Exercise(
    key="deflection-from-geoid",
    topic="deflection",
    title="Read off the geoid's slope",
    edition=1,
    elements=(*ELEMENTS, "S-5A F1.1d"),
    aids="calculator",
    prompt="A printed grid of geoid heights N has a node every 0.25° in latitude and in longitude. "
    "You are at the middle node; its four neighbours are printed. Which deflection follows from "
    "the slope between **opposite neighbours**, on a sphere of 6\u202f371.0 km? Give ξ and η, "
    "astronomic minus geodetic, to 0.1″; right within ±0.1″.",
    draw=_draw_grid,
    printed=(
        Printed("lat", "φ of the middle node, north +", "°", 0, signed=True),
        Printed("north", "N at the node 0.25° north", "m", 2, signed=True),
        Printed("south", "N at the node 0.25° south", "m", 2, signed=True),
        Printed("east", "N at the node 0.25° east", "m", 2, signed=True),
        Printed("west", "N at the node 0.25° west", "m", 2, signed=True),
    ),
    asked=(
        Asked("xi", "ξ", "angle", "″", 1, 0.1, positive="north"),
        Asked("eta", "η", "angle", "″", 1, 0.1, positive="east"),
    ),
    pairs=(("xi", "eta"),),
    solve=_slopes,
    slips=(
        Slip(
            "sign",
            "Leaning up the slope",
            lambda g: {name: -value for name, value in _slopes(g).items()},
            "The size is right and the sign is turned. Where the geoid rises to the north, the "
            "plumb line's top leans south: ξ = −dN/ds.",
            also=("sign",),
        ),
        Slip(
            "no-cosine",
            "cos φ left out",
            lambda g: {"eta": _slopes(g, cosine=1.0)["eta"]},
            "{value} takes 0.5° of longitude as long as 0.5° of latitude. It is shorter by cos φ, "
            "so the slope is steeper.",
        ),
        Slip(
            "one-cell",
            "One cell for two",
            lambda g: _slopes(g, cells=1.0),
            "The two neighbours are two cells apart, 0.5° and not 0.25°: the slope is half of this.",
        ),
        Slip(
            "swapped",
            "ξ and η swapped",
            lambda g: dict(zip(("eta", "xi"), _slopes(g).values(), strict=True)),
            "ξ comes from the slope north-south, η from the slope east-west.",
            also=("swapped",),
        ),
        Slip(
            "sine",
            "sin φ for cos φ",
            lambda g: {"eta": _slopes(g, cosine=sin(abs(g["lat"])))["eta"]},
            "{value} has sin φ where cos φ belongs. At the equator a degree of longitude is as long "
            "as a degree of latitude: cos 0° = 1.",
        ),
    ),
    nudges=(
        "How many metres lie between the northern and the southern node?",
        "Does gravity's zenith lean up the slope of the geoid or down it?",
    ),
    steps=_steps_grid,
    source=f"ξ = −∂N/(R ∂φ), η = −∂N/(R cos φ ∂λ). {THEORY}.",
)


# deflection-geoid-step -----------------------------------------------------------------


def _draw_step(dice: Dice) -> Answer:
    while True:
        sign = dice.choose((1, -1))
        first, second = sign * dice.number(12, 60, 1), sign * dice.number(12, 60, 1)
        given = {
            "epsilon1": first,
            "epsilon2": second,
            "distance": float(dice.number(4000, 12_000, 0, step=10)),
        }
        right = _step(given)
        routes = [right, right * 0.3048, right / 0.3048]
        routes += [slip.route(given)["step"] for slip in STEP_SLIPS]
        if apart(routes, 0.06):
            return given


def _step(g: Given) -> float:
    return geoid_step(g["epsilon1"], g["epsilon2"], g["distance"])


STEP_SLIPS = (
    Slip(
        "sign",
        "The geoid goes the other way",
        lambda g: {"step": -_step(g)},
        "The size is right and the sign is turned. Where gravity's zenith leans forward, the geoid "
        "falls ahead of you: ΔN = −ε·s.",
        also=("sign",),
    ),
    Slip(
        "first-end",
        "Only the first end used",
        lambda g: {"step": geoid_step(g["epsilon1"], g["epsilon1"], g["distance"])},
        "{value} takes the deflection at the first end for the whole line. It changes along the "
        "line: take the mean of the two ends.",
    ),
    Slip(
        "second-end",
        "Only the second end used",
        lambda g: {"step": geoid_step(g["epsilon2"], g["epsilon2"], g["distance"])},
        "{value} takes the deflection at the second end for the whole line. It changes along the "
        "line: take the mean of the two ends.",
    ),
    Slip(
        "sum",
        "The sum for the mean",
        lambda g: {"step": 2 * _step(g)},
        "{value} is twice the step: the two deflections were added and not halved.",
    ),
    Slip(
        "difference",
        "The difference for the mean",
        lambda g: {"step": geoid_step(g["epsilon1"], -g["epsilon2"], g["distance"])},
        "{value} comes from half the difference of the two ends. That is how much the slope "
        "changes; the step comes from the mean slope.",
    ),
)


def _steps_step(g: Given) -> list[str]:
    mean = (g["epsilon1"] + g["epsilon2"]) / 2
    return [
        f"Mean deflection along the line: ({g['epsilon1']:+.1f}″ {g['epsilon2']:+.1f}″) / 2 = "
        f"{mean:+.2f}″.",
        f"ΔN = −ε·s / 206\u202f265 = −({mean:+.2f}″) × {g['distance']:.0f} m / 206\u202f265 = "
        f"**{_step(g):+.2f} m**.",
        f"The geoid {'falls' if _step(g) < 0 else 'rises'} towards the second end, against the "
        "ellipsoid. Levelling cannot see it; GNSS can.",
    ]


STEP = Exercise(
    key="deflection-geoid-step",
    topic="deflection",
    title="A step of the geoid",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="The deflection along a line is known at both ends, positive where gravity's zenith "
    "leans from end 1 towards end 2. Taking it to change evenly, by how much does the geoid height "
    "change, ΔN = **N at end 2 minus N at end 1**? Give it to 0.01 m; right within ±0.01 m.",
    draw=_draw_step,
    printed=(
        Printed("epsilon1", "ε at end 1", "″", 1, signed=True),
        Printed("epsilon2", "ε at end 2", "″", 1, signed=True),
        Printed("distance", "distance on the ellipsoid", "m", 0),
    ),
    asked=(Asked("step", "ΔN", "length", "m", 2, 0.01, positive="up"),),
    solve=lambda g: {"step": _step(g)},
    slips=STEP_SLIPS,
    nudges=(
        "If gravity's zenith leans forward, does the water surface ahead of you rise or fall?",
        "Which one value of ε stands best for the whole line?",
    ),
    steps=_steps_step,
    source=f"dN = −ε ds, astronomical levelling. {THEORY}.",
)


# deflection-laplace --------------------------------------------------------------------


def _draw_laplace(dice: Dice) -> Answer:
    while True:
        given = {
            "azimuth": dice.whole(0, 3_599_999) / 10_000,
            "xi": dice.signed(8, 40, 1),
            "eta": dice.signed(8, 40, 1),
            "lat": dice.signed(22, 64, 0),
            "zenith": dice.number(58, 74, 0),
        }
        given["azimuth"] = printed(given["azimuth"], 4)
        routes = [_laplace(given)] + [s.route(given)["correction"] for s in LAPLACE_SLIPS]
        if not 40 < abs(given["lat"]) < 50 and apart(routes, 0.8) and abs(routes[0]) > 2:
            return given


def _terms(g: Given) -> tuple[float, float]:
    """Return η tan φ and (ξ sin α − η cos α) cot z, in arcseconds."""
    slope = 1 / math.tan(math.radians(g["zenith"]))
    line = (g["xi"] * sin(g["azimuth"]) - g["eta"] * cos(g["azimuth"])) * slope
    return g["eta"] * math.tan(math.radians(g["lat"])), line


def _laplace(g: Given) -> float:
    alpha = geodetic_azimuth(g["azimuth"], g["xi"], g["eta"], g["lat"], g["zenith"])
    return math.remainder(alpha - g["azimuth"], 360) * 3600


def _turn(g: Given, correction: float) -> Answer:
    return {"correction": correction, "alpha": (g["azimuth"] + correction / 3600) % 360}


LAPLACE_SLIPS = (
    Slip(
        "sign",
        "The correction turned round",
        lambda g: _turn(g, sum(_terms(g))),
        "The size is right and the sign is turned: from astronomic to geodetic azimuth η tan φ is "
        "taken off.",
        also=("sign",),
    ),
    Slip(
        "xi-for-eta",
        "ξ for η in the first term",
        lambda g: _turn(g, -g["xi"] * math.tan(math.radians(g["lat"])) - _terms(g)[1]),
        "The first term has ξ in it. It is η, the lean across the meridian, that swings the "
        "meridian of the instrument: η tan φ.",
    ),
    Slip(
        "cotangent",
        "cot φ for tan φ",
        lambda g: _turn(g, -g["eta"] / math.tan(math.radians(g["lat"])) - _terms(g)[1]),
        "The first term has cot φ in it. On the equator a lean to the east changes no azimuth "
        "along the horizon: tan 0° = 0.",
    ),
    Slip(
        "no-line-term",
        "The steep line forgotten",
        lambda g: _turn(g, -_terms(g)[0]),
        "This is −η tan φ alone. The line is steep, so the lean across it counts too: "
        "(ξ sin α − η cos α) cot z.",
    ),
    Slip(
        "line-term-added",
        "The second term added",
        lambda g: _turn(g, -_terms(g)[0] + _terms(g)[1]),
        "The second term has the wrong sign: both terms are taken off the astronomic azimuth.",
    ),
)


def _steps_laplace(g: Given) -> list[str]:
    first, second = _terms(g)
    return [
        f"First term: η tan φ = ({g['eta']:+.1f}″) tan({g['lat']:+.0f}°) = {first:+.2f}″.",
        f"Second: (ξ sin α − η cos α) cot z = {second:+.2f}″; with z = {g['zenith']:.0f}° the line "
        "is steep, so it counts. On a level sight it is nothing.",
        f"α − A = −({first:+.2f}″) − ({second:+.2f}″) = **{_laplace(g):+.1f}″**.",
        f"α = A {_laplace(g):+.1f}″ = **{LAPLACE.part('alpha').say(LAPLACE.solve(g)['alpha'])}**.",
    ]


LAPLACE = Exercise(
    key="deflection-laplace",
    topic="deflection",
    title="From a star azimuth to the ellipsoid",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A plumbed theodolite on a platform observed the azimuth A of a high mark from the stars, "
    "clockwise from astronomic north, and its zenith angle z. What is the correction **geodetic "
    "minus astronomic azimuth**, α − A, and the geodetic azimuth α? Give the correction to 0.1″ and "
    "α to 0.1″; both right within ±0.1″.",
    draw=_draw_laplace,
    printed=(
        Printed("azimuth", "A, astronomic azimuth", DMS, 2),
        XI,
        ETA,
        Printed("lat", "φ, geodetic latitude, north +", "°", 0, signed=True),
        Printed("zenith", "z, zenith angle of the mark", "°", 0),
    ),
    asked=(
        Asked("correction", "α − A", "angle", "″", 1, 0.1, positive="clockwise"),
        Asked("alpha", "α", "azimuth", DMS, 1, 0.1 / 3600),
    ),
    solve=lambda g: _turn(g, _laplace(g)),
    carry=lambda g, own: {"alpha": _turn(g, own["correction"])["alpha"]},
    slips=LAPLACE_SLIPS,
    nudges=(
        "Two terms: one from the lean across the meridian, one from the lean across the line.",
        "α = A − η tan φ − (ξ sin α − η cos α) cot z. Mind the sign of each part.",
    ),
    steps=_steps_laplace,
    source=f"The extended Laplace equation. {THEORY}; checked against DV-05 and DV-08 in tests.",
)


# deflection-zenith ---------------------------------------------------------------------


def _draw_zenith(dice: Dice) -> Answer:
    while True:
        given = {
            "zenith": printed(84 + dice.whole(0, 36_000 * 5) / 36_000, 6),
            "xi": dice.signed(10, 45, 1),
            "eta": dice.signed(10, 45, 1),
            "azimuth": float(dice.whole(0, 359)),
            "distance": float(dice.number(2200, 4500, 0, step=10)),
        }
        epsilon, size = _epsilon(given), total(given["xi"], given["eta"])[0]
        if abs(epsilon) > 5 and size - abs(epsilon) > 4:
            return given


def _epsilon(g: Given) -> float:
    return along(g["xi"], g["eta"], g["azimuth"])


def _rise(g: Given, zenith: float) -> float:
    return g["distance"] * cos(zenith)


def _zenith(g: Given) -> float:
    return geodetic_zenith_angle(g["zenith"], g["xi"], g["eta"], g["azimuth"])


def _with_zenith(g: Given, zenith: float) -> Answer:
    return {"zenith": zenith, "dh": _rise(g, zenith)}


def _steps_zenith(g: Given) -> list[str]:
    epsilon, answer = _epsilon(g), ZENITH.solve(g)
    return [
        f"ε = ξ cos α + η sin α = {epsilon:+.1f}″ along the sight.",
        "The observed angle counts from gravity's zenith. Where that leans forward (ε > 0) the "
        "ellipsoid's zenith stands further from the mark.",
        f"ζ = z + ε = **{ZENITH.part('zenith').say(answer['zenith'])}**.",
        f"Δh = s·cos ζ = **{answer['dh']:+.3f} m**, along the ellipsoid normal.",
        f"ΔH = s·cos z = **{answer['dH']:+.3f} m**: a height above the geoid goes with gravity, so "
        "the observed angle is used as it is.",
    ]


ZENITH = Exercise(
    key="deflection-zenith",
    topic="deflection",
    title="Heights from a zenith angle",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A plumbed total station measured a zenith angle z and a straight slope distance s; "
    "curvature and refraction are already taken out. Find the **geodetic** zenith angle ζ from the "
    "ellipsoid normal (to 0.1″, right within ±0.2″), the difference of **ellipsoidal** heights "
    "Δh = s·cos ζ, and the difference of heights **above the geoid** ΔH (both to 0.001 m, right "
    "within ±0.005 m).",
    draw=_draw_zenith,
    printed=(
        Printed("zenith", "z, observed zenith angle", DMS, 1),
        Printed("distance", "s, slope distance", "m", 0),
        XI,
        ETA,
        Printed("azimuth", "α, azimuth of the sight, true", "°", 0),
    ),
    asked=(
        Asked("zenith", "ζ", "angle", DMS, 1, 0.2 / 3600),
        Asked("dh", "Δh", "length", "m", 3, 0.005, positive="up"),
        Asked("dH", "ΔH", "length", "m", 3, 0.005, positive="up"),
    ),
    solve=lambda g: {**_with_zenith(g, _zenith(g)), "dH": _rise(g, g["zenith"])},
    carry=lambda g, own: {"dh": _rise(g, own["zenith"])},
    slips=(
        Slip(
            "minus",
            "z − ε for z + ε",
            lambda g: _with_zenith(g, g["zenith"] - _epsilon(g) / 3600),
            "ε was taken off. Where gravity's zenith leans towards the mark the observed angle is "
            "too small, so ζ = z + ε.",
        ),
        Slip(
            "total",
            "The total for the part along the line",
            lambda g: _with_zenith(g, g["zenith"] + total(g["xi"], g["eta"])[0] / 3600),
            "The whole deflection was used. Only its part along the sight changes a zenith angle.",
        ),
        Slip(
            "none",
            "No correction made",
            lambda g: _with_zenith(g, g["zenith"]),
            "This is still the observed angle, from gravity's zenith. Ellipsoidal heights go with "
            "the normal: correct the angle by ε first.",
        ),
        Slip(
            "corrected-height",
            "Corrected where nothing was to correct",
            lambda g: {"dH": _rise(g, _zenith(g))},
            "{value} is the ellipsoidal difference. A height above the geoid goes with gravity, and "
            "so did the instrument: take the angle as observed.",
        ),
    ),
    nudges=(
        "Sketch both zeniths and the sight. Which of the two angles is larger when gravity's zenith "
        "leans towards the mark?",
        "Which of the two height differences did the plumbed instrument measure by itself?",
    ),
    steps=_steps_zenith,
    source=f"ζ = z + ε, Δh − ΔH = ΔN = −ε·s. {THEORY}.",
)


# Say first ------------------------------------------------------------------------------

FIRST_WEIGHT = choice(
    "deflection-first-weight",
    "Say first: where does the weight land?",
    "At the site a weight hangs still on a long wire in still water. The astronomic zenith leans "
    "**north** of the ellipsoid's. Seen from the point straight down the ellipsoid normal, where "
    "does the weight land?",
    ("south", "South of it: the foot of the wire goes opposite to the zenith"),
    {
        "north": (
            "North of it: the wire follows the zenith",
            "The zenith leans north, and the wire is the same line carried down. Its foot goes the "
            "other way, south.",
        ),
        "same": (
            "On it: straight down is straight down",
            "There are two straight downs here. Gravity chooses the wire's, the ellipsoid chooses "
            "the chart's.",
        ),
        "centre": (
            "Neither: it hangs towards the Earth's centre",
            "Nothing on the Earth hangs towards its centre. Away from equator and poles even the "
            "ellipsoid normal misses the centre, by kilometres.",
        ),
    },
    elements=ELEMENTS,
    because="The plumb line is one line: its top leans towards the astronomic zenith, so its foot "
    "goes the other way.",
    source="Geometry of one straight line.",
    marks=0,
)

FIRST_MATTERS = choice(
    "deflection-first-matters",
    "Say first: who notices?",
    "The deflection at the trench wall is about **60″**, a minute of arc. Which of these would "
    "notice it most, against its own noise?",
    ("stars", "A position from the stars"),
    {
        "gyro": (
            "A gyro compass",
            "It changes a gyro heading by η tan φ, thousandths of a degree near the tropics. The "
            "gyro's own noise is a hundred times that.",
        ),
        "usbl": (
            "A USBL position at 3\u202f000 m",
            "60″ is 0.87 m at 3\u202f000 m. A USBL fix there is uncertain by several metres.",
        ),
        "gnss": (
            "A GNSS position",
            "GNSS knows nothing of the plumb line: satellites and receiver are tied by geometry "
            "alone.",
        ),
    },
    elements=ELEMENTS,
    because="Each second of arc moves a star position by 30.9 m: a minute is a nautical mile.",
    source="30.9 m = 6\u202f371 km / 206\u202f265.",
    marks=0,
)

EXERCISES = (
    FIRST_WEIGHT,
    FIRST_MATTERS,
    COMPONENTS,
    TOTAL,
    ALONG,
    PLUMB,
    STAR_FIX,
    FROM_GEOID,
    STEP,
    LAPLACE,
    ZENITH,
)
