"""Grids and projections; those that geokit does not hold are figure 11C's own, through PROJ."""

import math

from geokit import AIRY1830, BESSEL1841, CLARKE1866, GRS80, Ellipsoid, grid
from lessons.checked.computed import computes
from lessons.checked.published import given
from lessons.figures.grid.projections import Projection

NAMES = {
    **{"lon_0": "lon0", "lat_0": "lat0", "lat_1": "lat1", "lat_2": "lat2"},
    **{"k_0": "k0", "x_0": "FE", "y_0": "FN"},
}
SURVEY_FOOT = 1200 / 3937  # metres


def _place(record):
    return given(record, "latitude"), given(record, "longitude")


def _snyders_clarke():
    flattening = 1 - math.sqrt(1 - 0.00676866)  # as he rounds it
    return Ellipsoid("Clarke 1866 of Snyder", 6_378_206.4, 1 / flattening, "MP-04")


@computes("MP-05")
def _british_national_grid():
    parameters = (given("MP-05", name) for name in ("lat0", "lon0", "k0", "FE", "FN"))
    east, north = grid.TransverseMercator(AIRY1830, *parameters).forward(*_place("MP-05"))
    return {"E": east, "N": north}


@computes("MP-07")
def _snyders_transverse_mercator():
    lon0, k0 = given("MP-07", "lon0"), given("MP-07", "k0")
    plain = grid.TransverseMercator(_snyders_clarke(), 0, lon0, k0, 0, 0)
    x, y = plain.forward(*_place("MP-07"))
    return {"x": x, "y": y, "k": plain.point_scale(*_place("MP-07"))}


def _map_grid_of_australia(record):
    zone = grid.utm(55, "south", GRS80)
    east, north = zone.forward(*_place(record))
    turn = -zone.convergence(*_place(record))  # the manual prints what is added to an azimuth
    return {
        "E": east,
        "N": north,
        "k": zone.point_scale(*_place(record)),
        "convergence_added_to_azimuth_gives_grid_bearing": turn,
    }


@computes("MP-08")
def _flinders_peak():
    return _map_grid_of_australia("MP-08")


@computes("MP-09")
def _buninyong():
    return _map_grid_of_australia("MP-09")


@computes("MP-15")
def _zone_32():
    east, north = grid.utm(32, "north", GRS80).forward(*_place("MP-15"))
    return {"E": east, "N": north}


def _projection(record, ellipsoid, parameters, **more):
    """Return the projection of a record; PROJ's names for its parameters stand in `parameters`."""
    kind, *names = parameters.split()
    taken = {name: given(record, NAMES[name]) for name in names}
    return Projection({"proj": kind, **taken, **more}, ellipsoid)


@computes("MP-01")
def _makassar():
    mercator = _projection("MP-01", BESSEL1841, "merc lon_0 k_0 x_0 y_0")
    east, north = mercator.forward(*_place("MP-01"))
    return {"E": east, "N": north}


def _with_scale(record, parameters):
    """Return x, y and the scale of a projection in Snyder's examples."""
    projection = _projection(record, _snyders_clarke(), parameters)
    x, y = projection.forward(*_place(record))
    most, _ = projection.tissot(*_place(record))
    return {"x": x, "y": y, "k": most}


@computes("MP-04")
def _snyders_mercator():
    return _with_scale("MP-04", "merc lon_0")


@computes("MP-11")
def _snyders_lambert():
    return _with_scale("MP-11", "lcc lon_0 lat_0 lat_1 lat_2")


@computes("MP-12")
def _texas():
    east_of = given("MP-12", "FE") * SURVEY_FOOT
    texas = _projection("MP-12", CLARKE1866, "lcc lon_0 lat_0 lat_1 lat_2", x_0=east_of)
    east, north = texas.forward(*_place("MP-12"))
    return {
        "E": east / SURVEY_FOOT,
        "N": north / SURVEY_FOOT,
        "error_if_international_foot": east - east / SURVEY_FOOT * 0.3048,
    }


@computes("MP-18")
def _flinders_peak_back():
    east, north = given("MP-18", "E"), given("MP-18", "N")
    latitude, longitude = grid.utm(55, "south", GRS80).inverse(east, north)
    return {"latitude": latitude, "longitude": longitude}
