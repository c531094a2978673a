"""
The figures of lesson 10, against pyproj, the EPSG dataset and published examples.

Every figure is driven without a browser at all kinds of places, both ends of every control.
"""

import doctest
import math
import re

import numpy as np
import pyproj
import pytest
from pyproj import Transformer

from exercises.sheets.scenario import PLACES
from geokit import datums as transformations
from geokit import geoid
from lessons.figures import datums
from lessons.figures.datums import common, offers, registry, shifts
from lessons.widgets.live import Choice, Slider
from tests import published
from tests.test_figures import badly_placed, place, words

NORTH_SEA = PLACES["Dunnock Field"]
HEIGHTS = "h to EGM96, 4979 to 9707"
SITES = [
    NORTH_SEA,
    PLACES["Wendle Bank"],
    place("Farthest north", 85.0, 10.0),
    place("Farthest south", -85.0, -170.0),
    place("Null", 0.0, 0.0),
    place("A name of forty letters, as long as kept", -23.5, 180.0),
]


@pytest.fixture(scope="module", params=datums.__all__)
def figure(request):
    return getattr(datums, request.param)(NORTH_SEA)


def ends(figure, choices):
    """Put the sliders to their ends together, the first one against the rest; and the choices."""
    movable = [each for each in figure.controls.values() if isinstance(each, Slider)]
    start = [slider.value for slider in movable]
    for end in ("low", "high"):
        for slider in movable:
            slider.put(getattr(slider, end))
        figure.redraw()
        yield f"all sliders {end}"
        if movable:
            movable[0].set(start[0])
            yield f"all but {movable[0].name} {end}"
    for slider, value in zip(movable, start, strict=True):
        slider.put(value)
    for choice in (each for each in figure.controls.values() if isinstance(each, Choice)):
        if choice.name == "pair" or not choices:  # test_every_pair_is_drawn
            continue
        options = list(choice.options)
        for option in options[1::3]:
            choice.set(option)
            yield f"{choice.name} = {option}"
        choice.put(options[0])


@pytest.mark.parametrize("site", SITES, ids=lambda site: site.name)
def test_draws_everywhere_at_both_ends_of_every_control(figure, site):
    figure.controls["site"].put(site)
    if "pair" in figure.controls:  # the one that a trainee with this site sees first
        figure.controls["pair"].put(offers.first(site))
    figure.redraw()
    for where in ends(figure, site is NORTH_SEA):
        assert figure.error is None, f"{where}: {figure.error}"
        said = words(figure)
        for text in (said, *(entry.text for entry in figure.drawing.canvas.written)):
            assert not re.search(r"nan|inf\b|None|[+−]0(\.0+)?(?![\d.])", text), f"{where}: {text}"
        assert 60 < len(said) < 400, f"{where}: {said}"
        faults = badly_placed(figure.drawing.canvas)
        assert not faults, f"{where}: {faults}"


def test_examples_in_the_docstrings():
    failed, tried = doctest.testmod(common)
    assert tried == 2
    assert failed == 0


def test_nothing_asks_the_network():
    assert not pyproj.network.is_network_enabled()


# one latitude and longitude, many datums -------------------------------------------------------


def metres(text):
    """A length as the figures write it."""
    amount, unit = re.fullmatch(r"([+−]?[\d.\u202f]+)[\xa0 ](mm|m|km)", text).groups()
    amount = float(amount.replace("\u202f", "").replace("−", "-"))
    return amount * {"mm": 0.001, "m": 1, "km": 1000}[unit]


def written(figure):
    return [entry.text for entry in figure.drawing.canvas.written]


