"""A class's answers as statements of the open standard for learning records.

IEEE 9274.1.1 (xAPI); the form is that of xAPI 1.0.3, part two. Verbs and activity types are those
of the ADL vocabulary. A person is a code at a home page, without name and without e-mail. The
same sheets give the same file, byte for byte, and the same answer with the same outcome the same
id. What was sent and stands no more is voided, never altered (part two, 2.3.2): a changed mark
that was withdrawn or replaced always, an answer that a later bank marks otherwise where the file
that was sent is named.
"""

import json
import re
import uuid
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from exercises.audit.file_lines import FileLine
from exercises.bank import BANK
from exercises.bank.syllabus import lesson_number
from exercises.instructor.class_folder import ClassFolder, OnProgress
from exercises.pages import pages
from exercises.question import wording
from exercises.question.model import Exercise
from exercises.sheets import intake, report, sheet
from exercises.sheets.changed_marks import ChangedMark, Ended
from exercises.sheets.report import Attempt, Bank, Event
from exercises.trainee import concept

Statement = dict[str, Any]

HOME = "https://geodesy-course.invalid"  # RFC 2606: nobody can own a name under .invalid
ADL = "http://adlnet.gov/expapi"
VERBS = {  # what happened: the ADL verb
    "answered": "answered",
    "said first": "answered",
    "shown": "experienced",
    "remark": "commented",
    "changed": "scored",
}
LONGEST_STATEMENT = 1024 * 1024  # bytes of a line: the page of text that was typed, and the words
COURSE = "course"  # the account that voids what a later marking does not state; no trainee's code
IRI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*://[^\s<>\"{}|\\^`]+")


@dataclass
class WrittenStatements:
    """What came of writing a class's statements."""

    trainees: int = 0
    statements: int = 0
    voided: int = 0
    left: int = 0
    files: list[FileLine] = field(default_factory=list)


