"""The network of a room, between browsers and the class's server: cut, silent, and back again."""

import contextlib
import selectors
import socket
import threading


class Network:
    """
    Passes bytes on to a server until it is stopped.

    Attributes
    ----------
    host : str
        Where browsers reach the server through it.
    """

    def __init__(self, target):
        host, _, port = target.partition(":")
        self._target = host, int(port)
        self._door = socket.create_server(("127.0.0.1", 0))
        self.host = f"127.0.0.1:{self._door.getsockname()[1]}"
        self._lines, self._open, self._flows = set(), threading.Event(), threading.Event()
        self._open.set()
        self._flows.set()
        self._ended = False
        threading.Thread(target=self._listen, daemon=True).start()

    def cut(self):
        """End every connection, and every new one at once."""
        self._open.clear()
        for line in list(self._lines):
            with contextlib.suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)

    def silence(self):
        """Let nothing through, and say so to nobody."""
        self._flows.clear()

    def back(self):
        """Pass on again, what was held back too, as a network that comes back does."""
        self._open.set()
        self._flows.set()

    def stop(self):
        """End it."""
        self._ended = True
        self.cut()
        self._flows.set()
        self._door.close()

    def _listen(self):
        while not self._ended:
            try:
                line, _ = self._door.accept()
            except OSError:
                return
            if self._open.is_set():
                threading.Thread(target=self._pass_on, args=[line], daemon=True).start()
            else:
                line.close()

    def _pass_on(self, browser):
        try:
            server = socket.create_connection(self._target)
        except OSError:
            browser.close()
            return
        both = {browser: server, server: browser}
        self._lines |= set(both)
        with contextlib.suppress(OSError), selectors.DefaultSelector() as waiting:
            for line in both:
                waiting.register(line, selectors.EVENT_READ)
            self._until_one_ends(waiting, both)
        self._lines -= set(both)
        for line in both:
            line.close()

    def _until_one_ends(self, waiting, both):
        while self._open.is_set():
            for ready, _ in waiting.select(timeout=1):
                data = ready.fileobj.recv(65536)
                self._flows.wait()
                if not data or not self._open.is_set():
                    return
                both[ready.fileobj].sendall(data)
