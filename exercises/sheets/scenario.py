"""The invented job that runs through the course, and its places.

Vessel, client, port, fields and the names of places are invented: none is known to be a field, a
company or a ship. The positions are real positions, so that the ellipsoid, gravity and plates
under them are real. Water depths are round figures for the job, not soundings.
"""

from dataclasses import dataclass, replace

VESSEL = "Maren Quill"
CLIENT = "Quenby Subsea"
PORT = "Port Hessel"


@dataclass(frozen=True)
class Site:
    """
    A place on the job: what every lesson's figures and worked numbers follow.

    `height` is above the ellipsoid in metres, `epoch` in decimal years, `water_depth`
    in metres, positive down; zero on land.
    """

    name: str
    latitude: float
    longitude: float
    height: float
    frame: str
    epoch: float
    water_depth: float


def _site(name: str, latitude: float, longitude: float, water_depth: float) -> Site:
    return Site(name, latitude, longitude, 0.0, "ITRF2020", 2026.5, water_depth)


PLACES: dict[str, Site] = {
    site.name: site
    for site in (
        _site("Brindle Wall", 19.000, -66.125, 3000),
        _site("Corrie Deep", 27.625, 142.750, 4000),
        _site("Hollin Scarp", -7.500, 106.125, 2000),
        _site("Dunnock Field", 57.000, 2.000, 80),
        _site("Wendle Bank", 27.500, -90.000, 1000),
        _site("Mellow Plain", -30.125, -9.000, 3500),
    )
}
ABOUT: dict[str, str] = {
    "Brindle Wall": "south wall of a deep trench: the plumb line leans north-south",
    "Corrie Deep": "west wall of a deep trench: the plumb line leans east-west",
    "Hollin Scarp": "trench wall in the southern hemisphere",
    "Dunnock Field": "shallow shelf sea, an ordinary place",
    "Wendle Bank": "continental slope, an ordinary place",
    "Mellow Plain": "open ocean, the quietest place on the job",
}
HOME = PLACES["Brindle Wall"]
FORMER = {  # names of earlier editions, which turned out to be somebody's: they stand in settings
    "Sable Wall": "Brindle Wall",
    "Petrel Scarp": "Hollin Scarp",
    "Teal Bank": "Wendle Bank",
    "Stillwater": "Mellow Plain",
}


def under_its_name(site: Site) -> Site:
    """Return a kept site; a place of the course that was kept under a former name has today's."""
    today = PLACES.get(FORMER.get(site.name, ""))
    return today if today and today == replace(site, name=today.name) else site
