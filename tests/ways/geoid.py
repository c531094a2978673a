"""Ways at gravity and the geoid."""

from math import cos, radians, sin, sqrt

from tests.ways import Way

A, F, M = 6_378_137.0, 0.003352811, 0.003449786  # as the prompts print them


def sine2(lat):
    return sin(radians(lat)) ** 2


# geoid-normal


def somigliana(lat, equator=978_032.68, k=0.001931851, e2=0.006694380, places=15):
    """Somigliana's formula, each step rounded to so many places."""
    s = round(sine2(lat), places)
    above, below = round(1 + k * s, places), round(sqrt(1 - e2 * s), places)
    return {"gamma": equator * above / below}


def in_two_terms(equator, first, second):
    """An international gravity formula, with sin²φ and sin²2φ."""

    def way(g):
        double = sine2(2 * g["lat"])
        return {"gamma": equator * (1 + first * sine2(g["lat"]) - second * double)}

    return way


def of_1967(g):
    s = sine2(g["lat"])
    return {"gamma": 978_031.846 * (1 + 0.005278895 * s + 0.000023462 * s * s)}


NORMAL = [
    Way("the prompt's constants, all digits kept", lambda g: somigliana(g["lat"]), "right"),
    Way("the lesson's k, 0.001 931 85", lambda g: somigliana(g["lat"], k=0.00193185), "right"),
    Way("nine decimals, as the nudge says", lambda g: somigliana(g["lat"], places=9), "right"),
    Way("seven decimals", lambda g: somigliana(g["lat"], places=7), "right"),
    Way("φ to four decimals of a degree", lambda g: somigliana(round(g["lat"], 4)), "right"),
    Way("the abridged formula of 1980", in_two_terms(978_032.7, 0.0053024, 0.0000058), "right"),
    Way(
        "WGS 84's own constants",
        lambda g: somigliana(g["lat"], 978_032.53359, 0.00193185265241, 0.00669437999014),
        "right",
    ),
    Way("the formula of 1967", of_1967, "method:grs67"),
    Way(
        "the International formula of 1930",
        in_two_terms(978_049.0, 0.0052884, 0.0000059),
        "method:international-1930",
    ),
]


# geoid-height-term


def second_order(g, places=15):
    ratio = g["height"] / A
    bracket = 1 + F + M - 2 * F * sine2(g["lat"])
    first = round(g["gamma"] * 2 * ratio * bracket, places)
    return {"gamma": g["gamma"] - first + round(g["gamma"] * 3 * ratio**2, places)}


def closed(g):
    """Gravity of the field itself, from the potential of a point mass, J₂, J₄ and the spin."""
    gm, spin, j2, j4 = 3_986_005e8, 7.292115e-5, 1.08263e-3, -2.37091222e-6
    phi, e2 = radians(g["lat"]), F * (2 - F)
    nu = A / sqrt(1 - e2 * sin(phi) ** 2)
    p = (nu + g["height"]) * cos(phi)
    z = (nu * (1 - e2) + g["height"]) * sin(phi)
    r = sqrt(p * p + z * z)
    t = z / r

    def zonal(degree, j, legendre, slope):
        factor = gm * j * (A / r) ** degree / r**2
        return factor * (degree + 1) * legendre, -factor * slope

    two = zonal(2, j2, (3 * t * t - 1) / 2, 3 * t)
    four = zonal(4, j4, (35 * t**4 - 30 * t**2 + 3) / 8, (140 * t**3 - 60 * t) / 8)
    outward = -gm / r**2 + two[0] + four[0]
    by_sine = two[1] + four[1]  # of the slope along the sine of the geocentric latitude
    north = by_sine * p / r
    along_p = outward * p / r - north * t + spin**2 * p
    along_z = outward * t + north * p / r
    return {"gamma": sqrt(along_p**2 + along_z**2) * 1e5}


def by_published_rates(g):
    rate = 0.3087691 - 0.0004398 * sine2(g["lat"])
    return {"gamma": g["gamma"] - rate * g["height"] + 7.2125e-8 * g["height"] ** 2}


HEIGHT_TERM = [
    Way("the prompt's formula", second_order, "right"),
    Way("both terms to 0.1 mGal", lambda g: second_order(g, places=1), "right or near"),
    Way("both terms to 0.01 mGal", lambda g: second_order(g, places=2), "right"),
    Way("the field itself, in spherical harmonics", closed, "right"),
    Way("the published rates of GRS 80", by_published_rates, "right"),
    Way(
        "the lesson's 0.3086 mGal a metre",
        lambda g: {"gamma": g["gamma"] - 0.3086 * g["height"]},
        "method:by-the-metre",
    ),
    Way(
        "0.3086 a metre and 0.072 for the square of the kilometres",
        lambda g: {"gamma": g["gamma"] - 0.3086 * g["height"] + 7.2e-8 * g["height"] ** 2},
        "method:with-square",
    ),
    Way(
        "the inverse square, R = 6 371 km",
        lambda g: {"gamma": g["gamma"] * (6_371_000 / (6_371_000 + g["height"])) ** 2},
        "method:inverse-square",
    ),
]


