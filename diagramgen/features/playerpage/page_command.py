"""The command ``page``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("page", "Write the player's page: pick positions, see the live path.", 70,
                  "features.playerpage.cli:page")
