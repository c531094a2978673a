"""
The canvas that a figure draws on.

A page of 1120 × 560 points, x to the right and y *down* from the top left corner. What never
moves is drawn once and kept (`Canvas.keep`); every new picture starts from there (`Canvas.renew`),
draws what moves and is fetched with `Canvas.png`:

    canvas = Canvas("The two verticals")
    canvas.line([24, 637], [300, 300], colour=HAIR, width=1)   # stays
    canvas.keep()
    ...
    canvas.renew()                                             # in each update
    canvas.arrow((104, 480), (104, 442), colour=PLUMB)
    canvas.words(120, 480, "+60.7″", bold=True)
    picture = canvas.png()

It draws through matplotlib's Agg renderer without artists (`matplotlib_adapter`), stamps letters
from bitmaps made once, and sends eight bits a pixel: a third of the time of a plain `savefig`.
`Canvas.written` lists the words of the picture with their boxes, so that a test can see what
stands where. On a wall they are larger where there is room (`growing`), and wait for that until
the picture is fetched.
"""

import io
import math
import zlib
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np
from PIL import Image

from exercises.question import wording
from exercises.sheets import session
from lessons.canvas import growing, palette
from lessons.canvas import matplotlib_adapter as adapter
from lessons.canvas.palette import HAIR, INK, QUIET, WHITE

WIDTH, HEIGHT = 1120, 560
LEFT, RIGHT = 24, 1096  # margins of words and frames
TITLE, LABEL, NOTE, HEADLINE = 19, 15, 14, 22  # sizes of letters; nothing is smaller than a note
LARGE = 1.2  # times larger, where the class looks at a wall
BAND = 32  # rows of pixels that are worked out together
HALO = 1.6  # points of white round a letter that crosses lines
_SHARES = np.arange(256, dtype=np.float32) / np.float32(255)  # of ink, by coverage


@dataclass(frozen=True)
class Written:
    """Words on the canvas and the box they fill: left, top, right, bottom."""

    text: str
    box: tuple[float, float, float, float]
    size: float


@dataclass(frozen=True)
class Grip:
    """What a hand may take in the picture: a thing at x, y, or a whole area to right and bottom."""

    name: str
    x: float
    y: float
    right: float | None = None
    bottom: float | None = None

    def in_shares(self, width, height):
        """Return its name and where it is, as shares of a canvas."""
        place = {"x": self.x / width, "y": self.y / height}
        if self.right is not None:
            place |= {"right": self.right / width, "bottom": self.bottom / height}
        return {"name": self.name, **{key: round(share, 4) for key, share in place.items()}}


@dataclass(frozen=True)
class Stroke:
    """A line or an area as it was drawn, so that another renderer can draw it again."""

    outline: adapter.Outline
    edge: str | None
    width: float
    fill: str | None = None
    dash: tuple | None = None
    hatch: str | None = None
    opacity: float = 1.0
    clip: tuple | None = None

    def paint(self, renderer, place):
        """Draw it with a renderer of the adapter's."""
        adapter.draw(
            renderer,
            self.outline,
            place,
            edge=self.edge or INK,
            width=self.width,
            fill=self.fill and _in_parts(self.fill, self.opacity),
            dash=self.dash,
            hatch=self.hatch,
            clip=self.clip,
        )


@dataclass(frozen=True)
class Letters:
    """Words as they were written: from x, on a baseline."""

    text: str
    x: float
    baseline: float
    size: float
    colour: str
    bold: bool
    halo: bool


@dataclass(frozen=True)
class Shading:
    """An array of colours as it was laid down, with the points that a pixel takes."""

    left: float
    top: float
    colours: np.ndarray
    pixel: float


@dataclass(frozen=True)
class Background:
    """A canvas as it was kept: its pixels, its words and all that was drawn."""

    codes: np.ndarray
    written: tuple
    drawn: tuple
    waiting: tuple


