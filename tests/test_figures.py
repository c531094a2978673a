"""
Every live figure, driven without a browser: both ends of every control, all kinds of places.

What a figure says is compared with geokit and with published figures; what it shows, by the
words it wrote and where they stand.
"""

import doctest
import html
import io
import itertools
import math
import re

import numpy as np
import pytest
from PIL import Image

from exercises import scenario, session
from exercises.scenario import PLACES, Site
from geokit import WGS84, geoid
from geokit import deflection as verticals
from lessons import live
from lessons.figures import deflection, palette, pen, write
from lessons.figures.deflection import ladder
from lessons.live import LiveFigure, Slider
from tests import published

FIGURES = {
    name: getattr(deflection, name)
    for name in ("two_verticals", "consequences", "trench_profile", "island", "three_heights")
}
WALL = PLACES["Sable Wall"]


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


@pytest.fixture(scope="module", params=FIGURES)
def figure(request):
    return FIGURES[request.param](WALL)


def words(figure):
    """The readout as somebody hears it."""
    return html.unescape(re.sub("<[^>]*>", "", figure.readout.value)).replace("\xa0", " ")


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


@pytest.mark.parametrize("site", [*PLACES.values(), *HARD_PLACES], ids=lambda site: site.name)
def test_draws_everywhere_at_both_ends_of_every_control(figure, site):
    figure.controls["site"].put(site)
    for where in ends(figure):
        assert figure.error is None, f"{where}: {figure.error}"
        said = words(figure)
        written = [entry.text for entry in figure.drawing.sheet.written]
        for text in (said, *written):
            assert not re.search(r"nan|inf|None|[+−]0(\.0+)?(?![\d.])", text), f"{where}: {text}"
        assert 60 < len(said) < 360, f"{where}: {said}"
        picture = Image.open(io.BytesIO(figure.picture.value))
        assert (picture.size, picture.mode) == ((1120, 560), "P"), where
        assert not badly_placed(figure.drawing.sheet), (
            f"{where}: {badly_placed(figure.drawing.sheet)}"
        )


def badly_placed(sheet):
    """Words that leave the sheet, are too small for the back row, or lie on one another."""
    faults = []
    for entry in sheet.written:
        left, top, right, bottom = entry.box
        if left < 0 or top < 0 or right > sheet.width or bottom > sheet.height:
            faults.append(("beyond the sheet", entry.text, entry.box))
        if entry.size < sheet.height / 45:
            faults.append(("too small", entry.text, entry.size))
    for one, other in itertools.combinations(sheet.written, 2):
        width = min(one.box[2], other.box[2]) - max(one.box[0], other.box[0])
        height = min(one.box[3], other.box[3]) - max(one.box[1], other.box[1])
        if width > 1 and height > 4:
            faults.append(("on one another", one.text, other.text))
    return faults


def test_a_fault_of_layout_is_seen():
    sheet = pen.Sheet("Title")
    sheet.words(30, 30, "on the title")
    sheet.words(1090, 300, "beyond the edge")
    sheet.words(500, 400, "small", size=11)
    assert {fault[0] for fault in badly_placed(sheet)} == {
        "beyond the sheet", "too small", "on one another",
    }  # fmt: skip


# what the figures say -----------------------------------------------------------------------


def at(site):
    xi, eta = verticals.from_geoid(site.latitude, site.longitude, geoid.EGM96, WGS84)
    return xi, eta, *verticals.total(xi, eta)


@pytest.mark.parametrize(
    ("name", "leans", "lands"),
    [
        ("Sable Wall", "north", "south"),
        ("Corrie Deep", "east", "west"),
        ("Petrel Scarp", "south-west", "north-east"),
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
    figure = deflection.two_verticals(PLACES["Stillwater"])
    assert at(PLACES["Stillwater"])[2] < 0.3
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


def test_an_arcsecond_is_as_long_as_published():
    figure = deflection.island(WALL)
    for latitude, name in ((0, "equator"), (45, "lat_45")):
        figure.controls["site"].move(latitude, -30.0)
        (printed,) = [
            entry.text for entry in figure.drawing.sheet.written if entry.text.endswith("m north")
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


def test_an_arcsecond_over_a_kilometre_is_as_high_as_published():
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
    figure.controls["site"].set("Stillwater")
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
        texts = [entry.text for entry in figure.drawing.sheet.written]
        values = [float(text.split("\xa0")[0].replace("−", "-").replace("\u202f", ""))
                  for text in texts if re.fullmatch(r"[+−]?[\d.\u202f]+\xa0m?m", text)]  # fmt: skip
        _, level, zenith, *table = values  # the heads of the columns come first
        assert table[0] == level
        assert table[3] == zenith
        assert table[0] + table[1] == pytest.approx(table[2], abs=1e-6)
        assert table[3] + table[4] == pytest.approx(table[5], abs=1e-6)
        assert table[2] == table[5]


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
    field = figure.controls["site"]._latitude._field
    field.value = text
    assert "gk-error" in figure.readout.value
    assert 20 < len(words(figure)) < 400
    assert field.value == text
    figure.controls["site"].set("Sable Wall")
    assert figure.error is None


def test_twelve_comma_three_is_a_riddle_until_a_decimal_sign_is_chosen(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    figure = deflection.consequences(WALL)
    line = figure.controls["line"]
    line._field.value = "2,500"
    assert "gk-error" in figure.readout.value
    session.choose_decimal(",")
    line._field.value = "2,5"
    assert line.value == 2.5


@pytest.mark.parametrize("latitude", [90.0, -90.0, 86.0])
def test_a_site_near_a_pole_is_answered_in_a_sentence(latitude):
    for build in FIGURES.values():
        figure = build(place("Pole", latitude, 0.0))
        assert "85°" in words(figure)
        figure.controls["site"].set("Stillwater")
        assert figure.error is None


def test_an_error_shows_in_the_figures_own_place():
    class Broken:
        sheet = pen.Sheet()

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
    classes = {name for cell in figure.children[-3].children for name in cell._dom_classes}
    assert "gk-control" in classes
    assert len(figure.children[-3].children) <= 4
    for slider in sliders(figure):
        assert f"gk-c-{slider.name}" in classes


# sheet, palette, numbers ---------------------------------------------------------------------


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


def test_a_sheet_starts_each_picture_from_what_it_keeps():
    sheet = pen.Sheet("Title")
    sheet.keep()
    sheet.renew()
    empty = sheet.png()
    sheet.words(300, 300, "gone", bold=True)
    assert sheet.png() != empty
    sheet.renew()
    assert sheet.png() == empty
    assert [entry.text for entry in sheet.written] == ["Title"]


def test_words_at_the_edge_are_cut_not_refused():
    sheet = pen.Sheet()
    for x, y in ((-20, 5), (1110, 5), (500, 556), (500, -2), (-500, -500), (5000, 5000)):
        sheet.words(x, y, "edge", halo=True)


def test_every_sign_the_figures_use_has_a_letter():
    """An unknown letter would be drawn as an empty box."""
    for bold in (False, True):
        font = pen._font(bold, 15, 1.0)
        for sign in "ξηθεκφλΦΛΔνρ″′°−×±·◂▸▼●◐○→√\u202f\xa0":
            assert font.get_char_index(ord(sign)), sign


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
