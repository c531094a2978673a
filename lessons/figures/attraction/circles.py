"""Figure C: gravity in rings round a site, and what each ring adds to the deflection."""

import itertools
import math
from functools import lru_cache

import numpy as np

from geokit import WGS84, attraction, deflection, gravity, lines
from geokit.geoid import EGM96
from geokit.gravity import WGS84_FIELD
from lessons.canvas import palette, write
from lessons.canvas.globe import off_pole
from lessons.canvas.palette import DEEP, DOTS, GEOID, HAIR, INK, NOISE, PALE, PLUMB, QUIET, WHITE
from lessons.canvas.pen import NOTE, RIGHT, Canvas
from lessons.figures.attraction.common import MOUNT, SHELF, TRENCH, Shape
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

MODEL = "EGM96 round the site"
SOURCES = {
    MODEL: None,
    "a seamount of 4 000 m": Shape(MOUNT, 4000, 50_000),
    "a trench of 3 500 m": Shape(TRENCH, 3500, 80_000),
    "a shelf edge with its root": Shape(SHELF, 4000, 40_000, root=True),
}
EDGES = 1000 * 2.5 * 2.0 ** np.arange(13)  # metres: each ring is twice as wide as the one within
AZIMUTHS = np.arange(0.0, 360.0, 5.0)  # of a model; a shape is smoother, each second does
NODES, WEIGHTS = np.polynomial.legendre.leggauss(3)
RADIUS = 6_371_000.0


def rings_of_gravity(site, *, scale=1.0):
    """Figure C: gravity in rings round a site, and what each ring adds to the deflection."""
    return LiveFigure(
        lambda scale=scale: RingsOfGravity(scale),
        [
            Choice("source", "Gravity of", "", SOURCES),
            SitePicker(site),
            Slider("reach", "Rings out to", "km", 5, 10_240, 10_240, step=0.1, log=True),
            Slider("stand", "From the shape", "km north", -100, 100, -25, step=5, idle=no_shape),
        ],
    )


def no_shape(values):
    """Return why nothing stands off a shape: EGM96 has none."""
    return "" if values["source"] else "none chosen"


