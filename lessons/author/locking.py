"""
How a lesson stands in its file, and how it is opened to be edited.

In the file there are no outputs, so that nothing stale or huge is kept; code is folded away and no
cell is changed or deleted by a slip of the hand; and the kernel is the plain one, so that no
machine asks which to take. One output stays, what a lesson is checked against: nbval compares it.
"""

COMPARED = "# NBVAL_CHECK_OUTPUT"  # nbval's mark of the cell whose output it compares

KERNEL = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}


def locked(notebook, stored=None):
    """
    Return a notebook as it is saved and committed.

    `stored` is how its file stands: from there comes the output that is compared, so that what a
    lesson printed on a bad day does not become the rule.
    """
    kept = {cell.get("id"): cell for cell in stored["cells"]} if stored else {}
    cells = [_locked(cell, kept.get(cell.get("id"), cell)) for cell in notebook["cells"]]
    return {**notebook, "metadata": KERNEL, "cells": cells}


def _locked(cell, stored):
    metadata = {"deletable": False, "editable": False}
    if cell["cell_type"] != "code":
        return {**cell, "metadata": metadata}
    metadata["jupyter"] = {"source_hidden": True}
    if is_compared(cell):  # without a number of execution nbval would not compare it
        outputs = stored.get("outputs", [])
        return {**cell, "metadata": metadata, "outputs": outputs, "execution_count": 1}
    return {**cell, "metadata": metadata, "outputs": [], "execution_count": None}


def is_compared(cell):
    """Return whether it is the cell whose output is committed."""
    return cell["cell_type"] == "code" and COMPARED in "".join(cell["source"])


def unlocked(notebook):
    """Return a notebook whose cells can be changed and deleted, with the code in view."""
    return {**notebook, "cells": [{**cell, "metadata": {}} for cell in notebook["cells"]]}
