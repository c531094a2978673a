"""Figure C: what the software did between two systems, and what it does without its grid file."""

import math
from dataclasses import dataclass

import numpy as np

from geokit import geoid
from lessons.canvas import write
from lessons.canvas.palette import (
    DOTS,
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
ORDER = ("the software’s choice", *(f"number {place}" for place in range(2, 8)))
GRIDS = {"in its place": True, "taken away": False}
LONGEST = 71  # letters of a row's second line
OFFERED, MISSING, ROWS = 5, 2, 7  # rows at most: that can be taken, without their grid, of all
TO_COMPARE = "to compare, if taken here"
COLOURS = {"offered": PLUMB, "missing": QUIET, "still": NORMAL, "elsewhere": INK}
AS_IT_STANDS = "the numbers as they stand"
STAND_INS = {"allowed": True, "forbidden": False}


def candidates(site, *, scale=1.0):
    """Figure C: the registry's operations between two systems, and what a missing grid does."""
    return LiveFigure(
        lambda scale=scale: Candidates(scale),
        [
            SitePicker(site),
            Choice("pair", "From and to", "", PAIRS, first(site), follows=of_place),
        ],
        [
            Choice("order", "Operation", "", dict(zip(ORDER, range(7), strict=True))),
            Choice("grid", "EGM96 grid file", "", GRIDS),
            Choice("ballpark", "Rough stand-ins", "", STAND_INS),
        ],
    )


def first(site):
    """Return the pair that belongs to the old lists of a place."""
    source = OLD[registry.in_use(site.latitude, site.longitude).name]
    return next((name for name, pair in PAIRS.items() if pair.source == source), EVERYWHERE)


def of_place(site, pair):
    """Return the pair to show at a newly chosen place: heights stay heights."""
    return pair if PAIRS[pair].heights else first(site)


@dataclass(frozen=True)
class Row:
    """
    A row of the table and its point: an operation, or the numbers as they stand.

    `number` is by which it is chosen, 0 where nothing comes out; `kind` is "offered", "missing",
    "still" or "elsewhere".
    """

    number: int
    kind: str
    each: registry.Candidate


class Candidates:
    """
    The picture of figure C.

    Where one operation serves there is still something to compare it with: the numbers as they
    stand, which is what a null transformation makes of them, and the operations of the areas
    next to the site.
    """

    MAP = (248, 290, 178)
    BOX = (LEFT, 50, 476, 520)
    TABLE, NAME, ACCURACY = 500, 526, 890
    FIRST, STEP, HEAD = 98, 52, 32
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
            x = canvas.note(x + 19, 544, words, colour=INK) + 18
        self._square(x + 7, 544)
        x = canvas.note(x + 19, 544, "φ, λ as they stand", colour=INK) + 18
        self._diamond(x + 7, 544)
        canvas.note(x + 19, 544, "for another area", colour=INK)
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
        rows = _rows(site, pair, found)
        numbered = [row for row in rows if row.number]
        chosen = numbered[min(order, len(numbered) - 1)] if numbered else None
        self.canvas.renew()
        self.canvas.note(
            self.canvas.beside_title,
            34,
            f"{pair.short} at {site.name}",
            colour=INK,
            sit="baseline",
        )
        if not numbered:
            x, y = self.MAP[:2]
            self.canvas.words(x, y, "the software refuses", bold=True, to="both")
            self.canvas.note(x, y + 22, "no number comes out", to="both")
        elif pair.heights:
            self._heights(site, numbered, chosen)
        else:
            self._map(numbered, chosen)
        shown = sum(row.kind in ("offered", "missing") for row in rows)
        self._table(rows, chosen, pair, len(found) - shown)
        return self._readout(site, pair, found, rows, chosen)

    # the picture ---------------------------------------------------------------------------

    def _map(self, rows, chosen):
        canvas, plan = self.canvas, self.plan
        plan.draw()
        taken = rows[0].each.result
        points = [registry.east_north(taken, row.each.result) for row in rows]
        edge = _edge(points, rows)
        places, marks = [], []
        for point, row in zip(points, rows, strict=True):
            length = math.hypot(*point)
            out = min(1.0, 1.1 * edge / length) if length else 1.0
            places.append(plan.to_canvas(point[0] * out, point[1] * out, edge))
            far = f": {write.size(length)}" if out < 1 or row.kind == "still" else ""
            marks.append(f"{row.number}{far}")
        plan.ring_names(edge, places)
        names = Names(canvas, self.BOX)
        for x, y in places:
            names.keep_clear(x, y, 9)
        at = rows.index(chosen)
        names.keep_line_clear(places[0], places[at])
        self._good_to(rows[0].each, edge, names)
        for row, place in zip(rows, places, strict=True):
            if row.kind == "still" and math.dist(place, places[0]) > 14:
                names.keep_line_clear(place, places[0])
                x, y = zip(place, places[0], strict=True)
                canvas.line(x, y, colour=ELLIPSOID, dash=ORANGE_DASH)
        canvas.arrow(places[0], places[at], colour=PLUMB, width=2.4)
        for row, place in reversed(list(zip(rows, places, strict=True))):
            self._mark(*place, row, row is chosen)
        for row, words, (x, y) in zip(rows, marks, places, strict=True):
            away = _away_from_all(places, x, y)
            colour = COLOURS[row.kind]
            names.write(x, y, words, size=15, bold=True, colour=colour, away=away)
        names.finish()

    def _good_to(self, taken, edge, names):
        """Draw how good the operation that is taken claims to be, where a circle shows it."""
        x, y, radius = self.MAP
        reach = (taken.accuracy or 0) / edge * radius
        if 18 <= reach <= radius:
            self.canvas.arc(x, y, reach, 0, 360, colour=PLUMB, width=1.6, dash=DOTS)
            turn = math.radians(52)
            at = x + reach * math.sin(turn), y - reach * math.cos(turn)
            names.write(*at, f"good to {plain(taken.accuracy)}", colour=PLUMB, away=52)

    def _heights(self, site, rows, chosen):
        """Draw the heights that come out, on one upright scale, and what EGM96 itself says."""
        canvas, (x, top, bottom) = self.canvas, self.SCALE
        values = [*(row.each.result[2] for row in rows), _by_egm96(site)]
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
        for row in rows:
            each = row.each
            y = level(each.result[2])
            self._mark(x, y, row, row is chosen)
            canvas.words(
                x + 18,
                y + (side if each.result[2] < 0 or (each.result[2] == 0 and side < 0) else -side),
                f"{row.number}: H = {write.metres(each.result[2], 2)}",
                bold=True,
                colour=NORMAL if each.ballpark else PLUMB,
                halo=True,
            )

    def _square(self, x, y):
        self.canvas.box(x - 6, y - 6, x + 6, y + 6, WHITE, edge=NORMAL, width=2.2)

    def _diamond(self, x, y):
        self.canvas.area(
            [x, x + 8, x, x - 8, x], [y - 8, y, y + 8, y, y - 8], WHITE, edge=INK, width=1.8
        )

    def _mark(self, x, y, row, chosen):
        canvas = self.canvas
        if row.kind == "still":
            self._square(x, y)
        elif row.kind == "elsewhere":
            self._diamond(x, y)
        else:
            fill = NORMAL if row.each.ballpark else PLUMB if row.number == 1 else WHITE
            canvas.disc(x, y, 15, fill, edge=PLUMB if fill == WHITE else WHITE, rim=2)
        if chosen:
            canvas.disc(x, y, 25, None, edge=INK, rim=2)

    # the table -----------------------------------------------------------------------------

    def _table(self, rows, chosen, pair, more):
        """Write what the place is offered, and under a head of its own what it is not."""
        y, compared = self.FIRST, False
        for place, row in enumerate(rows):
            if row.kind in ("still", "elsewhere") and not compared:
                y, compared = y + self.HEAD, True
                head = f"and {more} more. Now to compare, if taken here" if more else TO_COMPARE
                self.canvas.note(self.NAME, y - 30, head)
                self.canvas.rule(y - 19, self.TABLE, colour=QUIET)
            elif place and row is not chosen and rows[place - 1] is not chosen:
                self.canvas.rule(y - 19, self.TABLE)
            self._row(y, row, rows[0], row is chosen, pair)
            y += self.STEP
        if more and not compared:
            self.canvas.note(self.NAME, y - 10, f"and {more} more")

    def _row(self, y, row, first, chosen, pair):
        canvas, each = self.canvas, row.each
        if chosen:
            canvas.box(self.TABLE - 8, y - 18, RIGHT + 6, y + 32, PALE, edge=HATCH, width=1)
        colour = COLOURS[row.kind] if not each.ballpark else NORMAL
        number = str(row.number) if row.number else "–"
        canvas.words(self.TABLE, y, number, bold=True, colour=colour)
        canvas.words(self.NAME, y, _name(each), bold=row.kind == "offered", colour=colour)
        canvas.note(self.NAME, y + 20, _where(row), colour=QUIET)
        canvas.words(self.ACCURACY, y, _good(each), colour=colour, to="left")
        if not row.number:
            words = "grid file missing"
        elif row is first:
            words = "this is it"
        elif pair.heights:
            words = f"{write.size(abs(each.result[2] - first.each.result[2]))} in height"
        else:
            words = towards(*registry.east_north(first.each.result, each.result))
        canvas.words(RIGHT, y, words, bold=bool(row.number), colour=colour, to="left")

    # the words -----------------------------------------------------------------------------

    @staticmethod
    def _readout(site, pair, found, rows, chosen):
        usable = [each for each in found if each.result]
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
        if chosen is not rows[0] and not pair.heights:
            words += f"; {_compared(first, chosen)}."
        elif first.ballpark:
            same = "h comes back" if pair.heights else "φ and λ come back"
            words += f": {write.bold(same + ' unchanged')}, and nothing says so"
            out = (
                f", out by {write.bold(write.size(abs(_by_egm96(site))))}." if pair.heights else "."
            )
            words += out
        elif pair.heights:
            words += f": H = {write.bold(write.metres(first.result[2], 2))} for h = 0."
        else:
            more = len(usable) - 1
            others = f"{more} more reach{'es' * (more == 1)}" if more else "no other reaches"
            moved = towards(*registry.east_north((site.latitude, site.longitude), first.result))
            does = "leaves φ and λ as they stand" if moved == STILL else f"moves the point {moved}"
            words += f", which {write.bold(does)}; {others} the site.{_next_to_it(first, rows)}"
        if lost:
            words += f" Out of reach without {lost[0].grids[0]}: {_name(lost[0])}."
        return words


def _rows(site, pair, found):
    """Return the rows of the table: what the place is offered, then what to compare it with."""
    usable = [each for each in found if each.result]
    missing = [each for each in found if not each.result]
    offered = [("offered", each) for each in usable[:OFFERED]]
    offered += [("missing", each) for each in missing[:MISSING]]
    if usable and not pair.heights:
        if not any(each.ballpark for each in usable):  # whose point it is
            offered.append(("still", _as_they_stand(site)))
        next_to = registry.elsewhere(pair.source, pair.target, site.latitude, site.longitude)
        offered += [("elsewhere", each) for each in next_to]
    rows, number = [], 0
    for kind, each in offered[:ROWS]:
        number += kind != "missing"
        rows.append(Row(0 if kind == "missing" else number, kind, each))
    return rows


def _as_they_stand(site):
    """Return what a null transformation does, as if the registry offered it."""
    place = (site.latitude, site.longitude, 0.0)
    return registry.Candidate(AS_IT_STANDS, "", None, "", (), ballpark=False, result=place)


def _compared(first, row):
    """Return how far another row's point lies from that of the operation that is taken."""
    apart = towards(*registry.east_north(first.result, row.each.result))
    if row.kind == "still":
        return f"φ and λ as they stand lie {write.bold(apart)} of it"
    words = f"number {row.number}, {_name(row.each)}, lies {write.bold(apart)} of it"
    return words + " and is not for this place" * (row.kind == "elsewhere")


def _next_to_it(first, rows):
    """Return how far off the operation of the next area would be; nothing where there is none."""
    row = next((row for row in rows if row.kind == "elsewhere"), None)
    if row is None:
        return ""
    apart = towards(*registry.east_north(first.result, row.each.result))
    return f" {_name(row.each)}, of another area, would be {apart} of it."


def _edge(points, rows):
    """
    Return how far out the rim of the map lies, in metres from what the software takes.

    Operations that compete, and not a stand-in among them, fill the map, and so does how good
    the one that is taken claims to be. Where nothing competes, all operations that are shown do;
    where nothing else is shown, the numbers as they stand.
    """
    first = rows[0].each
    lengths = [math.hypot(*point) for point in points]
    compete = [
        length
        for length, row in zip(lengths, rows, strict=True)
        if row.kind == "offered" and row.each.ballpark == first.ballpark
    ]
    others = [n for n, row in zip(lengths, rows, strict=True) if row.kind != "still"]
    spread = max(compete) if max(compete) >= 0.01 else max(others)
    if spread < 0.01:
        return round_metres(max(1.05 * max(lengths), 1.0))
    return round_metres(1.05 * max(spread, first.accuracy or 0))


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


def _good(each):
    """Return how good an operation claims to be."""
    if each.name == AS_IT_STANDS:
        return "–"
    return "unknown" if each.accuracy is None else plain(each.accuracy)


def _where(row):
    """Return what the second line of a row says: the grid file, code and area of use."""
    each = row.each
    if row.kind == "still":
        return "a null transformation: seven zeros, and φ, λ as they were typed"
    parts = [", ".join(each.grids)] if each.grids else []
    parts += [each.code] if each.code else []
    words = " · ".join([*parts, each.area_name.strip(". ").replace("United States (USA)", "USA")])
    if row.kind == "elsewhere":
        words = f"not here: {words}"
    return words if len(words) <= LONGEST else words[: LONGEST - 1].rstrip(" ;,-") + "…"
