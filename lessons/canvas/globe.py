"""
The Earth as it looks from far above a place: a globe with its coast, for any figure.

The sea stays on a canvas and the land moves with the view:

    globe = Globe(254, 306, 230)
    globe.sea(canvas)                         # stays
    canvas.keep()
    ...
    view = globe.above(19.0, -66.125)        # in each update
    view.land(canvas)
    view.line(canvas, latitudes, longitudes, colour=ELLIPSOID, width=2.6)

It is a sphere: latitudes of any kind are laid on it as they are, which at this size shows nothing.
"""

import itertools
import math
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from geokit import coastline
from lessons.canvas import palette
from lessons.canvas.palette import COAST, DEEP, INK, LAND, QUIET, SEA, WHITE

NEXT_TO_POLE = 89.9999  # degrees, 11 m from it: north and east have a meaning here
_CONTINENT = 60  # points: no shorter ring can go round a view of 5 degrees
_SECTOR = 0.2  # radians: how far apart points may stand on the edge of a map
_STEP = math.radians(2)  # the longest edge of a ring; a longer one would cut through the sea


@dataclass(frozen=True)
class Globe:
    """Where a globe lies on a canvas: its centre and radius in points."""

    x: float
    y: float
    radius: float

    def sea(self, canvas):
        """Draw the globe without land, its rim darker; for the part of a canvas that stays."""
        deep, sea = palette.rgb(DEEP), palette.rgb(SEA)
        for part, inner in ((0.67, 1.0), (0.33, 0.99), (0.0, 0.965)):
            mixed = np.rint(part * deep + (1 - part) * sea).astype(int)
            colour = "#" + "".join(f"{channel:02X}" for channel in mixed)
            canvas.disc(self.x, self.y, 2 * self.radius * inner, colour)
        self.rim(canvas)

    def rim(self, canvas):
        """Draw the globe's edge."""
        canvas.disc(self.x, self.y, 2 * self.radius, None, edge=QUIET, rim=1.4)

    def grip(self, canvas):
        """Let a hand take the whole globe."""
        x, y, radius = self.x, self.y, 0.94 * self.radius  # beyond it a finger scrolls
        canvas.grip_area("globe", x - radius, y - radius, x + radius, y + radius)

    def above(self, latitude, longitude):
        """Return the globe as seen from far above a place, north up."""
        return View(self, float(latitude), float(longitude))


