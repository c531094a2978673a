"""Figure B: what the plane's area, Legendre's theorem and one sphere miss as a triangle grows."""

import math
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from geokit import WGS84, excess, lines
from geokit.angles import RHO
from lessons.canvas import palette, write
from lessons.canvas.palette import (
    ELLIPSOID,
    HATCH,
    INK,
    NOISE,
    NORMAL,
    PRIME_VERTICAL_DASH,
    QUIET,
    WHITE,
)
from lessons.canvas.pen import RIGHT, Canvas
from lessons.canvas.plot import LogPlot, apart, passes
from lessons.figures.excess.common import (
    LARGEST,
    angles_in_plane,
    angles_on_sphere,
    corners,
    per_arcsecond,
    small_angle,
)
from lessons.widgets.live import LiveFigure, SitePicker, Slider


def plane_limits(site, *, scale=1.0):
    """Figure B: what plane area/R², Legendre's theorem and one sphere miss, by length of side."""
    return LiveFigure(
        lambda scale=scale: PlaneLimits(scale),
        [
            SitePicker(site, furthest=90),
            Slider("size", "Side", "km", 1, LARGEST, 500, step=0.05, decimals=1, log=True),
            Slider("stretch", "Stretch", "× towards north", 0.4, 2.5, 1.5, step=0.05, decimals=2),
            Slider(
                "noise", "Noise", "″, each direction", 0.1, 10, 1, step=0.05, decimals=1, log=True
            ),
        ],
    )


@dataclass(frozen=True)
class Curve:
    """
    One way of leaving something out.

    `directions` is how many directions, each with its noise, are in what it is compared with: six
    in a sum of three angles, two in one angle.
    """

    name: str
    note: str
    words: str  # their colour
    line: dict = field(default_factory=dict)
    directions: int = 6


CURVES = (
    Curve("excess E", "left out of the sum", NORMAL, {"colour": ELLIPSOID, "width": 2.8}),
    Curve("plane area", "E from the plane’s area / R²", INK, {"colour": INK, "width": 2.2}),
    Curve(
        "Legendre",
        "E/3 off each angle, then plane",
        QUIET,
        {"colour": QUIET, "width": 2.2, "dash": (4, 2)},
        directions=2,
    ),
    Curve(
        "one sphere",
        "R² = Mν for the ellipsoid",
        NORMAL,
        {"colour": NORMAL, "width": 2.0, "dash": PRIME_VERTICAL_DASH},
    ),
)
NOWHERE = "nowhere"
SIZES = np.geomspace(1, LARGEST, 81)  # kilometres
ACROSS = ((1, "1 km"), (10, "10"), (100, "100"), (1000, "1 000"), (10_000, "10 000"))
UP = ((1e-6, "0.000001″"), (1e-3, "0.001″"), (1, "1″"), (60, "1′"), (3600, "1°"), (324e3, "90°"))


