"""The command ``compare``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("compare", "Say what is done between a build as found and as left.", 40,
                  "features.changes.cli:compare")
