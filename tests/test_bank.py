"""Every exercise of the bank over 3 000 seeded trainees × 3 turns.

The right answer is accepted, every slip is named, and the right answer, the slips and the general
slips stand more than three tolerances apart in some part they touch.
"""

import hashlib
import itertools
import json
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pytest

from exercises import BANK, find
from exercises.drawing import Dice, given, printed
from exercises.marking import NEAR, general_slips, mark
from exercises.model import Asked

TRAINEES, TURNS = 3000, 3
DIGESTS = Path(__file__).with_name("bank_digests.json")
# Slips of unit, sign and order, which do not count towards the three that an exercise must know.
NOT_COUNTED = {"sign", "swapped", "hemisphere", "feet", "thousand"}
everything = pytest.mark.parametrize("key", sorted(BANK))
NUMERIC = sorted(k for k, e in BANK.items() if all(a.kind != "choice" for a in e.asked))
numeric = pytest.mark.parametrize("key", NUMERIC)


def draws(exercise):
    for number, turn in itertools.product(range(TRAINEES), range(1, TURNS + 1)):
        yield given(exercise, f"T{number:04d}", turn)


class Worked:
    """One draw worked once: the right answer, each slip, each general slip part by part."""

    def __init__(self, exercise, numbers):
        self.numbers = numbers
        self.right = exercise.solve(numbers)
        self.wrong = exercise.wrong(numbers)
        self.exercise = replace(
            exercise,
            solve=lambda given: self.right,
            slips=tuple(
                replace(slip, route=lambda given, key=slip.key: self.wrong[key])
                for slip in exercise.slips
            ),
        )

    def outcomes(self):
        """Return {name: ({asked: value}, {asked: window})}."""
        tolerance = {asked.name: asked.tolerance for asked in self.exercise.asked}
        found = {"right": ({}, tolerance)}
        found |= {key: (answer, tolerance) for key, answer in self.wrong.items()}
        for part, generals in general_slips(self.exercise, self.right).items():
            for number, general in enumerate(generals):
                name = f"{general.key} {part} {number}"
                found[name] = ({part: general.value}, {part: general.window})
        return found


def smallest_distance(exercise, worked):
    """
    Return the smallest distance of two outcomes over all draws, in tolerances, and where.

    The distance of two outcomes is the largest over the parts that either touches.
    """
    names = sorted({name for one in worked for name in one.found})
    place = {name: i for i, name in enumerate(names)}
    shape = (len(worked), len(names), len(exercise.asked))
    values, windows = np.full(shape, np.nan), np.full(shape, np.nan)
    for row, one in enumerate(worked):
        for name, (answer, window) in one.found.items():
            for column, asked in enumerate(exercise.asked):
                values[row, place[name], column] = answer.get(asked.name, one.right[asked.name])
                windows[row, place[name], column] = window.get(asked.name, asked.tolerance)
    wraps = np.array([asked.kind in ("azimuth", "longitude") for asked in exercise.asked])
    best = (np.inf, "")
    for i, j in itertools.combinations(range(len(names)), 2):
        gap = np.abs(values[:, i] - values[:, j])
        gap = np.where(wraps, np.minimum(gap % 360, -gap % 360), gap)
        distance = (gap / np.maximum(windows[:, i], windows[:, j])).max(axis=1)
        if np.isfinite(distance).any() and np.nanmin(distance) < best[0]:
            where = worked[int(np.nanargmin(distance))].numbers
            best = (float(np.nanmin(distance)), f"{names[i]} / {names[j]} at {where}")
    return best


@pytest.fixture(scope="module")
def distances(request):
    """Work the exercises that are tested, on every core: {key: (smallest distance, where)}."""
    asked = {
        item.callspec.params["key"]
        for item in request.session.items
        if "distances" in getattr(item, "fixturenames", ())
    }
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as pool:
        futures = {key: pool.submit(work, key) for key in NUMERIC if key in asked}
        yield futures
        pool.shutdown(cancel_futures=True)


def work(key):
    """Mark the right answer and every slip of all draws; return the smallest distance."""
    exercise = find(key)
    worked = []
    for numbers in draws(exercise):
        one = Worked(exercise, numbers)
        check_marking(one)
        one.found = one.outcomes()
        worked.append(one)
    return smallest_distance(exercise, worked)


@numeric
def test_over_three_thousand_trainees(key, distances, record_property):
    """Right accepted, every slip named, and all outcomes stand apart."""
    distance, where = distances[key].result()
    print(f"{key}: smallest distance {distance:.2f} tolerances, {where}")
    record_property("smallest distance in tolerances", round(distance, 2))
    assert distance > NEAR, (
        f"{key}: only {distance:.2f} tolerances between {where}. "
        "Choose the ranges of its draw so that they stay apart."
    )


