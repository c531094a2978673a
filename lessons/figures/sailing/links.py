"""The chain from the client's number to the waypoint, with each link to be turned wrong."""

import math
from dataclasses import dataclass

import numpy as np

from exercises.bank import parameter_sheet as sheets
from geokit import CLARKE1866, INTERNATIONAL1924, WGS84, deflection, lines
from geokit.datums import Helmert
from geokit.ecef import from_ecef, to_ecef
from geokit.ellipsoid import Ellipsoid
from geokit.grid import utm
from geokit.motion import move
from lessons.canvas import write
from lessons.canvas.palette import GEOID, HAIR, INK, NORMAL, PLUMB, QUIET, WHITE
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.figures.datums.common import RoundMap, plain
from lessons.widgets.live import Choice, LiveFigure

LIST, JOB = 2004.5, 2026.5  # epochs
CHART_DATUM = 1.0  # metres below the geoid
DEPTHS = (3000.0, 2000.0, 100.0)  # metres, of the fields in their order
STRAY = Ellipsoid(
    "stray axis", CLARKE1866.semi_major, INTERNATIONAL1924.inverse_flattening, source="a slip"
)
WORDS = {
    "axis": ("a of International 1924", "a of Clarke 1866"),
    "turned": ("position vector", "coordinate frame"),
    "backwards": ("old datum to WGS 84", "WGS 84 to old datum"),
    "epoch": ("moved with the plate", "as it stands"),
    "zone": ("the field’s zone", "the next zone"),
    "plumb": ("set off by ξ, η", "plumb line taken as normal"),
    "geoid": ("N with its sign", "N with its sign reversed"),
}
TITLES = {
    "axis": "Ellipsoid",
    "turned": "Rotations",
    "backwards": "Direction",
    "epoch": "Epoch",
    "zone": "Grid",
    "plumb": "Weight",
    "geoid": "Geoid",
}


FIRST = ("turned",)  # wrong when the page opens, so that there is an error to follow


def chain(*, scale=1.0):
    """Show the whole chain, each link right or wrong, and where the vehicle goes."""
    fields = {f"{f.name}, {f.datum}": index for index, f in enumerate(sheets.FIELDS)}
    switches = [
        Choice(name, TITLES[name], "", {right: False, wrong: True}, wrong if name in FIRST else "")
        for name, (right, wrong) in WORDS.items()
    ]
    place = Choice("field", "Field", "and its old datum", fields)
    return LiveFigure(lambda scale=scale: ErrorChain(scale), [place, *switches[:2]], switches[2:])


@dataclass(frozen=True)
class Walk:
    """One point carried through the chain: what stands at each station."""

    old: tuple[float, float]
    before: tuple[float, float, float]  # X, Y, Z on the old datum
    after: tuple[float, float, float]  # and as WGS 84
    listed: tuple[float, float]  # latitude and longitude at the list's epoch
    now: tuple[float, float]  # and at the job's
    grid: tuple[float, float]
    vehicle: tuple[float, float]  # where it goes, latitude and longitude
    seabed: float  # ellipsoidal height

    def off(self, right):
        """Return distance, azimuth and height by which this one misses the right one."""
        distance, azimuth, _ = lines.inverse(*right.vehicle, *self.vehicle, WGS84)
        return distance, azimuth, self.seabed - right.seabed


