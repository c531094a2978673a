"""A class's answers as statements of the open standard for learning records.

IEEE 9274.1.1 (xAPI); the form is that of xAPI 1.0.3, part two. Verbs and activity types are those
of the ADL vocabulary. A person is a code at a home page, without name and without e-mail. The
same sheets give the same file, byte for byte, and the same answer the same id.
"""

import json
import re
import uuid
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from exercises import BANK, concept, overrides, pages, report, sheet, wording
from exercises.model import Exercise
from exercises.overrides import Override
from exercises.report import Attempt, Bank, Event, Trouble
from exercises.syllabus import lesson_number

HOME = "https://geodesy-course.invalid"  # RFC 2606: nobody can own a name under .invalid
ADL = "http://adlnet.gov/expapi"
VERBS = {  # what happened: the ADL verb
    "answered": "answered",
    "said first": "answered",
    "shown": "experienced",
    "remark": "commented",
    "overridden": "scored",
}
IRI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*://[^\s<>\"{}|\\^`]+")


@dataclass
class Written:
    """What came of writing a class's statements."""

    trainees: int = 0
    statements: int = 0
    left: int = 0


@dataclass
class Writer:
    """The statements of one class; `home` is the page at which a code is known."""

    home: str
    ids: Counter[str] = field(default_factory=Counter)

    def of_event(
        self, trainee: str, exercise: Exercise, event: Event, attempt: Attempt | None
    ) -> dict[str, Any] | None:
        """Return the statement of an event; None where it says nothing of learning."""
        what = event["event"]
        if what not in VERBS or (attempt is None) == (what in ("answered", "said first")):
            return None
        body = {key: value for key, value in event.items() if key != "intact"}
        return {
            "id": self.id(trainee, sheet.digest(body)),
            "actor": self.person(trainee),
            "verb": _verb(VERBS[what]),
            "object": self.activity(exercise, event.get("edition", exercise.edition)),
            **self.result(exercise, event, attempt),
            "context": self.context(exercise, event),
            "timestamp": _time(report.when(event)),
        }

    def of_change(self, exercise: Exercise, one: Override) -> dict[str, Any]:
        """Return the statement of a mark that an instructor changed."""
        moment = _time(one.when)
        edition = one.edition or exercise.edition
        result = {
            "score": {"scaled": one.mark},
            "success": one.mark == 1,
            "extensions": {self.name("reason"): _clean(one.reason)},
        }
        return {
            "id": self.id(one.trainee, f"{exercise.key} {moment} {one.mark} {one.by}"),
            "actor": self.person(one.trainee),
            "verb": _verb(VERBS["overridden"]),
            "object": self.activity(exercise, edition),
            "result": result,
            "context": {
                "instructor": self.person(one.by),
                **self.context(exercise, {"edition": edition}),
            },
            "timestamp": moment,
        }

    def id(self, trainee: str, digest: str) -> str:
        """Return the id that the same line of the same trainee always gets."""
        name = f"{self.home} {trainee} {digest}"
        self.ids[name] += 1
        again = "" if self.ids[name] == 1 else f" {self.ids[name]}"
        return str(uuid.uuid5(uuid.NAMESPACE_URL, name + again))

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
        told: dict[str, Any] = {"counts": attempt.counts, "state": verdict.state}
        told |= {"slips": list(verdict.slips)} if verdict.slips else {}
        told |= {"flags": list(attempt.flags)} if attempt.flags else {}
        result["extensions"] = {self.name(word): value for word, value in told.items()}
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
            f"{wording.quoted(text)} is no address of a home page: write it whole, such as {HOME}."
        )
    return tidy.rstrip("/")


def write(
    folder: Path,
    path: Path,
    *,
    at: str = HOME,
    catalogue: Bank = BANK,
    changes: Path | None = None,
    tell: Callable[[Trouble], None] = lambda trouble: None,
    progress: Callable[[int, int, str], None] = lambda done, of, trainee: None,
) -> Written:
    """
    Write the statements of every sheet in a folder as one JSON list, a statement a line.

    Stated are answers, worked answers shown, remarks at an exercise, and changed marks. Nothing
    is written where there is no sheet.

    Raises
    ------
    ValueError
        If `at` is no IRI.
    OSError
        If the folder cannot be read or the file cannot be written.
    """
    found, written = report.find(folder), Written()
    writer = Writer(home(at))
    if not found.sheets:
        return written
    changed = overrides.read(changes or folder / overrides.NAME)
    troubles = found.troubles + report.troubles_of(changed, found.sheets)
    written.left = found.left + changed.left
    for trouble in troubles:
        tell(trouble)

    def pieces() -> Iterator[str]:
        for done, (trainee, paths) in enumerate(found.sheets.items()):
            progress(done, len(found.sheets), trainee)
            made: list[dict[str, Any] | None] = []

            def hear(
                event: Event,
                attempt: Attempt | None,
                trainee: str = trainee,
                made: list[dict[str, Any] | None] = made,
            ) -> None:
                made.append(writer.of_event(trainee, catalogue[event["key"]], event, attempt))

            theirs = changed.of(trainee)
            one = report.mark(
                trainee, paths, folder=folder, catalogue=catalogue, most=0, changed=theirs,
                hear=hear,
            )  # fmt: skip
            for trouble in one.troubles:
                tell(trouble)
            written.left += one.left
            written.trainees += 1
            made += [
                writer.of_change(catalogue[k], change)
                for k, change in theirs.items()
                if k in catalogue
            ]
            for statement in filter(None, made):
                yield ("[\n" if written.statements == 0 else ",\n") + _line(statement)
                written.statements += 1
        yield "[]\n" if written.statements == 0 else "\n]\n"

    pages.write(path, pieces())
    return written


def _line(statement: dict[str, Any]) -> str:
    return json.dumps(statement, ensure_ascii=False, allow_nan=False)


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
    whole = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    return whole.replace("\0", "\ufffd")
