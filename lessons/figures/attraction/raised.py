"""Figure A: a trench, a seamount or a shelf edge of prisms; plumb line and geoid follow."""

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from geokit import WGS84, attraction, deflection, gravity
from geokit.geoid import EGM96
from geokit.gravity import WGS84_FIELD
from lessons.canvas import palette, write
from lessons.canvas.palette import (
    DOTS,
    GEOID,
    HAIR,
    INK,
    LAND,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    QUIET,
    SEA,
    WHITE,
)
from lessons.canvas.pen import RIGHT, Canvas
from lessons.figures.attraction.common import DETAIL, MOUNT, SHAPES, SHELF, TRENCH, Shape
from lessons.figures.deflection.common import line, steepest_azimuth
from lessons.widgets.live import FURTHEST, Choice, LiveFigure, Slider

CHOICES = {f"{name}{on}": (name, bool(on)) for name in SHAPES for on in ("", " on its root")}


def dig_and_raise(site, *, scale=1.0):
    """Figure A: a trench, a seamount or a shelf edge of prisms; plumb line and geoid follow."""
    return LiveFigure(
        lambda scale=scale: DigAndRaise(site, scale),
        [
            Choice("shape", "Shape", "", CHOICES, MOUNT),
            Slider("relief", "Relief", "m", 100, 4900, 4000, step=100),
            Slider("width", "Width", "km", 5, 200, 50, step=1),
            Slider("stand", "Weight", "km to the north", -110, 110, -25, step=1),
        ],
    )


HALF = 120_000  # metres of the profile to either side
NORTH = np.linspace(-HALF, HALF, 161)
SPARSE = NORTH[::4]  # a level surface in the water is drawn with fewer points
COARSE = DETAIL / 20 * np.arange(-44, 45)  # a curve without detail needs no more
LEVELS = (2000.0, 4000.0)  # metres down: level surfaces in the water


@dataclass(frozen=True)
class Over:
    """
    What a shape does along the profile: all of it that stays while the weight is carried along.

    ξ in arcseconds, and as a model sees it without detail; lifts of the geoid and of the level
    surfaces in the water, in metres.
    """

    shape: Shape
    xi: np.ndarray
    smooth: np.ndarray
    lift: np.ndarray
    levels: tuple

    @property
    def middle(self):
        """Return the lift that the picture is centred on."""
        return (self.lift.max() + self.lift.min()) / 2


@lru_cache(maxsize=8)
def _over(shape, g):
    return Over(
        shape,
        shape.deflections(NORTH, g),
        np.interp(NORTH, COARSE, shape.smoothed(COARSE, g)),
        halved(shape.lifts(NORTH[::2], g)),
        tuple(shape.lifts(SPARSE, g, -np.array(LEVELS)[:, np.newaxis])),
    )


def halved(values):
    """
    Return values at even steps with those half way between, by the cubic through the four next.

    Of the geoid's lift that leaves out 6 mm at most.
    """
    (a, b, c), (z, y, x) = values[:3], values[:-4:-1]
    ends = np.concatenate([[3 * (a - b) + c], values, [3 * (z - y) + x]])
    found = np.empty(2 * len(values) - 1)
    found[::2] = values
    found[1::2] = (9 * (ends[1:-2] + ends[2:-1]) - ends[:-3] - ends[3:]) / 16
    return found


