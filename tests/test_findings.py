"""What has to be asked about before a record is signed, and what an honest trainee may do."""

import hashlib
import json
import shutil
from datetime import timedelta

import pytest

from exercises.audit import closing, findings, traces
from exercises.bank import BANK
from exercises.instructor import demo
from exercises.instructor.class_folder import ClassFolder
from exercises.sheets import changed_marks, sheet
from tests.test_report import PLUMB, TOTAL, Desk

NUMBERS = [e for e in BANK.values() if e.marks and all(a.kind != "choice" for a in e.asked)]


def found(folder, only=None):
    every = ClassFolder(folder, only=only)
    for _ in every.reports():
        pass
    return every.findings


def kinds(folder):
    return {(one.kind, one.trainee) for one in found(folder) if one.open}


def copy_under(folder, whose, name):
    shutil.copy(folder / sheet.file_name(whose), folder / sheet.file_name(name))


def digested_anew(path, change):
    """Write a sheet as somebody does who knows how the digests are made."""
    before, kept = "", []
    for line in path.read_text(encoding="utf-8").splitlines():
        event = change(json.loads(line)) | {"before": before}
        event["digest"] = before = sheet.digest(event)
        kept.append(json.dumps(event))
    path.write_text("\n".join(kept) + "\n", encoding="utf-8")


def hand_in(desk):
    desk.path.write_bytes(sheet.handed_in(desk.path))


# What is found -----------------------------------------------------------------------------


def test_a_colleagues_lines_under_another_name_are_found_once(tmp_path):
    desk = Desk(tmp_path, "T05")
    for exercise in (PLUMB, TOTAL):
        desk.answer(exercise)
    copy_under(tmp_path, "T05", "T06")
    assert kinds(tmp_path) == {("copied", "T06"), ("numbers", "T06")}
    (one,) = (f for f in found(tmp_path) if f.kind == "copied")
    assert one.where == ("answers-T06.jsonl, lines 1 to 2",)
    assert "those of T05" in one.text
    assert "answers-T05.jsonl, lines 1 to 2" in one.text


def test_digests_made_anew_do_not_hide_a_colleagues_lines(tmp_path):
    desk = Desk(tmp_path, "T05")
    for exercise in (PLUMB, TOTAL):
        desk.answer(exercise)
    copy_under(tmp_path, "T05", "T06")
    digested_anew(tmp_path / "answers-T06.jsonl", lambda event: {**event, "edition": 1})
    assert ("copied", "T06") in kinds(tmp_path)


def test_without_given_numbers_a_colleagues_lines_are_found_all_the_same(tmp_path):
    desk = Desk(tmp_path, "T05")
    for exercise in (PLUMB, TOTAL):
        desk.answer(exercise)
    copy_under(tmp_path, "T05", "T06")
    digested_anew(
        tmp_path / "answers-T06.jsonl",
        lambda event: {k: v for k, v in event.items() if k != "given"},
    )
    assert {("copied", "T06"), ("ungiven", "T06")} <= kinds(tmp_path)


def test_the_same_lines_where_no_number_shows_whose_are_asked_of_both(tmp_path):
    desk = Desk(tmp_path, "T05")
    for text in ("Is this the wire angle?", "Ours shows 0.4 degrees."):
        desk.put("remark", text=text)
    copy_under(tmp_path, "T05", "T06")
    assert kinds(tmp_path) == {("copied", "T05"), ("copied", "T06")}


def test_numbers_of_another_person_are_found(tmp_path):
    desk = Desk(tmp_path, "T05")
    desk.trainee = "T09"  # T09 is not in the class
    desk.answer()
    assert kinds(tmp_path) == {("numbers", "T05")}


def test_a_line_changed_and_a_line_taken_out_are_two_findings(tmp_path):
    desk = Desk(tmp_path)
    for _ in range(4):
        desk.answer(slip="opposite")
    lines = desk.path.read_text(encoding="utf-8").splitlines()
    lines[0] = lines[0].replace("answered", "said first")
    desk.path.write_text("\n".join([lines[0], lines[1], lines[3]]) + "\n", encoding="utf-8")
    assert kinds(tmp_path) == {("edited", "T07"), ("chain", "T07")}
    where = {one.kind: one.where for one in found(tmp_path)}
    assert where == {
        "edited": ("answers-T07.jsonl, line 1",),
        "chain": ("answers-T07.jsonl, line 3",),
    }


