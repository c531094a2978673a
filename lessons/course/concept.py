"""
The concept check's panel: the questions on one page, kept as they are chosen.

Before the course nothing is revealed, so that the form after it stays honest; when the second form
is finished, both are shown with their reasons. What stands where is read from the sheet alone.
"""

import asyncio

import ipywidgets as widgets

from exercises.bank.concept import IDEAS
from exercises.pages.pages import stressed
from exercises.question import dice, wording
from exercises.sheets import session
from exercises.trainee import concept, progress, review
from exercises.trainee.practice import Practice, clock, on_sheet
from lessons.course import coursemap
from lessons.widgets import small
from lessons.widgets.pieces import piece
from lessons.widgets.small import row, soon, text

SETTLE = 0.5  # seconds: arrow keys run through the options, the one they stop at is kept
MOST = len(IDEAS)
TITLES = {concept.BEFORE: "Before the course", concept.AFTER: "After the course"}
HONEST = (
    "Choose what you think now. Where you do not know, say so: a guess helps nobody. No answers "
    "are shown before you have finished the form after the course, and nothing is marked."
)


class FormQuestion(widgets.VBox):
    """One question with its options; `number` carries a tick once its answer is kept."""

    def __init__(self, number, exercise, trainee, chosen, chose):
        self.exercise = exercise
        self.number = number
        given = dice.given(exercise, trainee, 1, session.open().secret)
        texts = {option.key: option.text for option in exercise.asked[0].options}
        self.prompt = text("question")
        # A list, not radio buttons: those of this widget set share no group, so that Tab stops at
        # each of a hundred and an arrow key runs on into the next question.
        self.options = widgets.Select(
            options=[(texts[key], key) for key in concept.ordered(given)],
            value=chosen,
            rows=len(texts),
            tooltip=f"your choice at question {number}",
            layout={"width": "auto", "height": "auto"},
        )
        self.options.add_class("gk-in-choice")
        super().__init__([self.prompt, self.options])
        self.add_class("gk-card")
        self.add_class(f"gk-card-{number}")
        self.options.observe(lambda _: chose(self), "value")
        self.show("kept" if chosen else "")

    def show(self, state):
        """Show the prompt with its number: "kept", "waiting" or nothing yet."""
        self.prompt.value = piece("check.html", "prompt", self.number, self.exercise.prompt, state)


