"""Plates and how they turn: data with its source, nothing computed."""

import difflib
from typing import NamedTuple


class Rotation(NamedTuple):
    """How a plate turns about the Earth's axes X, Y, Z, in milliarcseconds a year."""

    x: float
    y: float
    z: float


NAMES = {
    "AMUR": "Amur",
    "ANTA": "Antarctica",
    "ARAB": "Arabia",
    "AUST": "Australia",
    "CARB": "Caribbean",
    "EURA": "Eurasia",
    "INDI": "India",
    "NAZC": "Nazca",
    "NOAM": "North America",
    "NUBI": "Nubia (Africa)",
    "PCFC": "Pacific",
    "SOAM": "South America",
    "SOMA": "Somalia",
}


class _Plates(dict):
    """Rotations by code; an unknown code is answered with the nearest."""

    def __missing__(self, plate):
        by_name = {name.casefold(): code for code, name in NAMES.items()}
        by_name |= {code.casefold(): code for code in NAMES}
        near = difflib.get_close_matches(str(plate)[:40].casefold(), by_name, n=3, cutoff=0.5)
        codes = dict.fromkeys(by_name[match] for match in near) or self
        known = ", ".join(f"{code} ({NAMES[code]})" for code in codes)
        raise ValueError(f"no plate has the code {str(plate)[:40]!r}; did you mean {known}?")


ITRF2020 = _Plates(
    AMUR=Rotation(-0.131, -0.551, 0.837),
    ANTA=Rotation(-0.269, -0.312, 0.678),
    ARAB=Rotation(1.129, -0.146, 1.438),
    AUST=Rotation(1.487, 1.175, 1.223),
    CARB=Rotation(0.207, -1.422, 0.726),
    EURA=Rotation(-0.085, -0.519, 0.753),
    INDI=Rotation(1.137, 0.013, 1.444),
    NAZC=Rotation(-0.327, -1.561, 1.605),
    NOAM=Rotation(0.045, -0.666, -0.098),
    NUBI=Rotation(0.090, -0.585, 0.717),
    PCFC=Rotation(-0.404, 1.021, -2.154),
    SOAM=Rotation(-0.261, -0.282, -0.157),
    SOMA=Rotation(-0.081, -0.719, 0.864),
)
"""
ITRF2020 plate motion model, as read in the transcription that PROJ carries.

Altamimi, Métivier, Rebischung, Collilieux, Chanard and Barnéoud, ITRF2020 plate motion model,
Geophysical Research Letters 50, 2023, table 1. It holds inside a plate; within some hundred
kilometres of a plate's edge the ground moves otherwise.
"""

ITRF2020_ORIGIN_RATE = (0.37, 0.35, 0.74)
"""
Drift of the frame's origin against the plates along X, Y, Z, in millimetres a year.

Table 2 of the same article. Added to the rotation's velocity, it gives the velocity that a receiver
shows in ITRF2020; velocities of one plate against another do without.
"""
