"""What a class says about each exercise: how hard it was, whether it agrees with the rest,
which slips were made by whom, and which groups to teach again from which page.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from exercises.bank.syllabus import TaughtAt, page_of
from exercises.question import marking
from exercises.question.model import Exercise
from exercises.sheets.report import Bank, Standing
from exercises.trainee import concept

Class = Sequence[tuple[str, Mapping[str, Standing]]]  # trainee, standing by exercise

FEWEST_TRAINEES = (
    concept.FEWEST
)  # under it neither a correlation nor a percentage of people says anything
WEAK = 0.2  # Ebel (1965): below it an item hardly separates the strong from the weak
SMALLEST_GROUP = 2


@dataclass(frozen=True)
class SlipMade:
    """A slip at one exercise: who made it, how often, and who has not got it right since."""

    exercise: Exercise
    key: str
    who: list[str]
    times: int
    open: list[str]
    of: int

    @property
    def name(self) -> str:
        """The slip's name."""
        return marking.slip_name(self.exercise, self.key)

    @property
    def since(self) -> list[str]:
        """Who made it and has got the exercise right since."""
        still = set(self.open)
        return [who for who in self.who if who not in still]

    @property
    def share(self) -> float:
        """How many of those who answered made it, per cent: the length of a bar, never printed."""
        return self._per_cent(self.who)

    @property
    def open_share(self) -> float:
        """How many of those who answered made it and are not right since, likewise for a bar."""
        return self._per_cent(self.open)

    def _per_cent(self, who: Sequence[str]) -> float:
        return 100 * len(who) / self.of if self.of else 0.0


@dataclass(frozen=True)
class Group:
    """Trainees to teach again: the slip that is open with them and the page that answers it."""

    slip: SlipMade
    page: TaughtAt | None


@dataclass(frozen=True)
class ExerciseFigures:
    """
    One exercise over the class.

    Attributes
    ----------
    answered : int
        Trainees with an answer that counts.
    first : int
        Trainees with a first attempt: an answer on turn 1 before the worked answer.
    right : int
        Those of them whose first attempt was right in every part.
    agreement : float or None
        Corrected point-biserial correlation with the rest; None where it is left out.
    attempts : float
        Mean number of answers that count, over those who answered.
    nudged, shown : int
        Trainees who took a nudge, who had the worked answer shown.
    """

    exercise: Exercise
    answered: int
    first: int
    right: int
    agreement: float | None
    attempts: float
    nudged: int
    shown: int
    slips: list[SlipMade]

    @property
    def share(self) -> float | None:
        """Share right at the first attempt, None where too few people made one to say it."""
        return self.right / self.first if self.first >= FEWEST_TRAINEES else None

    @property
    def weak(self) -> bool:
        """Whether the strong hardly do better at it than the weak: look at the question."""
        return self.agreement is not None and self.agreement < WEAK


def items(members: Class, catalogue: Bank) -> list[ExerciseFigures]:
    """Return the statistics of each marked exercise that anybody has begun, in the bank's order."""
    firsts = [_Firsts.of(standings, catalogue) for _, standings in members]
    return [
        _item(exercise, members, firsts)
        for key, exercise in catalogue.items()
        if exercise.marks and any(key in standings for _, standings in members)
    ]


@dataclass(frozen=True)
class _Firsts:
    """One trainee's first marks by exercise, and their sum."""

    marks: Mapping[str, float]
    sum: float

    @classmethod
    def of(cls, standings: Mapping[str, Standing], catalogue: Bank) -> "_Firsts":
        marks = {
            key: standing.first
            for key, standing in standings.items()
            if standing.first is not None and catalogue[key].marks
        }
        return cls(marks, math.fsum(marks.values()))


def _item(exercise: Exercise, members: Class, firsts_of: Sequence[_Firsts]) -> ExerciseFigures:
    at = [(who, s[exercise.key]) for who, s in members if exercise.key in s]
    answered = [s for _, s in at if s.answers]
    firsts = [s.first for s in answered if s.first is not None]
    return ExerciseFigures(
        exercise=exercise,
        answered=len(answered),
        first=len(firsts),
        right=sum(first == 1 for first in firsts),
        agreement=_agreement(exercise.key, firsts_of),
        attempts=sum(s.answers for s in answered) / len(answered) if answered else 0.0,
        nudged=sum(s.nudges > 0 for _, s in at),
        shown=sum(bool(s.shown) for _, s in at),
        slips=_slips(exercise, at, len(answered)),
    )


