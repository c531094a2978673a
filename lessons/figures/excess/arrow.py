"""Figure C: an arrow carried round a triangle, never turned, that comes back turned by E."""

import math

import numpy as np

from geokit import WGS84, excess, lines
from lessons.canvas import write
from lessons.canvas.globe import Globe
from lessons.canvas.palette import ELLIPSOID, HAIR, INK, NORMAL, PLUMB, QUIET, WHITE
from lessons.canvas.pen import HEADLINE, LEFT, RIGHT, Canvas
from lessons.figures.excess.common import corners, small_angle
from lessons.widgets.live import LiveFigure, SitePicker, Slider

GHOSTS = 24  # arrows of a whole run that stay behind it
LEGS = ("from A to B", "from B to C", "from C back to A")


def carried_arrow(site, *, scale=1.0):
    """Figure C: an arrow carried clockwise round a triangle of geodesics on WGS 84."""
    return LiveFigure(
        lambda scale=scale: CarriedArrow(scale),
        [
            SitePicker(site, furthest=90),
            Slider("size", "Side", "km", 500, 9000, 6000, step=100),
            Slider("done", "Carried", "% of the way round", 0, 100, 60, step=1),
            Slider("start", "Arrow at A", "° from the side", 0, 359, 40, step=1),
        ],
    )


class Run:
    """A run A, B, C and back to A, clockwise along geodesics; azimuths in degrees."""

    def __init__(self, latitude, longitude):
        onward = np.roll(latitude, -1), np.roll(longitude, -1)
        self.latitude, self.longitude = latitude, longitude
        self.length, self.out, back = lines.inverse(latitude, longitude, *onward, WGS84)
        self.arrives = (back + 180) % 360  # the direction of travel at the far end
        self.ends = np.cumsum(self.length)

    def to_sides(self, start):
        """Return the arrow's angle to each side: at a corner the side turns, the arrow does not."""
        turns = (self.arrives[:-1] - self.out[1:] + 180) % 360 - 180
        return start + np.concatenate([[0.0], np.cumsum(turns)])

    def at(self, share, start):
        """
        Return where the arrow is after shares of the run, and its azimuth there.

        Parameters
        ----------
        share : array
            0 to 1.
        start : float
            Its angle to the first side.

        Returns
        -------
        leg, latitude, longitude, azimuth : arrays
        """
        along = np.asarray(share, float) * self.ends[-1]
        leg = np.minimum(np.searchsorted(self.ends, along, side="left"), 2)
        gone = along - (self.ends - self.length)[leg]
        latitude, longitude, back = lines.direct(
            self.latitude[leg], self.longitude[leg], self.out[leg], gone, WGS84
        )
        return leg, latitude, longitude, (back + 180 + self.to_sides(start)[leg]) % 360

    def turned(self, start):
        """Return by how much the arrow is turned clockwise when it is back at A, in degrees."""
        last = self.arrives[-1] + self.to_sides(start)[-1]
        return (last - self.out[0] - start) % 360


