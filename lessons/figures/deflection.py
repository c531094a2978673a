"""
The figures of lesson 08: the two verticals, the angle between them and what it does.

Each function takes the trainee's site and returns a live figure for the notebook to show.
ξ and η are model values (EGM96) on the geoid, in arcseconds, north and east positive; the zenith
of gravity stands that far from the ellipsoid's, and a weight on a wire goes the opposite way.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from pyproj import Geod

from geokit import WGS84, deflection, geoid
from lessons.figures import palette, write
from lessons.figures.palette import (
    ELLIPSOID,
    GEOID,
    HAIR,
    HATCH,
    INK,
    LAND,
    NOISE,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    QUIET,
    SEA,
    WHITE,
)
from lessons.figures.pen import LEFT, NOTE, RIGHT, Sheet, width_of
from lessons.figures.worldmap import WorldMap, deflection_key
from lessons.live import OWN, LiveFigure, Site, Slider

RADIANS = math.radians(1 / 3600)  # in an arcsecond
STEEPEST = 90.0  # arcseconds at the rim of the compass rose


def two_verticals(site, *, scale=1.0):
    """Figure A: the site on the world map of deflection, the geoid's tilt, both verticals."""
    return LiveFigure(
        lambda: TwoVerticals(scale),
        [
            Site(site, dragged=True),
            Slider("wire", "Wire", "m below the waterline", 10, 10_000, site.water_depth or 1000,
                   step=0.05, log=True, follows="water_depth"),
            Slider("tilt", "Tilt drawn", "times too steep", 1, 2000, 1000, step=0.1, log=True),
        ],
    )  # fmt: skip


def _at(site):
    """Return ξ, η, their size and the azimuth of the astronomic zenith."""
    xi, eta = deflection.from_geoid(site.latitude, site.longitude, geoid.EGM96, WGS84)
    return xi, eta, *deflection.total(xi, eta)


def _towards(size, azimuth):
    """Return a direction for a picture, none where the size is written as zero."""
    return f"{write.compass(azimuth)} {write.azimuth(azimuth)}" if size >= 0.05 else ""


