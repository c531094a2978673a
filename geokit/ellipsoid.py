"""
The ellipsoid of revolution: a size and a shape, and what follows from them alone.

It is not a coordinate system: it has no place, no direction and no epoch until a datum gives
it them. Latitudes and azimuths are in degrees (north positive, clockwise from north), lengths
in metres. Formula numbers are those of Snyder, Map Projections - A Working Manual, USGS
Professional Paper 1395, 1987, from memory; every value is tested against other sources.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from geokit.checks import finite, latitudes, plain

# Gauss-Legendre nodes: 24 give the meridian arc to rounding up to a flattening of 1/3,
# far beyond any planet and enough for a figure that exaggerates.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@dataclass(frozen=True)
class Ellipsoid:
    """
    An ellipsoid of revolution, flattened at the poles, or a sphere.

    Frozen: everybody who computes on WGS 84 computes on the same one. Its methods take latitudes
    as a number or an array and answer in the same shape; NaN passes, and a latitude beyond 90
    degrees raises ValueError.

    Parameters
    ----------
    name : str
        As the trade writes it.
    semi_major : float
        Equatorial radius a, in metres.
    inverse_flattening : float
        1/f, without unit; 0 stands for a sphere, as in the EPSG dataset.
    source : str
        Where the two numbers stand in print.

    Raises
    ------
    ValueError
        If the radius is not positive, or 1/f is negative, not finite, or above 0 but not
        above 1 (the flattening given for its inverse).
    """

    name: str
    semi_major: float
    inverse_flattening: float
    source: str

    def __post_init__(self) -> None:
        if not 0 < self.semi_major < math.inf:
            raise ValueError(
                f"semi-major axis {self.semi_major} m of {self.name}: must be above zero "
                "and finite; has a value been left out?"
            )
        if not (self.inverse_flattening == 0 or 1 < self.inverse_flattening < math.inf):
            raise ValueError(
                f"inverse flattening {self.inverse_flattening} of {self.name}: must be above 1, "
                "or 0 for a sphere; was the flattening f given instead of 1/f?"
            )

    def __str__(self) -> str:
        return (
            f"{self.name}: a {self.semi_major:.3f} m, b {self.semi_minor:.4f} m, "
            f"1/f {self.inverse_flattening:.12g} ({self.source})"
        )

    @property
    def flattening(self) -> float:
        """Flattening f = (a − b)/a."""
        return 1 / self.inverse_flattening if self.inverse_flattening else 0.0

    @property
    def semi_minor(self) -> float:
        """Polar radius b = a(1 − f), in metres."""
        return self.semi_major * (1 - self.flattening)

    @property
    def eccentricity_squared(self) -> float:
        """First eccentricity squared e² = (a² − b²)/a²."""
        return self.flattening * (2 - self.flattening)

    @property
    def second_eccentricity_squared(self) -> float:
        """Second eccentricity squared e′² = (a² − b²)/b²."""
        return self.eccentricity_squared / (1 - self.eccentricity_squared)

    @property
    def third_flattening(self) -> float:
        """Third flattening n = (a − b)/(a + b)."""
        return self.flattening / (2 - self.flattening)

    @property
    def mean_radius(self) -> float:
        """Mean of the three semi-axes R₁ = (2a + b)/3, in metres."""
        return (2 * self.semi_major + self.semi_minor) / 3

    @property
    def authalic_radius(self) -> float:
        """Radius R₂ of the sphere of equal area, in metres (Snyder 3-13)."""
        e = math.sqrt(self.eccentricity_squared)
        stretch = math.atanh(e) / e if e else 1.0
        return math.sqrt((self.semi_major**2 + self.semi_minor**2 * stretch) / 2)

    @property
    def volumetric_radius(self) -> float:
        """Radius R₃ of the sphere of equal volume, (a²b)^⅓, in metres."""
        return math.cbrt(self.semi_major**2 * self.semi_minor)

    @property
    def polar_radius_of_curvature(self) -> float:
        """Radius of curvature at the poles c = a²/b, in metres; larger than a."""
        return self.semi_major**2 / self.semi_minor

    def area(self) -> float:
        """Area of the whole surface, in square metres."""
        return 4 * math.pi * self.authalic_radius**2

    def meridian_radius(self, latitude: ArrayLike):
        """Radius of curvature M along the meridian, in metres (Snyder 4-18)."""
        return plain(self._meridian_radius(np.radians(latitudes(latitude))))

    def prime_vertical_radius(self, latitude: ArrayLike):
        """Radius of curvature ν across the meridian, in metres (Snyder 4-20)."""
        sine = np.sin(np.radians(latitudes(latitude)))
        return plain(self.semi_major / np.sqrt(1 - self.eccentricity_squared * sine**2))

    def gaussian_radius(self, latitude: ArrayLike):
        """Radius √(Mν) of the sphere that fits best at a latitude, in metres."""
        return plain(np.sqrt(self.meridian_radius(latitude) * self.prime_vertical_radius(latitude)))

    def azimuth_radius(self, latitude: ArrayLike, azimuth: ArrayLike):
        """Radius of curvature of the normal section in an azimuth, in metres (Euler, 1767)."""
        alpha = np.radians(finite(azimuth, "azimuth"))
        curvature = np.cos(alpha) ** 2 / self.meridian_radius(latitude)
        curvature += np.sin(alpha) ** 2 / self.prime_vertical_radius(latitude)
        return plain(1 / curvature)

    def geocentric_latitude(self, latitude: ArrayLike):
        """Latitude of the line to the centre, from the geodetic one (Snyder 3-28)."""
        phi = np.radians(latitudes(latitude))
        north = (1 - self.eccentricity_squared) * np.sin(phi)
        return plain(np.degrees(np.arctan2(north, np.cos(phi))))

    def geodetic_from_geocentric(self, latitude: ArrayLike):
        """Geodetic latitude of a point on the ellipsoid, from its geocentric one."""
        psi = np.radians(latitudes(latitude, "geocentric latitude"))
        out = (1 - self.eccentricity_squared) * np.cos(psi)
        return plain(np.degrees(np.arctan2(np.sin(psi), out)))

    def parametric_latitude(self, latitude: ArrayLike):
        """Parametric (reduced) latitude, from the geodetic one (Snyder 3-31)."""
        phi = np.radians(latitudes(latitude))
        return plain(np.degrees(np.arctan2((1 - self.flattening) * np.sin(phi), np.cos(phi))))

    def geodetic_from_parametric(self, latitude: ArrayLike):
        """Geodetic latitude, from the parametric (reduced) one: 3-31 turned round."""
        beta = np.radians(latitudes(latitude, "parametric latitude"))
        out = (1 - self.flattening) * np.cos(beta)
        return plain(np.degrees(np.arctan2(np.sin(beta), out)))

    def authalic_latitude(self, latitude: ArrayLike):
        """
        Latitude on the sphere of equal area that cuts off the same area, from the geodetic one.

        Snyder 3-11 and 3-12. The arc sine he takes loses half its digits near a pole, so the
        area left over towards the pole is computed by itself.
        """
        phi = np.radians(latitudes(latitude))
        sine = np.abs(np.sin(phi))
        missing = np.cos(phi) ** 2 / (1 + sine)  # 1 − sin φ, without cancelling
        e2 = self.eccentricity_squared
        e = math.sqrt(e2)
        below = sine / (1 - e2 * sine**2)
        above = missing * (1 + e2 * sine) / ((1 - e2) * (1 - e2 * sine**2))
        if e:
            below = below + np.arctanh(e * sine) / e
            above = above + np.arctanh(e * missing / (1 - e2 * sine)) / e
        else:
            below, above = below + sine, above + missing
        # sin β = below/(below + above), hence cos β = √(above(above + 2 below))/(below + above)
        beta = np.arctan2(below, np.sqrt(above * (above + 2 * below)))
        return plain(np.degrees(np.copysign(beta, phi)))

    def meridian_distance(self, latitude: ArrayLike):
        """Length of the meridian from the equator, in metres, negative in the south: ∫M dφ."""
        phi = np.radians(latitudes(latitude))[..., np.newaxis]
        radii = self._meridian_radius(phi * (_NODES + 1) / 2)
        return plain((radii * _WEIGHTS).sum(axis=-1) * phi[..., 0] / 2)

    def _meridian_radius(self, phi):
        e2 = self.eccentricity_squared
        return self.semi_major * (1 - e2) / (1 - e2 * np.sin(phi) ** 2) ** 1.5
