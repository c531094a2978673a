"""Figure C: one levelled loop over a slope between two latitudes, and why it does not close."""

import math
from dataclasses import dataclass

import numpy as np

from geokit import WGS84, gravity, lines
from geokit.gravity import GRS80_FIELD
from lessons.canvas import write
from lessons.canvas.palette import COAST, GEOID, INK, LAND, PLUMB, QUIET, SEA, WHITE
from lessons.canvas.pen import HEADLINE, LEFT, RIGHT, Canvas
from lessons.widgets.live import LiveFigure, SitePicker, Slider


def levelled_loop(site, *, scale=1.0):
    """Figure C: one levelled loop over a slope between two latitudes, and why it does not close."""
    return LiveFigure(
        lambda scale=scale: LevelledLoop(scale),
        [
            SitePicker(site, furthest=90),
            Slider("rise", "Slope 1", "m climbed as levelled", 100, 5000, 2000, step=50),
            Slider("north", "Slope 2", "km north of it +", -1000, 1000, 300, step=10),
            Slider(
                "exaggeration",
                "Convergence",
                "times exaggerated",
                1,
                1000,
                500,
                step=0.05,
                log=True,
            ),
        ],
    )


@dataclass(frozen=True)
class Loop:
    """
    A loop up slope 1, along a level surface, down slope 2, and back along the start's surface.

    `levels` are the heights of five level surfaces, first axis, along the way north, last axis;
    gravity is normal gravity in air, so that the rock's own pull is left out.
    """

    latitudes: np.ndarray
    levels: np.ndarray
    gravity: tuple[float, float]  # half way up both slopes, m/s²

    @property
    def rise(self):
        """Return what slope 1 climbs, as levelled."""
        return float(self.levels[-1, 0])

    @property
    def fall(self):
        """Return what slope 2 goes down, as levelled."""
        return float(self.levels[-1, -1])

    @property
    def misclosure(self):
        """Return the sum of all levelled differences, up positive."""
        return self.rise - self.fall


def loop(site, rise, north):
    """Return the loop from a site up by `rise` metres and on to so many kilometres north."""
    distance = np.linspace(0.0, abs(north) * 1000, 25)
    latitudes, _, _ = lines.direct(
        site.latitude, site.longitude, 180.0 * (north < 0), distance, WGS84
    )
    parts = np.linspace(0, 1, 5)[:, np.newaxis]
    levels = _at_potential(latitudes, _potential(latitudes[0], parts * rise))
    middle = gravity.normal(latitudes[[0, -1]], rise / 2, GRS80_FIELD)
    return Loop(latitudes, levels, (float(middle[0]), float(middle[1])))


def _potential(latitude, height):
    """Return ∫γ dh from the ellipsoid up, in m²/s², by Simpson's rule: exact to a micrometre."""
    steps = (gravity.normal(latitude, height * part, GRS80_FIELD) for part in (0.0, 0.5, 1.0))
    foot, middle, top = steps
    return height * (foot + 4 * middle + top) / 6


def _at_potential(latitude, potential):
    """Return the heights at which ∫γ dh reaches a potential, by Newton's steps."""
    height = potential / gravity.normal(latitude, 0.0, GRS80_FIELD)
    for _ in range(3):
        short = potential - _potential(latitude, height)
        height = height + short / gravity.normal(latitude, height, GRS80_FIELD)
    return height


# Millimetres for the root of a kilometre of line: precise and ordinary levelling, 95 %:
# the course's own round figures; the figure says so.
NOISE = (2.0, 12.0)
LEAST = 0.00005  # metres of misclosure that are still written


