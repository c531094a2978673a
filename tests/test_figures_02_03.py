"""
What the figures of lessons 02 and 03 say and draw, and the globe they stand on.

That they can be drawn everywhere, at both ends of every control, is in test_figures.py.
"""

import doctest
import io
import math
import re

import numpy as np
import pyproj
import pytest
from PIL import Image

from exercises.sheets.scenario import PLACES
from geokit import coastline
from lessons.canvas import pen, write
from lessons.canvas.globe import Globe
from lessons.figures import ellipsoid, excess
from lessons.figures.excess import arrow, common, lunes
from tests import published
from tests.test_figures import words

WALL = PLACES["Brindle Wall"]


def written(figure):
    return [entry.text for entry in figure.drawing.canvas.written]


def seconds(text):
    """An angle as the figures write it, in arcseconds."""
    sign, *parts = re.fullmatch(r"([+−]?)(?:(\d+)° )?(?:(\d+)′ )?([\d.]+)″", text).groups()
    degrees, minutes, rest = (float(part or 0) for part in parts)
    return (3600 * degrees + 60 * minutes + rest) * (-1 if sign == "−" else 1)


def excess_said(figure):
    return seconds(re.search(r", ([^,]+) more than 180°", words(figure)).group(1))


def beside(figure, name):
    """The other words on the line on which these stand."""
    entries = figure.drawing.canvas.written
    _, _, _, y = max(entry.box for entry in entries if entry.text == name)  # farthest right
    return [entry.text for entry in entries if abs(entry.box[3] - y) < 3 and entry.text != name]


def test_examples_in_the_docstrings():
    failed, tried = doctest.testmod(common)
    assert tried == 3
    assert failed == 0


# the big triangle ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["Brindle Wall", "Hollin Scarp"])
@pytest.mark.parametrize("stretch", [0.4, 1.0])
def test_the_largest_triangle_is_an_eighth_of_the_earth(name, stretch):
    figure = excess.globe_triangle(PLACES[name])
    figure.controls["stretch"].put(stretch)
    figure.controls["size"].set(10_000)
    assert excess_said(figure) == 3600 * published.value("SX-02", "excess")
    assert written(figure).count("90° 00′ 00.0″") == 4  # three angles and the excess
    square_kilometres = write.number(published.value("SX-02", "area") / 1e6, 0)
    assert f"{square_kilometres} km²" in written(figure)


@pytest.mark.parametrize("latitude", [-90, -60, 0, 35, 90])
def test_a_triangle_of_fifty_kilometres_has_the_excess_of_the_handbooks(latitude):
    """SX-09: one arcsecond for each 197 km²; the ellipsoid gives or takes a little."""
    figure = excess.globe_triangle(WALL)
    figure.controls["size"].put(50)
    figure.controls["site"].move(latitude, 179.9)
    area = math.sqrt(3) / 4 * 50**2
    assert excess_said(figure) == pytest.approx(
        area / published.value("SX-09", "area_sphere"), rel=0.01
    )


@pytest.mark.parametrize(
    ("latitude", "longitude", "size", "turn", "stretch"),
    [
        (19.0, -66.125, 50, 0, 1),
        (-7.5, 106.125, 120, 200, 2.5),
        (57, 2, 1, 45, 0.4),
        (57, 5.9, 250, 45, 0.4),
        (-80, 180, 30, 300, 2),
        (89, -20, 150, 10, 1),
        (90, 0, 40, 0, 1),
    ],
)
def test_the_arc_to_chord_corrections_sum_to_the_excess(latitude, longitude, size, turn, stretch):
    """One comes from bearings on a grid, the other from the curvature of the ellipsoid."""
    figure = excess.globe_triangle(WALL)
    for name, value in (("size", size), ("turn", turn), ("stretch", stretch)):
        figure.controls[name].put(value)
    figure.controls["site"].move(latitude, longitude)
    total = seconds(re.search(r"Σ\(t − T\) is (.*?):", words(figure)).group(1))
    assert total == -excess_said(figure)
    corners = [seconds(text[2:]) for text in written(figure) if re.match(r"[ABC] .*″$", text)]
    assert len(corners) == 3
    assert sum(corners) == pytest.approx(total, abs=0.16)  # each is rounded by itself


