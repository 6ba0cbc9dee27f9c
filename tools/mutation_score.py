"""Spoils the program itself and asks the tests: ``python tools/mutation_score.py --count 60 --seed 1``.

A seeded sample of small changes is taken from the modules of a group (``circuit``, ``layout``, ``files``, ...): a
comparison, an operator, a number, ``and`` for ``or``, a condition turned round, a statement or one of several constants
left out. Each is made in a copy of the checkout, and of the tests near the module those that pass through the changed
statement are run there until one fails; which these are is seen once, without a change, by the package ``coverage``.
Said at the end: how many were found of how many, a group and in all, and every one that was not, with its place, to be
looked at: it is alike in what it does, or a test is missing. Where tests take four times the computing they take
without it, it counts as found, named as such.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import coverage

ROOT = Path(__file__).resolve().parents[1]
GROUPS = {
    "circuit": (("diagramgen/circuit",), ("tests/circuit",)),
    "layout": (("diagramgen/layout",), ("tests/layout", "tests/fit")),
    "units": (("diagramgen/kernel/units.py",), ("tests/kernel/test_units.py", "tests/reader/test_build_values.py")),
    "files": (("diagramgen/writers/atomic_files.py", "diagramgen/writers/output_folder.py",
               "diagramgen/writers/overwriting.py", "diagramgen/kernel/csvtext.py"),
              ("tests/writers/test_packet.py", "tests/writers/test_whole_files.py", "tests/kernel/test_csv_text.py",
               "tests/writers/test_permission.py", "tests/hard/test_other_systems.py")),
    "commands": (("diagramgen/features/interview/add_cli.py", "diagramgen/console/report.py"),
                 ("tests/interview/test_add_command.py", "tests/app/test_terminal.py", "tests/console/test_saying.py")),
    "shop": (("diagramgen/features/shop/cli.py", "diagramgen/features/shop/find_jobs.py",
              "diagramgen/features/shop/compute.py", "diagramgen/features/shop/workers.py"),
             ("tests/shop/test_shop_command.py", "tests/shop/test_workers.py")),
}
"""Group -> where its modules are, and the tests near them; tests that name a module are near it wherever they stand."""
SLOW = ("test_printed", "test_read_back", "test_renderers", "test_same_bytes", "test_names_and", "test_colour_bl",
        "test_page_in", "test_preview_in", "test_killed", "test_fuzzing", "test_sample_mutants")
"""Beginnings of the names of test files that print or start too much to be run for every change."""
COPIED = ("diagramgen", "tests", "symbols", "samples", "docs", "tools", "benchmarks", "pyproject.toml", "README.md",
          "CHANGELOG.md")
COMPARISONS: dict[type, str] = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "==",
                                ast.In: "not in", ast.NotIn: "in", ast.Is: "is not", ast.IsNot: "is"}
OPERATORS: dict[type, str] = {ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*", ast.FloorDiv: "*",
                              ast.Mod: "*", ast.Pow: "*", ast.BitOr: "&", ast.BitAnd: "|"}


@dataclass(frozen=True)
class Change:
    """Characters of a module to put others in place of."""

    file: str
    line: int
    start: int
    end: int
    new: str
    kind: str
    old: str
    statement: range
    """Lines of the statement it stands in; of one with a body, those before the body."""

    @property
    def words(self) -> str:
        """The place and the change in one line."""
        return f"{self.file}:{self.line}: {self.kind}: {' '.join(self.old.split())[:90]} -> {self.new[:60]}"


class Places:
    """The text of a module and where its lines begin; columns of ``ast`` are bytes."""

    def __init__(self, file: str, text: str):
        self.file, self.raw = file, text.encode()
        self.statement = range(0)
        self.begin = [0]
        for line in self.raw.splitlines(keepends=True):
            self.begin.append(self.begin[-1] + len(line))

    def span(self, node: ast.expr | ast.stmt) -> tuple[int, int]:
        """First byte and the one after the last."""
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return self.begin[node.lineno - 1] + node.col_offset, self.begin[node.end_lineno - 1] + node.end_col_offset

    def change(self, node: ast.expr | ast.stmt, new: str, kind: str, span: tuple[int, int] | None = None) -> Change:
        """A change of a node, or of a part of it."""
        start, end = span or self.span(node)
        return Change(self.file, node.lineno, start, end, new, kind, self.raw[start:end].decode(), self.statement)

    def source(self, node: ast.expr) -> str:
        """A node as it is written."""
        start, end = self.span(node)
        return self.raw[start:end].decode()


def changes_of(file: str, text: str) -> Iterator[Change]:
    """Every change that can be made to a module; none to a type, a docstring or a word."""
    at = Places(file, text)
    for node in _running(ast.parse(text)):
        if isinstance(node, ast.stmt):
            at.statement = _lines(node)
        if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in COMPARISONS:
            new = f"{at.source(node.left)} {COMPARISONS[type(node.ops[0])]} {at.source(node.comparators[0])}"
            yield at.change(node, f"({new})", "comparison")
        elif isinstance(node, ast.BinOp) and type(node.op) in OPERATORS:
            new = f"({at.source(node.left)}) {OPERATORS[type(node.op)]} ({at.source(node.right)})"
            yield at.change(node, f"({new})", "operator")
        elif isinstance(node, ast.BoolOp):
            word = " or " if isinstance(node.op, ast.And) else " and "
            yield at.change(node, f"({word.join(f'({at.source(v)})' for v in node.values)})", "and/or")
        elif isinstance(node, ast.Constant):
            new_value = _other(node.value)
            if new_value is not None:
                yield at.change(node, new_value, "constant")
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            yield at.change(node, f"({at.source(node.operand)})", "not left out")
        elif isinstance(node, ast.Tuple | ast.List | ast.Set) and len(node.elts) > 2:
            for left_out in (e for e in node.elts if isinstance(e, ast.Constant)):
                rest = "".join(f"{at.source(e)}, " for e in node.elts if e is not left_out)
                ends = {ast.Tuple: "()", ast.List: "[]", ast.Set: "{}"}[type(node)]
                yield at.change(node, f"{ends[0]}{rest}{ends[1]}", "constant left out")
        if isinstance(node, ast.If | ast.While | ast.IfExp):
            yield at.change(node.test, f"(not ({at.source(node.test)}))", "condition turned round")
        if isinstance(node, ast.AugAssign | ast.Raise) or (
                isinstance(node, ast.Expr) and isinstance(node.value, ast.Call)):
            yield at.change(node, "pass", "statement left out")


def _lines(node: ast.stmt) -> range:
    body = getattr(node, "body", None)
    return range(node.lineno, max(node.lineno + 1, body[0].lineno if body else (node.end_lineno or node.lineno) + 1))


def _other(value: object) -> str | None:
    if isinstance(value, bool):
        return str(not value)
    if isinstance(value, int):
        return str(value + 1)
    return repr(value * 1.5 + (0.5 if not value else 0.0)) if isinstance(value, float) else None


def _running(node: ast.AST) -> Iterator[ast.AST]:
    """Nodes that run; what a type says does not."""
    yield node
    for name, field in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_params") or isinstance(node, ast.JoinedStr):
            continue
        for child in field if isinstance(field, list) else [field]:
            if isinstance(child, ast.AST):
                yield from _running(child)


def every_change(group: str) -> list[Change]:
    """All changes that can be made to a group."""
    files = [f for where in (ROOT / name for name in GROUPS[group][0])
             for f in ([where] if where.is_file() else sorted(where.rglob("*.py")))]
    return [c for f in files for c in changes_of(f.relative_to(ROOT).as_posix(), f.read_text(encoding="utf-8"))]


def chosen(group: str, count: int, seed: int, again: Path | None) -> list[Change]:
    """A sample of a group's changes, every change as likely as any other; or those an earlier run did not find."""
    every = every_change(group)
    if again is None:
        return random.Random(f"{seed} {group}").sample(every, min(count, len(every)))
    missed = {line.split(": ", 1)[1] for line in again.read_text(encoding="utf-8").splitlines()
              if line.startswith("not found in")}
    return [c for c in every if c.words in missed]


