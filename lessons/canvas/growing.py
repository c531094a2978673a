"""
How much larger the words of a picture may be where a class looks at a wall.

A picture is laid out for a laptop. On a wall all its words are larger, and where two of them would
then touch, or one would leave the page, these grow less, down to their size on the laptop. The
words of one column keep one size.
"""

from dataclasses import dataclass

import numpy as np

STEPS = 6
APART = 5.0  # points between words side by side; those that stand closer on a laptop may stay so
CLOSE = 3.0  # points that boxes may share up and down, where letters have none


@dataclass(frozen=True)
class Line:
    """
    Words as they were asked for: from, to or about x, in the middle of y or on it.

    `width` is theirs at their own size; `after` is the line that these words go on from.
    """

    text: str
    x: float
    y: float
    size: float
    colour: str
    bold: bool
    to: str
    sit: str
    halo: bool
    width: float
    after: int | None = None

    def begins(self, growth):
        """Return x of the first letter."""
        return self.x - {"right": 0, "left": 1, "both": 0.5}[self.to] * self.width * growth

    def baseline(self, growth):
        """Return y of the baseline."""
        return self.y if self.sit == "baseline" else self.y + 0.36 * self.size * growth

    def box(self, growth):
        """Return left, top, right and bottom."""
        x, y, size = self.begins(growth), self.baseline(growth), self.size * growth
        return x, y - 0.76 * size, x + self.width * growth, y + 0.24 * size


def growths(lines, width, height, most):
    """
    Return how much each line grows, from 1 to `most`.

    Parameters
    ----------
    lines : list of Line
    width, height : float
        Of the page.
    most : float
    """
    steps = np.linspace(most, 1.0, STEPS)
    columns = _columns(lines)
    level = np.zeros(len(lines), int)
    while True:
        boxes = np.array([line.box(steps[at]) for line, at in zip(lines, level, strict=True)])
        tight = _tight(boxes, lines, width, height) & (level < STEPS - 1)
        if not tight.any():
            return steps[level]
        level += tight
        most_of_column = np.zeros(columns.max() + 1, int)
        np.maximum.at(most_of_column, columns, level)
        level = most_of_column[columns]


def _columns(lines):
    """Return a number for each line; those of one column, or that go on from another, share it."""
    known, numbers = {}, []
    for line in lines:
        if line.after is None:
            look = (round(line.x), line.to, line.size, line.bold, line.sit)
            numbers.append(known.setdefault(look, len(known)))
        else:
            numbers.append(numbers[line.after])
    return np.array(numbers, int)


def _tight(boxes, lines, width, height):
    """Return which boxes touch another or leave the page."""
    left, top, right, bottom = boxes.T
    across = np.minimum(right[:, None], right) - np.maximum(left[:, None], left)
    down = np.minimum(bottom[:, None], bottom) - np.maximum(top[:, None], top)
    touch = (across > -APART) & (down > CLOSE)
    np.fill_diagonal(touch, False)
    for number, line in enumerate(lines):
        if line.after is not None:
            touch[number, line.after] = touch[line.after, number] = False
    return touch.any(1) | (left < 0) | (top < 0) | (right > width) | (bottom > height)
