"""The elements of the standard: what the course covers, where a trainee stands, the README."""

import functools
import re
from collections import Counter
from pathlib import Path

import pytest

from exercises import BANK
from exercises.bank import concept as questions
from exercises.bank.syllabus import LESSONS, lesson_number
from exercises.instructor import competence
from exercises.instructor.competence import BEGIN, ELEMENTS, END, exercises_of, standing
from exercises.sheets.report import Standing

ROOT = Path(__file__).resolve().parents[1]
each_element = pytest.mark.parametrize("element", ELEMENTS, ids=lambda element: element.key)


def stand_at(element, standings):
    return next(stand for stand in standing(standings) if stand.element.key == element)


def test_every_element_that_an_exercise_cites_is_listed_once():
    listed = [element.key for element in ELEMENTS]
    assert len(set(listed)) == len(listed) == 22
    cited = Counter(key for exercise in BANK.values() for key in exercise.elements)
    assert set(cited) <= set(listed), "an exercise cites an element that the list does not know"


@each_element
def test_says_what_it_asks_and_what_lacks(element):
    assert re.fullmatch(r"S-5[AB] [EFH]\d\.\d[a-d]?", element.key)
    assert element.level in competence.LEVELS
    assert len(element.asks) > 15
    assert exercises_of(element.key) or element.lacks or "not covered" in _row(element.key)


def test_lessons_come_from_the_bank():
    """The plan's column was one off for datums and motion: datums came before motion."""
    assert competence.lessons_of("S-5A F1.2b")[:2] == ["10", "11"]
    assert competence.lessons_of("S-5A F1.1b") == ["06"]
    for element in ELEMENTS:
        topics = {exercise.topic for exercise in exercises_of(element.key)}
        assert competence.lessons_of(element.key) == sorted(map(lesson_number, topics))


def test_only_marked_exercises_count():
    assert all(exercise.marks for element in ELEMENTS for exercise in exercises_of(element.key))
    assert "geoid-first-calm" in {e.key for e in exercises_of("S-5A F1.1a", marked=False)}
    assert competence.ideas_of("S-5A F1.1a") == ["geoid", "plumb", "mass"]
    assert {idea.lesson for idea in questions.IDEAS} <= set(LESSONS)


# Where a trainee stands ----------------------------------------------------------------


def test_nothing_done():
    stand = stand_at("S-5A F1.1b", {})
    assert (stand.done, stand.of, stand.right) == (0, 2, 0)
    assert stand.best is stand.first is None
    assert stand.state == "not begun"


def test_best_first_and_weak():
    standings = {
        "geoid-anomaly": Standing("geoid-anomaly", first=0.0, best=1.0),
        "geoid-eotvos": Standing("geoid-eotvos", first=0.5, best=0.5),
        "geoid-first-calm": Standing("geoid-first-calm", choice="level"),
    }
    stand = stand_at("S-5A F1.1b", standings)
    assert (stand.done, stand.right) == (2, 1)
    assert (stand.best, stand.first) == (0.75, 0.25)
    assert stand.state == "weak"
    assert stand.slips == ("geoid-eotvos",)
    weakest = competence.weak(standing(standings))
    assert weakest[0].element.key == "S-5A F1.1b"


def test_a_part_done_is_begun_and_all_of_it_firm():
    one = {"geoid-anomaly": Standing("geoid-anomaly", first=1.0, best=1.0)}
    assert stand_at("S-5A F1.1b", one).state == "begun"
    both = one | {"geoid-eotvos": Standing("geoid-eotvos", best=1.0)}
    stand = stand_at("S-5A F1.1b", both)
    assert stand.state == "firm"
    assert stand.first == 0.5  # right on a later turn only: no first answer


def test_an_answer_that_was_not_understood_is_no_mark():
    one = {"geoid-eotvos": Standing("geoid-eotvos", not_understood=2)}
    assert stand_at("S-5A F1.1b", one).done == 0


def test_a_class_leaves_out_who_has_no_mark():
    rows = competence.of_class(
        {"T01": {"geoid-eotvos": Standing("geoid-eotvos", best=0.0)}, "T02": {}}
    )
    assert [row.trainee for row in rows] == ["T01"]


# The README's table --------------------------------------------------------------------


@functools.cache
def _row(element):
    key = element.replace(" ", "\u00a0").replace("-", "\u2011")
    return next(line for line in competence.table().splitlines() if line.startswith(f"| {key} "))


def test_the_readme_is_up_to_date():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert text == competence.with_table(text), "run `python tests/tidy.py`: its table is stale"


def test_every_marked_exercise_stands_in_the_table():
    for exercise in BANK.values():
        if exercise.marks:
            for element in exercise.elements:
                own = exercise.key.removeprefix(exercise.topic + "-")
                topic = rf"{lesson_number(exercise.topic)}\u00a0{exercise.topic}: "
                assert re.search(rf"{topic}[^|<]*\b{own}\b", _row(element)), (element, exercise.key)


def test_what_no_exercise_serves_is_not_covered():
    without = {key: e for key, e in BANK.items() if "S-5B E3.2c" not in e.elements}
    line = next(row for row in competence.table(without).splitlines() if "Tidal reference" in row)
    assert "**not covered**" in line


def test_a_stale_table_is_renewed_and_nothing_else_touched(tmp_path):
    path = tmp_path / "README.md"
    path.write_text(f"# Øverst\n\n{BEGIN}\nold\n{END}\n\nthe rest\n", encoding="utf-8")
    assert competence.keep_table(path)
    text = path.read_text(encoding="utf-8")
    assert text.startswith(f"# Øverst\n\n{BEGIN}\n")
    assert text.endswith(f"{END}\n\nthe rest\n")
    assert "old" not in text
    assert not competence.keep_table(path)


@pytest.mark.parametrize("text", ["", BEGIN, f"{END}{BEGIN}", f"{BEGIN}{END}{BEGIN}{END}"])
def test_a_readme_without_its_marks_says_so(text):
    with pytest.raises(ValueError, match="lacks the marks"):
        competence.with_table(text)
