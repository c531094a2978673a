"""Figure C: what the software did between two systems, and what it does without its grid file."""

import math
from dataclasses import dataclass

import numpy as np

from geokit import geoid
from lessons.canvas import write
from lessons.canvas.palette import (
    ELLIPSOID,
    GEOID,
    HAIR,
    HATCH,
    INK,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    QUIET,
    WHITE,
)
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.figures.datums import registry
from lessons.figures.datums.common import STILL, Names, RoundMap, plain, round_metres, towards
from lessons.widgets.live import Choice, LiveFigure, SitePicker


@dataclass(frozen=True)
class Pair:
    """Two systems of the registry; `heights` where h is carried to a height H."""

    source: str
    target: str
    short: str
    heights: bool = False


PAIRS = {
    pair.short: pair
    for pair in (
        Pair("EPSG:4230", "EPSG:4326", "ED50 to WGS 84"),
        Pair("EPSG:4277", "EPSG:4326", "OSGB36 to WGS 84"),
        Pair("EPSG:4277", "EPSG:4258", "OSGB36 to ETRS89"),
        Pair("EPSG:4267", "EPSG:4326", "NAD27 to WGS 84"),
        Pair("EPSG:4269", "EPSG:4326", "NAD83 to WGS 84"),
        Pair("EPSG:4301", "EPSG:4326", "Tokyo to WGS 84"),
        Pair("EPSG:4211", "EPSG:4326", "Batavia to WGS 84"),
        Pair("EPSG:4202", "EPSG:4326", "AGD66 to WGS 84"),
        Pair("EPSG:4283", "EPSG:7844", "GDA94 to GDA2020"),
        Pair("EPSG:4618", "EPSG:4326", "SAD69 to WGS 84"),
        Pair("EPSG:4322", "EPSG:4326", "WGS 72 to WGS 84"),
        Pair("EPSG:4979", "EPSG:9707", "h to EGM96, 4979 to 9707", heights=True),
    )
}
EVERYWHERE = "WGS 72 to WGS 84"
OLD = {datum.name: registry.source(datum) for datum in registry.DATUMS}
ORDER = ("the software’s choice", *(f"number {place}" for place in range(2, 7)))
GRIDS = {"in its place": True, "taken away": False}
LONGEST = 71  # letters of a row's second line
STAND_INS = {"allowed": True, "forbidden": False}


def candidates(site, *, scale=1.0):
    """Figure C: the registry's operations between two systems, and what a missing grid does."""
    return LiveFigure(
        lambda scale=scale: Candidates(scale),
        [SitePicker(site), Choice("pair", "From and to", "", PAIRS, first(site))],
        [
            Choice("order", "Operation", "", dict(zip(ORDER, range(6), strict=True))),
            Choice("grid", "EGM96 grid file", "", GRIDS),
            Choice("ballpark", "Rough stand-ins", "", STAND_INS),
        ],
    )


def first(site):
    """Return the pair that belongs to the old lists of a place."""
    source = OLD[registry.in_use(site.latitude, site.longitude).name]
    return next((name for name, pair in PAIRS.items() if pair.source == source), EVERYWHERE)


