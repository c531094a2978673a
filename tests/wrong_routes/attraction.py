"""Wrong routes of attraction, each walked as its reply describes it."""

from math import atan2, cos, degrees, hypot, log, log1p, pi, radians, sin

R = 6_371_000.0
G, WATER, PULL = 6.674e-11, 1030.0, 9.81


def seconds(angle):
    return degrees(angle) * 3600


# attraction-plate


def grho(g, density=None):
    """Return Gρh in mGal, of the contrast or of another density."""
    return G * (g["rho"] - WATER if density is None else density) * g["h"] * 1e5


def parts(once, logarithm):
    return {"middle": 2 * pi * once, "edge": pi * once, "sideways": once * logarithm}


def ratio(g):
    return log1p(g["width"] * g["width"] / g["d"] / g["d"])


PLATE = {
    "rock": lambda g: parts(grho(g, g["rho"]), ratio(g)),
    "slab-sideways": lambda g: {"sideways": 2 * pi * grho(g)},
    "full-edge": lambda g: {"edge": 2 * pi * grho(g)},
    "common-log": lambda g: {"sideways": grho(g) * ratio(g) / log(10)},
    "square-out": lambda g: {"sideways": grho(g) * log((g["d"] + g["width"]) / g["d"])},
}


# attraction-mountain


def leans(g, density=None, radius=None, resolved=True):
    """Return ξ and η of the zenith, from the slope of the way to the centre."""
    radius = radius or 500 * g["diameter"]
    mass = 4 / 3 * pi * radius**3 * (g["rho"] - WATER if density is None else density)
    slope = atan2(g["down"], g["away"])
    way = 1000 * g["away"] / cos(slope)
    pull = G * mass / way**2 * (cos(slope) if resolved else 1)
    angle, to = seconds(pull / PULL), radians(g["azimuth"] + 180)
    return {"xi": angle * cos(to), "eta": angle * sin(to)}


def towards(g):
    return {name: -value for name, value in leans(g).items()}


def other_way_round(g):
    right = leans(g)
    return {"xi": right["eta"], "eta": right["xi"]}


MOUNTAIN = {
    "slant": lambda g: leans(g, resolved=False),
    "rock": lambda g: leans(g, density=g["rho"]),
    "radius": lambda g: leans(g, radius=1000 * g["diameter"]),
    "weight": towards,
    "swapped": other_way_round,
}


# attraction-root


def root_share(g, power):
    """Return the root's pull as a share of the mountain's."""
    near, far = hypot(g["away"], g["down"]), hypot(g["away"], g["root"])
    return (near / far) ** power


ROOT = {
    "none": lambda g: {"left": g["lean"]},
    "added": lambda g: {"left": g["lean"] + g["lean"] * root_share(g, 3)},
    "cancelled": lambda g: {"left": 0.0},
    "square": lambda g: {"left": g["lean"] - g["lean"] * root_share(g, 2)},
}


# attraction-curved-wire


def foot(g, lean):
    return {"foot": -radians(lean / 3600) * g["depth"]}


def normal(g, share):
    """Return the normal field's part in mm: so much of the whole change, times the wire."""
    change = radians(0.17 * sin(radians(2 * g["lat"])) * g["depth"] / 1000 / 3600)
    return {"normal": share * change * g["depth"] * 1000}


WIRE = {
    "only-top": lambda g: foot(g, g["top"]),
    "only-bottom": lambda g: foot(g, g["bottom"]),
    "zenith": lambda g: foot(g, -(g["top"] + g["bottom"]) / 2),
    "not-averaged": lambda g: normal(g, 1),
    "normal-sign": lambda g: normal(g, -1 / 2),
}


# attraction-pressure


def along(g, end, turn=0.0):
    """Return ε at an end, towards the azimuth, by size and direction."""
    size, way = hypot(g[f"xi{end}"], g[f"eta{end}"]), atan2(g[f"eta{end}"], g[f"xi{end}"])
    return size * cos(way - radians(g["azimuth"]) + turn)


def rise(g, lean, density=WATER):
    depth = g["change"] * 1000 / density / PULL
    return {"rise": -depth - radians(lean / 3600) * g["distance"]}


def mean(g):
    return (along(g, 1) + along(g, 2)) / 2


def swapped(g):
    """ξ sin α + η cos α: the part along the azimuth mirrored in the line to the north-east."""
    mirrored = {**g, "azimuth": 90 - g["azimuth"]}
    return mean(mirrored)


PRESSURE = {
    "level": lambda g: rise(g, 0.0),
    "level-sign": lambda g: rise(g, -mean(g)),
    "across": lambda g: rise(g, swapped(g)),
    "one-end": lambda g: rise(g, along(g, 1)),
    "fresh": lambda g: rise(g, mean(g), density=1000.0),
    "turned": lambda g: {"rise": -rise(g, mean(g))["rise"]},
}


# attraction-feels


def deep(g):
    return radians(g["lean"] / 3600) * g["depth"]


FEELS = {
    "usbl-exempt": lambda g: {"usbl": 0.0},
    "gnss-leans": lambda g: {"gnss": deep(g)},
    "ranges-lean": lambda g: {"ranges": deep(g)},
    "pressure-exempt": lambda g: {"pressure": 0.0},
    "frame-by-depth": lambda g: {"frame": 1000 * deep(g)},
    "frame-exempt": lambda g: {"frame": 0.0},
    "stars-exempt": lambda g: {"stars": 0.0},
}


# attraction-wall


def offset(g, length):
    """Return east and north of the plumb line's upper end, so far up."""
    return radians(g["eta"] / 3600) * length, radians(g["xi"] / 3600) * length


def pair(name, east, north):
    return {f"{name}_east": east, f"{name}_north": north}


def beacon(g, share):
    east, north = offset(g, g["depth"])
    return pair("beacon", g["usbl_east"] - share * east, g["usbl_north"] - share * north)


def step(g):
    """Return how far the level surface falls from A to B."""
    size, way = hypot(g["xi"], g["eta"]), atan2(g["eta"], g["xi"])
    return radians(size * cos(way - radians(g["azimuth"])) / 3600) * g["distance"]


WALL = {
    "foot-to-zenith": lambda g: pair("foot", *offset(g, g["depth"])),
    "beacon-left": lambda g: beacon(g, 0),
    "beacon-away": lambda g: beacon(g, -1),
    "top-like-foot": lambda g: pair("top", *offset(g, -1000 * g["height"])),
    "level": lambda g: {"rise": -g["deeper"]},
    "level-sign": lambda g: {"rise": -g["deeper"] + step(g)},
}

ROUTES = {
    "attraction-plate": PLATE,
    "attraction-mountain": MOUNTAIN,
    "attraction-root": ROOT,
    "attraction-curved-wire": WIRE,
    "attraction-pressure": PRESSURE,
    "attraction-feels": FEELS,
    "attraction-wall": WALL,
}
