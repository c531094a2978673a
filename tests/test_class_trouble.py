"""
A class on a bad day: what cannot be served is said in one sentence, and later nothing is lost.

Through a real socket, and with the files of a real folder.
"""

import html
import os
import shutil
import subprocess
import sys
import time

import psutil
import pytest

from exercises.classroom import members
from exercises.sheets import sheet
from lessons.server import kernels, signing_in
from tests.class_room import ROSTER, Page, Room, closed, command, made

pytestmark = pytest.mark.full  # starts servers, one after the other
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="only Linux has such limits")
APART = (
    shutil.which("unshare")
    and not subprocess.run(["unshare", "-rmn", "true"], capture_output=True, check=False).returncode
)
ROSTERS = {
    "a code twice": ("code,name\nT07,Anna\nT08,Bo\nt07,Cem\n", "T07 stands 2 times"),
    "a code that is none": ("code,name\nT07,Anna\n../x,Bo\n", "line 3"),
    "nobody": ("code,name\n", "nobody under it"),
    "another head": ("who,name\nT07,Anna\n", '"code"'),
    "no text": (b"code,name\nT07,\xff\xfe\n", "UTF-8"),
    "a spreadsheet": (b"PK\x03\x04" + b"\x00" * 500, "roster.csv"),
    "gone": (None, "is not the folder of a class"),
}


def start(folder, *options, before=()):
    """Start a class that cannot be; return the words, which are one sentence or two."""
    words = ["lessons", "--class", str(folder), "--no-browser", "--no-desk", *options]
    done = subprocess.run(
        [*before, sys.executable, "-m", *words], capture_output=True, text=True,
        encoding="utf-8", timeout=120, check=False, cwd=Room.ROOT,
    )  # fmt: skip
    assert done.returncode == 1, done.stdout
    assert "Traceback" not in done.stdout + done.stderr
    assert len(done.stdout.strip().splitlines()) <= 2, done.stdout
    return done.stdout


# Before it is served ---------------------------------------------------------------------


@pytest.mark.parametrize("name", ROSTERS)
def test_a_roster_that_cannot_be_used_is_said(tmp_path, name):
    made(folder := tmp_path / "class")
    contents, reported = ROSTERS[name]
    path = folder / "roster.csv"
    if contents is None:
        path.unlink()
    else:
        path.write_bytes(contents if isinstance(contents, bytes) else contents.encode())
    assert reported in start(folder)


def test_an_address_that_this_computer_has_not_is_said(tmp_path):
    made(folder := tmp_path / "class")
    # 192.0.2.0/24 is nobody's: RFC 5737, for documentation
    assert "192.0.2.7, port 8818, cannot be used" in start(folder, "--address", "192.0.2.7")


@pytest.mark.skipif(not APART, reason="this system divides no network and no folders off")
def test_without_any_network_it_is_said(tmp_path):
    made(folder := tmp_path / "class")
    assert "has no address in a network" in start(folder, before=["unshare", "-rn"])


@pytest.mark.skipif(not APART, reason="this system divides no network and no folders off")
@pytest.mark.parametrize(
    ("how", "reported"), [("-o remount,ro,bind", "Read-only"), ("full", "No space left")]
)
def test_a_folder_that_takes_no_answers_is_said(tmp_path, how, reported):
    made(folder := tmp_path / "class")
    if how == "full":
        mount = (
            f"cp -r '{folder}' '{tmp_path}/kept' && mount -t tmpfs -o size=64k none '{folder}' && "
            f"cp -r '{tmp_path}'/kept/* '{folder}' && cat /dev/zero > '{folder}/big'"
        )
    else:
        mount = f"mount --bind '{folder}' '{folder}' && mount {how} '{folder}'"
    script = f'{mount} 2> /dev/null; exec "$@"'
    said = start(folder, before=["unshare", "-rm", "sh", "-c", script, "sh"])
    assert "Answers cannot be kept in" in said
    assert reported in said


# While it is served ----------------------------------------------------------------------


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bad day") / "class"
    served = Room(folder, phrases=made(folder))
    yield served
    assert served.stop() == 0
    assert "Traceback" not in served.words()


