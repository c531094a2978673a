"""The marking: right, slip, near, wrong, unread, and what follows from an earlier part."""

import dataclasses
import hashlib
import itertools
import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises import BANK, find
from exercises.question import dice, reading
from exercises.question.marking import Worked, general_slips, mark, slip_name
from exercises.question.model import Asked
from exercises.question.reading import read

PLUMB = find("deflection-plumb-offset")
# 41.6″ and 27.3″ over 2 650 m, worked by hand: 1″ = 1/206 264.8, so 2 650 m give 12.847 mm each.
GIVEN = {"xi": -41.6, "eta": 27.3, "depth": 2650.0}
RIGHT = {"east": "-0.35", "north": "0.53"}
EAST = PLUMB.part("east")


def marked(**typed):
    return mark(PLUMB, GIVEN, RIGHT | typed, decimal=".")


def test_right_within_the_tolerance_and_not_beyond():
    assert marked().right
    assert marked(east="-0.37").right  # −0.3507 ± 0.02
    assert marked(east="-0.38").state == "near"
    assert not marked(east="-0.38").right
    assert marked(east="-0.30").state == "near"
    assert marked(east="-0.28").state == "wrong"


def test_a_slip_in_one_part_is_named_and_costs_that_part():
    verdict = marked(east="0.35")
    assert verdict.slips == ("opposite",)
    assert verdict.share == 0.5
    assert verdict.parts["east"].state == "slip"
    assert verdict.parts["north"].state == "right"
    assert "zenith" in verdict.sentence
    assert "0.35\u00a0m east" in verdict.sentence
    assert "+0.35" not in verdict.sentence, "a direction word is the sign"
    assert len(verdict.heading.split()) <= 7


def test_a_slip_that_fits_every_part_comes_before_one_that_fits_some():
    # The total is 0.639 m; with the sign of each part.
    assert marked(east="-0.64", north="0.64").slips == ("total",)
    assert marked(east="0.53", north="-0.35").slips == ("swapped",)


@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("key", ["deflection-plumb-offset", "heights-lat", "sailing-sheet"])
def test_without_words_and_worked_before_all_but_the_words_is_the_same(key, decimal):
    exercise = find(key)
    numbers = dice.given(exercise, "T07", 1)
    right = exercise.solve(numbers)
    routes = [right, *(right | route for route in exercise.wrong(numbers).values())]
    worked = Worked(exercise, numbers)
    for route in routes:
        typed = {part.name: part.show(route[part.name], decimal) for part in exercise.asked}
        whole = mark(exercise, numbers, typed, decimal=decimal)
        assert whole == mark(exercise, numbers, typed, decimal=decimal, worked=worked)
        bare = mark(exercise, numbers, typed, decimal=decimal, worked=worked, words=False)
        for name in ("right", "share", "slips", "state"):
            assert getattr(bare, name) == getattr(whole, name)
        for name, part in bare.parts.items():
            assert part == whole.parts[name]._replace(sentence=part.sentence)
        assert whole.sentence
        assert not bare.sentence


def test_unit_slips_are_recognised_in_any_exercise():
    assert marked(east="-351").slips == ("thousand",)
    assert marked(east="-1.15").slips == ("feet",)
    total = find("deflection-total")
    numbers = {"xi": -30.0, "eta": 40.0}
    verdict = mark(total, numbers, {"size": "0.01389", "azimuth": "126.9"})
    assert verdict.slips == ("unit-degrees",)
    verdict = mark(total, numbers, {"size": "50.0", "azimuth": "2.2"})
    assert verdict.slips == ("unit-radians",)


def test_metres_where_millimetres_are_asked_are_recognised():
    globe = find("ellipsoid-polar")  # WGS 84 on 500 mm: b = a(1 − f), 500/298.257223563 = 1.68 mm
    numbers = {
        "ellipsoid": "WGS 84",
        "a": 6378137.0,
        "inverse_flattening": 298.257223563,
        "globe": 500.0,
    }
    verdict = mark(globe, numbers, {"b": "6356752.31", "shorter": "0.00168"})
    assert verdict.slips == ("thousand",)
    assert mark(globe, numbers, {"b": "6356752.31", "shorter": "0.00168 m"}).right


