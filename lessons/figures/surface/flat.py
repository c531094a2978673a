"""Figure A: what a flat Earth costs by distance, beside the noise of tape, total station, RTK."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geokit import WGS84, geoid, surface
from lessons.canvas import write
from lessons.canvas.palette import (
    CHOSEN_DASH,
    DOTS,
    ELLIPSOID,
    GEOID,
    HAIR,
    HATCH,
    INK,
    NOISE,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    QUIET,
    TINT,
    WHITE,
)
from lessons.canvas.pen import LEFT, TITLE, Canvas
from lessons.canvas.plot import LogPlot, apart, passes
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

NEAREST, FARTHEST = 10.0, 500e3  # metres of distance
REFRACTIONS = {
    "none, κ 0": 0.0,
    "convention, κ 0.13": 0.13,
    "in doubt over water, κ 0.40": 0.40,
}


def flat_earth(site, *, scale=1.0):
    """Figure A: drop, plane, chord and reduction by distance, beside the instruments' noise."""
    return LiveFigure(
        lambda scale=scale: FlatEarth(scale),
        [
            SitePicker(site, furthest=90),
            Slider("distance", "Distance", "m", NEAREST, FARTHEST, 10e3, step=0.05, log=True),
            Slider("height", "Height H", "m above the geoid +", -5000, 2000, 0, step=50),
            Choice("refraction", "Refraction", "of the line of sight", REFRACTIONS),
        ],
    )


@dataclass(frozen=True)
class CurveInputs:
    """What the curves depend on, beside the distance; lengths in metres."""

    radius: float
    height: float  # above the ellipsoid
    refraction: float


@dataclass(frozen=True)
class Cost:
    """
    One thing that a flat Earth leaves out.

    `metres` takes distances and a job. `tall` says that it is a height and not a length.
    """

    name: str
    short: str
    metres: Callable
    look: dict
    colour: str
    tall: bool = False


COSTS = (
    Cost(
        "Drop below a level line of sight",
        "drop",
        lambda s, job: surface.level_drop(s, job.radius, job.refraction),
        {"colour": GEOID, "width": 2.8},
        PLUMB,
        tall=True,
    ),
    Cost(
        "East, north on a plane, too short",
        "plane",
        lambda s, job: surface.plane_error(s, job.radius),
        {"colour": INK, "width": 2.4, "dash": CHOSEN_DASH},
        INK,
    ),
    Cost(
        "Chord shorter than the arc",
        "chord",
        lambda s, job: surface.arc_minus_chord(s, job.radius),
        {"colour": INK, "width": 1.6},
        INK,
    ),
    Cost(
        "On the ellipsoid the line is {}",
        "reduction",
        lambda s, job: s - surface.to_ellipsoid(s, job.height, job.radius),
        {"colour": ELLIPSOID, "width": 2.6, "dash": ORANGE_DASH},
        NORMAL,
    ),
)


@dataclass(frozen=True)
class Instrument:
    """
    What sees a cost, or not: noise in metres and in parts of the distance, low and high, 95 %.

    The course's own round figures: the figure says so.
    """

    name: str
    reach: float  # metres
    length: tuple
    tall: tuple | None  # of a height; None where it measures none

    def noise(self, s, tall=False):
        """Return the least and the most noise at distances; None where it sees nothing."""
        if tall and self.tall is None:
            return None
        metres, parts = self.tall if tall else self.length
        return [metre + part * np.asarray(s) for metre, part in zip(metres, parts, strict=True)]


INSTRUMENTS = (
    Instrument("tape", 100.0, ((0.001, 0.002), (1e-4, 2e-4)), None),
    Instrument(
        "total station",
        5e3,
        ((0.002, 0.005), (2e-6, 3e-6)),
        ((0.002, 0.005), (5e-6, 24e-6)),  # of zenith angles to 1″ and 5″
    ),
    Instrument("RTK", 40e3, ((0.015, 0.04), (1e-6, 2e-6)), ((0.025, 0.07), (1e-6, 2e-6))),
)
MATTERS, EDGE, LOST = "●", "◐", "○"
LEAST = 0.00005  # metres: less is written as "under 0.1 mm"