class PlaneLimits:
    """The picture of figure B."""

    TABLE, MISSES = 676, 970  # left edge of the table, right edge of its first numbers
    FIRST, STEP = 118, 56

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Where the plane fails", scale=scale)
        self.plot = LogPlot(canvas, 110, 64, 640, 500, across=(1, LARGEST), up=(1e-6, 1e6))
        self.plot.grid(ACROSS, UP)
        words = "length of side; both scales go by tenfold steps"
        canvas.note(self.plot.left, 542, words, colour=INK)
        canvas.note(self.TABLE, 78, "what is missed")
        canvas.note(self.MISSES, 78, "at this side", to="left")
        canvas.note(RIGHT, 78, "matters from", to="left")
        canvas.rule(90, self.TABLE, colour=QUIET)
        for row, curve in enumerate(CURVES):
            y = self.FIRST + self.STEP * row
            canvas.line([self.TABLE, self.TABLE + 34], [y - 8, y - 8], **curve.line)
            canvas.words(self.TABLE + 44, y - 8, curve.name, bold=True)
            canvas.note(self.TABLE, y + 13, curve.note)
            canvas.rule(y + 28, self.TABLE)
        equator, pole = (write.number(per_arcsecond(latitude), 1) for latitude in (0, 90))
        canvas.words(self.TABLE, 372, "1″ of excess for each")
        canvas.note(self.TABLE, 393, f"{equator} km² at the equator, {pole} km² at the poles")
        canvas.words(self.TABLE, 432, "the plane’s area is short by")
        canvas.note(self.TABLE, 453, "by the rule s²/8R²")
        canvas.words(self.TABLE, 492, "on a sphere E = area / R² is exact", colour=NORMAL)
        canvas.keep()

    def update(self, site, size, stretch, noise):
        """Draw the curves, the noise and the numbers at this side; return the readout."""
        curves, _ = _curves(site.latitude, stretch)
        (here,), (mean_square,) = (
            part.T for part in _missed(site.latitude, stretch, np.array([size]))
        )
        starts = [
            _start(row, noise * math.sqrt(curve.directions))
            for row, curve in zip(curves, CURVES, strict=True)
        ]
        short = here[1] / here[0]
        canvas = self.canvas
        canvas.layer((site.latitude, stretch, noise), lambda: self._draw_curves(curves, noise))
        self._draw_plot(size, here, noise)
        for row, curve in enumerate(CURVES):
            y = self.FIRST + self.STEP * row - 8
            number = _amount(here[row])
            canvas.words(self.MISSES, y, number, bold=True, colour=curve.words, to="left")
            canvas.words(RIGHT, y, starts[row], to="left")
        one = write.number(per_arcsecond(site.latitude), 1) + " km²"
        canvas.words(RIGHT, 372, one, bold=True, colour=NORMAL, to="left")
        rule = mean_square / (8 * WGS84.gaussian_radius(site.latitude) ** 2)
        canvas.words(RIGHT, 432, _share(short), bold=True, to="left")
        canvas.note(RIGHT, 453, _share(rule), to="left")
        return self._readout(site, size, noise, here, short, starts)

    def _draw_curves(self, curves, noise):
        """Draw what stays while the side changes."""
        plot, whole = self.plot, noise * math.sqrt(6)
        top = float(plot.y(whole))
        self.canvas.box(plot.left, top, plot.right, plot.bottom, NOISE, hatch=HATCH)
        for row, curve in zip(curves, CURVES, strict=True):
            plot.curve(SIZES, row, **curve.line)

    def _draw_plot(self, size, here, noise):
        canvas, plot = self.canvas, self.plot
        x, places = float(plot.x(size)), plot.y(here)
        canvas.line([x, x], [places[0], plot.bottom], width=1.2, dash=palette.DOTS)
        for curve, y in zip(CURVES[1:], places[1:], strict=True):
            if y < plot.bottom:
                canvas.disc(x, y, 9, WHITE, edge=curve.words, rim=2)
        canvas.site(x, places[0])
        canvas.grip("size", x, min(float(places[0]), plot.bottom))
        self._names(x, places)
        for y, words in (
            (-34, "below: noise of the sum"),
            (-14, f"of three angles, {_noise(noise * math.sqrt(6))}"),
        ):
            canvas.note(plot.left + 8, plot.bottom + y, words, colour=INK, halo=True)

    def drag(self, name, x, y, begins):
        """Take the side along the plot."""
        return {"size": self.plot.across_at(x)}

    def _names(self, x, places):
        """Name the curves at this side, pushed apart, where they are on the plot."""
        lowest = self.plot.bottom - 52  # above the words about the noise
        seen = [row for row, y in enumerate(places) if y < lowest]
        room = x + 20 + self.canvas.width_of("one sphere", bold=True) < self.plot.right
        for row, y in zip(seen, apart(places[seen], 19, self.plot.top + 8, lowest), strict=True):
            self.canvas.words(
                x + (14 if room else -14),
                y,
                CURVES[row].name,
                colour=CURVES[row].words,
                bold=True,
                to="right" if room else "left",
                halo=True,
            )

    @staticmethod
    def _readout(site, size, noise, here, short, starts):
        one, whole = _noise(noise), _noise(noise * math.sqrt(6))
        matters = ", ".join(
            f"{curve.name} {'nowhere' if start == NOWHERE else f'from {start}'}"
            for curve, start in zip(CURVES[1:], starts[1:], strict=True)
        )
        start = "" if starts[0] == NOWHERE else f" from {starts[0]}"
        return (
            f"Round {write.place(site)}, sides of about {write.kilometres(size)}: the excess is "
            f"{write.bold(small_angle(here[0]))}, and the plane’s area makes it {_amount(here[1])} "
            f"({_share(short)}) too small. With {one} directions, {whole} in the sum, leaving the "
            f"excess out matters{write.bold(start)}; {matters}."
        )


@lru_cache(maxsize=64)
def _curves(latitude, stretch):
    return _missed(latitude, stretch, SIZES)


def _missed(latitude, stretch, sizes):
    """
    Return what each curve misses at sizes in kilometres, and the mean square of the sides.

    The three sides are geodesics; the sphere and the plane have triangles of the same sides. All
    without sign, in arcseconds; of Legendre's three angles the worst.
    """
    triangle = corners(_Middle(latitude), sizes, stretch=stretch)
    sides, _, _ = lines.inverse(*triangle, *(np.roll(part, -1, -1) for part in triangle), WGS84)
    radius = WGS84.gaussian_radius(latitude)
    on_sphere = excess.from_sides(*sides.T, radius)
    half = sides.sum(-1) / 2
    plane_area = np.sqrt(half * (half[:, np.newaxis] - sides).prod(-1))
    over = (angles_on_sphere(sides, radius) - angles_in_plane(sides)) * 3600
    legendre = np.abs(over - on_sphere[:, np.newaxis] / 3).max(-1)
    true = excess.on_ellipsoid(*triangle, WGS84)
    return (
        np.array(
            [true, on_sphere - RHO * plane_area / radius**2, legendre, np.abs(on_sphere - true)]
        ),
        (sides**2).mean(-1),
    )


@dataclass(frozen=True)
class _Middle:
    """Where a triangle stands; its longitude makes no difference."""

    latitude: float
    longitude: float = 0.0


def _start(misses, noise):
    """Return the side from which a curve stands clear of the noise, in words."""
    rising = np.maximum.accumulate(np.maximum(misses, 1e-12))  # what is smaller is rounding
    side = passes(SIZES, rising, noise)
    return NOWHERE if math.isnan(side) else write.kilometres(write.two_figures(side))


def _noise(arcseconds):
    return write.arcseconds(arcseconds, signed=False, decimals=1 if arcseconds >= 1 else 2)


def _amount(arcseconds):
    """Return how much is missed: two figures of what is small, zero for what nobody could see."""
    if arcseconds < 1e-6:
        return "under 0.000001″"
    if arcseconds < 0.1:
        places = 1 - math.floor(math.log10(arcseconds))
        return write.arcseconds(arcseconds, decimals=places, signed=False)
    return small_angle(arcseconds)


def _share(part):
    """Return a part of a whole, in the unit that reads best."""
    if abs(part) >= 1e-4:
        return write.number(100 * part, 2 if part < 0.1 else 0) + " %"
    millionths = 1e6 * part
    return write.number(millionths, 3 if millionths < 1 else 1) + " ppm"