@dataclass(frozen=True)
class View:
    """
    A globe seen from above a place.

    Directions are vectors from the Earth's centre, last axis 3: X towards Greenwich on the
    equator, Y towards 90 E, Z towards the north pole, in units of the Earth's radius.
    """

    globe: Globe
    latitude: float
    longitude: float

    def to_canvas(self, latitude, longitude):
        """Return x, y and whether positions lie on the near side."""
        x, y, depth = self.project(directions(latitude, longitude))
        return x, y, depth >= 0

    def project(self, vectors):
        """Return x, y and the height above the picture's plane, in radii, towards the eye."""
        east, north, near = np.moveaxis(np.asarray(vectors) @ self.axes.T, -1, 0)
        globe = self.globe
        return globe.x + globe.radius * east, globe.y - globe.radius * north, near

    @cached_property
    def axes(self):
        """Right, up and towards the eye, as rows."""
        phi, lam = math.radians(self.latitude), math.radians(self.longitude)
        sin_phi, cos_phi, sin_lam, cos_lam = (
            function(angle) for angle in (phi, lam) for function in (math.sin, math.cos)
        )
        return np.array(
            [
                [-sin_lam, cos_lam, 0.0],
                [-sin_phi * cos_lam, -sin_phi * sin_lam, cos_phi],
                [cos_phi * cos_lam, cos_phi * sin_lam, sin_phi],
            ]
        )

    def turned(self, east, down):
        """Return what is seen from above when the globe is turned by a hand, in points."""
        latitude = min(max(self.latitude + math.degrees(down / self.globe.radius), -90.0), 90.0)
        away = max(math.cos(math.radians(self.latitude)), 0.2)  # near a pole meridians are close
        return latitude, self.longitude - math.degrees(east / self.globe.radius) / away

    def to_earth(self, x, y):
        """Return latitude and longitude of a point of the canvas; beyond the rim, on the rim."""
        right, up = (x - self.globe.x) / self.globe.radius, (self.globe.y - y) / self.globe.radius
        out = max(1.0, math.hypot(right, up))
        place = self._to_earth(np.array([right / out]), np.array([up / out]))[0]
        return float(place[0]), float(place[1])

    def land(self, canvas):
        """Draw land, coast, and meridians and parallels each 30 degrees."""
        canvas.outlines(self._coast(), fill=LAND, edge=COAST, width=0.7)
        self.graticule(canvas, 0.8)
        self.globe.rim(canvas)

    def graticule(self, canvas, width):
        """Draw meridians and parallels each 30 degrees, all at once."""
        x, y, near = self.project(_graticule())
        canvas.lines(x, y, near >= 0, colour=WHITE, width=width)

    def coast_within(self, degrees):
        """
        Return the coast round the place, for a map of another kind: latitudes and longitudes.

        Rings of shape (n, 2) with land inside. What lies farther off than so many degrees of arc,
        fewer than 90, is pushed to that distance, where the map must have ended.
        """
        limit, rings = math.sin(math.radians(degrees)), []
        centre, radius = (self.globe.x, self.globe.y), self.globe.radius
        for ring in self._coast(degrees):
            flat = (ring - centre) / [radius, -radius]
            far = np.hypot(*flat.T)
            if far.min() < limit or (len(flat) > _CONTINENT and _turns(flat)):  # or land all round
                flat *= np.minimum(1, limit / np.maximum(far, 1e-12))[:, np.newaxis]
                rings.append(_thinned(flat, far > limit) if len(flat) > _CONTINENT else flat)
        return in_one_go(rings, self._to_earth)

    def _to_earth(self, right, up):
        """Return as rows the latitude and longitude of points on the near side, in radii."""
        near = np.sqrt(np.maximum(0, 1 - right**2 - up**2))
        x, y, z = (np.column_stack([right, up, near]) @ self.axes).T
        return np.degrees(np.column_stack([np.arctan2(z, np.hypot(x, y)), np.arctan2(y, x)]))

    def line(self, canvas, latitude, longitude, **look):
        """Draw a line through positions that lie close together, as far as it is on this side."""
        x, y, near = self.project(directions(latitude, longitude))
        for part in _runs(near >= 0):
            if part.stop - part.start > 1:
                canvas.line(x[part], y[part], **look)

    def area(self, canvas, latitude, longitude, fill, **look):
        """Fill a closed line; what lies on the far side is pushed to the rim."""
        ring = self._pushed(directions(latitude, longitude) @ self.axes.T)
        canvas.area(*self._placed(ring).T, fill, **look)

    def here(self, canvas, latitude, longitude):
        """Draw "you are here" with a ring round it, unless it lies on the far side."""
        x, y, near = self.to_canvas(latitude, longitude)
        if near:
            canvas.disc(x, y, 21, None, edge=WHITE, rim=4)
            canvas.disc(x, y, 21, None, edge=INK, rim=1.4)
            canvas.site(x, y)

    def _coast(self, within=90.0):
        """
        Return the rings of the coast as points of the canvas.

        Those that come no nearer than so many degrees are left out, unless they may go all round.
        """
        vectors, starts = _rings()
        turned = vectors @ self.axes.T
        placed = self._placed(turned)
        highest, lowest = (
            end.reduceat(turned[:, 2], starts[:-1]) for end in (np.maximum, np.minimum)
        )
        seen = highest >= math.sin(math.radians(90 - within))
        seen |= (highest >= 0) & (np.diff(starts) > _CONTINENT)
        whole = lowest >= 0
        rings, backwards = [], []
        for number in np.flatnonzero(seen):
            part = slice(*starts[number : number + 2])
            if whole[number]:
                rings.append(placed[part])
                continue
            # Land round the point opposite the eye, pushed to the rim, goes all round the
            # globe: a second ring the other way makes what it holds the outside.
            ring = turned[part]
            if ring[:, 2].mean() < 0 and (turns := _turns(ring)):
                backwards.append(self._placed(_circle(-turns)))
            rings.append(self._placed(self._pushed(ring)))
        return rings + backwards

    def _placed(self, ring):
        globe = self.globe
        return np.array([globe.x, globe.y]) + ring[:, :2] * [globe.radius, -globe.radius]

    @staticmethod
    def _pushed(ring):
        """Return a closed ring with what lies behind moved out to the rim."""
        behind = ring[:, 2] < 0
        flat = ring[:, :2].copy()
        flat[behind] /= np.maximum(np.hypot(*flat[behind].T), 1e-12)[:, np.newaxis]
        # Near the point opposite the eye a short edge is a long way along the rim.
        wide = behind[:-1] & behind[1:] & ((flat[:-1] * flat[1:]).sum(1) < math.cos(0.1))
        for place in np.flatnonzero(wide)[::-1]:
            flat = np.insert(flat, place + 1, _along_rim(flat[place], flat[place + 1]), axis=0)
        return flat


