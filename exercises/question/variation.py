"""
Slips as variations of the solving function: the same solution, with one thing done wrong.

A slip is written as what differs from the right way. Each of these makes a route, that is a
function of the given numbers::

    turned()                     every part with its sign turned; turned("xi"): that part alone
    exchanged()                  the two parts in each other's place; exchanged("dh", "dH")
    using(radius=6_378_000)      solved with another constant, or with a switch of the solution
    misread(lat=lambda g: g.lon) solved as if another number had been given
    times(0.5), plus(2)          the right answer, then this; a number or a function of the given
    then(math.degrees)           the right answer, then any function, part by part
    reworked(lambda a: -a.east)  any function of the right answer as a whole
    only("east", using(…))       of a route, the parts that it touches
    also("sign", route)          this slip is the general one of that name: one mistake, one name
    partwise(route)              a slip that may be made in one part alone
    counted(route)               no slip but another method, and one that earns the mark

Where nothing of these fits, a plain function of the given numbers is a route as well. A function
may return one number where one part is asked, numbers in the order of the parts, or a dict.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from exercises.question.model import Answer, Given

Solve = Callable[..., Any]


class Numbers(dict[str, Any]):
    """The given numbers of one draw; ``g.depth`` is ``g["depth"]``."""

    __slots__ = ()  # nothing else is kept, and the numbers are found sooner

    def __getattr__(self, name: str) -> Any:
        """Return the number of that name."""
        try:
            return self[name]
        except KeyError:
            raise AttributeError(
                f"no number {name!r} is given here, but {', '.join(self)}"
            ) from None


@dataclass(frozen=True)
class Variation:
    """A slip before it is bound: `walk(solve, given, parts)` gives the parts it touches."""

    walk: Callable[[Solve, Numbers, Sequence[str]], Any]
    also: tuple[str, ...] = ()
    partwise: bool = False
    counts: bool = False

    def bound(self, solve: Solve, parts: Sequence[str]) -> Callable[[Given], Answer]:
        """Return the route of this variation of a solution that answers these parts."""
        return lambda given: answer(self.walk(solve, Numbers(given), parts), parts)


def answer(result: Any, parts: Sequence[str]) -> Answer:
    """Return what a function gave as {part: value}: a dict, numbers in order, or one number."""
    if isinstance(result, Mapping):
        return dict(result)
    if isinstance(result, tuple | list):
        return dict(zip(parts, result, strict=True))
    return {parts[0]: result}


def turned(*names: str) -> Variation:
    """Return the right answer with its sign turned, in these parts or in all."""
    return _after(lambda value, g: -value, names)


def times(factor: Any, *names: str) -> Variation:
    """Return the right answer multiplied, in these parts or in all."""
    return _after(lambda value, g: value * _at(factor, g), names)


def plus(term: Any, *names: str) -> Variation:
    """Return the right answer with something added, in these parts or in all."""
    return _after(lambda value, g: value + _at(term, g), names)


def then(act: Callable[[Any], Any], *names: str) -> Variation:
    """Return a function of the right answer, in these parts or in all."""
    return _after(lambda value, g: act(value), names)


def reworked(act: Callable[[Numbers], Any]) -> Variation:
    """Return a function of the right answer as a whole: ``a.east``, ``a.north``."""
    return Variation(lambda solve, g, parts: act(Numbers(answer(solve(g), parts))))


def exchanged(*names: str) -> Variation:
    """Return two parts in each other's place; without names the only two."""

    def walk(solve: Solve, g: Numbers, parts: Sequence[str]) -> Answer:
        one, other = names or parts
        right = answer(solve(g), parts)
        return {one: right[other], other: right[one]}

    return Variation(walk)


def using(*parts_of: str, **switches: Any) -> Variation:
    """Return the answer of the solving function called with these keywords."""
    return only(*parts_of, Variation(lambda solve, g, parts: solve(g, **switches)))


def misread(*parts_of: str, **numbers: Any) -> Variation:
    """Return the answer to other numbers than those given; each a value or a function."""

    def walk(solve: Solve, g: Numbers, parts: Sequence[str]) -> Any:
        return solve(Numbers({**g, **{name: _at(value, g) for name, value in numbers.items()}}))

    return only(*parts_of, Variation(walk))


def only(*names_and_route: Any) -> Variation:
    """Return a route with these parts alone: ``only("east", route)``."""
    *names, route = names_and_route
    inner = variation(route)
    if not names:
        return inner

    def walk(solve: Solve, g: Numbers, parts: Sequence[str]) -> Answer:
        result = answer(inner.walk(solve, g, parts), parts)
        return {name: result[name] for name in names}

    return replace(inner, walk=walk)


def also(*names_and_route: Any) -> Variation:
    """Return a route that is the general slip of that name: ``also("sign", turned())``."""
    *names, route = names_and_route
    return replace(variation(route), also=tuple(names))


def partwise(route: Any) -> Variation:
    """Return a route that may be gone in one part alone: a line missed on a sheet of many."""
    return replace(variation(route), partwise=True)


def counted(route: Any) -> Variation:
    """Return the route of another method that earns the mark."""
    return replace(variation(route), counts=True)


def variation(route: Any) -> Variation:
    """Return a plain function of the given numbers as a variation; one that is one stays."""
    if isinstance(route, Variation):
        return route
    return Variation(lambda solve, g, parts: route(g))


def _at(value: Any, g: Numbers) -> Any:
    return value(g) if callable(value) else value


def _after(act: Callable[[Any, Numbers], Any], names: Sequence[str]) -> Variation:
    def walk(solve: Solve, g: Numbers, parts: Sequence[str]) -> Answer:
        right = answer(solve(g), parts)
        return {name: act(right[name], g) for name in names or right}

    return Variation(walk)
