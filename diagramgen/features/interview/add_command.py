"""The command ``add``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("add", "Put a part or lead into a build; comments and layout stay.", 170,
                  "features.interview.add_cli:add")
