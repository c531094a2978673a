"""
The pull of masses: rectangular prisms, what they do to the plumb line, and the line's own curve.

East, north and up in metres in one level frame, which is flat: over 100 km the Earth has fallen
away by 0.8 km. Densities in kg/m³; a contrast, such as rock in the place of water, is one too and
may be negative. Pulls are in m/s² and point towards the mass. ξ and η in arcseconds, north and
east positive: where the zenith leans to, the other way from where a weight is pulled.

A prism's pull is known in closed form (`prism`). As it is mostly printed the form fails on the
prism's own edges, where it takes the logarithm of zero, and far away, where large terms cancel:
for a cube of 100 m it is wrong by 4 × 10⁻⁵ of itself at 100 km. Here each edge's logarithm is
ln(1 + 2h/s), h its length and s the amount by which the way over its two ends is longer than
itself, as a sum of positive terms; and beyond twelve half diagonals the moments of the prism's
mass take over, up to the fourth. They leave out less than (d/r)⁶, d being the half diagonal and r
the distance: a term of degree l is at most (l + 1)⟨sˡ⟩/rˡ of the pull, no prism's mean ⟨s⁶⟩ is
larger than a thin rod's, d⁶/7, and odd ones vanish. So the switch costs 3 × 10⁻⁷ at most, and
farther out less.
"""

import math
from functools import cached_property, partial

import numpy as np
from numpy.typing import ArrayLike

from geokit.angles import RHO
from geokit.checks import densities, depths_at_sea, finite, latitudes, not_negative, plain, positive
from geokit.gravity import GRAVITATIONAL_CONSTANT, NormalField

_AXES = ("east", "north", "up")
FAR = 12  # half diagonals, from where on the moments take over
_BLOCK = 16_384  # pairs of point and prism at a time: the arrays between stay in the cache
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)  # over a ring
_LEAST = 1e-300  # in the place of a zero that is divided by and then multiplied away


def prism(east: ArrayLike, north: ArrayLike, up: ArrayLike, bounds: ArrayLike, density: ArrayLike):
    """
    Pull of a rectangular prism at a point anywhere: outside, inside, on a face, edge or corner.

    Parameters
    ----------
    east, north, up : float or array
        Of the point, in metres.
    bounds : array
        Of the prism, in metres, along the last axis: west, east, south, north, bottom, top. Other
        axes broadcast with the point's.
    density : float or array
        In kg/m³; may be a contrast, and negative.

    Returns
    -------
    ge, gn, gu : floats or arrays
        In m/s², towards the mass where the density is positive.

    Raises
    ------
    ValueError
        If a prism has no size, or one below zero, or a density looks like grams a cubic
        centimetre.

    References
    ----------
    Nagy, The gravitational attraction of a right rectangular prism, Geophysics 31, 1966; Nagy,
    Papp and Benedek, The gravitational potential and its derivatives for the prism, Journal of
    Geodesy 74, 2000, with the correction in 76, 2002 (works from memory; the form was derived
    anew and is tested against an independent quadrature).
    """
    return plain(*_of_pairs(_pull, 3, east, north, up, bounds, density))


def potential(
    east: ArrayLike, north: ArrayLike, up: ArrayLike, bounds: ArrayLike, density: ArrayLike
):
    """
    Potential of a rectangular prism at a point anywhere; parameters and errors as for `prism`.

    Returns
    -------
    float or array
        In m²/s². Divided by gravity it is how far the prism lifts a level surface there.
    """
    return plain(*_of_pairs(_potential, 1, east, north, up, bounds, density))


