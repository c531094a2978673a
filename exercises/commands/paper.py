"""Set a closed paper and mark it."""

import argparse
import re
from pathlib import Path
from typing import Any

from exercises.commands.speaking import ALL_READ, NOTHING_DONE, SOMETHING_LEFT, count, say
from exercises.pages import pages
from exercises.paper import accepting, paper, paper_marking, paper_pages
from exercises.sheets import roster

LEAST_PHRASE = 8
HELP = """\
  python -m exercises paper-set SETTING.toml --roster CLASS.csv --out FOLDER
      sets a closed paper: FOLDER/handed out has each person's paper to print, and the
      same as a form for a browser; FOLDER/instructor has the answer key and the
      instructor's copy with the phrase: give it to nobody; --phrase "…" to choose one;
      --again to set it over a paper that was set there before

  python -m exercises paper-mark FOLDER --answers ANSWERS --out RESULT
      marks the saved forms, and tables typed from paper, in ANSWERS against the
      instructor's copy in FOLDER, and writes paper-result.html and paper-result.csv;
      FOLDER may be that of a handout; a paper that is late or names another code waits
      for your word: --accept NUMBER --reason "…" --by MK
"""


def add_to(commands: Any) -> None:
    """Add both commands to the parser."""
    one = commands.add_parser("paper-set")
    one.add_argument("setting", type=Path, metavar="SETTING.toml")
    one.add_argument("--roster", type=Path, required=True, metavar="CLASS.csv")
    one.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    one.add_argument("--phrase", default="", metavar="TEXT")
    one.add_argument("--again", action="store_true")
    one.set_defaults(run=_set)
    one = commands.add_parser("paper-mark")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--answers", type=Path, required=True, metavar="ANSWERS")
    one.add_argument("--out", type=Path, required=True, metavar="RESULT")
    one.add_argument("--separator", choices=tuple(pages.SEPARATORS), default=",")
    one.add_argument("--accept", default="", metavar="NUMBER")
    one.add_argument("--reason", default="", metavar="TEXT")
    one.add_argument("--by", default="", metavar="CODE")
    one.set_defaults(run=_mark)


def _set(wanted: argparse.Namespace) -> int:
    phrase = " ".join(wanted.phrase.split())
    if wanted.phrase and len(re.sub(r"\W", "", phrase)) < LEAST_PHRASE:
        say(f"A phrase of fewer than {LEAST_PHRASE} letters can be guessed: leave out --phrase.")
        return NOTHING_DONE
    try:
        setting = paper.read_setting(wanted.setting)
        people = roster.read(wanted.roster)
        one = paper.prepare(setting, people, phrase or paper.phrase())
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    before = paper_pages.set_before(wanted.out)
    if before and not wanted.again:
        say(
            f"{wanted.out} holds {before}. Setting it again draws other numbers: take another "
            "folder, or write over it with --again; its copy is kept."
        )
        return NOTHING_DONE
    paper_pages.hand_out(one, wanted.out, again=wanted.again)
    print(
        f"{count(len(people), 'paper')} with {count(len(setting.asked), 'question')}, "
        f"{setting.marks:g} marks, {setting.minutes} minutes.\n"
        f"To hand out: {wanted.out / paper.HANDED_OUT}\n"
        f"For you alone: {wanted.out / paper.INSTRUCTOR} (key, instructor's copy, phrase). "
        "Keep it off the trainees' computers."
    )
    return ALL_READ


def _mark(wanted: argparse.Namespace) -> int:
    own = wanted.folder / paper.INSTRUCTOR
    own = own if (own / paper.COPY).exists() else wanted.folder
    try:
        one = paper.read_copy(own / paper.COPY)
        outcome = paper_marking.mark_class(one, wanted.answers, accepting.read(own))
        if wanted.accept:
            _accept(outcome, wanted, own)
            outcome = paper_marking.mark_class(one, wanted.answers, accepting.read(own))
    except FileNotFoundError:
        say(f"{wanted.folder}: no paper was set here ({paper.INSTRUCTOR}/{paper.COPY}).")
        return NOTHING_DONE
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    for text in (*paper_marking.edition_warnings(one), *outcome.troubles):
        say(str(text))
    page = pages.write(wanted.out / "paper-result.html", paper_pages.result_page(outcome))
    table = pages.write(
        wanted.out / "paper-result.csv", paper_pages.result_csv(outcome, wanted.separator)
    )
    print(f"{_counted(outcome)}.\nResult: {page}\nTable:  {table}")
    return SOMETHING_LEFT if outcome.troubles else ALL_READ


def _accept(outcome: paper_marking.Outcome, wanted: argparse.Namespace, own: Path) -> None:
    """
    Keep the instructor's word on a paper that waits for it.

    Raises
    ------
    ValueError
        If that paper does not wait for any, or the word is not complete.
    """
    waiting = {r.sitting.paper.upper(): r for r in outcome.results if r.undecided}
    result = waiting.get(wanted.accept.strip().upper())
    if result is None:
        which = ", ".join(sorted(waiting)) or "none"
        raise ValueError(f"{wanted.accept} does not need a decision; waiting: {which}.")
    accepting.accept(own, result.sitting.paper, result.doubts, wanted.reason, wanted.by)


def _counted(outcome: paper_marking.Outcome) -> str:
    came = [r for r in outcome.results if r.answers]
    words = f"{count(len(came), 'paper')} of {len(outcome.results)} marked"
    if passing := outcome.paper.setting.passing:
        passed = sum(outcome.passed(r) for r in came)
        words += f"; {passed} at {passing:g} % or above"
    if waiting := [r.sitting.paper for r in came if r.undecided]:
        words += f"; {', '.join(waiting)} to decide: --accept"
    return words
