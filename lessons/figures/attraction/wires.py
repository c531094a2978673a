"""Figure B: a plumb line that curves on its way down, and who feels which part of it."""

import math

import numpy as np

from geokit import attraction, gravity
from geokit.gravity import WGS84_FIELD
from lessons.canvas import palette, write
from lessons.canvas.palette import GEOID, HAIR, INK, NORMAL, ORANGE_DASH, PALE, PLUMB, QUIET, SEA
from lessons.canvas.pen import NOTE, RIGHT, Canvas
from lessons.figures.attraction.common import MOUNT, SHELF, TRENCH, Shape
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

DEEP = 6200.0  # metres of water beside the shapes of this figure
PLACES = {
    "at the foot of a seamount": (Shape(MOUNT, 5000, 50_000, water=DEEP), -25_500),
    "beside a steep seamount": (Shape(MOUNT, 5900, 20_000, water=DEEP), -10_100),
    "at the lip of a trench": (Shape(TRENCH, 3500, 80_000, water=DEEP), -40_000),
    "at a shelf edge": (Shape(SHELF, 6000, 40_000, water=DEEP), 20_500),
    "over a level seabed": (None, 0),
}
BEAM, LEVEL = 3000.0, 2000.0  # metres: a sounding or USBL beam; two pressure depths apart


def down_the_wire(site, *, scale=1.0):
    """Figure B: a plumb line that curves on its way down, and who feels which part of it."""
    return LiveFigure(
        lambda scale=scale: DownTheWire(scale),
        [
            Choice("place", "You hang the weight", "", PLACES, "beside a steep seamount"),
            SitePicker(site),
            Slider("length", "Wire", "m", 100, 6000, 6000, step=100),
        ],
    )


