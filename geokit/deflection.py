"""
The angle between the two verticals: the plumb line and the normal to the ellipsoid.

ξ is the component in the meridian, positive where the astronomic zenith lies north of the
geodetic one; η that in the prime vertical, positive where it lies east. Both in arcseconds. They
hold where latitudes and longitudes are geocentric (WGS 84, ITRF) and astronomic longitudes count
from the same meridian; the deflections of an old local datum are another quantity.

Formulas: Heiskanen and Moritz, Physical Geodesy, 1967, sections 2-22 and 5-4 (from memory). They
are of first order: what they leave out is the square of the deflection, 0.02″ for one of 60″, times
the tangent of the latitude in an azimuth.
"""

import numpy as np
from numpy.typing import ArrayLike

from geokit.angles import RHO
from geokit.checks import finite, latitudes, plain, some, together, wrap_azimuth, wrap_longitude
from geokit.ellipsoid import Ellipsoid


def from_geoid(latitude: ArrayLike, longitude: ArrayLike, geoid, ellipsoid: Ellipsoid):
    """
    Deflection from the slope of a geoid model.

    Parameters
    ----------
    latitude, longitude : float or array
        In degrees; longitudes in any range.
    geoid : geoid model
        Has a method `slopes`, as `geokit.geoid.EGM96` does.
    ellipsoid : Ellipsoid
        The one from which the geoid's heights are measured.

    Returns
    -------
    xi, eta : floats or arrays
        ξ = −∂N/(M∂φ) and η = −∂N/(ν cosφ ∂λ), in arcseconds, at the geoid. A model value.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or at a pole, where η is undefined.
    """
    _no_pole(latitudes(latitude))
    north, east = geoid.slopes(latitude, longitude, ellipsoid)
    return plain(-RHO * np.asarray(north), -RHO * np.asarray(east))


def from_astronomic(
    astronomic_latitude: ArrayLike,
    astronomic_longitude: ArrayLike,
    latitude: ArrayLike,
    longitude: ArrayLike,
):
    """
    Deflection from the same point's astronomic and geodetic coordinates.

    Parameters
    ----------
    astronomic_latitude, astronomic_longitude : float or array
        Φ and Λ, from the stars, in degrees.
    latitude, longitude : float or array
        φ and λ, geodetic, in degrees.

    Returns
    -------
    xi, eta : floats or arrays
        ξ = Φ − φ and η = (Λ − λ) cosφ, in arcseconds; Λ − λ the short way round.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or the geodetic one at a pole.
    """
    phi = _no_pole(latitudes(latitude))
    xi = latitudes(astronomic_latitude, "astronomic latitude") - phi
    turn = finite(astronomic_longitude, "astronomic longitude") - finite(longitude, "longitude")
    eta = wrap_longitude(turn) * np.cos(np.radians(phi))
    xi, eta = together(xi, eta)
    return plain(xi * 3600, eta * 3600)


def total(xi: ArrayLike, eta: ArrayLike):
    """
    Size of the deflection, and the direction in which the plumb line's zenith leans.

    Parameters
    ----------
    xi, eta : float or array
        In arcseconds.

    Returns
    -------
    size : float or array
        √(ξ² + η²), in arcseconds.
    azimuth : float or array
        Of the astronomic zenith from the geodetic one, in degrees from 0 to 360; a weight on a
        line hangs the opposite way. 0 where there is no deflection.

    Raises
    ------
    ValueError
        If a component is infinite.
    """
    xi, eta = together(finite(xi, "ξ"), finite(eta, "η"))
    return plain(np.hypot(xi, eta), wrap_azimuth(np.degrees(np.arctan2(eta, xi))))


def along(xi: ArrayLike, eta: ArrayLike, azimuth: ArrayLike):
    """
    Deflection ε in the vertical plane of a line.

    Parameters
    ----------
    xi, eta : float or array
        In arcseconds.
    azimuth : float or array
        Of the line, in degrees.

    Returns
    -------
    float or array
        ε = ξ cosα + η sinα, in arcseconds; positive where the geoid falls along the line.

    Raises
    ------
    ValueError
        If a component or azimuth is infinite.
    """
    alpha = np.radians(finite(azimuth, "azimuth"))
    return plain(finite(xi, "ξ") * np.cos(alpha) + finite(eta, "η") * np.sin(alpha))


