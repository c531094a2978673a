"""
One writer of numbers: in the reader's own decimal sign, with a sign or a direction word.

What is checked is what stands on the page, in the picture, on paper and in the register; the
words that name a direction are listed here by hand.
"""

import html
import itertools
import re

import pytest

from exercises import BANK, given, mark, read
from exercises.pages.pages import stressed
from exercises.paper import handout
from exercises.question.wording import in_sign
from exercises.register import register
from exercises.sheets import roster, session
from exercises.sheets.roster import Person
from exercises.sheets.scenario import PLACES
from exercises.trainer import sailing
from lessons.computing.computations import COMPUTATIONS
from lessons.computing.workbench import Workbench
from lessons.figures import deflection
from lessons.widgets.answer_box import ask
from lessons.widgets.pieces import HtmlPiece, PieceAboutOthers
from lessons.widgets.small import worked
from tests.test_figures import FIGURES, ends
from tests.test_report import PLUMB, TOTAL, Desk

NUMERIC = [key for key, one in BANK.items() if any(a.kind != "choice" for a in one.asked)]
UNIT = r"(?:[°′″%]|[kcm]?m|NM|mGal|mas|ppm|mm a year|mm/yr)"
WORD = (
    "west|east|north|south|up|down|upwards|downwards|below|above|deep|clockwise|anticlockwise|"
    "longer|shorter|forward|back|aft|ahead|starboard|port|bow|stern|left|right of|higher|lower|"
    "too large|too small|added|subtracted|passes|fails|[NSEW]"
)
SIGNED = rf"(?<![\w)])[+−-](?=\d)[\d\u202f\u00a0.,]*\s?{UNIT}?"
BOTH = re.compile(rf"{SIGNED}\*{{0,2}}\s+(?:to the |too )?(?:{WORD})\b")
POINT = re.compile(r"\d\.\d")
WALL = PLACES["Brindle Wall"]


def trainees(full):
    return [f"T{number:03}" for number in range(1, 201 if full else 21)]


def plain(page):
    """The text of a page or a piece of it, without its styles and what somebody typed."""
    page = re.sub(r"<(style|script|bdi|code)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return html.unescape(re.sub("<[^>]*>", " | ", re.sub("</?[bi]>", "", page)))


@pytest.fixture
def comma(tmp_path, monkeypatch):
    """T07, who writes 12,5."""
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    session.sign_in("T07")
    session.choose_decimal(",")


# What becomes a comma and what does not ------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "with_commas"),
    [
        ("right within ±0.05 m.", "right within ±0,05 m."),
        ("6\u202f378\u202f137.000 m", "6\u202f378\u202f137,000 m"),
        ("X, Y, Z = 1.5, −2.25, +3 m", "X, Y, Z = 1,5; −2,25; +3 m"),
        ("12, 1.5", "12; 1,5"),
        ("lessons 1, 2 and 3; in 1983, 2007", "lessons 1, 2 and 3; in 1983, 2007"),
        ("at 2026.5 by IHO S-44, edition 6.1.0", "at 2026,5 by IHO S-44, edition 6.1.0"),
        ("section 4.2 says 4.2 m", "section 4.2 says 4,2 m"),
        ("PROJ 9.5 and pyproj 3.7", "PROJ 9.5 and pyproj 3.7"),
        ("answers-T07.jsonl at 07:32, 1.12.2026", "answers-T07.jsonl at 07:32, 1.12.2026"),
        ("“4.437”: write 4,437", "“4.437”: write 4,437"),
        ("<b style='x: 0.5em'>0.5</b>", "<b style='x: 0.5em'>0,5</b>"),
        ("a < 0.5 and b > 1.5", "a < 0,5 and b > 1,5"),
        ("<bdi>0.35</bdi> 0.35 <code>v1.5</code>", "<bdi>0.35</bdi> 0,35 <code>v1.5</code>"),
        ("φ 41° 05′ 09.25″ N. 30 m", "φ 41° 05′ 09,25″ N. 30 m"),
        ("5.8 × 10⁻⁴", "5,8 × 10⁻⁴"),
        ("$E = 0.5ab$ is 0.5 m²", "$E = 0.5ab$ is 0,5 m²"),
    ],
)
def test_what_becomes_a_comma_and_what_does_not(text, with_commas):
    assert in_sign(text, ",") == with_commas
    assert in_sign(with_commas, ",") == with_commas, "a second time"
    assert in_sign(text, ".") == in_sign(text, None) == text