@pytest.mark.parametrize("contents", ["code,name\nT07,A\nT07,B\n", "", "\x00", "who\nT07\n"])
def test_a_roster_spoiled_meanwhile_leaves_the_list_from_before_in_force(room, contents):
    inside, said = room.cookie("T07"), room.words().count(members.STAYS)
    path = room.folder / "roster.csv"
    try:
        path.write_text(contents, encoding="utf-8")
        time.sleep(members.SETTLED + 2)
        assert room.sign_in("T08")[0] == 303
        assert room.ask("/review.ipynb", cookie=inside)[0] == 200
        assert room.words().count(members.STAYS) == said + 1, "said once"
    finally:
        path.write_text(ROSTER, encoding="utf-8")


@pytest.mark.parametrize("contents", ["", "{", '{"T08": 3}'])
def test_phrases_spoiled_meanwhile_let_nobody_in_and_put_nobody_out(room, contents):
    inside = room.cookie("T07")
    path = room.folder / "phrases.json"
    before = path.read_text(encoding="utf-8")
    try:
        path.write_text(contents, encoding="utf-8")
        for _ in range(5):
            status, headers, text = room.sign_in("T08")
            assert status == 503
            assert signing_in.SHUT in text
            assert "Set-Cookie" not in headers
        assert room.ask("/review.ipynb", cookie=inside)[0] == 200
    finally:
        path.write_text(before, encoding="utf-8")
    assert room.sign_in("T08")[0] == 303, "tries that nobody could get right count for nothing"
    assert room.words().count("Nobody can sign in") <= 3, "said once each time"


def test_somebody_new_on_the_roster_needs_a_phrase(room):
    path = room.folder / "roster.csv"
    try:
        path.write_text(ROSTER + "T11,Eve\n", encoding="utf-8")
        assert room.sign_in("T11", "acorn acorn acorn")[0] == 403
        assert "T11 is on the roster and has no phrase yet" in room.words()
        assert room.sign_in("T08")[0] == 303
        given = command("exercises", "phrase-new", str(room.folder)).stdout
        code, phrase = given.rstrip("\n").split("\t")
        assert code == "T11"
        assert room.sign_in("T11", phrase)[0] == 303, "without a new start"
    finally:
        path.write_text(ROSTER, encoding="utf-8")


def test_who_is_removed_from_the_roster_is_out_and_keeps_what_was_kept(room):
    gone, stays = room.cookie("T10"), room.cookie("T08")
    path = room.folder / "roster.csv"
    with Page(room, gone) as page, Page(room, stays) as other:
        held = {one: one.read_bytes() for one in room.folder.glob("answers-*")}
        try:
            begun = time.monotonic()
            path.write_text(ROSTER.replace("T10,Dee\n", ""), encoding="utf-8")
            assert closed(page.line).rcvd.code == kernels.UNLISTED
            assert time.monotonic() - begun < members.SETTLED + 8, "a few seconds, on a busy day"
            assert room.ask("/review.ipynb", cookie=gone)[0] == 302
            assert room.ask(f"/api/kernels/{page.kernel}", cookie=gone)[0] == 403
            status, _, text = room.sign_in("T10")
            assert status == 403
            assert signing_in.UNLISTED in html.unescape(text)
            assert signing_in.WRONG in room.sign_in("T10", "acorn acorn acorn")[2], "not theirs"
            assert "T10 is no longer on the roster" in room.words()
            other.answers()
        finally:
            path.write_text(ROSTER, encoding="utf-8")
    assert {one: one.read_bytes() for one in room.folder.glob("answers-*")} == held
    assert room.sign_in("T10")[0] == 303, "whoever is written back comes in as before"


def answer(page, text="12"):
    """Say how a decimal is written, type into every box, and press every button that checks."""
    widgets = page.widgets()
    named = {model: str(state.get("_dom_classes")) for model, state in widgets.items()}
    page.click(next(model for model, names in named.items() if "gk-point" in names))
    for model, state in widgets.items():
        if "gk-entry-field" in named[model]:
            radio = state["_model_name"] == "RadioButtonsModel"
            page.set(model, **({"index": 0} if radio else {"value": text}))
    for model, names in named.items():
        if "gk-check" in names:
            page.click(model)
    page.answers(within=180)
    time.sleep(2)  # what a button asks for is done a moment later
    page.answers(within=180)


def shown(page):
    """Return all words that a page shows."""
    return " ".join(str(state.get("value", "")) for state in page.widgets().values())


def kept(room, code):
    (path,) = room.folder.glob(f"answers-*-{code}.jsonl")
    return sheet.read(path)


