"""
Worked answers: lines of text in which a trainee's own numbers are set.

In braces stands a number's name and how it is written::

    {depth:.1f}  {xi:+.2f}    for reading: thin spaces in thousands, a true minus; but an epoch,
    {length:n1}  {dh:+n2}     and what else is a year, without the space: 2026.5
    {product:.6e}             with its power of ten: 6.567938 × 10⁻⁵
    {lat:dms2}  {lat:dms2 latitude}    degrees, minutes, seconds; with its letter
    {east:say}                a part of the answer as the course says it: unit, direction
    {away:3 m north}          decimals, unit and which way is positive: 0.885 m south, no sign
    {offset:size}             a length in the unit that reads best
    {xi:north|south}          one of two words: for a number above zero, or for the others
    {abs xi:.1f}  {-N:+.2f}   the size of a number; a number with its sign turned

The names are those of the given numbers, of the answer, and of what the exercise's `work` adds.
"""

import re
import string
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

from exercises.question import wording
from exercises.question.model import Asked
from exercises.question.words import Step


def lines(
    steps: Sequence[Step],
    values: Mapping[str, Any],
    asked: Sequence[Asked],
    years: Collection[str] = (),
) -> list[str]:
    """Return the worked answer with these values; a step with a condition where it holds."""
    writer = _Writer({part.name: part for part in asked}, years)
    return [writer.vformat(step.text, (), values) for step in steps if _holds(step.when, values)]


def _holds(condition: str, values: Mapping[str, Any]) -> bool:
    name = condition.removeprefix("not ")
    return not name or bool(values[name]) != condition.startswith("not ")


class _Writer(string.Formatter):
    """Writes a line: Python's own formatter with the course's few ways of writing added."""

    def __init__(self, parts: Mapping[str, Asked], years: Collection[str]) -> None:
        self._parts, self._years = parts, years

    def get_field(self, field_name: str, args: Any, kwargs: Any) -> Any:
        name = field_name.removeprefix("abs ").removeprefix("-")
        value = kwargs[name]
        if field_name.startswith("abs "):
            value = abs(value)
        elif field_name.startswith("-"):
            value = -value
        return _Named(name, value), name

    def format_field(self, value: Any, format_spec: str) -> str:
        name, number = value.name, value.value
        if "|" in format_spec:
            above, other = format_spec.split("|")
            return above if number > 0 else other
        if format_spec == "say":
            return self._parts[name].say(number)
        if name in self._years or name.endswith("epoch"):
            return format(number, format_spec)
        for pattern, write in _WAYS.items():
            if match := re.fullmatch(pattern, format_spec):
                return write(number, match)
        return format(number, format_spec)


class _Named:
    """A value on its way through the formatter, which drops the names."""

    def __init__(self, name: str, value: Any) -> None:
        self.name, self.value = name, value


_WAYS: dict[str, Callable[[Any, re.Match[str]], str]] = {
    r"(\+?)n(\d+)|(\+?)\.(\d+)f": lambda value, m: wording.number(
        value, int(m[2] or m[4]), signed=bool(m[1] or m[3])
    ),
    r"\.(\d+)e": lambda value, m: wording.powers(value, int(m[1])),
    r"dms(\d+) ?(\w*)": lambda value, m: wording.dms(value, int(m[1]), m[2] or "angle"),
    r"(\d+) (\S+) (.+)": lambda value, m: wording.directed(value, int(m[1]), m[2], m[3]),
    r"size": lambda value, m: wording.size(value),
}
