"""A closed paper: what leaves the instructor's hands, and what comes back."""

import csv
import io
import json
import math
import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from exercises.__main__ import main
from exercises.paper import accepting, handout, paper, paper_marking, paper_pages, questions
from exercises.question.marking import mark
from exercises.sheets import roster

SETTING = """
title = "Geodesy, closed paper"
minutes = 60
aids = "calculator"
pass = 60
date = 2026-11-27
start = 09:00:00
[[question]]
exercise = "deflection-plumb-offset"
marks = 4
[[question]]
exercise = "grid-choose-polar"
marks = 1
[[question]]
exercise = "datums-seven"
marks = 6
"""
CLASS = "code;name\nT01;Jørgen Ås\nT02;=cmd()\nT03;<script>alert(1)</script>\u202e\n"
PHRASE = "quiet harbour water"
HOSTILE = ("<script>alert(1)</script>", "=1+1", "\u202e0.1", "\x07\x1b[31m", "9" * 5000, "\ud83d")


@pytest.fixture
def setting(tmp_path):
    path = tmp_path / "setting.toml"
    path.write_text(SETTING, encoding="utf-8")
    return path


@pytest.fixture
def people(tmp_path):
    path = tmp_path / "class.csv"
    path.write_text(CLASS, encoding="utf-8")
    return path


@pytest.fixture
def one(setting, people, tmp_path):
    """A paper set for three, handed out; the answers go to `answers`."""
    read = paper.prepare(paper.read_setting(setting), roster.read(people), PHRASE)
    paper_pages.hand_out(read, tmp_path / "set")
    (tmp_path / "answers").mkdir()
    return read


def right(one, number):
    """Answers by question and part letter, as a careful person types them."""
    sitting = one.sittings[number]
    typed = {}
    for at, (asked, given) in enumerate(
        zip(one.setting.asked, sitting.given, strict=True), start=1
    ):
        answer = asked.exercise.solve(given)
        options = {key: letter for letter, key in
                   questions.option_letters(asked.exercise, given).items()}  # fmt: skip
        typed[str(at)] = {
            letter: options.get(answer[part.name]) or part.show(answer[part.name])
            for letter, part in zip(
                questions.part_letters(asked.exercise), asked.exercise.asked, strict=True
            )
        }
    return typed


def hand_in(one, number, folder, name="", minutes=50, **other):
    sitting = one.sittings[number]
    held = {
        "paper": one.name,
        "number": sitting.paper,
        "code": sitting.person.code,
        "decimal": ".",
        "saved": (one.setting.begins + timedelta(minutes=minutes)).isoformat(),
        "answers": right(one, number),
        **other,
    }
    path = folder / (name or f"paper-{sitting.paper}.json")
    path.write_text(json.dumps(held), encoding="utf-8")
    return held


def outcome(one, tmp_path):
    return paper_marking.mark_class(one, tmp_path / "answers")


# What is handed out --------------------------------------------------------------------


def test_nothing_handed_out_gives_an_answer_away(one, tmp_path):
    files = sorted((tmp_path / "set" / paper.HANDED_OUT).iterdir())
    assert len(files) == 6
    secrets = [PHRASE, "T01", "T02", "Jørgen", "edition", "turn"]
    for asked in one.setting.asked:
        secrets += [asked.exercise.key, *(slip.key for slip in asked.exercise.slips)]
        secrets += [slip.name for slip in asked.exercise.slips if len(slip.name) > 20]
        secrets += [text for text in asked.exercise.nudges]
        secrets += [o.key for part in asked.exercise.asked for o in part.options if "-" in o.key]
    parts = [part for asked in one.setting.asked for part in asked.exercise.asked]
    choices = {option.text for part in parts for option in part.options}
    for file in files:
        text = file.read_text(encoding="utf-8")
        script_free = re.sub(r"<script>.*</script>|<style>.*?</style>", "", text, flags=re.DOTALL)
        for secret in secrets:
            assert secret in choices or secret not in script_free, (file.name, secret)
    for sitting in one.sittings:
        text = (files[0].parent / f"form-{sitting.paper}.html").read_text(encoding="utf-8")
        for asked, given in zip(one.setting.asked, sitting.given, strict=True):
            for part in asked.exercise.asked:
                answer = part.show(asked.exercise.solve(given)[part.name])
                assert part.options or not re.search(rf"(?<![\d.]){re.escape(answer)}(?!\d)", text)


