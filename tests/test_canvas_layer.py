"""A part of a picture that stays while something else is moved: drawn once, and never stale."""

import numpy as np
import pytest

from exercises.sheets.scenario import PLACES
from lessons.canvas.palette import GEOID, HATCH, NOISE, PLUMB, SEA
from lessons.canvas.pen import Canvas
from lessons.figures import attraction, ecef, excess, grid, heights, motion
from lessons.widgets.live import Slider

WALL = PLACES["Brindle Wall"]
LAYERED = (
    attraction.dig_and_raise,
    attraction.rings_of_gravity,
    ecef.axes,
    excess.carried_arrow,
    excess.globe_triangle,
    excess.plane_limits,
    grid.projections,
    grid.zone,
    heights.tide_years,
    motion.plates,
)


class Drawn:
    """A canvas with a box for a layer and a line over it, and how often the box was drawn."""

    def __init__(self):
        self.canvas, self.often = Canvas("A layer"), 0
        self.canvas.keep()

    def picture(self, side, at):
        def box():
            self.often += 1
            self.canvas.box(100, 100, 100 + side, 100 + side, SEA, edge=GEOID)
            self.canvas.words(110, 110, f"side {side}")

        self.canvas.layer(side, box)
        self.canvas.line([at, at], [50, 500], colour=PLUMB)
        return self.canvas.png(), [entry.text for entry in self.canvas.written]


def test_a_layer_is_drawn_twice_at_most_while_something_else_moves():
    drawn = Drawn()
    for at in range(200, 220):
        drawn.picture(300, at)
    assert drawn.often == 2  # the second time it is kept


def test_a_picture_is_the_same_however_it_was_come_to():
    drawn, steps = Drawn(), [(300, 5), (300, 6), (300, 7), (200, 7), (300, 7), (200, 7), (200, 8)]
    for side, at in steps:
        assert drawn.picture(side, at) == Drawn().picture(side, at)


@pytest.mark.parametrize("build", LAYERED, ids=lambda build: build.__name__)
def test_a_figure_moved_away_and_back_is_the_figure(build):
    figure = build(WALL)
    first = figure.drawing.canvas._codes.copy()
    grips = figure.drawing.canvas.grips
    for name, control in figure.controls.items():
        if not isinstance(control, Slider):
            continue
        before = control.value
        for value in (control.low, (control.low + control.high) / 2, before):
            control.set(value)
            assert figure.error is None
        assert np.array_equal(figure.drawing.canvas._codes, first), name
        figure.redraw()  # now from what is kept
        assert np.array_equal(figure.drawing.canvas._codes, first), name
        assert figure.drawing.canvas.grips == grips
    if "site" in figure.controls:
        figure.controls["site"].set("Dunnock Field")
        assert not np.array_equal(figure.drawing.canvas._codes, first)
        figure.controls["site"].set("Brindle Wall")
        figure.redraw()
        assert np.array_equal(figure.drawing.canvas._codes, first)


@pytest.mark.parametrize("scale", [1.0, 1.5])
@pytest.mark.parametrize("edge", [None, HATCH])
def test_a_hatched_box_is_the_hatched_area(scale, edge):
    corners = (100.3, 90.7, 402.6, 251.2)
    pages = []
    for draw in ("box", "area"):
        canvas = Canvas("Hatched", scale=scale)
        left, top, right, bottom = corners
        if draw == "box":
            canvas.box(*corners, NOISE, hatch=HATCH, edge=edge)
        else:  # whose pixels are worked out anew
            x, y = [left, right, right, left, left], [top, top, bottom, bottom, top]
            canvas.area(x, y, NOISE, hatch=HATCH, edge=edge)
        pages.append((canvas._pixels.astype(int), canvas.drawn[-1]))
    (box, stroke), (area, other) = pages
    assert (stroke.hatch, stroke.fill, stroke.edge) == (other.hatch, other.fill, other.edge)
    apart = np.abs(box - area).max(-1) > 8
    assert apart.sum() <= 4, "the four corners"
