"""
Every live figure, driven without a browser: both ends of every control, all kinds of places.

What a figure says is compared with geokit and with the check values; what it shows, by the
words it wrote and where they stand.
"""

import doctest
import html
import io
import itertools
import math
import re

import numpy as np
import pyproj
import pytest
from geographiclib.geodesic import Geodesic
from PIL import Image
from pyproj import Proj, Transformer
from pyproj.crs import CoordinateOperation

import geokit
from exercises import find
from exercises.sheets import scenario, session
from exercises.sheets.scenario import PLACES, Site
from geokit import WGS84, geoid
from geokit import deflection as verticals
from lessons.canvas import matplotlib_adapter as adapter
from lessons.canvas import palette, pen, write
from lessons.figures import attraction, deflection, ecef, ellipsoid, excess, lines, surface
from lessons.figures import geoid as gravity_and_geoid
from lessons.figures import heights as heights_at_sea
from lessons.figures.deflection import ladder
from lessons.figures.ecef import vessel
from lessons.figures.geoid import world
from lessons.figures.heights import ports, tide
from lessons.figures.heights.stack import COLUMNS
from lessons.figures.lines import law, three
from lessons.figures.surface import answers
from lessons.widgets import live
from lessons.widgets.live import Choice, LiveFigure, Slider
from tests import published

FIGURES = {
    name: getattr(topic, name)
    for topic in (
        *(surface, excess, ellipsoid, ecef, lines, gravity_and_geoid, heights_at_sea, deflection),
        attraction,
    )
    for name in topic.__all__
}
WALL = PLACES["Brindle Wall"]


def place(name, latitude, longitude, water_depth=1000.0):
    return Site(name, latitude, longitude, 0.0, "ITRF2020", 2026.5, water_depth)


# The ends of the latitudes, the date line from both sides, high latitudes, the equator and
# Greenwich, ashore in high mountains, a long name: what the scenario's places leave out.
HARD_PLACES = [
    place("Farthest north", 85.0, 10.0),
    place("Farthest south", -85.0, -170.0),
    place("Date line west", -23.5, 180.0),
    place("Date line east", 51.0, -180.0),
    place("High north", 70.0, 20.0, 300.0),
    place("Null", 0.0, 0.0),
    place("Ashore", 28.0, 86.0, 0.0),
    place("A name of forty letters, as long as kept", 10.75, 126.0, 11_000.0),
]


# The scenario's places are a full run's; the quick one has what breaks a figure, and the wall.
EVERYWHERE = [
    *(
        pytest.param(site, marks=() if site is WALL else pytest.mark.full)
        for site in PLACES.values()
    ),
    *HARD_PLACES,
]


@pytest.fixture(scope="module", params=FIGURES)
def figure(request):
    return FIGURES[request.param](WALL)


def words(figure):
    """The readout as somebody hears it."""
    return html.unescape(re.sub("<[^>]*>", "", figure.readout.value)).replace("\xa0", " ")


def control_rows(figure):
    return [row for row in figure.children if "gk-controls" in row._dom_classes]


def sliders(figure):
    return [control for control in figure.controls.values() if isinstance(control, Slider)]


def ends(figure):
    """Put each slider to both ends, alone and together with the others; say where it is."""
    movable = sliders(figure)
    start = [slider.value for slider in movable]
    for slider in movable:
        for end in (slider.low, slider.high):
            slider.set(end)
            yield f"{slider.name} = {end}"
        slider.put(start[movable.index(slider)])
    for corner in itertools.product((0, 1), repeat=len(movable)):
        for slider, end in zip(movable, corner, strict=True):
            slider.put((slider.low, slider.high)[end])
        movable[-1].set(movable[-1].value)
        yield f"corner {corner}"
    for slider, value in zip(movable, start, strict=True):
        slider.put(value)
    for choice in (control for control in figure.controls.values() if isinstance(control, Choice)):
        first = next(iter(choice.options))
        for option in (*choice.options, first):
            choice.set(option)
            yield f"{choice.name} = {option}"


@pytest.mark.parametrize("site", EVERYWHERE, ids=lambda site: site.name)
def test_draws_everywhere_at_both_ends_of_every_control(figure, site):
    if "site" in figure.controls:
        figure.controls["site"].put(site)
    longest = 360 if len(control_rows(figure)) == 1 else 290  # below two rows of controls two lines
    for where in ends(figure):
        assert figure.error is None, f"{where}: {figure.error}"
        said = words(figure)
        written = [entry.text for entry in figure.drawing.canvas.written]
        for text in (said, *written):
            assert not re.search(r"nan|inf|None|[+−]0(\.0+)?(?![\d.])", text), f"{where}: {text}"
        assert 60 < len(said) < longest, f"{where}: {said}"
        picture = Image.open(io.BytesIO(figure.picture.value))
        assert (picture.size, picture.mode) == ((1120, 560), "P"), where
        assert not badly_placed(figure.drawing.canvas), (
            f"{where}: {badly_placed(figure.drawing.canvas)}"
        )


def test_away_and_back_nothing_is_left_behind(figure):
    seen = []
    for turn in (0, 1, 0, 1, 0):
        if "site" in figure.controls:
            figure.controls["site"].move(*((15, -66), (-40, 180))[turn])
        else:
            slider = sliders(figure)[0]
            slider.set((slider.low, slider.high)[turn])
        seen.append((figure.drawing.canvas.png(), len(figure.drawing.canvas.drawn)))
    assert seen[0] == seen[2] == seen[4]
    assert seen[1] == seen[3] != seen[0]


def badly_placed(canvas):
    """Words that leave the canvas, are too small for the back row, or lie on one another."""
    faults = []
    for entry in canvas.written:
        left, top, right, bottom = entry.box
        if left < 0 or top < 0 or right > canvas.width or bottom > canvas.height:
            faults.append(("beyond the canvas", entry.text, entry.box))
        if entry.size < pen.NOTE:
            faults.append(("too small", entry.text, entry.size))
    for one, other in itertools.combinations(canvas.written, 2):
        width = min(one.box[2], other.box[2]) - max(one.box[0], other.box[0])
        height = min(one.box[3], other.box[3]) - max(one.box[1], other.box[1])
        if width > 1 and height > 4:
            faults.append(("on one another", one.text, other.text))
    return faults


