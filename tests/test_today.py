"""Today's exercises: what the page prints is what the trainee gets and what marking makes of it."""

import re

import pytest

from exercises import BANK, __main__
from exercises.question import dice, marking
from exercises.trainer import today


@pytest.mark.parametrize("key", ["deflection-total", "ecef-forward", "datums-seven"])
def test_each_answer_is_marked_as_the_page_says(key):
    """The right cell is marked right and a slip's cell as a slip, from the drawn numbers."""
    exercise = BANK[key]
    table = today.table(exercise, ["T01", "T02", "T03"], 2)
    for row in table.rows:
        given = dice.given(exercise, row.trainee, 2)
        typed = dict(zip((a.name for a in exercise.asked), map(_as_typed, row.right), strict=True))
        assert marking.mark(exercise, given, typed, decimal=".").right, (row, typed)
        for slip, cell in zip(exercise.slips, row.slips, strict=False):
            wrong = {
                name: typed[name] if text == "–" else _as_typed(text)
                for name, text in zip(typed, cell, strict=True)
            }
            if wrong != typed:
                verdict = marking.mark(exercise, given, wrong, decimal=".")
                assert verdict.state == "slip", (slip.key, wrong, verdict)


def _as_typed(text):
    number = re.sub(r"[\u202f\s]", "", text.partition("\xa0")[0])
    return text if "°" in text and "′" in text else re.match(r"[−+]?[\d.]+", number)[0]


def test_a_choice_is_printed_once():
    table = today.table(BANK["deflection-first-weight"], ["T01", "T02"])
    assert not table.rows
    assert [right for right, _, _ in table.choices].count(True) == 1


def test_a_lesson_gives_all_its_exercises_in_order():
    keys = [exercise.key for exercise in today.of_lesson("8")]
    assert keys == [key for key in BANK if key.startswith("deflection-")]
    for number in ("0", "14", "x", "", "²"):
        with pytest.raises(ValueError, match="not a lesson"):
            today.of_lesson(number)


def test_the_command_writes_a_page_without_script(tmp_path, capsys):
    out = tmp_path / "new" / "today.html"
    keys = ["deflection-total", "deflection-first-weight"]
    assert __main__.main(["today", *keys, "--trainees", "T01-T03", "--out", str(out)]) == 0
    page = out.read_text(encoding="utf-8")
    right = BANK[keys[0]].solve(dice.given(BANK[keys[0]], "T02", 1))["size"]
    assert BANK[keys[0]].part("size").say(right) in page
    assert "default-src 'none'" in page
    assert "<script" not in page
    said = capsys.readouterr().out
    assert "2 exercises for 3 trainees, turn 1" in said
    assert not list(out.parent.glob("*.tmp"))


@pytest.mark.parametrize(
    "arguments",
    [
        ["--trainees", "T01"],
        ["nothing-such", "--trainees", "T01"],
        ["deflection-total", "--trainees", "T01", "--turn", "0"],
        ["deflection-total", "--trainees", "T03-T01"],
        ["deflection-total", "--trainees", "T01-T61"],
        ["--lesson", "14", "--trainees", "T01"],
    ],
)
def test_what_cannot_be_done_is_said_and_writes_nothing(tmp_path, capsys, arguments):
    out = tmp_path / "today.html"
    assert __main__.main(["today", *arguments, "--out", str(out)]) == 2
    assert capsys.readouterr().err.strip()
    assert not out.exists()
