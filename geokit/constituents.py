"""
Constituents of the tide: data with its source, nothing computed.

Those of the usual American and European harmonic lists, with the meaning that Schureman gives
them. Two programs may mean different things by one name: here Sa is measured from the Sun's mean
longitude and not from its perigee (77° apart in phase), S1 from midnight with 180° added, and M1
and L2 carry the Moon's perigee in their nodal factors. Constants and predictor must agree on
that.

Source: Schureman, Manual of Harmonic Analysis and Prediction of Tides, US Coast and Geodetic
Survey Special Publication 98, 1940 (1958), table 2; from memory, each line tested against two
libraries.
"""

from typing import NamedTuple


class Constituent(NamedTuple):
    """One wave: multiples of five angles that run on, a fixed angle, and what the nodes do."""

    days: int
    """Multiple of the mean Sun's hour angle, 15° an hour from midnight UT."""
    moon: int
    """Multiple of the Moon's mean longitude s."""
    sun: int
    """Multiple of the Sun's mean longitude h."""
    lunar_perigee: int
    """Multiple of the longitude p of the Moon's perigee."""
    solar_perigee: int
    """Multiple of the longitude p₁ of the Sun's perigee."""
    fixed: int
    """Added to the angle, in degrees."""
    nodes: dict[str, int | float]
    """Powers of the waves of the Moon (`geokit.heights`) whose nodal factors it takes."""


CONSTITUENTS = {
    # through the year and the month
    "Sa": Constituent(0, 0, 1, 0, 0, 0, {}),
    "Ssa": Constituent(0, 0, 2, 0, 0, 0, {}),
    "Mm": Constituent(0, 1, 0, -1, 0, 0, {"Mm": 1}),
    "MSf": Constituent(0, 2, -2, 0, 0, 0, {"M2": -1}),
    "Mf": Constituent(0, 2, 0, 0, 0, 0, {"Mf": 1}),
    # once a day
    "2Q1": Constituent(1, -4, 1, 2, 0, -90, {"O1": 1}),
    "Q1": Constituent(1, -3, 1, 1, 0, -90, {"O1": 1}),
    "RHO1": Constituent(1, -3, 3, -1, 0, -90, {"O1": 1}),
    "O1": Constituent(1, -2, 1, 0, 0, -90, {"O1": 1}),
    "M1": Constituent(1, -1, 1, 0, 0, 90, {"M1": 1}),
    "P1": Constituent(1, 0, -1, 0, 0, -90, {}),
    "S1": Constituent(1, 0, 0, 0, 0, 180, {}),
    "K1": Constituent(1, 0, 1, 0, 0, 90, {"K1": 1}),
    "J1": Constituent(1, 1, 1, -1, 0, 90, {"J1": 1}),
    "OO1": Constituent(1, 2, 1, 0, 0, 90, {"OO1": 1}),
    # twice a day
    "2N2": Constituent(2, -4, 2, 2, 0, 0, {"M2": 1}),
    "MU2": Constituent(2, -4, 4, 0, 0, 0, {"M2": 1}),
    "N2": Constituent(2, -3, 2, 1, 0, 0, {"M2": 1}),
    "NU2": Constituent(2, -3, 4, -1, 0, 0, {"M2": 1}),
    "M2": Constituent(2, -2, 2, 0, 0, 0, {"M2": 1}),
    "LAM2": Constituent(2, -1, 0, 1, 0, 180, {"M2": 1}),
    "L2": Constituent(2, -1, 2, -1, 0, 180, {"L2": 1}),
    "T2": Constituent(2, 0, -1, 0, 1, 0, {}),
    "S2": Constituent(2, 0, 0, 0, 0, 0, {}),
    "R2": Constituent(2, 0, 1, 0, -1, 180, {}),
    "K2": Constituent(2, 0, 2, 0, 0, 0, {"K2": 1}),
    "2SM2": Constituent(2, 2, -2, 0, 0, 0, {"M2": -1}),
    # in shallow water, and the third-order wave M3
    "MO3": Constituent(3, -4, 3, 0, 0, -90, {"M2": 1, "O1": 1}),
    "2MK3": Constituent(3, -4, 3, 0, 0, -90, {"M2": 2, "K1": -1}),
    "M3": Constituent(3, -3, 3, 0, 0, 180, {"M2": 1.5}),
    "MK3": Constituent(3, -2, 3, 0, 0, 90, {"M2": 1, "K1": 1}),
    "MN4": Constituent(4, -5, 4, 1, 0, 0, {"M2": 2}),
    "M4": Constituent(4, -4, 4, 0, 0, 0, {"M2": 2}),
    "MS4": Constituent(4, -2, 2, 0, 0, 0, {"M2": 1}),
    "MK4": Constituent(4, -2, 4, 0, 0, 0, {"M2": 1, "K2": 1}),
    "S4": Constituent(4, 0, 0, 0, 0, 0, {}),
    "2MN6": Constituent(6, -7, 6, 1, 0, 0, {"M2": 3}),
    "M6": Constituent(6, -6, 6, 0, 0, 0, {"M2": 3}),
    "2MS6": Constituent(6, -4, 4, 0, 0, 0, {"M2": 2}),
    "S6": Constituent(6, 0, 0, 0, 0, 0, {}),
    "M8": Constituent(8, -8, 8, 0, 0, 0, {"M2": 4}),
}

OTHER_NAMES = {
    "rho": "RHO1",
    "ρ1": "RHO1",
    "lambda2": "LAM2",
    "lda2": "LAM2",
    "λ2": "LAM2",
    "ν2": "NU2",
    "μ2": "MU2",
}
