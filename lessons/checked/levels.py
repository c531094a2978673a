"""Gravity, the geoid, heights, and the deflection of the vertical."""

import math

import numpy as np

from geokit import GRS80, WGS84, deflection, gravity, heights, lines
from geokit.angles import RHO
from geokit.geoid import EGM96
from geokit.gravity import GRS80_FIELD, WGS84_FIELD
from lessons.checked.computed import computes
from lessons.checked.published import given

MGAL = 1e-5  # metres per second squared
PLACES = {"gamma_e": 0, "gamma_45": 45, "gamma_p": 90}


@computes("GR-01", "Somigliana")
def _normal_gravity():
    return {name: gravity.normal(at, 0, GRS80_FIELD) for name, at in PLACES.items()}


@computes("GR-01", "with the second order")
def _normal_gravity_to_second_order():
    return {name: gravity.normal_to_second_order(at, 0, GRS80_FIELD) for name, at in PLACES.items()}


@computes("GR-02")
def _constants_of_the_field():
    return {
        "k": GRS80_FIELD.somigliana_constant,
        "f_star": GRS80_FIELD.gravity_flattening,
        "m": GRS80_FIELD.m,
    }


@computes("GR-04")
def _gravity_of_wgs84():
    return {"gamma_e": WGS84_FIELD.equatorial_gravity, "gamma_p": WGS84_FIELD.polar_gravity}


def _geoid_height(record):
    return {"N": EGM96.height(given(record, "latitude"), given(record, "longitude_east"))}


for _record in ("GE-01", "GE-02", "GE-04", "GE-06"):
    computes(_record)(lambda record=_record: _geoid_height(record))


@computes("HS-01")
def _offset_and_slope():
    latitude, longitude = given("HS-01", "latitude"), given("HS-01", "longitude")
    latitude0, longitude0 = given("HS-01", "evaluation_point")
    north = math.radians(latitude - latitude0) * GRS80.meridian_radius(latitude0)
    east = math.radians(longitude - longitude0) * GRS80.prime_vertical_radius(latitude0)
    east *= math.cos(math.radians(latitude))
    slopes = [math.radians(given("HS-01", f"slope_{k}") / 3600) for k in ("latitude", "longitude")]
    change = given("HS-01", "offset") + north * slopes[0] + east * slopes[1]
    return {"height_out": given("HS-01", "height_in") + change}


@computes("HS-03")
def _special_order():
    depth = given("HS-03", "depth")
    return {
        "TVU_95": heights.allowed_vertical_uncertainty(depth, "special"),
        "THU_95": heights.allowed_horizontal_uncertainty(depth, "special"),
    }


@computes("HS-04")
def _order_1a():
    found = {}
    for depth in given("HS-04", "depth"):
        found[f"TVU_{depth}"] = heights.allowed_vertical_uncertainty(depth, "1a")
        found[f"THU_{depth}"] = heights.allowed_horizontal_uncertainty(depth, "1a")
    return found


@computes("DV-01")
def _greenwich():
    latitude = given("DV-01", "latitude")
    star = given("DV-01", "astronomical_longitude_Airy") / 3600
    geodetic = given("DV-01", "geodetic_longitude_ITRF") / 3600
    _, eta = deflection.from_astronomic(latitude, star, latitude, geodetic)
    offset = math.radians(eta / 3600) * WGS84.prime_vertical_radius(latitude)
    return {"eta": eta, "offset": offset}


@computes("DV-02")
def _great_arc_of_india():
    amplitudes = (given("DV-02", f"{kind}_amplitude") for kind in ("astronomical", "geodetic"))
    stars, triangles = amplitudes
    xi, _ = deflection.from_astronomic(stars, 0, triangles, 0)
    return {"difference": -xi}


@computes("DV-04")
def _initial_point():
    """Return η as a difference of longitude; one second of longitude shows the cosine."""
    latitude = given("DV-04", "geodetic_latitude")
    _, one_second = deflection.from_astronomic(latitude, 1 / 3600, latitude, 0)
    return {"eta_over_cos_latitude": given("DV-04", "eta") / one_second}


@computes("DV-05")
def _laplace_correction():
    eta, latitude = given("DV-05", "eta"), given("DV-05", "geodetic_latitude")
    azimuth = deflection.geodetic_azimuth(60.0, 0, eta, latitude, 90.0)
    return {"laplace_correction": (azimuth - 60.0) * 3600}


@computes("DV-07")
def _two_star_fixes():
    ends = (19.7323, -155.0412, 19.7244, -156.0787)
    return {"distance_from_stars": lines.inverse(*ends, WGS84)[0] / 1000}


@computes("DV-07", "stars corrected by EGM96")
def _what_the_stars_were_off():
    """Return how much longer the stars made the distance than the geoid model leaves it."""
    fixed = latitude, longitude = np.array([19.7323, 19.7244]), np.array([-155.0412, -156.0787])
    for _ in range(3):  # the deflection is that of the geodetic position, which it leads to
        xi, eta = deflection.from_geoid(latitude, longitude, EGM96, WGS84)
        latitude = fixed[0] - xi / 3600
        longitude = fixed[1] - eta / 3600 / np.cos(np.radians(latitude))
    true = lines.inverse(latitude[0], longitude[0], latitude[1], longitude[1], WGS84)[0]
    stars = lines.inverse(fixed[0][0], fixed[1][0], fixed[0][1], fixed[1][1], WGS84)[0]
    return {"error": (stars - true) / 1000}


@computes("GR-10")
def _plate_and_eotvos():
    moving = (given("GR-10", name) for name in ("latitude", "speed", "course"))
    return {
        "plate": gravity.plate(given("GR-10", "thickness"), given("GR-10", "density")) / MGAL,
        "eotvos": gravity.eotvos(*moving, GRS80_FIELD, given("GR-10", "R")) / MGAL,
    }


@computes("DV-09")
def _deflection_and_slope():
    """Return ξ and η less the slope between two heights, a small step on either side."""
    names = ("latitude", "longitude", "step")
    latitude, longitude, step = (given("DV-09", name) for name in names)
    north = EGM96.height(latitude + step, longitude) - EGM96.height(latitude - step, longitude)
    east = EGM96.height(latitude, longitude + step) - EGM96.height(latitude, longitude - step)
    length = 2 * math.radians(step)
    parallel = WGS84.prime_vertical_radius(latitude) * math.cos(math.radians(latitude))
    xi, eta = deflection.from_geoid(latitude, longitude, EGM96, WGS84)
    return {
        "xi_less_slope": xi + north / length / WGS84.meridian_radius(latitude) * RHO,
        "eta_less_slope": eta + east / length / parallel * RHO,
    }


@computes("DV-10")
def _weight_on_a_wire():
    xi, eta = given("DV-10", "xi"), given("DV-10", "eta")
    east, north = deflection.seabed_offset(xi, eta, given("DV-10", "depth"))
    return {"total": deflection.total(xi, eta)[0], "east": east, "north": north}
