"""Who is answering, how they write a decimal, which site they work on, where answers lie.

This module alone knows the answers folder and the settings file in it.
"""

import json
import math
import os
import re
import tempfile
from dataclasses import asdict, dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import platformdirs

from exercises.question import wording
from exercises.sheets import scenario, sheet
from exercises.sheets.scenario import Site

FOLDER_VARIABLE = "GEODESY_ANSWERS"
FOLDER_NAME = "Geodesy answers"
CODE = re.compile(r"[A-Z][A-Z0-9]{1,7}")
RESERVED = re.compile(r"CON|PRN|AUX|NUL|COM\d|LPT\d")  # file names that Windows refuses


def folder() -> Path:
    """Return the answers folder; it is made when the first thing is kept."""
    named = os.environ.get(FOLDER_VARIABLE)
    return Path(named) if named else platformdirs.user_documents_path() / FOLDER_NAME


def code(text: str) -> str:
    """
    Return a trainee code, upper-cased.

    Raises
    ------
    ValueError
        If it is not a letter followed by one to seven letters or digits.
    """
    tidy = text.strip().upper()
    if not CODE.fullmatch(tidy) or not tidy.isascii():
        raise ValueError(
            f"{wording.quoted(text)} is not a trainee code: use a letter and then one to seven "
            "letters or digits, such as T07."
        )
    if RESERVED.fullmatch(tidy):
        raise ValueError(f"{tidy} is a name that some computers keep for themselves; take another.")
    return tidy


def site(
    name: str,
    latitude: float,
    longitude: float,
    *,
    height: float = 0.0,
    frame: str,
    epoch: float,
    water_depth: float,
) -> Site:
    """
    Return a site of the room's own job.

    Raises
    ------
    ValueError
        If a number is out of range, naming the value and what is allowed.
    """
    allowed = {
        "latitude": (latitude, -90, 90),
        "longitude": (longitude, -180, 360),
        "height": (height, -12_000, 10_000),
        "epoch": (epoch, 1900, 2100),
        "water depth": (water_depth, 0, 11_000),
    }
    for what, (value, low, high) in allowed.items():
        if not (math.isfinite(value) and low <= value <= high):
            raise ValueError(
                f"{what} {value:g} is outside {low} … {high}"
                + ("; are latitude and longitude swapped?" if what == "latitude" else ".")
            )
    longitude = longitude - 360 if longitude > 180 else longitude
    return Site(
        name.strip()[:40] or "Our site", latitude, longitude, height, frame, epoch, water_depth
    )


@dataclass(frozen=True)
class Settings:
    """
    What settings.json holds.

    `decimal` is None until the trainee has chosen. `prepared` says when each trainee last
    prepared a file to hand in. `screen` is "laptop" or "wall".
    """

    trainee: str | None = None
    decimal: str | None = None
    site: Site = scenario.HOME
    prepared: dict[str, str] = field(default_factory=dict)
    screen: str = "laptop"
    trouble: str = ""

    @property
    def sheet(self) -> Path | None:
        """Return the path of the trainee's sheet, None when nobody is signed in."""
        return folder() / sheet.file_name(self.trainee) if self.trainee else None


def _path() -> Path:
    return folder() / "settings.json"


def open() -> Settings:
    """Return the settings as they stand now; damaged ones are said and not used."""
    try:
        held = json.loads(_path().read_text(encoding="utf-8"))
        return _understood(held)
    except FileNotFoundError:
        return Settings()
    except OSError as error:
        return Settings(trouble=f"The settings could not be read: {error.strerror or error}.")
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return Settings(
            trouble=f"The settings in {_path()} could not be understood. "
            "Sign in again; your answers are not touched."
        )


def _understood(held: dict[str, Any]) -> Settings:
    place = held.get("site")
    return Settings(
        trainee=code(held["trainee"]) if held.get("trainee") else None,
        decimal=held["decimal"] if held.get("decimal") in (".", ",") else None,
        site=site(place.pop("name"), place.pop("latitude"), place.pop("longitude"), **place)
        if place
        else scenario.HOME,
        screen="wall" if held.get("screen") == "wall" else "laptop",
        prepared={code(who): str(when) for who, when in held.get("prepared", {}).items()},
    )


