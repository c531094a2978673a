"""What the workbench can compute: each entry its fields and one call of geokit or pyproj."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pyproj
from pyproj.aoi import AreaOfInterest

import geokit
from exercises.question import wording
from geokit import (
    attraction,
    datums,
    deflection,
    ecef,
    excess,
    geoid,
    gravity,
    grid,
    heights,
    lines,
    motion,
    plates,
    surface,
    terrain,
)

NAMED = {
    one.name: one
    for one in (
        geokit.WGS84,
        geokit.GRS80,
        geokit.INTERNATIONAL1924,
        geokit.CLARKE1866,
        geokit.CLARKE1880RGS,
        geokit.BESSEL1841,
        geokit.AIRY1830,
        geokit.KRASSOWSKY1940,
    )
}
CHOOSE = "choose one"  # refused with a sentence: the client's papers name it, the form does not
CONVENTIONS = (CHOOSE, *datums.CONVENTIONS)


@dataclass(frozen=True)
class InputField:
    """
    One entry of a form.

    kind: number, three (numbers), latitude, longitude, azimuth, angle, text or lines.
    """

    name: str
    label: str
    unit: str = ""
    kind: str = "number"
    value: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Computation:
    """A form and what it computes: rows of (label, text)."""

    topic: str
    title: str
    fields: tuple[InputField, ...]
    compute: Callable[..., list[tuple[str, str]]]
    note: str = ""


def _lat(name="lat", label="latitude"):
    return InputField(name, label, "° or ° ′ ″, N or S", "latitude")


def _lon(name="lon", label="longitude"):
    return InputField(name, label, "° or ° ′ ″, E or W", "longitude")


def _length(name, label, unit="m"):
    return InputField(name, label, unit)


def _three(name, label, unit):
    return InputField(name, label, f"{unit}, spaces between", "three")


CONVENTION = InputField("convention", "rotation convention", choices=CONVENTIONS)
DIRECTION = InputField("direction", "direction", choices=("forward", "reverse, exact"))
ELLIPSOIDS = (CHOOSE, *NAMED)
ELLIPSOID = InputField("ellipsoid", "ellipsoid", choices=ELLIPSOIDS)
PLATE = InputField("plate", "plate, ITRF2020", choices=(CHOOSE, *plates.ITRF2020))
POINT = (_lat(), _lon())
TWO = (
    _lat("lat1", "latitude of point 1"),
    _lon("lon1", "longitude of point 1"),
    _lat("lat2", "latitude of point 2"),
    _lon("lon2", "longitude of point 2"),
)
RADIUS = InputField("radius", "radius of the sphere", "m", value="6371000")
XYZ = (_length("x", "X"), _length("y", "Y"), _length("z", "Z"))
XI_ETA = (InputField("xi", "ξ, north +", "″"), InputField("eta", "η, east +", "″"))


def _number(label, value, decimals, unit="", positive=""):
    way = wording.way(value, positive, decimals)
    text = wording.number(abs(value) if way else value, decimals) + wording.unit(unit)
    return label, text + (f" {way}" if way else "")


def _position(lat, lon):
    return [
        ("latitude", f"{lat:.9f}° = {wording.dms(lat, 5, 'latitude')}".replace("-", "−")),
        ("longitude", f"{lon:.9f}° = {wording.dms(lon, 5, 'longitude')}".replace("-", "−")),
    ]


def _azimuth(label, value):
    return label, f"{value:.6f}° = {wording.dms(value, 3)}"


def _metres(*pairs, decimals=4):
    return [_number(label, value, decimals, "m") for label, value in pairs]


def _pairs(text, what, count=2):
    """Return the rows of numbers of a text, each of `count` numbers, as arrays."""
    rows = []
    for number, line in enumerate(filter(str.strip, text.splitlines()), 1):
        try:
            row = [float(part) for part in line.replace("−", "-").replace(";", " ").split()]
        except ValueError:
            row = []
        if len(row) != count or not all(map(math.isfinite, row)):
            raise ValueError(
                f"line {number} of {what} is not {count} numbers with decimal points and spaces "
                f"between: {wording.quoted(line)}"
            )
        rows.append(row)
    if not rows:
        raise ValueError(f"{what}: nothing is typed here yet.")
    return np.array(rows).T


# 01 surface ------------------------------------------------------------------------------


def _flat(distance, radius, refraction):
    return _metres(
        (
            "drop below the level plane, (1 − κ)s²/2R",
            surface.level_drop(distance, radius, refraction),
        ),
        ("arc − chord", surface.arc_minus_chord(distance, radius)),
        ("error of a plane, s − R sin(s/R)", surface.plane_error(distance, radius)),
        decimals=5,
    )


def _reduced(distance, height, radius):
    length = surface.to_ellipsoid(distance, height, radius)
    return _metres(("on the ellipsoid", length), ("difference", length - distance))


def _horizon(eye_height, radius, refraction):
    distance = surface.horizon(eye_height, radius, refraction)
    return [
        _number("sea horizon", distance, 0, "m"),
        _number("in nautical miles", distance / 1852, 2, "NM"),
    ]


# 02 excess -------------------------------------------------------------------------------


def _triangle(a, b, c, radius):
    value = excess.from_sides(a, b, c, radius)
    return [
        _number("excess", value, 4, "″"),
        _number("area", math.radians(value / 3600) * radius**2 / 1e6, 4, "km²"),
    ]


def _polygon(corners, ellipsoid):
    lats, lons = _pairs(corners, "corners")
    shape = NAMED[ellipsoid]
    angles = excess.angles(lats, lons, shape)
    area, perimeter = pyproj.Geod(
        a=shape.semi_major, rf=shape.inverse_flattening
    ).polygon_area_perimeter(lons, lats)
    rows = [_azimuth(f"angle at corner {i}", angle) for i, angle in enumerate(angles, 1)]
    return [
        *rows,
        _azimuth("sum of the angles", float(angles.sum())),
        _number("excess", excess.on_ellipsoid(lats, lons, shape), 4, "″"),
        _number("area", abs(area) / 1e6, 4, "km²"),
        _number("perimeter", perimeter, 3, "m"),
    ]


def _from_area(area, radius):
    return [_number("excess", excess.from_area(area * 1e6, radius), 4, "″")]


# 03 ellipsoid ----------------------------------------------------------------------------


def _constants(ellipsoid):
    shape = NAMED[ellipsoid]
    return [
        *_metres(
            ("a, semi-major axis", shape.semi_major), ("b, semi-minor axis", shape.semi_minor)
        ),
        ("1/f", f"{shape.inverse_flattening:.9f}"),
        ("e²", f"{shape.eccentricity_squared:.14f}"),
        ("e′²", f"{shape.second_eccentricity_squared:.14f}"),
        *_metres(
            ("mean radius (2a + b)/3", shape.mean_radius),
            ("radius of the sphere of equal area", shape.authalic_radius),
            ("radius of the sphere of equal volume", shape.volumetric_radius),
            ("polar radius of curvature", shape.polar_radius_of_curvature),
        ),
        ("source", shape.source),
    ]


def _radii(lat, azimuth, ellipsoid):
    shape = NAMED[ellipsoid]
    m, nu = shape.meridian_radius(lat), shape.prime_vertical_radius(lat)
    second = math.radians(1 / 3600)
    return _metres(
        ("M, in the meridian", m),
        ("ν, in the prime vertical", nu),
        ("√(Mν), Gaussian mean", shape.gaussian_radius(lat)),
        ("along the azimuth, after Euler", shape.azimuth_radius(lat, azimuth)),
        ("1″ of latitude", m * second),
        ("1″ of longitude", nu * math.cos(math.radians(lat)) * second),
        ("along the meridian from the equator", shape.meridian_distance(lat)),
    )


def _latitudes(lat, ellipsoid):
    shape = NAMED[ellipsoid]
    values = (
        ("geodetic φ", lat),
        ("geocentric ψ", shape.geocentric_latitude(lat)),
        ("parametric β", shape.parametric_latitude(lat)),
        ("authalic, of equal area", shape.authalic_latitude(lat)),
    )
    return [
        (label, f"{wording.dms(value, 4, 'latitude')} ({wording.number(value, 9)}°)")
        for label, value in values
    ]


# 04 ecef ---------------------------------------------------------------------------------


def _to_ecef(lat, lon, height, ellipsoid):
    return _metres(*zip("XYZ", ecef.to_ecef(lat, lon, height, NAMED[ellipsoid]), strict=True))


def _from_ecef(x, y, z, ellipsoid):
    lat, lon, height = ecef.from_ecef(x, y, z, NAMED[ellipsoid])
    return [*_position(lat, lon), *_metres(("ellipsoidal height", height))]


def _enu(x, y, z, lat, lon, height, ellipsoid):
    values = ecef.to_enu(x, y, z, lat, lon, height, NAMED[ellipsoid])
    return _metres(*zip(("east", "north", "up"), values, strict=True))


def _from_enu(east, north, up, lat, lon, height, ellipsoid):
    values = ecef.from_enu(east, north, up, lat, lon, height, NAMED[ellipsoid])
    return _metres(*zip("XYZ", values, strict=True))


# 05 lines --------------------------------------------------------------------------------


def _inverse(lat1, lon1, lat2, lon2, ellipsoid):
    distance, azimuth, back = lines.inverse(lat1, lon1, lat2, lon2, NAMED[ellipsoid])
    return [
        *_metres(("length of the geodesic", distance)),
        _number("in nautical miles", distance / 1852, 4, "NM"),
        _azimuth("azimuth at 1 towards 2", azimuth),
        _azimuth("azimuth at 2 towards 1", back),
    ]


def _direct(lat, lon, azimuth, distance, ellipsoid):
    lat2, lon2, back = lines.direct(lat, lon, azimuth, distance, NAMED[ellipsoid])
    return [*_position(lat2, lon2), _azimuth("azimuth at 2 towards 1", back)]


def _rhumb(lat1, lon1, lat2, lon2, ellipsoid):
    distance, azimuth = lines.rhumb(lat1, lon1, lat2, lon2, NAMED[ellipsoid])
    return [*_metres(("length of the rhumb line", distance)), _azimuth("azimuth", azimuth)]


def _great_circle(lat1, lon1, lat2, lon2, radius):
    distance, azimuth, back = lines.great_circle(lat1, lon1, lat2, lon2, radius)
    return [
        *_metres(("length of the great circle", distance)),
        _azimuth("azimuth at 1 towards 2", azimuth),
        _azimuth("azimuth at 2 towards 1", back),
    ]


def _section(lat1, lon1, lat2, lon2, ellipsoid):
    shape = NAMED[ellipsoid]
    section = lines.normal_section(lat1, lon1, lat2, lon2, shape)
    azimuth = lines.inverse(lat1, lon1, lat2, lon2, shape)[1]
    return [
        _azimuth("azimuth of the normal section", section),
        _azimuth("azimuth of the geodesic", azimuth),
        _number("section − geodesic", math.remainder(section - azimuth, 360) * 3600, 5, "″"),
    ]


# 06 and 07 -------------------------------------------------------------------------------

FIELDS = {"GRS 80": gravity.GRS80_FIELD, "WGS 84": gravity.WGS84_FIELD}


def _normal(lat, height, field):
    return [("normal gravity", f"{gravity.normal(lat, height, FIELDS[field]):.8f} m/s²")]


def _geoid(lat, lon):
    xi, eta = deflection.from_geoid(lat, lon, geoid.EGM96, geokit.WGS84)
    size, azimuth = deflection.total(xi, eta)
    return [
        _number("N, geoid above the WGS 84 ellipsoid", geoid.EGM96.height(lat, lon), 3, "m", "up"),
        _number("ξ", xi, 2, "″", "north"),
        _number("η", eta, 2, "″", "east"),
        _number("total", size, 2, "″"),
        _number("azimuth of gravity's zenith", azimuth, 1, "°"),
    ]


def _s44(depth, order):
    return _metres(
        ("largest vertical uncertainty, 95 %", heights.allowed_vertical_uncertainty(depth, order)),
        (
            "largest horizontal uncertainty, 95 %",
            heights.allowed_horizontal_uncertainty(depth, order),
        ),
        decimals=3,
    )


def _tides(constituents, first_year, years):
    table = {}
    for line in filter(str.strip, constituents.splitlines()):
        parts = line.replace(";", " ").split()
        try:
            name, amplitude, phase = parts
            table[name] = (float(amplitude), float(phase))
        except ValueError:
            raise ValueError(
                "each line of the constituents is a name, an amplitude in metres and a Greenwich "
                f"phase in degrees, as in: M2 1.234 123.4; not {wording.quoted(line)}"
            ) from None
    lowest, highest, yearly = heights.tidal_extremes(table, int(first_year), int(years))
    return _metres(
        ("lowest tide, above mean sea level", lowest),
        ("highest tide", highest),
        ("highest of the yearly lowest", float(np.max(yearly))),
        decimals=3,
    )


# 08 deflection ---------------------------------------------------------------------------


def _astronomic(astro_lat, astro_lon, lat, lon):
    xi, eta = deflection.from_astronomic(astro_lat, astro_lon, lat, lon)
    return [_number("ξ", xi, 3, "″", "north"), _number("η", eta, 3, "″", "east")]


def _total(xi, eta):
    size, azimuth = deflection.total(xi, eta)
    return [_number("size", size, 3, "″"), _azimuth("azimuth of gravity's zenith", azimuth)]


def _along(xi, eta, azimuth):
    return [_number("ε along the azimuth", deflection.along(xi, eta, azimuth), 3, "″", "forward")]


def _seabed(xi, eta, depth):
    east, north = deflection.seabed_offset(xi, eta, depth)
    return [_number("east", east, 3, "m", "east"), _number("north", north, 3, "m", "north")]


def _laplace(azimuth, xi, eta, lat, zenith):
    value = deflection.geodetic_azimuth(azimuth, xi, eta, lat, zenith)
    turn = math.remainder(value - azimuth, 360) * 3600
    return [_azimuth("geodetic azimuth", value), _number("geodetic − astronomic", turn, 3, "″")]


def _zenith(observed, xi, eta, azimuth):
    value = deflection.geodetic_zenith_angle(observed, xi, eta, azimuth)
    return [_azimuth("geodetic zenith angle", value)]


# 09 attraction ---------------------------------------------------------------------------

SHAPES = {
    "trench": terrain.trench,
    "seamount": terrain.seamount,
    "shelf edge, shelf in the south": terrain.shelf_edge,
}


def _leaning(lat, ge, gn, gu, lift):
    """Return what a pull does where it is felt."""
    g = gravity.normal(lat, 0, gravity.WGS84_FIELD)
    xi, eta = attraction.deflection(ge, gn, g)
    return [
        _number("ξ: zenith leans", xi, 2, "″", "north"),
        _number("η: zenith leans", eta, 2, "″", "east"),
        _number("pull to the side", 1e5 * math.hypot(ge, gn), 2, "mGal"),
        _number("change of gravity", -1e5 * gu, 2, "mGal"),
        _number("level surface lifted by", lift / g, 3, "m"),
    ]


def _block(lat, prism_length, prism_width, thickness, top_depth, contrast, block_east, block_north):
    half = prism_length / 2, prism_width / 2
    top = -top_depth
    bounds = (block_east - half[0], block_east + half[0], block_north - half[1],
              block_north + half[1], top - thickness, top)  # fmt: skip
    pull = attraction.prism(0, 0, 0, bounds, contrast)
    return _leaning(lat, *pull, attraction.potential(0, 0, 0, bounds, contrast))


def _shape(lat, seabed_shape, water, relief, shape_width, stand, carried):
    body = SHAPES[seabed_shape](water, relief, shape_width)
    body = terrain.rooted(body) if carried == "by a root 32 km deep" else body
    pull = attraction.body(0, stand, 0, *body)
    return _leaning(lat, *pull, attraction.body_potential(0, stand, 0, *body))


def _normal_wire(lat, depth):
    xi, north = attraction.normal_wire(lat, depth, gravity.WGS84_FIELD)
    return [
        _number("ξ at that depth less ξ at the top", xi, 3, "″", "north"),
        _number("foot, from the straight line", north, 4, "m", "north"),
    ]


# 09 to 11 --------------------------------------------------------------------------------


def _helmert(x, y, z, tx, ty, tz, rx, ry, rz, ppm, convention, direction):
    seven = datums.Helmert(tx, ty, tz, rx, ry, rz, ppm, convention=convention)
    operation = seven.reverse() if direction == "reverse, exact" else seven
    return _metres(*zip("XYZ", operation.apply(x, y, z), strict=True))


def _about_pivot(x, y, z, shift, turn, ppm, pivot, convention, direction):
    seven = datums.MolodenskyBadekas(*shift, *turn, ppm, pivot, convention=convention)
    operation = seven.reverse() if direction == "reverse, exact" else seven
    return _metres(*zip("XYZ", operation.apply(x, y, z), strict=True))


def _fourteen(
    x, y, z, shift_mm, turn_mas, ppb, shift_rate, turn_rate, ppb_rate, reference, epoch, convention
):
    first, rates = (*shift_mm, *turn_mas, ppb), (*shift_rate, *turn_rate, ppb_rate)
    try:
        helmert = datums.Helmert(*_thousandths(first), convention=convention)
        moving = datums.TimeDependent(helmert, _thousandths(rates), reference)
    except ValueError as error:
        raise ValueError(f"of your mm, mas and ppb, in m, ″ and ppm: {error}") from None
    there = moving.at(epoch).apply(x, y, z)
    moved = [(new - old) * 1000 for new, old in zip(there, (x, y, z), strict=True)]
    return [
        *_metres(*zip("XYZ", there, strict=True)),
        *(_number(f"change of {axis}", by, 1, "mm") for axis, by in zip("XYZ", moved, strict=True)),
    ]


def _thousandths(numbers):
    """Turn millimetres, milliarcseconds and ppb into metres, arcseconds and ppm."""
    return tuple(number / 1000 for number in numbers)


def _estimated(old, new, leave_out, carry, convention):
    source, target = _pairs(old, "the old datum", 3).T, _pairs(new, "the new datum", 3).T
    if len(source) != len(target):
        raise ValueError(
            f"the old datum has {len(source)} points and the new one {len(target)}: write the same "
            "points in the same order in both."
        )
    if leave_out not in range(len(source) + 1):
        raise ValueError(
            f"point to leave out: {leave_out:g} is not one of the points 1 to {len(source)}, "
            "nor 0 for none."
        )
    used = [i for i in range(len(source)) if i + 1 != leave_out]
    helmert, residuals = datums.estimate(source[used], target[used], convention=convention)
    carried = _pairs(carry, "the points to carry over", 3).T if carry.strip() else ()
    return [
        *_parameters(helmert),
        *_residuals([i + 1 for i in used], residuals),
        *_without_the_worst(source[used], target[used], residuals, convention),
        *(
            _number(f"carried over, {i}: {axis}", coordinate, 3, "m")
            for i, point in enumerate(carried, 1)
            for axis, coordinate in zip("XYZ", helmert.apply(*point), strict=True)
        ),
    ]


def _parameters(helmert):
    shift, turn = (helmert.tx, helmert.ty, helmert.tz), (helmert.rx, helmert.ry, helmert.rz)
    return [
        ("tX; tY; tZ", _row(shift, 3, "m")),
        (f"rX; rY; rZ, {helmert.convention}", _row(turn, 5, "″")),
        _number("scale difference", helmert.scale_ppm, 5, "ppm"),
    ]


def _residuals(points, residuals):
    """Return each point's residual and its size, and say which is the largest."""
    sizes = np.linalg.norm(residuals, axis=1)
    worst, *others = np.argsort(-sizes)
    rows = [
        (f"point {point}: residual in X; Y; Z", f"{_row(one, 3)}; in all {_row([size], 3, 'm')}")
        for point, one, size in zip(points, residuals, sizes, strict=True)
    ]
    said = f"point {points[worst]}, {_row([sizes[worst]], 3, 'm')}"
    return [*rows, ("largest", f"{said}; the next {_row([sizes[others[0]]], 3, 'm')}")]