def test_the_next_whole_number_is_not_near():
    """A zone or a point's number is right or not: more figures do not help."""
    zone = find("grid-zone")
    numbers = {"lat": 57.0, "lon": 2.0}  # zone 31, 3° E
    typed = {"zone": "31", "meridian": "3", "false_northing": "0"}
    assert mark(zone, numbers, typed).right
    assert mark(zone, numbers, typed | {"zone": "32"}).parts["zone"].state != "near"
    assert mark(zone, numbers, typed | {"zone": "33"}).parts["zone"].state == "wrong"


def test_an_azimuth_counts_round_the_circle():
    total = find("deflection-total")
    numbers = {"xi": 40.0, "eta": -0.02}  # azimuth 359.97°
    assert mark(total, numbers, {"size": "40.0", "azimuth": "0.1"}).right


def test_a_typed_unit_and_direction_word_are_understood():
    assert marked(east="351 mm W").right
    assert marked(east="0.35 m west", north="53 cm N").right
    assert marked(east="1.151 ft W").right


@pytest.mark.parametrize(
    "text",
    ["", "  ", "abc", "54 61 00", "inf", "nan", "1e999", "1/2", "0.35 kg", "-0.35 W", "x" * 9000]
    + ["__import__('os').system('true')", "0.3.5", "--1", "٣", "\u202e0.35"],
)
def test_what_cannot_be_read_is_said_and_nothing_else_is_marked(text):
    verdict = marked(east=text)
    assert verdict.state == "unread"
    assert verdict.share == 0
    assert not verdict.slips
    assert verdict.parts["north"].state == "unmarked", "half a marking would give parts away"
    assert len(verdict.sentence) < 300


@pytest.mark.parametrize(
    ("asked", "text", "value"),
    [
        (EAST, "W 0.35", -0.35),
        (EAST, "0.35 m west.", -0.35),
        (EAST, "351 MM W", -0.351),
        (EAST, "1'234.56", 1234.56),
        (EAST, "1 234.56\u200b m", 1234.56),
        (EAST, "−0.35 Metres", -0.35),
        (Asked("a", "A", "angle", "″", 1, 0.1), "0° 00′ 42.8″", 42.8),
        (Asked("a", "A", "angle", "°", 2, 0.02, positive="clockwise"), "1.49 anticlockwise", -1.49),
        (Asked("a", "A", "number", "°", 4, 0.0002, positive="east"), "100°53′54.6″ W", -100.8985),
        (Asked("a", "A", "length", "m", 3, 0.002, positive="passes"), "0.129 m fails", -0.129),
        (Asked("a", "A", "angle", "″", 1, 0.1, positive="too large"), "2.1″ too small", -2.1),
        (Asked("a", "A", "gravity", "mGal", 1, 0.2), "9.783833 m/s²", 978383.3),
        (Asked("a", "A", "number", "mm/yr", 1, 0.2), "0.0199 m/a", 19.9),
        (Asked("a", "A", "length", "NM", 2, 0.05), "11.45 M", 11.45),
        (Asked("a", "A", "length", "NM", 2, 0.05), "11.45 nautical miles", 11.45),
        (Asked("a", "A", "area", "km²", 0, 5.0), "6179 km^2", 6179),
        (Asked("a", "A", "azimuth", "°", 1, 0.2), "360", 0),
        (Asked("a", "A", "longitude", "°", 1, 0.2), "181", -179),
    ],
)
def test_what_is_plain_is_read(asked, text, value):
    assert read(asked, text, ".") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["0.35 O", "W 0.35 E", "−0.35 W", "+0.35 E", "3 M", "0.35 south"])
def test_what_could_mean_two_things_is_not_read(text):
    """O is east in German and west in French; M is a metre to some and a mile to others."""
    with pytest.raises(ValueError, match=r"does not fit here|one of the two|could not read"):
        read(EAST, text, ".")


def test_a_small_s_behind_seconds_is_asked_again():
    xi = find("deflection-components").part("xi")
    with pytest.raises(ValueError, match="seconds or south"):
        read(xi, "28.55 s", ".")
    assert read(xi, "28.55 S", ".") == read(xi, "28.55″ s", ".") == -28.55
    assert read(xi, "0.00793º", ".") == pytest.approx(28.548)