class TwoVerticals:
    """The drawing of figure A."""

    MAP = WorldMap(24, 58, 637, 347)
    ROSE = (104, 480, 58)
    WEST, EAST = 664, 1104  # edges of the section
    NADIR = 864  # x of the ellipsoid normal
    SEA_LEVEL, SEABED, FOOT = 278, 462, 502  # y of the site on the geoid, of the seabed
    KILOMETRES = 100  # across the section
    PER_METRE_N = 1.28  # points between geoid and ellipsoid for a metre of N

    def __init__(self, scale):
        sheet = self.sheet = Sheet(
            "The two verticals", "total deflection, EGM96 model value", scale=scale
        )
        self.MAP.total_deflection(sheet)
        deflection_key(sheet, 24, 360)
        x, y, radius = self.ROSE
        sheet.compass_rose(x, y, radius, 3)
        sheet.words(x + 47, y - 51, "90″", size=NOTE, colour=QUIET)
        for row, (symbol, note) in enumerate(
            [
                ("ξ", "in the meridian"),
                ("η", "in the prime vertical"),
                ("θ", "size and direction"),
                ("▼", "the weight lands"),
            ]
        ):
            y = 432 + 30 * row
            sheet.words(228, y, symbol, size=19, colour=QUIET)
            sheet.words(637, y, note, size=NOTE, colour=QUIET, to="left")
            if row < 3:
                sheet.rule(y + 15, 228, 637)
        self._still_section()
        sheet.keep()

    def _still_section(self):
        sheet = self.sheet
        above = {"size": NOTE, "colour": NORMAL, "to": "left"}
        sheet.words(self.NADIR - 12, 48, "normal to the ellipsoid,", **above)
        sheet.words(self.NADIR - 12, 64, "up to the geodetic zenith", **above)
        sheet.words(958, 48, "plumb line, up to", size=NOTE, colour=PLUMB)
        sheet.words(958, 64, "the astronomic zenith", size=NOTE, colour=PLUMB)
        sheet.rule(528, self.WEST, self.EAST)
        sheet.words(self.EAST, 542, "lengths and N not to scale", size=NOTE, to="left")

    def update(self, site, wire, tilt):
        """Draw the site, its numbers and the section; return the readout."""
        xi, eta, size, azimuth = _at(site)
        height = geoid.EGM96.height(site.latitude, site.longitude)
        offset = math.hypot(*deflection.seabed_offset(xi, eta, wire))
        sheet = self.sheet
        sheet.renew()
        self.MAP.here(sheet, site.latitude, site.longitude, site.name)
        self._rose(size, azimuth)
        self._numbers(xi, eta, size, azimuth, offset)
        self._section(site, size, azimuth, height, wire, tilt, offset)
        return self._readout(site, xi, eta, size, azimuth, height, wire, offset)

    def _rose(self, size, azimuth):
        x, y, radius = self.ROSE
        length, turn = radius * min(size / STEEPEST, 1.1), math.radians(azimuth)
        east, down = length * math.sin(turn), -length * math.cos(turn)
        self.sheet.arrow((x, y), (x - east, y - down), colour=INK, width=2, dash=(1.5, 1.5))
        self.sheet.arrow((x, y), (x + east, y + down), colour=PLUMB, width=3)
        self.sheet.disc(x, y, 5, PLUMB)

    def _numbers(self, xi, eta, size, azimuth, offset):
        for row, (number, direction, colour) in enumerate(
            [
                (write.arcseconds(xi), write.way(xi, "north", 1), INK),
                (write.arcseconds(eta), write.way(eta, "east", 1), INK),
                (write.arcseconds(size, signed=False), _towards(size, azimuth), PLUMB),
                (write.size(offset), _towards(size, azimuth + 180), INK),
            ]
        ):
            y = 432 + 30 * row
            self.sheet.words(340, y, number, bold=True, colour=colour, to="left")
            self.sheet.words(352, y, direction)

    def _section(self, site, size, azimuth, height, wire, tilt, offset):
        sheet, x0, y0 = self.sheet, self.NADIR, self.SEA_LEVEL
        y_ellipsoid = y0 + self.PER_METRE_N * height
        lean = math.atan(tilt * size * RADIANS)
        sheet.clip(self.WEST, 76, self.EAST, self.FOOT)
        x, y = self._geoid_line(site, azimuth, height, tilt)
        sheet.area([*x, x[-1], x[0]], [*y, self.FOOT, self.FOOT], SEA)
        sheet.line(x, y, colour=GEOID, width=3)
        sheet.clip()
        self._seabed(site, wire)
        sheet.line([x0, x0], [self.SEABED, 48], colour=NORMAL, width=2, dash=ORANGE_DASH)
        sheet.arrow((x0, 60), (x0, 38), colour=NORMAL, width=2)
        sheet.line([self.WEST, self.EAST], [y_ellipsoid] * 2, colour=ELLIPSOID, width=2.6,
                   dash=ORANGE_DASH)  # fmt: skip
        sheet.right_angle(x0, y_ellipsoid, -90, colour=NORMAL)
        tip = (x0 + 205 * math.sin(lean), y0 - 205 * math.cos(lean))
        weight = (x0 - (self.SEABED - 4 - y0) * math.tan(lean), self.SEABED - 4)
        sheet.arrow(weight, tip, colour=PLUMB, width=2.8)
        sheet.right_angle(x0, y0, math.degrees(lean), colour=PLUMB)
        self._bob(*weight, lean)
        sheet.arc(x0, y0, 168, 0, math.degrees(lean), colour=INK, width=1.8)
        sheet.site(x0, y0)
        self._section_words(y_ellipsoid, y, lean, size, azimuth, height, wire, tilt)
        self._landing(weight[0], wire, offset)

    def _geoid_line(self, site, azimuth, height, tilt):
        """Return the geoid in the plane of both verticals, as steep as it is drawn."""
        x = np.linspace(self.WEST, self.EAST, 45)
        per_metre = (self.EAST - self.WEST) / (self.KILOMETRES * 1000)
        latitude, longitude, _ = _line(site, azimuth, (x - self.NADIR) / per_metre)
        rise = geoid.EGM96.height(latitude, longitude) - height
        return x, self.SEA_LEVEL - rise * per_metre * tilt

    def _seabed(self, site, wire):
        """Draw the bottom, unless the wire ends above it; a depth of one's own is not known."""
        if site.name != OWN and wire < site.water_depth:
            return
        sheet = self.sheet
        sheet.box(self.WEST, self.SEABED, self.EAST, self.FOOT, LAND)
        sheet.line([self.WEST, self.EAST], [self.SEABED] * 2, colour=palette.COAST, width=1.4)
        sheet.words(self.WEST + 8, 482, "seabed", size=NOTE, colour=palette.LAND_WORDS)

    def _bob(self, x, y, lean):
        shape = np.array([[0, 0], [5, -12], [4, -22], [-4, -22], [-5, -12]], float)
        sine, cosine = math.sin(lean), math.cos(lean)
        turned = shape @ np.array([[cosine, sine], [-sine, cosine]])
        self.sheet.area(x + turned[:, 0], y + turned[:, 1], PLUMB, edge=WHITE, width=1)

    def _section_words(self, y_ellipsoid, y_geoid, lean, size, azimuth, height, wire, tilt):
        sheet, x0 = self.sheet, self.NADIR
        below = height < 0  # the geoid, below the ellipsoid
        if below:
            sheet.words(self.EAST, y_ellipsoid - 12, "ellipsoid", colour=NORMAL, bold=True,
                        to="left", halo=True)  # fmt: skip
        else:
            sheet.words(self.WEST + 4, y_ellipsoid + 13, "ellipsoid", colour=NORMAL, bold=True,
                        halo=True)  # fmt: skip
        y_left = float(np.clip(y_geoid[:8].max() if below else y_geoid[:8].min(), 90, 440))
        sheet.words(self.WEST + 4, y_left + (15 if below else -14), "geoid", colour=GEOID,
                    bold=True, halo=True)  # fmt: skip
        wide_enough = abs(y_ellipsoid - self.SEA_LEVEL) >= 40
        middle = (y_ellipsoid + self.SEA_LEVEL) / 2
        edge = min(y_ellipsoid, float(y_geoid[12:21].min()))
        sheet.words(x0 - 18, middle if wide_enough else edge - 14, f"N {_height(height)}",
                    to="left", halo=True)  # fmt: skip
        sheet.words(x0 + 150 * math.sin(lean) + 16, self.SEA_LEVEL - 150 * math.cos(lean),
                    write.arcseconds(size, signed=False), bold=True, halo=True)  # fmt: skip
        if size >= 0.05:
            sheet.words(self.WEST, 515, f"◂ {_towards(size, azimuth + 180)}", size=NOTE,
                        colour=QUIET)  # fmt: skip
            sheet.words(self.EAST, 515, f"{_towards(size, azimuth)} ▸", size=NOTE, colour=QUIET,
                        to="left")  # fmt: skip
        drawn = f"tilt drawn {write.number(tilt, 0)} × too steep" if tilt > 1 else "tilt drawn true"
        sheet.words(self.WEST, 542, drawn, size=NOTE, bold=True)

    def _landing(self, x, wire, offset):
        sheet, x0 = self.sheet, self.NADIR
        if x0 - x >= 14:
            sheet.arrow((x, 474), (x0, 474), width=1.8, head=8, both=True)
        words = f"{write.size(offset)} at {write.number(wire, 0)} m"
        half = width_of(words, bold=True) / 2
        middle = min(max((x + x0) / 2, self.WEST + 64 + half), self.EAST - half)
        sheet.words(middle, 491, words, bold=True, to="both", halo=True)

    @staticmethod
    def _readout(site, xi, eta, size, azimuth, height, wire, offset):
        where = f"At {write.place(site)} ({write.position(site.latitude, site.longitude)})"
        components = (
            f"ξ {write.arcseconds(xi)} {write.way(xi, 'north', 1)}, "
            f"η {write.arcseconds(eta)} {write.way(eta, 'east', 1)}"
        )
        depth = f"{write.number(wire, 0)} m"
        geoid_words = f"The geoid lies {write.above(height, 'the ellipsoid')} here."
        if site.name != OWN and wire > site.water_depth > 0:
            geoid_words += f" The water is only {write.number(site.water_depth, 0)} m deep."
        if size < 0.05:
            return (
                f"{where} the two verticals are one to a tenth of an arcsecond ({components}). "
                f"A weight on {depth} of wire lands {write.bold(write.size(offset))} from the "
                f"ellipsoid normal. {geoid_words}"
            )
        return (
            f"{where} gravity’s zenith stands "
            f"{write.bold(f'{write.arcseconds(size, signed=False)} {write.compass(azimuth)}')} "
            f"of the ellipsoid’s ({components}, azimuth {write.azimuth(azimuth, 1)}). A weight on "
            f"{write.bold(depth)} of wire goes the opposite way: it lands "
            f"{write.bold(f'{write.size(offset)} {write.compass(azimuth + 180)}')} (azimuth "
            f"{write.azimuth(azimuth + 180, 1)}) of the ellipsoid normal. {geoid_words}"
        )


def _kilometres(distance):
    """Return a distance in kilometres, with a decimal only where it has one."""
    return f"{write.number(distance, 0 if distance == round(distance) else 1)} km"


def _height(metres):
    """Return a geoid height as pictures show it."""
    return write.number(metres, 1, signed=True) + " m"


