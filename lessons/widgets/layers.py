"""
A figure's picture on the page: one image, or two of which the upper one alone changes.

While a hand moves a slider, most of a picture stays as it was. So what stays is sent once, and
each step sends what was drawn on it: an eighth of the bytes, and less than half of the work of
making them. A class of people on one Wi-Fi feels both.
"""

import ipywidgets as widgets


class Layers(widgets.Box):
    """
    The picture of a figure.

    Attributes
    ----------
    picture : Image
        The upper image: the whole picture, or what was drawn on the lower one.
    below : Image or None
        The lower image, once something that stays has come a second time.
    """

    def __init__(self):
        self.picture, self.below = _image("gk-picture"), None
        self._last = self._below = None
        super().__init__([self.picture])
        self.add_class("gk-layers")

    def show(self, canvas):
        """Show what is drawn on a canvas."""
        background = canvas.background
        if background is self._below:
            self.picture.value = canvas.overlay_png()
            return
        self.picture.value = canvas.png()  # whole: it hides the lower image, whatever that is
        if background is self._last:
            self._keep(canvas.background_png())
            self._below = background
        self._last = background

    def _keep(self, png):
        """Put an image below; the upper one stays first, so that the page builds none anew."""
        if self.below is None:
            self.below = _image("gk-below", value=png)
            self.children = (self.picture, self.below)
        else:
            self.below.value = png


def _image(name, **more):
    image = widgets.Image(format="png", **more)
    image.add_class(name)
    return image
