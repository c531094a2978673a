"""
The figures of lessons 11 and 12: plates, the zone, the quay and six projections.

What they say is compared with PROJ, with other routes and with the check values; that they draw
everywhere, by their words and where these stand.
"""

import io
import math
import re

import numpy as np
import pytest
from PIL import Image
from pyproj import Geod, Proj, Transformer

from exercises.sheets import plate_places
from exercises.sheets.scenario import PLACES, Site
from geokit import plates as model
from lessons.canvas.pen import Canvas
from lessons.figures import grid, motion
from lessons.figures.grid.projections import ABOUT, coasts, effect, over
from lessons.figures.grid.quay import GYRO_LOW, LINKS, MARK, chain
from lessons.figures.motion.plates import at_the_front, drift, pole_of
from lessons.widgets.live import Choice, Slider
from tests import published
from tests.test_figures import badly_placed, words

FIGURES = {"plates": motion.plates, **{name: getattr(grid, name) for name in grid.__all__}}
WALL, FIELD = PLACES["Brindle Wall"], PLACES["Dunnock Field"]
GEOD = Geod(ellps="WGS84")


def place(name, latitude, longitude, water_depth=1000.0):
    return Site(name, latitude, longitude, 0.0, "ITRF2020", 2026.5, water_depth)


HARD_PLACES = [
    place("High north", 78.0, 15.0),
    place("Date line", -17.5, 179.0, 11_000.0),
    place("Null", 0.0, 0.0, 0.0),
    place("A name of forty letters, as long as kept", -79.5, -180.0),
]


@pytest.fixture(scope="module", params=FIGURES)
def figure(request):
    return FIGURES[request.param](WALL)


def written(figure):
    return [entry.text for entry in figure.drawing.canvas.written]


def check(figure, where=""):
    assert figure.error is None, f"{where}: {figure.error}"
    said = words(figure)
    for text in (said, *written(figure)):
        assert not re.search(r"nan|inf|None|[+−]0(\.0+)?(?![\d.])", text), f"{where}: {text}"
    assert 60 < len(said) < 360, f"{where}: {said}"
    assert not badly_placed(figure.drawing.canvas), (
        f"{where}: {badly_placed(figure.drawing.canvas)}"
    )


@pytest.mark.parametrize("site", [*PLACES.values(), *HARD_PLACES], ids=lambda site: site.name)
def test_draws_at_every_place(figure, site):
    figure.controls["site"].set(site)
    check(figure)
    picture = Image.open(io.BytesIO(figure.picture.value))
    assert (picture.size, picture.mode) == ((1120, 560), "P")


def test_draws_at_both_ends_of_every_control(figure):
    """Every slider alone, and all of them together with the last of every choice."""
    figure.controls["site"].put(FIELD)
    sliders = [control for control in figure.controls.values() if isinstance(control, Slider)]
    choices = [control for control in figure.controls.values() if isinstance(control, Choice)]
    for slider in sliders:
        start = slider.value
        for end in (slider.low, slider.high, start):
            slider.set(end)
            check(figure, f"{slider.name} = {end}")
    for end in ("low", "high"):
        for slider in sliders:
            slider.put(getattr(slider, end))
        for choice in choices:
            choice.put(list(choice.options)[-1 if end == "high" else 1])
        figure.redraw()
        check(figure, f"all {end}")


def first(pattern, figure):
    """The number in the readout that a pattern finds."""
    return float(re.search(pattern, words(figure)).group(1).replace("−", "-").replace("\u202f", ""))


# plates -------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", model.NAMES)
def test_every_plate_moves_as_in_the_library(code):
    """The Earth-fixed rates of PROJ's own copy of the model, 25.5 years on."""
    latitude, longitude = plate_places.INSIDE[code][0]
    site = place("here", latitude, longitude)
    found = drift(site, None, 2001.0, 2026.5)
    assert found.plate == code
    pipeline = (
        f"+proj=pipeline +step +proj=cart +ellps=GRS80 +step +init=ITRF2020:{code} "
        "+t_epoch=2001 +step +inv +proj=cart +ellps=GRS80"
    )
    lon, lat, *_ = Transformer.from_pipeline(pipeline).transform(longitude, latitude, 0.0, 2026.5)
    azimuth, _, metres = Geod(ellps="GRS80").inv(longitude, latitude, lon, lat)
    assert metres == pytest.approx(found.metres, abs=0.001)
    assert (azimuth - found.azimuth + 180) % 360 - 180 == pytest.approx(0, abs=0.5)
    assert found.latitude == pytest.approx(lat, abs=1e-8)


