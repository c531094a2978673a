"""Figure B: nineteen years of tide at an invented port, its lowest and highest, and one month."""

import calendar
import datetime
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geokit import heights
from lessons.canvas import write
from lessons.canvas.palette import CHOSEN_DASH, DOTS, GEOID, HAIR, INK, PALE, PLUMB, QUIET, SEA
from lessons.canvas.pen import HEADLINE, RIGHT, Canvas
from lessons.figures.heights.ports import PORTS
from lessons.widgets.live import Choice, LiveFigure, Slider

FIRST_YEAR, YEARS = 2008, 19
EARLIEST, LATEST = 1960, 2080  # first years
ALL, NO_SEASON, SPRINGS = "all waves", "all but Sa, Ssa", "M2 and S2 only"
# Metres that a plot of years may cover, and the step of its scale.
SPANS = {0.1: 0.05, 0.2: 0.1, 0.5: 0.2, 1.0: 0.5, 2.0: 1.0, 4.0: 2.0}


def tide_years(site, *, scale=1.0):
    """
    Figure B: nineteen years of tide at an invented port, its lowest and highest, and one month.

    The ports are invented, so the site has no part in it.
    """
    del site
    port = next(iter(PORTS))
    lowest = Extremes(port, ALL, FIRST_YEAR).month
    return LiveFigure(
        lambda scale=scale: TideYears(scale),
        [
            Choice("port", "Port", "invented", {name: name for name in PORTS}),
            Choice(
                "waves", "Waves", "that count", {name: name for name in (ALL, NO_SEASON, SPRINGS)}
            ),
            Slider(
                "first_year",
                "First year",
                "of nineteen",
                EARLIEST,
                LATEST,
                FIRST_YEAR,
                step=1,
                year=True,
            ),
            Slider("month", "Month shown", "of the 228", 1, 12 * YEARS, lowest, step=1),
        ],
    )


@lru_cache(maxsize=256)
def constituents(port, waves):
    """Return the waves of a port that count, as `geokit.heights` takes them."""
    given = PORTS[port].waves
    if waves == NO_SEASON:
        given = {name: wave for name, wave in given.items() if name not in ("Sa", "Ssa")}
    elif waves == SPRINGS:
        given = {name: given[name] for name in ("M2", "S2")}
    return given


@lru_cache(maxsize=4096)
def year(port, waves, number):
    """Return the lowest and highest tide of a year, computed once."""
    lowest, highest, _ = heights.tidal_extremes(constituents(port, waves), number, 1)
    return lowest, highest


@lru_cache(maxsize=1024)
def lowest_day(port, waves, number):
    """Return the day, UTC, of a year's lowest tide."""
    hours = np.arange(f"{number}-01-01", f"{number + 1}-01-01", dtype="datetime64[h]")
    levels = heights.tide(constituents(port, waves), hours)
    near = hours[np.argsort(levels)[:8]].astype("datetime64[m]")
    minutes = (near[:, np.newaxis] + np.arange(-60, 61, 5)).ravel()
    levels = heights.tide(constituents(port, waves), minutes)
    return minutes[levels.argmin()].astype("datetime64[D]").astype(datetime.date)


def turning(levels):
    """Return the lowest and highest of a smooth curve known at even steps."""
    found = []
    for place in (int(levels.argmin()), int(levels.argmax())):
        before, there, after = levels[np.clip([place - 1, place, place + 1], 0, len(levels) - 1)]
        bend = before - 2 * there + after
        within = 0 < place < len(levels) - 1 and bend
        found.append(float(there - (after - before) ** 2 / (8 * bend) if within else there))
    return found