class RingsOfGravity:
    """The picture of figure C."""

    CENTRE, RIM = (214, 304), 186  # of the target: x, y and radius
    WEST, EAST = 476, 790  # of the bars
    UP, DOWN = 92, 488
    NUMBERS = 826
    INNER = 14  # points of radius of the innermost disc

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "Rings of gravity", "anomalies round the site predict its plumb line", scale=scale
        )
        canvas.note(24, 66, "each ring twice as wide as the last", colour=INK)
        canvas.note(self.WEST, 66, "what each ring adds, and the sum", colour=INK)
        canvas.box(self.WEST, self.UP, self.EAST, self.DOWN, edge=HAIR, width=1)
        for words, y in (
            ("N", self.CENTRE[1] - self.RIM - 12),
            ("S", self.CENTRE[1] + self.RIM + 12),
        ):
            canvas.note(self.CENTRE[0], y, words, to="both")
        self._key()
        x, y = self.CENTRE
        self._columns, self._rows = canvas.pixel_grid(
            x - self.RIM, y - self.RIM, x + self.RIM, y + self.RIM
        )
        east, down = np.meshgrid(self._columns - x, self._rows - y)
        away = np.hypot(east, down)
        ring = np.ceil((away - self.INNER) / (self.RIM - self.INNER) * (len(EDGES) - 1)).astype(int)
        self._ring = np.clip(ring, 0, len(EDGES))
        self._outside = away > self.RIM
        turn = np.degrees(np.arctan2(east, -down)) % 360
        self._turn = turn / 360
        self._kept = {}  # by how many sectors a ring has
        canvas.keep()

    def _key(self):
        canvas = self.canvas
        for step, milligals in enumerate((-200, -100, -50, -20, 20, 50, 100, 200)):
            red, green, blue = self._colours(np.array([milligals * 1e-5]))[0]
            fill = f"#{red:02X}{green:02X}{blue:02X}"
            canvas.box(38 + 44 * step, 528, 82 + 44 * step, 540, fill)
            canvas.note(60 + 44 * step, 516, write.number(milligals, 0, signed=True), to="both")
        canvas.note(396, 534, "mGal")

    @staticmethod
    def _colours(anomalies):
        """Return colours: blue where gravity is strong, brown where it is weak."""
        return palette.shade(np.abs(anomalies) * 1e5 * 0.35, anomalies < 0)

    def update(self, source, site, reach, stand):
        """Draw the rings, what they add, and what the slope says; return the readout."""
        place = (site.latitude, site.longitude) if source is None else (site.latitude, stand)
        anomalies, slopes, true, added = found(source, *place)
        counted = 1000 * reach * 1.05 >= EDGES  # a slider's number has two figures
        total = added[counted].sum(0) if counted.any() else np.zeros(2)
        self.canvas.layer((source, *place), lambda: self._shades(anomalies, slopes))
        self._circles(counted)
        self._bars(added, true, counted)
        self._numbers(source, total, true, counted)
        return self._readout(source, site, stand, added, total, true, counted)

    def _shades(self, anomalies, slopes):
        """Colour each sector of each ring by its anomaly."""
        x, y = self.CENTRE
        count = anomalies.shape[1]
        turn = 2 * np.pi * np.arange(count) / count
        middle = anomalies[0].mean() + EDGES[0] / 2 * (
            slopes[0] * np.cos(turn) + slopes[1] * np.sin(turn)
        )
        colours = self._colours(np.vstack([middle, anomalies]))
        colours = np.vstack([colours, np.full((1, *colours.shape[1:]), 255, np.uint8)])
        of_pixels = self._sectors(count)
        pixels = colours.reshape(-1, 3).take(of_pixels, axis=0)
        self.canvas.picture(x - self.RIM, y - self.RIM, pixels)
        for number in range(len(EDGES)):
            self.canvas.disc(x, y, 2 * self._radius(number), None, edge=HAIR, rim=0.8)

    def _radius(self, number):
        """Return where the outer edge of a ring is drawn."""
        return self.INNER + number * (self.RIM - self.INNER) / (len(EDGES) - 1)

    def _circles(self, counted):
        """Draw the edge of the last ring that counts in ink, and name some."""
        canvas, (x, y) = self.canvas, self.CENTRE
        if counted.any():
            last = self._radius(int(counted.sum()) - 1)
            canvas.disc(x, y, 2 * last, None, edge=INK, rim=2.4)
        for number in (0, 4, 8, 12):
            radius = self._radius(number)
            self._named(x + 0.72 * radius + 7, y - 0.72 * radius, EDGES[number])
        canvas.site(x, y)

    def _named(self, x, y, edge):
        """Write how far out a ring's edge lies, on white: letters drown in dark sectors."""
        words = write.kilometres(edge / 1000)
        self.canvas.box(x - 3, y - 9, x + self.canvas.width_of(words, NOTE) + 3, y + 9, WHITE)
        self.canvas.note(x, y, words, colour=INK)

    def _sectors(self, count):
        """Return for each pixel which sector it shows, of so many in each ring; kept."""
        if count not in self._kept:
            ring = np.where(self._outside, len(EDGES), np.minimum(self._ring, len(EDGES) - 1))
            turn = np.rint(self._turn * count).astype(int) % count
            self._kept[count] = ring * count + turn
        return self._kept[count]

    def _bars(self, added, true, counted):
        """Draw each ring's share along the direction in which the plumb line truly leans."""
        canvas = self.canvas
        size = math.hypot(*true)
        along = np.array(true) / size if size > 0.05 else np.array([1.0, 0.0])
        shares, top = added @ along, max(size, 1.0)
        sums = np.cumsum(np.where(counted, shares, 0.0))
        low = min(0.0, float(sums.min()), float(shares.min()))
        high = 1.12 * max(top, float(sums.max()), float(shares.max()))
        low = 1.12 * low - 0.02 * high

        def y(value):
            return self.DOWN - (np.asarray(value) - low) / (high - low) * (self.DOWN - self.UP)

        width = (self.EAST - self.WEST) / len(EDGES)
        x = self.WEST + width * (np.arange(len(EDGES)) + 0.5)
        zero = float(y(0))
        canvas.line([self.WEST, self.EAST], [zero, zero], colour=QUIET, width=1)
        for at, share, counts in zip(x, shares, counted, strict=True):
            canvas.box(at - width / 2 + 2, zero, at + width / 2 - 2, float(y(share)),
                       DEEP if counts else NOISE)  # fmt: skip
        canvas.line([self.WEST, self.EAST], [float(y(size))] * 2, colour=GEOID, width=2, dash=DOTS)
        canvas.line(x, y(sums), colour=PLUMB, width=3)
        canvas.disc(float(x[-1]), float(y(sums[-1])), 9, PLUMB)
        canvas.note(self.WEST + 6, float(y(size)) - 11, write.arcseconds(size, signed=False),
                    colour=GEOID, halo=True)  # fmt: skip
        for number in (0, 4, 8, 12):
            words = write.number(EDGES[number] / 1000, 0 if number else 1)
            canvas.note(float(x[number]), self.DOWN + 16, words, to="both")
        canvas.note(self.EAST, self.DOWN + 36, "outer radius of the ring, km", to="left")
        canvas.line([self.WEST, self.WEST], [self.UP, self.DOWN], colour=PALE, width=1)

    def _numbers(self, source, total, true, counted):
        canvas = self.canvas
        canvas.note(self.NUMBERS, 74, f"sum of {int(counted.sum())} rings")
        canvas.words(self.NUMBERS, 102, write.directed(total[0], 1, "″", "north"), size=22,
                     bold=True, colour=PLUMB)  # fmt: skip
        canvas.words(self.NUMBERS, 134, write.directed(total[1], 1, "″", "east"), size=22,
                     bold=True, colour=PLUMB)  # fmt: skip
        canvas.rule(160, self.NUMBERS, RIGHT)
        own = "slope of EGM96’s geoid" if source is None else "the shape’s own pull"
        canvas.note(self.NUMBERS, 184, own)
        canvas.rows(
            self.NUMBERS, RIGHT, 214,
            [
                ("ξ", write.directed(true[0], 1, "″", "north"), GEOID),
                ("η", write.directed(true[1], 1, "″", "east"), GEOID),
            ],
        )  # fmt: skip
        canvas.rule(266, self.NUMBERS, RIGHT)
        canvas.rows(
            self.NUMBERS, RIGHT, 292,
            [("rings miss it by", _size(total - np.array(true)), INK)],
        )  # fmt: skip
        for row, words in enumerate((
            "Equal gravity round a ring adds",
            "nothing. 100 mGal more on one side",
            "than on the other adds about 3.6″,",
            "the same in each ring: each is",
            "twice as wide as the one within.",
        )):  # fmt: skip
            canvas.note(self.NUMBERS, 346 + 21 * row, words, colour=INK)

    @staticmethod
    def _readout(source, site, stand, added, total, true, counted):
        most = int(np.hypot(*added.T).argmax())
        inner = EDGES[most - 1] / 1000 if most else 0.0
        ring = (
            f"from {write.number(inner, 1 if inner < 10 else 0)} to "
            f"{write.kilometres(EDGES[most] / 1000)}"
        )
        what, own = f"EGM96’s gravity round {write.place(site)}", "The slope of its geoid"
        if source is not None:
            side = f"{write.kilometres(abs(stand))} {write.way(stand, 'north', 0)} of its middle"
            what = f"A {source.name}’s gravity, {side if stand else 'over its middle'}"
            own = "Its own pull"
        reach = EDGES[counted][-1] / 1000 if counted.any() else 0.0
        apart = _size(total - np.array(true))
        return (
            f"{what}, in rings out to {write.kilometres(reach)}: the zenith leans "
            f"{write.bold(_both(total))}. {own} gives {write.bold(_both(true))}: "
            f"{write.bold(apart)} apart. The ring {ring} adds the most, "
            f"{_size(added[most])}."
        )


