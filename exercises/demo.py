"""A made-up class, to see the marking at work: the same one on any machine.

Nobody in it exists. Each trainee has a strength; slips, second tries, nudges and worked
answers follow from it. A few sheets carry what goes wrong in a real folder.
"""

import dataclasses
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from exercises import BANK, concept, drawing, sheet
from exercises.drawing import Dice
from exercises.model import Answer, Asked, Exercise, Given

MOST_TRAINEES = 999
MORNING = datetime(2026, 3, 16, 8, 40, tzinfo=UTC)  # a Monday
SILLY = (
    "no idea",
    "see my notebook",
    "54.3 or 54.4?",
    "=2+2",
    "<b>ask the chief</b>",
    "12,3,4",
    "60 61 00",
    "1e9999",
)
REMARK = "Is this the same as the wire angle on the winch display? Ours shows 0.4 degrees."


class FolderInUseError(ValueError):
    """The folder holds answer sheets already; a made-up class must not mix with a real one."""


def write(
    folder: Path, trainees: int = 12, progress: Callable[[int, str], None] | None = None
) -> list[Path]:
    """
    Write the answer sheets of a made-up class; return their paths.

    The last but three of a class has no sheet and the last but one only signed in.

    Raises
    ------
    FolderInUseError
        If the folder holds answer sheets.
    OSError
        If it cannot be written.
    """
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    if any(sheet.NAME.fullmatch(path.name) for path in folder.rglob("*.jsonl")):
        raise FolderInUseError(
            f"{folder} holds answer sheets already; name a folder for the made-up class alone."
        )
    written = []
    for number in range(1, trainees + 1):
        code = f"T{number:0{max(2, len(str(trainees)))}}"
        if progress:
            progress(number, code)
        if number == trainees - 3 > 1:
            continue  # this one never handed in
        trainee = _Trainee(folder / sheet.file_name(code), code, number)
        trainee.sit_down(signs_in_only=number == trainees - 1 > 1)
        written.append(trainee.path)
        _what_goes_wrong(trainee, number)
    return written


def _what_goes_wrong(trainee: "_Trainee", number: int) -> None:
    """Put one accident of a real folder into each of three sheets."""
    if number == 2:
        trainee.torn_line()
    elif number == 3:
        trainee.answer_of_another_edition(BANK["deflection-total"])
    elif number == 4:
        trainee.put({"event": "remark", "key": "deflection-plumb-offset", "turn": 1}, text=REMARK)


