"""
Geodesy for offshore surveyors: small functions, one topic a module.

Once for the whole library: latitude, longitude, height in that order, north and east positive;
positions and azimuths in degrees, excess and deflection in arcseconds, lengths in metres.
Arrays broadcast, single numbers come back as floats, NaN passes through, anything out of range
raises ValueError. Nothing has a default ellipsoid.
"""

from geokit import (
    angles,
    attraction,
    coastline,
    constituents,
    datums,
    deflection,
    ecef,
    ellipsoids,
    excess,
    geoid,
    gravity,
    grid,
    heights,
    lines,
    motion,
    plates,
    surface,
    terrain,
)
from geokit.ellipsoid import Ellipsoid
from geokit.ellipsoids import (
    AIRY1830,
    BESSEL1841,
    CLARKE1866,
    CLARKE1880RGS,
    GRS80,
    INTERNATIONAL1924,
    KRASSOWSKY1940,
    WGS84,
)

__all__ = [
    "AIRY1830",
    "BESSEL1841",
    "CLARKE1866",
    "CLARKE1880RGS",
    "GRS80",
    "INTERNATIONAL1924",
    "KRASSOWSKY1940",
    "WGS84",
    "Ellipsoid",
    "angles",
    "attraction",
    "coastline",
    "constituents",
    "datums",
    "deflection",
    "ecef",
    "ellipsoids",
    "excess",
    "geoid",
    "gravity",
    "grid",
    "heights",
    "lines",
    "motion",
    "plates",
    "surface",
    "terrain",
]
