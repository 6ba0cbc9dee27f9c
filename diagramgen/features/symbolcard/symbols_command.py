"""The command ``symbols``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("symbols", "List the symbols; print a symbol's full-size card.", 190,
                  "features.symbolcard.cli:symbols")
