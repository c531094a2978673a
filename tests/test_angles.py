"""Angles as surveyors type them, and the numbers beside them."""

import math

import pytest
from hypothesis import example
from hypothesis import given as drawn
from hypothesis import strategies as st

from geokit import angles

RIGHT = 54 + 12 / 60 + 30.5 / 3600
MINUTES = 54 + 12.508 / 60


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("54 12 30.5 N", RIGHT),
        ("54 12 30.5 n", RIGHT),
        ("54 12 30.5 north", RIGHT),
        ("54 12 30.5 S", -RIGHT),
        ("54 12 30.5s", -RIGHT),
        ("N 54 12 30.5", RIGHT),
        ("S54 12 30.5", -RIGHT),
        ("54°12'30.5\"N", RIGHT),
        ("54° 12′ 30.5″ N", RIGHT),
        ("54º12’30.5” S", -RIGHT),
        ("54°12'30.5''N", RIGHT),
        ("54° 12 30.5", RIGHT),
        ("54-12-30.5N", RIGHT),
        ("54 - 12 - 30.5 N", RIGHT),
        ("-54-12-30.5", -RIGHT),
        ("54:12:30.5", RIGHT),
        ("54\u00a012\u202f30.5\u2009N", RIGHT),
        ("  54\t12\n30.5  ", RIGHT),
        ("\u200e54 12 30.5 N\u202c", RIGHT),
        ("54d12.508m N", MINUTES),
        ("54d 12.508m s", -MINUTES),
        ("54 12.508' S", -MINUTES),
        ("54-12.508'N", MINUTES),
        ("54d12m30.5s", RIGHT),
        ("54d12m30.5sS", -RIGHT),
        ("54d12m30.5 S", -RIGHT),
        ("54deg 12min 30.5sec N", RIGHT),
        ("54 degrees 12 minutes 30.5 seconds N", RIGHT),
        ("54 degrees 12.508 minutes S", -MINUTES),
        ("54.2084 degrees", 54.2084),
        ("54° 12′·508 N", MINUTES),  # as charts and notices to mariners print it
        ("54°12'.508S", -MINUTES),
        ("54°12'30\".5 N", RIGHT),
        ("54 12 30''.5", RIGHT),
        ("54°.2084", 54.2084),
        ("54° .5'", 54 + 0.5 / 60),
        ("-54.2084", -54.2084),
        ("−54.2084", -54.2084),
        ("–54.2084°", -54.2084),
        ("+54.2084", 54.2084),
        ("54", 54),
        ("54.", 54),
        (".5", 0.5),
        ("90 00 00 S", -90),
        ("-0 30 00", -0.5),
        ("0 00 30 S", -30 / 3600),
    ],
)
def test_notations(text, degrees):
    assert angles.read(text, "latitude", ".") == pytest.approx(degrees, abs=1e-14)


@pytest.mark.parametrize(
    ("text", "decimal", "degrees"),
    [
        ("54 12 30,5 N", ",", RIGHT),
        ("54 12 30,5 N", None, RIGHT),
        ("54° 12′,508 N", ",", MINUTES),
        ("54,2084", ",", 54.2084),
        ("54,2084", None, 54.2084),
        ("54,208", ",", 54.208),
        ("0,208", None, 0.208),
        ("54.208", None, 54.208),
    ],
)
def test_decimal_signs(text, decimal, degrees):
    assert angles.read(text, "latitude", decimal) == pytest.approx(degrees, abs=1e-14)


@pytest.mark.parametrize(
    ("kind", "text", "degrees"),
    [
        ("longitude", "2 07 46.38 E", 2 + 7 / 60 + 46.38 / 3600),
        ("longitude", "66 07 30 W", -66.125),
        ("longitude", "293.875", -66.125),
        ("longitude", "180", 180),
        ("longitude", "-180", -180),
        ("azimuth", "358 30 00", 358.5),
        ("azimuth", "360", 0),
        ("angle", "540 00 05.4", 540.0015),
        ("angle", "-1 30", -1.5),
        ("latitude DD.MMSS", "54.12305", RIGHT),
        ("latitude DD.MMSS", "-54.12305", -RIGHT),
        ("latitude DD.MMSS", "54.12305 S", -RIGHT),
        ("latitude DD.MMSS", "54.1", 54 + 10 / 60),
        ("latitude DD.MMSS", "54", 54),
        ("latitude DD.MMSS", "54 12 30.5", RIGHT),
        ("azimuth DD.MMSS", "358.3", 358.5),
    ],
)
def test_kinds(kind, text, degrees):
    assert angles.read(text, kind, ".") == pytest.approx(degrees, abs=1e-13)


