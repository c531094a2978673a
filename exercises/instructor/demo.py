"""A made-up class, to see the marking at work: the same one on any machine.

Nobody in it exists. Each trainee has a strength; slips, second tries, nudges and worked
answers follow from it. A few sheets carry what goes wrong in a real folder: a torn line, an
exercise of another edition, two laptops, a mark changed afterwards.
"""

import dataclasses
import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from exercises.bank import BANK
from exercises.bank.syllabus import LESSONS
from exercises.question.dice import Dice, seed
from exercises.question.dice import given as given_to
from exercises.question.model import Answer, Asked, Exercise, Given
from exercises.sheets import changed_marks, report, sheet
from exercises.trainee import concept
from exercises.trainer import room

MOST_TRAINEES = 999
TWO_SHEETS = 7  # the number of the trainee who worked on two laptops
MORNING = datetime(2026, 3, 16, 8, 40, tzinfo=UTC)  # a Monday
SILLY = (
    "no idea",
    "see my notebook",
    "54.3 or 54.4?",
    "=2+2",
    "no fix, <5 satellites & drifting",
    "12,3,4",
    "60 61 00",
    "1e9999",
)
SECOND_LAPTOP = " second laptop"  # behind the code in the name of the other sheet
EARLY = "heights"  # the last lesson of those who leave early: called to their vessel
END_OF_DAY = 16  # o'clock
REASON = "Right with the client's sign convention, explained aloud and shown on the board."
REMARK = "Is this the same as the wire angle on the winch display? Ours shows 0.4 degrees."


class FolderInUseError(ValueError):
    """The folder holds answer sheets already; a made-up class must not mix with a real one."""


