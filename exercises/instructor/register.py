"""The register of a class: who stands where, which slips to teach again, every typing.

One trainee's sheets are read at a time. What stays is a standing for each exercise; the
telling of each trainee goes to a temporary file until the page is put together.
"""

import csv
import io
import re
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from markupsafe import Markup

from exercises.bank import BANK
from exercises.bank.syllabus import LESSONS, lesson_number, page_of
from exercises.instructor import competence, statistics
from exercises.instructor.class_folder import ClassFolder, Progress, Tell
from exercises.pages import pages
from exercises.question import dice, marking
from exercises.question.model import Exercise, Given
from exercises.sheets import report
from exercises.sheets.report import Attempt, Bank, Entry, Report, Standing, Trouble
from exercises.trainee import concept

FULL, HALF = 80, 50  # per cent: ● from 80, ◐ from 50, ○ below
SLIPS_ON_THE_SHEET = 5
MOST_GROUPS = 24  # ready groups that are told, the largest first
MOST_AGAIN = 6  # slips to go over again on a trainee's own lines
COLUMNS = (
    *("code", "lesson", "exercise", "title", "edition", "best %", "first %", "state"),
    *("answers", "not understood", "turns", "nudges", "worked answer shown", "slips"),
    *("said first", "first answer (UTC)", "last answer (UTC)", "remarks", "flags"),
    *("changed to %", "reason", "changed by", "changed (UTC)"),
)
ITEM_COLUMNS = (
    *("lesson", "exercise", "title", "answered", "first attempts", "right at first", "share %"),
    *("agreement with the rest", "attempts", "nudged", "worked answer shown", "slips", "page"),
)
STATES = {  # the heading under which a verdict is told, where it is no slip
    "right": "right",
    "follows": "follows from the part before",
    "near": "near: more figures",
    "wrong": "not this number",
    "unread": "not understood",
    "unmarked": "",
}


@dataclass(frozen=True)
class Cell:
    """
    One mark: a shape, the best large, the first small, of how many where not of all.

    Of a changed mark the instructor's is large, with †, and the marking's own is small.
    """

    shape: str  # full, half, empty, none
    best: str
    small: str
    of: str = ""
    changed: bool = False


@dataclass
class Member:
    """What the register keeps of one trainee."""

    trainee: str
    files: list[str]
    standings: dict[str, Standing]
    remarks: list[str]
    left: int
    troubles: int
    check: concept.Result


@dataclass
class Marked:
    """What came of marking a class."""

    members: list[Member] = field(default_factory=list)
    answers: int = 0
    left: int = 0
    troubles: list[Trouble] = field(default_factory=list)
    begun: datetime | None = None
    last: datetime | None = None
    html: Path | None = None
    csv: Path | None = None
    items_csv: Path | None = None


def write(
    folder: Path,
    out: Path,
    *,
    separator: str = ",",
    catalogue: Bank = BANK,
    changes: Path | None = None,
    tell: Tell = lambda trouble: None,
    progress: Progress = lambda done, of, trainee: None,
) -> Marked:
    """
    Mark every sheet in a folder; write register.html, register.csv and statistics.csv.

    Parameters
    ----------
    changes : Path, optional
        The file of changed marks; without it overrides.jsonl in the folder, where there is one.
    tell : callable
        Called with each trouble as it is met.
    progress : callable
        Called with (done, of how many, trainee) before each trainee.

    Returns
    -------
    Marked
        Without `html` and `csv` where the folder holds no sheet: then nothing is written.

    Raises
    ------
    OSError
        If the folder cannot be read or the register cannot be written.
    """
    every = ClassFolder(folder, catalogue=catalogue, changes=changes, tell=tell)
    marked = Marked(left=every.left)
    if not every.sheets:
        return marked
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryFile("w+", encoding="utf-8", newline="") as told:
        for one in every.reports(progress=progress):
            check = concept.take_out(one)
            _take(marked, one, check)
            view = trainee_view(one, check, catalogue, folded=True)
            told.write(pages.render("trainee.html", **view))
        told.seek(0)
        marked.left, marked.troubles = every.left, every.troubles
        view = _class(marked, folder, catalogue)
        page = pages.pieces("register.html", **view, told=_pieces(told))
        marked.html = pages.write(out / "register.html", page)
    text = _csv(marked, catalogue, pages.SEPARATORS[separator])
    marked.csv = pages.write(out / "register.csv", ["\ufeff", text])
    text = _items_csv(items(marked.members, catalogue), pages.SEPARATORS[separator])
    marked.items_csv = pages.write(out / "statistics.csv", ["\ufeff", text])
    return marked


