"""
A moving Earth: how fast the ground goes, and where it takes a point.

East, north and up positive, in metres a year; rotations in milliarcseconds a year; times as
decimal years. Tectonic plates are taken as rigid: near their edges, over volcanoes, oil fields
and young sediments, and after earthquakes the ground moves otherwise.
"""

import numpy as np
from numpy.typing import ArrayLike

from geokit import lines
from geokit.angles import RHO
from geokit.checks import finite, latitudes, plain, some
from geokit.ecef import to_ecef
from geokit.ellipsoid import Ellipsoid


def velocity(
    latitude: ArrayLike,
    longitude: ArrayLike,
    rotation: tuple[ArrayLike, ArrayLike, ArrayLike],
    ellipsoid: Ellipsoid,
    *,
    origin_rate: tuple[float, float, float] = (0.0, 0.0, 0.0),
):
    """
    Velocity of the ground on a plate that turns about an axis through the Earth's centre.

    Parameters
    ----------
    latitude, longitude : float or array
        In degrees.
    rotation : three floats
        ωx, ωy, ωz in milliarcseconds a year, such as `geokit.plates.ITRF2020["EURA"]`. The
        difference of two plates' rotations gives the velocity of the first against the second.
    ellipsoid : Ellipsoid
        That the positions refer to.
    origin_rate : three floats
        Drift of the frame's origin, in millimetres a year, where a frame's own velocities are
        wanted (`geokit.plates.ITRF2020_ORIGIN_RATE`, less than 1 mm a year); none unless given.

    Returns
    -------
    east, north : floats or arrays
        In metres a year, on the ellipsoid. Up is left out: on an ellipsoid a rotation gives at
        most 0.3 % of the speed, 0.2 mm a year.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or a rotation is faster than 200 mas a year.

    References
    ----------
    v = ω × X, in Altamimi et al., ITRF2020 plate motion model, Geophysical Research Letters 50,
    2023.
    """
    phi, lam = np.radians(latitudes(latitude)), np.radians(finite(longitude, "longitude"))
    wx, wy, wz = (_rotation(part) / 1000 / RHO for part in _three(rotation, "rotation"))
    dx, dy, dz = (finite(part, "origin rate") / 1000 for part in _three(origin_rate, "origin rate"))
    x, y, z = to_ecef(latitude, longitude, 0, ellipsoid)
    vx, vy, vz = wy * z - wz * y + dx, wz * x - wx * z + dy, wx * y - wy * x + dz
    outward = vx * np.cos(lam) + vy * np.sin(lam)
    east = vy * np.cos(lam) - vx * np.sin(lam)
    north = vz * np.cos(phi) - outward * np.sin(phi)
    return plain(east, north)


def move(
    latitude: ArrayLike,
    longitude: ArrayLike,
    height: ArrayLike,
    east: ArrayLike,
    north: ArrayLike,
    up: ArrayLike,
    years: ArrayLike,
    ellipsoid: Ellipsoid,
):
    """
    Where a point is after some years of steady motion.

    Parameters
    ----------
    latitude, longitude : float or array
        In degrees.
    height : float or array
        Above the ellipsoid, in metres.
    east, north, up : float or array
        Velocity, in metres a year; east and north on the ellipsoid, as `velocity` gives them.
    years : float or array
        Epoch wanted less epoch of the position; negative goes back.
    ellipsoid : Ellipsoid
        That the positions refer to.

    Returns
    -------
    latitude, longitude, height : floats or arrays
        In degrees (longitude from −180 to 180) and metres.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, a speed is above 1 m a year, or more than 200 years
        are asked for.
    """
    years = finite(years, "years")
    long = np.abs(years) > 200
    if some(long):
        raise ValueError(
            f"{years[long][0]:.10g} years are more than 200: was an epoch given for the "
            "difference of two?"
        )
    de, dn, du = (
        _speed(speed, name) * years
        for speed, name in ((east, "east"), (north, "north"), (up, "up"))
    )
    azimuth = np.degrees(np.arctan2(de, dn))
    lat, lon, _ = lines.direct(latitude, longitude, azimuth, np.hypot(de, dn), ellipsoid)
    return plain(*np.broadcast_arrays(lat, lon, finite(height, "height") + du))


def _three(numbers, name):
    numbers = tuple(numbers)
    if len(numbers) != 3:
        raise ValueError(
            f"{name} has {len(numbers)} numbers; it takes three, along X, Y and Z: is a zero left "
            "out?"
        )
    return numbers


def _rotation(rate):
    rate = finite(rate, "rotation")
    fast = np.abs(rate) > 200
    if some(fast):
        raise ValueError(
            f"rotation {rate[fast][0]:.10g} mas a year is above 200; large plates turn at up to 3, "
            "and the fastest small one at 186: is it in microarcseconds?"
        )
    return rate


def _speed(speed, name):
    speed = finite(speed, f"{name} velocity")
    fast = np.abs(speed) > 1
    if some(fast):
        raise ValueError(
            f"{name} velocity {speed[fast][0]:.10g} m a year is above 1, and no plate goes faster "
            "than a fifth of that: is it in millimetres?"
        )
    return speed
