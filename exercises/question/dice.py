"""The same numbers for the same trainee and turn, on any machine."""

import functools
import hashlib
import itertools
import json
import random
from collections.abc import Iterable, Sequence
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

from exercises.question.model import Answer, Exercise


class Dice:
    """
    Draws that come again on any machine and any Python.

    Only ``Random.random()`` is used, the one method whose sequence Python promises to
    keep. Numbers are whole multiples of a step and scaled last, so that no rounding of
    one processor differs from another's.
    """

    def __init__(self, seed: int | random.Random) -> None:
        seeded = seed if isinstance(seed, random.Random) else random.Random(seed)
        self._random = seeded.random

    def whole(self, low: int, high: int) -> int:
        """Return a whole number from low to high, both included."""
        return low + int(self._random() * (high - low + 1))

    def number(self, low: float, high: float, decimals: int, step: int = 1) -> float:
        """Return a number from low to high in multiples of `step` units of the last decimal."""
        scale = 10**decimals
        first, last = round(low * scale / step), round(high * scale / step)
        return self.whole(first, last) * step / scale

    def signed(self, low: float, high: float, decimals: int, step: int = 1) -> float:
        """Return a number of that size with either sign."""
        size = self.number(low, high, decimals, step)
        return size if self._random() < 0.5 else -size

    def choose(self, items: Sequence[Any]) -> Any:
        """Return one of the items."""
        return items[self.whole(0, len(items) - 1)]

    def shuffled(self, items: Sequence[Any]) -> list[Any]:
        """Return the items in a drawn order."""
        left = list(items)
        return [left.pop(self.whole(0, len(left) - 1)) for _ in items]


def seed(edition: int, key: str, trainee: str, turn: int, secret: str = "") -> int:
    """Return the seed of one trainee's turn at one exercise."""
    quoted = [_quoted(key), _quoted(trainee), str(turn), _quoted(secret)]
    text = f"[{edition}, {', '.join(quoted)}]"  # as json.dumps writes the list
    return int.from_bytes(hashlib.sha256(text.encode("ascii")).digest(), "big")


_quoted = functools.lru_cache(maxsize=1024)(json.dumps)


def given(exercise: Exercise, trainee: str, turn: int, secret: str = "") -> Answer:
    """Return the numbers that this trainee gets at this turn."""
    key = exercise.draws_with or exercise.key
    own = _spare.pop() if _spare else random.Random(0)
    own.seed(seed(exercise.edition, key, trainee, turn, secret))
    try:
        return exercise.draw(Dice(own))
    finally:
        _spare.append(own)


_spare: list[random.Random] = []  # a new one would be seeded twice, which takes twice the time


def printed(value: float, decimals: int) -> float:
    """
    Return a derived number as it is printed; the answer is then solved from what is read.

    Rounded in two steps: two machines that sum in another order differ in the sixteenth
    digit, and must not print another number because of it.
    """
    fine = Decimal(f"{value:.{decimals + 6}f}")
    return float(fine.quantize(_last_digit(decimals), ROUND_HALF_EVEN)) + 0.0


@functools.cache
def _last_digit(decimals: int) -> Decimal:
    return Decimal(1).scaleb(-decimals)


def apart(values: Iterable[float], gap: float) -> bool:
    """Return whether all of them stand more than `gap` apart; a draw repeats itself until so."""
    return all(b - a > gap for a, b in itertools.pairwise(sorted(values)))
