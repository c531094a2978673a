"""Ways at motion. PROJ stands for the registry software aboard."""

import math

import numpy as np
import pyproj

from tests.test_solutions import R, axes, azimuth_of, ecef, named, point, wgs84
from tests.ways import Way

EAST_NORTH = ("east", "north")


# motion-velocity


def crossed(g, position):
    """ω × X at a position, along east and north there."""
    pole = axes(g["pole_lat"], g["pole_lon"])[2] * math.radians(g["rate"]) / 1e6
    return named(EAST_NORTH, (axes(g["lat"], g["lon"]) @ np.cross(pole, position))[:2] * 1000)


def formula(g, fastest):
    """The worked answer's two lines, from ωR in millimetres a year."""
    phi, pole = math.radians(g["lat"]), math.radians(g["pole_lat"])
    apart = math.radians(g["lon"] - g["pole_lon"])
    return {
        "east": fastest
        * (math.sin(pole) * math.cos(phi) - math.cos(pole) * math.sin(phi) * math.cos(apart)),
        "north": fastest * math.cos(pole) * math.sin(apart),
    }


def on_sphere(g):
    return crossed(g, axes(g["lat"], g["lon"])[2] * R)


def by_mas(each):
    """The lesson's rule: 3.6 mas a year for each degree in a million years, so many mm each."""
    return lambda g: formula(g, g["rate"] * 3.6 * each)


VELOCITY = [
    Way("ω × X on the sphere", on_sphere, "right"),
    Way("the lesson's 30.9 mm for each mas", by_mas(30.9), "right"),
    Way(
        "the lesson's 1.745 × 10⁻⁸ rad a year",
        lambda g: formula(g, g["rate"] * 1.745e-8 * R * 1000),
        "right",
    ),
    Way("a sphere of 6 378 km", lambda g: formula(g, math.radians(g["rate"]) * 6378), "right"),
    Way(
        "the worked answer's ωR, to 0.01 mm",
        lambda g: formula(g, round(math.radians(g["rate"]) * 6371, 2)),
        "right",
    ),
    Way("ω × X on WGS 84", lambda g: crossed(g, wgs84(g["lat"], g["lon"])), "right"),
    Way(
        "ω × X on GRS 80",
        lambda g: crossed(g, ecef(g["lat"], g["lon"], 0.0, 6_378_137.0, 1 / 298.257222101)),
        "right",
    ),
]


# motion-epoch


def years(g):
    return g["to_epoch"] - g["from_epoch"]


def along(g, decimals=15):
    """Metres north and east, so many decimals, then the printed lengths of a second."""
    north, east = (round(g[way] * years(g) / 1000, decimals) for way in ("north", "east"))
    return {
        "lat": g["lat"] + north / g["lat_metres"] / 3600,
        "lon": g["lon"] + east / g["lon_metres"] / 3600,
    }


def geodesic(g):
    """The way along the geodesic of WGS 84."""
    east, north = (g[way] * years(g) / 1000 for way in ("east", "north"))
    lon, lat, _ = pyproj.Geod(ellps="WGS84").fwd(
        g["lon"], g["lat"], azimuth_of(east, north), math.hypot(east, north)
    )
    return {"lat": lat, "lon": lon}


def through_xyz(g):
    """X, Y, Z on GRS 80, moved along east and north, and back."""
    cart = pyproj.Transformer.from_pipeline("+proj=cart +ellps=GRS80")
    start = np.array(cart.transform(g["lon"], g["lat"], 0.0))
    way = np.array([g["east"], g["north"], 0.0]) * years(g) / 1000
    lon, lat, _ = cart.transform(*(start + axes(g["lat"], g["lon"]).T @ way), direction="INVERSE")
    return {"lat": lat, "lon": lon}


def seconds_a_year(g):
    """The motion of a year in seconds of arc with five decimals, times the years."""
    return {
        name: g[name] + round(g[way] / 1000 / g[f"{name}_metres"], 6) * years(g) / 3600
        for name, way in (("lat", "north"), ("lon", "east"))
    }


EPOCH = [
    Way("metres, then seconds", along, "right"),
    Way("metres to the millimetre", lambda g: along(g, 3), "right"),
    Way("a year's seconds, times the years", seconds_a_year, "right"),
    Way("the geodesic", geodesic, "right"),
    Way("through X, Y, Z", through_xyz, "right"),
]


# motion-as-laid


def gone(g, decimals=15):
    east, north = (
        round(g[way] * (g["now"] - g["laid"]) / 1000, decimals) for way in ("east", "north")
    )
    return {"distance": math.hypot(east, north), "azimuth": azimuth_of(east, north)}


def speed_first(g):
    """The plate's speed to 0.1 mm a year, then the years."""
    speed = round(math.hypot(g["east"], g["north"]), 1)
    return {
        "distance": speed * (g["now"] - g["laid"]) / 1000,
        "azimuth": azimuth_of(g["east"], g["north"]),
    }


AS_LAID = [
    Way("east and north, then the distance", gone, "right"),
    Way("east and north to the millimetre", lambda g: gone(g, 3), "right"),
    Way("the speed to 0.1 mm, then the years", speed_first, "right"),
    Way("east and north to the centimetre", lambda g: gone(g, 2), "right or near"),
]


