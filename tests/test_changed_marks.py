"""A mark changed with a reason: appended, both marks shown, the same register from scratch."""

import json
import re

import pytest

from exercises import BANK
from exercises.__main__ import main
from exercises.audit import received
from exercises.instructor import erasure, mark_cells
from exercises.pages import pages
from exercises.sheets import changed_marks, sheet
from tests.codes import named
from tests.test_register import HOSTILE, Page, beside, marked, table
from tests.test_report import FIRST, PLUMB, TOTAL, Desk


@pytest.fixture
def folder(tmp_path):
    """Two trainees; T07 made a slip at the plumb offset, T08 got it right."""
    place = tmp_path / "class"
    Desk(place, "T07").answer(slip="opposite")
    Desk(place, "T08").answer()
    return place


def change(folder, trainee="T07", exercise=PLUMB, mark=1.0, reason="wire read aloud", by="MK"):
    return changed_marks.change(
        folder / changed_marks.NAME, trainee, exercise, mark, reason=reason, by=by
    )


def run(folder, *options, key=PLUMB.key, trainee="T07", reason="wire read aloud", by="MK"):
    where = ["change", str(folder), "--trainee", trainee, "--key", key]
    return main([*where, "--reason", reason, "--by", by, *options])


def edit(path, before, after):
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")


def row(path, trainee, key=PLUMB.key):
    return next(r for r in table(path) if r["code"] == trainee and r["exercise"] == key)


def test_both_marks_are_shown_with_reason_by_and_when(folder, capsys):
    assert run(folder, "--mark", "1") == 0
    assert "100% (marked: 0%)" in capsys.readouterr().out
    result, html = marked(folder)
    page = Page(html)
    (head,) = (r for r in page.rows if r[:1] == ["T07"] and "wire read aloud" in r)
    assert [text for text in head if re.fullmatch(r"\d+†?", text)] == ["0", "100†"]
    assert "MK" in head
    front = page.marks("T07")
    at = front.index("100")
    assert front[at : at + 3] == ["100", "†", "marked 0"]
    reported = beside(folder, "T07")
    assert "changed to <b>100</b> by MK" in reported
    csv = row(result.csv, "T07")
    assert (csv["best %"], csv["first %"], csv["changed to %"]) == ("0", "0", "100")
    assert (csv["reason"], csv["changed by"]) == ("wire read aloud", "MK")
    assert row(result.csv, "T08")["changed to %"] == ""


def test_marking_from_scratch_gives_the_same_register(folder, tmp_path):
    change(folder)
    results = [marked(folder, tmp_path / out) for out in ("one", "two")]
    assert results[0][0].csv.read_bytes() == results[1][0].csv.read_bytes()
    same = [re.sub(r"marked \d+ \w{3} \d{4} \d\d:\d\d UTC", "", html) for _, html in results]
    assert same[0] == same[1]
    assert results[0][0].left == 0  # the file is known beside the sheets


def test_it_is_appended_and_the_last_line_stands(folder):
    path = folder / changed_marks.NAME
    change(folder, mark=1.0)
    first = path.read_bytes()
    change(folder, mark=0.5, reason="half of it", by="AB")
    assert path.read_bytes().startswith(first)
    found = changed_marks.read(path)
    assert (found.lines, found.troubles) == (2, [])
    one = found.standing["T07", PLUMB.key]
    assert (one.mark, one.reason, one.by) == (0.5, "half of it", "AB")


def test_a_withdrawal_is_another_line_and_the_marking_stands_again(folder, tmp_path, capsys):
    _, before = marked(folder, tmp_path / "before")
    change(folder)
    assert run(folder, "--withdraw", reason="the wrong trainee") == 0
    assert "0%, as marked" in capsys.readouterr().out
    assert len((folder / changed_marks.NAME).read_text(encoding="utf-8").splitlines()) == 2
    result, after = marked(folder, tmp_path / "after")
    assert "†" not in after
    assert row(result.csv, "T07")["changed to %"] == ""
    assert len(after) == len(before)
    assert run(folder, "--withdraw") == 2
    assert "No changed mark" in capsys.readouterr().err


