"""Wrong routes of datums, each walked as its reply describes it."""

import math

import numpy as np

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

SECOND = math.pi / 648_000 * 6_371_000  # metres of one second on the sphere
SEVEN = ("tx", "ty", "tz", "rx", "ry", "rz", "scale")


# datums-ignored


def seconds(g):
    """Return list minus GNSS, in arcseconds north and east."""
    return (g["lat"] - g["gnss_lat"]) * 3600, (g["lon"] - g["gnss_lon"]) * 3600


def metres(g, narrowing=True):
    """Return list minus GNSS in metres north and east, with or without the meridians closing in."""
    north, east = seconds(g)
    middle = math.radians((g["lat"] + g["gnss_lat"]) / 2)
    return north * SECOND, east * SECOND * (math.cos(middle) if narrowing else 1.0)


def no_cosine(g):
    north, east = metres(g, narrowing=False)
    return {"distance": math.hypot(north, east), "azimuth": azimuth_of(east, north)}


def vessel(g):
    """Return the wellhead as seen from the vessel."""
    north, east = metres(g)
    return {"azimuth": azimuth_of(-east, -north)}


def from_east(g):
    north, east = metres(g)
    return {"azimuth": math.degrees(math.atan2(north, east)) % 360}


IGNORED = {
    "latitude-only": lambda g: {"distance": abs(metres(g)[0])},
    "longitude-only": lambda g: {"distance": abs(metres(g)[1])},
    "no-cosine": no_cosine,
    "turned": vessel,
    "from-east": from_east,
    "sum": lambda g: {"distance": abs(metres(g)[0]) + abs(metres(g)[1])},
}


# datums-three


def three(g, sign=1, height=None, back=(WGS84.a, WGS84.f)):
    height = g["height"] if height is None else height
    old = ecef(g["lat"], g["lon"], height, g["a"], 1 / g["inverse_flattening"])
    moved = old + sign * np.array([g["dx"], g["dy"], g["dz"]])
    return named(("lat", "lon", "height"), geodetic(*moved, *back))


THREE = {
    "turned": lambda g: three(g, sign=-1),
    "source-ellipsoid": lambda g: three(g, back=(g["a"], 1 / g["inverse_flattening"])),
    "no-height": lambda g: three(g, height=0.0),
    "height-kept": lambda g: {"height": g["height"]},
}


# datums-seven, -reverse, -convention, -pivot


def with_signs(g, t=1, r=1, s=1):
    """Return the sheet with its translations, rotations and scale times these."""
    by = dict(zip(SEVEN, (t, t, t, r, r, r, s), strict=True))
    return {**g, **{name: g[name] * times for name, times in by.items()}}


def moved(g, turn=1.0, **signs):
    return named("xyz", seven(with_signs(g, **signs), point(g), turn))


SEVEN_PARAMETERS = {
    "coordinate-frame": lambda g: moved(g, turn=-1.0),
    "no-scale": lambda g: moved(g, s=0),
    "scale-turned": lambda g: moved(g, s=-1),
    "no-rotations": lambda g: moved(g, r=0),
    "translations-only": lambda g: moved(g, r=0, s=0),
    "backwards": lambda g: moved(g, t=-1, r=-1, s=-1),
}
REVERSE = {
    "forward": moved,
    "translations-only": lambda g: moved(g, t=-1, r=0, s=0),
    "rotations-kept": lambda g: moved(g, t=-1, r=1, s=-1),
    "rest-kept": lambda g: moved(g, t=1, r=-1, s=-1),
}


def off(g, **signs):
    """Return the vectors by which position vector and coordinate frame miss the test point."""
    known = np.array([g["x2"], g["y2"], g["z2"]])
    sheet = with_signs(g, **signs)
    return [seven(sheet, point(g), turn) - known for turn in (1.0, -1.0)]


def misses(g, **signs):
    position, frame = (float(np.linalg.norm(vector)) for vector in off(g, **signs))
    return {"position_vector": position, "coordinate_frame": frame}


def one_axis(g):
    found = misses(g)
    wrong = max(found, key=found.get)
    vector = off(g)[["position_vector", "coordinate_frame"].index(wrong)]
    return {wrong: float(np.abs(vector).max())}


def mixed(g):
    found = misses(g)
    return {
        "position_vector": found["coordinate_frame"],
        "coordinate_frame": found["position_vector"],
    }


CONVENTION = {
    "conventions-mixed": mixed,
    "no-rotations": lambda g: misses(g, r=0),
    "no-scale": lambda g: misses(g, s=0),
    "backwards": lambda g: misses(g, t=-1, r=-1, s=-1),
    "one-axis": one_axis,
}


def pivoted(g, turn=1.0, added=False, translations=("tx", "ty", "tz"), only=False):
    pivot = np.array([g["px"], g["py"], g["pz"]])
    shift = np.array([g[name] for name in translations])
    if only:
        return named("xyz", point(g) + shift)
    arm = point(g) + pivot if added else point(g) - pivot
    rotation = turn * np.array([g["rx"], g["ry"], g["rz"]]) / RHO
    turned = (1 + g["scale"] / 1e6) * (arm + np.cross(rotation, arm))
    return named("xyz", turned + shift + (-pivot if added else pivot))


PIVOTED = {
    "no-pivot": moved,
    "pivot-added": lambda g: pivoted(g, added=True),
    "other-translations": lambda g: pivoted(g, translations=("hx", "hy", "hz")),
    "coordinate-frame": lambda g: pivoted(g, turn=-1.0),
    "translations-only": lambda g: pivoted(g, only=True),
}


