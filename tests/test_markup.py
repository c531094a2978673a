"""
All HTML comes from templates, in which everything is escaped; whatever is typed stays text.

First the rule, read off the sources: nobody writes a tag, escapes by hand or calls a text HTML
outside the templates' layer. Then what it is for: a name that would run, on each widget that
shows it.
"""

import ast
import dataclasses
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import ipywidgets as widgets
import pytest

from exercises import BANK
from exercises.pages import pages
from exercises.sheets import session
from exercises.trainee import practice
from lessons.computing.workbench import Workbench
from lessons.course import coursemap, summary, welcome
from lessons.desk import desk
from lessons.figures.datums.many import many_datums
from lessons.figures.surface.answers import five_answers
from lessons.widgets import answer_box
from lessons.widgets.pieces import HtmlPiece, piece
from tests import tidy
from tests.test_report import Desk

TAG = re.compile(r"(?<!\(\?P)</?([a-z]+|h[1-6])(\s|/?>|$)|<!doctype", re.IGNORECASE)
BY_HAND = {"html", "xml.sax.saxutils"}  # modules that escape
AS_HTML = {"HTML", "HTMLMath"}  # widgets and displays that a browser runs
LAYER = "exercises/pages/"  # where a template's own text is called markup
WIDGET = "lessons/widgets/pieces.py"  # where the one widget for HTML stands


# The rule, read off the sources ----------------------------------------------------------


def broken(source, where="lessons/somewhere.py"):
    """Return (line, what is wrong) of a module that makes HTML by hand."""
    tree = ast.parse(source)
    reading = _within(tree, _reads) | _docstrings(tree)
    found = []
    for node in ast.walk(tree):
        if node in reading:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            if TAG.search(node.value):
                found.append((node.lineno, f"writes the tag {node.value!r:.50}"))
        elif isinstance(node, ast.Import | ast.ImportFrom):
            found += [(node.lineno, f"imports {name}") for name in _modules(node) & BY_HAND]
            if _names(node) & AS_HTML:
                found.append((node.lineno, "takes a widget that runs what it shows"))
        elif isinstance(node, ast.Attribute) and node.attr in AS_HTML and where != WIDGET:
            found.append((node.lineno, "takes a widget that runs what it shows"))
        elif isinstance(node, ast.keyword) and node.arg == "description_allow_html":
            found.append((node.value.lineno, "lets a description run"))
        elif _called(node) == "Markup" and node.args and not where.startswith(LAYER):
            found.append((node.lineno, "calls a text markup"))
    return found


def _reads(node):
    """Whether a node is a pattern, which reads tags and writes none."""
    of = getattr(getattr(node, "func", None), "value", None)
    return isinstance(node, ast.Call) and isinstance(of, ast.Name) and of.id == "re"


def _within(tree, wanted):
    return {child for node in ast.walk(tree) if wanted(node) for child in ast.walk(node)}


def _docstrings(tree):
    kinds = ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef
    bodies = [node.body for node in ast.walk(tree) if isinstance(node, kinds)]
    first = [body[0].value for body in bodies if body and isinstance(body[0], ast.Expr)]
    return {value for value in first if isinstance(value, ast.Constant)}


def _modules(node):
    if isinstance(node, ast.ImportFrom):
        return {node.module}
    return {alias.name for alias in node.names}


def _names(node):
    return {alias.name for alias in node.names}


def _called(node):
    return getattr(getattr(node, "func", None), "id", "") if isinstance(node, ast.Call) else ""


def _cells(path):
    return [
        "".join(cell["source"])
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
        if cell["cell_type"] == "code"
    ]


def test_nobody_makes_html_by_hand():
    found = []
    for package in ("exercises", "lessons"):
        files = sorted((tidy.ROOT / package).rglob("*.py"))
        assert len(files) > 20, f"{package} has hardly any modules to look at"
        for file in files:
            where = file.relative_to(tidy.ROOT).as_posix()
            wrong = broken(file.read_text(encoding="utf-8"), where)
            found += [f"{where}:{line} {what}" for line, what in wrong]
    for path in tidy.notebooks():
        found += [f"{path.name} {what}" for cell in _cells(path) for _, what in broken(cell)]
    assert not found, (
        "write a macro in the room's templates/, fill it with `piece`, show it in an `HtmlPiece`: "
        + "; ".join(found)
    )