@dataclass
class Writer:
    """The statements of one class; `home` is the page at which a code is known."""

    home: str
    ids: Counter[str] = field(default_factory=Counter)
    voided: frozenset[str] = frozenset()  # by a file that was sent: such an id never stands again

    def of_event(
        self, trainee: str, exercise: Exercise, event: Event, attempt: Attempt | None
    ) -> Statement | None:
        """Return the statement of an event; None where it says nothing of learning."""
        what = event["event"]
        if what not in VERBS or (attempt is None) == (what in ("answered", "said first")):
            return None
        body = {key: value for key, value in event.items() if key not in ("intact", "at")}
        result = self.result(exercise, event, attempt)
        return {
            "id": self.id(trainee, f"{sheet.digest(body)} {sheet.digest(result)}"),
            "actor": self.person(trainee),
            "verb": _verb(VERBS[what]),
            "object": self.activity(exercise, event.get("edition", exercise.edition)),
            **result,
            "context": self.context(exercise, event),
            "timestamp": _time(report.when(event)),
        }

    def of_change(self, exercise: Exercise, one: ChangedMark, *, ended: bool = False) -> Statement:
        """Return the statement of a mark that an instructor changed."""
        moment = _time(one.when)
        edition = one.edition or exercise.edition
        result = {
            "score": {"scaled": one.mark},
            "success": one.mark == 1,
            "extensions": {self.name("reason"): _clean(one.reason)},
        }
        return {
            "id": self.id(one.trainee, f"{exercise.key} {moment} {one.mark} {one.by}", ended=ended),
            "actor": self.person(one.trainee),
            "verb": _verb(VERBS["changed"]),
            "object": self.activity(exercise, edition),
            "result": result,
            "context": {
                "instructor": self.person(one.by),
                **self.context(exercise, {"edition": edition}),
            },
            "timestamp": moment,
        }

    def of_end(self, exercise: Exercise, one: Ended) -> Iterator[Statement]:
        """Give the statement of a changed mark that stands no more, and the one that voids it."""
        yield (before := self.of_change(exercise, one.changed, ended=True))
        yield {**self.void(before["id"], one.by), "timestamp": _time(one.when)}

    def void(self, old: str, by: str) -> Statement:
        """Return the statement that voids another: by an instructor, or by the course."""
        return {
            "id": _uuid(f"{self.home} voids {old}"),
            "actor": self.person(by),
            "verb": _verb("voided"),
            "object": {"objectType": "StatementRef", "id": old},
        }

    def id(self, trainee: str, digest: str, *, ended: bool = False) -> str:
        """Return the id that the same line of the same trainee always gets."""
        name = f"{self.home} {trainee} {digest}"
        while True:
            self.ids[name] += 1
            found = _uuid(name if self.ids[name] == 1 else f"{name} {self.ids[name]}")
            if ended or found not in self.voided:
                return found

    def person(self, code: str) -> dict[str, Any]:
        """Return a person: a code at the home page, and nothing else."""
        return {"objectType": "Agent", "account": {"homePage": self.home, "name": code}}

    def name(self, word: str) -> str:
        """Return the name of a field of our own."""
        return f"{self.home}/fields/{word.replace(' ', '-')}"

    def activity(self, exercise: Exercise, edition: int) -> dict[str, Any]:
        """Return an exercise at one edition; only of the present one the words are known."""
        choice = len(exercise.asked) == 1 and exercise.asked[0].kind == "choice"
        definition: dict[str, Any] = {
            "name": {"en": exercise.title},
            "type": f"{ADL}/activities/cmi.interaction",
            "interactionType": "choice" if choice else "other",
        }
        if edition == exercise.edition:
            definition["description"] = {"en": wording.to_text(exercise.prompt)}
            if choice:
                definition["choices"] = [
                    {"id": option.key, "description": {"en": option.text}}
                    for option in exercise.asked[0].options
                ]
        return {
            "objectType": "Activity",
            "id": f"{self.home}/exercises/{exercise.key}/{edition}",
            "definition": definition,
        }

    def result(
        self, exercise: Exercise, event: Event, attempt: Attempt | None
    ) -> dict[str, dict[str, Any]]:
        """Return what was typed and, where it was marked and counts, how it came out."""
        if event["event"] == "remark":
            return {"result": {"response": _clean(event.get("text", ""))}}
        if attempt is None:
            return {}
        verdict, result = attempt.verdict, dict[str, Any]()
        result["response"] = _response(exercise, attempt)
        if attempt.counts and (exercise.marks or exercise.topic == concept.TOPIC):
            result["success"] = verdict.right
        if attempt.counts and exercise.marks:
            result["score"] = {"scaled": verdict.share}
        counted: dict[str, Any] = {"counts": attempt.counts, "state": verdict.state}
        counted |= {"slips": list(verdict.slips)} if verdict.slips else {}
        counted |= {"flags": list(attempt.flags)} if attempt.flags else {}
        result["extensions"] = {self.name(word): value for word, value in counted.items()}
        return {"result": result}

    def context(self, exercise: Exercise, event: Event) -> dict[str, Any]:
        """Return the lesson and the course around an exercise, its edition, the turn."""
        number = lesson_number(exercise.topic)
        place = f"{number}-{exercise.topic}" if number else exercise.topic
        parent = {
            "id": f"{self.home}/lessons/{place}",
            "definition": {"type": f"{ADL}/activities/{'lesson' if number else 'assessment'}"},
        }
        course = {"id": f"{self.home}/course", "definition": {"type": f"{ADL}/activities/course"}}
        turn = {"extensions": {self.name("turn"): event["turn"]}} if "turn" in event else {}
        return {
            "revision": str(event.get("edition", exercise.edition)),
            "contextActivities": {"parent": [parent], "grouping": [course]},
            **turn,
        }


def home(text: str) -> str:
    """
    Return a home page's IRI without the stroke at its end.

    Raises
    ------
    ValueError
        If it is none.
    """
    tidy = text.strip()
    if not IRI.fullmatch(tidy):
        raise ValueError(
            f"{wording.quoted(text)} is not a home page: write its whole address, such as {HOME}."
        )
    return tidy.rstrip("/")


@dataclass
class Sent:
    """The ids of a file that was sent: what it states of whom, and what it voids."""

    stated: dict[str, str] = field(default_factory=dict)
    voided: set[str] = field(default_factory=set)

    def take(self, statement: Statement) -> None:
        """Note one statement."""
        of = statement["object"]
        if of.get("objectType") == "StatementRef":
            self.voided.add(_id(of["id"]))
        else:
            self.stated[_id(statement["id"])] = str(statement["actor"]["account"]["name"])


def read_sent(path: Path) -> Sent:
    """
    Return the ids of a file of statements as `write` writes it, a statement a line.

    Raises
    ------
    ValueError
        If it is none, naming the line.
    OSError
        If it cannot be read.
    """
    sent = Sent()
    with intake.opened(path) as lines:
        for number, line in enumerate(iter(lambda: lines.readline(LONGEST_STATEMENT), b""), 1):
            if line.strip() in (b"", b"[", b"]", b"[]"):
                continue
            try:
                sent.take(json.loads(line.strip().removesuffix(b",")))
            except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
                raise ValueError(
                    f"{path.name}, line {number}: no statement as this program writes them. Name "
                    "the file that was sent, as it was written."
                ) from None
    return sent