def items(members: Iterable[Member], catalogue: Bank) -> list[statistics.Item]:
    """Return the statistics of each exercise over the trainees."""
    return statistics.items([(m.trainee, m.standings) for m in members], catalogue)


def member_of(one: Report, check: concept.Result) -> Member:
    """Return what the register keeps of a trainee."""
    troubles = len(one.troubles)
    return Member(one.trainee, one.files, one.standings, one.remarks, one.left, troubles, check)


def _take(marked: Marked, one: Report, check: concept.Result) -> None:
    marked.members.append(member_of(one, check))
    marked.answers += sum(s.answers + s.after_shown for s in one.standings.values())
    if one.begun and one.last:
        marked.begun = min(marked.begun or one.begun, one.begun)
        marked.last = max(marked.last or one.last, one.last)


def _pieces(told: IO[str]) -> Iterator[Markup]:
    while piece := told.read(1 << 16):
        yield Markup(piece)


# The class -----------------------------------------------------------------------------


def _class(marked: Marked, folder: Path, catalogue: Bank) -> dict[str, Any]:
    """Return all that the first sheets of the page show."""
    topics = topics_of(marked.members, catalogue)
    now = datetime.now(UTC)
    found = items(marked.members, catalogue)
    slips = statistics.commonest(found)
    return {
        "name": Path(folder).resolve().name,
        "dates": _dates(marked.begun, marked.last),
        "made": f"{now.day} {now:%b %Y %H:%M} UTC",
        "members": marked.members,
        "several": len(topics) > 1,
        "front": _front(marked, topics, catalogue) if len(topics) > 1 else None,
        "tables": [_table(marked, topic, catalogue) for topic in topics],
        "slips": slips,
        "page_of": page_of,
        "items": [
            (lesson_number(topic), topic, [i for i in found if i.exercise.topic == topic])
            for topic in topics
        ],
        "groups": statistics.groups(found),
        "most_groups": MOST_GROUPS,
        "agreement_from": statistics.FEWEST_TRAINEES,
        "weak": statistics.WEAK,
        "changed": changed_marks(marked.members, catalogue),
        "on_the_sheet": SLIPS_ON_THE_SHEET,
        "said": _said(marked, catalogue),
        "concept": concept.of_class(member.check for member in marked.members),
        "elements": competence.of_class({m.trainee: m.standings for m in marked.members}),
        "missing": missing([m.trainee for m in marked.members]),
        "troubles": marked.troubles,
        "left": marked.left,
        "answers": marked.answers,
        "full": FULL,
        "half": HALF,
    }


def topics_of(members: Iterable[Member], catalogue: Bank) -> list[str]:
    """Return the lessons that anybody has touched, in their order; all where nobody has any."""
    marks = {exercise.topic for exercise in catalogue.values() if exercise.marks}
    touched = {catalogue[key].topic for m in members for key in m.standings}
    topics = touched & marks or marks
    return sorted(topics, key=lambda t: (LESSONS.index(t) if t in LESSONS else 99, t))


def of_topic(catalogue: Bank, topic: str) -> list[Exercise]:
    """Return the marked exercises of a lesson."""
    return [e for e in catalogue.values() if e.topic == topic and e.marks]


