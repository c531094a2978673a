"""Figure D: one island, where GNSS finds it and where the stars find it."""

import math

import numpy as np

from geokit import WGS84, deflection, geoid
from lessons.canvas import palette, write
from lessons.canvas.palette import (
    ELLIPSOID,
    GEOID,
    HAIR,
    INK,
    LAND,
    NORMAL,
    PALE,
    PLUMB,
    QUIET,
    SEA,
    WHITE,
)
from lessons.canvas.pen import LEFT, RIGHT, Canvas
from lessons.figures.deflection.common import RADIANS, line, steepest_azimuth, towards
from lessons.widgets.live import LiveFigure, SitePicker, Slider


def island(site, *, scale=1.0):
    """Figure D: one island, where GNSS finds it and where the stars find it."""
    return LiveFigure(
        lambda scale=scale: Island(scale),
        [
            SitePicker(site),
            Slider("azimuth", "Drag towards", "° azimuth", 0, 359, steepest_azimuth(site), step=1),
            Slider("along", "Dragged", "km from the site", -300, 300, 0, step=5),
        ],
    )


class Island:
    """The picture of figure D."""

    WEST, EAST, NORTH, SOUTH = 24, 580, 58, 512  # edges of the plan
    CENTRE = (302, 285)
    PER_METRE = 1 / 13.5  # points; the plan covers some 3 km each way
    FARTHEST = 300.0  # kilometres of dragging
    PLOT = (660, 90, 1090, 222)  # of the offset's size by distance dragged
    MOST = 2500.0  # metres at the top of that plot
    # The invented island: metres east and north of its trig point.
    COAST = np.array(
        [
            [-620, 60],
            [-540, 260],
            [-330, 330],
            [-190, 500],
            [40, 470],
            [150, 300],
            [330, 330],
            [520, 200],
            [640, -40],
            [500, -230],
            [260, -200],
            [160, -380],
            [-60, -430],
            [-240, -260],
            [-470, -220],
        ]
    )

    def __init__(self, scale):
        canvas = self.canvas = Canvas(
            "One island, found twice", "an invented island over EGM96, model value", scale=scale
        )
        canvas.box(self.WEST, self.NORTH, self.EAST, self.SOUTH, SEA)
        for metres in range(-3000, 4000, 1000):
            x, y = self._place(metres, metres)
            canvas.line([x, x], [self.NORTH, self.SOUTH], colour=HAIR, width=1)
            canvas.line([self.WEST, self.EAST], [y, y], colour=HAIR, width=1)
        canvas.box(self.WEST, self.NORTH, self.EAST, self.SOUTH, edge=QUIET, width=1)
        x, y = self.WEST + 18, self.SOUTH - 16
        kilometre = 1000 * self.PER_METRE
        canvas.line([x, x, x + kilometre, x + kilometre], [y - 5, y, y, y - 5], width=1.8)
        canvas.note(x + kilometre / 2, y - 13, "1 km", to="both", colour=INK)
        canvas.arrow((self.WEST + 24, self.NORTH + 62), (self.WEST + 24, self.NORTH + 30), width=2)
        canvas.words(self.WEST + 24, self.NORTH + 18, "N", bold=True, to="both")
        canvas.note(LEFT, 534, "to scale: nothing is exaggerated", bold=True, colour=INK)
        self._still_plot()
        left = 620
        canvas.note(left, 290, "from the GNSS position to the star position")
        for y in (306, 336, 366, 396):
            canvas.rule(y, left, RIGHT)
        for y, name in ((321, "ξ = Φ − φ"), (351, "η = (Λ − λ)·cos φ"), (381, "Λ − λ")):
            canvas.words(left, y, name)
        canvas.words(left, 424, "together", colour=QUIET)
        canvas.note(left, 470, "one arcsecond on the ground")
        canvas.keep()

    @classmethod
    def _coast(cls):
        """Return the coast with its corners cut twice, closed."""
        coast = cls.COAST.astype(float)
        for _ in range(2):
            onward = np.roll(coast, -1, 0)
            coast = np.stack([0.75 * coast + 0.25 * onward, 0.25 * coast + 0.75 * onward], 1)
            coast = coast.reshape(-1, 2)
        return np.vstack([coast, coast[:1]])

    def _still_plot(self):
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT
        canvas.note(left, top - 16, "how far apart, along the drag", colour=INK)
        for kilometres in (1, 2):
            y = bottom - kilometres * 1000 / self.MOST * (bottom - top)
            canvas.line([left, right], [y, y], colour=PALE, width=1.2)
            canvas.note(left - 8, y, f"{kilometres} km", to="left")
        canvas.note(left - 8, bottom, "0 m", to="left")
        canvas.box(left, top, right, bottom, edge=HAIR, width=1)
        middle = (left + right) / 2
        canvas.line([middle, middle], [bottom, bottom + 5], colour=QUIET, width=1)
        canvas.note(middle, bottom + 15, "site", to="both")

    def _place(self, east, north):
        x, y = self.CENTRE
        return x + np.asarray(east) * self.PER_METRE, y - np.asarray(north) * self.PER_METRE

    @staticmethod
    def _offset(latitude, longitude):
        """Return ξ, η and how many metres east and north the star position stands."""
        xi, eta = deflection.from_geoid(latitude, longitude, geoid.EGM96, WGS84)
        east = eta * RADIANS * WGS84.prime_vertical_radius(latitude)
        north = xi * RADIANS * WGS84.meridian_radius(latitude)
        return xi, eta, east, north

    def update(self, site, azimuth, along):
        """Draw the island twice, and its way; return the readout."""
        way = np.linspace(-self.FARTHEST, self.FARTHEST, 121)
        latitudes, longitudes, _ = line(site, azimuth, way * 1000)
        _, _, easts, norths = self._offset(latitudes, longitudes)
        (latitude,), (longitude,), _ = line(site, azimuth, [along * 1000])
        xi, eta, east, north = self._offset(latitude, longitude)
        self.canvas.renew()
        self._plan(easts, norths, east, north)
        self._plot(way, np.hypot(easts, norths), along, math.hypot(east, north), azimuth)
        self._numbers(latitude, xi, eta, east, north)
        return self._readout(site, azimuth, along, latitude, longitude, xi, eta, east, north)

    def _plan(self, easts, norths, east, north):
        canvas = self.canvas
        canvas.clip(self.WEST, self.NORTH, self.EAST, self.SOUTH)
        coast = self._coast()
        x, y = self._place(*coast.T)
        canvas.area(x, y, LAND)
        canvas.line(*self._place(easts, norths), colour=QUIET, width=1.4, dash=palette.DOTS)
        canvas.line(x, y, colour=ELLIPSOID, width=2.4, dash=(5, 2.5))
        canvas.line(*self._place(*(coast + np.array([east, north])).T), colour=GEOID, width=2.6)
        here, star = self._place(0, 0), tuple(map(float, self._place(east, north)))
        corner = tuple(map(float, self._place(east, 0)))
        if math.dist(here, star) > 12:
            canvas.line(
                [here[0], corner[0], star[0]], [here[1], corner[1], star[1]], width=1.4, dash=(3, 2)
            )
            canvas.arrow(here, star, colour=PLUMB, width=3)
        canvas.clip()
        canvas.disc(*star, 9, WHITE, edge=PLUMB, rim=2.2)
        canvas.site(*map(float, here))
        self._plan_words(here, star)

    def _plan_words(self, here, star):
        """Name both positions, each on the side away from the other."""
        canvas = self.canvas
        up = 1 if star[1] <= here[1] else -1  # the stars' island lies above
        below, above = here[1] + up * 52, star[1] - up * 52
        above = max(above, self.NORTH + 14) if up > 0 else min(above, self.SOUTH - 36)
        canvas.words(
            here[0], below, "GNSS puts it here", bold=True, colour=NORMAL, to="both", halo=True
        )
        canvas.words(
            star[0], above, "the stars put it here", bold=True, colour=GEOID, to="both", halo=True
        )

    def _plot(self, way, sizes, along, size, azimuth):
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT

        def place(kilometres, metres):
            x = left + (np.asarray(kilometres) / self.FARTHEST + 1) / 2 * (right - left)
            return x, bottom - np.asarray(metres) / self.MOST * (bottom - top)

        canvas.clip(left, top, right, bottom)
        canvas.line(*place(way, sizes), colour=PLUMB, width=2.6)
        canvas.clip()
        x, y = map(float, place(along, size))
        canvas.line([x, x], [y, bottom], width=1.2, dash=palette.DOTS)
        canvas.site(x, y)
        for at, turn, to in ((left, azimuth + 180, "right"), (right, azimuth, "left")):
            words = f"300 km {write.compass(turn)}"
            canvas.note(at, bottom + 15, words, to=to)

    def _numbers(self, latitude, xi, eta, east, north):
        canvas, middle = self.canvas, 880
        longitude_turn = eta / math.cos(math.radians(latitude))
        for y, angle, metres, direction in (
            (321, xi, north, "north"),
            (351, eta, east, "east"),
            (381, longitude_turn, None, ""),
        ):
            far = metres is None and abs(latitude) > 89.99  # all longitudes meet
            words = "no meaning here" if far else write.arcseconds(angle)
            canvas.words(middle, y, words, bold=not far, to="left")
            if metres is not None:
                canvas.words(
                    RIGHT,
                    y,
                    f"{write.size(abs(metres))} {write.way(angle, direction, 1)}".strip(),
                    to="left",
                )
        size, azimuth = deflection.total(xi, eta)
        canvas.words(
            middle, 424, write.arcseconds(size, signed=False), bold=True, colour=PLUMB, to="left"
        )
        canvas.words(
            RIGHT,
            424,
            write.size(math.hypot(east, north)),
            size=22,
            bold=True,
            colour=PLUMB,
            to="left",
        )
        canvas.note(RIGHT, 446, towards(size, azimuth), to="left", colour=INK)
        for x, radius, word in (
            (880, WGS84.meridian_radius(latitude), "north"),
            (RIGHT, WGS84.prime_vertical_radius(latitude), "east"),
        ):
            canvas.words(x, 494, f"{write.number(radius * RADIANS, 2)} m {word}", to="left")

    @staticmethod
    def _readout(site, azimuth, along, latitude, longitude, xi, eta, east, north):
        size, turn = deflection.total(xi, eta)
        where = f"at {write.place(site)}"
        if along:
            way = write.compass(azimuth if along > 0 else azimuth + 180)
            where = f"{write.kilometres(abs(along))} {way} of {write.place(site)}"
        stands = f"By GNSS the island, {where}, stands at {write.position(latitude, longitude)}."
        if size < 0.05:
            return f"{stands} The stars put it there too, to a tenth of an arcsecond."
        apart = f"{write.size(math.hypot(east, north))} {write.compass(turn)}"
        return (
            f"{stands} The stars put it {write.bold(apart)} of there (azimuth "
            f"{write.azimuth(turn, 1)}): ξ\xa0{write.arcseconds(xi)} is {write.size(abs(north))} "
            f"{'north' if xi > 0 else 'south'}, η\xa0{write.arcseconds(eta)} is "
            f"{write.size(abs(east))} {'east' if eta > 0 else 'west'}. Both are right, each "
            "from its own vertical."
        )
