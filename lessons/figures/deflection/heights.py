"""Figure E: the height difference of one line by GNSS, level and zenith angle."""

import numpy as np

from geokit import WGS84, deflection, geoid
from lessons.canvas import palette, write
from lessons.canvas.palette import (
    ELLIPSOID,
    GEOID,
    HAIR,
    INK,
    NORMAL,
    ORANGE_DASH,
    PLUMB,
    QUIET,
    SEA,
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
    taken out of all three, so that the ellipsoid is a level line in the picture.
    """

    A, B = 70, 424  # x of the marks
    MIDDLE = 322  # y round which all that is drawn is centred
    COLUMNS = (504, 610, 716)  # x of the three dimensions: GNSS, level, zenith angle
    STEEPER = 1500
    RISE = 2e-4  # of B above A along gravity, metres a metre
    LEFT = 782  # of the table

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "Three heights of one line", "EGM96, model value", scale=scale
        )
        for x, symbol, name, colour in (
            (self.COLUMNS[0], "Δh", "GNSS", NORMAL),
            (self.COLUMNS[1], "ΔH", "level", GEOID),
            (self.COLUMNS[2], "s·cot z", "zenith angle", PLUMB),
        ):
            canvas.words(x, 62, symbol, size=19, colour=colour, bold=True, to="both")
            canvas.note(x, 84, name, to="both")
        canvas.note(self.LEFT, 66, "from A to B")
        canvas.rule(112, self.LEFT, RIGHT, colour=QUIET)
        for y in (187, 307):
            canvas.rule(y, self.LEFT, RIGHT, colour=HAIR)
        canvas.rule(240, self.LEFT, RIGHT, colour=QUIET)
        for y, words in (
            (384, "ΔH − Δh = −ΔN = ε·s"),
            (408, "Each is measured from its surface through A."),
            (428, "Take −ε·s along, and they meet."),
        ):
            canvas.note(self.LEFT, y, words, bold=y == 384, colour=INK)
        canvas.note(self.LEFT, 542, "curvature and refraction taken out", colour=INK)
        canvas.line([410, 446], [542, 542], colour=PLUMB, width=2, dash=palette.DOTS)
        canvas.note(456, 542, "square to the plumb line at A", colour=INK)
        canvas.note(
            LEFT,
            542,
            f"heights exaggerated {write.number(self.STEEPER, 0)} ×",
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
        self.canvas.renew()
        self._surfaces(metres, steps, rises, at_a, level)
        self._words(azimuth, distance, at_a, level, step, by_zenith)
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
        canvas = self.canvas
        per_metre = (self.B - self.A) / metres * self.STEEPER
        x = self.A + steps / metres * (self.B - self.A)
        down = -rises * per_metre  # of the level surface through A, points below A
        b = down[-1] - level * per_metre
        horizon = at_a * RADIANS * metres * per_metre
        y_a = self.MIDDLE - (max(*down, b, horizon, 0) + min(*down, b, horizon, 0)) / 2
        feet = (y_a, y_a + float(down[-1]), y_a + horizon)
        y_b = y_a + float(b)
        canvas.area([*x, x[-1], x[0]], [*(y_a + down), 524, 524], SEA)
        canvas.line([self.A, self.B], [y_a, y_b], colour=HAIR, width=1.4)
        for foot, column, colour in zip(feet, self.COLUMNS, (NORMAL, GEOID, PLUMB), strict=True):
            canvas.line([self.B, column + 8], [foot, foot], colour=palette.DEEP, width=1.2)
            canvas.dimension(column, foot, y_b, colour=colour, width=2.4)
        canvas.line([self.B, self.COLUMNS[2] + 8], [y_b, y_b], width=1.2)
        canvas.line([self.A, self.B], [y_a, feet[2]], colour=PLUMB, width=2, dash=palette.DOTS)
        canvas.line(x, y_a + down, colour=GEOID, width=3)
        canvas.line([self.A, self.B], [y_a, y_a], colour=ELLIPSOID, width=2.6, dash=ORANGE_DASH)
        canvas.site(self.A, y_a)
        canvas.disc(self.B, y_b, 10, WHITE, edge=INK, rim=2)
        self._names(*feet, y_b)

    def _names(self, y_a, y_level, y_horizon, y_b):
        """Name what is drawn, each where its line is free."""
        canvas, gap = self.canvas, y_level - y_a
        falls = gap > 0
        canvas.words(self.A - 14, y_a + (-18 if falls else 18), "A", bold=True, to="both")
        canvas.words(self.B + 2, y_b - 18, "B", bold=True, to="both", halo=True)
        canvas.note(
            self.A + 16,
            y_a + (-16 if falls else 16),
            "as the ellipsoid runs",
            colour=NORMAL,
            halo=True,
        )
        within = -0.7 * gap > 30  # room between a rising level surface and the ellipsoid
        y = max(y_level, y_horizon) + 20 if falls else y_a + 0.7 * gap + 18 if within else y_a + 38
        canvas.note(self.B - 10, y, "level through A", colour=GEOID, to="left", halo=True)
        if abs(gap) >= 24:
            x = self.B + 22
            canvas.dimension(x, y_a, y_level, width=1.6)
            canvas.words(x + 8, (y_a + y_level) / 2, "−ε·s", halo=True)

    def _words(self, azimuth, distance, at_a, level, step, by_zenith):
        canvas, said = self.canvas, self._said(distance)
        gnss = level + step
        colours = (NORMAL, GEOID, PLUMB)
        for x, value, colour in zip(self.COLUMNS, (gnss, level, by_zenith), colours, strict=True):
            canvas.words(x, 108, said(value), bold=True, colour=colour, to="both")
        line = f"{write.kilometres(distance)} {write.compass(azimuth)} {write.azimuth(azimuth)}"
        canvas.words(self.LEFT, 92, line, bold=True)
        canvas.words(RIGHT, 92, f"ε {write.arcseconds(at_a)}", bold=True, colour=PLUMB, to="left")
        for y, name, value, colour in (
            (140, "ΔH, level", level, GEOID),
            (170, "ΔN = −ε·s, mean ε", step, INK),
            (212, "Δh, GNSS", gnss, NORMAL),
            (262, "s·cot z, zenith angle", by_zenith, PLUMB),
            (292, "−ε·s, ε at A", gnss - by_zenith, INK),
            (330, "Δh, GNSS", gnss, NORMAL),
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
            "towards B. Each is right from its own surface."
        )