# why: lunes and the arrow --------------------------------------------------------------------


@pytest.mark.parametrize("angles", [(100, 80, 80), (62, 62, 62), (118, 118, 118), (90, 90, 90)])
def test_the_lunes_triangle_has_the_angles_it_is_asked_for(angles):
    corners = lunes.triangle(*angles)
    sphere = pyproj.Geod(a=1, b=1)
    lats, lons = np.degrees(np.arcsin(corners[:, 2])), np.degrees(np.arctan2(*corners[:, 1::-1].T))
    for here, wanted in enumerate(angles):
        to = [
            sphere.inv(lons[here], lats[here], lons[n], lats[n])[0] for n in range(3) if n != here
        ]
        assert abs((to[0] - to[1] + 180) % 360 - 180) == pytest.approx(wanted, abs=1e-9)


def test_three_pairs_cover_the_sphere_once_and_the_triangle_three_times():
    """Counted on points thrown evenly on the sphere; the share is that of Girard's theorem."""
    points = np.random.default_rng(7).normal(size=(400_000, 3))
    inside = points @ lunes.sides_of(lunes.triangle(100, 80, 80)).T > 0
    times = lunes.covered(inside, 3)
    assert set(np.unique(times)) == {1, 3}
    assert np.mean(times == 3) == pytest.approx(2 * 80 / 720, abs=0.003)
    for pair, angle in ((1, 100), (2, 180), (3, 260)):
        assert lunes.covered(inside, pair).mean() == pytest.approx(angle / 180, abs=0.006)


def test_the_lunes_sum_to_the_sphere_and_four_times_the_excess():
    figure = excess.lune_pairs(WALL)
    figure.controls["pairs"].set(3)
    assert "1040° × R²" in written(figure)
    assert "320° × R²" in written(figure)
    assert "E = 80°" in words(figure)


@pytest.mark.parametrize("place", [(0, 0), (57, 2), (-80, 120), (90, 0)])
@pytest.mark.parametrize("size", [500, 6000, 9000])
def test_the_arrow_comes_back_turned_by_the_excess(place, size):
    """The turn comes from azimuths along the sides, the excess from the curvature inside."""
    figure = excess.carried_arrow(WALL)
    figure.controls["size"].put(size)
    figure.controls["site"].move(*place)
    said = re.search(r"turned clockwise by (.*?): the excess E, (.*?),", words(figure)).groups()
    assert seconds(said[0]) == pytest.approx(seconds(said[1]), abs=0.11)


def test_an_octant_turns_the_arrow_by_a_right_angle():
    run = arrow.Run(np.array([90.0, 0.0, 0.0]), np.array([0.0, 90.0, 0.0]))
    assert run.turned(25) == pytest.approx(90, abs=1e-9)


def test_a_triangle_wider_than_a_zone_is_not_put_on_the_grid():
    figure = excess.globe_triangle(WALL)
    figure.controls["size"].set(2000)
    assert "Σ" not in words(figure)
    assert not any("grid" in text for text in written(figure))


def test_the_fitting_sphere_needs_as_many_square_kilometres_as_the_rule_says():
    figure = excess.plane_limits(WALL)
    figure.controls["site"].move(35.264, 0.0)  # where R = √(Mν) is the mean radius, 6 371 km
    (one,) = beside(figure, "1″ of excess for each")
    assert float(one.split()[0]) == pytest.approx(
        published.value("SX-09", "area_sphere"), abs=published.tolerance("SX-09", "area_sphere")
    )


@pytest.mark.parametrize("size", [200, 1000, 2000])
def test_the_plane_area_is_short_by_the_next_term(size):
    figure = excess.plane_limits(WALL)
    figure.controls["stretch"].put(1)
    figure.controls["size"].set(size)
    rule = 100 * (size / 6371) ** 2 / 8
    for name in ("the plane’s area is short by", "by the rule s²/8R²"):
        (short,) = beside(figure, name)
        assert float(short.split()[0]) == pytest.approx(rule, rel=0.01, abs=0.006)


