"""The pull of masses, and the curve of the plumb line."""

import numpy as np

from geokit import attraction
from geokit.gravity import GRS80_FIELD
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


@computes("AT-02")
def _from_far():
    half = given("AT-02", "side") / 2
    bounds = (-half, half, -half, half, -half, half)
    pull = attraction.prism(0, -given("AT-02", "distance"), 0, bounds, given("AT-02", "density"))
    return {"pull": pull[1] * 1e11}


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
