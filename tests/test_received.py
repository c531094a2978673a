"""What people really send and what a hostile hand sends: read in memory, in bounds, in words."""

import base64
import email.message
import io
import json
import os
import quopri
import struct
import time
import zipfile
import zlib
from datetime import timedelta

import pytest

from exercises.audit import closing, envelopes, received
from exercises.instructor.class_folder import ClassFolder
from exercises.sheets import changed_marks
from tests.test_report import PLUMB, TOTAL, Desk


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "class"
    path.mkdir()
    return path


@pytest.fixture
def lines(tmp_path):
    """Return the bytes of T07's sheet: three answers, one with a letter beyond ASCII."""
    desk = Desk(tmp_path / "own")
    desk.answer(slip="opposite")
    desk.answer()
    desk.put("remark", text="Größe = 0,4 — “ja”")
    return desk.path.read_bytes()


def marked(folder):
    every = ClassFolder(folder)
    return every, {one.trainee: one for one in every.reports()}


def zipped(files, method=zipfile.ZIP_DEFLATED):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", method) as archive:
        for name, contents in files.items():
            archive.writestr(name, contents)
    return packed.getvalue()


def mailed(files, sender="anna@example.org", text="Hello, here is my sheet."):
    message = email.message.EmailMessage()
    message["From"], message["To"], message["Subject"] = sender, "m@example.org", "my answers"
    message.set_content(text)
    message.add_alternative(f"<p>{text}</p>", subtype="html")
    for name, contents in files.items():
        message.add_attachment(
            contents, maintype="application", subtype="octet-stream", filename=name
        )
    return message.as_bytes()


def pretty(lines):
    return "\n".join(json.dumps(json.loads(line), indent=2) for line in lines.splitlines()).encode()


def listed(lines):
    return json.dumps([json.loads(line) for line in lines.splitlines()], indent=1).encode()


SENT = {
    "as it is": ("answers-T07.jsonl", lambda raw: raw),
    "a second download": ("answers-T07 (1).jsonl", lambda raw: raw),
    "in small letters": ("answers-t07.jsonl", lambda raw: raw),
    "as a text": ("answers-T07.txt", lambda raw: raw),
    "as a text of a mail program": ("answers-T07.jsonl.txt", lambda raw: raw),
    "under the code alone": ("T07.txt", lambda raw: raw),
    "with a mark": ("answers-T07.jsonl", lambda raw: b"\xef\xbb\xbf" + raw),
    "lines of Windows": ("answers-T07.jsonl", lambda raw: raw.replace(b"\n", b"\r\n")),
    "UTF-16": ("answers-T07.txt", lambda raw: raw.decode().encode("utf-16")),
    "UTF-16 of the other kind": (
        "answers-T07.txt", lambda raw: b"\xfe\xff" + raw.decode().encode("utf-16-be")
    ),
    "UTF-16 without a mark": ("answers-T07.jsonl", lambda raw: raw.decode().encode("utf-16-le")),
    "base64": ("answers-T07.txt", base64.encodebytes),
    "quoted-printable": ("answers-T07.txt", quopri.encodestring),
    "a field a line": ("answers-T07.json", pretty),
    "a list": ("answers-T07.json", listed),
    "a list in UTF-16": ("answers-T07.json", lambda raw: listed(raw).decode().encode("utf-16")),
    "zip": ("from T07.zip", lambda raw: zipped({"answers-T07.jsonl": raw})),
    "zip with a folder": ("from T07.zip", lambda raw: zipped({"a/b/answers-T07.jsonl": raw})),
    "zip not packed": (
        "x.zip", lambda raw: zipped({"answers-T07.jsonl": raw}, zipfile.ZIP_STORED)
    ),
    "e-mail": ("Answers.eml", lambda raw: mailed({"answers-T07.jsonl": raw})),
    "e-mail with a zip": (
        "Answers.eml", lambda raw: mailed({"a.zip": zipped({"answers-T07.jsonl": raw})})
    ),
    "in a folder": ("vessel A/answers-T07.jsonl", lambda raw: raw),
}  # fmt: skip


@pytest.mark.parametrize(("name", "send"), SENT.values(), ids=SENT.keys())
def test_what_people_really_send_is_read_whole(folder, lines, name, send):
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(send(lines))
    every, found = marked(folder)
    assert list(found) == ["T07"]
    standing = found["T07"].standings[PLUMB.key]
    assert (standing.first, standing.best, standing.answers) == (0.0, 1.0, 2)
    assert standing.remarks == ["Größe = 0,4 — “ja”"]
    assert not every.troubles, every.troubles
    assert not every.findings, "no digest is another for the way that a sheet came"
    (line,) = every.files
    assert "sheet of T07" in line.text
    assert "2 answers" in line.text
    assert not line.wrong


