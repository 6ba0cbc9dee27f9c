"""The command ``print``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("print", "Print a build's diagram and lead list into a folder.", 10, "app.print_cli:print_")
