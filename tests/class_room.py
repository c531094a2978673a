"""
A class as its trainer starts it and its trainees reach it: two commands, then a socket.

Used by the tests of the class and, in a browser, by those beside tests/browser/course.py.
"""

import contextlib
import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.parse
import uuid
from pathlib import Path

import psutil
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import connect

ROOT = Path(__file__).resolve().parents[1]
METADATA = {"version": "1.0.0"}  # of the widgets' own protocol
PROTOCOL = "v1.kernel.websocket.jupyter.org"
ROSTER = "code,name\nT07,Anna Ødegård\nT08,Bo\nT09,Cem\nT10,Dee\n"


def command(*words, env=None, **more):
    """Run one of the course's commands to its end."""
    return subprocess.run(
        [sys.executable, "-m", *words], cwd=ROOT, env=env, capture_output=True, text=True,
        encoding="utf-8", check=False, timeout=120, **more,
    )  # fmt: skip


def made(folder, roster=ROSTER, title="Autumn"):
    """Make a class folder as a trainer does; return {code: phrase}."""
    file = folder.with_name(folder.name + "-roster.csv")
    file.write_text(roster, encoding="utf-8")
    done = command(
        *("exercises", "class-new", str(folder), "--roster", str(file), "--title", title)
    )
    assert done.returncode == 0, done.stderr
    return dict(line.split("\t") for line in done.stdout.splitlines())


class Room:
    """A served class; stop it at the end. `program` is what is run in the place of lessons."""

    ROOT = ROOT

    def __init__(self, folder, *options, phrases=None, program=("-m", "lessons")):
        self.folder, self.phrases = folder, phrases or made(folder)
        self.terminal = folder.with_name(folder.name + "-terminal.txt")
        self._environment = {
            **os.environ,
            "JUPYTER_DATA_DIR": str(folder.with_name("jupyter")),
            "PYTHONIOENCODING": "utf-8",
        }
        group = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)
        with open(self.terminal, "w", encoding="utf-8") as words:
            self.process = subprocess.Popen(
                [sys.executable, *program, "--class", str(folder), "--no-browser",
                 "--no-desk", "--address", "127.0.0.1", "--port", "0", *options],
                cwd=ROOT, env=self._environment, creationflags=group,
                stdin=subprocess.DEVNULL, stdout=words, stderr=subprocess.STDOUT,
            )  # fmt: skip
        self.address = self._announced()
        self.host = urllib.parse.urlsplit(self.address).netloc

    def words(self):
        """Return what the terminal shows."""
        return self.terminal.read_text(encoding="utf-8")

    def stop(self):
        """Press Ctrl+C and return the exit status."""
        self.process.send_signal(getattr(signal, "CTRL_BREAK_EVENT", signal.SIGINT))
        try:
            return self.process.wait(timeout=60)
        finally:
            self.process.kill()

    def kill(self, kernel):
        """End the Python of a page, as where memory runs out."""
        self.python_of(kernel).send_signal(getattr(signal, "SIGKILL", signal.SIGTERM))

    def python_of(self, kernel):
        """Return the process of a page's Python."""
        (found,) = [
            process
            for process in psutil.Process(self.process.pid).children(recursive=True)
            if kernel in _all_about(process)
        ]
        return found

    def _announced(self):
        until = time.monotonic() + 120
        while time.monotonic() < until:
            if "projector" in self.words():
                return re.search(r"https?://\S+", self.words())[0]
            if self.process.poll() is not None:
                break
            time.sleep(0.1)
        self.process.kill()
        raise AssertionError(f"the class did not start; the terminal says:\n{self.words()}")

    def ask(self, path, method="GET", cookie="", body=None, timeout=60, **headers):
        """Send a request exactly as written and return (status, headers, text)."""
        line = http.client.HTTPConnection(self.host, timeout=timeout)
        sent = {"Cookie": cookie} if cookie else {}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        data = urllib.parse.urlencode(body) if body is not None else None
        if data is not None:
            sent["Content-Type"] = "application/x-www-form-urlencoded"
        line.request(method, path, body=data, headers=sent)
        answer = line.getresponse()
        text = answer.read().decode("utf-8", "replace")
        line.close()
        return answer.status, answer.headers, text

    def sign_in(self, code, phrase=None, to="/sign-in", **headers):
        """Send the form of the sign-in page."""
        phrase = self.phrases[code] if phrase is None else phrase
        return self.ask(to, "POST", body={"code": code, "phrase": phrase}, **headers)

    def cookie(self, code):
        """Sign in and return the cookie as a browser sends it."""
        status, headers, text = self.sign_in(code)
        assert status == 303, text
        return headers["Set-Cookie"].partition(";")[0]

    def open(self, cookie, page="review"):
        """Open a page and return (its kernel, its text)."""
        status, _, text = self.ask(f"/{page}.ipynb", cookie=cookie)
        assert status == 200, text[:300]
        return re.search(r'"kernelId": "([0-9a-f-]+)"', text)[1], text

    def line(
        self, kernel, cookie, protocols=(PROTOCOL,), session="", more="", narrow=False, **headers
    ):
        """
        Open the line of a page to its Python, as a browser's program does; one that is narrow
        takes little before somebody reads it.
        """
        sent, session = {"Cookie": cookie, **headers}, session or uuid.uuid4()
        host, _, port = self.host.partition(":")
        sock = socket.socket()
        if narrow:
            sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 65536)
        sock.settimeout(60)
        sock.connect((host, int(port)))
        return connect(
            f"ws://{self.host}/api/kernels/{kernel}/channels?session_id={session}{more}",
            additional_headers=sent, subprotocols=list(protocols) or None, max_size=None,
            open_timeout=60, max_queue=1 if narrow else 16, sock=sock,
        )  # fmt: skip


