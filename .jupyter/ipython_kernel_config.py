"""
How a lesson's Python begins: it takes in what every lesson imports while JupyterLab still builds
the page. Not ipywidgets, which must find the kernel there already.
"""

import contextlib
import importlib

c = get_config()  # noqa: F821 - IPython provides it
c.HistoryManager.enabled = False  # code that ran in a lesson is nobody's history

for name in ("numpy", "pyproj", "jinja2", "filelock", "PIL.Image", "matplotlib.figure"):
    with contextlib.suppress(ImportError):  # the lesson says what is missing
        importlib.import_module(name)