def _without_the_worst(source, target, residuals, convention):
    """Say what is left where the worst point is left out; nothing where that leaves too few."""
    kept = np.arange(len(source)) != np.linalg.norm(residuals, axis=1).argmax()
    try:
        _, left = datums.estimate(source[kept], target[kept], convention=convention)
    except ValueError:
        return []
    return _metres(
        ("largest if it is left out", float(np.linalg.norm(left, axis=1).max())), decimals=3
    )


def _row(numbers, decimals, unit=""):
    return "; ".join(wording.number(n, decimals) for n in numbers) + wording.unit(unit)


def _molodensky(lat, lon, height, dx, dy, dz, source, target):
    values = datums.abridged_molodensky(lat, lon, height, dx, dy, dz, NAMED[source], NAMED[target])
    return [*_position(*values[:2]), *_metres(("ellipsoidal height", values[2]))]


def _registry(source, target, first, second, third):
    try:
        near = _near(pyproj.CRS(source), first, second)
        offered = pyproj.Transformer.from_crs(
            source, target, area_of_interest=near, allow_ballpark=False
        )
        values = offered.transform(first, second, third, errcheck=True)
        several = offered.accuracy < 0  # then PROJ has chosen by the point
        operation = offered.get_last_used_operation() if several else offered
    except pyproj.exceptions.ProjError as error:
        raise ValueError(
            f"the registry gives no operation from {wording.quoted(source)} to "
            f"{wording.quoted(target)} that this machine can do without guessing "
            f"({wording.quoted(str(error), 120)})."
        ) from None
    axes = [axis.name for axis in pyproj.CRS(target).axis_info]
    rows = [
        (axes[i] if i < len(axes) else "third", wording.number(value, 9 if abs(value) < 361 else 4))
        for i, value in enumerate(values)
    ]
    accuracy = operation.accuracy
    said = f"{accuracy:g} m" if accuracy >= 0 else "not stated"
    return [*rows, ("operation", operation.description), ("accuracy of the operation", said)]


