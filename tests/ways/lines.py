"""Ways at lines. PROJ and Vincenty's formulas stand for the programs aboard."""

from math import acos, asin, atan, atan2, cos, degrees, hypot, radians, remainder, sin, sqrt, tan

import numpy as np
import pyproj

from tests.test_solutions import RHO, WGS84, R, axes, azimuth_of, ecef
from tests.ways import Way

GEOD = pyproj.Geod(ellps="WGS84")
F, A = WGS84.f, WGS84.a
E2 = F * (2 - F)


def ends(g):
    return radians(g["lat1"]), radians(g["lat2"]), turn(g)


def turn(g):
    return radians(remainder(g["lon2"] - g["lon1"], 360))


def reduced(phi):
    """Return the parametric latitude."""
    return atan((1 - F) * tan(phi))


def radii(phi):
    w = 1 - E2 * sin(phi) ** 2
    return A * (1 - E2) / w**1.5, A / sqrt(w)


def haversine(one, two, dlon):
    half = sin((two - one) / 2) ** 2 + cos(one) * cos(two) * sin(dlon / 2) ** 2
    return 2 * asin(sqrt(half))


# lines-inverse


def proj_inverse(g, geod=GEOD):
    azimuth, _, length = geod.inv(g["lon1"], g["lat1"], g["lon2"], g["lat2"])
    return {"distance": length, "azimuth": azimuth % 360}


def vincenty_terms(square):
    u2 = square * E2 / (1 - E2)
    big = 1 + u2 / 16384 * (4096 + u2 * (-768 + u2 * (320 - 175 * u2)))
    return big, u2 / 1024 * (256 + u2 * (-128 + u2 * (74 - 47 * u2)))


def vincenty_shift(small, arc, middle):
    inner = cos(arc) * (2 * middle**2 - 1)
    inner -= small / 6 * middle * (4 * sin(arc) ** 2 - 3) * (4 * middle**2 - 3)
    return small * sin(arc) * (middle + small / 4 * inner)


def vincenty_longitude(arc, sine, middle):
    """Return by how much λ on the auxiliary sphere exceeds the difference of longitude."""
    square = 1 - sine**2
    c = F / 16 * square * (4 + F * (4 - 3 * square))
    inner = middle + c * cos(arc) * (2 * middle**2 - 1)
    return (1 - c) * F * sine * (arc + c * sin(arc) * inner)


def vincenty_inverse(g):
    one, two, dlon = ends(g)
    one, two, lam = reduced(one), reduced(two), dlon
    for _ in range(20):
        east = cos(two) * sin(lam)
        north = cos(one) * sin(two) - sin(one) * cos(two) * cos(lam)
        arc = atan2(hypot(east, north), sin(one) * sin(two) + cos(one) * cos(two) * cos(lam))
        sine = cos(one) * cos(two) * sin(lam) / sin(arc)
        middle = cos(arc) - 2 * sin(one) * sin(two) / (1 - sine**2)
        lam = dlon + vincenty_longitude(arc, sine, middle)
    big, small = vincenty_terms(1 - sine**2)
    length = A * (1 - F) * big * (arc - vincenty_shift(small, arc, middle))
    return {"distance": length, "azimuth": azimuth_of(east, north)}


def two_term(g):
    """Andoyer and Lambert's formula of the first order in f."""
    one, two, dlon = ends(g)
    one, two = reduced(one), reduced(two)
    arc = haversine(one, two, dlon)
    plus, minus = (one + two) / 2, (two - one) / 2
    x = (arc - sin(arc)) * (sin(plus) * cos(minus)) ** 2 / cos(arc / 2) ** 2
    y = (arc + sin(arc)) * (cos(plus) * sin(minus)) ** 2 / sin(arc / 2) ** 2
    return {"distance": A * (arc - F / 2 * (x + y)), "azimuth": first_order_azimuth(g)}


def first_order_azimuth(g):
    """On the sphere of the parametric latitudes, Δλ widened by f σ sin α₀."""
    one, two, dlon = ends(g)
    one, two, lam = reduced(one), reduced(two), dlon
    for _ in range(2):
        arc = haversine(one, two, lam)
        lam = dlon + F * arc * cos(one) * cos(two) * sin(lam) / sin(arc)
    north = cos(one) * sin(two) - sin(one) * cos(two) * cos(lam)
    return azimuth_of(cos(two) * sin(lam), north)


