"""Excess on the ellipsoid against the reference library's area of the same triangles.

Run with ``python -m tests.bench.bench_excess``: ratios in one run.
"""

import time

import numpy as np
import pyproj

from geokit import WGS84, excess

COUNT, SIDES, TIMES = 100_000, (1, 30, 500, 3000), 3  # kilometres
GEOD = pyproj.Geod(ellps="WGS84")


def triangles(side):
    """Return corners of equal-sided triangles all over the Earth; the side in kilometres."""
    dice = np.random.default_rng(7)
    lat, lon = dice.uniform(-80, 80, COUNT), dice.uniform(-180, 180, COUNT)
    first, out = dice.uniform(0, 360, COUNT), np.full(COUNT, 1000 * side / np.sqrt(3))
    corners = [GEOD.fwd(lon, lat, first + turn, out)[:2] for turn in (0, 120, 240)]
    lons, lats = (np.stack(part, -1) for part in zip(*corners, strict=True))
    return lats, lons


def shortest(call, times=TIMES):
    """Return the shortest of a few runs, in seconds."""
    best = np.inf
    for _ in range(times):
        start = time.perf_counter()
        call()
        best = min(best, time.perf_counter() - start)
    return best


def areas(lats, lons):
    """Return what the reference library finds, one triangle after the other."""
    return [GEOD.polygon_area_perimeter(*corners) for corners in zip(lons, lats, strict=True)]


def main():
    """Print the ratio for each length of side."""
    for side in SIDES:
        lats, lons = triangles(side)
        ours = shortest(lambda corners=(lats, lons): excess.on_ellipsoid(*corners, WGS84))
        theirs = shortest(lambda corners=(lats, lons): areas(*corners), times=1)
        print(f"{side:5d} km: {COUNT} triangles, {ours / theirs:.2f} of the library's time")


if __name__ == "__main__":
    main()
