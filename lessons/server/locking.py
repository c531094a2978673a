"""
How a lesson stands in its file, and how it is opened to be edited.

In the file there are no outputs, so that nothing stale or huge is kept; code is folded away and no
cell is changed or deleted by a slip of the hand; and the kernel is the plain one, so that no
machine asks which to take.
"""

KERNEL = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}


def locked(notebook):
    """Return a notebook as it is saved and committed."""
    return {**notebook, "metadata": KERNEL, "cells": [_locked(cell) for cell in notebook["cells"]]}


def _locked(cell):
    metadata = {"deletable": False, "editable": False}
    if cell["cell_type"] != "code":
        return {**cell, "metadata": metadata}
    metadata["jupyter"] = {"source_hidden": True}
    return {**cell, "metadata": metadata, "outputs": [], "execution_count": None}


def unlocked(notebook):
    """Return a notebook whose cells can be changed and deleted, with the code in view."""
    return {**notebook, "cells": [{**cell, "metadata": {}} for cell in notebook["cells"]]}
