"""Every exercise of the bank over 300 seeded trainees × 3 turns, with --full over 3 000.

The right answer is accepted, every slip is named, and the right answer, the slips and the general
slips stand more than three tolerances apart in some part they touch.

On all draws of an exercise with numbers: the right answer and every slip are checked by numbers,
rounded as a careful trainee types them, and the distances are taken. A sample only goes as text
through mark(): the right answer of one draw in 4, every slip of one draw in 28. An exercise of
choices alone has no numbers: 60 draws, all of them as text.
"""

import configparser
import gc
import hashlib
import itertools
import json
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import date
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pyproj
import pytest
from pyproj.database import get_database_metadata

from exercises import BANK, find
from exercises.question import notation, wording
from exercises.question.dice import Dice, given, printed
from exercises.question.marking import NEAR, ROUNDING, difference, general_slips, mark
from exercises.question.model import DMS, Asked

QUICK, FULL, TURNS = 300, 3000, 3
# One draw in so many is typed and marked; neither is a multiple of 3, so every turn has its share.
TYPED, SLIPS_TYPED = 4, 28
DIGESTS = Path(__file__).with_name("bank_digests.json")
# Slips of unit, sign and order, which do not count towards the three that an exercise must know.
NOT_COUNTED = {"sign", "swapped", "hemisphere", "feet", "thousand"}
everything = pytest.mark.parametrize("key", sorted(BANK))
NUMERIC = sorted(k for k, e in BANK.items() if any(a.kind != "choice" for a in e.asked))
numeric = pytest.mark.parametrize("key", NUMERIC)


def draws(exercise, trainees):
    for number, turn in itertools.product(range(trainees), range(1, TURNS + 1)):
        yield given(exercise, f"T{number:04d}", turn)


class Draw:
    """
    The exercise with the answers of one draw worked beforehand, for mark() to read.

    `take` works the next draw: solve and the routes are called once for all of its markings.
    """

    def __init__(self, exercise):
        self.numbers, self.right, self.wrong = {}, {}, {}
        self.original = exercise
        self.exercise = replace(
            exercise,
            solve=lambda given: self.right,
            slips=tuple(
                replace(slip, route=lambda given, key=slip.key: self.wrong[key])
                for slip in exercise.slips
            ),
        )

    def take(self, numbers):
        self.numbers = numbers
        self.right = self.original.solve(numbers)
        self.wrong = self.original.wrong(numbers)
        return self


def check_right(draw):
    exercise = draw.exercise
    shown = {asked.name: asked.show(draw.right[asked.name]) for asked in exercise.asked}
    verdict = mark(exercise, draw.numbers, shown)
    assert verdict.right, (shown, draw.numbers, verdict)
    assert abs(verdict.share - 1) < 1e-9
    return shown


def check_slips(draw, shown):
    exercise = draw.exercise
    for slip, answer in draw.wrong.items():
        typed = shown | {name: exercise.part(name).show(value) for name, value in answer.items()}
        verdict = mark(exercise, draw.numbers, typed)
        assert slip in verdict.slips, (slip, typed, draw.numbers, verdict)
        assert verdict.share < 1


