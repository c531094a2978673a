"""
Spherical excess: what the angles of a triangle or polygon on the curved Earth sum to, above the
sum that holds in the plane.

Excess in arcseconds, angles in degrees, lengths in metres. A closed figure parts the Earth in
two; its inside is the smaller part, so no excess exceeds that of half the Earth, 360 degrees.
"""

import numpy as np
import pyproj
from numpy.typing import ArrayLike

from geokit.angles import RHO
from geokit.checks import finite, latitudes, plain, positive, some, together, wrap_longitude
from geokit.ellipsoid import Ellipsoid

_ROUNDING = 1e-12  # of a perimeter: sides of a triangle without area may miss by so little
_RULES = {count: np.polynomial.legendre.leggauss(count) for count in (3, 6, 16)}
_BLOCK = 6144  # sides at a time: the arrays between stay in the cache
_LEAST = 1e-300  # in the place of a zero that is divided by
_STEPS = 100  # 8 do for sides up to 10 000 km, the rest for those near the antipode
_OPPOSITE = np.radians(179.0)  # longer sides come near the antipode, where two lines compete


def from_sides(a: ArrayLike, b: ArrayLike, c: ArrayLike, radius: ArrayLike):
    """
    Excess of a triangle on a sphere from its three sides.

    Parameters
    ----------
    a, b, c : float or array
        Lengths along the sphere, in metres.
    radius : float or array
        Of the sphere, in metres.

    Returns
    -------
    float or array
        In arcseconds, by L'Huilier's formula; zero for a triangle without area.

    Raises
    ------
    ValueError
        If the sides cannot close: one is longer than the other two together, or all three are
        longer than the sphere's circumference.

    References
    ----------
    Todhunter and Leathem, Spherical Trigonometry, 1901, article 102 (from memory).
    """
    radius = positive(radius, "radius")
    a, b, c, radius = together(*(finite(side, "side") for side in (a, b, c)), radius)
    s = (a + b + c) / 2
    left = np.array([(b + c - a) / 2, (c + a - b) / 2, (a + b - c) / 2])  # s − a, s − b, s − c
    open_ended = (left < -_ROUNDING * s).any(axis=0)
    if some(open_ended):
        sides = ", ".join(f"{side[open_ended][0]:.10g}" for side in (a, b, c))
        raise ValueError(
            f"sides of {sides} m cannot close: no side may be longer than the other two "
            "together; is one mistyped?"
        )
    too_long = s > np.pi * radius * (1 + _ROUNDING)
    if some(too_long):
        raise ValueError(
            f"sides that add up to {2 * s[too_long][0]:.10g} m are longer than the sphere's "
            f"circumference of {2 * np.pi * radius[too_long][0]:.10g} m: are sides and radius "
            "in the same unit?"
        )
    halves = np.tan(left.clip(0) / (2 * radius))
    # s/2R reaches 90° for half the sphere, whose tangent is endless
    whole = np.tan(np.minimum(s / (2 * radius), np.pi / 2))
    return plain(4 * RHO * np.arctan(np.sqrt(whole * halves.prod(axis=0))))


def from_corners(lats: ArrayLike, lons: ArrayLike):
    """
    Excess of triangles on a sphere from their corners; any sphere, since only angles count.

    Parameters
    ----------
    lats, lons : array, last axis 3
        In degrees; longitudes in any range. Sides are the shorter arcs of great circles.

    Returns
    -------
    float or array
        In arcseconds, without the last axis. Ten digits are right for sides of 1 km and more,
        over a pole and the date line too.

    Raises
    ------
    ValueError
        If there are not three corners, a latitude lies beyond 90 degrees, or two corners are
        opposite each other, so that every great circle through one meets the other.

    References
    ----------
    Van Oosterom and Strackee, IEEE Transactions on Biomedical Engineering 30, 1983 (from
    memory), with differences in the triple product so that small triangles keep their digits.
    """
    lats, lons = _corners(lats, lons)
    if lats.shape[-1] != 3:
        raise ValueError(
            f"a triangle has 3 corners, not {lats.shape[-1]}; do they stand along the last axis?"
        )
    directions = _directions(lats, lons)
    a, b, c = np.moveaxis(directions, -2, 0)
    for one, other in ((a, b), (b, c), (c, a)):
        if (np.linalg.norm(one + other, axis=-1) < 1e-9).any():
            raise ValueError(
                "two corners are opposite each other on the sphere, so that the side between "
                "them can run anywhere: put a corner in between, or check the signs"
            )
    volume = np.abs(_triple(a, b, c))
    return plain(2 * RHO * np.arctan2(volume, 1 + _dot(a, b) + _dot(b, c) + _dot(c, a)))