@pytest.mark.parametrize(
    ("text", "both"),
    [
        ("lands −15.76 m west", True),
        ("is **−15.76 m** west", True),
        ("stands +60.7″ north", True),
        ("+2.0° bow up", True),
        ("goes −12 mm a year south", True),
        ("h = −3.0 m below the ellipsoid", True),
        ("15.76 m west", False),
        ("**−15.76 m**: west of it", False),
        ("−15.76 m, +0.5 m", False),
    ],
)
def test_the_look_for_sign_and_direction_finds_them(text, both):
    assert bool(BOTH.search(text)) == both


# Worked answers, typed back ------------------------------------------------------------------


def results(exercise, numbers, decimal):
    """What stands bold in a worked answer as it is printed."""
    for step in exercise.steps(numbers):
        page = in_sign(stressed(step), decimal)
        yield from (html.unescape(bold) for bold in re.findall(r"<b>(.+?)</b>", page))


def typed_back(asked, right, printed, decimal):
    """The bold text that means this part's answer."""
    for text in printed:
        try:
            apart = abs(read(asked, text, decimal) - right)
        except ValueError:
            continue
        if asked.kind in ("azimuth", "longitude"):
            apart = min(apart, abs(apart - 360))
        if apart <= asked.tolerance:
            return text
    return "not printed"


@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("key", NUMERIC)
def test_a_worked_answer_typed_back_as_printed_is_right(key, decimal, full):
    exercise = BANK[key]
    for trainee in trainees(full):
        numbers = given(exercise, trainee, 1)
        right, printed = exercise.solve(numbers), list(results(exercise, numbers, decimal))
        typed = {
            asked.name: right[asked.name]
            if asked.kind == "choice"
            else typed_back(asked, right[asked.name], printed, decimal)
            for asked in exercise.asked
        }
        assert mark(exercise, numbers, typed, decimal=decimal).right, (trainee, typed, printed)


@pytest.mark.parametrize("key", NUMERIC)
def test_a_worked_answer_has_a_true_minus_and_thin_spaces(key):
    for trainee in trainees(False):
        for step in BANK[key].steps(given(BANK[key], trainee, 1)):
            assert not re.search(r"(?<![\w)])-\d|\de[+-]\d", step), step
            assert not re.search(r"(?<![\d.])(?!(?:19|20)\d\d\.)\d{4,}\.\d", step), step


# A sign or a direction word, never both ------------------------------------------------------


def said(exercise, numbers):
    """All that is said about an exercise: asked, printed, worked, and each slip's verdict."""
    right = exercise.solve(numbers)
    yield from (exercise.prompt, *exercise.nudges, *exercise.steps(numbers))
    yield from (f"{label}: {text}" for label, text in exercise.table(numbers))
    for answer in (right, *exercise.wrong(numbers).values()):
        values = right | answer
        typed = {asked.name: asked.show(values[asked.name]) for asked in exercise.asked}
        verdict = mark(exercise, numbers, typed, decimal=".")
        yield from (verdict.heading, verdict.sentence)
    for asked in exercise.asked:
        yield from (asked.say(right[asked.name]), asked.within)


@pytest.mark.parametrize("key", BANK)
def test_no_exercise_says_a_sign_and_a_direction(key):
    for trainee in trainees(False):
        for text in said(BANK[key], given(BANK[key], trainee, 1)):
            assert not BOTH.search(text), text


