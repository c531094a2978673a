"""
Would a test notice? python -m tests.endurance.endure_mutants [--sample 200] [--seed 1] [module …]

A mutant is the course with one thing changed: < made <=, + made -, a number moved, a condition
turned, a call left out. Of each module listed below as many are drawn as of another. The draw goes
by a digest of the seed and the changed line, so that a module may be edited and the rest of its
sample stays. Each mutant stands in a copy of the tree, and the tests named beside its module run
there until one fails, which is printed; a mutant that no test fails has survived. Words for people
(strings with a space in them) are left as they are, so are annotations and docstrings.

A mutant that no input can tell from the course is equivalent: equivalent_mutants.toml holds the
line, what it was changed into, and why. It is counted apart.

Name a module, such as question/marking, to try that one alone; --only 12 45 tries these of a sample
again.
"""

import argparse
import ast
import difflib
import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

from tests import uses

AT_ONCE = 2
EQUIVALENT = Path(__file__).with_name("equivalent_mutants.toml")
BANK = (
    "tests/test_bank.py::test_a_draw_changes_only_with_its_edition test_solutions test_slips "
    "test_ways test_bank -k "
)
TESTS = {  # the quickest first: the first that fails ends a mutant
    "exercises/question/marking.py": "test_marking test_slips test_paper test_ways test_practice",
    "exercises/question/reading.py": "test_marking test_session test_notations test_practice",
    "exercises/sheets/sheet.py": "test_private test_sheet test_bad_class test_report",
    "exercises/sheets/changed_marks.py": "test_changed_marks test_erasure test_register",
    "exercises/paper/paper_marking.py": "test_paper",
    "exercises/register/register.py": "test_competence test_changed_marks test_register",
    "exercises/instructor/mark_cells.py": "test_competence test_changed_marks test_register",
    "geokit/grid.py": "test_grid test_check_values",
    "geokit/heights.py": "test_heights",
    "geokit/constituents.py": "test_heights",
    "exercises/bank/grid.py": BANK + "grid",
    "exercises/bank/heights.py": BANK + "heights",
}
COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
COMPUTED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Div, ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


def changes(node):
    """Give what may stand in the place of a node: its source, changed in one thing."""
    match node:
        case ast.Compare(left, [op], right):
            yield ast.Compare(left, [COMPARED[type(op)]()], right)
        case ast.BinOp(left, op, right) if type(op) in COMPUTED:
            yield ast.BinOp(left, COMPUTED[type(op)](), right)
        case ast.BoolOp(op, values):
            yield ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
        case ast.UnaryOp(ast.Not() | ast.USub(), operand):
            yield operand
        case ast.Constant(bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(int(value)):
            yield ast.Constant(value + 1)
        case ast.Constant(float(value)):
            yield ast.Constant(value * 1.01 or 1.0)
        case ast.Constant(str(value)) if value and " " not in value:
            yield ast.Constant("x" + value)
        case ast.Expr(ast.Call() | ast.Yield()) | ast.AugAssign() | ast.Raise():
            yield ast.Pass()
        case ast.Continue():
            yield ast.Break()
        case ast.Return(value) if value and ast.unparse(value) != "None":
            yield ast.Return(ast.Constant(None))


def places(tree):
    """Give each node that may be changed: no docstring, annotation, decorator or f-string."""
    waiting = list(ast.iter_child_nodes(tree))
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.JoinedStr | ast.arg | ast.Assert | ast.ImportFrom | ast.Import):
            continue
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            continue
        yield node
        skipped = {id(getattr(node, name, None)) for name in ("annotation", "returns")}
        skipped |= {id(one) for one in getattr(node, "decorator_list", ())}
        waiting += [one for one in ast.iter_child_nodes(node) if id(one) not in skipped]


def mutants(source):
    """Return every changed source of a module."""
    lines = source.encode("utf-8").splitlines(keepends=True)
    starts = [sum(map(len, lines[:number])) for number in range(len(lines))]
    whole, found = b"".join(lines), []
    for place in places(ast.parse(source)):
        conditional = isinstance(place, ast.If | ast.While | ast.IfExp)
        node = place.test if conditional else place
        for change in [ast.UnaryOp(ast.Not(), node)] if conditional else changes(node):
            text = ast.unparse(ast.fix_missing_locations(change))
            text = f"({text})" if isinstance(change, ast.expr) else text
            begin = starts[node.lineno - 1] + node.col_offset
            end = starts[node.end_lineno - 1] + node.end_col_offset
            found.append((whole[:begin] + text.encode("utf-8") + whole[end:]).decode("utf-8"))
    return found


def sampled(names, wanted, seed):
    """Return (module, changed source), of each module as many as of another."""
    found = []
    for number, name in enumerate(names):
        source = (uses.ROOT / name).read_text(encoding="utf-8")
        seen, keyed = Counter(), []
        for one in mutants(source):
            change = changed(source, one)
            seen[change] += 1  # a line that stands twice makes two mutants
            text = f"{seed} {name} {change} {seen[change]}"
            keyed.append((hashlib.sha256(text.encode("utf-8")).digest(), one))
        share = wanted // len(names) + (number < wanted % len(names))
        found += [(name, one) for _, one in sorted(keyed)[:share]]
    return found


