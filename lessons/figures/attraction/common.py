"""What the figures of lesson 09 share: the shapes, and what they do along a profile."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geokit import attraction, terrain

SEABED = 5000.0  # metres of water beside the shapes
TRENCH, MOUNT, SHELF = "trench", "seamount", "shelf edge"
SHAPES = {TRENCH: terrain.trench, MOUNT: terrain.seamount, SHELF: terrain.shelf_edge}
DETAIL = 55_000.0  # metres: half the shortest wave of EGM96
ACROSS = np.array([0.0, 0.2, 0.4]) * DETAIL  # lines of a square as wide; west as east


@dataclass(frozen=True)
class Shape:
    """A shape of the seabed as it stands in a figure: what, how large, and on a root or not."""

    name: str
    relief: float
    width: float
    root: bool = False
    water: float = SEABED

    @property
    def body(self):
        """Return its prisms."""
        return _body(self.name, self.water, self.relief, self.width, self.root)

    @property
    def bare(self):
        """Return its prisms without the root."""
        return _body(self.name, self.water, self.relief, self.width, False)

    def seabed(self, north):
        """Return the depth of the seabed along the profile, in metres."""
        away = np.abs(north) * 2 / self.width
        if self.name == SHELF:
            return self.water - self.relief * np.clip(0.5 - north / self.width, 0, 1)
        bump = self.relief * np.clip(1 - away, 0, 1)
        return self.water + bump if self.name == TRENCH else self.water - bump

    def deflections(self, north, gravity, up=0.0):
        """Return ξ along the profile, in arcseconds."""

        def xi(north):
            pull = attraction.body(0.0, north, up, *self.body, along="north")
            return attraction.deflection(0.0, pull, gravity)[0]

        return self._by_half(xi, north, odd=True)

    def smoothed(self, north, gravity):
        """
        Return ξ along the profile as a model sees it whose detail ends at `DETAIL`.

        The mean pull to the north over a stretch is the difference of the potential at its ends,
        divided by its length; of a seamount over a square, along the lines of `ACROSS`.
        """
        lines = ACROSS[:, np.newaxis] if self.name == MOUNT else 0.0
        ends = np.concatenate([north - DETAIL / 2, north + DETAIL / 2])

        def potential(north):
            return np.atleast_2d(attraction.body_potential(lines, north, 0.0, *self.body))

        found = self._by_half(potential, ends, odd=False)
        found = np.average(found, axis=0, weights=(1, 2, 2) if len(found) > 1 else None)
        south, north = np.split(found, 2)
        return attraction.deflection(0.0, (north - south) / DETAIL, gravity)[0]

    def lifts(self, north, gravity, up=0.0):
        """
        Return by how much the level surface at a height is lifted, in metres.

        Heights as a column give as many rows.
        """

        def lift(north):
            return attraction.body_potential(0.0, north, up, *self.body) / gravity

        return self._by_half(lift, north, odd=False)

    def _by_half(self, call, north, *, odd):
        """
        Return a call's values along the profile, half of them worked out and half mirrored.

        A trench and a seamount are alike to the north and to the south: what is odd changes sign.
        """
        if self.name == SHELF or np.ndim(north) == 0:
            return call(north)
        away, places = np.unique(np.abs(north), return_inverse=True)
        values = call(away)[..., places]
        return values * np.sign(north) if odd else values


@lru_cache(maxsize=256)
def _body(name, water, relief, width, root):
    shape = SHAPES[name](water, relief, width)
    return terrain.rooted(shape) if root else shape
