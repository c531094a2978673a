"""Exercises of lesson 03, the ellipsoid: its shape, its latitudes, its radii."""

import math

from exercises.bank.common import EARTH_RADIUS
from exercises.question.dice import Dice, printed
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import number
from geokit import ellipsoids
from geokit.angles import RHO, dms
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import (
    AIRY1830,
    BESSEL1841,
    CLARKE1866,
    CLARKE1880RGS,
    GRS80,
    INTERNATIONAL1924,
    KRASSOWSKY1940,
    WGS84,
)

MILE = 1852.0  # metres, the international nautical mile
SNYDER = "J. P. Snyder, Map Projections: A Working Manual, USGS PP 1395, 1987, sections 3 and 4"
ELEMENTS = ("S-5B E4.1a",)

NAMED = (
    WGS84,
    GRS80,
    CLARKE1866,
    CLARKE1880RGS,
    INTERNATIONAL1924,
    BESSEL1841,
    AIRY1830,
    KRASSOWSKY1940,
)
SHAPE = (
    Printed("ellipsoid", "ellipsoid"),
    Printed("a", "a, semi-major axis", "m", 3),
    Printed("inverse_flattening", "1/f, inverse flattening", "", 9),
)
LATITUDE = Printed("lat", "φ, geodetic latitude", DMS, 0, kind="latitude")


def _drawn(ellipsoid: Ellipsoid) -> Answer:
    return {
        "ellipsoid": ellipsoid.name,
        "a": printed(ellipsoid.semi_major, 3),
        "inverse_flattening": printed(ellipsoid.inverse_flattening, 9),
    }


def _latitude(dice: Dice, *bands: tuple[int, int]) -> float:
    """Return a latitude of either hemisphere, to the second, from one of the bands of degrees."""
    low, high = dice.choose(bands)
    return dice.choose((1, -1)) * printed(dice.whole(low * 3600, high * 3600) / 3600, 10)


def _shape(g: Given) -> Ellipsoid:
    return Ellipsoid(g["ellipsoid"], g["a"], g["inverse_flattening"], "as given")


def _m(g: Given) -> float:
    return _shape(g).meridian_radius(g["lat"])


def _nu(g: Given) -> float:
    return _shape(g).prime_vertical_radius(g["lat"])


def _sine(g: Given) -> float:
    return math.sin(math.radians(g["lat"]))


def _cosine(g: Given) -> float:
    return math.cos(math.radians(g["lat"]))


def _steps_shape(g: Given) -> str:
    return (
        f"f = 1/{g['inverse_flattening']:.12g}, so e² = 2f − f² = "
        f"{_shape(g).eccentricity_squared:.10f}."
    )


# ellipsoid-polar -----------------------------------------------------------------------
# Each ellipsoid beside one that is taken for it, whose 1/f moves b by 0.2 m at least. (GRS 80
# and WGS 84 would be no pair: their b differ by 0.1 mm.)

WGS72, GRS67, AUSTRALIAN, HELMERT1906 = (
    ellipsoids.named(code) for code in (7043, 7036, 7003, 7020)
)
TWINS = {
    WGS84: WGS72,
    WGS72: WGS84,
    GRS80: GRS67,
    GRS67: AUSTRALIAN,
    AUSTRALIAN: GRS67,
    INTERNATIONAL1924: WGS84,
    KRASSOWSKY1940: WGS84,
    HELMERT1906: WGS84,
    BESSEL1841: AIRY1830,
    AIRY1830: BESSEL1841,
    CLARKE1880RGS: CLARKE1866,
}
TWIN_OF = {ellipsoid.name: twin for ellipsoid, twin in TWINS.items()}


def _draw_polar(dice: Dice) -> Answer:
    return {**_drawn(dice.choose(tuple(TWINS))), "globe": float(dice.whole(400, 1500))}


def _flattened(g: Given, flattening: float) -> Answer:
    return {"b": g["a"] * (1 - flattening), "shorter": g["globe"] * flattening}


def _polar(g: Given) -> Answer:
    return {"b": _shape(g).semi_minor, "shorter": g["globe"] * _shape(g).flattening}


