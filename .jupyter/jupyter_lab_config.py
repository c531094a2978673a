"""
JupyterLab made quiet, for the course alone. `python -m lessons` copies this folder to the user's
own and starts from the copy, because JupyterLab writes into its settings folder. With --edit it
lays editing/ over them: JupyterLab's own toolbar, menus and keys, for whoever writes lessons.
"""

import json
import os

from lessons.author.locking import locked

c = get_config()  # noqa: F821 - JupyterLab provides it


def without_outputs_and_locked(model, path, contents_manager, **_):
    """Lock a notebook and empty it before it is saved, so that a used lesson stays as it was."""
    if model["type"] == "notebook":
        model["content"] = locked(model["content"], stored(path, contents_manager))


def stored(path, contents_manager):
    """Return a notebook as its file stands, None where it is new or cannot be read."""
    try:
        with open(contents_manager._get_os_path(path), encoding="utf-8") as file:
            return json.load(file)
    except (OSError, ValueError):
        return None


c.FileContentsManager.pre_save_hook = without_outputs_and_locked
if "JUPYTER_DATA_DIR" in os.environ:
    # JupyterLab copies each notebook that is opened: not beside it, but to the user's folder.
    c.FileCheckpoints.checkpoint_dir = os.path.join(os.environ["JUPYTER_DATA_DIR"], "checkpoints")

# This machine alone, and nothing asked of the network.
c.ServerApp.ip = "127.0.0.1"
c.ServerApp.allow_root = True
c.ServerApp.open_browser = False
c.ServerApp.terminals_enabled = False
c.LanguageServerManager.autodetect = False
c.LabApp.extension_manager = "readonly"
c.LabApp.news_url = None
c.LabApp.custom_css = True
c.LabApp.extra_labextensions_path = [os.path.join(os.path.dirname(__file__), "labextensions")]
c.LabApp.default_url = "/doc/tree/lessons/00_start.ipynb"

# A lesson left an hour ago gives its memory back; one that is open on a screen never.
c.MappingKernelManager.cull_idle_timeout = 3600
c.MappingKernelManager.cull_interval = 300
