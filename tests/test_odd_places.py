"""
Every figure and every lesson where the Earth is odd: poles, date line, ashore, deep, high.

No traceback reaches a page: a figure draws what there is, or says in its place why it cannot.
"""

import html
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from IPython.core.interactiveshell import InteractiveShell

from exercises.sheets import session
from lessons.widgets.live import LiveFigure
from tests.bench.bench_figures import ANYWHERE, BUILD
from tests.test_figures import badly_placed, place, words

LESSONS = sorted(Path(__file__).parents[1].glob("lessons/[0-9][0-9]_*.ipynb"))[1:]
NO_AZIMUTH = {"quay", "projections"}  # within 11 km of a pole: they say so


def site(latitude, longitude, *, depth=1000.0, height=0.0):
    return replace(place("Odd", latitude, longitude, depth), height=height)


POLES = [site(90, 30), site(-90, -75)]
NEAR = [site(89.999, -170), site(-89.999, 10)]
ODD = [
    *(site(86, 0), site(-86, 100), site(0, 0), site(10, 180), site(10, -180), site(10, 179.999)),
    *(site(45, 7, depth=11_000.0, height=-11_000.0), site(28, 86, depth=0.0, height=9000.0)),
]
QUICK = [POLES[0], NEAR[1], ODD[1]]


def named(one):
    return f"{one.latitude:g} {one.longitude:g} {one.height:g}"


EVERYWHERE = [
    pytest.param(one, id=named(one), marks=() if one in QUICK else pytest.mark.full)
    for one in (*POLES, *NEAR, *ODD)
]


def _full(one):
    return pytest.param(*one.values, id=one.id, marks=pytest.mark.full)


@pytest.mark.parametrize("where", EVERYWHERE)
def test_every_figure_draws_or_says_why_not(where):
    for name in BUILD.keys() - set(ANYWHERE):
        figure = BUILD[name](where)
        if name in NO_AZIMUTH and abs(where.latitude) > 89.9:
            assert isinstance(figure.error, ValueError), name
            assert "89.9° of latitude" in words(figure)
            assert "gk-empty" in figure._dom_classes, "no broken picture"
            figure.controls["site"].set("Mellow Plain")
            assert "gk-empty" not in figure._dom_classes
        assert figure.error is None, f"{name}: {figure.error}"
        texts = [words(figure), *(entry.text for entry in figure.drawing.canvas.written)]
        assert not re.search(r"\bnan\b|\binf\b|None", " ".join(texts)), name
        assert not badly_placed(figure.drawing.canvas), name


@pytest.mark.parametrize(
    "name", ["five_answers", "three_lines", "fingerprints", "plates", "two_verticals"]
)
def test_directions_at_a_pole_come_with_a_word_of_warning(name):
    figure = BUILD[name](POLES[0])
    assert "A pole has no north or east" in words(figure)
    figure.controls["site"].set("Mellow Plain")
    assert "A pole has no" not in words(figure)


@pytest.mark.parametrize("where", EVERYWHERE[:1] + [*map(_full, EVERYWHERE[1:])])
def test_no_lesson_stumbles(where, tmp_path, monkeypatch):
    monkeypatch.syspath_prepend(str(LESSONS[0].parent))
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    session.choose_site(where)
    for path in LESSONS:
        _run(path)


def _run(path):
    """Run a lesson's cells but the questions, which ask the same everywhere."""
    shell, stumbled = InteractiveShell(), []
    shell.showtraceback = lambda *_, **__: stumbled.append(shell.last_cell)
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        text = "".join(cell["source"])
        if cell["cell_type"] != "code" or re.match(r"ask\(|.*_box\(", text):
            continue
        shell.last_cell = text
        result = shell.run_cell(text, silent=True)
        assert not stumbled, f"{path.stem}: {text}\n{result.error_in_exec!r}"
        shown = getattr(result.result, "value", "")
        assert not re.search(r"\bnan\b|\binf\b|None", html.unescape(str(shown))), path.stem
        if isinstance(result.result, LiveFigure):
            assert result.result.error is None or isinstance(result.result.error, ValueError)
