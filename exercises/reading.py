"""From what a trainee typed to a number in the asked unit, or one sentence why not."""

import re

from exercises import wording
from exercises.model import DMS, Asked
from geokit import angles

# To the asked unit's family: factors to metres, to arcseconds.
LENGTHS = {
    "mm": 0.001,
    "cm": 0.01,
    "m": 1.0,
    "km": 1000.0,
    "ft": 0.3048,  # the international foot
    "NM": 1852.0,
}
AREAS = {"m²": 1.0, "ha": 1e4, "km²": 1e6}
ANGLES = {"mas": 0.001, "″": 1.0, "′": 60.0, "°": 3600.0}
SPELLINGS = {
    **{"metre": "m", "metres": "m", "meter": "m", "meters": "m", "millimetres": "mm"},
    **{"m2": "m²", "km2": "km²"},
    **{"feet": "ft", "foot": "ft", "nm": "NM", "nmi": "NM"},
    **{'"': "″", "''": "″", "”": "″", "arcsec": "″", "arcseconds": "″", "sec": "″"},
    **{"'": "′", "’": "′", "arcmin": "′", "min": "′"},
    **{"deg": "°", "degrees": "°", "º": "°"},
}
COMPASS = {
    "east": ("e", "east", "w", "west"),
    "north": ("n", "north", "s", "south"),
    "up": ("u", "up", "d", "down"),
}
WHOLE_ANGLES = ("latitude", "longitude", "azimuth", "angle")
_ENDING = re.compile(r"^(?P<number>.*?[\d.,])\s*(?P<rest>(?:k?m2|[^\d.,]*))$", re.DOTALL)

_WORDS = re.compile(r"[^\W\d_]{2}|[^\w\s.,'+\-\u2212\u2013]")  # no number: quote it whole


def read(asked: Asked, text: str, decimal: str | None) -> float | str:
    """
    Return the number typed, in the asked unit; for a choice its key.

    Parameters
    ----------
    decimal : "." or ",", None where the trainee has not chosen

    Raises
    ------
    ValueError
        With one sentence that says what was not understood.
    """
    if not text.strip():
        raise ValueError("Nothing is typed here yet.")
    if asked.kind == "choice":
        return _choice(asked, text.strip())
    if asked.kind in WHOLE_ANGLES and asked.unit in ("°", DMS):
        return angles.read(text, asked.kind, decimal)
    number, unit, sign = _taken_apart(asked, text)
    value = angles.read_number(number, decimal)
    if sign:
        if number.lstrip()[:1] in "+-−–":
            raise ValueError(
                f"{wording.quoted(text)} has both a sign and a direction: give one of the two."
            )
        value *= sign
    return value * _factor(asked, unit)


def _choice(asked: Asked, key: str) -> str:
    keys = [option.key for option in asked.options]
    if key not in keys:
        raise ValueError(f"{wording.quoted(key)} is not one of the choices.")
    return key


def _taken_apart(asked: Asked, text: str) -> tuple[str, str, int]:
    """Return number, unit and sign of the direction word of "0.35 m west"."""
    match = _ENDING.match(text.strip())
    if not match or len(match["rest"]) > 20 or _WORDS.search(match["number"]):
        return text, "", 0
    words = match["rest"].split()
    sign = 0
    if words and asked.positive in COMPASS and words[-1].lower() in COMPASS[asked.positive]:
        sign = 1 if COMPASS[asked.positive].index(words.pop().lower()) < 2 else -1
    unit = " ".join(words)
    return match["number"], SPELLINGS.get(unit, unit), sign


def _factor(asked: Asked, unit: str) -> float:
    """Return what turns the typed unit into the asked one; the asked one where none is typed."""
    if unit in ("", asked.unit):
        return 1.0
    for family in (LENGTHS, AREAS, ANGLES):
        if unit in family and asked.unit in family:
            return family[unit] / family[asked.unit]
    what = f"in {asked.unit}" if asked.unit not in ("", "1") else "without a unit"
    raise ValueError(f"{wording.quoted(unit)} does not fit here: the answer is asked {what}.")