class _Trainee:
    """Somebody made up, working through the exercises one after the other."""

    def __init__(self, path: Path, code: str, number: int) -> None:
        self.path = path
        self.code = code
        self.number = number
        self.dice = Dice(drawing.seed(1, "made-up class", code, 1))
        self.strength = self.dice.number(0.2, 0.95, 2)
        self.decimal = "," if number % 5 == 0 else "."
        self.clock = MORNING + timedelta(seconds=self.dice.whole(0, 600))

    def sit_down(self, *, signs_in_only: bool = False) -> None:
        self.put({"event": "signed in", "decimal": self.decimal})
        if signs_in_only:
            return
        self.sit(concept.BEFORE, 0.1 + 0.5 * self.strength, unsure=0.3)
        for exercise in BANK.values():
            if exercise.topic == concept.TOPIC:
                continue
            if exercise.marks == 0:
                self.say_first(exercise)
            elif self.chance(0.6 + self.strength / 2):
                self.work_on(exercise)
        self.sit(concept.AFTER, 0.4 + 0.55 * self.strength, unsure=0.1)

    def sit(self, when: concept.When, knows: float, unsure: float) -> None:
        """Sit a form of the concept check; the sixth of a class stops before its end."""
        dice = Dice(drawing.seed(1, f"made-up concept check {when}", self.code, 1))
        questions = concept.questions(concept.form_of(self.code, when))
        for question in questions[: 17 if when == concept.AFTER and self.number == 6 else None]:
            given = drawing.given(question, self.code, 1)
            wrong = [slip.key for slip in question.slips if slip.key != concept.UNSURE]
            chosen = dice.choose(wrong[: dice.whole(1, len(wrong))])
            if dice.whole(0, 999) < 1000 * unsure:
                chosen = concept.UNSURE
            if dice.whole(0, 999) < 1000 * knows:
                chosen = concept.RIGHT
            self.clock += timedelta(seconds=dice.whole(15, 45))
            self.answer(question, 1, given, {"choice": chosen}, event="said first")

    def work_on(self, exercise: Exercise) -> None:
        """Answer until it is right; after three misses see the worked answer, take new numbers."""
        turn = 1
        given = drawing.given(exercise, self.code, turn)
        for misses, (typed, right) in enumerate(self.tries(exercise, given), 1):
            self.wait(90, 420)
            self.answer(exercise, turn, given, typed)
            if right or not self.chance(0.94):
                return
            if misses <= len(exercise.nudges) and self.chance(0.6):
                self.wait(10, 60)
                self.put({"event": "nudged", **_of(exercise), "turn": turn, "nudge": misses})
            if misses == 3:
                break
        self.wait(10, 60)
        self.put({"event": "shown", **_of(exercise), "turn": turn})
        if self.chance(0.7):
            self.wait(20, 90)
            turn += 1
            self.put({"event": "new numbers", **_of(exercise), "turn": turn})
            given = drawing.given(exercise, self.code, turn)
            self.wait(120, 400)
            again = self.slipped(exercise, given)
            solved = self.text(exercise, exercise.solve(given))
            self.answer(exercise, turn, given, solved if self.chance(0.75) else again)

    def tries(self, exercise: Exercise, given: Given) -> Iterator[tuple[dict[str, str], bool]]:
        """Give what is typed, one try after the other, and whether it is meant to be right."""
        chance = self.strength * 0.7
        while True:
            if self.chance(chance):
                yield self.text(exercise, exercise.solve(given)), True
            elif self.chance(0.72):
                yield self.slipped(exercise, given), False
            elif self.chance(0.5):
                yield self.near(exercise, given), False
            else:
                yield self.silly(exercise, given), False
            chance = min(0.95, chance + 0.12)

    def slipped(self, exercise: Exercise, given: Given) -> dict[str, str]:
        """Take a wrong route, most often one of the first: a class makes the same slips."""
        last = len(exercise.slips) - 1
        slip = exercise.slips[min(self.dice.whole(0, last) for _ in range(3))]
        return self.text(exercise, {**exercise.solve(given), **slip.route(given)})

    def near(self, exercise: Exercise, given: Given) -> dict[str, str]:
        """Round too early: two tolerances off."""
        values = exercise.solve(given)
        asked = exercise.asked[0]
        if asked.kind == "choice":
            return self.silly(exercise, given)
        return self.text(exercise, {**values, asked.name: values[asked.name] + 2 * asked.tolerance})

    def silly(self, exercise: Exercise, given: Given) -> dict[str, str]:
        """Type what no marking can use, or a number out of the air."""
        typed = self.text(exercise, exercise.solve(given))
        name = exercise.asked[0].name
        odd = self.chance(0.7)
        return {**typed, name: self.dice.choose(SILLY) if odd else str(self.dice.whole(200, 350))}

    def text(self, exercise: Exercise, values: Answer) -> dict[str, str]:
        """Type values as a careful trainee does, with the decimal sign that this one uses."""
        return {a.name: self.as_typed(a, values[a.name]) for a in exercise.asked}

    def as_typed(self, asked: Asked, value: object) -> str:
        text = asked.show(value)
        return text if asked.kind == "choice" else text.replace(".", self.decimal)

    def say_first(self, exercise: Exercise) -> None:
        self.wait(20, 90)
        choices = [option.key for option in exercise.asked[0].options]
        given = drawing.given(exercise, self.code, 1)
        said = exercise.solve(given)["choice"] if self.chance(0.4) else self.dice.choose(choices)
        self.answer(exercise, 1, given, {"choice": said}, event="said first")

    def answer(
        self,
        exercise: Exercise,
        turn: int,
        given: Given,
        typed: dict[str, str],
        event: str = "answered",
    ) -> None:
        self.put(
            {"event": event, **_of(exercise), "turn": turn, "given": dict(given)}
            | {"typed": typed, "decimal": self.decimal}
        )

    def answer_of_another_edition(self, exercise: Exercise) -> None:
        other = dataclasses.replace(exercise, edition=max(1, exercise.edition - 1))
        if other.edition == exercise.edition:
            other = dataclasses.replace(exercise, edition=exercise.edition + 1)
        given = drawing.given(other, self.code, 1)
        self.wait(300, 600)
        self.answer(other, 1, given, self.text(other, other.solve(given)))

    def torn_line(self) -> None:
        """Pull the plug while a line is written, and answer on after the start."""
        with open(self.path, "ab") as out:
            out.write(
                b'{"time": "2026-03-16T14:02:11.000+00:00", "event": "answered", "key": "defl'
            )
        self.wait(900, 1200)
        self.put({"event": "signed in", "decimal": self.decimal})

    def put(self, event: Answer, **more: str) -> None:
        time = self.clock.isoformat(timespec="milliseconds")
        sheet.append(self.path, {"time": time, **event, **more})

    def wait(self, least: int, most: int) -> None:
        self.clock += timedelta(milliseconds=self.dice.whole(1000 * least, 1000 * most))

    def chance(self, share: float) -> bool:
        return self.dice.whole(0, 9999) < share * 10_000


def _of(exercise: Exercise) -> Answer:
    return {"key": exercise.key, "edition": exercise.edition}
