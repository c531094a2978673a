"""
The transverse Mercator grid, and what it does to distances and directions.

Eastings and northings in metres, with the grid's false origin in them. Grid convergence is
positive where grid north lies east of true north: azimuth = grid bearing + convergence. Some
manuals print it with the other sign, as a correction to be added to the azimuth.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike
from pyproj import Proj

from geokit import lines
from geokit.checks import finite, latitudes, plain, some, together, wrap_longitude
from geokit.ellipsoid import Ellipsoid

_REACH = 3_500_000  # metres, 30 degrees: far beyond any zone, and PROJ's series is exact here
_SOUTHERN = 10_000_000  # metres, false northing


@dataclass(frozen=True)
class TransverseMercator:
    """
    A transverse Mercator projection (Gauss-Krüger) of an ellipsoid.

    PROJ projects, by Krüger's series as Poder and Engsager write it.

    Parameters
    ----------
    ellipsoid : Ellipsoid
        Of the datum that the grid belongs to.
    lat0 : float
        Latitude of the grid's origin, in degrees.
    lon0 : float
        Central meridian, in degrees.
    scale : float
        k₀ on the central meridian, without unit, such as 0.9996.
    false_easting, false_northing : float
        Easting and northing of the origin, in metres.

    Raises
    ------
    ValueError
        If the latitude of the origin lies beyond 90 degrees, the scale is not a factor near 1, or
        a number is not finite.
    """

    ellipsoid: Ellipsoid
    lat0: float
    lon0: float
    scale: float
    false_easting: float
    false_northing: float

    def __post_init__(self) -> None:
        latitudes(self.lat0, "latitude of the origin")
        for name in ("lat0", "lon0", "false_easting", "false_northing"):
            if not math.isfinite(getattr(self, name)):
                raise ValueError(
                    f"{name} {getattr(self, name)} of the grid is not a finite number: is a "
                    "parameter missing?"
                )
        if not 0.9 <= self.scale <= 1.1:
            raise ValueError(
                f"scale {self.scale} on the central meridian is not a factor from 0.9 to 1.1, such "
                "as 0.9996: was it given in parts per million?"
            )

    def forward(self, latitude: ArrayLike, longitude: ArrayLike):
        """
        Grid coordinates of positions.

        Parameters
        ----------
        latitude, longitude : float or array
            In degrees; longitudes in any range.

        Returns
        -------
        east, north : floats or arrays
            In metres.

        Raises
        ------
        ValueError
            If a latitude lies beyond 90 degrees, or a point more than 3 500 km from the central
            meridian.
        """
        lat, lon = _points(latitude, longitude)
        east, north = self._projection(wrap_longitude(lon), lat)
        outside = self._outside(east, north)
        if some(outside):
            raise ValueError(
                f"latitude {lat[outside][0]:.10g}, longitude {lon[outside][0]:.10g} is more "
                f"than {_REACH / 1000:.0f} km from the central meridian {self.lon0:.10g}: is "
                "it the right zone, and the right sign of the longitude?"
            )
        return plain(np.asarray(east), np.asarray(north))

    def inverse(self, east: ArrayLike, north: ArrayLike):
        """
        Positions of grid coordinates.

        Parameters
        ----------
        east, north : float or array
            In metres.

        Returns
        -------
        latitude, longitude : floats or arrays
            In degrees, longitude from −180 to 180.

        Raises
        ------
        ValueError
            If a point lies more than 3 500 km from the central meridian, or that far beyond a
            pole.
        """
        e, n = together(finite(east, "easting"), finite(north, "northing"))
        outside = self._outside(e, n)
        if some(outside):
            raise ValueError(
                f"easting {e[outside][0]:.10g}, northing {n[outside][0]:.10g} is off the "
                f"grid, which serves {_REACH / 1000:.0f} km either side of its central meridian "
                f"(easting {self.false_easting:.10g}): are the two swapped, or in another unit?"
            )
        longitude, latitude = self._projection(e, n, inverse=True)
        return plain(np.asarray(latitude), np.asarray(longitude))

    def point_scale(self, latitude: ArrayLike, longitude: ArrayLike):
        """
        Point scale factor k: grid distance over ellipsoidal distance, the same in all directions.

        Parameters
        ----------
        latitude, longitude : float or array
            In degrees.

        Returns
        -------
        float or array
            Without unit, k₀ included.

        Raises
        ------
        ValueError
            As `forward`.
        """
        k, _ = self._stretch_and_turn(latitude, longitude)
        return plain(k)

    def convergence(self, latitude: ArrayLike, longitude: ArrayLike):
        """
        Grid convergence γ, the azimuth of grid north.

        Parameters
        ----------
        latitude, longitude : float or array
            In degrees.

        Returns
        -------
        float or array
            In degrees, positive where grid north lies east of true north: east of the central
            meridian in the north, west of it in the south. Azimuth = grid bearing + γ. About
            Δλ sin φ.

        Raises
        ------
        ValueError
            As `forward`.
        """
        _, gamma = self._stretch_and_turn(latitude, longitude)
        return plain(np.degrees(gamma))

    def arc_to_chord(self, e1: ArrayLike, n1: ArrayLike, e2: ArrayLike, n2: ArrayLike):
        """
        Arc-to-chord correction t − T at point 1.

        t is the grid bearing of the straight line on the map from 1 to 2, T that of the geodesic
        where it leaves 1: T = azimuth − convergence. From these three, not from a series, so it
        holds for any length; by hand, ρ″(2E₁′ + E₂′)(N₁ − N₂)/(6k₀²R²), with E′ from the central
        meridian and R² = Mν, agrees to 0.002″ over 2 km and 0.04″ over 50 km within a UTM zone.

        Parameters
        ----------
        e1, n1, e2, n2 : float or array
            In metres.

        Returns
        -------
        float or array
            In arcseconds, positive where t is larger; NaN between coincident points.

        Raises
        ------
        ValueError
            As `inverse`.
        """
        (lat1, lon1), (lat2, lon2), (east, north) = self._line(e1, n1, e2, n2)
        _, azimuth, _ = lines.inverse(lat1, lon1, lat2, lon2, self.ellipsoid)
        bearing = np.degrees(np.arctan2(east, north))
        tangent = azimuth - self.convergence(lat1, lon1)
        return plain(3600 * wrap_longitude(bearing - tangent))

    def line_scale(self, e1: ArrayLike, n1: ArrayLike, e2: ArrayLike, n2: ArrayLike):
        """
        Line scale factor: grid distance over the geodesic's length on the ellipsoid.

        Parameters
        ----------
        e1, n1, e2, n2 : float or array
            In metres.

        Returns
        -------
        float or array
            Without unit, k₀ included; NaN between coincident points.

        Raises
        ------
        ValueError
            As `inverse`.
        """
        (lat1, lon1), (lat2, lon2), (east, north) = self._line(e1, n1, e2, n2)
        distance, _, _ = lines.inverse(lat1, lon1, lat2, lon2, self.ellipsoid)
        return plain(np.hypot(east, north) / np.where(distance == 0, np.nan, distance))

    @cached_property
    def _projection(self):
        return Proj(
            proj="tmerc",
            algo="poder_engsager",
            a=self.ellipsoid.semi_major,
            f=self.ellipsoid.flattening,
            lat_0=self.lat0,
            lon_0=self.lon0,
            k_0=self.scale,
            x_0=self.false_easting,
            y_0=self.false_northing,
        )

    def _stretch_and_turn(self, latitude, longitude):
        """
        How the projection stretches and turns a short line: k, and γ in radians.

        The derivative of what PROJ computes, which PROJ itself takes by finite differences, to
        ten digits only. Karney, Transverse Mercator with an accuracy of a few nanometers, Journal
        of Geodesy 85, 2011 (from memory).
        """
        self.forward(latitude, longitude)  # refuses what is too far away
        lat, lon = _points(latitude, longitude)
        phi, lam = np.radians(lat), np.radians(wrap_longitude(lon - self.lon0))
        e = math.sqrt(self.ellipsoid.eccentricity_squared)
        w = np.arcsinh(np.tan(phi)) - e * np.arctanh(e * np.sin(phi)) + 1j * lam  # ψ + iΔλ
        sphere = np.arctan(np.sinh(w))
        stretch = 1.0
        for j, alpha in enumerate(_krueger(self.ellipsoid.third_flattening), 1):
            stretch = stretch + 2 * j * alpha * np.cos(2 * j * sphere)
        rectifying_radius = self.ellipsoid.meridian_distance(90) / (math.pi / 2)
        with np.errstate(invalid="ignore"):  # NaN passes
            derivative = self.scale * rectifying_radius * stretch / np.cosh(w)  # d(N + iE)/dw
        parallel = self.ellipsoid.prime_vertical_radius(lat) * np.cos(phi)
        return np.abs(derivative) / parallel, 0.0 - np.angle(derivative)

    def _line(self, e1, n1, e2, n2):
        """Positions of a line's two ends, and how far it goes east and north on the map."""
        start = finite(e1, "easting 1"), finite(n1, "northing 1")
        end = finite(e2, "easting 2"), finite(n2, "northing 2")
        along = end[0] - start[0], end[1] - start[1]
        return self.inverse(*start), self.inverse(*end), along

    def _outside(self, east, north):
        """Whether grid coordinates are too far from the central meridian, or beyond a pole."""
        across = np.abs(np.subtract(east, self.false_easting))
        equator = self.false_northing - self.scale * self.ellipsoid.meridian_distance(self.lat0)
        pole = self.ellipsoid.meridian_distance(90)
        return (across > _REACH) | (np.abs(np.subtract(north, equator)) > pole + _REACH)


