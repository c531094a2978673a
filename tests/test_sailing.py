"""
Lesson 13: the parameter sheet, its faults, and the waypoint against PROJ.

Operations are read from the EPSG dataset that PROJ carries and run by PROJ, not by geokit.
"""

import itertools
import json
import math
import re
from pathlib import Path

import numpy as np
import pyproj
import pytest
from pyproj import Geod, Transformer

from exercises import find
from exercises.bank import parameter_sheet as sheets
from exercises.bank.sailing import TOLERANCES
from exercises.question.dice import given
from exercises.question.marking import mark
from exercises.sheets.roster import Person
from exercises.trainer import sailing
from geokit import INTERNATIONAL1924, datums, ecef
from lessons.figures.sailing.links import WORDS, chain, walk

SHEET, WAYPOINT = find(sailing.SHEET), find(sailing.WAYPOINT)
EPSG = (1905, 1927, 1613)  # of the fields in their order
PIPELINE = (
    "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart +ellps=intl "
    "+step +proj=helmert +x={} +y={} +z={} +rx={} +ry={} +rz={} +s={} +convention=position_vector "
    "+step +inv +proj=cart +ellps=WGS84 "
)
TO_DEGREES = "+step +proj=unitconvert +xy_in=rad +xy_out=deg"


def sheet_draws():
    for number in range(3000):
        yield given(SHEET, f"T{number:04d}", 1 + number % 3)


@pytest.mark.parametrize("field", range(3))
def test_the_parameters_are_the_registrys(field):
    """EPSG 1905, 1927 and 1613: seven numbers, position vector, on International 1924."""
    here = sheets.FIELDS[field]
    operation = pyproj.crs.CoordinateOperation.from_epsg(EPSG[field])
    assert "Position Vector" in operation.method_name
    assert str(EPSG[field]) in here.operation
    assert tuple(p.value for p in operation.params[:7]) == here.parameters
    source = operation.to_json_dict()["source_crs"]
    assert source["name"] == here.datum
    assert pyproj.CRS.from_json_dict(source).ellipsoid.name == "International 1924"


@pytest.mark.parametrize("trainee", [f"T{number:02d}" for number in range(1, 13)])
def test_the_waypoint_is_that_of_a_pyproj_pipeline(trainee):
    """Transformation and grid by PROJ, the plate by PROJ's geodesic, one after the other."""
    g = given(WAYPOINT, trainee, 1)
    here = sheets.FIELDS[g["field"]]
    lat, lon = sheets.well(g)
    to_wgs84 = Transformer.from_pipeline(PIPELINE.format(*here.parameters) + TO_DEGREES)
    lon, lat, _ = to_wgs84.transform(lon, lat, 0.0)
    east, north = (v / 1000 for v in sheets.drift(g["field"], sheets.well(g))[:2])
    years = g["job_epoch"] - g["list_epoch"]
    azimuth = math.degrees(math.atan2(east, north))
    lon, lat, _ = Geod(ellps="WGS84").fwd(lon, lat, azimuth, math.hypot(east, north) * years)
    code = (32600 if here.hemisphere == "north" else 32700) + here.zone
    on_grid = Transformer.from_crs(4326, code, always_xy=True).transform(lon, lat)
    right = WAYPOINT.solve(g)
    assert right["easting"] == pytest.approx(on_grid[0] + g["offset_east"], abs=0.005)
    assert right["northing"] == pytest.approx(on_grid[1] + g["offset_north"], abs=0.005)


def test_every_planted_fault_stands_above_the_noise_for_3_000_trainees():
    seen = set()
    for g in sheet_draws():
        planted, costs = g["planted"], sheets.sizes(g)
        assert 3 <= len(planted) == len(set(planted)) <= 5
        assert all(costs[name] > 5 * TOLERANCES[name] for name in planted), g
        if "plumb" in planted:
            assert costs["plumb"] > 3 * sheets.ARRAY_NOISE
            assert g["depth"] > sheets.DEEP
        for name in sheets.LINES:  # a planted fault can be read, and a right line is not touched
            differs = sheets.says(g, name, True) != sheets.says(g, name, False)
            assert differs or name == "plumb"
            assert differs or name not in planted
        seen |= set(planted)
    assert seen == set(sheets.LINES)
    assert len(seen) >= 12


