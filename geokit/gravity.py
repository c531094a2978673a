"""
Normal gravity: what a plain, spinning, level ellipsoid would pull with.

A level ellipsoid is a surface of equal potential of its own gravity, and four numbers make it:
a, GM, the spin ω, and J₂ or the flattening. Everything else follows. Latitudes are geodetic, in
degrees; heights in metres above the ellipsoid; gravity in m/s² (1 mGal is 0.00001 m/s²).

Formulas: Heiskanen and Moritz, Physical Geodesy, 1967, sections 2-7 to 2-10 and 2-14, numbered as
there, from memory; every value is tested against other sources.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from geokit.checks import densities, finite, latitudes, plain
from geokit.ellipsoid import Ellipsoid

GRAVITATIONAL_CONSTANT = 6.67430e-11
"""G, in m³/(kg s²): CODATA 2018, from memory."""


@dataclass(frozen=True, kw_only=True)
class NormalField:
    """
    The level ellipsoid: its defining constants, and all that follows from them.

    Parameters
    ----------
    name, source : str
        As the trade writes it, and where the numbers stand in print.
    semi_major : float
        Equatorial radius a, in metres.
    gm : float
        GM with the atmosphere, in m³/s².
    angular_velocity : float
        ω, in radians a second.
    defining_j2, defining_inverse_flattening : float or None
        The one of the two that defines the ellipsoid; the other follows from it.

    Raises
    ------
    ValueError
        If neither or both of the last are given, or one is out of all reason for a planet.
    """

    name: str
    semi_major: float
    gm: float
    angular_velocity: float
    source: str
    defining_j2: float | None = None
    defining_inverse_flattening: float | None = None

    def __post_init__(self) -> None:
        if (self.defining_j2 is None) == (self.defining_inverse_flattening is None):
            raise ValueError(
                f"{self.name} is defined by J₂ or by 1/f, one of the two: the other follows"
            )
        for name, number in (("semi-major axis", self.semi_major), ("GM", self.gm)):
            if not 0 < number < math.inf:
                raise ValueError(
                    f"{name} {number} of {self.name}: must be above zero and finite; "
                    "has a value been left out?"
                )
        if not 0 < self._spin < 0.1:
            raise ValueError(
                f"ω {self.angular_velocity} rad/s, GM {self.gm} m³/s² and a {self.semi_major} m of "
                f"{self.name}: ω²a³/GM must lie between 0 and 0.1, and is 0.0035 for the Earth; "
                "is one in other units (km, revolutions a day)?"
            )
        if self.defining_j2 is not None and not 0 < self.defining_j2 < 0.1:
            raise ValueError(
                f"J₂ {self.defining_j2} of {self.name}: must lie between 0 and 0.1, and is "
                "0.00108 for the Earth; is it the coefficient −J₂/√5, or 1/f?"
            )
        inverse = self.defining_inverse_flattening
        if inverse is not None and not 1 < inverse < math.inf:
            raise ValueError(
                f"inverse flattening {inverse} of {self.name}: must be above 1, for a spinning "
                "sphere is not level; was the flattening f given instead of 1/f?"
            )

    @property
    def _spin(self) -> float:
        return self.angular_velocity**2 * self.semi_major**3 / self.gm

    @cached_property
    def ellipsoid(self) -> Ellipsoid:
        """Size and shape."""
        inverse = self.defining_inverse_flattening or self._inverse_flattening_from_j2()
        return Ellipsoid(self.name, self.semi_major, inverse, self.source)

    def _inverse_flattening_from_j2(self) -> float:
        e2 = 3 * self.j2
        for _ in range(20):  # each step leaves about a thousandth of the error
            e_prime = math.sqrt(e2 / (1 - e2))
            e2 = 3 * self.j2 + 2 / 15 * self._spin * e2**1.5 / _q(e_prime)  # (2-90), solved for e²
        return (1 + math.sqrt(1 - e2)) / e2

    @property
    def j2(self) -> float:
        """Dynamical form factor J₂, without unit (2-90)."""
        if self.defining_j2 is not None:
            return self.defining_j2
        e_prime = self._second_eccentricity
        return self.ellipsoid.eccentricity_squared / 3 * (1 - 2 / 15 * self.m * e_prime / self._q0)

    @property
    def m(self) -> float:
        """Spin against attraction m = ω²a²b/GM, without unit (2-70)."""
        return self._spin * (1 - self.ellipsoid.flattening)

    @property
    def linear_eccentricity(self) -> float:
        """Linear eccentricity E = √(a² − b²), in metres."""
        return self.semi_major * math.sqrt(self.ellipsoid.eccentricity_squared)

    @property
    def potential(self) -> float:
        """Potential U₀ of the level surface, in m²/s² (2-61)."""
        attraction = self.gm / self.linear_eccentricity * math.atan(self._second_eccentricity)
        return attraction + self.angular_velocity**2 * self.semi_major**2 / 3

    @property
    def equatorial_gravity(self) -> float:
        """Normal gravity γₑ at the equator, in m/s² (2-73)."""
        a, b = self.semi_major, self.ellipsoid.semi_minor
        return self.gm / (a * b) * (1 - self.m - self.m / 6 * self._ratio)

    @property
    def polar_gravity(self) -> float:
        """Normal gravity γₚ at the poles, in m/s² (2-74)."""
        return self.gm / self.semi_major**2 * (1 + self.m / 3 * self._ratio)

    @property
    def gravity_flattening(self) -> float:
        """Gravity flattening f* = (γₚ − γₑ)/γₑ, without unit."""
        return self.polar_gravity / self.equatorial_gravity - 1

    @property
    def somigliana_constant(self) -> float:
        """Constant k = bγₚ/(aγₑ) − 1 of Somigliana's formula, without unit."""
        shape = 1 - self.ellipsoid.flattening
        return shape * self.polar_gravity / self.equatorial_gravity - 1

    @property
    def _second_eccentricity(self) -> float:
        return math.sqrt(self.ellipsoid.second_eccentricity_squared)

    @property
    def _q0(self) -> float:
        return _q(self._second_eccentricity)

    @property
    def _ratio(self) -> float:
        """e′q₀′/q₀, of γₑ and γₚ."""
        return self._second_eccentricity * _q_prime(self._second_eccentricity) / self._q0


