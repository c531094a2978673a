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
        **{chr(code): chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)},  # full width
        **dict.fromkeys("−‐‑‒–—﹣－⁃", "-"),
        **dict.fromkeys("′’‘‛ʹʼˈˊ´`‵＇", "'"),
        **dict.fromkeys("″”“‟ʺ˝〃‶＂", '"'),
        **dict.fromkeys("º˚∘ᵒ", "°"),
        **dict.fromkeys("·‧", "."),
        # marks without width, which come along when text is copied
        **dict.fromkeys("\u00ad\u200b\u200e\u200f\u202a\u202c\u2060\u2066\u2067\u2068\u2069\ufeff"),
    }
)
_MARK_BEFORE_DECIMALS = re.compile(r"(?<=[0-9])(°|''|['\"])([.,][0-9]+)")
"""As charts and notices to mariners print it: 54° 12′·508 N."""
_NUMBER = "(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)"
_LETTER = "(?i:north|south|east|west|[nsew])"
OTHER_UNITS = {
    **dict.fromkeys(("rad", "radian", "radians"), 180 / math.pi),
    **dict.fromkeys(("mrad", "milliradian", "milliradians"), 0.18 / math.pi),
    **dict.fromkeys(("gon", "grad", "grads"), 0.9),
    "mgon": 0.0009,
}
"""Degrees in one of each unit that is no part of degrees, minutes and seconds."""
_ANGLE = re.compile(
    rf"""(?P<front>{_LETTER})? [ ]? (?P<sign>[+-])? [ ]?
    (?P<degrees>{_NUMBER})
    (?: (?: [ ]?(?:°|deg(?:rees?)?|d|:)[ ]? | [ ]-[ ] | - | [ ] )    # "54 -12" is not 54° 12′
        (?P<minutes>{_NUMBER})
        (?: (?: [ ]?(?:'|min(?:utes?)?|(?P<m>m)|:)[ ]? | [ ]-[ ] | - | [ ] )
            (?P<seconds>{_NUMBER}) [ ]? (?: "|''|sec(?:onds?)? | (?(m)s|\b) )?    # else s is south
        | [ ]?(?:'|min(?:utes?)?|m) )?
    | [ ]?(?:°|deg(?:rees?)?|d)
    | [ ]?(?P<other>{"|".join(sorted(OTHER_UNITS, key=len, reverse=True))}) )?
    [ ]? (?P<back>{_LETTER})?""",
    re.VERBOSE,
)
_SECONDS = r"""(?:"|''|sec(?:onds?)?|arcsec(?:onds?)?)"""
_BELOW_A_DEGREE = re.compile(
    rf"""(?P<front>{_LETTER})? [ ]? (?P<sign>[+-])? [ ]? (?P<degrees>(?!))?
    (?: (?P<minutes>{_NUMBER}) [ ]?(?:'(?!')|min(?:utes?)?|arcmin(?:utes?)?)
        (?: [ ]? (?P<seconds>{_NUMBER}) (?:[ ]?{_SECONDS})? )?
    | (?P<only_seconds>{_NUMBER}) [ ]?{_SECONDS} )
    [ ]? (?P<back>{_LETTER})? (?P<other>(?!))?""",
    re.VERBOSE,
)
"""Minutes and seconds, or one of them, each with its mark: 11′ 31″."""
_MARKS = r"(?:°|'+|\"|deg(?:rees?)?|min(?:utes?)?|sec(?:onds?)?|(?<=\d)[dms])"
_MARKED = re.compile(rf"[+-]? ?(?:{_NUMBER} ?{_MARKS} ?)+(?:{_NUMBER})?")  # 0° 00′ 28.5
_SPACED = re.compile(
    r"(?P<whole>[1-9][0-9]{0,2}(?:[ '][0-9]{3})+)(?:[.,](?P<tail>[0-9]*(?: [0-9]{3})*))?"
    r"|(?P<head>[0-9]+)[.,](?P<fraction>[0-9]{3}(?: [0-9]{3})+)"
)
"""Where spaces or apostrophes set off thousands, the sign that follows is the decimal one."""
_BOTH_SIGNS = re.compile(r"([1-9][0-9]{0,2}(?:([.,])[0-9]{3})(?:\2[0-9]{3})*)(?!\2)[.,]([0-9]*)")
_ONE_SIGN_OFTEN = re.compile(r"[1-9][0-9]{0,2}([.,])[0-9]{3}(?:\1[0-9]{3})+")
_POWER = re.compile(
    r"(?P<digits>.*?) ?(?:[eE] ?|[x×*] ?10(?:\^|\*\*)|[x×*] ?10(?=[+-]))(?P<power>[+-]?[0-9]{1,3})"
)
_POWER_IN_PRINT = re.compile(r"(?<=10)[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+")
_RAISED = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")
_ONE_NUMBER = re.compile(r"[+-]?[0-9.,]+")
_IN_OWN_SIGN = {
    sign: re.compile(rf"[+-]?[0-9]+(?:{re.escape(sign)}[0-9]+)?") for sign in (".", ",")
}
SIGN_NAMES = {".": "point", ",": "comma"}


