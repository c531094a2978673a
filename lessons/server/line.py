"""
The line between a page and its Python, over however many connections.

The network of a room is cut and comes back. A page numbers what it sends, and so does the server;
each keeps what the other has not yet acknowledged. With a new connection each says how far it has
come and sends the rest again, so that every message arrives once: a Check that was pressed
meanwhile, and the verdict that could not be shown.

Messages are binary, as the widgets' own protocol has them. What the two ends say about the line
itself, and what the trainer says to everybody, are short texts beside them, each a JSON object.
"""

import functools
import json
import re
from collections import deque
from urllib.parse import urlsplit

from tornado.ioloop import IOLoop
from tornado.web import HTTPError
from tornado.websocket import WebSocketClosedError, WebSocketHandler
from voila.tornado.kernel_websocket_handler import (
    VoilaKernelWebsocketHandler,
    read_header_from_binary_message,
)

from exercises.bank import BANK
from lessons.server import frames, kernels

SESSION = re.compile(r"[A-Za-z0-9-]{1,64}")
NUMBER = re.compile(r"[0-9]{1,9}")
MOST_KEPT = 16 * 1024 * 1024  # bytes that a page has not acknowledged
MOST_UNREAD = 16 * 1024 * 1024  # bytes on their way; a lesson with its pictures is a few million
MOST_LINES = 4  # of one page: it has one, and others while a cut is not noticed yet
MOST_TALKS = 3  # of one page: a browser's program holds one
WAITED_FOR = 10 * 60  # seconds until a page that is cut off is given up
CODE = b"execute_input"
LONGEST_BEGINNING = 2048  # bytes in which a message's header stands; it is some 300
SOON = 0.25  # seconds until what came is acknowledged


def from_elsewhere(request):
    """Return whether a foreign page sent this."""
    origin = request.headers.get("Origin")
    site = request.headers.get("Sec-Fetch-Site", "same-origin")
    if origin and urlsplit(origin).netloc != request.host:
        return True
    return site not in ("same-origin", "none")


def _is_code(message):
    """Return whether a Python's message repeats the code that it runs: no page is shown that."""
    if CODE not in message[:LONGEST_BEGINNING]:  # spares reading the header of every picture
        return False
    return (read_header_from_binary_message(message) or {}).get("msg_type") == CODE.decode()


class Talk:
    """
    What a page and its Python say to each other, while connections come and go.

    Attributes
    ----------
    connection
        To the Python; it stays while the page is cut off.
    line : Line or None
        The connection to the page, where there is one now.
    came, sent : int
        How many messages came from the page, and went to it.
    """

    def __init__(self, connection, over):
        self.connection, self.line, self._over = connection, None, over
        self.came = self.sent = 0
        self._kept, self._bytes = deque(), 0
        self._timers = {}
        self.lost = False

    def join(self, line, have):
        """Go on over another connection; the page has that many of our messages."""
        before, self.line = self.line, line
        self._stop("waiting")
        if before:
            before.close()
        self.has(have)
        line.word(had=self.came)
        for message in self._kept:
            line.put(message)

    def leave(self, line):
        """Wait for another connection, not for ever."""
        if self.line is line:
            self.line = None
            self._later("waiting", WAITED_FOR, self.end)

    def say(self, message):
        """Send a message of the Python, now or with the next connection."""
        if self.lost:
            return
        self.sent += 1
        self._kept.append(message)
        self._bytes += len(message)
        if self.line:
            self.line.put(message)
        if self._bytes > MOST_KEPT:
            self.end()

    def has(self, count):
        """Forget what has arrived."""
        while self._kept and self.sent - len(self._kept) < min(count, self.sent):
            self._bytes -= len(self._kept.popleft())

    def took(self, number):
        """Count the message of that number; return whether it is new."""
        if number <= self.came:
            return False
        self.came = number
        self._later("had", SOON, self.acknowledge)
        return True

    def acknowledge(self):
        """Say how far the page's messages have come."""
        self._stop("had")
        if self.line:
            self.line.word(had=self.came)

    def end(self):
        """Give the page up: what it says next is refused, and it says so to its reader."""
        if self.lost:
            return
        self.lost = True
        self._kept.clear()
        for name in list(self._timers):
            self._stop(name)
        line, self.line = self.line, None
        if line:
            line.close(kernels.TOO_LONG)
        python, name = self.connection.multi_kernel_manager, self.connection.kernel_id
        self.connection.disconnect()
        python.stop_buffering(name)  # nobody comes back for what it says from now on
        self._over(self)

    def _later(self, name, seconds, act):
        if name not in self._timers:
            self._timers[name] = IOLoop.current().call_later(seconds, act)

    def _stop(self, name):
        if timer := self._timers.pop(name, None):
            IOLoop.current().remove_timeout(timer)


