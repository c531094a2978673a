r"""Formulas off the lessons: the listed part of TeX, well-formed MathML, and a name in words."""

import json
import re
import xml.etree.ElementTree as ET

import pytest

from exercises import BANK, given
from exercises.pages import formulas, markdown, pages
from tests.tidy import ROOT

FORMULA = re.compile(r"\$\$(.+?)\$\$|\$([^$\n]+)\$", re.DOTALL)


def in_lessons():
    for path in sorted((ROOT / "lessons").glob("*.ipynb")):
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            if cell["cell_type"] == "markdown":
                for block, inline in FORMULA.findall("".join(cell["source"])):
                    yield path.stem, (block or inline).strip()


def in_bank():
    for key, exercise in BANK.items():
        numbers = given(exercise, "T07", 1)
        words = [exercise.prompt, exercise.source, *exercise.nudges, *exercise.steps(numbers)]
        words += [slip.reply for slip in exercise.slips]
        for text in words:
            for block, inline in FORMULA.findall(text):
                yield key, block or inline


FORMULAS = sorted({*in_lessons(), *in_bank()})


@pytest.mark.parametrize(("where", "tex"), FORMULAS)
def test_a_formula_becomes_well_formed_mathml_with_a_name(where, tex):
    made = ET.fromstring(formulas.mathml(tex))
    assert made.tag.endswith("math")
    shown = "".join(made.itertext())
    assert shown.strip()
    assert "\\" not in shown, "a command passed through in silence"
    assert made.get("alttext")
    assert "\\" not in made.get("alttext")


@pytest.mark.parametrize(
    ("tex", "words"),
    [
        (r"\varepsilon = \xi \cos\alpha", "epsilon equals xi cos alpha"),
        (r"\frac{s^2}{2R}", "s squared over 2 R"),
        (r"N_2 - N_1", "N sub 2 minus N sub 1"),
        (r"\sqrt{\xi^2 + \eta^2}", "root of xi squared plus eta squared"),
    ],
)
def test_names_in_words(tex, words):
    assert formulas.spoken(tex) == words


@pytest.mark.parametrize("tex", [r"\operatorname{x}", r"\input{x}", "{x", "x}", "x" * 700])
def test_what_is_not_in_the_list_is_refused_and_shown_as_it_is(tex):
    assert not formulas.known(tex)
    with pytest.raises(ValueError, match="course's TeX"):
        formulas.mathml(tex)
    assert "<math" not in pages.stressed(f"${tex}$")


def test_a_formula_in_the_middle_of_words_and_a_dollar_that_is_none():
    made = pages.stressed("with $\\xi^2$ and **12.5** for 3 $ a day")
    assert "<math " in made
    assert made.endswith("<b>12.5</b> for 3 $ a day")
    assert "<script" not in pages.stressed("$<script>$")


def test_the_trainers_notes_show_formulas():
    made = markdown.to_html("See $x^2$.\n\n$$\nE = \\frac{A}{R^2}\n$$\n")
    assert made.count("<math ") == 2
