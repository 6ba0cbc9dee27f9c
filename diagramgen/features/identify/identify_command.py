"""The command ``identify``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("identify", "Name the conductors of a pickup from readings between them.", 110,
                  "features.identify.cli:identify")