class Outcomes:
    """
    What an exercise leads to over all draws: the right answer, its slips, the general slips.

    Each is an array (draws, parts) of values and one of windows. A part that an outcome leaves
    alone has the right value there; an outcome that does not apply to a draw is NaN throughout.
    A choice is the number of its option.
    """

    def __init__(self, exercise):
        self.exercise = exercise
        self.asked = exercise.asked
        self.column = {asked.name: column for column, asked in enumerate(self.asked)}
        self.options = {a.name: [o.key for o in a.options] for a in self.asked}
        self.numbers, self.rights, self.wrongs, self.generals = [], [], [], []

    def keep(self, draw):
        self.numbers.append(draw.numbers)
        self.rights.append(draw.right)
        self.wrongs.append(draw.wrong)
        self.generals.append(general_slips(draw.exercise, draw.right))

    def stack(self):
        """Turn what was kept into arrays."""
        self.tolerance = np.array([1.0 if a.kind == "choice" else a.tolerance for a in self.asked])
        self.choice = np.array([asked.kind == "choice" for asked in self.asked])
        self.wraps = np.array([asked.kind in ("azimuth", "longitude") for asked in self.asked])
        self.right = np.array([self.row(answer) for answer in self.rights])
        self.values, self.touched = {}, {}
        for slip in self.exercise.slips:
            rows = np.array([self.row(wrong[slip.key]) for wrong in self.wrongs])
            self.touched[slip.key] = ~np.isnan(rows)
            self.values[slip.key] = np.where(self.touched[slip.key], rows, self.right)
        return self

    def row(self, answer):
        return [
            np.nan
            if a.name not in answer
            else self.options[a.name].index(answer[a.name])
            if a.kind == "choice"
            else answer[a.name]
            for a in self.asked
        ]

    def answer(self, row):
        """Return a row of values as an answer again."""
        return {
            a.name: self.options[a.name][int(value)] if a.kind == "choice" else float(value)
            for a, value in zip(self.asked, row, strict=True)
        }

    def gap(self, a, b, columns=slice(None)):
        """Return how far apart two outcomes stand in each part: marking.difference for arrays."""
        gap = np.abs(a[:, columns] - b[:, columns])
        gap = np.where(self.wraps[columns], np.minimum(gap % 360, -gap % 360), gap)
        return np.where(self.choice[columns] & (gap > 0), np.inf, gap)

    def within(self, a, b):
        return self.gap(a, b) <= self.tolerance * (1 + ROUNDING)

    def as_typed(self, values):
        """Return the values rounded as a careful trainee types them: Asked.show for arrays."""
        typed = values.copy()
        for column, asked in enumerate(self.asked):
            if asked.kind != "choice":
                scale = 3600 if asked.unit == DMS else 1
                typed[:, column] = np.round(values[:, column] * scale, asked.decimals) / scale
        return typed

    def carried(self, typed):
        """Return the parts that follow rightly from the trainee's own earlier ones."""
        if not self.exercise.carry:
            return np.zeros(typed.shape, bool)
        pairs = zip(self.numbers, typed, strict=True)
        own = np.array([self.row(self.exercise.carry(n, self.answer(row))) for n, row in pairs])
        return self.within(typed, own)


def check_rounded(outcomes):
    """
    Check on every draw, by numbers, that the right answer is right and each slip is named.

    A typed slip fits every part that it touches and explains every open part, so nothing weighs
    more than it: it is named unless one that stands before it in the list does the same.
    """
    right = outcomes.as_typed(outcomes.right)
    at_every_draw(outcomes, "right", outcomes.within(right, outcomes.right).all(axis=1))
    for place, slip in enumerate(outcomes.exercise.slips):
        values = outcomes.values[slip.key]
        typed = np.where(outcomes.touched[slip.key], outcomes.as_typed(values), right)
        wrong = ~outcomes.within(typed, outcomes.right)
        carried = wrong & outcomes.carried(typed)
        opened = wrong & ~carried
        at_every_draw(outcomes, f"{slip.key} is not right", opened.any(axis=1))

        def explains(key, typed=typed, carried=carried, opened=opened):
            touched = outcomes.touched[key]
            hit = touched & outcomes.within(typed, outcomes.values[key])
            return (hit | ~opened).all(axis=1) & (hit | carried | ~touched).all(axis=1)

        at_every_draw(outcomes, f"{slip.key} is named", explains(slip.key))
        for earlier in outcomes.exercise.slips[:place]:
            said = f"{slip.key} is not taken for {earlier.key}"
            at_every_draw(outcomes, said, ~explains(earlier.key))


def at_every_draw(outcomes, claim, holds):
    if not holds.all():
        where = outcomes.numbers[int(np.argmin(holds))]
        raise AssertionError(f"not so at {np.sum(~holds)} draws: {claim}; first {where}")


