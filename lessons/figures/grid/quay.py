"""Figure B: from a star azimuth to the gyro's correction, link by link."""

import math
from dataclasses import dataclass
from functools import lru_cache

from geokit import WGS84, angles, deflection, geoid, grid, lines
from lessons.canvas import write
from lessons.canvas.palette import CHOSEN_DASH, GEOID, INK, NORMAL, ORANGE_DASH, PALE, PLUMB, QUIET
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.figures.grid import polar
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

MARK = 10_000.0  # metres to the reference mark
GYRO_LOW = 0.4  # degrees that the invented gyro reads too little: its true C − O
GYRO_NOISE = 0.1  # degrees times 1/cos φ, settled; the course's own round figure
SIGNS = {"right": 1, "wrong sign": -1, "left out": 0}
NONE = "—"
LINKS = ("laplace", "convergence", "bend", "gyro")


FURTHEST = 89.9  # degrees of latitude: farther on an azimuth changes by a degree in 200 m


def quay(site, *, scale=1.0):
    """Figure B: the quay chain with each sign to be turned."""
    switches = (
        ("laplace", "Laplace", "η tan φ"),
        ("convergence", "Convergence", "γ"),
        ("bend", "Arc to chord", "t − T"),
        ("gyro", "Gyro", "C − O"),
    )
    return LiveFigure(
        lambda scale=scale: Quay(scale),
        [
            SitePicker(site, furthest=FURTHEST),
            Slider("azimuth", "Azimuth A", "° of the line, by stars", 0, 359, 70, step=1),
        ],
        [Choice(name, title, unit, SIGNS) for name, title, unit in switches],
    )


@lru_cache(maxsize=8)  # each row of the table takes them with signs of its own
def links_of(site, azimuth):
    """Return geodetic azimuth, η tan φ, convergence and t − T of a line's astronomic azimuth."""
    here = site.latitude, site.longitude
    xi, eta = deflection.from_geoid(*here, geoid.EGM96, WGS84)
    alpha = deflection.geodetic_azimuth(azimuth, xi, eta, site.latitude, 90)
    laplace = (azimuth - alpha + 180) % 360 - 180
    hemisphere = "south" if site.latitude < 0 else "north"
    if polar.beyond_zones(site.latitude):
        plane = polar.PolarGrid(hemisphere, WGS84)
    else:
        plane = grid.utm(grid.utm_zone(*here, exceptions=True), hemisphere, WGS84)
    far = lines.direct(*here, alpha, MARK, WGS84)[:2]
    bend = plane.arc_to_chord(*plane.forward(*here), *plane.forward(*far)) / 3600
    return alpha, laplace, plane.convergence(*here), bend


@dataclass(frozen=True)
class Bearings:
    """The links of a line at a site, and its bearings by the signs that were taken; degrees."""

    laplace: float  # η tan φ, astronomic azimuth less geodetic
    convergence: float
    bend: float  # t − T
    azimuths: tuple[float, ...]  # A, α, T, t, and the azimuth that the gyro's party makes of t
    reading: float
    correction: float  # C − O as found

    @property
    def off(self):
        """Return by how much the correction is wrong."""
        return self.correction - GYRO_LOW


def chain(site, azimuth, signs):
    """
    Return the chain of the line to the reference mark, whose astronomic azimuth is given.

    `signs` are 1, −1 or 0 for each of `LINKS`. From the grid bearing the gyro's party goes back to
    an azimuth with the right signs, and the gyro is read along the line.
    """
    alpha, laplace, gamma, bend = links_of(site, azimuth)
    first, second, third, last = signs
    geodetic = azimuth - first * laplace
    tangent = geodetic - second * gamma
    chord = tangent + third * bend
    back = chord - bend + gamma
    reading = alpha - GYRO_LOW
    correction = last * ((back - reading + 180) % 360 - 180)
    return Bearings(
        laplace, gamma, bend, (azimuth, geodetic, tangent, chord, back), reading, correction
    )