def test_a_change_speaks_of_nobody_else_in_the_class(folder, capsys):
    change(folder, trainee="T08", mark=0.5)
    assert run(folder, "--mark", "1") == 0
    assert capsys.readouterr().err == ""


def test_it_keeps_what_the_marking_said_when_it_was_changed(folder):
    assert run(folder, "--mark", "0.5") == 0
    desk = Desk(folder, "T07")
    desk.clock = desk.clock.replace(hour=12)
    desk.answer()  # another sheet line after the change: the marking now says 100
    page = Page(marked(folder)[1])
    (reported,) = (r for r in page.rows if r[:1] == ["T07"] and "wire read aloud" in r)
    assert "(0 when it was changed)" in reported
    assert "50†" in reported


def test_a_mark_where_nothing_was_answered(folder):
    change(folder, exercise=TOTAL, mark=1.0, reason="answered aloud")
    result, html = marked(folder)
    assert row(result.csv, "T07", TOTAL.key)["changed to %"] == "100"
    assert row(result.csv, "T07", TOTAL.key)["answers"] == "0"
    assert "answered aloud" in Page(html).text


@pytest.mark.parametrize(
    ("options", "more", "said"),
    [
        (("--mark", "1.5"), {}, "not a mark"),
        (("--mark", "full"), {}, "not a mark"),
        (("--mark", "nan"), {}, "not a mark"),
        (("--mark", "1"), {"reason": "  "}, "Say why"),
        (("--mark", "1"), {"reason": "x" * 401}, "401 characters"),
        (("--mark", "1"), {"by": "M. Kay"}, "not a trainee code"),
        (("--mark", "1"), {"key": "deflection-totl"}, "deflection-total"),
        (("--mark", "1"), {"key": FIRST.key}, "carries no mark"),
        (("--mark", "1"), {"trainee": "T77"}, "no sheet of T77"),
    ],
)
def test_what_makes_no_sense_is_reported_and_nothing_is_kept(folder, capsys, options, more, said):
    assert run(folder, *options, **more) == 2
    reported = capsys.readouterr().err.strip()
    assert said in reported
    assert "\n" not in reported
    assert not (folder / changed_marks.NAME).exists()


LINE = {
    "time": "2026-03-16T14:00:00+00:00", "event": "changed", "trainee": "T07", "key": PLUMB.key,
    "edition": 1, "mark": 1, "reason": "r", "by": "MK", "digest": "0",
}  # fmt: skip
BAD = {
    "torn": b'{"time": "2026-03-16T14:0',
    "not UTF-8": b"\xff\xfe\n",
    "NaN": json.dumps({**LINE, "mark": float("nan")}).encode(),
    "infinite": json.dumps({**LINE, "mark": 1}).replace('"mark": 1', '"mark": 1e999').encode(),
    "deep": b"[" * 20_000 + b"]" * 20_000,
    "long": b'{"reason": "' + b"x" * 70_000 + b'"}',
    "a list": b"[1, 2]",
    "unknown event": json.dumps({**LINE, "event": "raised"}).encode(),
    "mark above 1": json.dumps({**LINE, "mark": 2}).encode(),
    "mark true": json.dumps({**LINE, "mark": True}).encode(),
    "no reason": json.dumps({**LINE, "reason": ""}).encode(),
    "a name for a code": json.dumps({**LINE, "by": "Mary Kay"}).encode(),
    "no time": json.dumps({**LINE, "time": "noon"}).encode(),
    "edition": json.dumps({**LINE, "edition": "1"}).encode(),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_line_is_reported_and_skipped(tmp_path, name):
    path = tmp_path / changed_marks.NAME
    path.write_bytes(BAD[name] + b"\n")
    change(tmp_path)
    found = changed_marks.read(path)
    assert found.left == 1
    assert found.standing["T07", PLUMB.key].mark == 1.0
    (reported,) = found.troubles
    assert reported.startswith("line 1:")
    assert reported.endswith("skipped.")


def test_a_class_is_marked_whatever_lies_among_its_changed_marks(folder):
    (folder / changed_marks.NAME).write_bytes(b"\n".join(BAD.values()) + b"\n")
    change(folder)
    result, html = marked(folder)
    assert result.left == len(BAD)
    assert changed_marks.NAME in Page(html).text
    assert row(result.csv, "T07")["changed to %"] == "100"
    assert [m.trainee for m in result.members] == ["T07", "T08"]


def test_an_edited_and_a_missing_line_are_seen(folder):
    path = folder / changed_marks.NAME
    for mark in (1.0, 0.5, 0.25):
        change(folder, mark=mark)
    edit(path, '"mark": 0.25', '"mark": 0.75')
    assert changed_marks.read(path).troubles == [
        "line 3: was changed after it was written (its digest does not agree)."
    ]
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[0] + lines[2])
    assert len(changed_marks.read(path).troubles) == 1


