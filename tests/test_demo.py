"""The made-up class: the same on any machine, with something of everything."""

from collections import Counter
from datetime import UTC, datetime

import pytest

from exercises import BANK
from exercises.audit import received
from exercises.instructor import demo, statistics
from exercises.sheets import changed_marks, report, sheet
from exercises.trainee import concept

NOT_MADE = {"signed in", "signed out", "hands", "finished", sheet.HANDED_IN}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("demo") / "class of 12"
    demo.write(place, 12)
    return place


@pytest.fixture(scope="module")
def reports(folder):
    found = received.find(folder)
    assert found.left == 0
    return {code: report.mark(code, paths, folder=folder) for code, paths in found.sheets.items()}


def test_the_same_class_comes_again(folder, tmp_path):
    demo.write(tmp_path / "again", 12)
    again = sorted(path.name for path in (tmp_path / "again").glob("*.jsonl"))
    assert len(again) == 11 + 3  # the other laptop, the room, the changed mark
    for name in again:
        assert (tmp_path / "again" / name).read_bytes() == (folder / name).read_bytes()


def test_one_is_missing_one_only_signed_in(reports):
    assert list(reports) == [f"T{n:02d}" for n in range(1, 13) if n != 9]
    assert not reports["T11"].standings
    assert all(reports[code].standings for code in reports if code != "T11")


def test_something_of_everything(reports):
    entries = [e for one in reports.values() for those in one.entries.values() for e in those]
    happened = Counter(entry.what for entry in entries)
    assert set(happened) == sheet.EVENTS - NOT_MADE
    assert happened["remark"] == 1
    states = Counter(e.attempt.verdict.state for e in entries if e.what == "answered")
    assert set(states) - {"method"} == {"right", "slip", "near", "wrong", "unread"}
    assert states["right"] > 30
    assert states["slip"] > 30
    stands = [s for one in reports.values() for s in one.standings.values()]
    assert {s.best for s in stands if BANK[s.key].marks} >= {0.0, 0.5, 1.0}
    assert {s.key for s in stands} == set(BANK)
    marks = [m for s in stands if (m := s.first) is not None and BANK[s.key].marks]
    assert 0.3 < sum(marks) / len(marks) < 0.8


def test_its_accidents_are_the_three_that_were_made(reports):
    assert {code: one.left for code, one in reports.items() if one.left} == {"T02": 1}
    assert "torn" in reports["T02"].troubles[0].text
    flags = Counter(f for one in reports.values() for s in one.standings.values() for f in s.flags)
    ((flag, count),) = flags.items()
    assert "edition" in flag
    assert count == 1


def test_every_sheet_ends_as_one_that_was_handed_in(folder):
    sheets = [sheet.read(path) for path in folder.glob("answers-T*.jsonl")]
    assert len(sheets) == 12  # of eleven people, one of them at two laptops
    assert all(one.closed for one in sheets)


def test_one_worked_on_two_laptops(reports):
    assert {code for code, one in reports.items() if len(one.files) > 1} == {"T07"}
    texts = [trouble.text for trouble in reports["T07"].troubles]
    assert len(texts) == 1
    assert texts[0].startswith("2 sheets of T07, merged by time")


def test_one_mark_is_changed_and_hands_were_counted(folder, reports):
    changed = changed_marks.read(folder / changed_marks.NAME)
    assert (changed.lines, changed.troubles) == (1, [])
    ((who, key),) = changed.standing
    assert reports[who].standings[key].best == changed.standing[who, key].was < 1
    hands = sheet.read(folder / sheet.file_name(sheet.ROOM))
    assert (len(hands.events), hands.troubles) == (3, [])
    assert all(sum(e["hands"].values()) <= e["people"] for e in hands.events)


def test_most_sat_the_concept_check_twice_and_gained(reports):
    results = [concept.of_report(one) for one in reports.values()]
    whole = [result for result in results if result.complete]
    assert len(whole) >= 7
    assert sum(result.gain for result in whole) > 0


def test_groups_to_teach_again_appear(reports):
    members = [(code, one.standings) for code, one in reports.items()]
    groups = statistics.groups(statistics.items(members, BANK))
    assert len(groups[0].slip.open) >= 3


def test_slips_are_made_by_several(reports):
    makers = Counter(
        (key, slip)
        for one in reports.values()
        for key, stands in one.standings.items()
        for slip in stands.slips
    )
    assert makers.most_common(1)[0][1] >= 4


def test_it_lies_in_the_past_and_in_order(folder):
    for path in folder.glob("answers-T*.jsonl"):
        times = [report.when(event) for event in sheet.read(path).events]
        assert times == sorted(times)
        assert times[-1] < datetime.now(UTC)


def test_a_folder_with_sheets_is_refused_and_left_alone(tmp_path):
    (tmp_path / "vessel").mkdir()
    (tmp_path / "vessel" / "answers-T01.jsonl").write_bytes(b"real\n")
    with pytest.raises(demo.FolderInUseError, match="already"):
        demo.write(tmp_path)
    assert [p.name for p in tmp_path.rglob("*.jsonl")] == ["answers-T01.jsonl"]


@pytest.mark.parametrize("trainees", [1, 2, 3, 4, 100])
def test_classes_of_other_sizes(tmp_path, monkeypatch, trainees):
    monkeypatch.setattr(demo._Trainee, "work_on", lambda self, exercise: None)
    names = [path.name for path in demo.write(tmp_path, trainees)]
    assert trainees - 2 <= len(names) <= trainees  # nobody stays to the evening: one sheet each
    assert names[0] == ("answers-T001.jsonl" if trainees == 100 else "answers-T01.jsonl")
    assert len(received.find(tmp_path).sheets) == len(names)


def test_without_a_number_it_has_24(tmp_path, monkeypatch):
    monkeypatch.setattr(demo._Trainee, "sit_down", lambda self, signs_in_only: self.torn_line())
    demo.write(tmp_path)
    assert len(received.find(tmp_path).sheets) == 23
