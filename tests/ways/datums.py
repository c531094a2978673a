"""Ways at datums. PROJ stands for the registry software aboard."""

import math

import numpy as np
import pyproj

from tests.test_solutions import (
    RHO,
    WGS84,
    axes,
    azimuth_of,
    design,
    ecef,
    geodetic,
    named,
    point,
    radii,
    seven,
)
from tests.ways import Way

XYZ = "xyz"
ANGLES = ("lat", "lon", "height")


def figures(value, count):
    """Return a number as hand work carries it, with so many significant figures."""
    return float(f"{value:.{count - 1}e}")


# datums-ignored


def plane(g, metres=30.887, cosine=4):
    """Return distance and azimuth by metres a second and cos φ, as the worked answer has them."""
    north = round((g["lat"] - g["gnss_lat"]) * 3600, 2) * metres
    east = round((g["lon"] - g["gnss_lon"]) * 3600, 2) * metres
    east *= round(math.cos(math.radians(g["lat"])), cosine)
    return {"distance": math.hypot(north, east), "azimuth": azimuth_of(east, north)}


def on_the_ellipsoid(g):
    line = WGS84.Inverse(g["gnss_lat"], g["gnss_lon"], g["lat"], g["lon"])
    return {"distance": line["s12"], "azimuth": line["azi1"] % 360}


def by_radii(g):
    """M and ν of WGS 84 at the wellhead."""
    phi = math.radians(g["gnss_lat"])
    w = 1 - WGS84.f * (2 - WGS84.f) * math.sin(phi) ** 2
    nu, meridian = WGS84.a / math.sqrt(w), WGS84.a * (1 - WGS84.f) ** 2 / w**1.5
    north = math.radians(g["lat"] - g["gnss_lat"]) * meridian
    east = math.radians(g["lon"] - g["gnss_lon"]) * nu * math.cos(phi)
    return {"distance": math.hypot(north, east), "azimuth": azimuth_of(east, north)}


def haversine(g):
    one, two = math.radians(g["gnss_lat"]), math.radians(g["lat"])
    dlon = math.radians(g["lon"] - g["gnss_lon"])
    half = math.sin((two - one) / 2) ** 2
    half += math.cos(one) * math.cos(two) * math.sin(dlon / 2) ** 2
    azimuth = azimuth_of(
        math.sin(dlon) * math.cos(two),
        math.cos(one) * math.sin(two) - math.sin(one) * math.cos(two) * math.cos(dlon),
    )
    return {"distance": 2 * 6_371_000 * math.asin(math.sqrt(half)), "azimuth": azimuth}


IGNORED = [
    Way("30.887 m a second, as in the worked answer", plane, "right"),
    Way("30.9 m a second, as in the nudge", lambda g: plane(g, 30.9), "right"),
    Way("a second on 6 378 km", lambda g: plane(g, 6378e3 / 206265), "right"),
    Way("the haversine on the sphere", haversine, "right"),
    Way("the lesson's round 31 m a second", lambda g: plane(g, 31.0, 3), "right or near"),
    Way("the geodesic on WGS 84", on_the_ellipsoid, "right"),
    Way("M and ν of WGS 84", by_radii, "right"),
]


# datums-three and datums-molodensky


def shifts(g):
    return np.array([g["dx"], g["dy"], g["dz"]])


def by_proj(g, method, height):
    """Return the new position by one of PROJ's operations from the old ellipsoid to WGS 84."""
    old = f"+a={g['a']!r} +rf={g['inverse_flattening']!r}"
    pipeline = f"+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad {method(g, old)}"
    transformer = pyproj.Transformer.from_pipeline(
        f"{pipeline} +step +proj=unitconvert +xy_in=rad +xy_out=deg"
    )
    lon, lat, height = transformer.transform(g["lon"], g["lat"], height)
    return lat, lon, height


def geocentric(g, old):
    x, y, z = shifts(g)
    return (
        f"+step +proj=cart {old} +step +proj=helmert +x={x} +y={y} +z={z} "
        f"+step +inv +proj=cart +a={WGS84.a!r} +rf=298.257223563"
    )


def molodensky(g, old, abridged=""):
    x, y, z = shifts(g)
    da, df = WGS84.a - g["a"], 1 / 298.257223563 - 1 / g["inverse_flattening"]
    return f"+step +proj=molodensky {old} +dx={x} +dy={y} +dz={z} +da={da!r} +df={df!r} {abridged}"


def abridged(g, old):
    return molodensky(g, old, "+abridged")


