"""Exercises of lesson 07, heights and depths at sea."""

import math
from functools import cache, lru_cache

import numpy as np

from exercises.question.dice import Dice, apart, printed
from exercises.question.model import Answer, Asked, Printed
from exercises.question.notation import choice, exercise
from exercises.question.variation import Numbers, misread, plus, times, using, variation
from geokit.heights import (
    S44_ORDERS,
    allowed_horizontal_uncertainty,
    allowed_vertical_uncertainty,
    tidal_extremes,
    tide,
)

FOOT = 0.3048  # metres
AT_95 = 1.96  # standard deviations of one dimension, named in the prompts
PLANE_AT_95 = 2.45  # of two dimensions: a position on the chart, not a depth
SEPARATIONS, TRANSFERS, REDUCTIONS = (f"S-5A H5.4{part}" for part in "abc")
TWO_HEIGHTS, TIDAL_LEVELS, SOUNDINGS = "S-5B E4.4a", "S-5B E3.2c", "S-5B E3.3a"

N = Printed("N", "N, geoid above the ellipsoid", "m", 2, signed=True)


FIRST_ALTITUDE = choice("heights-first-altitude", elements=(SEPARATIONS, TWO_HEIGHTS), marks=0)


# heights-orthometric -------------------------------------------------------------------
# H is 12 to 16 m, the arm 1.5 to 3.5 m and |N| 40 to 75 m. H + N and H + 2N then lie beyond
# the feet of H (39 to 53 m) and beyond −H, with 3 m and more between.


def _draw_orthometric(dice: Dice) -> Answer:
    height, arm = dice.number(12, 16, 2), dice.number(1.5, 3.5, 2)
    separation = dice.number(40, 75, 2) * dice.choose((-1, -1, -1, 1))
    return {"h": printed(height + arm + separation, 2), "arm": arm, "N": separation}


def _mark(g: Numbers, separations: int = 1, arms: int = 1) -> float:
    """Return the mark's height less so many N and so many arms."""
    return g.h - arms * g.arm - separations * g.N


ORTHOMETRIC = exercise(
    "heights-orthometric",
    elements=(SEPARATIONS, TWO_HEIGHTS),
    draw=_draw_orthometric,
    printed=(
        Printed("h", "h, antenna above the ellipsoid", "m", 2, signed=True),
        Printed("arm", "mark below the antenna", "m", 2),
        N,
    ),
    asked=(Asked("H", "H of the mark", "length", "m", 2, 0.02, positive="up"),),
    solve=_mark,
    slips={
        "added": using(separations=-1),
        "no-geoid": using(separations=0),
        "no-arm": using(arms=0),
        "arm-added": using(arms=-1),
    },
    work=lambda g: {"below": g.h - g.arm},
)


# heights-altitude ----------------------------------------------------------------------
# The altitude is 8 to 12 m and the two separations part by 0.6 to 3 m. With |N| from 42 to
# 75 m, altitude − N stays clear of H turned round (13 to 27 m) and of H in feet (to 37 m); and
# each slip in h moves H by metres as well.


def _draw_altitude(dice: Dice) -> Answer:
    better = dice.signed(45, 72, 2)
    altitude, own = dice.number(8, 12, 2), printed(better + dice.signed(0.6, 3, 2), 2)
    return {"altitude": altitude, "own": own, "N": better}


def _both_heights(g: Numbers) -> tuple[float, float]:
    h = g.altitude + g.own
    return h, h - g.N


ALTITUDE = exercise(
    "heights-altitude",
    elements=(SEPARATIONS, TWO_HEIGHTS),
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
    solve=_both_heights,
    carry=lambda g, own: {"H": own.h - g.N},
    slips={
        "altitude-as-h": misread(own=0),
        "minus": misread(own=lambda g: -g.own),
        "better-too-early": misread(own=lambda g: g.N),
        "twice": misread("H", own=0),
        "receivers": lambda g: {"H": g.altitude},
    },
    work=lambda g: {"off": g.altitude - _both_heights(g)[1]},
)


