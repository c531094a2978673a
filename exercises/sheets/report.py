"""Marks one trainee's sheets again from scratch: events, attempts, standing per exercise.

The verdict that the trainee saw is not on the sheet and would not be believed: what was
typed is marked anew, from the numbers recorded beside it.
"""

import difflib
import json
import math
import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from exercises.bank import BANK
from exercises.question import dice, marking, wording
from exercises.question.model import DMS, Exercise, Given, Printed
from exercises.sheets import changed_marks, class_file, intake, sheet
from exercises.sheets.changed_marks import ChangedMark
from exercises.sheets.intake import MOST_ANSWERS, MOST_FILES, MOST_LINES, Source

Bank = Mapping[str, Exercise]
Event = Mapping[str, Any]

MOST_ENTRIES = 60  # kept in full for each exercise of a trainee; all of them count
MOST_REMARKS = 20  # kept of a trainee at one exercise
ELLIPSIS = "…"  # in the place of a file's name: others of the same kind
NO_FILE = "not a file; not read."
MOST_STRANGERS = 10  # files that are no sheets, reported one by one; likewise unknown exercises
LARGEST_NUMBER = 1e12  # no given number of the course is larger
# What lies in an answers folder beside the sheets, and what this program writes itself.
EXPECTED = re.compile(
    r"settings(-[A-Z][A-Z0-9]{1,7})?\.json|class\.toml|roster\.csv|(phrases|signed-in)\.json"
    r"|(in-the-room|notices|asked)(-.*\.tmp|\.json)"
    r"|desk\.json|(settings|changed-marks|overrides)-.*\.tmp|.*\.(lock|head(\.tmp)?)"
    r"|(changed-marks|overrides|closed-findings)\.jsonl|desktop\.ini|thumbs\.db"
    r"|(register|statistics)\.(csv|html)|register-[0-9A-Z-]+\.html"
    r"|(record|typing)(s|-[0-9A-Z-]+)?\.html|statements\.jsonl?|\..*",
    re.IGNORECASE,
)
CHANGED = "the line was changed after it was written"
UNSEEN = "drawn with the class's secret, which is not here: the numbers could not be checked"
NOT_DRAWN = "the numbers do not agree with the draw"
NO_NUMBERS = "the line has no given numbers; marked from those drawn"
NEWER = "later than this course has"
TURN_SKIPPED = "the turns before it are not on the sheet"


@dataclass(frozen=True)
class Trouble:
    """One sentence about a file that was not read, or not all of it."""

    file: str
    text: str

    def __str__(self) -> str:
        return f"{self.file}: {self.text}"


class Attempt(NamedTuple):
    """
    One answer, marked.

    Attributes
    ----------
    given : dict
        The numbers recorded beside the answer, from which it is marked.
    counts : bool
        False for what was not understood and for what came after the worked answer.
    flags : tuple of str
        What an instructor should know before believing it.
    decimal : "." or "," or None
        The sign that the trainee wrote then.
    """

    given: Given
    typed: Mapping[str, str]
    verdict: marking.Verdict
    counts: bool
    flags: tuple[str, ...] = ()
    decimal: str | None = None


class Entry(NamedTuple):
    """One thing that happened at an exercise. `gap`: seconds since the entry before, or None."""

    when: datetime
    gap: float | None
    turn: int
    what: str  # answered, said first, nudged, shown, new numbers, remark
    text: str = ""
    attempt: Attempt | None = None


@dataclass
class Standing:
    """
    Where a trainee stands at one exercise: small, for it is kept for the whole class.

    `first` and `best` are shares from 0 to 1, None where no such answer was given.
    `slips` counts the answers in which each slip was made. `changed` is an instructor's mark
    in the place of the best; the best stays beside it.
    """

    key: str
    first: float | None = None
    best: float | None = None
    answers: int = 0
    not_understood: int = 0
    after_shown: int = 0
    nudges: int = 0
    turns: int = 0
    shown: list[int] = field(default_factory=list)
    skipped: set[int] = field(default_factory=set)  # turns that came without those before them
    slips: Counter[str] = field(default_factory=Counter)
    choice: str = ""
    remarks: list[str] = field(default_factory=list)
    flags: Counter[str] = field(default_factory=Counter)
    begun: datetime | None = None
    last: datetime | None = None
    changed: ChangedMark | None = None

    @property
    def mark(self) -> float | None:
        """The mark that stands: an instructor's where one changed it, else the best."""
        return self.best if self.changed is None else self.changed.mark

    @property
    def open(self) -> bool:
        """Whether the mark that stands is not full, so that a slip made here is not corrected."""
        return (self.mark or 0.0) < 1


