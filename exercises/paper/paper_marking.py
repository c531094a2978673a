"""Marking a closed paper: what came back, against the instructor's own copy and nothing else."""

import csv
import errno
import io
import json
import math
import stat
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from exercises.paper import questions
from exercises.paper.accepting import Accepted
from exercises.paper.paper import Paper, Sitting
from exercises.question import wording
from exercises.question.marking import Verdict, mark
from exercises.question.model import Exercise
from exercises.sheets import intake, sheet
from exercises.sheets.report import Found, Trouble

LARGEST_ANSWERS = 1024 * 1024
MOST_NAMED = 10  # files of one paper that do not count
MOST_TEXTS = 1000  # questions and parts in a file; a paper has sixty questions


@dataclass(frozen=True)
class Answers:
    """One file of answers, or one person's lines in a table typed from paper."""

    file: str
    paper: str
    code: str
    saved: datetime | None
    decimal: str | None
    texts: Mapping[str, Mapping[str, str]]  # {question number: {part letter: text}}
    typed_here: bool = False  # from paper, into a table of the instructor's: has no time


@dataclass(frozen=True)
class MarkedQuestion:
    """One question of one person."""

    question: questions.Question
    exercise: Exercise
    typed: Mapping[str, str]
    verdict: Verdict | None  # None where nothing at all is typed
    marks: float


@dataclass
class PaperResult:
    """One person's paper, marked; `answers` is None where none came in."""

    sitting: Sitting
    answers: Answers | None = None
    marked: list[MarkedQuestion] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)  # of the notes, what asks for the instructor
    accepted: Accepted | None = None

    @property
    def undecided(self) -> bool:
        """Whether it waits for the instructor's word: late, of unknown time, in another hand."""
        return bool(self.doubts) and self.accepted is None

    @property
    def total(self) -> float:
        """Return the marks earned."""
        return math.fsum(one.marks for one in self.marked)


@dataclass
class Outcome:
    """A class's paper, marked."""

    paper: Paper
    results: list[PaperResult]
    troubles: list[Trouble]

    def passed(self, result: PaperResult) -> bool:
        """Return whether a result reaches the stated share and nothing about it is undecided."""
        setting = self.paper.setting
        limit = setting.marks * setting.passing / 100
        reached = result.total > limit or math.isclose(result.total, limit)  # as tenths add up
        return reached and not result.undecided


def mark_class(
    paper: Paper, folder: Path, accepted: Mapping[str, Accepted] | None = None
) -> Outcome:
    """
    Mark every answer file and table in a folder; what cannot be read is reported, not raised.

    `accepted` is the instructor's word by paper number.
    """
    troubles: list[Trouble] = []
    found: list[Answers] = []
    for path in _files(folder, troubles):
        name = intake.name(path, folder)
        try:
            if path.suffix.lower() == ".csv":
                found += _table(path, name, paper, troubles)
            else:
                found += _form(path, name, paper)
        except ValueError as error:
            troubles.append(Trouble(name, str(error)))
        except OSError as error:
            troubles.append(Trouble(name, f"{intake.why(error)}; not read."))
    results = [_result(paper, sitting, found, troubles) for sitting in paper.sittings]
    for result in results:
        word = (accepted or {}).get(result.sitting.paper)
        if word and result.doubts and word.doubts == tuple(result.doubts):
            result.accepted = word
            result.notes.append(word.words)
    if absent := [r.sitting.paper for r in results if r.answers is None]:
        numbers = ", ".join(absent)
        troubles.append(Trouble(folder.name or ".", f"nothing handed in for paper {numbers}."))
    return Outcome(paper, results, troubles)


def _files(folder: Path, troubles: list[Trouble]) -> list[Path]:
    left, found = Found(), []
    for path, mode in intake.walk(folder, left.leave):
        if path.suffix.lower() not in (".json", ".csv"):
            continue
        name = intake.name(path, folder)
        if stat.S_ISLNK(mode):
            left.leave(name, "a symbolic link; not followed.")
        elif not stat.S_ISREG(mode):
            left.leave(name, "is a folder or no file; not read.")
        else:
            found.append(path)
    left.count_the_others()
    troubles += left.troubles
    return found


