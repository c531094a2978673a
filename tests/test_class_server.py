"""
A served class, tried from outside through a real socket: who comes in, and what nobody gets.

Each refusal stands beside something that is let through, so that a server that refuses everything
fails here as well.
"""

import contextlib
import http.cookies
import os
import re
import shutil
import socket
import ssl
import subprocess
import time
from types import SimpleNamespace

import psutil
import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus

from exercises.classroom import members, phrases
from lessons.server import kernels, signing_in
from tests.class_room import (
    PROTOCOL,
    ROOT,
    Page,
    Room,
    closed,
    command,
    content_of,
    frame,
    heard,
    kind_of,
    made,
)

pytestmark = pytest.mark.full  # starts servers, one after the other

EVIL = "http://evil.example"
TITLE = '"><script>alert(1)</script>'


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    folder = tmp_path_factory.mktemp("room ø") / "class"
    served = Room(folder, phrases=made(folder, title=TITLE))
    yield served
    assert served.stop() == 0


@pytest.fixture(scope="module")
def cookie(room):
    return room.cookie("T07")


@pytest.fixture(scope="module")
def reader(room):
    """Somebody whose pages come and go: nobody has more than three."""
    return room.cookie("T09")


@pytest.fixture(scope="module")
def kernel(room, cookie):
    return room.open(cookie)[0]


def answers(room, kernel, cookie):
    """Whether the page's Python still answers what a page asks."""
    with room.line(kernel, cookie) as line:
        line.send(frame("kernel_info_request", {}))
        return "kernel_info_reply" in heard(line, 30, until="kernel_info_reply")


def refused(opening):
    """Return the status with which a line was refused."""
    with pytest.raises(InvalidStatus) as reported:
        opening()
    return reported.value.response.status_code


# Sign-in ---------------------------------------------------------------------------------


def test_the_page_asks_for_code_and_phrase(room):
    status, headers, text = room.ask("/sign-in")
    assert status == 200
    assert all(words in text for words in ("Your code", "Your phrase", "Sign in"))
    assert "<script" not in text
    assert "&lt;script&gt;" in text
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert "script-src" not in headers["Content-Security-Policy"]


def test_nobody_sees_a_page_before(room):
    status, headers, _ = room.ask("/08_deflection.ipynb")
    assert (status, headers["Location"]) == (302, "/sign-in?next=08_deflection")


def test_who_is_right_comes_in_and_the_page_knows_who_it_is(room, reader):
    kernel, text = room.open(reader, "00_start")
    assert "Geodesy for offshore surveyors" in text
    assert whole(room, kernel, reader).endswith("-T09")


@pytest.mark.parametrize("phrase", ["", "acorn acorn acorn", "x" * 50_000, "\x00", "é"])
def test_who_is_wrong_does_not(room, phrase):
    status, headers, text = room.sign_in(f"X{len(phrase)}", phrase)
    assert status == 403
    assert "Set-Cookie" not in headers
    assert "do not belong together" in text


def test_another_persons_phrase_does_not_open(room):
    assert room.sign_in("T10", room.phrases["T08"])[0] == 403
    assert room.sign_in("T10", room.phrases["T10"])[0] == 303


def test_code_and_phrase_are_read_as_people_type_them(room):
    phrase = room.phrases["T10"].upper().replace(" ", "  ")
    assert room.sign_in(" t10 ", f" {phrase} ")[0] == 303


def test_the_cookie_is_for_this_server_alone(room):
    _, headers, _ = room.sign_in("T10")
    (morsel,) = http.cookies.SimpleCookie(headers["Set-Cookie"]).values()
    assert morsel["httponly"]
    assert morsel["samesite"] == "Strict"
    assert morsel["path"] == "/"
    assert not morsel["domain"]
    assert "T10" not in morsel.value


def test_a_cookie_that_was_changed_is_none(room, cookie):
    forged = cookie[:-2] + ("aa" if cookie[-2:] != "aa" else "bb")
    assert room.ask("/review.ipynb", cookie=forged)[0] == 302
    assert room.ask("/review.ipynb", cookie="geodesy-class=T07")[0] == 302


