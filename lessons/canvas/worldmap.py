"""
Maps of the whole Earth for the part of a sheet that stays.

A flat map is plate carrée: equal steps in latitude and longitude, 180 W to 180 E.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geokit import WGS84, coastline, deflection, geoid
from lessons.canvas import palette, write
from lessons.canvas.palette import COAST, INK, LAND, QUIET, SEA, WHITE
from lessons.canvas.pen import Sheet


@dataclass(frozen=True)
class WorldMap:
    """Where a flat map of the Earth lies on a sheet; degrees to points and back."""

    left: float
    top: float
    right: float
    bottom: float
    south: float = -85.0
    north: float = 85.0

    def to_sheet(self, latitude, longitude):
        """Return x and y of positions."""
        longitude = (np.asarray(longitude, float) + 180) % 360
        x = self.left + longitude / 360 * (self.right - self.left)
        down = (self.north - np.asarray(latitude, float)) / (self.north - self.south)
        return x, self.top + down * (self.bottom - self.top)

    def to_earth(self, x, y):
        """Return latitude and longitude of points of the sheet."""
        down = (np.asarray(y, float) - self.top) / (self.bottom - self.top)
        longitude = (np.asarray(x, float) - self.left) / (self.right - self.left) * 360 - 180
        return self.north - down * (self.north - self.south), longitude

    def rings(self):
        """Return the coastline's rings as points of the sheet."""
        for ring in coastline.flat_rings():
            latitude, longitude = ring.T
            x = self.left + (longitude + 180) / 360 * (self.right - self.left)
            _, y = self.to_sheet(latitude, 0.0)
            yield np.column_stack([x, y])

    def land_and_sea(self, sheet):
        """Draw sea, land and frame."""
        self._clipped(sheet)
        sheet.box(self.left, self.top, self.right, self.bottom, SEA)
        sheet.outlines(self.rings(), fill=LAND, edge=COAST, width=0.8)
        self._frame(sheet)

    def total_deflection(self, sheet):
        """Draw the total deflection of EGM96 in the colours of sea and land, coast and frame."""
        sheet.picture(self.left, self.top, self.deflection_colours(sheet.scale))
        self._clipped(sheet)
        for meridian in range(-120, 180, 60):
            x, _ = self.to_sheet(0, meridian)
            sheet.line([x, x], [self.top, self.bottom], colour=WHITE, width=0.7)
        for parallel in range(-60, 90, 30):
            _, y = self.to_sheet(parallel, 0)
            sheet.line([self.left, self.right], [y, y], colour=WHITE, width=0.7)
        sheet.outlines(self.rings(), edge=palette.LAND_WORDS, width=0.7)
        self._frame(sheet)

    def geoid_height(self, sheet):
        """Draw the geoid height of EGM96 in steps of 10 m, the line N = 0, coast and frame."""
        sheet.picture(self.left, self.top, _geoid_colours(self, sheet.scale))
        self._clipped(sheet)
        sheet.outlines(self.rings(), edge=QUIET, width=0.8)
        self._frame(sheet)

    def deflection_colours(self, scale):
        """Return the map's pixels: an array of red, green and blue."""
        return _deflection_colours(self, scale)

    def _clipped(self, sheet):
        sheet.clip(self.left, self.top, self.right, self.bottom)

    def _frame(self, sheet):
        sheet.clip()
        sheet.box(self.left, self.top, self.right, self.bottom, edge=QUIET, width=1)

    def here(self, sheet, latitude, longitude, name):
        """Mark the site, with its name on the side where there is room."""
        x, y = map(float, self.to_sheet(latitude, longitude))
        sheet.disc(x, y, 21, None, edge=WHITE, rim=4)
        sheet.disc(x, y, 21, None, edge=INK, rim=1.4)
        sheet.site(x, y)
        side = 1 if x < self.left + 0.7 * (self.right - self.left) else -1
        sheet.words(
            x + side * 16,
            min(max(y, self.top + 12), self.bottom - 12),
            name,
            bold=True,
            to="right" if side > 0 else "left",
            halo=True,
        )


def geoid_key(sheet, left, top, width=440):
    """Draw the key of `WorldMap.geoid_height`."""
    lowest, highest = palette.GEOID_LOWEST, palette.GEOID_LOWEST + 20 * palette.GEOID_STEP
    per_metre = width / (highest - lowest)
    x, y = sheet.pixel_grid(left, top, left + width, top + 14)
    sheet.picture(left, top, palette.band(np.tile(lowest + (x - left) / per_metre, (len(y), 1))))
    sheet.box(left, top, left + width, top + 14, edge=QUIET, width=1)
    for metres in (-100, -75, -50, -25, 0, 25, 50, 75):
        at = left + (metres - lowest) * per_metre
        sheet.line([at, at], [top if metres == 0 else top + 14, top + 19], width=1.6)
        sheet.note(at, top + 27, write.number(metres, 0, signed=True), to="both", colour=INK)
    sheet.note(left + width + 8, top + 7, "m, steps of 10 m", colour=INK)


def deflection_key(sheet, left, top, width=330):
    """Draw the key of `WorldMap.total_deflection`, spaced by the square root."""
    stop = 64.0  # arcseconds at the right end
    x, y = sheet.pixel_grid(left, top, left + width, top + 14)
    values = ((x - left) / width) ** 2 * stop
    below = (y - top > 7)[:, None]
    sheet.picture(left, top, palette.shade(np.tile(values, (len(y), 1)), below))
    for tick in (0, 2, 5, 10, 20, 40, 60):
        at = left + np.sqrt(tick / stop) * width
        sheet.line([at, at], [top + 14, top + 19], colour=QUIET, width=1)
        sheet.note(at, top + 27, f"{tick}″", to="both")
    sheet.note(left + width + 12, top + 7, "above sea, below land")


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
    mask = Sheet(scale=scale, width=world.right + 2, height=world.bottom + 2)
    mask.clip(world.left, world.top, world.right, world.bottom)
    mask.outlines(world.rings(), fill=INK)
    return mask.inked(world.left, world.top, world.right, world.bottom)[:rows, :columns]
