"""Figure D: fingerprints, the size and direction of each wrong parameter at the site."""

import math

from lessons.canvas import write
from lessons.canvas.palette import CHOSEN_DASH, GEOID, HAIR, INK, NORMAL, ORANGE_DASH, PLUMB, QUIET
from lessons.canvas.pen import LEFT, NOTE, RIGHT, Canvas
from lessons.figures.datums.common import Names, RoundMap, plain
from lessons.figures.datums.shifts import fingerprints_at
from lessons.widgets.live import LiveFigure, SitePicker, Slider

LEAST, MOST = 0.01, 10_000.0  # metres at the middle and beyond the rim of the logarithmic map
LOOK = {
    **{key: {"colour": NORMAL, "width": 2.8} for key in ("ignored", "backwards")},
    **{key: {"colour": INK, "width": 2.8} for key in ("rx", "ry", "rz")},
    "second": {"colour": NORMAL, "width": 2.4, "dash": ORANGE_DASH},
    "ellipsoid": {"colour": NORMAL, "width": 2.4, "dash": CHOSEN_DASH},
    "scale": {"colour": PLUMB, "width": 2.4},
    "null": {"colour": GEOID, "width": 2.8, "dash": CHOSEN_DASH},
    "grid": {"colour": GEOID, "width": 2.8},
}


def fingerprints(site, *, scale=1.0):
    """Figure D: an arrow of size and direction for each kind of wrong parameter at the site."""
    return LiveFigure(
        lambda scale=scale: Fingerprints(scale),
        [
            SitePicker(site),
            Slider("rotation", "Rotation", "″ about each axis", 0.001, 20, 1, step=0.05,
                   decimals=3, log=True),
            Slider("ppm", "Scale", "ppm", 0.01, 30, 1, step=0.05, decimals=2, log=True),
        ],
    )  # fmt: skip


class Fingerprints:
    """The picture of figure D."""

    MAP = (284, 292, 210)
    BOX = (LEFT, 48, 574, 548)
    RINGS = (0.1, 1.0, 10.0, 100.0, 1000.0)
    TABLE, LEVEL, UP = 600, 986, RIGHT
    FIRST, STEP = 100, 40

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Fingerprints of a wrong parameter", scale=scale)
        self.plan = RoundMap(canvas, *self.MAP, rings=len(self.RINGS))
        self.plan.draw()
        canvas.note(self.TABLE, self.FIRST - 34, "what is wrong")
        canvas.note(self.LEVEL, self.FIRST - 34, "the point comes out", to="left")
        canvas.note(self.UP, self.FIRST - 34, "and up", to="left")
        canvas.rule(self.FIRST - 20, self.TABLE, colour=QUIET)
        canvas.note(LEFT, 544, "each ring ten times as far: from 1 cm", bold=True, colour=INK)
        canvas.keep()

    def update(self, site, rotation, ppm):
        """Draw arrows and table; return the readout."""
        found = fingerprints_at(
            site.latitude, site.longitude, 0.0, rotation=rotation, scale=ppm, epoch=site.epoch
        )
        self.canvas.renew()
        self.canvas.note(
            self.canvas.beside_title, 34, f"at {site.name}", colour=INK, sit="baseline"
        )
        self._arrows(found)
        for row, each in enumerate(found):
            self._row(self.FIRST + self.STEP * row, each)
        return self._readout(site, found, rotation, ppm)

    def _arrows(self, found):
        canvas, plan = self.canvas, self.plan
        tips = {}
        for each in found:
            out = math.log10(each.level / LEAST) / len(self.RINGS) if each.level else 0.0
            if out > 0:
                reach, turn = min(out, 1.08) * plan.radius, math.radians(each.azimuth)
                tips[each] = (plan.x + reach * math.sin(turn), plan.y - reach * math.cos(turn))
        along = [
            (plan.x + part * (x - plan.x), plan.y + part * (y - plan.y))
            for x, y in tips.values()
            for part in (0.3, 0.5, 0.7, 0.85, 1)
        ]
        plan.ring_words([plain(ring) for ring in self.RINGS], along)
        names = Names(canvas, self.BOX)
        names.keep_clear(plan.x, plan.y, 8)
        for each, tip in sorted(tips.items(), key=lambda item: -item[0].level):
            canvas.arrow((plan.x, plan.y), tip, **LOOK[each.key])
            names.keep_line_clear((plan.x, plan.y), tip, 2)
            names.keep_clear(*tip, 5)
        canvas.site(plan.x, plan.y)
        for each, tip in tips.items():
            names.write(
                *tip, each.short, bold=True, colour=LOOK[each.key]["colour"], away=each.azimuth
            )
        names.finish()

    def _row(self, y, each):
        canvas, look = self.canvas, LOOK[each.key]
        colour = look["colour"]
        if each.level >= LEAST:
            canvas.line([self.TABLE, self.TABLE + 30], [y, y], **look)
        else:
            canvas.arrow(
                (self.TABLE + 15, y + (12 if each.up > 0 else -12)),
                (self.TABLE + 15, y - (12 if each.up > 0 else -12)),
                **look,
            )
        canvas.note(self.TABLE + 42, y - 8, each.name, bold=True, colour=colour)
        canvas.note(self.TABLE + 42, y + 9, each.note)
        level = f"{write.size(each.level)} {write.compass(each.azimuth)}"
        if each.level < LEAST:
            level = "under 1 cm"
        canvas.words(self.LEVEL, y, level, size=NOTE, bold=each.level >= LEAST, to="left",
                    colour=colour if each.level >= LEAST else QUIET)  # fmt: skip
        up = write.signed_size(each.up) if abs(each.up) >= LEAST else "0 m"
        canvas.words(self.UP, y, up, bold=abs(each.up) >= LEAST, to="left",
                    colour=colour if abs(each.up) >= LEAST else QUIET)  # fmt: skip
        canvas.rule(y + 20, self.TABLE, colour=HAIR, width=0.6)

    @staticmethod
    def _readout(site, found, rotation, ppm):
        by_key = {each.key: each for each in found}
        turned = ", ".join(
            f"{by_key[axis].short} {_said(by_key[axis])}" for axis in ("rx", "ry", "rz")
        )
        words = [
            f"{by_key['ignored'].name} {_said(by_key['ignored'])}",
            f"{_plain(rotation, 3)}″ in the wrong convention {turned}",
            f"{_plain(ppm, 2)} ppm left out {write.bold(write.size(-by_key['scale'].up))} down",
            f"height grid missing {write.bold(write.above(by_key['grid'].up, 'the truth'))}",
        ]
        if "null" in by_key:
            words.append(f"{by_key['null'].name}, {_said(by_key['null'])}")
        return f"From the true point at {write.place(site)}: {'; '.join(words)}."


def _said(each):
    if each.level < LEAST:
        return write.bold("nothing")
    return write.bold(f"{write.size(each.level)} {write.compass(each.azimuth)}")


def _plain(value, decimals):
    return write.number(value, decimals).rstrip("0").rstrip(".")
