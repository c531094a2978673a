"""The pages of a closed paper: handed out, kept back, and the result of the class."""

import base64
import csv
import hashlib
import io
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from exercises.pages import pages
from exercises.pages.pages import harmless
from exercises.paper import accepting, layout, paper, questions
from exercises.paper.paper import HANDED_OUT, INSTRUCTOR, Paper
from exercises.paper.paper_marking import MarkedQuestion, Outcome, PaperResult
from exercises.question import marking, wording
from exercises.question.model import Answer, Exercise, Given
from exercises.sheets import private

WORK = 46.0  # millimetres of room to work under a question
MOST_SLIPS = 6  # of each question, on the key
STATES = {
    "right": "right",
    "follows": "follows from the part before",
    "method": "another method",
    "near": "near",
    "wrong": "not this number",
    "unread": "not understood",
}


@dataclass(frozen=True)
class KeyRow:
    """One person at one question of the key."""

    who: str
    name: str
    given: list[str]
    right: list[str]
    slips: list[str]


@dataclass(frozen=True)
class KeyTable:
    """One question of the key for the whole class."""

    number: int
    title: str
    key: str
    edition: int
    marks: float
    prompt: str
    within: list[str]
    rows: list[KeyRow]


# Handed out, and kept back ---------------------------------------------------------------


def set_before(folder: Path) -> str:
    """Return in words which paper was set in a folder before; nothing where none was."""
    own = folder / INSTRUCTOR / paper.COPY
    if not own.exists():
        return ""
    try:
        one = paper.read_copy(own)
    except ValueError:
        return "a paper that can no longer be read"
    people = len(one.sittings)
    return f"the paper {one.name}, “{one.setting.title}”, set for {people} and perhaps handed out"


def hand_out(one: Paper, folder: Path, *, again: bool = False) -> list[Path]:
    """
    Write what is handed out and, in a folder of its own, what is not.

    With `again` the pages of a paper set here before go; the instructor's copy of it stays under
    its name, so that what was handed out can still be marked.

    Raises
    ------
    FileExistsError
        If a paper was already set in this folder: its numbers are not drawn over.
    """
    own, out = folder / INSTRUCTOR, folder / HANDED_OUT
    if again:
        _put_aside(own, out)
    if (own / paper.COPY).exists():
        raise FileExistsError(17, "a paper was already set here; take another folder", str(own))
    for made in (folder, own, out):
        private.make_folder(made)
    paper.save(one, own / paper.COPY)
    pages.write(own / "key.html", key(one))
    pages.write(own / "all papers to print.html", printed(one, one.sittings))
    written = []
    for sitting in one.sittings:
        written.append(pages.write(out / f"paper-{sitting.paper}.html", printed(one, [sitting])))
        written.append(pages.write(out / f"form-{sitting.paper}.html", form(one, sitting)))
    return written


def _put_aside(own: Path, out: Path) -> None:
    """Keep the copy of the paper before as instructor/paper-NAME/paper.json; remove its pages."""
    if not (own / paper.COPY).exists():
        return
    try:
        name = paper.read_copy(own / paper.COPY).name
    except ValueError:
        name = "unreadable"
    aside = own / f"paper-{name}"
    private.make_folder(aside)
    for file in (paper.COPY, accepting.NAME):
        if (own / file).exists():
            (own / file).replace(aside / file)
    for page in (*out.glob("paper-*.html"), *out.glob("form-*.html")):
        page.unlink()


def printed(one: Paper, sittings: Iterable[paper.Sitting]) -> str:
    """Return papers to print on A4."""
    held = [(s.paper, layout.sheets(s.questions(one.setting), WORK)) for s in sittings]
    return pages.render("paper.html", papers=held, **_head(one))


def form(one: Paper, sitting: paper.Sitting) -> str:
    """Return the same questions as a form for a browser; its one script is named by digest."""
    script = pages.TEMPLATES / "form.js"
    text = script.read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
    return pages.render(
        "form.html",
        paper=sitting.paper,
        asked=sitting.questions(one.setting),
        script=text,
        script_digest=digest,
        **_head(one),
    )