def _line(site, azimuth, distance):
    """Return latitudes, longitudes and azimuths along a geodesic; distances may be negative."""
    ellipsoid = Geod(a=WGS84.semi_major, rf=WGS84.inverse_flattening)
    distance = np.asarray(distance, float)
    longitude, latitude, back = ellipsoid.fwd(
        np.full_like(distance, site.longitude), np.full_like(distance, site.latitude),
        np.full_like(distance, azimuth), distance,
    )  # fmt: skip
    return latitude, longitude, (np.asarray(back) + 180) % 360


# Figure B ------------------------------------------------------------------------------------


def consequences(site, *, scale=1.0):
    """Figure B: what the deflection does, in metres, beside the noise of the instruments."""
    return LiveFigure(
        lambda: Consequences(scale),
        [
            Site(site),
            Slider("depth", "Depth", "m", 10, 10_000, site.water_depth or 1000,
                   step=0.05, log=True, follows="water_depth"),
            Slider("line", "Line", "km long", 0.1, 100, 1, step=0.05, decimals=1, log=True),
        ],
    )  # fmt: skip


@dataclass(frozen=True)
class Consequence:
    """
    One rung of the ladder.

    `effect` is in metres for one arcsecond, of the total deflection or of η; `noise` gives the
    lowest and highest noise in metres of the instrument that would see it, 95 %. Both take the
    job: latitude, depth in metres, line in kilometres.
    """

    title: str
    condition: Callable[["Job"], str]
    effect: Callable[["Job"], float]
    noise: Callable[["Job"], tuple[float, float]]
    instrument: Callable[["Job"], str]
    of_eta: bool = False


@dataclass(frozen=True)
class Job:
    """What the size of a consequence depends on, beside the deflection itself."""

    latitude: float
    azimuth: float  # of the zenith's lean
    depth: float
    line: float

    @property
    def arcsecond(self):
        """Return the metres of one arcsecond on the ground, in the lean's direction."""
        turn = math.radians(self.azimuth)
        return RADIANS * math.hypot(
            math.cos(turn) * WGS84.meridian_radius(self.latitude),
            math.sin(turn) * WGS84.prime_vertical_radius(self.latitude),
        )

    @property
    def gyro(self):
        """Return the settled error of gyro compasses in degrees, which grows as 1/cosφ."""
        return 0.1 / math.cos(math.radians(self.latitude)), 0.5 / math.cos(
            math.radians(self.latitude)
        )

    @property
    def levelling(self):
        """Return the metres between a difference of GNSS heights and a levelled one."""
        root = math.sqrt(self.line)
        return math.hypot(0.004, 0.001 * root), math.hypot(0.020, 0.004 * root)

    @property
    def refraction(self):
        """Return the metres of height by which a refraction coefficient of 1 bends the line."""
        return (self.line * 1000) ** 2 / (2 * WGS84.mean_radius)


def _times(factors, scale):
    return tuple(factor * scale for factor in factors)


# The noise is typical, at 95 %, from memory: the figure says so, and to check one's own sheets.
LADDER = (
    Consequence(
        "Star position against GNSS",
        lambda job: f"{write.number(job.arcsecond, 1)} m for each arcsecond",
        lambda job: job.arcsecond,
        lambda job: _times((0.1, 0.6), job.arcsecond),
        lambda job: "theodolite on stars, 0.1″ to 0.6″",
    ),
    Consequence(
        "Weight or probe on a wire",
        lambda job: f"at {write.number(job.depth, 0)} m depth",
        lambda job: job.depth * RADIANS,
        lambda job: _times((0.002, 0.005), job.depth),
        lambda job: "USBL, 0.2 to 0.5 % of depth",
    ),
    Consequence(
        "The same, in a seabed array",
        lambda job: f"at {write.number(job.depth, 0)} m depth",
        lambda job: job.depth * RADIANS,
        lambda job: (0.03, 0.12),
        lambda job: "LBL array, 3 to 12 cm",
    ),
    Consequence(
        "GNSS heights against levelling",
        lambda job: f"over {_kilometres(job.line)}, steepest line",
        lambda job: job.line * 1000 * RADIANS,
        lambda job: job.levelling,
        lambda job: f"GNSS and levelling, {write.spread(*job.levelling)}",
    ),
    Consequence(
        "Zenith angles to heights",
        lambda job: f"over {_kilometres(job.line)}, steepest line",
        lambda job: job.line * 1000 * RADIANS,
        lambda job: _times((0.05, 0.4), job.refraction),
        lambda job: "refraction, κ in doubt by 0.05 to 0.4",
    ),
    Consequence(
        "Gyro heading, η·tan φ",
        lambda job: f"across track after {_kilometres(job.line)}",
        lambda job: job.line * 1000 * RADIANS * abs(math.tan(math.radians(job.latitude))),
        lambda job: _times(job.gyro, math.radians(job.line * 1000)),
        lambda job: f"gyro, {write.number(job.gyro[0], 1)}° to {write.number(job.gyro[1], 1)}°",
        of_eta=True,
    ),
    Consequence(
        "Roll and pitch of a beam",
        lambda job: f"on the bottom at {write.number(job.depth, 0)} m",
        lambda job: job.depth * RADIANS,
        lambda job: _times((0.01, 0.05), math.radians(job.depth)),
        lambda job: "motion sensor, 0.01° to 0.05°",
    ),
)
MATTERS, EDGE, LOST = "matters", "at the edge", "lost in the noise"
VERDICTS = {MATTERS: ("●", PLUMB), EDGE: ("◐", INK), LOST: ("○", QUIET)}


def _inner(title):
    """Return a title as it stands within a sentence."""
    return title if title[:4] == "GNSS" else title[0].lower() + title[1:]