# datums-molodensky


def molodensky(g, shift=1, da=1, df=1, cosine=True):
    """IOGP 373-7-2, method 9605, with so many times the shift, Δa and Δf."""
    f, phi = 1 / g["inverse_flattening"], math.radians(g["lat"])
    larger, flatter = da * (WGS84.a - g["a"]), df * (WGS84.f - f)
    swell = g["a"] * flatter + f * larger
    east, north, up = shift * (axes(g["lat"], g["lon"]) @ [g["dx"], g["dy"], g["dz"]])
    meridian, across = radii(g)
    return {
        "dlat": RHO * (north + swell * math.sin(2 * phi)) / meridian,
        "dlon": RHO * east / (across * (math.cos(phi) if cosine else 1)),
        "dh": up + swell * math.sin(phi) ** 2 - larger,
    }


MOLODENSKY = {
    "turned": lambda g: molodensky(g, shift=-1),
    "da-sign": lambda g: molodensky(g, da=-1),
    "no-df": lambda g: molodensky(g, df=0),
    "ellipsoids-swapped": lambda g: molodensky(g, da=-1, df=-1),
    "no-cosine": lambda g: {"dlon": molodensky(g, cosine=False)["dlon"]},
}


# datums-estimate


def rows(g):
    return {name: np.array(text.split(), float) for name, text in g.items()}


def fitted(g, left, start="s", end="t"):
    """Return the middle of these points and the seven there, by least squares."""
    at = rows(g)
    centre = np.mean([at[f"{start}{n}"] for n in left], axis=0)
    shape = np.vstack([design(at[f"{start}{n}"] - centre) for n in left])
    away = np.concatenate([at[f"{end}{n}"] - at[f"{start}{n}"] for n in left])
    found = np.linalg.lstsq(shape, away, rcond=None)[0]
    return centre, found, np.linalg.norm((away - shape @ found).reshape(-1, 3), axis=1)


def good(g):
    """Return the points without the one of the largest residual."""
    sizes = fitted(g, range(1, 6))[2]
    return [n for n in range(1, 6) if n != 1 + int(np.argmax(sizes))]


def bad_kept(g):
    centre, found, _ = fitted(g, range(1, 6))
    new = rows(g)["new"]
    return named("xyz", new + design(new - centre) @ found)


def backwards(g):
    """The exact inverse of the fit old to WGS 84, on the old point: solved by going round."""
    centre, found, _ = fitted(g, good(g))
    new = rows(g)["new"]
    start = new
    for _ in range(20):
        start = new - design(start - centre) @ found
    return named("xyz", start)


def mean(g):
    at = rows(g)
    apart = np.mean([at[f"t{n}"] - at[f"s{n}"] for n in good(g)], axis=0)
    return named("xyz", at["new"] + apart)


def other_convention(g):
    """Parameters about the Earth's centre, their rotations then turned."""
    centre, found, _ = fitted(g, good(g))
    rotation, scale = found[3:6] / 1e6, found[6] / 1e6
    shift = found[:3] + centre - (centre + np.cross(rotation, centre) + scale * centre)
    new = rows(g)["new"]
    return named("xyz", shift + new + scale * new - np.cross(rotation, new))


ESTIMATE = {
    "bad-kept": bad_kept,
    "backwards": backwards,
    "mean": mean,
    "other-convention": other_convention,
}


# datums-grid-shift


def nodes(g, name):
    return np.array([[g[f"{name}_se"], g[f"{name}_sw"]], [g[f"{name}_ne"], g[f"{name}_nw"]]])


def in_cell(g, mirrored=False):
    """Return how far up and how far west, in cells of a quarter of a degree."""
    up, west = 4 * (g["lat"] - g["south"]), 4 * (g["west"] - g["east"])
    return up, 1 - west if mirrored else west


def between(table, up, west):
    south, north = table[:, 0] + west * (table[:, 1] - table[:, 0])
    return south + up * (north - south)


def shifted(g, north, west):
    """Return the new position from shifts in arcseconds; longitude counts west in the grid."""
    return {"lat": g["lat"] + north / 3600, "lon": -g["west"] - west / 3600}


def bilinear(g, mirrored=False):
    return [between(nodes(g, name), *in_cell(g, mirrored)) for name in ("lat", "lon")]


def nearest(g):
    up, west = (int(part > 0.5) for part in in_cell(g))
    return shifted(g, *(nodes(g, name)[up, west] for name in ("lat", "lon")))


GRID_SHIFT = {
    "east": lambda g: {"lon": -g["west"] + bilinear(g)[1] / 3600},
    "nearest": nearest,
    "mean": lambda g: shifted(g, *(nodes(g, name).mean() for name in ("lat", "lon"))),
    "mirrored": lambda g: shifted(g, *bilinear(g, mirrored=True)),
    "backwards": lambda g: shifted(g, *(-shift for shift in bilinear(g))),
}


# datums-null


def both(way):
    return lambda g: {name: way(g, name) for name in ("east", "north")}


def growth(g, name):
    return g[f"rate_{name}"] * (g["epoch"] - g["sheet_epoch"]) / 1000


NULL = {
    "null": both(lambda g, name: 0.0),
    "epoch-left-out": both(lambda g, name: g[f"sheet_{name}"]),
    "turned": both(lambda g, name: -g[f"sheet_{name}"] - growth(g, name)),
    "growth-only": both(growth),
    "years-turned": both(lambda g, name: g[f"sheet_{name}"] - growth(g, name)),
}

ROUTES = {
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