def test_files_of_two_people_differ_in_numbers_alone(one, tmp_path):
    folder = tmp_path / "set" / paper.HANDED_OUT
    texts = [
        re.sub(r"[−+]?[\d.\u202f]+|north|south|<li>.*?</li>", "0",
               (folder / f"paper-{s.paper}.html").read_text(encoding="utf-8"))
        for s in one.sittings
    ]  # fmt: skip
    assert len(set(texts)) == 1


def test_the_numbers_follow_the_phrase_and_come_again(setting, people):
    held, crew = paper.read_setting(setting), roster.read(people)
    first, again = (paper.prepare(held, crew, PHRASE) for _ in range(2))
    other = paper.prepare(held, crew, "another phrase")
    assert [s.given for s in first.sittings] == [s.given for s in again.sittings]
    assert [s.given for s in first.sittings] != [s.given for s in other.sittings]
    assert first.sittings[0].given[0] != first.sittings[1].given[0]


def test_proposed_phrases_are_fresh_and_long():
    phrases = {paper.phrase() for _ in range(50)}
    assert len(phrases) == 50
    assert all(re.fullmatch(r"(?:[a-z]{5}-){3}[a-z]{5}", one) for one in phrases)


def test_the_own_copy_is_read_as_it_was_written(one, tmp_path):
    copy = tmp_path / "set" / paper.INSTRUCTOR / paper.COPY
    assert paper.read_copy(copy) == paper.Paper(
        one.name,
        one.setting,
        PHRASE,
        tuple(
            paper.Sitting(roster.Person(s.person.code, s.person.name), s.paper, s.given)
            for s in one.sittings
        ),
        one.editions,
    )
    copy.write_text("{}", encoding="utf-8")
    with pytest.raises(ValueError, match="not the instructor's copy"):
        paper.read_copy(copy)


def test_a_paper_is_never_set_over_another(one, tmp_path):
    with pytest.raises(FileExistsError, match="already set"):
        paper_pages.hand_out(one, tmp_path / "set")


def test_the_key_is_the_instructors(one):
    page = paper_pages.key(one)
    for sitting in one.sittings:
        assert sitting.paper in page
        answer = one.setting.asked[0].exercise.solve(sitting.given[0])
        assert one.setting.asked[0].exercise.asked[0].say(answer["east"]) in page
    assert "<script>alert" not in page


# Settings and rosters that cannot be used ------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("deflection-plumb-offset", "deflection-plum-ofset", "deflection-plumb-offset"),
        ("marks = 4", "marks = 0", "question 1: marks = “0” is not a number"),
        ("marks = 4", "", "question 1: marks is missing"),
        ("marks = 4", "marks = nan", "question 1: marks"),
        ("minutes = 60", "", "minutes is missing"),
        ("minutes = 60", "minutes = 0", "minutes"),
        ("minutes = 60", 'minutes = "an hour"', "minutes"),
        ("pass = 60", "pass = 0", "pass"),
        ("pass = 60", "", "pass is missing"),
        ("datums-seven", "datums-three", "datums-three asks for the course tools, and the paper"),
        ('"calculator"', '"none"', "deflection-plumb-offset asks for a calculator, and the paper"),
        ("deflection-plumb-offset", "deflection-first-plumb", "no marks|no exercise"),
        ("start = 09:00:00", "", "go together"),
        ("aids =", "aid =", "“aid” is not understood"),
        ('aids = "calculator"', "aids = [", "line"),
        ("[[question]]", "[[ask]]", "“ask” is not understood"),
    ],
)
def test_a_setting_that_cannot_be_used_says_why(setting, old, new, says):
    setting.write_text(SETTING.replace(old, new), encoding="utf-8")
    with pytest.raises(ValueError, match=says) as error:
        paper.read_setting(setting)
    assert str(error.value).startswith("setting.toml")


