"""
Opens the course: JupyterLab for this machine alone, made quiet, its messages kept in a log file.

All that JupyterLab writes goes to a folder of the user's own, one for each copy of the course. So
the course runs from a folder that cannot be written, and a second start finds the first.
"""

import contextlib
import hashlib
import json
import os
import secrets
import shutil
import sys
import tempfile
import threading
import traceback
import urllib.request
import webbrowser
from pathlib import Path
from urllib.parse import urlencode

from filelock import FileLock, Timeout
from jupyter_core.paths import jupyter_data_dir
from tornado.netutil import bind_sockets

from lessons.server.stopping import Stopping
from lessons.start import ROOT

SETTINGS = ROOT / ".jupyter"
PYTHON = "ipython_kernel_config.py"
# For an author: JupyterLab whole, its lessons unlocked, and without the page.js of the quiet page.
EDITING = [
    "--LabApp.default_url=/lab/tree/lessons/00_start.ipynb",
    "--LabApp.extra_labextensions_path=[]",
    "--ServerApp.contents_manager_class=lessons.author.editing.UnlockedLessons",
]


def main(options):
    """Serve the course until Ctrl+C, or open the page of the one that runs already."""
    terminal = sys.stdout
    terminal.reconfigure(encoding="utf-8", errors="replace")
    folder = user_folder(options.edit)
    log = folder / "log.txt"
    point_jupyter_at(folder)
    stopping = Stopping()
    try:
        stopping.listen()
        starting = _one_start_at_a_time(folder)
        address = _running(folder / "runtime", options)
        if address:
            say(terminal, f"The course is already running, in another window, at\n    {address}")
            _open(address, options)
            return 0
        say(terminal, "Starting the course, a few seconds …")
        _settle(folder / "config", options.edit)
        _settle_pythons(folder / "config", folder / "ipython")
        terminal = silence(log)
        server = _server(options)
        address = _page(server.connection_url, server.identity_provider.token, options)
        # Queued behind the server's own opening of its port: an address that is shown answers.
        server.io_loop.add_callback(say, terminal, _welcome(address, log, options))
        server.io_loop.add_callback(starting.release)
        server.io_loop.add_callback(_open, address, options)
        stopping.serve(
            server.io_loop, server.start, server.stop, lambda words: say(terminal, words)
        )
    except KeyboardInterrupt:
        pass
    except (Exception, SystemExit) as reason:
        with open(log, "a", encoding="utf-8", opener=private) as file:
            traceback.print_exc(file=file)
        say(terminal, f"The course did not start: {reason}\nWhat happened is written in {log}")
        return 1
    say(terminal, "The course has stopped.")
    return 0


def user_folder(edit=False):
    """
    Where JupyterLab may write: among the user's own data, else in a temporary folder.

    An author's has a folder beside it, so that both can run, and neither finds the other.
    """
    course = hashlib.sha256(str(ROOT).encode("utf-8")).hexdigest()[:12]
    folder = Path(jupyter_data_dir()) / "geodesy-course" / (f"{course}-edit" if edit else course)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with contextlib.suppress(OSError):  # a disk without such rights, as many sticks
            folder.chmod(0o700)
        with tempfile.TemporaryFile(dir=folder):
            return folder
    except OSError:
        return Path(tempfile.mkdtemp(prefix="geodesy-course-"))


def point_jupyter_at(folder):
    """
    Lead JupyterLab and its kernels to the course's settings, and away from the user's own.

    Another kernel called python3, or a half-removed extension, would otherwise reach the lessons.
    """
    os.environ.update(
        JUPYTER_CONFIG_DIR=str(folder / "config"),
        JUPYTER_DATA_DIR=str(folder / "data"),
        JUPYTER_RUNTIME_DIR=str(folder / "runtime"),
        JUPYTERLAB_SETTINGS_DIR=str(folder / "config" / "lab" / "user-settings"),
        JUPYTERLAB_WORKSPACES_DIR=str(folder / "config" / "lab" / "workspaces"),
        IPYTHONDIR=str(folder / "ipython"),
    )
    for name in ("JUPYTER_PATH", "JUPYTER_CONFIG_PATH", "JUPYTERLAB_DIR"):
        os.environ.pop(name, None)


def _one_start_at_a_time(folder):
    """Wait until a start made a moment ago can be found; not for ever, should it hang."""
    starting = FileLock(folder / "starting.lock", thread_local=False)
    with contextlib.suppress(Timeout):
        starting.acquire(timeout=30)
    return starting


def _running(runtime, options):
    """The first page's address if this copy of the course is being served and answers."""
    from jupyter_server.serverapp import list_running_servers  # noqa: PLC0415 - after the environment is set

    # A class network's proxy must not be asked for this machine's own address.
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    for server in list_running_servers(str(runtime)):
        query = urlencode({"token": server["token"]})
        try:
            with direct.open(f"{server['url']}api/status?{query}", timeout=3):
                return _page(server["url"], server["token"], options)
        except OSError:
            continue
    return None