def _steps_polar(g: Given) -> list[str]:
    answer, f = _polar(g), _shape(g).flattening
    twin = TWIN_OF[g["ellipsoid"]]
    off = _flattened(g, twin.flattening)["b"] - answer["b"]
    return [
        f"f = 1/{g['inverse_flattening']:.12g} = {f:.12f}.",
        f"b = a(1 − f) = **{number(answer['b'], 2)} m**: the poles lie "
        f"{number(g['a'] - answer['b'], 0)} m nearer the centre than the equator does.",
        f"The 1/f of {twin.name}, {twin.inverse_flattening:.12g}, would put b {off:+.2f} m off; "
        f"1/f = 300 would put it {_flattened(g, 1 / 300)['b'] - answer['b']:+.1f} m off.",
        f"The globe: {g['globe']:.0f} mm × f = **{answer['shorter']:.2f} mm** in its diameter. "
        "No eye sees that, which is why figures exaggerate it and say so.",
    ]


POLAR = Exercise(
    key="ellipsoid-polar",
    topic="ellipsoid",
    title="The polar radius, and a globe",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A parameter sheet gives an ellipsoid by its semi-major axis a and its inverse "
    "flattening 1/f. What is its semi-minor axis b, from the centre to a pole? And on a globe of "
    "exactly this shape, whose equator has the **diameter** printed below: by how much is the axis "
    "from pole to pole shorter than that? Give b to 0.01 m, right within ±0.02 m, and the globe's "
    "difference to 0.01 mm, right within ±0.01 mm.",
    draw=_draw_polar,
    printed=(*SHAPE, Printed("globe", "globe, diameter of its equator", "mm", 0)),
    asked=(
        Asked("b", "b", "length", "m", 2, 0.02),
        Asked("shorter", "Globe, shorter by", "length", "mm", 2, 0.01),
    ),
    solve=_polar,
    slips=(
        Slip(
            "eccentricity",
            "e² for f",
            lambda g: _flattened(g, _shape(g).eccentricity_squared),
            "There is e² where f belongs. e² is nearly twice f, and 1 − e² is (b/a)², not b/a.",
        ),
        Slip(
            "twin",
            "Another ellipsoid's 1/f",
            lambda g: _flattened(g, TWIN_OF[g["ellipsoid"]].flattening),
            "This is the 1/f of another ellipsoid that is easily taken for this one. Copy both "
            "numbers from the sheet, with all their digits.",
        ),
        Slip(
            "three-hundred",
            "1/f rounded to 300",
            lambda g: _flattened(g, 1 / 300),
            "This is made with 1/f = 300. That does for a sketch; at the pole it costs tens of metres "
            "and more.",
        ),
        Slip(
            "rounded",
            "1/f taken as 298",
            lambda g: _flattened(g, 1 / 298),
            "This is made with 1/f = 298, a round number near the modern ones. Take the sheet's, "
            "with all its digits: a tenth of it is 7 m at the pole.",
        ),
        Slip(
            "radius",
            "The globe's radius for its diameter",
            lambda g: {"shorter": _polar(g)["shorter"] / 2},
            "{value} is what one pole lies nearer the centre. The axis from pole to pole is shorter "
            "by twice that.",
        ),
    ),
    nudges=(
        "f = (a − b)/a. Solve it for b.",
        "The same f holds for the globe: by what part of the equator's diameter is the axis "
        "shorter?",
    ),
    steps=_steps_polar,
    source=f"b = a(1 − f). {SNYDER}; parameters from the sources in geokit and the EPSG dataset.",
)


# ellipsoid-radii -----------------------------------------------------------------------
# Between 10° and 80° from the equator every slip moves M or ν by 300 m or more.


def _draw_radii(dice: Dice) -> Answer:
    return {**_drawn(dice.choose(NAMED)), "lat": _latitude(dice, (10, 34), (36, 47), (49, 80))}


def _radii(g: Given) -> Answer:
    return {"M": _m(g), "nu": _nu(g)}


def _w2(g: Given) -> float:
    return 1 - _shape(g).eccentricity_squared * _sine(g) ** 2


def _with_f(g: Given) -> Answer:
    f = _shape(g).flattening
    w2 = 1 - f * _sine(g) ** 2
    return {"M": g["a"] * (1 - f) / w2**1.5, "nu": g["a"] / math.sqrt(w2)}


