"""The instructor's commands: mark a class, look up worked answers, make up a class."""

import argparse
import math
import sys
import textwrap
from collections import defaultdict
from pathlib import Path
from typing import Any, NoReturn

from exercises import demo, drawing, find, marking, register, session, wording
from exercises.model import DMS, Answer, Asked, Exercise
from exercises.report import Trouble

ALL_READ, SOMETHING_LEFT, NOTHING_DONE = 0, 1, 2
HELP = """\
The instructor's side of the course.

  python -m exercises mark FOLDER --out FOLDER
      marks every answer sheet in a folder and the folders below it, and writes
      register.html (to read and to print) and register.csv (for a spreadsheet);
      --separator ";" where a spreadsheet expects a semicolon

  python -m exercises answers KEY --trainee T07 --turn 2
      prints one exercise with that trainee's numbers, the worked answer, and the
      number that each slip would give

  python -m exercises demo FOLDER
      writes the answer sheets of a made-up class, to see the marking at work;
      --trainees 24 for another size

Nothing in an answer sheet is ever run. The sheets themselves are never changed.
"""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; return 0 all read, 1 something was left, 2 nothing was done."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    wanted = _parser().parse_args(arguments)
    if wanted.command is None:
        print(HELP, end="")
        return NOTHING_DONE
    try:
        return wanted.run(wanted)
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        say(f"{where}{error.strerror or error}.")
        return NOTHING_DONE
    except KeyboardInterrupt:
        say("Stopped. Nothing was written.")
        return NOTHING_DONE


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="python -m exercises")
    commands = parser.add_subparsers(dest="command", parser_class=_Parser)
    one = commands.add_parser("mark")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    one.add_argument("--separator", choices=tuple(register.SEPARATORS), default=",")
    one.set_defaults(run=_mark)
    one = commands.add_parser("answers")
    one.add_argument("key", metavar="KEY")
    one.add_argument("--trainee", required=True, metavar="T07")
    one.add_argument("--turn", type=int, default=1, metavar="2")
    one.set_defaults(run=_answers)
    one = commands.add_parser("demo")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--trainees", type=int, default=12, metavar="12")
    one.set_defaults(run=_demo)
    return parser


class _Parser(argparse.ArgumentParser):
    """Speaks as plainly as the rest."""

    def format_help(self) -> str:
        return HELP

    def error(self, message: str) -> NoReturn:
        self.exit(NOTHING_DONE, f"{message}.\nFor help: python -m exercises\n")


def say(text: str) -> None:
    """Say one thing on the error stream."""
    print(text, file=sys.stderr)


class Progress:
    """One line that is rewritten on a terminal; nothing elsewhere."""

    def __init__(self) -> None:
        self._shown = 0
        self._terminal = sys.stderr.isatty()

    def __call__(self, text: str) -> None:
        """Show the text in the place of the one before."""
        if self._terminal:
            sys.stderr.write("\r" + text.ljust(self._shown))
            sys.stderr.flush()
            self._shown = len(text)

    def clear(self) -> None:
        """Take the line away, before anything else is said."""
        if self._shown:
            self("")
            sys.stderr.write("\r")
            self._shown = 0


def _mark(wanted: argparse.Namespace) -> int:
    progress = Progress()

    def tell(trouble: Trouble) -> None:
        progress.clear()
        say(str(trouble))

    try:
        marked = register.write(
            wanted.folder,
            wanted.out,
            separator=wanted.separator,
            tell=tell,
            progress=lambda done, of, who: progress(f"marking {done + 1} of {of}: {who}"),
        )
    except PermissionError as error:
        progress.clear()
        say(
            f"{error.filename2 or error.filename}: not allowed to read or write it. If it is open "
            "in another program, close it there and mark again."
        )
        return NOTHING_DONE
    finally:
        progress.clear()
    if marked.html is None:
        say(f"{wanted.folder}: no answer sheet in it (answers-CODE.jsonl). Nothing was written.")
        return NOTHING_DONE
    print(f"{_count(len(marked.members), 'trainee')}, {_count(marked.answers, 'answer')} marked.")
    print(f"Register: {marked.html}\nTable:    {marked.csv}")
    if marked.left:
        print(f"Left unread: {_count(marked.left, 'line or file', 'lines or files')}, named above.")
    return SOMETHING_LEFT if marked.left else ALL_READ


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def _demo(wanted: argparse.Namespace) -> int:
    if not 1 <= wanted.trainees <= demo.MOST_TRAINEES:
        say(f"A class has from 1 to {demo.MOST_TRAINEES} trainees, not {wanted.trainees}.")
        return NOTHING_DONE
    progress = Progress()
    try:
        paths = demo.write(
            wanted.folder,
            wanted.trainees,
            lambda number, code: progress(f"writing {number} of {wanted.trainees}: {code}"),
        )
    except demo.FolderInUseError as error:
        say(str(error))
        return NOTHING_DONE
    finally:
        progress.clear()
    print(f"{_count(len(paths), 'sheet')} of a made-up class in {wanted.folder}. Mark them with")
    print(f'    python -m exercises mark "{wanted.folder}" --out "{wanted.folder}"')
    return ALL_READ


