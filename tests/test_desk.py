"""The marking desk: what it shows of a class, what is marked again, what stays open."""

import asyncio
import contextlib
import os
import re
import subprocess
import sys

import pytest

from exercises import BANK
from exercises.__main__ import main
from exercises.audit import closing
from exercises.instructor import mark_cells, watching
from exercises.paper import paper
from exercises.question import dice
from exercises.register import register
from exercises.sheets import changed_marks, report
from lessons.desk import desk, desk_papers
from tests.codes import named
from tests.test_changed_marks import folder  # noqa: F401 - a class of two, T07 with a slip
from tests.test_register import HOSTILE
from tests.test_report import FIRST, PLUMB, Desk


def text_of(widget):
    """What a widget says, without its tags."""
    return " ".join(re.sub(r"<[^>]+>", " ", widget.value).split())


@pytest.fixture
def marked_again(monkeypatch):
    """The codes of the trainees in the order in which their sheets were marked."""
    codes, mark = [], report.mark

    def noted(trainee, *rest, **more):
        codes.append(trainee)
        return mark(trainee, *rest, **more)

    monkeypatch.setattr(report, "mark", noted)
    return codes


@pytest.fixture
def shown(folder, tmp_path, monkeypatch):  # noqa: F811
    """The desk on the class of two, without a browser."""
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path / "answers"))
    one = desk.Desk(by="MK")
    one.folder.value = str(folder)
    one.open_class()
    return one


def opened(desk_shown, trainee, topic=PLUMB.topic):
    panel = desk_shown.members[trainee]
    panel.button.value = True
    panel.lesson.value = topic
    return panel


def test_the_table_shows_every_trainee_in_shapes_and_words(shown):
    assert list(shown.members) == ["T07", "T08"]
    assert "0 at first" in text_of(shown.members["T07"].line)
    of = sum(e.topic == PLUMB.topic and bool(e.marks) for e in BANK.values())
    assert f"{round(100 / of)} at first 1 of {of}" in text_of(shown.members["T08"].line)
    assert 'href="#empty"' in shown.members["T07"].line.value
    assert 'href="#empty"' in shown.members["T08"].line.value  # one right of nine
    assert "2 trainees, 2 answers" in text_of(shown.status)


def test_a_trainee_opens_with_each_typing_and_the_worked_answer(shown):
    panel = opened(shown, "T07")
    whole = text_of(panel.text)
    given = dice.given(PLUMB, "T07", 1)
    right, opposite = PLUMB.solve(given), PLUMB.slip("opposite").route(given)
    east = PLUMB.asked[0]
    assert f"09:01:00 {east.label} {east.show(opposite[east.name])}" in whole
    assert f"Right: {east.label}" in whole
    assert east.show(right[east.name]).lstrip("-+−") in whole.split("Right:")[1]
    assert PLUMB.title in whole
    assert panel.details.layout.display is None


def test_an_exercise_opens_with_who_made_which_slip_and_where_it_is_taught(shown):
    panel = shown.items[PLUMB.key]
    assert text_of(panel.line).startswith("1 of 2 –")  # two are too few for an agreement
    panel.button.value = True
    whole = text_of(panel.text)
    assert "not right since: T07" in whole
    assert "08_deflection.ipynb" in whole
    assert "T08" in whole


def test_only_what_changed_is_marked_again_and_stays_open(shown, folder, marked_again):  # noqa: F811
    opened(shown, "T07")
    before = dict(shown.members), shown.members["T08"].line
    marked_again.clear()
    shown.refresh()
    assert marked_again == []
    Desk(folder, "T08").answer(FIRST)
    shown.refresh()
    assert marked_again == ["T08"]
    Desk(folder, "T07").answer()
    shown.refresh()
    assert marked_again[1:] == ["T07", "T07"]  # for the table, and for what is open
    assert (dict(shown.members), shown.members["T08"].line) == before
    assert shown.members["T07"].is_open
    assert shown.members["T07"].lesson.value == PLUMB.topic
    assert text_of(shown.members["T07"].text).count("Right:") == 1
    marked = sum(e.topic == PLUMB.topic and bool(e.marks) for e in BANK.values())
    mean = round(100 / marked)  # what is not answered counts 0
    assert f"{mean} 0 at first 1 of {marked}" in text_of(shown.members["T07"].line)


