"""
One live figure: controls above, the picture, and below it a readout in words.

A figure is a drawing and its controls. The drawing is an object with a `canvas` (lessons/canvas/
pen.py) and an `update` that takes the controls' values by name, draws what moves and returns the
readout in words, **what counts** between two stars. The readout is the picture's text alternative:
it alone must let somebody who cannot see the picture answer the lesson's question.

    def three_heights(site):
        return LiveFigure(
            lambda: ThreeHeights(),
            [SitePicker(site), Slider("azimuth", "Azimuth", "°", 0, 360, 0, step=1)]
        )

Everything runs in the one callback `LiveFigure.redraw`, which shows whatever goes wrong in the
figure's own place. The page holds back a slider's events while a picture is being made and sends
only the last, so the picture never lags behind the hand. `figure.controls["azimuth"].set(90)`
drives a figure without a browser.
"""

import asyncio
import inspect
import math
import re
import time
import weakref
from contextlib import ExitStack, contextmanager

import ipywidgets as widgets

from exercises.question import reading, wording
from exercises.sheets import scenario, session
from lessons.canvas import write
from lessons.canvas.globe import NEXT_TO_POLE
from lessons.widgets import small
from lessons.widgets.grips import Grips
from lessons.widgets.keeping import Foot
from lessons.widgets.layers import Layers
from lessons.widgets.pieces import FOLLOWERS, HtmlPiece, piece, sign, sign_held

QUIET = 0.15  # seconds without work, and the page's other cells have run
FIGURES = weakref.WeakSet()  # of this lesson: drawn anew when the screen changes
WALL = 1.5  # pixels a point, where a projector shows the figure
OWN = "my own site"
DIRECTED = ("attraction", "deflection")  # topics whose figures need a north and an east
BESIDE_POLE = " A pole has no north or east: these are of a point 11 m beside it, on your meridian."
ON_MERIDIAN = " A pole has no north or east: these are measured from the meridian of the site."
DIRECTION = re.compile(r"\b(?:north|east|south|west|azimuth|heading)\b", re.IGNORECASE)
ALONG_MERIDIAN = ("datums", "ecef", "lines", "motion", "surface")  # topics that go on at a pole
FURTHEST = 90  # degrees of latitude
MANY = 6  # controls of a row that stand closer in a narrow window