@pytest.mark.parametrize("missing", [0, 1])
def test_a_closing_line_that_is_missing_or_counts_others_is_found(tmp_path, missing):
    for code in ("T01", "T02", "T03"):
        desk = Desk(tmp_path, code)
        for _ in range(3):
            desk.answer(slip="opposite")
        hand_in(desk)
    lines = desk.path.read_bytes().splitlines(keepends=True)
    desk.path.write_bytes(b"".join(lines[:-1] if missing else [lines[0], *lines[2:]]))
    assert ("closing", "T03") in kinds(tmp_path)
    assert not {who for _, who in kinds(tmp_path)} - {"T03"}


def test_a_class_collected_as_files_has_no_closing_lines_to_miss(tmp_path):
    for code in ("T01", "T02", "T03"):
        desk = Desk(tmp_path, code)
        desk.answer()
    hand_in(desk)
    assert not kinds(tmp_path)


def test_more_right_answers_than_hands_can_type_are_found(tmp_path):
    desk = Desk(tmp_path)
    for exercise in NUMBERS[:20]:
        desk.clock += timedelta(seconds=-58)  # a minute an event, less these
        desk.answer(exercise)
    (one,) = found(tmp_path)
    assert one.kind == "pace"
    assert one.where == ("answers-T07.jsonl, lines 1 to 20",)
    assert "20 computed answers right at the first try, 2 s apart" in one.text


@pytest.mark.parametrize(("count", "seconds", "asked"), [(14, 9, 0), (15, 9, 1), (15, 12, 0)])
def test_a_page_typed_from_paper_is_no_finding(tmp_path, count, seconds, asked):
    desk = Desk(tmp_path)
    for exercise in NUMBERS[:count]:
        desk.clock += timedelta(seconds=seconds - 60)
        desk.answer(exercise)
    assert len(found(tmp_path)) == asked


@pytest.mark.parametrize(("jumps", "asked"), [(1, 0), (2, 1)])
def test_a_clock_may_be_set_right_once(tmp_path, jumps, asked):
    desk = Desk(tmp_path)
    for _ in range(jumps):
        desk.answer(slip="opposite")
        desk.clock -= timedelta(hours=3)
    desk.answer(slip="opposite")
    assert [one.kind for one in found(tmp_path)] == ["clock"] * asked


def test_a_worked_answer_seen_on_another_device_is_found(tmp_path):
    one = Desk(tmp_path, name="answers-T07.jsonl")
    one.put("shown")
    other = Desk(tmp_path, name="answers-T07 (1).jsonl", start=one.clock + timedelta(hours=1))
    other.answer()
    assert kinds(tmp_path) == {("elsewhere", "T07")}


def test_what_was_answered_before_another_device_showed_it_is_no_finding(tmp_path):
    one = Desk(tmp_path, name="answers-T07.jsonl")
    one.answer()
    other = Desk(tmp_path, name="answers-T07 (1).jsonl", start=one.clock + timedelta(hours=1))
    other.put("shown")
    assert not found(tmp_path)


def test_a_sheet_handed_in_twice_is_one_device(tmp_path):
    desk = Desk(tmp_path)
    desk.put("shown")
    shutil.copy(desk.path, tmp_path / "answers-T07 (1).jsonl")
    desk.answer()
    assert not found(tmp_path)


def test_turns_left_out_and_a_later_edition_are_found(tmp_path):
    desk = Desk(tmp_path)
    desk.answer(turn=3)
    desk.put("answered", TOTAL, edition=99, given={}, typed={"size": "1"})
    assert {"skipped", "unchecked"} <= {one.kind for one in found(tmp_path)}


def test_lines_of_another_person_of_the_class_are_found(tmp_path):
    desk = Desk(tmp_path, "7KQ2-T05")
    desk.answer()
    copy_under(tmp_path, "7KQ2-T05", "7KQ2-T06")
    assert kinds(tmp_path) == {("another", "7KQ2-T06")}


