"""Figure B: normal gravity by latitude and height, in the water, and the line to the centre."""

import math
from dataclasses import dataclass

import numpy as np

from exercises.sheets.scenario import Site
from geokit import GRS80, WGS84, deflection, geoid, gravity
from geokit.gravity import GRS80_FIELD
from lessons.canvas import write
from lessons.canvas.palette import (
    COAST,
    DOTS,
    ELLIPSOID,
    HAIR,
    INK,
    LAND,
    LAND_WORDS,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    SEA,
    TINT,
)
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.widgets.live import OWN, LiveFigure, SitePicker, Slider

MGAL = 1e5  # in one m/s²
WATER = 1030.0  # kg/m³
DEEPEST, HIGHEST = -6000, 6000  # metres of the figure's height


def normal_gravity(site, *, scale=1.0):
    """Figure B: normal gravity by latitude and height, in the water, and the line to the centre."""
    return LiveFigure(
        lambda scale=scale: NormalGravity(scale),
        [
            SitePicker(site, dragged=True, furthest=90),
            Slider("height", "Height H", "m above the geoid +", DEEPEST, HIGHEST, 0, step=50),
        ],
    )


def expected(latitude, geoid_height, height):
    """
    Return gravity in m/s² without any anomaly, at heights above the geoid, in air and in water.

    In the water, what lies above no longer pulls down but up: twice the plate of water is
    missing. The sea's surface is taken to be the geoid.
    """
    depth = np.maximum(-np.asarray(height), 0.0)
    free_air = gravity.normal(latitude, geoid_height + height, GRS80_FIELD)
    return free_air - 2 * gravity.plate(depth, WATER)


def gradient(latitude, geoid_height, height):
    """Return by how much gravity changes for a metre upwards, in m/s²."""
    step = 10.0 if height >= 0 else min(10.0, -height)
    below, above = expected(latitude, geoid_height, height + np.array([0.0, step]))
    return float(above - below) / step


def xi_at(site):
    """Return ξ in arcseconds; at a pole, where EGM96 has no slope to the north, none."""
    if abs(site.latitude) == 90:
        return None
    return deflection.from_geoid(site.latitude, site.longitude, geoid.EGM96, WGS84)[0]


def mgal(value, decimals=1, *, signed=False):
    """Return gravity given in m/s² as milligals."""
    return write.number(value * MGAL, decimals, signed=signed) + "\xa0mGal"


@dataclass(frozen=True)
class Here:
    """Gravity at a place, in m/s², and what leans there; heights in metres above the geoid."""

    site: Site
    height: float
    separation: float  # N
    on_ellipsoid: float
    value: float
    rate: float  # for a metre upwards
    apart: float  # φ − ψ in arcminutes
    xi: float | None  # arcseconds


