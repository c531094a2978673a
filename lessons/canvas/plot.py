"""
A plot whose two axes go by factors of ten, on part of a canvas.

Lengths from a hair's breadth to an ocean, and errors that grow with a power of the distance, are
straight lines here.
"""

from dataclasses import dataclass

import numpy as np

from lessons.canvas.palette import HAIR, HATCH, NOISE, PALE
from lessons.canvas.pen import Canvas


@dataclass(frozen=True)
class LogPlot:
    """
    Where a plot lies on a canvas, and the lowest and highest value of both axes.

    A value outside, or none at all, is drawn no farther than just beyond the frame.
    """

    canvas: Canvas
    left: float
    top: float
    right: float
    bottom: float
    across: tuple[float, float]
    up: tuple[float, float]

    def x(self, values):
        """Return the place of values on the level axis."""
        return self.left + _part(values, *self.across) * (self.right - self.left)

    def across_at(self, x):
        """Return the value on the level axis at a place, no farther than its ends."""
        share = min(max((x - self.left) / (self.right - self.left), 0.0), 1.0)
        return self.across[0] * (self.across[1] / self.across[0]) ** share

    def y(self, values):
        """Return the place of values on the upright axis."""
        return self.bottom - _part(values, *self.up) * (self.bottom - self.top)

    def grid(self, across, up):
        """Draw frame and grid; `across` and `up` are the marks as (value, words)."""
        canvas = self.canvas
        for value, words in across:
            x = float(self.x(value))
            canvas.line([x, x], [self.top, self.bottom], colour=PALE, width=1.2)
            canvas.note(x, self.bottom + 14, words, to="both")
        for value, words in up:
            y = float(self.y(value))
            canvas.line([self.left, self.right], [y, y], colour=PALE, width=1.2)
            canvas.note(self.left - 8, y, words, to="left")
        canvas.box(self.left, self.top, self.right, self.bottom, edge=HAIR, width=1)

    def curve(self, x, y, **look):
        """Draw a line through values, clipped to the frame."""
        self.canvas.clip(self.left, self.top, self.right, self.bottom)
        self.canvas.line(self.x(x), self.y(y), **look)
        self.canvas.clip()

    def noise(self, x, low, high):
        """Hatch what an instrument cannot resolve, between two values at each x."""
        self.canvas.clip(self.left, self.top, self.right, self.bottom)
        x, low, high = self.x(x), self.y(low), self.y(high)
        across, around = np.concatenate([x, x[::-1]]), np.concatenate([low, high[::-1]])
        self.canvas.area(across, around, NOISE, edge=HATCH, hatch=HATCH)
        self.canvas.clip()


def passes(x, values, limit):
    """
    Return the first x at which a curve reaches a limit; NaN where it never does.

    Between two of its points the curve is a power of x, as a plot on these axes draws it.
    """
    over = np.flatnonzero(values >= limit)
    if not over.size:
        return np.nan
    after = over[0]
    if after == 0 or values[after - 1] <= 0:
        return float(x[after])
    ends = slice(after - 1, after + 1)
    return float(np.exp(np.interp(np.log(limit), np.log(values[ends]), np.log(x[ends]))))


def apart(wanted, gap, low, high):
    """Return places as near as may be to those wanted, in their order, at least a gap apart."""
    order = np.argsort(wanted, kind="stable")
    steps = gap * np.arange(len(order))
    level = np.asarray(wanted, float)[order] - steps
    # Pool neighbours that stand in the wrong order: the least squares fit that never falls.
    pools = []
    for value in level:
        pools.append([value, 1])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (one, n), (other, m) = pools[-2:]
            pools[-2:] = [[(one * n + other * m) / (n + m), n + m]]
    level = np.repeat([value for value, _ in pools], [count for _, count in pools])
    places = np.empty(len(order))
    places[order] = np.clip(level, low, high - steps[-1]) + steps
    return places


def _part(values, low, high):
    values = np.clip(np.nan_to_num(np.asarray(values, float)), low / 30, high * 30)
    return np.log(values / low) / np.log(high / low)
