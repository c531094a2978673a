"""What the figures of lesson 10 share: a map of the next metres round the site, and its names."""

import math
from dataclasses import dataclass

import numpy as np

from lessons.canvas import write
from lessons.canvas.palette import INK, QUIET
from lessons.canvas.pen import NOTE, Canvas

_TURNS = np.radians(np.arange(0, 360, 22.5))
_EAST, _DOWN = np.sin(_TURNS), -np.cos(_TURNS)
_FREE = 140.0  # a place that costs less lies on nothing
STILL = "0\xa0m"
_AWAY = (9, 20, 34, 50, 70, 92)  # points from a mark to its name, nearest first


def round_metres(least):
    """
    Return 1, 2 or 5 with zeros, no less than a length.

    >>> round_metres(118.0), round_metres(0.3)
    (200.0, 0.5)
    """
    decade = 10.0 ** math.floor(math.log10(least))
    return next(
        float(f"{step * decade:.1g}") for step in (1, 2, 5, 10) if step * decade >= 0.999999 * least
    )


def plain(metres):
    r"""
    Return a round length without zeros that say nothing.

    >>> plain(2.5), plain(50.0), plain(2000.0)
    ('2.5\xa0m', '50\xa0m', '2\u202f000\xa0m')
    """
    decimals = next(d for d in range(4) if abs(round(metres, d) - metres) < 1e-9)
    return write.metres(metres, decimals, signed=False)


def towards(east, north):
    """Return a length with its direction, none where it is written as zero."""
    length = math.hypot(east, north)
    azimuth = math.degrees(math.atan2(east, north))
    if length < 0.0005:
        return STILL
    return f"{write.size(length)} {write.compass(azimuth)}"


@dataclass(frozen=True)
class RoundMap:
    """A round map, north up: its middle and radius on the canvas, and how many rings it has."""

    canvas: Canvas
    x: float
    y: float
    radius: float
    rings: int = 2

    def draw(self):
        """Draw rings and compass; they stay."""
        self.canvas.compass_rose(self.x, self.y, self.radius, self.rings)

    def ring_names(self, edge, marks=()):
        """
        Write how far out each ring lies, the rim at `edge` metres.

        They stand along the diagonal that keeps farthest from the marks, given as x, y.
        """
        words = [plain(edge * ring / self.rings) for ring in range(1, self.rings + 1)]
        self.ring_words(words, marks)

    def ring_words(self, words, marks=()):
        """Write words at the rings along a diagonal, from the inside."""
        places = [self._on_rings(*side) for side in ((-1, -1), (1, -1), (1, 1), (-1, 1))]

        def room(diagonal):
            pairs = ((mark, place) for mark in marks for place in diagonal)
            return min((math.dist(*pair) for pair in pairs), default=0.0)

        for name, place in zip(words, max(places, key=room), strict=True):
            self.canvas.note(*place, name, to="both", halo=True)

    def _on_rings(self, right, down):
        part = self.radius / self.rings * math.sqrt(0.5)
        return [
            (self.x + right * part * ring, self.y + down * part * ring)
            for ring in range(1, self.rings + 1)
        ]

    def to_canvas(self, east, north, edge):
        """Return x, y of metres east and north, where the rim lies at `edge` metres."""
        return self.x + east / edge * self.radius, self.y - north / edge * self.radius


class Names:
    """
    Puts names beside marks, clear of one another and of what is already written.

    `write` finds a name's place and draws its hairline; `finish` writes the names, over all lines.
    """

    def __init__(self, canvas, box, gap=2):
        self.canvas, self.box, self.gap = canvas, box, gap
        self._taken = np.array([entry.box for entry in canvas.written]).reshape(-1, 4)
        self._waiting, self._pending = [], []

    def keep_clear(self, x, y, reach):
        """Let no name lie on a mark."""
        self._pending.append((x - reach, y - reach, x + reach, y + reach))

    def keep_line_clear(self, start, end, reach=3):
        """Let no name lie on a line."""
        steps = max(2, int(math.dist(start, end) / 8))
        (x, y), (x_end, y_end) = start, end
        for step in range(steps):
            part = step / (steps - 1)
            self.keep_clear(x + part * (x_end - x), y + part * (y_end - y), reach)

    def write(self, x, y, text, *, size=NOTE, bold=False, colour=INK, away=None, beside=0):
        """
        Write a name as near its mark as there is room, with a hairline where it stands far off.

        `away` is the azimuth in which it had best stand, `beside` so many points farther off.
        """
        half, tall = self.canvas.width_of(text, size, bold=bold) / 2, size * self.canvas.letters
        if self._pending:
            self._taken = np.concatenate([self._taken, self._pending])
            self._pending = []
        taken = self._taken.T
        best = (np.inf, x, y)
        for out in _AWAY:
            best = min(best, self._place(taken, x, y, half, tall, away, out + beside))
            if best[0] < _FREE:
                break
        _, px, py = best
        side = min(max(x, px - half - 2), px + half + 2)
        rise = py + (0.6 * tall if y > py else -0.6 * tall)
        rise = y if abs(y - py) < 0.6 * tall else rise
        if math.dist((x, y), (side, rise)) > 15 + beside:
            self.canvas.line([x, side], [y, rise], colour=QUIET, width=1)
        self._waiting.append((px, py, text, {"size": size, "bold": bold, "colour": colour}))
        self._pending.append((px - half, py - 0.4 * tall, px + half, py + 0.6 * tall))

    def finish(self):
        """Write the names that have their places."""
        for x, y, text, look in self._waiting:
            self.canvas.words(x, y, text, to="both", halo=True, **look)

    def _place(self, taken, x, y, half, size, away, out):
        """Return the best place so far from a mark: what it costs, to lie on others most, x, y."""
        # so far out that the name's box clears the mark
        x_at, y_at = x + _EAST * (out + half), y + _DOWN * (out + size / 2)
        tall = 0.6 * size
        left, top, right, bottom = self.box
        beyond = (x_at - half < left) | (x_at + half > right)
        beyond |= (y_at - tall < top) | (y_at + tall > bottom)
        wide_over = np.minimum((x_at + half)[:, None], taken[2])
        wide_over -= np.maximum((x_at - half)[:, None], taken[0])
        tall_over = np.minimum((y_at + tall)[:, None], taken[3])
        tall_over -= np.maximum((y_at - tall)[:, None], taken[1])
        over = np.maximum(wide_over + self.gap, 0) * np.maximum(tall_over + self.gap, 0)
        cost = 1e6 * beyond + 10 * over.sum(1) + out
        if away is not None:
            cost += 12 * (1 - np.cos(_TURNS - np.radians(away)))
        best = int(cost.argmin())
        return float(cost[best]), float(x_at[best]), float(y_at[best])