def smallest_distance(outcomes):
    """
    Return the smallest distance of two outcomes over all draws, in tolerances, and where.

    The distance of two outcomes is the largest over the parts that either touches.
    """
    found = named_outcomes(outcomes)
    best = (np.inf, "")
    for (one, a), (other, b) in itertools.combinations(sorted(found.items()), 2):
        columns = sorted({*a.columns, *b.columns})
        gap = outcomes.gap(a.values, b.values, columns)
        windows = np.maximum(a.windows[:, columns], b.windows[:, columns])
        distance = (gap / windows).max(axis=1)
        if np.isfinite(distance).any() and np.nanmin(distance) < best[0]:
            where = outcomes.numbers[int(np.nanargmin(distance))]
            best = (float(np.nanmin(distance)), f"{one} / {other} at {where}")
    return best


@dataclass
class Outcome:
    """One outcome over all draws: its values, its windows, and the parts that it touches."""

    values: np.ndarray
    windows: np.ndarray
    columns: list


def named_outcomes(outcomes):
    """Return every outcome by its name: the right answer, the slips, the general slips."""
    shape = outcomes.right.shape
    tolerance = np.broadcast_to(outcomes.tolerance, shape)
    found = {"right": Outcome(outcomes.right, tolerance, [])}
    for key, values in outcomes.values.items():
        columns = np.flatnonzero(outcomes.touched[key].any(axis=0)).tolist()
        found[key] = Outcome(values, tolerance, columns)
    for draw, parts in enumerate(outcomes.generals):
        for part, generals in parts.items():
            column = outcomes.column[part]
            for number, general in enumerate(generals):
                name = f"{general.key} {part} {number}"
                if name not in found:
                    found[name] = Outcome(np.full(shape, np.nan), tolerance.copy(), [column])
                found[name].values[draw] = outcomes.right[draw]
                found[name].values[draw, column] = general.value
                found[name].windows[draw, column] = general.window
    return found


@pytest.fixture(scope="module")
def distances(request, full):
    """Work the exercises that are tested, on every core: {key: (smallest distance, where)}."""
    asked = {
        item.callspec.params["key"]
        for item in request.session.items
        if "distances" in getattr(item, "fixturenames", ())
    }
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as pool:
        trainees = FULL if full else QUICK
        futures = {key: pool.submit(work, key, trainees) for key in NUMERIC if key in asked}
        yield futures
        pool.shutdown(cancel_futures=True)


def work(key, trainees):
    """Mark the draws of one exercise; return the smallest distance of its outcomes."""
    gc.disable()  # nothing here is a cycle, and the collector would walk all that is kept
    draw = Draw(find(key))
    outcomes = Outcomes(draw.exercise)
    for number, numbers in enumerate(draws(draw.original, trainees)):
        draw.take(numbers)
        if number % TYPED == 0:
            shown = check_right(draw)
            if number % SLIPS_TYPED == 0:
                check_slips(draw, shown)
        outcomes.keep(draw)
    outcomes.stack()
    check_rounded(outcomes)
    return smallest_distance(outcomes)


@numeric
def test_over_many_trainees(key, distances, record_property):
    """Right accepted, every slip named, and all outcomes stand apart."""
    distance, where = distances[key].result()
    print(f"{key}: smallest distance {distance:.2f} tolerances, {where}")
    record_property("smallest distance in tolerances", round(distance, 2))
    assert distance > NEAR, (
        f"{key}: only {distance:.2f} tolerances between {where}. "
        "Choose the ranges of its draw so that they stay apart."
    )


@pytest.mark.parametrize("key", sorted(BANK.keys() - set(NUMERIC)))
def test_every_choice_is_marked(key):
    exercise = find(key)
    draw = Draw(exercise)
    for numbers in draws(exercise, 20):
        check_slips(draw, check_right(draw.take(numbers)))
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