@LINUX
def test_a_full_disk_loses_nothing_that_was_kept_and_says_what_is_not(tmp_path):
    room = Room(tmp_path / "class")
    try:
        cookies = {code: room.cookie(code) for code in ("T07", "T08")}
        with Page(room, cookies["T07"], "01_surface") as page:
            answer(page)
            before = kept(room, "T07")
            assert before.events, "nothing was kept before"
            server = psutil.Process(room.process.pid)
            for process in (server, *server.children(recursive=True)):
                process.rlimit(psutil.RLIMIT_FSIZE, (0, 0))
            answer(page, "13")
            assert "File too large" in shown(page)
            assert kept(room, "T07").events == before.events
            assert not kept(room, "T07").troubles
            assert room.sign_in("T09")[0] == 303, "who comes in stands in memory"
            assert room.ask("/sign-in")[0] == 200
    finally:
        assert room.stop() == 0
    assert "Traceback" not in room.words()


CLOCK = """
import os, pathlib, runpy, sys, time
true, offset = time.time, pathlib.Path(os.environ["OFFSET"])
time.time = lambda: true() + float(offset.read_text() or 0)
time.time_ns = lambda: int(time.time() * 1e9)
runpy.run_module(sys.argv.pop(1), run_name="__main__", alter_sys=True)
"""


def test_a_clock_that_is_set_puts_nobody_out_and_lets_nobody_wait_for_ever(tmp_path, monkeypatch):
    offset = tmp_path / "offset"
    offset.write_text("0", encoding="utf-8")
    monkeypatch.setenv("OFFSET", str(offset))
    room = Room(tmp_path / "class", program=("-c", CLOCK, "lessons"))
    try:
        inside = room.cookie("T07")
        kernel, _ = room.open(inside)
        for _ in range(5):
            reported = room.sign_in("T08", "no")[2]
        assert "Wait" in reported
        for days in (30, 3650, -30, -3650):
            offset.write_text(str(days * 86400), encoding="utf-8")
            assert room.ask("/review.ipynb", cookie=inside)[0] == 200, f"{days} days"
            assert room.ask(f"/api/kernels/{kernel}", cookie=inside)[0] in (200, 404)
            assert room.ask("/review.ipynb", cookie=room.cookie("T09"))[0] == 200
        time.sleep(3)
        assert room.sign_in("T08")[0] == 303, "no clock makes a wait longer"
    finally:
        assert room.stop() == 0


def test_a_browsers_clock_that_is_wrong_keeps_the_cookie(room):
    _, headers, _ = room.sign_in("T10")
    assert "Max-Age=604800" in headers["Set-Cookie"]
    assert "expires" not in headers["Set-Cookie"].lower()


def test_a_second_server_on_the_folder_is_refused_and_the_first_goes_on(room):
    inside = room.cookie("T09")
    assert "Another server has this class open" in start(room.folder)
    assert room.ask("/review.ipynb", cookie=inside)[0] == 200


def test_after_a_sudden_end_the_folder_is_free_again(tmp_path):
    room = Room(tmp_path / "class")
    inside = room.cookie("T07")
    below = psutil.Process(room.process.pid).children(recursive=True)
    room.process.kill()
    room.process.wait()
    assert not psutil.wait_procs(below, timeout=30)[1], "a Python was left behind"
    again = Room(tmp_path / "class", phrases=room.phrases)
    try:
        assert again.ask("/review.ipynb", cookie=inside)[0] == 200
    finally:
        assert again.stop() == 0


def test_two_that_look_for_a_port_in_one_moment_find_two(tmp_path):
    """For one person: each copy of the course takes the next free port, whoever else looks."""
    code = (
        "import sys; from types import SimpleNamespace; from lessons.server import serving\n"
        "from jupyter_server.serverapp import ServerApp\n"
        "serving.keep_the_port(ServerApp); app = ServerApp(port=18808)\n"
        "sys.stdin.readline(); app._find_http_port(); print(app.port, flush=True)\n"
        "sys.stdin.readline()\n"
    )
    every = [
        subprocess.Popen(
            [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            text=True, cwd=Room.ROOT, env={**os.environ, "JUPYTER_DATA_DIR": str(tmp_path)},
        )
        for _ in range(4)
    ]  # fmt: skip
    try:
        for process in every:
            process.stdin.write("\n")
            process.stdin.flush()
        ports = [int(process.stdout.readline()) for process in every]
        assert len(set(ports)) == 4
    finally:
        for process in every:
            process.communicate("\n", timeout=20)
