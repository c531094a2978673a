"""
Angles as surveyors type and print them, and plain numbers beside them.

Nothing typed is ever executed: text is matched against what a surveyor may write, and anything
else is refused in one sentence that is fit to be shown to the person who typed it.
"""

import math
import re

from geokit.checks import wrap_azimuth, wrap_longitude

RHO = math.degrees(1) * 3600
"""ρ″, arcseconds in a radian: 206 264.806."""

KINDS = ("latitude", "longitude", "azimuth", "angle")
PACKED = " DD.MMSS"
"""Ends a kind whose single numbers hold degrees, minutes and seconds: 54.12305 is 54° 12′ 30.5″."""

_LONGEST = 60  # characters: more than any angle needs, less than a page
_SAME = str.maketrans(
    {
        **dict.fromkeys("−‐‑‒–—﹣－", "-"),
        **dict.fromkeys("′’‘ʹ´`", "'"),
        **dict.fromkeys("″”“ʺ˝", '"'),
        **dict.fromkeys("º˚", "°"),
        **dict.fromkeys("·‧", "."),
        # marks without width, which come along when text is copied
        **dict.fromkeys("\u200b\u200e\u200f\u202a\u202c\u2060\u2066\u2067\u2068\u2069\ufeff"),
    }
)
_MARK_BEFORE_DECIMALS = re.compile(r"(?<=[0-9])(°|''|['\"])([.,][0-9]+)")
"""As charts and notices to mariners print it: 54° 12′·508 N."""
_NUMBER = "(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)"
_LETTER = "(?i:north|south|east|west|[nsew])"
_ANGLE = re.compile(
    rf"""(?P<front>{_LETTER})? [ ]? (?P<sign>[+-])? [ ]?
    (?P<degrees>{_NUMBER})
    (?: (?: [ ]?(?:°|deg(?:rees?)?|d|:)[ ]? | [ ]-[ ] | - | [ ] )    # "54 -12" is not 54° 12′
        (?P<minutes>{_NUMBER})
        (?: (?: [ ]?(?:'|min(?:utes?)?|(?P<m>m)|:)[ ]? | [ ]-[ ] | - | [ ] )
            (?P<seconds>{_NUMBER}) [ ]? (?: "|''|sec(?:onds?)? | (?(m)s|\b) )?    # else s is south
        | [ ]?(?:'|min(?:utes?)?|m) )?
    | [ ]?(?:°|deg(?:rees?)?|d) )?
    [ ]? (?P<back>{_LETTER})?""",
    re.VERBOSE,
)


def read(text: str, kind: str, decimal: str | None) -> float:
    """
    The angle that somebody typed, in degrees.

    Reads `54 12 30.5 N`, `54°12'30.5"N`, `54-12-30.5N`, `54:12:30.5`, `54 12.508' S`,
    `54d12.508m N`, `54°12'.508N`, `N 54 12 30.5`, `−54.2084`, with the signs of a keyboard or of
    print.

    Parameters
    ----------
    text : str
        As typed.
    kind : str
        "latitude", "longitude", "azimuth" or "angle"; followed by " DD.MMSS" where a single
        number holds degrees, minutes and seconds.
    decimal : "." or "," or None
        The decimal sign of the one who types; None if not chosen yet.

    Returns
    -------
    float
        Degrees, north and east positive; a longitude from −180 to 180, an azimuth from 0 to
        360, an angle as large as typed.

    Raises
    ------
    ValueError
        With one sentence that says what is wrong with the text, or what the kinds are.
    """
    base = kind.removesuffix(PACKED)
    if base not in KINDS:
        raise ValueError(f"kind {kind!r} is not one of {', '.join(KINDS)}, or one with {PACKED!r}")
    typed = _cleaned(text, f"the {base}")
    match = _ANGLE.fullmatch(_MARK_BEFORE_DECIMALS.sub(r"\2\1", typed))
    if not match:
        raise ValueError(f"I could not read {_echo(typed)} as {_example(kind, decimal)}.")
    parts = [match[name] for name in ("degrees", "minutes", "seconds") if match[name]]
    parts = [_point(part, decimal, typed) for part in parts]
    if any("." in part for part in parts[:-1]):
        raise ValueError(f"In {_echo(typed)} only the last number may have decimals.")
    if base != "angle" and len(parts[0].partition(".")[0]) > 3:  # 00207.773 is 2° 07.773′ to a GPS
        raise ValueError(
            f"In {_echo(typed)} the degrees have more than three digits; put a space between "
            "degrees, minutes and seconds."
        )
    if kind != base and len(parts) == 1:
        parts = _unpacked(parts[0])
    size = _degrees(parts, typed)
    return _in_range(_signed(size, match, base, typed), base, typed)


def read_number(text: str, decimal: str | None) -> float:
    """
    The plain number that somebody typed: a length, a difference, a factor.

    Thousands may be set off by spaces, or by the sign that is not the decimal sign; a power of
    ten may follow (1.2e-6).

    Parameters
    ----------
    text : str
        As typed, without a unit.
    decimal : "." or "," or None
        The decimal sign of the one who types; None if not chosen yet, and then "12,345" is
        refused, which could be twelve or twelve thousand.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        With one sentence that says what is wrong with the text.
    """
    typed = _cleaned(text, "the number")
    match = re.fullmatch(r"([+-]?) ?([0-9., ]+)((?:[eE][+-]?[0-9]{1,3})?)", typed)
    if not match:
        raise ValueError(f"I could not read {_echo(typed)} as a number.")
    sign, digits, power = match.groups()
    number = float(sign + _point(digits, decimal, typed, grouped=True) + power)
    if math.isinf(number):
        raise ValueError(f"The number {_echo(typed)} is too large.")
    return number


