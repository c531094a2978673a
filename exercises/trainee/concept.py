"""
The concept check: who sits which form when, what came of it, and who still holds what.

The ideas are asked before the course and after it, in two forms (bank/concept.py). Half of a
class begins with form A and half with form B, by their codes, so that a form that happens to be
easier helps as many before the course as after it. Nothing here draws or asks.
"""

import hashlib
import math
import re
import statistics
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from exercises.bank.concept import EXERCISES, FORMS, IDEAS, UNSURE, Idea
from exercises.question.model import Exercise, Given
from exercises.sheets.report import Report

When = Literal["before", "after"]
BEFORE: When = "before"
AFTER: When = "after"
RIGHT = "right"  # the key of every right option
FINISHED = "finished"  # the event that closes a form
FEWEST = 20  # people under whom no share of a class is stated, only counts
TOPIC = "concept"
QUESTIONS = {exercise.key: exercise for exercise in EXERCISES}
_OF = {idea.question(form): (idea, form) for idea in IDEAS for form in FORMS}


def form_of(trainee: str, when: When) -> str:
    """
    Return the form that a trainee sits before or after the course.

    Codes that end in an odd number begin with form A, in an even number with form B; the other
    form follows. Codes without a number go by a digest of their letters.

    >>> form_of("T07", "before"), form_of("T07", "after"), form_of("T08", "before")
    ('A', 'B', 'B')
    """
    number = re.search(r"\d+$", trainee)
    odd = int(number[0]) if number else hashlib.sha256(trainee.encode()).digest()[0]
    return FORMS[(odd + (when == BEFORE)) % 2]


def questions(form: str) -> tuple[Exercise, ...]:
    """Return the questions of a form, in the order of the lessons."""
    return tuple(QUESTIONS[idea.question(form)] for idea in IDEAS)


def ordered(given: Given) -> list[str]:
    """Return the options in the order drawn for a trainee, "I do not know yet" always last."""
    return [key for key in given["order"] if key != UNSURE] + [UNSURE]


# One trainee ---------------------------------------------------------------------------


@dataclass
class Sat:
    """
    One form as a trainee sat it.

    Attributes
    ----------
    form : str
        "A" or "B".
    chosen : dict
        {idea: option}: "right", the key of a wrong idea, or "unsure".
    finished : bool
        It was closed and takes no more answers.
    """

    form: str
    chosen: dict[str, str] = field(default_factory=dict)
    finished: bool = False

    @property
    def asked(self) -> int:
        """Return how many questions a form has."""
        return len(IDEAS)

    @property
    def complete(self) -> bool:
        """Return whether every question has an answer."""
        return len(self.chosen) == self.asked

    @property
    def left(self) -> list[int]:
        """Return the numbers of the questions without an answer, from 1."""
        return [number for number, idea in enumerate(IDEAS, 1) if idea.key not in self.chosen]

    @property
    def right(self) -> int:
        """Return how many answers are right."""
        return sum(option == RIGHT for option in self.chosen.values())

    @property
    def unsure(self) -> int:
        """Return how often the answer was "I do not know yet"."""
        return sum(option == UNSURE for option in self.chosen.values())

    def holds(self, idea: Idea) -> str:
        """Return the key of the wrong idea that this form shows, or nothing."""
        option = self.chosen.get(idea.key, "")
        return option if option in idea.wrong else ""


@dataclass
class Result:
    """Both forms of one trainee."""

    trainee: str
    before: Sat
    after: Sat

    @property
    def sat(self) -> bool:
        """Return whether any question was answered."""
        return bool(self.before.chosen or self.after.chosen)

    @property
    def complete(self) -> bool:
        """Return whether both forms are answered to the last question."""
        return self.before.complete and self.after.complete

    @property
    def gain(self) -> int | None:
        """Return right after minus right before; None unless both forms are complete."""
        return self.after.right - self.before.right if self.complete else None

    @property
    def to_gain(self) -> int | None:
        """Return how many were not right before; None unless both forms are complete."""
        return self.before.asked - self.before.right if self.complete else None

    @property
    def held(self) -> list[tuple[Idea, str]]:
        """Return (idea, wrong idea) of all that the form after the course still shows."""
        return [(idea, wrong) for idea in IDEAS if (wrong := self.after.holds(idea))]


def normalised_gain(before: float, after: float) -> float | None:
    """
    Return (after - before) / (asked - before): the share of what could be gained that was gained.

    None where nothing could be gained. Negative where something was lost.

    R. R. Hake, Interactive-engagement versus traditional methods, American Journal of Physics
    66, 64-74 (1998). For a class it is computed from the means, as there.
    """
    most = len(IDEAS)
    return None if before >= most else (after - before) / (most - before)


@dataclass(frozen=True)
class _Moment:
    order: Any
    idea: Idea
    form: str
    what: str
    option: str


def of_events(trainee: str, events: Iterable[Mapping[str, Any]]) -> Result:
    """Return the result of a trainee from the events of a sheet."""
    return _result(
        trainee,
        (
            _Moment(
                order, *_OF[event["key"]], event["event"], event.get("typed", {}).get("choice", "")
            )
            for order, event in enumerate(events)
            if event.get("key") in _OF
        ),
    )


