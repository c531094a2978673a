"""All findings of a class together, each with its closing."""

from collections.abc import Iterable
from dataclasses import replace

from exercises.audit import comparing, detecting
from exercises.audit.closing import Closings
from exercises.audit.findings import Finding, evidence, in_order
from exercises.audit.traces import Trace
from exercises.sheets.changed_marks import ChangedMarks


def of_class(
    traces: list[Trace],
    changed: ChangedMarks,
    closings: Closings,
    more: Iterable[Finding] = (),
) -> list[Finding]:
    """Return what has to be asked about in a class, the open ones first."""
    found = [
        *(one for trace in traces for one in of_person(trace)),
        *detecting.without_closing(traces),
        *comparing.copied(traces),
        *_edited_marks(changed),
        *closings.findings(),
        *more,
    ]
    return in_order(closings.of(one) for one in _one_each(found))


def of_person(trace: Trace) -> list[Finding]:
    """
    Return what is to be asked of one row of the register, without its neighbours.

    It is looked at once, where the row was marked: the lines then need not be handed on.
    """
    if trace.found is None:
        trace.found = detecting.of_person(trace)
        trace.lines.clear()
    return trace.found


def _edited_marks(changed: ChangedMarks) -> list[Finding]:
    found = []
    for one in changed.edited:
        text = (
            f"The changed mark at {one.key} was changed after it was written, or written by hand: "
            "its digest does not agree. It does not count. Change the mark with a reason once more."
        )
        where = (f"{one.file}, line {one.number}",)
        found.append(Finding("mark", one.trainee, text, where, evidence([one.digest])))
    return found


def _one_each(found: Iterable[Finding]) -> list[Finding]:
    """Return one finding of each kind and trainee: several are one, with all their lines."""
    kept: dict[str, Finding] = {}
    for one in found:
        if (before := kept.get(one.id)) is None:
            kept[one.id] = one
        else:
            text = before.text if one.text in before.text else f"{before.text} {one.text}"
            where = tuple(dict.fromkeys(before.where + one.where))
            rests_on = evidence([before.evidence, one.evidence])
            kept[one.id] = replace(before, text=text, where=where, evidence=rests_on)
    return list(kept.values())


def of_row(found: Iterable[Finding], row: str) -> list[Finding]:
    """Return the findings that concern one row of the register; see `Finding.concerns`."""
    return [one for one in found if one.concerns(row)]


hands_in = detecting.hands_in