def test_wrong_tries_are_slowed_and_keep_nobody_out_who_is_in(tmp_path):
    served = Room(tmp_path / "class")
    try:
        inside = served.cookie("T09")
        reported = [served.sign_in("T09", "no")[2] for _ in range(5)]
        assert "do not belong together" in reported[0]
        assert "Wait" in reported[-1]
        assert "Wait" in served.sign_in("T09")[2], "the right phrase may be a guess as well"
        assert served.ask("/review.ipynb", cookie=inside)[0] == 200
        assert served.sign_in("T08")[0] == 303, "others at the same address are not slowed yet"
        assert "wrong phrases for T09" in served.words()
        time.sleep(2.5)
        assert served.sign_in("T09")[0] == 303
    finally:
        served.stop()


@pytest.mark.parametrize(
    "wanted", ["//evil.example", EVIL, "javascript:alert(1)", "/\\evil.example", "../x", "none"]
)
def test_after_sign_in_one_lands_in_the_course(room, wanted):
    status, headers, _ = room.sign_in("T10", to=f"/sign-in?next={wanted}")
    assert (status, headers["Location"]) == (303, "/00_start.ipynb")
    body = {"code": "T10", "phrase": room.phrases["T10"], "next": wanted}
    _, headers, _ = room.ask("/sign-in", "POST", body=body)
    assert headers["Location"] == "/00_start.ipynb"
    body["next"] = "08_deflection"
    _, headers, _ = room.ask("/sign-in", "POST", body=body)
    assert headers["Location"] == "/08_deflection.ipynb"


def test_a_hostile_code_is_only_shown(room):
    _, _, text = room.sign_in('"><img src=x onerror=alert(1)>', "x")
    assert "<img" not in text
    assert "&lt;img" in text


def test_the_projectors_page_names_nobody_and_runs_nothing(room):
    status, headers, text = room.ask("/board")
    assert status == 200
    assert room.address in text
    assert "data:image/svg" in text
    assert "<script" not in text
    assert "Anna" not in text
    assert "Set-Cookie" not in headers


def test_sign_out_ends_the_session_on_the_server(room):
    cookie = room.cookie("T10")
    kernel, _ = room.open(cookie)
    assert room.ask("/sign-out", "POST", cookie=cookie, body={}, Origin=EVIL)[0] == 403
    assert room.ask("/sign-out", "POST", cookie=cookie, body={})[0] == 303
    assert room.ask("/review.ipynb", cookie=cookie)[0] == 302
    assert room.ask(f"/api/kernels/{kernel}", cookie=cookie)[0] == 403


def test_who_is_signed_out_from_outside_is_out(room):
    cookie = room.cookie("T10")
    kernel, _ = room.open(cookie)
    with room.line(kernel, cookie) as line:
        signing_in.Sessions(room.folder).end_all_of("T10")
        assert closed(line).rcvd.code == kernels.SIGNED_OUT
    assert room.ask("/review.ipynb", cookie=cookie)[0] == 302


def test_a_new_phrase_counts_at_once(tmp_path_factory, room):
    before = room.phrases["T08"]
    room.phrases["T08"] = phrases.renew(room.folder, "T08")
    assert room.sign_in("T08", before)[0] == 403
    assert room.sign_in("T08")[0] == 303


def test_who_is_taken_out_of_the_roster_comes_in_no_more(room):
    roster = room.folder / "roster.csv"
    text = roster.read_text(encoding="utf-8")
    try:
        roster.write_text(text.replace("T10,Dee\n", ""), encoding="utf-8")
        time.sleep(members.SETTLED + 1.5)
        assert room.sign_in("T10")[0] == 403
    finally:
        roster.write_text(text, encoding="utf-8")
    assert room.sign_in("T10")[0] == 303


# Other people, other sites ---------------------------------------------------------------


def test_anothers_python_is_refused(room, cookie, kernel):
    other = room.cookie("T08")
    for method, path in [("GET", f"/api/kernels/{kernel}"),
                         ("POST", f"/voila/api/shutdown/{kernel}")]:  # fmt: skip
        body = {} if method == "POST" else None
        assert room.ask(path, method, cookie=other, body=body)[0] == 403
        assert room.ask(path, method, body=body)[0] == 403
    assert room.ask(f"/api/kernels/{kernel}", cookie=cookie)[0] == 200
    assert refused(lambda: room.line(kernel, other)) == 403
    assert refused(lambda: room.line(kernel, "")) == 403
    assert answers(room, kernel, cookie)


