"""Figure A: the world's geoid with the site, and the Earth cut through along an azimuth."""

import math

import numpy as np

from geokit import WGS84, geoid, heights
from lessons.canvas import write
from lessons.canvas.globe import directions
from lessons.canvas.palette import (
    ELLIPSOID,
    GEOID,
    INK,
    NORMAL,
    ORANGE_DASH,
    PLUMB,
    QUIET,
    SEA,
    WHITE,
)
from lessons.canvas.pen import LEFT, Canvas
from lessons.canvas.worldmap import WorldMap, geoid_key
from lessons.widgets.live import OWN, LiveFigure, SitePicker, Slider


def world_geoid(site, *, scale=1.0):
    """Figure A: the world's geoid with the site, and the Earth cut through along an azimuth."""
    return LiveFigure(
        lambda scale=scale: WorldGeoid(scale),
        [
            SitePicker(site, dragged=True, furthest=90),
            Slider("azimuth", "Azimuth", "°", 0, 359, 70, step=1),
            Slider("exaggeration", "N", "× exaggerated", 1, 20_000, 10_000, step=0.05, log=True),
        ],
    )


TURN = np.arange(-720, 721) / 4  # degrees round the Earth from the site, along the azimuth +


def great_circle(site, azimuth):
    """Return latitudes and longitudes of the great circle through a site, one for each TURN."""
    turn, along = np.radians(TURN)[:, np.newaxis], math.radians(azimuth)
    here = directions(site.latitude, site.longitude)
    north = directions(site.latitude + 90, site.longitude)
    east = directions(0, site.longitude + 90)
    onward = math.cos(along) * north + math.sin(along) * east
    x, y, z = (np.cos(turn) * here + np.sin(turn) * onward).T
    return np.degrees(np.arctan2(z, np.hypot(x, y))), np.degrees(np.arctan2(y, x))