def _all_about(process):
    """Return the words, files and sockets of a process, which name the Python that it runs."""
    try:
        lines = [str(line.laddr) for line in process.net_connections("unix")]
        return " ".join([*process.cmdline(), *lines, *(file.path for file in process.open_files())])
    except psutil.Error:
        return ""


def frame(kind, content, channel="shell", session="s"):
    """Return a message as the protocol writes it."""
    header = {
        "msg_id": str(uuid.uuid4()), "username": "", "session": session,
        "date": "2026-01-01T00:00:00Z", "msg_type": kind, "version": "5.3",
    }  # fmt: skip
    parts = [
        channel.encode(),
        *(json.dumps(one).encode() for one in (header, {}, METADATA, content)),
    ]
    offsets = [8 * (len(parts) + 2)]
    for part in parts:
        offsets.append(offsets[-1] + len(part))
    numbers = [len(offsets), *offsets]
    return b"".join([*(n.to_bytes(8, "little") for n in numbers), *parts])


def kind_of(message):
    """Return the type of a message that came."""
    return json.loads(_part(message, 1))["msg_type"]


def content_of(message):
    """Return what a message that came says."""
    return json.loads(_part(message, 4))


def _part(message, number):
    begin, end = (
        int.from_bytes(message[8 * i : 8 * i + 8], "little") for i in (number + 1, number + 2)
    )
    return message[begin:end]


class Page:
    """
    Somebody's page without a browser: its widgets, and the line to its Python, which is that of a
    page that is open already where `kernel` names it.
    """

    def __init__(self, room, cookie, name="review", kernel=None):
        self.room, self.cookie = room, cookie
        self.kernel = kernel or room.open(cookie, name)[0]
        self._open = contextlib.ExitStack()
        self.again()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self._open.close()

    def again(self, **more):
        """Open another line to the same Python."""
        self._open.close()
        self.line = self._open.enter_context(self.room.line(self.kernel, self.cookie, **more))

    def widgets(self):
        """Return {model: state} of every widget, asked for as a page does when it opens."""
        comm = uuid.uuid4().hex
        opening = {"comm_id": comm, "target_name": "jupyter.widget.control", "data": {}}
        self.line.send(frame("comm_open", opening))
        self.say(comm, method="request_states")
        end = time.monotonic() + 60
        while time.monotonic() < end:
            message = self.line.recv(timeout=60)
            if kind_of(message) == "comm_msg" and content_of(message)["comm_id"] == comm:
                states = content_of(message)["data"]["states"]
                return {model: one["state"] for model, one in states.items()}
        raise AssertionError("the page's widgets did not come")

    def say(self, comm, **data):
        """Send a message of a widget."""
        self.line.send(frame("comm_msg", {"comm_id": comm, "data": data}))

    def set(self, model, **state):
        """Set values of a widget, as a page does."""
        self.say(model, method="update", state=state, buffer_paths=[])

    def click(self, model):
        """Press a button."""
        self.say(model, method="custom", content={"event": "click"})

    def answers(self, within=30):
        """Return after how many seconds its Python answered; it must."""
        begun = time.monotonic()
        self.line.send(frame("kernel_info_request", {}))
        assert "kernel_info_reply" in heard(self.line, within, until="kernel_info_reply")
        return time.monotonic() - begun


def heard(line, seconds, until=None):
    """Return the types of what comes within some seconds, or until one of them has come."""
    kinds, end = [], time.monotonic() + seconds
    while (left := end - time.monotonic()) > 0 and until not in kinds:
        try:
            kinds.append(kind_of(line.recv(timeout=left)))
        except TimeoutError:
            break
    return kinds


def closed(line):
    """Read a line to its end, and return how it ended."""
    try:
        while True:
            line.recv(timeout=60)
    except ConnectionClosed as end:
        return end
