"""Exercises of lesson 12, before sailing: the client's parameter sheet and its waypoint."""

from collections.abc import Callable, Mapping
from typing import Any

from exercises.bank import parameter_sheet as sheet
from exercises.bank.parameter_sheet import FOOT, LINES, PARIS, TWICE, UNITS, US_FOOT
from exercises.question.dice import Dice, printed
from exercises.question.model import Answer, Asked, Exercise, Given, Printed, Slip, choice
from exercises.question.wording import number

FRAMES = ("S-5A F1.2a", "S-5B E4.1b")
TRANSFORMING = ("S-5A F1.2b", "S-5B E4.1c")
THREE_DIMENSIONS = ("S-5A F1.2d",)
GRIDS = ("S-5A F1.5a", "S-5B E4.2")
HEIGHTS = ("S-5A H5.4a", "S-5B E4.4a")
REGISTRY = "EPSG dataset, as PROJ carries it"

# sailing-sheet --------------------------------------------------------------------------
# A line is right (0) or off by the size of its fault. Every size that can be planted stands six
# tolerances or more from zero; three faults at least are planted, and one of them turns something
# about, so that "once for twice" always leads somewhere.

DECIMALS = {
    "convention": 1,
    "geoid": 1,
    "antenna": 1,
    "epoch": 2,
    "plumb": 2,
    "corner": 2,
    "gauge": 1,
}
TOLERANCES = {
    "ellipsoid": 2.0,
    "convention": 0.2,
    "direction": 3.0,
    "grid": 20.0,
    "geoid": 0.2,
    "antenna": 0.2,
    "epoch": 0.05,
    "plumb": 0.03,
    "corner": 0.05,
    "pilot": 40.0,
    "wreck": 2.0,
    "gauge": 0.3,
    "shift": 1.0,
}


def _numbered(name: str) -> str:
    return f"{list(LINES).index(name) + 1} {LINES[name]}"


def _rows(rows: Mapping[str, tuple[str, Callable[[Given], str]]]) -> tuple[Printed, ...]:
    return tuple(Printed(name, label, text=text) for name, (label, text) in rows.items())


EVIDENCE = _rows(sheet.EVIDENCE)
AS_RECEIVED = tuple(
    Printed(f"line_{name}", _numbered(name), text=sheet.received(name)) for name in LINES
)


def _findings(given: Given) -> Answer:
    costs = sheet.sizes(given)
    return {name: costs[name] if name in given["planted"] else 0.0 for name in LINES}


def _twins(given: Given) -> Answer:
    """Return what the right lines would cost if each were turned into its fault."""
    costs = sheet.sizes(given)
    return {name: costs[name] for name in LINES if name not in given["planted"]}


def _once(given: Given) -> Answer:
    costs = sheet.sizes(given)
    return {name: costs[name] / 2 for name in TWICE if name in given["planted"]}


FALSE_ALARM = (
    "This line is right as it stands, and 0 was its answer. A false alarm costs: on a job it stops "
    "the vessel, or is “mended” into a fault. Work the line once more from the evidence."
)


def _reason(given: Given, name: str, value: Any) -> tuple[str, str]:
    """Say of a number that no route explains: a false alarm, or a fault found with its size off."""
    if name not in given["planted"]:
        return "false-alarm", FALSE_ALARM
    return "", (
        f"Found: this line is wrong. Its size is not {number(value, DECIMALS.get(name, 0))} "
        f"{UNITS[name]}; half of it counts. Work what the line gives as printed, and what it "
        "should give."
    )


def _earned(given: Given, parts: Mapping[str, Any]) -> float:
    """
    Return the share: each planted fault counts the same, half where only its size is off.

    A false alarm takes half a fault off, so that neither "all right" nor "all wrong" earns.
    """
    faults = given["planted"]
    found = sum(1.0 if parts[n].counts else 0.5 * _is_found(parts[n]) for n in faults)
    alarms = sum(not parts[name].counts for name in LINES if name not in faults)
    return max(0.0, (found - 0.5 * alarms) / len(faults))


def _is_found(part: Any) -> bool:
    return part.state in ("slip", "near", "wrong") and part.slip != "missed"


def _held(name: str) -> Callable[[Given], str]:
    return lambda given: sheet.says(given, name, False)


