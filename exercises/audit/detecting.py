"""What in one trainee's lines has to be asked about, with the thresholds and their reasons.

Each threshold is set by what an honest trainee does: works on two laptops, sets a clock right,
loses power in the middle of a line, types a page of answers that were worked on paper. They are
common practice at a desk, without a source.
"""

import itertools
from collections import defaultdict
from collections.abc import Iterable, Iterator

from exercises.audit.findings import Finding, evidence, places
from exercises.audit.traces import Line, Trace
from exercises.sheets import report, sheet

# Five numbers typed and checked, three seconds or less apart: the hands alone need longer.
FAST_RUN, FAST_GAP = 5, 3.0
# Fifteen in two and a half minutes. A lesson has at most a dozen exercises on its page, so that
# even whoever types what was worked on paper has to open another page among them.
LONG_RUN, LONG_SECONDS = 15, 150.0
# A clock that is set right goes back once. Seconds are what time servers correct every day.
BACK_SECONDS, BACK_TIMES = 60.0, 2
# Clocks of two laptops that no server sets differ by minutes.
APART_SECONDS = 15 * 60.0


def of_person(trace: Trace) -> list[Finding]:
    """Return all that is to be asked of one row of the register, without its neighbours."""
    found = [
        *_broken(trace), *_flagged(trace), *_pace(trace), *_clock(trace), *_elsewhere(trace)
    ]  # fmt: skip
    return [one for one in found if one]


def _finding(kind: str, trace: Trace, text: str, lines: Iterable[Line]) -> Finding:
    lines = list(lines)
    where = places(trace.files, [(line.sheet, line.number) for line in lines])
    return Finding(kind, trace.row, text, where, evidence(line.digest for line in lines))


# The chain of the lines ----------------------------------------------------------------

BREAKS = {
    "edited": (
        sheet.EDITED,
        "{lines} changed after the course wrote {them}: the digest does not agree.",
    ),
    "chain": (
        sheet.MISSING,
        "Before {lines} something was taken away, put elsewhere or changed: each line names the "
        "digest of the line before it, and here the digest differs.",
    ),
    "another": (
        sheet.ANOTHER,
        "{lines} another person or class in a file under this name. Not one of them counts.",
    ),
}


def _broken(trace: Trace) -> Iterator[Finding]:
    for kind, (words, text) in BREAKS.items():
        lines = [
            (at, number)
            for at, one in enumerate(trace.sheets)
            for number, said in one.breaks
            if said == words
        ]
        if lines:
            yield _of_places(kind, trace, text, lines)
    counted = [
        (at, number, said)
        for at, one in enumerate(trace.sheets)
        for number, said in one.breaks
        if said not in {words for words, _ in BREAKS.values()}
    ]
    if counted:
        lines = [(at, number) for at, number, _ in counted]
        text = " ".join(dict.fromkeys(said[0].upper() + said[1:] for _, _, said in counted))
        yield _of_places("closing", trace, text, lines)


def _of_places(kind: str, trace: Trace, text: str, lines: list[tuple[int, int]]) -> Finding:
    """Return a finding on lines that may be no events: its evidence is where they stand."""
    many = len(lines) > 1
    verb = {"edited": ("was", "were"), "another": ("is of", "are of")}.get(kind, ("", ""))[many]
    subject = f"{len(lines)} lines" if many else "1 line"
    text = text.format(lines=f"{subject} {verb}".strip(), them="them" if many else "it")
    rests_on = [f"{trace.sheets[at].digest} {number}" for at, number in lines]
    return Finding(kind, trace.row, text, places(trace.files, lines), evidence(rests_on))


def hands_in(traces: list[Trace]) -> bool:
    """Return whether more than half of a class handed in by the course, with a closing line."""
    closed = sum(any(one.closed for one in trace.sheets) for trace in traces)
    return 2 * closed > len(traces)


def without_closing(traces: list[Trace]) -> Iterator[Finding]:
    """
    Give whose sheets end without a closing line, where more than half of the class have one.

    Where few have one the class was collected as files, and their end says nothing.
    """
    if not hands_in(traces):
        return
    for trace in traces:
        if any(one.closed for one in trace.sheets) or not trace.holds:
            continue
        rests_on = evidence(one.digest for one in trace.sheets)
        text = (
            "No closing line: the sheet was copied, not handed in by the course, and lines may be "
            "missing at its end."
        )
        yield Finding("closing", trace.row, text, tuple(trace.files), rests_on)


# The answers ---------------------------------------------------------------------------

