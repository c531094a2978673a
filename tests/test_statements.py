"""The statements against the requirements of the published specification.

xAPI 1.0.3, part two (adlnet/xAPI-Spec, xAPI-Data.md): 2.2 formatting, 2.3.2 voiding, 2.4
properties, 2.4.2.3 inverse functional identifiers, 2.4.4.1 activities and interactions, 2.4.5
result, 2.4.6 context, 4.2 language maps, 4.5 timestamps. The checker below was written from it,
not from our code.
"""

import copy
import dataclasses
import json
import math
import re
from datetime import datetime

import pytest

from exercises import BANK
from exercises.__main__ import main
from exercises.instructor import demo, statements
from exercises.sheets import changed_marks
from tests.test_register import HOSTILE
from tests.test_report import FIRST, PLUMB, TOTAL, Desk

UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
IRI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:[^\s<>\"{}|\\^`]+")
LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*|und")
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
INTERACTIONS = {
    "true-false": (), "choice": ("choices",), "fill-in": (), "long-fill-in": (), "numeric": (),
    "matching": ("source", "target"), "performance": ("steps",), "sequencing": ("choices",),
    "likert": ("scale",), "other": (),
}  # fmt: skip
COMPONENTS = ("choices", "scale", "source", "target", "steps")
VOIDED = "http://adlnet.gov/expapi/verbs/voided"
IDENTIFIERS = ("mbox", "mbox_sha1sum", "openid", "account")


class BrokenError(Exception):
    """The statement breaks a requirement."""


def need(holds, what):
    if not holds:
        raise BrokenError(what)


def known(part, *names, where):
    need(isinstance(part, dict) and part, f"{where}: no object, or an empty one")
    need(set(part) <= set(names), f"{where}: {set(part) - set(names)} not allowed")
    need(None not in part.values(), f"{where}: a null")


def iri(value, where):
    need(isinstance(value, str) and IRI.fullmatch(value), f"{where}: no IRI with a scheme")


def words(value, where):
    need(isinstance(value, dict) and value, f"{where}: no language map")
    for tag, text in value.items():
        need(LANGUAGE.fullmatch(tag) and isinstance(text, str), f"{where}: {tag}")


def extensions(value, where):
    need(isinstance(value, dict), f"{where}: no map")
    for name in value:
        iri(name, where)


def agent(part, where):
    known(part, "objectType", "name", *IDENTIFIERS, where=where)
    need(part.get("objectType", "Agent") == "Agent", f"{where}: objectType")
    need(sum(name in part for name in IDENTIFIERS) == 1, f"{where}: not one identifier")
    if account := part.get("account"):
        known(account, "homePage", "name", where=f"{where}.account")
        iri(account.get("homePage"), f"{where}.account.homePage")
        need(isinstance(account.get("name"), str) and account["name"], f"{where}.account.name")


def activity(part, where):
    known(part, "objectType", "id", "definition", where=where)
    need(part.get("objectType", "Activity") == "Activity", f"{where}: objectType")
    iri(part.get("id"), f"{where}.id")
    if "definition" not in part:
        return
    reported = part["definition"]
    rest = ("name", "description", "type", "moreInfo", "extensions", "interactionType")
    known(reported, *rest, "correctResponsesPattern", *COMPONENTS, where=where)
    for name in ("name", "description"):
        if name in reported:
            words(reported[name], f"{where}.{name}")
    if "type" in reported:
        iri(reported["type"], f"{where}.type")
    kind = reported.get("interactionType")
    need(kind is None or kind in INTERACTIONS, f"{where}: interactionType")
    need(
        not str(reported.get("type")).endswith("cmi.interaction") or kind,
        f"{where}: no interactionType",
    )
    for name in COMPONENTS:
        need(name not in reported or name in INTERACTIONS.get(kind, ()), f"{where}: {name}")
        for one in reported.get(name, ()):
            known(one, "id", "description", where=f"{where}.{name}")
            words(one.get("description", {"en": ""}), f"{where}.{name}")
        ids = [one.get("id") for one in reported.get(name, ())]
        need(all(isinstance(i, str) and i for i in ids), f"{where}.{name}: id")
        need(len(ids) == len(set(ids)), f"{where}.{name}: ids not distinct")