def from_area(area: ArrayLike, radius: ArrayLike):
    """
    Excess of a figure of known area on a sphere: exact on the sphere, for any shape.

    Parameters
    ----------
    area : float or array
        In square metres.
    radius : float or array
        Of the sphere, in metres; for a survey on the ellipsoid √(Mν) at its middle.

    Returns
    -------
    float or array
        E = ρ″ A/R², in arcseconds (Girard).

    Raises
    ------
    ValueError
        If the area is negative, or larger than half the sphere.
    """
    area, radius = together(finite(area, "area"), positive(radius, "radius"))
    wrong = (area < 0) | (area > 2 * np.pi * radius**2 * (1 + _ROUNDING))
    if some(wrong):
        raise ValueError(
            f"area {area[wrong][0]:.10g} m² is not between 0 and half of the sphere, "
            f"{2 * np.pi * radius[wrong][0] ** 2:.10g} m²: are area and radius both in metres?"
        )
    return plain(RHO * area / radius**2)


def on_ellipsoid(lats: ArrayLike, lons: ArrayLike, ellipsoid: Ellipsoid):
    """
    Excess of triangles and polygons with geodesic sides.

    The sum of the n interior angles less (n − 2) · 180°, which by Gauss and Bonnet is the
    curvature 1/(Mν) summed over the area. It is not found from the angles, which for sides of
    1 km would leave no digit, but from the triangles that each side makes with the nearer pole.

    Parameters
    ----------
    lats, lons : array, last axis n ≥ 3
        Corners in order, either way round, in degrees; longitudes in any range.
    ellipsoid : Ellipsoid

    Returns
    -------
    float or array
        In arcseconds, without the last axis; ten digits are right for sides of 1 km and more.

    Raises
    ------
    ValueError
        If there are fewer than three corners, a latitude lies beyond 90 degrees, sides cross,
        or a side joins points nearly opposite on the Earth.
    """
    lats, lons = _corners(lats, lons)
    _refuse_crossing(lats, lons)
    return plain(RHO * np.abs(_left(lats, lons, ellipsoid)))


def angles(lats: ArrayLike, lons: ArrayLike, ellipsoid: Ellipsoid):
    """
    Interior angles of triangles and polygons with geodesic sides.

    Parameters
    ----------
    lats, lons : array, last axis n ≥ 3
        Corners in order, either way round, in degrees; longitudes in any range.
    ellipsoid : Ellipsoid

    Returns
    -------
    array, last axis n
        In degrees, in the order of the corners.

    Raises
    ------
    ValueError
        As `on_ellipsoid`; also if neighbouring corners coincide.
    """
    lats, lons = _corners(lats, lons)
    _refuse_crossing(lats, lons)
    onward, backward, length = _sides(lats, lons, ellipsoid)
    if (length == 0).any():
        raise ValueError(
            "two neighbouring corners are the same point, where no angle can be measured; "
            "is one corner given twice, or the first repeated at the end?"
        )
    to_previous = np.roll(backward, 1, axis=-1)
    turn = np.where(_left(lats, lons, ellipsoid) > 0, 1, -1)[..., np.newaxis]
    angle = turn * (onward - to_previous) % 360
    # rounding makes a full turn of the zero angle at the tip of a figure without area
    return np.where(angle > 360 - 1e-9, 0.0, angle)