_SEEN = {
    "ellipsoid": "The ellipsoid's two numbers belong to its name (lesson 03). A stray axis lifts or "
    "sinks the test mark by the difference of the axes, and hardly moves it sideways.",
    "convention": "Carry the test mark with both conventions: only one meets WGS 84. The miss is twice "
    "the rotation's part, and turns round with the place.",
    "direction": "Carry the test mark old to new: used backwards it misses by twice the whole shift.",
    "grid": "Put the test mark's WGS 84 position on the grid as printed: a zone is hundreds of "
    "kilometres, a false northing ten thousand.",
    "geoid": "At the test mark N = h − H: its sign is the sign at the field.",
    "antenna": "h = altitude + separation, both from the receiver's own screen.",
    "epoch": "Frame, epoch of the list, epoch of the job: years × velocity. It creeps along with the "
    "plate, in its direction.",
    "plumb": "Foot of the plumb line: −η·d east, −ξ·d north. Against the array's noise it matters, or "
    "it is lost.",
    "corner": "Divide the metres by the feet: 0.304 800 6 is the US survey foot, 0.304 800 0 the "
    "international one. Two parts in a million of a northing.",
    "pilot": "Beside the test mark the longitude has the wrong letter.",
    "wreck": "Gons × 0.9 are degrees; then from Paris to Greenwich, +2.33723°. A miss of 2.3° in "
    "longitude, the same everywhere, is Paris.",
    "gauge": "Minutes and seconds are sixtieths: 0.3030 is 30′ 30″, half a degree and more.",
    "shift": "The header says west positive, so a positive shift goes west. The miss is twice the "
    "shift, east or west alone.",
}


def _steps_sheet(given: Given) -> list[str]:
    costs, steps = sheet.sizes(given), []
    for name in LINES:
        size = f"{number(costs[name], DECIMALS.get(name, 0))} {UNITS[name]}"
        if name in given["planted"]:
            said = f"**wrong, {size}**. Right is: {_held(name)(given)}."
        else:
            said = "right, **0**."
        steps.append(f"{_numbered(name)}: {said} {_SEEN[name]}")
    return steps


SHEET = Exercise(
    key="sailing-sheet",
    topic="sailing",
    title="The client's parameter sheet",
    edition=1,
    elements=(*FRAMES, *TRANSFORMING, *THREE_DIMENSIONS, *GRIDS, *HEIGHTS),
    aids="course tools",
    prompt="Quenby Subsea sends the *Maren Quill* a parameter sheet. The first seven rows are your "
    "**evidence** and are right; the thirteen numbered lines are as the client sent them, and **three "
    "to five are wrong**. For each line type **0 if it is right**, or **what it costs** if it is "
    "wrong: how far the point of that line comes out from where it belongs, all other lines being "
    "right. Lines 1, 2 and 3: the distance in space that the *test mark* is off after the "
    "transformation. Line 5: the height that is off where N is used as printed. Line 13: the way "
    "between the moved point and the right one. Lines 4, 10, 11 and 12: in **kilometres** over a "
    "sphere of 6\u202f371 km, in line 4 near the test mark. The others in metres. Paris stands 2.337\u202f229° "
    "east of Greenwich; 400 gon are a circle; the US survey foot is 1200/3937 m, the international "
    "foot 0.3048 m. Parameters are the registry's, International 1924 has a = 6\u202f378\u202f388 m, "
    "1/f = 297. A plumb line matters where it is off by more than the array's noise. Tolerances stand "
    "beside the entries. A fault found with its size off counts half; a false alarm takes half a "
    "fault off.",
    draw=sheet.draw,
    printed=(*EVIDENCE, *AS_RECEIVED),
    asked=tuple(
        Asked(
            name,
            f"{_numbered(name)} (±{TOLERANCES[name]:g})",
            "number",
            UNITS[name],
            DECIMALS.get(name, 0),
            TOLERANCES[name],
        )
        for name in LINES
    ),
    solve=_findings,
    slips=(
        Slip(
            "missed",
            "A fault missed",
            lambda g: dict.fromkeys(g["planted"], 0.0),
            "This line was taken as right, and it is wrong. Work it from its own numbers and from "
            "the evidence, and hold the two against each other.",
        ),
        Slip(
            "false-alarm",
            "A false alarm",
            _twins,
            FALSE_ALARM,
        ),
        Slip(
            "once",
            "Once what comes in twice",
            _once,
            "Found, and half its size: what is turned about is taken off where it should be added, so "
            "it is missing once and wrong once. Twice.",
        ),
    ),
    nudges=(
        "Begin with what needs no computing: names and numbers that belong together, letters and signs, "
        "headers and units.",
        "Carry the test mark through lines 1 to 4 as they stand. The size and direction of a miss say "
        "which line it is.",
        "Lines 5 and 6: which heights does the evidence give, above what?",
    ),
    steps=_steps_sheet,
    source=f"Operations 1905, 1927, 1613, ellipsoid 7022, meridian 8903, units 9002, 9003: {REGISTRY}. "
    "EGM96; ITRF2020 plate motion model.",
    remark_right="All thirteen lines are judged rightly, and each fault has its size. Now mend them, "
    "and carry the waypoint through.",
    reason=_reason,
    earned=_earned,
)