def of_report(report: Report) -> Result:
    """Return the result of a trainee from all sheets, marked anew."""
    moments = (
        _Moment(
            entry.when,
            *_OF[key],
            entry.what,
            entry.attempt.typed.get("choice", "") if entry.attempt else "",
        )
        for key, entries in report.entries.items()
        if key in _OF
        for entry in entries
    )
    return _result(report.trainee, moments)


def _result(trainee: str, moments: Iterable[_Moment]) -> Result:
    """
    Take the last answer to each question that was given while its form was open.

    A form closes when it is finished; the form before the course closes at the latest with the
    first answer to the form after it, for then the course is behind.
    """
    before, after = Sat(form_of(trainee, BEFORE)), Sat(form_of(trainee, AFTER))
    for moment in sorted(moments, key=lambda moment: moment.order):
        sat = before if moment.form == before.form else after
        if moment.what == FINISHED:
            sat.finished = True
        elif moment.option in moment.idea.wrong or moment.option in (RIGHT, UNSURE):
            if not sat.finished:
                sat.chosen[moment.idea.key] = moment.option
            before.finished = before.finished or sat is after
    return Result(trainee, before, after)


# A class -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Held:
    """A wrong idea and who shows it: before the course, after it, and both times."""

    idea: Idea
    key: str
    before: list[str]
    after: list[str]

    @property
    def name(self) -> str:
        """Return the wrong idea in words."""
        return self.idea.wrong[self.key].name

    @property
    def reply(self) -> str:
        """Return what to say to it."""
        return self.idea.wrong[self.key].reply

    @property
    def kept(self) -> list[str]:
        """Return who shows it both times."""
        return [trainee for trainee in self.after if trainee in self.before]


@dataclass(frozen=True)
class Forms:
    """
    How much easier form A came out than form B, in questions, with its standard error.

    `error` is None where a half of the class has fewer than two trainees: then nothing is said.
    """

    difference: float
    error: float | None
    trainees: int


@dataclass(frozen=True)
class Class:
    """What the concept check says of a class. Means and gains are of the complete only."""

    results: list[Result]
    complete: int
    before: float | None
    after: float | None
    held: list[Held]
    forms: Forms | None

    @property
    def asked(self) -> int:
        """Return how many questions a form has."""
        return len(IDEAS)

    @property
    def anybody_after(self) -> bool:
        """Return whether anybody has begun the form after the course."""
        return any(result.after.chosen for result in self.results)

    @property
    def held_after(self) -> list[Held]:
        """Return the wrong ideas that the form after the course shows."""
        return [held for held in self.held if held.after]

    @property
    def several(self) -> list[Held]:
        """Return those that two trainees or more show after the course."""
        return [held for held in self.held if len(held.after) > 1]

    @property
    def gain(self) -> float | None:
        """Return the mean gain in questions."""
        return None if self.before is None or self.after is None else self.after - self.before

    @property
    def gained(self) -> int:
        """Return how many of the complete have more right after the course than before it."""
        return sum((result.gain or 0) > 0 for result in self.results)

    @property
    def normalised(self) -> float | None:
        """Return the normalised gain of the class, from its means; None where they are too few."""
        if self.before is None or self.after is None or self.complete < FEWEST:
            return None
        return normalised_gain(self.before, self.after)


def of_class(results: Iterable[Result]) -> Class:
    """Return what the check says of a class; those who sat none of it are left out."""
    sat = [result for result in results if result.sat]
    whole = [result for result in sat if result.complete]
    return Class(
        results=sat,
        complete=len(whole),
        before=statistics.fmean(r.before.right for r in whole) if whole else None,
        after=statistics.fmean(r.after.right for r in whole) if whole else None,
        held=_held(sat),
        forms=forms_compared(whole),
    )


def _held(results: list[Result]) -> list[Held]:
    """Return the wrong ideas that anybody shows, by how many show them last."""
    found = [
        Held(
            idea,
            wrong,
            [r.trainee for r in results if r.before.holds(idea) == wrong],
            [r.trainee for r in results if r.after.holds(idea) == wrong],
        )
        for idea in IDEAS
        for wrong in idea.wrong
    ]
    shown = [held for held in found if held.before or held.after]
    return sorted(shown, key=lambda held: (-len(held.after), -len(held.before)))


def forms_compared(results: Iterable[Result]) -> Forms | None:
    """
    Return by how many questions form A came out easier than form B, with its standard error.

    Each trainee sits both forms, half of them in each order. A trainee's own difference, before
    minus after, holds the forms with one sign in one half of the class and with the other sign
    in the other half, and the course with the same sign in both: half the difference of the two
    means is the forms alone. (The AB/BA cross-over, S. Senn, Cross-over Trials in Clinical
    Research, 2nd ed. 2002.)
    """
    halves: dict[str, list[int]] = {form: [] for form in FORMS}
    for result in results:
        if result.complete:
            halves[result.before.form].append(result.before.right - result.after.right)
    a, b = (halves[form] for form in FORMS)
    if not a or not b:
        return None
    error = None
    if min(len(a), len(b)) >= 2:
        error = math.sqrt(statistics.variance(a) / len(a) + statistics.variance(b) / len(b)) / 2
    return Forms((statistics.fmean(a) - statistics.fmean(b)) / 2, error, len(a) + len(b))


def take_out(report: Report) -> Result:
    """Return the result of a trainee and leave the check's questions out of the report."""
    result = of_report(report)
    for key in QUESTIONS:
        report.standings.pop(key, None)
        report.entries.pop(key, None)
    return result