def _slips(exercise: Exercise, at: list[tuple[str, Standing]], answered: int) -> list[SlipMade]:
    made: dict[str, list[tuple[str, Standing]]] = defaultdict(list)
    for who, standing in at:
        for key in standing.slips:
            made[key].append((who, standing))
    slips = [
        SlipMade(
            exercise,
            key,
            [who for who, _ in those],
            sum(standing.slips[key] for _, standing in those),
            [who for who, standing in those if standing.open],
            answered,
        )
        for key, those in made.items()
    ]
    return sorted(slips, key=lambda slip: (-len(slip.who), -slip.times, slip.key))


def commonest(found: Iterable[ExerciseFigures]) -> list[SlipMade]:
    """Return the slips of all exercises by how many made them."""
    slips = [slip for item in found for slip in item.slips]
    return sorted(slips, key=lambda s: (-len(s.who), -s.times, (s.exercise.key, s.key)))


def still_open(found: Iterable[ExerciseFigures]) -> list[Group]:
    """Return the slips that somebody has not got right since, by how many, with their pages."""
    slips = [slip for slip in commonest(found) if slip.open]
    slips.sort(key=lambda slip: -len(slip.open))
    return [Group(slip, page_of(slip.exercise.key)) for slip in slips]


def groups(found: Iterable[ExerciseFigures]) -> list[Group]:
    """
    Return ready groups to teach again, largest first.

    A group shares a slip at one exercise, and none of its trainees has got that exercise
    right since.
    """
    return [group for group in still_open(found) if len(group.slip.open) >= SMALLEST_GROUP]


# Agreement with the rest ---------------------------------------------------------------


def _agreement(key: str, firsts_of: Sequence[_Firsts]) -> float | None:
    """Return the agreement of one exercise with the rest, None where it is left out."""
    right, rest = [], []
    for firsts in firsts_of:
        if (own := firsts.marks.get(key)) is not None and len(firsts.marks) > 1:
            right.append(own == 1)
            rest.append((firsts.sum - own) / (len(firsts.marks) - 1))
    return point_biserial(right, rest) if len(right) >= FEWEST_TRAINEES else None


def point_biserial(right: Sequence[bool], rest: Sequence[float]) -> float | None:
    r"""
    Return the point-biserial correlation of right and wrong with a score.

    .. math:: r = \frac{M_1 - M_0}{s} \sqrt{p\,q}

    M₁ and M₀ are the mean scores of those who were right and wrong, p and q their shares,
    s the standard deviation of all scores (divisor n). It is *corrected* where the score
    leaves the exercise itself out: here the mean of the first attempts at all other
    exercises that the trainee answered.

    Parameters
    ----------
    right, rest : sequences of one length

    Returns
    -------
    float or None
        From −1 to 1; None where all were right, all wrong, or all scores are the same.

    Notes
    -----
    Source of the formula: J. D. Brown, Point-biserial correlation coefficients, JALT Testing and
    Evaluation Special Interest Group, hosted.jalt.org/test/bro_12.htm, with the worked example
    that the tests use. Leaving the exercise out: Henrysson (1963), Psychometrika 28, 211–218
    (from memory).
    """
    n = len(right)
    ones = [score for is_right, score in zip(right, rest, strict=True) if is_right]
    zeros = [score for is_right, score in zip(right, rest, strict=True) if not is_right]
    if not ones or not zeros:
        return None
    mean = math.fsum(rest) / n
    spread = math.sqrt(math.fsum((score - mean) ** 2 for score in rest) / n)
    if spread < 1e-9:
        return None
    apart = math.fsum(ones) / len(ones) - math.fsum(zeros) / len(zeros)
    return apart / spread * math.sqrt(len(ones) * len(zeros)) / n
