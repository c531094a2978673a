"""
Every slip true: its wrong route walked a second time, from the printed numbers alone.

The second walk stands in tests/wrong_routes, a module a topic, and takes neither geokit nor the
bank's functions. A route whose number were 1.3 per cent off would fail here, one by one; that is
tried in the same test. Choices have no numbers and are left out.
"""

import importlib
import math

import pytest

from exercises import BANK, given
from exercises.question.marking import difference

TRAINEES = [f"T{number:02d}" for number in range(20)]
TURNS = (1, 2, 3)
SPOILED = 1.013
ROUTES = {
    key: routes
    for topic in sorted({exercise.topic for exercise in BANK.values()} - {"concept"})
    for key, routes in importlib.import_module(f"tests.wrong_routes.{topic}").ROUTES.items()
}


def numeric(exercise):
    return {asked.name: asked for asked in exercise.asked if asked.kind != "choice"}


def with_numbers(exercise, slip):
    route = slip.route(given(exercise, TRAINEES[0], 1))
    return bool(route.keys() & numeric(exercise).keys())


CASES = [
    pytest.param(exercise, slip, id=f"{exercise.key}:{slip.key}")
    for exercise in BANK.values()
    if numeric(exercise)
    for slip in exercise.slips
    if with_numbers(exercise, slip)
]


def disagreements(exercise, slip, trainees, factor=1.0):
    """Return where the bank's route, times a factor, is not the number of the second walk."""
    walk, parts, found = ROUTES[exercise.key][slip.key], numeric(exercise), []
    for trainee in trainees:
        for turn in TURNS:
            numbers = given(exercise, trainee, turn)
            route = {n: v for n, v in slip.route(numbers).items() if n in parts}
            again = {n: v for n, v in walk(dict(numbers)).items() if n in parts}
            if route.keys() != again.keys():
                found.append((numbers, sorted(route), sorted(again)))
                continue
            found += [
                (numbers, name, spoilt(parts[name], value, factor), again[name])
                for name, value in route.items()
                if not agrees(parts[name], spoilt(parts[name], value, factor), again[name])
            ]
    return found


def spoilt(asked, value, factor):
    """Return a value times a factor; nought, which no factor moves, goes off by tolerances."""
    return value * factor if value else (factor - 1) * 10 * asked.tolerance


def agrees(asked, value, again):
    allowed = min(max(0.02 * asked.tolerance, 1e-6 * abs(again)), 0.05 * asked.tolerance)
    return math.isfinite(value) and difference(asked, value, again) <= allowed


@pytest.mark.parametrize(("exercise", "slip"), CASES)
def test_the_wrong_route_leads_where_the_reply_says(exercise, slip, full):
    trainees = TRAINEES if full else TRAINEES[:4]
    found = disagreements(exercise, slip, trainees)
    assert not found, found[:3]
    noticed = disagreements(exercise, slip, trainees, SPOILED)
    assert noticed, "a route 1.3 per cent off would not be noticed"


def test_no_walk_is_left_over():
    spare = [
        f"{key}:{slip}"
        for key, routes in ROUTES.items()
        for slip in routes
        if key not in BANK or slip not in {s.key for s in BANK[key].slips}
    ]
    assert not spare
