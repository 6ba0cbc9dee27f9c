"""The command ``shop``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("shop", "Make the sheets of a folder of jobs, only what changed, and its index.", 150,
                  "features.shop.cli:shop")
