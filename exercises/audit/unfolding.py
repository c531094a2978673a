"""A sheet as programs on its way wrote it anew, back to lines in UTF-8.

Text editors save UTF-16, mail programs base64 and quoted-printable, viewers of JSON a list or one
field a line. The digest of a line is that of what it holds, so that none of these is a change.
What cannot be understood is given on as it is: the reader of sheets says what is wrong with it.
"""

import binascii
import json
import quopri
import re
from typing import Any

from exercises.sheets import intake, sheet

MOST_FAILURES = 200  # places in a file of JSON at which reading begins anew after damage
LOOKED_AT = 20  # lines in which a sheet shows that it is one
BASE64 = re.compile(rb"[A-Za-z0-9+/=_-]{60,}")
NEXT = re.compile(r"\n\s*\{")


def unfold(raw: bytes) -> tuple[bytes, tuple[str, ...]]:
    """
    Return the lines of a sheet and, in words, how they were written.

    >>> unfold('{"event": "answered"}'.encode("utf-16"))
    (b'{"event": "answered"}', ('UTF-16',))
    """
    how: list[str] = []
    raw = _one_byte(raw, how)
    if not _is_lines(raw):
        raw = _one_byte(_mail_text(raw, how), how)
    if not _is_lines(raw):
        raw = _json(raw, how)
    return raw, tuple(how)


def lines(raw: bytes) -> bytes:
    """Return the lines of a sheet, however they were written."""
    return unfold(raw)[0]


def _one_byte(raw: bytes, how: list[str]) -> bytes:
    """Turn UTF-16, with its mark or without, into UTF-8."""
    begin = raw[:200]
    if begin.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    elif len(begin) > 3 and begin.count(0) * 3 > len(begin):
        encoding = "utf-16-le" if begin[1] == 0 else "utf-16-be"
    else:
        return raw
    how.append("UTF-16")
    return raw.decode(encoding, "replace").encode("utf-8")


def _first(raw: bytes) -> bytes:
    return next((line for line in raw[: intake.LONGEST_LINE].splitlines() if line.strip()), b"")


def _is_lines(raw: bytes) -> bool:
    """Return whether the first line that is not blank is JSON by itself and no list."""
    held, trouble = intake.decoded(_first(raw), False)
    return not trouble and isinstance(held, dict)


def _mail_text(raw: bytes, how: list[str]) -> bytes:
    """Undo base64 and quoted-printable."""
    first = _first(raw).strip()
    if BASE64.fullmatch(first):
        joined = b"".join(raw.split())
        try:
            found = binascii.a2b_base64(joined + b"=" * (-len(joined) % 4))
        except binascii.Error:
            return raw
        how.append("base64")
        return found
    if first.endswith(b"=") or first.startswith(b"=7B"):
        how.append("quoted-printable")
        return quopri.decodestring(raw)
    return raw


def _json(raw: bytes, how: list[str]) -> bytes:
    """Write each object of a JSON list, or of JSON on several lines, as a line."""
    text = raw.decode("utf-8-sig", "replace")
    if text.lstrip()[:1] not in ("{", "["):
        return raw
    found, failures, at = [], 0, 0
    decoder = json.JSONDecoder()
    while (at := _next_begin(text, at)) < len(text) and failures < MOST_FAILURES:
        try:
            held, at = decoder.raw_decode(text, at)
        except (ValueError, RecursionError):
            failures += 1
            after = NEXT.search(text, at + 1)
            end = after.start() if after else len(text)
            found.append(" ".join(text[at:end].split())[: intake.LONGEST_LINE])  # damaged
            at = end
            continue
        found += [_line(one) for one in (held if isinstance(held, list) else [held])]
    if not found or failures >= len(found):
        return raw
    how.append("JSON on several lines")
    return "\n".join(found).encode("utf-8", "replace") + b"\n"


def _next_begin(text: str, at: int) -> int:
    """Return where the next value begins; the brackets and commas of a damaged list are passed."""
    while at < len(text) and (text[at].isspace() or text[at] in ",[]"):
        if text[at] == "[" and _whole_list(text, at):
            return at
        at += 1
    return at


def _whole_list(text: str, at: int) -> bool:
    """Return whether a list that begins at the start of a text can be read whole."""
    if text[:at].strip():
        return False
    try:
        json.JSONDecoder().raw_decode(text, at)
    except (ValueError, RecursionError):
        return False
    return True


def _line(held: Any) -> str:
    return json.dumps(held, ensure_ascii=True)


def person_of(contents: bytes) -> tuple[bool, str]:
    """
    Return whether lines are those of a sheet, and the person whom they name themselves.

    Only a class's lines name one: class word and code.
    """
    is_sheet = False
    for number, (_, line, torn) in enumerate(intake.lines(contents)):
        if number >= LOOKED_AT:
            break
        held, trouble = intake.decoded(line, torn)
        event = held.get("event") if isinstance(held, dict) else None
        if trouble or not isinstance(event, str) or event not in sheet.EVENTS:
            continue
        is_sheet = is_sheet or "time" in held
        word, code = held.get("class"), held.get("code")
        if isinstance(word, str) and isinstance(code, str):
            return True, f"{word}-{code}"
    return is_sheet, ""