class WorldGeoid:
    """The picture of figure A."""

    MAP = WorldMap(24, 56, 637, 362, -90, 90)
    FIRST, STEP = 430, 30  # y of the table's rows
    NUMBER = 322  # right edge of its numbers
    CENTRE = (880, 304)
    RADIUS = 165  # of the ellipsoid, in points
    WEST, EAST = 664, 1096  # edges of the section

    def __init__(self, scale):
        canvas = self.canvas = Canvas("The world’s geoid", scale=scale)
        canvas.note(
            canvas.beside_title,
            34,
            "height N above WGS 84: EGM96, model value, tide-free",
            sit="baseline",
        )
        self.MAP.geoid_height(canvas)
        geoid_key(canvas, 24, 373)
        canvas.note(472, 400, "brown below, blue above", colour=INK)
        for row, name in enumerate(
            ("N at the site", "▲ highest on the section", "▼ lowest on it", "in the mean tide")
        ):
            canvas.note(LEFT, self.FIRST + self.STEP * row, name, colour=INK)
            if row:
                canvas.rule(self.FIRST + self.STEP * (row - 0.5), LEFT, self.MAP.right)
        x, y = self.CENTRE
        for east, down in ((1, 0), (0, 1), (-1, 0)):
            inner, outer = self.RADIUS - 7, self.RADIUS + 7
            canvas.line(
                [x + inner * east, x + outer * east],
                [y + inner * down, y + outer * down],
                colour=QUIET,
                width=1.4,
            )
        canvas.note(x, 528, "half way round, 20 000 km", to="both")
        canvas.note(self.EAST, 546, "flattening left out", to="left", colour=INK)
        canvas.keep()

    def update(self, site, azimuth, exaggeration):
        """Draw the site, the great circle and the section; return the readout."""
        latitude, longitude = great_circle(site, azimuth)
        height = geoid.EGM96.height(latitude, longitude)
        here = geoid.EGM96.height(site.latitude, site.longitude)
        ends = int(height.argmax()), int(height.argmin())
        canvas = self.canvas
        canvas.renew()
        self._circle_on_map(latitude, longitude)
        self._ends_on_map(latitude, longitude, ends)
        self.MAP.here(canvas, site.latitude, site.longitude, site.name)
        self._section(height, here, ends, azimuth, exaggeration)
        mean = heights.geoid_in_tide_system(here, site.latitude, source="tide-free", target="mean")
        places = [write.position(latitude[end], longitude[end], 1) for end in ends]
        self._table(here, height, ends, places, mean)
        places = [write.position(latitude[end], longitude[end], 0) for end in ends]
        return self._readout(site, here, height[list(ends)], places, mean)

    def drag(self, name, x, y, begins):
        """Take the site to where a hand is on the map."""
        return self.MAP.taken_to(x, y)

    def _circle_on_map(self, latitude, longitude):
        canvas, world = self.canvas, self.MAP
        x, y = world.to_canvas(latitude, longitude)
        parts = np.split(np.column_stack([x, y]), np.flatnonzero(np.abs(np.diff(x)) > 300) + 1)
        canvas.clip(world.left, world.top, world.right, world.bottom)
        parts = [part for part in parts if len(part) > 1]
        canvas.outlines(parts, edge=WHITE, width=3.6)
        canvas.outlines(parts, edge=PLUMB, width=1.8)
        middle = len(TURN) // 2
        start, end = (np.array([x[i], y[i]]) for i in (middle + 40, middle + 48))
        if np.hypot(*(end - start)) < 30:
            canvas.arrow(start, end, colour=PLUMB, width=1.8, head=12)
        canvas.clip()

    def _ends_on_map(self, latitude, longitude, ends):
        world = self.MAP
        for end, symbol in zip(ends, "▲▼", strict=True):
            x, y = map(float, world.to_canvas(latitude[end], longitude[end]))
            tip, base = (-8, 6) if symbol == "▲" else (8, -6)
            across, along = [x - 8, x, x + 8, x - 8], [y + base, y + tip, y + base, y + base]
            self.canvas.area(across, along, INK, edge=WHITE, width=1.6)

    def _section(self, height, here, ends, azimuth, exaggeration):
        canvas, (x0, y0) = self.canvas, self.CENTRE
        turn = np.radians(TURN)
        radius = self.RADIUS * (1 + exaggeration * height / WGS84.mean_radius)
        x, y = x0 + radius * np.sin(turn), y0 - radius * np.cos(turn)
        canvas.area(x, y, SEA)
        canvas.line(x, y, colour=GEOID, width=3)
        around = np.radians(np.arange(0, 361, 3))
        canvas.line(
            x0 + self.RADIUS * np.sin(around),
            y0 - self.RADIUS * np.cos(around),
            colour=ELLIPSOID,
            width=2.4,
            dash=ORANGE_DASH,
        )
        middle = len(TURN) // 2
        if abs(radius[middle] - self.RADIUS) >= 12:
            canvas.line([x0, x0], [y[middle], y0 - self.RADIUS], colour=NORMAL, width=2)
        for end in ends:
            canvas.disc(x[end], y[end], 9, WHITE, edge=INK, rim=1.8)
        canvas.site(x[middle], y[middle])
        top = min(y[middle], y0 - self.RADIUS)
        canvas.words(x0, top - 20, f"N {write.metres(here, 2)}", bold=True, to="both", halo=True)
        self._section_words(radius, height, ends)
        for x, to, sign, turned in (
            (self.WEST, "right", "◂ {}", 180),
            (self.EAST, "left", "{} ▸", 0),
        ):
            way = f"{write.compass(azimuth + turned)} {write.azimuth(azimuth + turned)}"
            canvas.note(x, 60, sign.format(way), to=to, colour=INK)
        times = f"N exaggerated {write.number(exaggeration, 0)} ×"
        drawn = times if exaggeration > 1 else "N drawn true: nothing to see"
        canvas.note(self.WEST, 546, drawn, bold=True, colour=INK)

    def _section_words(self, radius, height, ends):
        """Name the curves where there is room, and write the ends' heights inside the Earth."""
        canvas, (x0, y0) = self.canvas, self.CENTRE

        def at(place, away):
            turn = math.radians(TURN[place])
            return x0 + away * math.sin(turn), y0 - away * math.cos(turn)

        inside, outside = np.minimum(radius, self.RADIUS), np.maximum(radius, self.RADIUS)
        crowded = abs((TURN[ends[0]] - TURN[ends[1]] + 180) % 360 - 180) < 50
        for end, symbol in zip(ends, "▲▼", strict=True):
            words = f"{symbol} {write.metres(height[end], 1)}"
            turn, half = math.radians(TURN[end]), canvas.width_of(words, bold=True) / 2
            away = 8 + half * abs(math.sin(turn)) + 9 * abs(math.cos(turn))
            x, y = at(end, inside[end] - away - (36 if crowded and symbol == "▼" else 0))
            canvas.words(x, y, words, bold=True, to="both", halo=True)
        # of four places the one farthest from what is written inside
        places = [int(np.searchsorted(TURN, turn)) for turn in (-58, 58, 122, -122)]
        free = max(places, key=lambda place: self._nearest(place, ends))
        right = TURN[free] > 0
        x, y = at(free, outside[free] + 12)
        canvas.words(x, y, "geoid", colour=GEOID, bold=True, to="right" if right else "left")
        x, y = at(free, inside[free] - 12)
        canvas.words(x, y, "ellipsoid", colour=NORMAL, bold=True, to="left" if right else "right")

    @staticmethod
    def _nearest(place, ends):
        """Return the angle from a place to the nearer of the two ends."""
        return min(abs((TURN[place] - TURN[end] + 180) % 360 - 180) for end in ends)

    def _table(self, here, height, ends, places, mean):
        canvas = self.canvas
        side = "above" if here >= 0 else "below"
        for row, (number, colour, words) in enumerate(
            [
                (write.metres(here, 2), GEOID, f"geoid {side} the ellipsoid"),
                (write.metres(height[ends[0]], 1), INK, places[0]),
                (write.metres(height[ends[1]], 1), INK, places[1]),
                (write.metres(mean, 2), INK, f"{write.metres(mean - here, 2)} at this latitude"),
            ]
        ):
            y = self.FIRST + self.STEP * row
            canvas.words(self.NUMBER, y, number, bold=True, colour=colour, to="left")
            canvas.words(self.NUMBER + 14, y, words)

    @staticmethod
    def _readout(site, here, heights_at_ends, places, mean):
        high, low = (write.bold(write.metres(height, 1)) for height in heights_at_ends)
        where = f"At {write.place(site)}"
        if site.name == OWN:
            where += f" ({write.position(site.latitude, site.longitude)})"
        step, side = write.metres(mean - here, 2), "above" if here >= 0 else "below"
        return (
            f"{where} the geoid, where a sea would rest, is {side} the ellipsoid: N "
            f"{write.bold(write.metres(here, 2))} (EGM96, tide-free; mean tide {step}). The "
            f"section, level all the way, rises to {high} ({places[0]}) and sinks to {low} "
            f"({places[1]})."
        )