class LevelledLoop:
    """The picture of figure C."""

    WEST, EAST = 130, 640  # x of slopes 1 and 2
    FOOT, TALLEST, ROOM = 452, 230, 316  # y of the start's level; points for the rise, at most
    TABLE = 748
    FIRST, STEP = 104, 31

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "A loop that cannot close",
            "a slope seen from the east, north to the right",
            scale=scale,
        )
        for row, name in enumerate(
            ("up slope 1", "along the top, level", "down slope 2", "back along the foot, level")
        ):
            canvas.note(self.TABLE, self.FIRST + self.STEP * row, name, colour=INK)
        canvas.note(self.TABLE, 76, "levelled, up +")
        canvas.rule(88, self.TABLE, RIGHT, colour=QUIET)
        canvas.rule(212, self.TABLE, RIGHT, colour=QUIET)
        canvas.words(self.TABLE, 236, "sum round the loop", bold=True)
        for y, words in ((290, "γ half way up"), (321, ""), (352, "γ·n, potential won")):
            canvas.note(self.TABLE, y, words, colour=INK)
        canvas.rule(262, self.TABLE, RIGHT)
        canvas.rule(368, self.TABLE, RIGHT)
        for y, words in (
            (388, "Where gravity is stronger the same potential"),
            (406, "takes fewer metres: level surfaces close in"),
            (424, "towards the poles. No reading is wrong."),
        ):
            canvas.note(self.TABLE, y, words, colour=INK)
        canvas.note(
            RIGHT, 546, "normal gravity alone, the rock’s own pull left out", to="left", colour=INK
        )
        canvas.keep()

    def update(self, site, rise, north, exaggeration):
        """Draw the slope, its level surfaces and the loop; return the readout."""
        found = loop(site, rise, north)
        self.canvas.renew()
        self._slope(found, north, exaggeration)
        self._table(found)
        verdict = self._noise(found, north)
        return self._readout(site, found, north, verdict)

    def _slope(self, found, north, exaggeration):
        canvas = self.canvas
        x = np.linspace(self.WEST, self.EAST, found.levels.shape[1])
        if north < 0:
            x = x[::-1]
        drawn = found.levels[:, :1] + exaggeration * (found.levels - found.levels[:, :1])
        per_metre = min(self.TALLEST / found.rise, self.ROOM / drawn.max())
        y = self.FOOT - drawn * per_metre
        canvas.area([*x, x[-1], x[0]], [*y[-1], self.FOOT, self.FOOT], LAND, edge=COAST, width=1.4)
        canvas.box(self.WEST - 50, self.FOOT, self.EAST + 50, self.FOOT + 34, SEA)
        for level in y[1:-1]:
            canvas.line(x, level, colour=PLUMB, width=1.2)
        self._loop_line(x, y)
        self._slope_words(x, y, found, north, exaggeration)

    def _loop_line(self, x, y):
        canvas = self.canvas
        canvas.line([self.WEST - 50, self.EAST + 50], [self.FOOT, self.FOOT], colour=GEOID, width=3)
        canvas.line(x, y[-1], colour=PLUMB, width=3)
        first, last, top = x[0], x[-1], y[-1]
        for ends in (((first, self.FOOT), (first, top[0])), ((last, top[-1]), (last, self.FOOT))):
            canvas.arrow(*ends, width=3, head=13)
        near, far = len(x) // 2 - 1, len(x) // 2 + 1
        ends = ((x[near], top[near]), (x[far], top[far]))
        canvas.arrow(*ends, colour=PLUMB, width=3, head=13)
        ends = ((x[far], self.FOOT), (x[near], self.FOOT))
        canvas.arrow(*ends, colour=GEOID, width=3, head=13)
        canvas.site(first, self.FOOT)
        canvas.disc(last, top[-1], 10, WHITE, edge=INK, rim=2)

    def _slope_words(self, x, y, found, north, exaggeration):
        canvas, top = self.canvas, y[-1]
        inward = 1 if north >= 0 else -1
        climbs = (write.metres(found.rise, 3), write.metres(-found.fall, 3))
        for end, way, number, climb in ((0, inward, 1, climbs[0]), (-1, -inward, 2, climbs[1])):
            middle = self.FOOT + 0.62 * (top[end] - self.FOOT)
            side = "right" if way > 0 else "left"
            canvas.words(x[end] + 12 * way, middle, climb, bold=True, to=side, halo=True)
            latitude = abs(found.latitudes[end])
            letter = "S" if found.latitudes[end] < 0 else "N"
            words = f"slope {number}, {write.number(latitude, 2)}° {letter}"
            canvas.note(x[end], self.FOOT + 48, words, to="both", colour=INK)
        away = "left" if north >= 0 else "right"
        canvas.words(x[0] - 14 * inward, self.FOOT - 18, "A", bold=True, to=away)
        away = "right" if north >= 0 else "left"
        canvas.words(x[-1] + 14 * inward, top[-1], "B", bold=True, to=away)
        words = f"B above A:  {write.metres(found.rise, 3)} over the top,  "
        words += f"{write.metres(found.fall, 3)} along the foot"
        canvas.words(LEFT, 70, words)
        canvas.words(
            (self.WEST + self.EAST) / 2,
            float(top.min()) - 22,
            "level surface at the top",
            colour=PLUMB,
            to="both",
        )
        canvas.note(
            (self.WEST + self.EAST) / 2,
            self.FOOT + 19,
            "level surface of the start",
            colour=GEOID,
            to="both",
            bold=True,
        )
        drawn = f"convergence exaggerated {write.number(exaggeration, 0)} ×"
        drawn = drawn if exaggeration > 1 else "convergence drawn true"
        canvas.note(LEFT, 546, f"{drawn}, heights not to scale", bold=True, colour=INK)

    def _table(self, found):
        canvas = self.canvas
        for row, (number, colour) in enumerate(
            (
                (write.metres(found.rise, 3), INK),
                (write.metres(0.0, 3), PLUMB),
                (write.metres(-found.fall, 3), INK),
                (write.metres(0.0, 3), GEOID),
            )
        ):
            y = self.FIRST + self.STEP * row
            canvas.words(RIGHT, y, number, bold=True, colour=colour, to="left")
        canvas.words(
            RIGHT,
            238,
            write.signed_size(found.misclosure),
            size=HEADLINE,
            bold=True,
            to="left",
        )
        for y, number, value in zip((290, 321), "12", found.gravity, strict=True):
            words = f"slope {number}  {write.number(value * 1e5, 1)}\xa0mGal"
            canvas.words(RIGHT, y, words, to="left")
        won = found.gravity[0] * found.rise
        canvas.words(RIGHT, 352, f"{write.number(won, 0)}\xa0m²/s² on both", to="left")

    def _noise(self, found, north):
        """Write what levelling itself may miss by, and return the verdict."""
        canvas = self.canvas
        root = math.sqrt(2 * max(abs(north), 1.0))
        low, high = (noise * root / 1000 for noise in NOISE)
        size = abs(found.misclosure)
        symbol, verdict = ("●", "matters") if size > high else ("◐", "at the edge")
        if size < low:
            symbol, verdict = "○", "lost in the noise"
        canvas.words(self.TABLE, 460, symbol, size=HEADLINE, colour=PLUMB)
        canvas.words(self.TABLE + 30, 460, verdict, bold=True, colour=PLUMB)
        words = f"levelling {write.number(2 * abs(north), 0)} km: {write.spread(low, high)}"
        canvas.note(self.TABLE + 30, 482, words, colour=INK)
        canvas.note(self.TABLE + 30, 500, "2 to 12 mm·√km, 95 %: our own round figures")
        return verdict

    @staticmethod
    def _readout(site, found, north, verdict):
        if abs(found.misclosure) < LEAST:
            why = "gravity is the same on both, so level surfaces are as far apart"
        elif found.misclosure > 0:
            why = "gravity is stronger there, level surfaces lie closer, the same potential takes "
            why += "fewer metres"
        else:
            why = "gravity is weaker there, level surfaces lie further apart, the same potential "
            why += "takes more metres"
        up, down = (write.bold(write.metres(part, 3)) for part in (found.rise, -found.fall))
        return (
            f"Up slope 1 at {write.place(site)} a level finds {up}; down slope 2, "
            f"{_way(found, north)}, between the same two level surfaces, {down}. Free of error the "
            f"loop sums to {write.bold(write.signed_size(found.misclosure))} ({verdict}): {why}."
        )


def _way(found, north):
    """Return how far and which way slope 2 stands from slope 1."""
    if north == 0:
        return "at the same place"
    poleward = math.copysign(1, north) * found.latitudes
    over = " over the pole" if poleward.argmax() < len(poleward) - 1 else ""
    return f"{write.number(abs(north), 0)}\xa0km {'north' if north > 0 else 'south'}{over}"
