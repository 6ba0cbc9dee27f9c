"""Shared by all tests: where the samples are, and that on CI nothing is skipped for a missing tool."""

from __future__ import annotations

import os
import signal
from collections.abc import Generator
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

ROOT = Path(__file__).resolve().parent.parent

pytest_plugins = ["tiers"]
"""The quick tier and its limit: tests/helpers/tiers.py."""

settings.register_profile("house", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("house")

# A shell that starts the tests in the background has them, and every program they start, ignore Ctrl-C.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: Any) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Where DIAGRAMGEN_ALLOW_NO_SKIPS is set, a skip for a missing tool is a failure."""
    report = yield
    if report.skipped and os.environ.get("DIAGRAMGEN_ALLOW_NO_SKIPS") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped, though nothing may be skipped here: {report.longrepr}"
    return report


@pytest.fixture(scope="session", autouse=True)
def _laid_once() -> Generator[None]:
    """The same room is laid, and the same labels are placed, once in a test process: both are pure functions.

    Only equality of the whole question gives an answer again, as in the preview. Tests that run the command in a
    process of its own, and those of router and placer, are not served from here.
    """
    from diagramgen.drawing import diagram
    from diagramgen.drawing.labelling.place_labels import place_labels
    from diagramgen.layout import plan
    from diagramgen.layout.global_routing.region_memo import RegionMemo

    laying, layout = RegionMemo(most=400), plan.layout
    placed = lru_cache(maxsize=400)(place_labels)

    def remembered(build: Any, say: Any, own: Any = None) -> Any:
        return layout(build, say, own or laying)

    def placed_once(labels: Any, obstacles: Any, leads: Any, frame: Any) -> Any:
        return placed(tuple(labels), tuple(obstacles), tuple(leads), frame)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(plan, "layout", remembered)
        patch.setattr(diagram, "place_labels", placed_once)
        yield


@pytest.fixture(scope="session")
def samples() -> list[Path]:
    """Every shipped sample build."""
    return sorted((ROOT / "samples").glob("*.yaml"))