# sailing-waypoint -----------------------------------------------------------------------
# The wells' old positions carried by any wrong route land 3 m or more away; the drift is 0.3 m or
# more, six tolerances.

TARGET = _rows(sheet.TARGET)
CHAIN = ("ellipsoid", "convention", "direction", "grid", "geoid", "epoch")
EAST_NORTH = ("easting", "northing")


def _along(route: str) -> Callable[[Given], Answer]:
    def found(given: Given) -> Answer:
        answer = sheet.waypoint(given, route)
        return {name: answer[name] for name in EAST_NORTH}

    return found


def _after(given: Given, years: float) -> Answer:
    answer = sheet.waypoint(given, years=years)
    return {name: answer[name] for name in EAST_NORTH}


def _at_the_well(given: Given) -> Answer:
    answer = sheet.waypoint(given)
    return {
        "easting": answer["easting"] - given["offset_east"],
        "northing": answer["northing"] - given["offset_north"],
    }


def _height(change: Callable[[Given], float]) -> Callable[[Given], Answer]:
    return lambda given: {"height": sheet.seabed(given) + change(given)}


def _geoid_at(given: Given) -> float:
    return sheet.model(given["field"], sheet.well(given))[2]


def _steps_waypoint(given: Given) -> list[str]:
    field, place = given["field"], sheet.well(given)
    here, right = sheet.FIELDS[field], sheet.waypoint(given)
    start = sheet.carried(field, place, 0.0)
    years = given["job_epoch"] - given["list_epoch"]
    _, _, east, north = sheet.drift(field, place)
    geoid = _geoid_at(given)
    return [
        f"Lines 1 to 3 mended: {here.operation}, position vector, from {here.datum} on International "
        f"1924 to WGS 84. The well comes to {start.position[0]:.7f}°, {start.position[1]:.7f}°.",
        f"Line 4 mended, WGS 84 / UTM zone {here.zone} {here.hemisphere}: E {number(start.grid[0], 2)} "
        f"m, N {number(start.grid[1], 2)} m at {given['list_epoch']:.1f}.",
        f"Line 7 mended: {years:.1f} years with the plate are {east * years:+.2f} m east, "
        f"{north * years:+.2f} m north on the grid.",
        f"The offset {given['offset_east']:+.1f} m, {given['offset_north']:+.1f} m: **E "
        f"{number(right['easting'], 2)} m, N {number(right['northing'], 2)} m**, ITRF2020 at "
        f"{given['job_epoch']:.1f}.",
        f"Line 5 mended: h = N − chart datum − depth = {geoid:+.2f} − {given['chart_datum']:.2f} − "
        f"{given['depth']:.0f} = **{right['height']:+.2f} m** above the ellipsoid.",
        "Say it whole: surface, frame and epoch, unit and sign. A bare pair of numbers is no waypoint.",
    ]