def body(
    east: ArrayLike,
    north: ArrayLike,
    up: ArrayLike,
    bounds: ArrayLike,
    density: ArrayLike,
    *,
    along: str | None = None,
):
    """
    Pull of a body made of prisms, at any number of points, with bounded memory.

    Parameters
    ----------
    east, north, up : float or array
        Of the points, in metres.
    bounds : array
        Of shape (n, 6), each row as in `prism`.
    density : float or array
        One for all prisms, or n of them, in kg/m³.
    along : str, optional
        "east", "north" or "up": the pull along that axis alone, in less than half the time.

    Returns
    -------
    ge, gn, gu : floats or arrays
        The sum over all prisms, in m/s², in the shape that the points broadcast to; one of them
        where `along` names it.

    Raises
    ------
    ValueError
        As for `prism`, where bounds are no table of six columns, and where `along` is no axis.
    """
    if along is None:
        return plain(*_summed(_pull, 3, east, north, up, bounds, density))
    if along not in _AXES:
        raise ValueError(f"along {along!r} is no axis: {', '.join(_AXES)}")
    one = partial(_pull, axes=(_AXES.index(along),))
    return plain(*_summed(one, 1, east, north, up, bounds, density))


def body_potential(
    east: ArrayLike, north: ArrayLike, up: ArrayLike, bounds: ArrayLike, density: ArrayLike
):
    """Potential of a body made of prisms, in m²/s²; parameters and errors as for `body`."""
    return plain(*_summed(_potential, 1, east, north, up, bounds, density))


def deflection(ge: ArrayLike, gn: ArrayLike, gravity: ArrayLike):
    """
    Deflection of the vertical that a sideways pull makes.

    Parameters
    ----------
    ge, gn : float or array
        The pull to the east and to the north, in m/s².
    gravity : float or array
        Of the Earth at the point, in m/s².

    Returns
    -------
    xi, eta : floats or arrays
        ξ = −ρ″ gn/g and η = −ρ″ ge/g, in arcseconds: a pull to the north leans the zenith south,
        and a weight goes north.

    Raises
    ------
    ValueError
        If gravity is not the Earth's, 9 to 10 m/s².
    """
    g = finite(gravity, "gravity")
    strange = (g < 9) | (g > 10)
    if strange.any():
        raise ValueError(
            f"gravity {g[strange][0]:.10g} m/s² is not the Earth's; allowed is 9 to 10: was it "
            "given in milligals, or a sideways pull in its place?"
        )
    ge, gn, g = np.broadcast_arrays(
        finite(ge, "pull to the east"), finite(gn, "pull to the north"), g
    )
    return plain(0 - RHO * gn / g, 0 - RHO * ge / g)


def wire(depths: ArrayLike, xi: ArrayLike, eta: ArrayLike):
    """
    A plumb line that curves: where it passes, from the deflection at each depth.

    Parameters
    ----------
    depths : array
        Below the upper end, in metres, rising along the last axis; the first is 0.
    xi, eta : arrays
        Deflection at those depths, in arcseconds.

    Returns
    -------
    east, north : arrays
        From the normal through the upper end, in metres, at each depth: −∫η dz and −∫ξ dz, by
        the trapezoidal rule.

    Raises
    ------
    ValueError
        If depths do not begin at 0, or do not rise.
    """
    z, xi, eta = np.broadcast_arrays(
        not_negative(depths, "depth"), finite(xi, "ξ"), finite(eta, "η")
    )
    steps = np.diff(z, axis=-1)
    if z.ndim == 0 or (z[..., 0] != 0).any() or (steps <= 0).any():
        raise ValueError(
            "depths along a plumb line begin at 0, its upper end, and rise from one to the next: "
            "are they heights, or out of order?"
        )
    return tuple(_run(steps, lean) for lean in (eta, xi))


def _run(steps, lean):
    """Return how far a line that leans has gone sideways at the end of each step."""
    passed = np.zeros(lean.shape)
    np.cumsum(-(lean[..., 1:] + lean[..., :-1]) / 2 * steps / RHO, axis=-1, out=passed[..., 1:])
    return passed