def test_no_template_calls_what_was_typed_safe():
    """`safe` is for what the template itself or this repository says, never for a view's words."""
    ours = {"script", "element.asks", "element.lacks", "line", "'<br>'", '"<br>"'}
    wild = []
    for file in (*pages.TEMPLATES.glob("*"), *tidy.ROOT.glob("lessons/*/templates/*")):
        text = file.read_text(encoding="utf-8")
        wild += [
            f"{file.name}: {name}"
            for name in re.findall(r"([^\s{(|]+)\s*\|\s*safe\b", text)
            if name not in ours
        ]
    assert not wild


@pytest.mark.parametrize(
    "source",
    [
        "import html",
        "from html import escape",
        "def f(x):\n    import html as h\n    return h.escape(x)",
        "x.value = f'<b>{name}</b>'",
        "x.value = '<p>' + name",
        "x.value = f'{name}</div>'",
        "x.value = f\"<a href='{name}'>\"",
        "'<br>'.join(rows)",
        "x = Markup(f'{name}')",
        "widgets.HTML(name)",
        "from IPython.display import HTML",
        "from ipywidgets import HTMLMath",
        "Checkbox(description=name, description_allow_html=True)",
    ],
)
def test_html_by_hand_is_seen(source):
    assert broken(source)


@pytest.mark.parametrize(
    "source",
    [
        '"""Return <b>bold</b>."""',
        "re.compile(r'<title>(.*)</title>')",
        "pattern = r'(?P<number>[0-9]+)'",
        "if a <b: pass",
        "words = 'h < H and a<5'",
        "Markup()",
    ],
)
def test_what_makes_no_html_is_let_be(source):
    assert not broken(source)


# What would run --------------------------------------------------------------------------

HOSTILE = "<img src=x onerror=alert(1)>"


class _Elements(HTMLParser):
    def __init__(self, markup):
        super().__init__()
        self.elements, self.scripts, self.words = set(), [], ""
        self.feed(markup)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.elements.add(tag)
        self.scripts += [name for name, _ in attrs if name.startswith("on")]

    def handle_data(self, data):
        self.words += data


def shown(widget):
    """Return the HTML of each piece that a widget holds, itself and all below it."""
    pieces = [str(widget.value)] if isinstance(widget, widgets.HTML) else []
    return pieces + [text for child in getattr(widget, "children", ()) for text in shown(child)]


def stays_text(widget, part=HOSTILE):
    """Assert that a widget shows `part` as text, and runs nothing."""
    found = [_Elements(text) for text in shown(widget)]
    assert not [one.elements for one in found if one.elements & {"img", "script"} or one.scripts]
    assert any(part in one.words for one in found), "it is not shown at all"


def test_a_name_that_runs_is_seen():
    """`HtmlPiece` is what keeps a plain text a text: without it the same text would run."""
    with pytest.raises(AssertionError):
        stays_text(widgets.VBox([widgets.HTML(f"Site: {HOSTILE}")]))
    with pytest.raises(AssertionError, match="not shown"):
        stays_text(widgets.VBox([HtmlPiece("")]))
    stays_text(widgets.VBox([HtmlPiece(f"Site: {HOSTILE}")]))


def test_words_take_text_for_text_at_any_time():
    one = HtmlPiece("a & b")
    assert one.value == "a &amp; b"
    one.value = HOSTILE
    stays_text(one)
    one.value = piece("box.html", "alarm", HOSTILE) + HOSTILE
    stays_text(one)


@pytest.fixture
def answers(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path / "answers"))
    session.sign_in("T07")
    session.choose_decimal(".")
    return session.folder()


@pytest.fixture
def site(answers):
    """The job at which the trainee works, under a name that would run."""
    here = session.open().site
    named = dataclasses.replace(here, name=HOSTILE)
    session.choose_site(named)
    return named


def test_a_site_on_the_start_page(site):
    stays_text(welcome.panel())


def test_a_site_in_its_summary(site):
    offered = summary.offer()
    offered.make()
    stays_text(offered)


@pytest.mark.parametrize("figure", [five_answers, many_datums])
def test_a_site_in_a_readout(site, figure):
    stays_text(figure(site))


def test_a_star_in_a_name_is_no_stress(site):
    starred = dataclasses.replace(site, name="**A** and *B*")
    readout = five_answers(starred).readout.value
    assert "∗∗A∗∗ and ∗B∗" in readout


def test_what_a_figure_stumbles_over(site):
    figure = five_answers(site)
    figure.drawing.update = lambda **_: (_ for _ in ()).throw(ValueError(HOSTILE))
    figure.redraw()
    stays_text(figure)


def test_a_picture_that_cannot_be_made(site, monkeypatch):
    figure = five_answers(site)
    monkeypatch.setattr(figure, "built", lambda *_: (_ for _ in ()).throw(ValueError(HOSTILE)))
    figure.foot.save()
    stays_text(figure.foot)


