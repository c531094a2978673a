"""The answer box of a lesson: the widget side of practice.py.

What is typed stays on screen whatever happens; what is kept says so only when it is on disk.
"""

import weakref
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets
from markupsafe import Markup

from exercises import find
from exercises.pages.pages import stressed
from exercises.question import wording
from exercises.question.marking import Part, Verdict
from exercises.question.model import Asked
from exercises.sheets import intake, session, sheet
from exercises.trainee import practice
from exercises.trainer import room
from lessons.widgets import small
from lessons.widgets.pieces import FOLLOWERS, follow_sign, piece, sign
from lessons.widgets.small import row, soon, text

BOXES: "weakref.WeakSet[AnswerBox]" = weakref.WeakSet()  # of this lesson: signed in together
LONG = 40  # letters of a given row that stays in one line
SETTLE = 0.5  # seconds: arrow keys run through the choices, the one they stop at is kept
NOW = "Now move the figure. Then press **Tell me**."
MARKS = {"method": "another method", "unread": "not understood"}


def ask(key: str) -> "AnswerBox":
    """Return the answer box of the exercise of that key."""
    return AnswerBox(key)


class AnswerBox(widgets.VBox):
    """
    One exercise with its numbers, entries, buttons, verdict and what became of the answer.

    Drive it without a browser: ``box.entries["east"].value = "0.35"``, ``box.check()``.
    """

    def __init__(self, key: str) -> None:
        self.practice = practice.Practice(find(key))
        self.exercise = self.practice.exercise
        self.verdict: Verdict | None = None
        self._hand = small.Settling(SETTLE, lambda: self._safely(self._raise_hand))
        self.head, self.prompt, self.table = (text(name) for name in ("head", "prompt", "given"))
        self.messages, self.kept = text("messages"), text("kept")
        self.marks = {asked.name: text("mark") for asked in self.exercise.asked}
        self.entries = {asked.name: self._entry(asked) for asked in self.exercise.asked}
        super().__init__(self._rows())
        self.add_class("gk-box")
        self.add_class(f"gk-box-{key}")
        BOXES.add(self)
        FOLLOWERS.add(self)
        self._safely(self._begin)

    # Building ------------------------------------------------------------------------

    def _entry(self, asked: Asked) -> Any:
        if asked.kind == "choice":
            entry = widgets.RadioButtons(options=[], layout={"width": "auto"})
        else:
            entry = widgets.Text(tooltip=f"{asked.label}, {asked.sign_words}")
            entry.on_msg(self._submitted)
        entry.add_class("gk-entry-field")
        entry.add_class(f"gk-in-{asked.name}")
        entry.observe(self._changed, "value")
        return entry

    def _rows(self) -> list[widgets.Widget]:
        self.signing_in = self._sign_in_row()
        choice = self.exercise.asked[0].kind == "choice"
        entries = [
            row("entry", text("label", asked.label), self.entries[asked.name])
            if not choice
            else self.entries[asked.name]
            for asked in self.exercise.asked
        ]
        for asked, line in zip(self.exercise.asked, entries, strict=True):
            if not choice:
                line.children += (
                    text("unit", asked.sign_words),
                    self.marks[asked.name],
                )
        self.buttons = {
            name: self._button(name, label, act) for name, label, act in self._actions()
        }
        columns = widgets.VBox(entries)
        columns.add_class("gk-entries")
        if not choice:
            columns.add_class("gk-entry-rows")
        middle = columns if choice else row("columns", self.table, columns)
        self.choices, self.room_rows = columns, self._room_rows()
        return [
            self.head,
            self.signing_in,
            self.prompt,
            middle,
            self.room_rows,
            row("buttons", *self.buttons.values()),
            self.messages,
            row("foot", self.kept, *self._remark_row()),
        ]

    def _actions(self) -> list[tuple[str, str, Callable[[], None]]]:
        if self.practice.says_first:
            return [("check", "Keep my answer", self.check), ("show", "Tell me", self.show)]
        return [
            ("check", "Check", self.check),
            ("nudge", "Nudge", self.nudge),
            ("show", "Show the worked answer", self.show),
            ("new", "Take new numbers", self.new_numbers),
        ]

    def _button(self, name: str, label: str, act: Callable[[], None]) -> widgets.Button:
        return small.button(name, label, lambda _: self._soon(act))

    def _sign_in_row(self) -> widgets.HBox:
        self.code = widgets.Text(placeholder="T07", tooltip="your trainee code")
        self.code.add_class("gk-in-code")
        self.code.on_msg(self._code_submitted)
        sign_in = self._button("sign-in", "Sign in", self.sign_in)
        point = self._button("point", "I write 12.5", lambda: self.choose_decimal("."))
        comma = self._button("comma", "I write 12,5", lambda: self.choose_decimal(","))
        self.code_part = row("signing", text("label", "Your code"), self.code, sign_in)
        self.decimal_part = row("signing", text("label", "Your decimal sign"), point, comma)
        return row("settings", self.code_part, self.decimal_part)

    def _room_rows(self) -> widgets.VBox:
        """Return the rows in which a trainer counts hands; shown to the code ROOM alone."""
        self.counted: room.Hands | None = None
        options = self.exercise.asked[0].options if self.practice.says_first else ()
        self.hands = {option.key: self._number(option.text) for option in options}
        self.people = self._number("people in the room")
        rows = widgets.VBox([])
        rows.add_class("gk-hands")
        return rows

    def _number(self, meaning: str) -> widgets.Text:
        number = widgets.Text(tooltip=f"hands: {meaning}", layout={"width": "4em"})
        number.add_class("gk-hand-count")
        number.observe(self._changed, "value")
        number.on_msg(self._submitted)
        return number

    def _remark_row(self) -> list[widgets.Widget]:
        self.remark_text = widgets.Text(
            placeholder="what you think is wrong here", tooltip="your remark"
        )
        self.remark_text.add_class("gk-in-remark")
        self.remark_text.layout.display = "none"
        self.remark_button = self._button("remark", "Leave a remark", self.remark)
        return [self.remark_text, self.remark_button]

    # What the trainee does ------------------------------------------------------------

    def check(self) -> None:
        """Keep what is typed, mark it, say which slip it was."""
        typed = self._typed()
        if self._stopped():
            return
        if self._in_a_room():
            self.count_hands()
            return
        if not any(text.strip() for text in typed.values()):
            self._say("unread", "Nothing is typed yet", "Type your answer, then press Check.")
            return
        try:
            event = self.practice.answer(typed)
        except OSError as error:  # who could try without leaving a trace would learn the answer
            self._say("unread", "Not marked", "It could not be kept; only what is kept is marked.")
            self._not_kept(error)
            return
        self._judge(self.practice.mark(typed))
        self._is_kept(event)
        self._state()

    def count_hands(self) -> None:
        """Keep the hands of a room and show them as bars; after "Tell me" a new round begins."""
        typed = {key: number.value for key, number in self.hands.items()}
        try:
            hands = room.read(self.exercise, typed, self.people.value)
        except ValueError as error:
            self._say("unread", "Not kept", str(error))
            return
        if self.practice.closed:
            self.practice.new_numbers()
        event = room.keep(self.exercise, hands, self.practice.turn)
        self._begin()
        self._is_kept(event)

    def nudge(self) -> None:
        """Show the next nudge, below the verdict that stands."""
        if self._stopped():
            return
        words = stressed(self.practice.nudge())
        number = f"Nudge {self.practice.nudges} of {len(self.exercise.nudges)}"
        self.messages.value = self._standing() + _message("nudge", number, words)

    def show(self) -> None:
        """Show the worked answer; the turn is closed with it."""
        if self._stopped():
            return
        if self._in_a_room() and not self.counted:
            self._say("unread", "Say first", "Count the hands first; then the answer is shown.")
            return
        if self.practice.says_first and not self.practice.answers and not self._in_a_room():
            self._say(
                "unread", "Say first", "Choose an answer and keep it first; then press again."
            )
            return
        self.practice.show()
        self._show_again()
        self._state()

    def new_numbers(self) -> None:
        """Take the next set of numbers."""
        if self._stopped():
            return
        self.practice.new_numbers()
        self._begin()

    def remark(self) -> None:
        """Open the line for a remark; keep it when something is written there."""
        hidden = self.remark_text.layout.display == "none"
        if hidden:
            self.remark_text.layout.display = None
            self.remark_button.description = "Keep the remark"
            return
        text = self.remark_text.value
        if text.strip():
            if self._stopped():
                return
            event = self.practice.remark(text)
            self.kept.value = _kept(f"your remark is kept {practice.clock(event)}")
        self.remark_text.value, self.remark_text.layout.display = "", "none"
        self.remark_button.description = "Leave a remark"

    def sign_in(self) -> None:
        """Sign in from within the box."""
        try:
            session.sign_in(self.code.value)
        except ValueError as error:
            self._say("unread", "Not signed in", str(error))
            return
        for box in list(BOXES):
            box._begin_again()
        follow_sign()

    def choose_decimal(self, sign: str) -> None:
        """Keep the decimal sign and leave everything that is typed as it stands."""
        session.choose_decimal(sign)
        follow_sign()

    def follow_sign(self) -> None:
        """Go on in the decimal sign that is chosen now."""
        self.practice.settings = session.open()
        chosen = {asked.name: self.entries[asked.name].value or "" for asked in self.exercise.asked}
        self._options()
        for asked in self.exercise.asked:
            if asked.kind == "choice":
                self._put(self.entries[asked.name], chosen[asked.name])
        self._state()

    # What it shows ---------------------------------------------------------------------

    def _begin(self) -> None:
        """Show the exercise as the sheet has it: after a restart that is where it stopped."""
        self.practice.refresh()
        self.verdict = None
        self.prompt.value = piece("box.html", "prompt", self.exercise.prompt)
        rows = self.exercise.table(self.practice.given)
        self.table.value = piece("given.html", "given", rows)
        long = any(len(text) > LONG for _, text in rows)
        (self.table.add_class if long else self.table.remove_class)("gk-given-long")
        self._options()
        last = self.practice.answers[-1] if self.practice.answers else None
        for name, entry in self.entries.items():
            self._put(entry, last["typed"].get(name, "") if last else "")
        self._unmarked()
        self.messages.value = self.kept.value = ""
        if self._in_a_room():
            last = None  # a room has hands, no answer
            self._show_hands()
        if last and not self.practice.says_first:
            self._judge(self.practice.mark(last["typed"]))
        if last:
            self._is_kept(last)
        if self.practice.closed:
            self._show_again()
        if trouble := self.practice.trouble or session.writable():
            self.kept.value = _kept(trouble, "not-kept")
        self._state()

    def _begin_again(self) -> None:
        """Begin for whoever is signed in now; what was typed stays, or is named to another."""
        before, typed = self.practice.trainee, self._typed()
        self._begin()
        if before in (None, self.practice.trainee):
            self._put_back(typed)
        elif words := self._words_of(typed):
            self.messages.value += _message("nudge", f"Typed by {before}", words)

    def _typed(self) -> dict[str, str]:
        return {name: entry.value or "" for name, entry in self.entries.items()}

    def _put_back(self, typed: dict[str, str]) -> None:
        """Put back what was typed and stands nowhere else."""
        if self.practice.closed or typed == self._typed() or not any(typed.values()):
            return
        for name, entry in self.entries.items():
            self._put(entry, typed[name])
        self._changed(None)

    def _words_of(self, typed: dict[str, str]) -> str:
        """Return what was typed and is kept on no sheet, in words; nothing where it is blank."""
        words = [
            f"{asked.label}: {wording.quoted(asked.say(text) if asked.kind == 'choice' else text)}"
            for asked in self.exercise.asked
            if (text := typed[asked.name]).strip()
        ]
        return ", ".join(words)

    def _in_a_room(self) -> bool:
        return self.practice.says_first and self.practice.trainee == sheet.ROOM

    def _show_hands(self) -> None:
        """Lay out the room's rows in the order of its choices, with the hands last counted."""
        self.counted = hands = room.last(self.exercise, self.practice.turn)
        texts = {option.key: option.text for option in self.exercise.asked[0].options}
        order = self.practice.given.get("order", list(texts))
        self.room_rows.children = [
            row("hand", self.hands[key], text("label", texts[key])) for key in order
        ] + [row("hand", self.people, text("label", stressed("**people in the room**")))]
        for key, number in [*self.hands.items(), ("", self.people)]:
            count = hands and (hands.counts[key] if key else hands.people)
            self._put(number, "" if count is None else str(count))
        if hands:
            bars = room.bars(self.exercise, hands, self.practice.given, revealed=False)
            self.messages.value = bars + _message("nudge", "Kept", stressed(NOW))
            self.kept.value = _kept(f"kept {practice.clock({'time': hands.time})}")

    def _options(self) -> None:
        for asked in self.exercise.asked:
            if asked.kind == "choice":
                texts = {option.key: option.text for option in asked.options}
                order = self.practice.given.get("order", list(texts))
                entry = self.entries[asked.name]
                entry.unobserve(self._changed, "value")
                entry.options = [(wording.in_sign(texts[key], sign()), key) for key in order]
                entry.value = None
                entry.observe(self._changed, "value")

    def _put(self, entry: Any, text: str) -> None:
        entry.unobserve(self._changed, "value")
        if isinstance(entry, widgets.RadioButtons):
            known = [key for _, key in entry.options]
            entry.value = text if text in known else None
        else:
            entry.value = intake.whole(text)
        entry.observe(self._changed, "value")

    def _state(self) -> None:
        """Show who, which turn, which answer; and what can be pressed now."""
        practised = self.practice
        who = practised.trainee or "not signed in"
        unread = self.verdict is not None and self.verdict.state == "unread"  # counts as none
        attempts = 0 if unread else practised.attempts
        count = f" · answer {attempts}" if attempts else ""
        turn = "" if practised.says_first else f" · turn {practised.turn}{count}"
        title, key = self.exercise.title, self.exercise.key
        self.head.value = piece("box.html", "head", title, key, f"{who}{turn}")
        missing = not practised.trainee
        undecided = practised.settings.decimal is None and bool(self.exercise.printed)
        self.code_part.layout.display = None if missing else "none"
        self.decimal_part.layout.display = None if undecided and not missing else "none"
        self.signing_in.layout.display = None if missing or undecided else "none"
        for name, button in self.buttons.items():
            button.disabled = missing or (practised.closed and name != "new")
        for entry in self.entries.values():  # what is typed after that could not be kept
            entry.disabled = practised.closed
        answered = self.counted if self._in_a_room() else practised.answered
        small.dressed(self, "gk-answered", bool(answered))
        self._room_state()

    def _room_state(self) -> None:
        """Show hands to be counted in a room, choices to everybody else."""
        if not self.practice.says_first:
            self.room_rows.layout.display = "none"
            return
        inside = self._in_a_room()
        self.choices.layout.display = "none" if inside else None
        self.room_rows.layout.display = None if inside else "none"
        self.buttons["check"].description = "Count the hands" if inside else "Keep my answer"
        if inside:
            self.buttons["check"].disabled = False

    def _judge(self, verdict: Verdict) -> None:
        self.verdict = verdict
        if self.practice.says_first and not self.practice.closed:
            self.messages.value = _message("nudge", "Kept", stressed(NOW))
            return
        self.messages.value = _verdict(verdict)
        for name, part in verdict.parts.items():
            self.marks[name].value = _part_mark(part) if len(self.entries) > 1 else ""

    def _standing(self) -> Markup:
        """Return the verdict that stands."""
        return _verdict(self.verdict) if self.verdict else Markup()

    def _worked(self) -> Markup:
        return piece("box.html", "worked", self.exercise.steps(self.practice.given))

    def _show_again(self) -> None:
        if self._in_a_room():
            if self.counted:
                given = self.practice.given
                bars = room.bars(self.exercise, self.counted, given, revealed=True)
                self.messages.value = bars + self._worked()
            return
        if self.practice.says_first:
            verdict = self.practice.mark(self.practice.answers[-1]["typed"])
            heading = "Right" if verdict.right else "Not this one"
            steps = Markup() if verdict.right else self._worked()
            state = "right" if verdict.right else "slip"
            self.messages.value = _message(state, heading, stressed(verdict.sentence)) + steps
            return
        self.messages.value = self._standing() + self._worked()

    def _unmarked(self) -> None:
        for mark in self.marks.values():
            mark.value = ""

    def _say(self, state: str, heading: str, sentence: str) -> None:
        self.verdict = None
        self._unmarked()
        self.messages.value = _message(state, heading, sentence)

    def _is_kept(self, event: dict[str, Any]) -> None:
        path = self.practice.settings.sheet
        self.kept.value = _kept(f"kept {practice.clock(event)} in {path.name if path else ''}")

    def _not_kept(self, error: OSError) -> None:
        reason = session.writable() or f"{error.strerror or error}. Press Check again."
        self.kept.value = _kept(f"Not kept. {reason} What you typed stays here.", "not-kept")

    # Events ----------------------------------------------------------------------------

    def _changed(self, change: Any) -> None:
        """Say that what is on screen is not what is kept, and take its marks off."""
        self._unmarked()
        self.kept.value = _kept("not kept yet", "waiting")
        if self.practice.says_first and session.hosted():
            self._hand.begin()

    def _raise_hand(self) -> None:
        """In a class a choice that is pressed is a hand, and kept at once."""
        if self.entries["choice"].value and not self.practice.closed:
            self.check()

    def _submitted(self, _: Any, content: dict[str, Any], __: Any) -> None:
        if content.get("event") == "submit" and not self.buttons["check"].disabled:
            self._soon(self.check)

    def _code_submitted(self, _: Any, content: dict[str, Any], __: Any) -> None:
        if content.get("event") == "submit":
            self._soon(self.sign_in)

    def _soon(self, act: Callable[[], None]) -> None:
        soon(lambda: self._safely(act))

    def _safely(self, act: Callable[[], None]) -> None:
        try:
            act()
        except OSError as error:
            self._not_kept(error)
        except Exception as error:
            self._say(
                "unread",
                "This did not work",
                f"{type(error).__name__}: {error}. What you typed stays here; it is not kept. "
                "Open the lesson again; what was kept before is safe.",
            )

    def _stopped(self) -> bool:
        """Return True where this box shows another trainee than the one who is signed in now."""
        if lost := self.practice.lost():
            self.signing_in.layout.display = self.code_part.layout.display = None
            self._say("unread", "Not kept", f"{lost} What you typed stays here.")
            return True
        if not self.practice.moved():
            return False
        before, typed = self.practice.trainee, self._typed()
        self._begin()
        follow_sign()
        if self.practice.trainee == before:
            self._put_back(typed)
            return False  # only the decimal sign changed: go on with it
        words = self._words_of(typed)
        had = f" Here stood {words}." if words else ""
        self._say(
            "unread",
            f"You are now {self.practice.trainee or 'signed out'}",
            f"Somebody signed in from another lesson; this box showed {before or 'nobody'}'s "
            f"numbers. These are yours. Nothing was kept.{had}",
        )
        return True


def _kept(text: str, state: str = "kept") -> Markup:
    return piece("box.html", "kept", state, text)


def _message(state: str, heading: str, words: str) -> Markup:
    return piece("box.html", "verdict", state, heading, words)


def _verdict(verdict: Verdict) -> Markup:
    return _message(verdict.state, verdict.heading, stressed(verdict.sentence))


def _part_mark(part: Part) -> Markup | str:
    if part.state == "unmarked":
        return ""
    return piece("box.html", "part", part.state, MARKS.get(part.state, part.state))
