"""Figure B: a lever arm on a vessel that turns, in plan, from starboard and from astern."""

import math
from dataclasses import dataclass

import numpy as np

from exercises.sheets import scenario
from geokit import WGS84, ecef
from lessons.canvas import write
from lessons.canvas.palette import DOTS, GEOID, HAIR, INK, PALE, PLUMB, QUIET, SEA, WHITE
from lessons.canvas.pen import LEFT, NOTE, RIGHT, Canvas
from lessons.widgets.live import Choice, LiveFigure, Slider


@dataclass(frozen=True)
class Arm:
    """A way on the vessel from one point to another."""

    start: str
    end: str

    @property
    def metres(self):
        """Return x forward, y starboard, z down of the arm."""
        return np.subtract(POINTS[self.end], POINTS[self.start])


# The invented vessel, from its reference point: amidships, in the middle, on the waterline.
POINTS = {
    "antenna": (9.0, -4.0, -21.0),
    "transducer": (2.5, 5.5, 6.5),
    "stern block": (-31.0, 0.0, -10.0),
    "reference point": (0.0, 0.0, 0.0),
}
ARMS = {
    f"{start} to {end}": Arm(start, end)
    for start, end in (
        ("antenna", "transducer"),
        ("antenna", "reference point"),
        ("antenna", "stern block"),
        ("reference point", "antenna"),
    )
}
HULL = [(-29, -3.5), (31, -6), (27, 2), (22, 4.8), (-19, 4.8), (-28, 1)]  # x, z amidships
HOUSE = [(6, -5), (8, -14), (17, -14), (22, -5.6)]
MAST = [(9, -4, -14), (9, -4, -21)]
FRAME = [(-24, 0, -3.7), (-31, 0, -12), (-31, 0, -10)]
DECK = [(-29, -6.5), (14, -7), (24, -5), (31, 0), (24, 5), (14, 7), (-29, 6.5)]  # x, y
ROOF = [(7, -6), (17, -6), (21, -3), (21, 3), (17, 6), (7, 6)]
RIB = [(-7, -4), (7, -4), (7, 2.5), (5.5, 4.8), (-5.5, 4.8), (-7, 2.5)]  # y, z
CABIN = [(-6, -4), (-5.5, -14), (5.5, -14), (6, -4)]


def lever_arm(site, *, scale=1.0):
    """Figure B: a lever arm turned by heading, roll and pitch into east, north and up."""
    return LiveFigure(
        lambda scale=scale: LeverArm(site, scale),
        [
            Choice("arm", "Arm", "on the vessel", ARMS),
            Slider("heading", "Heading", "° clockwise from north", 0, 359, 40, step=1),
            Slider("roll", "Roll", "° starboard down +", -15, 15, 4, step=0.5, decimals=1),
            Slider("pitch", "Pitch", "° bow up +", -8, 8, 2, step=0.5, decimals=1),
        ],
    )


def turned(points, heading, roll, pitch):
    """
    Return east, north, up of points on a vessel.

    Parameters
    ----------
    points : array of shape (…, 3)
        x forward, y starboard, z down, in metres.
    heading, roll, pitch : float
        Degrees: clockwise from north, starboard down positive, bow up positive.

    Returns
    -------
    array of shape (…, 3)
        The vessel is rolled first, then pitched, then turned: roll is that about its own
        fore-and-aft line, pitch that of this line above the horizon.
    """
    x, y, z = np.moveaxis(np.asarray(points, float), -1, 0)
    roll, pitch, heading = np.radians([roll, pitch, heading])
    y, z = y * np.cos(roll) - z * np.sin(roll), y * np.sin(roll) + z * np.cos(roll)
    x, z = x * np.cos(pitch) + z * np.sin(pitch), z * np.cos(pitch) - x * np.sin(pitch)
    east, north = (
        x * np.sin(heading) + y * np.cos(heading),
        x * np.cos(heading) - y * np.sin(heading),
    )
    return np.stack([east, north, -z], -1)


