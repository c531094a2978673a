"""Figure E: the height difference of one line by GNSS, level and zenith angle."""

import math

import numpy as np

from geokit import WGS84, deflection, geoid
from lessons.canvas import palette, write
from lessons.canvas.palette import (
    COAST,
    ELLIPSOID,
    GEOID,
    HAIR,
    INK,
    LAND,
    NORMAL,
    ORANGE_DASH,
    PLUMB,
    QUIET,
    WHITE,
)
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.figures.deflection.common import RADIANS, line, steepest_azimuth
from lessons.widgets.live import LiveFigure, SitePicker, Slider


def three_heights(site, *, scale=1.0):
    """Figure E: the height difference of one line by GNSS, level and zenith angle."""
    return LiveFigure(
        lambda scale=scale: ThreeHeights(scale),
        [
            SitePicker(site),
            Slider("azimuth", "Azimuth", "° from A to B", 0, 359, steepest_azimuth(site), step=1),
            Slider("distance", "Distance", "km", 0.1, 50, 1, step=0.05, decimals=1, log=True),
        ],
    )


class ThreeHeights:
    """
    The picture of figure E.

    B is levelled 20 cm above A for each kilometre. The Earth's curvature and refraction are
    taken out of all three, so that the ellipsoid is a level line in the picture. Tilts are as
    exaggerated as heights, so that what is square on board is square here.
    """

    A, B = 130, 530  # x of the marks
    MIDDLE = 332  # y round which all that is measured is centred
    FLOOR = 522
    EDGE = 12  # points from B to where the ground is cut
    COLUMNS = (584, 689, 794)  # x of the three dimensions: GNSS, level, zenith angle
    COLOURS = (NORMAL, GEOID, PLUMB)
    STEEPER = 1500
    RISE = 2e-4  # of B above A along gravity, metres a metre
    LEFT = 856  # of the table
    UP = 120  # points of the verticals at A

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "Three heights of one line", "EGM96, model value", scale=scale
        )
        canvas.note(self.LEFT, 66, "from A to B")
        for y, colour in ((134, QUIET), (206, HAIR), (256, QUIET), (326, HAIR)):
            canvas.rule(y, self.LEFT, RIGHT, colour=colour)
        for y, words in (
            (394, "Δh − ΔH = ΔN = −ε·s"),
            (420, "All three surfaces pass"),
            (440, "through A. Each height is right"),
            (460, "above its own surface."),
        ):
            canvas.note(self.LEFT, y, words, bold=y == 394, colour=INK)
        canvas.note(RIGHT, 542, "curvature and refraction taken out", colour=INK, to="left")
        canvas.line([404, 440], [542, 542], colour=PLUMB, width=2, dash=palette.DOTS)
        canvas.note(450, 542, "horizon: square to the plumb line at A", colour=INK)
        canvas.note(
            LEFT,
            542,
            f"heights and tilts exaggerated {write.number(self.STEEPER, 0)} ×",
            bold=True,
            colour=INK,
        )
        canvas.keep()

    def update(self, site, azimuth, distance):
        """Draw the three surfaces through A and the heights of B over them."""
        metres = distance * 1000
        steps = np.linspace(0, metres, 33)
        latitude, longitude, azimuths = line(site, azimuth, steps)
        heights = geoid.EGM96.height(latitude, longitude)
        xi, eta = deflection.from_geoid(latitude[0], longitude[0], geoid.EGM96, WGS84)
        at_a = deflection.along(xi, eta, azimuths[0])
        rises = heights - heights[0]
        # rounded as printed, so that the sums in the table are right to the last figure
        places = self._places(distance)
        level, step = round(self.RISE * metres, places), round(float(rises[-1]), places)
        by_zenith = round(level + step + at_a * RADIANS * metres, places)
        values = level + step, level, by_zenith
        self.canvas.renew()
        feet, y_b = self._surfaces(metres, steps, rises, at_a, level)
        said = [self._said(distance)(value) for value in values]
        self._heights(feet, y_b, said)
        self._table(azimuth, distance, at_a, level, step, by_zenith)
        return self._readout(site, azimuth, distance, at_a, level, step, by_zenith)

    @staticmethod
    def _places(distance):
        """Return the decimals of a metre that a line of so many kilometres is printed to."""
        return 4 if distance < 2 else 3

    def _said(self, distance):
        """Return how a height is written: all of one line in one unit, for they are summed."""
        if self._places(distance) == 4:
            return lambda height: write.number(1000 * height, 1, signed=True) + "\xa0mm"
        return lambda height: write.metres(height, 3)

    def _surfaces(self, metres, steps, rises, at_a, level):
        """Draw ground, surfaces and verticals; return y of the three surfaces below B, and of B."""
        per_metre = (self.B - self.A) / metres * self.STEEPER
        x = self.A + steps / metres * (self.B - self.A)
        down = -rises * per_metre  # of the level surface through A, points below A
        b = float(down[-1] - level * per_metre)
        tilt = math.atan(self.STEEPER * at_a * RADIANS)  # of the plumb line, as it is drawn
        horizon = math.tan(tilt) * (self.B - self.A)
        y_a = self.MIDDLE - (max(*down, b, horizon, 0) + min(*down, b, horizon, 0)) / 2
        feet = y_a, y_a + float(down[-1]), y_a + horizon
        canvas, y_b = self.canvas, y_a + b
        self._ground(y_a, y_b)
        before = self.A - 74
        canvas.line([before, self.B], [y_a, y_a], colour=ELLIPSOID, width=2.6, dash=ORANGE_DASH)
        along = [self.A - 40, self.B], [y_a - 40 * math.tan(tilt), feet[2]]
        canvas.line(*along, colour=PLUMB, width=2, dash=palette.DOTS)
        canvas.line(x, y_a + down, colour=GEOID, width=3)
        self._verticals(y_a, y_b, tilt)
        canvas.site(self.A, y_a)
        canvas.disc(self.B, y_b, 10, WHITE, edge=INK, rim=2)
        canvas.words(self.A - 2, y_a + 22, "A", bold=True, to="both", halo=True)
        canvas.words(self.B - 15, y_b - 15, "B", bold=True, to="both", halo=True)
        return feet, y_b

    def _ground(self, y_a, y_b):
        canvas, end = self.canvas, self.B + self.EDGE
        x, y = [LEFT, self.A, self.B, end], [y_a + 12, y_a, y_b, y_b]
        canvas.area([*x, end, LEFT], [*y, self.FLOOR, self.FLOOR], LAND)
        canvas.line(x, y, colour=COAST, width=1.4)

    def _verticals(self, y_a, y_b, tilt):
        """Draw normal and plumb line at A, the angle between them and the one to B."""
        canvas, up, azimuth = self.canvas, self.UP, math.degrees(tilt)
        tip = self.A + up * math.sin(tilt), y_a - up * math.cos(tilt)
        sight = math.degrees(math.atan2(self.B - self.A, y_a - y_b))
        canvas.line([self.A, self.A], [y_a, y_a - up], colour=NORMAL, width=2, dash=ORANGE_DASH)
        canvas.arrow((self.A, y_a), tip, colour=PLUMB, width=2.6)
        side = 1 if tilt >= 0 else -1  # so that the two little squares stand apart
        canvas.right_angle(self.A, y_a, 0, side=-side, colour=NORMAL)
        canvas.right_angle(self.A, y_a, azimuth, side=side, colour=PLUMB)
        canvas.arc(self.A, y_a, 52, azimuth, sight, width=1.6)
        self._at(66, (azimuth + sight) / 2, y_a, "z", INK)
        if abs(tilt) * 88 >= 18:
            canvas.arc(self.A, y_a, 88, 0, azimuth, width=1.6)
            self._at(104, azimuth / 2, y_a, "ε", PLUMB)
        if tilt >= 0:
            canvas.note(self.A - 8, y_a - up + 6, "normal", colour=NORMAL, to="left", halo=True)
            canvas.note(tip[0] + 9, tip[1] + 4, "plumb line", colour=PLUMB, halo=True)
        else:
            canvas.note(self.A + 8, y_a - up + 6, "normal", colour=NORMAL, halo=True)
            canvas.note(tip[0], tip[1] - 14, "plumb line", colour=PLUMB, to="both", halo=True)

    def _at(self, radius, azimuth, y_a, letter, colour):
        turn = math.radians(azimuth)
        x, y = self.A + radius * math.sin(turn), y_a - radius * math.cos(turn)
        self.canvas.words(x, y, letter, bold=True, colour=colour, to="both", halo=True)

    def _heights(self, feet, y_b, said):
        """Draw the height of B above each surface, and over it whose it is and how much."""
        canvas, end = self.canvas, self.B + self.EDGE
        canvas.line([end, self.COLUMNS[2] + 40], [y_b, y_b], width=1.2)
        for x, foot, colour in zip(self.COLUMNS, feet, self.COLOURS, strict=True):
            canvas.line([self.B, x + 40], [foot, foot], colour=colour, width=1)
            canvas.dimension(x, foot, y_b, colour=colour, width=2.6)
        names = ("ellipsoid", "level surface", "horizon")
        for x, foot, name, colour in zip(self.COLUMNS, feet, names, self.COLOURS, strict=True):
            y = foot + (14 if foot >= y_b else -14)
            canvas.note(x, y, name, colour=colour, to="both", halo=True)
        top = min(*feet, y_b) - (34 if min(feet) < y_b else 20)
        heads = (("Δh", "GNSS"), ("ΔH", "level"), ("s·cot z", "zenith angle"))
        for x, (symbol, name), value, colour in zip(
            self.COLUMNS, heads, said, self.COLOURS, strict=True
        ):
            canvas.words(x, top - 46, symbol, size=19, colour=colour, bold=True, to="both")
            canvas.note(x, top - 22, name, to="both")
            canvas.words(x, top, value, bold=True, colour=colour, to="both", halo=True)

    def _table(self, azimuth, distance, at_a, level, step, by_zenith):
        canvas, said, gnss = self.canvas, self._said(distance), level + step
        line = f"{write.kilometres(distance)} {write.compass(azimuth)} {write.azimuth(azimuth)}"
        canvas.words(self.LEFT, 90, line, bold=True)
        canvas.words(self.LEFT, 115, f"ε {write.arcseconds(at_a)}", bold=True, colour=PLUMB)
        for y, name, value, colour in (
            (160, "ΔH, level", level, GEOID),
            (188, "ΔN = −ε·s, mean ε", step, INK),
            (231, "Δh, GNSS", gnss, NORMAL),
            (282, "s·cot z, zenith", by_zenith, PLUMB),
            (310, "−ε·s, ε at A", gnss - by_zenith, INK),
            (352, "Δh, GNSS", gnss, NORMAL),
        ):
            canvas.rows(self.LEFT, RIGHT, y, [(name, said(value), colour)])

    def _readout(self, site, azimuth, distance, at_a, level, step, by_zenith):
        said = self._said(distance)

        def finds(height):
            way = "above" if height >= 0 else "below"
            return write.bold(f"{said(abs(height)).lstrip('+')} {way}")

        falls = "falls" if step < 0 else "rises"
        return (
            f"From A at {write.place(site)} {write.kilometres(distance)} {write.compass(azimuth)} "
            f"to B (azimuth {write.azimuth(azimuth)}), the level finds B {finds(level)}, the "
            f"zenith angle {finds(by_zenith)}, GNSS {finds(level + step)}. GNSS and level differ "
            f"by −ε·s = {write.bold(said(step))} (ε {write.arcseconds(at_a)}): the geoid {falls} "
            "towards B. Each is right, measured from its own surface."
        )