def whole(method):
    return lambda g: named(ANGLES, by_proj(g, method, g["height"]))


def differences(method):
    def route(g):
        lat, lon, height = by_proj(g, method, 0.0)
        away = math.remainder(lon - g["lon"], 360)
        return {"dlat": (lat - g["lat"]) * 3600, "dlon": away * 3600, "dh": height}

    return route


def through_printed_xyz(g):
    """X, Y, Z written down to 0.01 m between the steps, as in the worked answer."""
    start = ecef(g["lat"], g["lon"], g["height"], g["a"], 1 / g["inverse_flattening"])
    moved = np.round(np.round(start, 2) + shifts(g), 2)
    return named(ANGLES, geodetic(*moved, WGS84.a, WGS84.f))


def bowring(g):
    """Bowring's closed formula for the way back, one step."""
    x, y, z = shifts(g) + ecef(g["lat"], g["lon"], g["height"], g["a"], 1 / g["inverse_flattening"])
    a, f, p = WGS84.a, WGS84.f, math.hypot(x, y)
    e2, b = f * (2 - f), a * (1 - f)
    beta = math.atan2(z * a, p * b)
    phi = math.atan2(z + e2 / (1 - e2) * b * math.sin(beta) ** 3, p - e2 * a * math.cos(beta) ** 3)
    height = p / math.cos(phi) - a / math.sqrt(1 - e2 * math.sin(phi) ** 2)
    return {"lat": math.degrees(phi), "lon": math.degrees(math.atan2(y, x)), "height": height}


THREE = [
    Way("PROJ through X, Y, Z", whole(geocentric), "right"),
    Way("X, Y, Z written down to 0.01 m", through_printed_xyz, "right"),
    Way("Bowring's closed formula back", bowring, "right"),
    Way("the abridged Molodensky formula", whole(abridged), "right or method:abridged"),
    Way("the standard Molodensky formula", whole(molodensky), "right or method:standard"),
]


def by_hand(g, target=False, count=9):
    """The abridged formula with the worked answer's rounded numbers, M and ν of either datum."""
    f, phi = 1 / g["inverse_flattening"], math.radians(g["lat"])
    da, df = round(WGS84.a - g["a"], 3), round((WGS84.f - f) * 1e6, 4) / 1e6
    swell = round(g["a"] * df + f * da, 3)
    other = {"a": WGS84.a, "inverse_flattening": 298.257223563, "lat": g["lat"]}
    meridian, across = (round(radius) for radius in radii(other if target else g))
    east, north, up = axes(g["lat"], g["lon"]) @ shifts(g)
    return {
        "dlat": figures((north + swell * math.sin(2 * phi)) * 206265 / meridian, count),
        "dlon": figures(east * 206265 / (across * math.cos(phi)), count),
        "dh": up + swell * math.sin(phi) ** 2 - da,
    }


MOLODENSKY = [
    Way("PROJ's abridged Molodensky", differences(abridged), "right"),
    Way("the worked answer's rounded numbers", by_hand, "right"),
    Way("M and ν of WGS 84", lambda g: by_hand(g, target=True), "right"),
    Way("the angles with four figures", lambda g: by_hand(g, count=4), "right"),
    Way(
        "the standard Molodensky formula",
        differences(molodensky),
        "right or method:standard",
    ),
    Way(
        "the whole way through X, Y, Z",
        differences(geocentric),
        "right or method:geocentric or method:standard",
    ),
]


# The seven parameters


def proj_seven(g, inverse=False, exact=False, pivot=""):
    method = "molobadekas" if pivot else "helmert"
    exactly = "+exact" if exact else ""
    step = (
        f"+proj={method} +convention=position_vector +x={g['tx']} +y={g['ty']} +z={g['tz']} "
        f"+rx={g['rx']} +ry={g['ry']} +rz={g['rz']} +s={g['scale']} {exactly} {pivot}"
    )
    inverted = "+inv" if inverse else ""
    transformer = pyproj.Transformer.from_pipeline(f"+proj=pipeline +step {inverted} {step}")
    return named(XYZ, transformer.transform(*point(g)))


def effects(g, radian=206265.0, count=15, back=False):
    """Translation, rotation and scale one by one, added up, each with so many figures."""
    rotation = np.array([figures(g[name] / radian, count) for name in ("rx", "ry", "rz")])
    turn = [round(v, 2) if count < 15 else v for v in np.cross(rotation, point(g))]
    longer = [figures(v * g["scale"] / 1e6, count) for v in point(g)]
    total = np.array([g["tx"], g["ty"], g["tz"]]) + turn + longer
    return named(XYZ, point(g) + (-total if back else total))


