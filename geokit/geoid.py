"""
Geoid models: height of the geoid above the ellipsoid, and its slope.

Latitudes and longitudes in degrees, longitudes in any range; heights N in metres, negative
where the geoid lies below the ellipsoid.
"""

import zlib
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from geokit.checks import finite, latitudes, plain, some, together
from geokit.ellipsoid import Ellipsoid

_DATA = Path(__file__).parent / "data"
_HEIGHTS = "egm96.bin", 0.001  # the file, and what one of its whole numbers is in metres
_ANOMALIES = "egm96_anomaly.bin", 0.5e-5  # in m/s²
_STEPS = 4  # of the grid in a degree
_ROWS, _COLUMNS = 180 * _STEPS + 1, 360 * _STEPS
_DEGREE = 360  # of the model: its shortest wave is one degree
_CHUNK = 16_384  # points at a time: the intermediate arrays stay in the processor's cache


class EarthGravitationalModel1996:
    """
    The geoid EGM96 on its grid of 15 minutes, with a cubic B-spline between the nodes.

    At six published points a bilinear surface is wrong by up to 56 mm, the spline by 3 mm. Held
    against the exact surface of its own grid, below latitude 80°, the spline's heights are wrong
    by 2 mm rms and 27 mm at worst, its slopes by 0.03″ rms and 0.5″ at worst; bilinear slopes by
    22″ at worst.

    Heights are above WGS 84, tide-free. It is a model value: details smaller than about 55 km are
    not in it, and over trenches, seamounts and islands the true slope departs from it by 10 to 30″
    (from memory).

    Use it as `geokit.geoid.EGM96`; the grid is opened at the first call.

    References
    ----------
    Lemoine et al., The Development of the Joint NASA GSFC and NIMA Geopotential Model EGM96,
    NASA/TP-1998-206861, 1998. Grid: NIMA, WW15MGH; see data/SOURCES.md.
    """

    name = "EGM96"

    def height(self, latitude: ArrayLike, longitude: ArrayLike):
        """
        Geoid height N.

        Parameters
        ----------
        latitude, longitude : float or array
            In degrees; longitudes in any range.

        Returns
        -------
        float or array
            Metres above the ellipsoid WGS 84, in the shape the inputs broadcast to.

        Raises
        ------
        ValueError
            If a latitude lies beyond 90 degrees.
        """
        latitude, longitude = _points(latitude, longitude)
        (height,) = _in_chunks(_height, 1, latitude, longitude)
        return plain(height)

    def slopes(self, latitude: ArrayLike, longitude: ArrayLike, ellipsoid: Ellipsoid):
        """
        Slope of the geoid against the ellipsoid, towards north and towards east.

        Parameters
        ----------
        latitude, longitude : float or array
            In degrees; longitudes in any range.
        ellipsoid : Ellipsoid
            Turns degrees into metres along the meridian and the parallel.

        Returns
        -------
        north, east : floats or arrays
            ∂N/(M∂φ) and ∂N/(ν cosφ ∂λ), in metres a metre, positive where the geoid rises.

        Raises
        ------
        ValueError
            If a latitude lies beyond 90 degrees, or at a pole, where there is no east.
        """
        latitude, longitude = _points(latitude, longitude)
        if some(np.abs(latitude) == 90):
            raise ValueError(
                "the slope towards east has no meaning at a pole, where every direction is south "
                "or north; allowed is a latitude between −90 and 90: is the site really there?"
            )

        def slopes(latitude, longitude):
            a, e2 = ellipsoid.semi_major, ellipsoid.eccentricity_squared
            cosine = np.cos(np.radians(latitude))
            w2 = 1 - e2 * (1 - cosine * cosine)
            parallel = a * cosine / np.sqrt(w2)  # ν cos φ
            meridian = a * (1 - e2) / (w2 * np.sqrt(w2))  # M
            _, by_row, by_column = _spline(_HEIGHTS, latitude, longitude)
            to_radians = _STEPS * 180 / np.pi
            return by_row * to_radians / meridian, by_column * to_radians / parallel

        return plain(*_in_chunks(slopes, 2, latitude, longitude))

    def anomaly(self, latitude: ArrayLike, longitude: ArrayLike):
        """
        Gravity anomaly that belongs to the model's geoid.

        Made from its heights, degree by degree, on the sphere: good to about a hundredth of
        itself. Over land, where the heights are reduced through the rock, it is rougher.

        Parameters
        ----------
        latitude, longitude : float or array
            In degrees; longitudes in any range.

        Returns
        -------
        float or array
            Free-air anomaly in m/s², positive where gravity is stronger than normal.

        Raises
        ------
        ValueError
            If a latitude lies beyond 90 degrees.
        """
        latitude, longitude = _points(latitude, longitude)
        (anomaly,) = _in_chunks(_anomaly, 1, latitude, longitude)
        return plain(anomaly)