def test_a_fault_of_layout_is_seen():
    canvas = pen.Canvas("Title")
    canvas.words(30, 30, "on the title")
    canvas.words(1090, 300, "beyond the edge")
    canvas.words(500, 400, "small", size=11)
    assert {fault[0] for fault in badly_placed(canvas)} == {
        "beyond the canvas", "too small", "on one another",
    }  # fmt: skip


# what the figures say -----------------------------------------------------------------------


def at(site):
    xi, eta = verticals.from_geoid(site.latitude, site.longitude, geoid.EGM96, WGS84)
    return xi, eta, *verticals.total(xi, eta)


@pytest.mark.parametrize(
    ("name", "leans", "lands"),
    [
        ("Brindle Wall", "north", "south"),
        ("Corrie Deep", "east", "west"),
        ("Hollin Scarp", "south-west", "north-east"),
    ],
)
def test_the_weight_lands_opposite_to_where_the_zenith_leans(name, leans, lands):
    figure = deflection.two_verticals(PLACES[name])
    _, _, size, azimuth = at(PLACES[name])
    offset = PLACES[name].water_depth * math.radians(size / 3600)
    said = words(figure)
    assert f"zenith stands {size:.1f}″ {leans}" in said
    assert f"azimuth {azimuth:.1f}°" in said
    assert f"lands {offset:.2f} m {lands}" in said
    assert write.compass(azimuth) == leans


def test_a_quiet_place_looks_quiet():
    figure = deflection.two_verticals(PLACES["Mellow Plain"])
    assert at(PLACES["Mellow Plain"])[2] < 0.3
    tips = plumb_line_points(figure)
    assert abs(tips[0] - tips[1]) < 1


def plumb_line_points(figure):
    """The columns of the plumb line near its upper end and at the bottom, in the picture."""
    picture = np.asarray(Image.open(io.BytesIO(figure.picture.value)).convert("RGB")).astype(int)
    plumb = np.abs(picture - palette.rgb(palette.PLUMB).astype(int)).sum(-1) < 12
    return [float(np.flatnonzero(plumb[row, 664:1104]).mean()) for row in (110, 420)]


def test_the_plumb_line_leans_right_as_far_as_the_exaggeration_says():
    figure = deflection.two_verticals(WALL)
    top, bottom = plumb_line_points(figure)
    tilt = 1000 * math.radians(at(WALL)[2] / 3600)
    # the arc of the angle and the letters beside it are of another colour
    assert (top - bottom) / (420 - 110) == pytest.approx(tilt, abs=0.01)


def test_an_arcsecond_is_as_long_as_computed_otherwise():
    figure = deflection.island(WALL)
    for latitude, name in ((0, "equator"), (45, "lat_45")):
        figure.controls["site"].move(latitude, -30.0)
        (printed,) = [
            entry.text for entry in figure.drawing.canvas.written if entry.text.endswith("m north")
            and re.match(r"\d\d\.\d\d m", entry.text)
        ]  # fmt: skip
        assert float(printed.split()[0]) == pytest.approx(
            published.value("AR-03", name), abs=0.0051
        )


def test_hawaii_is_found_too_long_by_the_stars():
    """DV-07: stars make the way between two shores longer, since both plumb lines lean inland."""
    figure, easts = deflection.island(WALL), []
    for observed in ("Hilo_astronomical", "Keahole_astronomical"):
        latitude, longitude = re.findall(r"[\d.]+", published.given("DV-07", observed))
        figure.controls["site"].move(float(latitude), -float(longitude))
        amount, unit, side = re.search(
            r"η [+−][\d.]+″ is ([\d.\u202f]+) (k?m) (east|west)", words(figure)
        ).groups()
        metres = float(amount.replace("\u202f", "")) * (1000 if unit == "km" else 1)
        easts.append(metres if side == "east" else -metres)
    longer = (easts[0] - easts[1]) / 1000
    # A model value without what is smaller than 55 km, at places given to 0.0001°.
    assert longer == pytest.approx(published.value("DV-07", "error"), abs=0.2)


def test_an_arcsecond_over_a_kilometre_is_as_high_as_its_angle_says():
    job = ladder.Job(latitude=45.0, azimuth=0.0, depth=1000.0, line=1.0)
    rung = next(c for c in ladder.LADDER if c.title == "GNSS heights against levelling")
    assert 1000 * rung.effect(job) == pytest.approx(
        published.value("GE-08", "height_change"), abs=published.tolerance("GE-08", "height_change")
    )


def test_the_ladder_sorts_the_wall_from_the_quiet_place():
    figure = deflection.consequences(WALL)
    matters, lost = words(figure).split("Matters: ")[1].split("Lost in the noise: ")
    assert "star position" in matters
    assert "seabed array" in matters
    assert "gyro" in lost
    figure.controls["site"].set("Mellow Plain")
    assert "Matters:" not in words(figure)


def test_the_profile_closes_when_stations_stand_close():
    figure = deflection.trench_profile(WALL)
    closures = []
    for spacing in (200, 50, 1):
        figure.controls["spacing"].set(spacing)
        amount, unit = re.search(r"closes to [+−]?([\d.]+) (mm|m)", words(figure)).groups()
        closures.append(float(amount) / (1000 if unit == "mm" else 1))
    assert closures[0] > 1  # two hundred kilometres step over the wall
    assert closures[1] < closures[0]
    assert closures[2] < 0.001


def test_three_heights_meet():
    figure = deflection.three_heights(WALL)
    for azimuth, distance in ((0, 1), (180, 1), (90, 50), (45, 0.1)):
        figure.controls["azimuth"].put(azimuth)
        figure.controls["distance"].set(distance)
        texts = [entry.text for entry in figure.drawing.canvas.written]
        values = [float(text.split("\xa0")[0].replace("−", "-").replace("\u202f", ""))
                  for text in texts if re.fullmatch(r"[+−]?[\d.\u202f]+\xa0m?m", text)]  # fmt: skip
        _, level, zenith, *table = values  # the heads of the columns come first
        assert table[0] == level
        assert table[3] == zenith
        assert table[0] + table[1] == pytest.approx(table[2], abs=1e-6)
        assert table[3] + table[4] == pytest.approx(table[5], abs=1e-6)
        assert table[2] == table[5]


# 01 surface


