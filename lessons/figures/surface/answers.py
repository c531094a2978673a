"""Figure B: one point, five heights and five positions, each from its own surface and origin."""

import math
from dataclasses import dataclass

import numpy as np

from geokit import (
    BESSEL1841,
    CLARKE1866,
    INTERNATIONAL1924,
    WGS84,
    Ellipsoid,
    deflection,
    ecef,
    geoid,
    grid,
    lines,
)
from lessons.canvas import palette, write
from lessons.canvas.globe import off_pole, over_pole
from lessons.canvas.palette import (
    CHOSEN_DASH,
    ELLIPSOID,
    GEOID,
    HAIR,
    INK,
    LAND,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    QUIET,
    SEA,
)
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.canvas.plot import apart
from lessons.widgets.live import OWN, LiveFigure, SitePicker, Slider

CHART_DATUM = -1.5  # metres above the geoid: invented, and the figure says so


def five_answers(site, *, scale=1.0):
    """Figure B: one point, five heights and five positions, each from its own origin."""
    return LiveFigure(
        lambda scale=scale: FiveAnswers(scale),
        [
            SitePicker(site),
            Slider("height", "The point", "m above the geoid +", -6000, 2000, 25, step=5),
            Slider("tide", "Water level", "m above the geoid +", -5, 5, 0.8, step=0.1, decimals=1),
        ],
    )


@dataclass(frozen=True)
class OldDatum:
    """
    A datum from before satellites, by three translations to WGS 84 from the EPSG dataset.

    `area` is its bounding box there: south, west, north, east. The translations are good to some
    metres to tens of metres.
    """

    name: str
    ellipsoid: Ellipsoid
    to_wgs84: tuple[float, float, float]
    operation: int
    area: tuple[float, float, float, float]


OLD_DATUMS = (
    OldDatum("ED50", INTERNATIONAL1924, (-87, -98, -121), 1133, (34.88, -9.56, 71.24, 31.59)),
    OldDatum("NAD27", CLARKE1866, (-3, 142, 183), 1170, (13.0, -85.01, 23.25, -59.37)),
    OldDatum("NAD27", CLARKE1866, (-8, 160, 176), 1173, (24.41, -124.79, 49.38, -66.91)),
    OldDatum("Tokyo", BESSEL1841, (-148, 507, 685), 1230, (20.37, 122.83, 45.54, 145.87)),
    OldDatum("Batavia", BESSEL1841, (-377, 681, -50), 1123, (-8.91, 95.16, 5.97, 115.77)),
)


def old_datum(latitude, longitude):
    """Return the old datum that reaches a place, or None."""
    for datum in OLD_DATUMS:
        south, west, north, east = datum.area
        if south <= latitude <= north and west <= longitude <= east:
            return datum
    return None


@dataclass(frozen=True)
class Answer:
    """
    One answer: its symbol, the surface it is measured from, how it is found; `words` as written.

    `beside` is how far a reader goes wrong who takes it for the first answer of its kind.
    """

    symbol: str
    surface: str
    how: str
    words: str
    beside: str
    colour: str


# What stands in the table's rows whatever the point: symbol, surface, how, colour.
HEIGHTS = (
    ("h", "ellipsoid, WGS 84", "by GNSS, along the normal", NORMAL),
    ("H", "geoid, EGM96", "by levelling, along the plumb line", GEOID),
    ("c", "chart datum", "here 1.5 m below the geoid: invented", INK),
    ("d", "water level now", "by lead line or echo sounder", PLUMB),
    ("r", "Earth’s centre", "√(X² + Y² + Z²)", INK),
)
POSITIONS = (
    ("φ, λ", "geodetic, WGS 84", "by the ellipsoid’s normal", NORMAL),
    ("Φ, Λ", "astronomic", "by stars and plumb line, at the geoid", GEOID),
    ("ψ, λ", "geocentric", "by the line to the centre", INK),
)


