"""
Maps of the whole Earth for the part of a canvas that stays.

A flat map is plate carrée: equal steps in latitude and longitude, 180 W to 180 E.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geokit import WGS84, coastline, deflection, geoid
from lessons.canvas import palette, write
from lessons.canvas.palette import COAST, INK, LAND, QUIET, SEA, WHITE
from lessons.canvas.pen import Canvas


@dataclass(frozen=True)
class WorldMap:
    """Where a flat map of the Earth lies on a canvas; degrees to points and back."""

    left: float
    top: float
    right: float
    bottom: float
    south: float = -85.0
    north: float = 85.0

    def to_canvas(self, latitude, longitude):
        """Return x and y of positions."""
        longitude = (np.asarray(longitude, float) + 180) % 360
        x = self.left + longitude / 360 * (self.right - self.left)
        down = (self.north - np.asarray(latitude, float)) / (self.north - self.south)
        return x, self.top + down * (self.bottom - self.top)

    def to_earth(self, x, y):
        """Return latitude and longitude of points of the canvas."""
        down = (np.asarray(y, float) - self.top) / (self.bottom - self.top)
        longitude = (np.asarray(x, float) - self.left) / (self.right - self.left) * 360 - 180
        return self.north - down * (self.north - self.south), longitude

    def taken_to(self, x, y):
        """Return what a hand at a place of the map makes of the controls."""
        x, y = min(max(x, self.left), self.right), min(max(y, self.top), self.bottom)
        return {"site": tuple(map(float, self.to_earth(x, y)))}

    def rings(self):
        """Return the coastline's rings as points of the canvas."""
        for ring in coastline.flat_rings():
            latitude, longitude = ring.T
            x = self.left + (longitude + 180) / 360 * (self.right - self.left)
            _, y = self.to_canvas(latitude, 0.0)
            yield np.column_stack([x, y])

    def land_and_sea(self, canvas):
        """Draw sea, land and frame."""
        self._clipped(canvas)
        canvas.box(self.left, self.top, self.right, self.bottom, SEA)
        canvas.outlines(self.rings(), fill=LAND, edge=COAST, width=0.8)
        self._frame(canvas)

    def total_deflection(self, canvas):
        """Draw the total deflection of EGM96 in the colours of sea and land, coast and frame."""
        canvas.picture(self.left, self.top, self.deflection_colours(canvas.scale))
        self._clipped(canvas)
        for meridian in range(-120, 180, 60):
            x, _ = self.to_canvas(0, meridian)
            canvas.line([x, x], [self.top, self.bottom], colour=WHITE, width=0.7)
        for parallel in range(-60, 90, 30):
            _, y = self.to_canvas(parallel, 0)
            canvas.line([self.left, self.right], [y, y], colour=WHITE, width=0.7)
        canvas.outlines(self.rings(), edge=palette.LAND_WORDS, width=0.7)
        self._frame(canvas)

    def geoid_height(self, canvas):
        """Draw the geoid height of EGM96 in steps of 10 m, the line N = 0, coast and frame."""
        canvas.picture(self.left, self.top, _geoid_colours(self, canvas.scale))
        self._clipped(canvas)
        canvas.outlines(self.rings(), edge=QUIET, width=0.8)
        self._frame(canvas)

    def deflection_colours(self, scale):
        """Return the map's pixels: an array of red, green and blue."""
        return _deflection_colours(self, scale)

    def _clipped(self, canvas):
        canvas.clip(self.left, self.top, self.right, self.bottom)

    def _frame(self, canvas):
        canvas.clip()
        canvas.box(self.left, self.top, self.right, self.bottom, edge=QUIET, width=1)

    def here(self, canvas, latitude, longitude, name):
        """Mark the site, beyond the map on its edge, with its name where there is room."""
        x, y = map(float, self.to_canvas(latitude, longitude))
        y = min(max(y, self.top), self.bottom)
        canvas.disc(x, y, 21, None, edge=WHITE, rim=4)
        canvas.disc(x, y, 21, None, edge=INK, rim=1.4)
        canvas.site(x, y)
        canvas.grip_area("map", self.left, self.top, self.right, self.bottom)
        side = 1 if x < self.left + 0.7 * (self.right - self.left) else -1
        canvas.words(
            x + side * 16,
            min(max(y, self.top + 12), self.bottom - 12),
            name,
            bold=True,
            to="right" if side > 0 else "left",
            halo=True,
        )


