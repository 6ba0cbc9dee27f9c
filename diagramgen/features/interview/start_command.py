"""The command ``start``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("start", "Write a commented build to begin from.", 160, "features.interview.cli:start")
