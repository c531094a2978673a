"""A sheet marked again from scratch: first, best, slips, and whatever is wrong with the file."""

import json
import os
import shutil
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises import BANK
from exercises.audit import received
from exercises.question import dice
from exercises.sheets import report, sheet

PLUMB, TOTAL, FIRST = (
    BANK[f"deflection-{name}"] for name in ("plumb-offset", "total", "first-weight")
)
START = datetime(2026, 3, 16, 9, 0, tzinfo=UTC)


class Desk:
    """One trainee's sheet, written as the answer box writes it, a minute an event."""

    def __init__(self, folder, trainee="T07", name=None, start=START):
        self.trainee, self.clock = trainee, start
        self.path = folder / (name or sheet.file_name(trainee))
        folder.mkdir(parents=True, exist_ok=True)

    def put(self, event, exercise=PLUMB, turn=1, **more):
        self.clock += timedelta(minutes=1)
        place = {"key": exercise.key, "edition": exercise.edition, "turn": turn}
        return sheet.append(
            self.path, {"time": self.clock.isoformat(), "event": event, **place, **more}
        )

    def answer(self, exercise=PLUMB, turn=1, *, decimal=".", slip=None, **typed):
        numbers = dice.given(exercise, self.trainee, turn)
        values = exercise.solve(numbers) | (exercise.slip(slip).route(numbers) if slip else {})
        texts = {a.name: a.show(values[a.name]) for a in exercise.asked} | typed
        event = "said first" if exercise.marks == 0 else "answered"
        return self.put(event, exercise, turn, given=numbers, typed=texts, decimal=decimal)

    def marked(self, *others):
        paths = [self.path, *(other.path for other in others)]
        return report.mark(self.trainee, paths, folder=self.path.parent)

    def edit(self, *changes):
        text = self.path.read_text(encoding="utf-8")
        for before, after in changes:
            assert before in text
            text = text.replace(before, after)
        self.path.write_text(text, encoding="utf-8")


@pytest.fixture
def desk(tmp_path):
    return Desk(tmp_path)


def standing(one, exercise=PLUMB):
    return one.standings[exercise.key]


# First, best, slips ----------------------------------------------------------------------


def test_first_is_the_first_answer_and_best_the_best(desk):
    desk.answer(slip="opposite")
    desk.answer(east="0")
    desk.answer()
    desk.answer(slip="swapped")
    stands = standing(desk.marked())
    assert (stands.first, stands.best, stands.answers) == (0.0, 1.0, 4)
    assert stands.slips == {"opposite": 1, "swapped": 1}
    assert stands.turns == 1


def test_an_answer_not_understood_is_no_attempt(desk):
    desk.answer(east="no idea")
    desk.answer(east="12,3,4")
    desk.answer()
    stands = standing(desk.marked())
    assert (stands.first, stands.best) == (1.0, 1.0)
    assert (stands.answers, stands.not_understood) == (1, 2)


def test_only_turn_one_counts_as_first(desk):
    desk.answer(east="?")
    desk.put("shown")
    desk.put("new numbers", turn=2)
    desk.answer(turn=2)
    stands = standing(desk.marked())
    assert stands.first is None
    assert stands.best == 1.0
    assert stands.turns == 2


def test_nothing_after_the_worked_answer_counts_on_that_turn(desk):
    desk.answer(slip="total")
    desk.put("nudged", nudge=1)
    desk.put("shown")
    desk.answer()
    desk.answer(slip="opposite")
    stands = standing(desk.marked())
    assert stands.best < 1
    assert (stands.answers, stands.after_shown, stands.nudges) == (1, 2, 1)
    assert stands.shown == [1]
    assert stands.slips == {"total": 1}
    desk.put("new numbers", turn=2)
    desk.answer(turn=2)
    assert standing(desk.marked()).best == 1.0


def test_the_worked_answer_before_any_answer_leaves_no_first(desk):
    desk.put("shown")
    desk.answer()
    stands = standing(desk.marked())
    assert (stands.first, stands.best, stands.answers) == (None, None, 0)


def test_the_trainees_decimal_sign_decides(desk):
    desk.answer(decimal=",", east="12,345", north="1.234,5")
    desk.answer(decimal=None, east="12,345")
    one = desk.marked()
    first, second = (entry.attempt.verdict for entry in one.entries[PLUMB.key])
    assert first.parts["east"].value == 12.345
    assert first.parts["north"].value == 1234.5
    assert second.state == "unread"


def test_the_verdict_is_worked_out_again_not_taken_from_the_sheet(desk):
    desk.answer(slip="opposite")
    desk.edit(('"typed"', '"right": true, "share": 1.0, "verdict": "right", "typed"'))
    assert standing(desk.marked()).best == 0.0


