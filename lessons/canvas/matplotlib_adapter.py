"""
All that the course takes from matplotlib: two renderers, outlines and letters.

These are parts below matplotlib's public figures, used for speed, and they may change from one
release to the next. No other file imports matplotlib, so a new release is tried and corrected
here; tests/test_layers.py sees to that.
"""

import io
from functools import cache, lru_cache
from pathlib import Path

import matplotlib
import numpy as np
from matplotlib.backend_bases import GraphicsContextBase
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.ft2font import FT2Font, Kerning, LoadFlags
from matplotlib.path import Path as Outline
from matplotlib.transforms import Affine2D, Bbox

CIRCLE = Outline.unit_circle()
RECTANGLE = Outline.unit_rectangle()

# Where points of the page land ------------------------------------------------------------


def scaled(across, up):
    """Return a transformation that stretches by two factors."""
    return Affine2D().scale(across, up)


def to_pixels(scale, rows):
    """Return the transformation from points of the page, y down, to the renderer's pixels, y up."""
    return Affine2D().scale(scale, -scale).translate(0, rows)


def onto_page(top, height):
    """Return the transformation from points of a picture to a page, `top` points down."""
    return Affine2D().translate(0, top).scale(1, -1).translate(0, height)


def letters_at(x, baseline, place):
    """Return the transformation of outlined letters to where they stand in a picture."""
    return Affine2D().scale(1, -1).translate(x, baseline) + place


# Renderers ---------------------------------------------------------------------------------


def pixel_renderer(width, height, scale):
    """Return a renderer of pixels and its pixels, an array of red, green, blue and opacity."""
    renderer = RendererAgg(round(width * scale), round(height * scale), 72 * scale)
    return renderer, np.asarray(renderer.buffer_rgba())


class SvgPage:
    """A page of lines: the renderer to draw with, and the text that has come of it."""

    def __init__(self, width, height, title):
        from matplotlib.backends.backend_svg import (  # noqa: PLC0415 - half a second, when asked for
            RendererSVG,
        )

        unsigned = {"Date": None, "Creator": None, "Format": None, "Type": None, "Title": title}
        self._file = io.StringIO()
        self.renderer = RendererSVG(width, height, self._file, image_dpi=72, metadata=unsigned)

    def image(self, **attributes):
        """Lay a picture on the page."""
        self.renderer.writer.element("image", attrib=attributes)

    def text(self):
        """Finish the page and return it as the text of an SVG file."""
        self.renderer.finalize()
        return self._file.getvalue()


def draw(renderer, outline, place, *, edge, width, fill=None, dash=None, hatch=None, clip=None):
    """
    Draw the line round an outline and fill it.

    Parameters
    ----------
    renderer : renderer of pixels or of an `SvgPage`
    place : transformation
    edge : str
    width : float
        Of the line, in points; 0 for none.
    fill : sequence of four numbers 0 … 1, or None
    dash : tuple, optional
        Lengths of ink and gap in widths of the line.
    hatch : str, optional
        The colour of slanting lines over the area.
    clip : tuple, optional
        Left, top, right and bottom, in points, of what may be drawn on.
    """
    gc = _pen(edge, width, dash, hatch)
    gc.set_clip_rectangle(None if clip is None else _clip_box(clip, place.to_values()))
    straight = outline.codes is None and outline.vertices.shape[0] <= 5
    gc.set_snap(None if straight else False)
    renderer.draw_path(gc, outline, place, fill)


@lru_cache(maxsize=256)
def _clip_box(clip, place):
    """Return a box in pixels; `place` is the values of a transformation."""
    corners = Affine2D.from_values(*place).transform(np.reshape(clip, (2, 2)))
    return Bbox([corners.min(0), corners.max(0)])


@lru_cache(maxsize=256)
def _pen(edge, width, dash, hatch):
    """Return what the renderers draw a line with."""
    gc = GraphicsContextBase()
    gc.set_foreground(edge)
    gc.set_linewidth(width)
    gc.set_joinstyle("round" if width >= 1 else "bevel")  # a hair shows no corners
    gc.set_capstyle("butt" if dash else "projecting" if width < 1.5 else "round")
    if dash:  # longer on a thicker line
        gc.set_dashes(0, [part * width for part in dash])
    if hatch:
        gc.set_hatch("////")
        gc.set_hatch_color(hatch)
        gc.set_hatch_linewidth(0.8)
    return gc


# Outlines ----------------------------------------------------------------------------------


def open_line(points):
    """Return the outline of a line through points, an array of shape (n, 2)."""
    return Outline(points)


def polygon(points):
    """Return the outline of an area; the last point is joined to the first."""
    return Outline(points, closed=False)


def pieces(points, begins):
    """Return one outline of several lines; `begins` says which points start a new one."""
    return Outline(points, np.where(begins, Outline.MOVETO, Outline.LINETO))


def circle(x, y, diameter):
    """Return the outline of a circle."""
    return Outline(CIRCLE.vertices * diameter / 2 + (x, y), CIRCLE.codes)


# Letters -----------------------------------------------------------------------------------


def letter(character, bold, size, scale):
    """Return a letter's bitmap 0 … 255, its bearings left and up, and its advance, in pixels."""
    font = _font(bold, size, scale)
    glyph = font.load_char(ord(character), flags=LoadFlags.FORCE_AUTOHINT)
    font.set_text(character, 0, flags=LoadFlags.FORCE_AUTOHINT)
    font.draw_glyphs_to_bitmap(antialiased=True)
    left, up = round(glyph.horiBearingX / 64), round(glyph.horiBearingY / 64)
    return np.asarray(font.get_image()), left, up, glyph.horiAdvance / 64


@cache
def kerning(before, after, bold, size, scale):
    """Return how many pixels farther apart than their advance two letters stand."""
    font = _font(bold, size, scale)
    left, right = font.get_char_index(ord(before)), font.get_char_index(ord(after))
    return font.get_kerning(left, right, Kerning.DEFAULT) / 64


def has_letter(character, bold):
    """Return whether the font has a letter; one it has not is drawn as an empty box."""
    return _font(bold, 15, 1.0).get_char_index(ord(character)) != 0


@cache
def outlined(text, size, bold):
    """Return words as one outline, from x = 0 on the baseline y = 0, y up."""
    from matplotlib.font_manager import FontProperties  # noqa: PLC0415 - as for the SVG page
    from matplotlib.textpath import TextPath  # noqa: PLC0415

    return TextPath((0, 0), text, size=size, prop=FontProperties(fname=_font_file(bold)))


@cache
def _font(bold, size, scale):
    # From memory: the Pythons of a class come of one that divides itself, and an open file would be
    # read by all of them from one place in it, so that letters were missing or wrong.
    font = FT2Font(io.BytesIO(Path(_font_file(bold)).read_bytes()))
    font.set_size(size, 72 * scale)
    return font


def _font_file(bold):
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return str(Path(matplotlib.get_data_path(), "fonts", "ttf", name))
