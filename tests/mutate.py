"""Break the computing code on purpose, one small change at a time, and see whether a test fails.

    .venv/bin/python tests/mutate.py                       # a sample of every module of balance and shafts
    .venv/bin/python tests/mutate.py shafts/gap/pair.py --all   # every change of one module

Changes: a sign, a factor of two, plus for minus and the reverse, times for divided by, a term or factor left
out, an absolute value or a bound left out, sine for cosine, least for most, and the direction or edge of a
comparison. Each is made in a copy of the project, never in the project itself; there, the tests that belong to the
module (mutate.json) run until one fails. What survives is printed with its place: a gap in the tests, or a
change that changes nothing.
"""

import argparse
import ast
import json
import os
import random
import resource
import shutil
import sys
import tempfile
import time
from dataclasses import dataclass
from importlib.util import cache_from_source
from multiprocessing import get_context
from pathlib import Path

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before numpy is loaded

import hypothesis  # noqa: F401, loaded once here rather than in every run
import pytest
import scipy.interpolate
import scipy.linalg
import scipy.optimize  # noqa: F401

HOME = Path(__file__).resolve().parents[1]
COPIED = ("balance", "shafts", "designs", "tests", "pyproject.toml")
SLOWEST = 120  # seconds of computing for one run of tests; a change that makes them go on for ever counts as seen
COUNTED = 12  # whole numbers up to this one are taken for counts or powers, larger ones for quantities
LOADED = "ignore::pytest.PytestAssertRewriteWarning"  # hypothesis is there before pytest, on purpose

