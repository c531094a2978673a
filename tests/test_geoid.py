"""The geoid EGM96 against published heights and the exact surface of its grid; printed grids."""

import hashlib
import math
import re
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pyproj
import pytest
from numpy.testing import assert_allclose
from published import given, tolerance, value

from geokit import GRS80, WGS84, coastline, geoid
from geokit.geoid import EGM96, PrintedGrid

RHO = math.degrees(1) * 3600
DATA = Path(geoid.__file__).parent / "data"


# EGM96


@pytest.mark.parametrize("record", ["GE-01", "GE-02", "GE-04", "GE-06"])
def test_published_heights(record, scalar_and_array):
    latitude, longitude = given(record, "latitude"), given(record, "longitude_east")
    height = scalar_and_array(EGM96.height, latitude, longitude)
    assert abs(height - value(record, "N")) <= tolerance(record, "N")
    assert EGM96.height(latitude, longitude - 360) == pytest.approx(height, abs=1e-9)


def exact(rows, columns, quantity):
    """
    The exact surface through the grid, moved by parts of a cell, as an independent reference.

    The model is band-limited, so that the grid, carried on over the poles, is a finite Fourier
    series: shifting and differentiating its terms needs no interpolation at all.
    """
    heights = geoid._grid(geoid._HEIGHTS)
    turn = heights.shape[1]
    sphere = np.vstack([heights, np.roll(heights, turn // 2, axis=1)[-2:0:-1]])
    waves = np.fft.fft2(sphere)
    k = np.fft.fftfreq(turn, 1 / turn)
    waves[turn // 2], waves[:, turn // 2] = 0, 0  # the shortest waves have no derivative
    waves *= np.exp(2j * np.pi * (k[:, None] * rows + k * columns) / turn)
    factor = {"height": 1, "by latitude": 1j * k[:, None], "by longitude": 1j * k}[quantity]
    return np.fft.ifft2(waves * factor).real[: heights.shape[0] - 1]


@pytest.mark.parametrize(("rows", "columns"), [(0.5, 0.5), (0.2, 0.7)])
def test_spline_against_the_exact_surface(rows, columns):
    # Bounds from other measurements of this grid: 2 mm rms and 27 mm at worst, slopes 0.03″ rms
    # and 0.5″. Near the poles heights rounded to the millimetre have no exact slope: left out.
    latitude = -90 + (np.arange(720) + rows) / 4
    latitude, longitude = np.meshgrid(
        latitude, -180 + (np.arange(1440) + columns) / 4, indexing="ij"
    )
    low = np.abs(latitude) < 80
    difference = EGM96.height(latitude, longitude) - exact(rows, columns, "height")
    assert math.sqrt(np.mean(difference[low] ** 2)) < 0.002
    assert np.abs(difference).max() < 0.030
    north, east = EGM96.slopes(latitude, longitude, WGS84)
    parallel = WGS84.prime_vertical_radius(latitude) * np.cos(np.radians(latitude))
    for slope, reference in (
        (north, exact(rows, columns, "by latitude") / WGS84.meridian_radius(latitude)),
        (east, exact(rows, columns, "by longitude") / parallel),
    ):
        difference = (slope - reference)[low] * RHO
        assert math.sqrt(np.mean(difference**2)) < 0.03
        assert np.abs(difference).max() < 0.5


def test_slopes_are_those_of_the_heights():
    points = np.random.default_rng(3).uniform((-75, -180), (75, 180), (200, 2)).T
    north, east = EGM96.slopes(*points, GRS80)
    step = 1e-4
    lat, lon = points
    rise = EGM96.height(lat + step, lon) - EGM96.height(lat - step, lon)
    run = GRS80.meridian_distance(lat + step) - GRS80.meridian_distance(lat - step)
    assert_allclose(north, rise / run, rtol=0, atol=1e-9)
    rise = EGM96.height(lat, lon + step) - EGM96.height(lat, lon - step)
    run = GRS80.prime_vertical_radius(lat) * np.cos(np.radians(lat)) * np.radians(2 * step)
    assert_allclose(east, rise / run, rtol=0, atol=1e-9)


@pytest.mark.parametrize("pole", [90, -90])
def test_poles(pole):
    longitudes = np.arange(-180, 180, 30.0)
    heights = EGM96.height(pole, longitudes)
    assert np.ptp(heights) < 1e-9
    # slopes all round, turned into two fixed directions, are one and the same slope
    size = 90 - 1e-6
    north, east = EGM96.slopes(math.copysign(size, pole), longitudes, WGS84)
    turn = np.radians(longitudes) * math.copysign(1, pole)
    x = -north * np.cos(turn) - east * np.sin(turn)
    y = -north * np.sin(turn) + east * np.cos(turn)
    assert np.ptp(x) * RHO < 0.2
    assert np.ptp(y) * RHO < 0.2
    with pytest.raises(ValueError, match="no meaning at a pole"):
        EGM96.slopes([0, pole], 0, WGS84)


def test_date_line_and_longitudes_in_any_range():
    latitude = np.array([0.1, -17.3, 65.0])
    assert_allclose(EGM96.height(latitude, 180), EGM96.height(latitude, -180), atol=1e-12)
    assert_allclose(
        EGM96.height(latitude, 179.9999999), EGM96.height(latitude, -179.9999999), atol=1e-6
    )
    assert_allclose(
        EGM96.slopes(latitude, -66.125, WGS84), EGM96.slopes(latitude, 653.875, WGS84), atol=1e-12
    )
    assert EGM96.height(10, -1e-15) == pytest.approx(EGM96.height(10, 0), abs=1e-12)


def test_missing_and_bad_points(scalar_and_array):
    scalar_and_array(lambda lat, lon: EGM96.slopes(lat, lon, WGS84), 19.0, -66.125)
    assert np.isnan(EGM96.height([math.nan, 1, 1], [1, math.nan, 1])).tolist() == [
        True,
        True,
        False,
    ]
    assert all(math.isnan(slope) for slope in EGM96.slopes(math.nan, 1, WGS84))
    assert EGM96.height(np.zeros((0, 2)), 1).shape == (0, 2)
    assert EGM96.height(np.zeros((3, 1)), np.zeros(4)).shape == (3, 4)
    with pytest.raises(ValueError, match=r"latitude -166.1 is beyond 90 degrees.*swapped\?"):
        EGM96.height(-166.1, 19)
    with pytest.raises(ValueError, match="longitude inf"):
        EGM96.height(19, math.inf)


def test_many_points_in_pieces():
    points = np.random.default_rng(1).uniform((-90, -360), (90, 360), (40_000, 2)).T
    whole = EGM96.height(*points)
    some = np.arange(0, 40_000, 1777)
    assert_allclose(whole[some], [EGM96.height(*points[:, i]) for i in some], rtol=0, atol=1e-12)


def test_opened_on_first_use_by_several_threads_at_once():
    program = "import geokit.geoid as g; assert not g._coefficients.cache_info().currsize"
    subprocess.run([sys.executable, "-c", program], check=True, cwd=DATA.parents[1])
    geoid._coefficients.cache_clear()
    heights = []
    threads = [
        threading.Thread(target=lambda: heights.append(EGM96.height(57, 2))) for _ in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(heights) == 4
    assert len(set(heights)) == 1


def test_a_damaged_file_says_so(tmp_path, monkeypatch):
    (tmp_path / "egm96.bin").write_bytes(b"torn")
    monkeypatch.setattr(geoid, "_DATA", tmp_path)
    with pytest.raises(OSError, match="missing or damaged; copy the course again"):
        geoid._grid(geoid._HEIGHTS)


# Printed grids

LATS, LONS = [57.25, 57.0], [1.75, 2.0, 2.25]
HEIGHTS = [[44.1, 44.5, 45.2], [43.9, 44.6, 45.0]]


def test_printed_grid_by_hand(scalar_and_array):
    grid = PrintedGrid(LATS, LONS, HEIGHTS)
    # by hand: at 57.15 N 1.80 E, 0.6 of the way up and 0.2 to the right
    # north 44.1 + 0.2 · 0.4 = 44.18, south 43.9 + 0.2 · 0.7 = 44.04, 44.04 + 0.6 · 0.14 = 44.124
    assert scalar_and_array(grid.height, 57.15, 1.80) == pytest.approx(44.124, abs=1e-9)
    assert_allclose(grid.height(np.array(LATS)[:, None], LONS), HEIGHTS, atol=1e-12)
    assert grid.height(57.15, 361.80) == pytest.approx(44.124, abs=1e-9)
    assert math.isnan(grid.height(math.nan, 2))


def test_printed_grid_over_the_date_line():
    grid = PrintedGrid([0, 1], [179.5, 180, -179.5], [[0, 1, 2], [0, 1, 2]])
    assert_allclose(grid.height(0.5, [179.75, 180, -180, -179.75]), [0.5, 1, 1, 1.5], atol=1e-12)


def test_printed_grid_against_pyproj(tmp_path):
    # PROJ reads the same nodes from a file in NOAA's form: south, west, steps, rows, columns
    file = tmp_path / "printed.gtx"
    header = np.array([57.0, 1.75, 0.25, 0.25], ">f8").tobytes() + np.array([2, 3], ">i4").tobytes()
    file.write_bytes(header + np.array(HEIGHTS[::-1], ">f4").tobytes())
    shift = pyproj.Transformer.from_pipeline(f"+proj=vgridshift +grids={file} +multiplier=1")
    points = np.random.default_rng(2).uniform((57.0, 1.75), (57.25, 2.25), (50, 2)).T
    *_, height = shift.transform(points[1], points[0], np.zeros(50))
    assert np.isfinite(height).all()
    assert_allclose(PrintedGrid(LATS, LONS, HEIGHTS).height(*points), height, rtol=0, atol=1e-5)


@pytest.mark.parametrize(
    ("lats", "lons", "heights", "says"),
    [
        (LONS, LATS, HEIGHTS, "are rows and columns swapped"),
        (LATS, LONS[:2], HEIGHTS, "do not fit 2 latitudes and 2 longitudes"),
        ([57.0], LONS, HEIGHTS[:1], "at least 2 of each"),
        (LATS, [1.75, 2.25, 2.0], HEIGHTS, "must each run in order"),
        (LATS, LONS, [[44.1, math.nan, 45.2], HEIGHTS[1]], "is missing"),
        ([157.0, 57.25], LONS, HEIGHTS, "latitude 157"),
    ],
)
def test_grids_that_are_none(lats, lons, heights, says):
    with pytest.raises(ValueError, match=says):
        PrintedGrid(lats, lons, heights)


@pytest.mark.parametrize(
    ("latitude", "longitude", "says"),
    [
        (57.3, 2, "latitude 57.3 is outside the printed grid, which runs from 57 to 57.25"),
        (57.1, -2, "right sign"),
        (91, 2, "beyond 90"),
    ],
)
def test_points_outside_the_printed_grid(latitude, longitude, says):
    with pytest.raises(ValueError, match=says):
        PrintedGrid(LATS, LONS, HEIGHTS).height([57.1, latitude], [2.0, longitude])


# The data files


@pytest.mark.parametrize("name", ["egm96.bin", "egm96_anomaly.bin", "coastline.bin"])
def test_data_are_those_of_the_sources_page(name):
    page = (DATA / "SOURCES.md").read_text(encoding="utf-8")
    digest = hashlib.sha256((DATA / name).read_bytes()).hexdigest()
    (row,) = [line for line in page.splitlines() if line.startswith(f"| `{name}`")]
    assert digest in row
    assert f"{(DATA / name).stat().st_size}" in re.sub(r"(?<=\d) (?=\d)", "", row)


def test_slope_of_one_arcsecond():
    # GE-08: an arcsecond tilts the geoid by 4.848 mm a kilometre
    step = given("GE-08", "deflection") / RHO * given("GE-08", "distance") * 1000
    assert abs(step - value("GE-08", "height_change")) <= tolerance("GE-08", "height_change")


def test_two_conventional_geoids_stand_apart():
    # GE-07: a vertical datum is first of all a choice of potential
    offset = (given("GE-07", "W0_IERS") - given("GE-07", "W0_IHRS")) / given("GE-07", "gravity")
    assert abs(offset - value("GE-07", "offset")) <= tolerance("GE-07", "offset")


# The coastline


def test_rings_are_closed_and_on_the_earth():
    rings = coastline.rings()
    assert len(rings) > 100
    for ring in rings:
        assert ring.shape[1] == 2
        assert not ring.flags.writeable
        assert_allclose(ring[0], ring[-1], atol=1e-9)
        assert np.abs(ring[:, 0]).max() <= 90
        assert np.abs(ring[:, 1]).max() <= 180
    assert coastline.rings() is rings


@pytest.mark.parametrize(
    ("place", "latitude", "longitude", "land"),
    [
        ("Nairobi", -1.29, 36.82, True),
        ("Moscow", 55.76, 37.62, True),
        ("Denver", 39.74, -104.99, True),
        ("Alice Springs", -23.7, 133.88, True),
        ("South Pole", -90, 0, True),
        ("Chukotka, east of the date line", 67.0, -177.0, True),
        ("Chukotka, another turn", 67.0, 183.0, True),
        ("North Pole", 90, 0, False),
        ("central North Sea", 57, 2, False),
        ("Gulf of Guinea", 0, 0, False),
        ("mid-Pacific at the date line", 0, 180, False),
        ("Caspian Sea", 41.5, 50.8, False),
        ("Hudson Bay", 60, -86, False),
    ],
)
def test_land_and_sea(place, latitude, longitude, land):
    assert coastline.is_land(latitude, longitude) is land, place
    assert coastline.is_land([latitude, math.nan], longitude).tolist() == [land, False]


def inside(rings, lat, lon, turned):
    """Whether points lie in rings: those are in whose meridian northwards crosses an odd number."""
    lat1, lon1, lat2, lon2 = np.vstack([np.hstack([ring[:-1], ring[1:]]) for ring in rings]).T
    start = turned(lon1 - lon[:, np.newaxis])
    end = start + turned(lon2 - lon1)
    row, edge = np.nonzero((start < 0) != (end < 0))
    along = start[row, edge] / (start - end)[row, edge]
    at = lat1[edge] + along * (lat2 - lat1)[edge]
    return np.bincount(row[at > lat[row]], minlength=lat.size) % 2 == 1


def test_land_and_flat_rings_against_rays_to_the_north_pole():
    # middles of the mask's cells, where it must be exact
    rng = np.random.default_rng(4)
    lat = (rng.integers(0, 720, 600) + 0.5) / 4 - 90
    lon = (rng.integers(0, 1440, 600) + 0.5) / 4 - 180
    land = inside(coastline.rings(), lat, lon, lambda turn: (turn + 180) % 360 - 180)
    assert 100 < land.sum() < 300
    for turns in (-720, -360, 0, 360):
        assert np.array_equal(coastline.is_land(lat, lon + turns), land)
    # a flat map has no way over its edges, and must be full up to both, whatever its middle
    for middle in (0.0, 150.0, -180.0):
        on_map = (lon - middle + 180) % 360 - 180 + middle
        rings = coastline.flat_rings(middle)
        assert np.array_equal(inside(rings, lat, on_map, lambda turn: turn), land)


def test_share_of_land():
    # common practice, no source: land covers 29 per cent of the Earth
    latitude, longitude = np.meshgrid(np.arange(-89.5, 90), np.arange(-179.5, 180), indexing="ij")
    weight = np.cos(np.radians(latitude))
    share = (coastline.is_land(latitude, longitude) * weight).sum() / weight.sum()
    assert share == pytest.approx(0.29, abs=0.01)


def test_flat_rings_fill_the_map_to_both_edges():
    flat = coastline.flat_rings()
    longitudes = np.vstack(flat)[:, 1]
    assert longitudes.min() < -180 < 180 < longitudes.max()
    # no edge jumps across the map, but for the one along the south pole
    for ring in flat:
        jumps = np.abs(np.diff(ring[:, 1])) > 180
        assert (ring[:-1, 0][jumps] == -90).all()


def test_coastline_refuses_swapped_angles():
    with pytest.raises(ValueError, match="latitude 133"):
        coastline.is_land(133, -23)
