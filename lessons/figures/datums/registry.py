"""
What the EPSG dataset offers between two systems, through PROJ and without the network.

The course carries one grid of shifts, the heights of EGM96, so that is the one that can be laid
out for PROJ or taken away; every other grid file is missing on this machine unless somebody put
it there. `laid_out` says which of the two PROJ finds while candidates are looked up.
"""

import re
import struct
import tempfile
import warnings
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

import numpy as np
import pyproj
import pyproj.database
from pyproj import Transformer
from pyproj.aoi import AreaOfInterest
from pyproj.transformer import TransformerGroup

from geokit import WGS84, Ellipsoid, geoid, lines
from geokit.checks import wrap_longitude

pyproj.network.set_network_enabled(False)

VERSION = pyproj.database.get_database_metadata("EPSG.VERSION")  # of the dataset

GRID_FILE = "egm96_15.gtx"  # the name by which PROJ looks for it besides its present one
_STEP = 0.25  # degrees between its nodes
_NEAR = 0.005  # degrees: the area given to PROJ, round the site


def reaches(area, latitude, longitude):
    """Return whether an area of use, west, south, east, north in degrees, holds a place."""
    if area is None:
        return False
    west, south, east, north = area
    longitude = wrap_longitude(longitude)
    across = west <= longitude <= east if west <= east else longitude >= west or longitude <= east
    return bool(south <= latitude <= north and across)


# old datums ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Datum:
    """
    A datum and its operations to WGS 84, by their codes in the EPSG dataset.

    The first operation whose area of use reaches a place is taken there; the last one where none
    does. A datum is in use at a place that one of them reaches.
    """

    name: str
    operations: tuple[int, ...]

    def operation(self, latitude, longitude):
        """Return the operation to take at a place, and whether its area of use reaches it."""
        for code in self.operations:
            if reaches(operation(code).area, latitude, longitude):
                return operation(code), True
        return operation(self.operations[-1]), False


@dataclass(frozen=True)
class Operation:
    """One operation of the EPSG dataset: code, accuracy in metres, area of use, how to apply it."""

    code: int
    name: str
    accuracy: float
    area: tuple[float, float, float, float]
    area_name: str
    ellipsoid: Ellipsoid
    transformer: Transformer

    def offset(self, latitude, longitude):
        """Return metres east and north from these numbers in WGS 84 to the point they mean."""
        moved = self.transformer.transform(latitude, longitude)
        return east_north((latitude, longitude), moved)


@cache
def operation(code):
    """Return an operation from the dataset by its code."""
    transformer = Transformer.from_pipeline(f"urn:ogc:def:coordinateOperation:EPSG::{code}")
    about = transformer.to_json_dict()
    ellipsoid = pyproj.CRS.from_json_dict(about["source_crs"]).ellipsoid
    area = transformer.area_of_use
    return Operation(
        code,
        transformer.description,
        transformer.accuracy,
        area.bounds,
        area.name,
        Ellipsoid(
            ellipsoid.name,
            ellipsoid.semi_major_metre,
            ellipsoid.inverse_flattening,
            source=f"EPSG dataset {VERSION}",
        ),
        transformer,
    )


DATUMS = (
    Datum("WGS 72", (1237,)),
    Datum("ED50", (1311, 1612, 1133)),
    Datum("OSGB36", (1314,)),
    Datum("Pulkovo 1942", (1267,)),
    Datum("NAD27", (15853, 1173, 1170, 1172)),
    Datum("SAD69", (1864,)),
    Datum("PSAD56", (1201,)),
    Datum("Camacupa 1948", (1321,)),
    Datum("Minna", (1168,)),
    Datum("Arc 1950", (1113,)),
    Datum("Ain el Abd", (1111,)),
    Datum("Kalianpur 1975", (1156,)),
    Datum("Batavia", (8452,)),
    Datum("Timbalai 1948", (1228,)),
    Datum("Luzon 1911", (1161,)),
    Datum("Tokyo", (15484,)),
    Datum("AGD66", (15980,)),
    Datum("NZGD49", (1564,)),
)


def in_use(latitude, longitude):
    """Return the datum of the old lists at a place: a regional one before that of a satellite."""
    for datum in (*DATUMS[1:], DATUMS[0]):
        if datum.operation(latitude, longitude)[1]:
            return datum
    raise AssertionError("the last one holds everywhere")


@cache
def source(datum):
    """Return the code of the system that a datum's operations start from."""
    about = operation(datum.operations[0]).transformer.to_json_dict()["source_crs"]
    return f"EPSG:{about['id']['code']}"


# candidates ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Candidate:
    """
    One operation between two systems.

    `result` is latitude, longitude and height as it gives them for the site, None where it cannot
    be used because a grid file is missing. `accuracy` is in metres, None where unknown.
    """

    name: str
    code: str
    accuracy: float | None
    area_name: str
    grids: tuple[str, ...]
    ballpark: bool
    result: tuple[float, float, float] | None


@contextmanager
def laid_out(present):
    """Let PROJ find the course's grid of heights, or not, while its operations are looked up."""
    before = pyproj.datadir.get_data_dir()
    if present:
        pyproj.datadir.append_data_dir(str(_grid_folder()))
    try:
        yield
    finally:
        pyproj.datadir.set_data_dir(before)


@cache
def _folder():
    return tempfile.TemporaryDirectory(prefix="grid", ignore_cleanup_errors=True)


