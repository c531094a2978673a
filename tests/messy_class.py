"""
A class of 24 as a real one comes in: from two vessels, by e-mail, in archives, damaged, and not
always honest. Made by the course's own writer of sheets, so that what is honest in it is honest.

Run from the repository's root to look at it: python -m tests.messy_class FOLDER
"""

import email.message
import io
import json
import shutil
import sys
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from exercises.bank import BANK
from exercises.question import dice
from exercises.sheets import changed_marks, class_file, scenario, sheet

START = datetime(2026, 3, 16, 8, 0, tzinfo=UTC)
SECRET = "a secret of forty letters for the tests only"
CLASS = class_file.Class("Spring, two vessels", scenario.HOME.name, "7KQ2", SECRET)
NUMBERS = [e for e in BANK.values() if e.marks and all(a.kind != "choice" for a in e.asked)]
HONEST, A, B = 24, "vessel A", "vessel B"


class Seat:
    """One trainee at work: lines as the answer box writes them, without flushing each to a disk."""

    def __init__(self, path, person, *, start=START, hosted=False):
        self.path, self.person, self.clock, self.hosted = path, person, start, hosted
        self.lines, self.before = [], ""
        self.put("signed in", decimal=".")

    def put(self, event, **more):
        """Write one event, a minute and a half after the one before."""
        self.clock += timedelta(seconds=90)
        word, _, code = self.person.rpartition("-")
        line = {"time": self.clock.isoformat(timespec="milliseconds"), "event": event, **more}
        line |= {"class": word, "code": code} if word else {}
        line["before"] = self.before
        line["digest"] = self.before = sheet.digest(line)
        self.lines.append(line)

    def lose_power(self):
        """Tear a line off in its middle and begin anew."""
        self.lines.append('{"time": "2026-03-16T14:02:11.000+00:00", "event": "answ')
        self.before = ""
        self.put("signed in", decimal=".")

    def answer(self, exercise, turn=1, *, slip=False, drawn_for=None):
        secret = SECRET if self.hosted else ""
        given = dice.given(exercise, drawn_for or self.person, turn, secret)
        values = exercise.solve(given)
        values |= exercise.slips[0].route(given) if slip else {}
        typed = {asked.name: asked.show(values[asked.name]) for asked in exercise.asked}
        place = {"key": exercise.key, "edition": exercise.edition, "turn": turn}
        room = {"hosted": True} if self.hosted else {}
        self.put("answered", **place, given=given, typed=typed, decimal=".", **room)

    def day(self, exercises):
        """Work through exercises: every fourth is wrong at first and right after it."""
        for number, exercise in enumerate(exercises):
            if number % 4 == 3:
                self.answer(exercise, slip=True)
            self.answer(exercise)
        return self

    @property
    def text(self):
        texts = (x if isinstance(x, str) else json.dumps(x, ensure_ascii=False) for x in self.lines)
        return "".join(text + "\n" for text in texts).encode()

    def keep(self):
        """Write the sheet as it is handed in, with its closing line."""
        self.put(sheet.HANDED_IN, lines=len(self.lines))
        return self.save()

    def save(self):
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self.path.write_bytes(self.text)
        return self


def archive(files):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as into:
        for name, contents in files.items():
            into.writestr(name, contents)
    return packed.getvalue()


def mail(sender, files):
    message = email.message.EmailMessage()
    message["From"], message["Subject"] = sender, "geodesy, my answers"
    message.set_content("Here they are. Regards")
    for name, contents in files.items():
        message.add_attachment(
            contents, maintype="application", subtype="octet-stream", filename=name
        )
    return message.as_bytes()


def write(folder):
    """Write the class; return {row: kind of the finding that has to be open}, "" where none."""
    folder = Path(folder)
    folder.mkdir(parents=True)
    class_file.write(folder, CLASS)
    expected = _honest(folder) | _dishonest(folder)
    _beside(folder)
    return expected


def _seat(folder, code, where=A, *, name=None, **more):
    return Seat(folder / where / (name or f"answers-{code}.jsonl"), code, **more)


