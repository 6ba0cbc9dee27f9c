"""Shared by all tests: where the samples are, and that on CI nothing is skipped for a missing tool."""

from __future__ import annotations

import os
import signal
from collections.abc import Generator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

ROOT = Path(__file__).resolve().parent.parent

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


@pytest.fixture(scope="session")
def samples() -> list[Path]:
    """Every shipped sample build."""
    return sorted((ROOT / "samples").glob("*.yaml"))