def utm(zone: int, hemisphere: str, ellipsoid: Ellipsoid) -> TransverseMercator:
    """
    The grid of a zone of the Universal Transverse Mercator system.

    Parameters
    ----------
    zone : int
        1 to 60, counted eastwards from 180 W.
    hemisphere : "north" or "south"
        In any case; the false northing is 0 or 10 000 000 m.
    ellipsoid : Ellipsoid
        Of the datum: UTM has none of its own.

    Returns
    -------
    TransverseMercator
        k₀ = 0.9996, false easting 500 000 m.

    Raises
    ------
    ValueError
        If zone or hemisphere is none of these.

    References
    ----------
    Snyder, Map Projections - A Working Manual, USGS Professional Paper 1395, 1987, section 8.
    """
    if zone not in range(1, 61):
        raise ValueError(
            f"UTM zone {zone!r} is not a whole number from 1 to 60: is it a zone of another grid?"
        )
    if str(hemisphere).casefold() not in ("north", "south"):
        raise ValueError(
            f"hemisphere {hemisphere!r} is not 'north' or 'south'; a single letter could be a "
            "latitude band, and band S lies in the north"
        )
    false_northing = _SOUTHERN if str(hemisphere).casefold() == "south" else 0
    return TransverseMercator(ellipsoid, 0, 6 * int(zone) - 183, 0.9996, 500_000, false_northing)