def normal_curvature(latitude: ArrayLike, field: NormalField):
    """
    Curvature of the normal field's plumb line at the ellipsoid.

    Gravity grows towards the poles, so level surfaces close in there, and a plumb line is hollow
    on the pole's side.

    Parameters
    ----------
    latitude : float or array
        Geodetic, in degrees.
    field : NormalField
        `GRS80_FIELD` or `WGS84_FIELD`.

    Returns
    -------
    float or array
        κ = (∂γ/∂φ)/(γM) from Somigliana's formula, in radians a metre, positive in the north:
        by κ·d the zenith's latitude falls down to depth d, and the wire's foot moves by κ·d²/2 to
        the north. About 0.17″ sin 2φ a kilometre.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees.
    """
    latitude = latitudes(latitude)
    phi = np.radians(latitude)
    sine2 = np.sin(phi) ** 2
    k, e2 = field.somigliana_constant, field.ellipsoid.eccentricity_squared
    growth = k / (1 + k * sine2) + e2 / (2 * (1 - e2 * sine2))
    return plain(np.sin(2 * phi) * growth / field.ellipsoid.meridian_radius(latitude))


def normal_wire(latitude: ArrayLike, depth: ArrayLike, field: NormalField):
    """
    What the curve of the normal field's plumb line does at a depth.

    Parameters
    ----------
    latitude : float or array
        Geodetic, in degrees.
    depth : float or array
        Below the upper end, in metres, to 12 000.
    field : NormalField
        `GRS80_FIELD` or `WGS84_FIELD`.

    Returns
    -------
    xi : float or array
        By how much the zenith there stands farther north than at the top, in arcseconds; below
        zero in the north, where it leans towards the equator.
    north : float or array
        Where the foot stands from the straight line, in metres, north positive: towards the pole.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees, or a depth is above the sea or below all trenches.
    """
    depth = depths_at_sea(depth)
    curvature = np.asarray(normal_curvature(latitude, field))
    xi, north = np.broadcast_arrays(0 - curvature * depth * RHO, curvature * depth**2 / 2)
    return plain(xi.copy(), north.copy())


def ring(
    anomalies: ArrayLike, inner: ArrayLike, outer: ArrayLike, gravity: ArrayLike, radius: float
):
    """
    Deflection from gravity in a ring round a site: Vening Meinesz's rule.

    Parameters
    ----------
    anomalies : array
        Gravity anomalies along the ring, in m/s²; along the last axis from north over east, in
        even steps of azimuth, at least four.
    inner, outer : float or array
        Radii of the ring along the Earth, in metres; between them the anomalies are as given.
    gravity : float
        Of the Earth, in m/s².
    radius : float
        Of the Earth, in metres; infinite for a plane, where the ring counts ln(outer/inner).

    Returns
    -------
    xi, eta : floats or arrays
        The ring's share, in arcseconds. One that is alike all round adds nothing.

    Raises
    ------
    ValueError
        If the ring has no width, reaches beyond the antipode, or has fewer than four anomalies.

    References
    ----------
    Heiskanen and Moritz, Physical Geodesy, 1967, section 2-22 (from memory); the kernel is
    Stokes's, differentiated, and tested against its series.
    """
    anomalies = finite(anomalies, "anomaly")
    inner, outer = positive(inner, "inner radius"), finite(outer, "outer radius")
    if anomalies.ndim == 0 or anomalies.shape[-1] < 4:
        raise ValueError("a ring needs anomalies at four azimuths at least: is it one mean of all?")
    if (outer <= inner).any():
        raise ValueError(
            f"the ring's outer radius must be larger than its inner one, {inner.flat[0]:.10g} m: "
            "are the two swapped?"
        )
    if (outer >= math.pi * radius).any():
        raise ValueError(
            f"outer radius {outer.max():.10g} m reaches to the other side of the Earth, "
            f"{math.pi * radius:.10g} m away: was it given in another unit?"
        )
    turn = 2 * np.pi * np.arange(anomalies.shape[-1]) / anomalies.shape[-1]
    weight = RHO * _ring_weight(inner, outer, radius) / finite(gravity, "gravity")
    north, east = ((anomalies * f(turn)).mean(-1) for f in (np.cos, np.sin))
    return plain(0 - weight * north, 0 - weight * east)


