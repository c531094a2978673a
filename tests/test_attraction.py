"""The pull of masses by quadrature, slabs, points and rings; the plumb line's curve."""

import itertools
import math
import tracemalloc

import numpy as np
import pytest
from lesson_words import words_of_lesson
from numpy.testing import assert_allclose
from published import given, tolerance, value

from exercises.sheets.scenario import PLACES
from geokit import WGS84, attraction, deflection, gravity, lines, terrain
from geokit.geoid import EGM96
from geokit.gravity import GRAVITATIONAL_CONSTANT as G
from geokit.gravity import GRS80_FIELD, WGS84_FIELD

RHO = math.degrees(1) * 3600
RADIUS = 6_371_000.0
CUBE = (0, 1000, 0, 1000, 0, 1000)
BRICK = (-300.0, 500.0, -100.0, 200.0, -900.0, -50.0)
ROCK = 2670.0

pytestmark = pytest.mark.filterwarnings("error")


def newton(point, bounds, density, nodes=20, parts=1):
    """Return pull and potential by Newton's integral: Gauss-Legendre, in parts along each axis."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    axes, weights = [], []
    for low, high, at in zip(bounds[::2], bounds[1::2], point, strict=True):
        edges = np.linspace(low, high, parts + 1)
        half, middle = (
            np.diff(edges)[:, np.newaxis] / 2,
            (edges[1:] + edges[:-1])[:, np.newaxis] / 2,
        )
        axes.append((middle + half * x).ravel() - at)
        weights.append((half * w).ravel())
    ways = np.meshgrid(*axes, indexing="ij")
    weight = np.einsum("i,j,k->ijk", *weights) * G * density
    r = np.sqrt(sum(way * way for way in ways))
    return np.array([(weight * way / r**3).sum() for way in ways]), (weight / r).sum()


def from_a_corner(sides):
    """
    Return the pull and potential at a box's own corner, by quadrature.

    Three pyramids from the corner to the far faces: u scales a point of the face, and u² of the
    volume cancels 1/r², so that nothing is infinite.
    """
    x, w = np.polynomial.legendre.leggauss(60)
    v, weight = (x + 1) / 2, np.outer(w, w) / 4
    pull, potential = np.zeros(3), 0.0
    for base in range(3):
        others = [axis for axis in range(3) if axis != base]
        ways = [None] * 3
        ways[base] = np.full((60, 60), float(sides[base]))
        ways[others[0]] = sides[others[0]] * np.repeat(v[:, np.newaxis], 60, 1)
        ways[others[1]] = sides[others[1]] * np.repeat(v[np.newaxis], 60, 0)
        r = np.sqrt(sum(way**2 for way in ways))
        volume = math.prod(sides) * weight
        pull += [(volume * way / r**3).sum() for way in ways]
        potential += (volume / r).sum() / 2  # ∫u du
    return pull * G * ROCK, potential * G * ROCK


# Prisms: where the books' formula takes the logarithm of zero ------------------------------


def test_corner_and_face_of_a_cube():
    for name, point, axes in (("corner", (0, 0, 0), (0, 1, 2)), ("face", (500, 500, 0), (2,))):
        pull = attraction.prism(*point, CUBE, ROCK)
        for axis in axes:
            got = pull[axis] * 1e5
            assert abs(got - value("AT-01", name)) <= tolerance("AT-01", name)


def test_a_cube_as_published():
    """The mass inside gives the unit, GM/s² with half the side s: neither density nor G matters."""
    for density, half in ((1000.0, 1.0), (ROCK, 500.0), (8000.0, 0.05)):
        bounds = (-half, half) * 3
        unit = G * density * 8 * half
        face = attraction.prism(0, 0, half, bounds, density)
        assert_allclose(face[:2], 0, atol=1e-13 * unit)
        assert abs(-face[2] / unit - value("AT-06", "face")) <= tolerance("AT-06", "face")
        corner = attraction.prism(half, -half, half, bounds, density)
        assert_allclose(corner, corner[1] * np.array([-1, 1, -1]), rtol=1e-13)
        found = math.hypot(*corner) / unit
        assert abs(found - value("AT-06", "corner")) <= tolerance("AT-06", "corner")


@pytest.mark.parametrize("sides", [(1000, 1000, 1000), (300, 1000, 500), (50, 80, 200)])
def test_at_its_own_corner(sides):
    bounds = (0, sides[0], 0, sides[1], 0, sides[2])
    pull, potential = from_a_corner(sides)
    assert_allclose(attraction.prism(0, 0, 0, bounds, ROCK), pull, rtol=1e-9)
    assert_allclose(attraction.potential(0, 0, 0, bounds, ROCK), potential, rtol=1e-9)


@pytest.mark.parametrize(
    "point",
    [
        (100.0, 50.0, -400.0),  # inside
        (500.0, 50.0, -400.0),  # on a face
        (500.0, 200.0, -400.0),  # on an edge
        (500.0, 200.0, -50.0),  # on a corner
        (500.0, 200.0, 4000.0),  # on an edge's line, outside
        (100.0, 50.0, -475.0),  # in the middle of all
    ],
)
def test_inside_and_on_it_as_the_sum_of_its_boxes(point):
    """Eight boxes meet in the point, each felt from its own corner: their pulls are quadratures."""
    pull, potential = np.zeros(3), 0.0
    if not all(
        low <= at <= high for low, high, at in zip(BRICK[::2], BRICK[1::2], point, strict=True)
    ):
        pull, potential = newton(point, BRICK, ROCK, nodes=24, parts=3)
    else:
        for signs in np.ndindex(2, 2, 2):
            sides = [
                BRICK[2 * i + 1] - point[i] if s else point[i] - BRICK[2 * i]
                for i, s in enumerate(signs)
            ]
            if min(sides) > 0:
                part, more = from_a_corner(sides)
                pull += part * [1 if s else -1 for s in signs]
                potential += more
    strength = np.linalg.norm(attraction.prism(500, 50, -475, BRICK, ROCK))
    assert_allclose(attraction.prism(*point, BRICK, ROCK), pull, atol=1e-5 * strength)
    assert_allclose(attraction.potential(*point, BRICK, ROCK), potential, rtol=1e-5)


def test_continuous_over_faces_edges_and_corners():
    step = 1e-6
    for point in ((500, 50, -400), (500, 200, -400), (500, 200, -50), (-300, -100, -50)):
        there = np.array(attraction.prism(*point, BRICK, ROCK))
        for way in np.array(list(np.ndindex(3, 3, 3))) - 1.0:
            beside = np.array(attraction.prism(*(np.array(point) + step * way), BRICK, ROCK))
            assert np.abs(beside - there).max() < 2e-7 * np.abs(there).max()


def test_symmetric():
    east, north, up = 700.0, -300.0, 150.0
    mirrored = (-500.0, 300.0, -100.0, 200.0, -900.0, -50.0)
    ge, gn, gu = attraction.prism(east, north, up, BRICK, ROCK)
    assert_allclose(attraction.prism(-east, north, up, mirrored, ROCK), (-ge, gn, gu), rtol=1e-12)
    turned = (*BRICK[2:4], *BRICK[:2], *BRICK[4:])
    assert_allclose(attraction.prism(north, east, up, turned, ROCK), (gn, ge, gu), rtol=1e-12)
    assert_allclose(attraction.prism(east, north, up, BRICK, -ROCK), (-ge, -gn, -gu), rtol=1e-15)
    assert gu < 0 < gn
    assert ge < 0, "it pulls towards the mass"


def test_pull_is_the_slope_of_the_potential():
    point, step = np.array([650.0, 250.0, 30.0]), 0.01
    sides = [[attraction.potential(*(point + s), BRICK, ROCK) for s in (d, -d)]
             for d in step * np.eye(3)]  # fmt: skip
    slope = [(high - low) / (2 * step) for high, low in sides]
    assert_allclose(attraction.prism(*point, BRICK, ROCK), slope, rtol=1e-6)


# Far away ---------------------------------------------------------------------------------


def test_far_away_to_a_millionth_whatever_the_shape():
    """At any distance; sides up to a thousand times each other. Quadrature holds 10⁻¹² there."""
    dice = np.random.default_rng(20_26)
    worst = 0.0
    for _ in range(300):
        sides = 10 ** dice.uniform(0, 3, 3)
        bounds = np.column_stack([-sides / 2, sides / 2]).ravel()
        away = dice.normal(size=3)
        away *= np.linalg.norm(sides) / 2 * 10 ** dice.uniform(0.6, 5) / np.linalg.norm(away)
        pull, potential = newton(away, bounds, ROCK, nodes=16)
        got = np.array(attraction.prism(*away, bounds, ROCK))
        worst = max(worst, np.linalg.norm(got - pull) / np.linalg.norm(pull))
        worst = max(worst, abs(attraction.potential(*away, bounds, ROCK) / potential - 1))
    assert worst < 3e-7, "the bound that the module states"


def test_no_step_where_the_moments_take_over():
    half = np.array([400.0, 150.0, 425.0])
    bounds = np.column_stack([-half, half]).ravel()
    switch = attraction.FAR * np.linalg.norm(half)
    for way in ((1, 0, 0), (0, 1, 0), (0.6, 0, 0.8), (1 / 3, 2 / 3, 2 / 3)):
        near, far = (
            np.array(attraction.prism(*(switch * (1 + e) * np.array(way)), bounds, ROCK))
            for e in (-1e-12, 1e-12)
        )
        assert np.linalg.norm(far - near) < 3e-7 * np.linalg.norm(near)


def test_a_point_from_far_away():
    half = given("AT-02", "side") / 2
    bounds = (-half, half, -half, half, -half, half)
    for distance, power in ((given("AT-02", "distance"), 0), (1e7, 4)):
        pull = attraction.prism(0, 0, distance, bounds, given("AT-02", "density"))[2]
        assert abs(-pull * 1e11 * 10**power - value("AT-02", "pull")) <= tolerance("AT-02", "pull")


def test_a_wide_plate():
    thickness, side = given("AT-03", "thickness"), given("AT-03", "side")
    bounds = (-side / 2, side / 2, 0, side, -thickness, 0)
    middle = -attraction.prism(0, side / 2, 0, bounds, ROCK)[2] * 1e5
    edge = attraction.prism(0, 0, 0, bounds, ROCK)
    assert abs(middle - value("AT-03", "middle")) <= tolerance("AT-03", "middle")
    assert abs(edge[1] * 1e5 - value("AT-03", "edge")) <= tolerance("AT-03", "edge")
    assert -edge[2] == pytest.approx(gravity.plate(thickness, ROCK) / 2, rel=1e-3)
    assert middle == pytest.approx(gravity.plate(thickness, ROCK) * 1e5, rel=1e-3)


# Many at once -----------------------------------------------------------------------------


def test_a_body_is_the_sum_of_its_prisms():
    dice = np.random.default_rng(3)
    low = dice.uniform(-5000, 5000, (300, 3))
    bounds = np.stack([low, low + dice.uniform(10, 3000, (300, 3))], -1).reshape(300, 6)
    density = dice.uniform(300, 2670, 300) * dice.choice([-1, 1], 300)
    east, north, up = dice.uniform(-90_000, 90_000, (3, 2, 35))
    body = attraction.body(east, north, up, bounds, density)
    each = attraction.prism(*(p[..., np.newaxis] for p in (east, north, up)), bounds, density)
    for got, parts in zip(body, each, strict=True):
        assert got.shape == (2, 35)
        assert_allclose(got, parts.sum(-1), rtol=1e-9, atol=1e-18)
    for name, parts in zip(("east", "north", "up"), each, strict=True):  # one axis alone
        one = attraction.body(east, north, up, bounds, density, along=name)
        assert_allclose(one, parts.sum(-1), rtol=1e-9, atol=1e-18)
    lift = attraction.body_potential(east, north, up, bounds, density)
    each = attraction.potential(*(p[..., np.newaxis] for p in (east, north, up)), bounds, density)
    assert_allclose(lift, each.sum(-1), rtol=1e-9)


def test_memory_stays_bounded():
    bounds = np.tile(np.array(CUBE, float), (20_000, 1)) + np.arange(20_000)[:, np.newaxis]
    attraction.body(0, 0, 0, bounds[:10], ROCK)
    tracemalloc.start()
    attraction.body(np.arange(20.0), 0, 0, bounds, ROCK)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 60e6, "400 000 pairs and what is worked out of them would take ten times that"


# What is refused --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bounds", "density", "says"),
    [
        ((0, 0, 0, 1, 0, 1), ROCK, "west 0 m and east 0 m leave a prism without size"),
        ((0, 1, 5, 1, 0, 1), ROCK, "south 5 m and north 1 m .* are the two swapped"),
        ((0, 1, 0, 1, 3000, -5000), ROCK, "bottom 3000 m and top -5000 m .* a height"),
        ((0, 1, 0, 1, 0), ROCK, "six stand along the last axis"),
        ((0, 1, 0, 1, 0, 1), 2.67, r"density 2\.67 kg/m³ is no rock's .* grams a cubic centimetre"),
    ],
)  # fmt: skip
def test_a_prism_that_is_none(bounds, density, says):
    with pytest.raises(ValueError, match=says):
        attraction.prism(0, 0, 0, bounds, density)


def test_a_body_is_a_table():
    with pytest.raises(ValueError, match="a prism in each row"):
        attraction.body(0, 0, 0, CUBE, ROCK)


def test_a_pull_is_along_an_axis():
    with pytest.raises(ValueError, match="along 'down' is no axis: east, north, up"):
        attraction.body(0, 0, 0, [CUBE], ROCK, along="down")


@pytest.mark.parametrize(
    ("shape", "sizes", "says"),
    [
        (terrain.trench, (-5000, 2000, 50_000), "depth -5000 m is above the sea"),
        (
            terrain.trench,
            (9000, 4000, 50_000),
            "depth 13000 m is above the sea, or deeper than any",
        ),
        (terrain.trench, (5000, 0, 50_000), "relief 0 is not above zero"),
        (terrain.seamount, (3000, 3500, 30_000), "would stand above the sea"),
        (terrain.shelf_edge, (4000, 4000, 0), "width 0 is not above zero"),
        (terrain.shelf_edge, (4000, 4000, 10_000, 1.64), "grams a cubic centimetre"),
    ],
)
def test_a_shape_that_cannot_be(shape, sizes, says):
    with pytest.raises(ValueError, match=says):
        shape(*sizes)


def test_a_root_in_kilometres():
    with pytest.raises(ValueError, match="kilometres"):
        terrain.rooted(terrain.seamount(5000, 4000, 50_000), 32)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: attraction.ring([1, 2, 3], 1, 2, 9.8, RADIUS), "four azimuths"),
        (lambda: attraction.ring([1, 2, 3, 4], 2, 2, 9.8, RADIUS), "are the two swapped"),
        (lambda: attraction.ring([1, 2, 3, 4], 1, 3e7, 9.8, RADIUS), "other side of the Earth"),
        (lambda: attraction.wire([0, 2, 1], [1, 1, 1], [0, 0, 0]), "rise from one to the next"),
        (lambda: attraction.wire([1, 2], [1, 1], [0, 0]), "begin at 0"),
    ],
)
def test_rings_and_wires_that_cannot_be(call, says):
    with pytest.raises(ValueError, match=says):
        call()


# What leans the plumb line -----------------------------------------------------------------


def test_the_sign():
    """A pull to the north takes the weight north, and the zenith south."""
    xi, eta = attraction.deflection(0, 1e-3, 9.81)
    assert xi == pytest.approx(-math.degrees(1e-3 / 9.81) * 3600)
    assert eta == 0
    east, north = deflection.seabed_offset(xi, eta, 1000)
    assert (east, north > 0) == (0, True)
    assert attraction.deflection(1e-3, 0, 9.81)[1] < 0


def leans(body, north):
    return attraction.deflection(*attraction.body(0.0, north, 0.0, *body)[:2], 9.81)[0]


def test_over_the_axis_of_a_symmetrical_trench_it_does_not_lean():
    trench = terrain.trench(5000, 3500, 80_000)
    assert abs(leans(trench, 0.0)) < 1e-9
    south, north = leans(trench, -30_000.0), leans(trench, 30_000.0)
    assert south == pytest.approx(-north)
    assert north < -10, "north of it the weight goes north, away from it, and the zenith south"
    mount = terrain.seamount(5000, 4000, 50_000)
    assert leans(mount, 20_000.0) > 10, "north of it the weight goes south, towards it"


def test_a_shelf_edge_with_and_without_a_root():
    """Where the rule of lines says so: Gρh(2 + 2 ln L/h) without, the root taking 2 ln L/D off."""
    steep = terrain.shelf_edge(4000, 4000, 1.0)
    rise = G * 1640 * 4000 / 9.81 * RHO
    bare, carried = (leans(body, 0.0) for body in (steep, terrain.rooted(steep)))
    assert bare == pytest.approx(120, abs=1.5)
    assert carried == pytest.approx(57, abs=0.6)
    assert carried == pytest.approx(rise * (2 + 2 * math.log(32 / 4)), rel=0.01)


def test_a_root_has_the_mass_that_is_missing_above():
    for shape in (
        terrain.trench(5000, 3500, 80_000),
        terrain.seamount(5000, 4000, 50_000),
        terrain.shelf_edge(4500, 4000, 40_000),
    ):
        whole = terrain.rooted(shape)
        sides = np.diff(whole.bounds.reshape(-1, 3, 2))[..., 0]
        mass = sides.prod(1) * whole.density
        assert abs(mass.sum()) < 1e-9 * np.abs(mass).sum()
        root = whole.bounds[len(shape.bounds) :, 4:]
        assert (root.max() + root.min()) / 2 == pytest.approx(-terrain.ROOT_DEPTH)


def test_the_geoid_s_slope_is_the_deflection():
    shape, step = terrain.seamount(5000, 4000, 50_000), 1.0
    for north in (-40_000.0, -20_000.0, 5_000.0):
        lift = attraction.body_potential(0.0, np.array([north - step, north + step]), 0.0, *shape)
        assert -np.diff(lift)[0] / 9.81 / (2 * step) * RHO == pytest.approx(
            leans(shape, north), rel=1e-6
        )


# Down the wire ----------------------------------------------------------------------------


def test_a_wire_whose_lean_does_not_change_is_straight():
    depths = np.linspace(0, 3000, 7)
    east, north = attraction.wire(depths, np.full(7, 30.0), np.full(7, 40.0))
    assert_allclose([east[-1], north[-1]], deflection.seabed_offset(30, 40, 3000))
    assert (east[0], north[0]) == (0, 0)


def test_a_wire_whose_lean_falls_evenly_goes_half_as_far():
    _, north = attraction.wire(np.array([0, 1000, 3000]), np.array([60, 40, 0]), np.zeros(3))
    assert north[-1] == pytest.approx(-30 / RHO * 3000)


def test_the_normal_field_s_own_curve():
    change = attraction.normal_wire(given("AT-04", "latitude"), 1000, GRS80_FIELD)[0]
    assert abs(change - value("AT-04", "change")) <= tolerance("AT-04", "change")
    foot = attraction.normal_wire(45, given("AT-04", "depth"), GRS80_FIELD)[1]
    assert abs(foot * 1000 - value("AT-04", "foot")) <= tolerance("AT-04", "foot")


@pytest.mark.parametrize("latitude", [-60, -10, 0, 30, 45, 75, 90])
def test_the_curve_is_the_growth_of_gravity_towards_the_pole(latitude):
    step = 1e-4
    low, high = (gravity.normal(min(latitude + d, 90), 0, GRS80_FIELD) for d in (-step, step))
    way = math.radians(2 * step if latitude < 90 else step)
    slope = (high - low) / way / gravity.normal(latitude, 0, GRS80_FIELD)
    slope /= GRS80_FIELD.ellipsoid.meridian_radius(latitude)
    got = attraction.normal_curvature(latitude, GRS80_FIELD)
    assert got == pytest.approx(slope, abs=2e-13)
    assert got * RHO * 1000 == pytest.approx(
        0.1715 * math.sin(math.radians(2 * latitude)), abs=7e-4
    )


def test_the_foot_goes_towards_the_pole():
    assert attraction.normal_wire(45, 3000, GRS80_FIELD)[1] > 0
    assert attraction.normal_wire(-45, 3000, GRS80_FIELD)[1] < 0


# Rings ------------------------------------------------------------------------------------


def test_the_kernel_against_its_series():
    """Stokes's function is Σ (2n + 1)/(n − 1) Pₙ; smoothed so that the series ends."""
    psi = np.radians([20.0, 60.0, 110.0, 170.0])
    step, damp = 1e-4, 0.02

    def series(angle):
        found = np.zeros_like(angle)
        before, now = np.ones_like(angle), np.cos(angle)
        for n in range(1, 1200):
            if n > 1:
                found += (2 * n + 1) / (n - 1) * now * math.exp(-((damp * n) ** 2) / 2)
            before, now = now, ((2 * n + 1) * np.cos(angle) * now - n * before) / (n + 1)
        return found

    slope = (series(psi + step) - series(psi - step)) / (2 * step)
    assert_allclose(attraction._stokes_slope(psi), slope, rtol=0.02, atol=0.02)


