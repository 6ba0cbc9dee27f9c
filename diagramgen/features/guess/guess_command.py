"""The command ``guess``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("guess", "Guess the wiring found, from readings at the plug.", 120, "features.guess.cli:guess")