def innermost(slope_north: ArrayLike, slope_east: ArrayLike, outer: ArrayLike, gravity: ArrayLike):
    """
    What the disc within the first ring adds, from the slope of the anomaly at the site.

    Parameters
    ----------
    slope_north, slope_east : float or array
        Of the gravity anomaly, in m/s² a metre (1 mGal a kilometre is 10⁻⁸).
    outer : float or array
        Radius of the disc, in metres, within which the anomaly is a plane.
    gravity : float or array
        Of the Earth, in m/s².

    Returns
    -------
    xi, eta : floats or arrays
        −ρ″ · slope · outer/(2g), in arcseconds.

    Raises
    ------
    ValueError
        If the radius is not above zero.
    """
    weight = RHO * positive(outer, "radius") / 2 / finite(gravity, "gravity")
    north, east = finite(slope_north, "slope to the north"), finite(slope_east, "slope to the east")
    north, east, weight = np.broadcast_arrays(north, east, weight)
    return plain(0 - weight * north, 0 - weight * east)


# Pairs of point and prism -----------------------------------------------------------------


def _points(east, north, up):
    return np.broadcast_arrays(finite(east, "east"), finite(north, "north"), finite(up, "up"))


def _prisms(bounds, density):
    """Return bounds and densities as arrays; a prism without a size is refused."""
    bounds, density = finite(bounds, "bound"), densities(density)
    if bounds.ndim == 0 or bounds.shape[-1] != 6:
        raise ValueError(
            f"bounds of shape {bounds.shape}: six stand along the last axis, west, east, south, "
            "north, bottom, top; is one missing?"
        )
    for first, names in ((0, "west east"), (2, "south north"), (4, "bottom top")):
        low, high = bounds[..., first], bounds[..., first + 1]
        if (flat := high <= low).any():
            one, other = names.split()
            raise ValueError(
                f"{one} {low[flat][0]:.10g} m and {other} {high[flat][0]:.10g} m leave a prism "
                f"without size; {other} must be larger than {one}: are the two swapped, or was a "
                "depth given for a height?"
            )
    return bounds, density


def _of_pairs(call, results, east, north, up, bounds, density):
    """Results of a call on pairs of point and prism, in the shape that they broadcast to."""
    bounds, density = _prisms(bounds, density)
    sides = np.moveaxis(bounds, -1, 0)
    arrays = np.broadcast_arrays(*_points(east, north, up), density, *sides)
    shape = arrays[0].shape
    flat = [array.reshape(-1) for array in arrays]
    out = np.empty((results, flat[0].size))
    for start in range(0, flat[0].size, _BLOCK):
        part = [array[start : start + _BLOCK] for array in flat]
        out[:, start : start + _BLOCK] = call(part[:3], np.array(part[4:]), part[3])
    return out.reshape((results, *shape))


def _summed(call, results, east, north, up, bounds, density):
    """Sum of a call over all prisms, block by block of points and prisms."""
    points = _points(east, north, up)
    bounds, density = _prisms(bounds, density)
    if bounds.ndim != 2:
        raise ValueError(
            f"bounds of shape {bounds.shape}: a body is a table of six columns, a prism in each row"
        )
    density = np.broadcast_to(density, len(bounds))
    flat = [point.reshape(-1, 1) for point in points]
    out = np.zeros((results, len(flat[0])))
    rows = max(1, min(64, len(flat[0])))
    columns = _BLOCK // rows
    for first in range(0, len(flat[0]), rows):
        at = [point[first : first + rows] for point in flat]
        for start in range(0, len(bounds), columns):
            part = slice(start, start + columns)
            of_each = call(at, bounds[part].T, density[part])
            out[:, first : first + rows] += [one.sum(-1) for one in of_each]
    return out.reshape((results, *points[0].shape))