def test_nobody_restarts_interrupts_or_begins_a_python(room, cookie, kernel):
    for method, path in [("DELETE", f"/api/kernels/{kernel}"), ("POST", "/api/kernels"),
                         ("POST", f"/api/kernels/{kernel}/restart"), ("GET", "/api/kernels"),
                         ("POST", f"/api/kernels/{kernel}/interrupt")]:  # fmt: skip
        body = {} if method == "POST" else None
        assert room.ask(path, method, cookie=cookie, body=body)[0] in (404, 405)
    assert answers(room, kernel, cookie)


def test_a_foreign_page_cannot_use_the_cookie(room, cookie, kernel):
    assert refused(lambda: room.line(kernel, cookie, Origin=EVIL)) == 403
    assert refused(lambda: room.line(kernel, cookie, **{"Sec-Fetch-Site": "cross-site"})) == 403
    path = f"/voila/api/shutdown/{kernel}"
    assert room.ask(path, "POST", cookie=cookie, body={}, Origin=EVIL)[0] == 403
    assert room.sign_in("T10", Origin=EVIL)[0] == 403
    assert room.sign_in("T10", Origin=room.address)[0] == 303
    with room.line(kernel, cookie, Origin=room.address):
        pass
    assert answers(room, kernel, cookie)


def test_a_header_of_ones_own_makes_nobody_somebody_else(room, reader):
    names = ("X-Geodesy-Person", "X-Forwarded-User", "GEODESY_PERSON", "Remote-User")
    headers = dict.fromkeys(names, "T08")
    status, _, text = room.ask("/00_start.ipynb?GEODESY_PERSON=T08", cookie=reader, **headers)
    assert status == 200
    for sheet in room.folder.glob("answers-*"):
        assert "T08" not in sheet.name
    assert "-T08" not in text


# What is served --------------------------------------------------------------------------

PATHS = (
    "/lessons/", "/lessons", "/start.py", "/08_deflection.py", "/lessons/08_deflection.ipynb",
    "/desk/marking_desk.ipynb", "/marking_desk.ipynb", "/voila/tree", "/voila/tree/desk",
    "/voila/render/08_deflection.ipynb", "/voila/files/start.py", "/voila/files/pictures/start.png",
    "/voila/api/contents", "/voila/api/contents/desk", "/api/contents", "/api/sessions", "/api",
    "/api/terminals", "/terminals/1", "/lab", "/tree", "/doc", "/login", "/logout", "/class.toml",
    "/phrases.json", "/roster.csv", "/signed-in.json", "/settings/settings-T07.json",
    "/answers-T07.jsonl", "/../README.md", "/../../etc/passwd", "/%2e%2e/README.md",
    "/..%2fREADME.md", "/course/../../README.md", "/course/..%2f..%2fREADME.md", "/course/",
    "/course/class.py", "/course/jupyter_lab_config.py", "/voila/static/../app.py",
    "/voila/static/..%2fapp.py", "/voila/templates/lab/index.html.j2",
    "/voila/templates/lab/static/../index.html.j2", "/voila/templates/lab/static/..%2fx.j2",
    "/voila/templates/../lab/static/voila.js", "/voila/templates/reveal/static/reveal.js",
    "/voila/labextensions/geodesy-page/../../jupyter_lab_config.py",
    "/voila/labextensions/geodesy-page/..%2f..%2fjupyter_lab_config.py",
    "/voila/api/themes/../../x", "/voila/query/x", "/voila/execution/x", "/08_deflection.ipynb/",
    "/08_deflection.ipynb%00.py", "/.ipynb", "/08_deflection.IPYNB", "//evil.example/%2f..",
)  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("inside", [True, False], ids=["in", "out"])
def test_what_is_not_listed_is_not_there(room, cookie, path, inside):
    status, _, text = room.ask(path, cookie=cookie if inside else "")
    assert status == 404, text[:200]


