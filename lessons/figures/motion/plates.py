"""The figure: plates on the globe, the site's drift, and an old number read today."""

import math
from dataclasses import dataclass

import numpy as np

from exercises.sheets import plate_places
from geokit import GRS80, motion
from geokit import plates as model
from lessons.canvas import write
from lessons.canvas.globe import Globe, directions
from lessons.canvas.palette import (
    ELLIPSOID,
    HATCH,
    INK,
    NOISE,
    NORMAL,
    ORANGE_DASH,
    PLUMB,
    QUIET,
    SITE,
    WHITE,
)
from lessons.canvas.pen import LEFT, NOTE, RIGHT, Canvas
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider

NEAREST = "that of the nearest arrow"
FRONT = (28.0, 84.0)  # latitude, longitude at the foot of the mountains between India and Asia
NOISE_AT_SEA = 0.10  # metres, of precise point positioning at sea: the course's own round figure


def plates(site, *, scale=1.0):
    """The globe of plate velocities, and the site's drift between two epochs."""
    names = {name: code for code, name in model.NAMES.items()}
    epoch = {"low": 1980, "high": 2030, "step": 0.1, "decimals": 1, "year": True}
    return LiveFigure(
        lambda scale=scale: Plates(scale),
        [
            SitePicker(site, furthest=90),
            Choice("plate", "Plate", "the site stands on", {NEAREST: None, **names}),
        ],
        [
            Slider("listed", "Epoch of the list", "decimal year", value=2001.0, **epoch),
            Slider("today", "Epoch today", "decimal year", value=site.epoch, **epoch),
        ],
    )


@dataclass(frozen=True)
class Drift:
    """How a site goes with a plate, and where it is: metres, years and degrees."""

    plate: str
    missing: str  # a plate that the model leaves out, and that is nearer
    east: float  # metres a year
    north: float
    years: float
    latitude: float  # today
    longitude: float

    @property
    def speed(self):
        """Return metres a year."""
        return math.hypot(self.east, self.north)

    @property
    def azimuth(self):
        """Return degrees."""
        return math.degrees(math.atan2(self.east, self.north)) % 360

    @property
    def way(self):
        """Return where the site goes, from the epoch of the list to today's, in words."""
        turned = (self.azimuth + (180 if self.years < 0 else 0)) % 360
        return f"{write.compass(turned)} {write.azimuth(turned)}"

    @property
    def metres(self):
        """Return how far it goes."""
        return abs(self.speed * self.years)


def drift(site, plate, listed, today):
    """Return how a site goes with its plate between two epochs."""
    guess, missing = plate_places.nearest(site.latitude, site.longitude)
    code = plate or guess
    east, north = motion.velocity(site.latitude, site.longitude, model.ITRF2020[code], GRS80)
    years = today - listed
    latitude, longitude, _ = motion.move(
        site.latitude, site.longitude, 0.0, east, north, 0.0, years, GRS80
    )
    return Drift(code, "" if plate else missing, east, north, years, latitude, longitude)


def at_the_front():
    """Return India's and Eurasia's velocity at the mountains, east and north in mm a year."""
    return [
        1000 * np.array(motion.velocity(*FRONT, model.ITRF2020[code], GRS80))
        for code in ("INDI", "EURA")
    ]


