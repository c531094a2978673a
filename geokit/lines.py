"""
Lines between two points: the geodesic, the great circle, the rhumb line, the normal section.

Azimuths in degrees from 0 to 360, clockwise from true north; a back azimuth is that at the second
point towards the first. At a pole an azimuth is measured from the meridian of the longitude given.
Between coincident points the distance is 0 and an azimuth is NaN: there is no direction. Longitudes
in any range; lengths in metres.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike
from pyproj import Geod

from geokit.checks import (
    finite,
    latitudes,
    not_negative,
    plain,
    positive,
    together,
    wrap_azimuth,
    wrap_longitude,
)
from geokit.ecef import to_ecef, to_enu
from geokit.ellipsoid import Ellipsoid

_UNIT_SPHERE = Geod(a=1.0, f=0.0)
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)  # as many as for a whole meridian
_NOTHING = 1e-8  # metres: below the rounding of Earth-centred coordinates


def inverse(
    lat1: ArrayLike, lon1: ArrayLike, lat2: ArrayLike, lon2: ArrayLike, ellipsoid: Ellipsoid
):
    """
    Length and azimuths of the geodesic, the shortest line on the ellipsoid.

    Parameters
    ----------
    lat1, lon1, lat2, lon2 : float or array
        Of the two ends, in degrees.
    ellipsoid : Ellipsoid
        That the ends refer to.

    Returns
    -------
    distance : float or array
        In metres.
    azimuth : float or array
        At 1 towards 2, in degrees.
    back_azimuth : float or array
        At 2 towards 1, in degrees; not azimuth ± 180, since meridians converge.

        Antipodal ends have more than one shortest line (over either pole, between points of the
        equator); the azimuths are those of one of them.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees.

    References
    ----------
    Karney, Algorithms for geodesics, Journal of Geodesy 87, 2013, through pyproj; good to 15
    nanometres.
    """
    return plain(*_inverse(_geod(ellipsoid), *_ends(lat1, lon1, lat2, lon2)))


def direct(
    latitude: ArrayLike,
    longitude: ArrayLike,
    azimuth: ArrayLike,
    distance: ArrayLike,
    ellipsoid: Ellipsoid,
):
    """
    Where a geodesic of given azimuth and length ends.

    Parameters
    ----------
    latitude, longitude : float or array
        Of the start, in degrees.
    azimuth : float or array
        At the start, in degrees.
    distance : float or array
        In metres; may go round the Earth.
    ellipsoid : Ellipsoid
        That the positions refer to.

    Returns
    -------
    latitude, longitude : floats or arrays
        Of the end, in degrees, longitude from −180 to 180.
    back_azimuth : float or array
        At the end towards the start, along the same line, in degrees.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or a distance is negative.

    References
    ----------
    As for `inverse`.
    """
    lat1, lon1, alpha, s = together(
        latitudes(latitude),
        finite(longitude, "longitude"),
        finite(azimuth, "azimuth"),
        not_negative(distance, "distance"),
    )
    lon2, lat2, back = _geod(ellipsoid).fwd(lon1, lat1, alpha, s)
    return plain(np.asarray(lat2), wrap_longitude(lon2), wrap_azimuth(back))


def highest_latitude(latitude: ArrayLike, azimuth: ArrayLike, ellipsoid: Ellipsoid):
    """
    Highest latitude that a geodesic reaches; it goes as far south as north.

    Clairaut's law: cos β sin α is the same all along, β the parametric latitude. It is cos β
    where the line runs east or west.

    Parameters
    ----------
    latitude, azimuth : float or array
        Of the line at any of its points, in degrees.
    ellipsoid : Ellipsoid
        That the latitude refers to.

    Returns
    -------
    float or array
        In degrees, 0 to 90; 0 along the equator, 90 along a meridian.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees.

    References
    ----------
    Karney, Algorithms for geodesics, Journal of Geodesy 87, 2013, section 2.
    """
    beta = np.radians(ellipsoid.parametric_latitude(latitudes(latitude)))
    alpha = np.radians(finite(azimuth, "azimuth"))
    across = np.cos(beta) * np.abs(np.sin(alpha))  # cos of the highest β
    up = np.hypot(np.sin(beta), np.cos(beta) * np.cos(alpha))  # its sine, without cancelling
    return ellipsoid.geodetic_from_parametric(np.degrees(np.arctan2(up, across)))


def great_circle(
    lat1: ArrayLike, lon1: ArrayLike, lat2: ArrayLike, lon2: ArrayLike, radius: ArrayLike
):
    """
    Length and azimuths of the great circle on a sphere.

    The latitudes are taken as latitudes on the sphere, as everybody does who computes so; against
    the geodesic, 6 371 km makes lengths wrong by up to 0.6 %.

    Parameters
    ----------
    lat1, lon1, lat2, lon2 : float or array
        Of the two ends, in degrees.
    radius : float or array
        Of the sphere, in metres.

    Returns
    -------
    distance, azimuth, back_azimuth : floats or arrays
        As `inverse`; between antipodal points every azimuth is right, and one is given.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or a radius is not positive.
    """
    *ends, r = together(*_ends(lat1, lon1, lat2, lon2), positive(radius, "radius"))
    arc, azimuth, back_azimuth = _inverse(_UNIT_SPHERE, *ends)
    return plain(arc * r, azimuth, back_azimuth)


def rhumb(lat1: ArrayLike, lon1: ArrayLike, lat2: ArrayLike, lon2: ArrayLike, ellipsoid: Ellipsoid):
    """
    Length and azimuth of the rhumb line, which crosses every meridian at the same angle.

    It goes the short way round in longitude; exactly half way round, east or west as the
    difference of the longitudes has it. To a pole, where longitude means nothing, it is the
    meridian.

    Parameters
    ----------
    lat1, lon1, lat2, lon2 : float or array
        Of the two ends, in degrees.
    ellipsoid : Ellipsoid
        That the ends refer to.

    Returns
    -------
    distance : float or array
        In metres.
    azimuth : float or array
        All along from 1 to 2, in degrees; the back azimuth is azimuth ± 180.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees.

    References
    ----------
    Bowring, The geometry of the loxodrome on the ellipsoid, The Canadian Surveyor 39, 1985 (from
    memory); differences rewritten as products, so that short and east-west lines lose no digits.
    """
    phi1, lam1, phi2, lam2 = _ends(lat1, lon1, lat2, lon2)  # in degrees
    turn = np.radians(wrap_longitude(lam2 - lam1))
    north = _meridian_arc(phi1, phi2, ellipsoid)
    east = turn * _mean_parallel(phi1, phi2, north, ellipsoid)
    distance = np.hypot(east, north)
    return plain(distance, _azimuth(east, north, distance == 0))


def normal_section(
    lat1: ArrayLike, lon1: ArrayLike, lat2: ArrayLike, lon2: ArrayLike, ellipsoid: Ellipsoid
):
    """
    Azimuth of the plane that holds the normal at 1 and the point 2 on the ellipsoid.

    It is what a theodolite levelled along the normal would read. It differs from the geodesic's
    azimuth by up to 0.03″ at 100 km, growing with the square of the distance.

    Parameters
    ----------
    lat1, lon1, lat2, lon2 : float or array
        Of the two ends, in degrees; both taken on the ellipsoid.
    ellipsoid : Ellipsoid
        That the ends refer to.

    Returns
    -------
    float or array
        At 1 towards 2, in degrees; NaN also where 2 lies on the normal itself, right through
        the Earth, as between antipodal points of the equator.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees.
    """
    phi1, lam1, phi2, lam2 = _ends(lat1, lon1, lat2, lon2)  # in degrees
    x, y, z = to_ecef(phi2, wrap_longitude(lam2 - lam1), 0, ellipsoid)
    east, north, _ = to_enu(x, y, z, phi1, 0, 0, ellipsoid)
    return plain(_azimuth(east, north, np.hypot(east, north) < _NOTHING))


@lru_cache
def _geod(ellipsoid):
    return Geod(a=ellipsoid.semi_major, f=ellipsoid.flattening)


def _ends(lat1, lon1, lat2, lon2):
    return together(
        latitudes(lat1, "latitude 1"),
        finite(lon1, "longitude 1"),
        latitudes(lat2, "latitude 2"),
        finite(lon2, "longitude 2"),
    )


def _inverse(geod, lat1, lon1, lat2, lon2):
    """What pyproj answers, longitude first, put in our order and range."""
    azimuth, back, distance = geod.inv(lon1, lat1, lon2, lat2)
    distance = np.asarray(distance)
    azimuths = (np.where(distance == 0, np.nan, wrap_azimuth(angle)) for angle in (azimuth, back))
    return distance, *azimuths


def _azimuth(east, north, nowhere):
    return np.where(nowhere, np.nan, wrap_azimuth(np.degrees(np.arctan2(east, north))))


def _meridian_arc(lat1, lat2, ellipsoid):
    """∫M dφ from 1 to 2, without the difference of two long arcs."""
    middle, half = (lat1 + lat2) / 2, (lat2 - lat1) / 2
    radii = ellipsoid.meridian_radius(middle[..., np.newaxis] + half[..., np.newaxis] * _NODES)
    return (radii * _WEIGHTS).sum(axis=-1) * np.radians(half)


def _mean_parallel(lat1, lat2, north, ellipsoid):
    """Metres east in a radian of longitude along the rhumb line: Δm/Δψ, or ν cosφ due east."""
    e = np.sqrt(ellipsoid.eccentricity_squared)
    sine1, cosine1 = _sine_cosine(lat1)
    sine2, cosine2 = _sine_cosine(lat2)
    rise = 2 * np.cos(np.radians((lat1 + lat2) / 2)) * np.sin(np.radians((lat2 - lat1) / 2))
    with np.errstate(divide="ignore", invalid="ignore"):  # at a pole ψ is infinite
        isometric = np.arcsinh(rise / (cosine1 * cosine2)) - e * np.arctanh(
            e * rise / (1 - e**2 * sine1 * sine2)
        )
        parallel = north / isometric
    return np.where(lat1 == lat2, ellipsoid.prime_vertical_radius(lat1) * cosine1, parallel)


def _sine_cosine(latitude):
    """With a cosine that is zero at a pole."""
    phi = np.radians(latitude)
    return np.sin(phi), np.where(np.abs(latitude) == 90, 0.0, np.cos(phi))