def dms(value: float, places: int) -> str:
    """
    An angle in print: 54° 12′ 30.5″.

    Parameters
    ----------
    value : float
        In degrees.
    places : int
        Decimals of the seconds, 0 to 12.

    Returns
    -------
    str
        Rounded as a whole, so that it never shows 60 seconds or minutes, nor minus zero.

    Raises
    ------
    ValueError
        If the number of decimals is not one of these.
    """
    if places not in range(13):
        raise ValueError(
            f"{places!r} decimals of a second cannot be shown; allowed is a whole number from 0 to "
            "12: was the angle given second?"
        )
    if not math.isfinite(value):
        return str(value)
    units = round(abs(value) * 3600 * 10**places)
    minutes, seconds = divmod(units, 60 * 10**places)
    degrees, minutes = divmod(minutes, 60)
    width = places + 3 if places else 2
    sign = "−" if value < 0 and units else ""
    return f"{sign}{degrees}° {minutes:02d}′ {seconds / 10**places:0{width}.{places}f}″"


def _cleaned(text, what):
    """Typed text with one sign for each meaning; refused if empty or a page long."""
    typed = " ".join(text[: 10 * _LONGEST].translate(_SAME).split())
    if not typed:
        raise ValueError(f"Nothing is typed yet; I expect {what} here.")
    if len(text) > 10 * _LONGEST or len(typed) > _LONGEST:
        raise ValueError(
            f"I expect only {what} here, and got {len(text)} characters that begin "
            f"with {_echo(typed)}."
        )
    return typed


def _echo(typed):
    """What was typed, short enough for a sentence and without signs that cannot be shown."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in typed)
    return f"“{shown[:30]}…”" if len(shown) > 30 else f"“{shown}”"


def _example(kind, decimal):
    base = kind.removesuffix(PACKED)
    letter = {"latitude": " N", "longitude": " E"}.get(base, "")
    examples = ["54.12305", "54 12 30.5"] if kind != base else ["54 12 30.5" + letter, "54.2085"]

    shown = f"{_article(base)}; write it like {examples[0]} or {examples[1]}"
    return shown.replace(".", ",") if decimal == "," else shown


def _point(digits, decimal, typed, grouped=False):
    """A number's digits with a decimal point and without thousands signs."""
    if decimal not in (".", ",", None):
        raise ValueError(f"decimal sign {decimal!r} is not '.' or ',' or None")
    chosen = {".": ": your decimal sign is the point", ",": ": your decimal sign is the comma"}
    reason = chosen.get(decimal or "", "")
    if decimal is None:
        if re.fullmatch("[1-9][0-9]{0,2},[0-9]{3}", digits):
            raise ValueError(
                f"{_echo(typed)} can be read in two ways; choose your decimal sign first, "
                "the point or the comma."
            )
        decimal = "," if digits.count(",") == 1 and "." not in digits.partition(",")[2] else "."
    other = "," if decimal == "." else "."
    whole, _, fraction = digits.partition(decimal)
    if grouped and re.fullmatch(f"[1-9][0-9]{{0,2}}(?:[{other} ][0-9]{{3}})+", whole):
        whole = re.sub(f"[{other} ]", "", whole)
    if not re.fullmatch("[0-9]*", whole + fraction) or not whole + fraction:
        if " " in digits.strip():
            reason = ": it is more than one number"
        raise ValueError(f"I could not read {_echo(typed)}{reason}.")
    return f"{whole or '0'}.{fraction}" if fraction else whole


def _unpacked(number):
    """Degrees, minutes and seconds out of DD.MMSS."""
    whole, _, digits = number.partition(".")
    digits = digits.ljust(4, "0")
    return [whole, digits[:2], f"{digits[2:4]}.{digits[4:] or '0'}"]


def _degrees(parts, typed):
    degrees, minutes, seconds = (float(part) for part in [*parts, "0", "0"][:3])
    for name, part in (("minutes", minutes), ("seconds", seconds)):
        if part >= 60:
            raise ValueError(f"In {_echo(typed)} the {name} are {part:.10g}, but must be below 60.")
    return degrees + (minutes + seconds / 60) / 60


def _signed(size, match, base, typed):
    """The angle with the sign that a minus or a letter gives it."""
    front, sign, back = (match[name] for name in ("front", "sign", "back"))
    letter = (front or back or "")[:1].upper()
    allowed = {"latitude": "NS", "longitude": "EW"}.get(base, "")
    if letter and letter not in allowed:
        raise ValueError(
            f"{_echo(typed)} has the letter {letter}, but "
            + (
                f"a {base} takes {allowed[0]} or {allowed[1]}: are latitude and longitude swapped?"
                if allowed
                else f"an {base} takes none."
            )
        )
    if (front and back) or (letter and sign):
        raise ValueError(f"{_echo(typed)} gives its direction twice; write a sign or one letter.")
    return -size if sign == "-" or letter in ("S", "W") else size


def _in_range(angle, base, typed):
    if base == "angle":
        return angle
    lowest, highest, cause = {
        "latitude": (-90, 90, "are latitude and longitude swapped?"),
        "longitude": (-360, 360, "is a decimal sign missing?"),
        "azimuth": (0, 360, "add or take off whole turns of 360."),
    }[base]
    if not lowest <= angle <= highest:
        allowed = f"{_article(base)} lies between {lowest} and {highest}".replace("-", "−")
        raise ValueError(f"{_echo(typed)} is {angle:.10g} degrees, but {allowed}; {cause}")
    if base == "latitude":
        return angle
    return float(wrap_longitude(angle) if base == "longitude" else wrap_azimuth(angle))


def _article(base):
    return f"an {base}" if base[0] == "a" else f"a {base}"