class FiveAnswers:
    """The picture of figure B."""

    WEST, EAST = 140, 478  # edges of the section
    TOP, BOTTOM = 76, 492  # highest and lowest level of the section
    CENTRE = 532  # y of the Earth's centre
    COLUMNS = (206, 266, 326, 386, 446)
    SYMBOL, NAME, VALUE = 512, 556, 930  # x of the table
    FIRST, SECOND, STEP = 88, 334, 41  # y of the first row of both halves

    def __init__(self, scale):
        canvas = self.canvas = Canvas("One point, ten answers", scale=scale)
        for y, head, last in (
            (self.FIRST, "how high, and from what?", "written as h, wrong by"),
            (self.SECOND, "where, and on what?", "read as φ, λ, it lies"),
        ):
            canvas.note(self.SYMBOL, y - 30, head, colour=INK, bold=True)
            canvas.note(RIGHT, y - 30, last, to="left")
            canvas.rule(y - 18, self.SYMBOL, colour=QUIET)
            for row in range(1, 5):
                canvas.rule(y + self.STEP * row - 18, self.SYMBOL, colour=PALE)
        for y, kinds in ((self.FIRST, HEIGHTS), (self.SECOND, POSITIONS)):
            for row, kind in enumerate(kinds):
                self._name(y + self.STEP * row, *kind)
        canvas.note(LEFT, self.CENTRE, "Earth’s centre", colour=INK)
        canvas.disc(self.COLUMNS[-1], self.CENTRE, 7, INK)
        squeezed = "heights squeezed, not to scale: read the numbers"
        canvas.note(self.SYMBOL, 542, squeezed, bold=True, colour=INK)
        canvas.keep()

    def update(self, site, height, tide):
        """Draw the levels, the point and both halves of the table; return the readout."""
        separation = float(geoid.EGM96.height(site.latitude, site.longitude))
        xyz = ecef.to_ecef(site.latitude, site.longitude, separation + height, WGS84)
        heights = self._heights(separation, height, tide, xyz)
        positions = self._positions(site, xyz)
        self.canvas.renew()
        self._section(site, height, tide, separation)
        for top, answers in ((self.FIRST, heights), (self.SECOND, positions)):
            for row, answer in enumerate(answers):
                self._numbers(top + self.STEP * row, answer)
        for row, answer in enumerate(positions[3:], 3):
            y = self.SECOND + self.STEP * row
            self._name(y, answer.symbol, answer.surface, answer.how, answer.colour)
        return self._readout(site, heights, positions)

    # what is answered ----------------------------------------------------------------------

    @staticmethod
    def _heights(separation, height, tide, xyz):
        ellipsoidal, below = height + separation, height - tide  # of the water, if negative
        wet = f"{write.number(abs(below), 1)}\xa0m {'above' if below >= 0 else 'deep'}"
        radius = math.hypot(*xyz)
        values = (
            (write.metres(ellipsoidal, 1), ""),
            (write.metres(height, 1), write.metres(height - ellipsoidal, 1)),
            (
                write.metres(height - CHART_DATUM, 1),
                write.metres(height - CHART_DATUM - ellipsoidal, 1),
            ),
            (wet, write.metres(below - ellipsoidal, 1)),
            (
                write.metres(radius, 1, signed=False),
                f"{write.number((radius - ellipsoidal) / 1000, 0, signed=True)}\xa0km",
            ),
        )
        return [
            Answer(*kind[:3], *pair, kind[3]) for kind, pair in zip(HEIGHTS, values, strict=True)
        ]

    @staticmethod
    def _positions(site, xyz):
        here = latitude, longitude = site.latitude, site.longitude
        beside = off_pole(latitude)
        xi, eta = deflection.from_geoid(beside, longitude, geoid.EGM96, WGS84)
        stars = over_pole(
            beside + xi / 3600,
            longitude + eta / 3600 / math.cos(math.radians(beside)),
        )
        centre = (math.degrees(math.atan2(xyz[2], math.hypot(*xyz[:2]))), longitude)
        angles = [
            Answer(*kind[:3], _degrees(*read), _away(here, read), kind[3])
            for kind, read in zip(POSITIONS, (here, stars, centre), strict=True)
        ]
        return [*angles, _on_old_datum(here, xyz), _on_grid(latitude, longitude)]

    # the section ---------------------------------------------------------------------------

    def _section(self, site, height, tide, separation):
        canvas = self.canvas
        levels = [
            ("the point", height, INK),
            ("ellipsoid", -separation, NORMAL),
            ("geoid", 0.0, GEOID),
            ("chart datum", CHART_DATUM, INK),
            ("water level", tide, PLUMB),
        ]
        bed = site.name != OWN and site.water_depth > 0
        if bed:
            levels.append(("seabed", -site.water_depth, palette.LAND_WORDS))
        squeezed = np.arcsinh([level for _, level, _ in levels])
        lowest, highest = min(squeezed.min(), -2.0), max(squeezed.max(), 2.0)
        ys = self.TOP + (highest - squeezed) / (highest - lowest) * (self.BOTTOM - self.TOP)
        y_point, y_ellipsoid, y_geoid, y_chart, y_water = map(float, ys[:5])
        canvas.box(self.WEST, y_water, self.EAST, self.BOTTOM + 16, SEA)
        if bed:
            canvas.box(self.WEST, ys[5], self.EAST, self.BOTTOM + 16, LAND)
            canvas.line([self.WEST, self.EAST], [ys[5]] * 2, colour=palette.COAST, width=1.4)
        for y, look in (
            (y_water, {"colour": PLUMB, "width": 1.6}),
            (y_geoid, {"colour": GEOID, "width": 3}),
            (y_chart, {"width": 2.2, "dash": CHOSEN_DASH}),
            (y_ellipsoid, {"colour": ELLIPSOID, "width": 2.6, "dash": ORANGE_DASH}),
        ):
            canvas.line([self.WEST, self.EAST], [y, y], **look)
        canvas.line([self.WEST, self.EAST], [y_point, y_point], width=1)
        places = apart(ys, 19, self.TOP - 10, self.BOTTOM + 10)
        for (name, _, colour), y, place in zip(levels, ys, places, strict=True):
            end = canvas.words(LEFT, place, name, colour=colour, bold=name != "seabed")
            canvas.line([end + 4, self.WEST - 4], [place, y], colour=HAIR, width=1)
        self._dimensions((y_ellipsoid, y_geoid, y_chart, y_water, self.CENTRE), y_point)
        canvas.site((self.WEST + self.COLUMNS[0]) / 2, y_point)

    def _dimensions(self, feet, y_point):
        canvas = self.canvas
        look = {"size": 19, "bold": True, "halo": True}
        for x, (symbol, _, _, colour), foot in zip(self.COLUMNS, HEIGHTS, feet, strict=True):
            canvas.dimension(x, foot, y_point, colour=colour, width=2)
            if abs(foot - y_point) >= 54 and foot != self.CENTRE:
                canvas.words(x + 7, (foot + y_point) / 2, symbol, colour=colour, **look)
            else:
                canvas.words(x, min(foot, y_point) - 14, symbol, colour=colour, to="both", **look)
            if foot == self.CENTRE:  # the way down is not drawn in full
                for y in (foot - 20, foot - 14):
                    canvas.line([x - 7, x + 7], [y + 3, y - 3], colour=colour, width=1.4)

    # the table -----------------------------------------------------------------------------

    def _name(self, y, symbol, surface, how, colour):
        canvas = self.canvas
        canvas.words(self.SYMBOL, y, symbol, bold=True, colour=colour)
        canvas.words(self.NAME, y - 7, surface)
        canvas.note(self.NAME, y + 11, how)

    def _numbers(self, y, answer):
        canvas = self.canvas
        canvas.words(self.VALUE, y - 7, answer.words, bold=True, colour=answer.colour, to="left")
        canvas.note(RIGHT, y - 7, answer.beside, to="left", colour=INK)

    @staticmethod
    def _readout(site, heights, positions):
        by_gnss, levelled, charted, sounded, centre = (answer.words for answer in heights)
        stars, geocentric, old, _ = (answer.beside for answer in positions[1:])
        words = (
            f"One point at {write.place(site)}: {write.bold(by_gnss)} from the ellipsoid, "
            f"{write.bold(levelled)} from the geoid, {write.bold(charted)} from chart datum, "
            f"{sounded.replace('deep', 'below')} the water, {centre} from the Earth’s centre. "
            f"Read as WGS 84, its star position lies {write.bold(stars)}, its geocentric one "
            f"{write.bold(geocentric or 'the same')}"
        )
        return f"{words}, the old datum’s {write.bold(old)}." if old else f"{words}."


