"""A class as typed and as a spreadsheet saves it."""

import pytest

from exercises.sheets import roster


def test_ranges_and_single_codes():
    assert roster.codes("T01-T03, t20") == ["T01", "T02", "T03", "T20"]
    assert roster.codes("T9–11;AB") == ["T9", "T10", "T11", "AB"]
    assert roster.codes("T01 - T02") == ["T01", "T02"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "names nobody"),
        ("T01-T03, T02", "T02 stands twice"),
        ("T12-T01", "lower one first"),
        ("T01-S05", "same letters"),
        ("T1-T99999", "at most"),
        ("=T01", "not a trainee code"),
    ],
)
def test_a_list_that_cannot_be_meant(text, says):
    with pytest.raises(ValueError, match=says):
        roster.codes(text)


def write(tmp_path, contents):
    path = tmp_path / "roster.csv"
    path.write_bytes(contents if isinstance(contents, bytes) else contents.encode())
    return path


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_a_roster_as_spreadsheets_save_it(tmp_path, separator, mark):
    lines = ["Name;Code;Paper", "", "Jørgen Ås;t01;7", ";;", '"=cmd()";T02;', ""]
    text = "\r\n".join(lines).replace(";", separator)
    people = roster.read(write(tmp_path, mark + text.encode()))
    assert people == [roster.Person("T01", "Jørgen Ås", "7"), roster.Person("T02", "=cmd()", "")]


@pytest.mark.parametrize(
    ("contents", "says"),
    [
        ("", "is empty"),
        ("code,name\n", "nobody under it"),
        ("name,who\nA,B\n", "names no column"),
        ("code,name\nT01,A\nT02,B\nt01,C\n", "T01 stands 2 times"),
        ("code,name\nT01,A\n7,B\n\nnine lives,C\n", "line 3: .*line 5: "),
        (b"code,name\nT01,J\xf8rgen\n", "UTF-8"),
        ("x" * (2 * roster.LARGEST), "2 MB"),
    ],
)
def test_a_roster_that_cannot_be_used(tmp_path, contents, says):
    with pytest.raises(ValueError, match=says):
        roster.read(write(tmp_path, contents))


def test_a_cell_without_end_is_reported(tmp_path):
    path = tmp_path / "class.csv"
    path.write_text("code,name\nT01," + "x" * 200_000, encoding="utf-8")
    with pytest.raises(ValueError, match=r"class\.csv, line 2: field larger"):
        roster.read(path)