@pytest.mark.parametrize("field", range(3))
@pytest.mark.parametrize("stray", range(4))
def test_no_fault_of_the_transformation_hides_another(field, stray):
    """Whatever is planted, and whichever faults are left: the test mark misses by a metre."""
    here = sheets.FIELDS[field]
    axis = sheets.neighbour({"neighbour": stray})
    known = sheets.carried(field, here.mark, sheets.MARK_HEIGHT).xyz
    met = []
    for wrong_axis, turned, backwards in itertools.product((False, True), repeat=3):
        start = ecef.to_ecef(
            *here.mark, sheets.MARK_HEIGHT, axis if wrong_axis else INTERNATIONAL1924
        )
        convention = datums.CONVENTIONS[turned]
        operation = datums.Helmert(*here.parameters, convention=convention)
        met.append((operation.reverse() if backwards else operation).apply(*start))
    assert math.dist(met[0], known) < 0.01
    for one, other in itertools.combinations(met, 2):
        assert math.dist(one, other) > 1.0


def test_the_same_sheet_again_and_the_waypoint_shares_it():
    one = sailing.paper("T07", 2)
    assert one == sailing.paper("T07", 2) != sailing.paper("T07", 1)
    assert sailing.paper("T08", 2) != one
    assert given(SHEET, "T07", 2) == given(WAYPOINT, "T07", 2)


def test_a_fault_with_its_size_off_counts_half_and_a_false_alarm_takes_half_a_fault():
    g = given(SHEET, "T07", 1)
    right = SHEET.solve(g)
    typed = {asked.name: asked.show(right[asked.name]) for asked in SHEET.asked}
    faults, sound = g["planted"], [n for n in sheets.LINES if n not in g["planted"]]

    def share(**changed):
        return mark(SHEET, g, typed | changed)

    assert share().right
    off = share(**{faults[0]: "7777"})
    assert off.share == pytest.approx(1 - 0.5 / len(faults))
    assert "Found" in off.sentence
    alarm = share(**{sound[0]: "55"})
    assert alarm.slips == ("false-alarm",)
    assert alarm.share == pytest.approx(1 - 0.5 / len(faults))
    missed = share(**{faults[-1]: "0"})
    assert missed.slips == ("missed",)
    assert missed.share == pytest.approx(1 - 1 / len(faults))
    assert mark(SHEET, g, dict.fromkeys(typed, "0")).share == 0
    assert mark(SHEET, g, dict.fromkeys(typed, "9999")).share == 0


def test_the_page_holds_every_line_and_none_of_the_answers():
    page = sailing.page([Person("T07"), Person("T08")])
    assert "script" not in page.casefold()
    for trainee in ("T07", "T08"):
        assert trainee in page
    assert all(f"{n + 1} {title}" in page for n, title in enumerate(sheets.LINES.values()))
    assert page.count("Parameter sheet</h1>") == 2


def test_numbers_of_an_answer_file_are_small_and_json():
    text = json.dumps(given(SHEET, "T07", 1))
    assert len(text) < 1000


@pytest.mark.parametrize("field", range(3))
def test_the_figure_says_each_link_and_its_miss(field):
    figure = chain()
    assert figure.error is None
    right = dict.fromkeys(WORDS, False)
    assert "lands on the target" in figure.drawing.update(field=field, **right)
    for name, (_, wrong) in WORDS.items():
        said = figure.drawing.update(field=field, **(right | {name: True}))
        assert wrong in said
        distance, _, up = walk(field, name).off(walk(field))
        assert ("lands on the target" in said) == (max(distance, abs(up)) < 0.01)
        assert len(figure.drawing.canvas.png()) > 1000


# The plumb line's row: what a deflection moves, and what it leaves where it is

LESSON = Path(__file__).resolve().parents[1] / "lessons" / "13_sailing.ipynb"
LEVER = 30.0  # metres from the antenna down to the transducer
NEAREST = 1e-6  # metres, to which the transponder is found