@dataclass(frozen=True)
class SheetRead:
    """
    One sheet as it was read, without its lines.

    `how` says what the file was where it is no plain sheet, `answers` counts what was typed and
    checked, `troubles` are sentences, `breaks` line numbers at which something stands that the
    course never writes, `digest` is the SHA-256 of the file as it came.
    """

    file: str
    how: str
    digest: str = ""
    lines: int = 0
    answers: int = 0
    left: int = 0
    closed: bool = False
    troubles: tuple[str, ...] = ()
    breaks: tuple[tuple[int, str], ...] = ()


@dataclass
class Report:
    """All that was found in the sheets of one trainee."""

    trainee: str
    files: list[str]
    sheets: list[SheetRead] = field(default_factory=list)
    kin: set[tuple[int, int]] = field(default_factory=set)  # sheets that share a line: copies
    standings: dict[str, Standing] = field(default_factory=dict)
    entries: dict[str, list[Entry]] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)
    left: int = 0
    begun: datetime | None = None
    last: datetime | None = None
    closed: bool = False  # one of the sheets, at least, ends as a copy handed in
    decimal: str | None = None  # in which this trainee's numbers are printed: the last one known

    happened: Counter[str] = field(default_factory=Counter)
    most: int = MOST_ENTRIES
    words: bool = True  # whether what the verdicts say is wanted
    messages: intake.Messages = field(default_factory=intake.Messages)  # until all are marked
    usable: dict[tuple[str, str], str] = field(default_factory=dict)  # numbers tried already
    drawn: dict[tuple[str, int, str], marking.Worked] = field(default_factory=dict)  # drawn already
    secret: str = ""  # of the class in whose room they were drawn
    attempts: int = 0  # answers that were marked, those not understood among them
    room: Counter[str] = field(default_factory=Counter)  # {day: how many of them with its secret}
    drawn_for: str = ""  # the person whose numbers they are, where the row bears another name

    def leave(self, text: str) -> None:
        """Note a line that is left unmarked."""
        self.messages.add(text)
        self.left += 1

    def more(self, key: str) -> int:
        """Return how many entries were counted and not kept in full."""
        return self.happened[key] - len(self.entries.get(key, ()))


OnEvent = Callable[[Event, Attempt | None], None]


@dataclass
class Found:
    """The sheets in a folder, by trainee, and what else lay there."""

    sheets: dict[str, list[Source]] = field(default_factory=dict)
    troubles: list[Trouble] = field(default_factory=list)
    left: int = 0
    _kinds: Counter[str] = field(default_factory=Counter)

    def leave(self, file: str, text: str) -> None:
        """Note a file that is left unread; of each kind a few are named, the others counted."""
        self.left += 1
        self._kinds[text] += 1
        if self._kinds[text] <= MOST_STRANGERS:
            self.troubles.append(Trouble(file, text))

    def count_the_others(self) -> None:
        """Tell how many of each kind were not named."""
        for text, count in self._kinds.items():
            if (more := count - MOST_STRANGERS) > 0:
                self.troubles.append(Trouble(ELLIPSIS, f"{more} more: {text}"))


def by_code(code: str) -> list[tuple[int, str]]:
    """Return a key that sorts T2 before T10."""
    parts = re.findall(r"[0-9]+|[^0-9]+", code)
    return [(int(part), "") if part.isdigit() else (-1, part) for part in parts]


# Marking -------------------------------------------------------------------------------


