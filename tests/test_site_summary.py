"""What geodesy does at a site: against pyproj and geometry, and where it does not apply."""

import html
import math
import re

import pyproj
import pytest

from exercises import __main__
from exercises.sheets import scenario, session
from exercises.sheets.scenario import PLACES
from exercises.trainer import site_summary
from tests.published import given, value

WGS84 = pyproj.Geod(ellps="WGS84")
ECEF = pyproj.Transformer.from_crs("EPSG:4979", "EPSG:4978", always_xy=True)
each_place = pytest.mark.parametrize("place", PLACES.values(), ids=list(PLACES))


def _site(latitude, longitude, depth=0.0):
    return session.site(
        "<b>\u202eX", latitude, longitude, frame="ITRF2020", epoch=2026.5, water_depth=depth
    )


def _items(site, plate=""):
    return {
        item.label: item for section in site_summary.summary(site, plate) for item in section.items
    }


def _number(text):
    return float(
        re.sub(r"[\u202f\s]", "", re.match(r"[−+]?[\d\u202f.]+", text)[0]).replace("−", "-")
    )


@each_place
def test_zone_scale_and_convergence_are_those_of_pyproj(place):
    items = _items(place)
    zone, hemisphere = items["zone"].value.split()
    south = " +south" if hemisphere == "south" else ""
    assert (hemisphere == "south") == (place.latitude < 0)
    factors = pyproj.Proj(f"+proj=utm +zone={zone}{south} +ellps=WGS84").get_factors(
        place.longitude, place.latitude
    )
    assert _number(items["k, point scale"].value) == pytest.approx(
        factors.meridional_scale, abs=6e-7
    )
    assert _number(items["γ, convergence"].value) == pytest.approx(
        factors.meridian_convergence, abs=6e-4
    )
    assert abs(int(zone) * 6 - 183 - place.longitude) <= 3


@each_place
def test_ten_kilometres_are_those_of_two_points_on_the_grid(place):
    """Two points 10 km apart on the grid, either side of the site, and the line between them."""
    items = _items(place)
    zone, hemisphere = items["zone"].value.split()
    south = " +south" if hemisphere == "south" else ""
    utm = pyproj.Proj(f"+proj=utm +zone={zone}{south} +ellps=WGS84")
    east, north = utm(place.longitude, place.latitude)
    ends = [utm(east, north + half, inverse=True) for half in (-5000, 5000)]
    _, _, length = WGS84.inv(*ends[0], *ends[1])
    flat = items["10 km of grid, on the ellipsoid"]
    assert _number(flat.value) == pytest.approx(length, abs=0.01)
    h = _number(items["h of the seabed"].value)
    points = [ECEF.transform(*end, h) for end in ends]
    seabed = items["the same at the seabed"]
    # chord for arc is 1 mm; the radius of the meridian for the mean one is 3 parts in 1000 of h/R
    near = 0.02 + 10_000 * abs(h) / 6.37e6 * 0.005
    assert _number(seabed.value) == pytest.approx(math.dist(*points), abs=near)


@each_place
def test_a_second_of_arc_is_the_geodesic_over_it(place):
    items = _items(place)
    half = 0.5 / 3600
    phi, lam = place.latitude, place.longitude
    _, _, north = WGS84.inv(lam, phi - half, lam, phi + half)
    _, _, east = WGS84.inv(lam - half, phi, lam + half, phi)
    assert _number(items["1″ of latitude"].value) == pytest.approx(north, abs=6e-4)
    assert _number(items["1″ of longitude"].value) == pytest.approx(east, abs=6e-4)


def test_the_weight_hangs_where_the_slope_of_the_geoid_puts_it():
    """At the trench wall by hand: 60.7″ in 3 000 m of line are 0.88 m, to the south."""
    place = PLACES["Brindle Wall"]
    items = _items(place)
    xi = _number(items["ξ, in the meridian"].value)
    hangs = items["a weight on 3\u202f000 m of line"]
    assert _number(hangs.value) == pytest.approx(
        3000 * math.tan(math.radians(xi / 3600)), abs=0.006
    )
    assert "south" in hangs.meaning
    assert _number(items["h of the seabed"].value) == pytest.approx(
        _number(items["N, geoid above the ellipsoid"].value) - 3000, abs=0.11
    )


def test_the_geoid_is_the_published_one():
    site = _site(given("GE-01", "latitude"), given("GE-01", "longitude_east"))
    shown = _number(_items(site)["N, geoid above the ellipsoid"].value)
    assert shown == pytest.approx(value("GE-01", "N"), abs=0.06)


def test_a_plate_is_named_or_left_out():
    place = PLACES["Dunnock Field"]
    assert _items(place)["velocity of the plate"].value == "no plate named"
    items = _items(place, "EURA")
    speed = items["velocity, Eurasia plate"]
    assert 20 < _number(speed.value) < 30, "Europe goes some 25 mm a year to the north-east"
    assert "north-east" in speed.meaning
    assert _number(items["drift in 10 years"].value) == pytest.approx(
        _number(speed.value) / 100, abs=0.0051
    )
    with pytest.raises(ValueError, match="EURA"):
        site_summary.summary(place, "EURO")