def rows_of(canvas):
    """The words of a picture, those that stand close beside each other in one line."""
    rows = {}
    for entry in canvas.written:
        rows.setdefault(round(entry.box[3]), []).append(entry)
    for row in rows.values():
        row.sort(key=lambda entry: entry.box[0])
        text = row[0].text
        for before, entry in itertools.pairwise(row):
            text += (" " if entry.box[0] - before.box[2] < 30 else " | ") + entry.text
        yield text


@pytest.mark.parametrize("name", sorted(FIGURES))
def test_a_figure_in_commas_with_a_sign_or_a_direction(name, comma):
    figure = FIGURES[name](WALL)
    assert figure.drawing.canvas.decimal == ","
    for where in ends(figure):
        for text in (plain(figure.readout.value), *rows_of(figure.drawing.canvas)):
            assert not BOTH.search(text), f"{where}: {text}"
            assert not POINT.search(text), f"{where}: {text}"
        fields = [c._field.value for c in figure.controls.values() if hasattr(c, "_field")]
        assert not POINT.search(" | ".join(fields)), where


def test_a_step_of_a_slider_reads_the_settings_once(comma, monkeypatch):
    figure, reads, read_now = deflection.consequences(WALL), [], session.open
    monkeypatch.setattr(session, "open", lambda: reads.append(1) or read_now())
    figure.controls["line"].set(12.5)
    assert (figure.controls["line"]._field.value, len(reads)) == ("12,5", 1)
    session.choose_decimal(".")
    figure.controls["line"].set(14)  # and never remembers it
    assert figure.drawing.canvas.decimal == "."


def test_papers_are_printed_in_each_ones_decimal_sign():
    people = [Person("T07", decimal=","), Person("T08", decimal="."), Person("T09")]
    exercises = [one for one in BANK.values() if one.marks]
    for person in people:
        sheet = plain(handout.sheets(exercises, [person], 1, "Exercises"))
        sheet += plain(sailing.page([person]))
        assert bool(POINT.search(re.sub("“.*?”", "", sheet))) == (person.decimal != ",")
        assert not BOTH.search(sheet)
    key = plain(handout.key([BANK["deflection-plumb-offset"]], people, 1, "Exercises"))
    numbers = given(BANK["deflection-plumb-offset"], "T07", 1)
    east = BANK["deflection-plumb-offset"].solve(numbers)["east"]
    assert BANK["deflection-plumb-offset"].asked[0].say(east, ",") in key


def test_a_roster_says_who_writes_the_comma(tmp_path):
    path = tmp_path / "class.csv"
    path.write_text('code;decimal\nT01;","\nT02;.\nT03;comma\nT04;\n', encoding="utf-8")
    assert [one.decimal for one in roster.read(path)] == [",", ".", ",", None]
    path.write_text("code,decimal\nT01,semicolon\n", encoding="utf-8")
    with pytest.raises(ValueError, match="line 2: “semicolon” is not a decimal sign"):
        roster.read(path)


# The pages of a comma trainee ----------------------------------------------------------------


def shown(widget):
    """All words of a widget and of what stands in it."""
    own = [plain(widget.value)] if isinstance(widget, HtmlPiece) else []
    options = [label for label, _ in getattr(widget, "options", ()) if isinstance(label, str)]
    return (
        own + options + [text for child in getattr(widget, "children", ()) for text in shown(child)]
    )


@pytest.mark.parametrize("key", BANK)
def test_a_box_has_no_point_for_a_comma_trainee(key, comma):
    box, exercise = ask(key), BANK[key]
    wrong = next(iter(exercise.wrong(box.practice.given).values()))
    values = exercise.solve(box.practice.given) | wrong
    for asked in exercise.asked:
        box.entries[asked.name].value = asked.show(values[asked.name], ",")
    pages = [shown(box)]
    for act in (box.check, box.nudge, box.show):
        if act != box.nudge or exercise.nudges:
            act()
            pages.append(shown(box))
    assert len(" ".join(pages[-1])) > 100
    text = re.sub("“.*?”", "", " ".join(itertools.chain(*pages)))
    assert not POINT.search(text), (
        POINT.search(text) and text[POINT.search(text).start() - 60 :][:120]
    )


