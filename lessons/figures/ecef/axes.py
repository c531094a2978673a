"""Figure A: a point by X, Y, Z and by east, north, up; the same X, Y, Z on another ellipsoid."""

import math

import numpy as np

from geokit import (
    AIRY1830,
    BESSEL1841,
    CLARKE1866,
    CLARKE1880RGS,
    GRS80,
    INTERNATIONAL1924,
    KRASSOWSKY1940,
    WGS84,
    ecef,
)
from lessons.canvas import write
from lessons.canvas.globe import Globe, directions
from lessons.canvas.palette import DOTS, HAIR, INK, NORMAL, ORANGE_DASH, PALE, QUIET
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

OTHERS = {
    other.name: other
    for other in (
        CLARKE1866, CLARKE1880RGS, INTERNATIONAL1924, BESSEL1841, AIRY1830, KRASSOWSKY1940, GRS80,
    )
}  # fmt: skip

LEAST = 0.00005  # metres: nothing less is written
SHIFT_OF_PHI = {"colour": NORMAL, "width": 2.4, "dash": ORANGE_DASH}
SHIFT_OF_H = {"colour": INK, "width": 2.4}


def axes(site, *, scale=1.0):
    """Figure A: a point by X, Y, Z, and what another ellipsoid makes of them."""
    return LiveFigure(
        lambda scale=scale: Axes(scale),
        [
            SitePicker(site, furthest=90),
            Slider("height", "Height h", "m above the ellipsoid +", -11_000, 9000, 0, step=50),
            Choice("other", "Another ellipsoid", "for the same X, Y, Z", OTHERS),
        ],
    )


