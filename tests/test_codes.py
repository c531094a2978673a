"""What the tests take for a trainee's code in a text."""

import pytest

from tests.codes import named


@pytest.mark.parametrize(
    "text", ["T07", "answers-T07.jsonl", '{"trainee": "T07"', "<b>T07</b>", b"T07,1", "(T07_1)"]
)
def test_a_code_is_seen(text):
    assert named("T07", text)


@pytest.mark.parametrize("text", ["2026-03-17T07:32:15+00:00", "T070", "T7", b"AT07", "t07", ""])
def test_a_time_or_a_longer_code_is_not(text):
    assert not named("T07", text)