def mark(
    trainee: str,
    paths: Iterable[Path | Source],
    *,
    folder: Path,
    row: str = "",
    catalogue: Bank = BANK,
    most: int = MOST_ENTRIES,
    words: bool = True,
    changed: Mapping[str, ChangedMark] | None = None,
    on_event: OnEvent | None = None,
) -> Report:
    """
    Mark the sheets of one trainee; several are merged by time, a line in two counts once.

    `row` is the name under which they stand where two people bear one code; the numbers are drawn
    for `trainee` all the same. At each exercise the first `most` entries are kept in full; all of
    them count. Without `words` the verdicts say nothing, because nobody is to read them. `changed`
    are marks that an instructor changed, by exercise: they stand beside what was marked. `on_event`
    is called with each event at a known exercise and its attempt, None where it is none.

    Never raises for what a file contains, nor for one that cannot be opened: the report's
    `troubles` say so, `left` counts what was not read.
    """
    sources = [path if isinstance(path, Source) else Source(path) for path in paths]
    names = [source.name(folder) for source in sources]
    report = Report(row or trainee, names[:MOST_FILES], most=most, words=words, drawn_for=trainee)
    report.secret = class_file.secret_of(folder, trainee)
    if more := names[MOST_FILES:]:
        report.troubles.append(
            Trouble(more[0], f"more than {MOST_FILES} sheets of {trainee}; {len(more)} not read.")
        )
        report.left += len(more)
    unknown: Counter[str] = Counter()
    for event in _events(sources[:MOST_FILES], report):
        if event["event"] == sheet.HANDED_IN:
            continue  # said where it does not agree with the lines before it
        moment = when(event)
        _note_time(report, moment)
        report.decimal = _sign(event) or report.decimal
        key = event.get("key", "")
        if key in catalogue:
            attempt = _take(report, catalogue[key], event, moment)
            if on_event:
                on_event(event, attempt)
        elif event["event"] == "remark" and not key:
            report.remarks += [event.get("text", "")][: MOST_REMARKS - len(report.remarks)]
        elif event["event"] not in ("signed in", "signed out"):
            unknown[key] += 1
    report.troubles += [Trouble(report.files[0], text) for text in report.messages.sentences()]
    _report_unknown(report, unknown, catalogue)
    _report_flags(report)
    for key, one in (changed or {}).items():
        if key in catalogue:
            report.standings.setdefault(key, Standing(key)).changed = one
        else:
            text = f"a changed mark at the unknown exercise {wording.quoted(key)}; skipped."
            report.troubles.append(Trouble(changed_marks.NAME, text))
            report.left += 1
    return report


def when(event: Event) -> datetime:
    """Return the time of an event in UTC."""
    return intake.moment(event["time"])


def _events(sources: list[Source], report: Report) -> list[dict[str, Any]]:
    """Return the events of all sheets in order, each once, with its sheet and line in "at"."""
    events: list[dict[str, Any]] = []
    for source, name in zip(sources, report.files, strict=True):
        try:
            read = sheet.read(source)
        except OSError as error:
            trouble = f"{intake.why(error)}; not read."
            report.sheets.append(SheetRead(name, source.how, left=1, troubles=(trouble,)))
            report.troubles.append(Trouble(name, trouble))
            report.left += 1
            continue
        for place, (event, number) in enumerate(zip(read.events, read.numbers, strict=True)):
            event["intact"] = place not in read.edited
            event["at"] = len(report.sheets), number
        report.sheets.append(_read_so(read, name, source.how))
        report.troubles += [Trouble(name, text) for text in read.troubles]
        report.left += read.left
        report.closed = report.closed or read.closed
        events += read.events
    once = _once(events, report)
    if twice := len(events) - len(once):
        report.troubles.append(
            Trouble(report.files[-1], f"{_lines(twice)} found twice, counted once.")
        )
    if len(sources) > 1:
        report.troubles.append(
            Trouble(
                report.files[-1],
                f"{len(sources)} sheets of {report.trainee}, merged by time: "
                f"{', '.join(report.files)}.",
            )
        )
        once.sort(key=when)  # one sheet keeps its own order, whatever the clock did
    if (more := len(once) - MOST_LINES - len(sources)) > 0:  # each sheet has a closing line
        text = f"more than {MOST_LINES} lines of {report.trainee}; {_lines(more)} not read."
        report.troubles.append(Trouble(report.files[-1], text))
        report.left += more
        del once[-more:]
    return once


def _read_so(read: sheet.Sheet, name: str, how: str) -> SheetRead:
    answers = sum(event["event"] in ("answered", "said first") for event in read.events)
    return SheetRead(
        name, how, read.digest, len(read.events), answers, read.left, read.closed,
        tuple(read.troubles), tuple(read.breaks),
    )  # fmt: skip


def _once(events: list[dict[str, Any]], report: Report) -> list[dict[str, Any]]:
    """Drop copies. Only a line whose digest agrees can be a copy: an edited one is another."""
    seen: dict[str, int] = {}
    kept = []
    for event in events:
        place = event["at"][0]
        if event["intact"] and event["digest"] in seen:
            if event["event"] not in sheet.NAMELESS:
                report.kin |= {(seen[event["digest"]], place)}
            continue
        seen[event.get("digest", "")] = place
        kept.append(event)
    return kept


