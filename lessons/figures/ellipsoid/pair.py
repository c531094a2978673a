"""Figure B: two ellipsoids about one centre, and how far one lies outside the other."""

import math

import numpy as np

from geokit import WGS84, ellipsoids
from lessons.canvas import palette, write
from lessons.canvas.palette import ELLIPSOID, HAIR, INK, NORMAL, ORANGE_DASH, PALE, QUIET, TINT
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.widgets.live import Choice, LiveFigure, Slider

NAMED = {ellipsoid.name: ellipsoid for ellipsoid in ellipsoids.BY_EPSG.values()}
LEAST = 0.00005  # metres: half of the last digit that is written


def two_ellipsoids(site, *, scale=1.0):
    """Figure B: two named ellipsoids about one centre, by latitude; what they do not say."""
    return LiveFigure(
        lambda scale=scale: TwoEllipsoids(scale),
        [
            Choice("first", "First", "ellipsoid", NAMED, "Clarke 1866"),
            Choice("second", "Second", "ellipsoid", NAMED, "WGS 84"),
            Slider(
                "latitude", "Latitude", "°, north +", -90, 90, site.latitude, step=0.5, decimals=3
            ),
        ],
    )


def radius(ellipsoid, geocentric):
    """Return the distance of the surface from the centre, in metres, at geocentric latitudes."""
    psi = np.radians(geocentric)
    a, b = ellipsoid.semi_major, ellipsoid.semi_minor
    return a * b / np.hypot(a * np.sin(psi), b * np.cos(psi))


