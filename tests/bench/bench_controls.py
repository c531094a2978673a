"""
What one step of each control of each figure costs the server, in processor time.

    python -m tests.bench.bench_controls [figure …] [--steps 40] [--least 0]

A step is what an arrow key held down, or a hand in the picture, does to a page: the control takes
on its next value, the figure is drawn, made a PNG, and its readout written. In turns with it an
empty figure of the same size goes the same way, so that a busy machine slows both. A value never
comes twice as long as the control has room: what was computed for it before would count as
nothing.

What a step takes more than the empty figure is what a figure adds to the bare round trip of
`bench_browser`. The last column is that sum, for the bare trip measured on two free cores.
"""

import argparse
import sys
import time

import numpy as np

from exercises.sheets.scenario import PLACES
from lessons.canvas.pen import Canvas
from lessons.widgets.live import Choice, LiveFigure, SitePicker, Slider
from tests.bench.bench_figures import ANYWHERE, BUILD

BARE = 62.0  # milliseconds of the bare round trip on two free cores, 30 November 2026
ALLOWED = 1.1  # times the bare round trip
WARM = 4  # steps before the clock runs


class Empty:
    """A drawing of nothing but the page."""

    def __init__(self):
        self.canvas = Canvas("Nothing")
        self.canvas.keep()

    def update(self, number):
        """Draw nothing; return a readout."""
        self.canvas.renew()
        return f"**{number:.0f}**"


def empty():
    """Return a call that moves the empty figure's slider by a step."""
    figure = LiveFigure(Empty, [Slider("number", "Number", "", 0, 100_000, 0, step=1)])
    return figure.controls["number"].set


def steps_of(name):
    """Return what can be moved in a figure, by its name: a call that moves it to its nth step."""
    figure = BUILD[name](*(() if name in ANYWHERE else (PLACES["Brindle Wall"],)))
    found = {}
    for control in figure.controls.values():
        if isinstance(control, SitePicker):
            found["latitude"] = lambda step, to=control: to.move(19 - 0.125 * step, -66.125)
            found["longitude"] = lambda step, to=control: to.move(19, -66.125 - 0.125 * step)
        elif isinstance(control, Choice):
            names = _fit(figure, control)
            found[control.name] = lambda step, to=control, of=names: to.set(of[step % len(of)])
        else:
            found[control.name] = _slid(control)
    for grip in figure.drawing.canvas.grips:
        found[f"hand: {grip.name}"] = _taken(figure, grip)
    return {f"{name}, {of}": _sure(figure, move) for of, move in found.items()}


def _fit(figure, choice):
    """Return the options that can be drawn at this site, and leave the one that was chosen."""
    first, fit = choice._choice.value, []
    for option in choice.options:
        choice.set(option)
        if figure.error is None:
            fit.append(option)
    choice.set(first)
    return fit


def _slid(slider):
    """Return a call that moves a slider from where it stands, and back from its end."""
    low, high = slider._place(slider.low), slider._place(slider.high)
    count, start = round((high - low) / slider._step), slider._place(slider.value)
    first = round((start - low) / slider._step)

    def move(step):
        at = (first + step) % (2 * count)
        at = low + slider._step * min(at, 2 * count - at)
        slider.set(10**at if slider._log else at)

    return move


def _taken(figure, grip):
    """Return a call that draws a hand on by a step, to and fro."""
    canvas = figure.drawing.canvas
    x, y = (grip.x, grip.y) if grip.right is None else (
        (grip.x + grip.right) / 2, (grip.y + grip.bottom) / 2
    )  # fmt: skip

    def move(step):
        away = 2.3 * min(step % 60, 60 - step % 60) + 0.01 * step
        place = (x + away) / canvas.width, (y + away / 2) / canvas.height
        figure._dragged(grip.name, *place, not step)

    return move


def _sure(figure, move):
    def moved(step):
        move(step)
        if figure.error:
            raise figure.error

    return moved


def measured(move, bare, count):
    """Return the milliseconds of processor time of steps of a control and of the empty figure."""
    times = np.empty((2, count))
    for step in range(-WARM, count):
        for row, call in enumerate((move, bare)):
            start = time.thread_time()
            call(step + WARM)
            if step >= 0:
                times[row, step] = 1000 * (time.thread_time() - start)
    return times


def main():
    """Print the table, the dearest first."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[1])
    parser.add_argument("figures", nargs="*")
    parser.add_argument("--steps", type=int, default=40)
    parser.add_argument("--least", type=float, default=0.0, help="times the empty figure")
    options = parser.parse_args()
    bare, rows = empty(), []
    for name in options.figures or BUILD:
        for words, move in steps_of(name).items():
            times = measured(move, bare, options.steps)
            (median, base), (p95, high) = np.median(times, 1), np.percentile(times, 95, 1)
            rows.append((median / base, words, median, p95, base, high))
    print(f"{'milliseconds of processor time of a step':44}{'median':>7}{'p95':>7}"
          f"{'empty':>7}{'p95':>7}{'ratio':>7}{'trip':>6}{'p95':>6}")  # fmt: skip
    for ratio, words, *times in sorted(rows, reverse=True):
        median, p95, base, high = times
        trip, worst = ((BARE + more) / BARE for more in (median - base, p95 - high))
        if ratio >= options.least:
            mark = " !" if max(trip, worst) > ALLOWED else ""
            print(f"{words:44}{''.join(f'{one:7.1f}' for one in times)}{ratio:7.1f}"
                  f"{trip:6.2f}{worst:6.2f}{mark}")  # fmt: skip


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")
    main()
