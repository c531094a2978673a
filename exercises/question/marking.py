"""Right, which slip, near, or wrong: the marking of one answer. No widgets, no state."""

import itertools
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple

from exercises.question import reading, wording
from exercises.question.model import DMS, Answer, Asked, Exercise, Given, Method, Slip

NEAR = 3.0  # tolerances
ROUNDING = 1e-9  # of the tolerance: 0.35 - 0.33 is a little more than 0.02 in binary
ARCSECONDS = {"″": 1.0, "′": 60.0, "°": 3600.0, "rad": 3600 * 180 / math.pi}
UNIT_NAMES = {"″": "arcseconds", "′": "arcminutes", "°": "degrees", "rad": "radians"}

# The slips of unit, sign and order: {key: (name, reply)}.
GENERAL = {
    **{
        f"unit-{name}": (
            f"Given in {name}",
            f"The number is right if it is read in {name}: check the unit the question asks for.",
        )
        for name in UNIT_NAMES.values()
    },
    "thousand": (
        "A factor of a thousand",
        "The digits are right, but the size is off by a thousand: check mm, m and km.",
    ),
    "feet": (
        "Feet, not metres",
        "The number is right in feet of 0.3048 m. Work in metres throughout.",
    ),
    "hemisphere": (
        "The other hemisphere",
        "The size is right, but the hemisphere is not: check N and S, E and W.",
    ),
    "sign": (
        "The sign is reversed",
        "The size is right but the sign is reversed: check which direction is positive.",
    ),
    "swapped": (
        "The two parts swapped",
        "This is the value of the other part: the two are swapped.",
    ),
}


class General(NamedTuple):
    """A slip of unit, sign or order, recognised in every exercise where it applies."""

    key: str  # of GENERAL, where its name and reply stand
    value: float
    window: float  # how far a typed number may stand from `value`


class Part(NamedTuple):
    """How one asked part came out: right, follows, method, slip, near, wrong, or unread."""

    state: str
    value: Any = None
    slip: str = ""
    sentence: str = ""
    method: str = ""

    @property
    def counts(self) -> bool:
        """Return whether it earns its share: right, or right from the trainee's own part."""
        return self.state in ("right", "follows")


class Verdict(NamedTuple):
    """
    The marking of one answer.

    Attributes
    ----------
    right : bool
        Every part is right.
    share : float
        Parts that count over parts asked, 0 … 1.
    slips : tuple of str
        Keys of the slips recognised, the weightiest first.
    sentence : str
        One to three sentences for the trainee.
    parts : dict
        {asked: Part}
    state : str
        right, slip, near, wrong or unread; an unread answer is no attempt.
    heading : str
        Under six words.
    """

    right: bool
    share: float
    slips: tuple[str, ...]
    sentence: str
    parts: Mapping[str, Part]
    state: str
    heading: str


class Worked:
    """An exercise worked once for all answers to one set of numbers; a route when it is tried."""

    def __init__(self, exercise: Exercise, given: Given) -> None:
        self.exercise, self.given = exercise, given
        self._right: Answer | None = None
        self._routes: dict[int, Answer] = {}

    @property
    def right(self) -> Answer:
        """Return the right answer."""
        if self._right is None:
            self._right = self.exercise.solve(self.given)
        return self._right

    @cached_property
    def generals(self) -> dict[str, list[General]]:
        """Return the slips of unit, sign and order."""
        return general_slips(self.exercise, self.right)

    def route(self, known: Slip | Method) -> Answer:
        """Return the numbers of one of the exercise's slips or methods."""
        if id(known) not in self._routes:
            self._routes[id(known)] = known.route(self.given)
        return self._routes[id(known)]


def mark(
    exercise: Exercise,
    given: Given,
    typed: Mapping[str, str],
    *,
    decimal: str | None = None,
    each_part: bool = False,
    worked: Worked | None = None,
    words: bool = True,
) -> Verdict:
    """
    Mark what was typed.

    Parameters
    ----------
    given : dict
        The numbers the trainee was given (dice.given).
    typed : {asked: text}
        Verbatim.
    decimal : "." or ",", optional
        The decimal sign the trainee has chosen; without one "12,345" stays unread.
    each_part : bool
        On a closed paper, where nobody can be asked again: mark the parts that could be read, the
        others earn nothing. In a lesson an answer with an unread part is not marked at all.
    worked : Worked, optional
        What was worked of this exercise with these numbers for an answer before.
    words : bool
        Whether somebody reads what is said. Without, heading and sentences may be empty; all else
        is the same and takes less time.

    Returns
    -------
    Verdict
        Its words are in the trainee's decimal sign.
    """
    worked = worked or Worked(exercise, given)
    verdict = _marked(worked, typed, decimal, each_part=each_part, words=words)
    if decimal != "," or not words:
        return verdict  # as it was written
    parts = {
        name: part._replace(sentence=wording.in_sign(part.sentence, decimal))
        for name, part in verdict.parts.items()
    }
    heading, sentence = (wording.in_sign(t, decimal) for t in (verdict.heading, verdict.sentence))
    return verdict._replace(heading=heading, sentence=sentence, parts=parts)