def test_paper_numbers_of_the_roster_stay_and_none_comes_twice(setting):
    held = paper.read_setting(setting)
    crew = [roster.Person("T01", paper="A7"), roster.Person("T02"), roster.Person("T03")]
    numbers = [s.paper for s in paper.prepare(held, crew, PHRASE).sittings]
    assert numbers[0] == "A7"
    assert len(set(numbers)) == 3
    for wrong, says in (("a7", "twice"), ("../x", "not a paper number")):
        with pytest.raises(ValueError, match=says):
            paper.prepare(held, [crew[0], roster.Person("T02", paper=wrong)], PHRASE)


# What comes back -----------------------------------------------------------------------


def test_right_answers_earn_all_marks(one, tmp_path):
    for number in range(3):
        hand_in(one, number, tmp_path / "answers")
    found = outcome(one, tmp_path)
    assert [r.total for r in found.results] == [11, 11, 11]
    assert all(found.passed(r) for r in found.results)
    assert not found.troubles


def test_a_slip_is_named_and_a_part_unread_costs_only_itself(one, tmp_path):
    answers = right(one, 0)
    exercise, given = one.setting.asked[0].exercise, one.sittings[0].given[0]
    slip, route = next(iter(exercise.wrong(given).items()))
    answers["1"] = {
        letter: part.show(route[part.name])
        for letter, part in zip("ab", exercise.asked, strict=True)
    }
    answers["2"] = {"a": "Z"}
    answers["3"] |= {"b": "?"}
    hand_in(one, 0, tmp_path / "answers", answers=answers)
    result = outcome(one, tmp_path).results[0]
    assert result.marked[0].verdict.slips == (slip,)
    assert [m.marks for m in result.marked] == [0, 0, 4]  # 4 = 6 × 2/3
    assert result.marked[2].verdict.parts["y"].state == "unread"
    assert "1 of 1" in paper_pages.result_page(outcome(one, tmp_path))


def test_each_part_alone_is_for_papers_only(one):
    exercise, given = one.setting.asked[2].exercise, one.sittings[0].given[2]
    answer = exercise.solve(given)
    typed = {part.name: part.show(answer[part.name]) for part in exercise.asked} | {"y": ""}
    assert mark(exercise, given, typed).share == 0
    verdict = mark(exercise, given, typed, each_part=True)
    assert verdict.share == pytest.approx(2 / 3)
    assert (verdict.state, verdict.right) == ("unread", False)


def test_a_missing_paper_a_late_one_and_another_hand_are_reported(one, tmp_path):
    hand_in(one, 0, tmp_path / "answers", minutes=63)
    hand_in(one, 1, tmp_path / "answers", code="T09")
    found = outcome(one, tmp_path)
    reported = " ".join(map(str, found.troubles))
    assert "saved at 10:03 by that computer’s clock, 3 minutes after the end" in reported
    assert "“T09”, the paper is T02’s" in reported
    assert f"nothing handed in for paper {one.sittings[2].paper}" in reported
    assert [r.total for r in found.results] == [11, 11, 0]
    assert not any(found.passed(r) for r in found.results), "without the instructor's word"
    assert "? to decide" in paper_pages.result_page(found)


def test_late_or_under_another_code_passes_with_the_instructors_word_alone(one, tmp_path, capsys):
    hand_in(one, 0, tmp_path / "answers", minutes=63)
    hand_in(one, 1, tmp_path / "answers", code="T09")
    order = ["paper-mark", str(tmp_path / "set"), "--answers", str(tmp_path / "answers")]
    order += ["--out", str(tmp_path / "result")]
    first, second = (sitting.paper for sitting in one.sittings[:2])
    assert main(order) == 1
    said = capsys.readouterr().out
    assert "2 papers of 3 marked; 0 at 60 % or above" in said
    assert f"{first}, {second} to decide" in said
    for wrong in (["9", "--reason", "r", "--by", "MK"], [first], [first, "--reason", "late bus"]):
        assert main([*order, "--accept", *wrong]) == 2
        capsys.readouterr()
    assert main([*order, "--accept", first, "--reason", "clock wrong", "--by", "MK"]) == 1
    assert "1 at 60 % or above" in capsys.readouterr().out
    assert main(order) == 1, "kept beside the instructor's copy"
    assert "1 at 60 % or above" in capsys.readouterr().out
    page = (tmp_path / "result" / "paper-result.html").read_text(encoding="utf-8")
    assert "accepted by MK: clock wrong" in page
    hand_in(one, 0, tmp_path / "answers", minutes=80)
    assert main(order) == 1, "of another time: asked about again"
    assert "0 at 60 % or above" in capsys.readouterr().out
    kept = tmp_path / "set" / paper.INSTRUCTOR / accepting.NAME
    kept.write_text(kept.read_text("utf-8").replace("MK", "XX"), encoding="utf-8")
    assert accepting.read(kept.parent) == {}, "a line that was edited does not count"


