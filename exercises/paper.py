"""A closed paper: set from a short file and a roster, handed out, marked from the own copy.

What is handed out are rendered questions: no key, no turn, no phrase, nothing to draw from. The
phrase that the numbers are drawn with lies in the instructor's folder alone, beside the numbers
themselves, and the answers are marked against those.
"""

import csv
import io
import json
import math
import re
import secrets
import stat
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from exercises import find, questions, session, sheet, wording
from exercises.marking import Verdict, mark
from exercises.model import Exercise
from exercises.report import Trouble
from exercises.roster import Person

INSTRUCTOR, HANDED_OUT = "instructor", "handed out"
COPY = "paper.json"
LARGEST_SETTING = 256 * 1024
LARGEST_COPY = 64 * 1024 * 1024
LARGEST_ANSWERS = 1024 * 1024
MOST_QUESTIONS, MOST_MARKS, MOST_MINUTES = 60, 1000, 24 * 60
WORDS = 4  # of a phrase, each of five letters: 26^20 phrases
SETTING_KEYS = {"title", "minutes", "aids", "pass", "date", "start", "question"}
QUESTION_KEYS = {"exercise", "marks"}


# Setting -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Asked:
    """One question of the setting."""

    exercise: Exercise
    marks: float


@dataclass(frozen=True)
class Setting:
    """
    What a paper asks, for how many marks and minutes, with which aids.

    `passing` is a share of all marks in per cent. `begins` is the wall clock of the room; without
    it no answer is late.
    """

    title: str
    minutes: int
    aids: str
    passing: float
    asked: tuple[Asked, ...]
    begins: datetime | None = None

    @property
    def marks(self) -> float:
        """Return the marks of the whole paper."""
        return sum(one.marks for one in self.asked)

    @property
    def ends(self) -> datetime | None:
        """Return when the time is over."""
        return self.begins + timedelta(minutes=self.minutes) if self.begins else None


def read_setting(path: Path) -> Setting:
    """
    Return the setting of a TOML file.

    Raises
    ------
    ValueError
        In one sentence, with the line where the file is not TOML, with near keys where an exercise
        is unknown.
    OSError
        If the file cannot be read.
    """
    if path.stat().st_size > LARGEST_SETTING:
        raise ValueError(f"{path.name} is too large for a setting: a few lines are enough.")
    try:
        held = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError:
        raise ValueError(f"{path.name} is not UTF-8 text.") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise ValueError(f"{path.name} is not written as TOML: {error}.") from None
    try:
        return _setting(held)
    except ValueError as error:
        raise ValueError(f"{path.name}: {error}") from None


def _setting(held: Mapping[str, Any]) -> Setting:
    if strange := sorted(set(held) - SETTING_KEYS):
        raise ValueError(
            f"{wording.quoted(strange[0])} is not understood; a setting has "
            f"{', '.join(sorted(SETTING_KEYS))}."
        )
    asked = held.get("question")
    if not isinstance(asked, list) or not asked:
        raise ValueError("it asks nothing: write [[question]] with exercise and marks.")
    if len(asked) > MOST_QUESTIONS:
        raise ValueError(f"{len(asked)} questions are too many; {MOST_QUESTIONS} at most.")
    return Setting(
        _words(held, "title", "Closed paper"),
        int(_number(held, "minutes", 1, MOST_MINUTES, whole=True)),
        _words(held, "aids", "none"),
        _number(held, "pass", 1, 100),
        tuple(_question(number, one) for number, one in enumerate(asked, start=1)),
        _begins(held),
    )


def _words(held: Mapping[str, Any], name: str, otherwise: str) -> str:
    text = held.get(name, otherwise)
    if not isinstance(text, str) or not text.strip():
        raise ValueError(f'{name} is not a text: write {name} = "{otherwise}".')
    return text.strip()[:200]


def _number(
    held: Mapping[str, Any], name: str, low: float, high: float, *, whole: bool = False
) -> float:
    if name not in held:
        raise ValueError(f"{name} is missing: write {name} = and a number from {low} to {high}.")
    value = held[name]
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise ValueError(
            f"{name} = {wording.quoted(str(value))} is not a number from {low} to {high}."
        )
    if whole and value != int(value):
        raise ValueError(f"{name} = {value} is not a whole number.")
    return value


