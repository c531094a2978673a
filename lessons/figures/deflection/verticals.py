"""Figure A: the site on the world map of deflection, the geoid's tilt, both verticals."""

import math

import numpy as np

from geokit import deflection, geoid
from lessons.canvas import palette, write
from lessons.canvas.palette import (
    ELLIPSOID,
    GEOID,
    INK,
    LAND,
    NORMAL,
    ORANGE_DASH,
    PLUMB,
    QUIET,
    SEA,
    WHITE,
)
from lessons.canvas.pen import Canvas
from lessons.canvas.worldmap import WorldMap, deflection_key
from lessons.figures.deflection.common import RADIANS, at, line, towards
from lessons.widgets.live import OWN, LiveFigure, SitePicker, Slider


def two_verticals(site, *, scale=1.0):
    """Figure A: the site on the world map of deflection, the geoid's tilt, both verticals."""
    return LiveFigure(
        lambda scale=scale: TwoVerticals(scale),
        [
            SitePicker(site, dragged=True),
            Slider(
                "wire",
                "Wire",
                "m, to its end",
                10,
                10_000,
                site.water_depth or 1000,
                step=0.05,
                log=True,
                follows="water_depth",
            ),
            Slider("tilt", "Tilt", "× too steep", 1, 2000, 1000, step=0.1, log=True),
        ],
    )