def test_a_box_and_a_figure_follow_the_sign_that_is_chosen(tmp_path, monkeypatch):
    monkeypatch.setenv(session.FOLDER_VARIABLE, str(tmp_path))
    session.sign_in("T07")
    box, figure = ask("deflection-plumb-offset"), deflection.two_verticals(WALL)
    reported = worked("Worked once: **12.5 m**.")
    box.entries["east"].value = "0,3"
    assert "0.01\xa0m" in plain(box.prompt.value)
    box.choose_decimal(",")
    assert "0,01\xa0m" in plain(box.prompt.value)
    assert box.entries["east"].value == "0,3", "what is typed stays"
    assert "12,5\xa0m" in plain(reported.value)
    assert not POINT.search(plain(figure.readout.value))
    assert "," in figure.controls["site"]._latitude._field.value
    box.choose_decimal(".")
    assert "0.01\xa0m" in plain(box.prompt.value)
    assert "12.5\xa0m" in plain(reported.value)
    assert POINT.search(plain(figure.readout.value))


def test_a_field_in_trouble_is_alone_in_trouble(comma):
    figure = deflection.two_verticals(WALL)
    wire, site = figure.controls["wire"], figure.controls["site"]
    latitude, longitude = site._latitude, site._longitude
    latitude._field.value = "19.125"
    assert "your decimal sign is the comma" in plain(figure.readout.value)
    assert "gk-trouble" in latitude._field._dom_classes
    assert "gk-failed" not in figure._dom_classes
    picture = figure.picture.value
    wire._field.value = "2500"
    longitude._field.value = "-66,5"
    assert figure.picture.value != picture, "the other fields go on"
    assert (wire.value, site.value.longitude) == (2500, -66.5)
    assert latitude._field.value == "19.125", "what is typed stays"
    latitude._field.value = "19,125"
    assert site.value.latitude == 19.125
    assert "gk-trouble" not in latitude._field._dom_classes
    assert "gk-error" not in figure.readout.value


def test_the_workbench_begins_and_answers_in_commas(comma):
    bench = Workbench()
    for title, one in COMPUTATIONS.items():
        bench.choose(title)
        typed = [field.value for field in one.fields if not field.choices]
        fields = [bench.fields[f.name].value for f in one.fields if not f.choices]
        assert not POINT.search(" ".join(fields)), (title, typed)
    bench.choose("Polygon on the ellipsoid")
    bench.fields["corners"].value = "50,5 2\n51 3,25\n50 4"
    bench.fields["ellipsoid"].value = "WGS 84"
    bench.compute()
    assert re.search(r"\d,\d", plain(bench.results.value))
    assert not POINT.search(plain(bench.results.value))


def test_a_register_row_stands_in_the_sign_that_its_trainee_writes(tmp_path):
    folder = tmp_path / "class"
    for code, sign in (("T07", ","), ("T08", ".")):
        right = PLUMB.solve(given(PLUMB, code, 1))
        typed = {a.name: a.show(-right[a.name], sign) for a in PLUMB.asked}
        Desk(folder, code).answer(decimal=sign, **typed)
        Desk(folder, code).put("shown", TOTAL)
    register.write(folder, tmp_path / "out")
    for code, sign, other in (("T07", ",", "."), ("T08", ".", ",")):
        page = tmp_path / "out" / "register" / f"register-{code}.html"
        reported = page.read_text(encoding="utf-8").partition("<footer")[0]
        row = reported.partition('<div class="turn">')[
            2
        ]  # before it stand the standard's own numbers
        row = re.sub(r"</?bdi>", "", row)  # what was typed as well
        assert re.search(rf"\d{re.escape(sign)}\d", plain(row))
        assert not re.search(rf"\d{re.escape(other)}\d", plain(row)), code
        assert not BOTH.search(plain(row))


def test_what_reports_on_others_stays_in_their_sign(comma):
    assert "0.5" in PieceAboutOthers("0.5").value
    assert "0,5" in HtmlPiece("0.5").value
