r"""
Formulas on a page without MathJax: the lessons' TeX as MathML, each with its name in words.

A formula stands between dollar signs in the words of the bank and in the trainer's notes, as it
does in a lesson. Only a listed part of TeX is used: what the converter does not know it would pass
through in silence, so everything else is refused here and tried in the tests.
"""

import re
from functools import lru_cache
from xml.etree import ElementTree

from latex2mathml.converter import convert
from markupsafe import Markup

GREEK = (
    *("alpha", "beta", "gamma", "delta", "varepsilon", "zeta", "eta", "theta", "kappa", "lambda"),
    *("nu", "xi", "pi", "rho", "sigma", "varphi", "phi", "psi", "omega", "Delta", "Phi", "Lambda"),
    *("Sigma", "Omega", "Gamma", "Psi"),
)
FUNCTIONS = ("cos", "sin", "tan", "cot", "sec", "ln", "arctan", "arcsin", "arccos")
SPOKEN = {
    **{name: name.removeprefix("var") for name in (*GREEK, *FUNCTIONS)},
    **{"cdot": "times", "times": "times", "pm": "plus or minus", "approx": "is about"},
    **{"le": "at most", "ge": "at least", "partial": "d", "int": "integral of", "sum": "sum of"},
    **{"circ": "degrees", "prime": "prime", "dot": "rate of", "bar": "mean", "hat": "hat"},
    **dict.fromkeys(("left", "right", "mathrm", "text", "quad", "begin", "end", "ll", "gg"), ""),
    **{"frac": "", "sqrt": "root of", "tfrac": "", "to": "to", "ne": "is not", "dfrac": ""},
}
COMMAND = re.compile(r"\\([A-Za-z]+)")
LONGEST = 600  # letters of a formula


def known(tex: str) -> bool:
    """Return whether a formula keeps to the listed part of TeX and its braces close."""
    depth = 0
    for sign in tex.replace(r"\{", "").replace(r"\}", ""):
        depth += (sign == "{") - (sign == "}")
        if depth < 0:
            return False
    return depth == 0 and len(tex) <= LONGEST and set(COMMAND.findall(tex)) <= set(SPOKEN)


@lru_cache(maxsize=2048)
def mathml(tex: str, display: str = "inline") -> Markup:
    """
    Return a formula as MathML.

    Raises
    ------
    ValueError
        Where it does not keep to the listed part of TeX.
    """
    if not known(tex):
        spare = sorted(set(COMMAND.findall(tex)) - set(SPOKEN)) or "its braces"
        raise ValueError(f"the formula {tex!r} is not in the course's TeX: {spare}.")
    made = ElementTree.fromstring(convert(tex, display=display))
    made.set("alttext", spoken(tex))
    for part in made.iter():
        part.tag = part.tag.partition("}")[2]  # a page needs no namespace, and refers to nothing
        if part.text in FUNCTIONS:  # an operator, so that "sin φ" has its space
            part.tag = "mo"
            part.attrib |= {"lspace": "0.167em", "rspace": "0.167em"}
    return Markup(ElementTree.tostring(made, encoding="unicode"))  # escaped


def spoken(tex: str) -> str:
    r"""
    Return a formula's name in words, for who hears the page.

    >>> spoken(r"\varepsilon = \xi \cos\alpha + \eta \sin\alpha")
    'epsilon equals xi cos alpha plus eta sin alpha'
    >>> spoken(r"\frac{s^2}{2R}")
    's squared over 2 R'
    """
    words = re.sub(r"\\(?:begin|end)\{pmatrix\}", " ", tex)
    words = words.replace(r"\\", " ; ").replace("&", " , ")
    while (shorter := _without_fractions(words)) != words:
        words = shorter
    words = COMMAND.sub(lambda m: f" {SPOKEN.get(m[1], m[1])} ", words)
    words = re.sub(r"\\.", " ", words)
    words = re.sub(r"\^\s*(?:2|\{\s*2\s*\})", " squared ", words)
    words = re.sub(r"\^\s*(?:3|\{\s*3\s*\})", " cubed ", words)
    words = re.sub(r"\^\s*(?:degrees|\{\s*degrees\s*\})", " degrees ", words)
    words = re.sub(r"\^", " to the power ", words).replace("_", " sub ")
    for sign, word in {"=": "equals", "+": "plus", "-": "minus", "−": "minus", "/": "over"}.items():
        words = words.replace(sign, f" {word} ")
    words = re.sub(r"(?<=\d)(?=[A-Za-z])", " ", re.sub(r"[{}]", " ", words))
    return " ".join(words.split())


def _without_fractions(words: str) -> str:
    r"""Write one innermost \frac as "a over b"."""
    return re.sub(r"\\[td]?frac\{([^{}]*)\}\{([^{}]*)\}", r" \1 over \2 ", words, count=1)
