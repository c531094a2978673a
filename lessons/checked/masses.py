"""The pull of masses, and the curve of the plumb line."""

import math

import numpy as np

from geokit import attraction, deflection
from geokit.gravity import GRAVITATIONAL_CONSTANT, GRS80_FIELD
from lessons.checked.computed import computes
from lessons.checked.published import given

MGAL = 1e-5  # metres per second squared


@computes("AT-01")
def _cube():
    side, density = given("AT-01", "side"), given("AT-01", "density")
    bounds = (0, side, 0, side, 0, side)
    return {
        "corner": attraction.prism(0, 0, 0, bounds, density)[1] / MGAL,
        "face": attraction.prism(side / 2, side / 2, 0, bounds, density)[2] / MGAL,
    }


@computes("AT-01", "as a body of eight")
def _cube_of_eight():
    side, density = given("AT-01", "side"), given("AT-01", "density")
    low = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * side / 2
    bounds = np.stack([low, low + side / 2], -1).reshape(8, 6)
    return {"corner": attraction.body(0, 0, 0, bounds, density)[1] / MGAL}


@computes("AT-06")
def _cube_by_its_mass():
    side, density = given("AT-06", "side"), given("AT-06", "density")
    bounds = (0, side, 0, side, 0, side)
    unit = GRAVITATIONAL_CONSTANT * density * side**3 / (side / 2) ** 2
    return {
        "face": attraction.prism(side / 2, side / 2, 0, bounds, density)[2] / unit,
        "corner": math.hypot(*attraction.prism(0, 0, 0, bounds, density)) / unit,
    }


@computes("AT-02")
def _from_far():
    half = given("AT-02", "side") / 2
    bounds = (-half, half, -half, half, -half, half)
    seen = 0, -given("AT-02", "distance"), 0, bounds, given("AT-02", "density")
    return {
        "pull": attraction.prism(*seen)[1] * 1e11,
        "potential": attraction.potential(*seen) * 1e6,
    }


@computes("AT-02", "as a body")
def _body_from_far():
    half = given("AT-02", "side") / 2
    bounds = [(-half, half, -half, half, -half, half)]
    away = given("AT-02", "distance")
    found = attraction.body_potential(0, away, 0, bounds, given("AT-02", "density"))
    return {"potential": found * 1e6}


@computes("AT-03")
def _plate():
    thickness, side = given("AT-03", "thickness"), given("AT-03", "side")
    bounds = (-side / 2, side / 2, 0, side, -thickness, 0)
    middle = attraction.prism(0, side / 2, 0, bounds, given("AT-03", "density"))
    edge = attraction.prism(0, 0, 0, bounds, given("AT-03", "density"))
    return {"middle": -middle[2] / MGAL, "edge": edge[1] / MGAL}


@computes("AT-04")
def _normal_wire():
    latitude = given("AT-04", "latitude")
    return {
        "change": attraction.normal_wire(latitude, 1000, GRS80_FIELD)[0],
        "foot": attraction.normal_wire(latitude, given("AT-04", "depth"), GRS80_FIELD)[1] * 1000,
    }


@computes("AT-05")
def _leans():
    at = {name: given("AT-05", name) for name in ("north", "east", "one_sided", "slope")}
    g, radius, depth = (given("AT-05", name) for name in ("gravity", "radius", "depth"))
    xi, eta = attraction.deflection(at["east"] * MGAL, at["north"] * MGAL, g)
    around = at["one_sided"] * MGAL * np.cos(np.radians(np.arange(0, 360, 10)))
    lean = np.array([given("AT-05", "lean"), 0.0])
    return {
        "xi": xi,
        "eta": eta,
        "along": deflection.along(xi, eta, given("AT-05", "azimuth")),
        "ring": attraction.ring(around, radius, 2 * radius, g, math.inf)[0],
        "disc": attraction.innermost(at["slope"] * MGAL / 1000, 0, radius, g)[0],
        "foot": float(attraction.wire(np.array([0, depth]), lean, 0 * lean)[1][-1]),
    }
