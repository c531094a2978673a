"""Figure A: the latitudes of one point, and its two radii of curvature."""

import math

import numpy as np

from exercises.question.wording import dms
from geokit import WGS84, Ellipsoid, deflection, geoid
from lessons.canvas import palette, write
from lessons.canvas.globe import NEXT_TO_POLE
from lessons.canvas.palette import (
    ELLIPSOID,
    HAIR,
    INK,
    NORMAL,
    ORANGE_DASH,
    PALE,
    PLUMB,
    PRIME_VERTICAL_DASH,
    QUIET,
    TINT,
    WHITE,
)
from lessons.canvas.pen import LABEL, LEFT, RIGHT, Canvas
from lessons.canvas.plot import apart
from lessons.widgets.live import OWN, LiveFigure, SitePicker, Slider


def latitudes(site, *, scale=1.0):
    """Figure A: geodetic, geocentric and parametric latitude of one point, M and ν."""
    return LiveFigure(
        lambda scale=scale: Latitudes(scale),
        [
            SitePicker(site, dragged=True, furthest=90),
            Slider("times", "Flattening", "× exaggerated", 1, 100, 100, step=0.05, log=True),
        ],
    )


# Symbol, name, what it is taken along, colour, and the line it is drawn with.
ROWS = (
    ("φ", "geodetic", "along the normal", NORMAL, {"width": 2.4, "dash": ORANGE_DASH}),
    ("ψ", "geocentric", "to the centre", INK, {"width": 2}),
    ("β", "parametric", "on the circle of radius a", QUIET, {"width": 2, "dash": palette.DOTS}),
    ("Φ", "astronomic", "along the plumb line", PLUMB, None),
    ("M", "meridian radius", "north–south curve", NORMAL, {"width": 1.8}),
    (
        "ν",
        "prime-vertical radius",
        "east–west curve",
        NORMAL,
        {"width": 1.8, "dash": PRIME_VERTICAL_DASH},
    ),
)