def short(exercise: Exercise) -> str:
    """Return an exercise's key without its topic, in words."""
    return exercise.key.removeprefix(exercise.topic + "-").replace("-", " ")


def _front(marked: Marked, topics: list[str], catalogue: Bank) -> dict[str, Any]:
    """Return the table with one column for each lesson."""
    return {
        "heads": [(lesson_number(topic), topic) for topic in topics],
        "checked": any(m.check.sat for m in marked.members),
        "rows": [
            (m, [lesson_cell(m, of_topic(catalogue, topic)) for topic in topics], notes_on(m))
            for m in marked.members
        ],
    }


def _table(marked: Marked, topic: str, catalogue: Bank) -> dict[str, Any]:
    """Return the table of one lesson with a column for each exercise."""
    exercises = of_topic(catalogue, topic)
    return {
        "number": lesson_number(topic),
        "topic": topic,
        "heads": [(short(e), e.title) for e in exercises],
        "rows": [
            (
                m,
                [mark_cell(m.standings.get(e.key)) for e in exercises],
                lesson_cell(m, exercises),
                notes_on(m),
            )
            for m in marked.members
        ],
        "first": [_right_at_first(marked, e) for e in exercises],
    }


def per_cent(share: float) -> int:
    """Return a share in whole per cent."""
    return round(100 * share)


def _shape(per_cent: int) -> str:
    return "full" if per_cent >= FULL else "half" if per_cent >= HALF else "empty"


def mark_cell(standing: Standing | None) -> Cell:
    """Return what a table shows of a trainee at one exercise."""
    if standing is None:
        return Cell("none", "–", "not begun")
    if standing.changed:
        mark = per_cent(standing.changed.mark)
        marked = "not marked" if standing.best is None else f"marked {per_cent(standing.best)}"
        return Cell(_shape(mark), str(mark), marked, changed=True)
    if standing.best is None:
        return Cell("none", "–", _why_no_mark(standing))
    best = per_cent(standing.best)
    first = "none" if standing.first is None else str(per_cent(standing.first))
    return Cell(_shape(best), str(best), f"{first} at first")


def _why_no_mark(standing: Standing) -> str:
    if standing.shown:
        return "shown"
    return "not understood" if standing.not_understood else "no answer"


def lesson_cell(member: Member | Report, exercises: list[Exercise]) -> Cell:
    """Return the mean over what this trainee answered, and how much of it that is."""
    done = [s for e in exercises if (s := member.standings.get(e.key)) and s.mark is not None]
    if not done:
        begun = any(exercise.key in member.standings for exercise in exercises)
        return Cell("none", "–", "no mark yet" if begun else "not begun")
    best = per_cent(sum(s.mark or 0.0 for s in done) / len(done))
    first = per_cent(sum(s.first or 0.0 for s in done) / len(done))
    of = "" if len(done) == len(exercises) else f"{len(done)}/{len(exercises)}"
    changed = any(s.changed for s in done)
    return Cell(_shape(best), str(best), f"{first} at first", of, changed)


def _right_at_first(marked: Marked, exercise: Exercise) -> str:
    firsts = [
        s.first
        for m in marked.members
        if (s := m.standings.get(exercise.key)) and s.first is not None
    ]
    return f"{sum(f == 1 for f in firsts)} of {len(firsts)}" if firsts else "–"


def notes_on(member: Member) -> list[str]:
    """Return what stands in the remark column: what to know before believing the marks."""
    notes = []
    if member.left:
        notes.append(f"{member.left} line{'s' * (member.left > 1)} stepped over")
    if len(member.files) > 1:
        notes.append(f"{len(member.files)} sheets merged")
    flags = sum((s.flags for s in member.standings.values()), Counter[str]())
    other = sum(count for flag, count in flags.items() if "edition" in flag)
    if flags[report.CHANGED]:
        notes.append(f"{flags[report.CHANGED]} changed after writing")
    if flags[report.NOT_DRAWN]:
        notes.append(f"{flags[report.NOT_DRAWN]} not on the numbers drawn")
    if other:
        notes.append(f"{other} of another edition")
    if any(s.remarks for s in member.standings.values()) or member.remarks:
        notes.append("left a remark")
    if not any(s.answers for s in member.standings.values()):
        notes.append("no answer that counts" if member.standings else "nothing answered")
    return notes