def test_flat_fails_where_the_series_says():
    """s²/2R, s³/6R² and s³/24R² turned round: where each comes to a centimetre."""
    figure = surface.flat_earth(PLACES["Dunnock Field"])
    radius = WGS84.gaussian_radius(57.0)
    found = re.search(r"pass 1 cm at ([\d.]+) m, ([\d.]+) km and ([\d.]+) km", words(figure))
    drop, plane, chord = map(float, found.groups())
    assert drop == pytest.approx(math.sqrt(2 * radius * 0.01), abs=0.5)
    assert plane == pytest.approx((6 * radius**2 * 0.01) ** (1 / 3) / 1000, abs=0.05)
    assert chord == pytest.approx((24 * radius**2 * 0.01) ** (1 / 3) / 1000, abs=0.05)


def test_the_drop_is_as_published():
    figure = surface.flat_earth(place("Middle", 45.0, 0.0))
    figure.controls["distance"].set(2500)
    drop = float(re.search(r"drops ([\d.]+) m", words(figure))[1])
    assert drop == pytest.approx(
        published.value("CV-01", "at_2.5_km"), abs=published.tolerance("CV-01", "at_2.5_km")
    )


def test_the_reduction_takes_the_height_above_the_ellipsoid():
    figure = surface.flat_earth(WALL)
    separation = geoid.EGM96.height(WALL.latitude, WALL.longitude)
    figure.controls["height"].set(-3000)
    said = words(figure).replace("\u202f", "").replace("−", "-")
    height = float(re.search(r"\(h (-[\d.]+) m\)", said)[1])
    assert height == pytest.approx(-3000 + separation, abs=0.05)
    longer = float(re.search(r"line is ([\d.]+) m longer", said)[1])
    assert longer == pytest.approx(-1e4 * height / (6361e3 + height), abs=0.01)


def test_what_an_instrument_cannot_reach_is_not_judged():
    figure = surface.flat_earth(WALL)
    figure.controls["distance"].set(500e3)
    marks = [entry.text[0] for entry in figure.drawing.canvas.written if entry.size == pen.NOTE]
    assert marks.count("●") == 0  # 500 km is beyond tape, total station and RTK
    figure.controls["distance"].set(3000)
    marks = [entry.text[0] for entry in figure.drawing.canvas.written if entry.size == pen.NOTE]
    assert marks.count("●") > 1


@pytest.mark.parametrize("datum", answers.OLD_DATUMS, ids=lambda datum: str(datum.operation))
def test_old_datums_are_those_of_the_epsg_dataset(datum):
    operation = CoordinateOperation.from_epsg(datum.operation)
    assert operation.name.startswith(f"{datum.name} to WGS 84")
    assert tuple(p.value for p in operation.params[:3]) == datum.to_wgs84
    area = operation.area_of_use
    found = (area.south, area.west, area.north, area.east)
    assert datum.area[1] == found[1]
    assert max(abs(np.subtract(found, datum.area))) < 10  # the dataset's editions differ


def test_an_old_position_is_that_of_pyproj():
    figure = surface.five_answers(PLACES["Dunnock Field"])
    to_old = Transformer.from_pipeline(
        "+proj=pipeline +step +proj=cart +ellps=WGS84 +step +proj=helmert +x=87 +y=98 +z=121 "
        "+step +inv +proj=cart +ellps=intl"
    )
    separation = geoid.EGM96.height(57.0, 2.0)
    longitude, latitude, _ = to_old.transform(2.0, 57.0, separation + 25)
    written = [entry.text for entry in figure.drawing.canvas.written]
    assert f"{latitude:.5f}° N {longitude:.5f}° E" in written


def test_the_five_heights_differ_by_what_lies_between_their_surfaces():
    figure = surface.five_answers(WALL)
    figure.controls["tide"].put(2.0)
    figure.controls["height"].set(-100)
    separation = geoid.EGM96.height(WALL.latitude, WALL.longitude)
    said = words(figure).replace("\u202f", "").replace("−", "-")
    ellipsoidal, levelled, charted, sounded = map(
        float, re.findall(r"([+-]?[\d.]+) m (?:from|below)", said)[:4]
    )
    assert levelled == -100
    assert ellipsoidal == pytest.approx(-100 + separation, abs=0.05)
    assert charted == pytest.approx(-100 - answers.CHART_DATUM, abs=0.05)
    assert sounded == pytest.approx(102, abs=0.05)


# 04 ecef


def test_the_axes_give_published_coordinates():
    figure = ecef.axes(place("Origin of EC-03", 55.0, 5.0))
    figure.controls["height"].set(200)
    written = [entry.text for entry in figure.drawing.canvas.written]
    for name in "XYZ":
        coordinate = published.value("EC-03", name)
        assert f"+{coordinate:,.2f}\xa0m".replace(",", "\u202f") in written


@pytest.mark.parametrize("height", [-11_000, 9000])
def test_what_another_ellipsoid_shifts_lies_on_the_plot(height, monkeypatch):
    figure = ecef.axes(WALL)
    figure.controls["height"].put(height)
    left, top, right, bottom = figure.drawing.PLOT
    marks = []
    monkeypatch.setattr(figure.drawing.canvas, "site", lambda x, y: marks.append((x, y)))
    for name, latitude in itertools.product(figure.controls["other"].options, (-90, 0, 45)):
        figure.controls["other"].put(name)
        figure.controls["site"].move(latitude, 10.0)
        assert figure.error is None
        for x, y in marks[-2:]:
            assert left <= x <= right, name
            assert top <= y <= bottom, name


@pytest.mark.parametrize("name", ["Clarke 1866", "Bessel 1841", "GRS 80"])
def test_another_ellipsoid_reads_what_pyproj_reads(name):
    figure = ecef.axes(PLACES["Hollin Scarp"])
    figure.controls["height"].put(1000)
    figure.controls["other"].set(name)
    code = {"Clarke 1866": "clrk66", "Bessel 1841": "bessel", "GRS 80": "GRS80"}[name]
    read = Transformer.from_pipeline(
        f"+proj=pipeline +step +proj=cart +ellps=WGS84 +step +inv +proj=cart +ellps={code}"
    )
    longitude, latitude, height = read.transform(106.125, -7.5, 1000.0)
    written = [entry.text for entry in figure.drawing.canvas.written]
    assert f"{-latitude:.7f}° S" in written
    assert f"{longitude:.7f}° E" in written
    assert f"{height:+,.2f}\xa0m".replace(",", "\u202f").replace("-", "−") in written


