"""
Build coastline.bin from land-110m.json: python geokit/data/build_coastline.py JSON.

The input is TopoJSON: arcs of whole-number steps, of which the rings are strung together. The
output is little-endian 16-bit integers: the number of rings, the length of each, then latitude
and longitude of each vertex in hundredths of a degree.
"""

import json
import sys
from pathlib import Path

import numpy as np


def rings(topology):
    """Closed rings of longitude and latitude in degrees."""
    scale, origin = (np.array(topology["transform"][key]) for key in ("scale", "translate"))
    arcs = [np.cumsum(arc, axis=0) * scale + origin for arc in topology["arcs"]]
    for land in topology["objects"]["land"]["geometries"]:
        for ring in (ring for polygon in land["arcs"] for ring in polygon):
            # arc ~i is arc i backwards; each begins where the one before it ends
            parts = [arcs[i] if i >= 0 else arcs[~i][::-1] for i in ring]
            yield np.vstack(parts[:1] + [part[1:] for part in parts[1:]])


def packed(topology):
    """The file's bytes."""
    hundredths = [np.rint(ring[:, ::-1] * 100).astype("<i2") for ring in rings(topology)]
    lengths = np.array([len(hundredths)] + [len(ring) for ring in hundredths], "<i2")
    return lengths.tobytes() + np.vstack(hundredths).tobytes()


if __name__ == "__main__":
    land = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    Path(__file__).with_name("coastline.bin").write_bytes(packed(land))
