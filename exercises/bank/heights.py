"""Exercises of lesson 07, heights and depths at sea."""

import math
from functools import cache, lru_cache

from exercises.question.dice import Dice, apart, printed
from exercises.question.model import Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import number
from geokit.heights import (
    S44_ORDERS,
    allowed_horizontal_uncertainty,
    allowed_vertical_uncertainty,
    tidal_extremes,
)

FOOT = 0.3048  # metres
AT_95 = 1.96  # standard deviations, named in the prompts
S44 = "IHO S-44, Standards for Hydrographic Surveys, edition 6, 2020, table 1"
PHYSICAL = "W. A. Heiskanen and H. Moritz, Physical Geodesy, 1967, section 2-20 (from memory)"
PRACTICE = "common practice, no source"
SEPARATIONS, TRANSFERS, REDUCTIONS = (f"S-5A H5.4{part}" for part in "abc")
TWO_HEIGHTS, TIDAL_LEVELS, SOUNDINGS = "S-5B E4.4a", "S-5B E3.2c", "S-5B E3.3a"

N = Printed("N", "N, geoid above the ellipsoid", "m", 2, signed=True)
SEPARATION = Printed("S", "S, chart datum below the ellipsoid +", "m", 2, signed=True)


def _m(value: float, decimals: int = 2) -> str:
    return f"{number(value, decimals)} m"


# heights-orthometric -------------------------------------------------------------------
# H is 12 to 16 m, the arm 1.5 to 3.5 m and |N| 40 to 75 m. H + N and H + 2N then lie beyond
# the feet of H (39 to 53 m) and beyond −H, with 3 m and more between.


def _draw_orthometric(dice: Dice) -> Answer:
    height, arm = dice.number(12, 16, 2), dice.number(1.5, 3.5, 2)
    separation = dice.number(40, 75, 2) * dice.choose((-1, -1, -1, 1))
    return {"h": printed(height + arm + separation, 2), "arm": arm, "N": separation}


def _mark(g: Given, separations: float = 1.0, arms: float = 1.0) -> Answer:
    """Return the mark's height with so many N and so many arms taken off."""
    return {"H": g["h"] - arms * g["arm"] - separations * g["N"]}


def _steps_orthometric(g: Given) -> list[str]:
    below = g["h"] - g["arm"]
    return [
        f"Down the arm first: the mark's ellipsoidal height is {g['h']:+.2f} − {g['arm']:.2f} = "
        f"{below:+.2f} m.",
        f"The geoid lies {abs(g['N']):.2f} m {'above' if g['N'] > 0 else 'below'} the ellipsoid "
        f"here: N = {g['N']:+.2f} m.",
        f"H = h − N = {below:+.2f} {-g['N']:+.2f} = **{_mark(g)['H']:+.2f} m**. "
        + (
            "An ellipsoidal height below zero is nothing strange: the ellipsoid is not the sea."
            if below < 0
            else "Most of h is the geoid's own height."
        ),
    ]


ORTHOMETRIC = Exercise(
    key="heights-orthometric",
    topic="heights",
    title="From the antenna to the geoid",
    edition=1,
    elements=(SEPARATIONS, TWO_HEIGHTS),
    aids="calculator",
    prompt="A GNSS antenna on a platform has the ellipsoidal height h of its reference point, WGS 84. "
    "A deck mark lies plumb below that point. The model's geoid height N is positive where the geoid "
    "lies above the same ellipsoid. What is the height H of the **mark above the geoid**, up "
    "positive? Give it to 0.01 m; right within ±0.02 m.",
    draw=_draw_orthometric,
    printed=(
        Printed("h", "h, antenna above the ellipsoid", "m", 2, signed=True),
        Printed("arm", "mark below the antenna", "m", 2),
        N,
    ),
    asked=(Asked("H", "H of the mark", "length", "m", 2, 0.02, positive="up"),),
    solve=_mark,
    slips=(
        Slip(
            "added",
            "N with the wrong sign",
            lambda g: _mark(g, separations=-1),
            "{value} comes from h + N; with a negative N also from h − |N|. N counts with its sign, "
            "and is taken off: H = h − N.",
        ),
        Slip(
            "no-geoid",
            "The ellipsoidal height",
            lambda g: _mark(g, separations=0),
            "{value} is the mark's height above the *ellipsoid*. Asked is its height above the "
            "geoid: take N off.",
        ),
        Slip(
            "no-arm",
            "The antenna's height",
            lambda g: _mark(g, arms=0),
            "{value} is the antenna's height above the geoid. The mark lies below it.",
        ),
        Slip(
            "arm-added",
            "The arm added",
            lambda g: _mark(g, arms=-1),
            "{value} has the arm added. The mark lies *below* the antenna: take it off.",
        ),
    ),
    nudges=(
        "Sketch it from the bottom: ellipsoid, geoid, mark, antenna. Mind which lies lower.",
        "H = h − N, with N's own sign: taking off a negative N makes H larger than h.",
    ),
    steps=_steps_orthometric,
    source=f"H = h − N. {PHYSICAL}; HS-02 in tests.",
)


# heights-altitude ----------------------------------------------------------------------
# The altitude is 8 to 12 m and the two separations part by 0.6 to 3 m. With |N| from 42 to
# 75 m, altitude − N stays clear of H turned round (13 to 27 m) and of H in feet (to 37 m); and
# each slip in h moves H by metres as well.


def _draw_altitude(dice: Dice) -> Answer:
    better = dice.signed(45, 72, 2)
    return {
        "altitude": dice.number(8, 12, 2),
        "own": printed(better + dice.signed(0.6, 3, 2), 2),
        "N": better,
    }


