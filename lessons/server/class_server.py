"""The course for a class: voila's rendering of the notebooks behind a list of what is served."""

import asyncio
import contextlib
import os
import sys
import time
from collections import defaultdict

from tornado.httpserver import HTTPServer
from tornado.ioloop import IOLoop
from traitlets import Any
from traitlets.config import Config
from voila.app import Voila

from exercises.classroom import notices, presence
from lessons.server import forking, frames, handlers, kernels, signing_in
from lessons.start import ROOT

SWEEP = 1  # seconds between two looks at what the desk has written
POOL = 4  # Pythons kept ready where none can be divided
LARGEST_REQUEST = 64 * 1024  # bytes; the largest is a sign-in


class ClassServer(Voila):
    """
    Serves one class.

    Attributes
    ----------
    room : Class
    folder : Path
        The class folder.
    door : Door
    sockets : list
        Bound beforehand, so that a port that is taken is said at once.
    """

    room = Any()
    folder = Any()
    door = Any()
    sockets = Any()
    certificate = Any(None, allow_none=True)
    board = Any()
    begun = Any()
    fork = Any(forking.CAN_FORK)
    warm = Any(None, allow_none=True)
    _news = Any(None, allow_none=True)
    _written = Any(None, allow_none=True)

    def setup_template_dirs(self):
        """Put the class's page before that of voila, which asks two foreign hosts for letters."""
        super().setup_template_dirs()
        self.template_paths = [str(handlers.TEMPLATES), *self.template_paths]

    def init_settings(self):
        """Make everything that knows the class known to the handlers."""
        self.cookie_secret = signing_in.cookie_secret(self.room)
        settings = super().init_settings()
        self.identity_provider.door = self.door
        self.kernel_manager.variables = kernels.variables(self.room, self.folder)
        self.kernel_manager.warm = self.warm
        return {
            **settings,
            "door": self.door,
            "room": self.room,
            "board": self.board,
            "news": self.news,
            "default_handler_class": handlers.Nothing,
            "headers": handlers.HEADERS,
            "websocket_max_message_size": frames.LARGEST,
            "disable_check_xsrf": True,  # the cookie is never sent from another site's page
        }

    def init_handlers(self):
        """Serve what is listed, nothing of voila's own list."""
        return handlers.table(self)

    def listen(self):
        """Serve until stopped."""
        server = HTTPServer(
            self.app,
            ssl_options=self.certificate,
            max_body_size=LARGEST_REQUEST,
            idle_connection_timeout=120,
        )
        server.add_sockets(self.sockets)
        self._task = asyncio.get_event_loop().create_task(self._begin())
        self.ioloop = IOLoop.current()
        try:
            self.ioloop.start()
        finally:
            server.stop()
            self.stop()

    async def _begin(self):
        if self.warm and not await asyncio.to_thread(self.warm.ready):
            self.kernel_manager.warm = None
        if not self.kernel_manager.warm:
            self.kernel_manager.pool = kernels.Pool(
                self.kernel_manager, POOL, kernel_name="python3", path="",
                env={**os.environ, **forking.ALONE},
            )  # fmt: skip
            self.kernel_manager.pool.fill()
        self.begun()
        while True:
            await asyncio.sleep(SWEEP)
            try:
                await self._sweep()
            except Exception:  # the next one comes all the same
                self.log.exception("a look at the class went wrong")

    async def _sweep(self):
        """End the pages of whoever was signed out; carry news between the desk and the pages."""
        for person in self.door.put_out():
            await self.kernel_manager.end_all_of(person, kernels.UNLISTED)
        inside = set(self.door.sessions.people())
        for person in {page.person for page in self.kernel_manager.pages.values()} - inside:
            await self.kernel_manager.end_all_of(person)
        await self.kernel_manager.end_unseen()
        self._tell_pages()
        await self._tell_desk()

    def news(self):
        """Return what the trainer says to everybody, in the form that a page takes."""
        held = notices.read(self.folder)
        return {n: vars(held[n]) if n in held else None for n in (notices.MESSAGE, notices.LOOK)}

    def _tell_pages(self):
        news = self.news()
        if news != self._news:
            self._news = news
            for page in self.kernel_manager.pages.values():
                for line in page.lines:
                    line.word(**news)

    async def _tell_desk(self):
        now = self._presence()
        known = self._written
        if known and known.same(now) and 0 <= now.time - known.time < presence.EVERY:
            return
        self._written = now
        with contextlib.suppress(OSError):  # a full disk stops the desk's list, not the class
            await asyncio.to_thread(presence.write, self.folder, now)

    def _presence(self):
        running = defaultdict(list)
        for page in sorted(self.kernel_manager.pages.values(), key=lambda one: one.began):
            running[page.person].append(presence.Open(page.name, page.at, bool(page.lines)))
        people = tuple(
            presence.Inside(code, since, tuple(running[code]))
            for code, since in self.door.sessions.since().items()
        )
        return presence.Presence(time.time(), people, self.door.wrong)

    def stop(self):
        """End every page's Python."""
        with contextlib.suppress(OSError):
            super().stop()
        with contextlib.suppress(OSError):
            presence.take_away(self.folder)
        if self.warm:
            self.warm.stop()


def made(room, folder, door, sockets, **more):
    """Return a server of a class, ready to start."""
    server = ClassServer(
        room=room,
        folder=folder,
        door=door,
        sockets=sockets,
        config=_config(),
        config_file_paths=[],
        root_dir=str(ROOT / "lessons"),
        open_browser=False,
        **more,
    )
    server.initialize([])
    if server.fork:
        server.warm = forking.Warm()
    return server


def _config():
    """Return voila's settings: no overrides from an address, no sources, no code's errors."""
    config = Config()
    config.VoilaConfiguration = Config(
        allow_template_override="NO",
        allow_theme_override="NO",
        strip_sources=True,
        show_tracebacks=False,
        file_allowlist=[],
        extension_allowlist=list(handlers.EXTENSIONS),
        extra_labextensions_path=[str(ROOT / ".jupyter" / "labextensions")],
        http_keep_alive_timeout=20,
        prelaunch_hook=handlers.without_notes,
        multi_kernel_manager_class=kernels.Kernels,
    )
    config.Voila = Config(identity_provider_class=signing_in.Identity, token="class")
    if sys.platform == "darwin":  # a socket's path must be short there
        config.Voila.connection_dir_root = "/" + "tmp"
    config.KernelManager.transport = kernels.transport()
    config.MappingKernelManager.cull_idle_timeout = 0  # it goes by a clock that may be set
    config.MappingKernelManager.allow_tracebacks = False
    # Nothing that a page's Python says is dropped: the line bounds what nobody reads.
    config.ZMQChannelsWebsocketConnection.limit_rate = False
    config.Kernels.kernel_manager_class = "lessons.server.kernels.PageKernel"
    return config