def test_who_comes_and_who_goes(shown, folder):  # noqa: F811
    Desk(folder, "T09").answer()
    (folder / "notes.docx").write_text("x", encoding="utf-8")
    shown.refresh()
    assert list(shown.members) == ["T07", "T08", "T09"]
    assert "notes.docx" in text_of(shown.texts["What was read"])
    (folder / "answers-T07.jsonl").unlink()
    (folder / "notes.docx").unlink()
    shown.refresh()
    assert list(shown.members) == ["T08", "T09"]
    assert text_of(shown.texts["What was read"]) == "Everything was read."


def test_a_mark_is_changed_at_the_desk_and_withdrawn(shown, folder):  # noqa: F811
    panel = opened(shown, "T07")
    assert panel.exercise.value == mark_cells.of_topic(BANK, PLUMB.topic)[0].key
    panel.exercise.value = PLUMB.key
    panel.mark.value, panel.reason.value = "1", ""
    panel.change()
    assert "never changed without a reason" in text_of(panel.message)
    assert not (folder / changed_marks.NAME).exists()
    panel.reason.value = "wire read aloud"
    panel.change()
    assert re.match(r"\d+† 0 at first 1 of", text_of(panel.line))
    assert "marked 0" in text_of(panel.text)
    assert "wire read aloud" in text_of(shown.texts["Changed marks"])
    fresh = register.write(folder, folder / "out")
    standing = next(m for m in fresh.members if m.trainee == "T07").standings[PLUMB.key]
    assert (standing.best, standing.mark, standing.changed.by) == (0, 1, "MK")
    panel.reason.value = "heard wrong"
    panel.withdraw()
    assert "†" not in text_of(panel.line)


def test_register_records_and_statements_are_written_at_the_desk(shown, folder):  # noqa: F811
    one = shown.handing_on
    one.separator.value = ";"
    one.write_register()
    assert "register.html, register.csv, statistics.csv" in text_of(one.message)
    assert b"code;lesson" in (folder / "register.csv").read_bytes()
    one.passing.value = "60"
    one.write_record()
    assert "records/record-T08.html" in (folder / "records.html").read_text(encoding="utf-8")
    html = (folder / "records" / "record-T08.html").read_text(encoding="utf-8")
    assert "60% or more" in html
    assert "Record of <b>T08</b>" in html
    assert [value for _, value in one.who.options] == ["", "T07", "T08"]
    one.who.value = "T07"
    one.write_typing()
    html = (folder / "typing-T07.html").read_text(encoding="utf-8")
    assert 'id="T07"' in html
    assert not named("T08", html)
    one.home.value = "https://survey.example.org"
    one.write_statements()
    text = (folder / "statements.json").read_text(encoding="utf-8")
    assert '"homePage": "https://survey.example.org"' in text
    one.sent.value = "statements.json"
    Desk(folder, "T07").answer()
    one.write_statements()
    assert "verbs/voided" not in (folder / "statements.json").read_text(encoding="utf-8")
    shown.refresh()
    assert text_of(shown.texts["What was read"]) == "Everything was read.", "no file is a stranger"


@pytest.mark.parametrize(
    ("name", "typed", "act", "said"),
    [
        ("passing", "many", "write_record", "A pass mark is a number"),
        ("home", "<b>home", "write_statements", "is not a home page"),
        ("sent", "gone.json", "write_statements", "No such file"),
        ("sent", "answers-T07.jsonl", "write_statements", "no statement as this program writes"),
    ],
)
def test_what_cannot_be_written_is_said_at_the_desk(shown, folder, name, typed, act, said):  # noqa: F811
    one, before = shown.handing_on, sorted(folder.iterdir())
    getattr(one, name).value = typed
    desk.safely(one.message, getattr(one, act))
    assert said in text_of(one.message)
    assert "<b>home" not in one.message.value
    assert "gk-alarm" in one.message.value
    assert sorted(folder.iterdir()) == before


def test_two_files_are_not_written_at_once(shown, folder, monkeypatch):  # noqa: F811
    one, write = shown.handing_on, register.write

    def slow(*names, **more):
        desk.safely(one.message, one.write_statements)
        said.append(text_of(one.message))
        return write(*names, **more)

    said = []
    monkeypatch.setattr(register, "write", slow)
    one.write_register()
    assert "still being written" in said[0]
    assert "register.html" in text_of(one.message)
    one.write_statements()
    assert "statements.json" in text_of(one.message)


def test_nothing_is_written_before_a_class_is_open(tmp_path, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path))
    one = desk.Desk()
    desk.safely(one.handing_on.message, one.handing_on.write_register)
    assert text_of(one.handing_on.message) == "Open a class first."