class Canvas:
    """A page with a part that stays and a part that is drawn anew for each picture."""

    def __init__(self, title="", note="", *, scale=1.0, width=WIDTH, height=HEIGHT):
        self.width, self.height, self.scale = width, height, scale
        settings = session.open()
        self.decimal = settings.decimal or "."  # in which its words are written
        self.letters = LARGE if settings.screen == "wall" else 1.0  # how much larger they are
        self._renderer, self._pixels = adapter.pixel_renderer(width, height, scale)
        self._pixels[...] = 255
        self._codes = self._pixels.view("<u4")[..., 0]  # the same pixels, a number each
        self._to_pixels = adapter.to_pixels(scale, len(self._pixels))
        self._clip = None
        self._page = self._kept = self._kept_indices = None
        self.background = None  # what the picture began from
        self._layer = self._asked = None  # keys of the layer that is kept, and of the last one
        self.grips = []
        self.written = []
        self.drawn = []  # strokes, letters and shadings, in their order
        self._waiting = []  # on a wall: lines, and where they stand in `written` and `drawn`
        self.title = title
        end = self.words(LEFT, 34, title, size=TITLE, bold=True, sit="baseline") + 12
        self.beside_title = end  # where a note that moves may begin
        if note:
            self.note(end, 34, note, sit="baseline")

    # the part that stays -------------------------------------------------------------------

    def keep(self):
        """
        Keep what is drawn so far as the background of every picture.

        The first background is the page. Kept again later, as for a globe that turned, only what
        has changed is worked out anew.
        """
        if self._kept is None:
            self._kept_indices = _exact_indices(self._codes)
        else:
            changed = np.flatnonzero(self._codes != self._kept.codes)
            codes = self._codes.reshape(-1)[changed]
            self._kept_indices.reshape(-1)[changed] = _exact_indices(codes)
        self._kept = Background(
            self._codes.copy(), tuple(self.written), tuple(self.drawn), tuple(self._waiting)
        )
        self._page = self._page or self._kept
        self.background = self._kept

    def renew(self):
        """Start a new picture from what is kept."""
        self._start_from(self._kept)

    def layer(self, key, draw):
        """
        Start a new picture with a part that stays as long as its key does, drawn by a call.

        It is kept when its key comes a second time: a hand that moves something else gets it for
        nothing, and one that moves the part itself never waits for a background of no use.
        """
        if key == self._layer:
            self.renew()
            return
        self.clear()
        draw()
        if key == self._asked:
            self.keep()
            self._layer = key
        self._asked = key

    def clear(self):
        """Go back to the page, so that another background can be kept on it."""
        self._start_from(self._page)

    def _start_from(self, background):
        self.background = background
        self._codes[...] = background.codes
        self.written, self.drawn = list(background.written), list(background.drawn)
        self._waiting = list(background.waiting)
        self._clip = None
        self.grips = []

    def png(self):
        """Return the picture as the bytes of a PNG file of eight bits a pixel."""
        self.settle()
        indices = self._kept_indices.copy()
        _put_changed(indices, self._codes, self._kept.codes)
        return _encoded(indices)

    def background_png(self):
        """Return what the picture began from, as `png` does."""
        return _encoded(_exact_indices(self.background.codes))

    def overlay_png(self):
        """
        Return what was drawn since the picture began, and nothing where it is as it was.

        Laid on `background_png` it is the picture, for an eighth of its bytes.
        """
        self.settle()
        indices = np.full(self._codes.shape, palette.NOTHING, np.uint8)
        _put_changed(indices, self._codes, self.background.codes)
        return _encoded(indices, transparency=palette.NOTHING, compress_type=zlib.Z_RLE)

    # lines and areas -----------------------------------------------------------------------

    def clip(self, left=None, top=None, right=None, bottom=None):
        """Draw inside a box only, until called without one; words are never clipped."""
        self._clip = None if left is None else (left, top, right, bottom)

    def line(self, x, y, *, colour=INK, width=2.0, dash=None):
        """Draw a line through points; `dash` is lengths of ink and gap in widths of the line."""
        self._draw(adapter.open_line(np.column_stack([x, y])), colour, width, dash=dash)

    def area(self, x, y, fill, *, edge=None, width=1.0, hatch=None, opacity=1.0):
        """
        Fill a polygon; `hatch` is the colour of slanting lines over it.

        `opacity` 0.25 lets land and sea shine through; the palette holds the main colours so.
        """
        outline = adapter.polygon(np.column_stack([x, y]))
        self._draw(outline, edge, width if edge else 0, fill=fill, hatch=hatch, opacity=opacity)

    def box(self, left, top, right, bottom, fill=None, **look):
        """Draw a rectangle."""
        x, y = [left, right, right, left, left], [top, top, bottom, bottom, top]
        if look.get("hatch") and fill and not self._clip:
            self._hatched_box(x, y, fill, **look)
        else:
            self.area(x, y, fill, **look)

    def _hatched_box(self, x, y, fill, *, hatch, edge=None, width=1.0):
        """Draw a hatched rectangle; its inside is that of a page that was hatched once."""
        outline = adapter.polygon(np.column_stack([x, y]))
        whole = Stroke(outline, edge, width if edge else 0, fill=fill, hatch=hatch)
        self.drawn.append(whole)
        # Agg moves level and upright lines to whole pixels, or to halves where they are odd.
        odd = 1 if edge and math.ceil(width * self.scale) % 2 else 0
        (left, right), (top, bottom) = (
            [max(0, math.floor(at * self.scale + 0.5)) for at in (min(ends), max(ends))]
            for ends in (x, y)
        )
        inside = np.s_[top : bottom + odd, left : right + odd]
        page = _hatched_page(self.width, self.height, self.scale, fill, hatch)
        self._codes[inside] = page[inside]
        if edge:
            replace(whole, fill=None, hatch=None).paint(self._renderer, self._to_pixels)

    def outlines(self, rings, *, fill=None, edge=None, width=1.0):
        """
        Draw many rings of shape (n, 2) as one shape, so that a lake is a hole.

        Each begins where it ends; without a fill they may be open lines as well.
        """
        rings = list(rings)
        begins = np.zeros(sum(map(len, rings)), bool)
        begins[np.cumsum([0, *map(len, rings)])[:-1]] = True
        outline = adapter.pieces(np.concatenate(rings), begins)
        if fill:
            self._draw(outline, None, 0, fill=fill)
        if edge:  # apart, because only a line alone is thinned out to what can be seen
            self._draw(outline, edge, width)

    def lines(self, x, y, seen, *, colour=INK, width=2.0):
        """Draw each row of points as a line, as far as they are seen: arrays of two axes."""
        begins = seen.copy()
        begins[:, 1:] &= ~seen[:, :-1]
        outline = adapter.pieces(np.column_stack([x[seen], y[seen]]), begins[seen])
        self._draw(outline, colour, width)

    def disc(self, x, y, diameter, fill, *, edge=None, rim=1.6):
        """Draw a disc of a diameter in points, or a ring where `fill` is None."""
        self._draw(adapter.circle(x, y, diameter), edge, rim if edge else 0, fill=fill)

    def grip(self, name, x, y):
        """Let a hand take what is drawn here; the drawing's `drag` gets the place it goes to."""
        self.grips.append(Grip(name, float(x), float(y)))

    def grip_area(self, name, left, top, right, bottom):
        """Let a hand take a whole map or globe anywhere in a box."""
        self.grips.append(Grip(name, left, top, right, bottom))

    def site(self, x, y):
        """Draw "you are here"."""
        self.disc(x, y, 11, palette.SITE, edge=INK)

    def arrow(self, start, end, *, colour=INK, width=2.4, dash=None, head=11, both=False):
        """Draw an arrow; one too short for its head is a smaller head."""
        (x1, y1), (x2, y2) = start, end
        length = math.hypot(x2 - x1, y2 - y1)
        if length < 0.5:
            return
        east, down = (x2 - x1) / length, (y2 - y1) / length
        head = min(head, length / 2 if both else length)
        back = 0.8 * head
        first = (x1 + back * east, y1 + back * down) if both else start
        last = (x2 - back * east, y2 - back * down)
        self.line([first[0], last[0]], [first[1], last[1]], colour=colour, width=width, dash=dash)
        self._head(end, east, down, head, colour)
        if both:
            self._head(start, -east, -down, head, colour)

    def _head(self, tip, east, down, size, colour):
        x, y = tip
        foot, half = (x - size * east, y - size * down), 0.42 * size
        self.area(
            [x, foot[0] - half * down, foot[0] + half * down],
            [y, foot[1] + half * east, foot[1] - half * east],
            colour,
        )

    def arc(self, x, y, radius, first, last, **look):
        """Draw an arc round a point, between two azimuths in degrees."""
        steps = max(2, int(abs(last - first) * radius / 150) + 2)
        turn = np.radians(np.linspace(first, last, steps))
        self.line(x + radius * np.sin(turn), y - radius * np.cos(turn), **look)

    def right_angle(self, x, y, along, *, side=1, size=13, colour=INK, width=1.4):
        """Draw the little square between the azimuth `along` and the one a quarter turn on."""
        one, other = np.radians(along), np.radians(along + side * 90)
        a = size * np.array([np.sin(one), -np.cos(one)])
        b = size * np.array([np.sin(other), -np.cos(other)])
        x, y = np.array([a, a + b, b]).T + np.array([[x], [y]])
        self.line(x, y, colour=colour, width=width)

    def _draw(self, outline, edge, width, **look):
        stroke = Stroke(outline, edge, width, clip=self._clip, **look)
        self.drawn.append(stroke)
        stroke.paint(self._renderer, self._to_pixels)

    # pictures and words --------------------------------------------------------------------

    def blank(self):
        """Return an empty canvas of the same size and scale, for a mask."""
        return Canvas(scale=self.scale, width=self.width, height=self.height)

    def pixel_grid(self, left, top, right, bottom):
        """Return the page coordinates x of the pixel columns and y of the rows in a box."""
        columns = np.arange(round(left * self.scale), round(right * self.scale))
        rows = np.arange(round(top * self.scale), round(bottom * self.scale))
        return (columns + 0.5) / self.scale, (rows + 0.5) / self.scale

    def picture(self, left, top, colours):
        """Lay an array of colours, as many as `pixel_grid` gave, with its corner at left, top."""
        self.drawn.append(Shading(left, top, colours, 1 / self.scale))
        row, column = round(top * self.scale), round(left * self.scale)
        self._pixels[row : row + len(colours), column : column + colours.shape[1], :3] = colours

    def inked(self, left, top, right, bottom):
        """Return where the pixels of a box are not white."""
        s = self.scale
        part = self._pixels[round(top * s) : round(bottom * s), round(left * s) : round(right * s)]
        return part[..., 0] < 128

    def words(
        self,
        x,
        y,
        text,
        *,
        size=LABEL,
        colour=INK,
        bold=False,
        to="right",
        sit="middle",
        halo=False,
    ):
        """
        Write words and return the x where they end.

        `to` says where they run from x: "right", "left" or "both" sides; `sit` whether y is their
        "middle" or their "baseline". Numbers stand in the trainee's decimal sign.
        """
        text = wording.in_sign(text, self.decimal)
        _, width = _spaced(text, size, bold, self.scale)
        line = growing.Line(text, x, y, size, colour, bold, to, sit, halo, width)
        if text and self.letters > 1:
            self._wait(line)
        elif text:
            self._set(line, 1.0)
        return line.begins(self.letters) + width * self.letters

    def _set(self, line, growth):
        """Write a line now."""
        self.written.append(_written(line, growth))
        self.drawn.append(_letters(line, growth))
        self._stamp_line(self.drawn[-1])

    def _wait(self, line):
        """Leave a line for `settle`; one that begins where the last has ended goes on from it."""
        if self._waiting and line.to == "right":
            before = self._waiting[-1][0]
            gap = line.x - before.box(self.letters)[2]
            if line.y == before.y and 0 <= gap < 12.1:
                line = replace(line, after=len(self._waiting) - 1)
        self._waiting.append((line, len(self.written), len(self.drawn)))
        self.written.append(_written(line, self.letters))
        self.drawn.append(_letters(line, self.letters))

    def settle(self):
        """Write the lines that wait, as large as there is room for."""
        if not self._waiting:
            return
        found = growing.growths(
            [line for line, _, _ in self._waiting], self.width, self.height, self.letters
        )
        set_down = []
        for (line, word, step), growth in zip(self._waiting, found, strict=True):
            set_down.append(self._moved(line, growth, set_down))
            self.written[word] = _written(set_down[-1], growth)
            self.drawn[step] = _letters(set_down[-1], growth)
            self._stamp_line(self.drawn[step])
        self._waiting = []

    def _moved(self, line, growth, set_down):
        """Return a line where it stands; one that goes on from another moves with its end."""
        if line.after is None:
            return line
        gap = line.x - self._waiting[line.after][0].box(self.letters)[2]
        return replace(line, x=set_down[line.after].box(growth)[2] + gap)

    def _stamp_line(self, letters):
        look = letters.text, letters.size, letters.bold, self.scale
        column, row = round(letters.x * self.scale), round(letters.baseline * self.scale)
        if letters.halo:
            self._stamp(_halo(*look), column, row, WHITE)
        self._stamp(_coverage(*look), column, row, letters.colour)

    def width_of(self, text, size=LABEL, *, bold=False):
        """Return the width of words in points, as they would be written here."""
        text = wording.in_sign(text, self.decimal)
        return _spaced(text, size, bold, self.scale)[1] * self.letters

    def note(self, x, y, text, **look):
        """Write words as small and quiet as they may be, unless `look` says otherwise."""
        return self.words(x, y, text, **{"size": NOTE, "colour": QUIET} | look)

    def _stamp(self, coverage, column, row, colour):
        """Blend ink into the pixels; what lies beyond the canvas is cut off."""
        letters, left, up = coverage
        top, left = row - up, column + left
        cut_top, cut_left = max(0, -top), max(0, -left)
        letters = letters[cut_top:, cut_left:]
        top, left = top + cut_top, left + cut_left
        under = self._codes[top : top + len(letters), left : left + letters.shape[1]]
        letters = letters[: len(under), : under.shape[1]]
        if not under.size:
            return
        ground = int(under[0, 0])
        if (under == ground).all():  # nearly always: a mix looked up is ten times as fast
            under[...] = _mixes(colour, ground).take(letters)
        else:
            under = under.view(np.uint8).reshape(*letters.shape, 4)
            under[...] = under + (_ink(colour) - under) * _SHARES.take(letters)[..., np.newaxis]

    # things that come again in every topic -------------------------------------------------

    def rule(self, y, left=LEFT, right=RIGHT, colour=HAIR, width=1.0):
        """Draw a level hairline."""
        self.line([left, right], [y, y], colour=colour, width=width)

    def rows(self, left, right, top, rows, step=30):
        """Write a table of (name, value, the value's colour): names left, values right."""
        for row, (name, value, colour) in enumerate(rows):
            y = top + step * row
            self.note(left, y, name)
            self.words(right, y, value, bold=True, colour=colour, to="left")

    def dimension(self, x, y1, y2, *, colour=INK, width=1.8):
        """Draw a dimension between two levels; too short for heads it is a plain stroke."""
        if abs(y2 - y1) >= 14:
            self.arrow((x, y1), (x, y2), colour=colour, width=width, head=8, both=True)
        else:
            self.line([x, x], [y1, y2], colour=colour, width=width)

    def compass_rose(self, x, y, radius, rings):
        """Draw north, east, south and west round `rings` circles."""
        for part in range(1, rings + 1):
            self.disc(x, y, 2 * radius * part / rings, None, edge=HAIR, rim=1)
        self.line([x - radius, x + radius], [y, y], colour=HAIR, width=1)
        self.line([x, x], [y - radius, y + radius], colour=HAIR, width=1)
        for name, right, down in (("N", 0, -1), ("E", 1, 0), ("S", 0, 1), ("W", -1, 0)):
            away = radius + 11
            self.words(x + right * away, y + down * away, name, size=NOTE, colour=QUIET, to="both")