def test_a_vessel_turns_in_the_senses_it_says():
    forward, starboard, down = np.eye(3)

    def seen(arm, heading, roll, pitch):
        return pytest.approx(vessel.turned(arm, heading, roll, pitch), abs=1e-12)

    assert seen(forward, 0, 0, 0) == (0, 1, 0)  # east, north, up
    assert seen(starboard, 0, 0, 0) == (1, 0, 0)
    assert seen(down, 0, 0, 0) == (0, 0, -1)
    assert seen(forward, 90, 0, 0) == (1, 0, 0)  # clockwise from north
    assert seen(starboard, 0, 90, 0) == (0, 0, -1)  # starboard down
    assert seen(forward, 0, 0, 90) == (0, 0, 1)  # bow up
    # roll is about the vessel's own fore-and-aft line, which pitch and heading leave to it
    assert seen(forward, 30, 40, 10) == vessel.turned(forward, 30, 0, 10)
    assert vessel.turned(forward, 30, 40, 10)[2] == pytest.approx(math.sin(math.radians(10)))


def test_a_turned_arm_keeps_its_length():
    arms = np.array([[9.0, -4.0, -21.0], [-31.0, 0.0, -10.0]])
    turned = vessel.turned(arms, 217.0, -12.0, 7.0)
    assert np.linalg.norm(turned, axis=-1) == pytest.approx(np.linalg.norm(arms, axis=-1))


def test_the_arm_that_is_drawn_is_the_one_in_the_table():
    figure = ecef.lever_arm(WALL)
    for name, value in (("heading", 90), ("roll", 0), ("pitch", 0)):
        figure.controls[name].put(value)
    figure.controls["arm"].set("reference point to antenna")
    x, y, z = vessel.POINTS["antenna"]
    assert f"it is {x:.2f} m east, {y:.2f} m north" not in words(figure)
    assert f"it is {x:.2f} m east, {-y:.2f} m north and {-z:.2f} m up" in words(figure)


# 05 lines


def test_the_far_end_nearly_opposite_is_where_published():
    """GD-07: −30° to 29.9°, 179.8° apart in longitude."""
    figure = lines.three_lines(place("GD-07", -30.0, 0.0))
    figure.controls["azimuth"].put(published.value("GD-07", "azimuth1"))
    figure.controls["distance"].set(published.value("GD-07", "s12") / 1000)
    assert "29.900° N 179.800° E" in [entry.text for entry in figure.drawing.canvas.written]


@pytest.mark.parametrize("longitude", [179.9, -179.9, 180.0, -66.1, 2.0])
def test_a_line_over_the_date_line_is_whole_on_the_chart(longitude, monkeypatch):
    """Both ends stand in the frame, as far apart as their longitudes."""
    figure = lines.three_lines(place("Near it", -17.5, longitude))
    marks = []
    monkeypatch.setattr(figure.drawing.canvas, "disc", lambda x, y, *_, **__: marks.append((x, y)))
    figure.controls["azimuth"].put(90)
    figure.controls["distance"].set(2000)
    frame = three.ThreeLines
    on_chart = [x for x, y in marks if frame.WEST < x < frame.EAST and y < frame.SOUTH]
    assert len(on_chart) == 2
    along_parallel = 2e6 / (WGS84.prime_vertical_radius(-17.5) * math.cos(math.radians(17.5)))
    points = along_parallel / (2 * math.pi) * (frame.EAST - frame.WEST)
    assert on_chart[0] - on_chart[1] == pytest.approx(points, rel=0.02)  # the far end comes first


@pytest.mark.parametrize(("latitude", "longitude"), [(35.0, -7.0), (-57.3, 170.0), (89.0, 10.0)])
def test_all_three_lines_join_the_same_ends(latitude, longitude):
    start = 19.0, -66.125
    for line in (
        three.great_circle(*start, latitude, longitude), three.rhumb(*start, latitude, longitude),
    ):  # fmt: skip
        assert (line.latitude[0], line.longitude[0]) == pytest.approx(start)
        assert line.latitude[-1] == pytest.approx(latitude)
        apart = (line.longitude[-1] - longitude + 180) % 360 - 180
        assert apart == pytest.approx(0, abs=1e-9)


def test_the_chart_is_that_of_pyproj():
    latitudes = np.linspace(-85, 85, 35)
    _, north = Proj("+proj=merc +ellps=WGS84")(np.zeros(35), latitudes)
    assert three.isometric(latitudes) == pytest.approx(north / WGS84.semi_major, abs=1e-12)
    back = three.geodetic_from_isometric(three.isometric(latitudes))
    assert back == pytest.approx(latitudes, abs=1e-9)


def test_off_track_is_the_shortest_way_to_the_geodesic():
    track = three.geodesic(19.0, -66.125, 60.0, 6e6)
    line = three.rhumb(19.0, -66.125, track.latitude[-1], track.longitude[-1])
    found = three.off_track(line, track)
    for point in (60, 120, 200):
        along = np.linspace(0, 6e6, 60_001)  # each 100 m
        lat, lon, _ = geokit.lines.direct(19.0, -66.125, 60.0, along, WGS84)
        away = geokit.lines.inverse(line.latitude[point], line.longitude[point], lat, lon, WGS84)
        assert abs(found[point]) == pytest.approx(away[0].min(), rel=1e-4)
    assert (found[1:-1] > 0).all()  # the rhumb line keeps to the equator's side, here the right


@pytest.mark.parametrize("site", [place("Pole", 90.0, 0.0), *HARD_PLACES], ids=lambda p: p.name)
def test_no_line_jumps_on_the_chart_or_the_globe(site, monkeypatch):
    """A step between neighbouring points of a line is short, or lies beyond the chart's edge."""
    figure = lines.three_lines(site)
    canvas = figure.drawing.canvas
    drawn, line = [], canvas.line

    def noted(x, y, **look):
        drawn.append((x, y, canvas._clip or (0, 0, canvas.width, canvas.height)))
        line(x, y, **look)

    monkeypatch.setattr(canvas, "line", noted)
    for azimuth, distance in itertools.product(range(0, 360, 45), (10_000, 19_970, 20_000)):
        drawn.clear()
        figure.controls["azimuth"].put(azimuth)
        figure.controls["distance"].set(distance)
        assert figure.error is None
        curves = [curve for curve in drawn if len(curve[0]) > 30]
        assert len(curves) >= 9  # three on the globe, the chart and a plot
        for x, y, (_, top, _, bottom) in curves:
            inside = np.clip(y, top, bottom) == y
            step = np.hypot(np.diff(x), np.diff(y))[inside[1:] | inside[:-1]]
            assert step.max(initial=0) < 40, (azimuth, distance)


def product_said(figure):
    return float(re.search(r"cos β sin α = ([−\d.]+)", words(figure))[1].replace("−", "-"))


