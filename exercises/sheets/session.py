"""Who is answering, how they write a decimal, which site they work on, where answers lie.

This module alone knows the answers folder and the settings file in it.
"""

import json
import math
import os
import tempfile
from dataclasses import asdict, dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import platformdirs

from exercises.question import wording
from exercises.sheets import class_file, disk, intake, private, scenario, sheet
from exercises.sheets import person as people
from exercises.sheets.scenario import Site

FOLDER_VARIABLE = "GEODESY_ANSWERS"
LONGEST_NAME = 40
FOLDER_NAME = "Geodesy answers"
LARGEST_SETTINGS = 1024 * 1024
PERSON_VARIABLE = "GEODESY_PERSON"  # who works in this Python, where a class's server started it
CODE = people.CODE
code = people.code
person = people.person


def folder() -> Path:
    """Return the answers folder; it is made when the first thing is kept."""
    named = os.environ.get(FOLDER_VARIABLE)
    return Path(named) if named else platformdirs.user_documents_path() / FOLDER_NAME


def hosted() -> str | None:
    """
    Return who works in this Python: the person whom a class's server let in.

    None where the course runs for somebody alone, who signs in with a code.
    """
    return os.environ.get(PERSON_VARIABLE) or None


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
    What settings.json holds, as the trainee who is signed in sees it.

    `decimal` and `site` belong to the code: the second person at a laptop starts afresh. `decimal`
    is None until it is chosen. `people` holds what each code has chosen; under "" stands what was
    chosen before anybody signed in, and the first code takes it along. `prepared` says when each
    trainee last prepared a file to hand in. `name` is that of somebody who studies alone and was
    given no code; `trainer` shows the trainer's notes. `screen` is "laptop" or "wall". `found` is
    False where there is no settings file. `secret` is that of the class in whose room this trainee
    works; no settings file holds it.
    """

    trainee: str | None = None
    decimal: str | None = None
    site: Site = scenario.HOME
    name: str = ""
    trainer: bool = False
    prepared: dict[str, str] = field(default_factory=dict)
    screen: str = "laptop"
    people: dict[str, dict[str, Any]] = field(default_factory=dict)
    trouble: str = ""
    found: bool = True
    secret: str = ""

    @property
    def sheet(self) -> Path | None:
        """Return the path of the trainee's sheet, None when nobody is signed in."""
        return folder() / sheet.file_name(self.trainee) if self.trainee else None


def _path() -> Path:
    if whole := hosted():
        return folder() / "settings" / f"settings-{people.parts(whole)[1]}.json"
    return folder() / "settings.json"


def open() -> Settings:
    """Return the settings as they stand now; damaged ones are said and not used."""
    kept = _kept()
    return _in_class(kept, whole) if (whole := hosted()) else kept


def _in_class(kept: Settings, whole: str) -> Settings:
    """Return the settings of whoever the class's server let in, with the site of the class."""
    try:
        room = class_file.read(folder())
    except OSError as error:
        said = f"The class's file could not be read: {error.strerror or error}."
        return replace(kept, trainee=None, trouble=said)
    except ValueError as error:
        return replace(kept, trainee=None, trouble=str(error))
    own = _of(replace(kept, trainee=whole, secret=room.secret, found=True))
    settings = replace(own, name="", trainer=False)
    if settings.people.get(whole, {}).get("site"):
        return settings
    return replace(settings, site=scenario.PLACES.get(room.site, scenario.HOME))


def _kept() -> Settings:
    try:
        return _understood(json.loads(intake.text(_path(), LARGEST_SETTINGS)))
    except FileNotFoundError:
        return Settings(found=False)
    except OSError as error:
        return Settings(trouble=f"The settings could not be read: {intake.why(error)}.")
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError):
        if hosted():
            return Settings(
                trouble="Your decimal sign and site could not be read: choose them again on the "
                "start page. Your answers are not touched."
            )
        return Settings(
            trouble=f"The settings in {_path()} could not be understood. "
            "Sign in again; your answers are not touched."
        )


