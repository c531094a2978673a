"""
The first import of every notebook: it puts the course's own packages within reach.

Nothing of the course is installed. This file stands beside the notebooks, where every notebook
program starts them, and adds the folder above to the path. It has to run on a Python that is too
old or lacks the requirements, because saying so in one sentence is its other task.
"""

import importlib.util
import logging
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

# What requirements.txt brings and a lesson imports. Looked for, not imported: that takes a second.
NEEDED = (
    "numpy", "pyproj", "matplotlib", "ipywidgets", "jinja2", "filelock", "platformdirs",
)  # fmt: skip


class NotReadyError(ImportError):
    """The machine lacks something; a notebook shows the sentence alone, without a traceback."""

    def _render_traceback_(self):
        return [str(self)]


def check(needed=NEEDED):
    """Raise NotReadyError, in one sentence with its remedy, where the course cannot run."""
    if sys.version_info < (3, 11):  # noqa: UP036 - this is the file that says so
        have = "{}.{}".format(*sys.version_info)
        raise NotReadyError(
            f"The course needs Python 3.11 or newer and this is {have}: install a newer Python "
            "and set the course up again as its README.md says."
        )
    missing = [name for name in needed if importlib.util.find_spec(name) is None]
    if missing:
        raise NotReadyError(
            f"This Python lacks {', '.join(missing)}: run the command\n"
            f'    "{sys.executable}" -m pip install -r "{ROOT / "requirements.txt"}"\n'
            "and start again."
        )


def standing():
    """
    Return what a page is run for, in words: who is at it, their decimal sign, their site, whether
    the trainer's notes are shown.

    A page that is reloaded asks its Python, and is run again where the answer is another one.
    """
    from exercises.sheets import session  # noqa: PLC0415 - within reach once this module is read

    now = session.open()
    return repr((now.trainee, now.decimal, now.site, now.trainer))


check()
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))
# On its first use matplotlib announces that it builds a font cache.
logging.getLogger("matplotlib").setLevel(logging.ERROR)