def geodetic_two_term(g):
    """The same with geodetic latitudes: Andoyer's formula."""
    one, two, dlon = ends(g)
    plus, minus, half = (one + two) / 2, (one - two) / 2, dlon / 2
    s = (sin(minus) * cos(half)) ** 2 + (cos(plus) * sin(half)) ** 2
    c = (cos(minus) * cos(half)) ** 2 + (sin(plus) * sin(half)) ** 2
    w = atan(sqrt(s / c))
    ratio = sqrt(s * c) / w
    h1, h2 = (3 * ratio - 1) / (2 * c), (3 * ratio + 1) / (2 * s)
    first = F * h1 * (sin(plus) * cos(minus)) ** 2 - F * h2 * (cos(plus) * sin(minus)) ** 2
    return {"distance": 2 * w * A * (1 + first), "azimuth": first_order_azimuth(g)}


def section(g):
    """The chord and Euler's radius half way for the length, the normal section for the azimuth."""
    one, two = (ecef(g[f"lat{n}"], g[f"lon{n}"], 0.0, A, F) for n in (1, 2))
    east, north, _ = axes(g["lat1"], g["lon1"]) @ (two - one)
    azimuth = azimuth_of(east, north)
    meridian, nu = radii(radians(g["lat1"] + g["lat2"]) / 2)
    alpha = radians(middle_azimuth(g))
    radius = 1 / (cos(alpha) ** 2 / meridian + sin(alpha) ** 2 / nu)
    chord = float(np.linalg.norm(two - one))
    return {"distance": 2 * radius * asin(chord / 2 / radius), "azimuth": azimuth}


def middle_azimuth(g):
    line = WGS84.InverseLine(g["lat1"], g["lon1"], g["lat2"], g["lon2"])
    return line.Position(line.s13 / 2)["azi2"]


INVERSE = [
    Way("PROJ", proj_inverse, "right"),
    Way("Vincenty's formulas", vincenty_inverse, "right"),
    Way("GRS 80", lambda g: proj_inverse(g, pyproj.Geod(ellps="GRS80")), "right"),
    Way("chord and normal section", section, "right"),
    Way("Andoyer and Lambert, two terms", two_term, "right or method:lambert"),
    Way("Andoyer, geodetic latitudes", geodetic_two_term, "right or method:lambert"),
]


# lines-direct


def proj_direct(g):
    lon, lat, _ = GEOD.fwd(g["lon"], g["lat"], g["azimuth"], g["distance"])
    return {"lat": lat, "lon": lon}


def vincenty_direct(g):
    alpha, one = radians(g["azimuth"]), reduced(radians(g["lat"]))
    start = atan2(tan(one), cos(alpha))
    sine = cos(one) * sin(alpha)
    big, small = vincenty_terms(1 - sine**2)
    arc = first = g["distance"] / (A * (1 - F)) / big
    for _ in range(20):
        arc = first + vincenty_shift(small, arc, cos(2 * start + arc))
    north = cos(one) * cos(arc) * cos(alpha) - sin(one) * sin(arc)
    up = sin(one) * cos(arc) + cos(one) * sin(arc) * cos(alpha)
    lat = atan2(up, (1 - F) * hypot(sine, north))
    lam = atan2(sin(arc) * sin(alpha), cos(one) * cos(arc) - sin(one) * sin(arc) * cos(alpha))
    dlon = lam - vincenty_longitude(arc, sine, cos(2 * start + arc))
    return {"lat": degrees(lat), "lon": remainder(g["lon"] + degrees(dlon), 360)}


def step_by_step(g, steps=40):
    """Runge and Kutta's steps along dφ = cos α ds/M, dλ = sin α ds/(ν cos φ), dα = sin φ dλ."""

    def slope(state):
        phi, _, alpha = state
        meridian, nu = radii(phi)
        around = sin(alpha) / (nu * cos(phi))
        return np.array([cos(alpha) / meridian, around, around * sin(phi)])

    state = np.radians([g["lat"], g["lon"], g["azimuth"]])
    h = g["distance"] / steps
    for _ in range(steps):
        k1 = slope(state)
        k2 = slope(state + h / 2 * k1)
        k3 = slope(state + h / 2 * k2)
        k4 = slope(state + h * k3)
        state = state + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
    return {"lat": degrees(state[0]), "lon": remainder(degrees(state[1]), 360)}


DIRECT = [
    Way("PROJ", proj_direct, "right"),
    Way("Vincenty's formulas", vincenty_direct, "right"),
    Way("forty steps along the line", step_by_step, "right"),
]


# lines-back-azimuth


def with_rule(g, decimals=15):
    """Δλ sin φ at the mean latitude, the sine with so many decimals."""
    dlon = remainder(g["lon2"] - g["lon1"], 360)
    sine = sin(radians(g["lat1"] + g["lat2"]) / 2)
    return {"back": (g["azimuth"] + round(dlon * round(sine, decimals), decimals) + 180) % 360}


