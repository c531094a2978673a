"""Ways at attraction."""

from math import atan, cos, log, pi, radians, sin, sqrt

from tests.ways import Way

MM = 4.85e-6  # radians in a second, as many keep it
RHO, G = 206_265.0, 6.67e-11


def plate(gravitation=6.674e-11, strip=False, ones=True):
    def walk(g):
        once = gravitation * (g["rho"] - 1030) * g["h"] * 1e5
        edge = 2 * once * atan(g["width"] / g["d"]) if strip else pi * once
        square = (g["width"] / g["d"]) ** 2
        return {
            "middle": 2 * pi * once,
            "edge": edge,
            "sideways": once * log(square + 1 if ones else square),
        }

    return walk


def by_rule(g):
    """0.0419 mGal a metre for each g/cm³, halves, and the logarithm by π."""
    middle = 0.0419 * (g["rho"] - 1030) / 1000 * g["h"]
    sideways = middle / (2 * pi) * 2 * log(g["width"] / g["d"])
    return {"middle": middle, "edge": middle / 2, "sideways": sideways}


def mountain(gravitation=6.674e-11, second=1 / RHO):
    def walk(g):
        mass = 4 / 3 * pi * (500 * g["diameter"]) ** 3 * (g["rho"] - 1030)
        square = g["away"] ** 2 + g["down"] ** 2
        level = gravitation * mass * g["away"] / square**1.5 / 1e6
        lean, alpha = level / 9.81 / second, radians(g["azimuth"])
        return {"xi": -lean * cos(alpha), "eta": -lean * sin(alpha)}

    return walk


def in_milligals(g):
    """The level pull to 0.1 mGal, and 0.21″ for each."""
    right = mountain()(g)
    size = sqrt(right["xi"] ** 2 + right["eta"] ** 2)
    rounded = round(size / 0.21026, 1) * 0.2103
    return {name: value * rounded / size for name, value in right.items()}


def root(digits):
    def walk(g):
        near, far = (
            round(sqrt(g["away"] ** 2 + g[name] ** 2), digits) for name in ("down", "root")
        )
        return {"left": g["lean"] * (1 - (near / far) ** 3)}

    return walk


def wire(second=1 / RHO, rule=0.17):
    def walk(g):
        mean = (g["top"] + g["bottom"]) / 2
        fall = rule * sin(radians(2 * g["lat"])) * g["depth"] / 1000 * second
        return {
            "foot": -mean * second * g["depth"],
            "normal": fall / 2 * g["depth"] * 1000,
        }

    return walk


def in_slices(g):
    """Ten lengths of wire, each with the lean at its middle."""
    length = g["depth"] / 10
    middles = [(n + 0.5) / 10 for n in range(10)]
    lean = [g["top"] + (g["bottom"] - g["top"]) * m for m in middles]
    fall = [0.17 * sin(radians(2 * g["lat"])) * g["depth"] / 1000 * m for m in middles]
    return {
        "foot": -sum(lean) * length / RHO,
        "normal": sum(fall) * length / RHO * 1000,
    }


def pressure(second=1 / RHO, water=1030 * 9.81, digits=9):
    def walk(g):
        alpha = radians(g["azimuth"])
        ends = [round(g[f"xi{n}"] * cos(alpha) + g[f"eta{n}"] * sin(alpha), digits) for n in (1, 2)]
        return {"rise": -1000 * g["change"] / water - sum(ends) / 2 * second * g["distance"]}

    return walk


def feels(second):
    def walk(g):
        deep = g["lean"] * second * g["depth"]
        return {
            "weight": deep,
            "usbl": deep,
            "gnss": 0.0,
            "ranges": 0.0,
            "pressure": g["lean"] * second * g["apart"],
            "frame": 1000 * g["lean"] * second * g["height"],
            "stars": g["lean"] * (30.9 if second == MM else 6_371_000 * second),
        }

    return walk


def wall(second):
    def walk(g):
        east, north = (-g[name] * second * g["depth"] for name in ("eta", "xi"))
        alpha = radians(g["azimuth"])
        lean = g["xi"] * cos(alpha) + g["eta"] * sin(alpha)
        return {
            "foot_east": east,
            "foot_north": north,
            "beacon_east": g["usbl_east"] + round(east, 2),
            "beacon_north": g["usbl_north"] + round(north, 2),
            "top_east": 1000 * g["eta"] * second * g["height"],
            "top_north": 1000 * g["xi"] * second * g["height"],
            "rise": -g["deeper"] - lean * second * g["distance"],
            "wrong": g["wrong"],
        }

    return walk


WAYS = {
    "attraction-plate": [
        Way("G = 6.67", plate(G), "right"),
        Way("G = 6.6743", plate(6.6743e-11), "right"),
        Way("the strip that ends", plate(strip=True), "right or method:strip"),
        Way("ln(L²/d²)", plate(ones=False), "right"),
        Way("0.0419 mGal a metre", by_rule, "right"),
    ],
    "attraction-mountain": [
        Way("G = 6.67", mountain(G), "right"),
        Way("4.85 × 10⁻⁶ radians in a second", mountain(second=MM), "right"),
        Way("level pull to 0.1 mGal", in_milligals, "right"),
    ],
    "attraction-root": [
        Way("ways to 10 m", root(2), "right"),
        Way("ways to 100 m", root(1), "right or near"),
    ],
    "attraction-curved-wire": [
        Way("4.85 × 10⁻⁶ radians in a second", wire(MM), "right"),
        Way("ten slices", in_slices, "right"),
        Way("0.171″ sin 2φ", wire(rule=0.171), "right"),
    ],
    "attraction-pressure": [
        Way("4.85 × 10⁻⁶ radians in a second", pressure(MM), "right"),
        Way("ε to 0.1″", pressure(digits=1), "right"),
        Way("10.104 kPa a metre", pressure(water=10_104.0), "right"),
        Way("10.1 kPa a metre", pressure(water=10_100.0), "right or near"),
    ],
    "attraction-feels": [
        Way("ρ″ = 206 265", feels(1 / RHO), "right"),
        Way("4.85 mm in a kilometre, 30.9 m", feels(MM), "right"),
    ],
    "attraction-wall": [
        Way("ρ″ = 206 265", wall(1 / RHO), "right"),
        Way("4.85 mm in a kilometre", wall(MM), "right"),
    ],
}
