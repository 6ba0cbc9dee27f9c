"""The command ``preview``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("preview", "Draw a build anew whenever it is saved, in a page on this machine.", 80,
                  "features.preview.cli:preview")
