"""
The Pythons of a class's pages: one for each page, each of one person alone.

A person has at most three. With a fourth page the oldest one goes to sleep: what was kept and what
was typed comes back when it is opened again. What nobody looks at any more is ended after a while.
"""

import asyncio
import contextlib
import os
import sys
import time
import uuid
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import UTC, datetime

from jupyter_server.services.kernels.kernelmanager import (
    AsyncMappingKernelManager,
    ServerKernelManager,
)
from tornado.web import HTTPError
from traitlets import Any, Dict

from exercises.sheets import session
from lessons.server import forking, frames

MOST_PAGES = 3  # of one person
# Why a page's line was closed; the numbers from 4000 on are a program's own. class.js has them too.
ASLEEP, STOPPED, UNSEEN_LONG, SIGNED_OUT, TOO_LONG, UNLISTED = range(4001, 4007)
AFTER_RESTART = 5  # seconds until a Python begun in a dead one's place is ended
UNSEEN = 15 * 60  # seconds without a page until a Python is ended
OPENING: ContextVar[tuple[str, str]] = ContextVar("opening", default=("", ""))
"""Whose page is being opened in this task, and which; set by the page's handler alone."""

WARMING = (  # run in a Python of the pool before anybody has it; no person, no lesson
    "import start\n"
    "import geokit, ipywidgets\n"
    "from lessons.widgets import answer_box, live\n"
    "from lessons.course import welcome\n"
)
HANDING_OUT = "import os\nos.environ.update({changed!r})"


@dataclass
class Page:
    """
    A page's Python: whose, since when, which page, where on it its reader is, and its lines.

    `allowance` is what it may still send, `seen` when it had a line last. Times are those of a
    clock that nobody sets.
    """

    person: str
    name: str = ""
    at: str = ""
    began: float = field(default_factory=time.monotonic)
    lines: list = field(default_factory=list)  # the oldest first
    talks: dict = field(default_factory=dict)
    allowance: frames.Allowance = field(default_factory=frames.Allowance)
    seen: float = field(default_factory=time.monotonic)


class PageKernel(ServerKernelManager):
    """One page's Python, begun by dividing the warm one where the system can."""

    async def _async_pre_start_kernel(self, **kwargs):
        warm = self.parent.warm
        if self.provisioner is None and warm and warm.runs:
            self.provisioner = forking.Forked(
                parent=self, kernel_id=self.kernel_id, kernel_spec=self.kernel_spec
            )
            self.provisioner.warm = warm
        return await super()._async_pre_start_kernel(**kwargs)

    pre_start_kernel = _async_pre_start_kernel


