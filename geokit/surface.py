"""
How far the Earth's surface bends away from a plane, a chord and a horizon.

All on a sphere whose radius the caller chooses: `Ellipsoid.gaussian_radius` at the site fits
best, `Ellipsoid.azimuth_radius` along one line. Lengths in metres. The refraction coefficient κ
is the Earth's radius over that of the light ray; 0.13 is a convention, and over water κ is not
steady (common practice, no source).
"""

import numpy as np
from numpy.typing import ArrayLike

from geokit.checks import finite, not_negative, plain, positive, some, together


def level_drop(distance: ArrayLike, radius: ArrayLike, refraction: ArrayLike):
    """
    How far the Earth's surface lies below a level line of sight.

    Parameters
    ----------
    distance : float or array
        From the instrument, in metres.
    radius : float or array
        Of the Earth at the site, in metres.
    refraction : float or array
        Coefficient κ, without unit; 0 for a straight line of sight.

    Returns
    -------
    float or array
        (1 − κ)s²/2R, in metres, positive downwards. Without refraction it is too small by
        5s²/12R² of itself, which is 0.1 % at 300 km; the exact drop below a plane is
        R/cos(s/R) − R.

    Raises
    ------
    ValueError
        If a distance is negative or more than half way round the sphere, a radius is not
        positive, or κ is not below 1.
    """
    s, r = _on_sphere(distance, radius)
    return plain((1 - _refraction(refraction)) * s**2 / (2 * r))


def arc_minus_chord(arc: ArrayLike, radius: ArrayLike):
    """
    How much longer the way along the surface is than the straight line through the Earth.

    Parameters
    ----------
    arc : float or array
        Distance along the surface, in metres.
    radius : float or array
        In metres.

    Returns
    -------
    float or array
        s − 2R sin(s/2R), in metres, exact; about s³/24R².

    Raises
    ------
    ValueError
        If an arc is negative or more than half way round the sphere, or a radius is not positive.
    """
    s, r = _on_sphere(arc, radius, "arc")
    return plain(2 * r * _less_its_sine(s / (2 * r)))


def plane_error(distance: ArrayLike, radius: ArrayLike):
    """
    How much too short a distance comes out when its ends are put on a plane.

    The plane touches the sphere at the first end, as local east and north do; the second end is
    dropped onto it at a right angle.

    Parameters
    ----------
    distance : float or array
        Along the surface, in metres.
    radius : float or array
        In metres.

    Returns
    -------
    float or array
        s − R sin(s/R), in metres, exact; about s³/6R².

    Raises
    ------
    ValueError
        If a distance is negative or more than half way round the sphere, or a radius is not
        positive.
    """
    s, r = _on_sphere(distance, radius)
    return plain(r * _less_its_sine(s / r))


def to_ellipsoid(distance: ArrayLike, height: ArrayLike, radius: ArrayLike):
    """
    A horizontal distance reduced from the height where it was measured to the ellipsoid.

    Parameters
    ----------
    distance : float or array
        Horizontal, measured at one height, in metres.
    height : float or array
        Above the ellipsoid, h = H + N, not above the geoid, in metres; negative below it. Any
        height above the Earth's centre is accepted, though a line at sea or ashore lies
        between −11 000 and 9 000.
    radius : float or array
        Of the ellipsoid along the line, in metres.

    Returns
    -------
    float or array
        s·R/(R + h), in metres: the reduced length, longer than what was measured below the
        ellipsoid, shorter than what was measured above it.

    Raises
    ------
    ValueError
        If a distance is negative, a radius is not positive, or a height is not above the centre.
    """
    s = not_negative(distance, "distance")
    h, r = together(finite(height, "height"), positive(radius, "radius"))
    deep = h <= -r
    if some(deep):
        raise ValueError(
            f"height {h[deep][0]:.10g} m is not above the centre of a sphere of radius "
            f"{r[deep][0]:.10g} m: is one of them in another unit?"
        )
    return plain(s * r / (r + h))


def horizon(eye_height: ArrayLike, radius: ArrayLike, refraction: ArrayLike):
    """
    Distance to the sea horizon.

    Parameters
    ----------
    eye_height : float or array
        Of the eye above the water, in metres.
    radius : float or array
        In metres.
    refraction : float or array
        Coefficient κ, without unit.

    Returns
    -------
    float or array
        √(2Rh/(1 − κ)), in metres along the water; where `level_drop` equals the height of eye.
        Too long by 5h/12R of itself, 3 parts per million from 50 m.

    Raises
    ------
    ValueError
        If a height of eye is negative, a radius is not positive, or κ is not below 1.
    """
    h, r = not_negative(eye_height, "height of eye"), positive(radius, "radius")
    return plain(np.sqrt(2 * r * h / (1 - _refraction(refraction))))


def _refraction(values):
    values = finite(values, "refraction coefficient")
    high = values >= 1
    if some(high):
        raise ValueError(
            f"refraction coefficient {values[high][0]:.10g} is not below 1, and from 1 on the ray "
            "bends with the Earth and there is no horizon: is it in percent?"
        )
    return values


def _on_sphere(distance, radius, name="distance"):
    distance, radius = together(not_negative(distance, name), positive(radius, "radius"))
    far = distance > np.pi * radius
    if some(far):
        raise ValueError(
            f"{name} {distance[far][0]:.10g} m is more than half way round a sphere of radius "
            f"{radius[far][0]:.10g} m, and no two points are farther apart: is one of them in "
            "another unit?"
        )
    return distance, radius


def _less_its_sine(x):
    """An angle less its sine, by the series where the difference would lose digits."""
    rest = np.ones_like(x)
    for n in range(16, 2, -2):
        rest = 1 - x * x / (n * (n + 1)) * rest
    return np.where(x < 1, x**3 / 6 * rest, x - np.sin(x))