def test_ed50_lies_where_the_published_example_puts_it():
    """HT-02: a place in WGS 84 and its numbers in ED50; the registry's parameters are newer."""
    figure = datums.many_datums(NORTH_SEA)
    latitude, longitude = (published.given("HT-02", name) for name in ("latitude", "longitude"))
    figure.controls["site"].move(latitude, longitude)
    said = re.search(r"read in ED50 .* lies (\d+ m) (\S+) \(azimuth (\d+)°\)", words(figure))
    north = (48 * 60 + published.value("HT-02", "latitude_seconds")) / 3600 + 53 - latitude
    east = (7 * 60 + published.value("HT-02", "longitude_seconds")) / 3600 + 2 - longitude
    north, east = north * 111_300, east * 111_300 * math.cos(math.radians(latitude))
    # the point that ED50 calls by these numbers lies as far the other way
    assert metres(said[1]) == pytest.approx(math.hypot(north, east), abs=5)
    assert said[2] == "south-west"
    assert float(said[3]) == pytest.approx(math.degrees(math.atan2(east, north)) + 180, abs=3)


@pytest.mark.parametrize("datum", registry.DATUMS, ids=lambda datum: datum.name)
def test_operations_are_those_of_the_registry(datum):
    for code in datum.operations:
        operation = registry.operation(code)
        assert operation.name.startswith(f"{datum.name} to WGS 84")
        assert registry.source(datum) == f"EPSG:{pyproj.CRS(datum.name).to_epsg()}"
        # a second way: the dataset's parameters through geokit
        given = {
            part["name"]: part["value"]
            for part in operation.transformer.to_json_dict()["parameters"]
        }
        method = operation.transformer.to_json_dict()["method"]["name"]
        turned = [given.get(f"{axis}-axis rotation", 0) for axis in "XYZ"]
        helmert = transformations.Helmert(
            *(given[f"{axis}-axis translation"] for axis in "XYZ"),
            *turned,
            given.get("Scale difference", 0),
            convention="coordinate frame" if "Coordinate Frame" in method else "position vector",
        )
        west, south, east, north = operation.area
        here = (south + north) / 2, (west + (east if east > west else east + 360)) / 2, 0.0
        moved = helmert.apply(*shifts.ecef.to_ecef(*here, operation.ellipsoid))
        back = shifts.ecef.from_ecef(*moved, shifts.WGS84)
        found = operation.offset(*here[:2])
        assert np.allclose(found, registry.east_north(here, back), atol=0.005)


def test_a_datum_of_elsewhere_is_said_to_be_so():
    figure = datums.many_datums(NORTH_SEA)
    figure.controls["datum"].set("Tokyo")
    assert "area of use does not reach the site" in words(figure)
    figure.controls["datum"].set("ED50")
    assert "EPSG:1311" in words(figure)


def test_an_area_over_the_date_line_holds_both_sides():
    area = (160.0, -50.0, -170.0, 0.0)
    assert registry.reaches(area, -20, 179)
    assert registry.reaches(area, -20, -179)
    assert not registry.reaches(area, -20, 0)


# seven parameters ------------------------------------------------------------------------------


def test_the_switch_costs_what_the_published_example_costs():
    """HT-05: 19.7 m from the sign of one rotation."""
    figure = datums.seven_parameters(NORTH_SEA)
    figure.controls["site"].move(55.0, 4.0)
    for name, given in (("tz", "tZ"), ("rz", "rZ"), ("scale_ppm", "dS")):
        figure.controls[name].put(published.given("HT-04", given))
    figure.redraw()
    apart = metres(re.search(r": ([\d.]+ m) apart", words(figure))[1])
    name = "error_if_rZ_not_reversed"
    assert apart == pytest.approx(published.value("HT-05", name), abs=0.05)
    assert "as position vector it goes" in words(figure)
    figure.controls["convention"].set("coordinate frame")
    assert "as coordinate frame it goes" in words(figure)
    assert metres(re.search(r": ([\d.]+ m) apart", words(figure))[1]) == apart