def _altitude(g: Given, h: float | None = None) -> Answer:
    h = g["altitude"] + g["own"] if h is None else h
    return {"h": h, "H": h - g["N"]}


def _steps_altitude(g: Given) -> list[str]:
    answer = _altitude(g)
    return [
        "The receiver made its altitude by taking its own separation off. Put it back first.",
        f"h = {g['altitude']:.2f} {g['own']:+.2f} = **{answer['h']:+.2f} m** above the ellipsoid.",
        f"H = h − N = {answer['h']:+.2f} {-g['N']:+.2f} = **{answer['H']:+.2f} m**.",
        f"The receiver's altitude was {g['altitude'] - answer['H']:+.2f} m off: that much its "
        "coarse geoid misses here.",
    ]


ALTITUDE = Exercise(
    key="heights-altitude",
    topic="heights",
    title="What the receiver calls altitude",
    edition=1,
    elements=(SEPARATIONS, TWO_HEIGHTS),
    aids="calculator",
    prompt="A GNSS receiver prints an altitude, above its own coarse geoid, and beside it the "
    "separation that it used: geoid above the ellipsoid, positive. The job's geoid model gives a "
    "better N, counted likewise above the same ellipsoid. What is the antenna's **ellipsoidal "
    "height h**, and what is its **height H above the job's geoid**? Both up positive. Give both to "
    "0.01 m; right within ±0.02 m.",
    draw=_draw_altitude,
    printed=(
        Printed("altitude", "altitude, as printed by the receiver", "m", 2),
        Printed("own", "the receiver's own separation", "m", 2, signed=True),
        Printed("N", "N of the job's geoid model", "m", 2, signed=True),
    ),
    asked=(
        Asked("h", "h", "length", "m", 2, 0.02, positive="up"),
        Asked("H", "H", "length", "m", 2, 0.02, positive="up"),
    ),
    pairs=(("h", "H"),),
    solve=_altitude,
    carry=lambda g, own: {"H": own["h"] - g["N"]},
    slips=(
        Slip(
            "altitude-as-h",
            "The altitude taken for h",
            lambda g: _altitude(g, g["altitude"]),
            "The printed altitude went in as the ellipsoidal height. The receiver has taken its "
            "own separation off already: put it back first.",
        ),
        Slip(
            "minus",
            "The separation taken off again",
            lambda g: _altitude(g, g["altitude"] - g["own"]),
            "The receiver's separation was taken off a second time. Altitude = h − separation, so "
            "h = altitude + separation.",
        ),
        Slip(
            "better-too-early",
            "The job's N put back, not the receiver's",
            lambda g: _altitude(g, g["altitude"] + g["N"]),
            "The job's N was put back where the receiver's own separation had been taken off. To "
            "undo what it did, use the number it used.",
        ),
        Slip(
            "twice",
            "N taken off twice",
            lambda g: {"H": g["altitude"] - g["N"]},
            "{value} is the altitude less N: a separation is taken off twice. H = h − N, from the "
            "ellipsoidal height.",
        ),
        Slip(
            "receivers",
            "The receiver's altitude left as it is",
            lambda g: {"H": g["altitude"]},
            "{value} is still above the receiver's own coarse geoid. Asked is the job's.",
        ),
    ),
    nudges=(
        "How did the receiver get its altitude out of the ellipsoidal height it measures?",
        "Undo that with the receiver's own separation. Then take the job's N off.",
    ),
    steps=_steps_altitude,
    source=f"h = H + N, twice. {PHYSICAL}; that receivers carry a coarse geoid of their own is "
    f"{PRACTICE}.",
)


# heights-gnss-tide ---------------------------------------------------------------------
# The level W is 0.8 to 3.1 m, the datum 3.4 to 4.8 m below the geoid, the arm 8 to 16 m and
# |S| 40 to 75 m: W − c is negative, W + a between W in feet (10.2 m) and 2a + W (35 m), and
# W ± S beyond all of these.


def _draw_gnss_tide(dice: Dice) -> Answer:
    level, arm = dice.number(0.8, 3.1, 2), dice.number(8, 16, 2)
    separation, below = dice.signed(40, 75, 2), dice.number(3.4, 4.8, 2)
    return {
        "h": printed(level + arm - separation, 2),
        "arm": arm,
        "S": separation,
        "N": printed(below - separation, 2),
    }


def _level(g: Given, datum: float | None = None, arms: float = 1.0) -> Answer:
    """Return the level of the water above a datum of that ellipsoidal height."""
    return {"level": g["h"] - arms * g["arm"] - (-g["S"] if datum is None else datum)}


def _steps_gnss_tide(g: Given) -> list[str]:
    water = g["h"] - g["arm"]
    return [
        f"The water surface: {g['h']:+.2f} − {g['arm']:.2f} = {water:+.2f} m above the ellipsoid.",
        f"Chart datum: S = {g['S']:+.2f} m below the ellipsoid, so its ellipsoidal height is "
        f"{-g['S']:+.2f} m.",
        f"Water above chart datum: {water:+.2f} {g['S']:+.2f} = **{_level(g)['level']:.2f} m**. "
        f"The geoid, at {g['N']:+.2f} m, has no part in it.",
    ]


