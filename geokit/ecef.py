"""
Earth-centred coordinates X, Y, Z, and local east, north, up.

X points from the Earth's centre to latitude 0, longitude 0; Y to 0, 90 E; Z to the north pole. All
lengths in metres. Heights are above the ellipsoid, h = H + N, not above the geoid.
"""

import numpy as np
from numpy.typing import ArrayLike

from geokit.checks import finite, latitudes, plain
from geokit.ellipsoid import Ellipsoid


def to_ecef(latitude: ArrayLike, longitude: ArrayLike, height: ArrayLike, ellipsoid: Ellipsoid):
    """
    Earth-centred coordinates from latitude, longitude and height.

    Parameters
    ----------
    latitude, longitude : float or array
        Geodetic, in degrees; longitudes in any range.
    height : float or array
        Above the ellipsoid, in metres; any that does not reach down to the Earth's centre, so
        satellites are accepted too, and so is a slip that puts a vessel 100 km up.
    ellipsoid : Ellipsoid
        The one that the coordinates refer to.

    Returns
    -------
    x, y, z : floats or arrays
        In metres.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or a height below the Earth's centre.

    References
    ----------
    IOGP Publication 373-7-2, geographic/geocentric conversions (EPSG method 9602).
    """
    phi, lam = np.radians(latitudes(latitude)), np.radians(finite(longitude, "longitude"))
    phi, lam, height = np.broadcast_arrays(phi, lam, finite(height, "height"))
    deep = height <= -ellipsoid.semi_minor
    if deep.any():
        raise ValueError(
            f"height {height[deep][0]:.10g} m reaches down to the Earth's centre; allowed is more "
            f"than {-ellipsoid.semi_minor:.0f}: is it in another unit?"
        )
    e2 = ellipsoid.eccentricity_squared
    nu = ellipsoid.semi_major / np.sqrt(1 - e2 * np.sin(phi) ** 2)
    out = (nu + height) * np.cos(phi)
    up = ((1 - e2) * nu + height) * np.sin(phi)
    return plain(out * np.cos(lam), out * np.sin(lam), up)


def from_ecef(x: ArrayLike, y: ArrayLike, z: ArrayLike, ellipsoid: Ellipsoid):
    """
    Latitude, longitude and height from Earth-centred coordinates.

    Parameters
    ----------
    x, y, z : float or array
        In metres.
    ellipsoid : Ellipsoid
        The same X, Y, Z are another latitude and height on another ellipsoid.

    Returns
    -------
    latitude, longitude, height : floats or arrays
        In degrees, longitude from −180 to 180 and 0 on the Earth's axis, and metres above the
        ellipsoid. Put back, they miss the point by less than 3 nanometres up to 1 000 km and by
        less than 10 up to 20 000 km: what doubles can hold.

    Raises
    ------
    ValueError
        If a point lies within 3e²a (128 km) of the Earth's centre, where the latitude becomes
        ill defined.

    References
    ----------
    Bowring, The accuracy of geodetic latitude and height equations, Survey Review 28 (218), 1985
    (from memory); iterated twice, and with sine and cosine for his tangent, which has no value
    at a pole.
    """
    x, y, z = np.broadcast_arrays(finite(x, "X"), finite(y, "Y"), finite(z, "Z"))
    a, b, e2 = ellipsoid.semi_major, ellipsoid.semi_minor, ellipsoid.eccentricity_squared
    second = ellipsoid.second_eccentricity_squared * b
    p = np.hypot(x, y)
    r = np.hypot(p, z)
    _no_centre(r, 3 * e2 * a)
    sine, cosine = b * z * (1 + second / r), a * p  # of the parametric latitude: a first value
    for _ in range(2):
        size = np.hypot(sine, cosine)
        north, out = z + second * (sine / size) ** 3, p - e2 * a * (cosine / size) ** 3
        sine, cosine = b * north, a * out
    size = np.hypot(north, out)
    sine, cosine = north / size, out / size  # of the geodetic latitude
    nu = a / np.sqrt(1 - e2 * sine * sine)
    height = cosine * (p - nu * cosine) + sine * (z - (1 - e2) * nu * sine)
    return plain(_direction(north, out), _direction(y, x), height)


