"""Exercises of lesson 13, before sailing: the client's parameter sheet and its waypoint."""

import math
from collections.abc import Mapping
from typing import Any

from exercises.bank import parameter_sheet as sheet
from exercises.bank.common import cos
from exercises.bank.parameter_sheet import FOOT, LINES, PARIS, TWICE, UNITS, US_FOOT
from exercises.question.dice import Dice, printed
from exercises.question.model import Answer, Asked, Given, Printed
from exercises.question.notation import choice, exercise, words_of
from exercises.question.variation import (
    Numbers,
    also,
    misread,
    partwise,
    plus,
    reworked,
    turned,
    using,
)
from exercises.question.wording import number

FRAMES = ("S-5A F1.2a", "S-5B E4.1b")
TRANSFORMING = ("S-5A F1.2b", "S-5B E4.1c")
THREE_DIMENSIONS = ("S-5A F1.2d",)
GRIDS = ("S-5A F1.5a", "S-5B E4.2")
HEIGHTS = ("S-5A H5.4a", "S-5B E4.4a")

SEVEN_FIGURES = 0.304_800_6  # metres, the US survey foot as it is often printed
LEVER = 30.0  # metres, from the antenna down to the transducer

FIRST = choice("sailing-first-proof", elements=(*FRAMES, *TRANSFORMING), marks=0)


# sailing-foot ---------------------------------------------------------------------------
# A foot in a million feet is 2 parts in a million: 2.4 m or more here, 48 tolerances.


def _northing(g: Numbers, foot: float = US_FOOT) -> tuple[float, float]:
    return g.feet * foot, g.feet * (foot - FOOT)


FEET = exercise(
    "sailing-foot",
    elements=GRIDS,
    draw=lambda dice: {"feet": dice.number(4_000_000, 24_000_000, 2)},
    printed=(Printed("feet", "northing", "US survey ft", 2),),
    asked=(
        Asked("metres", "Northing", "number", "m", 2, 0.02),
        Asked("off", "Right − client's", "number", "m", 2, 0.02, positive="north"),
    ),
    solve=_northing,
    carry=lambda g, own: {"off": own.metres - g.feet * FOOT},
    slips={
        "international": using(foot=FOOT),
        "other-way": using("metres", foot=FOOT * FOOT / US_FOOT),
        "turned": also("sign", turned("off")),
        "rounded": using(foot=1 / 3.28),
    },
    methods={
        "seven-figures": using("metres", foot=SEVEN_FIGURES),
        "eight-figures": using("metres", foot=1 / 3.280_833_3),
    },
    work=lambda g: {"client": g.feet * FOOT},
)


# sailing-paris --------------------------------------------------------------------------


def _from_greenwich(g: Numbers, degrees_in_a_gon: float = 0.9, paris: float = PARIS) -> float:
    return g.gon * degrees_in_a_gon + paris


ZERO = exercise(
    "sailing-paris",
    elements=FRAMES,
    draw=lambda dice: {"gon": dice.signed(20, 170, 4)},
    printed=(Printed("gon", "λ from Paris, east +", "gon", 4, signed=True),),
    asked=(Asked("longitude", "λ from Greenwich", "number", "°", 4, 0.0002, positive="east"),),
    solve=_from_greenwich,
    slips={
        "no-paris": using(paris=0.0),
        "subtracted": using(paris=-PARIS),
        "as-degrees": using(degrees_in_a_gon=1.0),
        "upside-down": using(degrees_in_a_gon=1 / 0.9),
    },
    work=lambda g: {"from_paris": g.gon * 0.9},
)


# sailing-packed -------------------------------------------------------------------------
# Minutes 12 to 57 and seconds 12 to 57, minutes and seconds 5 or more apart: every reading of the
# digits differs by 0.002° or more.


def _draw_packed(dice: Dice) -> Answer:
    while True:
        minutes, seconds = dice.whole(12, 57), dice.whole(12, 57)
        if abs(minutes - seconds) >= 5:
            break
    return {"packed": printed(dice.whole(4, 64) + minutes / 100 + seconds / 10_000, 4)}


def _packed(g: Numbers, minute: float = 1 / 60, second: float = 1 / 3600) -> float:
    degrees, minutes, seconds = sheet.digits(g.packed)
    return degrees + minutes * minute + seconds * second


def _work_packed(g: Numbers) -> Answer:
    degrees, minutes, seconds = sheet.digits(g.packed)
    off = abs(_packed(g) - g.packed) * 111.2
    return {"degrees": degrees, "minutes": minutes, "seconds": seconds, "off": off}


