"""Every form of the workbench, filled in and computed; published values come out of it."""

import re

import pytest
from published import tolerance, value

from exercises import session
from lessons.computations import COMPUTATIONS
from lessons.workbench import Workbench

TEXTS = {
    "latitude": "53 48 33.820 N",
    "longitude": "2 07 46.380 E",
    "azimuth": "60",
    "angle": "80",
    "number": "1500",
    "lines": "50 2\n51 3\n50 4",
    "text": "EPSG:4326",
}
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
        elif not field.choices:
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
    ],
)
def test_what_cannot_be_computed_is_said_in_one_sentence(bench, title, texts, said):
    results = filled(bench, title, **texts)
    assert said in results
    assert "gk-unread" in results
    assert "<script>" not in results


def test_a_form_carries_over_what_it_shares_with_the_last(bench):
    filled(bench, "Geodesic between two points")
    bench.choose("Rhumb line between two points")
    assert bench.fields["lat1"].value == TEXTS["latitude"]
