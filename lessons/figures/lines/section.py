"""Figure B: how far a normal section lies from the geodesic, and from where it matters."""

import math

import numpy as np

from geokit import WGS84, ecef, lines
from lessons.canvas import write
from lessons.canvas.palette import DOTS, ELLIPSOID, HAIR, INK, ORANGE_DASH, PLUMB, QUIET, WHITE
from lessons.canvas.pen import HEADLINE, LEFT, RIGHT, Canvas
from lessons.canvas.plot import LogPlot, passes
from lessons.widgets.live import LiveFigure, SitePicker, Slider

SHORTEST, LONGEST = 10.0, 5000.0  # kilometres
DIRECTION, OFFSET = 1.0, 0.01  # arcseconds and metres that an instrument sees
LEAST, LEAST_ANGLE = 5e-5, 5e-5  # metres and arcseconds: nothing less is written
FORWARD = {"colour": INK, "width": 2.6}
BACK = {"colour": INK, "width": 2.2, "dash": DOTS}
GEODESIC = {"colour": ELLIPSOID, "width": 2.6, "dash": ORANGE_DASH}
ANYWHERE = {"colour": QUIET, "width": 1.6}


def normal_section(site, *, scale=1.0):
    """Figure B: normal section against geodesic, by distance."""
    return LiveFigure(
        lambda scale=scale: NormalSection(scale),
        [
            SitePicker(site, furthest=90),
            Slider("azimuth", "Azimuth", "° of the geodesic at A", 0, 359, 60, step=1),
            Slider("distance", "Distance", "km", SHORTEST, LONGEST, 100, step=0.05, log=True),
        ],
    )


def section(start, end, share):
    """
    Return latitudes and longitudes along normal sections.

    Parameters
    ----------
    start, end : pair of float or array
        Latitude and longitude of both ends; the plane holds the normal at the start.
    share : array
        Of the chord, 0 to 1, along a new last axis.

    Returns
    -------
    latitude, longitude : arrays
        A point of the chord is put back on the ellipsoid along the normal at the start, and so
        stays in the plane.
    """
    a, b, up = (
        np.stack(np.broadcast_arrays(*xyz), -1)[..., np.newaxis, :]
        for xyz in (
            ecef.to_ecef(*start, 0.0, WGS84),
            ecef.to_ecef(*end, 0.0, WGS84),
            np.subtract(ecef.to_ecef(*start, 1e6, WGS84), ecef.to_ecef(*start, 0.0, WGS84)) / 1e6,
        )
    )
    chord = a + share[:, np.newaxis] * (b - a)
    # |(chord + t·up) shrunk to the unit sphere| = 1, a quadratic in t
    axes = np.array([WGS84.semi_major, WGS84.semi_major, WGS84.semi_minor])
    p, q = chord / axes, up / axes
    qq, pq, pp = (q * q).sum(-1), (p * q).sum(-1), (p * p).sum(-1)
    t = (1 - pp) / (pq + np.sqrt(pq**2 + qq * (1 - pp)))
    on_it = np.moveaxis(chord + t[..., np.newaxis] * up, -1, 0)
    return ecef.from_ecef(*on_it, WGS84)[:2]


def beside(start, azimuth, distance, share):
    """
    Return where normal sections lie from the geodesics to the same ends.

    Parameters
    ----------
    start : pair of float or array
        Latitude and longitude.
    azimuth, distance : float or array
        Of the geodesics, in degrees and metres.
    share : array
        As for `section`.

    Returns
    -------
    turn, off : arrays
        The section's azimuth at the start less the geodesic's in arcseconds, and the section's
        distance from the geodesic in metres along a new last axis; both to the right positive.
    """
    latitude, longitude, _ = lines.direct(*start, azimuth, distance, WGS84)
    sets_out = lines.normal_section(*start, latitude, longitude, WGS84)
    points = section(start, (latitude, longitude), share)
    start = [np.asarray(angle)[..., np.newaxis] for angle in start]
    along, towards, _ = lines.inverse(*start, *points, WGS84)
    aside = _turn(towards - np.asarray(azimuth)[..., np.newaxis])
    # off = reduced length × turn; on the ellipsoid the first is the sphere's to 0.3 %
    radius = WGS84.mean_radius
    off = radius * np.sin(along / radius) * np.radians(aside)
    return _turn(sets_out - azimuth) * 3600, off


def _turn(degrees):
    """Return a difference of azimuths, the short way round; none where there is no direction."""
    return np.nan_to_num((degrees + 180) % 360 - 180)