@settings(deadline=None)  # a busy machine is no mistake
@given(st.text(max_size=40) | st.text("0123456789.,-+−eE NSEWmkft°′″'\"", max_size=20))
def test_any_text_is_read_or_refused_in_one_sentence(text):
    for asked in (EAST, *find("lines-direct").asked, *find("grid-convergence").asked):
        for decimal in (".", ",", None):
            try:
                said = f"{read(asked, text, decimal):.0f} is a finite number"
            except ValueError as error:
                said = str(error)
            assert said.isprintable()
            assert "nan" not in said.split()[:1]
            assert 15 < len(said) < 400


def test_a_comma_is_a_riddle_until_the_decimal_sign_is_chosen():
    typed = RIGHT | {"north": "12,345"}
    assert "decimal sign" in mark(PLUMB, GIVEN, typed, decimal=None).sentence
    typed = {"east": "-0,35", "north": "12,345"}
    assert mark(PLUMB, GIVEN, typed, decimal=",").parts["north"].value == 12.345
    assert mark(PLUMB, GIVEN, {"east": "-0,35", "north": "0,53"}, decimal=",").right


def test_one_slip_costs_once_where_the_next_part_follows():
    laplace = find("deflection-laplace")
    numbers = {"azimuth": 60.0, "xi": 1.57, "eta": 7.54, "lat": 43.5, "zenith": 80.0}
    # Right is −6.73″ (DV-08); somebody has −9.00″ and carries it on: 59° 59′ 51.0″.
    verdict = mark(laplace, numbers, {"correction": "-9.0", "alpha": "59 59 51.0"})
    assert verdict.parts["correction"].state == "wrong"
    assert verdict.parts["alpha"].state == "follows"
    assert verdict.share == 0.5
    assert not verdict.right
    assert mark(laplace, numbers, {"correction": "-6.7", "alpha": "59 59 53.3"}).right


def test_where_to_look_is_said_once_for_all_parts():
    verdict = marked(east="7.77", north="-9.99")
    assert [part.state for part in verdict.parts.values()] == ["wrong", "wrong"]
    assert verdict.sentence.count("is not it.") == 2
    assert verdict.sentence.count("No slip known to the course leads there.") == 1


def test_a_choice_names_the_idea_behind_the_wrong_one():
    first = find("deflection-first-weight")
    numbers = {"order": ["south", "north", "same", "centre"]}
    assert mark(first, numbers, {"choice": "south"}).right
    verdict = mark(first, numbers, {"choice": "centre"})
    assert verdict.slips == ("centre",)
    assert "centre" in verdict.sentence
    assert mark(first, numbers, {"choice": "moon"}).state == "unread"
    assert mark(first, numbers, {}).state == "unread"


# Unit slips, from the definitions: 1° = 60′ = 3600″, 1 rad = 206 264.806″ (180 × 3600 / π).
IN_ARCSECONDS = {"″": 1.0, "′": 60.0, "°": 3600.0, "rad": 206264.806247}
NAMED = {"″": "arcseconds", "′": "arcminutes", "°": "degrees", "rad": "radians"}


def general(asked, right):
    """Return {slip: values} of unit, sign and order that one asked number can have."""
    exercise = dataclasses.replace(find("deflection-total"), asked=(asked,), slips=(), pairs=())
    found = {}
    for one in general_slips(exercise, {asked.name: right})[asked.name]:
        found.setdefault(one.key, []).append(one)
    return found


@pytest.mark.parametrize("asked", IN_ARCSECONDS)
@pytest.mark.parametrize("given_in", IN_ARCSECONDS)
def test_an_angle_in_another_unit_is_its_number_in_that_unit(asked, given_in):
    found = general(Asked("a", "A", "number", asked, 9, 1e-9), 0.5)
    key = f"unit-{NAMED[given_in]}"
    if asked == given_in:
        assert key not in found
    else:
        (slip,) = found[key]
        expected = 0.5 * IN_ARCSECONDS[asked] / IN_ARCSECONDS[given_in]
        assert slip.value == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("unit", "factors"),
    [
        ("m", {"thousand": [1000, 0.001], "feet": [1 / 0.3048, 0.3048]}),
        ("mm", {"thousand": [0.001]}),
        ("km", {}),
        ("mGal", {}),
    ],
)
def test_a_length_off_by_a_thousand_or_in_feet(unit, factors):
    found = general(Asked("a", "A", "number", unit, 3, 0.001), 80.0)
    assert found.pop("sign")[0].value == -80.0
    values = {key: [one.value for one in those] for key, those in found.items()}
    assert values == {
        key: pytest.approx([80 * one for one in every], rel=1e-12) for key, every in factors.items()
    }