def _honest(folder):
    """Write the eleven of whom nothing has to be asked, each sent in a way of its own."""
    some = NUMBERS[:12]
    _seat(folder, "T01").day(some).keep()
    _seat(folder, "T02", name="answers-t02 (1).jsonl").day(some).keep()
    one = _seat(folder, "T03").day(some).keep()
    one.path.rename(one.path.with_suffix(".txt"))
    one.path.with_suffix(".txt").write_bytes(one.text.decode().encode("utf-16"))
    one = _seat(folder, "T04").day(some).keep()
    one.path.write_text(json.dumps(one.lines, indent=2), encoding="utf-8")
    for code, make in (("T05", mail), ("T06", None)):
        one = _seat(folder, code).day(some).keep()
        one.path.unlink()
        inside = {f"answers-{code}.jsonl": one.text}
        packed = mail("anna@example.org", inside) if make else archive(inside)
        (folder / A / f"from {code}{'.eml' if make else '.zip'}").write_bytes(packed)
    laptop = _seat(folder, "T07").day(some[:6]).keep()
    tomorrow = {"name": "answers-T07 laptop 2.jsonl", "start": laptop.clock + timedelta(days=1)}
    _seat(folder, "T07", **tomorrow).day(some[6:]).keep()
    one = _seat(folder, "T08").day(some[:6])
    one.lose_power()
    one.day(some[6:]).keep()
    one = _seat(folder, "T09").day(some[:6])
    one.clock -= timedelta(hours=7)  # the clock is set right, once
    one.day(some[6:]).keep()
    _seat(folder, "7KQ2-T10", hosted=True).day(some).keep()
    later = START + timedelta(hours=1)
    _seat(folder, "7KQ2-T10", B, start=later, hosted=True).day(NUMBERS[12:16]).keep()
    _seat(folder, "T11").day(some).keep()
    changed_marks.change(
        folder / A / changed_marks.NAME, "T11", some[0], 0.5, reason="rounded aloud", by="MK"
    )
    (folder / A / changed_marks.NAME).rename(folder / A / changed_marks.FORMER)
    codes = [f"T{n:02d}" for n in range(1, 12) if n != 10]
    return dict.fromkeys([*codes, "7KQ2-T10"], "")


def _dishonest(folder):
    """Write those of whom something has to be asked; some of it has an honest answer."""
    some = NUMBERS[:12]
    for where, exercises in ((A, NUMBERS[:21]), (B, NUMBERS[21:22])):
        _seat(folder, "T12", where).day(exercises).keep()
    one = _seat(folder, "T13", B).day(some).keep()
    shutil.copy(one.path, one.path.with_name("answers-T14.jsonl"))
    _seat(folder, "T15", B).day(some).keep()
    changed_marks.change(
        folder / changed_marks.NAME, "T15", some[3], 0.1, reason="not in time", by="MK"
    )
    path = folder / changed_marks.NAME
    path.write_text(path.read_text("utf-8").replace('"mark": 0.1', '"mark": 1.0'), "utf-8")
    one = _seat(folder, "T16", B)
    for exercise in NUMBERS:
        one.clock -= timedelta(seconds=88)
        one.answer(exercise)
    one.keep()
    one = _seat(folder, "T17", B)
    for exercise in some:
        one.answer(exercise, drawn_for="T99")
    one.keep()
    one = _seat(folder, "T18", B).day(some).keep()
    one.path.write_bytes(one.text.replace(b'"turn": 1', b'"turn": 2', 1))
    one = _seat(folder, "T19", B).day(some).keep()
    del one.lines[4:7]
    one.save()
    _seat(folder, "T20", B).day(some).save()
    one = _seat(folder, "T21", B)
    for exercise in some:
        one.answer(exercise)
        one.clock -= timedelta(hours=2)
    one.keep()
    one = _seat(folder, "T22", B)
    for exercise in some[:3]:
        one.put("shown", key=exercise.key, edition=exercise.edition, turn=1)
    one.keep()
    later = {"name": "answers-T22 (1).jsonl", "start": one.clock + timedelta(hours=2)}
    _seat(folder, "T22", B, **later).day(some[:3]).keep()
    one = _seat(folder, "T23", B)
    for exercise in some[:4]:
        one.answer(exercise, turn=3)
    one.keep()
    one = _seat(folder, "T24", B).day(some)
    for line in one.lines[1:4]:
        line.pop("given")
    before = ""
    for line in one.lines:
        line["before"] = before
        line["digest"] = before = sheet.digest(line)
    one.before = before
    one.keep()
    return {
        "T12/1": "identity", "T12/2": "identity", "T13": "", "T14": "copied", "T15": "mark",
        "T16": "pace", "T17": "numbers", "T18": "edited", "T19": "chain", "T20": "closing",
        "T21": "clock", "T22": "elsewhere", "T23": "skipped", "T24": "ungiven",
    }  # fmt: skip


def _beside(folder):
    """Write what lies in every real folder besides."""
    (folder / "notes.txt").write_text("T20 flies home on Thursday", encoding="utf-8")
    (folder / B / "photo.jpg").write_bytes(b"\xff\xd8")
    (folder / B / "all of it.zip").write_bytes(archive({"again.zip": archive({"x": b"1"})}))
    (folder / B / "answers-T25.jsonl").write_bytes(b"\x00\x01\x02 not a sheet any more \xff" * 40)


if __name__ == "__main__":
    write(sys.argv[1])