SWAPS: dict[type, tuple[type, ...]] = {
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.Lt: (ast.GtE, ast.LtE),
    ast.LtE: (ast.Gt, ast.Lt),
    ast.Gt: (ast.LtE, ast.GtE),
    ast.GtE: (ast.Lt, ast.Gt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
}
NAMES = {
    "sin": "cos",
    "cos": "sin",
    "minimum": "maximum",
    "maximum": "minimum",
    "min": "max",
    "max": "min",
    "argmin": "argmax",
    "argmax": "argmin",
    "any": "all",
    "all": "any",
}
LEFT_OUT = ("abs", "maximum", "minimum", "clip")

# Which tests belong to which module: words in the names of test files. Others would only take longer.
WORDS = json.loads((Path(__file__).with_name("mutate.json")).read_text("utf-8"))


@dataclass(frozen=True)
class Change:
    """One change: its module, its number there, its line, what it does in words, and the line as it was."""

    module: str
    number: int
    line: int
    words: str
    text: str

    @property
    def key(self) -> str:
        """By what mutate.json knows it, wherever its line may move."""
        return f"{self.words} | {self.text}"


class _Numbered(ast.NodeTransformer):
    """Makes the change of one number, or only counts them (number -1)."""

    def __init__(self, number: int = -1):
        self.number, self.seen = number, 0
        self.found: list[tuple[int, str]] = []

    def _is_it(self, node: ast.AST, words: str) -> bool:
        self.found.append((getattr(node, "lineno", 0), words))
        self.seen += 1
        return self.seen - 1 == self.number

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        self.generic_visit(node)
        for other in () if _only_turns_round(node) else SWAPS.get(type(node.op), ()):
            if self._is_it(node, f"{_name(node.op)} -> {other.__name__}: {ast.unparse(node)[:70]}"):
                return ast.copy_location(ast.BinOp(node.left, other(), node.right), node)
        if isinstance(node.op, ast.Add | ast.Sub | ast.Mult) and self._is_it(
            node, f"first alone: {ast.unparse(node)[:70]}"
        ):
            return node.left
        return node

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        self.generic_visit(node)
        if isinstance(node.op, ast.USub | ast.Not) and self._is_it(
            node, f"without {_name(node.op)}: {ast.unparse(node)[:70]}"
        ):
            return node.operand
        return node

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        self.generic_visit(node)
        for other in SWAPS.get(type(node.ops[0]), ()):
            if self._is_it(node, f"{_name(node.ops[0])} -> {other.__name__}: {ast.unparse(node)[:70]}"):
                return ast.copy_location(ast.Compare(node.left, [other(), *node.ops[1:]], node.comparators), node)
        return node

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        self.generic_visit(node)
        for other in SWAPS[type(node.op)]:
            if self._is_it(node, f"{_name(node.op)} -> {other.__name__}: {ast.unparse(node)[:70]}"):
                return ast.copy_location(ast.BoolOp(other(), node.values), node)
        return node

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        if isinstance(node.value, float) and node.value and self._is_it(node, f"twice {node.value!r}"):
            return ast.copy_location(ast.Constant(node.value * 2), node)
        if type(node.value) is int and node.value > 1:
            # One more than a count tells; one more than a strength in MPa is less than its digits.
            words, other = ("and one more", node.value + 1) if node.value <= COUNTED else ("twice over", 2 * node.value)
            if self._is_it(node, f"{node.value!r} {words}"):
                return ast.copy_location(ast.Constant(other), node)
        return node

    def visit_Attribute(self, node: ast.Attribute) -> ast.AST:
        self.generic_visit(node)
        numpy = isinstance(node.value, ast.Name) and node.value.id == "np"
        other = NAMES.get(node.attr) if numpy else None
        if other and self._is_it(node, f"np.{node.attr} -> np.{other}"):
            return ast.copy_location(ast.Attribute(node.value, other, node.ctx), node)
        return node

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        if isinstance(node.func, ast.Name) and node.func.id in ("min", "max", "any", "all"):
            other = NAMES[node.func.id]
            if self._is_it(node, f"{node.func.id} -> {other}"):
                node.func = ast.copy_location(ast.Name(other, ast.Load()), node.func)
        name = ast.unparse(node.func).removeprefix("np.")
        if name in LEFT_OUT and node.args and self._is_it(node, f"without {name}: {ast.unparse(node)[:70]}"):
            return node.args[0]
        return node

    def visit_Subscript(self, node: ast.Subscript) -> ast.AST:
        """Leave indices alone: they say which axis, not how much."""
        node.value = self.visit(node.value)
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        if node.value is not None:
            node.value = self.visit(node.value)
        return node

    def visit_arg(self, node: ast.arg) -> ast.AST:
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        """Leave annotations alone, and what only words a complaint or a text."""
        if node.name == "__str__":
            return node
        node.body = [self.visit(each) for each in node.body]
        node.args.defaults = [self.visit(each) for each in node.args.defaults]
        return node

    def visit_JoinedStr(self, node: ast.JoinedStr) -> ast.AST:
        return node

    def visit_Assert(self, node: ast.Assert) -> ast.AST:
        return node


def _name(operator: ast.AST) -> str:
    return type(operator).__name__


def _only_turns_round(node: ast.BinOp) -> bool:
    """Return whether a factor is the sign of a side, with which times and divided by are the same."""
    factor = ast.unparse(node.right)
    return isinstance(node.op, ast.Mult | ast.Div) and (
        factor in ("sign", "hand", "loads.sign") or factor.startswith("HANDS[")
    )


def changes(module: str, text: str) -> list[Change]:
    """Return every change of a module with this text."""
    counter = _Numbered()
    counter.visit(ast.parse(text))
    lines = ["", *map(str.strip, text.splitlines())]
    return [Change(module, number, line, words, lines[line]) for number, (line, words) in enumerate(counter.found)]


def changed(change: Change, text: str) -> str:
    """Return the text of a module with one change made."""
    return ast.unparse(ast.fix_missing_locations(_Numbered(change.number).visit(ast.parse(text))))


def tests_of(module: str) -> list[str]:
    """Return the test files that belong to a module."""
    words = WORDS["modules"].get(module, [Path(module).stem])
    files = sorted(path.relative_to(HOME) for path in (HOME / "tests").glob("*/test_*.py"))
    return list(dict.fromkeys(str(file) for word in words for file in files if word in str(file)))


class Copy:
    """A copy of the project, in which a change lives for one run of tests."""

    def __init__(self, place: Path):
        self.place = place
        for name in COPIED:
            if (HOME / name).is_dir():
                shutil.copytree(HOME / name, place / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
            else:
                shutil.copy(HOME / name, place / name)

    def text(self, module: str) -> str:
        """Return the text of a module as it was copied, whatever is done to the project meanwhile."""
        return (self.place / module).read_text("utf-8")

    def survives(self, change: Change) -> bool:
        """Return whether every test of its module still passes with a change made."""
        file = self.place / change.module
        kept = self.text(change.module)
        try:
            self._write(file, changed(change, kept))
            return self.passes(tests_of(change.module))
        finally:
            self._write(file, kept)

    def _write(self, file: Path, text: str) -> None:
        """Write a module and forget its compiled form: of two texts of one length and second, Python sees one."""
        file.write_text(text, "utf-8")
        Path(cache_from_source(str(file))).unlink(missing_ok=True)

    def passes(self, tests: list[str]) -> bool:
        """Return whether tests pass, in a process of their own that has the large libraries loaded already."""
        run = get_context("fork").Process(target=_run, args=(self.place, tests))
        run.start()
        run.join()
        return run.exitcode == 0


def _run(place: Path, tests: list[str]) -> None:
    """Run tests in a copy until one fails, and end the process with their status."""
    resource.setrlimit(resource.RLIMIT_CPU, (SLOWEST, SLOWEST))
    os.chdir(place)
    sys.path[:] = [
        str(place),
        str(place / "tests"),
        *(each for each in sys.path if Path(each or ".").resolve() != HOME),
    ]
    with Path(os.devnull).open("w") as nowhere:
        os.dup2(nowhere.fileno(), 1)
        os.dup2(nowhere.fileno(), 2)
        os._exit(pytest.main(["-x", "-q", "--rootdir", str(place), "-p", "no:cacheprovider", "-W", LOADED, *tests]))


def modules(wanted: list[str]) -> list[str]:
    """Return the modules to break: those named, or all with tests of their own."""
    return wanted or list(WORDS["modules"])


def untrue() -> list[str]:
    """Return what mutate.json says of modules, test files or lines that are no more."""
    files = [str(path.relative_to(HOME)) for path in (HOME / "tests").glob("*/test_*.py")]
    named = {**WORDS["modules"], **WORDS["equivalent"]}
    gone = [f"{module}: no such module" for module in named if not (HOME / module).exists()]
    gone += [f"{module}: no test file with {word!r} in its name" for module, words in WORDS["modules"].items()
             for word in words if not any(word in file for file in files)]  # fmt: skip
    for module, told in WORDS["equivalent"].items():
        known = {each.key for each in changes(module, (HOME / module).read_text("utf-8"))}
        gone += [f"{module}: no change {key!r}" for key in told if key not in known]
    return gone


def sampled(found: list[Change], most: int | None, seed: int) -> list[Change]:
    """Return at most so many changes, the same ones for the same seed."""
    if most is None or len(found) <= most:
        return found
    return sorted(random.Random(seed).sample(found, most), key=lambda each: each.number)


def explained(change: Change) -> bool:
    """Return whether a survivor is known to change nothing that could be seen."""
    return change.key in WORDS["equivalent"].get(change.module, {})


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("modules", nargs="*", metavar="MODULE", help="such as shafts/gap/pair.py; all if left out")
    parser.add_argument("--sample", type=int, default=12, help="changes tried in each module (default %(default)s)")
    parser.add_argument("--all", action="store_true", help="try every change")
    parser.add_argument("--seed", type=int, default=1, help="decides which are tried (default %(default)s)")
    options = parser.parse_args()
    if said := untrue():
        sys.exit("\n".join(["mutate.json is not true any more:", *said]))
    os.nice(10)
    killed = tried = known = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Copy(Path(folder))
        for module in modules(options.modules):
            if not copy.passes(tests_of(module)):
                print(f"{module}: left out, since its tests fail without any change", flush=True)
                continue
            wanted = sampled(changes(module, copy.text(module)), None if options.all else options.sample, options.seed)
            known += sum(map(explained, wanted))
            wanted = [each for each in wanted if not explained(each)]
            started, before = time.monotonic(), killed
            for change in wanted:
                survived = copy.survives(change)
                killed += not survived
                if survived:
                    print(f"  survived  {change.module}:{change.line}  [{change.number}] {change.key}", flush=True)
            tried += len(wanted)
            print(f"{module}: {killed - before} of {len(wanted)} seen, {time.monotonic() - started:.0f} s", flush=True)
    print(f"{killed} of {tried} changes seen by a test: {killed / max(tried, 1):.1%}; {known} more change nothing")


if __name__ == "__main__":
    main()