class LeverArm:
    """The picture of figure B."""

    PLAN, SIDE, STERN = (196, 306, 4.2), (548, 196, 4.5), (548, 446, 4.5)  # x, y, points a metre
    HALF, DEPTH = 168, 66  # of the side views: half their width, water below
    TABLE, NUMBER, WORD = 752, 950, 962  # x of the table
    FIRST, SECOND, THIRD, STEP = 96, 226, 392, 30  # y of its parts and between rows

    def __init__(self, site, scale):
        self.site = site
        canvas = self.canvas = Canvas(
            "A lever arm turns", f"the {scenario.VESSEL}, an invented vessel", scale=scale
        )
        x, y, _ = self.PLAN
        canvas.line([x, x], [y + 160, y - 160], colour=HAIR, width=1)
        canvas.line([x - 160, x + 160], [y, y], colour=HAIR, width=1)
        for name, right, down in (("N", 0, -1), ("E", 1, 0), ("S", 0, 1), ("W", -1, 0)):
            canvas.words(x + 172 * right, y + 172 * down, name, colour=QUIET, to="both")
        for x, y, _ in (self.SIDE, self.STERN):
            canvas.box(x - self.HALF, y, x + self.HALF, y + self.DEPTH, SEA)
            canvas.line([x - self.HALF, x + self.HALF], [y, y], colour=GEOID, width=2)
        canvas.note(LEFT, 542, "vessel and angles drawn to scale", bold=True, colour=INK)
        canvas.note(self.TABLE, 522, "from the site, h 0.00 m, the arm ends at")
        self._head()
        canvas.keep()

    def _head(self):
        canvas = self.canvas
        for y, words in (
            (self.FIRST, "on the vessel"),
            (self.SECOND, "turned into east, north, up"),
            (self.THIRD, "a slip puts its end wrong by"),
        ):
            canvas.note(self.TABLE, y - 32, words)
            canvas.rule(y - 19, self.TABLE, colour=QUIET)
        for y, names in (
            (self.FIRST, ("x, forward +", "y, starboard +", "z, down +")),
            (self.SECOND, ("east", "north", "up", "in plan")),
            (self.THIRD, [name for name, _ in SLIPS]),
        ):
            for row, name in enumerate(names):
                canvas.words(self.TABLE, y + self.STEP * row, name)

    def update(self, arm, heading, roll, pitch):
        """Draw the vessel three times with its arm, and the table; return the readout."""
        attitude = heading, roll, pitch
        end = turned(arm.metres, *attitude)
        slips = [float(np.linalg.norm(wrong(arm.metres, *attitude) - end)) for _, wrong in SLIPS]
        self.canvas.renew()
        self._headers(arm, *attitude)
        self._plan(arm, *attitude)
        self._side(arm, roll, pitch)
        self._stern(arm, roll, pitch)
        self._numbers(arm, end, slips)
        return self._readout(arm, attitude, end, slips)

    def _headers(self, arm, heading, roll, pitch):
        """Say what each view shows, the angle in it and which sense it has."""
        canvas = self.canvas
        for (x, top), view, angle in (
            ((LEFT, 62), "from above", f"heading {write.azimuth(heading)} clockwise"),
            ((self.SIDE[0] - self.HALF, 62), "from starboard", f"pitch {_sense(pitch, 'bow')}"),
            ((self.STERN[0] - self.HALF, 312), "from astern", f"roll {_sense(roll, 'starboard')}"),
        ):
            end = canvas.note(x, top, view)
            canvas.note(end + 10, top, angle, bold=True, colour=INK)

    # the three views -----------------------------------------------------------------------

    def _plan(self, arm, heading, roll, pitch):
        def seen(points):
            return turned(points, heading, roll, pitch)[..., :2]

        canvas, (x, y, _) = self.canvas, self.PLAN
        self._shape(self.PLAN, seen([(x, y, -4) for x, y in DECK]))
        self._shape(self.PLAN, seen([(x, y, -14) for x, y in ROOF]), fill=WHITE, width=1.2)
        canvas.arc(x, y, 106, 0, heading, width=1.6)
        self._axis(self.PLAN, seen, (34, 0, 0), "x")
        self._axis(self.PLAN, seen, (0, 17, 0), "y")
        self._arm(self.PLAN, arm, seen)

    def _side(self, arm, roll, pitch):
        def seen(points):
            return turned(points, 0, roll, pitch)[..., 1:]

        for shape in (HOUSE, HULL):
            self._shape(self.SIDE, seen([(x, 0, z) for x, z in shape]))
        for line in (MAST, FRAME):
            self.canvas.line(*self._at(self.SIDE, seen(line)), width=1.8)
        self.canvas.arc(*self.SIDE[:2], 160, 90, 90 - pitch, width=1.8)
        self._axis(self.SIDE, seen, (38, 0, 0), "x")
        self._axis(self.SIDE, seen, (0, 0, 13), "z")
        self._arm(self.SIDE, arm, seen)

    def _stern(self, arm, roll, pitch):
        def seen(points):
            return turned(points, 0, roll, pitch)[..., ::2]

        for shape in (CABIN, RIB):
            self._shape(self.STERN, seen([(0, y, z) for y, z in shape]))
        self.canvas.line(*self._at(self.STERN, seen(MAST)), width=1.8)
        self.canvas.arc(*self.STERN[:2], 62, 90, 90 + roll, width=1.8)
        self._axis(self.STERN, seen, (0, 17, 0), "y")
        self._axis(self.STERN, seen, (0, 0, 13), "z")
        self._arm(self.STERN, arm, seen)

    def _shape(self, view, points, *, fill=PALE, width=1.8):
        x, y = self._at(view, points)
        self.canvas.area([*x, x[0]], [*y, y[0]], fill, edge=INK, width=width)

    def _axis(self, view, seen, tip, name):
        """Draw an axis of the vessel from the reference point; its name stands at its tip."""
        (x1, x2), (y1, y2) = self._at(view, seen([(0, 0, 0), tip]))
        length = math.hypot(x2 - x1, y2 - y1)
        self.canvas.arrow((x1, y1), (x2, y2), colour=QUIET, width=1.6, head=8)
        x, y = (end + 11 * (end - start) / length for start, end in ((x1, x2), (y1, y2)))
        self.canvas.words(x, y, name, bold=True, colour=QUIET, to="both", halo=True)

    def _arm(self, view, arm, seen):
        """Draw the arm, and in the view from starboard the names of its ends."""
        canvas = self.canvas
        (x1, x2), (y1, y2) = self._at(view, seen([POINTS[arm.start], POINTS[arm.end]]))
        if view is self.PLAN:
            canvas.line([x1, x2, x2], [y1, y1, y2], width=1.6, dash=DOTS)
        canvas.arrow((x1, y1), (x2, y2), colour=PLUMB, width=3)
        canvas.disc(x2, y2, 9, WHITE, edge=PLUMB, rim=2.2)
        canvas.site(x1, y1)
        if view is self.SIDE:
            way = 1 if x1 >= x2 else -1
            self._name(x1, y1, arm.start, way)
            self._name(x2, y2 + 4, arm.end, -way)

    def _name(self, x, y, name, way):
        """Write the name of a point beside it; at the view’s edge always to the left."""
        beside = x + way * 11
        if abs(beside + way * self.canvas.width_of(name, NOTE) - self.SIDE[0]) < self.HALF:
            self.canvas.note(
                beside, y, name, colour=INK, halo=True, to="right" if way > 0 else "left"
            )
        else:
            self.canvas.note(x - 10, y, name, colour=INK, halo=True, to="left")

    @staticmethod
    def _at(view, points):
        """Return where points of a view lie that are given in metres right and up."""
        x, y, per_metre = view
        right, up = np.moveaxis(np.asarray(points), -1, 0)
        return x + per_metre * right, y - per_metre * up

    # the numbers ---------------------------------------------------------------------------

    def _numbers(self, arm, end, slips):
        canvas = self.canvas
        canvas.note(RIGHT, self.FIRST - 32, f"{arm.start} to {arm.end}", to="left", colour=INK)
        self._rows(self.FIRST, arm.metres, ON_BOARD, INK)
        self._rows(self.SECOND, end, OVER_GROUND, PLUMB)
        y = self.SECOND + 3 * self.STEP
        flat = math.hypot(*end[:2])
        canvas.words(self.NUMBER, y, _metres(flat), bold=True, to="left")
        if flat >= 0.005:
            towards = math.degrees(math.atan2(end[0], end[1]))
            canvas.words(self.WORD, y, f"towards {write.azimuth(towards, 1)}")
        for row, off in enumerate(slips):
            y = self.THIRD + self.STEP * row
            canvas.words(RIGHT, y, _metres(off), bold=True, to="left")
        self._position(end)

    def _rows(self, top, values, ways, colour):
        for row, (value, way) in enumerate(zip(values, ways, strict=True)):
            y = top + self.STEP * row
            number = _metres(abs(value))
            self.canvas.words(self.NUMBER, y, number, bold=True, colour=colour, to="left")
            self.canvas.words(self.WORD, y, _way(value, way))

    def _position(self, end):
        """Write where the arm ends if it begins at the site."""
        xyz = ecef.from_enu(*end, self.site.latitude, self.site.longitude, 0.0, WGS84)
        latitude, longitude, height = ecef.from_ecef(*xyz, WGS84)
        words = f"{write.position(latitude, longitude, 7)}, h {write.metres(height, 2)}"
        self.canvas.note(RIGHT, 542, words, to="left", colour=INK)

    @staticmethod
    def _readout(arm, attitude, end, slips):
        heading, roll, pitch = attitude
        east, north, up = (
            write.bold(f"{_metres(abs(value))} {_way(value, way)}".strip())
            for value, way in zip(end, OVER_GROUND, strict=True)
        )
        unturned, other_way, port, level = map(_metres, slips)
        return (
            f"Heading {write.azimuth(heading)}, pitch {_sense(pitch, 'bow')}, roll "
            f"{_sense(roll, 'starboard')}: from {arm.start} to {arm.end} it is {east}, {north} and "
            f"{up}. It comes out wrong by {write.bold(level)} without roll and pitch, "
            f"{write.bold(unturned)} without the heading, {write.bold(other_way)} with the heading "
            f"turned the other way, {write.bold(port)} with starboard taken for port."
        )