def test_marks_of_somebody_without_a_sheet_are_reported(folder):
    change(folder, trainee="T55")
    result, _ = marked(folder)
    assert "changed marks of T55, whose sheet is not here; left." in str(result.troubles[0])


def test_a_link_in_its_place_and_a_huge_file_are_not_read(folder, tmp_path):
    path = folder / changed_marks.NAME
    change(tmp_path)
    try:
        path.symlink_to(tmp_path / changed_marks.NAME)
    except OSError:
        pytest.skip("this system makes no links")
    result, _ = marked(folder)
    assert [str(t) for t in result.troubles] == [f"{path.name}: a symbolic link; not followed."]
    path.unlink()
    with open(path, "wb") as out:
        out.truncate(changed_marks.LARGEST + 1)
    result, _ = marked(folder)
    assert "too large" in str(result.troubles[0])


def test_a_file_elsewhere(folder, tmp_path, capsys):
    other = tmp_path / "kept apart" / "changes.jsonl"
    other.parent.mkdir()
    assert run(folder, "--mark", "50 %", "--changes", str(other)) == 0
    assert not (folder / changed_marks.NAME).exists()
    out = str(tmp_path / "out")
    assert main(["mark", str(folder), "--out", out, "--changes", str(other)]) == 0
    assert row(tmp_path / "out" / "register.csv", "T07")["changed to %"] == "50"
    capsys.readouterr()


def test_a_reason_stays_text(folder):
    texts = [text for text in HOSTILE if len(text) <= changed_marks.LONGEST_REASON]
    for text, exercise in zip(texts, filter(lambda e: e.marks, BANK.values()), strict=False):
        change(folder, exercise=exercise, reason=text)
    result, html = marked(folder)
    page = Page(html)
    assert not {"script", "img"} & set(page.tags)
    reasons = [r["reason"] for r in table(result.csv) if r["reason"]]
    assert len(reasons) == len(texts)
    for text, reason in zip(texts, reasons, strict=True):
        assert " ".join(pages.shown(" ".join(text.split())).split()) in page.text
        assert not re.match(r"\s*[=+\-@\uff0b\uff0d\uff1d\uff20]", reason)


def test_a_forgotten_person_leaves_lines_without_content(at_0732, folder):
    path = folder / changed_marks.NAME
    change(folder)
    change(folder, trainee="T08", mark=0.5)
    with open(path, "ab") as out:
        out.write(b'{"trainee": "T07", torn')
    assert changed_marks.erase(path, "T07") == 2
    assert b"T07:32" in path.read_bytes(), "the time, and that is no code"
    assert not named("T07", path.read_bytes())
    assert b"wire" in path.read_bytes()  # T08's line
    found = changed_marks.read(path)
    assert list(found.standing) == [("T08", PLUMB.key)]
    assert found.troubles == []
    change(folder, trainee="T08", mark=0.75)
    assert changed_marks.read(path).troubles == []
    assert received.find(folder).left == 0


def test_of_two_people_with_one_code_both_are_forgotten_and_nobody_else(folder):
    path = folder / changed_marks.NAME
    for trainee in ("T07/1", "T07/2", "T070"):
        sheet.append(path, {**LINE, "trainee": trainee})
    assert changed_marks.erase(path, "T07") == 2
    assert [line["trainee"] for line in map(json.loads, path.open("rb")) if "trainee" in line] == [
        "T070"
    ]


def earlier(path, time, event, mark=None, **more):
    """Append a line as earlier editions wrote it."""
    line = {**LINE, "time": time, "event": event, "mark": mark, **more}
    del line["digest"]
    sheet.append(path, {key: value for key, value in line.items() if value is not None})