def ordered_tests(
    folder: Path, file: str, near: tuple[str, ...], few: bool = False
) -> tuple[list[str], list[str]]:
    """Test files that name a module, wherever they stand (``few``: only of those near it), and the others near it."""
    module = file.removesuffix(".py").replace("/", ".")
    anywhere = [f for f in sorted((folder / "tests").rglob("test_*.py")) if not f.name.startswith(SLOW)]
    named = [f for f in anywhere if module in f.read_text(encoding="utf-8")]
    files = [t for n in near for t in ([folder / n] if n.endswith(".py") else sorted((folder / n).rglob("test_*.py")))]
    named = [f for f in named if f in files or not few]
    rest = [f for f in files if f not in named]
    return [f.relative_to(folder).as_posix() for f in named], [f.relative_to(folder).as_posix() for f in rest]


def forked(folder: Path, tests: list[str], patience: int, seen: Path | None = None) -> tuple[str, float]:
    """Run tests in a process of their own; ``found``, ``found late`` or ``not found``, and the seconds of computing.

    With ``seen``, the lines of the program that the tests pass through are kept in that file.
    """
    child = os.fork()
    if not child:
        os.setsid()
        os.chdir(folder)
        sys.path.insert(0, str(folder))
        resource.setrlimit(resource.RLIMIT_CPU, (patience, patience + 1))
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        os._exit(_asked(folder, tests, seen, 3 * patience))
    until = time.monotonic() + 20 * patience
    done = status = 0
    used = None
    while not done and time.monotonic() < until:
        done, status, used = os.wait4(child, os.WNOHANG)
        time.sleep(0.02)
    if not done:
        os.killpg(child, signal.SIGKILL)
        _, status, used = os.wait4(child, 0)
    assert used is not None
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGKILL):
        return "found late", used.ru_utime
    return "not found" if os.WIFEXITED(status) and os.WEXITSTATUS(status) == 0 else "found", used.ru_utime


