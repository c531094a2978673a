"""A page to print on what geodesy does at the site: offered, made and handed to the browser."""

import base64

import ipywidgets as widgets

from exercises.pages import pages
from exercises.sheets import session
from exercises.trainer import site_summary
from geokit import plates
from lessons.widgets.pieces import HtmlPiece, piece, sign

UNNAMED = "plate: not named"


class Summary(widgets.HBox):
    """
    A choice of plate and a button; what it makes is a link to save.

    Drive it without a browser: ``offer().make()``.
    """

    def __init__(self):
        names = [(f"plate: {name}", code) for code, name in plates.NAMES.items()]
        self.plate = widgets.Dropdown(options=[(UNNAMED, ""), *names], value="", tooltip="plate")
        self.plate.add_class("gk-choice")
        self.button = widgets.Button(
            description="Page on my site", layout={"width": "auto", "height": "auto"}
        )
        self.button.add_class("gk-button")
        self.link = HtmlPiece()
        super().__init__([self.plate, self.button, self.link])
        self.add_class("gk-step-row")
        self.button.on_click(lambda _: self.make())

    def make(self):
        """Make the page for the site that is chosen on the start page."""
        site = session.open().site
        try:
            page = pages.in_sign(site_summary.page(site, self.plate.value), sign())
        except (ValueError, OSError) as error:
            self.link.value = str(error)
            return
        data = base64.b64encode(page.encode("utf-8")).decode("ascii")
        words = f"Save the page on {site.name}"
        self.link.value = piece("box.html", "download", "site.html", "text/html", data, words)


def offer():
    """Return the row that offers the page."""
    return Summary()
