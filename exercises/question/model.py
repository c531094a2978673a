"""What an exercise is: what it gives, what it asks, and the wrong routes it knows.

Nothing here draws, reads or marks; those are dice.py, reading.py and marking.py.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from exercises.question import wording

DMS = "° ′ ″"  # the unit of an angle in degrees, minutes and seconds; its value is in degrees
Given = Mapping[str, Any]
Answer = dict[str, Any]


@dataclass(frozen=True)
class Printed:
    """
    One given number as the trainee reads it: a row of the table beside the prompt.

    `text` writes a row that needs several of the numbers; its name then is none of theirs.
    """

    name: str
    label: str
    unit: str = ""
    decimals: int = 0
    signed: bool = False
    kind: str = "number"
    text: Callable[[Given], str] | None = None

    def row(self, given: Given) -> tuple[str, str]:
        """Return label and text."""
        return self.label, self.text(given) if self.text else self.show(given[self.name])

    def show(self, value: Any) -> str:
        """Return the value as printed, with its unit."""
        if isinstance(value, str):
            return value
        if self.kind == "year":  # 2 026.5 would read as a quantity
            return f"{value:.{self.decimals}f}"
        if self.unit == DMS:
            return wording.dms(value, self.decimals, self.kind)
        return wording.number(value, self.decimals, signed=self.signed) + wording.unit(self.unit)


@dataclass(frozen=True)
class Option:
    """One choice. Its key is stable: sheets keep the key, never the place in the list."""

    key: str
    text: str


@dataclass(frozen=True)
class Asked:
    """
    One number (or choice) that is asked for.

    `kind` says how it is read and marked: a latitude, a longitude, an azimuth, an angle, a choice,
    a count (a whole number: the next one is not "near"), or plainly a length, a number …
    `tolerance` is absolute and in `unit`. `positive` is the direction word of the
    positive sign ("east", "north", "up"), which trainees may type instead of a sign.
    """

    name: str
    label: str
    kind: str
    unit: str = ""
    decimals: int = 0
    tolerance: float = 0.0
    positive: str = ""
    options: tuple[Option, ...] = ()

    def show(self, value: Any, decimal: str = ".") -> str:
        """Return the text that a careful trainee types: rounded as asked, a choice's key."""
        if self.kind == "choice":
            return str(value)
        if self.unit == DMS:
            return wording.dms(value, self.decimals, self.kind, decimal)
        text = f"{value:.{self.decimals}f}"
        return (text.lstrip("-") if float(text) == 0 else text).replace(".", decimal)

    def say(self, value: Any, decimal: str = ".") -> str:
        """
        Return the value for reading: thin spaces, unit, and a direction word or a true minus.

        Never both: "−15.76 m west" would be read as east.
        """
        if self.kind == "choice":
            return next((o.text for o in self.options if o.key == value), str(value))
        if self.unit == DMS:
            return wording.dms(value, self.decimals, self.kind, decimal)
        said = wording.directed(value, self.decimals, self.unit, self.positive)
        return wording.in_sign(said, decimal)

    def say_size(self, size: float) -> str:
        """Return the size of a difference in this part: two figures and the unit."""
        if self.unit == DMS:
            return f"{size * 3600:.2g}″"
        return f"{size:.2g}{wording.unit(self.unit)}"

    @property
    def sign_words(self) -> str:
        """What stands behind the entry: the unit and which way is positive."""
        unit = "" if self.unit == "1" else self.unit
        return f"{unit}, {self.positive} +" if self.positive else unit

    @property
    def within(self) -> str:
        """Return the tolerance with its unit; that of an angle in degrees is given in seconds."""
        if self.kind == "count":
            return "±0"
        if self.unit == DMS:
            return f"±{self.tolerance * 3600:g}″"
        return f"±{self.tolerance:g}{wording.unit(self.unit)}"


@dataclass(frozen=True)
class Slip:
    """
    A wrong route that people really take.

    `route` gives the numbers one gets that way, for the parts that it touches.
    `also` names the general slips ("sign", "swapped" ...) that this one *is*, so that
    one mistake does not carry two names; "sign y" is that of the part y alone. `partwise`: it
    may be made in one part alone.
    """

    key: str
    name: str
    route: Callable[[Given], Answer]
    reply: str
    also: tuple[str, ...] = ()
    partwise: bool = False


@dataclass(frozen=True)
class Method:
    """
    Another method that a surveyor may rightly use, where it leads to another number than asked.

    It is recognised and named, never taken for a slip. `counts` says whether it earns the mark;
    the prompt says so too. In `reply`, {value} and {difference} are filled in.
    """

    key: str
    name: str
    route: Callable[[Given], Answer]
    reply: str
    counts: bool = False