@pytest.mark.parametrize(
    ("kind", "unit", "slip"),
    [
        ("latitude", "°", "hemisphere"),
        ("longitude", "°", "hemisphere"),
        ("number", "mGal", "sign"),
        ("azimuth", "°", None),
        ("count", "1", None),
    ],
)
def test_what_has_a_sign_may_have_it_turned(kind, unit, slip):
    found = general(Asked("a", "A", kind, unit, 1, 0.1), 50.0)
    assert {key for key in found if not key.startswith("unit")} == ({slip} if slip else set())
    assert slip is None or found[slip][0].value == -50.0


def test_a_slip_lost_in_the_tolerance_of_nought_is_none():
    part = Asked("a", "A", "number", "mGal", 2, 0.1)
    assert "sign" in general(part, 0.31)
    assert "sign" not in general(part, 0.29)


def test_in_another_unit_it_may_be_rounded_as_asked():
    """41.6″ are 0.6933′, or 0.7 to the one decimal that is asked: 0.65 to 0.75 round to it."""
    total = find("deflection-total")
    numbers = {"xi": 0.0, "eta": 41.6}
    for typed, slips in [("0.7432", ("unit-arcminutes",)), ("0.7435", ()), ("0.6935", None)]:
        verdict = mark(total, numbers, {"size": typed, "azimuth": "90.0"}, decimal=".")
        assert verdict.slips == (("unit-arcminutes",) if slips is None else slips), typed


def test_where_the_two_parts_are_swapped_it_is_said():
    """ξ and η in each other's place, in an exercise that does not name that slip itself."""
    parts = tuple(Asked(name, name.upper(), "number", "mGal", 1, 0.1) for name in "ab")
    exercise = dataclasses.replace(
        find("deflection-total"), asked=parts, slips=(), pairs=(("a", "b"),)
    )
    found = general_slips(exercise, {"a": 3.0, "b": 7.0})
    assert [one.value for one in found["a"] if one.key == "swapped"] == [7.0]
    assert [one.value for one in found["b"] if one.key == "swapped"] == [3.0]


def test_the_part_that_could_not_be_read_is_named():
    verdict = marked(north="abc")
    assert {name: part.state for name, part in verdict.parts.items()} == {
        "east": "unmarked",
        "north": "unread",
    }
    assert verdict.sentence.startswith(f"{PLUMB.part('north').label}: ")
    first = find("deflection-first-weight")
    alone = mark(first, {"order": ["south", "north", "same", "centre"]}, {"choice": "moon"})
    assert not alone.sentence.startswith(first.asked[0].label)
    assert marked(east="", north="abc").heading == "I could not read “abc”"
    assert marked(east="", north="").heading == "A part is missing"


def test_the_label_is_said_only_where_there_are_several_parts():
    assert marked(north="9.99").sentence.startswith(f"{PLUMB.part('north').label}: ")
    alone = find("heights-orthometric")
    (asked,) = alone.asked
    verdict = mark(alone, {"h": 50.0, "arm": 2.0, "N": 40.0}, {asked.name: "77"}, decimal=".")
    assert not verdict.right
    assert verdict.sentence.startswith(asked.say(77.0))


def test_another_method_is_named_and_no_other_state_is():
    """95 % of one error of 0.1 m, 1σ: 1.96 × 0.1 = 0.196 m; by the usual 2σ 0.200 m."""
    ers = find("heights-ers")
    numbers = {"gnss": 0.1, "separation": 0.0, "sounding": 0.0, "arms": 0.0, "tide": 0.0}
    verdict = mark(ers, numbers, {"total": "0.200"}, decimal=".")
    assert (verdict.state, verdict.share, verdict.slips) == ("method", 0, ())
    assert verdict.heading == "Another method: 95 % taken as 2σ"
    assert "0.004" in verdict.sentence
    assert mark(ers, numbers, {"total": "0.196"}, decimal=".").heading == "Right"
    assert mark(ers, numbers, {"total": "0.9"}, decimal=".").heading == "Not this number"


