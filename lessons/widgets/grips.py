"""
What is drawn in a picture is taken and dragged in the picture.

A drawing says with `canvas.grip` and `canvas.grip_area` what can be taken, as it draws it, and has
a method that turns a place on the canvas into values of the figure's controls:

    def drag(self, name, x, y, begins):
        return {"site": (latitude, longitude)}

The page's part is .jupyter/labextensions/geodesy-grips/grips.js. The sliders stay: they are what
keys move, and they follow the hand.
"""

import json
import re

import ipywidgets as widgets

SAID = re.compile(r"\d{1,9} (take|drag) ([a-z]{1,20}) (-?\d{1,3}\.\d{4}) (-?\d{1,3}\.\d{4})")


class Grips(widgets.Text):
    """
    The hidden field between a picture and Python.

    `dragged(name, x, y, begins)` is called with a place in shares of the picture's width and
    height; `begins` where a hand has just taken hold. What is no such line is not looked at.
    """

    def __init__(self, dragged):
        super().__init__(continuous_update=True)
        self.add_class("gk-grips")
        self._dragged, self._offered = dragged, frozenset()
        self.observe(self._said, "value")

    def offer(self, canvas):
        """Tell the page what can be taken in the picture as it is drawn now."""
        self._offered = frozenset(grip.name for grip in canvas.grips)
        shares = [grip.in_shares(canvas.width, canvas.height) for grip in canvas.grips]
        self.placeholder = json.dumps(shares) if shares else ""

    def _said(self, change):
        said = SAID.fullmatch(change["new"])
        if said and said[2] in self._offered:
            self._dragged(said[2], float(said[3]), float(said[4]), said[1] == "take")
