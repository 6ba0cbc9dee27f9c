"""The command ``labels``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("labels", "Print labels for leads, cables, parts and bags of old parts.", 130,
                  "features.labels.cli:labels")