def _near(system, first, second):
    """Return the area given to PROJ, so that it takes what reaches the point."""
    if system.is_projected:
        unprojected = pyproj.Transformer.from_crs(system, system.geodetic_crs)
        first, second = unprojected.transform(first, second, errcheck=True)
        system = system.geodetic_crs
    if not system.is_geographic:
        return None
    north = system.axis_info[0].direction == "north"
    lat, lon = (first, second) if north else (second, first)
    return AreaOfInterest(lon - 0.005, lat - 0.005, lon + 0.005, lat + 0.005)


def _velocity(lat, lon, plate):
    east, north = motion.velocity(lat, lon, plates.ITRF2020[plate], geokit.GRS80)
    return [
        _number("east", east * 1000, 1, "mm a year", "east"),
        _number("north", north * 1000, 1, "mm a year", "north"),
        _number("speed", math.hypot(east, north) * 1000, 1, "mm a year"),
        _number("towards azimuth", math.degrees(math.atan2(east, north)) % 360, 1, "°"),
    ]


def _move(lat, lon, height, plate, epoch, target):
    for which, year in (("of the position", epoch), ("wanted", target)):
        if not 1900 <= year <= 2100:
            raise ValueError(
                f"epoch {which}: {year:.10g} is not a decimal year from 1900 to 2100: is it a "
                "date, or has it two digits?"
            )
    east, north = motion.velocity(lat, lon, plates.ITRF2020[plate], geokit.GRS80)
    moved = motion.move(lat, lon, height, east, north, 0.0, target - epoch, geokit.GRS80)
    return [*_position(*moved[:2]), *_metres(("ellipsoidal height", moved[2]))]