def test_a_ring_that_is_alike_all_round_adds_nothing():
    assert attraction.ring(np.full(36, 1e-3), 1e4, 2e4, 9.81, RADIUS) == pytest.approx((0, 0))


def test_each_doubling_counts_alike():
    """More gravity in the north by 100 mGal: −½ · 100 mGal/g · ln 2 on the plane, each time."""
    north = 1e-3 * np.cos(np.radians(np.arange(0, 360, 10)))
    for inner in (1e2, 1e3, 1e5):
        xi, eta = attraction.ring(north, inner, 2 * inner, 9.81, math.inf)
        assert xi == pytest.approx(-RHO * 1e-3 / 9.81 * math.log(2) / 2)
        assert eta == pytest.approx(0, abs=1e-12)
    on_sphere = attraction.ring(north, 1e3, 2e3, 9.81, RADIUS)[0]
    assert on_sphere == pytest.approx(xi, rel=2e-3)


def test_a_point_mass_s_gravity_put_through_the_rings_gives_its_own_pull():
    mass, deep, north, east = 1e15, 8000.0, 6000.0, -3000.0
    edges = np.geomspace(20.0, 4e7, 401)
    turn = np.radians(np.arange(0, 360, 2.5))
    xi = eta = 0.0
    for inner, outer in itertools.pairwise(edges):
        r = math.sqrt(inner * outer)
        away2 = (r * np.cos(turn) - north) ** 2 + (r * np.sin(turn) - east) ** 2 + deep**2
        one, other = attraction.ring(G * mass * deep / away2**1.5, inner, outer, 9.81, math.inf)
        xi, eta = xi + one, eta + other
    own = G * mass / (north**2 + east**2 + deep**2) ** 1.5
    assert_allclose((xi, eta), attraction.deflection(own * east, own * north, 9.81), rtol=0.004)


