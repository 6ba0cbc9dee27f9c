"""The command ``schema``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("schema", "Write the JSON Schema of the build file.", 200, "app.schema_cli:schema")
