"""Figure B: seven parameters, one by one, and the switch that nobody wrote down."""

import math

import numpy as np

from geokit import WGS84, datums, ecef
from geokit.angles import RHO
from lessons.canvas import write
from lessons.canvas.palette import (
    CHOSEN_DASH,
    GEOID,
    HAIR,
    INK,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    QUIET,
    WHITE,
)
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.figures.datums.common import Names, RoundMap, plain, round_metres, towards
from lessons.figures.datums.shifts import local
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

CONVENTIONS = {name: name for name in datums.CONVENTIONS}
FORMULAS = {"small angles": False, "full rotation": True}
TRANSLATIONS, ROTATIONS = ("tx", "ty", "tz"), ("rx", "ry", "rz")
SEVEN = (*TRANSLATIONS, *ROTATIONS, "scale_ppm")
_KINDS = {
    "t": {"colour": INK, "width": 2.6},
    "r": {"colour": NORMAL, "width": 2.6, "dash": ORANGE_DASH},
    "s": {"colour": GEOID, "width": 2.6, "dash": CHOSEN_DASH},
}
LOOK = {name: _KINDS[name[0]] for name in SEVEN}


def seven_parameters(site, *, scale=1.0):
    """Figure B: seven parameters one by one, and what the other convention makes of them."""
    return LiveFigure(
        lambda scale=scale: SevenParameters(scale),
        [
            SitePicker(site, furthest=90),
            Choice("convention", "Convention", "", CONVENTIONS),
            Choice("exact", "Formula", "", FORMULAS),
        ],
        [
            *(_slider(t, "m", 800, 0, step=1, decimals=2) for t in TRANSLATIONS),
            *(_slider(r, "″", 20, float(r == "rz"), step=0.05, decimals=3) for r in ROTATIONS),
            _slider("scale_ppm", "ppm", 30, 0, step=0.1, decimals=3),
        ],
    )


def _slider(name, unit, end, value, **look):
    return Slider(name, symbol(name).capitalize() if name == "scale_ppm" else symbol(name), unit,
                  -end, end, value, beyond=True, **look)  # fmt: skip


def symbol(name):
    """Return how a parameter is written."""
    return "scale" if name == "scale_ppm" else f"{name[0]}{name[1].upper()}"


def amount(name, value):
    """Return a parameter with its unit, without zeros that say nothing."""
    decimals = 2 if name in TRANSLATIONS else 3
    text = write.number(value, decimals, signed=True)
    text = text.rstrip("0").rstrip(".") if "." in text else text
    unit = "\xa0m" if name in TRANSLATIONS else "″" if name in ROTATIONS else "\xa0ppm"
    return text + unit