def _form(path: Path, name: str, paper: Paper) -> list[Answers]:
    """
    Return the answers of a form.

    Nothing of the file is believed but the paper number and what was typed: the numbers given and
    the questions come from the instructor's own copy.
    """
    try:
        held = json.loads(_text(path), parse_constant=_no_constant)
        texts = {
            str(question): {
                str(part): str(typed)[: sheet.LONGEST_TYPED] for part, typed in q.items()
            }
            for question, q in held["answers"].items()
        }
        number, whose, code = str(held["number"]), str(held["paper"]), str(held.get("code", ""))
        decimal = held["decimal"] if held.get("decimal") in (".", ",") else None
        saved = _moment(held.get("saved"))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise ValueError("is not an answer file of a form; not read.") from None
    if sum(map(len, texts.values())) > MOST_TEXTS:
        raise ValueError("holds more answers than any paper asks for; not read.")
    _known(paper, number, whose)
    return [Answers(name, number, code.strip().upper()[:20], saved, decimal, texts)]


def _text(path: Path) -> str:
    try:
        return intake.text(path, LARGEST_ANSWERS)
    except OverflowError:
        size = path.stat().st_size / 1024**2
        raise OSError(errno.EFBIG, f"{size:.0f} MB is too large for answers") from None


def _no_constant(text: str) -> float:
    raise ValueError(f"{text} is not a number")


def _moment(text: Any) -> datetime | None:
    """
    Return a moment on the wall clock here, None where none is given.

    The offset from UTC is that of this computer's zone, which the room shares.
    """
    try:
        moment = datetime.fromisoformat(text)
        return moment.astimezone().replace(tzinfo=None) if moment.tzinfo else moment
    except OverflowError:  # at the ends of the calendar there is no other zone
        return moment.replace(tzinfo=None)
    except (TypeError, ValueError, OSError):
        return None


def _known(paper: Paper, number: str, whose: str, left: str = "not read") -> None:
    if whose != paper.name:
        raise ValueError(
            f"belongs to the paper {wording.quoted(whose, 12)}, not to {paper.name}; not read."
        )
    if number.upper() not in {one.paper.upper() for one in paper.sittings}:
        raise ValueError(
            f"its paper number {wording.quoted(number, 16)} does not belong to this class; {left}."
        )


def _table(path: Path, name: str, paper: Paper, troubles: list[Trouble]) -> list[Answers]:
    """
    Return the answers typed from paper: a table with the columns paper, question, part, typed.

    An optional column "decimal" holds the sign that the person writes. A line that cannot be
    meant is reported and skipped: one table may hold a whole class.
    """
    texts: dict[str, dict[str, dict[str, str]]] = {}
    signs: dict[str, str] = {}
    messages = intake.Messages()
    for number, cell in _rows(path):
        cell["paper"] = _number(paper, cell["paper"])
        try:
            question, part = _place(paper, cell)
        except ValueError as error:
            messages.add(str(error), number)
            continue
        parts = texts.setdefault(cell["paper"], {}).setdefault(question, {})
        if part in parts and parts[part] != cell["typed"]:
            twice = f"paper {cell['paper']}, question {question}, part {part} stands twice"
            messages.add(f"{twice}; this line counts.", number)
        parts[part] = cell["typed"][: sheet.LONGEST_TYPED]
        if cell.get("decimal") in (".", ","):
            signs[cell["paper"]] = cell["decimal"]
    troubles += [Trouble(name, text) for text in messages.sentences()]
    return [
        Answers(f"{name}, paper {number}", number, "", None, signs.get(number), typed, True)
        for number, typed in texts.items()
    ]


def _number(paper: Paper, typed: str) -> str:
    """Return a paper's number as it was set; on a handout it is a code, 7KQ2-T07 or T07 alone."""
    wanted = typed.upper()
    numbers = {one.paper.upper(): one.paper for one in paper.sittings}
    bare = {number.rpartition("-")[2]: number for number in numbers}
    return numbers.get(wanted) or numbers.get(bare.get(wanted, ""), typed)


def _rows(path: Path) -> Iterator[tuple[int, dict[str, str]]]:
    """Give the lines of a table that name a paper, each with its number and its cells by head."""
    try:
        text = _text(path)
    except UnicodeDecodeError:
        raise ValueError("is not UTF-8 text; save it as CSV UTF-8.") from None
    head = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(";\t,", key=head.count)
    rows = csv.DictReader(io.StringIO(text, newline=""), delimiter=separator)
    heads = {(h or "").strip().casefold(): h for h in rows.fieldnames or []}
    if not {"paper", "question", "part", "typed"} <= heads.keys():
        raise ValueError("its head line must name paper, question, part and typed; not read.")
    try:
        for row in rows:
            cell = {h: (row.get(heads[h]) or "").strip() for h in heads}
            if cell["paper"]:
                yield rows.line_num, cell
    except csv.Error as error:
        raise ValueError(f"line {rows.line_num}: {error}; not read.") from None