def _steps_radii(g: Given) -> list[str]:
    answer = _radii(g)
    return [
        _steps_shape(g),
        f"1 − e² sin²φ = {_w2(g):.10f}.",
        f"M = a(1 − e²)/(1 − e² sin²φ)^(3/2) = **{number(answer['M'], 0)} m**, along the meridian.",
        f"ν = a/√(1 − e² sin²φ) = **{number(answer['nu'], 0)} m**, across it, never smaller than M.",
        "On 10 km along the meridian a sphere of 6\u202f371 km in place of M is "
        f"{10_000 * (EARTH_RADIUS / answer['M'] - 1):+.1f} m off.",
    ]


RADII = Exercise(
    key="ellipsoid-radii",
    topic="ellipsoid",
    title="Two radii at one place",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="At geodetic latitude φ on the ellipsoid printed below, what are its radii of curvature: "
    "M along the **meridian** and ν in the **prime vertical**, across it? Give both to 1 m; right "
    "within ±2 m.",
    draw=_draw_radii,
    printed=(*SHAPE, LATITUDE),
    asked=(
        Asked("M", "M", "length", "m", 0, 2.0),
        Asked("nu", "ν", "length", "m", 0, 2.0),
    ),
    pairs=(("M", "nu"),),
    solve=_radii,
    slips=(
        Slip(
            "swapped",
            "M and ν swapped",
            lambda g: {"M": _nu(g), "nu": _m(g)},
            "The two have changed places. An ellipsoid curves more along the meridian than across "
            "it, so M is the smaller radius.",
            also=("swapped",),
        ),
        Slip(
            "sphere",
            "A sphere of 6\u202f371 km",
            lambda g: {"M": EARTH_RADIUS, "nu": EARTH_RADIUS},
            "That is the radius of a sphere. On the ellipsoid the radius depends on latitude "
            "and on direction.",
        ),
        Slip(
            "exponent",
            "Square root for the power 3/2",
            lambda g: {"M": _m(g) * _w2(g)},
            "{value} has the square root in M as in ν. M goes with the power 3/2: take the root "
            "and then its cube.",
        ),
        Slip(
            "no-shape",
            "1 − e² left out of M",
            lambda g: {"M": _m(g) / (1 - _shape(g).eccentricity_squared)},
            "{value} lacks the factor 1 − e² in M. On the equator M is b²/a, smaller than a.",
        ),
        Slip(
            "flattening",
            "f for e²",
            _with_f,
            "There is f where e² belongs. e² = 2f − f², nearly twice as much.",
        ),
    ),
    nudges=(
        "First e² = 2f − f², then 1 − e² sin²φ; both radii are made of them.",
        "Which of the two is larger everywhere but at the poles?",
    ),
    steps=_steps_radii,
    source=f"M = a(1 − e²)/(1 − e² sin²φ)^(3/2), ν = a/√(1 − e² sin²φ). {SNYDER}.",
)


# ellipsoid-latitudes -------------------------------------------------------------------
# φ − ψ is 11.5′ sin 2φ, 4.6′ or more here. The slips are it times 1/2, some 12, and 1/cos²φ,
# which runs from 1.04 to 5.6 between 12° and 65°.


def _draw_latitudes(dice: Dice) -> Answer:
    return {**_drawn(dice.choose(NAMED)), "lat": _latitude(dice, (12, 65))}


def _apart(g: Given, other: float) -> Answer:
    """Return geodetic minus another latitude, in arcminutes."""
    return {"difference": (g["lat"] - other) * 60}


def _to_centre(g: Given) -> float:
    return _shape(g).geocentric_latitude(g["lat"])


def _shrunk(g: Given, part: float) -> float:
    """Return the latitude whose tangent is smaller by that part."""
    return math.degrees(math.atan((1 - part) * math.tan(math.radians(g["lat"]))))


def _sine_shrunk(g: Given) -> float:
    return math.degrees(math.asin((1 - _shape(g).eccentricity_squared) * _sine(g)))


def _steps_latitudes(g: Given) -> list[str]:
    psi = _to_centre(g)
    minutes = _apart(g, psi)["difference"]
    return [
        _steps_shape(g),
        f"tan ψ = (1 − e²) tan φ, so ψ = {dms(abs(psi), 1)} {'N' if psi > 0 else 'S'}.",
        f"φ − ψ = **{minutes:+.2f}′**. The line to the centre meets the equator's plane at a flatter "
        "angle than the normal does, in both hemispheres.",
        f"Taken one for the other they put you {abs(minutes) / 60 * math.radians(_m(g)) / 1000:.1f} "
        "km off in northing.",
    ]


