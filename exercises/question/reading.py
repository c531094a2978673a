"""From what a trainee typed to a number in the asked unit, or one sentence why not."""

import re

from exercises.question import wording
from exercises.question.model import DMS, Asked
from geokit import angles

# To the asked unit's family: factors to metres, to square metres, to arcseconds and so on.
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
GRAVITIES = {"mGal": 1e-5, "Gal": 0.01, "m/s²": 1.0}
VELOCITIES = {"mm/yr": 0.001, "cm/yr": 0.01, "m/yr": 1.0}
FAMILIES = (LENGTHS, AREAS, ANGLES, GRAVITIES, VELOCITIES)
# Found in any case; a unit of one letter is not among them: M is no metre.
SPELLINGS = {
    **{unit.lower(): unit for family in FAMILIES for unit in family if len(unit) > 1},
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("foot", "feet"), "ft"),
    **dict.fromkeys(("nmi", "nautical mile", "nautical miles"), "NM"),
    **{"m2": "m²", "m^2": "m²", "km2": "km²", "km^2": "km²", "sq km": "km²"},
    **{"m/s2": "m/s²", "m/s^2": "m/s²"},
    **{f"{length}/{year}": f"{length}/yr" for length in ("mm", "cm", "m") for year in ("a", "y")},
    **{f"{length}/year": f"{length}/yr" for length in ("mm", "cm", "m")},
    **dict.fromkeys(('"', "''", "”", "sec", "seconds", "arcsec", "arcseconds"), "″"),
    **dict.fromkeys(("'", "’", "min", "minutes", "arcmin", "arcminutes"), "′"),
    **dict.fromkeys(("º", "deg", "degrees"), "°"),
}
# The short words of a positive direction and of its opposite.
SHORT = {"east": "ew", "north": "ns", "up": "ud", "clockwise": ("cw", "ccw")}
WHOLE_ANGLES = ("latitude", "longitude", "azimuth", "angle")
_ENDING = re.compile(r"^(?P<number>.*?[\d.,])\s*(?P<rest>k?m\^?2|m/s\^?2|[^\d.,]*)$", re.DOTALL)
_WORDS = re.compile(r"[^\W\d_]{2}|[^\w\s.,'+\-\u2212\u2013]")  # no number: quote it whole
_THOUSANDS = re.compile(r"(?<=\d)['’](?=\d{3}(?!\d))")
_NO_WIDTH = dict.fromkeys(map(ord, "\u200b\u200e\u200f\u2060\ufeff"))  # come along when copied


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
    text = text.translate(_NO_WIDTH).strip()
    if not text:
        raise ValueError("Nothing is typed here yet.")
    if asked.kind == "choice":
        return _choice(asked, text)
    typed, sign = _direction(asked, text.rstrip(".;") or text)
    return (sign or 1) * _value(asked, typed, decimal)


def _choice(asked: Asked, key: str) -> str:
    keys = [option.key for option in asked.options]
    if key not in keys:
        raise ValueError(f"{wording.quoted(key)} is not one of the choices.")
    return key


def _direction(asked: Asked, text: str) -> tuple[str, int]:
    """Take the direction word off "0.35 m west" or "W 0.35 m"; its sign is 0 where none stands."""
    if not asked.positive:
        return text, 0
    if asked.unit == "″" and re.search(r"\d\s*s$", text):
        raise ValueError(f"{wording.quoted(text)} may be seconds or south: write ″ or S.")
    ways = (asked.positive, wording.OPPOSITE[asked.positive])
    letter = r"[^\W\d_]"
    for sign, long, short in zip((1, -1), ways, SHORT.get(asked.positive, ways), strict=True):
        words = f"(?:{long}|{short})"
        rest = re.sub(rf"^{words}(?!{letter})|(?<!{letter}){words}$", "", text, count=1, flags=re.I)
        rest = rest.strip()
        if rest != text:
            if rest[:1] in "+-−–":
                raise ValueError(
                    f"{wording.quoted(text)} has both a sign and a direction: give one of the two."
                )
            return rest, sign
    return text, 0


def _value(asked: Asked, text: str, decimal: str | None) -> float:
    """Return the number of a text without its direction word."""
    if asked.kind in WHOLE_ANGLES and asked.unit in ("°", DMS):
        return angles.read(text, asked.kind, decimal)
    if asked.unit in ANGLES and re.search(r"[°º]\s*\d", text):  # 0° 00′ 28.5″ for 28.5″
        return angles.read(text, "angle", decimal) * _factor(asked, "°")
    number, unit = _taken_apart(text)
    return angles.read_number(_THOUSANDS.sub("", number), decimal) * _factor(asked, unit)


def _taken_apart(text: str) -> tuple[str, str]:
    """Return number and unit of "351 mm"."""
    match = _ENDING.match(text)
    if not match or _WORDS.search(match["number"]):
        return text, ""
    unit = " ".join(match["rest"].split())
    if len(unit) > 20 or not unit.isprintable():
        return text, ""
    return match["number"], SPELLINGS.get(unit.lower(), unit)


def _factor(asked: Asked, unit: str) -> float:
    """Return what turns the typed unit into the asked one; the asked one where none is typed."""
    if unit in ("", asked.unit) or (unit, asked.unit) == ("M", "NM"):  # charts write M
        return 1.0
    for family in FAMILIES:
        if unit in family and asked.unit in family:
            return family[unit] / family[asked.unit]
    what = f"in {asked.unit}" if asked.unit not in ("", "1") else "without a unit"
    raise ValueError(f"{wording.quoted(unit)} does not fit here: the answer is asked {what}.")
