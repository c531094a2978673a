"""
Build egm96_anomaly.bin from egm96.bin: python geokit/data/build_anomaly.py.

A geoid of degrees n belongs to gravity anomalies (n − 1)/R · γ · Nₙ on the sphere. So the heights
are taken apart into spherical harmonics to degree 360, each is multiplied, and they are put
together again. On the grid of 15 minutes the integrals along the meridians are exact to degree 720
(weights of Clenshaw and Curtis). Takes some seconds, and is written in halves of a milligal.
"""

import math
import sys
import zlib
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))
from geokit import geoid, gravity
from geokit.data.build_geoid import small_numbers

DEGREE, RADIUS, UNIT = 360, 6_371_000.0, 0.5  # metres, milligals


def weights(rows):
    """Return what each parallel counts in an integral from pole to pole."""
    last = rows - 1
    angle = np.pi * np.arange(rows) / last
    found = sum(
        (1 if j in (0, last // 2) else 2) * np.cos(2 * j * angle) / (1 - 4 * j * j)
        for j in range(last // 2 + 1)
    )
    found[[0, -1]] /= 2
    return found * 2 / last


def legendre(order, sine, cosine):
    """Return the functions of one order from the degree of that order up, normed to one."""
    found = np.zeros((DEGREE + 1 - order, sine.size))
    found[0] = math.sqrt(0.5)
    for i in range(1, order + 1):
        found[0] *= cosine * math.sqrt((2 * i + 1) / (2 * i))
    if order < DEGREE:
        found[1] = math.sqrt(2 * order + 3) * sine * found[0]
    for n in range(order + 2, DEGREE + 1):
        a = math.sqrt((4 * n * n - 1) / (n * n - order * order))
        b = math.sqrt(((n - 1) ** 2 - order * order) / (4 * (n - 1) ** 2 - 1))
        found[n - order] = a * (sine * found[n - order - 1] - b * found[n - order - 2])
    return found


def anomalies(heights):
    """Return the anomalies in milligals that belong to geoid heights in metres."""
    rows, columns = heights.shape
    latitude = np.linspace(-90, 90, rows)
    sine, cosine = np.sin(np.radians(latitude)), np.cos(np.radians(latitude))
    waves, weight = np.fft.rfft(heights, axis=1), weights(rows)
    made = np.zeros_like(waves)
    for order in range(DEGREE + 1):
        functions = legendre(order, sine, cosine)
        degrees = np.arange(order, DEGREE + 1)
        made[:, order] = functions.T @ ((degrees - 1) * (functions @ (weight * waves[:, order])))
    normal = gravity.normal(latitude, 0, gravity.WGS84_FIELD)
    return np.fft.irfft(made, columns, axis=1) * normal[:, np.newaxis] / RADIUS * 1e5


def main():
    """Write the file."""
    halves = np.rint(anomalies(geoid._grid(geoid._HEIGHTS)) / UNIT).astype(int)
    data = zlib.compress(small_numbers(halves), 9)
    Path(__file__).with_name("egm96_anomaly.bin").write_bytes(data)


if __name__ == "__main__":
    main()
