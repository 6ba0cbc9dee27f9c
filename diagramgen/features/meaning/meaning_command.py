"""The command ``meaning``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("meaning", "Say what a problem code means and how to mend it.", 20, "features.meaning.cli:meaning")
