"""
Every competent answer understood: each legitimate way gets what it deserves, at every draw.

The ways stand in tests/ways, a module a topic. An answer found another way is right, near, or
recognised by name as another method; it is never "not this number" and never a slip not made.
"""

import importlib

import pytest

from exercises import BANK, given, mark
from tests.ways import Way

TOPICS = sorted({exercise.topic for exercise in BANK.values()} - {"concept"})
WAYS: dict[str, list[Way]] = {
    key: ways
    for topic in TOPICS
    for key, ways in importlib.import_module(f"tests.ways.{topic}").WAYS.items()
}
DRAWS = [(f"T{number:02d}", turn) for number in range(30) for turn in (1, 2)]
CASES = [
    pytest.param(BANK[key], way, id=f"{key}:{way.name}")
    for key, ways in WAYS.items()
    for way in ways
]


def outcome(exercise, numbers, answer):
    """Return what an answer gets, in the words of Way.gets."""
    right = exercise.solve(numbers)
    typed = {
        part.name: part.show(answer.get(part.name, right[part.name])) for part in exercise.asked
    }
    verdict = mark(exercise, numbers, typed)
    if verdict.right:
        return "right"
    if verdict.slips:
        return f"slip:{verdict.slips[0]}"
    if verdict.state == "method":
        named = {part.method for part in verdict.parts.values()}
        return "method:" + next(m.key for m in exercise.methods if m.name in named)
    return verdict.state


@pytest.mark.parametrize(("exercise", "way"), CASES)
def test_a_legitimate_way_gets_what_it_deserves(exercise, way, full):
    allowed = way.gets.split(" or ")
    assert set(allowed) & {"right", "near"} or all(":" in one for one in allowed)
    for trainee, turn in DRAWS if full else DRAWS[::5]:
        numbers = given(exercise, trainee, turn)
        got = outcome(exercise, numbers, way.route(dict(numbers)))
        assert got in allowed, (got, way.route(dict(numbers)), exercise.solve(numbers), numbers)


@pytest.mark.parametrize(
    "key", sorted(k for k, e in BANK.items() if any(a.kind != "choice" for a in e.asked))
)
def test_every_exercise_with_numbers_has_its_ways(key):
    assert WAYS.get(key), f"write down in tests/ways how a surveyor would go at {key}"