WAYPOINT = Exercise(
    key="sailing-waypoint",
    topic="sailing",
    title="The waypoint, through the whole chain",
    edition=1,
    elements=(*FRAMES, *TRANSFORMING, *GRIDS, *HEIGHTS),
    aids="course tools",
    prompt="The same sheet, with its faults; mend them first. Carry the **well** from the old datum "
    "(its height on the old ellipsoid is 0) to the vessel's frame and epoch and onto the job's grid; "
    "the result of the transformation is agreed to be ITRF2020 at the list's epoch. Add the "
    "waypoint's offset on the grid. What are **easting and northing** at the epoch of the job, and the "
    "**ellipsoidal height of the seabed** there, up positive? The plate's velocity holds for the "
    "field. Give all three to 0.01 m; right within ±0.05 m.",
    draw=sheet.draw,
    draws_with="sailing-sheet",
    printed=(
        *TARGET,
        *(row for row in EVIDENCE if row.name.startswith("mark") or row.name == "plate"),
        *(row for row in AS_RECEIVED if row.name.removeprefix("line_") in CHAIN),
    ),
    asked=(
        Asked("easting", "Easting", "length", "m", 2, 0.05),
        Asked("northing", "Northing", "length", "m", 2, 0.05),
        Asked("height", "h of the seabed", "length", "m", 2, 0.05, positive="up"),
    ),
    pairs=(EAST_NORTH,),
    solve=sheet.waypoint,
    slips=(
        Slip(
            "convention",
            "The rotations of the other convention",
            _along("turned"),
            "The rotations went in with the wrong sign. These parameters are position vector: try them "
            "on the test mark.",
        ),
        Slip(
            "backwards",
            "The transformation backwards",
            _along("backwards"),
            "The parameters were used from WGS 84 to the old datum. Twice the whole shift: the test "
            "mark shows it.",
        ),
        Slip(
            "untouched",
            "The old numbers as they stand",
            _along("untouched"),
            "The old latitude and longitude went straight onto the new grid. No transformation at all.",
        ),
        Slip(
            "new-ellipsoid",
            "The old numbers on the new ellipsoid",
            _along("other ellipsoid"),
            "X, Y, Z were worked on WGS 84's ellipsoid. The old numbers belong to International 1924.",
        ),
        Slip(
            "no-epoch",
            "The plate left out",
            lambda g: _after(g, 0),
            "The position is that of the list's epoch. The plate has carried the well since.",
        ),
        Slip(
            "years-turned",
            "The years counted backwards",
            lambda g: _after(g, g["list_epoch"] - g["job_epoch"]),
            "The plate was run backwards. The job is later than the list: add years × velocity.",
        ),
        Slip(
            "no-offset",
            "The well, not the waypoint",
            _at_the_well,
            "That is the well itself. The waypoint stands off it: add the printed offset on the grid.",
        ),
        Slip(
            "geoid-sign",
            "N with its sign turned",
            _height(lambda g: -2 * _geoid_at(g)),
            "{value} has N turned about. At the test mark N = h − H gives its sign.",
        ),
        Slip(
            "no-datum",
            "Chart datum taken as the geoid",
            _height(lambda g: g["chart_datum"]),
            "{value} counts the depth from the geoid. Chart datum lies below it.",
        ),
        Slip(
            "datum-above",
            "Chart datum on the wrong side",
            _height(lambda g: 2 * g["chart_datum"]),
            "{value} has chart datum above the geoid. It lies below: take it off as well.",
        ),
        Slip(
            "no-geoid",
            "Height above the geoid for h",
            _height(lambda g: -_geoid_at(g)),
            "{value} is the seabed below the geoid. The vessel's height is above the ellipsoid: add N.",
        ),
    ),
    nudges=(
        "Old φ, λ to X, Y, Z; transformation; back to φ, λ; grid; plate; offset. Which line of the sheet "
        "stands at each step?",
        "The seabed: from the ellipsoid to the geoid, to chart datum, down to the bottom.",
    ),
    steps=_steps_waypoint,
    source=f"As the sheet: {REGISTRY}; EGM96; ITRF2020 plate motion model. Checked with pyproj "
    "pipelines in tests.",
)


# The small ones -------------------------------------------------------------------------

# A foot in a million feet is 2 parts in a million: 2.4 m or more here, 48 tolerances.


def _draw_foot(dice: Dice) -> Answer:
    return {"feet": dice.number(4_000_000, 24_000_000, 2)}