def _size(parts):
    """Return the size of a deflection by its parts."""
    return write.arcseconds(math.hypot(*parts), signed=False)


def _both(parts):
    """Return ξ and η with their directions."""
    return " and ".join(
        write.directed(part, 1, "″", way)
        for part, way in zip(parts, ("north", "east"), strict=True)
    )


def _radii():
    """Return radii of three circles in each ring, of shape (rings, 3)."""
    ratio = (EDGES[1:] / EDGES[:-1])[:, np.newaxis]
    return EDGES[:-1, np.newaxis] * ratio ** ((NODES + 1) / 2)


@lru_cache(maxsize=64)
def found(source, latitude, place):
    """
    Return anomalies and slopes, the true deflection, and what each ring adds to it.

    `place` is the site's longitude for the model, and for a shape how many km to the north of it
    one stands.
    """
    g = gravity.normal(latitude, 0, WGS84_FIELD)
    if source is None:
        anomalies, slopes = of_egm96(latitude, place)
        true = deflection.from_geoid(off_pole(latitude), place, EGM96, WGS84)
        radius = RADIUS
    else:
        north = 1000.0 * place
        anomalies, slopes = of_shape(source, north)
        true = attraction.deflection(*attraction.body(0.0, north, 0.0, *source.body)[:2], g)
        radius = math.inf
    rings = zip(anomalies, itertools.pairwise(EDGES), strict=True)
    added = [attraction.innermost(*slopes, EDGES[0], g)]
    added += [attraction.ring(mean, *edges, g, radius) for mean, edges in rings]
    return anomalies, slopes, true, np.array(added)