def _head(one: Paper) -> dict[str, Any]:
    return {"setting": one.setting, "name": one.name, "begins": _begins(one.setting.begins)}


def _begins(moment: datetime | None) -> str:
    return f"{moment.day} {moment:%b %Y, %H:%M}" if moment else ""


def key(one: Paper) -> str:
    """Return the answer key of the whole class."""
    tables = [
        table(
            number,
            asked.exercise,
            [
                (
                    s.paper,
                    f"{s.person.code} {s.person.name}",
                    s.given[number - 1],
                    s.person.decimal,
                )
                for s in one.sittings
            ],
            asked.marks,
            edition,
        )
        for number, (asked, edition) in enumerate(
            zip(one.setting.asked, one.editions, strict=True), start=1
        )
    ]
    return render_key(
        tables, one.setting.title, "answer key", "paper", one.setting.passing, one.setting.marks
    )


def render_key(
    tables: Sequence[KeyTable],
    title: str,
    heading: str,
    who: str,
    passing: float = 0,
    marks: float = 0,
) -> str:
    """Return a key as HTML."""
    return pages.render(
        "paper_key.html",
        tables=tables,
        title=title,
        heading=heading,
        who=who,
        passing=passing,
        marks=marks,
    )


def table(
    number: int,
    exercise: Exercise,
    people: Iterable[tuple[str, str, Given, str | None]],
    marks: float = 0,
    edition: int = 0,
) -> KeyTable:
    """Return the key of one exercise for (who, name, given, decimal sign) of each person."""
    choice = exercise.asked[0].kind == "choice"
    return KeyTable(
        number,
        exercise.title,
        exercise.key,
        edition,
        marks,
        exercise.prompt,
        [] if choice else list(dict.fromkeys(asked.within for asked in exercise.asked)),
        [
            _in_sign(_row(exercise, who, name, given), decimal)
            for who, name, given, decimal in people
        ],
    )


def _row(exercise: Exercise, who: str, name: str, given: Given) -> KeyRow:
    right = exercise.solve(given)
    shown = [f"{label} {text}" for label, text in exercise.table(given)]
    if options := questions.option_letters(exercise, given):
        letter = next(at for at, k in options.items() if k == right[exercise.asked[0].name])
        say = exercise.asked[0].say(right[exercise.asked[0].name])
        return KeyRow(who, name, shown, [f"{letter}: {say}"], [])
    wrong = exercise.wrong(given)
    slips = [
        f"{slip.name}: {_differs(exercise, wrong[slip.key], right)}"
        for slip in exercise.slips[:MOST_SLIPS]
    ]
    return KeyRow(
        who, name, shown, [f"{a.label} {a.say(right[a.name])}" for a in exercise.asked], slips
    )


def _in_sign(row: KeyRow, decimal: str | None) -> KeyRow:
    """Return a row as it stands beside that person's paper."""
    given, right, slips = (
        [wording.in_sign(text, decimal) for text in texts]
        for texts in (row.given, row.right, row.slips)
    )
    return replace(row, given=given, right=right, slips=slips)


def _differs(exercise: Exercise, route: Answer, right: Answer) -> str:
    """Return what a slip gives, in the parts that it makes wrong."""
    return ", ".join(
        asked.say(route[asked.name])
        for asked in exercise.asked
        if asked.name in route
        and marking.difference(asked, route[asked.name], right[asked.name]) > asked.tolerance
    )


# The result ------------------------------------------------------------------------------


def result_page(outcome: Outcome) -> str:
    """Return the class's result, and each person's answers beside the right ones."""
    setting = outcome.paper.setting
    return pages.render(
        "paper_result.html",
        setting=setting,
        begins=_begins(setting.begins),
        heads=[
            {"number": number, "marks": one.marks} for number, one in enumerate(setting.asked, 1)
        ],
        rows=[_result(outcome, one) for one in outcome.results],
        slips=_slips(outcome),
        troubles=outcome.troubles,
    )