GNSS_TIDE = Exercise(
    key="heights-gnss-tide",
    topic="heights",
    title="The tide from your own antenna",
    edition=1,
    elements=(SEPARATIONS, REDUCTIONS, SOUNDINGS),
    aids="calculator",
    prompt="GNSS gives the ellipsoidal height h of the vessel's antenna, heave averaged out. The "
    "waterline lies plumb below the antenna by the printed arm. The separation model gives S, "
    "**chart datum below the ellipsoid, positive down**; N is the geoid's height above the same "
    "ellipsoid, positive up. How high does the **water stand above chart datum**? Give it to "
    "0.01 m; right within ±0.02 m.",
    draw=_draw_gnss_tide,
    printed=(
        Printed("h", "h, antenna above the ellipsoid", "m", 2, signed=True),
        Printed("arm", "arm, waterline below the antenna", "m", 2),
        SEPARATION,
        N,
    ),
    asked=(Asked("level", "Water above chart datum", "length", "m", 2, 0.02),),
    solve=_level,
    slips=(
        Slip(
            "no-arm",
            "The arm left out",
            lambda g: _level(g, arms=0),
            "{value} is the antenna above chart datum. The water lies lower, by the arm.",
        ),
        Slip(
            "arm-added",
            "The arm added",
            lambda g: _level(g, arms=-1),
            "{value} has the arm added. The waterline lies *below* the antenna.",
        ),
        Slip(
            "geoid",
            "N for the separation",
            lambda g: _level(g, datum=g["N"]),
            "{value} is the water above the *geoid*. Chart datum lies metres below that: use the "
            "separation model.",
        ),
        Slip(
            "separation-sign",
            "S with the wrong sign",
            lambda g: _level(g, datum=g["S"]),
            "{value} has S turned about. S counts chart datum *below* the ellipsoid, so the datum's "
            "ellipsoidal height is −S.",
        ),
        Slip(
            "ellipsoid",
            "The ellipsoid for chart datum",
            lambda g: _level(g, datum=0.0),
            "{value} is the water above the ellipsoid. Chart datum lies elsewhere: bring S in.",
        ),
        Slip(
            "both",
            "N and S both",
            lambda g: {"level": _level(g)["level"] - g["N"]},
            "{value} has N taken off and S as well. S leads from the ellipsoid to chart datum by "
            "itself; the geoid has no part in it.",
        ),
    ),
    nudges=(
        "Write down the ellipsoidal height of the water surface and that of chart datum.",
        "S positive means: chart datum below the ellipsoid. What is its height, then?",
    ),
    steps=_steps_gnss_tide,
    source=f"Water = h − arm + S, {PRACTICE}.",
)


# heights-charted-depth -----------------------------------------------------------------
# Against the right depth of 25 m or more the slips stand at +2T (2.8 to 8 m), +Z (2.4 to 3 m),
# −T (1.4 to 4 m), −d (4.6 to 6.5 m) and −2d, where the water T = Z + t above the datum: Z + 2t
# is 0.4 m or more, so that the first two part. A depth in feet is 17 m off or more.


def _draw_charted(dice: Dice) -> Answer:
    return {
        "sounding": dice.number(27, 75, 2),
        "draught": dice.number(4.6, 6.5, 2),
        "tide": dice.signed(0.4, 1.0, 2),
        "Z": dice.number(2.4, 3.0, 2),
    }


def _charted(g: Given, tides: float = 1.0, draughts: float = 1.0) -> Answer:
    """Return the depth with so many times the draught put on and the water above datum off."""
    return {"depth": g["sounding"] + draughts * g["draught"] - tides * (g["tide"] + g["Z"])}


def _steps_charted(g: Given) -> list[str]:
    water = g["tide"] + g["Z"]
    return [
        f"From the surface: {g['sounding']:.2f} + {g['draught']:.2f} = "
        f"{g['sounding'] + g['draught']:.2f} m of water under it now.",
        f"The water stands {g['tide']:+.2f} m off mean sea level, which lies {g['Z']:.2f} m above "
        f"chart datum: {water:.2f} m above the datum.",
        f"Charted depth = {g['sounding'] + g['draught']:.2f} − {water:.2f} = "
        f"**{_charted(g)['depth']:.2f} m**.",
    ]


CHARTED = Exercise(
    key="heights-charted-depth",
    topic="heights",
    title="From the echo to the chart",
    edition=1,
    elements=(TIDAL_LEVELS, SOUNDINGS),
    aids="calculator",
    prompt="An echo sounder measured straight down from its transducer; sound speed, heave and "
    "attitude are in already. The transducer sits the printed draught below the water surface. The "
    "water stood the printed tide **above mean sea level** (negative: below it), and mean sea level "
    "lies Z above chart datum there. What **depth below chart datum** belongs on the chart? Give it "
    "to 0.01 m, down positive; right within ±0.02 m.",
    draw=_draw_charted,
    printed=(
        Printed("sounding", "sounding below the transducer", "m", 2),
        Printed("draught", "draught of the transducer", "m", 2),
        Printed("tide", "tide, above mean sea level +", "m", 2, signed=True),
        Printed("Z", "Z, mean sea level above chart datum", "m", 2),
    ),
    asked=(Asked("depth", "Charted depth", "length", "m", 2, 0.02),),
    solve=_charted,
    slips=(
        Slip(
            "tide-added",
            "The tide added",
            lambda g: _charted(g, tides=-1),
            "{value} has the water above the datum added. The chart counts from the datum, which "
            "lies lower than this water: take it off.",
        ),
        Slip(
            "no-draught",
            "The draught left out",
            lambda g: _charted(g, draughts=0),
            "{value} counts from the transducer. Water lies above it too: add the draught.",
        ),
        Slip(
            "draught-off",
            "The draught taken off",
            lambda g: _charted(g, draughts=-1),
            "{value} has the draught taken off. The transducer is under water, so the seabed lies "
            "deeper than it measured.",
        ),
        Slip(
            "mean-level",
            "Mean sea level for chart datum",
            lambda g: {"depth": _charted(g)["depth"] + g["Z"]},
            "{value} is the depth below *mean sea level*. Chart datum lies lower, so that the chart "
            "shows less water than there mostly is.",
        ),
        Slip(
            "not-reduced",
            "Not reduced",
            lambda g: _charted(g, tides=0),
            "{value} is the water under the surface of that moment. The chart counts from its datum: "
            "take off what the water stood above it.",
        ),
        Slip(
            "no-tide",
            "The tide left out",
            lambda g: {"depth": _charted(g)["depth"] + g["tide"]},
            "{value} has Z taken off and not the tide. The water stood off mean sea level: reckon "
            "tide + Z, the tide with its sign.",
        ),
        Slip(
            "Z-added",
            "Z with the wrong sign",
            lambda g: {"depth": _charted(g)["depth"] + 2 * g["Z"]},
            "{value} has Z added. Chart datum lies below mean sea level, so that the chart's depth is "
            "the smaller one.",
        ),
        Slip(
            "tide-twice",
            "The tide taken twice",
            lambda g: _charted(g, tides=2),
            "{value} has the water above the datum taken off twice. So it goes when a depth that "
            "was reduced from GNSS heights gets the gauge's tide as well: one or the other.",
        ),
    ),
    nudges=(
        "How much water stood over the seabed at that moment, surface to seabed?",
        "How far did that surface stand above chart datum? Mean sea level is a step between.",
    ),
    steps=_steps_charted,
    source=f"Depth = sounding + draught − (tide + Z), {PRACTICE}.",
)