GRS80_FIELD = NormalField(
    name="GRS 80",
    semi_major=6378137.0,
    gm=3986005e8,
    defining_j2=108263e-8,
    angular_velocity=7292115e-11,
    source="Moritz, Geodetic Reference System 1980, Journal of Geodesy 74, 2000",
)
WGS84_FIELD = NormalField(
    name="WGS 84",
    semi_major=6378137.0,
    gm=3986004.418e8,
    defining_inverse_flattening=298.257223563,
    angular_velocity=7292115e-11,
    source="NIMA TR8350.2, 3rd edition, amendment 1, 2000",
)


def normal(latitude: ArrayLike, height: ArrayLike, field: NormalField):
    """
    Normal gravity at any height, in closed form.

    On the ellipsoid it is Somigliana's formula. Valid where there is nothing but the field:
    below the surface of land or sea the masses above pull upwards, and gravity grows more slowly
    than this (in sea water by 0.222 mGal a metre and not 0.3086: see `plate`).

    Parameters
    ----------
    latitude : float or array
        Geodetic, in degrees.
    height : float or array
        Above the ellipsoid, in metres, from −12 000 to 1 000 000.
    field : NormalField
        `GRS80_FIELD` or `WGS84_FIELD`.

    Returns
    -------
    float or array
        γ in m/s², with the spin's share, as a gravimeter that stands still would read it.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or a height out of range.

    References
    ----------
    Heiskanen and Moritz, 1967, sections 1-19, 2-7 and 2-8.
    """
    phi = np.radians(latitudes(latitude))
    height = _heights(height, 1_000_000)
    a, e2 = field.semi_major, field.ellipsoid.eccentricity_squared
    focal, spin2 = field.linear_eccentricity, field.angular_velocity**2
    nu = a / np.sqrt(1 - e2 * np.sin(phi) ** 2)
    p = (nu + height) * np.cos(phi)
    z = ((1 - e2) * nu + height) * np.sin(phi)

    # the confocal ellipsoid through the point: its semi-minor axis u, its semi-major one v
    excess = p**2 + z**2 - focal**2
    u = np.sqrt((excess + np.hypot(excess, 2 * focal * z)) / 2)
    v = np.hypot(u, focal)
    beta = np.arctan2(z * v, p * u)  # parametric latitude on it
    sine, cosine = np.sin(beta), np.cos(beta)
    stretch = np.hypot(u, focal * sine) / v

    # (2-62), the potential's slope along u and along β
    q, q_prime = _q(focal / u) / field._q0, _q_prime(focal / u) / field._q0
    along_u = (
        field.gm / v**2
        + spin2 * a**2 * focal / v**2 * q_prime * (sine**2 / 2 - 1 / 6)
        - spin2 * u * cosine**2
    )
    along_beta = spin2 * (v - a**2 / v * q) * sine * cosine
    return plain(np.hypot(along_u, along_beta) / stretch)


