"""What the figures of lesson 02 share: the triangle round a site, and how an excess is written."""

import math

import numpy as np

from geokit import WGS84, angles, lines
from lessons.canvas import write

LARGEST = 10_000.0  # kilometres: a side of this length makes the triangle an eighth of the Earth
OCTANT_MIDDLE = math.degrees(math.asin(math.sqrt(1 / 3)))  # its latitude
DIRECTIONS = math.sqrt(6)  # a sum of three angles is made of six directions, each with its noise


def corners(site, size, turn=0.0, stretch=1.0):
    """
    Return latitudes and longitudes of A, B, C, clockwise round the site.

    Parameters
    ----------
    site : scenario.Site
    size : float or array
        Side in kilometres before stretching; the corners get a last axis of 3.
    turn : float
        Azimuth of A from the site, in degrees.
    stretch : float
        How much longer the triangle is towards A than it is wide; the area stays, in the plane.
    """
    radius = WGS84.gaussian_radius(site.latitude)
    half = np.sin(np.asarray(size, float) * 1000 / (2 * radius))
    out = radius * np.arcsin(np.minimum(half / math.sin(math.pi / 3), 1.0))[..., np.newaxis]
    along = out * [1.0, -0.5, -0.5] * math.sqrt(stretch)
    across = out * [0.0, math.sqrt(0.75), -math.sqrt(0.75)] / math.sqrt(stretch)
    azimuth = turn + np.degrees(np.arctan2(across, along))
    latitude, longitude, _ = lines.direct(
        site.latitude, site.longitude, azimuth, np.hypot(along, across), WGS84
    )
    return latitude, longitude


def octant(site):
    """Return the corners of the eighth of the Earth round a site: a pole and the equator."""
    pole, way = (-90.0, -1) if site.latitude < 0 else (90.0, 1)
    longitude = site.longitude + np.array([0.0, 45.0, -45.0]) * way
    return np.array([pole, 0.0, 0.0]), (longitude + 180) % 360 - 180


def angles_in_plane(sides):
    """
    Return the angles in degrees opposite the three sides of plane triangles, last axis 3.

    tan²(A/2) = (s−b)(s−c) / (s(s−a)), with s half the sum of the sides: no digit is lost.
    """
    half = sides.sum(-1, keepdims=True) / 2
    left = half - sides
    return np.degrees(2 * np.arctan(np.sqrt(left.prod(-1, keepdims=True) / half) / left))


def angles_on_sphere(sides, radius):
    """Return the angles in degrees opposite three sides on a sphere: the same with sines."""
    half = sides.sum(-1, keepdims=True) / 2
    left = np.sin((half - sides) / radius)
    whole = np.sin(half / radius)
    return np.degrees(2 * np.arctan(np.sqrt(left.prod(-1, keepdims=True) / whole) / left))


def per_arcsecond(latitude):
    """Return the square kilometres of a triangle that has an excess of one arcsecond."""
    return WGS84.gaussian_radius(latitude) ** 2 * math.radians(1 / 3600) / 1e6


def decimals(excess):
    """Return the decimals of the seconds of an excess, given in arcseconds."""
    return 3 if excess < 1 else 2 if excess < 60 else 1


def small_angle(excess):
    """
    Return an angle given in arcseconds in the units that read best.

    >>> small_angle(5.791), small_angle(27795.5)
    ('5.79″', '7° 43′ 15.5″')
    """
    places = decimals(excess)
    if excess < 59.995:
        return write.arcseconds(excess, signed=False, decimals=places)
    return angles.dms(excess / 3600, places).removeprefix("0° ").removeprefix("0")


def area(square_kilometres):
    """
    Return an area, with four figures where it has no more.

    >>> area(0.43301), area(1082.53), area(5463774)
    ('0.4330 km²', '1\u202f083 km²', '5\u202f463\u202f774 km²')
    """
    whole = math.floor(math.log10(square_kilometres)) if square_kilometres > 0 else 0
    return write.number(square_kilometres, min(4, max(0, 3 - whole))) + " km²"


def length(metres):
    """
    Return the length of a side in kilometres, to a metre below a thousand.

    >>> length(50000.0), length(10001965.7)
    ('50.000 km', '10\u202f002 km')
    """
    return write.number(metres / 1000, 3 if metres < 999_999 else 0) + " km"
