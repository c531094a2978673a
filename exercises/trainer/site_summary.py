"""What geodesy does at one site, on one page: every number with what it means there.

Model values for training: what does not apply at a site, on land or near a pole, is said.
"""

import math
from dataclasses import dataclass

import geokit
from exercises.pages import pages
from exercises.question import wording
from exercises.sheets import plate_places
from exercises.sheets.scenario import Site
from geokit import coastline, deflection, geoid, grid, motion, plates

RHO = 3600 * 180 / math.pi
YEARS = 10
GRID_LENGTH = 10_000.0  # metres
UTM_SOUTH, UTM_NORTH = -80, 84
AWAY = {"north": "south", "south": "north", "east": "west", "west": "east"}


@dataclass(frozen=True)
class SummaryLine:
    """One line: a number and what it means; `value` is empty where it does not apply."""

    label: str
    value: str
    meaning: str


@dataclass(frozen=True)
class Section:
    """A few lines under one heading."""

    title: str
    items: list[SummaryLine]


CAUTIONS = (
    "N, ξ and η are those of the model EGM96: it has no detail smaller than some 55 km, and "
    "over trenches, seamounts and islands the true deflection differs from it by 10 to 30″ "
    "(from memory). A survey that needs the true values measures them.",
    "Mean sea level is not the geoid: currents, temperature and salinity keep it up to 1 or 2 m "
    "off. Nor is chart datum: that is a level of the tide, named on the chart.",
    "The plate's velocity is that of its rigid interior. Near its edge, or after an earthquake, "
    "the ground moves differently.",
    "Scale and convergence are those of UTM. The client's grid may be a different one: take it, "
    "its datum and its epoch from the survey instructions.",
)


def summary(site: Site, plate: str = "") -> list[Section]:
    """
    Return the page's sections for a site.

    Parameters
    ----------
    site : scenario.Site
        Anywhere, a pole and dry land included.
    plate : str
        Code of the ITRF2020 plate motion model, such as "EURA"; "" where it is not known: then
        no velocity is given, since two plates at one boundary differ by centimetres a year.

    Raises
    ------
    ValueError
        If the plate's code is unknown; names the nearest.
    """
    return [_heights(site), _verticals(site), _arc(site), _plate(site, plate), _grid(site)]


def notes(site: Site, plate: str = "") -> list[str]:
    """Return what a reader should check before using the page: depth, land, the plate named."""
    doubt = plate_places.doubt(site.latitude, site.longitude, plate) if plate else ""
    return [*_of_depth(site), *([doubt] if doubt else [])]


def _of_depth(site: Site) -> list[str]:
    land = coastline.is_land(site.latitude, site.longitude)
    if site.water_depth > 0 and land:
        return [
            "The coastline of the course, good to a quarter of a degree, has land here, and a "
            "water depth is given. Check the position: are latitude and longitude swapped?"
        ]
    if site.water_depth == 0:
        where = "The site is on land" if land else "No water depth is given"
        return [f"{where}: what happens at a depth does not apply and is left out."]
    return []


def _heights(site: Site) -> Section:
    n = geoid.EGM96.height(site.latitude, site.longitude)
    way = "above" if n >= 0 else "below"
    items = [
        SummaryLine(
            "N, geoid above the ellipsoid",
            _metres(n, 1),
            f"The geoid, near mean sea level, lies {wording.size(abs(n))} {way} the ellipsoid "
            "WGS 84. That is the separation of ellipsoid and sea, to 1 or 2 m.",
        ),
        SummaryLine(
            "h, 20 m above the sea",
            _metres(20 + n, 1),
            "What a GNSS receiver shows as ellipsoidal height: h = H + N. "
            f"Mistaken for H it is {wording.size(abs(n))} wrong.",
        ),
    ]
    if site.water_depth > 0:
        items.append(
            SummaryLine(
                "h of the seabed",
                _metres(n - site.water_depth, 1),
                f"For {_metres(site.water_depth, 0, signed=False)} of water below mean sea level.",
            )
        )
    return Section("Ellipsoid and sea", items)


