"""
From one datum to another: similarity transformations of Earth-centred coordinates.

Translations in metres, rotations in arcseconds, scale in parts per million; X, Y, Z in metres.
The signs of the rotations depend on a convention, which is never assumed: the "position vector"
convention turns the point, the "coordinate frame" convention turns the axes, and the same numbers
read the other way move a point by twice the rotation.

Formulas: IOGP Publication 373-7-2, Geomatics Guidance Note 7 part 2.
"""

import difflib
from dataclasses import KW_ONLY, dataclass

import numpy as np
from numpy.typing import ArrayLike

from geokit.angles import RHO
from geokit.checks import finite, latitudes, plain, some, together, wrap_longitude
from geokit.ellipsoid import Ellipsoid

CONVENTIONS = ("position vector", "coordinate frame")

LARGEST_ROTATION = 120.0
"""Arcseconds; the largest of the EPSG dataset is 77 (Réunion 1947)."""

LARGEST_SCALE = 500.0
"""Parts per million; the largest of the EPSG dataset for the Earth is 268 (Nuku Hiva 1972)."""

LARGEST_TRANSLATION = 10_000.0
"""Metres; the largest of the EPSG dataset for the Earth is 2 624."""


@dataclass(frozen=True)
class _SevenParameters:
    tx: float
    ty: float
    tz: float
    rx: float
    ry: float
    rz: float
    scale_ppm: float
    _: KW_ONLY
    convention: str

    def __post_init__(self) -> None:
        _check_convention(self.convention)
        for name in ("tx", "ty", "tz"):
            self._limit(name, "m", LARGEST_TRANSLATION, "a coordinate, or in millimetres")
        for name in ("rx", "ry", "rz"):
            self._limit(name, "″", LARGEST_ROTATION, "an angle in degrees, or in milliarcseconds")
        self._limit("scale_ppm", "ppm", LARGEST_SCALE, "in parts per billion")
        if 0 < abs(self.scale_ppm - 1) <= LARGEST_SCALE / 1e6:
            raise ValueError(
                f"scale_ppm {self.scale_ppm} looks like a scale factor; parts per million are "
                f"wanted, here {(self.scale_ppm - 1) * 1e6:.6g}: was the factor given?"
            )

    def _limit(self, name, unit, most, cause):
        number = getattr(self, name)
        if not (abs(number) <= most or np.isnan(number)):
            raise ValueError(
                f"{name} {number} {unit} is above {most:.0f} {unit}, more than between any two "
                f"datums of the Earth: is it {cause}?"
            )

    def apply(self, x: ArrayLike, y: ArrayLike, z: ArrayLike):
        """
        Transform Earth-centred coordinates.

        Parameters
        ----------
        x, y, z : float or array
            In metres, in the source datum.

        Returns
        -------
        x, y, z : floats or arrays
            In metres, in the target datum.

        Raises
        ------
        ValueError
            If a coordinate is infinite.
        """
        given = (finite(x, "X"), finite(y, "Y"), finite(z, "Z"))
        arms = [number - p for number, p in zip(given, self._origin, strict=True)]
        shifts = np.add(self._origin, (self.tx, self.ty, self.tz))
        return _turned(self._matrix, arms, shifts)

    def reverse(self) -> "Reversed":
        """The exact inverse, which takes the target datum to the source datum."""
        return Reversed(self)

    @property
    def _origin(self):
        """About which it turns and scales."""
        return (0.0, 0.0, 0.0)

    @property
    def _matrix(self):
        return (1 + self.scale_ppm / 1e6) * self._rotation(
            np.array([self.rx, self.ry, self.rz]) / RHO
        )

    def _rotation(self, angles):
        """Rotation matrix for small angles in radians: sines are the angles, cosines are 1."""
        x, y, z = angles if self.convention == "position vector" else -angles
        return np.array([[1, -z, y], [z, 1, -x], [-y, x, 1]])