def test_what_is_said_first_is_kept_and_not_marked(desk):
    desk.answer(FIRST, choice="north")
    desk.answer(FIRST, choice="south")
    desk.answer(FIRST, choice="moon")
    stands = standing(desk.marked(), FIRST)
    assert stands.choice == "north"
    assert (stands.first, stands.best) == (None, None)
    assert stands.not_understood == 1


def test_entries_keep_time_and_the_time_between(desk):
    desk.answer(slip="opposite")
    desk.clock += timedelta(seconds=75)
    desk.answer()
    desk.put("remark", text="which zenith?")
    one = desk.marked()
    assert [e.gap for e in one.entries[PLUMB.key]] == [None, 135.0, 60.0]
    assert [e.what for e in one.entries[PLUMB.key]] == ["answered", "answered", "remark"]
    assert standing(one).remarks == ["which zenith?"]
    assert (one.begun, one.last) == (START + timedelta(minutes=1), desk.clock)


def test_of_many_answers_all_count_and_not_all_are_kept(desk):
    for _ in range(report.MOST_ENTRIES + 7):
        desk.answer(slip="opposite")
    desk.answer()
    one = desk.marked()
    assert standing(one).answers == report.MOST_ENTRIES + 8
    assert standing(one).best == 1.0
    assert len(one.entries[PLUMB.key]) == report.MOST_ENTRIES
    assert one.more(PLUMB.key) == 8


# Numbers and editions --------------------------------------------------------------------


def redigested(path, change):
    """Edit the last event as somebody would who works the digest out again."""
    lines = path.read_text(encoding="utf-8").splitlines()
    event = json.loads(lines[-1])
    change(event)
    event["digest"] = sheet.digest(event)
    lines[-1] = json.dumps(event)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def test_numbers_as_drawn_carry_no_flag(desk):
    for turn in (1, 2, 3):
        for exercise in BANK.values():
            desk.answer(exercise, turn)
    one = desk.marked()
    assert not one.troubles
    assert not any(stands.flags for stands in one.standings.values())
    assert all(stands.first == 1 for key, stands in one.standings.items() if BANK[key].marks)


def test_numbers_made_easier_are_flagged_and_marked_as_they_stand(desk):
    # 36.0″ and 24.0″ over 2 865 m, by hand: 1″ is 13.890 mm there, so 0.500 m and 0.333 m.
    desk.answer(east="-0.33", north="-0.50")
    easy = {"xi": 36.0, "eta": 24.0, "depth": 2865.0}
    redigested(desk.path, lambda event: event.update(given=easy))
    one = desk.marked()
    assert standing(one).flags == {report.NOT_DRAWN: 1}
    assert standing(one).best == 1.0
    assert one.left == 0


def test_a_unit_of_the_last_printed_digit_is_no_disagreement():
    drawn = {"xi": 36.0, "eta": 24.0, "depth": 2865.0}
    assert report.agrees(PLUMB, drawn | {"xi": 36.1, "depth": 2866.0}, drawn)
    assert not report.agrees(PLUMB, drawn | {"xi": 36.2}, drawn)
    assert not report.agrees(PLUMB, drawn | {"depth": 2867.0}, drawn)
    components = BANK["deflection-components"]
    drawn = dice.given(components, "T07", 1)
    hundredth = 0.01 / 3600  # printed to 0.01″, held in degrees
    assert report.agrees(components, drawn | {"lat": drawn["lat"] + hundredth}, drawn)
    assert not report.agrees(components, drawn | {"lat": drawn["lat"] + 2 * hundredth}, drawn)


def test_an_edited_line_is_flagged_and_reported(desk):
    desk.answer(east="9.99")
    right = PLUMB.part("east").show(PLUMB.solve(dice.given(PLUMB, "T07", 1))["east"])
    desk.edit(('"9.99"', f'"{right}"'))
    one = desk.marked()
    assert standing(one).flags == {report.CHANGED: 1}
    assert "changed after it was written" in one.troubles[0].text
    assert one.left == 0, "it was read"


def test_another_trainees_sheet_under_this_name_shows(tmp_path):
    theirs = Desk(tmp_path / "a", "T08")
    theirs.answer()
    shutil.copy(theirs.path, tmp_path / "answers-T07.jsonl")
    one = report.mark("T07", [tmp_path / "answers-T07.jsonl"], folder=tmp_path)
    assert standing(one).flags == {report.NOT_DRAWN: 1}