LATITUDES = Exercise(
    key="ellipsoid-latitudes",
    topic="ellipsoid",
    title="Two latitudes of one point",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A point lies on the surface of the ellipsoid printed below, at geodetic latitude φ. "
    "By how much does that differ from its geocentric latitude ψ, the one of the line to the "
    "centre? Give **geodetic minus geocentric**, φ − ψ, with latitudes positive in the north, in "
    "arcminutes to 0.01′; right within ±0.02′.",
    draw=_draw_latitudes,
    printed=(*SHAPE, LATITUDE),
    asked=(Asked("difference", "φ − ψ", "angle", "′", 2, 0.02, positive="north"),),
    solve=lambda g: _apart(g, _to_centre(g)),
    slips=(
        Slip(
            "parametric",
            "The parametric latitude",
            lambda g: _apart(g, _shape(g).parametric_latitude(g["lat"])),
            "{value} is the difference to the *parametric* latitude, half way between: "
            "tan β = (1 − f) tan φ. The geocentric one has 1 − e².",
        ),
        Slip(
            "eccentricity",
            "e for e²",
            lambda g: _apart(g, _shrunk(g, math.sqrt(_shape(g).eccentricity_squared))),
            "{value} has e where e² belongs. e is 0.08, e² is 0.0067: degrees of difference for "
            "minutes.",
        ),
        Slip(
            "sine",
            "Sines for tangents",
            lambda g: _apart(g, _sine_shrunk(g)),
            "{value} comes from sin ψ = (1 − e²) sin φ. At a pole that would leave ψ below 90°; "
            "it is the tangents that shrink.",
        ),
        Slip(
            "turned",
            "Geocentric minus geodetic",
            lambda g: _apart(g, 2 * g["lat"] - _to_centre(g)),
            "The size is right and the sign is turned: asked is geodetic minus geocentric, and "
            "south latitudes are negative.",
            also=("sign",),
        ),
    ),
    nudges=(
        "Which of the two lines meets the plane of the equator at the steeper angle?",
        "tan ψ = (1 − e²) tan φ. Keep the small difference in ten digits or so.",
    ),
    steps=_steps_latitudes,
    source=f"tan ψ = (1 − e²) tan φ. {SNYDER}.",
)


# ellipsoid-second ----------------------------------------------------------------------
# Up to 70°, where M and ν still differ by 5 km, 0.024 m in a second; 1 − cos φ counts from
# 15° on, and cos φ stays above the 0.3048 of a foot.


def _draw_second(dice: Dice) -> Answer:
    return {**_drawn(dice.choose(NAMED)), "lat": _latitude(dice, (15, 70))}


def _seconds(north_radius: float, east_radius: float) -> Answer:
    return {"lat": north_radius / RHO, "lon": east_radius / RHO}


def _steps_second(g: Given) -> list[str]:
    answer = SECOND.solve(g)
    return [
        f"M = {number(_m(g), 0)} m and ν = {number(_nu(g), 0)} m at this latitude.",
        f"1″ of latitude = M/206\u202f265 = **{answer['lat']:.3f} m**.",
        f"1″ of longitude = ν cos φ/206\u202f265 = {_nu(g) / RHO:.3f} m × {_cosine(g):.5f} = "
        f"**{answer['lon']:.3f} m**.",
        f"Over 10′ a sphere of 6\u202f371 km would be {600 * (EARTH_RADIUS / RHO - answer['lat']):+.1f} m "
        f"off north-south and {600 * (EARTH_RADIUS * _cosine(g) / RHO - answer['lon']):+.1f} m off "
        "east-west.",
    ]