class Plates:
    """The drawing."""

    GLOBE = Globe(262, 302, 236)
    LONG = math.radians(20)  # of an arrow on the globe for 100 mm a year
    TABLE = 540  # x
    PLAN = (650, 186, 92)  # x, y, radius of the drift in plan
    NUMBERS = 806  # x of the table beside it
    FRONT = (560, 536, 1.75)  # x, y of the tail, points for a millimetre a year

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "A moving Earth",
            "velocities in ITRF2020; dashed, the site’s circle about its plate’s pole",
            scale=scale,
        )
        self.GLOBE.sea(canvas)
        names, self.points = plate_places.places("inside")
        self.names = np.array(names)
        self.east, self.north = np.array(
            [
                motion.velocity(*point, model.ITRF2020[name], GRS80)
                for name, point in zip(names, self.points.T, strict=True)
            ]
        ).T
        canvas.words(self.TABLE, 62, "drift of the site", bold=True)
        canvas.words(self.TABLE, 340, "an old number, read today", bold=True)
        for y in (320, 424):
            canvas.rule(y, self.TABLE)
        self._key()
        self._front()
        canvas.keep()

    def _key(self):
        """Say how long an arrow is, and what a ring means."""
        canvas = self.canvas
        end = self.GLOBE.radius * self.LONG / 2
        canvas.arrow((LEFT, 524), (LEFT + end, 524), colour=INK, width=2.4, head=9)
        canvas.note(LEFT, 541, "5 cm a year", colour=INK)
        words = "no plate of the model"
        canvas.note(506, 541, words, to="left", colour=INK)
        canvas.disc(506 - canvas.width_of(words, NOTE) - 10, 541, 8, WHITE, edge=QUIET, rim=1.6)

    def _front(self):
        """Draw what India does towards Asia: the same for every site and epoch."""
        canvas, (x, y, scale) = self.canvas, self.FRONT
        india, asia = at_the_front()
        tips = [(x + scale * east, y - scale * north) for east, north in (india, asia)]
        canvas.arrow((x, y), tips[0], colour=QUIET, width=2)
        canvas.arrow((x, y), tips[1], colour=QUIET, width=2)
        canvas.arrow(tips[1], tips[0], colour=PLUMB, width=3)
        canvas.disc(x, y, 7, QUIET)
        canvas.note(x + 20, tips[0][1] + 16, "India", to="both", colour=INK)
        canvas.note(tips[1][0] + 8, y - 6, "Eurasia", colour=INK)
        east, north = towards = india - asia
        size, azimuth = math.hypot(*towards), math.degrees(math.atan2(east, north)) % 360
        left = 720
        canvas.words(left, 446, "across an edge: India towards Asia", bold=True)
        self.towards_asia = f"{write.number(size, 0)}\xa0mm a year"
        end = canvas.words(left, 476, self.towards_asia, bold=True, colour=PLUMB)
        canvas.words(end + 10, 476, f"{write.compass(azimuth)} {write.azimuth(azimuth)}")
        parts = " and ".join(
            write.directed(*one) for one in ((east, 0, "mm", "east"), (north, 0, "mm", "north"))
        )
        canvas.note(left, 500, f"{parts}, at the front, 28° N 84° E", colour=INK)
        canvas.note(left, 521, "common practice: about 4 cm a year, no source")

    # each picture --------------------------------------------------------------------------

    def update(self, site, plate, listed, today):
        """Draw globe, drift and table; return the readout."""
        found = drift(site, plate, listed, today)
        self._view = self.GLOBE.above(site.latitude, site.longitude)
        seen = site.latitude, site.longitude, found.plate
        self.canvas.layer(seen, lambda: self._globe(site, found))
        self.GLOBE.grip(self.canvas)
        self._plan(found)
        self._table(found)
        self._old_number(site, found, listed, today)
        return self._readout(site, found, listed, today)

    def drag(self, name, x, y, begins):
        """Turn the globe with the hand; the site is what it is seen from above."""
        if begins:
            self._from = x, y, self._view
        x0, y0, view = self._from
        return {"site": view.turned(x - x0, y - y0)}

    def _globe(self, site, found):
        canvas, view = self.canvas, self._view
        view.land(canvas)
        around = circle_about_pole(model.ITRF2020[found.plate], site)
        view.line(canvas, *around, colour=ELLIPSOID, width=1.8, dash=ORANGE_DASH)
        self._rings(view)
        ours = self.names == found.plate
        for rows, colour, width in ((~ours, QUIET, 1.6), (ours, PLUMB, 2.8)):
            self._arrows(
                view, *self.points[:, rows], self.east[rows], self.north[rows], colour, width
            )
        here = ([site.latitude], [site.longitude], [found.east], [found.north])
        x, y = self.GLOBE.x, self.GLOBE.y  # the globe is seen from above the site
        canvas.disc(x, y, 16, WHITE)
        self._arrows(view, *map(np.array, here), INK, 4)
        canvas.disc(x, y, 9, SITE, edge=INK)
        self._names(view, found)

    def _arrows(self, view, latitude, longitude, east, north, colour, width):
        start = directions(latitude, longitude)
        ahead = east[:, np.newaxis] * directions(0 * longitude, longitude + 90) + north[
            :, np.newaxis
        ] * directions(latitude + 90, longitude)
        end = start + 10 * self.LONG * ahead  # 100 mm are a tenth of a metre
        (x1, y1, near), (x2, y2, _) = view.project(start), view.project(end)
        foot = np.column_stack([x1, y1])[near > 0.1]
        way = np.column_stack([x2, y2])[near > 0.1] - foot
        self._together(foot, way, colour, width)

    def _together(self, foot, way, colour, width):
        """Draw many arrows as two shapes, which takes a fraction of the time of one by one."""
        length = np.maximum(np.hypot(*way.T), 0.5)[:, np.newaxis]
        ahead, head = way / length, np.minimum(3 * width, length)
        aside, tip = ahead[:, ::-1] * [-1, 1], foot + way
        back = tip - head * ahead
        shafts = np.stack([foot, tip - 0.8 * head * ahead], 1)
        wings = [tip, back + 0.42 * head * aside, back - 0.42 * head * aside, tip]
        if len(foot):
            self.canvas.outlines(shafts, edge=colour, width=width)
            self.canvas.outlines(np.stack(wings, 1), fill=colour)

    def _rings(self, view):
        _, points = plate_places.places("left out")
        x, y, near = view.project(directions(*points))
        for row in np.flatnonzero(near > 0.1):
            self.canvas.disc(x[row], y[row], 8, WHITE, edge=QUIET, rim=1.6)

    def _names(self, view, found):
        """Write the plates' names and the pole's where there is room, the site's plate first."""
        pole = pole_of(model.ITRF2020[found.plate])
        x, y, near = view.to_canvas(*pole)
        if near:
            self.canvas.disc(float(x), float(y), 12, WHITE, edge=NORMAL, rim=2.4)
            self.canvas.disc(float(x), float(y), 4, NORMAL)
        x0, y0 = self.GLOBE.x, self.GLOBE.y
        taken = [(x0 - 26, y0 - 26, x0 + 26, y0 + 26)]
        wanted = [(pole, "its pole", NORMAL, 18)]
        for code in sorted(plate_places.INSIDE, key=lambda code: code != found.plate):
            colour = PLUMB if code == found.plate else INK
            wanted.append((plate_places.INSIDE[code][0], model.NAMES[code], colour, 14))
        for place, name, colour, below in wanted:
            x, y, near = view.project(directions(*place))
            half = self.canvas.width_of(name, NOTE, bold=True) / 2
            box = (x - half - 3, y + below - 10, x + half + 3, y + below + 8)
            if near > 0.45 and not any(_overlap(box, other) for other in taken):
                taken.append(box)
                self.canvas.note(
                    float(x),
                    float(y) + below,
                    name,
                    colour=colour,
                    bold=True,
                    to="both",
                    halo=True,
                )

    def _plan(self, found):
        """Draw the drift from above, the ground at the epoch of the list in the middle."""
        canvas, (x, y, radius) = self.canvas, self.PLAN
        ring = ring_for(found.metres)
        per_metre = radius / (2 * ring)
        noise = NOISE_AT_SEA * per_metre
        shown = 7 < noise < radius  # smaller, the site's own mark hides it
        if shown:
            canvas.disc(x, y, 2 * noise, NOISE, edge=HATCH, rim=1)
        canvas.compass_rose(x, y, radius, 2)
        turn = math.radians(found.azimuth)
        away = found.speed * found.years * per_metre
        tip = (x + away * math.sin(turn), y - away * math.cos(turn))
        canvas.arrow((x, y), tip, colour=PLUMB, width=3.2, head=12)
        canvas.disc(x, y, 9, WHITE, edge=INK, rim=2)
        canvas.site(*tip)
        canvas.note(x + 8 + radius * 0.72, y + 8 + radius * 0.72, write.size(2 * ring))
        if shown:
            canvas.note(self.TABLE, 286, "grey: noise")
            canvas.note(self.TABLE, 303, "of PPP at sea, a round 10 cm")

    def _table(self, found):
        canvas, left = self.canvas, self.NUMBERS
        canvas.words(RIGHT, 62, model.NAMES[found.plate], bold=True, colour=PLUMB, to="left")
        step, top = 25, 92
        rows = (
            ("east, a year", _millimetres(found.east), PLUMB),
            ("north, a year", _millimetres(found.north), PLUMB),
            ("together, a year", _millimetres(found.speed, signed=False), PLUMB),
            ("from the list to today", f"{write.number(found.years, 1)} years", INK),
            ("drift east", _metres(found.east * found.years), INK),
            ("drift north", _metres(found.north * found.years), INK),
            ("the ground went", _metres(found.metres, signed=False), INK),
        )
        canvas.rows(left, RIGHT, top, rows, step)
        if found.metres >= 0.0005:
            canvas.note(RIGHT, top + 7 * step - 3, f"towards {found.way}", to="left", colour=INK)
        if found.missing:
            words = f"{found.missing} plate: not in the model"
            canvas.note(RIGHT, 300, words, to="left", colour=NORMAL, bold=True)

    def _old_number(self, site, found, listed, today):
        """Write the number of the list, and the number that the same ground has today."""
        canvas = self.canvas
        for y, epoch, where, colour in (
            (368, listed, (site.latitude, site.longitude), INK),
            (392, today, (found.latitude, found.longitude), PLUMB),
        ):
            canvas.words(self.TABLE, y, f"at {epoch:.1f}", colour=colour)
            canvas.words(self.TABLE + 84, y, write.position(*where, 7), bold=True, colour=colour)
        canvas.note(RIGHT, 368, "as the list has it", to="left")
        canvas.note(RIGHT, 392, "the same ground", to="left")
        canvas.note(self.TABLE, 411, _steer(found), colour=INK)

    def _readout(self, site, found, listed, today):
        name = model.NAMES[found.plate]
        note = f" It may be {found.missing}, which the model leaves out." * bool(found.missing)
        towards = f"{write.compass(found.azimuth)} {write.azimuth(found.azimuth)}"
        return (
            f"At {write.place(site)} the {name} plate goes "
            f"{write.bold(_millimetres(found.speed, signed=False))} a year {towards}. "
            f"Steer to a number of {listed:.1f} in {today:.1f}: the pipe {_lies(found)}.{note} "
            f"India goes {self.towards_asia} towards Asia."
        )