def test_the_old_number_is_as_far_off_as_the_ground_went():
    figure = motion.plates(place("off Australia", -20.0, 116.0))
    speed = first(r"goes ([\d.]+) mm a year", figure)
    assert "pipe lies 1.78 m to the north-east" in words(figure)
    assert 25.5 * speed / 1000 == pytest.approx(1.78, abs=0.005)
    figure.controls["listed"].put(2026.5)
    figure.controls["today"].set(2001.0)
    assert "pipe lies 1.78 m to the south-west" in words(figure)
    figure.controls["listed"].set(2001.0)
    assert "the pipe is there" in words(figure)


def test_ninety_degrees_from_its_pole_a_plate_goes_at_its_published_rate():
    for code in ("AUST", "EURA", "PCFC", "NOAM"):
        latitude, longitude = pole_of(model.ITRF2020[code])
        away = place("away", 0.0, longitude + 90)  # on the equator of the pole
        speed = drift(away, code, 2001.0, 2002.0).speed
        degrees = math.degrees(speed / 6_378_137) * 1e6
        assert degrees == pytest.approx(
            published.value("PM-07", code), abs=published.tolerance("PM-07", code)
        )
        at_pole = place("pole", latitude, longitude)
        assert drift(at_pole, code, 2001.0, 2002.0).speed < 0.0003


def test_india_goes_about_four_centimetres_a_year_towards_asia():
    """Common practice, no source."""
    figure = motion.plates(WALL)
    assert first(r"India goes (\d+) mm a year", figure) == pytest.approx(40, abs=5)
    india, asia = at_the_front()
    assert np.hypot(*(india - asia)) == pytest.approx(
        first(r"India goes (\d+) mm a year", figure), abs=0.5
    )


def test_a_plate_that_the_model_leaves_out_is_named():
    assert "Philippine Sea" in words(motion.plates(PLACES["Corrie Deep"]))
    assert "Sunda" in words(motion.plates(PLACES["Hollin Scarp"]))
    figure = motion.plates(PLACES["Corrie Deep"])
    figure.controls["plate"].set("Pacific")  # chosen, not guessed
    assert "leaves out" not in words(figure)


def test_an_epoch_out_of_range_is_refused_in_a_sentence():
    figure = motion.plates(WALL)
    for year in ("1850", "2099", "26.5"):
        figure.controls["today"]._field.value = year
        assert "1980.0 to 2030.0" in words(figure)


# the zone -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "latitude", "longitude", "carried"),
    [(32619, 19.0, -66.125, 0), (32631, 57.0, 2.0, 3.5), (32760, -17.5, 179.0, -4.0)],
)
def test_the_zone_says_what_proj_says(code, latitude, longitude, carried):
    figure = grid.zone(place("here", latitude, longitude, 3000))
    figure.controls["azimuth"].put(40)
    figure.controls["carried"].set(carried)
    projection = Proj(f"EPSG:{code}")
    point = longitude + carried, latitude
    factors = projection.get_factors(*point)
    k = factors.parallel_scale
    (said,) = (text for text in written(figure) if re.fullmatch(r"[01]\.\d{6}", text))
    assert float(said) == pytest.approx(k, abs=6e-7)
    assert f"{1000 / k:,.2f} m of ellipsoid".replace(",", "\u202f") in words(figure)
    gamma = first(r"lies ([\d.]+)°", figure)
    assert gamma == pytest.approx(abs(factors.meridian_convergence), abs=6e-4)
    assert ("° east of" in words(figure)) == (factors.meridian_convergence > 0)
    (said,) = (text for text in written(figure) if "″ and" in text)
    for distance, text in zip((2000, 30_000), said.replace("−", "-").split(" and "), strict=True):
        lon, lat, _ = GEOD.fwd(*point, 40, distance)
        step = np.subtract(projection(lon, lat), projection(*point))
        bearing = math.degrees(math.atan2(*step))
        bend = 3600 * (bearing - 40 + factors.meridian_convergence)
        assert float(text.strip("″")) == pytest.approx(bend, abs=0.06)
    assert f"t − T {said.split(' and ')[0]} over 2 km" in words(figure)