# motion-frame

CODES = {
    "ITRF2008 to GDA94": ("EPSG:5332", "EPSG:4938"),
    "ITRF2014 to ETRF2014": ("EPSG:7789", "EPSG:8401"),
    "ITRF2014 to GDA2020": ("EPSG:7789", "EPSG:7842"),
}
NAMES = ("tx", "ty", "tz", "rx", "ry", "rz", "scale")


def registry(g):
    """The operation of that name in the registry."""
    group = pyproj.transformer.TransformerGroup(*CODES[g["operation"]])
    operation = next(one for one in group.transformers if g["operation"] in one.description)
    return named("xyz", operation.transform(*point(g), g["epoch"])[:3])


def by_proj(g, exact=""):
    """PROJ with the sheet's fourteen and their epoch."""
    terms = {"tx": "x", "ty": "y", "tz": "z", "rx": "rx", "ry": "ry", "rz": "rz", "scale": "s"}
    words = " ".join(
        f"+{rate}{term}={g[long + name] / 1000!r}"
        for name, term in terms.items()
        for rate, long in (("", ""), ("d", "rate_"))
    )
    helmert = pyproj.Transformer.from_pipeline(
        f"+proj=helmert +convention=position_vector {words} +t_epoch={g['parameter_epoch']} {exact}"
    )
    return named("xyz", helmert.transform(*point(g), g["epoch"])[:3])


def printed_lines(g, millimetres=False):
    """The worked answer's parameters at the epoch, rounded as there, and the moves to the mm."""
    gone = g["epoch"] - g["parameter_epoch"]
    now = {name: g[name] + gone * g[f"rate_{name}"] for name in NAMES}
    shift = np.array([round(now[name], 2) for name in ("tx", "ty", "tz")]) / 1000
    turn = np.array([round(now[name], 3) for name in ("rx", "ry", "rz")]) / 206265 / 1000
    move = shift + np.cross(turn, point(g)) + round(now["scale"], 2) / 1e9 * point(g)
    return named("xyz", point(g) + (np.round(move, 3) if millimetres else move))


FRAME = [
    Way("the registry's operation of that name", registry, "right"),
    Way("PROJ with the sheet's fourteen", by_proj, "right"),
    Way("PROJ, whole rotation matrix", lambda g: by_proj(g, "+exact"), "right"),
    Way("the worked answer's rounded parameters", printed_lines, "right"),
    Way("moves to the millimetre", lambda g: printed_lines(g, True), "right"),
]


# motion-between


def seen(g, decimals=15):
    east, north = (round(g[f"{way}1"] - g[f"{way}2"], decimals) for way in ("east", "north"))
    return {"speed": math.hypot(east, north), "azimuth": azimuth_of(east, north)}


def by_cosines(g):
    """The speed from the two speeds and the angle between; the azimuth from the parts."""
    one, two = (math.hypot(g[f"east{n}"], g[f"north{n}"]) for n in (1, 2))
    first, second = (math.radians(azimuth_of(g[f"east{n}"], g[f"north{n}"])) for n in (1, 2))
    square = one**2 + two**2 - 2 * one * two * math.cos(first - second)
    return {**seen(g), "speed": math.sqrt(square)}


def four_figures(g):
    """Squares and root with four figures, the tangent with three decimals."""
    east, north = g["east1"] - g["east2"], g["north1"] - g["north2"]
    speed = float(f"{math.sqrt(float(f'{east**2 + north**2:.4g}')):.4g}")
    return {"speed": speed, "azimuth": azimuth_of(round(east, 1), round(north, 1))}


def relative_rotation(g):
    """The two plates' rotation vectors of the model, one less the other, on GRS 80 (PROJ)."""
    cart = pyproj.Transformer.from_pipeline("+proj=cart +ellps=GRS80")
    here = np.array(cart.transform(g["lon"], g["lat"], 0.0))
    after = [
        np.array(
            pyproj.Transformer.from_pipeline(
                f"+proj=pipeline +step +init=ITRF2020:{CODE[g[f'plate{n}']]}"
            ).transform(*here, 1.0)[:3]
        )
        for n in (1, 2)
    ]
    east, north, _ = axes(g["lat"], g["lon"]) @ (after[0] - after[1]) * 1000
    return {"speed": math.hypot(east, north), "azimuth": azimuth_of(east, north)}


CODE = {
    "Arabia": "ARAB",
    "Australia": "AUST",
    "Caribbean": "CARB",
    "Eurasia": "EURA",
    "India": "INDI",
    "Nazca": "NAZC",
    "North America": "NOAM",
    "Nubia (Africa)": "NUBI",
    "Pacific": "PCFC",
    "South America": "SOAM",
}
BETWEEN = [
    Way("east minus east, north minus north", seen, "right"),
    Way("the differences to 0.1 mm", lambda g: seen(g, 1), "right"),
    Way("the law of cosines", by_cosines, "right"),
    Way("four figures", four_figures, "right"),
    Way("the model's own rotations, one less the other", relative_rotation, "right or near"),
]

WAYS = {
    "motion-velocity": VELOCITY,
    "motion-epoch": EPOCH,
    "motion-as-laid": AS_LAID,
    "motion-frame": FRAME,
    "motion-between": BETWEEN,
}
