"""Every form of the workbench, filled in and computed; published values come out of it."""

import re

import numpy as np
import pyproj
import pytest
from published import given, tolerance, value

from exercises.sheets import session
from lessons.computing.computations import CHOOSE, COMPUTATIONS
from lessons.computing.workbench import Workbench

TEXTS = {
    "latitude": "53 48 33.820 N",
    "longitude": "2 07 46.380 E",
    "azimuth": "60",
    "angle": "80",
    "number": "1500",
    "lines": "50 2\n51 3\n50 4",
    "text": "EPSG:4326",
    "three": "0.1 −0.2 0.3",
}
MARKS = "3771793.968 140253.342 5124304.349\n3657660.66 255768.55 5201382.11\n" \
    "3820000 −20000 5090000\n3700000 180000 5174000"  # fmt: skip
TWO_MARKS = "\n".join(MARKS.splitlines()[:2])
ONE_LINE = "3800000 0 5100000\n3800000 10000 5100000\n3800000 20000 5100000"
# Where a plain 1 500 is out of range.
SPECIAL = {
    "refraction": "0.13",
    "radius": "6371000",
    "ppm": "-1.5",
    "eye_height": "12",
    "scale": "0.9996",
    "first_year": "2008",
    "years": "2",
    "constituents": "M2 1.2 120\nSa 0.1 30",
    "epoch": "2010.5",
    "target": "2026.5",
    "source": "EPSG:4326",
    "a": "30000", "b": "40000", "c": "50000",
    "x": "3771793.968", "y": "140253.342", "z": "5124304.349",
    "first": "53", "second": "2", "third": "0",
    "rx": "0.1", "ry": "0.2", "rz": "0.3", "xi": "10", "eta": "-20",
    "lat2": "54 N", "lon2": "3 E", "lat0": "0 N", "lon0": "3 E",
    "e1": "500000", "n1": "6000000", "e2": "510000", "n2": "6010000",
    "pivot": "3771793 140253 5124304", "reference": "2010", "ppb": "1.5", "ppb_rate": "0.1",
    "leave_out": "0", "carry": "",
    "old": MARKS, "new": MARKS, "convention": "position vector",
    "water": "5000", "relief": "4000", "shape_width": "50000", "contrast": "1640",
    "east": "500000", "north": "6000000", "up": "10", "false_east": "500000", "false_north": "0",
}  # fmt: skip