def test_the_innermost_disc_is_what_its_rings_would_add():
    slope, outer = 1e-8, 10_000.0
    turn = np.radians(np.arange(0, 360, 5))
    edges = np.geomspace(1.0, outer, 200)
    by_rings = sum(
        attraction.ring(slope * (b - a) / math.log(b / a) * np.cos(turn), a, b, 9.81, math.inf)[0]
        for a, b in itertools.pairwise(edges)
    )
    disc, _ = attraction.innermost(slope, 0, outer, 9.81)
    assert by_rings == pytest.approx(disc, rel=1e-3)


@pytest.mark.parametrize("place", PLACES.values(), ids=lambda place: place.name)
def test_egm96_s_gravity_predicts_egm96_s_slope(place):
    """The anomalies know the plumb line: within 2″, rings to 10 000 km, nothing fitted."""
    g = gravity.normal(place.latitude, 0, WGS84_FIELD)
    edges, azimuths = 10_000.0 * 2.0 ** np.arange(11), np.arange(0.0, 360.0, 5.0)
    nodes, weights = np.polynomial.legendre.leggauss(3)
    around = lines.direct(place.latitude, place.longitude, azimuths[::18], edges[0], WGS84)
    n, e, s, w = EGM96.anomaly(around[0], around[1])
    found = np.array(attraction.innermost((n - s) / 2e4, (e - w) / 2e4, edges[0], g))
    for inner, outer in itertools.pairwise(edges):
        r = inner * (outer / inner) ** ((nodes[:, np.newaxis] + 1) / 2)
        lat, lon, _ = lines.direct(place.latitude, place.longitude, azimuths, r, WGS84)
        mean = (EGM96.anomaly(lat, lon) * weights[:, np.newaxis] / 2).sum(0)
        found += attraction.ring(mean, inner, outer, g, RADIUS)
    slope = deflection.from_geoid(place.latitude, place.longitude, EGM96, WGS84)
    assert_allclose(found, slope, atol=2.0)