@lru_cache(maxsize=8)
def of_egm96(latitude, longitude):
    """Return the anomalies round a site, ring by azimuth, and their slope at it."""
    radii = _radii()[..., np.newaxis]
    lat, lon, _ = lines.direct(latitude, longitude, AZIMUTHS, radii, WGS84)
    anomalies = (EGM96.anomaly(lat, lon) * WEIGHTS[:, np.newaxis] / 2).sum(1)
    lat, lon, _ = lines.direct(latitude, longitude, AZIMUTHS[::18], EDGES[0], WGS84)
    n, e, s, w = EGM96.anomaly(lat, lon)
    return anomalies, ((n - s) / (2 * EDGES[0]), (e - w) / (2 * EDGES[0]))


@lru_cache(maxsize=64)
def of_shape(shape, north):
    """
    Return a shape's own gravity round a point of the profile, and its slope there.

    It is the same to the east and to the west of the profile: half of it is worked out.
    """
    radii, turn = _radii()[..., np.newaxis], np.radians(AZIMUTHS[::2])
    half = turn[: len(turn) // 2 + 1]
    down = _down(shape, radii * np.sin(half), north + radii * np.cos(half))
    anomalies = (down * WEIGHTS[:, np.newaxis] / 2).sum(1)
    anomalies = np.concatenate([anomalies, anomalies[:, -2:0:-1]], axis=1)
    n, s = _down(shape, 0.0, north + np.array([1, -1]) * EDGES[0])
    return anomalies, ((n - s) / (2 * EDGES[0]), 0.0)


def _down(shape, east, north):
    """Return a shape's own gravity, downwards."""
    return -attraction.body(east, north, 0.0, *shape.body, along="up")