def _pull(points, bounds, density, axes=(0, 1, 2)):
    """
    Return the pull of each prism at each point along axes.

    Far away it goes by the prism's moments, near by in closed form.
    """
    seen, strength = _Seen(points, bounds), GRAVITATIONAL_CONSTANT * density
    pulls = [np.empty(seen.far.shape) for _ in axes]
    if seen.far.any():
        moments = _Moments(seen)
        central = strength * seen.volume / (seen.distance2 * np.sqrt(seen.distance2))
        pulls = [central * seen.ways[axis] * moments._pull(axis) for axis in axes]
    if not seen.far.all():
        near = ~seen.far
        strength = np.broadcast_to(strength, near.shape)[near]
        for pull, (_, faces) in zip(pulls, _closed(points, bounds, near, axes), strict=True):
            pull[near] = strength * (faces[0] - faces[1])
    return pulls


def _potential(points, bounds, density):
    """Return the potential of each prism at each point."""
    seen, strength = _Seen(points, bounds), GRAVITATIONAL_CONSTANT * density
    found = np.empty(seen.far.shape)
    if seen.far.any():
        found = strength * seen.volume / np.sqrt(seen.distance2) * _Moments(seen)._potential()
    if not seen.far.all():
        near = ~seen.far
        closed = _closed(points, bounds, near)
        twice = sum(ends[1] * faces[1] - ends[0] * faces[0] for ends, faces in closed)
        found[near] = np.broadcast_to(strength, near.shape)[near] * twice / 2
    return (found,)


class _Seen:
    """Prisms as seen from points: the ways to their centres, and which of them are far."""

    def __init__(self, points, bounds):
        sides = [bounds[i + 1] - bounds[i] for i in (0, 2, 4)]
        self.volume = sides[0] * sides[1] * sides[2]
        self.squares = [side * side / 12 for side in sides]  # mean square way from the centre
        self.ways = [(bounds[2 * i] + bounds[2 * i + 1]) / 2 - points[i] for i in range(3)]
        x, y, z = self.ways
        distance2, switch = x * x + y * y + z * z, FAR**2 * 3 * sum(self.squares)
        self.far = distance2 > switch
        self.distance2 = np.maximum(distance2, switch)  # nearer, the closed form counts


class _Moments:
    """
    Moments of prisms as points far away feel them, up to the fourth.

    a holds the mean square of the mass's way from the centre along each axis over r², b that
    times the squared direction; a box's mean fourth power is 1.8 times the mean square, squared.
    """

    def __init__(self, seen):
        inverse = 1 / seen.distance2
        a = self.a = [square * inverse for square in seen.squares]
        b = self.b = [one * way * way * inverse for one, way in zip(a, seen.ways, strict=True)]
        self.t, self.q = a[0] + a[1] + a[2], b[0] + b[1] + b[2]
        self.fourth = b[0] * b[0] + b[1] * b[1] + b[2] * b[2]
        self.mixed = self.t * self.q + 0.8 * (a[0] * b[0] + a[1] * b[1] + a[2] * b[2])
        self.even = self.t * self.t + 0.8 * (a[0] * a[0] + a[1] * a[1] + a[2] * a[2])

    @cached_property
    def _common(self):
        """Return what the three axes share."""
        second = 7.5 * self.q - 1.5 * self.t
        fourth = 118.125 * self.q * self.q - 47.25 * self.fourth
        return 1 + second + fourth - 26.25 * self.mixed + 1.875 * self.even

    def _pull(self, axis):
        """Return the pull along an axis, as a part of that of a point at the centre."""
        a, b = self.a[axis], self.b[axis]
        return self._common - a * (3 + 52.5 * self.q - 21 * b - 7.5 * self.t - 6 * a)

    def _potential(self):
        """Return the potential, as a part of that of a point at the centre."""
        fourth = 105 * self.q**2 - 42 * self.fourth - 30 * self.mixed + 3 * self.even
        return 1 + (3 * self.q - self.t) / 2 + fourth / 8


