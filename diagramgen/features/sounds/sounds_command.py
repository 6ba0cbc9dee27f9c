"""The command ``sounds``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("sounds", "Say what a build sounds like in every state, and what a meter reads.", 50,
                  "features.sounds.cli:sounds")
