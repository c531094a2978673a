"""
Shapes of the seabed made of prisms: a trench, a seamount, a shelf edge, and the root below them.

Each is what is there instead of a level seabed: rock in the place of water, or water in the place
of rock, in steps of even height. A `Body` goes into `attraction.body`. East, north and up in
metres, up from the sea's surface; a profile runs north through the middle, trench and shelf edge
run east and west.

The numbers are round ones of a textbook: rock 2 670, sea water 1 030, and 600 kg/m³ between crust
and mantle, where a root in Airy's sense hangs about 32 km deep (from memory).
"""

from typing import NamedTuple

import numpy as np

from geokit.checks import densities, depths_at_sea, positive

ROCK, SEA_WATER = 2670.0, 1030.0
CRUST_TO_MANTLE = 600.0
ROOT_DEPTH = 32_000.0  # of the root's middle
STEPS = 16  # of a slope
HALF_LENGTH = 1_000_000.0  # of a trench or a shelf edge, to either side of the profile
SHELF = 1_400_000.0  # how far a shelf reaches behind its edge


class Body(NamedTuple):
    """Prisms and their densities: what `attraction.body` takes after the points."""

    bounds: np.ndarray
    density: np.ndarray


def trench(water: float, relief: float, width: float, density: float = ROCK - SEA_WATER) -> Body:
    """
    A trench with straight walls: water in the place of rock.

    Parameters
    ----------
    water : float
        Depth of the seabed beside it, in metres.
    relief : float
        How much deeper its axis is, in metres.
    width : float
        From lip to lip, in metres.
    density : float
        Of the rock that is missing less that of water, in kg/m³.

    Returns
    -------
    Body
        Densities are negative.

    Raises
    ------
    ValueError
        If a depth is above the sea or below all trenches, or a size is not above zero.
    """
    water, relief = _one(water, "water"), _size(relief, "relief")
    depths_at_sea(water + relief)
    edges = np.linspace(0, relief, STEPS + 1)
    half = _size(width, "width") / 2 * (1 - _middles(edges) / relief)
    across = [np.full(STEPS, HALF_LENGTH), half]
    return _steps(-across[0], across[0], -half, half, -water - edges[1:], -water - edges[:-1],
                  -_contrast(density))  # fmt: skip


def seamount(water: float, relief: float, width: float, density: float = ROCK - SEA_WATER) -> Body:
    """
    A seamount, square in plan, with straight flanks: rock in the place of water.

    Parameters
    ----------
    water : float
        Depth of the seabed round it, in metres.
    relief : float
        Its height, in metres; it stays below the surface.
    width : float
        Of its foot, in metres.
    density : float
        Of rock less that of water, in kg/m³.

    Returns
    -------
    Body

    Raises
    ------
    ValueError
        If the summit would stand above the sea, or a size is not above zero.
    """
    water, relief = _below(water, relief)
    edges = np.linspace(0, relief, STEPS + 1)
    half = _size(width, "width") / 2 * (1 - _middles(edges) / relief)
    return _steps(-half, half, -half, half, edges[:-1] - water, edges[1:] - water,
                  _contrast(density))  # fmt: skip


def shelf_edge(
    water: float, relief: float, width: float, density: float = ROCK - SEA_WATER
) -> Body:
    """
    A shelf in the south that falls to the deep sea in the north: rock in the place of water.

    Parameters
    ----------
    water : float
        Depth of the deep seabed, in metres.
    relief : float
        How much higher the shelf stands, in metres; it stays below the surface.
    width : float
        Of the slope between them, in metres, whose middle is at north 0.
    density : float
        Of rock less that of water, in kg/m³.

    Returns
    -------
    Body
        The shelf reaches 1 400 km to the south and 1 000 km to either side: without a root the pull
        at its edge grows with its size, by the same amount with each doubling.

    Raises
    ------
    ValueError
        As for `seamount`.
    """
    water, relief = _below(water, relief)
    edges = np.linspace(0, relief, STEPS + 1)
    edge = _size(width, "width") * (0.5 - _middles(edges) / relief)
    far = np.full(STEPS, HALF_LENGTH)
    return _steps(-far, far, np.full(STEPS, -SHELF), edge, edges[:-1] - water, edges[1:] - water,
                  _contrast(density))  # fmt: skip


def rooted(body: Body, depth: float = ROOT_DEPTH, contrast: float = CRUST_TO_MANTLE) -> Body:
    """
    A shape with what carries it in Airy's sense: as much mass below as is missing above.

    Parameters
    ----------
    body : Body
        As the functions above return it.
    depth : float
        Of the middle of the root, in metres below the sea.
    contrast : float
        Mantle less crust, in kg/m³.

    Returns
    -------
    Body
        The same prisms, and below each one of the opposite density and the same mass: a root hangs
        lowest below the highest step, and below a trench the mantle has risen.

    Raises
    ------
    ValueError
        If the root would touch the shape itself, or a number is not above zero.
    """
    contrast = _contrast(contrast)
    thickness = np.abs(body.density) / contrast * (body.bounds[:, 5] - body.bounds[:, 4])
    middle, half = -_size(depth, "root depth"), thickness.sum() / 2
    hangs = np.sign(body.density).sum() > 0  # else what is below has risen, highest under the axis
    end = np.cumsum(thickness)
    top = middle + half - end + thickness if hangs else middle - half + end
    if top.max() > body.bounds[:, 4].min():
        raise ValueError(
            f"root depth {depth:.10g} m leaves the root no room below the seabed, for it is "
            f"{thickness.sum():.10g} m thick: was it given in kilometres?"
        )
    root = body.bounds.copy()
    root[:, 4], root[:, 5] = top - thickness, top
    below = Body(root, -np.sign(body.density) * contrast)
    return Body(*(np.concatenate(parts) for parts in zip(body, below, strict=True)))


def _steps(*sides_and_density):
    """Return a body of steps from their bounds and one density."""
    *sides, density = sides_and_density
    return Body(np.column_stack(sides), np.full(len(sides[0]), float(density)))


def _middles(edges):
    return (edges[1:] + edges[:-1]) / 2


def _below(water, relief):
    """Return depth of water and relief of what stays below the sea."""
    water, relief = _one(water, "water"), _size(relief, "relief")
    if relief > water:
        raise ValueError(
            f"relief {relief:.10g} m in {water:.10g} m of water would stand above the sea; this "
            "shape stays below it: are the two swapped?"
        )
    return water, relief


def _one(depth, name):
    return _size(depths_at_sea(depth), name)


def _size(value, name):
    return float(positive(value, name))


def _contrast(density):
    return float(positive(densities(density), "density contrast"))