def with_tangents(g):
    """The sphere's own: tan γ/2 = tan Δλ/2 · sin of the mean / cos of half the difference."""
    one, two, dlon = ends(g)
    half = tan(dlon / 2) * sin((one + two) / 2) / cos((two - one) / 2)
    return {"back": (g["azimuth"] + 2 * degrees(atan(half)) + 180) % 360}


def with_program(g):
    _, back, _ = GEOD.inv(g["lon1"], g["lat1"], g["lon2"], g["lat2"])
    return {"back": back % 360}


def in_minutes(g):
    """Δλ in minutes with two decimals, the mean latitude to the minute."""
    minutes = round(remainder(g["lon2"] - g["lon1"], 360) * 60, 2)
    middle = round((g["lat1"] + g["lat2"]) * 30) / 60
    return {"back": (g["azimuth"] + minutes * sin(radians(middle)) / 60 + 180) % 360}


BACK = [
    Way("Δλ sin φ, as in the worked answer", lambda g: with_rule(g, 5), "right"),
    Way("sin φ with four decimals", lambda g: with_rule(g, 4), "right"),
    Way("minutes of arc and a round latitude", in_minutes, "right"),
    Way("the sphere's tangents", with_tangents, "right"),
    Way("PROJ's own back azimuth", with_program, "right"),
]


# lines-sphere-cost


def cost(arc):
    return lambda g: {"cost": g["geodesic"] - arc(g)}


def by_cosines(g):
    one, two, dlon = ends(g)
    return R * acos(sin(one) * sin(two) + cos(one) * cos(two) * cos(dlon))


def by_vectors(g):
    one, two = (axes(g[f"lat{n}"], g[f"lon{n}"])[2] for n in (1, 2))
    return R * 2 * asin(float(np.linalg.norm(two - one)) / 2)


def by_minutes(g):
    """Minutes of arc to 0.0001′, times the reply's 1 853.25 m."""
    return round(degrees(haversine(*ends(g))) * 60, 4) * 1853.25


def by_degrees(g, pi=3.14159265, decimals=6):
    return R * round(degrees(haversine(*ends(g))), decimals) * pi / 180


def proj_sphere(g):
    return proj_inverse(g, pyproj.Geod(a=R, b=R))["distance"]


COST = [
    Way("PROJ on a sphere", cost(proj_sphere), "right"),
    Way("the law of cosines", cost(by_cosines), "right"),
    Way("the chord between two vectors", cost(by_vectors), "right"),
    Way("σ to six decimals, as in the worked answer", cost(by_degrees), "right"),
    Way("σ in minutes, 1 853.25 m each", cost(by_minutes), "right"),
    Way("π = 3.1416", cost(lambda g: by_degrees(g, 3.1416)), "right"),
    Way("σ to five decimals", cost(lambda g: by_degrees(g, decimals=5)), "right"),
    Way("eight figures of the arc", cost(lambda g: float(f"{by_cosines(g):.7e}")), "right"),
]


# lines-rhumb


def across(g):
    return abs(remainder(g["lon2"] - g["lon1"], 360)) * 60


def by_cosine(g, cosine=8, course=15):
    off = radians(round(degrees(atan(across(g) / g["isometric"])), course))
    return {"difference": g["meridian"] / round(cos(off), cosine) - g["geodesic"]}


def by_root(g):
    length = g["meridian"] * sqrt(1 + (across(g) / g["isometric"]) ** 2)
    return {"difference": length - g["geodesic"]}


def integrated(g):
    """From the positions alone: M and M/(ν cos φ) summed along the meridian."""
    one, two, dlon = ends(g)
    edges = np.linspace(one, two, 401)
    phi, step = (edges[1:] + edges[:-1]) / 2, (two - one) / 400
    w = 1 - E2 * np.sin(phi) ** 2
    north = float((A * (1 - E2) / w**1.5).sum()) * step
    climb = float(((1 - E2) / w / np.cos(phi)).sum()) * step
    return {"difference": abs(north) * hypot(1, dlon / climb) - g["geodesic"]}


def rule(g):
    """The lesson's rule, on the course and at the mean latitude."""
    middle = radians(g["lat1"] + g["lat2"]) / 2
    off = atan(across(g) / g["isometric"])
    size = g["geodesic"] ** 3 * (sin(off) * tan(middle)) ** 2
    return {"difference": size / 24 / R**2}


def both_on_sphere(g):
    one, two, dlon = ends(g)
    climb = np.arctanh(np.sin(two)) - np.arctanh(np.sin(one))
    length = R * abs(two - one) * hypot(1, dlon / climb)
    return {"difference": length - R * haversine(one, two, dlon)}


