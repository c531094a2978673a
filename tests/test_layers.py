"""Data flow one way: geokit, exercises, lessons; and the lower two run without any display."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DISPLAY = {"IPython", "ipywidgets", "matplotlib"}
ABOVE = {"geokit": {"exercises", "lessons"}, "exercises": {"lessons"}}
# Beside the marking desk, all of exercises that shows widgets.
SHOWS = {"exercises/answer_box.py", "exercises/widget_parts.py"}


def sources(package):
    """Modules of a package with their paths from the root; what pytest alone reads is no part."""
    found = sorted((ROOT / package).rglob("*.py"))
    assert found, f"{package} has no modules to look at"
    return [file for file in found if file.name != "conftest.py"]


def imported(file):
    """Names of the top-level packages that a file imports anywhere in it."""
    names = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"{file}: line {node.lineno}: write imports from the root"
            names.add((node.module or "").partition(".")[0])
    return names


def may_show(file):
    return file.relative_to(ROOT).as_posix() in SHOWS or "desk" in file.stem


@pytest.mark.parametrize("package", ABOVE)
def test_nothing_imports_upward(package):
    upward = {
        f"{file.relative_to(ROOT)} imports {name}"
        for file in sources(package)
        for name in imported(file) & ABOVE[package]
    }
    assert not upward, f"{sorted(upward)}: move what is shared down into {package}"


def test_geokit_needs_numpy_and_pyproj_only():
    allowed = sys.stdlib_module_names | {"geokit", "numpy", "pyproj"}
    others = {
        f"{file.relative_to(ROOT)} imports {name}"
        for file in sources("geokit")
        for name in imported(file) - allowed
    }
    assert not others, f"{sorted(others)}: geokit computes with numpy and pyproj alone"


def test_only_the_answer_box_and_the_desk_show():
    shows = {
        f"{file.relative_to(ROOT)} imports {name}"
        for file in sources("exercises")
        if not may_show(file)
        for name in imported(file) & DISPLAY
    }
    assert not shows, f"{sorted(shows)}: widgets belong into exercises/answer_box.py or the desk"


@pytest.mark.parametrize("package", ABOVE)
def test_imports_with_every_display_blocked(package):
    modules = [
        ".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for file in sources(package)
        if not may_show(file) and file.stem != "__main__" and "data" not in file.parts
    ]
    program = (
        "import importlib, sys\n"
        f"for name in {sorted(DISPLAY)!r}: sys.modules[name] = None\n"  # import raises then
        f"for name in {modules!r}: importlib.import_module(name)\n"
        f"shown = [name for name in {sorted(DISPLAY)!r} if sys.modules[name] is not None]\n"
        "sys.exit(f'imported {shown}' if shown else 0)\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr


def test_this_test_can_fail(tmp_path):
    bad = tmp_path / "bad.py"
    bad.write_text("def late():\n    from lessons.figures import pen\n", encoding="utf-8")
    assert imported(bad) & ABOVE["exercises"] == {"lessons"}
    blocked = "import sys; sys.modules['matplotlib'] = None; import matplotlib"
    assert subprocess.run([sys.executable, "-c", blocked], stderr=-3, check=False).returncode