@pytest.mark.parametrize(
    "path", ["/course/custom.css", "/course/class.js", "/voila/static/voila.js",
             "/voila/templates/lab/static/voila-style.js",
             "/voila/labextensions/geodesy-page/page.js",
             "/voila/labextensions/geodesy-contents/contents.js", "/course/contents.css"]
)  # fmt: skip
def test_what_a_page_loads_is_there(room, path):
    status, headers, text = room.ask(path)
    assert status == 200
    assert text
    assert headers["X-Content-Type-Options"] == "nosniff" or path.startswith("/voila")


def test_a_page_holds_no_source(room, reader):
    _, text = room.open(reader, "review")
    assert "gk-" in text or "widget-view" in text
    for word in ("import start", "lessons.course", "from exercises", "reviewing.panel"):
        assert word not in text


def test_a_page_holds_no_trainers_notes(room, reader):
    stored = ROOT / "lessons" / "concept_check.ipynb"
    assert "Trainer's notes" in stored.read_text(encoding="utf-8")
    _, text = room.open(reader, "concept_check")
    assert "How it works" in text
    assert "rainer's notes" not in text


def test_a_page_names_no_other_host(room, reader):
    _, text = room.open(reader, "review")
    for host in ("cdn.", "cdnjs", "jsdelivr", "unpkg", "googleapis"):
        assert host not in text


def test_template_and_theme_cannot_be_chosen_from_the_address(room, reader):
    status, _, text = room.ask("/review.ipynb?template=reveal&theme=dark", cookie=reader)
    assert status == 200
    assert "/course/class.js" in text
    assert "reveal.js" not in text
    assert "theme-dark" not in text


# What a page may say ---------------------------------------------------------------------

RUN = "open({path!r}, 'w').close()"


def hostile(path):
    code = RUN.format(path=str(path))
    contents = {
        "execute_request": {"code": code, "silent": False, "store_history": True,
                            "user_expressions": {}, "allow_stdin": True},
        "complete_request": {"code": "os.", "cursor_pos": 3},
        "inspect_request": {"code": "open", "cursor_pos": 4, "detail_level": 1},
        "history_request": {"hist_access_type": "tail", "n": 9, "output": False, "raw": True},
        "is_complete_request": {"code": "1"},
        "debug_request": {"type": "request", "command": "initialize", "arguments": {}, "seq": 1},
        "input_reply": {"value": code},
        "interrupt_request": {},
        "shutdown_request": {"restart": False},
        "create_subshell_request": {},
    }  # fmt: skip
    contents["comm_open"] = {
        "comm_id": "c", "target_name": "jupyter.widget", "data": {"state": {"_model_module": "x"}},
    }  # fmt: skip
    return contents


@pytest.mark.parametrize("channel", ["shell", "control", "stdin", "iopub"])
def test_no_code_from_the_page_runs(room, cookie, kernel, tmp_path, channel):
    witness = tmp_path / "it ran"
    with room.line(kernel, cookie) as line:
        for kind, content in hostile(witness).items():
            line.send(frame(kind, content, channel))
        line.send(frame("kernel_info_request", {}))
        kinds = heard(line, 30, until="kernel_info_reply")
        kinds += heard(line, 2)
    assert "kernel_info_reply" in kinds, "a page's own questions are answered"
    allowed = {"kernel_info_reply", "status"}
    assert set(kinds) <= allowed
    assert not witness.exists()


def test_the_older_protocol_is_refused_before_it_is_served(room, cookie, kernel):
    assert refused(lambda: room.line(kernel, cookie, protocols=())) == 400
    assert refused(lambda: room.line(kernel, cookie, protocols=("v0",))) == 400
    assert answers(room, kernel, cookie)


FRAMES = {
    "many parts": (2**60).to_bytes(8, "little") + b"x" * 64,
    "parts that are not there": (39).to_bytes(8, "little"),
    "backwards": b"".join(n.to_bytes(8, "little") for n in (6, 99, 56, 3, 2, 1, 0)) + b"x" * 64,
    "beyond its end": b"".join(n.to_bytes(8, "little") for n in (6, *[2**50] * 6)),
    "nothing": b"",
    "short": b"\x01",
    "text": "hello",
    "not JSON": frame("x", {})[:-40] + b"\xff" * 40,
    "deep": frame("comm_msg", {}).replace(b'"comm_msg"', b"[" * 10),
}