def walk(field, *wrong):
    """Carry the field's first well through the chain, with the links named turned wrong."""
    here = sheets.FIELDS[field]
    place = here.wells[0]
    before = to_ecef(*place, 0.0, STRAY if "axis" in wrong else INTERNATIONAL1924)
    convention = "coordinate frame" if "turned" in wrong else sheets.CONVENTION
    helmert = Helmert(*here.parameters, convention=convention)
    after = (helmert.reverse() if "backwards" in wrong else helmert).apply(*before)
    lat, lon, _ = from_ecef(*after, WGS84)
    east, north, *_ = sheets.drift(field, place)
    years = 0.0 if "epoch" in wrong else JOB - LIST
    now = move(lat, lon, 0.0, east / 1000, north / 1000, 0.0, years, WGS84)[:2]
    xi, eta, height = sheets.model(field, place)
    grid = utm(here.zone + ("zone" in wrong), here.hemisphere, WGS84).forward(*now)
    vehicle = utm(here.zone, here.hemisphere, WGS84).inverse(*grid)
    if "plumb" in wrong:
        vehicle = _set_off(vehicle, *deflection.seabed_offset(xi, eta, DEPTHS[field]))
    height = -height if "geoid" in wrong else height
    seabed = height - CHART_DATUM - DEPTHS[field]
    return Walk(place, before, after, (lat, lon), now, grid, vehicle, seabed)


def _set_off(place, east, north):
    azimuth = math.degrees(math.atan2(east, north))
    return lines.direct(*place, azimuth, math.hypot(east, north), WGS84)[:2]