class NormalSection:
    """The picture of figure B."""

    A, B, MIDDLE, HALF = 64, 610, 158, 62  # x of the ends, y of the geodesic, height of the plan
    DIRECTIONS = (96, 316, 520, 496)
    OFFSETS = (648, 316, 1076, 496)
    TABLE, HERE = 672, 958  # x of the table and of its first column's end
    FIRST, STEP = 96, 30
    GRID = np.geomspace(SHORTEST, LONGEST, 28) * 1000
    PARTS = np.linspace(0, 1, 10)
    FINE = np.linspace(0, 1, 41)

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Normal section or geodesic", "on WGS 84", scale=scale)
        self.anywhere = self._curves((0.0, 0.0), 45.0)
        across = [(km, write.kilometres(km)) for km in (10, 100, 1000)]
        self.directions = LogPlot(canvas, *self.DIRECTIONS, (SHORTEST, LONGEST), (2e-5, 500))
        self.offsets = LogPlot(canvas, *self.OFFSETS, (SHORTEST, LONGEST), (2e-7, 5e3))
        angles = ((1e-4, "0.0001″"), (1e-3, "0.001″"), (0.01, "0.01″"), (0.1, "0.1″"),
                  (1, "1″"), (10, "10″"), (100, "100″"))  # fmt: skip
        lengths = ((1e-6, "0.001 mm"), (1e-4, "0.1 mm"), (0.01, "1 cm"), (1, "1 m"),
                   (100, "100 m"))  # fmt: skip
        for plot, up, limit, title, lost, curve in (
            (self.directions, angles, DIRECTION, "direction at A", "lost below 1″", 0),
            (self.offsets, lengths, OFFSET, "off the geodesic", "lost below 1 cm", 1),
        ):
            ends = np.array([SHORTEST, LONGEST])
            plot.grid((), up)
            plot.noise(ends, np.full(2, plot.up[0] / 2), np.full(2, limit))
            plot.grid(across, ())
            plot.curve(self.GRID / 1000, self.anywhere[curve], **ANYWHERE)
            canvas.note(plot.left, plot.top - 14, f"{title}, by distance", colour=INK)
            canvas.note(plot.right - 10, plot.bottom - 14, lost, colour=INK, to="left", halo=True)
            canvas.note(plot.right, plot.top - 14, "thin: on the equator at 45°", to="left")
        self._still_plan()
        self._head()
        canvas.keep()

    def _still_plan(self):
        canvas, x = self.canvas, LEFT
        for name, look in (
            ("normal section from A", FORWARD), ("from B", BACK), ("geodesic", GEODESIC),
        ):  # fmt: skip
            canvas.line([x, x + 36], [62, 62], **look)
            x = canvas.note(x + 44, 62, name, colour=INK) + 24
        top, bottom = self.MIDDLE - self.HALF - 16, self.MIDDLE + self.HALF + 16
        canvas.note(self.B + 24, top + 12, "left", to="both")
        canvas.note(self.B + 24, bottom - 12, "right", to="both")
        canvas.words(self.A - 24, self.MIDDLE, "A", bold=True, to="both")
        canvas.words(self.B + 24, self.MIDDLE, "B", bold=True, to="both")

    def _head(self):
        canvas = self.canvas
        canvas.note(self.HERE, self.FIRST - 32, "here", to="left", colour=INK, bold=True)
        canvas.note(RIGHT, self.FIRST - 32, "equator, 45°", to="left")
        canvas.rule(self.FIRST - 19, self.TABLE, colour=QUIET)
        names = ("direction at A", "off the geodesic", "1″ comes at", "1 cm comes at")
        for row, name in enumerate(names):
            canvas.words(self.TABLE, self.FIRST + self.STEP * row, name)
        canvas.rule(self.FIRST + 4 * self.STEP - 12, self.TABLE, colour=HAIR)
        canvas.note(self.TABLE, 258, "under 100 km nowhere more than 0.03″ and 5.4 mm", colour=INK)

    def _curves(self, start, azimuth):
        """Return the turn at the start and the most off the geodesic at all distances."""
        start = [np.full(self.GRID.shape, angle) for angle in start]
        turn, off = beside(start, azimuth, self.GRID, self.PARTS)
        return np.abs(turn), np.abs(off).max(-1)

    def update(self, site, azimuth, distance):
        """Draw both sections in plan, the curves and the table; return the readout."""
        start, metres = (site.latitude, site.longitude), 1000 * distance
        turn, off = beside(start, azimuth, metres, self.FINE)
        back = self._back(start, azimuth, metres)
        here = self._curves(start, azimuth)
        worst = self._worst(metres)
        self.canvas.renew()
        self._plan(azimuth, distance, off, back, worst[1])
        for plot, curve, value in (
            (self.directions, here[0], abs(turn)), (self.offsets, here[1], np.abs(off).max()),
        ):  # fmt: skip
            plot.curve(self.GRID / 1000, curve, **FORWARD)
            x, y = float(plot.x(distance)), float(plot.y(value))
            self.canvas.line([x, x], [plot.top, plot.bottom], width=1.2, dash=DOTS)
            if y <= plot.bottom:
                self.canvas.site(x, y)
        return self._words(site, azimuth, distance, float(turn), off, here, worst)

    def _worst(self, metres):
        """Return turn and offset from the equator at 45°: the greatest, to 0.1 % up to 1 000 km."""
        turn, off = beside((0.0, 0.0), 45.0, metres, self.PARTS)
        return abs(float(turn)), float(np.abs(off).max())

    def _back(self, start, azimuth, metres):
        """Return how far the section from B lies from the geodesic, seen from A."""
        latitude, longitude, back = lines.direct(*start, azimuth, metres, WGS84)
        _, off = beside((latitude, longitude), back, metres, self.FINE)
        return -off[::-1]

    def _plan(self, azimuth, distance, off, back, worst):
        canvas = self.canvas
        x = self.A + self.FINE * (self.B - self.A)
        per_metre = self.HALF / worst
        for line, look in ((back, BACK), (off, FORWARD)):
            canvas.line(x, self.MIDDLE + per_metre * line, **look)
        canvas.line([self.A, self.B], [self.MIDDLE] * 2, **GEODESIC)
        canvas.site(self.A, self.MIDDLE)
        canvas.disc(self.B, self.MIDDLE, 9, WHITE, edge=INK, rim=2)
        wider = write.two_figures(per_metre / ((self.B - self.A) / (1000 * distance)))
        words = f"sideways exaggerated {write.number(wider, 0)} ×"
        canvas.note(LEFT, 542, words, bold=True, colour=INK)
        canvas.note((self.A + self.B) / 2, 250, f"{write.kilometres(distance)} at azimuth "
                   f"{write.azimuth(azimuth)}", to="both", colour=INK)  # fmt: skip

    def _words(self, site, azimuth, distance, turn, off, here, worst):
        """Fill the table; return the readout."""
        canvas, most = self.canvas, float(off[np.abs(off).argmax()])
        here, anywhere = (
            [_where(passes(self.GRID / 1000, curve, limit))
             for curve, limit in zip(curves, (DIRECTION, OFFSET), strict=True)]
            for curves in (here, self.anywhere)
        )  # fmt: skip
        sees = abs(turn) >= DIRECTION or abs(most) >= OFFSET
        for x, words, colour in (
            (self.HERE, (_seconds(turn), write.least_size(most), *here), INK),
            (RIGHT, (_seconds(worst[0]), write.least_size(worst[1]), *anywhere), QUIET),
        ):
            for row, word in enumerate(words):
                y, bold = self.FIRST + self.STEP * row, x == self.HERE
                canvas.words(x, y, word, bold=bold, colour=colour, to="left")
        symbol, verdict = ("●", "it matters here") if sees else ("○", "ignore it here")
        end = canvas.words(self.TABLE, 230, symbol, size=HEADLINE, colour=PLUMB)
        canvas.words(end + 10, 230, verdict, size=HEADLINE, bold=True, colour=PLUMB)
        return self._readout(site, azimuth, distance, turn, most, here)

    @staticmethod
    def _readout(site, azimuth, distance, turn, most, here):
        where = (
            f"From {write.place(site)} over {write.bold(write.kilometres(distance))} at azimuth "
            f"{write.azimuth(azimuth)}"
        )
        rule = (
            f"1″ comes {_at(here[0])}, 1 cm {_at(here[1])}. "
            f"{write.bold('Ignore it below 100 km')}: "
            "there it is nowhere more than 0.03″ and 5.4 mm."
        )
        if abs(turn) < LEAST_ANGLE and abs(most) < LEAST:
            return f"{where} normal section and geodesic are one line. {rule}"
        side = "right" if turn > 0 else "left"
        return (
            f"{where} the normal section sets out {write.bold(_seconds(turn))} to the {side} of "
            f"the geodesic and strays {write.bold(write.least_size(most))} from it. {rule}"
        )


def _seconds(angle):
    size = abs(angle)
    if size < LEAST_ANGLE:
        return "under 0.0001″"
    decimals = 4 if size < 0.09995 else 3 if size < 0.9995 else 1
    return write.arcseconds(size, signed=False, decimals=decimals)


def _at(place):
    return place if place == "nowhere" else f"at {place}"


def _where(kilometres):
    return "nowhere" if math.isnan(kilometres) else f"{write.number(kilometres, 0)} km"