@pytest.mark.parametrize("name", FRAMES)
def test_a_hostile_frame_hangs_nobody(room, cookie, kernel, name):
    with room.line(kernel, cookie) as line:
        line.send(FRAMES[name])
        begun = time.monotonic()
        assert room.ask("/sign-in")[0] == 200
        assert time.monotonic() - begun < 5
        line.send(frame("kernel_info_request", {}))
        assert "kernel_info_reply" in heard(line, 30, until="kernel_info_reply")


def test_a_message_larger_than_any_page_sends_ends_the_line(room, cookie, kernel):
    with room.line(kernel, cookie) as line:
        line.send(b"\x00" * 2_000_000)
        closed(line)
    assert answers(room, kernel, cookie)


def test_a_flood_ends_the_line_and_nothing_else(room, cookie, kernel):
    message = frame("comm_info_request", {"target_name": "none"})
    with room.line(kernel, cookie) as line:
        with contextlib.suppress(ConnectionClosed):
            for _ in range(30_000):
                line.send(message)
        assert closed(line).rcvd.code == 1008
    assert room.ask("/sign-in")[0] == 200
    assert answers(room, kernel, cookie)


def test_a_fourth_page_lets_the_oldest_sleep(room):
    cookie = room.cookie("T10")
    first, _ = room.open(cookie)
    with room.line(first, cookie) as line:
        others = [room.open(cookie)[0] for _ in range(3)]
        assert closed(line).rcvd.code == kernels.ASLEEP
    assert room.ask(f"/api/kernels/{first}", cookie=cookie)[0] == 404
    assert all(answers(room, kernel, cookie) for kernel in others)


def test_a_step_of_a_slider_comes_in_few_messages_and_small_ones(room):
    """What 24 people drag is what one sends: no echo, no "busy", and only what was drawn."""
    with Page(room, room.cookie("T07"), "08_deflection") as page:
        shown = page.widgets()
        slider = next(model for model, state in shown.items() if "readout_format" in state)
        for step in range(4):
            page.set(slider, value=10 + step)
            came = []
            while not came or kind_of(came[-1]) != "status":
                came.append(page.line.recv(timeout=60))
        kinds = [kind_of(one) for one in came]
        assert kinds == ["comm_msg"] * 3 + ["status"], "picture, readout, field; done"
        said = [content_of(one) for one in came]
        assert {one["data"]["method"] for one in said[:3]} == {"update"}
        assert said[-1]["execution_state"] == "idle"
        assert 1000 < max(map(len, came)) < 50_000, "a whole picture is 140 kB"


def test_the_server_opens_no_second_ear_to_a_python(monkeypatch):
    """A second reader of all that each page is sent cost more than all else in the server."""
    python = SimpleNamespace(connect_iopub=lambda: pytest.fail("it listens"))
    monkeypatch.setattr(kernels.Kernels, "get_kernel", lambda self, kernel_id: python)
    kernels.Kernels().start_watching_activity("k")
    assert python.execution_state == "idle"
    assert abs(python.last_activity.timestamp() - time.time()) < 60


def test_one_python_that_dies_is_noticed_by_its_page_alone(room, cookie, kernel):
    own = room.cookie("T10")
    dying, _ = room.open(own)
    room.kill(dying)
    assert answers(room, kernel, cookie)


# Starting and stopping -------------------------------------------------------------------


def test_answers_stay_and_sessions_go_on_after_a_stop(tmp_path):
    served = Room(tmp_path / "class")
    cookie = served.cookie("T07")
    served.open(cookie)
    below = psutil.Process(served.process.pid).children(recursive=True)
    assert below
    assert served.stop() == 0
    assert not psutil.wait_procs(below, timeout=20)[1], "a page's Python was left behind"
    again = Room(tmp_path / "class", phrases=served.phrases)
    try:
        assert again.ask("/review.ipynb", cookie=cookie)[0] == 200
    finally:
        again.stop()