@pytest.mark.parametrize(
    ("saved", "says"),
    [
        (None, "does not say when it was saved"),
        (7, "does not say when it was saved"),
        ("", "does not say when it was saved"),
        (["2026-11-27T09:30:00"], "does not say when it was saved"),
        (
            "2026-11-27T08:59:59",
            "saved at 08:59 by that computer’s clock, before the start at 09:00",
        ),
        (
            "2026-11-26T09:30:00",
            "saved at 09:30 on 2026-11-26 by that computer’s clock, before the",
        ),
        ("2026-11-27T10:00:01", "saved at 10:00 by that computer’s clock, 1 minute after the end"),
        ("2026-11-28T09:30:00", "saved at 09:30 on 2026-11-28 by that computer’s clock, 1410 min"),
        ("2026-11-27T09:00:00", ""),
        ("2026-11-27T10:00:00", ""),
    ],
)
def test_a_time_of_saving_that_says_anything_but_in_time_is_reported(one, tmp_path, saved, says):
    assert f"{one.setting.begins} {one.setting.minutes}" == "2026-11-27 09:00:00 60"
    hand_in(one, 0, tmp_path / "answers", saved=saved)
    result = outcome(one, tmp_path).results[0]
    assert len(result.notes) == bool(says)
    assert says in "".join(result.notes)
    assert result.total == 11, "reported, and marked all the same"


def test_a_form_without_a_time_does_not_count_before_one_in_time(one, tmp_path):
    for name, more in (("a", {"saved": None}), ("b", {}), ("c", {"saved": "2026-11-27T08:00:00"})):
        answers = right(one, 0) | {"1": {"a": name, "b": name}}
        hand_in(one, 0, tmp_path / "answers", f"{name}.json", **{"answers": answers, **more})
    assert outcome(one, tmp_path).results[0].answers.file == "b.json"
    (tmp_path / "answers" / "b.json").unlink()
    assert outcome(one, tmp_path).results[0].answers.file == "c.json"


@pytest.mark.parametrize(
    ("passing", "of"), [(60, 6.6), (50, 5.5), (70, 7.7), (33, 3.63), (100, 11)]
)
def test_the_pass_limit_to_a_tenth_of_a_mark(one, passing, of):
    setting = replace(one.setting, passing=passing)
    assert setting.marks * passing == pytest.approx(100 * of)
    found = paper_marking.Outcome(replace(one, setting=setting), [], [])

    def passed(total):
        return found.passed(result_of(one, total))

    tenths = math.ceil(of * 10 - 1e-6)
    assert passed(tenths / 10)
    assert not passed((tenths - 1) / 10)
    if tenths == round(of * 10):
        assert passed(math.fsum([0.1] * tenths)), "as tenths add up, too"


def result_of(one, total):
    """Return a result of so many marks, all earned at the first question."""
    asked, sitting = one.setting.asked[0], one.sittings[0]
    question = sitting.questions(one.setting)[0]
    marked = paper_marking.MarkedQuestion(question, asked.exercise, {}, None, total)
    return paper_marking.PaperResult(sitting, None, [marked])


