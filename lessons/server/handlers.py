"""The pages and lines of a class's server: what is in these lists is served, all else is not."""

import re
from pathlib import Path

import tornado.web
from jupyter_server.base.handlers import FileFindHandler
from jupyterlab_server.themes_handler import ThemesHandler
from tornado.web import HTTPError
from voila.static_file_handler import MultiStaticFileHandler, TemplateStaticFileHandler
from voila.tornado.handler import TornadoVoilaHandler

from exercises.pages import pages
from lessons.server import kernels, signing_in
from lessons.server.line import Line, from_elsewhere
from lessons.start import ROOT

LESSONS = ROOT / "lessons"
START = "00_start"
TEMPLATES = Path(__file__).with_name("templates")
SERVED = {  # what a page of the class loads beside the notebook program's own files
    **{path.name: path for path in (ROOT / ".jupyter" / "custom").glob("*.css")},
    **{path.name: path for path in Path(__file__).with_name("served").iterdir()},
}
NAMES = frozenset(path.stem for path in LESSONS.glob("*.ipynb"))
NOTES = re.compile(r"<details><summary>Trainer's notes.*?</details>\n*", re.DOTALL)
KERNEL = r"(?P<kernel_id>[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})"
# What a page does by itself, in a class too.
OURS = ("geodesy-opening", "geodesy-press", "geodesy-page", "geodesy-names", "geodesy-grips",
        "geodesy-contents", "geodesy-paper")  # fmt: skip
EXTENSIONS = (*OURS, "@voila-dashboards/widgets-manager8", "@jupyter-widgets/jupyterlab-manager")
FILE = r"([\w@][\w@.-]*)"
STRICT = "default-src 'none'; style-src 'self'; img-src 'self' data:; form-action 'self'; "
STRICT += "frame-ancestors 'none'; base-uri 'none'"
LESSON = (  # the widgets' programs write styles and build functions; nothing comes from elsewhere
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'self'; "
    "object-src 'none'"
)
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Server": "",
}


def page(name, **view):
    """Return a page of the server's own templates."""
    template = pages.environment(TEMPLATES).get_template(name)
    return template.render(made=pages.today(), training=pages.TRAINING, **view)


def without_notes(handler, notebook, cwd):
    """Return a notebook without the trainer's notes: in a class they are on nobody's page."""
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            cell.source = NOTES.sub("", cell.source)
    return notebook


class Plain(tornado.web.RequestHandler):
    """A page of the server's own, without any script."""

    def set_default_headers(self):
        """Say what such a page may load: its style."""
        for name, value in {**HEADERS, "Content-Security-Policy": STRICT}.items():
            self.set_header(name, value)
        self.set_header("Cache-Control", "no-store")

    def write_error(self, status_code, **kwargs):
        """Say it in one sentence."""
        self.finish(page("nothing.html", status=status_code))

    @property
    def door(self):
        """Return who lets people in."""
        return self.settings["door"]

    @property
    def word(self):
        """Return the word of the session in the cookie, "" where there is none."""
        return signing_in.word_of(self)


class Nothing(Plain):
    """All that is not served."""

    def prepare(self):
        """Say so."""
        raise HTTPError(404)


class First(Plain):
    """The address on the slip."""

    def get(self):
        """Lead to the start page; it asks for code and phrase where nobody is in."""
        self.redirect(f"/{START}.ipynb")


class SignIn(Plain):
    """Asks for code and phrase."""

    def get(self):
        """Ask."""
        self._ask()

    async def post(self):
        """Let in, or say what was wrong."""
        if from_elsewhere(self.request):
            raise HTTPError(403)
        try:
            await signing_in.let_in(self, self.door)
        except ValueError as error:
            self.set_status(503 if isinstance(error, signing_in.ShutError) else 403)
            self._ask(str(error), self.get_body_argument("code", "")[:40])
            return
        self.redirect(f"/{self._next()}.ipynb", status=303)

    def _next(self):
        """Return the page that was asked for: one of ours, whatever the address says."""
        wanted = self.get_argument("next", START)
        return wanted if wanted in NAMES else START

    def _ask(self, wrong="", code=""):
        title = self.settings["room"].title
        self.finish(page("sign_in.html", title=title, wrong=wrong, code=code, next=self._next()))


class SignOut(Plain):
    """Ends a session on the server."""

    async def post(self):
        """End it, and every page of its person that runs."""
        if from_elsewhere(self.request):
            raise HTTPError(403)
        code = self.door.sessions.code(self.word)
        self.door.sessions.end(self.word)
        self.clear_cookie(signing_in.COOKIE, path="/", httponly=True, samesite="Strict")
        if code and code not in self.door.sessions.people():
            await self.settings["kernel_manager"].end_all_of(code)
        self.redirect("/sign-in", status=303)


class NoIcon(Plain):
    """What every browser asks for unasked."""

    def get(self):
        """Have none."""
        self.set_status(204)


class Board(Plain):
    """The address in large type, for the projector. It names nobody."""

    def get(self):
        """Show it."""
        self.finish(page("board.html", **self.settings["board"]()))