def ranged(depth, lean):
    """
    Return how far off a transponder is found from GNSS positions, acoustic ranges and a lever arm.

    The vessel is levelled by gravity, whose down leans from the normal's by `lean`: there hangs
    the transducer, and the computation takes it to be straight below the antenna.
    """
    down = np.array([math.sin(lean), 0.0, -math.cos(lean)])
    angles = np.radians(np.arange(0, 360, 30))
    antennas = np.array([[depth * np.cos(a), depth * np.sin(a), LEVER] for a in angles])
    true = np.array([0.0, 0.0, -depth])
    ranges = np.linalg.norm(antennas + LEVER * down - true, axis=1)
    taken = antennas - [0.0, 0.0, LEVER]
    found = true + [40.0, -30.0, 20.0]
    for _ in range(20):
        away = found - taken
        lengths = np.linalg.norm(away, axis=1)
        step = np.linalg.lstsq(away / lengths[:, None], ranges - lengths, rcond=None)[0]
        found = found + step
    assert np.linalg.norm(step) < NEAREST
    return math.hypot(*(found - true)[:2])


def test_a_ranged_array_feels_the_levelled_arm_and_a_weight_the_whole_depth():
    """60.8″ and 3 000 m: 9 mm in the array, 0.88 m at the weight and in a levelled beam."""
    lean = math.radians(60.8 / 3600)
    assert ranged(3000.0, lean) == pytest.approx(0.0088, abs=0.0001)
    assert 3000 * math.tan(lean) == pytest.approx(0.884, abs=0.001)
    assert 2000 * math.tan(lean) == pytest.approx(0.590, abs=0.001)  # depths by pressure
    lesson = LESSON.read_text(encoding="utf-8").replace("\u202f", " ").replace("\xa0", " ")
    reported = re.search(r"What the plumb line moves\.\*\*(.+)", lesson)[1]
    assert all(number in reported for number in ("60.8″", "0.88 m", "0.59 m", "9 mm on 30 m"))


@pytest.mark.parametrize("trainee", [f"T{number:02d}" for number in range(1, 9)])
def test_line_8_says_what_the_plumb_line_moves_and_leaves_a_good_array_alone(trainee):
    g = given(SHEET, trainee, 1)
    xi, eta, _ = sheets.model(g["field"], sheets.well(g))
    lean = math.hypot(xi, eta) * math.pi / 648_000
    worked = next(line for line in SHEET.steps(g) if line.startswith("8 "))
    reported = float(re.search(r"([\d.]+) mm on 30 m", worked)[1])
    assert reported == pytest.approx(1000 * ranged(g["depth"], lean), abs=0.51)
    for faulty in (False, True):
        assert sheets.says(g, "plumb", faulty).startswith("Array kept as ranged")
    right = sheets.says(g, "plumb", False).replace("−", "-")
    if g["depth"] * lean > sheets.ARRAY_NOISE:
        east, north = (
            float(size) * (1 if way in ("east", "north") else -1)
            for size, way in re.findall(r"([\d.]+)\xa0m (east|west|north|south)", right)
        )
        assert east == pytest.approx(-eta * math.pi / 648_000 * g["depth"], abs=0.006)
        assert north == pytest.approx(-xi * math.pi / 648_000 * g["depth"], abs=0.006)


def test_a_line_judged_alone_is_named_alone():
    """One fault missed, or half of it found, is named though the other lines are right."""
    seen = set()
    for number in range(40):
        g = given(SHEET, f"T{number:02d}", 1)
        right = SHEET.solve(g)
        typed = {asked.name: asked.show(right[asked.name]) for asked in SHEET.asked}
        for name in g["planted"]:
            assert mark(SHEET, g, typed | {name: "0"}).slips == ("missed",)
            half = mark(SHEET, g, typed | {name: str(right[name] / 2)})
            assert half.slips == (("once",) if name in sheets.TWICE else ())
            seen.add(name)
    assert seen == set(sheets.LINES)