class Consequences:
    """The drawing of figure B."""

    FROM, DECADE = 304, 61  # x of 0.1 mm, points to a factor of ten
    FIRST, STEP = 112, 58  # y of the first rung
    VERDICT = 822

    def __init__(self, scale):
        sheet = self.sheet = Sheet("What the deflection does", scale=scale)
        marks = ("0.1 mm", "1 mm", "1 cm", "10 cm", "1 m", "10 m", "100 m", "1 km", "10 km")
        last = self.FIRST + self.STEP * (len(LADDER) - 1)
        for decade, mark in enumerate(marks):
            x = self.FROM + self.DECADE * decade
            sheet.line([x, x], [80, last + 40], colour=HAIR, width=1)
            sheet.words(x, 66, mark, size=NOTE, colour=QUIET, to="both")
        sheet.words(self.VERDICT, 66, "against its instrument", size=NOTE, colour=QUIET)
        sheet.words(RIGHT, 66, "matters from", size=NOTE, colour=QUIET, to="left")
        for rung, consequence in enumerate(LADDER):
            y = self.FIRST + self.STEP * rung
            sheet.words(LEFT, y - 9, consequence.title, bold=True)
            if rung:
                sheet.rule(y - self.STEP / 2, colour=PALE)
        self._key()
        sheet.keep()

    def _key(self):
        sheet, y = self.sheet, 538
        sheet.disc(31, y, 12, GEOID)
        end = sheet.words(44, y, "size of the effect here", size=NOTE)
        sheet.box(end + 24, y - 7, end + 64, y + 7, NOISE, edge=HATCH, hatch=HATCH)
        sheet.words(
            end + 74, y, "noise of the instrument that would see it, 95 %: typical figures, from "
            "memory; check your own sheets", size=NOTE,
        )  # fmt: skip

    def _x(self, metres):
        top = self.FROM + 8 * self.DECADE
        return min(self.FROM + self.DECADE * (math.log10(max(metres, 1e-4)) + 4), top)

    def update(self, site, depth, line):
        """Draw effect, noise and verdict of every rung; return the readout."""
        _, eta, size, azimuth = _at(site)
        job = Job(site.latitude, azimuth, depth, line)
        sheet = self.sheet
        sheet.renew()
        note = f"at {site.name}: {write.arcseconds(size, signed=False)} {_towards(size, azimuth)}"
        sheet.words(sheet.beside_title, 34, note, bold=True, colour=PLUMB, sit="baseline")
        found = {MATTERS: [], EDGE: [], LOST: []}
        for rung, consequence in enumerate(LADDER):
            component = abs(eta) if consequence.of_eta else size
            verdict, effect = self._rung(rung, consequence, job, component)
            found[verdict].append(f"{_inner(consequence.title)} {write.size(effect)}")
        return self._readout(site, size, azimuth, depth, line, found)

    def _rung(self, rung, consequence, job, component):
        sheet, y = self.sheet, self.FIRST + self.STEP * rung
        effect = consequence.effect(job) * component
        low, high = consequence.noise(job)
        verdict = MATTERS if effect > high else EDGE if effect >= low else LOST
        symbol, colour = VERDICTS[verdict]
        sheet.words(LEFT, y + 13, consequence.condition(job), size=NOTE, colour=QUIET)
        sheet.box(self._x(low), y - 14, max(self._x(high), self._x(low) + 4), y + 14, NOISE,
                  edge=HATCH, hatch=HATCH)  # fmt: skip
        x = self._x(effect)
        sheet.line([self.FROM, x], [y, y], colour=GEOID, width=2.4)
        sheet.disc(x, y, 14, GEOID, edge=WHITE, rim=1)
        number = write.size(effect) if effect >= 1e-4 else "under 0.1 mm"
        half = width_of(number, bold=True) / 2
        middle = min(max(x, self.FROM + half - 12), self.FROM + 8 * self.DECADE + 12 - half)
        sheet.words(middle, y - 21, number, bold=True, colour=PLUMB, to="both", halo=True)
        sheet.words(self.VERDICT, y - 9, symbol, size=19, colour=colour)
        sheet.words(self.VERDICT + 26, y - 9, verdict, bold=True, colour=colour)
        sheet.words(self.VERDICT, y + 13, consequence.instrument(job), size=NOTE, colour=QUIET)
        sheet.words(RIGHT, y - 9, self._from(consequence, job, high), size=NOTE, to="left")
        return verdict, effect

    @staticmethod
    def _from(consequence, job, high):
        """Return the deflection from which the consequence stands clear of the noise."""
        effect = consequence.effect(job)
        if effect * 9999 < high:
            return "never"
        least = high / effect
        symbol = "η " if consequence.of_eta else ""
        return symbol + write.arcseconds(least, signed=False, decimals=0 if least >= 9.95 else 1)

    @staticmethod
    def _readout(site, size, azimuth, depth, line, found):
        lists = "; ".join(
            f"{write.bold(verdict)}: {', '.join(names)}"
            for verdict, names in found.items()
            if names
        )
        return (
            f"At {write.place(site)} the deflection is "
            f"{write.bold(f'{write.arcseconds(size, signed=False)} {_towards(size, azimuth)}')}. "
            f"At {write.number(depth, 0)} m depth and over a line of {_kilometres(line)}: "
            f"{lists}."
        )


# Figure C ------------------------------------------------------------------------------------


def trench_profile(site, *, scale=1.0):
    """Figure C: geoid and deflection along a line, and the geoid won back from the deflection."""
    azimuth = round(_at(site)[3]) % 360
    return LiveFigure(
        lambda: TrenchProfile(scale),
        [
            Site(site),
            Slider("azimuth", "Azimuth", "° of the profile", 0, 359, azimuth, step=1),
            Slider("length", "Length", "km", 20, 1000, 400, step=0.05, log=True),
            Slider("spacing", "Stations", "km apart", 1, 200, 10, step=0.05, log=True),
        ],
    )  # fmt: skip