def test_a_text_pasted_into_a_mail_is_read(folder, lines):
    message = email.message.EmailMessage()
    message["From"] = "anna@example.org"
    message.set_content(lines.decode(), cte="quoted-printable")
    (folder / "T07.eml").write_bytes(message.as_bytes())
    every, found = marked(folder)
    assert not found, "nobody says whose it is"
    assert "an answer sheet without a code" in every.files_beside()[0].text


def test_a_sheet_of_a_class_says_itself_whose_it_is(folder, tmp_path):
    desk = Desk(tmp_path / "own", "7KQ2-T07")
    desk.answer()
    (folder / "my file.txt").write_bytes(desk.path.read_bytes())
    (folder / "answers-T07.jsonl").write_bytes(desk.path.read_bytes())
    _, found = marked(folder)
    assert list(found) == ["7KQ2-T07"]
    assert found["7KQ2-T07"].standings[PLUMB.key].answers == 1


def test_of_a_damaged_list_the_rest_is_read(folder, lines):
    text = listed(lines).decode().replace('"key"', "key", 1)
    (folder / "answers-T07.json").write_text(text, encoding="utf-8")
    every, found = marked(folder)
    assert found["T07"].standings[PLUMB.key].answers == 1
    assert every.left == 1


def test_what_is_no_sheet_is_said_in_a_line(folder, lines):
    (folder / "notes.txt").write_text("Monday: lesson 6", encoding="utf-8")
    (folder / "data.json").write_text('{"a": [1, 2]}', encoding="utf-8")
    (folder / "old.7z").write_bytes(b"7z")
    (folder / "empty.zip").write_bytes(zipped({"photo.jpg": b""}))
    (folder / "mail.eml").write_bytes(mailed({"a.pdf": b"%PDF", "answers-T07.jsonl": lines}))
    every, found = marked(folder)
    assert list(found) == ["T07"]
    reported = {line.file: line.text for line in every.files}
    assert reported["notes.txt"] == reported["data.json"] == received.OTHER
    assert "packed or saved in a way" in reported["old.7z"]
    assert reported["empty.zip"] == "an archive without an answer sheet; left."
    assert "with 1 other file beside" in reported["mail.eml"]
    assert "attached to an e-mail" in reported["mail.eml › answers-T07.jsonl"]


def test_a_damaged_file_is_one_line(folder, lines):
    (folder / "answers-T07.jsonl").write_bytes(
        b"".join(line[: 40 + n] + b"\n" for n, line in enumerate(lines.splitlines() * 9))
        + b"\xff\xfe\n" + b"[[[[[\n" + b'{"event": "x"}\n'
    )  # fmt: skip
    every, _ = marked(folder)
    (line,) = every.files
    assert line.wrong
    assert "more in the register" in line.text
    assert len(every.troubles) > 1


# Changed marks in folders ------------------------------------------------------------------


@pytest.mark.parametrize("name", changed_marks.NAMES)
def test_changed_marks_in_a_folder_are_those_of_its_people(folder, name):
    for vessel, code in (("vessel A", "T01"), ("vessel B", "T02")):
        Desk(folder / vessel, code).answer(slip="opposite")
    made = folder / "vessel A" / changed_marks.NAME
    for code in ("T01", "T02"):
        changed_marks.change(made, code, PLUMB, 1.0, reason="right on the board", by="MK")
    made.rename(folder / "vessel A" / name)
    every, found = marked(folder)
    assert found["T01"].standings[PLUMB.key].mark == 1
    assert found["T02"].standings[PLUMB.key].mark == 0
    reported = " ".join(str(line) for line in every.files)
    assert "changed marks of T02, whose sheet is not here" in reported


def test_the_later_of_two_changed_marks_stands(folder):
    Desk(folder / "a", "T01").answer(slip="opposite")
    for path, mark in ((folder, 0.2), (folder / "a", 0.7)):
        place = path / changed_marks.NAME
        changed_marks.change(place, "T01", PLUMB, mark, reason="seen", by="MK")
        time.sleep(0.01)
    every, found = marked(folder)
    assert found["T01"].standings[PLUMB.key].mark == 0.7
    assert [ended.changed.mark for ended in every.changed.ended] == [0.2]


# One code, two people ----------------------------------------------------------------------


def two(folder, one="vessel A", other="vessel B", hours=30):
    first = Desk(folder / one, "T07")
    first.answer(slip="opposite")
    first.answer()
    name = "answers-T07 (1).jsonl" if one == other else None
    second = Desk(folder / other, "T07", name, start=first.clock + timedelta(hours=hours))
    second.answer(TOTAL)
    return first, second