def test_a_folder_is_read_as_soon_as_it_is_named(shown, folder, marked_again):  # noqa: F811
    other = folder.parent / "another class"
    Desk(other, "T20").answer()
    shown.folder.value = str(other)
    assert list(shown.members) == ["T20"]
    assert watching.remembered()[0] == str(other)
    marked_again.clear()
    shown.open_class()  # the button, pressed as well
    assert marked_again == []
    shown.folder.value = str(folder / "nowhere")
    assert "gk-alarm" in shown.status.value
    assert list(shown.members) == ["T20"], "what was open stays"


def test_a_class_that_the_command_names_takes_the_place_of_the_one_shown(shown, folder):  # noqa: F811
    other = folder.parent / "another class"
    Desk(other, "T20").answer()
    shown._follow()
    assert list(shown.members) == ["T07", "T08"]
    watching.remember(other)  # as `desk FOLDER` does
    shown._follow()
    assert list(shown.members) == ["T20"]
    assert shown.folder.value == str(other)


def test_typed_text_stays_text(folder, shown):  # noqa: F811
    with_all = Desk(folder, "T10")
    for text in HOSTILE[:4]:
        with_all.answer(east=text)
    shown.refresh()
    panel = opened(shown, "T10")
    assert "<script" not in panel.text.value
    assert "onerror" not in re.sub(r"&lt;.*?&gt;", "", panel.text.value)
    assert "&lt;script&gt;" in panel.text.value


@pytest.mark.parametrize("typed", ["", "no such folder", "\x00"])
def test_a_folder_that_is_none_is_said(typed, tmp_path, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path))
    one = desk.Desk()
    one.folder.value = typed
    desk.safely(one.status, one.open_class)
    assert "gk-alarm" in one.status.value
    assert one.watch is None


def test_an_empty_folder_is_no_trouble(tmp_path, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path / "answers"))
    (tmp_path / "class").mkdir()
    watching.remember(tmp_path / "class", "MK")
    one = desk.open_desk()
    assert "holds no answer sheet yet" in text_of(one.status)
    assert one.by == "MK"


def test_a_broken_memory_opens_an_empty_desk(tmp_path, monkeypatch):
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path))
    for text in ("", "[1]", "[" * 5000, '{"folder": "x"}'):
        (tmp_path / watching.MEMORY).write_text(text, encoding="utf-8")
        assert watching.remembered() == ("", "")
    gone = tmp_path / "gone"
    watching.remember(gone)
    one = desk.open_desk()
    assert "gk-alarm" in one.status.value
    assert str(gone) in one.folder.value


def test_no_part_of_the_desk_hides_a_part_of_the_widget():
    """A method named `open` would: the browser then never hears of the widget."""
    theirs = set(dir(desk.widgets.VBox))
    for part in (desk.Desk, desk.Panel, desk.MemberPanel, desk.ItemPanel, desk.HandingOn):
        assert not {name for name in vars(part) if not name.startswith("_")} & theirs


def test_the_command_opens_the_course_on_the_desk(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path / "answers"))
    started = []

    class Course(contextlib.nullcontext):
        """Stopped by Ctrl+C, which both processes hear."""

        def __init__(self, command, **_):
            super().__init__(self)
            started.append(command)
            self.waited = 0

        def wait(self):
            self.waited += 1
            if self.waited == 1:
                raise KeyboardInterrupt
            return 0

    monkeypatch.setattr(subprocess, "Popen", Course)
    assert main(["desk", str(tmp_path / "nowhere")]) == 2
    assert "no such folder" in capsys.readouterr().err
    assert main(["desk", str(tmp_path), "--no-browser"]) == 0
    ((program, *rest),) = started
    assert program == sys.executable
    assert rest == ["-m", "lessons", "--page", "lessons/desk/marking_desk.ipynb", "--no-browser"]
    assert watching.remembered()[0] == os.path.realpath(tmp_path)


def test_who_comes_while_the_class_works_stands_last_until_the_refresh(shown, folder):  # noqa: F811
    Desk(folder, "T01").answer()
    before = shown.views["Class"].children
    shown._show(shown.watch.look().again, in_order=False)
    assert shown.views["Class"].children[:-1] == before  # the browser leaves these alone
    assert list(shown.members) == ["T07", "T08", "T01"]
    shown.refresh()
    assert list(shown.members) == ["T01", "T07", "T08"]
    again = shown.views["Class"].children, shown.views["Exercises"].children
    shown.refresh()
    assert again == (shown.views["Class"].children, shown.views["Exercises"].children)


