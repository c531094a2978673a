"""Figure A: a zone of the transverse Mercator grid, and a seabed baseline on it."""

import math
from dataclasses import dataclass

import numpy as np

from geokit import WGS84, grid, lines, surface
from lessons.canvas import write
from lessons.canvas.globe import Globe, in_one_go
from lessons.canvas.palette import (
    CHOSEN_DASH,
    COAST,
    DOTS,
    ELLIPSOID,
    HAIR,
    INK,
    LAND,
    NORMAL,
    ORANGE_DASH,
    PALE,
    QUIET,
    SEA,
    WHITE,
)
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.figures.grid import polar
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

EARTH_RADIUS = 6_371_000.0  # metres, of the sphere that lengths at depth are taken on
BASELINE, LONG_LINE = 2000.0, 30_000.0  # metres
OWN_ZONE = "the site's own"
ZONES = {
    OWN_ZONE: "own",
    "its western neighbour": -1,
    "its eastern neighbour": 1,
    "of the longitude's other sign": "mirrored",
}
MERIDIANS = {  # by degrees from the central one: how those of the zone look
    -3: {"colour": QUIET, "width": 1.8, "dash": CHOSEN_DASH},
    3: {"colour": QUIET, "width": 1.8, "dash": CHOSEN_DASH},
    0: {"colour": ELLIPSOID, "width": 2.2, "dash": ORANGE_DASH},
}


def zone(site, *, scale=1.0):
    """Figure A: a zone of the grid with scale, convergence, and a baseline at depth."""
    return LiveFigure(
        lambda scale=scale: Zone(scale),
        [
            SitePicker(site, furthest=90),
            Choice("grid", "Zone", "of the grid", ZONES),
        ],
        [
            Slider(
                "carried", "Carried", "° of longitude east of the site", -6, 6, 0,
                step=0.05, decimals=2,
            ),
            Slider(
                "depth", "Depth", "m, of the baseline", 10, 10_000, site.water_depth or 1000,
                step=0.05, log=True, follows="water_depth",
            ),
            Slider("azimuth", "Azimuth", "° of the lines", 0, 359, 30, step=1),
        ],
    )  # fmt: skip


@dataclass(frozen=True)
class OnTheGrid:
    """A point on a grid and what the grid does there; metres, degrees and arcseconds."""

    number: int
    grid: grid.TransverseMercator
    latitude: float
    longitude: float
    east: float
    north: float
    k: float
    convergence: float
    bends: tuple[float, float]  # t − T over the short line and the long one

    @property
    def ppm(self):
        """Return parts per million that the grid is longer."""
        return 1e6 * (self.k - 1)


def _grid_of(site, which):
    """Return the number of a zone and its grid; near a pole there is one grid and no zone."""
    hemisphere = "south" if site.latitude < 0 else "north"
    if polar.beyond_zones(site.latitude):
        return 0, polar.PolarGrid(hemisphere, WGS84)
    of = site.longitude * (-1 if which == "mirrored" else 1)
    number = int(grid.utm_zone(site.latitude, of, exceptions=True))
    if isinstance(which, int):
        number = (number - 1 + which) % 60 + 1
    return number, grid.utm(number, hemisphere, WGS84)


def on_the_grid(site, which, carried, azimuth):
    """Return what a grid does at a site carried east by degrees of longitude."""
    number, plane = _grid_of(site, which)
    longitude = (site.longitude + carried + 180) % 360 - 180
    here = site.latitude, longitude
    east, north = plane.forward(*here)
    ends = lines.direct(*here, azimuth, np.array([BASELINE, LONG_LINE]), WGS84)[:2]
    bends = plane.arc_to_chord(east, north, *plane.forward(*ends))
    return OnTheGrid(
        number, plane, *here, east, north, plane.point_scale(*here), plane.convergence(*here),
        tuple(map(float, bends)),
    )  # fmt: skip