class Extremes:
    """Lowest and highest tide of nineteen years, year by year, in metres over mean sea level."""

    def __init__(self, port, waves, first_year):
        self.years = range(first_year, first_year + YEARS)
        self.lowest, self.highest = np.array([year(port, waves, n) for n in self.years]).T
        self.lat, self.hat = float(self.lowest.min()), float(self.highest.max())
        self.day = lowest_day(port, waves, self.years[int(self.lowest.argmin())])

    @property
    def month(self):
        """Return in which of the months LAT falls, from 1."""
        return 12 * (self.day.year - self.years[0]) + self.day.month


@dataclass(frozen=True)
class Plot:
    """A plot of levels: its edges, the level in its middle, and points for a metre."""

    top: float
    bottom: float
    middle: float
    per_metre: float

    def y(self, level):
        """Return the place of levels."""
        return (self.top + self.bottom) / 2 - (np.asarray(level) - self.middle) * self.per_metre

    def ticks(self, step):
        """Return (y, words) of the whole steps within the plot, a little off its edges."""
        reach = (self.bottom - self.top - 8) / 2 / self.per_metre
        first = math.ceil((self.middle - reach) / step)
        last = math.floor((self.middle + reach) / step)
        decimals = 2 if step < 0.1 else 1
        return [
            (float(self.y(part * step)), write.number(part * step, decimals, signed=True))
            for part in range(first, last + 1)
        ]