def test_two_vessels_with_one_code_stand_in_two_rows_and_are_asked_about(folder):
    two(folder)
    every, found = marked(folder)
    assert list(found) == ["T07/1", "T07/2"]
    assert [set(one.standings) for one in found.values()] == [{PLUMB.key}, {TOTAL.key}]
    assert not any(s.flags for one in found.values() for s in one.standings.values())
    (one,) = every.findings
    assert (one.kind, one.trainee, one.open) == ("identity", "T07", True)
    assert one.where == ("vessel A/answers-T07.jsonl", "vessel B/answers-T07.jsonl")


def test_two_laptops_in_one_folder_are_one_person(folder):
    two(folder, other="vessel A")
    every, found = marked(folder)
    assert list(found) == ["T07"]
    assert not every.findings


def test_sheets_written_at_one_time_are_asked_about(folder):
    two(folder, other="vessel A", hours=-1.5 / 60)
    every, found = marked(folder)
    assert list(found) == ["T07/1", "T07/2"]
    assert "written at the same time" in every.findings[0].text


def test_two_who_sign_in_in_one_moment_are_not_one_for_that(folder):
    for vessel, exercise in (("vessel A", PLUMB), ("vessel B", TOTAL)):
        desk = Desk(folder / vessel)
        desk.path.write_text("", encoding="utf-8")
        desk.put("signed in")
        desk.answer(exercise)
    assert list(marked(folder)[1]) == ["T07/1", "T07/2"]


def test_two_senders_of_one_code_are_asked_about(folder, tmp_path, lines):
    second = Desk(tmp_path / "other")
    second.answer(TOTAL)
    for who, raw in (("anna", lines), ("bo", second.path.read_bytes())):
        mail = mailed({"answers-T07.jsonl": raw}, f"{who}@example.org")
        (folder / f"{who}.eml").write_bytes(mail)
    assert list(marked(folder)[1]) == ["T07/1", "T07/2"]


def test_a_sheet_handed_in_again_from_another_folder_is_the_same(folder):
    desk = Desk(folder / "monday")
    desk.answer()
    (folder / "friday").mkdir()
    (folder / "friday" / "answers-T07.jsonl").write_bytes(desk.path.read_bytes())
    every, found = marked(folder)
    assert list(found) == ["T07"]
    assert not every.findings


@pytest.mark.parametrize(("people", "rows"), [("one", ["T07"]), ("two", ["T07/1", "T07/2"])])
def test_the_instructor_says_how_many_they_are(folder, people, rows):
    two(folder)
    (asked,) = marked(folder)[0].findings
    closing.close(folder, asked, reason="asked both vessels", by="MK", answer=people)
    every, found = marked(folder)
    assert list(found) == rows
    assert not any(one.open for one in every.findings)


@pytest.mark.parametrize(("names", "rows"), [(("Anna", "Anna"), 1), (("Anna", "Bo"), 2)])
def test_rosters_of_the_vessels_answer_it_too(folder, names, rows):
    two(folder)
    for vessel, name in zip(("vessel A", "vessel B"), names, strict=True):
        (folder / vessel / "roster.csv").write_text(f"code,name\nT07,{name}\n", "utf-8")
    every, found = marked(folder)
    assert len(found) == rows
    assert [one.open for one in every.findings] == [False]


def test_a_changed_mark_of_two_people_is_not_applied_to_either(folder):
    two(folder)
    changed_marks.change(folder / changed_marks.NAME, "T07", PLUMB, 0.3, reason="seen", by="MK")
    every, found = marked(folder)
    assert found["T07/1"].standings[PLUMB.key].mark == 1
    assert "two people may use" in " ".join(map(str, every.files))


# Hostile hands -----------------------------------------------------------------------------


def bomb():
    return zipped({"answers-T07.jsonl": b"\0" * 30_000_000})


def lying_bomb():
    """Return an archive whose list says that 30 MB are one kilobyte."""
    raw = bytearray(bomb())
    for sign, at in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        place = raw.find(sign) + at
        raw[place : place + 4] = struct.pack("<I", 1000)
    return bytes(raw)


def many_files():
    return zipped({f"answers-T{n:05d}.jsonl": b"" for n in range(10_000)})


def nested():
    return zipped({"inner.zip": zipped({"answers-T07.jsonl": b"{}"})})


def locked():
    raw = bytearray(zipped({"answers-T07.jsonl": b"{}"}))
    raw[raw.find(b"PK\x01\x02") + 8] |= 1
    return bytes(raw)