def changed_marks(members: Iterable[Member | Report], catalogue: Bank) -> list[dict[str, Any]]:
    """Return each changed mark with both marks, reason, by whom, when."""
    return [
        {
            "trainee": member.trainee,
            "exercise": catalogue[key],
            "marked": _mark_text(standing.best),
            "was": _mark_text(one.was) if one.was != standing.best else "",
            "to": _mark_text(one.mark),
            "edition": one.edition if one.edition != catalogue[key].edition else 0,
            "reason": one.reason,
            "by": one.by,
            "when": f"{one.when.day} {one.when:%b %Y %H:%M}",
        }
        for member in members
        for key, standing in member.standings.items()
        if (one := standing.changed)
    ]


def _mark_text(share: float | None) -> str:
    return "no mark" if share is None else str(per_cent(share))


def _said(marked: Marked, catalogue: Bank) -> list[dict[str, Any]]:
    """Return what the class said first: for each question who chose what."""
    said = []
    for key, exercise in catalogue.items():
        choices = {
            m.trainee: s.choice
            for m in marked.members
            if (s := m.standings.get(key)) and s.choice and not exercise.marks
        }
        if not choices:
            continue
        right = next(iter(exercise.solve({}).values()))
        options = [
            {
                "text": option.text,
                "right": option.key == right,
                "who": [t for t, choice in choices.items() if choice == option.key],
            }
            for option in exercise.asked[0].options
        ]
        said.append({"exercise": exercise, "options": options, "of": len(choices)})
    return said


def missing(codes: list[str]) -> list[str]:
    """
    Return the codes that a numbered class seems to lack; none where codes are not numbered.

    >>> missing(["T01", "T02", "T04"]), missing(["AB1", "AB90"])
    (['T03'], [])
    """
    by_stem: dict[tuple[str, int], list[int]] = defaultdict(list)
    for code in codes:
        if match := re.fullmatch(r"([A-Z]+)([0-9]+)", code):
            by_stem[match[1], len(match[2])].append(int(match[2]))
    gaps: list[str] = []
    for (stem, width), numbers in by_stem.items():
        absent = sorted(set(range(min(numbers), max(numbers))) - set(numbers))
        if len(absent) <= len(numbers):
            gaps += [f"{stem}{number:0{width}d}" for number in absent]
    return gaps


def _dates(begun: datetime | None, last: datetime | None) -> str:
    if begun is None or last is None:
        return ""
    first, end = (f"{d.day} {d:%B %Y}" for d in (begun, last))
    if first == end:
        return first
    if (begun.year, begun.month) == (last.year, last.month):
        return f"{begun.day} to {end}"
    return f"{first} to {end}"


# One trainee ---------------------------------------------------------------------------


def trainee_view(
    one: Report, check: concept.Result, catalogue: Bank, *, folded: bool = False
) -> dict[str, Any]:
    """Return what the pages of one trainee show; folded, a printer leaves out the typing."""
    marked = [e for e in catalogue.values() if e.marks]
    return {
        "trainee": one.trainee,
        "folded": folded,
        "files": one.files,
        "dates": _dates(one.begun, one.last),
        "cell": lesson_cell(one, marked),
        "of": len(marked),
        "again": _again(one, marked),
        "most_again": MOST_AGAIN,
        "remarks": one.remarks,
        "changed": changed_marks([one], catalogue),
        "concept": check,
        "elements": competence.standing(one.standings),
        "troubles": one.troubles,
        "said": [said for e in catalogue.values() if not e.marks for said in _said_by(one, e)],
        "lessons": [
            (lesson_number(topic), topic, told)
            for topic in dict.fromkeys(e.topic for e in marked)
            if (
                told := [_told(one, e) for e in marked if e.topic == topic and e.key in one.entries]
            )
        ],
    }


