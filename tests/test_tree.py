"""Rules that keep the tree clean. Each failure says how to correct it."""

import re

import pytest
import tinycss2

from exercises.bank import syllabus
from lessons.author.locking import is_compared, locked, unlocked
from tests import tidy

ROOT = tidy.ROOT
TOP = {"README.md", "DEVELOPERS.md", "requirements.txt", "lessons", "geokit", "exercises", "tests"}
LONGEST_CELL = 10  # lines
TEXTS = {".md", ".txt", ".py", ".ipynb", ".css", ".json", ".toml", ".ini", ".html", ".sh", ".lock",
         ""}  # fmt: skip
IGNORED = (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
PASSING = {".git", *(line.strip("/") for line in IGNORED)}  # what comes and goes while working

# A host from which packages come, and a path that only one machine has.
FOREIGN = re.compile(
    r"pypi\.(?:org|python)|pythonhosted|registry\.npmjs|npmjs\.(?:org|com)|anaconda\.(?:org|com)"
    r"|(?<![\w.~/{}$-])/(?:home|Users|root|work|mnt|media|tmp|opt|srv)/\w|\b[A-Z]:\\{1,2}Users\\"
)

each_notebook = pytest.mark.parametrize("path", tidy.notebooks(), ids=lambda path: path.stem)


def _files():
    for path in sorted(ROOT.rglob("*")):
        if path.is_file() and not PASSING & set(path.relative_to(ROOT).parts):
            yield path


def _sources(*suffixes):
    return [path for path in _files() if path.suffix in suffixes]


def test_top_level_is_as_designed():
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    extra, missing = found - TOP - PASSING, TOP - found
    assert not extra, f"move these into one of {sorted(TOP)}, or delete them: {sorted(extra)}"
    assert not missing, f"put these back at the top level: {sorted(missing)}"


def test_there_are_notebooks():
    assert "00_start" in {path.stem for path in tidy.notebooks()}


@each_notebook
def test_notebook_is_committed_without_output(path):
    cells = [cell for cell in tidy.read(path)["cells"] if cell["cell_type"] == "code"]
    full = [n for n, c in enumerate(cells, 1) if c["outputs"] and not is_compared(c)]
    assert not full, f"run `python tests/tidy.py`: {path.name} holds outputs in code cells {full}"


@each_notebook
def test_a_lesson_ends_with_what_it_is_checked_against(path):
    topic = path.stem.partition("_")[2]
    cells = tidy.read(path)["cells"]
    compared = [n for n, cell in enumerate(cells) if is_compared(cell)]
    if topic not in syllabus.LESSONS:
        assert not compared, f"{path.name} is no lesson and is compared with nothing"
        return
    assert len(compared) == 1, f"one cell of {path.name}, and one only, is compared"
    place = compared[0]
    assert tidy.AGAINST.search("".join(cells[place]["source"]))[1] == topic
    assert "".join(cells[place - 1]["source"]).startswith("## Checked against\n")
    assert not any(cell["cell_type"] == "code" for cell in cells[place + 1 : -1])
    assert cells[place]["outputs"] == tidy.printed(cells[place]), "run `python tests/tidy.py`"


def test_what_a_lesson_prints_on_a_bad_day_is_not_stored():
    stored = tidy.read(ROOT / "lessons" / "08_deflection.ipynb")
    cells = [
        {**cell, "outputs": ["bad"], "execution_count": 40} if cell["cell_type"] == "code" else cell
        for cell in stored["cells"]
    ]
    assert locked({**stored, "cells": cells}, stored) == stored


@each_notebook
def test_notebook_is_tidy(path):
    stands = path.read_text(encoding="utf-8")
    assert stands == tidy.text(path), f"run `python tests/tidy.py`: {path.name} is not tidy"


@each_notebook
def test_unlocked_to_be_edited_a_notebook_differs_in_its_locks_alone(path):
    notebook = tidy.read(path)
    opened = unlocked(notebook)
    assert {str(cell["metadata"]) for cell in opened["cells"]} == {"{}"}
    assert opened != notebook
    assert locked(opened) == notebook


@each_notebook
def test_code_cells_are_short(path):
    for cell in tidy.read(path)["cells"]:
        lines = "".join(cell["source"]).splitlines()
        if cell["cell_type"] == "code" and len(lines) > LONGEST_CELL:
            pytest.fail(
                f"{path.name} has a code cell of {len(lines)} lines, {LONGEST_CELL} are allowed; "
                f"move figure code to lessons/figures. It begins: {lines[0]}"
            )


@each_notebook
def test_notebook_begins_with_start(path):
    first = next(cell for cell in tidy.read(path)["cells"] if cell["cell_type"] == "code")
    line = "".join(first["source"]).split("\n")[0]
    assert line == "import start", (
        f"make `import start` the first line of {path.name}, which begins with `{line}`; without "
        "it the course's packages are found from JupyterLab only by chance"
    )


@each_notebook
def test_last_cell_shows_something(path):
    last = [cell for cell in tidy.read(path)["cells"] if cell["cell_type"] == "code"][-1]
    line = "".join(last["source"]).strip().split("\n")[-1]
    assert not re.match(r"(import|from|assert)\b|[\w, ]+ = ", line), (
        f"let the last code cell of {path.name} show something, so that reader and tests see that "
        f"the lesson has run to its end; it ends with `{line}`"
    )


def test_no_pyplot():
    pattern = re.compile(r"matplotlib\.pyplot|from matplotlib import .*\bpyplot\b|^\s*%matplotlib")
    users = [
        str(path.relative_to(ROOT))
        for path in _sources(".py", ".ipynb")
        if path.name != "test_tree.py" and pattern.search(path.read_text(encoding="utf-8"))
    ]
    assert not users, (
        "draw on matplotlib.figure.Figure itself; pyplot keeps every figure in memory and shares "
        f"one state between lessons: {users}"
    )


def test_nothing_names_a_registry_or_a_machine():
    found = [
        f"{path.relative_to(ROOT)}: {match[0]}"
        for path in _sources(*TEXTS)
        if path.name != "test_tree.py"
        for match in FOREIGN.finditer(path.read_text(encoding="utf-8"))
    ]
    assert not found, (
        "say `pip` and let each machine know its own index; write paths from the course's folder "
        f"or the user's home: {found}"
    )


# A mariner reads it as nautical miles, which the course writes NM.
NANOMETRES = re.compile(r"(?<![A-Za-z_])nm(?![A-Za-z_0-9])")


def test_each_file_of_data_has_its_source_and_licence():
    """What is neither program, page nor setting is data, and SOURCES.md names it in a table."""
    page = (ROOT / "geokit" / "data" / "SOURCES.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`(?:[\w./]*/)?([\w.]+)`", page))
    data = {".bin", ".csv", ".gtx", ".json", ".png", ".svg", ".tsv", ".txt"}
    files = {path for path in _sources(*data) if ".jupyter" not in path.parts}
    files = {path.name for path in files} - {"requirements.txt"}
    assert len(files) > 8
    assert files <= named, f"not in geokit/data/SOURCES.md: {sorted(files - named)}"