RHUMB = [
    Way("cos C with eight decimals", by_cosine, "right"),
    Way("C as in the worked answer", lambda g: by_cosine(g, course=7), "right"),
    Way("the root of 1 + tan²C", by_root, "right"),
    Way("integrated from the positions", integrated, "right"),
    Way("cos C with six decimals", lambda g: by_cosine(g, cosine=6), "right"),
    Way("C to 0.0001°", lambda g: by_cosine(g, course=4), "right or near"),
    Way("the lesson's rule, s³ sin²α tan²φ / 24R²", rule, "right"),
    Way("both lines on a sphere", both_on_sphere, "right or near"),
]


# lines-normal-section


def first_term(g, square=E2, radius=None):
    nu = radius or radii(radians(g["lat"]))[1]
    flat = g["distance"] / nu * cos(radians(g["lat"]))
    return {"difference": RHO * square / 12 * flat**2 * sin(2 * radians(g["azimuth"]))}


def two_terms(g):
    """Clarke's: the first term with e′², and the next one, with the cube of s/ν."""
    phi, alpha = radians(g["lat"]), radians(g["azimuth"])
    ratio, square = g["distance"] / radii(phi)[1], E2 / (1 - E2)
    first = square / 12 * ratio**2 * cos(phi) ** 2 * sin(2 * alpha)
    second = -square / 24 * ratio**3 * sin(phi) * cos(phi) * sin(alpha)
    return {"difference": RHO * (first + second)}


def from_positions(g):
    """The geodesic's end by PROJ, the section by the direction of the chord."""
    lon, lat, _ = GEOD.fwd(0.0, g["lat"], g["azimuth"], g["distance"])
    away = ecef(lat, lon, 0.0, A, F) - ecef(g["lat"], 0.0, 0.0, A, F)
    east, north, _ = axes(g["lat"], 0.0) @ away
    return {"difference": remainder(azimuth_of(east, north) - g["azimuth"], 360) * 3600}


SECTION = [
    Way("the nudge's first term", first_term, "right"),
    Way("the first term with e′²", lambda g: first_term(g, E2 / (1 - E2)), "right"),
    Way("the first term, R = 6 371 km for ν", lambda g: first_term(g, radius=R), "right"),
    Way("the first term, 6 378 km for ν", lambda g: first_term(g, radius=6_378_000), "right"),
    Way("Clarke's two terms", two_terms, "right"),
    Way("from the positions by PROJ", from_positions, "right"),
]


# lines-clairaut


def clairaut(digits=15, flattening=F):
    """The law with reduced latitudes to so many decimals of a degree."""

    def beta(lat):
        return radians(round(degrees(atan((1 - flattening) * tan(radians(lat)))), digits))

    def walk(g):
        sine = cos(beta(g["lat1"])) * sin(radians(g["azimuth"]))
        off = degrees(asin(sine / cos(beta(g["lat2"]))))
        poleward = (g["lat1"] > 0) == (g["when"].startswith("before"))
        top = degrees(atan(tan(acos(abs(sine))) / (1 - flattening)))
        onwards = off if poleward else 180 - off
        return {"azimuth2": onwards % 360, "highest": top if g["lat1"] > 0 else -top}

    return walk


def by_parallel_radius(g):
    """The law as ν cos φ sin α, with the radii of the parallels."""

    def parallel(lat):
        return radii(radians(lat))[1] * cos(radians(lat))

    kept = parallel(g["lat1"]) * sin(radians(g["azimuth"]))
    off = degrees(asin(kept / parallel(g["lat2"])))
    poleward = (g["lat1"] > 0) == (g["when"].startswith("before"))
    onwards = off if poleward else 180 - off
    # ν cos φ = a cos β of the highest point
    top = degrees(atan(tan(acos(abs(kept) / A)) / (1 - F)))
    return {"azimuth2": onwards % 360, "highest": top if g["lat1"] > 0 else -top}


CLAIRAUT = [
    Way("reduced latitudes to 0.00001°", clairaut(5), "right"),
    Way("reduced latitudes to 0.0001°", clairaut(4), "right or near"),
    Way("f = 1/298.26", clairaut(flattening=1 / 298.26), "right"),
    Way("f = 1/298.25", clairaut(flattening=1 / 298.25), "right"),
    Way("radii of the parallels", by_parallel_radius, "right"),
]

WAYS = {
    "lines-clairaut": CLAIRAUT,
    "lines-inverse": INVERSE,
    "lines-direct": DIRECT,
    "lines-back-azimuth": BACK,
    "lines-sphere-cost": COST,
    "lines-rhumb": RHUMB,
    "lines-normal-section": SECTION,
}