def _again(one: Report, exercises: list[Exercise]) -> list[tuple[str, str]]:
    """Return (slip, exercise's key) where the exercise is not right since, often made first."""
    made = [
        (exercise, slip, times)
        for exercise in exercises
        if (standing := one.standings.get(exercise.key)) and standing.open
        for slip, times in standing.slips.items()
    ]
    made.sort(key=lambda slip_made: -slip_made[2])
    return [(marking.slip_name(exercise, slip), exercise.key) for exercise, slip, _ in made]


def _told(one: Report, exercise: Exercise) -> dict[str, Any]:
    """Return all that happened at one exercise."""
    return {
        "exercise": exercise,
        "cell": mark_cell(one.standings[exercise.key]),
        "turns": _turns(one, exercise),
        "more": one.more(exercise.key),
    }


def _said_by(one: Report, exercise: Exercise) -> Iterator[dict[str, str]]:
    """Give each choice of this trainee at a say-first question, and everything beside it."""
    for entry in one.entries.get(exercise.key, ()):
        if entry.attempt:
            (part,) = _parts(exercise, entry.attempt)
            state, chosen = part["state"], part["typed"]
        else:
            state, chosen = "", f"{entry.what} {entry.text}"
        yield {
            "title": exercise.title,
            "chosen": chosen,
            "state": state,
            "when": f"{entry.when:%H:%M:%S}",
        }


@dataclass
class Turn:
    """The entries of one turn, and the numbers they were worked from."""

    number: int
    given: Given | None = None
    entries: list[Entry] = field(default_factory=list)


def _turns(one: Report, exercise: Exercise) -> list[dict[str, Any]]:
    turns: list[Turn] = []
    for entry in one.entries[exercise.key]:
        turn = _turn_of(entry, turns)
        turn.entries.append(entry)
        if entry.attempt:
            turn.given = entry.attempt.given
    return [_turn(one.trainee, exercise, turn) for turn in turns]


def _turn_of(entry: Entry, turns: list[Turn]) -> Turn:
    """Return the turn an entry belongs to; other numbers are told apart even within a turn."""
    for turn in reversed(turns):
        same_numbers = (
            entry.attempt is None or turn.given is None or turn.given == entry.attempt.given
        )
        if turn.number == entry.turn and same_numbers:
            return turn
    turns.append(Turn(entry.turn))
    return turns[-1]


def _turn(trainee: str, exercise: Exercise, turn: Turn) -> dict[str, Any]:
    given = turn.given or dice.given(exercise, trainee, turn.number)
    right = exercise.solve(given)
    return {
        "number": turn.number,
        "given": exercise.table(given),
        "right": [(a.label, a.say(right[a.name])) for a in exercise.asked],
        "steps": exercise.steps(given),
        "lines": [_line(exercise, entry) for entry in turn.entries],
    }


def _line(exercise: Exercise, entry: Entry) -> dict[str, Any]:
    line: dict[str, Any] = {
        "when": f"{entry.when:%H:%M:%S}",
        "day": f"{entry.when.day} {entry.when:%b}",
        "gap": "" if entry.gap is None else duration(entry.gap),
        "what": entry.what,
        "text": entry.text,
        "attempt": entry.attempt,
    }
    if entry.attempt:
        line["parts"] = _parts(exercise, entry.attempt)
    return line


def _parts(exercise: Exercise, attempt: Attempt) -> list[dict[str, str]]:
    """Return for each asked part what was typed and what came of it."""
    parts = []
    for asked in exercise.asked:
        part = attempt.verdict.parts[asked.name]
        typed = attempt.typed.get(asked.name, "")
        if asked.kind == "choice":
            typed = asked.say(typed)
        word = marking.slip_name(exercise, part.slip) if part.slip else STATES[part.state]
        parts.append({"label": asked.label, "typed": typed, "state": part.state, "word": word})
    return parts


