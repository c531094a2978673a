"""Figure C: geoid and deflection along a line, and the geoid recovered by summing."""

import math

import numpy as np

from geokit import WGS84, deflection, geoid
from lessons.canvas import palette, write
from lessons.canvas.palette import GEOID, HAIR, INK, PALE, PLUMB, QUIET, SEA, WHITE
from lessons.canvas.pen import RIGHT, Canvas
from lessons.figures.deflection.common import line, steepest_azimuth
from lessons.widgets.live import LiveFigure, SitePicker, Slider


def trench_profile(site, *, scale=1.0):
    """Figure C: geoid and deflection along a line, and the geoid recovered from the deflection."""
    return LiveFigure(
        lambda scale=scale: TrenchProfile(scale),
        [
            SitePicker(site),
            Slider(
                "azimuth", "Azimuth", "° of the profile", 0, 359, steepest_azimuth(site), step=1
            ),
            Slider("length", "Length", "km", 20, 1000, 400, step=0.05, log=True),
            Slider("spacing", "Stations", "km apart", 1, 200, 10, step=0.05, log=True),
        ],
    )


class TrenchProfile:
    """The picture of figure C."""

    WEST, EAST = 84, 790  # edges of both plots
    HIGH, LOW = 76, 296  # of the plot of N
    UP, DOWN = 332, 494  # of the plot of ε
    MOST_RINGS = 41  # of stations drawn
    MOST = 75.0  # arcseconds at the edge of the plot of ε
    SPANS = (40, 80, 120, 160)  # metres that the plot of N may cover; never less than the first
    NUMBERS = 826  # x of the table
    ROSE = (1034, 108, 44)

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "The geoid recovered", "EGM96 along a geodesic through the site", scale=scale
        )
        for top, bottom in ((self.HIGH, self.LOW), (self.UP, self.DOWN)):
            canvas.box(self.WEST, top, self.EAST, bottom, edge=HAIR, width=1)
        for arcseconds in (-60, -30, 0, 30, 60):
            y = self._y_deflection(arcseconds)
            canvas.line(
                [self.WEST, self.EAST], [y, y], colour=HAIR if arcseconds == 0 else PALE, width=1.2
            )
            canvas.note(self.WEST - 8, y, write.arcseconds(arcseconds, decimals=0), to="left")
        canvas.note(self.WEST, self.HIGH - 14, "geoid N, + above the ellipsoid", colour=INK)
        canvas.note(
            self.WEST,
            self.UP - 14,
            "deflection ε along the line, + where the geoid falls towards B",
            colour=INK,
        )
        canvas.note(self.NUMBERS, self.HIGH - 2, "from A to B")
        canvas.compass_rose(*self.ROSE, 1)
        canvas.disc(self.NUMBERS + 6, 500, 8, WHITE, edge=INK, rim=1.6)
        canvas.note(self.NUMBERS + 20, 500, "N recovered from A by −ε·s", colour=INK)
        canvas.line([self.NUMBERS, self.NUMBERS + 12], [522, 522], colour=GEOID, width=3)
        canvas.note(self.NUMBERS + 20, 522, "N read from the model", colour=INK)
        canvas.keep()

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
        canvas = self.canvas
        canvas.renew()
        self._deflection_plot(length, fine, fine_epsilon, distance, station_epsilon)
        self._geoid_plot(length, fine, fine_n, distance, won)
        self._ends(azimuth, length)
        self._numbers(station_n, won, closure, steps, length)
        return self._readout(site, azimuth, length, steps, station_n, won, closure, fine_epsilon)

    @staticmethod
    def _along(site, azimuth, distance):
        """Return N and the deflection along the line at distances in metres."""
        latitude, longitude, azimuths = line(site, azimuth, distance)
        xi, eta = deflection.from_geoid(latitude, longitude, geoid.EGM96, WGS84)
        return geoid.EGM96.height(latitude, longitude), deflection.along(xi, eta, azimuths)

    def _x(self, length, metres):
        return self.WEST + (np.asarray(metres) / 1000 / length + 0.5) * (self.EAST - self.WEST)

    def _deflection_plot(self, length, fine, epsilon, distance, at_stations):
        canvas = self.canvas
        x, y = self._x(length, distance), self._y_deflection(at_stations)
        zero = float(self._y_deflection(0))
        canvas.area([x[0], *x, x[-1]], [zero, *y, zero], SEA)
        if len(x) <= self.MOST_RINGS:
            for station, end in zip(x, y, strict=True):
                canvas.line([station, station], [zero, end], colour=palette.DEEP, width=1)
        canvas.line([self.WEST, self.EAST], [zero, zero], colour=QUIET, width=1)
        canvas.line(self._x(length, fine), self._y_deflection(epsilon), colour=PLUMB, width=2.6)

    def _geoid_plot(self, length, fine, heights, distance, won):
        canvas = self.canvas
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
            canvas.line([self.WEST + 1, self.EAST - 1], [y(height)] * 2, colour=PALE, width=1.2)
            canvas.note(
                self.WEST - 8, y(height), write.number(height, 0, signed=True) + " m", to="left"
            )
        canvas.clip(self.WEST, self.HIGH, self.EAST, self.LOW)
        canvas.line(self._x(length, fine), y(heights), colour=GEOID, width=3)
        canvas.clip()
        every = math.ceil((len(won) - 1) / (self.MOST_RINGS - 1))
        rings = np.union1d(np.arange(0, len(won), every), len(won) - 1)
        for station, end in zip(self._x(length, distance[rings]), y(won[rings]), strict=True):
            canvas.disc(station, end, 8, WHITE, edge=INK, rim=1.6)
        canvas.site(float(self._x(length, 0)), float(y(np.interp(0, fine, heights))))
        steeper = (self.EAST - self.WEST) / (length * 1000)
        canvas.note(
            self.WEST,
            542,
            f"geoid exaggerated {write.number(write.two_figures(per_metre / steeper), 0)} ×",
            bold=True,
            colour=INK,
        )

    def _ends(self, azimuth, length):
        canvas = self.canvas
        half = write.kilometres(write.two_figures(length / 2))
        for x, end, turn, to in (
            (self.WEST, "A", azimuth + 180, "right"),
            (self.EAST, "B", azimuth, "left"),
        ):
            words = f"{end}  {half} {write.compass(turn)} {write.azimuth(turn)}"
            canvas.note(x, 512, words, to=to, colour=INK)
        canvas.note((self.WEST + self.EAST) / 2, 512, "site", to="both", colour=INK)
        x, y, radius = self.ROSE
        east, down = radius * np.array([np.sin(np.radians(azimuth)), -np.cos(np.radians(azimuth))])
        canvas.arrow((x - east, y - down), (x + east, y + down), colour=INK, width=2)
        canvas.site(x, y)
        for name, side in (("ahead", 1), ("behind", -1)):
            canvas.grip(name, x + side * east, y + side * down)
        for name, end in (("start", self.WEST), ("end", self.EAST)):
            canvas.grip(name, end, self.LOW)
        self._length = length

    def drag(self, name, x, y, begins):
        """Turn the line by its ends on the rose; draw it longer by its ends on the plot."""
        if name in ("ahead", "behind"):
            turn = math.degrees(math.atan2(x - self.ROSE[0], self.ROSE[1] - y))
            return {"azimuth": (turn + (180 if name == "behind" else 0)) % 360}
        if begins:
            self._held = self._length
        middle, half = (self.WEST + self.EAST) / 2, (self.EAST - self.WEST) / 2
        side = 1 if name == "end" else -1
        return {"length": self._held * max(side * (x - middle) / half, 0.05)}

    def _numbers(self, heights, won, closure, steps, length):
        canvas = self.canvas
        canvas.words(self.NUMBERS, self.HIGH + 22, write.kilometres(length), bold=True)
        canvas.words(
            self.NUMBERS, self.HIGH + 46, f"{write.number(steps + 1, 0)} stations", bold=True
        )
        canvas.rows(
            self.NUMBERS,
            RIGHT,
            210,
            [
                ("N at A, read", write.metres(heights[0], 3), GEOID),
                ("sum of −ε·s", write.metres(won[-1] - won[0], 3), PLUMB),
                ("N at B, recovered", write.metres(won[-1], 3), INK),
                ("N at B, read", write.metres(heights[-1], 3), GEOID),
            ],
        )
        for y in (255, 315):
            canvas.rule(y, self.NUMBERS, RIGHT)
        canvas.note(self.NUMBERS, 354, "closure, recovered − read")
        canvas.words(RIGHT, 390, write.signed_size(closure), size=22, bold=True, to="left")

    @staticmethod
    def _readout(site, azimuth, length, steps, heights, won, closure, epsilon):
        steepest = epsilon[np.abs(epsilon).argmax()]
        rise = heights[-1] - heights[0]
        apart = write.kilometres(write.two_figures(length / steps))
        return (
            f"Over {write.kilometres(length)} through {write.place(site)}, from A "
            f"({write.compass(azimuth + 180)}) to B ({write.compass(azimuth)}, azimuth "
            f"{write.azimuth(azimuth)}), the geoid {'rises' if rise > 0 else 'falls'} by "
            f"{write.bold(write.size(abs(rise)))}; the steepest deflection is "
            f"{write.bold(write.arcseconds(steepest))}. Summing −ε·s over "
            f"{write.number(steps + 1, 0)} stations, {apart} apart, recovers "
            f"{write.metres(won[-1] - won[0], 3)}: it closes to "
            f"{write.bold(write.signed_size(closure))}."
        )
