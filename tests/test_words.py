"""
The notation of the bank: the words beside the code, the worked answers, the slips as variations.

Words are read from files written here; every number expected below is worked by hand.
"""

import math

import pytest

from exercises.question import notation
from exercises.question.model import DMS, Asked, Printed
from exercises.question.variation import (
    Numbers,
    also,
    answer,
    exchanged,
    misread,
    only,
    plus,
    reworked,
    then,
    times,
    turned,
    using,
    variation,
)
from exercises.question.words import Step, load
from exercises.question.worked import lines

SOURCES = """[sources]
BOOK: A. Surveyor, The book of
    levels, 1901
"""
AREA = """[plot-area]
title: A plot of land
prompt: How large is a rectangle
    of these two sides?
nudge 1: Draw it.
nudge 2: Count the squares.
slip sum: Added
    {value} is the two sides
    added up.
step 1: Area = {a:.0f} · {b:.0f} = **{area:.0f}**.
source: Area = a·b. {BOOK}.
"""
PICK = """[plot-pick]
title: Say first
prompt: Which is longer?
right mile: A mile
wrong metre: A metre
    A mile has 1852 of them.
because: 1852 of them.
source: {BOOK}.
"""


@pytest.fixture
def bank(tmp_path, monkeypatch):
    """Return a function that writes words as the file of the topic "plot"."""
    monkeypatch.setattr(notation, "BANK", tmp_path)
    (tmp_path / "sources.ini").write_text(SOURCES, encoding="utf-8")

    def write(text):
        load.cache_clear()
        path = tmp_path / "plot.ini"
        path.write_text(text, encoding="utf-8")
        return path

    yield write
    load.cache_clear()


def area(**other):
    parts = {
        "elements": ("X",),
        "draw": lambda dice: {"a": 3.0, "b": 4.0},
        "printed": (Printed("a", "a", "m"), Printed("b", "b", "m")),
        "asked": (Asked("area", "Area", "number", "1", 0, 0.1),),
        "solve": lambda g: g.a * g.b,
        "slips": {"sum": lambda g: g.a + g.b},
    }
    return notation.exercise("plot-area", **{**parts, **other})


def pick():
    return notation.choice("plot-pick", elements=("X",))


# The words -----------------------------------------------------------------------------


def test_words_of_an_exercise(bank):
    bank(AREA + "\n\n# a remark for whoever edits\n" + PICK)
    one, given = area(), {"a": 3.0, "b": 4.0}
    assert (one.topic, one.title) == ("plot", "A plot of land")
    assert one.prompt == "How large is a rectangle of these two sides?"
    assert one.nudges == ("Draw it.", "Count the squares.")
    assert one.source == "Area = a·b. A. Surveyor, The book of levels, 1901."
    assert (one.solve(given), one.wrong(given)) == ({"area": 12.0}, {"sum": {"area": 7.0}})
    assert one.slip("sum").name == "Added"
    assert one.slip("sum").reply == "{value} is the two sides added up."
    assert one.steps(given) == ["Area = 3 · 4 = **12**."]


def test_words_of_a_choice(bank):
    bank(PICK)
    one = pick()
    assert [(o.key, o.text) for o in one.asked[0].options] == [
        ("mile", "A mile"),
        ("metre", "A metre"),
    ]
    assert (one.solve({}), one.wrong({})) == ({"choice": "mile"}, {"metre": {"choice": "metre"}})
    assert (one.slips[0].name, one.slips[0].reply) == ("A metre", "A mile has 1852 of them.")
    assert one.steps({}) == ["**A mile**", "1852 of them."]