class LiveFigure(widgets.VBox):
    """
    Controls, picture and readout as one widget.

    Parameters
    ----------
    build : callable
        Returns the drawing. Called within the figure, so that its error shows here too; where it
        takes a `scale`, a wall gets a sharper picture and a saved picture a sharper one still.
    *rows : lists of Slider, Choice and SitePicker
        The controls of each row, as many as find room in a laptop's window. In a row without a
        slider labels stand beside their controls, which saves the height of a line.

    Attributes
    ----------
    controls : dict
        The controls by name.
    picture, readout : Image, HtmlPiece
        The picture is the upper one of `layers`.
    error : Exception or None
        What the last redraw stumbled over.
    """

    def __init__(self, build, *rows):
        controls = [control for row in rows for control in row]
        self.controls = {control.name: control for control in controls}
        self.layers = Layers()
        self.picture = self.layers.picture
        self.readout = HtmlPiece()
        self.error = self.drawing = None
        self._wall = False
        self._build = build
        self.readout.add_class("gk-readout")
        lines = [_row(row) for row in rows]
        self.foot = Foot(self)
        self.grips = Grips(self._dragged)
        super().__init__([*lines, self.layers, self.readout, self.grips, self.foot])
        self.add_class("gk-figure")
        FIGURES.add(self)
        FOLLOWERS.add(self)
        for control in controls:
            control.changed = self._changed
        _draw_in_turn(self)

    @property
    def topic(self):
        """Return the topic whose folder of figures this one comes from."""
        return self._build.__module__.removeprefix("lessons.figures.").partition(".")[0]

    def values(self):
        """Return the controls' values by name, as they stand."""
        return {name: control.value for name, control in self.controls.items()}

    def built(self, scale=None):
        """Return a new drawing, at a scale where one is asked for."""
        if scale and "scale" in inspect.signature(self._build).parameters:
            return self._build(scale=scale)
        return self._build()

    def fit(self):
        """Draw for the screen that is chosen: a laptop, or a wall with larger letters."""
        settings = session.open()
        self._wall = settings.screen == "wall"
        small.dressed(self, "gk-wall", self._wall)
        small.dressed(self, "gk-trainer", settings.trainer)
        self.foot.say(self._wall)
        self.drawing = None
        self.redraw()

    @staticmethod
    def fit_all():
        """Draw every figure of this lesson for the screen that is chosen."""
        for figure in list(FIGURES):
            figure.fit()

    def _changed(self, control):
        """Let sliders and choices follow a newly chosen place, then draw once."""
        if isinstance(control, SitePicker) and control.value.name != OWN:
            for other in self.controls.values():
                if isinstance(other, Slider | Choice) and other.follows:
                    other.follow(control.value)
        self.redraw()

    def _dragged(self, name, x, y, begins):
        """Follow a hand in the picture: set the controls that stand for its place, draw once."""
        canvas = self.drawing.canvas
        wanted = self.drawing.drag(name, x * canvas.width, y * canvas.height, begins)
        with _sent_last(part for control in wanted for part in self.controls[control].parts):
            for control, value in wanted.items():
                self.controls[control].take(value)
            if wanted:
                self.redraw()

    def follow_sign(self):
        """Draw anew where the decimal sign is another; what is typed and not understood stays."""
        if self.drawing and self.drawing.canvas.decimal != sign():
            self.redraw()

    def _in_sign(self):
        """Begin the drawing anew, and write the fields, where the decimal sign is another."""
        if self.drawing and self.drawing.canvas.decimal != sign():
            self.drawing = None
            for control in self.controls.values():
                control.rewrite()

    def redraw(self):
        """Draw the picture and write the readout for the controls as they stand."""
        with sign_held():
            self._redraw()

    def _redraw(self):
        self.foot.clear()
        self._in_sign()
        controls = self.controls.values()
        for control in controls:
            if isinstance(control, Slider):
                control.rest(self.values())
        try:
            for control in controls:
                if control.unfit:
                    raise ValueError(control.unfit)
            if self.drawing is None:
                self.drawing = self.built(WALL if self._wall else None)
            words = self.drawing.update(**self.values())
            words += self._at_pole(words)
            self.layers.show(self.drawing.canvas)
            self.grips.offer(self.drawing.canvas)
            troubles = [control.trouble for control in controls if control.trouble]
            self.readout.value = piece(
                "figure.html", "readout", wording.runs(words), troubles, self.drawing.canvas.title
            )
            self.error = None
            self.remove_class("gk-failed")
            self.remove_class("gk-empty")
        except ValueError as error:  # out of range, in a sentence of its own
            self._stumbled(error, str(error))
        except Exception as error:
            self._stumbled(
                error,
                f"This figure could not be drawn ({type(error).__name__}: {error}). Move a "
                "control, or open the lesson again; the answers you gave are not touched.",
            )

    def _at_pole(self, words):
        """Return what has to be said of directions in the words at a pole, else ""."""
        site = self.values().get("site")
        if not site or abs(site.latitude) <= NEXT_TO_POLE:
            return ""
        if self.topic in ALONG_MERIDIAN and DIRECTION.search(words):
            return ON_MERIDIAN
        return BESIDE_POLE if self.topic in DIRECTED else ""

    def _stumbled(self, error, sentence):
        self.error = error
        self.add_class("gk-failed")  # the picture belongs to earlier numbers
        if not self.picture.value:
            self.add_class("gk-empty")
        self.readout.value = piece("figure.html", "stumbled", sentence)


@contextmanager
def _sent_last(parts):
    """
    Send the page these fields and sliders last: whoever moves one waits for the picture.

    The decimal sign is read once for all of them.
    """
    with ExitStack() as held:
        held.enter_context(sign_held())
        for part in parts:
            held.enter_context(part.hold_sync())
        yield


_waiting: list[LiveFigure] = []  # to be drawn when nothing else is to be done
_drawing: set[asyncio.Task] = set()  # a task that nobody holds may vanish


def _draw_in_turn(figure):
    """Draw the first figure of a page at once, the others when the rest of the page stands."""
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:  # no page: driven by a test
        loop = None
    if loop is None or not _drawing:
        figure.fit()
    else:
        _waiting.append(figure)
    if loop and not _drawing:
        _drawing.add(task := loop.create_task(_draw_waiting()))
        task.add_done_callback(_drawing.discard)


async def _draw_waiting():
    """Draw what waits, one by one, so that whoever is at the page already is answered between."""
    while True:
        asked = time.monotonic()
        await asyncio.sleep(QUIET)
        if time.monotonic() - asked < 1.5 * QUIET:
            break  # nothing held us up: the cells have run
    while _waiting:
        _waiting.pop(0).fit()
        await asyncio.sleep(0.01)