def _marked(
    worked: Worked, typed: Mapping[str, str], decimal: str | None, *, each_part: bool, words: bool
) -> Verdict:
    exercise, given = worked.exercise, worked.given
    values, unread = _read(exercise, typed, decimal)
    if unread and not (each_part and values):
        return _unread(exercise, typed, unread)
    values |= dict.fromkeys(unread, math.nan)  # agrees with no number
    right = worked.right
    parts = {name: Part("right", values[name]) for name in values}
    wrong = [a for a in exercise.asked if not _within(a, values[a.name], right[a.name])]
    if exercise.carry and wrong:
        wrong = _carried(exercise, given, values, wrong, parts)
    parts |= {name: Part("unread", sentence=sentence) for name, sentence in unread.items()}
    wrong = [asked for asked in wrong if asked.name not in unread]
    if not wrong:
        return _verdict(exercise, given, parts, words=words)
    carried = [name for name, part in parts.items() if part.state == "follows"]
    _explain(_Case(exercise, worked, right, values, wrong, carried, words), parts)
    return _verdict(exercise, given, parts, words=words)


def difference(asked: Asked, a: Any, b: Any) -> float:
    """Return how far apart two answers to a part stand, in its unit; azimuths round the circle."""
    if asked.kind == "choice":
        return 0.0 if a == b else math.inf
    if asked.kind in ("azimuth", "longitude") and asked.unit in ("°", DMS):
        return abs(math.remainder(a - b, 360))
    return abs(a - b)


def general_slips(exercise: Exercise, right: Answer) -> dict[str, list[General]]:
    """
    Return the slips of unit, sign and order that apply to each part: {asked: [General]}.

    One that a named slip already is (Slip.also) does not apply, nor one whose number
    would be lost within the tolerance of zero; none where the exercise gives its own reasons.
    """
    if exercise.reason:
        return {}
    taken = {key for slip in exercise.slips for key in slip.also}
    found: dict[str, list[General]] = {}
    for asked in exercise.asked:
        if asked.kind == "choice":
            continue
        candidates = [*_units(asked, right[asked.name]), *_signs(asked, right[asked.name])]
        candidates += _swaps(exercise, asked, right)
        found[asked.name] = [
            general
            for general in candidates
            if not taken & {general.key, f"{general.key} {asked.name}"}
            and abs(general.value) > NEAR * general.window
        ]
    return found


def _read(
    exercise: Exercise, typed: Mapping[str, str], decimal: str | None
) -> tuple[Answer, dict[str, str]]:
    values, unread = {}, {}
    for asked in exercise.asked:
        try:
            values[asked.name] = reading.read(asked, typed.get(asked.name, ""), decimal)
        except ValueError as error:
            unread[asked.name] = str(error)
    return values, unread


def _within(asked: Asked, a: Any, b: Any, tolerances: float = 1.0) -> bool:
    return difference(asked, a, b) <= asked.tolerance * (tolerances + ROUNDING)


def _carried(
    exercise: Exercise, given: Given, values: Answer, wrong: list[Asked], parts: dict[str, Part]
) -> list[Asked]:
    """Give later parts that follow from the trainee's own earlier ones; return what is left."""
    assert exercise.carry is not None
    own = exercise.carry(given, values)
    left = []
    for asked in wrong:
        if asked.name in own and _within(asked, values[asked.name], own[asked.name]):
            parts[asked.name] = Part("follows", values[asked.name])
        else:
            left.append(asked)
    return left


@dataclass
class _Case:
    """One answer under the lamp: what is right, what came, which parts need a reason."""

    exercise: Exercise
    worked: Worked
    right: Answer
    values: Answer
    wrong: list[Asked]
    carried: list[str]
    words: bool
    open: list[str] = field(init=False)

    def __post_init__(self) -> None:
        self.open = [asked.name for asked in self.wrong]

    def hits(self, answer: Answer) -> list[str]:
        """Return the open parts whose typed value is this answer's."""
        return [
            asked.name
            for asked in self.wrong
            if asked.name in self.open
            and asked.name in answer
            and _within(asked, self.values[asked.name], answer[asked.name])
        ]

    def weight(self, answer: Answer) -> tuple[bool, int]:
        """Return what sorts a route: one that fits every part first, then by most hits."""
        return not self.fits(answer), -len(self.hits(answer))

    def fits(self, answer: Answer) -> bool:
        """Return whether every part of this answer was typed; one that follows is not asked."""
        return all(
            _within(self.exercise.part(name), self.values[name], value)
            for name, value in answer.items()
            if name not in self.carried
        )


