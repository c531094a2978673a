"""
What stands under a figure: its picture to keep, and large type for the wall.

A picture is saved as it stands, with a line below it that says where it comes from. Nothing is
written to a disk: the browser saves what it is handed, when it is asked to.
"""

import base64
import io
import json
import re
from datetime import date
from pathlib import Path

import ipywidgets as widgets
from PIL import Image

from exercises.sheets import session
from lessons.canvas import write
from lessons.canvas.palette import HAIR, INK
from lessons.canvas.pen import LEFT, NOTE, Canvas
from lessons.widgets import small
from lessons.widgets.pieces import HtmlPiece, piece

LESSONS = Path(__file__).parents[1]
MODELS = {  # what the numbers of a topic's pictures come from, where it is a model
    **dict.fromkeys(("surface", "geoid", "heights", "deflection"), "EGM96"),
    "motion": "ITRF2020 plate motion model",
}
WARNING = "Training only; vessel, client and names of places are invented"
SHARP = 2.0  # pixels a point in a saved picture
NOTE_LINE = 20  # points
SMALL = "small-button"


class Foot(widgets.HBox):
    """
    The row under a figure.

    Drive it without a browser: ``figure.foot.save()``, ``figure.foot.turn_screen()``.
    """

    def __init__(self, figure):
        self._figure = figure
        self.links = HtmlPiece()
        self.keep = small.button("keep", "Save picture", lambda _: self.save(), SMALL)
        self.screen = small.button("screen", "", lambda _: self.turn_screen(), SMALL)
        super().__init__([self.keep, self.links, self.screen])
        self.add_class("gk-figure-foot")

    def say(self, wall):
        """Say what the button does next."""
        self.screen.description = small.SCREENS["wall" if wall else "laptop"]

    def clear(self):
        """Take away what was offered for another state of the figure."""
        if self.links.value:
            self.links.value = ""

    def save(self):
        """Offer the picture as it stands, as PNG and as SVG."""
        self.links.value = "drawing …"
        try:
            made = files(self._figure)
        except Exception as error:
            self.links.value = f"The picture could not be made: {error}"
            return
        links = [(name, kind, base64.b64encode(c).decode("ascii")) for name, kind, c in made]
        self.links.value = piece("figure.html", "pictures", links)

    def turn_screen(self):
        """Change between laptop and wall, for every figure of this lesson and those opened next."""
        try:
            session.choose_screen("laptop" if session.open().screen == "wall" else "wall")
        except OSError as error:
            self.links.value = f"The choice is not kept: {error.strerror or error}."
            return
        self._figure.fit_all()


def files(figure):
    """Return (name, kind, content) of the picture as PNG and as SVG, as the controls stand."""
    from lessons.canvas import vector  # noqa: PLC0415 - half a second, when it is asked for

    drawing = figure.built(SHARP)
    drawing.update(**figure.values())
    canvas = drawing.canvas
    strip = _strip(source_line(figure), canvas.width)
    name = re.sub(r"\W+", "_", canvas.title.lower()).strip("_") or "picture"
    name = f"{_lesson(figure)[0]}_{name}".strip("_")
    text = vector.svg([canvas, strip], canvas.title)
    return [
        (f"{name}.png", "image/png", _joined(canvas, strip)),
        (f"{name}.svg", "image/svg+xml", text.encode("utf-8")),
    ]


def source_line(figure):
    """Return where a picture comes from: lesson, site, model, warning, date."""
    site = figure.values().get("site")
    number, title = _lesson(figure)
    parts = [
        f"Lesson {number}, {title}" if number else "",
        f"{site.name}, {write.position(site.latitude, site.longitude)}" if site else "",
        f"Model {MODELS[figure.topic]}" if figure.topic in MODELS else "",
        WARNING,
        date.today().isoformat(),
    ]
    return " · ".join(part for part in parts if part)


def _lesson(figure):
    """Return number and title of the figure's lesson, as its notebook gives them."""
    for path in LESSONS.glob(f"[0-9][0-9]_{figure.topic}.ipynb"):
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        heading = "".join(cells[0]["source"]).partition("\n")[0]
        if match := re.match(r"# (\d\d) (.+)", heading):
            return match[1], match[2].strip()
        return path.name[:2], figure.topic
    return "", ""


def _strip(text, width):
    """Return a canvas with the source line, in as many rows as it needs."""
    probe, rows = Canvas(width=width, height=NOTE_LINE), [""]
    step = NOTE_LINE * probe.letters
    for word in text.split(" "):
        longer = f"{rows[-1]} {word}".strip()
        if probe.width_of(longer, NOTE) <= width - 2 * LEFT:
            rows[-1] = longer
        else:
            rows.append(word)
    strip = Canvas(scale=SHARP, width=width, height=round(step * len(rows)) + 16)
    strip.rule(4, LEFT, width - LEFT, HAIR)
    for row, line in enumerate(rows):
        strip.note(LEFT, 18 + step * row, line, colour=INK)
    strip.keep()
    return strip


def _joined(*canvases):
    """Return canvases below each other as the bytes of one PNG file."""
    pictures = [Image.open(io.BytesIO(canvas.png())).convert("RGB") for canvas in canvases]
    size = (pictures[0].width, sum(picture.height for picture in pictures))
    page, top = Image.new("RGB", size, "white"), 0
    for picture in pictures:
        page.paste(picture, (0, top))
        top += picture.height
    file = io.BytesIO()
    page.save(file, "png")
    return file.getvalue()