def _report_unknown(report: Report, unknown: Counter[str], catalogue: Bank) -> None:
    for key, count in unknown.most_common(MOST_STRANGERS):
        near = difflib.get_close_matches(key[:80], catalogue, n=3, cutoff=0.4)
        near_it = f" Near it: {', '.join(near)}." if near else ""
        text = f"{_lines(count)} of an unknown exercise {wording.quoted(key)}; skipped."
        report.troubles.append(Trouble(report.files[0], text + near_it))
    if (more := len(unknown) - MOST_STRANGERS) > 0:
        report.troubles.append(Trouble(report.files[0], f"{more} more unknown exercises; skipped."))
    report.left += unknown.total()


def _report_flags(report: Report) -> None:
    """Say where turns skip and where answers came without numbers: the course writes neither."""
    for flag in (NO_NUMBERS, TURN_SKIPPED):
        where = {key: s.flags[flag] for key, s in report.standings.items() if s.flags[flag]}
        if where:
            count = sum(where.values())
            answers = "1 answer" if count == 1 else f"{count} answers"
            keys = ", ".join(list(where)[:3]) + (" …" if len(where) > 3 else "")
            report.troubles.append(Trouble(report.files[0], f"{answers}, {keys}: {flag}."))


def _lines(count: int) -> str:
    return "1 line" if count == 1 else f"{count} lines"


def _note_time(report: Report, moment: datetime) -> None:
    if report.begun is None or moment < report.begun:
        report.begun = moment
    if report.last is None or moment > report.last:
        report.last = moment


def _take(report: Report, exercise: Exercise, event: Event, moment: datetime) -> Attempt | None:
    """Let one event change the standing at its exercise, and keep it for the pages."""
    if (standing := report.standings.get(exercise.key)) is None:
        standing = report.standings[exercise.key] = Standing(exercise.key)
    turn, what = event.get("turn", 1), event["event"]
    if turn > standing.turns + 1:
        standing.skipped.add(turn)
    standing.turns = max(standing.turns, turn)
    attempt, text = None, ""
    if what in ("answered", "said first"):
        if standing.answers + standing.not_understood + standing.after_shown >= MOST_ANSWERS:
            report.leave(f"{exercise.key}: more than {MOST_ANSWERS} answers; not marked.")
            return None
        try:
            attempt = _attempt(report, exercise, event)
        except ValueError as error:
            report.leave(str(error))
            return None
        _count(standing, exercise, attempt, turn, moment)
        report.attempts += 1
        if event.get("hosted") is True and not {UNSEEN, NOT_DRAWN, CHANGED} & set(attempt.flags):
            report.room[moment.date().isoformat()] += 1
    elif what == "nudged":
        standing.nudges += 1
        text = str(event.get("nudge", ""))
    elif what == "shown":
        standing.shown += [turn] if turn not in standing.shown else []
    elif what == "remark":
        text = event.get("text", "")
        standing.remarks += [text][: MOST_REMARKS - len(standing.remarks)]
    _note(report, exercise.key, moment, (turn, what, text, attempt))
    return attempt


def _note(
    report: Report, key: str, moment: datetime, rest: tuple[int, str, str, Attempt | None]
) -> None:
    report.happened[key] += 1
    entries = report.entries.setdefault(key, [])
    if len(entries) < report.most:
        gap = (moment - entries[-1].when).total_seconds() if entries else None
        entries.append(Entry(moment, gap, *rest))


def _count(
    standing: Standing, exercise: Exercise, attempt: Attempt, turn: int, moment: datetime
) -> None:
    standing.begun = standing.begun or moment
    standing.last = moment
    if attempt.flags:
        standing.flags.update(attempt.flags)
    verdict = attempt.verdict
    if verdict.state == "unread":
        standing.not_understood += 1
        return
    if not attempt.counts:
        standing.after_shown += 1
        return
    standing.answers += 1
    if verdict.slips:
        standing.slips.update(verdict.slips)
    if exercise.marks == 0:
        standing.choice = standing.choice or str(next(iter(verdict.parts.values())).value)
        return
    if turn == 1 and standing.first is None:
        standing.first = verdict.share
    standing.best = max(standing.best or 0.0, verdict.share)