@pytest.mark.parametrize("latitude", [90, -90])
def test_at_a_pole_what_does_not_apply_is_said(latitude):
    site = _site(latitude, 0)
    items = _items(site, "ANTA")
    silent = {label for label, item in items.items() if not item.value}
    assert silent == {"ξ, η, deflection of the vertical", "1″ of longitude", "zone, k, γ"}
    assert all(item.meaning for item in items.values())
    assert "nan" not in site_summary.page(site, "ANTA").lower().replace("name", "")


def test_near_a_pole_there_is_no_utm():
    assert not _items(_site(84.5, 10))["zone, k, γ"].value
    assert _items(_site(-80, 10))["zone"].value == "32 south"
    assert "zone 32" in _items(_site(60, 4))["zone"].meaning


def test_on_land_there_is_no_depth():
    site = _site(47, 8)
    assert "on land" in site_summary.notes(site)[0]
    assert not _items(site)["a weight on a line"].value
    assert "seabed" not in " ".join(_items(site))
    assert "swapped" in site_summary.notes(_site(47, 8, 100))[0]
    assert "No water depth" in site_summary.notes(_site(57, 2))[0]
    assert not site_summary.notes(scenario.HOME)


@pytest.mark.parametrize(
    ("latitude", "longitude", "plate", "there"),
    [
        (57, 2, "PCFC", "Eurasia"),
        (-20, 116, "EURA", "Australia"),
        (40, -65, "AUST", "North America"),
        (18, 132, "NOAM", "Philippine Sea, which the model leaves out"),
        (89.9, 0, "ANTA", "Eurasia"),
    ],
)
def test_a_plate_far_from_the_site_is_doubted(latitude, longitude, plate, there):
    (doubt,) = site_summary.notes(_site(latitude, longitude, 50), plate)
    assert f"may be {there} (from memory" in doubt
    assert doubt in html.unescape(site_summary.page(_site(latitude, longitude, 50), plate))


def test_the_distance_in_the_doubt_is_the_geodesic():
    (doubt,) = site_summary.notes(_site(57, 2, 50), "INDI")
    said = int(re.search(r"is (\d+) km", doubt)[1])
    # the nearest of the places of India, 18° N 67° E
    assert said == pytest.approx(WGS84.inv(2, 57, 67, 18)[2] / 1000, abs=80)


@pytest.mark.parametrize(
    ("latitude", "longitude", "plate"),
    [
        (57, 2, "EURA"),
        (-20, 116, "AUST"),
        (20, -158, "PCFC"),
        (20, 179.9, "PCFC"),
        (20, -179.9, "PCFC"),
        (36, -5, "NUBI"),
        (-75, 0, "ANTA"),
        (57, 2, ""),
    ],
)
def test_a_plate_that_may_be_the_sites_is_not_doubted(latitude, longitude, plate):
    notes = site_summary.notes(_site(latitude, longitude, 50), plate)
    assert not [note for note in notes if "plate named" in note]


def test_the_command_says_the_doubt_and_writes_the_page(tmp_path, capsys):
    out = tmp_path / "site.html"
    arguments = ["--latitude", "57 N", "--longitude", "2 E", "--depth", "80", "--plate", "pcfc"]
    assert __main__.main(["site", *arguments, "--out", str(out)]) == 0
    assert "The plate named is Pacific" in " ".join(capsys.readouterr().out.split())
    assert "The plate named is Pacific" in " ".join(out.read_text(encoding="utf-8").split())


def test_an_unknown_plate_is_answered_with_its_neighbours(tmp_path, capsys):
    out = tmp_path / "site.html"
    arguments = ["--latitude", "57", "--longitude", "2", "--plate", "euro"]
    assert __main__.main(["site", *arguments, "--out", str(out)]) == 2
    assert "EURA (Eurasia)" in capsys.readouterr().err


def test_the_command_takes_a_place_a_position_or_the_chosen_site(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "answers"))
    out = tmp_path / "site.html"
    typed = ["--latitude", "57 30 S", "--longitude", "2.5", "--depth", "80", "--name", "<i>\u202eX"]
    for arguments in ([], ["--place", "wendle bank", "--plate", "noam"], typed):
        assert __main__.main(["site", *arguments, "--out", str(out)]) == 0
        page = out.read_text(encoding="utf-8")
        assert "<script" not in page
        assert "<i>" not in page
        assert "\u202e" not in page
    assert "zone" in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments",
    [
        ["--place", "Atlantis"],
        ["--place", "Wendle Bank", "--depth", "3"],
        ["--latitude", "57"],
        ["--latitude", "97", "--longitude", "2"],
        ["--latitude", "57", "--longitude", "2", "--depth", "-5"],
        ["--plate", "Atlantis"],
    ],
)
def test_what_cannot_be_meant_is_said_and_writes_nothing(tmp_path, monkeypatch, capsys, arguments):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "answers"))
    out = tmp_path / "site.html"
    assert __main__.main(["site", *arguments, "--out", str(out)]) == 2
    assert capsys.readouterr().err.strip()
    assert not out.exists()
