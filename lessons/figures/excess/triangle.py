"""Figure A: a triangle on the globe and on the grid, its angles and their excess."""

import math
from functools import cache

import numpy as np
import pyproj

from geokit import WGS84, angles, excess, grid, lines
from lessons.canvas import palette, write
from lessons.canvas.globe import Globe
from lessons.canvas.palette import ELLIPSOID, HATCH, INK, NOISE, NORMAL, ORANGE_DASH, QUIET, WHITE
from lessons.canvas.pen import LEFT, NOTE, RIGHT, Canvas
from lessons.canvas.plot import LogPlot
from lessons.figures.excess.common import (
    DIRECTIONS,
    LARGEST,
    OCTANT_MIDDLE,
    angles_in_plane,
    angles_on_sphere,
    area,
    corners,
    decimals,
    length,
    octant,
    small_angle,
)
from lessons.widgets.live import OWN, LiveFigure, SitePicker, Slider


def globe_triangle(site, *, scale=1.0):
    """Figure A: a triangle round the site, on the globe and on the grid; its angles, their sum."""
    return LiveFigure(
        lambda scale=scale: GlobeTriangle(scale),
        [
            SitePicker(site, furthest=90),
            Slider("size", "Side", "km", 1, LARGEST, 4500, step=0.05, decimals=1, log=True),
            Slider("turn", "Turn", "° azimuth of A", 0, 359, 0, step=1),
            Slider("stretch", "Stretch", "× towards A", 0.4, 2.5, 1, step=0.05, decimals=2),
        ],
    )


