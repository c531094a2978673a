"""The start page's panel: who you are, how you write decimals, your site, your answer file."""

import base64
import contextlib
import html

import ipywidgets as widgets

from exercises import scenario, session, sheet, wording
from exercises.answer_box import ICONS
from geokit import angles

OWN = "our own job: type it"


class Welcome(widgets.VBox):
    """
    Four steps in one panel, each with its state always in sight.

    Drive it without a browser: ``panel.code.value = "T07"``, ``panel.sign_in()``.
    """

    def __init__(self):
        self.previous = None
        self.message = _words("gk-messages")
        super().__init__([*self._who(), *self._decimal(), *self._site(), *self._file()])
        self.add_class("gk-box")
        self.add_class("gk-welcome")
        self.refresh()

    # Building ------------------------------------------------------------------------

    def _who(self):
        self.code = widgets.Text(placeholder="T07", tooltip="your trainee code")
        self.code.add_class("gk-in-code")
        self.code.on_msg(self._submitted)
        self.undo = _button("gk-undo", "Wrong code: take it back", self._safely(self.take_back))
        row = _row(
            [self.code, _button("gk-sign-in", "Sign in", self._safely(self.sign_in)), self.undo]
        )
        self.who = _words("gk-step")
        return [self.who, row, self.message]

    def _decimal(self):
        self.decimal = _words("gk-step")
        point = _button("gk-point", "12.5", self._safely(lambda: self.choose_decimal(".")))
        comma = _button("gk-comma", "12,5", self._safely(lambda: self.choose_decimal(",")))
        return [self.decimal, _row([point, comma])]

    def _site(self):
        self.site = _words("gk-step")
        names = [(f"{name}: {about}", name) for name, about in scenario.ABOUT.items()]
        self.places = widgets.Dropdown(options=[*names, (OWN, OWN)], value=None)
        self.places.add_class("gk-places")
        self._chosen = self._safely(self.choose_place)
        self.places.observe(self._chosen, "value")
        self.own = {
            "name": widgets.Text(placeholder="name", tooltip="name of the site"),
            "latitude": widgets.Text(placeholder="latitude, 54 12 30.5 N", tooltip="latitude"),
            "longitude": widgets.Text(placeholder="longitude, 2 07 46 E", tooltip="longitude"),
            "water_depth": widgets.Text(placeholder="water depth, m", tooltip="water depth, m"),
        }
        keep = _button("gk-keep-site", "Use this site", self._safely(self.choose_own))
        self.own_row = _row([*self.own.values(), keep])
        return [self.site, _row([self.places]), self.own_row]

    def _file(self):
        self.file = _words("gk-step")
        self.link = _words("gk-link")
        button = _button("gk-hand-in", "Prepare my file to hand in", self._safely(self.hand_in))
        return [self.file, _row([button, self.link])]

    # What the trainee does -------------------------------------------------------------

    def sign_in(self):
        """Sign in under the code typed; the code before can be taken back."""
        before = session.open().trainee
        settings = session.sign_in(self.code.value)
        self.previous = before if before != settings.trainee else None
        self.code.value = ""
        self.refresh()

    def take_back(self):
        """Undo the last sign-in: the sheet says so, and the one before is signed in again."""
        session.undo_sign_in(self.previous)
        self.previous = None
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
        decimal = session.open().decimal
        read = {
            "latitude": angles.read(self.own["latitude"].value, "latitude", decimal),
            "longitude": angles.read(self.own["longitude"].value, "longitude", decimal),
            "water_depth": angles.read_number(self.own["water_depth"].value or "0", decimal),
        }
        home = scenario.HOME
        name = self.own["name"].value
        session.choose_site(session.site(name, **read, frame=home.frame, epoch=home.epoch))
        self.refresh()

    def hand_in(self):
        """Offer the sheet as a download: a browser can fetch nothing outside the course folder."""
        name, contents = session.hand_in()
        data = base64.b64encode(contents).decode("ascii")
        self.link.value = (
            f'<a class="gk-download" download="{name}" '
            f'href="data:application/octet-stream;base64,{data}">Save {name}</a>'
        )
        self.refresh()

    # What it shows ---------------------------------------------------------------------

    def refresh(self):
        """Show everything as it stands on disk."""
        settings = session.open()
        self.message.value = ""
        trouble = settings.trouble or session.writable()
        if trouble:
            self._say(trouble)
        self.undo.layout.display = None if self.previous or self._fresh(settings) else "none"
        who = f"You are <b>{settings.trainee}</b>." if settings.trainee else "Type your code."
        self.who.value = _step(1, "Who is answering", who, settings.trainee)
        chosen = {".": "You write <b>12.5</b>.", ",": "You write <b>12,5</b>."}
        decimal = chosen.get(settings.decimal, "Point or comma?")
        self.decimal.value = _step(2, "Your decimal sign", decimal, settings.decimal)
        self._show_site(settings.site)
        self.file.value = _step(4, "Your answer file", *_standing(settings))

    def _fresh(self, settings):
        """Return whether the sheet holds nothing but sign-ins: a wrong code is easily undone."""
        path = settings.sheet
        if path is None or not path.exists():
            return False
        return all(event["event"].startswith("signed") for event in sheet.read(path).events)

    def _show_site(self, site):
        where = (
            f"<b>{html.escape(site.name)}</b>, "
            f"{wording.dms(site.latitude, 0, 'latitude')}, "
            f"{wording.dms(site.longitude, 0, 'longitude')}, "
            f"water depth {wording.number(site.water_depth, 0)}\u00a0m. All figures follow it."
        )
        self.site.value = _step(3, "Your site", where, True)
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
        self.message.value = (
            f'<div class="gk-verdict gk-unread" role="status">{ICONS["unread"]}'
            f"<div>{html.escape(sentence)}</div></div>"
        )

    def _submitted(self, _, content, __):
        if content.get("event") == "submit":
            self._safely(self.sign_in)()

    def _safely(self, act):
        def acted(*_):
            try:
                act()
            except (ValueError, OSError) as error:
                self._say(str(error))

        return acted


def panel():
    """Return the start page's panel."""
    return Welcome()


def _standing(settings):
    """Return what the sheet holds, where it lies, whether it was prepared since; and if done."""
    path = settings.sheet
    if path is None:
        return "It is made when you sign in.", False
    events = sheet.read(path).events if path.exists() else []
    answers = [e for e in events if e["event"] in ("answered", "said first")]
    prepared = settings.prepared.get(settings.trainee, "")
    since = sum(e["time"] > prepared for e in answers)
    state = (
        "nothing prepared yet to hand in"
        if not prepared
        else f"{since} answers since you prepared it"
        if since
        else "prepared with everything in it"
    )
    where = f"<code>{html.escape(str(path))}</code>"
    return f"{where}<br><b>{len(answers)} answers kept</b>; {state}.", bool(prepared and not since)


def _step(number, title, words, done):
    icon = f'<span class="gk-done">{ICONS["kept"]}</span>' if done else ""
    return (
        f'<div class="gk-step-line"><span class="gk-step-number">{number}</span>'
        f"<span><b>{title}</b> {icon}<br>{words}</span></div>"
    )


def _words(name):
    widget = widgets.HTML()
    widget.add_class(name)
    return widget


def _row(children):
    row = widgets.HBox(list(children))
    row.add_class("gk-step-row")
    return row


def _button(name, label, act):
    button = widgets.Button(description=label, layout={"width": "auto", "height": "auto"})
    button.add_class("gk-button")
    button.add_class(name)
    button.on_click(act)
    return button