def test_narrow_spaces_and_hyphens_stay(bank):
    # only the plain space at which an editor's line was wrapped is folded
    bank(AREA.replace("Draw it.", "6\u202f371\u00a0km is\n    the sphere's\u00a0radius"))
    assert area().nudges[0] == "6\u202f371\u00a0km is the sphere's\u00a0radius"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("title: A plot of land\n", "", r"plot\.ini: \[plot-area\] lacks the line 'title:'"),
        ("title: A plot of land\n", "title:\n", r"\[plot-area\] lacks the line 'title:'"),
        ("source: Area = a·b. {BOOK}.\n", "", r"\[plot-area\] lacks the line 'source:'"),
        ("step 1: Area = {a:.0f} · {b:.0f} = **{area:.0f}**.\n", "", "lacks the line 'step:'"),
        ("slip sum: Added\n", "slip total: Added\n", r"lacks the words of 'slip sum'\."),
        ("slip sum", "slip sun", "lacks the words of 'slip sum'; is 'sun' meant"),
        ("title:", "titel:", "a line 'titel:', which is none; is 'title' meant"),
        ("nudge 1:", "nudge1:", "a line 'nudge1:', which is none; is 'nudge' meant"),
        ("nudge 1:", "nudge:", "a line 'nudge:', which is none"),
        ("title:", "title 1:", "a line 'title 1:', which is none"),
        ("source:", "colour: red\nsource:", r"a line 'colour:', which is none\."),
        ("source:", "wrong sum: Sum\n    No.\nsource:", "a line 'wrong:', and nothing uses it"),
        ("source:", "because: so\nsource:", "a line 'because:', and nothing uses it"),
        (
            "source:",
            "slip half: Half\n    No.\nsource:",
            "has words for 'slip half', and there is no",
        ),
        ("nudge 2:", "nudge 1:", r"plot\.ini: .*nudge 1.*already exists"),
        ("nudge 1:", "slip sum: Sum\n    No.\nnudge 1:", "slip sum.*already exists"),
        ("source:", "[plot-area]\nsource:", "plot-area.*already exists"),
        ("step 1:", "step 1 iff large:", r"\[plot-area\] has a 'step 1 iff large:'"),
        ("{BOOK}", "{BOKO}", r"cites \{BOKO\}, which sources\.ini lacks; is 'BOOK' meant"),
        (
            "    {value} is the two sides\n    added up.\n",
            "",
            "lacks the name of 'slip sum' or the reply",
        ),
        ("nudge 1: Draw it.", "Draw it.", r"plot\.ini: .*[Pp]arsing"),
        ("nudge 2:", "\n    into two squares.\nnudge 2:", r"plot\.ini: .*[Pp]arsing"),
    ],
)
def test_wrong_lines_say_so(bank, old, new, said):
    assert AREA.count(old) == 1
    bank(AREA.replace(old, new))
    with pytest.raises(ValueError, match=said):
        area()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("right mile: A mile\n", "", r"\[plot-pick\] lacks the line 'right:'"),
        ("wrong metre: A metre\n    A mile has 1852 of them.\n", "", "lacks the line 'wrong:'"),
        ("because: 1852 of them.\n", "", "lacks the line 'because:'"),
        ("because:", "right league: A league\nbecause:", "has more than one line 'right'"),
        ("because:", "step 1: Look.\nbecause:", "a line 'step:', and nothing uses it"),
        ("    A mile has 1852 of them.\n", "", "lacks the name of 'wrong metre' or the reply"),
    ],
)
def test_wrong_lines_of_a_choice_say_so(bank, old, new, said):
    assert PICK.count(old) == 1
    bank(PICK.replace(old, new))
    with pytest.raises(ValueError, match=said):
        pick()


def test_section_that_lacks(bank):
    bank(PICK)
    with pytest.raises(ValueError, match=r"plot\.ini has no section \[plot-area\]"):
        area()


def test_lines_where_steps_are_computed(bank):
    # lines of text that nothing would ever show are spare as well
    bank(AREA)
    with pytest.raises(ValueError, match="a line 'step:', and nothing uses it"):
        area(steps=lambda g: ["computed"])
    bank(AREA.replace("step 1: Area = {a:.0f} · {b:.0f} = **{area:.0f}**.\n", ""))
    assert area(steps=lambda g: [f"a is {g.a:.0f}"]).steps({"a": 3.0, "b": 4.0}) == ["a is 3"]


# The worked answer ---------------------------------------------------------------------

PARTS = (
    Asked("east", "East", "length", "m", 2, 0.02, positive="east"),
    Asked("angle", "Angle", "angle", DMS, 1, 0.1),
)