def test_nothing_is_given_in_nm():
    found = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in _sources(*TEXTS)
        if path.name != "test_tree.py"
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if NANOMETRES.search(line)
    ]
    assert not found, (
        "a mariner reads nm as nautical miles: write metres, 0.000 000 01 m, or the whole word, "
        f"nanometres or nautical miles: {found}"
    )


@pytest.mark.parametrize("text", ["good to 15 nm,", "10nm", "10\u202fnm", "a few nm"])
def test_nm_is_seen(text):
    assert NANOMETRES.search(text)


def test_words_with_the_letters_are_not_seen():
    assert not NANOMETRES.search("unmarked, nmea, enm, nm_of, NMEA 0183, 12 NM")


@pytest.mark.parametrize("text", ["pypi.org/simple", "/home/anna/x", r"C:\Users\anna", "/tmp/x"])
def test_such_names_are_seen(text):
    assert FOREIGN.search(f'open("{text}")')


def test_requirements_are_pinned():
    for name in ("requirements.txt", "tests/requirements.txt"):
        for line in (ROOT / name).read_text(encoding="utf-8").splitlines():
            requirement = line.split("#")[0].strip()
            assert re.fullmatch(r"([\w.-]+==[\d.]+(post\d+)?)?", requirement), (
                f"pin `{requirement}` in {name} to the version the course was tested with"
            )


LOCKED = re.compile(
    r"([\w.-]+==[\w.]+)(?: ; [^\\]+)? \\\n((?:    --hash=sha256:[0-9a-f]{64}(?: \\)?\n)+)"
)


def _locked(text):
    """Return what a lock pins, and what of its text pins nothing."""
    return [name.lower() for name, _ in LOCKED.findall(text)], LOCKED.sub("", text)


@pytest.mark.parametrize(
    ("lock", "sources"),
    [
        ("tests/requirements.lock", ["requirements.txt"]),
        ("tests/requirements_tests.lock", ["requirements.txt", "tests/requirements.txt"]),
    ],
)
def test_the_lock_holds_what_is_required_each_file_by_its_digest(lock, sources):
    pinned, rest = _locked((ROOT / lock).read_text(encoding="utf-8"))
    assert [line for line in rest.splitlines() if not line.startswith("#")] == []
    lines = [
        line.split("#")[0].strip().lower().replace("_", "-")
        for source in sources
        for line in (ROOT / source).read_text(encoding="utf-8").splitlines()
    ]
    missing = {line for line in lines if line} - set(pinned)
    assert not missing, f"run `python tests/lock.py`: {lock} lacks {sorted(missing)}"


