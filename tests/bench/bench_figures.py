"""
How long a new picture takes on the server: python -m tests.bench.bench_figures [pictures].

Each figure is moved, drawn and encoded as a moved slider does it. The same number of times, in
turns with it so that a busy machine slows both, an ordinary matplotlib figure of the same size
with the same map, ten lines and twenty words is saved the ordinary way. Look at the ratio:
milliseconds are this machine's at this minute.
"""

import io
import sys
import time

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from exercises.sheets.scenario import PLACES
from lessons.figures import (
    attraction,
    datums,
    deflection,
    ecef,
    ellipsoid,
    excess,
    geoid,
    grid,
    heights,
    lines,
    motion,
    sailing,
    surface,
)
from lessons.widgets.live import Choice, SitePicker

# What a hand moves in each figure: a slider, a choice, or the site's own longitude.
DRAGGED = {
    "flat_earth": "distance",
    "five_answers": "height",
    "carried_arrow": "done",
    "globe_triangle": "size",
    "lune_pairs": "turn",
    "plane_limits": "stretch",
    "latitudes": "site",
    "two_ellipsoids": "latitude",
    "axes": "site",
    "lever_arm": "heading",
    "three_lines": "azimuth",
    "geodesic_law": "azimuth",
    "world_geoid": "site",
    "normal_gravity": "site",
    "levelled_loop": "rise",
    "stack": "tide",
    "tide_years": "month",
    "two_verticals": "site",
    "consequences": "line",
    "trench_profile": "azimuth",
    "island": "along",
    "three_heights": "azimuth",
    "dig_and_raise": "relief",
    "down_the_wire": "length",
    "rings_of_gravity": "stand",
    "many_datums": "site",
    "seven_parameters": "rz",
    "candidates": "site",
    "fingerprints": "rotation",
    "plates": "site",
    "zone": "carried",
    "quay": "azimuth",
    "projections": "site",
    "chain": "zone",
}
TOPICS = (
    surface, excess, ellipsoid, ecef, lines, geoid, heights, deflection, attraction, datums,
    motion, grid, sailing,
)  # fmt: skip
BUILD = {name: getattr(topic, name) for topic in TOPICS for name in topic.__all__}
ANYWHERE = ("chain",)  # figures that follow no site


def dragged(name, scale):
    """Return a call that moves a figure's control one step and draws."""
    site = () if name in ANYWHERE else (PLACES["Brindle Wall"],)
    figure = BUILD[name](*site, scale=scale)
    control = figure.controls[DRAGGED[name]]

    def move(step):
        if isinstance(control, SitePicker):
            control.move(15 + 0.125 * step % 10, -66.125)
        elif isinstance(control, Choice):
            control.set(list(control.options)[step % len(control.options)])
        else:
            control.set(control.low + (control.high - control.low) * (step % 50 + 1) / 51)
        assert figure.error is None

    return move


def plain(scale):
    """Return a call that saves an ordinary figure of the same size, with other numbers."""
    figure = Figure(figsize=(1120 / 72, 560 / 72), dpi=72 * scale)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set(xlim=(0, 1120), ylim=(560, 0))
    axes.set_axis_off()
    world = deflection.verticals.TwoVerticals.MAP
    extent = (world.left, world.right, world.bottom, world.top)
    axes.imshow(world.deflection_colours(scale), extent=extent, aspect="auto")
    rules = [axes.plot([664, 1104], [y, y])[0] for y in range(60, 560, 50)]
    words = [axes.text(664 + 220 * (i % 2), 60 + 25 * i, "", fontsize=15) for i in range(20)]

    def save(step):
        for number, line in enumerate(rules):
            line.set_ydata([60 + 50 * number, 60 + 50 * number + step % 7])
        for number, word in enumerate(words):
            word.set_text(f"+{number + step / 10:.1f}″ north")
        figure.savefig(io.BytesIO(), format="png")

    return save


def times(calls, rounds):
    """Return the milliseconds of each call in each round, all calls in turn."""
    found = np.empty((len(calls), rounds))
    for step in range(-3, rounds):  # three rounds to warm up
        for row, call in enumerate(calls):
            start = time.perf_counter()
            call(step + 3)
            if step >= 0:
                found[row, step] = 1000 * (time.perf_counter() - start)
    return found


def main(rounds=60):
    """Print median and 95th percentile of each figure, and the share of a plain savefig."""
    for scale in (1.0, 1.5):
        names = [*DRAGGED, "plain savefig"]
        calls = [*(dragged(name, scale) for name in DRAGGED), plain(scale)]
        found = times(calls, rounds)
        medians, slow = np.median(found, axis=1), np.percentile(found, 95, axis=1)
        print(f"\n{1120 * scale:.0f} × {560 * scale:.0f}, {rounds} pictures each")
        for name, median, p95 in zip(names, medians, slow, strict=True):
            share = median / medians[-1]
            print(f"{name:16} median {median:6.1f} ms   p95 {p95:6.1f} ms   {share:5.2f} of plain")


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")
    main(*map(int, sys.argv[1:]))