class Zone:
    """The picture of figure A."""

    MAP = (74, 62, 584, 318)  # left, top, right, bottom
    PLOT = (74, 360, 584, 520)
    SPANS = (500, 1000, 1500, 2500, 3500)  # kilometres from the central meridian to the edge
    TABLE = 628  # x
    LEVELS = (378, 438, 516)  # y of grid, ellipsoid and seabed
    MIDDLE, HALF, WIDER = 762, 70, 0.032  # of the baseline; points a side for each ppm

    def __init__(self, scale):
        canvas = self.canvas = Canvas("A zone of the grid", scale=scale)
        canvas.box(*self.MAP, SEA)
        canvas.rule(322, self.TABLE)
        canvas.words(self.TABLE, 342, "a baseline of 2\u202f000.00 m at the seabed", bold=True)
        canvas.keep()

    def update(self, site, grid, carried, depth, azimuth):
        """Draw map, profile, table and baseline; return the readout."""
        found = on_the_grid(site, grid, carried, azimuth)
        deep = surface.to_ellipsoid(BASELINE, -depth, EARTH_RADIUS)
        place = found.number, found.latitude, found.longitude
        self.canvas.layer(place, lambda: self._of_place(found))
        self._table(site, found)
        self._baseline(depth, deep, deep * found.k)
        return self._readout(site, found, depth, deep)

    def _of_place(self, found):
        """Draw map and profile, which depth and azimuth leave as they are."""
        if found.number:
            off = abs(found.east - 500_000) / 1000
            half = next((span for span in self.SPANS if off < 0.94 * span), self.SPANS[-1])
            self._map(found, half)
            self._profile(found, half)
        else:
            polar.draw_map(self.canvas, self.MAP, found)
            polar.draw_profile(self.canvas, self.PLOT, found)

    # the map and the scale below it --------------------------------------------------------

    def _on_map(self, found, half, latitude, longitude):
        """Return places on the map, to scale, as x, y; its middle is the site's northing."""
        return np.stack(self._placed(found, half, *found.grid.forward(latitude, longitude)), -1)

    def _placed(self, found, half, east, north):
        left, top, right, bottom = self.MAP
        per_metre = (right - left) / (2000 * half)
        x = (left + right) / 2 + (np.asarray(east) - 500_000) * per_metre
        return x, (top + bottom) / 2 - (np.asarray(north) - found.north) * per_metre

    def _map(self, found, half):
        canvas, plane = self.canvas, found.grid
        left, _, right, _ = self.MAP
        canvas.clip(*self.MAP)
        reach = math.degrees(half / 6371) * 1.5
        middle = Globe(0, 0, 1).above(found.latitude, plane.lon0)
        rings = middle.coast_within(min(reach, 29))
        if rings:
            outlines = in_one_go(rings, lambda *ring: self._on_map(found, half, *ring))
            canvas.outlines(outlines, fill=LAND, edge=COAST, width=0.8)
        self._graticule(found, half)
        x, y = map(float, self._placed(found, half, found.east, found.north))
        canvas.line([left, right], [y, y], colour=INK, width=1.2, dash=DOTS)
        canvas.clip()
        canvas.box(*self.MAP, edge=QUIET, width=1)
        self._norths(x, y, found)

    def _graticule(self, found, half):
        canvas, lon0 = self.canvas, found.grid.lon0
        tall = math.degrees(half * 0.6 / 6371)
        south, north = max(-89.9, found.latitude - tall), min(89.9, found.latitude + tall)
        step = 1 if half <= 500 else 3
        widest = math.cos(math.radians(max(abs(south), abs(north))))
        around = min(75.0, math.degrees(half / 6371) * 1.1 / widest)
        step = step if around < 15 else 3
        parallels = np.arange(math.ceil(south / step) * step, math.floor(north) + 1, step)
        turns = np.arange(-int(around / step) * step, int(around) + 1, step)
        across, along = np.linspace(-around, around, 41), np.linspace(south, north, 41)
        meridians = np.concatenate([turns, list(MERIDIANS)])[:, np.newaxis]
        latitudes = [
            np.repeat(parallels[:, np.newaxis], 41, 1), np.tile(along, (meridians.size, 1)),
        ]  # fmt: skip
        longitudes = [np.tile(across, (parallels.size, 1)), meridians + 0 * along]
        lines = self._on_map(found, half, np.vstack(latitudes), lon0 + np.vstack(longitudes))
        special = len(MERIDIANS)
        canvas.outlines(lines[:-special], edge=WHITE, width=0.8)
        for line, look in zip(lines[-special:], MERIDIANS.values(), strict=True):
            canvas.line(*line.T, **look)

    def _norths(self, x, y, found):
        """Draw true north and grid north at the site, their angle eight times too large."""
        canvas, long = self.canvas, 92
        turn = max(-70.0, min(70.0, -8 * found.convergence))  # true north as the grid sees it
        tip = x + long * math.sin(math.radians(turn)), y - long * math.cos(math.radians(turn))
        canvas.line([x, x], [y, y - long], colour=WHITE, width=5)
        canvas.arrow((x, y), (x, y - long), colour=INK, width=2.4)
        canvas.arrow((x, y), tip, colour=NORMAL, width=2.4, dash=ORANGE_DASH)
        side = 1 if turn <= 0 else -1
        away = "right" if side > 0 else "left"
        canvas.note(x + side * 7, y - long + 4, "grid", colour=INK, bold=True, to=away, halo=True)
        other = "left" if side > 0 else "right"
        beside = tip[0] - side * 7, tip[1] + 4
        canvas.note(*beside, "true", colour=NORMAL, bold=True, to=other, halo=True)
        canvas.site(x, y)

    def _profile(self, found, half):
        """Draw the scale across the zone at the site's northing."""
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT
        east = 500_000 + 1000 * half * np.linspace(-1, 1, 61)
        radius = WGS84.gaussian_radius(found.latitude)
        ppm = 1e6 * (0.9996 * (1 + ((east - 500_000) / 0.9996 / radius) ** 2 / 2) - 1)
        highest = 1e6 * (0.9996 * (1 + (1000 * half / 0.9996 / radius) ** 2 / 2) - 1)
        low, high = -600 - highest / 12, highest * 1.05

        def y(value):
            return bottom - (np.asarray(value) - low) / (high - low) * (bottom - top)

        step = next(step for step in (500, 2000, 5000, 20_000, 50_000) if 6 * step > high)
        for mark in (-400, *range(0, int(high), step)):
            level = float(y(mark))
            canvas.line([left, right], [level, level], colour=PALE if mark else QUIET, width=1.2)
            if mark != -400 or half == 500:
                words = write.number(mark, 0, signed=True)
                canvas.note(left - 8, level, words, to="left")
        middle = (left + right) / 2
        canvas.line([middle, middle], [top, bottom], colour=ELLIPSOID, width=1.6, dash=ORANGE_DASH)
        canvas.clip(*self.PLOT)
        canvas.line(np.linspace(left, right, 61), y(ppm), colour=INK, width=2.6)
        canvas.clip()
        canvas.box(*self.PLOT, edge=HAIR, width=1)
        for kilometres in (-half, -half // 2, 0, half // 2, half):
            x = middle + kilometres / half * (right - left) / 2
            name = f"{write.number(500 + kilometres, 0)} km" if kilometres else "500 km E"
            canvas.note(x, bottom + 14, name, to="both")
        x = middle + (found.east - 500_000) / 1000 / half * (right - left) / 2
        canvas.line([x, x], [self.MAP[3], bottom], colour=INK, width=1.2, dash=DOTS)
        canvas.note(LEFT, top - 18, "scale in ppm, grid against ellipsoid", colour=INK, halo=True)
        canvas.site(x, float(y(found.ppm)))

    # the numbers ---------------------------------------------------------------------------

    def _table(self, site, found):
        canvas, letter = self.canvas, "S" if site.latitude < 0 else "N"
        meridian = f"{abs(found.grid.lon0):.0f}° {'W' if found.grid.lon0 < 0 else 'E'}"
        title = f"UTM zone {found.number} {letter}, WGS 84, central meridian {meridian}"
        if not found.number:
            title = polar.title(found.grid)
        canvas.note(canvas.beside_title, 34, title, sit="baseline")
        canvas.words(self.TABLE, 72, site.name, bold=True)
        turned = ((found.longitude - found.grid.lon0 + 180) % 360) - 180
        words = f"{write.number(abs(turned), 2)}° {'west' if turned < 0 else 'east'}"
        rows = (
            ("of the central meridian" if found.number else "of Greenwich", words, INK),
            ("easting", write.metres(found.east, 1, signed=False), INK),
            ("northing", write.metres(found.north, 1, signed=False), INK),
            ("point scale k", write.number(found.k, 6), INK),
            ("1 km of ellipsoid, on the grid", _kilometre(1000 * found.k), INK),
            ("1 km of grid, on the ellipsoid", _kilometre(1000 / found.k), NORMAL),
            ("convergence γ", _degrees(found.convergence), INK),
            ("t − T over 2 km and 30 km", " and ".join(map(_bend, found.bends)), INK),
        )
        canvas.rows(self.TABLE, RIGHT, 98, rows, 26)
        canvas.note(
            self.TABLE,
            302,
            "map to scale; the angle between the norths exaggerated 8 ×"
            if found.number
            else "map and angle to scale",
            colour=INK,
        )

    def _baseline(self, depth, deep, on_grid):
        """Draw the same baseline at the seabed, on the ellipsoid and on the grid."""
        canvas, (top, level, seabed) = self.canvas, self.LEVELS
        middle = self.MIDDLE
        half_deep = self.HALF
        half_up = half_deep + self.WIDER * 1e6 * (deep / BASELINE - 1)
        half_grid = half_deep + max(-60, min(60, self.WIDER * 1e6 * (on_grid / BASELINE - 1)))
        left = self.TABLE
        canvas.box(left, level, left + 268, seabed, SEA)
        canvas.box(left, seabed, left + 268, seabed + 26, LAND)
        for side in (-1, 1):
            foot, head = middle + side * half_deep, middle + side * half_up
            canvas.line([foot, head], [seabed, level], colour=NORMAL, width=1.8, dash=ORANGE_DASH)
            tip = middle + side * half_grid
            canvas.line([head, tip], [level, top], colour=INK, width=1.2, dash=DOTS)
        for y, half, look in (
            (top, half_grid, {"colour": INK, "dash": CHOSEN_DASH}),
            (level, half_up, {"colour": ELLIPSOID, "dash": ORANGE_DASH}),
            (seabed, half_deep, {"colour": COAST}),
        ):
            canvas.line([middle - half, middle + half], [y, y], width=3.2, **look)
            for side in (-1, 1):
                canvas.disc(middle + side * half, y, 9, WHITE, edge=look["colour"], rim=2)
        for y, name, length, colour in (
            (top, "on the grid", on_grid, INK),
            (level, "on the ellipsoid", deep, NORMAL),
            (seabed, f"at {write.number(depth, 0)} m", BASELINE, INK),
        ):
            words = write.metres(length, 2, signed=False)
            canvas.words(RIGHT, y - 8, words, bold=True, to="left", colour=colour)
            canvas.note(RIGHT, y + 12, name, to="left", colour=colour)
        canvas.note(left, 553 - 4, "on a sphere of 6\u202f371 km; widths not to scale")

    @staticmethod
    def _readout(site, found, depth, deep):
        where = f"in zone {found.number}" if found.number else "UTM has ended; on UPS"
        return (
            f"At {write.place(site)} {where}: 1\xa0km of grid is "
            f"{write.bold(_kilometre(1000 / found.k))} of ellipsoid; grid north "
            f"{write.bold(_turned(found.convergence))}; t\xa0−\xa0T {_bend(found.bends[0])} over "
            f"2\xa0km. 2\u202f000.00\xa0m at {write.number(depth, 0)}\xa0m: "
            f"{write.bold(write.metres(deep, 2, signed=False))} on the ellipsoid, "
            f"{write.bold(write.metres(deep * found.k, 2, signed=False))} on the grid."
        )


def _kilometre(metres):
    return write.metres(metres, 2, signed=False)


def _degrees(convergence):
    return write.number(convergence, 3, signed=True) + "°"


def _turned(convergence):
    """Return the convergence in words."""
    if abs(convergence) < 0.0005:
        return "is true"
    way = "east" if convergence > 0 else "west"
    return f"lies {write.number(abs(convergence), 3)}° {way} of true"


def _bend(seconds):
    return write.arcseconds(seconds, decimals=2 if abs(seconds) < 9.995 else 1)