SECOND = Exercise(
    key="ellipsoid-second",
    topic="ellipsoid",
    title="A second in metres",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="At geodetic latitude φ on the surface of the ellipsoid printed below, height zero: how "
    "many metres are **1″ of latitude**, and how many are **1″ of longitude**? Give both to "
    "0.001 m; right within ±0.002 m.",
    draw=_draw_second,
    printed=(*SHAPE, LATITUDE),
    asked=(
        Asked("lat", "1″ of latitude", "length", "m", 3, 0.002),
        Asked("lon", "1″ of longitude", "length", "m", 3, 0.002),
    ),
    pairs=(("lat", "lon"),),
    solve=lambda g: _seconds(_m(g), _nu(g) * _cosine(g)),
    slips=(
        Slip(
            "no-cosine",
            "cos φ left out",
            lambda g: _seconds(_m(g), _nu(g)),
            "{value} is a second of longitude as on the equator. Parallels shrink towards the pole "
            "by cos φ.",
        ),
        Slip(
            "cosine-on-latitude",
            "cos φ on the wrong one",
            lambda g: _seconds(_m(g) * _cosine(g), _nu(g)),
            "cos φ stands with the latitude. Parallels shrink towards the pole, meridians do "
            "not: it belongs to the longitude.",
        ),
        Slip(
            "radii-swapped",
            "M and ν swapped",
            lambda g: _seconds(_nu(g), _m(g) * _cosine(g)),
            "The two radii have changed places. Along the meridian the radius is M; the "
            "parallel's is ν cos φ.",
        ),
        Slip(
            "sphere",
            "A sphere of 6\u202f371 km",
            lambda g: _seconds(EARTH_RADIUS, EARTH_RADIUS * _cosine(g)),
            "This is made with a sphere of 6\u202f371 km. The ellipsoid has M along the meridian "
            "and ν across it.",
        ),
        Slip(
            "mile",
            "1\u202f852 m to the minute",
            lambda g: _seconds(MILE / 60 * RHO, MILE / 60 * RHO * _cosine(g)),
            "This takes 1\u202f852 m for the minute, 30.867 m for the second. The mile is a round mean; "
            "the lengths at one latitude come from M and ν cos φ.",
        ),
    ),
    nudges=(
        "An arc is radius times angle. Which radius goes with latitude?",
        "The parallel is a circle of radius ν cos φ.",
    ),
    steps=_steps_second,
    source=f"M dφ and ν cos φ dλ. {SNYDER}.",
)


# ellipsoid-mile ------------------------------------------------------------------------
# A minute of latitude is 1 852 m near 44° and a minute of a sphere's 6 371 km near 48°: both
# keep 1 m away outside 38° to 52°. Below 15° it would be too near the equator's.


def _draw_mile(dice: Dice) -> Answer:
    return {
        **_drawn(dice.choose(NAMED)),
        "lat": _latitude(dice, (15, 38), (52, 70)),
        "run": dice.whole(20, 60),
    }


def _against_mile(g: Given, minute: float) -> Answer:
    return {"minute": minute, "difference": g["run"] * (minute - MILE)}


def _minute(radius: float) -> float:
    return math.radians(radius / 60)


def _mile(g: Given) -> Answer:
    return _against_mile(g, _minute(_m(g)))


def _steps_mile(g: Given) -> list[str]:
    answer, run = _mile(g), g["run"]
    return [
        f"M = a(1 − e²)/(1 − e² sin²φ)^(3/2) = {number(_m(g), 0)} m.",
        f"1′ of latitude = M × π/10\u202f800 = **{answer['minute']:.1f} m**.",
        f"Against {run} × 1\u202f852 m: {run} × ({answer['minute']:.2f} − 1\u202f852) = "
        f"**{answer['difference']:+.0f} m**. A minute of latitude is the international mile only "
        "near 44°.",
    ]


