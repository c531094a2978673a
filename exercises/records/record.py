"""A trainee's record against the competence elements, to print on A4 and to sign.

It says where the trainee stands, by which rule, at which edition of each exercise; in which
class, with which version of the course and from which sheets; what the room and closed papers
vouch for; what has to be asked about first. A changed mark stands beside the one that the marking
gave. A code stands for the person: the name is written by hand. What it states are facts that
`check-record` works out again.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from exercises.audit import auditing
from exercises.audit.file_lines import FileLine
from exercises.audit.findings import Finding
from exercises.bank import BANK
from exercises.bank.syllabus import LESSONS, lesson_number
from exercises.instructor import competence, mark_cells
from exercises.instructor.class_folder import ClassFolder, OnProgress
from exercises.instructor.competence import Stand
from exercises.instructor.mark_cells import Member
from exercises.instructor.trainee_page import trainee_view
from exercises.pages import pages
from exercises.question import wording
from exercises.question.model import Exercise
from exercises.records import course, facts
from exercises.records.facts import Facts
from exercises.records.papers import Papers, Sat
from exercises.sheets import class_file, person
from exercises.sheets.class_file import Class
from exercises.sheets.report import Bank, Report, SheetRead, Standing
from exercises.trainee import concept


@dataclass(frozen=True)
class Rule:
    """The pass rule: `limit` is a share from 0 to 1, None where none was set."""

    limit: float | None = None

    @property
    def words(self) -> str:
        """Return the rule as the record prints it."""
        if self.limit is None:
            return (
                "No pass mark was set for this record: it states marks and says of no element "
                "that it is passed."
            )
        return (
            f"An element is passed where the mean mark over all its exercises is {self.limit:.0%} "
            "or more. An exercise that is not answered counts 0. A mark that an instructor "
            "changed counts as changed. Where a closed paper asked for an element, the paper "
            "counts in the place of practice."
        )

    def says(self, mark: float | None) -> str:
        """Return what the rule says of a mark: passed, not passed, not begun, or nothing."""
        if mark is None:
            return "not begun"
        if self.limit is None:
            return ""
        return "passed" if mark >= self.limit - 1e-9 else "not passed"


def rule(text: str | None) -> Rule:
    """
    Return the pass rule for a mark in per cent, as typed; without one there is no rule.

    >>> rule("70").limit, rule(None).limit
    (0.7, None)

    Raises
    ------
    ValueError
        If it is no number above 0 and at most 100.
    """
    if text is None:
        return Rule()
    try:
        value = float(text.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        value = 0.0
    if not 0 < value <= 100:
        raise ValueError(
            f"A pass mark is a number of per cent above 0 and at most 100, such as 70, "
            f"not {wording.quoted(text)}."
        )
    return Rule(value / 100)


@dataclass(frozen=True)
class Terms:
    """On what terms records are made; `months` is how long they hold, 0 where nobody says it."""

    rule: Rule = field(default_factory=Rule)
    papers: Papers = field(default_factory=Papers)
    months: int = 0


@dataclass
class Written:
    """What was written: for whom and with which code, what each file was, what was left unread."""

    codes: dict[str, str] = field(default_factory=dict)
    held: dict[str, list[str]] = field(default_factory=dict)  # by whom: the findings still open
    files: list[FileLine] = field(default_factory=list)
    left: int = 0


@dataclass(frozen=True)
class Stated:
    """What a record states of one row, before anything is known of the rest of the class."""

    row: str
    dates: str
    days: list[str]
    sheets: list[SheetRead]
    left: int
    attempts: int
    room: dict[str, int]
    member: Member

    @property
    def standings(self) -> dict[str, Standing]:
        """Return where the trainee stands at each exercise."""
        return self.member.standings

    @property
    def check(self) -> concept.Result:
        """Return what came of the concept check."""
        return self.member.check


def stated(one: Report) -> Stated:
    """Return what a record states of a report: it can be handed to another process."""
    check = concept.take_out(one)
    days = [moment.date().isoformat() for moment in (one.begun, one.last) if moment]
    return Stated(
        one.trainee, _dates(one), days, one.sheets, one.left, one.attempts, dict(one.room),
        mark_cells.member_of(one, check),
    )  # fmt: skip


def write(
    folder: Path,
    path: Path,
    trainee: str | None = None,
    *,
    terms: Terms | None = None,
    typing: bool = False,
    catalogue: Bank = BANK,
    changes: Path | None = None,
    several: bool = False,
    progress: OnProgress = lambda done, of, trainee: None,
) -> Written:
    """
    Write the record of one trainee; of all in a folder a list, and beside it a file each.

    With `typing` it is the record of each typing beside its worked answer, in the place of the
    marks against the elements, all in one file. Nothing is written where there is no sheet.

    Raises
    ------
    OSError
        If the folder cannot be read or a page cannot be written.
    """
    every = ClassFolder(folder, only=trainee, catalogue=catalogue, changes=changes)
    written = Written(dict.fromkeys(every.rows, ""))
    if every.rows and typing:
        pages.write(path, _typings(every, trainee, progress))
    elif every.rows:
        views = views_of(every, terms or Terms(), several=several, progress=progress)
        written.codes = {view["trainee"]: view["code"] for view in views}
        written.held = {
            view["trainee"]: [finding.id for finding in view["open_findings"]]
            for view in views
            if view["open_findings"]
        }
        _write_each(path, views, alone=trainee is not None)
    written.left, written.files = every.left, every.files or every.files_beside()
    return written


def _write_each(path: Path, views: list[dict[str, Any]], *, alone: bool) -> None:
    """Write each record into a file of its own, so that its pages are numbered for one person."""
    if alone and len(views) == 1:
        pages.write(path, pages.pieces("record.html", one=views[0]))
        return
    for view in views:
        name = f"record-{view['trainee'].replace('/', '-')}.html"
        view["file"] = f"{path.stem}/{name}"
        pages.write(path.parent / view["file"], pages.pieces("record.html", one=view))
    pages.write(path, pages.pieces("record_list.html", records=views))


def _typings(every: ClassFolder, trainee: str | None, progress: OnProgress) -> Iterator[str]:
    trainees = (
        pages.render("trainee.html", **trainee_view(one, concept.take_out(one), every.catalogue))
        for one in every.reports(progress=progress)
    )
    return pages.pieces("typing.html", trainee=trainee, trainees=trainees)


def views_of(
    every: ClassFolder,
    terms: Terms,
    *,
    several: bool = False,
    progress: OnProgress = lambda done, of, trainee: None,
) -> list[dict[str, Any]]:
    """Return all that the records of a class show, their findings among them."""
    found = list(every.each(stated, progress=progress, several=several))
    return [
        view(one, auditing.of_row(every.findings, one.row), terms, every.folder, every.catalogue)
        for one in found
    ]


def view(
    one: Stated, asked: list[Finding], terms: Terms, folder: Path, catalogue: Bank = BANK
) -> dict[str, Any]:
    """Return all that the record of a trainee shows."""
    sat, room = terms.papers.of(one.row), class_of(folder, one.row)
    lines = [
        _line(stand, _paper_mark(stand, sat), terms.rule)
        for stand in competence.standing(one.standings, catalogue)
    ]
    marked = [e for e in catalogue.values() if e.marks and e.topic in LESSONS]
    done = [e for e in marked if (s := one.standings.get(e.key)) and s.mark is not None]
    held = facts_of(one, asked, terms, room, lines, sat)
    return {
        "trainee": one.row,
        "room": room,
        "version": course.VERSION,
        "digest": course.digest(),
        "dates": one.dates,
        "sheets": one.sheets,
        "supervision": supervision(one),
        "sat": sat,
        "lines": lines,
        "passed": sum(line.says == "passed" for line in lines),
        "judged": terms.rule.limit is not None,
        "rule": terms.rule.words,
        "months": terms.months,
        "findings": asked,
        "open_findings": [finding for finding in asked if finding.open],
        "code": facts.code(held),
        "facts": held,
        "done": len(done),
        "of": len(marked),
        "mean": _mean(done, one.standings),
        "concept": one.check,
        "lessons": [
            (lesson_number(topic), topic, rows)
            for topic in LESSONS
            if (rows := [_row(e, one.standings[e.key]) for e in done if e.topic == topic])
        ],
        "unanswered": [e.key for e in marked if e not in done],
        "changed": mark_cells.changed_marks([one.member], catalogue),
        "notes": mark_cells.notes_on(one.member),
    }


@dataclass(frozen=True)
class Line:
    """One element on a record: practice and paper beside each other, and which one counts."""

    stand: Stand
    practice: float | None
    paper: float | None
    counts: str  # practice, paper, or nothing
    says: str


def _line(stand: Stand, paper: float | None, passing: Rule) -> Line:
    practice = stand.over_all if stand.done else None
    mark = practice if paper is None else paper
    counts = "paper" if paper is not None else "practice" if stand.done else ""
    return Line(stand, practice, paper, counts, passing.says(mark))


def _paper_mark(stand: Stand, sat: list[Sat]) -> float | None:
    """Return the share of the marks that papers which count gave for an element."""
    shares = [one.shares[stand.element.key] for one in sat if one.counts
              and stand.element.key in one.shares]  # fmt: skip
    of = sum(whole for _, whole in shares)
    return sum(earned for earned, _ in shares) / of if of else None


def class_of(folder: Path, row: str) -> Class | None:
    """Return the class of a row, where the folder says it and the row is of that class."""
    try:
        found = class_file.read(folder)
    except (OSError, ValueError):
        return None
    return found if person.parts(row)[0] in ("", found.word) else None


def supervision(one: Stated) -> str:
    """Return what the files know of supervision, in a sentence or two."""
    within = sum(one.room.values())
    if not one.attempts:
        return "There is no answer that could be read."
    if not within:
        return "No answer was given in a class’s room. The files say nothing about supervision."
    days = ", ".join(sorted(one.room))
    rest = one.attempts - within
    beside = f" About the other {rest} the files say nothing of supervision." if rest else ""
    return (
        f"{within} of {one.attempts} answers were given in the class’s room, on numbers drawn "
        f"with its secret, which nobody had before ({days}).{beside}"
    )


def facts_of(
    one: Stated, asked: list[Finding], terms: Terms, room: Class | None, lines: list[Line],
    sat: list[Sat],
) -> Facts:  # fmt: skip
    """Return all that a record states as plain facts; marks in thousandths."""
    return {
        "course": f"{course.VERSION}, {course.digest()}",
        "class": f"{room.title}, {room.word}, {room.site}" if room else "",
        "trainee": one.row,
        "days": one.days,
        "sheets": {f"{sheet.digest[:16]} …": sheet.answers for sheet in one.sheets},
        "left": one.left,
        "room": one.room,
        "elements": {line.stand.element.key: _thousandths(line) for line in lines},
        "exercises": {
            key: [_of_thousand(s.mark), s.answers] for key, s in sorted(one.standings.items())
        },
        "changed": {
            key: [_of_thousand(s.changed.mark), s.changed.by, s.changed.when.date().isoformat()]
            for key, s in sorted(one.standings.items()) if s.changed
        },
        "papers": {
            f"{paper.name} {paper.number}": [paper.marks, paper.of, *paper.doubts] for paper in sat
        },
        "concept": [one.check.before.right, one.check.after.right] if one.check.sat else [],
        "findings": {
            finding.id: f"open, {finding.evidence}" if finding.open else finding.said
            for finding in asked
        },
        "limit": terms.rule.limit,
        "months": terms.months,
    }  # fmt: skip


def _thousandths(line: Line) -> list[Any]:
    return [line.stand.done, _of_thousand(line.practice), _of_thousand(line.paper), line.counts]


def _of_thousand(share: float | None) -> int | None:
    return None if share is None else round(1000 * share)


def _mean(done: list[Exercise], standings: dict[str, Standing]) -> int | None:
    marks = [standings[exercise.key].mark or 0.0 for exercise in done]
    return mark_cells.per_cent(sum(marks) / len(marks)) if marks else None


def _row(exercise: Exercise, standing: Standing) -> dict[str, Any]:
    """Return one exercise: edition, marks, tries, when."""
    last = standing.last or (standing.changed.when if standing.changed else None)
    return {
        "exercise": exercise,
        "first": _share(standing.first),
        "best": _share(standing.best),
        "mark": _share(standing.mark),
        "changed": bool(standing.changed),
        "tries": standing.answers,
        "notes": ["the worked answer was shown"] * bool(standing.shown) + list(standing.flags),
        "last": f"{last:%Y-%m-%d}" if last else "",
    }


def _share(share: float | None) -> str:
    return "–" if share is None else str(mark_cells.per_cent(share))


def _dates(one: Report) -> str:
    if not (one.begun and one.last):
        return ""
    first, last = (f"{d.day} {d:%b %Y}" for d in (one.begun, one.last))
    return first if first == last else f"{first} to {last}"