class CarriedArrow:
    """The picture of figure C."""

    GLOBE = Globe(250, 298, 218)
    TABLE = 520
    SHARES = np.linspace(0, 1, 101)  # of the run, where a hand may leave the arrow
    REACH = 0.17  # length of the arrow, in radii of the globe

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "An arrow that nobody turns", "carried along geodesics", scale=scale
        )
        canvas.note(self.TABLE, 78, "angle from the side to the arrow")
        canvas.rule(92, self.TABLE, colour=QUIET)
        for row, leg in enumerate(LEGS):
            canvas.words(self.TABLE, 116 + 34 * row, leg)
        canvas.note(
            self.TABLE, 216, "at a corner the side turns and the arrow does not", colour=INK
        )
        canvas.rule(240, self.TABLE)
        canvas.words(self.TABLE, 264, "azimuth of the arrow here")
        canvas.words(self.TABLE, 298, "its azimuth at A, at the start")
        canvas.words(self.TABLE, 332, "its azimuth at A, at the end")
        canvas.rule(356, self.TABLE)
        canvas.words(self.TABLE, 392, "turned, back at A", bold=True, colour=NORMAL)
        canvas.words(self.TABLE, 432, "excess E, from the area")
        canvas.words(self.TABLE, 466, "on a plane it would come back turned by")
        canvas.words(RIGHT, 466, "0°", to="left")
        self.GLOBE.sea(canvas)
        canvas.keep()

    def update(self, site, size, done, start):
        """Draw the run and the arrow; return the readout."""
        triangle = corners(site, size)
        run = Run(*triangle)
        seconds = excess.on_ellipsoid(*triangle, WGS84)
        view = self.GLOBE.above(site.latitude, site.longitude)
        self.canvas.layer((site.latitude, site.longitude), lambda: view.land(self.canvas))
        self._share = done / 100
        self._on_globe(view, run, self._share, start)
        self._way = view.to_canvas(*run.at(self.SHARES, start)[1:3])[:2]
        here = run.at(done / 100, start)
        self._table(run, here, start, done, seconds)
        return self._readout(site, size, run, here, start, done, seconds)

    def drag(self, name, x, y, begins):
        """Take the arrow along its run; both ends are at A, and it may not jump."""
        x_way, y_way = self._way
        nearest = self.SHARES[np.argmin(np.hypot(x_way - x, y_way - y))]
        if not begins and abs(nearest - self._share) > 0.5:
            nearest = round(self._share)
        self._share = nearest
        return {"done": 100 * nearest}

    def _on_globe(self, view, run, share, start):
        canvas = self.canvas
        _, latitude, longitude, _ = run.at(np.linspace(0, 1, 73), start)
        view.line(canvas, latitude, longitude, colour=ELLIPSOID, width=2.4)
        behind = np.arange(0, GHOSTS) / GHOSTS
        behind = behind[(behind > 0) & (behind < share)]
        *ghosts, first, last = self._arrows(view, run, [*behind, 0.0, share], start)
        for ghost in ghosts:
            self._arrow(ghost, QUIET, 1.4)
        x, y, _ = view.to_canvas(run.latitude, run.longitude)
        for name, at_x, at_y in zip("ABC", x, y, strict=True):
            canvas.disc(at_x, at_y, 9, WHITE, edge=NORMAL, rim=2)
            self._name(name, at_x, at_y)
        if share > 0:
            self._arrow(first, PLUMB, 2.4, (3, 2))
        self._arrow(last, PLUMB, 3.2)
        canvas.grip("arrow", *last[0])

    def _name(self, name, x, y):
        """Write a corner's name outside the triangle, or inside where the globe ends."""
        globe = self.GLOBE
        away = math.atan2(y - globe.y, x - globe.x)
        out = 20 if math.hypot(x - globe.x, y - globe.y) < globe.radius - 30 else -24
        half = self.canvas.width_of(name, bold=True) / 2
        self.canvas.words(
            x + (out + math.copysign(half, out)) * math.cos(away),
            y + out * math.sin(away),
            name,
            bold=True,
            to="both",
            halo=True,
        )

    def _arrows(self, view, run, shares, start):
        """Return foot and tip of arrows after shares of the run, as long as the view shows them."""
        _, latitude, longitude, azimuth = run.at(shares, start)
        reach = self.REACH * WGS84.mean_radius
        tips = lines.direct(latitude, longitude, azimuth, reach, WGS84)[:2]
        x, y, _ = view.to_canvas(*np.transpose([(latitude, longitude), tips], (1, 2, 0)))
        return np.stack([x, y], -1)

    def _arrow(self, ends, colour, width, dash=None):
        self.canvas.arrow(*ends, colour=colour, width=width, dash=dash, head=12)

    def _table(self, run, here, start, done, seconds):
        canvas, leg = self.canvas, int(here[0])
        for row, angle in enumerate(run.to_sides(start)):
            look = {"bold": row == leg, "colour": INK if row <= leg else QUIET}
            canvas.words(RIGHT, 116 + 34 * row, _azimuth(angle), to="left", **look)
        canvas.rule(133 + 34 * leg, RIGHT - 60, colour=HAIR)
        first = run.out[0] + start
        canvas.words(RIGHT, 264, _azimuth(here[3]), bold=True, to="left")
        canvas.words(RIGHT, 298, _azimuth(first), to="left")
        canvas.words(RIGHT, 332, _azimuth(first + run.turned(start)), to="left")
        canvas.words(
            RIGHT, 392, small_angle(3600 * run.turned(start)), size=HEADLINE, bold=True,
            colour=NORMAL, to="left",
        )  # fmt: skip
        canvas.words(RIGHT, 432, small_angle(seconds), to="left")
        canvas.note(
            LEFT, 542, "carried clockwise; dashed: as it set out from A", bold=True, colour=INK
        )

    @staticmethod
    def _readout(site, size, run, here, start, done, seconds):
        leg = LEGS[int(here[0])]
        where = "back at A" if done >= 100 else f"{leg}, {done:.0f} % of the way round"
        turned = small_angle(3600 * run.turned(start))
        return (
            f"Sides of about {write.kilometres(size)} round {write.place(site)}. The arrow is "
            f"{where}, at {_azimuth(run.to_sides(start)[int(here[0])])} to its side. Carried "
            f"clockwise round, it comes back turned clockwise by {write.bold(turned)}: the excess "
            f"E, {small_angle(seconds)}, though nothing turned it."
        )


def _azimuth(angle):
    return write.number(float(angle) % 360, 1) + "°"