class SevenParameters:
    """The picture of figure B."""

    MAP = (266, 296, 196)
    BOX = (LEFT, 50, 486, 530)
    UP = 532  # x of the upright scale
    TABLE, EAST, NORTH, HIGH = 640, 876, 986, RIGHT
    FIRST, STEP = 92, 28

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Seven parameters, one switch", scale=scale)
        self.plan = RoundMap(canvas, *self.MAP)
        self.plan.draw()
        top, bottom = self.plan.y - self.plan.radius, self.plan.y + self.plan.radius
        canvas.line([self.UP, self.UP], [top, bottom], colour=HAIR, width=1)
        canvas.line([self.UP - 12, self.UP + 12], [self.plan.y] * 2, colour=QUIET, width=1)
        canvas.note(self.UP, bottom + 11, "down", to="both")
        canvas.note(self.TABLE, self.FIRST - 28, "moves the site by, m")
        for x, name in ((self.EAST, "east"), (self.NORTH, "north"), (self.HIGH, "up")):
            canvas.note(x, self.FIRST - 28, name, to="left")
        canvas.rule(self.FIRST - 15, self.TABLE, colour=QUIET)
        y = self.FIRST + 7 * self.STEP
        canvas.rule(y - self.STEP / 2, self.TABLE, colour=QUIET)
        arm = WGS84.semi_major
        canvas.note(
            self.TABLE,
            514,
            f"1″ moves by {write.size(arm / RHO)} at most, 1 ppm lifts by {write.size(arm / 1e6)} "
            "at most",
            colour=INK,
        )
        x = LEFT
        for name, look in (("shift", LOOK["tx"]), ("rotation", LOOK["rx"]),
                           ("scale", LOOK["scale_ppm"])):  # fmt: skip
            canvas.line([x, x + 34], [544, 544], **look)
            x = canvas.note(x + 42, 544, name, colour=INK) + 20
        for words, fill in (("your convention", PLUMB), ("the other", WHITE)):
            canvas.disc(x + 6, 544, 12, fill, edge=PLUMB, rim=2)
            x = canvas.note(x + 18, 544, words, colour=INK) + 20
        canvas.keep()

    def update(self, site, convention, exact, **seven):
        """Draw the chain of the seven and both conventions' ends; return the readout."""
        place = (site.latitude, site.longitude, 0.0)
        xyz = np.array(ecef.to_ecef(*place, WGS84))
        other = next(name for name in datums.CONVENTIONS if name != convention)

        def moved(parameters, way=convention, full=exact):
            given = {**dict.fromkeys(SEVEN, 0.0), **parameters}
            return np.array(datums.Helmert(**given, convention=way, exact=full).apply(*xyz))

        mine = moved(seven)  # refuses what is no parameter before anything is drawn
        parts = {name: np.array(local(moved({name: seven[name]}), place)) for name in SEVEN}
        yours, theirs = (np.array(local(point, place)) for point in (mine, moved(seven, other)))
        published = datums.Helmert(**seven, convention=convention, exact=exact)
        returned = np.array(published.sign_reversed().apply(*mine))
        misses = {
            "apart": float(np.linalg.norm(yours - theirs)),
            "formula": float(np.linalg.norm(moved(seven, full=not exact) - mine)),
            "back": float(np.linalg.norm(returned - xyz)),
        }
        self.canvas.renew()
        self.canvas.note(
            self.canvas.beside_title, 34, f"at {site.name}, h = 0", colour=INK, sit="baseline"
        )
        self._map(parts, seven, yours, theirs, misses["apart"])
        self._table(seven, parts, yours, theirs, convention, other)
        self._misses(misses, exact)
        return self._readout(site, seven, convention, other, yours, theirs, misses, exact)

    # the map -------------------------------------------------------------------------------

    def _map(self, parts, seven, yours, theirs, apart):
        canvas, plan = self.canvas, self.plan
        corners = np.cumsum([np.zeros(3), *parts.values()], axis=0)
        level = np.hypot(*np.array([*corners, theirs])[:, :2].T).max()
        edge = round_metres(max(level, 1.0))
        on_canvas = [plan.to_canvas(*corner[:2], edge) for corner in corners]
        end, other_end = (plan.to_canvas(*point[:2], edge) for point in (yours, theirs))
        plan.ring_names(edge, [*on_canvas, other_end])
        names = Names(canvas, self.BOX)
        for x, y in (on_canvas[0], end, other_end):
            names.keep_clear(x, y, 9)
        steps = [(name, a, b) for name, a, b in zip(SEVEN, on_canvas, on_canvas[1:], strict=False)
                 if math.dist(a, b) > 1]  # fmt: skip
        for _, start, tip in steps:
            names.keep_line_clear(start, tip)
        if math.dist(end, other_end) > 14:
            names.keep_line_clear(end, other_end)
            canvas.arrow(end, other_end, colour=PLUMB, width=1.4, dash=(2, 3), head=9)
        for name, start, tip in steps:
            canvas.arrow(start, tip, **LOOK[name])
        canvas.disc(*other_end, 15, WHITE, edge=PLUMB, rim=2.4)
        canvas.disc(*end, 13, PLUMB, edge=WHITE, rim=1)
        canvas.site(*on_canvas[0])
        for name, start, tip in steps:
            middle = np.add(start, tip) / 2
            names.write(*map(float, middle), symbol(name), colour=LOOK[name]["colour"], bold=True)
        if math.dist(end, other_end) > 14 and apart >= 0.0005:
            middle = np.add(end, other_end) / 2
            names.write(*map(float, middle), write.size(apart), size=15, bold=True, colour=PLUMB)
        names.finish()
        self._upright(float(yours[2]), float(theirs[2]))

    def _upright(self, yours, theirs):
        canvas, plan = self.canvas, self.plan
        edge = round_metres(max(abs(yours), abs(theirs), 1.0))
        canvas.note(self.UP, plan.y - plan.radius - 11, f"{plain(edge)} up", to="both")
        y, other = (plan.y - part / edge * plan.radius for part in (yours, theirs))
        canvas.line([self.UP, self.UP], [plan.y, y], colour=PLUMB, width=2.6)
        canvas.disc(self.UP, other, 15, WHITE, edge=PLUMB, rim=2.4)
        canvas.disc(self.UP, y, 13, PLUMB, edge=WHITE, rim=1)
        words = write.signed_size(yours) if abs(yours) >= 0.005 else "0 m"
        canvas.words(self.UP + 14, y, words, bold=True, colour=PLUMB, halo=True)

    # the table -----------------------------------------------------------------------------

    def _table(self, seven, parts, yours, theirs, convention, other):
        y = self.FIRST
        for name, part in parts.items():
            strong = seven[name] != 0
            colour = LOOK[name]["colour"] if strong else QUIET
            words = f"{symbol(name)} = {amount(name, seven[name])}"
            self._row(y, words, part, colour, strong)
            y += self.STEP
        for words, part, fill in ((convention, yours, PLUMB), (other, theirs, WHITE)):
            self.canvas.disc(self.TABLE + 6, y, 13, fill, edge=PLUMB, rim=2)
            self._row(y, words, part, PLUMB, fill == PLUMB, indent=20)
            y += self.STEP

    def _row(self, y, name, part, colour, strong, indent=0):
        canvas = self.canvas
        canvas.note(self.TABLE + indent, y, name, colour=colour, bold=strong)
        for x, value in zip((self.EAST, self.NORTH, self.HIGH), part, strict=True):
            canvas.words(x, y, write.number(float(value), 2, signed=True), colour=colour,
                        bold=strong, to="left")  # fmt: skip

    def _misses(self, misses, exact):
        canvas, y = self.canvas, self.FIRST + 9 * self.STEP + 22
        canvas.box(self.TABLE - 8, y - 19, RIGHT + 6, y + 19, PALE)
        canvas.words(self.TABLE, y, "the two conventions apart", bold=True)
        apart = write.least_size(misses["apart"])
        canvas.words(RIGHT, y, apart, size=19, bold=True, colour=PLUMB, to="left")
        formula = "full rotation instead" if not exact else "small angles instead"
        canvas.rows(
            self.TABLE,
            RIGHT,
            y + 40,
            [
                (formula, write.least_size(misses["formula"]), INK),
                (
                    "back again, all seven signs reversed: misses by",
                    write.least_size(misses["back"]),
                    INK,
                ),
            ],
            step=28,
        )

    @staticmethod
    def _readout(site, seven, convention, other, yours, theirs, misses, exact):
        given = [f"{symbol(n)} {amount(n, seven[n])}" for n in SEVEN if seven[n]]
        given = ", ".join(given) if len(given) < 4 else f"{len(given)} parameters"
        where, there = (f"{towards(*end[:2])}{_lifted(end[2])}" for end in (yours, theirs))
        formula = "Small angles" if exact else "The full rotation"
        apart = write.bold(write.least_size(misses["apart"]))
        return (
            f"{write.place(site)}, {given or 'all seven zero'}: as {write.bold(convention)} it "
            f"goes {write.bold(where)}; as {other} {there}: {apart} apart. "
            f"{formula} instead would differ by {write.least_size(misses['formula'])}, "
            f"reversing all signs misses by {write.least_size(misses['back'])}."
        )


def _lifted(up):
    """Return a change of height in words, none where it is written as zero."""
    if abs(up) < 0.005:
        return ""
    return f" and {write.size(abs(up))} {'up' if up > 0 else 'down'}"