def to_enu(
    x: ArrayLike,
    y: ArrayLike,
    z: ArrayLike,
    lat0: ArrayLike,
    lon0: ArrayLike,
    height0: ArrayLike,
    ellipsoid: Ellipsoid,
):
    """
    Local east, north and up of points given by Earth-centred coordinates.

    Up is along the ellipsoid's normal at the origin, not along the plumb line. Far from the
    origin up is not height: the sea 10 km away lies 8 m below the plane of east and north.

    Parameters
    ----------
    x, y, z : float or array
        In metres.
    lat0, lon0 : float or array
        Of the local origin, in degrees.
    height0 : float or array
        Of the local origin above the ellipsoid, in metres.
    ellipsoid : Ellipsoid
        The one that the origin's latitude, longitude and height refer to.

    Returns
    -------
    east, north, up : floats or arrays
        From the origin, in metres.

    Raises
    ------
    ValueError
        As `to_ecef` for the origin.

    References
    ----------
    IOGP Publication 373-7-2, geocentric/topocentric conversions (EPSG method 9836).
    """
    x0, y0, z0 = to_ecef(lat0, lon0, height0, ellipsoid)
    dx, dy, dz = finite(x, "X") - x0, finite(y, "Y") - y0, finite(z, "Z") - z0
    sin_phi, cos_phi, sin_lam, cos_lam = _sines(lat0, lon0)
    out = cos_lam * dx + sin_lam * dy  # in the origin's meridian plane, away from the axis
    east = cos_lam * dy - sin_lam * dx
    north = cos_phi * dz - sin_phi * out
    up = cos_phi * out + sin_phi * dz
    return plain(*np.broadcast_arrays(east, north, up))


def from_enu(
    east: ArrayLike,
    north: ArrayLike,
    up: ArrayLike,
    lat0: ArrayLike,
    lon0: ArrayLike,
    height0: ArrayLike,
    ellipsoid: Ellipsoid,
):
    """
    Earth-centred coordinates of points given by local east, north and up.

    Parameters
    ----------
    east, north, up : float or array
        From the local origin, in metres; a point below the origin has a negative up.
    lat0, lon0 : float or array
        Of the local origin, in degrees.
    height0 : float or array
        Of the local origin above the ellipsoid, in metres.
    ellipsoid : Ellipsoid
        The one that the origin's latitude, longitude and height refer to.

    Returns
    -------
    x, y, z : floats or arrays
        In metres.

    Raises
    ------
    ValueError
        As `to_ecef` for the origin.

    References
    ----------
    IOGP Publication 373-7-2, geocentric/topocentric conversions (EPSG method 9836).
    """
    x0, y0, z0 = to_ecef(lat0, lon0, height0, ellipsoid)
    east, north, up = finite(east, "east"), finite(north, "north"), finite(up, "up")
    sin_phi, cos_phi, sin_lam, cos_lam = _sines(lat0, lon0)
    out = cos_phi * up - sin_phi * north  # in the origin's meridian plane, away from the axis
    dx = cos_lam * out - sin_lam * east
    dy = sin_lam * out + cos_lam * east
    dz = sin_phi * up + cos_phi * north
    return plain(*np.broadcast_arrays(x0 + dx, y0 + dy, z0 + dz))


def _sines(latitude, longitude):
    phi, lam = np.radians(np.asarray(latitude, float)), np.radians(np.asarray(longitude, float))
    return np.sin(phi), np.cos(phi), np.sin(lam), np.cos(lam)


def _no_centre(distance, nearest):
    near = distance <= nearest
    if near.any():
        raise ValueError(
            f"the point lies {distance[near][0]:.10g} m from the Earth's centre; allowed is more "
            f"than {nearest:.0f}: are the coordinates in kilometres, or missing?"
        )


def _direction(y, x):
    """
    The angle from the x axis towards the y axis, in degrees from −180 to 180.

    Counted from the nearest axis first, since a small angle is rounded less: this saves 6 nm on
    a satellite's longitude.
    """
    from_y = np.abs(y) > np.abs(x)
    small = np.where(from_y, np.abs(x), np.abs(y)), np.where(from_y, np.abs(y), np.abs(x))
    angle = np.degrees(np.arctan2(*small))
    angle = np.where(from_y, 90 - angle, angle)
    return np.copysign(np.where(x < 0, 180 - angle, angle), y)
