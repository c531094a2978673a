"""A picture in two images is the picture: what stays below, what a step has drawn above."""

import importlib
import inspect
import io
import pkgutil

import numpy as np
import pytest
from PIL import Image

from exercises.sheets.scenario import PLACES
from lessons import figures
from lessons.canvas import palette
from lessons.canvas.palette import PLUMB
from lessons.canvas.pen import Canvas, _exact_indices, _indices
from lessons.widgets.layers import Layers
from lessons.widgets.live import Choice, SitePicker, Slider

WALL = PLACES["Brindle Wall"]
TOPICS = [
    importlib.import_module(f"{figures.__name__}.{topic.name}")
    for topic in pkgutil.iter_modules(figures.__path__)
]
BUILT = {name: getattr(topic, name) for topic in TOPICS for name in getattr(topic, "__all__", ())}


def colours(png, mode="RGB"):
    return np.asarray(Image.open(io.BytesIO(png)).convert(mode)).astype(int)


def opaque(png):
    return colours(png, "RGBA")[..., 3].min() == 255


def on_page(layers):
    """Return what a page shows: the upper image on the lower one."""
    upper = Image.open(io.BytesIO(layers.picture.value)).convert("RGBA")
    if layers.below is None:
        assert np.asarray(upper)[..., 3].min() == 255, "nothing lies below"
        return np.asarray(upper.convert("RGB")).astype(int)
    page = Image.open(io.BytesIO(layers.below.value)).convert("RGBA")
    page.alpha_composite(upper)
    return np.asarray(page.convert("RGB")).astype(int)


def moved(figure):
    """Move everything that can be moved, a few steps each, there and back."""
    for control in figure.controls.values():
        if isinstance(control, Slider):
            for share in (0.2, 0.25, 0.3, 0.35, 0.3):
                control.set(control.low + share * (control.high - control.low))
                yield f"{control.name} {share}"
        elif isinstance(control, Choice):
            for name in (*control.options, next(iter(control.options))):
                control.set(name)
                yield f"{control.name} {name}"
        elif isinstance(control, SitePicker):
            for latitude in (20, 21, 22, 21):
                control.move(latitude, -60)
                yield f"site {latitude}"


QUICK = {"two_verticals", "projections"}  # a map that stays, and one that is a layer


@pytest.mark.parametrize(
    "name", [pytest.param(n, marks=() if n in QUICK else pytest.mark.full) for n in BUILT]
)
def test_what_a_page_shows_is_the_picture(name):
    build = BUILT[name]
    figure = build(WALL) if "site" in inspect.signature(build).parameters else build()
    upper = 0
    for where in moved(figure):
        if isinstance(figure.error, ValueError):
            continue  # it says what cannot be, and the picture is that of the step before
        assert figure.error is None, where
        layers, canvas = figure.layers, figure.drawing.canvas
        upper += not opaque(layers.picture.value)
        canvas.settle()
        shown = on_page(layers)
        # Of what stays the colour is exact, of what moves the nearest, as in a whole picture.
        nearest, exact = (
            palette.png_palette()[find(canvas._codes)] for find in (_indices, _exact_indices)
        )
        differ = (shown != nearest).any(-1) & (shown != exact).any(-1)
        assert not differ.any(), f"{where}: {differ.sum()} pixels"
    assert upper, "each step sent the whole picture"


class Drawn:
    """A canvas with a line on a background, which may be kept anew."""

    def __init__(self):
        self.canvas, self.layers = Canvas("Two images"), Layers()
        self.canvas.keep()

    def step(self, at, *, anew=False):
        if anew:
            self.canvas.clear()
            self.canvas.line([at, at + 100], [300, 300], colour=PLUMB)
            self.canvas.keep()
        self.canvas.renew()
        self.canvas.line([at, at], [50, 500], colour=PLUMB)
        before = self.layers.picture.value, self.layers.below and self.layers.below.value
        self.layers.show(self.canvas)
        assert (on_page(self.layers) == colours(self.canvas.png())).all()
        return before


def test_what_stays_is_sent_when_it_comes_a_second_time_and_only_then():
    drawn = Drawn()
    drawn.step(200)
    assert drawn.layers.below is None
    assert drawn.layers.children == (drawn.layers.picture,)
    drawn.step(210)
    assert opaque(drawn.layers.picture.value), "the lower image is on its way"
    assert drawn.layers.children == (drawn.layers.picture, drawn.layers.below)
    whole = len(drawn.layers.picture.value)
    drawn.step(220)
    assert not opaque(drawn.layers.picture.value)
    assert len(drawn.layers.picture.value) < whole


def test_an_image_below_that_is_out_of_date_is_hidden():
    drawn = Drawn()
    for at in (200, 210, 220):
        drawn.step(at)
    for at in (230, 240):
        _, below = drawn.step(at, anew=True)
        assert opaque(drawn.layers.picture.value)
        assert drawn.layers.below.value == below, "nothing is sent that moves on"
    drawn.step(250)
    assert opaque(drawn.layers.picture.value)
    drawn.step(260)
    assert not opaque(drawn.layers.picture.value)


def test_on_a_wall_words_that_wait_are_in_the_upper_image():
    drawn = Drawn()
    drawn.canvas.letters = 1.2
    for at in (200, 210, 220):
        drawn.canvas.renew()
        drawn.canvas.words(at, 100, "later and larger")
        drawn.layers.show(drawn.canvas)
        assert (on_page(drawn.layers) == colours(drawn.canvas.png())).all()
