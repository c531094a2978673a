"""How far one trainee has come: lesson by lesson what is done, what is weak and why, what is next.

Everything is read from the answer sheet, marked again by report.py. Two rules:

A lesson is done when each of its marked exercises was right at least once before its worked answer
was shown, with whichever numbers. An exercise is weak while the last answer to it that counts was
not right, or the worked answer was shown on a turn on which it was not yet right.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from exercises.bank import BANK
from exercises.bank.syllabus import LESSONS
from exercises.question import marking
from exercises.question.model import Exercise
from exercises.sheets import report, session

Bank = Mapping[str, Exercise]

DONE, BEGUN, UNTOUCHED = "done", "begun", "not begun"
FINISHED = "finished"  # the event that closes a form of the concept check
CONCEPT = "concept"  # the topic of the concept check: two forms, before the course and after it
SIGN_IN, REVIEW, HAND_IN, NOTHING = "sign in", "review", "hand in", ""
NEAR, SHOWN, NO_SLIP = "too few figures", "worked answer looked up", "no slip recognised"
MANY = 10**6  # entries: all that a sheet can hold
HABIT = 2  # times a slip is made before it is called a habit


@dataclass(frozen=True)
class Weak:
    """A weak exercise; `why` names what happened since it was last right, the commonest first."""

    exercise: Exercise
    why: tuple[str, ...]


@dataclass(frozen=True)
class Lesson:
    """
    Where a trainee stands in one lesson.

    Attributes
    ----------
    marked, right, tried : int
        Marked exercises; those right at least once in a way that counts; those tried besides.
    questions, kept : int
        Say-first questions; those answered.
    last : datetime or None
        When something was last done in it.
    """

    topic: str
    marked: int = 0
    right: int = 0
    tried: int = 0
    questions: int = 0
    kept: int = 0
    weak: tuple[Weak, ...] = ()
    last: datetime | None = None

    @property
    def left(self) -> int:
        """Return how many marked exercises were not yet right."""
        return self.marked - self.right

    @property
    def state(self) -> str:
        """Return DONE, BEGUN or UNTOUCHED."""
        if self.marked and not self.left:
            return DONE
        return BEGUN if self.right or self.tried or self.kept else UNTOUCHED

    @property
    def why(self) -> list[str]:
        """Return the names of what went wrong in the weak exercises, the commonest first."""
        times = Counter(name for weak in self.weak for name in weak.why)
        return [name for name, _ in times.most_common()]


@dataclass(frozen=True)
class Form:
    """One form of the concept check: its questions, those answered, and whether it was closed."""

    name: str
    questions: int
    kept: int
    closed: bool

    @property
    def taken(self) -> bool:
        """Return whether it was closed, or every question of it answered."""
        return self.closed or self.kept == self.questions


@dataclass(frozen=True)
class Progress:
    """
    Where a trainee stands in the course.

    Attributes
    ----------
    trainee : str
        "" where nobody is signed in.
    lessons : tuple of Lesson
        In the order in which they are taught.
    forms : tuple of Form
        The concept check's.
    habits : tuple of (name, times)
        Slips made more than once over the whole course, the commonest first.
    answers : int
        Answers that count.
    troubles : tuple of str
        What could not be read of the sheet, a sentence each.
    """

    trainee: str
    lessons: tuple[Lesson, ...]
    forms: tuple[Form, ...] = ()
    habits: tuple[tuple[str, int], ...] = ()
    answers: int = 0
    troubles: tuple[str, ...] = ()

    def of(self, topic: str) -> Lesson:
        """Return the standing in one lesson."""
        return next(lesson for lesson in self.lessons if lesson.topic == topic)

    def among(self, topics: Collection[str]) -> list[Lesson]:
        """Return the lessons of these topics that have marked exercises."""
        return [lesson for lesson in self.lessons if lesson.topic in topics and lesson.marked]


# Reading ---------------------------------------------------------------------------------


def marked(settings: session.Settings, catalogue: Bank = BANK) -> report.Report:
    """
    Return the trainee's sheet marked whole; an empty report where there is no sheet.

    Never raises for what the sheet contains, nor for one that cannot be opened.
    """
    path = settings.sheet
    if path is None or not path.exists():
        return report.Report(settings.trainee or "", [])
    return report.mark(
        settings.trainee or "", [path], folder=path.parent, catalogue=catalogue, most=MANY
    )


def of(found: report.Report, catalogue: Bank = BANK) -> Progress:
    """Return the progress that a marked sheet shows."""
    return Progress(
        trainee=found.trainee,
        lessons=tuple(_lesson(topic, found, catalogue) for topic in LESSONS),
        forms=_forms(found, catalogue),
        habits=_habits(found, catalogue),
        answers=sum(standing.answers for standing in found.standings.values()),
        troubles=tuple(trouble.text for trouble in found.troubles),
    )


def _lesson(topic: str, found: report.Report, catalogue: Bank) -> Lesson:
    exercises = [e for e in catalogue.values() if e.topic == topic]
    of_marks = [e for e in exercises if e.marks]
    entries = {e.key: found.entries.get(e.key, []) for e in exercises}
    right = [e for e in of_marks if _was_right(entries[e.key])]
    tried = [e for e in of_marks if e not in right and _was_tried(entries[e.key])]
    weak = [Weak(e, why) for e in of_marks if (why := _why_weak(e, entries[e.key]))]
    questions = [e for e in exercises if not e.marks]
    moments = [entry.when for one in entries.values() for entry in one]
    return Lesson(
        topic=topic,
        marked=len(of_marks),
        right=len(right),
        tried=len(tried),
        questions=len(questions),
        kept=sum(_kept(found, e) for e in questions),
        weak=tuple(weak),
        last=max(moments, default=None),
    )


def counts(entry: report.Entry) -> bool:
    """Return whether an entry is an answer that was understood, before the worked answer."""
    return entry.attempt is not None and entry.attempt.counts


def is_right(entry: report.Entry) -> bool:
    """Return whether an entry is an answer that counts, and right in every part."""
    return entry.attempt is not None and entry.attempt.counts and entry.attempt.verdict.right


def _was_right(entries: Iterable[report.Entry]) -> bool:
    return any(map(is_right, entries))


def _was_tried(entries: Iterable[report.Entry]) -> bool:
    return any(counts(entry) or entry.what == "shown" for entry in entries)


def _kept(found: report.Report, exercise: Exercise) -> bool:
    return exercise.key in found.standings and found.standings[exercise.key].answers > 0


def _why_weak(exercise: Exercise, entries: Iterable[report.Entry]) -> tuple[str, ...]:
    """Return what happened since the exercise was last right; nothing where it is not weak."""
    why: Counter[str] = Counter()
    right_on = 0  # the turn on which it was last right: looking it up there is no weakness
    for entry in entries:
        if is_right(entry):
            why.clear()
            right_on = entry.turn
        elif entry.attempt is not None and entry.attempt.counts:
            why.update(reasons(exercise, entry.attempt.verdict))
        elif entry.what == "shown" and entry.turn != right_on:
            why[SHOWN] += 1
    named = [name for name, _ in why.most_common() if name not in (SHOWN, NO_SLIP)]
    return tuple(named or why)


def reasons(exercise: Exercise, verdict: marking.Verdict) -> list[str]:
    """Return the names of the slips in an answer that was not right, or what else was amiss."""
    if verdict.slips:
        return [marking.slip_name(exercise, slip) for slip in verdict.slips]
    if verdict.state == "method":
        return [verdict.heading]
    return [NEAR if verdict.state == "near" else NO_SLIP]


def _habits(found: report.Report, catalogue: Bank) -> tuple[tuple[str, int], ...]:
    times: Counter[str] = Counter()
    for key, standing in found.standings.items():
        if catalogue[key].marks:
            for slip, count in standing.slips.items():
                times[marking.slip_name(catalogue[key], slip)] += count
    return tuple((name, count) for name, count in times.most_common() if count >= HABIT)


def _forms(found: report.Report, catalogue: Bank) -> tuple[Form, ...]:
    """Return the forms of the concept check, by the last part of their questions' keys."""
    by_form: dict[str, list[Exercise]] = {}
    for exercise in catalogue.values():
        if exercise.topic == CONCEPT:
            by_form.setdefault(exercise.key.rsplit("-", 1)[-1], []).append(exercise)
    return tuple(
        Form(
            name,
            len(questions),
            sum(_kept(found, e) for e in questions),
            any(x.what == FINISHED for e in questions for x in found.entries.get(e.key, ())),
        )
        for name, questions in sorted(by_form.items())
    )


