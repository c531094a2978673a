"""
The world's coastline for pictures of the whole Earth: Natural Earth, 1 : 110 million.

Good to some tens of kilometres. Never for navigation, and not for asking whether a site near
the shore lies on land.
"""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from geokit.checks import finite, latitudes

_FILE = Path(__file__).parent / "data" / "coastline.bin"
_CELLS = 4  # of the land mask in a degree: finer than the coastline itself


@cache
def rings() -> tuple[np.ndarray, ...]:
    """
    The coastline as closed rings, land within; the Caspian Sea is a ring as well.

    Returns
    -------
    tuple of arrays
        Each of shape (n, 2): latitude and longitude in degrees, read only. A ring may cross
        the date line, and Antarctica's goes round the pole.
    """
    numbers = np.frombuffer(_FILE.read_bytes(), "<i2")
    lengths = numbers[1 : 1 + numbers[0]]
    vertices = numbers[1 + numbers[0] :].reshape(-1, 2) / 100
    vertices.flags.writeable = False
    return tuple(np.split(vertices, np.cumsum(lengths)[:-1]))


@cache
def flat_rings(middle: float = 0.0) -> tuple[np.ndarray, ...]:
    """
    The rings for a flat map: longitudes run on over the date line, and copies fill both edges.

    Parameters
    ----------
    middle : float
        Longitude in the middle of the map, −180 to 180 degrees.

    Returns
    -------
    tuple of arrays
        As `rings`, to be clipped 180 degrees either side of the middle; Antarctica is closed
        along the pole.
    """
    flat = []
    for ring in map(_unrolled, rings()):
        for turn in (-360.0, 0.0, 360.0):
            copy = ring + np.array([0, turn])
            if copy[:, 1].min() < middle + 180 and copy[:, 1].max() > middle - 180:
                flat.append(copy)
    return tuple(flat)


def is_land(latitude: ArrayLike, longitude: ArrayLike):
    """
    Whether points lie on land, to a quarter of a degree: for shading a world map.

    Parameters
    ----------
    latitude, longitude : float or array
        In degrees; longitudes in any range. NaN is not land.

    Returns
    -------
    bool or array of bool

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees.
    """
    latitude, longitude = np.broadcast_arrays(
        latitudes(latitude), finite(longitude, "longitude") % 360
    )
    row = np.nan_to_num((latitude + 90) * _CELLS).astype(int).clip(0, 180 * _CELLS - 1)
    column = np.nan_to_num((longitude + 180) * _CELLS).astype(int) % (360 * _CELLS)
    land = _land_mask()[row, column] & ~np.isnan(latitude + longitude)
    return land if land.ndim else bool(land)


def _unrolled(ring):
    """A ring whose longitudes run on over the date line, closed along the pole it goes round."""
    longitude = np.unwrap(ring[:, 1], period=360)
    ring = np.column_stack([ring[:, 0], longitude])
    if abs(longitude[-1] - longitude[0]) < 180:
        return ring
    pole = np.copysign(90, ring[:, 0].mean())
    return np.vstack([ring, [pole, longitude[-1]], [pole, longitude[0]], ring[:1]])


@cache
def _land_mask():
    """Even-odd fill: a cell is land if rings cross its parallel an odd number of times west of it.

    Rows from the south, columns from 180 W. The scan runs over three turns of longitude, since
    an unrolled ring may lie outside −180 to 180, and is folded together at the end.
    """
    rows, columns = 180 * _CELLS, 360 * _CELLS
    crossings = np.zeros((rows, 3 * columns), int)
    edges = [np.hstack([ring[:-1], ring[1:]]) for ring in map(_unrolled, rings())]
    lat1, lon1, lat2, lon2 = np.vstack(edges).T
    # the rows whose centres lie between the two ends of each edge
    first, last = (
        np.ceil((side(lat1, lat2) + 90) * _CELLS - 0.5).astype(int)
        for side in (np.minimum, np.maximum)
    )
    edge = np.repeat(np.arange(lat1.size), last - first)
    start = np.repeat(np.cumsum(last - first) - (last - first), last - first)
    row = np.arange(edge.size) - start + first[edge]
    along = ((row + 0.5) / _CELLS - 90 - lat1[edge]) / (lat2 - lat1)[edge]
    crossing = lon1[edge] + along * (lon2 - lon1)[edge]
    column = np.ceil((crossing + 540) * _CELLS - 0.5).astype(int)
    np.add.at(crossings, (row, column), 1)
    inside = np.cumsum(crossings, axis=1) % 2 == 1
    return np.logical_xor.reduce(inside.reshape(rows, 3, columns), axis=1)