def test_an_answer_that_cannot_be_read(answers):
    box = answer_box.ask("deflection-plumb-offset")
    box.entries["east"].value = box.entries["north"].value = HOSTILE
    box.check()
    assert box.verdict.state == "unread"
    stays_text(box)


def test_an_exercise_of_hostile_words(answers, monkeypatch):
    key = "deflection-plumb-offset"
    words = {"title": HOSTILE, "prompt": f"**{HOSTILE}**", "nudges": (HOSTILE,)}
    words["steps"] = lambda _: [HOSTILE]
    hostile = dataclasses.replace(BANK[key], **words)
    monkeypatch.setattr(answer_box, "find", lambda _: hostile)
    box = answer_box.ask(key)
    stays_text(box.head)
    stays_text(box.prompt)
    box.nudge()
    stays_text(box.messages)
    box.show()
    stays_text(box.messages)


def test_given_numbers_of_hostile_words():
    table = piece("given.html", "given", [(HOSTILE, HOSTILE)])
    stays_text(HtmlPiece(table))


def test_a_remark_that_cannot_be_kept(answers, monkeypatch):
    box = answer_box.ask("deflection-plumb-offset")

    def refuse(*_):
        raise OSError(28, HOSTILE)

    monkeypatch.setattr(practice.Practice, "remark", refuse)
    box.remark()
    box.remark_text.value = HOSTILE
    box._safely(box.remark)
    stays_text(box)
    assert box.remark_text.value == HOSTILE, "what was typed stays"


def test_hands_of_a_room(answers):
    session.sign_in("ROOM")
    box = answer_box.ask("deflection-first-weight")
    next(iter(box.hands.values())).value = HOSTILE
    box.people.value = "12"
    box.check()
    stays_text(box)
    bars = pages.piece("hands.html", "bars", [(HOSTILE, 3, True)], 12)
    stays_text(HtmlPiece(bars))


def test_a_code_at_signing_in(answers):
    start = welcome.panel()
    start.code.value = HOSTILE
    start._safely(start.sign_in)()
    stays_text(start)


def test_a_lesson_s_title_on_the_map(tmp_path):
    cell = {"cell_type": "markdown", "source": [f"# 08 {HOSTILE}"]}
    path = tmp_path / "08_deflection.ipynb"
    path.write_text(json.dumps({"cells": [cell]}), encoding="utf-8")
    page = coursemap.pages(tmp_path)["deflection"]
    rows = [(page, HOSTILE, HOSTILE, HOSTILE, HOSTILE)]
    stays_text(HtmlPiece(piece("start.html", "map", HOSTILE, rows)))
    stays_text(HtmlPiece(piece("start.html", "next", page, HOSTILE)))


def test_an_entry_of_the_workbench(answers):
    bench = Workbench()
    bench.choose("Geodesic between two points")
    bench.fields["lat1"].value = HOSTILE
    bench.compute()
    stays_text(bench)


def test_what_the_desk_shows(tmp_path, monkeypatch, answers):
    folder = tmp_path / "class & co"
    one = Desk(folder, "T10")
    one.answer(east=HOSTILE)
    one.put("remark", text=HOSTILE)
    one.put("remark", text=HOSTILE, key="")
    opened = desk.Desk()
    opened.folder.value = str(folder)
    opened.open_class()
    opened.members["T10"].button.value = True
    stays_text(opened.members["T10"])
    opened.members["T10"].lesson.value = "deflection"
    stays_text(opened.members["T10"])
    opened.say(HOSTILE)
    stays_text(opened.status)
    opened.say(HOSTILE, alarm=True)
    stays_text(opened.status)
    stays_text(HtmlPiece(piece("said.html", "state", HOSTILE, 3, 4, 1, 2, "10:00")))


def test_every_macro_of_the_lessons_is_looked_at():
    """Each piece with a hostile text in every place; a new macro is tried without being named."""
    tried = 0
    for file in sorted(tidy.ROOT.glob("lessons/*/templates/*.html")):
        for name, count in _macros(file):
            made = _tried(file.name, name, count)
            if made is not None:
                tried += 1
                found = _Elements(str(made))
                assert "img" not in found.elements, f"{file.name}: {name} runs what it is given"
    assert tried >= 15


def _macros(file: Path):
    heads = re.findall(r"\{%-? macro (\w+)\(([^)]*)\)", file.read_text(encoding="utf-8"))
    return [(name, len([p for p in rest.split(",") if p.strip()])) for name, rest in heads]


def _tried(file, name, count):
    try:
        return piece(file, name, *[HOSTILE] * count)
    except Exception:  # wants a view or a list: tried by name above
        return None