def test_a_page_that_runs_again_watches_once_and_sees_an_answer(folder, tmp_path, monkeypatch):  # noqa: F811
    monkeypatch.setenv("GEODESY_ANSWERS", str(tmp_path / "answers"))
    monkeypatch.setattr(desk, "EVERY", 0.01)
    watching.remember(folder)

    async def arrives(one, words):
        while words not in text_of(one.status):
            await asyncio.sleep(0.01)

    async def page():
        desk.open_desk()
        one = desk.open_desk()
        await asyncio.wait_for(arrives(one, "2 answers"), 20)
        watchers = [t for t in asyncio.all_tasks() if t.get_name() == desk.WATCHER]
        Desk(folder, "T08").answer(FIRST)
        await asyncio.wait_for(arrives(one, "3 answers"), 20)
        return len(watchers)

    assert asyncio.run(page()) == 1


# What has to be asked about -------------------------------------------------------------


@pytest.fixture
def suspicious(shown, folder):  # noqa: F811
    """The desk where one line of T08's sheet was changed after it was written."""
    sheet_of = folder / "answers-T08.jsonl"
    whole = sheet_of.read_text("utf-8")
    sheet_of.write_text(whole.replace('"turn": 1', '"turn": 1, "frame": "x"', 1), "utf-8")
    shown.refresh()
    return shown


def test_a_class_without_findings_says_so(shown):
    assert "Nothing has to be asked about" in text_of(shown.findings.head)
    assert shown.findings.panels == {}
    assert "to ask about" not in text_of(shown.status)


def test_a_finding_stands_with_its_lines_and_is_closed_with_reason_and_code(suspicious, folder):  # noqa: F811
    view = suspicious.findings
    (panel,) = view.panels.values()
    assert "1 finding to ask about" in text_of(suspicious.status)
    assert panel.button.description == "T08"
    assert "Lines changed after they were written" in text_of(panel.line)
    panel.button.value = True
    assert "answers-T08.jsonl, line" in text_of(panel.text)
    panel.reason.value, panel.by.value = "read it with T08 on the radio", "mk"
    panel.close_finding()
    assert text_of(view.message) == f"{panel.finding.id} is closed. Kept in closed-findings.jsonl."
    assert "closed by MK on" in text_of(panel.line)
    assert panel.form.layout.display == "none"
    assert "Every finding is closed" in text_of(view.head)
    (kept,) = closing.read(folder).last.values()
    assert (kept.by, kept.reason) == ("MK", "read it with T08 on the radio")
    assert watching.remembered() == (str(folder), "mk")


@pytest.mark.parametrize(
    ("reason", "by", "said"),
    [
        ("", "MK", "Say why in a few words"),
        ("   ", "MK", "Say why in a few words"),
        ("asked", "", "code"),
        ("asked", "m k?", "code"),
        ("a" * 5000, "MK", "has 5000 characters"),
    ],
)
def test_without_reason_or_code_nothing_is_closed(suspicious, folder, reason, by, said):  # noqa: F811
    (panel,) = suspicious.findings.panels.values()
    panel.reason.value, panel.by.value = reason, by
    panel.close_finding()
    assert said in text_of(panel.message)
    assert not (folder / closing.NAME).exists()
    assert panel.finding.open
    assert panel.reason.value == reason, "what was typed is still there"


def test_a_finding_that_is_gone_or_changed_meanwhile_is_not_closed(suspicious, folder):  # noqa: F811
    view = suspicious.findings
    (panel,) = view.panels.values()
    panel.reason.value, panel.by.value = "asked", "MK"
    sheet_of = folder / "answers-T08.jsonl"
    edited = sheet_of.read_text("utf-8")
    sheet_of.write_text(edited.replace('"frame": "x"', '"frame": "yz"', 1), "utf-8")
    panel.close_finding()
    assert "have changed since they were shown" in text_of(panel.message)
    assert not (folder / closing.NAME).exists()
    sheet_of.write_text(edited.replace(', "frame": "x"', "", 1), "utf-8")
    panel.close_finding()
    assert "is no longer among the findings" in text_of(view.message)
    assert view.panels == {}
    assert not (folder / closing.NAME).exists()