class TideYears:
    """The picture of figure B."""

    WEST, EAST = 84, 812
    HIGHS, LOWS, MONTH = (82, 172), (196, 306), (362, 520)  # top and bottom of the plots
    TABLE = 846

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Nineteen years of tide", scale=scale)
        for (top, bottom), words in (
            (self.HIGHS, "highest tide of each year, m over mean sea level"),
            (self.LOWS, "lowest tide of each year"),
            (self.MONTH, ""),
        ):
            canvas.box(self.WEST, top, self.EAST, bottom, edge=HAIR, width=1)
            canvas.note(self.WEST, top - 13, words, colour=INK)
        canvas.note(self.TABLE, 62, "lowest astronomical tide, LAT")
        canvas.note(self.TABLE, 148, "highest astronomical tide, HAT")
        canvas.note(self.TABLE, 238, "lowest tide of one year alone", colour=INK)
        canvas.note(self.TABLE, 374, "other ways to a lowest tide", colour=INK)
        for y in (218, 354):
            canvas.rule(y, self.TABLE, RIGHT)
        words = "astronomical tide only: weather and a rising sea come on top"
        canvas.note(RIGHT, 546, words, to="left", colour=INK)
        canvas.keep()

    def update(self, port, waves, first_year, month):
        """Draw nineteen years, one month and the numbers; return the readout."""
        found = Extremes(port, waves, round(first_year))
        whole = found if waves == ALL else Extremes(port, ALL, round(first_year))
        shown = found.years[0] + (round(month) - 1) // 12, (round(month) - 1) % 12 + 1
        times, levels = self._month(port, waves, *shown)
        canvas = self.canvas
        key = port, waves, found.years[0]
        canvas.layer(key, lambda: self._of_all_years(port, waves, found, whole))
        self._place(found, shown)
        self._curve(times, levels, found, whole, shown)
        return self._readout(port, waves, found, whole, shown, levels)

    def _of_all_years(self, port, waves, found, whole):
        """Draw what stays while another month is shown."""
        canvas = self.canvas
        span = f"{found.years[0]} to {found.years[-1]}"
        words = f"{port} (invented), {span}: {PORTS[port].kind}"
        canvas.note(canvas.beside_title, 34, words, sit="baseline")
        self._years(found, whole)
        self._table(port, waves, found, whole)

    # plots ---------------------------------------------------------------------------------

    def _years(self, found, whole):
        """Draw each year's highest and lowest tide, both to one scale."""
        canvas, wide = self.canvas, (self.EAST - self.WEST) / YEARS
        highs = min(found.highest.min(), whole.hat), max(found.hat, whole.hat)
        lows = min(found.lat, whole.lat), max(found.lowest.max(), whole.lat)
        (top, bottom), (high_top, high_bottom) = self.LOWS, self.HIGHS
        need = max(lows[1] - lows[0], (highs[1] - highs[0]) / 0.8)  # the upper plot is lower
        span = next(span for span in SPANS if span >= 1.5 * need)
        per_metre = (bottom - top) / span
        upper = Plot(high_top, high_bottom, sum(highs) / 2, per_metre)
        lower = Plot(top, bottom, sum(lows) / 2, per_metre)
        for plot in (upper, lower):
            self._scale(plot, SPANS[span])
        self._bars(upper, high_bottom, found.highest)
        self._bars(lower, top, found.lowest)
        self._marks(upper, "HAT", found.hat, whole.hat, above=True)
        self._marks(lower, "LAT", found.lat, whole.lat, above=False)
        for number, name in enumerate(found.years):
            if number % 2 == 0:
                x = self.WEST + wide * (number + 0.5)
                canvas.note(x, bottom + 13, str(name), to="both")

    def _place(self, found, shown):
        """Draw where among the years the month lies."""
        canvas, years = self.canvas, shown[0] - found.years[0] + (shown[1] - 0.5) / 12
        place = self.WEST + (self.EAST - self.WEST) / YEARS * years
        for ends in (self.HIGHS, self.LOWS):
            canvas.line([place, place], ends, width=1.2, dash=DOTS)
        canvas.site(place, self.LOWS[1])

    def _scale(self, plot, step):
        for y, words in plot.ticks(step):
            self.canvas.line([self.WEST + 1, self.EAST - 1], [y, y], colour=PALE, width=1.2)
            self.canvas.note(self.WEST - 8, y, words, to="left")

    def _bars(self, plot, edge, levels):
        """Draw the water of each year from a plot's inner edge to its last level."""
        lefts = np.linspace(self.WEST, self.EAST, YEARS + 1)[:-1] + 5
        rights = lefts + (self.EAST - self.WEST) / YEARS - 10
        ends = [
            np.array([[left, y], [right, y]])
            for left, right, y in zip(lefts, rights, plot.y(levels), strict=True)
        ]
        rings = [np.vstack([end, [end[1, 0], edge], [end[0, 0], edge], end[:1]]) for end in ends]
        self.canvas.outlines(rings, fill=SEA)
        self.canvas.outlines(ends, edge=PLUMB, width=3)

    def _marks(self, plot, name, level, of_all, *, above):
        """Draw HAT or LAT, and beside it that of all waves where it is another."""
        marks = [(name, float(plot.y(level)))]
        if abs(float(plot.y(of_all)) - marks[0][1]) >= 14:
            marks.append((f"{name} of all waves", float(plot.y(of_all))))
        for words, y in marks:
            self._mark(words, y, above=above)

    def _mark(self, words, y, *, above):
        canvas = self.canvas
        canvas.line([self.WEST, self.EAST], [y, y], colour=INK, width=1.8, dash=CHOSEN_DASH)
        y += -11 if above else 11
        canvas.note(self.EAST - 6, y, words, bold=True, colour=INK, to="left", halo=True)

    @staticmethod
    def _month(port, waves, number, month):
        """Return times each half hour through a month, and the tide."""
        start = np.datetime64(f"{number}-{month:02d}", "M")
        times = np.arange(start, start + 1, dtype="datetime64[m]")[::30]
        return times, heights.tide(constituents(port, waves), times)

    def _curve(self, times, levels, found, whole, shown):
        canvas, (top, bottom) = self.canvas, self.MONTH
        limit = 1.24 * max(-whole.lat, whole.hat)
        plot = Plot(top, bottom, 0.0, (bottom - top) / 2 / limit)
        self._scale(plot, next(s for s in (0.1, 0.2, 0.5, 1.0, 2.0) if 2.6 * s >= limit))
        days = len(times) / 48
        x = self.WEST + np.arange(len(times)) / 48 / days * (self.EAST - self.WEST)
        canvas.line(x, plot.y(levels), colour=GEOID, width=1.8)
        for day in range(1, math.floor(days) + 1, 7):
            at = self.WEST + (day - 1) / days * (self.EAST - self.WEST)
            canvas.line([at, at], [bottom, bottom + 5], colour=QUIET, width=1)
            canvas.note(at + 5, bottom + 13, str(day))
        middle = float(plot.y(0))
        canvas.line([self.WEST, self.EAST], [middle, middle], colour=GEOID, width=2, dash=DOTS)
        self._mark("HAT", float(plot.y(found.hat)), above=True)
        self._mark("LAT", float(plot.y(found.lat)), above=False)
        low = int(levels.argmin())
        canvas.site(x[low], float(plot.y(levels[low])))
        least, most = (write.metres(level, 2) for level in turning(levels))
        words = f"{calendar.month_name[shown[1]]} {shown[0]}, from {least} to {most}"
        end = canvas.note(self.WEST, top - 14, words, colour=INK, bold=True)
        canvas.note(end + 10, top - 14, "days in UTC; dotted: mean sea level")

    # numbers -------------------------------------------------------------------------------

    def _table(self, port, waves, found, whole):
        canvas = self.canvas
        for y, level, words in (
            (90, found.lat, f"{_day(found.day)}, month {found.month}"),
            (176, found.hat, "over mean sea level"),
        ):
            canvas.words(self.TABLE, y, write.metres(level, 2), size=HEADLINE, bold=True)
            canvas.note(self.TABLE, y + 23, words)
        least = int(found.lowest.argmax())
        amplitudes = {name: size for name, (size, _) in PORTS[port].waves.items()}
        misses = write.signed_size(float(found.lowest[least]) - found.lat)
        for y, rows in (
            (
                266,
                [
                    (f"deepest, {found.day.year}", write.metres(found.lat, 2), PLUMB),
                    (
                        f"shallowest, {found.years[least]}",
                        write.metres(found.lowest[least], 2),
                        PLUMB,
                    ),
                    ("as LAT, off by up to", misses, INK),
                ],
            ),
            (
                402,
                [
                    ("LAT of all waves", write.metres(whole.lat, 2), INK),
                    (
                        "−(M2 + S2)",
                        write.metres(-amplitudes["M2"] - amplitudes["S2"], 2),
                        INK,
                    ),
                    ("minus all amplitudes", write.metres(-sum(amplitudes.values()), 2), INK),
                ],
            ),
        ):
            canvas.rows(self.TABLE, RIGHT, y, rows, step=28)
        counted = len(constituents(port, waves))
        words = f"{counted} of {len(amplitudes)} waves count here"
        canvas.note(self.TABLE, 492, words, colour=INK, bold=counted < len(amplitudes))

    @staticmethod
    def _readout(port, waves, found, whole, shown, levels):
        misses = float(found.lowest.max()) - found.lat
        words = (
            f"At {port}, {found.years[0]} to {found.years[-1]}, {waves}: LAT is "
            f"{write.bold(write.metres(found.lat, 2))} ({_day(found.day)}) and HAT "
            f"{write.bold(write.metres(found.hat, 2))} over mean sea level. The lowest tide of one "
            f"year alone may miss LAT by {write.bold(write.size(misses))}."
        )
        if waves != ALL:
            way = "too high" if found.lat > whole.lat else "too low"
            words += (
                f" Against all waves LAT is {write.bold(write.size(abs(found.lat - whole.lat)))} "
                f"{way}."
            )
        month = f"{calendar.month_name[shown[1]]} {shown[0]}"
        least, most = (write.metres(level, 2) for level in turning(levels))
        return words + (f" In {month} the tide runs from {least} to {most}.")


def _day(date):
    return f"{date.day} {calendar.month_name[date.month]} {date.year}"