# What next ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class NextStep:
    """What to do next: a sentence, and where: a topic, CONCEPT, REVIEW, SIGN_IN, HAND_IN."""

    words: str
    where: str = NOTHING


@dataclass(frozen=True)
class HandIn:
    """
    The state of the answer file: answers in it, whether it was prepared, how many came since.

    `here` says that it lies on the trainer's computer already, as in a class; `alone` that nobody
    waits for it.
    """

    answers: int = 0
    prepared: bool = False
    since: int = 0
    here: bool = False
    alone: bool = False

    @property
    def complete(self) -> bool:
        """Return whether there is nothing to hand in, or the prepared file holds it."""
        return self.here or self.alone or (self.prepared and not self.since)


def hand_in(settings: session.Settings, found: report.Report) -> HandIn:
    """Return the state of the answer file."""
    alone = settings.name != ""
    moments = [
        entry.when for entries in found.entries.values() for entry in entries if entry.attempt
    ]
    if session.hosted():
        return HandIn(len(moments), here=True)
    try:
        stamp = datetime.fromisoformat(settings.prepared[settings.trainee or ""])
        return HandIn(len(moments), True, sum(moment > stamp for moment in moments), alone=alone)
    except (KeyError, ValueError, TypeError):  # not prepared, or a settings file edited by hand
        return HandIn(len(moments), alone=alone)