@dataclass(frozen=True)
class Helmert(_SevenParameters):
    """
    Seven-parameter similarity transformation about the Earth's centre.

    Parameters
    ----------
    tx, ty, tz : float
        Translations, in metres, added on the way from source to target.
    rx, ry, rz : float
        Rotations, in arcseconds.
    scale_ppm : float
        Scale difference, in parts per million: 2.5 for a factor of 1.0000025.
    convention : str
        "position vector" (EPSG method 1033) or "coordinate frame" (1032).
    exact : bool
        True turns with the full rotation matrix, about Z, then Y, then X for the position vector
        convention (its transpose for the other), as PROJ does; False with small angles, as nearly
        all published parameters mean. The two differ by up to 0.3 mm for 1″ about each
        axis, 0.11 m for 20″.

    Raises
    ------
    ValueError
        If the convention is misspelt, a rotation is above 120″, the scale above 500 ppm or a
        factor, or a translation above 10 km.
    """

    _: KW_ONLY
    exact: bool = False

    def sign_reversed(self) -> "Helmert":
        """
        The same with all seven signs turned: the usual inverse, not the exact one.

        It misses the exact inverse by up to the Earth's radius times the rotation squared: 0.45 mm
        for 1″ about each axis, 0.18 m for 20″.
        """
        turned = {name: -getattr(self, name) for name in _SEVEN}
        return _made(Helmert, **turned, convention=self.convention, exact=self.exact)

    def _rotation(self, angles):
        if not self.exact:
            return super()._rotation(angles)
        (sx, sy, sz), (cx, cy, cz) = np.sin(angles), np.cos(angles)
        about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
        about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
        about_z = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
        matrix = about_x @ about_y @ about_z
        return matrix if self.convention == "position vector" else matrix.T


@dataclass(frozen=True)
class MolodenskyBadekas(_SevenParameters):
    """
    Seven-parameter similarity transformation about a pivot near the survey, not the centre.

    Its rotations and scale are those of a Helmert transformation between the same datums, its
    translations are not: they hold at the pivot. Used without its pivot it is wrong by tens to
    hundreds of metres. Rotations are taken as small.

    Parameters
    ----------
    tx, ty, tz : float
        Translations at the pivot, in metres.
    rx, ry, rz : float
        Rotations, in arcseconds.
    scale_ppm : float
        Scale difference, in parts per million.
    pivot : three floats
        X, Y, Z of the point about which the rotations turn, in metres, in the source datum.
    convention : str
        "position vector" (EPSG method 1061) or "coordinate frame" (1034).

    Raises
    ------
    ValueError
        As Helmert, or if the pivot does not lie near the Earth's surface.
    """

    pivot: tuple[float, float, float]

    def __post_init__(self) -> None:
        super().__post_init__()
        pivot = np.asarray(self.pivot, float)
        if pivot.shape != (3,) or not (np.isnan(pivot).any() or _near_surface(pivot)):
            raise ValueError(
                f"pivot {self.pivot} m is not an X, Y, Z near the Earth's surface, some "
                "6 370 000 m from the centre: is it in degrees or kilometres, or a Helmert "
                "transformation?"
            )

    @property
    def _origin(self):
        return self.pivot


@dataclass(frozen=True)
class Reversed:
    """The exact inverse of a transformation; made by its `reverse`."""

    forward: _SevenParameters

    def apply(self, x: ArrayLike, y: ArrayLike, z: ArrayLike):
        """
        Transform Earth-centred coordinates back.

        Parameters
        ----------
        x, y, z : float or array
            In metres, in the target datum of the transformation that was reversed.

        Returns
        -------
        x, y, z : floats or arrays
            In metres, in its source datum.

        Raises
        ------
        ValueError
            If a coordinate is infinite.
        """
        f = self.forward
        given = (finite(x, "X"), finite(y, "Y"), finite(z, "Z"))
        moved = zip(given, f._origin, (f.tx, f.ty, f.tz), strict=True)
        arms = [number - p - t for number, p, t in moved]
        return _turned(np.linalg.inv(f._matrix), arms, f._origin)

    def reverse(self):
        """The transformation that was reversed."""
        return self.forward


@dataclass(frozen=True)
class TimeDependent:
    """
    Fourteen-parameter transformation: a Helmert transformation that changes evenly with time.

    It takes coordinates of an epoch in one frame to the same epoch in the other; it moves nothing
    in time.

    Parameters
    ----------
    helmert : Helmert
        At the reference epoch.
    rates : seven floats
        Yearly change of tx, ty, tz (metres), rx, ry, rz (arcseconds) and scale (ppm), in the
        convention of `helmert`.
    epoch : float
        Reference epoch of the parameters, in decimal years; not that of the coordinates.

    Raises
    ------
    ValueError
        If there are not seven rates, or one is too fast for the Earth, or the epoch is not within
        1900 to 2100.

    References
    ----------
    IOGP Publication 373-7-2, EPSG methods 1053 (position vector) and 1056 (coordinate frame).
    """

    helmert: Helmert
    rates: tuple[float, float, float, float, float, float, float]
    epoch: float

    def __post_init__(self) -> None:
        if len(self.rates) != 7:
            raise ValueError(
                f"{len(self.rates)} rates are given; seven are needed, for tx, ty, tz, rx, ry, rz "
                "and scale: was a zero left out?"
            )
        limits = 3 * [(1, "m", "millimetres")] + 3 * [(0.1, "″", "milliarcseconds")]
        limits += [(0.1, "ppm", "parts per billion")]
        for name, rate, (most, unit, other) in zip(_SEVEN, self.rates, limits, strict=True):
            if not (abs(rate) <= most or np.isnan(rate)):
                raise ValueError(
                    f"rate {rate} {unit} a year of {name} is above {most}, more than the Earth "
                    f"shows: is it in {other}?"
                )
        _check_epoch(self.epoch)

    def at(self, epoch: float) -> Helmert:
        """
        The Helmert transformation of an epoch.

        Parameters
        ----------
        epoch : float
            Of the coordinates, in decimal years, from 1900 to 2100.

        Returns
        -------
        Helmert

        Raises
        ------
        ValueError
            If the epoch is out of range.
        """
        years = _check_epoch(epoch) - self.epoch
        moved = {
            name: getattr(self.helmert, name) + rate * years
            for name, rate in zip(_SEVEN, self.rates, strict=True)
        }
        return _made(Helmert, **moved, convention=self.helmert.convention, exact=self.helmert.exact)