def test_of_two_files_the_last_one_in_time_counts(one, tmp_path):
    for name, minutes, text in (("a", 20, "1"), ("b", 55, "2"), ("c", 70, "3")):
        answers = right(one, 0) | {"1": {"a": text, "b": text}}
        hand_in(one, 0, tmp_path / "answers", f"{name}.json", minutes, answers=answers)
    result = outcome(one, tmp_path).results[0]
    assert result.marked[0].typed["east"] == "2"
    assert result.notes == ["handed in 3 times; b.json counts, not a.json, c.json"]


def test_two_files_of_one_paper_are_a_note_and_one_is_none(one, tmp_path):
    hand_in(one, 0, tmp_path / "answers", "a.json", 20)
    assert outcome(one, tmp_path).results[0].notes == []
    hand_in(one, 0, tmp_path / "answers", "b.json", 30)
    (note,) = outcome(one, tmp_path).results[0].notes
    assert note == "handed in 2 times; b.json counts, not a.json"


def test_a_file_of_more_than_a_thousand_texts_is_no_form(one, tmp_path):
    """Those of the paper are among them: two parts, one and three."""
    asked = right(one, 0)
    for beyond, total in ((994, 11), (995, 0)):
        others = {str(number): {"a": "1"} for number in range(1000, 1000 + beyond)}
        hand_in(one, 0, tmp_path / "answers", answers=asked | others)
        found = outcome(one, tmp_path)
        assert found.results[0].total == total
        reported = " ".join(map(str, found.troubles))
        assert ("holds more answers than any paper asks for" in reported) == (not total)


def test_a_folder_where_one_stands_is_named_by_a_point(one, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path / "answers")
    (trouble,) = paper_marking.mark_class(one, Path()).troubles
    assert trouble.file == "."
    assert trouble.text.startswith("nothing handed in for paper ")


def test_numbers_in_the_file_are_not_believed(one, tmp_path):
    tampered = {"given": [{}] * 3, "marks": 100, "turn": 7}
    hand_in(one, 0, tmp_path / "answers", **tampered)
    assert outcome(one, tmp_path).results[0].total == 11


def test_answers_typed_from_paper(one, tmp_path):
    lines = ["paper;question;part;typed;decimal"]
    for question, parts in right(one, 1).items():
        for letter, text in parts.items():
            comma = text.replace(".", ",")
            lines.append(f"{one.sittings[1].paper};{question};{letter};{comma};,")
    path = tmp_path / "answers" / "from paper.csv"
    path.write_text("\r\n".join(lines), encoding="utf-8-sig")
    assert outcome(one, tmp_path).results[1].total == 11


def test_a_line_of_a_table_that_cannot_be_meant_is_reported_and_the_others_count(one, tmp_path):
    paper = one.sittings[1].paper
    lines = ["paper,question,part,typed", f"{paper},1,a,7", "12345678,1,a,7"]
    for question, parts in right(one, 1).items():
        lines += [f"{paper},{question},{letter},{text}" for letter, text in parts.items()]
    lines += [f"{paper},99,a,7", f"{paper},1,q,7", f"{paper},one,a,7", ",1,a,7"]
    path = tmp_path / "answers" / "from paper.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    found = outcome(one, tmp_path)
    assert found.results[1].total == 11
    reported = [trouble.text for trouble in found.troubles if trouble.file == "from paper.csv"]
    assert reported == [
        "line 3: its paper number “12345678” does not belong to this class; skipped.",
        f"line 4: paper {paper}, question 1, part a stands twice; this line counts.",
        f"line {len(lines) - 3}: “99” is not a question of this paper; skipped.",
        f"line {len(lines) - 2}: “q” is not a part of question 1, which has a, b; skipped.",
        f"line {len(lines) - 1}: “one” is not a question of this paper; skipped.",
    ]