@dataclass(frozen=True)
class Exercise:
    """
    One exercise of the bank.

    Attributes
    ----------
    key : str
        Begins with the topic: ``deflection-total``.
    edition : int
        Rises whenever the same trainee and turn would get other numbers.
    elements : tuple of str
        Elements of the published standard of competence that it serves.
    aids : str
        "calculator" or "course tools".
    prompt : str
        Read on paper without the lesson: surface, frame, unit, sign, tolerance.
    draw : callable
        ``draw(dice) -> given``; nothing but the dice decides.
    carry : callable, optional
        ``carry(given, own) -> answer``: the later parts worked from the trainee's own
        earlier ones, so that one slip costs once.
    steps : callable
        ``steps(given) -> list of str``: the worked answer with the trainee's numbers.
    marks : int
        0 for a say-first question: kept, answered, not counted.
    draws_with : str
        Key of the exercise whose numbers this one shares; its own where empty.
    reason : callable, optional
        ``reason(given, name, value) -> (slip, sentence)`` for a part that no route explains, in the
        place of the general slips; the slip is empty where it is only a remark.
    earned : callable, optional
        ``earned(given, {name: part}) -> share`` where parts do not weigh the same.
    methods : tuple of Method
        Other methods that lead elsewhere and are no slips.
    """

    key: str
    topic: str
    title: str
    edition: int
    elements: tuple[str, ...]
    aids: str
    prompt: str
    draw: Callable[[Any], Answer]
    printed: tuple[Printed, ...]
    asked: tuple[Asked, ...]
    solve: Callable[[Given], Answer]
    slips: tuple[Slip, ...]
    nudges: tuple[str, ...]
    steps: Callable[[Given], list[str]]
    source: str
    carry: Callable[[Given, Given], Answer] | None = None
    pairs: tuple[tuple[str, str], ...] = ()
    marks: int = 1
    remark_right: str = field(default="")
    draws_with: str = ""
    reason: Callable[[Given, str, Any], tuple[str, str]] | None = None
    earned: Callable[[Given, Mapping[str, Any]], float] | None = None
    methods: tuple[Method, ...] = ()

    def wrong(self, given: Given) -> dict[str, Answer]:
        """Return the number of each wrong route: {slip: {asked: value}}."""
        return {slip.key: slip.route(given) for slip in self.slips}

    def slip(self, key: str) -> Slip:
        """Return the slip of that key."""
        return next(slip for slip in self.slips if slip.key == key)

    def part(self, name: str) -> Asked:
        """Return the asked part of that name."""
        return self._parts[name]

    @cached_property
    def computed(self) -> bool:
        """Whether it asks for a number that carries a mark."""
        return self.marks > 0 and any(asked.kind != "choice" for asked in self.asked)

    @cached_property
    def _parts(self) -> dict[str, Asked]:
        return {asked.name: asked for asked in self.asked}

    def table(self, given: Given) -> list[tuple[str, str]]:
        """Return the given numbers as (label, text) rows."""
        return [row.row(given) for row in self.printed]


def choice(
    key: str,
    title: str,
    prompt: str,
    right: tuple[str, str],
    wrong: Mapping[str, tuple[str, str]],
    *,
    elements: tuple[str, ...],
    because: str,
    source: str,
    edition: int = 1,
    marks: int = 1,
    nudges: tuple[str, ...] = (),
) -> Exercise:
    """
    Build a question of one choice; each wrong option is a slip with its own reply.

    Parameters
    ----------
    right : (key, text)
    wrong : {key: (text, reply)}
    because : str
        Why the right one is right: the worked answer.
    """
    options = (Option(*right), *(Option(k, text) for k, (text, _) in wrong.items()))

    def draw(dice: Any) -> Answer:
        return {"order": dice.shuffled([option.key for option in options])}

    def route_to(option_key: str) -> Callable[[Given], Answer]:
        return lambda given: {"choice": option_key}

    return Exercise(
        key=key,
        topic=key.split("-", maxsplit=1)[0],
        title=title,
        edition=edition,
        elements=elements,
        aids="calculator",
        prompt=prompt,
        draw=draw,
        printed=(),
        asked=(Asked("choice", "Your choice", "choice", options=options),),
        solve=lambda given: {"choice": right[0]},
        slips=tuple(Slip(k, text, route_to(k), reply) for k, (text, reply) in wrong.items()),
        nudges=nudges,
        steps=lambda given: [f"**{right[1]}**", because],
        source=source,
        marks=marks,
        remark_right=because,
    )