def _verticals(site: Site) -> Section:
    title = "The two verticals"
    if abs(site.latitude) == 90:
        why = "There is no east at a pole: η does not apply, nor does what follows from it."
        return Section(title, [SummaryLine("ξ, η, deflection of the vertical", "", why)])
    xi, eta = deflection.from_geoid(site.latitude, site.longitude, geoid.EGM96, geokit.WGS84)
    size, azimuth = deflection.total(xi, eta)
    east, north = deflection.seabed_offset(xi, eta, max(site.water_depth, 0.0))
    second = _seconds(site.latitude)
    items = [
        SummaryLine(
            "ξ, in the meridian", _angle(xi, "north"), "North where the zenith leans north."
        ),
        SummaryLine("η, across it", _angle(eta, "east"), "East where the zenith leans east."),
        SummaryLine(
            "in all, √(ξ² + η²)",
            f"{wording.number(size, 1)}″",
            f"Towards {wording.number(round(azimuth) % 360, 0)}°. "
            f"Levels and GNSS heights diverge by {wording.size(size / RHO * 1000)} in each "
            "kilometre in that direction.",
        ),
    ]
    if site.water_depth > 0:
        items.append(
            SummaryLine(
                f"a weight on {wording.number(site.water_depth, 0)} m of line",
                wording.size(math.hypot(east, north)),
                f"It hangs {_way(east, north)} of the foot of the ellipsoid's normal: "
                f"{_signed(east, 'east')}, {_signed(north, 'north')}. In still water.",
            )
        )
    else:
        items.append(SummaryLine("a weight on a line", "", "No water: does not apply."))
    star = math.hypot(xi * second[0], eta * second[1] / math.cos(math.radians(site.latitude)))
    laplace = eta * math.tan(math.radians(site.latitude))
    return Section(
        title,
        [
            *items,
            SummaryLine(
                "a position from stars",
                wording.size(star),
                "It lies that far from the GNSS position, because it follows the plumb line.",
            ),
            SummaryLine(
                "η tan φ, a level azimuth",
                f"{wording.number(laplace, 1, signed=True)}″",
                "Astronomic azimuth minus geodetic (Laplace). A gyro's noise is some 360″, "
                "a tenth of a degree (the course's own round figure).",
            ),
        ],
    )


def _arc(site: Site) -> Section:
    north, east = _seconds(site.latitude)
    along = SummaryLine(
        "1″ of latitude",
        _metres(north, 3, signed=False),
        f"A minute is {wording.number(60 * north, 1)} m here; the nautical mile is 1 852 m.",
    )
    if abs(site.latitude) == 90:
        across = SummaryLine("1″ of longitude", "", "All meridians meet at a pole: does not apply.")
    else:
        across = SummaryLine(
            "1″ of longitude",
            _metres(east, 3, signed=False),
            f"Write {_digits(north)} decimals of a second to keep a centimetre.",
        )
    return Section("Arc into metres, on WGS 84", [along, across])


def _plate(site: Site, plate: str) -> Section:
    title = "The ground moves (ITRF2020)"
    if not plate:
        codes = ", ".join(plates.NAMES)
        why = f"Name it to see its velocity. The model has {codes}."
        return Section(title, [SummaryLine("velocity of the plate", "no plate named", why)])
    rotation = plates.ITRF2020[plate]
    east, north = motion.velocity(site.latitude, site.longitude, rotation, geokit.GRS80)
    speed = math.hypot(east, north)
    if abs(site.latitude) == 90:
        where = "At a pole no direction can be named."
    else:
        where = f"{_mm(east, 'east')} and {_mm(north, 'north')} a year, towards {_way(east, north)}"
    return Section(
        title,
        [
            SummaryLine(
                f"velocity, {plates.NAMES[plate]} plate",
                f"{wording.number(1000 * speed, 1)} mm a year",
                where + ("" if where.endswith(".") else "."),
            ),
            SummaryLine(
                f"drift in {YEARS} years",
                _metres(YEARS * speed, 2, signed=False),
                f"An ITRF coordinate of {site.epoch:.1f} is off by that much in "
                f"{site.epoch + YEARS:.1f}, and a plate-fixed one differs as much from GNSS.",
            ),
        ],
    )