def _attempt(report: Report, exercise: Exercise, event: Event) -> Attempt:
    """
    Mark one answer.

    Raises
    ------
    ValueError
        If the recorded numbers are none of this exercise's.
    """
    turn, decimal = event.get("turn", 1), _sign(event)
    secret = report.secret if event.get("hosted") is True else ""
    worked = _drawn(report, exercise, turn, secret)
    drawn = worked.given
    given = event.get("given") or drawn
    same = given == drawn
    usable = (same and _kinds(given) == _kinds(drawn)) or _usable(given, drawn)
    trouble = "" if usable else "are not this exercise's"
    if trouble := trouble or ("" if same else _tried(report, exercise, given)):
        where = f"{exercise.key}, turn {turn}, {event['time'][:19]}"
        raise ValueError(f"{where}: the recorded numbers {trouble}; skipped.")
    typed = event.get("typed", {})
    verdict = marking.mark(
        exercise,
        given,
        typed,
        decimal=decimal,
        worked=worked if same else None,
        words=report.words,
    )
    standing = report.standings[exercise.key]
    counts = verdict.state != "unread" and turn not in standing.shown
    flags = _flags(exercise, event, given, drawn, secret)
    if turn in standing.skipped:
        flags = (*flags, TURN_SKIPPED)
    return Attempt(given, typed, verdict, counts, flags, decimal)


def _drawn(report: Report, exercise: Exercise, turn: int, secret: str) -> marking.Worked:
    """Return a turn with the numbers drawn for it, once for all answers to them."""
    place = exercise.key, turn, secret
    if place not in report.drawn:
        given = dice.given(exercise, report.drawn_for, turn, secret)
        report.drawn[place] = marking.Worked(exercise, given)
    return report.drawn[place]


def _tried(report: Report, exercise: Exercise, given: Given) -> str:
    """Return why numbers give no answer, once for all lines that have them; nothing if they do."""
    place = exercise.key, json.dumps(given, sort_keys=True)
    if place not in report.usable:
        report.usable[place] = _try(exercise, given)
    return report.usable[place]


def _try(exercise: Exercise, given: Given) -> str:
    """
    Work everything out that the marking needs and the register prints.

    Numbers that the course never draws can raise anything in geodesy and in the libraries below.
    """
    try:
        right = exercise.solve(given)
        exercise.steps(given), exercise.table(given), marking.general_slips(exercise, right)
        for answer in (right, *exercise.wrong(given).values()):
            for part, value in answer.items():
                exercise.part(part).say(value)
        for asked in exercise.asked:
            if asked.kind != "choice" and not math.isfinite(right[asked.name]):
                return f"give no answer ({right[asked.name]})"
    except Exception as error:
        return f"give no answer ({wording.quoted(str(error), 120)})"
    return ""


def _sign(event: Event) -> str | None:
    """Return the decimal sign that an event names, as "signed in" and each answer do."""
    sign = event.get("decimal")
    return sign if sign in (".", ",") else None


def _flags(
    exercise: Exercise, event: Event, given: Given, drawn: Given, secret: str
) -> tuple[str, ...]:
    flags = [] if event["intact"] else [CHANGED]
    edition = event.get("edition")
    if edition != exercise.edition:
        later = isinstance(edition, int) and edition > exercise.edition
        newer = f", {NEWER}" if later else ""
        flags.append(f"of edition {edition}{newer}, marked from its own numbers")
    elif drawn and not event.get("given"):
        flags.append(NO_NUMBERS)
    elif event.get("hosted") is True and not secret:
        flags.append(UNSEEN)
    elif not agrees(exercise, given, drawn):
        flags.append(NOT_DRAWN)
    return tuple(flags)


def agrees(exercise: Exercise, recorded: Given, drawn: Given) -> bool:
    """Return whether two sets of given numbers are the same to a unit of the last printed digit."""
    if recorded == drawn:
        return True
    printed = {p.name: p for p in exercise.printed}
    return recorded.keys() == drawn.keys() and all(
        abs(recorded[name] - value) <= _last_digit(printed[name]) * (1 + 1e-6)
        if name in printed and isinstance(value, float | int)
        else recorded[name] == value
        for name, value in drawn.items()
    )


def _last_digit(printed: Printed) -> float:
    return 10.0**-printed.decimals / (3600 if printed.unit == DMS else 1)


def _kinds(given: Given) -> list[type]:
    return [type(value) for value in given.values()]


def _usable(given: Given, drawn: Given) -> bool:
    """Return whether recorded numbers are of the kind that this exercise draws."""
    if not given.keys() >= drawn.keys():
        return False
    for name, value in drawn.items():
        own = given[name]
        if not (type(own) is type(value) and own == value) and not _of_a_kind(own, value):
            return False
    return True


def _of_a_kind(own: Any, drawn: Any) -> bool:
    return _is_number(own) if _is_number(drawn) else isinstance(own, type(drawn))


def _is_number(value: Any) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and abs(value) < LARGEST_NUMBER