@pytest.mark.parametrize(
    ("name", "contents", "says"),
    [
        ("x.csv", "paper,question,part,typed\n1,1,a," + "9" * 200_000, "field larger"),
        ("x.json", "[" * 200_000, "is not an answer file"),
        ("x.json", '{"answers": NaN}', "is not an answer file"),
        ("x.json", b"\xff\xfe", "is not an answer file"),
        ("x.json", '{"paper": "ZZZ", "number": "1", "answers": {}}', "belongs to the paper “ZZZ”"),
        ("x.csv", "a,b\n1,2\n", "head line"),
        ("x.csv", b"paper\xf8", "UTF-8"),
        ("x.csv", "paper,question,part,typed\n9999999,1,a,2\n", "does not belong to this class"),
    ],
)
def test_a_file_that_is_no_answer_is_reported_and_the_rest_is_marked(
    one, tmp_path, name, contents, says
):
    path = tmp_path / "answers" / name
    path.write_bytes(contents if isinstance(contents, bytes) else contents.encode())
    hand_in(one, 0, tmp_path / "answers")
    found = outcome(one, tmp_path)
    assert found.results[0].total == 11
    assert any(says in str(trouble) for trouble in found.troubles), found.troubles


def test_a_large_file_and_a_link_out_of_the_folder(one, tmp_path):
    large = tmp_path / "answers" / "large.json"
    with open(large, "wb") as out:
        out.truncate(50 * 1024 * 1024)
    hand_in(one, 1, tmp_path, "outside.json")
    (tmp_path / "answers" / "link.json").symlink_to(tmp_path / "outside.json")
    reported = " ".join(map(str, outcome(one, tmp_path).troubles))
    assert "50 MB is too large" in reported
    assert "link.json: a symbolic link; not followed" in reported


def test_no_text_runs_in_page_or_table(one, tmp_path):
    answers = {str(n): dict.fromkeys("abc", text) for n, text in enumerate(HOSTILE, start=1)}
    hand_in(one, 1, tmp_path / "answers", answers=answers, code=HOSTILE[0])
    found = outcome(one, tmp_path)
    page = paper_pages.result_page(found)
    assert "<script" not in page
    assert "\u202e" not in page
    assert "\x1b" not in page
    for separator in (",", ";", "tab"):
        table = paper_pages.result_csv(found, separator)
        cells = [
            c
            for row in csv.reader(
                io.StringIO(table[1:]), delimiter=separator[:1].replace("t", "\t")
            )
            for c in row
        ]
        assert not [c for c in cells if c[:1] in ("=", "+", "-", "@")]
        assert "'=cmd()" in cells


# The commands --------------------------------------------------------------------------


def test_set_and_mark_from_the_command_line(setting, people, tmp_path, capsys):
    out = tmp_path / "a set"
    assert main(["paper-set", str(setting), "--roster", str(people), "--out", str(out)]) == 0
    before = paper.read_copy(out / paper.INSTRUCTOR / paper.COPY)
    capsys.readouterr()
    assert main(["paper-set", str(setting), "--roster", str(people), "--out", str(out)]) == 2
    reported = capsys.readouterr().err
    assert f"holds the paper {before.name}, “Geodesy, closed paper”, set for 3" in reported
    assert "--again" in reported
    assert paper.read_copy(out / paper.INSTRUCTOR / paper.COPY) == before
    order = ["paper-set", str(setting), "--roster", str(people), "--out", str(out), "--again"]
    assert main(order) == 0
    one = paper.read_copy(out / paper.INSTRUCTOR / paper.COPY)
    assert one.name != before.name
    aside = out / paper.INSTRUCTOR / f"paper-{before.name}"
    assert paper.read_copy(aside / paper.COPY) == before, "what was handed out can still be marked"
    assert len(list((out / paper.HANDED_OUT).iterdir())) == 6
    answers = tmp_path / "answers"
    answers.mkdir()
    for number in range(3):
        hand_in(one, number, answers)
    result = tmp_path / "result"
    order = ["paper-mark", str(out), "--answers", str(answers), "--out", str(result)]
    assert main(order) == 0
    assert "3 papers of 3 marked; 3 at 60 % or above" in capsys.readouterr().out
    (answers / f"paper-{one.sittings[0].paper}.json").unlink()
    assert main(order) == 1
    assert "nothing handed in" in capsys.readouterr().err
    assert main(["paper-mark", str(answers), *order[2:]]) == 2
    assert main(["paper-set", str(setting), "--roster", str(people), "--out", str(out),
                 "--phrase", "abc"]) == 2  # fmt: skip