def test_the_anomalies_are_those_of_the_geoid():
    """Two degrees of a wave on the equator: γ(n − 1)/R of the height, by another route."""
    lon = np.arange(-180, 180, 0.5)
    assert np.std(EGM96.anomaly(np.zeros(lon.size), lon)) * 1e5 == pytest.approx(25, abs=8)
    mean = np.mean(
        [EGM96.anomaly(lat, lon).mean() * math.cos(math.radians(lat)) for lat in range(-90, 91, 3)]
    )
    assert abs(mean) * 1e5 < 1, "a geoid near its ellipsoid has no mean anomaly"


# What lesson 09 says ----------------------------------------------------------------------


def steepest(shape):
    north = np.arange(-120_000.0, 120_001.0, 250.0)
    return np.abs(leans(shape, north)).max()


def test_the_numbers_of_lesson_09():
    said = words_of_lesson("09_attraction")
    steep = terrain.shelf_edge(4000, 4000, 1.0)
    bare, carried = (leans(body, 0.0) for body in (steep, terrain.rooted(steep)))
    wide, narrow = (steepest(terrain.seamount(5000, 4000, width)) for width in (50_000, 20_000))
    for words in (
        f"the rock alone gives {bare:.0f}″, and with a root 32 km deep {carried:.0f}″ is left",
        f"Of the {wide:.0f}″ beside a seamount 50 km wide",
        f"of the {narrow:.0f}″ beside one 20 km wide, not even 2″",
        f"leans the plumb line by {1e-5 / 9.81 * RHO:.2f}″",
        f"about {9.80 / RHO * 1e5:.2f} mGal",
        f"found {value('DV-02', 'difference'):.1f}″ between two stations",
        f"{wide / RHO * 981_000:.0f} mGal of sideways pull against 981 000",
        f"by {attraction.normal_wire(45, 3000, GRS80_FIELD)[1] * 1000:.1f} mm at 45° on 3 000 m",
    ):
        assert words in said, words