# heights-gnss-tide ---------------------------------------------------------------------
# The level W is 0.8 to 1.6 m, the datum 3.4 to 4.8 m below the geoid, the arm 8 to 16 m and
# |S| 40 to 75 m: W − c lies below −W, W + a between W in feet (5.2 m) and 2a + W (34 m), and
# W ± S beyond all of these.


def _draw_gnss_tide(dice: Dice) -> Answer:
    level, arm = dice.number(0.8, 1.6, 2), dice.number(8, 16, 2)
    separation, below = dice.signed(40, 75, 2), dice.number(3.4, 4.8, 2)
    h, geoid = printed(level + arm - separation, 2), printed(below - separation, 2)
    return {"h": h, "arm": arm, "S": separation, "N": geoid}


def _level(g: Numbers, arms: int = 1) -> float:
    """Return the level of the water above chart datum, less so many arms."""
    return g.h - arms * g.arm + g.S


GNSS_TIDE = exercise(
    "heights-gnss-tide",
    edition=2,
    elements=(SEPARATIONS, REDUCTIONS, SOUNDINGS),
    draw=_draw_gnss_tide,
    printed=(
        Printed("h", "h, antenna above the ellipsoid", "m", 2, signed=True),
        Printed("arm", "arm, waterline below the antenna", "m", 2),
        Printed("S", "S, chart datum below the ellipsoid +", "m", 2, signed=True),
        N,
    ),
    asked=(Asked("level", "Water above chart datum", "length", "m", 2, 0.02),),
    solve=_level,
    slips={
        "no-arm": using(arms=0),
        "arm-added": using(arms=-1),
        "geoid": misread(S=lambda g: -g.N),
        "separation-sign": misread(S=lambda g: -g.S),
        "ellipsoid": misread(S=0),
        "both": plus(lambda g: -g.N),
    },
    work=lambda g: {"water": g.h - g.arm},
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


def _charted(g: Numbers, tides: int = 1, draughts: int = 1) -> float:
    """Return the depth with so many times the draught put on and the water above datum off."""
    return g.sounding + draughts * g.draught - tides * (g.tide + g.Z)


CHARTED = exercise(
    "heights-charted-depth",
    elements=(TIDAL_LEVELS, SOUNDINGS),
    draw=_draw_charted,
    printed=(
        Printed("sounding", "sounding below the transducer", "m", 2),
        Printed("draught", "draught of the transducer", "m", 2),
        Printed("tide", "tide, above mean sea level +", "m", 2, signed=True),
        Printed("Z", "Z, mean sea level above chart datum", "m", 2),
    ),
    asked=(Asked("depth", "Charted depth", "length", "m", 2, 0.02),),
    solve=_charted,
    slips={
        "tide-added": using(tides=-1),
        "no-draught": using(draughts=0),
        "draught-off": using(draughts=-1),
        "mean-level": misread(Z=0),
        "not-reduced": using(tides=0),
        "no-tide": misread(tide=0),
        "Z-added": misread(Z=lambda g: -g.Z),
        "tide-twice": using(tides=2),
    },
    work=lambda g: {"under_surface": g.sounding + g.draught, "water": g.tide + g.Z},
)


# heights-lat ---------------------------------------------------------------------------
# Nineteen years of tide cost a few hundredths of a second, so the ports are few and each
# trainee's numbers vary by what needs no new tide. A port's amplitudes are whole units of 12 to
# 18 mm: the tide grows with the unit, so one synthesis (in units of 10 mm) serves all seven. And
# each trainee's gauge has a zero of its own. The dice of the 16 ports were chosen, so that in the
# smallest unit any two of the routes stand 0.10 m apart at each of them.

SEEDS = (3, 32, 45, 48, 50, 52, 56, 58, 68, 73, 76, 86, 92, 98, 110, 115)
PORTS = dict(zip("ABCDEFGHIJKLMNOP", SEEDS, strict=True))
FIRST_YEAR, YEARS = 2008, 19  # as the workbench offers them and the prompt names them
HOURS = np.arange(f"{FIRST_YEAR}-01-01", f"{FIRST_YEAR + YEARS}-01-01", dtype="datetime64[h]")
SEASONS = ("Sa", "Ssa")


@cache
def _port(seed: int) -> dict[str, tuple[int, int]]:
    """Return the constituents of an invented port: amplitude in units, phase in whole degrees."""
    dice = Dice(seed)
    m2, k1 = dice.whole(125, 165), dice.whole(5, 12)
    late, age = dice.whole(0, 359), dice.whole(20, 50)  # of the Moon's tide; of the springs
    once, seasons = dice.whole(0, 359), dice.whole(190, 270)
    s2 = round(m2 * dice.number(0.28, 0.4, 2))
    m4, ms4 = (round(m2 * dice.number(*share, 2)) for share in ((0.02, 0.06), (0.01, 0.04)))
    o1, sa, ssa = dice.whole(4, 10), dice.whole(12, 26), dice.whole(3, 6)
    rows = (
        ("M2", m2, late),
        ("S2", s2, late + age),
        ("N2", round(m2 * 0.19), late - age // 2),
        ("K2", round(s2 * 0.27), late + age - 2),
        ("NU2", round(m2 * 0.037), late - age // 2 + 4),
        ("MU2", round(m2 * 0.03), late + 2 * age),
        ("2N2", round(m2 * 0.025), late - age),
        ("K1", k1, once),
        ("O1", o1, once - 30),
        ("P1", round(k1 / 3), once - 4),
        ("Q1", 2, once - 50),
        ("M4", m4, 2 * late + 60),
        ("MS4", ms4, 2 * late + age + 70),
        ("Sa", sa, seasons),
        ("Ssa", ssa, dice.whole(60, 140)),
    )
    return {wave: (units, phase % 360) for wave, units, phase in rows}


WAVES = tuple(_port(SEEDS[0]))


def _draw_lat(dice: Dice) -> Answer:
    name, millimetres = dice.choose(tuple(PORTS)), dice.whole(12, 18)
    port = _port(PORTS[name])
    sizes = {wave: units * millimetres / 1000 for wave, (units, _) in port.items()}
    rows = {wave: f"{size:.3f} {port[wave][1]:03d}" for wave, size in sizes.items()}
    springs = (port["M2"][0] + port["S2"][0]) * millimetres / 1000
    zero = printed(1.45 * springs + dice.number(0.2, 0.8, 2), 2)
    return {"port": f"Port {name}", "Z": zero, "columns": "amplitude m, phase °", **rows}


def _constants(g: Numbers) -> dict[str, tuple[int, float]]:
    """Return each printed constituent's amplitude in millimetres and its phase."""
    rows = {wave: g[wave].split() for wave in WAVES}
    return {wave: (round(1000 * float(size)), float(phase)) for wave, (size, phase) in rows.items()}


def _in_units(g: Numbers, left_out: tuple[str, ...]) -> tuple[int, tuple]:
    """Return the size of a unit and the port in units, which other sizes of the unit share."""
    rows = [(wave, size, phase) for wave, (size, phase) in _constants(g).items()]
    unit = math.gcd(*(size for _, size, _ in rows))
    return unit, tuple((wave, size // unit, ph) for wave, size, ph in rows if wave not in left_out)


def _of_ten_millimetres(waves: tuple) -> dict[str, tuple[float, float]]:
    return {wave: (units / 100, phase) for wave, units, phase in waves}


@lru_cache(maxsize=256)
def _year_by_year(waves: tuple) -> tuple[float, ...]:
    """Return the lowest tide of each year, in metres, of amplitudes in units of 10 mm."""
    return tuple(tidal_extremes(_of_ten_millimetres(waves), FIRST_YEAR, YEARS)[2].tolist())


@lru_cache(maxsize=256)
def _lowest_hour(waves: tuple) -> float:
    """Return the lowest of the hourly heights, in metres, of amplitudes in units of 10 mm."""
    return float(np.min(tide(_of_ten_millimetres(waves), HOURS)))


def _yearly_lowest(g: Numbers, left_out: tuple[str, ...] = ()) -> list[float]:
    """Return the lowest tide of each year."""
    unit, waves = _in_units(g, left_out)
    return [lowest * unit / 10 for lowest in _year_by_year(waves)]


def _hourly(g: Numbers) -> tuple[float, float]:
    unit, waves = _in_units(g, ())
    return _above_zero(g, _lowest_hour(waves) * unit / 10)


def _above_zero(g: Numbers, lowest: float) -> tuple[float, float]:
    return lowest, g.Z + lowest


def _lat(g: Numbers, years: int = YEARS, left_out: tuple[str, ...] = ()) -> tuple[float, float]:
    return _above_zero(g, min(_yearly_lowest(g, left_out)[:years]))


def _sum_of(g: Numbers, *waves: str) -> float:
    constants = _constants(g)
    return sum(constants[wave][0] for wave in waves or WAVES) / 1000


def _work_lat(g: Numbers) -> Answer:
    yearly = _yearly_lowest(g)
    return {
        "year": FIRST_YEAR + yearly.index(min(yearly)),
        "first_year": yearly[0],
        "mildest": max(yearly),
        "springs": _sum_of(g, "M2", "S2"),
        "sum": _sum_of(g),
    }


LAT = exercise(
    "heights-lat",
    elements=(SEPARATIONS, TIDAL_LEVELS),
    aids="course tools",
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
    solve=_lat,
    carry=lambda g, own: {"zero": g.Z + own.lowest},
    slips={
        "all-amplitudes": lambda g: _above_zero(g, -_sum_of(g)),
        "one-year": using(years=1),
        "springs": lambda g: _above_zero(g, -_sum_of(g, "M2", "S2")),
        "no-season": using(left_out=SEASONS),
        "zero-sign": lambda g: {"zero": g.Z - _lat(g)[0]},
    },
    methods={"hourly": _hourly},
    work=_work_lat,
)


# heights-s44 ---------------------------------------------------------------------------
# In its depths each order's a + b·d stands 0.08 m or more over the root, and b·d 0.03 m or more
# under it. The achieved σ is 0.25 to 0.35 of the limit (passes) or 0.59 to 0.64 (fails): then
# the margin M is 0.15 of the limit or more, M with σ once for 1.96 times clear of M turned
# (0.68) and of M in feet (0.42), and M with 2.45 for 1.96 clear of M in feet (0.375, 0.573).

DEPTHS = {"exclusive": (20, 40), "special": (20, 40), "1a": (25, 100), "1b": (25, 100)}
DEPTHS |= {"2": (120, 250)}


def _draw_s44(dice: Dice) -> Answer:
    order = dice.choose(tuple(DEPTHS))
    depth = dice.number(*DEPTHS[order], 1)
    share = dice.choose((dice.number(0.25, 0.35, 3), dice.number(0.59, 0.64, 3)))
    sigma = printed(share * allowed_vertical_uncertainty(depth, order), 3)
    return {"order": order, "depth": depth, "sigma": sigma}


def _limit_and_margin(g: Numbers, limit=allowed_vertical_uncertainty) -> tuple[float, float]:
    allowed = limit(g.depth, g.order)
    return allowed, allowed - AT_95 * g.sigma


def _work_s44(g: Numbers) -> Answer:
    a, b, *_ = S44_ORDERS[g.order]
    return {"a": a, "b": b, "share": b * g.depth, "achieved": AT_95 * g.sigma}


UNCERTAINTY = exercise(
    "heights-s44",
    edition=2,
    elements=(REDUCTIONS, SOUNDINGS),
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
    solve=_limit_and_margin,
    carry=lambda g, own: {"margin": own.allowed - AT_95 * g.sigma},
    slips={
        "linear": using(limit=lambda d, order: S44_ORDERS[order][0] + S44_ORDERS[order][1] * d),
        "no-fixed-part": using(limit=lambda d, order: S44_ORDERS[order][1] * d),
        "horizontal": using(limit=allowed_horizontal_uncertainty),
        "one-sigma": plus(lambda g: (AT_95 - 1) * g.sigma, "margin"),
        "two-dimensional": plus(lambda g: (AT_95 - PLANE_AT_95) * g.sigma, "margin"),
    },
    methods={"two-sigma": plus(lambda g: (AT_95 - 2) * g.sigma, "margin")},
    work=_work_s44,
)


# heights-ers ---------------------------------------------------------------------------
# The separation, 0.13 m or more at 95 %, outweighs GNSS (0.049 to 0.069 m) and sounding (0.078
# to 0.098 m): so leaving it out is worse than mixing levels, by 0.02 m, and mixing costs 0.014 m
# or more. The tide that does not belong makes less than the plain sum, by 0.03 m. All outcomes are
# drawn 0.0065 m apart, 3¼ tolerances.


def _draw_ers(dice: Dice) -> Answer:
    routes = [variation(slip).bound(_ers, ["total"]) for slip in ERS_SLIPS.values()]
    while True:
        given = Numbers(
            gnss=dice.number(0.025, 0.035, 3),
            separation=dice.number(0.13, 0.20, 2),
            sounding=dice.number(0.040, 0.050, 3),
            arms=dice.number(0.02, 0.05, 2),
            tide=dice.number(0.12, 0.18, 2),
        )
        right, wrong = _ers(given), [route(given)["total"] for route in routes]
        if apart([right, right * FOOT, right / FOOT, *wrong], 0.0065):
            return given


def _ers(g: Numbers, to_95: float = AT_95, combine=math.hypot) -> float:
    """Return the uncertainty; GNSS and sounding, printed at 1σ, are brought to 95 % first."""
    return combine(to_95 * g.gnss, g.separation, to_95 * g.sounding, g.arms)


ERS_SLIPS = {
    "linear": using(combine=lambda *parts: sum(parts)),
    "mixed": using(to_95=1),
    "no-separation": misread(separation=0),
    "tide": lambda g: math.hypot(_ers(g), g.tide),
    "one-sigma": times(1 / AT_95),
    "all-one-sigma": lambda g: AT_95 * _ers(g, to_95=1),
    "two-dimensional": using(to_95=PLANE_AT_95),
}

ERS = exercise(
    "heights-ers",
    edition=3,
    elements=(REDUCTIONS,),
    draw=_draw_ers,
    printed=(
        Printed("gnss", "GNSS height of the antenna, 1σ", "m", 3),
        Printed("separation", "separation model, 95 %", "m", 2),
        Printed("sounding", "sounding below the transducer, 1σ", "m", 3),
        Printed("arms", "lever arms and attitude, 95 %", "m", 2),
        Printed("tide", "tide from the port's gauge, 95 %", "m", 2),
    ),
    asked=(Asked("total", "Uncertainty, 95 %", "length", "m", 3, 0.002),),
    solve=_ers,
    slips=ERS_SLIPS,
    methods={"two-sigma": using(to_95=2)},
    work=lambda g: {
        "gnss_95": AT_95 * g.gnss,
        "sounding_95": AT_95 * g.sounding,
        "without": _ers(Numbers({**g, "separation": 0})),
    },
)


# heights-transfer ----------------------------------------------------------------------
# Z is 2.0 to 3.2 m and the ratio of ranges 0.62 to 0.82 or 1.2 to 1.4: the ratio upside down
# or left out moves the datum by 0.33 m to 3.2 m; the port's mean level for the site's by 4.5 m
# or more. The two ways part by 0.25 to 0.6 m, and |S| is 25 to 40 m, so that S reversed
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


def _ratio(g: Numbers) -> float:
    return g.site_range / g.port_range


def _transferred(g: Numbers) -> tuple[float, float]:
    datum = g.site_level - g.Z * _ratio(g)
    return datum, datum + g.S


TRANSFER = exercise(
    "heights-transfer",
    elements=(TRANSFERS, TIDAL_LEVELS),
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
    solve=_transferred,
    carry=lambda g, own: {"difference": own.datum + g.S},
    slips={
        "upside-down": misread(
            port_range=lambda g: g.site_range, site_range=lambda g: g.port_range
        ),
        "no-ratio": misread(site_range=lambda g: g.port_range),
        "port-level": misread(site_level=lambda g: g.port_level),
        "separation-sign": misread("difference", S=lambda g: -g.S),
    },
    work=lambda g: {"ratio": _ratio(g), "below": g.Z * _ratio(g)},
)
