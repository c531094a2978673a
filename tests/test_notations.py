"""
What people type, and what it means: a table, worked by hand, against the one reader.

In notations.tsv `sign` is the decimal sign of the one who types, or none; `means` is the value in
the asked unit, written out (54+12/60 for 54° 12′), or behind a question mark a part of the
sentence that asks again.
"""

import re
from fractions import Fraction
from pathlib import Path

import pytest

from exercises import BANK, DMS, Asked, given, mark, read
from exercises.question import wording
from exercises.question.reading import plain_field, site_fields
from exercises.sheets import session
from exercises.trainee.practice import Practice
from lessons.computing.computations import COMPUTATIONS
from lessons.computing.workbench import Workbench
from lessons.course.welcome import OWN, panel
from lessons.widgets.answer_box import ask
from lessons.widgets.live import Slider

TABLE = Path(__file__).with_name("notations.tsv").read_text(encoding="utf-8").splitlines()
ROWS = [tuple(line.split("\t")) for line in TABLE[1:]]
SIGNS = {".": ".", ",": ",", "none": None}
NUMERIC = [
    (key, asked) for key, one in BANK.items() for asked in one.asked if asked.kind != "choice"
]


def _typed(cell):
    """Return a cell with its signs that no editor shows: \\u202f and the like."""
    cell = cell.replace(r"\t", "\t")
    return re.sub(r"\\u([0-9a-f]{4})", lambda found: chr(int(found[1], 16)), cell)


def _worth(means):
    """Return the value of "-54-12/60-30.5/3600"."""
    terms = re.findall(r"([+-]?)([0-9.]+)(?:/([0-9]+))?", means)
    assert "".join(s + n + (f"/{d}" if d else "") for s, n, d in terms) == means
    return float(sum((-1 if s == "-" else 1) * Fraction(n) / int(d or 1) for s, n, d in terms))


def test_the_table_is_large_and_has_no_line_twice():
    assert len(ROWS) >= 300
    assert len({row[:5] for row in ROWS}) == len(ROWS)
    assert all(len(row) == 6 and row[3] in SIGNS for row in ROWS)


@pytest.mark.parametrize(("kind", "unit", "positive", "sign", "typed", "means"), ROWS)
def test_what_is_typed_means_this_or_is_asked_again(kind, unit, positive, sign, typed, means):
    asked = Asked("a", "A", kind, unit, 3, 0.001, positive)
    if means.startswith("? "):
        with pytest.raises(ValueError, match=re.escape(means[2:])) as error:
            read(asked, _typed(typed), SIGNS[sign])
        assert "\n" not in str(error.value)
        assert len(str(error.value)) < 300
    else:
        assert read(asked, _typed(typed), SIGNS[sign]) == pytest.approx(
            _worth(means), rel=1e-9, abs=1e-12
        )


# What the course writes, it reads ----------------------------------------------------------


def _written(asked, value, back):
    """Whether what came back is the value, rounded to the figures that are written of it."""
    unit = 10.0**-asked.decimals / (3600 if asked.unit == DMS else 1)
    slack = max(asked.tolerance / 1000, 1e-9)  # a count has no tolerance
    whole = abs(back / unit - round(back / unit)) * unit <= slack
    return whole and _apart(asked, value, back) <= unit / 2 + slack


def _apart(asked, a, b):
    turns = asked.kind in ("azimuth", "longitude")
    return min(abs(a - b), abs(abs(a - b) - 360)) if turns else abs(a - b)


@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize(("key", "asked"), NUMERIC, ids=[f"{k}-{a.name}" for k, a in NUMERIC])
def test_everything_written_is_read_back(key, asked, decimal):
    exercise = BANK[key]
    for trainee in range(1, 21):
        numbers = given(exercise, f"T{trainee:02}", 1)
        answers = [exercise.solve(numbers), *exercise.wrong(numbers).values()]
        for value in [answer[asked.name] for answer in answers if asked.name in answer]:
            for text in (asked.say(value, decimal), asked.show(value, decimal)):
                assert _written(asked, value, read(asked, text, decimal)), text


@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("key", {key: None for key, _ in NUMERIC})
def test_the_right_answer_typed_as_it_is_printed_is_right(key, decimal):
    exercise = BANK[key]
    for trainee in range(1, 21):
        numbers = given(exercise, f"T{trainee:02}", 1)
        right = exercise.solve(numbers)
        typed = {asked.name: asked.say(right[asked.name], decimal) for asked in exercise.asked}
        assert mark(exercise, numbers, typed, decimal=decimal).right, typed


@pytest.mark.parametrize("asked", [asked for _, asked in NUMERIC if asked.positive])
def test_a_direction_word_or_a_sign_and_never_both(asked):
    for size in (15.76, -15.76, 0.0):
        said = asked.say(size)
        words = asked.positive, wording.OPPOSITE[asked.positive]
        assert "+" not in said
        assert wording.MINUS not in said
        assert said.endswith(words) == (size != 0)


# An ambiguous text costs nobody an attempt ---------------------------------------------------


@pytest.fixture
def comma(tmp_path, monkeypatch):
    """T07, who writes 12,5."""
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    session.sign_in("T07")
    session.choose_decimal(",")


@pytest.mark.parametrize("text", ["4.437", "0.35", "−15.76 m", "±0,35", "-0,35 m W"])
def test_an_ambiguous_text_is_no_attempt(comma, text):
    practised = Practice(BANK["deflection-plumb-offset"])
    typed = {"east": text, "north": "0,53"}
    assert practised.mark(typed).state == "unread"
    practised.answer(typed)
    assert practised.attempts == 0
    practised.answer({"east": "0,01", "north": "0,53"})
    assert practised.attempts == 1