def check_marking(one):
    exercise = one.exercise
    shown = {asked.name: asked.show(one.right[asked.name]) for asked in exercise.asked}
    verdict = mark(exercise, one.numbers, shown)
    assert verdict.right, (shown, one.numbers, verdict)
    assert verdict.share == 1
    for slip, answer in one.wrong.items():
        typed = shown | {name: exercise.part(name).show(value) for name, value in answer.items()}
        verdict = mark(exercise, one.numbers, typed)
        assert slip in verdict.slips, (slip, typed, one.numbers, verdict)
        assert verdict.share < 1


@everything
def test_every_choice_is_marked(key):
    exercise = find(key)
    if any(asked.kind != "choice" for asked in exercise.asked):
        return
    for numbers in itertools.islice(draws(exercise), 60):
        check_marking(Worked(exercise, numbers))
        assert sorted(numbers["order"]) == sorted(o.key for o in exercise.asked[0].options)


@numeric
def test_knows_three_slips_that_are_not_of_unit_or_sign(key):
    counted = [s.key for s in find(key).slips if not NOT_COUNTED & {s.key, *s.also}]
    assert len(counted) >= 3, (
        f"{key} knows only {counted}: add the wrong routes that people really take."
    )


@everything
def test_says_what_it_must(key):
    exercise = find(key)
    assert key == exercise.key
    assert key.startswith(exercise.topic + "-")
    assert exercise.edition >= 1
    assert exercise.source
    assert exercise.elements
    assert exercise.aids in ("calculator", "course tools")
    assert exercise.slips, (
        f"{key} has no slips: an exercise names the slip, so add its wrong routes."
    )
    assert len({slip.key for slip in exercise.slips}) == len(exercise.slips)
    assert all(len(slip.name.split()) <= 10 and slip.reply for slip in exercise.slips)
    numbers = given(exercise, "T01", 1)
    assert json.loads(json.dumps(numbers)) == numbers, "given numbers go on the sheet as JSON"
    assert all(exercise.steps(numbers))
    assert all(text for row in exercise.table(numbers) for text in row)
    if exercise.marks:
        assert len(exercise.nudges) >= 1
    for asked in exercise.asked:
        if asked.kind != "choice":
            unit = 10.0**-asked.decimals / (3600 if asked.unit == "° ′ ″" else 1)
            assert asked.tolerance >= unit / 2, "asked more finely than it is marked"


@everything
def test_a_draw_changes_only_with_its_edition(key):
    """The recorded digest of three draws: other numbers for the same turn need a new edition."""
    exercise = find(key)
    text = json.dumps([given(exercise, "T07", turn) for turn in (1, 2, 3)], sort_keys=True)
    now = {"edition": exercise.edition, "draws": hashlib.sha256(text.encode()).hexdigest()[:16]}
    recorded = json.loads(DIGESTS.read_text(encoding="utf-8")).get(key)
    assert recorded == now, (
        f"{key}: the draws of edition {exercise.edition} are not the recorded ones. "
        f"Raise its edition if it was landed, then record {json.dumps(now)} in {DIGESTS.name}."
    )


def test_the_same_trainee_and_turn_get_the_same_numbers_and_others_do_not():
    for exercise in BANK.values():
        assert given(exercise, "T07", 1) == given(exercise, "T07", 1)
        if exercise.printed:
            one = given(exercise, "T07", 1)
            assert one != given(exercise, "T07", 2) != given(exercise, "T08", 2)
            assert one != given(exercise, "T07", 1, secret="a phrase")


def test_an_unknown_key_names_its_neighbours():
    with pytest.raises(KeyError, match="deflection-total"):
        find("deflection-totl")


def test_printed_numbers_forgive_the_last_bit():
    assert printed(0.1 + 0.2, 1) == 0.3
    assert printed(2.5, 0) == 2.0
    assert str(printed(-0.0001, 2)) == "0.0"
    third = 1 / 3
    assert printed(third * 3 * 0.125, 2) == printed(0.125, 2)


def test_dice_stay_in_their_range():
    dice = Dice(1)
    values = [dice.number(1.5, 2.5, 1) for _ in range(500)]
    assert (min(values), max(values), len(set(values))) == (1.5, 2.5, 11)
    assert sorted(dice.shuffled("abc")) == ["a", "b", "c"]


def test_show_is_what_a_careful_trainee_types():
    assert Asked("a", "A", "length", "m", 2).show(-0.001) == "0.00"
    assert Asked("a", "A", "length", "m", 2).show(-1.237) == "-1.24"