def _question(number: int, one: Any) -> Asked:
    where = f"question {number}"
    if not isinstance(one, Mapping):
        raise ValueError(f"{where} is not written as [[question]].")
    if strange := sorted(set(one) - QUESTION_KEYS):
        raise ValueError(f"{where}: {wording.quoted(strange[0])} is not understood.")
    key = one.get("exercise")
    if not isinstance(key, str):
        raise ValueError(f'{where} names no exercise: write exercise = "deflection-total".')
    try:
        exercise = find(key[:80])
    except KeyError as error:
        raise ValueError(f"{where}: {error.args[0]}") from None
    if exercise.marks == 0:
        raise ValueError(f"{where}: {key} is a question to say first, it carries no marks.")
    try:
        return Asked(exercise, _number(one, "marks", 0.5, MOST_MARKS))
    except ValueError as error:
        raise ValueError(f"{where}: {error}") from None


def _begins(held: Mapping[str, Any]) -> datetime | None:
    day, clock = held.get("date"), held.get("start")
    if day is None and clock is None:
        return None
    if type(day) is not date or type(clock) is not time:
        raise ValueError(
            "date and start go together, without quotes: date = 2026-11-27, start = 09:00:00."
        )
    return datetime.combine(day, clock)


def phrase() -> str:
    """Propose a fresh phrase; nobody can guess it."""
    return "-".join(
        "".join(secrets.choice("abcdefghijklmnopqrstuvwxyz") for _ in range(5))
        for _ in range(WORDS)
    )


@dataclass(frozen=True)
class Sitting:
    """One person's paper: the number on it and the numbers given, by question."""

    person: Person
    paper: str
    given: tuple[dict[str, Any], ...]

    def questions(self, setting: Setting) -> list[questions.Question]:
        """Return what this person reads."""
        return [
            questions.of(one.exercise, given, number, one.marks)
            for number, (one, given) in enumerate(
                zip(setting.asked, self.given, strict=True), start=1
            )
        ]


@dataclass(frozen=True)
class Paper:
    """The instructor's own copy: all that was handed out, and what it is marked against."""

    name: str  # one word that every sheet of this paper carries
    setting: Setting
    phrase: str
    sittings: tuple[Sitting, ...]
    editions: tuple[int, ...]


def prepare(setting: Setting, people: Iterable[Person], secret: str) -> Paper:
    """
    Return the paper of these people.

    Paper numbers of the roster stay; the others are drawn, so that they tell nobody's code.

    Raises
    ------
    ValueError
        If two people have one paper number, or a number is none.
    """
    people = list(people)
    numbers = _paper_numbers(people)
    sittings = tuple(
        Sitting(
            person,
            number,
            tuple(
                dict(questions.numbers(one.exercise, person.code, 1, secret))
                for one in setting.asked
            ),
        )
        for person, number in zip(people, numbers, strict=True)
    )
    name = "".join(secrets.choice("ABCDEFGHJKLMNPQRSTUVWXYZ") for _ in range(4))
    editions = tuple(one.exercise.edition for one in setting.asked)
    return Paper(name, setting, secret, sittings, editions)


def _paper_numbers(people: list[Person]) -> list[str]:
    taken = [person.paper for person in people if person.paper]
    wrong = [n for n in taken if not re.fullmatch(r"[A-Za-z0-9]{1,12}", n, re.ASCII)]
    if wrong:
        raise ValueError(
            f"{wording.quoted(wrong[0])} is no paper number: letters and digits, at most twelve."
        )
    if twice := sorted({n for n in taken if [t.upper() for t in taken].count(n.upper()) > 1}):
        raise ValueError(f"The paper number {twice[0]} stands twice in the roster.")
    held = {n.upper() for n in taken}
    free = [n for n in map(str, range(1001, 9999)) if n not in held]
    drawn = iter(secrets.SystemRandom().sample(free, len(people) - len(taken)))
    return [person.paper or next(drawn) for person in people]


def keep(paper: Paper, path: Path) -> None:
    """Write the instructor's own copy."""
    setting = paper.setting
    held = {
        "paper": paper.name,
        "title": setting.title,
        "minutes": setting.minutes,
        "aids": setting.aids,
        "pass": setting.passing,
        "begins": setting.begins.isoformat() if setting.begins else None,
        "phrase": paper.phrase,
        "questions": [
            {"exercise": one.exercise.key, "edition": edition, "marks": one.marks}
            for one, edition in zip(setting.asked, paper.editions, strict=True)
        ],
        "sittings": [
            {**asdict(one.person), "paper": one.paper, "given": one.given} for one in paper.sittings
        ],
    }
    path.write_text(json.dumps(held, ensure_ascii=False, indent=1), encoding="utf-8")