def test_where_no_python_can_be_divided_pages_come_from_a_pool(tmp_path):
    served = Room(tmp_path / "class", "--no-fork")
    try:
        cookies = {code: served.cookie(code) for code in ("T07", "T08")}
        pages = {code: served.open(cookie, "00_start") for code, cookie in cookies.items()}
        for code, (kernel, _) in pages.items():
            other = cookies["T08" if code == "T07" else "T07"]
            assert answers(served, kernel, cookies[code])
            assert refused(lambda k=kernel, c=other: served.line(k, c)) == 403
            assert whole(served, kernel, cookies[code]).endswith(f"-{code}")
    finally:
        assert served.stop() == 0


def whole(served, kernel, cookie):
    """Return who a start page says its reader is: asked for as the page asks for its widgets."""
    with served.line(kernel, cookie) as line:
        line.send(
            frame("comm_open", {"comm_id": "c", "target_name": "jupyter.widget.control",
                                "target_module": None, "data": {}})
        )  # fmt: skip
        line.send(frame("comm_msg", {"comm_id": "c", "data": {"method": "request_states"}}))
        until = time.monotonic() + 30
        while time.monotonic() < until:
            text = line.recv(timeout=30).decode("utf-8", "replace")
            if found := re.search(r"You are\s*<b>([0-9A-Z]{4}-[A-Z0-9]+)</b>", text):
                return found[1]
    raise AssertionError("the page does not say who its reader is")


def start(folder, *options):
    done = command(*("lessons", "--class", str(folder), "--no-browser", "--no-desk", *options))
    assert done.returncode == 1
    assert "Traceback" not in done.stdout + done.stderr
    return done.stdout


def test_what_cannot_be_served_is_said_in_one_sentence(room, tmp_path):
    port = room.host.partition(":")[2]
    assert "Another server has this class" in start(room.folder)
    assert "is not the folder of a class" in start(tmp_path)
    made(folder := tmp_path / "other")
    local = ("--address", "127.0.0.1")
    assert "cannot be used" in start(folder, *local, "--port", port)
    assert "is not an address of this computer" in start(folder, "--address", "no.such.invalid")
    assert "Name both" in start(folder, *local, "--certificate", str(tmp_path / "c.pem"))
    (folder / "class.toml").write_text("x", encoding="utf-8")
    assert "is not the file of a class" in start(folder)


@pytest.mark.skipif(not shutil.which("openssl"), reason="no program here makes a certificate")
def test_a_certificate_serves_https_alone(tmp_path):
    files = certificate, key = tmp_path / "c.pem", tmp_path / "k.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "1", "-subj",
         "/CN=class", "-addext", "subjectAltName=IP:127.0.0.1", "-keyout", str(key), "-out",
         str(certificate)],
        check=True, capture_output=True, env={**os.environ, "RANDFILE": str(tmp_path / "r")},
    )  # fmt: skip
    options = ("--certificate", str(files[0]), "--key", str(files[1]))
    served = Room(tmp_path / "class", *options)
    try:
        assert served.address.startswith("https://")
        host, port = served.host.split(":")
        context = ssl.create_default_context(cafile=certificate)
        with (
            socket.create_connection((host, int(port)), timeout=20) as plain,
            context.wrap_socket(plain, server_hostname=host) as line,
        ):
            line.sendall(b"GET /sign-in HTTP/1.0\r\nHost: class\r\n\r\n")
            assert b"Your phrase" in b"".join(iter(lambda: line.recv(65536), b""))
        with pytest.raises(OSError):  # noqa: PT011 - which one is the system's
            served.ask("/sign-in")
    finally:
        served.stop()


def test_only_the_named_address_is_bound(room):
    port = int(room.host.partition(":")[2])
    bound = [
        line.laddr.ip
        for line in psutil.Process(room.process.pid).net_connections("tcp")
        if line.status == psutil.CONN_LISTEN
    ]
    assert bound == ["127.0.0.1"], port


def test_the_protocol_of_these_tests_is_that_of_the_server():
    from lessons.server import frames

    assert frames.PROTOCOL == PROTOCOL
    channel, parts = frames.parts(frame("comm_msg", {"a": 1}))
    assert channel == "shell"
    assert len(parts) == 4