def test_legendre_is_exact_for_equal_sides_and_misses_the_next_term_for_others():
    """E (b² + c² − 2a²)/(180 R²), the term after Legendre's (from memory)."""
    figure, missed = excess.plane_limits(WALL), {}
    figure.controls["size"].put(1000)
    for stretch in (1, 1.5):
        figure.controls["stretch"].set(stretch)
        missed[stretch] = next(text for text in beside(figure, "Legendre") if text.endswith("″"))
    a2, b2 = 1000**2 / 1.5, 1000**2 * (0.75 * 1.5 + 0.25 / 1.5)
    excess_on_sphere = math.degrees(math.sqrt(3) / 4 * 1000**2 / 6361**2) * 3600
    term = excess_on_sphere * 2 * (b2 - a2) / (180 * 6361**2)
    assert seconds(missed[1.5]) == pytest.approx(term, rel=0.05)
    assert missed[1].startswith("under") or seconds(missed[1]) < term / 1000


# the ellipsoid ------------------------------------------------------------------------------


def test_the_line_to_the_centre_is_off_by_as_much_as_textbooks_say():
    figure = ellipsoid.latitudes(WALL)
    latitude = published.value("LA-02", "at_geodetic_latitude")
    figure.controls["site"].move(latitude, 0.0)
    less = float(re.search(r"ψ ([\d.]+)′ less", words(figure)).group(1))
    assert less == pytest.approx(
        published.value("LA-02", "difference"), abs=published.tolerance("LA-02", "difference")
    )
    assert "21.4 km south" in words(figure)  # 11.55′ of 1 852 m
    figure.controls["site"].move(-latitude, 0.0)
    assert "21.4 km north" in words(figure)


@pytest.mark.parametrize("latitude", [0, 90, -90])
def test_only_at_the_equator_and_the_poles_does_the_normal_meet_the_centre(latitude):
    figure = ellipsoid.latitudes(WALL)
    figure.controls["site"].move(latitude, 0.0)
    assert "does meet the centre" in words(figure)
    figure.controls["site"].move(latitude - math.copysign(1, latitude), 0.0)
    assert "passes the centre at" in words(figure)


def test_the_radii_are_those_published():
    figure = ellipsoid.latitudes(WALL)
    figure.controls["site"].move(-37.9510334166667, 144.4)  # RC-03, on GRS 80
    for name in ("rho", "nu"):
        assert write.metres(published.value("RC-03", name), 0, signed=False) in written(figure)


@pytest.mark.parametrize("times", [1, 30, 100])
@pytest.mark.parametrize("latitude", [-90, -50, 0, 20, 75, 90])
def test_the_circles_fit_the_drawn_curve(times, latitude, monkeypatch):
    """M's circle bends as the drawn ellipse does; the middle of ν's lies on the axis."""
    figure = ellipsoid.latitudes(WALL)
    figure.controls["times"].put(times)
    canvas, lines = figure.drawing.canvas, []
    line = canvas.line
    monkeypatch.setattr(
        canvas,
        "line",
        lambda x, y, **look: (lines.append(np.array([x, y], float)), line(x, y, **look)),
    )
    figure.controls["site"].move(latitude, 0.0)
    m, nu, *_ = (points for points in lines if points.shape[1] == 41)
    x0, y0 = figure.drawing.CENTRE
    a = figure.drawing.A
    b = a * (1 - times / 298.257223563)
    # curvature ab/(a² sin² t + b² cos² t)^(3/2) of the ellipse at the point a cos t, b sin t
    t = math.atan2((y0 - m[1, 20]) / b, (m[0, 20] - x0) / a)
    curvature = a * b / math.hypot(a * math.sin(t), b * math.cos(t)) ** 3
    assert math.hypot((m[0, 20] - x0) / a, (y0 - m[1, 20]) / b) == pytest.approx(1, abs=1e-12)
    assert 1 / circle(m)[1] == pytest.approx(curvature, rel=1e-6)
    for points in (m, nu):  # both touch the ellipse: their middles lie on its normal
        middle, _ = circle(points)
        tangent = np.array([-a * math.sin(t), -b * math.cos(t)])
        assert (middle - points[:, 20]) @ tangent == pytest.approx(0, abs=1e-4)
    if abs(latitude) < 90:
        assert circle(nu)[0][0] == pytest.approx(x0, abs=1e-6)
    else:  # where all directions are alike
        assert circle(nu)[1] == pytest.approx(circle(m)[1], abs=1e-6)


