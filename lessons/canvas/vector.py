"""
A canvas as lines instead of pixels, to print at any size.

`Canvas.drawn` holds what a figure drew; here a renderer of SVG draws it again. Letters
become outlines, so that they look alike everywhere. The shading of a map was laid down as pixels
and stays a picture within.
"""

import base64
import io

import numpy as np
from PIL import Image

from lessons.canvas import matplotlib_adapter as adapter
from lessons.canvas.palette import WHITE
from lessons.canvas.pen import HALO, Shading, Stroke


def svg(canvases, title):
    """Return canvases below each other as the text of an SVG file."""
    width, height = canvases[0].width, sum(canvas.height for canvas in canvases)
    page = adapter.SvgPage(width, height, title)
    whole = adapter.scaled(width, height)
    Stroke(adapter.RECTANGLE, None, 0, fill=WHITE).paint(page.renderer, whole)
    top = 0
    for canvas in canvases:
        canvas.settle()
        place = adapter.onto_page(top, height)
        for step in canvas.drawn:
            _DRAW.get(type(step), _write)(page, step, place, top)
        top += canvas.height
    return page.text()


def _stroke(page, stroke, place, _):
    stroke.paint(page.renderer, place)


def _shade(page, shading, _, top):
    """Lay a picture down; the picture's own pixels are kept sharp."""
    colours = np.asarray(shading.colours)[..., :3].astype(np.uint8)
    file = io.BytesIO()
    Image.fromarray(colours).save(file, "png")
    rows, columns = colours.shape[:2]
    page.image(
        **{
            "x": f"{shading.left:g}",
            "y": f"{shading.top + top:g}",
            "width": f"{columns * shading.pixel:g}",
            "height": f"{rows * shading.pixel:g}",
            "preserveAspectRatio": "none",
            "xlink:href": "data:image/png;base64," + base64.b64encode(file.getvalue()).decode(),
        }
    )


def _write(page, letters, place, _):
    outline = adapter.outlined(letters.text, letters.size, letters.bold)
    there = adapter.letters_at(letters.x, letters.baseline, place)
    if letters.halo:
        Stroke(outline, WHITE, 2 * HALO, fill=WHITE).paint(page.renderer, there)
    Stroke(outline, None, 0, fill=letters.colour).paint(page.renderer, there)


_DRAW = {Stroke: _stroke, Shading: _shade}
