"""One code on several sheets: one person, or two? Where the lines cannot say, it is asked.

A class word and a code are a person. A code alone can be borne twice, on two vessels. Sheets that
share a line are one sheet at two times. Others are one person's where they lie in one folder and
no hour was worked on both: two laptops. Else they stand in two rows, T07/1 and T07/2, until the
instructor or two rosters say how many people they are.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from exercises.audit.closing import Closings
from exercises.audit.findings import Closing, Finding, evidence
from exercises.sheets import intake, person, roster, sheet
from exercises.sheets.intake import Source

# Whoever works answers, or looks at the worked answer, at least once in ten minutes; a longer
# pause ends a stretch of work, and the other laptop can be taken.
PAUSE_SECONDS = 600.0
ROSTER = "roster.csv"


@dataclass(frozen=True)
class Row:
    """One line of the register: its name, for whom its numbers were drawn, the sheets."""

    name: str
    person: str
    sources: tuple[Source, ...]

    def lies_in(self, folder: Path) -> bool:
        """Return whether one of its sheets lies in that folder or below it."""
        return any(source.path.is_relative_to(folder) for source in self.sources)


@dataclass
class _Group:
    """Sheets that are one: they share lines, or nothing speaks against it."""

    sources: list[Source]
    digests: set[str]
    first: str  # the digest of its first line: what it is known by
    places: set[tuple[str, str]]
    stretches: list[tuple[float, float]] = field(default_factory=list)

    def take(self, other: "_Group") -> None:
        self.sources += other.sources
        self.digests |= other.digests
        self.places |= other.places
        self.stretches += other.stretches

    def worked_with(self, other: "_Group") -> bool:
        """Return whether some time was worked on both."""
        return any(a <= d and c <= b for a, b in self.stretches for c, d in other.stretches)

    def may_be(self, other: "_Group") -> bool:
        """Return whether nothing speaks against one person: one place, and one at a time."""
        if not (self.stretches and other.stretches):
            return True  # a sheet without a line says nothing
        return self.places == other.places and not self.worked_with(other)


def rows(
    code: str, sources: list[Source], folder: Path, closings: Closings | None = None
) -> tuple[list[Row], list[Finding]]:
    """Return the rows of one code, and what is to be asked of it: nothing where it is clear."""
    whole = [Row(code, code, tuple(sources))]
    if len(sources) == 1 or person.parts(code)[0] or len(sources) > intake.MOST_FILES:
        return whole, []
    groups = _groups(sources, folder)
    if len(groups) == 1:
        return whole, []
    asked = _asked(code, groups, folder)
    if closings:
        asked = closings.of(asked)
    if asked.closing is None:
        asked = asked.with_closing(_by_rosters(asked, groups, folder))
    if asked.closing and asked.closing.answer == "one":
        return whole, [asked]
    return [
        Row(f"{code}/{number}", code, tuple(group.sources))
        for number, group in enumerate(groups, 1)
    ], [asked]


def _groups(sources: list[Source], folder: Path) -> list[_Group]:
    """Return the sheets of a code by who they can be: first those that share lines."""
    groups: list[_Group] = []
    for source in sources:
        one = _group(source, folder)
        for other in [other for other in groups if other.digests & one.digests]:
            other.take(one)
            one.first = other.first
            one = other
            groups.remove(other)
        groups.append(one)
    merged: list[_Group] = []
    for one in groups:
        fitting = [other for other in merged if other.may_be(one)]
        if fitting:
            fitting[0].take(one)
        else:
            merged.append(one)
    return merged


def _group(source: Source, folder: Path) -> _Group:
    try:
        events = sheet.read(source).events
    except OSError:
        events = []
    worked = [event for event in events if event["event"] != sheet.HANDED_IN]  # both at one time
    times = [intake.moment(event["time"]).timestamp() for event in worked]
    # Two people may sign in in one millisecond: such a line names neither.
    named = [event for event in events if event["event"] not in sheet.NAMELESS]
    digests = {event.get("digest", "") for event in named} - {""}
    first = named[0].get("digest", "") if named else source.name(folder)
    return _Group([source], digests, first, {_place(source, folder)}, list(_stretches(times)))


def _place(source: Source, folder: Path) -> tuple[str, str]:
    """Return where a sheet came from: its folder, in an archive the folder there, its sender."""
    inner = PurePosixPath(source.inside).parent.as_posix() if source.inside else "."
    here = intake.name(source.path.parent, folder)
    return (here if inner == "." else f"{here} › {intake.seen(inner)}"), source.place


def _stretches(times: list[float]) -> Iterator[tuple[float, float]]:
    """Give the stretches of time in which somebody worked: first and last line of each."""
    begin = last = None
    for moment in sorted(times):
        if last is not None and begin is not None and moment - last > PAUSE_SECONDS:
            yield begin, last
            begin = None
        begin = moment if begin is None else begin
        last = moment
    if begin is not None and last is not None:
        yield begin, last


def _asked(code: str, groups: list[_Group], folder: Path) -> Finding:
    where = tuple(source.name(folder) for group in groups for source in group.sources)
    reasons = []
    if len({place for group in groups for place in group.places}) > 1:
        reasons.append("come from different folders or senders")
    if any(a.worked_with(b) for at, a in enumerate(groups) for b in groups[at + 1 :]):
        reasons.append("were written at the same time")
    text = (
        f"Sheets of {code} share no line and {' and '.join(reasons) or 'do not fit together'}. Is "
        f"it one person with two laptops, or are they two people? Until you say so they stand "
        f"apart, as {' and '.join(f'{code}/{n}' for n in range(1, len(groups) + 1))}."
    )
    return Finding("identity", code, text, where, evidence(group.first for group in groups))


def _by_rosters(asked: Finding, groups: list[_Group], folder: Path) -> Closing | None:
    """Return what the rosters of the folders say: one name, or a name in each; else nothing."""
    names = [_named(asked.trainee, group, folder) for group in groups]
    if not all(names):
        return None
    several = len(set(names)) > 1
    if several and len(set(names)) < len(names):
        return None
    reason = (
        "the rosters of their folders give the code to different names"
        if several
        else "the rosters of their folders give the code to one name"
    )
    answer = "two" if several else "one"
    return Closing(asked.id, asked.evidence, reason, "the rosters", None, answer)


def _named(code: str, group: _Group, folder: Path) -> str:
    """Return the one name that the rosters beside a group's sheets give its code."""
    names = set()
    for source in group.sources:
        if source.path.parent == folder:
            return ""  # the class's own roster cannot distinguish two folders
        try:
            people = roster.read(source.path.parent / ROSTER)
        except (OSError, ValueError):
            return ""
        names |= {one.name.casefold() for one in people if one.code == code and one.name}
    return names.pop() if len(names) == 1 else ""