class DigAndRaise:
    """The picture of figure A."""

    WEST, EAST = 84, 790  # edges of the profile
    SEA_LEVEL, BOTTOM = 160, 372  # y
    PER_KILOMETRE = 17.0  # points of depth
    TILT = 700  # times too steep
    UP, DOWN = 404, 508  # of the plot of ξ
    MOST = 130.0  # arcseconds at its edge
    NUMBERS = 826  # x of the table

    def __init__(self, site, scale):
        self.site = site
        canvas = self.canvas = Canvas(
            "Dig and raise", "prisms of rock in the place of water, or of water in that of rock",
            scale=scale,
        )  # fmt: skip
        for arcseconds in (-120, -60, 0, 60, 120):
            y = float(self._y_deflection(arcseconds))
            colour = HAIR if arcseconds == 0 else PALE
            canvas.line([self.WEST, self.EAST], [y, y], colour=colour, width=1.2)
            canvas.note(self.WEST - 8, y, write.arcseconds(arcseconds, decimals=0), to="left")
        canvas.box(self.WEST, self.UP, self.EAST, self.DOWN, edge=HAIR, width=1)
        canvas.note(
            self.WEST, self.UP - 13, "deflection, + where the zenith leans north", colour=INK
        )
        for kilometres in (-80, -40, 0, 40, 80):
            words = f"{abs(kilometres)} km {write.way(kilometres, 'north', 0)}".strip()
            words = words if kilometres else "middle"
            canvas.note(float(self._x(1000 * kilometres)), 522, words, to="both")
        for y, dash, colour, words in (
            (458, None, PLUMB, "these prisms"),
            (480, DOTS, PLUMB, "the same, detail under 55 km lost"),
            (502, None, GEOID, "EGM96 through the site"),
        ):
            canvas.line([self.NUMBERS, self.NUMBERS + 22], [y, y], colour=colour,
                        width=2 if colour == GEOID else 2.6, dash=dash)  # fmt: skip
            canvas.note(self.NUMBERS + 30, y, words, colour=INK)
        canvas.note(
            self.WEST, 546, f"tilt and geoid {self.TILT} × too steep, depths 6 ×", bold=True,
            colour=INK,
        )  # fmt: skip
        canvas.keep()

    def _x(self, north):
        return (self.WEST + self.EAST) / 2 + np.asarray(north) / HALF * (self.EAST - self.WEST) / 2

    def _y_depth(self, depth):
        return self.SEA_LEVEL + np.asarray(depth) / 1000 * self.PER_KILOMETRE

    def _y_deflection(self, arcseconds):
        part = np.clip(np.asarray(arcseconds) / self.MOST, -1, 1)
        return (self.UP + self.DOWN) / 2 - part * (self.DOWN - self.UP) / 2

    @property
    def _per_metre(self):
        """Points of height for a metre of the geoid, so steep that lines stay perpendicular."""
        return self.TILT * (self.EAST - self.WEST) / (2 * HALF)

    def update(self, shape, relief, width, stand):
        """Draw the shape, what hangs and lies level over it, and ξ along the profile."""
        name, root = shape
        shape = Shape(name, relief, 1000 * width, root)
        g = gravity.normal(self.site.latitude, 0, WGS84_FIELD)
        over = _over(shape, g)
        here = 1000 * stand
        depth = float(over.shape.seabed(here))
        pull = attraction.body(0.0, here, 0.0, *over.shape.body)
        lean = float(attraction.deflection(*pull[:2], g)[0])
        lift = float(np.interp(here, NORTH, over.lift))
        self.canvas.layer((shape, g), lambda: self._still(over))
        self._hanging(here, lift - over.middle, depth, lean)
        self._numbers(lean, depth, pull, lift, over.smooth)
        return self._readout(over, stand, lean, depth)

    @cached_property
    def _model(self):
        """Return EGM96's deflection along its steepest line through the site; none near a pole."""
        if abs(self.site.latitude) > FURTHEST:
            return np.full(NORTH.size, np.nan)
        latitude, longitude, azimuths = line(self.site, steepest_azimuth(self.site), NORTH)
        xi, eta = deflection.from_geoid(latitude, longitude, EGM96, WGS84)
        return deflection.along(xi, eta, azimuths)

    def _still(self, over):
        """Draw what stays while the weight is carried along."""
        self._scene(over)
        self._plot(over)

    def _scene(self, over):
        canvas, shape, x = self.canvas, over.shape, self._x(NORTH)
        surface = self.SEA_LEVEL - (over.lift - over.middle) * self._per_metre
        canvas.clip(self.WEST, 76, self.EAST, self.BOTTOM)
        canvas.area([*x, x[-1], x[0]], [*surface, self.BOTTOM, self.BOTTOM], SEA)
        bed = np.union1d(NORTH, self._corners(shape))
        y = self._y_depth(shape.seabed(bed))
        across = self._x(bed)
        canvas.area([*across, across[-1], across[0]], [*y, self.BOTTOM, self.BOTTOM], LAND)
        canvas.line(across, y, colour=palette.COAST, width=1.4)
        if shape.root:
            self._root(shape)
        canvas.line(x, surface, colour=GEOID, width=3)
        canvas.clip()
        canvas.note(self.WEST + 6, self.BOTTOM - 12, "seabed", colour=palette.LAND_WORDS)
        words = float(np.clip(surface[0], 90, 240)) - 14
        canvas.words(self.WEST + 4, words, "geoid", colour=GEOID, bold=True, halo=True)
        self._levels(over)

    @staticmethod
    def _corners(shape):
        half = shape.width / 2
        return [-half, 0.0, half]

    def _root(self, shape):
        """Draw below the break what hangs there, 32 km down: as wide as the shape."""
        canvas = self.canvas
        bounds = shape.body.bounds[len(shape.bare.bounds) :]
        thick = bounds[:, 5].max() - bounds[:, 4].min()
        top, high = self.BOTTOM - 34, 30
        per_metre = high / thick
        for each in bounds:
            y1 = top + (bounds[:, 5].max() - each[5]) * per_metre
            y2 = top + (bounds[:, 5].max() - each[4]) * per_metre
            west, east = np.clip(self._x(each[2:4]), self.WEST, self.EAST)
            canvas.box(west, y1, east, y2 + 0.4, palette.DEEP)
        canvas.line([self.WEST, self.EAST], [top - 6] * 2, colour=WHITE, width=4)
        light = "light root" if shape.name != TRENCH else "dense rock, risen"
        x = float(np.clip(self._x(bounds[:, 3].max()), self.WEST, self.EAST - 190)) + 8
        canvas.note(x, self.BOTTOM - 18, f"{light}, 32 km down", colour=INK, halo=True)

    def _levels(self, over):
        """Draw level surfaces within the water, as far as it reaches."""
        seabed = self._y_depth(over.shape.seabed(SPARSE))
        y = np.array(
            [
                self._y_depth(depth) - (lift - (lift.max() + lift.min()) / 2) * self._per_metre
                for depth, lift in zip(LEVELS, over.levels, strict=True)
            ]
        )
        x = np.broadcast_to(self._x(SPARSE), y.shape)
        self.canvas.lines(x, y, y < seabed, colour=GEOID, width=1.2)

    def _hanging(self, here, raised, depth, lean):
        canvas = self.canvas
        x0 = float(self._x(here))
        y0 = self.SEA_LEVEL - raised * self._per_metre
        foot = float(self._y_depth(depth))
        angle = math.atan(self.TILT * math.radians(lean / 3600))
        canvas.line([x0, x0], [foot, 62], colour=NORMAL, width=2, dash=ORANGE_DASH)
        reach = max(foot - y0 - 4, 12.0)
        weight = (x0 - reach * math.tan(angle), y0 + reach)
        tip = (x0 + (y0 - 62) * math.tan(angle), 62)
        canvas.arrow(weight, tip, colour=PLUMB, width=2.8)
        canvas.disc(*weight, 12, PLUMB, edge=WHITE, rim=1.2)
        canvas.site(x0, y0)
        canvas.line([x0, x0], [self.UP, self.DOWN], colour=QUIET, width=1)
        canvas.grip("weight", *weight)
        canvas.grip("place", x0, y0)

    def drag(self, name, x, y, begins):
        """Carry the weight along the profile."""
        middle = (self.WEST + self.EAST) / 2
        return {"stand": (x - middle) / (self.EAST - middle) * HALF / 1000}

    def _plot(self, over):
        canvas, x, model = self.canvas, self._x(NORTH), self._model
        canvas.clip(self.WEST, self.UP, self.EAST, self.DOWN)
        if not np.isnan(model).any():
            canvas.line(x, self._y_deflection(model), colour=GEOID, width=2)
        canvas.line(x, self._y_deflection(over.smooth), colour=PLUMB, width=2.6, dash=DOTS)
        canvas.line(x, self._y_deflection(over.xi), colour=PLUMB, width=2.6)
        canvas.clip()

    def _numbers(self, lean, depth, pull, lift, smooth):
        canvas = self.canvas
        offset = -math.radians(lean / 3600) * depth
        canvas.note(self.NUMBERS, 74, "the weight goes")
        canvas.words(
            self.NUMBERS, 104, f"{write.size(abs(offset))} {write.way(offset, 'north', 4)}",
            size=22, bold=True, colour=PLUMB,
        )  # fmt: skip
        canvas.note(self.NUMBERS, 130, f"on {write.number(depth, 0)} m of wire, to the seabed")
        canvas.rule(152, self.NUMBERS, RIGHT)
        canvas.rows(
            self.NUMBERS,
            RIGHT,
            178,
            [
                ("zenith leans, ξ", write.directed(lean, 1, "″", "north"), PLUMB),
                ("gravity changes by", self._milligals(-pull[2]), INK),
                ("geoid lifted by", write.metres(lift, 1), GEOID),
                ("steepest, detail lost", write.arcseconds(smooth[np.abs(smooth).argmax()]), PLUMB),
                ("steepest, EGM96", self._steepest(self._model), GEOID),
            ],
        )
        canvas.rule(328, self.NUMBERS, RIGHT)
        canvas.note(self.NUMBERS, 352, "these numbers are of the shape alone;", colour=INK)
        canvas.note(self.NUMBERS, 372, "EGM96 has all that is over 55 km wide", colour=INK)

    @staticmethod
    def _steepest(model):
        return "–" if np.isnan(model).any() else write.arcseconds(model[np.abs(model).argmax()])

    @staticmethod
    def _milligals(metres_per_second2):
        return write.number(1e5 * metres_per_second2, 1, signed=True) + " mGal"

    def _readout(self, over, stand, lean, depth):
        shape, model = over.shape, self._model
        offset = -math.radians(lean / 3600) * depth
        where = "over the middle"
        if stand:
            where = f"{write.kilometres(abs(stand))} {write.way(stand, 'north', 0)} of the middle"
        goes = f"{write.size(abs(offset))} {write.way(offset, 'north', 4)}"
        hangs = f"a weight goes {write.bold(goes)}, {self._whither(shape, stand, offset)}; the "
        hangs += f"zenith leans {write.directed(lean, 1, '″', 'north')}"
        if abs(lean) < 0.05:
            hangs = f"{write.bold('a weight hangs along the normal')}: both sides pull alike"
        steepest = write.arcseconds(np.abs(over.xi).max(), signed=False)
        return (
            f"{shape.name.capitalize()}{' on its root' if shape.root else ''}: {where} {hangs}. "
            f"Steepest {write.bold(steepest)}; "
            f"{self._of_model(model)}"
        )

    def _of_model(self, model):
        if np.isnan(model).any():
            return f"EGM96 is left out beyond {FURTHEST}° of latitude."
        most = write.arcseconds(np.abs(model).max(), signed=False)
        return f"EGM96 at {write.place(self.site)}, without detail under 55 km, {most}."

    @staticmethod
    def _whither(shape, stand, offset):
        """Return where the weight goes in words of the shape."""
        if shape.name == SHELF:
            return "towards the shelf" if offset < 0 else "towards the deep sea"
        towards = (offset > 0) == (stand < 0)
        return f"{'towards' if towards else 'away from'} the {shape.name}"
