"""The two tiers of tests: which tests are slow, and that the others are quick.

``tests/slow_tests.txt`` is the one list of slow tests. ``pytest -m "not slow"`` is the quick tier; in it a test that
takes more than `MOST` seconds of processor time fails, so that the list is kept. Processor time, not time on the
clock, is held against the limit: a busy machine does not change the verdict.

``pytest --cpu-times FILE`` writes what every test took, the slowest first; ``python tools/slow_tests.py FILE`` makes
the measured part of the list from it.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Generator
from pathlib import Path
from typing import Any

import pytest

TESTS = Path(__file__).resolve().parents[1]
LIST = TESTS / "slow_tests.txt"
MOST = 3.0
"""Seconds of processor time, children included, that a test of the quick tier may take."""

ALWAYS_QUICK = frozenset({"app/test_print_command.py::test_print_writes_diagram_list_and_jig_and_names_them"})
"""Quick whatever it takes: one print from end to end, by the real command."""


def slow_names() -> list[str]:
    """The lines of the list without remarks: folders, files, tests, or tests with one of their parameters."""
    return [line for line in LIST.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]


def is_slow(test: str, names: frozenset[str]) -> bool:
    """Whether a test, named from the folder of tests on, stands in the list: itself, its file, or a folder above."""
    file, _, name = test.partition("::")
    folders = (f"{folder}/" for folder in Path(file).parents)
    return not names.isdisjoint((test, f"{file}::{name.partition('[')[0]}", file, *folders))


def processor_time() -> float:
    """Seconds of this process and of its children that have ended."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


class Times:
    """Gathers what the tests took, where ``--cpu-times`` asks for it."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.taken: dict[str, float] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        took = sum(value for name, value in report.user_properties if name == f"cpu {report.when}")
        self.taken[report.nodeid] = self.taken.get(report.nodeid, 0.0) + took

    def pytest_sessionfinish(self) -> None:
        rows = sorted(self.taken.items(), key=lambda row: (-row[1], row[0]))
        self.file.write_text("".join(f"{took:.2f} {test}\n" for test, took in rows), encoding="utf-8")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--cpu-times", type=Path, metavar="FILE", help="write the processor time of every test")


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "slow: not in the quick tier; set by tests/slow_tests.txt")
    if config.option.cpu_times and not hasattr(config, "workerinput"):
        config.pluginmanager.register(Times(config.option.cpu_times))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    names = frozenset(slow_names())
    for item in items:
        if is_slow(item.nodeid.removeprefix(f"{TESTS.name}/"), names):
            item.add_marker(pytest.mark.slow)


def pytest_collection_finish() -> None:
    """What is loaded by now stays: looking through it again and again for garbage took a sixth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 50, 100)


def _measured(item: pytest.Item, when: str) -> Generator[None, Any, Any]:
    before = processor_time()
    done = yield
    took = processor_time() - before
    item.user_properties.append((f"cpu {when}", took))
    quick = item.config.option.markexpr == "not slow"
    if quick and when == "call" and took > MOST:
        pytest.fail(f"took {took:.1f} s of processor time, a quick test may take {MOST:g} s: mend it, or put it into "
                    f"{LIST.relative_to(TESTS.parent)}", pytrace=False)  # fmt: skip
    return done


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup(item: pytest.Item) -> Generator[None, Any, Any]:
    """Measured, but held against no limit: what is shared is charged to the first that asks for it."""
    return (yield from _measured(item, "setup"))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Generator[None, Any, Any]:
    return (yield from _measured(item, "call"))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown(item: pytest.Item) -> Generator[None, Any, Any]:
    return (yield from _measured(item, "teardown"))