def _closed(points, bounds, near, axes=(0, 1, 2)):
    """
    Return for each axis its two ends, seen from the points, and ∫∫ dA/r over the two faces there.

    By Gauss's theorem they give the pull and, times half their distance, the potential.
    """
    shape = np.broadcast_shapes(points[0].shape, bounds[0].shape)
    ends = []
    for axis, point in enumerate(points):
        at = np.broadcast_to(point, shape)[near]
        ends.append(
            np.array([np.broadcast_to(b, shape)[near] - at for b in bounds[2 * axis :][:2]])
        )
    x, y, z = ends
    r = np.sqrt(
        (x * x)[:, np.newaxis, np.newaxis]
        + (y * y)[:, np.newaxis]
        + (z * z)[np.newaxis, np.newaxis]
    )
    return tuple(
        (ends[i], _face(ends[i], ends[j], ends[k], np.transpose(r, (i, j, k, 3))))
        for i, j, k in (((0, 1, 2), (1, 0, 2), (2, 0, 1))[axis] for axis in axes)
    )


def _face(x, y, z, r):
    """Return ∫∫ dy dz/r over the faces at both x; r has the axes x, y, z."""
    along_z = _edge(r[:, :, 0], r[:, :, 1], *z, (x * x)[:, np.newaxis] + y * y)
    along_y = _edge(r[:, 0], r[:, 1], *y, (x * x)[:, np.newaxis] + z * z)
    away = np.abs(x)
    seen = np.arctan2(
        (y[:, np.newaxis] * z)[np.newaxis], away[:, np.newaxis, np.newaxis] * r
    )  # of each corner; together the solid angle of the face
    angle = seen[:, 1, 1] - seen[:, 1, 0] - seen[:, 0, 1] + seen[:, 0, 0]
    lines = (
        y[1] * along_z[:, 1] - y[0] * along_z[:, 0] + z[1] * along_y[:, 1] - z[0] * along_y[:, 0]
    )
    return lines - away * angle


def _edge(first, last, begin, end, across2):
    """
    Return ∫ dz/r along an edge from begin to end: ln((r₂ + z₂)/(r₁ + z₁)), without cancelling.

    `first` and `last` are the distances of its ends, `across2` the square of that of its line. On
    the edge itself the integral has no end, but it is multiplied by the distance: 0 stands for it.
    """
    a, b = np.abs(begin), np.abs(end)
    beside = np.where(begin * end > 0, 2 * np.minimum(a, b), 0.0)
    over = beside + across2 * (1 / np.maximum(first + a, _LEAST) + 1 / np.maximum(last + b, _LEAST))
    return np.log1p(2 * (end - begin) / np.where(over == 0, np.inf, over))


# Rings ------------------------------------------------------------------------------------


def _ring_weight(inner, outer, radius):
    """Return −½ ∫ S′(ψ) sin ψ dψ over a ring: on a plane ln(outer/inner)."""
    ratio = np.log(outer / inner)
    if math.isinf(radius):
        return ratio
    psi = (inner / radius)[..., np.newaxis] * np.exp(ratio[..., np.newaxis] * (_NODES + 1) / 2)
    return -(_stokes_slope(psi) * np.sin(psi) * psi * _WEIGHTS).sum(-1) * ratio / 4


def _stokes_slope(psi):
    """Return dS/dψ of Stokes's function S = 1/s − 6s + 1 − 5cosψ − 3cosψ ln(s + s²), s = sin ½ψ."""
    s, by_psi = np.sin(psi / 2), np.cos(psi / 2) / 2
    log = np.log(s + s * s)
    return -by_psi * (1 / s**2 + 6 + 3 * np.cos(psi) * (1 + 2 * s) / (s + s * s)) + (
        5 + 3 * log
    ) * np.sin(psi)