SEVEN_PARAMETERS = [
    Way("PROJ, small angles", proj_seven, "right"),
    Way("PROJ, whole rotation matrix", lambda g: proj_seven(g, exact=True), "right"),
    Way("the worked answer's three effects", effects, "right"),
    Way("three effects to the centimetre", lambda g: effects(g, count=6), "right"),
    Way("four-figure rotations", lambda g: effects(g, count=4), "right or near"),
]


def usual_inverse(g):
    turned = {**g, **{n: -g[n] for n in ("tx", "ty", "tz", "rx", "ry", "rz", "scale")}}
    return named(XYZ, seven(turned, point(g)))


REVERSE = [
    Way("all seven signs turned", usual_inverse, "right"),
    Way("PROJ's inverse", lambda g: proj_seven(g, inverse=True), "right"),
    Way("PROJ's inverse, whole matrix", lambda g: proj_seven(g, inverse=True, exact=True), "right"),
    Way("the three effects subtracted", lambda g: effects(g, back=True), "right"),
    Way("the same to the centimetre", lambda g: effects(g, count=6, back=True), "right"),
]


def twice_the_rotation(g):
    """What fits misses by nothing, the other by twice the rotation."""
    rotation = np.array([g["rx"], g["ry"], g["rz"]]) / RHO
    twice = 2 * float(np.linalg.norm(np.cross(rotation, point(g))))
    known = np.array([g["x2"], g["y2"], g["z2"]])
    fits = math.dist(seven(g, point(g)), known) < 1
    return {"position_vector": 0.0 if fits else twice, "coordinate_frame": twice if fits else 0.0}


def misses(g, work):
    known = np.array([g["x2"], g["y2"], g["z2"]])
    frame = {**g, "rx": -g["rx"], "ry": -g["ry"], "rz": -g["rz"]}
    both = (math.dist(work(sheet).values(), known) for sheet in (g, frame))
    return named(("position_vector", "coordinate_frame"), both)


CONVENTION = [
    Way("PROJ both ways", lambda g: misses(g, proj_seven), "right"),
    Way(
        "PROJ, whole rotation matrix",
        lambda g: misses(g, lambda g: proj_seven(g, exact=True)),
        "right",
    ),
    Way(
        "three effects to the centimetre",
        lambda g: misses(g, lambda g: effects(g, count=6)),
        "right",
    ),
    Way("nothing and twice the rotation", twice_the_rotation, "right"),
]


def at_pivot(g):
    return f"+px={g['px']} +py={g['py']} +pz={g['pz']}"


def helmert_form(g):
    """The Helmert translations of the sheet, about the Earth's centre: the same operation."""
    return named(XYZ, seven({**g, "tx": g["hx"], "ty": g["hy"], "tz": g["hz"]}, point(g)))


def arm_by_arm(g):
    """The worked answer's lines: the arm's turn and scale to the centimetre, then added."""
    pivot = np.array([g["px"], g["py"], g["pz"]])
    arm = point(g) - pivot
    turned = np.round(seven({**g, "tx": 0, "ty": 0, "tz": 0}, arm) - arm, 2)
    return named(XYZ, point(g) + turned + [g["tx"], g["ty"], g["tz"]])


PIVOTED = [
    Way("PROJ's Molodensky-Badekas", lambda g: proj_seven(g, pivot=at_pivot(g)), "right"),
    Way(
        "PROJ, whole rotation matrix",
        lambda g: proj_seven(g, pivot=at_pivot(g), exact=True),
        "right",
    ),
    Way("the worked answer's arm, to the centimetre", arm_by_arm, "right"),
    Way("the Helmert form with its own translations", helmert_form, "right"),
]


# datums-estimate


def rows(g):
    return {name: np.array(text.split(), float) for name, text in g.items()}


def without_bad(g):
    """Return the bad point, found by leaving each out in turn, and the other four."""
    at, best = rows(g), None
    for bad in range(1, 6):
        left = [n for n in range(1, 6) if n != bad]
        before, after = (np.array([at[f"{datum}{n}"] for n in left]) for datum in "st")
        shape, away = np.vstack([design(p) for p in before]), (after - before).ravel()
        # columns of very different size: scale them, and a fit about the Earth's centre is sound
        size = np.linalg.norm(shape, axis=0)
        found = np.linalg.lstsq(shape / size, away, rcond=None)[0] / size
        misfit = float(np.linalg.norm(away - shape @ found))
        if best is None or misfit < best[0]:
            best = misfit, bad, before, after, found
    return best[1:]


