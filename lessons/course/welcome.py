"""The start page's panel: who you are, decimal sign, site, answer file; then the map of the course.

Whoever has a code signs in with it; for somebody who studies alone any name does.

What the panel shows is read from the disk. While it is on screen it looks there again every few
seconds, because lessons run in other tabs and other kernels.
"""

import asyncio
import base64
import contextlib

import ipywidgets as widgets

from exercises.pages.pages import stressed
from exercises.question import reading, wording
from exercises.sheets import scenario, session, sheet
from exercises.trainee import progress, review
from lessons.course import coursemap
from lessons.widgets import small
from lessons.widgets.pieces import piece
from lessons.widgets.small import row, soon, text

OWN = "our own job: type it"
LOOK_AGAIN = 3  # seconds
MOST_HABITS = 3
BY_CODE = ("T07", "Sign in", "Studying alone? Any name will do")
BY_NAME = ("any name", "Begin", "I have a code")
"""How somebody signs in: what stands in the field, on its button, on the way to the other."""
COPY, HAND_IN = "Save a copy of my answers", "Prepare my file to hand in"
SOMEBODY_ELSE = "Somebody else?"
NOTES = ("I am the trainer: show my notes", "Hide the trainer's notes")


class Welcome(widgets.VBox):
    """
    Four steps in one panel, each with its state always in sight, and the map below them.

    Drive it without a browser: ``panel.code.value = "T07"``, ``panel.sign_in()``.
    """

    def __init__(self):
        self.previous, self.named, self.asking = None, False, False
        self.message = text("messages")
        steps = widgets.HBox(
            [_column(self._who()), _column(self._decimal()), _column(self._site())]
        )
        steps.add_class("gk-steps")
        self.screen = small.Screen(self)
        self.notes = small.button("trainers", "", self._safely(self.turn_notes), "small-button")
        if not session.hosted():
            self.screen.children = (self.notes, *self.screen.children)
        rows = [self.screen, steps, self.own_row, self.message, *self._file(), *self._course()]
        super().__init__(rows)
        self.stamp = _stamp()
        self.add_class("gk-box")
        self.add_class("gk-welcome")
        self.refresh()

    # Building ------------------------------------------------------------------------

    def _who(self):
        self.code = widgets.Text(placeholder="T07", tooltip="your trainee code")
        self.code.add_class("gk-in-code")
        self.code.on_msg(self._submitted)
        self.undo = small.button("undo", "Wrong code: take it back", self._safely(self.take_back))
        self.who = text("step")
        self.enter = small.button("sign-in", "", lambda _: soon(self._safely(self.sign_in)))
        self.way = row("step-row", self.code, self.enter)
        self.other = small.button("other", "", self._safely(self.turn_way))
        if session.hosted():
            return [self.who, text("sign-out", piece("start.html", "sign_out"))]
        return [
            self.who,
            self.way,
            row("step-row", self.other, self.undo),
        ]

    def _decimal(self):
        self.decimal = text("step")
        point = small.button("point", "12.5", self._safely(lambda: self.choose_decimal(".")))
        comma = small.button("comma", "12,5", self._safely(lambda: self.choose_decimal(",")))
        return [self.decimal, row("step-row", point, comma)]

    def _site(self):
        self.site = text("step")
        names = [(f"{name}: {about}", name) for name, about in scenario.ABOUT.items()]
        self.places = widgets.Dropdown(
            options=[*names, (OWN, OWN)], value=None, tooltip="your site"
        )
        self.places.add_class("gk-places")
        self._chosen = self._safely(self.choose_place)
        self.places.observe(self._chosen, "value")
        self.own = {
            "name": widgets.Text(placeholder="name", tooltip="name of the site"),
            "latitude": widgets.Text(placeholder="latitude, 54 12 30.5 N", tooltip="latitude"),
            "longitude": widgets.Text(placeholder="longitude, 2 07 46 E", tooltip="longitude"),
            "water_depth": widgets.Text(placeholder="water depth, m", tooltip="water depth, m"),
        }
        keep = small.button(
            "keep-site", "Use this site", lambda _: soon(self._safely(self.choose_own))
        )
        self.own_row = row("step-row", *self.own.values(), keep)
        return [self.site, row("step-row", self.places)]

    def _file(self):
        self.file = text("step")
        self.file.add_class("gk-file")
        self.link = text("link")
        self.prepare = small.button("hand-in", "", self._safely(self.hand_in))
        line = widgets.HBox([self.file, row("step-row", self.prepare, self.link)])
        line.add_class("gk-file-line")
        return [line]

    def _course(self):
        self.next, self.map, self.habits = (text(name) for name in ("next", "course", "habits"))
        again = small.button("refresh", "Look again", self._safely(self.refresh))
        line = widgets.HBox([self.next, again])
        line.add_class("gk-next-line")
        return [line, self.map, self.habits]

    # What the trainee does -------------------------------------------------------------

    def sign_in(self):
        """Sign in under the code or the name typed; who it was before can be taken back."""
        before = session.open().trainee
        settings = (session.sign_in_alone if self.named else session.sign_in)(self.code.value)
        self.previous = before if before != settings.trainee else None
        self.code.value, self.asking = "", False
        self.refresh()

    def take_back(self):
        """Undo the last sign-in: the sheet says so, and nobody is signed in."""
        session.undo_sign_in()
        self.previous = None
        self.refresh()

    def turn_way(self):
        """Ask for somebody else, or change between a code and a name; what is typed stays."""
        if session.open().trainee and not self.asking:
            self.asking = True
        else:
            self.named = not self.named
        self.refresh()

    def turn_notes(self):
        """Show the trainer's notes in the lessons, or hide them again."""
        session.choose_notes(not session.open().trainer)
        self.refresh()

    def choose_decimal(self, sign):
        """Keep the decimal sign."""
        session.choose_decimal(sign)
        self.refresh()

    def choose_place(self):
        """Take a place of the scenario, or open the row to type the room's own job."""
        if self.places.value in scenario.PLACES:
            session.choose_site(scenario.PLACES[self.places.value])
            self.refresh()
        else:
            self.own_row.layout.display = None

    def choose_own(self):
        """Use the room's own job, typed as surveyors write it."""
        typed = (self.own[name].value for name in ("latitude", "longitude", "water_depth"))
        read = reading.site_fields(*typed, session.open().decimal)
        home = scenario.HOME
        name = self.own["name"].value
        session.choose_site(session.site(name, **read, frame=home.frame, epoch=home.epoch))
        self.refresh()

    def hand_in(self):
        """Offer the sheet as a download: a browser can fetch nothing outside the course folder."""
        name, contents = session.hand_in()
        data = base64.b64encode(contents).decode("ascii")
        kind = "application/octet-stream"
        self.link.value = piece("box.html", "download", name, kind, data, f"Save {name}")
        self.refresh()

    # What it shows ---------------------------------------------------------------------

    def refresh(self):
        """Show everything as it stands on disk."""
        settings = session.open()
        self.screen.fit()
        self.message.value = ""
        self._show_who(settings)
        chosen = {".": "You write **12.5**.", ",": "You write **12,5**."}
        decimal = chosen.get(settings.decimal, "**Point or comma?**")
        self.decimal.value = _step(2, stressed(decimal), settings.decimal)
        example = wording.in_sign("latitude, 54 12 30.5 N", settings.decimal)
        self.own["latitude"].placeholder = example
        self._show_site(settings.site)
        self._show_course(settings)
        cut = sheet.cut(settings.sheet) if settings.sheet else ""
        trouble = settings.trouble or session.writable() or cut
        if trouble:
            self._say(trouble)

    def _show_who(self, settings):
        """Show who is signed in, and the way to sign in: by a code, or by any name."""
        who = stressed("**Your name?**" if self.named else "**Your code?**")
        if settings.trainee:
            who = piece("start.html", "who", settings.name or settings.trainee)
        more = piece("start.html", "under", settings.trainee) if settings.name else ""
        self.who.value = _step(1, who, settings.trainee, more)
        way = BY_NAME if self.named else BY_CODE
        self.code.placeholder, self.enter.description, self.other.description = way
        self.code.tooltip = "any name" if self.named else "your trainee code"
        small.dressed(self.way, "gk-by-name", self.named)
        known = settings.trainee and not self.asking
        self.way.layout.display = "none" if known else None
        if known:
            self.other.description = SOMEBODY_ELSE
        self.undo.description = f"Wrong {'name' if settings.name else 'code'}: take it back"
        self.notes.description = NOTES[settings.trainer]

    def _show_course(self, settings):
        """Show what the sheet holds: the file's state, the map, what to do next."""
        found = progress.marked(settings)
        standing, file = progress.of(found), progress.hand_in(settings, found)
        self.held = review.session(found)
        pages = coursemap.pages()
        fresh = settings.trainee and not file.answers  # a wrong code is easily undone
        self.undo.layout.display = None if self.previous or fresh else "none"
        self.file.value = _step(4, _file_words(settings, file), file.complete and settings.trainee)
        self.prepare.description = COPY if file.here or file.alone else HAND_IN
        step = progress.next_step(standing, pages, ready=self.held.ready, file=file)
        self.next.value = piece("start.html", "next", pages.get(step.where), step.words)
        done = progress.am_i_done(standing, pages, file)
        rows = coursemap.rows(pages, standing, self.held)
        self.map.value = piece("start.html", "map", done, rows)
        self.habits.value = _habits(standing)
        if said := progress.troubles(standing):
            self._say(f"Not all of your answer file could be read. {said}")

    def look(self):
        """Show the course again where sheet or settings changed since it was last shown."""
        stamp = _stamp()
        if stamp != self.stamp:
            changed, self.stamp = stamp[0] != self.stamp[0], stamp
            if changed:  # somebody signed in elsewhere, or chose another site
                self.refresh()
            else:
                self._show_course(stamp[0])

    async def follow(self):
        """Look again every few seconds, for as long as the kernel runs."""
        while True:
            await asyncio.sleep(LOOK_AGAIN)
            self._safely(self.look)()

    def _show_site(self, site):
        where = (
            f"{wording.dms(site.latitude, 0, 'latitude')}, "
            f"{wording.dms(site.longitude, 0, 'longitude')}, "
            f"{wording.number(site.water_depth, 0)}\u00a0m of water"
        )
        name, where = piece("start.html", "site", site.name), piece("start.html", "where", where)
        self.site.value = _step(3, name, True, where)
        known = scenario.PLACES.get(site.name) == site
        with self._quietly():
            self.places.value = site.name if known else OWN
        self.own_row.layout.display = None if self.places.value == OWN else "none"

    @contextlib.contextmanager
    def _quietly(self):
        """Set the list of places without that counting as a choice."""
        self.places.unobserve(self._chosen, "value")
        yield
        self.places.observe(self._chosen, "value")

    def _say(self, sentence):
        self.message.value = piece("box.html", "notice", "unread", sentence)

    def _submitted(self, _, content, __):
        if content.get("event") == "submit":
            soon(self._safely(self.sign_in))

    def _safely(self, act):
        def acted(*_):
            try:
                act()
            except (ValueError, OSError) as error:
                self._say(str(error))

        return acted