class Slider:
    """
    A number on a slider with a field to type it.

    Parameters
    ----------
    name : str
        The argument of the drawing's `update`; the class of the cell is `gk-c-<name>`.
    title, unit : str
        What stands above: the name bold, unit and sign quiet.
    low, high, value : float
    step : float
        Of one arrow key: in the unit, or for `log` in powers of ten.
    decimals : int
        Of the number in the field.
    log : bool
        Even steps in the logarithm, two figures of each value; a typed number is kept whole.
    follows : str
        The site's property that this slider takes on when a place is chosen.
    year : bool
        Whether the number is a year, written without a space in its thousands.
    beyond : bool
        Whether a number beyond the slider's ends may be typed, for the drawing to judge.
    idle : callable, optional
        Of the figure's values: why this slider changes nothing now, in three or four words that
        stand in the place of the unit; "" where it does.

    What is typed and cannot be is said in `trouble`; the value stays, and with it the figure.
    """

    slides, unfit = True, ""

    def __init__(
        self,
        name,
        title,
        unit,
        low,
        high,
        value,
        *,
        step,
        decimals=0,
        log=False,
        follows="",
        year=False,
        beyond=False,
        idle=lambda values: "",
    ):
        self.name, self.low, self.high, self.decimals = name, low, high, decimals
        self.follows, self.trouble, self.changed = follows, "", lambda control: None
        self._year, self._beyond = year, beyond
        self._unit, self._idle, self.why_idle = unit, idle, ""
        self._asked = reading.plain_field(
            title, unit, name if name in ("latitude", "longitude") else "number"
        )
        self._title, self._log, self._step, self._setting = title, log, step, False
        kind = widgets.FloatLogSlider if log else widgets.FloatSlider
        ends = (math.log10(low), math.log10(high)) if log else (low, high)
        self._slider = kind(
            value=value,
            min=ends[0],
            max=ends[1],
            step=step,
            readout=False,
            readout_format=".2r" if log else f".{decimals}f",  # hidden, for names.js
            tooltip=f"{title}, {unit}",
            layout=widgets.Layout(width="auto", flex="1 1 auto"),
        )
        self._field = _field(f"{title}, {unit}")
        self.parts = [self._slider, self._field]
        self.cells = [_cell(name, title, unit, self.parts, "slid")]
        self.put(value)
        self._slider.observe(self._slid, "value")
        self._field.observe(self._typed, "value")

    def rest(self, values):
        """Stand idle where it changes nothing, and say why."""
        why = self._idle(values)
        if why == self.why_idle:
            return
        self.why_idle, (cell,) = why, self.cells
        cell.children[0].value = piece("figure.html", "label", self._title, why or self._unit)
        small.dressed(cell, "gk-idle", bool(why))
        self._slider.disabled = self._field.disabled = bool(why)

    def take(self, value):
        """Take on a value of a hand's without a redraw: within the ends, on the slider's steps."""
        inside = min(max(value, self.low), self.high)
        if self._log:
            self.put(write.two_figures(inside))
        else:
            self.put(self.low + round((inside - self.low) / self._step) * self._step)

    def put(self, value):
        """Take on a value without a redraw."""
        self.value = float(value if self._beyond else min(max(value, self.low), self.high))
        _troubled(self, self._field, "")
        self._setting = True
        try:
            self._slider.value = self.value
            self._field.value = self._written(self.value)
        finally:
            self._setting = False

    def follow(self, site):
        """Take on what belongs to a newly chosen place, without a redraw."""
        self.put(getattr(site, self.follows) or self.value)

    def rewrite(self):
        """Write the field in the decimal sign that is chosen now."""
        if not self.trouble:
            self.put(self.value)

    def set(self, value):
        """Take on a value, as a trainee would give it, and redraw."""
        with _sent_last(self.parts):
            self.put(value)
            self.changed(self)

    def _slid(self, change):
        """
        Follow the hand, and nothing else.

        A page puts the handle on the nearest step and reports that as if it had been moved; a
        typed 1234.5 or a site between two steps must stay what it is.
        """
        moved = abs(self._place(change["new"]) - self._place(self.value))
        if not self._setting and moved > 0.501 * self._step:
            self.set(write.two_figures(change["new"]) if self._log else change["new"])

    def _written(self, value):
        """Return a value as it stands in the field."""
        text = wording.number(value, self.decimals, decimal=sign())
        return text.replace(wording.THIN, "") if self._year else text

    def _place(self, value):
        """Return where a value stands on the slider, in the measure of its step."""
        return math.log10(value) if self._log else value

    def _typed(self, change):
        if self._setting:
            return
        try:
            value = _read(self._asked, change["new"])
            if not (self._beyond or self.low <= value <= self.high):
                raise ValueError(
                    f"{self._title} {wording.quoted(change['new'])} is outside this figure's "
                    f"range, {self._written(self.low)} to {self._written(self.high)}."
                )
        except ValueError as error:
            stays = f"The figure stays at {self._written(self.value)}."
            _troubled(self, self._field, f"{error} {stays}")
            self.changed(self)
        else:
            self.set(value)