def pole_of(rotation):
    """Return latitude and longitude of the pole about which a plate turns anticlockwise."""
    x, y, z = rotation
    return math.degrees(math.atan2(z, math.hypot(x, y))), math.degrees(math.atan2(y, x))


def circle_about_pole(rotation, site):
    """Return latitudes and longitudes of the circle that a site goes about its plate's pole."""
    axis = directions(*pole_of(rotation))
    here = directions(site.latitude, site.longitude)
    along = axis * (axis @ here)
    out, across = here - along, np.cross(axis, here)
    turn = np.radians(np.arange(0, 361, 3))[:, np.newaxis]
    points = along + np.cos(turn) * out + np.sin(turn) * across
    latitude = np.degrees(np.arcsin(np.clip(points[:, 2], -1, 1)))
    return latitude, np.degrees(np.arctan2(points[:, 1], points[:, 0]))


def ring_for(metres):
    """Return the radius of the inner of two rings, 1, 2 or 5 of a power of ten."""
    for ring in (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0):
        if metres <= 1.97 * ring:
            return ring
    return 5.0


def _overlap(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _millimetres(metres, *, signed=True):
    return f"{write.number(1000 * metres, 1, signed=signed)}\xa0mm"


def _metres(value, *, signed=True):
    return write.metres(value, 3, signed=signed)


def _lies(found):
    if found.metres < 0.0005:
        return "is there"
    return f"lies {write.bold(write.size(found.metres))} to the {found.way} of it"


def _steer(found):
    """Return what happens to somebody who steers to the number of the list."""
    if found.metres < 0.0005:
        return "one and the same epoch: steer to the listed number and you are there"
    where = f"{write.size(found.metres)} to the {found.way}"
    return f"steer to the listed number and the pipe lies {where}"