def off_pole(latitude):
    """Return a latitude; at a pole, that of a point beside it."""
    return min(max(latitude, -NEXT_TO_POLE), NEXT_TO_POLE)


def over_pole(latitude, longitude):
    """Return a position; one that was counted on beyond a pole is on the meridian opposite."""
    if abs(latitude) > 90:
        latitude, longitude = math.copysign(180, latitude) - latitude, longitude + 180
    return latitude, (longitude + 180) % 360 - 180


def directions(latitude, longitude):
    """Return the unit vectors of positions, last axis 3."""
    phi, lam = np.radians(latitude), np.radians(longitude)
    phi, lam = np.broadcast_arrays(phi, lam)
    return np.stack([np.cos(phi) * np.cos(lam), np.cos(phi) * np.sin(lam), np.sin(phi)], -1)


def _runs(wanted):
    """Return slices of the runs of true values."""
    steps = np.flatnonzero(np.diff(np.concatenate([[0], wanted.astype(int), [0]])))
    return [slice(first, last) for first, last in steps.reshape(-1, 2)]


def in_one_go(rings, place):
    """Return rings of shape (n, 2) put through `place`, which is called once for all points."""
    ends = np.cumsum([len(ring) for ring in rings])[:-1]
    return np.split(place(*np.vstack(rings).T), ends) if rings else []


def _thinned(ring, on_edge):
    """Return a ring with fewer of its points where many stand side by side on a map's edge."""
    sector = np.floor(np.arctan2(ring[:, 1], ring[:, 0]) / _SECTOR)
    kept = ~on_edge
    kept[1:] |= ~on_edge[:-1] | (sector[1:] != sector[:-1])
    kept[:-1] |= ~on_edge[1:]
    kept[[0, -1]] = True
    return ring[kept]


def _turns(ring):
    """Return how many times a closed ring goes round the line of sight, anticlockwise +."""
    if not (ring[:, :2].min(0) < 0).all() or not (ring[:, :2].max(0) > 0).all():
        return 0  # all on one side
    azimuth = np.unwrap(np.arctan2(ring[:, 1], ring[:, 0]))
    return round((azimuth[-1] - azimuth[0]) / (2 * math.pi))


def _circle(way):
    turn = way * np.linspace(0, 2 * math.pi, 121)
    return np.column_stack([np.cos(turn), np.sin(turn)])


def _along_rim(start, end):
    first = math.atan2(start[1], start[0])
    turn = (math.atan2(end[1], end[0]) - first + math.pi) % (2 * math.pi) - math.pi
    angle = first + turn * np.linspace(0, 1, 2 + int(abs(turn) / 0.05))[1:-1]
    return np.column_stack([np.cos(angle), np.sin(angle)])


@cache
def _rings():
    """Return the coast as unit vectors with short edges, ring after ring, and where each begins."""
    rings = [_densified(directions(*ring.T)) for ring in coastline.rings()]
    return np.vstack(rings), np.cumsum([0, *map(len, rings)])


def _densified(ring):
    """Return a ring with points put into edges that are too long, along great circles."""
    parts = []
    for start, end in itertools.pairwise(ring):
        length = 2 * math.asin(min(1.0, float(np.linalg.norm(end - start)) / 2))
        steps = max(1, math.ceil(length / _STEP))
        share = np.arange(steps)[:, np.newaxis] / steps
        chord = start + share * (end - start)
        parts.append(chord / np.linalg.norm(chord, axis=1, keepdims=True))
    return np.vstack([*parts, ring[-1:]])


@cache
def _graticule():
    """Return the lines of the graticule as directions, 61 to a line."""
    along, around = np.linspace(-90, 90, 61), np.linspace(-180, 180, 61)
    meridians = directions(along, np.arange(-180, 180, 30)[:, np.newaxis])
    return np.vstack([meridians, directions(np.arange(-60, 90, 30)[:, np.newaxis], around)])
