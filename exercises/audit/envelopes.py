"""What lies in an archive or in an e-mail, looked at in memory: nothing is unpacked to the disk.

Bounds, with their reasons:

- an archive or a message: 32 MB, more than mail servers pass on;
- 200 files in it are looked at: a class in one archive;
- a file in it: as much as a sheet may hold, and a hundred times its packed size: answers pack to a
  tenth or a twentieth, a bomb to a thousandth;
- an archive in an archive is not opened, one attached to a message is.
"""

import email
import email.message
import email.policy
import email.utils
import functools
import io
import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from exercises.sheets import intake
from exercises.sheets.intake import LARGEST_SHEET, LONGEST_LINE

LARGEST = 32 * 1024 * 1024
MOST_INSIDE = 200
MOST_PACKED = 100  # times its packed size; below a megabyte no matter
LARGEST_LIST = 256 * 1024  # bytes of an archive's own list of files
MOST_MAIL_LINES = 600_000  # of 32 MB in lines of 76 characters, with room
MOST_MULTIPART = 40  # a mail forwarded a dozen times has fewer
ENOUGH = LARGEST_SHEET + 2 * LONGEST_LINE
END = b"PK\x05\x06"


@dataclass(frozen=True)
class Inner:
    """A file in another: its name there, how to take it out, and where it came from in words."""

    name: str
    take: Callable[[], bytes]
    how: str
    sender: str = ""
    attached: bool = True


@dataclass
class Opened:
    """What an envelope holds; `trouble` says why it, or what part of it, was not looked at."""

    inner: list[Inner]
    trouble: str = ""


def opened(path: Path) -> Opened:
    """
    Return what lies in an archive or message; what `take` gives is held in memory, not on disk.

    Raises
    ------
    OSError
        If the file cannot be read.
    """
    with intake.opened(path) as file:
        raw = file.read(LARGEST + 1)
    if len(raw) > LARGEST:
        return Opened([], f"more than {LARGEST >> 20} MB; not opened.")
    if path.suffix.lower() == ".zip":
        return _archive(raw, "in a zip archive")
    return _message(raw)


# Archives ------------------------------------------------------------------------------


def _archive(raw: bytes, how: str, sender: str = "") -> Opened:
    if trouble := _list_trouble(raw):
        return Opened([], trouble)
    try:
        archive = zipfile.ZipFile(io.BytesIO(raw))
        entries = [one for one in archive.infolist() if not one.is_dir()]
    except Exception:  # every kind of damage has an error of its own in the library below
        return Opened([], "a damaged archive; not read.")
    inner, troubles = [], []
    for entry in entries[:MOST_INSIDE]:
        if trouble := _entry_trouble(entry):
            troubles.append(f"{intake.seen(entry.filename)}: {trouble}")
        else:
            take = functools.partial(_unpacked, archive, entry)
            inner.append(Inner(entry.filename, take, how, sender))
    if len(entries) > MOST_INSIDE:
        troubles.append(f"{len(entries)} files in it; {MOST_INSIDE} looked at.")
    return Opened(inner, _few(troubles))


def _few(troubles: list[str]) -> str:
    more = f" And {len(troubles) - 2} more of its kind." if len(troubles) > 3 else ""
    return " ".join(troubles[: 3 if not more else 2]) + more


def _list_trouble(raw: bytes) -> str:
    """Look at an archive's own count of files before a library makes something of each."""
    at = raw.rfind(END, max(0, len(raw) - 65_557))
    if at < 0 or len(raw) < at + 22:
        return "not a zip archive, or its end is missing; not read."
    size = int.from_bytes(raw[at + 12 : at + 16], "little")
    if size > LARGEST_LIST or raw[max(0, at - 20) : at].startswith(b"PK\x06\x07"):
        return "an archive of thousands of files; not opened."
    return ""


def _entry_trouble(entry: zipfile.ZipInfo) -> str:
    if entry.flag_bits & 1:
        return "locked by a password; not read."
    if (entry.external_attr >> 16) & 0o170000 == 0o120000:
        return "a symbolic link; not followed."
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return "packed in a way that is not read here."
    if entry.file_size > max(1 << 20, MOST_PACKED * entry.compress_size):
        return f"unpacks to more than {MOST_PACKED} times its size; not read."
    return ""


def _unpacked(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """
    Return one file of an archive, no more of it than a sheet may hold.

    Raises
    ------
    OSError
        If it is damaged or unpacks to far more than it should.
    """
    try:
        with archive.open(entry) as file:
            contents = file.read(ENOUGH)
    except Exception:  # each way of packing has errors of its own; damage costs one line, no more
        raise OSError(None, "damaged in its archive") from None
    if len(contents) > max(1 << 20, MOST_PACKED * entry.compress_size):
        raise OSError(None, f"unpacks to more than {MOST_PACKED} times its size")
    return contents


# Messages ------------------------------------------------------------------------------


def _message(raw: bytes) -> Opened:
    if trouble := _mail_trouble(raw):
        return Opened([], trouble)
    try:
        message = email.message_from_bytes(raw, policy=email.policy.compat32)
        parts = [part for part in message.walk() if not part.is_multipart()]
        sender = email.utils.parseaddr(str(message.get("From", "")))[1].lower()[:200]
    except Exception:  # a library for every mail ever sent has an error for every damage
        return Opened([], "a damaged e-mail; not read.")
    inner, troubles = [], []
    for part in parts[:MOST_INSIDE]:
        name = _name(part)
        if PurePosixPath(name).suffix.lower() == ".zip":
            within = _attached_archive(part, sender)
            inner += within.inner
            troubles += [f"{intake.seen(name)}: {within.trouble}"] if within.trouble else []
        else:
            how = "attached to an e-mail" if name else "in the text of an e-mail"
            inner.append(Inner(name, functools.partial(_contents, part), how, sender, bool(name)))
    if len(parts) > MOST_INSIDE:
        troubles.append(f"{len(parts)} attachments; {MOST_INSIDE} looked at.")
    return Opened(inner, _few(troubles))


def _attached_archive(part: email.message.Message, sender: str) -> Opened:
    try:
        return _archive(_contents(part), "in a zip archive attached to an e-mail", sender)
    except OSError as error:
        return Opened([], f"{intake.why(error)}; not read.")


def _mail_trouble(raw: bytes) -> str:
    if raw.count(b"\n") > MOST_MAIL_LINES:
        return "more lines than any e-mail has; not read."
    if len(re.findall(rb"multipart/", raw, re.IGNORECASE)) > MOST_MULTIPART:
        return "parts within parts, more than any e-mail has; not read."
    return ""


def _name(part: email.message.Message) -> str:
    try:
        name = part.get_filename()
    except Exception:  # a name coded by no rule
        name = None
    return str(name or "")[:200].replace("\\", "/")


def _contents(part: email.message.Message) -> bytes:
    """
    Return one part of a message.

    Raises
    ------
    OSError
        If it is damaged.
    """
    try:
        contents = part.get_payload(decode=True)
    except Exception:  # of a damaged part the library raises what it likes
        raise OSError(None, "damaged in its e-mail") from None
    return contents if isinstance(contents, bytes) else b""
