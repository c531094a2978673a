"""Figure B: what a geodesic keeps as it runs round the Earth, cos β sin α."""

import math
from functools import lru_cache

import numpy as np

from geokit import WGS84, Ellipsoid, lines
from lessons.canvas import write
from lessons.canvas.globe import Globe
from lessons.canvas.palette import (
    CHOSEN_DASH,
    DEEP,
    ELLIPSOID,
    HAIR,
    INK,
    NORMAL,
    ORANGE_DASH,
    PLUMB,
    QUIET,
    SEA,
    WHITE,
)
from lessons.canvas.pen import HEADLINE, LEFT, RIGHT, Canvas
from lessons.widgets.live import Choice, LiveFigure, Slider

STRONG = 1 / 10  # a flattening that the eye sees, thirty times the Earth's
FOLLOW, OPPOSITE = "follow", "opposite"
LOOKS = {
    "a line on WGS 84": (FOLLOW, WGS84.flattening),
    "a line, flattened 1/10": (FOLLOW, STRONG),
    "opposite points, WGS 84": (OPPOSITE, WGS84.flattening),
    "opposite points, 1/10": (OPPOSITE, STRONG),
}
STEPS = 361
OTHER = {"colour": PLUMB, "width": 2.6, "dash": ORANGE_DASH}


def geodesic_law(site, *, scale=1.0):
    """Figure B: a geodesic followed twice round the Earth; points nearly opposite each other."""
    return LiveFigure(
        lambda scale=scale: GeodesicLaw(scale),
        [
            Choice("look", "Look at", "", LOOKS, chosen="a line, flattened 1/10"),
            Slider("latitude", "Latitude", "° of the start", -80, 80, 30, step=1),
            Slider("azimuth", "Azimuth", "° at the start", 0, 359, 40, step=1),
            Slider("done", "Followed", "% of two rounds", 0, 100, 30, step=1),
        ],
    )


@lru_cache(maxsize=4)
def _shape(flattening):
    return Ellipsoid("of the figure", WGS84.semi_major, 1 / flattening, "WGS 84, flattened")


class Path:
    """A geodesic followed twice round from longitude 0; angles in degrees."""

    def __init__(self, latitude, azimuth, shape):
        self.shape = shape
        self.highest = lines.highest_latitude(latitude, azimuth, shape)
        self.length = 2 * 4 * shape.meridian_distance(90)
        share = np.linspace(0, 1, STEPS)
        self.latitude, self.longitude, self.azimuth = self.at(latitude, azimuth, share)

    def at(self, latitude, azimuth, share):
        """Return latitude, longitude and onward azimuth after shares of two rounds."""
        along = np.asarray(share, float) * self.length
        lat, lon, back = lines.direct(latitude, 0.0, azimuth, along, self.shape)
        return lat, lon, (back + 180) % 360


@lru_cache(maxsize=64)
def crossings(latitude, azimuth, shape):
    """
    Return how far apart in longitude a geodesic crosses the equator, in degrees without sign.

    On a sphere 180; None along the equator. The line is followed from the equator, at the azimuth
    it has there, and the place where it comes back is found step by finer step.
    """
    sine = _cos(shape.parametric_latitude(latitude)) * _sin(azimuth)
    at_equator = math.degrees(math.asin(max(-1.0, min(1.0, sine))))
    if abs(sine) > 1 - 1e-12:
        return None
    quarter = shape.meridian_distance(90)
    low, high = quarter, 3 * quarter
    for _ in range(6):  # down to a micrometre
        along = np.linspace(low, high, 257)
        heights, longitudes, _ = lines.direct(0.0, 0.0, at_equator, along, shape)
        after = int(np.argmax(heights[1:] <= 0)) + 1
        low, high = along[after - 1], along[after]
    return abs(float(longitudes[after]))


