"""
A canvas as lines instead of pixels, to print at any size.

`Canvas.drawn` holds what a figure drew; here matplotlib's SVG renderer draws it again. Letters
become outlines, so that they look alike everywhere. The shading of a map was laid down as pixels
and stays a picture within.
"""

import base64
import io
from functools import cache
from pathlib import Path

import matplotlib
import numpy as np
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path as Outline
from matplotlib.textpath import TextPath
from matplotlib.transforms import Affine2D
from PIL import Image

from lessons.canvas import palette
from lessons.canvas.palette import WHITE
from lessons.canvas.pen import HALO, Shading, Stroke


def svg(canvases, title):
    """Return canvases below each other as the text of an SVG file."""
    width, height = canvases[0].width, sum(canvas.height for canvas in canvases)
    file = io.StringIO()
    unsigned = {"Date": None, "Creator": None, "Format": None, "Type": None, "Title": title}
    renderer = RendererSVG(width, height, file, image_dpi=72, metadata=unsigned)
    page = Outline.unit_rectangle().transformed(Affine2D().scale(width, height))
    Stroke(page, None, 0, fill=WHITE).paint(renderer, Affine2D())
    top = 0
    for canvas in canvases:
        place = Affine2D().translate(0, top).scale(1, -1).translate(0, height)
        for step in canvas.drawn:
            _DRAW.get(type(step), _write)(renderer, step, place, top)
        top += canvas.height
    renderer.finalize()
    return file.getvalue()


def _stroke(renderer, stroke, place, _):
    stroke.paint(renderer, place)


def _shade(renderer, shading, _, top):
    """Lay a picture down; the picture's own pixels are kept sharp."""
    colours = np.asarray(shading.colours)[..., :3].astype(np.uint8)
    file = io.BytesIO()
    Image.fromarray(colours).save(file, "png")
    rows, columns = colours.shape[:2]
    renderer.writer.element(
        "image",
        attrib={
            "x": f"{shading.left:g}",
            "y": f"{shading.top + top:g}",
            "width": f"{columns * shading.pixel:g}",
            "height": f"{rows * shading.pixel:g}",
            "preserveAspectRatio": "none",
            "xlink:href": "data:image/png;base64," + base64.b64encode(file.getvalue()).decode(),
        },
    )


def _write(renderer, letters, place, _):
    outline = _outline(letters.text, letters.size, letters.bold)
    there = Affine2D().scale(1, -1).translate(letters.x, letters.baseline) + place
    if letters.halo:
        Stroke(outline, WHITE, 2 * HALO, fill=WHITE).paint(renderer, there)
    gc = renderer.new_gc()
    gc.set_linewidth(0)
    renderer.draw_path(gc, outline, there, tuple(palette.rgb(letters.colour) / 255))


@cache
def _outline(text, size, bold):
    folder = Path(matplotlib.get_data_path(), "fonts", "ttf")
    face = FontProperties(fname=str(folder / f"DejaVuSans{'-Bold' if bold else ''}.ttf"))
    return TextPath((0, 0), text, size=size, prop=face)


_DRAW = {Stroke: _stroke, Shading: _shade}