def abridged_molodensky(
    latitude: ArrayLike,
    longitude: ArrayLike,
    height: ArrayLike,
    dx: float,
    dy: float,
    dz: float,
    source: Ellipsoid,
    target: Ellipsoid,
):
    """
    Latitude, longitude and height in another datum, from three translations, without X, Y, Z.

    An approximation for hand and field computers: for shifts of 100 to 200 m within some 0.2 m of
    the way through geocentric coordinates at sea level, within some 0.5 m at a height of 10 km.

    Parameters
    ----------
    latitude, longitude : float or array
        In degrees, in the source datum.
    height : float or array
        Above the source ellipsoid, in metres.
    dx, dy, dz : float
        Translations from source to target, in metres.
    source, target : Ellipsoid
        Of the two datums.

    Returns
    -------
    latitude, longitude, height : floats or arrays
        In the target datum, longitude from −180 to 180.

    Raises
    ------
    ValueError
        If a latitude lies beyond 90 degrees or at a pole, or a translation above 10 km.

    References
    ----------
    IOGP Publication 373-7-2, EPSG method 9605.
    """
    phi_degrees, lam_degrees = latitudes(latitude), finite(longitude, "longitude")
    if some(np.abs(phi_degrees) == 90):
        raise ValueError(
            "at a pole the formula has no longitude to change; allowed is a latitude between −90 "
            "and 90: go through geocentric coordinates there"
        )
    Helmert(dx, dy, dz, 0, 0, 0, 0, convention=CONVENTIONS[0])  # refuses what is no translation
    phi, lam = np.radians(phi_degrees), np.radians(lam_degrees)
    a, f = source.semi_major, source.flattening
    da, df = target.semi_major - a, target.flattening - f
    swell = a * df + f * da

    outward = dx * np.cos(lam) + dy * np.sin(lam)
    north = dz * np.cos(phi) - outward * np.sin(phi) + swell * np.sin(2 * phi)
    east = dy * np.cos(lam) - dx * np.sin(lam)
    up = outward * np.cos(phi) + dz * np.sin(phi) + swell * np.sin(phi) ** 2 - da
    parallel = source.prime_vertical_radius(latitude) * np.cos(phi)
    moved = (
        phi_degrees + np.degrees(north / source.meridian_radius(latitude)),
        wrap_longitude(lam_degrees + np.degrees(east / parallel)),
        finite(height, "height") + up,
    )
    return plain(*together(*moved))


def estimate(source: ArrayLike, target: ArrayLike, *, convention: str):
    """
    Seven parameters from points known in both datums, by least squares.

    All coordinates weigh the same. From a small patch the seven are strongly correlated:
    translations of many metres and rotations of arcseconds may be wrong and still fit the patch,
    and they must not be used outside it.

    Parameters
    ----------
    source, target : arrays of shape (n, 3)
        X, Y, Z of the same points in the same order, in metres; at least three, not in one line.
    convention : str
        "position vector" or "coordinate frame", for the rotations that come back.

    Returns
    -------
    helmert : Helmert
        From source to target, for small angles.
    residuals : array of shape (n, 3)
        Target less transformed source, in metres. A bad point stands out, and pulls the others.

    Raises
    ------
    ValueError
        If the convention is misspelt, the shapes differ, fewer than three points are given, they
        lie in one line, a number is missing, the points are not geocentric, or the two sets are
        not of the same points.
    """
    _check_convention(convention)
    before, after = _common_points(source, target)
    middle_before, middle_after = before.mean(axis=0), after.mean(axis=0)
    arms, seen = before - middle_before, after - middle_after
    turns, scale_ppm = _fit(arms, seen)
    rx, ry, rz = (float(turn) for turn in (turns if convention == CONVENTIONS[0] else -turns))
    parameters = {"rx": rx, "ry": ry, "rz": rz, "scale_ppm": scale_ppm, "convention": convention}
    about_centre = _made(Helmert, tx=0.0, ty=0.0, tz=0.0, **parameters, exact=False)
    residuals = seen - np.stack(about_centre.apply(*arms.T), axis=1)
    tx, ty, tz = (float(t) for t in middle_after - about_centre.apply(*middle_before))
    return _made(Helmert, tx=tx, ty=ty, tz=tz, **parameters, exact=False), residuals


