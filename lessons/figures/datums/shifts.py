"""
What each kind of wrong parameter does to a position: size and direction, without a picture.

    for each in fingerprints_at(57.0, 2.0):
        print(each.name, each.east, each.north, each.up)
"""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from pyproj import CRS, Transformer

from geokit import WGS84, datums, ecef, geoid
from lessons.canvas import write
from lessons.figures.datums import registry

POSITION_VECTOR, COORDINATE_FRAME = datums.CONVENTIONS
EPOCH = 2026.5  # decimal years: of the job, unless said

LEAST = 0.001  # metres: two operations nearer than that are one

# Frames that software joins to WGS 84 by zeros: name and the operation from an ITRF that shows
# what the zeros leave out.
TIED_TO_PLATES = (("ETRS89", 10573), ("NAD83", 10334), ("GDA2020", 8049))


@dataclass(frozen=True)
class Fingerprint:
    """
    One kind of wrong parameter: a key, its name, a short one for an arrow, the circumstance.

    `east`, `north` and `up` are metres from the true point to the point that comes out.
    """

    key: str
    name: str
    short: str
    note: str
    east: float
    north: float
    up: float

    @property
    def level(self):
        """Return metres along the surface."""
        return math.hypot(self.east, self.north)

    @property
    def azimuth(self):
        """Return degrees clockwise from north."""
        return math.degrees(math.atan2(self.east, self.north)) % 360


def fingerprints_at(latitude, longitude, height=0.0, *, rotation=1.0, scale=1.0, epoch=EPOCH):
    """
    Return what each kind of wrong parameter does at a place.

    Parameters
    ----------
    latitude, longitude : float
        In degrees, WGS 84.
    height : float
        Above the ellipsoid, in metres.
    rotation : float
        Of the sheet about one axis, in arcseconds, which is read in the other convention.
    scale : float
        Difference of scale that is left out, in ppm.
    epoch : float
        Decimal years, for the frame that goes with its plate.

    Returns
    -------
    tuple of Fingerprint
        From the true point to the one that comes out. The frame that goes with its plate is left
        out where this course knows none, and the second choice where the registry has only one.
    """
    place = (latitude, longitude, height)
    found = [*_of_old_datum(latitude, longitude, height)]
    found += [_turned(place, axis, rotation) for axis in ("rx", "ry", "rz")]
    found.append(_scale_left_out(place, scale))
    found += _null(place, epoch)
    found.append(
        Fingerprint(
            "grid",
            "height grid missing",
            "grid",
            "EPSG:4979 to 9707",
            0.0,
            0.0,
            geoid.EGM96.height(latitude, longitude),
        )
    )
    return tuple(found)


def _short(value):
    return f"{value:+.3f}".rstrip("0").rstrip(".").replace("-", write.MINUS)


def local(xyz, place):
    """Return east, north and up of X, Y, Z, seen from a place: metres."""
    return tuple(map(float, ecef.to_enu(*xyz, *place, WGS84)))


def _of_old_datum(latitude, longitude, height):
    """Yield what goes wrong between the old datum of a place and WGS 84."""
    datum = registry.in_use(latitude, longitude)
    operation, _ = datum.operation(latitude, longitude)
    east, north = operation.offset(latitude, longitude)
    yield Fingerprint(
        "ignored", f"{datum.name} ignored", datum.name, "φ, λ typed as WGS 84", -east, -north, 0.0
    )
    back = operation.transformer.transform(latitude, longitude, direction="INVERSE")
    there = operation.transformer.transform(latitude, longitude)
    yield Fingerprint(
        "backwards",
        "applied backwards",
        "backwards",
        "the direction reversed",
        *registry.east_north(there, back),
        0.0,
    )
    second = _second(datum, latitude, longitude)
    if second:
        yield Fingerprint("second", "second best operation", "second best", *second, 0.0)
    xyz = ecef.to_ecef(latitude, longitude, height, WGS84)
    lat, lon, h = ecef.from_ecef(*xyz, operation.ellipsoid)
    wrong = local(ecef.to_ecef(lat, lon, h, WGS84), (latitude, longitude, height))
    yield Fingerprint("ellipsoid", "wrong ellipsoid", "ellipsoid", operation.ellipsoid.name, *wrong)


def _second(datum, latitude, longitude):
    """Return the second choice's name, and metres east and north to it from the first."""
    source = registry.source(datum)
    usable = [
        each
        for each in registry.candidates(source, "EPSG:4326", latitude, longitude)
        if each.result and not each.ballpark
    ]
    if len(usable) < 2:
        return None
    apart = registry.east_north(usable[0].result, usable[1].result)
    return (usable[1].name, *apart) if math.hypot(*apart) > LEAST else None


def _turned(place, axis, arcseconds):
    """Return what the other convention makes of one rotation."""
    xyz = ecef.to_ecef(*place, WGS84)
    parameters = {**dict.fromkeys(("tx", "ty", "tz", "rx", "ry", "rz", "scale_ppm"), 0.0)}
    parameters[axis] = arcseconds
    right, wrong = (
        np.array(datums.Helmert(**parameters, convention=convention).apply(*xyz))
        for convention in (POSITION_VECTOR, COORDINATE_FRAME)
    )
    moved = local(np.array(xyz) + wrong - right, place)
    return Fingerprint(
        axis,
        f"r{axis[1].upper()} turned",
        f"r{axis[1].upper()}",
        f"{_short(arcseconds)}″, other convention",
        *moved,
    )


def _scale_left_out(place, ppm):
    xyz = np.array(ecef.to_ecef(*place, WGS84))
    right = np.array(datums.Helmert(0, 0, 0, 0, 0, 0, ppm, convention=POSITION_VECTOR).apply(*xyz))
    return Fingerprint(
        "scale",
        "scale left out",
        "scale",
        f"{_short(ppm)} ppm in the sheet",
        *local(2 * xyz - right, place),
    )


def _null(place, epoch):
    """Yield how far a frame that goes with its plate stands from today's ITRF."""
    for name, code in TIED_TO_PLATES:
        transformer, area = _between_frames(code)
        if registry.reaches(area, *place[:2]):
            xyz = np.array(ecef.to_ecef(*place, WGS84))
            tied = np.array(transformer.transform(*xyz, epoch)[:3])
            yield Fingerprint(
                "null", f"null, {name}", "null", f"seven zeros, at {epoch:.1f}", *local(tied, place)
            )
            return


@cache
def _between_frames(code):
    transformer = Transformer.from_pipeline(f"urn:ogc:def:coordinateOperation:EPSG::{code}")
    frame = CRS.from_json_dict(transformer.to_json_dict()["target_crs"])
    area = frame.area_of_use or transformer.area_of_use
    return transformer, area.bounds