def test_a_finding_opens_again_where_its_lines_change(suspicious, folder):  # noqa: F811
    (panel,) = suspicious.findings.panels.values()
    panel.reason.value, panel.by.value = "asked", "MK"
    panel.close_finding()
    sheet_of = folder / "answers-T08.jsonl"
    sheet_of.write_text(sheet_of.read_text("utf-8").replace('"x"', '"yz"', 1), "utf-8")
    suspicious.refresh()
    assert "open again" in text_of(panel.line)
    assert panel.form.layout.display is None


def test_two_people_with_one_code_are_told_by_the_instructor(shown, folder):  # noqa: F811
    for vessel in "AB":
        Desk(folder / f"vessel {vessel}", "T30").answer(east=f"0.{ord(vessel)}")
    shown.refresh()
    (panel,) = (one for one in shown.findings.panels.values() if one.finding.kind == "identity")
    assert panel.finding.trainee == "T30"
    panel.reason.value, panel.by.value = "two vessels, two people", "MK"
    panel.close_finding()
    assert "one or two" in text_of(panel.message)
    panel.people.value = "two"
    panel.close_finding()
    assert {"T30/1", "T30/2"} <= set(shown.members)


def test_a_record_takes_the_closed_paper(shown, folder, tmp_path):  # noqa: F811
    on = shown.handing_on
    ((set_in, back),) = on.papers.fields
    set_in.value = "paper"
    with pytest.raises(ValueError, match="needs both folders"):
        on.write_record()
    back.value = "back"
    with pytest.raises(ValueError, match="There is no folder"):
        on.write_record()
    (folder / "paper").mkdir()
    (folder / "back").mkdir()
    with pytest.raises(ValueError, match="no paper was set here"):
        on.write_record()


@pytest.fixture
def final(folder):  # noqa: F811
    """A closed paper of one question, set beside the class and answered rightly by T07."""
    return paper_of(folder.parent, "Final", 31)


def paper_of(home, title, number):
    setting, roster = home / f"{title}.toml", home / f"{title}-roster.csv"
    setting.write_text(
        f'title = "{title}"\nminutes = 60\npass = 60\naids = "calculator"\n'
        f'[[question]]\nexercise = "{PLUMB.key}"\nmarks = 4\n', encoding="utf-8",
    )  # fmt: skip
    roster.write_text(f"code,name,paper\nT07,Anna,{number}\n", encoding="utf-8")
    out, came = home / title, home / f"{title}-came"
    came.mkdir()
    words = ["paper-set", str(setting), "--roster", str(roster), "--out", str(out)]
    assert main(words) == 0
    one = paper.read_copy(out / paper.INSTRUCTOR / paper.COPY)
    right = PLUMB.solve(one.sittings[0].given[0])
    rows = [f"{number},1,{letter},{part.show(right[part.name])}"
            for letter, part in zip("ab", PLUMB.asked, strict=False)]  # fmt: skip
    (came / "typed.csv").write_text("\n".join(["paper,question,part,typed", *rows]), "utf-8")
    return out, came


def test_a_record_written_here_holds_the_closed_paper(shown, folder, final):  # noqa: F811
    on = shown.handing_on
    on.who.value, on.passing.value = "T07", "70"
    ((set_in, back),) = on.papers.fields
    set_in.value, back.value = f'"{final[0]}"', "../Final-came"
    on.write_record()
    assert "record-T07.html" in text_of(on.message)
    assert "paper 31" in (folder / "record-T07.html").read_text("utf-8")


def test_a_record_written_here_holds_several_papers(shown, folder, final):  # noqa: F811
    resit = paper_of(folder.parent, "Resit", 44)
    on = shown.handing_on
    on.who.value = "T07"
    on.papers.another()
    on.papers.another()  # a third that stays empty
    for pair, places in zip(on.papers.fields, (final, resit), strict=False):
        pair[0].value, pair[1].value = map(str, places)
    on.write_record()
    page = (folder / "record-T07.html").read_text("utf-8")
    assert "paper 31" in page
    assert "paper 44" in page
    third = on.papers.fields[2]
    third[0].value, third[1].value = map(str, final)
    with pytest.raises(ValueError, match="this paper is named twice"):
        on.write_record()


def test_no_more_papers_are_offered_than_a_page_holds(shown):
    named = shown.handing_on.papers
    assert named.more in named.children[-1].children
    for _ in range(desk_papers.MOST - 1):
        named.another()
    assert len(named.fields) == len(named.children) == desk_papers.MOST
