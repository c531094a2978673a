"""Figure A: geodesic, great circle and rhumb line between two ends, on globe and chart."""

import math
from dataclasses import dataclass

import numpy as np

from geokit import WGS84, coastline, lines
from lessons.canvas import write
from lessons.canvas.globe import Globe, directions
from lessons.canvas.palette import (
    CHOSEN_DASH,
    COAST,
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
from lessons.widgets.live import LiveFigure, SitePicker, Slider

RADIUS = WGS84.mean_radius  # of the sphere on which the great circle is taken, in metres


def three_lines(site, *, scale=1.0):
    """Figure A: geodesic, great circle and rhumb line between two ends."""
    return LiveFigure(
        lambda scale=scale: ThreeLines(scale),
        [
            SitePicker(site, furthest=90),
            Slider("azimuth", "Azimuth", "° of the geodesic at the site", 0, 359, 60, step=1),
            Slider("distance", "Far end", "km along it", 10, 20_000, 6000, step=0.05, log=True),
        ],
    )


@dataclass(frozen=True)
class Line:
    """Points along a line and its onward azimuth there, in degrees; lengths in metres."""

    latitude: np.ndarray
    longitude: np.ndarray
    azimuth: np.ndarray
    share: np.ndarray  # of the whole length, 0 to 1
    length: float


def geodesic(latitude, longitude, azimuth, distance):
    """Return the geodesic that sets out in an azimuth."""
    share = np.linspace(0, 1, 121)
    lat, lon, back = lines.direct(latitude, longitude, azimuth, share * distance, WGS84)
    onward = (back + 180) % 360
    onward[0] = azimuth
    return Line(lat, lon, onward, share, distance)


def great_circle(latitude, longitude, end_latitude, end_longitude):
    """Return the great circle between two ends on the sphere."""
    length, azimuth, _ = lines.great_circle(
        latitude, longitude, end_latitude, end_longitude, RADIUS
    )
    share = np.linspace(0, 1, 121)
    arc = (share * length / RADIUS)[:, np.newaxis]
    here = directions(latitude, longitude)
    turn = math.radians(azimuth)
    ahead = math.cos(turn) * directions(latitude + 90, longitude) + math.sin(turn) * directions(
        0, longitude + 90
    )
    points, onward = (
        np.cos(arc) * here + np.sin(arc) * ahead,
        np.cos(arc) * ahead - np.sin(arc) * here,
    )
    lat = np.degrees(np.arctan2(points[:, 2], np.hypot(points[:, 0], points[:, 1])))
    lon = np.degrees(np.arctan2(points[:, 1], points[:, 0]))
    lat[0], lon[0] = latitude, longitude
    east = (directions(0, lon + 90) * onward).sum(1)
    north = (directions(lat + 90, lon) * onward).sum(1)
    return Line(lat, lon, np.degrees(np.arctan2(east, north)) % 360, share, length)


def rhumb(latitude, longitude, end_latitude, end_longitude):
    """Return the rhumb line between two ends, evenly spaced on the Mercator chart."""
    length, azimuth = lines.rhumb(latitude, longitude, end_latitude, end_longitude, WGS84)
    share = np.linspace(0, 1, 241)
    if 90 in (abs(latitude), abs(end_latitude)):  # the meridian
        lat = latitude + share * (end_latitude - latitude)
        lon = np.full_like(share, end_longitude if abs(latitude) == 90 else longitude)
    else:
        start, end = isometric(latitude), isometric(end_latitude)
        lat = geodetic_from_isometric(start + share * (end - start))
        lon = longitude + share * ((end_longitude - longitude + 180) % 360 - 180)
    along = WGS84.meridian_distance(lat)
    rise = along[-1] - along[0]
    if abs(rise) > 1:
        share = (along - along[0]) / rise
    return Line(lat, lon, np.full_like(share, azimuth), share, length)


def isometric(latitude):
    """Return the isometric latitude, the height on a Mercator chart of unit radius."""
    phi, e = np.radians(latitude), math.sqrt(WGS84.eccentricity_squared)
    return np.arcsinh(np.tan(phi)) - e * np.arctanh(e * np.sin(phi))  # Snyder 7-7


def geodetic_from_isometric(isometric_latitude):
    """Return the latitude at a height on a Mercator chart, by iterating Snyder 7-9."""
    e = math.sqrt(WGS84.eccentricity_squared)
    sine = np.tanh(isometric_latitude)
    for _ in range(6):
        sine = np.tanh(isometric_latitude + e * np.arctanh(e * sine))
    return np.degrees(np.arcsin(sine))


def off_track(line, track):
    """
    Return how far points of a line lie from a geodesic, in metres, to the right positive.

    From the nearest point kept of the track, so that the sphere in the formula costs nothing.
    """
    here, on_track = (directions(one.latitude, one.longitude) for one in (line, track))
    nearest = (here @ on_track.T).argmax(1)
    distance, azimuth, _ = lines.inverse(
        track.latitude[nearest], track.longitude[nearest], line.latitude, line.longitude, WGS84
    )
    turn = np.radians(np.nan_to_num(azimuth - track.azimuth[nearest]))
    return RADIUS * np.arcsin(np.sin(distance / RADIUS) * np.sin(turn))


RHUMB = {"colour": INK, "width": 2.6, "dash": CHOSEN_DASH}
CIRCLE = {"colour": QUIET, "width": 2.6}
GEODESIC = {"colour": ELLIPSOID, "width": 2.8, "dash": ORANGE_DASH}
LEAST = 0.00005  # metres: nothing less is written


class ThreeLines:
    """The picture of figure A."""

    GLOBE = Globe(172, 208, 148)
    WEST, EAST, NORTH, SOUTH = 346, 770, 56, 360  # edges of the chart
    AZIMUTHS = (82, 424, 480, 518)  # left, top, right, bottom of the plot
    OFF = (620, 424, 1064, 518)
    SPANS = (1, 2, 4, 10, 20, 30, 60, 90, 180)  # degrees the azimuths may lie from their middle
    MERIDIANS = 30  # degrees between them on the chart; one of them is in its middle
    MOST = 10_000.0  # kilometres at its edge
    TABLE = 800  # x
    ROWS = (72, 138, 222)  # y of the three lines in the table

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "Three lines, two ends",
            f"on WGS 84; the great circle on a sphere of {write.number(RADIUS / 1000, 1)} km",
            scale=scale,
        )
        self._middle = None
        self.GLOBE.sea(canvas)
        canvas.note(self.WEST, self.SOUTH + 15, "Mercator chart, to 78° N and S")
        canvas.note(LEFT, self.SOUTH + 15, "globe, from above the middle")
        self._still_plots()
        for y, name, look in zip(
            self.ROWS,
            ("geodesic", "great circle", "rhumb line"),
            (GEODESIC, CIRCLE, RHUMB),
            strict=True,
        ):
            canvas.line([self.TABLE, self.TABLE + 39], [y, y], **look)
            canvas.words(self.TABLE + 50, y, name, bold=True)
            if y > self.ROWS[0]:
                canvas.rule(y - 22, self.TABLE, colour=PALE)
        canvas.rule(self.ROWS[-1] + 58, self.TABLE, colour=PALE)
        canvas.keep()

    # the chart -----------------------------------------------------------------------------

    def _on_chart(self, latitude, longitude):
        """Return places on the Mercator chart; a pole lies far beyond its edge."""
        per_radian = (self.EAST - self.WEST) / (2 * math.pi)
        x = (self.WEST + self.EAST) / 2 + np.radians(longitude - self._middle) * per_radian
        height = isometric(np.clip(latitude, -89.9999, 89.9999))
        return x, (self.NORTH + self.SOUTH) / 2 - height * per_radian

    def _on_copies(self, x):
        """Yield places across the chart, and again a turn of the Earth on, as far as it shows."""
        for turn in (-1, 0, 1):
            copy = x + turn * (self.EAST - self.WEST)
            if copy.max() >= self.WEST and copy.min() <= self.EAST:
                yield copy

    def _turn_chart(self, longitude):
        """Put the meridian next to the site in the chart's middle, so that no line is cut."""
        middle = self.MERIDIANS * round(longitude / self.MERIDIANS)
        if middle == self._middle:
            self.canvas.renew()
            return
        self._middle = middle
        self.canvas.clear()
        self._new_chart()
        self.canvas.keep()

    def _new_chart(self):
        canvas, frame = self.canvas, (self.WEST, self.NORTH, self.EAST, self.SOUTH)
        canvas.box(*frame, SEA)
        canvas.clip(*frame)
        coast = coastline.flat_rings(self._middle)
        rings = [np.column_stack(self._on_chart(*ring.T)) for ring in coast]
        canvas.outlines(rings, fill=LAND, edge=COAST, width=0.7)
        for turn in range(-150, 180, self.MERIDIANS):
            x, _ = self._on_chart(0, self._middle + turn)
            canvas.line([x, x], [self.NORTH, self.SOUTH], colour=WHITE, width=0.7)
        for parallel in (-60, -30, 0, 30, 60):
            _, y = self._on_chart(parallel, 0)
            canvas.line([self.WEST, self.EAST], [y, y], colour=WHITE, width=0.7)
        canvas.clip()
        canvas.box(*frame, edge=QUIET, width=1)

    def _chart(self, three):
        canvas = self.canvas
        canvas.clip(self.WEST, self.NORTH, self.EAST, self.SOUTH)
        for line, look in three:
            x, y = self._on_chart(line.latitude, np.unwrap(line.longitude, period=360))
            for copy in self._on_copies(x):  # over the edge, and back in at the other
                canvas.line(copy, y, **look)
        track = three[-1][0]
        for place, mark in ((-1, self._end), (0, self.canvas.site)):
            x, y = self._on_chart(track.latitude[[place]], track.longitude[[place]])
            for copy in self._on_copies(x):
                if self.NORTH <= y[0] <= self.SOUTH:
                    mark(float(copy[0]), float(y[0]))
                    if place == -1:
                        canvas.grip("end", copy[0], y[0])
        canvas.clip()

    def _end(self, x, y):
        self.canvas.disc(x, y, 9, WHITE, edge=INK, rim=2)

    # the two plots -------------------------------------------------------------------------

    def _in_plot(self, frame, share, height):
        """Return places in a plot; `height` runs from 0 at the bottom to 1 at the top."""
        left, top, right, bottom = frame
        return left + share * (right - left), bottom - height * (bottom - top)

    @classmethod
    def _squeezed(cls, metres):
        """Return the height in the plot of the distance off track."""
        return (1 + np.arcsinh(np.asarray(metres) / 1000) / math.asinh(cls.MOST)) / 2

    def _still_plots(self):
        canvas = self.canvas
        left, top, right, bottom = self.OFF
        canvas.note(left, top - 14, "off the geodesic, to its right +, squeezed", colour=INK)
        for kilometres in (1000, 20, 0, -20, -1000):
            _, y = self._in_plot(self.OFF, 0, self._squeezed(1000 * kilometres))
            zero = PALE if kilometres else HAIR
            canvas.line([left, right], [y, y], colour=zero, width=1.2)
            words = f"{write.number(kilometres, 0, signed=kilometres != 0)} km"
            canvas.note(left - 8, y, words, to="left")
        canvas.note(self.AZIMUTHS[0], top - 14, "azimuth along the way", colour=INK)
        for left, top, right, bottom in (self.AZIMUTHS, self.OFF):
            canvas.box(left, top, right, bottom, edge=HAIR, width=1)
            canvas.note(left, bottom + 15, "site", to="both")
            canvas.note(right, bottom + 15, "far end", to="both")

    def _plot_azimuths(self, three):
        """Draw the azimuths round that of the rhumb line, as far as they go."""
        canvas, frame = self.canvas, self.AZIMUTHS
        for span in self.SPANS:
            middle = round(three[0][0].azimuth[0] / span * 2) * span / 2
            turned = [(line.azimuth - middle + 180) % 360 - 180 for line, _ in three]
            if max(np.abs(part).max() for part in turned) <= span:
                break
        for turn in (-1, -0.5, 0, 0.5, 1):
            _, y = self._in_plot(frame, 0, 0.5 + turn / 2)
            if abs(turn) < 1:
                canvas.line([frame[0] + 1, frame[2] - 1], [y, y], colour=PALE, width=1.2)
            words = write.azimuth(middle + turn * span, 0 if span > 1 else 1)
            canvas.note(frame[0] - 8, y, words, to="left")
        for (line, look), part in zip(three, turned, strict=True):
            x, y = self._in_plot(frame, line.share, 0.5 + part / span / 2)
            from_pole = np.abs(line.latitude[:-1]) == 90  # whence all ways lead south, or north
            breaks = np.flatnonzero(from_pole | (np.abs(np.diff(part)) > 60)) + 1
            for run in np.split(np.arange(x.size), breaks):
                canvas.line(x[run], y[run], **look)

    def _plot_off(self, three, off):
        canvas = self.canvas
        canvas.clip(*self.OFF)
        for (line, look), metres in zip(three, (*off, 0 * three[-1][0].share), strict=True):
            canvas.line(*self._in_plot(self.OFF, line.share, self._squeezed(metres)), **look)
        canvas.clip()

    # each picture --------------------------------------------------------------------------

    def update(self, site, azimuth, distance):
        """Draw the three lines on globe, chart and plots, and the table; return the readout."""
        start = site.latitude, site.longitude
        track = geodesic(*start, azimuth, 1000 * distance)
        end = float(track.latitude[-1]), float(track.longitude[-1])
        circle, loxodrome = great_circle(*start, *end), rhumb(*start, *end)
        three = ((loxodrome, RHUMB), (circle, CIRCLE), (track, GEODESIC))
        self._turn_chart(site.longitude)
        self._on_globe(site, track, three)
        self._chart(three)
        off = [off_track(line, track) for line in (loxodrome, circle)]
        self._plot_azimuths(three)
        self._plot_off(three, off)
        shortest = lines.inverse(*start, *end, WGS84)
        strays = [_stray(metres) for metres in off[::-1]]
        self._table(track, circle, loxodrome, strays, shortest)
        return self._readout(site, track, circle, loxodrome, strays, shortest)

    def drag(self, name, x, y, begins):
        """Take the far end to where a hand is on the chart; the globe turns with its line."""
        distance, azimuth, _ = lines.inverse(*self._start, *self._from_chart(x, y), WGS84)
        return {"azimuth": azimuth, "distance": distance / 1000} if distance > 0 else {}

    def _from_chart(self, x, y):
        """Return the latitude and longitude of a place on the Mercator chart."""
        per_radian = (self.EAST - self.WEST) / (2 * math.pi)
        height = ((self.NORTH + self.SOUTH) / 2 - min(max(y, self.NORTH), self.SOUTH)) / per_radian
        turn = math.degrees((x - (self.WEST + self.EAST) / 2) / per_radian)
        return float(geodetic_from_isometric(height)), self._middle + turn

    def _on_globe(self, site, track, three):
        canvas, middle = self.canvas, track.share.size // 2
        view = self.GLOBE.above(track.latitude[middle], track.longitude[middle])
        self._start = site.latitude, site.longitude
        view.land(canvas)
        for line, look in three:
            view.line(canvas, line.latitude, line.longitude, **look)
        x, y, near = view.to_canvas(track.latitude[-1], track.longitude[-1])
        if near:
            self._end(float(x), float(y))
        view.here(canvas, site.latitude, site.longitude)

    def _table(self, track, circle, loxodrome, strays, shortest):
        canvas = self.canvas
        for y, line in zip(self.ROWS, (track, circle, loxodrome), strict=True):
            colour = NORMAL if line is track else INK
            words = _kilometres(line.length)
            canvas.words(RIGHT, y, words, bold=True, to="left", colour=colour)
            canvas.note(RIGHT, y + 21, _azimuths(line), to="left", colour=INK)
        for y, line, stray in zip(self.ROWS[1:], (circle, loxodrome), strays, strict=True):
            canvas.note(RIGHT, y + 40, f"{_longer(line, track)}, {stray}", to="left", colour=INK)
        y = self.ROWS[-1] + 78
        canvas.note(self.TABLE, y, "far end")
        where = write.position(float(track.latitude[-1]), float(track.longitude[-1]))
        canvas.words(RIGHT, y, where, to="left")
        if _is_shorter(shortest, track):
            words = f"a shorter way: {_kilometres(shortest[0])} at {write.azimuth(shortest[1], 1)}"
            canvas.note(RIGHT, y + 24, words, to="left", colour=INK, bold=True)

    @staticmethod
    def _readout(site, track, circle, loxodrome, strays, shortest):
        distance = write.kilometres(track.length / 1000)
        end = write.position(float(track.latitude[-1]), float(track.longitude[-1]), 2)
        words = (
            f"From {write.place(site)} to {end} the geodesic is {write.bold(distance)}, "
            f"{_azimuths(track)}. The sphere’s great circle is "
            f"{write.bold(_longer(circle, track))}, {strays[0]}; the rhumb line, "
            f"{_azimuths(loxodrome).removeprefix('azimuth ')}, "
            f"{write.bold(_longer(loxodrome, track))}, {write.bold(strays[1])}."
        )
        if _is_shorter(shortest, track):
            words += f" A shorter way sets out at {write.azimuth(shortest[1])}."
        return words


def _kilometres(metres):
    return f"{write.number(metres / 1000, 3)}\xa0km"


def _azimuths(line):
    """Return the azimuths at both ends in words."""
    first, last = write.azimuth(line.azimuth[0], 1), write.azimuth(line.azimuth[-1], 1)
    return f"azimuth {first} all the way" if first == last else f"azimuth {first} to {last}"


def _longer(line, track):
    """Return how much longer a line is than the geodesic, in words."""
    more = line.length - track.length
    if abs(more) < LEAST:
        return "as long"
    return f"{write.size(abs(more))} {'longer' if more > 0 else 'shorter'}"


def _stray(off):
    """Return how far a line strays from the geodesic and to which side, in words."""
    most = off[np.abs(off).argmax()]
    if abs(most) < LEAST:
        return "on its track"
    return f"up to {write.size(abs(most))} {'right' if most > 0 else 'left'} of it"


def _is_shorter(shortest, track):
    """Whether the geodesic goes on past the place that another reaches sooner, by a metre."""
    return track.length - shortest[0] > 1