def _page(url, token, options):
    """The address that lets a browser in; where no page is named the server leads to the first."""
    view = "lab" if options.edit else "doc"
    path = f"{view}/tree/{options.page}" if options.page else ""
    return f"{url}{path}?{urlencode({'token': token})}"


def _settle(config, edit):
    """Lay the course's settings out afresh, with JupyterLab's own keys off but for an author."""
    if not SETTINGS.is_dir():
        raise FileNotFoundError(
            "the folder .jupyter is missing; copy the course again, hidden files included"
        )
    shutil.rmtree(config, ignore_errors=True)
    _copy(SETTINGS, config)
    if edit:
        _copy(SETTINGS / "editing", config)
    else:
        _switch_keys_off(config)


def _settle_pythons(config, ipython):
    """Lay out how a lesson's Python begins, where it looks for that."""
    profile = ipython / "profile_default"
    profile.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(config / PYTHON, profile / PYTHON)


def _copy(source, target):
    """Copy a folder's files over what is there, and not their rights: a stick's are read-only."""
    for file in (path for path in source.rglob("*") if path.is_file()):
        copy = target / file.relative_to(source)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(file.read_bytes())


def _switch_keys_off(config):
    overrides = config / "labconfig" / "default_setting_overrides.json"
    settings = json.loads(overrides.read_text(encoding="utf-8"))
    settings["@jupyterlab/shortcuts-extension:shortcuts"]["shortcuts"] += _switched_off()
    overrides.write_text(json.dumps(settings), encoding="utf-8")


def _switched_off():
    """JupyterLab's shortcuts, disabled: a letter typed beside an answer box must not cut a cell."""
    from jupyterlab.commands import get_app_dir  # noqa: PLC0415 - after the environment is set

    return [
        {**shortcut, "disabled": True}
        for schema in sorted(Path(get_app_dir(), "schemas").rglob("*.json"))
        for shortcut in json.loads(schema.read_text(encoding="utf-8")).get(
            "jupyter.lab.shortcuts", []
        )
    ]


def silence(log):
    """Send what the server and its kernels print to a file; return the terminal for our words."""
    terminal = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8", errors="replace")
    sys.stdout.flush()
    sys.stderr.flush()
    with open(log, "w", encoding="utf-8", opener=private) as file:
        with contextlib.suppress(OSError):  # left by an earlier edition, or on such a disk
            log.chmod(0o600)
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
    return terminal


def private(path, flags):
    """Open a file that its owner alone may read, where the system has such rights."""
    return os.open(path, flags, 0o600)


def _server(options):
    from jupyter_server.serverapp import ServerApp  # noqa: PLC0415 - after the environment is set
    from jupyterlab.labapp import LabApp  # noqa: PLC0415 - after the environment is set

    ServerApp.init_signal = lambda self: None  # `Stopping` has them; this would ask in the log
    keep_the_port(ServerApp)
    # Whatever else is installed for servers would begin with this one, while the trainee waits.
    LabApp.serverapp_config = {
        **LabApp.serverapp_config,
        "jpserver_extensions": {"jupyter_lsp": True},  # its page asks for it
    }
    # A token that the server makes itself it writes into its log; one that it is given never.
    own = [f"--IdentityProvider.token={secrets.token_hex(24)}"]
    return LabApp.initialize_server(
        own + (EDITING if options.edit else []), root_dir=str(ROOT), port=options.port
    )


def keep_the_port(application):
    """
    Have a server keep the first free port that it finds, from its own on.

    By itself it looks, lets go, and opens the port a second later: another may have it by then.
    """
    kept = []

    def find(server):
        for port in range(server.port, server.port + server.port_retries + 1):
            try:
                kept[:] = bind_sockets(port, server.ip)
            except OSError as error:
                reason = error
            else:
                server.port = kept[0].getsockname()[1]
                return
        raise OSError(f"no port from {server.port} on can be used: {reason.strerror or reason}")

    def serve(server):
        server.http_server.add_sockets(kept)
        return True

    application._find_http_port, application._bind_http_server_tcp = find, serve


def _welcome(address, log, options):
    if options.no_browser:
        first = "The course is running. Open this address in a browser:"
    else:
        first = "The course opens in your browser. If it does not, copy this address into one:"
    if options.edit:
        first = first.replace("The course", "The course, its lessons unlocked,")
    return (
        f"{first}\n    {address}\n\n"
        "Leave this window open while you work; to stop, press Ctrl+C in it.\n"
        f"Messages for whoever maintains the course are kept in {log}"
    )


def _open(address, options):
    """Show the page; in a thread, because some browsers return only when they are closed."""
    if not options.no_browser:
        threading.Thread(target=webbrowser.open, args=[address], daemon=True).start()


def say(terminal, words):
    """Say something in the window the course was started from."""
    with contextlib.suppress(OSError):  # a window that was closed takes no more words
        print(words, file=terminal, flush=True)
