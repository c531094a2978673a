"""The first import of every notebook."""

import subprocess
import sys

import pytest

from lessons import start


@pytest.mark.parametrize(
    ("folder", "module"),
    [("lessons", "lessons.widgets.live"), ("lessons/desk", "lessons.desk.desk")],
)
def test_root_is_within_reach_wherever_a_notebook_starts(folder, module, tmp_path):
    script = f"import sys; sys.path[0] = sys.argv[1]; import start, geokit, exercises, {module}"
    folder = str(start.ROOT / folder)
    subprocess.run([sys.executable, "-c", script, folder], cwd=tmp_path, check=True)


def test_a_missing_package_is_one_sentence_with_the_command():
    with pytest.raises(start.NotReadyError, match="lacks no_such_package: run the command") as lack:
        start.check(["numpy", "no_such_package"])
    assert str(start.ROOT / "requirements.txt") in str(lack.value)
    assert lack.value._render_traceback_() == [str(lack.value)]


def test_an_old_python_is_one_sentence(monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 9, 2, "final", 0))
    with pytest.raises(start.NotReadyError, match=r"needs Python 3\.11 or newer and this is 3\.9"):
        start.check()


def test_needed_packages_are_required():
    required = (start.ROOT / "requirements.txt").read_text(encoding="utf-8").lower()
    assert [name for name in start.NEEDED if f"{name.lower()}==" not in required] == []


def test_a_server_builds_no_grammars_while_the_trainee_waits():
    """Reading a notebook would cost a server more than all else that it begins with."""
    script = "import sys, lessons.server, nbformat; assert 'lark' not in sys.modules"
    subprocess.run([sys.executable, "-c", script], cwd=start.ROOT, check=True)
    with pytest.raises(subprocess.CalledProcessError):  # it does where nobody prevents it
        subprocess.run(
            [sys.executable, "-c", script.replace("lessons.server, ", "")],
            cwd=start.ROOT, check=True, stderr=subprocess.DEVNULL,
        )  # fmt: skip
