"""
Data flow one way: geokit, exercises, lessons; and in each of the two upper packages from room to
room. The lower two packages run without any display.
"""

import ast
import re
import subprocess
import sys
from functools import cache
from graphlib import CycleError, TopologicalSorter
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("geokit", "exercises", "lessons")  # each builds on those before it
DISPLAY = {"IPython", "ipywidgets", "matplotlib"}
ROOMS = {  # each builds on those before it; what stands beside the rooms has a line of its own
    "exercises": (
        *("question", "bank", "sheets", "pages", "classroom", "trainee", "trainer", "paper"),
        *("audit", "instructor", "records", "register", "commands", "__main__"),
    ),
    "lessons": (
        *("start", "canvas", "widgets", "figures", "checked", "computing", "course", "desk"),
        *("author", "kernel", "server", "__main__"),
    ),
}
FACE = "exercises"  # for those who stand outside
MOST_MODULES = 12
ADAPTER = {"matplotlib": "lessons.canvas.matplotlib_adapter"}  # the one module that takes from it
ONE_FILE_EACH = {"exercises/bank", "exercises/commands"}  # a topic, a command


# What is there, and what it imports ------------------------------------------------------


def sources(package, root=ROOT):
    """Modules of a package with their paths from the root; what pytest alone reads is no part."""
    found = sorted((root / package).rglob("*.py"))
    assert found, f"{package} has no modules to look at"
    return [file for file in found if file.name != "conftest.py" and file.name[:5] != "test_"]


def name_of(file, root=ROOT):
    """Return a file's dotted name; that of a face is its package's."""
    return ".".join(file.relative_to(root).with_suffix("").parts).removesuffix(".__init__")


def modules(root=ROOT):
    """Return {dotted name: file} of all three packages."""
    return {name_of(file, root): file for package in PACKAGES for file in sources(package, root)}


