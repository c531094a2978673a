"""A class from one computer: `python -m lessons --class FOLDER`."""

import contextlib
import ipaddress
import os
import re
import socket
import ssl
import subprocess
import sys
import tempfile
import threading
import traceback
import webbrowser
from pathlib import Path

import segno
from filelock import FileLock, Timeout
from tornado.ioloop import IOLoop
from tornado.netutil import bind_sockets

from exercises.classroom import making, phrases
from exercises.instructor import watching
from exercises.sheets import class_file, roster
from lessons.server import class_server, forking, serving, signing_in
from lessons.server.stopping import Stopping
from lessons.start import ROOT

ROOM_NEEDED = 4 * 1024 * 1024  # bytes free at the start: a class of 24 writes two or three
NOWHERE = "192.0.2.1"  # an address that nobody has: nothing is sent, the way there is looked up


class NotHostedError(Exception):
    """The class cannot be served, in one sentence with what to do."""


def main(options):
    """Serve the class until Ctrl+C."""
    sys.stdout.reconfigure(encoding="utf-8", errors="replace")
    terminal = sys.stdout
    home = serving.user_folder()
    log = home / "class-log.txt"
    serving.point_jupyter_at(home)
    stopping = Stopping()
    try:
        stopping.listen()
        hosted = Hosted(options, log)
        terminal = serving.silence(log)
        hosted.serve(terminal, stopping)
    except (NotHostedError, KeyboardInterrupt) as reason:
        serving.say(terminal, str(reason) or "Stopped.")
        return 1
    except Exception as reason:
        with open(log, "a", encoding="utf-8", opener=serving.private) as file:
            traceback.print_exc(file=file)
        serving.say(terminal, f"The class did not start: {reason}\nWhat happened stands in {log}")
        return 1
    serving.say(terminal, "The class has stopped. What was kept stays kept; pages come back.")
    return 0


class Hosted:
    """All that can be wrong before anything is served, and then the server."""

    def __init__(self, options, log):
        self.folder = Path(options.folder).resolve()
        self.options, self.log = options, log
        self.room = _room(self.folder)
        self.lock = _alone(self.folder)
        self.certificate = _certificate(options)
        self.host = options.address or _own_address()
        self.sockets = _bound(self.host, options.port)
        self.port = self.sockets[0].getsockname()[1]

    @property
    def address(self):
        """Return what people type into their browser."""
        scheme = "https" if self.certificate else "http"
        host = _own_address() if self.host in ("0.0.0.0", "::") else self.host
        host = f"[{host}]" if ":" in host else host
        return f"{scheme}://{host}:{self.port}"

    def board(self):
        """Return what the projector shows."""
        code = segno.make(self.address, error="m")
        return {
            "title": self.room.title,
            "address": self.address,
            "code": code.svg_data_uri(scale=8, border=2),
        }

    def serve(self, terminal, stopping):
        """Serve until stopped."""
        serving.say(terminal, f"Starting the class {self.room.word}, a few seconds …")
        speaking = threading.Lock()

        def tell(words):
            with speaking:
                serving.say(terminal, words)

        door = signing_in.Door(self.folder, tell)
        server = class_server.made(
            self.room, self.folder, door, self.sockets,
            board=self.board, certificate=self.certificate, begun=lambda: self._begun(terminal),
            fork=forking.CAN_FORK and not self.options.no_fork,
        )  # fmt: skip
        with _desk(self.folder, self.options, tell):
            loop = IOLoop.current()
            stopping.serve(loop, server.start, loop.stop, tell)
        self.lock.release()

    def _begun(self, terminal):
        serving.say(terminal, self._welcome())
        with contextlib.suppress(Exception):  # a terminal that cannot show it has the address
            segno.make(self.address, error="m").terminal(out=terminal, compact=True)
            terminal.flush()
        if not self.options.no_browser:
            threading.Thread(
                target=webbrowser.open, args=[f"{self.address}/board"], daemon=True
            ).start()

    def _welcome(self):
        open_line = (
            "Whoever can listen on this network can read along; --certificate and --key make it "
            "unreadable.\n"
        )
        return (
            f"{self.room.title}\n\nThe class is open at\n    {self.address}\n"
            f"For the projector:\n    {self.address}/board\n\n"
            f"{'' if self.certificate else open_line}"
            "Leave this window open; to stop, press Ctrl+C in it. Nothing that was kept is lost.\n"
            f"Messages for whoever maintains the course are kept in {self.log}"
        )