@pytest.fixture
def bench(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    return Workbench()


def filled(bench, title, **texts):
    bench.choose(title)
    for field in COMPUTATIONS[title].fields:
        if field.name in texts:
            bench.fields[field.name].value = texts[field.name]
        elif field.choices:
            named = [choice for choice in field.choices if choice != CHOOSE]
            text = SPECIAL.get(field.name)
            bench.fields[field.name].value = text if text in named else named[0]
        else:
            bench.fields[field.name].value = SPECIAL.get(field.name, TEXTS[field.kind])
    bench.compute()
    return bench.results.value


def row(results, label):
    found = re.search(rf"<th>{re.escape(label)}</th><td>([−+\d\u202f.]+)", results)
    return float(found[1].replace("\u202f", "").replace("−", "-"))


@pytest.mark.parametrize("title", COMPUTATIONS)
def test_every_form_computes_and_keeps_nothing(bench, title, tmp_path):
    if title.startswith("Between two"):
        results = filled(bench, title, target="EPSG:4979")
    else:
        results = filled(bench, title)
    assert "<td>" in results, results
    assert "nan" not in results
    assert not list(tmp_path.glob("*.jsonl"))


def test_published_values_come_out(bench):
    results = filled(bench, "φ, λ, h to X, Y, Z", height="73.0", ellipsoid="WGS 84")
    for axis in "XYZ":  # EC-01, the North Sea point of IOGP 373-7-2
        assert abs(row(results, axis) - value("EC-01", axis)) <= tolerance("EC-01", axis)


ABOUT_PIVOT = "Seven parameters about a pivot, Molodensky-Badekas"
FOURTEEN = "Fourteen parameters, another frame at the same epoch"
COMMON = "Seven parameters from common points"


def test_molodensky_badekas_la_canoa_to_regven(bench):
    # IOGP 373-7-2, EPSG method 1034, worked example, as other libraries' tests quote it
    results = filled(
        bench, ABOUT_PIVOT, x="2550408.96", y="-5749912.26", z="1054891.11",
        shift="−270.933 115.599 −360.226", turn="-5.266; -1.238; 2.381", ppm="-5.109",
        pivot="2464351.59 -5783466.61 974809.81", convention="coordinate frame",
    )  # fmt: skip
    for axis, there in zip("XYZ", (2550138.45, -5749799.87, 1054530.82), strict=True):
        assert abs(row(results, axis) - there) <= 0.01  # both ends are rounded to a centimetre


def in_thousandths(number):
    return " ".join(f"{1000 * one:.7g}" for one in np.atleast_1d(number))


def test_fourteen_parameters_of_the_guidance_note(bench):
    entries = {
        "shift_mm": "translations", "turn_mas": "rotations", "ppb": "scale",
        "shift_rate": "translation_rates", "turn_rate": "rotation_rates", "ppb_rate": "scale_rate",
    }  # fmt: skip
    texts = {name: in_thousandths(given("TD-01", key)) for name, key in entries.items()}
    texts |= {"reference": str(given("TD-01", "t0")), "epoch": str(given("TD-01", "epoch"))}
    point = {axis.lower(): str(given("TD-01", axis)) for axis in "XYZ"}
    results = filled(bench, FOURTEEN, **point, **texts, convention="position vector")
    for axis in "XYZ":
        assert abs(row(results, axis) - value("TD-01", axis)) <= tolerance("TD-01", axis)


def rows(points):
    return "\n".join(" ".join(f"{number:.4f}" for number in point) for point in points)


@pytest.fixture
def common():
    """Five points of a square of 100 km, and the same through PROJ's seven parameters."""
    before = pyproj.Transformer.from_crs(4979, 4978).transform(
        [53.0, 53.9, 53.1, 54.0, 53.5], [2.0, 2.1, 3.5, 3.4, 2.7], [0.0, 40.0, 15.0, 60.0, 90.0]
    )
    seven = "+x=84.5 +y=-97.25 +z=117.4 +rx=1.2 +ry=-0.8 +rz=2.3 +s=4.5"
    operation = pyproj.Transformer.from_pipeline(
        f"+proj=helmert {seven} +convention=coordinate_frame"
    )
    return np.array(before).T, np.array(operation.transform(*before)).T


def test_what_has_another_unit_in_another_form_is_not_carried_over():
    units = {}
    for computation in COMPUTATIONS.values():
        for field in computation.fields:
            first, *_ = field.unit.split(",")
            assert field.kind != "three" or units.setdefault(field.name, first) == first


def test_parameters_from_common_points(bench, common):
    before, after = common
    texts = {"old": rows(before[:4]), "new": rows(after[:4]), "carry": rows(before[4:])}
    results = filled(bench, COMMON, **texts, convention="coordinate frame")
    assert row(results, "scale difference") == pytest.approx(4.5, abs=0.002)
    assert row(results, "rX; rY; rZ, coordinate frame") == pytest.approx(1.2, abs=0.002)
    assert row(results, "tX; tY; tZ") == pytest.approx(84.5, abs=0.05)
    got = [row(results, f"carried over, 1: {axis}") for axis in "XYZ"]
    np.testing.assert_allclose(got, after[4], rtol=0, atol=0.001)


def test_a_bad_common_point_is_found_and_left_out(bench, common):
    before, after = common
    after[2] += [1.5, -2.0, 0.7]
    texts = {"old": rows(before), "new": rows(after), "convention": "coordinate frame"}
    results = filled(bench, COMMON, **texts)
    assert "point 3" in re.search("<th>largest</th><td>([^<]+)", results)[1]
    assert row(results, "largest if it is left out") <= 0.001
    results = filled(bench, COMMON, **texts, leave_out="3")
    assert "point 3" not in results
    assert row(results, "scale difference") == pytest.approx(4.5, abs=0.002)


def test_a_misspelt_convention_is_refused_whatever_form_it_came_through(common):
    old, new = map(rows, common)
    with pytest.raises(ValueError, match="did you mean 'position vector'"):
        COMPUTATIONS[COMMON].compute(old, new, 0, "", convention="position vectr")


@pytest.mark.parametrize(
    ("title", "texts", "said"),
    [
        ("Along a line", {"azimuth": "north"}, "azimuth: "),
        ("φ, λ, h to X, Y, Z", {"lat": "95"}, "latitude: "),
        ("φ, λ, h to X, Y, Z", {"lat": "", "height": "5"}, "latitude: "),
        ("Polygon on the ellipsoid", {"corners": "50 2\nx y\n50 4"}, "line 2 of corners"),
        ("Polygon on the ellipsoid", {"corners": " "}, "nothing is typed"),
        ("Extremes of the tide", {"constituents": "M2 1.2"}, "each line of the constituents"),
        ("Extremes of the tide", {"constituents": "QQ9 1.2 30"}, "QQ9"),
        ("Between two systems of the EPSG registry", {"source": "EPSG:0"}, "no operation"),
        ("Between two systems of the EPSG registry", {"source": "<script>"}, "no operation"),
        ("Excess from three sides", {"a": "200000"}, "side"),
        ("S-44 edition 6 limits", {"depth": "-5"}, "depth"),
        (COMMON, {"old": "3771793.968 140253.342"}, "line 1 of the old datum is not 3"),
        (COMMON, {"old": TWO_MARKS, "new": TWO_MARKS}, "2 common points are too few"),
        (COMMON, {"old": ONE_LINE, "new": ONE_LINE}, "the points lie in one line"),
        (COMMON, {"new": TWO_MARKS}, "the old datum has 4 points and the new one 2"),
        (COMMON, {"leave_out": "5"}, "point to leave out: 5 is not one of the points 1 to 4"),
        (COMMON, {"carry": "1 2"}, "line 1 of the points to carry over"),
        (COMMON, {"convention": "choose one"}, "rotation convention: choose one"),
        ("Seven parameters", {"convention": "choose one"}, "rotation convention: choose one"),
        ("φ, λ, h to X, Y, Z", {"ellipsoid": "choose one"}, "ellipsoid: choose one"),
        ("Abridged Molodensky", {"source": "choose one"}, "source ellipsoid: choose one"),
        ("Velocity of a plate", {"plate": "choose one"}, "plate, ITRF2020: choose one"),
        ("Seven parameters", {"rz": "359.9996"}, "is it an angle in degrees"),
        (ABOUT_PIVOT, {"turn": "0.1 0.2 359.99"}, "is it an angle in degrees"),
        (ABOUT_PIVOT, {"turn": "0.1 0.2"}, "rX  rY  rZ: “0.1 0.2” has 2 numbers"),
        (ABOUT_PIVOT, {"pivot": "52 3 0"}, "pivot"),
        (FOURTEEN, {"ppb_rate": "1500"}, "of your mm, mas and ppb"),
        (FOURTEEN, {"turn_mas": "1 2 125000"}, "of your mm, mas and ppb"),
        (FOURTEEN, {"epoch": "20250601"}, "not a decimal year"),
        ("Position at another epoch", {"epoch": "1850"}, "of the position: 1850 is not a decimal"),
        ("Position at another epoch", {"target": "25"}, "wanted: 25 is not a decimal year"),
    ],
)
def test_what_cannot_be_computed_is_said_in_one_sentence(bench, title, texts, said):
    results = filled(bench, title, **texts)
    assert said in results
    assert "gk-unread" in results
    assert "<script>" not in results


@pytest.mark.parametrize(
    ("source", "point"), [("EPSG:4230", ("57", "2")), ("EPSG:23031", ("439000", "6318000"))]
)
def test_the_registry_says_which_operation_it_took_at_the_point(bench, source, point):
    # south-west of Norway the dataset has EPSG 1613; PROJ untold takes a rougher one of all Europe
    title = "Between two systems of the EPSG registry"
    first, second = point
    texts = {"source": source, "target": "EPSG:4326", "first": first, "second": second}
    results = filled(bench, title, **texts)
    assert "ED50 to WGS 84 (24)" in results
    assert row(results, "accuracy of the operation") == 1
    if source == "EPSG:4230":
        taken = pyproj.Transformer.from_pipeline("urn:ogc:def:coordinateOperation:EPSG::1613")
        there = row(results, "Geodetic latitude"), row(results, "Geodetic longitude")
        np.testing.assert_allclose(there, taken.transform(57, 2), rtol=0, atol=1e-9)


def test_the_registry_between_a_system_and_itself(bench):
    results = filled(bench, "Between two systems of the EPSG registry", target="EPSG:4326")
    assert "Null geographic offset" in results


def test_a_form_carries_over_what_it_shares_with_the_last(bench):
    filled(bench, "Geodesic between two points")
    bench.choose("Rhumb line between two points")
    assert bench.fields["lat1"].value == TEXTS["latitude"]


def test_the_pull_of_a_block_is_that_of_the_checked_plate(bench):
    """AT-03: 289.392 mGal to the side at the middle of its edge, half of the plate down."""
    results = filled(
        bench, "Pull of a block of rock", prism_length="2000000", prism_width="2000000",
        thickness="1000", top_depth="0", contrast="2670", block_east="0", block_north="1000000",
    )  # fmt: skip
    assert row(results, "pull to the side") == 289.39
    assert re.search("ξ: zenith leans</th><td>[^<]* south<", results), "the block lies north"


def test_over_the_middle_nothing_leans_and_a_root_takes_part_back(bench):
    title = "Trench, seamount or shelf edge"
    over = filled(bench, title, stand="0", seabed_shape="seamount", carried="by nothing")
    assert row(over, "ξ: zenith leans") == 0
    beside = {"stand": "-15750", "seabed_shape": "seamount"}
    bare = filled(bench, title, **beside, carried="by nothing")
    carried = filled(bench, title, **beside, carried="by a root 32 km deep")
    assert 0 < row(carried, "ξ: zenith leans") < row(bare, "ξ: zenith leans")