@pytest.mark.parametrize("look", law.LOOKS)
def test_every_look_at_the_law_is_drawn_at_all_latitudes(look):
    figure = lines.geodesic_law(WALL)
    for latitude in (-80, 0, 1, 80):
        for azimuth in (0, 90, 200, 270):
            figure.controls["latitude"].put(latitude)
            figure.controls["azimuth"].put(azimuth)
            figure.controls["look"].set(look)
            assert figure.error is None, (latitude, azimuth)


def test_the_law_stays_all_along_a_line_that_geographiclib_runs():
    shape = Geodesic(WGS84.semi_major, law.STRONG)
    line = shape.Line(30, 0, 40)
    figure = lines.geodesic_law(WALL)
    for share in (0, 17, 50, 83, 100):
        figure.controls["done"].set(share)
        path = law.Path(30, 40, law._shape(law.STRONG))
        there = line.Position(share / 100 * path.length)
        beta = math.atan((1 - law.STRONG) * math.tan(math.radians(there["lat2"])))
        product = math.cos(beta) * math.sin(math.radians(there["azi2"]))
        assert product_said(figure) == pytest.approx(product, abs=6e-6)
        assert f"at {write.number(there['lat2'], 2)}° of latitude" in words(figure)


@pytest.mark.parametrize(("latitude", "azimuth"), [(30, 40), (-12, 300), (0, 75)])
def test_the_equator_is_crossed_where_geographiclib_crosses_it(latitude, azimuth):
    """Half a turn of the auxiliary sphere after any point a line is at the opposite latitude."""
    line = Geodesic(WGS84.semi_major, law.STRONG).Line(latitude, 0, azimuth)
    what = Geodesic.LATITUDE | Geodesic.LONGITUDE | Geodesic.LONG_UNROLL
    low, high = 0, 180  # degrees of arc between which it crosses the equator once
    for _ in range(60):
        middle = (low + high) / 2
        start, here = (line.ArcPosition(arc, what)["lat2"] for arc in (1e-9, middle))
        low, high = (middle, high) if start * here > 0 else (low, middle)
    first, second = (line.ArcPosition(low + turn, what) for turn in (0, 180))
    assert second["lat2"] == pytest.approx(0, abs=1e-9)
    apart = law.crossings(latitude, azimuth, law._shape(law.STRONG))
    assert apart == pytest.approx(abs(second["lon2"] - first["lon2"]), abs=1e-6)


@pytest.mark.parametrize("look", ["opposite points, WGS 84", "opposite points, 1/10"])
def test_nearly_opposite_points_have_two_lines_of_one_length(look):
    figure = lines.geodesic_law(WALL)
    figure.controls["look"].put(look)
    figure.controls["latitude"].set(30)
    away, one, two, length = (
        float(text.replace("\u202f", ""))
        for text in re.search(
            r"([\d.]+)° of longitude away.*out at ([\d.]+)° and ([\d.]+)°, both ([\d\u202f]+)",
            words(figure),
        ).groups()
    )
    shape = Geodesic(WGS84.semi_major, law.LOOKS[look][1])
    best = shape.Inverse(30, 0, -30, away)
    assert length == pytest.approx(best["s12"] / 1000, abs=1)
    for azimuth in (one, two):
        end = shape.Direct(30, 0, azimuth, best["s12"])
        assert end["lat2"] == pytest.approx(-30, abs=0.2)
        assert end["lon2"] == pytest.approx(away, abs=0.2)
    assert abs(one - two) > 20


def test_on_the_equator_of_wgs84_the_second_line_begins_at_179_4_degrees():
    """179.3965°, Karney 2013 from memory: 180° − 180° f."""
    figure = lines.geodesic_law(WALL)
    figure.controls["look"].put("opposite points, WGS 84")
    figure.controls["latitude"].set(0)
    assert "from about 179.40° of longitude" in words(figure)


def read(text):
    """The number that begins a text, however it is written."""
    return float(re.match(r"[+−]?[\d.\u202f]+", text)[0].replace("−", "-").replace("\u202f", ""))


def numbers(figure, pattern):
    """The numbers of all words on the picture that fit a pattern, in the order of writing."""
    texts = [entry.text for entry in figure.drawing.canvas.written]
    return [read(text) for text in texts if re.fullmatch(pattern, text)]


@pytest.mark.parametrize("record", ["GE-01", "GE-02", "GE-04", "GE-06"])
def test_the_world_map_reads_the_published_geoid(record):
    figure = gravity_and_geoid.world_geoid(WALL)
    latitude, longitude = (published.given(record, n) for n in ("latitude", "longitude_east"))
    figure.controls["site"].move(latitude, longitude - 360 * (longitude > 180))
    said = re.search(r"N ([+−][\d.]+) m \(EGM96, tide-free", words(figure))[1]
    assert read(said) == pytest.approx(
        published.value(record, "N"), abs=published.tolerance(record, "N") + 0.005
    )


@pytest.mark.parametrize(("latitude", "name"), [(0, "equator"), (45, "lat_45"), (-90, "pole")])
def test_the_permanent_tide_moves_the_geoid_as_remembered(latitude, name):
    """HS-07 is mean less zero tide; tide-free lies as much farther as the Earth gives way, 0.3."""
    figure = gravity_and_geoid.world_geoid(place("Anywhere", latitude, 40.0))
    (step,) = numbers(figure, r"[+−][\d.]+\xa0m at this latitude")
    assert step == pytest.approx(1.3 * published.value("HS-07", name) / 100, abs=0.0062)


@pytest.mark.parametrize("azimuth", [0, 70, 200, 359])
def test_the_section_runs_round_the_earth_through_the_site(azimuth):
    ball = pyproj.Geod(a=6371000, b=6371000)
    latitude, longitude = world.great_circle(WALL, azimuth)
    for at_turn in (0.0, 25.0, 90.0, -30.0, 180.0):
        i = int(np.searchsorted(world.TURN, at_turn))
        distance = math.radians(at_turn) * 6371000
        wanted = ball.fwd(WALL.longitude, WALL.latitude, azimuth, distance)
        _, _, apart = ball.inv(longitude[i], latitude[i], *wanted[:2])
        assert apart < 1