def _result(outcome: Outcome, one: PaperResult) -> dict[str, Any]:
    setting = outcome.paper.setting
    came = one.answers is not None
    return {
        "code": one.sitting.person.code,
        "name": one.sitting.person.name,
        "paper": one.sitting.paper,
        "marks": [_tenths(m.marks) for m in one.marked] if came else ["–"] * len(setting.asked),
        "total": _tenths(one.total) if came else "–",
        "share": f"{100 * one.total / setting.marks:.0f}" if came else "–",
        "verdict": _verdict(outcome, one),
        "notes": one.notes,
        "answers": [line for m in one.marked for line in _lines(outcome, one, m)],
    }


def _verdict(outcome: Outcome, one: PaperResult) -> str:
    """Return what comes of a paper; of a handout, which has no limit, nothing."""
    if one.answers is None:
        return "– nothing"
    if not outcome.paper.setting.passing:
        return ""
    if one.undecided:
        return "? to decide"
    return "● pass" if outcome.passed(one) else "○ below"


def _tenths(marks: float) -> str:
    return f"{marks:.1f}".removesuffix(".0")


def _lines(outcome: Outcome, one: PaperResult, marked: MarkedQuestion) -> Iterable[dict[str, str]]:
    exercise, number = marked.exercise, marked.question.number
    given = one.sitting.given[number - 1]
    decimal = (one.answers and one.answers.decimal) or one.sitting.person.decimal or "."
    right = exercise.solve(given)
    letters = questions.option_letters(exercise, given)
    for place, asked in enumerate(exercise.asked):
        part = marked.verdict.parts[asked.name] if marked.verdict else None
        typed = marked.typed[asked.name]
        state = part.state if part and typed.strip() else ""
        words = STATES.get(state, "nothing typed")
        if part and part.slip:
            words = marking.slip_name(exercise, part.slip)
        if letters and part and part.state != "unread":
            typed = asked.say(typed)
        yield {
            "question": f"{number} {exercise.title}" if place == 0 else "",
            "part": "" if letters else asked.label,
            "typed": typed,
            "right": asked.say(right[asked.name], decimal),
            "state": "right" if state in ("right", "follows") else state,
            "words": words,
            "marks": f"{_tenths(marked.marks)} of {marked.question.marks:g}" if place == 0 else "",
        }


def _slips(outcome: Outcome) -> list[dict[str, Any]]:
    """Return each slip with who made it, the commonest first."""
    found: dict[tuple[int, str], list[str]] = defaultdict(list)
    names: dict[tuple[int, str], str] = {}
    answered: dict[int, int] = defaultdict(int)
    for one in outcome.results:
        for marked in one.marked:
            number = marked.question.number
            answered[number] += marked.verdict is not None
            for slip in marked.verdict.slips if marked.verdict else ():
                found[number, slip].append(one.sitting.person.code)
                names[number, slip] = marking.slip_name(marked.exercise, slip)
    return [
        {"name": names[at], "question": f"{at[0]}", "of": answered[at[0]], "who": who}
        for at, who in sorted(found.items(), key=lambda item: (-len(item[1]), item[0]))
    ]


def result_csv(outcome: Outcome, separator: str) -> str:
    """Return the class's result as a table for a spreadsheet, nothing in it to be run."""
    setting = outcome.paper.setting
    out = io.StringIO()
    writer = csv.writer(out, delimiter=pages.SEPARATORS[separator], lineterminator="\r\n")
    heads = [
        f"{number} of {pages.cell(f'{one.marks:g}', separator)}"
        for number, one in enumerate(setting.asked, 1)
    ]
    writer.writerow(["code", "name", "paper", *heads, "total", "%", "result", "to know"])
    for one in outcome.results:
        row = _result(outcome, one)
        numbers = [pages.cell(text, separator) for text in (*row["marks"], row["total"])]
        cells = [row["code"], row["name"], row["paper"], *numbers, row["share"]]
        cells += [row["verdict"][2:], "; ".join(row["notes"])]
        writer.writerow([harmless(wording.to_text(str(cell))) for cell in cells])
    return "\ufeff" + out.getvalue()
