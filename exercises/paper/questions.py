"""One exercise as it stands on paper: what is printed, and nothing that gives an answer away."""

import string
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from exercises.question.model import Exercise, Given
from exercises.question.wording import in_sign

LETTERS = string.ascii_uppercase
MOST_BESIDE, MOST_TEXT = 49, 26  # letters of a given row beside the lines to answer on; its number
MOST_TOGETHER = 68  # and of both together


@dataclass(frozen=True)
class AnswerLine:
    """One line to answer on: its letter, its name, its unit with sign."""

    letter: str
    label: str
    unit: str


@dataclass(frozen=True)
class Question:
    """
    What a trainee reads of one exercise.

    Attributes
    ----------
    given : list of (label, text)
    lines : list of AnswerLine
        Empty where there is a choice.
    options : list of (letter, text)
        In the drawn order; empty where numbers are asked.
    """

    number: int
    title: str
    prompt: str
    marks: float
    given: list[tuple[str, str]] = field(default_factory=list)
    lines: list[AnswerLine] = field(default_factory=list)
    options: list[tuple[str, str]] = field(default_factory=list)

    @property
    def wide(self) -> bool:
        """Whether its given numbers are too long to stand beside the lines to answer on."""
        lines = max((len(line.label) + len(line.unit) for line in self.lines), default=0)
        most = min(MOST_BESIDE, MOST_TOGETHER - lines)
        return any(
            len(text) > MOST_TEXT or len(label) + len(text) > most for label, text in self.given
        )


def of(
    exercise: Exercise, given: Given, number: int, marks: float, decimal: str | None = None
) -> Question:
    """Return the question that these numbers make, in the decimal sign of whoever sits it."""
    options = option_letters(exercise, given)
    texts = {o.key: o.text for asked in exercise.asked for o in asked.options}
    lines = [
        AnswerLine(letter, in_sign(asked.label, decimal), asked.sign_words)
        for letter, asked in zip(part_letters(exercise), exercise.asked, strict=True)
    ]
    return Question(
        number,
        in_sign(exercise.title, decimal),
        in_sign(exercise.prompt, decimal),
        marks,
        [(in_sign(name, decimal), in_sign(text, decimal)) for name, text in exercise.table(given)],
        [] if options else lines,
        [(letter, in_sign(texts[key], decimal)) for letter, key in options.items()],
    )


def part_letters(exercise: Exercise) -> list[str]:
    """Return the letter of each asked part: a, b, c …"""
    return [LETTERS[i % 26].lower() * (1 + i // 26) for i in range(len(exercise.asked))]


def option_letters(exercise: Exercise, given: Given) -> dict[str, str]:
    """Return {letter: option key} of a choice in the drawn order; empty where there is none."""
    if len(exercise.asked) != 1 or exercise.asked[0].kind != "choice":
        return {}
    keys: Sequence[str] = given.get("order") or [o.key for o in exercise.asked[0].options]
    return dict(zip(LETTERS, keys, strict=False))


def typed(exercise: Exercise, given: Given, answers: Mapping[str, Any]) -> dict[str, str]:
    """
    Return {asked: text} from answers by part letter, as they stand on paper or in a form.

    An option's letter becomes its key; a letter that is none stays as it is and is not read.
    """
    options = option_letters(exercise, given)
    texts = {}
    for letter, asked in zip(part_letters(exercise), exercise.asked, strict=True):
        text = answers.get(letter, "")
        text = text if isinstance(text, str) else ""
        texts[asked.name] = options.get(text.strip().upper(), text) if options else text
    return texts