def length(metres):
    """Return a length as the table writes it: metres as long as an error may be read in them."""
    if metres < LEAST:
        return "<\xa00.1\xa0mm" if metres else "0\xa0mm"
    return f"{write.number(metres, 0)}\xa0m" if metres >= 9999.5 else write.size(metres)


def far(metres):
    """Return a distance to three figures."""
    if metres < 999.5:
        return f"{write.number(metres, 1 if metres < 99.95 else 0)}\xa0m"
    return (
        f"{write.number(metres / 1000, 2 if metres < 9995 else 1 if metres < 99950 else 0)}\xa0km"
    )


class FlatEarth:
    """
    The picture of figure A: what is left out, how it grows, and how much it is here.

    It is the first picture of the course, so a number stands in it only where a trainee has to
    read one.
    """

    PLOT = (604, 62, 996, 316)
    ACROSS = ((10, "10 m"), (100, "100 m"), (1e3, "1 km"), (10e3, "10 km"), (100e3, "100 km"))
    UP = (
        (1e-4, "0.1 mm"), (1e-3, "1 mm"), (1e-2, "1 cm"), (0.1, "10 cm"), (1, "1 m"),
        (10, "10 m"), (100, "100 m"), (1e3, "1 km"), (1e4, "10 km"),
    )  # fmt: skip
    BANDS = ((612, 223, "RTK"), (612, 276, "total station and tape"))
    HEAD = 372  # y of the table's head
    FIRST, STEP = 402, 34  # y of its rows
    HERE = 560  # x where its numbers end
    MARKS = (690, 850, 1010)  # of its three verdicts
    SKETCH = (40, 62, 496, 336)
    SITE, RADIUS, TURN = (60, 112), 320, 50.0  # of the sketch: points and degrees to the far end

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Where flat fails", scale=scale)
        plot = self.plot = LogPlot(canvas, *self.PLOT, (NEAREST, FARTHEST), (3e-5, 4e4))
        plot.grid(self.ACROSS, self.UP)
        canvas.note(plot.left + 10, float(plot.y(3160)), "how much, by distance", colour=INK)
        for instrument in INSTRUMENTS:
            s = np.geomspace(NEAREST, instrument.reach, 30)
            plot.noise(s, *instrument.noise(s))
        self._still_sketch()
        self._head()
        self._key()
        canvas.keep()

    def _head(self):
        canvas, y = self.canvas, self.HEAD
        for x, instrument in zip(self.MARKS, INSTRUMENTS, strict=True):
            canvas.note(x, y, f"seen by {instrument.name}", to="both")
        canvas.rule(y + 12, colour=QUIET)
        for row, cost in enumerate(COSTS):
            y = self.FIRST + self.STEP * row
            canvas.line([LEFT, LEFT + 32], [y, y], **cost.look)
            if row:
                canvas.rule(y - 17, colour=PALE)

    def _key(self):
        canvas, x, y = self.canvas, LEFT, 544
        canvas.box(x, y - 7, x + 40, y + 7, NOISE, edge=HATCH, hatch=HATCH)
        words = "noise, 95 %: the course’s own round figures; use your own sheets"
        canvas.note(x + 50, y, words, colour=INK)

    # the sketch ----------------------------------------------------------------------------

    def _on_arc(self, degrees, above=0.0):
        """Return the place so many degrees from the site, and points above the sketch's sphere."""
        turn, (x, y) = np.radians(degrees), self.SITE
        radius = self.RADIUS + above
        return x + radius * np.sin(turn), y + self.RADIUS - radius * np.cos(turn)

    def _still_sketch(self):
        canvas, (x, y) = self.canvas, self.SITE
        left, top, right, bottom = self.SKETCH
        canvas.clip(left, top, right, bottom)
        arc_x, arc_y = self._on_arc(np.linspace(-4, 62, 60))
        canvas.area([*arc_x, arc_x[-1], arc_x[0]], [*arc_y, bottom, bottom], TINT)
        canvas.line(arc_x, arc_y, colour=ELLIPSOID, width=2.6, dash=ORANGE_DASH)
        end = self._on_arc(self.TURN)
        canvas.line([x, end[0]], [y, end[1]], colour=INK, width=1.6)
        canvas.line([x, right], [y, y], colour=INK, width=2.4, dash=CHOSEN_DASH)
        canvas.line([end[0], end[0]], [end[1], y], width=1.4, dash=DOTS)
        canvas.clip()
        canvas.right_angle(end[0], y, 180, side=-1, colour=INK, size=10)
        canvas.note(x - 36, y - 42, "plane, level line of sight", colour=INK)
        too_short = x + self.RADIUS * math.radians(self.TURN)
        canvas.line([too_short, too_short], [y - 12, y], width=1.4)
        canvas.line([end[0], end[0]], [y - 12, y], width=1.4)
        canvas.arrow((end[0], y - 8), (too_short, y - 8), width=1.6, head=7, both=True)
        canvas.note((end[0] + too_short) / 2, y - 24, "plane too short", colour=INK, to="both")
        canvas.note(x + 92, y + 72, "chord", colour=INK)
        canvas.note(end[0] - 4, end[1] + 58, "ellipsoid", colour=NORMAL, to="left")
        canvas.note(right, bottom - 14, "sketch not to scale", bold=True, colour=INK, to="left")

    def _sketch(self, height, refraction):
        """Draw the line of sight, the drop and the level where a line was measured."""
        canvas, (x, y) = self.canvas, self.SITE
        x1, y1 = self._on_arc(self.TURN)
        x2 = x + self.RADIUS * math.tan(math.radians(self.TURN))
        ray = x1 + (1 - refraction) * (x2 - x1), y1 + (1 - refraction) * (y - y1)
        t = np.linspace(0, 1, 20)
        if refraction:
            bend = t**2
            canvas.line(x + t * (x2 - x) + bend * (ray[0] - x2), y + bend * (ray[1] - y),
                       colour=PLUMB, width=2, dash=DOTS)  # fmt: skip
        canvas.arrow((x1, y1), ray, colour=GEOID, width=2.4, head=9, both=True)
        measured = self._on_arc(np.linspace(0, self.TURN, 30), 5 * math.asinh(height / 30))
        if abs(height) >= 1:
            canvas.line(*measured, width=2)
            left, foot = self.SKETCH[0] + 12, self.SKETCH[3] - 14
            canvas.line([left, left + 28], [foot, foot], width=2)
            canvas.note(left + 36, foot, f"measured at h {write.metres(height, 1)}", colour=INK)
        canvas.words((x1 + x2) / 2 + 14, (y1 + y) / 2 + 6, "drop", bold=True, colour=PLUMB)
        canvas.disc(x1, y1, 9, WHITE, edge=INK, rim=2)
        canvas.site(x, y)

    # each picture --------------------------------------------------------------------------

    def update(self, site, distance, height, refraction):
        """Draw curves, marks, sketch and table; return the readout."""
        separation = float(geoid.EGM96.height(site.latitude, site.longitude))
        job = CurveInputs(WGS84.gaussian_radius(site.latitude), height + separation, refraction)
        s = np.geomspace(NEAREST, FARTHEST, 90)
        curves = [np.abs(cost.metres(s, job)) for cost in COSTS]
        here = [float(cost.metres(distance, job)) for cost in COSTS]
        canvas = self.canvas
        canvas.renew()
        radius = f"sphere of R = √(Mν) = {write.number(job.radius / 1000, 1)} km at {site.name}"
        canvas.note(canvas.beside_title, 34, radius, sit="baseline")
        self._curves(s, curves, distance, here)
        self._sketch(job.height, refraction)
        head = f"over {far(distance)}, at h = H + N = {write.metres(job.height, 1)}"
        canvas.note(LEFT, self.HEAD, head, colour=INK)
        from_where = [
            self._row(row, curve, value, s, distance)
            for row, (curve, value) in enumerate(zip(curves, here, strict=True))
        ]
        return self._readout(site, distance, height, job, here, curves, s, from_where)

    def drag(self, name, x, y, begins):
        """Take the distance along the plot."""
        return {"distance": self.plot.across_at(x)}

    def _curves(self, s, curves, distance, here):
        canvas, plot = self.canvas, self.plot
        for cost, curve in zip(COSTS, curves, strict=True):
            plot.curve(s, curve, **cost.look)
        for x, y, name in self.BANDS:
            canvas.note(x, y, name, colour=INK, halo=True)
        x = float(plot.x(distance))
        canvas.line([x, x], [plot.top, plot.bottom], width=1.2, dash=DOTS)
        ends = np.clip([float(plot.y(curve[-1])) for curve in curves], plot.top, plot.bottom)
        for cost, end, y in zip(COSTS, ends, apart(ends, 19, plot.top, plot.bottom), strict=True):
            canvas.line([plot.right + 2, plot.right + 14], [end, y], colour=HAIR, width=1)
            canvas.words(plot.right + 18, y, cost.short, colour=cost.colour, bold=True)
        for value in here:
            y = float(plot.y(abs(value)))
            if y <= plot.bottom:
                canvas.site(x, y)
                canvas.grip("distance", x, y)

    def _row(self, row, curve, here, s, distance):
        """Write a row of the table; return from where the cost matters, by instrument."""
        canvas, cost, y = self.canvas, COSTS[row], self.FIRST + self.STEP * row
        canvas.words(LEFT + 44, y, cost.name.format("longer" if here < 0 else "shorter"))
        size = length(abs(here))
        canvas.words(self.HERE, y, size, size=TITLE, bold=True, colour=cost.colour, to="left")
        return [
            self._against(x, y, instrument, cost, curve, s, distance)
            for x, instrument in zip(self.MARKS, INSTRUMENTS, strict=True)
        ]

    def _against(self, x, y, instrument, cost, curve, s, distance):
        """Write whether an instrument sees a cost here; return from where it does."""
        canvas = self.canvas
        noise = instrument.noise(s, cost.tall)
        if noise is None:
            canvas.note(x, y, "measures no heights", to="both")
            return math.nan
        within = s <= instrument.reach * 1.0001
        low, high = (passes(s[within], (curve / part)[within], 1.0) for part in noise)
        verdict = (
            "out of its reach" if distance > instrument.reach
            else f"{MATTERS} matters" if distance >= high
            else f"{EDGE} at the edge" if distance >= low
            else f"{LOST} lost"
        )  # fmt: skip
        canvas.note(x, y, verdict, to="both", bold=verdict[0] == MATTERS,
                    colour=INK if distance <= instrument.reach else QUIET)  # fmt: skip
        return high

    def _readout(self, site, distance, height, job, here, curves, s, from_where):
        """Say what flat costs here and from where it matters."""
        drop, plane, chord, reduction = (length(abs(value)).replace("<", "under") for value in here)
        first, plane_from, chord_from = (_where(passes(s, curve, 0.01)) for curve in curves[:3])
        sight = f"a level sight (κ {job.refraction})" if job.refraction else "a level sight"
        way = "longer" if here[3] < 0 else "shorter"
        return (
            f"Over {write.bold(far(distance))} at {write.place(site)} the Earth drops "
            f"{write.bold(drop)} below {sight}; a plane is {write.bold(plane)} too "
            f"short, the chord {write.bold(chord)}. They pass 1 cm at {first}, {plane_from} and "
            f"{chord_from}. At H {write.metres(height, 0)} (h {write.metres(job.height, 1)}) the "
            f"line is {write.bold(reduction)} {way} on the ellipsoid. RTK sees the drop from "
            f"{_where(from_where[0][2])}, the plane from {_where(from_where[1][2])}."
        )


def _where(metres, nowhere="beyond"):
    """Return from which distance, where the curves begin at NEAREST and may never come so far."""
    if math.isnan(metres):
        return nowhere
    return f"<\xa0{NEAREST:.0f}\xa0m" if metres <= NEAREST else far(metres)
