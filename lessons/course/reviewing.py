"""The review page's panel: one exercise after the other in the answer box, and what is left."""

import ipywidgets as widgets

from exercises.bank.syllabus import lesson_number
from exercises.sheets import session
from exercises.trainee import progress, review
from lessons.widgets import answer_box, small
from lessons.widgets.pieces import HtmlPiece, piece
from lessons.widgets.small import soon


class Reviewing(widgets.VBox):
    """
    One sitting of the review.

    Drive it without a browser: ``panel.box.entries["east"].value = "0.35"``,
    ``panel.box.check()``, ``panel.next()``.

    Attributes
    ----------
    box : AnswerBox or None
        The exercise on screen; None before the first and after the last.
    left : list of str
        Keys of those that come after it.
    """

    def __init__(self):
        self.head, self.place = HtmlPiece(), widgets.VBox()
        self.code = widgets.Text(placeholder="T07", tooltip="your trainee code")
        self.button = widgets.Button(layout={"width": "auto", "height": "auto"})
        self.button.on_click(lambda _: soon(self.next))
        self.code.on_msg(self._submitted)
        self.box, self.left, self.asked, self.trainee = None, [], [], None
        for widget, name in (
            (self.head, "gk-review-head"),
            (self.place, "gk-review-place"),
            (self.code, "gk-in-code"),
            (self.button, "gk-button"),
        ):
            widget.add_class(name)
        self.button.add_class("gk-next-exercise")
        self.screen = small.Screen(self)
        super().__init__([self.screen, self.head, self.place, self.code, self.button])
        self.add_class("gk-review")
        self.begin()

    def begin(self):
        """Take up what is ready now, or say that nothing is and when something will be."""
        settings = session.open()
        held = review.session(progress.marked(settings))
        self.trainee, self.asked, self.box = settings.trainee, [], None
        self.left = [one.exercise.key for one in held.sitting]
        self.place.children = ()
        self.code.layout.display = "none" if self.trainee else None
        if trouble := settings.trouble or (self.trainee and session.writable()):
            self._say("Not now", trouble, "Look again")
        elif not self.trainee:
            self._say("Nobody is signed in", "Type your code, such as T07.", "Sign in")
        elif not self.left:
            self._say("Nothing to review", review.ready_words(held), "Look again")
        else:
            waiting = held.ready - len(self.left)
            more = f" The other {waiting} wait for the next sitting." if waiting else ""
            count = _exercises(len(self.left))
            words = f"{self.trainee}, {count} in this sitting.{more} The numbers are new."
            self._say(review.ready_words(held), words, "Begin")

    def next(self):
        """Show the next exercise of the sitting; after the last one say how it went."""
        try:
            if not self.trainee and self.code.value:
                session.sign_in(self.code.value)
                self.code.value = ""
                self.begin()
            elif lost := session.lost(self.trainee, session.open()):
                self._say("Not now", lost, "Try again")
            elif session.open().trainee != self.trainee or not (self.left or self.box):
                self.begin()
            elif self.left:
                self._ask(self.left[0])
                self.left.pop(0)
            else:
                self._finish()
        except ValueError as error:
            self._say("Not signed in", str(error), "Sign in")
        except OSError as error:
            self._say("Not kept", f"{error.strerror or error}.", "Try again")

    def _submitted(self, _, content, __):
        if content.get("event") == "submit":
            soon(self.next)

    def _ask(self, key):
        review.open_turn(key)
        self.box = answer_box.ask(key)
        self.asked.append(self.box)
        self.place.children = (self.box,)
        of = len(self.asked) + len(self.left) - 1
        lesson = lesson_number(self.box.exercise.topic)
        left = of - len(self.asked)
        self.head.value = piece("review.html", "count", len(self.asked), of, lesson)
        self.button.description = f"Next exercise, {left} left" if left else "Finish"

    def _finish(self):
        """Say what was right at the first answer, what comes back tomorrow, what was left out."""
        outcomes = [_outcome(box) for box in self.asked]
        parts = [
            f"{outcomes.count(name)} {words}"
            for name, words in (
                ("right", "right at the first answer"),
                ("wrong", "to come back tomorrow"),
                ("left", "not answered, still to repeat"),
            )
            if outcomes.count(name)
        ]
        held = review.session(progress.marked(session.open()))
        self.box, self.place.children = None, ()
        words = f"{'; '.join(parts)}. {review.ready_words(held)}"
        self._say("This sitting is done", words, "Look again")

    def _say(self, heading, words, button):
        self.head.value = piece("box.html", "verdict", "shown", heading, words)
        self.button.description = button


def panel():
    """Return the review page's panel."""
    return Reviewing()


def _outcome(box):
    """Return how an exercise went: right at the first answer that could be read, wrong, or left."""
    practised = box.practice
    states = [practised.mark(event["typed"]).state for event in practised.answers]
    read = [state for state in states if state != "unread"]
    if not read:
        return "wrong" if practised.closed else "left"
    return "right" if read[0] == "right" else "wrong"


def _exercises(count):
    return "1 exercise" if count == 1 else f"{count} exercises"