class GeodesicLaw:
    """The picture of figure B."""

    GLOBE = Globe(212, 290, 190)
    CHART = (448, 70, RIGHT, 290)  # 360° by 180° of longitude and latitude
    TABLE = 448
    FIRST, STEP = 336, 30

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "The law that a geodesic keeps", "cos β sin α stays", scale=scale
        )
        left, top, right, bottom = self.CHART
        canvas.box(left, top, right, bottom, SEA)
        for latitude in (-60, -30, 0, 30, 60):
            y = self._y(latitude)
            canvas.line([left, right], [y, y], colour=WHITE, width=1.4 if latitude else 2)
        for longitude in range(-150, 180, 30):
            x = self._x(longitude)
            canvas.line([x, x], [top, bottom], colour=WHITE, width=1.4)
        for longitude, words in ((-180, "180°"), (-90, "90° W"), (0, "0°"), (90, "90° E")):
            canvas.note(
                self._x(longitude), bottom + 13, words, to="both" if longitude > -180 else "right"
            )
        canvas.box(left, top, right, bottom, edge=HAIR)
        canvas.keep()

    def _x(self, longitude):
        left, _, right, _ = self.CHART
        return left + (np.asarray(longitude) + 180) / 360 * (right - left)

    def _y(self, latitude):
        _, top, _, bottom = self.CHART
        return bottom - (np.asarray(latitude) + 90) / 180 * (bottom - top)

    def update(self, look, latitude, azimuth, done):
        """Draw the line and what it keeps; return the readout."""
        what, flattening = look
        shape = _shape(flattening)
        self.canvas.renew()
        self.canvas.note(LEFT, 542, _drawn(flattening), bold=True, colour=INK)
        if what == OPPOSITE:
            return self._opposite(shape, latitude)
        return self._follow(shape, latitude, azimuth, done / 100)

    # one line ------------------------------------------------------------------------------

    def _follow(self, shape, latitude, azimuth, share):
        path = Path(latitude, azimuth, shape)
        here = tuple(float(part) for part in path.at(latitude, azimuth, share))
        gone = slice(0, max(2, math.ceil(share * (STEPS - 1)) + 1))
        view = self._globe(here)
        for part, look in ((slice(None), {"colour": DEEP, "width": 2}),
                           (gone, {"colour": ELLIPSOID, "width": 2.6})):  # fmt: skip
            view.line(self.canvas, path.latitude[part], path.longitude[part], **look)
            self._on_chart(path.latitude[part], path.longitude[part], **look)
        for latitude_limit in (path.highest, -path.highest):
            y = float(self._y(latitude_limit))
            self.canvas.line(
                [self.CHART[0], self.CHART[2]], [y, y], colour=NORMAL, width=1.6, dash=CHOSEN_DASH
            )
        view.here(self.canvas, here[0], here[1])
        x, y = float(self._x(here[1])), float(self._y(here[0]))
        self.canvas.site(x, y)
        self.canvas.grip("place", x, y)
        self._share, self._way = share, (self._x(path.longitude), self._y(path.latitude))
        apart = crossings(latitude, azimuth, shape)
        self._table(shape, path, here, apart)
        return self._said(shape, path, here, apart)

    def drag(self, name, x, y, begins):
        """Follow the line to the place nearest to a hand, on the round that it is on."""
        shares = np.linspace(0, 1, STEPS)
        away = np.hypot(self._way[0] - x, self._way[1] - y) + 400 * np.abs(shares - self._share)
        return {"done": 100 * shares[np.argmin(away)]}

    def _globe(self, here):
        """Draw a globe seen from above the place; its land would be the same on every Earth."""
        globe = self.GLOBE
        globe.sea(self.canvas)
        view = globe.above(0.6 * here[0], here[1])
        view.graticule(self.canvas, 1)
        view.line(self.canvas, np.zeros(121), np.linspace(-180, 180, 121), colour=WHITE, width=2)
        return view

    def _on_chart(self, latitude, longitude, **look):
        """Draw a line on the chart, cut where it leaves at one side and comes in at the other."""
        cuts = np.flatnonzero(np.abs(np.diff(longitude)) > 180) + 1
        x, y = self._x(longitude), self._y(latitude)
        for part in np.split(np.arange(len(x)), cuts):
            if len(part) > 1:
                self.canvas.line(x[part], y[part], **look)

    def _table(self, shape, path, here, apart):
        canvas = self.canvas
        beta = shape.parametric_latitude(here[0])
        rows = (
            ("φ here, geodetic", write.number(here[0], 2) + "°"),
            ("β here, reduced", write.number(beta, 2) + "°"),
            ("α here, onwards", write.number(here[2], 2) + "°"),
        )
        for row, (name, value) in enumerate(rows):
            canvas.words(self.TABLE, self.FIRST + self.STEP * row, name)
            canvas.words(self.TABLE + 296, self.FIRST + self.STEP * row, value, to="left")
        canvas.words(self.TABLE, 446, "cos β sin α", bold=True, colour=NORMAL)
        product = _cos(beta) * _sin(here[2])
        canvas.words(self.TABLE + 296, 446, write.number(product, 5), size=HEADLINE, bold=True,
                     colour=NORMAL, to="left")  # fmt: skip
        other = write.number(_cos(here[0]) * _sin(here[2]), 5)
        canvas.note(self.TABLE, 474, f"cos φ sin α: {other}, which does not stay", colour=QUIET)
        right = self.TABLE + 336
        canvas.words(right, self.FIRST, "highest latitude")
        canvas.words(RIGHT, self.FIRST, write.number(path.highest, 2) + "°", bold=True, to="left")
        canvas.note(right, self.FIRST + 22, "where the line runs due east or west")
        canvas.words(right, self.FIRST + 60, "crosses the equator after")
        again = "never" if apart is None else _longitude(apart)
        canvas.words(RIGHT, self.FIRST + 60, again, bold=True, to="left")
        canvas.note(right, self.FIRST + 82, "on a sphere after 180°: the line would close")

    @staticmethod
    def _said(shape, path, here, apart):
        beta = shape.parametric_latitude(here[0])
        product = write.number(_cos(beta) * _sin(here[2]), 5)
        return (
            f"{_earth(shape)} the line is at {write.number(here[0], 2)}° of latitude, azimuth "
            f"{write.number(here[2], 2)}°: {write.bold('cos β sin α = ' + product)}, as at the "
            f"start. It reaches {write.bold(write.number(path.highest, 2) + '°')} north and "
            f"south. {_again(apart)}"
        )

    # nearly opposite points ----------------------------------------------------------------

    def _opposite(self, shape, latitude):
        """Draw the two shortest lines to a point nearly opposite, on the same far latitude."""
        canvas = self.canvas
        beta = shape.parametric_latitude(latitude)
        reach = 180 * shape.flattening * _cos(beta)  # Karney 2013, section 4: about
        longitude = 180 - reach / 2
        length, out, _ = lines.inverse(latitude, 0.0, -latitude, longitude, shape)
        view = self._globe((latitude, longitude / 2))
        share = np.linspace(0, 1, 181)
        for azimuth, look in ((out, {"colour": ELLIPSOID, "width": 2.6}),
                              ((180 - out) % 360, OTHER)):  # fmt: skip
            lat, lon, _ = lines.direct(latitude, 0.0, azimuth, share * length, shape)
            view.line(canvas, lat, lon, **look)
            self._on_chart(lat, lon, **look)
        for at in ((latitude, 0.0), (-latitude, longitude)):
            x, y = float(self._x(at[1])), float(self._y(at[0]))
            canvas.disc(x, y, 9, WHITE, edge=INK, rim=2)
        second = (180 - out) % 360
        rows = (
            ("the one line sets out at", write.number(out, 1) + "°"),
            ("the other at", write.number(second, 1) + "°"),
            ("both are as long", write.number(length / 1000, 0) + " km"),
            ("points are so near opposite from", _longitude(180 - reach)),
        )
        for row, (name, value) in enumerate(rows):
            y = self.FIRST + self.STEP * row
            canvas.words(self.TABLE, y, name)
            canvas.words(self.TABLE + 420, y, value, bold=True, to="left")
        return (
            f"From latitude {write.number(latitude, 0)}° to {write.number(-latitude, 0)}°, "
            f"{_longitude(longitude)} of longitude away. {_earth(shape)} there are "
            f"{write.bold('two shortest lines')}, setting out at {write.number(out, 1)}° and "
            f"{write.number(second, 1)}°, both {write.number(length / 1000, 0)} km. That is so "
            f"from about {_longitude(180 - reach)} of longitude to 180°; a program gives one of "
            "them."
        )


def _cos(degrees):
    return math.cos(math.radians(degrees))


def _sin(degrees):
    return math.sin(math.radians(degrees))


def _longitude(degrees):
    return write.number(degrees, 2) + "°"


def _earth(shape):
    if shape.flattening == WGS84.flattening:
        return "On WGS 84"
    return f"On an Earth flattened by 1/{write.number(shape.inverse_flattening, 0)}"


def _again(apart):
    if apart is None:
        return "It runs along the equator."
    if apart > 179.999:
        return "It is a meridian, and closes."
    each = write.bold(_longitude(apart))
    return f"It crosses the equator each {each} of longitude, not each 180°: it does not close."


def _drawn(flattening):
    """Return what the picture exaggerates: the flattening, never the shape of the globe."""
    times = flattening / WGS84.flattening
    if times < 1.5:
        return "computed on WGS 84; the globe is drawn round"
    return f"computed on an Earth flattened {write.number(times, 0)} × too much; drawn round"