def test_another_edition_is_marked_from_its_own_numbers(desk):
    # 41.6″ and 27.3″ over 2 650 m, by hand: 1″ is 12.847 mm there.
    old = {"xi": -41.6, "eta": 27.3, "depth": 2650.0}
    answer = {"east": "-0.35", "north": "0.53"}
    desk.put("answered", given=old, typed=answer, decimal=".", edition=PLUMB.edition + 1)
    one = desk.marked()
    assert standing(one).best == 1.0
    (flag,) = standing(one).flags
    assert f"edition {PLUMB.edition + 1}" in flag
    assert one.left == 0


@pytest.mark.parametrize(
    "given",
    [
        {"xi": 1.0},
        {"xi": "1.0", "eta": 2.0, "depth": 3000.0},
        {"xi": True, "eta": 2.0, "depth": 3000.0},
        {"xi": 1e300, "eta": 2.0, "depth": 3000.0},
        {"xi": None, "eta": 2.0, "depth": 3000.0},
        {"xi": [1], "eta": 2.0, "depth": 3000.0},
        {"xi": 10**400, "eta": 2.0, "depth": 3000.0},
    ],
)
def test_numbers_of_no_use_are_reported_and_the_rest_is_marked(desk, given):
    desk.put("answered", given=given, typed={"east": "1", "north": "1"}, decimal=".")
    desk.answer()
    one = desk.marked()
    assert standing(one).answers == 1
    assert one.left == 1
    assert PLUMB.key in one.troubles[0].text


def test_a_latitude_that_cannot_be_is_reported(desk):
    laplace = BANK["deflection-laplace"]
    impossible = dice.given(laplace, "T07", 1) | {"lat": 1234.0}
    desk.put("answered", laplace, given=impossible, typed={"correction": "1", "alpha": "1"})
    desk.answer()
    one = desk.marked()
    assert one.left == 1
    assert "1234" in one.troubles[0].text
    assert standing(one).answers == 1


def test_an_unknown_exercise_is_reported_once_with_what_is_near(desk):
    for _ in range(3):
        desk.put("answered", given={}, typed={"size": "1"}, key="deflection-totl")
    desk.put("nudged", key="")
    desk.answer()
    one = desk.marked()
    assert one.left == 4
    assert "3 lines" in one.troubles[0].text
    assert "deflection-total" in one.troubles[0].text
    assert standing(one).answers == 1


# Files -----------------------------------------------------------------------------------


def test_troubles_of_a_sheet_are_reported_with_its_name_and_folded(desk):
    desk.answer()
    with open(desk.path, "ab") as out:
        out.write(b"rubbish\n" * 40)
    desk.answer()
    one = desk.marked()
    assert [str(trouble) for trouble in one.troubles] == [
        "answers-T07.jsonl: lines 2 to 41 (40 of them): torn or damaged; skipped."
    ]
    assert one.left == 40
    assert standing(one).answers == 2


def test_two_sheets_are_merged_by_time_and_copies_count_once(tmp_path, desk):
    desk.answer(slip="opposite")
    copy = Desk(tmp_path, name="answers-T07 (1).jsonl", start=desk.clock)
    shutil.copy(desk.path, copy.path)
    desk.clock += timedelta(hours=1)
    desk.answer()
    copy.answer(slip="swapped")
    one = desk.marked(copy)
    assert standing(one).slips == {"opposite": 1, "swapped": 1}
    assert standing(one).answers == 3
    kinds = [entry.attempt.verdict.state for entry in one.entries[PLUMB.key]]
    assert kinds == ["slip", "slip", "right"]
    reported = " ".join(trouble.text for trouble in one.troubles)
    assert "1 line found twice, counted once" in reported
    assert "2 sheets of T07, merged by time" in reported
    assert one.left == 0


def test_an_edited_copy_is_not_taken_for_the_same_line(tmp_path, desk):
    desk.answer(east="9.99")
    copy = Desk(tmp_path, name="answers-T07 (1).jsonl")
    shutil.copy(desk.path, copy.path)
    copy.edit(('"9.99"', '"8.88"'))
    assert standing(desk.marked(copy)).answers == 2


def test_one_sheet_keeps_its_order_whatever_the_clock_did(desk):
    desk.answer(slip="opposite")
    desk.clock -= timedelta(days=400)
    desk.answer()
    assert standing(desk.marked()).first == 0.0


@pytest.mark.parametrize("time", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00",
                                  "2026-03-16", "2026-03-16T10:00:00"])  # fmt: skip
def test_odd_times_are_taken(tmp_path, desk, time):
    desk.answer()
    redigested(desk.path, lambda event: event.update(time=time))
    other = Desk(tmp_path, name="answers-T07 (1).jsonl")
    other.answer()
    assert standing(desk.marked(other)).answers == 2