def geoid_key(canvas, left, top, width=440):
    """Draw the key of `WorldMap.geoid_height`."""
    lowest, highest = palette.GEOID_LOWEST, palette.GEOID_LOWEST + 20 * palette.GEOID_STEP
    per_metre = width / (highest - lowest)
    x, y = canvas.pixel_grid(left, top, left + width, top + 14)
    canvas.picture(left, top, palette.band(np.tile(lowest + (x - left) / per_metre, (len(y), 1))))
    canvas.box(left, top, left + width, top + 14, edge=QUIET, width=1)
    for metres in (-100, -75, -50, -25, 0, 25, 50, 75):
        at = left + (metres - lowest) * per_metre
        canvas.line([at, at], [top if metres == 0 else top + 14, top + 19], width=1.6)
        canvas.note(at, top + 27, write.number(metres, 0, signed=True), to="both", colour=INK)
    canvas.note(left + width + 8, top + 7, "m, steps of 10 m", colour=INK)


def deflection_key(canvas, left, top, width=330):
    """Draw the key of `WorldMap.total_deflection`, spaced by the square root."""
    stop = 64.0  # arcseconds at the right end
    x, y = canvas.pixel_grid(left, top, left + width, top + 14)
    values = ((x - left) / width) ** 2 * stop
    below = (y - top > 7)[:, None]
    canvas.picture(left, top, palette.shade(np.tile(values, (len(y), 1)), below))
    for tick in (0, 2, 5, 10, 20, 40, 60):
        at = left + np.sqrt(tick / stop) * width
        canvas.line([at, at], [top + 14, top + 19], colour=QUIET, width=1)
        canvas.note(at, top + 27, f"{tick}″", to="both")
    canvas.note(left + width + 12, top + 7, "above sea, below land")


@lru_cache(maxsize=4)
def _deflection_colours(world, scale):
    """Return the map's pixels, each the mean of four places; a third of a second, once."""
    xi, eta = deflection.from_geoid(*_four_to_a_pixel(world, scale), geoid.EGM96, WGS84)
    mean = _mean_of_four(np.hypot(xi, eta))
    return palette.shade(mean, _land(world, scale, *mean.shape))


@lru_cache(maxsize=4)
def _geoid_colours(world, scale):
    """Return the map's pixels, each the mean of four places, with the line N = 0 in ink."""
    height = geoid.EGM96.height(*_four_to_a_pixel(world, scale))
    colours = palette.band(height).astype(float)
    distance = np.abs(height) / np.hypot(*np.gradient(height))  # from the line, in half pixels
    colours[distance < 1.6 * scale] = palette.rgb(INK)
    return np.rint(_mean_of_four(colours)).astype(np.uint8)


def _four_to_a_pixel(world, scale):
    """Return latitudes and longitudes of a grid twice as fine as the map's pixels."""
    columns = round(world.right * scale) - round(world.left * scale)
    rows = round(world.bottom * scale) - round(world.top * scale)
    x = world.left + (np.arange(2 * columns) + 0.5) / scale / 2
    y = world.top + (np.arange(2 * rows) + 0.5) / scale / 2
    return world.to_earth(*np.meshgrid(x, y))


def _mean_of_four(values):
    rows, columns = values.shape[0] // 2, values.shape[1] // 2
    return values.reshape(rows, 2, columns, 2, *values.shape[2:]).mean((1, 3))


def _land(world, scale, rows, columns):
    mask = Canvas(scale=scale, width=world.right + 2, height=world.bottom + 2)
    mask.clip(world.left, world.top, world.right, world.bottom)
    mask.outlines(world.rings(), fill=INK)
    return mask.inked(world.left, world.top, world.right, world.bottom)[:rows, :columns]