# geoid-anomaly


def anomalies(g, sea=0.04194 * 1.640, land=0.04194 * 2.670, second=0.0):
    """Both anomalies with so many mGal a metre for the layer."""
    free = g["g"] - g["gamma"] + 0.3086 * g["height"] - second * g["height"] ** 2
    plate = sea * g["depth"] if "sea" in g["where"] else -land * g["height"]
    return {"free": free, "bouguer": free + plate}


ANOMALY = [
    Way("the prompt's constants", anomalies, "right"),
    Way(
        "the lesson's 0.0688 and 0.1120 mGal a metre",
        lambda g: anomalies(g, 0.0688, 0.1120),
        "right",
    ),
    Way(
        "the trade's 0.0687 and 0.1119 mGal a metre",
        lambda g: anomalies(g, 0.0687, 0.1119),
        "right or near",
    ),
    Way("free-air to the second order", lambda g: anomalies(g, second=7.2e-8), "right"),
    Way(
        "2πG of today",
        lambda g: anomalies(g, 0.0419358 * 1.640, 0.0419358 * 2.670),
        "right",
    ),
]


# geoid-eotvos


def eotvos(g, radius=6_371_000.0, places=15):
    v = round(g["speed"] * 1852 / 3600, places)
    eastward = round(cos(radians(g["lat"])) * sin(radians(g["course"])), places)
    correction = (2 * 7.292115e-5 * v * eastward + v * v / radius) * 1e5
    return {"correction": correction, "g": g["g"] + correction}


def in_knots(spin, square):
    """The correction in one line for knots: the rates of its two terms."""

    def way(g):
        eastward = cos(radians(g["lat"])) * sin(radians(g["course"]))
        correction = spin * g["speed"] * eastward + square * g["speed"] ** 2
        return {"correction": correction, "g": g["g"] + correction}

    return way


EOTVOS = [
    Way("the prompt's formula", eotvos, "right"),
    Way("R = 6 378 km", lambda g: eotvos(g, radius=6_378_137.0), "right"),
    Way("four decimals, as the worked answer prints", lambda g: eotvos(g, places=4), "right"),
    Way("three decimals", lambda g: eotvos(g, places=3), "right or near"),
    Way("7.503 v cosφ sinα + 0.004154 v²", in_knots(7.503, 0.004154), "right"),
    Way("the lesson's 75 mGal for 10 knots", in_knots(7.5, 0.0042), "right or near"),
]


# geoid-interpolate


def fractions(g):
    return (g["lon"] - g["west"]) / 0.25, (g["lat"] - g["south"]) / 0.25


def by_sides(g, places=15):
    """Along the two meridians of the cell first, then between them."""
    right, up = fractions(g)
    west = round(g["sw"] + up * (g["nw"] - g["sw"]), places)
    east = round(g["se"] + up * (g["ne"] - g["se"]), places)
    return {"N": west + right * (east - west)}


def by_rows(g):
    right, up = fractions(g)
    south = g["sw"] + right * (g["se"] - g["sw"])
    north = g["nw"] + right * (g["ne"] - g["nw"])
    return {"N": south + up * (north - south)}


def three_nodes(g):
    """From the nearest node along the two sides that meet in it."""
    right, up = fractions(g)
    row, side = ("n" if up > 0.5 else "s"), ("e" if right > 0.5 else "w")
    other_row, other_side = "sn"[row == "s"], "we"[side == "w"]
    corner = g[row + side]
    along = min(up, 1 - up) * (g[other_row + side] - corner)
    return {"N": corner + along + min(right, 1 - right) * (g[row + other_side] - corner)}


def fitted_plane(g):
    right, up = fractions(g)
    mean = (g["sw"] + g["se"] + g["nw"] + g["ne"]) / 4
    east = (g["se"] + g["ne"] - g["sw"] - g["nw"]) / 2
    north = (g["nw"] + g["ne"] - g["sw"] - g["se"]) / 2
    return {"N": mean + east * (right - 0.5) + north * (up - 0.5)}


