"""
Nineteen years of tide at ten minutes: what the product of two matrices saves.

Run from the repository's root: python -m tests.bench.bench_tide

Every figure is a ratio within one run: the median of a few turns, taken in alternation, so that a
busy machine slows all alike.
"""

import json
import statistics
import time
from pathlib import Path

import numpy as np

from geokit import heights

TURNS = 5
STATIONS = Path(__file__).parents[1] / "tide_stations.json"


def seconds(function):
    start = time.perf_counter()
    function()
    return time.perf_counter() - start


def main():
    """Print the ratios."""
    station = json.loads(STATIONS.read_text(encoding="utf-8"))["stations"][0]
    port = {name: tuple(pair) for name, pair in station["constituents"].items()}
    even = np.arange("1983-01-01", "2002-01-01", 600, dtype="datetime64[s]")
    scattered = even + np.random.default_rng(1).integers(0, 600, even.size)
    ways = {
        "one cosine array a constituent, no nodes": lambda: plain_cosines(port, even),
        "heights.tide, scattered times": lambda: heights.tide(port, scattered),
        "heights.tide, the same times each day": lambda: heights.tide(port, even),
        "heights.tidal_extremes": lambda: heights.tidal_extremes(port, 1983, 19),
    }
    taken = {name: [] for name in ways}
    for _ in range(TURNS):
        for name, way in ways.items():
            taken[name].append(seconds(way))
    print(f"{even.size} levels of {station['name']}, {len(port)} constituents")
    median = {name: statistics.median(times) for name, times in taken.items()}
    unit = median["heights.tidal_extremes"]
    for name, middle in median.items():
        print(f"{middle / unit:8.1f} × the extremes' time ({middle:.3f} s in this run): {name}")


def plain_cosines(port, times):
    """The sum as it stands in books, which is the least that another way can do."""
    hours = (times - times[0]).astype(float) / 3600
    level = np.zeros(hours.size)
    for k, (amplitude, phase) in enumerate(port.values()):
        level += amplitude * np.cos(np.radians(15 + k) * hours - np.radians(phase))
    return level


if __name__ == "__main__":
    main()