def test_an_edited_changed_mark_does_not_count_and_is_found(tmp_path):
    Desk(tmp_path).answer(slip="opposite")
    path = tmp_path / changed_marks.NAME
    changed_marks.change(path, "T07", PLUMB, 0.1, reason="seen", by="MK")
    path.write_text(path.read_text("utf-8").replace('"mark": 0.1', '"mark": 1'), "utf-8")
    every = ClassFolder(tmp_path)
    (one,) = every.reports()
    assert one.standings[PLUMB.key].mark == 0
    assert [(f.kind, f.trainee, f.where) for f in every.findings] == [
        ("mark", "T07", ("changed-marks.jsonl, line 1",))
    ]


def test_an_honest_class_is_asked_of_nothing_but_the_edition_that_it_has_on_purpose(tmp_path):
    demo.write(tmp_path, 12)
    assert {(one.kind, one.trainee) for one in found(tmp_path)} == {("unchecked", "T03")}


# Closing -----------------------------------------------------------------------------------


@pytest.fixture
def copied(tmp_path):
    Desk(tmp_path, "T05").answer()
    desk = Desk(tmp_path, "T06")
    desk.trainee = "T05"
    desk.clock += timedelta(hours=1)
    desk.answer()
    (one,) = found(tmp_path)
    return tmp_path, desk, one


def test_a_finding_is_closed_with_a_reason_and_a_code(copied):
    folder, _, one = copied
    closing.close(folder, one, reason="worked together at one laptop, seen", by="mk")
    (now,) = found(folder)
    assert not now.open
    assert now.id == one.id
    assert now.said.startswith("closed by MK on ")
    assert now.said.endswith(": worked together at one laptop, seen")


def test_new_evidence_opens_it_again(copied):
    folder, desk, one = copied
    closing.close(folder, one, reason="seen", by="MK")
    desk.answer(TOTAL)
    (now,) = found(folder)
    assert now.open
    assert "open again" in now.said
    closing.close(folder, now, reason="seen as well", by="MK")
    assert not found(folder)[0].open


def test_an_edited_closing_does_not_count(copied):
    folder, _, one = copied
    closing.close(folder, one, reason="not yet", by="MK")
    path = folder / closing.NAME
    path.write_text(path.read_text("utf-8").replace("not yet", "all well"), "utf-8")
    assert kinds(folder) == {("numbers", "T06"), ("closure", "")}


@pytest.mark.parametrize(
    ("more", "reported"),
    [
        ({"reason": "  "}, "never closed without a reason"),
        ({"reason": "x" * 401}, "401 characters"),
        ({"by": "?"}, "not a trainee code"),
        ({"answer": "two"}, "Only a finding on a code that two"),
    ],
)
def test_what_closes_nothing_is_refused(copied, more, reported):
    folder, _, one = copied
    with pytest.raises(ValueError, match=reported):
        closing.close(folder, one, **{"reason": "seen", "by": "MK", **more})
    assert not (folder / closing.NAME).exists()


def test_every_kind_has_a_heading_and_an_id_of_its_own():
    ids = {findings.Finding(kind, "T07", "").id for kind in findings.KINDS}
    assert len(ids) == len(findings.KINDS)
    assert all(findings.Finding(kind, "T07", "").title for kind in findings.KINDS)


@pytest.mark.parametrize(
    "typed", [None, {}, {"x": "1,5"}, {"north": '\\ "2"', "east": "é\ud800\n"}]
)
@pytest.mark.parametrize("text", [None, "a remark 😀"])
def test_the_print_of_a_line_is_that_of_the_list_as_json_writes_it(typed, text):
    """By its definition, upon which closings rest: BLAKE2 of a list in JSON with sorted keys."""
    event = {"event": "remark", "time": "2026-03-16T08:00:00+00:00", "key": "grid-quay", "turn": 3}
    event |= {
        name: value for name, value in (("typed", typed), ("text", text)) if value is not None
    }
    said = json.dumps([event["time"], "grid-quay", 3, typed, text], sort_keys=True)
    by_definition = hashlib.blake2b(said.encode("ascii"), digest_size=8).digest()
    assert traces._print(event) == int.from_bytes(by_definition, "big")
