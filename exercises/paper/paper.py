"""A closed paper: set from a short file and a roster, handed out, marked from the own copy.

What is handed out are rendered questions: no key, no turn, no phrase, nothing to draw from. The
phrase that the numbers are drawn with lies in the instructor's folder alone, beside the numbers
themselves, and the answers are marked against those.
"""

import json
import re
import secrets
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from exercises.bank import find
from exercises.paper import questions
from exercises.question import dice, wording
from exercises.question.model import Exercise
from exercises.sheets import disk, intake, session
from exercises.sheets.roster import Person

INSTRUCTOR, HANDED_OUT = "instructor", "handed out"
COPY = "paper.json"
LARGEST_SETTING = 256 * 1024
LARGEST_COPY = 64 * 1024 * 1024
MOST_QUESTIONS, MOST_MARKS, MOST_MINUTES = 60, 1000, 24 * 60
WORDS = 4  # of a phrase, each of five letters: 26^20 phrases
SETTING_KEYS = {"title", "minutes", "aids", "pass", "date", "start", "question"}
QUESTION_KEYS = {"exercise", "marks"}


# Setting -------------------------------------------------------------------------------


@dataclass(frozen=True)
class PaperQuestion:
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
    asked: tuple[PaperQuestion, ...]
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
    try:
        held = tomllib.loads(intake.text(path, LARGEST_SETTING))
    except OverflowError:
        raise ValueError(
            f"{path.name} is too large for a setting: a few lines are enough."
        ) from None
    except UnicodeDecodeError:
        raise ValueError(f"{path.name} is not UTF-8 text.") from None
    except (ValueError, RecursionError) as error:
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
    aids = _words(held, "aids", "none")
    return Setting(
        _words(held, "title", "Closed paper"),
        int(_number(held, "minutes", 1, MOST_MINUTES, whole=True)),
        aids,
        _number(held, "pass", 1, 100),
        tuple(_question(number, one, aids) for number, one in enumerate(asked, start=1)),
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


def _question(number: int, one: Any, aids: str) -> PaperQuestion:
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
    if needs := _not_allowed(exercise, aids):
        raise ValueError(
            f"{where}: {key} asks for {_A[needs]}, and the paper allows {wording.quoted(aids)}: "
            f'take another exercise, or write aids = "{needs}".'
        )
    try:
        return PaperQuestion(exercise, _number(one, "marks", 0.5, MOST_MARKS))
    except ValueError as error:
        raise ValueError(f"{where}: {error}") from None


_A = {"calculator": "a calculator", "course tools": "the course tools"}


def _not_allowed(exercise: Exercise, aids: str) -> str:
    """Return the aid that an exercise needs and a paper does not allow; a choice needs none."""
    if exercise.asked[0].kind == "choice":
        return ""
    enough = {"calculator": ("calculator", "course tools"), "course tools": ("course tools",)}
    words = " ".join(aids.casefold().split())
    return "" if any(aid in words for aid in enough[exercise.aids]) else exercise.aids


def _begins(held: Mapping[str, Any]) -> datetime | None:
    day, clock = held.get("date"), held.get("start")
    if day is None and clock is None:
        return None
    if type(day) is not date or type(clock) is not time:
        raise ValueError(
            "date and start go together, without quotes: date = 2026-11-27, start = 09:00:00."
        )
    if not 1970 < day.year < 2200:
        raise ValueError(f"date = {day.isoformat()} is not a possible day for an examination.")
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
            questions.of(one.exercise, given, number, one.marks, self.person.decimal)
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

    Paper numbers of the roster stay; the others are drawn, so that they show nobody's code.

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
            tuple(dict(dice.given(one.exercise, person.code, 1, secret)) for one in setting.asked),
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
            f"{wording.quoted(wrong[0])} is not a paper number: letters and digits, at most twelve."
        )
    if twice := sorted({n for n in taken if [t.upper() for t in taken].count(n.upper()) > 1}):
        raise ValueError(f"The paper number {twice[0]} stands twice in the roster.")
    held = {n.upper() for n in taken}
    free = [n for n in map(str, range(1001, 9999)) if n not in held]
    drawn = iter(secrets.SystemRandom().sample(free, len(people) - len(taken)))
    return [person.paper or next(drawn) for person in people]


def save(paper: Paper, path: Path) -> None:
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
    disk.write(path, [json.dumps(held, ensure_ascii=False, indent=1)])


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
        held = json.loads(intake.text(path, LARGEST_COPY))
        asked = tuple(
            PaperQuestion(find(q["exercise"]), float(q["marks"])) for q in held["questions"]
        )
        begins = datetime.fromisoformat(held["begins"]) if held["begins"] else None
        setting = Setting(
            str(held["title"]),
            int(held["minutes"]),
            str(held["aids"]),
            float(held["pass"]),
            asked,
            begins.replace(tzinfo=None) if begins else None,
        )
        sittings = tuple(
            Sitting(
                Person(session.person(s["code"]), str(s["name"]), decimal=s.get("decimal")),
                str(s["paper"]),
                tuple(s["given"]),
            )
            for s in held["sittings"]
        )
        editions = tuple(int(q["edition"]) for q in held["questions"])
        return Paper(str(held["paper"]), setting, str(held["phrase"]), sittings, editions)
    except (ValueError, KeyError, TypeError, RecursionError, AttributeError, OverflowError):
        raise ValueError(
            f"{path} is not the instructor's copy of a paper, or it was changed: it is written by "
            "“paper set” and must stay as it was."
        ) from None