@pytest.mark.parametrize(("slip", "state"), [("", "wrong"), ("feet", "slip")])
def test_an_exercise_may_explain_a_number_itself(slip, state):
    own = dataclasses.replace(
        PLUMB, slips=(), methods=(), reason=lambda given, name, value: (slip, f"{name}: {value} m")
    )
    verdict = mark(own, GIVEN, RIGHT | {"north": "9.99"}, decimal=".")
    part = verdict.parts["north"]
    assert (part.state, part.slip, part.sentence) == (state, slip, "north: 9.99 m")
    assert verdict.slips == ((slip,) if slip else ())
    assert verdict.sentence == f"{PLUMB.part('north').label}: north: 9.99 m"


def test_on_paper_a_part_that_could_not_be_read_is_what_is_said():
    verdict = mark(PLUMB, GIVEN, RIGHT | {"north": "abc"}, decimal=".", each_part=True)
    assert (verdict.state, verdict.share) == ("unread", 0.5)
    assert verdict.heading == "A part could not be read"


@pytest.mark.parametrize(("decimal", "other"), [(".", ","), (",", ".")])
def test_a_verdict_writes_the_decimal_sign_of_whoever_typed(decimal, other):
    typed = {"east": "-0.35", "north": "-0.53"}
    verdict = mark(
        PLUMB, GIVEN, {name: text.replace(".", decimal) for name, text in typed.items()},
        decimal=decimal,
    )  # fmt: skip
    assert verdict.slips == ("opposite",)
    for text in (verdict.sentence, verdict.parts["north"].sentence):
        assert f"0{decimal}53" in text
        assert f"0{other}53" not in text


def test_why_a_choice_is_right_is_said():
    first = find("deflection-first-weight")
    order = {"order": ["south", "north", "same", "centre"]}
    verdict = mark(first, order, {"choice": "south"})
    assert verdict.right
    assert verdict.sentence == first.remark_right != ""


def test_behind_a_right_part_the_wrong_one_is_explained():
    assert "9.99" in marked(north="9.99").sentence
    assert "-0.35" not in marked(north="9.99").sentence


def test_a_slip_that_the_course_knows_no_more_keeps_its_key():
    assert slip_name(PLUMB, "of-an-earlier-edition") == "of-an-earlier-edition"
    assert slip_name(PLUMB, "feet") == "Feet, not metres"


# Reading -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("way", "typed", "sign"),
    [("up", "3 u", 1), ("up", "3 d", -1), ("up", "3 down", -1), ("east", "3 e", 1)]
    + [("east", "3 w", -1), ("north", "3 n", 1), ("north", "3 S", -1)]
    + [("clockwise", "3 cw", 1), ("clockwise", "3 ccw", -1)],
)
def test_the_short_words_of_a_direction(way, typed, sign):
    assert read(Asked("a", "A", "number", "m", 1, 0.1, positive=way), typed, ".") == 3 * sign


@pytest.mark.parametrize(
    ("unit", "text"),
    [("mm/yr", "3.2 mm/yr ± 0.1 mm/yr"), ("m/s²", "3.2 m/s² ± 0.1 m/s²"), ("m²", "3.2 m² ± 1 m²")],
)
def test_how_sure_a_number_is_may_stand_behind_it_with_its_whole_unit(unit, text):
    assert read(Asked("a", "A", "number", unit, 1, 0.1), text, ".") == 3.2


@pytest.mark.parametrize(
    ("unit", "word"), [("″", "seconds"), ("′", "minutes"), ("mas", "milliarcseconds")]
)
def test_parts_without_marks_are_asked_for_in_words(unit, word):
    with pytest.raises(ValueError, match=f"or {word} alone"):
        read(Asked("a", "A", "number", unit, 1, 0.1), "1 41 09", ".")