class Kernels(AsyncMappingKernelManager):
    """
    All Pythons of the class.

    Attributes
    ----------
    pages : dict
        The `Page` of each kernel.
    variables : callable
        Returns what a person's Python finds in its environment.
    """

    warm = Any(None, allow_none=True)
    pages = Dict()
    variables = Any()
    pool = Any(None, allow_none=True)

    def page_of(self, kernel_id, person):
        """
        Return a person's page.

        Raises
        ------
        HTTPError
            403 where it is somebody else's, or nobody's.
        """
        page = self.pages.get(kernel_id)
        if page is None or page.person != person:
            raise HTTPError(403)
        return page

    async def start_kernel(self, **kwargs):
        """Begin the Python of the page that is being opened in this task."""
        person, name = OPENING.get()
        if not person:
            raise HTTPError(403)
        kernel_id = None
        if self.pool:
            kernel_id = await self.pool.take(self.variables(person))
        made = kernel_id or str(uuid.uuid4())
        self.pages[made] = Page(person, name)
        try:
            await self._let_oldest_sleep(person)
            if not kernel_id:
                await self._begin(made, person, kwargs)
            self.add_restart_callback(made, lambda: self._died(made))
        except BaseException:
            self.pages.pop(made, None)
            raise
        return made

    def start_watching_activity(self, kernel_id):
        """
        Say that a Python runs, and listen to nothing.

        The library would read all that each page's Python says a second time, pictures too, to
        know when it was busy last. Here `end_unseen` looks after what nobody looks at.
        """
        kernel = self.get_kernel(kernel_id)
        kernel.reason, kernel.execution_state = "", "idle"
        kernel.last_activity = datetime.now(UTC)

    async def _begin(self, kernel_id, person, kwargs):
        env = {**(kwargs.get("env") or os.environ), **self.variables(person)}
        await self.begin_nobodys(kernel_id, **{**kwargs, "env": env})

    async def begin_nobodys(self, kernel_id, **kwargs):
        """Begin a Python; over TCP another may have taken its port in between: once more then."""
        for last in (False, False, True):
            try:
                await super().start_kernel(kernel_id=kernel_id, **kwargs)
                return
            except RuntimeError:
                if last:
                    raise

    async def _let_oldest_sleep(self, person):
        own = sorted(
            (one.began, kernel_id) for kernel_id, one in self.pages.items() if one.person == person
        )
        for _, kernel_id in own[:-MOST_PAGES]:
            await self.let_sleep(kernel_id)

    async def let_sleep(self, kernel_id, why=ASLEEP):
        """End a page's Python and say so to the page."""
        self._close(kernel_id, why)
        if kernel_id in self:
            with contextlib.suppress(KeyError, HTTPError, RuntimeError):
                await self.shutdown_kernel(kernel_id, now=True)

    def _close(self, kernel_id, why):
        """Close every line of a page; it says why to its reader."""
        page = self.pages.pop(kernel_id, None)
        for line in list(page.lines) if page else ():
            line.close(why)
        for talk in list(page.talks.values()) if page else ():
            talk.end()

    def _died(self, kernel_id):
        """Give up a page whose Python died: the one begun in its place knows no lesson."""
        self._close(kernel_id, STOPPED)
        later = asyncio.get_running_loop().call_later
        later(AFTER_RESTART, lambda: asyncio.ensure_future(self.let_sleep(kernel_id)))

    async def end_all_of(self, person, why=SIGNED_OUT):
        """End every page of a person who signed out, or is out."""
        for kernel_id in [k for k, one in self.pages.items() if one.person == person]:
            await self.let_sleep(kernel_id, why)

    async def end_unseen(self):
        """End what nobody has looked at for a while, busy or not."""
        now = time.monotonic()
        for kernel_id, page in list(self.pages.items()):
            if page.lines:
                page.seen = now
            elif now - page.seen > UNSEEN:
                await self.let_sleep(kernel_id, UNSEEN_LONG)


class Pool:
    """Pythons begun beforehand, where none can be divided: the imports are done, nobody has one."""

    def __init__(self, kernels, size, **kwargs):
        self._kernels, self._size, self._kwargs = kernels, size, kwargs
        self._waiting = []

    def fill(self):
        """Begin as many as are missing."""
        while len(self._waiting) < self._size:
            kernel_id = str(uuid.uuid4())
            self._waiting.append((kernel_id, asyncio.ensure_future(self._begin(kernel_id))))

    async def take(self, variables):
        """Hand one out, for the person that it now belongs to; None where there is none ready."""
        for waiting in self._waiting:
            kernel_id, begun = waiting
            if begun.done():
                self._waiting.remove(waiting)
                asyncio.get_running_loop().call_later(2, self.fill)
                if begun.exception() is None and kernel_id in self._kernels:
                    await self._run(kernel_id, HANDING_OUT.format(changed=variables))
                    return kernel_id
        return None

    async def _begin(self, kernel_id):
        await self._kernels.begin_nobodys(kernel_id, **self._kwargs)
        await self._run(kernel_id, WARMING)

    async def _run(self, kernel_id, code):
        client = self._kernels.get_kernel(kernel_id).client()
        client.start_channels()
        try:
            await client.wait_for_ready(timeout=forking.PATIENCE)
            await client.execute_interactive(
                code, store_history=False, output_hook=lambda _: None, timeout=forking.PATIENCE
            )
        finally:
            client.stop_channels()


def variables(room, folder):
    """Return what says to a Python where answers lie, and whose they are."""
    return lambda person: {
        session.FOLDER_VARIABLE: str(folder),
        session.PERSON_VARIABLE: f"{room.word}-{person}",
    }


def transport():
    """Return how the server reaches a page's Python: files, where the system has such."""
    return "tcp" if sys.platform == "win32" else "ipc"