def _room(folder):
    try:
        room = class_file.read(folder)
        roster.read(folder / making.ROSTER)
        phrases.read(folder)
        with tempfile.TemporaryFile(dir=folder) as tried:  # a full disk takes empty files
            tried.write(bytes(ROOM_NEEDED))
        (folder / "settings").mkdir(mode=0o700, exist_ok=True)
    except FileNotFoundError:
        raise NotHostedError(
            f"{folder} is not the folder of a class. Make one: "
            f'python -m exercises class-new "{folder}" --roster class.csv --title "…"'
        ) from None
    except ValueError as error:
        raise NotHostedError(str(error)) from None
    except OSError as error:
        raise NotHostedError(
            f"Answers cannot be kept in {folder}: {error.strerror or error}. Free the folder, then "
            "start again."
        ) from None
    return room


def _alone(folder):
    lock = FileLock(folder / "server.lock", thread_local=False)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise NotHostedError(
            f"Another server has this class open ({folder}): use its window, or stop it first."
        ) from None
    return lock


def _certificate(options):
    if bool(options.certificate) != bool(options.key):
        raise NotHostedError("Name both, --certificate FILE and --key FILE, or neither.")
    if not options.certificate:
        return None
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    try:
        context.load_cert_chain(options.certificate, options.key)
    except (OSError, ValueError) as error:  # ssl's own errors are OSErrors
        raise NotHostedError(
            f"Certificate and key could not be used: {error.strerror or error}."
        ) from None
    return context


def _own_address():
    """Return this computer's address in the room's network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line, contextlib.suppress(OSError):
        line.connect((NOWHERE, 9))  # sends nothing
        return line.getsockname()[0]
    with contextlib.suppress(OSError):  # a switch of its own has no way out, and an address still
        for *_, place in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET):
            if not ipaddress.ip_address(place[0]).is_loopback:
                return place[0]
    raise NotHostedError(
        "This computer has no address in a network: connect it to the switch or the Wi-Fi, or name "
        "its address with --address."
    )


def _bound(host, port):
    try:
        return bind_sockets(port, host)
    except socket.gaierror:
        raise NotHostedError(f"{host} is not an address of this computer.") from None
    except OverflowError:
        raise NotHostedError(f"A port is a number from 1 to 65535, not {port}.") from None
    except OSError as error:
        raise NotHostedError(
            f"{host}, port {port}, cannot be used: {error.strerror or error}. Name another with "
            "--port, or the address of this computer with --address."
        ) from None


@contextlib.contextmanager
def _desk(folder, options, tell):
    """Open the marking desk in a server of its own, for this computer alone."""
    if options.no_desk:
        yield
        return
    with contextlib.suppress(OSError):
        watching.remember(folder, watching.remembered()[1])
    command = [sys.executable, "-m", "lessons", "--page", "lessons/desk/marking_desk.ipynb"]
    command += ["--no-browser"] if options.no_browser else []
    desk = subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, text=True, encoding="utf-8", errors="replace",
        start_new_session=True, env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip

    def listen():
        for line in desk.stdout:
            if found := re.search(r"http://\S+", line):
                tell(f"The marking desk, on this computer alone:\n    {found[0]}")

    threading.Thread(target=listen, daemon=True).start()
    try:
        yield
    finally:
        desk.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            desk.wait(timeout=10)
        desk.kill()