FLAGS = {
    "numbers": (
        report.NOT_DRAWN,
        "{answers} given on numbers that the course did not draw for this person.",
    ),
    "skipped": (
        report.TURN_SKIPPED,
        "{answers} at a turn whose turns before it are on no sheet: was a sheet left out?",
    ),
    "ungiven": (
        report.NO_NUMBERS,
        "{answers} without the numbers it was given on, which the course always writes.",
    ),
    "unchecked": (
        report.UNSEEN,
        "{answers} on numbers drawn with the secret of a class whose class.toml is not in this "
        "folder: put it there, and they are checked.",
    ),
}


def _flagged(trace: Trace) -> Iterator[Finding]:
    flagged = [line for line in trace.lines if line.flags]  # few, where all is well
    for kind, (flag, text) in FLAGS.items():
        lines = [line for line in flagged if flag in line.flags]
        if lines:
            count = "1 answer" if len(lines) == 1 else f"{len(lines)} answers"
            yield _finding(kind, trace, text.format(answers=count), lines)
    newer = [line for line in flagged if any(report.NEWER in flag for flag in line.flags)]
    if newer:
        text = (
            f"{_answers(newer)} of a later edition than this course has: the numbers cannot be "
            "checked here. Mark them with the course that they were worked with."
        )
        yield _finding("unchecked", trace, text, newer)


def _answers(lines: list[Line]) -> str:
    return "1 answer" if len(lines) == 1 else f"{len(lines)} answers"


def _pace(trace: Trace) -> Iterator[Finding]:
    """Give the runs of right first answers that came faster than they can be typed or worked."""
    first = _first_answers(trace)
    fast: dict[int, Line] = {}
    for run, seconds in ((FAST_RUN, FAST_GAP * (FAST_RUN - 1)), (LONG_RUN, LONG_SECONDS)):
        for begin in range(len(first) - run + 1):
            lines = first[begin : begin + run]
            if not all(line.right for line in lines):
                continue
            times = [line.seconds for line in lines]
            if max(times) - min(times) <= seconds:
                fast |= dict(zip(range(begin, begin + run), lines, strict=True))
    if not fast:
        return
    lines = list(fast.values())
    text = (
        f"{len(lines)} computed answers right at the first try, {_apart(lines)} apart on average. "
        "Nobody reads, computes and types so fast; whoever types answers worked on paper needs "
        "longer, too."
    )
    yield _finding("pace", trace, text, lines)


def _first_answers(trace: Trace) -> list[Line]:
    """Return the first answer to each set of numbers of each exercise that asks for a number."""
    seen: set[tuple[str, int]] = set()
    found = []
    for line in trace.lines:
        if line.computed and (line.key, line.turn) not in seen:
            seen.add((line.key, line.turn))
            found.append(line)
    return found


def _apart(lines: list[Line]) -> str:
    gaps = [b.seconds - a.seconds for a, b in itertools.pairwise(lines)]
    gaps = [gap for gap in gaps if 0 <= gap <= LONG_SECONDS]
    mean = sum(gaps) / len(gaps) if gaps else 0.0
    return f"{mean:.0f} s" if mean >= 1 else "less than a second"


def _clock(trace: Trace) -> Iterator[Finding]:
    back: list[Line] = []
    for at in range(len(trace.sheets)):
        own = sorted(
            (line for line in trace.lines if line.sheet == at), key=lambda line: line.number
        )
        jumps = [
            after
            for before, after in itertools.pairwise(own)
            if before.seconds - after.seconds > BACK_SECONDS
        ]
        back += jumps if len(jumps) >= BACK_TIMES else []
    if back:
        text = (
            f"The clock went back {len(back)} times while the sheet was written. A clock that is "
            "set right goes back once."
        )
        yield _finding("clock", trace, text, back)


def _elsewhere(trace: Trace) -> Iterator[Finding]:
    """Give right answers to what another device of the same person had shown worked out."""
    if len(trace.sheets) < 2:
        return
    shown: dict[tuple[str, int], list[Line]] = defaultdict(list)
    for line in trace.lines:
        if line.what == "shown":
            shown[line.key, line.turn].append(line)
    after = [
        line
        for line in trace.lines
        if line.right
        and line.computed
        and any(
            not _kin(trace, line.sheet, one.sheet) and line.seconds > one.seconds - APART_SECONDS
            for one in shown.get((line.key, line.turn), ())
        )
    ]
    if after:
        text = (
            f"{_answers(after)}, right, to numbers whose worked answer another sheet of the same "
            "person had shown before, or within a quarter of an hour after. What the clocks put "
            "before it counts as marked."
        )
        yield _finding("elsewhere", trace, text, after)


def _kin(trace: Trace, one: int, other: int) -> bool:
    """Return whether two files are one sheet: the same, or a copy of it at another time."""
    return one == other or (min(one, other), max(one, other)) in trace.kin