def test_a_sheet_that_cannot_be_opened_is_reported(desk, monkeypatch):
    desk.answer()

    def refuses(path):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(sheet, "read", refuses)
    one = desk.marked()
    assert [str(t) for t in one.troubles] == ["answers-T07.jsonl: Permission denied; not read."]
    assert one.left == 1


def test_finding_sheets_and_reporting_what_else_lies_there(tmp_path):
    for name in (
        *("answers-T2.jsonl", "answers-T10.jsonl", "vessel ø/answers-T2 (1).jsonl"),
        *("settings.json", "answers-T2.lock", "register.csv", ".DS_Store", "Thumbs.db"),
        *("notes.txt", "answers-t3.jsonl", "vessel ø/answers-.jsonl", ".git/answers-T9.jsonl"),
    ):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"")
    found = received.find(tmp_path)
    assert {code: [one.path.name for one in sheets] for code, sheets in found.sheets.items()} == {
        "T2": ["answers-T2.jsonl", "answers-T2 (1).jsonl"],
        "T3": ["answers-t3.jsonl"],
        "T10": ["answers-T10.jsonl"],
    }
    assert list(found.sheets) == ["T2", "T3", "T10"], "in the order people count"
    reported = [os.path.basename(trouble.file) for trouble in found.troubles]
    assert sorted(reported) == ["answers-.jsonl", "notes.txt"]
    assert found.left == 2


def test_a_folder_full_of_other_things_is_reported_briefly(tmp_path):
    for number in range(200):
        (tmp_path / f"photo{number}.jpg").write_bytes(b"")
    found = received.find(tmp_path)
    assert len(found.troubles) == report.MOST_STRANGERS + 1
    assert found.left == 200
    with pytest.raises(FileNotFoundError):
        received.find(tmp_path / "nowhere")


@pytest.mark.skipif(os.name == "nt", reason="links need a right of their own on Windows")
def test_no_link_is_followed(tmp_path):
    outside, inside = tmp_path / "outside", tmp_path / "class"
    Desk(outside, "T08").answer()
    Desk(inside, "T07").answer()
    (inside / "answers-T08.jsonl").symlink_to(outside / "answers-T08.jsonl")
    (inside / "more").symlink_to(outside, target_is_directory=True)
    (inside / "round").symlink_to(inside, target_is_directory=True)
    os.mkfifo(inside / "answers-T09.jsonl")  # opening it would wait for ever
    found = received.find(inside)
    assert list(found.sheets) == ["T07"]
    assert found.left == 4
    assert sorted(str(trouble) for trouble in found.troubles) == [
        "answers-T08.jsonl: a symbolic link; not followed.",
        "answers-T09.jsonl: not a file; not read.",
        "more: a symbolic link; not followed.",
        "round: a symbolic link; not followed.",
    ]


# Whatever stands in it -------------------------------------------------------------------

SCALAR = st.none() | st.booleans() | st.integers() | st.text(max_size=8)
SCALAR |= st.floats(allow_nan=False, allow_infinity=False)


@given(
    st.lists(
        st.fixed_dictionaries(
            {"event": st.sampled_from(sorted(sheet.EVENTS)), "time": st.just("2026-03-16")},
            optional={
                "key": st.sampled_from([*BANK, "", "x"]),
                "turn": st.integers(1, 3) | SCALAR,
                "edition": st.integers(1, 2) | SCALAR,
                "given": st.dictionaries(
                    st.sampled_from(["xi", "eta", "depth", "order", "lat"]), SCALAR
                ),
                "typed": st.dictionaries(
                    st.sampled_from(["east", "north", "size", "azimuth", "choice"]),
                    st.text(max_size=12) | st.sampled_from(["0.35", "-1", "south"]),
                ),
                "decimal": SCALAR,
                "nudge": SCALAR,
                "text": st.text(max_size=8),
            },
        ),
        max_size=6,
    )
)
@settings(max_examples=150, deadline=None)
def test_no_event_stops_the_marking(tmp_path_factory, events):
    path = tmp_path_factory.mktemp("fuzz") / "answers-T07.jsonl"
    path.write_text("".join(json.dumps(event) + "\n" for event in events), encoding="utf-8")
    one = report.mark("T07", [path], folder=path.parent)
    kept = sum(one.happened.values()) + len(one.remarks) + one.left
    signed = sum(
        e["event"] == sheet.HANDED_IN
        or (e["event"].startswith("signed") and e.get("key", "") not in BANK)
        for e in events
    )
    assert kept <= len(events)
    assert kept >= len(events) - signed