def test_below_the_ellipsoid_is_brown_and_dark_above_it_is_blue_and_light():
    shades = palette.band(np.arange(-109, 90, 1.0)).astype(int)
    light = shades @ [0.299, 0.587, 0.114]
    assert (np.diff(light) >= 0).all()
    assert len(np.unique(shades, axis=0)) == 20
    below, above = shades[:109], shades[109:]
    assert (below[:, 0] > below[:, 2] + 30).all()  # red over blue
    assert (above[:, 2] >= above[:, 0]).all()
    figure = gravity_and_geoid.world_geoid(WALL)
    picture = Image.open(io.BytesIO(figure.picture.value)).convert("RGB")
    for latitude, longitude in ((0.0, 80.0), (50.0, -30.0), (-40.0, -20.0), (10.0, 142.0)):
        x, y = map(float, world.WorldGeoid.MAP.to_canvas(latitude, longitude))
        red, _, blue = picture.getpixel((round(x), round(y)))
        assert (red > blue) == (geoid.EGM96.height(latitude, longitude) < 0)


@pytest.mark.parametrize(("latitude", "name"), [(0, "gamma_e"), (-45, "gamma_45"), (90, "gamma_p")])
def test_normal_gravity_is_as_published(latitude, name):
    figure = gravity_and_geoid.normal_gravity(place("Anywhere", latitude, 40.0))
    on_ellipsoid, _ = numbers(figure, r"\d{3}\u202f\d{3}\.\d\xa0mGal")
    assert on_ellipsoid == pytest.approx(published.value("GR-01", name) * 1e5, abs=0.051)


def test_gravity_falls_in_air_as_the_handbooks_say_and_grows_less_in_water():
    figure = gravity_and_geoid.normal_gravity(place("Anywhere", 45.0, -30.0, 4000.0))
    air = published.value("GR-07", "gradient")
    # a plate of 1 g/cm³ and a metre attracts with 0.04193 mGal (handbook figure, from memory)
    water = air - 2 * 0.04193 * 1.03
    for height, gradient in ((0, air), (2000, air), (-1000, water), (-4000, water)):
        figure.controls["height"].set(height)
        (found,) = numbers(figure, r"−0\.\d{4}\xa0mGal")
        assert -found == pytest.approx(gradient, abs=0.0008)  # it changes a little with height
    assert "not 0.3086" in words(figure)  # at 45°
    figure.controls["height"].set(-6000)
    assert "H −4 000 m" in words(figure).replace("\u202f", " ")
    assert "the seabed" in words(figure)


def test_the_line_to_the_centre_is_that_of_pyproj():
    to_centre = Transformer.from_crs("EPSG:4979", "EPSG:4978")
    figure = gravity_and_geoid.normal_gravity(WALL)
    for latitude in (3.0, -45.0, 60.0):
        figure.controls["site"].move(latitude, 0.0)
        x, y, z = to_centre.transform(latitude, 0.0, 0.0)
        wanted = 60 * abs(latitude - math.degrees(math.atan2(z, math.hypot(x, y))))
        assert numbers(figure, r"\d+\.\d\d′") == [pytest.approx(wanted, abs=0.006)]


@pytest.mark.parametrize(("latitude", "north"), [(45.0, 150), (45.0, -150), (-40.0, 120)])
def test_the_loop_misses_what_the_exercise_asks_for(latitude, north):
    """Two ways: γ half way up both slopes, as by hand, and the potential summed along them."""
    figure = gravity_and_geoid.levelled_loop(place("Anywhere", latitude, 10.0))
    figure.controls["rise"].put(3000)
    figure.controls["north"].set(north)
    other, _, _ = geokit.lines.direct(
        latitude, 10.0, 180.0 * (north < 0), abs(north) * 1000.0, WGS84
    )
    by_hand = find("geoid-loop").solve({"lat1": latitude, "lat2": other, "rise": 3000.0})
    rise, _, fall, _ = numbers(figure, r"[+−]?[\d\u202f]+\.\d{3}\xa0m")[-4:]
    assert rise == 3000
    assert rise + fall == pytest.approx(by_hand["misclosure"] / 1000, abs=0.0011)
    assert ("stronger there" in words(figure)) == (abs(other) > abs(latitude))


def test_level_surfaces_run_alike_on_both_sides_of_the_equator():
    figure = gravity_and_geoid.levelled_loop(place("South", -2.0, 10.0))
    figure.controls["rise"].put(5000)
    figure.controls["north"].set(440)
    assert abs(read(re.search(r"sums to ([+−]?[\d.]+) mm", words(figure))[1])) < 20
    figure.controls["north"].set(0)
    assert "sums to 0.0 mm" in words(figure)


@pytest.mark.parametrize("site", [*PLACES.values(), *HARD_PLACES], ids=lambda site: site.name)
def test_all_separations_of_the_stack_agree(site):
    figure = heights_at_sea.stack(site)
    given = {"depth": 1234, "topography": -0.35, "datum": 2.6, "tide": 4.15, "heave": -1.2}
    for name, value in given.items():
        figure.controls[name].put(value)
    figure.redraw()
    column = {c.symbol: written_at(figure, c.x) for c in COLUMNS}
    n = geoid.EGM96.height(site.latitude, site.longitude)
    assert column["N"] == pytest.approx(n, abs=0.006)
    written = [entry.text for entry in figure.drawing.canvas.written]
    assert "M −0.35\xa0m" in written
    assert "Z 2.60\xa0m" in written
    assert (column["T"], column["D"]) == (4.15, 1234)
    assert column["h"] == pytest.approx(column["H"] + column["N"], abs=0.011)
    assert column["S"] == pytest.approx(2.6 + 0.35 - column["N"], abs=0.011)
    # the same tide by the antenna and the separation: 18.00 m above her waterline, less heave
    assert column["T"] == pytest.approx(column["h"] + column["S"] - 18 + 1.2, abs=0.016)
    # the same depth by the tide and by GNSS; the sounding is printed to 0.1 m
    (sounding,) = [value for x, value in lengths(figure) if x < 400 and value > 1000]
    assert column["D"] == pytest.approx(sounding + 5.8 + 1.2 - column["T"], abs=0.056)
    assert column["D"] == pytest.approx(sounding + 23.8 - column["h"] - column["S"], abs=0.061)


def lengths(figure):
    """Where the middle of each length on the picture is, and what it says."""
    return [
        ((entry.box[0] + entry.box[2]) / 2, read(entry.text))
        for entry in figure.drawing.canvas.written
        if re.fullmatch(r"[+−]?[\d\u202f]+\.\d+\xa0m", entry.text)
    ]


def written_at(figure, x):
    (value,) = [value for middle, value in lengths(figure) if abs(middle - x) < 1]
    return value


