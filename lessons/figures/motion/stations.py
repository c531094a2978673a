"""
Places that stand well inside a plate, one arrow on the globe each.

From memory of the plates' outlines, which the model does not carry: they are for the picture and
for a first guess at a site's plate, and the figure says so. The smaller plates are named because
the model leaves them out, and a site on one of them has no velocity in it.
"""

from functools import cache

import numpy as np

from lessons.canvas.globe import directions

# The first place of each plate carries its name.
INSIDE = {
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
LEFT_OUT = {
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
def places(of):
    """Return the names and the latitudes and longitudes of all places: `INSIDE` or `LEFT_OUT`."""
    groups = {"inside": INSIDE, "left out": LEFT_OUT}[of]
    names = [name for name, points in groups.items() for _ in points]
    return names, np.array([point for points in groups.values() for point in points], float).T


def nearest(latitude, longitude):
    """Return the plate of the nearest arrow, and the plate left out that is nearer still or ""."""
    here, found = directions(latitude, longitude), []
    for of in ("inside", "left out"):
        names, points = places(of)
        closeness = directions(*points) @ here
        found.append((closeness.max(), names[closeness.argmax()]))
    (near, plate), (nearer, missing) = found
    return plate, missing if nearer > near else ""