def test_the_numbers_of_the_lesson():
    """One arcsecond is 31 m at the equator, one ppm 6.4 m, in height."""
    figure = datums.seven_parameters(NORTH_SEA)
    figure.controls["site"].move(0.0, 0.0)
    assert "goes 30.9 m east; as coordinate frame 30.9 m west: 61.8 m apart" in words(figure)
    figure.controls["rz"].put(0)
    figure.controls["scale_ppm"].set(1)
    assert "6.38 m up" in words(figure)
    for name in ("rx", "ry", "rz"):
        figure.controls[name].put(20)
    figure.controls["scale_ppm"].set(0)
    figure.controls["site"].move(35.0, 100.0)
    back = metres(re.search(r"all signs misses by ([\d.]+ m?m)", words(figure))[1])
    squared = 3 * math.radians(20 / 3600) ** 2  # of the whole turn; the lesson: up to 0.18 m
    assert 0.05 < back < squared * 6_378_137
    full = words(figure)
    figure.controls["exact"].set("full rotation")
    assert words(figure) != full


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("rz", "150", "is it an angle in degrees, or in milliarcseconds?"),
        ("scale_ppm", "1.0000025", "looks like a scale factor"),
        ("scale_ppm", "20489", "is it in parts per billion?"),
        ("tx", "3771793.97", "is it a coordinate, or in millimetres?"),
        ("ry", "a little", "a little"),
    ],
)
def test_what_is_no_parameter_is_refused_in_the_figures_place(name, typed, sentence):
    figure = datums.seven_parameters(NORTH_SEA)
    before = figure.picture.value
    figure.controls[name]._field.value = typed
    assert "gk-error" in figure.readout.value
    assert isinstance(figure.error, ValueError) or figure.controls[name].trouble
    assert sentence in words(figure)
    assert figure.picture.value == before
    figure.controls[name]._field.value = "0.5"
    assert figure.error is None


# candidates ------------------------------------------------------------------------------------


def test_the_operations_are_those_that_pyproj_offers():
    figure = datums.candidates(NORTH_SEA)
    assert "EPSG:1613" in words(figure)
    for number in (2, 3, 4):
        figure.controls["order"].set(f"number {number}")
        name = re.search(rf"number {number}, (.*), lies ([\d.]+ m)", words(figure))
        code = {"ED50 to WGS 84 (18)": 1311, "ED50 to WGS 84 (2)": 1134, "ED50 to WGS 84 (1)": 1133}
        one, other = (
            Transformer.from_pipeline(f"urn:ogc:def:coordinateOperation:EPSG::{each}").transform(
                57.0, 2.0
            )
            for each in (1613, code[name[1]])
        )
        _, _, distance = pyproj.Geod(ellps="WGS84").inv(*one[::-1], *other[::-1])
        assert metres(name[2]) == pytest.approx(distance, abs=0.005)


def test_one_operation_alone_stands_beside_the_numbers_as_they_are():
    wall = PLACES["Brindle Wall"]
    there = Transformer.from_pipeline("urn:ogc:def:coordinateOperation:EPSG::1170").transform(
        wall.latitude, wall.longitude
    )
    _, _, away = pyproj.Geod(ellps="WGS84").inv(wall.longitude, wall.latitude, there[1], there[0])
    figure = datums.candidates(wall)
    assert f"EPSG:1170, good to 16 m), which moves the point {away:.1f} m north-east" in words(
        figure
    )
    assert f"2: {away:.1f}\xa0m" in written(figure)
    figure.controls["order"].set("number 2")
    assert f"φ and λ as they stand lie {away:.1f} m south-west of it" in words(figure)
    figure.controls["order"].set("the software’s choice")
    figure.controls["site"].set("Wendle Bank")
    figure.controls["pair"].set("NAD83 to WGS 84")
    assert "which leaves φ and λ as they stand; no other" in words(figure)