class TrenchProfile:
    """The drawing of figure C."""

    WEST, EAST = 84, 790  # edges of both plots
    HIGH, LOW = 76, 296  # of the plot of N
    UP, DOWN = 332, 494  # of the plot of ε
    MOST_RINGS = 41  # of stations drawn
    MOST = 75.0  # arcseconds at the edge of the plot of ε
    SPANS = (40, 80, 120, 160)  # metres that the plot of N may cover; never less than the first
    NUMBERS = 826  # x of the table
    ROSE = (1034, 108, 44)

    def __init__(self, scale):
        sheet = self.sheet = Sheet(
            "The geoid won back", "EGM96 along a geodesic through the site", scale=scale
        )
        for top, bottom in ((self.HIGH, self.LOW), (self.UP, self.DOWN)):
            sheet.box(self.WEST, top, self.EAST, bottom, edge=HAIR, width=1)
        for arcseconds in (-60, -30, 0, 30, 60):
            y = self._y_deflection(arcseconds)
            sheet.line([self.WEST, self.EAST], [y, y], colour=HAIR if arcseconds == 0 else PALE,
                       width=1.2)  # fmt: skip
            sheet.words(self.WEST - 8, y, write.arcseconds(arcseconds, decimals=0), size=NOTE,
                        colour=QUIET, to="left")  # fmt: skip
        sheet.words(self.WEST, self.HIGH - 14, "geoid N, + above the ellipsoid", size=NOTE)
        sheet.words(self.WEST, self.UP - 14, "deflection ε along the line, + where the geoid falls "
                    "towards B", size=NOTE)  # fmt: skip
        sheet.words(self.NUMBERS, self.HIGH - 2, "from A to B", size=NOTE, colour=QUIET)
        sheet.compass_rose(*self.ROSE, 1)
        sheet.disc(self.NUMBERS + 6, 500, 8, WHITE, edge=INK, rim=1.6)
        sheet.words(self.NUMBERS + 20, 500, "N won back from A by −ε·s", size=NOTE)
        sheet.line([self.NUMBERS, self.NUMBERS + 12], [522, 522], colour=GEOID, width=3)
        sheet.words(self.NUMBERS + 20, 522, "N read from the model", size=NOTE)
        sheet.keep()

    def _y_deflection(self, arcseconds):
        part = np.clip(np.asarray(arcseconds) / self.MOST, -1, 1)
        return (self.UP + self.DOWN) / 2 - part * (self.DOWN - self.UP) / 2

    def update(self, site, azimuth, length, spacing):
        """Draw geoid, deflection and the stations' sum; return the readout."""
        steps = max(1, round(length / spacing))
        distance = np.linspace(-length / 2, length / 2, steps + 1) * 1000
        fine = np.linspace(-length / 2, length / 2, 201) * 1000
        station_n, station_epsilon = self._along(site, azimuth, distance)
        fine_n, fine_epsilon = self._along(site, azimuth, fine)
        rises = deflection.geoid_step(
            station_epsilon[:-1], station_epsilon[1:], 1000 * length / steps
        )
        won = station_n[0] + np.concatenate([[0.0], np.cumsum(rises)])
        closure = float(won[-1] - station_n[-1])
        sheet = self.sheet
        sheet.renew()
        self._deflection_plot(length, fine, fine_epsilon, distance, station_epsilon)
        self._geoid_plot(length, fine, fine_n, distance, won)
        self._ends(azimuth, length)
        self._numbers(station_n, won, closure, steps, length)
        return self._readout(site, azimuth, length, steps, station_n, won, closure, fine_epsilon)

    @staticmethod
    def _along(site, azimuth, distance):
        """Return N and the deflection along the line at distances in metres."""
        latitude, longitude, azimuths = _line(site, azimuth, distance)
        xi, eta = deflection.from_geoid(latitude, longitude, geoid.EGM96, WGS84)
        return geoid.EGM96.height(latitude, longitude), deflection.along(xi, eta, azimuths)

    def _x(self, length, metres):
        return self.WEST + (np.asarray(metres) / 1000 / length + 0.5) * (self.EAST - self.WEST)

    def _deflection_plot(self, length, fine, epsilon, distance, at_stations):
        sheet = self.sheet
        x, y = self._x(length, distance), self._y_deflection(at_stations)
        zero = float(self._y_deflection(0))
        sheet.area([x[0], *x, x[-1]], [zero, *y, zero], SEA)
        if len(x) <= self.MOST_RINGS:
            for station, end in zip(x, y, strict=True):
                sheet.line([station, station], [zero, end], colour=palette.DEEP, width=1)
        sheet.line([self.WEST, self.EAST], [zero, zero], colour=QUIET, width=1)
        sheet.line(self._x(length, fine), self._y_deflection(epsilon), colour=PLUMB, width=2.6)

    def _geoid_plot(self, length, fine, heights, distance, won):
        sheet = self.sheet
        lowest = min(heights.min(), won.min())
        highest = max(heights.max(), won.max())
        span = next((s for s in self.SPANS if s >= 1.1 * (highest - lowest)), self.SPANS[-1])
        tick = span // 4
        middle = round((lowest + highest) / 2 / tick) * tick
        if max(highest - middle, middle - lowest) > span / 2:
            middle = (lowest + highest) / 2
        per_metre = (self.LOW - self.HIGH) / span

        def y(height):
            return (self.HIGH + self.LOW) / 2 - (np.asarray(height) - middle) * per_metre

        first = math.ceil((middle - span / 2) / tick) * tick
        for height in np.arange(first, middle + span / 2 + 0.01, tick):
            sheet.line([self.WEST + 1, self.EAST - 1], [y(height)] * 2, colour=PALE, width=1.2)
            sheet.words(self.WEST - 8, y(height), write.number(height, 0, signed=True) + " m",
                        size=NOTE, colour=QUIET, to="left")  # fmt: skip
        sheet.clip(self.WEST, self.HIGH, self.EAST, self.LOW)
        sheet.line(self._x(length, fine), y(heights), colour=GEOID, width=3)
        sheet.clip()
        every = math.ceil((len(won) - 1) / (self.MOST_RINGS - 1))
        rings = np.union1d(np.arange(0, len(won), every), len(won) - 1)
        for station, end in zip(self._x(length, distance[rings]), y(won[rings]), strict=True):
            sheet.disc(station, end, 8, WHITE, edge=INK, rim=1.6)
        sheet.site(float(self._x(length, 0)), float(y(np.interp(0, fine, heights))))
        steeper = (self.EAST - self.WEST) / (length * 1000)
        sheet.words(self.WEST, 542, f"geoid drawn {write.number(_two(per_metre / steeper), 0)} × "
                    "too steep", size=NOTE, bold=True)  # fmt: skip

    def _ends(self, azimuth, length):
        sheet = self.sheet
        half = _kilometres(_two(length / 2))
        for x, end, turn, to in (
            (self.WEST, "A", azimuth + 180, "right"), (self.EAST, "B", azimuth, "left"),
        ):  # fmt: skip
            words = f"{end}  {half} {write.compass(turn)} {write.azimuth(turn)}"
            sheet.words(x, 512, words, size=NOTE, to=to)
        sheet.words((self.WEST + self.EAST) / 2, 512, "site", size=NOTE, to="both")
        x, y, radius = self.ROSE
        east, down = radius * np.array([np.sin(np.radians(azimuth)), -np.cos(np.radians(azimuth))])
        sheet.arrow((x - east, y - down), (x + east, y + down), colour=INK, width=2)
        sheet.site(x, y)

    def _numbers(self, heights, won, closure, steps, length):
        sheet = self.sheet
        sheet.words(self.NUMBERS, self.HIGH + 22, _kilometres(length), bold=True)
        sheet.words(self.NUMBERS, self.HIGH + 46, f"{steps + 1} stations", bold=True)
        sheet.rows(self.NUMBERS, RIGHT, 210, [
            ("N at A, read", write.metres(heights[0], 3), GEOID),
            ("sum of −ε·s", write.metres(won[-1] - won[0], 3), PLUMB),
            ("N at B, won back", write.metres(won[-1], 3), INK),
            ("N at B, read", write.metres(heights[-1], 3), GEOID),
        ])  # fmt: skip
        for y in (255, 315):
            sheet.rule(y, self.NUMBERS, RIGHT)
        sheet.words(self.NUMBERS, 354, "closure, won back − read", size=NOTE, colour=QUIET)
        sheet.words(RIGHT, 390, write.signed_size(closure), size=22, bold=True, to="left")

    @staticmethod
    def _readout(site, azimuth, length, steps, heights, won, closure, epsilon):
        steepest = epsilon[np.abs(epsilon).argmax()]
        rise = heights[-1] - heights[0]
        return (
            f"Along {_kilometres(length)} through {write.place(site)}, from A in the "
            f"{write.compass(azimuth + 180)} to B in the {write.compass(azimuth)} (azimuth "
            f"{write.azimuth(azimuth)}), the geoid "
            f"{'rises' if rise > 0 else 'falls'} by {write.bold(write.size(abs(rise)))}, from N "
            f"{write.metres(heights[0], 2)} to {write.metres(heights[-1], 2)}. The steepest "
            f"deflection on the line is {write.bold(write.arcseconds(steepest))}. Summing −ε·s "
            f"over {steps + 1} stations, {_kilometres(_two(length / steps))} apart, wins back "
            f"{write.metres(won[-1] - won[0], 3)}: it closes to "
            f"{write.bold(write.signed_size(closure))}."
        )