def _asked(folder: Path, tests: list[str], seen: Path | None, wait: int) -> int:
    import pytest

    # A test that waits for ever computes nothing: its time is what ends it.
    words = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", f"--timeout={wait}", *tests]
    if seen is None:
        return int(pytest.main(words))
    watch = coverage.Coverage(data_file=str(seen), include=[f"{folder}/diagramgen/*"])
    watch.start()
    came = int(pytest.main(words))
    watch.stop()
    watch.save()
    return came


@dataclass(frozen=True)
class Passing:
    """A test file, the lines of the program it passes through, and what it takes, s of computing."""

    test: str
    lines: dict[str, frozenset[int]]
    took: float

    def through(self, change: Change) -> bool:
        """Whether the test comes by the statement of a change."""
        return not self.lines.get(change.file, frozenset()).isdisjoint(change.statement)


def passing(folder: Path, test: str, kept: Path) -> Passing:
    """Run a test file by itself and see where it comes by; it must pass, or nothing can be found by it."""
    seen = kept / test.replace("/", "-")
    came, took = forked(folder, [test], 1000, seen)
    if came != "not found":
        sys.exit(f"{test} fails without a change: nothing can be found by it")
    data = coverage.CoverageData(str(seen))
    data.read()
    lines = {Path(f).relative_to(folder).as_posix(): frozenset(data.lines(f) or ()) for f in data.measured_files()}
    return Passing(test, lines, took)


def of_group(
    folder: Path, group: str, changes: list[Change], tally: Counter[tuple[str, str]], few: bool = False
) -> None:
    """Try changes of a group, each with the tests that come by it, those that name its module first; ``few``: only with
    the tests listed for the group."""
    near = {c.file: ordered_tests(folder, c.file, GROUPS[group][1], few) for c in changes}
    with tempfile.TemporaryDirectory() as kept:
        files = sorted({t for both in near.values() for tests in both for t in tests})
        every = {t: passing(folder, t, Path(kept)) for t in files}
    took = sum(p.took for p in every.values())
    print(f"{group}: {len(every)} test files take {took:.0f} s without a change", flush=True)
    for change in changes:
        named, rest = near[change.file]
        asked = [p for tests in (named, rest) for p in sorted((every[t] for t in tests), key=lambda p: p.took)
                 if p.through(change)]
        came, took = "not found", 0.0
        if asked:
            with spoilt(folder / change.file, change):
                came, took = forked(folder, [p.test for p in asked], int(4 * sum(p.took for p in asked) + 20))
        tally[group, came] += 1
        print(f"{came} in {took:.0f} s by {len(asked)} files: {change.words}", flush=True)


@contextmanager
def spoilt(file: Path, change: Change) -> Iterator[None]:
    """The module with the change made, for as long as the tests run."""
    whole = file.read_bytes()
    file.write_bytes(whole[:change.start] + change.new.encode() + whole[change.end:])
    try:
        yield
    finally:
        file.write_bytes(whole)


def main() -> int:
    """Make the changes one after the other and say what came of them."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    asked.add_argument("--count", type=int, default=60, help="changes in all, shared by the groups asked for")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--again", type=Path, metavar="FILE", help="an earlier run's words: what it did not find")
    asked.add_argument("--few", action="store_true", help="only the tests listed for a group")
    asked.add_argument("--group", action="append", choices=list(GROUPS))
    how = asked.parse_args()
    groups = how.group or list(GROUPS)
    import hypothesis
    import numpy
    import shapely  # what every run needs is loaded once, before it forks

    assert all((hypothesis, numpy, shapely))
    tally: Counter[tuple[str, str]] = Counter()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        for name in COPIED:
            (shutil.copytree if (ROOT / name).is_dir() else shutil.copy)(ROOT / name, folder / name)
        sys.dont_write_bytecode, os.environ["PYTHONDONTWRITEBYTECODE"] = True, "1"
        os.environ["PYTHONPATH"] = str(folder)
        for group in groups:
            of_group(folder, group, chosen(group, how.count // len(groups), how.seed, how.again), tally, how.few)
    for group in groups:
        of = sum(n for (g, _), n in tally.items() if g == group)
        print(f"{group}: {of - tally[group, 'not found']} of {of} found, {tally[group, 'found late']} of them late")
    print(f"{sum(n for (_, c), n in tally.items() if c != 'not found')} of {tally.total()} found")
    return 0


if __name__ == "__main__":
    sys.exit(main())