class Latitudes:
    """
    The picture of figure A.

    The point stands at its true geodetic latitude on an ellipse flattened more than the Earth, and
    all that is drawn belongs to that ellipse. It keeps one size: at the strongest flattening the
    foot of ν still lies within the circle of radius a.
    """

    CENTRE = (338, 294)
    A = 240  # points
    TABLE, FIRST, STEP = 690, 101, 38
    PLOT = (726, 356, RIGHT, 500)
    MOST = 13.0  # arcminutes at the edges of the plot

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Three latitudes of one point", scale=scale)
        x0, y0 = self.CENTRE
        canvas.line([84, 650], [y0, y0], colour=HAIR, width=1.4)
        canvas.line([x0, x0], [52, 536], colour=HAIR, width=1.4)
        canvas.note(LEFT, y0 - 12, "equator")
        canvas.note(self.TABLE, 66, "true values, WGS 84; Φ by EGM96")
        canvas.rule(82, self.TABLE, colour=QUIET)
        for row, (symbol, name, note, colour, line) in enumerate(ROWS):
            y = self.FIRST + self.STEP * row
            canvas.words(self.TABLE, y, symbol, size=19, bold=True, colour=colour)
            if line:
                canvas.line([self.TABLE + 25, self.TABLE + 63], [y, y], colour=colour, **line)
            canvas.words(self.TABLE + 76, y - 8, name)
            canvas.note(self.TABLE + 76, y + 9, note)
            canvas.rule(y + 19, self.TABLE, colour=QUIET if symbol == "Φ" else HAIR)
        self._still_plot()
        canvas.keep()

    def _still_plot(self):
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT
        canvas.note(left, top - 14, "geodetic less the other two, by latitude", colour=INK)
        for minutes in (-10, 0, 10):
            _, y = self._in_plot(0, minutes)
            canvas.line([left, right], [y, y], colour=HAIR if minutes == 0 else PALE, width=1.2)
            canvas.note(left - 6, y, f"{write.number(minutes, 0, signed=True)}′", to="left")
        for latitude, name in (
            (-90, "90° S"),
            (-45, "45° S"),
            (0, "0°"),
            (45, "45° N"),
            (90, "90° N"),
        ):
            x, _ = self._in_plot(latitude, 0)
            canvas.line([x, x], [top, bottom], colour=PALE, width=1.2)
            to = {-90: "right", 90: "left"}.get(latitude, "both")
            canvas.note(x, bottom + 15, name, to=to)
        canvas.box(left, top, right, bottom, edge=HAIR, width=1)
        latitude = np.linspace(-90, 90, 121)
        for other, colour, dash in (
            (WGS84.geocentric_latitude, INK, None),
            (WGS84.parametric_latitude, QUIET, palette.DOTS),
        ):
            minutes = 60 * (latitude - other(latitude))
            canvas.line(*self._in_plot(latitude, minutes), colour=colour, width=2.2, dash=dash)

    def _in_plot(self, latitude, minutes):
        left, top, right, bottom = self.PLOT
        x = left + (np.asarray(latitude) + 90) / 180 * (right - left)
        return x, (top + bottom) / 2 - np.asarray(minutes) / self.MOST * (bottom - top) / 2

    def update(self, site, times):
        """Draw the point, its lines and angles, the numbers; return the readout."""
        phi, self._longitude = site.latitude, site.longitude
        psi, beta = WGS84.geocentric_latitude(phi), WGS84.parametric_latitude(phi)
        xi = None
        if abs(phi) < NEXT_TO_POLE:
            xi, _ = deflection.from_geoid(phi, site.longitude, geoid.EGM96, WGS84)
        off = WGS84.meridian_distance(phi) - WGS84.meridian_distance(psi)
        self.canvas.renew()
        self._section(phi, Ellipsoid("drawn", self.A, WGS84.inverse_flattening / times, "figure"))
        self._table(phi, psi, beta, xi)
        self._plot(phi, psi, beta, off)
        drawn = f"exaggerated {write.number(times, 0)} ×" if times > 1 else "drawn true"
        self.canvas.note(LEFT, 542, f"flattening {drawn}", bold=True, colour=INK)
        return self._readout(site, psi, beta, xi, off)

    def drag(self, name, x, y, begins):
        """Take the point along the ellipse: the hand's geocentric direction is laid on it."""
        out, up = max(x - self.CENTRE[0], 0.0), self.CENTRE[1] - y
        if not (out or up):
            return {}
        psi = math.degrees(math.atan2(up, out))
        return {"site": (self._shape.geodetic_from_geocentric(psi), self._longitude)}

    # the section through the poles ----------------------------------------------------------

    def _at(self, out, up):
        """Return points of the canvas, from points out along the equator and up the axis."""
        x0, y0 = self.CENTRE
        return x0 + out, y0 - up

    def _section(self, phi, drawn):
        canvas, turn = self.canvas, np.radians(np.linspace(0, 360, 181))
        a, b = drawn.semi_major, drawn.semi_minor
        ellipse = self._at(a * np.cos(turn), b * np.sin(turn))
        canvas.area(*ellipse, TINT)
        x0, y0 = self.CENTRE
        canvas.line([x0 - a, x0 + a], [y0, y0], colour=HAIR, width=1.4)
        canvas.line([x0, x0], [y0 - b, y0 + b], colour=HAIR, width=1.4)
        half = np.radians(np.linspace(-90, 90, 91))
        circle = self._at(a * np.cos(half), a * np.sin(half))
        canvas.line(*circle, colour=QUIET, width=1.2, dash=palette.DOTS)
        canvas.line(*ellipse, colour=ELLIPSOID, width=2.8, dash=ORANGE_DASH)
        sine, cosine = math.sin(math.radians(phi)), math.cos(math.radians(phi))
        nu, m = drawn.prime_vertical_radius(phi), drawn.meridian_radius(phi)
        shift = drawn.eccentricity_squared * nu  # how far the normal passes by the centre
        point = self._at(nu * cosine, (nu - shift) * sine)
        centre_m = point[0] - m * cosine, point[1] + m * sine
        foot = self._at(0.0, -shift * sine)
        self._curves(point, phi, m, nu)
        self._lines(point, phi, drawn, foot)
        small = self._angles(phi, drawn, self._at(shift * cosine, 0.0))
        canvas.disc(*centre_m, 10, NORMAL, edge=WHITE, rim=1.4)
        canvas.box(foot[0] - 4, foot[1] - 4, foot[0] + 4, foot[1] + 4, NORMAL, edge=WHITE, width=1)
        canvas.site(*point)
        canvas.grip("point", *point)
        self._shape = drawn
        self._letters(phi, small, centre_m, foot)

    def _curves(self, point, phi, m, nu):
        """Draw the circles that fit the curve along the meridian and across it, near the point."""
        canvas = self.canvas
        canvas.clip(LEFT, 44, 664, 530)
        for radius, dash in ((m, None), (nu, PRIME_VERTICAL_DASH)):
            reach = min(62.0, math.degrees(150 / radius))
            turn = np.radians(phi + np.linspace(-reach, reach, 41))
            x = point[0] + radius * (np.cos(turn) - math.cos(math.radians(phi)))
            y = point[1] - radius * (np.sin(turn) - math.sin(math.radians(phi)))
            canvas.line(x, y, colour=NORMAL, width=1.8, dash=dash)
        canvas.clip()

    def _lines(self, point, phi, drawn, foot):
        """Draw the normal, the line to the centre, and the way to the parametric latitude."""
        canvas, (x0, y0) = self.canvas, self.CENTRE
        beta = math.radians(drawn.parametric_latitude(phi))
        above = self._at(drawn.semi_major * math.cos(beta), drawn.semi_major * math.sin(beta))
        canvas.line(
            [x0, above[0], point[0]],
            [y0, above[1], point[1]],
            colour=QUIET,
            width=1.8,
            dash=palette.DOTS,
        )
        canvas.disc(*above, 8, WHITE, edge=QUIET, rim=1.6)
        canvas.line([x0, point[0]], [y0, point[1]], width=2)
        canvas.line([x0 - 6, x0 + 6], [y0, y0], width=1.6)
        canvas.line([x0, x0], [y0 - 6, y0 + 6], width=1.6)
        line = {"colour": NORMAL, "width": 2.4}
        canvas.line([foot[0], point[0]], [foot[1], point[1]], dash=ORANGE_DASH, **line)
        out, up = math.cos(math.radians(phi)), math.sin(math.radians(phi))
        canvas.arrow(point, (point[0] + 44 * out, point[1] - 44 * up), **line)
        canvas.right_angle(*point, 90 - phi, side=1 if phi >= 0 else -1, colour=NORMAL)

    def _angles(self, phi, drawn, crossing):
        """Draw the three angles with their letters; return those too small to hold theirs."""
        canvas, small = self.canvas, []
        for symbol, angle, centre, radius, colour in (
            ("φ", phi, crossing, 66, NORMAL),
            ("ψ", drawn.geocentric_latitude(phi), self.CENTRE, 100, INK),
            ("β", drawn.parametric_latitude(phi), self.CENTRE, 166, QUIET),
        ):
            if abs(angle) < 0.05:
                continue
            canvas.arc(*centre, radius, 90, 90 - angle, colour=colour, width=1.6)
            if radius * math.radians(abs(angle)) < 18:
                small.append((centre[0] + radius, symbol, 19, colour))
                continue
            at = math.radians({"φ": 0.35, "ψ": 0.8, "β": 1}[symbol] * angle)
            if symbol == "β":  # beyond its own line, where nothing else is
                at += math.copysign(14 / radius, angle)
            x, y = (radius + 13) * math.cos(at), (radius + 13) * math.sin(at)
            place = centre[0] + x, centre[1] - y
            canvas.words(*place, symbol, size=19, bold=True, colour=colour, to="both", halo=True)
        return small

    def _letters(self, phi, small, centre_m, foot):
        """Name the ends of ν and M, and small angles across the equator from their arcs."""
        side = 1 if phi >= 0 else -1
        look = {"bold": True, "to": "both", "halo": True}
        self.canvas.words(foot[0] - 16, foot[1], "ν", size=19, colour=NORMAL, **look)
        row, name = self.CENTRE[1] + 14 * side, (centre_m[0] + 14, "M", LABEL, NORMAL)
        if abs(centre_m[1] - self.CENTRE[1]) < 20:
            small = [*small, name]
        else:
            self.canvas.words(name[0], centre_m[1] + 8 * side, "M", colour=NORMAL, **look)
        if not small:
            return
        places = apart([wanted for wanted, *_ in small], 17, LEFT, self.TABLE)
        for x, (_, symbol, size, colour) in zip(places, small, strict=True):
            self.canvas.words(x, row, symbol, size=size, colour=colour, **look)

    # numbers --------------------------------------------------------------------------------

    def _table(self, phi, psi, beta, xi):
        values = [dms(angle, 1, "latitude") for angle in (phi, psi, beta)]
        values.append("not near a pole" if xi is None else dms(phi + xi / 3600, 1, "latitude"))
        for radius in (WGS84.meridian_radius(phi), WGS84.prime_vertical_radius(phi)):
            values.append(write.metres(radius, 0, signed=False))
        for row, (value, (*_, colour, _)) in enumerate(zip(values, ROWS, strict=True)):
            y = self.FIRST + self.STEP * row
            bold = value != "not near a pole"
            self.canvas.words(RIGHT, y, value, bold=bold, colour=colour, to="left")

    def _plot(self, phi, psi, beta, off):
        canvas, (left, top, right, bottom) = self.canvas, self.PLOT
        x, y = self._in_plot(phi, 60 * (phi - psi))
        canvas.line([x, x], [y, (top + bottom) / 2], width=1.2, dash=palette.DOTS)
        canvas.disc(*self._in_plot(phi, 60 * (phi - beta)), 9, WHITE, edge=QUIET, rim=2)
        canvas.site(x, y)
        for row, (name, other, colour) in enumerate((("φ − ψ", psi, INK), ("φ − β", beta, QUIET))):
            at = top + 18 + 22 * row
            canvas.words(left + 12, at, name, colour=colour)
            minutes = write.number(60 * (phi - other), 2, signed=True) + "′"
            canvas.words(left + 134, at, minutes, bold=True, colour=colour, to="left")
        canvas.note(right - 10, bottom - 36, "ψ taken for φ is off by", to="left", colour=INK)
        way = write.way(-off, "north", 0)
        ground = f"{write.size(abs(off))} {way}".strip() if abs(off) >= 0.5 else "nothing"
        canvas.words(right - 10, bottom - 16, ground, bold=True, to="left")

    @staticmethod
    def _readout(site, psi, beta, xi, off):
        phi = site.latitude
        place = f"At {write.place(site)} " if site.name != OWN else ""
        where = f"{place}φ is {dms(phi, 1, 'latitude')}"
        stars = ""
        if xi is not None:
            away = f"{write.arcseconds(abs(xi))} {write.way(xi, 'north', 1)}".strip("+ ")
            stars = f" The stars give Φ {dms(phi + xi / 3600, 1, 'latitude')}, {away}."
        if abs(off) < 0.5:
            return (
                f"{where}. Here the normal does meet the centre, and geodetic, geocentric and "
                f"parametric latitude are {write.bold('one')}.{stars}"
            )
        sine, cosine = math.sin(math.radians(phi)), math.cos(math.radians(phi))
        miss = WGS84.eccentricity_squared * WGS84.prime_vertical_radius(phi) * abs(sine * cosine)
        ground = f"{write.size(abs(off))} {write.way(-off, 'north', 0)}"
        less = write.number(60 * abs(phi - psi), 2)
        return (
            f"{where}. The normal passes the centre at {write.bold(write.size(miss))}. The line to "
            f"the centre makes ψ {write.bold(less + '′ less')}, and β is "
            f"{write.number(60 * abs(phi - beta), 2)}′ less: ψ taken for φ stands "
            f"{write.bold(ground)}.{stars}"
        )
