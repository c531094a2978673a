"""
The concept check: ideas of the course, each asked in two wordings, without arithmetic.

Form A holds the first wording of every idea and form B the second. A wrong option stands for a
wrong idea; it carries the same key and the same reply in both wordings, so that one can see who
held it before the course and who holds it after.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from exercises.bank.syllabus import lesson_number
from exercises.question.model import Exercise
from exercises.question.notation import choice, words_of
from exercises.question.words import Words

FORMS = ("A", "B")
RIGHT = "right"  # the key of the right option of every question
UNSURE = "unsure"  # the key of the option that stands for no idea at all
SHARED = words_of("concept")
SHARED.check("wrong", (UNSURE,), SHARED.wrong)
NOT_YET, HONEST = SHARED.wrong[UNSURE]


@dataclass(frozen=True)
class Wrong:
    """A wrong idea that people hold: its name, and what to say to it."""

    name: str
    reply: str


@dataclass(frozen=True)
class Wording:
    """One way to ask after an idea: what is asked, the right option, {wrong idea: option}."""

    prompt: str
    right: str
    wrong: Mapping[str, str]


@dataclass(frozen=True)
class Idea:
    """One thing to understand, in two wordings. `lesson` is the topic that teaches it."""

    key: str
    lesson: str
    elements: tuple[str, ...]
    words: Words

    @property
    def name(self) -> str:
        """Return the idea in a few words."""
        return self.words["title"]

    @cached_property
    def wrong(self) -> Mapping[str, Wrong]:
        """Return the wrong ideas that people hold in its place."""
        return {key: Wrong(*texts) for key, texts in self.words.wrong.items()}

    @property
    def wordings(self) -> tuple[Wording, ...]:
        """Return its wordings in the order of the forms."""
        return tuple(_wording(self.words, form.lower()) for form in FORMS)

    @property
    def because(self) -> str:
        """Return why the right option is right."""
        return self.words["because"]

    @property
    def number(self) -> str:
        """Return the two digits of its lesson."""
        return lesson_number(self.lesson)

    def question(self, form: str) -> str:
        """Return the key of the question that asks after it in a form."""
        return f"concept-{self.key}-{form.lower()}"


def _wording(words: Words, form: str) -> Wording:
    options = {key: words.options[f"{form} {key}"] for key in words.wrong}
    return Wording(words.prompts[form], words.right[form], options)


def _idea(key: str, lesson: str, *elements: str) -> Idea:
    words = words_of(f"concept-{key}")
    words.check_wordings([form.lower() for form in FORMS])
    return Idea(key, lesson, elements, words)


IDEAS = (
    _idea("flat", "surface", "S-5B E4.1a", "S-5B E4.4b"),
    _idea("excess", "excess", "S-5A F1.6a"),
    _idea("ellipsoid", "ellipsoid", "S-5B E4.1a", "S-5B E4.1b"),
    _idea("latitude", "ellipsoid", "S-5B E4.1a"),
    _idea("second", "ellipsoid", "S-5B E4.1a"),
    _idea("arm", "ecef", "S-5B E3.3a", "S-5B E4.1b"),
    _idea("shortest", "lines", "S-5B E4.1d", "S-5A F1.6a"),
    _idea("opposite", "lines", "S-5A F1.2c", "S-5B E4.1d"),
    _idea("geoid", "geoid", "S-5A F1.1a"),
    _idea("separation", "geoid", "S-5A H5.4a", "S-5B E4.4a"),
    _idea("altitude", "heights", "S-5A H5.4a", "S-5B E4.4a"),
    _idea("zero", "heights", "S-5A H5.4a", "S-5B E3.2c"),
    _idea("tide", "heights", "S-5A H5.4c", "S-5B E3.3a"),
    _idea("plumb", "deflection", "S-5A F1.1a", "S-5A F1.1c"),
    _idea("stars", "deflection", "S-5A F1.1c", "S-5A F1.2d"),
    _idea("mass", "attraction", "S-5A F1.1a", "S-5A F1.1c"),
    _idea("steepest", "attraction", "S-5A F1.1c"),
    _idea("datum", "datums", "S-5A F1.2a", "S-5B E4.1b"),
    _idea("convention", "datums", "S-5A F1.2b", "S-5B E4.1c"),
    _idea("epoch", "motion", "S-5A F1.2a"),
    _idea("length", "grid", "S-5A F1.5a", "S-5B E4.2"),
    _idea("north", "grid", "S-5A F1.5a", "S-5B E4.2"),
)


def _question(idea: Idea, form: str) -> Exercise:
    """Return the question of an idea in a form; its slips are the wrong ideas by their names."""
    wording = idea.wordings[FORMS.index(form)]
    unsure = Wrong(NOT_YET, HONEST.format(because=idea.because))
    wrong = {**idea.wrong, UNSURE: unsure}
    texts = {**wording.wrong, UNSURE: unsure.name}
    words = replace(
        idea.words,
        plain={**idea.words.plain, "prompt": wording.prompt},
        right={RIGHT: wording.right},
        wrong={key: (text, wrong[key].reply) for key, text in texts.items()},
    )
    made = choice(idea.question(form), elements=idea.elements, marks=0, words=words)
    return replace(made, slips=tuple(replace(s, name=wrong[s.key].name) for s in made.slips))


EXERCISES = tuple(_question(idea, form) for idea in IDEAS for form in FORMS)