class Quay:
    """The picture of figure B."""

    BOX, GAP, TOP, TALL = 168, 58, 92, 66  # width of a box, gap between two, y, height
    NORTHS = (216, 420, 118)  # x, y of the mark, length of the north arrows
    TABLE = 452  # x
    ROWS, STEP = 318, 42  # y of the first row of the table, from one to the next
    COLUMNS = (690, 820, 962, RIGHT)  # right edges of its columns

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "The quay, link by link",
            "EGM96, UTM or UPS on WGS 84; from t back to the gyro’s C every sign is right",
            scale=scale,
        )
        for place, name in enumerate(
            (
                "astronomic azimuth A",
                "geodetic azimuth α",
                "grid bearing T, of the arc",
                "grid bearing t, of the chord",
                "gyro",
            )
        ):
            left = self._left(place)
            canvas.note(left, self.TOP - 14, name, colour=INK)
            edge = PLUMB if place == 0 else NORMAL if place == 1 else INK
            canvas.box(
                left, self.TOP, left + self.BOX, self.TOP + self.TALL, PALE, edge=edge, width=1.8
            )
        heads = ("its size here", "C − O wrong by", "in 60 m", "in 1 km")
        for x, head in zip(self.COLUMNS, heads, strict=True):
            canvas.note(x, self.ROWS - 34, head, to="left")
        canvas.rule(self.ROWS - 20, self.TABLE, colour=QUIET)
        canvas.note(LEFT, 268, "three norths, angles between them not to scale", colour=INK)
        canvas.arrow((LEFT, 546), (LEFT + 34, 546), colour=GEOID, width=3.4)
        canvas.note(LEFT + 42, 546, "the line, to a reference mark 10 km off", colour=INK)
        canvas.keep()

    def _left(self, place):
        return LEFT + place * (self.BOX + self.GAP)

    def update(self, site, azimuth, **signs):
        """Draw chain, norths and table; return the readout."""
        signs = [signs[name] for name in LINKS]
        found = chain(site, azimuth, signs)
        self.canvas.renew()
        self._chain(found, signs)
        self._norths(found)
        self._table(site, azimuth, found, signs)
        return self._readout(site, found, signs)

    def _chain(self, found, signs):
        """Draw the boxes with their angles, and between them the arrows with what they add."""
        canvas, middle = self.canvas, self.TOP + self.TALL / 2
        laplace, convergence, bend, gyro = signs
        adds = (
            (-laplace * found.laplace, "− η tan φ", laplace),
            (-convergence * found.convergence, "− γ", convergence),
            (bend * found.bend, "+ (t − T)", bend),
            (None, "C − O", gyro),
        )
        for place, value in enumerate(found.azimuths[:4]):
            left = self._left(place)
            canvas.words(left + self.BOX / 2, middle, _dms(value), bold=True, to="both")
        for place, (add, formula, sign) in enumerate(adds):
            start, end = self._left(place) + self.BOX + 4, self._left(place + 1) - 4
            wrong = sign != 1
            look = {"colour": NORMAL, "dash": ORANGE_DASH} if wrong else {"colour": INK}
            canvas.arrow((start, middle), (end, middle), width=3, **look)
            x, colour = (start + end) / 2, NORMAL if wrong else INK
            below = self.TOP + self.TALL
            canvas.note(x, below + 20, _turned(formula, sign), colour=colour, bold=True, to="both")
            if add is not None:
                canvas.note(x, below + 39, _small(add), colour=colour, to="both")
            word = {1: "", -1: "wrong sign", 0: "left out"}[sign]
            canvas.note(x, below + 58, word, colour=NORMAL, bold=True, to="both")
        left = self._left(4)
        for y, name, value in (
            (middle - 16, "C", _degrees(found.azimuths[4] % 360)),
            (middle + 14, "O", _degrees(found.reading % 360)),
        ):
            canvas.note(left + 14, y, name, colour=INK, bold=True)
            canvas.words(left + self.BOX - 12, y, value, bold=True, to="left")
        right, y = self._left(4) + self.BOX, self.TOP + self.TALL + 22
        colour = PLUMB if abs(found.off) < 0.05 else NORMAL
        words = f"C − O {_signed(found.correction)}"
        canvas.words(right, y, words, bold=True, colour=colour, to="left", size=19)
        canvas.note(right, y + 28, f"right: {_signed(GYRO_LOW)}", colour=INK, to="left")

    def _norths(self, found):
        """Draw the three norths and the line, their angles by sense, not by size."""
        canvas, (x, y, long) = self.canvas, self.NORTHS
        turn = math.radians(found.azimuths[0])
        canvas.arc(x, y, 40, 0, found.azimuths[0], colour=QUIET, width=1.6)
        tip = x + 108 * math.sin(turn), y - 108 * math.cos(turn)
        canvas.arrow((x, y), tip, colour=GEOID, width=3.4)
        self._north(0, "true", NORMAL, ORANGE_DASH, long, "both")
        if abs(found.laplace) * 3600 >= 0.05:
            lean = -math.copysign(9, found.laplace)  # a larger A starts from a north farther west
            self._north(lean, "of the stars", PLUMB, None, long - 16, "out")
        if abs(found.convergence) >= 0.0005:
            lean = math.copysign(24, found.convergence)
            self._north(lean, "grid", INK, CHOSEN_DASH, long - 34, "out")
        canvas.site(x, y)

    def _north(self, turn, name, colour, dash, long, to):
        canvas, (x, y, _) = self.canvas, self.NORTHS
        tip = x + long * math.sin(math.radians(turn)), y - long * math.cos(math.radians(turn))
        canvas.arrow((x, y), tip, colour=colour, width=2.4, dash=dash)
        if to == "both":
            canvas.note(tip[0], tip[1] - 10, name, colour=colour, bold=True, to="both", halo=True)
        else:
            side = 1 if turn > 0 else -1
            to = "right" if side > 0 else "left"
            canvas.note(
                tip[0] + 8 * side, tip[1] + 4, name, colour=colour, bold=True, to=to, halo=True
            )

    def _table(self, site, azimuth, found, signs):
        canvas = self.canvas
        noise = GYRO_NOISE / math.cos(math.radians(site.latitude))
        names = ("Laplace", "convergence", "arc to chord", "C − O")
        sizes = (found.laplace, found.convergence, found.bend, GYRO_LOW)
        for row, (name, size) in enumerate(zip(names, sizes, strict=True)):
            y = self.ROWS + self.STEP * row
            sign = signs[row]
            alone = [1, 1, 1, 1]
            alone[row] = sign
            off = chain(site, azimuth, alone).off
            colour = INK if sign == 1 else NORMAL
            canvas.words(self.TABLE, y, name, bold=True, colour=colour)
            canvas.words(self.COLUMNS[0], y, _small(size), to="left")
            for x, words in zip(self.COLUMNS[1:], _effects(off), strict=True):
                canvas.words(x, y, words, bold=sign != 1, colour=colour, to="left")
            canvas.rule(y + self.STEP / 2, self.TABLE, colour=PALE)
        y = self.ROWS + 4 * self.STEP
        canvas.words(self.TABLE, y, "together", bold=True)
        for x, words in zip(self.COLUMNS[1:], _effects(found.off), strict=True):
            canvas.words(x, y, words, bold=True, colour=PLUMB, to="left")
        verdict = _verdict(found.off, noise)
        canvas.note(self.TABLE, 526, verdict, colour=INK, bold=True)
        canvas.note(
            self.TABLE, 546,
            f"gyro, settled: {write.number(noise, 2)}° here, a round figure; 60 m is a lever arm, "
            "1 km a USBL range",
        )  # fmt: skip

    @staticmethod
    def _readout(site, found, signs):
        wrong = [
            f"{name} {'of the wrong sign' if sign < 0 else 'left out'}"
            for name, sign in zip(("Laplace", "convergence", "t − T", "C − O"), signs, strict=True)
            if sign != 1
        ]
        said = ", ".join(wrong) if wrong else "every sign right"
        off, metres, far = _effects(found.off)
        effect = "as it should" if off == NONE else f"off by {off}: {metres} in 60 m, {far} in 1 km"
        return (
            f"At {write.place(site)}, {write.bold(said)}: A {_dms(found.azimuths[0])} becomes grid "
            f"bearing {_dms(found.azimuths[3])}, and the gyro gets C\u00a0−\u00a0O "
            f"{write.bold(_signed(found.correction))}, {effect}. Here η tan φ is "
            f"{_small(found.laplace)}, γ "
            f"{_small(found.convergence)}, t − T {_small(found.bend)}."
        )


