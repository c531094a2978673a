"""
From what somebody typed to a number in the asked unit, or one sentence why not.

Every field of the course reads through `read`: answer boxes, closed papers, a figure's fields, the
workbench, the form for a site, the options of commands. A field that belongs to no exercise is
described by `plain_field`.
"""

import itertools
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
ANGLES = {
    **{"mas": 0.001, "″": 1.0, "′": 60.0, "°": 3600.0},
    **{unit: 3600 * angles.OTHER_UNITS[unit] for unit in ("rad", "mrad", "gon", "mgon")},
}
GRAVITIES = {"mGal": 1e-5, "Gal": 0.01, "m/s²": 1.0}
VELOCITIES = {"mm/yr": 0.001, "cm/yr": 0.01, "m/yr": 1.0}
SCALES = {"ppb": 0.001, "ppm": 1.0}
FAMILIES = (LENGTHS, AREAS, ANGLES, GRAVITIES, VELOCITIES, SCALES)
# Found in any case; a unit of one letter is not among them: M is no metre.
SPELLINGS = {
    **{unit.lower(): unit for family in FAMILIES for unit in family if len(unit) > 1},
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("kilometre", "kilometres", "kilometer", "kilometers"), "km"),
    **dict.fromkeys(("centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("foot", "feet"), "ft"),
    **dict.fromkeys(("nmi", "nautical mile", "nautical miles"), "NM"),
    **{"m2": "m²", "m^2": "m²", "km2": "km²", "km^2": "km²", "sq km": "km²"},
    **{"m/s2": "m/s²", "m/s^2": "m/s²"},
    **{f"{length}/{year}": f"{length}/yr" for length in ("mm", "cm", "m") for year in ("a", "y")},
    **{
        f"{length}{year}": f"{length}/yr"
        for length, year in itertools.product(("mm", "cm", "m"), ("/year", " a year", " per year"))
    },
    **dict.fromkeys(('"', "''", "sec", "second", "seconds"), "″"),
    **dict.fromkeys(("arcsec", "arcsecond", "arcseconds", "seconds of arc"), "″"),
    **dict.fromkeys(("'", "min", "minute", "minutes", "arcmin", "arcminute", "arcminutes"), "′"),
    **dict.fromkeys(("deg", "degree", "degrees"), "°"),
    **dict.fromkeys(("radian", "radians"), "rad"),
    **dict.fromkeys(("grad", "grads"), "gon"),
}
# Other words of a positive direction and of its opposite.
SHORT = {
    **{"east": "ew", "north": "ns", "up": "ud", "clockwise": ("cw", "ccw")},
    "added": ("added", "taken off"),
}
WHOLE_ANGLES = ("latitude", "longitude", "azimuth", "angle")
_PLAIN = re.compile(r"[+-]?[0-9]{1,15}(?:[.,][0-9]{1,15})?")
_ENDING = re.compile(r"^(?P<number>.*?[\d.,])\s*(?P<rest>k?m\^?2|m/s\^?2|[^\d.,]*)$", re.DOTALL)
_WORDS = re.compile(r"[^\W\d_]{2}|[^\w\s.,'+\-×*^]")  # no number: quote it whole
_ABOUT = re.compile(
    r"(?:(?:approximately|approx|about|around|roughly|circa|ca|c)\b\.?|[~≈≅=])\s*", re.IGNORECASE
)
"""What stands before a number and leaves its value as it is."""
_UNIT = "|".join(sorted(map(re.escape, ("m", "″", "′", "°", *SPELLINGS)), key=len, reverse=True))
_SPREAD = re.compile(  # 0.35 ± 0.02 m, 0.35 m ± 2 cm: how sure, which nobody asked
    r"(?:(?<=\d)\s*(?:±|\+/-|\+-)\s*[0-9.,]+)"
    rf"|(?:(?<=[^\d\s])\s*(?:±|\+/-|\+-)\s*[0-9.,]+\s*(?:(?:{_UNIT})(?![^\W\d_]))?)",
    re.IGNORECASE,
)
_QUOTES = {'"': '"', "'": "'", "«": "»", "»": "«", "„": '"'}
_LETTER = r"[^\W\d_]"
_LETTERS = re.compile(_LETTER)
_NAMES = {"″": "seconds", "′": "minutes", "mas": "milliarcseconds"}
LONGEST = 200  # characters: what is longer is no number, and is refused as it stands


def plain_field(label: str, unit: str = "", kind: str = "number") -> Asked:
    """
    Return what describes a field that belongs to no exercise.

    Parameters
    ----------
    label : str
    unit : str
        What stands behind or above the field, such as "m above the geoid +" or "°, north +": it
        begins with the unit and may end with the positive direction.
    kind : str
        As in `Asked`: latitude, longitude, azimuth, angle, or plainly a number.
    """
    known = sorted((name for family in FAMILIES for name in family), key=len, reverse=True)
    name = next((name for name in known if re.match(rf"{re.escape(name)}(?![\w/²])", unit)), "")
    if f"{name}/yr" in VELOCITIES and unit.startswith(f"{name} a year"):
        name = f"{name}/yr"
    ending = re.search(r"([a-z]+) \+(?:,|$)", f"{label}, {unit}")
    way = ending[1] if ending and ending[1] in wording.OPPOSITE else ""
    return Asked("", label, kind, name, positive="" if kind in wording.LETTERS else way)


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
    text = text.strip()
    if asked.kind == "choice" and text:
        return _choice(asked, text)
    if _PLAIN.fullmatch(text) and not _whole_angle(asked):
        return angles.read_number(text, decimal)  # as most is typed: nothing stands beside it
    typed = _tidied(asked, text)
    if not typed:
        raise ValueError("Nothing is typed here yet.")
    typed, sign = _direction(asked, typed)
    return (sign or 1) * _value(asked, typed, decimal)


def site_fields(latitude: str, longitude: str, depth: str, decimal: str | None) -> dict[str, float]:
    """
    Return latitude, longitude and water depth as typed for a site; no depth typed is none.

    Raises
    ------
    ValueError
        With one sentence that names the field.
    """
    fields = {
        "latitude": (plain_field("Latitude", "°", "latitude"), latitude),
        "longitude": (plain_field("Longitude", "°", "longitude"), longitude),
        "water_depth": (plain_field("Water depth", "m"), depth.strip() or "0"),
    }
    found = {}
    for name, (asked, text) in fields.items():
        try:
            found[name] = float(read(asked, text, decimal))
        except ValueError as error:
            raise ValueError(f"{asked.label}: {error}") from None
    return found


def _choice(asked: Asked, key: str) -> str:
    keys = [option.key for option in asked.options]
    if key not in keys:
        raise ValueError(f"{wording.quoted(key)} is not one of the choices.")
    return key


def _tidied(asked: Asked, text: str) -> str:
    """Return the text with the keyboard's signs, without what leaves a number as it is."""
    if len(text) > LONGEST:
        return text
    text = _unquoted(asked, angles.plain(text))
    if about := _ABOUT.match(text):
        text = text[about.end() :]
    if text.startswith(("±", "+/-", "+-")):
        raise ValueError(f"{wording.quoted(text)} has both signs: which of the two is it?")
    return _SPREAD.sub("", text).rstrip(".;, ")


def _unquoted(asked: Asked, text: str) -> str:
    """Return the text without quotation marks; where the last one may be a unit, ask."""
    inside = text.lstrip("\"'«»„ ")
    mark = _QUOTES.get(text[:1])
    if not mark or not inside.endswith(mark):
        return inside
    inside = inside[:-1].rstrip()
    unit = SPELLINGS.get(mark)
    angle = asked.unit in (*ANGLES, DMS)
    if unit and angle and unit != asked.unit and inside[-1:].isdigit():
        raise ValueError(f"{wording.quoted(text)} has quotation marks: write it without them.")
    return inside


def _direction(asked: Asked, text: str) -> tuple[str, int]:
    """Take the direction word off "0.35 m west" or "W 0.35 m"; its sign is 0 where none stands."""
    if not asked.positive or not _LETTERS.search(text):
        return text, 0
    if asked.unit == "″" and re.search(r"\d\s*s$", text):
        raise ValueError(f"{wording.quoted(text)} may be seconds or south: write ″ or S.")
    ways = (asked.positive, wording.OPPOSITE[asked.positive])
    for sign, long, short in zip((1, -1), ways, SHORT.get(asked.positive, ways), strict=True):
        rest = _without(text, f"(?:{long}|{short})")
        if rest != text:
            _refuse_two(asked, text, rest)
            return rest, sign
    return text, 0


def _refuse_two(asked: Asked, text: str, rest: str) -> None:
    """Raise where behind a direction word there is a sign or another such word."""
    both = ""
    if rest[:1] in ("+", "-"):
        both = "both a sign and a direction"
    elif _direction(asked, rest)[1]:
        both = "two directions"
    if both:
        raise ValueError(f"{wording.quoted(text)} has {both}: give one of the two.")


def _without(text: str, words: str) -> str:
    """Return the text without these words at its beginning or end."""
    before = rf"^{words}(?!{_LETTER})[\s:]*"
    behind = rf"(?:(?<!{_LETTER})to(?:wards?)?\s+)?(?:(?<!{_LETTER})the\s+)?(?<!{_LETTER}){words}$"
    rest, found = re.subn(f"{before}|{behind}", "", text, count=1, flags=re.IGNORECASE)
    return rest.strip().rstrip(",;:") if found else text


def _value(asked: Asked, text: str, decimal: str | None) -> float:
    """Return the number of a text without its direction word."""
    if _whole_angle(asked):
        return angles.read(text, asked.kind, decimal)
    if asked.unit in ANGLES and angles.several_parts(text):
        return _in_parts(asked, text, decimal)
    number, unit = _taken_apart(text)
    return angles.read_number(number, decimal) * _factor(asked, unit)


def _whole_angle(asked: Asked) -> bool:
    """Return whether degrees, minutes and seconds may be typed here."""
    return asked.kind.removesuffix(angles.PACKED) in WHOLE_ANGLES and asked.unit in ("°", DMS)


def _in_parts(asked: Asked, text: str, decimal: str | None) -> float:
    """Return an angle of several parts; where no mark says which they are, ask."""
    if asked.unit != "°" and not angles.parts_are_marked(text):
        raise ValueError(
            f"{wording.quoted(text)} has several parts: degrees, minutes and seconds? Write "
            f"1° 41′ 09″, or {_NAMES.get(asked.unit, asked.unit)} alone."
        )
    return angles.read(text, "angle", decimal) * _factor(asked, "°")


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
    if asked.positive:
        what += f", {asked.positive} or {wording.OPPOSITE[asked.positive]}"
    raise ValueError(f"{wording.quoted(unit)} does not fit here: the answer is asked {what}.")