FEET = Exercise(
    key="sailing-foot",
    topic="sailing",
    title="Which foot?",
    edition=1,
    elements=GRIDS,
    aids="calculator",
    prompt="A lease corner has this northing in **US survey feet** (1200/3937 m). The client entered it "
    "with the international foot (0.3048 m). What is the northing in metres, and how far off is the "
    "client's, **right minus the client's**? Give both to 0.01 m; right within ±0.02 m.",
    draw=_draw_foot,
    printed=(Printed("feet", "northing", "US survey ft", 2),),
    asked=(
        Asked("metres", "Northing", "number", "m", 2, 0.02),
        Asked("off", "Right − client's", "number", "m", 2, 0.02, positive="north"),
    ),
    solve=lambda g: {"metres": g["feet"] * US_FOOT, "off": g["feet"] * (US_FOOT - FOOT)},
    carry=lambda g, own: {"off": own["metres"] - g["feet"] * FOOT},
    slips=(
        Slip(
            "international",
            "The international foot",
            lambda g: {"metres": g["feet"] * FOOT, "off": 0.0},
            "This is the client's own number, with the international foot.",
        ),
        Slip(
            "other-way",
            "The two feet in each other's place",
            lambda g: {"metres": g["feet"] * FOOT * FOOT / US_FOOT},
            "{value} goes two parts in a million the wrong way: the US survey foot is the longer one.",
        ),
        Slip(
            "turned",
            "The client's minus the right",
            lambda g: {"off": g["feet"] * (FOOT - US_FOOT)},
            "{value} has its sign turned: right minus the client's.",
            also=("sign",),
        ),
        Slip(
            "rounded",
            "3.28 feet in a metre",
            lambda g: {"metres": g["feet"] / 3.28, "off": g["feet"] * (1 / 3.28 - FOOT)},
            "{value} comes from 3.28 feet in a metre. On a northing that is hundreds of metres and "
            "more: carry 3937/1200.",
        ),
    ),
    nudges=("1200/3937 is 0.304 800 609 6…: carry ten figures, a northing is long.",),
    steps=lambda g: [
        f"{number(g['feet'], 2)} × 1200/3937 = **{number(g['feet'] * US_FOOT, 2)} m**.",
        f"With 0.3048 it is {number(g['feet'] * FOOT, 2)} m: right minus the client's is "
        f"**{g['feet'] * (US_FOOT - FOOT):+.2f} m**. Two parts in a million: nothing on a pipe joint, "
        "metres on a northing.",
    ],
    source=f"Units 9002 and 9003, {REGISTRY}; US Metric Law of 1866 and Mendenhall Order of 1893 "
    "(*from memory*).",
)


def _draw_paris(dice: Dice) -> Answer:
    return {"gon": dice.signed(20, 170, 4)}


def _greenwich(degrees: float) -> Answer:
    return {"longitude": degrees}


ZERO = Exercise(
    key="sailing-paris",
    topic="sailing",
    title="Gons from Paris",
    edition=1,
    elements=FRAMES,
    aids="calculator",
    prompt="An old French chart gives a wreck's longitude in **gons from Paris**, east positive. What is "
    "it in **decimal degrees from Greenwich**, east positive? 400 gon are a circle; Paris stands "
    "2.337\u202f229° east of Greenwich. Give it to 0.0001°; right within ±0.0002°.",
    draw=_draw_paris,
    printed=(Printed("gon", "λ from Paris, east +", "gon", 4, signed=True),),
    asked=(Asked("longitude", "λ from Greenwich", "number", "°", 4, 0.0002, positive="east"),),
    solve=lambda g: _greenwich(g["gon"] * 0.9 + PARIS),
    slips=(
        Slip(
            "no-paris",
            "Paris taken for Greenwich",
            lambda g: _greenwich(g["gon"] * 0.9),
            "{value} counts from Paris. Greenwich lies 2.337° further west: add it.",
        ),
        Slip(
            "subtracted",
            "Paris taken off",
            lambda g: _greenwich(g["gon"] * 0.9 - PARIS),
            "{value} has Paris on the wrong side. Paris lies east of Greenwich, so the number grows.",
        ),
        Slip(
            "as-degrees",
            "Gons read as degrees",
            lambda g: _greenwich(g["gon"] + PARIS),
            "{value} takes a gon for a degree. 400 gon are 360°.",
        ),
        Slip(
            "upside-down",
            "Divided by 0.9",
            lambda g: _greenwich(g["gon"] / 0.9 + PARIS),
            "{value} divided by 0.9. A gon is the smaller unit: fewer degrees than gons.",
        ),
    ),
    nudges=("First the unit, then the meridian.", "Which of the two cities lies further east?"),
    steps=lambda g: [
        f"{g['gon']:+.4f} gon × 0.9 = {g['gon'] * 0.9:+.5f}° from Paris.",
        f"From Greenwich: {g['gon'] * 0.9:+.5f}° + 2.33723° = **{g['gon'] * 0.9 + PARIS:+.4f}°**.",
    ],
    source=f"Paris, prime meridian 8903: 2.596 921 3 gon, {REGISTRY}.",
)