class Axes:
    """The picture of figure A."""

    GLOBE = Globe(236, 282, 168)
    REACH = 1.26  # of the axes, in radii
    TRIAD = 0.314  # length of east, north and up, in radii
    TABLE, NUMBER = 492, 690  # x of the tables
    UNITS = (852, 974, RIGHT)
    READ = (748, 934, RIGHT)
    FIRST, SECOND, STEP = 94, 238, 30  # y of their first rows
    PLOT = (566, 384, 1076, 518)  # of both shifts by latitude
    SPANS = ((400, 150), (800, 300))  # metres at its edge, and between its marks

    def __init__(self, scale):
        canvas = self.canvas = Canvas("One point, three numbers", scale=scale)
        self._view = None
        canvas.note(self.TABLE, self.FIRST - 32, "from the Earth’s centre")
        for x, name in zip(self.UNITS, ("one metre east", "north", "up"), strict=True):
            canvas.note(x, self.FIRST - 32, name, to="left")
        canvas.rule(self.FIRST - 19, self.TABLE, colour=QUIET)
        for row, name in enumerate("XYZ"):
            canvas.words(self.TABLE, self.FIRST + self.STEP * row, name, bold=True)
        canvas.note(self.TABLE, self.SECOND - 32, "the same X, Y, Z, read on")
        canvas.note(self.READ[0], self.SECOND - 32, "WGS 84", to="left", colour=NORMAL, bold=True)
        canvas.note(self.READ[2], self.SECOND - 32, "apart", to="left")
        canvas.rule(self.SECOND - 19, self.TABLE, colour=QUIET)
        for row, name in enumerate(("φ", "λ", "h")):
            canvas.words(self.TABLE, self.SECOND + self.STEP * row, name, bold=True, colour=NORMAL)
        self._still_plot()
        self.GLOBE.sea(canvas)
        ways = "X to 0° N 0° E, Y to 0° N 90° E, Z to the north pole"
        canvas.note(LEFT, 522, ways, colour=INK)
        canvas.note(LEFT, 542, "E, N, U drawn 2 000 km long", bold=True, colour=INK)
        canvas.keep()

    def _still_plot(self):
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT
        end = canvas.note(self.TABLE, top - 18, "how far apart, by latitude:", colour=INK) + 14
        for name, look in (("φ, north +", SHIFT_OF_PHI), ("h, up +", SHIFT_OF_H)):
            canvas.line([end, end + 32], [top - 18, top - 18], **look)
            end = canvas.note(end + 40, top - 18, name, colour=look["colour"]) + 18
        for latitude in (-90, -60, -30, 0, 30, 60, 90):
            x, _ = self._in_plot(latitude, 0, 1)
            canvas.line([x, x], [top, bottom], colour=PALE, width=1.2)
            letter = "N" if latitude > 0 else "S" if latitude else ""
            canvas.note(x, bottom + 14, f"{abs(latitude)}° {letter}".strip(), to="both")
        canvas.box(left, top, right, bottom, edge=HAIR, width=1)

    def _in_plot(self, latitude, metres, most):
        left, top, right, bottom = self.PLOT
        x = left + (np.asarray(latitude) + 90) / 180 * (right - left)
        return x, (top + bottom) / 2 - np.asarray(metres) / most * (bottom - top) / 2

    def update(self, site, height, other):
        """Draw globe, axes, triad, both readings; return the readout."""
        xyz = np.array(ecef.to_ecef(site.latitude, site.longitude, height, WGS84))
        read = ecef.from_ecef(*xyz, other)
        shifts = [float(part) for part in _shifts(site.latitude, height, other)]
        self._globe(site)
        self._axes(site)
        self.GLOBE.grip(self.canvas)
        self._cartesian(site, height, xyz)
        self._both(site, height, other, read, shifts)
        self._plot(site, height, other, shifts)
        return self._readout(site, height, other, xyz, read, shifts)

    def drag(self, name, x, y, begins):
        """Turn the globe with the hand; the site is what it is seen from above."""
        if begins:
            self._from = x, y, self.GLOBE.above(*self._view)
        x0, y0, view = self._from
        return {"site": view.turned(x - x0, y - y0)}

    def _globe(self, site):
        """Turn the globe to the site: only a new site costs a new globe."""
        self._view = site.latitude, site.longitude
        self.canvas.layer(self._view, lambda: self._seen(site).land(self.canvas))

    def _seen(self, site):
        """Return the view: a little aside of the site, so that up is not a point."""
        return self.GLOBE.above(0.2 * site.latitude + 14, site.longitude + 32)

    def _axes(self, site):
        canvas, view = self.canvas, self._seen(site)
        here = directions(site.latitude, site.longitude)
        names = [self._axis(view, axis, name) for axis, name in zip(np.eye(3), "XYZ", strict=True)]
        path = [np.zeros(3), here * (1, 0, 0), here * (1, 1, 0), here]
        x, y, _ = view.project(path)
        canvas.line(x, y, width=1.8, dash=DOTS)
        self._triad(view, site, here, names)

    def _axis(self, view, axis, name):
        """Draw an axis, dotted in the Earth and behind it; return where its name stands."""
        canvas, globe = self.canvas, self.GLOBE
        x, y, near = view.project(axis)
        out = max(np.hypot(x - globe.x, y - globe.y) / globe.radius, 1e-9)

        def at(share):
            return globe.x + share * (x - globe.x), globe.y + share * (y - globe.y)

        leaves = 1.0 if near >= 0 else 1 / out  # where it comes into sight
        ends = np.array([at(0), at(min(leaves, self.REACH))]).T
        canvas.line(*ends, colour=QUIET, width=1.6, dash=DOTS)
        if leaves < self.REACH:
            canvas.arrow(at(leaves), at(self.REACH), width=2.4)
        colour = INK if leaves < self.REACH else QUIET
        x, y = at(self.REACH + 0.09 / max(out, 0.3))
        if name == "Z":  # at the pole it would stand on up
            x, y = x - 16, y + 14
        canvas.words(x, y, name, size=19, bold=True, colour=colour, to="both", halo=True)
        return float(x), float(y)

    def _triad(self, view, site, here, names):
        """Draw east, north and up at the point; their names keep off those of the axes."""
        canvas = self.canvas
        x0, y0, _ = map(float, view.project(here))
        east, north = (
            directions(0, site.longitude + 90), directions(site.latitude + 90, site.longitude)
        )  # fmt: skip
        for arm, name, colour in ((east, "E", INK), (north, "N", INK), (here, "U", NORMAL)):
            x, y, _ = map(float, view.project(here + self.TRIAD * arm))
            canvas.arrow((x0, y0), (x, y), width=2.6, colour=colour)
            right, down, length = x - x0, y - y0, max(math.hypot(x - x0, y - y0), 1)
            if abs(down) > abs(right):
                x, right, down = x + 16, 0, 0
            x, y = x + 12 * right / length, y + 12 * down / length
            if min(math.dist((x, y), name) for name in names) < 20:
                x, y = x + 20 * right / length, y + 20 * down / length
            canvas.words(x, y, name, bold=True, colour=colour, to="both", halo=True)
        canvas.site(x0, y0)

    def _cartesian(self, site, height, xyz):
        """Write X, Y, Z and what a metre east, north and up adds to them."""
        canvas, where = self.canvas, (site.latitude, site.longitude, height)
        for row, value in enumerate(xyz):
            y = self.FIRST + self.STEP * row
            canvas.words(self.NUMBER, y, _metres(value, 2), bold=True, to="left")
        for x, metre in zip(self.UNITS, np.eye(3), strict=True):
            step = np.subtract(ecef.from_enu(*metre, *where, WGS84), xyz)
            for row, part in enumerate(step):
                y = self.FIRST + self.STEP * row
                canvas.words(x, y, _metres(part, 4), to="left")

    def _both(self, site, height, other, read, shifts):
        canvas, (known, new, apart) = self.canvas, self.READ
        canvas.note(new, self.SECOND - 32, other.name, to="left", colour=NORMAL, bold=True)
        columns = (
            (known, (site.latitude, site.longitude, height), NORMAL),
            (new, read, NORMAL),
        )
        for x, values, colour in columns:
            for row, words in enumerate(_said(*values)):
                y = self.SECOND + self.STEP * row
                canvas.words(x, y, words, bold=x == new, colour=colour, to="left")
        for row, words in enumerate(_apart(*shifts)):
            canvas.words(apart, self.SECOND + self.STEP * row, words, bold=True, to="left")

    def _plot(self, site, height, other, shifts):
        canvas, latitudes = self.canvas, np.linspace(-90, 90, 61)
        curves = _shifts(latitudes, height, other)
        largest = np.abs(curves).max()
        most, step = next(span for span in self.SPANS if span[0] > largest)
        self._marks(most, step)
        for curve, look in zip(curves, (SHIFT_OF_PHI, SHIFT_OF_H), strict=True):
            canvas.line(*self._in_plot(latitudes, curve, most), **look)
        for shift in shifts:
            canvas.site(*map(float, self._in_plot(site.latitude, shift, most)))

    def _marks(self, most, step):
        """Draw the marks of the plot's upright axis, so many metres apart."""
        canvas, (left, _, right, _) = self.canvas, self.PLOT
        for metres in range(-2 * step, 3 * step, step):
            _, y = self._in_plot(0, metres, most)
            canvas.line([left, right], [y, y], colour=PALE if metres else HAIR, width=1.2)
            canvas.note(left - 8, y, write.metres(metres, 0, signed=metres != 0), to="left")

    @staticmethod
    def _readout(site, height, other, xyz, read, shifts):
        x, y, z = (_metres(value, 0) for value in xyz)
        phi, _, above = _said(*read)
        north, _, up = _apart(*shifts)
        return (
            f"{write.place(site)}, {write.above(height, 'the ellipsoid')}, has X {write.bold(x)}, "
            f"Y {write.bold(y)}, Z {write.bold(z)}. Read on {other.name}, the same X, Y, Z are φ "
            f"{phi}, {write.bold(north)}, and h {above}, {write.bold(up)}; λ is the same. The "
            "point has not moved; what it is described from has changed."
        )


def _shifts(latitude, height, other):
    """Return how far north and how much higher another ellipsoid puts points, in metres."""
    xyz = ecef.to_ecef(latitude, 0.0, height, WGS84)
    read, _, above = ecef.from_ecef(*xyz, other)
    north = np.subtract(WGS84.meridian_distance(read), WGS84.meridian_distance(latitude))
    return north, np.subtract(above, height)


def _said(latitude, longitude, height):
    """Return latitude, longitude and height as they are written."""
    return (
        f"{write.number(abs(latitude), 7)}° {'S' if latitude < 0 else 'N'}",
        f"{write.number(abs(longitude), 7)}° {'W' if longitude < 0 else 'E'}",
        _metres(height, 2),
    )


def _metres(value, decimals):
    """Return a length with its sign; nothing is 0 m."""
    return write.metres(value, decimals if abs(value) >= 0.5 * 10.0**-decimals else 0)


def _apart(north, up):
    """Return how far two readings stand apart, in words."""
    words = [
        f"{write.size(abs(shift))} {positive if shift > 0 else negative}"
        if abs(shift) >= LEAST
        else "the same"
        for shift, positive, negative in ((north, "north", "south"), (up, "higher", "lower"))
    ]
    return words[0], "the same", words[1]