def test_a_baseline_of_two_kilometres_at_three_thousand_metres():
    """0.94 m more on the ellipsoid, by similar triangles on a sphere of 6 371 km."""
    figure = grid.zone(WALL)
    assert f"{2000 * 6_371_000 / 6_368_000:.2f}" == "2000.94"
    assert "2\u202f000.94 m on the ellipsoid" in words(figure)
    assert first(r"([\d\u202f.]+) m on the grid", figure) == pytest.approx(
        2000 * 6371 / 6368 * Proj("EPSG:32619").get_factors(-66.125, 19).parallel_scale, abs=0.006
    )


def test_two_marks_on_the_central_meridian_of_a_kilometre():
    figure = grid.zone(FIELD)
    figure.controls["carried"].set(1.0)  # 3 E
    assert "1 km of grid is 1\u202f000.40 m of ellipsoid; grid north is true;" in words(figure)
    assert f"{published.value('MP-16', 'k_central'):.6f}" in written(figure)


def test_what_a_grid_does_not_serve_is_refused_in_a_sentence():
    figure = grid.zone(WALL)
    figure.controls["grid"].set("of the longitude's other sign")
    assert "is it the right zone, and the right sign of the longitude?" in words(figure)


def test_beyond_the_zones_the_grid_is_that_of_the_pole():
    figure = grid.zone(place("north", 86.0, 40.0))
    east, north = Proj("EPSG:32661")(40.0, 86.0)  # the EPSG dataset's UPS North
    texts = written(figure)
    for metres in (east, north):
        assert f"{metres:,.1f}\xa0m".replace(",", "\u202f") in texts
    assert "UTM has ended; on UPS" in words(figure)
    assert "grid north lies 40.000° east of true" in words(figure)
    assert "0.994000" in written(grid.zone(place("pole", -90.0, 100.0)))  # k₀ of UPS
    assert "γ −100.000°" in words(grid.quay(place("south", -86.0, 100.0)))


def test_near_a_pole_what_has_no_azimuth_says_so():
    for build in (grid.quay, grid.projections):
        assert "stop at 89.9° of latitude" in words(build(place("north", 89.95, 10)))


# the quay -----------------------------------------------------------------------------------


def links(**wrong):
    return [wrong.get(name, 1) for name in LINKS]


