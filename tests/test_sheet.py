"""The answer sheet: appended to, never edited, read whatever has happened to it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import filelock
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.sheets import intake, sheet

ROOT = Path(__file__).resolve().parents[1]
TIME = "2026-03-16T09:00:00.000+00:00"


@pytest.fixture
def path(tmp_path):
    return tmp_path / "answers-T07.jsonl"


def remark(path, text):
    return sheet.append(path, {"event": "remark", "key": "deflection-total", "text": text})


def texts(path):
    return [event["text"] for event in sheet.read(path).events]


def test_what_is_appended_is_read_back_in_order(path):
    kept = [remark(path, text) for text in ("ξ −44.6″", "12,345", "  \t", "<b>", "العربية", "")]
    read = sheet.read(path)
    assert read.trainee == "T07"
    assert read.events == kept
    assert not read.troubles
    assert read.left == 0
    lines = path.read_bytes().splitlines()
    assert [json.loads(line)["digest"] for line in lines[:-1]] == [
        json.loads(line)["before"] for line in lines[1:]
    ]


def test_a_line_is_on_the_disk_before_append_returns(path, monkeypatch):
    seen = []
    monkeypatch.setattr(os, "fsync", lambda handle: seen.append(path.read_bytes()))
    remark(path, "kept")
    assert len(seen) == 1
    assert seen[0] == path.read_bytes()
    assert b"kept" in seen[0]


def test_appending_never_touches_what_is_there(path):
    for text in ("one", "two", "three"):
        before = path.read_bytes() if path.exists() else b""
        remark(path, text)
        assert path.read_bytes().startswith(before)


def test_torn_anywhere_in_its_last_line_the_rest_survives_and_goes_on(path):
    remark(path, "first")
    whole = path.stat().st_size
    remark(path, "second ø")
    both = path.read_bytes()
    for cut in range(whole + 1, len(both) - 1):
        path.write_bytes(both[:cut])
        read = sheet.read(path)
        assert [e["text"] for e in read.events] == ["first"]
        assert read.troubles == ["line 2: torn off before its end; skipped."] or (
            "not UTF-8" in read.troubles[0]  # cut inside the ø
        )
        assert read.left == 1
        remark(path, "third")
        assert path.read_bytes().startswith(both[:cut])
        assert texts(path) == ["first", "third"]
        assert len(sheet.read(path).troubles) == 1


def test_torn_between_line_and_newline_loses_nothing(path):
    remark(path, "first")
    path.write_bytes(path.read_bytes()[:-1])
    remark(path, "second")
    assert texts(path) == ["first", "second"]
    assert not sheet.read(path).troubles


def test_another_program_saved_it(path):
    remark(path, "position of the rock")
    remark(path, "ø")
    good = path.read_bytes()
    path.write_bytes(b"\xef\xbb\xbf" + good.replace(b"\n", b"\r\n"))
    assert texts(path) == ["position of the rock", "ø"]
    assert not sheet.read(path).troubles
    path.write_bytes(good.decode("utf-8").encode("latin-1"))
    read = sheet.read(path)
    assert [e["text"] for e in read.events] == ["position of the rock"]
    assert "not UTF-8" in read.troubles[0]
    path.write_bytes(good.decode("utf-8").encode("utf-16"))
    assert not sheet.read(path).events
    assert sheet.read(path).left >= 2


def test_edited_numbers_are_seen_and_still_read(path):
    given = {"xi": 40.3}
    sheet.append(path, {"event": "answered", "key": "k", "turn": 1, "given": given, "typed": {}})
    remark(path, "after")
    path.write_bytes(path.read_bytes().replace(b"40.3", b"40.4"))
    read = sheet.read(path)
    assert read.events[0]["given"] == {"xi": 40.4}
    assert read.troubles == [
        "line 1: was changed after it was written (its digest does not agree)."
    ]
    assert read.left == 0


def test_a_line_taken_out_or_changed_places_is_seen(path):
    for text in ("one", "two", "three"):
        remark(path, text)
    one, two, three = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(one + three)
    assert sheet.read(path).troubles == ["line 2: a line before it is missing or was changed."]
    path.write_bytes(two + three)
    assert sheet.read(path).troubles == ["line 1: a line before it is missing or was changed."]
    path.write_bytes(two + one + three)
    assert sheet.read(path).troubles == [
        "lines 1 to 3 (3 of them): a line before it is missing or was changed."
    ]


def line(**more):
    return json.dumps({"event": "answered", "time": TIME, **more}).encode()


def deep(levels):
    return b'{"event":"answered","time":"%s","given":{"x":%s}}' % (
        TIME.encode(),
        b"[" * levels + b"]" * levels,
    )


BAD_LINES = {
    "text": b"dear instructor",
    "list": b"[1, 2]",
    "number": b"7",
    "zeros": b"\0" * 300,
    "no event": b'{"time": "2026-03-16"}',
    "unknown event": line(event="promoted"),
    "event that is a list": line(event=["answered"]),
    "no time": b'{"event": "answered"}',
    "time that is none": line(time="yesterday"),
    "time of another type": line(time=12),
    "key of another type": line(key=["x"]),
    "turn zero": line(turn=0),
    "turn a text": line(turn="1"),
    "turn with a fraction": line(turn=1.5),
    "edition beyond reason": line(edition=10**9),
    "integer of 5000 digits": b'{"event":"answered","turn":' + b"9" * 5000 + b"}",
    "given a list": line(given=[1]),
    "typed a number": line(typed={"xi": 1.0}),
    "typed a list": line(typed=["1"]),
    "NaN": line(given={"xi": float("nan")}),
    "Infinity": line(given={"xi": float("inf")}),
    "minus Infinity": line(given={"xi": float("-inf")}),
    "infinity by a power": b'{"event":"answered","time":"2026-03-16","given":{"xi":1e999}}',
    "nested 5": deep(5),
    "nested 900": deep(900),
    "nested 990": deep(990),
    "nested 30000": deep(30_000),
    "oversized": line(typed={"xi": "9" * 70_000}),
}


@pytest.mark.parametrize("bad", BAD_LINES.values(), ids=BAD_LINES.keys())
def test_a_bad_line_is_skipped_and_reported_once(path, bad):
    remark(path, "before")
    with open(path, "ab") as out:
        out.write(bad + b"\n")
    remark(path, "after")
    read = sheet.read(path)
    assert [e["text"] for e in read.events] == ["before", "after"]
    assert len(read.troubles) == 1
    assert read.troubles[0].startswith("line 2: ")
    assert read.troubles[0].endswith("skipped.")
    assert read.left == 1


@given(st.lists(st.binary(max_size=80), max_size=6))
@settings(max_examples=100, deadline=None)
def test_no_bytes_stop_the_reader(tmp_path_factory, lines):
    path = tmp_path_factory.mktemp("sheets") / "answers-T07.jsonl"
    path.write_bytes(b"\n".join(lines))
    read = sheet.read(path)
    assert read.left >= len(read.troubles) or read.events


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)
FIELDS = st.sampled_from(
    ["time", "key", "edition", "turn", "given", "typed", "decimal", "nudge", "text", "digest"]
)


@given(st.lists(st.dictionaries(FIELDS, JSON), max_size=4), st.sampled_from(sorted(sheet.EVENTS)))
@settings(max_examples=100, deadline=None)
def test_no_event_stops_the_reader(tmp_path_factory, events, name):
    path = tmp_path_factory.mktemp("sheets") / "answers-T07.jsonl"
    path.write_text(
        "\n".join(json.dumps({"event": name, "time": TIME, **event}) for event in events),
        encoding="utf-8",
    )
    read = sheet.read(path)
    assert len(read.events) + read.left == len(events)


def test_what_would_not_be_read_is_not_called_kept(path):
    remark(path, "kept")
    before = path.read_bytes()
    with pytest.raises(OSError, match="too long"):
        remark(path, "9" * sheet.LONGEST_LINE)
    with pytest.raises(ValueError, match="JSON"):
        sheet.append(path, {"event": "answered", "given": {"xi": float("nan")}})
    assert path.read_bytes() == before


def test_half_a_character_is_kept_like_any_other(path):
    remark(path, "\ud83d half of a smile")
    assert texts(path) == ["\ud83d half of a smile"]
    assert not sheet.read(path).troubles


def test_of_a_sheet_too_large_the_beginning_is_read(path, monkeypatch):
    kept = [remark(path, str(number))["text"] for number in range(3)]
    with open(path, "ab") as out:
        out.truncate(50_000_000)
    read = sheet.read(path)
    assert [event["text"] for event in read.events] == kept
    assert read.left == 2  # the line of zeros, and what is beyond
    assert any("50 MB is too large" in text for text in read.troubles)


@pytest.mark.parametrize("bound", ["bytes", "lines"])
def test_a_sheet_that_is_full_is_refused_before_it_is_called_kept(path, monkeypatch, bound):
    kept = [remark(path, str(number)) for number in range(3)]
    held = path.read_bytes()
    if bound == "bytes":
        monkeypatch.setattr(sheet, "LARGEST_SHEET", len(held) + 10)
    else:
        monkeypatch.setattr(sheet, "MOST_LINES", 3)
    with pytest.raises(OSError, match="the answer sheet is full"):
        remark(path, "one more")
    assert path.read_bytes() == held
    path.write_bytes(sheet.handed_in(path))
    read = sheet.read(path)
    assert (read.events[:-1], read.troubles, read.closed) == (kept, [], True)


def test_alternating_junk_makes_few_messages(path):
    junk = [b"rubbish", b"\xff", b"[1]", b'{"event": "promoted"}', line(turn=0)]
    path.write_bytes(b"\n".join(junk * 1500))
    read = sheet.read(path)
    assert (read.left, len(read.troubles)) == (7500, 4)
    many = "\n".join(line(turn=1, key="k", digest=str(number)).decode() for number in range(12_000))
    path.write_text(many, encoding="utf-8")
    read = sheet.read(path)
    assert len(read.events) == sheet.MOST_LINES
    assert len(read.troubles) <= intake.MOST_MESSAGES + 1
    assert any("only its beginning" in text for text in read.troubles)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("answers-T07.jsonl", "T07"),
        ("answers-T07 (1).jsonl", "T07"),
        ("answers-T07(2).jsonl", "T07"),
        ("answers-T07 - Copy.jsonl", "T07"),
        ("answers-T07_old.jsonl", "T07"),
        ("answers-AB345678.jsonl", "AB345678"),
        ("answers-T.jsonl", ""),
        ("answers-t07.jsonl", ""),
        ("answers-AB3456789.jsonl", ""),
        ("answers-T07.json", ""),
        ("answers-T07ø.jsonl", ""),
        ("notes.txt", ""),
    ],
)
def test_whose_sheet_it_is_stands_in_its_name(tmp_path, name, code):
    path = tmp_path / name
    path.write_bytes(b"")
    read = sheet.read(path)
    assert read.trainee == code
    assert read.left == (0 if code else 1)


def test_two_processes_append_at_once(path):
    program = (
        "import sys, pathlib\nfrom exercises.sheets import sheet\n"
        "for i in range(120):\n"
        "    sheet.append(pathlib.Path(sys.argv[1]), {'event': 'remark', 'text': sys.argv[2]})\n"
    )
    both = [
        subprocess.Popen([sys.executable, "-c", program, str(path), who], cwd=ROOT)
        for who in ("a" * 500, "b" * 500)
    ]
    assert [one.wait(timeout=120) for one in both] == [0, 0]
    read = sheet.read(path)
    assert not read.troubles
    assert sorted(e["text"][0] for e in read.events) == ["a"] * 120 + ["b"] * 120


def test_a_writer_waits_for_the_lock_and_a_reader_does_not(path, monkeypatch):
    remark(path, "kept")
    quick = filelock.FileLock
    monkeypatch.setattr(filelock, "FileLock", lambda name, timeout: quick(name, timeout=0.05))
    with quick(path.with_suffix(".lock")):
        assert texts(path) == ["kept"]
        with pytest.raises(OSError, match="lock"):
            remark(path, "not kept")
    assert texts(path) == ["kept"]
    remark(path, "kept too")
    assert texts(path) == ["kept", "kept too"]


def test_a_folder_that_cannot_be_written(tmp_path):
    (tmp_path / "taken").write_bytes(b"")
    with pytest.raises(OSError):  # noqa: PT011 - each system words it its own way
        remark(tmp_path / "taken" / "answers-T07.jsonl", "x")


@pytest.mark.skipif(os.name == "nt", reason="folder rights are another matter on Windows")
def test_a_folder_without_the_right_to_write(tmp_path):
    tmp_path.chmod(0o500)
    with without_root(tmp_path), pytest.raises(PermissionError):
        remark(tmp_path / "answers-T07.jsonl", "x")
    assert not list(tmp_path.iterdir())


class without_root:  # noqa: N801 - reads as a phrase
    """The superuser may write anywhere: be somebody else meanwhile."""

    def __init__(self, folder):
        self.root = os.name != "nt" and os.geteuid() == 0
        self.folder = folder

    def __enter__(self):
        if self.root:
            for one in (self.folder, *self.folder.parents[:-2]):
                one.chmod(one.stat().st_mode | 0o005)
            os.seteuid(65534)

    def __exit__(self, *error):
        if self.root:
            os.seteuid(0)
        self.folder.chmod(0o700)


HALF = "\ud83d"  # half of a character, which no file in UTF-8 can hold
WRONG = {
    "time": ["yesterday", 5, None], "key": [5, HALF], "before": [5, HALF], "digest": [5, HALF],
    "text": [5, None], "reason": [5, HALF], "frame": [5, HALF], "class": [5, HALF],
    "code": [5, HALF], "edition": [0, True, 1.0, "1", 10**6], "turn": [0, True, 1.0, "1", 10**6],
    "nudge": [0, True, 1.0, "1"], "lines": [0, True, 1.0, "1"],
    "typed": ["1", {"east": 1}, {HALF: "1"}], "given": ["1", {"xi": {"x": 1}}, {HALF: 1}],
}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "value"), [(name, value) for name, those in WRONG.items() for value in those]
)
def test_every_field_has_its_type_and_a_line_without_it_is_skipped(path, name, value):
    right = {"key": "k", "text": "t", "reason": "r", "frame": "f", "edition": 1, "turn": 1}
    right |= {"nudge": 1, "lines": 1, "typed": {"east": "1"}, "given": {"xi": 1.0}}
    path.write_bytes(line(**right))
    assert sheet.read(path).left == 0
    path.write_bytes(line(**{**right, name: value}))
    read = sheet.read(path)
    assert (read.events, read.left, len(read.troubles)) == ([], 1, 1)
    assert read.troubles[0].endswith("skipped.")


# The head and the closing line --------------------------------------------------------------


def cut(path, lines):
    """Take lines off the end, as somebody does in an editor, and return those left."""
    held = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(held[:-lines]))
    return len(held) - lines


def handed_in(path, tmp_path):
    """Read the copy that is handed in."""
    copy = tmp_path / "in" / path.name
    copy.parent.mkdir(exist_ok=True)
    copy.write_bytes(sheet.handed_in(path))
    return sheet.read(copy)


def test_a_copy_handed_in_ends_with_a_line_that_agrees(path, tmp_path):
    for text in ("one", "two", "three"):
        remark(path, text)
    read = handed_in(path, tmp_path)
    assert (read.troubles, read.left, read.closed) == ([], 0, True)
    closing = read.events[-1]
    assert (closing["event"], closing["lines"]) == ("handed in", 3)
    assert closing["before"] == read.events[-2]["digest"]
    assert not sheet.read(path).closed, "the sheet itself stays as it is"


def test_a_copy_of_one_line_says_that_it_is_one(path, tmp_path):
    remark(path, "one")
    read = handed_in(path, tmp_path)
    assert (read.troubles, read.events[-1]["lines"]) == ([], 1)


@pytest.mark.parametrize("start", [b"{", b"", b" "])
def test_a_sheet_without_its_head_is_counted_from_its_first_line(path, tmp_path, start):
    """A line of one byte is a line, torn as it is; an empty one is none."""
    path.write_bytes(start + b"\n")
    remark(path, "one")
    sheet.head_path(path).unlink()
    assert handed_in(path, tmp_path).events[-1]["lines"] == 1 + bool(start.strip())


def test_lines_cut_off_the_end_of_a_copy_are_seen(path, tmp_path):
    for text in ("one", "two", "three"):
        remark(path, text)
    whole = sheet.handed_in(path).splitlines(keepends=True)
    path.write_bytes(b"".join(whole[:2] + whole[3:]))
    reported = sheet.read(path).troubles
    assert reported == ["line 3: a line before it is missing or was changed."]
    path.write_bytes(b"".join(whole[:3]))
    assert not sheet.read(path).closed


def test_a_sheet_cut_at_home_is_seen_at_the_next_start_and_when_it_is_marked(path, tmp_path):
    for text in ("wrong", "shown"):
        remark(path, text)
    assert not sheet.cut(path)
    cut(path, 1)
    assert "no longer holds its 2 lines" in sheet.cut(path)
    assert handed_in(path, tmp_path).troubles == [
        "line 2: a line before it is missing or was changed."
    ]
    remark(path, "right")
    assert not sheet.cut(path), "it goes on from here"
    assert sheet.read(path).troubles == ["line 2: a line before it is missing or was changed."]
    reported = handed_in(path, tmp_path).troubles
    assert "line 3: the closing line counts 3 lines before it; 2 are here." in reported


def test_a_sheet_taken_away_whole_is_seen(path):
    remark(path, "wrong")
    path.unlink()
    assert "no longer holds its 1 line" in sheet.cut(path)
    remark(path, "right")
    assert sheet.read(path).troubles == ["line 1: a line before it is missing or was changed."]


def head(**changed):
    held = {"lines": 9, "bytes": 9, "last": "x", "time": TIME}
    return json.dumps(held | changed).encode()


NO_HEADS = [None, b"", b"[]", b"{", b"\xff", b'{"lines": "x"}', "folder", head(time="noon")] + [
    head(**{name: value}) for name in ("lines", "bytes") for value in (0, -1, 1.0, True, 10**12)
]


@pytest.mark.parametrize("held", NO_HEADS)
def test_without_a_head_that_can_be_read_all_goes_on_as_before(path, tmp_path, held):
    remark(path, "one")
    beside = sheet.head_path(path)
    beside.unlink()
    if held == "folder":
        beside.mkdir()
    elif held is not None:
        beside.write_bytes(held)
    assert not sheet.cut(path)
    remark(path, "two")
    read = handed_in(path, tmp_path)
    assert (read.troubles, len(read.events)) == ([], 3)


def test_what_another_edition_added_is_counted_in_the_copy(path, tmp_path):
    remark(path, "one")
    head = sheet.head_path(path).read_bytes()
    remark(path, "two")
    remark(path, "three")
    sheet.head_path(path).write_bytes(head)
    read = handed_in(path, tmp_path)
    assert (read.troubles, read.events[-1]["lines"]) == ([], 3)


def test_what_another_edition_added_and_a_torn_line_are_no_cut(path, tmp_path):
    remark(path, "one")
    head = sheet.head_path(path).read_bytes()
    remark(path, "two")
    sheet.head_path(path).write_bytes(head)
    assert not sheet.cut(path)
    with open(path, "ab") as out:
        out.write(b'{"torn')
    remark(path, "three")
    read = handed_in(path, tmp_path)
    assert read.troubles == ["line 3: torn or damaged; skipped."]
    assert read.events[-1]["lines"] == 4