def read(text: str, kind: str, decimal: str | None) -> float:
    """
    The angle that somebody typed, in degrees.

    Reads `54 12 30.5 N`, `54°12'30.5"N`, `54-12-30.5N`, `54:12:30.5`, `54 12.508' S`,
    `54d12.508m N`, `54°12'.508N`, `N 54 12 30.5`, `−54.2084`, `11' 31"`, `0.9461 rad`,
    `60.2318 gon`, with the signs of a keyboard or of print.

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
    shape = _MARK_BEFORE_DECIMALS.sub(r"\2\1", typed)
    match = _ANGLE.fullmatch(shape) or _BELOW_A_DEGREE.fullmatch(shape)
    if not match:
        raise ValueError(f"I could not read {_echo(typed)} as {_example(kind, decimal)}.")
    parts = _parts(match, decimal, typed)
    other = OTHER_UNITS.get(match["other"] or "")
    if base != "angle" and not other and len(parts[0].partition(".")[0]) > 3:
        raise ValueError(  # 00207.773 is 2° 07.773′ to a GPS
            f"In {_echo(typed)} the degrees have more than three digits; put a space between "
            "degrees, minutes and seconds."
        )
    if kind != base and len(parts) == 1 and not other:
        parts = _unpacked(parts[0])
    first = 0 if match["degrees"] else 1 if match["minutes"] else 2
    size = float(parts[0]) * other if other else _degrees(parts, typed, first)
    return _in_range(_signed(size, match, base, typed), base, typed)


def plain(text: str) -> str:
    r"""
    The text with one sign for each meaning: the keyboard's minus, primes, degree sign and space.

    >>> plain("−54°\u202f12′")
    "-54° 12'"
    """
    if not text.isascii():
        text = _POWER_IN_PRINT.sub(lambda found: f"^{found[0].translate(_RAISED)}", text)
    return " ".join(text.translate(_SAME).split())


def several_parts(text: str) -> bool:
    """Whether a text holds degrees, minutes and seconds, or two of them, and is no one number."""
    typed = plain(text[: 10 * _LONGEST])
    if _ONE_NUMBER.fullmatch(typed) or _SPACED.fullmatch(typed.lstrip("+- ")):
        return False
    shape = _MARK_BEFORE_DECIMALS.sub(r"\2\1", typed)
    match = _ANGLE.fullmatch(shape) or _BELOW_A_DEGREE.fullmatch(shape)
    return bool(match and match["minutes"] and (match["degrees"] or match["seconds"]))


def parts_are_marked(text: str) -> bool:
    """Whether the numbers of an angle carry their marks, so that no unit need be guessed."""
    typed = _MARK_BEFORE_DECIMALS.sub(r"\2\1", plain(text[: 10 * _LONGEST]))
    return bool(_MARKED.fullmatch(typed))


def read_number(text: str, decimal: str | None) -> float:
    """
    The plain number that somebody typed: a length, a difference, a factor.

    Thousands may be set off by spaces or apostrophes, or by the sign that is not the decimal sign
    where no other reading is left (1,234.5 and 1,234,567, not 1,234); a power of ten may follow
    (1.2e-6).

    Parameters
    ----------
    text : str
        As typed, without a unit.
    decimal : "." or "," or None
        The decimal sign of the one who types; the other sign standing alone is asked again, for
        it could be either. None if not chosen yet, and then "12,345" is asked again.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        With one sentence that says what is wrong with the text.
    """
    typed = _cleaned(text, "the number")
    if decimal in _IN_OWN_SIGN and _IN_OWN_SIGN[decimal].fullmatch(typed):
        return float(typed.replace(decimal, "."))  # most of what is typed: nothing to ask
    raised = _POWER.fullmatch(typed)
    match = re.fullmatch(r"([+-]?) ?([0-9., ']+)", raised["digits"] if raised else typed)
    if not match:
        raise ValueError(f"I could not read {_echo(typed)} as a number.")
    sign, digits = match.groups()
    power = f"e{raised['power']}" if raised else ""
    number = float(sign + _point(digits.strip(), decimal, typed) + power)
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
    typed = plain(text[: 10 * _LONGEST])
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


def _parts(match, decimal, typed):
    """The numbers of an angle from degrees down, each with a decimal point."""
    if only := match.groupdict().get("only_seconds"):
        parts = ["0", "0", only]
    else:
        below = [match[name] for name in ("minutes", "seconds") if match[name]]
        parts = [match["degrees"] or "0", *below]
    parts = [_point(part, decimal, typed, part_of=match["minutes"] or "°") for part in parts]
    if any("." in part for part in parts[:-1]):
        raise ValueError(f"In {_echo(typed)} only the last number may have decimals.")
    return parts


def _point(digits, decimal, typed, part_of=""):
    """
    A number's digits with a decimal point and without thousands signs.

    `part_of` is "°" for an angle that is one number, else its minutes: no part of an angle has
    thousands.
    """
    if decimal not in (".", ",", None):
        raise ValueError(f"decimal sign {decimal!r} is not '.' or ',' or None")
    if found := _SPACED.fullmatch(digits):
        whole, tail = found["whole"] or found["head"], found["tail"] or found["fraction"] or ""
        return _joined(whole, tail)
    if found := _BOTH_SIGNS.fullmatch(digits):
        return _joined(found[1], found[3])
    if _ONE_SIGN_OFTEN.fullmatch(digits):
        return _joined(digits, "")
    found = re.fullmatch(r"([0-9]*)([.,]?)([0-9]*)", digits)
    if not found or not found[1] + found[3]:
        reason = ": it is more than one number" if " " in digits else ""
        raise ValueError(f"I could not read {_echo(typed)}{reason}.")
    whole, sign, fraction = found.groups()
    if sign and fraction and not (part_of[:1].isdigit() and decimal):
        _refuse_riddle(whole, sign, fraction, decimal, typed, thousands=part_of != "°")
    return _joined(whole, fraction)


def _joined(whole, fraction):
    """Digits with a decimal point only where something follows it."""
    whole, fraction = (re.sub(r"[^0-9]", "", part) for part in (whole, fraction))
    return f"{whole or '0'}.{fraction}" if fraction else whole


def _refuse_riddle(whole, sign, fraction, decimal, typed, *, thousands):
    """Raise where a lone sign may be the decimal sign or the one of thousands."""
    either = re.fullmatch("[1-9][0-9]{0,2}", whole) and len(fraction) == 3
    if decimal is None and sign == "," and either:
        raise ValueError(
            f"{_echo(typed)} can be read in two ways; choose your decimal sign first, "
            "the point or the comma."
        )
    if decimal in (sign, None):
        return
    yours, written = SIGN_NAMES[decimal], typed.replace(sign, decimal)[:_LONGEST]
    if not (either and thousands):
        raise ValueError(
            f"I could not read {_echo(typed)}: your decimal sign is the {yours}; write {written}."
        )
    minus = "−" if typed[0] == "-" else ""
    raise ValueError(
        f"{_echo(typed)} can be read in two ways: write {written} for a number from {minus}{whole} "
        f"to {minus}{int(whole) + 1}, or {typed.replace(sign, ' ')} for thousands; your decimal "
        f"sign is the {yours}."
    )


def _unpacked(number):
    """Degrees, minutes and seconds out of DD.MMSS."""
    whole, _, digits = number.partition(".")
    digits = digits.ljust(4, "0")
    return [whole, digits[:2], f"{digits[2:4]}.{digits[4:] or '0'}"]


def _degrees(parts, typed, first):
    """Degrees of the parts; the first one typed may be any, those behind it stay below 60."""
    sizes = [float(part) for part in [*parts, "0", "0"][:3]]
    for name, part in list(zip(("degrees", "minutes", "seconds"), sizes, strict=True))[first + 1 :]:
        if part >= 60:
            raise ValueError(f"In {_echo(typed)} the {name} are {part:.10g}, but must be below 60.")
    return sizes[0] + (sizes[1] + sizes[2] / 60) / 60


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