def _metres(value, *, signed=False):
    """Return a length to the centimetre; nothing is 0 m."""
    return "0\xa0m" if abs(value) < 0.005 else write.metres(value, 2, signed=signed)


def _way(value, way):
    """Return the word of a signed value's direction, none for nothing."""
    return "" if abs(value) < 0.005 else way[int(value < 0)]


def _sense(angle, side):
    """Return an angle with what goes down or up by it."""
    if angle == 0:
        return "0°"
    up = (angle > 0) == (side == "bow")
    return f"{write.number(abs(angle), 1)}° {side} {'up' if up else 'down'}"


ON_BOARD = (("forward", "aft"), ("starboard", "port"), ("down", "up"))
OVER_GROUND = (("east", "west"), ("north", "south"), ("up", "down"))


def _port(arm):
    return np.multiply(arm, (1, -1, 1))


SLIPS = (
    ("heading left out", lambda arm, heading, roll, pitch: turned(arm, 0, roll, pitch)),
    (
        "heading turned the other way",
        lambda arm, heading, roll, pitch: turned(arm, -heading, roll, pitch),
    ),
    ("starboard taken for port", lambda arm, *attitude: turned(_port(arm), *attitude)),
    ("roll and pitch left out", lambda arm, heading, roll, pitch: turned(arm, heading, 0, 0)),
)