class Choice:
    """
    A choice among named things.

    Parameters
    ----------
    name, title, unit : str
        As for a `Slider`.
    options : dict
        What stands on the list, and what `update` gets for it.
    chosen : str
        The one on the list at first; the first unless said.
    follows : callable, optional
        Of a newly chosen place and the name that is chosen: the name to take on there.
    """

    slides, trouble, unfit = False, "", ""

    def __init__(self, name, title, unit, options, chosen=None, *, follows=None):
        self.name, self.options, self.changed = name, options, lambda control: None
        self.follows = follows
        self._setting = False
        self._choice = widgets.Dropdown(
            options=list(options),
            value=chosen or next(iter(options)),
            tooltip=title,
            layout=widgets.Layout(width="auto", min_width="8em", flex="1 1 auto"),
        )
        self._choice.add_class("gk-choice")
        self._choice.observe(self._chosen, "value")
        self.parts = [self._choice]
        self.cells = [_cell(name, title, unit, self.parts)]

    @property
    def value(self):
        """Return what is chosen: the thing, not its name."""
        return self.options[self._choice.value]

    def follow(self, site):
        """Take on what belongs to a newly chosen place, without a redraw."""
        self.put(self.follows(site, self._choice.value))

    def rewrite(self):
        """Leave the names as they are."""

    def put(self, chosen):
        """Take on what stands on the list under a name without a redraw."""
        self._setting = True
        try:
            self._choice.value = chosen
        finally:
            self._setting = False

    def set(self, chosen):
        """Take on what stands on the list under a name, and redraw."""
        self.put(chosen)
        self.changed(self)

    def _chosen(self, change):
        if not self._setting:
            self.changed(self)


class SitePicker:
    """
    The choice of a site: a place of the scenario, or a position of one's own.

    Its value is a `scenario.Site`. With `dragged` the position stands on two sliders beside the
    choice, otherwise in two fields. Either way
    a changed position is "my own site", which keeps frame, epoch and depth of the last place.

    Parameters
    ----------
    site : scenario.Site
        The trainee's, at first; it need not be one of the scenario's places.
    furthest : float
        Latitude north and south where the figure stops: 90 for one that has a meaning at a pole.
    """

    name = "site"

    def __init__(self, site, *, dragged=False, furthest=FURTHEST):
        self.changed, self._setting = lambda control: None, False
        self._furthest, self.slides = furthest, dragged
        self._places = {**scenario.PLACES, site.name: site}
        self._choice = widgets.Dropdown(
            options=[*self._places, OWN],
            value=site.name,
            tooltip="Site",
            layout=widgets.Layout(width="auto", min_width="8em"),
        )
        self._choice.add_class("gk-choice")
        self._choice.observe(self._chosen, "value")
        if dragged:
            self._latitude, self._longitude = (
                Slider(
                    "latitude",
                    "Latitude",
                    "°, north +",
                    -furthest,
                    furthest,
                    0.0,
                    step=0.125,
                    decimals=3,
                ),
                Slider(
                    "longitude", "Longitude", "°, east +", -180, 180, 0.0, step=0.125, decimals=3
                ),
            )
            chosen = _cell("site", "Site", "", [self._choice], "place")
            self.cells = [chosen, *self._latitude.cells, *self._longitude.cells]
        else:
            self._latitude = _Degrees("latitude", furthest)
            self._longitude = _Degrees("longitude", 360.0)
            fields = [self._choice, self._latitude.field, self._longitude.field]
            self.cells = [_cell("site", "Site", "latitude, longitude °", fields, "position")]
        self._latitude.changed = self._longitude.changed = self._moved
        self.parts = [self._choice, *self._latitude.parts, *self._longitude.parts]
        self.put(site)

    @property
    def trouble(self):
        """Return what is wrong with what is typed, or ""."""
        return " ".join(filter(None, (self._latitude.trouble, self._longitude.trouble)))

    @property
    def unfit(self):
        """Return why nothing can be drawn at this position, or ""."""
        latitude = self.value.latitude
        return _too_far(latitude, self._furthest) if abs(latitude) > self._furthest else ""

    def rewrite(self):
        """Write the position in the decimal sign that is chosen now."""
        self._setting = True
        self._latitude.rewrite()
        self._longitude.rewrite()
        self._setting = False

    def put(self, site, keep=None):
        """Take on a site without a redraw; `keep` is a part of the position that stays as it is."""
        self.value, self._setting = site, True
        try:
            self._choice.value = site.name if self._places.get(site.name) == site else OWN
            for part, value in (self._latitude, site.latitude), (self._longitude, site.longitude):
                if part is not keep:
                    part.put(value)
        finally:
            self._setting = False

    def set(self, site):
        """Take on a site, or a place by its name, and redraw."""
        self.put(self._places.get(site, site))
        self.changed(self)

    def take(self, place):
        """Take on a latitude and longitude of a hand's without a redraw, to a hundredth."""
        latitude = min(max(place[0], -self._furthest), self._furthest)
        longitude = (place[1] + 180) % 360 - 180
        last = self.value
        own = (OWN, round(latitude, 2), round(longitude, 2), 0.0)
        self.put(scenario.Site(*own, last.frame, last.epoch, last.water_depth))

    def move(self, latitude, longitude):
        """Go to a position of one's own and redraw; a part in trouble keeps what is typed there."""
        last = self.value
        parts = (self._latitude, self._longitude)
        moved = (OWN, latitude, longitude, 0.0, last.frame, last.epoch, last.water_depth)
        with _sent_last(self.parts):
            self.put(
                scenario.Site(*moved), keep=next((part for part in parts if part.trouble), None)
            )
            self.changed(self)

    def _chosen(self, change):
        if self._setting:
            return
        if change["new"] in self._places:
            self.set(change["new"])
        else:
            self.move(self.value.latitude, self.value.longitude)

    def _moved(self, part):
        if self._setting:
            return
        if part.trouble:
            self.changed(self)
        else:
            self.move(self._latitude.value, self._longitude.value)