def _written(line, growth):
    """Return a line's entry in `Canvas.written`."""
    return Written(line.text, line.box(growth), line.size * growth)


def _letters(line, growth):
    """Return a line's entry in `Canvas.drawn`."""
    x, baseline = line.begins(growth), line.baseline(growth)
    size = round(line.size * growth, 2)  # of few sizes letters are kept
    return Letters(line.text, x, baseline, size, line.colour, line.bold, line.halo)


@lru_cache(maxsize=4)
def _hatched_page(width, height, scale, fill, hatch):
    """Return the pixels of a page that is hatched all over, a number each."""
    renderer, pixels = adapter.pixel_renderer(width, height, scale)
    whole = adapter.polygon([[0, 0], [width, 0], [width, height], [0, height], [0, 0]])
    stroke = Stroke(whole, None, 0, fill=fill, hatch=hatch)
    stroke.paint(renderer, adapter.to_pixels(scale, len(pixels)))
    return pixels.view("<u4")[..., 0].copy()


class _Made(dict):
    """Things by a key, each made when it is first asked for; found faster than in a cache."""

    def __init__(self, make):
        super().__init__()
        self._make = make

    def __missing__(self, key):
        made = self[key] = self._make(key)
        return made


@cache
def _face(bold, size, scale):
    """Return the letters of one look, with a halo, and how much farther apart two stand."""
    look = bold, size, scale
    return (
        _Made(lambda character: _letter(character, *look)),
        _Made(lambda character: _thick(character, *look)),
        _Made(lambda pair: adapter.kerning(*pair, *look)),
    )