PACKED = exercise(
    "sailing-packed",
    elements=FRAMES,
    draw=_draw_packed,
    printed=(Printed("packed", "φ, DD.MMSS", "", 4),),
    asked=(Asked("latitude", "φ", "number", "°", 5, 0.00002, positive="north"),),
    solve=_packed,
    slips={
        "as-decimal": using(minute=0.01, second=0.0001),
        "hundredths": using(second=0.01 / 60),
        "no-seconds": using(second=0.0),
        "swapped-digits": using(minute=1 / 3600, second=1 / 60),
    },
    work=_work_packed,
)


# sailing-sheet --------------------------------------------------------------------------
# A line is right (0) or off by the size of its fault. Every size that can be planted stands six
# tolerances or more from zero; three faults at least are planted, and one of them turns something
# about, so that "once for twice" always leads somewhere. The lesson's own rules are
# right: the difference of the axes, up to 2.4 m more than the way in space; 10 000 km for a false
# northing, up to 39 km less than the way over the sphere.

ENTRIES = {
    "ellipsoid": (0, 3.0),
    "convention": (1, 0.2),
    "direction": (0, 3.0),
    "grid": (0, 50.0),
    "geoid": (1, 0.2),
    "antenna": (1, 0.2),
    "epoch": (2, 0.05),
    "plumb": (2, 0.03),
    "corner": (2, 0.05),
    "pilot": (0, 40.0),
    "wreck": (0, 2.0),
    "gauge": (1, 0.3),
    "shift": (0, 1.0),
}
"""Decimals and tolerance of each line, in its unit."""

TOLERANCES = {name: tolerance for name, (_, tolerance) in ENTRIES.items()}
NUMBERED = {name: f"{place} {title}" for place, (name, title) in enumerate(LINES.items(), 1)}
WORDS = words_of("sailing-sheet")


def _rows(rows: Mapping[str, str]) -> tuple[Printed, ...]:
    return tuple(Printed(name, label, text=sheet.held(name)) for name, label in rows.items())


EVIDENCE = _rows(sheet.EVIDENCE)
AS_RECEIVED = tuple(
    Printed(f"line_{name}", label, text=sheet.received(name)) for name, label in NUMBERED.items()
)


def _entry(name: str) -> Asked:
    decimals, tolerance = ENTRIES[name]
    label = f"{NUMBERED[name]} (±{tolerance:g})"
    return Asked(name, label, "number", UNITS[name], decimals, tolerance)


def _size(name: str, value: float) -> str:
    return f"{number(value, ENTRIES[name][0])} {UNITS[name]}"


def _findings(g: Numbers) -> Answer:
    costs = sheet.sizes(g)
    return {name: costs[name] if name in g.planted else 0.0 for name in LINES}


def _alarms(g: Numbers) -> Answer:
    """Return what the right lines would cost if each were turned into its fault."""
    return {name: cost for name, cost in sheet.sizes(g).items() if name not in g.planted}


def _reason(given: Given, name: str, value: Any) -> tuple[str, str]:
    """Say of a number that no route explains: a false alarm, or a fault found with its size off."""
    if name not in given["planted"]:
        return "false-alarm", WORDS.slips["false-alarm"][1]
    return "", WORDS["because"].format(size=_size(name, value))


def _earned(given: Given, parts: Mapping[str, Any]) -> float:
    """
    Return the share: each planted fault counts the same, half where only its size is off.

    A false alarm takes half a fault off, so that neither "all right" nor "all wrong" earns.
    """
    faults = given["planted"]
    found = sum(1.0 if parts[n].counts else 0.5 * _is_found(parts[n]) for n in faults)
    alarms = sum(not parts[name].counts for name in LINES if name not in faults)
    return max(0.0, (found - 0.5 * alarms) / len(faults))


def _is_found(part: Any) -> bool:
    return part.state in ("slip", "method", "near", "wrong") and part.slip != "missed"


def _on_the_parallel(g: Numbers) -> Answer:
    """Return the pilot position's fault along the parallel, where it is planted."""
    if "pilot" not in g.planted:
        return {}
    across = math.remainder(2 * g.pilot_lon, 360)
    return {"pilot": sheet.SPHERE * math.radians(abs(across)) * cos(g.pilot_lat)}