def _fit(arms, seen):
    """
    Rotations of the point, in arcseconds, and scale in ppm, that best turn arms into what is seen.

    About the centroid the translation drops out, and (1 + ds)(I + rotations) is linear in ds and
    in the rotations times 1 + ds: no iteration.
    """
    size = np.sqrt((arms**2).mean())
    (x, y, z), zero = arms.T / size, np.zeros(len(arms))
    unknowns = [(x, y, z), (zero, -z, y), (z, zero, -x), (-y, x, zero)]
    design = np.stack([np.stack(column, axis=1).ravel() for column in unknowns], axis=1)
    (scale, *turns), *_ = np.linalg.lstsq(design, (seen - arms).ravel() / size, rcond=None)
    turns, scale_ppm = np.array(turns) / (1 + scale) * RHO, float(scale * 1e6)
    most = np.abs(turns).max()
    if not (most <= LARGEST_ROTATION and abs(scale_ppm) <= LARGEST_SCALE):
        raise ValueError(
            f"the best fit turns by {most:.0f}″ and scales by {scale_ppm:.0f} ppm, more than "
            f"between any two datums (allowed: {LARGEST_ROTATION:.0f}″ and {LARGEST_SCALE:.0f} "
            "ppm): are the points in the same order in both, and is one mistyped?"
        )
    return turns, scale_ppm


_SEVEN = ("tx", "ty", "tz", "rx", "ry", "rz", "scale_ppm")


def _made(kind, **values):
    """
    A transformation from computed parameters, which are not checked against typing slips.

    A scale of 1.00003 ppm that comes out of a computation is no mistaken factor.
    """
    made = object.__new__(kind)
    for name, value in values.items():
        object.__setattr__(made, name, value)
    return made


def _turned(matrix, arms, shifts):
    """Matrix times arms, plus shifts, written out so that x, y and z may broadcast."""
    x, y, z = arms
    rows = zip(matrix, shifts, strict=True)
    return plain(*together(*(a * x + b * y + c * z + t for (a, b, c), t in rows)))


def _common_points(source, target):
    source, target = finite(source, "source coordinate"), finite(target, "target coordinate")
    if source.shape != target.shape or source.ndim != 2 or source.shape[1] != 3:
        raise ValueError(
            f"source {source.shape} and target {target.shape} must both have the shape (n, 3), a "
            "row X, Y, Z for each point: is a point missing in one?"
        )
    if len(source) < 3:
        raise ValueError(
            f"{len(source)} common points are too few for seven parameters; at least 3 are needed, "
            "and 4 before a mistake can show"
        )
    for name, points in (("source", source), ("target", target)):
        if np.isnan(points).any():
            row = int(np.isnan(points).any(axis=1).argmax()) + 1
            raise ValueError(f"point {row} has no {name} coordinate (NaN): leave it out of both")
        far = ~np.array([_near_surface(point) for point in points])
        if some(far):
            row = int(far.argmax()) + 1
            raise ValueError(
                f"{name} point {row} at {points[row - 1]} is not an X, Y, Z near the Earth's "
                "surface: is it in degrees, or on a grid?"
            )
    spread = np.linalg.svd(source - source.mean(axis=0), compute_uv=False) / np.sqrt(len(source))
    if spread[1] < spread[0] / 1000 or spread[0] < 1:
        raise ValueError(
            f"the points lie in one line (spread {spread[0]:.0f} m along it and {spread[1]:.1f} m "
            "across; at least a thousandth is needed): nothing fixes the rotation about it; add a "
            "point to the side"
        )
    return source, target


def _near_surface(point):
    return 6_200_000 < np.linalg.norm(point) < 6_600_000


def _check_convention(convention):
    if convention not in CONVENTIONS:
        near = difflib.get_close_matches(str(convention)[:40].casefold(), CONVENTIONS, n=1)
        meant = f"; did you mean {near[0]!r}?" if near else ": the parameters' source names it"
        raise ValueError(
            f"convention {str(convention)[:40]!r} is not one of "
            f"{' or '.join(map(repr, CONVENTIONS))}{meant}"
        )


def _check_epoch(epoch):
    if not (1900 <= epoch <= 2100 or np.isnan(epoch)):
        raise ValueError(
            f"epoch {epoch} is not a decimal year from 1900 to 2100: is it a date or a day count?"
        )
    return float(epoch)