class TwoVerticals:
    """The picture of figure A."""

    MAP = WorldMap(24, 58, 637, 347)
    ROSE = (104, 480, 58)
    RIM = 90.0  # arcseconds at the rim of the rose
    WEST, EAST = 664, 1104  # edges of the section
    NADIR = 864  # x of the ellipsoid normal
    SEA_LEVEL, SEABED, FOOT = 278, 462, 502  # y of the site on the geoid, of the seabed
    WALL, FALL = 130, 36  # points that a seabed rises and falls where the lean fills the rose
    KILOMETRES = 100  # across the section
    PER_METRE_N = 1.28  # points between geoid and ellipsoid for a metre of N

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "The two verticals", "total deflection, EGM96 model value", scale=scale
        )
        self.MAP.total_deflection(canvas)
        deflection_key(canvas, 24, 360)
        x, y, radius = self.ROSE
        canvas.compass_rose(x, y, radius, 3)
        canvas.note(x + 47, y - 51, "90″")
        for row, (symbol, note) in enumerate(
            [
                ("ξ", "in the meridian"),
                ("η", "in the prime vertical"),
                ("θ", "size and direction"),
                ("▼", "the weight lands"),
            ]
        ):
            y = 432 + 30 * row
            canvas.words(228, y, symbol, size=19, colour=QUIET)
            canvas.note(637, y, note, to="left")
            if row < 3:
                canvas.rule(y + 15, 228, 637)
        self._still_section()
        canvas.keep()

    def _still_section(self):
        canvas = self.canvas
        above = {"colour": NORMAL, "to": "left"}
        canvas.note(self.NADIR - 12, 48, "normal to the ellipsoid,", **above)
        canvas.note(self.NADIR - 12, 64, "up to the geodetic zenith", **above)
        canvas.note(958, 48, "plumb line, up to", colour=PLUMB)
        canvas.note(958, 64, "the astronomic zenith", colour=PLUMB)
        canvas.rule(528, self.WEST, self.EAST)
        canvas.note(self.EAST, 542, "seabed, lengths, N not to scale", to="left", colour=INK)

    def update(self, site, wire, tilt):
        """Draw the site, its numbers and the section; return the readout."""
        xi, eta, size, azimuth = at(site)
        height = geoid.EGM96.height(site.latitude, site.longitude)
        offset = math.hypot(*deflection.seabed_offset(xi, eta, wire))
        canvas = self.canvas
        canvas.renew()
        self.MAP.here(canvas, site.latitude, site.longitude, site.name)
        self._rose(size, azimuth)
        self._numbers(xi, eta, size, azimuth, offset)
        self._section(site, size, azimuth, height, wire, tilt, offset)
        return self._readout(site, xi, eta, size, azimuth, height, wire, offset)

    def drag(self, name, x, y, begins):
        """Take the site to where a hand is on the map."""
        return self.MAP.taken_to(x, y)

    def _rose(self, size, azimuth):
        x, y, radius = self.ROSE
        length, turn = radius * min(size / self.RIM, 1.1), math.radians(azimuth)
        east, down = length * math.sin(turn), -length * math.cos(turn)
        self.canvas.arrow((x, y), (x - east, y - down), colour=INK, width=2, dash=(1.5, 1.5))
        self.canvas.arrow((x, y), (x + east, y + down), colour=PLUMB, width=3)
        self.canvas.disc(x, y, 5, PLUMB)

    def _numbers(self, xi, eta, size, azimuth, offset):
        for row, (number, direction, colour) in enumerate(
            [
                (write.arcseconds(abs(xi), signed=False), write.way(xi, "north", 1), INK),
                (write.arcseconds(abs(eta), signed=False), write.way(eta, "east", 1), INK),
                (write.arcseconds(size, signed=False), towards(size, azimuth), PLUMB),
                (write.size(offset), towards(size, azimuth + 180), INK),
            ]
        ):
            y = 432 + 30 * row
            self.canvas.words(340, y, number, bold=True, colour=colour, to="left")
            self.canvas.words(352, y, direction)

    def _section(self, site, size, azimuth, height, wire, tilt, offset):
        canvas, x0, y0 = self.canvas, self.NADIR, self.SEA_LEVEL
        y_ellipsoid = y0 + self.PER_METRE_N * height
        lean = math.atan(tilt * size * RADIANS)
        canvas.clip(self.WEST, 76, self.EAST, self.FOOT)
        x, y = self._geoid_line(site, azimuth, height, tilt)
        canvas.area([*x, x[-1], x[0]], [*y, self.FOOT, self.FOOT], SEA)
        canvas.line(x, y, colour=GEOID, width=3)
        canvas.clip()
        self._seabed(site, wire, size)
        canvas.line([x0, x0], [self.SEABED, 48], colour=NORMAL, width=2, dash=ORANGE_DASH)
        canvas.arrow((x0, 60), (x0, 38), colour=NORMAL, width=2)
        canvas.line(
            [self.WEST, self.EAST], [y_ellipsoid] * 2, colour=ELLIPSOID, width=2.6, dash=ORANGE_DASH
        )
        canvas.right_angle(x0, y_ellipsoid, -90, colour=NORMAL)
        tip = (x0 + 205 * math.sin(lean), y0 - 205 * math.cos(lean))
        weight = (x0 - (self.SEABED - 4 - y0) * math.tan(lean), self.SEABED - 4)
        canvas.arrow(weight, tip, colour=PLUMB, width=2.8)
        canvas.right_angle(x0, y0, math.degrees(lean), colour=PLUMB)
        self._bob(*weight, lean)
        canvas.arc(x0, y0, 168, 0, math.degrees(lean), colour=INK, width=1.8)
        canvas.site(x0, y0)
        self._section_words(y_ellipsoid, y, lean, size, azimuth, height, wire, tilt)
        self._landing(weight[0], wire, offset)

    def _geoid_line(self, site, azimuth, height, tilt):
        """Return the geoid in the plane of both verticals, as steep as it is drawn."""
        x = np.linspace(self.WEST, self.EAST, 45)
        per_metre = (self.EAST - self.WEST) / (self.KILOMETRES * 1000)
        latitude, longitude, _ = line(site, azimuth, (x - self.NADIR) / per_metre)
        rise = geoid.EGM96.height(latitude, longitude) - height
        return x, self.SEA_LEVEL - rise * per_metre * tilt

    def _seabed(self, site, wire, size):
        """
        Sketch the bottom, unless the wire ends above it; a depth of one's own is not known.

        The side to which the weight goes has more mass: there the wall rises, the more the line
        leans.
        """
        if site.name != OWN and wire < site.water_depth:
            return
        canvas = self.canvas
        steep = min(size, self.RIM) / self.RIM
        x = [self.WEST, self.NADIR - 90, self.NADIR + 24, self.EAST]
        y = [self.SEABED - self.WALL * steep, self.SEABED, self.SEABED]
        y.append(self.SEABED + self.FALL * steep)
        canvas.area([*x, x[-1], x[0]], [*y, self.FOOT, self.FOOT], LAND)
        canvas.line(x, y, colour=palette.COAST, width=1.4)
        canvas.note(self.WEST + 8, 482, "seabed", colour=palette.LAND_WORDS)

    def _bob(self, x, y, lean):
        shape = np.array([[0, 0], [5, -12], [4, -22], [-4, -22], [-5, -12]], float)
        sine, cosine = math.sin(lean), math.cos(lean)
        turned = shape @ np.array([[cosine, sine], [-sine, cosine]])
        self.canvas.area(x + turned[:, 0], y + turned[:, 1], PLUMB, edge=WHITE, width=1)

    def _section_words(self, y_ellipsoid, y_geoid, lean, size, azimuth, height, wire, tilt):
        canvas, x0 = self.canvas, self.NADIR
        below = height < 0  # the geoid, below the ellipsoid
        if below:
            canvas.words(
                self.EAST,
                y_ellipsoid - 12,
                "ellipsoid",
                colour=NORMAL,
                bold=True,
                to="left",
                halo=True,
            )
        else:
            canvas.words(
                self.WEST + 4, y_ellipsoid + 13, "ellipsoid", colour=NORMAL, bold=True, halo=True
            )
        y_left = float(np.clip(y_geoid[:8].max() if below else y_geoid[:8].min(), 90, 440))
        canvas.words(
            self.WEST + 4,
            y_left + (15 if below else -14),
            "geoid",
            colour=GEOID,
            bold=True,
            halo=True,
        )
        middle = (y_ellipsoid + self.SEA_LEVEL) / 2
        beside = y_geoid[12:21]  # of the geoid, where N stands left of the normal
        x, y, to = x0 - 18, middle, "left"
        if abs(y_ellipsoid - self.SEA_LEVEL) < 40:
            y = min(y_ellipsoid, float(beside.min())) - 14
        elif np.abs(beside - middle).min() < 14:  # so steep that it would run through
            x, to = x0 + max(0, (self.SEA_LEVEL - middle) * math.tan(lean)) + 18, "right"
        canvas.words(x, y, f"N {write.metres(height, 1)}", to=to, halo=True)
        canvas.words(
            x0 + 150 * math.sin(lean) + 16,
            self.SEA_LEVEL - 150 * math.cos(lean),
            write.arcseconds(size, signed=False),
            bold=True,
            halo=True,
        )
        if size >= 0.05:
            canvas.note(self.WEST, 515, f"◂ {towards(size, azimuth + 180)}")
            canvas.note(self.EAST, 515, f"{towards(size, azimuth)} ▸", to="left")
        drawn = f"tilt exaggerated {write.number(tilt, 0)} ×" if tilt > 1 else "tilt drawn true"
        canvas.note(self.WEST, 542, drawn, bold=True, colour=INK)

    def _landing(self, x, wire, offset):
        canvas, x0 = self.canvas, self.NADIR
        if x0 - x >= 14:
            canvas.arrow((x, 474), (x0, 474), width=1.8, head=8, both=True)
        words = f"{write.size(offset)} at {write.number(wire, 0)} m"
        half = canvas.width_of(words, bold=True) / 2
        middle = min(max((x + x0) / 2, self.WEST + 64 + half), self.EAST - half)
        canvas.words(middle, 491, words, bold=True, to="both", halo=True)

    @staticmethod
    def _readout(site, xi, eta, size, azimuth, height, wire, offset):
        where = f"At {write.place(site)}"
        if site.name == OWN:
            where += f" ({write.position(site.latitude, site.longitude)})"
        components = (
            f"ξ {write.directed(xi, 1, '″', 'north')}, η {write.directed(eta, 1, '″', 'east')}"
        )
        depth = write.bold(f"{write.number(wire, 0)}\xa0m")
        geoid_words = f"The geoid lies {write.above(height, 'the ellipsoid')}."
        if site.name != OWN and wire > site.water_depth > 0:
            geoid_words += f" The water is only {write.number(site.water_depth, 0)}\xa0m deep."
        if size < 0.05:
            return (
                f"{where} the two verticals are one to a tenth of an arcsecond ({components}). "
                f"A weight on {depth} of wire lands {write.bold(write.size(offset))} from the "
                f"ellipsoid normal. {geoid_words}"
            )
        leans = f"{write.arcseconds(size, signed=False)} {write.compass(azimuth)}"
        lands = f"{write.size(offset)} {write.compass(azimuth + 180)}"
        return (
            f"{where} gravity’s zenith stands {write.bold(leans)} of the ellipsoid’s "
            f"({components}, azimuth {write.azimuth(azimuth, 1)}). A weight on {depth} of wire "
            f"lands {write.bold(lands)}, the opposite way. {geoid_words}"
        )