def write(
    folder: Path, trainees: int = 24, progress: Callable[[int, str], None] | None = None
) -> list[Path]:
    """
    Write the answer sheets of a made-up class; return their paths.

    The last but three of a class has no sheet and the last but one only signed in. From seven
    trainees on the seventh has two sheets, a mark is changed, and hands were counted in the room.

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
        trainee = _Trainee(folder, code, number)
        trainee.sit_down(signs_in_only=number == trainees - 1 > 1)
        _what_goes_wrong(trainee, number)
        trainee.hand_in()
        written += trainee.keep()
    if trainees >= TWO_SHEETS:
        _count_hands(folder, trainees - 2)
        _change_a_mark(folder, written[0])
    return written


def _count_hands(folder: Path, people: int) -> None:
    """Count hands in the room at three questions, as the class is asked before a figure moves."""
    dice, clock = Dice(seed(1, "made-up room", sheet.ROOM, 1)), MORNING
    first = [e for e in BANK.values() if e.marks == 0 and e.topic != concept.TOPIC]
    for exercise in first[:3]:
        hands, left = {}, people
        for option in exercise.asked[0].options:
            hands[option.key] = dice.whole(0, left)
            left -= hands[option.key]
        clock += timedelta(hours=1)
        event = {"event": room.EVENT, **_of(exercise), "turn": 1, "people": people, "hands": hands}
        sheet.append(folder / sheet.file_name(sheet.ROOM), {"time": clock.isoformat(), **event})


def _change_a_mark(folder: Path, path: Path) -> None:
    """Change the first mark of a trainee that is not full: the day after, with its reason."""
    code = str(sheet.NAME.fullmatch(path.name)[1])  # type: ignore[index]
    marks = {k: s.best for k, s in report.mark(code, [path], folder=folder).standings.items()}
    key = next((k for k, best in marks.items() if best is not None and best < 1), "")
    if not key:
        return
    line: Answer = {"time": (MORNING + timedelta(days=4)).isoformat(), "event": "changed"}
    line |= {"trainee": code, **_of(BANK[key]), "mark": 1.0, "was": marks[key]}
    sheet.append(folder / changed_marks.NAME, {**line, "reason": REASON, "by": "MK"})


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

    def __init__(self, folder: Path, code: str, number: int) -> None:
        self.path = folder / sheet.file_name(code)
        self.lines: dict[Path, list[bytes]] = {self.path: []}
        self.before = ""
        self.code = code
        self.number = number
        self.dice = Dice(seed(1, "made-up class", code, 1))
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
            if self.leaves_early and LESSONS.index(exercise.topic) > LESSONS.index(EARLY):
                return
            self.go_home_in_the_evening()
            if exercise.marks == 0:
                self.say_first(exercise)
            elif self.chance(0.6 + self.strength / 2):
                self.work_on(exercise)
        self.sit(concept.AFTER, 0.4 + 0.55 * self.strength, unsure=0.1)

    @property
    def leaves_early(self) -> bool:
        return self.number % 6 == 5

    def go_home_in_the_evening(self) -> None:
        """Begin again the next morning; one goes on at the other laptop."""
        if self.clock.hour < END_OF_DAY:
            return
        morning = self.clock.replace(hour=MORNING.hour, minute=30) + timedelta(days=1)
        self.clock = morning + timedelta(seconds=self.dice.whole(0, 900))
        if self.number == TWO_SHEETS and len(self.lines) == 1:
            self.path = self.path.with_stem(self.path.stem + SECOND_LAPTOP)
            self.lines[self.path], self.before = [], ""
        self.put({"event": "signed in", "decimal": self.decimal})

    def sit(self, when: concept.When, knows: float, unsure: float) -> None:
        """Sit a form of the concept check; the sixth of a class stops before its end."""
        dice = Dice(seed(1, f"made-up concept check {when}", self.code, 1))
        questions = concept.questions(concept.form_of(self.code, when))
        for question in questions[: 17 if when == concept.AFTER and self.number == 6 else None]:
            given = given_to(question, self.code, 1)
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
        given = given_to(exercise, self.code, turn)
        for misses, (typed, right) in enumerate(self.tries(exercise, given), 1):
            self.wait(90, 420)
            self.answer(exercise, turn, given, typed)
            if right or not self.chance(0.7 + 0.25 * self.strength):  # the weak give up sooner
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
            given = given_to(exercise, self.code, turn)
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
        given = given_to(exercise, self.code, 1)
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
        given = given_to(other, self.code, 1)
        self.wait(300, 600)
        self.answer(other, 1, given, self.text(other, other.solve(given)))

    def torn_line(self) -> None:
        """Pull the plug while a line is written, and answer on after the start."""
        torn = b'{"time": "2026-03-16T14:02:11.000+00:00", "event": "answered", "key": "defl'
        self.lines[self.path].append(torn + b"\n")  # the next line begins anew, as sheet.append
        self.before = ""
        self.wait(900, 1200)
        self.put({"event": "signed in", "decimal": self.decimal})

    def put(self, event: Answer, **more: str) -> None:
        time = self.clock.isoformat(timespec="milliseconds")
        line = {"time": time, **event, **more, "before": self.before}
        line["digest"] = self.before = sheet.digest(line)
        self.lines[self.path].append(json.dumps(line, ensure_ascii=False).encode("utf-8") + b"\n")

    def hand_in(self) -> None:
        """Close each sheet, as the copy that is handed in is closed."""
        for path, lines in self.lines.items():
            self.path, self.before = path, json.loads(lines[-1])["digest"]
            self.put({"event": sheet.HANDED_IN, "lines": len(lines)})

    def keep(self) -> list[Path]:
        """Write the sheets whole: flushing each line to the disk would take a minute."""
        for path, lines in self.lines.items():
            path.write_bytes(b"".join(lines))
        return list(self.lines)

    def wait(self, least: int, most: int) -> None:
        self.clock += timedelta(milliseconds=self.dice.whole(1000 * least, 1000 * most))

    def chance(self, share: float) -> bool:
        return self.dice.whole(0, 9999) < share * 10_000


def _of(exercise: Exercise) -> Answer:
    return {"key": exercise.key, "edition": exercise.edition}