def duration(seconds: float) -> str:
    r"""
    Return a stretch of time in words.

    >>> duration(75), duration(4 * 3600 + 120), duration(-5)
    ('1\xa0min 15\xa0s', '4\xa0h 2\xa0min', 'clock set back')
    """
    if seconds < 0:
        return "clock set back"
    whole = round(seconds)
    days, hours = divmod(whole // 3600, 24)
    minutes, rest = divmod(whole % 3600 // 60, 60)[1], whole % 60
    if days:
        return f"{days}\xa0d {hours}\xa0h"
    if hours:
        return f"{hours}\xa0h {minutes}\xa0min"
    return f"{minutes}\xa0min {rest}\xa0s" if minutes else f"{rest}\xa0s"


# The table for a spreadsheet -----------------------------------------------------------


def _csv(marked: Marked, catalogue: Bank, separator: str) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=separator, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    topics = topics_of(marked.members, catalogue)
    for member in marked.members:
        for exercise in catalogue.values():
            if exercise.topic in topics:
                standing = member.standings.get(exercise.key)
                writer.writerow(_csv_row(member.trainee, exercise, standing))
    return text.getvalue()


def _csv_row(trainee: str, exercise: Exercise, standing: Standing | None) -> list[str | int]:
    head = [trainee, lesson_number(exercise.topic), exercise.key, exercise.title]
    if standing is None:
        return [*head, exercise.edition, "", "", "not begun", *[""] * (len(COLUMNS) - 8)]
    slips = [
        f"{marking.slip_name(exercise, key)} ({count})" for key, count in standing.slips.items()
    ]
    flags = [f"{flag} ({count})" for flag, count in standing.flags.items()]
    return [
        *head,
        exercise.edition,
        "" if standing.best is None else per_cent(standing.best),
        "" if standing.first is None else per_cent(standing.first),
        _state(standing, exercise),
        standing.answers + standing.after_shown,
        standing.not_understood,
        standing.turns,
        standing.nudges,
        len(standing.shown),
        pages.harmless("; ".join(slips)) if exercise.marks else "",
        standing.choice,
        f"{standing.begun:%Y-%m-%d %H:%M:%S}" if standing.begun else "",
        f"{standing.last:%Y-%m-%d %H:%M:%S}" if standing.last else "",
        pages.harmless(" / ".join(standing.remarks)),
        pages.harmless("; ".join(flags)),
        *_changed_cells(standing),
    ]


def _changed_cells(standing: Standing) -> list[str | int]:
    one = standing.changed
    if one is None:
        return [""] * 4
    return [per_cent(one.mark), pages.harmless(one.reason), one.by, f"{one.when:%Y-%m-%d %H:%M:%S}"]


def _items_csv(found: list[statistics.Item], separator: str) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=separator, lineterminator="\r\n")
    writer.writerow(ITEM_COLUMNS)
    writer.writerows(_item_row(item) for item in found)
    return text.getvalue()


def _item_row(item: statistics.Item) -> list[str | int]:
    exercise = item.exercise
    slips = [f"{s.name}: {len(s.who)} ({' '.join(s.who)}), {s.times}×" for s in item.slips]
    return [
        *(lesson_number(exercise.topic), exercise.key, exercise.title),
        *(item.answered, item.first, item.right),
        "" if item.share is None else per_cent(item.share),
        "" if item.agreement is None else f"{item.agreement:.2f}",
        f"{item.attempts:.1f}",
        *(item.nudged, item.shown, pages.harmless("; ".join(slips))),
        str(page_of(exercise.key) or ""),
    ]


def _state(standing: Standing, exercise: Exercise) -> str:
    if not exercise.marks:
        return "said" if standing.choice else "no answer"
    if standing.best is None:
        return _why_no_mark(standing)
    return "right" if standing.best == 1 else "partly right" if standing.best else "not right"
