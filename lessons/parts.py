"""The small widgets that the course's own pages are made of."""

import ipywidgets as widgets


def words(name):
    """Return a place for words, by the name of its style."""
    widget = widgets.HTML()
    widget.add_class(name)
    return widget


def row(children):
    """Return widgets side by side."""
    box = widgets.HBox(list(children))
    box.add_class("gk-step-row")
    return box


def button(name, label, act):
    """Return a button; `act` is called with it when it is pressed."""
    pressed = widgets.Button(description=label, layout={"width": "auto", "height": "auto"})
    pressed.add_class("gk-button")
    pressed.add_class(name)
    pressed.on_click(act)
    return pressed
