"""
The concept check: twenty ideas, each asked in two dresses, without arithmetic.

Form A holds the first dress of every idea and form B the second. A wrong option stands for a
wrong idea; it carries the same key and the same reply in both dresses, so that one can see who
held it before the course and who holds it after.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from exercises.bank.common import GEODESY
from exercises.bank.syllabus import lesson_number
from exercises.question.model import Exercise, Slip, choice

FORMS = ("A", "B")
UNSURE = "unsure"  # the key of the option that stands for no idea at all
NOT_YET = "I do not know yet"

BOWDITCH = "Bowditch, The American Practical Navigator, NGA Pub. 9 (from memory)"
GUIDANCE = "IOGP Report 373-7, Geomatics Guidance Note 7 part 2 (from memory)"
DEPTHS = "FIG Publication 62, Ellipsoidally Referenced Surveying for Hydrography (from memory)"
PROJECTIONS = "J. P. Snyder, Map Projections: A Working Manual, USGS PP 1395, 1987 (from memory)"
PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Wrong:
    """A wrong idea that people hold: its name, and what to say to it."""

    name: str
    reply: str


@dataclass(frozen=True)
class Dress:
    """One way to ask after an idea: what is asked, the right option, {wrong idea: option}."""

    prompt: str
    right: str
    wrong: Mapping[str, str]


@dataclass(frozen=True)
class Idea:
    """One thing to understand, in two dresses. `lesson` is the topic that teaches it."""

    key: str
    name: str
    lesson: str
    elements: tuple[str, ...]
    wrong: Mapping[str, Wrong]
    dresses: tuple[Dress, Dress]
    because: str
    source: str

    @property
    def number(self) -> str:
        """Return the two digits of its lesson."""
        return lesson_number(self.lesson)

    def question(self, form: str) -> str:
        """Return the key of the question that asks after it in a form."""
        return f"concept-{self.key}-{form.lower()}"


FLAT = Idea(
    "flat",
    "How far a flat sea serves",
    "surface",
    ("S-5B E4.1a", "S-5B E4.4b"),
    {
        "neither": Wrong(
            "Ten kilometres are too short to matter",
            "For the distance that is nearly so. For heights the curve counts from a few "
            "hundred metres on: it grows with the square of the distance.",
        ),
        "distances": Wrong(
            "Curvature spoils distances, not heights",
            "It is the other way round. Along 10 km the arc is a millimetre longer than the chord, "
            "and the surface has dropped almost 8 m.",
        ),
        "both": Wrong(
            "Curvature spoils heights and distances alike",
            "The height goes with the square of the distance over R, the length with its cube over "
            "R²: at 10 km that is metres against a millimetre.",
        ),
    },
    (
        Dress(
            "A survey reaches 10 km across a calm sea, and the sea is taken as flat. What suffers?",
            "Heights, by metres; distances hardly",
            {
                "neither": "Neither heights nor distances",
                "distances": "Distances, by metres; heights hardly",
                "both": "Heights and distances, by metres",
            },
        ),
        Dress(
            "A straight line leaves one platform level and reaches another one, 10 km off, without "
            "any air to bend it. What does it find there?",
            "It arrives metres too high; its length fits",
            {
                "neither": "It arrives at equal height; its length fits",
                "distances": "It arrives at equal height, metres too short",
                "both": "It arrives metres too high, metres too short",
            },
        ),
    ),
    "The level surface falls away by s²/2R, almost 8 m at 10 km; arc and chord differ by s³/24R², "
    "a millimetre there.",
    f"{GEODESY}; lesson 01.",
)

EXCESS = Idea(
    "excess",
    "The angles of a big triangle",
    "excess",
    ("S-5A F1.6a",),
    {
        "plane": Wrong(
            "Every triangle has 180°",
            "On a plane it has. On the Earth the three level planes at the corners are not "
            "parallel, and the surplus is no error: spread over the angles it spoils good work.",
        ),
        "less": Wrong(
            "On the Earth a triangle has less than 180°",
            "A triangle bulges on the Earth and its angles open. Think of the octant between "
            "equator and pole: three right angles.",
        ),
        "fixed": Wrong(
            "The surplus is the same for every figure",
            "It grows with the area enclosed, a second of arc for each 200 km² or so. A harbour has "
            "none to speak of, a sea has minutes.",
        ),
    },
    (
        Dress(
            "The three angles of a triangle with sides of 60 km are measured without any error. "
            "What is their sum?",
            "More than 180°, the more the larger the area",
            {
                "plane": "Exactly 180°, as in any triangle",
                "less": "Less than 180°, for the sides sag",
                "fixed": "More than 180°, by the same amount everywhere",
            },
        ),
        Dress(
            "A traverse round a wide bay, well measured, closes some seconds of arc *above* the "
            "plane rule. What comes to mind first?",
            "The area inside may explain all of it",
            {
                "plane": "An error, to be spread over the angles",
                "less": "An error: the sum should lie below the rule",
                "fixed": "The constant surplus that every loop has",
            },
        ),
    ),
    "On a curved surface the angles sum to more than on a plane: the excess is the area over R².",
    f"{GEODESY}; lesson 02.",
)

ELLIPSOID = Idea(
    "ellipsoid",
    "What an ellipsoid is",
    "ellipsoid",
    ("S-5B E4.1a", "S-5B E4.1b"),
    {
        "datum": Wrong(
            "The ellipsoid is the datum",
            "Dozens of datums use one and the same ellipsoid and place it hundreds of metres "
            "apart. The name of the figure does not say where it sits.",
        ),
        "grid": Wrong(
            "The projection settles where a position is",
            "A projection turns latitude and longitude into a plane. Which latitude and longitude, "
            "it does not ask.",
        ),
        "height": Wrong(
            "An ellipsoid settles what heights count from",
            "Heights above the sea do not count from an ellipsoid at all, and reducing heights "
            "does not bring two datums together.",
        ),
    },
    (
        Dress(
            "A list of positions says only *“Ellipsoid: International 1924”*. What do you know?",
            "The size and shape of a figure, not its place",
            {
                "datum": "The datum, and with it the place on the Earth",
                "grid": "The projection that belongs to the list",
                "height": "That the heights count from mean sea level",
            },
        ),
        Dress(
            "Two lists of wellheads both name the ellipsoid Clarke 1866 and nothing else. May they "
            "go on one chart?",
            "Not yet: one figure can sit in two places",
            {
                "datum": "Yes: the same ellipsoid is the same datum",
                "grid": "Yes, once both are on one projection",
                "height": "Yes, once both are reduced to one height",
            },
        ),
    ),
    "An ellipsoid is a size and a shape. A datum says how it is placed and turned; a frame makes "
    "that real.",
    f"{GUIDANCE}; lesson 03.",
)

LATITUDE = Idea(
    "latitude",
    "Which latitude a chart shows",
    "ellipsoid",
    ("S-5B E4.1a",),
    {
        "centre": Wrong(
            "Latitude is counted at the Earth's centre",
            "That is geocentric latitude. Charts and receivers do not use it; taking one for the "
            "other moves a ship by up to 21 km.",
        ),
        "plumb": Wrong(
            "Chart latitude follows the plumb line",
            "Latitude by the plumb line is astronomic. It differs from the chart's by seconds of "
            "arc, up to about a minute over trenches.",
        ),
        "sphere": Wrong(
            "Charts count latitude on a sphere",
            "A sphere has only one latitude, so the question would not come up. The chart's figure "
            "is an ellipsoid.",
        ),
    },
    (
        Dress(
            "A receiver shows a latitude of 54° N. It is the angle between the plane of the "
            "equator and which line?",
            "The normal of the ellipsoid",
            {
                "centre": "The line to the Earth's centre",
                "plumb": "The plumb line at that place",
                "sphere": "The radius of a mean sphere",
            },
        ),
        Dress(
            "The line from a platform to the Earth's centre makes an angle with the plane of the "
            "equator. How does it compare with the chart's latitude?",
            "It differs: a chart uses the ellipsoid's normal",
            {
                "centre": "It is the same: so latitude is defined",
                "plumb": "It differs: a chart uses the plumb line",
                "sphere": "It differs: a chart uses a mean sphere",
            },
        ),
    ),
    "Geodetic latitude is the angle of the ellipsoid's normal. The line to the centre gives up to "
    "12′ less, the plumb line a few seconds more or less.",
    f"{GEODESY}; lesson 03.",
)

SECOND = Idea(
    "second",
    "How long a second of arc is",
    "ellipsoid",
    ("S-5B E4.1a",),
    {
        "constant": Wrong(
            "A second of arc is 31 m everywhere",
            "Along a meridian nearly so. Along a parallel it shrinks with the cosine of the "
            "latitude, down to nothing at the pole.",
        ),
        "both": Wrong(
            "Latitude and longitude shrink together",
            "The meridians meet at the pole, the parallels do not: only the second of longitude "
            "shrinks.",
        ),
        "flattened": Wrong(
            "Flattening makes a second of latitude shorter",
            "At the pole the Earth is *flatter*: it takes a longer way to turn the normal by a "
            "second. The second of latitude grows, by one per cent in all.",
        ),
    },
    (
        Dress(
            "You carry one second of latitude and one of longitude from the equator towards the "
            "pole. What becomes of them, in metres?",
            "Longitude shrinks to nothing, latitude grows",
            {
                "constant": "Both keep their length all the way",
                "both": "Both shrink to nothing at the pole",
                "flattened": "Longitude shrinks to nothing, latitude a little",
            },
        ),
        Dress(
            "A list prints positions to a hundredth of a second. Compared with the equator, what "
            "is its last digit worth in metres at 60° N?",
            "Half in longitude, a trifle more in latitude",
            {
                "constant": "The same in longitude and in latitude",
                "both": "Half in longitude and in latitude",
                "flattened": "Half in longitude, a trifle less in latitude",
            },
        ),
    ),
    "A second of longitude goes with the cosine of the latitude. A second of latitude is 30.7 m at "
    "the equator and 31.0 m at the pole: the flatter the surface, the longer.",
    f"{GEODESY}; lesson 03.",
)

ARM = Idea(
    "arm",
    "What a lever arm does",
    "ecef",
    ("S-5B E3.3a", "S-5B E4.1b"),
    {
        "fixed": Wrong(
            "An offset measured once stays as it is",
            "It stays in the ship's axes, ahead and to starboard. In east and north it turns with "
            "her heading, all of it.",
        ),
        "motion": Wrong(
            "Only roll and pitch move an offset",
            "Roll and pitch shift it by decimetres. The heading swings the whole length of it "
            "round.",
        ),
        "height": Wrong(
            "A lever arm acts on the height alone",
            "Its vertical part does. The 30 m ahead lie in the horizontal, and there the position "
            "is lost.",
        ),
    },
    (
        Dress(
            "Alongside, heading north, the crane stands 30 m north of the antenna, and “30 m north” "
            "goes into the software. At sea she heads south. The crane's position is now",
            "wrong: it turns with the heading",
            {
                "fixed": "right: an offset measured once stays",
                "motion": "right, but for roll and pitch",
                "height": "wrong in height, right in position",
            },
        ),
        Dress(
            "A ship turns once round on the spot; her reference point stays above one mark. Her "
            "antenna stands 30 m ahead of it. How does the antenna move?",
            "In a wide circle round the mark",
            {
                "fixed": "Not at all: its offset is constant",
                "motion": "A little, as she rolls and pitches",
                "height": "Up and down, never sideways",
            },
        ),
    ),
    "A lever arm is fixed in the ship. East and north of it come from the heading, at each moment.",
    f"{PRACTICE}; lesson 04.",
)

SHORTEST = Idea(
    "shortest",
    "The shortest way over the sea",
    "lines",
    ("S-5B E4.1d", "S-5A F1.6a"),
    {
        "rhumb": Wrong(
            "The shortest way keeps one course",
            "The line of one course is the rhumb line, straight on a Mercator chart and longer. "
            "Between Europe and America the difference is hours.",
        ),
        "equator": Wrong(
            "The shortest way bends towards the equator",
            "It bends the other way, towards the pole: take a thread and a globe.",
        ),
        "conformal": Wrong(
            "A chart that keeps angles keeps the shortest way",
            "It keeps the angle at which two lines meet. It does not keep the shortest line "
            "straight.",
        ),
    },
    (
        Dress(
            "Two ports lie on the same latitude, 50° N, an ocean apart. Which course does the "
            "shortest way to the eastern one start with?",
            "North of east, and it changes all the way",
            {
                "rhumb": "Due east, kept all the way",
                "equator": "South of east, and it changes all the way",
                "conformal": "That of the straight line on a Mercator chart",
            },
        ),
        Dress(
            "The shortest line between two northern ports of one latitude, an ocean apart, is drawn "
            "on a Mercator chart. What does it look like?",
            "Curved, bulging towards the pole",
            {
                "rhumb": "Straight: the shortest way keeps its course",
                "equator": "Curved, bulging towards the equator",
                "conformal": "Straight: the chart keeps angles",
            },
        ),
    ),
    "The shortest line crosses each meridian at another angle. On a Mercator chart, where one "
    "course is straight, it bulges towards the pole.",
    f"{BOWDITCH}; lesson 05.",
)

OPPOSITE = Idea(
    "opposite",
    "There and back",
    "lines",
    ("S-5A F1.2c", "S-5B E4.1d"),
    {
        "reverse": Wrong(
            "Back is there plus 180°",
            "On a plane it is. On the Earth true north is another direction at each end, and the "
            "two azimuths differ from 180° by the convergence of the meridians.",
        ),
        "magnetic": Wrong(
            "The variation turns true azimuths",
            "True azimuths know nothing of a compass. Variation comes on top only for a magnetic "
            "bearing.",
        ),
        "tropics": Wrong(
            "Meridians converge most at the equator",
            "At the equator they run side by side. They close in towards the poles.",
        ),
    },
    (
        Dress(
            "At 58° N the true azimuth from one platform to another, 300 km to the east, is known. "
            "The true azimuth back is that and 180°,",
            "and some degrees: more, the higher the latitude",
            {
                "reverse": "exactly, in any latitude",
                "magnetic": "and the change of the magnetic variation",
                "tropics": "and some degrees: more, the lower the latitude",
            },
        ),
        Dress(
            "Two ships 300 km apart, east and west, point their bows at each other. Both gyros are "
            "true, yet the headings are not 180° apart. Why?",
            "True north differs, most in high latitudes",
            {
                "reverse": "It cannot be: one gyro must be wrong",
                "magnetic": "The magnetic variation differs",
                "tropics": "True north differs, most in low latitudes",
            },
        ),
    ),
    "The meridians of the two ends are not parallel: the azimuth changes along the line by the "
    "convergence, Δλ times the sine of the latitude.",
    f"{GEODESY}; lesson 05.",
)

GEOID = Idea(
    "geoid",
    "What the geoid is",
    "geoid",
    ("S-5A F1.1a",),
    {
        "sea": Wrong(
            "The geoid is mean sea level",
            "It is chosen near it. Currents, warmth and salt hold the mean sea up to a metre or two "
            "off any level surface.",
        ),
        "strength": Wrong(
            "Gravity is equally strong on the geoid",
            "The potential is equal. Gravity itself grows by half a per cent from equator to pole "
            "along one level surface.",
        ),
        "figure": Wrong(
            "The geoid is the best ellipsoid",
            "The ellipsoid is the smooth figure; the geoid stands up to about 100 m off it, one way "
            "and the other.",
        ),
    },
    (
        Dress(
            "What is the same at every point of the geoid?",
            "The potential of gravity",
            {
                "sea": "The height of mean sea level, zero",
                "strength": "The strength of gravity",
                "figure": "The distance from the ellipsoid, zero",
            },
        ),
        Dress(
            "Which sentence describes the geoid?",
            "A level surface, chosen near mean sea level",
            {
                "sea": "Mean sea level as the tide gauges find it",
                "strength": "The surface on which gravity is equally strong",
                "figure": "The ellipsoid that fits the oceans best",
            },
        ),
    ),
    "The geoid is a surface of equal gravity potential: water at rest would lie along it. Which of "
    "them is taken is a convention.",
    f"{GEODESY}; lesson 06.",
)

SEPARATION = Idea(
    "separation",
    "The height a receiver measures",
    "geoid",
    ("S-5A H5.4a", "S-5B E4.4a"),
    {
        "turned": Wrong(
            "N is taken with the wrong sign",
            "Where the geoid stands above the ellipsoid, everything at sea level does too: N is "
            "positive and so is h.",
        ),
        "sea": Wrong(
            "GNSS measures heights above the sea",
            "A satellite knows nothing of the sea. It gives the height above an ellipsoid; a geoid "
            "model makes a sea height of it.",
        ),
        "chart": Wrong(
            "GNSS heights count from chart datum",
            "Chart datum is a low water of one port. Only a separation model leads from the "
            "ellipsoid to it.",
        ),
    },
    (
        Dress(
            "At a port the geoid lies 50 m *above* the ellipsoid. A quay stands just clear of the "
            "water. What is its ellipsoidal height?",
            "About plus 50 m",
            {
                "turned": "About minus 50 m",
                "sea": "A few metres above mean sea level",
                "chart": "A few metres above chart datum",
            },
        ),
        Dress(
            "South of India the geoid lies 100 m *below* the ellipsoid. What ellipsoidal height "
            "has a float on the calm sea there?",
            "About minus 100 m",
            {
                "turned": "About plus 100 m",
                "sea": "About zero: it floats on the sea",
                "chart": "As much as the tide above chart datum",
            },
        ),
    ),
    "h = H + N. The sea follows the geoid, so a float there has about the ellipsoidal height N.",
    f"{GEODESY}; EGM96; lesson 06.",
)

ALTITUDE = Idea(
    "altitude",
    "The altitude on the display",
    "heights",
    ("S-5A H5.4a", "S-5B E4.4a"),
    {
        "ellipsoid": Wrong(
            "The displayed altitude is ellipsoidal",
            "Altitude is printed with a geoid height taken off already. The ellipsoidal height is "
            "altitude plus the separation printed beside it.",
        ),
        "chart": Wrong(
            "The displayed altitude counts from chart datum",
            "A receiver knows no chart datum unless somebody loads a separation model.",
        ),
        "truth": Wrong(
            "The displayed altitude is measured from the sea",
            "Nothing measures the sea there. The receiver takes the geoid height from a table of "
            "its own, often a coarse one.",
        ),
    },
    (
        Dress(
            "A receiver prints *altitude* and, beside it, a *geoid separation*. What does the "
            "altitude count from?",
            "A geoid table built into the receiver",
            {
                "ellipsoid": "The ellipsoid",
                "chart": "Chart datum",
                "truth": "The mean sea level it measures",
            },
        ),
        Dress(
            "Two receivers share one antenna. Their ellipsoidal heights agree, their altitudes "
            "differ by a metre and a half. Why?",
            "Each takes off another geoid table",
            {
                "ellipsoid": "Each counts altitude from another ellipsoid",
                "chart": "Each is set to another chart datum",
                "truth": "Each measures mean sea level with its own error",
            },
        ),
    ),
    "Altitude is the ellipsoidal height minus the geoid height that the maker put in. Add the "
    "printed separation back before a better geoid is used.",
    f"{PRACTICE}; lesson 07.",
)

ZERO = Idea(
    "zero",
    "Where a chart's depths begin",
    "heights",
    ("S-5A H5.4a", "S-5B E3.2c"),
    {
        "mean": Wrong(
            "Chart depths count from mean sea level",
            "Half of the time there would be less water than the chart promises. Chart datum is a "
            "low water.",
        ),
        "geoid": Wrong(
            "Chart depths count from the geoid",
            "The geoid lies near mean sea level, metres above the low waters of a tidal port.",
        ),
        "uniform": Wrong(
            "Chart datum is one surface everywhere",
            "It follows the tide: deep below mean sea level where the tide is large, close to it "
            "where there is none.",
        ),
    },
    (
        Dress(
            "From which surface does a chart of tidal waters count its depths?",
            "A low-water level, another at each place",
            {
                "mean": "Mean sea level, from a long series",
                "geoid": "The geoid, from a gravity model",
                "uniform": "A low-water level, one for the whole sea",
            },
        ),
        Dress(
            "A land map's heights and a chart's depths meet at the same coast. How do their zeros "
            "lie?",
            "Apart, by another amount at each port",
            {
                "mean": "Together, at mean sea level",
                "geoid": "Together, on the geoid",
                "uniform": "Apart, by one amount for the whole coast",
            },
        ),
    ),
    "Chart datum is set for each port near its lowest tides (LAT in many countries), so that there "
    "is rarely less water than charted.",
    "IHO S-4 and IHO Resolution 3/1919 (from memory); lesson 07.",
)

TIDE = Idea(
    "tide",
    "Soundings by GNSS height",
    "heights",
    ("S-5A H5.4c", "S-5B E3.3a"),
    {
        "twice": Wrong(
            "The tide still comes off",
            "The antenna rises with the water, so the GNSS height holds the tide. Taken off again "
            "it counts twice.",
        ),
        "model": Wrong(
            "The separation model holds today's tide",
            "The model holds two surfaces that stand still, ellipsoid and chart datum. The tide of "
            "the moment is in the antenna's height.",
        ),
        "mean": Wrong(
            "Only the tide above mean level is left over",
            "None is left over. The antenna's height holds the water as it stands, above mean level "
            "and below it.",
        ),
    },
    (
        Dress(
            "Soundings are reduced with GNSS heights and a model of chart datum against the "
            "ellipsoid. What is to be done about the tide?",
            "Nothing: the antenna rose with it",
            {
                "twice": "Take it off, as in any survey",
                "model": "Nothing: the model knows today's tide",
                "mean": "Take off what exceeds mean sea level",
            },
        ),
        Dress(
            "During a survey with GNSS heights and a separation model the water rises by 2 m. What "
            "happens to the reduced depths over one spot?",
            "They stay: the antenna rose as well",
            {
                "twice": "They grow by 2 m until the tide comes off",
                "model": "They stay: the model follows the tide",
                "mean": "They grow by what exceeds mean sea level",
            },
        ),
    ),
    "Antenna height minus lever arm minus sounding is the seabed above the ellipsoid, whatever the "
    "water does. The model then leads to chart datum.",
    f"{DEPTHS}; lesson 07.",
)

PLUMB = Idea(
    "plumb",
    "Where a weight points",
    "deflection",
    ("S-5A F1.1a", "S-5A F1.1c"),
    {
        "centre": Wrong(
            "The plumb line points at the Earth's centre",
            "The spin and the flattening turn it away by up to 12′: drawn on, it misses the centre "
            "by kilometres.",
        ),
        "normal": Wrong(
            "Gravity follows the ellipsoid",
            "The ellipsoid is a smooth figure of ours. Trenches and mountains turn gravity away "
            "from its normal, up to about a minute of arc at sea.",
        ),
        "parallel": Wrong(
            "All plumb lines are parallel",
            "Two of them a nautical mile apart differ by a minute of arc: the level surface "
            "is curved.",
        ),
    },
    (
        Dress(
            "A weight hangs still on a thin line. Which way does the line run at the weight?",
            "At right angles to the level surface there",
            {
                "centre": "Towards the centre of the Earth",
                "normal": "Along the normal of the ellipsoid",
                "parallel": "Parallel to every other plumb line",
            },
        ),
        Dress(
            "Oil stands still in a wide bowl on a fixed platform. What is its surface a piece of?",
            "A level surface of gravity",
            {
                "centre": "A sphere round the Earth's centre",
                "normal": "An ellipsoid parallel to the reference one",
                "parallel": "A plane, the same all over the field",
            },
        ),
    ),
    "Gravity stands at right angles to level surfaces. Neither the centre nor the ellipsoid has a "
    "say in it.",
    f"{GEODESY}; lesson 08.",
)

STARS = Idea(
    "stars",
    "Stars against satellites",
    "deflection",
    ("S-5A F1.1c", "S-5A F1.2d"),
    {
        "error": Wrong(
            "Two good methods must agree",
            "They agree on the place and count from two verticals. A difference that repeats is no "
            "error of observation.",
        ),
        "motion": Wrong(
            "Plate motion explains it",
            "Plates move by centimetres a year. A kilometre would take them ten thousand years and "
            "more.",
        ),
        "tables": Wrong(
            "The star tables use another ellipsoid",
            "Star places know no ellipsoid at all. A theodolite is levelled, and so the stars give "
            "the direction of gravity.",
        ),
    },
    (
        Dress(
            "On one mark a levelled theodolite finds latitude by the stars, and GNSS finds it 40″ "
            "off. Both repeat to 1″. Why do they differ?",
            "The theodolite follows a tilted plumb line",
            {
                "error": "One of them has an error not yet found",
                "motion": "The plate moved the mark meanwhile",
                "tables": "The star tables use another ellipsoid",
            },
        ),
        Dress(
            "A lonely island was placed by the stars a hundred years ago. GNSS finds it over a "
            "kilometre away, though the old work was good. Why?",
            "The stars gave the plumb line, tilted there",
            {
                "error": "The old work was worse than it seemed",
                "motion": "The plate carried the island away",
                "tables": "The old star tables had another ellipsoid",
            },
        ),
    ),
    "A position by the stars is the direction of the plumb line. It stands off the geodetic one by "
    "the deflection of the vertical, 31 m for each second of arc.",
    f"{GEODESY}; lesson 08.",
)

DATUM = Idea(
    "datum",
    "Latitude and longitude of what",
    "datums",
    ("S-5A F1.2a", "S-5B E4.1b"),
    {
        "absolute": Wrong(
            "A place has one latitude and longitude",
            "It has one in each datum. The same figures on another datum are another place, often "
            "a hundred metres and more away.",
        ),
        "accuracy": Wrong(
            "Old numbers are only less accurate",
            "The old work may be good to a metre. The shift between the datums is no scatter: it "
            "is there for every point of the list.",
        ),
        "vertical": Wrong(
            "Datums differ in height alone",
            "A datum places the whole figure. All three coordinates change.",
        ),
    },
    (
        Dress(
            "A wellhead list of 1974 gives latitude and longitude and no datum. It is plotted as "
            "WGS 84. Where is the wellhead?",
            "Perhaps a hundred metres and more from there",
            {
                "absolute": "There: latitude and longitude are what they are",
                "accuracy": "There, within the accuracy of 1974",
                "vertical": "There; only its height may differ",
            },
        ),
        Dress(
            "One steel mark has two latitudes on file, 4″ apart, both from careful surveys. What "
            "is most likely?",
            "Two datums: one mark, two sets of numbers",
            {
                "absolute": "Two marks: one place has one latitude",
                "accuracy": "One is old: that was its accuracy",
                "vertical": "Two heights: latitude follows from height",
            },
        ),
    ),
    "Coordinates count from a figure that is placed in the Earth in one way or another. Without "
    "the datum's name they are not a place.",
    f"{GUIDANCE}; lesson 09.",
)

CONVENTION = Idea(
    "convention",
    "Seven parameters without a word",
    "datums",
    ("S-5A F1.2b", "S-5B E4.1c"),
    {
        "habit": Wrong(
            "The usual sign convention will do",
            "Both signs of the rotations are in use, from one country and one program to the next. "
            "Habit proves neither of them.",
        ),
        "tiny": Wrong(
            "Rotations of a second are too small to matter",
            "A second at the Earth's radius is 31 m, and the wrong sign doubles it.",
        ),
        "shifts": Wrong(
            "The three shifts alone are safe",
            "The seven belong together. Shifts without their rotations are wrong by as much as the "
            "rotations do.",
        ),
    },
    (
        Dress(
            "A client's sheet gives seven parameters with rotations of about a second of arc and no "
            "convention. What do you do?",
            "Ask, and prove the answer on a test point",
            {
                "habit": "Take the convention that is usual at home",
                "tiny": "Take either: such rotations are tiny",
                "shifts": "Take the three shifts and leave the rest",
            },
        ),
        Dress(
            "Two programs get the same seven parameters, with rotations of a second, and give "
            "positions 40 m apart. What is the first step?",
            "Find which convention a test point proves",
            {
                "habit": "Trust the program that the company always uses",
                "tiny": "Look elsewhere: the rotations are too small",
                "shifts": "Set the rotations to zero in both",
            },
        ),
    ),
    "Position vector and coordinate frame differ in the sign of the rotations. A test point with "
    "known results in both systems shows which one is meant.",
    f"{GUIDANCE}; lesson 09.",
)

EPOCH = Idea(
    "epoch",
    "The date of a position",
    "motion",
    ("S-5A F1.2a",),
    {
        "still": Wrong(
            "Rock stays where it is",
            "In a global frame it does not: plates move by centimetres a year, in places by seven "
            "and more.",
        ),
        "receiver": Wrong(
            "The receiver allows for plate motion",
            "A receiver gives the position of the moment. To bring it to another year is your step, "
            "with a velocity and two dates.",
        ),
        "earthtide": Wrong(
            "It is the tide of the solid Earth",
            "That moves the ground by decimetres, mostly up and down, and back within hours. It "
            "does not add up over years.",
        ),
    },
    (
        Dress(
            "Off Western Australia a seabed mark is found 1.4 m from its ITRF position of twenty "
            "years ago. Both surveys were good. What happened?",
            "The plate carried it: positions have a date",
            {
                "still": "One survey erred: rock stays where it is",
                "receiver": "One receiver lacked its plate correction",
                "earthtide": "The tide of the solid Earth differed that day",
            },
        ),
        Dress(
            "A sheet gives a platform's position in ITRF to the centimetre, and no date. What is "
            "missing?",
            "The date: in ITRF the platform drifts",
            {
                "still": "Nothing: a platform on piles stays put",
                "receiver": "Nothing: receivers bring it up to date",
                "earthtide": "The tide of the solid Earth that day",
            },
        ),
    ),
    "In a frame of the whole Earth every plate moves. A position to a decimetre needs its epoch, "
    "and two positions compare at one epoch only.",
    "IERS Conventions (2010), IERS Technical Note 36 (from memory); lesson 10.",
)

LENGTH = Idea(
    "length",
    "Distances on the grid",
    "grid",
    ("S-5A F1.5a", "S-5B E4.2"),
    {
        "true": Wrong(
            "A grid distance is a true distance",
            "A conformal grid keeps angles. Its scale changes from place to place, from 0.9996 up "
            "past 1 within a UTM zone.",
        ),
        "middle": Wrong(
            "UTM is true on its central meridian",
            "There it is 0.9996, on purpose: 4 m are missing on 10 km. So the error stays small "
            "over the whole zone.",
        ),
        "stretched": Wrong(
            "UTM is stretched in the middle of a zone",
            "It is the other way: shrunk in the middle, stretched outside the two lines of true "
            "scale.",
        ),
    },
    (
        Dress(
            "Two marks on the central meridian of a UTM zone are 10 km apart *on the grid*. How far "
            "apart are they on the ellipsoid?",
            "More: the grid is shrunk there",
            {
                "true": "As far: a grid keeps distances",
                "middle": "As far: the middle of a zone is true",
                "stretched": "Less: the grid is stretched there",
            },
        ),
        Dress(
            "Where in a UTM zone is a short distance on the grid as long as on the ellipsoid?",
            "On two lines, one each side of the middle",
            {
                "true": "Everywhere: the grid is in metres",
                "middle": "On the central meridian, nowhere else",
                "stretched": "At the edges, for the middle is stretched",
            },
        ),
    ),
    "UTM's scale is 0.9996 on the central meridian, 1 about 180 km to either side, and more "
    "beyond.",
    f"{PROJECTIONS}; lesson 11.",
)

NORTH = Idea(
    "north",
    "Which north a grid has",
    "grid",
    ("S-5A F1.5a", "S-5B E4.2"),
    {
        "same": Wrong(
            "Grid north is true north",
            "Grid lines run parallel, meridians do not. Away from the central meridian the two "
            "norths part, by degrees near the edge of a zone in high latitudes.",
        ),
        "magnetic": Wrong(
            "The variation lies between gyro and grid",
            "A gyro seeks true north and a grid knows no compass. Variation has no part in it.",
        ),
        "scale": Wrong(
            "The scale factor turns directions",
            "Scale stretches in all directions alike and turns nothing.",
        ),
    },
    (
        Dress(
            "Along a quay the grid bearing and a well-set gyro differ by two degrees. What is the "
            "likeliest reason?",
            "Grid north and true north part there",
            {
                "same": "The gyro is two degrees wrong",
                "magnetic": "The variation has been left out",
                "scale": "The grid's scale factor turns the bearing",
            },
        ),
        Dress(
            "Where in a northern UTM zone do grid north and true north agree?",
            "On the central meridian, and on the equator",
            {
                "same": "Everywhere: grids are laid to true north",
                "magnetic": "Wherever the magnetic variation is zero",
                "scale": "Wherever the scale factor is one",
            },
        ),
    ),
    "True azimuth is grid bearing plus convergence, and convergence is zero on the central "
    "meridian and the equator only.",
    f"{PROJECTIONS}; lesson 11.",
)

IDEAS = (
    *(FLAT, EXCESS, ELLIPSOID, LATITUDE, SECOND, ARM, SHORTEST, OPPOSITE, GEOID, SEPARATION),
    *(ALTITUDE, ZERO, TIDE, PLUMB, STARS, DATUM, CONVENTION, EPOCH, LENGTH, NORTH),
)


def _question(idea: Idea, form: str) -> Exercise:
    """Return the question of an idea in a form; its slips are the wrong ideas by their names."""
    dress = idea.dresses[FORMS.index(form)]
    options = {key: (text, idea.wrong[key].reply) for key, text in dress.wrong.items()}
    made = choice(
        idea.question(form),
        idea.name,
        dress.prompt,
        ("right", dress.right),
        {**options, UNSURE: (NOT_YET, f"An honest answer. {idea.because}")},
        elements=idea.elements,
        because=idea.because,
        source=idea.source,
        marks=0,
    )
    names = {key: wrong.name for key, wrong in idea.wrong.items()} | {UNSURE: NOT_YET}
    slips = tuple(Slip(s.key, names[s.key], s.route, s.reply, s.also) for s in made.slips)
    return replace(made, slips=slips)


EXERCISES = tuple(_question(idea, form) for idea in IDEAS for form in FORMS)
