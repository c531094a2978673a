"""The review: exercises come back at growing intervals, with fresh numbers, mixed across lessons.

Spacing and mixing both help what was learnt to last: N. J. Cepeda and others, Distributed practice
in verbal recall tasks, Psychological Bulletin 132 (2006), 354-380; D. Rohrer and K. Taylor, The
shuffling of mathematics problems improves learning, Instructional Science 35 (2007), 481-498. The
intervals themselves are common practice, no source.

The rule, shown to the trainee: a right answer sends an exercise away for 1 day, then for 3, 7, 16
and 35; a wrong one, or a worked answer looked up, brings it back after a day and to the start of
that row. An answer that is right before the exercise was due changes nothing, so that ten turns in
one evening count as one. Slips come first.

All times are those written on the answer sheet. A clock that was set back by more than a day gives
no interval to believe: what was answered "in the future" is simply due.
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

INTERVALS = tuple(timedelta(days=days) for days in (1, 3, 7, 16, 35))
SESSION = 10  # exercises at one sitting
LEFT_OUT = ("sailing",)  # a whole job each time: too long for a review
JITTER = timedelta(days=1)  # by which a clock may go back without being called set back
EARLIEST, LATEST = datetime(1970, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Card:
    """
    One exercise on its way through the intervals.

    Attributes
    ----------
    step : int
        How many times in a row it was right when due; 0 after a wrong answer.
    last : datetime
        The answer from which its interval runs.
    slips : int
        Answers with a slip, or wrong, since it was last right when due.
    """

    exercise: Exercise
    step: int
    last: datetime
    slips: int = 0

    @property
    def due(self) -> datetime:
        """Return when it is due again."""
        return self.last + INTERVALS[min(max(self.step, 1), len(INTERVALS)) - 1]

    def is_due(self, now: datetime) -> bool:
        """Return whether it is due, or was answered by a clock that stood ahead of this one."""
        return now >= self.due or now < self.last - JITTER


def cards(found: report.Report, catalogue: Mapping[str, Exercise] = BANK) -> list[Card]:
    """Return a card for each exercise that the trainee has answered or looked up."""
    made = []
    for exercise in catalogue.values():
        if exercise.marks and exercise.topic in LESSONS and exercise.topic not in LEFT_OUT:
            card = _card(exercise, found.entries.get(exercise.key, ()))
            made += [card] if card else []
    return made


def _card(exercise: Exercise, entries: Iterable[report.Entry]) -> Card | None:
    """Send an exercise through its history."""
    card: Card | None = None
    right_on = 0  # the turn last right: looking up its worked answer forgets nothing
    for entry in entries:
        when = min(max(entry.when, EARLIEST), LATEST)
        if progress.is_right(entry):
            right_on = entry.turn
            card = card or Card(exercise, 0, EARLIEST)
            if card.is_due(when):
                card = Card(exercise, card.step + 1, when)
        elif progress.counts(entry):
            if card is None or not _near(entry):  # near: the way was right, the interval stands
                card = _back_to_start(card, exercise, when)
        elif entry.what == "shown" and entry.turn != right_on:
            card = _back_to_start(card, exercise, when)
    return card


def _near(entry: report.Entry) -> bool:
    return entry.attempt is not None and entry.attempt.verdict.state in ("near", "method")


def _back_to_start(card: Card | None, exercise: Exercise, when: datetime) -> Card:
    return Card(exercise, 0, when, (card.slips if card else 0) + 1)


# Choosing ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Session:
    """
    What the review holds now.

    Attributes
    ----------
    cards : tuple of Card
        Those of this sitting, in the order to be asked.
    due : int
        All that are due now.
    next_due : datetime or None
        When the first of the others is due; None where there is no other.
    """

    cards: tuple[Card, ...]
    due: int
    next_due: datetime | None


def session(found: report.Report, now: datetime | None = None, most: int = SESSION) -> Session:
    """Return the sitting that a marked sheet leads to: slips first, then the longest overdue."""
    now = now or datetime.now(UTC)
    held = cards(found)
    due = sorted((c for c in held if c.is_due(now)), key=lambda card: (-card.slips, card.due))
    later = [card.due for card in held if not card.is_due(now)]
    return Session(tuple(mixed(due[:most])), len(due), min(later, default=None))


def mixed(chosen: Sequence[Card]) -> list[Card]:
    """Return the cards with no two of one topic in a row where that can be; else in their order."""
    left, order = list(chosen), list[Card]()
    while left:
        before = order[-1].exercise.topic if order else ""
        order.append(next((c for c in left if _fits(c, left, before)), None) or _best(left, before))
        left.remove(order[-1])
    return order


def _fits(card: Card, left: Sequence[Card], before: str) -> bool:
    """Return whether a card may come now, so that what is left can still be kept apart."""
    topic = card.exercise.topic
    rest = Counter(other.exercise.topic for other in left)
    rest[topic] -= 1
    count = rest.total()
    apart = all(n <= (count + (other != topic)) // 2 for other, n in rest.items())
    return topic != before and apart


def _best(left: Sequence[Card], before: str) -> Card:
    """Return the card to take where topics must meet: of the fullest topic that is not the last."""
    full = Counter(card.exercise.topic for card in left)
    others = [card for card in left if card.exercise.topic != before] or list(left)
    return max(others, key=lambda card: full[card.exercise.topic])


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


def due_words(held: Session, *, short: bool = False) -> str:
    """Return what is due, or that nothing is and when the next will be."""
    if held.due:
        return f"{held.due} due now"
    if held.next_due is None:
        return "nothing yet" if short else "Nothing is due: the review begins with what you answer."
    when = held.next_due.astimezone()
    if short:
        return f"next {when:%a %d %b}"
    return f"Nothing is due now. The next comes back {when:%A %d %B, %H:%M}."