def test_a_lock_with_a_line_that_pins_nothing_is_seen():
    digest = "    --hash=sha256:" + 64 * "0"
    assert _locked(f"a-b==1.0 ; sys_platform == 'x' \\\n{digest} \\\n{digest}\n") == (
        ["a-b==1.0"],
        "",
    )
    for loose in ("a==1.0\n", f"a>=1.0 \\\n{digest}\n", f"--find-links elsewhere\n{digest}\n"):
        assert _locked(loose) == ([], loose)


# The style sheets of the page ------------------------------------------------------------

STYLES = ROOT / ".jupyter" / "custom"
PRINTED = ROOT / "exercises" / "pages" / "templates"  # each page has its own


def _rules(css, within=""):
    """Yield (selector or media query with all that it stands in, its declarations)."""
    declared = []
    for node in css:
        if node.type == "declaration":
            declared.append(f"{node.lower_name}: {tinycss2.serialize(node.value).strip()}")
        elif node.type in ("qualified-rule", "at-rule") and node.content:
            kind = f"@{node.at_keyword} " if node.type == "at-rule" else ""
            words = kind + " ".join(tinycss2.serialize(node.prelude).split())
            name = f"{within} {words}".replace(" & ", " ").strip()
            inner = tinycss2.parse_blocks_contents(node.content)
            yield from _rules(inner, name)
        assert node.type != "error", f"{within}: {node.message}"
    if declared:
        yield within, tuple(declared)


def _looked_into(css):
    """Return the selectors that look into a thing: asked again whenever something in it moves."""
    return [name for name, _ in _rules(tinycss2.parse_stylesheet(css)) if ":has(" in name]


def _repeated(sheets):
    """Return the selectors that stand twice, of {name: css} whose order is that of the page."""
    names = [
        name
        for css in sheets.values()
        for name, _ in _rules(tinycss2.parse_stylesheet(css, skip_comments=True))
    ]
    return sorted({name for name in names if names.count(name) > 1})


def _styles():
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(STYLES.glob("*.css"))}


def test_the_page_loads_each_of_its_style_sheets_once():
    loaded = re.findall(r'^@import "(.+)";$', (STYLES / "custom.css").read_text("utf-8"), re.M)
    assert sorted([*loaded, "custom.css"]) == sorted(_styles())


def test_the_page_that_is_edited_has_the_same_styles_but_those_that_make_it_quiet():
    edited = STYLES.parent / "editing" / "custom" / "custom.css"
    sheets = [re.findall(r"^@import .*$", path.read_text("utf-8"), re.M)
              for path in (STYLES / "custom.css", edited)]  # fmt: skip
    assert [line for line in sheets[0] if line != '@import "quiet.css";'] == sheets[1]
    assert len(sheets[0]) == len(sheets[1]) + 1


def test_no_style_looks_into_a_thing():
    found = {name: _looked_into(css) for name, css in _styles().items() if _looked_into(css)}
    assert not found, f"{found}: set a class where the thing is made, and go by that"


@pytest.mark.parametrize(
    "sheets",
    [_styles(), *({path.name: path.read_text("utf-8")} for path in PRINTED.glob("*.css"))],
    ids="+".join,
)
def test_each_style_stands_once(sheets):
    repeated = _repeated(sheets)
    assert not repeated, f"{repeated}: join what is said of each into one rule"


def test_styles_that_look_or_stand_twice_are_seen():
    css = ".a { & .b:has(.c) { margin: 0 } color: red } @media (width < 9em) { .a { color: blue } }"
    assert _looked_into(css) == [".a .b:has(.c)"]
    assert not _repeated({"one.css": css})
    assert _repeated({"one.css": css, "two.css": ".a { margin: 0 }"}) == [".a"]
    assert _repeated({"one.css": ".a { & .b { top: 0 } & .b { left: 0 } }"}) == [".a .b"]


# A page of the course runs when it is opened ----------------------------------------------


def test_the_digests_are_those_of_the_notebooks():
    stands = tidy.DIGESTS.read_text(encoding="utf-8")
    assert stands == tidy.digests(), "run `python tests/tidy.py`: a notebook changed since"


@pytest.mark.parametrize("change", ["another word", "a cell more", "code for words"])
def test_a_notebook_that_was_changed_has_another_digest(change):
    notebook = tidy.read(ROOT / "lessons" / "review.ipynb")
    before, cell = tidy.digest(notebook), notebook["cells"][0]
    if change == "another word":
        cell["source"] = [*cell["source"], " "]
    elif change == "a cell more":
        notebook["cells"].append({**cell, "source": []})
    else:
        cell["cell_type"] = "code"
    assert tidy.digest(notebook) != before