# From the definitions (SI brochure, 9th edition; the foot of 1959, the nautical mile of 1929).
UNITS = (
    {"mm": 0.001, "cm": 0.01, "m": 1, "km": 1000, "ft": 0.3048, "NM": 1852},
    {"m²": 1, "ha": 10_000, "km²": 1_000_000},
    {"mas": 0.001, "″": 1, "′": 60, "°": 3600, "gon": 3240, "mgon": 3.24}
    | {"rad": 206264.806247, "mrad": 206.264806247},
    {"mGal": 1e-5, "Gal": 0.01, "m/s²": 1},
    {"mm/yr": 0.001, "cm/yr": 0.01, "m/yr": 1},
    {"ppb": 0.001, "ppm": 1},
)


@pytest.mark.parametrize(
    ("family", "asked", "typed"),
    [(family, asked, typed) for family in UNITS for asked in family for typed in family],
)
def test_each_unit_is_read_where_another_of_its_kind_is_asked(family, asked, typed):
    got = read(Asked("a", "A", "number", asked, 9, 1e-9), f"2.5 {typed}", ".")
    assert got == pytest.approx(2.5 * family[typed] / family[asked], rel=1e-11)


@pytest.mark.parametrize(
    ("text", "value"),
    [(f"2 {unit}", 2) for unit in ("mm/a", "mm/y", "mm/year", "mm a year", "mm per year")]
    + [(f"2 {unit}", 20) for unit in ("cm/a", "cm/y", "cm/year", "cm a year", "cm per year")]
    + [(f"2 {unit}", 2000) for unit in ("m/a", "m/y", "m/year", "m a year", "m per year")],
)
def test_a_year_may_be_written_out(text, value):
    assert read(Asked("a", "A", "number", "mm/yr", 1, 0.1), text, ".") == pytest.approx(value)


@pytest.mark.parametrize("quoted", ['"0.35"', "'0.35'", "«0.35»", "« 0.35 »", "»0.35«", "„0.35“"])
def test_quotation_marks_of_any_country_are_left_off(quoted):
    assert read(EAST, quoted, ".") == 0.35


def test_what_is_too_long_for_a_number_is_refused_as_it_stands():
    for length in (200, 201, 5000):
        with pytest.raises(ValueError, match=f"got {length} characters"):
            read(EAST, "0.35".ljust(length, "0"), ".")


# The short ways of large classes -------------------------------------------------------


@pytest.mark.parametrize("decimal", [".", ",", None])
def test_a_plain_number_is_read_as_the_long_way_reads_it(decimal, monkeypatch):
    texts = ("0", "-0", "+12.50", "007", "1,5", "12,345", "1234567", "-41.60", "360", "0.000001")
    parts = [asked for exercise in BANK.values() for asked in exercise.asked]

    def read():
        for asked, text in itertools.product(parts, texts):
            try:
                yield repr(reading.read(asked, text, decimal))
            except ValueError as error:
                yield str(error)

    short = list(read())
    monkeypatch.setattr(reading, "_PLAIN", re.compile("(?!)"))  # nothing is plain
    assert short == list(read())


@pytest.mark.parametrize("name", ["T07", "7KQ2-T07", 'a "b" \\ é 😀 \ud800\n'])
def test_the_seed_is_that_of_the_list_as_json_writes_it(name):
    """By its definition: the first bytes of SHA-256 over a list in JSON."""
    text = json.dumps([2, "grid-quay", name, 11, name])
    by_definition = int.from_bytes(hashlib.sha256(text.encode("ascii")).digest(), "big")
    assert dice.seed(2, "grid-quay", name, 11, name) == by_definition


def test_a_draw_within_a_draw_has_dice_of_its_own():
    """The generators are used again: one that is still in use must not be."""
    outer = dataclasses.replace(
        find("deflection-total"),
        draw=lambda own: {
            "before": own.whole(0, 10**9),
            "inner": dice.given(find("grid-quay"), "T08", 1),
            "after": own.whole(0, 10**9),
        },
    )
    alone = dice.Dice(dice.seed(outer.edition, outer.key, "T07", 3))
    before, after = alone.whole(0, 10**9), alone.whole(0, 10**9)
    given = dice.given(outer, "T07", 3)
    assert (given["before"], given["after"]) == (before, after)
    assert given["inner"] == dice.given(find("grid-quay"), "T08", 1)
