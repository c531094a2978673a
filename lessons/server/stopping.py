"""One Ctrl+C stops the course, at whatever moment it comes, and ten do no more than one."""

import contextlib
import signal
import sys

from tornado.ioloop import PeriodicCallback

SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")  # of each system, those that it has
LONGEST = 20  # seconds for the Python of every lesson to end; one that hangs ends by itself later


class Stopping:
    """
    What becomes of a wish to stop: the first counts, and nothing is done within the signal itself.

    A signal may come in the middle of a line that is being written to the terminal, where writing
    another fails. So the words and the stopping wait until the server's loop comes round.
    """

    def __init__(self):
        self.asked = False
        self._loop = self._end = self._say = None

    def listen(self):
        """Take the signals from now on; before the server runs they end the start."""
        for name in SIGNALS:
            if hasattr(signal, name):
                signal.signal(getattr(signal, name), self._take)

    def serve(self, loop, run, end, say):
        """Run a server, whose loop that is; where it is to stop, `end` it in there and say so."""
        self._loop, self._end, self._say = loop, end, say
        if self.asked:  # and what was being imported or cleaned away swallowed the interruption
            return
        if sys.platform == "win32":  # where Ctrl+C is noticed only when the loop wakes
            PeriodicCallback(lambda: None, 500).start()
        run()

    def _take(self, *_):
        if self.asked:
            return
        self.asked = True
        if self._loop is None:
            raise KeyboardInterrupt
        with contextlib.suppress(RuntimeError):  # the loop is closed: the server has ended
            self._loop.asyncio_loop.call_soon_threadsafe(self._stop)

    def _stop(self):
        self._end()
        self._loop.call_later(LONGEST, self._loop.stop)
        self._say("\nStopping …")