def _corners(lats: ArrayLike, lons: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
    lats, lons = together(latitudes(lats), finite(lons, "longitude"))
    if lats.ndim == 0 or lats.shape[-1] < 3:
        count = lats.shape[-1] if lats.ndim else 1
        raise ValueError(
            f"a closed figure needs at least 3 corners along the last axis, and this one has "
            f"{count}: do the corners stand along another axis?"
        )
    return lats, lons


def _directions(lats, lons):
    """Unit vectors; near a pole the small components come from the small angle."""
    phi, lam = np.radians(lats), np.radians(lons)
    out = np.sin(np.radians(90 - np.abs(lats)))  # cos φ
    return np.stack([out * np.cos(lam), out * np.sin(lam), np.sin(phi)], axis=-1)


def _dot(a, b):
    return (a * b).sum(axis=-1)


def _sides(lats, lons, ellipsoid):
    """Azimuth of each side at its start, at its end back to the start, and its length."""
    geod = pyproj.Geod(a=ellipsoid.semi_major, f=ellipsoid.flattening)
    lats2, lons2 = np.roll(lats, -1, axis=-1), np.roll(lons, -1, axis=-1)
    return geod.inv(*(x.copy() for x in (lons, lats, lons2, lats2)))


def _left(lats, lons, ellipsoid):
    """
    Curvature summed over what lies left of the sides, or minus that right of them: the smaller.

    The sum over the sides of the excess of the triangle pole, start, end. That pole is taken
    which is nearer, so that the triangles, of which small differences remain, are small too.
    """
    mirror = np.where(lats.mean(axis=-1, keepdims=True) < 0, -1.0, 1.0)
    sums = _in_blocks(lats * mirror, lons, ellipsoid).reshape(lats.shape[:-1])
    whole = mirror[..., 0] * sums
    return whole - 4 * np.pi * np.rint(whole / (4 * np.pi))  # twice all of a sphere's 2π


def _in_blocks(lats, lons, ellipsoid):
    """Return the sums of the polar triangles of each figure, so many at a time as a cache holds."""
    corners = lats.shape[-1]
    lats, lons = (part.reshape(-1, corners) for part in (lats, lons))
    whole = np.empty(len(lats))
    step = max(1, _BLOCK // corners)
    for first in range(0, len(lats), step):
        part = slice(first, first + step)
        whole[part] = _polar_excess(lats[part], lons[part], ellipsoid).sum(axis=-1)
    return whole


def _polar_excess(lats, lons, ellipsoid):
    """
    Signed excess of the geodesic triangles north pole, start and end of each side, in radians.

    On the auxiliary sphere a geodesic is a great circle between reduced latitudes over a
    longitude ω, and keeps its azimuths (Karney, Algorithms for geodesics, Journal of Geodesy 87,
    2013, section 2). The ellipsoid's triangle has the same angles but λ for ω at the pole, so
    its excess is larger by λ − ω.
    """
    lam = np.radians(_turned(lons, np.roll(lons, -1, axis=-1)))
    colatitude = np.radians(90 - lats)
    theta1 = np.arctan2(np.sin(colatitude), (1 - ellipsoid.flattening) * np.cos(colatitude))
    theta2 = np.roll(theta1, -1, axis=-1)
    gain = _longitude_gain(theta1, theta2, lam, ellipsoid)
    omega = lam + gain
    s = np.sin(theta1 / 2) * np.sin(theta2 / 2)
    c = np.cos(theta1 / 2) * np.cos(theta2 / 2)
    return 2 * np.arctan2(s * np.sin(omega), c + s * np.cos(omega)) - gain


def _turned(lon1, lon2):
    """Change of longitude the short way round; over the date line too it keeps all its digits."""
    change = lon2 - lon1
    back = change - lon2
    lost = (lon2 - (change - back)) - (lon1 + back)  # by rounding: 360 has a coarser last digit
    return wrap_longitude(change) + lost


def _longitude_gain(theta1, theta2, lam, ellipsoid):
    """
    ω − λ of geodesics between reduced colatitudes, by iteration (Karney, equation 8).

    What an ω leads to is nearly in proportion to it, so each step solves that proportion: a short
    side is done in two.
    """
    f, k2_most = ellipsoid.flattening, ellipsoid.second_eccentricity_squared
    line = _GreatCircle(theta1, theta2)
    small = np.where(lam == 0, 1.0, lam)
    gain, last = np.zeros_like(lam), 0.0
    for _ in range(_STEPS):
        omega = small + gain
        sigma, sine0, sigma1 = line(omega)
        longest = sigma.max(initial=0.0)
        if longest > _OPPOSITE:
            raise ValueError(
                "a side joins points nearly opposite on the Earth, between which the shortest "
                "line is not certain: put a corner in between, or check the signs"
            )
        nodes, weights = _rule(longest, f)
        arcs = sigma1 + sigma * (nodes[:, np.newaxis, np.newaxis] + 1) / 2
        k2 = k2_most * (1 - sine0**2)
        terms = (2 - f) / (1 + (1 - f) * np.sqrt(1 + k2 * np.sin(arcs) ** 2))
        share = f * sine0 * sigma * np.tensordot(weights, terms, 1) / 2 / omega
        before, gain = gain, small * share / (1 - share)
        change = np.abs((gain - before) / small).max(initial=0.0)
        if change * (min(1.0, change / last) if last else 1.0) <= 1e-15:  # the next change
            break
        last = change
    return np.where(lam == 0, 0.0, gain)


def _rule(longest, flattening):
    """Return as many of Gauss's nodes as sides up to that long need for thirteen digits."""
    if flattening > 0.01 or longest > 1.0:
        return _RULES[16]
    return _RULES[3 if longest < 0.1 else 6]


class _GreatCircle:
    """Great circles on the unit sphere between colatitudes; short ones keep their digits."""

    def __init__(self, theta1, theta2):
        self.sin1, self.cos1, self.sin2, self.cos2 = (
            function(theta) for theta in (theta1, theta2) for function in (np.sin, np.cos)
        )
        self.climb = np.sin(theta1 - theta2)

    def __call__(self, omega):
        """Return length, the sine of α₀ at the equator, and σ₁ from there, over a longitude."""
        half = np.sin(omega / 2)
        east = self.sin2 * 2 * half * np.cos(omega / 2)
        north = self.climb + 2 * self.cos1 * self.sin2 * half**2
        ahead = self.cos1 * self.cos2 + self.sin1 * self.sin2 * (1 - 2 * half**2)
        length = np.hypot(east, north) + _LEAST
        sigma1 = np.arctan2(self.cos1, self.sin1 * north / length)
        return np.arctan2(length, ahead), self.sin1 * east / length, sigma1


def _refuse_crossing(lats, lons):
    """Raise where two sides of a figure cross; sides are taken as great circles for it."""
    start = _directions(lats, lons)
    end = np.roll(start, -1, axis=-2)
    for step in range(2, lats.shape[-1] // 2 + 1):
        a, b = start, end
        c, d = (np.roll(ends, -step, axis=-2) for ends in (start, end))
        sides = np.stack([_triple(a, c, b), _triple(c, b, d), _triple(b, d, a), _triple(d, a, c)])
        crossing = (sides > 0).all(axis=0) | (sides < 0).all(axis=0)
        if some(crossing):
            side = np.argwhere(crossing)[0][-1]
            other = (side + step) % lats.shape[-1]
            raise ValueError(
                f"the sides that begin at corners {side + 1} and {other + 1} cross, so that the "
                "figure has no inside: are two corners in the wrong order?"
            )


def _triple(a, b, c):
    """Which way round three points lie, as the sign of their triple product."""
    return _dot(a, np.cross(b - a, c - a))
