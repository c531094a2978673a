"""Figure C: six projections over one site, and what each does to a small circle there."""

import math
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

import numpy as np
from pyproj import Proj

from geokit import WGS84, Ellipsoid, coastline
from lessons.canvas import write
from lessons.canvas.globe import Globe, in_one_go
from lessons.canvas.palette import COAST, DOTS, ELLIPSOID, INK, LAND, PLUMB, QUIET, SEA, WHITE
from lessons.canvas.pen import LEFT, Canvas
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

FURTHEST = 89.9  # degrees of latitude: on three of the six the pole is infinitely far away
FAR = 20_000  # points: nothing is drawn farther off than that
TABLE = np.linspace(-89.9, 89.9, 1799)  # degrees of latitude, to read heights on a cylinder from
FARTHEST = 4000  # kilometres from the site to the edge of a map
BESIDE = 3  # points beyond a map's frame, where the edge of its land is out of sight
STRIP = 2.0  # degrees from the site to each standard parallel of the cone


@dataclass(frozen=True)
class Projection:
    """
    A projection of an ellipsoid: PROJ's parameters without the ellipsoid, and how it stretches.

    `spherical` takes latitudes of the ellipsoid for those of a sphere, as web Mercator does;
    lengths on the ground stay those of the ellipsoid.
    """

    parameters: dict
    ellipsoid: Ellipsoid
    spherical: bool = False

    @cached_property
    def _proj(self):
        flattening = 0.0 if self.spherical else self.ellipsoid.flattening
        return Proj(a=self.ellipsoid.semi_major, f=flattening, **self.parameters)

    @property
    def is_cylinder(self):
        """Whether meridians are parallel lines, evenly apart."""
        return self.parameters["proj"] in ("merc", "cea")

    def forward(self, latitude, longitude):
        """Return x and y on the map, in its units; infinite where it has none."""
        return self._proj(longitude, latitude)

    def inverse(self, x, y):
        """Return latitude and longitude of places on the map; infinite beyond its edge."""
        longitude, latitude = self._proj(x, y, inverse=True)
        return latitude, longitude

    def stretch(self, latitude, longitude):
        """
        Return what a step of one metre east and one north on the ground becomes on the map.

        An array of shape (…, 2, 2), in metres on the map: rows x and y, columns east and north.
        It is the derivative that PROJ gives, against the lengths of one radian on the ellipsoid.
        """
        factors = self._proj.get_factors(longitude, latitude, errcheck=False)
        a = self.ellipsoid.semi_major  # PROJ's derivatives are for a semi-major axis of 1
        east = self.ellipsoid.prime_vertical_radius(latitude) * np.cos(np.radians(latitude)) / a
        north = self.ellipsoid.meridian_radius(latitude) / a
        rows = (
            [factors.dx_dlam / east, factors.dx_dphi / north],
            [factors.dy_dlam / east, factors.dy_dphi / north],
        )
        return np.moveaxis(np.array(rows), (0, 1), (-2, -1))

    def tissot(self, latitude, longitude):
        """Return the largest and the smallest scale at a point: half axes of the indicatrix."""
        return np.moveaxis(np.linalg.svd(self.stretch(latitude, longitude))[1], -1, 0)


@dataclass(frozen=True)
class Effect:
    """What a projection does at a site: scales, degrees."""

    east: float  # scale of a line east
    north: float
    most: float
    least: float
    turned: float  # azimuth of the map's up, in degrees

    @property
    def area(self):
        """Return by how much areas are larger on the map."""
        return self.most * self.least

    @property
    def bent(self):
        """Return by how much an angle may be wrong, in degrees: Snyder 4-1."""
        return math.degrees(2 * math.asin((self.most - self.least) / (self.most + self.least)))


def effect(projection, latitude, longitude):
    """Return what a projection does at a point."""
    matrix = projection.stretch(latitude, longitude)
    most, least = np.linalg.svd(matrix)[1]
    up = np.linalg.solve(matrix, [0.0, 1.0])  # the way on the ground that leads up the map
    east, north = np.hypot(*matrix)
    return Effect(
        float(east), float(north), float(most), float(least), math.degrees(math.atan2(*up))
    )


