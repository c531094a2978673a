"""
The grid beyond the zones: universal polar stereographic, and the picture of a site on it.

UTM ends at 84° N and 80° S. Nearer to a pole its sister, UPS, has one grid for each pole: k₀ 0.994
at the pole, which lies 2 000 km east and north of the origin; in the north grid north is the
meridian of 180°, in the south that of Greenwich (EPSG:32661 and 32761).
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from pyproj import Proj

from geokit import lines
from geokit.ellipsoid import Ellipsoid
from lessons.canvas import write
from lessons.canvas.globe import Globe, in_one_go
from lessons.canvas.palette import (
    COAST,
    DOTS,
    HAIR,
    INK,
    LAND,
    NORMAL,
    ORANGE_DASH,
    PALE,
    QUIET,
    WHITE,
)
from lessons.canvas.pen import LEFT

SOUTH_END, NORTH_END = -80.0, 84.0  # degrees of latitude, of UTM
POLE = 2_000_000.0  # metres, easting and northing
RIM = 78.0  # degrees of latitude at the upper and lower edge of the map


@dataclass(frozen=True)
class PolarGrid:
    """UPS of a pole: "north" or "south"; angles as in `geokit.grid`."""

    pole: str
    ellipsoid: Ellipsoid
    lon0 = 0.0

    @cached_property
    def _proj(self):
        shape = self.ellipsoid
        return Proj(
            proj="stere", lat_0=90 if self.pole == "north" else -90, k_0=0.994, x_0=POLE,
            y_0=POLE, a=shape.semi_major, rf=shape.inverse_flattening,
        )  # fmt: skip

    def forward(self, latitude, longitude):
        """Return east and north in metres."""
        return self._proj(longitude, latitude)

    def point_scale(self, latitude, longitude):
        """Return k."""
        beside = np.clip(latitude, -89.9999, 89.9999)
        return self._proj.get_factors(longitude, beside).parallel_scale

    @staticmethod
    def _within(degrees):
        return (degrees + 180) % 360 - 180

    def convergence(self, latitude, longitude):
        """Return γ: all the way round the pole it takes every value."""
        return self._within(longitude if self.pole == "north" else -longitude)

    def arc_to_chord(self, east1, north1, east2, north2):
        """Return t − T in arcseconds at the first point."""
        ends = [self._proj(e, n, inverse=True) for e, n in ((east1, north1), (east2, north2))]
        (lon1, lat1), (lon2, lat2) = ends
        _, azimuth, _ = lines.inverse(lat1, lon1, lat2, lon2, self.ellipsoid)
        chord = np.degrees(np.arctan2(np.subtract(east2, east1), np.subtract(north2, north1)))
        return self._within(chord - azimuth + self.convergence(lat1, lon1)) * 3600


def beyond_zones(latitude):
    """Return whether UTM has no zone here."""
    return not SOUTH_END <= latitude <= NORTH_END


def title(grid):
    """Return what a picture says of the grid beside its title."""
    meridian = "180°" if grid.pole == "north" else "0°"
    return f"beyond UTM: UPS {grid.pole}, WGS 84, grid north along {meridian}"


def draw_map(canvas, frame, found):
    """Draw the polar grid to scale, and at the site grid north and true north."""
    left, top, right, bottom = frame
    middle = (left + right) / 2, (top + bottom) / 2
    sign = 1 if found.grid.pole == "north" else -1
    rim = float(found.grid.forward(sign * RIM, 0.0)[1])
    per_metre = (bottom - top) / 2 / abs(rim - POLE)

    def placed(latitude, longitude):
        east, north = found.grid.forward(latitude, longitude)
        return np.stack(
            [middle[0] + (np.asarray(east) - POLE) * per_metre,
             middle[1] - (np.asarray(north) - POLE) * per_metre], -1,
        )  # fmt: skip

    canvas.clip(*frame)
    rings = Globe(0, 0, 1).above(sign * 90.0, 0.0).coast_within(28)
    if rings:
        canvas.outlines(in_one_go(rings, placed), fill=LAND, edge=COAST, width=0.8)
    around, along = np.linspace(-180, 180, 121), np.linspace(60, 90, 7)
    parallels = [placed(np.full(121, sign * each), around) for each in (70, 75, 80, 84, 88)]
    meridians = [placed(sign * along, np.full(7, each)) for each in range(-180, 180, 30)]
    canvas.outlines([*parallels, *meridians], edge=WHITE, width=0.9)
    end = abs(NORTH_END if sign > 0 else SOUTH_END)
    canvas.line(*placed(np.full(121, sign * end), around).T, colour=INK, width=1.4, dash=DOTS)
    canvas.clip()
    canvas.box(*frame, edge=QUIET, width=1)
    canvas.note(left + 8, bottom - 12, f"dotted: UTM ends at {end:.0f}°", colour=INK, halo=True)
    _norths(canvas, *map(float, placed(found.latitude, found.longitude)), found)


def _norths(canvas, x, y, found):
    long, turn = 84, math.radians(-found.convergence)
    tip = x + long * math.sin(turn), y - long * math.cos(turn)
    canvas.line([x, x], [y, y - long], colour=WHITE, width=5)
    canvas.arrow((x, y), (x, y - long), colour=INK, width=2.4)
    canvas.note(x + 8, y - long + 4, "grid", colour=INK, bold=True, halo=True)
    if abs(found.latitude) < 90:
        canvas.arrow((x, y), tip, colour=NORMAL, width=2.4, dash=ORANGE_DASH)
        side = "left" if tip[0] < x else "right"
        beside = tip[0] + (-8 if side == "left" else 8)
        if abs(tip[0] - x) > 30 or tip[1] > y:
            canvas.note(beside, tip[1], "true", colour=NORMAL, bold=True, to=side, halo=True)
    canvas.site(x, y)


def draw_profile(canvas, frame, found):
    """Draw the scale by the distance from the pole, along a meridian."""
    left, top, right, bottom = frame
    sign = 1 if found.grid.pole == "north" else -1
    latitude = np.linspace(90, RIM, 61)
    k = np.array([found.grid.point_scale(sign * each, 0.0) for each in latitude])
    ppm, low, high = 1e6 * (k - 1), -7000, 6000

    def y(value):
        return bottom - (np.asarray(value) - low) / (high - low) * (bottom - top)

    for mark in (-6000, -3000, 0, 3000):
        level = float(y(mark))
        canvas.line([left, right], [level, level], colour=PALE if mark else QUIET, width=1.2)
        canvas.note(left - 8, level, write.number(mark, 0, signed=True), to="left")
    for each in range(90, 78, -2):
        name = "pole" if each == 90 else f"{each}°"
        at = left + (90 - each) / (90 - RIM) * (right - left)
        canvas.note(at, bottom + 14, name, to="both")
    canvas.clip(*frame)
    canvas.line(np.linspace(left, right, 61), y(ppm), colour=INK, width=2.6)
    canvas.clip()
    canvas.box(*frame, edge=HAIR, width=1)
    canvas.note(LEFT, top - 18, "scale in ppm, by latitude", colour=INK, halo=True)
    here = left + (90 - abs(found.latitude)) / (90 - RIM) * (right - left)
    canvas.site(here, float(y(found.ppm)))