def next_step(
    progress: Progress,
    pages: Collection[str],
    *,
    ready: int = 0,
    file: HandIn = HandIn(),
) -> NextStep:
    """
    Return the one thing to do next.

    In this order: sign in, the concept check before anything else, the review where something is
    ready, the lesson begun last, the first one not begun, the concept check again, the hand-in.

    Parameters
    ----------
    pages : collection of str
        The topics whose notebook there is, with CONCEPT and REVIEW where there is one.
    ready : int
        Exercises that the review holds ready now.
    """
    lessons = progress.among(pages)
    return (
        _before(progress, lessons, pages, ready)
        or _in_lessons(lessons)
        or _after(progress, pages, file)
    )


def _before(
    progress: Progress, lessons: list[Lesson], pages: Collection[str], ready: int
) -> NextStep | None:
    if not progress.trainee:
        return NextStep(
            "Type your code above and sign in. Studying alone? Any name will do.", SIGN_IN
        )
    untouched = all(lesson.state == UNTOUCHED for lesson in lessons)
    if CONCEPT in pages and progress.forms and untouched and not _taken(progress):
        return NextStep(
            "Short questions; after the course they show what you have gained.", CONCEPT
        )
    if ready and REVIEW in pages:
        words = f"{_exercises(ready)} {_are(ready)} ready to repeat: review first."
        return NextStep(words, REVIEW)
    return None


def _in_lessons(lessons: list[Lesson]) -> NextStep | None:
    begun = [lesson for lesson in lessons if lesson.state == BEGUN]
    if begun:
        lesson = max(begun, key=_last)
        return NextStep(f"Continue: {_exercises(lesson.left)} left in this lesson.", lesson.topic)
    untouched = [lesson for lesson in lessons if lesson.state == UNTOUCHED]
    return NextStep("Begin this lesson.", untouched[0].topic) if untouched else None


def _after(progress: Progress, pages: Collection[str], file: HandIn) -> NextStep:
    if CONCEPT in pages and _taken(progress) < len(progress.forms):
        return NextStep("All lessons are done: take the concept check again.", CONCEPT)
    if not file.complete:
        return NextStep("Everything is done: prepare your file and hand it in.", HAND_IN)
    return NextStep(
        "You are done. The review keeps what you learnt fresh.",
        REVIEW if REVIEW in pages else NOTHING,
    )


def _taken(progress: Progress) -> int:
    return sum(form.taken for form in progress.forms)


def am_i_done(
    progress: Progress,
    pages: Collection[str],
    file: HandIn = HandIn(),
) -> str:
    """Return the answer to "am I done?" in one sentence."""
    lessons = progress.among(pages)
    if not progress.trainee or not lessons:
        return ""
    done = sum(lesson.state == DONE for lesson in lessons)
    if done < len(lessons):
        right = sum(lesson.right for lesson in lessons)
        marked_ones = sum(lesson.marked for lesson in lessons)
        return (
            f"Not done yet: {done} of {len(lessons)} lessons, "
            f"{right} of {marked_ones} exercises right."
        )
    missing = []
    if CONCEPT in pages and any(not form.taken for form in progress.forms):
        missing.append("the concept check")
    if not file.complete:
        missing.append("handing in your file")
    lessons_done = f"All {len(lessons)} lessons are done"
    if missing:
        return f"{lessons_done}; still to do: {' and '.join(missing)}."
    if file.here or file.alone:
        return f"{lessons_done}: you are done."
    return f"{lessons_done} and your file is prepared with everything in it: you are done."


def troubles(progress: Progress, most: int = 2) -> str:
    """Return what was not read of the sheet, in few words; nothing where all was read."""
    said: Sequence[str] = progress.troubles[:most]
    more = len(progress.troubles) - len(said)
    return " ".join([*said, *([f"And {more} more."] if more else [])])


def _last(lesson: Lesson) -> tuple[bool, datetime]:
    return lesson.last is not None, lesson.last or datetime.min


def _exercises(count: int) -> str:
    return "1 exercise" if count == 1 else f"{count} exercises"


def _are(count: int) -> str:
    return "is" if count == 1 else "are"
