"""Wrong routes of motion, each walked as its reply describes it."""

import math

import numpy as np

from tests.test_solutions import R, azimuth_of, named

# motion-velocity, by the angle at the Earth's centre and the azimuth to the pole


def to_pole(g, which=""):
    """Return the angle to the plate's pole and the azimuth there, in radians."""
    phi, pole = math.radians(g["lat"]), math.radians(g[f"pole_lat{which}"])
    apart = math.radians(g[f"pole_lon{which}"] - g["lon"])
    east = math.cos(pole) * math.sin(apart)
    north = math.cos(phi) * math.sin(pole) - math.sin(phi) * math.cos(pole) * math.cos(apart)
    up = math.sin(phi) * math.sin(pole) + math.cos(phi) * math.cos(pole) * math.cos(apart)
    return math.atan2(math.hypot(east, north), up), math.atan2(east, north)


def goes(g, which="", sine=True, milliarcseconds=False, towards=False):
    """Return east and north in mm a year: ωR sin Δ, to the right of the way to the pole."""
    apart, azimuth = to_pole(g, which)
    radians = g[f"rate{which}"] * (
        math.pi / 648_000 / 1000 if milliarcseconds else math.pi / 180 / 1e6
    )
    speed = radians * R * 1000 * (math.sin(apart) if sine else 1.0)
    azimuth += 0.0 if towards else math.pi / 2
    return {"east": speed * math.sin(azimuth), "north": speed * math.cos(azimuth)}


VELOCITY = {
    "no-sine": lambda g: goes(g, sine=False),
    "as-mas": lambda g: goes(g, milliarcseconds=True),
    "other-plate": lambda g: goes(g, which="2"),
    "towards-pole": lambda g: goes(g, towards=True),
}


# motion-epoch


def after(g, years):
    return {
        name: g[name] + years * g[way] / 1000 / g[f"{name}_metres"] / 3600
        for name, way in (("lat", "north"), ("lon", "east"))
    }


def month(g):
    """Return the second epoch with its two decimals taken for a month, at that month's middle."""
    year, decimals = f"{g['to_epoch']:.2f}".split(".")
    return int(year) + (int(decimals) - 0.5) / 12


EPOCH = {
    "backwards": lambda g: after(g, g["from_epoch"] - g["to_epoch"]),
    "reference": lambda g: after(g, g["to_epoch"] - g["reference"]),
    "one-year": lambda g: after(g, 1),
    "month": lambda g: after(g, month(g) - g["from_epoch"]),
}


# motion-as-laid


def part(g, way):
    return g[way] * (g["now"] - g["laid"]) / 1000


AS_LAID = {
    "east-only": lambda g: {"distance": abs(part(g, "east"))},
    "north-only": lambda g: {"distance": abs(part(g, "north"))},
    "turned": lambda g: {"azimuth": azimuth_of(-g["east"], -g["north"])},
    "one-year": lambda g: {"distance": math.hypot(g["east"], g["north"]) / 1000},
    "sum": lambda g: {"distance": abs(part(g, "east")) + abs(part(g, "north"))},
    "from-east": lambda g: {"azimuth": math.degrees(math.atan2(g["north"], g["east"])) % 360},
}


# motion-frame


def into_frame(g, years, turn=1):
    """Return X, Y, Z by the sheet's own units: millimetres, mas and parts in a thousand million."""
    now = {
        name: g[name] + years * g[f"rate_{name}"]
        for name in ("tx", "ty", "tz", "rx", "ry", "rz", "scale")
    }
    rx, ry, rz = (turn * now[name] / 1000 / 3600 * math.pi / 180 for name in ("rx", "ry", "rz"))
    matrix = np.array([[1, -rz, ry], [rz, 1, -rx], [-ry, rx, 1]]) * (1 + now["scale"] / 1e9)
    moved = matrix @ [g["x"], g["y"], g["z"]]
    return named("xyz", moved + np.array([now["tx"], now["ty"], now["tz"]]) / 1000)


FRAME = {
    "no-rates": lambda g: into_frame(g, 0.0),
    "year-zero": lambda g: into_frame(g, g["epoch"]),
    "frame-reference": lambda g: into_frame(g, g["epoch"] - g["reference"]),
    "coordinate-frame": lambda g: into_frame(g, g["epoch"] - g["parameter_epoch"], turn=-1),
}


# motion-between


def polar(east, north):
    return {"speed": math.hypot(east, north), "azimuth": azimuth_of(east, north)}


def speeds(g):
    one, two = (math.hypot(g[f"east{n}"], g[f"north{n}"]) for n in (1, 2))
    return {"speed": max(one, two) - min(one, two)}


BETWEEN = {
    "sum": lambda g: polar(g["east1"] + g["east2"], g["north1"] + g["north2"]),
    "wrong-minus": lambda g: {
        "azimuth": azimuth_of(g["east2"] - g["east1"], g["north2"] - g["north1"])
    },
    "absolute": lambda g: polar(g["east1"], g["north1"]),
    "speeds": speeds,
}

ROUTES = {
    "motion-velocity": VELOCITY,
    "motion-epoch": EPOCH,
    "motion-as-laid": AS_LAID,
    "motion-frame": FRAME,
    "motion-between": BETWEEN,
}