def read_copy(path: Path) -> Paper:
    """
    Return the instructor's own copy.

    Raises
    ------
    ValueError
        If it cannot be understood.
    OSError
        If it cannot be read.
    """
    try:
        if path.stat().st_size > LARGEST_COPY:
            raise ValueError
        held = json.loads(path.read_text(encoding="utf-8"))
        asked = tuple(Asked(find(q["exercise"]), float(q["marks"])) for q in held["questions"])
        setting = Setting(
            str(held["title"]),
            int(held["minutes"]),
            str(held["aids"]),
            float(held["pass"]),
            asked,
            datetime.fromisoformat(held["begins"]) if held["begins"] else None,
        )
        sittings = tuple(
            Sitting(
                Person(session.code(s["code"]), str(s["name"])), str(s["paper"]), tuple(s["given"])
            )
            for s in held["sittings"]
        )
        editions = tuple(int(q["edition"]) for q in held["questions"])
        return Paper(str(held["paper"]), setting, str(held["phrase"]), sittings, editions)
    except (ValueError, KeyError, TypeError, RecursionError, AttributeError):
        raise ValueError(
            f"{path} is not the instructor's copy of a paper, or it was changed: it is written by "
            "“paper set” and must stay as it was."
        ) from None


# Marking -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Answers:
    """One file of answers, or one person's lines in a table typed from paper."""

    file: str
    paper: str
    code: str
    saved: datetime | None
    decimal: str | None
    texts: Mapping[str, Mapping[str, str]]  # {question number: {part letter: text}}


@dataclass(frozen=True)
class Marked:
    """One question of one person."""

    question: questions.Question
    exercise: Exercise
    typed: Mapping[str, str]
    verdict: Verdict | None  # None where nothing at all is typed
    marks: float


@dataclass
class Result:
    """One person's paper, marked; `answers` is None where none came in."""

    sitting: Sitting
    answers: Answers | None = None
    marked: list[Marked] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def total(self) -> float:
        """Return the marks earned."""
        return math.fsum(one.marks for one in self.marked)


@dataclass
class Outcome:
    """A class's paper, marked."""

    paper: Paper
    results: list[Result]
    troubles: list[Trouble]

    def passed(self, result: Result) -> bool:
        """Return whether a result reaches the stated share."""
        setting = self.paper.setting
        return result.total >= setting.marks * setting.passing / 100 - 1e-9


def mark_class(paper: Paper, folder: Path) -> Outcome:
    """Mark every answer file and table in a folder; what cannot be read is told, not raised."""
    troubles: list[Trouble] = []
    found: list[Answers] = []
    for path in _files(folder, troubles):
        name = str(path.relative_to(folder))
        try:
            read = _table if path.suffix.lower() == ".csv" else _form
            found += read(path, name, paper)
        except ValueError as error:
            troubles.append(Trouble(name, str(error)))
        except OSError as error:
            troubles.append(Trouble(name, f"{error.strerror or error}; not read."))
    results = [_result(paper, sitting, found, troubles) for sitting in paper.sittings]
    if absent := [r.sitting.paper for r in results if r.answers is None]:
        numbers = ", ".join(absent)
        troubles.append(Trouble(folder.name or ".", f"nothing handed in for paper {numbers}."))
    return Outcome(paper, results, troubles)


def _files(folder: Path, troubles: list[Trouble]) -> list[Path]:
    if not folder.is_dir():
        raise NotADirectoryError(20, "no folder of this name", str(folder))
    root, found = folder.resolve(), []
    for path in sorted(folder.rglob("*")):
        if path.suffix.lower() not in (".json", ".csv") or path.is_dir():
            continue
        name = str(path.relative_to(folder))
        if not path.resolve().is_relative_to(root):
            troubles.append(Trouble(name, "leads out of the folder; not read."))
        elif not stat.S_ISREG(path.stat().st_mode if path.exists() else 0):
            troubles.append(Trouble(name, "is not a file; not read."))
        elif path.stat().st_size > LARGEST_ANSWERS:
            size = path.stat().st_size / 1024**2
            troubles.append(Trouble(name, f"{size:.0f} MB is too large for answers; not read."))
        else:
            found.append(path)
    return found


def _form(path: Path, name: str, paper: Paper) -> list[Answers]:
    """
    Return the answers of a form.

    Nothing of the file is believed but the paper number and what was typed: the numbers given and
    the questions come from the instructor's own copy.
    """
    try:
        held = json.loads(path.read_text(encoding="utf-8-sig"), parse_constant=_no_constant)
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
    _known(paper, number, whose)
    return [Answers(name, number, code.strip().upper()[:20], saved, decimal, texts)]


def _no_constant(text: str) -> float:
    raise ValueError(f"{text} is no number")


def _moment(text: Any) -> datetime | None:
    """Return a moment on the wall clock here, None where none is told."""
    if not isinstance(text, str):
        return None
    moment = datetime.fromisoformat(text)
    return moment.astimezone().replace(tzinfo=None) if moment.tzinfo else moment