EGM96 = EarthGravitationalModel1996()


class PrintedGrid:
    """
    Geoid heights on a small printed grid, interpolated bilinearly, as one does by hand.

    Parameters
    ----------
    lats, lons : arrays
        Of the rows and of the columns, in degrees, in order; rows may run north to south, and
        columns over the date line.
    heights : array
        Geoid heights in metres, one row for each latitude.

    Raises
    ------
    ValueError
        If there are fewer than two rows or columns, the heights have another shape, a number is
        missing, or latitudes or longitudes are not in order.
    """

    def __init__(self, lats: ArrayLike, lons: ArrayLike, heights: ArrayLike):
        lats = latitudes(lats)
        lons = np.unwrap(finite(lons, "longitude"), period=360)
        heights = finite(heights, "geoid height")
        if heights.ndim != 2 or heights.shape != (lats.size, lons.size) or min(heights.shape) < 2:
            raise ValueError(
                f"heights of shape {heights.shape} do not fit {lats.size} latitudes and "
                f"{lons.size} longitudes, at least 2 of each: are rows and columns swapped?"
            )
        if lats[0] > lats[-1]:
            lats, heights = lats[::-1], heights[::-1]
        if not ((np.diff(lats) > 0).all() and (np.diff(lons) > 0).all()):
            raise ValueError(
                "the grid's latitudes and longitudes must each run in order, without gaps; "
                "is one missing or mistyped?"
            )
        if np.isnan(heights).any():
            raise ValueError("a geoid height of the grid is missing (NaN); every node needs one")
        self.lats, self.lons, self.heights = lats, lons, heights

    def height(self, latitude: ArrayLike, longitude: ArrayLike):
        """
        Geoid height N between the four nearest nodes.

        Parameters
        ----------
        latitude, longitude : float or array
            In degrees, within the grid.

        Returns
        -------
        float or array
            In metres.

        Raises
        ------
        ValueError
            If a point lies outside the grid.
        """
        latitude, longitude = _points(latitude, longitude)
        longitude = (longitude - self.lons[0]) % 360 + self.lons[0]
        row, up = self._cell(self.lats, latitude, "latitude")
        column, right = self._cell(self.lons, longitude, "longitude")
        n = self.heights
        south = n[row, column] * (1 - right) + n[row, column + 1] * right
        north = n[row + 1, column] * (1 - right) + n[row + 1, column + 1] * right
        return plain(south * (1 - up) + north * up)

    @staticmethod
    def _cell(nodes, values, name):
        outside = (values < nodes[0]) | (values > nodes[-1])
        if some(outside):
            raise ValueError(
                f"{name} {values[outside][0]:.10g} is outside the printed grid, which runs from "
                f"{nodes[0]:.10g} to {nodes[-1]:.10g}: is it the right grid, and the right sign?"
            )
        cell = np.searchsorted(nodes, values, side="right").clip(1, nodes.size - 1) - 1
        return cell, (values - nodes[cell]) / (nodes[cell + 1] - nodes[cell])


def _points(latitude, longitude):
    return together(latitudes(latitude), finite(longitude, "longitude"))


def _in_chunks(call, results, latitude, longitude):
    """Results of a call on flat pieces of the points, each put back into the points' shape."""
    flat_lat, flat_lon = latitude.reshape(-1), longitude.reshape(-1)
    out = np.empty((results, flat_lat.size))
    for start in range(0, flat_lat.size, _CHUNK):
        part = slice(start, start + _CHUNK)
        out[:, part] = call(flat_lat[part], flat_lon[part])
    return out.reshape((results, *latitude.shape))


def _height(latitude, longitude):
    return _spline(_HEIGHTS, latitude, longitude, slopes=False)[:1]


