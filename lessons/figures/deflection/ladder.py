"""Figure B: what the deflection does, beside the noise of the instruments."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from geokit import WGS84
from lessons.canvas import write
from lessons.canvas.globe import off_pole
from lessons.canvas.palette import GEOID, HAIR, HATCH, INK, NOISE, PALE, PLUMB, QUIET, WHITE
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.figures.deflection.common import RADIANS, at, towards
from lessons.widgets.live import LiveFigure, SitePicker, Slider


def consequences(site, *, scale=1.0):
    """Figure B: what the deflection does, in metres, beside the noise of the instruments."""
    return LiveFigure(
        lambda scale=scale: Consequences(scale),
        [
            SitePicker(site),
            Slider(
                "depth",
                "Depth",
                "m",
                10,
                10_000,
                site.water_depth or 1000,
                step=0.05,
                log=True,
                follows="water_depth",
            ),
            Slider("line", "Line", "km long", 0.1, 100, 1, step=0.05, decimals=1, log=True),
        ],
    )


@dataclass(frozen=True)
class Consequence:
    """
    One rung of the ladder.

    `effect` is in metres for one arcsecond, of the total deflection or of η; `noise` gives the
    lowest and highest noise in metres of the instrument that would see it, 95 %. Both take the
    job: latitude, depth in metres, line in kilometres.
    """

    title: str
    short: str
    condition: Callable[["Job"], str]
    effect: Callable[["Job"], float]
    noise: Callable[["Job"], tuple[float, float]]
    instrument: Callable[["Job"], str]
    of_eta: bool = False


@dataclass(frozen=True)
class Job:
    """What the size of a consequence depends on, beside the deflection itself."""

    latitude: float
    azimuth: float  # of the zenith's lean
    depth: float
    line: float

    @property
    def arcsecond(self):
        """Return the metres of one arcsecond on the ground, in the lean's direction."""
        turn = math.radians(self.azimuth)
        return RADIANS * math.hypot(
            math.cos(turn) * WGS84.meridian_radius(self.latitude),
            math.sin(turn) * WGS84.prime_vertical_radius(self.latitude),
        )

    @property
    def gyro(self):
        """
        Return the settled error of gyro compasses in degrees, which grows as 1/cosφ.

        Where it would be a right angle the compass no longer finds north: 90°.
        """
        level = math.cos(math.radians(self.latitude))
        return tuple(min(90.0, error / level) if level > 0 else 90.0 for error in (0.1, 0.5))

    @property
    def levelling(self):
        """Return the metres between a difference of GNSS heights and a levelled one."""
        root = math.sqrt(self.line)
        return math.hypot(0.004, 0.001 * root), math.hypot(0.020, 0.004 * root)

    @property
    def sighting(self):
        """Return the metres that a zenith angle and an uncertain refraction leave in a height."""
        bend = (self.line * 1000) ** 2 / (2 * WGS84.mean_radius)  # by a coefficient κ of 1
        second = self.line * 1000 * RADIANS
        return math.hypot(0.05 * bend, second), math.hypot(0.4 * bend, 5 * second)


def _times(factors, scale):
    return tuple(factor * scale for factor in factors)


# The noise is the course's own round figures, at 95 %: the figure says so.
def _gyro(low, high):
    """Return what a gyro compass is good for, in words."""
    if low >= 90:
        return "gyro: finds no north here"
    return f"gyro, {write.number(low, 1)}° to {write.number(high, 1)}°"


LADDER = (
    Consequence(
        "Star position against GNSS",
        "star position",
        lambda job: f"{write.number(job.arcsecond, 1)} m for each arcsecond",
        lambda job: job.arcsecond,
        lambda job: _times((0.1, 0.6), job.arcsecond),
        lambda job: "theodolite on stars, 0.1″ to 0.6″",
    ),
    Consequence(
        "Weight or probe on a wire",
        "weight by USBL",
        lambda job: f"at {write.number(job.depth, 0)} m depth",
        lambda job: job.depth * RADIANS,
        lambda job: _times((0.002, 0.005), job.depth),
        lambda job: "USBL, 0.2 to 0.5 % of depth",
    ),
    Consequence(
        "The same, in a seabed array",
        "weight in a seabed array",
        lambda job: f"at {write.number(job.depth, 0)} m depth",
        lambda job: job.depth * RADIANS,
        lambda job: (0.03, 0.12),
        lambda job: "LBL array, 3 to 12 cm",
    ),
    Consequence(
        "GNSS heights against levelling",
        "levelling",
        lambda job: f"over {write.kilometres(job.line)}, steepest line",
        lambda job: job.line * 1000 * RADIANS,
        lambda job: job.levelling,
        lambda job: f"GNSS and levelling, {write.spread(*job.levelling)}",
    ),
    Consequence(
        "Zenith angles to heights",
        "zenith angles",
        lambda job: f"over {write.kilometres(job.line)}, steepest line",
        lambda job: job.line * 1000 * RADIANS,
        lambda job: job.sighting,
        lambda job: "1″ to 5″, κ in doubt 0.05 to 0.4",
    ),
    Consequence(
        "Gyro heading, η·tan φ",
        "gyro heading",
        lambda job: f"across track after {write.kilometres(job.line)}",
        lambda job: (
            job.line * 1000 * RADIANS * abs(math.tan(math.radians(job.latitude)))
            if job.gyro[0] < 90
            else 0.0  # where it finds no north there is nothing to correct
        ),
        lambda job: _times(job.gyro, math.radians(job.line * 1000)),
        lambda job: _gyro(*job.gyro),
        of_eta=True,
    ),
    Consequence(
        "Roll and pitch of a beam",
        "beam",
        lambda job: f"on the bottom at {write.number(job.depth, 0)} m",
        lambda job: job.depth * RADIANS,
        lambda job: _times((0.01, 0.05), math.radians(job.depth)),
        lambda job: "motion sensor, 0.01° to 0.05°",
    ),
)
MATTERS, EDGE, LOST = "matters", "at the edge", "lost in the noise"
VERDICTS = {MATTERS: ("●", PLUMB), EDGE: ("◐", INK), LOST: ("○", QUIET)}


