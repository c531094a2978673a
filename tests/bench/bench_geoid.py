"""
How fast the geoid is, as ratios to pyproj on the same grid in the same run.

python tests/bench/bench_geoid.py [points]

Times on a shared machine mean little; ratios within one run mean more. pyproj interpolates
bilinearly, so its heights are rougher than those they are compared with, and its slopes, by four
heights around each point, rougher still.
"""

import math
import statistics
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

import numpy as np
import pyproj

sys.path.insert(0, str(Path(__file__).parents[2]))
from geokit import WGS84, geoid

ROUNDS = 5


def pyproj_heights(folder):
    """PROJ's own interpolation of the shipped grid, which it reads in NOAA's form."""
    file = Path(folder) / "egm96.gtx"
    header = np.array([-90, -180, 0.25, 0.25], ">f8").tobytes()
    header += np.array([721, 1440], ">i4").tobytes()
    file.write_bytes(header + geoid._grid(geoid._HEIGHTS).astype(">f4").tobytes())
    shift = pyproj.Transformer.from_pipeline(f"+proj=vgridshift +grids={file} +multiplier=1")
    return lambda lat, lon: shift.transform(lon, lat, np.zeros_like(lat))[2]


def pyproj_slopes(heights, lat, lon, step=1e-3):
    """Slopes as one gets them from an engine that gives heights only: four calls."""
    north = heights(lat + step, lon) - heights(lat - step, lon)
    east = heights(lat, lon + step) - heights(lat, lon - step)
    radians = math.radians(2 * step)
    parallel = WGS84.prime_vertical_radius(lat) * np.cos(np.radians(lat))
    return north / radians / WGS84.meridian_radius(lat), east / radians / parallel


def seconds(*calls):
    """Median processor time of each call, in turns so that a slow spell hits all of them."""
    times = [[] for _ in calls]
    for _ in range(ROUNDS):
        for call, taken in zip(calls, times, strict=True):
            start = time.process_time()
            call()
            taken.append(time.process_time() - start)
    return [statistics.median(taken) for taken in times]


def main(points):
    rng = np.random.default_rng(1)
    lat = np.degrees(np.arcsin(rng.uniform(-0.999, 0.999, points)))
    lon = rng.uniform(-179.9, 179.9, points)
    start = time.perf_counter()
    geoid.EGM96.height(0, 0)
    print(f"opening the model      {time.perf_counter() - start:8.3f} s")
    with tempfile.TemporaryDirectory() as folder:
        theirs = pyproj_heights(folder)
        ours = geoid.EGM96.height
        difference = np.abs(ours(lat, lon) - theirs(lat, lon))
        print(f"spline less bilinear   {difference.mean():8.4f} m on average")
        height, slopes, their_height, their_slopes = seconds(
            lambda: ours(lat, lon),
            lambda: geoid.EGM96.slopes(lat, lon, WGS84),
            lambda: theirs(lat, lon),
            lambda: pyproj_slopes(theirs, lat, lon),
        )
    print(f"{points} points, times as fast as pyproj:")
    print(f"  height               {their_height / height:8.1f}")
    print(f"  slopes               {their_slopes / slopes:8.1f}")
    tracemalloc.start()
    geoid.EGM96.slopes(lat, lon, WGS84)
    print(f"peak memory of slopes  {tracemalloc.get_traced_memory()[1] / 1e6:8.1f} MB")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