def many_attached():
    part = (
        b'--x\nContent-Type: text/plain\nContent-Disposition: attachment; filename="%d.pdf"\n\nx\n'
    )
    head = b'From: a@example.org\nContent-Type: multipart/mixed; boundary="x"\n\n'
    return head + b"".join(part % n for n in range(10_000)) + b"--x--\n"


def deep_mail(depth=3000):
    heads = b"".join(
        b'Content-Type: multipart/mixed; boundary="%d"\n\n--%d\n' % (n, n) for n in range(depth)
    )
    return b"From: a@example.org\n" + heads


BAD = {
    "a bomb": ("a.zip", bomb, "unpacks to more than 100 times its size"),
    "a bomb that lies": ("a.zip", lying_bomb, "answers-T07.jsonl"),
    "thousands of files": ("a.zip", many_files, "thousands of files"),
    "an archive in an archive": ("a.zip", nested, "within another is not opened"),
    "a mail in an archive": ("a.zip", lambda: zipped({"a.eml": b"x"}), "within another"),
    "a password": ("a.zip", locked, "locked by a password"),
    "another packing": (
        "a.zip", lambda: zipped({"answers-T07.jsonl": b"{}"}, zipfile.ZIP_LZMA), "packed in a way"
    ),
    "no archive at all": ("a.zip", lambda: b"PK", "not a zip archive"),
    "an archive cut off": ("a.zip", lambda: zipped({"answers-T07.jsonl": b"{}" * 99})[:-30], "not"),
    "a mail of parts in parts": ("a.eml", deep_mail, "parts within parts"),
    "a mail of no lines": ("a.eml", lambda: b"", "without an answer sheet"),
    "a mail of noise": ("a.eml", lambda: os.urandom(200_000), "without an answer sheet"),
    "a mail of ten thousand files": ("a.eml", many_attached, "10000 attachments; 200 looked at"),
    "a bomb in a mail": ("a.eml", lambda: mailed({"a.zip": bomb()}), "100 times"),
    "more than mail servers pass on": ("a.eml", lambda: b"x" * (33 << 20), "more than 32 MB"),
}  # fmt: skip


@pytest.mark.parametrize(("name", "make", "reported"), BAD.values(), ids=BAD.keys())
def test_a_hostile_file_costs_one_line_and_nobody_else_anything(folder, name, make, reported):
    Desk(folder, "T01").answer()
    (folder / name).write_bytes(make())
    before = sorted(os.listdir(folder.parent)) + sorted(os.listdir(folder))
    begun = time.perf_counter()
    every, found = marked(folder)
    assert time.perf_counter() - begun < 60, "bounded on the slowest and busiest machine"
    assert found["T01"].standings[PLUMB.key].best == 1
    assert set(found) <= {"T01", "T07"}
    assert [line for line in every.files if line.file.startswith(name) and reported in str(line)]
    assert len(every.files) <= 3
    assert sorted(os.listdir(folder.parent)) + sorted(os.listdir(folder)) == before


@pytest.mark.parametrize(
    "where", ["../../answers-T07.jsonl", "/answers-T07.jsonl", "C:\\a\\answers-T07.jsonl"]
)
def test_a_path_out_of_an_archive_leads_nowhere(folder, lines, where):
    (folder / "a.zip").write_bytes(zipped({where: lines}))
    before = sorted(os.listdir(folder.parent.parent)) + sorted(os.listdir(folder))
    marked(folder)
    assert sorted(os.listdir(folder.parent.parent)) + sorted(os.listdir(folder)) == before


def test_a_link_in_an_archive_is_not_followed(folder):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        entry = zipfile.ZipInfo("answers-T07.jsonl")
        entry.external_attr = 0o120777 << 16
        archive.writestr(entry, "/etc/hostname")
    (folder / "a.zip").write_bytes(packed.getvalue())
    every, found = marked(folder)
    assert not found
    assert "a symbolic link" in str(every.files_beside()[0])


def test_what_is_in_an_archive_passes_the_bounds_of_every_sheet(folder):
    noise = b"".join(b"%x\n" % zlib.crc32(b"%d" % n) for n in range(900_000))
    (folder / "a.zip").write_bytes(zipped({"answers-T07.jsonl": noise}))
    every, _ = marked(folder)
    assert "too large for a sheet" in str(every.files[0])
    assert len(noise) > envelopes.ENOUGH, "or it tests nothing"


def test_a_list_without_end_is_given_up(folder):
    (folder / "answers-T07.json").write_bytes(b'{"a":\n' * 600_000)
    begun = time.perf_counter()
    every, _ = marked(folder)
    assert time.perf_counter() - begun < 60
    assert every.left
