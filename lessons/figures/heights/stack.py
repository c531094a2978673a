"""Figure A: the levels at the site, from the antenna to the seabed, and what lies between them."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from geokit import geoid
from lessons.canvas import write
from lessons.canvas.palette import (
    CHOSEN_DASH,
    COAST,
    DOTS,
    ELLIPSOID,
    GEOID,
    HAIR,
    INK,
    LAND,
    LAND_WORDS,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    QUIET,
    SEA,
    SITE,
)
from lessons.canvas.pen import LEFT, NOTE, RIGHT, Canvas
from lessons.canvas.plot import apart
from lessons.widgets.live import OWN, LiveFigure, SitePicker, Slider

ANTENNA = 18.0  # metres above the vessel's waterline
DRAUGHT = 5.8  # metres; the transducer is at the keel
SHALLOWEST, DEEPEST = 20, 11_000


def stack(site, *, scale=1.0):
    """Figure A: the levels at the site, from the antenna to the seabed, each separation shown."""
    depth = site.water_depth or 1000
    return LiveFigure(
        lambda scale=scale: Stack(scale),
        [
            SitePicker(site, furthest=90),
        ],
        [
            Slider(
                "depth", "Depth", "m, charted", SHALLOWEST, DEEPEST, depth,
                step=0.05, log=True, follows="water_depth",
            ),
            Slider("topography", "Sea", "m over geoid +", -2, 2, 0.4, step=0.05, decimals=2),
            Slider("datum", "Datum", "m below sea", 0, 7, 2.2, step=0.05, decimals=2),
            Slider("tide", "Tide", "m over datum +", -1, 9, 3.0, step=0.05, decimals=2),
            Slider("heave", "Heave", "m, up +", -3, 3, 0.0, step=0.05, decimals=2),
        ],
    )  # fmt: skip


@dataclass(frozen=True)
class Levels:
    """Heights of all levels above the geoid, in metres; `separation` is N."""

    separation: float
    receiver: float  # N of the receiver's own table
    mean_sea: float
    datum: float
    water: float
    heave: float
    seabed: float

    geoid = 0.0

    @property
    def ellipsoid(self):
        """Return the height of the ellipsoid."""
        return -self.separation

    @property
    def antenna(self):
        """Return the height of the antenna as the swell lifts it."""
        return self.water + self.heave + ANTENNA

    @property
    def transducer(self):
        """Return the height of the transducer as the swell lifts it."""
        return self.water + self.heave - DRAUGHT

    @property
    def receiver_geoid(self):
        """Return the height of what the receiver takes for the geoid."""
        return self.receiver - self.separation


def receiver_separation(latitude, longitude):
    """Return N as a receiver may have it: EGM96 each 10 degrees, bilinear between; an example."""
    return float(_table_of_receiver().height(latitude, longitude))


@cache
def _table_of_receiver():
    latitudes, longitudes = np.arange(-90, 91, 10), np.arange(-180, 181, 10)
    nodes = geoid.EGM96.height(latitudes[:, np.newaxis], longitudes)
    return geoid.PrintedGrid(latitudes, longitudes, nodes)


@dataclass(frozen=True)
class Separation:
    """A column of the picture: what it measures, between which two levels, upper less lower."""

    symbol: str
    name: str
    colour: str
    x: float
    upper: str
    lower: str
    signed: bool = False


COLUMNS = (
    Separation("h", "GNSS height", NORMAL, 478, "antenna", "ellipsoid", signed=True),
    Separation("N", "geoid height", NORMAL, 592, "geoid", "ellipsoid", signed=True),
    Separation("H", "over geoid", PLUMB, 706, "antenna", "geoid"),
    Separation("S", "separation", NORMAL, 820, "ellipsoid", "datum", signed=True),
    Separation("T", "tide", PLUMB, 934, "water", "datum"),
    Separation("D", "charted depth", INK, 1040, "datum", "seabed"),
)


def length(metres, *, signed=False):
    """Return a separation to a centimetre, or to a decimetre where it is long."""
    return write.metres(metres, 2 if abs(metres) < 999.5 else 1, signed=signed)


class Stack:
    """
    The picture of figure A.

    A level z metres above the geoid stands at asinh(z / 1 m), moved and stretched so that every
    stack fills the picture: levels near the geoid stay apart, and deep ones stay in.
    """

    TOP, BOTTOM, EDGE = 104, 484, 510  # y of the highest and lowest level, of the picture's foot
    WEST, EAST = 150, 1096
    NAMES = LEFT, 142  # x of the levels' names, and where their leaders begin
    VESSEL = 276  # x of her middle
    # Outlines as x in points from her middle and height in metres over her waterline.
    HULL = (
        (-116, 3.2), (-113, 0.3), (-105, -4.4), (-93, -5.5), (-79, -5.8), (65, -5.8), (83, -5.6),
        (92, -5.0), (95, -4.3), (88, -3.6), (87, -0.3), (114, 6.0), (71, 4.8), (66, 3.2),
        (-116, 3.2),
    )  # fmt: skip
    HOUSE = (
        (-13, 3.2), (-13, 4.6), (0, 4.6), (3, 6.6), (10, 6.6), (13, 9.0), (49, 9.0), (56, 6.6),
        (62, 5.8), (66, 3.2),
    )  # fmt: skip
    FRAME = ((-107, 3.2), (-113, 8.0), (-99, 8.0), (-93, 3.2))
    MAST, BEAM, MEASURED = 28, -46, 10  # x of antenna, transducer and the draught's dimension

    def __init__(self, scale):
        canvas = self.canvas = Canvas("The stack of levels", scale=scale)
        canvas.note(LEFT, 56, f"antenna {length(ANTENNA)} over her waterline")
        for column in COLUMNS:
            canvas.words(
                column.x, 32, column.symbol, size=19, colour=column.colour, bold=True, to="both"
            )
            canvas.note(column.x, 58, column.name, to="both")
        antenna, draught, both = map(length, (ANTENNA, DRAUGHT, ANTENNA + DRAUGHT))
        sums = f"h = H + N    S = Z − M − N    T = h + S − {antenna} − heave"
        canvas.note(LEFT, 529, sums, colour=INK)
        sums = f"D = sounding + {draught} − heave − T = sounding + {both} − h − S"
        canvas.note(LEFT, 548, sums, colour=INK)
        words = "heights squeezed, not to scale: read the numbers"
        canvas.note(RIGHT, 548, words, bold=True, to="left", colour=INK)
        canvas.keep()

    def update(self, site, depth, topography, datum, tide, heave):
        """Draw the levels, the vessel and all separations; return the readout."""
        levels = Levels(
            geoid.EGM96.height(site.latitude, site.longitude),
            receiver_separation(site.latitude, site.longitude),
            topography,
            topography - datum,
            topography - datum + tide,
            heave,
            topography - datum - depth,
        )
        self._fit(levels)
        self.canvas.renew()
        self._ground(levels)
        self._vessel(levels)
        self._lines(levels)
        for column in COLUMNS:
            self._column(column, levels)
        self._beside_the_lines(levels)
        return self._readout(site, levels, tide)

    def _fit(self, levels):
        heights = [levels.antenna, levels.ellipsoid, levels.receiver_geoid, levels.seabed]
        self._low, self._high = np.arcsinh(min(heights)), np.arcsinh(max(heights))
        names = ("antenna", "water", "mean_sea", "geoid", "datum", "ellipsoid", "seabed")
        self._lines_y = self._y(np.array([getattr(levels, name) for name in names]))

    def _y(self, height):
        part = (np.arcsinh(height) - self._low) / (self._high - self._low)
        return self.BOTTOM - part * (self.BOTTOM - self.TOP)

    # the picture ---------------------------------------------------------------------------

    def _surface(self, levels):
        """Return the water's surface as a line: the swell that lifts her, level to the right."""
        x = np.linspace(self.WEST, 420, 60)
        swell = levels.heave * np.exp(-(((x - self.VESSEL) / 75) ** 4))
        return [*x, self.EAST], [*self._y(levels.water + swell), float(self._y(levels.water))]

    def _ground(self, levels):
        canvas = self.canvas
        x, y = self._surface(levels)
        seabed = float(self._y(levels.seabed))
        canvas.area([*x, self.EAST, self.WEST], [*y, seabed, seabed], SEA)
        canvas.box(self.WEST, seabed, self.EAST, self.EDGE, LAND)
        canvas.line([self.WEST, self.EAST], [seabed, seabed], colour=COAST, width=1.6)

    def _vessel(self, levels):
        canvas, waterline = self.canvas, levels.water + levels.heave
        # Her own scale above and below the waterline, so that she stays a ship.
        known = [-DRAUGHT, 0.0, ANTENNA]
        places = self._y(waterline + np.array(known))

        def placed(outline):
            x, z = np.array(outline).T
            return self.VESSEL + x, np.interp(z, known, places)

        canvas.line(*placed(self.FRAME), width=1.8)
        canvas.area(*placed(self.HULL), PALE, edge=INK, width=1.8)
        canvas.area(*placed(self.HOUSE), PALE, edge=INK, width=1.8)
        x = self.VESSEL + self.MAST
        canvas.line([x, x], np.interp([9.0, ANTENNA], known, places), width=2.2)
        x = self.VESSEL + self.BEAM
        keel, seabed = float(self._y(levels.transducer)), float(self._y(levels.seabed))
        for spread in (-26, 26):
            canvas.line([x, x + spread], [keel + 8, seabed], width=1.4, dash=DOTS)
        canvas.area([x - 6, x + 6, x], [keel + 1, keel + 1, keel + 9], INK)

    def _lines(self, levels):
        canvas = self.canvas
        names = {
            "antenna": ("antenna", INK, {"colour": HAIR, "width": 1.2}),
            "water": ("water level", PLUMB, {}),
            "mean_sea": ("mean sea level", GEOID, {"colour": GEOID, "width": 2, "dash": DOTS}),
            "geoid": ("geoid", GEOID, {"colour": GEOID, "width": 3}),
            "datum": ("chart datum", INK, {"colour": INK, "width": 2, "dash": CHOSEN_DASH}),
            "transducer": ("transducer", INK, {"colour": HAIR, "width": 1.2}),
            "ellipsoid": (
                "ellipsoid", NORMAL, {"colour": ELLIPSOID, "width": 2.6, "dash": ORANGE_DASH},
            ),
            "seabed": ("seabed", LAND_WORDS, {}),
        }  # fmt: skip
        levels_y = [float(self._y(getattr(levels, name))) for name in names]
        words_y = apart(levels_y, 19, self.TOP - 12, self.EDGE - 8)
        for y, at, (words, colour, look) in zip(levels_y, words_y, names.values(), strict=True):
            bold = words in ("geoid", "ellipsoid", "chart datum")
            end = canvas.words(self.NAMES[0], at, words, colour=colour, bold=bold)
            canvas.line([max(end + 5, 138), 146, self.WEST], [at, y, y], colour=QUIET, width=1)
            if look:
                ends = [self.WEST, 416 if words == "transducer" else self.EAST]
                canvas.line(ends, [y, y], **look)
        x, y = self._surface(levels)
        canvas.line(x, y, colour=PLUMB, width=2.2)
        antenna = float(self._y(levels.antenna))
        canvas.disc(self.VESSEL + self.MAST, antenna, 11, SITE, edge=INK)
        self._on_the_vessel(levels)

    def _on_the_vessel(self, levels):
        """Measure draught, sounding and heave."""
        canvas = self.canvas
        x, keel = self.VESSEL + self.MEASURED, float(self._y(levels.transducer))
        waterline = float(self._y(levels.transducer + DRAUGHT))
        canvas.dimension(x, waterline, keel)
        middle = (waterline + keel) / 2
        tall = keel - waterline >= 44
        end = canvas.words(x + 10, middle - 9 * tall, length(DRAUGHT), bold=True, halo=True)
        canvas.note(x + 10 if tall else end + 5, middle + 9 * tall, "draught", halo=True)
        seabed = float(self._y(levels.seabed))
        x = self.VESSEL + self.BEAM + 34
        below = keel + 0.55 * (seabed - keel)
        if seabed - keel > 60:
            below = self._free(x + 80, 160, np.linspace(keel + 24, seabed - 14, 25))
        sounding = length(levels.transducer - levels.seabed)
        end = canvas.words(x, below, sounding, bold=True, halo=True)
        canvas.note(end + 6, below, "sounding", halo=True)
        if levels.heave:
            x = self.VESSEL + 116
            still = float(self._y(levels.water))
            canvas.arrow((x, still), (x, waterline), colour=PLUMB, width=1.8, head=8)
            words = f"heave {write.metres(levels.heave, 2)}"
            canvas.note(self.WEST + 22, middle, words, colour=PLUMB, halo=True)

    def _beside_the_lines(self, levels):
        """Write M and Z, and what a receiver shows, where no column is needed for them."""
        canvas = self.canvas
        altitude = length(levels.antenna - levels.receiver_geoid)
        canvas.note(LEFT, 77, f"a receiver, by its own coarse geoid, shows {altitude}")
        topography = f"M {length(levels.mean_sea, signed=True)}"
        datum = f"Z {length(levels.mean_sea - levels.datum)}"
        end = canvas.note(RIGHT, 529, datum, bold=True, colour=GEOID, to="left")
        end -= canvas.width_of(datum, NOTE, bold=True) + 14
        canvas.note(end, 529, "chart datum below mean sea", to="left")
        end -= canvas.width_of("chart datum below mean sea", NOTE) + 20
        canvas.note(end, 529, topography, bold=True, colour=GEOID, to="left")
        end -= canvas.width_of(topography, NOTE, bold=True) + 8
        canvas.note(end, 529, "mean sea over geoid", to="left")

    def _column(self, column, levels):
        canvas, x, colour = self.canvas, column.x, column.colour
        upper, lower = getattr(levels, column.upper), getattr(levels, column.lower)
        y_upper, y_lower = float(self._y(upper)), float(self._y(lower))
        canvas.dimension(x, y_upper, y_lower, colour=colour, width=2)
        for y in (y_upper, y_lower):
            canvas.disc(x, y, 5, colour)
        beyond = 13 if y_lower >= y_upper else -13
        if abs(y_upper - y_lower) >= 54:
            places = np.linspace(y_upper + beyond, y_lower - beyond, 25)
        else:
            places = np.array([y_upper - beyond, y_lower + beyond])
        words = length(upper - lower, signed=column.signed)
        y = self._free(x, canvas.width_of(words, bold=True), places)
        canvas.words(x, y, words, bold=True, colour=colour, to="both", halo=True)

    def _free(self, x, width, places):
        """Return the place of a number that is farthest from lines, and on no other words."""
        room = np.abs(places[:, np.newaxis] - self._lines_y).min(1).clip(0, 14)
        for left, top, right, bottom in (entry.box for entry in self.canvas.written):
            if left < x + width / 2 and right > x - width / 2:
                room = np.where(np.abs(places - (top + bottom) / 2) < 16, room - 50, room)
        return float(places[np.argmax(room - 0.02 * np.abs(places - places.mean()))])

    @staticmethod
    def _readout(site, levels, tide):
        where = f"At {write.place(site)}"
        if site.name == OWN:
            where += f" ({write.position(site.latitude, site.longitude)})"
        h, altitude = levels.antenna + levels.separation, levels.antenna - levels.receiver_geoid
        separation = -(levels.datum + levels.separation)  # counted down, as lesson 07 does
        level = f"{length(abs(separation))} {'below' if separation >= 0 else 'above'} the ellipsoid"
        return (
            f"{where} the antenna is at h {write.bold(length(h, signed=True))}, H "
            f"{write.bold(length(levels.antenna))} above the geoid (N "
            f"{length(levels.separation, signed=True)}). A receiver (example) shows "
            f"{write.bold(length(altitude))}, above its own coarse geoid. Chart datum, S, is "
            f"{write.bold(level)}, the water {write.bold(write.above(tide, 'it'))}."
        )