class TwoEllipsoids:
    """The picture of figure B."""

    CENTRE = (208, 310)
    A = 150  # points for the equatorial radius
    TIMES = 2000  # the difference is drawn larger, always by as much: alike looks alike
    TABLE = 496
    COLUMNS = (758, 938, RIGHT)  # right edges of first, second and their difference
    PLOT = (560, 258, RIGHT, 470)
    SPANS = ((300, 100), (1000, 500))  # metres at the edge of the plot, and between its marks

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Two ellipsoids, one centre", scale=scale)
        x0, y0 = self.CENTRE
        canvas.line([LEFT, 392], [y0, y0], colour=HAIR, width=1.4)
        canvas.line([x0, x0], [134, 486], colour=HAIR, width=1.4)
        canvas.note(self.COLUMNS[2], 64, "second − first", to="left")
        canvas.rule(80, self.TABLE, colour=QUIET)
        for row, (symbol, name) in enumerate((("a", "equatorial"), ("b", "polar"), ("1/f", ""))):
            y = 98 + 28 * row
            end = canvas.words(self.TABLE, y, symbol, bold=True)
            canvas.note(end + 8, y, name)
        canvas.rule(172, self.TABLE)
        self._still_plot()
        statement = "An ellipsoid is a size and a shape: no place, no direction, no epoch."
        canvas.words(self.TABLE, 518, statement, bold=True, colour=NORMAL)
        canvas.note(
            self.TABLE,
            542,
            "The common centre is only drawn: a datum gives an ellipsoid its place.",
        )
        drawn = f"difference drawn {write.number(self.TIMES, 0)} × too large"
        canvas.note(LEFT, 542, drawn, bold=True, colour=INK)
        canvas.keep()

    def _still_plot(self):
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT
        canvas.note(self.TABLE, top - 18, "how far the second lies outside, +", colour=INK)
        for latitude in (-90, -45, 0, 45, 90):
            x, _ = self._in_plot(latitude, 0.0, 1.0)
            canvas.line([x, x], [top, bottom], colour=PALE, width=1.2)
            name = f"{abs(latitude)}°" + (" N" if latitude > 0 else " S" if latitude else "")
            canvas.note(x, bottom + 15, name, to={-90: "right", 90: "left"}.get(latitude, "both"))
        canvas.box(left, top, right, bottom, edge=HAIR, width=1)

    def _in_plot(self, latitude, metres, most):
        left, top, right, bottom = self.PLOT
        x = left + (np.asarray(latitude) + 90) / 180 * (right - left)
        return x, (top + bottom) / 2 - np.asarray(metres) / most * (bottom - top) / 2

    def update(self, first, second, latitude):
        """Draw both, their numbers and their difference; return the readout."""
        here = first.geocentric_latitude(latitude)
        apart = float(radius(second, here) - radius(first, here))
        canvas = self.canvas
        canvas.renew()
        self._section(first, second, here, apart)
        self._table(first, second)
        place = write.position(latitude, 0.0).rsplit(" ", 2)[0]
        canvas.words(self.TABLE, 204, f"along the radius at {place}")
        canvas.words(RIGHT, 204, _signed(apart), size=22, bold=True, colour=NORMAL, to="left")
        self._plot(first, second, latitude, apart)
        return self._readout(first, second, place, apart)

    def _section(self, first, second, here, apart):
        """Draw both in a section through the poles, the second as far off as is too large."""
        canvas, (x0, y0) = self.canvas, self.CENTRE
        scale = self.A / WGS84.semi_major
        turn = np.linspace(0, 360, 181)
        inner = scale * radius(first, turn)
        outer = inner + scale * self.TIMES * (radius(second, turn) - radius(first, turn))
        cosine, sine = np.cos(np.radians(turn)), np.sin(np.radians(turn))
        canvas.area(x0 + inner * cosine, y0 - inner * sine, TINT)
        reach = 6
        canvas.line([x0 - reach, x0 + reach], [y0, y0], width=1.6)
        canvas.line([x0, x0], [y0 - reach, y0 + reach], width=1.6)
        canvas.line(x0 + outer * cosine, y0 - outer * sine, colour=NORMAL, width=2)
        canvas.line(
            x0 + inner * cosine, y0 - inner * sine, colour=ELLIPSOID, width=2.8, dash=ORANGE_DASH
        )
        out, up = math.cos(math.radians(here)), math.sin(math.radians(here))
        near = scale * float(radius(first, here))
        far = near + scale * self.TIMES * apart
        canvas.line([x0, x0 + near * out], [y0, y0 - near * up], width=2)
        if abs(far - near) >= 14:
            ends = ((x0 + part * out, y0 - part * up) for part in (near, far))
            canvas.arrow(*ends, width=1.8, head=8, both=True)
        canvas.site(x0 + near * out, y0 - near * up)
        if abs(apart) >= LEAST:
            words = _signed(apart)
            half = canvas.width_of(words, bold=True) / 2
            beyond = max(near, far) + 14
            x, y = x0 + (beyond + half) * out, y0 - beyond * up
            canvas.words(min(x, 486 - half), y, words, bold=True, to="both", halo=True)
        self._names(first, second)

    def _names(self, first, second):
        """Name the two lines, with a piece of each: the lines may lie on one another."""
        canvas = self.canvas
        for y, ellipsoid, look in (
            (62, first, {"colour": ELLIPSOID, "width": 2.8, "dash": ORANGE_DASH}),
            (84, second, {"colour": NORMAL, "width": 2}),
        ):
            canvas.line([LEFT, LEFT + 36], [y, y], **look)
            canvas.words(LEFT + 46, y, ellipsoid.name, bold=True, colour=NORMAL)

    def _table(self, first, second):
        canvas = self.canvas
        for right, ellipsoid in zip(self.COLUMNS, (first, second), strict=False):
            canvas.words(right, 64, ellipsoid.name, bold=True, colour=NORMAL, to="left")
            for row, number in enumerate(
                (
                    write.metres(ellipsoid.semi_major, 4, signed=False),
                    write.metres(ellipsoid.semi_minor, 4, signed=False),
                    _ratio(ellipsoid.inverse_flattening),
                )
            ):
                canvas.words(right, 98 + 28 * row, number, colour=NORMAL, to="left")
        for row, number in enumerate(
            (
                _signed(second.semi_major - first.semi_major),
                _signed(second.semi_minor - first.semi_minor),
                _ratio(second.inverse_flattening - first.inverse_flattening, signed=True),
            )
        ):
            canvas.words(RIGHT, 98 + 28 * row, number, bold=True, to="left")

    def _plot(self, first, second, latitude, apart):
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT
        every = np.linspace(-90, 90, 91)
        along = first.geocentric_latitude(every)
        metres = radius(second, along) - radius(first, along)
        most, step = next(
            span for span in self.SPANS if np.abs(metres).max() < 0.9 * span[0] or span[0] == 1000
        )
        for mark in range(-2 * step, 2 * step + 1, step):
            _, y = self._in_plot(0, mark, most)
            if top - 1 <= y <= bottom + 1:
                if mark:
                    canvas.line([left, right], [y, y], colour=PALE, width=1.2)
                canvas.note(left - 8, y, write.metres(mark, 0), to="left")
        x, y = self._in_plot(every, metres, most)
        zero = (top + bottom) / 2
        canvas.line(x, y, colour=NORMAL, width=2)
        canvas.line([left, right], [zero, zero], colour=ELLIPSOID, width=2.8, dash=ORANGE_DASH)
        here = tuple(map(float, self._in_plot(latitude, apart, most)))
        canvas.line([here[0]] * 2, [here[1], zero], width=1.2, dash=palette.DOTS)
        look = {"bold": True, "colour": NORMAL, "halo": True}
        outside = metres[0] >= -LEAST  # at the poles, where the names stand
        canvas.words(left + 12, zero + (15 if outside else -15), first.name, **look)
        rises = metres[45] > metres[-1] + LEAST  # towards the equator
        beside = min(max(y[-1] + (15 if rises else -15), top + 12), bottom - 12)
        canvas.words(right - 12, beside, second.name, to="left", **look)
        canvas.site(*here)

    @staticmethod
    def _readout(first, second, place, apart):
        one, other = (ellipsoid.name for ellipsoid in (first, second))
        if first == second:
            both = f"{one} is compared with itself: nothing differs"
        else:
            axes = (
                ("a", second.semi_major - first.semi_major),
                ("b", second.semi_minor - first.semi_minor),
            )
            differ = " and ".join(f"its {name} is {_longer(metres)}" for name, metres in axes)
            side = "outside" if apart > 0 else "inside"
            lies = f"{_amount(apart)} {side}" if apart else "level with it"
            both = (
                f"{other} against {one}: {differ}. With one centre it lies "
                f"{write.bold(lies)} at {place}"
            )
        return (
            f"{both}. Each name gives {write.bold('a size and a shape')} and no more: no place, no "
            "direction, no epoch. It is not a coordinate system."
        )


def _ratio(value, *, signed=False):
    """Return 1/f without the zeros that nobody has given."""
    text = write.number(value, 9, signed=signed)
    return text.rstrip("0").rstrip(".")


def _amount(metres):
    """Return a difference, which is not nothing though it be less than what is written."""
    return write.least_size(metres) if metres else write.size(metres)


def _signed(metres):
    if metres == 0:
        return "0 m"
    return _amount(metres) if abs(metres) < LEAST else write.signed_size(metres)


def _longer(metres):
    if metres == 0:
        return "the same"
    return f"{_amount(metres)} {'longer' if metres > 0 else 'shorter'}"