def _mercator(ellipsoid, lat0, lon0, scale, false_east, false_north):
    return grid.TransverseMercator(NAMED[ellipsoid], lat0, lon0, scale, false_east, false_north)


def _forward(lat, lon, **parameters):
    projection = _mercator(**parameters)
    east, north = projection.forward(lat, lon)
    return [
        *_metres(("easting", east), ("northing", north)),
        ("point scale factor", f"{projection.point_scale(lat, lon):.9f}"),
        _number("convergence, + grid north east of true", projection.convergence(lat, lon), 6, "°"),
    ]


def _backward(east, north, **parameters):
    return _position(*_mercator(**parameters).inverse(east, north))


def _line(e1, n1, e2, n2, **parameters):
    projection = _mercator(**parameters)
    return [
        _number("t − T at 1", projection.arc_to_chord(e1, n1, e2, n2), 4, "″"),
        ("line scale factor", f"{projection.line_scale(e1, n1, e2, n2):.9f}"),
    ]


def _zone(lat, lon, ellipsoid):
    zone = int(grid.utm_zone(lat, lon, exceptions=True))
    projection = grid.utm(zone, "south" if lat < 0 else "north", NAMED[ellipsoid])
    east, north = projection.forward(lat, lon)
    return [
        ("zone, exceptions off Norway and Svalbard kept", str(zone)),
        _number("central meridian", 6 * zone - 183, 0, "°", "east"),
        *_metres(("easting", east), ("northing", north)),
        ("point scale factor", f"{projection.point_scale(lat, lon):.9f}"),
        _number("convergence, + grid north east of true", projection.convergence(lat, lon), 6, "°"),
    ]