def about_the_centre(g, rounded=False):
    """Parameters about the Earth's centre; as the worked answer prints them if rounded."""
    bad, _, _, found = without_bad(g)
    if rounded:
        rotation = np.round(found[3:6] / 1e6 * RHO, 4) / RHO * 1e6
        found = np.concatenate([np.round(found[:3], 3), rotation, np.round(found[6:], 4)])
    new = rows(g)["new"]
    return {"bad": bad, **named(XYZ, new + design(new) @ found)}


def similarity(g):
    """A rotation matrix that is orthogonal, from the singular values (no small angles)."""
    bad, before, after, _ = without_bad(g)
    arms, seen = before - before.mean(axis=0), after - after.mean(axis=0)
    left, _, right = np.linalg.svd(seen.T @ arms)
    turn = left @ np.diag([1, 1, np.linalg.det(left @ right)]) @ right
    scale = np.trace(turn @ arms.T @ seen) / (arms**2).sum()
    new = rows(g)["new"] - before.mean(axis=0)
    return {"bad": bad, **named(XYZ, after.mean(axis=0) + scale * turn @ new)}


ESTIMATE = [
    Way("least squares about the Earth's centre", about_the_centre, "right"),
    Way("orthogonal rotation, by singular values", similarity, "right"),
    Way(
        "the worked answer's parameters, as printed",
        lambda g: about_the_centre(g, rounded=True),
        "right",
    ),
]


# datums-grid-shift


def interpolated(g, decimals=15, first="row"):
    up = round((g["lat"] - g["south"]) / 0.25, decimals)
    west = round((g["west"] - g["east"]) / 0.25, decimals)
    found = []
    for name in ("lat", "lon"):
        se, sw, ne, nw = (g[f"{name}_{node}"] for node in ("se", "sw", "ne", "nw"))
        if first == "row":
            low, high = se + west * (sw - se), ne + west * (nw - ne)
            found.append(low + up * (high - low))
        elif first == "column":
            east, over = se + up * (ne - se), sw + up * (nw - sw)
            found.append(east + west * (over - east))
        else:  # the polynomial a0 + a1 x + a2 y + a3 xy
            terms = (se, (sw - se) * west, (ne - se) * up, (nw - ne - sw + se) * up * west)
            found.append(sum(terms))
    return found


def new_position(shift):
    def route(g):
        north, west = shift(g)
        return {"lat": g["lat"] + north / 3600, "lon": -(g["west"] + west / 3600)}

    return route


GRID_SHIFT = [
    Way("along the rows first", new_position(interpolated), "right"),
    Way(
        "along the columns first", new_position(lambda g: interpolated(g, first="column")), "right"
    ),
    Way("the polynomial with xy", new_position(lambda g: interpolated(g, first="xy")), "right"),
    Way("fractions to four decimals", new_position(lambda g: interpolated(g, 4)), "right"),
    Way("fractions to three decimals", new_position(lambda g: interpolated(g, 3)), "right"),
    Way(
        "shifts rounded to 0.001″",
        new_position(lambda g: [round(shift, 3) for shift in interpolated(g)]),
        "right",
    ),
]


# datums-null


def apart(g, decimals=15):
    years = round(g["epoch"] - g["sheet_epoch"], 1)
    return {
        way: g[f"sheet_{way}"] + round(g[f"rate_{way}"] * years / 1000, decimals)
        for way in ("east", "north")
    }


def from_nothing(g):
    """From the year in which the two agreed, which the sheet's own gap and growth give."""
    size = math.hypot(g["rate_east"], g["rate_north"]) / 1000
    agreed = g["sheet_epoch"] - math.hypot(g["sheet_east"], g["sheet_north"]) / size
    years = g["epoch"] - agreed
    return {way: g[f"rate_{way}"] * years / 1000 for way in ("east", "north")}


NULL = [
    Way("the sheet's gap and its growth", apart, "right"),
    Way("the growth to the millimetre", lambda g: apart(g, 3), "right"),
    Way("all of it from the year in which they agreed", from_nothing, "right"),
]

WAYS = {
    "datums-ignored": IGNORED,
    "datums-three": THREE,
    "datums-seven": SEVEN_PARAMETERS,
    "datums-reverse": REVERSE,
    "datums-convention": CONVENTION,
    "datums-pivot": PIVOTED,
    "datums-molodensky": MOLODENSKY,
    "datums-estimate": ESTIMATE,
    "datums-grid-shift": GRID_SHIFT,
    "datums-null": NULL,
}