def _away(here, read_as):
    """Return how far and which way a position lies if it is read as WGS 84."""
    if here == read_as:
        return ""
    distance, azimuth, _ = lines.inverse(*here, *read_as, WGS84)
    return (
        "at the same place"
        if distance < 0.05
        else f"{write.size(distance)} {write.compass(azimuth)}"
    )


def _degrees(latitude, longitude):
    return write.position(latitude, (longitude + 180) % 360 - 180, 5)


def _on_old_datum(here, xyz):
    datum = old_datum(*here)
    if datum is None:
        return Answer("φ, λ", "an old datum", "this figure keeps none for here", "none", "", INK)
    moved = (value - shift for value, shift in zip(xyz, datum.to_wgs84, strict=True))
    read = ecef.from_ecef(*moved, datum.ellipsoid)[:2]
    how = f"{datum.ellipsoid.name}, another centre"
    away = _away(here, read)
    return Answer("φ, λ", f"geodetic, {datum.name}", how, _degrees(*read), away, NORMAL)


def _on_grid(latitude, longitude):
    """Return the answer on a UTM grid, where it is defined."""
    if not -80 <= latitude <= 84:
        return Answer("E, N", "UTM", "ends at 80° S and 84° N", "none", "", INK)
    zone = grid.utm_zone(latitude, longitude, exceptions=True)
    hemisphere = "south" if latitude < 0 else "north"
    east, north = grid.utm(zone, hemisphere, WGS84).forward(latitude, longitude)
    words = f"{write.number(east, 0)} E  {write.number(north, 0)} N"
    how = f"zone {zone} {hemisphere}, from 500 km west of its middle"
    return Answer("E, N", "metres on a UTM grid", how, words, "no latitude at all", INK)