def test_a_receivers_altitude_is_neither_h_nor_h_above_the_geoid():
    figure = heights_at_sea.stack(WALL)
    (said,) = [e.text for e in figure.drawing.canvas.written if "coarse geoid, shows" in e.text]
    altitude = read(said.partition("shows ")[2])
    # EGM96 at the four nodes of 10° round the place, weighed by hand
    corners = [[geoid.EGM96.height(10.0 + 10 * i, -70.0 + 10 * j) for j in (0, 1)] for i in (0, 1)]
    right, up = (WALL.longitude + 70) / 10, (WALL.latitude - 10) / 10
    rows = [west * (1 - right) + east * right for west, east in corners]
    own = rows[0] * (1 - up) + rows[1] * up
    h = geoid.EGM96.height(WALL.latitude, WALL.longitude) + 0.4 - 2.2 + 3.0 + 18.0
    assert altitude == pytest.approx(h - own, abs=0.006)


def test_levels_stand_in_the_picture_in_their_order():
    figure = heights_at_sea.stack(PLACES["Dunnock Field"])
    for level, order in (
        (3.0, ["antenna", "water level", "mean sea level", "geoid", "chart datum", "transducer"]),
        (-1.0, ["antenna", "mean sea level", "geoid", "chart datum", "water level", "transducer"]),
    ):
        figure.controls["tide"].set(level)
        y = {entry.text: entry.box[1] for entry in figure.drawing.canvas.written}
        assert sorted(order, key=y.get) == order
        assert y["ellipsoid"] > y["transducer"]
        figure.controls["site"].set("Brindle Wall")
        y = {entry.text: entry.box[1] for entry in figure.drawing.canvas.written}
        assert y["ellipsoid"] < y["antenna"]
        figure.controls["site"].set("Dunnock Field")


@pytest.mark.parametrize("port", ports.PORTS)
def test_lat_is_the_lowest_tide_of_nineteen_years(port):
    figure = heights_at_sea.tide_years(WALL)
    figure.controls["port"].put(port)
    for waves, left_out in ((tide.ALL, ()), (tide.NO_SEASON, ("Sa", "Ssa"))):
        figure.controls["first_year"].put(2011)
        figure.controls["waves"].set(waves)
        given = {
            name: wave for name, wave in ports.PORTS[port].waves.items() if name not in left_out
        }
        lat, hat, yearly = geokit.heights.tidal_extremes(given, 2011, 19)
        said = re.search(r"LAT is ([+−][\d.]+) m .* HAT ([+−][\d.]+) m", words(figure)).groups()
        assert [read(number) for number in said] == [
            pytest.approx(x, abs=0.006) for x in (lat, hat)
        ]
        texts = [entry.text for entry in figure.drawing.canvas.written]
        assert f"deepest, {2011 + int(yearly.argmin())}" in texts
        assert f"shallowest, {2011 + int(yearly.argmax())}" in texts
        # the month that is said to hold LAT reaches it
        (month,) = [int(text.split()[-1]) for text in texts if re.search(r", month \d+$", text)]
        figure.controls["month"].set(month)
        reached = re.search(r"the tide runs from (−[\d.]+) m", words(figure))[1]
        assert read(reached) == pytest.approx(lat, abs=0.011)


def test_two_waves_alone_never_reach_below_their_sum():
    figure = heights_at_sea.tide_years(WALL)
    figure.controls["waves"].set(tide.SPRINGS)
    said = words(figure)
    lat = read(re.search(r"LAT is (−[\d.]+) m", said)[1])
    waves = ports.PORTS["Port Hessel"].waves
    # M2 grows by 3.7 % when the Moon's orbit lies flat against the equator (Schureman, table 14)
    assert -1.04 * waves["M2"][0] - waves["S2"][0] < lat < -waves["M2"][0] - waves["S2"][0]
    assert "too high" in said


def test_years_are_written_as_years():
    figure = heights_at_sea.tide_years(WALL)
    first = figure.controls["first_year"]
    assert first._field.value == "2008"
    first._field.value = "1850"
    assert "1960 to 2080" in words(figure)
    assert "gk-error" in figure.readout.value
    first._field.value = "1999"
    assert "1999 to 2017" in words(figure)


# controls ------------------------------------------------------------------------------------


def test_a_typed_position_is_a_site_of_ones_own():
    figure = deflection.two_verticals(WALL)
    site = figure.controls["site"]
    site._latitude._field.value = "7 30 00 S"
    assert site.value.latitude == -7.5
    assert site.value.name == live.OWN
    assert site._choice.value == live.OWN
    assert site._latitude._field.value == "−7.500"


def test_choosing_a_place_moves_the_wire_to_its_depth_and_draws_once():
    figure, pictures = deflection.two_verticals(WALL), []
    figure.picture.observe(lambda change: pictures.append(change["new"]), "value")
    figure.controls["site"]._choice.value = "Corrie Deep"
    assert len(pictures) == 1
    assert figure.controls["wire"].value == 4000
    assert "At Corrie Deep" in words(figure)


def test_dragging_a_slider_gives_another_picture_and_readout():
    figure = deflection.two_verticals(WALL)
    before = figure.picture.value, figure.readout.value
    figure.controls["wire"]._slider.value = 1234.5
    assert figure.controls["wire"].value == 1200  # two figures of what the hand gives
    assert figure.picture.value != before[0]
    assert figure.readout.value != before[1]


def test_a_page_that_snaps_the_handle_does_not_change_the_number():
    """JupyterLab's slider reports the nearest step for a value between two, as if it were moved."""
    figure = deflection.two_verticals(WALL)
    wire, latitude = figure.controls["wire"], figure.controls["site"]._latitude
    wire._field.value = "3654"
    wire._slider.value = 10**3.55
    assert wire.value == 3654
    latitude._field.value = "19.3333"
    latitude._slider.value = 19.375
    assert latitude.value == 19.3333
    latitude._slider.value = 19.5  # one step on is a hand
    assert latitude.value == 19.5


@pytest.mark.parametrize("text", ["95", "ninety", "", "1e400", "54 61 00", "x" * 5000])
def test_a_latitude_that_cannot_be_is_answered_and_kept_on_screen(text):
    figure = deflection.two_verticals(WALL)
    field, before = figure.controls["site"]._latitude._field, words(figure)
    field.value = text
    assert "gk-error" in figure.readout.value
    assert words(figure).endswith(before), "the figure stays at the number before"
    assert 20 < len(words(figure)) - len(before) < 400
    assert field.value == text
    assert "gk-trouble" in field._dom_classes
    figure.controls["site"].set("Brindle Wall")
    assert figure.error is None
    assert "gk-error" not in figure.readout.value
    assert "gk-trouble" not in field._dom_classes


