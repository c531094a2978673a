"""Set a closed paper and mark it."""

import argparse
import re
from pathlib import Path
from typing import Any

from exercises.commands.speaking import ALL_READ, NOTHING_DONE, SOMETHING_LEFT, count, say
from exercises.pages import pages
from exercises.paper import paper, paper_marking, paper_pages
from exercises.sheets import roster

LEAST_PHRASE = 8
HELP = """\
  python -m exercises paper-set SETTING.toml --roster CLASS.csv --out FOLDER
      sets a closed paper: FOLDER/handed out has each person's paper to print, and the
      same as a form for a browser; FOLDER/instructor has the answer key and the
      instructor's copy with the phrase: give it to nobody; --phrase "…" to choose one

  python -m exercises paper-mark FOLDER --answers ANSWERS --out RESULT
      marks the saved forms, and tables typed from paper, in ANSWERS against the
      instructor's copy in FOLDER, and writes paper-result.html and paper-result.csv
"""


def add_to(commands: Any) -> None:
    """Add both commands to the parser."""
    one = commands.add_parser("paper-set")
    one.add_argument("setting", type=Path, metavar="SETTING.toml")
    one.add_argument("--roster", type=Path, required=True, metavar="CLASS.csv")
    one.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    one.add_argument("--phrase", default="", metavar="TEXT")
    one.set_defaults(run=_set)
    one = commands.add_parser("paper-mark")
    one.add_argument("folder", type=Path, metavar="FOLDER")
    one.add_argument("--answers", type=Path, required=True, metavar="ANSWERS")
    one.add_argument("--out", type=Path, required=True, metavar="RESULT")
    one.add_argument("--separator", choices=tuple(pages.SEPARATORS), default=",")
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
    paper_pages.hand_out(one, wanted.out)
    print(
        f"{count(len(people), 'paper')} with {count(len(setting.asked), 'question')}, "
        f"{setting.marks:g} marks, {setting.minutes} minutes.\n"
        f"To hand out: {wanted.out / paper.HANDED_OUT}\n"
        f"For you alone: {wanted.out / paper.INSTRUCTOR} (key, instructor's copy, phrase). "
        "Keep it off the trainees' computers."
    )
    return ALL_READ


def _mark(wanted: argparse.Namespace) -> int:
    own = wanted.folder / paper.INSTRUCTOR / paper.COPY
    try:
        one = paper.read_copy(own if own.exists() else wanted.folder / paper.COPY)
    except FileNotFoundError:
        say(f"{wanted.folder}: no paper was set here ({paper.INSTRUCTOR}/{paper.COPY}).")
        return NOTHING_DONE
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    for text in paper_marking.edition_warnings(one):
        say(text)
    outcome = paper_marking.mark_class(one, wanted.answers)
    for trouble in outcome.troubles:
        say(str(trouble))
    page = pages.write(wanted.out / "paper-result.html", paper_pages.result_page(outcome))
    table = pages.write(
        wanted.out / "paper-result.csv", paper_pages.result_csv(outcome, wanted.separator)
    )
    came = [r for r in outcome.results if r.answers]
    passed = sum(outcome.passed(r) for r in came)
    print(
        f"{count(len(came), 'paper')} of {len(outcome.results)} marked; {passed} at "
        f"{one.setting.passing:g} % or above.\nResult: {page}\nTable:  {table}"
    )
    return SOMETHING_LEFT if outcome.troubles else ALL_READ
