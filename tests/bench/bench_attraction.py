"""
How fast the pull of prisms is: one place, and many prisms at many points, with their memory.

python -m tests.bench.bench_attraction [prisms] [points]

Processor time, so that other work on the machine counts little. The ratio is to the plain closed
form as the books print it (24 logarithms and 24 arcs a prism), on the same pairs in the same run.
"""

import statistics
import sys
import time
import tracemalloc

import numpy as np

from geokit import attraction

ROUNDS = 3
G = attraction.GRAVITATIONAL_CONSTANT


def seabed(prisms):
    """Return a square of columns of 1 km, from 4 km down to a rough top."""
    side = int(np.ceil(np.sqrt(prisms)))
    x, y = (1000.0 * grid.ravel()[:prisms] for grid in np.meshgrid(*[np.arange(side)] * 2))
    top = np.random.default_rng(1).uniform(-2000, -500, prisms)
    return np.column_stack([x, x + 1000, y, y + 1000, np.full(prisms, -4000.0), top])


def as_printed(east, north, up, bounds, density):
    """Return the pull by the closed form as it is printed, point by point."""
    found = np.zeros((3, len(east)))
    for place, at in enumerate(zip(east, north, up, strict=True)):
        for i, j, k in np.ndindex(2, 2, 2):
            x, y, z = (bounds[:, 2 * a + s] - at[a] for a, s in enumerate((i, j, k)))
            r = np.sqrt(x * x + y * y + z * z)
            sign = (-1.0) ** (i + j + k)
            for axis, (p, q, s) in enumerate(((x, y, z), (y, z, x), (z, x, y))):
                kernel = q * np.log(s + r) + s * np.log(q + r) - p * np.arctan2(q * s, p * r)
                found[axis, place] += (sign * G * density * kernel).sum()
    return found


def seconds(call):
    """Return the median processor time of a call."""
    times = []
    for _ in range(ROUNDS):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return statistics.median(times)


def main(prisms, points):
    """Print the figures."""
    bounds = seabed(prisms)
    east, north = np.random.default_rng(2).uniform(0, bounds[:, 1].max(), (2, points))
    up = np.zeros(points)
    one = seconds(lambda: [attraction.prism(1, 2, 3, bounds[0], 2670) for _ in range(100)]) / 100
    print(f"one prism, one place: {one * 1000:.2f} ms")
    ours = seconds(lambda: attraction.body(east, north, up, bounds, 1640))
    few = min(points, 4)
    printed = seconds(lambda: as_printed(east[:few], north[:few], up[:few], bounds, 1640))
    tracemalloc.start()
    attraction.body(east, north, up, bounds, 1640)
    memory = tracemalloc.get_traced_memory()[1] / 1e6
    print(f"{prisms} prisms, {points} points: {ours:.2f} s, {memory:.0f} MB at most,")
    print(f"the form as printed takes {printed / few * points / ours:.1f} times as long")


if __name__ == "__main__":
    main(*(int(one) for one in [*sys.argv[1:], "100000", "100"][:2]))