class DownTheWire:
    """The picture of figure B."""

    TOP, BOTTOM = 92, 500  # y of the sea's surface and of `DEEP`
    LEFT, MIDDLE = 84, 250  # of the picture of the wire: its edge, and x of the normal
    HALF = 150  # points to either side
    PLOT = (480, 760)  # x of the plot of ξ
    NUMBERS = 796
    STEPS = np.linspace(0, 1, 25)
    SPANS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)  # metres at the edges of the picture
    LEANS = (1, 2, 5, 10, 20, 50, 100, 200)  # arcseconds at the edges of the plot

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "Down the wire", "the shape and the normal field; the rest of the Earth left out",
            scale=scale,
        )  # fmt: skip
        left, right = self.MIDDLE - self.HALF, self.MIDDLE + self.HALF
        canvas.box(left, self.TOP, right, self.BOTTOM, SEA)
        canvas.box(*(self.PLOT[0], self.TOP), *(self.PLOT[1], self.BOTTOM), edge=HAIR, width=1)
        for depth in range(0, 6001, 1000):
            y = float(self._y(depth))
            canvas.line([self.PLOT[0], self.PLOT[1]], [y, y], colour=PALE, width=1.2)
            canvas.note(left - 8, y, write.number(depth, 0), to="left")
        canvas.note(left - 8, self.BOTTOM + 18, "m deep", to="left")
        canvas.line([left, right], [self.TOP] * 2, colour=GEOID, width=3)
        canvas.note(left, self.TOP - 18, "where the wire hangs", colour=INK)
        canvas.note(self.PLOT[0], self.TOP - 18, "how much it leans there, ξ, north +", colour=INK)
        middle = sum(self.PLOT) / 2
        canvas.line([middle, middle], [self.TOP, self.BOTTOM], colour=HAIR, width=1.4)
        canvas.note(self.NUMBERS, 74, "what feels it, and how much", colour=INK)
        canvas.keep()

    def _y(self, depth):
        return self.TOP + np.asarray(depth) / DEEP * (self.BOTTOM - self.TOP)

    def update(self, place, site, length):
        """Draw both lines and the lean along them; return the readout."""
        shape, north = place
        bed = float(shape.seabed(north)) if shape else DEEP
        length = min(length, bed)
        depths = length * self.STEPS
        g = gravity.normal(site.latitude, 0, WGS84_FIELD)
        own = shape.deflections(north, g, -depths) if shape else np.zeros(depths.size)
        curve, _ = attraction.normal_wire(site.latitude, depths, WGS84_FIELD)
        lean = own + curve
        passed = attraction.wire(depths, lean, np.zeros(depths.size))[1]
        straight = -math.radians(lean[0] / 3600) * depths
        canvas = self.canvas
        canvas.renew()
        self._wires(depths, passed, straight, bed)
        self._leans(depths, lean, own)
        self._table(lean, passed[-1], length)
        return self._readout(place, site, length, lean, passed[-1], straight[-1])

    def _wires(self, depths, passed, straight, bed):
        canvas = self.canvas
        left, right = self.MIDDLE - self.HALF, self.MIDDLE + self.HALF
        most = max(np.abs(passed).max(), np.abs(straight).max())
        span = next((s for s in self.SPANS if s >= 1.08 * most), self.SPANS[-1])
        per_metre = self.HALF / span
        y = self._y(depths)
        floor = float(self._y(bed))
        if floor < self.BOTTOM - 1:
            canvas.box(left, floor, right, self.BOTTOM, palette.LAND)
        canvas.line([left, right], [floor] * 2, colour=palette.COAST, width=1.4)
        canvas.line(
            [self.MIDDLE] * 2, [self.BOTTOM, self.TOP], colour=NORMAL, width=2, dash=ORANGE_DASH
        )
        canvas.line(self.MIDDLE + straight * per_metre, y, colour=INK, width=1.4, dash=(4, 3))
        x = self.MIDDLE + passed * per_metre
        canvas.line(x, y, colour=PLUMB, width=3)
        canvas.disc(float(x[-1]), float(y[-1]), 12, PLUMB, edge=palette.WHITE, rim=1.2)
        canvas.disc(float(self.MIDDLE + straight[-1] * per_metre), float(y[-1]), 9, None, edge=INK)
        canvas.site(self.MIDDLE, self.TOP)
        canvas.grip("foot", x[-1], y[-1])
        for part, to in ((-1, "right"), (1, "left")):
            words = write.size(span) + (" south" if part < 0 else " north")
            canvas.note(self.MIDDLE + part * self.HALF, self.BOTTOM + 18, words, to=to)
        times = write.two_figures(per_metre * DEEP / (self.BOTTOM - self.TOP))
        canvas.note(
            left, 546, f"sideways drawn {write.number(times, 0)} × too far", bold=True, colour=INK
        )

    def drag(self, name, x, y, begins):
        """Let the wire out, or take it in, by its foot."""
        return {"length": (y - self.TOP) / (self.BOTTOM - self.TOP) * DEEP}

    def _leans(self, depths, lean, own):
        canvas = self.canvas
        most = next((s for s in self.LEANS if s >= 1.05 * np.abs(lean).max()), self.LEANS[-1])
        middle, half = sum(self.PLOT) / 2, (self.PLOT[1] - self.PLOT[0]) / 2
        x, y = middle + lean / most * half, self._y(depths)
        canvas.line(x, y, colour=PLUMB, width=3)
        canvas.line([float(x[0])] * 2, [y[0], y[-1]], colour=INK, width=1.4, dash=(4, 3))
        for part, to in ((-1, "right"), (0, "both"), (1, "left")):
            words = write.arcseconds(part * most, decimals=0)
            canvas.note(middle + part * half, self.BOTTOM + 18, words, to=to)
        names = (
            (0, "at the surface", "Helmert’s and Pizzetti’s", 17),
            (-1, "at the foot", f"Molodensky’s {write.arcseconds(own[-1])}", -35),
        )
        for place, words, whose, beside in names:
            at, level = float(x[place]), float(y[place])
            canvas.disc(at, level, 9, PLUMB)
            first = max(level + beside, self.TOP + (17 if place == 0 else 62))
            number = f"{write.arcseconds(lean[place])} {words}"
            wide = max(canvas.width_of(number, bold=True), canvas.width_of(whose, NOTE))
            to, gap = ("right", 10) if at + 18 + wide < self.NUMBERS else ("left", -10)
            canvas.words(at + gap, first, number, bold=True, colour=PLUMB, to=to, halo=True)
            canvas.note(at + gap, first + 18, whose, to=to, halo=True, colour=INK)

    def _table(self, lean, foot, length):
        canvas = self.canvas
        top, bottom = (math.radians(lean[k] / 3600) for k in (0, -1))
        groups = (
            ("all along the wire", PLUMB, (("weight on it", self._goes(foot)),)),
            (
                "the lean at the foot",
                PLUMB,
                (
                    ("inclinometer", write.arcseconds(lean[-1])),
                    ("levelled frame", write.arcseconds(lean[-1])),
                    ("pressure, 2 km", write.least_size(bottom * LEVEL)),
                ),
            ),
            (
                "the lean at the surface",
                GEOID,
                (
                    ("star camera, level", write.arcseconds(lean[0])),
                    ("zenith angle", write.arcseconds(lean[0])),
                    ("beam, 3 000 m", write.least_size(top * BEAM)),
                ),
            ),
            ("none of it", QUIET, (("GNSS", "0"), ("acoustic ranges", "0"))),
        )
        y = 104
        for title, colour, rows in groups:
            canvas.words(self.NUMBERS, y, title, bold=True, colour=colour)
            for name, number in rows:
                y += 25
                canvas.note(self.NUMBERS + 12, y, name)
                canvas.words(RIGHT, y, number, bold=True, to="left")
            y += 30
            canvas.rule(y - 13, self.NUMBERS, RIGHT)
        canvas.note(self.NUMBERS, y + 4, "beam: sounder or USBL, levelled")
        canvas.note(self.NUMBERS, y + 22, "by motion sensor; gyro: lesson 08")

    @staticmethod
    def _goes(metres):
        return f"{write.least_size(metres)} {write.way(metres, 'north', 4)}".strip()

    def _readout(self, place, site, length, lean, foot, straight):
        where = next(name for name, one in PLACES.items() if one is place)
        normal = attraction.normal_wire(site.latitude, length, WGS84_FIELD)
        return (
            f"{where.capitalize()} the zenith leans "
            f"{write.bold(write.directed(lean[0], 1, '″', 'north'))} at the surface and "
            f"{write.bold(write.directed(lean[-1], 1, '″', 'north'))} at {write.number(length, 0)}"
            f"\xa0m. A straight wire would end {self._goes(straight)}, the curved one ends "
            f"{write.bold(self._goes(foot))}, {write.bold(write.least_size(foot - straight))} "
            f"apart. The normal field alone, at latitude {write.number(site.latitude, 0)}°: "
            f"{write.directed(normal[0], 2, '″', 'north')} and {self._goes(normal[1])}."
        )