def outcome(part):
    names = ("score", "success", "completion", "response", "duration", "extensions")
    known(part, *names, where="result")
    for name in ("success", "completion"):
        need(isinstance(part.get(name, True), bool), f"result.{name}")
    need(isinstance(part.get("response", ""), str), "result.response")
    extensions(part.get("extensions", {}), "result.extensions")
    if "score" in part:
        known(part["score"], "scaled", "raw", "min", "max", where="score")
        scaled = part["score"].get("scaled", 0)
        need(type(scaled) in (int, float) and -1 <= scaled <= 1, "score.scaled")


def context(part):
    known(
        part, "registration", "instructor", "team", "contextActivities", "revision", "platform",
        "language", "statement", "extensions", where="context",
    )  # fmt: skip
    if "instructor" in part:
        agent(part["instructor"], "context.instructor")
    need(isinstance(part.get("revision", ""), str), "context.revision")
    extensions(part.get("extensions", {}), "context.extensions")
    around = part.get("contextActivities", {})
    need(set(around) <= {"parent", "grouping", "category", "other"}, "contextActivities")
    for those in around.values():
        for one in those:
            activity(one, "contextActivities")


def check(statement):
    """Raise BrokenError unless a statement keeps the requirements."""
    names = ("id", "actor", "verb", "object", "result", "context", "timestamp", "stored")
    known(statement, *names, "authority", "version", "attachments", where="statement")
    need(isinstance(statement.get("id"), str) and UUID.fullmatch(statement["id"]), "id")
    agent(statement.get("actor"), "actor")
    known(statement.get("verb"), "id", "display", where="verb")
    iri(statement["verb"].get("id"), "verb.id")
    words(statement["verb"].get("display"), "verb.display")
    if statement["verb"]["id"] == VOIDED:  # 2.3.2
        known(statement.get("object"), "objectType", "id", where="object")
        need(statement["object"].get("objectType") == "StatementRef", "object: no StatementRef")
        need(UUID.fullmatch(statement["object"].get("id", "")), "object.id")
    else:
        activity(statement.get("object"), "object")
    if "result" in statement:
        outcome(statement["result"])
    if "context" in statement:
        context(statement["context"])
    time = statement.get("timestamp")
    if statement["verb"]["id"] == VOIDED and time is None:
        return  # optional (2.4): a store sets it
    need(isinstance(time, str) and TIME.fullmatch(time), "timestamp")
    need(datetime.fromisoformat(time).tzinfo is not None, "timestamp without zone")


def no_constant(name):
    raise BrokenError(name)


