"""Each field, list and slider of a page holds the words that names.js makes its name."""

import ipywidgets as widgets
import pytest

from exercises.sheets import scenario
from lessons.computing.computations import COMPUTATIONS
from lessons.computing.workbench import Workbench
from lessons.course import concept, reviewing, summary, welcome
from lessons.desk import desk
from lessons.figures import excess
from lessons.widgets import answer_box
from lessons.widgets.grips import Grips

KINDS = (widgets.Text, widgets.Textarea, widgets.Dropdown, widgets.Select, widgets.ToggleButtons,
         widgets.FloatSlider, widgets.FloatLogSlider)  # fmt: skip
PAGES = {
    "number": lambda: answer_box.ask("excess-two-sides"),
    "choice": lambda: answer_box.ask("excess-first-sum"),
    "figure": lambda: excess.globe_triangle(scenario.HOME),
    "start": welcome.panel,
    "concept": concept.panel,
    "review": reviewing.panel,
    "summary": summary.offer,
    "desk": desk.Desk,
    "trainee of the desk": lambda: desk.MemberPanel(desk.Desk(), "T07"),
}


def below(widget):
    """Return a widget and all that stands in it."""
    found = [widget]
    for child in getattr(widget, "children", ()):
        found += below(child)
    return found


def unnamed(page):
    """Return what has no words for a name; the field of the grips is nobody's to meet."""
    met = [one for one in below(page) if isinstance(one, KINDS) and not isinstance(one, Grips)]
    return [one for one in met if not (one.tooltip or "").strip()]


@pytest.mark.parametrize("page", PAGES.values(), ids=PAGES)
def test_everything_that_is_typed_or_chosen_has_words_for_a_name(page):
    made = page()
    assert any(isinstance(one, KINDS) for one in below(made))
    assert unnamed(made) == []


def test_every_form_of_the_workbench():
    bench = Workbench()
    for title in COMPUTATIONS:
        bench.choose(title)
        assert unnamed(bench) == [], title


def test_a_picture_has_its_title_in_its_readout():
    figure = excess.globe_triangle(scenario.HOME)
    title = figure.drawing.canvas.title
    assert title
    assert f'data-picture="{title}"' in figure.readout.value
