"""The review: exercises come back at growing intervals, with fresh numbers, mixed across lessons.

Spacing and mixing both help what was learnt to last: N. J. Cepeda and others, Distributed practice
in verbal recall tasks, Psychological Bulletin 132 (2006), 354-380; D. Rohrer and K. Taylor, The
shuffling of mathematics problems improves learning, Instructional Science 35 (2007), 481-498.

The intervals are our choice: each is three times the one before, which is simple to remember;
27 days is about a rotation at sea and 81 about a season.

The rule, as the trainee reads it: a right answer sends an exercise away for 1 day, then for 3, 9,
27 and 81; a wrong one, or a worked answer looked up, brings it back after a day and to the start
of that row. An answer that is right before the exercise was ready changes nothing, so that ten
turns in one evening count as one. Slips come first.

All times are those written on the answer sheet. A clock that was set back by more than a day gives
no interval to believe: what was answered "in the future" is simply ready.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from exercises.bank import BANK, find
from exercises.bank.syllabus import LESSONS
from exercises.question.model import Exercise
from exercises.sheets import report
from exercises.trainee import progress
from exercises.trainee.practice import Practice

INTERVALS = tuple(timedelta(days=days) for days in (1, 3, 9, 27, 81))
SESSION = 10  # exercises at one sitting
LEFT_OUT = ("sailing",)  # a whole job each time: too long for a review
JITTER = timedelta(days=1)  # by which a clock may go back without being called set back
EARLIEST, LATEST = datetime(1970, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Return:
    """
    One exercise on its way through the intervals.

    Attributes
    ----------
    step : int
        How many times in a row it was right when it was ready; 0 after a wrong answer.
    last : datetime
        The answer from which its interval runs.
    slips : int
        Answers with a slip, or wrong, since it was last right when ready.
    """

    exercise: Exercise
    step: int
    last: datetime
    slips: int = 0

    @property
    def ready(self) -> datetime:
        """Return when it is ready to be repeated."""
        return self.last + INTERVALS[min(max(self.step, 1), len(INTERVALS)) - 1]

    def is_ready(self, now: datetime) -> bool:
        """Return whether it is ready, or was answered by a clock that stood ahead of this one."""
        return now >= self.ready or now < self.last - JITTER


def returns(found: report.Report, catalogue: Mapping[str, Exercise] = BANK) -> list[Return]:
    """Return each exercise that the trainee has answered or looked up, on its way back."""
    made = []
    for exercise in catalogue.values():
        if exercise.marks and exercise.topic in LESSONS and exercise.topic not in LEFT_OUT:
            one = _followed(exercise, found.entries.get(exercise.key, ()))
            made += [one] if one else []
    return made


def _followed(exercise: Exercise, entries: Iterable[report.Entry]) -> Return | None:
    """Send an exercise through its history."""
    one: Return | None = None
    right_on = 0  # the turn last right: looking up its worked answer forgets nothing
    for entry in entries:
        when = min(max(entry.when, EARLIEST), LATEST)
        if progress.is_right(entry):
            right_on = entry.turn
            one = one or Return(exercise, 0, EARLIEST)
            if one.is_ready(when):
                one = Return(exercise, one.step + 1, when)
        elif progress.counts(entry):
            if one is None or not _near(entry):  # near: the way was right, the interval stands
                one = _back_to_start(one, exercise, when)
        elif entry.what == "shown" and entry.turn != right_on:
            one = _back_to_start(one, exercise, when)
    return one


def _near(entry: report.Entry) -> bool:
    return entry.attempt is not None and entry.attempt.verdict.state in ("near", "method")


def _back_to_start(one: Return | None, exercise: Exercise, when: datetime) -> Return:
    return Return(exercise, 0, when, (one.slips if one else 0) + 1)


# Choosing ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Session:
    """
    What the review holds now.

    Attributes
    ----------
    sitting : tuple of Return
        Those of this sitting, in the order to be asked.
    ready : int
        All that are ready now.
    next : datetime or None
        When the first of the others is ready; None where there is no other.
    """

    sitting: tuple[Return, ...]
    ready: int
    next: datetime | None


def session(found: report.Report, now: datetime | None = None, most: int = SESSION) -> Session:
    """Return the sitting that a marked sheet leads to: slips first, then the longest waiting."""
    now = now or datetime.now(UTC)
    held = returns(found)
    ready = sorted((r for r in held if r.is_ready(now)), key=lambda one: (-one.slips, one.ready))
    later = [one.ready for one in held if not one.is_ready(now)]
    return Session(tuple(mixed(ready[:most])), len(ready), min(later, default=None))


def mixed(chosen: Sequence[Return]) -> list[Return]:
    """Return them with no two of one topic in a row where that can be; else in their order."""
    left, order = list(chosen), list[Return]()
    while left:
        before = order[-1].exercise.topic if order else ""
        order.append(next((r for r in left if _fits(r, left, before)), None) or _best(left, before))
        left.remove(order[-1])
    return order


def _fits(one: Return, left: Sequence[Return], before: str) -> bool:
    """Return whether an exercise may come now, so that what is left can still be kept apart."""
    topic = one.exercise.topic
    rest = Counter(other.exercise.topic for other in left)
    rest[topic] -= 1
    count = rest.total()
    apart = all(n <= (count + (other != topic)) // 2 for other, n in rest.items())
    return topic != before and apart


def _best(left: Sequence[Return], before: str) -> Return:
    """Return the one to take where topics must meet: of the fullest topic that is not the last."""
    full = Counter(one.exercise.topic for one in left)
    others = [one for one in left if one.exercise.topic != before] or list(left)
    return max(others, key=lambda one: full[one.exercise.topic])


# Asking --------------------------------------------------------------------------------------


def open_turn(key: str) -> Practice:
    """
    Lead an exercise to numbers that the trainee has not answered, and return it.

    Always the last turn plus one; a turn that was opened and not yet answered stays.

    Raises
    ------
    OSError
        If nobody is signed in, or the turn could not be kept.
    """
    practice = Practice(find(key))
    if practice.trainee is None:
        raise OSError("nobody is signed in")
    if practice.answers or practice.closed:
        practice.new_numbers()
    return practice


# Saying --------------------------------------------------------------------------------------


def ready_words(held: Session, *, short: bool = False) -> str:
    """Return what is ready to repeat, or that nothing is and when the next will be."""
    if held.ready:
        return f"{held.ready} ready to repeat"
    if held.next is None:
        begins = "Nothing to repeat yet: the review begins with what you answer."
        return "nothing yet" if short else begins
    when = held.next.astimezone()
    if short:
        return f"next {when:%a %d %b}"
    return f"Nothing to repeat now. The next comes back {when:%A %d %B, %H:%M}."