# Minutes 12 to 57 and seconds 12 to 57, minutes and seconds 5 or more apart: every reading of the
# digits differs by 0.002° or more.


def _draw_packed(dice: Dice) -> Answer:
    while True:
        minutes, seconds = dice.whole(12, 57), dice.whole(12, 57)
        if abs(minutes - seconds) >= 5:
            break
    return {"packed": printed(dice.whole(4, 64) + minutes / 100 + seconds / 10_000, 4)}


def _digits(given: Given) -> tuple[int, int, int]:
    whole = round(given["packed"] * 10_000)
    return whole // 10_000, whole // 100 % 100, whole % 100


def _packed(reading: Callable[[int, int, int], float]) -> Callable[[Given], Answer]:
    return lambda given: {"latitude": reading(*_digits(given))}


PACKED = Exercise(
    key="sailing-packed",
    topic="sailing",
    title="A list headed DD.MMSS",
    edition=1,
    elements=FRAMES,
    aids="calculator",
    prompt="A tide gauge's latitude stands in a list headed **DD.MMSS**: degrees, then two digits of "
    "minutes, then two of seconds. What is it in **decimal degrees**, north positive? Give it to "
    "0.00001°; right within ±0.00002°.",
    draw=_draw_packed,
    printed=(Printed("packed", "φ, DD.MMSS", "", 4),),
    asked=(Asked("latitude", "φ", "number", "°", 5, 0.00002, positive="north"),),
    solve=_packed(lambda d, m, s: d + m / 60 + s / 3600),
    slips=(
        Slip(
            "as-decimal",
            "Read as decimal degrees",
            lambda g: {"latitude": g["packed"]},
            "{value} reads the digits as decimals. They are minutes and seconds, in sixtieths.",
        ),
        Slip(
            "hundredths",
            "Seconds as hundredths of a minute",
            _packed(lambda d, m, s: d + (m + s / 100) / 60),
            "{value} reads the last two digits as hundredths of a minute, DD.MMmm. They are seconds.",
        ),
        Slip(
            "no-seconds",
            "Seconds left out",
            _packed(lambda d, m, s: d + m / 60),
            "{value} stops at the minutes. A second is 31 m.",
        ),
        Slip(
            "swapped-digits",
            "Minutes and seconds swapped",
            _packed(lambda d, m, s: d + s / 60 + m / 3600),
            "{value} takes the seconds first. Minutes stand next to the point.",
        ),
    ),
    nudges=("Take the digits apart: degrees, minutes, seconds.",),
    steps=lambda g: [
        "Taken apart: {}° {:02d}′ {:02d}″.".format(*_digits(g)),
        f"φ = **{sheet.unpacked(g['packed']):.5f}°**. Read as decimal degrees it would be "
        f"{abs(sheet.unpacked(g['packed']) - g['packed']) * 111.2:.1f} km off.",
    ],
    source="Common practice of hand calculators and older software, no source.",
)


# Say first ------------------------------------------------------------------------------

FIRST = choice(
    "sailing-first-proof",
    "Say first: what does the test point prove?",
    "The client's test point comes out within 2 cm through your software. What is proven?",
    ("path", "That this path of ellipsoid, parameters and direction is right at that point"),
    {
        "all": (
            "That the whole parameter sheet is right",
            "Heights, epochs, units and the other lists never went through that point. Each needs a "
            "check of its own.",
        ),
        "everywhere": (
            "That positions are right to 2 cm everywhere",
            "A rotation or a scale that is wrong shows with distance from the point, and the old frame "
            "has its own distortions.",
        ),
        "client": (
            "That the client's coordinates are right",
            "The point shows that you compute as the client does. If the client is wrong, so are you, to "
            "2 cm.",
        ),
    },
    elements=(*FRAMES, *TRANSFORMING),
    because="A test point proves the path it went through, at its place: ellipsoid, convention, "
    "direction, perhaps the grid. It says nothing of heights above the sea, epochs, units, or points "
    "from another list. So a sheet is checked line by line.",
    source="Common practice, no source.",
    marks=0,
)

EXERCISES = (FIRST, FEET, ZERO, PACKED, SHEET, WAYPOINT)
