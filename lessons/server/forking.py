"""The server's side of warm.py: a page's Python is asked for, watched and ended."""

import asyncio
import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time

from jupyter_client.provisioning import LocalProvisioner

from lessons.start import ROOT

PATIENCE = 120  # seconds until everything is in memory, on a slow and busy computer
GIVEN_BACK = {  # the C library of Linux gives back what a picture took, and keeps one heap
    "MALLOC_ARENA_MAX": "1",
    "MALLOC_MMAP_THRESHOLD_": "1048576",
    "MALLOC_TRIM_THRESHOLD_": "1048576",
}
# Each page of a class has a Python of its own: what it has just said need not come back to it.
ALONE = {"JUPYTER_WIDGETS_ECHO": "0"}
CAN_FORK = hasattr(os, "fork")


class Warm:
    """The warm Python. `ended` holds the status of each page's process that has ended."""

    def __init__(self):
        self.ended = {}
        self._answers = queue.Queue()
        self._asking = threading.Lock()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "lessons.kernel.warm"],
            cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, start_new_session=True,
            env={**os.environ, "OBJC_DISABLE_INITIALIZE_FORK_SAFETY": "YES", **GIVEN_BACK, **ALONE},
        )  # fmt: skip
        threading.Thread(target=self._listen, daemon=True).start()

    def ready(self):
        """Wait until it is warm; False where it could not be made so."""
        with self._asking:
            return "ready" in self._answer()

    @property
    def runs(self):
        """Return whether it can be asked."""
        return self._process.poll() is None

    def begin(self, connection, cwd, env):
        """Begin a page's Python and return its process."""
        line = json.dumps({"connection": connection, "cwd": cwd, "env": env}).encode("ascii")
        with self._asking:
            self._process.stdin.write(line + b"\n")
            self._process.stdin.flush()
            answer = self._answer()
        if "pid" not in answer:
            raise OSError("the warm Python has ended")
        return Child(answer["pid"], self)

    def stop(self):
        """End its input: it ends, and every page that is left with it."""
        self._process.stdin.close()
        try:
            self._process.wait(timeout=5)
        except subprocess.TimeoutExpired:
            self._process.kill()

    def _answer(self):
        try:
            return self._answers.get(timeout=PATIENCE)
        except queue.Empty:
            return {}

    def _listen(self):
        for line in self._process.stdout:
            words = json.loads(line)
            if "ended" in words:
                self.ended[words["ended"]] = words["status"]
            else:
                self._answers.put(words)
        self._answers.put({})


class Child:
    """A page's process, as far as a provisioner asks: the warm Python is its parent, not we."""

    stdin = stdout = stderr = None

    def __init__(self, pid, warm):
        self.pid, self._warm = pid, warm
        self.returncode = None

    def poll(self):
        """Return the exit status, None while it runs."""
        if self.returncode is None:
            self.returncode = self._warm.ended.pop(self.pid, None)
        if self.returncode is None and not self._warm.runs:
            self.returncode = -signal.SIGKILL  # it ends with its parent
        return self.returncode

    def wait(self, timeout=None):
        """Wait for the end and return the status."""
        until = time.monotonic() + (timeout or PATIENCE)
        while self.poll() is None and time.monotonic() < until:
            time.sleep(0.02)
        return self.returncode

    def send_signal(self, number):
        """Send a signal, unless it has ended: its number may be another's by then."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def terminate(self):
        """Ask it to end."""
        self.send_signal(signal.SIGTERM)

    def kill(self):
        """End it."""
        self.send_signal(signal.SIGKILL)


class Forked(LocalProvisioner):
    """Begins a page's Python by dividing the warm one."""

    warm = None

    async def launch_kernel(self, cmd, **kwargs):
        """Begin the Python of the command's connection file."""
        connection = cmd[cmd.index("-f") + 1]
        cwd = str(kwargs.get("cwd") or ROOT)
        self.process = await asyncio.to_thread(
            self.warm.begin, connection, cwd, dict(kwargs.get("env") or os.environ)
        )
        self.pid = self.pgid = self.process.pid  # it leads a session of its own
        self.cwd = cwd
        return self.connection_info