class CourseFile(tornado.web.StaticFileHandler):
    """One of the listed files."""

    def initialize(self):
        """Stand on the list instead of a folder."""
        super().initialize(path=str(ROOT))

    def set_default_headers(self):
        """Let the browser take nothing for a program that is none."""
        for name, value in HEADERS.items():
            self.set_header(name, value)

    def set_extra_headers(self, path):
        """Let a browser ask whether the file is still the same: a course may be corrected."""
        self.set_header("Cache-Control", "no-cache")

    @classmethod
    def get_absolute_path(cls, root, path):
        """Return where a listed file lies."""
        return str(SERVED.get(path, ROOT / "no such file"))

    def validate_absolute_path(self, root, absolute_path):
        """Refuse whatever is not on the list."""
        if Path(absolute_path) not in SERVED.values():
            raise HTTPError(404)
        return absolute_path

    def write_error(self, status_code, **kwargs):
        """Say nothing more."""
        self.finish()


class Lesson(TornadoVoilaHandler):
    """A page of the course, run for whoever asks."""

    async def prepare(self):
        """Ask for code and phrase where nobody is in."""
        self.name = self.path_args[0] if self.path_args else ""
        if self.name not in NAMES:
            raise HTTPError(404)
        user = self.identity_provider.get_user(self)
        self.current_user = self._jupyter_current_user = user
        if user is None:
            self.redirect(f"/sign-in?next={self.name}")

    async def get(self, name):
        """Run the page and send it as it is made."""
        kernels.OPENING.set((self.current_user.username, name))
        async for html in self.get_generator(path=f"{name}.ipynb"):
            self.write(html)
            await self.flush()

    @property
    def content_security_policy(self):
        """Return what a lesson may load: nothing from elsewhere."""
        return LESSON

    def write_error(self, status_code, **kwargs):
        """Say it in one sentence."""
        self.set_header("Content-Type", "text/html; charset=UTF-8")
        self.finish(page("nothing.html", status=status_code))


class Kernel(Plain):
    """What a page asks about its own Python."""

    async def get(self, kernel_id):
        """Return whether it runs: a page asks when its line was cut."""
        self._own(kernel_id)
        model = self.settings["kernel_manager"].kernel_model(kernel_id)
        answer = {name: model[name] for name in ("id", "name", "execution_state", "connections")}
        self.finish({**answer, "last_activity": str(model["last_activity"])})

    def _own(self, kernel_id):
        code = self.door.sessions.code(self.word)
        if not code:
            raise HTTPError(403)
        if kernel_id not in self.settings["kernel_manager"].pages:
            raise HTTPError(404)
        self.settings["kernel_manager"].page_of(kernel_id, code)


class Leaving(Kernel):
    """A page that is closed says so: its Python is no longer needed."""

    async def post(self, kernel_id):
        """End it."""
        if from_elsewhere(self.request):
            raise HTTPError(403)
        self._own(kernel_id)
        await self.settings["kernel_manager"].let_sleep(kernel_id)
        self.set_status(204)


class Extension(FileFindHandler):
    """Files of the widgets' program, and of page.js."""

    async def prepare(self):
        """Serve them to everybody: they are part of the program."""
        self.current_user = self._jupyter_current_user = None

    def write_error(self, status_code, **kwargs):
        """Say nothing more."""
        self.finish()


class Theme(ThemesHandler):
    """The light theme of the notebook program."""

    def write_error(self, status_code, **kwargs):
        """Say nothing more."""
        self.finish()


def table(server):
    """Return what is served, as tornado lists it."""
    static = {"paths": server.static_paths}
    extensions = {"path": server.labextensions_path, "no_cache_paths": ["/"]}
    theme = {
        "themes_url": "/voila/api/themes",
        "path": server.themes_dir,
        "labextensions_path": server.labextensions_path,
        "no_cache_paths": [],
    }
    lesson = {
        "template_paths": server.template_paths,
        "config": server.config,
        "voila_configuration": server.voila_configuration,
    }
    return [
        (r"/", First),
        (r"/sign-in", SignIn),
        (r"/sign-out", SignOut),
        (r"/board", Board),
        (r"/favicon\.ico", NoIcon),
        (rf"/course/{FILE}", CourseFile),
        (r"/(\w+)\.ipynb", Lesson, lesson),
        (rf"/api/kernels/{KERNEL}", Kernel),
        (rf"/api/kernels/{KERNEL}/channels", Line),
        (rf"/voila/api/shutdown/{KERNEL}", Leaving),
        (r"/voila/templates/(lab/static/[\w@][\w@.-]*)", TemplateStaticFileHandler),
        (rf"/voila/static/{FILE}", MultiStaticFileHandler, static),
        (r"/voila/api/themes/(@jupyterlab/theme-light-extension/[\w./-]+)", Theme, theme),
        (
            rf"/voila/labextensions/((?:{'|'.join(EXTENSIONS)})/[\w@./-]+)",
            Extension,
            extensions,
        ),
    ]