class Consequences:
    """The picture of figure B."""

    FROM, DECADE = 304, 61  # x of 0.1 mm, points to a factor of ten
    FIRST, STEP = 112, 58  # y of the first rung
    VERDICT = 822

    def __init__(self, scale):
        canvas = self.canvas = Canvas("What the deflection does", scale=scale)
        marks = ("0.1 mm", "1 mm", "1 cm", "10 cm", "1 m", "10 m", "100 m", "1 km", "10 km")
        last = self.FIRST + self.STEP * (len(LADDER) - 1)
        for decade, mark in enumerate(marks):
            x = self.FROM + self.DECADE * decade
            canvas.line([x, x], [80, last + 40], colour=HAIR, width=1)
            canvas.note(x, 66, mark, to="both")
        canvas.note(self.VERDICT, 66, "against its instrument")
        canvas.note(RIGHT, 48, "matters from", to="left", colour=INK)
        canvas.note(RIGHT, 66, "lost below", to="left")
        for rung, consequence in enumerate(LADDER):
            y = self.FIRST + self.STEP * rung
            canvas.words(LEFT, y - 9, consequence.title, bold=True)
            if rung:
                canvas.rule(y - self.STEP / 2, colour=PALE)
        self._key()
        canvas.keep()

    def _key(self):
        canvas, y = self.canvas, 538
        canvas.disc(31, y, 12, GEOID)
        end = canvas.note(44, y, "size of the effect here", colour=INK)
        canvas.box(end + 24, y - 7, end + 64, y + 7, NOISE, edge=HATCH, hatch=HATCH)
        canvas.note(
            end + 74,
            y,
            "noise of the instrument that would see it, 95 %: the course’s round "
            "figures; use your own sheets",
            colour=INK,
        )

    def _x(self, metres):
        top = self.FROM + 8 * self.DECADE
        return min(self.FROM + self.DECADE * (math.log10(max(metres, 1e-4)) + 4), top)

    def update(self, site, depth, line):
        """Draw effect, noise and verdict of every rung; return the readout."""
        _, eta, size, azimuth = at(site)
        job = Job(off_pole(site.latitude), azimuth, depth, line)
        canvas = self.canvas
        canvas.renew()
        note = f"at {site.name}: {write.arcseconds(size, signed=False)} {towards(size, azimuth)}"
        canvas.words(canvas.beside_title, 34, note, bold=True, colour=PLUMB, sit="baseline")
        found = {MATTERS: [], EDGE: [], LOST: []}
        for rung, consequence in enumerate(LADDER):
            component = abs(eta) if consequence.of_eta else size
            verdict, effect = self._rung(rung, consequence, job, component)
            found[verdict].append(f"{consequence.short} {write.least_size(effect)}")
        return self._readout(site, size, azimuth, depth, line, found)

    def _rung(self, rung, consequence, job, component):
        canvas, y = self.canvas, self.FIRST + self.STEP * rung
        effect = consequence.effect(job) * component
        low, high = consequence.noise(job)
        verdict = MATTERS if effect > high else EDGE if effect >= low else LOST
        symbol, colour = VERDICTS[verdict]
        canvas.note(LEFT, y + 13, consequence.condition(job))
        canvas.box(
            self._x(low),
            y - 14,
            max(self._x(high), self._x(low) + 4),
            y + 14,
            NOISE,
            edge=HATCH,
            hatch=HATCH,
        )
        x = self._x(effect)
        canvas.line([self.FROM, x], [y, y], colour=GEOID, width=2.4)
        canvas.disc(x, y, 14, GEOID, edge=WHITE, rim=1)
        number = write.least_size(effect)
        half = canvas.width_of(number, bold=True) / 2
        middle = min(max(x, self.FROM + half - 12), self.FROM + 8 * self.DECADE + 12 - half)
        canvas.words(middle, y - 21, number, bold=True, colour=PLUMB, to="both", halo=True)
        canvas.words(self.VERDICT, y - 9, symbol, size=19, colour=colour)
        canvas.words(self.VERDICT + 26, y - 9, verdict, bold=True, colour=colour)
        canvas.note(self.VERDICT, y + 13, consequence.instrument(job))
        for row, noise, colour in ((y - 9, high, INK), (y + 13, low, QUIET)):
            words = self._as_large(consequence, job, noise)
            canvas.note(RIGHT, row, words, to="left", colour=colour)
        return verdict, effect

    @staticmethod
    def _as_large(consequence, job, noise):
        """Return the deflection that makes the consequence as large as a noise."""
        effect = consequence.effect(job)
        if effect * 9999 < noise:
            return "never"
        least = noise / effect
        symbol = "η " if consequence.of_eta else ""
        return symbol + write.arcseconds(least, signed=False, decimals=0 if least >= 9.95 else 1)

    @staticmethod
    def _readout(site, size, azimuth, depth, line, found):
        lists = " ".join(
            f"{write.bold(verdict.capitalize())}: {', '.join(rungs)}."
            for verdict, rungs in found.items()
            if rungs
        )
        leans = f"{write.arcseconds(size, signed=False)} {towards(size, azimuth)}".strip()
        return (
            f"At {write.place(site)} ({write.bold(leans)}), {write.number(depth, 0)}\xa0m deep and "
            f"over a line of {write.kilometres(line)}. {lists}"
        )
