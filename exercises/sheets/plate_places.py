"""
Places that stand well inside a plate: an arrow each on lesson 11's globe, and a plate for a site.

From memory of the plates' outlines, which the model does not carry: they are for the picture, for
a first guess at a site's plate and for a doubt about a named one, and each says so. The smaller
plates are named because the model leaves them out, and a site on one of them has no velocity in it.
"""

from functools import cache

import numpy as np

from geokit import plates
from geokit.lines import great_circle

FAR = 2500.0  # kilometres; only outermost corners of a plate are farther from its own places
EARTH_RADIUS = 6371.0  # kilometres

# The first place of each plate carries its name.
INSIDE: dict[str, tuple[tuple[float, float], ...]] = {
    "EURA": (
        (60, 62), (50, 15), (66, 95), (63, 20), (41, -3), (50, 45), (57, 2), (60, -12), (48, -15),
        (77, 45), (48, 75),
    ),
    "AMUR": ((48, 120), (44, 130)),
    "NOAM": (
        (48, -100), (62, -105), (35, -88), (54, -72), (65, -152), (73, -40), (40, -62), (30, -58),
        (27, -90), (50, -45), (22, -66), (66, 165), (76, -105), (36, -48),
    ),
    "CARB": ((14.5, -72), (14, -65), (17, -67), (15.5, -80)),
    "SOAM": (
        (-12, -55), (-25, -58), (-40, -66), (1, -56), (-8, -30), (-30, -36), (-46, -48), (-24, -24),
        (-50, -62),
    ),
    "NUBI": (
        (12, 5), (20, -10), (10, 22), (-2, 16), (-16, 20), (-30, 22), (26, 22), (-12, 0), (-30, -6),
        (15, -28), (30, -26), (-43, 6), (2, -8),
    ),
    "SOMA": ((-13, 49), (5, 45), (-4, 57), (-22, 58), (-31, 45), (-2, 40)),
    "ARAB": ((24, 46), (18, 51), (31, 40)),
    "INDI": ((20, 78), (10, 78), (18, 67), (4, 83)),
    "AUST": (
        (-25, 133), (-20, 118), (-33, 146), (-15, 128), (-30, 105), (-19, 98), (-40, 130),
        (-14, 145), (-42, 115), (-30, 160), (-13, 107),
    ),
    "PCFC": (
        (8, -160), (20, -157), (-4, -143), (35, -160), (45, -175), (26, 151), (11, 165),
        (-16, -140), (-36, -160), (-51, -150), (38, 155), (21, 175), (-25, -125), (46, -148),
        (8, -122), (22, -125), (-20, -162), (33, 178), (-3, 178),
    ),
    "NAZC": ((-16, -85), (-30, -88), (-6, -96), (-29, -104)),
    "ANTA": (
        (-79, 60), (-80, -30), (-78, 130), (-80, -120), (-70, -75), (-55, -100), (-62, 50),
        (-58, 108), (-64, 8), (-67, 150), (-73, -160), (-51, -86), (-52, 62),
    ),
}  # fmt: skip
LEFT_OUT: dict[str, tuple[tuple[float, float], ...]] = {
    "Philippine Sea": ((18, 131), (26.5, 140), (13, 137)),
    "Sunda": ((3, 109), (-6, 108), (13, 104)),
    "Yangtze": ((27, 113),),
    "Anatolia": ((39, 33),),
    "Cocos": ((8, -95),),
    "Juan de Fuca": ((46, -127),),
    "Scotia": ((-57, -46),),
    "North Andes": ((5, -75),),
}  # fmt: skip


@cache
def places(of: str) -> tuple[list[str], np.ndarray]:
    """Return the names and the latitudes and longitudes of all places: `INSIDE` or `LEFT_OUT`."""
    groups = {"inside": INSIDE, "left out": LEFT_OUT}[of]
    names = [name for name, points in groups.items() for _ in points]
    return names, np.array([point for points in groups.values() for point in points], float).T


def nearest(latitude: float, longitude: float) -> tuple[str, str]:
    """Return the plate of the nearest arrow, and the plate left out that is nearer still or ""."""
    (near, plate), (nearer, missing) = (
        _nearest(latitude, longitude, of) for of in ("inside", "left out")
    )
    return plate, missing if nearer < near else ""


def doubt(latitude: float, longitude: float, plate: str) -> str:
    """Return a sentence where a site stands far from every place of the plate named, or ""."""
    of_it = [apart for name, apart in _apart(latitude, longitude, "inside") if name == plate]
    code, missing = nearest(latitude, longitude)
    if not of_it or code == plate or min(of_it) < FAR:  # an unknown code is answered elsewhere
        return ""
    other = f"{missing}, which the model leaves out" if missing else plates.NAMES[code]
    return (
        f"The plate named is {plates.NAMES[plate]}, and the nearest place of it that the course "
        f"knows is {round(min(of_it), -2):.0f} km from the site. The plate there may be {other} "
        "(from memory of the plates' outlines). Is the plate right, and the position?"
    )


def _apart(latitude: float, longitude: float, of: str) -> list[tuple[str, float]]:
    """Return each place's plate and how far it is, in kilometres."""
    names, (latitudes, longitudes) = places(of)
    apart, _, _ = great_circle(latitude, longitude, latitudes, longitudes, EARTH_RADIUS)
    return list(zip(names, apart.tolist(), strict=True))


def _nearest(latitude: float, longitude: float, of: str) -> tuple[float, str]:
    return min((apart, name) for name, apart in _apart(latitude, longitude, of))