class Check(widgets.VBox):
    """
    Both forms of the trainee who is signed in, one at a time.

    Drive it without a browser: ``panel.cards[0].options.value = "right"``, ``panel.finish()``.
    """

    def __init__(self):
        self.trainee = None
        self.result = None
        self.when = None
        self.cards = []
        self.head, self.message, self.reasons = (
            text(name) for name in ("check-head", "messages", "told")
        )
        self.code = widgets.Text(placeholder="T07", tooltip="your trainee code")
        self.code.add_class("gk-in-code")
        self.code.on_msg(self._submitted)
        sign_in = small.button("sign-in", "Sign in", self._sign_in_soon)
        self.signing = row("step-row", self.code, sign_in)
        self.questions = widgets.VBox()
        self.questions.add_class("gk-cards")
        self.buttons = {
            "finish": small.button("check", "I have finished this form", self._safely(self.finish)),
            "after": small.button(
                "after", "Go to the form after the course", self._safely(self.go)
            ),
            "back": small.button(
                "back", "Back to the form before the course", self._safely(self.back)
            ),
        }
        foot = row("step-row", *self.buttons.values())
        self.screen = small.Screen(self)
        rows = [
            self.screen,
            self.head,
            self.signing,
            self.questions,
            self.reasons,
            foot,
            self.message,
        ]
        super().__init__(rows)
        self.add_class("gk-box")
        self.add_class("gk-concept")
        self.refresh()

    # What the trainee does -------------------------------------------------------------

    def sign_in(self):
        """Sign in under the code typed."""
        session.sign_in(self.code.value)
        self.code.value = ""
        self.refresh()

    def go(self):
        """Turn to the form after the course."""
        self._turn(concept.AFTER)

    def back(self):
        """Turn back to the form before the course; it is open until the other is begun."""
        self._turn(concept.BEFORE)

    def finish(self):
        """Close the form on screen; the second one is then shown together with the first."""
        if self._moved() or self._sat().finished:
            return
        self.keep_waiting()
        if not self._sat().complete:
            self._say("unread", f"Still to answer: {numbers(self._sat().left)}.")
            return
        Practice(self.cards[0].exercise).finish()
        self.refresh()

    def keep(self, card):
        """Keep what is chosen at a question."""
        if card not in self.cards or self._moved():
            return
        try:
            event = Practice(card.exercise).answer({"choice": card.options.value})
        except OSError as error:
            reason = session.writable() or f"{error.strerror or error}. Choose it again."
            self._say("unread", f"Question {card.number} is not kept. {reason}")
            return
        self.waiting.discard(card)
        card.show("kept")
        self._read()
        self.message.value = ""
        self._show_head(f"kept {clock(event)}")
        self._show_buttons()

    def keep_waiting(self):
        """Keep every choice that has not settled yet."""
        for card in list(self.waiting):
            self.keep(card)

    # What it shows ---------------------------------------------------------------------

    def refresh(self):
        """Show everything as it stands on disk: after a restart that is where it stopped."""
        settings = session.open()
        self.trainee = settings.trainee
        self.message.value = self.reasons.value = ""
        self.waiting = set()
        self._read()
        self.when = concept.BEFORE
        if self.result and (self.result.after.chosen or self.result.after.finished):
            self.when = concept.AFTER
        self._draw()
        if trouble := settings.trouble or self.unread or session.writable():
            self._say("unread", trouble)

    def _read(self):
        events, self.unread = on_sheet(session.open())
        self.result = concept.of_events(self.trainee, events) if self.trainee else None

    def _turn(self, when):
        if self._moved():
            return
        self.keep_waiting()
        self.when = when
        self._draw()
        if when == concept.AFTER and not self.result.before.complete:
            self._say(
                "nudge",
                "Your form before the course is not complete. It closes with your first answer "
                "here, and then no gain can be computed.",
            )

    def _sat(self):
        return getattr(self.result, self.when)

    def _draw(self):
        self.signing.layout.display = None if not self.trainee else "none"
        self.cards = []
        if self.trainee and not self._sat().finished:
            chosen = self._sat().chosen
            self.cards = [
                FormQuestion(number, exercise, self.trainee, chosen.get(idea.key), self._chose)
                for number, (idea, exercise) in enumerate(
                    zip(IDEAS, concept.questions(self._sat().form), strict=True), 1
                )
            ]
        self.questions.children = self.cards
        self.reasons.value = ""
        if self.trainee and self.result.after.finished:
            self.reasons.value = what_next() + reasons(self.result)
        elif self.trainee and self._sat().finished:
            self.reasons.value = what_next() + piece("check.html", "waits")
        self._show_head()
        self._show_buttons()

    def _show_head(self, kept=""):
        if not self.trainee:
            self.head.value = stressed("**Sign in, and the questions appear.**")
            return
        sat = self._sat()
        state = f"{len(sat.chosen)} of {MOST} answered"
        if sat.finished:
            state = "finished; the answers are below" if self.result.after.finished else "finished"
        elif sat.left and sat.chosen:
            state += f"; left: {numbers(sat.left)}"
        who = f"{self.trainee} · form {sat.form}{' · ' + kept if kept else ''}"
        honest = "" if sat.finished else HONEST
        self.head.value = piece("check.html", "head", TITLES[self.when], state, who, honest)

    def _show_buttons(self):
        shown = {"finish": False, "after": False, "back": False}
        if self.trainee and not self._sat().finished:
            shown["finish"] = True
            shown["back"] = self.when == concept.AFTER and not self.result.before.finished
        if self.trainee and self.when == concept.BEFORE:
            shown["after"] = True
        for name, button in self.buttons.items():
            button.layout.display = None if shown[name] else "none"
        self.buttons["finish"].disabled = not self.trainee or not self._sat().complete

    # Events ----------------------------------------------------------------------------

    def _chose(self, card):
        """Keep a choice once the keys have come to rest."""
        card.show("waiting")
        self.waiting.add(card)
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:  # no page: driven by a test
            self.keep(card)
            return
        value = card.options.value
        loop.call_later(
            SETTLE, lambda: card.options.value == value and self._safely(self.keep)(card)
        )

    def _moved(self):
        """Return True where somebody else signed in since; then show that one's form."""
        now = session.open()
        if lost := session.lost(self.trainee, now):
            self.signing.layout.display = None
            self._say("unread", f"Not kept. {lost} What you chose stays here.")
            return True
        if now.trainee == self.trainee:
            return False
        before = self.trainee
        self.refresh()
        self._say(
            "unread",
            f"You are now {self.trainee or 'signed out'}: somebody signed in from another page "
            f"that showed {before or 'nobody'}. What you chose last was not kept.",
        )
        return True

    def _sign_in_soon(self, _):
        soon(self._safely(self.sign_in))

    def _submitted(self, _, content, __):
        if content.get("event") == "submit":
            self._sign_in_soon(None)

    def _safely(self, act):
        def acted(*arguments):
            try:
                act(*(one for one in arguments if isinstance(one, FormQuestion)))
            except (ValueError, OSError) as error:
                self._say("unread", str(error))

        return acted

    def _say(self, state, sentence):
        self.message.value = piece("box.html", "notice", state, sentence)