def test_what_an_earlier_edition_kept_is_read_in_order_of_time(folder):
    former = folder / changed_marks.FORMER
    earlier(former, "2026-03-16T14:00:00+00:00", "overridden", 0.25)
    earlier(former, "2026-03-16T15:00:00+00:00", "overridden", 0.5, trainee="T08")
    kept = former.read_bytes()
    path = folder / changed_marks.NAME
    now = changed_marks.read(path)
    assert {who: one.mark for (who, _), one in now.standing.items()} == {"T07": 0.25, "T08": 0.5}
    assert received.find(folder).left == 0
    earlier(path, "2026-03-16T14:30:00+00:00", "changed", 0.75, trainee="T08")
    now = changed_marks.read(path)
    assert now.standing["T08", PLUMB.key].mark == 0.5, "the later of the two files"
    assert run(folder, "--withdraw", reason="read again") == 0
    now = changed_marks.read(path)
    assert ("T07", PLUMB.key) not in now.standing
    assert (now.lines, now.troubles, now.former_troubles) == (4, [], [])
    assert former.read_bytes() == kept, "nothing is appended to it"


def test_a_bad_line_of_an_earlier_edition_is_reported_under_its_own_file(folder):
    (folder / changed_marks.FORMER).write_bytes(BAD["torn"] + b"\n")
    change(folder)
    result, _ = marked(folder)
    assert result.left == 1
    assert [trouble.file for trouble in result.troubles] == [changed_marks.FORMER]
    assert row(result.csv, "T07")["changed to %"] == "100"


def test_a_person_is_deleted_from_what_an_earlier_edition_kept(folder):
    former = folder / changed_marks.FORMER
    earlier(former, "2026-03-16T14:00:00+00:00", "overridden", 1)
    planned = erasure.plan(folder, "T07")
    assert former in planned.rewritten
    assert erasure.carry_out(planned).lines == 1
    assert not named("T07", former.read_bytes())


@pytest.mark.parametrize(
    ("text", "mark"),
    [("1", 1), ("0", 0), ("0,5", 0.5), ("75 %", 0.75), ("100%", 1), ("0%", 0), (" 12,5 % ", 0.125)],
)
def test_a_mark_is_a_share_or_per_cent(text, mark):
    assert changed_marks.share(text) == mark


@pytest.mark.parametrize("text", ["", "%", "101%", "1.01", "-0.1", "-1%", "nan", "inf", "half"])
def test_what_is_no_mark_is_refused(text):
    with pytest.raises(ValueError, match="is not a mark"):
        changed_marks.share(text)


def test_what_no_longer_stands_is_reported_with_who_ended_it(folder):
    path = folder / changed_marks.NAME
    change(folder, mark=0.5)
    change(folder, mark=1.0, by="AB")
    assert [(one.changed.mark, one.by) for one in changed_marks.read(path).ended] == [(0.5, "AB")]
    changed_marks.withdraw(path, "T07", PLUMB, reason="a second look", by="CD")
    found = changed_marks.read(path)
    assert [(one.changed.mark, one.by) for one in found.ended] == [(0.5, "AB"), (1.0, "CD")]
    assert not found.standing


@pytest.mark.parametrize(("later", "shown"), [(0, 0), (1, PLUMB.edition + 1)])
def test_a_change_made_at_another_edition_says_at_which(folder, later, shown):
    sheet.append(
        folder / changed_marks.NAME, {**LINE, "edition": PLUMB.edition + later, "mark": 0.5}
    )
    result, _ = marked(folder)
    (change,) = mark_cells.changed_marks(result.members, BANK)
    assert (change["edition"], change["by"], change["reason"]) == (shown, "MK", "r")
    assert (change["marked"], change["was"], change["to"]) == ("0", "no mark", "50")
    assert change["when"] == "16 Mar 2026 14:00"


def test_a_key_with_half_a_character_is_skipped(folder):
    change(folder)
    path = folder / changed_marks.NAME
    held = json.loads(path.read_bytes())
    path.write_bytes(json.dumps({**held, "key": "\ud83d"}).encode("ascii") + b"\n")
    found = changed_marks.read(path)
    assert (found.lines, found.left, len(found.troubles)) == (0, 1, 1)