INTERPOLATE = [
    Way("along the sides, then between", by_sides, "right"),
    Way("along the rows, then between", by_rows, "right"),
    Way("the sides to the millimetre, as printed", lambda g: by_sides(g, 3), "right"),
    Way("the sides to the centimetre", lambda g: by_sides(g, 2), "right or near"),
    Way("the plane through three nodes", three_nodes, "method:three-nodes or right"),
    Way(
        "the plane fitted to four nodes",  # at times within a tolerance of the other plane
        fitted_plane,
        "method:fitted-plane or method:three-nodes or right",
    ),
]


# geoid-model-change

MODEL_CHANGE = [
    Way(
        "through h",
        lambda g: {
            "change": (g["H"] + g["old"] - g["new"]) - g["H"],
            "H": (g["H"] + g["old"]) - g["new"],
        },
        "right",
    ),
    Way(
        "−ΔN",
        lambda g: {"change": g["old"] - g["new"], "H": g["H"] - (g["new"] - g["old"])},
        "right",
    ),
]


# geoid-systems


def systems(g, rounds=2, places=15):
    """As the nudge says: C/g or C/γ₀ first, then so many rounds, the mean rounded."""
    c = g["C"] * 1e5
    inside, outside = c / g["g"], c / g["gamma"]
    for _ in range(rounds):
        inside = c / round(g["g"] + 0.0424 * inside, places)
        outside = c / round(g["gamma"] - 0.1543 * outside, places)
    return {"dynamic": g["C"] / 9.8061992, "orthometric": inside, "normal": outside}


def normal_by_series(g):
    """The normal height by its closed series, with φ from the printed γ₀."""
    ratio = g["C"] * 1e5 / g["gamma"]
    s = (g["gamma"] / 978_032.68 - 1) / 0.0053024
    series = 1 + (1 + F + M - 2 * F * s) * ratio / A + (ratio / A) ** 2
    return {**systems(g), "normal": ratio * series}


SYSTEMS = [
    Way("two rounds", systems, "right"),
    Way("many rounds", lambda g: systems(g, 20), "right"),
    Way("one round", lambda g: systems(g, 1), "right"),
    Way("the means to 0.1 mGal", lambda g: systems(g, 2, 1), "right"),
    Way("the means to 1 mGal", lambda g: systems(g, 2, 0), "right"),
    Way("the normal height by its series", normal_by_series, "right"),
    Way("γ₄₅ as 9.8062 m/s²", lambda g: {**systems(g), "dynamic": g["C"] / 9.8062}, "right"),
]


# geoid-loop


def from_sum(g, metres):
    return {"fall": g["rise"] - metres, "misclosure": 1000 * metres}


def half_way_up(g, places=15):
    one, two = (
        round(somigliana(g[lat])["gamma"] - 0.3086 * g["rise"] / 2, places)
        for lat in ("lat1", "lat2")
    )
    return from_sum(g, g["rise"] * (1 - one / two))


def by_series(g):
    one, two = (
        second_order({"lat": g[lat], "gamma": somigliana(g[lat])["gamma"], "height": g["rise"] / 2})
        for lat in ("lat1", "lat2")
    )
    return from_sum(g, g["rise"] * (1 - one["gamma"] / two["gamma"]))


def orthometric_correction(g):
    """The closed formula of levelling: 0.0053 sin 2φ times height and change of latitude."""
    middle, change = (g["lat1"] + g["lat2"]) / 2, abs(g["lat2"]) - abs(g["lat1"])
    return from_sum(g, 0.0053024 * sin(radians(abs(2 * middle))) * g["rise"] * radians(change))


def by_the_table(g):
    """The lesson's 92 mm for one degree and 1 000 m at 45°, with sin 2φ."""
    middle, change = (g["lat1"] + g["lat2"]) / 2, abs(g["lat2"]) - abs(g["lat1"])
    return from_sum(g, 92e-6 * sin(radians(abs(2 * middle))) * g["rise"] * change)


LOOP = [
    Way("0.3086 mGal a metre, as the prompt says", half_way_up, "right"),
    Way("to 0.1 mGal, as the worked answer prints", lambda g: half_way_up(g, 1), "right"),
    Way("to the mGal", lambda g: half_way_up(g, 0), "right or near"),
    Way("to the second order", by_series, "right"),
    Way("0.0053024 sin 2φ · n · Δφ", orthometric_correction, "right or near"),
    Way("92 mm a degree and 1 000 m, times sin 2φ", by_the_table, "right or near"),
]

WAYS = {
    "geoid-normal": NORMAL,
    "geoid-height-term": HEIGHT_TERM,
    "geoid-anomaly": ANOMALY,
    "geoid-eotvos": EOTVOS,
    "geoid-interpolate": INTERPOLATE,
    "geoid-model-change": MODEL_CHANGE,
    "geoid-systems": SYSTEMS,
    "geoid-loop": LOOP,
}