def _place(paper: Paper, cell: Mapping[str, str]) -> tuple[str, str]:
    """
    Return the question and the part that a line of a table answers.

    Raises
    ------
    ValueError
        If the paper, the question or the part is none.
    """
    _known(paper, cell["paper"], paper.name, "skipped")
    number, part = cell["question"], cell["part"].lower() or "a"
    asked = dict(enumerate(paper.setting.asked, 1))
    one = asked.get(int(number)) if number.isdecimal() and len(number) < 4 else None
    if one is None:
        raise ValueError(f"{wording.quoted(number, 16)} is not a question of this paper; skipped.")
    letters = questions.part_letters(one.exercise)
    if part not in letters:
        raise ValueError(
            f"{wording.quoted(part, 16)} is not a part of question {number}, which has "
            f"{', '.join(letters)}; skipped."
        )
    return str(int(number)), part


def _result(
    paper: Paper, sitting: Sitting, found: list[Answers], troubles: list[Trouble]
) -> PaperResult:
    mine = [a for a in found if a.paper.upper() == sitting.paper.upper()]
    result = PaperResult(sitting)
    if not mine:
        result.notes.append("nothing handed in")
        return result
    result.answers = counted = _that_counts(paper, mine)
    if len(mine) > 1:
        others = [a.file for a in mine if a is not counted]
        more = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
        others_named = ", ".join(others[:MOST_NAMED]) + more
        result.notes.append(
            f"handed in {len(mine)} times; {counted.file} counts, not {others_named}"
        )
    result.doubts += _lateness(paper, counted)
    if counted.code and counted.code != sitting.person.code:
        result.doubts.append(
            f"the code typed is {wording.quoted(counted.code, 12)}, the paper is "
            f"{sitting.person.code}’s: ask who wrote it"
        )
    result.notes += result.doubts
    troubles += [Trouble(f"paper {sitting.paper}", note + ".") for note in result.notes]
    result.marked = list(_marked(paper, sitting, counted))
    return result


def _that_counts(paper: Paper, mine: list[Answers]) -> Answers:
    """
    Return the last one saved in time; where none was, the first one saved.

    A form that does not say when it was saved comes after all that do.
    """
    in_order = sorted(mine, key=_order)
    in_time = [a for a in in_order if not _lateness(paper, a)]
    return in_time[-1] if in_time else in_order[0]


def _order(answers: Answers) -> tuple[datetime, str]:
    untimed = datetime.min if answers.typed_here else datetime.max
    return answers.saved or untimed, answers.file


def _lateness(paper: Paper, answers: Answers) -> list[str]:
    """Return what the time of saving says against a form: too late, too early, or not given."""
    begins, ends, saved = paper.setting.begins, paper.setting.ends, answers.saved
    if begins is None or ends is None or answers.typed_here:
        return []
    if saved is None:
        return ["does not say when it was saved: whether it came in time, only you can know"]
    if saved < begins:
        return [
            f"saved at {_clock(saved, begins)} by that computer’s clock, before the start at "
            f"{begins:%H:%M}"
        ]
    if saved <= ends:
        return []
    late = math.ceil((saved - ends).total_seconds() / 60)
    return [
        f"saved at {_clock(saved, ends)} by that computer’s clock, "
        f"{late} minute{'' if late == 1 else 's'} after the end"
    ]


def _clock(moment: datetime, beside: datetime) -> str:
    """Return a time of day, with its date where that is another."""
    if moment.date() == beside.date():
        return f"{moment:%H:%M}"
    return f"{moment:%H:%M} on {moment.date().isoformat()}"


def _marked(paper: Paper, sitting: Sitting, answers: Answers) -> Iterable[MarkedQuestion]:
    for question, asked, given in zip(
        sitting.questions(paper.setting), paper.setting.asked, sitting.given, strict=True
    ):
        texts = questions.typed(asked.exercise, given, answers.texts.get(str(question.number), {}))
        if not any(text.strip() for text in texts.values()):
            yield MarkedQuestion(question, asked.exercise, texts, None, 0.0)
            continue
        verdict = mark(asked.exercise, given, texts, decimal=answers.decimal, each_part=True)
        yield MarkedQuestion(
            question, asked.exercise, texts, verdict, _rounded(verdict, asked.marks)
        )


def _rounded(verdict: Verdict, marks: float) -> float:
    """Return the share of the marks, to a tenth, halves up."""
    return math.floor(verdict.share * marks * 10 + 0.5) / 10


def edition_warnings(paper: Paper) -> list[str]:
    """Return one warning for each question set with another edition of its exercise."""
    return [
        f"{one.exercise.key}: set with edition {edition}, marked with edition "
        f"{one.exercise.edition}, from the numbers that were given."
        for one, edition in zip(paper.setting.asked, paper.editions, strict=True)
        if edition != one.exercise.edition
    ]
