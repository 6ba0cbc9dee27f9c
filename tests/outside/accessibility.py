"""A general checker of accessibility (axe-core) run inside a page that is open in the browser.

Its script comes with a package of the tests; ``DIAGRAMGEN_AXE`` names another one, a newer version say.
"""

from __future__ import annotations

import os
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from browser import Browser

GRAVE = ("serious", "critical")


def script() -> str:
    """The checker's own script."""
    named = os.environ.get("DIAGRAMGEN_AXE")
    if named:
        return Path(named).read_text(encoding="utf-8")
    pytest.importorskip("axe_core_python", reason="missing: axe-core-python")
    return files("axe_core_python").joinpath("axe.min.js").read_text(encoding="utf-8")


def findings(browser: Browser) -> list[dict[str, Any]]:
    """Every rule the open page breaks, with the places; best practices too. Rules must have been tried at all."""
    browser.value(script() + "; 'axe' in window")
    said = browser.value("""axe.run(document, {resultTypes: ['violations', 'incomplete', 'passes']}).then(r => ({
        passed: r.passes.length, unsure: r.incomplete.map(v => [v.id, v.nodes.map(n => n.target.join(' '))]),
        broken: r.violations.map(v => ({id: v.id, impact: v.impact, help: v.help,
            nodes: v.nodes.map(n => [n.target.join(' '), n.failureSummary])}))}))""")
    assert said["passed"] > 15, said
    found: list[dict[str, Any]] = said["broken"]
    return found
