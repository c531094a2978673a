"""Print what geodesy does at one site, on one page."""

import argparse
from pathlib import Path
from typing import Any

from exercises.commands.speaking import ALL_READ, NOTHING_DONE, columns, say, wrapped
from exercises.pages import pages
from exercises.question import reading, wording
from exercises.sheets import scenario, session
from exercises.sheets.scenario import Site
from exercises.trainer import site_summary

HELP = """\
  python -m exercises site --out FILE.html
      one page on the geodesy at the site of the start page: N, deflection, plate, grid;
      --place "Wendle Bank", or --latitude "57 N" --longitude "2 E" --depth 80 for
      another; --plate EURA names the plate
"""


def add_to(commands: Any) -> None:
    """Add this command to the parser."""
    one = commands.add_parser("site")
    one.add_argument("--place", metavar="NAME")
    for name in ("--latitude", "--longitude"):
        one.add_argument(name, metavar="DEGREES")
    one.add_argument("--depth", metavar="METRES")
    one.add_argument("--name", default="", metavar="NAME")
    one.add_argument("--plate", default="", metavar="EURA")
    one.add_argument("--out", type=Path, required=True, metavar="FILE.html")
    one.set_defaults(run=_site)


def _site(wanted: argparse.Namespace) -> int:
    plate = wanted.plate.strip().upper()
    try:
        site = _wanted(wanted)
        page = site_summary.page(site, plate)
    except ValueError as error:
        say(str(error))
        return NOTHING_DONE
    path = pages.write(wanted.out, page)
    for note in site_summary.notes(site, plate):
        print("\n".join(wrapped(note)) + "\n")
    for section in site_summary.summary(site, plate):
        rows = [(item.label, item.value or "does not apply") for item in section.items]
        print("\n".join(columns(section.title, rows)))
    print(f"{site.name}: {path}")
    return ALL_READ


def _wanted(wanted: argparse.Namespace) -> Site:
    """Return the place named, the position typed, or the site of the start page."""
    typed = (wanted.latitude, wanted.longitude, wanted.depth)
    if wanted.place is not None:
        if any(part is not None for part in typed):
            raise ValueError("Name a place or give a position, not both.")
        places = {name.casefold(): place for name, place in scenario.PLACES.items()}
        if wanted.place.strip().casefold() not in places:
            raise ValueError(
                f"{wording.quoted(wanted.place)} is not a place of the course; the places are "
                f"{', '.join(scenario.PLACES)}."
            )
        return places[wanted.place.strip().casefold()]
    if all(part is None for part in typed):
        return session.open().site
    if wanted.latitude is None or wanted.longitude is None:
        raise ValueError("A position needs both: --latitude and --longitude.")
    read = reading.site_fields(
        wanted.latitude, wanted.longitude, wanted.depth or "", session.open().decimal
    )
    home = scenario.HOME
    return session.site(wanted.name, **read, frame=home.frame, epoch=home.epoch)