def test_arcseconds_in_a_radian():
    # 206 264.806 247″: every table of constants, from memory
    assert abs(angles.RHO - 206_264.806247) <= 5e-7


def test_packed_only_where_asked():
    assert angles.read("54.12305", "latitude", ".") == 54.12305


@pytest.mark.parametrize(
    ("kind", "text", "says"),
    [
        ("latitude", "54 61 00", "minutes are 61, but must be below 60"),
        ("latitude", "54 12 60", "seconds are 60, but must be below 60"),
        ("latitude", "54.5 12 00", "only the last number may have decimals"),
        ("latitude", "90 00 00.1", "between −90 and 90; are latitude and longitude swapped"),
        ("latitude", "-91", "between −90 and 90"),
        # receivers print degrees and minutes without a gap: read as 207.773° it would be in range
        ("longitude", "00207.773 E", "more than three digits; put a space between"),
        ("longitude", "0207.773", "more than three digits"),
        ("latitude", "5412.508 N", "more than three digits"),
        ("azimuth", "0054", "more than three digits"),
        ("latitude", "2 07 46 E", "has the letter E, but a latitude takes N or S"),
        ("longitude", "54 N", "has the letter N, but a longitude takes E or W"),
        ("longitude", "400", "between −360 and 360"),
        ("azimuth", "N 45 E", "has the letter N, but an azimuth takes none"),
        ("azimuth", "-2.2", "between 0 and 360; add or take off whole turns"),
        ("angle", "45 W", "has the letter W, but an angle takes none"),
        ("latitude", "N 54 S", "gives its direction twice"),
        ("latitude", "-54 S", "gives its direction twice"),
        ("latitude", "54 -12", "I could not read “54 -12” as a latitude; write it like"),
        ("latitude", "54 12 30 20", "I could not read"),
        ("latitude", "54'.5 12", "only the last number"),
        ("latitude", "54.1°.5", "I could not read"),
        ("latitude", "54°.5'", "I could not read"),  # of a degree, or of a minute?
        ("latitude", "54°.5 12", "only the last number may have decimals"),
        ("latitude", "54D12M30S", "I could not read"),
        ("latitude", "12.5.6", "I could not read"),
        ("latitude", "54.2, 2.1", "I could not read"),
        ("latitude", "", "Nothing is typed yet; I expect the latitude here."),
        ("latitude", " \u200e ", "Nothing is typed yet"),
        ("latitude", "north", "I could not read “north” as a latitude"),
        ("azimuth", "abc", "as an azimuth; write it like 54 12 30.5 or 54.2085."),
        ("latitude", "inf", "I could not read"),
        ("latitude", "-Infinity", "I could not read"),
        ("latitude", "∞", "I could not read"),
        ("latitude", "nan", "I could not read"),
        ("latitude", "1e1", "I could not read"),
        ("latitude", "٥٤", "I could not read"),
        ("latitude", "__import__('os').abort()", "I could not read"),
        ("latitude", "54\x1b[31m", r"I could not read “54\?\[31m”"),
        ("latitude DD.MMSS", "54.61", "minutes are 61"),
        ("latitude DD.MMSS", "54.1260", "seconds are 60"),
        ("latitude DD.MMSS", "x", "write it like 54.12305 or 54 12 30.5"),
    ],
)
def test_refusals(kind, text, says):
    with pytest.raises(ValueError, match=says) as error:
        angles.read(text, kind, ".")
    assert len(str(error.value)) < 160
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("text", ["x" * 61, "54 " * 40, "54 12 30.5 N\n" * 100_000, "<b>" * 500])
def test_a_page_of_text(text):
    for call in (lambda: angles.read(text, "angle", "."), lambda: angles.read_number(text, ".")):
        with pytest.raises(ValueError, match=f"got {len(text)} characters") as error:
            call()
        assert len(str(error.value)) < 160


def test_ambiguous_comma():
    for call in (
        lambda: angles.read("12,345", "angle", None),
        lambda: angles.read("54 12,345 N", "latitude", None),
        lambda: angles.read_number("12,345", None),
        lambda: angles.read_number("-12,345", None),
    ):
        with pytest.raises(ValueError, match="two ways; choose your decimal sign first"):
            call()


@pytest.mark.parametrize(("text", "decimal"), [("54,2084", "."), ("54.2084", ",")])
def test_the_other_decimal_sign(text, decimal):
    with pytest.raises(
        ValueError, match=r"I could not read .*: your decimal sign is the (point|comma)"
    ):
        angles.read(text, "latitude", decimal)