@pytest.mark.parametrize("site", PLACES.values(), ids=lambda site: site.name)
@pytest.mark.parametrize("azimuth", [0, 133, 359])
def test_the_whole_chain_ends_at_the_bearing_on_the_map(site, azimuth):
    found = chain(site, azimuth, links())
    assert found.correction == pytest.approx(GYRO_LOW, abs=1e-9)
    geodetic = found.azimuths[1]
    zone = int((site.longitude + 180) // 6) + 1
    projection = Proj(proj="utm", zone=zone, south=site.latitude < 0, ellps="WGS84")
    lon, lat, _ = GEOD.fwd(site.longitude, site.latitude, geodetic, MARK)
    step = np.subtract(projection(lon, lat), projection(site.longitude, site.latitude))
    chord = math.degrees(math.atan2(*step))
    assert (found.azimuths[3] - chord + 180) % 360 - 180 == pytest.approx(0, abs=0.02 / 3600)


def test_a_convergence_of_the_wrong_sign_counts_twice():
    edge = place("edge", published.given("MP-17", "latitude"), 12.0)  # of zone 33, about 15 E
    gamma = published.value("MP-17", "rigorous")
    for sign, times in ((-1, 2), (0, 1)):
        found = chain(edge, 70, links(convergence=sign))
        assert abs(found.off) == pytest.approx(
            times * gamma, abs=times * published.tolerance("MP-17", "rigorous")
        )


def test_what_a_theodolite_sees_the_gyro_does_not():
    figure = grid.quay(PLACES["Corrie Deep"])
    figure.controls["laplace"].set("wrong sign")
    assert any("the gyro cannot show it" in text for text in written(figure))
    figure.controls["gyro"].set("wrong sign")
    assert "C − O −0.4" in words(figure)
    assert any("would be adjusted" in text for text in written(figure))


# six projections ----------------------------------------------------------------------------


@pytest.mark.parametrize("site", [WALL, FIELD, *HARD_PLACES[:3]], ids=lambda site: site.name)
def test_an_indicatrix_is_what_becomes_of_a_small_circle(site):
    """Geodesics of a hundred metres round the site, projected: another route than factors."""
    azimuths = np.arange(0, 360, 15.0)
    here = np.full_like(azimuths, site.longitude), np.full_like(azimuths, site.latitude)
    ways = np.stack([np.sin(np.radians(azimuths)), np.cos(np.radians(azimuths))])
    for name, projection in over(site).items():
        out, back = (
            np.array(projection.forward(lat, lon))
            for lon, lat, _ in (
                GEOD.fwd(*here, azimuths + turn, azimuths * 0 + 100) for turn in (0, 180)
            )
        )
        circle = (out - back) / 200
        matrix = projection.stretch(site.latitude, site.longitude)
        np.testing.assert_allclose(
            matrix @ ways, circle, atol=3e-6 * np.abs(circle).max(), err_msg=name
        )


def test_the_indicatrix_is_that_of_proj_where_the_ellipsoid_is():
    for name, projection in over(FIELD).items():
        factors = projection._proj.get_factors(FIELD.longitude, FIELD.latitude)
        most, least = projection.tissot(FIELD.latitude, FIELD.longitude)
        if name == "web Mercator":  # PROJ measures on its sphere
            assert most / factors.tissot_semimajor == pytest.approx(1, abs=0.001)
            assert most > least * 1.001
            continue
        assert most == pytest.approx(factors.tissot_semimajor, rel=1e-7)
        assert least == pytest.approx(factors.tissot_semiminor, rel=1e-7)
        found = effect(projection, FIELD.latitude, FIELD.longitude)
        assert found.bent == pytest.approx(factors.angular_distortion, abs=2e-4)
        assert found.turned == pytest.approx(factors.meridian_convergence, abs=1e-6)


def test_each_projection_says_what_it_keeps():
    figure = grid.projections(FIELD)
    for name in ABOUT:
        figure.controls["chosen"].set(name)
        said = words(figure)
        assert ("areas kept" in said) == (name == "equal-area cylinder")
        assert ("angles kept" in said) == (name not in ("equal-area cylinder", "web Mercator"))
    figure.controls["chosen"].set("Mercator")
    k = Proj(proj="merc", ellps="WGS84").get_factors(0, 57.0).parallel_scale
    assert first(r"lengths × ([\d.]+) in all", figure) == pytest.approx(k, abs=6e-4)


@pytest.mark.parametrize("reach", [200, 900])
def test_what_a_map_leaves_out_of_its_coast_is_not_seen(reach):
    for coast in coasts(WALL):
        half, pages = 1000.0 * reach, []
        for far in (half, np.inf):  # what the map takes, and the whole coast
            canvas = Canvas(width=204, height=204)
            canvas.clip(2, 2, 202, 202)
            rings = [102 + 100 / half * ring * [1, -1] for ring in coast.within(far, far)]
            canvas.outlines([np.clip(ring, -20_000, 20_000) for ring in rings], fill="#17242F")
            pages.append((canvas.inked(2, 2, 202, 202), sum(map(len, rings))))
        (inside, few), (whole, all_of_them) = pages
        assert (inside != whole).sum() <= 2
        assert few < 0.5 * all_of_them
    assert whole.any()