class Candidates:
    """The picture of figure C."""

    MAP = (248, 290, 178)
    BOX = (LEFT, 50, 476, 520)
    TABLE, NAME, ACCURACY = 500, 526, 912
    FIRST, STEP, ROWS = 98, 56, 7
    SCALE = (176, 90, 490)  # x of the heights, y of their top and bottom

    def __init__(self, scale):
        canvas = self.canvas = Canvas("What did the software do?", scale=scale)
        self.plan = RoundMap(canvas, *self.MAP)
        canvas.note(self.NAME, self.FIRST - 32, "offered by the registry, in its own order")
        canvas.note(self.ACCURACY, self.FIRST - 32, "good to", to="left")
        canvas.note(RIGHT, self.FIRST - 32, "from what it takes", to="left")
        canvas.rule(self.FIRST - 20, self.TABLE, colour=QUIET)
        x = LEFT
        for words, fill, edge in (
            ("taken", PLUMB, WHITE),
            ("offered", WHITE, PLUMB),
            ("a stand-in that does nothing", NORMAL, WHITE),
        ):
            canvas.disc(x + 7, 544, 13, fill, edge=edge, rim=2)
            x = canvas.note(x + 19, 544, words, colour=INK) + 20
        self._square(x + 7, 544)
        canvas.note(x + 19, 544, "φ, λ as they stand", colour=INK)
        canvas.note(RIGHT, 544, f"EPSG dataset {registry.VERSION}, no network", to="left")
        canvas.keep()

    def update(self, site, pair, order, grid, ballpark):
        """Draw every operation's point and row; return the readout."""
        found = registry.candidates(
            pair.source,
            pair.target,
            site.latitude,
            site.longitude,
            grid=grid,
            ballpark=ballpark,
        )
        usable = [each for each in found if each.result]
        shown = [*usable[:6], *[each for each in found if not each.result]][: self.ROWS]
        chosen = usable[min(order, len(usable[:6]) - 1)] if usable else None
        self.canvas.renew()
        self.canvas.note(
            self.canvas.beside_title,
            34,
            f"{pair.short} at {site.name}",
            colour=INK,
            sit="baseline",
        )
        if pair.heights:
            self._heights(site, usable, chosen)
        else:
            self._map(site, usable[:6], chosen)
        for row, each in enumerate(shown):
            self._row(self.FIRST + self.STEP * row, row, each, usable, chosen, pair)
        if len(found) > len(shown):
            self.canvas.note(
                self.NAME,
                self.FIRST + self.STEP * len(shown) - 12,
                f"and {len(found) - len(shown)} more",
            )
        if not usable:
            x, y = self.MAP[:2]
            self.canvas.words(x, y, "the software refuses", bold=True, to="both")
            self.canvas.note(x, y + 22, "no number comes out", to="both")
        return self._readout(site, pair, found, usable, chosen, order)

    # the picture ---------------------------------------------------------------------------

    def _map(self, site, usable, chosen):
        if not usable:
            return
        canvas, plan = self.canvas, self.plan
        plan.draw()
        taken = usable[0].result
        points = [registry.east_north(taken, each.result) for each in usable]
        points.append(registry.east_north(taken, (site.latitude, site.longitude)))
        edge = _edge(points, usable)
        places, marks = [], []
        for point in points:
            length = math.hypot(*point)
            out = min(1.0, 1.1 * edge / length) if length else 1.0
            places.append(plan.to_canvas(point[0] * out, point[1] * out, edge))
            marks.append(write.size(length) if out < 1 else "")
        plan.ring_names(edge, places)
        names = Names(canvas, self.BOX)
        for x, y in places:
            names.keep_clear(x, y, 9)
        at = usable.index(chosen)
        names.keep_line_clear(places[0], places[at])
        *places, still = places
        stand_in = any(each.ballpark for each in usable)  # whose point that is
        if not stand_in and math.dist(still, places[0]) > 14:
            self._as_they_stand(names, still, places[0], math.hypot(*points[-1]))
        canvas.arrow(places[0], places[at], colour=PLUMB, width=2.4)
        for row in reversed(range(len(usable))):
            x, y = places[row]
            self._mark(x, y, row, usable[row], usable[row] is chosen)
        for row, (x, y) in enumerate(places):
            words = f"{row + 1}: {marks[row]}" if marks[row] else f"{row + 1}"
            away = _away_from_all(places, x, y)
            names.write(x, y, words, size=15, bold=True, colour=PLUMB, away=away)
        names.finish()

    def _heights(self, site, usable, chosen):
        """Draw the heights that come out, on one upright scale, and what EGM96 itself says."""
        if not usable:
            return
        canvas, (x, top, bottom) = self.canvas, self.SCALE
        values = [*(each.result[2] for each in usable), _by_egm96(site)]
        edge = round_metres(max(1.1 * max(map(abs, values)), 1.0))
        middle = (top + bottom) / 2

        def level(height):
            return middle - height / edge * (bottom - top) / 2

        canvas.line([x, x], [top, bottom], colour=HAIR, width=1.4)
        for height in (-edge, -edge / 2, 0, edge / 2, edge):
            canvas.line([x - 6, x], [level(height)] * 2, colour=HAIR, width=1.4)
            words = f"{'+' if height > 0 else ''}{plain(height)}".replace("-", write.MINUS)
            canvas.note(x - 12, level(height), words, to="left")
        side = 16 if values[-1] < 0 else -16
        canvas.line([x, 470], [middle] * 2, colour=ELLIPSOID, width=2.4, dash=ORANGE_DASH)
        canvas.note(470, middle - side, "h = 0, what went in", colour=NORMAL, to="left")
        canvas.line([x, 470], [level(values[-1])] * 2, colour=GEOID, width=2.4)
        canvas.note(470, level(values[-1]) + side, "H by EGM96 itself", colour=GEOID, to="left")
        for row, each in enumerate(usable):
            y = level(each.result[2])
            self._mark(x, y, row, each, each is chosen)
            canvas.words(
                x + 18,
                y + (side if each.result[2] < 0 or (each.result[2] == 0 and side < 0) else -side),
                f"{row + 1}: H = {write.metres(each.result[2], 2)}",
                bold=True,
                colour=NORMAL if each.ballpark else PLUMB,
                halo=True,
            )

    def _as_they_stand(self, names, still, taken, metres):
        """Show where the numbers as they stand lie, if they were of the other system."""
        names.keep_line_clear(still, taken)
        x, y = zip(still, taken, strict=True)
        self.canvas.line(x, y, colour=ELLIPSOID, dash=ORANGE_DASH)
        self._square(*still)
        words = write.size(metres)
        names.write(*still, words, size=15, bold=True, colour=NORMAL, beside=2)

    def _square(self, x, y):
        self.canvas.box(x - 6, y - 6, x + 6, y + 6, WHITE, edge=NORMAL, width=2.2)

    def _mark(self, x, y, row, each, chosen):
        canvas = self.canvas
        first = row == 0
        fill = NORMAL if each.ballpark else PLUMB if first else WHITE
        canvas.disc(x, y, 15, fill, edge=PLUMB if fill == WHITE else WHITE, rim=2)
        if chosen:
            canvas.disc(x, y, 23, None, edge=INK, rim=2)

    # the table -----------------------------------------------------------------------------

    def _row(self, y, row, each, usable, chosen, pair):
        canvas = self.canvas
        missing = each.result is None
        if each is chosen:
            canvas.box(self.TABLE - 8, y - 18, RIGHT + 6, y + 34, PALE, edge=HATCH, width=1)
        elif row:
            canvas.rule(y - 19, self.TABLE)
        colour = QUIET if missing else NORMAL if each.ballpark else INK
        canvas.words(self.TABLE, y, "–" if missing else str(row + 1), bold=True, colour=colour)
        name = _name(each)
        canvas.words(self.NAME, y, name, bold=not missing, colour=colour)
        canvas.note(self.NAME, y + 20, _where(each), colour=QUIET)
        good = "unknown" if each.accuracy is None else plain(each.accuracy)
        canvas.words(self.ACCURACY, y, good, colour=colour, to="left")
        if missing:
            words = "grid file missing"
        elif row == 0:
            words = "this is it"
        elif pair.heights:
            words = f"{write.size(abs(each.result[2] - usable[0].result[2]))} in height"
        else:
            words = towards(*registry.east_north(usable[0].result, each.result))
        canvas.words(RIGHT, y, words, bold=not missing, colour=colour, to="left")

    # the words -----------------------------------------------------------------------------

    @staticmethod
    def _readout(site, pair, found, usable, chosen, order):
        lost = [each for each in found if each.result is None]
        place = f"{write.place(site)}, {pair.short}: "
        if not usable:
            why = (
                f"the grid file {lost[0].grids[0]} is missing"
                if lost
                else "nothing reaches the site"
            )
            return (
                f"{place}{write.bold('the software refuses')}, and that is the safe answer: {why} "
                "and rough stand-ins are forbidden. No number comes out."
            )
        first = usable[0]
        good = "unknown accuracy" if first.accuracy is None else f"good to {plain(first.accuracy)}"
        code = f"{first.code}, " if first.code else ""
        words = (
            f"{place}the software takes {write.bold('a ' * first.ballpark + _name(first))} "
            f"({code}{good})"
        )
        if first.ballpark:
            same = "h comes back" if pair.heights else "φ and λ come back"
            words += f": {write.bold(same + ' unchanged')}, and nothing says so"
            out = (
                f", out by {write.bold(write.size(abs(_by_egm96(site))))}." if pair.heights else "."
            )
            words += out
        elif pair.heights:
            words += f": H = {write.bold(write.metres(first.result[2], 2))} for h = 0."
        elif chosen is not first:
            apart = towards(*registry.east_north(first.result, chosen.result))
            place = usable.index(chosen) + 1
            words += f"; number {place}, {_name(chosen)}, lies {write.bold(apart)} of it."
        else:
            more = len(usable) - 1
            others = f"{more} more reach{'es' * (more == 1)}" if more else "no other reaches"
            moved = towards(*registry.east_north((site.latitude, site.longitude), first.result))
            does = "leaves φ and λ as they stand" if moved == STILL else f"moves the point {moved}"
            words += f", which {write.bold(does)}; {others} the site."
        if lost:
            words += f" Out of reach without {lost[0].grids[0]}: {_name(lost[0])}."
        return words


