"""
Build egm96.bin from Debian's egm96_15.gtx: python geokit/data/build_geoid.py GTX.

The heights become whole millimetres; differences along the parallels, along the meridians and
along the parallels again leave small numbers, which compress to a quarter of the size.
"""

import sys
import zlib
from pathlib import Path

import numpy as np

HEADER = 40  # south, west, steps as four big-endian doubles; rows, columns as two integers


def read_gtx(path):
    """Heights in metres, rows from the south pole, columns from 180 W."""
    raw = Path(path).read_bytes()
    corner = np.frombuffer(raw[:32], ">f8")
    shape = np.frombuffer(raw[32:HEADER], ">i4")
    if list(corner) != [-90, -180, 0.25, 0.25] or list(shape) != [721, 1440]:
        raise SystemExit(f"{path} is not the world grid of 15 minutes that is expected here")
    return np.frombuffer(raw[HEADER:], ">f4").reshape(shape)


def packed(heights):
    """The file's bytes: whole millimetres, compressed."""
    return zlib.compress(small_numbers(np.rint(heights.astype(float) * 1000).astype(int)), 9)


def small_numbers(numbers):
    """Differences of whole numbers: low bytes of all of them, then high bytes."""
    for axis in (1, 0, 1):
        numbers = np.diff(numbers, axis=axis, prepend=0)
    small = numbers.astype("<i2")
    if (small != numbers).any():
        raise SystemExit("a difference does not fit into 16 bits")
    return small.reshape(-1, 1).view("u1").T.tobytes()


if __name__ == "__main__":
    Path(__file__).with_name("egm96.bin").write_bytes(packed(read_gtx(sys.argv[1])))
