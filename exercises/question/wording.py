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
    "added": "taken off",
    "passes": "fails",
}
LETTERS = {"latitude": "NS", "longitude": "EW"}
CLOSE_UNITS = ("°", "′", "″", "%")  # stand at the number without a space


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


def joined(text: str) -> str:
    """Return the text with no line break between a number and its unit, or inside a number."""
    text = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", THIN, text)
    return re.sub(r"(?<=\d) (?=(?:[kcm]?m|NM|ppm|mGal|kn|ft|s|kg|%)(?:\W|$))", "\u00a0", text)


def runs(text: str) -> list[tuple[str, str]]:
    """
    Return a text in pieces of one stress each: **this** is bold, "b", and *this* stressed, "i".

    >>> runs("turn **west**, *not* east")
    [('', 'turn '), ('b', 'west'), ('', ', '), ('i', 'not'), ('', ' east')]
    """
    found = []
    for at, part in enumerate(re.split(r"\*\*(.+?)\*\*", text)):
        for within, words in enumerate(re.split(r"\*(.+?)\*", part)):
            if words:
                found.append(("b" * (at % 2) + "i" * (within % 2), words))
    return found


def to_text(text: str) -> str:
    """Return the text without its stress marks."""
    return re.sub(r"\*{1,2}(.+?)\*{1,2}", r"\1", minus(text))


def quoted(text: str, limit: int = 40) -> str:
    """Return what somebody typed, in quotes, in one line and cut to a readable length."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return f"“{line if len(line) <= limit else line[: limit - 1] + '…'}”"