def _edge(points, usable):
    """
    Return how far out the rim of the map lies, in metres from what the software takes.

    Operations, and not a stand-in among them, fill the map; where they all agree, what they do.
    """
    *offered, still = (math.hypot(*point) for point in points)
    spread = max(
        length
        for length, each in zip(offered, usable, strict=True)
        if each.ballpark == usable[0].ballpark
    )
    return round_metres(1.05 * spread if spread >= 0.01 else max(1.05 * still, 1.0))


def _away_from_all(places, x, y):
    """Return the azimuth that leads from one of some places away from their middle."""
    right, down = np.subtract((x, y), np.mean(places, axis=0))
    return math.degrees(math.atan2(right, -down))


def _by_egm96(site):
    """Return the height of h = 0 above the geoid, by the course's own model."""
    return -geoid.EGM96.height(site.latitude, site.longitude)


def _name(each):
    """Return an operation's name, a stand-in's in words of our own."""
    return "stand-in that does nothing" if each.ballpark else each.name


def _where(each):
    """Return what the second line of a row says: the grid file, code and area of use."""
    parts = [", ".join(each.grids)] if each.grids else []
    parts += [each.code] if each.code else []
    words = " · ".join([*parts, each.area_name.strip(". ").replace("United States (USA)", "USA")])
    return words if len(words) <= LONGEST else words[: LONGEST - 1].rstrip(" ;,-") + "…"