def _anomaly(latitude, longitude):
    return _spline(_ANOMALIES, latitude, longitude, slopes=False)[:1]


def _spline(held, latitude, longitude, slopes=True):
    """Value, and its change in a row and in a column of the grid, from the 16 coefficients."""
    coefficients, width = _coefficients(held)
    row, (v0, v1, v2, v3), (dv0, dv1, dv2, dv3) = _weights((latitude + 90) * _STEPS)
    column, h, dh = _weights((longitude + 180) * _STEPS % _COLUMNS)
    corner = row * width + column
    height = by_row = by_column = 0.0
    for i, (v, dv) in enumerate(((v0, dv0), (v1, dv1), (v2, dv2), (v3, dv3))):
        # no index is out of range; to clip them spares numpy a copy that checking them costs
        c = [coefficients.take(corner + (i * width + j), mode="clip") for j in range(4)]
        along = h[0] * c[0] + h[1] * c[1] + h[2] * c[2] + h[3] * c[3]
        height = height + v * along
        if slopes:
            by_row = by_row + dv * along
            by_column = by_column + v * (dh[0] * c[0] + dh[1] * c[1] + dh[2] * c[2] + dh[3] * c[3])
    return height, by_row, by_column


def _weights(position):
    """Index of the first of four nodes, the cubic B-spline's four weights, and their slopes."""
    whole = np.floor(position)
    t = position - whole  # NaN stays here, while the index must be a number
    s = 1 - t
    s2, t2 = s * s, t * t
    weights = (s2 * s / 6, 2 / 3 - t2 * (1 + s) / 2, 2 / 3 - s2 * (1 + t) / 2, t2 * t / 6)
    slopes = (-s2 / 2, t * (1.5 * t - 2), s * (2 - 1.5 * s), t2 / 2)
    return np.nan_to_num(whole).astype(np.intp), weights, slopes


@cache
def _coefficients(held):
    """
    The B-spline's coefficients in one row, and their number in a row of the grid.

    The grid runs on over each pole on the meridian opposite, so that it is periodic both ways
    and the spline's equations (1, 4, 1)/6 are solved by Fourier transforms.
    """
    heights = _smooth_near_poles(_grid(held))
    over_pole = np.roll(heights, _COLUMNS // 2, axis=1)[-2:0:-1]
    sphere = np.vstack([heights, over_pole])
    waves = np.fft.rfft2(sphere)
    response = (4 + 2 * np.cos(2 * np.pi * np.arange(_COLUMNS) / _COLUMNS)) / 6
    waves /= response[:, np.newaxis] * response[: waves.shape[1]]
    solved = np.fft.irfft2(waves, sphere.shape)
    # four coefficients from one before each cell: a border, so that no index needs wrapping
    rows = np.arange(-1, _ROWS + 2) % _COLUMNS
    columns = np.arange(-1, _COLUMNS + 3) % _COLUMNS
    return solved[np.ix_(rows, columns)].ravel(), columns.size


def _smooth_near_poles(heights):
    """
    Heights without waves along a parallel that the model cannot hold.

    Meridians crowd together near a pole, so that the millimetre to which heights are rounded
    looks like a slope of an arcsecond. There a model of degree n has no waves shorter than its
    shortest elsewhere: no more than about n cos φ to the turn.
    """
    waves = np.fft.rfft(heights, axis=1)
    distance = np.cos(np.radians(np.arange(_ROWS) / _STEPS - 90))
    most = _DEGREE * distance + 12  # a margin, since waves fade out over some orders
    waves[np.arange(waves.shape[1]) > most[:, np.newaxis]] = 0
    return np.fft.irfft(waves, _COLUMNS, axis=1)


def _grid(held):
    """The whole grid of a file in its unit, rows from the south pole, columns from 180 W."""
    file, unit = _DATA / held[0], held[1]
    try:
        low_high = np.frombuffer(zlib.decompress(file.read_bytes()), np.uint8).reshape(2, -1)
    except (OSError, ValueError, zlib.error) as fault:
        raise OSError(f"the geoid file {file} is missing or damaged; copy the course again") from (
            fault
        )
    numbers = low_high.T.copy().view("<i2").reshape(_ROWS, _COLUMNS).astype(np.int32)
    for axis in (1, 0, 1):
        np.cumsum(numbers, axis=axis, out=numbers)
    return numbers * unit