def geodetic_azimuth(
    astronomic_azimuth: ArrayLike,
    xi: ArrayLike,
    eta: ArrayLike,
    latitude: ArrayLike,
    zenith_angle: ArrayLike,
):
    """
    Geodetic azimuth from an astronomic one: Laplace's equation with its line term.

    Parameters
    ----------
    astronomic_azimuth : float or array
        A, in degrees.
    xi, eta : float or array
        In arcseconds.
    latitude : float or array
        Geodetic, in degrees.
    zenith_angle : float or array
        Of the sight, in degrees; 90 for a level one, where the line term vanishes.

    Returns
    -------
    float or array
        α = A − η tanφ − (ξ sinA − η cosA) cot z, in degrees from 0 to 360.

    Raises
    ------
    ValueError
        At a pole, where η is undefined, or for a sight straight up or down.
    """
    xi, eta, z = finite(xi, "ξ"), finite(eta, "η"), np.asarray(zenith_angle, float)
    upright = (z <= 0) | (z >= 180)
    if some(upright):
        raise ValueError(
            f"zenith angle {z[upright][0]:.10g} is not between 0 and 180 degrees, and a sight "
            "straight up or down has no azimuth: was an elevation angle given?"
        )
    phi = np.radians(_no_pole(latitudes(latitude)))
    azimuth = finite(astronomic_azimuth, "astronomic azimuth")
    a = np.radians(azimuth)
    laplace = eta * np.tan(phi)
    line = (xi * np.sin(a) - eta * np.cos(a)) / np.tan(np.radians(z))
    return plain(wrap_azimuth(azimuth - (laplace + line) / 3600))


def geodetic_zenith_angle(observed: ArrayLike, xi: ArrayLike, eta: ArrayLike, azimuth: ArrayLike):
    """
    Zenith angle from the ellipsoid's normal, from one observed from the plumb line.

    Parameters
    ----------
    observed : float or array
        In degrees from 0 to 180, free of refraction.
    xi, eta : float or array
        At the instrument, in arcseconds.
    azimuth : float or array
        Of the sight, in degrees.

    Returns
    -------
    float or array
        z + ε, in degrees.

    Raises
    ------
    ValueError
        If a zenith angle is not from 0 to 180 degrees.
    """
    z = finite(observed, "zenith angle")
    wrong = (z < 0) | (z > 180)
    if some(wrong):
        raise ValueError(
            f"zenith angle {z[wrong][0]:.10g} is not from 0 to 180 degrees: was an elevation "
            "angle given, or the reading of the other face?"
        )
    return plain(z + along(xi, eta, azimuth) / 3600)


def geoid_step(epsilon1: ArrayLike, epsilon2: ArrayLike, distance: ArrayLike):
    """
    Rise of the geoid along a line, from the deflections at its ends (astronomic levelling).

    Parameters
    ----------
    epsilon1, epsilon2 : float or array
        Deflections along the line at its first and second end, in arcseconds.
    distance : float or array
        Length of the line, in metres.

    Returns
    -------
    float or array
        N₂ − N₁ = −(ε₁ + ε₂)/2 · s, in metres; good where ε changes evenly along the line.

    Raises
    ------
    ValueError
        If a deflection or distance is infinite.
    """
    mean = (finite(epsilon1, "ε₁") + finite(epsilon2, "ε₂")) / 2
    return plain(-mean / RHO * finite(distance, "distance"))


def seabed_offset(xi: ArrayLike, eta: ArrayLike, depth: ArrayLike):
    """
    Where a weight on a line comes to rest, measured from the foot of the ellipsoid's normal.

    Parameters
    ----------
    xi, eta : float or array
        In arcseconds.
    depth : float or array
        Length of the plumb line, in metres, positive.

    Returns
    -------
    east, north : floats or arrays
        −η·d and −ξ·d, in metres: away from where the zenith leans. In still water.

    Raises
    ------
    ValueError
        If a depth is negative.
    """
    depth = finite(depth, "depth")
    if (depth < 0).any():
        raise ValueError(
            f"depth {depth[depth < 0][0]:.10g} m is negative; depths count positive downwards: "
            "was a height given?"
        )
    east, north = together(0 - finite(eta, "η") * depth, 0 - finite(xi, "ξ") * depth)
    return plain(east / RHO, north / RHO)


def _no_pole(latitude):
    if some(np.abs(latitude) == 90):
        raise ValueError(
            "η is undefined at a pole, where there is no east; allowed is a latitude between "
            "−90 and 90: is the site really there?"
        )
    return latitude