MILE_AND_MINUTE = Exercise(
    key="ellipsoid-mile",
    topic="ellipsoid",
    title="A minute that is not a mile",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="You run due north over n minutes of latitude, half of them on either side of geodetic "
    "latitude φ, on the surface of the ellipsoid printed below. How long is **one minute of "
    "latitude** at φ? Take that length for the whole run: by how much is the run longer than n "
    "international nautical miles of 1\u202f852 m, **run minus n miles**? Give the minute to 0.1 m, "
    "right within ±0.1 m, and the difference to 1 m, right within ±2 m.",
    draw=_draw_mile,
    printed=(*SHAPE, LATITUDE, Printed("run", "n, minutes of latitude run")),
    asked=(
        Asked("minute", "1′ of latitude", "length", "m", 1, 0.1),
        Asked("difference", "Run minus n miles", "length", "m", 0, 2.0, positive="longer"),
    ),
    solve=_mile,
    carry=lambda g, own: {"difference": _against_mile(g, own["minute"])["difference"]},
    slips=(
        Slip(
            "everywhere",
            "1\u202f852 m everywhere",
            lambda g: _against_mile(g, MILE),
            "This takes a minute of latitude for a mile at every latitude. It grows from the "
            "equator to the pole, as the meridian flattens, by 1 %.",
        ),
        Slip(
            "prime-vertical",
            "ν for M",
            lambda g: _against_mile(g, _minute(_nu(g))),
            "This minute comes from ν, the radius across the meridian. You run along it: M.",
        ),
        Slip(
            "equator",
            "The equator's value",
            lambda g: _against_mile(g, _minute(_shape(g).meridian_radius(0.0))),
            "This minute is that of the equator, where the meridian curves most and the minute is "
            "shortest.",
        ),
        Slip(
            "sphere",
            "A sphere of 6\u202f371 km",
            lambda g: _against_mile(g, _minute(EARTH_RADIUS)),
            "This minute comes from a sphere of 6\u202f371 km. On the ellipsoid the meridian's "
            "radius M depends on latitude.",
        ),
    ),
    nudges=(
        "The run follows the meridian. Which radius of curvature goes with it?",
        "A minute is π/10\u202f800 of a radian.",
    ),
    steps=_steps_mile,
    source=f"Length of 1′ = M·π/10\u202f800. {SNYDER}; the mile of 1\u202f852 m: First "
    "International Extraordinary Hydrographic Conference, Monaco 1929 (from memory).",
)


# ellipsoid-euler -----------------------------------------------------------------------
# Up to 45° of latitude ν − M is 21 km or more. The line keeps 18° from north, south, east and
# west, and 12° from half way between, so that every slip moves the radius by 6 m or more.


def _draw_euler(dice: Dice) -> Answer:
    off_axis = dice.choose((dice.number(18, 33, 1), dice.number(57, 72, 1)))
    azimuth = printed(90 * dice.whole(0, 3) + off_axis, 1)
    return {**_drawn(dice.choose(NAMED)), "lat": _latitude(dice, (0, 45)), "azimuth": azimuth}


def _parts(g: Given) -> tuple[float, float]:
    """Return cos²α and sin²α: how much the line has of the meridian, and of what crosses it."""
    alpha = math.radians(g["azimuth"])
    return math.cos(alpha) ** 2, math.sin(alpha) ** 2


def _euler(g: Given, meridian: float, across: float) -> Answer:
    return {"radius": 1 / (meridian / _m(g) + across / _nu(g))}


def _steps_euler(g: Given) -> list[str]:
    along, across = _parts(g)
    return [
        f"M = {number(_m(g), 0)} m and ν = {number(_nu(g), 0)} m.",
        f"cos²α = {along:.5f} goes with the meridian, sin²α = {across:.5f} with the prime vertical.",
        f"1/R = cos²α/M + sin²α/ν, so R = **{number(EULER.solve(g)['radius'], 0)} m**.",
        "An arc of 10 km along the line, taken on the plain mean of M and ν, would come out "
        f"{10_000 * ((_m(g) + _nu(g)) / 2 / EULER.solve(g)['radius'] - 1):+.1f} m off.",
    ]


