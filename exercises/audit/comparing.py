"""The same lines on the sheets of two people."""

from collections import defaultdict
from collections.abc import Iterator

from exercises.audit.findings import Finding, evidence, places
from exercises.audit.traces import Trace

FEWEST = 2  # lines: one alone can be a coincidence of two clocks that count whole seconds


def copied(traces: list[Trace]) -> Iterator[Finding]:
    """
    Give whose lines stand on another's sheet, too: the same to the moment and to the letter.

    Numbers tell whose they are: where they were drawn for one of the two, the finding is the
    other's alone.
    """
    owner: dict[int, int] = {}
    shared: dict[tuple[int, int], list[int]] = defaultdict(list)
    for place, trace in enumerate(traces):
        for mark in trace.prints:
            if (first := owner.setdefault(mark, place)) != place:
                shared[first, place].append(mark)
    for (first, second), marks in shared.items():
        if len(marks) < FEWEST:
            continue
        one, other = traces[first], traces[second]
        wrong_one, wrong_other = (len(one.undrawn & set(marks)), len(other.undrawn & set(marks)))
        if wrong_one >= wrong_other:
            yield _copied(one, other, marks)
        if wrong_other >= wrong_one:
            yield _copied(other, one, marks)


def _copied(whose: Trace, beside: Trace, marks: list[int]) -> Finding:
    theirs = places(beside.files, [beside.prints[mark] for mark in marks])
    text = (
        f"{len(marks)} lines are those of {beside.row}, the same to the moment and to the letter "
        f"({'; '.join(theirs)})."
    )
    where = places(whose.files, [whose.prints[mark] for mark in marks])
    return Finding("copied", whose.row, text, where, evidence(map(str, marks)))