def test_handout_has_questions_and_its_key_the_answers(tmp_path, capsys):
    order = ["handout", "--lesson", "08", "--trainees", "T01-T03", "--out", str(tmp_path)]
    assert main(order) == 0
    page = (tmp_path / handout.SHEETS).read_text(encoding="utf-8")
    key = (tmp_path / handout.KEY).read_text(encoding="utf-8")
    assert all(f"<b>{code}</b>" in page for code in ("T01", "T02", "T03"))
    heads = re.findall(r"<b>(T0\d) · turn 1</b>.*?page (\d+) of (\d+)", page)
    assert [n for code, n, _ in heads if code == "T02"] == [
        str(n) for n in range(1, int(heads[0][2]) + 1)
    ]
    assert "what slips give" in key
    assert "what slips give" not in page
    assert "deflection-plumb-offset" not in page
    for wrong in (["--lesson", "99"], ["--turn", "0", "--lesson", "08"], [], ["nonsense"]):
        order = ["handout", *wrong, "--trainees", "T01", "--out", str(tmp_path)]
        assert main(order) == 2
        assert capsys.readouterr().err.count("\n") == 1


def test_answers_of_a_handout_are_typed_into_the_same_table_and_marked(tmp_path, capsys):
    keys = ["deflection-plumb-offset", "grid-choose-polar"]
    out = tmp_path / "handout"
    order = ["handout", *keys, "--trainees", "T01-T02", "--out", str(out)]
    assert main(order) == 0
    assert main(order) == 0, "the same again is no other"
    one = paper.read_copy(out / paper.COPY)
    answers = tmp_path / "answers"
    answers.mkdir()
    rows = [
        f"t01;{question};{part};{text}"
        for question, parts in right(one, 0).items()
        for part, text in parts.items()
    ]
    lines = ["paper;question;part;typed", *rows, "T02;2;a;Z", "T05;1;a;3"]
    (answers / "typed.csv").write_text("\n".join(lines), encoding="utf-8")
    result = tmp_path / "result"
    order = ["paper-mark", str(out), "--answers", str(answers), "--out", str(result)]
    assert main([*order, "--separator", ";"]) == 1
    said = capsys.readouterr()
    assert "2 papers of 2 marked." in said.out
    assert "“T05” does not belong to this class" in said.err
    with open(result / "paper-result.csv", encoding="utf-8-sig", newline="") as table:
        rows = list(csv.DictReader(table, delimiter=";"))
    assert [(row["code"], row["total"], row["result"]) for row in rows] == [
        ("T01", "2", ""), ("T02", "0", ""),
    ]  # fmt: skip
    assert "pass at" not in (result / "paper-result.html").read_text(encoding="utf-8")
    assert main(["handout", keys[0], "--trainees", "T01-T04", "--out", str(out)]) == 2
    assert "holds “Exercises” for T01 to T02" in capsys.readouterr().err
    assert main(["handout", keys[0], "--trainees", "T01-T04", "--out", str(out), "--again"]) == 0


def test_a_table_with_semicolons_has_decimal_commas(one, tmp_path):
    answers = right(one, 0)
    answers["1"]["b"] = "?"
    setting = replace(
        one.setting, asked=(replace(one.setting.asked[0], marks=3), *one.setting.asked[1:])
    )
    hand_in(one, 0, tmp_path / "answers", answers=answers)
    found = outcome(replace(one, setting=setting), tmp_path)
    assert found.results[0].total == 1.5 + 1 + 6
    assert ";8,5;" in paper_pages.result_csv(found, ";")
    assert ",8.5," in paper_pages.result_csv(found, ",")


@pytest.mark.parametrize("saved", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00"])
def test_at_the_ends_of_the_calendar_a_time_is_read_without_its_zone(saved):
    moment = paper_marking._moment(saved)
    assert moment.isoformat() == saved[:19]


def test_of_many_files_of_one_paper_ten_are_named(one, tmp_path):
    for number in range(12):
        hand_in(one, 0, tmp_path / "answers", name=f"{number:02d}.json", minutes=10 + number)
    (note,) = outcome(one, tmp_path).results[0].notes
    named = ", ".join(f"{number:02d}.json" for number in range(10))
    assert note == f"handed in 12 times; 11.json counts, not {named} and 1 more"