def imported(file):
    """
    Return what a file imports anywhere in it, as (module, name or "").

    What is imported for the types alone is imported: whoever reads must know both modules.
    """
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {(alias.name, "") for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"{file}: line {node.lineno}: write imports from the root"
            found |= {(node.module, alias.name) for alias in node.names}
    return found


def tops(file):
    """Names of the top-level packages that a file imports anywhere in it."""
    return {module.partition(".")[0] for module, _ in imported(file)}


def graph(root=ROOT):
    """
    Return {module: the course's modules that it imports}, faces among them.

    Importing a module runs the faces of the packages that it stands in, too. They are counted
    but where the importing module stands in that package itself: then the face is running already.
    """
    known = modules(root)
    edges = {}
    for name, file in known.items():
        found = set()
        for module, wanted in imported(file):
            target = f"{module}.{wanted}" if f"{module}.{wanted}" in known else module
            if target in known:
                found |= {target, *faces(target, of=name, known=known)}
        edges[name] = found
    return edges


def faces(target, of, known):
    """Return the faces that an import of `target` runs and that are not running already."""
    parts = target.split(".")
    above = [".".join(parts[:i]) for i in range(1, len(parts))]
    return [face for face in above if face in known and not f"{of}.".startswith(f"{face}.")]


def room_of(module):
    """Return (package, room); of a package's face the room is empty."""
    package, _, rest = module.partition(".")
    return package, rest.partition(".")[0]


# What is wrong ---------------------------------------------------------------------------


def upward(edges):
    """Return the imports of a package from one above it."""
    level = {package: i for i, package in enumerate(PACKAGES)}
    return sorted(
        f"{module} imports {target}"
        for module, targets in edges.items()
        for target in targets
        if level[room_of(target)[0]] > level[room_of(module)[0]]
    )


def into_later_rooms(edges):
    """Return the imports of a room from one that is not before it."""
    found = []
    for module, targets in edges.items():
        package, room = room_of(module)
        if not room:
            continue  # the face takes from any room; nobody within takes from it
        for target in targets:
            beside, other = room_of(target)
            if beside == package and package in ROOMS:
                order = ("", *ROOMS[package])
                if order.index(other) > order.index(room):
                    found.append(f"{module} imports {target}")
    return sorted(found)


def circle(edges):
    """Return the modules of one import circle, or nothing."""
    try:
        TopologicalSorter(edges).prepare()
    except CycleError as error:
        return error.args[1]
    return []


def through_the_face(edges):
    """Return the modules of exercises that import from its face."""
    return sorted(
        module
        for module, targets in edges.items()
        if module.startswith(f"{FACE}.") and FACE in targets
    )


def crowded(root=ROOT):
    """Return the folders that hold more modules than somebody new reads through."""
    counts = {}
    for package in PACKAGES[1:]:
        for file in sources(package, root):
            if file.name != "__init__.py":
                folder = file.parent.relative_to(root).as_posix()
                counts[folder] = counts.get(folder, 0) + 1
    return sorted(f for f, n in counts.items() if n > MOST_MODULES and f not in ONE_FILE_EACH)


def past_its_adapter(root=ROOT):
    """Return the imports of a package that one module alone may import, by another."""
    return sorted(
        f"{name} imports {package}"
        for name, file in modules(root).items()
        for package in tops(file) & set(ADAPTER)
        if name != ADAPTER[package]
    )


@cache
def required():
    """Return the packages of requirements.txt, and those that have no comment what they are for."""
    lines = (ROOT / "requirements.txt").read_text(encoding="utf-8").splitlines()
    found, bare = set(), []
    for line in lines:
        requirement, _, why = line.partition("#")
        if requirement.strip():
            found.add(plain(requirement.partition("==")[0]))
            if not why.strip():
                bare.append(requirement.strip())
    return found, bare


def plain(name):
    """Return a package's name as packages are compared: Jinja2, jinja2; jupyter_core, -core."""
    return re.sub(r"[-_.]+", "-", name.strip()).lower()


def not_required(root=ROOT):
    """Return the imports of packages that requirements.txt does not name."""
    known = sys.stdlib_module_names | set(PACKAGES)
    distributions = packages_distributions()
    return sorted(
        f"{name} imports {package}"
        for name, file in modules(root).items()
        for package in tops(file) - known
        if not {plain(each) for each in distributions.get(package, [package])} & required()[0]
    )


def outside(package):
    """Return the packages' rooms and modules that stand in no written order."""
    names = {room_of(name)[1] for name in modules() if room_of(name)[0] == package}
    return names - {"", *ROOMS[package]}


# The tests ------------------------------------------------------------------------------


def test_nothing_imports_upward():
    found = upward(graph())
    assert not found, f"{found}: move what is shared down"


@pytest.mark.parametrize("package", ROOMS)
def test_every_room_stands_in_the_order(package):
    assert not outside(package), f"{outside(package)}: move it into a room, or order a new one"
    rooms = [(ROOT / package / room) for room in ROOMS[package]]
    missing = [str(room) for room in rooms if room.is_dir() and not (room / "__init__.py").exists()]
    gone = [str(room) for room in rooms if not (room.is_dir() or room.with_suffix(".py").exists())]
    assert not missing + gone


def test_each_room_imports_only_rooms_before_it():
    found = into_later_rooms(graph())
    assert not found, f"{found}: move what both need into the earlier room"


def test_no_modules_import_each_other_in_a_circle():
    found = circle(graph())
    assert not found, f"{' → '.join(found)}: move what both need into a third module"


def test_nothing_in_exercises_imports_from_its_face():
    found = through_the_face(graph())
    assert not found, f"{found}: import from the room, `from exercises.bank import BANK`"


def test_no_room_is_crowded():
    assert not crowded(), f"{crowded()}: at most {MOST_MODULES} modules; divide the room"


def test_geokit_needs_numpy_and_pyproj_only():
    allowed = sys.stdlib_module_names | {"geokit", "numpy", "pyproj"}
    others = {
        f"{file.relative_to(ROOT)} imports {name}"
        for file in sources("geokit")
        for name in tops(file) - allowed
    }
    assert not others, f"{sorted(others)}: geokit computes with numpy and pyproj alone"


def test_what_is_imported_stands_in_the_requirements():
    assert not not_required(), f"{not_required()}: pin it in requirements.txt, or do without it"
    assert not required()[1], f"{required()[1]}: say in a comment what it is for"


def test_one_module_alone_takes_from_matplotlib():
    found = past_its_adapter()
    assert not found, f"{found}: take it through {ADAPTER}"


def test_exercises_shows_nothing():
    shows = {
        f"{file.relative_to(ROOT)} imports {name}"
        for file in sources("exercises")
        for name in tops(file) & DISPLAY
    }
    assert not shows, f"{sorted(shows)}: widgets belong into lessons"


@pytest.mark.parametrize("package", PACKAGES[:2])
def test_imports_with_every_display_blocked(package):
    names = [
        name_of(file)
        for file in sources(package)
        if file.stem != "__main__" and "data" not in file.parts
    ]
    program = (
        "import importlib, sys\n"
        f"for name in {sorted(DISPLAY)!r}: sys.modules[name] = None\n"  # import raises then
        f"for name in {names!r}: importlib.import_module(name)\n"
        f"shown = [name for name in {sorted(DISPLAY)!r} if sys.modules[name] is not None]\n"
        "sys.exit(f'imported {shown}' if shown else 0)\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr


# That they can fail ----------------------------------------------------------------------


@pytest.fixture
def course(tmp_path):
    """Return how a small course is written and its import graph read."""
    for package in PACKAGES:
        (tmp_path / package).mkdir()
        (tmp_path / package / "__init__.py").write_text("", encoding="utf-8")

    def written(**files):
        for name, text in files.items():
            file = tmp_path / f"{name.replace('__', '/')}.py".replace("/init.py", "/__init__.py")
            file.parent.mkdir(exist_ok=True, parents=True)
            file.write_text(text, encoding="utf-8")
        return graph(tmp_path)

    return written


def test_an_import_upward_is_seen_within_a_function(course):
    edges = course(
        exercises__bank__a="def late():\n    from lessons.canvas import pen\n",
        lessons__canvas__pen="",
    )
    assert "exercises.bank.a imports lessons.canvas.pen" in upward(edges)
    assert not upward(course(exercises__bank__a=""))


def test_a_later_room_is_seen(course):
    edges = course(
        exercises__sheets__report="from exercises.trainer import room\n",
        exercises__trainer__room="from exercises.sheets import sheet\n",
        exercises__sheets__sheet="",
    )
    assert into_later_rooms(edges) == ["exercises.sheets.report imports exercises.trainer.room"]


@pytest.mark.parametrize(
    "back",
    [
        "from exercises.desk import a\n",
        "import exercises.desk.a\n",
        "def late():\n    from exercises.desk.a import A\n",
        "if TYPE_CHECKING:\n    from exercises.desk.a import A\n",
    ],
)
def test_a_circle_is_seen(course, back):
    one = "from exercises.desk.b import B\n"
    assert not circle(course(exercises__desk__a=one, exercises__desk__b=""))
    assert circle(course(exercises__desk__a=one, exercises__desk__b=back))


def test_a_circle_through_a_face_is_seen(course):
    face = "from exercises.bank.topic import T\n"
    edges = course(exercises__bank__init=face, exercises__bank__topic="")
    assert not circle(edges)
    edges = course(exercises__bank__topic="from exercises.bank import BANK\n")
    assert circle(edges)
    edges = course(
        exercises__bank__topic="from exercises.sheets import sheet\n",
        exercises__sheets__sheet="from exercises.bank.other import O\n",
        exercises__bank__other="",
    )
    assert circle(edges), "importing a module of the bank runs the bank's face"


def test_an_import_from_the_face_is_seen(course):
    edges = course(exercises__init="", exercises__bank__a="from exercises import BANK\n")
    assert through_the_face(edges) == ["exercises.bank.a"]
    edges = course(exercises__bank__a="from exercises.bank import b\n", exercises__bank__b="")
    assert not through_the_face(edges)


def test_a_crowded_room_is_seen(course, tmp_path):
    files = {f"lessons__desk__m{i}": "" for i in range(MOST_MODULES)}
    course(exercises__a="", **files)
    assert not crowded(tmp_path)
    course(lessons__desk__one_more="")
    assert crowded(tmp_path) == ["lessons/desk"]


def test_an_import_that_is_not_required_is_seen(course, tmp_path):
    course(lessons__a="import numpy\nfrom PIL import Image\nimport os\nimport geokit\n")
    assert not not_required(tmp_path), "Pillow is imported under another name"
    course(exercises__b="def late():\n    from requests.sessions import Session\n")
    assert not_required(tmp_path) == ["exercises.b imports requests"]


def test_a_second_user_of_matplotlib_is_seen(course, tmp_path):
    course(lessons__canvas__matplotlib_adapter="import matplotlib\n")
    assert not past_its_adapter(tmp_path)
    course(lessons__canvas__pen="from matplotlib.path import Path\n")
    assert past_its_adapter(tmp_path) == ["lessons.canvas.pen imports matplotlib"]


def test_a_display_is_seen(tmp_path):
    bad = tmp_path / "bad.py"
    bad.write_text("def late():\n    from matplotlib.figure import Figure\n", encoding="utf-8")
    assert tops(bad) & DISPLAY == {"matplotlib"}
    blocked = "import sys; sys.modules['matplotlib'] = None; import matplotlib"
    assert subprocess.run([sys.executable, "-c", blocked], stderr=-3, check=False).returncode