@pytest.mark.parametrize(
    ("text", "value", "written"),
    [
        ("{x}", 7, "7"),
        ("{x:.1f}", 1234.56, "1\u202f234.6"),
        ("{x:+.2f}", 3.14159, "+3.14"),
        ("{x:+.2f}", -3.14159, "−3.14"),
        ("{x:.3e}", 0.00012346, "1.235 × 10⁻⁴"),
        ("{x:n1}", 1_234_567.89, "1\u202f234\u202f567.9"),
        ("{x:n0}", -4321.0, "−4\u202f321"),
        ("{x:+n2}", 0.5, "+0.50"),
        ("{x:+n2}", -0.5, "−0.50"),
        ("{x:n1}", -0.04, "0.0"),
        ("{x:dms2}", 12.5125, "12° 30′ 45.00″"),
        ("{x:dms0}", -1.25, "−1° 15′ 00″"),
        ("{x:dms1 latitude}", -33.75, "33° 45′ 00.0″ S"),
        ("{x:dms1 latitude}", 33.75, "33° 45′ 00.0″ N"),
        ("{x:dms0 longitude}", -0.5, "0° 30′ 00″ W"),
        ("{x:2 m east}", -15.756, "15.76\u00a0m west"),
        ("{x:1 mm north}", 29.64, "29.6\u00a0mm north"),
        ("{x:size}", 0.058, "58\u00a0mm"),
        ("{x:size}", 2.345, "2.35\u00a0m"),
        ("{x:size}", 12_345.0, "12.3\u00a0km"),
        ("{x:north|south}", 0.1, "north"),
        ("{x:north|south}", -0.1, "south"),
        ("{x:north|south}", 0.0, "south"),
        ("{x:forward along|back against}", -2.0, "back against"),
        ("{abs x:.1f}", -4.27, "4.3"),
        ("{abs x:n0}", -1500.0, "1\u202f500"),
        ("{-x:+.2f}", 4.5, "−4.50"),
        ("{-x:+n1}", -4.5, "+4.5"),
        ("{{{x:.0f}}}", 3.0, "{3}"),
    ],
)
def test_ways_of_writing(text, value, written):
    assert lines([Step(f"a {text} b")], {"x": value}, ()) == [f"a {written} b"]


@pytest.mark.parametrize(
    ("name", "value", "written"),
    [
        ("east", 3.456, "3.46\u00a0m east"),
        ("east", -1234.5, "1\u202f234.50\u00a0m west"),
        ("angle", 12.5, "12° 30′ 00.0″"),
    ],
)
def test_part_as_the_course_says_it(name, value, written):
    assert lines([Step(f"{{{name}:say}}")], {name: value}, PARTS) == [written]


def test_a_year_has_no_space_in_its_thousands():
    values = {"list_epoch": 2026.5, "laid": 1997.2, "x": 2026.5}
    text = "{list_epoch:.1f}, {laid:.1f}, {x:.1f}"
    assert lines([Step(text)], values, (), {"laid"}) == ["2026.5, 1997.2, 2\u202f026.5"]


def test_several_numbers_in_one_line():
    values = {"a": 3.0, "b": 4.0, "c": 5.0}
    text = "√({a:.0f}² + {b:.0f}²) = **{c:.1f}**"
    assert lines([Step(text)], values, ()) == ["√(3² + 4²) = **5.0**"]


@pytest.mark.parametrize(
    ("steep", "shown"), [(True, ["all", "steep"]), (False, ["all", "flat"]), (0, ["all", "flat"])]
)
def test_conditional_steps(bank, steep, shown):
    text = "step 1: all\nstep 2 if steep: steep\nstep 3 unless steep: flat\n"
    [words] = load(bank(f"[plot-area]\n{text}")).values()
    assert lines(words.steps, {"steep": steep}, ()) == shown


def test_number_that_nobody_gave():
    with pytest.raises(KeyError, match="depht"):
        lines([Step("{depht:.1f}")], {"depth": 3.0}, ())


def test_answer_and_work_go_before_what_was_given(bank):
    # a is given as 3 and asked again (an end of a line, named like its start): 3 · 4 = 12
    bank(AREA.replace("{a:.0f} · {b:.0f} = **{area:.0f}**", "{b:.0f} · {twice:.0f} → {a:.0f}"))
    one = area(asked=(Asked("a", "a", "number"),), work=lambda g: {"b": 7.0, "twice": 2 * g.a})
    assert one.steps({"a": 3.0, "b": 4.0}) == ["Area = 7 · 6 → 12."]