def test_beside_it_stand_the_operations_of_the_next_areas():
    """One for Cuba claims a metre; its area, in the dataset, ends west of the wall."""
    wall, code = PLACES["Brindle Wall"], 15978
    cuba = Transformer.from_pipeline(f"urn:ogc:def:coordinateOperation:EPSG::{code}")
    assert cuba.accuracy == 1
    assert cuba.area_of_use.east < wall.longitude
    one, other = (
        Transformer.from_pipeline(f"urn:ogc:def:coordinateOperation:EPSG::{each}").transform(
            wall.latitude, wall.longitude
        )
        for each in (1170, code)
    )
    _, _, apart = pyproj.Geod(ellps="WGS84").inv(*one[::-1], *other[::-1])
    figure = datums.candidates(wall)
    figure.controls["order"].set("number 6")
    said = re.search(
        r"NAD27 to WGS 84 \(88\), lies ([\d.]+ m) .* not for this place", words(figure)
    )
    assert metres(said[1]) == pytest.approx(apart, abs=0.005)
    assert any(entry.startswith(f"not here: EPSG:{code} · Cuba") for entry in written(figure))


@pytest.mark.parametrize("site", SITES, ids=lambda site: site.name)
def test_no_operation_of_elsewhere_reaches_the_place(site):
    for pair in offers.PAIRS.values():
        here = site.latitude, site.longitude
        reach = {each.code for each in registry.candidates(pair.source, pair.target, *here)}
        for each in registry.elsewhere(pair.source, pair.target, *here):
            assert each.code not in reach
            assert not each.ballpark
            assert np.isfinite(each.result).all()


def test_the_nearest_areas_come_first():
    """By the places' own names: east of the Dover Strait before the south of Spain."""
    names = [each.area_name for each in registry.elsewhere("EPSG:4230", "EPSG:4326", 52.5, 4.0)]
    assert not any("Gibraltar" in name or "Cyprus" in name for name in names)
    areas = ((10.0, 50.0, 20.0, 60.0), (170.0, -10.0, -170.0, 10.0))
    assert registry._degrees_away(areas[0], 55.0, 15.0) == 0
    assert registry._degrees_away(areas[0], 62.0, 15.0) == 2
    assert registry._degrees_away(areas[1], 0.0, -179.0) == 0
    assert registry._degrees_away(areas[1], 0.0, -165.0) == 5
    assert registry._degrees_away(areas[1], 60.0, -170.0 + 20.0) > 50


def test_the_pair_follows_a_place_that_is_chosen_and_heights_stay():
    figure = datums.candidates(PLACES["Brindle Wall"])
    figure.controls["site"].set("Dunnock Field")
    assert "ED50 to WGS 84: the software takes" in words(figure)
    assert "3 more reach the site" in words(figure)
    figure.controls["pair"].set(HEIGHTS)
    figure.controls["site"].set("Corrie Deep")
    assert HEIGHTS in words(figure)
    figure.controls["pair"].set("ED50 to WGS 84")
    figure.controls["site"].move(56.0, 3.0)  # a position of one's own keeps what is chosen
    assert "ED50 to WGS 84: the software takes" in words(figure)


def test_without_its_grid_the_height_comes_back_unchanged_and_silent(recwarn):
    figure = datums.candidates(NORTH_SEA)
    figure.controls["pair"].set(HEIGHTS)
    height = -geoid.EGM96.height(57.0, 2.0)
    said = metres(re.search(r"H = (\S+ m) for h = 0", words(figure))[1])
    assert said == pytest.approx(height, abs=0.02)  # PROJ goes straight between the nodes
    figure.controls["grid"].set("taken away")
    assert "h comes back unchanged, and nothing says so, out by 45.5 m" in words(figure)
    assert "us_nga_egm96_15.tif" in words(figure)
    assert "2: H" not in " ".join(written(figure))
    figure.controls["ballpark"].set("forbidden")
    assert "the software refuses" in words(figure)
    figure.controls["grid"].set("in its place")
    assert "H = −45.53 m" in words(figure)
    assert not recwarn.list