@lru_cache(maxsize=4096)
def _spaced(text, size, bold, scale):
    """Return where each letter begins, in pixels from the first, and the words' width in points."""
    letters, _, apart = _face(bold, size, scale)
    places, at, before = [], 0.0, None
    for character in text:
        if before:
            at += apart[before, character]
        places.append(round(at))
        at += letters[character][1]
        before = character
    return places, at / scale


@lru_cache(maxsize=4096)
def _coverage(text, size, bold, scale):
    """Return words as (coverage 0 … 255, left, up) in pixels."""
    letters, _, _ = _face(bold, size, scale)
    places, _ = _spaced(text, size, bold, scale)
    return _joined([letters[character][0] for character in text], places)


@lru_cache(maxsize=4096)
def _halo(text, size, bold, scale):
    """Return what is whitened round words, as `_coverage` does."""
    _, thick, _ = _face(bold, size, scale)
    places, _ = _spaced(text, size, bold, scale)
    return _joined([thick[character] for character in text], places)


def _joined(letters, places):
    """Return letters, each (coverage 0 … 255, left, up), side by side as one of them."""
    boxes = []  # coverage, left, right, up and down of those that have ink
    for (coverage, left, up), place in zip(letters, places, strict=True):
        rows, columns = coverage.shape
        if rows:
            boxes.append((coverage, left + place, left + place + columns, up, rows - up))
    if not boxes:
        return np.zeros((0, 0), np.uint8), 0, 0
    _, lefts, rights, ups, downs = zip(*boxes, strict=True)
    left, up = min(lefts), max(ups)
    joined, filled = np.zeros((up + max(downs), max(rights) - left), np.uint8), left
    for coverage, begin, end, rise, down in boxes:
        place = np.s_[up - rise : up + down, begin - left : end - left]
        joined[place] = coverage if begin >= filled else np.maximum(joined[place], coverage)
        filled = max(filled, end)
    return joined, left, up