# heights-lat ---------------------------------------------------------------------------
# Nineteen years of tide cost a few hundredths of a second, so the ports are few and each
# trainee's numbers vary by what needs no new tide. A port's amplitudes are whole units of 12 to
# 18 mm: the tide grows with the unit, so one synthesis (in units of 10 mm) serves all seven. And
# each trainee's gauge has a zero of its own. The dice of the 16 ports were chosen, so that in the
# smallest unit any two of the routes stand 0.10 m apart at each of them.

SEEDS = (3, 32, 45, 48, 50, 52, 56, 58, 68, 73, 76, 86, 92, 98, 110, 115)
PORTS = dict(zip("ABCDEFGHIJKLMNOP", SEEDS, strict=True))
FIRST_YEAR, YEARS = 2008, 19  # as the workbench offers them
WAVES = ("M2", "S2", "N2", "K2", "NU2", "MU2", "2N2")
WAVES += ("K1", "O1", "P1", "Q1", "M4", "MS4", "Sa", "Ssa")
SEASONS = ("Sa", "Ssa")


@cache
def _port(seed: int) -> dict[str, tuple[int, int]]:
    """Return the constituents of an invented port: amplitude in units, phase in whole degrees."""
    dice = Dice(seed)
    m2, diurnal = dice.whole(125, 165), dice.whole(5, 12)
    late, age = dice.whole(0, 359), dice.whole(20, 50)  # of the Moon's tide; of the springs
    once, seasons = dice.whole(0, 359), dice.whole(190, 270)
    share = {
        **{"M2": 1.0, "S2": dice.number(0.28, 0.4, 2), "N2": 0.19, "NU2": 0.037, "MU2": 0.03},
        **{"2N2": 0.025, "M4": dice.number(0.02, 0.06, 2), "MS4": dice.number(0.01, 0.04, 2)},
    }
    units = {wave: round(m2 * part) for wave, part in share.items()}
    units |= {"K2": round(units["S2"] * 0.27), "K1": diurnal, "O1": dice.whole(4, 10)}
    units |= {"P1": round(diurnal / 3), "Q1": 2, "Sa": dice.whole(12, 26), "Ssa": dice.whole(3, 6)}
    phases = {
        **{"M2": late, "S2": late + age, "K2": late + age - 2, "N2": late - age // 2},
        **{"NU2": late - age // 2 + 4, "MU2": late + 2 * age, "2N2": late - age},
        **{"K1": once, "P1": once - 4, "O1": once - 30, "Q1": once - 50, "M4": 2 * late + 60},
        **{"MS4": 2 * late + age + 70, "Sa": seasons, "Ssa": dice.whole(60, 140)},
    }
    return {wave: (units[wave], phases[wave] % 360) for wave in WAVES}


def _draw_lat(dice: Dice) -> Answer:
    name, millimetres = dice.choose(tuple(PORTS)), dice.whole(12, 18)
    port = _port(PORTS[name])
    rows = {
        wave: f"{units * millimetres / 1000:.3f} {phase:03d}"
        for wave, (units, phase) in port.items()
    }
    springs = (port["M2"][0] + port["S2"][0]) * millimetres / 1000
    zero = printed(1.45 * springs + dice.number(0.2, 0.8, 2), 2)
    return {"port": f"Port {name}", "Z": zero, "columns": "amplitude m, phase °", **rows}


def _constants(g: Given) -> dict[str, tuple[int, float]]:
    """Return each printed constituent's amplitude in millimetres and its phase."""
    rows = {wave: g[wave].split() for wave in WAVES}
    return {wave: (round(1000 * float(size)), float(phase)) for wave, (size, phase) in rows.items()}


@lru_cache(maxsize=256)
def _year_by_year(waves: tuple[tuple[str, int, float], ...]) -> tuple[float, ...]:
    """Return the lowest tide of each year, in metres, of amplitudes in units of 10 mm."""
    constituents = {wave: (units / 100, phase) for wave, units, phase in waves}
    return tuple(tidal_extremes(constituents, FIRST_YEAR, YEARS)[2].tolist())


def _yearly_lowest(g: Given, left_out: tuple[str, ...] = ()) -> list[float]:
    """Return the lowest tide of each year; sets that differ in the size of a unit share a tide."""
    constants = _constants(g)
    unit = math.gcd(*(size for size, _ in constants.values()))
    waves = tuple(
        (wave, size // unit, phase)
        for wave, (size, phase) in constants.items()
        if wave not in left_out
    )
    return [lowest * unit / 10 for lowest in _year_by_year(waves)]


def _with_zero(g: Given, lowest: float) -> Answer:
    return {"lowest": lowest, "zero": g["Z"] + lowest}


def _lat(g: Given) -> float:
    return min(_yearly_lowest(g))


def _sum_of(g: Given, *waves: str) -> float:
    constants = _constants(g)
    return sum(constants[wave][0] for wave in waves or WAVES) / 1000


def _steps_lat(g: Given) -> list[str]:
    yearly = _yearly_lowest(g)
    lowest = min(yearly)
    return [
        "Copy the rows into the workbench, *Extremes of the tide*, and take 19 years from "
        f"{FIRST_YEAR}: the lowest tide is **{lowest:+.2f} m**, in {FIRST_YEAR + yearly.index(lowest)}.",
        f"One year is not enough: {FIRST_YEAR} alone goes to {yearly[0]:+.2f} m, and the mildest of "
        f"the 19 to {max(yearly):+.2f} m. The Moon's orbit needs 18.6 years to go round.",
        f"−(M2 + S2) is {-_sum_of(g, 'M2', 'S2'):+.2f} m, mean low water springs; minus all "
        f"amplitudes, {-_sum_of(g):+.2f} m, is not reached: the waves never all stand lowest at "
        "once.",
        f"Above the gauge's zero: {g['Z']:.2f} {lowest:+.2f} = **{g['Z'] + lowest:.2f} m**.",
    ]


LAT = Exercise(
    key="heights-lat",
    topic="heights",
    title="The lowest tide of nineteen years",
    edition=1,
    elements=(SEPARATIONS, TIDAL_LEVELS),
    aids="course tools",
    prompt="The harmonic constants of an invented port are printed: name, amplitude in metres, "
    "Greenwich phase in degrees (times in UTC, Sa counted from the Sun's mean longitude). What is "
    "the **lowest astronomical tide** that all of them together, Sa and Ssa too, give over the 19 "
    f"years from 1 January {FIRST_YEAR} to 31 December {FIRST_YEAR + YEARS - 1}, above mean sea "
    "level, up positive? And how high does that lie **above the zero of the port's tide gauge**? "
    "The workbench computes it, under *Extremes of the tide*; the rows can be copied into it as they "
    "stand. Give both to 0.01 m; right within ±0.02 m.",
    draw=_draw_lat,
    printed=(
        Printed("port", "invented port"),
        Printed("Z", "mean sea level above the gauge's zero", "m", 2),
        Printed("columns", "constituent"),
        *(Printed(wave, wave) for wave in WAVES),
    ),
    asked=(
        Asked("lowest", "LAT above mean sea level", "length", "m", 2, 0.02, positive="up"),
        Asked("zero", "LAT above the gauge's zero", "length", "m", 2, 0.02),
    ),
    solve=lambda g: _with_zero(g, _lat(g)),
    carry=lambda g, own: {"zero": g["Z"] + own["lowest"]},
    slips=(
        Slip(
            "all-amplitudes",
            "Minus the sum of all amplitudes",
            lambda g: _with_zero(g, -_sum_of(g)),
            "All amplitudes were taken off at once. In 19 years the waves never all stand at their "
            "lowest together: let the tide run and take its lowest.",
        ),
        Slip(
            "one-year",
            "One year only",
            lambda g: _with_zero(g, _yearly_lowest(g)[0]),
            f"This is the lowest tide of {FIRST_YEAR} alone. The Moon's nodes go round in 18.6 "
            "years, and some years reach lower: take all 19.",
        ),
        Slip(
            "springs",
            "Low water springs",
            lambda g: _with_zero(g, -_sum_of(g, "M2", "S2")),
            "This is −(M2 + S2), mean low water springs. Many tides go lower than the mean of "
            "spring tides.",
        ),
        Slip(
            "no-season",
            "Sa and Ssa left out",
            lambda g: _with_zero(g, min(_yearly_lowest(g, SEASONS))),
            "Sa and Ssa are missing. They are small and slow, and in the low season all tides go "
            "lower by them.",
        ),
        Slip(
            "zero-sign",
            "The gauge's zero on the wrong side",
            lambda g: {"zero": g["Z"] - _lat(g)},
            "{value} has LAT above mean sea level. It lies below, so it comes off the height of "
            "mean sea level above the gauge's zero.",
        ),
    ),
    nudges=(
        "How many years does the Moon's orbit take to come round? The workbench asks for years.",
        "Then draw a staff: zero of the gauge, LAT, mean sea level, from the bottom up.",
    ),
    steps=_steps_lat,
    source="Nodal factors after P. Schureman, Manual of Harmonic Analysis and Prediction of Tides, "
    "US Coast and Geodetic Survey SP 98, 1940 (from memory). That LAT is sought over about 19 years "
    f"is {PRACTICE}.",
)


# heights-s44 ---------------------------------------------------------------------------
# In its depths each order's a + b·d stands 0.08 m or more over the root, and b·d 0.03 m or more
# under it. The achieved σ is 0.25 to 0.38 of the limit (passes) or 0.56 to 0.64 (fails): then
# the margin M is 0.09 of the limit or more, and M with σ once for 1.96 times clear of M turned
# (0.68) and of M in feet (0.42).

DEPTHS = {"exclusive": (20, 40), "special": (20, 40), "1a": (25, 100), "1b": (25, 100)}
DEPTHS |= {"2": (120, 250)}


def _draw_s44(dice: Dice) -> Answer:
    order = dice.choose(tuple(DEPTHS))
    depth = dice.number(*DEPTHS[order], 1)
    share = dice.choose((dice.number(0.25, 0.38, 3), dice.number(0.56, 0.64, 3)))
    return {"order": order, "depth": depth, "sigma": printed(share * _limit(order, depth), 3)}


@lru_cache(maxsize=64)
def _limit(order: str, depth: float) -> float:
    return allowed_vertical_uncertainty(depth, order)


def _tvu(g: Given) -> float:
    return _limit(g["order"], g["depth"])


def _with_margin(g: Given, allowed: float) -> Answer:
    return {"allowed": allowed, "margin": allowed - AT_95 * g["sigma"]}


def _steps_s44(g: Given) -> list[str]:
    a, b, *_ = S44_ORDERS[g["order"]]
    margin = _with_margin(g, _tvu(g))["margin"]
    return [
        f"Order {g['order']}: a = {a:.2f} m, b = {b:.4f}; b·d = {b * g['depth']:.4f} m.",
        f"TVU = √(a² + (b·d)²) = **{_tvu(g):.3f} m**, at 95 %.",
        f"Achieved at 95 %: {AT_95} × {g['sigma']:.3f} = {AT_95 * g['sigma']:.3f} m.",
        f"Margin = {_tvu(g):.3f} − {AT_95 * g['sigma']:.3f} = **{margin:+.3f} m**: this depth "
        f"{'passes' if margin > 0 else 'fails'}.",
    ]


def _a_and_b() -> str:
    return "; ".join(f"{order} {a:.2f} m and {b:g}" for order, (a, b, *_) in S44_ORDERS.items())


UNCERTAINTY = Exercise(
    key="heights-s44",
    topic="heights",
    title="Does the depth pass?",
    edition=1,
    elements=(REDUCTIONS, SOUNDINGS),
    aids="calculator",
    prompt="S-44, edition 6, allows a depth d the total vertical uncertainty √(a² + (b·d)²) at 95 %, "
    f"with a and b for the orders {_a_and_b()}. A reduced depth has the printed standard deviation σ (1σ, all "
    f"parts in); take 95 % as {AT_95}σ. How large is the **allowed uncertainty**, and what is the "
    "margin, **allowed minus achieved, both at 95 %**, positive where the depth passes? Give both "
    "to 0.001 m; right within ±0.002 m.",
    draw=_draw_s44,
    printed=(
        Printed("order", "order of the survey"),
        Printed("depth", "d, depth", "m", 1),
        Printed("sigma", "σ of the depth, 1σ", "m", 3),
    ),
    asked=(
        Asked("allowed", "TVU allowed, 95 %", "length", "m", 3, 0.002),
        Asked("margin", "Margin, 95 %", "length", "m", 3, 0.002, positive="passes"),
    ),
    solve=lambda g: _with_margin(g, _tvu(g)),
    carry=lambda g, own: {"margin": _with_margin(g, own["allowed"])["margin"]},
    slips=(
        Slip(
            "linear",
            "a and b·d added up",
            lambda g: _with_margin(g, S44_ORDERS[g["order"]][0] + _share(g)),
            "This is a + b·d. The two parts are independent, so their squares add: √(a² + (b·d)²).",
        ),
        Slip(
            "no-fixed-part",
            "Only the part with the depth",
            lambda g: _with_margin(g, _share(g)),
            "This is b·d alone. The fixed part a is in the root too.",
        ),
        Slip(
            "horizontal",
            "The horizontal limit",
            lambda g: _with_margin(g, allowed_horizontal_uncertainty(g["depth"], g["order"])),
            "This is the limit of the *horizontal* uncertainty, THU. Asked is the vertical one.",
        ),
        Slip(
            "one-sigma",
            "1σ held against 95 %",
            lambda g: {"margin": _tvu(g) - g["sigma"]},
            "{value} holds 1σ against a limit at 95 %. Like with like: 1.96σ.",
        ),
    ),
    nudges=(
        "a is for what does not grow with depth, b·d for what does. How do independent parts add?",
        "At which level of confidence is the limit? And the σ?",
    ),
    steps=_steps_s44,
    source=f"{S44}; HS-03 and HS-04 in tests.",
)


def _share(g: Given) -> float:
    """Return b·d."""
    return S44_ORDERS[g["order"]][1] * g["depth"]


# heights-ers ---------------------------------------------------------------------------
# The separation, 0.13 m or more at 95 %, outweighs GNSS (0.049 to 0.069 m) and sounding (0.078
# to 0.098 m): so leaving it out is worse than mixing levels, by 0.02 m, and mixing costs 0.014 m
# or more. The tide that does not belong makes less than the plain sum, by 0.03 m. All outcomes are
# drawn 0.0065 m apart, 3¼ tolerances.


def _draw_ers(dice: Dice) -> Answer:
    while True:
        given = {
            "gnss": dice.number(0.025, 0.035, 3),
            "separation": dice.number(0.13, 0.20, 2),
            "sounding": dice.number(0.040, 0.050, 3),
            "arms": dice.number(0.02, 0.05, 2),
            "tide": dice.number(0.12, 0.18, 2),
        }
        right = _ers(given)
        routes = [route(given)["total"] for route in (slip.route for slip in ERS_SLIPS)]
        if apart([right, right * FOOT, right / FOOT, *routes], 0.0065):
            return given


def _parts_at_95(g: Given) -> tuple[float, float, float, float]:
    return AT_95 * g["gnss"], g["separation"], AT_95 * g["sounding"], g["arms"]


def _ers(g: Given) -> float:
    return math.hypot(*_parts_at_95(g))


def _as_printed(g: Given) -> float:
    """Return the root of the squares with no regard to the level beside each part."""
    return math.hypot(g["gnss"], g["separation"], g["sounding"], g["arms"])


def _without_separation(g: Given) -> float:
    gnss, _, sounding, arms = _parts_at_95(g)
    return math.hypot(gnss, sounding, arms)


def _steps_ers(g: Given) -> list[str]:
    gnss, separation, sounding, arms = _parts_at_95(g)
    return [
        f"All to 95 % first: GNSS {AT_95} × {g['gnss']:.3f} = {gnss:.3f} m, sounding {AT_95} × "
        f"{g['sounding']:.3f} = {sounding:.3f} m; separation {separation:.3f} m and lever arms "
        f"{arms:.3f} m are at 95 % already.",
        "The tide gauge has no part in it: the separation takes its place.",
        f"√({gnss:.3f}² + {separation:.3f}² + {sounding:.3f}² + {arms:.3f}²) = **{_ers(g):.3f} m**.",
        f"Without the separation it would be {_without_separation(g):.3f} m: the separation model "
        "is the largest part of it.",
    ]


ERS_SLIPS = (
    Slip(
        "linear",
        "Added up",
        lambda g: {"total": sum(_parts_at_95(g))},
        "{value} is the plain sum. Independent parts seldom all err one way: add their squares "
        "and take the root.",
    ),
    Slip(
        "mixed",
        "1σ and 95 % mixed",
        lambda g: {"total": _as_printed(g)},
        "{value} takes the printed numbers as they stand, some at 1σ and some at 95 %. Bring "
        "all to one level first.",
    ),
    Slip(
        "no-separation",
        "The separation model left out",
        lambda g: {"total": _without_separation(g)},
        "{value} lacks the separation model, as if chart datum were known without error. It is "
        "mostly the largest part.",
    ),
    Slip(
        "tide",
        "The tide counted as well",
        lambda g: {"total": math.hypot(_ers(g), g["tide"])},
        "{value} has the gauge's tide in it. A depth from the ellipsoid needs no tide: look at "
        "what stands in the formula.",
    ),
    Slip(
        "one-sigma",
        "Left at 1σ",
        lambda g: {"total": _ers(g) / AT_95},
        "{value} is the uncertainty at 1σ. Asked is 95 %: 1.96 times as much.",
    ),
    Slip(
        "all-one-sigma",
        "Every part taken for 1σ",
        lambda g: {"total": AT_95 * _as_printed(g)},
        "{value} has 1.96 on every part. Two of them are printed at 95 % already: look at the "
        "level beside each.",
    ),
)

ERS = Exercise(
    key="heights-ers",
    topic="heights",
    title="How good is a depth from the ellipsoid?",
    edition=2,
    elements=(REDUCTIONS,),
    aids="calculator",
    prompt="A depth is reduced from GNSS: charted depth = sounding + lever arm − antenna's "
    "ellipsoidal height − S, with the separation S of chart datum below the ellipsoid. Its parts are "
    "independent and have the printed uncertainties, each at the level that stands beside it. Take "
    f"95 % as {AT_95}σ. What is the vertical uncertainty of **this depth, at 95 %**? Give it to "
    "0.001 m; right within ±0.002 m.",
    draw=_draw_ers,
    printed=(
        Printed("gnss", "GNSS height of the antenna, 1σ", "m", 3),
        Printed("separation", "separation model, 95 %", "m", 2),
        Printed("sounding", "sounding below the transducer, 1σ", "m", 3),
        Printed("arms", "lever arms and attitude, 95 %", "m", 2),
        Printed("tide", "tide from the port's gauge, 95 %", "m", 2),
    ),
    asked=(Asked("total", "Uncertainty, 95 %", "length", "m", 3, 0.002),),
    solve=lambda g: {"total": _ers(g)},
    slips=ERS_SLIPS,
    nudges=(
        "Which of the printed parts stand in the formula of the depth?",
        "Bring each to 95 %, then square, add, and take the root.",
    ),
    steps=_steps_ers,
    source=f"Law of propagation of uncertainty. {S44}, asks for total uncertainty at 95 %.",
)


# heights-transfer ----------------------------------------------------------------------
# Z is 2.0 to 3.2 m and the ratio of ranges 0.62 to 0.82 or 1.2 to 1.4: the ratio upside down
# or left out moves the datum by 0.33 m to 3.2 m; the port's mean level for the site's by 4.5 m
# or more. The two ways part by 0.25 to 0.6 m, and |S| is 25 to 40 m, so that S turned about
# stays below that difference taken for millimetres.


def _draw_transfer(dice: Dice) -> Answer:
    at_port = dice.number(4.0, 6.0, 2)
    ratio = dice.choose((dice.number(0.62, 0.81, 2), dice.number(1.21, 1.4, 2)))
    g = {
        "Z": dice.number(2.0, 3.2, 2),
        "port_range": at_port,
        "site_range": printed(at_port * ratio, 2),
        "S": dice.signed(25, 40, 2),
    }
    off = dice.signed(0.25, 0.6, 2)
    site = printed(-g["S"] + off + g["Z"] * g["site_range"] / at_port, 2)
    port = printed(site + dice.signed(4.5, 9, 2), 2)
    return {**g, "port_level": port, "site_level": site}


def _with_model(g: Given, datum: float) -> Answer:
    return {"datum": datum, "difference": datum + g["S"]}


def _ratio(g: Given) -> float:
    return g["site_range"] / g["port_range"]


def _steps_transfer(g: Given) -> list[str]:
    below = g["Z"] * _ratio(g)
    answer = _with_model(g, g["site_level"] - below)
    return [
        f"Ratio of the ranges, site over port: {g['site_range']:.2f} / {g['port_range']:.2f} = "
        f"{_ratio(g):.4f}.",
        f"Chart datum lies {g['Z']:.2f} × {_ratio(g):.4f} = {below:.2f} m below mean sea level at "
        "the site.",
        f"Its ellipsoidal height: {g['site_level']:+.2f} − {below:.2f} = "
        f"**{answer['datum']:+.2f} m**.",
        f"The separation model has it at {-g['S']:+.2f} m: by ranges minus by model = "
        f"**{answer['difference']:+.2f} m**. So much the two ways differ; ask which one the client "
        "and the charting authority have agreed.",
    ]


TRANSFER = Exercise(
    key="heights-transfer",
    topic="heights",
    title="Chart datum carried to the site",
    edition=1,
    elements=(TRANSFERS, TIDAL_LEVELS),
    aids="calculator",
    prompt="At Port Hessel chart datum lies Z below mean sea level. Its distance below mean sea "
    "level goes with the mean spring range, of the port and of the site, where the tide has the same "
    "shape. Mean sea level is given by its **ellipsoidal height** at both places, up positive. What "
    "ellipsoidal height has chart datum **at the site**, carried there by the ratio of the ranges? "
    "The separation model says instead that it lies S below the ellipsoid, down positive: what is "
    "the difference, **by ranges minus by model**, of the two ellipsoidal heights? Give both to "
    "0.01 m; right within ±0.02 m.",
    draw=_draw_transfer,
    printed=(
        Printed("Z", "Z, chart datum below mean sea level, port", "m", 2),
        Printed("port_range", "mean spring range, port", "m", 2),
        Printed("site_range", "mean spring range, site", "m", 2),
        Printed("port_level", "mean sea level above the ellipsoid, port", "m", 2, signed=True),
        Printed("site_level", "mean sea level above the ellipsoid, site", "m", 2, signed=True),
        Printed("S", "S, chart datum below the ellipsoid +, site", "m", 2, signed=True),
    ),
    asked=(
        Asked("datum", "Chart datum, by ranges", "length", "m", 2, 0.02, positive="up"),
        Asked("difference", "By ranges − by model", "length", "m", 2, 0.02, positive="up"),
    ),
    solve=lambda g: _with_model(g, g["site_level"] - g["Z"] * _ratio(g)),
    carry=lambda g, own: {"difference": own["datum"] + g["S"]},
    slips=(
        Slip(
            "upside-down",
            "The ratio upside down",
            lambda g: _with_model(g, g["site_level"] - g["Z"] / _ratio(g)),
            "The ratio is upside down, port over site. Where the range is larger, chart datum lies "
            "further below mean sea level.",
        ),
        Slip(
            "no-ratio",
            "The port's Z as it stands",
            lambda g: _with_model(g, g["site_level"] - g["Z"]),
            "Z of the port was taken to the site as it stands. The tide has another range there: "
            "multiply by site over port.",
        ),
        Slip(
            "port-level",
            "The port's mean sea level",
            lambda g: _with_model(g, g["port_level"] - g["Z"] * _ratio(g)),
            "Mean sea level of the port went in. Above the ellipsoid it lies elsewhere at the site, "
            "because the geoid does: start from the site's.",
        ),
        Slip(
            "separation-sign",
            "S with the wrong sign",
            lambda g: {"difference": g["site_level"] - g["Z"] * _ratio(g) - g["S"]},
            "{value} has S turned about. S counts *down*, so the model's ellipsoidal height of "
            "chart datum is −S.",
        ),
    ),
    nudges=(
        "How far below mean sea level does chart datum lie at the site? More than at the port, or "
        "less?",
        "Then count from the site's own mean sea level. S positive down is the height −S.",
    ),
    steps=_steps_transfer,
    source=f"Transfer of a datum by the ratio of ranges, {PRACTICE}.",
)


# Say first ------------------------------------------------------------------------------

FIRST_ALTITUDE = choice(
    "heights-first-altitude",
    "Say first: above what?",
    "A GNSS receiver on the bridge shows *“altitude 11.4 m”*. Above which surface is that?",
    ("own", "Above a coarse geoid that the receiver carries in its memory"),
    {
        "ellipsoid": (
            "Above the ellipsoid",
            "That is what it measures, and not what it shows as altitude. At many places its "
            "ellipsoidal height is tens of metres off that number.",
        ),
        "sea": (
            "Above the sea as it stands now",
            "No receiver knows the tide. The number moves as the vessel goes up and down with it.",
        ),
        "chart": (
            "Above chart datum",
            "Chart datum needs a separation model of the port or the coast. The receiver has none.",
        ),
    },
    elements=(SEPARATIONS, TWO_HEIGHTS),
    because="The receiver measures an ellipsoidal height, takes off the geoid height of its own "
    "coarse model, often metres off a good one, and shows the rest as altitude. The separation it used "
    "can usually be shown as well.",
    source=f"That receivers carry a coarse geoid of their own is {PRACTICE}.",
    marks=0,
)

EXERCISES = (
    FIRST_ALTITUDE,
    ORTHOMETRIC,
    ALTITUDE,
    GNSS_TIDE,
    CHARTED,
    LAT,
    UNCERTAINTY,
    ERS,
    TRANSFER,
)