def write(
    folder: Path,
    path: Path,
    *,
    at: str = HOME,
    sent: Path | None = None,
    catalogue: Bank = BANK,
    changes: Path | None = None,
    progress: OnProgress = lambda done, of, trainee: None,
) -> WrittenStatements:
    """
    Write the statements of every sheet in a folder as one JSON list, a statement a line.

    Stated are answers, worked answers shown, remarks at an exercise, and changed marks. Nothing
    is written where there is no sheet.

    Parameters
    ----------
    sent : Path, optional
        The file that was sent before: what it states of the trainees in the folder and this
        one does not is voided; who has no sheet here is left alone.

    Raises
    ------
    ValueError
        If `at` is no IRI, or `sent` no file of statements.
    OSError
        If the folder or `sent` cannot be read or the file cannot be written.
    """
    before = read_sent(sent) if sent else Sent()
    writer = Writer(home(at), voided=frozenset(before.voided))
    every = ClassFolder(folder, catalogue=catalogue, changes=changes)
    written = WrittenStatements(trainees=len(every.rows))
    if every.rows:
        pages.write(path, _lines(_stated(every, writer, before, progress), written))
    written.left, written.files = every.left, every.files or every.files_beside()
    return written


def _stated(
    every: ClassFolder, writer: Writer, before: Sent, progress: OnProgress
) -> Iterator[Statement]:
    """Give all statements, those of one trainee after the other, then what is voided."""
    made: list[Statement] = []
    now = Sent()

    def on_event(trainee: str, event: Event, attempt: Attempt | None) -> None:
        statement = writer.of_event(trainee, every.catalogue[event["key"]], event, attempt)
        made.extend([statement] if statement else [])

    for one in every.reports(most=0, on_event=on_event, progress=progress):
        made.extend(_changes(every, writer, one.trainee))
        for statement in made:
            now.take(statement)
            yield statement
        made.clear()
    gone = {i for i, who in before.stated.items() if who in every.rows and i not in now.stated}
    for old in sorted((gone | before.voided) - now.voided):
        yield writer.void(old, COURSE)


def _changes(every: ClassFolder, writer: Writer, trainee: str) -> Iterator[Statement]:
    """Give the statements of one trainee's changed marks: those that ended, those that stand."""
    for ended in every.changed.ended:
        if ended.changed.trainee == trainee and ended.changed.key in every.catalogue:
            yield from writer.of_end(every.catalogue[ended.changed.key], ended)
    for key, change in every.changed.of(trainee).items():
        if key in every.catalogue:
            yield writer.of_change(every.catalogue[key], change)


def _lines(statements: Iterable[Statement], written: WrittenStatements) -> Iterator[str]:
    for statement in statements:
        yield ("[\n" if written.statements == 0 else ",\n") + _line(statement)
        written.statements += 1
        written.voided += statement["object"]["objectType"] == "StatementRef"
    yield "[]\n" if written.statements == 0 else "\n]\n"


def _line(statement: Statement) -> str:
    return json.dumps(statement, ensure_ascii=False, allow_nan=False)


def _id(text: Any) -> str:
    """
    Return a statement's id.

    Raises
    ------
    ValueError
        If it is none as this program writes them.
    """
    if not isinstance(text, str) or str(uuid.UUID(text)) != text:
        raise ValueError("no id")
    return text


def _uuid(name: str) -> str:
    return str(uuid.uuid5(uuid.NAMESPACE_URL, name))


def _verb(word: str) -> dict[str, Any]:
    return {"id": f"{ADL}/verbs/{word}", "display": {"en": word}}


def _time(moment: Any) -> str:
    return str(moment.isoformat(timespec="milliseconds")).replace("+00:00", "Z")


def _response(exercise: Exercise, attempt: Attempt) -> str:
    """Return what was typed, verbatim: one part as it stands, several with their names."""
    typed = {
        a.name: _clean(attempt.typed[a.name]) for a in exercise.asked if a.name in attempt.typed
    }
    if len(exercise.asked) == 1:
        return next(iter(typed.values()), "")
    return json.dumps(typed, ensure_ascii=False)


def _clean(text: str) -> str:
    """Replace what no UTF-8 file or data base can hold: half characters and the null."""
    return intake.whole(text).replace("\0", "\ufffd")