EULER = Exercise(
    key="ellipsoid-euler",
    topic="ellipsoid",
    title="The radius along your line",
    edition=1,
    elements=ELEMENTS,
    aids="calculator",
    prompt="A line leaves a point at geodetic latitude φ, on the ellipsoid printed below, in azimuth "
    "α, clockwise from true north. What is the ellipsoid's radius of curvature **along that line**, "
    "in the normal section of that azimuth? Give it to 1 m; right within ±1 m.",
    draw=_draw_euler,
    printed=(*SHAPE, LATITUDE, Printed("azimuth", "α, azimuth of the line, true", "°", 1)),
    asked=(Asked("radius", "R", "length", "m", 0, 1.0),),
    solve=lambda g: {"radius": _shape(g).azimuth_radius(g["lat"], g["azimuth"])},
    slips=(
        Slip(
            "swapped-squares",
            "sin²α and cos²α swapped",
            lambda g: _euler(g, *_parts(g)[::-1]),
            "{value} has the two squares changed about, or the azimuth counted from east. On a line "
            "due north (α = 0°) the radius is M.",
        ),
        Slip(
            "mean",
            "The mean of M and ν",
            lambda g: {"radius": (_m(g) + _nu(g)) / 2},
            "{value} is the plain mean of M and ν, the same in every direction. The radius depends "
            "on the azimuth.",
        ),
        Slip(
            "gaussian",
            "√(Mν), good for all directions at once",
            lambda g: {"radius": math.sqrt(_m(g) * _nu(g))},
            "{value} is √(Mν), the radius of the sphere that fits best all round. Asked is the "
            "radius in one direction.",
        ),
        Slip(
            "meridian",
            "M, whatever the direction",
            lambda g: {"radius": _m(g)},
            "{value} is M, the radius along the meridian. Your line runs across it too.",
        ),
        Slip(
            "prime-vertical",
            "ν, whatever the direction",
            lambda g: {"radius": _nu(g)},
            "{value} is ν, the radius of a line due east or west. Yours runs north or south as well.",
        ),
        Slip(
            "radii-mixed",
            "Radii mixed, not curvatures",
            lambda g: {
                "radius": _parts(g)[0] * _m(g) + _parts(g)[1] * _nu(g),
            },
            "{value} mixes the radii, M cos²α + ν sin²α. It is the curvatures that mix, 1/R: the "
            "difference is metres only, but you were asked to the metre.",
        ),
    ),
    nudges=(
        "What is the radius for a line due north? And for one due east?",
        "Euler: 1/R = cos²α/M + sin²α/ν. Curvatures mix, not radii.",
    ),
    steps=_steps_euler,
    source="1/R = cos²α/M + sin²α/ν. L. Euler, Recherches sur la courbure des surfaces, 1767 "
    "(from memory).",
)


# Say first ------------------------------------------------------------------------------

FIRST_LATITUDE = choice(
    "ellipsoid-first-latitude",
    "Say first: which latitude?",
    "At 45° N somebody takes the angle of the line to the Earth's **centre** for the latitude on "
    "the chart. How far off is the position, north-south?",
    ("kilometres", "About 21 km"),
    {
        "nothing": (
            "Nothing: the vertical points at the centre",
            "It does not. The chart's latitude is the angle of the ellipsoid's normal, which "
            "misses the centre except on the equator and at the poles.",
        ),
        "metres": (
            "About 21 m",
            "The two lines differ by 11.5′, not by a fraction of a second: a minute of latitude is "
            "about a nautical mile.",
        ),
        "far": (
            "About 210 km",
            "That would be almost two degrees. The flattening is 1 in 298, and the two latitudes "
            "differ by 11.5′ at most.",
        ),
    },
    elements=ELEMENTS,
    because="Geodetic minus geocentric latitude is 11.5′ at 45°, where it is largest. A minute of "
    "latitude is about a nautical mile: 21 km.",
    source=f"tan ψ = (1 − e²) tan φ. {SNYDER}; LA-02 in tests.",
    marks=0,
)

FIRST_SHEET = choice(
    "ellipsoid-first-sheet",
    "Say first: what has the sheet said?",
    "A client's sheet says: *“Coordinates: ellipsoid GRS 80.”* What do you know about the "
    "coordinates now?",
    ("shape", "The size and shape they were computed on, and no more"),
    {
        "system": (
            "The coordinate system",
            "Many frames use this ellipsoid, some of them more than a metre apart. An "
            "ellipsoid is two numbers; it has no place, no direction and no epoch until a datum "
            "gives it them.",
        ),
        "metres": (
            "That they are some metres off WGS 84",
            "The two ellipsoids differ by 0.1 mm at the poles and less elsewhere. How far the "
            "coordinates differ is a matter of frame and epoch, and the sheet names neither.",
        ),
        "same": (
            "That they agree with your GNSS receiver",
            "Nobody has said so. A plate-fixed frame on GRS 80 moves off from the receiver's by "
            "centimetres every year.",
        ),
    },
    elements=ELEMENTS,
    because="An ellipsoid is a size and a shape, not a coordinate system. Ask for the frame, its "
    "realisation and the epoch.",
    source="H. Moritz, Geodetic Reference System 1980, Journal of Geodesy 74, 2000; EL-01 and "
    "EL-06 in tests.",
    marks=0,
)

EXERCISES = (
    FIRST_LATITUDE,
    FIRST_SHEET,
    POLAR,
    RADII,
    LATITUDES,
    SECOND,
    MILE_AND_MINUTE,
    EULER,
)