def over(site):
    """Return the six projections by name, laid over a site as somebody would choose them."""
    lon0, pole = site.longitude, -90 if site.latitude < 0 else 90
    middle = math.copysign(min(max(abs(site.latitude), 1.5 * STRIP), 89.99 - STRIP), site.latitude)
    central = 6 * math.floor(lon0 / 6) + 3
    return {
        "Mercator": Projection({"proj": "merc", "lon_0": lon0}, WGS84),
        "web Mercator": Projection({"proj": "merc", "lon_0": lon0}, WGS84, spherical=True),
        "transverse Mercator": Projection(
            {"proj": "tmerc", "algo": "poder_engsager", "lon_0": central, "k_0": 0.9996}, WGS84
        ),
        "Lambert conformal conic": Projection(
            {
                "proj": "lcc",
                "lon_0": lon0,
                "lat_0": middle,
                "lat_1": middle - STRIP,
                "lat_2": middle + STRIP,
            },
            WGS84,
        ),
        "polar stereographic": Projection(
            {"proj": "stere", "lat_0": pole, "lat_ts": pole, "k_0": 0.994}, WGS84
        ),
        "equal-area cylinder": Projection({"proj": "cea", "lat_ts": 30, "lon_0": lon0}, WGS84),
    }


@lru_cache(maxsize=8)
def measured(site):
    """Return the six projections over a site by name, each with what it does there."""
    return {
        name: (projection, effect(projection, site.latitude, site.longitude))
        for name, projection in over(site).items()
    }


ABOUT = {
    "Mercator": "true on the equator",
    "web Mercator": "by a sphere’s formula",
    "transverse Mercator": "k₀ 0.9996, as UTM",
    "Lambert conformal conic": "true at ±2°",
    "polar stereographic": "k₀ 0.994, as UPS",
    "equal-area cylinder": "true at 30° N and S",
}


def projections(site, *, scale=1.0):
    """Figure C: six projections over the site, with the circles that each makes of circles."""
    return LiveFigure(
        lambda scale=scale: Projections(scale),
        [
            SitePicker(site, furthest=FURTHEST),
            Choice("chosen", "Projection", "put in words below", {name: name for name in ABOUT}),
            Slider(
                "reach", "Reach", "km, site to edge", 200, FARTHEST, FARTHEST, step=0.05, log=True
            ),
        ],
    )