_following = None  # the task of the panel made last: one is on screen


def panel():
    """Return the start page's panel; it follows the disk where a page is there to show it."""
    global _following  # noqa: PLW0603 - one panel a kernel
    made = Welcome()
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:  # driven by a test
        return made
    if _following:
        _following.cancel()
    _following = loop.create_task(made.follow())
    return made


def _stamp():
    """Return what changes when there is something new to show: the settings, the sheet's state."""
    settings = session.open()
    path = settings.sheet
    try:
        state = path.stat() if path else None
    except OSError:
        state = None
    return settings, state and (state.st_mtime_ns, state.st_size)


def _file_words(settings, file):
    """Return what is in the file, whether it was prepared since, and where it lies."""
    if settings.sheet is None:
        return stressed("**Your answer file** is made when you sign in.")
    where = settings.sheet.name if file.here else str(settings.sheet)
    return piece("start.html", "file", _answers(file.answers), _state(file), where)


def _state(file):
    """Return whether the file was prepared, and whether there is more in it since."""
    if file.here:
        return "your trainer has it, there is nothing to hand in"
    if not file.prepared:
        return "no copy saved yet" if file.alone else "nothing prepared yet to hand in"
    done = "saved a copy" if file.alone else "prepared it"
    if file.since:
        return f"{_answers(file.since)} since you {done}"
    return f"{'a copy saved' if file.alone else 'prepared'} with everything in it"


def _answers(count):
    return "1 answer" if count == 1 else f"{count} answers"


def _habits(standing):
    if not standing.habits:
        return ""
    named = [f"{name} ({count} times)" for name, count in standing.habits]
    return f"Slips you made more than once: {'; '.join(named[:MOST_HABITS])}."


def _step(number, words, done, more=""):
    return piece("start.html", "step", number, words, done, more)


def _column(children):
    column = widgets.VBox(list(children))
    column.add_class("gk-step-column")
    return column
