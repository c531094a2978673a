"""Ellipsoids, radii and arcs; curvature, refraction and the horizon."""

import math

from geokit import AIRY1830, CLARKE1866, GRS80, WGS84, Ellipsoid, lines, surface
from geokit.gravity import GRS80_FIELD
from lessons.checked.computed import computes
from lessons.checked.published import given

HANDBOOK_SPHERE = 6_371_000.0
BOWDITCH = 1 - 0.8321  # the coefficient of refraction in the tables of CV-04
FOOT, MILE = 0.3048, 1852


@computes("EL-01")
def _semi_minor_axis():
    return {"b": WGS84.semi_minor}


@computes("EL-02")
def _eccentricities():
    return {"e2": WGS84.eccentricity_squared, "e_prime2": WGS84.second_eccentricity_squared}


@computes("EL-04")
def _mean_radii():
    return {
        "R1": WGS84.mean_radius,
        "R2": WGS84.authalic_radius,
        "R3": WGS84.volumetric_radius,
    }


@computes("EL-05")
def _flattening_from_j2():
    return {
        "1/f": GRS80_FIELD.ellipsoid.inverse_flattening,
        "e2": GRS80_FIELD.ellipsoid.eccentricity_squared,
    }


@computes("EL-06")
def _grs80():
    return {"b": GRS80.semi_minor, "E": GRS80_FIELD.linear_eccentricity}


@computes("EL-07")
def _equal_area():
    return {"R2": GRS80.authalic_radius}


@computes("EL-08")
def _meridian_quadrant():
    return {"Q": GRS80.meridian_distance(90)}


@computes("EL-10")
def _airy():
    return {"b": AIRY1830.semi_minor}


@computes("EL-11")
def _clarke():
    return {"e2": CLARKE1866.eccentricity_squared, "1/f": CLARKE1866.inverse_flattening}


def airy_of_the_guide():
    """Return Airy's ellipsoid as the British guide works with it: b to the millimetre."""
    a, b = 6_377_563.396, 6_356_256.910
    return Ellipsoid("Airy 1830, axes", a, a / (a - b), "RC-01")


@computes("RC-01")
def _radii_at_caister():
    airy, latitude, scale = airy_of_the_guide(), given("RC-01", "latitude"), given("RC-01", "F0")
    nu, rho = airy.prime_vertical_radius(latitude), airy.meridian_radius(latitude)
    return {"nu_F0": nu * scale, "rho_F0": rho * scale, "eta2": nu / rho - 1}


@computes("RC-02")
def _meridian_arc_at_caister():
    airy = airy_of_the_guide()
    ends = (airy.meridian_distance(given("RC-02", name)) for name in ("lat0", "latitude"))
    south, north = ends
    return {"M_F0": (north - south) * given("RC-02", "F0")}


@computes("RC-03")
def _radii_at_flinders_peak():
    latitude = given("RC-03", "latitude")
    return {"rho": GRS80.meridian_radius(latitude), "nu": GRS80.prime_vertical_radius(latitude)}


@computes("RC-05")
def _arcs():
    equator = WGS84.prime_vertical_radius(0)
    return {
        "meridian_arc": WGS84.meridian_distance(given("RC-05", "latitude")),
        "equator_arc": equator * math.radians(given("RC-05", "longitude_difference")),
    }


def _a_degree(length, latitude):
    """Return a degree of latitude in kilometres, from a short arc about the latitude."""
    south, north = (89.99, 90) if latitude == 90 else (latitude - 0.005, latitude + 0.005)
    return length(south, north) / (north - south) / 1000


def _degrees_of_latitude(length):
    return {f"lat_{at}": _a_degree(length, at) for at in given("AR-01", "latitude")}


@computes("AR-01", "by the geodesic")
def _degrees_by_the_geodesic():
    return _degrees_of_latitude(lambda south, north: lines.inverse(south, 7, north, 7, WGS84)[0])


@computes("AR-01", "by the rhumb line")
def _degrees_by_the_rhumb_line():
    return _degrees_of_latitude(lambda south, north: lines.rhumb(south, 7, north, 7, WGS84)[0])


@computes("AR-01", "by the radius M")
def _degrees_by_the_radius():
    return {
        f"lat_{at}": WGS84.meridian_radius(at) * math.radians(1) / 1000
        for at in given("AR-01", "latitude")
    }


@computes("CV-01")
def _curvature():
    distances = {"c_per_km2": 1000, "at_900_m": 900, "at_2.5_km": 2500}
    return {
        name: surface.level_drop(distance, HANDBOOK_SPHERE, 0)
        for name, distance in distances.items()
    }


@computes("CV-02")
def _curvature_with_refraction():
    return {"k_one_seventh": surface.level_drop(1000, HANDBOOK_SPHERE, 1 / 7)}


@computes("CV-04")
def _horizon():
    return {
        "coefficient_feet": surface.horizon(FOOT, HANDBOOK_SPHERE, BOWDITCH) / MILE,
        "coefficient_metres": surface.horizon(1, HANDBOOK_SPHERE, BOWDITCH) / MILE,
    }


@computes("LA-04")
def _two_latitudes():
    return {
        "geocentric": WGS84.geocentric_latitude(given("LA-04", "latitude")),
        "parametric": WGS84.parametric_latitude(given("LA-04", "latitude")),
    }


@computes("RC-06")
def _two_mean_radii():
    latitude = given("RC-06", "latitude")
    return {
        "gaussian": WGS84.gaussian_radius(latitude),
        "azimuth_30": WGS84.azimuth_radius(latitude, given("RC-06", "azimuth")),
    }


@computes("CV-08")
def _arc_chord_and_plane():
    arc, radius = given("CV-08", "arc"), given("CV-08", "R")
    return {
        "arc_less_chord": surface.arc_minus_chord(arc, radius),
        "arc_less_plane": surface.plane_error(arc, radius),
        "reduced": surface.to_ellipsoid(given("CV-08", "length"), given("CV-08", "height"), radius),
    }
