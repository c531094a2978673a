"""
Which questions stand on which sheet of A4, so that each sheet can say "page 2 of 5".

A browser counts the pages of a whole print, not those of one person in it. So the sheets are made
here, by a height that no question exceeds: tests/browser/test_printed_questions.py measures every
exercise against it. A question too long for one sheet has its numbers on one and its lines on the
next.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from exercises.paper.questions import Question

# Millimetres of A4, with letters of 9.4 points as wide as those of DejaVu Sans, the widest in use.
SHEET, HEAD, FIRST_HEAD = 262.0, 9.0, 42.0
LINE, ROW, ANSWER, OPTION = 4.5, 5.5, 6.6, 6.2
TITLE, AROUND, APART, FORMULA = 6.5, 7.5, 3.5, 7.0
PROMPT_LETTERS, OPTION_LETTERS = 92, 84  # in a line
WIDE_LABEL, WIDE_TEXT, LABEL = 26, 58, 20


@dataclass(frozen=True)
class Piece:
    """A question on a sheet, or a half of one: its numbers, or its lines to answer on."""

    question: Question
    numbers: bool = True
    lines: bool = True


def sheets(asked: Iterable[Question], work: float) -> list[list[Piece]]:
    """Return the sheets of one person's questions; `work` is the room to work in millimetres."""
    made: list[list[Piece]] = [[]]
    left = SHEET - FIRST_HEAD
    for piece in (piece for question in asked for piece in _pieces(question, work)):
        high = height(piece, work)
        if high > left and made[-1]:
            made.append([])
            left = SHEET - HEAD
        made[-1].append(piece)
        left -= high
    return made


def _pieces(question: Question, work: float) -> list[Piece]:
    """Return a question whole, or in its two halves where it is longer than a sheet."""
    whole = Piece(question)
    if height(whole, work) <= SHEET - HEAD:
        return [whole]
    return [Piece(question, lines=False), Piece(question, numbers=False)]


def height(piece: Piece, work: float) -> float:
    """Return a height in millimetres that a piece does not exceed."""
    one = piece.question
    high = TITLE + AROUND
    numbers = sum(_row(label, text, wide=one.wide) for label, text in one.given)
    answers = ANSWER * len(one.lines) + (sum(map(_option, one.options)))
    if piece.numbers:
        high += LINE * _lines(one.prompt, PROMPT_LETTERS) + FORMULA * one.prompt.count(r"\frac")
    if piece.numbers and piece.lines and not one.wide and not one.options:
        high += max(numbers, answers)
    else:
        high += numbers * piece.numbers + (APART + answers) * piece.lines
    if piece.lines and one.lines:
        high += APART + work
    return high


def _row(label: str, text: str, *, wide: bool) -> float:
    if wide:
        lines = max(_lines(label, WIDE_LABEL), _lines(text, WIDE_TEXT))
    else:
        lines = _lines(label, LABEL)
    return ROW + LINE * (lines - 1)


def _option(option: tuple[str, str]) -> float:
    return OPTION + LINE * (_lines(option[1], OPTION_LETTERS) - 1)


def _lines(text: str, letters: int) -> int:
    return max(1, math.ceil(len(text) / letters))
