"""Numbers and small marks in sentences: one way of writing them, on screen and on paper."""

import re

from geokit import angles

MINUS = "\u2212"
THIN = "\u202f"  # narrow no-break space, between thousands and before a unit
OPPOSITE = {
    "east": "west",
    "north": "south",
    "up": "down",
    "forward": "back",
    "clockwise": "anticlockwise",
    "too large": "too small",
    "longer": "shorter",
    "above normal": "below normal",
    "added": "subtracted",
    "passes": "fails",
}
LETTERS = {"latitude": "NS", "longitude": "EW"}
CLOSE_UNITS = ("°", "′", "″", "%")  # stand at the number without a space
_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
# What keeps its points: tags and what some of them hold (a path, a citation, what somebody typed),
# words in quotation marks, a formula until the page has made it one, dates, and the numbered parts
# and editions of books and programs.
_LEFT = re.compile(
    r"<(style|script|code|cite|bdi)\b.*?</\1>|</?[a-zA-Z!][^<>]*>|“[^”]*”|\$[^$\n]+\$"
    r"|\b(?:sections?|chapters?|tables?|editions?|ed\.|versions?|eqs?\.|PROJ|pyproj|§)"
    r" ?[0-9.]+[0-9]"
    r"|[0-9]+(?:\.[0-9]+){2,}|[^\W\d]\w*\.[0-9]+",
    re.DOTALL | re.IGNORECASE,
)
_LISTED = re.compile(r"(,[0-9]+), (?=[+−-]?[0-9])|(?<=[0-9]), (?=[+−-]?[0-9][0-9\u202f]*,[0-9])")


def number(value: float, decimals: int, *, signed: bool = False, decimal: str = ".") -> str:
    r"""
    Return a number for reading: true minus, thin space in thousands, never −0.0.

    >>> number(-1234.5, 1)
    '−1\u202f234.5'
    >>> number(60.7, 1, signed=True)
    '+60.7'
    """
    text = f"{abs(value):,.{decimals}f}".replace(",", THIN)
    text = text.replace(".", decimal)
    if float(f"{value:.{decimals}f}") == 0:
        return text
    return (MINUS if value < 0 else "+" if signed else "") + text


def dms(value: float, decimals: int, kind: str = "angle", decimal: str = ".") -> str:
    """Return an angle in degrees, minutes and seconds; latitude and longitude with their letter."""
    if kind not in LETTERS:
        return angles.dms(value, decimals).replace(".", decimal)
    text = angles.dms(abs(value), decimals).replace(".", decimal)
    return f"{text} {LETTERS[kind][value < 0]}"


def unit(name: str) -> str:
    """Return a unit as it stands behind a number."""
    if name in ("", "1"):
        return ""
    return name if name.startswith(CLOSE_UNITS) else "\u00a0" + name


def way(value: float, positive: str, decimals: int) -> str:
    """Return the direction word of a signed value; none for zero or where none is named."""
    if not positive or float(f"{value:.{decimals}f}") == 0:
        return ""
    return positive if value > 0 else OPPOSITE.get(positive, "")


def directed(value: float, decimals: int, name: str, positive: str, *, signed: bool = False) -> str:
    r"""
    Return a value with its unit and a direction word, or else a true minus: never both.

    −15.76 m west would be read as east. `signed` sets a plus where there is no direction word.

    >>> directed(-15.76, 2, "m", "east"), directed(-15.76, 2, "m", "")
    ('15.76\xa0m west', '−15.76\xa0m')
    """
    word = way(value, positive, decimals)
    text = number(abs(value) if word else value, decimals, signed=signed and not word)
    return text + unit(name) + (f" {word}" if word else "")


def powers(value: float, decimals: int) -> str:
    """
    Return a number with its power of ten, as it is written by hand.

    >>> powers(5.834857e-04, 3)
    '5.835 × 10⁻⁴'
    """
    digits, exponent = f"{value:.{decimals}e}".split("e")
    return f"{digits.replace('-', MINUS)} × 10{str(int(exponent)).translate(_RAISED)}"


def size(metres: float) -> str:
    r"""
    Return a length in the unit that reads best.

    >>> size(0.058), size(0.88), size(1878)
    ('58\xa0mm', '0.88\xa0m', '1\u202f878\xa0m')
    """
    magnitude = abs(metres)
    if magnitude < 0.0995:
        text, name = number(metres * 1000, 0 if magnitude >= 0.00995 else 1), "mm"
    elif magnitude < 9.995:
        text, name = number(metres, 2), "m"
    elif magnitude < 9999.5:
        text, name = number(metres, 0 if magnitude >= 99.95 else 1), "m"
    else:
        text, name = number(metres / 1000, 0 if magnitude >= 99_950 else 1), "km"
    return text + unit(name)