def written(folder, *more):
    out = folder.parent / "statements.json"
    assert main(["statements", str(folder), "--out", str(out), *more]) in (0, 1)
    return json.loads(out.read_text(encoding="utf-8"), parse_constant=no_constant)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A made-up class of three with a changed mark, beside hostile typing and a remark."""
    place = tmp_path_factory.mktemp("statements") / "class"
    demo.write(place, 1)
    desk = Desk(place, "T90")
    for number, text in enumerate(HOSTILE):
        desk.answer(east=text, north=text)
        desk.put("remark", text=text, turn=number + 1)
    changed_marks.change(
        place / changed_marks.NAME, "T01", PLUMB, 0.5, reason="aloud", by="MK", was=1.0
    )
    return place


@pytest.fixture(scope="module")
def made(folder):
    return written(folder)


def test_every_statement_of_a_class_keeps_the_specification(made):
    assert len(made) > 200
    for statement in made:
        check(statement)
    ids = [statement["id"] for statement in made]
    assert len(ids) == len(set(ids))
    verbs = {statement["verb"]["id"].rpartition("/")[2] for statement in made}
    assert verbs == {"answered", "experienced", "commented", "scored"}


def put(*path_and_value):
    *path, last, value = path_and_value

    def broken(statement):
        part = statement
        for name in path:
            part = part[name]
        part[last] = value

    return broken


def drop(name):
    return lambda statement: statement.pop(name)


BREAKS = {
    "no actor": drop("actor"),
    "no verb": drop("verb"),
    "no object": drop("object"),
    "no id": drop("id"),
    "no time": drop("timestamp"),
    "id no UUID": put("id", "7"),
    "two identifiers": put("actor", "mbox", "mailto:a@example.com"),
    "no identifier": put("actor", {"objectType": "Agent", "name": "T07"}),
    "home page no IRI": put("actor", "account", "homePage", "geodesy"),
    "an account with more": put("actor", "account", "mail", "a"),
    "verb no IRI": put("verb", "id", "answered"),
    "verb in no language": put("verb", "display", "answered"),
    "a language that is none": put("verb", "display", {"english language": "answered"}),
    "activity no IRI": put("object", "id", "deflection total"),
    "interaction of no kind": put("object", "definition", "interactionType", "sums"),
    "choices where none": put("object", "definition", "choices", [{"id": "a"}]),
    "score above 1": put("result", "score", {"scaled": 1.01}),
    "score NaN": put("result", "score", {"scaled": math.nan}),
    "score a text": put("result", "score", {"scaled": "1"}),
    "success a text": put("result", "success", "true"),
    "response a number": put("result", "response", 7),
    "a null": put("result", "success", None),
    "a field of our own": put("marks", 1),
    "an extension without IRI": put("result", "extensions", {"turn": 1}),
    "time without zone": put("timestamp", "2026-03-16T09:00:00"),
    "time without T": put("timestamp", "2026-03-16 09:00:00Z"),
    "parent no IRI": put("context", "contextActivities", "parent", [{"id": "lesson"}]),
    "revision a number": put("context", "revision", 1),
}


@pytest.mark.parametrize("name", BREAKS)
def test_the_checker_sees_what_is_broken(made, name):
    whole = next(s for s in made if s["object"]["id"].endswith("/deflection-plumb-offset/1"))
    check(whole)
    broken = copy.deepcopy(whole)
    BREAKS[name](broken)
    with pytest.raises(BrokenError):
        check(broken)


def test_the_same_file_again_byte_for_byte(folder, made):
    first = (folder.parent / "statements.json").read_bytes()
    written(folder)
    assert (folder.parent / "statements.json").read_bytes() == first


def test_a_code_stands_for_the_person_and_nothing_else(made):
    assert {json.dumps(s["actor"]) for s in made} == {
        json.dumps({"objectType": "Agent", "account": {"homePage": statements.HOME, "name": code}})
        for code in ("T01", "T90")
    }
    assert not any("mbox" in s["actor"] for s in made)


def test_what_an_answer_says(tmp_path):
    place = tmp_path / "class"
    desk = Desk(place)
    desk.answer(FIRST, choice="south")
    desk.answer(TOTAL, slip="sum")
    desk.answer(TOTAL, size="no idea")
    desk.put("shown", TOTAL)
    desk.answer(TOTAL)
    first, half, unread, shown, after = written(place, "--home", "https://survey.example.org/")
    assert first["result"]["response"] == "south"
    assert first["object"]["definition"]["interactionType"] == "choice"
    assert "score" not in first["result"]
    assert half["result"]["score"] == {"scaled": 0.5}
    assert half["result"]["success"] is False
    assert half["object"]["id"] == "https://survey.example.org/exercises/deflection-total/1"
    assert half["timestamp"] == "2026-03-16T09:02:00.000Z"
    assert "no idea" in json.loads(unread["result"]["response"]).values()
    assert shown["verb"]["id"] == "http://adlnet.gov/expapi/verbs/experienced"
    for one in (unread, after):  # neither is an attempt that counts
        assert not {"score", "success"} & set(one["result"])


def test_a_line_keeps_its_id_whatever_comes_after_it(tmp_path):
    desk = Desk(tmp_path / "class")
    desk.answer()
    (before,) = written(tmp_path / "class")
    desk.answer(TOTAL)
    assert written(tmp_path / "class")[0] == before
    (other, _) = written(tmp_path / "class", "--home", "https://survey.example.org")
    assert other["id"] != before["id"]  # another person of the same code


def test_a_changed_mark_is_scored_by_its_instructor(made):
    (one,) = (s for s in made if s["verb"]["id"].endswith("/scored"))
    assert one["result"]["score"] == {"scaled": 0.5}
    assert one["context"]["instructor"]["account"]["name"] == "MK"
    assert list(one["result"]["extensions"].values()) == ["aloud"]


def voids(made):
    return {s["object"]["id"]: s for s in made if s["verb"]["id"] == VOIDED}


def standing(made):
    """Return what a store shows: neither voided nor voiding."""
    return [s for s in made if s["id"] not in voids(made) and s["verb"]["id"] != VOIDED]


def test_a_change_withdrawn_or_replaced_is_voided_and_stays_in_the_file(tmp_path):
    place = tmp_path / "class"
    Desk(place).answer(slip="opposite")
    path = place / changed_marks.NAME
    changed_marks.change(path, "T07", PLUMB, 0.5, reason="half", by="MK")
    half = written(place)
    changed_marks.change(path, "T07", PLUMB, 1.0, reason="all", by="JD")
    changed_marks.withdraw(path, "T07", PLUMB, reason="no", by="MK")
    made = written(place)
    for one in made:
        check(one)
    scored = [s for s in made if s["verb"]["id"].endswith("/scored")]
    assert scored[0] == half[-1]
    assert [s["id"] for s in scored] == list(voids(made))
    assert [v["actor"]["account"]["name"] for v in voids(made).values()] == ["JD", "MK"]
    assert [s["verb"]["id"].rpartition("/")[2] for s in standing(made)] == ["answered"]
    assert not voids(made).keys() & {v["id"] for v in voids(made).values()}  # none is voided


def test_an_answer_marked_otherwise_later_is_stated_anew_and_the_sent_one_voided(tmp_path):
    place, sent, out = tmp_path / "class", tmp_path / "sent.json", tmp_path / "now.json"
    desk = Desk(place)
    desk.answer(TOTAL, slip="sum")
    desk.answer(PLUMB)
    Desk(place, "T08").answer(PLUMB)
    statements.write(place, sent)
    (place / "answers-T08.jsonl").rename(tmp_path / "answers-T08.jsonl")
    kinder = {**BANK, TOTAL.key: dataclasses.replace(TOTAL, slips=())}
    at = {"catalogue": kinder, "sent": sent}
    assert statements.write(place, out, **at).voided == 1
    old, same, elsewhere = json.loads(sent.read_text(encoding="utf-8"))
    new, again, void = json.loads(out.read_text(encoding="utf-8"))
    assert again == same
    assert new["id"] != old["id"]
    assert void["object"] == {"objectType": "StatementRef", "id": old["id"]}
    assert elsewhere["id"] not in voids([void]), "who has no sheet here is left alone"
    check(void)
    # Marked as at first once more: stated under a third id, for the first stays voided.
    assert statements.write(place, sent, sent=out).voided == 2
    back = json.loads(sent.read_text(encoding="utf-8"))
    assert back[0]["result"] == old["result"]
    assert set(voids(back)) == {old["id"], new["id"]}
    assert back[0]["id"] not in {old["id"], new["id"]}
    # And with the same bank and what was sent, the same again.
    statements.write(place, out, sent=sent)
    assert out.read_bytes() == sent.read_bytes()


@pytest.mark.parametrize(
    "text",
    ["{", "[[[", '[\n{"id": "7"}\n]', '[\n{"actor": 1}\n]', "code,lesson", "[" * 100_000, "\0"],
)
def test_a_sent_file_that_is_none_is_reported(folder, tmp_path, capsys, text):
    sent, out = tmp_path / "sent.json", tmp_path / "s.json"
    sent.write_text(text, encoding="utf-8")
    assert main(["statements", str(folder), "--out", str(out), "--sent", str(sent)]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "sent.json, line" in said
    assert not out.exists()


@pytest.mark.parametrize("home", ["geodesy", "", "https://", "https://a b", "javascript"])
def test_a_home_that_is_no_address_is_reported(folder, tmp_path, capsys, home):
    out = tmp_path / "s.json"
    assert main(["statements", str(folder), "--out", str(out), "--home", home]) == 2
    assert "not a home page" in capsys.readouterr().err
    assert not out.exists()


def test_a_folder_without_sheets(tmp_path, capsys):
    assert main(["statements", str(tmp_path), "--out", str(tmp_path / "s.json")]) == 2
    assert "no answer sheet" in capsys.readouterr().err