def _two(value):
    """Return a value to two figures, as sizes of drawing are printed."""
    return float(f"{value:.1e}")


# Figure D ------------------------------------------------------------------------------------


def island(site, *, scale=1.0):
    """Figure D: one island, where GNSS finds it and where the stars find it."""
    azimuth = round(_at(site)[3]) % 360
    return LiveFigure(
        lambda: Island(scale),
        [
            Site(site),
            Slider("azimuth", "Drag towards", "° azimuth", 0, 359, azimuth, step=1),
            Slider("along", "Dragged", "km from the site", -300, 300, 0, step=5),
        ],
    )  # fmt: skip


class Island:
    """The drawing of figure D."""

    WEST, EAST, NORTH, SOUTH = 24, 580, 58, 512  # edges of the plan
    CENTRE = (302, 285)
    PER_METRE = 1 / 13.5  # points; the plan covers some 3 km each way
    FARTHEST = 300.0  # kilometres of dragging
    PLOT = (660, 90, 1090, 222)  # of the offset's size by distance dragged
    MOST = 2500.0  # metres at the top of that plot
    # The invented island: metres east and north of its trig point.
    COAST = np.array([
        [-620, 60], [-540, 260], [-330, 330], [-190, 500], [40, 470], [150, 300], [330, 330],
        [520, 200], [640, -40], [500, -230], [260, -200], [160, -380], [-60, -430], [-240, -260],
        [-470, -220],
    ])  # fmt: skip

    def __init__(self, scale):
        sheet = self.sheet = Sheet(
            "One island, found twice", "an invented island over EGM96, model value", scale=scale
        )
        sheet.box(self.WEST, self.NORTH, self.EAST, self.SOUTH, SEA)
        for metres in range(-3000, 4000, 1000):
            x, y = self._place(metres, metres)
            sheet.line([x, x], [self.NORTH, self.SOUTH], colour=HAIR, width=1)
            sheet.line([self.WEST, self.EAST], [y, y], colour=HAIR, width=1)
        sheet.box(self.WEST, self.NORTH, self.EAST, self.SOUTH, edge=QUIET, width=1)
        x, y = self.WEST + 18, self.SOUTH - 16
        kilometre = 1000 * self.PER_METRE
        sheet.line([x, x, x + kilometre, x + kilometre], [y - 5, y, y, y - 5], width=1.8)
        sheet.words(x + kilometre / 2, y - 13, "1 km", size=NOTE, to="both")
        sheet.arrow((self.WEST + 24, self.NORTH + 62), (self.WEST + 24, self.NORTH + 30), width=2)
        sheet.words(self.WEST + 24, self.NORTH + 18, "N", bold=True, to="both")
        sheet.words(LEFT, 534, "to scale: nothing is exaggerated", size=NOTE, bold=True)
        self._still_plot()
        left = 620
        sheet.words(left, 290, "from the GNSS position to the star position", size=NOTE,
                    colour=QUIET)  # fmt: skip
        for y in (306, 336, 366, 396):
            sheet.rule(y, left, RIGHT)
        for y, name in ((321, "ξ = Φ − φ"), (351, "η = (Λ − λ)·cos φ"), (381, "Λ − λ")):
            sheet.words(left, y, name)
        sheet.words(left, 424, "together", colour=QUIET)
        sheet.words(left, 470, "one arcsecond on the ground", size=NOTE, colour=QUIET)
        sheet.keep()

    @classmethod
    def _coast(cls):
        """Return the coast with its corners cut twice, closed."""
        coast = cls.COAST.astype(float)
        for _ in range(2):
            onward = np.roll(coast, -1, 0)
            coast = np.stack([0.75 * coast + 0.25 * onward, 0.25 * coast + 0.75 * onward], 1)
            coast = coast.reshape(-1, 2)
        return np.vstack([coast, coast[:1]])

    def _still_plot(self):
        sheet, (left, top, right, bottom) = self.sheet, self.PLOT
        sheet.words(left, top - 16, "how far apart, along the drag", size=NOTE)
        for kilometres in (1, 2):
            y = bottom - kilometres * 1000 / self.MOST * (bottom - top)
            sheet.line([left, right], [y, y], colour=PALE, width=1.2)
            sheet.words(left - 8, y, f"{kilometres} km", size=NOTE, colour=QUIET, to="left")
        sheet.words(left - 8, bottom, "0 m", size=NOTE, colour=QUIET, to="left")
        sheet.box(left, top, right, bottom, edge=HAIR, width=1)
        middle = (left + right) / 2
        sheet.line([middle, middle], [bottom, bottom + 5], colour=QUIET, width=1)
        sheet.words(middle, bottom + 15, "site", size=NOTE, colour=QUIET, to="both")

    def _place(self, east, north):
        x, y = self.CENTRE
        return x + np.asarray(east) * self.PER_METRE, y - np.asarray(north) * self.PER_METRE

    @staticmethod
    def _offset(latitude, longitude):
        """Return ξ, η and how many metres east and north the star position stands."""
        xi, eta = deflection.from_geoid(latitude, longitude, geoid.EGM96, WGS84)
        east = eta * RADIANS * WGS84.prime_vertical_radius(latitude)
        north = xi * RADIANS * WGS84.meridian_radius(latitude)
        return xi, eta, east, north

    def update(self, site, azimuth, along):
        """Draw the island twice, and its way; return the readout."""
        way = np.linspace(-self.FARTHEST, self.FARTHEST, 121)
        latitudes, longitudes, _ = _line(site, azimuth, way * 1000)
        _, _, easts, norths = self._offset(latitudes, longitudes)
        (latitude,), (longitude,), _ = _line(site, azimuth, [along * 1000])
        xi, eta, east, north = self._offset(latitude, longitude)
        self.sheet.renew()
        self._plan(easts, norths, east, north)
        self._plot(way, np.hypot(easts, norths), along, math.hypot(east, north), azimuth)
        self._numbers(latitude, xi, eta, east, north)
        return self._readout(site, azimuth, along, latitude, longitude, xi, eta, east, north)

    def _plan(self, easts, norths, east, north):
        sheet = self.sheet
        sheet.clip(self.WEST, self.NORTH, self.EAST, self.SOUTH)
        coast = self._coast()
        x, y = self._place(*coast.T)
        sheet.area(x, y, LAND)
        sheet.line(*self._place(easts, norths), colour=QUIET, width=1.4, dash=palette.DOTS)
        sheet.line(x, y, colour=ELLIPSOID, width=2.4, dash=(5, 2.5))
        sheet.line(*self._place(*(coast + np.array([east, north])).T), colour=GEOID, width=2.6)
        here, star = self._place(0, 0), tuple(map(float, self._place(east, north)))
        corner = tuple(map(float, self._place(east, 0)))
        if math.dist(here, star) > 12:
            sheet.line([here[0], corner[0], star[0]], [here[1], corner[1], star[1]], width=1.4,
                       dash=(3, 2))  # fmt: skip
            sheet.arrow(here, star, colour=PLUMB, width=3)
        sheet.clip()
        sheet.disc(*star, 9, WHITE, edge=PLUMB, rim=2.2)
        sheet.site(*map(float, here))
        self._plan_words(here, star)

    def _plan_words(self, here, star):
        """Name both positions, each on the side away from the other."""
        sheet = self.sheet
        up = 1 if star[1] <= here[1] else -1  # the stars' island lies above
        below, above = here[1] + up * 52, star[1] - up * 52
        above = max(above, self.NORTH + 14) if up > 0 else min(above, self.SOUTH - 36)
        sheet.words(here[0], below, "GNSS puts it here", bold=True, colour=NORMAL, to="both",
                    halo=True)  # fmt: skip
        sheet.words(star[0], above, "the stars put it here", bold=True, colour=GEOID, to="both",
                    halo=True)  # fmt: skip

    def _plot(self, way, sizes, along, size, azimuth):
        sheet, (left, top, right, bottom) = self.sheet, self.PLOT

        def place(kilometres, metres):
            x = left + (np.asarray(kilometres) / self.FARTHEST + 1) / 2 * (right - left)
            return x, bottom - np.asarray(metres) / self.MOST * (bottom - top)

        sheet.clip(left, top, right, bottom)
        sheet.line(*place(way, sizes), colour=PLUMB, width=2.6)
        sheet.clip()
        x, y = map(float, place(along, size))
        sheet.line([x, x], [y, bottom], width=1.2, dash=palette.DOTS)
        sheet.site(x, y)
        for at, turn, to in ((left, azimuth + 180, "right"), (right, azimuth, "left")):
            words = f"300 km {write.compass(turn)}"
            sheet.words(at, bottom + 15, words, size=NOTE, colour=QUIET, to=to)

    def _numbers(self, latitude, xi, eta, east, north):
        sheet, middle = self.sheet, 880
        longitude_turn = eta / math.cos(math.radians(latitude))
        for y, angle, metres, direction in (
            (321, xi, north, "north"), (351, eta, east, "east"), (381, longitude_turn, None, ""),
        ):  # fmt: skip
            sheet.words(middle, y, write.arcseconds(angle), bold=True, to="left")
            if metres is not None:
                sheet.words(RIGHT, y, f"{write.size(abs(metres))} "
                            f"{write.way(angle, direction, 1)}".strip(), to="left")  # fmt: skip
        size, azimuth = deflection.total(xi, eta)
        sheet.words(middle, 424, write.arcseconds(size, signed=False), bold=True, colour=PLUMB,
                    to="left")  # fmt: skip
        sheet.words(RIGHT, 424, write.size(math.hypot(east, north)), size=22, bold=True,
                    colour=PLUMB, to="left")  # fmt: skip
        sheet.words(RIGHT, 446, _towards(size, azimuth), size=NOTE, to="left")
        for x, radius, word in (
            (880, WGS84.meridian_radius(latitude), "north"),
            (RIGHT, WGS84.prime_vertical_radius(latitude), "east"),
        ):  # fmt: skip
            sheet.words(x, 494, f"{write.number(radius * RADIANS, 2)} m {word}", to="left")

    @staticmethod
    def _readout(site, azimuth, along, latitude, longitude, xi, eta, east, north):
        size, turn = deflection.total(xi, eta)
        where = f"at {write.place(site)}"
        if along:
            turned = azimuth if along > 0 else azimuth + 180
            where = (
                f"dragged {_kilometres(abs(along))} {write.compass(turned)} from "
                f"{write.place(site)}"
            )
        if size < 0.05:
            lies = "Both positions are one to a tenth of an arcsecond."
        else:
            lies = (
                f"The star position lies "
                f"{write.bold(f'{write.size(math.hypot(east, north))} {write.compass(turn)}')} of "
                f"the GNSS position (azimuth {write.azimuth(turn, 1)}): ξ "
                f"{write.arcseconds(xi)} is {write.size(abs(north))} "
                f"{'north' if xi > 0 else 'south'}, η {write.arcseconds(eta)} is "
                f"{write.size(abs(east))} {'east' if eta > 0 else 'west'}."
            )
        return (
            f"The island, {where}, stands at {write.position(latitude, longitude)} by GNSS. {lies} "
            "Both are right: they count from two verticals, and a chart must say which."
        )