def _effects(off):
    """Return an error of heading in words, and what it does in 60 m and in 1 km."""
    if abs(off) * 3600 < 0.005:
        return NONE, NONE, NONE
    across = abs(2 * math.sin(math.radians(off) / 2))
    return _small(off), *(write.least_size(reach * across) for reach in (60, 1000))


def _verdict(off, noise):
    if abs(off) * 3600 < 0.005:
        return "the chain is whole"
    if abs(off) < noise:
        return "wrong, and the gyro cannot show it: a theodolite on the quay would"
    return "wrong, and the gyro would be adjusted for it"


def _turned(formula, sign):
    """Return a formula with the other sign, or none."""
    if sign == 1:
        return formula
    if sign == 0:
        return "nothing"
    if formula == "C − O":
        return "O − C"
    other = {"−": "+", "+": "−"}
    return other[formula[0]] + formula[1:]


def _dms(degrees):
    """Return an angle from 0 to 360 degrees, to a tenth of an arcsecond."""
    return angles.dms(round(degrees % 360 * 36_000) % 12_960_000 / 36_000, 1)


def _small(degrees):
    """Return a small angle in degrees, or in arcseconds below a tenth of a degree."""
    if abs(degrees) >= 0.1:
        return write.number(degrees, 3, signed=True) + "°"
    seconds = 3600 * degrees
    return write.arcseconds(seconds, decimals=1 if abs(seconds) >= 9.95 else 2)


def _degrees(degrees):
    return write.number(degrees, 2) + "°"


def _signed(degrees):
    return write.number(degrees, 2, signed=True) + "°"
