"""The command ``price``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("price", "Write a build's buying list, estimate and account.", 140, "features.price.cli:price")
