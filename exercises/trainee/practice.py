"""One trainee at one exercise: the turn, what was answered, nudged and shown. No widgets.

Everything is read from the sheet, so that a kernel restarted or a page reloaded goes on where
it stopped; and everything is kept on the sheet before it is called kept.
"""

import errno
from dataclasses import dataclass, field
from typing import Any

from exercises.question import dice
from exercises.question.marking import Verdict, Worked, mark
from exercises.question.model import Answer, Exercise
from exercises.sheets import intake, private, session, sheet
from exercises.sheets.intake import MOST_ANSWERS

ANSWERS = ("answered", "said first")


@dataclass
class Practice:
    """
    Where a trainee stands with one exercise.

    Attributes
    ----------
    turn : int
        Which set of numbers; 1 at first.
    given : dict
        The numbers of this turn.
    answers : list of events
        Those of this turn, oldest first.
    nudges : int
        How many nudges were shown on this turn.
    closed : bool
        The worked answer was shown: the turn takes no more answers.
    trouble : str
        What is wrong with settings or sheet, and what to do; else nothing.
    answered : int
        How many answers to this exercise are on the sheet, on all turns.
    """

    exercise: Exercise
    settings: session.Settings = field(default_factory=session.Settings)
    turn: int = 1
    given: Answer = field(default_factory=dict)
    answers: list[dict[str, Any]] = field(default_factory=list)
    nudges: int = 0
    closed: bool = False
    trouble: str = ""
    answered: int = 0

    def __post_init__(self) -> None:
        self.refresh()

    @property
    def trainee(self) -> str | None:
        """Return the code of who is signed in."""
        return self.settings.trainee

    @property
    def says_first(self) -> bool:
        """Return whether this is a say-first question: kept, answered, not marked."""
        return self.exercise.marks == 0

    def refresh(self) -> None:
        """Read settings and sheet again."""
        self.settings = session.open()
        self.answers, self.nudges, self.closed, self.turn = [], 0, False, 1
        events, unread = on_sheet(self.settings)
        self.trouble = self.settings.trouble or unread
        self._replay([event for event in events if event.get("key") == self.exercise.key])
        trainee = self.trainee or "T01"  # numbers to look at until somebody signs in
        self.given = dice.given(self.exercise, trainee, self.turn, self.settings.secret)
        self._worked = Worked(self.exercise, self.given)  # once for all answers to these numbers

    def _replay(self, events: list[dict[str, Any]]) -> None:
        self.turn = max((e.get("turn", 1) for e in events), default=1)
        self.answered = sum(e["event"] in ANSWERS for e in events)
        here = [e for e in events if e.get("turn", 1) == self.turn]
        if any(e.get("edition", self.exercise.edition) != self.exercise.edition for e in here):
            self.turn += 1  # begun with another edition of the exercise: its numbers are gone
            return
        if any((e.get("hosted") is True) != bool(self.settings.secret) for e in here):
            self.turn += 1  # begun in the room and now at home, or the other way: other numbers
            return
        self.answers = [{"typed": {}, **e} for e in here if e["event"] in ANSWERS]
        shown = [e.get("nudge", 1) for e in here if e["event"] == "nudged"]
        self.nudges = min(max(shown, default=0), len(self.exercise.nudges))
        self.closed = any(e["event"] == "shown" for e in here)

    def moved(self) -> bool:
        """Return whether somebody else signed in, or the decimal sign changed, elsewhere."""
        now = session.open()
        if session.lost(self.trainee, now):
            return False
        return (now.trainee, now.decimal) != (self.trainee, self.settings.decimal)

    def lost(self) -> str:
        """Return why it can no longer be seen who is signed in, and what to do; else nothing."""
        return session.lost(self.trainee, session.open())

    def mark(self, typed: dict[str, str]) -> Verdict:
        """Mark without keeping."""
        return self._marked(typed, self.settings.decimal)

    def _marked(self, typed: dict[str, str], decimal: str | None, *, words: bool = True) -> Verdict:
        return mark(
            self.exercise, self.given, typed, decimal=decimal, worked=self._worked, words=words
        )

    @property
    def attempts(self) -> int:
        """Return how many answers of this turn count: one that could not be read is none."""
        return sum(
            self._marked(one["typed"], one.get("decimal"), words=False).state != "unread"
            for one in self.answers
        )

    def answer(self, typed: dict[str, str]) -> dict[str, Any]:
        """
        Keep an answer and return its event; the same text twice is kept once.

        Raises
        ------
        OSError
            If it could not be kept.
        """
        typed = {name: text[: sheet.LONGEST_TYPED] for name, text in typed.items()}
        if self.answers and self.answers[-1]["typed"] == typed and self._same_reading():
            return self.answers[-1]
        if self.answered >= MOST_ANSWERS:
            raise OSError(
                errno.EFBIG,
                f"{MOST_ANSWERS} answers to this exercise are kept, and no more are marked",
            )
        event = "said first" if self.says_first else "answered"
        kept = self._keep(event, given=self.given, typed=typed, decimal=self.settings.decimal)
        self.answers.append(kept)
        self.answered += 1
        return kept

    def _same_reading(self) -> bool:
        return self.answers[-1].get("decimal") == self.settings.decimal

    def nudge(self) -> str:
        """Return the next nudge, or the last one again."""
        if self.nudges < len(self.exercise.nudges):
            self._keep("nudged", nudge=self.nudges + 1)
            self.nudges += 1
        return self.exercise.nudges[self.nudges - 1]

    def show(self) -> list[str]:
        """Close the turn and return the worked answer, step by step."""
        if not self.closed:
            self._keep("shown")
            self.closed = True
        return self.exercise.steps(self.given)

    def new_numbers(self) -> None:
        """Go to the next turn: always the last plus one, never chosen."""
        self._keep("new numbers", turn=self.turn + 1)
        self.refresh()

    def finish(self) -> dict[str, Any]:
        """Close a form of the concept check: it takes no more answers, and shows nothing yet."""
        return self._keep("finished")

    def remark(self, text: str) -> dict[str, Any]:
        """Keep a remark on this exercise for the instructor."""
        return self._keep("remark", text=text.strip()[: sheet.LONGEST_TYPED])

    def _keep(self, event: str, **more: Any) -> dict[str, Any]:
        path = self.settings.sheet
        if path is None:
            raise OSError("nobody is signed in")
        private.make_folder(session.folder())
        place = {"key": self.exercise.key, "edition": self.exercise.edition, "turn": self.turn}
        room = {"hosted": True} if self.settings.secret else {}  # drawn with the class's secret
        return sheet.append(path, {"event": event, **place, **more, **room})


def on_sheet(settings: session.Settings) -> tuple[list[dict[str, Any]], str]:
    """Return the events on the trainee's sheet, and why they cannot be read or nothing."""
    path = settings.sheet
    if path is None:
        return [], ""
    try:
        return (sheet.read(path).events if path.exists() else []), sheet.cut(path)
    except OSError as error:
        if session.hosted():
            return [], f"{path.name} cannot be read: {error.strerror or error}. Tell your trainer."
        return [], (
            f"{path} cannot be read: {error.strerror or error}. Close the program that holds it, "
            "then open the lesson again."
        )


def clock(event: dict[str, Any]) -> str:
    """Return when an event was kept, on the wall clock here."""
    return intake.moment(event["time"]).astimezone().strftime("%H:%M:%S")
