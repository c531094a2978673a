"""
The Python of a class's page: IPython's own, made to answer a moved slider for little work.

A room of people who drag share the processors of one computer, so what one step costs besides its
picture counts. Here everything that a step changes goes out together, Python does not say that it
is busy, and nothing waits for the output of a print that did not happen.
"""

import contextlib
import threading
from typing import Any

from ipykernel.iostream import OutStream
from ipykernel.ipkernel import IPythonKernel
from ipykernel.kernelapp import IPKernelApp

WIDGET = "comm_msg"  # the protocol's name for what a page and a widget say to each other


class Gathering:
    """
    Sends through the thread that sends, `io_thread`; what is said within `together` wakes it once.

    Only what the thread says that gathers is held back: the control channel has its own.
    """

    def __init__(self, io_thread: Any) -> None:
        self.io_thread = io_thread
        self._held: list | None = None
        self._gathers = 0

    @contextlib.contextmanager
    def together(self) -> Any:
        """Hold back what is said, then send it all in its order, whatever went wrong."""
        self._gathers, self._held = threading.get_ident(), []
        held = self._held
        try:
            yield
        finally:
            self._held = None
            self.io_thread.schedule(lambda: self._send_all(held))

    def send_multipart(self, *message: Any, **how: Any) -> None:
        """Send a message, or hold it back."""
        if self._held is None or self._gathers != threading.get_ident():
            self.io_thread.send_multipart(*message, **how)
        else:
            self._held.append((message, how))

    def _send_all(self, held: list) -> None:
        """Send, in the thread that may; one that has ended sends nothing more."""
        for message, how in held:
            if not self.io_thread.closed:
                self.io_thread.socket.send_multipart(*message, **how)


class Printed(OutStream):
    """
    What is printed, on its way to the page.

    After each message IPython waits until everything printed has gone; here only if something was.
    """

    _written = False

    def write(self, string: str) -> int | None:
        """Take what is printed."""
        self._written = True
        return super().write(string)

    def flush(self) -> None:
        """Wait until it has gone, where there is something to wait for."""
        if self._written:
            self._written = False
            super().flush()


class PagePython(IPythonKernel):
    """Answers a widget with everything at once, and says only when it has done."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**more)
        self.iopub_socket = Gathering(self.iopub_thread)
        self.shell_handlers[WIDGET] = self._widget_message

    def _widget_message(self, stream: Any, ident: Any, message: dict) -> None:
        with self.iopub_socket.together():
            self.comm_manager.comm_msg(stream, ident, message)

    def _publish_status(self, status: str, channel: str, parent: dict | None = None) -> None:
        """Say that it is idle, which a page waits for; that it is busy, only with a cell."""
        about = (parent or self.get_parent(channel)).get("header", {})
        if status != "busy" or about.get("msg_type") != WIDGET:
            super()._publish_status(status, channel, parent)


class PageApp(IPKernelApp):
    """Begins a page's Python."""

    kernel_class = PagePython
    outstream_class = f"{__name__}.{Printed.__name__}"
