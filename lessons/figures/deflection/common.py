"""What the figures of lesson 08 share: the deflection at a site, and a line through it."""

import math

import numpy as np

from geokit import WGS84, deflection, geoid, lines
from lessons.canvas import write
from lessons.canvas.globe import off_pole

RADIANS = math.radians(1 / 3600)  # in an arcsecond


def at(site):
    """
    Return ξ, η, their size and the azimuth of the astronomic zenith.

    At a pole, where every direction is south or north, along the meridian of the site's longitude
    and square to it: the zenith leans there as it does beside it.
    """
    xi, eta = deflection.from_geoid(off_pole(site.latitude), site.longitude, geoid.EGM96, WGS84)
    return xi, eta, *deflection.total(xi, eta)


def steepest_azimuth(site):
    """Return the whole azimuth in which the zenith leans: a line along it shows the most."""
    return round(at(site)[3]) % 360


def towards(size, azimuth):
    """Return a direction for a picture, none where the size is written as zero."""
    return f"{write.compass(azimuth)} {write.azimuth(azimuth)}" if size >= 0.05 else ""


def line(site, azimuth, distance):
    """
    Return latitudes, longitudes and onward azimuths of points along a geodesic.

    Distances are in metres, negative behind the site.
    """
    distance = np.asarray(distance, float)
    behind = distance < 0
    latitude, longitude, back = lines.direct(
        off_pole(site.latitude), site.longitude, azimuth + 180.0 * behind, np.abs(distance), WGS84
    )
    return latitude, longitude, (back + 180.0 * ~behind) % 360
