"""The quick tier: its list names tests that there are, it leaves no part of the program out, and its limit holds."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
import tiers
from imports import PACKAGE, layers
from tiers import ALWAYS_QUICK, TESTS, is_slow, slow_names

SLOW = frozenset(slow_names())


@cache
def named_in(file: Path) -> tuple[str, ...]:
    """The tests of a file, named as the list names them."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    name = file.relative_to(TESTS).as_posix()
    return tuple(f"{name}::{node.name}" for node in ast.walk(tree)
                 if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"))


def files() -> list[Path]:
    return sorted(TESTS.rglob("test_*.py"))


def test_the_list_names_only_tests_that_there_are_each_once() -> None:
    known = {test for file in files() for test in named_in(file)}
    known |= {file.relative_to(TESTS).as_posix() for file in files()}
    known |= {f"{folder.relative_to(TESTS).as_posix()}/" for folder in TESTS.rglob("*") if folder.is_dir()}
    names = slow_names()
    assert [name for name in names if name.partition("[")[0] not in known] == []
    assert len(names) == len(set(names))
    inside = [name for name in names if "::" in name and is_slow(name, SLOW - {name})]
    assert inside == [], "the whole file or test is listed already"


def test_a_test_is_slow_by_its_own_name_its_parameters_its_file_or_its_folder() -> None:
    test = "hard/test_killed.py::test_a[x/y-1]"
    for name in (test, "hard/test_killed.py::test_a", "hard/test_killed.py", "hard/"):
        assert is_slow(test, frozenset({name}))
    for name in ("hard/test_killed.py::test_a[x]", "hard/test_killed.py::test_", "hard", "har/", "test_killed.py"):
        assert not is_slow(test, frozenset({name}))


def parts_of(file: Path) -> set[str]:
    """The layers and features that a test file takes something from, or in whose folder it lies."""
    found = {file.parent.name}
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import | ast.ImportFrom) else []
        if isinstance(node, ast.ImportFrom) and (node.module or "").partition(".")[0] == "diagramgen":
            names = [f"{node.module}.{name}" for name in names]
        for name in names:
            found |= {"api"} if name == "diagramgen" else set(name.split(".")[1:3])
    return found


def test_every_layer_and_every_feature_has_quick_tests() -> None:
    covered: set[str] = set()
    for file in files():
        if any(not is_slow(test, SLOW) for test in named_in(file)):
            covered |= parts_of(file)
    rooms = {name for row in layers() for name in row} - {"__main__"}
    features = {folder.name for folder in (PACKAGE / "features").iterdir() if (folder / "__init__.py").is_file()}
    assert (rooms | features) - covered == set()


def test_one_print_from_end_to_end_is_quick() -> None:
    (test,) = ALWAYS_QUICK
    assert test in named_in(TESTS / test.partition("::")[0])
    assert not is_slow(test, SLOW)


ENDLESS = """
import os
from pathlib import Path
import pytest

def work():
    spent = os.times()
    begin = spent.user + spent.system
    while sum(os.times()[:2]) < begin + 0.2:
        pass

def test_itself():
    work()

def test_a_child_of_it():
    if not (number := os.fork()):
        work()
        os._exit(0)
    os.waitpid(number, 0)

def test_waiting():
    import time
    time.sleep(0.2)

@pytest.fixture
def prepared():
    work()

def test_prepared(prepared):
    pass

@pytest.mark.slow
def test_listed():
    work()
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="missing: fork")
def test_a_quick_test_fails_by_the_processor_time_of_itself_and_its_children_alone(tmp_path: Path) -> None:
    (tmp_path / "conftest.py").write_text('import tiers\ntiers.MOST = 0.15\npytest_plugins = ["tiers"]\n')
    (tmp_path / "test_endless.py").write_text(ENDLESS)
    times = tmp_path / "times.txt"
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "--rootdir", str(tmp_path), "-rA", "-q",
         "-m", "not slow", "--cpu-times", str(times)],
        cwd=tmp_path, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(TESTS / "helpers"), "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"})
    ended = sorted(line.partition(" - ")[0].replace("test_endless.py::test_", "")
                   for line in done.stdout.splitlines() if line.startswith(("PASSED", "FAILED")))
    assert ended == ["FAILED a_child_of_it", "FAILED itself", "PASSED prepared", "PASSED waiting"], done.stdout
    taken = {test.partition("::test_")[2]: float(took) for took, test in map(str.split, times.read_text().splitlines())}
    assert min(taken["prepared"], taken["a_child_of_it"], taken["itself"]) > 0.15
    assert taken["waiting"] < 0.15


def test_outside_the_quick_tier_no_test_is_held_to_the_limit(monkeypatch: pytest.MonkeyPatch,
                                                             request: pytest.FixtureRequest) -> None:
    monkeypatch.setattr(tiers, "MOST", -1.0)
    for words, fails in (("not slow", True), ("", False), ("slow", False)):
        monkeypatch.setattr(request.config.option, "markexpr", words)
        measured = tiers._measured(request.node, "call")
        next(measured)
        with pytest.raises(pytest.fail.Exception if fails else StopIteration):
            measured.send(None)