def _by_seven_figures(g: Numbers) -> Answer:
    """Return the corner's fault by a foot of seven figures, where it is planted."""
    return {"corner": g.corner_feet * (SEVEN_FIGURES - FOOT)} if "corner" in g.planted else {}


def _verdicts(g: Numbers) -> Answer:
    """Return the judgement of each line, and what the lean does to the array, in mm."""
    costs = sheet.sizes(g)
    answer: Answer = {"lever": 1000 * LEVER * costs["plumb"] / g.depth}
    for name, cost in costs.items():
        said = "right, **0**."
        if name in g.planted:
            said = f"wrong, **{_size(name, cost)}**. Right is: {sheet.says(g, name, False)}."
        answer[name] = f"{NUMBERED[name]}: {said}"
    return answer


SHEET = exercise(
    "sailing-sheet",
    elements=(*FRAMES, *TRANSFORMING, *THREE_DIMENSIONS, *GRIDS, *HEIGHTS),
    aids="course tools",
    draw=sheet.draw,
    printed=(*EVIDENCE, *AS_RECEIVED),
    asked=tuple(_entry(name) for name in LINES),
    solve=_findings,
    slips={
        "missed": partwise(reworked(lambda a: {name: 0.0 for name in LINES if a[name]})),
        "false-alarm": partwise(_alarms),
        "once": partwise(reworked(lambda a: {name: a[name] / 2 for name in TWICE if a[name]})),
    },
    methods={"parallel": _on_the_parallel, "seven-figures": _by_seven_figures},
    work=_verdicts,
    reason=_reason,
    earned=_earned,
)


# sailing-waypoint -----------------------------------------------------------------------
# The wells' old positions carried by any wrong route land 3 m or more away; the drift is 0.3 m or
# more, six tolerances.

TARGET = _rows(sheet.TARGET)
CHAIN = ("ellipsoid", "convention", "direction", "grid", "geoid", "epoch")
EAST_NORTH = ("easting", "northing")


def _geoid_at(g: Numbers) -> float:
    return sheet.model(g.field, sheet.well(g))[2]


def _work_waypoint(g: Numbers) -> Answer:
    here, place = sheet.FIELDS[g.field], sheet.well(g)
    start = sheet.carried(g.field, place, 0.0)
    lat, lon, _ = start.position
    old_east, old_north = start.grid
    years = g.job_epoch - g.list_epoch
    _, _, east, north = sheet.drift(g.field, place)
    return {
        **{name: getattr(here, name) for name in ("operation", "datum", "zone", "hemisphere")},
        **{"lat": lat, "lon": lon, "old_east": old_east, "old_north": old_north},
        **{"years": years, "moved_east": east * years, "moved_north": north * years},
        "geoid": _geoid_at(g),
    }


WAYPOINT = exercise(
    "sailing-waypoint",
    elements=(*FRAMES, *TRANSFORMING, *GRIDS, *HEIGHTS),
    aids="course tools",
    draw=sheet.draw,
    draws_with="sailing-sheet",
    printed=(
        *TARGET,
        *(row for row in EVIDENCE if row.name.startswith("mark") or row.name == "plate"),
        *(row for row in AS_RECEIVED if row.name.removeprefix("line_") in CHAIN),
    ),
    asked=(
        Asked("easting", "Easting", "length", "m", 2, 0.05),
        Asked("northing", "Northing", "length", "m", 2, 0.05),
        Asked("height", "h of the seabed", "length", "m", 2, 0.05, positive="up"),
    ),
    pairs=(EAST_NORTH,),
    solve=sheet.waypoint,
    slips={
        "convention": using(*EAST_NORTH, route="turned"),
        "backwards": using(*EAST_NORTH, route="backwards"),
        "untouched": using(*EAST_NORTH, route="untouched"),
        "new-ellipsoid": using(*EAST_NORTH, route="other ellipsoid"),
        "no-epoch": using(*EAST_NORTH, years=0),
        "years-turned": misread(
            *EAST_NORTH, list_epoch=lambda g: g.job_epoch, job_epoch=lambda g: g.list_epoch
        ),
        "no-offset": misread(*EAST_NORTH, offset_east=0.0, offset_north=0.0),
        "geoid-sign": plus(lambda g: -2 * _geoid_at(g), "height"),
        "no-datum": misread("height", chart_datum=0.0),
        "datum-above": misread("height", chart_datum=lambda g: -g.chart_datum),
        "no-geoid": plus(lambda g: -_geoid_at(g), "height"),
    },
    work=_work_waypoint,
)