@pytest.mark.parametrize("key", sorted(key for key, one in BANK.items() if one.carry))
def test_what_follows_from_right_parts_is_right(key):
    exercise = find(key)
    for turn in (1, 2, 3):
        numbers = given(exercise, "T07", turn)
        right = exercise.solve(numbers)
        follows = exercise.carry(numbers, right)
        assert follows
        for name, value in follows.items():
            asked = exercise.part(name)
            assert difference(asked, value, right[name]) <= 0.15 * asked.tolerance, name


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


@everything
@pytest.mark.parametrize("decimal", [".", ","])
def test_the_right_answer_is_right_as_the_course_writes_it(key, decimal):
    """True minus, thin spaces, the unit, and the direction word in the place of a sign."""

    def written(asked, value):
        if asked.kind == "choice":
            return value
        if asked.unit == DMS:
            return asked.say(value).replace(".", decimal)
        way = wording.way(value, asked.positive, asked.decimals)
        text = wording.number(abs(value) if way else value, asked.decimals)
        return f"{text}{wording.unit(asked.unit)} {way}".replace(".", decimal)

    exercise = find(key)
    for turn in (1, 2, 3):
        numbers = given(exercise, "T07", turn)
        right = exercise.solve(numbers)
        typed = {asked.name: written(asked, right[asked.name]) for asked in exercise.asked}
        assert mark(exercise, numbers, typed, decimal=decimal).right, typed


def test_what_is_said_names_either_way():
    assert Asked("a", "A", "length", "m", 3, positive="passes").say(-0.129) == "0.129\u00a0m fails"
    assert Asked("a", "A", "angle", "″", 1, positive="too large").say(2.1) == "2.1″ too large"
    for exercise in BANK.values():
        for asked in exercise.asked:
            assert asked.kind == "choice" or not asked.positive or " " in asked.say(-99.0)


def test_show_is_what_a_careful_trainee_types():
    assert Asked("a", "A", "length", "m", 2).show(-0.001) == "0.00"
    assert Asked("a", "A", "length", "m", 2).show(-1.237) == "-1.24"


def test_the_registry_is_cited_in_the_version_that_proj_carries():
    """Read once here: a newer PROJ brings a newer EPSG dataset, and the citation must follow."""
    sources = configparser.RawConfigParser(delimiters=(":",), comment_prefixes=("#",))
    sources.read(notation.BANK / "sources.ini", encoding="utf-8")
    day = date.fromisoformat(get_database_metadata("EPSG.DATE"))
    assert sources["sources"]["REGISTRY"] == (
        f"EPSG dataset {get_database_metadata('EPSG.VERSION')}, {day.day} {day:%B %Y}, "
        f"as PROJ {pyproj.proj_version_str} carries it"
    )


@everything
def test_a_source_says_from_memory_nowhere(key):
    assert "memory" not in find(key).source


# SI units and those in use with them (SI Brochure, 9th edition, tables 8 and 9; mGal, kn, NM and
# the US survey foot are the trade's, common practice, no source); ° ′ ″ is an angle in its parts.
UNITS = {
    *("", "mm", "m", "km", "km²", "kg/m³", "kPa", "m²/s²", "°", "′", "″", "° ′ ″", "gon", "ppm"),
    *("mm/yr", "°/Myr", "mGal", "kn", "NM", "US survey ft"),
}  # fmt: skip


@everything
def test_every_number_is_given_and_asked_in_a_unit_that_exists(key):
    rows = (*find(key).printed, *find(key).asked)
    assert {row.unit for row in rows} <= UNITS


@everything
def test_the_last_decimal_asked_is_the_last_that_counts(key):
    """The tolerance is one to nine of it; of whole numbers and angles in parts it may differ."""
    for asked in find(key).asked:
        if asked.kind != "choice" and asked.unit != DMS and asked.decimals:
            assert 1 <= round(asked.tolerance * 10**asked.decimals, 6) < 10, asked.name
