"""The command ``check``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("check", "Check a build and list its problems.", 30, "app.check_cli:check")