def _grid(site: Site) -> Section:
    title = "On the grid (UTM on WGS 84)"
    if not UTM_SOUTH <= site.latitude <= UTM_NORTH:
        why = (
            "UTM covers 80° S to 84° N: zone, scale and convergence do not apply. Nearer a pole a "
            "polar stereographic grid is used."
        )
        return Section(title, [SummaryLine("zone, k, γ", "", why)])
    plain = grid.utm_zone(site.latitude, site.longitude, exceptions=False)
    mapped = grid.utm_zone(site.latitude, site.longitude, exceptions=True)
    hemisphere = "north" if site.latitude >= 0 else "south"
    utm = grid.utm(plain, hemisphere, geokit.WGS84)
    k = utm.point_scale(site.latitude, site.longitude)
    gamma = utm.convergence(site.latitude, site.longitude)
    other = f" Maps of Norway and Svalbard put it in zone {mapped}." if mapped != plain else ""
    side = "east" if gamma >= 0 else "west"
    return Section(
        title,
        [
            SummaryLine(
                "zone",
                f"{plain} {hemisphere}",
                f"Central meridian {_meridian(utm.lon0)}.{other}",
            ),
            SummaryLine(
                "k, point scale",
                f"{k:.6f}",
                f"{wording.number(1e6 * (k - 1), 0, signed=True)} parts in a million.",
            ),
            SummaryLine(
                "γ, convergence",
                f"{wording.number(gamma, 3, signed=True)}°",
                f"Grid north lies {wording.number(abs(gamma), 3)}° {side} of true north; "
                "true azimuth = grid bearing + γ.",
            ),
            *_ten_kilometres(site, k),
        ],
    )


def _ten_kilometres(site: Site, k: float) -> list[SummaryLine]:
    """Return what 10 km on the grid are on the ellipsoid, at the sea's surface, at the seabed."""
    n = geoid.EGM96.height(site.latitude, site.longitude)
    radius = geokit.WGS84.gaussian_radius(site.latitude)
    flat = GRID_LENGTH / k
    surface = "level of the sea" if site.water_depth == 0 else "sea's surface"
    levels = [(f"the same at the {surface}", n)]
    if site.water_depth > 0:
        levels.append(("the same at the seabed", n - site.water_depth))
    lengths = [("10 km of grid, on the ellipsoid", flat, "Divided by k.")] + [
        (where, flat * (1 + h / radius), f"Multiplied by (R + h) / R, with h = {_metres(h, 0)}.")
        for where, h in levels
    ]
    return [
        SummaryLine(
            where,
            _metres(length, 2, signed=False),
            f"{_metres(length - GRID_LENGTH, 2)} compared with the grid. {how}",
        )
        for where, length, how in lengths
    ]


def _seconds(latitude: float) -> tuple[float, float]:
    """Return metres per second of latitude and of longitude."""
    north = geokit.WGS84.meridian_radius(latitude) / RHO
    across = geokit.WGS84.prime_vertical_radius(latitude) / RHO
    return north, across * math.cos(math.radians(latitude))


def _digits(metres: float) -> int:
    return math.ceil(math.log10(metres / 0.01))


def _metres(value: float, decimals: int, *, signed: bool = True) -> str:
    return wording.number(value, decimals, signed=signed) + "\u00a0m"


def _angle(value: float, positive: str) -> str:
    way = wording.way(value, positive, 1)
    return f"{wording.number(value, 1, signed=True)}″" + (f" {way}" if way else "")


def _signed(value: float, positive: str) -> str:
    return f"{wording.size(abs(value))} {positive if value >= 0 else AWAY[positive]}"


def _mm(value: float, positive: str) -> str:
    way = positive if value >= 0 else AWAY[positive]
    return f"{wording.number(1000 * abs(value), 1)} mm {way}"


def _way(east: float, north: float) -> str:
    """Return the nearest of eight compass words."""
    names = ["north", "north-east", "east", "south-east"]
    names += ["south", "south-west", "west", "north-west"]
    return names[round(math.degrees(math.atan2(east, north)) % 360 / 45) % 8]


def _meridian(longitude: float) -> str:
    return f"{abs(longitude):.0f}° {'W' if longitude < 0 else 'E'}"


def page(site: Site, plate: str = "") -> str:
    """Return the page as HTML."""
    return pages.render(
        "site.html",
        site=site,
        where=(
            f"{wording.dms(site.latitude, 1, 'latitude')}, "
            f"{wording.dms(site.longitude, 1, 'longitude')}"
        ),
        depth=_metres(site.water_depth, 0, signed=False) if site.water_depth else "",
        epoch=f"{site.epoch:.1f}",
        notes=notes(site, plate),
        sections=summary(site, plate),
        cautions=CAUTIONS,
    )
