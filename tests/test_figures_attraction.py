"""The figures of lesson 09 against Newton's integral, published anomalies' geoid and the curve."""

import re

import numpy as np
import pytest

from exercises.sheets.scenario import PLACES, Site
from geokit import WGS84, deflection, gravity, terrain
from geokit import attraction as attraction_of
from geokit.geoid import EGM96
from geokit.gravity import WGS84_FIELD
from lessons.figures import attraction
from lessons.figures.attraction import raised as dug
from lessons.figures.attraction.common import MOUNT, SHAPES, SHELF, Shape
from tests import published
from tests.test_attraction import RHO, newton
from tests.test_figures import words

WALL = PLACES["Brindle Wall"]
FORTY_FIVE = Site("Half way", 45.0, -30.0, 0.0, "ITRF2020", 2026.5, 6000.0)


def numbers(text, pattern):
    """Return the numbers of a readout that a pattern with groups finds, a minus as it is meant."""
    found = re.search(pattern, text)
    assert found, text
    return [float(one.replace("−", "-").replace("\u202f", "")) for one in found.groups()]


def raised(**controls):
    figure = attraction.dig_and_raise(WALL)
    for name, value in controls.items():
        figure.controls[name].set(value)
    assert figure.error is None
    return words(figure)


def test_the_lean_beside_a_seamount_is_newton_s_integral():
    said = raised(shape="seamount", relief=4000, width=50, stand=-25)
    pull = sum(
        newton((0.0, -25_000.0, 0.0), bounds, density, nodes=10, parts=4)[0]
        for bounds, density in zip(*terrain.seamount(5000, 4000, 50_000), strict=True)
    )
    g = gravity.normal(WALL.latitude, 0, WGS84_FIELD)
    (lean,) = numbers(said, r"leans ([\d.]+)″ south")
    assert lean == pytest.approx(RHO * pull[1] / g, abs=0.06)
    (goes,) = numbers(said, r"goes ([\d.]+) m north, towards the seamount")
    assert goes == pytest.approx(pull[1] / g * 5000, abs=0.006)


@pytest.mark.parametrize(
    ("shape", "south", "north"),
    [
        ("seamount", "north, towards", "south, towards"),
        ("trench", "south, away from", "north, away from"),
        ("shelf edge on its root", "south, towards the shelf", "south, towards the shelf"),
    ],
)
def test_where_the_weight_goes(shape, south, north):
    for stand, goes in ((-20, south), (20, north)):
        assert goes in raised(shape=shape, width=50, stand=stand)


@pytest.mark.parametrize("shape", ["seamount", "trench", "trench on its root"])
def test_over_the_middle_it_hangs_along_the_normal(shape):
    assert "hangs along the normal" in raised(shape=shape, stand=0, relief=4900)


def test_the_model_loses_what_is_narrow():
    """Of a seamount 20 km wide EGM96's detail holds under a third, of a wide shelf most."""
    profile = np.linspace(-120_000, 120_000, 161)
    for shape, low, high in ((Shape(MOUNT, 4000, 20_000), 0.05, 0.33),
                             (Shape(SHELF, 4000, 100_000), 0.85, 1.0)):  # fmt: skip
        kept = np.abs(shape.smoothed(profile, 9.8)).max()
        kept /= np.abs(shape.deflections(profile, 9.8)).max()
        assert low < kept < high


def test_the_normal_wire_over_a_level_seabed():
    figure = attraction.down_the_wire(FORTY_FIVE)
    figure.controls["place"].set("over a level seabed")
    figure.controls["length"].set(3000)
    assert figure.error is None
    (foot,) = numbers(words(figure), r"curved one ends ([\d.]+) mm north")
    assert foot == pytest.approx(published.value("AT-04", "foot"), abs=0.05)
    assert "straight wire would end under 0.1 mm" in words(figure)


def test_a_wire_beside_rock_curves_towards_it():
    figure = attraction.down_the_wire(WALL)
    straight, curved, apart = numbers(
        words(figure), r"would end ([\d.]+) m north, .* ends ([\d.]+) m north, ([\d.]+) m apart"
    )
    assert curved > straight
    assert apart == pytest.approx(curved - straight, abs=0.011)


@pytest.mark.parametrize("place", PLACES.values(), ids=lambda place: place.name)
def test_the_rings_say_what_the_slope_says(place):
    figure = attraction.rings_of_gravity(place)
    true = deflection.from_geoid(place.latitude, place.longitude, EGM96, WGS84)
    (apart,) = numbers(words(figure), r"([\d.]+)″ apart")
    assert apart < 2.0
    for part, way in zip(true, ("north|south", "east|west"), strict=True):
        assert re.search(rf"gives.* {abs(part):.1f}″( ({way}))?", words(figure))


@pytest.mark.parametrize("source", ["a seamount of 4 000 m", "a shelf edge with its root"])
def test_a_shape_s_own_gravity_gives_back_its_pull(source):
    figure = attraction.rings_of_gravity(WALL)
    figure.controls["source"].set(source)
    (apart,) = numbers(words(figure), r"([\d.]+)″ apart")
    assert apart <= 0.6


def test_rings_drawn_in_lose_most_of_the_wall():
    figure = attraction.rings_of_gravity(WALL)
    figure.controls["reach"].set(40)
    (left,) = numbers(words(figure), r"leans ([\d.]+)″ north")
    assert left < 0.5 * 60.7, "more than half of the angle is gone"


@pytest.mark.parametrize("name", [MOUNT, SHELF])
def test_what_a_model_keeps_is_the_mean_over_its_detail(name):
    """Newton's pull averaged over 55 km, by Gauss's rule: not by the potential's difference."""
    shape = Shape(name, 4000, 20_000)
    nodes, weights = np.polynomial.legendre.leggauss(40)
    for middle in (-40_000.0, 5_000.0):
        lines = (0.0, 11_000.0, 22_000.0) if name == MOUNT else (0.0,)
        pulls = [
            attraction_of.body(east, middle + 27_500 * nodes, 0.0, *shape.body)[1] @ weights / 2
            for east in lines
        ]
        mean = np.average(pulls, weights=(1, 2, 2) if name == MOUNT else None)
        found = shape.smoothed(np.array([middle]), 9.8)[0]
        assert found == pytest.approx(-RHO * mean / 9.8, abs=0.02)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("width", [5_000, 200_000])
def test_between_the_points_that_are_worked_out_the_geoid_is_a_centimetre_from_itself(name, width):
    shape = Shape(name, 4900, width)
    between = dug.halved(shape.lifts(dug.NORTH[::2], 9.8))[1::2]
    pulled = attraction_of.body_potential(0.0, dug.NORTH[1::2], 0.0, *shape.body) / 9.8
    assert np.abs(between - pulled).max() < 0.01


def test_a_slider_that_changes_nothing_stands_idle_and_says_why():
    figure = attraction.rings_of_gravity(WALL)
    stand = figure.controls["stand"]
    (cell,) = stand.cells
    for source in (0, 1, 0):
        figure.controls["source"].set(list(figure.controls["source"].options)[source])
        idle = source == 0
        assert [part.disabled for part in stand.parts] == [idle, idle]
        assert ("gk-idle" in cell._dom_classes) == idle
        assert ("none chosen" in cell.children[0].value) == idle
        assert ("km north" in cell.children[0].value) != idle
        before = figure.drawing.canvas._codes.copy()
        stand.set(stand.value + 5)
        assert np.array_equal(figure.drawing.canvas._codes, before) == idle, "it is true"
