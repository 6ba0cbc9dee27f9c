"""The command ``trace``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("trace", "Take a cavity's outline from a photograph or scan; print its card.", 180,
                  "features.trace.cli:trace")
