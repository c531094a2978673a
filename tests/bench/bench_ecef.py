"""
Speed of geokit.ecef as a ratio to pyproj in the same run: python -m tests.bench.bench_ecef.

Above 1 geokit is faster. Times on a shared machine mean nothing by themselves, so only ratios are
printed: the smallest of several runs of each, taken in turn.
"""

import time

import numpy as np
import pyproj

from geokit import WGS84, ecef

POINTS = 1_000_000
ORIGIN = (54.0, 3.0, 40.0)


def fastest(*calls, repeats=7):
    """Shortest time of each call in seconds, taken in turn so that a busy spell hits all."""
    times = [[] for _ in calls]
    for _ in range(repeats):
        for call, kept in zip(calls, times, strict=True):
            start = time.perf_counter()
            call()
            kept.append(time.perf_counter() - start)
    return [min(kept) for kept in times]


def main():
    """Print one ratio a line."""
    rng = np.random.default_rng(1)
    lat, lon = np.degrees(np.arcsin(rng.uniform(-1, 1, POINTS))), rng.uniform(-180, 180, POINTS)
    height = rng.uniform(-11_000, 9_000, POINTS)
    xyz = ecef.to_ecef(lat, lon, height, WGS84)
    x0, y0, z0 = ecef.to_ecef(*ORIGIN, WGS84)
    cart = pyproj.Transformer.from_pipeline("+proj=cart +ellps=WGS84")
    local = pyproj.Transformer.from_pipeline(
        f"+proj=topocentric +ellps=WGS84 +X_0={x0!r} +Y_0={y0!r} +Z_0={z0!r}"
    )
    enu = local.transform(*xyz)
    pairs = {
        "to_ecef": (
            lambda: ecef.to_ecef(lat, lon, height, WGS84),
            lambda: cart.transform(lon, lat, height),
        ),
        "from_ecef": (
            lambda: ecef.from_ecef(*xyz, WGS84),
            lambda: cart.transform(*xyz, direction="INVERSE"),
        ),
        "to_enu": (lambda: ecef.to_enu(*xyz, *ORIGIN, WGS84), lambda: local.transform(*xyz)),
        "from_enu": (
            lambda: ecef.from_enu(*enu, *ORIGIN, WGS84),
            lambda: local.transform(*enu, direction="INVERSE"),
        ),
    }
    for name, (ours, theirs) in pairs.items():
        our_time, their_time = fastest(ours, theirs)
        print(f"{name}: {their_time / our_time:.1f} times pyproj's speed, {POINTS} points")


if __name__ == "__main__":
    main()