class Projections:
    """The picture of figure C."""

    WIDE, TALL, ACROSS, DOWN = 344, 164, 364, 240  # of a map; from one to the next
    TOP = 56
    CIRCLE = 17  # points, radius at the site
    COLUMNS, ROWS = 5, 3  # of circles

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Six ways onto a plane", scale=scale)
        for place, name in enumerate(ABOUT):
            left, top = self._corner(place)
            canvas.box(left, top, left + self.WIDE, top + self.TALL, SEA)
            canvas.note(left + self.WIDE, top + self.TALL + 17, ABOUT[name], to="left")
        canvas.note(
            LEFT,
            544,
            "orange: what becomes of one small circle in different places, computed; dotted: its "
            "size where lengths are kept",
            colour=INK,
        )
        canvas.keep()

    def _corner(self, place):
        row, column = divmod(place, 3)
        return LEFT + self.ACROSS * column, self.TOP + self.DOWN * row

    def update(self, site, chosen, reach):
        """Draw the six maps with their circles; return the readout."""
        canvas = self.canvas
        canvas.layer((site.latitude, site.longitude, reach), lambda: self._maps(site, reach))
        canvas.note(
            canvas.beside_title,
            34,
            f"at {site.name}, each map {write.number(2 * reach, 0)} km wide at the site’s scale",
            sit="baseline",
        )
        for place, (name, (_, found)) in enumerate(measured(site).items()):
            self._caption(place, name, found, name == chosen)
        return self._readout(site, chosen)

    def _maps(self, site, reach):
        maps = zip(measured(site).values(), coasts(site), strict=True)
        for place, ((projection, found), coast) in enumerate(maps):
            self._map(place, projection, found, site, reach, coast)

    def _map(self, place, projection, found, site, reach, coast):
        canvas, (left, top) = self.canvas, self._corner(place)
        frame = left, top, left + self.WIDE, top + self.TALL
        middle = np.array([left + self.WIDE / 2, top + self.TALL / 2])
        per_metre = self.WIDE / (2000 * reach) / math.sqrt(found.area)
        x0, y0 = projection.forward(site.latitude, site.longitude)

        def placed(x, y):
            x, y = np.asarray(x) - x0, np.asarray(y) - y0
            return middle + np.stack([x, -y], -1) * per_metre

        canvas.clip(*frame)
        half = np.array([self.WIDE, self.TALL]) / 2 / per_metre
        outlines = coast.within(*(half + BESIDE / per_metre))
        outlines = in_one_go(outlines, lambda x, y: shown(placed(x + x0, y + y0)))
        if outlines:
            canvas.outlines(outlines, fill=LAND, edge=COAST, width=0.7)
        self._graticule(projection, placed, site, reach)
        self._circles(projection, middle, per_metre, (x0, y0), math.sqrt(found.area))
        canvas.clip()

    def _graticule(self, projection, placed, site, reach):
        """Draw meridians and parallels round the site."""
        tall = math.degrees(reach / 6371) * 1.3
        step = next(step for step in (1, 2, 5, 10, 15, 30) if step * 4 > tall)
        south, north = max(-86, site.latitude - tall), min(86, site.latitude + tall)
        half = min(90, tall / math.cos(math.radians(min(80, abs(site.latitude)))) * 1.3)
        wide = step * math.ceil(half / step / 6)
        parallels = np.arange(math.ceil(south / step), math.floor(north / step) + 1) * step
        meridians = (
            np.arange(
                math.ceil((site.longitude - half) / wide),
                math.floor((site.longitude + half) / wide) + 1,
            )
            * wide
        )
        points = 2 if projection.is_cylinder else 25  # of a line: straight, or bent
        along = np.linspace(south, north, points)
        across = site.longitude + np.linspace(-half, half, points)
        latitude = np.vstack(
            [np.repeat(parallels[:, np.newaxis], points, 1), np.tile(along, (meridians.size, 1))]
        )
        longitude = np.vstack(
            [np.tile(across, (parallels.size, 1)), np.repeat(meridians[:, np.newaxis], points, 1)]
        )
        lines = placed(*projection.forward(latitude, longitude))
        self.canvas.outlines(shown(lines), edge=WHITE, width=0.8)

    def _circles(self, projection, middle, per_metre, centre, site_scale):
        """Draw what becomes of small circles, in rows and columns round the site."""
        canvas = self.canvas
        columns = (np.arange(self.COLUMNS) - self.COLUMNS // 2) * self.WIDE / self.COLUMNS
        rows = (np.arange(self.ROWS) - self.ROWS // 2) * self.TALL / self.ROWS
        right, down = (part.ravel() for part in np.meshgrid(columns, rows))
        latitude, longitude = projection.inverse(
            centre[0] + right / per_metre, centre[1] - down / per_metre
        )
        seen = np.isfinite(latitude) & (np.abs(latitude) < 89.5)
        matrices = projection.stretch(latitude[seen], longitude[seen])
        turn = np.linspace(0, 2 * math.pi, 37)
        round_ = np.stack([np.cos(turn), np.sin(turn)])
        ellipses = self.CIRCLE / site_scale * (matrices @ round_)
        at = middle + np.stack([right, down], -1)[seen]
        shapes = at[:, np.newaxis] + np.moveaxis(ellipses, -2, -1) * [1, -1]
        if len(shapes):
            canvas.outlines(shapes, edge=ELLIPSOID, width=1.8)
        kept = self.CIRCLE / site_scale
        canvas.line(*(middle[:, np.newaxis] + kept * round_), colour=INK, width=1.8, dash=DOTS)
        canvas.site(*middle)

    def _caption(self, place, name, found, chosen):
        canvas, (left, top) = self.canvas, self._corner(place)
        bottom = top + self.TALL
        frame = {"edge": INK, "width": 3} if chosen else {"edge": QUIET, "width": 1}
        canvas.box(left, top, left + self.WIDE, bottom, **frame)
        canvas.words(left, bottom + 16, name, bold=True, colour=PLUMB if chosen else INK)
        canvas.note(left, bottom + 37, _lengths(found), colour=INK)
        canvas.note(left, bottom + 55, f"{_angles(found)}; {_area(found)}", colour=INK)

    @staticmethod
    def _readout(site, chosen):
        effects = {name: found for name, (_, found) in measured(site).items()}
        found = effects[chosen]
        others = ", ".join(
            f"{name} {_range(one)}" for name, one in effects.items() if name != chosen
        )
        return (
            f"At {write.place(site)} {write.bold(chosen)}: {write.bold(_lengths(found))}, "
            f"{write.bold(_angles(found))}, {write.bold(_area(found))}; {_up(found)}. "
            f"Lengths on the others: {others}."
        )


def shown(points):
    """Return points no farther off than anything is drawn."""
    return np.clip(points, -FAR, FAR)


@dataclass(frozen=True)
class Coast:
    """A coast on a map: all its points, in metres from the site, and where each ring begins."""

    points: np.ndarray
    begins: np.ndarray

    def within(self, right, up):
        """
        Return the rings of a map that reaches so many metres from the site.

        Of points that follow one another beyond the same edge the first and the last are enough.
        """
        x, y = self.points.T
        beyond = np.zeros(len(x), np.int8)  # which edge
        for edge, out in enumerate((x < -right, x > right, y < -up, y > up), 1):
            beyond[out] = edge
        kept = beyond == 0
        changes = beyond[1:] != beyond[:-1]
        kept[1:] |= changes
        kept[:-1] |= changes
        ends = np.append(self.begins[1:], len(x))
        kept[self.begins] = kept[ends - 1] = True
        first, last = (pick.reduceat(beyond, self.begins) for pick in (np.minimum, np.maximum))
        kept &= np.repeat((first != last) | (first == 0), ends - self.begins)
        counts = np.add.reduceat(kept, self.begins, dtype=int)
        counts = counts[counts > 0]
        return np.split(self.points[kept], np.cumsum(counts)[:-1]) if counts.size else []


@lru_cache(maxsize=4)
def coasts(site):
    """Return the coast of the six maps of a site, as far as the largest of them shows it."""
    near = Globe(0, 0, 1).above(site.latitude, site.longitude)
    # farther than the farthest corner, for the maps that are bent
    rings = near.coast_within(min(80.0, math.degrees(FARTHEST / 6371) * 1.6 + 3))
    found = []
    for projection, _ in measured(site).values():
        centre = np.array(projection.forward(site.latitude, site.longitude))
        if projection.is_cylinder:
            points, begins = _flat_coast(projection)
        else:
            points = np.column_stack(projection.forward(*np.vstack(rings).T))
            begins = np.cumsum([0, *map(len, rings[:-1])])
        found.append(Coast(points - centre, begins))
    return found


def _flat_coast(projection):
    """Return the coast on an upright cylinder, where east is even and goes on for ever."""
    lon0 = projection.parameters["lon_0"]
    (x0, x1), _ = projection.forward(np.zeros(2), lon0 + np.array([0.0, 1.0]))
    _, heights = projection.forward(TABLE, np.full_like(TABLE, lon0))
    (latitude, longitude), begins = _flat_rings()
    y = np.interp(latitude, TABLE, heights)
    x = x0 + (longitude - lon0) * (x1 - x0)
    turns = np.array([-360, 0, 360])
    points = np.column_stack([(x + turns[:, np.newaxis] * (x1 - x0)).ravel(), np.tile(y, 3)])
    return points, np.concatenate([begins + copy * len(x) for copy in range(3)])


@cache
def _flat_rings():
    """Return latitudes and running longitudes of each ring once, and where each begins."""
    rings = [ring for ring in coastline.flat_rings() if -180 <= ring[:, 1].mean() < 180]
    return np.vstack(rings).T, np.cumsum([0, *map(len, rings[:-1])])


def _scale(value):
    return f"× {write.number(value, 5 if abs(value - 1) < 0.005 else 3)}"


def _range(found):
    least, most = _scale(found.least), _scale(found.most)
    return most if least == most else f"{least} to {write.number(found.most, 3)}"


def _same(found):
    """Whether lengths are the same in all directions, to what is written."""
    return found.most - found.least < 5e-7 * found.most


def _lengths(found):
    if _same(found):
        return f"lengths {_scale(found.most)} in all directions"
    return f"lengths {_scale(found.east)} east, {_scale(found.north)} north"


def _angles(found):
    if _same(found):
        return "angles kept"
    decimals = 3 if found.bent < 0.1 else 2 if found.bent < 1 else 1
    return f"angles wrong by up to {write.number(found.bent, decimals)}°"


def _area(found):
    if abs(found.area - 1) < 1e-8:
        return "areas kept"
    return f"areas {_scale(found.area)}"


def _up(found):
    if abs(found.turned) < 0.0005:
        return "up is north"
    way = "east" if found.turned > 0 else "west"
    return f"up lies {write.number(abs(found.turned), 2)}° {way} of north"