def travel_time(x, z, speed):
    """Return the seconds a ray takes to a point x to the side and z down, by Snell's law."""
    layers = 4000
    c, thick = speed((np.arange(layers) + 0.5) * z / layers), z / layers
    low, high = 0.0, (1 - 1e-9) / c.max()
    for _ in range(80):
        middle = (low + high) / 2
        reaches = np.sum(thick * middle * c / np.sqrt(1 - (middle * c) ** 2))
        low, high = (middle, high) if reaches < x else (low, middle)
    return np.sum(thick / (c * np.sqrt(1 - (low * c) ** 2)))


def test_level_layers_of_sound_speed_cost_an_array_millimetres():
    """Munk, JASA 55, 1974: the profile of an ocean; and a steady increase of 0.017 m/s a metre."""

    def munk(depth):
        scaled = 2 * (depth - 1300) / 1300
        return 1500 * (1 + 0.00737 * (scaled - 1 + np.exp(-scaled)))

    lean, x, z, costs = 60.8 / RHO, 1500.0, 3000.0, []
    for speed in (munk, lambda depth: 1500 + 0.017 * depth):
        late = travel_time(x + lean * z, z - lean * x, speed) - travel_time(x, z, speed)
        costs.append(f"{1500 * late * 1000:.0f} mm")
    assert f"3 000 m down and 1.5 km to the side by {' to '.join(costs)}" in words_of_lesson(
        "09_attraction"
    )


def test_the_rules_for_the_back_of_an_envelope():
    """A plate's edge by the rule of lines, and half the plate's weight; a mountain as a point."""
    thick, wide, deep = 200.0, 10_000.0, 1000.0
    plate = (-1e6, 1e6, 0, wide, -deep - thick / 2, -deep + thick / 2)
    pull = attraction.prism(0, 0, 0, plate, 1640)
    assert pull[1] == pytest.approx(G * 1640 * thick * math.log(1 + wide**2 / deep**2), rel=2e-3)
    near = (-1e6, 1e6, 0, 1e6, -101.0, -99.0)
    down = -attraction.prism(0, 0, 0, near, 1640)[2]
    assert down == pytest.approx(math.pi * G * 1640 * 2, rel=1e-3)
    mount = terrain.seamount(5000, 4000, 30_000)
    sides = np.diff(mount.bounds.reshape(-1, 3, 2))[..., 0]
    mass, middle = sides.prod(1).sum() * 1640, 4000.0  # a pyramid's centre, a quarter up
    s = 60_000.0
    level = G * mass / (s**2 + middle**2) * s / math.hypot(s, middle) / 9.81 * RHO
    assert leans(mount, s) == pytest.approx(level, rel=0.02)  # it is a quarter as wide as far
