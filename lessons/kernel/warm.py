"""
A Python that has the course in memory and becomes the Python of a page by dividing itself.

Started by lessons/server/forking.py, which says on its standard input, one JSON line each, which
page to begin; it answers with the new process's number, and reports the end of each. A page begins
in a tenth of the time and shares what nobody changes. It ends when its input does, and its pages
end with it.

Only what is the same for everybody is in memory: no lesson has run, nobody is named.
"""

import contextlib
import gc
import importlib
import json
import os
import pkgutil
import select
import signal
import sys

LONGEST = 1 << 20
MOST_MEMORY = 1 << 30  # bytes of its own that a page may ask for; a whole lesson asks for a third


def main():
    """Take what is imported into memory, say so, then begin pages until the input ends."""
    _warm()
    _say(ready=os.getpid())
    wake, woken = os.pipe()
    os.set_blocking(woken, False)
    signal.set_wakeup_fd(woken)
    signal.signal(signal.SIGCHLD, lambda *_: None)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is the server's: it ends the input
    held = b""
    while True:
        ready, _, _ = select.select([0, wake], [], [])
        if wake in ready:
            os.read(wake, 4096)
            _tell_ended()
        if 0 in ready:
            more = os.read(0, 65536)
            held += more
            if not more or len(held) > LONGEST:
                return
            *lines, held = held.split(b"\n")
            for line in lines:
                _begin(json.loads(line), (wake, woken))


def _warm():
    """Import what a page imports, and read what it reads."""
    for name in ("lessons.kernel.page_python", "lessons.start"):
        importlib.import_module(name)
    import lessons  # noqa: PLC0415 - the course is within reach only now

    for room in ("canvas", "widgets", "figures", "computing", "course"):
        package = importlib.import_module(f"{lessons.__name__}.{room}")
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            importlib.import_module(module.name)
    _read()
    gc.collect()
    gc.freeze()  # so that a child's collections leave the shared memory shared


def _read():
    """Read and work out what every page draws with: gravity model, coast, colours, templates."""
    import geokit  # noqa: PLC0415
    from exercises.bank import syllabus  # noqa: PLC0415
    from lessons.canvas import palette  # noqa: PLC0415
    from lessons.figures.deflection import verticals  # noqa: PLC0415

    geokit.deflection.from_geoid(0.0, 0.0, geokit.geoid.EGM96, geokit.WGS84)
    geokit.coastline.rings()
    palette.nearest()
    verticals.TwoVerticals(1.0)  # letters, the world's map; thrown away, nobody's
    syllabus.page_of("")


def _begin(page, mine):
    child = os.fork()
    if child:
        _say(pid=child)
        return
    status = 1
    try:
        signal.set_wakeup_fd(-1)
        for name in ("SIGCHLD", "SIGINT"):
            signal.signal(getattr(signal, name), signal.SIG_DFL)
        os.setsid()
        for end in mine:
            os.close(end)
        with open(os.devnull, "r+b", buffering=0) as nothing:
            os.dup2(nothing.fileno(), 0)
        os.dup2(2, 1)  # what a page prints goes to the log, not into our answers
        _bound_memory()
        os.chdir(page["cwd"])
        os.environ.clear()
        os.environ.update(page["env"])
        _kernel(page["connection"])
        status = 0
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else 1
    except BaseException:  # nothing of the child may run on in the parent's loop
        sys.excepthook(*sys.exc_info())
    finally:
        with contextlib.suppress(Exception):
            sys.stderr.flush()
        os._exit(status)


def _bound_memory():
    """Let a page that is asked for far too much fail by itself, and not the computer."""
    with contextlib.suppress(ImportError, OSError, ValueError):  # no such system, or less already
        import resource  # noqa: PLC0415 - Linux and macOS

        resource.setrlimit(resource.RLIMIT_DATA, (MOST_MEMORY, MOST_MEMORY))


def _kernel(connection):
    from ipywidgets import register_comm_target  # noqa: PLC0415

    from lessons.kernel.page_python import PageApp  # noqa: PLC0415

    app = PageApp.instance()
    app.initialize(
        [
            *("-f", connection, f"--IPKernelApp.parent_handle={os.getppid()}"),
            "--HistoryManager.enabled=False",
        ]
    )
    register_comm_target()  # ipywidgets was imported before there was a kernel to register with
    app.start()


def _tell_ended():
    with contextlib.suppress(ChildProcessError):
        while True:
            pid, status = os.waitpid(-1, os.WNOHANG)
            if not pid:
                return
            _say(ended=pid, status=os.waitstatus_to_exitcode(status))


def _say(**words):
    os.write(1, json.dumps(words).encode("ascii") + b"\n")


if __name__ == "__main__":
    main()
