"""
Would a test notice? python -m tests.endurance.endure_mutants [--sample 200] [--seed 1] [module …]

A mutant is the course with one thing changed: < made <=, + made -, a number moved, a condition
turned, a call left out. Of each module listed below as many are drawn as of another. Each mutant
stands in a copy of the tree, and the tests named beside its module run there; one that no test
fails has survived, and is printed. Words for people (strings with a
space in them) are left as they are, so are annotations and docstrings. Name a module, such as
question/marking, to try that one alone.
"""

import argparse
import ast
import difflib
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

from tests import uses

AT_ONCE = 2
BANK = "tests/test_bank.py tests/test_solutions.py tests/test_slips.py tests/test_ways.py -k "
TESTS = {  # the quickest first: the first that fails ends a mutant
    "exercises/question/marking.py": "test_marking test_slips test_practice test_ways test_paper",
    "exercises/question/reading.py": "test_marking test_notations test_practice test_session",
    "exercises/sheets/sheet.py": "test_sheet test_private test_report test_bad_class",
    "exercises/sheets/changed_marks.py": "test_changed_marks test_erasure test_register",
    "exercises/paper/paper_marking.py": "test_paper",
    "exercises/register/register.py": "test_register test_changed_marks test_competence",
    "exercises/instructor/mark_cells.py": "test_register test_changed_marks test_competence",
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
    chance, found = random.Random(seed), []
    for number, name in enumerate(names):
        every = mutants((uses.ROOT / name).read_text(encoding="utf-8"))
        share = wanted // len(names) + (number < wanted % len(names))
        found += [(name, one) for one in chance.sample(every, min(share, len(every)))]
    return found


class Copy:
    """A copy of the course in which one module after another is changed."""

    def __init__(self, folder):
        self.folder = folder
        left = shutil.ignore_patterns(".git", "__pycache__", ".venv", "*_cache")
        shutil.copytree(uses.ROOT, folder, ignore=left)
        self._written = 1_700_000_000

    def fails(self, name, source, longest=None):
        """Return whether a test fails with this source in the place of a module's."""
        path = self.folder / name
        kept = path.read_text(encoding="utf-8")
        try:
            self._write(path, source)
            return subprocess.run(
                [sys.executable, "-m", "pytest", "-o", "addopts=", "-x", "-q",
                 "-p", "no:cacheprovider", *tests_of(name)],
                cwd=self.folder, env={**os.environ, "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"},
                stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                timeout=longest, check=False,
            ).returncode != 0  # fmt: skip
        except subprocess.TimeoutExpired:
            return True
        finally:
            self._write(path, kept)

    def _write(self, path, source):
        path.write_text(source, encoding="utf-8")
        self._written += 10  # what Python keeps of a module goes by its time, in whole seconds
        os.utime(path, (self._written, self._written))


def tests_of(name):
    """Return what pytest is told to run for a module."""
    return [
        f"tests/{word}.py" if word.startswith("test_") else word for word in TESTS[name].split()
    ]


def difference(name, source):
    """Return which line was changed into which."""
    kept = (uses.ROOT / name).read_text(encoding="utf-8").splitlines()
    every = difflib.unified_diff(kept, source.splitlines(), name, name, n=0, lineterm="")
    return "\n".join(list(every)[2:])


def endure(home, chosen):
    """Return whether each mutant was killed, in the order of the sample."""
    free = SimpleQueue()
    for number in range(AT_ONCE):
        free.put(Copy(home / f"course {number}"))
    longest = {}
    for name in sorted({name for name, _ in chosen}):
        copy, begin = free.get(), time.monotonic()
        if copy.fails(name, (uses.ROOT / name).read_text(encoding="utf-8")):
            raise SystemExit(f"{name}: its tests fail before anything is changed")
        longest[name] = 60 + 5 * (time.monotonic() - begin)
        free.put(copy)

    def killed(mutant):
        copy = free.get()
        try:
            dead = copy.fails(*mutant, longest[mutant[0]])
        finally:
            free.put(copy)
        if not dead:
            print(f"\nsurvived in {mutant[0]}\n{difference(*mutant)}", flush=True)
        return dead

    with ThreadPoolExecutor(AT_ONCE) as several:
        return list(several.map(killed, chosen))


def main():
    """Print the survivors and the count of each module; the exit status is 1 below 95 %."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("module", nargs="*", default=[""])
    options = parser.parse_args()
    names = [name for name in TESTS if any(one in name for one in options.module)]
    chosen = sampled(names, options.sample, options.seed)
    with tempfile.TemporaryDirectory(prefix="mutants ") as home:
        dead = endure(Path(home), chosen)
    made = Counter(name for name, _ in chosen)
    killed = Counter(name for (name, _), one in zip(chosen, dead, strict=True) if one)
    print()
    for name in names:
        print(f"{name:36} {killed[name]:4} of {made[name]:4} killed")
    print(f"{'all':36} {sum(dead):4} of {len(dead):4} killed, {sum(dead) / len(dead):.1%}")
    return 0 if sum(dead) >= 0.95 * len(dead) else 1


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")
    sys.exit(main())