def _grid_folder():
    """Return a folder of this process with the grid in it; it goes when the process ends."""
    path = Path(_folder().name, GRID_FILE)
    if not path.exists():
        _write(path)
    return path.parent


def _write(path):
    """Write EGM96 in the format that PROJ reads under that name: rows from the south."""
    rows, columns = round(180 / _STEP) + 1, round(360 / _STEP)
    latitude = np.linspace(-90, 90, rows)[:, np.newaxis]
    longitude = np.arange(columns) * _STEP - 180
    head = struct.pack(">4d2i", -90, -180, _STEP, _STEP, rows, columns)
    heights = geoid.EGM96.height(latitude, longitude)
    path.write_bytes(head + np.asarray(heights).astype(">f4").tobytes())


def candidates(source, target, latitude, longitude, *, grid=True, ballpark=True):
    """
    Return what PROJ offers between two systems at a place, in its own order.

    Parameters
    ----------
    source, target : str
        Codes such as "EPSG:4230".
    latitude, longitude : float
        In degrees; as they stand in the source system, at height 0.
    grid : bool
        Whether PROJ finds the course's grid of heights.
    ballpark : bool
        Whether a rough stand-in may be offered, which does nothing for want of anything better.

    Returns
    -------
    tuple of Candidate
        Those that can be used, the one that PROJ takes first; then those without their grid file.

    Raises
    ------
    ValueError
        If a system is unknown to the registry.
    """
    return _candidates(
        source, target, float(latitude), wrap_longitude(float(longitude)), grid, ballpark
    )


@lru_cache(maxsize=256)
def _candidates(source, target, latitude, longitude, grid, ballpark):
    near = AreaOfInterest(
        max(longitude - _NEAR, -180),
        max(latitude - _NEAR, -90),
        min(longitude + _NEAR, 180),
        min(latitude + _NEAR, 90),
    )
    with laid_out(grid), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # that a grid is missing: the figure says so itself
        group = TransformerGroup(
            _known(source), _known(target), area_of_interest=near, allow_ballpark=ballpark
        )
        usable = [
            _candidate(each, tuple(map(float, each.transform(latitude, longitude, 0.0))))
            for each in group.transformers
        ]
    missing = [_candidate(each, None) for each in group.unavailable_operations]
    return (*usable, *sorted(missing, key=lambda each: each.accuracy or np.inf))


def elsewhere(source, target, latitude, longitude, most=6):
    """
    Return the operations between two systems whose area of use does not reach a place.

    Those of the nearest areas, nearest first, with what each would make of the place; arguments
    and errors as for `candidates`.
    """
    longitude = wrap_longitude(float(longitude))
    known = _without_a_place(source, target)
    far = [_degrees_away(area, latitude, longitude) for _, area in known]
    found = []
    for place in np.argsort(far, kind="stable"):
        transformer, area = known[place]
        if not reaches(area, latitude, longitude) and len(found) < most:
            result = tuple(map(float, transformer.transform(latitude, longitude, 0.0)))
            if np.isfinite(result).all():
                found.append(_candidate(transformer, result))
    return tuple(found)


@lru_cache(maxsize=32)
def _without_a_place(source, target):
    """Return every operation that can be used between two systems, and its area of use."""
    with laid_out(True), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # that the best one lacks its grid
        group = TransformerGroup(_known(source), _known(target), allow_ballpark=False)
    return tuple((each, each.area_of_use.bounds) for each in group.transformers if each.area_of_use)


def _degrees_away(area, latitude, longitude):
    """Return how far an area of use is, in degrees of a great circle, near enough to sort by."""
    west, south, east, north = area
    middle = (west + (east if west <= east else east + 360)) / 2
    half = ((east - west) % 360) / 2
    across = max(abs(wrap_longitude(longitude - middle)) - half, 0.0)
    up = max(south - latitude, latitude - north, 0.0)
    return float(np.hypot(across * np.cos(np.radians(latitude)), up))


@lru_cache(maxsize=64)
def _known(name):
    try:
        return pyproj.CRS.from_user_input(name)
    except pyproj.exceptions.CRSError:
        raise ValueError(
            f"{name!r} is not a coordinate system of the EPSG dataset; a code such as EPSG:4230 "
            "is wanted: is a digit wrong, or is it the code of an operation?"
        ) from None


def _candidate(found, result):
    """Return what a transformer, or an operation that lacks its grid, says of itself."""
    about = found.to_json_dict()
    identity = about.get("id", {})
    name = about["name"]
    return Candidate(
        name,
        f"EPSG:{identity['code']}" if "code" in identity else "",
        found.accuracy if found.accuracy >= 0 else None,
        found.area_of_use.name if found.area_of_use else "World",
        tuple(dict.fromkeys(_grids(found))),
        "ballpark" in name.lower(),
        result,
    )


def _grids(found):
    """Return the names of the grid files that it needs, there or not."""
    if isinstance(found, Transformer):
        return re.findall(r"\bgrids=(\S+)", found.definition)
    parts = (found, *found.operations)
    return [grid.short_name for part in parts for grid in part.grids]


def east_north(from_place, to_place):
    """Return metres east and north from one place to another, in WGS 84."""
    distance, azimuth, _ = lines.inverse(*from_place[:2], *to_place[:2], WGS84)
    if distance == 0:  # which has no azimuth
        return 0.0, 0.0
    turn = np.radians(azimuth)
    return float(distance * np.sin(turn)), float(distance * np.cos(turn))