@cache
def _in_parts(colour, opacity):
    """Return a colour as the renderers fill with it: four numbers 0 … 1."""
    return (*map(float, palette.rgb(colour) / 255), opacity)


@cache
def _ink(colour):
    """Return the four numbers of a colour that covers what lies under it."""
    return np.append(palette.rgb(colour), 255).astype(np.float32)


@lru_cache(maxsize=1024)
def _mixes(colour, ground):
    """Return the pixels that a colour makes on a ground, by coverage 0 … 255."""
    under = np.array([ground], "<u4").view(np.uint8)
    mixed = under + (_ink(colour) - under) * _SHARES[:, np.newaxis]
    return mixed.astype(np.uint8).view("<u4").reshape(-1)


@cache
def _letter(character, bold, size, scale):
    """Return a letter as (coverage 0 … 255, left, up) in pixels, and its advance in pixels."""
    bitmap, left, up, advance = adapter.letter(character, bold, size, scale)
    return (_trimmed(bitmap), left, up), advance


def _trimmed(coverage):
    """Return a coverage without its empty rim."""
    rows, columns = np.flatnonzero(coverage.any(1)), np.flatnonzero(coverage.any(0))
    if not rows.size:
        return np.zeros((0, 0), np.uint8)
    return coverage[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1].astype(np.uint8)