class _Degrees:
    """A field for one part of a position; it puts up with every notation surveyors type."""

    def __init__(self, name, furthest):
        self.name, self.furthest, self.trouble = name, furthest, ""
        self.changed, self._setting = lambda part: None, False
        self._asked = reading.plain_field(name, "°", name)
        self.field = _field(f"{name} in degrees")
        self.field.add_class(f"gk-c-{name}")
        self.parts = [self.field]
        self.field.observe(self._typed, "value")

    def put(self, value):
        _troubled(self, self.field, "")
        self.value, self._setting = value, True
        try:
            self.field.value = wording.number(value, 3, decimal=sign())
        finally:
            self._setting = False

    def rewrite(self):
        if not self.trouble:
            self.put(self.value)

    def _typed(self, change):
        if self._setting:
            return
        try:
            value = _read(self._asked, change["new"])
            if abs(value) > self.furthest:
                raise ValueError(_too_far(value, self.furthest))
        except ValueError as error:
            _troubled(self, self.field, str(error))
        else:
            self.put((value + 180) % 360 - 180 if self.name == "longitude" else value)
        self.changed(self)


def _too_far(latitude, furthest):
    return (
        f"The figures stop at {furthest}° of latitude, short of the poles, where east has no "
        f"meaning; {wording.number(latitude, 3)}° lies beyond."
    )


def _troubled(control, field, sentence):
    """Say what is wrong with what is typed in a control's field; nothing where it is put right."""
    control.trouble = sentence
    (field.add_class if sentence else field.remove_class)("gk-trouble")


def _read(asked, text):
    """Return what was typed, written the way the trainee chose when signing in."""
    return reading.read(asked, text, session.open().decimal)


def _field(meaning):
    field = widgets.Text(
        continuous_update=False, tooltip=meaning, layout=widgets.Layout(width="5.2em")
    )
    field.add_class("gk-number")
    return field


def _row(controls):
    """Return controls beside each other; without a slider among them they are one line high."""
    row = widgets.HBox([cell for control in controls for cell in control.cells])
    row.add_class("gk-controls")
    if not any(control.slides for control in controls):
        row.add_class("gk-one-line")
    if len(row.children) >= MANY:
        row.add_class("gk-many")
    return row


def _cell(name, title, unit, parts, kind="chosen"):
    """Return the label and the widgets of a control; `kind` says how they share the room."""
    label = HtmlPiece(piece("figure.html", "label", title, unit))
    label.add_class("gk-label")
    cell = widgets.VBox([label, widgets.HBox(parts)])
    for class_name in ("gk-control", f"gk-c-{name}", f"gk-{kind}"):
        cell.add_class(class_name)
    return cell