KAPPA = InputField("refraction", "κ, refraction coefficient", "0 for none", value="0")
PROJECTION = (
    ELLIPSOID,
    _lat("lat0", "latitude of origin"),
    _lon("lon0", "central meridian"),
    InputField("scale", "k₀, scale on it", value="0.9996"),
    InputField("false_east", "false easting", "m", value="500000"),
    InputField("false_north", "false northing", "m", value="0"),
)
TRAINING = "Model values, for training. On a job the client's parameters decide."

_ALL = (
    Computation(
        "01 surface",
        "What a flat Earth costs",
        (_length("distance", "distance s"), RADIUS, KAPPA),
        _flat,
    ),
    Computation(
        "01 surface",
        "Length to the ellipsoid",
        (
            _length("distance", "horizontal distance"),
            _length("height", "height above the ellipsoid"),
            RADIUS,
        ),
        _reduced,
    ),
    Computation(
        "01 surface", "Sea horizon", (_length("eye_height", "eye height"), RADIUS, KAPPA), _horizon
    ),
    Computation(
        "02 excess",
        "Excess from three sides",
        (_length("a", "side a"), _length("b", "side b"), _length("c", "side c"), RADIUS),
        _triangle,
    ),
    Computation(
        "02 excess",
        "Polygon on the ellipsoid",
        (
            InputField(
                "corners", "corners: latitude and longitude, one a line", "°, point", "lines"
            ),
            ELLIPSOID,
        ),
        _polygon,
    ),
    Computation(
        "02 excess", "Excess from an area", (_length("area", "area", "km²"), RADIUS), _from_area
    ),
    Computation("03 ellipsoid", "Constants of an ellipsoid", (ELLIPSOID,), _constants),
    Computation(
        "03 ellipsoid",
        "Radii of curvature and seconds of arc",
        (_lat(), InputField("azimuth", "azimuth", "°", "azimuth", "0"), ELLIPSOID),
        _radii,
    ),
    Computation(
        "03 ellipsoid",
        "Kinds of latitude",
        (_lat(label="geodetic latitude"), ELLIPSOID),
        _latitudes,
    ),
    Computation(
        "04 ecef",
        "φ, λ, h to X, Y, Z",
        (*POINT, _length("height", "ellipsoidal height"), ELLIPSOID),
        _to_ecef,
    ),
    Computation("04 ecef", "X, Y, Z to φ, λ, h", (*XYZ, ELLIPSOID), _from_ecef),
    Computation(
        "04 ecef",
        "X, Y, Z to east, north, up",
        (
            *XYZ,
            _lat("lat", "latitude of the origin"),
            _lon("lon", "longitude of the origin"),
            _length("height", "ellipsoidal height of the origin"),
            ELLIPSOID,
        ),
        _enu,
    ),
    Computation(
        "04 ecef",
        "East, north, up to X, Y, Z",
        (
            _length("east", "east"),
            _length("north", "north"),
            _length("up", "up"),
            _lat("lat", "latitude of the origin"),
            _lon("lon", "longitude of the origin"),
            _length("height", "ellipsoidal height of the origin"),
            ELLIPSOID,
        ),
        _from_enu,
    ),
    Computation("05 lines", "Geodesic between two points", (*TWO, ELLIPSOID), _inverse),
    Computation(
        "05 lines",
        "Geodesic from a point",
        (
            *POINT,
            InputField("azimuth", "azimuth", "°", "azimuth"),
            _length("distance", "length"),
            ELLIPSOID,
        ),
        _direct,
    ),
    Computation("05 lines", "Rhumb line between two points", (*TWO, ELLIPSOID), _rhumb),
    Computation("05 lines", "Great circle between two points", (*TWO, RADIUS), _great_circle),
    Computation("05 lines", "Normal section against geodesic", (*TWO, ELLIPSOID), _section),
    Computation(
        "06 geoid",
        "Normal gravity",
        (
            _lat(),
            _length("height", "ellipsoidal height"),
            InputField("field", "field", choices=tuple(FIELDS)),
        ),
        _normal,
    ),
    Computation("06 geoid", "Geoid height and deflection, EGM96", POINT, _geoid, TRAINING),
    Computation(
        "07 heights",
        "S-44 edition 6 limits",
        (
            _length("depth", "depth"),
            InputField("order", "order", choices=("exclusive", "special", "1a", "1b", "2")),
        ),
        _s44,
    ),
    Computation(
        "07 heights",
        "Extremes of the tide",
        (
            InputField(
                "constituents", "name, amplitude m, Greenwich phase °, one a line", "", "lines"
            ),
            InputField("first_year", "first year", value="2008"),
            InputField("years", "years", value="19"),
        ),
        _tides,
    ),
    Computation(
        "08 deflection",
        "ξ and η from two positions",
        (
            _lat("astro_lat", "astronomic latitude"),
            _lon("astro_lon", "astronomic longitude"),
            _lat("lat", "geodetic latitude"),
            _lon("lon", "geodetic longitude"),
        ),
        _astronomic,
    ),
    Computation("08 deflection", "Size and direction", XI_ETA, _total),
    Computation(
        "08 deflection",
        "Along a line",
        (*XI_ETA, InputField("azimuth", "azimuth", "°", "azimuth")),
        _along,
    ),
    Computation(
        "08 deflection", "Where a weight lands", (*XI_ETA, _length("depth", "depth")), _seabed
    ),
    Computation(
        "08 deflection",
        "Astronomic to geodetic azimuth",
        (
            InputField("azimuth", "astronomic azimuth", "°", "azimuth"),
            *XI_ETA,
            _lat("lat", "geodetic latitude"),
            InputField("zenith", "zenith angle", "°", "angle", "90"),
        ),
        _laplace,
    ),
    Computation(
        "08 deflection",
        "Observed to geodetic zenith angle",
        (
            InputField("observed", "zenith angle", "°", "angle"),
            *XI_ETA,
            InputField("azimuth", "azimuth", "°", "azimuth"),
        ),
        _zenith,
    ),
    Computation(
        "09 attraction",
        "Pull of a block of rock",
        (
            _lat(),
            _length("prism_length", "length, east to west"),
            _length("prism_width", "width, south to north"),
            _length("thickness", "thickness"),
            _length("top_depth", "depth of its top below you"),
            InputField("contrast", "density less that of water", "kg/m³", value="1640"),
            _length("block_east", "its middle, east of you"),
            _length("block_north", "its middle, north of you"),
        ),
        _block,
        TRAINING,
    ),
    Computation(
        "09 attraction",
        "Trench, seamount or shelf edge",
        (
            _lat(),
            InputField("seabed_shape", "shape", choices=tuple(SHAPES)),
            _length("water", "depth of water beside it"),
            _length("relief", "its relief"),
            _length("shape_width", "its width"),
            _length("stand", "you, north of its middle"),
            InputField("carried", "carried", choices=("by nothing", "by a root 32 km deep")),
        ),
        _shape,
        TRAINING,
    ),
    Computation(
        "09 attraction",
        "Curve of the normal plumb line",
        (_lat(), _length("depth", "depth")),
        _normal_wire,
    ),
    Computation(
        "10 datums",
        "Seven parameters",
        (
            *XYZ,
            *(_length(f"t{axis}", f"t{axis.upper()}") for axis in "xyz"),
            *(_length(f"r{axis}", f"r{axis.upper()}", "″") for axis in "xyz"),
            InputField("ppm", "scale difference", "ppm"),
            CONVENTION,
            DIRECTION,
        ),
        _helmert,
    ),
    Computation(
        "10 datums",
        "Seven parameters about a pivot, Molodensky-Badekas",
        (
            *XYZ,
            _three("shift", "tX  tY  tZ, at the pivot", "m"),
            _three("turn", "rX  rY  rZ", "″"),
            InputField("ppm", "scale difference", "ppm"),
            _three("pivot", "X  Y  Z of the pivot", "m"),
            CONVENTION,
            DIRECTION,
        ),
        _about_pivot,
        "The translations hold at the pivot: without it they miss by tens to hundreds of metres.",
    ),
    Computation(
        "10 datums",
        "Seven parameters from common points",
        (
            InputField("old", "old datum: X  Y  Z, one point a line", "m", "lines"),
            InputField("new", "new datum: the same points", "m", "lines"),
            InputField("leave_out", "point to leave out", "0 for none", value="0"),
            InputField("carry", "points to carry over, old datum", "m, or empty", "lines"),
            CONVENTION,
        ),
        _estimated,
        "A bad point pulls the others with it: leave it out and look again. From a small patch the "
        "seven are strongly correlated: **do not use them outside the points**. This is training; "
        "on a job the client's parameters decide.",
    ),
    Computation(
        "10 datums",
        "Abridged Molodensky",
        (
            *POINT,
            _length("height", "ellipsoidal height"),
            *(_length(f"d{axis}", f"d{axis.upper()}, target − source") for axis in "xyz"),
            InputField("source", "source ellipsoid", choices=ELLIPSOIDS),
            InputField("target", "target ellipsoid", choices=ELLIPSOIDS),
        ),
        _molodensky,
    ),
    Computation(
        "10 datums",
        "Between two systems of the EPSG registry",
        (
            InputField("source", "from, code", "EPSG:4230", "text"),
            InputField("target", "to, code", "EPSG:4326", "text"),
            InputField("first", "first coordinate", "in the system's own axis order"),
            InputField("second", "second coordinate"),
            InputField("third", "height", "0 if none", value="0"),
        ),
        _registry,
        "The registry offers several operations for most pairs; this is the one that registry "
        "software takes at the point. "
        "**The client's parameters decide** which one is used on a job.",
    ),
    Computation(
        "11 motion",
        "Fourteen parameters, another frame at the same epoch",
        (
            *XYZ,
            _three("shift_mm", "tX  tY  tZ", "mm"),
            _three("turn_mas", "rX  rY  rZ", "mas"),
            InputField("ppb", "scale difference", "ppb"),
            _three("shift_rate", "rates of tX  tY  tZ", "mm a year"),
            _three("turn_rate", "rates of rX  rY  rZ", "mas a year"),
            InputField("ppb_rate", "rate of the scale", "ppb a year"),
            InputField("reference", "epoch of the parameters", "decimal year"),
            InputField("epoch", "epoch of the position", "decimal year"),
            CONVENTION,
        ),
        _fourteen,
        "It changes the frame and moves nothing in time: the epoch of the position stays.",
    ),
    Computation(
        "11 motion",
        "Velocity of a plate",
        (*POINT, PLATE),
        _velocity,
    ),
    Computation(
        "11 motion",
        "Position at another epoch",
        (
            *POINT,
            _length("height", "ellipsoidal height"),
            PLATE,
            InputField("epoch", "epoch of the position", "decimal year"),
            InputField("target", "epoch wanted", "decimal year"),
        ),
        _move,
    ),
    Computation("12 grid", "UTM zone and coordinates", (*POINT, ELLIPSOID), _zone),
    Computation("12 grid", "Transverse Mercator, forward", (*POINT, *PROJECTION), _forward),
    Computation(
        "12 grid",
        "Transverse Mercator, back",
        (_length("east", "easting"), _length("north", "northing"), *PROJECTION),
        _backward,
    ),
    Computation(
        "12 grid",
        "t − T and scale of a line",
        (
            _length("e1", "easting of 1"),
            _length("n1", "northing of 1"),
            _length("e2", "easting of 2"),
            _length("n2", "northing of 2"),
            *PROJECTION,
        ),
        _line,
    ),
)
COMPUTATIONS = {one.title: one for one in _ALL}
TOPICS = {
    topic: tuple(one.title for one in _ALL if one.topic == topic)
    for topic in dict.fromkeys(one.topic for one in _ALL)
}
