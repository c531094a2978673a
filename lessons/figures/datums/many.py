"""Figure A: one latitude and longitude, read in many datums."""

import math

from lessons.canvas import write
from lessons.canvas.palette import INK, NORMAL, QUIET, WHITE
from lessons.canvas.pen import LEFT, NOTE, RIGHT, Canvas
from lessons.figures.datums import registry
from lessons.figures.datums.common import Names, RoundMap, plain, round_metres, towards
from lessons.widgets.live import Choice, LiveFigure, SitePicker

HERE = "the one in use at the site"


def many_datums(site, *, scale=1.0):
    """Figure A: where the points are that all have the site's latitude and longitude."""
    listed = {HERE: None, **{datum.name: datum for datum in registry.DATUMS}}
    return LiveFigure(
        lambda scale=scale: ManyDatums(scale),
        [SitePicker(site), Choice("datum", "Datum of the list", "in which φ, λ are read", listed)],
    )


class ManyDatums:
    """The picture of figure A."""

    MAP = (292, 296, 206)  # middle and radius
    BOX = (LEFT, 50, 560, 548)  # of all names on the map
    TABLE, ELLIPSOID, VALUE = 592, 730, RIGHT
    FIRST, STEP = 92, 24.4

    def __init__(self, scale):
        canvas = self.canvas = Canvas("One latitude and longitude, many datums", scale=scale)
        self.plan = RoundMap(canvas, *self.MAP)
        self.plan.draw()
        head = self.FIRST - 27
        canvas.note(self.TABLE, head, "read in")
        canvas.note(self.ELLIPSOID, head, "on the ellipsoid")
        canvas.note(self.VALUE, head, "the point lies", to="left")
        canvas.rule(head + 10, self.TABLE, colour=QUIET)
        for row, datum in enumerate(registry.DATUMS):
            y = self.FIRST + self.STEP * row
            ellipsoid = registry.operation(datum.operations[0]).ellipsoid
            canvas.note(self.TABLE + 18, y, datum.name, colour=INK)
            canvas.note(self.ELLIPSOID, y, ellipsoid.name)
            canvas.rule(y + 12.2, self.TABLE, width=0.6)
        x = LEFT
        for words, fill, edge in (
            ("in use here", NORMAL, WHITE),
            ("from elsewhere, read here all the same", WHITE, QUIET),
        ):
            canvas.disc(x + 6, 544, 11, fill, edge=edge)
            x = canvas.note(x + 17, 544, words, colour=INK) + 22
        canvas.site(x + 6, 544)
        canvas.note(x + 17, 544, "in WGS 84", colour=INK)
        canvas.note(RIGHT, 544, "EPSG dataset, to WGS 84", to="left")
        canvas.keep()

    def update(self, site, datum):
        """Draw every datum's point, and the chosen one's arrow; return the readout."""
        here = site.latitude, site.longitude
        chosen = datum or registry.in_use(*here)
        found = []
        for each in registry.DATUMS:
            operation, reaches = each.operation(*here)
            found.append((each, operation, reaches, *operation.offset(*here)))
        self.canvas.renew()
        self.canvas.note(
            self.canvas.beside_title, 34, f"φ, λ of {site.name}", colour=INK, sit="baseline"
        )
        self._map(chosen, found)
        for row, entry in enumerate(found):
            self._row(self.FIRST + self.STEP * row, chosen, *entry)
        return self._readout(site, chosen, found)

    def _map(self, chosen, found):
        canvas, plan = self.canvas, self.plan
        edge = round_metres(1.02 * max(math.hypot(*entry[3:]) for entry in found))
        if edge / 2 >= max(math.hypot(*entry[3:]) for entry in found):
            edge /= 2
        places = {entry[0]: plan.to_canvas(*entry[3:], edge) for entry in found}
        plan.ring_names(edge, places.values())
        names = Names(canvas, self.BOX)
        names.keep_clear(plan.x, plan.y, 8)
        for x, y in places.values():
            names.keep_clear(x, y, 7)
        names.keep_line_clear((plan.x, plan.y), places[chosen])
        canvas.arrow((plan.x, plan.y), places[chosen], colour=NORMAL, width=3)
        found = sorted(found, key=lambda entry: (entry[0] is chosen, entry[2]))
        for each, _, reaches, *_ in found:
            x, y = places[each]
            canvas.disc(x, y, 11, NORMAL if reaches else WHITE, edge=WHITE if reaches else QUIET)
            if each is chosen:
                canvas.disc(x, y, 19, None, edge=INK, rim=2)
        canvas.site(plan.x, plan.y)
        for each, _, reaches, *_ in reversed(found):
            strong = reaches or each is chosen
            names.write(
                *places[each],
                each.name,
                size=NOTE + 2 * (each is chosen),
                beside=4 * (each is chosen),  # clear of its ring
                bold=strong,
                colour=NORMAL if reaches else INK if strong else QUIET,
            )
        names.finish()

    def _row(self, y, chosen, datum, _, reaches, east, north):
        canvas = self.canvas
        strong = datum is chosen
        if strong:
            canvas.box(self.TABLE - 8, y - 12, RIGHT + 6, y + 12, edge=INK, width=1.6)
        colour = NORMAL if reaches else INK if strong else QUIET
        canvas.disc(self.TABLE + 5, y, 9, colour if reaches else WHITE, edge=colour, rim=1.4)
        words = towards(east, north)
        canvas.note(self.VALUE, y, words, to="left", bold=strong or reaches, colour=colour)

    @staticmethod
    def _readout(site, chosen, found):
        _, operation, reaches, east, north = next(e for e in found if e[0] is chosen)
        azimuth = write.azimuth(math.degrees(math.atan2(east, north)))
        farthest = max(found, key=lambda entry: math.hypot(*entry[3:]))
        use = (
            f"{operation.name}, EPSG:{operation.code}, good to {plain(operation.accuracy)}"
            if reaches
            else "its area of use does not reach the site"
        )
        words = (
            f"The point with the latitude and longitude of {write.place(site)}, read in "
            f"{write.bold(chosen.name)} on {operation.ellipsoid.name}, lies "
            f"{write.bold(towards(east, north))} (azimuth {azimuth}) of the point in "
            f"WGS 84 ({use})."
        )
        if farthest[0] is not chosen:
            words += f" Farthest: {farthest[0].name}, {towards(*farthest[3:])}."
        return words