def _answers(wanted: argparse.Namespace) -> int:
    try:
        exercise, trainee = find(wanted.key), session.code(wanted.trainee)
    except (KeyError, ValueError) as error:
        say(str(error.args[0]))
        return NOTHING_DONE
    if not 1 <= wanted.turn < 10**6:
        say(f"A turn counts from 1; {wanted.turn} is none.")
        return NOTHING_DONE
    print("\n".join(_told(exercise, trainee, wanted.turn)))
    return ALL_READ


def _told(exercise: Exercise, trainee: str, turn: int) -> list[str]:
    given = drawing.given(exercise, trainee, turn)
    right = exercise.solve(given)
    lines = [exercise.title, f"{exercise.key}, edition {exercise.edition}: {trainee}, turn {turn}"]
    lines += ["", *_wrapped(exercise.prompt), ""]
    lines += _columns("Given", exercise.table(given))
    lines += _columns("Answer", [(a.label, _answer(a, right[a.name])) for a in exercise.asked])
    lines += ["Worked"]
    lines += [line for step in exercise.steps(given) for line in _wrapped(step, "  ")]
    chosen = exercise.asked[0].kind == "choice"
    lines += ["", "Other choices" if chosen else "Slips, with the numbers each of them gives"]
    for key, route in exercise.wrong(given).items():
        slip = exercise.slip(key)
        lines += [f"  {slip.name}" + ("" if chosen else f": {_values(exercise, route)}")]
        lines += _wrapped(slip.reply.replace("{value}", "This"), "      ")
    return lines + _general(exercise, right)


def _answer(asked: Asked, value: Any) -> str:
    if asked.kind == "choice":
        return asked.say(value)
    return f"{asked.say(value)}   (right within {asked.within})"


def _values(exercise: Exercise, answer: Answer) -> str:
    parts = [(exercise.part(name), value) for name, value in answer.items()]
    return ", ".join(f"{asked.label} {asked.say(value)}" for asked, value in parts)


def _general(exercise: Exercise, right: Answer) -> list[str]:
    """Tell the slips of unit, sign and order that are recognised besides."""
    numbers: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for name, generals in marking.general_slips(exercise, right).items():
        asked = exercise.part(name)
        for general in generals:
            numbers[general.key][asked.label].append(_typed(asked, general.value))
    lines = [
        f"  {marking.GENERAL[key][0]}: "
        + ", ".join(f"{label} {' or '.join(values)}" for label, values in parts.items())
        for key, parts in numbers.items()
    ]
    return ["", "Recognised besides, where these are typed", *lines] if lines else []


def _typed(asked: Asked, value: float) -> str:
    """Return a number as it would be typed; one that rounds to nothing with three figures."""
    if asked.unit == DMS:
        return asked.say(value)
    figures = 2 - math.floor(math.log10(abs(value))) if value else 0
    return wording.number(value, max(asked.decimals, figures))


def _wrapped(text: str, indent: str = "") -> list[str]:
    plain = wording.to_text(text)
    return textwrap.wrap(
        plain, 88, initial_indent=indent, subsequent_indent=indent, break_long_words=False
    )


def _columns(head: str, rows: list[tuple[str, str]]) -> list[str]:
    if not rows:
        return []
    width = max(len(label) for label, _ in rows)
    return [head, *(f"  {label:<{width}}  {text}" for label, text in rows), ""]


if __name__ == "__main__":
    sys.exit(main())