class ErrorChain:
    """The drawing of the chain."""

    MAP = (826, 284, 190)
    UPRIGHT = 1066  # x of the scale of heights
    RINGS = (0.1, 1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6)
    LEAST = 0.01
    FIRST, STEP = 88, 72
    NUMBERS, LINK = 590, 150

    def __init__(self, scale):
        canvas = self.canvas = Canvas("From the client’s number to the waypoint", scale=scale)
        plan = self.plan = RoundMap(canvas, *self.MAP, rings=len(self.RINGS))
        plan.draw()
        ends = plan.y - plan.radius, plan.y + plan.radius
        canvas.line([self.UPRIGHT] * 2, ends, colour=HAIR, width=1.4)
        for y in np.linspace(*ends, 2 * len(self.RINGS) + 1):
            canvas.line([self.UPRIGHT - 5, self.UPRIGHT + 5], [y, y], colour=HAIR, width=1.4)
        canvas.note(self.UPRIGHT, ends[0] - 11, "too high", to="both")
        canvas.note(self.UPRIGHT, ends[1] + 11, "too low", to="both")
        for row in range(6):
            y = self.FIRST + self.STEP * row
            canvas.line([LEFT + 6, LEFT + 6], [y + 12, y + self.STEP - 12], colour=HAIR, width=2)
        words = "where the vehicle goes; each ring and mark ten times as far"
        canvas.note(RIGHT, 508, words, to="left", colour=INK)
        canvas.keep()

    def update(self, field, **switches):
        """Draw stations, links and the miss; return the readout."""
        wrong = [name for name, is_wrong in switches.items() if is_wrong]
        found, right = walk(field, *wrong), walk(field)
        self.canvas.renew()
        self._stations(sheets.FIELDS[field], found, right)
        self._links(wrong)
        distance, azimuth, up = found.off(right)
        self._miss(distance, azimuth, up)
        return self._readout(sheets.FIELDS[field], wrong, distance, azimuth, up)

    def _stations(self, here, found, right):
        rows = (
            ("Client’s list", f"{here.datum} {_place(found.old)}", True),
            ("X, Y, Z, old", _vector(found.before), found.before == right.before),
            ("X, Y, Z, WGS 84", _vector(found.after), found.after == right.after),
            (f"φ, λ at {LIST:.1f}", _place(found.listed), found.listed == right.listed),
            (f"φ, λ at {JOB:.1f}", _place(found.now), found.now == right.now),
            ("E, N", _pair(found.grid), found.grid == right.grid),
            ("Vehicle", self._bottom(found), self._same_end(found, right)),
        )
        for row, (title, text, is_right) in enumerate(rows):
            y = self.FIRST + self.STEP * row
            colour = PLUMB if is_right else NORMAL
            fill, edge = (GEOID, GEOID) if is_right else (WHITE, NORMAL)
            self.canvas.disc(LEFT + 6, y, 13, fill, edge=edge, rim=2.6)
            self.canvas.words(LEFT + 22, y, title, bold=True, colour=colour)
            self.canvas.words(self.NUMBERS, y, text, to="left", colour=INK if is_right else NORMAL)

    @staticmethod
    def _bottom(found):
        return f"{_place(found.vehicle)}, h {write.metres(found.seabed, 1)}"

    @staticmethod
    def _same_end(found, right):
        return (found.vehicle, found.seabed) == (right.vehicle, right.seabed)

    def _links(self, wrong):
        for row, names in enumerate(
            (("axis",), ("turned", "backwards"), (), ("epoch",), ("zone",), ("plumb", "geoid"))
        ):
            y, x = self.FIRST + self.STEP * (row + 0.5), LEFT + 22
            for name in names or ("",):
                if not name:
                    self.canvas.note(x, y, "WGS 84’s ellipsoid")
                    continue
                slipped = name in wrong
                mark = "✗ " if slipped else ""
                end = self.canvas.note(
                    x, y, mark + WORDS[name][slipped], bold=slipped,
                    colour=NORMAL if slipped else QUIET,
                )  # fmt: skip
                x = end + 26

    def _miss(self, distance, azimuth, up):
        canvas, plan = self.canvas, self.plan
        reach, turn = self._out(distance), math.radians(azimuth)
        tip = (plan.x + reach * math.sin(turn), plan.y - reach * math.cos(turn))
        canvas.arrow((plan.x, plan.y), tip, colour=NORMAL, width=3)
        canvas.site(plan.x, plan.y)
        above = plan.y - math.copysign(self._out(up), up)
        canvas.arrow((self.UPRIGHT, plan.y), (self.UPRIGHT, above), colour=NORMAL, width=3)
        canvas.site(self.UPRIGHT, plan.y)
        along = [
            (plan.x + part * (tip[0] - plan.x), plan.y + part * (tip[1] - plan.y))
            for part in (0.3, 0.6, 1)
        ]
        names = [plain(ring) if ring < 1e3 else write.kilometres(ring / 1e3) for ring in self.RINGS]
        plan.ring_words(names, along)
        words, colour = _said(distance, azimuth, up)
        canvas.words(RIGHT, 534, words, bold=True, colour=colour, to="left")

    def _out(self, metres):
        """Return how far from the middle a miss stands in the picture; none, where too small."""
        if abs(metres) < self.LEAST:
            return 0.0
        return self.plan.radius * min(1.05, math.log10(abs(metres) / self.LEAST) / len(self.RINGS))

    @staticmethod
    def _readout(here, wrong, distance, azimuth, up):
        words, _ = _said(distance, azimuth, up)
        if not wrong:
            return (
                f"{write.bold(here.name)}: every link right, and {words}. The chain uses "
                f"{here.operation}, UTM zone {here.zone}. Now make one link wrong."
            )
        slipped = ", ".join(f"{TITLES[name][0].lower()}: {WORDS[name][1]}" for name in wrong)
        number = "one link" if len(wrong) == 1 else f"{len(wrong)} links"
        return f"{write.bold(here.name)}, {number} wrong ({slipped}): {write.bold(words)}."


def _said(distance, azimuth, up):
    """Return the miss in words, and the colour that they take."""
    level = f"{write.size(distance)} {write.compass(azimuth)}" if distance >= 0.01 else ""
    height = f"{write.size(abs(up))} too {'high' if up > 0 else 'low'}" if abs(up) >= 0.01 else ""
    if not (level or height):
        return "the vehicle lands on the target", PLUMB
    return "the vehicle goes " + " and ".join(filter(None, (level, height))), NORMAL


def _place(place):
    return write.position(*place, decimals=6)


def _vector(xyz):
    return "  ".join(write.metres(part, 1) for part in xyz)


def _pair(grid):
    return f"E {write.metres(grid[0], 1, signed=False)}, N {write.metres(grid[1], 1, signed=False)}"
