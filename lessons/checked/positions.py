"""Earth-centred and local coordinates, lines on the ellipsoid, spherical excess."""

import itertools

from geokit import (
    AIRY1830,
    BESSEL1841,
    CLARKE1866,
    GRS80,
    INTERNATIONAL1924,
    WGS84,
    angles,
    ecef,
    excess,
    lines,
)
from lessons.checked.computed import computes
from lessons.checked.published import given, value

LOCAL_ORIGIN = (55, 5, 200)  # of EN-01 and EN-02
LOCAL = ("U_east", "V_north", "W_up")


def _named(names, numbers):
    return dict(zip(names, numbers, strict=True))


def _xyz_of(record, ellipsoid):
    point = (given(record, name) for name in ("latitude", "longitude", "h"))
    return _named("XYZ", ecef.to_ecef(*point, ellipsoid))


@computes("EC-01")
def _north_sea_point():
    return _xyz_of("EC-01", WGS84)


@computes("EC-02")
def _north_sea_point_back():
    point = ecef.from_ecef(*(given("EC-02", axis) for axis in "XYZ"), WGS84)
    return _named(("latitude", "longitude", "h"), point)


@computes("EC-03")
def _local_origin():
    return _xyz_of("EC-03", WGS84)


@computes("EC-04")
def _caister():
    return _xyz_of("EC-04", AIRY1830)


@computes("EC-06")
def _flinders_peak():
    return _xyz_of("EC-06", GRS80)


@computes("EC-07")
def _two_points_of_the_test_data():
    first = ecef.to_ecef(30, 60, 189.569, WGS84)
    second = ecef.to_ecef(80, 150, 1214.137, WGS84)
    return _named(("X1", "Y1", "Z1", "X2", "Y2", "Z2"), (*first, *second))


@computes("EN-01")
def _to_local():
    xyz = (given("EN-01", axis) for axis in "XYZ")
    return _named(LOCAL, ecef.to_enu(*xyz, *LOCAL_ORIGIN, WGS84))


@computes("EN-02")
def _from_local():
    enu = (given("EN-02", axis) for axis in LOCAL)
    return _named("XYZ", ecef.from_enu(*enu, *LOCAL_ORIGIN, WGS84))


def _vincenty(record, ellipsoid):
    start = [given(record, name) for name in ("lat1", "lon1", "azimuth1", "s12")]
    lat2, lon2, back = lines.direct(*start, ellipsoid)
    end = (value(record, name) for name in ("lat2", "lon2"))
    length, _, _ = lines.inverse(*start[:2], *end, ellipsoid)
    azimuth2 = (back + 180) % 360  # he prints which way the line goes on
    return {"lat2": lat2, "lon2": lon2, "azimuth2": azimuth2, "inverse_s12": length}


@computes("GD-01")
def _vincenty_a():
    return _vincenty("GD-01", BESSEL1841)


@computes("GD-03")
def _vincenty_c():
    return _vincenty("GD-03", INTERNATIONAL1924)


@computes("GD-05")
def _vincenty_e():
    return _vincenty("GD-05", INTERNATIONAL1924)


@computes("GD-07")
def _nearly_antipodal():
    turn = given("GD-07", "longitude_difference")
    length, azimuth, _ = lines.inverse(
        given("GD-07", "lat1"), 0, given("GD-07", "lat2"), turn, WGS84
    )
    return {"azimuth1": azimuth, "s12": length}


@computes("GD-09")
def _wellington_to_salamanca():
    ends = [
        angles.read(text, kind, ".")
        for name in ("P1", "P2")
        for text, kind in zip(
            given("GD-09", name).split(", "), ("latitude", "longitude"), strict=True
        )
    ]
    return {"s12": lines.inverse(*ends, WGS84)[0]}


@computes("GD-11")
def _flinders_peak_to_buninyong():
    ends = (*given("GD-11", "P1"), *given("GD-11", "P2"))
    return _named(("s12", "azimuth12", "azimuth21"), lines.inverse(*ends, GRS80))


@computes("GD-14")
def _oahu_to_hilo():
    ends = (*given("GD-14", "P1"), *given("GD-14", "P2"))
    return {"s12": lines.inverse(*ends, CLARKE1866)[0]}


OCTANT = ([0, 0, 90], [10, 100, 33])  # two corners on the equator a quarter apart, and the pole


@computes("SX-02", "from the area")
def _octant_from_its_area():
    area = WGS84.area() / 8
    return {"area": area, "excess": excess.from_area(area, WGS84.authalic_radius) / 3600}


@computes("SX-02", "from the corners, sphere")
def _octant_from_its_corners():
    return {"excess": excess.from_corners(*OCTANT) / 3600}


@computes("SX-02", "from the sides, sphere")
def _octant_from_its_sides():
    quarter, _, _ = lines.great_circle(0, 10, 0, 100, WGS84.authalic_radius)
    sides = (quarter, quarter, quarter)
    return {"excess": excess.from_sides(*sides, WGS84.authalic_radius) / 3600}


@computes("SX-02", "on the ellipsoid")
def _octant_on_the_ellipsoid():
    return {"excess": excess.on_ellipsoid(*OCTANT, WGS84) / 3600}


@computes("SX-02", "from the angles")
def _octant_from_its_angles():
    corners = ([0, 0, 90], [10, 100, 10])  # at the pole azimuths start from the longitude given
    return {"excess": float(excess.angles(*corners, WGS84).sum()) - 180}


@computes("SX-03")
def _round_antarctica():
    vertices = given("SX-03", "vertices")
    sides = itertools.pairwise([*vertices, vertices[0]])
    return {"perimeter": sum(lines.inverse(*a, *b, WGS84)[0] for a, b in sides)}


@computes("SX-08")
def _largest_british_triangle():
    corners = [given("SX-08", hill) for hill in ("Snowdon", "Slieve_Donard")]
    lats, lons = zip(*corners, (54.4483, -3.2250), strict=True)  # and Scafell
    return {"excess": excess.on_ellipsoid(lats, lons, AIRY1830)}


@computes("SX-10")
def _area_of_one_second():
    miles = 1 / excess.from_area(1609.344**2, CLARKE1866.gaussian_radius(35))
    return {"handbook_1": miles, "definitions_of_surveying_terms": miles}


@computes("GD-16")
def _quarter_of_a_great_circle():
    return {"quarter": lines.great_circle(0, 10, 0, 100, given("GD-16", "R"))[0]}