def changed(kept, source):
    """Return the lines that went and the lines that came in their place, without their margins."""
    every = difflib.unified_diff(kept.splitlines(), source.splitlines(), n=0, lineterm="")
    lines = list(every)[3:]
    return tuple(
        "\n".join(line[1:].strip() for line in lines if line.startswith(sign)) for sign in "-+"
    )


def equivalents():
    """Return why no input can tell a mutant from the course, by module and change."""
    held = tomllib.loads(EQUIVALENT.read_text(encoding="utf-8"))["mutant"]
    return {(one["module"], one["line"], one["changed"]): one["why"] for one in held}


class Copy:
    """A copy of the course in which one module after another is changed."""

    def __init__(self, folder):
        self.folder = folder
        left = shutil.ignore_patterns(".git", "__pycache__", ".venv", "*_cache")
        shutil.copytree(uses.ROOT, folder, ignore=left)
        self._written = 1_700_000_000

    def killer(self, name, source, longest=None):
        """Return which test fails with this source in the place of a module's, or nothing."""
        path = self.folder / name
        kept = path.read_text(encoding="utf-8")
        try:
            self._write(path, source)
            done = subprocess.run(
                [sys.executable, "-m", "pytest", "-o", "addopts=", "-x", "-q", "--tb=no",
                 "-p", "no:cacheprovider", *tests_of(name)],
                cwd=self.folder, env={**os.environ, "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"},
                stdin=subprocess.DEVNULL, capture_output=True, timeout=longest, check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            return "the time: it did not end"
        finally:
            self._write(path, kept)
        words = done.stdout.decode("utf-8", "replace").splitlines()
        failed = [line for line in words if line.startswith(("FAILED", "ERROR"))]
        return (failed or [f"pytest, which ended with {done.returncode}"])[0] * bool(
            done.returncode
        )

    def _write(self, path, source):
        path.write_text(source, encoding="utf-8")
        self._written += 10  # what Python keeps of a module goes by its time, in whole seconds
        os.utime(path, (self._written, self._written))


def tests_of(name):
    """Return what pytest runs for a module."""
    return [
        f"tests/{word}.py" if word.startswith("test_") else word for word in TESTS[name].split()
    ]


def endure(home, chosen):
    """Return what killed each mutant, or nothing, by its number."""
    free = SimpleQueue()
    for number in range(AT_ONCE):
        free.put(Copy(home / f"course {number}"))
    longest = {}
    for name in sorted({name for name, _ in chosen.values()}):
        copy, begin = free.get(), time.monotonic()
        if failed := copy.killer(name, (uses.ROOT / name).read_text(encoding="utf-8")):
            raise SystemExit(f"{name}: its tests fail before anything is changed: {failed}")
        longest[name] = 60 + 5 * (time.monotonic() - begin)
        free.put(copy)

    def killed(number):
        name, source = chosen[number]
        copy = free.get()
        try:
            killer = copy.killer(name, source, longest[name])
        finally:
            free.put(copy)
        print(f"{number} {name}: {killer or 'SURVIVED'}", flush=True)
        if not killer:
            kept = (uses.ROOT / name).read_text(encoding="utf-8")
            print("", *changed(kept, source), "", sep="\n", flush=True)
        return killer

    with ThreadPoolExecutor(AT_ONCE) as several:
        return dict(zip(chosen, several.map(killed, chosen), strict=True))


def known(chosen):
    """Return which of the sample are equivalent, by their number, and why."""
    held, found = equivalents(), {}
    for number, (name, source) in chosen.items():
        kept = (uses.ROOT / name).read_text(encoding="utf-8")
        if why := held.get((name, *changed(kept, source))):
            found[number] = why
    return found


def main():
    """Print the survivors and the count of each module; the exit status is 1 below 95 %."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int, nargs="+", help="these of the sample, by number")
    parser.add_argument("module", nargs="*", default=[""])
    options = parser.parse_args()
    names = [name for name in TESTS if any(one in name for one in options.module)]
    chosen = dict(enumerate(sampled(names, options.sample, options.seed), 1))
    chosen = {number: chosen[number] for number in options.only or chosen}
    equivalent = known(chosen)
    tried = {number: one for number, one in chosen.items() if number not in equivalent}
    with tempfile.TemporaryDirectory(prefix="mutants ") as home:
        killers = endure(Path(home), tried)
    made = Counter(name for name, _ in chosen.values())
    apart = Counter(chosen[number][0] for number in equivalent)
    killed = Counter(chosen[number][0] for number, killer in killers.items() if killer)
    print()
    for name in [*names, "all"]:
        dead, same, of = (
            one.total() if name == "all" else one[name] for one in (killed, apart, made)
        )
        print(f"{name:36} {dead:4} killed and {same:2} equivalent of {of:4}")
    share = killed.total() / max(1, len(tried))
    print(f"killed of those that are not equivalent: {share:.1%}")
    return 0 if share >= 0.95 else 1


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")
    sys.exit(main())