@cache
def _thick(character, bold, size, scale):
    """Return a letter with its halo, as (coverage 0 … 255, left, up) in pixels."""
    (coverage, left, up), _ = _letter(character, bold, size, scale)
    reach = math.ceil(HALO * scale) if coverage.size else 0
    return _grown(np.pad(coverage, reach), HALO * scale), left - reach, up + reach


def _grown(coverage, radius):
    """Return the letter thickened by a radius in pixels."""
    reach, result = math.ceil(radius), coverage.copy()
    for down in range(-reach, reach + 1):
        for right in range(-reach, reach + 1):
            weight = min(1.0, max(0.0, radius + 0.5 - math.hypot(down, right)))
            moved = np.roll(coverage, (down, right), (0, 1))
            result = np.maximum(result, (moved * weight).astype(np.uint8))
    return result


def _encoded(indices, **more):
    """Return places in the palette, one a pixel, as the bytes of a PNG file."""
    image = Image.frombuffer("P", indices.shape[::-1], indices, "raw", "P", 0, 1)
    image.putpalette(palette.png_palette().tobytes().ljust(3 * palette.NOTHING + 3, b"\0"))
    file = io.BytesIO()
    image.save(file, "png", compress_level=1, **more)
    return file.getvalue()


def _put_changed(indices, codes, before):
    """
    Put the places in the palette where pixels are not as before, a band of rows at a time.

    What a whole picture takes for a moment the system has to find anew at each step: that took
    longer than the work itself.
    """
    for top in range(0, len(codes), BAND):
        rows = slice(top, top + BAND)
        changed = codes[rows] != before[rows]
        if changed.any():
            indices[rows][changed] = _indices(codes[rows][changed])


def _indices(codes):
    """Return the nearest places in the palette of pixels, each red, green, blue from the lowest."""
    red, green, blue = (codes >> shift & 31 for shift in (3, 11, 19))
    return palette.nearest().take(red << 10 | green << 5 | blue)


def _exact_indices(codes):
    """As `_indices`, but a colour that stands in the palette keeps its own place."""
    own, order = _own_codes()
    places, wanted = _indices(codes), codes & 0xFFFFFF
    other = own[places] != wanted
    found = order[np.searchsorted(own, wanted[other], sorter=order).clip(0, len(own) - 1)]
    places[other] = np.where(own[found] == wanted[other], found, places[other])
    return places


@cache
def _own_codes():
    """Return the palette's colours as `_indices` takes them, and their order."""
    red, green, blue = palette.png_palette().T.astype(np.uint32)
    codes = red | green << 8 | blue << 16
    return codes, np.argsort(codes)