def minus(text: str) -> str:
    """Return the text with a true minus before each negative number."""
    return re.sub(r"(?<![\w\d)-])-(?=[\d.])", MINUS, text)


def in_sign(text: str, decimal: str | None) -> str:
    """
    Return a text, plain or a page, with its numbers in the decimal sign of whoever reads it.

    The one place where a point becomes a comma; applied where a text becomes a page or a picture's
    words, and harmless where it was applied before.

    >>> in_sign("6.5, 7.25 and 8 m; <i style='x: 0.5em'>“4.437”</i>, section 4.2", ",")
    "6,5; 7,25 and 8 m; <i style='x: 0.5em'>“4.437”</i>, section 4.2"
    """
    if decimal != ",":
        return text
    done, parts = 0, []
    for left in _LEFT.finditer(text):
        parts += [_with_commas(text[done : left.start()]), left[0]]
        done = left.end()
    return "".join([*parts, _with_commas(text[done:])])


def _with_commas(text: str) -> str:
    text = re.sub(r"(?<=[0-9])\.(?=[0-9])", ",", text)
    return _LISTED.sub(lambda match: f"{match[1] or ''}; ", text)


def joined(text: str) -> str:
    """Return the text with no line break between a number and its unit, or inside a number."""
    text = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", THIN, text)
    return re.sub(r"(?<=\d) (?=(?:[kcm]?m|NM|ppm|mGal|kn|ft|s|kg|%)(?:\W|$))", "\u00a0", text)


def runs(text: str) -> list[tuple[str, str]]:
    """
    Return a text in pieces of one kind each: **this** is "b", *this* is "i", $this$ a formula, "m".

    >>> runs("turn **west**, *not* east: $x = 1$")
    [('', 'turn '), ('b', 'west'), ('', ', '), ('i', 'not'), ('', ' east: '), ('m', 'x = 1')]
    """
    found = []
    for formula, piece in enumerate(re.split(r"\$([^$\n]+)\$", text)):
        if formula % 2:
            found.append(("m", piece))
            continue
        for at, part in enumerate(re.split(r"\*\*(.+?)\*\*", piece)):
            for within, words in enumerate(re.split(r"\*(.+?)\*", part)):
                if words:
                    found.append(("b" * (at % 2) + "i" * (within % 2), words))
    return found


_SIGNS = {
    **{"alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "varepsilon": "ε", "zeta": "ζ"},
    **{"eta": "η", "theta": "θ", "kappa": "κ", "lambda": "λ", "nu": "ν", "xi": "ξ", "pi": "π"},
    **{"rho": "ρ", "sigma": "σ", "varphi": "φ", "phi": "φ", "psi": "ψ", "omega": "ω"},
    **{"Delta": "Δ", "Phi": "Φ", "Lambda": "Λ", "Sigma": "Σ", "Omega": "Ω", "Gamma": "Γ"},
    **{"cdot": "·", "times": "×", "pm": "±", "approx": "≈", "le": "≤", "ge": "≥", "ne": "≠"},
    **{"partial": "∂", "sum": "Σ", "int": "∫", "sqrt": "√", "circ": "°", "prime": "′", "Psi": "Ψ"},
    **dict.fromkeys(("left", "right", "mathrm", "text", "quad", "bar", "dot", "hat"), ""),
}


def in_signs(tex: str) -> str:
    r"""
    Return a formula in one line of plain signs, for a terminal and a spreadsheet.

    >>> in_signs(r"\frac{s^2}{2R} \cos\varphi")
    '(s²)/(2R) cosφ'
    """
    while (shorter := re.sub(r"\\[td]?frac\{([^{}]*)\}\{([^{}]*)\}", r"(\1)/(\2)", tex)) != tex:
        tex = shorter
    tex = re.sub(r"\\([A-Za-z]+)", lambda m: _SIGNS.get(m[1], m[1]), tex)
    tex = tex.replace("^2", "²").replace("^3", "³").replace("_", "")
    return " ".join(re.sub(r"\\[,; ]", " ", tex).replace("{", "").replace("}", "").split())


def to_text(text: str) -> str:
    """Return the text without its stress marks, a formula in plain signs."""
    text = re.sub(r"\$([^$\n]+)\$", lambda m: in_signs(m[1]), text)
    return re.sub(r"\*{1,2}(.+?)\*{1,2}", r"\1", minus(text))


def quoted(text: str, limit: int = 40) -> str:
    """Return what somebody typed, in quotes, in one line and cut to a readable length."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return f"“{line if len(line) <= limit else line[: limit - 1] + '…'}”"
