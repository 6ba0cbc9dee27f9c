"""The command ``fault``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("fault", "Find a fault from what was metered and heard; say what to measure next.", 100,
                  "features.faults.cli:fault")