@pytest.mark.parametrize(
    ("text", "decimal", "says"),
    [
        ("12,345", ".", "write 12.345 for a number from 12 to 13, or 12 345 for thousands; "),
        ("-4.437", ",", "write -4,437 for a number from −4 to −5, or -4 437 for thousands; "),
        ("4.44", ",", "your decimal sign is the comma; write 4,44."),
        ("1.2e-6", ",", "your decimal sign is the comma; write 1,2e-6."),
    ],
)
def test_the_other_sign_alone_is_asked_again(text, decimal, says):
    with pytest.raises(ValueError, match=says.replace(".", r"\.")):
        angles.read_number(text, decimal)


def test_examples_carry_the_chosen_sign():
    with pytest.raises(ValueError, match="write it like 54 12 30,5 N or 54,2085"):
        angles.read("x", "latitude", ",")


def test_wrong_calls():
    with pytest.raises(ValueError, match="kind 'bearing' is not one of latitude"):
        angles.read("54", "bearing", ".")
    with pytest.raises(ValueError, match="decimal sign ';' is not"):
        angles.read("54", "angle", ";")


@pytest.mark.parametrize(
    ("text", "decimal", "number"),
    [
        ("12.5", ".", 12.5),
        ("12,5", ",", 12.5),
        ("12,5", None, 12.5),
        ("12.345", None, 12.345),
        ("12,345", ",", 12.345),
        ("12.345", ".", 12.345),
        ("0,345", None, 0.345),
        ("1,234.5", ".", 1234.5),
        ("1.234,5", None, 1234.5),
        ("1,234,567", None, 1234567),
        ("1.234.567", None, 1234567),
        ("1,234.5", ",", 1234.5),
        ("9 457.928", ",", 9457.928),
        ("9'457,928", ".", 9457.928),
        ("3 000", ".", 3000),
        ("3\u202f000.25", ".", 3000.25),
        ("−0.88", ".", -0.88),
        ("+ 7", ".", 7),
        ("1.2e-6", ".", 1.2e-6),
        (".5", ".", 0.5),
        ("5.", ".", 5),
        ("0", ".", 0),
    ],
)
def test_numbers(text, decimal, number):
    assert angles.read_number(text, decimal) == number


@pytest.mark.parametrize(
    ("text", "decimal"),
    [
        *[(text, ".") for text in ("", "abc", "12,3,4", "0,345", "1 2", "1 0000", "--5", "5 m")],
        *[(text, ".") for text in ("inf", "nan", "1e999", "0x10", "1_000", ".", "1.2.3", "5-3")],
        *[("12,3,4", None), ("12,34.5", ","), ("0.345", ",")],
    ],
)
def test_no_numbers(text, decimal):
    with pytest.raises(ValueError, match=r"I could not read|Nothing is typed|too large"):
        angles.read_number(text, decimal)


@pytest.mark.parametrize(
    ("degrees", "places", "text"),
    [
        (62.570861, 1, "62° 34′ 15.1″"),
        (RIGHT, 1, "54° 12′ 30.5″"),
        (-54.2, 0, "−54° 12′ 00″"),
        (59.99999999, 1, "60° 00′ 00.0″"),
        (-1e-9, 1, "0° 00′ 00.0″"),
        (2.0625, 3, "2° 03′ 45.000″"),
        (0.5, 12, "0° 30′ 00.000000000000″"),
        (math.nan, 1, "nan"),
    ],
)
def test_print(degrees, places, text):
    assert angles.dms(degrees, places) == text


@pytest.mark.parametrize("places", [-1, 1.5, 54.2085, 13])
def test_decimals_that_cannot_be_shown(places):
    with pytest.raises(ValueError, match=rf"{places} decimals.*0 to 12"):
        angles.dms(54.2085, places)


@drawn(st.floats(-90, 90))
def test_print_reads_back(degrees):
    assert angles.read(angles.dms(degrees, 6), "latitude", ".") == pytest.approx(
        degrees, abs=0.51e-6 / 3600
    )


@drawn(st.text(max_size=80) | st.text("0123456789 .,°'\"-NSEWdms:′″", max_size=30))
@example("9" * 60)
def test_anything_typed_is_an_angle_or_one_sentence(text):
    for kind in ("latitude", "angle DD.MMSS"):
        for decimal in (".", ",", None):
            try:
                result = angles.read(text, kind, decimal)
            except ValueError as error:
                sentence = str(error)
            else:
                sentence = "fine"
                assert math.isfinite(result)
            assert len(sentence) < 200
            assert sentence.isprintable()
