"""Today's exercises: for each trainee the numbers, the right answer, what each slip gives.

For the trainer's hand, in class. The numbers are drawn, not read: no answer sheet is needed.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from exercises.bank import BANK
from exercises.bank.syllabus import LESSONS, lesson_number
from exercises.pages import pages
from exercises.question import dice, marking, wording
from exercises.question.model import Answer, Exercise, Given

MOST_SLIPS = 6  # columns that a page across takes
MOST_ASKED = 4  # parts named in the column's head; more of them are named in the cell
MOST_SHORT = 8  # of many given numbers, those that are printed
MOST_LINES = 30  # of a table that is kept on one page
MOST_GIVEN = 6  # given numbers that get a column each; more of them share one cell


@dataclass(frozen=True)
class TodayRow:
    """One trainee at one exercise; each cell is a list of lines."""

    trainee: str
    given: list[list[str]]
    right: list[str]
    slips: list[list[str]]


@dataclass(frozen=True)
class TodayTable:
    """One exercise for all trainees; `choices` instead of rows where all have the same."""

    exercise: Exercise
    lesson: str
    given: list[str]
    asked: list[tuple[str, str]]
    slips: list[str]
    more: int
    rows: list[TodayRow]
    choices: list[tuple[bool, str, str]]

    @property
    def long(self) -> bool:
        """Return whether the table has to run over the end of a page."""
        lines = [
            max(len(row.right), (len(row.given[0]) + 2) // 3) for row in self.rows if row.given
        ]
        return sum(lines) > MOST_LINES


def of_lesson(number: str) -> list[Exercise]:
    """
    Return the exercises of a lesson by its number, "08", in the order of the bank.

    Raises
    ------
    ValueError
        If there is no such lesson, or it has no exercise.
    """
    digits = number.strip()
    if not (digits.isascii() and digits.isdigit() and 1 <= int(digits) <= len(LESSONS)):
        raise ValueError(
            f"{wording.quoted(number)} is not a lesson with exercises: they run from 01 to "
            f"{len(LESSONS)}."
        )
    topic = LESSONS[int(digits) - 1]
    found = [exercise for exercise in BANK.values() if exercise.topic == topic]
    if not found:
        raise ValueError(f"lesson {int(digits):02d} has no exercise in the bank.")
    return found


def table(exercise: Exercise, codes: Sequence[str], turn: int = 1, secret: str = "") -> TodayTable:
    """Return one exercise for these trainees at that turn; `secret` is a hosted class's."""
    slips = exercise.slips[:MOST_SLIPS]
    choice = not exercise.printed and exercise.asked[0].kind == "choice"
    printed = [p.label for p in exercise.printed]
    return TodayTable(
        exercise,
        lesson_number(exercise.topic),
        printed if len(printed) <= MOST_GIVEN else ["given"],
        [(asked.label, "" if choice else asked.within) for asked in exercise.asked]
        if len(exercise.asked) <= MOST_ASKED
        else [("each part", "")],
        [] if choice else [slip.name for slip in slips],
        len(exercise.slips) - len(slips),
        [] if choice else [_row(exercise, code, turn, secret) for code in codes],
        _choices(exercise) if choice else [],
    )


def _row(exercise: Exercise, code: str, turn: int, secret: str) -> TodayRow:
    given = dice.given(exercise, code, turn, secret)
    right = exercise.solve(given)
    shown = exercise.table(given)
    cells = [[text] for _, text in shown] if len(shown) <= MOST_GIVEN else [_short(shown)]
    wrong = exercise.wrong(given)
    slips = [_slip(exercise, wrong[s.key], right) for s in exercise.slips[:MOST_SLIPS]]
    answers = [_part(exercise, asked.name, right) for asked in exercise.asked]
    if len(answers) > MOST_ASKED:
        answers = [
            f"{asked.label}: {text}" for asked, text in zip(exercise.asked, answers, strict=True)
        ]
    return TodayRow(code, cells, answers, slips)


def _short(shown: list[tuple[str, str]]) -> list[str]:
    """Return enough of many given numbers to show whose they are."""
    lines = [f"{label.partition(',')[0]} {text}" for label, text in shown[:MOST_SHORT]]
    rest = len(shown) - MOST_SHORT
    return lines + ([f"… and {rest} more"] if rest > 0 else [])


def _slip(exercise: Exercise, route: Answer, right: Answer) -> list[str]:
    """Return what a slip gives, part by part; a part that it leaves right is a dash."""
    return [
        _part(exercise, asked.name, route)
        if asked.name in route
        and marking.difference(asked, route[asked.name], right[asked.name]) > asked.tolerance
        else "–"
        for asked in exercise.asked
    ]


def _part(exercise: Exercise, name: str, answer: Given) -> str:
    return exercise.part(name).say(answer[name])


def _choices(exercise: Exercise) -> list[tuple[bool, str, str]]:
    """Return right or not, text and reply of each option; the same for every trainee."""
    given = dice.given(exercise, "T01", 1)
    asked = exercise.asked[0]
    right = asked.say(exercise.solve(given)[asked.name])
    return [
        (True, right, exercise.remark_right),
        *((False, slip.name, slip.reply.replace("{value}", "This")) for slip in exercise.slips),
    ]


def page(tables: Sequence[TodayTable], codes: Sequence[str], turn: int = 1) -> str:
    """Return the page as HTML."""
    return pages.render("today.html", tables=tables, codes=codes, turn=turn)