def normal_to_second_order(latitude: ArrayLike, height: ArrayLike, field: NormalField):
    """
    Normal gravity near the ellipsoid, by the series that is worked by hand.

    Parameters
    ----------
    latitude : float or array
        Geodetic, in degrees.
    height : float or array
        Above the ellipsoid, in metres, from −12 000 to 20 000; what is left out
        reaches 0.01 mGal at 1 km, 0.07 mGal at 10 km, 0.17 mGal at −10 km.
    field : NormalField
        `GRS80_FIELD` or `WGS84_FIELD`.

    Returns
    -------
    float or array
        γ[1 − 2h/a (1 + f + m − 2f sin²φ) + 3h²/a²], in m/s² (2-123).

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or a height out of range.
    """
    sine2 = np.sin(np.radians(latitudes(latitude))) ** 2
    f, k = field.ellipsoid.flattening, field.somigliana_constant
    somigliana = 1 + k * sine2
    somigliana = somigliana / np.sqrt(1 - field.ellipsoid.eccentricity_squared * sine2)
    ratio = _heights(height, 20_000) / field.semi_major
    fall = 1 - 2 * ratio * (1 + f + field.m - 2 * f * sine2) + 3 * ratio**2
    return plain(field.equatorial_gravity * somigliana * fall)


def plate(thickness: ArrayLike, density: ArrayLike):
    """
    Attraction of a wide flat layer: the Bouguer plate.

    Ashore it is subtracted (0.1120 mGal a metre at 2 670 kg/m³); at sea it is added for the rock
    that is missing (0.0688 mGal a metre of water at 2 670 − 1 030). Within the sea gravity grows
    by the free-air gradient less twice the plate of water: 0.3086 − 0.0864 mGal a metre.

    Parameters
    ----------
    thickness : float or array
        In metres.
    density : float or array
        In kg/m³; may be a difference of two, and negative.

    Returns
    -------
    float or array
        2πGρt, in m/s².

    Raises
    ------
    ValueError
        If a density looks like grams a cubic centimetre.
    """
    density = densities(density)
    metres = finite(thickness, "thickness")
    return plain(2 * math.pi * GRAVITATIONAL_CONSTANT * density * metres)


def eotvos(
    latitude: ArrayLike, speed: ArrayLike, course: ArrayLike, field: NormalField, radius: float
):
    """
    Eötvös correction, to be added to gravity measured under way.

    Parameters
    ----------
    latitude : float or array
        In degrees.
    speed : float or array
        Over the ground, in metres a second (1 knot is 1852/3600 m/s).
    course : float or array
        Over the ground, in degrees from true north.
    field : NormalField
        For the Earth's spin.
    radius : float
        Of the Earth, in metres.

    Returns
    -------
    float or array
        2ωv cosφ sinα + v²/R, in m/s²: positive on an easterly course, where the spin helps the
        vessel to lift.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, a speed is negative or above 300 m/s, or the radius
        is not the Earth's.
    """
    v = finite(speed, "speed")
    wrong = (v < 0) | (v > 300)
    if wrong.any():
        raise ValueError(
            f"speed {v[wrong][0]:.10g} m/s is not between 0 and 300: is it in other units, or is "
            "its sign the course's?"
        )
    if not 6.3e6 < radius < 6.5e6:
        raise ValueError(
            f"radius {radius} m is not the Earth's, 6 300 000 to 6 500 000: is it in kilometres?"
        )
    eastward = np.cos(np.radians(latitudes(latitude)))
    eastward = eastward * np.sin(np.radians(finite(course, "course")))
    return plain(2 * field.angular_velocity * v * eastward + v**2 / radius)


def _heights(height, highest):
    height = finite(height, "height")
    outside = (height < -12_000) | (height > highest)
    if outside.any():
        raise ValueError(
            f"height {height[outside][0]:.10g} m is outside −12 000 to {highest:_} m; ".replace(
                "_", " "
            )
            + "is it in millimetres or feet, or a radius?"
        )
    return height


def _q(x):
    """
    ½[(1 + 3/x²) arctan x − 3/x], (2-57), as its series.

    The closed form subtracts numbers near 40 to be left with 0.0001; the series loses nothing,
    and for an Earth (x about 0.08) the terms left out are below rounding.
    """
    return sum(2 * (-1) ** (n + 1) * n / ((2 * n + 1) * (2 * n + 3)) * x ** (2 * n + 1) for n in _N)


def _q_prime(x):
    """3(1 + 1/x²)(1 − arctan x / x) − 1, (2-67), as its series."""
    return sum(6 * (-1) ** (n + 1) / ((2 * n + 1) * (2 * n + 3)) * x ** (2 * n) for n in _N)


_N = range(1, 13)