class Line(VoilaKernelWebsocketHandler):
    """One connection between a page and its own Python."""

    page = talk = None
    # Also once it has ended: what its Python says then would be written in the older protocol and
    # read in this one, where the first bytes say how many numbers follow, to the server's end.
    selected_subprotocol = frames.PROTOCOL
    unread = 0  # bytes that the browser has not taken yet
    dropped = given_up = False
    number = 0  # of the message that came last

    async def prepare(self):
        """Refuse before anything is opened: strangers, other people's pages, older protocols."""
        user = self.identity_provider.get_user(self)
        self.current_user = self._jupyter_current_user = user
        if user is None or from_elsewhere(self.request):
            raise HTTPError(403)
        kernel_id = self.path_kwargs["kernel_id"]
        if kernel_id not in self.kernel_manager.pages:
            raise HTTPError(404)
        self.page = self.kernel_manager.page_of(kernel_id, user.username)
        offered = self.request.headers.get("Sec-WebSocket-Protocol", "")
        if frames.PROTOCOL not in [one.strip() for one in offered.split(",")]:
            raise HTTPError(400)
        self.session_id = self.get_argument("session_id", "")
        have = self.get_argument("have", "")
        if not SESSION.fullmatch(self.session_id) or (have and not NUMBER.fullmatch(have)):
            raise HTTPError(400)
        if self.page.allowance.spent("line"):
            raise HTTPError(429)
        self.have = int(have) if have else None
        if self.have is not None:
            self.talk = self.page.talks.get(self.session_id)
        if self.have and not self.talk:
            raise HTTPError(410)  # what this page goes on with is not held any more

    async def pre_get(self):
        """Reach the page's Python, anew or as before the cut."""
        if self.talk:
            self.connection = self.talk.connection
            return
        await super().pre_get()

    async def open(self, kernel_id):
        """Remember the line, so that it can be closed with the session."""
        for line in self.page.lines[: 1 - MOST_LINES]:
            line.close(1008)
        self.page.lines.append(self)
        if self.talk and not self.talk.lost:
            self._go_on()
            return
        if self.have is not None:
            self._begin_talk()
        await super().open(kernel_id)

    def _begin_talk(self):
        talks = self.page.talks
        for waiting in [one for one in talks.values() if not one.line][: len(talks) - MOST_TALKS]:
            waiting.end()
        session = self.session_id
        self.talk = talks[session] = Talk(
            self.connection, lambda talk: talks.get(session) is talk and talks.pop(session)
        )
        self._join()

    def _go_on(self):
        self.connection.websocket_handler = self
        self.connection._open_sessions[self.connection.session_key] = self
        self._join()

    def _join(self):
        self.number = self.talk.came
        self.talk.join(self, self.have)
        self.word(**self.settings["news"]())

    def on_message(self, ws_message):
        """
        Pass on what a page of the course sends; drop what it does not.

        What comes on a line that was closed would be read in the older protocol, where the first
        bytes say how many gigabytes to set aside.
        """
        if self.ws_connection is None:
            return
        if self.page is None or self.kernel_manager.pages.get(self.kernel_id) is not self.page:
            self.close(kernels.ASLEEP)
        elif self._spent(sort := frames.sort(ws_message), len(ws_message)):
            self.log.warning("closed a line that sent more than any page does")
            self.close(1008)
        elif isinstance(ws_message, str) and self.talk:
            self._take(frames.word(ws_message))
        elif self._again():
            return
        elif sort:
            super().on_message(ws_message)
        elif not self.dropped:  # said once: the log is bounded too
            self.dropped = True
            self.log.warning("dropped what no page of the course sends")

    def _spent(self, sort, size):
        allowance = self.page.allowance
        return allowance.spent("bytes", size) or allowance.spent(sort or "asking")

    def _again(self):
        """Return whether this message came before, over another connection."""
        self.number += 1
        return self.talk is not None and not self.talk.took(self.number)

    def _take(self, word):
        """Take what a page says about the line and about itself."""
        if "have" in word:
            self.talk.has(word["have"])
        if "there" in word:
            self.talk.acknowledge()
        if word.get("at") in BANK:
            self.page.at = word["at"]

    def write_message(self, message, binary=False):
        """Number what the Python says, so that it arrives once whatever the network does."""
        if not self.talk or not isinstance(message, bytes):
            return self._bounded(super().write_message, message, binary)
        if not _is_code(message):
            self.talk.say(message)
        return None

    def put(self, message):
        """Write a message; where the connection has just ended, the next one brings it."""
        self._written(message, binary=True)

    def word(self, **word):
        """Say something beside the messages."""
        self._written(json.dumps(word), binary=False)

    def _written(self, message, *, binary):
        try:
            self._bounded(functools.partial(WebSocketHandler.write_message, self), message, binary)
        except WebSocketClosedError:
            return

    def _bounded(self, write, message, binary):
        """Write what the browser takes; one that reads nothing fills no memory here."""
        if self.unread > MOST_UNREAD:
            if not self.given_up:
                self.given_up = True
                self.log.warning("closed a line that nobody reads")
                self.close(1008)
            return None
        sent = write(message, binary)
        if sent is not None:
            self.unread += len(message)
            sent.add_done_callback(functools.partial(self._has_read, len(message)))
        return sent

    def _has_read(self, size, sent):
        self.unread -= size
        if not sent.cancelled():
            sent.exception()  # the line has ended: that is known, and nothing for the log

    def on_close(self):
        """Forget the line."""
        if self.page and self in self.page.lines:
            self.page.lines.remove(self)
        if self.talk:
            self.talk.leave(self)
            self.connection = None
        elif getattr(self, "connection", None):
            python, name = self.connection.multi_kernel_manager, self.connection.kernel_id
            super().on_close()
            python.stop_buffering(name)  # it would keep all that its Python says from now on

    def write_error(self, status_code, **kwargs):
        """Say nothing more."""
        self.finish()