def _keep(settings: Settings) -> Settings:
    """Write the settings whole or not at all: a lesson may read them at any moment."""
    held = {k: v for k, v in asdict(settings).items() if k != "trouble"}
    folder().mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=folder(), prefix="settings-", suffix=".tmp")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            json.dump(held, out, ensure_ascii=False, indent=1)
        os.replace(temporary, _path())
    finally:
        Path(temporary).unlink(missing_ok=True)
    return replace(settings, trouble="")


def _sheet(settings: Settings) -> Path:
    if settings.sheet is None:
        raise OSError("nobody is signed in")
    return settings.sheet


def sign_in(text: str) -> Settings:
    """Sign a trainee in: the sheet says so, every answer box follows."""
    settings = replace(open(), trainee=code(text))
    folder().mkdir(parents=True, exist_ok=True)
    sheet.append(_sheet(settings), {"event": "signed in", "decimal": settings.decimal})
    return _keep(settings)


def undo_sign_in(previous: str | None) -> Settings:
    """
    Take a sign-in under a wrong code back and return to the previous trainee.

    The sheet is append-only: it says that the sign-in was taken back.
    """
    settings = open()
    if settings.trainee:
        sheet.append(_sheet(settings), {"event": "signed out", "reason": "wrong code"})
    return _keep(replace(settings, trainee=code(previous) if previous else None))


def choose_decimal(sign: str) -> Settings:
    """Keep the decimal sign that the trainee writes, "." or ","."""
    if sign not in (".", ","):
        raise ValueError(f"the decimal sign is a point or a comma, not {wording.quoted(sign)}.")
    return _keep(replace(open(), decimal=sign))


def choose_site(chosen: Site) -> Settings:
    """Keep the site that every lesson's figures follow."""
    return _keep(replace(open(), site=chosen))


def choose_screen(screen: str) -> Settings:
    """Keep where the figures are shown: "laptop", or "wall" for large type on a projector."""
    if screen not in ("laptop", "wall"):
        raise ValueError(f"the screen is laptop or wall, not {wording.quoted(screen)}.")
    return _keep(replace(open(), screen=screen))


def forget(path: Path, trainee: str) -> bool:
    """
    Take a trainee out of a settings file; return whether they stood in it.

    Raises
    ------
    OSError
        If it cannot be written. A file that is none of ours is left alone.
    """
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        prepared = dict(held.get("prepared") or {})
        signed_in = held.get("trainee") == trainee
    except (FileNotFoundError, ValueError, TypeError, AttributeError, RecursionError):
        return False
    if not signed_in and trainee not in prepared:
        return False
    prepared.pop(trainee, None)
    held |= {"trainee": None if signed_in else held.get("trainee"), "prepared": prepared}
    temporary = path.with_name("settings-forgotten.tmp")
    temporary.write_text(json.dumps(held, ensure_ascii=False, indent=1), encoding="utf-8")
    os.replace(temporary, path)
    return True


def hand_in() -> tuple[str, bytes]:
    """
    Return name and contents of the trainee's sheet as it is handed in, and note the time.

    Raises
    ------
    OSError
        If nobody is signed in or the sheet cannot be read.
    """
    settings = open()
    path = _sheet(settings)
    contents = path.read_bytes()
    now = datetime.now(UTC).isoformat(timespec="milliseconds")
    _keep(replace(settings, prepared={**settings.prepared, str(settings.trainee): now}))
    return path.name, contents


def writable() -> str:
    """Return "" if an answer could be kept now, else one sentence why not and what to do."""
    try:
        folder().mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder()):
            return ""
    except OSError as error:
        return (
            f"Answers cannot be kept in {folder()}: {error.strerror or error}. "
            f"Free the folder, or name another one in {FOLDER_VARIABLE}, and start again."
        )