# Figure E ------------------------------------------------------------------------------------


def three_heights(site, *, scale=1.0):
    """Figure E: the height difference of one line by GNSS, level and zenith angle."""
    azimuth = round(_at(site)[3]) % 360
    return LiveFigure(
        lambda: ThreeHeights(scale),
        [
            Site(site),
            Slider("azimuth", "Azimuth", "° from A to B", 0, 359, azimuth, step=1),
            Slider("distance", "Distance", "km", 0.1, 50, 1, step=0.05, decimals=1, log=True),
        ],
    )  # fmt: skip


class ThreeHeights:
    """
    The drawing of figure E.

    B is levelled 20 cm above A for each kilometre. The Earth's curvature and refraction are
    taken out of all three, so that the ellipsoid is a level line in the picture.
    """

    A, B = 70, 424  # x of the marks
    MIDDLE = 322  # y round which all that is drawn is centred
    COLUMNS = (512, 610, 708)  # x of the three dimensions: GNSS, level, zenith angle
    STEEPER = 1500
    RISE = 2e-4  # of B above A along gravity, metres a metre
    LEFT = 782  # of the table

    def __init__(self, scale):
        sheet = self.sheet = Sheet("Three heights of one line", "EGM96, model value", scale=scale)
        for x, symbol, name, colour in (
            (self.COLUMNS[0], "Δh", "GNSS", NORMAL),
            (self.COLUMNS[1], "ΔH", "level", GEOID),
            (self.COLUMNS[2], "s·cot z", "zenith angle", PLUMB),
        ):
            sheet.words(x, 62, symbol, size=19, colour=colour, bold=True, to="both")
            sheet.words(x, 84, name, size=NOTE, colour=QUIET, to="both")
        sheet.words(self.LEFT, 66, "from A to B", size=NOTE, colour=QUIET)
        sheet.rule(112, self.LEFT, RIGHT, colour=QUIET)
        for y in (187, 307):
            sheet.rule(y, self.LEFT, RIGHT, colour=HAIR)
        sheet.rule(240, self.LEFT, RIGHT, colour=QUIET)
        for y, words in (
            (384, "ΔH − Δh = −ΔN = ε·s"),
            (408, "Each counts from its own surface through A."),
            (428, "Take −ε·s along, and they meet."),
        ):
            sheet.words(self.LEFT, y, words, size=NOTE, bold=y == 384)
        sheet.words(self.LEFT, 542, "curvature and refraction taken out", size=NOTE)
        sheet.words(LEFT, 542, f"heights drawn {write.number(self.STEEPER, 0)} × too tall",
                    size=NOTE, bold=True)  # fmt: skip
        sheet.keep()

    def update(self, site, azimuth, distance):
        """Draw the three surfaces through A and the heights of B over them."""
        metres = distance * 1000
        steps = np.linspace(0, metres, 33)
        latitude, longitude, azimuths = _line(site, azimuth, steps)
        heights = geoid.EGM96.height(latitude, longitude)
        xi, eta = deflection.from_geoid(latitude[0], longitude[0], geoid.EGM96, WGS84)
        at_a = deflection.along(xi, eta, azimuths[0])
        rises = heights - heights[0]
        # rounded as printed, so that the sums in the table are right to the millimetre
        level, step = round(self.RISE * metres, 3), round(float(rises[-1]), 3)
        by_zenith = round(level + step + at_a * RADIANS * metres, 3)
        self.sheet.renew()
        self._surfaces(metres, steps, rises, at_a, level)
        self._words(site, azimuth, distance, at_a, level, step, by_zenith)
        return self._readout(site, azimuth, distance, at_a, level, step, by_zenith)

    def _surfaces(self, metres, steps, rises, at_a, level):
        sheet = self.sheet
        per_metre = (self.B - self.A) / metres * self.STEEPER
        x = self.A + steps / metres * (self.B - self.A)
        down = -rises * per_metre  # of the level surface through A, points below A
        b = down[-1] - level * per_metre
        horizon = at_a * RADIANS * metres * per_metre
        y_a = self.MIDDLE - (max(*down, b, horizon, 0) + min(*down, b, horizon, 0)) / 2
        feet = (y_a, y_a + float(down[-1]), y_a + horizon)
        y_b = y_a + float(b)
        sheet.area([*x, x[-1], x[0]], [*(y_a + down), 524, 524], SEA)
        sheet.line([self.A, self.B], [y_a, y_b], colour=HAIR, width=1.4)
        for foot, column, colour in zip(feet, self.COLUMNS, (NORMAL, GEOID, PLUMB), strict=True):
            sheet.line([self.B, column + 8], [foot, foot], colour=palette.DEEP, width=1.2)
            sheet.dimension(column, foot, y_b, colour=colour, width=2.4)
        sheet.line([self.B, self.COLUMNS[2] + 8], [y_b, y_b], width=1.2)
        sheet.line([self.A, self.B], [y_a, feet[2]], colour=PLUMB, width=2, dash=palette.DOTS)
        sheet.line(x, y_a + down, colour=GEOID, width=3)
        sheet.line([self.A, self.B], [y_a, y_a], colour=ELLIPSOID, width=2.6, dash=ORANGE_DASH)
        sheet.site(self.A, y_a)
        sheet.disc(self.B, y_b, 10, WHITE, edge=INK, rim=2)
        self._names(*feet, y_b)

    def _names(self, y_a, y_level, y_horizon, y_b):
        """Name what is drawn, each where its line is free."""
        sheet, gap = self.sheet, y_level - y_a
        falls = gap > 0
        sheet.words(self.A - 14, y_a + (-18 if falls else 18), "A", bold=True, to="both")
        sheet.words(self.B + 2, y_b - 18, "B", bold=True, to="both", halo=True)
        sheet.words(self.A + 16, y_a + (-16 if falls else 16), "as the ellipsoid runs",
                    colour=NORMAL, size=NOTE, halo=True)  # fmt: skip
        within = -0.7 * gap > 30  # room between a rising level surface and the ellipsoid
        y = y_level + 20 if falls else y_a + 0.7 * gap + 18 if within else y_a + 38
        sheet.words(self.B - 10, y, "level through A", colour=GEOID, size=NOTE, to="left",
                    halo=True)  # fmt: skip
        if abs(gap) >= 24:
            x = self.B + 22
            sheet.dimension(x, y_a, y_level, width=1.6)
            sheet.words(x + 8, (y_a + y_level) / 2, "−ε·s", halo=True)

    def _words(self, site, azimuth, distance, at_a, level, step, by_zenith):
        sheet = self.sheet
        for x, value, colour in zip(
            self.COLUMNS, (level + step, level, by_zenith), (NORMAL, GEOID, PLUMB), strict=True
        ):
            sheet.words(x, 108, write.metres(value, 3), bold=True, colour=colour, to="both")
        sheet.words(self.LEFT, 92, f"{_kilometres(distance)} {write.compass(azimuth)} "
                    f"{write.azimuth(azimuth)}", bold=True)  # fmt: skip
        sheet.words(RIGHT, 92, f"ε {write.arcseconds(at_a)}", bold=True, colour=PLUMB, to="left")
        sheet.rows(self.LEFT, RIGHT, 140, [
            ("ΔH, level", write.metres(level, 3), GEOID),
            ("ΔN = −ε·s, mean ε", write.metres(step, 3), INK),
        ])  # fmt: skip
        sheet.rows(self.LEFT, RIGHT, 212, [("Δh, GNSS", write.metres(level + step, 3), NORMAL)])
        sheet.rows(self.LEFT, RIGHT, 262, [
            ("s·cot z, zenith angle", write.metres(by_zenith, 3), PLUMB),
            ("−ε·s, ε at A", write.metres(level + step - by_zenith, 3), INK),
        ])  # fmt: skip
        sheet.rows(self.LEFT, RIGHT, 330, [("Δh, GNSS", write.metres(level + step, 3), NORMAL)])

    @staticmethod
    def _readout(site, azimuth, distance, at_a, level, step, by_zenith):
        def says(value):
            way = "above" if value >= 0 else "below"
            return write.bold(f"{write.metres(abs(value), 3, signed=False)} {way} A")

        falls = "falls" if step < 0 else "rises"
        return (
            f"From A at {write.place(site)}, {_kilometres(distance)} {write.compass(azimuth)} "
            f"(azimuth {write.azimuth(azimuth)}) to B: the level finds B {says(level)}, the zenith "
            f"angle {says(by_zenith)}, GNSS {says(level + step)}. The gap between GNSS and level "
            f"is −ε·s = {write.bold(write.metres(step, 3))}: ε is {write.arcseconds(at_a)} and the "
            f"geoid {falls} towards B. All are right; each counts from its own surface."
        )
