"""
What a lesson is checked against: read from the records, computed by geokit, and sharp.

Sharp: where one function of geokit is off by a ten-thousandth, each lesson that computes with it
says so the evening before, by its table or by an exercise that is worked a second time.
"""

import importlib
from types import SimpleNamespace

import pytest

from exercises import BANK, given
from exercises.bank.syllabus import LESSONS
from lessons import checked, test_evening
from lessons.checked import computed, published, table
from tests import uses

# Lessons that would not notice, because no value from outside is sharp enough there. Hunting for
# one is welcome; the list may only become shorter.
UNNOTICED = {
    "datums.Reversed.apply": {"sailing"},  # the sheet's evidence is allowed a part of its tolerance
    # kept in halves of a milligal: no value from outside is so sharp
    "geoid.EarthGravitationalModel1996.anomaly": {"attraction"},
    "geoid.PrintedGrid.height": {"heights"},  # drawn there; lesson 06 asks it
    "grid.TransverseMercator.arc_to_chord": {"grid"},
    "heights.geoid_in_tide_system": {"geoid"},
    "heights.tidal_extremes": {"heights"},
    "heights.tide": {"heights"},
    "motion.move": {"sailing"},  # as Reversed.apply
}
# Functions that return no numbers to spoil: an object, or a whole number.
NO_NUMBERS = {
    *("datums.Helmert.sign_reversed", "datums._SevenParameters.reverse", "datums.estimate"),
    *("grid.utm", "grid.utm_zone"),
    "gravity.NormalField.ellipsoid",
    *("terrain.trench", "terrain.seamount", "terrain.shelf_edge", "terrain.rooted"),
}


@pytest.mark.parametrize("topic", LESSONS)
def test_every_number_agrees(topic, capsys):
    checked.against(topic)
    assert "DISAGREES" not in capsys.readouterr().out


@pytest.mark.parametrize("record", sorted(computed.COMPUTED))
def test_a_computation_gives_only_what_its_record_holds(record):
    for row in computed.rows(record):
        assert row.name in published.RECORDS[record]["expected"]
        assert published.kind(record, row.name) in table.HEADINGS, "remembered numbers stay out"


def test_what_is_called_published_was_read():
    for topic in LESSONS:
        for row in table.rows(topic):
            if published.kind(row.record, row.name) == "published":
                assert published.RECORDS[row.record]["how_known"].startswith("read in public text")


def test_a_number_that_is_off_stops_the_lesson(capsys):
    with (
        uses.spoiled("deflection.geodetic_azimuth"),
        pytest.raises(table.DisagreementError, match=r"DV-05, laplace correction: −7\.15 is pri"),
    ):
        checked.against("deflection")
    assert "DISAGREES" in capsys.readouterr().out


def test_not_a_number_does_not_hold():
    assert not computed.Row("EL-01", "b", "", float("nan")).holds


@pytest.mark.parametrize(
    ("record", "name", "places"),
    [
        ("EL-01", "b", 4),
        ("EL-04", "R3", 4),  # …000.7900
        ("EC-01", "X", 3),
        ("MP-05", "N", 2),  # …740.50
        ("GE-01", "N", 3),
        ("SX-08", "excess", 0),
        ("DV-05", "laplace_correction", 2),
    ],
)
def test_numbers_are_rounded_as_printed(record, name, places):
    assert published.decimals(record, name) == places


@pytest.mark.full
def test_a_ten_thousandth_is_noticed_in_every_lesson_that_uses_the_number(monkeypatch, tmp_path):
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path))
    monkeypatch.syspath_prepend(uses.ROOT / "lessons")  # as a notebook's kernel has it
    importlib.import_module("start")
    used = {topic: uses.used_by(topic) for topic in LESSONS}
    stored = {topic: table.text(table.rows(topic)) for topic in LESSONS}
    assert not any(notices(topic, stored[topic]) for topic in LESSONS), "unspoiled"
    unnoticed = {}
    for name in sorted(set().union(*used.values()) - NO_NUMBERS):
        with uses.spoiled(name):
            for topic in LESSONS:
                if name in used[topic] and not notices(topic, stored[topic]):
                    unnoticed.setdefault(name, set()).add(topic)
    # A number kept from an earlier test is not computed again, so fewer may be found used.
    unnoticed = {n: t - UNNOTICED.get(n, set()) for n, t in unnoticed.items()}
    assert not any(unnoticed.values()), {n: t for n, t in unnoticed.items() if t}


def notices(topic, stored):
    """Return whether a lesson's table or one of its exercises comes out otherwise."""
    try:
        rows = table.rows(topic)
        if table.text(rows) != stored or not all(row.holds for row in rows):
            return True
        for exercise in BANK.values():
            if exercise.topic == topic:
                answer_again(exercise)
    except (ArithmeticError, AssertionError, ValueError):
        return True
    return False


def answer_again(exercise):
    for trainee in test_evening.TRAINEES:
        numbers = given(exercise, trainee, 1)
        seat = SimpleNamespace(exercise=exercise, given=numbers, trainee=trainee)
        test_evening.right_answer(seat)