def test_twelve_comma_three_is_a_riddle_until_a_decimal_sign_is_chosen(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    figure = deflection.consequences(WALL)
    line = figure.controls["line"]
    line._field.value = "2,500"
    assert "gk-error" in figure.readout.value
    session.choose_decimal(",")
    line._field.value = "2,5"
    assert line.value == 2.5


@pytest.mark.parametrize("name", sorted(FIGURES))
@pytest.mark.parametrize(
    "latitude", [90.0, *(pytest.param(one, marks=pytest.mark.full) for one in (-90.0, 89.9999))]
)
def test_what_has_a_meaning_at_a_pole_is_drawn_there(name, latitude):
    figure = FIGURES[name](place("Pole", latitude, 30.0))
    for where in ends(figure):
        assert figure.error is None, f"{where}: {figure.error}"
        text = [words(figure), *(entry.text for entry in figure.drawing.canvas.written)]
        assert not re.search(r"nan|inf|None", " ".join(text)), where
        assert not badly_placed(figure.drawing.canvas), where


def test_an_error_shows_in_the_figures_own_place():
    class Broken:
        canvas = pen.Canvas()

        def update(self, number):
            raise KeyError("lost <b>")

    figure = LiveFigure(Broken, [Slider("number", "Number", "", 0, 1, 0, step=1)])
    assert "could not be drawn (KeyError" in words(figure)
    assert "<b>" not in figure.readout.value
    assert isinstance(figure.error, KeyError)


def test_a_drawing_that_cannot_be_built_shows_why():
    def build():
        raise OSError("the geoid file is missing")

    figure = LiveFigure(build, [Slider("number", "Number", "", 0, 1, 0, step=1)])
    assert "the geoid file is missing" in words(figure)


def test_a_sites_name_is_never_markup():
    for build in FIGURES.values():
        figure = build(place("<script>x</script>", 10.0, 10.0))
        assert figure.error is None
        assert "<script" not in figure.readout.value


def test_two_figures_do_not_share_what_they_hold():
    one, other = deflection.island(WALL), deflection.island(WALL)
    one.controls["along"].set(100)
    assert other.controls["along"].value == 0
    assert one.picture.value != other.picture.value


def test_the_classes_that_the_page_styles(figure):
    assert "gk-figure" in figure._dom_classes
    assert "gk-picture" in figure.picture._dom_classes
    assert "gk-readout" in figure.readout._dom_classes
    rows = control_rows(figure)
    classes = {name for row in rows for cell in row.children for name in cell._dom_classes}
    assert "gk-control" in classes
    assert len(rows) <= 2, "they stand in one window with picture and readout"
    assert all("gk-controls" in row._dom_classes and len(row.children) <= 7 for row in rows)
    for slider in sliders(figure):
        assert f"gk-c-{slider.name}" in classes


# canvas, palette, numbers ---------------------------------------------------------------------


def test_a_projector_gets_the_same_picture_with_more_pixels():
    figure = deflection.island(WALL, scale=1.5)
    assert Image.open(io.BytesIO(figure.picture.value)).size == (1680, 840)
    assert words(figure) == words(deflection.island(WALL))


def test_roles_keep_their_colour_in_the_file():
    figure = deflection.two_verticals(WALL)
    picture = Image.open(io.BytesIO(figure.picture.value)).convert("RGB")
    found = {colour for _, colour in picture.getcolors(maxcolors=1 << 20)}
    for role in (palette.SITE, palette.PLUMB, palette.GEOID, palette.ELLIPSOID, palette.NORMAL,
                 palette.INK, palette.SEA, palette.LAND, palette.WHITE):  # fmt: skip
        assert tuple(palette.rgb(role).astype(int)) in found, role
    assert len(found) <= 256


def test_the_map_is_darker_where_the_deflection_is_greater():
    land = np.array([False, True])
    shades = [palette.shade(np.full(2, size), land).sum(-1) for size in (0, 2, 5, 10, 20, 40, 60)]
    assert (np.diff(np.array(shades, int), axis=0) < 0).all()


def test_a_canvas_starts_each_picture_from_what_it_keeps():
    canvas = pen.Canvas("Title")
    canvas.keep()
    canvas.renew()
    empty = canvas.png()
    canvas.words(300, 300, "gone", bold=True)
    assert canvas.png() != empty
    canvas.renew()
    assert canvas.png() == empty
    assert [entry.text for entry in canvas.written] == ["Title"]


def test_words_at_the_edge_are_cut_not_refused():
    canvas = pen.Canvas()
    for x, y in ((-20, 5), (1110, 5), (500, 556), (500, -2), (-500, -500), (5000, 5000)):
        canvas.words(x, y, "edge", halo=True)


def test_every_sign_the_figures_use_has_a_letter():
    """An unknown letter would be drawn as an empty box."""
    for bold in (False, True):
        for sign in "ξηθεκφλΦΛΔνρ″′°−×±·◂▸▼●◐○→√\u202f\xa0":
            assert adapter.has_letter(sign, bold), sign
        assert not adapter.has_letter("\ue000", bold)


def test_examples_in_the_docstrings():
    failed, tried = doctest.testmod(write)
    assert tried >= 8
    assert failed == 0


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (lambda: write.arcseconds(-0.04), "0.0″"),
        (lambda: write.arcseconds(-0.05001), "−0.1″"),
        (lambda: write.signed_size(-0.00004), "0.0\xa0mm"),
        (lambda: write.azimuth(359.96, 1), "0.0°"),
        (lambda: write.azimuth(-0.2), "0°"),
        (lambda: write.position(-7.5, 180.0, 1), "7.5° S 180.0° E"),
        (lambda: write.above(0.00001, "the ellipsoid"), "level with the ellipsoid"),
        (lambda: write.spread(0.03, 12), "30\xa0mm to 12.0\xa0m"),
        (lambda: write.compass(337.6), "north"),
    ],
)
def test_numbers_are_written_one_way(call, text):
    assert call() == text


def test_the_scenario_has_what_the_figures_need():
    sizes = {name: at(site)[2] for name, site in scenario.PLACES.items()}
    assert max(sizes.values()) > 50
    assert min(sizes.values()) < 0.5
