"""The command ``explain``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("explain", "Say what a problem code means and how to mend it.", 20, "features.explain.cli:explain")