class NormalGravity:
    """The picture of figure B."""

    PLOT = (84, 84, 486, 330)  # of γ by latitude: left, top, right, bottom
    LOWEST, TOP = 9.758, 9.848  # m/s² there
    CURVES = (0, 2000, 4000, 6000)  # metres
    COLUMN = (640, 84, 1090, 330)  # of gravity by height
    SPAN = 2200.0  # mGal to either side of the sea's surface there
    CENTRE = (84, 516)  # of the sketch of a meridian
    AXES = (186, 112)  # of its ellipse
    TABLE, NUMBER, FIRST, STEP = 400, 790, 388, 34

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "Normal gravity", "what an Earth without lumps would pull: GRS 80", scale=scale
        )
        self._still_plot()
        self._still_column()
        self._still_sketch()
        for row, name in (
            (0, "γ on the ellipsoid, h = 0"),
            (2, "change for a metre up"),
            (3, "φ − ψ, the normal against the line to the centre"),
            (4, "ξ, the plumb line against the normal"),
        ):
            canvas.note(self.TABLE, self.FIRST + self.STEP * row, name, colour=INK)
            if row:
                canvas.rule(self.FIRST + self.STEP * (row - 0.5), self.TABLE, RIGHT)
        canvas.rule(self.FIRST + self.STEP / 2, self.TABLE, RIGHT)
        canvas.keep()

    # what stays ----------------------------------------------------------------------------

    def _x(self, latitude):
        left, _, right, _ = self.PLOT
        return left + (np.asarray(latitude) + 90) / 180 * (right - left)

    def _y(self, value):
        _, top, _, bottom = self.PLOT
        part = (np.asarray(value) - self.LOWEST) / (self.TOP - self.LOWEST)
        return bottom - part * (bottom - top)

    def _still_plot(self):
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT
        canvas.note(left, top - 18, "γ in m/s² by latitude, at four heights h", colour=INK)
        for latitude in range(-90, 91, 30):
            x = float(self._x(latitude))
            canvas.line([x, x], [top, bottom], colour=PALE, width=1.2)
            side = "" if latitude == 0 else " N" if latitude > 0 else " S"
            canvas.note(x, bottom + 14, f"{abs(latitude)}°{side}", to="both")
        for value in (9.76, 9.78, 9.80, 9.82, 9.84):
            y = float(self._y(value))
            canvas.line([left, right], [y, y], colour=PALE, width=1.2)
            canvas.note(left - 8, y, write.number(value, 2), to="left")
        latitude = np.arange(-90, 91, 2)
        for height in self.CURVES:
            curve = self._y(gravity.normal(latitude, height, GRS80_FIELD))
            canvas.line(self._x(latitude), curve, colour=NORMAL, width=1.4 if height else 2.8)
            words = "h 0 km" if height == 0 else f"{height // 1000} km"
            canvas.note(right + 6, float(curve[-1]), words, colour=NORMAL, bold=not height)
        canvas.box(left, top, right, bottom, edge=HAIR, width=1)

    def _across(self, change):
        """Return x of a change of gravity, in m/s², against the sea's surface."""
        left, _, right, _ = self.COLUMN
        return (left + right) / 2 + np.asarray(change) * MGAL / self.SPAN * (right - left) / 2

    def _down(self, height):
        _, top, _, bottom = self.COLUMN
        return top + (HIGHEST - np.asarray(height)) / (HIGHEST - DEEPEST) * (bottom - top)

    def _still_column(self):
        canvas, (left, top, right, bottom) = self.canvas, self.COLUMN
        words = "up and down here: gravity less that at the sea’s surface, mGal"
        canvas.note(right, top - 18, words, to="left", colour=INK)
        for change in range(-2000, 2001, 1000):
            x = float(self._across(change / MGAL))
            canvas.note(x, bottom + 14, write.number(change, 0, signed=True), to="both")
        for height in range(-6000, 6001, 2000):
            y = float(self._down(height))
            words = f"{write.number(height // 1000, 0, signed=True)} km"
            canvas.note(left - 8, y, words, to="left")

    def _still_sketch(self):
        canvas, (x0, y0), (a, b) = self.canvas, self.CENTRE, self.AXES
        turn = np.linspace(0, math.pi / 2, 40)
        x, y = x0 + a * np.cos(turn), y0 - b * np.sin(turn)
        canvas.area([x0, *x, x0], [y0, *y, y0], TINT)
        canvas.line([x0, x0 + a + 12], [y0, y0], colour=HAIR, width=1.4)
        canvas.line([x0, x0], [y0, y0 - b - 12], colour=HAIR, width=1.4)
        canvas.line(x, y, colour=ELLIPSOID, width=2.6, dash=ORANGE_DASH)
        canvas.note(x0 - 10, y0 - b, "pole", to="left")
        canvas.note(x0 - 10, y0, "centre", to="left")
        times = (1 - b / a) / GRS80.flattening
        words = f"flattening exaggerated {write.number(write.two_figures(times), 0)} ×"
        canvas.note(LEFT, 545, words, bold=True, colour=INK)

    # each picture --------------------------------------------------------------------------

    def update(self, site, height):
        """Draw the site on the curves, the way up and down there, the sketch; the readout."""
        separation = geoid.EGM96.height(site.latitude, site.longitude)
        reached = max(height, -site.water_depth)
        here = Here(
            site,
            reached,
            separation,
            gravity.normal(site.latitude, 0.0, GRS80_FIELD),
            float(expected(site.latitude, separation, reached)),
            gradient(site.latitude, separation, reached),
            60 * abs(site.latitude - GRS80.geocentric_latitude(site.latitude)),
            xi_at(site),
        )
        self.canvas.renew()
        self._plot(here)
        self._column(here)
        self._sketch(site.latitude)
        self._table(here)
        return self._readout(here, stopped=reached > height)

    def _plot(self, here):
        x, y = float(self._x(here.site.latitude)), float(self._y(here.value))
        _, top, _, bottom = self.PLOT
        self.canvas.line([x, x], [top, bottom], width=1.2, dash=DOTS)
        self.canvas.site(x, y)

    def _column(self, here):
        canvas, (left, top, right, bottom) = self.canvas, self.COLUMN
        depth, latitude = here.site.water_depth, here.site.latitude
        surface, seabed = float(self._down(0)), min(float(self._down(-depth)), bottom)
        canvas.clip(left, top, right, bottom)
        canvas.box(left, surface, right, seabed, SEA)
        canvas.box(left, seabed, right, bottom, LAND)
        canvas.line([left, right], [seabed, seabed], colour=COAST, width=1.4)
        for change in range(-2000, 2001, 1000):
            x = float(self._across(change / MGAL))
            canvas.line([x, x], [top, bottom], colour=HAIR, width=1)
        at_sea = float(expected(latitude, here.separation, 0.0))
        down = np.array([0.0, DEEPEST])
        free_air = gravity.normal(latitude, here.separation + down, GRS80_FIELD) - at_sea
        canvas.line(
            self._across(free_air), self._down(down), colour=NORMAL, width=1.8, dash=ORANGE_DASH
        )
        way = np.array([-depth, 0.0, HIGHEST / 2, HIGHEST])
        change = expected(latitude, here.separation, way) - at_sea
        canvas.line(self._across(change), self._down(way), colour=PLUMB, width=3)
        canvas.clip()
        canvas.box(left, top, right, bottom, edge=HAIR, width=1)
        self._column_words(here, surface, seabed)
        canvas.site(float(self._across(here.value - at_sea)), float(self._down(here.height)))

    def _column_words(self, here, surface, seabed):
        canvas, (left, top, _, bottom) = self.canvas, self.COLUMN
        place = here.site.latitude, here.separation
        free_air = gradient(*place, max(here.height, 0.0))
        x = float(self._across(-700 / MGAL))
        canvas.words(x, top + 46, f"in air {mgal(free_air, 4)} a metre up", colour=PLUMB, halo=True)
        canvas.note(left + 8, surface - 10, "air")
        if seabed - surface >= 18:
            canvas.note(left + 8, surface + 10, "water")
        if bottom - seabed >= 18:
            canvas.note(left + 8, bottom - 10, "rock", colour=LAND_WORDS)
        if seabed - surface >= 38:
            in_water = mgal(-gradient(*place, min(here.height, -10.0)), 3, signed=True)
            words = f"{in_water} a metre down"
            x = float(self._across(120 / MGAL))
            canvas.words(x, surface + 28, words, colour=PLUMB, to="left", halo=True)
            x = float(self._across(640 / MGAL))
            words = f"and not {mgal(-free_air, 4)}"
            canvas.note(x, surface + 24, words, colour=NORMAL, halo=True)

    def _sketch(self, latitude):
        """Draw plumb line and line to the centre of a place, on the northern quarter always."""
        canvas, (x0, y0), (a, b) = self.canvas, self.CENTRE, self.AXES
        phi = math.radians(abs(latitude))
        beta = math.atan2(b * math.sin(phi), a * math.cos(phi))
        x, y = x0 + a * math.cos(beta), y0 - b * math.sin(beta)
        sine, cosine = math.sin(phi), math.cos(phi)
        canvas.line([x0, x], [y0, y], width=2)
        # The plumb line ends where it meets the axis or the equator, or a little beyond.
        to_axis = (x - x0) / cosine if cosine > 1e-6 else math.inf
        to_equator = (y0 - y) / sine if sine > 1e-6 else math.inf
        length = min(to_axis, to_equator) + 8
        foot = (x - length * cosine, y + length * sine)
        canvas.arrow(foot, (x + 34 * cosine, y - 34 * sine), colour=PLUMB, width=2.6)
        if 5 < abs(latitude) < 85:
            x_middle, y_middle = (0.5 * x + 0.5 * x0, 0.5 * y + 0.5 * y0)
            canvas.note(
                x_middle - 4, y_middle - 12, "to the centre", to="both", halo=True, colour=INK
            )
        canvas.site(x, y)
        canvas.note(x + 40 * cosine + 6, y - 40 * sine, "plumb line", colour=PLUMB)

    def _table(self, here):
        canvas = self.canvas
        in_water = here.height < 0
        where = "in the water" if in_water else "in air"
        name = f"gravity expected at H {write.metres(here.height, 0)}"
        canvas.note(self.TABLE, self.FIRST + self.STEP, name, colour=INK)
        xi = "–" if here.xi is None else write.arcseconds(abs(here.xi), signed=False)
        way = (
            "no north at a pole" if here.xi is None else f"{write.way(here.xi, 'north', 1)}, EGM96"
        )
        for row, (number, colour, words) in enumerate(
            [
                (mgal(here.on_ellipsoid), NORMAL, f"{write.number(here.on_ellipsoid, 6)} m/s²"),
                (
                    mgal(here.value),
                    PLUMB,
                    f"h {write.metres(here.height + here.separation, 1)}, {where}",
                ),
                (
                    mgal(here.rate, 4, signed=True),
                    PLUMB,
                    "free air less twice the water’s plate" if in_water else "free air",
                ),
                (f"{write.number(here.apart, 2)}′", NORMAL, "shape and spin"),
                (xi, PLUMB, way),
            ]
        ):
            y = self.FIRST + self.STEP * row
            canvas.words(self.NUMBER, y, number, bold=True, colour=colour, to="left")
            canvas.note(self.NUMBER + 14, y, words, colour=INK)

    @staticmethod
    def _readout(here, stopped):
        site = here.site
        where = f"At {write.place(site)}"
        if site.name == OWN:
            where += f" ({write.position(site.latitude, site.longitude)})"
        level = f"H {write.metres(here.height, 0)}"
        if stopped:
            level += ", the seabed," if site.water_depth else ", the ground,"
        if here.height >= 0:
            step = (
                f"{mgal(-here.rate, 4)} less for each metre up, 0.222 more for each down in the sea"
            )
        else:
            in_air = gradient(site.latitude, here.separation, 0.0)
            step = f"{mgal(-here.rate, 3)} more for each metre down in the water, not "
            step += write.number(-in_air * MGAL, 4)
        apart = write.bold(f"{write.number(here.apart, 2)}′")
        return (
            f"{where} normal gravity is {write.bold(mgal(here.on_ellipsoid))} on the ellipsoid; at "
            f"{level} expect {write.bold(mgal(here.value))}, and {step}. Normal and "
            f"line to the Earth’s centre are {apart} apart."
        )
