"""Ellipsoids by name: data with its source, nothing computed."""

import difflib

import pyproj.crs
from pyproj.exceptions import CRSError

from geokit.ellipsoid import Ellipsoid

AIRY1830 = Ellipsoid(
    "Airy 1830",
    semi_major=6377563.396,
    inverse_flattening=299.3249646,
    source="Ordnance Survey, A guide to coordinate systems in Great Britain; EPSG 7001",
)
BESSEL1841 = Ellipsoid(
    "Bessel 1841",
    semi_major=6377397.155,
    inverse_flattening=299.1528128,
    source="Bessel, Astronomische Nachrichten 19, 1841; EPSG 7004",
)
CLARKE1866 = Ellipsoid(
    "Clarke 1866",
    semi_major=6378206.4,
    inverse_flattening=6378206.4 / (6378206.4 - 6356583.8),  # defined by its two axes
    source="Snyder, USGS Professional Paper 1395, 1987, table 1; EPSG 7008",
)
CLARKE1880RGS = Ellipsoid(
    "Clarke 1880 (RGS)",
    semi_major=6378249.145,
    inverse_flattening=293.465,
    source="EPSG 7012",
)
INTERNATIONAL1924 = Ellipsoid(
    "International 1924",
    semi_major=6378388.0,
    inverse_flattening=297.0,
    source="International Union of Geodesy and Geophysics, Madrid 1924; EPSG 7022",
)
KRASSOWSKY1940 = Ellipsoid(
    "Krassowsky 1940",
    semi_major=6378245.0,
    inverse_flattening=298.3,
    source="EPSG 7024",
)
GRS80 = Ellipsoid(
    "GRS 80",
    semi_major=6378137.0,
    inverse_flattening=298.257222101,
    source="Moritz, Geodetic Reference System 1980, Journal of Geodesy 74, 2000; EPSG 7019",
)
WGS84 = Ellipsoid(
    "WGS 84",
    semi_major=6378137.0,
    inverse_flattening=298.257223563,
    source="NIMA TR8350.2, 3rd edition, amendment 1, 2000; EPSG 7030",
)

BY_EPSG = {
    7001: AIRY1830,
    7004: BESSEL1841,
    7008: CLARKE1866,
    7012: CLARKE1880RGS,
    7019: GRS80,
    7022: INTERNATIONAL1924,
    7024: KRASSOWSKY1940,
    7030: WGS84,
}

_OTHER_NAMES = {
    "GRS 1980": GRS80,
    "International": INTERNATIONAL1924,
    "Hayford": INTERNATIONAL1924,
    "Clarke 1880": CLARKE1880RGS,
    "Krassovsky 1940": KRASSOWSKY1940,
    "Krasovsky 1940": KRASSOWSKY1940,
}


def _bare(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())


_BY_NAME = {_bare(ellipsoid.name): ellipsoid for ellipsoid in BY_EPSG.values()} | {
    _bare(name): ellipsoid for name, ellipsoid in _OTHER_NAMES.items()
}


def named(name: str | int) -> Ellipsoid:
    """
    The ellipsoid with a name, or with an EPSG code.

    Parameters
    ----------
    name : str or int
        A name of this module, in any case and spacing ("WGS 84", "wgs84"), or the EPSG code of
        any ellipsoid (7043, "7043", "EPSG:7043"); codes that are not here come from the EPSG
        dataset that pyproj carries.

    Returns
    -------
    Ellipsoid

    Raises
    ------
    ValueError
        If there is none; names the nearest ones, or says that the code is not an ellipsoid's.
    """
    bare = _bare(str(name)[:80])
    if bare in _BY_NAME:
        return _BY_NAME[bare]
    code = bare.removeprefix("epsg")
    if code.isascii() and code.isdigit():
        return BY_EPSG.get(int(code)) or _from_epsg(int(code))
    near = difflib.get_close_matches(bare, _BY_NAME, n=3, cutoff=0.5)
    choices = dict.fromkeys(_BY_NAME[match].name for match in near) or dict.fromkeys(
        ellipsoid.name for ellipsoid in BY_EPSG.values()
    )
    raise ValueError(
        f"no ellipsoid is called {str(name)[:40]!r}; did you mean {', '.join(choices)}? "
        "An EPSG code works too."
    )


def _from_epsg(code: int) -> Ellipsoid:
    try:
        found = pyproj.crs.Ellipsoid.from_epsg(code)
    except CRSError:
        raise ValueError(
            f"EPSG {code} is not an ellipsoid; WGS 84 is 7030. "
            "Is it the code of a coordinate system?"
        ) from None
    return Ellipsoid(
        found.name,
        semi_major=found.semi_major_metre,
        inverse_flattening=found.inverse_flattening,
        source=f"EPSG {code}",
    )