def test_no_answer_is_counted_beside_does_not_count(comma):
    box = ask("deflection-plumb-offset")
    box.entries["east"].value, box.entries["north"].value = "4.437", "0,53"
    box.check()
    assert "does not count as an answer" in box.messages.value
    assert "answer" not in box.head.value
    box.entries["east"].value = "4,437"
    box.check()
    assert "does not count" not in box.messages.value
    assert "answer 1" in box.head.value
    box.entries["east"].value = "4.44"
    box.check()
    assert "answer" not in box.head.value


def test_a_turned_sign_is_a_slip_where_no_direction_is_named():
    exercises = [one for one in BANK.values() if one.asked[0].kind == "length"]
    plain = [one for one in exercises if not one.asked[0].positive and len(one.asked) == 1]
    named = 0
    for exercise in plain:
        numbers, asked = given(exercise, "T07", 1), exercise.asked[0]
        right = exercise.solve(numbers)[asked.name]
        slips = mark(exercise, numbers, {asked.name: asked.say(-right)}, decimal=".").slips
        named += slips == ("sign",)
        assert slips, f"{exercise.key}: {asked.say(-right)}"
    assert named >= 5


# The other fields ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("label", "unit", "kind", "text", "value"),
    [
        ("Far end", "km along it", "number", "3 km", 3),
        ("Far end", "km along it", "number", "3000 m", 3),
        ("Height h", "m above the ellipsoid +", "number", "85 m", 85),
        ("Wire", "m below the waterline", "number", "1 234.5", 1234.5),
        ("Noise", "″, each direction", "number", '4.5"', 4.5),
        ("Latitude", "°, north +", "latitude", "54 30 N", 54.5),
        ("Azimuth", "° of the line", "number", "60 30", 60.5),
        ("Azimuth", "° of the line", "number", "60.5°", 60.5),
        ("Pitch", "° bow up +", "number", "2.5 down", -2.5),
        ("Scale", "ppm", "number", "1.5 ppm", 1.5),
        ("Tilt drawn", "times too steep", "number", "1 500", 1500),
        ("ξ, north +", "″", "number", "26.7 S", -26.7),
        ("rates of tX", "mm a year", "number", "1.5 mm/yr", 1.5),
        ("epoch", "decimal year", "number", "2026.5", 2026.5),
        ("k₀, scale on it", "", "number", "0.9996", 0.9996),
    ],
)
def test_a_field_that_belongs_to_no_exercise(label, unit, kind, text, value):
    assert read(plain_field(label, unit, kind), text, ".") == pytest.approx(value, abs=1e-12)


def test_a_field_refuses_what_it_cannot_be():
    with pytest.raises(ValueError, match="does not fit here: the answer is asked in m"):
        read(plain_field("Height", "m"), "3 kg", ".")
    with pytest.raises(ValueError, match="degrees, minutes and seconds"):
        read(plain_field("Noise", "″"), "1 41 09", ".")


def test_a_figure_field_shows_and_reads_the_comma(comma):
    slider = Slider("ratio", "Ratio", "km", 0, 100, 19, step=0.5, decimals=3)
    assert slider._field.value == "19,000"
    slider._field.value = "19,500"  # one digit changed
    assert (slider.value, slider.trouble) == (19.5, "")
    slider._field.value = "3 km"
    assert (slider.value, slider._field.value) == (3.0, "3,000")
    slider._field.value = "4.437"
    assert "write 4,437" in slider.trouble
    assert slider.value == 3.0
    slider._field.value = "1500 m"
    assert (slider.value, slider.trouble) == (1.5, "")


def test_the_site_form_reads_as_a_surveyor_writes(comma):
    form = panel()
    form.places.value = OWN
    texts = {"name": "x", "latitude": "54 12 30,5 N", "longitude": "2° 07,773′ E"}
    for name, text in (texts | {"water_depth": "85 m"}).items():
        form.own[name].value = text
    form.choose_own()
    site = session.open().site
    assert site.latitude == pytest.approx(54 + 12 / 60 + 30.5 / 3600)
    assert site.longitude == pytest.approx(2 + 7.773 / 60)
    assert site.water_depth == 85
    assert site_fields("54 N", "2 E", "", ",")["water_depth"] == 0
    with pytest.raises(ValueError, match=r"Water depth: .*write 85,5"):
        site_fields("54 N", "2 E", "85.5 m", ",")


def test_the_workbench_reads_units_and_the_comma(comma):
    bench = Workbench()
    title = next(name for name, one in COMPUTATIONS.items() if one.topic.startswith("01"))
    bench.choose(title)
    for field in COMPUTATIONS[title].fields:
        texts = {"distance": "18 km", "radius": "6 371 000 m", "refraction": "0,13"}
        bench.fields[field.name].value = texts[field.name]
    bench.compute()
    assert "<td>" in bench.results.value
    bench.fields["distance"].value = "4.437"
    bench.compute()
    assert "can be read in two ways" in bench.results.value
    bench.choose("Polygon on the ellipsoid")
    bench.fields["corners"].value = "50,5 2\n51 3,25\n50 4"
    bench.fields["ellipsoid"].value = "WGS 84"
    bench.compute()
    assert "<td>" in bench.results.value
