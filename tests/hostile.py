"""
What a hostile or unlucky hand may put into the files that the course takes from others.

Genuine lines, forms and settings with one to three places changed: most of what is found is found
near the truth, where a reader has begun to believe. Raw bytes besides. The lines are digested anew
as often as not, for whoever edits a line can work its digest out.
"""

import copy
import json

from hypothesis import strategies as st

from exercises.bank import BANK
from exercises.question import dice
from exercises.sheets import sheet

ODD = [
    *(None, True, False, -1, 0, 2, 54321, 10**6, 10**18, 10**400, 0.5, -0.0, 1e308, -1e308, 5e-324),
    *(float("nan"), float("inf"), "", "x", "0", "1e9", "12,345", "\ud800", "\x00\x1b[2J", "\u202e"),
    *("=1+1", "<script>", "9" * 4300, "a\nb", "T01", "0001-01-01T00:00:00+14:00"),
    *("9999-12-31T23:59:59-14:00", "2026-03-16", [], {}, [[]], [None], {"x": {"y": [1]}}, ["x"]),
]
NAMES = ["time", "event", "key", "edition", "turn", "typed", "given", "decimal", "nudge", "text",
         "before", "digest", "lines", "reason", "x", "\ud800", ""]  # fmt: skip
TIME = "2026-03-16T09:00:00+00:00"
odd = st.one_of(  # copied: what is put into a line may be changed there once more
    st.sampled_from(ODD).map(copy.deepcopy), st.text(max_size=6), st.floats(), st.integers()
)


def places(held, path=()):
    """Give the path to each value in a nest of dicts and lists, itself first."""
    yield path
    if isinstance(held, dict | list):
        for key, value in held.items() if isinstance(held, dict) else enumerate(held):
            yield from places(value, (*path, key))


@st.composite
def changed(draw, genuine, most=3):
    """Return something genuine with up to `most` places replaced, taken out or added."""
    held = copy.deepcopy(draw(genuine))
    for _ in range(draw(st.integers(0, most))):
        path = draw(st.sampled_from(list(places(held))))
        if not path:
            if isinstance(held, dict) and draw(st.booleans()):
                held[draw(st.sampled_from(NAMES))] = draw(odd)
            continue
        within = held
        for key in path[:-1]:
            within = within[key]
        if draw(st.integers(0, 4)):
            within[path[-1]] = draw(odd)
        else:
            del within[path[-1]]
    return held


def answered(key, trainee="T99", turn=1):
    """Return a genuine answer to an exercise: right, as the box keeps it."""
    exercise = BANK[key]
    given = dice.given(exercise, trainee, turn)
    right = exercise.solve(given)
    typed = {asked.name: asked.show(right[asked.name]) for asked in exercise.asked}
    event = "answered" if exercise.marks else "said first"
    place = {"key": key, "edition": exercise.edition, "turn": turn}
    return {"time": TIME, "event": event, **place, "given": given, "typed": typed, "decimal": "."}


def beside(event, key, **more):
    """Return another genuine event at an exercise."""
    place = {"key": key, "edition": BANK[key].edition, "turn": 1}
    return {"time": TIME, "event": event, **place, **more}


keys = st.sampled_from(sorted(BANK))
events = st.one_of(
    st.builds(answered, keys, st.just("T99"), st.integers(1, 3)),
    st.builds(answered, keys),
    st.builds(beside, st.sampled_from(["shown", "new numbers", "finished", "hands"]), keys),
    st.builds(beside, st.just("nudged"), keys, nudge=st.just(1)),
    st.builds(beside, st.just("remark"), keys, text=st.just("right?")),
    st.just({"time": TIME, "event": "signed in", "decimal": "."}),
    st.just({"time": TIME, "event": "handed in", "lines": 3, "before": ""}),
)
marks = st.builds(
    lambda key, who, event: {"time": TIME, "event": event, "trainee": who, "key": key,
                             "edition": BANK[key].edition, "mark": 0.5, "was": None,
                             "reason": "looked at it", "by": "MK"},
    keys, st.sampled_from(["T99", "T98"]), st.sampled_from(["changed", "overridden", "withdrawn"]),
)  # fmt: skip


@st.composite
def lines(draw, genuine, most=6):
    """Return the bytes of a file of lines, and how many inputs that is."""
    held, before = [], ""
    for _ in range(draw(st.integers(1, most))):
        if draw(st.integers(0, 9)) == 0:
            held.append(draw(st.binary(max_size=40)))
            continue
        event = draw(changed(genuine))
        if isinstance(event, dict) and draw(st.booleans()):
            event["before"] = before
            event["digest"] = before = sheet.digest(event)
        held.append(json.dumps(event).encode("ascii"))
    return b"\n".join(held) + draw(st.sampled_from([b"\n", b"", b"\r\n"])), len(held)


sheets = lines(events)
changes = lines(marks, most=4)
FORM = {
    "paper": "PAPER", "number": "NUMBER", "code": "T02", "decimal": ".",
    "saved": "2026-11-27T09:30:00", "answers": {"1": {"a": "0.1", "b": "-2"}, "2": {"a": "B"}},
}  # fmt: skip
forms = changed(st.just(FORM)).map(lambda held: json.dumps(held).encode("ascii")) | st.binary(
    max_size=60
)
cells = st.sampled_from(["NUMBER", "1", "2", "3", "a", "b", "-1", "", "=1", "x\ny", "٣", "²"])
tables = st.lists(st.lists(cells | st.text(max_size=4), max_size=6), max_size=5).map(
    lambda rows: "\n".join(["paper,question,part,typed", *map(",".join, rows)]).encode(
        "utf-8", "surrogatepass"
    )
)
rosters = st.lists(
    st.lists(
        st.sampled_from(["code", "name", "paper", "T01", "t 02", "CON", "9", '"', ""])
        | st.text(max_size=5),
        max_size=4,
    ).map(",".join),
    max_size=6,
).map(lambda rows: "\n".join(["code,name,paper", *rows]).encode("utf-8", "surrogatepass"))
SETTING = [
    'title = "Geodesy"', "minutes = 60", "pass = 60", 'aids = "calculator"', "date = 2026-11-27",
    "start = 09:00:00", "[[question]]", 'exercise = "deflection-plumb-offset"', "marks = 4",
]  # fmt: skip
WORDS = st.sampled_from(["= 9999-12-31", "= inf", "= nan", "= -1", '= ""', "= []", "= {}",
                         "= 1e400", "= 0001-01-01", "= 23:59:59.9", "= 1979-05-27T07:32:00Z",
                         "= " + "9" * 5000, "= " + "[" * 2000])  # fmt: skip


@st.composite
def settings_files(draw):
    """Return a paper's setting with up to three lines changed, taken out or put in twice."""
    held = list(SETTING)
    for _ in range(draw(st.integers(0, 3))):
        at = draw(st.integers(0, len(held) - 1))
        how = draw(st.integers(0, 3))
        if how == 0:
            held[at] = held[at].partition("=")[0] + draw(WORDS)
        elif how == 1:
            held.insert(at, held[at])
        elif how == 2:
            held[at] = draw(st.text(max_size=10))
        elif len(held) > 1:
            del held[at]
    return "\n".join(held).encode("utf-8", "surrogatepass")
