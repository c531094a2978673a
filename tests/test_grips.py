"""What a hand takes in a picture: it follows the hand, and nothing that a page sends breaks it."""

import json

import ipywidgets
import pytest

from tests.test_figures import FIGURES, WALL

SOME = {
    "globe_triangle", "carried_arrow", "lune_pairs", "geodesic_law", "three_lines", "two_verticals",
    "world_geoid", "axes", "trench_profile", "latitudes", "flat_earth", "plane_limits",
}  # fmt: skip


class Hand:
    """A page's part, without a page: takes and drags, counting what it says."""

    def __init__(self, figure):
        self.figure, self.count = figure, 0

    def offered(self):
        return json.loads(self.figure.grips.placeholder or "[]")

    def say(self, phase, name, x, y):
        self.count += 1
        self.figure.grips.value = f"{self.count} {phase} {name} {x:.4f} {y:.4f}"


def with_grips():
    for name, build in FIGURES.items():
        figure = build(WALL)
        if figure.grips.placeholder:
            yield name, figure


@pytest.fixture(scope="module")
def hands():
    return {name: Hand(figure) for name, figure in with_grips()}


def test_some_figures_offer_what_they_draw(hands):
    assert hands.keys() >= SOME


def test_wherever_a_hand_goes_the_figure_is_drawn(hands):
    for name, hand in hands.items():
        for grip in hand.offered():
            x, y = grip["x"], grip["y"]
            hand.say("take", grip["name"], x, y)
            for place in ((x + 0.03, y), (x, y - 0.04), (0.0, 0.0), (1.0, 1.0), (-0.5, 1.5)):
                hand.say("drag", grip["name"], *place)
                assert hand.figure.error is None, (name, grip, place)


@pytest.mark.parametrize(
    ("name", "grip"), [("globe_triangle", "cornera"), ("lune_pairs", "sphere")]
)
def test_what_is_taken_follows_the_hand(name, grip):
    figure = FIGURES[name](WALL)
    hand, before = Hand(figure), figure.values()
    (one,) = [one for one in hand.offered() if one["name"] == grip]
    hand.say("take", grip, one["x"], one["y"])
    hand.say("drag", grip, one["x"] + 0.05, one["y"] - 0.02)
    assert figure.values() != before
    if "right" not in one:
        (now,) = [new for new in hand.offered() if new["name"] == grip]
        assert now["x"] == pytest.approx(one["x"] + 0.05, abs=0.003)
        assert now["y"] == pytest.approx(one["y"] - 0.02, abs=0.005)


@pytest.mark.parametrize("moved", ["by hand", "by a slider"])
@pytest.mark.parametrize("name", ["two_verticals", "geodesic_law"])
def test_the_page_is_told_of_the_picture_before_the_sliders(name, moved, monkeypatch):
    figure = FIGURES[name](WALL)
    sliders = [one for one in figure.controls.values() if hasattr(one, "parts")]
    reported = []
    fields = {id(part): "field" for one in sliders for part in one.parts}
    fields[id(figure.picture)] = "picture"

    def send(widget, key=None):
        named = "value" in key if isinstance(key, set) else key == "value"
        if named and id(widget) in fields:
            reported.append(fields[id(widget)])

    monkeypatch.setattr(ipywidgets.Widget, "send_state", send)
    if moved == "by hand":
        hand = Hand(figure)
        grip = hand.offered()[0]
        hand.say("take", grip["name"], grip["x"] + 0.05, grip["y"] - 0.1)
    elif name == "two_verticals":
        figure.controls["site"]._latitude._slider.value += 5
    else:
        figure.controls["azimuth"]._slider.value += 5
    assert reported.count("picture") == 1
    sent_by_the_page = 0 if moved == "by hand" else 1  # the slider's own value, set here
    assert reported.index("picture") == sent_by_the_page
    assert "field" in reported[reported.index("picture") :]


@pytest.mark.parametrize(
    "said",
    [
        "", "take", "1 take cornera", "1 take nothing 0.5000 0.5000", "1 take site 0.5000 0.5000",
        "1 drag cornera nan inf", "1 take cornera 1e9 0.5", "x" * 100_000,
        "1 take cornera 0.5000 0.5000; import os", "1 take __class__ 0.5000 0.5000",
    ],
)  # fmt: skip
def test_what_is_no_line_of_a_hand_is_passed_over(said):
    figure = FIGURES["globe_triangle"](WALL)
    before, picture = figure.values(), figure.picture.value
    figure.grips.value = said
    assert figure.values() == before
    assert figure.picture.value == picture
