"""
Earth-centred coordinates X, Y, Z, and local east, north, up.

X points from the Earth's centre to latitude 0, longitude 0; Y to 0, 90 E; Z to the north pole. All
lengths in metres. Heights are above the ellipsoid, h = H + N, not above the geoid.
"""

import numpy as np
from numpy.typing import ArrayLike

from geokit.checks import finite, latitudes, plain, some, together
from geokit.ellipsoid import Ellipsoid

# Degrees in a radian: a part of 27 binary digits, which multiplies exactly, and the rest.
_DEGREES, _DEGREES_REST = 57.29577970504761, -1.9196528654507684e-07
_CHUNK = 8192  # points at a time: the intermediate arrays stay in the processor's cache


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
    phi, lam, height = together(phi, lam, finite(height, "height"))
    deep = height <= -ellipsoid.semi_minor
    if some(deep):
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
        less than 10 up to 20 000 km, where the last digit of a longitude alone is 13.

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
    points = np.array(together(finite(x, "X"), finite(y, "Y"), finite(z, "Z")))
    results = np.empty_like(points)
    flat, flat_results = points.reshape(3, -1), results.reshape(3, -1)
    for start in range(0, flat.shape[1], _CHUNK):
        part = slice(start, start + _CHUNK)
        flat_results[:, part] = _geodetic(flat[:, part], ellipsoid)
    return plain(*results)


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
    return plain(*together(east, north, up))


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
    return plain(*together(x0 + dx, y0 + dy, z0 + dz))


def _sines(latitude, longitude):
    phi, lam = np.radians(np.asarray(latitude, float)), np.radians(np.asarray(longitude, float))
    return np.sin(phi), np.cos(phi), np.sin(lam), np.cos(lam)


def _geodetic(xyz, ellipsoid):
    x, y, z = xyz
    a, b, e2 = ellipsoid.semi_major, ellipsoid.semi_minor, ellipsoid.eccentricity_squared
    second = ellipsoid.second_eccentricity_squared * b
    p = np.hypot(x, y)
    r = _size(p, z)
    _no_centre(r, 3 * e2 * a)
    sine, cosine = b * z * (1 + second / r), a * p  # of the parametric latitude: a first value
    for _ in range(2):
        size = _size(sine, cosine)
        sine, cosine = sine / size, cosine / size
        north, out = z + second * (sine * sine * sine), p - e2 * a * (cosine * cosine * cosine)
        sine, cosine = b * north, a * out
    size = _size(north, out)
    sine, cosine = north / size, out / size  # of the geodetic latitude
    nu = a / np.sqrt(1 - e2 * sine * sine)
    out_left, up_left = p - nu * cosine, z - (1 - e2) * nu * sine  # from the foot of the normal
    height = np.copysign(np.hypot(out_left, up_left), cosine * out_left + sine * up_left)
    return _direction(north, out), _direction(y, x), height


def _size(a, b):
    """Length of (a, b), a rounding less exact than np.hypot in an eighth of the time."""
    return np.sqrt(a * a + b * b)


def _no_centre(distance, nearest):
    near = distance <= nearest
    if some(near):
        raise ValueError(
            f"the point lies {distance[near][0]:.10g} m from the Earth's centre; allowed is more "
            f"than {nearest:.0f}: are the coordinates in kilometres, or missing?"
        )


def _direction(y, x):
    """
    The angle from the x axis towards the y axis, in degrees from −180 to 180, rounded once only.

    Near 180 the last digit is 13 nanometres at a satellite's distance: no second rounding is to
    spare.
    The angle is measured from the nearest axis, in a coarse part that turns into degrees exactly
    and a fine one.
    """
    across, along = np.abs(y), np.abs(x)
    angle = np.arctan2(np.minimum(across, along), np.maximum(across, along))
    steep = across > along
    axis = np.where(steep, 90.0, np.where(x < 0, 180.0, 0.0))
    turn = np.where(steep == (x < 0), 1.0, -1.0)  # away from that axis
    coarse = np.rint(angle * 2**24) / 2**24
    fine = coarse * _DEGREES_REST + (angle - coarse) * (_DEGREES + _DEGREES_REST)
    return np.copysign(axis + turn * coarse * _DEGREES + turn * fine, y) + 0.0  # no minus zero