def utm_zone(latitude: ArrayLike, longitude: ArrayLike, *, exceptions: bool):
    """
    Number of the UTM zone that a position belongs to.

    A position on the border of two zones belongs to the eastern one.

    Parameters
    ----------
    latitude, longitude : float or array
        In degrees; longitudes in any range.
    exceptions : bool
        Whether zone 32 reaches west to 3 E off Norway (56 to 64 N), and zones 31, 33, 35 and 37
        alone share Svalbard (72 N and up). Maps follow them; a client's grid may not.

    Returns
    -------
    int or array of ints
        1 to 60; floats if there is a NaN among them.

    Raises
    ------
    ValueError
        If a latitude is not from 80 S to 84 N, where UTM ends.
    """
    lat, lon = _points(latitude, longitude)
    outside = (lat < -80) | (lat > 84)
    if some(outside):
        raise ValueError(
            f"latitude {lat[outside][0]:.10g} is outside UTM, which serves −80 to 84; nearer to "
            "a pole a polar stereographic grid is used: is the latitude right?"
        )
    zone = np.floor((lon + 180) / 6) % 60 + 1
    if exceptions:
        lon = wrap_longitude(lon)
        norway = (lat >= 56) & (lat < 64) & (lon >= 3) & (lon < 6)
        svalbard = (lat >= 72) & (lon >= 0) & (lon < 42)
        wide = 31 + 2 * np.floor((lon + 3) / 12)  # borders at 9, 21 and 33 E
        zone = np.where(norway, 32, np.where(svalbard, wide, zone))
    zone = np.where(np.isnan(lat), np.nan, zone)
    if some(np.isnan(zone)):
        return plain(zone)
    return int(zone) if zone.ndim == 0 else zone.astype(int)


def _krueger(n):
    """Krüger's coefficients α₁ to α₆ in the third flattening (Karney 2011, 35)."""
    return (
        n
        * (
            1 / 2
            + n * (-2 / 3 + n * (5 / 16 + n * (41 / 180 + n * (-127 / 288 + n * 7891 / 37800))))
        ),
        n**2
        * (13 / 48 + n * (-3 / 5 + n * (557 / 1440 + n * (281 / 630 - n * 1983433 / 1935360)))),
        n**3 * (61 / 240 + n * (-103 / 140 + n * (15061 / 26880 + n * 167603 / 181440))),
        n**4 * (49561 / 161280 + n * (-179 / 168 + n * 6601661 / 7257600)),
        n**5 * (34729 / 80640 - n * 3418889 / 1995840),
        n**6 * 212378941 / 319334400,
    )


def _points(latitude, longitude):
    return together(latitudes(latitude), finite(longitude, "longitude"))