class GlobeTriangle:
    """The picture of figure A."""

    GLOBE = Globe(250, 294, 226)
    TABLE = 484  # left edge of the table
    COLUMNS = (716, 900, RIGHT)  # right edges of plane, sphere and ellipsoid
    GRID = (956, 414, 72)  # centre of the triangle on the grid and the circle it fills
    NOISE = f"hatched: a 1″ total station, {write.arcseconds(DIRECTIONS, signed=False)} in the sum"
    DOT, LETTERED = 350, 1500  # kilometres of side from which the triangle, its corners show
    ZONE = 500e3  # metres from the central meridian that a grid is drawn to

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "The angles of a big triangle", "its sides are geodesics", scale=scale
        )
        plane, sphere, ellipsoid = self.COLUMNS
        canvas.note(self.TABLE, 62, "the same three sides")
        for x, name, note, colour in (
            (plane, "plane", "no curve", QUIET),
            (sphere, "sphere", "", INK),
            (ellipsoid, "ellipsoid", "WGS 84", NORMAL),
        ):
            canvas.words(x, 62, name, bold=True, colour=colour, to="left")
            canvas.note(x, 80, note, to="left")
        canvas.rule(92, self.TABLE, colour=QUIET)
        for row, name in enumerate("ABC"):
            canvas.words(self.TABLE, 108 + 25 * row, name, bold=True)
        canvas.rule(172, self.TABLE)
        canvas.words(self.TABLE, 187, "sum", bold=True)
        canvas.words(self.TABLE, 224, "excess E")
        canvas.note(self.TABLE, 242, "sum − 180°")
        canvas.words(plane, 224, "0″", colour=QUIET, to="left")
        canvas.note(self.TABLE, 266, "area")
        self.GLOBE.sea(canvas)
        canvas.keep()

    def _still_plot(self, wide):
        """Draw the excess by side on the mean sphere; the grid leaves it less room."""
        canvas, plot = self.canvas, self.plot
        canvas.note(self.TABLE, 308, "excess by length of side", colour=INK)
        steps = (1, 10, 100, 1000) if wide else (1, 100)
        noise = float(plot.y(DIRECTIONS))
        plot.grid(
            ((*((step, write.kilometres(step)) for step in steps), (10_000, "10 000 km"))),
            ((1e-3, "0.001″"), (1, "1″"), (60, "1′"), (3600, "1°"), (324e3, "90°")),
        )
        canvas.box(plot.left, noise, plot.right, plot.bottom, NOISE, hatch=HATCH)
        sides = np.geomspace(1, LARGEST, 60)
        seconds = excess.from_sides(*[sides * 1000] * 3, WGS84.mean_radius)
        plot.curve(sides, seconds, colour=ELLIPSOID, width=2.6)
        canvas.note(self.TABLE, 542, self.NOISE, colour=INK)

    def update(self, site, size, turn, stretch):
        """Draw the triangle three times, its angles and its excess; return the readout."""
        whole = size >= LARGEST
        triangle = octant(site) if whole else corners(site, size, turn, stretch)
        radius = WGS84.gaussian_radius(OCTANT_MIDDLE if whole else site.latitude)
        sides, _, _ = lines.inverse(*triangle, *(np.roll(part, -1) for part in triangle), WGS84)
        found = excess.angles(*triangle, WGS84)
        seconds = excess.on_ellipsoid(*triangle, WGS84)
        surface = abs(_WGS84.polygon_area_perimeter(triangle[1], triangle[0])[0]) / 1e6
        meridian = 6 * math.floor((site.longitude + 180) / 6) % 360 - 177
        wide = self._across(triangle, meridian) > self.ZONE
        self._view = site.latitude, site.longitude
        right = RIGHT - 40 if wide else 752
        self.plot = LogPlot(self.canvas, 544, 330, right, 496, across=(1, LARGEST), up=(5e-4, 8e5))
        self.canvas.layer((*self._view, wide), lambda: self._still(wide))
        self._on_globe(site, triangle, found, size, whole)
        self._table(sides, found, radius, seconds, surface)
        self._mark(size, seconds)
        closure = None if wide else self._on_grid(site, meridian, triangle, size, seconds)
        return self._readout(site, sides, seconds, surface, closure, whole)

    def drag(self, name, x, y, begins):
        """Take a corner: how far it is from the site is the size, and which way the turn."""
        latitude, longitude = self.GLOBE.above(*self._view).to_earth(x, y)
        distance, azimuth, _ = lines.inverse(*self._view, latitude, longitude, WGS84)
        radius = WGS84.gaussian_radius(self._view[0])
        side = 2 * radius * math.asin(min(1.0, math.sin(distance / radius) * math.sin(math.pi / 3)))
        turn = azimuth - 120 * "abc".index(name[-1])
        return {"size": side / 1000, "turn": turn % 360}

    def _still(self, wide):
        """Draw the globe turned to the site, and the plot: they stay while the triangle changes."""
        self.GLOBE.above(*self._view).land(self.canvas)
        self._still_plot(wide)

    def _on_globe(self, site, triangle, found, size, whole):
        canvas = self.canvas
        view = self.GLOBE.above(site.latitude, site.longitude)
        latitude, longitude = _outline(*triangle, 24)
        x, y, _ = view.to_canvas(latitude, longitude)
        view.area(canvas, latitude, longitude, ELLIPSOID, opacity=0.25)
        view.line(canvas, latitude, longitude, colour=ELLIPSOID, width=2.8)
        if size < self.DOT:
            view.here(canvas, site.latitude, site.longitude)
        else:
            canvas.disc(self.GLOBE.x, self.GLOBE.y, 7, palette.SITE, edge=INK, rim=1.4)
        if size < self.LETTERED:
            right = max(self.GLOBE.x + 18, x.max() + 10)
            canvas.words(right, self.GLOBE.y - 1, site.name, bold=True, halo=True)
        else:
            self._corners(x, y, found)
        note = (
            "A at the pole, B and C on the equator: an eighth of the Earth"
            if whole
            else ("seen from straight above the site")
        )
        canvas.note(LEFT, 542, note, colour=INK)

    def _corners(self, x, y, found):
        """Draw the corners of an outline, each with its angle outside it."""
        canvas, globe = self.canvas, self.GLOBE
        step = len(x) // 3
        middle = x[:-1].mean(), y[:-1].mean()
        for row, angle in enumerate(found):
            at, before = row * step, (row * step - 1) % (len(x) - 1)
            here = x[at], y[at]
            first, last = (
                math.degrees(math.atan2(x[to] - here[0], here[1] - y[to]))
                for to in (before, at + 1)
            )
            canvas.arc(*here, 17, first, first + (last - first + 180) % 360 - 180, width=1.6)
            canvas.disc(*here, 9, WHITE, edge=NORMAL, rim=2)
            canvas.grip("corner" + "abc"[row], *here)
            words = f"{'ABC'[row]} {write.number(angle, 1)}°"
            half = canvas.width_of(words, bold=True) / 2
            away = math.atan2(here[1] - middle[1], here[0] - middle[0])
            beyond = 18
            if math.hypot(here[0] - globe.x, here[1] - globe.y) > globe.radius - 24:
                beyond = -32  # there is no room beyond the rim
            beside = here[0] + math.copysign(half + 10, beyond) * math.cos(away)
            left, right = LEFT + half, self.TABLE - 12 - half
            canvas.words(
                min(max(beside, left), right),
                here[1] + beyond * math.sin(away),
                words,
                bold=True,
                to="both",
                halo=True,
            )

    def _table(self, sides, found, radius, seconds, surface):
        canvas, (plane, sphere, ellipsoid) = self.canvas, self.COLUMNS
        places = decimals(seconds)
        canvas.note(sphere, 80, f"R {write.number(radius / 1000, 1)} km", to="left")
        opposite = np.roll(sides, -1)  # of A: BC
        on_sphere = angles_on_sphere(opposite, radius)
        columns = (
            (plane, angles_in_plane(opposite), 0.0, QUIET),
            (sphere, on_sphere, excess.from_sides(*opposite, radius), INK),
            (ellipsoid, found, seconds, NORMAL),
        )
        for row, side in enumerate(opposite):
            canvas.note(self.TABLE + 20, 108 + 25 * row, length(side))
        for x, column, over, colour in columns:
            for row, angle in enumerate(column):
                y = 108 + 25 * row
                canvas.words(x, y, angles.dms(angle, places), colour=colour, to="left")
            total = angles.dms(180 + over / 3600, places)
            canvas.words(x, 187, total, bold=True, colour=colour, to="left")
        canvas.words(sphere, 224, small_angle(columns[1][2]), to="left")
        canvas.words(
            ellipsoid, 224, small_angle(seconds), size=22, bold=True, colour=NORMAL, to="left"
        )
        canvas.words(ellipsoid, 266, area(surface), to="left")
        one = f"1″ for each {write.number(surface / seconds, 1)} km²"
        canvas.note(sphere, 266, one, to="left")

    def _mark(self, size, seconds):
        plot, canvas = self.plot, self.canvas
        x, y = float(plot.x(size)), float(plot.y(seconds))
        canvas.line([x, x], [y, plot.bottom], width=1.2, dash=palette.DOTS)
        canvas.site(x, y)

    # the grid --------------------------------------------------------------------------------

    def _on_grid(self, site, meridian, triangle, size, seconds):
        """Draw the triangle on a transverse Mercator grid, where it is narrow; return Σ(t−T)."""
        self.canvas.note(800, 308, "on the grid: angle less the ellipsoid’s", colour=INK)
        projection = _transverse_mercator(meridian, site.latitude < 0)
        east, north = projection.forward(*triangle)
        onward = np.roll(east, -1), np.roll(north, -1)
        to_next = projection.arc_to_chord(east, north, *onward)
        to_previous = np.roll(projection.arc_to_chord(*onward, east, north), 1)
        corrections = to_previous - to_next  # grid angle less angle on the ellipsoid
        self._grid_triangle(projection, triangle, size, corrections, decimals(seconds))
        return float(corrections.sum())

    @staticmethod
    def _across(triangle, meridian):
        """Return how far the farthest corner stands from the central meridian, roughly, metres."""
        phi, lam = np.radians(triangle[0]), np.radians(triangle[1] - meridian)
        return WGS84.mean_radius * float(np.abs(np.arcsin(np.cos(phi) * np.sin(lam))).max())

    def _grid_triangle(self, projection, triangle, size, corrections, places):
        canvas, (x0, y0, reach) = self.canvas, self.GRID
        bent = write.two_figures(180e3 / size)
        east, north = projection.forward(*_outline(*triangle, 16))
        sharp = slice(0, None, 16)
        middle = east[sharp][:3].mean(), north[sharp][:3].mean()
        per_metre = reach / np.hypot(east[sharp] - middle[0], north[sharp] - middle[1]).max()
        x, y = x0 + (east - middle[0]) * per_metre, y0 - (north - middle[1]) * per_metre
        share = np.arange(len(x)) / 16
        chord_x, chord_y = (np.interp(share, share[sharp], part[sharp]) for part in (x, y))
        canvas.line(
            chord_x + bent * (x - chord_x),
            chord_y + bent * (y - chord_y),
            colour=ELLIPSOID,
            width=2.4,
            dash=ORANGE_DASH,
        )
        canvas.line(x[sharp], y[sharp], width=1.6)
        for name, at_x, at_y, correction in zip(
            "ABC", x[sharp], y[sharp], corrections, strict=False
        ):
            canvas.disc(at_x, at_y, 7, WHITE, edge=INK, rim=1.6)
            self._grid_corner(at_x, at_y, f"{name} {write.arcseconds(correction, decimals=places)}")
        total = write.MINUS + small_angle(-corrections.sum())
        end = canvas.note(800, 514, "Σ(t − T) = ", colour=INK)
        end = canvas.words(end, 514, total, bold=True)
        end = canvas.note(end, 514, " = −E", colour=INK)
        meridian = f"{abs(projection.lon0)}° {'W' if projection.lon0 < 0 else 'E'}"
        words = f"meridian {meridian}"
        if end + 8 + canvas.width_of(words, NOTE) < RIGHT:  # where Σ is short enough
            canvas.note(RIGHT, 514, words, to="left")
        drawn = f"bend exaggerated {write.number(bent, 0)} ×"
        canvas.note(800, 542, drawn, bold=True, colour=INK)

    def _grid_corner(self, x, y, words):
        x0, y0, _ = self.GRID
        half = self.canvas.width_of(words, NOTE) / 2
        away = math.atan2(y - y0, x - x0)
        x += (half + 10) * math.cos(away)
        y += 16 * math.sin(away)
        x = min(max(x, 792 + half), RIGHT + 12 - half)
        self.canvas.note(x, y, words, colour=INK, to="both", halo=True)

    @staticmethod
    def _readout(site, sides, seconds, surface, closure, whole):
        where = f"round {write.place(site)}"
        if site.name == OWN:
            where += f" ({write.position(site.latitude, site.longitude)})"
        if whole:
            shape = "A pole and a quarter of the equator, an eighth of the Earth"
        elif sides.max() - sides.min() < 0.02 * sides.max():
            shape = f"A triangle with three sides of {write.size(sides.mean())} {where}"
        else:
            shape = f"A triangle with sides of {write.spread(sides.min(), sides.max())} {where}"
        total = angles.dms(180 + seconds / 3600, decimals(seconds))
        noise = write.arcseconds(DIRECTIONS, signed=False)
        words = (
            f"{shape}: the angles sum to {total}, {write.bold(small_angle(seconds) + ' more')} "
            f"than 180° (area {area(surface)}). "
        )
        if seconds < DIRECTIONS:
            words += f"A 1″ total station, {noise} in the sum, does not see it."
        else:
            words += f"A 1″ total station, {noise} in the sum, sees it."
        if closure is not None:
            grid_sum = write.MINUS + small_angle(-closure)
            words += f" On the grid Σ(t − T) is {write.bold(grid_sum)}: the same with a minus."
        return words


_WGS84 = pyproj.Geod(a=WGS84.semi_major, f=WGS84.flattening)


@cache
def _transverse_mercator(meridian, southern):
    """Return the grid of a zone of six degrees, scaled 0.9996 on its central meridian."""
    return grid.TransverseMercator(WGS84, 0, meridian, 0.9996, 500e3, 1e7 if southern else 0)


def _outline(latitude, longitude, parts):
    """Return points along the geodesic sides, `parts` to a side, closed."""
    onward = np.roll(latitude, -1), np.roll(longitude, -1)
    distance, azimuth, _ = lines.inverse(latitude, longitude, *onward, WGS84)
    share = np.arange(parts) / parts
    at_latitude, at_longitude, _ = lines.direct(
        latitude[:, np.newaxis],
        longitude[:, np.newaxis],
        azimuth[:, np.newaxis],
        distance[:, np.newaxis] * share,
        WGS84,
    )
    return tuple(
        np.append(points.ravel(), start)
        for points, start in ((at_latitude, latitude[0]), (at_longitude, longitude[0]))
    )
