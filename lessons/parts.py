"""The small widgets that the course's own pages are made of."""

import contextlib

import ipywidgets as widgets

from exercises import session

SCREENS = {"laptop": "Large type for the wall", "wall": "Type for the laptop"}
"""What the button for the type says, by the screen that is chosen."""


class Screen(widgets.HBox):
    """
    The one button for large type, on a page without figures.

    Drive it without a browser: ``panel.screen.turn()``.
    """

    def __init__(self, page):
        self._page = page
        self.button = button("gk-screen", "", lambda _: self.turn())
        self.button.remove_class("gk-button")
        self.button.add_class("gk-small-button")
        super().__init__([self.button])
        self.add_class("gk-screen-row")
        self.fit()

    def turn(self):
        """Change between laptop and wall, for this page and those opened next."""
        screen = "laptop" if self.screen == "wall" else "wall"
        with contextlib.suppress(OSError):  # not kept, as the page says; it is followed here
            session.choose_screen(screen)
        self.fit(screen)

    def fit(self, screen=None):
        """Show the page for the screen that is chosen."""
        self.screen = screen or session.open().screen
        self.button.description = SCREENS[self.screen]
        wall = self.screen == "wall"
        (self._page.add_class if wall else self._page.remove_class)("gk-wall")


def button(name, label, act):
    """Return a button; `act` is called with it when it is pressed."""
    pressed = widgets.Button(description=label, layout={"width": "auto", "height": "auto"})
    pressed.add_class("gk-button")
    pressed.add_class(name)
    pressed.on_click(act)
    return pressed