# Slips as variations -------------------------------------------------------------------
# With a = 3 and b = 4 the solution below is east = 2·3 = 6, north = 4 + 1 = 5.

G = {"a": 3.0, "b": 4.0}
EN = ("east", "north")


def solve(g, factor=2.0, more=1.0):
    return g.a * factor, g.b + more


@pytest.mark.parametrize(
    ("route", "worked"),
    [
        (turned(), {"east": -6, "north": -5}),
        (turned("north"), {"north": -5}),
        (exchanged(), {"east": 5, "north": 6}),
        (exchanged("north", "east"), {"east": 5, "north": 6}),
        (using(factor=10), {"east": 30, "north": 5}),
        (using(factor=10, more=0), {"east": 30, "north": 4}),
        (using("north", factor=10, more=7), {"north": 11}),
        (misread(a=8.0), {"east": 16, "north": 5}),
        (misread(a=lambda g: g.b, b=lambda g: g.a), {"east": 8, "north": 4}),
        (misread("east", a=lambda g: g.a + g.b), {"east": 14}),
        (times(0.5), {"east": 3, "north": 2.5}),
        (times(lambda g: g.a, "north"), {"north": 15}),
        (plus(2), {"east": 8, "north": 7}),
        (plus(lambda g: -g.b, "east"), {"east": 2}),
        (then(lambda value: value**2), {"east": 36, "north": 25}),
        (then(math.floor, "east"), {"east": 6}),
        (reworked(lambda a: a.east - a.north), {"east": 1}),
        (reworked(lambda a: [a.north, -a.east]), {"east": 5, "north": -6}),
        (reworked(lambda a: {"north": a.east + a.north}), {"north": 11}),
        (only("east", turned()), {"east": -6}),
        (only("north", lambda g: (g.a, g.b)), {"north": 4}),
        (only(using(factor=10)), {"east": 30, "north": 5}),
        (also("sign", times(3)), {"east": 18, "north": 15}),
        (lambda g: g.a * g.b, {"east": 12}),
        (lambda g: (g.b, g.a), {"east": 4, "north": 3}),
        (lambda g: {"north": g["a"] - g.b}, {"north": -1}),
    ],
)
def test_variation(route, worked):
    given = dict(G)
    assert variation(route).bound(solve, EN)(given) == worked
    assert given == G  # what another number was put in for is a copy


def test_two_of_three_parts_exchanged():
    def three(g):
        return g.a, g.b, g.a + g.b

    route = exchanged("dh", "dH").bound(three, ("zenith", "dh", "dH"))
    assert route(G) == {"dh": 7, "dH": 4}


def test_general_slips_that_a_route_is():
    assert also("sign", turned()).also == ("sign",)
    assert also("sign", "swapped", lambda g: 1).also == ("sign", "swapped")
    assert only("east", also("sign", turned())).also == ("sign",)
    assert turned().also == ()


def test_general_slips_reach_the_exercise(bank):
    bank(AREA)
    assert area(slips={"sum": also("sign", turned())}).slip("sum").also == ("sign",)
    assert area().slip("sum").also == ()


def test_answers_of_every_form():
    assert answer(2.5, ["area"]) == {"area": 2.5}
    assert answer((1, 2), EN) == answer([1, 2], EN) == {"east": 1, "north": 2}
    assert answer({"north": 2}, EN) == {"north": 2}
    with pytest.raises(ValueError, match=r"shorter|longer"):
        answer((1, 2, 3), EN)


def test_misspelt_number_names_those_that_are_given():
    with pytest.raises(AttributeError, match="no number 'depht' is given here, but depth, xi"):
        Numbers(depth=1, xi=2).depht  # noqa: B018


def test_carry_reads_the_trainees_own_numbers(bank):
    bank(AREA)
    one = area(
        asked=(Asked("area", "Area", "number"), Asked("half", "Half", "number")),
        solve=lambda g: (g.a * g.b, g.a * g.b / 2),
        carry=lambda g, own: {"half": own.area / 2 + g.a},
    )
    assert one.carry(G, {"area": 20.0}) == {"half": 13.0}