def _known(paper: Paper, number: str, whose: str) -> None:
    if whose != paper.name:
        raise ValueError(
            f"belongs to the paper {wording.quoted(whose, 12)}, not to {paper.name}; not read."
        )
    if number.upper() not in {one.paper.upper() for one in paper.sittings}:
        raise ValueError(
            f"its paper number {wording.quoted(number, 16)} is none of this class; not read."
        )


def _table(path: Path, name: str, paper: Paper) -> list[Answers]:
    """
    Return the answers typed from paper: a table with the columns paper, question, part, typed.

    An optional column "decimal" holds the sign that the person writes.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError("is not UTF-8 text; save it as CSV UTF-8.") from None
    head = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(";\t,", key=head.count)
    rows = csv.DictReader(io.StringIO(text, newline=""), delimiter=separator)
    heads = {(h or "").strip().casefold(): h for h in rows.fieldnames or []}
    if not {"paper", "question", "part", "typed"} <= heads.keys():
        raise ValueError("its head line must name paper, question, part and typed; not read.")
    texts: dict[str, dict[str, dict[str, str]]] = {}
    signs: dict[str, str] = {}
    for row in rows:
        cell = {h: (row.get(heads[h]) or "").strip() for h in heads}
        if not cell["paper"]:
            continue
        _known(paper, cell["paper"], paper.name)
        parts = texts.setdefault(cell["paper"], {}).setdefault(cell["question"], {})
        parts[cell["part"].lower() or "a"] = cell["typed"][: sheet.LONGEST_TYPED]
        if cell.get("decimal") in (".", ","):
            signs[cell["paper"]] = cell["decimal"]
    return [
        Answers(f"{name}, paper {number}", number, "", None, signs.get(number), typed)
        for number, typed in texts.items()
    ]


def _result(
    paper: Paper, sitting: Sitting, found: list[Answers], troubles: list[Trouble]
) -> Result:
    mine = [a for a in found if a.paper.upper() == sitting.paper.upper()]
    result = Result(sitting)
    if not mine:
        result.notes.append("nothing handed in")
        return result
    result.answers = counted = _that_counts(paper, mine)
    if len(mine) > 1:
        others = ", ".join(a.file for a in mine if a is not counted)
        result.notes.append(f"handed in {len(mine)} times; {counted.file} counts, not {others}")
    result.notes += _lateness(paper, counted)
    if counted.code and counted.code != sitting.person.code:
        result.notes.append(
            f"the code typed is {wording.quoted(counted.code, 12)}, the paper is "
            f"{sitting.person.code}’s: ask who wrote it"
        )
    troubles += [Trouble(f"paper {sitting.paper}", note + ".") for note in result.notes]
    result.marked = list(_marked(paper, sitting, counted))
    return result


def _that_counts(paper: Paper, mine: list[Answers]) -> Answers:
    """Return the last one saved in time; where none was, the first one saved."""
    in_order = sorted(mine, key=lambda a: (a.saved or datetime.min, a.file))
    in_time = [a for a in in_order if not _lateness(paper, a)]
    return in_time[-1] if in_time else in_order[0]


def _lateness(paper: Paper, answers: Answers) -> list[str]:
    ends = paper.setting.ends
    if ends is None or answers.saved is None or answers.saved <= ends:
        return []
    late = math.ceil((answers.saved - ends).total_seconds() / 60)
    return [
        f"saved at {answers.saved:%H:%M} by that computer’s clock, "
        f"{late} minute{'' if late == 1 else 's'} after the end"
    ]


def _marked(paper: Paper, sitting: Sitting, answers: Answers) -> Iterable[Marked]:
    for question, asked, given in zip(
        sitting.questions(paper.setting), paper.setting.asked, sitting.given, strict=True
    ):
        texts = questions.typed(asked.exercise, given, answers.texts.get(str(question.number), {}))
        if not any(text.strip() for text in texts.values()):
            yield Marked(question, asked.exercise, texts, None, 0.0)
            continue
        verdict = mark(asked.exercise, given, texts, decimal=answers.decimal, each_part=True)
        yield Marked(question, asked.exercise, texts, verdict, _rounded(verdict, asked.marks))


def _rounded(verdict: Verdict, marks: float) -> float:
    """Return the share of the marks, to a tenth, halves up."""
    return math.floor(verdict.share * marks * 10 + 0.5) / 10


def editions_told(paper: Paper) -> list[str]:
    """Tell which questions were set with another edition of their exercise than this course has."""
    return [
        f"{one.exercise.key}: set with edition {edition}, marked with edition "
        f"{one.exercise.edition}, from the numbers that were given."
        for one, edition in zip(paper.setting.asked, paper.editions, strict=True)
        if edition != one.exercise.edition
    ]
