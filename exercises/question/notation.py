"""
How the bank writes an exercise: the numbers in Python, the words in the topic's file beside it.

::

    PLUMB = exercise(
        "deflection-plumb-offset",
        draw=draw_pair_and_depth,
        printed=(XI, ETA, Printed("depth", "depth below the winch", "m", 0)),
        asked=(EAST, NORTH),
        solve=lambda g: seabed_offset(g.xi, g.eta, g.depth),
        slips={"opposite": also("sign", turned()), "swapped": also("swapped", exchanged())},
    )

What all share has a default. The words are found by the key, in the file named by its topic.
"""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from exercises.question import worked
from exercises.question.model import (
    Answer,
    Asked,
    Exercise,
    Given,
    Method,
    Option,
    Printed,
    Slip,
)
from exercises.question.variation import Numbers, Solve, Variation, answer, variation
from exercises.question.words import Words, load

BANK = Path(__file__).resolve().parents[1] / "bank"


def words_of(key: str) -> Words:
    """
    Return the words of an exercise.

    Raises
    ------
    ValueError
        Where its topic's file has no section of that key.
    """
    path = BANK / f"{topic_of(key)}.ini"
    words = load(path)
    if key not in words:
        raise ValueError(f"{path.name} has no section [{key}].")
    return words[key]


def topic_of(key: str) -> str:
    """Return the topic of a key, which begins with it."""
    return key.partition("-")[0]


def exercise(
    key: str,
    *,
    draw: Callable[[Any], Answer],
    printed: Sequence[Printed],
    asked: Sequence[Asked],
    solve: Solve,
    slips: Mapping[str, Variation | Callable[[Any], Any]],
    elements: Sequence[str],
    methods: Mapping[str, Variation | Callable[[Any], Any]] | None = None,
    work: Callable[[Any], Mapping[str, Any]] | None = None,
    carry: Callable[[Any, Any], Any] | None = None,
    steps: Callable[[Any], list[str]] | None = None,
    edition: int = 1,
    aids: str = "calculator",
    **more: Any,
) -> Exercise:
    """
    Build an exercise with numbers from its solution, its slips and its words.

    Parameters
    ----------
    solve : callable
        ``solve(g, …) -> numbers``: one number, numbers in the order of the parts, or a dict. Its
        further keywords are what a slip may do otherwise (`variation.using`).
    slips : {key: route}
        Each a variation of `solve` or a function of the given numbers, in the order in which they
        are tried.
    methods : {key: route}, optional
        Other methods that are no slips and lead elsewhere, written as slips are; one that earns
        the mark stands in `variation.counted`.
    work : callable, optional
        ``work(g) -> dict``: further numbers for the lines of the worked answer.
    steps : callable, optional
        ``steps(g) -> lines``, where no lines of text can say the worked answer.
    more
        The rarer fields of `Exercise`: pairs, marks, draws_with, reason, earned.
    """
    words = words_of(key)
    words.check_slips(slips)
    words.check("method", methods or {}, words.methods)
    words.check_replies("slip")
    words.check_lines(
        needed=() if steps else ("step",),
        spare=[*(["step"] if steps else []), *([] if words.right else ["because", "wrong"])],
    )
    parts = [part.name for part in asked]
    years = {row.name for row in printed if row.kind == "year"}

    def solved(given: Given) -> Answer:
        return answer(solve(Numbers(given)), parts)

    def worked_answer(given: Given) -> list[str]:
        extra = work(Numbers(given)) if work else {}
        return worked.lines(words.steps, {**given, **solved(given), **extra}, asked, years)

    return Exercise(
        key=key,
        topic=topic_of(key),
        title=words["title"],
        edition=edition,
        elements=tuple(elements),
        aids=aids,
        prompt=words["prompt"],
        draw=draw,
        printed=tuple(printed),
        asked=tuple(asked),
        solve=solved,
        slips=tuple(_slip(words, name, route, solve, parts) for name, route in slips.items()),
        methods=tuple(
            _method(words, name, route, solve, parts) for name, route in (methods or {}).items()
        ),
        nudges=words.nudges,
        steps=(lambda given: steps(Numbers(given))) if steps else worked_answer,
        source=words["source"],
        carry=_carried(carry, parts) if carry else None,
        remark_right=words.get("remark"),
        **more,
    )


def _slip(words: Words, key: str, route: Any, solve: Solve, parts: Sequence[str]) -> Slip:
    name, reply = words.slips[key]
    way = variation(route)
    return Slip(key, name, way.bound(solve, parts), reply, way.also, way.partwise)


def _method(words: Words, key: str, route: Any, solve: Solve, parts: Sequence[str]) -> Method:
    name, reply = words.methods[key]
    way = variation(route)
    return Method(key, name, way.bound(solve, parts), reply, way.counts)


def _carried(carry: Callable[[Any, Any], Any], parts: Sequence[str]) -> Callable[..., Answer]:
    return lambda given, own: answer(carry(Numbers(given), Numbers(own)), parts)


def choice(
    key: str,
    *,
    elements: Sequence[str],
    edition: int = 1,
    marks: int = 1,
    words: Words | None = None,
    **more: Any,
) -> Exercise:
    """
    Build a question of one choice from its words; each wrong option is a slip with its reply.

    The words are those of the key's own section unless others are given.
    """
    words = words or words_of(key)
    words.check_lines(needed=("right", "wrong"), spare=("slip", "step", "remark"))
    words.check_replies("wrong")
    right, *others = words.right
    if others:
        raise ValueError(f"{words.where}: [{key}] has more than one line 'right'.")
    texts = {**words.right, **{name: text for name, (text, _) in words.wrong.items()}}
    options = tuple(Option(name, text) for name, text in texts.items())

    def draw(dice: Any) -> Answer:
        return {"order": dice.shuffled([option.key for option in options])}

    def to(option: str) -> Callable[[Given], Answer]:
        return lambda given: {"choice": option}

    return Exercise(
        key=key,
        topic=topic_of(key),
        title=words["title"],
        edition=edition,
        elements=tuple(elements),
        aids="calculator",
        prompt=words["prompt"],
        draw=draw,
        printed=(),
        asked=(Asked("choice", "Your choice", "choice", options=options),),
        solve=to(right),
        slips=tuple(Slip(k, text, to(k), reply) for k, (text, reply) in words.wrong.items()),
        nudges=words.nudges,
        steps=lambda given: [f"**{texts[right]}**", words["because"]],
        source=words["source"],
        marks=marks,
        remark_right=words["because"],
        **more,
    )