def lost(trainee: str | None, now: Settings) -> str:
    """Return why it can no longer be seen whether that trainee is signed in, and what to do."""
    if not trainee or (now.found and not now.trouble):
        return ""
    return now.trouble or (
        f"The settings in {folder()} are gone, and with them who is signed in. Is that folder "
        "still there? Put it back, or sign in again."
    )


def _understood(held: dict[str, Any]) -> Settings:
    trainee = person(held["trainee"]) if held.get("trainee") else None
    chosen = {_whose(who): _chosen(own) for who, own in held.get("people", {}).items()}
    if "people" not in held:  # written by an edition that knew one choice for all
        chosen[trainee or ""] = _chosen(held)
    return _of(
        Settings(
            trainee=trainee,
            people=chosen,
            screen="wall" if held.get("screen") == "wall" else "laptop",
            prepared={person(who): str(when) for who, when in held.get("prepared", {}).items()},
        )
    )


def _whose(who: str) -> str:
    return person(who) if who else ""


def _chosen(held: dict[str, Any]) -> dict[str, Any]:
    """Return what one person has chosen, checked; what is no decimal sign counts as not chosen."""
    own: dict[str, Any] = {}
    if held.get("decimal") in (".", ","):
        own["decimal"] = held["decimal"]
    if held.get("site"):
        own["site"] = asdict(_site(held["site"]))
    if name := _name(held.get("name")):
        own["name"] = name
    if held.get("trainer") is True:
        own["trainer"] = True
    return own


def _name(text: Any) -> str:
    """Return a name in one line, "" where it is none."""
    words = text.split() if isinstance(text, str) else []
    return "".join(c for c in " ".join(words) if c.isprintable())[:LONGEST_NAME].strip()


def _site(place: dict[str, Any]) -> Site:
    numbers = {name: value for name, value in place.items() if name != "name"}
    kept = site(place["name"], numbers.pop("latitude"), numbers.pop("longitude"), **numbers)
    return scenario.under_its_name(kept)


def _of(settings: Settings) -> Settings:
    """Return the settings with the choices of whoever is signed in."""
    own = settings.people.get(settings.trainee or "", {})
    place = _site(own["site"]) if own.get("site") else scenario.HOME
    return replace(
        settings,
        decimal=own.get("decimal"),
        site=place,
        name=own.get("name", ""),
        trainer=own.get("trainer", False),
    )


def _choose(**choice: Any) -> Settings:
    """Keep a choice of whoever is signed in."""
    settings = open()
    who = settings.trainee or ""
    own = {**settings.people.get(who, {}), **choice}
    return _keep(_of(replace(settings, people={**settings.people, who: own})))


def _keep(settings: Settings) -> Settings:
    """Write the settings whole or not at all: a lesson may read them at any moment."""
    kept = ("trainee", "people", "screen", "prepared")
    _write(_path(), {name: getattr(settings, name) for name in kept})
    return replace(settings, trouble="")


def _write(path: Path, held: dict[str, Any]) -> None:
    disk.write(path, [json.dumps(held, ensure_ascii=False, indent=1)])


def _sheet(settings: Settings) -> Path:
    if settings.sheet is None:
        raise OSError("nobody is signed in")
    return settings.sheet


def sign_in(text: str) -> Settings:
    """
    Sign a trainee in: the sheet says so, every answer box follows.

    Raises
    ------
    ValueError
        If it is no code, or a class's server has said already who works here.
    """
    if whole := hosted():
        raise ValueError(f"You are {whole}: to change, sign out on the start page.")
    who, before = person(text), open()
    chosen = dict(before.people)
    unclaimed = chosen.pop("", {})
    chosen.setdefault(who, unclaimed)
    settings = _of(replace(before, trainee=who, people=chosen))
    private.make_folder(folder())
    sheet.append(_sheet(settings), {"event": "signed in", "decimal": settings.decimal})
    return _keep(settings)


def sign_in_alone(name: str) -> Settings:
    """
    Sign in somebody who studies alone and was given no code: any name becomes one.

    Another name that would become the same code gets the next; the same name comes back to its own.

    Raises
    ------
    ValueError
        If nothing was typed, or a class's server has said already who works here.
    """
    tidy = _name(name)
    if not tidy:
        raise ValueError("Type any name first, such as Anna.")
    if hosted():
        return sign_in(tidy)
    names = {who: own.get("name", "") for who, own in open().people.items()}
    for number in range(1, 10):
        code = people.of_name(tidy, number)
        if names.get(code, "").casefold() in ("", tidy.casefold()):
            break
    sign_in(code)
    return _choose(name=tidy)