def _explain(case: _Case, parts: dict[str, Part]) -> None:
    """
    Find a reason for each wrong part: another method, a named slip, a general slip, near.

    Another method or a named slip is recognised only where every part that it touches agrees.
    """
    for method in case.exercise.methods:
        _recognise(case, parts, method, case.worked.route(method))
    for slip in _slips_that_hit(case):
        _recognise(case, parts, slip, case.worked.route(slip))
    for asked in [a for a in case.wrong if a.name in case.open]:
        parts[asked.name] = _unnamed(case, asked, case.worked.generals.get(asked.name, []))


def _slips_that_hit(case: _Case) -> list[Slip]:
    """Return the slips with the number of an open part, the weightiest first."""
    hit = (slip for slip in case.exercise.slips if case.hits(case.worked.route(slip)))
    if len(case.exercise.asked) == 1:
        return list(itertools.islice(hit, 1))  # it explains all that there is
    return sorted(hit, key=lambda slip: case.weight(case.worked.route(slip)))


def _recognise(case: _Case, parts: dict[str, Part], known: Slip | Method, route: Answer) -> None:
    """
    Explain the open parts by a route, if it fits every part that it touches.

    One that may be made in one part alone, as a turned sign may, is recognised there.
    """
    hits = case.hits(route)
    one_part = isinstance(known, Slip) and (known.partwise or bool(known.also))
    if not hits or not (case.fits(route) or one_part):
        return
    reply = _reply(case, known, hits) if case.words else ""
    for name in hits:
        value = case.values[name]
        if isinstance(known, Method):
            state = "right" if known.counts else "method"
            parts[name] = Part(state, value, sentence=reply, method=known.name)
        else:
            parts[name] = Part("slip", value, known.key, reply)
        case.open.remove(name)


def _reply(case: _Case, known: Slip | Method, names: list[str]) -> str:
    """Say the slip or the method once, with the numbers of all parts that it explains."""
    parts = [case.exercise.part(name) for name in names]
    values = [part.say(case.values[part.name]) for part in parts]
    apart = [
        part.say_size(difference(part, case.values[part.name], case.right[part.name]))
        for part in parts
        if part.kind != "choice"
    ]
    return known.reply.replace("{value}", _listed(values)).replace("{difference}", _listed(apart))