def panel():
    """Return the panel of the concept check."""
    return Check()


def numbers(left):
    """
    Return numbers in words, neighbours drawn together.

    >>> numbers([3, 8, 9, 10, 12, 13])
    '3, 8–10, 12, 13'
    """
    runs = []
    for number in left:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs
    )


def what_next():
    """Return the one thing to do next, as the start page says it, with the way there."""
    settings, pages = session.open(), coursemap.pages()
    found = progress.marked(settings)
    ready, file = review.session(found).ready, progress.hand_in(settings, found)
    step = progress.next_step(progress.of(found), pages, ready=ready, file=file)
    return piece("start.html", "next", pages.get(step.where, coursemap.START), step.words)


# What is shown in the end --------------------------------------------------------------


def reasons(result):
    """Return both forms with their reasons: what to go over again first, open; the rest folded."""
    again = [idea for idea in IDEAS if result.after.chosen.get(idea.key) != concept.RIGHT]
    rest = [idea for idea in IDEAS if idea not in again]
    views = ([_idea(result, idea) for idea in ideas] for ideas in (again, rest))
    return piece("check.html", "told", _sum(result), *views)


def _sum(result):
    after = f"**{result.after.right} of {MOST}** right after the course"
    if not result.before.complete:
        return f"{after}. The form before the course was not complete, so no gain can be computed."
    gained = f"{after}, **{result.before.right} of {MOST}** before it"
    change = wording.number(result.gain, 0, signed=True)
    if not result.to_gain:
        return f"{gained}: there was nothing left to gain."
    return f"{gained}: {change}, where {result.to_gain} were left to gain."


def _idea(result, idea):
    held = result.after.holds(idea)
    return {
        "idea": idea,
        "forms": [_one_form(idea, sat, TITLES[when]) for when, sat in _sats(result)],
        "reply": idea.wrong[held].reply if held else "",
    }


def _sats(result):
    return ((concept.BEFORE, result.before), (concept.AFTER, result.after))


def _one_form(idea, sat, title):
    exercise = concept.QUESTIONS[idea.question(sat.form)]
    chosen = sat.chosen.get(idea.key)
    asked = exercise.asked[0]
    state = "right" if chosen == concept.RIGHT else "slip" if chosen else "unread"
    return {
        "title": title,
        "prompt": exercise.prompt,
        "state": state,
        "yours": asked.say(chosen) if chosen else "not answered",
        "right": "" if state == "right" else asked.say("right"),
    }