def undo_sign_in() -> Settings:
    """
    Take a sign-in under a wrong code back; then nobody is signed in.

    The code before may be somebody else's, so nobody becomes it unasked. The sheet is
    append-only: it says that the sign-in was taken back.
    """
    settings = open()
    if not settings.trainee or hosted():
        return settings
    chosen, path = dict(settings.people), _sheet(settings)
    if len(sheet.read(path).events) <= 1:  # nobody's code: its choices go to the right one
        chosen[""] = chosen.pop(settings.trainee, {})
    sheet.append(path, {"event": "signed out", "reason": "wrong code"})
    return _keep(_of(replace(settings, trainee=None, people=chosen)))


def choose_decimal(sign: str) -> Settings:
    """Keep the decimal sign that the trainee writes, "." or ","."""
    if sign not in (".", ","):
        raise ValueError(f"the decimal sign is a point or a comma, not {wording.quoted(sign)}.")
    return _choose(decimal=sign)


def choose_site(chosen: Site) -> Settings:
    """Keep the site that this trainee's figures follow in every lesson."""
    return _choose(site=asdict(chosen))


def choose_notes(shown: bool) -> Settings:
    """
    Keep whether the lessons show the trainer's notes.

    Raises
    ------
    ValueError
        In a class: there the notes are nobody's but the trainer's, on the trainer's own computer.
    """
    if hosted():
        raise ValueError("The trainer's notes are on the trainer's own computer.")
    return _choose(trainer=shown)


def choose_screen(screen: str) -> Settings:
    """Keep where the figures are shown: "laptop", or "wall" for large type on a projector."""
    if screen not in ("laptop", "wall"):
        raise ValueError(f"the screen is laptop or wall, not {wording.quoted(screen)}.")
    return _keep(replace(open(), screen=screen))


def erase(path: Path, trainee: str) -> bool:
    """
    Take a trainee out of a settings file; return whether they stood in it.

    Raises
    ------
    OSError
        If it cannot be written. A file that is none of ours is left alone.
    """
    try:
        held = json.loads(intake.text(path, LARGEST_SETTINGS))
        prepared, chosen = dict(held.get("prepared") or {}), dict(held.get("people") or {})
        signed_in = held.get("trainee") == trainee
    except (
        FileNotFoundError,
        ValueError,
        TypeError,
        AttributeError,
        OverflowError,
        RecursionError,
    ):
        return False
    if not signed_in and trainee not in {*prepared, *chosen}:
        return False
    prepared.pop(trainee, None)
    chosen.pop(trainee, None)
    held |= {"trainee": None if signed_in else held.get("trainee"), "prepared": prepared}
    _write(path, held | ({"people": chosen} if "people" in held else {}))
    return True


def hand_in() -> tuple[str, bytes]:
    """
    Return name and contents of the trainee's sheet as it is handed in, and note the time.

    The copy ends with a closing line; see `sheet.handed_in`. The sheet itself stays as it is.

    Raises
    ------
    OSError
        If nobody is signed in or the sheet cannot be read.
    """
    settings = open()
    path = _sheet(settings)
    contents = sheet.handed_in(path)
    now = datetime.now(UTC).isoformat(timespec="milliseconds")
    _keep(replace(settings, prepared={**settings.prepared, str(settings.trainee): now}))
    return path.name, contents


def writable() -> str:
    """Return "" if an answer could be kept now, else one sentence why not and what to do."""
    try:
        private.make_folder(folder())
        with tempfile.TemporaryFile(dir=folder()):
            return ""
    except OSError as error:
        if hosted():  # what stands where on the trainer's computer is nobody's business
            said = error.strerror or type(error).__name__
            return f"Answers cannot be kept on the trainer's computer: {said}. Tell your trainer."
        return (
            f"Answers cannot be kept in {folder()}: {error.strerror or error}. "
            f"Free the folder, or name another one in {FOLDER_VARIABLE}, and start again."
        )