def _listed(words: list[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def _unnamed(case: _Case, asked: Asked, generals: Iterable[General]) -> Part:
    value = case.values[asked.name]
    for general in generals:
        if difference(asked, value, general.value) <= general.window * (1 + ROUNDING):
            return Part("slip", value, general.key, GENERAL[general.key][1])
    if asked.kind != "count" and _within(asked, value, case.right[asked.name], NEAR):
        return Part("near", value)
    if case.exercise.reason:
        slip, sentence = case.exercise.reason(case.worked.given, asked.name, value)
        return Part("slip" if slip else "wrong", value, slip, sentence)
    return Part("wrong", value)


def _units(asked: Asked, right: float) -> list[General]:
    """Return the unit slips: another angle unit, thousands, feet."""
    factors: list[tuple[str, float]] = []
    if asked.kind in reading.WHOLE_ANGLES and asked.unit == "°":
        factors.append(("unit-radians", math.pi / 180))  # in seconds it would be off the circle
    elif asked.unit in ARCSECONDS:
        here = ARCSECONDS[asked.unit]
        factors += [
            (f"unit-{name}", here / ARCSECONDS[unit])
            for unit, name in UNIT_NAMES.items()
            if unit != asked.unit
        ]
    if asked.unit == "m":
        factors += [("thousand", 1000.0), ("thousand", 0.001)]
        factors += [("feet", 1 / 0.3048), ("feet", 0.3048)]
    if asked.unit == "mm":
        factors.append(("thousand", 0.001))
    return [
        General(key, right * factor, _window(asked, right * factor, factor))
        for key, factor in factors
    ]


def _window(asked: Asked, value: float, factor: float) -> float:
    """
    Return how near a number in another unit must be to be known for it.

    Read in that unit it must be right: 0.0116° for 41.6″ carries more decimals than asked, and
    351 mm fewer than 0.35 m. It may also be rounded as asked, where something is left of it. A
    foot and a metre are too alike to widen anything.
    """
    rounding = 0.5 * 10.0**-asked.decimals
    window = asked.tolerance * (factor if factor < 1 or factor > 50 else 1.0)
    return max(window, rounding) if abs(value) > 6 * rounding else window


def _signs(asked: Asked, right: float) -> list[General]:
    """Return the turned sign; an azimuth and a count have none to turn."""
    if asked.kind in ("latitude", "longitude"):
        return [General("hemisphere", -right, asked.tolerance)]
    if asked.kind in ("azimuth", "count"):
        return []
    return [General("sign", -right, asked.tolerance)]


def _swaps(exercise: Exercise, asked: Asked, right: Answer) -> list[General]:
    return [
        General("swapped", right[other], asked.tolerance)
        for pair in exercise.pairs
        for here, other in (pair, pair[::-1])
        if asked.name == here
    ]


def _unread(exercise: Exercise, typed: Mapping[str, str], unread: Mapping[str, str]) -> Verdict:
    """Say what was not understood, and mark nothing: half a marking would give parts away."""
    parts = {
        a.name: Part("unread", sentence=unread[a.name]) if a.name in unread else Part("unmarked")
        for a in exercise.asked
    }
    typed_first = [name for name in unread if typed.get(name, "").strip()]
    first = typed_first[0] if typed_first else next(iter(unread))
    text = typed.get(first, "")
    heading = (
        f"I could not read {wording.quoted(text, 16)}" if text.strip() else "A part is missing"
    )
    label = f"{exercise.part(first).label}: " if len(exercise.asked) > 1 else ""
    sentence = f"{label}{unread[first]} This does not count as an answer."
    return Verdict(False, 0.0, (), sentence, parts, "unread", heading)


def _verdict(exercise: Exercise, given: Given, parts: dict[str, Part], *, words: bool) -> Verdict:
    slips = tuple(dict.fromkeys(part.slip for part in parts.values() if part.slip))
    share = sum(part.counts for part in parts.values()) / len(parts)
    if exercise.earned:
        share = exercise.earned(given, parts)
    states = {part.state for part in parts.values()}
    state = next((s for s in ("slip", "method", "near", "wrong", "unread") if s in states), "right")
    right = states == {"right"}
    if not words:
        return Verdict(right, share, slips, "", parts, state, "")
    methods = [part.method for part in parts.values() if part.state == "method"]
    heading = {
        "right": "Right",
        "near": "Near: carry more figures",
        "wrong": "Not this number",
        "unread": "A part could not be read",
        "method": f"Another method: {methods[0]}" if methods else "",
    }.get(state) or slip_name(exercise, slips[0])
    sentence = _sentence(exercise, parts, right)
    return Verdict(right, share, slips, sentence, parts, state, heading)


def slip_name(exercise: Exercise, key: str) -> str:
    """Return the name of a slip of this exercise, named or general."""
    named = next((slip.name for slip in exercise.slips if slip.key == key), "")
    return named or GENERAL.get(key, (key, ""))[0]


_PLAIN: dict[str, Callable[[Asked, Part], str]] = {
    "right": lambda asked, part: (
        f"{asked.say(part.value)}: right."
        if asked.kind == "count"
        else f"{asked.say(part.value)}: right within {asked.within}."
    ),
    "follows": lambda asked, part: (
        f"{asked.say(part.value)} follows correctly from your earlier part, and counts."
    ),
    "near": lambda asked, part: (
        f"{asked.say(part.value)} is close, but not within {asked.within}: keep more "
        "figures until the end."
    ),
    "wrong": lambda asked, part: f"{asked.say(part.value)} is not it.",
}
_LOOK_AGAIN = (
    "No slip known to the course leads there. Check the formula, then the signs, then the units."
)


def _sentence(exercise: Exercise, parts: Mapping[str, Part], right: bool) -> str:
    """Say each reason once; what is right is only said where all of it is."""
    said_already = any(part.sentence for part in parts.values())
    if right and exercise.remark_right and not said_already:
        return exercise.remark_right
    reasons: dict[str, list[str]] = {}
    for asked in exercise.asked:
        part = parts[asked.name]
        if part.state == "right" and not right:
            continue
        reason = part.sentence or _PLAIN[part.state](asked, part)
        reasons.setdefault(reason, []).append(asked.label)
    said = [
        (f"{_listed(labels)}: " if len(parts) > 1 else "") + reason
        for reason, labels in reasons.items()
    ]
    if any(part.state == "wrong" and not part.sentence for part in parts.values()):
        said.append(_LOOK_AGAIN)
    return " ".join(said)