def circle(points):
    """The middle and the radius of the circle through an arc's ends and its middle point."""
    (x1, y1), (x2, y2), (x3, y3) = points[:, [0, 20, 40]].T
    rows = 2 * np.array([[x2 - x1, y2 - y1], [x3 - x1, y3 - y1]])
    right = [x2**2 + y2**2 - x1**2 - y1**2, x3**2 + y3**2 - x1**2 - y1**2]
    middle = np.linalg.solve(rows, right)
    return middle, math.dist(middle, (x2, y2))


def test_the_twins_look_alike_and_differ_by_a_tenth_of_a_millimetre():
    figure = ellipsoid.two_ellipsoids(WALL)
    figure.controls["first"].set("GRS 80")
    apart = published.value("EL-01", "b") - published.value("EL-06", "b")
    assert apart == pytest.approx(0.0001, abs=1e-6)
    assert "its a is the same and its b is 0.1 mm longer" in words(figure)
    assert "not a coordinate system" in words(figure)
    same = figure.picture.value
    figure.controls["second"].set("Airy 1830")
    assert figure.picture.value != same
    (b,) = (text for text in written(figure) if text.startswith("6\u202f356\u202f256"))
    assert float(b[:-2].replace(write.THIN, "")) == pytest.approx(
        published.value("EL-10", "b"), abs=published.tolerance("EL-10", "b")
    )


def test_three_ellipsoids_differ_by_some_hundred_metres_at_most():
    """Common practice, no source: Clarke 1866, GRS 80 and WGS 84 agree to a few hundred metres."""
    figure = ellipsoid.two_ellipsoids(WALL)
    figure.controls["first"].set("Clarke 1866")
    for second in ("GRS 80", "WGS 84"):
        figure.controls["second"].set(second)
        differences = re.findall(r"is ([\d.]+) m (?:longer|shorter)", words(figure))
        assert len(differences) == 2
        assert all(10 < float(metres) < 300 for metres in differences)


# the globe ----------------------------------------------------------------------------------


def test_the_globe_has_land_where_there_is_land():
    places, wrong = np.random.default_rng(2), []
    globe = Globe(120, 120, 110)
    for _ in range(25):
        above = math.degrees(math.asin(places.uniform(-1, 1))), places.uniform(-180, 180)
        canvas = pen.Canvas(width=240, height=240)
        globe.sea(canvas)
        globe.above(*above).land(canvas)
        canvas.keep()
        picture = np.asarray(Image.open(io.BytesIO(canvas.png())).convert("RGB")).astype(int)
        latitude = np.degrees(np.arcsin(places.uniform(-1, 1, 4000)))
        longitude = places.uniform(-180, 180, 4000)
        x, y, near = globe.above(*above).to_canvas(latitude, longitude)
        on = near & (np.hypot(x - 120, y - 120) < 105)
        pixels = picture[y[on].astype(int), x[on].astype(int)]
        land = pixels[:, 0] > pixels[:, 2]  # land is warm, the sea is not
        wrong.append((land != coastline.is_land(latitude[on], longitude[on])).mean())
    assert max(wrong) < 0.06  # the coast is a line of some width at this size


def test_what_is_behind_the_globe_is_not_drawn():
    canvas = pen.Canvas(width=240, height=240)
    canvas.keep()
    canvas.renew()
    empty = canvas.png()
    view = Globe(120, 120, 100).above(0.0, 0.0)
    view.line(canvas, np.zeros(9), np.linspace(100, 260, 9), width=2)
    view.here(canvas, 0.0, 180.0)
    assert canvas.png() == empty
    view.line(canvas, np.zeros(9), np.linspace(-20, 20, 9), width=2)
    assert canvas.png() != empty
