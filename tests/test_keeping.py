"""What stands under a figure: the picture to keep, large type for the wall, steps by keyboard."""

import base64
import io
import json
import re
import weakref
from html import unescape
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from exercises.sheets import scenario, session
from exercises.trainer import site_summary
from lessons.canvas import palette
from lessons.canvas.pen import Canvas
from lessons.canvas.vector import svg
from lessons.computing import workbench
from lessons.course import concept, reviewing, summary, welcome
from lessons.figures import geoid
from lessons.widgets import keeping, live

WALL = scenario.HOME


@pytest.fixture
def figure(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "answers"))
    monkeypatch.setattr(live, "FIGURES", weakref.WeakSet())  # not those that other tests left
    return geoid.normal_gravity(WALL)


def test_a_saved_picture_is_the_one_on_screen_with_its_source(figure):
    figure.foot.save()
    links = re.findall(r'download="(.+?)" href="data:(.+?);base64,(.+?)"', figure.foot.links.value)
    assert [(name, kind) for name, kind, _ in links] == [
        ("06_normal_gravity.png", "image/png"),
        ("06_normal_gravity.svg", "image/svg+xml"),
    ]
    png = Image.open(io.BytesIO(base64.b64decode(links[0][2]))).convert("RGB")
    shown = Image.open(io.BytesIO(figure.picture.value)).convert("RGB")
    assert png.width == 2 * shown.width
    assert png.height > 2 * shown.height
    far = [
        np.asarray(one.resize((140, 70), Image.Resampling.BOX), float)
        for one in (png.crop((0, 0, png.width, 2 * shown.height)), shown)
    ]
    assert np.abs(far[0] - far[1]).mean() < 2, "letters are hinted anew, nothing else differs"
    line = keeping.source_line(figure)
    for words in ("Lesson 06", "Gravity and the geoid", WALL.name, "EGM96", "Training only"):
        assert words in line


def test_the_lines_hold_nothing_that_is_fetched_or_run(figure):
    text = keeping.files(figure)[1][2].decode("utf-8")
    root = ElementTree.fromstring(text)
    assert {element.tag.rpartition("}")[2] for element in root.iter()} <= {
        *("svg", "metadata", "RDF", "Work", "title", "defs", "style", "g", "path", "use"),
        *("clipPath", "rect", "image", "pattern", "type", "creator", "Agent"),
    }
    places = [v for e in root.iter() for k, v in e.attrib.items() if k.endswith("href")]
    assert all(place.startswith(("#", "data:image/png")) for place in places)
    assert "Normal gravity" in text


def test_what_is_drawn_in_lines_stands_where_the_pixels_stand():
    """A clipped area, seen by its clip path; the page's y runs down in both."""
    canvas = Canvas("T", width=200, height=100)
    canvas.clip(50, 40, 150, 90)
    canvas.box(0, 0, 200, 100, palette.SITE)
    canvas.clip()
    canvas.keep()
    root = ElementTree.fromstring(svg([canvas], "T"))
    (clip,) = [e for e in root.iter() if e.tag.endswith("clipPath")]
    place = {name: float(clip[0].get(name)) for name in ("x", "y", "width", "height")}
    assert place == {"x": 50, "y": 40, "width": 100, "height": 50}
    picture = np.asarray(Image.open(io.BytesIO(canvas.png())).convert("RGB"))
    yellow = np.argwhere((np.abs(picture - palette.rgb(palette.SITE)) < 16).all(-1))
    assert yellow.min(0).tolist() == [40, 50]
    assert yellow.max(0).tolist() == [89, 149]


def test_what_was_offered_goes_when_the_figure_moves(figure):
    figure.foot.links.value = "offered"
    figure.controls["site"].set("Wendle Bank")
    assert not figure.foot.links.value


def test_what_was_drawn_does_not_pile_up(figure):
    figure.controls["site"].set("Wendle Bank")
    once = len(figure.drawing.canvas.drawn)
    figure.controls["site"].set(WALL.name)
    figure.controls["site"].set("Wendle Bank")
    assert len(figure.drawing.canvas.drawn) == once


def test_the_wall_gets_more_pixels_and_larger_type(figure):
    other = geoid.normal_gravity(WALL)
    words = figure.readout.value
    figure.foot.turn_screen()
    for one in (figure, other, geoid.normal_gravity(WALL)):
        assert Image.open(io.BytesIO(one.picture.value)).size == (1680, 840)
        assert "gk-wall" in one._dom_classes
        assert "laptop" in one.foot.screen.description
        assert one.readout.value == words
    held = json.loads((session.folder() / "settings.json").read_text(encoding="utf-8"))
    assert held["screen"] == "wall"
    figure.foot.turn_screen()
    assert "gk-wall" not in other._dom_classes
    assert Image.open(io.BytesIO(other.picture.value)).size == (1120, 560)


@pytest.mark.parametrize(
    "page", [welcome.Welcome, concept.Check, reviewing.Reviewing, workbench.Workbench]
)
def test_a_page_without_figures_has_the_button_too(figure, page):
    shown = page()
    shown.screen.turn()
    assert session.open().screen == "wall"
    for one in (shown, page()):
        assert "gk-wall" in one._dom_classes
        assert "laptop" in one.screen.button.description
    shown.screen.turn()
    assert session.open().screen == "laptop"
    assert "gk-wall" not in shown._dom_classes


def test_settings_of_before_and_damaged_ones_are_a_laptop(figure):
    session.sign_in("T07")
    path = session.folder() / "settings.json"
    held = json.loads(path.read_text(encoding="utf-8"))
    for screen in (None, "cinema", 7):
        path.write_text(json.dumps(held | {"screen": screen}), encoding="utf-8")
        assert session.open().screen == "laptop"
        assert session.open().trainee == "T07"
    with pytest.raises(ValueError, match="laptop or wall"):
        session.choose_screen("cinema")


def test_every_figure_can_be_drawn_for_the_wall():
    """The scale is an argument of every figure's own builder, or a wall would get it unsharp."""
    sources = keeping.LESSONS.glob("figures/*/*.py")
    texts = {path: path.read_text(encoding="utf-8") for path in sources}
    builders = [path for path, text in texts.items() if re.search(r"LiveFigure\(", text)]
    assert len(builders) > 20
    assert not [p.name for p in builders if "lambda scale=scale:" not in texts[p]]


def test_the_page_on_my_site_is_offered(figure):
    row = summary.offer()
    row.plate.value = "CARB"
    row.make()
    data = re.search(r"base64,(.+?)\"", unescape(row.link.value))[1]
    page = base64.b64decode(data).decode("utf-8")
    assert "Caribbean plate" in page
    assert all(section.title in page for section in site_summary.summary(WALL, "CARB"))