def test_the_grid_is_there_only_where_it_is_laid_out():
    """Asked of PROJ itself: a plain transformer finds the grid inside, and not outside."""

    def height():
        return Transformer.from_crs("EPSG:4979", "EPSG:9707").transform(57.0, 2.0, 0.0)[2]

    before = pyproj.datadir.get_data_dir()
    assert height() == 0
    with registry.laid_out(True):
        assert height() == pytest.approx(-45.53, abs=0.02)
    assert height() == 0
    with registry.laid_out(False):
        assert height() == 0
    assert pyproj.datadir.get_data_dir() == before


def test_a_missing_grid_leaves_the_old_numbers_too():
    figure = datums.candidates(place("England", 52.0, 0.0))
    figure.controls["pair"].set("OSGB36 to ETRS89")
    assert "φ and λ come back unchanged" in words(figure)
    assert "OSTN15" in words(figure)
    figure.controls["ballpark"].set("forbidden")
    assert "the software refuses" in words(figure)


def test_a_frame_unknown_to_the_registry_is_refused():
    with pytest.raises(ValueError, match="'EPSG:99999' is not a coordinate system"):
        registry.candidates("EPSG:99999", "EPSG:4326", 57.0, 2.0)


def test_every_pair_is_drawn_in_reach_and_out_of_it():
    figure = datums.candidates(NORTH_SEA)
    for name in offers.PAIRS:
        figure.controls["pair"].set(name)
        assert figure.error is None
        assert f"{name}: the software takes" in words(figure)
        assert not badly_placed(figure.drawing.canvas), name


# fingerprints ----------------------------------------------------------------------------------


def by_key(*args, **kwargs):
    return {each.key: each for each in shifts.fingerprints_at(*args, **kwargs)}


def test_fingerprints_are_those_of_the_lesson():
    found = by_key(57.0, 2.0)
    assert found["ignored"].level == pytest.approx(118.4, abs=0.1)  # EPSG 1311
    assert 45 < found["ignored"].azimuth < 60
    assert found["backwards"].level == pytest.approx(2 * found["ignored"].level, rel=0.001)
    # an arcsecond about Z, read the other way: twice ρ·X
    arm = 6_378_137 / math.sqrt(1 - 0.0066943799901 * math.sin(math.radians(57)) ** 2)
    arm *= math.cos(math.radians(57))
    assert found["rz"].east == pytest.approx(-2 * arm * math.radians(1 / 3600), abs=0.001)
    assert found["rz"].north == pytest.approx(0, abs=0.001)
    assert found["scale"].up == pytest.approx(-6.36, abs=0.01)
    assert found["scale"].level < 0.025
    assert found["grid"].up == pytest.approx(geoid.EGM96.height(57.0, 2.0))
    assert found["null"].level == pytest.approx(0.8, abs=0.05)  # ETRS89, some 25 mm a year
    assert 200 < found["null"].azimuth < 240


def test_fingerprints_grow_with_the_parameters():
    one, ten = by_key(19.0, -66.125), by_key(19.0, -66.125, rotation=10, scale=10)
    for key in ("rx", "ry", "rz", "scale"):
        assert ten[key].up == pytest.approx(10 * one[key].up, rel=1e-3, abs=1e-4)
        assert ten[key].level == pytest.approx(10 * one[key].level, rel=1e-3)


def test_the_gap_of_australia_is_as_published():
    """HT-07: the frame of 1994 and that of 2020 stand 1.75 m apart, 26 years of the plate."""
    since_2020 = by_key(-23.67, 133.89, epoch=2026.0)["null"].level
    yearly = since_2020 / 6
    assert 26 * yearly == pytest.approx(published.value("HT-07", "shift"), rel=0.06)


def test_the_readout_says_what_the_arrows_show():
    figure = datums.fingerprints(NORTH_SEA)
    found = by_key(57.0, 2.0)
    said = words(figure)
    for key in ("ignored", "rx", "ry", "rz", "null"):
        assert (
            f"{found[key].level:.{2 if key == 'null' else 0 if key == 'ignored' else 1}f} m" in said
        )
    figure.controls["rotation"].set(0.001)
    assert "0.001″" in words(figure)
